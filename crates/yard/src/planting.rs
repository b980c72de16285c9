//! Setting out: a hedge row, a replacement in a gap, the hole and the mulch of one plant. What is typed, what comes out, once for the
//! page and the command.

use reckon::ReckonError;
use reckon::material::{MaterialInput, material};
use reckon::planting::{
    Hole, hedge_row, hedge_spacing, mulch_ring, planting_hole, shrub_watering, tree_watering, years_to_catch_up,
};
use reckon::units::{Fraction, Litres, Metres, Millimetres, factor};
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::check_entry::Fault;
use crate::form::{Typed, measure};
use crate::units::{Quantity, Units, significant};

/// Litres in a cubic foot, exact.
const L_PER_FT3: f64 = 28.316_846_592;
/// Years a plant from a pot roots before it grows at its own pace (University of Minnesota Extension: shrubs one to two years).
const LAG_YEARS: f64 = 1.0;
/// Years a large plant does (the longer end), from this height on (common practice).
const LAG_YEARS_LARGE: f64 = 2.0;
const LARGE_M: f64 = 1.5;
/// Mulch: depth after settling, ground free round the stem (common practice: 3 in deep, 3 in clear of the trunk).
const MULCH_MM: f64 = 76.2;
const CLEAR_M: f64 = 0.0762;
/// Share of its depth shredded mulch loses in settling (common practice).
const SETTLE: f64 = 0.25;
/// Most sizes compared at once.
const SIZES_MAX: usize = 8;

/// What a field takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// A figure in the user's unit.
    Measure(Quantity),
    /// Several, with commas.
    Measures(Quantity),
    /// One of some words; the first where nothing is said.
    Word(&'static [&'static str]),
}

/// A field of a helper.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// Name.
    pub name: &'static str,
    /// Words before it.
    pub label: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// Must be told.
    pub required: bool,
    /// What would trip someone up.
    pub help: &'static str,
}

const fn asked(name: &'static str, label: &'static str, takes: Takes, required: bool, help: &'static str) -> Asked {
    Asked { name, label, takes, required, help }
}

/// A helper.
#[derive(Clone, Copy, Debug)]
pub struct Helper {
    /// Key.
    pub key: &'static str,
    /// Title.
    pub title: &'static str,
    /// Fields.
    pub fields: &'static [Asked],
}

/// The helpers there are.
pub const HELPERS: &[Helper] = &[
    Helper {
        key: "hedge",
        title: "A hedge row",
        fields: &[
            asked("length", "Length of the hedge", Takes::Measure(Quantity::Length), true, ""),
            asked("width", "Width of a grown plant", Takes::Measure(Quantity::Length), true, "on its tag"),
            asked(
                "spacing",
                "Spacing, if chosen",
                Takes::Measure(Quantity::Length),
                false,
                "else half the grown width",
            ),
            asked("rows", "Rows", Takes::Word(&["one", "two-staggered"]), false, ""),
        ],
    },
    Helper {
        key: "gap",
        title: "A replacement in a gap",
        fields: &[
            asked("neighbours", "Height of the neighbours", Takes::Measure(Quantity::Length), true, ""),
            asked("sizes", "Heights on sale", Takes::Measures(Quantity::Length), true, "with commas: 3, 4, 5, 6"),
            asked(
                "growth",
                "It grows in a year",
                Takes::Measure(Quantity::Length),
                true,
                "on its tag; slow 1 ft (0.3 m), fast 2 ft (0.6 m)",
            ),
            asked(
                "neighbours_growth",
                "The neighbours grow in a year",
                Takes::Measure(Quantity::Length),
                false,
                "nothing where they are cut back each year",
            ),
        ],
    },
    Helper {
        key: "hole",
        title: "Hole, mulch and water of one plant",
        fields: &[
            asked("ball", "Width of the root ball", Takes::Measure(Quantity::Depth), true, ""),
            asked(
                "ball_depth",
                "Depth of the root ball",
                Takes::Measure(Quantity::Depth),
                true,
                "from the root flare, where the stem widens; scrape soil off until you see it",
            ),
            asked("soil", "Soil", Takes::Word(&["loam", "sand", "clay"]), false, ""),
            asked(
                "ring",
                "Width of the mulch ring",
                Takes::Measure(Quantity::Length),
                false,
                "else three balls, at least 3 ft (0.9 m)",
            ),
            asked(
                "calliper",
                "Trunk, thickness",
                Takes::Measure(Quantity::Depth),
                false,
                "a tree: a hand over the ground",
            ),
            asked("container", "Pot, volume", Takes::Measure(Quantity::Volume), false, "a shrub"),
        ],
    },
];

/// The helper of this key.
pub fn helper(key: &str) -> Option<&'static Helper> {
    HELPERS.iter().find(|h| h.key == key)
}

/// What a helper says.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Told {
    /// The answer in a sentence.
    pub answer: String,
    /// Figures with their words.
    pub figures: Vec<(String, String)>,
    /// What to take care of.
    pub care: Vec<String>,
    /// Where it stands written.
    pub source: String,
    /// The computation.
    pub working: Vec<Step>,
}

struct Read<'a> {
    typed: &'a Typed,
    units: Units,
    faults: Vec<Fault>,
}

impl Read<'_> {
    fn raw(&self, name: &str) -> Option<&str> {
        self.typed.get(name).map(|s| s.trim()).filter(|s| !s.is_empty())
    }

    fn fault(&mut self, name: &str, message: String) {
        self.faults.push(Fault { field: name.to_owned(), message });
    }

    fn get(&mut self, name: &str, quantity: Quantity) -> Option<f64> {
        let raw = self.raw(name)?.to_owned();
        match measure(&raw, quantity, self.units) {
            Ok(v) => Some(v),
            Err(message) => {
                self.fault(name, message);
                None
            }
        }
    }

    fn of(&mut self, name: &str, quantity: Quantity) -> f64 {
        self.get(name, quantity).unwrap_or(f64::NAN)
    }

    /// Turns a refusal of a formula into a fault of a field.
    fn try_<T>(&mut self, name: &str, quantity: Quantity, found: Result<T, ReckonError>) -> Option<T> {
        match found {
            Ok(v) => Some(v),
            Err(ReckonError::OutOfRange { min, max, unit, .. }) if quantity.si() == unit => {
                let say = |v| short(self.units, quantity, v);
                let message = format!("{name} must be between {} and {}", say(min), say(max));
                self.fault(name, message);
                None
            }
            Err(e) => {
                self.fault(name, e.to_string());
                None
            }
        }
    }
}

/// A figure of three digits in the user's unit.
fn short(units: Units, quantity: Quantity, si: f64) -> String {
    format!("{} {}", significant(units.show(quantity, si), 3), units.symbol(quantity))
}

/// Runs a helper on what was typed.
///
/// # Errors
/// All faults at once: an unknown helper or field, a missing or unreadable figure, one out of range.
pub fn set_out(key: &str, typed: &Typed, units: Units) -> Result<Told, Vec<Fault>> {
    let Some(helper) = helper(key) else {
        let known: Vec<&str> = HELPERS.iter().map(|h| h.key).collect();
        let message = format!("no helper “{key}”; there are: {}", known.join(", "));
        return Err(vec![Fault { field: "what".to_owned(), message }]);
    };
    let mut r = Read { typed, units, faults: Vec::new() };
    for name in typed.keys().filter(|n| !helper.fields.iter().any(|f| f.name == n.as_str())) {
        let known: Vec<&str> = helper.fields.iter().map(|f| f.name).collect();
        r.faults.push(Fault {
            field: name.clone(),
            message: format!("“{key}” has no field “{name}”; its fields are: {}", known.join(", ")),
        });
    }
    for f in helper.fields {
        match (f.takes, r.raw(f.name)) {
            (_, None) if f.required => r.fault(f.name, format!("{} is missing ({})", f.name, f.label.to_lowercase())),
            (Takes::Word(words), Some(raw)) if !words.contains(&raw) => {
                let message = format!("“{raw}” is not one of: {}", words.join(", "));
                r.fault(f.name, message);
            }
            _ => {}
        }
    }
    if !r.faults.is_empty() {
        return Err(r.faults);
    }
    let told = match key {
        "hedge" => hedge(&mut r),
        "gap" => gap(&mut r),
        _ => hole(&mut r),
    };
    told.filter(|_| r.faults.is_empty()).ok_or(r.faults)
}

fn hedge(r: &mut Read<'_>) -> Option<Told> {
    let u = r.units;
    let say = |m: f64| short(u, Quantity::Length, m);
    let (length, width) = (r.of("length", Quantity::Length), r.of("width", Quantity::Length));
    let chosen = r.get("spacing", Quantity::Length);
    let found = hedge_spacing(Metres::new(width));
    let (close, wide) = r.try_("width", Quantity::Length, found)?;
    let rows = if r.raw("rows") == Some("two-staggered") { 2 } else { 1 };
    let wanted = chosen.map_or(close, Metres::new);
    let found = hedge_row(Metres::new(length), wanted, rows);
    let name = if chosen.is_some() && !(0.1..=15.0).contains(&wanted.get()) { "spacing" } else { "length" };
    let row = r.try_(name, Quantity::Length, found)?;
    let mut figures = vec![
        ("Plants".to_owned(), row.plants.to_string()),
        ("Between two plants".to_owned(), say(row.spacing.get())),
        ("First plant from the end".to_owned(), say(row.from_end.get())),
    ];
    if rows == 2 {
        figures.push(("In the first row".to_owned(), row.first_row.to_string()));
        figures.push(("In the second, in the gaps".to_owned(), (row.plants - row.first_row).to_string()));
        figures.push(("Between the rows".to_owned(), say(row.between_rows.get())));
    }
    figures.push(("From the line, a wall, a walk".to_owned(), format!("{} and more", say(width / 2.0))));
    let mut care = vec![DIG.to_owned()];
    if row.spacing > wide {
        care.push(format!("Wider than {}: it may take many years to close.", say(wide.get())));
    }
    if row.spacing.get() < close.get() * 0.75 {
        care.push(format!("Closer than {} costs more plants and thins out at the bottom.", say(close.get())));
    }
    let value = |name: &'static str, m: f64| Value::number(name, m, "m");
    Some(Told {
        answer: format!("{} plants, {} apart.", row.plants, say(row.spacing.get())),
        figures,
        care,
        source: "Half to two thirds of the grown width, half a spacing at the ends: common practice of hedge nurseries. Staggered rows at 0.866 of the spacing: equilateral triangles".to_owned(),
        working: vec![
            Step::new(
                "spacing wanted",
                "half the grown width for a closed wall, two thirds at most; or as chosen",
                vec![value("grown width", width), value("at most", wide.get())],
                value("s", wanted.get()),
            ),
            Step::new(
                "plants",
                "n = round(L / s); a second row in the gaps has n − 1",
                vec![value("L", length), value("s", wanted.get()), Value::number("rows", f64::from(rows), "")],
                Value::number("plants", f64::from(row.plants), ""),
            ),
        ],
    })
}

fn gap(r: &mut Read<'_>) -> Option<Told> {
    let u = r.units;
    let say = |m: f64| short(u, Quantity::Length, m);
    let tall = r.of("neighbours", Quantity::Length);
    let growth = r.of("growth", Quantity::Length);
    let theirs = r.get("neighbours_growth", Quantity::Length).unwrap_or(0.0);
    let raw = r.raw("sizes").unwrap_or_default().to_owned();
    let mut sizes = Vec::new();
    for part in raw.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        match measure(part, Quantity::Length, u) {
            Ok(v) => sizes.push(v),
            Err(message) => r.fault("sizes", message),
        }
    }
    if sizes.is_empty() || sizes.len() > SIZES_MAX {
        r.fault("sizes", format!("write one to {SIZES_MAX} heights with commas"));
    }
    sizes.sort_by(f64::total_cmp);
    let mut figures = Vec::new();
    let mut working = Vec::new();
    let mut rows: Vec<(f64, Option<f64>)> = Vec::new();
    for size in &sizes {
        let lag = if *size >= LARGE_M { LAG_YEARS_LARGE } else { LAG_YEARS };
        let m = Metres::new;
        let found = years_to_catch_up(m(tall), m(*size), m(growth), m(theirs), lag);
        let field = found.as_ref().err().map_or("sizes", |e| match e.field() {
            "growth_m" => "growth",
            _ if !(0.05..=40.0).contains(&tall) => "neighbours",
            _ => "sizes",
        });
        let years = r.try_(field, Quantity::Length, found)?;
        let words = years.map_or("never: it grows no faster than they do".to_owned(), |y| {
            format!("as tall after {} years", significant(y, 2))
        });
        figures.push((say(*size), words));
        working.push(Step::new(
            format!("years for {}", say(*size)),
            "t = lag + (H + lag × gn − h) / (g − gn); 0 where it is as tall already",
            vec![
                Value::number("H", tall, "m"),
                Value::number("h", *size, "m"),
                Value::number("g", growth, "m"),
                Value::number("gn", theirs, "m"),
                Value::number("lag", lag, "a").assumed("rooting; University of Minnesota Extension: one to two years"),
            ],
            years.map_or_else(|| Value::text("years", "never"), |y| Value::number("years", y, "a")),
        ));
        rows.push((*size, years));
    }
    // The smallest plant that is as tall within a year of the soonest: it roots more surely and costs less.
    let soonest = rows.iter().filter_map(|(_, y)| *y).fold(f64::INFINITY, f64::min);
    let buy = rows.iter().find(|(_, y)| y.is_some_and(|y| y <= soonest + 1.0));
    let answer = match buy {
        Some((size, Some(years))) => {
            format!("Buy {}: as tall as its neighbours in about {} years.", say(*size), significant(*years, 2))
        }
        _ => "None of these catches up: cut the neighbours back to one height each year.".to_owned(),
    };
    Some(Told {
        answer,
        figures,
        care: vec![
            "Find out first what killed the one before it: in soil with root rot the next one dies too.".to_owned(),
            DIG.to_owned(),
        ],
        source: "Growth slows until the roots are established: University of Florida IFAS, ENH857 (E. F. Gilman). The smallest size within a year of the soonest: smaller plants take transplanting better and cost less (University of Minnesota Extension)".to_owned(),
        working,
    })
}

fn hole(r: &mut Read<'_>) -> Option<Told> {
    let u = r.units;
    let (depth, length) = (|mm: f64| short(u, Quantity::Depth, mm), |m: f64| short(u, Quantity::Length, m));
    let (ball, deep) = (r.of("ball", Quantity::Depth), r.of("ball_depth", Quantity::Depth));
    let soil = r.raw("soil").unwrap_or("loam").to_owned();
    let found = planting_hole(Millimetres::new(ball), Millimetres::new(deep), soil == "clay");
    let field = if found.as_ref().is_err_and(|e| e.field() == "ball_depth_mm") { "ball_depth" } else { "ball" };
    let Hole { width_low, width_high, depth: down, above_ground } = r.try_(field, Quantity::Depth, found)?;
    let ring = r.get("ring", Quantity::Length).unwrap_or((3.0 * ball / 1000.0).max(3.0 * factor::M_PER_FOOT));
    let found = mulch_ring(Metres::new(ring), Metres::new(CLEAR_M));
    let ground = r.try_("ring", Quantity::Length, found)?;
    let order = material(&MaterialInput {
        area: ground,
        depth: Millimetres::new(MULCH_MM),
        settle: Fraction::new(SETTLE),
        waste: Fraction::new(0.0),
        density: None,
        bag: None,
    });
    let volume = r.try_("ring", Quantity::Length, order)?.volume.get() * 1000.0;
    let mulch = match u {
        Units::UsCustomary => format!("{} cu ft", significant(volume / L_PER_FT3, 2)),
        Units::Metric => format!("{} L", significant(volume, 2)),
    };
    let mut figures = vec![
        ("Hole, width".to_owned(), format!("{} to {}", depth(width_low.get()), depth(width_high.get()))),
        ("Hole, depth".to_owned(), depth(down.get())),
        ("Ball stands over the ground".to_owned(), depth(above_ground.get())),
        ("Mulch ring, width".to_owned(), length(ring)),
        (
            "Mulch".to_owned(),
            format!(
                "{mulch} loose, {} deep when settled, {} free round the stem",
                depth(MULCH_MM),
                depth(CLEAR_M * 1000.0)
            ),
        ),
    ];
    let mut working = vec![
        Step::new(
            "hole",
            "2 to 3 × the ball's width; depth of the ball less what stands over the ground (an inch; a third of the ball in clay)",
            vec![Value::number("ball", ball, "mm"), Value::number("ball depth", deep, "mm")],
            Value::number("depth", down.get(), "mm"),
        ),
        Step::new(
            "mulch",
            "A = π (D²/4 − c²); V = A d / (1 − settling)",
            vec![
                Value::number("D", ring, "m"),
                Value::number("c", CLEAR_M, "m"),
                Value::number("d", MULCH_MM, "mm"),
                Value::number("settling", SETTLE, "").assumed("usual for shredded mulch"),
            ],
            Value::number("V", volume, "L"),
        ),
    ];
    let share = Fraction::new(match soil.as_str() {
        "sand" => 1.0,
        "clay" => 0.0,
        _ => 0.5,
    });
    let water = match (r.get("calliper", Quantity::Depth), r.get("container", Quantity::Volume)) {
        (Some(mm), _) => {
            let found = tree_watering(Millimetres::new(mm), share);
            r.try_("calliper", Quantity::Depth, found)
        }
        (None, Some(pot)) => {
            let found = shrub_watering(Litres::new(pot), share);
            r.try_("container", Quantity::Volume, found)
        }
        (None, None) => None,
    };
    if let Some(water) = water {
        figures.push(("Water at each watering".to_owned(), short(u, Quantity::Volume, water.get())));
        working.push(Step::new(
            "water at each watering",
            "1 to 1.5 gal an inch of trunk, or a quarter to a third of the pot; high on sand, low on clay",
            vec![Value::number("place in the range", share.get(), "")],
            Value::number("water", water.get(), "L"),
        ));
    }
    Some(Told {
        answer: format!(
            "Dig {} to {} wide and {} deep, never deeper; the root flare ends {} over the ground.",
            depth(width_low.get()),
            depth(width_high.get()),
            depth(down.get()),
            depth(above_ground.get())
        ),
        figures,
        care: vec![
            DIG.to_owned(),
            "Fill with the soil you dug, half of it, then water in, then the rest. Cut wire, twine and burlap off the top of the ball. No fertiliser in the first year.".to_owned(),
        ],
        source: "University of Minnesota Extension, planting and watering newly planted trees and shrubs; mulch and clay: common practice".to_owned(),
        working,
    })
}

/// Told wherever someone digs.
const DIG: &str = "Before digging, have buried lines marked (811 in the United States, free, some days ahead).";

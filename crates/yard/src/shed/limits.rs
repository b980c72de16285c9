//! A product's limits: the label's where it was typed, else what is typical of the ingredient, marked as such.

use almanac::{Active, Almanac, Basis, Figure};

use crate::entry::{LabelLimits, ProductFacts};
use crate::units::{Quantity, Units};

/// Where a limit comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// Typed from the label in hand.
    YourLabel,
    /// Published of the ingredient: counts until the label's own figure is typed.
    Typical(String),
    /// Recalled: told, and never counted as a limit.
    Recalled,
    /// Nothing is known; only the label can tell.
    Unknown,
}

impl Told {
    /// The mark beside a figure.
    pub fn mark(&self) -> &'static str {
        match self {
            Self::YourLabel => "your label",
            Self::Typical(_) => "typical, not your label",
            Self::Recalled => "recalled, not a limit: read your label",
            Self::Unknown => "not known: read your label",
        }
    }
}

/// One limit of a product.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Field of the product's form.
    pub field: &'static str,
    /// What it limits.
    pub words: &'static str,
    /// The figure in words, in the user's units.
    pub figure: String,
    /// Where it comes from.
    pub told: Told,
}

/// What a row is made of: field, words, the label's figure, the ingredient's, and which of several ingredients binds most.
struct Row {
    field: &'static str,
    words: &'static str,
    own: fn(&LabelLimits) -> Option<f64>,
    set: fn(&mut LabelLimits, f64),
    typical: for<'a> fn(&'a Active) -> Option<&'a Figure>,
    most: bool,
    unit: Unit,
}

#[derive(Clone, Copy)]
enum Unit {
    Measure(Quantity),
    Plain(&'static str),
}

const ROWS: &[Row] = &[
    Row {
        field: "label_interval",
        words: "days between two applications",
        own: |l| l.interval_days,
        set: |l, v| l.interval_days = Some(v),
        typical: |a| a.interval_days.as_ref(),
        most: true,
        unit: Unit::Plain("days"),
    },
    Row {
        field: "label_times_year",
        words: "times in a year",
        own: |l| l.applications_a_year,
        set: |l, v| l.applications_a_year = Some(v),
        typical: |a| a.applications_a_year.as_ref(),
        most: false,
        unit: Unit::Plain("times"),
    },
    Row {
        field: "label_active_year",
        words: "active ingredient in a year, on the most delicate grass",
        own: |l| l.active_yearly_max_g_m2,
        set: |l, v| l.active_yearly_max_g_m2 = Some(v),
        typical: |a| a.yearly_max.iter().map(|row| &row.g_m2).min_by(|x, y| x.value.total_cmp(&y.value)),
        most: false,
        unit: Unit::Measure(Quantity::Dose),
    },
    Row {
        field: "label_seed_wait",
        words: "days before sowing",
        own: |l| l.seed_wait_days,
        set: |l, v| l.seed_wait_days = Some(v),
        typical: |a| a.seed_wait.iter().map(|row| &row.stop_below_days).max_by(|x, y| x.value.total_cmp(&y.value)),
        most: true,
        unit: Unit::Plain("days"),
    },
    Row {
        field: "label_seedling_days",
        words: "days from sowing until it may go down",
        own: |l| l.seedling_days,
        set: |l, v| l.seedling_days = Some(v),
        typical: |a| a.seedling_days.as_ref(),
        most: true,
        unit: Unit::Plain("days"),
    },
    Row {
        field: "label_seedling_mowings",
        words: "mowings of new grass first",
        own: |l| l.seedling_mowings,
        set: |l, v| l.seedling_mowings = Some(v),
        typical: |a| a.seedling_mowings.as_ref(),
        most: true,
        unit: Unit::Plain("mowings"),
    },
    Row {
        field: "label_water_in",
        words: "water to wash it in",
        own: |l| l.water_in_mm,
        set: |l, v| l.water_in_mm = Some(v),
        typical: |a| a.water_in_mm.as_ref(),
        most: true,
        unit: Unit::Measure(Quantity::Depth),
    },
    Row {
        field: "label_water_within",
        words: "days within which that water must come",
        own: |l| l.water_in_within_days,
        set: |l, v| l.water_in_within_days = Some(v),
        typical: |a| a.water_in_within_days.as_ref(),
        most: false,
        unit: Unit::Plain("days"),
    },
    Row {
        field: "label_rain_free",
        words: "hours without rain",
        own: |l| l.rain_free_hours,
        set: |l, v| l.rain_free_hours = Some(v),
        typical: |a| a.rain_free_hours.as_ref(),
        most: true,
        unit: Unit::Plain("h"),
    },
    Row {
        field: "label_cold",
        words: "coldest air",
        own: |l| l.temperature_min_c,
        set: |l, v| l.temperature_min_c = Some(v),
        typical: |a| a.temperature_min_c.as_ref(),
        most: true,
        unit: Unit::Measure(Quantity::Temperature),
    },
    Row {
        field: "label_heat",
        words: "hottest air",
        own: |l| l.temperature_max_c,
        set: |l, v| l.temperature_max_c = Some(v),
        typical: |a| a.temperature_max_c.as_ref(),
        most: false,
        unit: Unit::Measure(Quantity::Temperature),
    },
    Row {
        field: "label_wind",
        words: "strongest wind",
        own: |l| l.wind_max_ms,
        set: |l, v| l.wind_max_ms = Some(v),
        typical: |_| None,
        most: false,
        unit: Unit::Measure(Quantity::Speed),
    },
    Row {
        field: "label_reentry",
        words: "hours until people and pets go back",
        own: |l| l.reentry_hours,
        set: |l, v| l.reentry_hours = Some(v),
        typical: |_| None,
        most: true,
        unit: Unit::Plain("h"),
    },
    Row {
        field: "label_buffer",
        words: "strip beside water",
        own: |l| l.water_buffer_m,
        set: |l, v| l.water_buffer_m = Some(v),
        typical: |a| a.water_buffer_m.as_ref(),
        most: true,
        unit: Unit::Measure(Quantity::Length),
    },
];

/// The figure of the ingredient that binds most.
fn binding<'a>(row: &Row, product: &ProductFacts, almanac: &'a Almanac) -> Option<&'a Figure> {
    let figures = product.actives.iter().filter_map(|s| almanac.active(&s.active)).filter_map(row.typical);
    if row.most {
        figures.max_by(|a, b| a.value.total_cmp(&b.value))
    } else {
        figures.min_by(|a, b| a.value.total_cmp(&b.value))
    }
}

/// Every limit of a product that has an ingredient or a label's figure.
pub fn limits(product: &ProductFacts, almanac: &Almanac, units: Units) -> Vec<Limit> {
    let say = |row: &Row, value: f64| match row.unit {
        Unit::Measure(q) => units.say(q, value),
        Unit::Plain(word) => format!("{value} {word}"),
    };
    // One yearly figure cannot stand for several ingredients.
    let single = |row: &&Row| row.field != "label_active_year" || product.actives.len() <= 1;
    ROWS.iter()
        .filter(single)
        .filter_map(|row| {
            let (figure, told) = match ((row.own)(&product.label), binding(row, product, almanac)) {
                (Some(own), _) => (say(row, own), Told::YourLabel),
                (None, Some(f)) if f.basis == Basis::Published => (say(row, f.value), Told::Typical(f.source.clone())),
                (None, Some(f)) => (say(row, f.value), Told::Recalled),
                (None, None) if product.actives.is_empty() => return None,
                (None, None) => (String::new(), Told::Unknown),
            };
            Some(Limit { field: row.field, words: row.words, figure, told })
        })
        .collect()
}

/// The product with one typical figure taken over as the label's own, which the person has just read there; `None` where the field has
/// no typical figure, or the label's is typed already.
pub fn confirm(product: &ProductFacts, almanac: &Almanac, field: &str) -> Option<ProductFacts> {
    let row = ROWS.iter().find(|r| r.field == field)?;
    if field == "label_active_year" && product.actives.len() > 1 {
        return None;
    }
    if (row.own)(&product.label).is_some() {
        return None;
    }
    let figure = binding(row, product, almanac)?;
    let mut confirmed = product.clone();
    (row.set)(&mut confirmed.label, figure.value);
    Some(confirmed)
}

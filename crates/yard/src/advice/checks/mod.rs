//! Label checks: a planned or done application or sowing against what labels and trials allow.
//!
//! A limit typed from the label in hand counts first; then a published figure; a figure recalled from memory is never a limit and
//! only asks the owner to read the label. The product's own label and local law govern.

mod book;
mod day;
mod label;
mod local;
mod place;
mod rotation;

use almanac::{Active, Tolerance};
use jiff::civil::Date;
use serde::Serialize;

pub use self::book::active_doses;
use self::book::{Book, finish, substances};
use super::Scene;
use crate::entry::{Applied, ProductFacts, Seeded, Work};
use crate::units::Quantity;

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Do not do it.
    Stop,
    /// Think and read the label first.
    Caution,
    /// Good to know.
    Note,
}

impl Level {
    /// The word on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "Stop",
            Self::Caution => "Caution",
            Self::Note => "Note",
        }
    }
}

/// One outcome of a check.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// How grave.
    pub level: Level,
    /// The rule: `site`, `tolerance`, `rate`, `yearly-maximum`, `interval`, `seed-wait`, `seedlings`, `rain`, `wind`, `heat`, …
    pub rule: String,
    /// What, with the figures.
    pub message: String,
    /// Where the limit comes from.
    pub source: String,
    /// First day the rule no longer stands in the way.
    pub clear_on: Option<Date>,
}

/// Most nitrogen in one application: 1.0 lb/1000 sq ft (University of Illinois figures).
pub const NITROGEN_ONCE_G_M2: f64 = 4.9;
/// Checks an application on a day. `except` is the entry the application itself comes from, so that it does not count against
/// itself.
pub fn check_application(scene: &Scene<'_>, work: &Applied, on: Date, except: Option<&str>) -> Vec<Finding> {
    let Some(product) = scene.yard.product_on(&work.product, on) else { return Vec::new() };
    let mut book = Book::open(scene, work, on, except);
    for of in substances(scene, product) {
        let dose = work.rate_g_m2 * of.pct / 100.0;
        if let Some(active) = of.active {
            label::rate(&mut book, active, product, dose);
        }
        for area in &work.areas {
            if let Some(active) = of.active {
                label::site_and_tolerance(&mut book, active, product, area);
            }
            label::seedlings(&mut book, &of, product, area);
            label::yearly_maximum(&mut book, &of, product, area, dose);
            label::interval(&mut book, &of, product, area);
            label::seed_to_come(&mut book, &of, product, area);
        }
    }
    for area in &work.areas {
        label::hard_ground(&mut book, area);
        label::label_ground(&mut book, product, area);
        rotation::same_group_again(&mut book, product, area);
        place::near_water(&mut book, product, area);
        place::playing(&mut book, product, area);
    }
    day::weather_on_the_day(&mut book, product);
    day::nutrients(&mut book, product);
    local::feeding(&mut book, product);
    if let Some(max) = product.label.rate_max_g_m2
        && work.rate_g_m2 > max * (1.0 + 1e-6)
    {
        let u = scene.units();
        let message = format!(
            "{} of product is more than the label's {} in one application",
            u.say(product.dose_quantity(), work.rate_g_m2),
            u.say(product.dose_quantity(), max)
        );
        book.say(Level::Stop, "rate", message, "the label in your hand, as you typed it", None);
    }
    finish(book.found)
}

/// Checks a sowing on a day against everything put down, or planned, before it.
pub fn check_sowing(scene: &Scene<'_>, seed: &Seeded, on: Date, except: Option<&str>) -> Vec<Finding> {
    let mut found = Vec::new();
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Apply(a) if Some(p.id.as_str()) != except => Some((p.on.max(scene.on), a)),
        _ => None,
    });
    let done = scene.yard.applications.iter().map(|a| (a.on, &a.fact));
    for (treated, work) in done.chain(planned) {
        if treated > on || !work.areas.iter().any(|a| scene.yard.meet(a, treated, &seed.area, on)) {
            continue;
        }
        let Some(product) = scene.yard.product_on(&work.product, treated) else { continue };
        for of in substances(scene, product) {
            found.extend(label::seed_gap(scene, &of, product, seed, treated, on, true));
        }
    }
    if let Some(grass) = scene.almanac.grass(&seed.grass) {
        let u = scene.units();
        let soil = if on <= scene.on {
            scene.weather.day(scene.yesterday().min(on)).soil_c
        } else {
            scene.weather.usual(on, scene.on).tmean_c
        };
        if soil < grass.germination_min_c {
            found.push(Finding {
                level: Level::Caution,
                rule: "soil-temperature".to_owned(),
                message: format!(
                    "the soil is about {}; {} waits for {}",
                    u.say(Quantity::Temperature, soil),
                    grass.name,
                    u.say(Quantity::Temperature, grass.germination_min_c)
                ),
                source: grass.source.clone(),
                clear_on: None,
            });
        } else if let Some(max) = grass.germination_max_c
            && soil > max
        {
            found.push(Finding {
                level: Level::Caution,
                rule: "soil-temperature".to_owned(),
                message: format!(
                    "the soil is about {}; {} fails above {}",
                    u.say(Quantity::Temperature, soil),
                    grass.name,
                    u.say(Quantity::Temperature, max)
                ),
                source: grass.source.clone(),
                clear_on: None,
            });
        }
        let usual = match seed.sowing {
            crate::entry::Sowing::Bare => grass.seed_new_g_m2,
            crate::entry::Sowing::Over => grass.seed_over_g_m2,
        };
        if let Some(range) = usual
            && (seed.rate_g_m2 > range.high * 1.2 || seed.rate_g_m2 < range.low * 0.8)
        {
            found.push(Finding {
                level: Level::Note,
                rule: "rate".to_owned(),
                message: format!(
                    "{} of {} seed; the usual rate is {} to {}",
                    u.say(Quantity::Dose, seed.rate_g_m2),
                    grass.name,
                    u.say(Quantity::Dose, range.low),
                    u.say(Quantity::Dose, range.high)
                ),
                source: grass.source.clone(),
                clear_on: None,
            });
        }
    }
    finish(found)
}

/// Water that must follow a product: whose need it is, how much (mm), within how many days, and the source.
pub fn water_to_follow<'a>(scene: &Scene<'a>, product: &'a ProductFacts) -> Option<(&'a str, f64, f64, String)> {
    let actives: Vec<&Active> = substances(scene, product).into_iter().filter_map(|s| s.active).collect();
    let (name, limit, within) = day::water_in(product, &actives)?;
    (limit.value > 0.0).then_some((name, limit.value, within, limit.source))
}

/// First day on or after `from` with no Stop, looking at most three years ahead; `None` when none is found.
pub fn nearest_clear_day(from: Date, check: impl Fn(Date) -> Vec<Finding>) -> Option<Date> {
    let mut day = from;
    for _ in 0..200 {
        let stops: Vec<Finding> = check(day).into_iter().filter(|f| f.level == Level::Stop).collect();
        if stops.is_empty() {
            return Some(day);
        }
        // A Stop that names its end lets the search leap; one that does not has no date.
        day = stops.iter().map(|f| f.clear_on).collect::<Option<Vec<_>>>()?.into_iter().max().filter(|d| *d > day)?;
    }
    None
}

/// Ingredients that do the same job and may be sown with: preventers of crabgrass whose wait before sowing every one of these
/// grasses (the seed's and the stand's) is nil, and that injure none of them.
pub fn safe_with_seed<'a>(scene: &Scene<'a>, grasses: &[&str]) -> Vec<&'a Active> {
    scene
        .almanac
        .actives
        .iter()
        .filter(|a| a.kind == almanac::ActiveKind::Preventer && a.stops_crabgrass)
        .filter(|a| {
            grasses.iter().all(|grass| {
                a.tolerance_of(grass).is_none_or(|t| t.tolerance != Tolerance::Injured)
                    && a.seed_wait_for(grass).is_some_and(|w| w.stop_below_days.value <= 0.0)
            })
        })
        .collect()
}

//! When a zone must run and how deep: before the grass is short of water on any day until the next chance, and no deeper than leaves
//! room for rain.
//!
//! The soil is let down to the line at which stress begins and is not filled: rain finds room. A run is never a mere sprinkle. (Deeper
//! runs where the years of the outlook lost no more than 2 % of them to rain were tried: over four seasons in Seattle they took 2 % more
//! water, elsewhere they changed nothing.)

use jiff::Span;
use reckon::units::Millimetres;
use reckon::working::{Step, Value};

use super::Scene;
use super::delivery::allowed;
use super::soil::{AreaWater, demand_coefficient};
use crate::weather::{Day, HOT_OVER_AVERAGE, Outlook};

/// A run puts back three quarters of what may be used before stress, so that water reaches well down among the roots (common practice:
/// deep and seldom, never a daily sprinkle) ...
const LEAST_SHARE: f64 = 0.75;
/// ... or half an inch where that is less (common practice for established lawns).
const LEAST_RUN_MM: f64 = 12.7;
/// Least watering worth starting a zone for (mm).
pub(super) const WORTH_STARTING_MM: f64 = 3.0;
/// Days ahead from which the hottest of the outlook's years are looked for.
const HOT_DAYS: usize = 10;
/// Days of the record just gone looked at beside them: heat goes on.
const JUST_GONE_DAYS: i64 = 14;
/// A day of the outlook counts only if the one before it was no hotter than yesterday by more than this (mm of reference
/// evapotranspiration): the weather has a memory of a day or two.
const HOTTER_EVE_MM: f64 = 1.0;
/// Days ahead a chance to water is looked for.
const CHANCE_DAYS: usize = 10;
/// Share of years with frost from which a morning is no sure chance.
const FROST_LIKELY: f64 = 0.2;

/// Whether an area wants water this morning, and how much.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Refill {
    /// Depth below which the grass could be short before the next chance; 0 where it could not.
    pub short_mm: f64,
    /// Depth to put back now (mm).
    pub depth_mm: f64,
    /// Days until water may be given again.
    pub next_chance: usize,
    /// The computation.
    pub working: Vec<Step>,
}

/// Days to the next one on which the rules allow water and frost is not likely to forbid it.
fn days_to_next_chance(scene: &Scene<'_>, outlook: &Outlook<'_>) -> usize {
    let rules = scene.yard.water_rules.as_ref();
    let years = outlook.years.len().max(1) as f64;
    let frost = |n: usize| {
        let freezing = outlook.years.iter().filter(|y| y.iter().skip(n - 1).take(2).any(|d| d.tmin_c <= 0.0));
        freezing.count() as f64 / years > FROST_LIKELY
    };
    let open = |n: usize| {
        let date = scene.on.checked_add(Span::new().days(n as i64));
        date.is_ok_and(|d| allowed(rules, d)) && !frost(n)
    };
    // Where frost is likely for days on end, the rules alone decide.
    let by_rule = |n: usize| scene.on.checked_add(Span::new().days(n as i64)).is_ok_and(|d| allowed(rules, d));
    (1..=CHANCE_DAYS).find(|n| open(*n)).or_else(|| (1..=CHANCE_DAYS).find(|n| by_rule(*n))).unwrap_or(CHANCE_DAYS)
}

/// Least depth of a run on an area whose stress begins at this depletion.
pub(super) fn least_run(raw_mm: f64) -> f64 {
    (LEAST_SHARE * raw_mm).clamp(WORTH_STARTING_MM, LEAST_RUN_MM)
}

/// What an area wants this morning.
pub(super) fn refill(scene: &Scene<'_>, area: &AreaWater, outlook: &Outlook<'_>) -> Refill {
    let next_chance = days_to_next_chance(scene, outlook);
    let short_mm = shortfall(scene, area, outlook, next_chance);
    let mut working = vec![Step::new(
        "short before the next chance",
        "greatest of (depletion on a morning − RAW of that day), no rain counted, over the next ten days of all years looked at and the \
             fortnight just gone",
        vec![
            Value::number("depletion", area.depletion_mm, "mm"),
            Value::number("days to the next chance", next_chance as f64, "").from("watering rules"),
        ],
        Value::number("short", short_mm, "mm"),
    )];
    if short_mm <= 0.0 {
        return Refill { short_mm: 0.0, depth_mm: 0.0, next_chance, working };
    }
    let least = least_run(area.raw_mm);
    let full = area.depletion_mm;
    let depth_mm = short_mm.max(least).min(full);
    working.push(Step::new(
        "depth to put back",
        "the shortfall, at least three quarters of RAW or 12.7 mm; at most what is missing",
        vec![
            Value::number("short", short_mm, "mm"),
            Value::number("least", least, "mm").from("common practice: deep and seldom"),
            Value::number("missing", full, "mm"),
        ],
        Value::number("depth", depth_mm, "mm"),
    ));
    Refill { short_mm, depth_mm, next_chance, working }
}

/// By how much the soil could lie over the line of stress on a morning before the next chance.
fn shortfall(scene: &Scene<'_>, area: &AreaWater, outlook: &Outlook<'_>, days: usize) -> f64 {
    let heat = if outlook.climate_only { HOT_OVER_AVERAGE } else { 1.0 };
    let first = scene.on.checked_sub(Span::new().days(JUST_GONE_DAYS)).unwrap_or(scene.on);
    let gone = scene.weather.run(first, scene.yesterday());
    let last_et0 = gone.last().map_or(f64::INFINITY, |d| d.et0_mm);
    let over = |run: &[Day], heat: f64| {
        let mut depletion = area.depletion_mm;
        let mut worst = f64::NEG_INFINITY;
        for (i, day) in run.iter().enumerate() {
            let date = scene.on.checked_add(Span::new().days(i as i64)).unwrap_or(scene.on);
            let use_mm = demand_coefficient(scene, area, date) * day.et0_mm * heat;
            worst = worst.max(depletion - area.root_zone.raw(Millimetres::new(use_mm)).get());
            depletion += use_mm;
        }
        worst
    };
    let eve_most = if outlook.climate_only { f64::INFINITY } else { last_et0 + HOTTER_EVE_MM };
    let ahead = outlook.years.iter().flat_map(|year| year[..year.len().min(HOT_DAYS + days)].windows(days + 1));
    let alike = ahead.filter(|run| run[0].et0_mm <= eve_most);
    let worst_ahead = alike.map(|run| over(&run[1..], heat)).fold(f64::NEG_INFINITY, f64::max);
    gone.windows(days).map(|run| over(run, 1.0)).fold(worst_ahead, f64::max)
}

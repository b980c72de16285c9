//! How a zone delivers water: rate, evenness, what counts of a run, what the ground takes in, and when the rules allow it.

use jiff::civil::Date;
use reckon::run_time::{RunTime, RunTimeInput, Scheduling, run_time_multiplier, run_time_working, zone_run_time};
use reckon::sprinkler::{Ground, sprinkler_rate};
use reckon::units::{Fraction, LitresPerMinute, Millimetres, MillimetresPerHour, SquareMetres};
use reckon::working::{Step, Value};

use super::Scene;
use crate::entry::{AreaFacts, Parity, WaterRules, ZoneFacts};
use crate::survey::zone_coverage;

/// The rate of a zone and where it comes from.
pub fn zone_rate(scene: &Scene<'_>, zone: &ZoneFacts) -> Option<(MillimetresPerHour, Value)> {
    let symbol = "mm/h";
    if let Some(rate) = zone.rate_mm_h {
        let value = Value::number("rate", rate, symbol).from("measured on this zone");
        return Some((MillimetresPerHour::new(rate), value));
    }
    if let Some(drawn) = zone_coverage(scene.yard, &zone.key) {
        let value = Value::number("rate", drawn.mean.get(), symbol)
            .from("what its heads on the map throw on its ground; cans would tell better");
        return Some((drawn.mean, value));
    }
    let size: f64 = zone.areas.iter().filter_map(|a| scene.yard.area(a)).map(|a| a.size_m2).sum();
    if let Some(flow) = zone.flow_lpm
        && let Ok(rate) = sprinkler_rate(LitresPerMinute::new(flow), Ground::Area(SquareMetres::new(size)))
    {
        let value =
            Value::number("rate", rate.get(), symbol).from("the zone's flow over its ground; cans would tell better");
        return Some((rate, value));
    }
    let kind = scene.almanac.sprinkler(&zone.sprinkler)?;
    let rate = kind.rate_mm_h.middle();
    let value = Value::number("rate", rate, symbol)
        .assumed(format!("usual for {}; set out cans and measure this zone", kind.name));
    Some((MillimetresPerHour::new(rate), value))
}

pub(super) fn zone_uniformity(scene: &Scene<'_>, zone: &ZoneFacts) -> (f64, bool) {
    match zone.du_lq {
        Some(du) => (du, false),
        None => {
            let usual = scene.almanac.sprinkler(&zone.sprinkler).map_or(0.6, |k| k.du_lq);
            // Wind and wear only take from what a drawing promises; and a drawing so poor is rather a wrong drawing.
            let drawn = zone_coverage(scene.yard, &zone.key).map_or(usual, |c| c.du_lq.get().max(DRAWN_DU_LEAST));
            (drawn.min(usual), true)
        }
    }
}

/// Evenness below which a drawing is not believed.
const DRAWN_DU_LEAST: f64 = 0.4;

/// Depth that counts when a zone runs so many minutes.
pub(super) fn counted_depth(scene: &Scene<'_>, zone: &ZoneFacts, minutes: f64) -> f64 {
    let Some((rate, _)) = zone_rate(scene, zone) else { return 0.0 };
    let (du, _) = zone_uniformity(scene, zone);
    let multiplier = run_time_multiplier(Fraction::new(du), Scheduling::LowHalf).unwrap_or(1.0);
    rate.get() * minutes / 60.0 / multiplier
}

/// Whether a weekday (Monday = 1) is in a list; an empty list is every day.
pub(crate) fn on_weekday(list: &[i8], date: Date) -> bool {
    list.is_empty() || list.contains(&date.weekday().to_monday_one_offset())
}

/// Whether the rules allow watering on a day.
pub fn allowed(rules: Option<&WaterRules>, date: Date) -> bool {
    let Some(rules) = rules else { return true };
    let parity = match rules.parity {
        Parity::Any => true,
        Parity::Odd => date.day() % 2 == 1 && date.day() != 31,
        Parity::Even => date.day() % 2 == 0,
    };
    parity && on_weekday(&rules.weekdays, date)
}

/// Intake and surface storage of an area, slope counted.
pub(super) fn intake_of(scene: &Scene<'_>, area: &AreaFacts) -> Option<(MillimetresPerHour, Millimetres, Vec<Value>)> {
    let texture = scene.almanac.texture(&area.soil)?;
    let slope = scene.almanac.slope_class(area.slope_pct);
    let intake = texture.intake_mm_h.middle() * slope.intake_factor;
    let storage = texture.surface_storage_mm * slope.storage_factor;
    let words =
        format!("{} on a {:.0} % slope, almanac; time a run until water first moves", texture.name, area.slope_pct);
    Some((
        MillimetresPerHour::new(intake),
        Millimetres::new(storage),
        vec![
            Value::number("intake", intake, "mm/h").assumed(words.clone()),
            Value::number("surface storage", storage, "mm").assumed(words),
        ],
    ))
}

pub(super) fn litres_of(scene: &Scene<'_>, zone: &ZoneFacts, rate: MillimetresPerHour, minutes: f64) -> f64 {
    let size: f64 = zone.areas.iter().filter_map(|a| scene.yard.area(a)).map(|a| a.size_m2).sum();
    rate.get() * minutes / 60.0 * size
}

/// The run of a zone that puts a depth on one of its areas, with its working; `None` where the zone's rate is not known.
pub(crate) fn run_for(
    scene: &Scene<'_>,
    zone: &ZoneFacts,
    area: &AreaFacts,
    depth_mm: f64,
) -> Option<(RunTime, Vec<Step>)> {
    let (rate, _) = zone_rate(scene, zone)?;
    let (du, _) = zone_uniformity(scene, zone);
    let ground = intake_of(scene, area);
    let input = RunTimeInput {
        need: Millimetres::new(depth_mm),
        rate,
        du_lq: Fraction::new(du),
        scheduling: Scheduling::LowHalf,
        intake: ground.as_ref().map(|g| g.0),
        surface_storage: ground.as_ref().map(|g| g.1),
    };
    Some((zone_run_time(&input).ok()?, run_time_working(&input).unwrap_or_default()))
}

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
use super::soil::{AreaWater, counted_rain, demand_coefficient};
use crate::fold::Yard;
use crate::forecast::{ERROR_SOURCE, ForecastDay, mean_errors_c};
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
/// Days of a forecast whose rain a run makes room for.
const RAIN_DAYS: usize = 3;
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

/// Least depth of a run on a morning with the forecast it has: less than [`least_run`] where the rain it tells of would find a soil at the
/// line of stress with no room left for the whole run, so that the grass is carried over to the rain and no further. The room is what half
/// and more of the outlook's years leave over the days of the forecast, three at most.
pub(super) fn least_run_before_rain(scene: &Scene<'_>, area: &AreaWater, outlook: &Outlook<'_>) -> f64 {
    let least = least_run(area.raw_mm);
    let Some(ahead) = &outlook.forecast else { return least };
    let told = ahead.days.len().min(RAIN_DAYS);
    let mut room: Vec<f64> = outlook.years.iter().map(|y| room_for_run(scene, area, &y[..y.len().min(told)])).collect();
    room.sort_by(f64::total_cmp);
    room.get(room.len() / 2).map_or(least, |half| half.clamp(WORTH_STARTING_MM.min(least), least))
}

/// Depth that can be put this morning on a soil at its line of stress and not be lost to the rain of these days.
fn room_for_run(scene: &Scene<'_>, area: &AreaWater, days: &[Day]) -> f64 {
    let (mut depletion, mut room) = (area.raw_mm, area.raw_mm);
    for (i, day) in days.iter().enumerate() {
        let date = scene.on.checked_add(Span::new().days(i as i64)).unwrap_or(scene.on);
        depletion -= counted_rain(day);
        room = room.min(depletion.max(0.0));
        depletion = depletion.max(0.0) + demand_coefficient(scene, area, date) * day.et0_mm;
    }
    room
}

/// What an area wants this morning.
pub(super) fn refill(scene: &Scene<'_>, area: &AreaWater, outlook: &Outlook<'_>) -> Refill {
    let next_chance = days_to_next_chance(scene, outlook);
    let short_mm = shortfall(scene, area, outlook, next_chance);
    let mut working = forecast_steps(outlook);
    let formula = if covers(outlook, next_chance) {
        "greatest of (depletion on a morning − RAW of that day), no rain counted, over the days of the forecast with its error"
    } else {
        "greatest of (depletion on a morning − RAW of that day), no rain counted, over the next ten days of all years looked at and the \
             fortnight just gone"
    };
    working.push(Step::new(
        "short before the next chance",
        formula,
        vec![
            Value::number("depletion", area.depletion_mm, "mm"),
            Value::number("days to the next chance", next_chance as f64, "").from("watering rules"),
        ],
        Value::number("short", short_mm, "mm"),
    ));
    if short_mm <= 0.0 {
        return Refill { short_mm: 0.0, depth_mm: 0.0, next_chance, working };
    }
    let usual = least_run(area.raw_mm);
    let least = least_run_before_rain(scene, area, outlook);
    let full = area.depletion_mm;
    let depth_mm = short_mm.max(least).min(full);
    working.push(Step::new(
        "depth to put back",
        "the shortfall, at least three quarters of RAW or 12.7 mm; at most what is missing",
        vec![
            Value::number("short", short_mm, "mm"),
            Value::number("least", least, "mm").from(if least < usual {
                "what leaves room for the rain of the forecast"
            } else {
                "common practice: deep and seldom"
            }),
            Value::number("missing", full, "mm"),
        ],
        Value::number("depth", depth_mm, "mm"),
    ));
    Refill { short_mm, depth_mm, next_chance, working }
}

/// Whether the forecast tells of every day before the next chance.
fn covers(outlook: &Outlook<'_>, days: usize) -> bool {
    outlook.forecast.as_ref().is_some_and(|f| f.days.len() >= days)
}

/// The days of the forecast in the working.
fn forecast_steps(outlook: &Outlook<'_>) -> Vec<Step> {
    let Some(ahead) = &outlook.forecast else { return Vec::new() };
    let step = |(i, day): (usize, &ForecastDay)| {
        let lead = Yard::days_between(ahead.issued, day.date);
        let (low, high) = mean_errors_c(lead);
        let mut values = vec![Value::text("issued", ahead.issued.to_string()).from(ahead.source.clone())];
        values.extend(day.low.map(|t| Value::number("low", t.get(), "°C")));
        values.extend(day.high.map(|t| Value::number("high", t.get(), "°C")));
        values.extend(day.rain.map(|r| Value::number("rain, if it rains", r.get(), "mm")));
        values.extend(day.chance.map(|c| Value::number("chance of rain", c.get(), "%")));
        values.push(Value::number("mean error, low", low, "K").from(ERROR_SOURCE));
        values.push(Value::number("mean error, high", high, "K"));
        let years = outlook.years.iter().filter_map(|y| y.get(i)).map(|d| d.et0_mm);
        let (least, most) = years.fold((f64::INFINITY, 0.0_f64), |(a, b), e| (a.min(e), b.max(e)));
        values.push(Value::number("ET0 at least", least, "mm"));
        Step::new(
            format!("forecast for {}", day.date),
            "low and high with the error forecasts have at that distance; rain in the share of the years its chance says",
            values,
            Value::number("ET0 at most", most, "mm"),
        )
    };
    ahead.days.iter().take(RAIN_DAYS).enumerate().map(step).collect()
}

/// By how much the soil could lie over the line of stress on a morning before the next chance. Rain is never counted on: should it stay
/// away, the grass still has water until then.
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
    if covers(outlook, days) {
        return outlook.years.iter().map(|year| over(&year[..days], 1.0)).fold(f64::NEG_INFINITY, f64::max);
    }
    let eve_most = if outlook.climate_only { f64::INFINITY } else { last_et0 + HOTTER_EVE_MM };
    let ahead = outlook.years.iter().flat_map(|year| year[..year.len().min(HOT_DAYS + days)].windows(days + 1));
    let alike = ahead.filter(|run| run[0].et0_mm <= eve_most);
    let worst_ahead = alike.map(|run| over(&run[1..], heat)).fold(f64::NEG_INFINITY, f64::max);
    gone.windows(days).map(|run| over(run, 1.0)).fold(worst_ahead, f64::max)
}

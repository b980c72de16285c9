//! Water for new seed: little and often, by days since sowing, until the roots can draw from the depth.

use reckon::units::MillimetresPerHour;
use reckon::working::{Step, Value};

use super::Scene;
use super::delivery::{allowed, litres_of};
use super::water::{ZoneState, ZoneWater};
use crate::entry::ZoneFacts;
use crate::fold::Yard;
use crate::units::Quantity;

/// Days new seed is watered by its own rules before the balance takes over (common practice: six weeks).
pub const SEED_WATER_DAYS: i64 = 42;

/// What new seed on an area wants today: depth of one wetting and how often.
pub(super) struct SeedWater {
    sown: jiff::civil::Date,
    pub(super) days: i64,
    phase: &'static str,
    depth_mm: f64,
    runs: u32,
    every_days: i64,
}

/// Watering of new seed by days since sowing and the grass's germination time (common practice; three, two and one wettings a
/// day over the first weeks: University of Nebraska–Lincoln Extension, J. Fech; depths from memory).
pub(super) fn seed_water(scene: &Scene<'_>, area: &str) -> Option<SeedWater> {
    let seeding = scene.yard.last_seeding(area, scene.on)?;
    let days = Yard::days_between(seeding.on, scene.on);
    if days >= SEED_WATER_DAYS {
        return None;
    }
    let (early, late) = scene
        .almanac
        .grass(&seeding.fact.grass)
        .map_or((7, 21), |g| (g.germination_days.low.round() as i64, g.germination_days.high.round() as i64));
    let (phase, depth_mm, runs, every_days) = match days {
        d if d < early.max(7) => ("germinating", 2.5, 3, 1),
        d if d < late.max(14) => ("coming up", 3.0, 2, 1),
        d if d < late.max(14) + 7 => ("knitting", 5.0, 1, 1),
        _ => ("rooting", 10.0, 1, 3),
    };
    Some(SeedWater { sown: seeding.on, days, phase, depth_mm, runs, every_days })
}

/// Fills a zone's plan for the seed on one of its areas.
pub(super) fn seed_plan(
    scene: &Scene<'_>,
    zone: &ZoneFacts,
    plan: &mut ZoneWater,
    area_key: &str,
    seed: &SeedWater,
    rate: MillimetresPerHour,
    rate_value: Value,
) {
    let u = scene.units();
    let yesterday = scene.yesterday();
    let rained = scene.yard.rain.get(&yesterday).copied().unwrap_or(scene.weather.day(yesterday).rain_mm);
    let area = scene.place_of(area_key);
    plan.governing = Some(area.clone());
    plan.need_mm = seed.depth_mm;
    plan.minutes = seed.depth_mm / rate.get() * 60.0;
    plan.minutes_per_cycle = plan.minutes;
    plan.runs_a_day = seed.runs;
    plan.litres = litres_of(scene, zone, rate, plan.minutes);
    let allowed_today = allowed(scene.yard.water_rules.as_ref(), scene.on);
    let exempt = scene.yard.water_rules.as_ref().is_some_and(|r| r.seed_exempt);
    // Rain of 0.15 in or more stands for a run (common practice); a light phase every few days counts from the sowing.
    let its_day = seed.days % seed.every_days == 0;
    plan.state = if rained >= 3.8 && seed.runs <= 1 || !its_day { ZoneState::Wait } else { ZoneState::SeedToday };
    if plan.state == ZoneState::SeedToday {
        plan.water_on = Some(scene.on);
    }
    if !allowed_today && !exempt && plan.state == ZoneState::SeedToday {
        plan.caution = Some(
            "the watering rules forbid today; new seed dies of one dry day. Ask the supplier for a new-seed permit"
                .to_owned(),
        );
    }
    plan.why = format!(
        "{} was sown on {} ({} days ago) and is {}: {} {} of {} a day keep the top of the soil moist.",
        area.name,
        seed.sown,
        seed.days,
        seed.phase,
        seed.runs,
        if seed.runs == 1 { "wetting" } else { "wettings" },
        u.say(Quantity::Depth, seed.depth_mm)
    );
    if seed.every_days > 1 {
        plan.why = format!(
            "{} was sown on {} ({} days ago) and is {}: {} every {} days draws the roots down.",
            area.name,
            seed.sown,
            seed.days,
            seed.phase,
            u.say(Quantity::Depth, seed.depth_mm),
            seed.every_days
        );
    }
    if zone.areas.len() > 1 {
        plan.caution.get_or_insert_with(|| {
            "this zone also waters grown ground, which gets more than it needs meanwhile: use a hose sprinkler if you can".to_owned()
        });
    }
    plan.assumed.push(format!(
        "{}: depth and number of wettings by days since sowing (common practice); look: pale soil is dry soil",
        zone.name
    ));
    plan.working.push(Step::new(
        "minutes of one wetting",
        "depth ÷ rate × 60",
        vec![Value::number("depth", seed.depth_mm, "mm").from("new-seed table, common practice"), rate_value],
        Value::number("minutes", plan.minutes, "min"),
    ));
}

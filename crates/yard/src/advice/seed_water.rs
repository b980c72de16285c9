//! Water for new seed: little and often, by days since sowing, until the roots can draw from the depth.

use reckon::units::MillimetresPerHour;
use reckon::working::{Step, Value};

use super::Scene;
use super::delivery::{allowed, litres_of};
use super::water::{ZoneState, ZoneWater};
use crate::entry::ZoneFacts;
use crate::fold::Yard;
use crate::units::Quantity;

/// Days after which a sowing that never woke is given up as seed in the ground.
const SLEEP_DAYS_MAX: i64 = 240;
/// Rain of a day that stands for one wetting: 0.15 in (common practice).
const RAIN_FOR_A_RUN_MM: f64 = 3.8;

/// How far the seed is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum SeedPhase {
    Asleep { least_c: f64 },
    Germinating,
    ComingUp,
    Knitting,
}

/// What new seed on an area wants today: depth of one wetting and how often.
pub(super) struct SeedWater {
    sown: jiff::civil::Date,
    pub(super) days: i64,
    phase: SeedPhase,
    depth_mm: f64,
    runs: u32,
}

/// Watering of new seed by warm days since sowing and the grass's germination time (common practice; three, two and one wettings
/// a day over the first weeks: University of Nebraska–Lincoln Extension, J. Fech; depths from memory). Days too cold for the seed do
/// not count: it sleeps. Once the stand knits the root-zone balance takes over, with the young roots' depth.
pub(super) fn seed_water(scene: &Scene<'_>, area: &str) -> Option<SeedWater> {
    let seeding = scene.yard.last_seeding(area, scene.on)?;
    let days = Yard::days_between(seeding.on, scene.on);
    if days >= SLEEP_DAYS_MAX {
        return None;
    }
    let grass = scene.almanac.grass(&seeding.fact.grass);
    let (early, late) =
        grass.map_or((7, 21), |g| (g.germination_days.low.round() as i64, g.germination_days.high.round() as i64));
    let least_c = grass.map_or(10.0, |g| g.germination_min_c);
    let since = scene.weather.run(seeding.on, scene.yesterday().max(seeding.on));
    let since = if days == 0 { &[] } else { since.as_slice() };
    let warm_days = since.iter().filter(|d| d.soil_c >= least_c).count() as i64;
    let week = &since[since.len().saturating_sub(5)..];
    let asleep = !week.is_empty() && week.iter().map(|d| d.soil_c).sum::<f64>() / (week.len() as f64) < least_c;
    if asleep && warm_days <= early {
        let phase = SeedPhase::Asleep { least_c };
        return Some(SeedWater { sown: seeding.on, days, phase, depth_mm: 2.5, runs: 0 });
    }
    let (phase, depth_mm, runs) = match warm_days {
        d if d < early.max(7) => (SeedPhase::Germinating, 2.5, 3),
        d if d < late.max(14) => (SeedPhase::ComingUp, 3.0, 2),
        d if d < late.max(14) + 7 => (SeedPhase::Knitting, 5.0, 1),
        _ => return None,
    };
    Some(SeedWater { sown: seeding.on, days, phase, depth_mm, runs })
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
    plan.litres = litres_of(scene, zone, rate, plan.minutes);
    let sown = format!("{} was sown on {} ({} days ago)", area.name, seed.sown, seed.days);
    let phase = match seed.phase {
        SeedPhase::Asleep { least_c } => {
            plan.state = ZoneState::Wait;
            plan.why =
                format!("{sown}; the seed sleeps until the soil holds {}.", u.say(Quantity::Temperature, least_c));
            return;
        }
        SeedPhase::Germinating => "germinating",
        SeedPhase::ComingUp => "coming up",
        SeedPhase::Knitting => "knitting",
    };
    // Yesterday's rain stands for a wetting; wettings already written down today are done.
    let done = scene
        .yard
        .waterings
        .iter()
        .filter(|w| w.on == scene.on && w.fact.zone.as_deref() == Some(zone.key.as_str()))
        .count();
    let spared = u32::from(rained >= RAIN_FOR_A_RUN_MM) + u32::try_from(done).unwrap_or(u32::MAX);
    let runs = seed.runs.saturating_sub(spared);
    plan.runs_a_day = runs.max(1);
    plan.state = if runs > 0 { ZoneState::SeedToday } else { ZoneState::Wait };
    if plan.state == ZoneState::SeedToday {
        plan.water_on = Some(scene.on);
        let allowed_today = allowed(scene.yard.water_rules.as_ref(), scene.on);
        let exempt = scene.yard.water_rules.as_ref().is_some_and(|r| r.seed_exempt);
        if !allowed_today && !exempt {
            plan.caution = Some(
                "the watering rules forbid today; new seed dies of one dry day. Ask the supplier for a new-seed permit"
                    .to_owned(),
            );
        }
    }
    let spared_words = match (rained >= RAIN_FOR_A_RUN_MM, done) {
        (true, _) => format!(" Yesterday's {} stand for one.", u.say(Quantity::Depth, rained)),
        (false, 0) => String::new(),
        (false, n) => format!(" {n} written down today."),
    };
    plan.why = format!(
        "{sown} and is {phase}: {} {} of {} a day keep the top of the soil moist.{spared_words}",
        seed.runs,
        if seed.runs == 1 { "wetting" } else { "wettings" },
        u.say(Quantity::Depth, seed.depth_mm)
    );
    if zone.areas.len() > 1 {
        plan.caution.get_or_insert_with(|| {
            "this zone also waters grown ground, which gets more than it needs meanwhile: use a hose sprinkler if you can"
                .to_owned()
        });
    }
    plan.assumed.push(format!(
        "{}: depth and number of wettings by warm days since sowing (common practice); look: pale soil is dry soil",
        zone.name
    ));
    plan.working.push(Step::new(
        "minutes of one wetting",
        "depth ÷ rate × 60",
        vec![Value::number("depth", seed.depth_mm, "mm").from("new-seed table, common practice"), rate_value],
        Value::number("minutes", plan.minutes, "min"),
    ));
}

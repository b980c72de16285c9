//! Water for new seed: the top of the soil kept moist, by what the air draws from it; deeper and less often as it comes up and roots;
//! then the root-zone balance takes over.

use jiff::{Span, civil::Date};
use reckon::run_time::{RunTimeInput, Scheduling, run_time_working, zone_run_time};
use reckon::soil_water::soil_water_saxton_rawls_2006;
use reckon::surface_layer::{SurfaceLayer, Wetting, kc_max_fao56};
use reckon::units::{Fraction, Metres, MetresPerSecond, Millimetres, MillimetresPerHour, Percent};
use reckon::working::{Step, Value};

use super::delivery::{allowed, intake_of, litres_of};
use super::seed_stage::{SeedStage, Stage};
use super::soil::{irrigation, rain_of};
use super::water::{ZoneState, ZoneWater};
use super::{Scene, Window};
use crate::entry::{AreaFacts, ZoneFacts};
use crate::units::Quantity;
use crate::weather::Outlook;

/// Depth kept moist by stage (common practice: an inch until it is up, two while it comes, four to the first mowing).
const DEPTHS_M: [f64; 3] = [0.0254, 0.0508, 0.1016];
/// Most wettings a day (common practice: two to four).
const WETTINGS_A_DAY: u32 = 4;
/// Days the layer's balance looks back: so thin a layer forgets sooner.
const LOOK_BACK_DAYS: i64 = 10;
/// Rain of a day that moves bare soil: storms under half an inch are left out of the rainfall factor (W. H. Wischmeier and D. D. Smith,
/// *Predicting rainfall erosion losses*, USDA Agriculture Handbook 537, 1978).
const WASHING_RAIN_MM: f64 = 12.7;
/// Slope from which washing is told of ahead of the rain (common practice).
const WASHING_SLOPE_PCT: f64 = 5.0;
/// Slope from which straw does not hold: one in three (common practice).
const BLANKET_SLOPE_PCT: f64 = 33.0;
/// Days ahead and behind a washing rain is looked for.
const WASHING_DAYS: usize = 7;

/// What the layer wants today.
struct LayerNeed {
    depth_mm: f64,
    count: u32,
    cut: bool,
    given_mm: f64,
    working: Vec<Step>,
}

fn layer_need(scene: &Scene<'_>, area: &AreaFacts, seed: &SeedStage, outlook: &Outlook<'_>) -> Option<LayerNeed> {
    let texture = scene.almanac.texture(&area.soil)?;
    let soil = soil_water_saxton_rawls_2006(
        Percent::new(texture.sand_pct),
        Percent::new(texture.clay_pct),
        Percent::new(texture.organic_matter_pct),
    )
    .ok()?;
    let depth = match seed.stage {
        Stage::Asleep | Stage::Germinating => DEPTHS_M[0],
        Stage::ComingUp => DEPTHS_M[1],
        Stage::Rooting => DEPTHS_M[2],
    };
    let rew = texture.evaporable_mm.middle();
    let layer =
        SurfaceLayer::new(soil.field_capacity, soil.wilting_point, Metres::new(depth), Millimetres::new(rew)).ok()?;
    // Bare ground: no height, so wind and humidity do not enter.
    let kc = kc_max_fao56(Wetting::Often, MetresPerSecond::new(2.0), Percent::new(45.0), Metres::new(0.0), 0.0).ok()?;
    let back = scene.on.checked_sub(Span::new().days(LOOK_BACK_DAYS)).ok()?;
    let first = seed.sown.max(back);
    let days = if first < scene.on { scene.weather.run(first, scene.yesterday()) } else { Vec::new() };
    let given = irrigation(scene, &area.key, first, days.len() + 1);
    let mut depletion = layer.rew();
    let (mut rain, mut watered) = (0.0, 0.0);
    for (day, water) in days.iter().zip(&given) {
        let fell = rain_of(scene, day).0;
        rain += fell;
        watered += water;
        let end = layer.step(depletion, Millimetres::new(fell + water), Millimetres::new(kc * day.et0_mm));
        depletion = end.depletion;
    }
    let mut ahead: Vec<f64> = outlook.years.iter().filter_map(|y| y.first()).map(|d| d.et0_mm).collect();
    ahead.sort_by(f64::total_cmp);
    let usual = ahead.get(ahead.len() / 2).copied().unwrap_or(0.0);
    let before = scene.weather.day(scene.yesterday()).et0_mm;
    let et0 = usual.max(before);
    let demand = Millimetres::new(kc * et0);
    let fell_today = scene.yard.rain.get(&scene.on).copied().unwrap_or(0.0);
    let start = Millimetres::new((depletion.get() - fell_today).max(0.0));
    let mut told = layer.wettings(start, demand, WETTINGS_A_DAY);
    if seed.stage == Stage::Rooting && told.count > 0 {
        // Seldom and deep: one run fills the layer again.
        told.count = 1;
        told.cut = false;
        told.depth = start + demand;
    }
    let mut working = SurfaceLayer::working(
        soil.field_capacity,
        soil.wilting_point,
        Metres::new(depth),
        Value::number("REW of 0.10 m", rew, "mm").from(format!("{}, almanac (FAO-56 Table 19)", texture.name)),
    )
    .unwrap_or_default();
    let mm = |name: &'static str, v: f64| Value::number(name, v, "mm");
    working.push(Step::new(
        "gone from the layer by last evening",
        "De = start − rain − watering + Kr × Kc,max × ET0, day by day (FAO-56 eq. 74, 77)",
        vec![
            mm("start", layer.rew().get()).assumed(format!("the surface was dry on {first}")),
            mm("rain", rain).from("your gauge, else the weather record"),
            mm("watering", watered).from("daybook and programme"),
            Value::number("Kc,max", kc, "").from("FAO-56 eq. 72, bare ground wetted daily"),
        ],
        mm("De", depletion.get()),
    ));
    working.push(Step::new(
        "wettings today",
        if seed.stage == Stage::Rooting {
            "one, De + Kc,max × ET0 deep, where that is more than REW"
        } else {
            "n = ⌈(De + Kc,max × ET0 − REW) / REW⌉, at most 4; none where the surface stays moist"
        },
        vec![
            mm("De", start.get()).from("today's gauge counted"),
            mm("ET0", et0).from("the greater of yesterday's and the middle of past years for today"),
            mm("depth of each", told.depth.get()),
        ],
        Value::number("wettings", f64::from(told.count), ""),
    ));
    let given_mm = given.last().copied().unwrap_or(0.0);
    Some(LayerNeed { depth_mm: told.depth.get(), count: told.count, cut: told.cut, given_mm, working })
}

/// What may wash the seed away: heavy rain just gone, and how likely more of it is.
fn washing(scene: &Scene<'_>, area: &AreaFacts, seed: &SeedStage, outlook: &Outlook<'_>) -> Vec<String> {
    let u = scene.units();
    let mut out = Vec::new();
    if !matches!(seed.stage, Stage::Germinating | Stage::ComingUp | Stage::Asleep) {
        return out;
    }
    let back = scene.on.checked_sub(Span::new().days(WASHING_DAYS as i64)).unwrap_or(scene.on).max(seed.sown);
    let looked = |on: Date| scene.yard.scoutings.iter().any(|s| s.fact.area == area.key && s.on > on);
    let fell = |d: &crate::weather::Day| scene.yard.rain.get(&d.date).copied().unwrap_or(d.rain_mm);
    let behind = if back < scene.on { scene.weather.run(back, scene.yesterday()) } else { Vec::new() };
    if let Some(day) = behind.iter().rev().find(|d| fell(d) >= WASHING_RAIN_MM && !d.estimated.rain)
        && !looked(day.date)
    {
        out.push(format!(
            "{} fell on {}, enough to move bare soil: look today for rills, and for seed washed together lower down. Rake it back and sow the bare strips again",
            u.say(Quantity::Depth, fell(day)),
            day.date
        ));
    }
    if area.slope_pct >= WASHING_SLOPE_PCT {
        let years = outlook.years.len();
        let wet = outlook.years.iter().filter(|y| y.iter().take(WASHING_DAYS).any(|d| d.rain_mm >= WASHING_RAIN_MM));
        let cover = if area.slope_pct > BLANKET_SLOPE_PCT {
            "an erosion blanket, pinned"
        } else {
            "straw, so that half of the soil still shows"
        };
        out.push(format!(
            "On {:.0} % of slope a rain of {} or more can wash the seed: such a day comes within a week in {} of {years} years. Cover it with {cover}",
            area.slope_pct,
            u.say(Quantity::Depth, WASHING_RAIN_MM),
            wet.count()
        ));
    }
    out
}

/// Fills a zone's plan for the seed on one of its areas.
pub(super) fn seed_plan(
    scene: &Scene<'_>,
    zone: &ZoneFacts,
    plan: &mut ZoneWater,
    mut seed: SeedStage,
    rate: MillimetresPerHour,
    rate_value: Value,
    outlook: &Outlook<'_>,
) {
    let u = scene.units();
    plan.governing = Some(seed.area.clone());
    plan.working.extend(seed.working.iter().cloned());
    let sown = format!("{} was sown on {} ({} days ago)", seed.area.name, seed.sown, seed.days);
    let area = scene.yard.area(&seed.area.key);
    if let Some(area) = area {
        seed.guard.extend(washing(scene, area, &seed, outlook));
    }
    plan.caution = (!seed.guard.is_empty()).then(|| seed.guard.join(". "));
    if seed.stage == Stage::Asleep {
        plan.state = ZoneState::Wait;
        plan.why =
            format!("{sown}; the seed sleeps until the soil holds {}.", u.say(Quantity::Temperature, seed.least_c));
        plan.seed = Some(seed);
        return;
    }
    plan.state = ZoneState::Wait;
    let Some((area, need)) = area.and_then(|a| Some((a, layer_need(scene, a, &seed, outlook)?))) else {
        plan.state = ZoneState::Unknown;
        plan.why = format!("{sown}, but its soil is not known.");
        plan.seed = Some(seed);
        return;
    };
    // Several zones on one area bring its water together.
    let sharers = scene.yard.zones_of(&area.key).count().max(1) as f64;
    let depth = need.depth_mm / sharers;
    plan.need_mm = depth;
    plan.working.extend(need.working);
    let ground = intake_of(scene, area);
    let input = RunTimeInput {
        need: Millimetres::new(depth),
        rate,
        du_lq: Fraction::new(plan.du_lq),
        scheduling: Scheduling::LowHalf,
        intake: ground.as_ref().map(|g| g.0),
        surface_storage: ground.as_ref().map(|g| g.1),
    };
    // What was put on today counts in whole wettings.
    let done = if need.depth_mm > 0.0 { (need.given_mm / need.depth_mm + 0.1).floor() as u32 } else { 0 };
    let runs = need.count.saturating_sub(done);
    if let Ok(run) = zone_run_time(&input) {
        plan.minutes = run.minutes.get();
        plan.cycles = run.cycles.max(1);
        plan.minutes_per_cycle = run.minutes_per_cycle.get();
        plan.soak_minutes = run.soak.get();
        plan.litres = litres_of(scene, zone, rate, plan.minutes);
        if need.count > 0 {
            let mut values = vec![rate_value];
            values.extend(ground.map(|g| g.2).unwrap_or_default());
            plan.working.push(Step::new(
                "what this zone and its ground are like",
                "rate, intake and storage used below: no run longer than the ground takes it in",
                values,
                Value::number("rate", rate.get(), "mm/h"),
            ));
            plan.working.extend(run_time_working(&input).unwrap_or_default());
        }
    }
    plan.runs_a_day = runs.max(1);
    if runs > 0 {
        plan.state = ZoneState::SeedToday;
        plan.water_on = Some(scene.on);
        let rules = scene.yard.water_rules.as_ref();
        if !allowed(rules, scene.on) && !rules.is_some_and(|r| r.seed_exempt) {
            plan.caution.get_or_insert_with(|| {
                "the watering rules forbid today; new seed dies of one dry day. Ask the supplier for a new-seed permit"
                    .to_owned()
            });
        }
    }
    plan.why = format!(
        "{sown} and is {}: {}",
        seed.stage.words(),
        today_words(scene, &seed, &need_words(need.count, runs, depth, u), runs)
    );
    if need.cut {
        plan.caution.get_or_insert_with(|| {
            "the air draws faster than four wettings put back: shade the seed with straw, or wet it more often"
                .to_owned()
        });
    }
    if zone.areas.len() > 1 && runs > 0 {
        plan.caution.get_or_insert_with(|| {
            "this zone also waters grown ground, which gets more than it needs meanwhile: use a hose sprinkler if you can"
                .to_owned()
        });
    }
    plan.assumed.push(format!(
        "{}: soil temperature and drying reckoned from the weather; look: pale soil is dry soil, and water that moves is too much",
        zone.name
    ));
    plan.window = seed.first_up.or(seed.most_up);
    plan.seed = Some(seed);
}

fn need_words(count: u32, runs: u32, depth_mm: f64, u: crate::units::Units) -> String {
    let depth = u.say(Quantity::Depth, depth_mm);
    match (count, count - runs) {
        (0, _) => "the top of the soil stays moist today without water".to_owned(),
        (n, 0) => format!("{n} {} of {depth} today", if n == 1 { "wetting" } else { "wettings" }),
        (n, done) => format!("{n} wettings of {depth} today, {done} done"),
    }
}

fn today_words(scene: &Scene<'_>, seed: &SeedStage, today: &str, runs: u32) -> String {
    let deep = match seed.stage {
        Stage::Asleep | Stage::Germinating => DEPTHS_M[0],
        Stage::ComingUp => DEPTHS_M[1],
        Stage::Rooting => DEPTHS_M[2],
    };
    let deep = scene.units().say(Quantity::Depth, deep * 1000.0);
    let keep = if runs > 0 { format!(", so that the top {deep} stay moist") } else { String::new() };
    let slow = if seed.with.is_empty() {
        String::new()
    } else {
        format!(" {} is the slowest of the mix and governs.", capital(&seed.grass))
    };
    let up = match (seed.first_up, seed.most_up) {
        (Some(w), _) => format!(" First green likely {}.", span(w)),
        (None, Some(w)) => format!(" Most of it up likely {}.", span(w)),
        (None, None) => {
            " After the first mowing, or once it holds when pulled, it is watered like the rest.".to_owned()
        }
    };
    let told = seed.told.as_ref().map(|t| format!(" {}.", capital(t))).unwrap_or_default();
    format!("{today}{keep}.{slow}{up}{told} Look again {}: {}.", seed.look_on, seed.look_for)
}

/// A window in words; one day where all years agree.
fn span(w: Window) -> String {
    if w.early == w.late { w.likely.to_string() } else { format!("{} ({} to {})", w.likely, w.early, w.late) }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

//! Sowing windows from soil temperature and frost, for ground that is thin or bare.

use almanac::{Grass, Season};
use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};

use super::checks::{check_sowing, nearest_clear_day};
use super::{Item, Job, LogAs, Scene, Urgency, Window, urgency_of, window_of};
use crate::entry::{AreaFacts, Seeded, Sowing, Work};
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::{Outlook, step_soil};

/// Hard freeze: 28 °F (National Weather Service).
const HARD_FREEZE_C: f64 = -2.2;
/// Share of the stand missing from which sowing is worth it (almanac of repairs: gaps under a fifth close by themselves; common
/// practice).
const THIN_PCT: f64 = 15.0;
/// Daily maximum above which cool-season seedlings suffer: 85 °F (from memory).
const HOT_C: f64 = 29.4;
/// Weeks seedlings need before that heat (from memory).
const WEEKS_BEFORE_HEAT: i64 = 8;
/// Days ahead a window is shown.
const LOOK_AHEAD_DAYS: i64 = 90;
/// Days the soil must hold a temperature.
const HOLD_DAYS: usize = 5;

/// A sowing window in one year of the outlook, as days from today.
struct Span1 {
    opens: i64,
    closes: i64,
}

/// Soil temperature of each day ahead in one year.
fn soil_run(scene: &Scene<'_>, year: &[crate::weather::Day]) -> Vec<f64> {
    let mut soil = scene.weather.day(scene.yesterday()).soil_c;
    year.iter()
        .map(|d| {
            soil = step_soil(soil, d.tmean_c());
            soil
        })
        .collect()
}

/// First day from which the mean of five days keeps a condition.
fn first_held(values: &[f64], from: usize, test: impl Fn(f64) -> bool) -> Option<usize> {
    (from..values.len().saturating_sub(HOLD_DAYS))
        .find(|&i| test(values[i..i + HOLD_DAYS].iter().sum::<f64>() / HOLD_DAYS as f64))
}

/// The next window of a cool-season grass in one year: from falling soil temperature to so many days before the first hard freeze.
fn cool_window(scene: &Scene<'_>, year: &[crate::weather::Day], grass: &Grass) -> Option<Span1> {
    let soil = soil_run(scene, year);
    let open_at = scene.almanac.threshold("sow_cool_autumn").map_or(23.9, |t| t.high);
    // Midsummer of this yard: the search for "falling" starts there.
    let start = scene.season_start(7, 15);
    let mut from = Yard::days_between(scene.on, start);
    if from < -120 {
        from = Yard::days_between(scene.on, start.checked_add(Span::new().years(1)).ok()?);
    }
    let from = usize::try_from(from.max(0)).ok()?;
    let opens = first_held(&soil, from, |t| t < open_at)?;
    let freeze = year.iter().enumerate().skip(opens).find(|(_, d)| d.tmin_c <= HARD_FREEZE_C).map(|(i, _)| i)?;
    let closes = freeze as i64 - grass.sow_before_frost_days.unwrap_or(45.0).round() as i64;
    Some(Span1 { opens: opens as i64, closes })
}

/// The spring window of a cool-season grass: soil warm enough until eight weeks before the heat.
fn spring_window(scene: &Scene<'_>, year: &[crate::weather::Day], grass: &Grass) -> Option<Span1> {
    let soil = soil_run(scene, year);
    let opens = first_held(&soil, 0, |t| t >= grass.germination_min_c)?;
    let hot = (opens..year.len().saturating_sub(14))
        .find(|&i| year[i..i + 14].iter().map(|d| d.tmax_c).sum::<f64>() / 14.0 > HOT_C)?;
    Some(Span1 { opens: opens as i64, closes: hot as i64 - WEEKS_BEFORE_HEAT * 7 })
}

/// The window of a warm-season grass: warm soil until 90 days before the first freeze (from memory).
fn warm_window(scene: &Scene<'_>, year: &[crate::weather::Day], grass: &Grass) -> Option<Span1> {
    let soil = soil_run(scene, year);
    let opens = first_held(&soil, 0, |t| t >= grass.germination_min_c)?;
    let freeze = year.iter().enumerate().skip(opens + 30).find(|(_, d)| d.tmin_c <= 0.0).map(|(i, _)| i)?;
    Some(Span1 { opens: opens as i64, closes: freeze as i64 - 90 })
}

/// Share of the stand reported missing, last word of the daybook on it.
fn thin_share(scene: &Scene<'_>, area: &str) -> Option<(f64, Date)> {
    let seen = scene.yard.scoutings.iter().rev().find(|s| s.fact.area == area && s.fact.share_pct.is_some())?;
    let share = seen.fact.share_pct?;
    let sown_since = scene.yard.last_seeding(area, scene.on).is_some_and(|s| s.on >= seen.on);
    (!sown_since && share >= THIN_PCT).then_some((share, seen.on))
}

/// Sowing items for thin ground.
pub fn items(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Vec<Item> {
    scene.yard.lawns().filter_map(|area| item(scene, area, outlook)).collect()
}

fn item(scene: &Scene<'_>, area: &AreaFacts, outlook: &Outlook<'_>) -> Option<Item> {
    let (share, seen_on) = thin_share(scene, &area.key)?;
    if scene.yard.plans.iter().any(|p| matches!(&p.fact.work, Work::Sow(s) if s.area == area.key)) {
        return None;
    }
    let u = scene.units();
    let grass = scene.almanac.grass(area.grass.as_deref()?)?;
    let bare = share >= 50.0;
    let rates = if bare { grass.seed_new_g_m2 } else { grass.seed_over_g_m2 }?;
    let find = |kind: fn(&Scene<'_>, &[crate::weather::Day], &Grass) -> Option<Span1>| {
        let spans: Vec<Option<Span1>> =
            outlook.years.iter().map(|y| kind(scene, y, grass).filter(|s| s.closes >= s.opens)).collect();
        let open = spans.iter().flatten().count() * 2 > spans.len();
        let opens = window_of(scene.on, spans.iter().map(|s| s.as_ref().map(|s| s.opens)).collect());
        let closes = window_of(scene.on, spans.iter().map(|s| s.as_ref().map(|s| s.closes)).collect());
        // The median must exist: more than half of the years have the window.
        if open { likely_pair(opens, closes, &spans, scene.on) } else { None }
    };
    let (opens, closes, season_words) = match grass.season {
        Season::Warm => {
            let (o, c) = find(warm_window)?;
            (o, c, "warm soil until 90 days before the first freeze")
        }
        Season::Cool => {
            match find(spring_window).filter(|(o, _)| Yard::days_between(scene.on, o.likely) <= 30 && spring(scene)) {
                Some((o, c)) => (o, c, "second best, in spring: soil warm enough until eight weeks before the heat"),
                None => {
                    let (o, c) = find(cool_window)?;
                    (o, c, "late summer: soil falling below its summer heat until the seedlings need before hard frost")
                }
            }
        }
    };
    if Yard::days_between(scene.on, opens.likely) > LOOK_AHEAD_DAYS || closes.likely < scene.on {
        return None;
    }
    let sowing = if bare { Sowing::Bare } else { Sowing::Over };
    let rate = rates.middle();
    let seed =
        Seeded { area: area.key.clone(), grass: grass.id.clone(), rate_g_m2: rate, sowing, remark: String::new() };
    let from = opens.likely.max(scene.on);
    let findings = check_sowing(scene, &seed, from, None);
    let clear = nearest_clear_day(from, |day| check_sowing(scene, &seed, day, None));
    let total = rate * area.size_m2 * (if bare { 1.0 } else { share / 100.0 }) / 1000.0;
    let mut amounts = vec![format!(
        "{} of {} at {} ({})",
        u.say(Quantity::Mass, total),
        grass.name,
        u.say(Quantity::Dose, rate),
        if bare { "new ground".to_owned() } else { format!("over the thin {share:.0} %") }
    )];
    if let Some(day) = clear.filter(|d| *d > from) {
        amounts.push(format!("first day nothing in the ground forbids it: {day}"));
    }
    let working = vec![
        Step::new(
            "window",
            season_words,
            vec![
                Value::number("least soil temperature", grass.germination_min_c, "°C").from("almanac"),
                Value::number("days before frost", grass.sow_before_frost_days.unwrap_or(45.0), "")
                    .from("almanac, common practice"),
                Value::text("years", outlook.basis.clone()),
            ],
            Value::text("likely", format!("{} to {}", opens.likely, closes.likely)),
        ),
        Step::new(
            "seed",
            "usual rate × ground",
            vec![
                Value::number("rate", rate, "g/m²").from(grass.source.clone()),
                Value::number("size", area.size_m2, "m²"),
                Value::number("share", if bare { 100.0 } else { share }, "%").from(format!("seen on {seen_on}")),
            ],
            Value::number("seed", total, "kg"),
        ),
    ];
    let open_now = from == scene.on;
    Some(Item {
        id: format!("seed:{}", area.key),
        job: Job::Seed,
        title: format!("Sow {} on {}", grass.name, area.name),
        places: vec![scene.place_of(&area.key)],
        amounts,
        urgency: if open_now { Urgency::ThisWeek } else { urgency_of(scene.on, from) },
        from: Some(from),
        by: Some(closes.likely),
        window: Some(closes),
        window_of: "window closes",        why: format!(
            "{share:.0} % of it was thin or bare on {seen_on}. The window: {season_words}; likely {} to {}.",
            opens.likely, closes.likely
        ),
        findings,
        cautions: vec!["Find and mend the cause first: drainage, shade, grubs, thatch, dry heads. On a slope, hold the seed with straw or a blanket.".to_owned()],
        working,
        assumed: Vec::new(),
        log: vec![LogAs::new(
            "Log it",
            "seeded",
            &[
                ("area", area.key.clone()),
                ("grass", grass.id.clone()),
                ("rate", scene.typed(Quantity::Dose, rate)),
                ("sowing", if bare { "bare" } else { "over" }.to_owned()),
            ],
        )],
    })
}

fn spring(scene: &Scene<'_>) -> bool {
    let start = scene.season_start(1, 1);
    (0..150).contains(&Yard::days_between(start, scene.on))
}

fn likely_pair(
    opens: Option<Window>,
    closes: Option<Window>,
    spans: &[Option<Span1>],
    on: Date,
) -> Option<(Window, Window)> {
    // A year without the window leaves the late end open; the years that have it tell the window then.
    let only = |f: fn(&Span1) -> i64| window_of(on, spans.iter().flatten().map(|s| Some(f(s))).collect());
    Some((opens.or_else(|| only(|s| s.opens))?, closes.or_else(|| only(|s| s.closes))?))
}

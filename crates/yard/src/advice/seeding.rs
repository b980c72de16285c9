//! Sowing windows from soil temperature and frost, for ground that is thin or bare.

use almanac::{Grass, Season};
use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::checks::{check_sowing, nearest_clear_day};
use super::{Item, Job, LogAs, Scene, Urgency, Window, urgency_of, window_of};
use crate::entry::{AreaFacts, Seeded, Sowing, Work};
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::{Day, Outlook, step_soil};

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
/// Days after 1 August (1 February south of the equator) that belong to the late-summer season.
const SEASON_DAYS: i64 = 120;

/// A sowing window in one year of the outlook, as days from today.
struct OneYear {
    opens: i64,
    closes: i64,
}

/// Soil temperature of each day ahead in one year.
pub(super) fn soil_run(scene: &Scene<'_>, year: &[Day]) -> Vec<f64> {
    let mut soil = scene.weather.day(scene.yesterday()).soil_c;
    year.iter()
        .map(|d| {
            soil = step_soil(soil, d.tmean_c());
            soil
        })
        .collect()
}

fn held_mean(values: &[f64], i: usize) -> f64 {
    values[i..i + HOLD_DAYS].iter().sum::<f64>() / HOLD_DAYS as f64
}

/// First day from which the mean of five days keeps a condition.
fn first_held(values: &[f64], from: usize, test: impl Fn(f64) -> bool) -> Option<usize> {
    (from..values.len().saturating_sub(HOLD_DAYS)).find(|&i| test(held_mean(values, i)))
}

/// The next window of a cool-season grass in one year: from the last day of summer-warm soil to so many days before the first hard
/// freeze, or to soil too cold for seed.
fn cool_window(scene: &Scene<'_>, year: &[Day], soil: &[f64], grass: &Grass) -> Option<OneYear> {
    let open_at = scene.almanac.threshold("sow_cool_autumn").map_or(23.9, |t| t.high);
    let start = scene.season_start(8, 1);
    let mut from = Yard::days_between(scene.on, start);
    if from < -SEASON_DAYS {
        from = Yard::days_between(scene.on, start.checked_add(Span::new().years(1)).ok()?);
    }
    let from = usize::try_from(from.max(0)).ok()?;
    let season_end = (from + usize::try_from(SEASON_DAYS).ok()?).min(soil.len().saturating_sub(HOLD_DAYS));
    let opens = (from..season_end).rev().find(|&i| held_mean(soil, i) >= open_at).map_or(from, |i| i + 1);
    // Where neither cold nor frost ends it, the season does.
    let last = (from + usize::try_from(SEASON_DAYS).ok()?).min(soil.len());
    let cold = first_held(soil, opens, |t| t < grass.germination_min_c).unwrap_or(last).min(last);
    let freeze = (opens..year.len()).find(|&i| year[i].tmin_c <= HARD_FREEZE_C).unwrap_or(year.len());
    let before = grass.sow_before_frost_days.unwrap_or(45.0).round() as i64;
    Some(OneYear { opens: opens as i64, closes: (freeze as i64 - before).min(cold as i64) })
}

/// The spring window of a cool-season grass: soil warm enough until eight weeks before the heat, or midsummer where no heat comes.
fn spring_window(_: &Scene<'_>, year: &[Day], soil: &[f64], grass: &Grass) -> Option<OneYear> {
    let opens = first_held(soil, 0, |t| t >= grass.germination_min_c)?;
    let end = (opens + 120).min(year.len().saturating_sub(14));
    let hot =
        (opens..end).find(|&i| year[i..i + 14].iter().map(|d| d.tmax_c).sum::<f64>() / 14.0 > HOT_C).unwrap_or(end);
    Some(OneYear { opens: opens as i64, closes: hot as i64 - WEEKS_BEFORE_HEAT * 7 })
}

/// The window of a warm-season grass: warm soil until 90 days before the first freeze (from memory); without a freeze, all the
/// warm months.
fn warm_window(_: &Scene<'_>, year: &[Day], soil: &[f64], grass: &Grass) -> Option<OneYear> {
    let opens = first_held(soil, 0, |t| t >= grass.germination_min_c)?;
    // The outlook is a year long; what lies beyond it is told by the same days a year before.
    let span = year.len().min(soil.len());
    let ahead = |i: usize| i % span.max(1);
    let end = opens + 365;
    let freeze = (opens + 30..end).find(|&i| year[ahead(i)].tmin_c <= 0.0).unwrap_or(end);
    let cold = (opens + 30..end).find(|&i| soil[ahead(i)] < grass.germination_min_c - 2.0).unwrap_or(end);
    let before = grass.sow_before_frost_days.unwrap_or(90.0).round() as i64;
    Some(OneYear { opens: opens as i64, closes: (freeze as i64 - before).min(cold as i64) })
}

/// When a grass may be sown next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SowWindow {
    /// Grass key.
    pub grass: String,
    /// Its name.
    pub name: String,
    /// First day.
    pub opens: Window,
    /// Last day.
    pub closes: Window,
    /// What opens and closes it.
    pub words: &'static str,
}

impl SowWindow {
    /// Whether half of the years would call it too late by this day.
    pub fn late(&self, on: Date) -> bool {
        self.closes.likely < on
    }
}

/// The next sowing window of each grass of the yard that is sown.
pub fn windows(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Vec<SowWindow> {
    let mut out: Vec<SowWindow> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    let soils: Vec<Vec<f64>> = outlook.years.iter().map(|year| soil_run(scene, year)).collect();
    for key in scene.yard.lawns().filter_map(|a| a.grass.as_deref()) {
        if seen.contains(&key) {
            continue;
        }
        seen.push(key);
        if let Some(grass) = scene.almanac.grass(key).filter(|g| g.seed_new_g_m2.is_some()) {
            out.extend(window(scene, grass, outlook, &soils));
        }
    }
    out
}

type Kind = fn(&Scene<'_>, &[Day], &[f64], &Grass) -> Option<OneYear>;

fn window(scene: &Scene<'_>, grass: &Grass, outlook: &Outlook<'_>, soils: &[Vec<f64>]) -> Option<SowWindow> {
    let find = |kind: Kind, words: &'static str| -> Option<SowWindow> {
        let years: Vec<OneYear> =
            outlook.years.iter().zip(soils).filter_map(|(year, soil)| kind(scene, year, soil, grass)).collect();
        // Ahead of the season most years must have the window. Once it is open, it stays until the latest years close it.
        let having = years.iter().filter(|y| y.closes >= y.opens).count();
        let open_now = years.iter().filter(|y| y.opens <= 0).count() * 2 > years.len();
        if having == 0 || (!open_now && having * 2 <= outlook.years.len()) {
            return None;
        }
        let dates = |f: fn(&OneYear) -> i64| window_of(scene.on, years.iter().map(|y| Some(f(y))).collect(), 366);
        let (opens, closes) = (dates(|y| y.opens)?, dates(|y| y.closes)?);
        let over = closes.late < scene.on;
        (!over).then(|| SowWindow { grass: grass.id.clone(), name: grass.name.clone(), opens, closes, words })
    };
    match grass.season {
        Season::Warm => find(warm_window, "warm soil until so long before the first freeze that the grass can root"),
        Season::Cool => {
            let spring =
                find(spring_window, "second best, in spring: soil warm enough until eight weeks before the heat")
                    .filter(|w| spring(scene) && Yard::days_between(scene.on, w.opens.likely) <= 30);
            spring.or_else(|| {
                find(cool_window, "late summer: soil cooling down, and time for the seedlings before hard frost")
            })
        }
    }
}

/// Share of the stand reported missing, last word of the daybook on it.
pub(super) fn thin_share(scene: &Scene<'_>, area: &str) -> Option<(f64, Date)> {
    let seen = scene.yard.scoutings.iter().rev().find(|s| s.fact.area == area && s.fact.share_pct.is_some())?;
    let share = seen.fact.share_pct?;
    let sown_since = scene
        .yard
        .seedings
        .iter()
        .any(|s| s.on >= seen.on && s.on <= scene.on && scene.yard.meet(area, scene.on, &s.fact.area, s.on));
    (!sown_since && share >= THIN_PCT).then_some((share, seen.on))
}

/// Sowing items for thin ground.
pub fn items(scene: &Scene<'_>, windows: &[SowWindow], outlook: &str) -> Vec<Item> {
    scene.yard.lawns().filter_map(|area| item(scene, area, windows, outlook)).collect()
}

fn item(scene: &Scene<'_>, area: &AreaFacts, windows: &[SowWindow], outlook: &str) -> Option<Item> {
    let (share, seen_on) = thin_share(scene, &area.key)?;
    if scene.yard.plans.iter().any(|p| matches!(&p.fact.work, Work::Sow(s) if s.area == area.key)) {
        return None;
    }
    let u = scene.units();
    let grass = scene.almanac.grass(area.grass.as_deref()?)?;
    let bare = share >= 50.0;
    let rates = if bare { grass.seed_new_g_m2 } else { grass.seed_over_g_m2 }?;
    let window = windows.iter().find(|w| w.grass == grass.id)?;
    let late = window.late(scene.on);
    let SowWindow { opens, closes, words: season_words, .. } = window.clone();
    if Yard::days_between(scene.on, opens.likely) > LOOK_AHEAD_DAYS || closes.late < scene.on {
        return None;
    }
    let by = if late { closes.late } else { closes.likely };
    let sowing = if bare { Sowing::Bare } else { Sowing::Over };
    let rate = rates.middle();
    let seed = Seeded {
        area: area.key.clone(),
        grass: grass.id.clone(),
        rate_g_m2: rate,
        spot_m2: None,
        sowing,
        remark: String::new(),
    };
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
                Value::text("years", outlook),
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
        urgency: match (open_now, Yard::days_between(scene.on, by) <= 10) {
            (true, true) => Urgency::Today,
            (true, false) => Urgency::ThisWeek,
            _ => urgency_of(scene.on, from),
        },
        from: Some(from),
        by: Some(by),
        window: Some(closes),
        window_of: "window closes",        why: format!(
            "{share:.0} % of it was thin or bare on {seen_on}. The window: {season_words}; likely {} to {}.{}",
            opens.likely,
            closes.likely,
            if late { " Half of the years would call it too late by now: sow at once or wait for the next window." } else { "" }
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

//! How far new seed is: the heat it gathered in the soil, what the daybook saw of it, and when past years would have it up.
//!
//! Heat sums are of moist seed; one that was let go dry is later than told. What was seen goes before what was reckoned.

use almanac::Grass;
use jiff::{Span, civil::Date};
use reckon::seed_heat::{heat_of_days, seed_heat_day};
use reckon::units::{Celsius, DegreeDays};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::seeding::soil_run;
use super::{Scene, Where, Window, window_of};
use crate::entry::{Scouted, Seeded, Seedlings, Sowing};
use crate::fold::{Dated, GOOD_PART, Yard};
use crate::units::Quantity;
use crate::weather::{Day, Outlook};

/// Days after which a sowing that never woke is given up as seed in the ground.
const SLEEP_DAYS_MAX: i64 = 240;
/// Days between two sowings on the same ground that count as one mix.
const MIX_DAYS: i64 = 14;
/// Days after most of it is up until the root-zone balance takes over, where neither mower nor hand told sooner (common practice: the
/// third week and the first mowing).
const ROOTING_DAYS: usize = 21;
/// Days the word "nothing up yet" holds.
const NONE_HOLDS_DAYS: i64 = 3;
/// Days ahead emergence is looked for.
const HORIZON_DAYS: i64 = 120;
/// Green share of a photo, or cover, of a bare sowing from which the first, and most of it, is up (common practice).
const GREEN_FIRST_PCT: f64 = 10.0;
const GREEN_MOST_PCT: f64 = 50.0;
/// Share over the heat of a full stand from which seed not up is overdue.
const OVERDUE: f64 = 1.5;

/// How far the seed is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// The soil is too cold for it.
    Asleep,
    /// It lies moist and swells; a dry day kills it.
    Germinating,
    /// The first are up, others still to come.
    ComingUp,
    /// Most are up and root.
    Rooting,
}

impl Stage {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Asleep => "asleep in cold soil",
            Self::Germinating => "germinating",
            Self::ComingUp => "coming up",
            Self::Rooting => "rooting",
        }
    }
}

/// New seed on an area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeedStage {
    /// Where.
    pub area: Where,
    /// The grass that is furthest behind.
    pub grass: String,
    /// Other grasses sown with it.
    pub with: Vec<String>,
    /// Day of the last sowing.
    pub sown: Date,
    /// Days since.
    pub days: i64,
    /// How far it is.
    pub stage: Stage,
    /// Heat gathered (°C d), moved by what was seen.
    pub heat: f64,
    /// Heat to the first up, half up, and the full stand (°C d).
    pub needs: [f64; 3],
    /// When the first are up, where that is still to come.
    pub first_up: Option<Window>,
    /// When most are up, where that is still to come.
    pub most_up: Option<Window>,
    /// What the daybook saw last, and when.
    pub told: Option<String>,
    /// Day to look again.
    pub look_on: Date,
    /// What to look for.
    pub look_for: String,
    /// What threatens the seed: washing, being long overdue.
    pub guard: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
    #[serde(skip)]
    pub(super) least_c: f64,
}

/// The three heat sums of a grass and their origin.
struct Needs {
    base: f64,
    best: f64,
    at: f64,
    sums: [f64; 3],
    half_published: bool,
    base_published: bool,
}

impl Needs {
    /// A published field figure for half of the stand; else the germination days, turned into heat at the middle of the good range.
    fn of(grass: &Grass) -> Option<Self> {
        let base = grass.heat_base_c.unwrap_or(grass.germination_min_c);
        let best = grass.heat_best_c.unwrap_or(grass.germination_good_c.high);
        let at = grass.germination_good_c.middle().min(best);
        let sum = |days: f64| {
            heat_of_days(days, Celsius::new(base), Celsius::new(best), Celsius::new(at)).map(DegreeDays::get).ok()
        };
        let (first, last) = (sum(grass.germination_days.low)?, sum(grass.germination_days.high)?);
        let half = grass.heat_half_up.unwrap_or((first + last) / 2.0).clamp(first, last);
        Some(Self {
            base,
            best,
            at,
            sums: [first, half, last],
            half_published: grass.heat_half_up.is_some(),
            base_published: grass.heat_base_c.is_some(),
        })
    }

    fn of_day(&self, soil_c: f64) -> f64 {
        let c = Celsius::new;
        seed_heat_day(c(self.base), c(self.best), c(soil_c)).map_or(0.0, DegreeDays::get)
    }
}

/// What an entry says of new seed on bare or living ground.
fn seen_in(s: &Scouted, sowing: Sowing) -> Option<Seedlings> {
    if s.seedlings.is_some() {
        return s.seedlings;
    }
    if s.findings.iter().any(|f| f.finding == "tug" && f.outcome == "firm") {
        return Some(Seedlings::Rooted);
    }
    // Over a living stand neither a photo nor a share tells the seedlings from their elders.
    if sowing == Sowing::Over {
        return None;
    }
    let cover = s.green_pct.or_else(|| s.share_pct.map(|bare| 100.0 - bare))?;
    match cover {
        c if c >= GREEN_MOST_PCT => Some(Seedlings::MostUp),
        c if c >= GREEN_FIRST_PCT => Some(Seedlings::FirstUp),
        _ => None,
    }
}

/// Heat of a grass by the end of each day since its sowing, moved by what was seen.
fn heat_run(needs: &Needs, since: &[Day], seen: &[(Date, Seedlings)]) -> Vec<f64> {
    let [first, _, last] = needs.sums;
    let mut heat = 0.0;
    let mut out = Vec::with_capacity(since.len());
    for day in since {
        heat += needs.of_day(day.soil_c);
        for (_, told) in seen.iter().filter(|(on, _)| *on == day.date) {
            heat = match told {
                Seedlings::NoneYet => heat.min(first),
                Seedlings::FirstUp => heat.clamp(first, last),
                Seedlings::MostUp | Seedlings::Rooted => heat.max(last),
            };
        }
        out.push(heat);
    }
    out
}

/// New seed on an area that still wants water of its own; `None` where there is none, or where the root-zone balance has taken over.
pub fn seed_stage(scene: &Scene<'_>, area: &str, outlook: &Outlook<'_>) -> Option<SeedStage> {
    let latest = scene.yard.last_seeding(area, scene.on)?;
    let days = Yard::days_between(latest.on, scene.on);
    if days >= SLEEP_DAYS_MAX {
        return None;
    }
    let here = |s: &&Dated<Seeded>| {
        s.on <= latest.on
            && Yard::days_between(s.on, latest.on) <= MIX_DAYS
            && scene.yard.share_of(area, &s.fact.area, s.on) >= GOOD_PART
    };
    let mut seen: Vec<(Date, Seedlings)> = scene
        .yard
        .scoutings
        .iter()
        .filter(|s| s.on >= latest.on && s.on <= scene.on && scene.yard.share_of(area, &s.fact.area, s.on) >= GOOD_PART)
        .filter_map(|s| Some((s.on, seen_in(&s.fact, latest.fact.sowing)?)))
        .collect();
    seen.sort_by_key(|(on, _)| *on);
    if seen.iter().any(|(_, told)| *told == Seedlings::Rooted) {
        return None;
    }
    // The slowest grass of a mix governs.
    let mut slowest: Option<(f64, &Grass, Needs, Vec<f64>, f64)> = None;
    let mut names: Vec<&str> = Vec::new();
    for sowing in scene.yard.seedings.iter().filter(here) {
        let Some(grass) = scene.almanac.grass(&sowing.fact.grass) else { continue };
        let Some(needs) = Needs::of(grass) else { continue };
        if !names.contains(&grass.name.as_str()) {
            names.push(&grass.name);
        }
        // Today is not over: what was seen today counts, its heat does not.
        let mut since = if sowing.on < scene.on { scene.weather.run(sowing.on, scene.yesterday()) } else { Vec::new() };
        since.push(Day { soil_c: needs.base, date: scene.on, ..scene.weather.day(scene.on) });
        let run = heat_run(&needs, &since, &seen);
        let plain: f64 = since.iter().map(|d| needs.of_day(d.soil_c)).sum();
        let far = run.last().copied().unwrap_or(0.0) / needs.sums[2].max(1e-9);
        if slowest.as_ref().is_none_or(|s| far < s.0) {
            slowest = Some((far, grass, needs, run, plain));
        }
    }
    let (_, grass, needs, run, plain) = slowest?;
    let [first, half, last] = needs.sums;
    let heat = run.last().copied().unwrap_or(0.0);
    let full_for = run.iter().filter(|h| **h >= last).count();
    if full_for > ROOTING_DAYS || mown(scene, area, latest, grass, heat >= first) {
        return None;
    }
    let yesterday = scene.yesterday();
    let week = scene.weather.run(yesterday.checked_sub(Span::new().days(4)).unwrap_or(yesterday), yesterday);
    let soil_c = week.iter().map(|d| d.soil_c).sum::<f64>() / week.len().max(1) as f64;
    let none_lately = seen
        .last()
        .is_some_and(|(on, told)| *told == Seedlings::NoneYet && Yard::days_between(*on, scene.on) <= NONE_HOLDS_DAYS);
    let stage = match heat {
        h if h < first && days > 0 && soil_c < grass.germination_min_c => Stage::Asleep,
        h if h < first || none_lately => Stage::Germinating,
        h if h < last => Stage::ComingUp,
        _ => Stage::Rooting,
    };
    let until = |goal: f64| {
        let days = outlook.years.iter().map(|year| {
            let mut sum = heat;
            let ahead = soil_run(scene, year).into_iter().take(HORIZON_DAYS as usize);
            ahead.map(|soil| needs.of_day(soil)).position(|h| {
                sum += h;
                sum >= goal
            })
        });
        window_of(scene.on, days.map(|d| d.map(|n| n as i64)).collect(), HORIZON_DAYS)
    };
    let first_up = if heat < first { until(first) } else { None };
    let most_up = if heat < last { until(last) } else { None };
    let after = |n: i64| scene.on.checked_add(Span::new().days(n)).unwrap_or(scene.on);
    let (look_on, look_for) = match stage {
        Stage::Asleep => (after(7), "whether the soil has warmed: a thermometer an inch deep, in the morning"),
        Stage::Germinating => (
            first_up.map_or(after(1), |w| w.early.max(after(1))),
            "the first green: from the side, low, in the morning",
        ),
        Stage::ComingUp => (after(3), "how much is up: a photo from above tells the green share"),
        Stage::Rooting => (after(7), "whether seedlings hold when gently pulled"),
    };
    let u = scene.units();
    let mut guard = Vec::new();
    if none_lately && plain > OVERDUE * last {
        guard.push(format!(
            "The heat for a full stand is long past ({} of {}) and nothing is up: dig for seed. If it is dry, soft or gone, sow again",
            u.say(Quantity::DegreeDays, plain),
            u.say(Quantity::DegreeDays, last)
        ));
    }
    let value = |name: &'static str, v: f64| Value::number(name, v, "°C·d");
    let base = Value::number("Tb", needs.base, "°C");
    let base = if needs.base_published {
        base.from(format!("{}, almanac", grass.name))
    } else {
        base.assumed(format!("no base is published for {}; the floor below which its seed waits", grass.name))
    };
    let days_value = |name: &'static str, d: f64| {
        Value::number(name, d, "d").from(format!("{} in the good range, almanac", grass.name))
    };
    let half_origin = if needs.half_published { "published field figure, almanac" } else { "middle of first and last" };
    let working = vec![
        Step::new(
            "heat the seed needs",
            "days × (min(T, To) − Tb) at the middle of the good range; to the first up and to the full stand",
            vec![
                days_value("first", grass.germination_days.low),
                days_value("last", grass.germination_days.high),
                Value::number("T", needs.at, "°C"),
                Value::number("To", needs.best, "°C"),
                base,
                value("half up", half).from(half_origin),
                value("first up", first),
            ],
            value("full stand", last),
        ),
        Step::new(
            "heat since it was sown",
            "sum of max(min(T, To) − Tb, 0) over the days, T the soil under the seed; held to what was seen",
            vec![
                Value::text("sown", latest.on.to_string()),
                Value::number("days", days as f64, ""),
                value("before what was seen", plain).from("soil temperature reckoned from the air's"),
            ],
            value("heat", heat),
        ),
    ];
    Some(SeedStage {
        area: scene.place_of(area),
        grass: grass.name.clone(),
        with: names.iter().filter(|n| **n != grass.name).map(|n| (*n).to_owned()).collect(),
        sown: latest.on,
        days,
        stage,
        heat,
        needs: needs.sums,
        first_up,
        most_up,
        told: seen.last().map(|(on, told)| format!("seen {on}: {}", told.words())),
        look_on,
        look_for: look_for.to_owned(),
        guard,
        working,
        least_c: grass.germination_min_c,
    })
}

/// The first mowing ends the seed's own watering: on bare ground one after it is up, over a living stand one after the seedlings' own
/// weeks.
fn mown(scene: &Scene<'_>, area: &str, sown: &Dated<Seeded>, grass: &Grass, up: bool) -> bool {
    let Some(mowing) = scene.yard.last_mowing(area, scene.on).filter(|m| m.on > sown.on) else { return false };
    match sown.fact.sowing {
        Sowing::Bare => up,
        Sowing::Over => Yard::days_between(sown.on, mowing.on) as f64 >= 7.0 * grass.first_mow_weeks.low && up,
    }
}

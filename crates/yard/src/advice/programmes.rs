//! What is typed into the controller: programmes, days, start times, minutes; what changed since last week; what rain saves.

mod days;

use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use jiff::{Span, ToSpan};
use reckon::run_time::{RunTimeInput, Scheduling, longest_cycle, zone_run_time};
use reckon::schedule::{Limits, Planned, Rule, ZoneRun, schedule};
use reckon::sun::{Instant, solar_position};
use reckon::units::{Degrees, Fraction, Hours, LitresPerMinute, Millimetres};
use reckon::working::{Step, Value};
use serde::Serialize;

pub use self::days::day_words;
use self::days::{days_for, spread, widest_gap};
use super::Scene;
use super::delivery::{intake_of, litres_of, zone_rate, zone_uniformity};
use super::soil::{AreaWater, area_balances};
use super::water::closed_for_winter;
use crate::entry::{ControllerFacts, ZoneFacts};
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::Outlook;

/// Days the programme is for.
const WEEK: i64 = 7;
/// Hours where none were told: from 2 until 8 (common practice: before sunrise, when air is still and leaves dry soon after).
const USUAL_HOURS: (f64, f64) = (120.0, 480.0);
/// Depth of a run not worth a start (mm), common practice: it hardly wets the thatch.
const LEAST_RUN_MM: f64 = 3.0;
/// Elevation of the sun's middle at sunrise: half its disc and refraction (U.S. Naval Observatory's definition).
const SUNRISE_DEG: f64 = -0.833;

/// What a zone wants in a week without rain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneWeek {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Water its thirstiest area uses in the week (mm), the middle of the years.
    pub use_mm: f64,
    /// Depth at which stress begins there (mm).
    pub raw_mm: f64,
    /// Weekdays as bits, Monday the first.
    pub days: u8,
    /// Depth on each of them (mm).
    pub depth_mm: f64,
    /// Whole minutes on each of them.
    pub minutes: u32,
    /// Most minutes at a time.
    pub longest: u32,
    /// Least minutes between two runs of a day.
    pub soak: u32,
    /// Flow (L/min).
    pub flow_lpm: f64,
    /// What goes wrong even so.
    pub caution: Option<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
}

impl ZoneWeek {
    /// Minutes in the week.
    pub fn week_minutes(&self) -> u32 {
        self.minutes * self.days.count_ones()
    }
}

/// A zone's place in a programme.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Station {
    /// Zone key.
    pub zone: String,
    /// Zone name.
    pub name: String,
    /// Minutes at every start.
    pub minutes: u32,
}

/// One programme as it is typed in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TypedProgramme {
    /// Its letter (common practice).
    pub letter: char,
    /// Weekdays as bits, Monday the first.
    pub days: u8,
    /// Start times, minutes after midnight.
    pub starts: Vec<f64>,
    /// Zones in the order they run.
    pub stations: Vec<Station>,
}

/// A zone whose week differs from the last one's.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Changed {
    /// Zone name.
    pub name: String,
    /// Minutes in the week before, had it been asked a week ago.
    pub before: u32,
    /// Minutes in this week.
    pub now: u32,
    /// Why.
    pub why: String,
}

/// What a rain does to a zone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RainSaves {
    /// Zone name.
    pub name: String,
    /// Watering days left out.
    pub days: u32,
    /// Minutes the next run may be shorter.
    pub shorter: u32,
    /// Minutes saved in all.
    pub minutes: u32,
    /// Water saved (L).
    pub litres: f64,
    /// The next day it runs; `None` when not in this week.
    pub next: Option<Date>,
}

/// What is typed into the controller for the week ahead.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ControllerPlan {
    /// Zones that run, and what each wants.
    pub zones: Vec<ZoneWeek>,
    /// Zones that do not run, and why.
    pub resting: Vec<(String, String)>,
    /// Programmes; empty when nothing runs or nothing fits.
    pub programmes: Vec<TypedProgramme>,
    /// Minutes from the first start to the last end.
    pub span_minutes: u32,
    /// No programmes have a shorter span than this.
    pub least_span_minutes: u32,
    /// Last end, minutes after midnight.
    pub end_minute: f64,
    /// Why it ends then.
    pub end_why: String,
    /// What would have to give, in words, when it does not fit.
    pub relax: Vec<String>,
    /// What changed since last week.
    pub changed: Vec<Changed>,
    /// What was assumed.
    pub assumed: Vec<String>,
}

/// The limits of a controller nobody told of: three programmes of four starts (common practice).
fn controller(scene: &Scene<'_>) -> (ControllerFacts, bool) {
    match &scene.yard.controller {
        Some(told) => (told.fact.clone(), false),
        None => (ControllerFacts::default(), true),
    }
}

/// What is typed into the controller for the seven days from the scene's day on.
///
/// Each zone gets its thirstiest area's dry-week use (median over the years of `Kc ET0`, no rain counted) on the fewest days
/// that keep the soil above the stress line between two runs. Zones of like days share programmes; the split and the start
/// times are [`reckon::schedule`]'s. It ends by sunrise where that fits: wind rises with the sun (common practice).
pub fn controller_plan(scene: &Scene<'_>) -> ControllerPlan {
    let (limits, assumed_controller) = controller(scene);
    let (mut zones, resting) = week(scene);
    share_days(&mut zones, limits.programmes as usize, scene);
    spread(&mut zones, limits.programmes as usize, scene);
    let mut plan = ControllerPlan {
        changed: changed(scene, &zones),
        zones,
        resting,
        programmes: Vec::new(),
        span_minutes: 0,
        least_span_minutes: 0,
        end_minute: 0.0,
        end_why: String::new(),
        relax: Vec::new(),
        assumed: Vec::new(),
    };
    if assumed_controller {
        plan.assumed.push(
            "the controller has three programmes of four start times (common practice); tell yours: toft log controller"
                .to_owned(),
        );
    }
    plan.assumed.extend(plan.zones.iter().flat_map(|z| z.assumed.iter().cloned()));
    if plan.zones.is_empty() {
        return plan;
    }
    let (from, until, told) = hours(scene);
    if !told {
        plan.assumed
            .push("watering hours from 2:00 to 8:00 (common practice); tell yours: toft log water-rules".to_owned());
    }
    let (sunrise, zone_told) = sunrise(scene);
    let ends = ends(from, until, sunrise);
    let runs: Vec<ZoneRun> = plan.zones.iter().map(|z| run_of(z, &limits)).collect();
    let mut refused = Vec::new();
    for (end, why) in &ends {
        let window = ((end - from).rem_euclid(1440.0).floor() as u32).max(1);
        let asked = Limits {
            programmes: limits.programmes,
            starts: limits.starts,
            window,
            at_once: limits.at_once,
            supply: limits.supply_lpm.map(LitresPerMinute::new),
        };
        match schedule(&runs, &asked) {
            Ok(Planned::Fits(found)) => {
                let first = end.floor() - f64::from(found.span);
                plan.programmes = typed(&plan.zones, &found, first);
                (plan.span_minutes, plan.least_span_minutes) = (found.span, found.least_span);
                (plan.end_minute, plan.end_why) = (end.floor(), why.clone());
                if !zone_told && sunrise.is_some() {
                    plan.assumed
                        .push("sunrise in standard time of the longitude: tell the yard's time zone".to_owned());
                }
                return plan;
            }
            Ok(Planned::TooMuch(ways)) => refused = ways.iter().map(|w| relax_words(w, window)).collect(),
            Err(fault) => refused = vec![fault.to_string()],
        }
    }
    plan.relax = refused;
    plan
}

/// Ends to try: by sunrise, then by the end of the hours.
fn ends(from: f64, until: f64, sunrise: Option<f64>) -> Vec<(f64, String)> {
    let whole = (until - from).rem_euclid(1440.0);
    let mut out = Vec::new();
    if let Some(rise) = sunrise {
        let ahead = (rise - from).rem_euclid(1440.0);
        if ahead < whole {
            out.push((rise, "by sunrise, before the wind rises".to_owned()));
        }
    }
    let late = if out.is_empty() {
        "the end of the watering hours"
    } else {
        "the end of the watering hours: it does not fit before sunrise"
    };
    out.push((until, late.to_owned()));
    out
}

fn minute_of(time: Time) -> f64 {
    f64::from(time.hour()) * 60.0 + f64::from(time.minute())
}

fn hours(scene: &Scene<'_>) -> (f64, f64, bool) {
    scene
        .yard
        .water_rules
        .as_ref()
        .map_or((USUAL_HOURS.0, USUAL_HOURS.1, false), |r| (minute_of(r.from), minute_of(r.until), true))
}

/// Sunrise as minutes after local midnight, and whether the time zone was told.
fn sunrise(scene: &Scene<'_>) -> (Option<f64>, bool) {
    let place = scene.weather.place();
    let told = scene.yard.facts.as_ref().and_then(|f| f.time_zone.as_deref()).and_then(|n| TimeZone::get(n).ok());
    let zone_told = told.is_some();
    let offset_min = told
        .and_then(|tz| scene.on.at(5, 0, 0, 0).to_zoned_datetime(tz).ok())
        .map_or_else(|| (place.longitude_deg / 15.0).round() * 60.0, |z| f64::from(z.offset().seconds()) / 60.0);
    let up = |minute: i32| {
        let utc = f64::from(minute) - offset_min;
        let day = scene.on.checked_add(((utc / 1440.0).floor() as i64).days()).ok()?;
        let at = Instant {
            year: u16::try_from(day.year()).ok()?,
            day_of_year: day.day_of_year().unsigned_abs(),
            hour_utc: Hours::new(utc.rem_euclid(1440.0) / 60.0),
        };
        let sun = solar_position(Degrees::new(place.latitude_deg), Degrees::new(place.longitude_deg), at).ok()?;
        Some(sun.elevation.get() >= SUNRISE_DEG)
    };
    let rise = (1..900).find(|&m| up(m - 1) == Some(false) && up(m) == Some(true));
    (rise.map(f64::from), zone_told)
}

fn run_of(zone: &ZoneWeek, limits: &ControllerFacts) -> ZoneRun {
    ZoneRun {
        minutes: zone.minutes,
        longest: zone.longest.min(limits.longest_min).max(1),
        soak: zone.soak,
        flow: LitresPerMinute::new(zone.flow_lpm),
        days: zone.days,
    }
}

/// The zones that run in the week, and those that do not.
fn week(scene: &Scene<'_>) -> (Vec<ZoneWeek>, Vec<(String, String)>) {
    let outlook = scene.weather.outlook(scene.yesterday(), 366);
    let areas = area_balances(scene);
    let (mut zones, mut resting) = (Vec::new(), Vec::new());
    for zone in &scene.yard.zones {
        match zone_week(scene, zone, &areas, &outlook) {
            Ok(week) => zones.push(week),
            Err(why) => resting.push((zone.name.clone(), why)),
        }
    }
    (zones, resting)
}

fn zone_week(
    scene: &Scene<'_>,
    zone: &ZoneFacts,
    areas: &[AreaWater],
    outlook: &Outlook<'_>,
) -> Result<ZoneWeek, String> {
    if let Some(why) = closed_for_winter(scene) {
        return Err(why);
    }
    let (rate, rate_value) = zone_rate(scene, zone).ok_or("no sprinkler kind is known for it")?;
    let (du, du_assumed) = zone_uniformity(scene, zone);
    let governing = areas
        .iter()
        .filter(|a| zone.areas.contains(&a.key) && !a.resting)
        .max_by(|a, b| (a.kc / a.raw_mm.max(1.0)).total_cmp(&(b.kc / b.raw_mm.max(1.0))))
        .ok_or("none of its areas is growing")?;
    let mut uses: Vec<f64> =
        outlook.years.iter().map(|y| y.iter().take(WEEK as usize).map(|d| governing.kc * d.et0_mm).sum()).collect();
    uses.sort_by(f64::total_cmp);
    let use_mm = uses.get(uses.len() / 2).copied().unwrap_or(0.0);
    if use_mm < LEAST_RUN_MM {
        return Err(format!("its week's use, {}, is not worth a run", scene.units().say(Quantity::Depth, use_mm)));
    }
    let sharers = scene.yard.zones_of(&governing.key).count().max(1) as f64;
    let flow_lpm = zone.flow_lpm.unwrap_or_else(|| litres_of(scene, zone, rate, 1.0));
    let mut assumed = Vec::new();
    if rate_value.assumed || du_assumed {
        assumed.push(format!("{}: rate or evenness is not measured; an audit with cans would tell", zone.name));
    }
    let mut week = ZoneWeek {
        key: zone.key.clone(),
        name: zone.name.clone(),
        use_mm: use_mm / sharers,
        raw_mm: governing.raw_mm / sharers,
        days: 0,
        depth_mm: 0.0,
        minutes: 0,
        longest: 1440,
        soak: 0,
        flow_lpm,
        caution: None,
        assumed,
        working: vec![Step::new(
            "Use of a week without rain",
            "7 days of Kc × ET₀, the middle of the years",
            vec![Value::number("Kc", governing.kc, "").from(governing.name.clone())],
            Value::number("use", use_mm, "mm"),
        )],
    };
    let most = u8::try_from((1..=7).filter(|d| days_for(scene, *d).is_some()).max().unwrap_or(1)).unwrap_or(7);
    let enough = (1..=i64::from(most)).find(|&d| {
        days_for(scene, d as usize).is_some_and(|m| f64::from(widest_gap(m)) * week.use_mm / 7.0 <= week.raw_mm)
    });
    if enough.is_none() {
        week.caution = Some(format!(
            "on all {most} days that may be watered it still dries to {} between runs; stress begins at {}",
            scene.units().say(Quantity::Depth, week.use_mm / f64::from(most)),
            scene.units().say(Quantity::Depth, week.raw_mm)
        ));
    }
    run_on(
        scene,
        &mut week,
        usize::try_from(enough.unwrap_or(i64::from(most))).unwrap_or(1),
        zone,
        (rate, du),
        governing,
    )?;
    Ok(week)
}

/// Sets days, depth and minutes for so many days a week.
fn run_on(
    scene: &Scene<'_>,
    week: &mut ZoneWeek,
    count: usize,
    zone: &ZoneFacts,
    (rate, du): (reckon::units::MillimetresPerHour, f64),
    governing: &AreaWater,
) -> Result<(), String> {
    let days = days_for(scene, count).ok_or("the watering rules leave no day in the week")?;
    week.days = days;
    week.depth_mm = week.use_mm / f64::from(days.count_ones());
    let ground = scene.yard.area(&governing.key).and_then(|a| intake_of(scene, a));
    let input = RunTimeInput {
        need: Millimetres::new(week.depth_mm),
        rate,
        du_lq: Fraction::new(du),
        scheduling: Scheduling::LowHalf,
        intake: ground.as_ref().map(|g| g.0),
        surface_storage: ground.as_ref().map(|g| g.1),
    };
    let run = zone_run_time(&input).map_err(|fault| format!("{}: {fault}", zone.name))?;
    week.minutes = (run.minutes.get().ceil() as u32).max(1);
    week.soak = run.soak.get().ceil() as u32;
    let limit = ground.and_then(|(intake, storage, _)| longest_cycle(rate, intake, storage).ok().flatten());
    week.longest = limit.map_or(1440, |m| (m.get().floor() as u32).max(1));
    week.working.truncate(1);
    week.working.push(Step::new(
        "Days",
        "fewest days between which the soil does not dry to the stress line",
        vec![
            Value::number("stress begins at", week.raw_mm, "mm"),
            Value::number("widest gap", f64::from(widest_gap(days)), "d"),
        ],
        Value::number("days a week", f64::from(days.count_ones()), ""),
    ));
    week.working.extend(reckon::run_time::run_time_working(&input).unwrap_or_default());
    Ok(())
}

/// Brings the zones to no more kinds of days than there are programmes: the zones of the fewest days run oftener.
fn share_days(zones: &mut [ZoneWeek], programmes: usize, scene: &Scene<'_>) {
    loop {
        let mut kinds: Vec<u8> = zones.iter().map(|z| z.days).collect();
        kinds.sort_unstable_by_key(|m| (m.count_ones(), *m));
        kinds.dedup();
        let (Some(&few), Some(&more)) = (kinds.first(), kinds.get(1)) else { return };
        if kinds.len() <= programmes.max(1) {
            return;
        }
        let areas = area_balances(scene);
        for week in zones.iter_mut().filter(|z| z.days == few) {
            let Some(zone) = scene.yard.zone(&week.key) else { continue };
            let Some((rate, _)) = zone_rate(scene, zone) else { continue };
            let (du, _) = zone_uniformity(scene, zone);
            if let Some(area) = areas.iter().find(|a| zone.areas.contains(&a.key) && !a.resting) {
                let oftener = more.count_ones() as usize;
                if run_on(scene, week, oftener, zone, (rate, du), area).is_err() {
                    continue;
                }
            }
            week.days = more;
        }
    }
}

fn typed(zones: &[ZoneWeek], found: &reckon::schedule::Schedule, first: f64) -> Vec<TypedProgramme> {
    let mut order: Vec<_> = found.programmes.iter().collect();
    order.sort_by_key(|p| p.starts.first().copied());
    order
        .into_iter()
        .zip('A'..='Z')
        .map(|(p, letter)| TypedProgramme {
            letter,
            days: p.days,
            starts: p.starts.iter().map(|s| (first + f64::from(*s)).rem_euclid(1440.0)).collect(),
            stations: p
                .zones
                .iter()
                .zip(&p.minutes)
                .map(|(&i, &minutes)| Station { zone: zones[i].key.clone(), name: zones[i].name.clone(), minutes })
                .collect(),
        })
        .collect()
}

fn relax_words(rules: &[Rule], window: u32) -> String {
    let one = |rule: &Rule| match *rule {
        Rule::Window(minutes) => {
            format!("{} minutes more watering time ({minutes} in all)", minutes.saturating_sub(window))
        }
        Rule::Starts(n) => format!("{n} start times a programme"),
        Rule::Programmes(n) => format!("{n} programmes"),
        Rule::AtOnce(n) => format!("{n} zones at once, where supply and controller bear it"),
        Rule::Supply(flow) => format!("a supply of {:.0} L/min", flow.get()),
        Rule::Water(share) => format!("{:.0} % of the water a day, the rest on further days", share.get()),
    };
    rules.iter().map(one).collect::<Vec<_>>().join(" and ")
}

/// Zones whose minutes in the week differ from those of a week ago by a tenth or more.
fn changed(scene: &Scene<'_>, now: &[ZoneWeek]) -> Vec<Changed> {
    let Ok(then) = scene.on.checked_sub(Span::new().days(WEEK)) else { return Vec::new() };
    let known = scene.weather.known_before(then, scene.almanac);
    let (mut before, _) = week(&Scene { yard: scene.yard, weather: &known, almanac: scene.almanac, on: then });
    let (limits, _) = controller(scene);
    share_days(&mut before, limits.programmes as usize, scene);
    let u = scene.units();
    let mut out = Vec::new();
    for zone in now {
        let old = before.iter().find(|z| z.key == zone.key);
        let (was, is) = (old.map_or(0, ZoneWeek::week_minutes), zone.week_minutes());
        if was.abs_diff(is) * 10 < was.max(is) || was == is {
            continue;
        }
        let why = old.map_or_else(
            || "a week ago it did not run".to_owned(),
            |o| {
                format!(
                    "a dry week used {} then and uses {} now",
                    u.say(Quantity::Depth, o.use_mm),
                    u.say(Quantity::Depth, zone.use_mm)
                )
            },
        );
        out.push(Changed { name: zone.name.clone(), before: was, now: is, why });
    }
    for gone in before.iter().filter(|z| !now.iter().any(|n| n.key == z.key)) {
        let why = "it does not run now".to_owned();
        out.push(Changed { name: gone.name.clone(), before: gone.week_minutes(), now: 0, why });
    }
    out
}

/// What a rain of this depth tonight saves each zone in the week: runs are left out while the soil lasts until the one
/// after, and the next is shorter by what is left of the rain.
///
/// All of the rain the root zone has room for counts; what runs off a hard or steep surface does not, so a cloudburst saves
/// less (look at the gauge and the soil).
pub fn rain_saves(scene: &Scene<'_>, plan: &ControllerPlan, rain_mm: f64) -> Vec<RainSaves> {
    let areas = area_balances(scene);
    plan.zones
        .iter()
        .filter_map(|week| {
            let zone = scene.yard.zone(&week.key)?;
            let (rate, _) = zone_rate(scene, zone)?;
            let area = areas
                .iter()
                .filter(|a| zone.areas.contains(&a.key) && !a.resting)
                .max_by(|a, b| (a.depletion_mm - a.raw_mm).total_cmp(&(b.depletion_mm - b.raw_mm)))?;
            let daily = week.use_mm * f64::from(scene.yard.zones_of(&area.key).count().max(1) as u32) / 7.0;
            let running: Vec<Date> = (1..=WEEK)
                .filter_map(|n| scene.on.checked_add(Span::new().days(n)).ok())
                .filter(|d| week.days >> (d.weekday().to_monday_one_offset() - 1) & 1 == 1)
                .collect();
            // A run is left out while the soil lasts until the one after.
            let left_out = |rain_mm: f64| {
                let left_mm = (area.depletion_mm - rain_mm).max(0.0);
                let lasts = |i: &usize| {
                    let until = running.get(i + 1).copied().unwrap_or_else(|| running[*i] + Span::new().days(1));
                    left_mm + daily * Yard::days_between(scene.on, until) as f64 <= area.raw_mm
                };
                (0..running.len()).take_while(lasts).count()
            };
            let (without, with) = (left_out(0.0), left_out(rain_mm));
            // What the soil took in beyond the runs left out stands for the next one or for part of it.
            let counted =
                rain_mm.min(area.depletion_mm) / f64::from(scene.yard.zones_of(&area.key).count().max(1) as u32);
            let rest = (counted - week.depth_mm * (with - without) as f64).max(0.0);
            let whole = usize::from(rest >= week.depth_mm && with < running.len());
            let next = running.get(with + whole).copied();
            let days = with - without + whole;
            let part = if whole == 0 && next.is_some() { rest.min(week.depth_mm) / week.depth_mm } else { 0.0 };
            let shorter = (part * f64::from(week.minutes)).floor() as u32;
            let minutes = week.minutes * days as u32 + shorter;
            Some(RainSaves {
                name: week.name.clone(),
                days: days as u32,
                shorter,
                minutes,
                litres: litres_of(scene, zone, rate, f64::from(minutes)),
                next,
            })
        })
        .collect()
}

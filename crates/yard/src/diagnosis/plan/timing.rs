//! When something begins or ends to work, every past year laid on the days ahead.

use almanac::{Ground, InsectStage, Moment, RemedyWindow, StageMethod};
use jiff::{Span, civil::Date};
use reckon::degree_days::{Method, degree_days};
use reckon::units::Celsius;
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::advice::{Scene, Window, window_of};
use crate::fold::Yard;
use crate::weather::{Day, Outlook, step_soil};

/// Days ahead a window is looked for.
const HORIZON_DAYS: i64 = 366;

/// The days between which something works.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct When {
    /// It works today, in half of the years and more.
    pub open: bool,
    /// First day.
    pub from: Window,
    /// Last day.
    pub until: Window,
    /// What opens and closes it.
    pub words: String,
    /// A threshold in it was recalled, not read.
    pub recalled: bool,
    /// Source.
    pub source: String,
}

impl When {
    /// The day to do it on, today at the earliest.
    pub fn day(&self, on: Date) -> Date {
        if self.open { on } else { self.from.likely.max(on) }
    }
}

/// A season's run of days in one year of the outlook: what is known of the year until yesterday, then that year's days.
struct Run<'a> {
    known: &'a [Day],
    ahead: &'a [Day],
    /// Soil of each day ahead, carried on from yesterday's.
    soil: Vec<f64>,
    /// Date of the first day ahead.
    on: Date,
}

impl Run<'_> {
    /// Date, air and soil of every day from one on.
    fn days(&self, from: Date) -> impl Iterator<Item = (Date, &Day, f64)> {
        let known = self.known.iter().map(|d| (d.date, d, d.soil_c));
        let ahead = self.ahead.iter().zip(&self.soil).enumerate().filter_map(|(i, (day, soil))| {
            Some((self.on.checked_add(Span::new().days(i64::try_from(i).ok()?)).ok()?, day, *soil))
        });
        known.chain(ahead).skip_while(move |(date, ..)| *date < from)
    }
}

fn of_day(row: &InsectStage, day: &Day) -> f64 {
    let method = match row.method {
        StageMethod::Average => Method::Average,
        StageMethod::SingleSine => Method::SingleSine,
        // Not counted in degree days; no remedy leans on such a row.
        StageMethod::SoilUp | StageMethod::SoilDown | StageMethod::Calendar => return 0.0,
    };
    let (low, high) = (Celsius::new(day.tmin_c), Celsius::new(day.tmax_c));
    degree_days(method, Celsius::new(row.base_c), row.upper_c.map(Celsius::new), low, high).map_or(0.0, |d| d.get())
}

/// The day a moment comes in the season that starts in the year of `year` (north: a calendar year).
fn comes(scene: &Scene<'_>, run: &Run<'_>, moment: &Moment, years_on: i64) -> Option<Date> {
    let start = |month: u8, day: u8| -> Option<Date> {
        let this = year_day(scene, month, day)?;
        this.checked_add(Span::new().years(years_on)).ok()
    };
    match moment {
        Moment::Stage { stage, sum, days } => {
            let row = scene.almanac.insect_stages.iter().find(|s| s.id == *stage)?;
            let [month, day] = row.start;
            let goal = sum.unwrap_or(row.low);
            let mut so_far = 0.0;
            let reached = run.days(start(month, day)?).find_map(|(date, day, _)| {
                so_far += of_day(row, day);
                (so_far >= goal).then_some(date)
            })?;
            reached.checked_add(Span::new().days(*days)).ok()
        }
        Moment::SoilAbove { c, start: [month, day], hold } => held(run, start(*month, *day)?, *hold, |t| t >= *c),
        Moment::SoilBelow { c, start: [month, day], hold } => held(run, start(*month, *day)?, *hold, |t| t <= *c),
        Moment::Day { month, day } => start(*month, *day),
    }
}

/// This season's year's day of a northern month and day: the one whose year began last on or before today.
fn year_day(scene: &Scene<'_>, month: u8, day: u8) -> Option<Date> {
    let begin = scene.season_start(1, 1);
    let add = |m: u8, d: u8| {
        let months = Span::new().months(i64::from(m) - 1);
        begin.checked_add(months).ok()?.checked_add(Span::new().days(i64::from(d) - 1)).ok()
    };
    add(month, day)
}

/// First day whose mean of so many days of the soil passes.
fn held(run: &Run<'_>, from: Date, hold: usize, test: impl Fn(f64) -> bool) -> Option<Date> {
    let mut last: Vec<f64> = Vec::new();
    run.days(from).find_map(|(date, _, soil)| {
        last.push(soil);
        let window = last.get(last.len().checked_sub(hold)?..)?;
        test(window.iter().sum::<f64>() / hold as f64).then_some(date)
    })
}

/// When a window opens and closes next, this season or, once it is over in most years, the next.
pub(super) fn when(scene: &Scene<'_>, outlook: &Outlook<'_>, window: &RemedyWindow) -> Option<When> {
    let begin = scene.season_start(1, 1);
    let last = scene.yesterday();
    let known = if begin <= last { scene.weather.run(begin, last) } else { Vec::new() };
    let soil_now = scene.weather.day(last).soil_c;
    let runs: Vec<Run<'_>> = outlook
        .years
        .iter()
        .map(|year| {
            let mut soil = soil_now;
            let soils = year.iter().map(|d| {
                soil = step_soil(soil, d.tmean_c());
                soil
            });
            Run { known: &known, ahead: year, soil: soils.collect(), on: scene.on }
        })
        .collect();
    let dates = |moment: &Moment, years_on: i64| -> Vec<Option<i64>> {
        let days = runs.iter().map(|run| Some(Yard::days_between(scene.on, comes(scene, run, moment, years_on)?)));
        days.collect()
    };
    [0, 1].into_iter().find_map(|years_on| {
        let from = window_of(scene.on, dates(&window.from, years_on), HORIZON_DAYS)?;
        // A close beyond the year looked at comes no earlier than it opens.
        let until = window_of(scene.on, dates(&window.until, years_on), HORIZON_DAYS);
        let until = until.unwrap_or(Window { early: from.late, likely: from.late, late: from.late });
        (until.likely >= scene.on).then(|| When {
            open: from.likely <= scene.on,
            from,
            until,
            words: window.words.clone(),
            recalled: window.basis == Ground::FromMemory,
            source: window.source.clone(),
        })
    })
}

/// The working of a window.
pub(super) fn working(label: &'static str, when: &When, outlook: &Outlook<'_>) -> Step {
    let dates = |w: &Window| format!("{}, {}, {}", w.early, w.likely, w.late);
    Step::new(
        label,
        "day on which it is reached in each past year laid on the days ahead; 10, 50 and 90 % of them",
        vec![
            Value::text("opens and closes", when.words.clone()).from(when.source.clone()),
            Value::text("years", outlook.basis.clone()),
            Value::text("opens: early, likely, late", dates(&when.from)),
            Value::text("closes: early, likely, late", dates(&when.until)),
        ],
        Value::text("today", if when.open { "open" } else { "not yet open" }),
    )
}

/// First day the grass grows at half of its best or more over a week, in each past year; `None` when it does already.
pub(super) fn grows_from(scene: &Scene<'_>, outlook: &Outlook<'_>, season: almanac::Season) -> Option<Window> {
    let last = scene.yesterday();
    let first = last.checked_sub(Span::new().days(6)).unwrap_or(last);
    let week = scene.weather.run(first, last);
    let mean = |days: &[Day]| days.iter().map(|d| d.growth(season)).sum::<f64>() / days.len().max(1) as f64;
    if mean(&week) >= GROWS {
        return None;
    }
    let until = outlook.years.iter().map(|year| {
        let at = year.windows(7).position(|w| mean(w) >= GROWS)?;
        i64::try_from(at).ok()
    });
    window_of(scene.on, until.collect(), HORIZON_DAYS)
}

/// Growth potential from which grass heals a wound (PACE Turf's reading of its curve: from a half growth is good).
pub(super) const GROWS: f64 = 0.5;

/// Hard freeze: 28 °F (National Weather Service).
const HARD_FREEZE_C: f64 = -2.2;
/// Days from 1 August (1 February south of the equator) that belong to the autumn begun.
const AUTUMN_DAYS: i64 = 150;

/// Days of growth ahead before the first hard freeze of the next autumn, the median over the past years.
pub(super) fn growing_days(scene: &Scene<'_>, outlook: &Outlook<'_>, season: almanac::Season) -> f64 {
    let begun = scene.season_start(8, 1);
    let autumn = match Yard::days_between(begun, scene.on) {
        0..AUTUMN_DAYS => 0,
        _ => begun.checked_add(Span::new().years(1)).map_or(0, |next| Yard::days_between(scene.on, next)),
    };
    let autumn = usize::try_from(autumn).unwrap_or(0);
    let mut days: Vec<usize> = outlook
        .years
        .iter()
        .map(|year| {
            let end = (autumn..year.len()).find(|&i| year[i].tmin_c <= HARD_FREEZE_C).unwrap_or(year.len());
            year[..end].iter().filter(|d| d.growth(season) >= GROWS).count()
        })
        .collect();
    days.sort_unstable();
    days.get(days.len() / 2).map_or(0.0, |d| *d as f64)
}

//! Stages of a weed by degree days, soil temperature or the calendar, with every past year laid on the days ahead.

use std::collections::VecDeque;

use almanac::{Weed, WeedMeasure, WeedStage, WeedStageRow};
use jiff::{Span, civil::Date};
use reckon::degree_days::{Method, degree_days};
use reckon::units::Celsius;
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::advice::{Scene, Window, window_of};
use crate::fold::Yard;
use crate::watch::StageState;
use crate::weather::{Day, Outlook, step_soil};

/// Days whose mean soil temperature is looked at; Fidanza, Dernoeden and Zhang 1996 took seven.
const SOIL_DAYS: usize = 7;
/// Days after its end a stage still counts as over, and is not yet looked for again.
const OVER_DAYS: i64 = 90;
/// Days ahead a stage is looked for.
const HORIZON_DAYS: i64 = 366;

/// A stage on the scene's day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StageNow {
    /// The stage.
    pub stage: WeedStage,
    /// Where in its season it is.
    pub state: StageState,
    /// The day it began, once it has.
    pub began: Option<Date>,
    /// The day it is over, once it has begun.
    pub over: Option<Date>,
    /// When it begins next, in the years looked at.
    pub begins: Option<Window>,
    /// True where the figure is recalled, not looked up.
    pub recalled: bool,
    /// True where the calendar tells it, not the weather.
    pub by_calendar: bool,
    /// The computation.
    pub working: Vec<Step>,
    /// Source of the figure.
    pub source: String,
}

/// Feeds days to a row until the stage is reached.
struct Tracker<'a> {
    row: &'a WeedStageRow,
    sum: f64,
    week: VecDeque<f64>,
}

impl<'a> Tracker<'a> {
    fn new(row: &'a WeedStageRow) -> Self {
        Self { row, sum: 0.0, week: VecDeque::with_capacity(SOIL_DAYS) }
    }

    /// A day before counting begins: only the week of soil temperatures remembers it.
    fn before(&mut self, soil_c: f64) {
        if self.week.len() == SOIL_DAYS {
            self.week.pop_front();
        }
        self.week.push_back(soil_c);
    }

    /// A day that counts; true once the stage is reached.
    fn day(&mut self, day: &Day, soil_c: f64) -> bool {
        self.before(soil_c);
        let base = Celsius::new(self.row.base_c);
        let over = |low: f64, high: f64| {
            degree_days(Method::Average, base, None, Celsius::new(low), Celsius::new(high)).map_or(0.0, |d| d.get())
        };
        match self.row.measure {
            WeedMeasure::Date => return true,
            WeedMeasure::AirGdd => self.sum += over(day.tmin_c, day.tmax_c),
            WeedMeasure::SoilGdd => self.sum += over(soil_c, soil_c),
            WeedMeasure::SoilRise | WeedMeasure::SoilFall => self.sum = self.mean(),
        }
        let full = self.week.len() == SOIL_DAYS;
        match self.row.measure {
            WeedMeasure::SoilRise => full && self.sum >= self.row.low,
            WeedMeasure::SoilFall => full && self.sum < self.row.low,
            _ => self.sum >= self.row.low,
        }
    }

    fn mean(&self) -> f64 {
        self.week.iter().sum::<f64>() / self.week.len().max(1) as f64
    }

    fn restart(&mut self) {
        self.sum = 0.0;
    }
}

fn plus(date: Date, days: i64) -> Option<Date> {
    date.checked_add(Span::new().days(days)).ok()
}

/// Every stage of a weed on the scene's day.
pub fn stages_of(scene: &Scene<'_>, outlook: &Outlook<'_>, weed: &Weed) -> Vec<StageNow> {
    weed.stages.iter().filter_map(|row| one(scene, outlook, row)).collect()
}

fn one(scene: &Scene<'_>, outlook: &Outlook<'_>, row: &WeedStageRow) -> Option<StageNow> {
    let [month, day] = row.start;
    let start = scene.season_start(i8::try_from(month).ok()?, i8::try_from(day).ok()?);
    let last = scene.yesterday();
    let mut tracker = Tracker::new(row);
    let mut reached = None;
    if row.measure == WeedMeasure::Date {
        reached = Some(start);
    } else if start <= last {
        for day in scene.weather.run(plus(start, 1 - SOIL_DAYS as i64)?, last) {
            if day.date < start {
                tracker.before(day.soil_c);
            } else if reached.is_none() && tracker.day(&day, day.soil_c) {
                reached = Some(day.date);
            }
        }
    }
    let wait = i64::from(row.wait_days);
    let so_far = tracker.sum;
    let first = reached.and_then(|d| plus(d, wait));
    let over = first.and_then(|d| plus(d, i64::from(row.lasts_days)));
    let state = match (first, over) {
        (Some(first), Some(over)) if first <= scene.on && scene.on <= over => StageState::Now,
        (Some(first), Some(over)) if first <= scene.on && Yard::days_between(over, scene.on) <= OVER_DAYS => {
            StageState::Past
        }
        _ => StageState::Ahead,
    };
    // A season long over is looked for in the next one.
    let again = state == StageState::Ahead && first.is_some_and(|d| d <= scene.on);
    let begins = if state != StageState::Ahead {
        None
    } else if let (Some(day), false) = (first, again) {
        Some(Window { early: day, likely: day, late: day })
    } else {
        let next_start = start.checked_add(Span::new().years(1)).ok()?;
        let soil = scene.weather.day(last).soil_c;
        let ahead = |year: &[Day]| days_until(scene, row, year, next_start, soil, (!again).then_some(so_far));
        let until = outlook.years.iter().map(|year| Some(ahead(year)? + wait)).collect();
        window_of(scene.on, until, HORIZON_DAYS + wait)
    };
    let (began, over) = match state {
        StageState::Ahead => (None, None),
        _ => (first, over),
    };
    let weeds = &scene.almanac.weeds;
    let recalled = weeds.recalled(&row.from);
    let source = weeds.source_words(&row.from).to_owned();
    let working = working(row, start, so_far, begins, outlook, recalled, &source);
    let by_calendar = row.measure == WeedMeasure::Date;
    Some(StageNow { stage: row.stage, state, began, over, begins, recalled, by_calendar, working, source })
}

/// Days from today until the stage is reached in one year of the outlook. `so_far` is this season's sum; `None` when only the
/// next season counts.
fn days_until(
    scene: &Scene<'_>,
    row: &WeedStageRow,
    year: &[Day],
    next_start: Date,
    soil_now_c: f64,
    so_far: Option<f64>,
) -> Option<i64> {
    let mut tracker = Tracker::new(row);
    let mut counts = so_far.is_some();
    tracker.sum = so_far.unwrap_or(0.0);
    let mut soil_c = soil_now_c;
    for (i, day) in year.iter().enumerate() {
        let n = i64::try_from(i).ok()?;
        soil_c = step_soil(soil_c, day.tmean_c());
        if plus(scene.on, n)? == next_start {
            tracker.restart();
            counts = true;
        }
        if !counts {
            tracker.before(soil_c);
        } else if tracker.day(day, soil_c) {
            return Some(n);
        }
    }
    None
}

fn working(
    row: &WeedStageRow,
    start: Date,
    so_far: f64,
    begins: Option<Window>,
    outlook: &Outlook<'_>,
    recalled: bool,
    source: &str,
) -> Vec<Step> {
    let (how, unit) = match row.measure {
        WeedMeasure::AirGdd => ("Σ max((Tmax + Tmin)/2 − B, 0)", "°C·d"),
        WeedMeasure::SoilGdd => ("Σ max(soil − B, 0)", "°C·d"),
        WeedMeasure::SoilRise => ("mean soil of seven days, rising to", "°C"),
        WeedMeasure::SoilFall => ("mean soil of seven days, falling below", "°C"),
        WeedMeasure::Date => return Vec::new(),
    };
    let read = if recalled { "recalled".to_owned() } else { source.to_owned() };
    let mut values = vec![Value::text("from", start.to_string())];
    if unit == "°C·d" {
        values.push(Value::number("B", row.base_c, "°C"));
    }
    values.push(Value::number("wanted", row.low, unit).from(read));
    if row.wait_days > 0 {
        values.push(Value::number("days after it", f64::from(row.wait_days), "d"));
    }
    let mut steps = vec![Step::new("so far", how, values, Value::number("at the end of yesterday", so_far, unit))];
    if let Some(w) = begins {
        steps.push(Step::new(
            "begins",
            "day on which it is reached in each past year laid on the days ahead; 10, 50 and 90 % of them",
            vec![Value::text("years", outlook.basis.clone())],
            Value::text("early, likely, late", format!("{}, {}, {}", w.early, w.likely, w.late)),
        ));
    }
    steps
}

//! Stages of insects, mites and root diseases by degree days, by the soil or by the calendar, with every past year laid on the days
//! ahead.

use almanac::{Ground, InsectStage, StageMethod};
use jiff::{Span, civil::Date};
use reckon::degree_days::{Method, degree_days};
use reckon::units::Celsius;
use reckon::working::{Step, Value};

use super::{InsectWatch, StageState, places};
use crate::advice::{Scene, Where, window_of};
use crate::entry::{AreaFacts, Cover};
use crate::fold::Yard;
use crate::weather::{Day, Outlook};

/// Days a stage stays on the list after its upper sum; common practice.
const LINGERS_DAYS: i64 = 14;
/// Days ahead a window is looked for.
const HORIZON_DAYS: i64 = 366;

/// Days of the mean of the soil.
const SOIL_DAYS: usize = 5;
/// Days a sighting goes on counting.
const SEEN_DAYS: i64 = 60;

/// What follows a row's season, day by day.
#[derive(Clone)]
struct Gauge<'a> {
    row: &'a InsectStage,
    sum: f64,
    soil: Vec<f64>,
}

impl<'a> Gauge<'a> {
    fn new(row: &'a InsectStage) -> Self {
        Self { row, sum: 0.0, soil: Vec::new() }
    }

    /// Takes in one more day.
    fn step(&mut self, day: &Day) {
        match self.row.method {
            StageMethod::Average => self.sum += self.of_day(Method::Average, day),
            StageMethod::SingleSine => self.sum += self.of_day(Method::SingleSine, day),
            StageMethod::SoilUp | StageMethod::SoilDown | StageMethod::Calendar => {
                self.soil.push(day.soil_c);
                if self.soil.len() > SOIL_DAYS {
                    self.soil.remove(0);
                }
            }
        }
    }

    fn of_day(&self, method: Method, day: &Day) -> f64 {
        let (low, high) = (Celsius::new(day.tmin_c), Celsius::new(day.tmax_c));
        let upper = self.row.upper_c.map(Celsius::new);
        degree_days(method, Celsius::new(self.row.base_c), upper, low, high).map_or(0.0, |d| d.get())
    }

    /// The sum, or the mean of the soil.
    fn value(&self) -> f64 {
        match self.row.method {
            StageMethod::Average | StageMethod::SingleSine => self.sum,
            _ => self.soil.iter().sum::<f64>() / self.soil.len().max(1) as f64,
        }
    }

    fn has_reached(&self, goal: f64) -> bool {
        let whole = self.soil.len() == SOIL_DAYS;
        match self.row.method {
            StageMethod::Average | StageMethod::SingleSine => self.sum >= goal,
            StageMethod::SoilUp => whole && self.value() >= goal,
            StageMethod::SoilDown => whole && self.value() <= goal,
            StageMethod::Calendar => true,
        }
    }
}

/// Areas a row is about: lawns of its grasses or of those of its cause, or areas whose plants are named.
fn hosts(scene: &Scene<'_>, row: &InsectStage) -> Vec<Where> {
    let cause = row.cause.as_deref().and_then(|c| scene.almanac.cause(c));
    let lawns_of = |grasses: &[String]| -> Vec<&AreaFacts> {
        let takes = |g: &String| grasses.is_empty() || grasses.contains(g);
        scene.yard.lawns().filter(|a| a.grass.as_ref().is_some_and(takes)).collect()
    };
    let areas: Vec<&AreaFacts> = match cause {
        Some(cause) => lawns_of(&cause.grasses),
        None if !row.grasses.is_empty() => lawns_of(&row.grasses),
        None => scene
            .yard
            .areas
            .iter()
            .filter(|a| !a.retired && matches!(a.cover, Cover::Bed | Cover::Hedge | Cover::Turf))
            .filter(|a| {
                let plants = format!("{} {}", a.plants, a.name).to_lowercase();
                row.plants.iter().any(|p| plants.contains(p.as_str()))
            })
            .collect(),
    };
    places(scene, areas, false)
}

/// The day a row counts from: its own, or that of the newest look with its word in it.
fn counts_from(scene: &Scene<'_>, row: &InsectStage) -> Option<Date> {
    let Some(word) = &row.after_seen else {
        let [month, day] = row.start;
        return Some(scene.season_start(i8::try_from(month).ok()?, i8::try_from(day).ok()?));
    };
    let newest = scene
        .yard
        .scoutings
        .iter()
        .rev()
        .find(|s| s.on <= scene.on && !s.fact.settled && s.fact.seen.to_lowercase().contains(word.as_str()))?;
    (Yard::days_between(newest.on, scene.on) <= SEEN_DAYS).then_some(newest.on)
}

/// Every row whose hosts the yard has, in the order they come.
pub(super) fn watched(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Vec<InsectWatch> {
    let mut out: Vec<InsectWatch> =
        scene.almanac.insect_stages.iter().filter_map(|row| one(scene, outlook, row)).collect();
    out.sort_by_key(|i| (i.state == StageState::Past, i.began.or(i.begins.map(|w| w.likely))));
    out
}

/// Day on which a goal is first reached in a run.
fn reached(row: &InsectStage, days: &[Day], goal: f64) -> Option<Date> {
    let mut gauge = Gauge::new(row);
    days.iter().find_map(|d| {
        gauge.step(d);
        gauge.has_reached(goal).then_some(d.date)
    })
}

fn one(scene: &Scene<'_>, outlook: &Outlook<'_>, row: &InsectStage) -> Option<InsectWatch> {
    let places = hosts(scene, row);
    if places.is_empty() {
        return None;
    }
    let start = counts_from(scene, row)?;
    let end = scene.yesterday();
    let days = if start <= end { scene.weather.run(start, end) } else { Vec::new() };
    let mut gauge = Gauge::new(row);
    days.iter().for_each(|d| gauge.step(d));
    let sum = gauge.value();
    let later = |on: Date| on.checked_add(Span::new().days(i64::from(row.wait_days))).ok();
    let began = reached(row, &days, row.low).and_then(later).filter(|d| *d <= scene.on);
    let lasts = |day: Date| row.lasts_days.map(|n| day.checked_add(Span::new().days(i64::from(n))).unwrap_or(day));
    let over = match row.lasts_days {
        Some(_) => began.and_then(lasts),
        None => reached(row, &days, row.high).and_then(later),
    };
    let past = over.is_some_and(|d| Yard::days_between(d, scene.on) > LINGERS_DAYS);
    let state = match (past, began) {
        (true, _) => StageState::Past,
        (_, Some(_)) => StageState::Now,
        _ => StageState::Ahead,
    };
    let ahead = (state == StageState::Ahead).then(|| {
        let until = outlook.years.iter().map(|year| days_until(scene, &gauge, year, start, &days));
        window_of(scene.on, until.collect(), HORIZON_DAYS)
    });
    let begins = ahead.flatten();
    let recalled = row.basis == Ground::FromMemory;
    let summed = matches!(row.method, StageMethod::Average | StageMethod::SingleSine);
    let unit = if summed { "°C·d" } else { "°C" };
    let (so_far, method) = match row.method {
        StageMethod::Average => ("degree days so far", "Σ max((Tmax + Tmin)/2 − B, 0)"),
        StageMethod::SingleSine => {
            ("degree days so far", "Σ area of a sine through the extremes above B, cut flat at the upper threshold")
        }
        StageMethod::SoilUp | StageMethod::SoilDown => {
            ("the soil now", "five-day mean of the modelled soil temperature under turf at 2.5 cm")
        }
        StageMethod::Calendar => ("the soil now", "not counted: the stage comes by the calendar"),
    };
    let mut values = vec![Value::text("from", start.to_string())];
    values.extend(summed.then(|| Value::number("B", row.base_c, "°C").from(row.source.clone())));
    values.extend(row.upper_c.map(|u| Value::number("upper", u, "°C")));
    let mut working = vec![Step::new(so_far, method, values, Value::number("so far", sum, unit))];
    if let Some(w) = begins {
        working.push(Step::new(
            "begins",
            "day on which it is reached in each past year laid on the days ahead; 10, 50 and 90 % of them",
            vec![
                Value::number("wanted", row.low, unit).from(if recalled { "recalled" } else { "published" }),
                Value::number("days after it", f64::from(row.wait_days), "d"),
                Value::text("years", outlook.basis.clone()),
            ],
            Value::text("early, likely, late", format!("{}, {}, {}", w.early, w.likely, w.late)),
        ));
    }
    Some(InsectWatch {
        id: row.id.clone(),
        name: row.name.clone(),
        stage: row.stage.clone(),
        cause: row.cause.clone(),
        state,
        begins,
        began,
        sum,
        unit,
        low: row.low,
        high: row.high,
        places,
        look_at: row.place.clone(),
        look: row.look.clone(),
        recalled,
        working,
        source: row.source.clone(),
    })
}

/// Days from today until the stage begins in one year of the outlook; a stage not reached this season is looked for in the next, but
/// for one that counts from a sighting.
fn days_until(scene: &Scene<'_>, so_far: &Gauge<'_>, year: &[Day], start: Date, known: &[Day]) -> Option<i64> {
    let row = so_far.row;
    let wait = i64::from(row.wait_days);
    if let Some(day) = reached(row, known, row.low) {
        return Some(Yard::days_between(scene.on, day) + wait);
    }
    let next_start = start.checked_add(Span::new().years(1)).ok()?;
    let mut gauge = so_far.clone();
    for (i, day) in year.iter().enumerate() {
        let date = scene.on.checked_add(Span::new().days(i as i64)).ok()?;
        if date == next_start {
            if row.after_seen.is_some() {
                return None;
            }
            gauge = Gauge::new(row);
        }
        gauge.step(day);
        if gauge.has_reached(row.low) {
            return Some(i as i64 + wait);
        }
    }
    None
}

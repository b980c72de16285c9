//! Stages of insects and mites by degree days, with every past year laid on the days ahead.

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

/// Degree days of a day by a row's method (°C·d).
fn of_day(row: &InsectStage, day: &Day) -> f64 {
    let method = match row.method {
        StageMethod::Average => Method::Average,
        StageMethod::SingleSine => Method::SingleSine,
    };
    let (low, high) = (Celsius::new(day.tmin_c), Celsius::new(day.tmax_c));
    degree_days(method, Celsius::new(row.base_c), row.upper_c.map(Celsius::new), low, high).map_or(0.0, |d| d.get())
}

/// Areas a row is about: lawns of the cause's grasses, or beds and hedges whose plants are named.
fn hosts(scene: &Scene<'_>, row: &InsectStage) -> Vec<Where> {
    let areas: Vec<&AreaFacts> = match row.cause.as_deref().and_then(|c| scene.almanac.cause(c)) {
        Some(cause) => scene
            .yard
            .lawns()
            .filter(|a| a.grass.as_ref().is_some_and(|g| cause.grasses.is_empty() || cause.grasses.contains(g)))
            .collect(),
        None => scene
            .yard
            .areas
            .iter()
            .filter(|a| !a.retired && matches!(a.cover, Cover::Bed | Cover::Hedge))
            .filter(|a| {
                let plants = format!("{} {}", a.plants, a.name).to_lowercase();
                row.plants.iter().any(|p| plants.contains(p.as_str()))
            })
            .collect(),
    };
    places(scene, areas, false)
}

/// Every row whose hosts the yard has, in the order they come.
pub(super) fn watched(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Vec<InsectWatch> {
    let mut out: Vec<InsectWatch> =
        scene.almanac.insect_stages.iter().filter_map(|row| one(scene, outlook, row)).collect();
    out.sort_by_key(|i| (i.state == StageState::Past, i.began.or(i.begins.map(|w| w.likely))));
    out
}

/// Day on which a sum is first reached in a run.
fn reached(row: &InsectStage, days: &[Day], goal: f64) -> Option<Date> {
    let mut sum = 0.0;
    days.iter().find_map(|d| {
        sum += of_day(row, d);
        (sum >= goal).then_some(d.date)
    })
}

fn one(scene: &Scene<'_>, outlook: &Outlook<'_>, row: &InsectStage) -> Option<InsectWatch> {
    let places = hosts(scene, row);
    if places.is_empty() {
        return None;
    }
    let [month, day] = row.start;
    let start = scene.season_start(i8::try_from(month).ok()?, i8::try_from(day).ok()?);
    let end = scene.yesterday();
    let days = if start <= end { scene.weather.run(start, end) } else { Vec::new() };
    let sum: f64 = days.iter().map(|d| of_day(row, d)).sum();
    let later = |on: Date| on.checked_add(Span::new().days(i64::from(row.wait_days))).ok();
    let began = reached(row, &days, row.low).and_then(later).filter(|d| *d <= scene.on);
    let over = reached(row, &days, row.high).and_then(later);
    let past = over.is_some_and(|d| Yard::days_between(d, scene.on) > LINGERS_DAYS);
    let state = match (past, began) {
        (true, _) => StageState::Past,
        (_, Some(_)) => StageState::Now,
        _ => StageState::Ahead,
    };
    let ahead = (state == StageState::Ahead).then(|| {
        let until = outlook.years.iter().map(|year| days_until(scene, row, year, start, &days, sum));
        window_of(scene.on, until.collect(), HORIZON_DAYS)
    });
    let begins = ahead.flatten();
    let recalled = row.basis == Ground::FromMemory;
    let method = match row.method {
        StageMethod::Average => "Σ max((Tmax + Tmin)/2 − B, 0)",
        StageMethod::SingleSine => "Σ area of a sine through the extremes above B, cut flat at the upper threshold",
    };
    let mut values =
        vec![Value::text("from", start.to_string()), Value::number("B", row.base_c, "°C").from(row.source.clone())];
    values.extend(row.upper_c.map(|u| Value::number("upper", u, "°C")));
    let mut working = vec![Step::new("degree days so far", method, values, Value::number("sum", sum, "°C·d"))];
    if let Some(w) = begins {
        working.push(Step::new(
            "begins",
            "day on which the sum is reached in each past year laid on the days ahead; 10, 50 and 90 % of them",
            vec![
                Value::number("wanted", row.low, "°C·d").from(if recalled { "recalled" } else { "published" }),
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

/// Days from today until the stage begins in one year of the outlook; a stage not reached this season is looked for in the next.
fn days_until(
    scene: &Scene<'_>,
    row: &InsectStage,
    year: &[Day],
    start: Date,
    known: &[Day],
    so_far: f64,
) -> Option<i64> {
    let wait = i64::from(row.wait_days);
    if let Some(day) = reached(row, known, row.low) {
        return Some(Yard::days_between(scene.on, day) + wait);
    }
    let next_start = start.checked_add(Span::new().years(1)).ok()?;
    let mut sum = so_far;
    for (i, day) in year.iter().enumerate() {
        let date = scene.on.checked_add(Span::new().days(i as i64)).ok()?;
        if date == next_start {
            sum = 0.0;
        }
        sum += of_day(row, day);
        if sum >= row.low {
            return Some(i as i64 + wait);
        }
    }
    None
}

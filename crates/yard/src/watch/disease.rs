//! Pressure of the diseases that have a published model, for the lawns whose grass takes them.

use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};

use super::models::{MEAN_DAYS, MODELS, Model};
use super::{DiseaseAhead, DiseaseDay, DiseaseWatch, Pressure, places};
use crate::advice::Scene;
use crate::weather::{Day, Outlook};

/// What the pressure does and does not hold for.
pub const SCOPE: &str = "Models of close-cut or ryegrass turf, run on daily weather of a station; a lawn's own air is moister in shade and \
    after evening watering.";

/// Days behind that are shown.
const SHOWN: usize = 60;
/// Days ahead that are shown.
const AHEAD: usize = 14;
/// Days over the line that make a week count as high; common practice.
const HIGH_DAYS: usize = 3;
/// The last days whose guessed humidity keeps a pressure from being told as high.
const JUDGED: usize = 14;

/// Every disease of the yard's grasses that has a model.
pub(super) fn watched(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Vec<DiseaseWatch> {
    let mut out: Vec<DiseaseWatch> = MODELS.iter().filter_map(|m| one(scene, outlook, m)).collect();
    out.sort_by_key(|d| std::cmp::Reverse(d.pressure));
    out
}

fn one(scene: &Scene<'_>, outlook: &Outlook<'_>, model: &Model) -> Option<DiseaseWatch> {
    let cause = scene.almanac.cause(model.cause)?;
    let taken: Vec<_> = scene
        .yard
        .lawns()
        .filter(|a| a.grass.as_ref().is_some_and(|g| cause.grasses.is_empty() || cause.grasses.contains(g)))
        .collect();
    if taken.is_empty() {
        return None;
    }
    let end = scene.yesterday();
    let run = scene.weather.run(end.checked_sub(Span::new().days((SHOWN + MEAN_DAYS) as i64 - 1)).ok()?, end);
    let line = line_of(model, &run);
    let value_at = |days: &[Day], i: usize| (model.value)(&days[..=i]);
    let days: Vec<DiseaseDay> = (MEAN_DAYS..run.len())
        .map(|i| {
            let value = value_at(&run, i);
            let guessed = run[i].estimated.temperature || (model.moist && run[i].estimated.humidity);
            DiseaseDay { date: run[i].date, value, over: value >= line, guessed }
        })
        .collect();
    let over_7 = days.iter().rev().take(7).filter(|d| d.over).count();
    let guessed = run.iter().rev().take(JUDGED).filter(|d| d.estimated.humidity || d.estimated.temperature).count();
    let doubtful = model.recalled || (model.moist && guessed > 0);
    let pressure = match over_7 {
        0 => Pressure::Low,
        n if n >= HIGH_DAYS && !doubtful && model.quiet.is_none() => Pressure::High,
        _ => Pressure::Raised,
    };
    let years = values_ahead(model, outlook, &run);
    let ahead = share_ahead(line, &years);
    let days_ahead = points_ahead(&years, scene.on);
    let newest = run.last()?;
    let value = days.last()?.value;
    let mut values = vec![
        Value::number("Tmin", newest.tmin_c, "°C"),
        Value::number("Tmax", newest.tmax_c, "°C"),
        Value::number("soil", newest.soil_c, "°C"),
    ];
    if model.moist {
        let rh = Value::number("RH", newest.air.humidity_mean_pct, "%");
        let dew = Value::number("dew point", newest.air.dew_point_c, "°C");
        let stand_in = "dew point taken as the day's minimum, FAO-56 eq. 48; a station with humidity would replace it";
        values.extend([rh, dew].map(|v| if newest.estimated.humidity { v.assumed(stand_in) } else { v }));
    }
    let mut working = vec![
        Step::new(
            format!("{}, {}", cause.name, newest.date),
            model.formula,
            values,
            Value::number(model.value_of, value, ""),
        ),
        Step::new(
            "days over the line",
            "days of the last seven at or over the line; three or more are high (common practice)",
            vec![Value::number("line", line, "").from(model.source)],
            Value::number("days", over_7 as f64, ""),
        ),
    ];
    if let Some(share) = ahead {
        working.push(Step::new(
            "outlook",
            "share of the years with three days or more over the line in the fourteen days ahead",
            vec![Value::text("years", outlook.basis.clone())],
            Value::number("share", share * 100.0, "%"),
        ));
    }
    let mut assumed = Vec::new();
    if model.moist && guessed > 0 {
        assumed.push(format!(
            "Humidity of {guessed} of the last {JUDGED} days is estimated from the night's low, which is too moist in dry places: never told as more than raised. A station with humidity would replace it."
        ));
    }
    if model.recalled {
        assumed.push("The line is recalled, not looked up: never told as more than raised.".to_owned());
    }
    assumed.extend(model.quiet.map(|why| format!("Never told as more than raised: {why}.")));
    if line < model.line {
        assumed.push(
            "The mean humidity is rebuilt from dew point and extremes, which comes out low on the damp days: warned from 5, not 6. Beside two \
             hourly records that finds 9 of 10 and 19 of 20 warnings, with 8 and 15 too many. A station that tells the mean would replace it."
                .to_owned(),
        );
    }
    if model.cause == "pythium" {
        assumed.push(
            "Hours over 90 % humidity come from the day's extremes and dew point, not from an hourly record."
                .to_owned(),
        );
    }
    Some(DiseaseWatch {
        id: cause.id.clone(),
        name: cause.name.clone(),
        value_of: model.value_of,
        line,
        top: model.top,
        days,
        days_ahead,
        over_7,
        pressure,
        ahead,
        places: places(scene, taken, model.cause == "brown-patch"),
        look_first: model.look_first,
        look: model.look.to_owned(),
        recalled: model.recalled,
        quiet: model.quiet.is_some(),
        assumed,
        working,
        source: model.source,
    })
}

/// The line that counts: that of a rebuilt mean humidity where most of the days judged have a measured dew point but no measured mean.
fn line_of(model: &Model, run: &[Day]) -> f64 {
    let judged = || run.iter().rev().take(JUDGED);
    let rebuilt = judged().filter(|d| !d.air.mean_measured && !d.estimated.humidity).count();
    if model.moist && 2 * rebuilt > judged().count() { model.line_rebuilt } else { model.line }
}

/// What the model gives on each of the days ahead in every past year laid on them; none where only average years are known, which
/// have neither a damp week nor a dry one.
fn values_ahead(model: &Model, outlook: &Outlook<'_>, known: &[Day]) -> Vec<Vec<f64>> {
    if outlook.climate_only {
        return Vec::new();
    }
    let before = &known[known.len().saturating_sub(MEAN_DAYS)..];
    let of_year = |year: &[Day]| {
        let days: Vec<Day> = before.iter().chain(year.iter().take(AHEAD)).copied().collect();
        (before.len()..days.len()).map(|i| (model.value)(&days[..=i])).collect()
    };
    outlook.years.iter().map(|year| of_year(year)).collect()
}

/// Share of the years with three days or more over the line in the fourteen days ahead.
fn share_ahead(line: f64, years: &[Vec<f64>]) -> Option<f64> {
    let many = years.iter().filter(|year| year.iter().filter(|v| **v >= line).count() >= HIGH_DAYS).count();
    (!years.is_empty()).then(|| many as f64 / years.len() as f64)
}

/// The 10, 50 and 90 % points of the years, day by day from `on`.
fn points_ahead(years: &[Vec<f64>], on: Date) -> Vec<DiseaseAhead> {
    let shortest = years.iter().map(Vec::len).min().unwrap_or(0);
    let of_day = |k: usize| {
        let mut values: Vec<f64> = years.iter().map(|year| year[k]).collect();
        values.sort_by(f64::total_cmp);
        let at = |q: f64| values[((values.len() - 1) as f64 * q).round() as usize];
        let date = on.checked_add(Span::new().days(k as i64)).ok()?;
        Some(DiseaseAhead { date, low: at(0.1), likely: at(0.5), high: at(0.9) })
    };
    (0..shortest).map_while(of_day).collect()
}

/// What the weather of the weeks behind says of a disease's season.
pub(crate) struct Behind {
    /// Key of the cause.
    pub(crate) cause: &'static str,
    /// Days over the line.
    pub(crate) over: usize,
    /// Days before the last one on which the model was first over its line on three days together.
    pub(crate) first_before: Option<usize>,
}

/// The weather of the days up to the last one, by each model; those that lean on the air's moisture are left out where it is mostly estimated.
pub(crate) fn behind(days: &[Day]) -> Vec<Behind> {
    let guessed = days.iter().filter(|d| d.estimated.humidity).count();
    let one = |model: &Model| {
        if model.moist && 2 * guessed > days.len() {
            return None;
        }
        let over: Vec<bool> =
            (MEAN_DAYS..=days.len()).map(|n| (model.value)(&days[n - MEAN_DAYS..n]) >= model.line).collect();
        let first = over.windows(HIGH_DAYS).position(|w| w.iter().all(|o| *o));
        let first_before = first.map(|at| over.len() - (at + HIGH_DAYS));
        Some(Behind { cause: model.cause, over: over.iter().filter(|o| **o).count(), first_before })
    };
    MODELS.iter().filter_map(one).collect()
}

//! Pressure of the diseases that have a published model, for the lawns whose grass takes them.

use jiff::Span;
use reckon::brown_patch::{self, brown_patch_index_fidanza};
use reckon::dollar_spot::dollar_spot_probability;
use reckon::humid_hours::humid_hours_sine;
use reckon::pythium_blight::pythium_weather_nutter;
use reckon::units::{Celsius, Percent};
use reckon::working::{Step, Value};

use super::{DiseaseDay, DiseaseWatch, Pressure, places};
use crate::advice::Scene;
use crate::weather::{Day, Outlook};

/// What the pressure does and does not hold for.
pub const SCOPE: &str = "Models of close-cut or ryegrass turf, run on daily weather of a station; a lawn's own air is moister in shade and \
    after evening watering.";

/// Days shown.
const SHOWN: usize = 14;
/// Days of the moving mean of the dollar spot model.
const MEAN_DAYS: usize = 5;
/// Days over the line that make a week count as high; common practice.
const HIGH_DAYS: usize = 3;
/// Humidity that stands in for a wet leaf; common practice.
const WET_PCT: f64 = 90.0;
/// Soil temperature from which summer patch is taken to infect (recalled).
const SUMMER_PATCH_C: f64 = 18.3;

/// A model of a disease: the value of the last of a few days.
struct Model {
    cause: &'static str,
    value_of: &'static str,
    formula: &'static str,
    line: f64,
    top: f64,
    /// Whether it leans on the air's moisture.
    moist: bool,
    /// Whether its line is recalled.
    recalled: bool,
    look_first: &'static str,
    look: &'static str,
    source: &'static str,
    value: fn(&[Day]) -> f64,
}

/// What a model cannot tell counts as nothing.
const NOTHING: f64 = 0.0;

fn last(days: &[Day]) -> Option<&Day> {
    days.last()
}

fn mean(days: &[Day], f: fn(&Day) -> f64) -> f64 {
    days.iter().map(f).sum::<f64>() / days.len().max(1) as f64
}

fn dollar_spot(days: &[Day]) -> f64 {
    let five = &days[days.len().saturating_sub(MEAN_DAYS)..];
    let (rh, t) = (mean(five, |d| d.air.humidity_mean_pct), mean(five, Day::tmean_c));
    dollar_spot_probability(Percent::new(rh), Celsius::new(t)).map_or(NOTHING, |p| p.get())
}

fn brown_patch_of(days: &[Day]) -> f64 {
    last(days).map_or(NOTHING, |d| {
        brown_patch_index_fidanza(Percent::new(d.air.humidity_mean_pct), Celsius::new(d.tmin_c)).unwrap_or(NOTHING)
    })
}

fn pythium(days: &[Day]) -> f64 {
    // The heat of the day before, then this day's night and its humid hours.
    let [.., before, night] = days else { return NOTHING };
    let (low, high) = (Celsius::new(night.tmin_c), Celsius::new(night.tmax_c));
    humid_hours_sine(low, high, Celsius::new(night.air.dew_point_c), Percent::new(WET_PCT))
        .and_then(|humid| pythium_weather_nutter(Celsius::new(before.tmax_c), low, humid))
        .map_or(NOTHING, |p| f64::from(p.held()))
}

fn soil(days: &[Day]) -> f64 {
    mean(&days[days.len().saturating_sub(MEAN_DAYS)..], |d| d.soil_c)
}

const MODELS: [Model; 4] = [
    Model {
        cause: "dollar-spot",
        value_of: "chance of dollar spot",
        formula: "p = 1/(1 + exp(−L)), L = −11.4041 + 0.0894 RH + 0.1932 T, means of five days",
        line: 0.20,
        top: 1.0,
        moist: true,
        recalled: false,
        look_first: "hungry, dry turf where dew lies long",
        look: "Straw spots 3 to 15 cm wide; on the leaves a bleached lesion with a red-brown edge, narrow in the middle; cobweb at dawn.",
        source: "Smith, Kerns, Walker and others 2018, PLoS ONE 13(3):e0194216; the authors act from 0.20",
        value: dollar_spot,
    },
    Model {
        cause: "brown-patch",
        value_of: "index E of brown patch",
        formula: "E = −21.5 + 0.15 RH + 1.4 T − 0.033 T², RH the day's mean, T its minimum",
        line: brown_patch::WARNING,
        top: 10.0,
        moist: true,
        recalled: false,
        look_first: "lush, well-fed turf, shaded or still air, watered in the evening",
        look: "Thinned circles 15 cm to 1 m; on tall fescue tan leaf spots with a dark brown edge; a smoky ring at dawn on short turf.",
        source: "Fidanza, Dernoeden and Grybauskas 1996, Phytopathology 86(4):385–390; a warning from 6",
        value: brown_patch_of,
    },
    Model {
        cause: "pythium",
        value_of: "conditions of Pythium blight met, of three",
        formula: "Tmax of the day before > 30 °C; Tmin > 20 °C; hours over 90 % humidity ≥ 14",
        line: 3.0,
        top: 3.0,
        moist: true,
        recalled: false,
        look_first: "low, wet ground, along the way water runs, new seedlings",
        look: "Greasy, dark, matted spots that run together along the drainage; cottony threads at dawn. Do not walk or mow there while it is wet.",
        source: "Nutter, Cole and Schein 1983, Plant Disease 67:1126–1128",
        value: pythium,
    },
    Model {
        cause: "summer-patch",
        value_of: "soil temperature at 2.5 cm (°C), mean of five days",
        formula: "mean of the modelled soil temperature under turf",
        line: SUMMER_PATCH_C,
        top: 35.0,
        moist: false,
        recalled: true,
        look_first: "compacted, sunny, sloping turf",
        look: "No spots yet: roots darken from here on. Rings and frog-eyes of bronze turf come weeks later, in heat after rain.",
        source: "65 °F at 5 cm as the begin of infection, recalled from university teaching; read here at 2.5 cm",
        value: soil,
    },
];

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
    let value_at = |days: &[Day], i: usize| (model.value)(&days[..=i]);
    let days: Vec<DiseaseDay> = (MEAN_DAYS..run.len())
        .map(|i| {
            let value = value_at(&run, i);
            DiseaseDay { date: run[i].date, value, over: value >= model.line }
        })
        .collect();
    let over_7 = days.iter().rev().take(7).filter(|d| d.over).count();
    let guessed = run.iter().skip(MEAN_DAYS).filter(|d| d.estimated.humidity || d.estimated.temperature).count();
    let doubtful = model.recalled || (model.moist && guessed > 0);
    let pressure = match over_7 {
        0 => Pressure::Low,
        n if n >= HIGH_DAYS && !doubtful => Pressure::High,
        _ => Pressure::Raised,
    };
    let ahead = share_ahead(model, outlook, &run);
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
            vec![Value::number("line", model.line, "").from(model.source)],
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
            "Humidity of {guessed} of {SHOWN} days is estimated from the night's low, which is too moist in dry places: never told as more than raised. A station with humidity would replace it."
        ));
    }
    if model.recalled {
        assumed.push("The line is recalled, not looked up: never told as more than raised.".to_owned());
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
        line: model.line,
        top: model.top,
        days,
        over_7,
        pressure,
        ahead,
        places: places(scene, taken, model.cause == "brown-patch"),
        look_first: model.look_first,
        look: model.look.to_owned(),
        recalled: model.recalled,
        assumed,
        working,
        source: model.source,
    })
}

/// Share of the years with three days or more over the line in the fourteen days ahead.
fn share_ahead(model: &Model, outlook: &Outlook<'_>, known: &[Day]) -> Option<f64> {
    if outlook.climate_only || outlook.years.is_empty() {
        return None;
    }
    let before = &known[known.len().saturating_sub(MEAN_DAYS)..];
    let many = outlook.years.iter().filter(|year| {
        let days: Vec<Day> = before.iter().chain(year.iter().take(SHOWN)).copied().collect();
        (before.len()..days.len()).filter(|&i| (model.value)(&days[..=i]) >= model.line).count() >= HIGH_DAYS
    });
    Some(many.count() as f64 / outlook.years.len() as f64)
}

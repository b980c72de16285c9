//! The models of diseases the watch runs: each reads the last of a few days of weather.

use reckon::brown_patch::{self, brown_patch_index_fidanza};
use reckon::dollar_spot::dollar_spot_probability;
use reckon::humid_hours::humid_hours_sine;
use reckon::pythium_blight::pythium_weather_nutter;
use reckon::units::{Celsius, Percent};

use crate::weather::Day;

/// Days of the moving mean of the dollar spot model; no model reads further back.
pub(super) const MEAN_DAYS: usize = 5;
/// Humidity that stands in for a wet leaf; common practice.
const WET_PCT: f64 = 90.0;
/// Soil temperature from which summer patch is taken to infect (recalled).
const SUMMER_PATCH_C: f64 = 18.3;

/// A model of a disease: the value of the last of a few days.
pub(super) struct Model {
    pub(super) cause: &'static str,
    pub(super) value_of: &'static str,
    pub(super) formula: &'static str,
    pub(super) line: f64,
    pub(super) top: f64,
    /// Whether it leans on the air's moisture.
    pub(super) moist: bool,
    /// Whether its line is recalled.
    pub(super) recalled: bool,
    pub(super) look_first: &'static str,
    pub(super) look: &'static str,
    pub(super) source: &'static str,
    pub(super) value: fn(&[Day]) -> f64,
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

pub(super) const MODELS: [Model; 4] = [
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

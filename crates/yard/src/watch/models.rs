//! The models of diseases the watch runs: each reads the last of a few days of weather.

use reckon::brown_patch::{self, brown_patch_index_fidanza};
use reckon::dollar_spot::dollar_spot_probability;
use reckon::humid_hours::{humid_hours_between, humid_hours_sine};
use reckon::pythium_blight::pythium_weather_nutter;
use reckon::units::{Celsius, Percent};

use crate::weather::Day;

/// Days of the moving mean of the dollar spot model; no model reads further back.
pub(super) const MEAN_DAYS: usize = 5;
/// Humidity that stands in for a wet leaf; common practice.
const WET_PCT: f64 = 90.0;
/// Soil temperature from which summer patch infects: 65 °F (Ohio State University Turfgrass Pathology).
const SUMMER_PATCH_C: f64 = 18.3;

/// A model of a disease: the value of the last of a few days.
pub(super) struct Model {
    pub(super) cause: &'static str,
    pub(super) value_of: &'static str,
    pub(super) formula: &'static str,
    pub(super) line: f64,
    /// The line where the day's mean humidity is rebuilt from its dew point.
    pub(super) line_rebuilt: f64,
    pub(super) top: f64,
    /// Whether it leans on the air's moisture.
    pub(super) moist: bool,
    /// Whether its line is recalled.
    pub(super) recalled: bool,
    /// Why the weather alone is never told as high and asks for no look, where that is so.
    pub(super) quiet: Option<&'static str>,
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

/// Damp hours of the last day inside a band of temperature.
fn damp_between(days: &[Day], coolest: f64, warmest: f64) -> f64 {
    last(days).map_or(NOTHING, |d| {
        let c = Celsius::new;
        humid_hours_between(
            c(d.tmin_c),
            c(d.tmax_c),
            c(d.air.dew_point_c),
            Percent::new(WET_PCT),
            c(coolest),
            c(warmest),
        )
        .map_or(NOTHING, |h| h.get())
    })
}

/// The temperatures Uddin and others tried, gray leaf spot at all of them.
fn gray_leaf_spot(days: &[Day]) -> f64 {
    damp_between(days, 20.0, 32.0)
}

fn rust(days: &[Day]) -> f64 {
    damp_between(days, 20.0, 30.0)
}

/// 65 to 75 °F.
fn red_thread(days: &[Day]) -> f64 {
    damp_between(days, 18.3, 23.9)
}

/// 32 to 45 °F.
fn pink_snow_mould(days: &[Day]) -> f64 {
    damp_between(days, 0.0, 7.2)
}

fn soil(days: &[Day]) -> f64 {
    mean(&days[days.len().saturating_sub(MEAN_DAYS)..], |d| d.soil_c)
}

pub(super) const MODELS: [Model; 8] = [
    Model {
        cause: "dollar-spot",
        value_of: "chance of dollar spot",
        formula: "p = 1/(1 + exp(−L)), L = −11.4041 + 0.0894 RH + 0.1932 T, means of five days",
        line: 0.20,
        line_rebuilt: 0.20,
        top: 1.0,
        moist: true,
        recalled: false,
        quiet: None,
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
        line_rebuilt: brown_patch::WARNING_KENTUCKY,
        top: 10.0,
        moist: true,
        recalled: false,
        quiet: None,
        look_first: "lush, well-fed turf, shaded or still air, watered in the evening",
        look: "Thinned circles 15 cm to 1 m; on tall fescue tan leaf spots with a dark brown edge; a smoky ring at dawn on short turf.",
        source: "Fidanza, Dernoeden and Grybauskas 1996, Phytopathology 86(4):385–390; a warning from 6; P. Vincelli, University of Kentucky, warns from 5, taken here where only the dew point was measured",
        value: brown_patch_of,
    },
    Model {
        cause: "pythium",
        value_of: "conditions of Pythium blight met, of three",
        formula: "Tmax of the day before > 30 °C; Tmin > 20 °C; hours over 90 % humidity ≥ 14",
        line: 3.0,
        line_rebuilt: 3.0,
        top: 3.0,
        moist: true,
        recalled: false,
        quiet: None,
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
        line_rebuilt: SUMMER_PATCH_C,
        top: 35.0,
        moist: false,
        recalled: false,
        quiet: Some(
            "soil warmth alone: it tells when roots begin to be taken, all summer long, not that a patch will show",
        ),
        look_first: "compacted, sunny, sloping turf",
        look: "No spots yet: roots darken from here on. Rings and frog-eyes of bronze turf come weeks later, in heat after rain.",
        source: "Ohio State University Turfgrass Pathology 2012 and 2015: 65 °F at 3 inches on three days running; Rutgers Turf: five days running; read here at 2.5 cm",
        value: soil,
    },
    Model {
        cause: "gray-leaf-spot",
        value_of: "damp hours at 20 to 32 °C",
        formula: "hours of the day over 90 % humidity and at 20 to 32 °C; temperature as a sine, dew point steady",
        line: 12.0,
        line_rebuilt: 12.0,
        top: 24.0,
        moist: true,
        recalled: false,
        quiet: None,
        look_first: "young or fresh-sown ryegrass, shaded or lush turf",
        look: "Scorched look in moist soil; leaf tips twisted like a fish hook; grey to brown spots with a dark edge.",
        source: "Uddin, Serlemitsos and Viji 2003, Phytopathology 93:336–343 (20 to 32 °C, most at 28); Sherratt and Rimelspach, Ohio State University, 2012: 12 hours of wet leaf or more",
        value: gray_leaf_spot,
    },
    Model {
        cause: "rust",
        value_of: "damp hours at 20 to 30 °C",
        formula: "hours of the day over 90 % humidity and at 20 to 30 °C; temperature as a sine, dew point steady",
        line: 10.0,
        line_rebuilt: 10.0,
        top: 24.0,
        moist: true,
        recalled: true,
        quiet: None,
        look_first: "hungry, slow or shaded turf",
        look: "Orange powder that comes off on a white cloth or a shoe. Feeding and mowing grow it out.",
        source: "68 to 86 °F as told by turf advisers; ten damp hours recalled",
        value: rust,
    },
    Model {
        cause: "red-thread",
        value_of: "damp hours at 18.3 to 23.9 °C",
        formula: "hours of the day over 90 % humidity and at 18.3 to 23.9 °C; temperature as a sine, dew point steady",
        line: 10.0,
        line_rebuilt: 10.0,
        top: 24.0,
        moist: true,
        recalled: true,
        quiet: None,
        look_first: "hungry, slow-growing turf",
        look: "Ragged tan to pink patches; red or pink threads at the leaf tips. Feeding is the cure.",
        source: "University of Illinois Extension: prolonged 65 to 75 °F and very humid; ten damp hours recalled",
        value: red_thread,
    },
    Model {
        cause: "pink-snow-mould",
        value_of: "damp hours at 0 to 7.2 °C",
        formula: "hours of the day over 90 % humidity and at 0 to 7.2 °C; temperature as a sine, dew point steady",
        line: 10.0,
        line_rebuilt: 10.0,
        top: 24.0,
        moist: true,
        recalled: true,
        quiet: None,
        look_first: "matted, long or late-fed turf, shade, under leaves",
        look: "Tan patches to 20 cm with a pink edge in the light. Rake the mat open; no late quick nitrogen.",
        source: "Worst at 32 to 45 °F (Sports Field Management on snow moulds; University of Massachusetts tells near freezing to 60 °F); ten damp hours recalled",
        value: pink_snow_mould,
    },
];

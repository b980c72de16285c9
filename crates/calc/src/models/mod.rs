//! The models, one file each: the contract's fields beside the formula they call.

mod active_ingredient;
mod anthracnose_index;
mod brown_patch_index;
mod catch_can_audit;
mod colour_difference;
mod colour_index;
mod coverage;
mod cut_fill;
mod degree_days;
mod dollar_spot_risk;
mod et0;
mod et0_temperature;
mod extraterrestrial_radiation;
mod fertilizer;
mod growth_potential;
mod humid_hours;
mod humid_hours_between;
mod humidity_mean;
mod material;
mod meter_leak;
mod pipe_loss;
mod pipe_network;
mod polygon_area;
mod pool_balance;
mod pythium_weather;
mod root_zone_balance;
mod runoff_depth;
mod runoff_peak;
mod seed_mix;
mod soil_loss;
mod soil_temperature;
mod soil_water;
mod sprayer_output;
mod spreader_calibration;
mod sprinkler_rate;
mod swale_flow;
mod tank_mix;
mod tape_survey;
mod water_bill;
mod watering_optimum;
mod wire_drop;
mod zone_pressure;
mod zone_run_time;

use reckon::working::{Step, Value};

use crate::figure::{Figure, figures};
use crate::model::{Model, reply};
use crate::shape::Shape::{Count, Flag, Number, Row, Whole, Word};
use crate::shape::{Field, Given, Need, Record, Refusal, Shape, bound, list, record, words};

/// Most days of one item: over a century.
const DAYS_MAX: usize = 40_000;
/// Days worked one by one in the steps; figures of later days stand in the result alone.
const DAYS_WORKED_MAX: usize = 366;

/// Every model, by subject in the contract's order.
static MODELS: &[Model] = &[
    extraterrestrial_radiation::MODEL,
    et0::MODEL,
    et0_temperature::MODEL,
    degree_days::MODEL,
    soil_temperature::MODEL,
    growth_potential::MODEL,
    dollar_spot_risk::MODEL,
    brown_patch_index::MODEL,
    pythium_weather::MODEL,
    anthracnose_index::MODEL,
    humid_hours::MODEL,
    humid_hours_between::MODEL,
    humidity_mean::MODEL,
    soil_water::MODEL,
    root_zone_balance::MODEL,
    sprinkler_rate::MODEL,
    catch_can_audit::MODEL,
    zone_run_time::MODEL,
    watering_optimum::MODEL,
    coverage::MODEL,
    pipe_loss::MODEL,
    pipe_network::MODEL,
    zone_pressure::MODEL,
    wire_drop::MODEL,
    meter_leak::MODEL,
    water_bill::MODEL,
    polygon_area::MODEL,
    tape_survey::MODEL,
    cut_fill::MODEL,
    material::MODEL,
    runoff_depth::MODEL,
    runoff_peak::MODEL,
    swale_flow::MODEL,
    soil_loss::MODEL,
    fertilizer::MODEL,
    spreader_calibration::MODEL,
    sprayer_output::MODEL,
    tank_mix::MODEL,
    active_ingredient::MODEL,
    seed_mix::MODEL,
    colour_index::MODEL,
    colour_difference::MODEL,
    pool_balance::MODEL,
];

/// Every model, in the contract's order.
pub fn models() -> &'static [Model] {
    MODELS
}

/// The model of that name.
pub fn find(name: &str) -> Option<&'static Model> {
    MODELS.iter().find(|model| model.name == name)
}

/// What a model's compute gives back: its figures and steps.
type Computed = Result<(Figure, Vec<Step>), Refusal>;

/// A figure of the result.
const fn figure(name: &'static str, unit: &'static str, meaning: &'static str) -> Field {
    Field::new(name, Shape::Figure(unit, meaning))
}

/// A number in a step.
fn n(name: &'static str, value: f64, unit: &'static str) -> Value {
    Value::number(name, value, unit)
}

record! {
    /// A day's air temperatures.
    Extremes {
        tmin_c: f64 = Number(reckon::vapour::TMIN);
        tmax_c: f64 = Number(reckon::vapour::TMAX);
    }
}

/// The days of a temperature record.
const EXTREMES: Shape = list(&Shape::Record(&Extremes::RECORD), 1, DAYS_MAX, "days in order, one after the other");

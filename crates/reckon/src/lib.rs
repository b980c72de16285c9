#![doc = include_str!("../README.md")]

pub mod active_ingredient;
pub mod anthracnose;
pub mod blow_out;
pub mod brown_patch;
pub mod catch_can;
pub mod colour;
pub mod coverage;
pub mod date_odds;
pub mod degree_days;
pub mod diagnosis;
pub mod dollar_spot;
pub mod error;
pub mod evapotranspiration;
pub mod fertilizer;
pub mod forecast_error;
pub mod green_cover;
pub mod growth_potential;
pub mod head_change;
pub mod humid_hours;
pub mod leak_cost;
pub mod leak_hole;
pub mod lime;
pub mod material;
pub mod meter;
pub mod network;
pub mod offset_line;
pub mod outline;
pub mod overlay;
pub mod packs;
pub mod patch;
pub mod pipe;
pub mod plane;
pub mod planting;
pub mod polygon;
pub mod pool;
pub mod pythium_blight;
pub mod radiation;
pub mod root_zone;
pub mod run_time;
pub mod runoff;
pub mod schedule;
pub mod scouting;
pub mod seed_heat;
pub mod seed_mix;
pub mod shortest_tree;
pub mod slow_fill;
pub mod soil_loss;
pub mod soil_temperature;
pub mod soil_test;
pub mod soil_water;
pub mod spot_level;
pub mod sprayer;
pub mod spreader;
pub mod sprinkler;
pub mod sun;
pub mod surface_layer;
pub mod surfaces;
pub mod swale;
pub mod tank_mix;
pub mod tape_survey;
pub mod tariff;
pub mod units;
pub mod vapour;
pub mod watering_optimum;
pub mod wind;
pub mod wire;
pub mod working;
pub mod zone_capacity;
pub mod zone_pressure;

pub use error::{Bound, ReckonError};

/// A property's number of cases, and an end to looking for a smaller one that fails.
#[cfg(test)]
fn cases(count: u32) -> proptest::test_runner::Config {
    proptest::test_runner::Config { max_shrink_iters: 20_000, ..proptest::test_runner::Config::with_cases(count) }
}

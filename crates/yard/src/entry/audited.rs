//! A zone measured with cans, the meter, or a bucket.

use serde::{Deserialize, Serialize};

use super::Key;

/// A zone ran for some minutes, and what came out of it was measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Audited {
    /// Zone.
    pub zone: Key,
    /// Minutes it ran.
    pub minutes: f64,
    /// Depth caught in each can (mm), all cans alike.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub caught_mm: Vec<f64>,
    /// Opening of a can (cm²), where the cans were read as volumes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opening_cm2: Option<f64>,
    /// Where the cans stood (m east and north of the map's origin), in the order of the readings.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub at: Vec<[f64; 2]>,
    /// Wind (m/s).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_ms: Option<f64>,
    /// Pressure at a head while it ran (kPa).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_kpa: Option<f64>,
    /// The water meter before the run (L).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_before_l: Option<f64>,
    /// The water meter after the run (L).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_after_l: Option<f64>,
    /// Water one head let into a bucket (L).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bucket_l: Option<f64>,
    /// Seconds that took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bucket_s: Option<f64>,
    /// Heads of the zone like this one; 1 where not told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bucket_heads: Option<f64>,
    /// Free words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

//! Facts of the pressure and the pipes a sprinkler system is fed by.

use serde::{Deserialize, Serialize};

use super::Key;

/// A pipe by kind and size, as far as it is known.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LaidPipe {
    /// Kind of the almanac.
    pub kind: Key,
    /// Nominal size as printed on it: "3/4", "1-1/4", "32mm".
    pub size: String,
    /// Length (m), where it was told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
}

/// The water supply: what a gauge on an outdoor tap showed, and what lies between street and zones.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WaterSupply {
    /// Pressure at the tap with nothing running (kPa).
    pub static_kpa: f64,
    /// A flow measured at the tap (L/min).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow_lpm: Option<f64>,
    /// Pressure at the tap while it flowed (kPa).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub working_kpa: Option<f64>,
    /// Size of the water meter (in).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
    /// Pipe from the street to the tap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service: Option<LaidPipe>,
    /// Backflow preventer of the almanac.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backflow: Option<Key>,
    /// Pipe from the tap to the valves; its length counts where none is drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub main: Option<LaidPipe>,
    /// Pipe behind the valves; without a length, which every zone has of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lateral: Option<LaidPipe>,
    /// Size of the zone valves (in).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valve: Option<String>,
    /// Height of the highest head over the tap (m); below it where negative.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<f64>,
    /// Free words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

//! Soils, sprinkler kinds, weather thresholds and the built-in climate.

use serde::Deserialize;

use crate::grass::Range;

/// A soil texture class.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Texture {
    /// Key, e.g. `silt-loam`.
    pub id: String,
    /// Name, e.g. "silt loam".
    pub name: String,
    /// Typical sand share (%).
    pub sand_pct: f64,
    /// Typical clay share (%).
    pub clay_pct: f64,
    /// Typical organic matter (%).
    pub organic_matter_pct: f64,
    /// Basic intake under turf on level ground (mm/h), low–high.
    pub intake_mm_h: Range,
    /// Water that may stand on the surface before it runs, on a 0–3 % slope (mm).
    pub surface_storage_mm: f64,
    /// Water the bare top 0.10 m lose as fast as the air asks (mm), low–high.
    pub evaporable_mm: Range,
    /// Source.
    pub source: String,
    /// Fields recalled, not looked up.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// How slope cuts intake and surface storage.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SlopeClass {
    /// Steepest slope of the class (%).
    pub up_to_pct: f64,
    /// Factor on intake.
    pub intake_factor: f64,
    /// Factor on surface storage.
    pub storage_factor: f64,
    /// Source.
    pub source: String,
}

/// A kind of sprinkler, for zones nobody has measured yet.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SprinklerKind {
    /// Key: `spray`, `rotor`, `stream`, `drip`.
    pub id: String,
    /// Name in the trade's words.
    pub name: String,
    /// Typical rate (mm/h), low–high.
    pub rate_mm_h: Range,
    /// Typical low-quarter uniformity (0..1) of a working zone.
    pub du_lq: f64,
    /// Source.
    pub source: String,
    /// Fields recalled.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// A published threshold that opens or closes a window.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Threshold {
    /// Key.
    pub id: String,
    /// What happens there.
    pub event: String,
    /// How it is measured.
    pub measure: String,
    /// Unit of the values, SI (degree days in °C·d).
    pub unit: String,
    /// Low end.
    pub low: f64,
    /// Likely.
    pub likely: f64,
    /// High end.
    pub high: f64,
    /// Base temperature of degree days (°C).
    #[serde(default)]
    pub base_c: Option<f64>,
    /// Month and day counting starts.
    #[serde(default)]
    pub start: Option<[u8; 2]>,
    /// Source.
    pub source: String,
    /// Fields recalled.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// Monthly climate of one place, January first.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClimateStation {
    /// Key.
    pub id: String,
    /// Place name.
    pub name: String,
    /// Latitude, north positive.
    pub latitude_deg: f64,
    /// Longitude, east positive.
    pub longitude_deg: f64,
    /// Elevation (m).
    pub elevation_m: f64,
    /// Mean daily minimum by month (°C).
    pub tmin_c: [f64; 12],
    /// Mean daily maximum by month (°C).
    pub tmax_c: [f64; 12],
    /// Mean precipitation by month (mm).
    pub rain_mm: [f64; 12],
    /// Source and period.
    pub source: String,
}

//! Stages of insects and mites that come by degree days.

use serde::{Deserialize, Serialize};

use crate::cause::Ground;

/// How a day's extremes become degree days in the source of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StageMethod {
    /// Mean of the extremes less the base.
    Average,
    /// Area under a sine through the extremes.
    SingleSine,
}

/// A stage and the degree days it comes at.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InsectStage {
    /// Key.
    pub id: String,
    /// The animal.
    pub name: String,
    /// What it does then.
    pub stage: String,
    /// Cause of a bad patch it belongs to, where there is one.
    #[serde(default)]
    pub cause: Option<String>,
    /// Turf: taken by the grasses of the cause. Else words of the plants of beds and hedges it lives on.
    #[serde(default)]
    pub plants: Vec<String>,
    /// Base (°C).
    pub base_c: f64,
    /// Upper threshold (°C), where the source has one.
    #[serde(default)]
    pub upper_c: Option<f64>,
    /// How days are counted.
    pub method: StageMethod,
    /// Month and day counting starts.
    pub start: [u8; 2],
    /// From here (°C·d).
    pub low: f64,
    /// To here (°C·d).
    pub high: f64,
    /// Days after those sums at which the stage itself comes.
    #[serde(default)]
    pub wait_days: u16,
    /// Where to look.
    pub place: String,
    /// What to look for, and how.
    pub look: String,
    /// What the sums rest on.
    pub basis: Ground,
    /// Source.
    pub source: String,
}

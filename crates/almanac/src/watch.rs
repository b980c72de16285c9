//! Stages of insects, mites and root diseases that come by degree days, by the warmth of the soil or by the calendar.

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
    /// Not by degree days: the five-day mean of the soil reaches `low` from below.
    SoilUp,
    /// Not by degree days: the five-day mean of the soil falls to `low`.
    SoilDown,
    /// Not by warmth: by the day of the year.
    Calendar,
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
    /// Turf: taken by the grasses of the cause. Else words of the plants it lives on, as the plants or the name of an area tell them.
    #[serde(default)]
    pub plants: Vec<String>,
    /// Turf of these grasses, where no cause tells them.
    #[serde(default)]
    pub grasses: Vec<String>,
    /// Counted from the day a look was written down with this word in it, not from `start`.
    #[serde(default)]
    pub after_seen: Option<String>,
    /// Base (°C); of degree days only.
    #[serde(default)]
    pub base_c: f64,
    /// Upper threshold (°C), where the source has one.
    #[serde(default)]
    pub upper_c: Option<f64>,
    /// How days are counted.
    pub method: StageMethod,
    /// Month and day counting starts.
    pub start: [u8; 2],
    /// From here (°C·d, or °C of the soil).
    pub low: f64,
    /// To here (the same).
    pub high: f64,
    /// Days the stage lasts, where that is told and not the upper sum.
    #[serde(default)]
    pub lasts_days: Option<u16>,
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

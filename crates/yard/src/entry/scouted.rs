//! What was seen on the ground, and what came of looking closer.

use serde::{Deserialize, Serialize};

use super::Key;

/// What was seen on the ground.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scouted {
    /// Area.
    pub area: Key,
    /// What was seen, in words.
    pub seen: String,
    /// The woody plant looked at, by its key; then findings and cause are those of plants.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plant: Option<Key>,
    /// Share of the stand affected or bare (%).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share_pct: Option<f64>,
    /// Ground of the patch (m²).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_m2: Option<f64>,
    /// Widest bare gap in it (m).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_m: Option<f64>,
    /// The cause is known or the matter closed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub settled: bool,
    /// Signs and tests with their answers, in the order they were made.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<Found>,
    /// Animals counted, the mean over the places looked at (1/m²).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count_per_m2: Option<f64>,
    /// What was counted, where it was told apart: a key of the cause's thresholds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pest: Option<Key>,
    /// The cause held likeliest: a key of the almanac.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<Key>,
    /// How likely it was held (0 to 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
    /// Where on the map (m east and north of its origin).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<[f64; 2]>,
    /// Hash of a photo the ledger keeps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<String>,
    /// Share of the photo's pixels that are green (%).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub green_pct: Option<f64>,
    /// How far new seed is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seedlings: Option<Seedlings>,
}

/// How far new seed was seen to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seedlings {
    /// Nothing green yet.
    NoneYet,
    /// The first are up.
    FirstUp,
    /// Most are up.
    MostUp,
    /// They hold when gently pulled: they have rooted.
    Rooted,
}

impl Seedlings {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::NoneYet => "nothing up yet",
            Self::FirstUp => "the first are up",
            Self::MostUp => "most are up",
            Self::Rooted => "they hold when pulled",
        }
    }
}

/// A sign or test and its answer, by the keys of the almanac.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Found {
    /// The finding, e.g. `tug`.
    pub finding: Key,
    /// Its outcome, e.g. `rolls`.
    pub outcome: Key,
}

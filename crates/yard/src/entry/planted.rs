//! Trees, shrubs and hedges planted.

use serde::{Deserialize, Serialize};

use super::Key;

/// Woody plants set on an area.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Planted {
    /// Area they stand on.
    pub area: Key,
    /// Key of the almanac's woody plants.
    pub plant: Key,
    /// Species or kind in the owner's words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub kind_of: String,
    /// How many are alive; corrected when some are lost.
    pub count: u32,
    /// Trunk 150 mm over the ground (mm): trees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calliper_mm: Option<f64>,
    /// Volume of the pot (L): shrubs and hedge plants.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub container_l: Option<f64>,
    /// Height (m).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Distance between neighbours (m).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spacing_m: Option<f64>,
    /// Drip emitters on each plant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub emitters: Option<u32>,
    /// Water of one emitter in an hour (L).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub emitter_l_h: Option<f64>,
    /// Where on the map (m east and north of its origin).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<[f64; 2]>,
    /// Free words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

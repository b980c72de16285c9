//! Facts of water: zones, rules, programmes, what was run and what the soil held.

use jiff::civil::Time;
use serde::{Deserialize, Serialize};

use super::Key;

/// A sprinkler zone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ZoneFacts {
    /// Key.
    pub key: Key,
    /// Name.
    pub name: String,
    /// Areas it waters, whole.
    pub areas: Vec<Key>,
    /// Sprinkler kind of the almanac.
    pub sprinkler: Key,
    /// Rate measured with cans or by meter (mm/h).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_mm_h: Option<f64>,
    /// Flow of all heads (L/min); with the areas' size it gives the rate where none was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow_lpm: Option<f64>,
    /// Low-quarter distribution uniformity measured with cans (0..1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub du_lq: Option<f64>,
    /// True once the zone is no more.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub retired: bool,
}

/// Days of the month a water supplier allows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Parity {
    /// Every day.
    #[default]
    Any,
    /// Odd days of the month, the 31st left out (common practice).
    Odd,
    /// Even days of the month.
    Even,
}

/// When watering is possible and allowed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WaterRules {
    /// Earliest start.
    pub from: Time,
    /// Latest end.
    pub until: Time,
    /// Allowed weekdays, Monday = 1; empty = all.
    #[serde(default)]
    pub weekdays: Vec<i8>,
    /// Odd–even rule.
    #[serde(default)]
    pub parity: Parity,
    /// New seed may be watered on any day (a permit or the rule's own exemption).
    #[serde(default)]
    pub seed_exempt: bool,
}

/// A standing programme of one zone; 0 minutes switches it off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Programme {
    /// Zone.
    pub zone: Key,
    /// Minutes on each running day.
    pub minutes: f64,
    /// Weekdays it runs, Monday = 1; empty = every day.
    #[serde(default)]
    pub weekdays: Vec<i8>,
}

/// Opened or shut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SystemState {
    /// Filled, run zone by zone, in use.
    #[default]
    Opened,
    /// Drained or blown out for the winter.
    Shut,
}

/// The sprinkler system was opened or shut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sprinklers {
    /// Which of the two.
    pub state: SystemState,
    /// Free words: what was found and mended.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Water put on: by a zone for so many minutes, or a depth on an area.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Watered {
    /// Zone that ran.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<Key>,
    /// Area watered by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Key>,
    /// Minutes the zone ran.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// Depth on the ground (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_mm: Option<f64>,
}

/// Rain of the day from the yard's own gauge; it goes before the station's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RainGauge {
    /// Depth (mm).
    pub depth_mm: f64,
}

/// How much of the plant-available water was gone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilWaterSeen {
    /// Area.
    pub area: Key,
    /// Share of the available water used up, 0 = full after a soaking, 1 = wilting.
    pub depleted: f64,
}

/// What a sprinkler controller and the supply behind it can do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ControllerFacts {
    /// Programmes.
    pub programmes: u32,
    /// Start times of one programme.
    pub starts: u32,
    /// Longest run it takes (min).
    pub longest_min: u32,
    /// Programmes that may run at the same time.
    pub at_once: u32,
    /// Flow the supply bears (L/min).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply_lpm: Option<f64>,
}

impl Default for ControllerFacts {
    /// Three programmes of four starts, up to four hours, one at a time (common practice).
    fn default() -> Self {
        Self { programmes: 3, starts: 4, longest_min: 240, at_once: 1, supply_lpm: None }
    }
}

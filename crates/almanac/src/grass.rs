//! Turf grasses: how they sow, grow, drink and feed.

use serde::Deserialize;

/// Cool- or warm-season growth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Season {
    /// Grows best near 20 °C.
    Cool,
    /// Grows best near 31 °C.
    Warm,
}

/// How hard the owner feeds and mows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CareLevel {
    /// As little as keeps cover.
    Low,
    /// The ordinary home lawn.
    #[default]
    Medium,
    /// Dense and dark.
    High,
}

/// A low–high pair.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct Range {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Range {
    /// Middle of the range.
    pub fn middle(self) -> f64 {
        (self.low + self.high) / 2.0
    }
}

/// One turf species (or group sown and kept alike).
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grass {
    /// Short key, e.g. `kbg`.
    pub id: String,
    /// Trade name, e.g. "Kentucky bluegrass".
    pub name: String,
    /// Botanical name.
    pub latin: String,
    /// Cool or warm season.
    pub season: Season,
    /// Spreading habit in words: "rhizomes", "bunch", "stolons".
    pub habit: String,
    /// Mowing height: low, target, high (mm).
    pub mow_mm: [f64; 3],
    /// Fastest shoot growth at full growth potential (mm/day), low–high.
    pub growth_mm_day: Range,
    /// Yearly nitrogen by care level (g N/m²): low, medium, high ranges.
    pub nitrogen_g_m2: [Range; 3],
    /// Effective rooting depth of a mown lawn (m).
    pub root_m: Range,
    /// Depletion fraction p before stress.
    pub depletion_fraction: f64,
    /// Days from sowing to the bulk of the stand, at good soil temperature. For a grass without seed
    /// ([`Grass::seed_new_g_m2`] absent) this and the soil temperatures below describe the rooting of plugs.
    pub germination_days: Range,
    /// Soil temperature (°C, 2.5–5 cm daily mean) below which seed waits.
    pub germination_min_c: f64,
    /// Good soil temperature range for seed (°C).
    pub germination_good_c: Range,
    /// Soil temperature (°C) above which seed fails or stalls; absent for warm-season grasses.
    #[serde(default)]
    pub germination_max_c: Option<f64>,
    /// Soil temperature (°C) below which seed stands still, as heat sums count it; the floor above where nobody published one.
    #[serde(default)]
    pub heat_base_c: Option<f64>,
    /// Soil temperature (°C) above which seed is no quicker; the upper end of the good range where nobody published one.
    #[serde(default)]
    pub heat_best_c: Option<f64>,
    /// Heat (°C d above the base) to half of the seed germinated, on moist paper.
    #[serde(default)]
    pub heat_germinated: Option<f64>,
    /// Heat (°C d above the base) to half of the seedlings up in the field.
    #[serde(default)]
    pub heat_half_up: Option<f64>,
    /// Source of the four figures of heat.
    #[serde(default)]
    pub heat_source: String,
    /// Weeks from sowing to first mowing.
    pub first_mow_weeks: Range,
    /// Bulk seed rate, bare ground (g/m²); absent where no seed is sold and the grass is set as sod or plugs.
    #[serde(default)]
    pub seed_new_g_m2: Option<Range>,
    /// Bulk seed rate, overseeding (g/m²); absent where overseeding is not advised.
    #[serde(default)]
    pub seed_over_g_m2: Option<Range>,
    /// Days before the mean first hard frost by which seed must be in; absent where sown by soil temperature alone.
    #[serde(default)]
    pub sow_before_frost_days: Option<f64>,
    /// Source codes and words.
    pub source: String,
    /// Names of the fields above whose figure is from memory, not looked up.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// Share of the year's nitrogen by month for a care level.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NitrogenSplit {
    /// Cool or warm season.
    pub season: Season,
    /// Number of feeds in the year.
    pub feeds: u8,
    /// Share by month, January first; sums to 1.
    pub share: [f64; 12],
    /// Months whose feed must be slow release.
    #[serde(default)]
    pub slow_only_months: Vec<u8>,
    /// Source.
    pub source: String,
}

/// Crop coefficient of mown turf by month, January first.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CropCoefficient {
    /// Cool or warm season.
    pub season: Season,
    /// Kc on FAO grass reference.
    pub kc: [f64; 12],
    /// Source.
    pub source: String,
}

//! Active ingredients: the typical figures behind label checks. The label on the container always governs.

use serde::{Deserialize, Serialize};

use crate::grass::Range;

/// What a product is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ActiveKind {
    /// Stops weed seedlings (pre-emergence herbicide): a "preventer".
    Preventer,
    /// Kills weeds already up (post-emergence herbicide).
    Postemergence,
    /// Kills insects.
    Insecticide,
    /// Stops disease.
    Fungicide,
}

/// Kinds of ground a label allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Site {
    /// Established lawn.
    Turf,
    /// Beds of woody or herbaceous plants.
    Bed,
}

/// How an established grass takes an active ingredient.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tolerance {
    /// Tolerant.
    Tolerant,
    /// Marginal, varies with cultivar, rate and weather.
    Marginal,
    /// Injured or killed.
    Injured,
}

/// Whether a figure was read in a source or recalled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// Read in the source named beside it.
    Published,
    /// Recalled; never shown as a limit.
    FromMemory,
}

/// A figure with where it came from.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// The figure, in the unit of the field that holds it.
    pub value: f64,
    /// Read or recalled.
    pub basis: Basis,
    /// The source in words.
    pub source: String,
}

/// Waiting time from treatment to sowing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeedWait {
    /// Grass keys this row is for; empty = every grass without a row of its own.
    #[serde(default)]
    pub grasses: Vec<String>,
    /// Fewer days than this: Stop.
    pub stop_below_days: Figure,
    /// Fewer days than this: Caution.
    pub caution_below_days: Figure,
}

/// Yearly maximum of active ingredient.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct YearlyMax {
    /// Grass keys this row is for; empty = every other place.
    #[serde(default)]
    pub grasses: Vec<String>,
    /// Grams of active ingredient on each square metre in a year.
    pub g_m2: Figure,
}

/// Tolerance of one grass.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrassTolerance {
    /// Grass key.
    pub grass: String,
    /// How it takes it.
    pub tolerance: Tolerance,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// One active ingredient.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Active {
    /// Key, e.g. `prodiamine`.
    pub id: String,
    /// Common name (ISO or as labels print it).
    pub name: String,
    /// What it is for.
    pub kind: ActiveKind,
    /// Resistance group, e.g. "HRAC/WSSA 3", "IRAC 28", "FRAC 11".
    pub group: String,
    /// What it controls, in words.
    pub controls: String,
    /// Ground it is sold for.
    pub sites: Vec<Site>,
    /// A preventer that stops crabgrass (some stop broadleaf weeds only).
    #[serde(default)]
    pub stops_crabgrass: bool,
    /// Typical rate of one application (g active/m²).
    pub rate_g_m2: Range,
    /// Basis and source of the rate.
    pub rate_basis: Basis,
    /// Source of the rate.
    pub rate_source: String,
    /// Yearly maxima; first row that names the grass wins, else the row with no grasses.
    #[serde(default)]
    pub yearly_max: Vec<YearlyMax>,
    /// Most applications a year.
    #[serde(default)]
    pub applications_a_year: Option<Figure>,
    /// Least days between two applications.
    #[serde(default)]
    pub interval_days: Option<Figure>,
    /// Waits from treatment to sowing.
    #[serde(default)]
    pub seed_wait: Vec<SeedWait>,
    /// Mowings a new stand needs before treatment.
    #[serde(default)]
    pub seedling_mowings: Option<Figure>,
    /// Days from sowing before treatment.
    #[serde(default)]
    pub seedling_days: Option<Figure>,
    /// Water that must follow (mm).
    #[serde(default)]
    pub water_in_mm: Option<Figure>,
    /// Days within which that water must come.
    #[serde(default)]
    pub water_in_within_days: Option<Figure>,
    /// Hours without rain or irrigation after treatment.
    #[serde(default)]
    pub rain_free_hours: Option<Figure>,
    /// Air temperature below which it works poorly (°C).
    #[serde(default)]
    pub temperature_min_c: Option<Figure>,
    /// Air temperature above which it injures or drifts (°C): Stop.
    #[serde(default)]
    pub temperature_max_c: Option<Figure>,
    /// Weeks a preventer's barrier lasts, low–high.
    #[serde(default)]
    pub barrier_weeks: Option<Range>,
    /// Days after mowing before treating.
    #[serde(default)]
    pub mow_before_days: Option<Figure>,
    /// Days after treating before mowing.
    #[serde(default)]
    pub mow_after_days: Option<Figure>,
    /// Open flowers forbid treatment.
    #[serde(default)]
    pub harms_bees: bool,
    /// Buffer to open water (m).
    #[serde(default)]
    pub water_buffer_m: Option<Figure>,
    /// Tolerance of established grasses.
    #[serde(default)]
    pub tolerance: Vec<GrassTolerance>,
    /// Anything else that would trip someone up.
    #[serde(default)]
    pub notes: String,
    /// Sources of the row in words.
    pub source: String,
}

impl Active {
    /// How this established grass takes the active; `None` where nothing is known.
    pub fn tolerance_of(&self, grass_id: &str) -> Option<&GrassTolerance> {
        self.tolerance.iter().find(|row| row.grass == grass_id)
    }

    /// The wait before this grass is sown: the first row that names the grass, else the row that names none.
    pub fn seed_wait_for(&self, grass_id: &str) -> Option<&SeedWait> {
        row_for(&self.seed_wait, grass_id, |row| &row.grasses)
    }

    /// The yearly maximum on this grass: the first row that names the grass, else the row that names none.
    pub fn yearly_max_for(&self, grass_id: &str) -> Option<&YearlyMax> {
        row_for(&self.yearly_max, grass_id, |row| &row.grasses)
    }
}

/// The first row whose list holds the grass, else the first row with an empty list.
fn row_for<'a, R>(rows: &'a [R], grass_id: &str, grasses: impl Fn(&R) -> &[String]) -> Option<&'a R> {
    rows.iter()
        .find(|row| grasses(row).iter().any(|id| id == grass_id))
        .or_else(|| rows.iter().find(|row| grasses(row).is_empty()))
}

//! What is counted, set and tested beside the products themselves.

use serde::{Deserialize, Serialize};

use super::Key;

/// The shelf was looked at: so much of a product is left.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Counted {
    /// Product on the shelf.
    pub product: Key,
    /// What is left (kg; L for liquids).
    pub left_kg: f64,
}

/// One trial of a spreader: a setting, and what it laid on a strip.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpreaderTrial {
    /// Setting on the spreader's scale.
    pub setting: f64,
    /// Product laid down (kg).
    pub collected_kg: f64,
    /// Width of the strip (m).
    pub swath_m: f64,
    /// Length of the strip (m).
    pub length_m: f64,
}

/// A spreader was tried out with a product; each later entry of the same spreader and product takes this one's place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpreaderTried {
    /// What the spreader is called.
    pub spreader: String,
    /// Product it was tried with.
    pub product: Key,
    /// The trials.
    pub trials: Vec<SpreaderTrial>,
}

/// A sprayer was tried out with water.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SprayerTried {
    /// What the sprayer is called.
    pub sprayer: String,
    /// What its tank holds (L).
    pub tank_l: f64,
    /// Water used in the trial (L).
    pub used_l: f64,
    /// Ground it was used on (m²).
    pub on_m2: f64,
}

/// Whether phosphate may go on lawns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PhosphateRule {
    /// No rule is known.
    #[default]
    Free,
    /// Only where a soil test of the last three years shows need, or for new grass.
    TestOrSeed,
}

/// Local rules on feeding, as the person looked them up.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LocalRules {
    /// Phosphate.
    pub phosphate: PhosphateRule,
    /// First month and day of the season without fertiliser.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_feed_from: Option<(i8, i8)>,
    /// Last month and day of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_feed_until: Option<(i8, i8)>,
    /// Most nitrogen at once (g/m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nitrogen_once_g_m2: Option<f64>,
    /// Most nitrogen in a calendar year (g/m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nitrogen_year_g_m2: Option<f64>,
    /// Where the rule stands written.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub source: String,
}

/// The unit a laboratory printed its figures in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestUnit {
    /// Parts per million, mg/kg.
    #[default]
    Ppm,
    /// mg/dm³: by volume of soil.
    MgDm3,
    /// lb/acre.
    LbAcre,
    /// kg/ha.
    KgHa,
    /// The laboratory's own index, which nothing converts.
    Index,
}

/// A laboratory's report on the soil of some areas; the entry's day is that of sampling.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilTested {
    /// Areas sampled together.
    pub areas: Vec<Key>,
    /// Laboratory.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub laboratory: String,
    /// Method the nutrients were drawn out by.
    pub method: almanac::TestMethod,
    /// Unit of the figures.
    #[serde(default)]
    pub unit: TestUnit,
    /// The figures are P2O5 and K2O, not P and K.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub as_oxides: bool,
    /// Depth sampled (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_mm: Option<f64>,
    /// pH in water.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph: Option<f64>,
    /// Exchangeable acidity by the Mehlich buffer (meq/100 g).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acidity_meq: Option<f64>,
    /// Buffer pH by the Sikora buffer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sikora_ph: Option<f64>,
    /// Phosphorus, as printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub p: Option<f64>,
    /// Potassium, as printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub k: Option<f64>,
    /// Calcium, as printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ca: Option<f64>,
    /// Magnesium, as printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mg: Option<f64>,
}

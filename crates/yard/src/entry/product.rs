//! A product on the shelf, as its label tells it.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Key;
use crate::units::Quantity;

/// Granule or liquid.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// Spread dry.
    #[default]
    Granule,
    /// Sprayed.
    Liquid,
}

/// An active ingredient in a product.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Strength {
    /// Almanac key.
    pub active: Key,
    /// Share of the product by weight (%); for liquids the grams in 1 mL × 100.
    pub pct: f64,
}

/// Limits read off the label in hand; each replaces the almanac's typical figure.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LabelLimits {
    /// Highest product rate of one application (g/m²; mL/m² for liquids).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rate_max_g_m2: Option<f64>,
    /// Days from application to sowing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seed_wait_days: Option<f64>,
    /// Days between applications.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interval_days: Option<f64>,
    /// Most active ingredient in a year (g/m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub active_yearly_max_g_m2: Option<f64>,
    /// Hours without rain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rain_free_hours: Option<f64>,
    /// Water to follow (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_in_mm: Option<f64>,
    /// Days within which that water must come.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_in_within_days: Option<f64>,
    /// Most applications in a year.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub applications_a_year: Option<f64>,
    /// The year of the label's maxima is any 365 days, not the calendar's.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub year_is_rolling: bool,
    /// Mowings a new stand needs first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seedling_mowings: Option<f64>,
    /// Days from sowing to treatment.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seedling_days: Option<f64>,
    /// Coldest air (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_min_c: Option<f64>,
    /// Hottest air (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_max_c: Option<f64>,
    /// Strongest wind (m/s).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind_max_ms: Option<f64>,
    /// Hours until people and pets may go back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reentry_hours: Option<f64>,
    /// Strip left untreated beside water (m).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_buffer_m: Option<f64>,
    /// Ground the label names; empty where it was not looked up.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sites: Vec<almanac::Site>,
    /// Grasses the label names as tolerant.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub grasses: Vec<Key>,
    /// Grasses the label forbids.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub grasses_not: Vec<Key>,
    /// Signal word and hazards, as printed.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub hazards: String,
}

/// The product rate a label gives for one target.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TargetRate {
    /// What it is for: "crabgrass", "new seed".
    pub target: String,
    /// Lowest rate of product (g/m²; mL/m² for liquids).
    pub low: f64,
    /// Highest rate of product (the same).
    pub high: f64,
}

/// A pack it is sold in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pack {
    /// Content (kg; L for liquids).
    pub size_kg: f64,
    /// Price, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
}

/// A product on the shelf.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProductFacts {
    /// Key.
    pub key: Key,
    /// Plain description ("starter fertiliser", "prodiamine granule").
    pub name: String,
    /// Granule or liquid.
    #[serde(default)]
    pub form: Form,
    /// Nitrogen (%).
    #[serde(default)]
    pub n_pct: f64,
    /// Phosphate, P₂O₅ (%).
    #[serde(default)]
    pub p2o5_pct: f64,
    /// Potash, K₂O (%).
    #[serde(default)]
    pub k2o_pct: f64,
    /// Share of the nitrogen that is slow release (%).
    #[serde(default)]
    pub slow_n_pct: f64,
    /// Active ingredients.
    #[serde(default)]
    pub actives: Vec<Strength>,
    /// Limits from the label.
    #[serde(default)]
    pub label: LabelLimits,
    /// Pack (kg; L for liquids).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack_kg: Option<f64>,
    /// Rates by target, from the label.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub targets: Vec<TargetRate>,
    /// Packs it is sold in, with prices.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub packs: Vec<Pack>,
    /// Lot, as printed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub lot: String,
    /// Day the pack was opened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened_on: Option<Date>,
}

impl ProductFacts {
    /// Every pack it is known to come in: those with prices, and the one of the plain field.
    pub fn all_packs(&self) -> Vec<Pack> {
        let mut packs = self.packs.clone();
        if let Some(size_kg) = self.pack_kg
            && !packs.iter().any(|p| (p.size_kg - size_kg).abs() < 1e-6)
        {
            packs.push(Pack { size_kg, price: None });
        }
        packs
    }

    /// The quantity its rate is told in: weight on ground for granules, fluid on ground for liquids.
    pub fn dose_quantity(&self) -> Quantity {
        match self.form {
            Form::Granule => Quantity::Dose,
            Form::Liquid => Quantity::DoseLiquid,
        }
    }

    /// The quantity its packs and totals are told in.
    pub fn amount_quantity(&self) -> Quantity {
        match self.form {
            Form::Granule => Quantity::Mass,
            Form::Liquid => Quantity::VolumeProduct,
        }
    }
}

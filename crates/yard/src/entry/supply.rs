//! What the supplier meters and charges.

use reckon::tariff::{SewerCharge, Tariff, TariffStep};
use reckon::units::{CubicMetres, factor};
use serde::{Deserialize, Serialize};

/// The unit a meter or a bill is printed in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum BilledUnit {
    /// Cubic metres.
    #[default]
    #[serde(rename = "m3")]
    CubicMetre,
    /// Litres.
    #[serde(rename = "l")]
    Litre,
    /// US gallons.
    #[serde(rename = "gal")]
    Gallon,
    /// Thousands of US gallons.
    #[serde(rename = "kgal")]
    ThousandGallons,
    /// Hundreds of cubic feet.
    #[serde(rename = "ccf")]
    HundredCubicFeet,
}

impl BilledUnit {
    /// Cubic metres in one.
    pub const fn in_m3(self) -> f64 {
        match self {
            Self::CubicMetre => 1.0,
            Self::Litre => 1e-3,
            Self::Gallon => factor::L_PER_GALLON / 1000.0,
            Self::ThousandGallons => factor::L_PER_GALLON,
            Self::HundredCubicFeet => 100.0 * factor::M_PER_FOOT * factor::M_PER_FOOT * factor::M_PER_FOOT,
        }
    }

    /// As it stands behind a number.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::CubicMetre => "m³",
            Self::Litre => "L",
            Self::Gallon => "gal",
            Self::ThousandGallons => "1000 gal",
            Self::HundredCubicFeet => "100 cu ft",
        }
    }
}

/// Which meter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meter {
    /// The house's: everything runs through it, the yard with it.
    #[default]
    House,
    /// A meter of the yard's own.
    Yard,
}

impl Meter {
    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::House => "the house meter",
            Self::Yard => "the yard meter",
        }
    }
}

/// A meter was read, in the morning before anything ran.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeterRead {
    /// Which.
    #[serde(default)]
    pub meter: Meter,
    /// What it stood at (m³).
    pub reading_m3: f64,
    /// The unit it was read in.
    #[serde(default)]
    pub unit: BilledUnit,
    /// It is a new meter, or rolled over to nought: what it stood at before does not count.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub renewed: bool,
}

/// One step of a tariff.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PriceStep {
    /// Where it ends (m³ a period); the last has no end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_to_m3: Option<f64>,
    /// Price of a cubic metre.
    pub price_per_m3: f64,
}

/// How long a bill's period is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BillPeriod {
    /// A month.
    #[default]
    Month,
    /// Two months.
    TwoMonths,
    /// A quarter of a year.
    Quarter,
    /// Half a year.
    HalfYear,
    /// A year.
    Year,
}

impl BillPeriod {
    /// Months of it.
    pub const fn months(self) -> u8 {
        match self {
            Self::Month => 1,
            Self::TwoMonths => 2,
            Self::Quarter => 3,
            Self::HalfYear => 6,
            Self::Year => 12,
        }
    }

    /// Mean days of it.
    pub const fn days(self) -> f64 {
        self.months() as f64 * 365.25 / 12.0
    }

    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Month => "a month",
            Self::TwoMonths => "two months",
            Self::Quarter => "a quarter",
            Self::HalfYear => "half a year",
            Self::Year => "a year",
        }
    }
}

/// The supplier's prices, from the entry's day on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TariffFacts {
    /// Meter it is for.
    #[serde(default)]
    pub meter: Meter,
    /// How long a bill's period is.
    #[serde(default)]
    pub period: BillPeriod,
    /// Charges of a period that do not hang on the volume.
    #[serde(default)]
    pub base: f64,
    /// The unit it is printed in.
    #[serde(default)]
    pub unit: BilledUnit,
    /// The steps in order.
    pub steps: Vec<PriceStep>,
    /// Sewer charge for a cubic metre of metered water.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sewer_per_m3: Option<f64>,
    /// Water of a period free of the sewer charge (m³).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sewer_free_m3: Option<f64>,
    /// Water of a period beyond which the sewer charge no longer grows (m³).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sewer_most_m3: Option<f64>,
    /// Where it stands written.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub source: String,
}

impl TariffFacts {
    /// As the formula takes it.
    pub fn tariff(&self) -> Tariff {
        let m3 = CubicMetres::new;
        Tariff {
            base: self.base,
            steps: self
                .steps
                .iter()
                .map(|s| TariffStep { up_to: s.up_to_m3.map(m3), price_per_m3: s.price_per_m3 })
                .collect(),
            sewer: self.sewer_per_m3.map(|price_per_m3| SewerCharge {
                price_per_m3,
                free: m3(self.sewer_free_m3.unwrap_or(0.0)),
                most: self.sewer_most_m3.map(m3),
            }),
        }
    }
}

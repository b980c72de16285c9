//! A laboratory's figure, its unit and its method.

use serde::{Deserialize, Serialize};

use crate::error::{Bound, ReckonError};
use crate::units::{GramsPerSquareMetre, KilogramsPerCubicMetre, Metres, factor};

/// A reading, in whatever unit the laboratory printed.
pub const READING: Bound = Bound::new("reading", 0.0, 1e6, "", "the figure on the laboratory's report");
/// Depth of soil the reading is counted over.
pub const DEPTH_M: Bound = Bound::new("depth_m", 0.01, 1.0, "m", "depth of soil the reading stands for");
/// Mass of a volume of that soil.
pub const BULK_DENSITY: Bound =
    Bound::new("bulk_density_kg_m3", 100.0, 2_200.0, "kg/m³", "dry soil in a cubic metre, as it lies");
/// A nutrient in the soil.
pub const IN_SOIL: Bound = Bound::new("in_soil_mg_kg", 0.0, 1e6, "mg/kg", "nutrient in the soil, as the element");

/// Standard atomic weights: Commission on Isotopic Abundances and Atomic Weights (IUPAC); oxygen is the abridged value.
mod atomic_weight {
    pub const O: f64 = 15.999;
    pub const MG: f64 = 24.305;
    pub const P: f64 = 30.973_761_998;
    pub const K: f64 = 39.098_3;
    pub const CA: f64 = 40.078;
}

/// Phosphate (P2O5) of one part of phosphorus, by weight.
pub const P2O5_PER_P: f64 = (2.0 * atomic_weight::P + 5.0 * atomic_weight::O) / (2.0 * atomic_weight::P);
/// Potash (K2O) of one part of potassium, by weight.
pub const K2O_PER_K: f64 = (2.0 * atomic_weight::K + atomic_weight::O) / (2.0 * atomic_weight::K);

/// Milligrams of a nutrient in a kilogram of dry soil: parts per million.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct MilligramsPerKilogram(f64);

impl MilligramsPerKilogram {
    /// The unit's symbol.
    pub const SYMBOL: &'static str = "mg/kg";

    /// Wraps a number of this unit.
    pub const fn new(value: f64) -> Self {
        Self(value)
    }

    /// The bare number in this unit.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// What was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Element {
    /// Phosphorus.
    P,
    /// Potassium.
    K,
    /// Calcium.
    Ca,
    /// Magnesium.
    Mg,
    /// Sulphur.
    S,
}

impl Element {
    /// Its name in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::P => "phosphorus",
            Self::K => "potassium",
            Self::Ca => "calcium",
            Self::Mg => "magnesium",
            Self::S => "sulphur",
        }
    }

    /// Oxide of a label for one part of the element; `None` where labels print the element.
    pub fn oxide(self) -> Option<f64> {
        match self {
            Self::P => Some(P2O5_PER_P),
            Self::K => Some(K2O_PER_K),
            Self::Ca | Self::Mg | Self::S => None,
        }
    }

    /// Milligrams in a milliequivalent; `None` for what the soil does not hold as an exchangeable cation.
    fn equivalent_mg(self) -> Option<f64> {
        match self {
            Self::K => Some(atomic_weight::K),
            Self::Ca => Some(atomic_weight::CA / 2.0),
            Self::Mg => Some(atomic_weight::MG / 2.0),
            Self::P | Self::S => None,
        }
    }
}

/// How the laboratory drew the nutrient out of the soil.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Mehlich-3.
    #[serde(rename = "mehlich-3")]
    Mehlich3,
    /// Bray P-1.
    #[serde(rename = "bray-1")]
    Bray1,
    /// Olsen (sodium bicarbonate).
    Olsen,
    /// Ammonium acetate, neutral.
    AmmoniumAcetate,
    /// Morgan.
    Morgan,
    /// Modified Morgan.
    ModifiedMorgan,
}

impl Method {
    /// Its name as reports print it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Mehlich3 => "Mehlich-3",
            Self::Bray1 => "Bray-1",
            Self::Olsen => "Olsen",
            Self::AmmoniumAcetate => "ammonium acetate",
            Self::Morgan => "Morgan",
            Self::ModifiedMorgan => "modified Morgan",
        }
    }
}

/// A figure with the unit the laboratory printed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "unit", content = "value", rename_all = "kebab-case")]
pub enum Reading {
    /// Parts per million by weight, mg/kg.
    MilligramsPerKilogram(f64),
    /// mg/dm³: by volume of soil, which the bulk density turns into a weight.
    MilligramsPerCubicDecimetre(f64),
    /// lb/acre, by the furrow slice.
    PoundsPerAcre(f64),
    /// kg/ha, over the depth and the bulk density.
    KilogramsPerHectare(f64),
    /// meq/100 g, the same as cmol(+)/kg: exchangeable calcium, magnesium, potassium.
    MilliequivalentsPer100Grams(f64),
    /// The laboratory's own scale: no unit, and nothing to convert it by.
    Index(f64),
}

/// Whether a figure is the element or the oxide a label prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// P, K.
    Element,
    /// P2O5, K2O.
    Oxide,
}

/// The soil a reading is counted over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// Its depth.
    pub depth: Metres,
    /// Dry soil in a cubic metre of it.
    pub bulk_density: KilogramsPerCubicMetre,
}

/// Depth of the furrow slice: 6⅔ in.
const FURROW_DEPTH_M: f64 = 20.0 / 3.0 * factor::MM_PER_INCH / 1000.0;
/// What an acre of furrow slice weighs, by convention.
const FURROW_LB_PER_ACRE: f64 = 2_000_000.0;

impl Layer {
    /// The furrow slice: 2,000,000 lb on an acre 6⅔ in deep, so 1,324 kg/m³. The assumption behind every reading in
    /// lb/acre.
    pub const FURROW_SLICE: Layer = Layer {
        depth: Metres::new(FURROW_DEPTH_M),
        bulk_density: KilogramsPerCubicMetre::new(
            FURROW_LB_PER_ACRE * factor::G_M2_PER_LB_ACRE / 1000.0 / FURROW_DEPTH_M,
        ),
    };

    /// Kilograms of dry soil under a square metre.
    fn kg_per_m2(self) -> Result<f64, ReckonError> {
        Ok(DEPTH_M.check(self.depth.get())? * BULK_DENSITY.check(self.bulk_density.get())?)
    }
}

/// A laboratory's reading as milligrams of the element in a kilogram of soil.
///
/// | as printed | `c`, mg/kg |
/// | --- | --- |
/// | mg/kg, ppm | `x` |
/// | mg/dm³ | `1000 x / ρ` |
/// | lb/acre | `x / (2 d / d₀)`, `d₀` = 6⅔ in: at that depth half the figure |
/// | kg/ha | `100 x / (d ρ)` |
/// | meq/100 g | `10 x A / z` |
///
/// An oxide is divided by 2.2913 (P2O5) or 1.2046 (K2O) first.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `x` | the figure on the report | as printed | 0 ..= 10⁶ |
/// | `d` | depth the laboratory counts over | m | 0.01 ..= 1 |
/// | `ρ` | bulk density | kg/m³ | 100 ..= 2,200 |
/// | `A`, `z` | atomic weight, charge of the ion | g/mol, – | K 39.098/1, Ca 40.078/2, Mg 24.305/2 |
///
/// lb/acre rests on the furrow slice, an acre 6⅔ in deep weighing 2,000,000 lb ([`Layer::FURROW_SLICE`]); another depth
/// scales it, another bulk density does not, since the laboratory did not weigh the soil either.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `reading`, `depth_m` or `bulk_density_kg_m3`; [`ReckonError::Inconsistent`] naming
/// `reading` for an index, which only its laboratory's own table reads, for milliequivalents of phosphorus or sulphur, and
/// for an oxide of anything but phosphorus and potassium.
///
/// # Source
/// Furrow slice: University of Florida, HS1229, *Conversions of parts per million on soil test reports to pounds per acre*.
/// Atomic weights: IUPAC. The rest by definition.
///
/// # Examples
/// 0.98 meq of potassium in 100 g are 383.18 ppm, or 766.36 lb an acre (a university course's exercise on soil test units).
/// ```
/// use reckon::soil_test::{Element, Form, Layer, Reading, in_soil};
///
/// let meq = Reading::MilliequivalentsPer100Grams(0.98);
/// let k = in_soil(meq, Element::K, Form::Element, Layer::FURROW_SLICE)?;
/// assert!((k.get() - 383.18).abs() < 0.03);
/// let by_area = in_soil(Reading::PoundsPerAcre(766.36), Element::K, Form::Element, Layer::FURROW_SLICE)?;
/// assert!((by_area.get() - 383.18).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn in_soil(
    reading: Reading,
    element: Element,
    form: Form,
    layer: Layer,
) -> Result<MilligramsPerKilogram, ReckonError> {
    let kg_per_m2 = layer.kg_per_m2()?;
    let (value, mg_kg) = match reading {
        Reading::MilligramsPerKilogram(x) => (x, x),
        Reading::MilligramsPerCubicDecimetre(x) => (x, 1000.0 * x / layer.bulk_density.get()),
        Reading::PoundsPerAcre(x) => (x, x * 1e6 / FURROW_LB_PER_ACRE * (FURROW_DEPTH_M / layer.depth.get())),
        Reading::KilogramsPerHectare(x) => (x, 100.0 * x / kg_per_m2),
        Reading::MilliequivalentsPer100Grams(x) => {
            let Some(mg) = element.equivalent_mg() else {
                return Err(refused(format!("{} is not reported in meq/100 g", element.name())));
            };
            (x, 10.0 * x * mg)
        }
        Reading::Index(_) => {
            return Err(refused(
                "an index is the laboratory's own scale: it cannot be converted, only read in that laboratory's table"
                    .to_string(),
            ));
        }
    };
    READING.check(value)?;
    let per_element = match form {
        Form::Element => 1.0,
        Form::Oxide => oxide_of(element)?,
    };
    Ok(MilligramsPerKilogram::new(IN_SOIL.check(mg_kg / per_element)?))
}

/// What a concentration in a layer of soil is on a square metre.
///
/// `m = c d ρ / 1000`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `c` | nutrient in the soil | mg/kg | 0 ..= 10⁶ |
/// | `d` | depth | m | 0.01 ..= 1 |
/// | `ρ` | bulk density | kg/m³ | 100 ..= 2,200 |
/// | `m` | the same on a square metre | g/m² | – |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Definition. M. Woods, Asian Turfgrass Center, on minimum levels: with 10 cm and 1.5 g/cm³, 1 g/m² is 6.7 ppm.
///
/// # Examples
/// ```
/// use reckon::soil_test::{Layer, MilligramsPerKilogram, on_area};
/// use reckon::units::{KilogramsPerCubicMetre, Metres};
///
/// let layer = Layer { depth: Metres::new(0.10), bulk_density: KilogramsPerCubicMetre::new(1_500.0) };
/// assert!((on_area(MilligramsPerKilogram::new(6.7), layer)?.get() - 1.0).abs() < 0.01);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn on_area(in_soil: MilligramsPerKilogram, layer: Layer) -> Result<GramsPerSquareMetre, ReckonError> {
    Ok(GramsPerSquareMetre::new(IN_SOIL.check(in_soil.get())? * layer.kg_per_m2()? / 1000.0))
}

/// An amount of the element as the oxide a label prints: P as P2O5, K as K2O.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `reading` for an element labels do not print as an oxide.
///
/// # Examples
/// ```
/// use reckon::soil_test::{Element, as_oxide};
/// use reckon::units::GramsPerSquareMetre;
///
/// // International Fertilizer Industry Association: P to P2O5 times 2.2914 (with oxygen's earlier weight, 15.9994).
/// assert!((as_oxide(Element::P, GramsPerSquareMetre::new(1.0))?.get() - 2.2914).abs() < 1e-4);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn as_oxide(element: Element, amount: GramsPerSquareMetre) -> Result<GramsPerSquareMetre, ReckonError> {
    Ok(amount * oxide_of(element)?)
}

fn oxide_of(element: Element) -> Result<f64, ReckonError> {
    element.oxide().ok_or_else(|| refused(format!("{} is reported as the element, not as an oxide", element.name())))
}

fn refused(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: READING.field, message }
}

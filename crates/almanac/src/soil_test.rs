//! Soil tests: what a laboratory's reading means, and the lime, sulphur and iron that follow from it.
//!
//! A reading is judged only by rows of its own method. Two sources that differ each keep their own row.

use serde::Deserialize;

use crate::active::Basis;
use crate::grass::Range;

/// How the laboratory drew the nutrient out of the soil.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestMethod {
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

/// What was measured, as the element.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
pub enum TestElement {
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

/// Soils a row is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestedSoil {
    /// Every soil.
    Any,
    /// Sand.
    Sand,
    /// Anything but sand.
    Other,
}

/// Class of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestClass {
    /// Very low.
    VeryLow,
    /// Low.
    Low,
    /// Medium.
    Medium,
    /// Optimum.
    Optimum,
    /// Above optimum.
    High,
}

/// One class and the lowest reading that belongs to it.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestBand {
    /// The class.
    pub class: TestClass,
    /// Lowest reading of the class (mg/kg).
    pub from_ppm: f64,
}

/// How one source reads one nutrient by one method.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestReading {
    /// Key.
    pub id: String,
    /// Method of the laboratory.
    pub method: TestMethod,
    /// Element.
    pub element: TestElement,
    /// Soils it holds for.
    pub soil: TestedSoil,
    /// Classes from the lowest up.
    pub bands: Vec<TestBand>,
    /// At this reading and above the source gives no fertiliser (mg/kg).
    pub enough_ppm: f64,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// Nutrient of a label.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LabelNutrient {
    /// Phosphate.
    P2o5,
    /// Potash.
    K2o,
}

/// Typical amount of a nutrient for a year, by class.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NutrientDose {
    /// Nutrient.
    pub nutrient: LabelNutrient,
    /// Class of the reading.
    pub class: TestClass,
    /// In a year (g/m²).
    pub year_g_m2: f64,
    /// At once (g/m²).
    pub each_g_m2: f64,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// What the grass takes up for a part of nitrogen.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Uptake {
    /// Element.
    pub element: TestElement,
    /// Grass keys this row is for; empty = every grass without a row of its own.
    pub grasses: Vec<String>,
    /// Parts of the element for one part of nitrogen, by weight.
    pub per_nitrogen: f64,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// What a lime table is entered with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LimeMethod {
    /// Exchangeable acidity by the Mehlich buffer (meq/100 g).
    ExchangeableAcidity,
    /// Buffer pH by the Sikora buffer.
    SikoraBuffer,
    /// Only the pH of the soil and its texture: typical, a buffer test is better.
    SoilPh,
}

/// Coarse texture as lime and sulphur tables print it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CoarseTexture {
    /// Sand.
    Sand,
    /// Loam.
    Loam,
    /// Clay.
    Clay,
}

/// One line of a lime or sulphur table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AmountRow {
    /// What the laboratory reports, or the pH of the soil.
    pub reading: f64,
    /// Amount by goal, in the order of the table's goals (g/m²).
    pub g_m2: Vec<f64>,
}

/// Lime by a reading, as calcium carbonate equivalent.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimeTable {
    /// Key.
    pub id: String,
    /// What it is entered with.
    pub method: LimeMethod,
    /// Texture, where the table is by texture.
    #[serde(default)]
    pub texture: Option<CoarseTexture>,
    /// What the reading is, in words.
    pub measure: String,
    /// Unit of the reading.
    pub unit: String,
    /// Depth the table limes (m), where the source says it.
    #[serde(default)]
    pub depth_m: Option<f64>,
    /// Goals of pH, one a column.
    pub goals_ph: Vec<f64>,
    /// Rows, least lime first.
    pub rows: Vec<AmountRow>,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// Sulphur to bring the pH down to one goal, by the pH of the soil.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SulphurTable {
    /// Key.
    pub id: String,
    /// Texture.
    pub texture: CoarseTexture,
    /// The pH every row leads to.
    pub goal_ph: f64,
    /// Rows, least sulphur first.
    pub rows: Vec<AmountRow>,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// One sieve of a fineness scale.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SieveFactor {
    /// Mesh number.
    pub mesh: u16,
    /// Share that works of what passes this sieve and is held by the next finer one.
    pub factor: f64,
}

/// How a state counts the fineness of lime.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FinenessScale {
    /// Key.
    pub id: String,
    /// Name in words.
    pub name: String,
    /// Sieves, coarsest first.
    pub sieves: Vec<SieveFactor>,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// What is spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Amendment {
    /// Ground limestone.
    Limestone,
    /// Burnt or hydrated lime.
    HydratedLime,
    /// Elemental sulphur.
    Sulphur,
}

/// Most at once on growing turf, by one source.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurfaceDose {
    /// Key.
    pub id: String,
    /// What is spread.
    pub material: Amendment,
    /// Most at once (g/m²).
    pub each_g_m2: f64,
    /// Most in a year (g/m²).
    #[serde(default)]
    pub year_g_m2: Option<f64>,
    /// Months from one dose to the next, low–high.
    #[serde(default)]
    pub months_between: Option<Range>,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// Typical iron for colour.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IronDose {
    /// Key.
    pub id: String,
    /// What it is, in words.
    pub name: String,
    /// Product at once (g/m²), low–high: typical, never a limit.
    pub product_g_m2: Range,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// The pH some grasses want.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhGoal {
    /// Grass keys.
    pub grasses: Vec<String>,
    /// From and to.
    pub target: Range,
    /// Read or recalled.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// Everything about soil tests.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilTests {
    /// Readings by method, nutrient and soil.
    #[serde(rename = "test")]
    pub readings: Vec<TestReading>,
    /// Typical amounts by class.
    #[serde(rename = "dose")]
    pub doses: Vec<NutrientDose>,
    /// Uptake by nitrogen.
    #[serde(rename = "uptake")]
    pub uptakes: Vec<Uptake>,
}

/// Everything about lime, sulphur and iron.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Amendments {
    /// Lime by a reading.
    pub lime: Vec<LimeTable>,
    /// Fineness scales.
    pub fineness: Vec<FinenessScale>,
    /// Most at once on turf.
    #[serde(rename = "dose")]
    pub doses: Vec<SurfaceDose>,
    /// Sulphur by texture.
    pub sulphur: Vec<SulphurTable>,
    /// Typical iron.
    pub iron: Vec<IronDose>,
    /// Goals of pH.
    pub ph: Vec<PhGoal>,
}

impl SoilTests {
    /// The rows that can judge this reading: same method, same element, and the soil. None for a method without a row.
    pub fn rows_for(
        &self,
        method: TestMethod,
        element: TestElement,
        sand: bool,
    ) -> impl Iterator<Item = &TestReading> + '_ {
        let own = if sand { TestedSoil::Sand } else { TestedSoil::Other };
        self.readings.iter().filter(move |row| {
            row.method == method && row.element == element && (row.soil == TestedSoil::Any || row.soil == own)
        })
    }

    /// The typical amount of a nutrient for a class; `None` where nothing is given.
    pub fn dose(&self, nutrient: LabelNutrient, class: TestClass) -> Option<&NutrientDose> {
        self.doses.iter().find(|row| row.nutrient == nutrient && row.class == class)
    }

    /// The uptake of an element: the row that names the grass, else the row that names none.
    pub fn uptake(&self, element: TestElement, grass_id: &str) -> Option<&Uptake> {
        let rows = || self.uptakes.iter().filter(|row| row.element == element);
        rows().find(|row| row.grasses.iter().any(|id| id == grass_id)).or_else(|| rows().find(|r| r.grasses.is_empty()))
    }
}

impl Amendments {
    /// The lime tables of a method; by texture where the table is by texture.
    pub fn lime_by(&self, method: LimeMethod, texture: Option<CoarseTexture>) -> impl Iterator<Item = &LimeTable> + '_ {
        self.lime.iter().filter(move |row| row.method == method && (row.texture.is_none() || row.texture == texture))
    }

    /// The dose that asks for most care: the smallest published amount at once; `None` when nothing published limits it.
    pub fn smallest_dose(&self, material: Amendment) -> Option<&SurfaceDose> {
        self.doses
            .iter()
            .filter(|row| row.material == material && row.basis == Basis::Published)
            .min_by(|a, b| a.each_g_m2.total_cmp(&b.each_g_m2))
    }

    /// The pH a grass wants.
    pub fn ph_goal(&self, grass_id: &str) -> Option<&PhGoal> {
        self.ph.iter().find(|row| row.grasses.iter().any(|id| id == grass_id))
    }
}

#[cfg(test)]
mod tests;

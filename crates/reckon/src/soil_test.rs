//! What a laboratory's soil test says about phosphorus, potassium and the other nutrients, and what a lawn needs for the
//! year.
//!
//! A reading is a unit and a method: the unit converts exactly, the method never does. An index is the laboratory's own
//! scale.

mod reading;

use serde::{Deserialize, Serialize};

use crate::error::{Bound, ReckonError};
use crate::fertilizer::count_rounded_up;
use crate::units::GramsPerSquareMetre;

pub use reading::{
    BULK_DENSITY, DEPTH_M, Element, Form, IN_SOIL, K2O_PER_K, Layer, Method, MilligramsPerKilogram, P2O5_PER_P,
    READING, Reading, as_oxide, in_soil, on_area,
};

/// What the grass takes up in the year.
pub const UPTAKE: Bound = Bound::new("uptake_g_m2", 0.0, 200.0, "g/m²", "nutrient the grass takes up, as the element");
/// Nutrient for a year.
pub const YEAR_DOSE: Bound = Bound::new("year_g_m2", 0.0, 200.0, "g/m²", "nutrient for the year");
/// Most at once.
pub const AT_ONCE: Bound = Bound::new("at_once_g_m2", 0.1, 200.0, "g/m²", "most of the nutrient at once");

/// Years after which a soil test no longer counts (Michigan, Public Act 299 of 2010; University of Missouri Extension,
/// G6954: every three years).
pub const TEST_VALID_YEARS: i32 = 3;

/// Soils a table is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TableSoil {
    /// Every soil.
    Any,
    /// Sand.
    Sand,
    /// Anything but sand.
    Other,
}

/// Class of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Class {
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
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// The class.
    pub class: Class,
    /// Lowest reading of the class.
    pub from: MilligramsPerKilogram,
}

/// How one source reads one nutrient by one method.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassTable {
    /// Method it is for.
    pub method: Method,
    /// Element it is for.
    pub element: Element,
    /// Soils it is for.
    pub soil: TableSoil,
    /// Classes from the lowest up, the first from 0.
    pub bands: Vec<Band>,
    /// At this reading and above the source gives no fertiliser.
    pub enough: MilligramsPerKilogram,
}

/// A reading to be judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// The laboratory's method.
    pub method: Method,
    /// What was measured.
    pub element: Element,
    /// Whether the soil is a sand.
    pub sand: bool,
    /// The reading.
    pub in_soil: MilligramsPerKilogram,
}

/// What one table says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// Place of the table in the list given.
    pub table: usize,
    /// Class.
    pub class: Class,
    /// Whether the source would give no fertiliser.
    pub enough: bool,
}

/// The class of a reading by every table of its own method.
///
/// A table speaks when its method and element are the sample's and its soil is any, or the sample's. Two sources may
/// differ; each gives its own verdict, in the order of the tables.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `method` when no table reads this element by this method on this soil, for a
/// reading is never judged by another method's table, or `bands` when a table's bands do not rise from 0;
/// [`ReckonError::OutOfRange`] naming
/// `in_soil_mg_kg`.
///
/// # Source
/// The tables carry their own. Methods are not exchanged: University of Florida, HS1229, "different extractants can give
/// totally different values even for the same soil sample".
///
/// # Examples
/// Rutgers, Mehlich-3 phosphorus, lb/acre: 0–24 very low, 25–45 low, 46–71 medium, 72–137 "high", which it calls optimum.
/// 30 lb/acre are low.
/// ```
/// use reckon::soil_test::{Band, Class, ClassTable, Element, Method, MilligramsPerKilogram, Sample, TableSoil, classify};
///
/// let mg_kg = |lb_acre: f64| MilligramsPerKilogram::new(lb_acre / 2.0);
/// use Class::{High, Low, Medium, Optimum, VeryLow};
/// let bands = [(VeryLow, 0.0), (Low, 25.0), (Medium, 46.0), (Optimum, 72.0), (High, 138.0)];
/// let rutgers = ClassTable {
///     method: Method::Mehlich3,
///     element: Element::P,
///     soil: TableSoil::Any,
///     bands: bands.map(|(class, lb)| Band { class, from: mg_kg(lb) }).to_vec(),
///     enough: mg_kg(72.0),
/// };
/// let sample = Sample { method: Method::Mehlich3, element: Element::P, sand: false, in_soil: mg_kg(30.0) };
/// let verdicts = classify(sample, std::slice::from_ref(&rutgers))?;
/// assert_eq!((verdicts[0].class, verdicts[0].enough), (Class::Low, false));
/// assert!(classify(Sample { method: Method::Olsen, ..sample }, &[rutgers]).is_err());
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn classify(sample: Sample, tables: &[ClassTable]) -> Result<Vec<Verdict>, ReckonError> {
    let in_soil = IN_SOIL.check(sample.in_soil.get())?;
    let soil = if sample.sand { TableSoil::Sand } else { TableSoil::Other };
    let mut verdicts = Vec::new();
    for (place, table) in tables.iter().enumerate() {
        let fits = (table.method, table.element) == (sample.method, sample.element)
            && (table.soil == TableSoil::Any || table.soil == soil);
        if !fits {
            continue;
        }
        let from_zero = table.bands.first().is_some_and(|band| band.from.get() == 0.0);
        if !from_zero
            || !table.bands.windows(2).all(|pair| pair[0].from < pair[1].from && pair[0].class < pair[1].class)
        {
            return Err(ReckonError::Inconsistent {
                field: "bands",
                message: format!("table {place}: bands must rise from 0, class by class"),
            });
        }
        if let Some(band) = table.bands.iter().rev().find(|band| band.from.get() <= in_soil) {
            verdicts.push(Verdict { table: place, class: band.class, enough: in_soil >= table.enough.get() });
        }
    }
    if verdicts.is_empty() {
        return Err(ReckonError::Inconsistent {
            field: "method",
            message: format!(
                "no table reads {} by {} on this soil, and no other method's table may be used",
                sample.element.name(),
                sample.method.name()
            ),
        });
    }
    Ok(verdicts)
}

/// Nutrient a source gives in a year for one class.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassDose {
    /// Class.
    pub class: Class,
    /// Nutrient for the year, as the label prints it (P2O5, K2O).
    pub year: GramsPerSquareMetre,
}

/// The year's nutrient in equal applications.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct YearNeed {
    /// In the year.
    pub year: GramsPerSquareMetre,
    /// Applications.
    pub applications: u64,
    /// Each of them.
    pub each: GramsPerSquareMetre,
}

/// What a class needs in the year, in as few applications as the most at once allows.
///
/// `n = ⌈Y / d⌉`, each `Y / n`; a class without a row needs nothing.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Y` | nutrient for the year by class | g/m² | 0 ..= 200 |
/// | `d` | most at once | g/m² | 0.1 ..= 200 |
/// | `n` | applications | – | – |
///
/// Whether law or label allows it is the caller's to check: several states forbid phosphorus on established turf without a
/// test that shows a need.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `year_g_m2` or `at_once_g_m2`.
///
/// # Source
/// Definition; the doses carry their own.
///
/// # Examples
/// Michigan State University's home lawn report for 87 ppm potassium: 1.3 lb on 1,000 ft² in the year. At 1 lb at once,
/// common practice, these are two applications of 0.65 lb.
/// ```
/// use reckon::soil_test::{Class, ClassDose, year_need};
/// use reckon::units::{GramsPerSquareMetre, factor};
///
/// let lb = |lb: f64| GramsPerSquareMetre::new(lb * factor::G_M2_PER_LB_1000FT2);
/// let need = year_need(Class::Low, &[ClassDose { class: Class::Low, year: lb(1.3) }], lb(1.0))?;
/// assert_eq!(need.applications, 2);
/// assert!((need.each.get() - lb(0.65).get()).abs() < 1e-12);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn year_need(class: Class, doses: &[ClassDose], at_once: GramsPerSquareMetre) -> Result<YearNeed, ReckonError> {
    let at_once = AT_ONCE.check(at_once.get())?;
    let dose = doses.iter().find(|dose| dose.class == class).map_or(0.0, |dose| dose.year.get());
    let year = YEAR_DOSE.check(dose)?;
    let applications = count_rounded_up(year / at_once);
    let each = if applications == 0 { 0.0 } else { (year / applications as f64).min(at_once) };
    Ok(YearNeed { year: GramsPerSquareMetre::new(year), applications, each: GramsPerSquareMetre::new(each) })
}

/// What to give so that the soil ends the year at no less than a minimum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MinimumNeed {
    /// What lifts the soil to the minimum; below 0 what it holds above it.
    pub to_minimum: GramsPerSquareMetre,
    /// Nutrient to give in the year, as the element; never below 0.
    pub need: GramsPerSquareMetre,
}

/// Nutrient for the year by uptake and a minimum level in the soil.
///
/// `Q = a + (b - c) d ρ / 1000`, never below 0.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `a` | what the grass takes up in the year, as the element | g/m² | 0 ..= 200 |
/// | `b` | minimum level in the soil | mg/kg | 0 ..= 10⁶ |
/// | `c` | level found | mg/kg | 0 ..= 10⁶ |
/// | `d` | depth the roots use | m | 0.01 ..= 1 |
/// | `ρ` | bulk density | kg/m³ | 100 ..= 2,200 |
/// | `Q` | nutrient to give | g/m² | – |
///
/// The minimum belongs to one method (Mehlich-3 for the published ones). Left out: clippings left lying, which give back
/// most of `a`, leaching, and what the soil releases by itself.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// PACE Turf and Asian Turfgrass Center, *Minimum levels for sustainable nutrition*, 2014; the form and its symbols: M.
/// Woods, Asian Turfgrass Center.
///
/// # Examples
/// Woods: 16 g/m² of nitrogen take up 8 g/m² of potassium; minimum 37, found 50 ppm, 10 cm at 1.5 g/cm³: 6.1 g/m² (he
/// rounds to whole ppm on the way).
/// ```
/// use reckon::soil_test::{Layer, MilligramsPerKilogram, need_by_minimum};
/// use reckon::units::{GramsPerSquareMetre, KilogramsPerCubicMetre, Metres};
///
/// let layer = Layer { depth: Metres::new(0.10), bulk_density: KilogramsPerCubicMetre::new(1_500.0) };
/// let mg_kg = MilligramsPerKilogram::new;
/// let potassium = need_by_minimum(GramsPerSquareMetre::new(8.0), mg_kg(37.0), mg_kg(50.0), layer)?;
/// assert!((potassium.need.get() - 6.1).abs() < 0.1);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn need_by_minimum(
    uptake: GramsPerSquareMetre,
    minimum: MilligramsPerKilogram,
    found: MilligramsPerKilogram,
    layer: Layer,
) -> Result<MinimumNeed, ReckonError> {
    let uptake = GramsPerSquareMetre::new(UPTAKE.check(uptake.get())?);
    let to_minimum = on_area(minimum, layer)? - on_area(found, layer)?;
    Ok(MinimumNeed { to_minimum, need: (uptake + to_minimum).max(GramsPerSquareMetre::new(0.0)) })
}

/// A day of the calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CalendarDay {
    /// Year.
    pub year: i32,
    /// Month, January 1.
    pub month: u8,
    /// Day of the month.
    pub day: u8,
}

/// Whether a test still counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TestAge {
    /// Sampled within the three years before.
    WithinThreeYears,
    /// Older: to be said wherever the test is used.
    OlderThanThreeYears,
}

/// Whether a test was sampled within the three years before a day, that day three years on included.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `sampled` when it is after the day.
///
/// # Source
/// Michigan Public Act 299 of 2010: a test "performed within the preceding 3 years" (Michigan Nursery and Landscape
/// Association's summary); University of Missouri Extension, G6954: every three years on established lawns.
///
/// # Examples
/// ```
/// use reckon::soil_test::{CalendarDay, TestAge, test_age};
///
/// let day = |year, month, day| CalendarDay { year, month, day };
/// assert_eq!(test_age(day(2023, 9, 14), day(2026, 9, 14))?, TestAge::WithinThreeYears);
/// assert_eq!(test_age(day(2023, 9, 14), day(2026, 9, 15))?, TestAge::OlderThanThreeYears);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn test_age(sampled: CalendarDay, on: CalendarDay) -> Result<TestAge, ReckonError> {
    if sampled > on {
        return Err(ReckonError::Inconsistent {
            field: "sampled",
            message: "the sample was taken after the day it is used on".to_string(),
        });
    }
    let last = CalendarDay { year: sampled.year.saturating_add(TEST_VALID_YEARS), ..sampled };
    Ok(if on <= last { TestAge::WithinThreeYears } else { TestAge::OlderThanThreeYears })
}

#[cfg(test)]
mod tests;

//! What a soil test asks for: phosphate, potash, lime or sulphur, each with its source, and what is only typical said to be so.

use almanac::{
    Almanac, Amendment, Basis, CoarseTexture, LabelNutrient, LimeMethod, TestClass, TestElement, TestMethod,
};
use jiff::civil::Date;
use reckon::lime::{
    DoseLimit, LimeTable, SURFACE_LIME_MAX, SURFACE_LIME_MONTHS, TableRow, lime_by_table, split_into_doses,
    sulphur_by_table,
};
use reckon::soil_test::{
    Band, CalendarDay, Class, ClassDose, ClassTable, Element, Form, Layer, Method, MilligramsPerKilogram, Reading,
    Sample, TableSoil, TestAge, classify, in_soil, test_age, year_need,
};
use reckon::units::{GramsPerSquareMetre, Metres};
use serde::Serialize;

use crate::entry::{AreaFacts, SoilTested, TestUnit};
use crate::fold::{Dated, Yard};

/// One nutrient of a report.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NutrientRow {
    /// Phosphorus, potassium, calcium, magnesium.
    pub name: &'static str,
    /// In the soil (mg/kg); `None` where it cannot be converted.
    pub ppm: Option<f64>,
    /// What each source makes of it: class, whether it gives none, source.
    pub verdicts: Vec<(String, bool, String)>,
    /// Why nothing can be said of it; empty where something can.
    pub silent: String,
    /// Of a report older than three years.
    pub old: bool,
}

/// Phosphate or potash for the year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NutrientNeed {
    /// "phosphate" or "potash".
    pub name: &'static str,
    /// For the year, as the label prints it (g/m²).
    pub year_g_m2: f64,
    /// In how many applications.
    pub applications: u64,
    /// Each of them (g/m²).
    pub each_g_m2: f64,
    /// The amount is recalled: typical, not a recommendation of a laboratory.
    pub typical: bool,
    /// Source.
    pub source: String,
}

/// Lime up, sulphur down.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Amend {
    /// "lime, as calcium carbonate" or "sulphur".
    pub name: &'static str,
    /// In all (g/m²).
    pub total_g_m2: f64,
    /// pH it leads to.
    pub goal_ph: f64,
    /// In how many doses.
    pub doses: u64,
    /// Each (g/m²).
    pub each_g_m2: f64,
    /// Months between two.
    pub months_between: u32,
    /// From texture and pH alone, or recalled: typical.
    pub typical: bool,
    /// Source.
    pub source: String,
}

/// What a soil test says of an area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SoilVerdict {
    /// Entry.
    pub entry: String,
    /// Day of sampling.
    pub sampled: Date,
    /// Older than three years: test again (Michigan counts a test for three years).
    pub old: bool,
    /// pH.
    pub ph: Option<f64>,
    /// Nutrients.
    pub rows: Vec<NutrientRow>,
    /// What to put down in a year.
    pub needs: Vec<NutrientNeed>,
    /// Lime or sulphur.
    pub amend: Option<Amend>,
    /// What could not be said, and why.
    pub notes: Vec<String>,
}

fn method(m: TestMethod) -> Method {
    match m {
        TestMethod::Mehlich3 => Method::Mehlich3,
        TestMethod::Bray1 => Method::Bray1,
        TestMethod::Olsen => Method::Olsen,
        TestMethod::AmmoniumAcetate => Method::AmmoniumAcetate,
        TestMethod::Morgan => Method::Morgan,
        TestMethod::ModifiedMorgan => Method::ModifiedMorgan,
    }
}

fn class(c: TestClass) -> Class {
    match c {
        TestClass::VeryLow => Class::VeryLow,
        TestClass::Low => Class::Low,
        TestClass::Medium => Class::Medium,
        TestClass::Optimum => Class::Optimum,
        TestClass::High => Class::High,
    }
}

fn class_of(c: Class) -> (TestClass, &'static str) {
    match c {
        Class::VeryLow => (TestClass::VeryLow, "very low"),
        Class::Low => (TestClass::Low, "low"),
        Class::Medium => (TestClass::Medium, "medium"),
        Class::Optimum => (TestClass::Optimum, "optimum"),
        Class::High => (TestClass::High, "above optimum"),
    }
}

fn layer(test: &SoilTested) -> Layer {
    match test.depth_mm {
        Some(mm) => Layer { depth: Metres::new(mm / 1000.0), ..Layer::FURROW_SLICE },
        None => Layer::FURROW_SLICE,
    }
}

fn reading(test: &SoilTested, value: f64) -> Reading {
    match test.unit {
        TestUnit::Ppm => Reading::MilligramsPerKilogram(value),
        TestUnit::MgDm3 => Reading::MilligramsPerCubicDecimetre(value),
        TestUnit::LbAcre => Reading::PoundsPerAcre(value),
        TestUnit::KgHa => Reading::KilogramsPerHectare(value),
        TestUnit::Index => Reading::Index(value),
    }
}

fn coarse(soil: &str) -> CoarseTexture {
    match soil {
        "sand" | "loamy-sand" | "sandy-loam" => CoarseTexture::Sand,
        "clay" | "silty-clay" | "sandy-clay" | "clay-loam" | "silty-clay-loam" => CoarseTexture::Clay,
        _ => CoarseTexture::Loam,
    }
}

/// One nutrient judged by every source of its method.
fn row(
    test: &SoilTested,
    area: &AreaFacts,
    almanac: &Almanac,
    (printed, element, of_table): (f64, Element, TestElement),
) -> (NutrientRow, Vec<(Class, bool)>) {
    let form = if test.as_oxides && element.oxide().is_some() { Form::Oxide } else { Form::Element };
    let blank =
        |ppm, silent: String| NutrientRow { name: element.name(), ppm, verdicts: Vec::new(), silent, old: false };
    let in_soil = match in_soil(reading(test, printed), element, form, layer(test)) {
        Ok(found) => found,
        Err(e) => return (blank(None, e.to_string()), Vec::new()),
    };
    let sand = matches!(area.soil.as_str(), "sand" | "loamy-sand");
    let rows: Vec<_> = almanac.soil_tests.rows_for(test.method, of_table, sand).collect();
    let tables: Vec<ClassTable> = rows
        .iter()
        .map(|r| ClassTable {
            method: method(r.method),
            element,
            soil: TableSoil::Any,
            bands: r
                .bands
                .iter()
                .map(|b| Band { class: class(b.class), from: MilligramsPerKilogram::new(b.from_ppm) })
                .collect(),
            enough: MilligramsPerKilogram::new(r.enough_ppm),
        })
        .collect();
    let sample = Sample { method: method(test.method), element, sand, in_soil };
    match classify(sample, &tables) {
        Ok(found) => {
            let verdicts = found
                .iter()
                .map(|v| (class_of(v.class).1.to_owned(), v.enough, rows[v.table].source.clone()))
                .collect();
            let judged = found.iter().map(|v| (v.class, v.enough)).collect();
            (
                NutrientRow {
                    name: element.name(),
                    ppm: Some(in_soil.get()),
                    verdicts,
                    silent: String::new(),
                    old: false,
                },
                judged,
            )
        }
        Err(e) => (blank(Some(in_soil.get()), e.to_string()), Vec::new()),
    }
}

/// The year's need of a nutrient: none where every source gives none, else by the lowest class.
fn need(
    name: &'static str,
    nutrient: LabelNutrient,
    judged: &[(Class, bool)],
    almanac: &Almanac,
) -> Option<NutrientNeed> {
    let lowest = judged.iter().filter(|(_, enough)| !enough).map(|(class, _)| *class).min()?;
    let dose = almanac.soil_tests.dose(nutrient, class_of(lowest).0)?;
    let doses = [ClassDose { class: lowest, year: GramsPerSquareMetre::new(dose.year_g_m2) }];
    let found = year_need(lowest, &doses, GramsPerSquareMetre::new(dose.each_g_m2)).ok()?;
    (found.year.get() > 0.0).then(|| NutrientNeed {
        name,
        year_g_m2: found.year.get(),
        applications: found.applications,
        each_g_m2: found.each.get(),
        typical: dose.basis == Basis::FromMemory,
        source: dose.source.clone(),
    })
}

fn lime(
    test: &SoilTested,
    area: &AreaFacts,
    almanac: &Almanac,
    ph: f64,
    goal: (f64, f64),
) -> Result<Option<Amend>, String> {
    let (low, high) = goal;
    if ph >= low {
        return Ok(None);
    }
    let texture = Some(coarse(&area.soil));
    // The better measurement first; the texture alone is only typical.
    let ways = [
        (LimeMethod::ExchangeableAcidity, test.acidity_meq),
        (LimeMethod::SikoraBuffer, test.sikora_ph),
        (LimeMethod::SoilPh, Some(ph)),
    ];
    let mut refused = String::new();
    for (way, value) in ways {
        let Some(value) = value else { continue };
        for table in almanac.amendments.lime_by(way, texture) {
            let middle = (low + high) / 2.0;
            let nearest = table
                .goals_ph
                .iter()
                .filter(|g| **g >= low && **g <= high)
                .min_by(|a, b| (*a - middle).abs().total_cmp(&(*b - middle).abs()));
            let Some(goal_ph) = nearest.copied() else { continue };
            let formula = LimeTable {
                goals_ph: table.goals_ph.clone(),
                rows: table
                    .rows
                    .iter()
                    .map(|r| TableRow {
                        reading: r.reading,
                        amounts: r.g_m2.iter().map(|g| GramsPerSquareMetre::new(*g)).collect(),
                    })
                    .collect(),
            };
            match lime_by_table(&formula, value, ph, goal_ph) {
                Ok(total) => {
                    let limit =
                        DoseLimit { at_once: SURFACE_LIME_MAX, in_a_year: None, months_between: SURFACE_LIME_MONTHS };
                    let doses = split_into_doses(total, limit).map_err(|e| e.to_string())?;
                    return Ok((total.get() > 0.0).then(|| Amend {
                        name: "lime, as calcium carbonate",
                        total_g_m2: total.get(),
                        goal_ph,
                        doses: doses.count,
                        each_g_m2: doses.each.get(),
                        months_between: doses.months_between,
                        typical: table.basis == Basis::FromMemory || way == LimeMethod::SoilPh,
                        source: table.source.clone(),
                    }));
                }
                Err(e) => refused = e.to_string(),
            }
        }
    }
    Err(if refused.is_empty() { "no lime table fits these figures".to_owned() } else { refused })
}

fn sulphur(area: &AreaFacts, almanac: &Almanac, ph: f64, high: f64) -> Result<Option<Amend>, String> {
    if ph <= high {
        return Ok(None);
    }
    let texture = coarse(&area.soil);
    let Some(table) = almanac.amendments.sulphur.iter().find(|t| t.texture == texture) else {
        return Err("no sulphur table fits this soil".to_owned());
    };
    let rows: Vec<TableRow> = table
        .rows
        .iter()
        .map(|r| TableRow {
            reading: r.reading,
            amounts: r.g_m2.iter().map(|g| GramsPerSquareMetre::new(*g)).collect(),
        })
        .collect();
    let total = sulphur_by_table(table.goal_ph, &rows, ph, high).map_err(|e| e.to_string())?;
    let Some(dose) = almanac.amendments.smallest_dose(Amendment::Sulphur) else {
        return Err("nothing published limits sulphur on turf here".to_owned());
    };
    let months = dose.months_between.as_ref().map_or(1, |r| r.high.ceil() as u32);
    let limit = DoseLimit {
        at_once: GramsPerSquareMetre::new(dose.each_g_m2),
        in_a_year: dose.year_g_m2.map(GramsPerSquareMetre::new),
        months_between: months,
    };
    let doses = split_into_doses(total, limit).map_err(|e| e.to_string())?;
    Ok((total.get() > 0.0).then(|| Amend {
        name: "sulphur",
        total_g_m2: total.get(),
        goal_ph: high,
        doses: doses.count,
        each_g_m2: doses.each.get(),
        months_between: doses.months_between,
        typical: true,
        source: format!("{}; at once: {}", table.source, dose.source),
    }))
}

/// What the soil tests of an area ask for, each figure from the newest report that has it; `None` where there is no report.
pub fn soil_verdict(yard: &Yard, almanac: &Almanac, area: &AreaFacts, on: Date) -> Option<SoilVerdict> {
    let tests: Vec<&Dated<SoilTested>> = yard.soil_tests_of(&area.key, on).collect();
    let newest = *tests.first()?;
    let day = |d: Date| CalendarDay {
        year: i32::from(d.year()),
        month: d.month().unsigned_abs(),
        day: d.day().unsigned_abs(),
    };
    let is_old = |d: Date| test_age(day(d), day(on)) == Ok(TestAge::OlderThanThreeYears);
    let mut notes = Vec::new();
    let (mut rows, mut needs) = (Vec::new(), Vec::new());
    type Figure = fn(&SoilTested) -> Option<f64>;
    let figures: [(Figure, Element, TestElement); 4] = [
        (|t| t.p, Element::P, TestElement::P),
        (|t| t.k, Element::K, TestElement::K),
        (|t| t.ca, Element::Ca, TestElement::Ca),
        (|t| t.mg, Element::Mg, TestElement::Mg),
    ];
    for (figure, element, of_table) in figures {
        let Some((test, value)) = tests.iter().find_map(|t| Some((*t, figure(&t.fact)?))) else { continue };
        let (found, judged) = row(&test.fact, area, almanac, (value, element, of_table));
        if !found.silent.is_empty() {
            notes.push(format!("{}: {}", found.name, found.silent));
        }
        if test.on != newest.on {
            notes.push(format!("{} is of the report of {}", found.name, test.on));
        }
        rows.push(NutrientRow { old: is_old(test.on), ..found });
        let wanted = match element {
            Element::P => need("phosphate", LabelNutrient::P2o5, &judged, almanac),
            Element::K => need("potash", LabelNutrient::K2o, &judged, almanac),
            _ => None,
        };
        needs.extend(wanted);
    }
    let mut amend = None;
    let goal = area.grass.as_deref().and_then(|g| almanac.amendments.ph_goal(g));
    let sour = tests.iter().find_map(|t| Some((*t, t.fact.ph?)));
    if let (Some((test, ph)), Some(goal)) = (sour, goal) {
        let (low, high) = (goal.target.low, goal.target.high);
        let found = lime(&test.fact, area, almanac, ph, (low, high))
            .and_then(|lime| if lime.is_some() { Ok(lime) } else { sulphur(area, almanac, ph, high) });
        match found {
            Ok(Some(found)) => amend = Some(found),
            Ok(None) => {
                notes.push(format!(
                    "pH {ph} lies within {low} to {high}, which the grass wants: neither lime nor sulphur"
                ));
            }
            Err(message) => notes.push(message),
        }
    }
    let ph = sour.map(|(_, ph)| ph);
    Some(SoilVerdict {
        entry: newest.id.clone(),
        sampled: newest.on,
        old: is_old(newest.on),
        ph,
        rows,
        needs,
        amend,
        notes,
    })
}

/// Whether a soil test of the last three years shows that an area wants phosphate; `None` where no such test says.
pub fn wants_phosphate(yard: &Yard, almanac: &Almanac, area: &AreaFacts, on: Date) -> Option<bool> {
    let verdict = soil_verdict(yard, almanac, area, on)?;
    let phosphorus = verdict.rows.iter().find(|r| r.name == Element::P.name() && !r.old)?;
    (!phosphorus.verdicts.is_empty()).then(|| phosphorus.verdicts.iter().any(|(_, enough, _)| !enough))
}

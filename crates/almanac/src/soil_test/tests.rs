use std::collections::BTreeSet;

use super::*;
use crate::Almanac;

/// Grams per square metre of one pound per 1,000 square feet.
const LB_PER_1000_SQ_FT: f64 = 4.882428;
/// Grams per square metre of one US ton per acre: 2,000 lb of 0.1120851 g/m² each.
const TON_PER_ACRE: f64 = 224.1702;
/// The tables print two digits after the point.
const PRINTED: f64 = 0.0051;

fn tests() -> &'static SoilTests {
    &Almanac::embedded().soil_tests
}

fn amendments() -> &'static Amendments {
    &Almanac::embedded().amendments
}

/// Every row names a source, and every key stands once.
#[test]
fn every_row_has_a_key_and_a_source() {
    let (t, a) = (tests(), amendments());
    let keys: Vec<&String> = (t.readings.iter().map(|r| &r.id))
        .chain(a.lime.iter().map(|r| &r.id))
        .chain(a.fineness.iter().map(|r| &r.id))
        .chain(a.doses.iter().map(|r| &r.id))
        .chain(a.sulphur.iter().map(|r| &r.id))
        .chain(a.iron.iter().map(|r| &r.id))
        .collect();
    assert_eq!(keys.iter().collect::<BTreeSet<_>>().len(), keys.len(), "a key stands twice");
    let sources = (t.readings.iter().map(|r| &r.source))
        .chain(t.doses.iter().map(|r| &r.source))
        .chain(t.uptakes.iter().map(|r| &r.source))
        .chain(a.lime.iter().map(|r| &r.source))
        .chain(a.fineness.iter().map(|r| &r.source))
        .chain(a.doses.iter().map(|r| &r.source))
        .chain(a.sulphur.iter().map(|r| &r.source))
        .chain(a.iron.iter().map(|r| &r.source))
        .chain(a.ph.iter().map(|r| &r.source));
    for source in sources {
        assert!(source.len() > 20, "{source:?} names no source");
    }
    for grass in (a.ph.iter().flat_map(|r| &r.grasses)).chain(t.uptakes.iter().flat_map(|r| &r.grasses)) {
        assert!(Almanac::embedded().grass(grass).is_some(), "unknown grass {grass}");
    }
    for grass in &Almanac::embedded().grasses {
        assert!(a.ph_goal(&grass.id).is_some_and(|r| r.target.low < r.target.high), "{}: pH", grass.id);
    }
}

/// Classes and bounds rise together from 0, and enough is the start of a class.
#[test]
fn readings_in_order() {
    for row in &tests().readings {
        assert_eq!(row.bands.first().map(|b| b.from_ppm), Some(0.0), "{}", row.id);
        for pair in row.bands.windows(2) {
            assert!(pair[0].from_ppm < pair[1].from_ppm && pair[0].class < pair[1].class, "{}", row.id);
        }
        assert!(row.bands.iter().any(|b| b.from_ppm == row.enough_ppm), "{}: enough", row.id);
    }
}

/// A method without a row has none, whatever other methods say; a row for sand is not used for loam.
#[test]
fn rows_are_of_one_method() {
    let ids =
        |method, element, sand| tests().rows_for(method, element, sand).map(|r| r.id.as_str()).collect::<Vec<_>>();
    assert!(ids(TestMethod::Morgan, TestElement::P, false).is_empty());
    assert!(ids(TestMethod::AmmoniumAcetate, TestElement::K, true).is_empty());
    assert_eq!(ids(TestMethod::Bray1, TestElement::P, false), ["sufficiency-p-bray"]);
    let sand = ids(TestMethod::Mehlich3, TestElement::K, true);
    assert!(sand.contains(&"sufficiency-k-sand") && !sand.contains(&"sufficiency-k-other"), "{sand:?}");
}

/// Rutgers prints lb/acre: phosphorus 0–24 very low, 25–45 low, 46–71 medium, 72–137 its "high" (optimum), over 137 above;
/// potassium 146–277 optimum.
#[test]
fn rutgers_as_printed() -> Result<(), &'static str> {
    let row = |id| tests().readings.iter().find(|r| r.id == id).ok_or("row");
    let in_lb_per_acre = |r: &TestReading| r.bands.iter().map(|b| b.from_ppm * 2.0).collect::<Vec<_>>();
    let p = row("rutgers-p")?;
    assert_eq!(in_lb_per_acre(p), [0.0, 25.0, 46.0, 72.0, 138.0]);
    assert_eq!(p.enough_ppm * 2.0, 72.0);
    assert_eq!(in_lb_per_acre(row("rutgers-k")?), [0.0, 41.0, 82.0, 146.0, 278.0]);
    Ok(())
}

/// Single cells of the lime tables as their sources print them, and rows from least to most lime throughout.
#[test]
fn lime_as_printed() -> Result<(), &'static str> {
    let table = |id: &str| amendments().lime.iter().find(|r| r.id == id).ok_or("table");
    for t in &amendments().lime {
        assert!(t.rows.iter().all(|r| r.g_m2.len() == t.goals_ph.len()), "{}: a row of another width", t.id);
        for pair in t.rows.windows(2) {
            assert!(pair[0].g_m2.iter().zip(&pair[1].g_m2).all(|(a, b)| a <= b), "{}: {pair:?}", t.id);
        }
        let rising = t.rows.windows(2).all(|p| p[0].reading < p[1].reading);
        let falling = t.rows.windows(2).all(|p| p[0].reading > p[1].reading);
        assert!(rising || falling, "{}: readings", t.id);
    }
    let cell = |t: &LimeTable, reading: f64, column: usize| {
        t.rows.iter().find(|r| r.reading == reading).map_or(f64::NAN, |r| r.g_m2[column])
    };
    // Penn State, turf Table 1: acidity 8.4 gives 180, 140, 110 lb/1,000 sq ft for pH 7.0, 6.5, 6.0; 38 rows up to 25.7.
    let penn_state = table("penn-state-turf")?;
    assert_eq!(penn_state.rows.len(), 38);
    for (column, lb) in [180.0, 140.0, 110.0].into_iter().enumerate() {
        assert!((cell(penn_state, 8.4, column) - lb * LB_PER_1000_SQ_FT).abs() < PRINTED);
    }
    assert!((cell(penn_state, 25.7, 0) - 600.0 * LB_PER_1000_SQ_FT).abs() < PRINTED);
    // Oregon State, EM 9585: "if your Sikora buffer value is 6.0 and your target soil pH is 5.6, apply lime at the 1.7 t/a
    // rate".
    let oregon = table("oregon-sikora")?;
    assert_eq!(oregon.rows.len(), 22);
    assert!((cell(oregon, 6.0, 0) - 1.7 * TON_PER_ACRE).abs() < PRINTED);
    assert!((cell(oregon, 4.8, 4) - 23.2 * TON_PER_ACRE).abs() < PRINTED);
    // By texture is typical only.
    for texture in [CoarseTexture::Sand, CoarseTexture::Loam, CoarseTexture::Clay] {
        let rows: Vec<_> = amendments().lime_by(LimeMethod::SoilPh, Some(texture)).collect();
        assert!(rows.len() == 1 && rows[0].basis == Basis::FromMemory);
    }
    assert_eq!(amendments().lime_by(LimeMethod::SikoraBuffer, None).count(), 1);
    Ok(())
}

/// Sieve factors rise with fineness to all of it; the smallest published dose is found, a recalled one never.
#[test]
fn scales_and_doses() {
    for scale in &amendments().fineness {
        assert!(scale.sieves.windows(2).all(|p| p[0].mesh < p[1].mesh && p[0].factor < p[1].factor), "{}", scale.id);
        assert_eq!(scale.sieves.last().map(|s| s.factor), Some(1.0), "{}", scale.id);
    }
    let lime = amendments().smallest_dose(Amendment::Limestone);
    assert!(lime.is_some_and(|d| (d.each_g_m2 - 50.0 * LB_PER_1000_SQ_FT).abs() < PRINTED));
    let sulphur = amendments().smallest_dose(Amendment::Sulphur);
    assert!(sulphur.is_some_and(|d| (d.each_g_m2 - 5.0 * LB_PER_1000_SQ_FT).abs() < PRINTED));
    assert!(amendments().smallest_dose(Amendment::HydratedLime).is_none());
}

/// Michigan State's sulphur, as reprinted: 840, 2,560 and 3,830 lb/acre from pH 7.0 to 4.5.
#[test]
fn sulphur_as_printed() {
    let lb_per_acre = 0.1120851;
    for (table, lb) in amendments().sulphur.iter().zip([840.0, 2560.0, 3830.0]) {
        let last = table.rows.last().map_or(f64::NAN, |r| r.g_m2[0]);
        assert!((last - lb * lb_per_acre).abs() < PRINTED, "{}: {last}", table.id);
        assert!(table.rows.windows(2).all(|p| p[0].reading < p[1].reading && p[0].g_m2[0] < p[1].g_m2[0]));
    }
}

/// A recalled dose says so, and the uptake of a grass with its own row is that row.
#[test]
fn doses_and_uptake() {
    assert!(tests().doses.iter().all(|d| d.basis == Basis::FromMemory && d.each_g_m2 <= d.year_g_m2));
    assert!(tests().dose(LabelNutrient::P2o5, TestClass::VeryLow).is_some());
    assert!(tests().dose(LabelNutrient::P2o5, TestClass::Optimum).is_none());
    let ratio = |grass| tests().uptake(TestElement::K, grass).map(|u| u.per_nitrogen);
    assert_eq!((ratio("kbg"), ratio("ber")), (Some(0.5), Some(0.6667)));
    assert!(tests().uptake(TestElement::Ca, "kbg").is_none());
}

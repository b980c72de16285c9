use proptest::prelude::*;

use super::*;
use crate::units::{KilogramsPerCubicMetre, Metres, factor};

const FURROW: Layer = Layer::FURROW_SLICE;

fn layer(depth: f64, density: f64) -> Layer {
    Layer { depth: Metres::new(depth), bulk_density: KilogramsPerCubicMetre::new(density) }
}

fn mg_kg(value: f64) -> MilligramsPerKilogram {
    MilligramsPerKilogram::new(value)
}

fn g_m2(value: f64) -> GramsPerSquareMetre {
    GramsPerSquareMetre::new(value)
}

fn as_element(reading: Reading, element: Element) -> f64 {
    in_soil(reading, element, Form::Element, FURROW).unwrap().get()
}

/// The International Fertilizer Industry Association's conversion factors, four digits after the point. It took oxygen's
/// earlier weight, 15.9994, which moves P2O5 by 4 in the fifth digit: one in the fourth is allowed.
#[test]
fn oxides_as_printed() {
    assert!((P2O5_PER_P - 2.2914).abs() < 1e-4 && (1.0 / P2O5_PER_P - 0.4364).abs() < 5e-5);
    assert!((K2O_PER_K - 1.2046).abs() < 1e-4 && (1.0 / K2O_PER_K - 0.8302).abs() < 1e-4);
    let p = in_soil(Reading::MilligramsPerKilogram(22.914), Element::P, Form::Oxide, FURROW).unwrap();
    assert!((p.get() - 10.0).abs() < 1e-3);
    assert!((as_oxide(Element::K, g_m2(10.0)).unwrap().get() - 12.046).abs() < 1e-3);
}

/// Worked exercises of a university course on soil test units. It takes whole atomic weights (calcium 40, potassium 39.1,
/// magnesium 24.3), so its figures agree to two parts in a thousand.
#[test]
fn exercises_of_a_course() {
    use Element::{Ca, K, Mg, P};
    let rows = [
        (Reading::MilliequivalentsPer100Grams(4.0), Ca, 800.0),
        (Reading::MilliequivalentsPer100Grams(8.0), Ca, 1600.0),
        (Reading::MilliequivalentsPer100Grams(3.81), Mg, 462.9),
        (Reading::MilliequivalentsPer100Grams(0.98), K, 383.18),
        (Reading::MilliequivalentsPer100Grams(1.02), K, 400.0),
        (Reading::PoundsPerAcre(800.0), K, 400.0),
        (Reading::PoundsPerAcre(100.0), P, 50.0),
        (Reading::PoundsPerAcre(4_800.0), Ca, 2_400.0),
    ];
    for (reading, element, want) in rows {
        let got = as_element(reading, element);
        assert!((got - want).abs() <= 0.004 * want, "{reading:?}: {got} for {want}");
    }
}

/// Clemson University, *CEC calculations*: 221 lb/acre of potassium are 0.28, 28 of magnesium 0.12 and 400 of calcium 1.00
/// meq/100 g.
#[test]
fn clemson_milliequivalents() {
    for (lb_acre, element, meq) in [(221.0, Element::K, 0.28), (28.0, Element::Mg, 0.12), (400.0, Element::Ca, 1.0)] {
        let by_area = as_element(Reading::PoundsPerAcre(lb_acre), element);
        let by_charge = as_element(Reading::MilliequivalentsPer100Grams(meq), element);
        let half_a_digit = as_element(Reading::MilliequivalentsPer100Grams(0.005), element);
        assert!((by_area - by_charge).abs() <= half_a_digit, "{element:?}: {by_area} {by_charge}");
    }
}

/// The furrow slice holds its own convention: its kg/ha and its lb/acre are one figure, NIST's pound and acre between them.
#[test]
fn furrow_slice_is_two_million_pounds() {
    assert!((FURROW.bulk_density.get() - 1_323.9).abs() < 0.1);
    assert!((as_element(Reading::KilogramsPerHectare(1.120_851), Element::P) - 0.5).abs() < 1e-6);
    // Half the depth: the same pounds in half the soil.
    let shallow = Layer { depth: FURROW.depth / 2.0, ..FURROW };
    let p = in_soil(Reading::PoundsPerAcre(30.0), Element::P, Form::Element, shallow).unwrap();
    assert!((p.get() - 30.0).abs() < 1e-9);
    // 20 mg/kg over 15 cm at 1,300 kg/m³ are 39 kg/ha (by hand: 1,950,000 kg of soil a hectare).
    let kg_ha = in_soil(Reading::KilogramsPerHectare(39.0), Element::P, Form::Element, layer(0.15, 1_300.0)).unwrap();
    assert!((kg_ha.get() - 20.0).abs() < 1e-9);
    let by_volume =
        in_soil(Reading::MilligramsPerCubicDecimetre(26.0), Element::P, Form::Element, layer(0.15, 1_300.0));
    assert!((by_volume.unwrap().get() - 20.0).abs() < 1e-9);
}

#[test]
fn readings_refuse_by_name() {
    let refusal = |reading, element, form, layer| in_soil(reading, element, form, layer).unwrap_err();
    let error = refusal(Reading::Index(62.0), Element::P, Form::Element, FURROW);
    assert!(error.to_string().contains("an index is the laboratory's own scale"), "{error}");
    let meq = Reading::MilliequivalentsPer100Grams(1.0);
    assert!(refusal(meq, Element::P, Form::Element, FURROW).to_string().contains("phosphorus is not reported in meq"));
    let ppm = Reading::MilligramsPerKilogram(1.0);
    assert!(refusal(ppm, Element::Ca, Form::Oxide, FURROW).to_string().contains("calcium is reported as the element"));
    assert_eq!(refusal(Reading::PoundsPerAcre(-1.0), Element::P, Form::Element, FURROW).field(), "reading");
    assert_eq!(refusal(ppm, Element::P, Form::Element, layer(0.0, 1_300.0)).field(), "depth_m");
    assert_eq!(refusal(ppm, Element::P, Form::Element, layer(0.1, 3_000.0)).field(), "bulk_density_kg_m3");
    assert_eq!(as_oxide(Element::S, g_m2(1.0)).unwrap_err().field(), "reading");
}

fn table(method: Method, element: Element, soil: TableSoil, bands: &[(Class, f64)], enough: f64) -> ClassTable {
    let bands = bands.iter().map(|(class, from)| Band { class: *class, from: mg_kg(*from) }).collect();
    ClassTable { method, element, soil, bands, enough: mg_kg(enough) }
}

/// Carrow et al. 2003 as reprinted: Mehlich-3 potassium is sufficient at 50–116 ppm in sand and 75–176 in other soils; the
/// minimum level for sustainable nutrition is 37 in all. Bray-1 phosphorus 15–30.
fn tables() -> Vec<ClassTable> {
    use Class::{High, Low, Medium, Optimum};
    vec![
        table(Method::Mehlich3, Element::K, TableSoil::Sand, &[(Low, 0.0), (Medium, 50.0), (High, 117.0)], 50.0),
        table(Method::Mehlich3, Element::K, TableSoil::Other, &[(Low, 0.0), (Medium, 75.0), (High, 177.0)], 75.0),
        table(Method::Mehlich3, Element::K, TableSoil::Any, &[(Low, 0.0), (Optimum, 37.0)], 37.0),
        table(Method::Bray1, Element::P, TableSoil::Any, &[(Low, 0.0), (Medium, 15.0), (High, 31.0)], 15.0),
    ]
}

fn sample(method: Method, element: Element, sand: bool, reading: f64) -> Sample {
    Sample { method, element, sand, in_soil: mg_kg(reading) }
}

/// Each table of the method speaks for itself, by the soil it is for; edges belong to the class they open.
#[test]
fn classes_by_source_and_soil() {
    let said = |sand, reading| {
        let verdicts = classify(sample(Method::Mehlich3, Element::K, sand, reading), &tables()).unwrap();
        verdicts.iter().map(|v| (v.table, v.class, v.enough)).collect::<Vec<_>>()
    };
    assert_eq!(said(true, 60.0), [(0, Class::Medium, true), (2, Class::Optimum, true)]);
    assert_eq!(said(false, 60.0), [(1, Class::Low, false), (2, Class::Optimum, true)]);
    assert_eq!(said(false, 36.9), [(1, Class::Low, false), (2, Class::Low, false)]);
    assert_eq!(said(true, 50.0)[0], (0, Class::Medium, true));
    assert_eq!(said(true, 49.99)[0], (0, Class::Low, false));
    assert_eq!(said(true, 116.0)[0].1, Class::Medium);
    assert_eq!(said(true, 117.0)[0].1, Class::High);
}

/// A method without a table says so and borrows none; a broken table is refused.
#[test]
fn never_across_methods() {
    for method in [Method::Olsen, Method::Morgan, Method::ModifiedMorgan, Method::Mehlich3] {
        let error = classify(sample(method, Element::P, false, 10.0), &tables()).unwrap_err();
        assert_eq!(error.field(), "method");
        assert!(error.to_string().contains(&format!("no table reads phosphorus by {}", method.name())), "{error}");
    }
    let error = classify(sample(Method::AmmoniumAcetate, Element::K, true, 90.0), &tables()).unwrap_err();
    assert!(error.to_string().contains("potassium by ammonium acetate"), "{error}");
    let broken = table(Method::Olsen, Element::P, TableSoil::Any, &[(Class::Low, 1.0)], 1.0);
    assert_eq!(classify(sample(Method::Olsen, Element::P, true, 9.0), &[broken]).unwrap_err().field(), "bands");
    let nan = sample(Method::Bray1, Element::P, true, f64::NAN);
    assert_eq!(classify(nan, &tables()).unwrap_err().field(), "in_soil_mg_kg");
}

/// The year's dose in applications, on both sides of the limit; a class without a row needs none. 1 lb on 1,000 ft² at once
/// is common practice.
#[test]
fn year_in_applications() {
    let lb = factor::G_M2_PER_LB_1000FT2;
    let doses = [(Class::VeryLow, 3.0), (Class::Low, 1.3)].map(|(class, n)| ClassDose { class, year: g_m2(n * lb) });
    let need = |class, at_once: f64| year_need(class, &doses, g_m2(at_once * lb)).unwrap();
    assert_eq!((need(Class::VeryLow, 1.0).applications, need(Class::VeryLow, 0.999).applications), (3, 4));
    assert_eq!((need(Class::Low, 1.3).applications, need(Class::Low, 1.29).applications), (1, 2));
    assert_eq!((need(Class::Optimum, 1.0).applications, need(Class::Optimum, 1.0).each.get()), (0, 0.0));
    assert_eq!(year_need(Class::Low, &doses, g_m2(0.0)).unwrap_err().field(), "at_once_g_m2");
    let wrong = [ClassDose { class: Class::Low, year: g_m2(f64::NAN) }];
    assert_eq!(year_need(Class::Low, &wrong, g_m2(1.0)).unwrap_err().field(), "year_g_m2");
}

/// Woods' example step by step: 37 - 50 = -13 ppm are about -2 g/m² (5.5 - 7.5 as he prints them), 8 - 2 = 6 (he prints 41
/// ppm as 6.1 g/m²). A soil that holds more than a year's uptake above the minimum needs nothing.
#[test]
fn woods_example_step_by_step() {
    let green = layer(0.10, 1_500.0);
    assert!((on_area(mg_kg(37.0), green).unwrap().get() - 5.5).abs() <= 0.051);
    assert!((on_area(mg_kg(50.0), green).unwrap().get() - 7.5).abs() <= 0.051);
    assert!((on_area(mg_kg(41.0), green).unwrap().get() - 6.1).abs() <= 0.051);
    let got = need_by_minimum(g_m2(8.0), mg_kg(37.0), mg_kg(50.0), green).unwrap();
    assert!((got.to_minimum.get() + 2.0).abs() <= 0.051 && (got.need.get() - 6.1).abs() <= 0.1);
    let rich = need_by_minimum(g_m2(8.0), mg_kg(37.0), mg_kg(200.0), green).unwrap();
    assert!(rich.need.get() == 0.0 && rich.to_minimum.get() < -20.0);
    assert_eq!(need_by_minimum(g_m2(-1.0), mg_kg(37.0), mg_kg(50.0), green).unwrap_err().field(), "uptake_g_m2");
}

/// Three years to the day, over a leap day too; a sample from the future is refused.
#[test]
fn three_years_to_the_day() {
    let day = |year, month, day| CalendarDay { year, month, day };
    let age = |sampled, on| test_age(sampled, on).unwrap();
    assert_eq!(age(day(2023, 3, 1), day(2026, 3, 1)), TestAge::WithinThreeYears);
    assert_eq!(age(day(2023, 3, 1), day(2026, 3, 2)), TestAge::OlderThanThreeYears);
    assert_eq!(age(day(2024, 2, 29), day(2027, 2, 28)), TestAge::WithinThreeYears);
    assert_eq!(age(day(2024, 2, 29), day(2027, 3, 1)), TestAge::OlderThanThreeYears);
    assert_eq!(age(day(2026, 3, 1), day(2026, 3, 1)), TestAge::WithinThreeYears);
    assert_eq!(test_age(day(2026, 3, 2), day(2026, 3, 1)).unwrap_err().field(), "sampled");
}

proptest! {
    #![proptest_config(crate::cases(100_000))]

    /// Soil on a square metre and back: kg/ha of what lies there is the concentration again, at any depth and density.
    #[test]
    fn area_and_back(c in 0.1..5_000.0_f64, depth in 0.01..1.0_f64, density in 100.0..2_200.0_f64) {
        let here = layer(depth, density);
        let kg_ha = on_area(mg_kg(c), here).unwrap().get() * 10.0;
        prop_assume!(kg_ha <= READING.max);
        let back = in_soil(Reading::KilogramsPerHectare(kg_ha), Element::K, Form::Element, here).unwrap();
        prop_assert!((back.get() - c).abs() <= 1e-12 * c);
    }

    /// More in the soil is never a lower class and never a greater need.
    #[test]
    fn richer_never_needs_more(a in 0.0..300.0_f64, more in 0.0..100.0_f64, sand: bool, uptake in 0.0..20.0_f64) {
        let said = |reading| classify(sample(Method::Mehlich3, Element::K, sand, reading), &tables()).unwrap();
        prop_assert!(said(a).iter().zip(said(a + more)).all(|(low, high)| low.class <= high.class && (!low.enough || high.enough)));
        let need = |found| need_by_minimum(g_m2(uptake), mg_kg(37.0), mg_kg(found), layer(0.1, 1_500.0)).unwrap().need;
        prop_assert!(need(a) >= need(a + more) && need(a).get() >= 0.0);
    }

    /// Any input gives a finite answer or a refusal.
    #[test]
    fn any_input_is_safe(x: f64, y: f64, z: f64, which in 0_usize..6, oxide: bool) {
        let reading = [
            Reading::MilligramsPerKilogram, Reading::MilligramsPerCubicDecimetre, Reading::PoundsPerAcre,
            Reading::KilogramsPerHectare, Reading::MilliequivalentsPer100Grams, Reading::Index,
        ][which](x);
        let form = if oxide { Form::Oxide } else { Form::Element };
        for here in [layer(y, z), FURROW] {
            for element in [Element::P, Element::K, Element::Ca] {
                prop_assert!(in_soil(reading, element, form, here).map_or(true, |c| c.get().is_finite() && c.get() >= 0.0));
            }
        }
        prop_assert!(need_by_minimum(g_m2(x), mg_kg(y), mg_kg(z), FURROW).map_or(true, |n| n.need.get().is_finite()));
    }
}

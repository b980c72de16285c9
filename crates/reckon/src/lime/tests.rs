use proptest::prelude::*;

use super::*;

const LB_1000: f64 = factor::G_M2_PER_LB_1000FT2;
const TON_ACRE: f64 = 2_000.0 * factor::G_M2_PER_LB_ACRE;

fn g_m2(value: f64) -> GramsPerSquareMetre {
    GramsPerSquareMetre::new(value)
}

fn row(reading: f64, amounts: &[f64], unit: f64) -> TableRow {
    TableRow { reading, amounts: amounts.iter().map(|a| g_m2(a * unit)).collect() }
}

/// Part of Penn State's turf Table 1: goals 7.0, 6.5, 6.0; lb on 1,000 ft².
fn penn_state() -> LimeTable {
    let rows = [
        (2.0, [50.0, 50.0, 50.0]),
        (2.6, [70.0, 50.0, 50.0]),
        (5.2, [110.0, 90.0, 50.0]),
        (8.4, [180.0, 140.0, 110.0]),
        (9.0, [210.0, 160.0, 110.0]),
        (25.7, [600.0, 530.0, 410.0]),
    ];
    LimeTable { goals_ph: vec![7.0, 6.5, 6.0], rows: rows.iter().map(|(r, a)| row(*r, a, LB_1000)).collect() }
}

/// Part of Oregon State's EM 9585, Table 1: goals 5.6, 6.0, 6.4; tons an acre.
fn oregon_sikora() -> LimeTable {
    let rows = [(6.9, [0.0, 0.0, 0.5]), (6.8, [0.0, 0.4, 0.8]), (6.1, [1.5, 2.3, 3.1]), (6.0, [1.7, 2.5, 3.5])];
    LimeTable { goals_ph: vec![5.6, 6.0, 6.4], rows: rows.iter().map(|(r, a)| row(*r, a, TON_ACRE)).collect() }
}

/// Cells of both tables as printed; between rows the one with less lime; at the goal none.
#[test]
fn tables_as_printed() {
    let lb = |reading, ph, goal| lime_by_table(&penn_state(), reading, ph, goal).unwrap().get() / LB_1000;
    assert!((lb(8.4, 5.5, 6.5) - 140.0).abs() < 1e-9 && (lb(25.7, 5.0, 7.0) - 600.0).abs() < 1e-9);
    assert!((lb(8.9, 5.5, 6.5) - 140.0).abs() < 1e-9, "8.9 is not yet 9.0");
    assert!((lb(9.0, 5.5, 6.5) - 160.0).abs() < 1e-9);
    assert_eq!(lb(9.0, 6.5, 6.5), 0.0);
    let tons = |reading, ph, goal| lime_by_table(&oregon_sikora(), reading, ph, goal).unwrap().get() / TON_ACRE;
    assert!((tons(6.0, 5.0, 5.6) - 1.7).abs() < 1e-9, "the example below the table");
    assert!((tons(6.05, 5.0, 6.4) - 3.1).abs() < 1e-9, "between 6.1 and 6.0 the lesser");
    assert_eq!(tons(6.9, 5.0, 5.6), 0.0);
}

/// Two tables of one laboratory agree: Penn State's Agronomy Guide, Part 1, Section 2, gives 1,000 and 840 lb CCE an acre
/// for each meq of acidity for pH 7.0 and 6.5. The turf table is in steps of 20 to 30 lb on 1,000 ft² (some 1,300 lb an
/// acre).
#[test]
fn turf_table_agrees_with_the_agronomy_guide() {
    for (acidity, goal, lb_acre) in
        [(8.4, 7.0, 8_400.0), (9.0, 6.5, 7_560.0), (25.7, 7.0, 25_700.0), (25.7, 6.5, 21_588.0)]
    {
        let lime = lime_by_table(&penn_state(), acidity, 5.0, goal).unwrap().get() / factor::G_M2_PER_LB_ACRE;
        assert!((lime - lb_acre).abs() < 1_550.0, "{acidity} to {goal}: {lime} for {lb_acre}");
    }
}

/// A reading outside the table, a goal without a column and a broken table are refused by name.
#[test]
fn tables_refuse_by_name() {
    let field = |table: &LimeTable, reading, ph, goal| lime_by_table(table, reading, ph, goal).unwrap_err().field();
    assert_eq!(field(&penn_state(), 1.9, 5.0, 6.5), "reading");
    assert_eq!(field(&penn_state(), 25.8, 5.0, 6.5), "reading");
    assert_eq!(field(&oregon_sikora(), 7.0, 5.0, 6.0), "reading");
    assert_eq!(field(&oregon_sikora(), f64::NAN, 5.0, 6.0), "reading");
    assert_eq!(field(&penn_state(), 8.4, 2.9, 6.5), "soil_ph");
    let error = lime_by_table(&penn_state(), 8.4, 5.0, 6.2).unwrap_err();
    assert!(error.field() == "goal_ph" && error.to_string().contains("it has 7, 6.5, 6"), "{error}");
    let mut broken = penn_state();
    broken.rows.swap(0, 1);
    assert_eq!(field(&broken, 8.4, 5.0, 6.5), "table");
    broken.rows[0].amounts.pop();
    assert_eq!(field(&broken, 8.4, 5.0, 6.5), "table");
    assert_eq!(field(&LimeTable { goals_ph: vec![6.5], rows: vec![] }, 8.4, 5.0, 6.5), "table");
}

/// North Carolina's example step by step: factor (6.0 - 5.0) / (6.6 - 5.0) = 0.625, 1.2 × 0.625 = 0.75 (printed as 0.76);
/// no acidity or no distance, no lime.
#[test]
fn north_carolina_example() {
    let tons = |b, ph, goal| lime_mehlich_buffer_north_carolina(b, ph, goal).unwrap().get() / TON_ACRE;
    assert!((tons(6.3, 5.0, 6.0) - 0.75).abs() < 1e-9);
    assert_eq!((tons(6.6, 5.0, 6.0), tons(6.9, 5.0, 6.0), tons(6.0, 6.0, 6.0)), (0.0, 0.0, 0.0));
    assert!((tons(6.0, 5.0, 6.6) - 2.4).abs() < 1e-9, "all of the acidity up to 6.6");
    assert_eq!(lime_mehlich_buffer_north_carolina(6.0, 5.0, 6.7).unwrap_err().field(), "goal_ph");
    assert_eq!(lime_mehlich_buffer_north_carolina(9.0, 5.0, 6.0).unwrap_err().field(), "buffer_ph");
}

fn sieves(scale: &[(f64, f64)]) -> Result<Fraction, ReckonError> {
    let sieve =
        |(passing, works): &(f64, f64)| Sieve { passing: Percent::new(*passing), factor: Fraction::new(*works) };
    fineness_factor(&scale.iter().map(sieve).collect::<Vec<_>>())
}

/// The factsheet's limestone A (85.28 %) and B: 90 + 3.6 + 0.8, which it prints as 94.46 % though its own sum is 94.4. All
/// of it finer than the finest sieve is 1; nothing through the coarsest is 0.
#[test]
fn fineness_of_the_factsheet() {
    let a = sieves(&[(91.2, 0.2), (88.8, 0.6), (78.8, 1.0)]).unwrap().get();
    assert!((a - 0.8528).abs() < 0.00005, "{a}");
    let b = sieves(&[(100.0, 0.2), (96.0, 0.6), (90.0, 1.0)]).unwrap().get();
    assert!((b - 0.944).abs() < 1e-9 && (b - 0.9446).abs() < 0.001, "{b}");
    assert_eq!(sieves(&[(100.0, 0.4), (100.0, 0.8), (100.0, 1.0)]).unwrap().get(), 1.0);
    assert_eq!(sieves(&[(0.0, 0.25), (0.0, 1.0)]).unwrap().get(), 0.0);
    assert_eq!(sieves(&[(50.0, 0.2), (60.0, 1.0)]).unwrap_err().field(), "passing_pct");
    assert_eq!(sieves(&[(101.0, 0.2)]).unwrap_err().field(), "passing_pct");
    assert_eq!(sieves(&[(50.0, 1.2)]).unwrap_err().field(), "factor");
    assert_eq!(sieves(&[]).unwrap_err().field(), "sieves");
}

/// Penn State's two examples (printed in whole pounds): 75 lb at 80 % are 94 lb; 5 lb on 100 ft² at 70 % are 7 lb.
#[test]
fn product_of_the_examples() {
    let product = |need, cce| lime_product(g_m2(need), Percent::new(cce), Fraction::new(1.0)).unwrap().get();
    assert!((product(75.0, 80.0) - 94.0).abs() <= 0.5);
    assert!((product(5.0, 70.0) - 7.0).abs() <= 0.5);
    // Coarse product takes more: half of it works.
    let half = lime_product(g_m2(75.0), Percent::new(80.0), Fraction::new(0.5)).unwrap().get();
    assert!((half - 187.5).abs() < 1e-9);
    let field = |need, cce, f| lime_product(g_m2(need), Percent::new(cce), Fraction::new(f)).unwrap_err().field();
    assert_eq!(field(-1.0, 80.0, 1.0), "cce_g_m2");
    assert_eq!(field(1.0, 0.0, 1.0), "cce_pct");
    assert_eq!(field(1.0, 80.0, 0.0), "fineness");
}

/// Michigan State's loam (lb an acre to 4.5), and the difference of two rows; above the last row nothing is said.
#[test]
fn sulphur_of_the_table() {
    let table = [(5.0, 530.0), (5.5, 1_030.0), (6.0, 1_540.0), (6.5, 2_020.0), (7.0, 2_560.0)];
    let loam: Vec<TableRow> = table.iter().map(|(ph, lb)| row(*ph, &[*lb], factor::G_M2_PER_LB_ACRE)).collect();
    let lb = |ph, goal| sulphur_by_table(4.5, &loam, ph, goal).map(|s| s.get() / factor::G_M2_PER_LB_ACRE);
    for (ph, printed) in table {
        assert!((lb(ph, 4.5).unwrap() - printed).abs() < 1e-9);
    }
    assert!((lb(7.0, 6.0).unwrap() - 1_020.0).abs() < 1e-9);
    assert!((lb(6.75, 6.5).unwrap() - 270.0).abs() < 1e-9, "half of a step");
    assert!((lb(4.75, 4.5).unwrap() - 265.0).abs() < 1e-9, "half of the first step");
    assert_eq!(lb(6.0, 6.5).unwrap(), 0.0);
    assert_eq!(lb(7.5, 6.5).unwrap_err().field(), "soil_ph");
    assert_eq!(lb(6.5, 4.4).unwrap_err().field(), "goal_ph");
    assert_eq!(sulphur_by_table(5.0, &loam, 6.0, 5.5).unwrap_err().field(), "table");
    assert_eq!(sulphur_by_table(4.5, &[], 6.0, 5.5).unwrap_err().field(), "table");
}

fn lime_doses(lb: f64) -> Doses {
    let limit = DoseLimit { at_once: SURFACE_LIME_MAX, in_a_year: None, months_between: SURFACE_LIME_MONTHS };
    split_into_doses(g_m2(lb * LB_1000), limit).unwrap()
}

/// The published rule, 50 lb at once and the rest six months later, on both sides of it.
#[test]
fn lime_on_turf_is_split() {
    assert_eq!((lime_doses(50.0).count, lime_doses(50.0).months_between), (1, 0));
    assert_eq!((lime_doses(50.1).count, lime_doses(50.1).months_in_all), (2, 6));
    assert_eq!((lime_doses(100.0).count, lime_doses(150.0).count, lime_doses(150.1).count), (2, 3, 4));
    assert_eq!(lime_doses(0.0).count, 0);
    assert!((lime_doses(94.0).each.get() / LB_1000 - 47.0).abs() < 1e-9);
}

/// Purdue's sulphur: 5 lb at once and 10 lb a year, so 23 lb take five doses half a year apart; a yearly limit below one
/// dose makes the dose smaller.
#[test]
fn sulphur_on_turf_is_split() {
    let limit = DoseLimit { at_once: g_m2(5.0 * LB_1000), in_a_year: Some(g_m2(10.0 * LB_1000)), months_between: 3 };
    let doses = split_into_doses(g_m2(23.0 * LB_1000), limit).unwrap();
    assert_eq!((doses.count, doses.months_between, doses.months_in_all), (5, 6, 24));
    let tight = DoseLimit { in_a_year: Some(g_m2(4.0 * LB_1000)), ..limit };
    let doses = split_into_doses(g_m2(8.0 * LB_1000), tight).unwrap();
    assert_eq!((doses.count, doses.months_between), (2, 12));
    let field = |amount, limit| split_into_doses(g_m2(amount), limit).unwrap_err().field();
    assert_eq!(field(f64::INFINITY, limit), "amount_g_m2");
    assert_eq!(field(5.1 * LB_1000 * DOSES_MAX as f64, limit), "amount_g_m2");
    assert_eq!(field(1.0, DoseLimit { at_once: g_m2(0.0), ..limit }), "dose_max_g_m2");
    assert_eq!(field(1.0, DoseLimit { in_a_year: Some(g_m2(f64::NAN)), ..limit }), "year_max_g_m2");
}

proptest! {
    #![proptest_config(crate::cases(100_000))]

    /// Doses add up to the amount, none is above the limit, one fewer would not do, and no twelve months bring more than a
    /// year's most.
    #[test]
    fn doses_hold_the_limits(
            total in 0.0..5_000.0_f64, at_once in 1.0..300.0_f64, year in prop::option::of(1.0..900.0_f64), apart in 0_u32..9,
        ) {
        let limit = DoseLimit { at_once: g_m2(at_once), in_a_year: year.map(g_m2), months_between: apart };
        prop_assume!(total <= at_once.min(year.unwrap_or(at_once)) * DOSES_MAX as f64);
        let got = split_into_doses(g_m2(total), limit).unwrap();
        let most = year.map_or(at_once, |y| y.min(at_once));
        prop_assert!((got.each.get() * got.count as f64 - total).abs() <= 1e-8 * total);
        prop_assert!(got.each.get() <= most);
        prop_assert!(got.count == 0 || (got.count as f64 - 1.0) * most < total);
        if let (Some(year), true) = (year, got.count > 1) {
            prop_assert!(got.months_between >= apart);
            let in_twelve_months = u64::from(11 / got.months_between + 1).min(got.count);
            prop_assert!(in_twelve_months as f64 * got.each.get() <= year * (1.0 + 1e-8));
        }
    }

    /// A more acid reading never means less lime, a lower pH never means less by North Carolina's formula, and nothing is
    /// not a number.
    #[test]
    fn more_acid_never_less_lime(
            a in 2.0..25.7_f64, b in 2.0..25.7_f64, buffer in 4.0..7.0_f64, ph in 4.0..6.5_f64, goal in 5.5..6.6_f64,
        ) {
        let lime = |acidity| lime_by_table(&penn_state(), acidity, 5.0, 6.5).unwrap();
        prop_assert!(lime(a.min(b)) <= lime(a.max(b)));
        let north = |buffer, ph| lime_mehlich_buffer_north_carolina(buffer, ph, goal).unwrap().get();
        prop_assert!(north(buffer, ph) <= north(buffer - 0.1, ph) && north(buffer, ph) <= north(buffer, ph - 0.1) + 1e-9);
        prop_assert!(north(buffer, ph).is_finite() && north(buffer, ph) >= 0.0);
    }

    /// Any input gives a finite answer or a refusal.
    #[test]
    fn any_input_is_safe(a: f64, b: f64, c: f64, d: f64, n: u32) {
        for answer in [
            lime_by_table(&penn_state(), a, b, c),
            lime_mehlich_buffer_north_carolina(a, b, c),
            lime_product(g_m2(a), Percent::new(b), Fraction::new(c)),
            sulphur_by_table(a, &penn_state().rows, b, c),
            split_into_doses(g_m2(a), DoseLimit { at_once: g_m2(b), in_a_year: Some(g_m2(c)), months_between: n })
                .map(|doses| doses.each),
        ] {
            prop_assert!(answer.is_err() || answer.is_ok_and(|x| x.get().is_finite() && x.get() >= 0.0));
        }
        prop_assert!(sieves(&[(a, b), (c, d)]).map_or(true, |f| (0.0..=1.0).contains(&f.get())));
    }
}

//! Zones measured: layout of the cans, what the readings say, what the fold makes of it.

use almanac::Almanac;
use jiff::civil::date;
use yard::audit::{CANS_AIM, audits_of, compare, layout, nearest};
use yard::form::typed_from;
use yard::{Yard, fold};

use crate::common::entries;

/// A lawn of 40 by 60 ft with one zone of sprays.
const YARD: &str = "
2017-01-02 yard name=Audited latitude=40.4 longitude=-101.72 elevation=3376 units=us-customary currency=$
2017-01-02 area name=Lawn size=2400 cover=turf grass=kbg soil=loam
2017-01-02 outline area=lawn corners=\"0 0; 60 0; 60 40; 0 40\"
2017-01-02 zone name=Zone areas=lawn sprinkler=spray rate=1.5 du=0.5
";

fn yard(lines: &str) -> Yard {
    fold(&entries(&format!("{YARD}{lines}")), date(2018, 1, 1))
}

fn near(got: Option<f64>, want: f64, tolerance: f64) {
    let got = got.unwrap();
    assert!((got - want).abs() <= tolerance, "{got} for {want}");
}

/// 24 cans of 80 cm², 10 minutes: worked by hand from the definitions (Christiansen, Bulletin 670, 1942; DU of the lowest
/// quarter; multiplier of Mecham, ASABE IRR10-10040, 2010).
const CANS: &str = "2017-06-01 audited zone=zone minutes=10 opening=80 \
    cans=\"12 15 18 20 14 16 22 25 19 17 13 21 24 16 18 20 15 19 23 11 17 18 20 22\"\n";

#[test]
fn cans_give_rate_evenness_and_multiplier() {
    let yard = yard(CANS);
    let [a] = &audits_of(&yard, "zone")[..] else { panic!() };
    near(a.cans_mm_h, 13.59, 0.005);
    near(a.du_lq, 0.7356, 0.000_05);
    near(a.cu, 0.8362, 0.000_05);
    near(a.multiplier, 1.1885, 0.000_05);
    near(a.multiplier_quarter, 1.3594, 0.000_05);
    let dry: Vec<f64> = a.dry.iter().zip(&a.caught_mm).filter(|(d, _)| **d).map(|(_, mm)| (mm * 8.0).round()).collect();
    assert_eq!(dry, [12.0, 15.0, 14.0, 13.0, 15.0, 11.0]);
    assert!(a.findings.is_empty(), "{:?}", a.findings);
}

/// The catch of the block between four heads printed by Merriam and Keller, *Farm Irrigation System Evaluation*, Utah State
/// University, 1978, pp. 41–43 (in/h): mean 3.97 / 15; the lowest 3.75 cans are 0.20 + 0.22 + 0.22 + 0.75 × 0.23 = 0.8125.
#[test]
fn a_published_catch() {
    let lines = "2017-06-01 audited zone=zone minutes=60 \
        cans=\".23 .31 .24 .24 .28 .31 .27 .22 .26 .31 .31 .25 .20 .22 .32\"\n";
    let yard = yard(lines);
    let a = &audits_of(&yard, "zone")[0];
    near(a.cans_mm_h, 3.97 / 15.0 * 25.4, 1e-9);
    near(a.du_lq, (0.8125 / 3.75) / (3.97 / 15.0), 1e-9);
    assert!(a.findings.len() == 1 && a.findings[0].starts_with("15 cans tell the rate"), "{:?}", a.findings);
}

/// 623.4 gallons stand an inch deep on 1000 sq ft (43,560 sq ft and 27,154 gal to the acre-inch, US Geological Survey): on 2400
/// sq ft in an hour 1496 gal are 1 in/h. A bucket says the same when all its heads together let out those gallons in an hour.
#[test]
fn meter_and_bucket_beside_the_cans() {
    let gallons = 2.4 * 27_154.0 / 43.56;
    let lines = format!(
        "2017-06-01 audited zone=zone minutes=60 meter_before=1000 meter_after={} bucket=1 bucket_seconds=60 bucket_heads={} wind=\"8 mph\"\n",
        1000.0 + gallons,
        gallons / 60.0
    );
    let yard = yard(&lines);
    let a = &audits_of(&yard, "zone")[0];
    near(a.meter_mm_h, 25.4, 0.002);
    near(a.bucket_mm_h, 25.4, 0.002);
    assert!(a.du_lq.is_none() && a.cans_mm_h.is_none());
    assert!(a.findings.iter().any(|f| f.starts_with("the wind was 8 mph; above 5 mph")), "{:?}", a.findings);
}

/// Cans that caught half of what the meter counted point to water that went elsewhere.
#[test]
fn water_that_never_fell_is_told() {
    let gallons = 2.4 * 27_154.0 / 43.56;
    let cans = ["0.5"; 24].join(" ");
    let lines =
        format!("2017-06-01 audited zone=zone minutes=60 cans=\"{cans}\" meter_before=0 meter_after={gallons}\n");
    let a = &audits_of(&yard(&lines), "zone")[0];
    assert!(a.findings.iter().any(|f| f.starts_with("50 % of the water let out did not reach")), "{:?}", a.findings);
}

/// The newest word on a zone wins, whichever kind of entry it stands in; what an audit does not tell stays.
#[test]
fn the_newest_measurement_is_the_zones() {
    let zone = |lines: &str| yard(lines).zone("zone").cloned().unwrap();
    let told = zone("");
    near(told.rate_mm_h, 38.1, 1e-9);
    let audited = zone(CANS);
    near(audited.rate_mm_h, 13.59, 0.005);
    near(audited.du_lq, 0.7356, 0.000_05);
    let retold = zone(&format!("{CANS}2017-07-01 zone name=Zone areas=lawn sprinkler=spray rate=1 key=zone\n"));
    near(retold.rate_mm_h, 25.4, 1e-9);
    near(retold.du_lq, 0.7356, 0.000_05);
    let metered = zone("2017-06-01 audited zone=zone minutes=60 meter_before=0 meter_after=1496\n");
    near(metered.rate_mm_h, 25.4, 0.01);
    near(metered.du_lq, 0.5, 1e-9);
    // Not before its day.
    let early = fold(&entries(&format!("{YARD}{CANS}")), date(2017, 5, 31));
    near(early.zone("zone").unwrap().rate_mm_h, 38.1, 1e-9);
}

/// Better heads: the same need with less water, by the multipliers of the published table (DU 0.50: 1.429; 0.75: 1.176).
#[test]
fn two_audits_compared() {
    let cans = |low: f64| {
        let side = (4.0 - low) / 3.0;
        (0..24).map(|i| if i % 4 == 0 { format!("{low}") } else { format!("{side}") }).collect::<Vec<_>>().join(" ")
    };
    let line = |on: &str, du: f64| format!("{on} audited zone=zone minutes=20 opening=80 cans=\"{}\"\n", cans(du));
    let yard = yard(&format!("{}{}", line("2017-05-01", 0.5), line("2017-06-01", 0.75)));
    let [after, before] = &audits_of(&yard, "zone")[..] else { panic!() };
    let c = compare(&yard, before, after, 10.0).unwrap();
    let size = 2400.0 * 0.092_903_04;
    near(Some(c.litres[0]), 10.0 * 1.429 * size, 0.001 * size * 10.0);
    near(Some(c.litres[1]), 10.0 * 1.176 * size, 0.001 * size * 10.0);
    assert!(c.minutes[0] > c.minutes[1]);
}

/// The grid keeps to the published spacing where that gives cans enough, and closes up on a small lawn.
#[test]
fn cans_are_laid_out_on_the_ground() {
    let yard = yard("");
    let zone = yard.zone("zone").unwrap();
    let almanac = Almanac::embedded();
    let spray = layout(&yard, zone, almanac.sprinkler("spray"));
    // 8 ft apart on 60 by 40 ft: 8 columns, 5 rows.
    assert_eq!((spray.cans, spray.at.len()), (40, 40));
    near(Some(spray.step_m), 2.4384, 1e-9);
    let rotor = layout(&yard, zone, almanac.sprinkler("rotor"));
    assert!(rotor.cans >= CANS_AIM && rotor.step_m < 6.096, "{rotor:?}");
    let ground = yard.pieces("lawn");
    assert!(spray.at.iter().all(|p| ground.iter().any(|g| g.contains(*p))));
    let cells = nearest(&yard, zone, &spray.at).unwrap();
    let on_ground = cells.can.iter().flatten().count() as f64 * cells.cell_m * cells.cell_m;
    near(Some(on_ground), 2400.0 * 0.092_903_04, 0.05 * 2400.0 * 0.092_903_04);
    assert_eq!(cells.can.iter().flatten().collect::<std::collections::BTreeSet<_>>().len(), 40);
}

/// What was typed comes back from the entry as it was typed.
#[test]
fn the_form_goes_round() {
    let lines = "2017-06-01 audited zone=zone minutes=10 opening=80 cans=\"12 15\" places=\"1 2; 3 4\" pressure=30 wind=4 bucket=1 bucket_seconds=20\n";
    let yard = yard(lines);
    let audit = &yard.audits[0].fact;
    assert!((audit.pressure_kpa.unwrap() - 206.84).abs() < 0.01);
    let (kind, typed) = typed_from(&yard::Body::Audited(audit.clone()), &yard).unwrap();
    assert_eq!(kind, "audited");
    let told = |name: &str| typed.get(name).map(String::as_str).unwrap_or_default();
    assert_eq!((told("cans"), told("places"), told("pressure")), ("12 15", "1 2\n3 4", "30"));
}

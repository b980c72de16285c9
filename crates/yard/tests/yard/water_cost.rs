//! The meter beside the zones, and watering in money.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::Scene;
use yard::advice::trial::season_trial;
use yard::entry::Meter;
use yard::form::typed_from;
use yard::water_cost::{WaterCost, season_money, water_cost};
use yard::{Body, fold};

use crate::common::{champion, entries};

/// A zone of 20 L/min, an hour on Mondays and Thursdays of June.
const YARD: &str = "
2017-01-02 yard name=Metered latitude=40.4 longitude=-101.72 elevation=1029 units=metric currency=€
2017-01-02 area name=Lawn size=200 cover=turf grass=ttf soil=silt-loam
2017-01-02 zone name=Zone areas=lawn sprinkler=rotor flow=20 du=0.7
2017-06-01 programme zone=zone minutes=60 weekdays=mon,thu
2017-07-01 programme zone=zone minutes=0
";

fn cost(lines: &str, on: Date) -> WaterCost {
    let yard = fold(&entries(&format!("{YARD}{lines}")), on);
    let weather = champion();
    water_cost(&Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on })
}

/// June 2017 has nine Mondays and Thursdays to the 30th (1, 5, 8, 12, 15, 19, 22, 26, 29): 540 minutes, 10,800 L; a hose and a run
/// beside it are added.
#[test]
fn zones_are_counted_from_programme_and_daybook() {
    let c = cost(
        "2017-06-01 meter-read meter=yard reading=100\n2017-06-03 watered zone=zone minutes=15\n2017-06-04 watered area=lawn depth=2\n\
         2017-07-01 meter-read meter=yard reading=112\n",
        date(2017, 7, 2),
    );
    let [span] = &c.spans[..] else { panic!("one span: {c:?}") };
    assert_eq!(span.days, 30);
    let litres: Vec<f64> = span.zones.iter().map(|z| z.litres).collect();
    assert_eq!(litres, [10_800.0 + 300.0, 400.0]);
    assert!((span.metered_l - 12_000.0).abs() < 1e-6 && (span.rest_l - 500.0).abs() < 1e-6);
    assert!(!span.look && span.words.starts_with("explained to within 4 %"), "{}", span.words);
}

/// A yard meter that counted a third more points to a leak; one that counted less, to the flow.
#[test]
fn the_rest_is_told() {
    let read = |m3: f64| {
        let lines =
            format!("2017-06-01 meter-read meter=yard reading=100\n2017-07-01 meter-read meter=yard reading={m3}\n");
        cost(&lines, date(2017, 7, 2)).spans.remove(0)
    };
    let leak = read(116.8);
    assert!(leak.look && (leak.rest_l - 6_000.0).abs() < 1e-6 && leak.words.contains("200 L a day"), "{}", leak.words);
    let less = read(108.0);
    assert!(!less.look && less.words.contains("less than is explained"), "{}", less.words);
    assert!(read(99.0).words.contains("lower than before"));
}

/// The house meter needs a time without watering before anything can be called unexplained: 12 m³ in 30 dry days are 400 L a day.
#[test]
fn the_houses_own_use_comes_from_a_dry_time() {
    let summer = "2017-06-01 meter-read reading=50\n2017-07-01 meter-read reading=73\n";
    let c = cost(summer, date(2017, 9, 1));
    assert!(c.house_l_a_day.is_none() && !c.spans[0].look);
    assert!(c.spans[0].words.contains("would tell the house"), "{}", c.spans[0].words);
    let c = cost(&format!("{summer}2017-07-31 meter-read reading=85\n"), date(2017, 9, 1));
    assert!((c.house_l_a_day.unwrap() - 400.0).abs() < 1e-9);
    let june = c.spans.iter().find(|s| s.from == date(2017, 6, 1)).unwrap();
    assert!((june.rest_l - 200.0).abs() < 1e-6 && !june.look, "{june:?}");
}

/// A new meter begins anew; readings of the two meters are kept apart.
#[test]
fn a_new_meter_begins_anew() {
    let c = cost(
        "2017-06-01 meter-read meter=yard reading=980\n2017-06-10 meter-read meter=yard reading=0 renewed=yes\n\
         2017-06-20 meter-read meter=yard reading=4\n2017-06-20 meter-read reading=700\n",
        date(2017, 7, 2),
    );
    assert_eq!(c.spans.len(), 1);
    assert_eq!((c.spans[0].from, c.spans[0].meter), (date(2017, 6, 10), Meter::Yard));
}

/// The printed bill of the Minnesota city for 50,000 gallons a quarter (see `reckon::tariff`), from a typed tariff and two readings, a quarter
/// of 91.3 days apart to a third of a day; the watering in it is told against the bill without.
#[test]
fn a_printed_bill_from_a_typed_tariff() {
    let us = YARD.replace("units=metric currency=€", "units=us-customary").replace("flow=20", "flow=5.28");
    let lines = "2017-01-03 tariff unit=kgal base=147.72 period=quarter sewer=4.93 sewer_free=15 steps=\"10 = 0; 35 = 3.51; more = 6.15\" \
                 source=\"city rates 2013\"\n2017-04-01 meter-read reading=100000 unit=gal\n2017-07-01 meter-read reading=150000 unit=gal\n";
    let yard = fold(&entries(&format!("{us}{lines}")), date(2017, 7, 2));
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: date(2017, 7, 2) };
    let c = water_cost(&scene);
    let bill = c.spans[0].cost.as_ref().unwrap();
    // 91 days of 91.3125: the base and the steps are a third of a per cent smaller.
    assert!((bill.total - 500.28).abs() < 1.0, "{}", bill.total);
    assert_eq!(bill.step, "step 3 of 3, over 35 × 1000 gal in a quarter");
    assert!((bill.marginal_per_m3 * 3.785_411_784 - 11.08).abs() < 1e-6);
    // 540 minutes at 5.28 gal/min are 2,851 gallons, all in the dearest step with the sewer charge on them.
    assert!((bill.watering - 2.8512 * 11.08).abs() < 0.01, "{}", bill.watering);
}

/// What was typed comes back as it was typed.
#[test]
fn a_tariff_goes_round() {
    let line = "2017-01-03 tariff unit=ccf base=20.75 period=two-months sewer=1.5 sewer_most=12 steps=\"4 = 3.65; more = 6.17\"\n\
                2017-02-01 meter-read reading=1204.5 unit=ccf meter=yard\n";
    let all = entries(&format!("{YARD}{line}"));
    let yard = fold(&all, date(2017, 7, 2));
    let typed = |kind: &str| typed_from(&all.iter().find(|e| e.body.kind() == kind).unwrap().body, &yard).unwrap().1;
    let t = typed("tariff");
    assert_eq!(
        (t["steps"].as_str(), t["sewer_most"].as_str(), t["period"].as_str()),
        ("4 = 3.65\nmore = 6.17", "12", "two-months")
    );
    assert_eq!((typed("meter-read")["reading"].as_str(), typed("meter-read")["unit"].as_str()), ("1204.5", "ccf"));
    let Body::Tariff(facts) = &all.iter().find(|e| e.body.kind() == "tariff").unwrap().body else { panic!("a tariff") };
    assert!((facts.steps[0].up_to_m3.unwrap() - 11.326_738_636_8).abs() < 1e-9);
}

/// What cannot be a tariff is refused with its field.
#[test]
fn refusals() {
    let fault = |line: &str| {
        let text = format!("{YARD}{line}");
        yard::scenario::read(&text, "t", Almanac::embedded())
            .map_err(|f| f.iter().map(ToString::to_string).collect::<String>())
    };
    for (line, word) in [
        ("2017-02-01 tariff steps=\"10 = 2\"", "last step must have no end"),
        ("2017-02-01 tariff steps=\"10 = 2; 5 = 3; more = 4\"", "not after the one before"),
        ("2017-02-01 tariff steps=\"10 2\"", "cannot be read"),
        ("2017-02-01 tariff steps=\"more = 2\" sewer_free=3", "a sewer charge has a price"),
        ("2017-02-01 tariff steps=\"more = -2\"", "must be between"),
        ("2017-02-01 meter-read reading=many", "is not a number"),
        ("2017-02-01 meter-read reading=-4", "must be between"),
    ] {
        let told = fault(line).unwrap_err();
        assert!(told.contains(word), "{line}: {told}");
    }
}

/// A real season in money: with one price the cost is litres times price; the long timer never suffers more than the advice where it can
/// help it, and pays for it; rising steps make the same water dearer on top of the house's own use.
#[test]
fn a_season_in_money() {
    let of = |lines: &str| {
        let yard = fold(&entries(&format!("{YARD}{lines}")), date(2018, 5, 3));
        let weather = champion();
        let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: date(2018, 5, 3) };
        let trial = season_trial(&yard, &weather, scene.almanac, date(2017, 5, 1), date(2017, 9, 30)).unwrap();
        let months: f64 = trial.months.iter().map(|m| m.advice).sum();
        assert!((months - trial.advice.litres).abs() < 1e-6 && trial.months.len() == 5);
        season_money(&scene, &trial, Some(400.0))
    };
    assert_eq!(of(""), None, "no prices, no money");
    let plain = of("2017-01-03 tariff steps=\"more = 2\" base=10\n").unwrap();
    for way in [plain.advice, plain.timer, plain.long_timer, plain.optimum] {
        assert!((way.cost - way.litres / 1000.0 * 2.0).abs() < 1e-6);
    }
    assert!(plain.long_timer.stress_days <= plain.advice.stress_days.max(plain.timer.stress_days));
    assert!(plain.long_timer.litres > plain.advice.litres && plain.advice.litres >= plain.optimum.litres - 20.0);
    let steps = of("2017-01-03 tariff steps=\"15 = 2; 25 = 3; more = 5\" base=10\n").unwrap();
    assert!(steps.advice.cost > plain.advice.cost && steps.step.starts_with("step 3 of 3"), "{}", steps.step);
}

//! A leak reckoned from the meter: published losses, the yard's own prices, where it is, by when.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::Scene;
use yard::fold;
use yard::leak::{Leak, LeakAsk, LeakFound, Place, Watched, leak};

use crate::common::{champion, entries};

const GALLON: f64 = 3.785_411_784;
const ON: Date = date(2017, 7, 10);

const YARD: &str = "
2017-01-02 yard name=Leaky latitude=40.4 longitude=-101.72 elevation=1029 units=us-customary
2017-01-02 area name=Lawn size=2000 cover=turf grass=ttf soil=silt-loam
2017-01-02 zone name=Zone areas=lawn sprinkler=rotor flow=5 du=0.7
";
/// The stepped tariff of a Minnesota city (see `reckon::tariff`), by the quarter, sewer left out.
const TARIFF: &str =
    "2017-01-03 tariff unit=kgal base=147.72 period=quarter steps=\"10 = 0; 35 = 3.51; more = 6.15\"\n";

fn gallons(moved: f64, minutes: f64) -> Watched {
    Watched { moved_l: moved * GALLON, minutes }
}

fn ask(lines: &str, ask: LeakAsk) -> LeakFound {
    let yard = fold(&entries(&format!("{YARD}{lines}")), ON);
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: ON };
    leak(&scene, &ask).unwrap().unwrap()
}

fn open(moved: f64, minutes: f64) -> LeakAsk {
    LeakAsk { open: Some(gallons(moved, minutes)), ..LeakAsk::default() }
}

fn figures(found: &LeakFound) -> &Leak {
    found.leak.as_ref().unwrap()
}

/// Eastern Municipal Water District, California, prints flows beside gallons a day: 0.5 gal/min is 720, 6 gal/min 8,640; a dripping faucet of
/// 0.007 to 0.14 gal/min is 10 to 200. The City of Grants Pass prints holes: what 1/16 inch loses a month at 60 psi is read back as 1/16 inch.
#[test]
fn published_losses_are_met() {
    for (flow, day, tolerance) in [(0.5, 720.0, 1e-9), (6.0, 8_640.0, 1e-9), (0.007, 10.0, 0.02), (0.14, 200.0, 0.01)] {
        let found = ask("", open(flow * 30.0, 30.0));
        let ours = figures(&found).per_day_l / GALLON;
        assert!((ours / day - 1.0).abs() <= tolerance, "{flow} gal/min: {ours} for {day}");
    }
    let month = 30.0 * 1_440.0;
    for (inch, lost) in [(1.0 / 32.0, 6_300.0), (1.0 / 16.0, 25_000.0), (0.125, 100_000.0), (0.25, 400_000.0)] {
        let found = ask("", open(lost / month * 60.0, 60.0));
        assert!((figures(&found).hole_mm.unwrap() / 25.4 / inch - 1.0).abs() < 0.01, "{inch}");
    }
    // US EPA WaterSense: one drip a second is over 3,000 gallons a year.
    let drip = ask("", open(3_000.0 / (365.0 * 24.0) * 2.0, 120.0));
    assert!((figures(&drip).per_year_l / GALLON - 3_000.0).abs() < 0.01);
}

/// Priced on top of what is used anyway: 30,000 gallons a quarter stand in the middle step, so a leak of 38.4 gallons a day (3.2 gallons in two
/// hours) costs 3.51 a thousand while it stays there, and the dearest step once it reaches over 35,000.
#[test]
fn the_step_it_falls_in_is_paid() {
    // 91 days between the readings; a period of the tariff is 91.3.
    let reads =
        |g: f64| format!("2017-04-01 meter-read reading=0 unit=gal\n2017-07-01 meter-read reading={g} unit=gal\n");
    let small = ask(&format!("{TARIFF}{}", reads(29_900.0)), open(3.2, 120.0));
    let l = figures(&small);
    assert!((l.per_day_l / GALLON - 38.4).abs() < 1e-9);
    assert!((l.cost_per_day.unwrap() - 0.0384 * 3.51).abs() < 1e-6, "{l:?}");
    assert!(l.step.starts_with("step 2 of 3"), "{}", l.step);
    let above = ask(&format!("{TARIFF}{}", reads(50_000.0)), open(3.2, 120.0));
    assert!((figures(&above).cost_per_day.unwrap() - 0.0384 * 6.15).abs() < 1e-6);
    // 50 gallons a day more on 34,000 a quarter: about 1,100 gallons in the middle step, the rest in the dearest.
    let across = ask(&format!("{TARIFF}{}", reads(34_000.0)), open(50.0 / 12.0, 120.0));
    let quarter = 365.25 / 4.0;
    let used = 34.0 / 91.0 * quarter;
    let by_hand = ((35.0 - used) * 3.51 + (used + 0.05 * quarter - 35.0) * 6.15) / quarter;
    assert!((figures(&across).cost_per_day.unwrap() - by_hand).abs() < 1e-9, "{by_hand}");
    // The first ten thousand are free here; nobody told what is used anyway, and that is said.
    let unknown = ask(TARIFF, open(3.2, 120.0));
    assert_eq!(figures(&unknown).cost_per_day, Some(0.0));
    assert!(unknown.assumed.iter().any(|a| a.contains("two readings would tell")));
    assert_eq!(figures(&ask("", open(3.2, 120.0))).cost_per_day, None, "no prices, no cost");
}

/// The day to mend it: when the water has cost as much as the parts, at most two weeks, today for a gush; the town's rule goes first.
#[test]
fn the_day_to_mend_it() {
    let reads = "2017-04-01 meter-read reading=0 unit=gal\n2017-07-01 meter-read reading=50000 unit=gal\n";
    let by = |gal_a_day: f64, repair: f64, town: Option<u32>| {
        let ask_for = LeakAsk { repair: Some(repair), town_days: town, ..open(gal_a_day / 12.0, 120.0) };
        figures(&ask(&format!("{TARIFF}{reads}"), ask_for)).repair_by
    };
    // 1,000 gallons a day at 6.15: parts of 20 are paid after three days.
    assert_eq!(by(1_000.0, 20.0, None), date(2017, 7, 13));
    assert_eq!(by(1_000.0, 20.0, Some(2)), date(2017, 7, 12));
    assert_eq!(by(10.0, 20.0, None), date(2017, 7, 24));
    let gush = ask(TARIFF, open(60.0, 30.0));
    assert!(figures(&gush).at_once && figures(&gush).repair_by == ON);
}

/// Where it is: by the reading with the sprinklers' valve closed; nothing is called tight before two hours (US EPA WaterSense).
#[test]
fn the_valve_tells_where() {
    let with = |closed: f64| LeakAsk { closed: Some(gallons(closed, 30.0)), ..open(0.8, 30.0) };
    assert_eq!(ask("", open(0.8, 30.0)).place, Place::Unknown);
    let sprinklers = ask("", with(0.0));
    assert_eq!(sprinklers.place, Place::Sprinklers);
    assert!((sprinklers.sprinklers_l_day.unwrap() / GALLON - 38.4).abs() < 1e-9);
    assert_eq!(ask("", with(0.8)).place, Place::House);
    assert_eq!(ask("", with(0.4)).place, Place::Both);
    assert_eq!(ask("", open(0.0, 30.0)).place, Place::TooShort);
    let tight = ask("", open(0.0, 120.0));
    assert!(tight.place == Place::None && tight.leak.is_none() && tight.place.next().is_none());
}

/// What cannot be is refused with its field.
#[test]
fn refusals_name_the_field() {
    let yard = fold(&entries(YARD), ON);
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: ON };
    let field = |a: LeakAsk| leak(&scene, &a).unwrap_err().field();
    assert_eq!(field(open(1.0, 0.0)), "minutes");
    assert_eq!(field(LeakAsk { closed: Some(gallons(1.0, 0.0)), ..open(1.0, 30.0) }), "closed_minutes");
    assert_eq!(field(LeakAsk { repair: Some(-1.0), ..open(1.0, 30.0) }), "repair_cost");
    assert!(leak(&scene, &LeakAsk::default()).unwrap().is_none());
}

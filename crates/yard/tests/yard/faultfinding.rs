//! Finding the fault of a sprinkler system, judged by published and trade-stated cases: guided by the next best test against the
//! fixed order of a checklist. The cases and their sources are in `tests/cases/sprinkler_faults.toml`.

use std::collections::BTreeMap;

use almanac::{Almanac, Faults};
use jiff::civil::date;
use proptest::prelude::*;
use reckon::units::factor::L_PER_GALLON;
use reckon::units::{Litres, LitresPerMinute, Minutes};
use serde::Deserialize;
use yard::faultfinding::{Finding, LeakReading, Standing, Verdict, manifold_leak, standing};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

/// One case: what the text says, and what its cause does to the tests the text is silent on.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    symptom: String,
    cause: String,
    held_out: bool,
    text: String,
    told: BTreeMap<String, String>,
    natural: BTreeMap<String, String>,
    source: String,
    basis: String,
}

/// How a session over one case ended.
struct Walk {
    /// Place of the true cause, from 1.
    place: usize,
    tests: Vec<String>,
    minutes: f64,
    probability: f64,
}

fn faults() -> &'static Faults {
    &Almanac::embedded().faults
}

fn cases() -> Vec<Case> {
    let read: Cases = toml::from_str(include_str!("../cases/sprinkler_faults.toml")).unwrap();
    read.case
}

fn found(test: &str, outcome: &str) -> Finding {
    Finding { test: test.to_string(), outcome: outcome.to_string() }
}

fn look(symptom: &str, findings: &[Finding]) -> Standing<'static> {
    standing(faults(), symptom, findings, &[]).unwrap()
}

/// Makes tests until the verdict says to act, the same for both orders. The test is picked by `pick` from the standing and the tests made; what comes
/// out is read from the case's outcomes alone. The cause is looked at only when the session is over.
fn walk(case: &Case, slip: Option<(&str, &str)>, pick: impl Fn(&Standing, &[Finding]) -> Option<String>) -> Walk {
    let mut findings: Vec<Finding> = Vec::new();
    let mut minutes = 0.0;
    loop {
        let now = look(&case.symptom, &findings);
        let next = if now.verdict == Verdict::GoOn { pick(&now, &findings) } else { None };
        let Some(test) = next else {
            let place = now.ranked.iter().position(|r| r.cause.id == case.cause).unwrap() + 1;
            let tests = findings.into_iter().map(|f| f.test).collect();
            return Walk { place, tests, minutes, probability: now.ranked[0].probability };
        };
        let said = case.told.get(&test).or_else(|| case.natural.get(&test)).unwrap();
        let said = slip.filter(|(slipped, _)| *slipped == test).map_or(said.as_str(), |(_, other)| other);
        minutes += faults().test(&test).unwrap().minutes;
        findings.push(found(&test, said));
    }
}

/// The test that tells most a minute.
fn guided(now: &Standing, _: &[Finding]) -> Option<String> {
    now.next.first().map(|n| n.test.id.clone())
}

/// The next of the printed order; a test that comes after an outcome not seen is passed over.
fn by_checklist(now: &Standing, made: &[Finding]) -> Option<String> {
    let can = |id: &&String| {
        let after = &faults().test(id).unwrap().after;
        let seen = |a: &almanac::FaultAfter| made.iter().any(|f| f.test == a.test && a.outcomes.contains(&f.outcome));
        made.iter().all(|f| f.test != **id) && after.iter().all(seen)
    };
    now.symptom.checklist.iter().find(can).cloned()
}

fn mean(walks: &[Walk], of: impl Fn(&Walk) -> f64) -> f64 {
    walks.iter().map(of).sum::<f64>() / walks.len() as f64
}

/// The promise of the page: the true cause first in 90 % of the cases and in the first three always, with a third fewer tests
/// than the printed order, on the cases the weights were set with and on those held out.
#[test]
fn the_true_cause_first_with_fewer_tests() {
    let cases = cases();
    let held = cases.iter().filter(|c| c.held_out).count();
    assert!(cases.len() >= 24 && held * 3 >= cases.len(), "{held} held out of {}", cases.len());
    for held_out in [false, true] {
        let part: Vec<&Case> = cases.iter().filter(|c| c.held_out == held_out).collect();
        let guide: Vec<Walk> = part.iter().map(|c| walk(c, None, guided)).collect();
        let order: Vec<Walk> = part.iter().map(|c| walk(c, None, by_checklist)).collect();
        println!("\n{}", if held_out { "held out" } else { "used while setting weights" });
        println!("{:16} {:18} place  p     tests  order  min  order", "symptom", "cause");
        for ((case, g), o) in part.iter().zip(&guide).zip(&order) {
            let (tests, fixed) = (g.tests.len(), o.tests.len());
            let p = g.probability;
            print!("{:16} {:18} {:5}  {p:.2}  {tests:5}  {fixed:5}", case.symptom, case.cause, g.place);
            println!("  {:3.0}  {:5.0}  {}", g.minutes, o.minutes, g.tests.join(" "));
        }
        let first = guide.iter().filter(|w| w.place == 1).count();
        let (tests, fixed) = (mean(&guide, |w| w.tests.len() as f64), mean(&order, |w| w.tests.len() as f64));
        let (minutes, fixed_minutes) = (mean(&guide, |w| w.minutes), mean(&order, |w| w.minutes));
        println!("first in {first} of {}; tests {tests:.2}, in the order {fixed:.2}", part.len());
        println!("minutes {minutes:.1}, in the order {fixed_minutes:.1}");
        assert!(first * 10 >= part.len() * 9, "first in {first} of {}", part.len());
        for (case, w) in part.iter().zip(&guide) {
            assert!(w.place <= 3, "{}: {} comes in place {}", case.text, case.cause, w.place);
        }
        assert!(tests <= 0.7 * fixed, "{tests:.2} tests against {fixed:.2}");
    }
}

/// One slip a session, each in turn: an outcome the text does not state comes out otherwise. The true cause stays in the first
/// three nine times in ten, and first four times in five.
#[test]
fn one_slip_rarely_leads_astray() {
    let (mut all, mut first, mut three) = (0, 0, 0);
    for case in &cases() {
        for (test, natural) in &case.natural {
            for other in faults().test(test).unwrap().outcomes.iter().filter(|o| o.id != *natural) {
                let w = walk(case, Some((test, &other.id)), guided);
                all += 1;
                first += usize::from(w.place == 1);
                three += usize::from(w.place <= 3);
            }
        }
    }
    println!("{all} slips: first {first}, in the first three {three}");
    assert!(first * 5 >= all * 4 && three * 10 >= all * 9, "{all} slips: first {first}, in the first three {three}");
}

/// Each case tells an outcome for every test of its symptom, each once and known to the table, and where it was read.
#[test]
fn cases_are_complete() {
    for case in cases() {
        let symptom = faults().symptom(&case.symptom).unwrap();
        assert!(faults().cause(&case.cause).unwrap().weights.contains_key(&case.symptom), "{}", case.text);
        assert!(!case.told.is_empty() || case.basis == "common-practice", "{}: the text states nothing", case.text);
        assert!(!case.source.is_empty() && ["published", "common-practice"].contains(&case.basis.as_str()));
        for id in &symptom.checklist {
            let said: Vec<&String> = case.told.get(id).into_iter().chain(case.natural.get(id)).collect();
            let [outcome] = said[..] else { panic!("{}: {id} {said:?}", case.text) };
            assert!(faults().test(id).unwrap().outcome(outcome).is_some(), "{}: {id} = {outcome}", case.text);
        }
    }
}

/// What single readings must mean, by the repair guides named beside them.
#[test]
fn readings_mean_what_the_trade_says() {
    let first = |symptom: &str, findings: &[Finding]| look(symptom, findings).ranked[0].cause.id.clone();
    // "How to find a broken sprinkler wire": several zones open at the controller is the common; a coil without a reading is burnt.
    let common = [found("other_zones", "several"), found("circuit_ohms", "open")];
    assert_eq!(first("zone_wont_start", &common), "common_cut");
    assert_eq!(first("zone_wont_start", &[found("coil_ohms", "open")]), "coil_open");
    // "What to do when your lawn sprinkler controller fuses keeps blowing": at one zone, most often its coil.
    assert_eq!(first("fuse", &[found("one_by_one", "one_zone")]), "coil_short");
    // "Sprinkler system kept blowing the fuse": short at the controller and a good coil is the wire.
    assert_eq!(first("fuse", &[found("circuit_ohms", "short"), found("coil_ohms", "good")]), "wire_short");
    // "Stopping Low Head Drainage": ends after a while, or never ends.
    let wet = |when| first("wet_spot", &[found("where_wet", "lowest_head"), found("when_wet", when)]);
    assert_eq!((wet("after").as_str(), wet("always").as_str()), ("drain_back", "valve_weeping"));
    // "Lawn sprinklers will not shut down": runs on with the controller unplugged, so it is not the controller.
    let runs_on = look("zone_wont_stop", &[found("controller_off", "goes_on")]);
    let controller = |id: &str| runs_on.ranked.iter().find(|r| r.cause.id == id).unwrap().probability;
    assert!(controller("program_stacked") < 0.01 && controller("controller_output") < 0.01);
}

/// A finding against a cause is shown as against it, the strongest first.
#[test]
fn for_and_against() {
    let now = look("zone_wont_start", &[found("coil_click", "silent"), found("coil_ohms", "good")]);
    let coil = now.ranked.iter().find(|r| r.cause.id == "coil_open").unwrap();
    assert_eq!((coil.speaks[0].test.id.as_str(), coil.speaks[0].outcome), ("coil_ohms", "20 to 60 ohms"));
    assert!(coil.speaks[0].bans < -1.0 && coil.speaks[1].bans > 0.0);
}

/// Tests out of reach are not offered; a wrong key is refused by name.
#[test]
fn only_what_can_be_done_and_is_known() {
    let meters: Vec<String> =
        ["terminal_volts", "circuit_ohms", "valve_volts", "coil_ohms"].map(str::to_string).to_vec();
    let now = standing(faults(), "zone_wont_start", &[], &meters).unwrap();
    assert!(now.verdict == Verdict::GoOn && now.next.iter().all(|n| !meters.contains(&n.test.id)));
    let field = |symptom: &str, findings: &[Finding]| standing(faults(), symptom, findings, &[]).unwrap_err().field();
    assert_eq!(field("hiccups", &[]), "symptom");
    assert_eq!(field("fuse", &[found("when_wet", "always")]), "test");
    assert_eq!(field("fuse", &[found("one_by_one", "maybe")]), "outcome");
    assert_eq!(field("fuse", &[found("one_by_one", "any"), found("one_by_one", "holds")]), "answers");
}

/// The loss of the meter example of the leak test, 3.2 gallons in 120 minutes or 38.4 gallons a day; the town's rule wins when it
/// is the shorter; a flow and the same flow read off the meter agree.
#[test]
fn a_manifold_leak_gets_a_day() {
    let seen = date(2024, 2, 20);
    let minutes = Minutes::new(120.0);
    let meter = LeakReading::Meter { start: Litres::new(500.0), end: Litres::new(500.0 + 3.2 * L_PER_GALLON), minutes };
    let leak = manifold_leak(meter, 3.0, 15.0, seen, None).unwrap();
    assert!((leak.litres_per_day.get() / L_PER_GALLON - 38.4).abs() < 0.01);
    assert!((leak.cost_per_day - 0.436).abs() < 0.000_5);
    assert_eq!(leak.repair_by, date(2024, 3, 5), "two weeks at most, over a leap day");
    assert_eq!(manifold_leak(meter, 3.0, 15.0, seen, Some(3)).unwrap().repair_by, date(2024, 2, 23));
    let flow = LeakReading::Flow(LitresPerMinute::new(3.2 * L_PER_GALLON / 120.0));
    let same = manifold_leak(flow, 3.0, 15.0, seen, None).unwrap();
    assert!((same.cost_per_day - leak.cost_per_day).abs() < 1e-9);
    let gush = LeakReading::Flow(LitresPerMinute::new(30.0));
    assert_eq!(manifold_leak(gush, 3.0, 15.0, seen, None).unwrap().repair_by, seen);
    let back = LeakReading::Meter { start: Litres::new(5.0), end: Litres::new(4.0), minutes };
    assert_eq!(manifold_leak(back, 3.0, 15.0, seen, None).unwrap_err().field(), "end_l");
}

proptest! {
    #![proptest_config(ProptestConfig { max_shrink_iters: 1_000, ..ProptestConfig::with_cases(300) })]

    /// Whatever is answered, in whatever order: shares of one, likeliest first, no test offered twice, the same standing.
    #[test]
    fn any_session_stands(symptom in 0usize..8, picks in prop::collection::vec((0usize..15, 0usize..7), 0..8)) {
        let symptom = &faults().symptoms[symptom];
        let mut findings: Vec<Finding> = Vec::new();
        for (test, outcome) in picks {
            let test = faults().test(&symptom.checklist[test % symptom.checklist.len()]).unwrap();
            if findings.iter().all(|f| f.test != test.id) {
                findings.push(found(&test.id, &test.outcomes[outcome % test.outcomes.len()].id));
            }
        }
        let now = look(&symptom.id, &findings);
        prop_assert!((now.ranked.iter().map(|r| r.probability).sum::<f64>() - 1.0).abs() < 1e-9);
        prop_assert!(now.ranked.windows(2).all(|w| w[0].probability >= w[1].probability));
        prop_assert!(now.next.iter().all(|n| n.bits >= 0.05 && findings.iter().all(|f| f.test != n.test.id)));
        findings.reverse();
        let back = look(&symptom.id, &findings);
        prop_assert!(now.ranked.iter().zip(&back.ranked).all(|(a, b)| a.cause.id == b.cause.id));
    }
}

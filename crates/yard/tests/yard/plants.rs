//! The diagnosis of woody plants against published descriptions encoded blind.

use std::collections::{BTreeMap, BTreeSet};

use almanac::{Almanac, Condition};
use serde::Deserialize;
use yard::diagnosis::plants::{PlantDiagnosis, PlantPlace, diagnose_plant};
use yard::diagnosis::{Seen, Verdict};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

/// A published description, encoded.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    source: String,
    seen: String,
    cause: String,
    plant: Option<String>,
    month: Option<u8>,
    #[serde(default)]
    when: BTreeSet<Condition>,
    told: BTreeMap<String, String>,
}

fn read(text: &str) -> Vec<Case> {
    let cases: Cases = toml::from_str(text).expect("the cases parse");
    cases.case
}

/// Every third case was never looked at while a figure was set.
fn held_out(index: usize) -> bool {
    index % 3 == 2
}

/// The cases the figures were tuned on, and those held out.
fn tuned_and_held_out() -> (Vec<Case>, Vec<Case>) {
    let cases = read(include_str!("../cases/plants.toml"));
    let (held, tuned): (Vec<_>, Vec<_>) = cases.into_iter().enumerate().partition(|(i, _)| held_out(*i));
    let plain = |v: Vec<(usize, Case)>| v.into_iter().map(|(_, c)| c).collect();
    (plain(tuned), plain(held))
}

fn told(case: &Case) -> Vec<Seen> {
    case.told.iter().map(|(f, o)| Seen::new(f, o)).collect()
}

fn diagnosed<'a>(case: &Case, seen: &[Seen]) -> PlantDiagnosis<'a> {
    let place =
        PlantPlace { plant: case.plant.clone(), month: case.month, holds: case.when.clone(), ..PlantPlace::default() };
    match diagnose_plant(&Almanac::embedded().plants, &place, seen) {
        Ok(diagnosis) => diagnosis,
        Err(fault) => panic!("{}: {fault}", case.source),
    }
}

/// Place of the stated cause, from 1.
fn place(diagnosis: &PlantDiagnosis<'_>, cause: &str) -> usize {
    diagnosis.ranked.iter().position(|r| r.cause.id == cause).expect("the cause is in the table") + 1
}

fn share(hits: usize, of: usize) -> f64 {
    hits as f64 / of as f64
}

/// What a set of cases came to.
struct Came {
    first: f64,
    three: f64,
    likely_right: f64,
    answered: f64,
    asked_right: f64,
    /// Probability of the first cause, and whether it was right.
    given: Vec<(f64, bool)>,
}

/// Runs a set with everything told, prints its shares and its reliability, and runs it again asked in order.
fn came(name: &str, cases: &[Case]) -> Came {
    const BINS: [(f64, f64); 5] = [(0.0, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.01)];
    let mut given = Vec::new();
    let (mut first, mut three, mut likely, mut likely_right) = (0, 0, 0, 0);
    for case in cases {
        assert!(!case.told.is_empty() && !case.seen.is_empty(), "{}: tells nothing", case.source);
        let diagnosis = diagnosed(case, &told(case));
        let at = place(&diagnosis, &case.cause);
        first += usize::from(at == 1);
        three += usize::from(at <= 3);
        if diagnosis.verdict == Verdict::Likely {
            likely += 1;
            likely_right += usize::from(at == 1);
        }
        given.push((diagnosis.ranked[0].probability, at == 1));
    }
    let mut answered: Vec<usize> = Vec::new();
    let mut asked_right = 0;
    for case in cases {
        let (answers, right) = asked_in_order(case);
        answered.push(answers);
        asked_right += usize::from(right);
    }
    answered.sort_unstable();
    let n = cases.len();
    let out = Came {
        first: share(first, n),
        three: share(three, n),
        likely_right: share(likely_right, likely),
        answered: (answered[(n - 1) / 2] + answered[n / 2]) as f64 / 2.0,
        asked_right: share(asked_right, n),
        given,
    };
    println!(
        "{name}: {n} cases, first {:.3}, first three {:.3}; called likely {likely}, right {:.3}; asked in order: median {} \
         answered, first {:.3}",
        out.first, out.three, out.likely_right, out.answered, out.asked_right
    );
    println!("  given        n  mean  right");
    for (low, high) in BINS {
        let bin: Vec<_> = out.given.iter().filter(|g| (low..high).contains(&g.0)).collect();
        if !bin.is_empty() {
            let mean = bin.iter().map(|g| g.0).sum::<f64>() / bin.len() as f64;
            let right = share(bin.iter().filter(|g| g.1).count(), bin.len());
            println!("  {low:.1}–{:.1}  {:>5}  {mean:.2}  {right:.2}", high.min(1.0), bin.len());
        }
    }
    out
}

/// Asks from nothing, the look that tells most for a minute first, until the first cause is likely at 0.7 or no look is left; what the case
/// does not tell is not looked at. How many were answered, and whether the first cause is right.
fn asked_in_order(case: &Case) -> (usize, bool) {
    let mut seen: Vec<Seen> = Vec::new();
    loop {
        let diagnosis = diagnosed(case, &seen);
        let done = diagnosis.verdict == Verdict::Likely && diagnosis.ranked[0].probability >= 0.7;
        let Some(next) = diagnosis.next.first().filter(|_| !done) else {
            let answered = seen.iter().filter(|s| s.outcome.is_some()).count();
            return (answered, place(&diagnosis, &case.cause) == 1);
        };
        seen.push(match case.told.get(&next.finding.id) {
            Some(outcome) => Seen::new(&next.finding.id, outcome),
            None => Seen::not_looked(&next.finding.id),
        });
    }
}

/// The cases are many, of many causes, each with its source, and none stands in another set.
#[test]
fn plant_cases_are_many_and_apart() {
    let tuning = read(include_str!("../cases/plants.toml"));
    let blind = read(include_str!("../cases/plants_blind.toml"));
    let fresh = read(include_str!("../cases/plants_fresh.toml"));
    assert!(tuning.len() >= 60 && blind.len() >= 50 && fresh.len() >= 40);
    let causes: BTreeSet<_> = tuning.iter().map(|c| &c.cause).collect();
    assert!(causes.len() >= 25, "{} causes have a case", causes.len());
    let all: Vec<_> = tuning.iter().chain(&blind).chain(&fresh).map(|c| (&c.source, &c.seen)).collect();
    assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), all.len(), "a case stands twice");
}

/// With everything told, the stated cause is first and among the first three as often as is asked for (80 and 95 %), apart for the cases the
/// figures were tuned on and those held out; asked in order, at most four answers in the median.
#[test]
fn stated_cause_of_a_plant_is_found() {
    let (tuned, held) = tuned_and_held_out();
    for (name, cases) in [("tuned", tuned), ("held out", held)] {
        let came = came(name, &cases);
        assert!(came.first >= 0.80 && came.three >= 0.95, "{name}: first {:.3}, three {:.3}", came.first, came.three);
        assert!(came.likely_right >= 0.90, "{name}: called likely, right {:.3}", came.likely_right);
        assert!(came.answered <= 4.0 && came.asked_right >= 0.75, "{name}: asked in order");
        // What is given 0.7 or more: right as often as it says, within three standard errors of a share.
        let sure: Vec<_> = came.given.iter().filter(|g| g.0 >= 0.7).collect();
        let mean = sure.iter().map(|g| g.0).sum::<f64>() / sure.len() as f64;
        let right = share(sure.iter().filter(|g| g.1).count(), sure.len());
        let slack = 3.0 * (mean * (1.0 - mean) / sure.len() as f64).sqrt();
        assert!((right - mean).abs() <= slack, "{name}: given {mean:.2}, right {right:.2}");
    }
}

/// Descriptions encoded by somebody who had seen no weight, with everything told. Read before any tuning: first 0.786, first three 0.929, of
/// what was called likely 0.927 right. The targets, 80 % first and 95 % among the first three, do not hold. No figure was set on these
/// cases, so none may be moved to reach them. Read again after the tuning: first 0.768, first three 0.929, called likely 0.905 right.
#[test]
fn blind_cases() {
    let came = came("blind", &read(include_str!("../cases/plants_blind.toml")));
    assert!(came.first >= 0.75 && came.three >= 0.90, "first {:.3}, first three {:.3}", came.first, came.three);
    assert!(came.likely_right >= 0.88, "called likely, right {:.3}", came.likely_right);
    assert!(came.answered <= 4.0, "{} answers in the median", came.answered);
}

/// Descriptions sought, encoded and committed before the diagnosis was run on one of them, by somebody who had seen the tables. The first reading: first
/// 0.879, first three 0.939 (95 % is asked for, and missed by one case of 66); of 53 called likely 0.962 right; given 0.7 or more, 0.98 right.
#[test]
fn fresh_plants() {
    let came = came("fresh", &read(include_str!("../cases/plants_fresh.toml")));
    assert!(came.first >= 0.80 && came.three >= 0.92, "first {:.3}, first three {:.3}", came.first, came.three);
    assert!(came.likely_right >= 0.90 && came.answered <= 4.0);
}

/// With nothing seen it is not enough, a short look comes first, and the shares sum to one.
#[test]
fn nothing_seen_on_a_plant_is_not_enough() {
    let tables = &Almanac::embedded().plants;
    let diagnosis = diagnose_plant(tables, &PlantPlace::default(), &[]).expect("no answers are allowed");
    assert_eq!(diagnosis.verdict, Verdict::NotEnough);
    assert!(diagnosis.next[0].finding.minutes <= 2.0, "first look: {}", diagnosis.next[0].finding.id);
    let sum: f64 = diagnosis.ranked.iter().map(|r| r.probability).sum();
    assert!((sum - 1.0).abs() < 1e-9);
}

/// Ten slow specks on the paper mean mites (University of Maryland Extension: beat a branch over white paper); bags mean
/// bagworm; a box is not the only plant with streaks, but blight is a disease of box alone.
#[test]
fn an_answer_names_its_cause() {
    let tables = &Almanac::embedded().plants;
    let first = |plant: &str, finding: &str, outcome: &str| {
        let place = PlantPlace { plant: Some(plant.to_owned()), ..PlantPlace::default() };
        let diagnosis = diagnose_plant(tables, &place, &[Seen::new(finding, outcome)]).expect("known answers");
        diagnosis.ranked[0].cause.id.clone()
    };
    assert_eq!(first("arb", "tap", "many"), "spider-mites");
    assert_eq!(first("arb", "traces", "bags"), "bagworm");
    assert_eq!(first("box", "twig", "streaks"), "boxwood-blight");
    assert_ne!(first("tree", "twig", "streaks"), "boxwood-blight");
}

/// An unknown plant, finding or answer and a thirteenth month are refused by name.
#[test]
fn unknown_plants_and_answers_are_refused() {
    let tables = &Almanac::embedded().plants;
    let field = |place: PlantPlace, seen: &[Seen]| {
        diagnose_plant(tables, &place, seen).expect_err("not in the tables").field().to_owned()
    };
    let cactus = PlantPlace { plant: Some("cactus".to_owned()), ..PlantPlace::default() };
    assert_eq!(field(cactus, &[]), "seen");
    assert_eq!(field(PlantPlace::default(), &[Seen::new("tug", "rolls")]), "seen");
    assert_eq!(field(PlantPlace::default(), &[Seen::new("tap", "hundreds")]), "seen");
    assert_eq!(field(PlantPlace { month: Some(13), ..PlantPlace::default() }, &[]), "month");
}

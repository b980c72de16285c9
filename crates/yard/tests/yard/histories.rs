//! A hundred thousand made-up histories and plans, judged twice: by the label checks, and by a judge that knows no polygons and calls none
//! of their helpers.
//!
//! The judge ([`judge`]) counts on a grid of points half a metre apart and walks through the days one by one. Everything it knows of
//! labels is the wording of their rules; the figures are those typed into the made-up labels and the published rows of the almanac.

mod found;
mod judge;
mod lesser;
mod made;

use std::collections::BTreeMap;

use almanac::Almanac;
use reckon::units::Celsius;
use yard::advice::checks::{check_application, check_sowing, nearest_clear_day};
use yard::advice::{Finding, Level, Scene};
use yard::entry::{Seeded, Sowing};
use yard::{Place, Weather, WeatherDay};

use self::judge::{Judge, Rule, Verdict};
use self::made::{Asked, GRASSES, History, day};

/// Histories and plans judged.
const HISTORIES: u64 = 100_000;
/// Parts judged side by side.
const PARTS: usize = 4;
/// Days the judge walks before it gives up; longer than any label's wait and any plan ahead together.
const DAYS_AHEAD: i64 = 2_000;

/// Days that are all alike and dry.
fn steady(low_c: f64, high_c: f64) -> Weather {
    let days: Vec<WeatherDay> = (0..2_000)
        .map(|n| {
            let mut made = WeatherDay::blank(day(n));
            (made.tmin, made.tmax) = (Some(Celsius::new(low_c)), Some(Celsius::new(high_c)));
            made
        })
        .collect();
    let place = Place { latitude_deg: 40.0, longitude_deg: -100.0, elevation_m: 300.0 };
    Weather::build(place, &days, Almanac::embedded()).unwrap()
}

/// Neither frost nor heat: what is judged here does not look at the sky.
fn mild() -> Weather {
    steady(9.0, 17.0)
}

/// The rules a check stops for.
fn stops(found: &[Finding]) -> Vec<Rule> {
    let mut names: Vec<Rule> = found.iter().filter(|f| f.level == Level::Stop).map(|f| Rule::named(&f.rule)).collect();
    names.sort();
    names.dedup();
    names
}

/// What one history and one question came to: nothing, or how check and judge differ.
fn differ(number: u64, weather: &Weather, seen: &mut Seen) -> Result<(), String> {
    let history = History::made(number);
    let yard = history.yard();
    let judge = Judge::of(&history, &yard);
    let scene = Scene { yard: &yard, weather, almanac: Almanac::embedded(), on: day(history.today) };
    let except = history.except.as_deref();
    let check = |on| match &history.asked {
        Asked::Apply(work) => check_application(&scene, &work.applied(), on, except),
        Asked::Sow { area, grass } => {
            let (area, grass) = (made::key("area", *area), GRASSES[*grass].to_owned());
            let seed =
                Seeded { area, grass, rate_g_m2: 20.0, spot_m2: None, sowing: Sowing::Bare, remark: String::new() };
            check_sowing(&scene, &seed, on, except)
        }
    };

    // A day at random, past or to come: the same rules stop it.
    let verdict = judge.every_window(history.random_day);
    let told = stops(&check(day(history.random_day)));
    if told != verdict.rules {
        return Err(format!("on {} the check stops for {told:?}, the judge for {verdict:?}", day(history.random_day)));
    }
    seen.count(&verdict);
    if history.is_of_work_done() {
        return Ok(());
    }

    // The day suggested: no rule is violated on it, and on every day before it one is.
    let suggested = nearest_clear_day(day(history.from), check);
    let mut first = history.from;
    let mut verdict = judge.on(first);
    let mut endless = verdict.endless;
    while !verdict.rules.is_empty() && first < history.from + DAYS_AHEAD && (suggested.is_some() || !endless) {
        first += 1;
        verdict = judge.on(first);
        endless |= verdict.endless;
    }
    match suggested {
        Some(clear) if clear != day(first) => {
            Err(format!("from {} the check suggests {clear}, the judge {}", day(history.from), day(first)))
        }
        Some(clear) => {
            seen.later += usize::from(first > history.from);
            let verdict = judge.every_window(first);
            if verdict.rules.is_empty() { Ok(()) } else { Err(format!("{clear} is suggested against {verdict:?}")) }
        }
        // No day is suggested only where a rule stands in the way that names no end.
        None if endless => Ok(()),
        None => Err(format!("from {} the check suggests nothing, the judge {}", day(history.from), day(first))),
    }
}

/// How often each rule stood in the way, so that a test that asks nothing cannot pass.
#[derive(Debug, Default)]
struct Seen {
    rules: BTreeMap<Rule, usize>,
    /// Random days on which nothing did.
    clear: usize,
    /// Suggestions later than the first day asked about.
    later: usize,
}

impl Seen {
    fn count(&mut self, verdict: &Verdict) {
        self.clear += usize::from(verdict.rules.is_empty());
        verdict.rules.iter().for_each(|rule| *self.rules.entry(*rule).or_default() += 1);
    }

    fn add(&mut self, other: &Self) {
        self.clear += other.clear;
        self.later += other.later;
        other.rules.iter().for_each(|(rule, n)| *self.rules.entry(*rule).or_default() += n);
    }
}

/// Judged by both: the rules that stop a random day are the same, and the suggested day is the first one no rule stands against.
#[test]
fn checks_and_judge_agree_on_a_hundred_thousand_histories() {
    let weather = mild();
    let part = |from: u64| {
        let mut seen = Seen::default();
        let numbers = (from..HISTORIES).step_by(PARTS);
        let differing: Vec<_> =
            numbers.filter_map(|n| differ(n, &weather, &mut seen).err().map(|why| (n, why))).take(3).collect();
        (seen, differing)
    };
    let (mut seen, mut differing) = (Seen::default(), Vec::new());
    std::thread::scope(|scope| {
        let part = &part;
        let parts: Vec<_> = (0..PARTS as u64).map(|n| scope.spawn(move || part(n))).collect();
        for part in parts {
            let (part_seen, part_differing) = part.join().unwrap();
            seen.add(&part_seen);
            differing.extend(part_differing);
        }
    });
    let first = differing.first().map(|(number, _)| History::made(*number));
    assert!(differing.is_empty(), "{differing:#?}\nthe first of them: {first:#?}");
    assert_eq!(seen.rules.len(), 8, "a rule never came up: {seen:?}");
    assert!(seen.rules.values().all(|n| *n > 1_000) && seen.clear > 20_000 && seen.later > 10_000, "{seen:?}");
}

//! Finding the fault of a sprinkler system: from a symptom and what has been tried to the likeliest cause and the next test.
//!
//! Pure over the table, the symptom and the findings: a session is the list of its findings, and taking one back is leaving it out.

use std::collections::BTreeMap;

use almanac::{FaultCause, FaultSymptom, FaultTest, Faults};
use jiff::civil::Date;
use jiff::{Span, ToSpan};
use reckon::ReckonError;
use reckon::diagnosis::{Answer, Model, Options, Presupposed, Test, certain, next_tests, posterior, speaks};
use reckon::leak_cost::leak_cost;
use reckon::meter::meter_leak;
use reckon::units::{Litres, LitresPerMinute, Minutes};
use serde::{Deserialize, Serialize};

/// A cause this probable is taken as found.
pub const FOUND: f64 = 0.85;
/// A test that can be expected to tell less is not worth a walk (bits).
pub const WORTH_BITS: f64 = 0.05;

/// A test made and what came out, by the keys of the table.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finding {
    /// The test.
    pub test: String,
    /// Its outcome.
    pub outcome: String,
}

/// Where a session stands.
#[derive(Clone, Debug)]
pub struct Standing<'a> {
    /// What was seen first.
    pub symptom: &'a FaultSymptom,
    /// The causes, likeliest first.
    pub ranked: Vec<Ranked<'a>>,
    /// The tests worth making, the one that tells most a minute first.
    pub next: Vec<Worth<'a>>,
    /// Whether that is enough.
    pub verdict: Verdict,
}

/// A cause and what is held for and against it.
#[derive(Clone, Debug)]
pub struct Ranked<'a> {
    /// The cause.
    pub cause: &'a FaultCause,
    /// Its probability.
    pub probability: f64,
    /// What each finding says, strongest first: above zero for it, below against; 1 is a tenfold change of the odds.
    pub speaks: Vec<Speaks<'a>>,
}

/// What one finding says of a cause.
#[derive(Clone, Copy, Debug)]
pub struct Speaks<'a> {
    /// The test.
    pub test: &'a FaultTest,
    /// The outcome's words.
    pub outcome: &'a str,
    /// Logarithm to base ten of the likelihood ratio.
    pub bans: f64,
}

/// A test and what it can be expected to tell.
#[derive(Clone, Copy, Debug)]
pub struct Worth<'a> {
    /// The test.
    pub test: &'a FaultTest,
    /// Expected information (bits).
    pub bits: f64,
    /// The same for each minute it takes.
    pub bits_per_minute: f64,
}

/// Whether to act or to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The first cause is as good as certain.
    Found,
    /// No test left tells enough; begin with the first cause, then the second.
    NothingMoreToLearn,
    /// Make the first of the next tests.
    GoOn,
}

/// Weighs the findings: causes, what speaks for them, and the next test.
///
/// `without` names tests that cannot be made, such as those that need a meter nobody has.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `symptom`, `test` or `outcome` for a key the table does not have, `answers` for a test
/// given twice, and what [`Model::new`] says of a table that does not hold together.
pub fn standing<'a>(
    faults: &'a Faults,
    symptom: &str,
    findings: &[Finding],
    without: &[String],
) -> Result<Standing<'a>, ReckonError> {
    let symptom = faults.symptom(symptom).ok_or_else(|| unknown("symptom", symptom))?;
    let bench = Bench::new(faults, symptom)?;
    let answers = findings.iter().map(|f| bench.answer(f)).collect::<Result<Vec<_>, _>>()?;
    let shares = posterior(&bench.model, &answers)?;
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by(|a, b| shares[*b].total_cmp(&shares[*a]).then(a.cmp(b)));
    let ranked = order.iter().map(|&c| bench.ranked(c, shares[c], &answers)).collect::<Result<Vec<_>, _>>()?;
    let shut = without.iter().filter_map(|id| bench.places.get(id.as_str()).copied()).collect();
    let options = Options { bits_min: WORTH_BITS, without: shut, ..Options::default() };
    let next: Vec<Worth<'a>> = next_tests(&bench.model, &answers, &options)?
        .iter()
        .map(|n| Worth { test: bench.tests[n.test], bits: n.expected_information_bits, bits_per_minute: n.per_minute })
        .collect();
    let verdict = match certain(&shares, FOUND)? {
        Some(_) => Verdict::Found,
        None if next.is_empty() => Verdict::NothingMoreToLearn,
        None => Verdict::GoOn,
    };
    Ok(Standing { symptom, ranked, next, verdict })
}

/// The rows of the table that bear on one symptom, as a model.
struct Bench<'a> {
    causes: Vec<&'a FaultCause>,
    tests: Vec<&'a FaultTest>,
    /// Place of each test in `tests`.
    places: BTreeMap<&'a str, usize>,
    model: Model,
}

impl<'a> Bench<'a> {
    fn new(faults: &'a Faults, symptom: &'a FaultSymptom) -> Result<Self, ReckonError> {
        let (causes, weights): (Vec<&FaultCause>, Vec<f64>) =
            faults.causes.iter().filter_map(|c| c.weights.get(&symptom.id).map(|w| (c, *w))).unzip();
        let tests = symptom
            .checklist
            .iter()
            .map(|id| faults.test(id).ok_or_else(|| unknown("test", id)))
            .collect::<Result<Vec<_>, _>>()?;
        let places: BTreeMap<&str, usize> = tests.iter().enumerate().map(|(i, t)| (t.id.as_str(), i)).collect();
        let groups: Vec<f64> = faults.groups.iter().map(|g| g.weaker_counts).collect();
        let rows = tests.iter().map(|t| row(faults, &causes, &places, t)).collect::<Result<Vec<_>, _>>()?;
        let model = Model::new(&weights, rows, &groups)?;
        Ok(Self { causes, tests, places, model })
    }

    fn answer(&self, finding: &Finding) -> Result<Answer, ReckonError> {
        let test = *self.places.get(finding.test.as_str()).ok_or_else(|| unknown("test", &finding.test))?;
        let outcome = self.tests[test].outcome(&finding.outcome);
        Ok(Answer { test, outcome: outcome.ok_or_else(|| unknown("outcome", &finding.outcome))? })
    }

    fn ranked(&self, cause: usize, probability: f64, answers: &[Answer]) -> Result<Ranked<'a>, ReckonError> {
        let told = speaks(&self.model, answers, cause)?;
        let words = |(answer, bans): &(Answer, f64)| {
            let test = self.tests[answer.test];
            Speaks { test, outcome: &test.outcomes[answer.outcome].name, bans: *bans }
        };
        Ok(Ranked { cause: self.causes[cause], probability, speaks: told.iter().map(words).collect() })
    }
}

fn row(
    faults: &Faults,
    causes: &[&FaultCause],
    places: &BTreeMap<&str, usize>,
    test: &FaultTest,
) -> Result<Test, ReckonError> {
    let mut presupposes = Vec::new();
    for after in &test.after {
        let before = *places.get(after.test.as_str()).ok_or_else(|| unknown("test", &after.test))?;
        let known = faults.test(&after.test);
        let place = |id: &String| known.and_then(|t| t.outcome(id)).ok_or_else(|| unknown("outcome", id));
        let outcomes = after.outcomes.iter().map(place).collect::<Result<Vec<_>, _>>()?;
        presupposes.push(Presupposed { test: before, outcomes });
    }
    let place = |id: &String| faults.groups.iter().position(|g| g.id == *id).ok_or_else(|| unknown("group", id));
    let given = causes.iter().enumerate().filter_map(|(i, c)| test.given.get(&c.id).map(|row| (i, row.clone())));
    Ok(Test {
        minutes: Minutes::new(test.minutes),
        default: test.default.clone(),
        rows: given.collect(),
        presupposes,
        group: test.group.as_ref().map(place).transpose()?,
    })
}

fn unknown(field: &'static str, key: &str) -> ReckonError {
    ReckonError::Inconsistent { field, message: format!("the table of faults has no {key:?} here") }
}

/// How a leak was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LeakReading {
    /// Caught in a vessel, or read off a dial.
    Flow(LitresPerMinute),
    /// Two readings of the meter with everything shut.
    Meter {
        /// At the start.
        start: Litres,
        /// At the end.
        end: Litres,
        /// The wait between.
        minutes: Minutes,
    },
}

/// What a leak of the manifold costs and by when it is to be mended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ManifoldLeak {
    /// Water lost a day.
    pub litres_per_day: Litres,
    /// What that costs, in the currency of the price.
    pub cost_per_day: f64,
    /// Last day to mend it.
    pub repair_by: Date,
}

/// Water, money and the last day for a leak found with all zones off.
///
/// The day is that of [`leak_cost`], counted from the day it was seen; where the town gives fewer days, the town's rule wins.
///
/// # Errors
/// [`ReckonError`] naming the field of the reading, the price or the repair that is out of range; `seen_on` when the calendar ends.
pub fn manifold_leak(
    reading: LeakReading,
    price_per_m3: f64,
    repair_cost: f64,
    seen_on: Date,
    town_days: Option<u32>,
) -> Result<ManifoldLeak, ReckonError> {
    let flow = match reading {
        LeakReading::Flow(flow) => flow,
        LeakReading::Meter { start, end, minutes } => meter_leak(start, end, minutes)?.flow,
    };
    let leak = leak_cost(flow, price_per_m3, repair_cost)?;
    let days: Span = i64::from(town_days.map_or(leak.days, |town| town.min(leak.days))).days();
    let repair_by = seen_on.checked_add(days).map_err(|_| ReckonError::Inconsistent {
        field: "seen_on",
        message: format!("no calendar day {} days after {seen_on}", leak.days),
    })?;
    Ok(ManifoldLeak { litres_per_day: leak.per_day, cost_per_day: leak.cost_per_day, repair_by })
}

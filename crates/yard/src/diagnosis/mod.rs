//! What is wrong with a bad patch of lawn: the causes ranked, what speaks for and against each, the next best look.
//!
//! The causes, findings and figures are tables of the almanac; the weighing is [`reckon::diagnosis`]. One cause is
//! taken to be at work. [`decide`] turns a cause and a count into what to do.

mod conditions;
pub mod counting;
mod decide;
mod look;
mod of_yard;
mod told;

pub use conditions::{Conditions, Nitrogen, SoilWater};
pub use decide::{Count, Decision, Vigour, decide};
pub use look::{Look, WORTH_TELLING, decision_for, decision_of, in_words, look, season_and_place, seen_of};
pub use of_yard::conditions_of;
pub use told::{Told, told};

use std::collections::BTreeMap;

use almanac::{Almanac, Cause, Finding, Outcome};
use reckon::ReckonError;
use reckon::diagnosis::{Answer, Model, Options, Test, next_tests, posterior, speaks};
use reckon::units::Minutes;

/// Share of every row of likelihoods that is taken as usual: a sign misread, a patch that does not keep to the book.
/// Set on the cases that are not held out.
pub const MISREAD: f64 = 0.05;
/// How much an answer counts beside a stronger one of its group. Set on the same cases.
pub const WEAKER_COUNTS: f64 = 0.7;
/// Exponent on the posterior, so that what is given as 70–90 % is right about that often (temperature scaling: C. Guo,
/// G. Pleiss, Y. Sun and K. Q. Weinberger 2017, "On Calibration of Modern Neural Networks", recalled). Set on the same
/// cases.
pub const SHARPNESS: f64 = 1.6;
/// Smallest factor of a month: a season moves with the weather, and a year can be odd.
pub const MONTH_LEAST: f64 = 0.03;
/// Below this the first cause is not told as found.
pub const LIKELY: f64 = 0.4;
/// Two causes nearer than this factor are not told apart while a look is left that could.
pub const APART: f64 = 1.5;
/// A look that tells less (bits) is not worth asking for.
pub const BITS_LEAST: f64 = 0.1;

/// What came of one finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Key of the finding.
    pub finding: String,
    /// Key of the outcome; `None` when it was not looked at and shall not be asked for.
    pub outcome: Option<String>,
}

impl Seen {
    /// A finding with its outcome.
    pub fn new(finding: &str, outcome: &str) -> Self {
        Self { finding: finding.to_string(), outcome: Some(outcome.to_string()) }
    }

    /// A finding that cannot be looked at.
    pub fn not_looked(finding: &str) -> Self {
        Self { finding: finding.to_string(), outcome: None }
    }
}

/// One answer and what it says about a cause.
#[derive(Clone, Copy, Debug)]
pub struct Says<'a> {
    /// The finding.
    pub finding: &'a Finding,
    /// What was seen.
    pub outcome: &'a Outcome,
    /// Above zero for the cause, below zero against; 1 is a tenfold change of the odds.
    pub bans: f64,
}

/// A cause with its probability.
#[derive(Clone, Debug)]
pub struct Ranked<'a> {
    /// The cause.
    pub cause: &'a Cause,
    /// Probability.
    pub probability: f64,
    /// What the answers say about it, strongest first.
    pub says: Vec<Says<'a>>,
}

/// A look that would tell more.
#[derive(Clone, Copy, Debug)]
pub struct NextLook<'a> {
    /// The finding.
    pub finding: &'a Finding,
    /// What it can be expected to tell (bits).
    pub bits: f64,
    /// The same for a minute of work (bits/min).
    pub bits_per_minute: f64,
}

/// Whether the answers are enough to name a cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The first cause is likely.
    Likely,
    /// Not enough to tell.
    NotEnough,
}

/// The outcome of a diagnosis.
#[derive(Clone, Debug)]
pub struct Diagnosis<'a> {
    /// Every cause, the likeliest first.
    pub ranked: Vec<Ranked<'a>>,
    /// Whether that is enough.
    pub verdict: Verdict,
    /// Looks that would still tell at least [`BITS_LEAST`], the most for a minute of work first.
    pub next: Vec<NextLook<'a>>,
}

/// Ranks the causes of a bad patch.
///
/// Not enough to tell when the first cause is under [`LIKELY`], or when the second is within a factor of [`APART`] and
/// a look is left that tells [`BITS_LEAST`] or more.
///
/// Left out: two causes at once; a southern or warm calendar (the months are those of the cool north).
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `seen` for a finding or outcome the tables do not have;
/// [`ReckonError::OutOfRange`] for a condition out of range.
pub fn diagnose<'a>(tables: &'a Almanac, conditions: &Conditions, seen: &[Seen]) -> Result<Diagnosis<'a>, ReckonError> {
    let holds = conditions.holds()?;
    let weights: Vec<f64> = tables.causes.iter().map(|c| conditions.weight(c, &holds)).collect();
    let model = model(tables, &weights)?;
    let mut answers = Vec::new();
    let mut without = Vec::new();
    for told in seen.iter().chain(conditions.log(seen).as_ref()) {
        let (test, finding) = known(tables, &told.finding)?;
        match &told.outcome {
            None => without.push(test),
            Some(id) => match finding.outcome(id) {
                Some(outcome) => answers.push(Answer { test, outcome }),
                None => return Err(refuse(format!("{} has no outcome {id}", finding.id))),
            },
        }
    }
    let probabilities = sharpened(&posterior(&model, &answers)?);
    let mut order: Vec<usize> = (0..probabilities.len()).collect();
    order.sort_by(|&a, &b| probabilities[b].total_cmp(&probabilities[a]).then(a.cmp(&b)));
    let ranked = order
        .iter()
        .map(|&at| {
            let says = speaks(&model, &answers, at)?
                .into_iter()
                .map(|(answer, bans)| {
                    let finding = &tables.findings[answer.test];
                    Says { finding, outcome: &finding.outcomes[answer.outcome], bans }
                })
                .collect();
            Ok(Ranked { cause: &tables.causes[at], probability: probabilities[at], says })
        })
        .collect::<Result<Vec<_>, ReckonError>>()?;
    let options = Options { bits_min: BITS_LEAST, without, ..Options::default() };
    let next: Vec<NextLook<'a>> = next_tests(&model, &answers, &options)?
        .into_iter()
        .map(|n| NextLook {
            finding: &tables.findings[n.test],
            bits: n.expected_information_bits,
            bits_per_minute: n.per_minute,
        })
        .collect();
    let first = ranked.first().map_or(0.0, |r| r.probability);
    let second = ranked.get(1).map_or(0.0, |r| r.probability);
    let close = second * APART > first && !next.is_empty();
    let verdict = if first < LIKELY || close { Verdict::NotEnough } else { Verdict::Likely };
    Ok(Diagnosis { ranked, verdict, next })
}

/// The tables as a model, each row a little blurred toward what is usual.
fn model(tables: &Almanac, weights: &[f64]) -> Result<Model, ReckonError> {
    let mut groups: BTreeMap<&str, usize> = BTreeMap::new();
    for name in tables.findings.iter().filter_map(|f| f.group.as_deref()) {
        let next = groups.len();
        groups.entry(name).or_insert(next);
    }
    let tests = tables
        .findings
        .iter()
        .map(|finding| {
            let blur =
                |p: Vec<f64>| p.iter().zip(&finding.usual).map(|(p, u)| p + MISREAD * (u - p)).collect::<Vec<f64>>();
            let told = tables.causes.iter().enumerate().filter(|(_, c)| c.signs.contains_key(&finding.id));
            Test {
                minutes: Minutes::new(finding.minutes),
                default: finding.usual.clone(),
                rows: told.map(|(at, cause)| (at, blur(finding.shares(cause)))).collect(),
                presupposes: Vec::new(),
                group: finding.group.as_deref().and_then(|g| groups.get(g).copied()),
            }
        })
        .collect();
    Model::new(weights, tests, &vec![WEAKER_COUNTS; groups.len()])
}

/// The shares raised to [`SHARPNESS`] and brought back to a sum of one.
fn sharpened(shares: &[f64]) -> Vec<f64> {
    let raised: Vec<f64> = shares.iter().map(|p| p.powf(SHARPNESS)).collect();
    let sum: f64 = raised.iter().sum();
    raised.iter().map(|p| p / sum).collect()
}

fn known<'a>(tables: &'a Almanac, id: &str) -> Result<(usize, &'a Finding), ReckonError> {
    let at = tables.findings.iter().position(|f| f.id == id);
    at.map(|at| (at, &tables.findings[at])).ok_or_else(|| refuse(format!("there is no finding {id}")))
}

fn refuse(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: "seen", message }
}

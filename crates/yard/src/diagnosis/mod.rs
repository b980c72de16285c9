//! What is wrong with a bad patch of lawn: the causes ranked, what speaks for and against each, the next best look.
//!
//! The causes, findings and figures are tables of the almanac; the weighing is [`reckon::diagnosis`]. One cause is
//! taken to be at work. [`decide`] turns a cause and a count into what to do.

mod conditions;
pub mod counting;
mod decide;
mod look;
mod of_yard;
pub mod plan;
pub mod plant_place;
pub mod plants;
mod season;
mod told;
pub mod weeds;
mod weigh;

pub use conditions::{Conditions, Nitrogen, SoilWater};
pub use decide::{Count, Decision, Vigour, decide, decide_in};
pub use look::{Look, WORTH_TELLING, in_words, look, season_and_place, seen_of};
pub use of_yard::conditions_of;
pub use plan::{Patch, Plan, plan_for, plan_of};
pub use told::{Told, told};

use almanac::{Almanac, Cause, Finding, Outcome};
use reckon::ReckonError;

use weigh::weigh;

/// Share of every row of likelihoods that is taken as usual: a sign misread, a patch that does not keep to the book. It bounds what one answer can say.
/// Set on the cases that are not held out, each also with one answer left out and with one misread, by the logarithm of the chance given to
/// the stated cause.
pub const MISREAD: f64 = 0.15;
/// How much an answer counts beside a stronger one of its group: signs of one group tell much the same thing, and to take them as independent makes
/// the sum too sure (D. J. Hand and K. Yu 2001, "Idiot's Bayes – not so stupid after all?", International Statistical Review 69(3)). Set
/// on the same cases.
pub const WEAKER_COUNTS: f64 = 0.7;
/// Exponent on the posterior, so that what is given as 70–90 % is right about that often (temperature scaling: C. Guo,
/// G. Pleiss, Y. Sun and K. Q. Weinberger 2017, "On Calibration of Modern Neural Networks", recalled). Set on the same
/// cases.
pub const SHARPNESS: f64 = 1.6;
/// Share of looks taken to go astray whatever was answered: a cause the tables do not have, another patch described. No chain of strong signs can
/// give more than this leaves (the lapse rate of F. A. Wichmann and N. J. Hill 2001, "The psychometric function I", Perception & Psychophysics
/// 63(8), recalled; the figure is judgement).
pub const ASTRAY: f64 = 0.02;
/// Smallest factor of a month: a season moves with the weather, and a year can be odd.
pub const MONTH_LEAST: f64 = 0.03;
/// Below this the first cause is not told as found: no likelier than not.
pub const LIKELY: f64 = 0.5;
/// Two causes nearer than this factor are not told apart while a look is left that could.
pub const APART: f64 = 1.5;
/// A look that tells less (bits) is not worth asking for.
pub const BITS_LEAST: f64 = 0.1;

/// How often a cause comes beside another, against how often it comes alone: judgement, weak turf takes the next trouble as readily as any.
pub const TOGETHER: f64 = 1.0;
/// Odds of two causes against the first alone from which it is told that it may be two things: set so that fewer than one in twenty of the tuned
/// cases, which have one cause, are told to be two.
pub const TWO_FROM: f64 = 0.12;

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

/// A second cause that may be at work beside the first.
#[derive(Clone, Debug)]
pub struct Beside<'a, C> {
    /// The second cause.
    pub cause: &'a C,
    /// Chance of both against the first alone.
    pub chance: f64,
    /// Answers the first cause leaves open and the second explains.
    pub left: Vec<(&'a Finding, &'a Outcome)>,
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
    /// What may be at work beside the first cause, where that leaves answers open.
    pub second: Option<Beside<'a, Cause>>,
}

/// Ranks the causes of a bad patch.
///
/// Not enough to tell when the first cause is under [`LIKELY`], or when the second is within a factor of [`APART`] and
/// a look is left that tells [`BITS_LEAST`] or more.
///
/// The chances are of one cause at work; where it leaves answers open a second one is named beside it.
///
/// Left out: three causes at once; a warm calendar (the months are those of the cool north).
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `seen` for a finding or outcome the tables do not have;
/// [`ReckonError::OutOfRange`] for a condition out of range.
pub fn diagnose<'a>(tables: &'a Almanac, conditions: &Conditions, seen: &[Seen]) -> Result<Diagnosis<'a>, ReckonError> {
    let holds = conditions.holds()?;
    let weights: Vec<f64> = tables.causes.iter().map(|c| conditions.weight(c, &holds)).collect();
    let signs: Vec<_> = tables.causes.iter().map(|c| &c.signs).collect();
    let told: Vec<Seen> = seen.iter().cloned().chain(conditions.log(seen)).collect();
    let weighed = weigh(&tables.findings, &signs, &weights, &told, SHARPNESS)?;
    let row = |(at, probability, says)| Ranked { cause: &tables.causes[at], probability, says };
    let beside = |(at, chance, left)| Beside { cause: &tables.causes[at], chance, left };
    Ok(Diagnosis {
        second: weighed.second.map(beside),
        ranked: weighed.ranked.into_iter().map(row).collect(),
        verdict: weighed.verdict,
        next: weighed.next,
    })
}

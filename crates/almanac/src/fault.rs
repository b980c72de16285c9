//! Faults of a sprinkler system: symptoms, causes, and the tests that tell the causes apart.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// The whole table, as the file holds it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Faults {
    /// What is seen.
    #[serde(rename = "symptom")]
    pub symptoms: Vec<FaultSymptom>,
    /// Tests that tell much the same.
    #[serde(rename = "group")]
    pub groups: Vec<FaultGroup>,
    /// What can be tried, measured or looked at.
    #[serde(rename = "test")]
    pub tests: Vec<FaultTest>,
    /// What may be wrong.
    #[serde(rename = "cause")]
    pub causes: Vec<FaultCause>,
}

/// Where the words and limits of a row come from. Weights and likelihoods are judgement throughout, as the file's head says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FaultBasis {
    /// Read in the source named beside it.
    Published,
    /// Recalled, not looked up.
    FromMemory,
    /// What the trade does; no single source.
    CommonPractice,
}

/// What a person sees first.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultSymptom {
    /// Key.
    pub id: String,
    /// Name in plain words.
    pub name: String,
    /// What it looks like.
    pub asks: String,
    /// The tests that bear on it, in the fixed order of a printed checklist.
    pub checklist: Vec<String>,
    /// Source of the order.
    pub source: String,
    /// Read, recalled or the trade's.
    pub basis: FaultBasis,
}

/// Tests whose answers are not independent.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultGroup {
    /// Key.
    pub id: String,
    /// What they have in common.
    pub name: String,
    /// Exponent on all answers but the strongest (0..=1).
    pub weaker_counts: f64,
    /// Source.
    pub source: String,
    /// Read, recalled or the trade's.
    pub basis: FaultBasis,
}

/// One thing to try, measure or look at.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultTest {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// Time it takes.
    pub minutes: f64,
    /// Key of its group.
    #[serde(default)]
    pub group: Option<String>,
    /// Worth making only after one of these outcomes.
    #[serde(default)]
    pub after: Vec<FaultAfter>,
    /// How to make it, line by line.
    pub how: Vec<String>,
    /// What to do first so that nobody is hurt.
    pub safety: Vec<String>,
    /// What can come out.
    pub outcomes: Vec<FaultOutcome>,
    /// Likelihood of each outcome under a cause without a row of its own.
    pub default: Vec<f64>,
    /// Likelihood of each outcome by cause.
    #[serde(default)]
    pub given: BTreeMap<String, Vec<f64>>,
    /// Source of the procedure and its limits.
    pub source: String,
    /// Read, recalled or the trade's.
    pub basis: FaultBasis,
}

/// An earlier test and the outcomes that make a later one worth while.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultAfter {
    /// The earlier test.
    pub test: String,
    /// Any of its outcomes.
    pub outcomes: Vec<String>,
}

/// What can come out of a test.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultOutcome {
    /// Key, unique in its test.
    pub id: String,
    /// Words for the button.
    pub name: String,
}

/// What may be wrong, and what ends it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultCause {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// Prior weight by symptom; a symptom not named cannot come of it.
    pub weights: BTreeMap<String, f64>,
    /// What to do before the repair so that nobody is hurt.
    pub safety: Vec<String>,
    /// The repair, step by step.
    pub steps: Vec<String>,
    /// Parts to have at hand.
    pub parts: Vec<String>,
    /// What it is likely to cost in parts.
    pub cost: RepairCost,
    /// Who does it.
    pub who: RepairBy,
    /// Source.
    pub source: String,
    /// Read, recalled or the trade's.
    pub basis: FaultBasis,
}

/// Class of what the parts cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RepairCost {
    /// Nothing to buy.
    None,
    /// A coil, a seal, a fuse.
    Low,
    /// A pipe, a cable, several heads.
    Middle,
    /// A controller, a main, a pump.
    High,
}

/// Who may do a repair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RepairBy {
    /// The person who owns the yard.
    Owner,
    /// A licensed plumber, electrician, irrigator or backflow tester.
    Licensed,
}

impl Faults {
    /// The symptom with this key.
    pub fn symptom(&self, id: &str) -> Option<&FaultSymptom> {
        self.symptoms.iter().find(|row| row.id == id)
    }

    /// The test with this key.
    pub fn test(&self, id: &str) -> Option<&FaultTest> {
        self.tests.iter().find(|row| row.id == id)
    }

    /// The cause with this key.
    pub fn cause(&self, id: &str) -> Option<&FaultCause> {
        self.causes.iter().find(|row| row.id == id)
    }
}

impl FaultTest {
    /// Place of the outcome with this key.
    pub fn outcome(&self, id: &str) -> Option<usize> {
        self.outcomes.iter().position(|row| row.id == id)
    }
}

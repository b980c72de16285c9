//! Which of several causes is at work, and which test to make next: Bayes' rule and expected information.
//!
//! A [`Model`] holds causes with prior weights and tests whose outcomes have a likelihood under each cause. Exactly one
//! cause is taken to be at work. [`posterior`] weighs the causes after some answers, [`second_cause`] finds what else may be at work, [`speaks`] tells what each answer
//! adds for or against one cause, [`next_tests`] ranks the tests not yet made, [`certain`] says whether that is enough.
//! Nothing here knows what the causes are; the tables do.

mod pairs;

use std::collections::BTreeMap;

pub use pairs::{LEFT_OPEN, Second, TOGETHER, second_cause};

use crate::error::{Bound, ReckonError};
use crate::units::Minutes;

/// Prior weight of a cause; the weights need not sum to one.
pub const WEIGHT: Bound = Bound::new("weight", 0.0, 1e6, "", "prior weight of a cause");
/// Probability of an outcome under a cause.
pub const LIKELIHOOD: Bound = Bound::new("likelihood", 0.0, 1.0, "", "probability of an outcome under a cause");
/// Time a test takes.
pub const TEST_MINUTES: Bound = Bound::new("minutes", 0.1, 44_640.0, "min", "time a test takes");
/// How much of an answer counts beside a stronger one of its group.
pub const WEAKER_COUNTS: Bound =
    Bound::new("weaker_counts", 0.0, 1.0, "", "exponent on the weaker answers of a group of tests");
/// Probability at which a cause is taken as found.
pub const THRESHOLD: Bound = Bound::new("threshold", 0.5, 1.0, "", "probability at which a cause is taken as found");
/// Most causes, tests or groups of one model.
pub const MOST: usize = 1_000;
/// Most outcomes of one test.
pub const OUTCOMES_MOST: usize = 50;
/// A likelihood below this counts as this: one slip of hand or eye in ten thousand tests. Without it a single misread
/// meter would rule out a cause for good.
pub const LIKELIHOOD_FLOOR: f64 = 1e-4;
/// How far a row of likelihoods may be from a sum of one.
const ROW_SLACK: f64 = 1e-6;

/// A test that can be made, and what each cause makes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Time it takes.
    pub minutes: Minutes,
    /// Likelihood of each outcome under a cause that has no row of its own; sums to one.
    pub default: Vec<f64>,
    /// Likelihood of each outcome by the index of the cause; each row sums to one.
    pub rows: BTreeMap<usize, Vec<f64>>,
    /// Worth making only when all of these have been seen.
    pub presupposes: Vec<Presupposed>,
    /// Group of tests that tell much the same; an index of the model's groups.
    pub group: Option<usize>,
}

/// An earlier test and the outcomes that make a later one worth while.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Presupposed {
    /// The earlier test.
    pub test: usize,
    /// Any of these outcomes.
    pub outcomes: Vec<usize>,
}

/// A test made, and what came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Answer {
    /// The test.
    pub test: usize,
    /// The outcome seen.
    pub outcome: usize,
}

/// Causes, tests and groups whose figures have been checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// Share of each cause before any answer; sums to one.
    prior: Vec<f64>,
    tests: Vec<Checked>,
    /// Exponent on the weaker answers of each group.
    groups: Vec<f64>,
}

/// A test with its logarithms ready.
#[derive(Clone, Debug, PartialEq)]
struct Checked {
    minutes: f64,
    outcomes: usize,
    /// Natural logarithm of the floored likelihood, by cause and outcome.
    log: Vec<Vec<f64>>,
    /// What each outcome alone would tell, for finding the strongest of a group.
    strength: Vec<f64>,
    presupposes: Vec<Presupposed>,
    group: Option<usize>,
}

impl Model {
    /// Checks the figures and makes a model.
    ///
    /// `weights` has one prior weight a cause. `groups` has, for each group of tests that are not independent, the exponent on
    /// the likelihoods of all its answers but the strongest: 0 lets only the strongest count, 1 lets each count in full.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] or [`ReckonError::Inconsistent`] naming `weight`, `minutes`, `likelihood`, `outcomes`,
    /// `cause`, `presupposes`, `group` or `weaker_counts`.
    pub fn new(weights: &[f64], tests: Vec<Test>, groups: &[f64]) -> Result<Self, ReckonError> {
        for (field, count) in [("weight", weights.len()), ("test", tests.len()), ("group", groups.len())] {
            if count > MOST {
                return Err(refuse(field, format!("{count} of them; at most {MOST}")));
            }
        }
        let mut total = 0.0;
        for &weight in weights {
            total += WEIGHT.check(weight)?;
        }
        if total <= 0.0 {
            return Err(refuse("weight", "no cause has a weight above zero".to_string()));
        }
        let prior: Vec<f64> = weights.iter().map(|w| w / total).collect();
        let outcomes: Vec<usize> = tests.iter().map(|t| t.default.len()).collect();
        let groups = groups.iter().map(|&g| WEAKER_COUNTS.check(g)).collect::<Result<Vec<_>, _>>()?;
        let tests = tests
            .into_iter()
            .enumerate()
            .map(|(index, test)| check_test(index, test, &prior, &outcomes, groups.len()))
            .collect::<Result<_, _>>()?;
        Ok(Self { prior, tests, groups })
    }

    /// Share of each cause before any answer.
    pub fn prior(&self) -> &[f64] {
        &self.prior
    }

    /// Number of tests.
    pub fn tests(&self) -> usize {
        self.tests.len()
    }

    /// Probability of an outcome under a cause as the model counts it, after the floor.
    pub fn likelihood(&self, cause: usize, answer: Answer) -> Option<f64> {
        self.tests.get(answer.test)?.log.get(cause)?.get(answer.outcome).map(|l| l.exp())
    }

    /// The answers in order of test, each known to the model and given once.
    fn checked(&self, answers: &[Answer]) -> Result<Vec<Answer>, ReckonError> {
        let mut sorted = answers.to_vec();
        sorted.sort_unstable();
        for (index, answer) in sorted.iter().enumerate() {
            let Some(test) = self.tests.get(answer.test) else {
                return Err(refuse("answers", format!("test {} of {}", answer.test, self.tests.len())));
            };
            if answer.outcome >= test.outcomes {
                let message = format!("test {} has {} outcomes, not {}", answer.test, test.outcomes, answer.outcome);
                return Err(refuse("answers", message));
            }
            if index > 0 && sorted[index - 1].test == answer.test {
                return Err(refuse("answers", format!("test {} is answered twice", answer.test)));
            }
        }
        Ok(sorted)
    }

    /// How much each answer counts: in full, or damped beside a stronger one of its group.
    fn exponents(&self, answers: &[Answer]) -> Vec<f64> {
        let strength = |a: &Answer| self.tests[a.test].strength[a.outcome];
        let mut strongest: BTreeMap<usize, Answer> = BTreeMap::new();
        for answer in answers {
            if let Some(group) = self.tests[answer.test].group {
                let best = strongest.entry(group).or_insert(*answer);
                if strength(answer) > strength(best) {
                    *best = *answer;
                }
            }
        }
        let exponent = |answer: &Answer| match self.tests[answer.test].group {
            Some(group) if strongest[&group] != *answer => self.groups[group],
            _ => 1.0,
        };
        answers.iter().map(exponent).collect()
    }

    /// The causes after answers that have been checked and stand in order.
    fn weigh(&self, answers: &[Answer]) -> Vec<f64> {
        let exponents = self.exponents(answers);
        let logs: Vec<f64> = self
            .prior
            .iter()
            .enumerate()
            .map(|(cause, share)| {
                let told = answers.iter().zip(&exponents).map(|(a, k)| k * self.tests[a.test].log[cause][a.outcome]);
                share.ln() + told.sum::<f64>()
            })
            .collect();
        normalised(&logs)
    }
}

/// Probability of each cause after the answers.
///
/// `P(c | a₁ … aₙ) = w_c Π P(aᵢ | c)^kᵢ / Σ_j w_j Π P(aᵢ | j)^kᵢ`, summed as logarithms.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `w` | prior weight of a cause | – | 0 ..= 1,000,000 |
/// | `P(a ∣ c)` | likelihood of an outcome; below 0.0001 it counts as 0.0001 and its row is scaled back to one | – | 0 ..= 1 |
/// | `k` | 1, or the group's exponent for an answer beside a stronger one of its group | – | 0 ..= 1 |
///
/// Answers are taken as independent given the cause. Two tests that see the same thing (a coil's ohms and the same coil
/// swapped) would then count one fact twice and drive the result toward 0 or 1, the known fault of the naive rule. In
/// a group the strongest answer counts in full and the rest with the exponent `k`, so a second look can still add a
/// little but never as much again. The strongest is the one that alone would move the prior furthest (Kullback–Leibler
/// divergence), which makes the order of the answers of no account. An exponent on all of them was not taken, since then
/// an empty answer would weaken a strong one.
///
/// Left out: two causes at once (see [`second_cause`]), causes that are not in the list, answers given with doubt.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `answers` for a test or outcome the model does not have, or a test answered twice.
///
/// # Source
/// Bayes' rule; J. Pearl, *Probabilistic Reasoning in Intelligent Systems*, 1988, chapter 2. Double counting: D. J. Hand and
/// K. Yu, "Idiot's Bayes – not so stupid after all?", International Statistical Review 69(3), 2001, 385–398;
/// D. G. Fryback, "Bayes' theorem and conditional nonindependence of data in medical diagnosis", Computers and
/// Biomedical Research 11, 1978, 423–434. The floor and the form of the exponent: our choice.
///
/// # Examples
/// Eddy 1982: one woman in a hundred, 79.2 % of cancers and 9.6 % of the rest read positive; after a positive reading
/// the probability is 7.7 %.
/// ```
/// use std::collections::BTreeMap;
/// use reckon::diagnosis::{Answer, Model, Test, posterior};
/// use reckon::units::Minutes;
///
/// let rows = BTreeMap::from([(0, vec![0.792, 0.208])]);
/// let reading =
///     Test { minutes: Minutes::new(10.0), default: vec![0.096, 0.904], rows, presupposes: vec![], group: None };
/// let model = Model::new(&[0.01, 0.99], vec![reading], &[])?;
/// let after = posterior(&model, &[Answer { test: 0, outcome: 0 }])?;
/// assert!((after[0] - 0.077).abs() < 0.000_5);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn posterior(model: &Model, answers: &[Answer]) -> Result<Vec<f64>, ReckonError> {
    Ok(model.weigh(&model.checked(answers)?))
}

/// What each answer says for (above zero) or against (below zero) one cause, strongest first.
///
/// `log₁₀ (P(a | c) / P(a | not c))`, with `P(a | not c)` the mean over the other causes by prior weight, times the answer's
/// exponent in its group. One is a tenfold change of the odds. With more than two causes the figures do not add up to
/// the posterior odds, since "not c" changes its make-up with each answer: they explain, [`posterior`] decides.
///
/// # Errors
/// As [`posterior`]; naming `cause` for a cause the model does not have.
///
/// # Source
/// I. J. Good, *Probability and the Weighing of Evidence*, 1950, chapter 6: weight of evidence, in bans.
pub fn speaks(model: &Model, answers: &[Answer], cause: usize) -> Result<Vec<(Answer, f64)>, ReckonError> {
    let answers = model.checked(answers)?;
    if cause >= model.prior.len() {
        return Err(refuse("cause", format!("cause {cause} of {}", model.prior.len())));
    }
    let others: f64 = model.prior.iter().enumerate().filter(|(c, _)| *c != cause).map(|(_, w)| w).sum();
    let mut told: Vec<(Answer, f64)> = answers
        .iter()
        .zip(model.exponents(&answers))
        .map(|(answer, exponent)| {
            let log = &model.tests[answer.test].log;
            let weighed = |(c, w): (usize, &f64)| if c == cause { 0.0 } else { w * log[c][answer.outcome].exp() };
            let rest: f64 = model.prior.iter().enumerate().map(weighed).sum();
            let bans =
                if others > 0.0 { exponent * (log[cause][answer.outcome].exp() * others / rest).log10() } else { 0.0 };
            (*answer, bans)
        })
        .collect();
    told.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()).then(a.0.cmp(&b.0)));
    Ok(told)
}

/// In what order the tests are offered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// Most information for a minute of work.
    #[default]
    PerMinute,
    /// Most information, whatever it takes.
    Information,
}

/// What the next tests are chosen by.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// The order.
    pub order: Order,
    /// Tests that tell fewer bits are left out.
    pub bits_min: f64,
    /// Tests that cannot be made: no meter at hand, no access.
    pub without: Vec<usize>,
}

/// A test not yet made, and what it can be expected to tell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextTest {
    /// The test.
    pub test: usize,
    /// Expected drop of the entropy of the causes (bits).
    pub expected_information_bits: f64,
    /// The same for each minute the test takes (bits/min).
    pub per_minute: f64,
}

/// The tests that can be made now, the best first; equal ones in the order of the table.
///
/// `I(t) = H(p) - Σ_o P(o) H(p | o)`, `H(p) = -Σ p_c log₂ p_c`, `P(o) = Σ_c p_c P(o | c)`; never below zero.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `p` | probability of the causes after the answers so far | – | 0 ..= 1 |
/// | `o` | an outcome of the test | – | |
/// | `I` | expected information | bit | 0 ..= log₂ of the number of causes |
///
/// Left out: tests answered already, tests that presuppose an outcome not seen, and those of [`Options::without`]. It looks
/// one test ahead. In a group that has been answered the entropy may be expected to rise, since the weaker answer
/// is damped; that counts as nothing.
///
/// # Errors
/// As [`posterior`]; naming `bits_min` when it is not a number.
///
/// # Source
/// C. E. Shannon, "A Mathematical Theory of Communication", 1948, sections 6 and 12. Choosing measurements by expected
/// entropy: J. de Kleer and B. C. Williams, "Diagnosing multiple faults", Artificial Intelligence 32, 1987, 97–130.
/// Dividing by the time it takes: common practice in troubleshooting.
pub fn next_tests(model: &Model, answers: &[Answer], options: &Options) -> Result<Vec<NextTest>, ReckonError> {
    let answers = model.checked(answers)?;
    if options.bits_min.is_nan() {
        return Err(refuse("bits_min", "not a number".to_string()));
    }
    let now = model.weigh(&answers);
    let open = |(index, test): &(usize, &Checked)| {
        !options.without.contains(index)
            && answers.iter().all(|a| a.test != *index)
            && test
                .presupposes
                .iter()
                .all(|p| answers.iter().any(|a| a.test == p.test && p.outcomes.contains(&a.outcome)))
    };
    let mut next: Vec<NextTest> = model
        .tests
        .iter()
        .enumerate()
        .filter(open)
        .map(|(index, test)| {
            let bits = expected_information(model, &answers, &now, index);
            NextTest { test: index, expected_information_bits: bits, per_minute: bits / test.minutes }
        })
        .filter(|n| n.expected_information_bits >= options.bits_min)
        .collect();
    let key = |n: &NextTest| match options.order {
        Order::PerMinute => n.per_minute,
        Order::Information => n.expected_information_bits,
    };
    next.sort_by(|a, b| key(b).total_cmp(&key(a)).then(a.test.cmp(&b.test)));
    Ok(next)
}

/// The likeliest cause when its probability reaches the threshold.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `threshold`: below a half two causes could reach it.
pub fn certain(posterior: &[f64], threshold: f64) -> Result<Option<usize>, ReckonError> {
    let threshold = THRESHOLD.check(threshold)?;
    let first = (0..posterior.len()).reduce(|best, c| if posterior[c] > posterior[best] { c } else { best });
    Ok(first.filter(|&c| posterior[c] >= threshold))
}

/// Entropy of a distribution, `-Σ p log₂ p` (bits).
pub fn entropy_bits(shares: &[f64]) -> f64 {
    shares.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum::<f64>().max(0.0)
}

fn expected_information(model: &Model, answers: &[Answer], now: &[f64], test: usize) -> f64 {
    let checked = &model.tests[test];
    let mut expected = 0.0;
    for outcome in 0..checked.outcomes {
        let chance: f64 = now.iter().zip(&checked.log).map(|(p, log)| p * log[outcome].exp()).sum();
        if chance > 0.0 {
            let mut then = answers.to_vec();
            then.push(Answer { test, outcome });
            then.sort_unstable();
            expected += chance * entropy_bits(&model.weigh(&then));
        }
    }
    let bits = entropy_bits(now) - expected;
    // Two sums of rounded terms: what is left of an empty test is noise, not information.
    if bits < 1e-12 { 0.0 } else { bits }
}

fn check_test(
    index: usize,
    test: Test,
    prior: &[f64],
    outcomes: &[usize],
    groups: usize,
) -> Result<Checked, ReckonError> {
    let count = outcomes[index];
    if !(2..=OUTCOMES_MOST).contains(&count) {
        return Err(refuse("outcomes", format!("test {index} has {count}; between 2 and {OUTCOMES_MOST}")));
    }
    let minutes = TEST_MINUTES.check(test.minutes.get())?;
    if let Some(group) = test.group.filter(|g| *g >= groups) {
        return Err(refuse("group", format!("test {index} is of group {group} of {groups}")));
    }
    if let Some((cause, _)) = test.rows.range(prior.len()..).next() {
        return Err(refuse("cause", format!("test {index} has a row for cause {cause} of {}", prior.len())));
    }
    for before in &test.presupposes {
        let known = outcomes.get(before.test).is_some_and(|&n| before.outcomes.iter().all(|&o| o < n));
        if !known || before.test == index || before.outcomes.is_empty() {
            let message = format!("test {index} presupposes test {} outcomes {:?}", before.test, before.outcomes);
            return Err(refuse("presupposes", message));
        }
    }
    let default = log_row(index, &test.default, count)?;
    let mut log = vec![default; prior.len()];
    for (cause, row) in &test.rows {
        log[*cause] = log_row(index, row, count)?;
    }
    let strength = (0..count).map(|outcome| alone(prior, &log, outcome)).collect();
    Ok(Checked { minutes, outcomes: count, log, strength, presupposes: test.presupposes, group: test.group })
}

/// Logarithms of a row, floored and scaled back to a sum of one.
fn log_row(test: usize, row: &[f64], count: usize) -> Result<Vec<f64>, ReckonError> {
    if row.len() != count {
        return Err(refuse("likelihood", format!("test {test} has {count} outcomes and a row of {}", row.len())));
    }
    let mut sum = 0.0;
    for &p in row {
        sum += LIKELIHOOD.check(p)?;
    }
    if (sum - 1.0).abs() > ROW_SLACK {
        return Err(refuse("likelihood", format!("a row of test {test} sums to {sum}, not to 1")));
    }
    let floored: f64 = row.iter().map(|p| p.max(LIKELIHOOD_FLOOR)).sum();
    Ok(row.iter().map(|p| (p.max(LIKELIHOOD_FLOOR) / floored).ln()).collect())
}

/// How far one outcome alone moves the prior: `Σ q log₂ (q / p)` over the causes (bits).
fn alone(prior: &[f64], log: &[Vec<f64>], outcome: usize) -> f64 {
    let logs: Vec<f64> = prior.iter().zip(log).map(|(p, l)| p.ln() + l[outcome]).collect();
    let after = normalised(&logs);
    after.iter().zip(prior).filter(|(q, _)| **q > 0.0).map(|(q, p)| q * (q / p).log2()).sum()
}

/// Shares of a sum of one from natural logarithms; minus infinity is a share of nothing. At least one is finite.
fn normalised(logs: &[f64]) -> Vec<f64> {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let raw: Vec<f64> = logs.iter().map(|l| (l - top).exp()).collect();
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|r| r / sum).collect()
}

fn refuse(field: &'static str, message: String) -> ReckonError {
    ReckonError::Inconsistent { field, message }
}

#[cfg(test)]
mod tests;

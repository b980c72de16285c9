//! A second cause beside the likeliest one.

use super::{Answer, Model, refuse};
use crate::error::{Bound, ReckonError};

/// How often a place with one cause has a second, against one cause alone.
pub const TOGETHER: Bound =
    Bound::new("together", 0.0, 1.0, "", "how often a second cause is at work beside the first");
/// An answer this many times likelier under the second cause is one the first leaves open.
pub const LEFT_OPEN: f64 = 3.0;

/// Two causes at work against the first alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Second {
    /// The likeliest cause alone.
    pub first: usize,
    /// The cause that beside it explains the answers best.
    pub second: usize,
    /// Odds of both against the first alone.
    pub odds: f64,
    /// Answers the first leaves open: at least [`LEFT_OPEN`] times likelier under the second.
    pub left: Vec<Answer>,
}

/// The cause that beside the likeliest one explains the answers best; `None` where no answer is left open by the first.
///
/// `odds = t w₂ Π ((P(aᵢ | 1) + P(aᵢ | 2)) / (2 P(aᵢ | 1)))^kᵢ`: with both at work each answer shows the one or the other.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `t` | how often a second cause is at work beside the first | – | 0 ..= 1 |
/// | `w₂` | share of the second cause before any answer, of all but the first | – | 0 ..= 1 |
/// | `P`, `k` | as in [`posterior`](super::posterior) | – | |
///
/// Left out: three causes, causes that bring each other on, answers that only both together would give.
///
/// # Errors
/// As [`posterior`](super::posterior); [`ReckonError::OutOfRange`] naming `together`.
///
/// # Source
/// Candidates of several faults with priors multiplied as of independent faults: J. de Kleer and B. C. Williams, "Diagnosing multiple faults",
/// Artificial Intelligence 32, 1987, 97–130. That an answer shows the one or the other with equal chance: our choice.
///
/// # Examples
/// By hand: two causes of equal share, two tests. The first cause gives the answers seen with 0.9 and 0.1, the second with 0.2 and 0.8. With
/// `t = 0.4` the odds of both are 0.4 · 1 · (1.1/1.8) · (0.9/0.2) = 1.1.
/// ```
/// use std::collections::BTreeMap;
/// use reckon::diagnosis::{Answer, Model, Test, second_cause};
/// use reckon::units::Minutes;
///
/// let test = |first: f64, second: f64| Test {
///     minutes: Minutes::new(1.0),
///     default: vec![0.5, 0.5],
///     rows: BTreeMap::from([(0, vec![first, 1.0 - first]), (1, vec![second, 1.0 - second])]),
///     presupposes: vec![],
///     group: None,
/// };
/// let model = Model::new(&[3.0, 1.0], vec![test(0.9, 0.2), test(0.1, 0.8)], &[])?;
/// let both = second_cause(&model, &[Answer { test: 0, outcome: 0 }, Answer { test: 1, outcome: 0 }], 0.4)?;
/// let both = both.expect("the second test is left open");
/// assert_eq!((both.first, both.second, both.left.len()), (0, 1, 1));
/// assert!((both.odds - 1.1).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn second_cause(model: &Model, answers: &[Answer], together: f64) -> Result<Option<Second>, ReckonError> {
    let together = TOGETHER.check(together)?;
    let answers = model.checked(answers)?;
    if model.prior.len() < 2 {
        return Err(refuse("cause", "there is no second cause in the model".to_string()));
    }
    let now = model.weigh(&answers);
    let first = (0..now.len()).fold(0, |best, c| if now[c] > now[best] { c } else { best });
    let exponents = model.exponents(&answers);
    let chance = |cause: usize, a: &Answer| model.tests[a.test].log[cause][a.outcome].exp();
    let others = 1.0 - model.prior[first];
    let odds = |second: usize| {
        let told = answers.iter().zip(&exponents).map(|(a, k)| {
            let (one, two) = (chance(first, a), chance(second, a));
            k * ((one + two) / (2.0 * one)).ln()
        });
        together * model.prior[second] / others * told.sum::<f64>().exp()
    };
    let left = |second: usize| -> Vec<Answer> {
        answers.iter().copied().filter(|a| chance(second, a) >= LEFT_OPEN * chance(first, a)).collect()
    };
    Ok((0..now.len())
        .filter(|c| *c != first && model.prior[*c] > 0.0)
        .map(|second| Second { first, second, odds: odds(second), left: left(second) })
        .filter(|s| !s.left.is_empty())
        .max_by(|a, b| a.odds.total_cmp(&b.odds)))
}

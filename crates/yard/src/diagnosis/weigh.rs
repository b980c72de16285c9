//! The weighing that patches and plants share: prior weights and answers in, ranked causes and next looks out.

use std::collections::BTreeMap;

use almanac::{Finding, Outcome};
use reckon::ReckonError;
use reckon::diagnosis::{Answer, Model, Options, Test, next_tests, posterior, second_cause, speaks};
use reckon::units::Minutes;

use super::{
    APART, ASTRAY, BITS_LEAST, LIKELY, MISREAD, NextLook, Says, Seen, TOGETHER, TWO_FROM, Verdict, WEAKER_COUNTS,
};

/// Share of some answers of a cause, by finding and outcome.
pub(super) type Signs = BTreeMap<String, BTreeMap<String, f64>>;

/// Answers a cause leaves open.
pub(super) type Left<'a> = Vec<(&'a Finding, &'a Outcome)>;

/// Causes by their index, the likeliest first, with probability and what the answers say.
pub(super) struct Weighed<'a> {
    pub(super) ranked: Vec<(usize, f64, Vec<Says<'a>>)>,
    pub(super) verdict: Verdict,
    pub(super) next: Vec<NextLook<'a>>,
    /// Index of the second cause, the chance of both against the first alone, and what the first leaves open.
    pub(super) second: Option<(usize, f64, Left<'a>)>,
}

/// Weighs the causes whose signs and prior weights are given, in one order.
pub(super) fn weigh<'a>(
    findings: &'a [Finding],
    signs: &[&Signs],
    weights: &[f64],
    seen: &[Seen],
    sharpness: f64,
) -> Result<Weighed<'a>, ReckonError> {
    let model = model(findings, signs, weights)?;
    let mut answers = Vec::new();
    let mut without = Vec::new();
    for told in seen {
        let (test, finding) = known(findings, &told.finding)?;
        match &told.outcome {
            None => without.push(test),
            Some(id) => match finding.outcome(id) {
                Some(outcome) => answers.push(Answer { test, outcome }),
                None => return Err(refuse(format!("{} has no outcome {id}", finding.id))),
            },
        }
    }
    let probabilities = hedged(&sharpened(&posterior(&model, &answers)?, sharpness), model.prior());
    let mut order: Vec<usize> = (0..probabilities.len()).collect();
    order.sort_by(|&a, &b| probabilities[b].total_cmp(&probabilities[a]).then(a.cmp(&b)));
    let ranked = order
        .iter()
        .map(|&at| {
            let says = speaks(&model, &answers, at)?
                .into_iter()
                .map(|(answer, bans)| {
                    let finding = &findings[answer.test];
                    Says { finding, outcome: &finding.outcomes[answer.outcome], bans }
                })
                .collect();
            Ok((at, probabilities[at], says))
        })
        .collect::<Result<Vec<_>, ReckonError>>()?;
    let options = Options { bits_min: BITS_LEAST, without, ..Options::default() };
    let next: Vec<NextLook<'a>> = next_tests(&model, &answers, &options)?
        .into_iter()
        .map(|n| NextLook {
            finding: &findings[n.test],
            bits: n.expected_information_bits,
            bits_per_minute: n.per_minute,
        })
        .collect();
    let first = ranked.first().map_or(0.0, |r| r.1);
    let second = ranked.get(1).map_or(0.0, |r| r.1);
    let close = second * APART > first && !next.is_empty();
    let verdict = if first < LIKELY || close { Verdict::NotEnough } else { Verdict::Likely };
    let second =
        second_cause(&model, &answers, TOGETHER)?.filter(|s| s.odds >= TWO_FROM && answers.len() >= 2).map(|s| {
            let open = s.left.iter().map(|a| (&findings[a.test], &findings[a.test].outcomes[a.outcome])).collect();
            (s.second, s.odds / (1.0 + s.odds), open)
        });
    Ok(Weighed { ranked, verdict, next, second })
}

/// The tables as a model, each row a little blurred toward what is usual.
fn model(findings: &[Finding], signs: &[&Signs], weights: &[f64]) -> Result<Model, ReckonError> {
    let mut groups: BTreeMap<&str, usize> = BTreeMap::new();
    for name in findings.iter().filter_map(|f| f.group.as_deref()) {
        let next = groups.len();
        groups.entry(name).or_insert(next);
    }
    let tests = findings
        .iter()
        .map(|finding| {
            let blur =
                |p: Vec<f64>| p.iter().zip(&finding.usual).map(|(p, u)| p + MISREAD * (u - p)).collect::<Vec<f64>>();
            let told = signs.iter().enumerate().filter(|(_, s)| s.contains_key(&finding.id));
            Test {
                minutes: Minutes::new(finding.minutes),
                default: finding.usual.clone(),
                rows: told.map(|(at, signs)| (at, blur(finding.shares_of(signs)))).collect(),
                presupposes: Vec::new(),
                group: finding.group.as_deref().and_then(|g| groups.get(g).copied()),
            }
        })
        .collect();
    Model::new(weights, tests, &vec![WEAKER_COUNTS; groups.len()])
}

/// The shares raised to a power and brought back to a sum of one.
fn sharpened(shares: &[f64], sharpness: f64) -> Vec<f64> {
    let raised: Vec<f64> = shares.iter().map(|p| p.powf(sharpness)).collect();
    let sum: f64 = raised.iter().sum();
    raised.iter().map(|p| p / sum).collect()
}

/// The shares with [`ASTRAY`] of them given back to what was before any answer.
fn hedged(shares: &[f64], before: &[f64]) -> Vec<f64> {
    shares.iter().zip(before).map(|(p, b)| p + ASTRAY * (b - p)).collect()
}

fn known<'a>(findings: &'a [Finding], id: &str) -> Result<(usize, &'a Finding), ReckonError> {
    let at = findings.iter().position(|f| f.id == id);
    at.map(|at| (at, &findings[at])).ok_or_else(|| refuse(format!("there is no finding {id}")))
}

pub(super) fn refuse(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: "seen", message }
}

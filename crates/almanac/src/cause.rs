//! Causes of a bad patch of lawn, what can be seen and measured on it, and how likely each sign is under each cause.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::Almanac;

/// What a row of the causes rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// The link was read in the source named; the number put on it is a judgement.
    Published,
    /// Recalled, not looked up.
    FromMemory,
    /// What the trade does and says.
    CommonPractice,
}

/// A source the causes lean on, named by its key.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CauseSource {
    /// Key.
    pub id: String,
    /// What it is.
    pub basis: Ground,
    /// Author or body, year and title.
    pub words: String,
}

/// A condition that makes some causes more or less likely before anything is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Hot.
    Hot,
    /// Warm.
    Warm,
    /// Mild.
    Mild,
    /// Cold.
    Cold,
    /// Dry soil.
    Dry,
    /// Wet soil.
    Wet,
    /// Humid nights, leaves long wet.
    Humid,
    /// Little nitrogen.
    LowNitrogen,
    /// Much nitrogen.
    HighNitrogen,
    /// Shade.
    Shade,
    /// Full sun.
    Sun,
    /// A slope.
    Slope,
    /// Sown lately.
    NewSeed,
    /// Sod two to five years old.
    YoungSod,
    /// Cut short as a habit.
    MownLow,
    /// Salted last winter.
    Salted,
    /// Snow lay long last winter.
    Snow,
    /// A dog uses it.
    Dog,
    /// Under sprinklers.
    Irrigated,
    /// Lives on rain.
    Unwatered,
    /// Feet or wheels.
    Traffic,
    /// Roots of a tree.
    Tree,
    /// A house built lately.
    NewHouse,
}

/// What to do about a cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CauseAct {
    /// Leave it.
    Nothing,
    /// Mow, water, feed or core another way.
    Cultural,
    /// Treat at once.
    TreatNow,
    /// Too late now: prevent next time.
    PreventLater,
    /// Mend the place.
    Repair,
}

/// Count from which a pest is worth an action.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CountThreshold {
    /// Key of the pest; `unknown` when it was not told apart.
    pub pest: String,
    /// Name.
    pub name: String,
    /// Below this leave it (1/m²).
    pub low_m2: f64,
    /// From here treat (1/m²).
    pub high_m2: f64,
    /// Key of the source.
    pub from: String,
}

/// A cause of a bad patch.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cause {
    /// Key, e.g. `white-grubs`.
    pub id: String,
    /// Name.
    pub name: String,
    /// Kind of cause, e.g. `insect`.
    pub group: String,
    /// Grasses it takes; empty for all.
    pub grasses: Vec<String>,
    /// Factor on any other grass.
    #[serde(default = "elsewhere")]
    pub elsewhere: f64,
    /// How often it is the cause, against the others.
    pub common: f64,
    /// By month, January first, against its own peak; for the cool north.
    pub months: [f64; 12],
    /// Factors of conditions on how often.
    pub raises: BTreeMap<Condition, f64>,
    /// Share of some answers, by finding and outcome. What is left goes to the other outcomes as usual.
    pub signs: BTreeMap<String, BTreeMap<String, f64>>,
    /// How fast it comes.
    pub fast: String,
    /// What to do.
    pub act: CauseAct,
    /// Months a treatment works in; empty for any.
    #[serde(default)]
    pub treat_months: Vec<u8>,
    /// What to do, in words.
    pub advice: String,
    /// Days until the next look.
    pub again_days: u16,
    /// What to look for then.
    pub look_for: String,
    /// The finding that counts the pest.
    #[serde(default)]
    pub count: Option<String>,
    /// Counts from which to act.
    #[serde(default)]
    pub threshold: Vec<CountThreshold>,
    /// Count a watered, tall, deep-rooted lawn carries without harm (1/m²).
    #[serde(default)]
    pub vigorous_m2: Option<f64>,
    /// Keys of the sources.
    pub from: Vec<String>,
}

fn elsewhere() -> f64 {
    0.15
}

/// Whether a finding is seen or measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FindingKind {
    /// Seen by standing there.
    Sign,
    /// Takes a hand, a tool or time.
    Test,
}

/// One answer of a finding.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outcome {
    /// Key.
    pub id: String,
    /// In words.
    pub name: String,
}

/// A sign or a test.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// Key, e.g. `tug`.
    pub id: String,
    /// Sign or test.
    pub kind: FindingKind,
    /// Name.
    pub name: String,
    /// How to do it.
    pub how: String,
    /// Findings of one group tell much the same.
    #[serde(default)]
    pub group: Option<String>,
    /// Minutes of work.
    pub minutes: f64,
    /// The answers.
    pub outcomes: Vec<Outcome>,
    /// Share of each answer when the cause has nothing to do with it; sums to 1.
    pub usual: Vec<f64>,
    /// What the way of doing it rests on.
    pub basis: Ground,
    /// Source.
    pub source: String,
}

impl Finding {
    /// Index of an outcome.
    pub fn outcome(&self, id: &str) -> Option<usize> {
        self.outcomes.iter().position(|o| o.id == id)
    }

    /// Share of each answer under a cause.
    pub fn shares(&self, cause: &Cause) -> Vec<f64> {
        self.shares_of(&cause.signs)
    }

    /// Share of each answer under a cause with these signs.
    pub fn shares_of(&self, signs: &BTreeMap<String, BTreeMap<String, f64>>) -> Vec<f64> {
        let Some(told) = signs.get(&self.id) else { return self.usual.clone() };
        let left = 1.0 - told.values().sum::<f64>();
        let named = |o: &Outcome| told.get(&o.id).copied();
        let rest: f64 = self.outcomes.iter().zip(&self.usual).filter(|(o, _)| named(o).is_none()).map(|(_, u)| u).sum();
        let share = |(o, u): (&Outcome, &f64)| named(o).unwrap_or(if rest > 0.0 { left * u / rest } else { 0.0 });
        self.outcomes.iter().zip(&self.usual).map(share).collect()
    }
}

impl Almanac {
    /// The cause with this key.
    pub fn cause(&self, id: &str) -> Option<&Cause> {
        self.causes.iter().find(|row| row.id == id)
    }

    /// The finding with this key.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|row| row.id == id)
    }

    /// The sources of a cause.
    pub fn sources_of<'a>(&'a self, cause: &'a Cause) -> impl Iterator<Item = &'a CauseSource> {
        cause.from.iter().filter_map(|key| self.cause_sources.iter().find(|s| s.id == *key))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::Ground;
    use crate::Almanac;

    /// At least 35 causes, each with sources that are in the list, months that peak at 1, and shares of known outcomes.
    #[test]
    fn rows_are_whole() {
        let t = Almanac::embedded();
        assert!(t.causes.len() >= 35, "{} causes", t.causes.len());
        let ids: BTreeSet<_> = t.causes.iter().map(|c| &c.id).collect();
        assert_eq!(ids.len(), t.causes.len(), "a cause stands twice");
        let source = |key: &String| t.cause_sources.iter().any(|s| s.id == *key);
        for cause in &t.causes {
            assert!(!cause.from.is_empty() && cause.from.iter().all(source), "{}: a source is missing", cause.id);
            assert!(cause.threshold.iter().all(|row| source(&row.from) && row.low_m2 < row.high_m2), "{}", cause.id);
            assert!(cause.months.contains(&1.0), "{}: no month is the peak", cause.id);
            assert!(cause.months.iter().all(|m| (0.0..=1.0).contains(m)), "{}: months", cause.id);
            assert!(cause.raises.values().all(|f| (0.01..=10.0).contains(f)), "{}: factors", cause.id);
            assert!(cause.grasses.iter().all(|g| !g.is_empty()) && cause.common > 0.0, "{}", cause.id);
            assert_eq!(cause.count.is_some(), !cause.threshold.is_empty(), "{}: what is counted", cause.id);
            for (finding, told) in &cause.signs {
                let Some(finding) = t.finding(finding) else { panic!("{}: no finding {finding}", cause.id) };
                for outcome in told.keys() {
                    assert!(finding.outcome(outcome).is_some(), "{}: {} has no {outcome}", cause.id, finding.id);
                }
                let shares = finding.shares(cause);
                assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{}: {}", cause.id, finding.id);
                assert!(shares.iter().all(|p| (0.0..=1.0).contains(p)), "{}: {}", cause.id, finding.id);
            }
        }
        for used in &t.cause_sources {
            assert!(!used.words.is_empty());
            let leans =
                t.causes.iter().any(|c| c.from.contains(&used.id) || c.threshold.iter().any(|r| r.from == used.id));
            assert!(leans, "nothing leans on {}", used.id);
        }
    }

    /// Every finding has minutes, a way to do it, a source, and shares of all its outcomes that sum to 1.
    #[test]
    fn findings_are_whole() {
        for finding in &Almanac::embedded().findings {
            assert_eq!(finding.usual.len(), finding.outcomes.len(), "{}", finding.id);
            assert!((finding.usual.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{}", finding.id);
            assert!(finding.minutes > 0.0 && !finding.how.is_empty() && !finding.source.is_empty(), "{}", finding.id);
            assert!(finding.basis != Ground::Published || finding.source.len() > 20, "{}", finding.id);
        }
    }

    /// Published thresholds in grubs a square foot against the rows. University of Massachusetts Extension: Japanese
    /// and Oriental beetle 8–15, Asiatic garden beetle 12–20 (15–20 taken).
    #[test]
    fn thresholds_as_printed() {
        let grubs = Almanac::embedded().cause("white-grubs").expect("in the table");
        let rows =
            [("japanese-beetle", 8.0, 15.0), ("oriental-beetle", 8.0, 15.0), ("asiatic-garden-beetle", 15.0, 20.0)];
        for (pest, low, high) in rows {
            let row = grubs.threshold.iter().find(|r| r.pest == pest).expect("in the table");
            assert!((row.low_m2 * 0.09290304 - low).abs() < 0.01, "{pest}");
            assert!((row.high_m2 * 0.09290304 - high).abs() < 0.01, "{pest}");
        }
    }
}

//! Causes of a sick hedge plant, shrub or young tree, and what can be seen and measured on it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::{Almanac, CauseSource, Condition, Finding};

/// A woody plant, as far as its troubles tell it apart.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WoodyPlant {
    /// Key, e.g. `arb`.
    pub id: String,
    /// Name.
    pub name: String,
}

/// What to do with the plant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlantAct {
    /// Keep it.
    Keep,
    /// Keep it and wait before anything is cut.
    Wait,
    /// Keep it and cut out what is sick.
    Cut,
    /// Replace it.
    Replace,
}

/// Where the work can hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlantCare {
    /// A pesticide: the label is the law.
    Label,
    /// Digging: have buried lines marked.
    Dig,
    /// Work above the head.
    Ladder,
}

/// A cause.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlantCause {
    /// Key, e.g. `winter-burn`.
    pub id: String,
    /// Name.
    pub name: String,
    /// Kind of cause, e.g. `weather`.
    pub group: String,
    /// Keys of the plants it takes; empty for all.
    pub plants: Vec<String>,
    /// Factor on any other plant.
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
    /// What to do with the plant.
    pub act: PlantAct,
    /// What to do, in words.
    pub advice: String,
    /// When.
    pub when: String,
    /// Where the work can hurt.
    #[serde(default)]
    pub care: Vec<PlantCare>,
    /// Keys of the sources.
    pub from: Vec<String>,
}

fn elsewhere() -> f64 {
    0.05
}

/// Everything about sick woody plants.
#[derive(Clone, Debug)]
pub struct Plants {
    /// Plants told apart.
    pub plants: Vec<WoodyPlant>,
    /// Causes.
    pub causes: Vec<PlantCause>,
    /// What the causes lean on.
    pub sources: Vec<CauseSource>,
    /// Signs and tests.
    pub findings: Vec<Finding>,
}

impl Plants {
    /// The plant with this key.
    pub fn plant(&self, id: &str) -> Option<&WoodyPlant> {
        self.plants.iter().find(|row| row.id == id)
    }

    /// The cause with this key.
    pub fn cause(&self, id: &str) -> Option<&PlantCause> {
        self.causes.iter().find(|row| row.id == id)
    }

    /// The finding with this key.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|row| row.id == id)
    }

    /// The sources of a cause.
    pub fn sources_of<'a>(&'a self, cause: &'a PlantCause) -> impl Iterator<Item = &'a CauseSource> {
        cause.from.iter().filter_map(|key| self.sources.iter().find(|s| s.id == *key))
    }
}

impl Almanac {
    /// Name of a woody plant, or its key where there is none.
    pub fn plant_name<'a>(&'a self, id: &'a str) -> &'a str {
        self.plants.plant(id).map_or(id, |p| &p.name)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use crate::Almanac;

    /// Each cause with known plants, sources, findings and outcomes, months that peak at 1, shares that sum to 1.
    #[test]
    fn rows_are_whole() {
        let t = &Almanac::embedded().plants;
        assert!(t.causes.len() >= 28, "{} causes", t.causes.len());
        let ids: BTreeSet<_> = t.causes.iter().map(|c| &c.id).collect();
        assert_eq!(ids.len(), t.causes.len(), "a cause stands twice");
        for cause in &t.causes {
            assert_eq!(t.sources_of(cause).count(), cause.from.len(), "{}: a source is missing", cause.id);
            assert!(!cause.from.is_empty() && !cause.advice.is_empty() && !cause.when.is_empty(), "{}", cause.id);
            assert!(cause.plants.iter().all(|p| t.plant(p).is_some()), "{}: plants", cause.id);
            assert!(cause.months.contains(&1.0), "{}: no month is the peak", cause.id);
            assert!(cause.months.iter().all(|m| (0.0..=1.0).contains(m)), "{}: months", cause.id);
            assert!(cause.common > 0.0 && cause.raises.values().all(|f| (0.01..=10.0).contains(f)), "{}", cause.id);
            for (key, told) in &cause.signs {
                let Some(finding) = t.finding(key) else { panic!("{}: no finding {key}", cause.id) };
                for outcome in told.keys() {
                    assert!(finding.outcome(outcome).is_some(), "{}: {key} has no {outcome}", cause.id);
                }
                let shares = finding.shares_of(&cause.signs);
                assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{}: {key}", cause.id);
                assert!(shares.iter().all(|p| (0.0..=1.0).contains(p)), "{}: {key}", cause.id);
            }
        }
        for used in &t.sources {
            assert!(t.causes.iter().any(|c| c.from.contains(&used.id)), "nothing leans on {}", used.id);
        }
        for finding in &t.findings {
            assert_eq!(finding.usual.len(), finding.outcomes.len(), "{}", finding.id);
            assert!((finding.usual.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{}", finding.id);
            assert!(finding.minutes > 0.0 && !finding.how.is_empty() && !finding.source.is_empty(), "{}", finding.id);
        }
    }
}

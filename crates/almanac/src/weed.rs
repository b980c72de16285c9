//! Weeds of lawns and beds: how each is told apart, when it germinates and flowers, and what controls it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::{CauseSource, Finding, Ground, Site};

/// How long a weed lives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LifeCycle {
    /// From spring to frost.
    SummerAnnual,
    /// From autumn to early summer.
    WinterAnnual,
    /// Two years: a ring of leaves, then a stem.
    Biennial,
    /// Many years.
    Perennial,
}

impl LifeCycle {
    /// The word on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::SummerAnnual => "summer annual",
            Self::WinterAnnual => "winter annual",
            Self::Biennial => "biennial",
            Self::Perennial => "perennial",
        }
    }
}

/// What kind of plant a weed is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WeedForm {
    /// A grass.
    Grass,
    /// A sedge: three-cornered.
    Sedge,
    /// Hollow round leaves, like an onion.
    Tube,
    /// A broad leaf with a net of veins.
    Broadleaf,
}

impl WeedForm {
    /// The word on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Grass => "grass",
            Self::Sedge => "sedge",
            Self::Tube => "onion-like",
            Self::Broadleaf => "broad-leaved",
        }
    }
}

/// A stage of a weed's year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WeedStage {
    /// Seedlings come up.
    Germinates,
    /// Seedlings come up in large numbers.
    GerminatesMany,
    /// Shoots come up from below ground.
    Emerges,
    /// The patch turns green.
    Greens,
    /// Runners go out.
    Runs,
    /// New tubers form.
    Tubers,
    /// The stem of the second year rises.
    Bolts,
    /// It flowers.
    Flowers,
    /// Seed ripens and falls.
    Seeds,
}

impl WeedStage {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Germinates => "seedlings come up",
            Self::GerminatesMany => "seedlings come up in large numbers",
            Self::Emerges => "shoots come up",
            Self::Greens => "the patch turns green",
            Self::Runs => "runners go out",
            Self::Tubers => "new nuts form below ground",
            Self::Bolts => "the tall stem rises",
            Self::Flowers => "in flower",
            Self::Seeds => "seed ripens",
        }
    }
}

/// By what a stage is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WeedMeasure {
    /// Degree days of air, mean of the extremes (°C·d).
    AirGdd,
    /// Degree days of the daily soil temperature (°C·d).
    SoilGdd,
    /// Mean soil temperature of seven days, rising to `low` (°C).
    SoilRise,
    /// Mean soil temperature of seven days, falling below `low` (°C).
    SoilFall,
    /// The calendar of 40 to 43° north.
    Date,
}

/// When a stage comes.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeedStageRow {
    /// The stage.
    pub stage: WeedStage,
    /// By what it is told.
    pub measure: WeedMeasure,
    /// Base of the degree days (°C).
    #[serde(default)]
    pub base_c: f64,
    /// Month and day from which it is looked for.
    pub start: [u8; 2],
    /// From here.
    #[serde(default)]
    pub low: f64,
    /// To here, as far as the source prints a range.
    #[serde(default)]
    pub high: f64,
    /// Days after that at which the stage itself comes.
    #[serde(default)]
    pub wait_days: u16,
    /// Days the stage is worth telling.
    pub lasts_days: u16,
    /// Key of the source.
    pub from: String,
}

/// An active ingredient that keeps a weed's seed from coming up.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Prevents {
    /// Key of the active ingredient.
    pub active: String,
    /// Key of the source.
    pub from: String,
}

/// State a weed must be in for a spray to work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum KillAt {
    /// One to four leaves.
    Seedling,
    /// Small, before it spreads or flowers.
    Young,
    /// Before its first side shoot, or large and old; uneven in between.
    YoungOrLarge,
    /// Three to eight leaves.
    Leafy,
    /// As a ring of leaves, before the stem.
    Rosette,
    /// Whenever it grows.
    Any,
    /// Kills the lawn too: patches to be seeded again.
    Whole,
    /// Shielded or wiped: it kills what it touches.
    Shielded,
}

impl KillAt {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Seedling => "at one to four leaves",
            Self::Young => "while it is small",
            Self::YoungOrLarge => "before its first side shoot, or once it is large; uneven in between",
            Self::Leafy => "at three to eight leaves",
            Self::Rosette => "as a ring of leaves, before the stem rises",
            Self::Any => "whenever it grows",
            Self::Whole => "on the patch and a hand’s breadth around; it kills the lawn there too, to be seeded again",
            Self::Shielded => "shielded or wiped on: it kills whatever it touches",
        }
    }
}

/// An active ingredient that controls the weed once it is up.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kills {
    /// Key of the active ingredient.
    pub active: String,
    /// When it works.
    pub at: KillAt,
    /// One time is seldom enough.
    #[serde(default)]
    pub again: bool,
    /// Key of the source.
    pub from: String,
}

/// A weed.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weed {
    /// Key, e.g. `ground-ivy`.
    pub id: String,
    /// Name.
    pub name: String,
    /// Botanical name.
    pub latin: String,
    /// How long it lives.
    pub life: LifeCycle,
    /// Kind of plant.
    pub form: WeedForm,
    /// Ground it is a weed of, the commoner first.
    pub sites: Vec<Site>,
    /// How common it is, against the others.
    pub common: f64,
    /// Share of some answers, by finding and outcome; those of its form are put in when the tables are read.
    pub signs: BTreeMap<String, BTreeMap<String, f64>>,
    /// When its stages come.
    pub stages: Vec<WeedStageRow>,
    /// What keeps its seed from coming up.
    pub prevents: Vec<Prevents>,
    /// What controls it once it is up.
    pub kills: Vec<Kills>,
    /// What it tells of the ground.
    pub tells: String,
    /// Marks by which a person knows it.
    pub marks: String,
    /// Control by hand.
    pub hand: String,
    /// Mowing, watering, feeding that discourage it.
    pub culture: String,
    /// Best time.
    pub best: String,
    /// Keys of the sources.
    pub from: Vec<String>,
}

/// Months a life cycle is seen in.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LifeMonths {
    /// The life cycle.
    pub id: LifeCycle,
    /// January first, against its own peak; for the cool north.
    pub months: [f64; 12],
}

/// Signs a form of plant brings with it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FormSigns {
    /// The form.
    pub id: WeedForm,
    /// Share of some answers, by finding and outcome.
    pub signs: BTreeMap<String, BTreeMap<String, f64>>,
}

/// Everything about weeds.
#[derive(Clone, Debug)]
pub struct Weeds {
    /// The weeds, broad-leaved ones first.
    pub weeds: Vec<Weed>,
    /// What can be looked at on one.
    pub findings: Vec<Finding>,
    /// Months by life cycle.
    pub months: Vec<LifeMonths>,
    /// What the rows lean on.
    pub sources: Vec<CauseSource>,
}

impl Weeds {
    /// Puts the tables together: each weed takes the signs of its form where it has none of its own.
    pub(crate) fn join(
        mut weeds: Vec<Weed>,
        findings: Vec<Finding>,
        months: Vec<LifeMonths>,
        forms: &[FormSigns],
        sources: Vec<CauseSource>,
    ) -> Self {
        for weed in &mut weeds {
            for form in forms.iter().filter(|f| f.id == weed.form) {
                for (finding, shares) in &form.signs {
                    weed.signs.entry(finding.clone()).or_insert_with(|| shares.clone());
                }
            }
        }
        Self { weeds, findings, months, sources }
    }

    /// The weed with this key.
    pub fn weed(&self, id: &str) -> Option<&Weed> {
        self.weeds.iter().find(|row| row.id == id)
    }

    /// The finding with this key.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|row| row.id == id)
    }

    /// The source with this key.
    pub fn source(&self, id: &str) -> Option<&CauseSource> {
        self.sources.iter().find(|row| row.id == id)
    }

    /// A source in words; empty where there is none.
    pub fn source_words(&self, id: &str) -> &str {
        self.source(id).map_or("", |s| &s.words)
    }

    /// Whether a source is recalled, not looked up.
    pub fn recalled(&self, id: &str) -> bool {
        self.source(id).is_none_or(|s| s.basis == Ground::FromMemory)
    }

    /// The sources of a weed's marks.
    pub fn sources_of<'a>(&'a self, weed: &'a Weed) -> impl Iterator<Item = &'a CauseSource> {
        weed.from.iter().filter_map(|key| self.source(key))
    }

    /// Months of a life cycle, January first.
    pub fn months_of(&self, life: LifeCycle) -> [f64; 12] {
        self.months.iter().find(|row| row.id == life).map_or([1.0; 12], |row| row.months)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::Almanac;

    /// Each weed with known sources, findings, outcomes and active ingredients; shares that sum to one; dates that are dates.
    #[test]
    fn rows_are_whole() {
        let almanac = Almanac::embedded();
        let t = &almanac.weeds;
        assert!(t.weeds.len() >= 30, "{} weeds", t.weeds.len());
        let ids: BTreeSet<_> = t.weeds.iter().map(|w| &w.id).collect();
        assert_eq!(ids.len(), t.weeds.len(), "a weed stands twice");
        for weed in &t.weeds {
            let id = &weed.id;
            assert_eq!(t.sources_of(weed).count(), weed.from.len(), "{id}: a source is missing");
            assert!(!weed.from.is_empty() && !weed.sites.is_empty() && weed.common > 0.0, "{id}");
            for words in [&weed.tells, &weed.marks, &weed.hand, &weed.culture, &weed.best, &weed.latin] {
                assert!(!words.is_empty(), "{id}");
            }
            for (key, told) in &weed.signs {
                let Some(finding) = t.finding(key) else { panic!("{id}: no finding {key}") };
                for outcome in told.keys() {
                    assert!(finding.outcome(outcome).is_some(), "{id}: {key} has no {outcome}");
                }
                let shares = finding.shares_of(&weed.signs);
                assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{id}: {key}");
                assert!(shares.iter().all(|p| (0.0..=1.0).contains(p)), "{id}: {key}");
            }
            for row in &weed.stages {
                assert!(t.source(&row.from).is_some() && row.lasts_days > 0, "{id}: {:?}", row.stage);
                assert!((1..=12).contains(&row.start[0]) && (1..=31).contains(&row.start[1]), "{id}: start");
                let sums = matches!(row.measure, WeedMeasure::AirGdd | WeedMeasure::SoilGdd);
                assert!(!sums || (row.low > 0.0 && row.high >= row.low), "{id}: {:?}", row.stage);
            }
            assert!(!weed.stages.is_empty(), "{id}: no stage");
            let actives = weed.prevents.iter().map(|p| (&p.active, &p.from));
            for (active, from) in actives.chain(weed.kills.iter().map(|k| (&k.active, &k.from))) {
                assert!(almanac.active(active).is_some(), "{id}: no active {active}");
                assert!(t.source(from).is_some(), "{id}: {active} from {from}");
            }
        }
        for life in [LifeCycle::SummerAnnual, LifeCycle::WinterAnnual, LifeCycle::Biennial, LifeCycle::Perennial] {
            assert!(t.weeds.iter().any(|w| w.life == life) && t.months.iter().any(|m| m.id == life), "{life:?}");
        }
        for finding in &t.findings {
            assert_eq!(finding.usual.len(), finding.outcomes.len(), "{}", finding.id);
            assert!((finding.usual.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{}", finding.id);
            assert!(finding.minutes > 0.0 && !finding.how.is_empty() && !finding.source.is_empty(), "{}", finding.id);
        }
    }

    /// Smooth crabgrass as Fidanza, Dernoeden and Zhang 1996 print it: 42 to 78 °C·d of soil over 12 °C from 1 April for the first
    /// seedlings, 140 to 230 for most; large crabgrass 211 °F·d over 50 °F (Ohio State University); half of henbit's seed by
    /// 620 °C·d, common chickweed's by 790, shepherd's-purse's by 880 (Hill, Renner and Sprague 2014).
    #[test]
    fn published_thresholds() {
        let t = &Almanac::embedded().weeds;
        let row = |weed: &str, stage: WeedStage| {
            t.weed(weed).and_then(|w| w.stages.iter().find(|r| r.stage == stage)).unwrap_or_else(|| panic!("{weed}"))
        };
        let first = row("smooth-crabgrass", WeedStage::Germinates);
        assert_eq!((first.measure, first.base_c, first.start), (WeedMeasure::SoilGdd, 12.0, [4, 1]));
        assert_eq!((first.low, first.high), (42.0, 78.0));
        let many = row("smooth-crabgrass", WeedStage::GerminatesMany);
        assert_eq!((many.low, many.high), (140.0, 230.0));
        let large = row("large-crabgrass", WeedStage::Germinates);
        assert!((large.low * 1.8 - 211.0).abs() < 0.1 && large.base_c == 10.0, "{}", large.low);
        let seeds = |weed| row(weed, WeedStage::Seeds).low;
        assert_eq!((seeds("henbit"), seeds("common-chickweed"), seeds("shepherds-purse")), (620.0, 790.0, 880.0));
        let (spurge, purslane) = (row("spotted-spurge", WeedStage::Germinates), row("purslane", WeedStage::Germinates));
        assert!((spurge.low - (60.0 - 32.0) / 1.8).abs() < 0.1 && (purslane.low - (70.0 - 32.0) / 1.8).abs() < 0.1);
    }
}

//! What is done about a cause of a bad patch: what fits it, when that works, what else helps, and whether the grass comes back.

use serde::{Deserialize, Serialize};

use crate::Almanac;
use crate::cause::Ground;

/// Whether the grass that is there grows again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Heals {
    /// Crowns live as a rule: it greens by itself.
    Regrows,
    /// Crowns may live or not: look at them first.
    Crowns,
    /// What is brown is dead: the gap closes from its rim, or is sown.
    Dead,
}

/// When something begins or ends to work, told by the weather where a threshold is known.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "by", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Moment {
    /// Degree days as a row of the stages counts them: its own sum, or another, and days after.
    Stage {
        /// Key of the row.
        stage: String,
        /// Another sum than the row's lower (°C·d).
        #[serde(default)]
        sum: Option<f64>,
        /// Days after that; negative before.
        #[serde(default)]
        days: i64,
    },
    /// First mean of so many days of the soil at or above a temperature, from a day of the year on.
    SoilAbove {
        /// Temperature (°C).
        c: f64,
        /// Month and day looked from.
        start: [u8; 2],
        /// Days in the mean.
        hold: usize,
    },
    /// First mean of so many days of the soil at or below a temperature, from a day of the year on.
    SoilBelow {
        /// Temperature (°C).
        c: f64,
        /// Month and day looked from.
        start: [u8; 2],
        /// Days in the mean.
        hold: usize,
    },
    /// A day of the calendar, where no threshold is published.
    Day {
        /// Month.
        month: u8,
        /// Day.
        day: u8,
    },
}

/// Days between which something works.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RemedyWindow {
    /// Opens.
    pub from: Moment,
    /// Closes.
    pub until: Moment,
    /// In words.
    pub words: String,
    /// What it rests on.
    pub basis: Ground,
    /// Source.
    pub source: String,
}

/// An ingredient that fits a cause.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RemedyActive {
    /// Key of the active ingredient.
    pub active: String,
    /// Its own window, where it differs from the cause's.
    #[serde(default)]
    pub when: Option<RemedyWindow>,
    /// What the link rests on.
    pub basis: Ground,
    /// Source of the link.
    pub source: String,
}

/// What kind of care a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CareKind {
    /// Water: a depth, so many times, so many days apart.
    Water,
    /// Cut at the upper height of the grass.
    MowHigh,
    /// Nitrogen.
    Feed,
    /// Cores, while the grass grows.
    Core,
    /// Compost or soil on top: a depth.
    Topdress,
    /// Lime or sulphur by a soil test.
    Ph,
    /// The fault of the zone.
    Zone,
    /// What the words say.
    Words,
}

/// A step of care.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CareStep {
    /// Kind.
    pub what: CareKind,
    /// Depth of water or soil (mm).
    #[serde(default)]
    pub mm: Option<f64>,
    /// How many times.
    #[serde(default = "once")]
    pub times: u8,
    /// Days between two.
    #[serde(default)]
    pub apart_days: u16,
    /// Nitrogen (g/m²).
    #[serde(default)]
    pub n_g_m2: Option<f64>,
    /// How, and what for.
    pub words: String,
}

fn once() -> u8 {
    1
}

/// What is done about one cause.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remedy {
    /// Key of the cause.
    pub cause: String,
    /// Whether the grass comes back.
    pub heals: Heals,
    /// Treat only stands younger than half a year; an older one is cared for another way.
    #[serde(default)]
    pub young_only: bool,
    /// Ground treated round the patch (m).
    #[serde(default)]
    pub margin_m: f64,
    /// Ingredients that work now.
    #[serde(default)]
    pub cure: Vec<RemedyActive>,
    /// When they do.
    #[serde(default)]
    pub cure_when: Option<RemedyWindow>,
    /// Ingredients that prevent it.
    #[serde(default)]
    pub prevent: Vec<RemedyActive>,
    /// When they do.
    #[serde(default)]
    pub prevent_when: Option<RemedyWindow>,
    /// Means without a row of their own, in words.
    #[serde(default)]
    pub also: Vec<String>,
    /// Care, in order.
    pub steps: Vec<CareStep>,
    /// Law and danger, before anything else.
    #[serde(default)]
    pub caution: Option<String>,
    /// What the steps rest on.
    pub basis: Ground,
    /// Source of the steps.
    pub source: String,
}

/// How fast a grass closes a gap from its rim.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spread {
    /// Grass.
    pub grass: String,
    /// Each rim, in a month of growth (mm).
    pub mm_month: f64,
    /// What it rests on.
    pub basis: Ground,
    /// Source.
    pub source: String,
}

impl Almanac {
    /// What is done about a cause.
    pub fn remedy(&self, cause: &str) -> Option<&Remedy> {
        self.remedies.iter().find(|r| r.cause == cause)
    }

    /// How fast a grass closes a gap; `None` for one that grows in bunches.
    pub fn spread(&self, grass: &str) -> Option<&Spread> {
        self.spreads.iter().find(|s| s.grass == grass)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ActiveKind;

    /// Every cause has one remedy, every key it names is in the tables, and what cures an insect is no fungicide.
    #[test]
    fn rows_are_whole() {
        let t = Almanac::embedded();
        for cause in &t.causes {
            assert_eq!(t.remedies.iter().filter(|r| r.cause == cause.id).count(), 1, "{}", cause.id);
        }
        for remedy in &t.remedies {
            let cause = t.cause(&remedy.cause).expect("a cause");
            assert!(!remedy.source.is_empty() && !remedy.steps.is_empty(), "{}", cause.id);
            for link in remedy.cure.iter().chain(&remedy.prevent) {
                let active = t.active(&link.active).expect("an active ingredient");
                let want = match cause.group.as_str() {
                    "insect" => ActiveKind::Insecticide,
                    "disease" => ActiveKind::Fungicide,
                    _ => ActiveKind::Preventer,
                };
                assert_eq!(active.kind, want, "{}: {}", cause.id, link.active);
                assert!(!link.source.is_empty());
            }
            let own = remedy.cure.iter().chain(&remedy.prevent).filter_map(|a| a.when.as_ref());
            for window in remedy.cure_when.iter().chain(&remedy.prevent_when).chain(own) {
                assert!(!window.words.is_empty() && !window.source.is_empty());
                for moment in [&window.from, &window.until] {
                    match moment {
                        Moment::Stage { stage, sum, .. } => {
                            let by_degree_days = |s: &&crate::InsectStage| {
                                matches!(s.method, crate::StageMethod::Average | crate::StageMethod::SingleSine)
                            };
                            let row = t.insect_stages.iter().filter(|s| s.id == *stage).find(by_degree_days);
                            assert!(row.is_some(), "{stage}");
                            assert!(sum.is_none_or(|s| s > 0.0));
                        }
                        Moment::SoilAbove { c, hold, .. } | Moment::SoilBelow { c, hold, .. } => {
                            assert!((0.0..35.0).contains(c) && (1..=14).contains(hold), "{}", cause.id);
                        }
                        Moment::Day { month, day } => assert!((1..=12).contains(month) && (1..=28).contains(day)),
                    }
                }
            }
            for step in &remedy.steps {
                let needs_mm = matches!(step.what, CareKind::Water | CareKind::Topdress);
                assert_eq!(step.mm.is_some(), needs_mm, "{}: {}", cause.id, step.words);
                assert_eq!(step.n_g_m2.is_some(), step.what == CareKind::Feed, "{}: {}", cause.id, step.words);
                assert!(!step.words.is_empty() && step.times >= 1);
            }
        }
        for spread in &t.spreads {
            let grass = t.grass(&spread.grass).expect("a grass");
            assert!(grass.habit != "bunch" && spread.mm_month > 0.0 && !spread.source.is_empty(), "{}", grass.id);
        }
    }

    /// Soil temperature to prevent summer patch from, as printed: 65 °F at 2 in for 5 to 6 days (Rutgers, Plant and Pest Advisory of 28
    /// May 2009); large patch of zoysia from 70 °F in autumn, five days (as quoted).
    #[test]
    fn soil_temperatures_as_printed() {
        let t = Almanac::embedded();
        let opens = |cause: &str| match &t.remedy(cause).unwrap().prevent_when.as_ref().unwrap().from {
            Moment::SoilAbove { c, hold, .. } | Moment::SoilBelow { c, hold, .. } => (*c, *hold),
            other => panic!("{other:?}"),
        };
        let celsius = |f: f64| (f - 32.0) / 1.8;
        let (c, hold) = opens("summer-patch");
        assert!((c - celsius(65.0)).abs() < 0.06 && (5..=6).contains(&hold));
        let (c, hold) = opens("large-patch");
        assert!((c - celsius(70.0)).abs() < 0.06 && hold == 5);
    }
}

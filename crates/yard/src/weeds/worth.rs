//! What is worth doing about a weed now, by the stage it is in.

use almanac::{LifeCycle, Weed, WeedForm, WeedStage};
use jiff::Span;
use serde::Serialize;

use super::{StageNow, areas_of};
use crate::advice::Scene;
use crate::advice::preventer::barrier;
use crate::fold::Yard;
use crate::watch::StageState;

/// Days before the first seedlings from which a preventer is worth thinking of; common practice.
const PREVENT_AHEAD_DAYS: i64 = 30;
/// Days before new tubers from which a sedge is worth treating; common practice.
const TUBERS_AHEAD_DAYS: i64 = 35;
/// Days from mid September in which a spray on perennial broad-leaved weeds works best: to the end of October (Purdue Turf).
const AUTUMN_DAYS: i64 = 46;
/// Air in which those weeds grow and take a spray up: 50 to 75 °F (Purdue Turf).
const AUTUMN_C: std::ops::RangeInclusive<f64> = 10.0..=24.0;

/// What is worth doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WorthAct {
    /// Keep the seed from coming up.
    Prevent,
    /// Take it while it is weak: small, or storing for the winter.
    Weak,
    /// Take it before it seeds or stores.
    Before,
    /// Nothing now.
    Nothing,
}

/// What is worth doing now, and why.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worth {
    /// What.
    pub act: WorthAct,
    /// In a sentence.
    pub words: String,
    /// True where it rests on a recalled figure or on the calendar: a hint to look.
    pub hint: bool,
}

fn find(stages: &[StageNow], stage: WeedStage, state: StageState) -> Option<&StageNow> {
    stages.iter().find(|s| s.stage == stage && s.state == state)
}

fn soon(scene: &Scene<'_>, s: &StageNow, days: i64) -> bool {
    s.begins.is_some_and(|w| Yard::days_between(scene.on, w.early) <= days)
}

/// Whether ground of the weed lies without a barrier that stops it.
fn bare(scene: &Scene<'_>, weed: &Weed) -> bool {
    areas_of(scene, weed).iter().any(|area| {
        barrier(scene, &area.key).is_none_or(|(active, ..)| weed.prevents.iter().all(|p| p.active != active.id))
    })
}

/// What is worth doing about a weed in these stages.
pub(super) fn worth(scene: &Scene<'_>, weed: &Weed, stages: &[StageNow]) -> Option<Worth> {
    let told = |act, words: String, s: &StageNow| Some(Worth { act, words, hint: s.recalled || s.by_calendar });
    if let Some(s) = find(stages, WeedStage::Tubers, StageState::Ahead).filter(|s| soon(scene, s, TUBERS_AHEAD_DAYS)) {
        let by = s.begins.map_or(scene.on, |w| w.early);
        return told(WorthAct::Weak, format!("Act at three to eight leaves, before new nuts form about {by}."), s);
    }
    if let Some(s) = find(stages, WeedStage::Germinates, StageState::Ahead)
        .filter(|s| !weed.prevents.is_empty() && soon(scene, s, PREVENT_AHEAD_DAYS) && bare(scene, weed))
    {
        let by = s.begins.map_or(scene.on, |w| w.early);
        return told(WorthAct::Prevent, format!("A preventer would have to be down by about {by}."), s);
    }
    if let Some(s) = autumn(scene, weed) {
        return Some(s);
    }
    if let Some(s) = find(stages, WeedStage::Germinates, StageState::Now) {
        return told(WorthAct::Weak, "Seedlings are coming up: small ones pull and hoe easily.".to_owned(), s);
    }
    let annual = weed.life != LifeCycle::Perennial;
    let blooms = find(stages, WeedStage::Flowers, StageState::Now);
    if let Some(s) = blooms.filter(|_| annual) {
        return told(WorthAct::Before, "In flower: pull or cut it before the seed ripens.".to_owned(), s);
    }
    find(stages, WeedStage::Bolts, StageState::Now).and_then(|s| {
        told(WorthAct::Before, "The stem rises: cut the root below ground before it blooms.".to_owned(), s)
    })
}

/// The weeks in autumn when perennial and biennial broad-leaved weeds store for the winter and take a spray down with it.
fn autumn(scene: &Scene<'_>, weed: &Weed) -> Option<Worth> {
    let lasting = matches!(weed.life, LifeCycle::Perennial | LifeCycle::Biennial);
    if !lasting || weed.form != WeedForm::Broadleaf || weed.kills.is_empty() {
        return None;
    }
    let opens = scene.season_start(9, 15);
    if Yard::days_between(opens, scene.on) > AUTUMN_DAYS {
        return None;
    }
    let last = scene.yesterday();
    let week = scene.weather.run(last.checked_sub(Span::new().days(6)).ok()?, last);
    let mean = week.iter().map(crate::weather::Day::tmean_c).sum::<f64>() / week.len().max(1) as f64;
    AUTUMN_C.contains(&mean).then(|| Worth {
        act: WorthAct::Weak,
        words: "These are the best weeks of the year to dig or spray it: it stores for the winter.".to_owned(),
        hint: false,
    })
}

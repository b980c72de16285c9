//! What was found wrong and waits to be mended: by when, and what mends it.

use jiff::ToSpan;
use jiff::civil::Date;
use reckon::leak_cost::DAYS_MOST;
use serde::Serialize;

use crate::advice::{Item, Job, LogAs, Scene, Where, urgency_of};
use crate::entry::{ToMend, Trouble};
use crate::fold::Dated;

/// Days a finding that loses water waits (common practice; towns often give fewer).
const LOSING_DAYS: i64 = 3;

/// The last day to mend it: the one told, else three days where water runs away, else two weeks.
pub fn mend_by(found: &Dated<ToMend>) -> Date {
    let days = if found.fact.trouble.loses_water() { LOSING_DAYS } else { i64::from(DAYS_MOST) };
    found.fact.by.or_else(|| found.on.checked_add(days.days()).ok()).unwrap_or(found.on)
}

/// One finding with what follows from it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Waiting {
    /// The entry.
    pub id: String,
    /// Zone key.
    pub zone: Option<String>,
    /// Which head, valve or place.
    pub at: String,
    /// What is wrong.
    pub trouble: Trouble,
    /// What mends it.
    pub mend: &'static str,
    /// Day it was found.
    pub found_on: Date,
    /// Last day to mend it.
    pub by: Date,
    /// Remark.
    pub remark: String,
}

/// All that waits, the most urgent first.
pub fn waiting(scene: &Scene<'_>) -> Vec<Waiting> {
    let mut all: Vec<Waiting> = scene
        .yard
        .to_mend
        .iter()
        .map(|d| Waiting {
            id: d.id.clone(),
            zone: d.fact.zone.clone(),
            at: d.fact.at.clone(),
            trouble: d.fact.trouble,
            mend: d.fact.trouble.mend(),
            found_on: d.on,
            by: mend_by(d),
            remark: d.fact.remark.clone(),
        })
        .collect();
    all.sort_by(|a, b| (a.by, &a.id).cmp(&(b.by, &b.id)));
    all
}

/// The fields a repair of it would be logged with.
pub fn repair_fields(w: &Waiting) -> Vec<(&'static str, String)> {
    vec![("done", format!("{}: {}", w.at, w.mend)), ("zone", w.zone.clone().unwrap_or_default())]
}

/// One item for each finding.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    waiting(scene).iter().map(|w| item(scene, w)).collect()
}

fn item(scene: &Scene<'_>, w: &Waiting) -> Item {
    let zone = w.zone.as_deref().and_then(|z| scene.yard.zone(z));
    let loses = if w.trouble.loses_water() { " Water runs away until then." } else { "" };
    let remark = if w.remark.is_empty() { String::new() } else { format!(" {}.", w.remark.trim_end_matches('.')) };
    Item {
        id: format!("mend:{}", w.id),
        job: Job::Mend,
        title: format!("Mend {}: {}", w.at, w.trouble.words()),
        places: zone.map(|z| Where { key: z.key.clone(), name: z.name.clone() }).into_iter().collect(),
        amounts: vec![w.mend.to_owned()],
        urgency: urgency_of(scene.on, w.by),
        from: Some(w.found_on.max(scene.on)),
        by: Some(w.by),
        window: None,
        window_of: "",
        why: format!("Found on {}.{remark}{loses}", w.found_on),
        findings: Vec::new(),
        cautions: vec![
            "Water off and controller off before anything is opened; before digging have buried lines marked. 120 V work is for a licensed electrician."
                .to_owned(),
        ],
        working: Vec::new(),
        assumed: Vec::new(),
        log: vec![LogAs::new("Log the repair", "repaired", &repair_fields(w))],
    }
}

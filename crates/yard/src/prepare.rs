//! From what was typed to an entry that may be stored.

use almanac::Almanac;
use jiff::{Timestamp, civil::Date};

use crate::check_entry::{Fault, check_date, check_entry};
use crate::entry::{Body, Entry, Withdrawn};
use crate::fold::{Yard, fold, in_force};
use crate::form::{Typed, body_from};

/// What only the edge knows: a fresh id, the moment, the yard's today.
#[derive(Clone, Debug, PartialEq)]
pub struct Stamp {
    /// A fresh, sortable id.
    pub id: String,
    /// Now.
    pub recorded_at: Timestamp,
    /// The yard's today.
    pub today: Date,
}

/// Makes an entry of what was typed, checked against the yard as the entries tell it.
///
/// # Errors
/// All faults at once; an entry with a fault is never made.
pub fn prepare(
    entries: &[Entry],
    almanac: &Almanac,
    kind: &str,
    typed: &Typed,
    happened_on: Date,
    supersedes: Option<String>,
    stamp: &Stamp,
) -> Result<Entry, Vec<Fault>> {
    // Read in the units the person was shown, judged against the yard of the day it happened: work on an area since given up
    // can still be written down.
    let now = fold(entries, stamp.today);
    let body = match body_from(kind, typed, &now, almanac) {
        Ok(body) => body,
        Err(mut faults) => {
            faults.extend(check_date(happened_on, kind.starts_with("plan-"), stamp.today));
            return Err(faults);
        }
    };
    let then = Yard { facts: now.facts, products: now.products, ..fold(entries, happened_on.min(stamp.today)) };
    let entry = Entry { id: stamp.id.clone(), happened_on, recorded_at: stamp.recorded_at, supersedes, body };
    let mut faults = check_entry(&entry, &then, almanac, stamp.today);
    if let Some(target) = &entry.supersedes {
        faults.extend(check_target(entries, target, Some(&entry.body)));
    }
    if faults.is_empty() { Ok(entry) } else { Err(faults) }
}

/// Makes entries of bodies as a program made them (the drawing of a map, a map file), each checked against the yard as the
/// entries before it tell it. `stamp` gives each entry its own id.
///
/// # Errors
/// All faults of the first body that has any, its place among the bodies told in front of each; nothing is made then.
pub fn prepare_bodies(
    entries: &[Entry],
    almanac: &Almanac,
    bodies: Vec<Body>,
    happened_on: Date,
    mut stamp: impl FnMut() -> Stamp,
) -> Result<Vec<Entry>, Vec<Fault>> {
    let mut all = entries.to_vec();
    let mut made = Vec::with_capacity(bodies.len());
    // Folded anew only after what a check looks at: areas, zones, products, the yard itself.
    let mut folded: Option<Yard> = None;
    for body in bodies {
        let Stamp { id, recorded_at, today } = stamp();
        let yard = folded.get_or_insert_with(|| fold(&all, today));
        let what = crate::words::line(&body, yard);
        let looked_at = matches!(body, Body::Area(_) | Body::Zone(_) | Body::Product(_) | Body::Yard(_));
        let entry = Entry { id, happened_on, recorded_at, supersedes: None, body };
        let faults = check_entry(&entry, yard, almanac, today);
        if !faults.is_empty() {
            let told = |f: Fault| Fault { message: format!("{what}: {}", f.message), ..f };
            return Err(faults.into_iter().map(told).collect());
        }
        all.push(entry.clone());
        made.push(entry);
        if looked_at {
            folded = None;
        }
    }
    Ok(made)
}

/// Makes the entry that withdraws another.
///
/// # Errors
/// When the other entry does not exist or is no longer in force.
pub fn withdraw(entries: &[Entry], target: &str, why: &str, stamp: &Stamp) -> Result<Entry, Vec<Fault>> {
    let faults = check_target(entries, target, None);
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(Entry {
        id: stamp.id.clone(),
        happened_on: stamp.today,
        recorded_at: stamp.recorded_at,
        supersedes: Some(target.to_owned()),
        body: Body::Withdrawn(Withdrawn { why: why.to_owned() }),
    })
}

fn check_target(entries: &[Entry], target: &str, body: Option<&Body>) -> Vec<Fault> {
    let fault = |message: String| vec![Fault { field: "supersedes".to_owned(), message }];
    let Some(old) = entries.iter().find(|e| e.id == target) else {
        return fault(format!("there is no entry {target}"));
    };
    if !in_force(entries).iter().any(|e| e.id == target) {
        return fault(format!("entry {target} was already corrected or withdrawn; correct the newest one"));
    }
    match body {
        // A plan is superseded by the work itself, once done.
        Some(Body::Applied(_) | Body::Seeded(_)) if matches!(old.body, Body::Planned(_)) => Vec::new(),
        // What was found is superseded by its repair.
        Some(Body::Repaired(_)) if matches!(old.body, Body::ToMend(_)) => Vec::new(),
        Some(new) if new.kind() != old.body.kind() => fault(format!(
            "entry {target} is “{}”, the correction is “{}”; withdraw the one and log the other",
            old.body.kind(),
            new.kind()
        )),
        _ => Vec::new(),
    }
}

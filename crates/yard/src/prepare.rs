//! From what was typed to an entry that may be stored.

use almanac::Almanac;
use jiff::{Timestamp, civil::Date};

use crate::check_entry::{Fault, check_entry};
use crate::entry::{Body, Entry, Withdrawn};
use crate::fold::{fold, in_force};
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
    let yard = fold(entries, stamp.today);
    let body = body_from(kind, typed, &yard, almanac)?;
    let entry = Entry { id: stamp.id.clone(), happened_on, recorded_at: stamp.recorded_at, supersedes, body };
    let mut faults = check_entry(&entry, &yard, almanac, stamp.today);
    if let Some(target) = &entry.supersedes {
        faults.extend(check_target(entries, target, Some(&entry.body)));
    }
    if faults.is_empty() { Ok(entry) } else { Err(faults) }
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
        Some(new) if new.kind() != old.body.kind() => fault(format!(
            "entry {target} is “{}”, the correction is “{}”; withdraw the one and log the other",
            old.body.kind(),
            new.kind()
        )),
        _ => Vec::new(),
    }
}

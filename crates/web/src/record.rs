//! Storing an entry: typed words to a checked entry, and into the ledger.

use std::time::SystemTime;

use almanac::Almanac;
use jiff::Timestamp;
use jiff::civil::Date;
use ledger::LedgerError;
use ulid::Ulid;
use yard::form::Typed;
use yard::weather::NoWeather;
use yard::{Body, Entry, Fault, Stamp, prepare};

use crate::state::Site;

/// Why an entry was not stored. In every case nothing was.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    /// What was typed has faults, told all at once.
    #[error("{}", said(.0))]
    Faults(Vec<Fault>),
    /// The ledger refused or failed.
    #[error(transparent)]
    Ledger(#[from] LedgerError),
    /// The yard's place has no weather at all.
    #[error(transparent)]
    Weather(#[from] NoWeather),
}

fn said(faults: &[Fault]) -> String {
    faults.iter().map(|f| f.message.as_str()).collect::<Vec<_>>().join("; ")
}

/// An id that sorts by time, and the moment: made once at the edge.
pub fn stamp(today: Date) -> Stamp {
    let now = SystemTime::now();
    let recorded_at = Timestamp::try_from(now).unwrap_or_else(|_| Timestamp::now());
    Stamp { id: Ulid::from_datetime(now).to_string(), recorded_at, today }
}

pub(crate) fn new_entry(body: Body, happened_on: Date, supersedes: Option<String>) -> Entry {
    let Stamp { id, recorded_at, .. } = stamp(happened_on);
    Entry { id, happened_on, recorded_at, supersedes, body }
}

/// Makes an entry from what was typed, checks it, stores it and folds the facts anew, under one lock.
///
/// # Errors
/// [`RecordError`]; nothing is stored then.
pub fn record(
    site: &Site,
    kind: &str,
    typed: &Typed,
    happened_on: Date,
    supersedes: Option<String>,
) -> Result<Entry, RecordError> {
    let stored = site.store(|facts, today| {
        prepare(&facts.entries, Almanac::embedded(), kind, typed, happened_on, supersedes, &stamp(today))
            .map(|e| vec![e])
    })?;
    stored.into_iter().next().ok_or_else(|| RecordError::Faults(Vec::new()))
}

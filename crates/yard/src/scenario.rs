//! A daybook as plain text: one entry a line, the way a person types it on the command line.
//!
//! ```text
//! # comment
//! 2014-04-17 applied areas=play-lawn product=prodiamine-granule rate="2.5 lb/1000 sq ft"
//! ```

use almanac::Almanac;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;

use crate::entry::Entry;
use crate::form::Typed;
use crate::prepare::{Stamp, prepare};

/// A line of the text that cannot be an entry.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {message}")]
pub struct LineFault {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong.
    pub message: String,
}

/// Splits `field=value field="two words"` into pairs.
///
/// # Errors
/// Words for the user: the part that is not `field=value`, or a quote left open.
pub fn pairs(text: &str) -> Result<Typed, String> {
    let mut typed = Typed::new();
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let Some((name, after)) = rest.split_once('=') else {
            return Err(format!("“{rest}” is not field=value"));
        };
        let name = name.trim();
        if name.is_empty() || name.contains(char::is_whitespace) {
            return Err(format!(
                "“{name}” is not a field's name; write field=value, and quote values of several words"
            ));
        }
        let (value, next) = if let Some(quoted) = after.strip_prefix('"') {
            quoted.split_once('"').ok_or_else(|| format!("the quote after {name}= is never closed"))?
        } else {
            after.split_once(char::is_whitespace).unwrap_or((after, ""))
        };
        if typed.insert(name.to_owned(), value.to_owned()).is_some() {
            return Err(format!("{name} is told twice"));
        }
        rest = next.trim_start();
    }
    Ok(typed)
}

/// Reads a daybook text. Ids count up from `prefix`-0001; every entry is taken as recorded at seven in the evening of its day.
///
/// # Errors
/// Every faulty line.
pub fn read(text: &str, prefix: &str, almanac: &Almanac) -> Result<Vec<Entry>, Vec<LineFault>> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut faults = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let line_number = i + 1;
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        match read_line(line, prefix, almanac, &entries) {
            Ok(entry) => entries.push(entry),
            Err(message) => faults.push(LineFault { line: line_number, message }),
        }
    }
    if faults.is_empty() { Ok(entries) } else { Err(faults) }
}

fn read_line(line: &str, prefix: &str, almanac: &Almanac, entries: &[Entry]) -> Result<Entry, String> {
    let mut parts = line.splitn(3, char::is_whitespace);
    let date = parts.next().unwrap_or_default();
    let on: Date = date.parse().map_err(|_| format!("“{date}” is not a date like 2014-04-17"))?;
    let kind = parts.next().ok_or("the kind of entry is missing")?;
    let typed = pairs(parts.next().unwrap_or_default())?;
    let evening = on
        .to_datetime(Time::constant(19, 0, 0, 0))
        .to_zoned_datetime(TimeZone::UTC)
        .map_err(|e| e.to_string())?
        .timestamp();
    let stamp = Stamp { id: format!("{prefix}-{:04}", entries.len() + 1), recorded_at: evening, today: on };
    prepare(entries, almanac, kind, &typed, on, None, &stamp)
        .map_err(|faults| faults.iter().map(|f| format!("{}: {}", f.field, f.message)).collect::<Vec<_>>().join("; "))
}

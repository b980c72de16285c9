//! Entries out and in as JSON Lines: one entry a line, the very text that is stored.

use std::io::{self, BufRead, Read, Write};

use yard::Entry;

use crate::entries::{ENTRIES_MAX, ENTRY_BYTES_MAX, canonical, insert};
use crate::error::{ImportFaults, LedgerError, at};
use crate::store::Ledger;

/// Most bytes of one import.
pub const IMPORT_BYTES_MAX: u64 = 256 * 1024 * 1024;

const BYTE_ORDER_MARK: &[u8] = "\u{feff}".as_bytes();

impl Ledger {
    /// Writes every entry as one line, in the order recorded, and says how many.
    ///
    /// The texts are read before the first is written, so that a slow reader does not keep others from the ledger.
    ///
    /// # Errors
    /// [`LedgerError::WriteStopped`] where `out` fails.
    pub fn export(&self, out: &mut impl Write) -> Result<usize, LedgerError> {
        let at = at(&self.path);
        let mut query = self.conn.prepare_cached("SELECT text FROM entry ORDER BY seq").map_err(&at)?;
        let texts: Vec<String> =
            query.query_map([], |row| row.get(0)).and_then(|rows| rows.collect::<Result<_, _>>()).map_err(&at)?;
        let stopped = |source| LedgerError::WriteStopped { source };
        for text in &texts {
            out.write_all(text.as_bytes()).map_err(stopped)?;
            out.write_all(b"\n").map_err(stopped)?;
        }
        out.flush().map_err(stopped)?;
        Ok(texts.len())
    }

    /// Records the entry of every line, all in one transaction or none, and says how many.
    ///
    /// A line another program rewrote (blanks, the order of members, `10` for `10.0`) is stored in Toft's own spelling, so that
    /// the same entry has one text only. Empty lines and a byte order mark are passed over. Reading ends before writing begins.
    ///
    /// # Errors
    /// [`LedgerError::Import`] with every faulty line: no entry, an id already recorded, an unknown or already superseded target,
    /// too long. [`LedgerError::ImportTooLarge`] and [`LedgerError::ReadStopped`] for the input as a whole.
    pub fn import_entries(&mut self, input: impl BufRead) -> Result<usize, LedgerError> {
        let mut faults = ImportFaults::default();
        let lines = read(input, &mut faults)?;
        let path = self.path.clone();
        let tx = self.write()?;
        for Line { number, entry, text } in &lines {
            match insert(&tx, &path, entry, text) {
                Ok(()) => {}
                // The fault lies with the file, not with a line of the import.
                Err(e) if e.path().is_some() => return Err(e),
                Err(e @ LedgerError::LedgerFull { .. }) => return Err(e),
                Err(e) => faults.add(*number, e),
            }
        }
        if faults.total > 0 {
            return Err(LedgerError::Import(faults));
        }
        tx.commit().map_err(at(&path))?;
        Ok(lines.len())
    }
}

struct Line {
    number: u64,
    entry: Entry,
    text: String,
}

/// The entries of all lines that are one; the others are added to `faults`.
fn read(mut input: impl BufRead, faults: &mut ImportFaults) -> Result<Vec<Line>, LedgerError> {
    let mut lines = Vec::new();
    let mut bytes = Vec::new();
    let mut bytes_read = 0;
    for number in 1.. {
        bytes.clear();
        let taken =
            next_line(&mut input, &mut bytes).map_err(|source| LedgerError::ReadStopped { line: number, source })?;
        if taken == 0 {
            break;
        }
        bytes_read += taken as u64;
        if bytes_read > IMPORT_BYTES_MAX || number > u64::from(ENTRIES_MAX) {
            return Err(LedgerError::ImportTooLarge);
        }
        let mut line = bytes.strip_suffix(b"\n").unwrap_or(&bytes);
        if number == 1 {
            line = line.strip_prefix(BYTE_ORDER_MARK).unwrap_or(line);
        }
        if line.len() > ENTRY_BYTES_MAX {
            faults.add(number, LedgerError::LineTooLong);
            break;
        }
        if line.trim_ascii().is_empty() {
            continue;
        }
        match parse(line) {
            Ok((entry, text)) => lines.push(Line { number, entry, text }),
            Err(e) => faults.add(number, e),
        }
    }
    Ok(lines)
}

/// Reads up to the end of a line, or just past the longest one there may be.
fn next_line(input: &mut impl BufRead, bytes: &mut Vec<u8>) -> io::Result<usize> {
    let longest = BYTE_ORDER_MARK.len() + ENTRY_BYTES_MAX + 1;
    input.take(longest as u64).read_until(b'\n', bytes)
}

fn parse(line: &[u8]) -> Result<(Entry, String), LedgerError> {
    let entry: Entry =
        serde_json::from_slice(line).map_err(|e| LedgerError::NotAnEntry { detail: without_line(&e) })?;
    let text = canonical(&entry)?;
    Ok((entry, text))
}

/// The reader's words with the column only: it saw a single line and counts it as the first.
fn without_line(error: &serde_json::Error) -> String {
    let words = error.to_string();
    match words.strip_suffix(&format!(" at line {} column {}", error.line(), error.column())) {
        Some(bare) => format!("{bare}, at column {}", error.column()),
        None => words,
    }
}

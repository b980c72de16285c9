//! A copy of the ledger that was read back.

use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use crate::digest::{Holdings, holdings};
use crate::error::{LedgerError, at};
use crate::new_file::NewFile;
use crate::schema;
use crate::store::{Ledger, connect};

/// What a backup holds, as read back from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BackupReport {
    /// The backup.
    pub path: PathBuf,
    /// Entries in it.
    pub entries: usize,
    /// Rows of weather in it.
    pub weather_rows: usize,
    /// Pictures in it.
    pub pictures: usize,
    /// Its size.
    pub bytes: u64,
    /// 32 hexadecimal digits over all it holds; two files with the same facts have the same digest.
    pub digest: String,
}

impl Ledger {
    /// Copies the ledger to `to`, which appears there only once the copy was checked, read back and found equal.
    ///
    /// Others may go on using the ledger; the copy is what was saved when it began. The backup is a ledger like any other:
    /// it is restored by putting it in the ledger's place, or opened where it is.
    ///
    /// # Errors
    /// [`LedgerError::Exists`] where something is at `to`; [`LedgerError::CopyDiffers`] where the copy was found faulty;
    /// [`LedgerError::Damaged`] where the ledger itself can't be read.
    pub fn backup(&self, to: &Path) -> Result<BackupReport, LedgerError> {
        let file = NewFile::for_target(to)?;
        // One read transaction over digest and copy, so that both see the same moment.
        let moment = Transaction::new_unchecked(&self.conn, TransactionBehavior::Deferred).map_err(at(&self.path))?;
        let held = holdings(&self.conn, &self.path)?;
        {
            let mut copy = connect(file.path(), to, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            copy_pages(&self.conn, &mut copy, to)?;
        }
        drop(moment);
        verify(file.path(), to, &held).map_err(|fault| self.own_damage().unwrap_or(fault))?;
        let bytes = fs::metadata(file.path()).map_err(|e| LedgerError::of_system(to, &e))?.len();
        file.publish()?;
        Ok(BackupReport {
            path: to.to_owned(),
            entries: held.entries,
            weather_rows: held.weather_days,
            pictures: held.pictures,
            bytes,
            digest: held.digest.to_string(),
        })
    }

    /// What SQLite finds wrong with the ledger itself, where it does: a true copy of damage is no fault of the copy.
    fn own_damage(&self) -> Option<LedgerError> {
        match integrity(&self.conn) {
            Ok(verdict) if verdict == "ok" => None,
            Ok(detail) => Some(LedgerError::Damaged { path: self.path.clone(), detail }),
            Err(error) => Some(LedgerError::of_sqlite(&self.path, error)),
        }
    }
}

/// `ok`, or the first thing that is wrong.
fn integrity(conn: &Connection) -> rusqlite::Result<String> {
    conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))
}

fn copy_pages(from: &Connection, copy: &mut Connection, to: &Path) -> Result<(), LedgerError> {
    let backup = Backup::new(from, copy).map_err(at(to))?;
    loop {
        match backup.step(-1).map_err(at(to))? {
            StepResult::Done => return Ok(()),
            StepResult::More => {}
            // Nobody else knows the copy's name, and the ledger is held for reading: whoever is in the way stays there.
            _ => return Err(LedgerError::Busy { path: to.to_owned() }),
        }
    }
}

/// Reads the copy at `file` as a stranger would, and compares it with what it should hold.
fn verify(file: &Path, to: &Path, held: &Holdings) -> Result<(), LedgerError> {
    let differs = |detail: String| LedgerError::CopyDiffers { path: to.to_owned(), detail };
    let read_back = || -> Result<(String, Holdings), LedgerError> {
        let copy = connect(file, to, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        schema::recognise(&copy, to)?;
        schema::check(&copy, to)?;
        let verdict = integrity(&copy).map_err(at(to))?;
        Ok((verdict, holdings(&copy, to)?))
    };
    let (verdict, read) = read_back().map_err(|e| differs(e.to_string()))?;
    if verdict != "ok" {
        return Err(differs(verdict));
    }
    if read != *held {
        return Err(differs(format!(
            "{} entries of {}, digest {} instead of {}",
            read.entries, held.entries, read.digest, held.digest
        )));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ledger(dir: &Path, notes: usize) -> Ledger {
        let mut ledger = Ledger::create(&dir.join("yard.toft")).unwrap();
        let lines: String = (0..notes)
            .map(|n| {
                format!(
                    "{{\"id\":\"n{n}\",\"happened_on\":\"2026-05-01\",\"recorded_at\":\"2026-05-01T18:00:00Z\",\
                     \"body\":{{\"kind\":\"note/1\",\"text\":\"Word {n} of many.\"}}}}\n"
                )
            })
            .collect();
        ledger.import_entries(lines.as_bytes()).unwrap();
        ledger
    }

    /// A copy with one letter changed is found out by its digest, one with a torn page or a missing end by SQLite.
    #[test]
    fn a_faulty_copy_is_found_out() {
        let dir = tempfile::tempdir().unwrap();
        let ledger = ledger(dir.path(), 500);
        let held = holdings(&ledger.conn, &ledger.path).unwrap();
        let good = fs::read(&ledger.path).unwrap();
        let copy = dir.path().join("copy");
        let verdict = |bytes: &[u8]| {
            fs::write(&copy, bytes).unwrap();
            verify(&copy, Path::new("backup"), &held)
        };
        verdict(&good).unwrap();

        let letter = good.windows(9).rposition(|w| w == b"Word 321 ").unwrap();
        let mut bytes = good.clone();
        bytes[letter + 1] = b'a';
        let error = verdict(&bytes).unwrap_err();
        assert!(error.to_string().contains("500 entries of 500, digest"), "{error}");

        let mut bytes = good.clone();
        let page = bytes.len() / 2 / 4096 * 4096;
        bytes[page..page + 2048].fill(0x5a);
        assert!(matches!(verdict(&bytes), Err(LedgerError::CopyDiffers { .. })));
        assert!(matches!(verdict(&good[..good.len() - 4096]), Err(LedgerError::CopyDiffers { .. })));
    }

    /// A ledger with a torn index is named itself, and no backup is left that looks like one.
    #[test]
    fn damage_of_the_ledger_is_told_as_such() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        let sql = "SELECT rootpage FROM sqlite_schema WHERE name = 'sqlite_autoindex_entry_1'";
        let page: usize = ledger(dir.path(), 5).conn.query_row(sql, [], |row| row.get::<_, u32>(0)).unwrap() as usize;
        let mut bytes = fs::read(&path).unwrap();
        bytes[(page - 1) * 4096 + 4000..page * 4096].fill(0x41);
        fs::write(&path, bytes).unwrap();
        let to = dir.path().join("backup.toft");
        let error = Ledger::open(&path).unwrap().backup(&to).unwrap_err();
        assert!(matches!(&error, LedgerError::Damaged { path: named, .. } if *named == path), "{error}");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
    }

    /// The digest is over the facts: a file that was rebuilt page by page has the same.
    #[test]
    fn a_rebuilt_file_has_the_same_digest() {
        let dir = tempfile::tempdir().unwrap();
        let ledger = ledger(dir.path(), 50);
        let before = holdings(&ledger.conn, &ledger.path).unwrap();
        ledger.conn.execute_batch("VACUUM").unwrap();
        assert_eq!(holdings(&ledger.conn, &ledger.path).unwrap(), before);
    }
}

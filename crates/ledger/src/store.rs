//! The ledger itself: making, opening, and the one way to write to it.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, MAIN_DB, OpenFlags, Transaction, TransactionBehavior};

use crate::error::{LedgerError, at};
use crate::new_file::NewFile;
use crate::schema;

/// Seconds another program may hold the file before a call gives up.
pub(crate) const BUSY_SECONDS: u64 = 5;

/// Bytes of the smallest page an SQLite database can have.
const PAGE_BYTES_MIN: u64 = 512;

/// The facts of one yard, in one SQLite file.
///
/// It owns its connection and can be moved to the thread that shall do the writing. Other programs may have the same file open;
/// each call sees what was saved before it began.
///
/// # Examples
/// ```
/// let mut ledger = ledger::Ledger::in_memory()?;
/// let line = r#"{"id":"n1","happened_on":"2026-05-01","recorded_at":"2026-05-01T18:00:00Z","body":{"kind":"note/1","text":"Aphids on the rose."}}"#;
/// assert_eq!(ledger.import_entries(line.as_bytes())?, 1);
/// let mut out = Vec::new();
/// ledger.export(&mut out)?;
/// assert_eq!(out, format!("{line}\n").into_bytes());
/// # Ok::<(), ledger::LedgerError>(())
/// ```
#[derive(Debug)]
pub struct Ledger {
    pub(crate) conn: Connection,
    pub(crate) path: PathBuf,
}

impl Ledger {
    /// Makes a new ledger at `path`; the file appears there whole or not at all.
    ///
    /// # Errors
    /// [`LedgerError::Exists`] where something is at `path`, [`LedgerError::LeftBehind`] where journals of an earlier file are,
    /// and whatever the computer has against it.
    pub fn create(path: &Path) -> Result<Self, LedgerError> {
        let file = NewFile::for_target(path)?;
        {
            let mut conn = connect(file.path(), path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            schema::found(&mut conn, path)?;
        }
        file.publish()?;
        Self::open(path)
    }

    /// Opens the ledger at `path`, brings it to this program's version, and checks that its tables and triggers stand.
    ///
    /// # Errors
    /// [`LedgerError::Absent`], [`LedgerError::NotAFile`], [`LedgerError::NotALedger`], [`LedgerError::Newer`],
    /// [`LedgerError::SchemaChanged`], [`LedgerError::Damaged`], [`LedgerError::NotWritable`], [`LedgerError::Busy`]. A file that
    /// is refused was not written to.
    pub fn open(path: &Path) -> Result<Self, LedgerError> {
        Self::open_with(path, OpenFlags::SQLITE_OPEN_READ_WRITE)
    }

    /// A ledger that is gone when it is dropped: for tests and the demo.
    ///
    /// # Errors
    /// [`LedgerError::Internal`] where there is no memory for it.
    pub fn in_memory() -> Result<Self, LedgerError> {
        let path = PathBuf::from("(in memory)");
        let mut conn = Connection::open_in_memory().map_err(at(&path))?;
        settle(&conn, &path)?;
        schema::found(&mut conn, &path)?;
        Ok(Self { conn, path })
    }

    fn open_with(path: &Path, flags: OpenFlags) -> Result<Self, LedgerError> {
        let about = fs::metadata(path).map_err(|e| match LedgerError::of_system(path, &e) {
            LedgerError::NotWritable { path, detail } => LedgerError::Io { path, detail },
            other => other,
        })?;
        if !about.is_file() {
            return Err(LedgerError::NotAFile { path: path.to_owned() });
        }
        // SQLite would take a file this short for an empty database.
        if about.len() < PAGE_BYTES_MIN {
            let seen = format!("{} bytes, too short for an SQLite database", about.len());
            return Err(LedgerError::NotALedger { path: path.to_owned(), seen });
        }
        let mut conn = connect(path, path, flags)?;
        schema::recognise(&conn, path)?;
        refuse_torn(&conn, path)?;
        if conn.is_readonly(MAIN_DB).map_err(at(path))? {
            let detail = "it can only be read".to_owned();
            return Err(LedgerError::NotWritable { path: path.to_owned(), detail });
        }
        // Checked as the version it has, so that a file that is refused was not migrated either.
        schema::check(&conn, path)?;
        schema::migrate(&mut conn, path, schema::MIGRATIONS)?;
        Ok(Self { conn, path: path.to_owned() })
    }

    /// A number that changes when another program has written to the file since this one opened it.
    ///
    /// # Errors
    /// What SQLite says of the file.
    pub fn data_version(&self) -> Result<i64, LedgerError> {
        self.conn.pragma_query_value(None, "data_version", |row| row.get(0)).map_err(at(&self.path))
    }

    /// Starts the one transaction of a call that writes; dropped without commit, it leaves nothing.
    pub(crate) fn write(&mut self) -> Result<Transaction<'_>, LedgerError> {
        let Self { conn, path } = self;
        conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(at(path))
    }
}

/// Opens the database at `file`; `named` is what errors call it.
pub(crate) fn connect(file: &Path, named: &Path, flags: OpenFlags) -> Result<Connection, LedgerError> {
    // An absolute path, for SQLite takes some relative ones as a URI or as a database in memory.
    let file = std::path::absolute(file).map_err(|e| LedgerError::of_system(named, &e))?;
    let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(file, flags).map_err(at(named))?;
    settle(&conn, named)?;
    Ok(conn)
}

/// Refuses a file that ends within a page: SQLite would read the missing bytes as zeroes. (It finds missing pages itself.)
fn refuse_torn(conn: &Connection, path: &Path) -> Result<(), LedgerError> {
    // Within a read transaction, so that no other program is just then adding pages or playing a journal back.
    let moment = Transaction::new_unchecked(conn, TransactionBehavior::Deferred).map_err(at(path))?;
    moment.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(())).map_err(at(path))?;
    let page_bytes: u32 = moment.pragma_query_value(None, "page_size", |row| row.get(0)).map_err(at(path))?;
    let bytes = fs::metadata(path).map_err(|e| LedgerError::of_system(path, &e))?.len();
    if !bytes.is_multiple_of(page_bytes.into()) {
        let detail = format!("its {bytes} bytes are not whole pages of {page_bytes}");
        return Err(LedgerError::Damaged { path: path.to_owned(), detail });
    }
    Ok(())
}

/// The settings of every connection. None of them touches the file, so that one that is no ledger is left alone.
fn settle(conn: &Connection, path: &Path) -> Result<(), LedgerError> {
    conn.busy_timeout(Duration::from_secs(BUSY_SECONDS)).map_err(at(path))?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true).map_err(at(path))?;
    conn.pragma_update(None, "trusted_schema", false).map_err(at(path))?;
    conn.pragma_update(None, "cell_size_check", true).map_err(at(path))?;
    conn.pragma_update(None, "foreign_keys", true).map_err(at(path))?;
    conn.pragma_update(None, "synchronous", "EXTRA").map_err(at(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ledger can be moved to a writer thread.
    #[test]
    fn a_ledger_is_send() {
        fn is_send<T: Send>() {}
        is_send::<Ledger>();
    }

    /// The settings that 'saved is saved' rests on are in force after opening: read back from SQLite.
    #[test]
    fn settings_are_in_force() {
        let dir = tempfile::tempdir().unwrap();
        let ledger = Ledger::create(&dir.path().join("yard.toft")).unwrap();
        let pragma = |name| -> i64 { ledger.conn.pragma_query_value(None, name, |row| row.get(0)).unwrap() };
        assert_eq!(pragma("synchronous"), 3);
        assert_eq!(pragma("busy_timeout"), 1000 * BUSY_SECONDS as i64);
        assert_eq!(pragma("foreign_keys"), 1);
        assert_eq!(pragma("trusted_schema"), 0);
        let mode: String = ledger.conn.pragma_query_value(None, "journal_mode", |row| row.get(0)).unwrap();
        assert_eq!(mode, "delete");
    }

    /// A file that may only be read is refused at opening, not at the first entry. (Permissions can't show it where tests run as
    /// the superuser, so the connection is opened for reading.)
    #[test]
    fn a_read_only_file_is_refused() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        drop(Ledger::create(&path).unwrap());
        let error = Ledger::open_with(&path, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap_err();
        assert!(matches!(error, LedgerError::NotWritable { .. }), "{error}");
    }

    /// While another connection holds the write lock a call gives up with `Busy`, and works once the lock is gone.
    #[test]
    fn a_held_lock_is_busy() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        let mut ledger = Ledger::create(&path).unwrap();
        ledger.conn.busy_timeout(Duration::ZERO).unwrap();
        let other = Connection::open(&path).unwrap();
        other.execute_batch("BEGIN EXCLUSIVE").unwrap();
        assert!(matches!(ledger.write().unwrap_err(), LedgerError::Busy { .. }));
        assert!(matches!(ledger.entries().unwrap_err(), LedgerError::Busy { .. }));
        other.execute_batch("ROLLBACK").unwrap();
        assert!(ledger.entries().unwrap().is_empty());
        assert!(ledger.write().is_ok());
    }
}

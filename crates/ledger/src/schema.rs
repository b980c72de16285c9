//! The file's tables, their versions, and the check that they are still what they were made to be.

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

use crate::error::{LedgerError, at};

/// The mark in the file's header that tells a ledger from any other SQLite file: the letters "Toft".
pub const APPLICATION_ID: i32 = i32::from_be_bytes(*b"Toft");

/// Each step takes the file from the version of its index to the next. A step that was released is never edited.
pub(crate) const MIGRATIONS: &[&str] =
    &[include_str!("../schema/1.sql"), include_str!("../schema/2.sql"), include_str!("../schema/3.sql")];

/// Every table, with the order in which its rows are read for a digest.
pub(crate) const TABLES: &[(&str, &str)] = &[
    ("entry", "seq"),
    ("weather_import", "id"),
    ("weather_day", "date, import_id"),
    ("picture", "hash"),
    ("forecast", "seq"),
    ("forecast_day", "seq, date"),
];

/// Marks a blank database as a ledger and makes its tables.
pub(crate) fn found(conn: &mut Connection, path: &Path) -> Result<(), LedgerError> {
    conn.pragma_update(None, "application_id", APPLICATION_ID).map_err(at(path))?;
    migrate(conn, path, MIGRATIONS)
}

/// Refuses what is no ledger or too new, without writing to it.
pub(crate) fn recognise(conn: &Connection, path: &Path) -> Result<(), LedgerError> {
    let mark: i32 = pragma(conn, path, "application_id")?;
    if mark != APPLICATION_ID {
        let seen = "an SQLite database of another program".to_owned();
        return Err(LedgerError::NotALedger { path: path.to_owned(), seen });
    }
    let found: i32 = pragma(conn, path, "user_version")?;
    let known = MIGRATIONS.len() as i64;
    if i64::from(found) > known {
        return Err(LedgerError::Newer { path: path.to_owned(), found: found.into(), known });
    }
    if found < 1 {
        let detail = format!("its version is {found}");
        return Err(LedgerError::Damaged { path: path.to_owned(), detail });
    }
    Ok(())
}

/// Brings the file up to the last of `migrations`, in one transaction.
pub(crate) fn migrate(conn: &mut Connection, path: &Path, migrations: &[&str]) -> Result<(), LedgerError> {
    let last = migrations.len() as i32;
    if pragma(conn, path, "user_version")? == last {
        return Ok(());
    }
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(at(path))?;
    // Read again: another program may have migrated it before the lock was had.
    let from = pragma(&tx, path, "user_version")?;
    for step in migrations.iter().skip(from.max(0) as usize) {
        tx.execute_batch(step).map_err(at(path))?;
    }
    if from < last {
        tx.pragma_update(None, "user_version", last).map_err(at(path))?;
    }
    tx.commit().map_err(at(path))
}

/// Refuses a file whose tables, keys or triggers are not those of its version: without them, only-growing is a promise.
pub(crate) fn check(conn: &Connection, path: &Path) -> Result<(), LedgerError> {
    let mut model = Connection::open_in_memory().map_err(at(path))?;
    let version = pragma(conn, path, "user_version")?.max(0) as usize;
    migrate(&mut model, path, MIGRATIONS.get(..version).unwrap_or(MIGRATIONS))?;
    let (seen, made) = (objects(conn, path)?, objects(&model, path)?);
    if seen == made {
        return Ok(());
    }
    let differs = |a: &[(String, String)], b: &[(String, String)]| {
        a.iter().find(|object| !b.contains(object)).map(|(name, _)| name.clone())
    };
    let object = differs(&made, &seen).or_else(|| differs(&seen, &made)).unwrap_or_default();
    Err(LedgerError::SchemaChanged { path: path.to_owned(), object })
}

/// Name and definition of each table, index and trigger but SQLite's own.
fn objects(conn: &Connection, path: &Path) -> Result<Vec<(String, String)>, LedgerError> {
    const SQL: &str = "SELECT name, sql FROM sqlite_schema
                       WHERE name NOT LIKE 'sqlite~_%' ESCAPE '~' ORDER BY name";
    let mut query = conn.prepare(SQL).map_err(at(path))?;
    let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).map_err(at(path))?;
    rows.collect::<Result<_, _>>().map_err(at(path))
}

fn pragma(conn: &Connection, path: &Path, name: &str) -> Result<i32, LedgerError> {
    conn.pragma_query_value(None, name, |row| row.get(0)).map_err(at(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(conn: &Connection) -> Vec<String> {
        objects(conn, Path::new("test")).unwrap().into_iter().map(|(name, _)| name).collect()
    }

    /// Steps run once each and in order, whatever version the file is at.
    #[test]
    fn later_steps_run_on_an_earlier_file() {
        let path = Path::new("test");
        let steps = ["CREATE TABLE a (x) ", "CREATE TABLE b (x)", "DROP TABLE a"];
        let mut conn = Connection::open_in_memory().unwrap();
        migrate(&mut conn, path, &steps[..2]).unwrap();
        assert_eq!(names(&conn), ["a", "b"]);
        migrate(&mut conn, path, &steps).unwrap();
        assert_eq!(names(&conn), ["b"]);
        migrate(&mut conn, path, &steps).unwrap();
        assert_eq!(pragma(&conn, path, "user_version").unwrap(), 3);
    }

    /// A step that fails takes those before it back, with the version.
    #[test]
    fn a_failing_step_leaves_the_file_as_it_was() {
        let path = Path::new("test");
        let mut conn = Connection::open_in_memory().unwrap();
        migrate(&mut conn, path, &["CREATE TABLE a (x)"]).unwrap();
        let steps = ["CREATE TABLE a (x)", "CREATE TABLE b (x)", "NOT SQL"];
        assert!(migrate(&mut conn, path, &steps).is_err());
        assert_eq!(names(&conn), ["a"]);
        assert_eq!(pragma(&conn, path, "user_version").unwrap(), 1);
    }

    /// A file of an earlier program that is already ahead of the list it is given is left alone.
    #[test]
    fn a_version_ahead_is_never_taken_back() {
        let path = Path::new("test");
        let mut conn = Connection::open_in_memory().unwrap();
        migrate(&mut conn, path, &["CREATE TABLE a (x)", "CREATE TABLE b (x)"]).unwrap();
        migrate(&mut conn, path, &["CREATE TABLE a (x)"]).unwrap();
        assert_eq!(pragma(&conn, path, "user_version").unwrap(), 2);
    }

    /// The list of tables for the digest is the list of tables.
    #[test]
    fn every_table_is_digested() {
        let mut conn = Connection::open_in_memory().unwrap();
        found(&mut conn, Path::new("test")).unwrap();
        let sql = "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name";
        let mut query = conn.prepare(sql).unwrap();
        let tables: Vec<String> = query.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect();
        let mut digested: Vec<&str> = TABLES.iter().map(|(name, _)| *name).collect();
        digested.sort_unstable();
        assert_eq!(tables, digested);
    }
}

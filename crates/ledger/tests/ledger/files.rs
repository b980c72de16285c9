//! Files: made, opened, refused, truncated, damaged.

use std::fs;
use std::path::Path;

use ledger::{APPLICATION_ID, ErrorKind, Ledger, LedgerError};
use proptest::prelude::*;
use rusqlite::Connection;

use crate::generate::note;
use crate::pictures;

/// A ledger that was closed is opened with what it held, and is one file.
#[test]
fn a_ledger_is_one_file() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    ledger.append(&note("a", None)).unwrap();
    drop(ledger);
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
    assert_eq!(Ledger::open(&path).unwrap().entries().unwrap(), [note("a", None)]);
}

/// The mark in the header is "Toft", at byte 68 as SQLite's file format has it.
#[test]
fn the_file_carries_its_mark() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    drop(Ledger::create(&path).unwrap());
    assert_eq!(fs::read(&path).unwrap()[68..72], *b"Toft");
    assert_eq!(APPLICATION_ID.to_be_bytes(), *b"Toft");
}

/// Creating never takes the place of anything: a ledger, another file, a folder.
#[test]
fn creating_overwrites_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    drop(Ledger::create(&path).unwrap());
    let error = Ledger::create(&path).unwrap_err();
    assert!(matches!(&error, LedgerError::Exists { .. }), "{error}");
    assert_eq!(error.path(), Some(path.as_path()));
    fs::write(dir.path().join("words"), "words").unwrap();
    for taken in [dir.path().join("words"), dir.path().to_owned()] {
        assert!(matches!(Ledger::create(&taken).unwrap_err(), LedgerError::Exists { .. }));
    }
    assert_eq!(fs::read_to_string(dir.path().join("words")).unwrap(), "words");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2);
}

/// A journal left behind by an earlier file is not played into a new one.
#[test]
fn a_journal_left_behind_is_not_played() {
    let dir = tempfile::tempdir().unwrap();
    for suffix in ["-journal", "-wal"] {
        let path = dir.path().join("yard.toft");
        let journal = dir.path().join(format!("yard.toft{suffix}"));
        fs::write(&journal, "old pages").unwrap();
        let error = Ledger::create(&path).unwrap_err();
        assert!(matches!(&error, LedgerError::LeftBehind { .. }), "{error}");
        assert_eq!(error.path(), Some(journal.as_path()));
        assert!(!path.exists());
        fs::remove_file(journal).unwrap();
    }
}

/// Places where no file can be made or found: the error names them and says whose matter it is.
#[test]
fn places_that_can_not_be_are_told() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("file");
    fs::write(&file, "words").unwrap();
    let nowhere = dir.path().join("nowhere/yard.toft");
    let error = Ledger::create(&nowhere).unwrap_err();
    assert!(matches!(&error, LedgerError::NotWritable { .. }), "{error}");
    assert_eq!(error.kind(), ErrorKind::Machine);
    assert!(matches!(Ledger::open(&nowhere).unwrap_err(), LedgerError::Absent { .. }));
    for path in [file.join("yard.toft"), "/".into(), "".into(), "..".into(), "a\0b".into()] {
        let errors = [Ledger::create(&path).unwrap_err(), Ledger::open(&path).unwrap_err()];
        for error in errors {
            assert_eq!(error.path(), Some(path.as_path()));
            assert_ne!(error.kind(), ErrorKind::Bug, "{error}");
        }
    }
    assert!(matches!(Ledger::open(dir.path()).unwrap_err(), LedgerError::NotAFile { .. }));
}

/// Names SQLite would take for something else than a file are files.
#[test]
fn a_name_is_only_a_name() {
    let dir = tempfile::tempdir().unwrap();
    for name in [":memory:", "file:yard?mode=memory", "a b%20é'\".toft"] {
        let path = dir.path().join(name);
        drop(Ledger::create(&path).unwrap());
        assert!(path.is_file(), "{name}");
        Ledger::open(&path).unwrap();
    }
}

/// Files that are no ledger are refused with what was seen, and not written to.
#[test]
fn a_file_that_is_no_ledger_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let other = dir.path().join("other.db");
    Connection::open(&other).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
    let words = dir.path().join("words");
    fs::write(&words, "Not a database, but long enough to be looked at.".repeat(100)).unwrap();
    let empty = dir.path().join("empty");
    fs::write(&empty, "").unwrap();
    let short = dir.path().join("short");
    fs::write(&short, "x").unwrap();
    for (path, seen) in [
        (other, "an SQLite database of another program"),
        (words, "not an SQLite database"),
        (empty, "0 bytes, too short for an SQLite database"),
        (short, "1 bytes, too short for an SQLite database"),
    ] {
        let before = fs::read(&path).unwrap();
        let error = Ledger::open(&path).unwrap_err();
        assert!(matches!(&error, LedgerError::NotALedger { seen: s, .. } if s == seen), "{error}");
        assert_eq!(error.kind(), ErrorKind::DataFile);
        assert_eq!(fs::read(&path).unwrap(), before);
    }
}

/// A file of a later version is refused untouched; so is one whose version can't be.
#[test]
fn a_later_version_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    drop(Ledger::create(&path).unwrap());
    let set = |version: i32| {
        Connection::open(&path).unwrap().pragma_update(None, "user_version", version).unwrap();
    };
    set(999);
    let before = fs::read(&path).unwrap();
    let error = Ledger::open(&path).unwrap_err();
    assert!(matches!(&error, LedgerError::Newer { found: 999, .. }), "{error}");
    assert_eq!(fs::read(&path).unwrap(), before);
    for version in [0, -1] {
        set(version);
        assert!(matches!(Ledger::open(&path).unwrap_err(), LedgerError::Damaged { .. }));
    }
}

/// A file with the tables of version 1 and one entry, as an earlier Toft left it.
fn first_version(path: &Path) -> Connection {
    let conn = Connection::open(path).unwrap();
    conn.pragma_update(None, "application_id", APPLICATION_ID).unwrap();
    conn.execute_batch(include_str!("../../schema/1.sql")).unwrap();
    conn.pragma_update(None, "user_version", 1).unwrap();
    let text = serde_json::to_string(&note("a", None)).unwrap();
    conn.execute("INSERT INTO entry (id, text) VALUES ('a', ?1)", [text]).unwrap();
    conn
}

/// A file of version 1 is brought to the last version by opening it: its entries stay, pictures and forecasts can be kept, and it opens
/// again.
#[test]
fn a_file_of_version_1_is_migrated() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    drop(first_version(&path));
    let mut ledger = Ledger::open(&path).unwrap();
    assert_eq!(ledger.entries().unwrap(), [note("a", None)]);
    let about = ledger.put_picture(pictures::PNG).unwrap();
    ledger.append(&note("b", Some("a"))).unwrap();
    let mut day = yard::ForecastDay::blank(jiff::civil::date(2026, 6, 1));
    day.high = Some(reckon::units::Celsius::new(25.0));
    let told = yard::Forecast { issued: day.date, source: "a.csv".to_owned(), days: vec![day] };
    ledger.import_forecasts("a.csv", "csv", std::slice::from_ref(&told), jiff::Timestamp::UNIX_EPOCH).unwrap();
    drop(ledger);
    let conn = Connection::open(&path).unwrap();
    assert_eq!(conn.pragma_query_value(None, "user_version", |row| row.get::<_, i32>(0)).unwrap(), 3);
    drop(conn);
    let ledger = Ledger::open(&path).unwrap();
    assert_eq!(ledger.entries().unwrap().len(), 2);
    assert_eq!(ledger.forecasts().unwrap(), [told]);
    assert_eq!(ledger.picture(&about.hash).unwrap().unwrap().bytes, pictures::PNG);
}

/// A file of version 1 that lost a guard, or has a table of that name already, is refused as it is: not migrated first.
#[test]
fn a_changed_file_of_version_1_is_left_alone() {
    for sql in ["DROP TRIGGER entry_never_deleted", "CREATE TABLE picture (x)"] {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        first_version(&path).execute_batch(sql).unwrap();
        let before = fs::read(&path).unwrap();
        let error = Ledger::open(&path).unwrap_err();
        assert!(matches!(&error, LedgerError::SchemaChanged { .. }), "{error}");
        assert_eq!(fs::read(&path).unwrap(), before);
    }
}

/// A file whose triggers or keys were taken away, or that got others, no longer keeps the rules and is refused.
#[test]
fn a_file_without_its_guards_is_refused() {
    for (sql, named) in [
        ("DROP TRIGGER entry_never_deleted", "entry_never_deleted"),
        ("DROP INDEX entry_superseded_once", "entry_superseded_once"),
        ("DROP TABLE weather_day", "weather_day"),
        ("DROP TRIGGER picture_never_updated", "picture_never_updated"),
        ("CREATE TRIGGER extra AFTER INSERT ON entry BEGIN INSERT INTO weather_day VALUES (1); END", "extra"),
        ("CREATE TABLE entry_copy AS SELECT * FROM entry", "entry_copy"),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        drop(Ledger::create(&path).unwrap());
        Connection::open(&path).unwrap().execute_batch(sql).unwrap();
        let error = Ledger::open(&path).unwrap_err();
        assert!(matches!(&error, LedgerError::SchemaChanged { object, .. } if object.starts_with(named)), "{error}");
    }
}

fn sample(path: &Path) {
    let mut ledger = Ledger::create(path).unwrap();
    let entries: Vec<_> = (0..60).map(|n| note(&format!("n{n}"), None)).collect();
    ledger.append_all(&entries).unwrap();
    let days = (1..=28).map(|d| yard::WeatherDay::blank(jiff::civil::date(2026, 2, d))).collect();
    let record = yard::WeatherRecord { name: "station".into(), format: "csv".into(), place: None, days };
    ledger.import_weather(&record, jiff::Timestamp::UNIX_EPOCH).unwrap();
    ledger.put_picture(pictures::THUMBNAIL_JPEG).unwrap();
}

/// A file cut off anywhere is refused at opening.
#[test]
fn a_truncated_file_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    sample(&path);
    let whole = fs::read(&path).unwrap();
    let lengths = (0..whole.len()).step_by(509).chain([1, 99, 100, whole.len() - 1]);
    for length in lengths {
        fs::write(&path, &whole[..length]).unwrap();
        let error = Ledger::open(&path).unwrap_err();
        assert_eq!(error.kind(), ErrorKind::DataFile, "{length} of {}: {error}", whole.len());
    }
    fs::write(&path, whole).unwrap();
    assert_eq!(Ledger::open(&path).unwrap().entries().unwrap().len(), 60);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Bytes changed anywhere never make anything panic: each call gives a value or an error.
    #[test]
    fn damage_never_panics(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..40),
        at_the_front in any::<bool>(),
    ) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        fs::write(&path, whole()).unwrap();
        let mut bytes = fs::read(&path).unwrap();
        let reach = if at_the_front { 8192 } else { bytes.len() };
        for (at, byte) in changes {
            bytes[at.index(reach)] = byte;
        }
        fs::write(&path, bytes).unwrap();
        if let Ok(mut ledger) = Ledger::open(&path) {
            let _ = ledger.entries();
            let _ = ledger.export(&mut Vec::new());
            let _ = ledger.weather_days();
            let _ = ledger.weather_imports();
            let _ = ledger.picture(pictures::THUMBNAIL_JPEG_HASH);
            let _ = ledger.append(&note("more", Some("n3")));
            let _ = ledger.put_picture(pictures::PNG);
            let _ = ledger.backup(&dir.path().join("backup"));
        }
    }
}

fn whole() -> &'static [u8] {
    static WHOLE: std::sync::OnceLock<Vec<u8>> = std::sync::OnceLock::new();
    WHOLE.get_or_init(|| {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        sample(&path);
        fs::read(&path).unwrap()
    })
}

//! Backups: equal to their ledger, never over another file, never in the way.

use std::fs;

use ledger::{Ledger, LedgerError};
use proptest::prelude::*;

use crate::generate::{entries, note};
use crate::weather;

fn exported(ledger: &Ledger) -> Vec<u8> {
    let mut out = Vec::new();
    ledger.export(&mut out).unwrap();
    out
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    /// A backup is a ledger with the same entries, weather and imports, and its own backup has the same digest.
    #[test]
    fn a_backup_holds_what_the_ledger_holds(
        entries in entries(20), records in prop::collection::vec(weather::record(), 0..4),
    ) {
        let dir = tempfile::tempdir().unwrap();
        let mut ledger = Ledger::in_memory().unwrap();
        ledger.append_all(&entries).unwrap();
        for record in &records {
            ledger.import_weather(record, jiff::Timestamp::UNIX_EPOCH).unwrap();
        }
        let to = dir.path().join("backup.toft");
        let report = ledger.backup(&to).unwrap();
        prop_assert_eq!(&report.path, &to);
        prop_assert_eq!(report.entries, entries.len());
        prop_assert_eq!(report.bytes, fs::metadata(&to).unwrap().len());

        let mut copy = Ledger::open(&to).unwrap();
        prop_assert_eq!(exported(&copy), exported(&ledger));
        prop_assert_eq!(copy.weather_days().unwrap(), ledger.weather_days().unwrap());
        prop_assert_eq!(copy.weather_imports().unwrap(), ledger.weather_imports().unwrap());
        let again = copy.backup(&dir.path().join("again.toft")).unwrap();
        prop_assert_eq!(&again.digest, &report.digest);
        prop_assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2);

        copy.append(&note("more", None)).unwrap();
        let more = copy.backup(&dir.path().join("more.toft")).unwrap();
        prop_assert_ne!(more.digest, report.digest);
    }
}

/// A backup takes no other file's place and leaves nothing behind when it is refused.
#[test]
fn a_backup_overwrites_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let ledger = Ledger::create(&path).unwrap();
    let to = dir.path().join("backup.toft");
    fs::write(&to, "someone else's").unwrap();
    for taken in [&to, &path] {
        assert!(matches!(ledger.backup(taken).unwrap_err(), LedgerError::Exists { .. }));
    }
    assert_eq!(fs::read_to_string(&to).unwrap(), "someone else's");
    let error = ledger.backup(&dir.path().join("nowhere/backup.toft")).unwrap_err();
    assert!(matches!(&error, LedgerError::NotWritable { .. }), "{error}");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2);
}

/// The ledger can be written to right after its backup, by this and by another connection.
#[test]
fn a_backup_holds_no_lock() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    ledger.backup(&dir.path().join("backup.toft")).unwrap();
    Ledger::open(&path).unwrap().append(&note("a", None)).unwrap();
    ledger.append(&note("b", None)).unwrap();
    assert_eq!(ledger.entries().unwrap().len(), 2);
}

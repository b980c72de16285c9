//! Entries appended and read: the rules of ids and of superseding, the bounds, and the guards in the file itself.

use ledger::{ENTRIES_MAX, ENTRY_BYTES_MAX, ErrorKind, ID_BYTES_MAX, Ledger, LedgerError};
use proptest::prelude::*;
use rusqlite::Connection;
use yard::{Body, Entry};

use crate::generate::{entries, note};

fn in_memory(entries: &[Entry]) -> Ledger {
    let mut ledger = Ledger::in_memory().unwrap();
    ledger.append_all(entries).unwrap();
    ledger
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// What is appended, one by one or together, is read back as it was and in its order.
    #[test]
    fn entries_read_back_as_they_were(entries in entries(20)) {
        let together = in_memory(&entries);
        prop_assert_eq!(&together.entries().unwrap(), &entries);
        let mut singly = Ledger::in_memory().unwrap();
        for entry in &entries {
            singly.append(entry).unwrap();
        }
        prop_assert_eq!(&singly.entries().unwrap(), &entries);
    }
}

/// An id is used once, within a call and over calls; the refused call leaves nothing.
#[test]
fn an_id_is_used_once() {
    let mut ledger = in_memory(&[note("a", None)]);
    let error = ledger.append_all(&[note("b", None), note("a", None)]).unwrap_err();
    assert!(matches!(&error, LedgerError::DuplicateId { id } if id == "a"), "{error}");
    assert_eq!(error.kind(), ErrorKind::Input);
    let error = ledger.append_all(&[note("c", None), note("c", None)]).unwrap_err();
    assert!(matches!(&error, LedgerError::DuplicateId { id } if id == "c"), "{error}");
    assert_eq!(ledger.entries().unwrap(), [note("a", None)]);
}

/// The entry superseded must be there, must be another one, and must not be superseded already.
#[test]
fn superseding_keeps_its_rules() {
    let mut ledger = in_memory(&[note("a", None), note("b", Some("a"))]);
    let error = ledger.append(&note("c", Some("c"))).unwrap_err();
    assert!(matches!(&error, LedgerError::SupersedesItself { id } if id == "c"), "{error}");
    let error = ledger.append(&note("c", Some("nowhere"))).unwrap_err();
    assert!(matches!(&error, LedgerError::UnknownTarget { target, .. } if target == "nowhere"), "{error}");
    let error = ledger.append(&note("c", Some("a"))).unwrap_err();
    assert!(matches!(&error, LedgerError::AlreadySuperseded { by, .. } if by == "b"), "{error}");
    let later = [note("c", Some("d")), note("d", None)];
    let error = ledger.append_all(&later).unwrap_err();
    assert!(matches!(&error, LedgerError::UnknownTarget { .. }), "{error}");
    ledger.append_all(&[note("c", Some("b")), note("d", Some("c"))]).unwrap();
    assert_eq!(ledger.entries().unwrap().len(), 4);
}

/// An id is printable ASCII of bounded length: both sides of the bound, and what a hand might type.
#[test]
fn an_id_is_short_and_plain() {
    let longest = "x".repeat(ID_BYTES_MAX);
    in_memory(&[note(&longest, None), note("01J8ZQ-a_b.c:d", None)]);
    let too_long = "x".repeat(ID_BYTES_MAX + 1);
    for id in ["", " ", "a b", "a\n", "é", "\0", too_long.as_str()] {
        let error = Ledger::in_memory().unwrap().append(&note(id, None)).unwrap_err();
        assert!(matches!(error, LedgerError::BadId { .. }), "{id:?}: {error}");
    }
}

/// An entry's text is bounded: exactly the longest is taken, one byte more is not.
#[test]
fn an_entry_is_bounded() {
    let with_text = |length: usize| {
        let mut entry = note("a", None);
        let Body::Note(body) = &mut entry.body else { unreachable!() };
        body.text = "x".repeat(length);
        entry
    };
    let rest = serde_json::to_string(&with_text(0)).unwrap().len();
    in_memory(&[with_text(ENTRY_BYTES_MAX - rest)]);
    let error = Ledger::in_memory().unwrap().append(&with_text(ENTRY_BYTES_MAX - rest + 1)).unwrap_err();
    assert!(matches!(error, LedgerError::EntryTooLong { bytes, .. } if bytes == ENTRY_BYTES_MAX + 1));
}

/// A figure JSON can't hold is refused rather than lost, also where the member may be absent.
#[test]
fn a_figure_that_would_be_lost_is_refused() {
    for member in ["size_m2", "root_m"] {
        for figure in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let json = r#"{"id":"a","happened_on":"2026-05-01","recorded_at":"2026-05-01T18:00:00Z",
                "body":{"kind":"area/1","key":"front","name":"Front","size_m2":1.0,"soil":"loam"}}"#;
            let mut entry: Entry = serde_json::from_str(json).unwrap();
            let Body::Area(area) = &mut entry.body else { unreachable!() };
            match member {
                "size_m2" => area.size_m2 = figure,
                _ => area.root_m = Some(figure),
            }
            let mut ledger = Ledger::in_memory().unwrap();
            let error = ledger.append(&entry).unwrap_err();
            assert!(matches!(error, LedgerError::NotStorable { .. }), "{member} {figure}: {error}");
            assert_eq!(error.kind(), ErrorKind::Bug);
        }
    }
}

/// The number of entries is bounded: the last place is taken, the next is refused. (The places before it are skipped by SQL.)
#[test]
fn a_ledger_is_bounded() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    let text = serde_json::to_string(&note("a", None)).unwrap();
    Connection::open(&path)
        .unwrap()
        .execute("INSERT INTO entry (seq, id, text) VALUES (?1, 'a', ?2)", rusqlite::params![ENTRIES_MAX - 1, text])
        .unwrap();
    ledger.append(&note("b", None)).unwrap();
    let error = ledger.append(&note("c", None)).unwrap_err();
    assert!(matches!(&error, LedgerError::LedgerFull { id } if id == "c"), "{error}");
    assert_eq!(ledger.entries().unwrap().len(), 2);
}

/// The file itself refuses any other program's attempt to change, drop, replace, reorder or falsify an entry or a weather day.
#[test]
fn the_file_refuses_changes_by_others() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    ledger.append_all(&[note("a", None), note("b", Some("a"))]).unwrap();
    let days = vec![yard::WeatherDay::blank("2026-05-01".parse().unwrap())];
    let record = yard::WeatherRecord { name: "s".into(), format: "csv".into(), place: None, days };
    ledger.import_weather(&record, jiff::Timestamp::UNIX_EPOCH).unwrap();

    let other = Connection::open(&path).unwrap();
    for sql in [
        "UPDATE entry SET text = text",
        "UPDATE OR REPLACE entry SET id = 'b' WHERE id = 'a'",
        "DELETE FROM entry",
        "DELETE FROM entry WHERE id = 'b'",
        "REPLACE INTO entry (id, text) VALUES ('a', '{\"id\":\"a\"}')",
        "REPLACE INTO entry (seq, id, text) VALUES (1, 'z', '{\"id\":\"z\"}')",
        "REPLACE INTO entry (id, supersedes, text) VALUES ('z', 'a', '{\"id\":\"z\",\"supersedes\":\"a\"}')",
        "INSERT INTO entry (id, text) VALUES ('z', '{\"id\":\"y\"}')",
        "INSERT INTO entry (id, text) VALUES ('z', '{\"id\":\"z\",\"supersedes\":\"b\"}')",
        "INSERT INTO entry (id, text) VALUES ('z', 'words')",
        "INSERT INTO entry (id, text) VALUES ('z', '{\"id\":\n\"z\"}')",
        "INSERT INTO entry (id, text) VALUES ('z', x'00')",
        "INSERT INTO entry (id, supersedes, text) VALUES ('z', 'z', '{\"id\":\"z\",\"supersedes\":\"z\"}')",
        "INSERT INTO entry (id, supersedes, text) VALUES ('z', 'y', '{\"id\":\"z\",\"supersedes\":\"y\"}')",
        "INSERT INTO entry (seq, id, text) VALUES (0, 'z', '{\"id\":\"z\"}')",
        "INSERT INTO entry (seq, id, text) VALUES (-1, 'z', '{\"id\":\"z\"}')",
        "UPDATE weather_import SET name = 'other'",
        "DELETE FROM weather_import",
        "REPLACE INTO weather_import SELECT * FROM weather_import",
        "UPDATE weather_day SET tmin_c = 1.0",
        "DELETE FROM weather_day",
        "REPLACE INTO weather_day SELECT * FROM weather_day",
        "INSERT INTO weather_day (date, import_id) VALUES ('2026-05-02', 77)",
    ] {
        assert!(other.execute(sql, []).is_err(), "{sql}");
    }
    // A place left free in the order can't be filled afterwards.
    other.execute("INSERT INTO entry (seq, id, text) VALUES (9, 'z', '{\"id\":\"z\"}')", []).unwrap();
    let between = "INSERT INTO entry (seq, id, text) VALUES (5, 'y', '{\"id\":\"y\"}')";
    assert!(other.execute(between, []).is_err());

    drop(other);
    let mut out = Vec::new();
    Ledger::open(&path).unwrap().export(&mut out).unwrap();
    let mut lines: Vec<&str> = str::from_utf8(&out).unwrap().lines().collect();
    assert_eq!(lines.pop(), Some(r#"{"id":"z"}"#));
    let recorded = [note("a", None), note("b", Some("a"))];
    assert_eq!(lines, recorded.map(|entry| serde_json::to_string(&entry).unwrap()));
}

/// An entry of a kind this program does not know is named, not skipped.
#[test]
fn an_unreadable_entry_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    ledger.append(&note("a", None)).unwrap();
    Connection::open(&path)
        .unwrap()
        .execute(
            "INSERT INTO entry (id, text) VALUES ('b', '{\"id\":\"b\",\"happened_on\":\"2026-05-01\",
             \"recorded_at\":\"2026-05-01T18:00:00Z\",\"body\":{\"kind\":\"moon/1\"}}')"
                .replace('\n', " ")
                .as_str(),
            [],
        )
        .unwrap();
    let error = ledger.entries().unwrap_err();
    assert!(matches!(&error, LedgerError::UnreadableEntry { id, .. } if id == "b"), "{error}");
    assert!(error.to_string().contains("moon/1"), "{error}");
    assert_eq!(error.kind(), ErrorKind::DataFile);
    assert_eq!(ledger.export(&mut Vec::new()).unwrap(), 2);
}

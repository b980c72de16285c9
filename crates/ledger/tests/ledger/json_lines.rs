//! Export and import as JSON Lines.

use std::io::{self, BufReader, Read, Write};

use ledger::{ENTRIES_MAX, ENTRY_BYTES_MAX, FAULTS_SHOWN_MAX, ImportFaults, Ledger, LedgerError};
use proptest::prelude::*;

use crate::generate::{entries, note};

fn export(ledger: &Ledger) -> Vec<u8> {
    let mut out = Vec::new();
    ledger.export(&mut out).unwrap();
    out
}

fn import(bytes: &[u8]) -> Result<Ledger, LedgerError> {
    let mut ledger = Ledger::in_memory().unwrap();
    ledger.import_entries(bytes).map(|_| ledger)
}

fn faults(bytes: &[u8]) -> ImportFaults {
    match import(bytes) {
        Err(LedgerError::Import(faults)) => faults,
        other => panic!("{other:?}"),
    }
}

const A: &str = r#"{"id":"a","happened_on":"2026-05-01","recorded_at":"2026-05-01T18:00:00Z","body":{"kind":"note/1","text":"Moss."}}"#;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Export, import, export gives the same bytes; the entries are the same, line by line the canonical text.
    #[test]
    fn export_import_export_is_identity(entries in entries(20)) {
        let mut first = Ledger::in_memory().unwrap();
        first.append_all(&entries).unwrap();
        let bytes = export(&first);
        let second = import(&bytes).unwrap();
        prop_assert_eq!(&export(&second), &bytes);
        prop_assert_eq!(second.entries().unwrap(), entries.clone());
        let lines: String =
            entries.iter().map(|e| serde_json::to_string(e).unwrap() + "\n").collect();
        prop_assert_eq!(String::from_utf8(bytes).unwrap(), lines);
    }

    /// Another program's spelling of the same entries (spread over blanks, members in another order) imports to the same text.
    #[test]
    fn another_spelling_imports_to_the_same_text(entries in entries(10)) {
        let mut first = Ledger::in_memory().unwrap();
        first.append_all(&entries).unwrap();
        let respelt: String = entries
            .iter()
            .map(|e| format!("  {} \r\n\n", serde_json::to_value(e).unwrap()))
            .collect();
        let second = import(format!("\u{feff}{respelt}").as_bytes()).unwrap();
        prop_assert_eq!(export(&second), export(&first));
    }

    /// No bytes make the reader panic, and what it refuses leaves nothing.
    #[test]
    fn any_bytes_are_taken_or_refused(
        entries in entries(4), at in any::<prop::sample::Index>(), byte in any::<u8>(),
    ) {
        let mut first = Ledger::in_memory().unwrap();
        first.append_all(&entries).unwrap();
        let mut bytes = export(&first);
        if !bytes.is_empty() {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        let mut second = Ledger::in_memory().unwrap();
        match second.import_entries(bytes.as_slice()) {
            Ok(n) => prop_assert_eq!(second.entries().unwrap().len(), n),
            Err(_) => prop_assert!(second.entries().unwrap().is_empty()),
        }
    }
}

/// A last line without its end, and no lines at all, are fine.
#[test]
fn the_last_line_may_lack_its_end() {
    assert_eq!(export(&import(A.as_bytes()).unwrap()), format!("{A}\n").as_bytes());
    assert_eq!(export(&import(b"").unwrap()), b"");
    assert_eq!(export(&import("\u{feff}\n\n".as_bytes()).unwrap()), b"");
}

/// Every faulty line is named with what is wrong, in order, and nothing is taken in.
#[test]
fn every_faulty_line_is_named() {
    let b = A.replace("\"a\"", "\"b\"");
    let lines = [
        A.to_owned(),
        "words".to_owned(),
        A.to_owned(),
        b.replace("\"body\"", "\"supersedes\":\"z\",\"body\""),
        b.replace("note/1", "moon/1"),
        b.replace("Moss.", "Moss.\",\"colour\":\"green"),
        b.replace("2026-05-01\"", "2026-02-30\""),
        b.replace("\"body\"", "\"supersedes\":\"b\",\"body\""),
        format!("{b}{b}"),
        A.replace("\"a\"", "\"\""),
    ];
    let mut bytes = lines.join("\n").into_bytes();
    bytes.extend(b"\n\xff\xfe\n");
    let faults = faults(&bytes);
    let numbers: Vec<u64> = faults.shown.iter().map(|fault| fault.line).collect();
    assert_eq!(numbers, [2, 3, 4, 5, 6, 7, 8, 9, 10, 11]);
    let words = LedgerError::Import(faults).to_string();
    for expected in [
        "10 faulty lines; nothing was imported",
        "line 2: not an entry: expected value, at column 1.",
        "line 3: entry \"a\": already recorded.",
        "line 4: entry \"b\": supersedes \"z\", which is not recorded.",
        "moon/1",
        "line 6: not an entry: unknown field `colour`",
        "line 8: entry \"b\": supersedes itself.",
        "line 9: not an entry: trailing characters",
        "line 10: id \"\": not an id.",
    ] {
        assert!(words.contains(expected), "{expected} in\n{words}");
    }
}

/// An unknown member is refused in planned work too, not dropped.
#[test]
fn an_unknown_member_of_planned_work_is_refused() {
    let line = |more: &str| {
        A.replace(
            r#"{"kind":"note/1","text":"Moss."}"#,
            &format!(r#"{{"kind":"planned/1","work":"sow","area":"front","grass":"rye","rate_g_m2":30.0{more}}}"#),
        )
    };
    import(line("").as_bytes()).unwrap();
    assert_eq!(faults(line(",\"colour\":\"green\"").as_bytes()).total, 1);
}

/// An import collides with what the ledger holds already, and leaves it as it was.
#[test]
fn an_import_is_all_or_nothing() {
    let mut ledger = Ledger::in_memory().unwrap();
    ledger.append(&note("b", None)).unwrap();
    let lines = format!("{A}\n{}\n", A.replace("\"a\"", "\"b\""));
    let error = ledger.import_entries(lines.as_bytes()).unwrap_err();
    assert!(error.to_string().contains("line 2: entry \"b\": already recorded"), "{error}");
    assert_eq!(ledger.entries().unwrap(), [note("b", None)]);
    assert_eq!(ledger.import_entries(A.as_bytes()).unwrap(), 1);
    assert_eq!(ledger.entries().unwrap().len(), 2);
}

/// Of many faults the first are shown and the rest counted.
#[test]
fn many_faults_are_counted() {
    let faults = faults("x\n".repeat(FAULTS_SHOWN_MAX + 7).as_bytes());
    assert_eq!((faults.shown.len(), faults.total), (FAULTS_SHOWN_MAX, FAULTS_SHOWN_MAX + 7));
    assert!(faults.to_string().ends_with("and 7 more"));
}

/// The faults shown are the first of the file, whether it is the line or the ledger that refuses.
#[test]
fn the_first_faults_are_shown() {
    let lines = format!("{A}\n{A}\n{}", "x\n".repeat(FAULTS_SHOWN_MAX));
    let faults = faults(lines.as_bytes());
    assert_eq!(faults.total, FAULTS_SHOWN_MAX + 1);
    assert!(faults.shown.iter().map(|fault| fault.line).eq(2..2 + FAULTS_SHOWN_MAX as u64));
}

/// A line is bounded: exactly the longest is read, one byte more stops the reading there.
#[test]
fn a_line_is_bounded() {
    let padded = |length: usize| format!("{A}{}\n", " ".repeat(length - A.len()));
    import(padded(ENTRY_BYTES_MAX).as_bytes()).unwrap();
    import(format!("\u{feff}{}", padded(ENTRY_BYTES_MAX)).as_bytes()).unwrap();
    let lines = format!("\n{}words\n", padded(ENTRY_BYTES_MAX + 1));
    let faults = faults(lines.as_bytes());
    assert_eq!(faults.total, 1);
    assert_eq!(faults.shown[0].line, 2);
    assert!(matches!(faults.shown[0].fault, LedgerError::LineTooLong));
}

/// Endless input ends: in one line at the longest line, in many lines at the number of entries a ledger may have.
#[test]
fn endless_input_ends() {
    let faults = match Ledger::in_memory().unwrap().import_entries(BufReader::new(io::repeat(b' '))) {
        Err(LedgerError::Import(faults)) => faults,
        other => panic!("{other:?}"),
    };
    assert!(matches!(faults.shown[0].fault, LedgerError::LineTooLong));
    let lines = |n: u64| BufReader::new(io::repeat(b'\n').take(n));
    let mut ledger = Ledger::in_memory().unwrap();
    assert_eq!(ledger.import_entries(lines(ENTRIES_MAX.into())).unwrap(), 0);
    let error = ledger.import_entries(lines(u64::from(ENTRIES_MAX) + 1)).unwrap_err();
    assert!(matches!(error, LedgerError::ImportTooLarge), "{error}");
}

struct Broken;

impl Read for Broken {
    fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
        Err(io::Error::other("the cable came out"))
    }
}

impl Write for Broken {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(io::Error::other("the cable came out"))
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// A stream that breaks off says where; an import of it takes nothing in.
#[test]
fn a_broken_stream_is_told() {
    let mut ledger = Ledger::in_memory().unwrap();
    let line = format!("{A}\n");
    let error = ledger.import_entries(BufReader::new(line.as_bytes().chain(Broken))).unwrap_err();
    assert!(error.to_string().starts_with("line 2: reading stopped: the cable"), "{error}");
    assert!(ledger.entries().unwrap().is_empty());
    ledger.append(&note("a", None)).unwrap();
    let error = ledger.export(&mut Broken).unwrap_err();
    assert!(matches!(error, LedgerError::WriteStopped { .. }), "{error}");
}

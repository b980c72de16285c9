//! Bounds on what is read, on both sides, from readers that make their bytes as they go.

use std::io::{self, Read};

use crate::holds;
use feeds::{
    BYTES_MAX, CsvHints, ELEMENT_ROWS_MAX, FeedError, ROWS_MAX, read_any, read_csv, read_ghcn_csv, read_ghcn_dly,
};

/// The same bytes again and again, `times` times.
struct Again {
    bytes: Vec<u8>,
    left: usize,
    at: usize,
}

fn again(row: &str, times: usize) -> Again {
    Again { bytes: row.as_bytes().to_vec(), left: times, at: 0 }
}

impl Read for Again {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let mut written = 0;
        while written < buffer.len() && self.left > 0 {
            let n = (self.bytes.len() - self.at).min(buffer.len() - written);
            buffer[written..written + n].copy_from_slice(&self.bytes[self.at..self.at + n]);
            written += n;
            self.at += n;
            if self.at == self.bytes.len() {
                (self.at, self.left) = (0, self.left - 1);
            }
        }
        Ok(written)
    }
}

/// A reader that counts what was taken from it.
struct Counted(u64);

impl Read for &mut Counted {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        buffer.fill(b' ');
        self.0 += buffer.len() as u64;
        Ok(buffer.len())
    }
}

/// A file at the limit is read (and found to hold no date); one byte more is refused; an endless one is left after the limit.
#[test]
fn bytes() {
    let blank = |length| io::repeat(b' ').take(length);
    let at = read_any("big.csv", blank(BYTES_MAX), &CsvHints::default()).unwrap_err();
    assert!(matches!(at, FeedError::NoDateColumn { .. }), "{at}");
    let past = read_any("big.csv", blank(BYTES_MAX + 1), &CsvHints::default()).unwrap_err();
    holds(&past.to_string(), &["big.csv: more than 64 MiB", "fewer years"]);
    let mut endless = Counted(0);
    assert!(matches!(read_ghcn_dly("big.dly", &mut endless), Err(FeedError::TooLarge { .. })));
    assert!(endless.0 <= BYTES_MAX + 1, "{}", endless.0);
}

/// Rows of a plain CSV: the limit is read, one more is refused with its line.
#[test]
fn rows() {
    let file = |rows| io::Cursor::new("date,tmin_c\n").chain(again("2024-07-01,5\n", rows));
    let import = read_csv("rows.csv", file(ROWS_MAX), &CsvHints::default()).unwrap();
    assert_eq!((import.report.rows_read, import.report.days, import.report.duplicates.len()), (ROWS_MAX, 1, 1));
    let error = read_csv("rows.csv", file(ROWS_MAX + 1), &CsvHints::default()).unwrap_err();
    holds(&error.to_string(), &["more than 200000 rows", "line 200002"]);
}

/// Lines of the fixed columns, kept short by an element that isn't read.
#[test]
fn lines() {
    let line = "USC00010001200001SNOW\n";
    let error = |rows| read_ghcn_dly("l.dly", again(line, rows)).unwrap_err();
    assert!(matches!(error(ROWS_MAX), FeedError::Faults(list) if list.total == ROWS_MAX));
    assert!(matches!(error(ROWS_MAX + 1), FeedError::TooManyRows { limit: ROWS_MAX, line: 200_001, .. }));
}

/// Rows of the long form have their own limit.
#[test]
fn element_rows() {
    let error = |rows| read_ghcn_csv("l.csv", again("USC00010001,20000101,SNOW,0\n", rows)).unwrap_err();
    assert!(matches!(error(ELEMENT_ROWS_MAX), FeedError::NoDays { rows_read: ELEMENT_ROWS_MAX, .. }));
    assert!(matches!(error(ELEMENT_ROWS_MAX + 1), FeedError::TooManyRows { limit: ELEMENT_ROWS_MAX, .. }));
}

/// What is no text is told as what it is.
#[test]
fn not_text() {
    let refused = |bytes: &[u8]| read_any("f", bytes, &CsvHints::default()).unwrap_err().to_string();
    holds(&refused(b"date,tmin_c\n2024-07-01,5\xb0\n"), &["f, line 2", "0xb0", "CSV UTF-8"]);
    holds(&refused(&[0xff, 0xfe, b'd', 0, b'a', 0]), &["line 1", "0xff", "UTF-8"]);
    holds(&refused(&[0x1f, 0x8b, 8, 0]), &["gzip", "unpacking"]);
    holds(&refused(b"PK\x03\x04...."), &["zip", "CSV"]);
}

/// A stream that breaks gives an error with the system's words.
#[test]
fn broken_stream() {
    struct Broken;
    impl Read for Broken {
        fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
            Err(io::Error::other("the disk is gone"))
        }
    }
    let error = read_csv("f.csv", Broken, &CsvHints::default()).unwrap_err();
    holds(&error.to_string(), &["f.csv", "the disk is gone", "Try"]);
}

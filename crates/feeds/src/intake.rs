//! Bytes in, bounded, as text.

use std::io::Read;

use csv::StringRecord;

use crate::FeedError;

/// Most bytes a weather file may have: 64 MiB. A century of one station in the widest format is under half of it.
pub const BYTES_MAX: u64 = 64 * 1024 * 1024;

/// The file's text, without a byte order mark.
pub(crate) fn read_text(name: &str, input: impl Read) -> Result<String, FeedError> {
    let mut bytes = Vec::new();
    // One byte more than allowed tells a file at the limit from one past it; nothing beyond that byte is read.
    input
        .take(BYTES_MAX + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| FeedError::Unreadable { name: name.to_owned(), source })?;
    if bytes.len() as u64 > BYTES_MAX {
        return Err(FeedError::TooLarge { name: name.to_owned() });
    }
    let packed = match bytes.as_slice() {
        [0x1f, 0x8b, ..] => Some("gzip (.gz)"),
        [b'P', b'K', 3, 4, ..] => Some("zip, or a spreadsheet workbook"),
        _ => None,
    };
    if let Some(kind) = packed {
        return Err(FeedError::Packed { name: name.to_owned(), kind });
    }
    if bytes.starts_with(&[0xef, 0xbb, 0xbf]) {
        bytes.drain(..3);
    }
    String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        let bytes = e.as_bytes();
        FeedError::NotUtf8 {
            name: name.to_owned(),
            line: bytes[..at].iter().filter(|b| **b == b'\n').count() + 1,
            byte: bytes.get(at).copied().unwrap_or_default(),
        }
    })
}

/// Line numbers of a CSV's records, which come in order: a record's own position stands before the blank and comment lines it
/// skips.
pub(crate) struct Lines<'a> {
    text: &'a [u8],
    at: usize,
    line: u64,
}

impl<'a> Lines<'a> {
    pub(crate) fn of(text: &'a str) -> Self {
        Self { text: text.as_bytes(), at: 0, line: 1 }
    }

    /// The line on which the next record begins.
    pub(crate) fn line(&mut self, record: &StringRecord) -> u64 {
        let to = record.position().map_or(0, |p| usize::try_from(p.byte()).unwrap_or(usize::MAX)).min(self.text.len());
        while self.at < to {
            self.step();
        }
        let mut comment = false;
        while let Some(b) = self.text.get(self.at) {
            let line_start = self.at == 0 || self.text[self.at - 1] == b'\n';
            match b {
                b'#' if line_start => comment = true,
                b'\r' | b'\n' => comment = false,
                _ if !comment => break,
                _ => {}
            }
            self.step();
        }
        self.line
    }

    fn step(&mut self) {
        self.line += u64::from(self.text[self.at] == b'\n');
        self.at += 1;
    }
}

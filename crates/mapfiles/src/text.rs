//! Bytes as text, and text as names.

use crate::MapFileError;

/// Most letters of a name.
const NAME_LETTERS_MAX: usize = 80;

/// The file's text, without a byte order mark.
pub(crate) fn utf8(bytes: &[u8]) -> Result<&str, MapFileError> {
    let bytes = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|e| {
        let at = e.valid_up_to();
        MapFileError::NotUtf8 { line: line_of(bytes, at), byte: bytes.get(at).copied().unwrap_or_default() }
    })
}

/// The line of a byte, from 1.
pub(crate) fn line_of(bytes: &[u8], at: usize) -> usize {
    bytes.iter().take(at).filter(|&&b| b == b'\n').count() + 1
}

/// A name on one line, of at most 80 letters.
pub(crate) fn name(raw: &str) -> String {
    let words: Vec<&str> = raw.split(|c: char| c.is_whitespace() || c.is_control()).filter(|w| !w.is_empty()).collect();
    words.join(" ").chars().take(NAME_LETTERS_MAX).collect::<String>().trim_end().to_owned()
}

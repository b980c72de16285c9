//! An answer as JSON text: the very bytes a general writer gives, in less time.
//!
//! The steps of a batch repeat their figures and long names item after item, so a figure written a moment ago is copied, and
//! texts are looked through for characters to escape eight bytes at a time.

use reckon::working::{Datum, Step, Value};

use crate::figure::Figure;
use crate::model::Answer;

/// Places for figures written of late; a power of two.
const PLACES: usize = 256;
/// Room for any figure's digits.
const DIGITS: usize = 24;

/// A writer with its memory of figures.
pub(crate) struct Writer {
    recent: Vec<Recent>,
}

#[derive(Clone, Copy)]
struct Recent {
    bits: u64,
    length: u8,
    digits: [u8; DIGITS],
}

impl Writer {
    pub(crate) fn new() -> Self {
        Self { recent: vec![Recent { bits: 0, length: 0, digits: [0; DIGITS] }; PLACES] }
    }

    /// Appends the answer.
    pub(crate) fn answer(&mut self, out: &mut Vec<u8>, answer: &Answer) {
        out.extend_from_slice(b"{\"result\":");
        self.figure(out, &answer.result);
        out.extend_from_slice(b",\"working\":");
        each(out, &answer.working, |out, step| self.step(out, step));
        out.extend_from_slice(b",\"source\":");
        text(out, answer.source);
        out.extend_from_slice(b",\"assumed\":");
        each(out, &answer.assumed, |out, field| text(out, field));
        out.push(b'}');
    }

    fn figure(&mut self, out: &mut Vec<u8>, figure: &Figure) {
        match figure {
            Figure::Number(n) => self.number(out, *n),
            Figure::Count(n) => out.extend_from_slice(n.to_string().as_bytes()),
            Figure::Flag(flag) => out.extend_from_slice(if *flag { b"true" } else { b"false" }),
            Figure::Text(word) => text(out, word),
            Figure::List(list) => each(out, list, |out, figure| self.figure(out, figure)),
            Figure::Record(fields) => {
                out.push(b'{');
                for (i, (name, figure)) in fields.iter().enumerate() {
                    if i > 0 {
                        out.push(b',');
                    }
                    text(out, name);
                    out.push(b':');
                    self.figure(out, figure);
                }
                out.push(b'}');
            }
        }
    }

    fn step(&mut self, out: &mut Vec<u8>, step: &Step) {
        out.extend_from_slice(b"{\"label\":");
        text(out, &step.label);
        out.extend_from_slice(b",\"formula\":");
        text(out, &step.formula);
        out.extend_from_slice(b",\"values\":");
        each(out, &step.values, |out, value| self.value(out, value));
        out.extend_from_slice(b",\"result\":");
        self.value(out, &step.result);
        out.push(b'}');
    }

    fn value(&mut self, out: &mut Vec<u8>, value: &Value) {
        out.extend_from_slice(b"{\"name\":");
        text(out, &value.name);
        out.extend_from_slice(b",\"value\":");
        match &value.value {
            Datum::Number(n) => self.number(out, *n),
            Datum::Text(word) => text(out, word),
        }
        if !value.unit.is_empty() {
            out.extend_from_slice(b",\"unit\":");
            text(out, &value.unit);
        }
        if let Some(from) = &value.from {
            out.extend_from_slice(b",\"from\":");
            text(out, from);
        }
        if value.assumed {
            out.extend_from_slice(b",\"assumed\":true");
        }
        out.push(b'}');
    }

    fn number(&mut self, out: &mut Vec<u8>, n: f64) {
        let bits = n.to_bits();
        let recent = &mut self.recent[(bits.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 56) as usize % PLACES];
        if recent.bits != bits || recent.length == 0 {
            let mut digits = [0; DIGITS];
            let mut room = &mut digits[..];
            // Numbers have at most 24 characters; one that is not finite is written null, as elsewhere.
            let written = serde_json::to_writer(&mut room, &n).map(|()| DIGITS - room.len());
            *recent = Recent { bits, length: written.unwrap_or_default() as u8, digits };
        }
        out.extend_from_slice(&recent.digits[..usize::from(recent.length)]);
    }
}

fn each<T>(out: &mut Vec<u8>, of: &[T], mut write: impl FnMut(&mut Vec<u8>, &T)) {
    out.push(b'[');
    for (i, one) in of.iter().enumerate() {
        if i > 0 {
            out.push(b',');
        }
        write(out, one);
    }
    out.push(b']');
}

fn text(out: &mut Vec<u8>, text: &str) {
    if plain(text.as_bytes()) {
        out.push(b'"');
        out.extend_from_slice(text.as_bytes());
        out.push(b'"');
    } else {
        // Writing a text into memory does not fail.
        let _ = serde_json::to_writer(out, text);
    }
}

/// True when nothing in the text is escaped: no control character, quote or backslash.
fn plain(text: &[u8]) -> bool {
    const ONES: u64 = u64::MAX / 255;
    const HIGHS: u64 = ONES << 7;
    let eight = |word: [u8; 8]| {
        let word = u64::from_ne_bytes(word);
        // The high bit of a byte of the result that is certainly set where the byte is below `n`, for bytes below 128; one more than
        // needed may be set, which only costs the slow way.
        let below = |word: u64, n: u64| word.wrapping_sub(ONES * n) & !word & HIGHS;
        below(word, 0x20) | below(word ^ (ONES * u64::from(b'"')), 1) | below(word ^ (ONES * u64::from(b'\\')), 1) == 0
    };
    let (words, rest) = text.as_chunks::<8>();
    words.iter().all(|word| eight(*word)) && rest.iter().all(|b| *b >= 0x20 && *b != b'"' && *b != b'\\')
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(20_000))]

        /// Texts and figures of any kind, one after the other, are the bytes of a general writer.
        #[test]
        fn agrees_with_a_general_writer(
            words in prop::collection::vec(prop_oneof![any::<String>(), "[ -~]{0,40}", "[a-zé°²\\u{0}-\\u{7f}]{0,20}"], 1..4),
            figures in prop::collection::vec(prop_oneof![any::<f64>(), -100.0..100.0_f64, (-5..5).prop_map(f64::from)], 1..8),
        ) {
            let mut writer = Writer::new();
            for _ in 0..2 {
                for n in &figures {
                    let mut out = Vec::new();
                    writer.number(&mut out, *n);
                    prop_assert_eq!(&out, &serde_json::to_vec(n).unwrap());
                }
            }
            for word in &words {
                let mut out = Vec::new();
                text(&mut out, word);
                prop_assert_eq!(&out, &serde_json::to_vec(word).unwrap());
            }
        }
    }

    /// Whole answers, the shapes of every model among them.
    #[test]
    fn examples_are_written_alike() {
        let mut writer = Writer::new();
        for model in crate::models() {
            let item = serde_json::from_str(model.example).unwrap();
            let answer = model.answer(&item).unwrap();
            let mut out = Vec::new();
            writer.answer(&mut out, &answer);
            assert_eq!(String::from_utf8(out).unwrap(), serde_json::to_string(&answer).unwrap(), "{}", model.name);
        }
    }

    /// Each byte alone in each place of a word.
    #[test]
    fn every_escape_is_seen() {
        for length in [1, 7, 8, 9, 16, 17] {
            for place in 0..length {
                for byte in 0..0x80 {
                    let mut bytes = vec![b'a'; length];
                    bytes[place] = byte;
                    let escaped = byte < 0x20 || byte == b'"' || byte == b'\\';
                    assert_eq!(plain(&bytes), !escaped, "{bytes:?}");
                }
            }
        }
    }
}

//! Letters as the fonts every PDF reader has know them: WinAnsiEncoding, ISO 32000-1, annex D.2.

/// 0x80 to 0x9f of the encoding, where it leaves Latin-1; a zero byte stands where there is no letter.
const HIGH: [char; 32] = [
    '€', '\0', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\0', 'Ž', '\0', '\0', '‘', '’', '“', '”', '•',
    '–', '—', '˜', '™', 'š', '›', 'œ', '\0', 'ž', 'Ÿ',
];

/// Plain letters for U+0100 to U+017F, Latin Extended-A.
const PLAIN: &[u8; 128] = b"AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkkLlLlLlLlLlNnNnNnnNnOoOoOoOoRrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";

/// A letter in the encoding; a likeness where it has none of its own, nothing for pictures, else a question mark.
fn byte(c: char) -> Option<u8> {
    match c {
        ' '..='~' => Some(c as u8),
        '\u{a0}'..='\u{ff}' => Some(c as u8),
        '−' | '‐' | '‑' => Some(b'-'),
        '′' | 'ʼ' => Some(b'\''),
        '″' => Some(b'"'),
        '\u{2000}'..='\u{200a}' | '\u{202f}' => Some(b' '),
        '₀'..='₉' => Some(b'0' + (c as u32 - '₀' as u32) as u8),
        '≤' => Some(b'<'),
        '≥' => Some(b'>'),
        '\u{300}'..='\u{36f}' | '\u{fe00}'..='\u{fe0f}' | '\u{2190}'..='\u{2bff}' | '\u{1f000}'..='\u{1ffff}' => None,
        '\u{100}'..='\u{17f}' if !HIGH.contains(&c) => Some(PLAIN[(c as u32 - 0x100) as usize]),
        _ => Some(HIGH.iter().position(|h| *h == c && c != '\0').map_or(b'?', |i| 0x80 + i as u8)),
    }
}

/// Words in the encoding.
pub(crate) fn encoded(words: &str) -> Vec<u8> {
    words.chars().filter_map(byte).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bytes of the table in annex D.2, octal as there: bullet 225, dagger 206, Euro 200, Zcaron 216, multiply 327; and likenesses.
    #[test]
    fn letters_have_their_bytes() {
        assert_eq!(encoded("•†€Ž×"), [0o225, 0o206, 0o200, 0o216, 0o327]);
        assert_eq!(encoded("12′ 6″ −3"), b"12' 6\" -3");
        assert_eq!(encoded("Přední trávník 🌳 庭"), b"Predn\xed tr\xe1vn\xedk  ?");
        assert_eq!(encoded("Œuvre, ĿĄŻź"), b"\x8cuvre, LAZz");
    }
}

//! What was typed, from the pairs of a form or query, in the signs the fields are read in.

use yard::form::{self, Ask, FormSpec, Typed};
use yard::{Body, Yard};

/// Signs people and pages write for a minus.
const MINUS_SIGNS: [char; 7] = ['-', '\u{2010}', '\u{2011}', '\u{2013}', '\u{2212}', '\u{fe63}', '\u{ff0d}'];

/// Fields of the form and its key, several values of a name together.
pub(crate) fn typed_of(spec: &FormSpec, prefix: &str, pairs: &[(String, String)]) -> Typed {
    let mut typed = Typed::new();
    for (name, value) in pairs {
        let Some(name) = name.strip_prefix(prefix) else { continue };
        let field = spec.fields.iter().find(|f| f.name == name);
        if (field.is_none() && name != "key") || value.trim().is_empty() {
            continue;
        }
        let number = field.is_some_and(|f| matches!(f.ask, Ask::Measure(_) | Ask::Number(_)));
        let value = if number { plain_sign(value) } else { value.clone() };
        typed.entry(name.to_owned()).and_modify(|v| *v = format!("{v},{value}")).or_insert(value);
    }
    if spec.kind == "yard"
        && !typed.contains_key("longitude")
        && let Some((latitude, longitude)) = typed.get("latitude").and_then(|text| place_pair(text))
    {
        typed.insert("latitude".to_owned(), latitude);
        typed.insert("longitude".to_owned(), longitude);
    }
    typed
}

/// The words a form would hold for what is stored: the kind of the form and its fields, in the yard's units.
pub(crate) fn typed_from(body: &Body, yard: &Yard) -> Option<(&'static str, Typed)> {
    form::typed_from(body, yard)
}

/// A number's sign as the keyboard has it; everything else as typed.
fn plain_sign(text: &str) -> String {
    match text.trim().strip_prefix(MINUS_SIGNS) {
        Some(rest) => format!("-{}", rest.trim_start()),
        None => text.to_owned(),
    }
}

/// Degrees with a sign or with the letter of their half: "−101.68", "101.68° W".
fn degrees(text: &str, halves: [char; 2]) -> Option<String> {
    let text = text.trim();
    let letter = text.chars().next_back().map(|c| c.to_ascii_uppercase()).filter(|c| halves.contains(c));
    let number = if letter.is_some() { &text[..text.len() - 1] } else { text };
    let number = plain_sign(number.trim().trim_end_matches(['°', 'º']).trim_end());
    let value: f64 = number.parse().ok().filter(|v: &f64| v.is_finite())?;
    match letter {
        Some(half) if value < 0.0 || half == halves[0] => (value >= 0.0).then_some(number),
        Some(_) => Some(format!("-{number}")),
        None => Some(number),
    }
}

/// Latitude and longitude pasted as one: "40.47, −101.68", "(40.47 -101.68)", "40.47° N, 101.68° W".
///
/// Two numbers that only a comma or only a space parts count when both have decimals: "40,47" is a mistyped number and
/// "40 47" may be degrees and minutes.
fn place_pair(text: &str) -> Option<(String, String)> {
    let text = text.trim().trim_matches(['(', ')', '[', ']']).trim();
    text.char_indices().filter(|(_, c)| matches!(c, ',' | ';') || c.is_whitespace()).find_map(|(at, sign)| {
        let (left, right) = (&text[..at], &text[at + sign.len_utf8()..]);
        let parted = sign == ';' || (sign == ',' && right.starts_with(char::is_whitespace));
        let decimals = left.contains('.') && right.contains('.');
        if !(parted || decimals) {
            return None;
        }
        Some((degrees(left, ['N', 'S'])?, degrees(right, ['E', 'W'])?))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every sign for minus is read; words, ranges and plain numbers stay as typed.
    #[test]
    fn signs() {
        for sign in MINUS_SIGNS {
            assert_eq!(plain_sign(&format!(" {sign} 101.68 ")), "-101.68");
        }
        for same in ["three", "3–4 in", "12", " 5 "] {
            assert_eq!(plain_sign(same), same);
        }
    }

    #[test]
    fn pasted_places() {
        for text in [
            "40.47, -101.68",
            "40.47, −101.68",
            "40.47,-101.68",
            "(40.47, –101.68)",
            "40.47 -101.68",
            "40.47; -101.68",
            "40.47° N, 101.68° W",
            "40.47°n 101.68°w",
        ] {
            assert_eq!(place_pair(text), Some(("40.47".to_owned(), "-101.68".to_owned())), "{text}");
        }
        assert_eq!(place_pair("33.9° S, 151.2° E"), Some(("-33.9".to_owned(), "151.2".to_owned())));
        for text in
            ["40.47", "40,47", "40 47", "40.47 N", "north, west", "40.47, x", "-3° S, 2° W", "40.47, 1, 2", "", "°, °"]
        {
            assert_eq!(place_pair(text), None, "{text}");
        }
    }
}

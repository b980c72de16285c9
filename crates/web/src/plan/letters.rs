//! Letters of a drawing: how wide they run, and what of a name can be drawn at all.

/// Widths of Helvetica in thousandths of its size, from the space to the tilde.
///
/// Source: Adobe, Font Metrics for the 14 PDF Core Fonts, `Helvetica.afm`.
#[rustfmt::skip]
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

/// The same of Helvetica-Bold, from `Helvetica-Bold.afm`.
#[rustfmt::skip]
const WIDTHS_BOLD: [u16; 95] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611,
    975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556,
    333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611,
    611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
];

/// How letters stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    Plain,
    Bold,
}

/// Width of a line of letters at a size of 1; what is not in the table counts as wide as most capitals.
fn width_of_one(c: char, weight: Weight) -> f64 {
    let table = match weight {
        Weight::Plain => &WIDTHS,
        Weight::Bold => &WIDTHS_BOLD,
    };
    let wide = match c {
        ' '..='~' => table[c as usize - ' ' as usize],
        '·' | '’' | '‘' => 278,
        '“' | '”' | '²' | '³' | '°' => 400,
        '×' | '−' => 584,
        '–' => 556,
        '…' | '—' => 1000,
        'à'..='ÿ' => 556,
        _ => 722,
    };
    f64::from(wide) / 1000.0
}

/// Width of a line of letters of a size.
pub(crate) fn width(words: &str, size: f64, weight: Weight) -> f64 {
    words.chars().map(|c| width_of_one(c, weight)).sum::<f64>() * size
}

/// What a person wrote, fit for a drawing: nothing that does not print or turns the way of reading, no space twice.
pub(crate) fn clean(words: &str) -> String {
    let prints = |c: char| {
        !c.is_control()
            && !matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff0}'..='\u{ffff}')
    };
    let shown: String = words.chars().map(|c| if prints(c) { c } else { ' ' }).collect();
    shown.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words, or as many letters of them as fit the width with a mark that there were more.
pub(crate) fn fitted(words: &str, room: f64, size: f64, weight: Weight) -> String {
    if width(words, size, weight) <= room {
        return words.to_owned();
    }
    let mut left = room - width("…", size, weight);
    let kept: String = words
        .chars()
        .take_while(|c| {
            left -= width_of_one(*c, weight) * size;
            left >= 0.0
        })
        .collect();
    format!("{}…", kept.trim_end())
}

/// The words in lines that fit the width; a word too long for a line is cut.
pub(crate) fn lines(words: &str, room: f64, size: f64, weight: Weight) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split(' ') {
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}"), size, weight) <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(fitted(word, room, size, weight)),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nothing that breaks a file or a line comes through, and letters of other tongues do.
    #[test]
    fn names_are_cleaned() {
        assert_eq!(clean("  Front\u{0}\n lawn\u{202e} \u{feff}"), "Front lawn");
        assert_eq!(clean("Přední trávník 🌳"), "Přední trávník 🌳");
    }

    /// A line is as wide as the sum of its letters' widths in the table of the font's maker, worked by hand: "Lawn" is
    /// 556 + 556 + 722 + 556.
    #[test]
    fn lines_are_measured() {
        assert!((width("Lawn", 10.0, Weight::Plain) - 23.9).abs() < 1e-9);
        assert_eq!(fitted("Front lawn", 30.0, 10.0, Weight::Plain), "Fro…");
        assert_eq!(lines("by the front gate", 45.0, 10.0, Weight::Plain), ["by the", "front gate"]);
    }
}

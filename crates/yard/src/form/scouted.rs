//! The form of what was seen: in words, and by the keys a guided look leaves behind.

use super::reader::Reader;
use super::{Ask, Field, begins, field, places};
use crate::entry::{Found, Scouted, Seedlings};
use crate::units::{Quantity, Units};

/// One square foot (m²), exact.
const SQUARE_FOOT_M2: f64 = 0.092_903_04;

pub(super) const FIELDS: &[Field] = &[
    field("area", "Where", Ask::Area, true, ""),
    field("seen", "What you saw", Ask::Text, true, "colour, shape, size, edge, how fast it spreads"),
    field("plant", "Which plant", Ask::Line, false, "key, for a hedge plant, shrub or young tree: arb"),
    field("share", "Share thin or bare", Ask::Number("%"), false, ""),
    field("size", "Size of the patch", Ask::Measure(Quantity::Area), false, ""),
    field("gap", "Widest bare gap", Ask::Measure(Quantity::Depth), false, "across, in the patch"),
    field("settled", "The cause is settled", Ask::Tick, false, ""),
    field(
        "seedlings",
        "New seed",
        Ask::Choice(&["", "none-yet", "first-up", "most-up", "rooted"]),
        false,
        "rooted = seedlings hold when gently pulled; it moves the watering on",
    ),
    begins(
        "What the guided look found",
        field(
            "findings",
            "Signs and tests",
            Ask::Line,
            false,
            "as the page of bad patches leaves them: tug=rolls dig=many",
        ),
    ),
    field("count", "Animals counted", Ask::Line, false, "8/sq ft or 86/m²"),
    field("pest", "Which animal", Ask::Line, false, "key, where told apart: japanese-beetle"),
    field("cause", "Cause held likeliest", Ask::Line, false, "key: white-grubs"),
    field("probability", "How likely", Ask::Number("%"), false, ""),
    field("at", "Place on the map", Ask::Line, false, "east and north of the map's origin"),
    field("picture", "Photo", Ask::Line, false, "name the photo was given when it was taken in"),
    field("green", "Green in the photo", Ask::Number("%"), false, "share of green pixels: a measure of colour only"),
];

/// Animals a square metre from "8", "8/sq ft", "86/m²"; a bare number is of the yard's own unit of ground.
fn density(raw: &str, units: Units) -> Option<f64> {
    let (number, unit) = raw.split_once('/').map_or((raw, ""), |(n, u)| (n, u.trim()));
    let number: f64 = number.trim().parse().ok().filter(|n: &f64| n.is_finite())?;
    match unit.to_lowercase().as_str() {
        "m²" | "m2" | "sq m" => Some(number),
        "ft²" | "ft2" | "sq ft" => Some(number / SQUARE_FOOT_M2),
        "" if units == Units::UsCustomary => Some(number / SQUARE_FOOT_M2),
        "" => Some(number),
        _ => None,
    }
}

fn findings(r: &mut Reader<'_>) -> Vec<Found> {
    let mut out = Vec::new();
    for word in r.list("findings") {
        match word.split_once(['=', ':']) {
            Some((finding, outcome)) => {
                out.push(Found { finding: finding.to_owned(), outcome: outcome.to_owned() });
            }
            None => r.fault("findings", format!("“{word}” is not finding=answer, like tug=rolls")),
        }
    }
    out
}

pub(super) fn read(r: &mut Reader<'_>) -> Scouted {
    let findings = findings(r);
    let count = r.words_maybe("count");
    let count_per_m2 = count.as_deref().and_then(|raw| density(raw, r.units));
    if let (Some(raw), None) = (&count, count_per_m2) {
        r.fault("count", format!("“{raw}” is not a count; write it like 8/sq ft or 86/m²"));
    }
    let corners = r.corners("at");
    if corners.len() > 1 {
        r.fault("at", "one place only: east and north".to_owned());
    }
    Scouted {
        area: r.words("area"),
        seen: r.words("seen"),
        plant: r.words_maybe("plant"),
        share_pct: r.number_maybe("share"),
        size_m2: r.measure_maybe("size", Quantity::Area),
        gap_m: r.measure_maybe("gap", Quantity::Depth).map(|mm| mm / 1000.0),
        settled: r.tick("settled"),
        findings,
        count_per_m2,
        pest: r.words_maybe("pest"),
        cause: r.words_maybe("cause"),
        probability: r.number_maybe("probability").map(|p| p / 100.0),
        at: corners.first().map(|c| c.at()),
        picture: r.words_maybe("picture"),
        green_pct: r.number_maybe("green"),
        seedlings: seedlings(r),
    }
}

const SEEDLINGS: [(&str, Seedlings); 4] = [
    ("none-yet", Seedlings::NoneYet),
    ("first-up", Seedlings::FirstUp),
    ("most-up", Seedlings::MostUp),
    ("rooted", Seedlings::Rooted),
];

fn seedlings(r: &mut Reader<'_>) -> Option<Seedlings> {
    let raw = r.words_maybe("seedlings")?;
    let found = SEEDLINGS.iter().find(|(word, _)| *word == raw).map(|(_, s)| *s);
    if found.is_none() {
        let known: Vec<&str> = SEEDLINGS.iter().map(|(word, _)| *word).collect();
        r.fault("seedlings", format!("“{raw}” is not one of: {}", known.join(", ")));
    }
    found
}

pub(super) fn show(put: &mut dyn FnMut(&str, String), s: &Scouted, units: Units) {
    let num = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
    let words = |v: &Option<String>| v.clone().unwrap_or_default();
    put("area", s.area.clone());
    put("seen", s.seen.clone());
    put("plant", words(&s.plant));
    put("share", num(s.share_pct));
    let measure = |q: Quantity, v: Option<f64>| v.map(|v| units.show(q, v).to_string()).unwrap_or_default();
    put("size", measure(Quantity::Area, s.size_m2));
    put("gap", measure(Quantity::Depth, s.gap_m.map(|m| m * 1000.0)));
    put("settled", if s.settled { "yes".to_owned() } else { String::new() });
    let pairs: Vec<String> = s.findings.iter().map(|f| format!("{}={}", f.finding, f.outcome)).collect();
    put("findings", pairs.join(" "));
    put("count", s.count_per_m2.map(|c| format!("{c}/m²")).unwrap_or_default());
    put("pest", words(&s.pest));
    put("cause", words(&s.cause));
    put("probability", num(s.probability.map(|p| p * 100.0)));
    let length = |m: f64| units.show(Quantity::Length, m);
    put("at", s.at.map(|[x, y]| places::number_pair(length(x), length(y))).unwrap_or_default());
    put("picture", words(&s.picture));
    put("green", num(s.green_pct));
    let seen = SEEDLINGS.iter().find(|(_, seen)| Some(*seen) == s.seedlings);
    put("seedlings", seen.map(|(word, _)| (*word).to_owned()).unwrap_or_default());
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Eight a square foot are 86.1 a square metre (1 ft = 0.3048 m exactly); the unit may stand behind, or be the yard's.
    #[test]
    fn densities() {
        let near = |raw: &str, units, want: f64| {
            assert!(density(raw, units).is_some_and(|d| (d - want).abs() < 0.02), "{raw}");
        };
        near("8/sq ft", Units::Metric, 86.11);
        near("8", Units::UsCustomary, 86.11);
        near("86/m²", Units::UsCustomary, 86.0);
        near("86", Units::Metric, 86.0);
        assert_eq!(density("8/acre", Units::Metric), None);
        assert_eq!(density("many", Units::Metric), None);
        assert_eq!(density("inf", Units::Metric), None);
    }
}

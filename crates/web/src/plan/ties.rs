//! Where a valve box is, as a person finds it with a tape: from two corners of buildings.

use yard::map::{Mapped, Thing};
use yard::units::Quantity;
use yard::{Units, Yard};

use super::path::At;

/// Most corners that get a letter.
const LETTERS: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
/// Two tapes that meet at less than this, or at more than the rest of a half circle, place a point poorly (degrees; common
/// practice in taping).
const ANGLE_MIN_DEG: f64 = 30.0;

/// A corner of a building with the letter it has on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Mark {
    pub(crate) at: At,
    /// The way out of the building there.
    pub(crate) out: At,
    pub(crate) letter: char,
}

/// A valve and how to find it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tie {
    /// The valve's key.
    pub(crate) key: String,
    /// In words.
    pub(crate) words: String,
}

/// How to find every valve.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Ties {
    pub(crate) marks: Vec<Mark>,
    pub(crate) ties: Vec<Tie>,
}

/// A length as a tape reads it: feet and inches, or metres and centimetres.
pub(crate) fn taped(units: Units, metres: f64) -> String {
    match units {
        Units::Metric => format!("{metres:.2} m"),
        Units::UsCustomary => {
            let inches = (units.show(Quantity::Length, metres) * 12.0).round();
            format!("{:.0} ft {:.0} in", (inches / 12.0).floor(), inches.rem_euclid(12.0))
        }
    }
}

fn away(a: At, b: At) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Angle between the ways from a place to two others (degrees).
fn angle(at: At, a: At, b: At) -> f64 {
    let (p, q) = ([a[0] - at[0], a[1] - at[1]], [b[0] - at[0], b[1] - at[1]]);
    (p[0] * q[1] - p[1] * q[0]).atan2(p[0] * q[0] + p[1] * q[1]).abs().to_degrees()
}

/// Corners of buildings, each with the way out of its building.
fn corners(yard: &Yard) -> Vec<(At, At)> {
    let mut corners = Vec::new();
    for house in yard.things.iter().filter(|t| matches!(t.thing, Thing::Building { .. })) {
        let places: Vec<At> = house.at.iter().map(|c| c.at()).collect();
        let n = places.len().max(1) as f64;
        let middle = places.iter().fold([0.0, 0.0], |m, p| [m[0] + p[0] / n, m[1] + p[1] / n]);
        for at in places {
            let far = away(at, middle).max(1e-9);
            corners.push((at, [(at[0] - middle[0]) / far, (at[1] - middle[1]) / far]));
        }
    }
    corners
}

/// The nearest corner, and the nearest other one whose tape meets the first's at a good angle; else the two nearest.
fn two(at: At, corners: &[(At, At)]) -> Option<[(At, At); 2]> {
    let mut near: Vec<(At, At)> = corners.iter().filter(|(c, _)| away(*c, at) > 0.0).copied().collect();
    near.sort_by(|a, b| away(a.0, at).total_cmp(&away(b.0, at)));
    near.dedup_by(|a, b| a.0 == b.0);
    let first = *near.first()?;
    let good = |c: &&(At, At)| (ANGLE_MIN_DEG..=180.0 - ANGLE_MIN_DEG).contains(&angle(at, first.0, c.0));
    let second = near[1..].iter().find(good).or(near.get(1))?;
    Some([first, *second])
}

fn from_origin(units: Units, [x, y]: At) -> String {
    let (east, north) = (if x < 0.0 { "W" } else { "E" }, if y < 0.0 { "S" } else { "N" });
    format!("{} {east}, {} {north} of the map’s origin", taped(units, x.abs()), taped(units, y.abs()))
}

impl Ties {
    /// Ties of all valves of a yard.
    pub(crate) fn of(yard: &Yard) -> Self {
        let (units, corners) = (yard.units(), corners(yard));
        let mut found = Self::default();
        let valves = yard.things.iter().filter(|t| matches!(t.thing, Thing::Valve { .. }) && !t.at.is_empty());
        for valve in valves {
            let words = found.tape(units, valve, &corners).unwrap_or_else(|| from_origin(units, valve.place()));
            found.ties.push(Tie { key: valve.key.clone(), words });
        }
        found
    }

    fn tape(&mut self, units: Units, valve: &Mapped, corners: &[(At, At)]) -> Option<String> {
        let at = valve.place();
        let [first, second] = two(at, corners)?;
        let [a, b] = [self.letter(first)?, self.letter(second)?];
        Some(format!("{} from {a}, {} from {b}", taped(units, away(at, first.0)), taped(units, away(at, second.0))))
    }

    fn letter(&mut self, (at, out): (At, At)) -> Option<char> {
        if let Some(mark) = self.marks.iter().find(|m| m.at == at) {
            return Some(mark.letter);
        }
        let letter = LETTERS.chars().nth(self.marks.len())?;
        self.marks.push(Mark { at, out, letter });
        Some(letter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Feet and inches carry over at twelve; centimetres are kept.
    #[test]
    fn lengths_read_like_a_tape() {
        assert_eq!(taped(Units::UsCustomary, 0.3048 * 3.999), "4 ft 0 in");
        assert_eq!(taped(Units::UsCustomary, 5.2832), "17 ft 4 in");
        assert_eq!(taped(Units::Metric, 5.2832), "5.28 m");
    }

    /// A second corner in line with the first is passed over for one that meets it squarely.
    #[test]
    fn tapes_meet_at_a_good_angle() {
        let corner = |x: f64, y: f64| ([x, y], [0.0, 0.0]);
        let [a, b] = two([0.0, 0.0], &[corner(5.0, 0.2), corner(3.0, 0.0), corner(0.0, 6.0)]).unwrap();
        assert_eq!((a.0, b.0), ([3.0, 0.0], [0.0, 6.0]));
        assert!(two([0.0, 0.0], &[corner(1.0, 1.0)]).is_none());
    }
}

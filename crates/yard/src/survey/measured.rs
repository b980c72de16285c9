//! Measurements as a person writes them in the yard: tape readings from known corners, offsets along a line.

use reckon::offset_line::{Offset, offset_corners};
use reckon::outline::Corner;
use reckon::tape_survey::{Distance, KnownCorner, SoughtPoint, TapeSurvey, TapeSurveyInput, Tie, tape_survey};
use reckon::units::Metres;

use crate::check_entry::Fault;
use crate::fold::Yard;
use crate::map::Thing;
use crate::units::{Quantity, Units};

/// Corners of a piece of ground and how sure they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The corners, in the order told.
    pub corners: Vec<Corner>,
    /// The adjustment, where a tape was used.
    pub survey: Option<TapeSurvey>,
    /// What was measured, in a line that is kept with the outline.
    pub words: String,
}

fn fault(field: &str, message: String) -> Vec<Fault> {
    vec![Fault { field: field.to_owned(), message }]
}

fn number(word: &str) -> Option<f64> {
    word.replace('−', "-").parse::<f64>().ok().filter(|n| n.is_finite())
}

fn lines(text: &str) -> impl Iterator<Item = (&str, Vec<&str>)> {
    text.split([';', '\n'])
        .map(str::trim)
        .filter(|l| !l.is_empty())
        .map(|l| (l, l.split([' ', ',', '\t']).filter(|w| !w.is_empty()).collect()))
}

/// Corners of the buildings on the map, named for a tape: `House-1`, `House-2`, …; what a tape is held to.
pub fn known_corners(yard: &Yard) -> Vec<(String, [f64; 2])> {
    let buildings = yard.things.iter().filter(|t| matches!(t.thing, Thing::Building { .. }));
    buildings
        .flat_map(|t| t.at.iter().enumerate().map(move |(i, c)| (format!("{}-{}", t.key, i + 1), c.at())))
        .collect()
}

/// Reads a tape survey and adjusts it. `known` has a corner a line (`A 0 0`); `readings` has a point a line: its name, then
/// known place and distance in turn, then `near` and a place where two readings leave two answers (`1 A 13 B 19.2 near 5 12`);
/// a line that begins with `tie` is a check between two places (`tie 1 2 8.5`). Lengths are in the user's unit.
///
/// # Errors
/// The line that cannot be read, or what the adjustment says of it, at field `known` or `readings`.
pub fn tape(known: &str, readings: &str, units: Units) -> Result<Measured, Vec<Fault>> {
    let length = |n: f64| Metres::new(units.read(Quantity::Length, n));
    let mut corners = Vec::new();
    for (line, words) in lines(known) {
        match words[..] {
            [name, x, y] if number(x).is_some() && number(y).is_some() => corners.push(KnownCorner {
                id: name.to_owned(),
                x: length(number(x).unwrap_or(f64::NAN)),
                y: length(number(y).unwrap_or(f64::NAN)),
            }),
            _ => {
                return Err(fault(
                    "known",
                    format!("“{line}” is not a known corner; write its name, east and north: A 0 0"),
                ));
            }
        }
    }
    let (mut points, mut ties) = (Vec::new(), Vec::new());
    for (line, words) in lines(readings) {
        let cannot = || {
            fault("readings", format!("“{line}” cannot be read; write like: 1 A 13 B 19.2 near 5 12, or tie 1 2 8.5"))
        };
        if let ["tie", a, b, d] = words[..] {
            let distance = length(number(d).ok_or_else(cannot)?);
            ties.push(Tie { a: a.to_owned(), b: b.to_owned(), distance });
            continue;
        }
        let (id, rest) = words.split_first().ok_or_else(cannot)?;
        let near_at = rest.iter().position(|w| *w == "near").unwrap_or(rest.len());
        let (pairs, near) = rest.split_at(near_at);
        if pairs.is_empty() || pairs.len() % 2 != 0 {
            return Err(cannot());
        }
        let from = pairs
            .chunks_exact(2)
            .map(|p| Some(Distance { id: p[0].to_owned(), distance: length(number(p[1])?) }))
            .collect::<Option<Vec<_>>>()
            .ok_or_else(cannot)?;
        let near_m = match near {
            [] => None,
            ["near", x, y] => {
                let (x, y) = number(x).zip(number(y)).ok_or_else(cannot)?;
                Some([length(x).get(), length(y).get()])
            }
            _ => return Err(cannot()),
        };
        points.push(SoughtPoint { id: (*id).to_owned(), from, near_m });
    }
    let survey = tape_survey(&TapeSurveyInput { corners, points, ties }).map_err(|e| {
        let field = if e.field() == "corners" { "known" } else { "readings" };
        fault(field, in_units(&e.to_string(), units))
    })?;
    let words = format!("tape: {}", readings.split_whitespace().collect::<Vec<_>>().join(" "));
    let corners = survey.points.iter().map(|p| tidy([p.x.get(), p.y.get()])).collect();
    Ok(Measured { corners, survey: Some(survey), words })
}

/// Reads offsets along a line: `line` has its two ends (`0 0; 40 0`), `offsets` a place a line: along, left, and right where the
/// line runs through the ground (`10 3.5 1.2`). Lengths are in the user's unit.
///
/// # Errors
/// The line that cannot be read, or what the formula says of it, at field `line` or `offsets`.
pub fn offsets(line: &str, offsets: &str, units: Units) -> Result<Measured, Vec<Fault>> {
    let length = |n: f64| units.read(Quantity::Length, n);
    let mut ends = Vec::new();
    for (text, words) in lines(line) {
        match words.iter().map(|w| number(w)).collect::<Option<Vec<_>>>().as_deref() {
            Some([x, y]) => ends.push([length(*x), length(*y)]),
            _ => return Err(fault("line", format!("“{text}” is not a place; write east and north: 0 0"))),
        }
    }
    let [start, end] = ends[..] else {
        return Err(fault("line", format!("a line has two ends; {} are told", ends.len())));
    };
    let mut rows = Vec::new();
    for (text, words) in lines(offsets) {
        let numbers = words.iter().map(|w| number(w)).collect::<Option<Vec<_>>>();
        let (along, left, right) = match numbers.as_deref() {
            Some([along, left]) => (*along, *left, 0.0),
            Some([along, left, right]) => (*along, *left, *right),
            _ => {
                let message =
                    format!("“{text}” cannot be read; write how far along, left, and right if any: 10 3.5 1.2");
                return Err(fault("offsets", message));
            }
        };
        let [along, left, right] = [along, left, right].map(|n| Metres::new(length(n)));
        rows.push(Offset { along, left, right });
    }
    let corners = offset_corners(start, end, &rows).map_err(|e| {
        let field = if e.field() == "line" { "line" } else { "offsets" };
        fault(field, e.to_string())
    })?;
    let told = format!("offsets from {}: {}", line.trim(), offsets.split_whitespace().collect::<Vec<_>>().join(" "));
    Ok(Measured { corners: corners.into_iter().map(tidy).collect(), survey: None, words: told })
}

/// A formula's words with its places, `[east, north]` in metres, told in the user's unit.
fn in_units(words: &str, units: Units) -> String {
    let mut told = String::with_capacity(words.len());
    let mut rest = words;
    while let Some((before, after)) = rest.split_once('[') {
        told.push_str(before);
        told.push('[');
        let place = after.split_once(']').and_then(|(inside, behind)| {
            let (x, y) = inside.split_once(", ")?;
            Some((x.parse::<f64>().ok()?, y.parse::<f64>().ok()?, behind))
        });
        rest = match place {
            Some((x, y, behind)) => {
                let [x, y] = [x, y].map(|m| units.show(Quantity::Length, m));
                // The formula tells centimetres: a tenth of a foot or metre is what they carry over.
                let tidy = |v: f64| (v * 10.0).round() / 10.0 + 0.0;
                told.push_str(&format!("{:.1}, {:.1}]", tidy(x), tidy(y)));
                behind
            }
            None => after,
        };
    }
    told.push_str(rest);
    told
}

/// A tenth of a millimetre: no tape reads finer.
fn tidy(at: [f64; 2]) -> Corner {
    let [x, y] = at.map(|v| (v * 1e4).round() / 1e4);
    Corner::new(x, y)
}

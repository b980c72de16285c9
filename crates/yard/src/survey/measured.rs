//! Measurements as a person writes them in the yard: tape readings from known corners, offsets along a line.

use reckon::offset_line::{LINE_LEAST_M, Offset, offset_corners};
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
    /// The reading that does not fit, where there is one.
    pub doubtful: Option<Doubtful>,
    /// What was measured, in a line that is kept with the outline.
    pub words: String,
}

/// A reading that does not fit the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubtful {
    /// Its two ends.
    pub ends: [String; 2],
    /// As it was read (m).
    pub read_m: f64,
    /// What the others make of it, where they fix both ends without it (m).
    pub others_m: Option<f64>,
}

/// A residual this many times the others' (root of the mean square) is doubtful, and none below half a centimetre (common practice).
const DOUBTFUL_TIMES: f64 = 3.0;
const DOUBTFUL_LEAST_M: f64 = 0.005;

fn doubtful(input: &TapeSurveyInput, survey: &TapeSurvey) -> Option<Doubtful> {
    let place = survey.worst.filter(|_| survey.redundancy > 0)?;
    let worst = &survey.residuals[place];
    // Without it the others tell both how well they fit and how far its ends are apart.
    let mut rest = input.clone();
    let mut left = place;
    let mut taken = false;
    for point in &mut rest.points {
        if !taken && left < point.from.len() {
            point.from.remove(left);
            taken = true;
        } else if !taken {
            left -= point.from.len();
        }
    }
    if !taken {
        rest.ties.remove(left);
    }
    let without = tape_survey(&rest).ok();
    let rms = |s: &TapeSurvey| {
        (s.residuals.iter().map(|r| r.residual.get().powi(2)).sum::<f64>() / s.residuals.len().max(1) as f64).sqrt()
    };
    let fits = without.as_ref().map_or_else(
        || {
            let others =
                survey.residuals.iter().enumerate().filter(|(i, _)| *i != place).map(|(_, r)| r.residual.get().powi(2));
            (others.sum::<f64>() / (survey.residuals.len() - 1).max(1) as f64).sqrt()
        },
        rms,
    );
    if worst.residual.get().abs() <= DOUBTFUL_TIMES * fits.max(DOUBTFUL_LEAST_M) {
        return None;
    }
    let at = |id: &str| {
        let known = input.corners.iter().find(|c| c.id == id).map(|c| [c.x.get(), c.y.get()]);
        let found = || without.as_ref()?.points.iter().find(|p| p.id == id).map(|p| [p.x.get(), p.y.get()]);
        known.or_else(found)
    };
    let others_m = at(&worst.a).zip(at(&worst.b)).map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]));
    Some(Doubtful { ends: [worst.a.clone(), worst.b.clone()], read_m: worst.distance.get(), others_m })
}

/// A formula's words with its lists' places told by their names.
fn by_name(words: &str, ids: &[String]) -> String {
    let mut told = words.to_owned();
    for (i, id) in ids.iter().enumerate() {
        told = told.replace(&format!("points[{i}]"), &format!("point {id}"));
    }
    let told = told.strip_prefix("points: ").map_or(told.clone(), str::to_owned);
    told.replace(".near is missing", ": about where is it? Add near")
}

fn fault(field: &str, message: String) -> Vec<Fault> {
    vec![Fault { field: field.to_owned(), message }]
}

fn number(word: &str) -> Option<f64> {
    // 13'6" and 13' are feet and inches.
    if let Some((feet, inches)) = word.split_once(['\'', '′']) {
        let inches = inches.trim_end_matches(['"', '″']);
        let inches = if inches.is_empty() { 0.0 } else { inches.parse::<f64>().ok()? };
        return Some(feet.parse::<f64>().ok()? + inches / 12.0).filter(|n| n.is_finite());
    }
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
    let names: Vec<&str> =
        corners.iter().map(|c| c.id.as_str()).chain(points.iter().map(|p: &SoughtPoint| p.id.as_str())).collect();
    let used = points.iter().flat_map(|p| &p.from).map(|f| &f.id).chain(ties.iter().flat_map(|t| [&t.a, &t.b]));
    for place in used {
        if !names.contains(&place.as_str()) {
            let known = names.join(", ");
            return Err(fault(
                "readings",
                format!("“{place}” is neither a known corner nor a point; there are: {known}"),
            ));
        }
    }
    let ids: Vec<String> = points.iter().map(|p| p.id.clone()).collect();
    let input = TapeSurveyInput { corners, points, ties };
    let survey = tape_survey(&input).map_err(|e| {
        let field = if e.field() == "corners" { "known" } else { "readings" };
        fault(field, by_name(&in_units(&e.to_string(), units), &ids))
    })?;
    let words = format!("tape: {}", readings.split_whitespace().collect::<Vec<_>>().join(" "));
    let corners = survey.points.iter().map(|p| tidy([p.x.get(), p.y.get()])).collect();
    let doubtful = doubtful(&input, &survey);
    Ok(Measured { corners, survey: Some(survey), doubtful, words })
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
    let far = |m: f64| units.say(Quantity::Length, m);
    if (start[0] - end[0]).hypot(start[1] - end[1]) < LINE_LEAST_M {
        let message =
            format!("the line’s two ends are less than {} apart: its direction would be unsure", far(LINE_LEAST_M));
        return Err(fault("line", message));
    }
    if let Some(pair) = rows.windows(2).find(|w| w[1].along <= w[0].along) {
        let [before, here] = [pair[0].along.get(), pair[1].along.get()].map(far);
        return Err(fault("offsets", format!("the place at {here} is not after the one before it, at {before}")));
    }
    let corners = offset_corners(start, end, &rows).map_err(|e| {
        let field = if e.field() == "line" { "line" } else { "offsets" };
        fault(field, e.to_string())
    })?;
    let told = format!("offsets from {}: {}", line.trim(), offsets.split_whitespace().collect::<Vec<_>>().join(" "));
    Ok(Measured { corners: corners.into_iter().map(tidy).collect(), survey: None, doubtful: None, words: told })
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

//! Places of points from tape distances, with more distances than needed to catch a slip of the tape.

use std::collections::HashMap;

use crate::error::{Bound, ReckonError};
use crate::units::Metres;

mod adjust;
mod places;

use adjust::{Adjusted, Measured};

/// Position of a corner or of a guess, east or north of the plan's origin.
pub const POSITION_M: Bound = Bound::new("x_m", -1e6, 1e6, "m", "position, east or north of the plan's origin");
/// A distance measured by tape, level.
pub const DISTANCE_M: Bound = Bound::new("distance_m", 0.001, 10_000.0, "m", "distance measured level");

/// Most corners.
pub const CORNERS_MAX: usize = 200;
/// Most points.
pub const POINTS_MAX: usize = 100;
/// Most distances, ties included.
pub const DISTANCES_MAX: usize = 2_000;

/// What one tape distance over a lawn is good for when no distance beyond the needed ones tells (common practice).
pub const DISTANCE_ERROR_DEFAULT: Metres = Metres::new(0.02);

/// A place that is known.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownCorner {
    /// Its name.
    pub id: String,
    /// East of the origin.
    pub x: Metres,
    /// North of the origin.
    pub y: Metres,
}

/// One distance from a named place.
#[derive(Clone, Debug, PartialEq)]
pub struct Distance {
    /// A corner or another point.
    pub id: String,
    /// How far it is, level.
    pub distance: Metres,
}

/// A place that is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct SoughtPoint {
    /// Its name.
    pub id: String,
    /// Distances to it.
    pub from: Vec<Distance>,
    /// About where it is, `[east, north]`: picks one of the two places that two distances leave.
    pub near_m: Option<[f64; 2]>,
}

/// A distance between any two places, measured as a check.
#[derive(Clone, Debug, PartialEq)]
pub struct Tie {
    /// One end.
    pub a: String,
    /// The other end.
    pub b: String,
    /// How far apart they are, level.
    pub distance: Metres,
}

/// A survey by tape.
#[derive(Clone, Debug, PartialEq)]
pub struct TapeSurveyInput {
    /// Places that are known, such as the house's corners.
    pub corners: Vec<KnownCorner>,
    /// Places that are looked for.
    pub points: Vec<SoughtPoint>,
    /// Distances measured as a check.
    pub ties: Vec<Tie>,
}

/// A place found.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundPoint {
    /// Its name.
    pub id: String,
    /// East of the origin.
    pub x: Metres,
    /// North of the origin.
    pub y: Metres,
    /// Standard error of the position, `√(σx² + σy²)`.
    pub standard_error: Metres,
}

/// How one distance fits.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// One end.
    pub a: String,
    /// The other end: for a point's own distances, the point.
    pub b: String,
    /// As measured.
    pub distance: Metres,
    /// Distance between the found places less the measured one.
    pub residual: Metres,
    /// The residual over its standard error when every distance has the error 1 m; 0 when no other distance checks it.
    pub standardised: f64,
}

/// A survey adjusted; points in the order given, residuals point by point, then the ties.
#[derive(Clone, Debug, PartialEq)]
pub struct TapeSurvey {
    /// The points.
    pub points: Vec<FoundPoint>,
    /// The distances.
    pub residuals: Vec<Residual>,
    /// Distances beyond the two that each point needs.
    pub redundancy: usize,
    /// Standard error of one distance: from the residuals, or [`DISTANCE_ERROR_DEFAULT`] when there is no redundancy.
    pub distance_error: Metres,
    /// Place in `residuals` of the distance to measure again first; `None` when no distance is checked by others.
    pub worst: Option<usize>,
}

/// Places of points from tape distances by least squares.
///
/// The places make `Σ (d_found - d_measured)²` least, every distance counting alike (Gauss–Newton). `σ0² = Σ v² / r` with
/// `r` distances beyond the two that each point needs; the points' standard errors are `σ0 √(Q_xx + Q_yy)`, `Q` the inverse
/// of the normal equations. The worst distance has the largest `|v| / √q_vv`; with one distance to spare all are equally
/// suspect, and the largest `|v|` is named.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | east, north | position of a known corner | m | -1,000,000 ..= 1,000,000 |
/// | `d` | distance, measured level | m | 0.001 ..= 10,000 |
/// | `v` | residual, found less measured | m | |
///
/// Two distances leave two places, mirrored on the line between their ends. The one nearer to `near` is taken; without it
/// the one that the other distances and ties tell, and if they do not tell, the survey is refused. A point may be measured
/// from other points, given in any order.
///
/// Left out: sag and slope of the tape (both read long), corners that are themselves in error.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `corners`, `points` or `ties` and the place in the list: a value out of range, a
/// name empty, unknown or used twice, an end twice in one distance, fewer than two distances, distances that do not meet
/// or lie on one line, two places that fit alike.
///
/// # Source
/// C. D. Ghilani, *Adjustment Computations*, 5th ed., 2010, ch. 14 (observation equation of a distance), 13 (standard
/// errors of adjusted quantities) and 21 (standardised residuals, after W. Baarda, 1968).
///
/// # Examples
/// From corners 20 m apart, 13 and 19.2094 m: at 5 east, 12 north.
/// ```
/// use reckon::tape_survey::{Distance, KnownCorner, SoughtPoint, TapeSurveyInput, tape_survey};
/// use reckon::units::Metres;
///
/// let corner = |id: &str, x: f64| KnownCorner { id: id.into(), x: Metres::new(x), y: Metres::new(0.0) };
/// let from = |id: &str, d: f64| Distance { id: id.into(), distance: Metres::new(d) };
/// let found = tape_survey(&TapeSurveyInput {
///     corners: vec![corner("A", 0.0), corner("B", 20.0)],
///     points: vec![SoughtPoint {
///         id: "tree".into(),
///         from: vec![from("A", 13.0), from("B", 19.2094)],
///         near_m: Some([5.0, 10.0]),
///     }],
///     ties: vec![],
/// })?;
/// assert!((found.points[0].x.get() - 5.0).abs() < 0.0005);
/// assert!((found.points[0].y.get() - 12.0).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn tape_survey(input: &TapeSurveyInput) -> Result<TapeSurvey, ReckonError> {
    let names = check_names(input)?;
    let measured = check_distances(input, &names)?;
    let origin = [input.corners[0].x.get(), input.corners[0].y.get()];
    let corners: Vec<[f64; 2]> = input.corners.iter().map(|c| [c.x.get() - origin[0], c.y.get() - origin[1]]).collect();
    let near: Vec<Option<[f64; 2]>> =
        input.points.iter().map(|p| p.near_m.map(|[x, y]| [x - origin[0], y - origin[1]])).collect();

    let Adjusted { places, residuals, standardised, cofactors } =
        places::find(&corners, &near, &measured).map_err(|fault| refused_point(input, fault))?;
    let redundancy = measured.len().saturating_sub(2 * places.len());
    let squares: f64 = residuals.iter().map(|v| v * v).sum();
    let distance_error =
        if redundancy > 0 { (squares / redundancy as f64).sqrt() } else { DISTANCE_ERROR_DEFAULT.get() };
    let points = input.points.iter().zip(places.iter().zip(&cofactors)).map(|(point, (at, q))| FoundPoint {
        id: point.id.clone(),
        x: Metres::new(at[0] + origin[0]),
        y: Metres::new(at[1] + origin[1]),
        standard_error: Metres::new(distance_error * q.sqrt()),
    });
    let name = |i: usize| match i.checked_sub(corners.len()) {
        None => input.corners[i].id.clone(),
        Some(i) => input.points[i].id.clone(),
    };
    let told = measured.iter().zip(residuals.iter().zip(&standardised)).map(|(m, (v, w))| Residual {
        a: name(m.a),
        b: name(m.b),
        distance: Metres::new(m.distance),
        residual: Metres::new(*v),
        standardised: *w,
    });
    Ok(TapeSurvey {
        points: points.collect(),
        residuals: told.collect(),
        redundancy,
        distance_error: Metres::new(distance_error),
        worst: worst(&residuals, &standardised),
    })
}

/// The largest standardised residual; among those that are alike, the largest residual.
fn worst(residuals: &[f64], standardised: &[f64]) -> Option<usize> {
    let largest = standardised.iter().fold(0.0_f64, |most, w| most.max(w.abs()));
    let alike = (0..residuals.len()).filter(|&i| largest > 0.0 && standardised[i].abs() >= largest * (1.0 - 1e-6));
    alike.max_by(|&i, &j| residuals[i].abs().total_cmp(&residuals[j].abs()))
}

/// What keeps a point from being found.
enum Fault {
    /// Too few distances to places that are known or can be found.
    Unfixed(usize),
    /// Its distances do not meet, or lie on one line.
    Weak(usize),
    /// Two places fit alike.
    Either(usize, [[f64; 2]; 2]),
}

fn refused_point(input: &TapeSurveyInput, fault: Fault) -> ReckonError {
    let [x, y] = [input.corners[0].x.get(), input.corners[0].y.get()];
    let message = match fault {
        Fault::Unfixed(i) => format!(
            "points[{i}] has fewer than two distances to places that are fixed without it; measure from corners or from \
             points that are, or say about where it is (near)"
        ),
        Fault::Weak(i) => format!(
            "points[{i}] is not fixed by its distances: they do not meet, or their ends lie in one line with it; measure \
             them again, and one from the side"
        ),
        Fault::Either(i, [a, b]) => format!(
            "points[{i}].near is missing: the distances fit at [{:.2}, {:.2}] as well as at [{:.2}, {:.2}]; say which is \
             nearer, or measure one more",
            a[0] + x,
            a[1] + y,
            b[0] + x,
            b[1] + y
        ),
    };
    ReckonError::Inconsistent { field: "points", message }
}

fn refused(field: &'static str, message: String) -> ReckonError {
    ReckonError::Inconsistent { field, message }
}

/// Every place's number: corners first, then points.
fn check_names(input: &TapeSurveyInput) -> Result<HashMap<&str, usize>, ReckonError> {
    for (field, count, min, max) in
        [("corners", input.corners.len(), 2, CORNERS_MAX), ("points", input.points.len(), 1, POINTS_MAX)]
    {
        if !(min..=max).contains(&count) {
            return Err(refused(field, format!("{count} of them; there must be {min} to {max}")));
        }
    }
    let mut names = HashMap::new();
    let corners = input.corners.iter().enumerate().map(|(i, c)| ("corners", i, c.id.as_str()));
    let points = input.points.iter().enumerate().map(|(i, p)| ("points", i, p.id.as_str()));
    for (number, (field, i, id)) in corners.chain(points).enumerate() {
        if id.is_empty() {
            return Err(refused(field, format!("{field}[{i}].id is empty")));
        }
        if names.insert(id, number).is_some() {
            return Err(refused(field, format!("{field}[{i}].id is \"{id}\", which is another place's name")));
        }
    }
    for (i, corner) in input.corners.iter().enumerate() {
        for (axis, value) in [("x_m", corner.x.get()), ("y_m", corner.y.get())] {
            check(&POSITION_M, value, "corners", &format!("corners[{i}].{axis}"))?;
        }
    }
    for (i, point) in input.points.iter().enumerate() {
        for value in point.near_m.into_iter().flatten() {
            check(&POSITION_M, value, "points", &format!("points[{i}].near"))?;
        }
    }
    Ok(names)
}

fn check(bound: &Bound, value: f64, field: &'static str, path: &str) -> Result<f64, ReckonError> {
    let Bound { min, max, unit, .. } = bound;
    bound
        .check(value)
        .map_err(|_| refused(field, format!("{path} is {value} {unit}; it must be between {min} and {max} {unit}")))
}

fn check_distances(input: &TapeSurveyInput, names: &HashMap<&str, usize>) -> Result<Vec<Measured>, ReckonError> {
    let count = input.points.iter().map(|p| p.from.len()).sum::<usize>() + input.ties.len();
    if count > DISTANCES_MAX {
        return Err(refused("points", format!("{count} distances with the ties; the most is {DISTANCES_MAX}")));
    }
    let mut measured = Vec::with_capacity(count);
    let end = |field: &'static str, path: String, id: &str| {
        names
            .get(id)
            .copied()
            .ok_or_else(|| refused(field, format!("{path} is \"{id}\", which is neither a corner nor a point")))
    };
    for (i, point) in input.points.iter().enumerate() {
        for (j, from) in point.from.iter().enumerate() {
            let path = format!("points[{i}].from[{j}]");
            let a = end("points", format!("{path}.id"), &from.id)?;
            let b = input.corners.len() + i;
            if a == b {
                return Err(refused("points", format!("{path}.id is \"{}\", the point itself", from.id)));
            }
            let distance = check(&DISTANCE_M, from.distance.get(), "points", &format!("{path}.distance_m"))?;
            measured.push(Measured { a, b, distance });
        }
    }
    for (i, tie) in input.ties.iter().enumerate() {
        let a = end("ties", format!("ties[{i}].a"), &tie.a)?;
        let b = end("ties", format!("ties[{i}].b"), &tie.b)?;
        if a == b {
            return Err(refused("ties", format!("ties[{i}].b is \"{}\", the same place as its other end", tie.b)));
        }
        if a.max(b) < input.corners.len() {
            return Err(refused("ties", format!("ties[{i}].a and b are both corners, whose distance is known")));
        }
        let distance = check(&DISTANCE_M, tie.distance.get(), "ties", &format!("ties[{i}].distance_m"))?;
        measured.push(Measured { a, b, distance });
    }
    Ok(measured)
}

#[cfg(test)]
mod tests;

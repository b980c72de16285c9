//! Whether corners make an outline, and a refusal that says where not.

use geo::{Area, BooleanOps, Contains, MultiPolygon, Polygon};
use geo::{Euclidean, InteriorPoint, Length};

use super::{
    BOW_SHARE_MAX, CORNER_M, CORNERS_MAX, Corner, FLATTEN_TOLERANCE_M, HOLE_SLACK_M, Outline, arc, corners_flat,
};
use crate::error::{Bound, ReckonError};
use crate::polygon::{self, polygon_area};

/// A half circle's bow may miss half the chord in the last digits.
const BOW_SHARE_SLACK: f64 = 1e-9;

/// How close chords keep to their arcs: [`FLATTEN_TOLERANCE_M`], or coarser where that would be too many corners to check.
pub(super) fn tolerance_m(outline: &Outline) -> f64 {
    let rings: Vec<Vec<Corner>> = outline.rings().map(|ring| arc::distinct(ring)).collect();
    let mut tolerance_m = FLATTEN_TOLERANCE_M;
    while tolerance_m < 10.0
        && rings.iter().map(|ring| arc::count_flat(ring, tolerance_m)).sum::<usize>() > polygon::CORNERS_MAX
    {
        tolerance_m *= 2.0;
    }
    tolerance_m
}

pub(super) fn check(outline: &Outline) -> Result<(), ReckonError> {
    let corners = outline.rings().map(Vec::len).sum::<usize>();
    if corners > CORNERS_MAX {
        let message = format!("{corners} corners with the holes; the most is {CORNERS_MAX}");
        return Err(ReckonError::Inconsistent { field: "ring", message });
    }
    Name::Ring.check_corners(&outline.ring)?;
    for (i, hole) in outline.holes.iter().enumerate() {
        Name::Hole(i).check_corners(hole)?;
    }
    let tolerance_m = tolerance_m(outline);
    Name::Ring.check_sides(&outline.ring, tolerance_m)?;
    for (i, hole) in outline.holes.iter().enumerate() {
        Name::Hole(i).check_sides(hole, tolerance_m)?;
    }
    check_holes(outline)
}

/// Which ring a refusal speaks of.
#[derive(Clone, Copy)]
enum Name {
    Ring,
    Hole(usize),
}

impl Name {
    fn refused<T>(self, what: &str) -> Result<T, ReckonError> {
        match self {
            Self::Ring => Err(ReckonError::Inconsistent { field: "ring", message: what.to_string() }),
            Self::Hole(i) => {
                Err(ReckonError::Inconsistent { field: "holes", message: format!("hole {}: {what}", i + 1) })
            }
        }
    }

    /// Every corner and every bow for its own sake.
    fn check_corners(self, ring: &[Corner]) -> Result<(), ReckonError> {
        let Bound { min, max, .. } = CORNER_M;
        for (i, corner) in ring.iter().enumerate() {
            for (value, which) in corner.at().into_iter().zip(["east", "north"]) {
                if CORNER_M.check(value).is_err() {
                    let place = i + 1;
                    return self.refused(&format!(
                        "corner {place} is {value} m {which}; it must be between {min} and {max} m"
                    ));
                }
            }
        }
        for (i, corner) in ring.iter().enumerate() {
            let (place, bow) = (i + 1, corner.bow.get());
            if !bow.is_finite() {
                return self.refused(&format!("the bow after corner {place} is {bow} m; it must be a number"));
            }
            let to = ring[(i + 1) % ring.len()].at();
            let chord = (to[0] - corner.at()[0]).hypot(to[1] - corner.at()[1]);
            // A corner that is given again has no side after it.
            if chord > 0.0 && bow.abs() > BOW_SHARE_MAX * chord * (1.0 + BOW_SHARE_SLACK) {
                let most = BOW_SHARE_MAX * chord;
                return self.refused(&format!(
                    "the bow after corner {place} is {bow} m; it must be within ±{most:.3} m, half of the {chord:.3} m to the \
                     next corner"
                ));
            }
        }
        let distinct = arc::distinct(ring);
        match distinct[..] {
            [] => self.refused("no corners; a ring has at least 3"),
            [_] => self.refused("1 corner; a ring has at least 3"),
            [_, _] if !arc::sides(&distinct).all(|side| side.is_bowed()) => {
                self.refused("2 corners that differ; a ring has at least 3, or 2 with both sides bowed")
            }
            _ => Ok(()),
        }
    }

    /// That no side meets another.
    fn check_sides(self, ring: &[Corner], tolerance_m: f64) -> Result<(), ReckonError> {
        let flat = corners_flat(ring, tolerance_m);
        if flat.len() > polygon::CORNERS_MAX {
            return self.refused("too many bowed sides; draw it as several pieces");
        }
        match polygon_area(&flat, &[]) {
            Ok(_) => Ok(()),
            Err(ReckonError::Inconsistent { message, .. }) => self.refused(&in_corners(&message, ring, &flat)),
            Err(other) => Err(other),
        }
    }
}

/// A message about a ring with short chords, told in the corners that were drawn: `ring[7]` is the corner before it where a
/// side comes from there, or after it where a side goes there.
fn in_corners(message: &str, ring: &[Corner], flat: &[[f64; 2]]) -> String {
    // The place of each drawn corner among the chords' ends, and among the corners as they were given.
    let mut drawn: Vec<(usize, usize)> = Vec::with_capacity(ring.len());
    let mut next = 0;
    for corner in arc::distinct(ring) {
        let at = (next..flat.len()).find(|&k| flat[k] == corner.at()).unwrap_or(next);
        let from = drawn.last().map_or(0, |&(_, given)| given + 1);
        let given = (from..ring.len()).find(|&i| ring[i].at() == corner.at()).unwrap_or(from);
        drawn.push((at, given));
        next = at + 1;
    }
    let mut told = String::new();
    let mut rest = message;
    while let Some((before, after)) = rest.split_once("ring[") {
        told.push_str(before);
        let Some((digits, after)) = after.split_once(']') else { break };
        let flat_place: usize = digits.parse().unwrap_or(0);
        let corner = if before.ends_with("to ") {
            drawn.iter().find(|&&(at, _)| at >= flat_place).or(drawn.first())
        } else {
            drawn.iter().rev().find(|&&(at, _)| at <= flat_place)
        };
        told.push_str(&format!("corner {}", corner.map_or(0, |&(_, given)| given) + 1));
        rest = after;
    }
    told.push_str(rest);
    told
}

/// That holes lie inside the ring and apart, but for thin strips.
fn check_holes(outline: &Outline) -> Result<(), ReckonError> {
    if outline.holes.is_empty() {
        return Ok(());
    }
    let flat = |ring: &[Corner]| Outline::new(ring.to_vec()).polygon();
    let ring = flat(&outline.ring);
    let holes: Vec<Polygon> = outline.holes.iter().map(|hole| flat(hole)).collect();
    // All at once first; which one it is matters only when there is a fault.
    let all = geo::unary_union(&holes);
    let name = |i: usize| Name::Hole(i);
    if let Some(out) = first_wide(&all.difference(&ring)) {
        let at = out.interior_point();
        let i = holes.iter().position(|hole| at.is_some_and(|at| hole.contains(&at))).unwrap_or(0);
        return name(i).refused("it reaches outside the ring; a hole must lie inside");
    }
    let apart: f64 = holes.iter().map(Area::unsigned_area).sum();
    if apart - all.unsigned_area() <= 1e-9 * apart {
        return Ok(());
    }
    for (j, hole) in holes.iter().enumerate() {
        for (i, other) in holes.iter().enumerate().take(j) {
            if crate::overlay::boxes_meet(hole, other) && first_wide(&hole.intersection(other)).is_some() {
                return name(j).refused(&format!("it overlaps hole {}; give them as one hole", i + 1));
            }
        }
    }
    Ok(())
}

/// The first piece that is more than a strip: the width of a strip is twice its area by its edge.
fn first_wide(pieces: &MultiPolygon) -> Option<&Polygon> {
    pieces.iter().find(|piece| 2.0 * piece.unsigned_area() > HOLE_SLACK_M * Euclidean.length(piece.exterior()))
}

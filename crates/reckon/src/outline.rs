//! A piece of ground as it is drawn: corners joined by straight sides or by circular arcs, with holes.

mod arc;
mod check;
pub(crate) mod place;

use geo::{Coord, LineString, Polygon};
use serde::{Deserialize, Serialize};

use crate::error::{Bound, ReckonError};
use crate::units::{Metres, SquareMetres};

pub use arc::{corners_flat, corners_flat_line, line_length};
pub use place::{distance_to_line, gap_between};

/// A corner, east or north of the plan's origin.
pub const CORNER_M: Bound = Bound::new("corner", -100_000.0, 100_000.0, "m", "east or north of the plan's origin");
/// Height of an arc over its chord as a share of the chord: half is a half circle.
pub const BOW_SHARE_MAX: f64 = 0.5;
/// Most corners of one outline, holes included.
pub const CORNERS_MAX: usize = 5_000;
/// How far the short sides that stand for an arc lie from it at most (m).
pub const FLATTEN_TOLERANCE_M: f64 = 0.002;
/// Width of the strip by which a hole may reach over the ring or another hole (m): drawn corners are not exact.
pub const HOLE_SLACK_M: f64 = 0.005;

/// A corner and how the side that starts at it bends.
///
/// Written as `[east, north]`, or `[east, north, bow]` where the side is an arc.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<f64>", into = "Vec<f64>")]
pub struct Corner {
    /// East of the plan's origin.
    pub x: Metres,
    /// North of the plan's origin.
    pub y: Metres,
    /// Height of the arc over the chord to the next corner, positive to the right of the way there (outwards where the ring
    /// runs anticlockwise); 0 is a straight side.
    pub bow: Metres,
}

impl Corner {
    /// A corner with a straight side after it.
    pub const fn new(x_m: f64, y_m: f64) -> Self {
        Self { x: Metres::new(x_m), y: Metres::new(y_m), bow: Metres::new(0.0) }
    }

    /// The same corner with an arc after it.
    pub const fn bowed(self, bow_m: f64) -> Self {
        Self { bow: Metres::new(bow_m), ..self }
    }

    /// Whether all its numbers are such, and not off the plan.
    fn is_on_plan(&self) -> bool {
        self.at().iter().all(|&v| CORNER_M.check(v).is_ok()) && self.bow.get().is_finite()
    }

    /// East and north (m).
    pub const fn at(self) -> [f64; 2] {
        [self.x.get(), self.y.get()]
    }
}

impl TryFrom<Vec<f64>> for Corner {
    type Error = String;

    fn try_from(numbers: Vec<f64>) -> Result<Self, String> {
        match numbers[..] {
            [x, y] => Ok(Self::new(x, y)),
            [x, y, bow] => Ok(Self::new(x, y).bowed(bow)),
            _ => Err(format!("a corner has two numbers, or three with the bow of its side; not {}", numbers.len())),
        }
    }
}

impl From<Corner> for Vec<f64> {
    fn from(c: Corner) -> Self {
        let [x, y] = c.at();
        if c.bow.get() == 0.0 { vec![x, y] } else { vec![x, y, c.bow.get()] }
    }
}

/// A piece of ground: a ring of corners, and rings cut out of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outline {
    /// Corners of the outer ring, either way round, the last joined to the first.
    pub ring: Vec<Corner>,
    /// Rings that do not belong to it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<Corner>>,
}

impl Outline {
    /// A ring without holes.
    pub fn new(ring: Vec<Corner>) -> Self {
        Self { ring, holes: vec![] }
    }

    /// Area and edges, arcs counted exactly; also the check that an outline is one.
    ///
    /// `A = |Σ (x_i y_{i+1} - x_{i+1} y_i) / 2 + Σ S_i|`, less the same for each hole, with the segment between an arc and its
    /// chord `S = ± R² (θ - sin θ) / 2`, `θ = 4 atan(2 |h| / c)`, `R = (c² / 4 + h²) / (2 |h|)`; an arc is `R θ` long.
    ///
    /// | symbol | meaning | unit | range |
    /// | --- | --- | --- | --- |
    /// | `x`, `y` | east and north of the plan's origin | m | -100,000 ..= 100,000 |
    /// | `h` | bow, positive to the right of the way | m | at most half the chord |
    /// | `c` | chord, from corner to corner | m | |
    ///
    /// Rings run either way round. A last corner equal to the first is left out, and a corner given several times in a row
    /// counts once, with the bow of its last mention. Two corners are a ring when both sides bow: a circle or a lens. A bow
    /// below a nanometre is straight. Whether rings cross is judged with arcs as short chords, within
    /// [`FLATTEN_TOLERANCE_M`]; a hole may touch the ring or another hole, and reach over by a strip
    /// [`HOLE_SLACK_M`] wide.
    ///
    /// # Errors
    /// [`ReckonError::Inconsistent`] naming `ring` or `holes` and the corner, counted from 1: a number out of range, too
    /// many or too few corners, a bow of more than half its chord, a ring that crosses or touches itself, a hole that
    /// reaches outside the ring or into another.
    ///
    /// # Source
    /// Shoelace formula (A. L. F. Meister, 1769) and the circular segment, as in every surveying handbook.
    ///
    /// # Examples
    /// A circle of 3 m radius is two half circles: area `π r²`, edge `2 π r`.
    /// ```
    /// use std::f64::consts::PI;
    /// use reckon::outline::{Corner, Outline};
    ///
    /// let circle = Outline::new(vec![Corner::new(0.0, 0.0).bowed(3.0), Corner::new(6.0, 0.0).bowed(3.0)]);
    /// let size = circle.size()?;
    /// assert!((size.area.get() - 9.0 * PI).abs() < 1e-12);
    /// assert!((size.edge.get() - 6.0 * PI).abs() < 1e-12);
    /// # Ok::<(), reckon::ReckonError>(())
    /// ```
    /// A square of 4 m with a half circle of 2 m radius on its east side: `16 + 2 π` m², `12 + 2 π` m.
    /// ```
    /// # use std::f64::consts::PI;
    /// # use reckon::outline::{Corner, Outline};
    /// let lawn = Outline::new(vec![
    ///     Corner::new(0.0, 0.0),
    ///     Corner::new(4.0, 0.0).bowed(2.0),
    ///     Corner::new(4.0, 4.0),
    ///     Corner::new(0.0, 4.0),
    /// ]);
    /// let size = lawn.size()?;
    /// assert!((size.area.get() - (16.0 + 2.0 * PI)).abs() < 1e-12);
    /// assert!((size.edge.get() - (12.0 + 2.0 * PI)).abs() < 1e-12);
    /// # Ok::<(), reckon::ReckonError>(())
    /// ```
    pub fn size(&self) -> Result<OutlineSize, ReckonError> {
        check::check(self)?;
        let (area, edge) = arc::measure(&self.ring);
        let (mut holes_area, mut holes_edge) = (0.0, 0.0);
        for hole in &self.holes {
            let (area, edge) = arc::measure(hole);
            holes_area += area;
            holes_edge += edge;
        }
        Ok(OutlineSize {
            area: SquareMetres::new((area - holes_area).max(0.0)),
            edge: Metres::new(edge),
            holes_edge: Metres::new(holes_edge),
        })
    }

    /// The outline with straight sides alone, as [`corners_flat`] makes them.
    pub fn flattened(&self, tolerance_m: f64) -> FlatOutline {
        FlatOutline {
            ring: corners_flat(&self.ring, tolerance_m),
            holes: self.holes.iter().map(|hole| corners_flat(hole, tolerance_m)).collect(),
        }
    }

    /// Straight-sided, the ring anticlockwise and the holes clockwise; empty where a corner is off the plan or there are too
    /// few of them.
    pub(crate) fn polygon(&self) -> Polygon {
        let none = Polygon::new(LineString::new(vec![]), vec![]);
        if !self.rings().flatten().all(Corner::is_on_plan) {
            return none;
        }
        let flat = self.flattened(check::tolerance_m(self));
        if flat.ring.len() < 3 {
            return none;
        }
        let line = |ring: &[[f64; 2]], left: bool| -> LineString {
            let points = ring.iter().map(|&[x, y]| Coord { x, y });
            if (arc::signed_area(ring) > 0.0) == left { points.collect() } else { points.rev().collect() }
        };
        let holes = flat.holes.iter().filter(|hole| hole.len() >= 3);
        Polygon::new(line(&flat.ring, true), holes.map(|hole| line(hole, false)).collect())
    }

    fn rings(&self) -> impl Iterator<Item = &Vec<Corner>> {
        std::iter::once(&self.ring).chain(&self.holes)
    }
}

/// An outline whose arcs have become short straight sides; every ring open, its last corner joined to its first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FlatOutline {
    /// Corners of the outer ring, east and north (m).
    pub ring: Vec<[f64; 2]>,
    /// Corners of the rings that do not belong to it.
    pub holes: Vec<Vec<[f64; 2]>>,
}

/// Size of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutlineSize {
    /// Area without the holes.
    pub area: SquareMetres,
    /// Length of the outer edge.
    pub edge: Metres,
    /// Length of the edges of the holes.
    pub holes_edge: Metres,
}

#[cfg(test)]
mod tests;

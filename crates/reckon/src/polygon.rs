//! Area and edge of a piece of ground, on a plan or on the globe.

use geo::{Coord, GeodesicArea, Kernel, LineString, Orientation, Polygon};

use crate::error::{Bound, ReckonError};
use crate::units::{Metres, SquareMetres};

/// A corner on a plan, east or north of its origin.
pub const CORNER_M: Bound = Bound::new("ring", -1e7, 1e7, "m", "a corner, east or north of the plan's origin");
/// Longitude of a corner.
pub const LONGITUDE_DEG: Bound = Bound::new("lonlat", -180.0, 180.0, "°", "longitude, east positive");
/// Latitude of a corner.
pub const LATITUDE_DEG: Bound = Bound::new("lonlat", -90.0, 90.0, "°", "latitude, north positive");

/// Most corners, holes included.
pub const CORNERS_MAX: usize = 10_000;
/// Most holes.
pub const HOLES_MAX: usize = 1_000;

/// Size of a piece of ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PolygonArea {
    /// Area of the outer ring alone.
    pub ring: SquareMetres,
    /// Area of the holes.
    pub holes: SquareMetres,
    /// Area without the holes.
    pub area: SquareMetres,
    /// Length of the outer ring.
    pub perimeter: Metres,
}

/// Area within a ring of corners on a plan.
///
/// `A = |Σ (x_i y_{i+1} - x_{i+1} y_i)| / 2` for the ring, less the same for each hole; the perimeter is the ring's.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `x`, `y` | east and north of the plan's origin | m | -10,000,000 ..= 10,000,000 |
///
/// Closing a ring is optional; it may run either way round, and a corner given twice in a row counts once. A hole may
/// touch the ring or another hole. The area is that of the plan: a slope of 33 % has 5.4 % more surface.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `ring` or `holes` and the place in the list: fewer than three corners, a corner
/// out of range, too many corners, a ring that crosses or touches itself, a hole that reaches outside the ring or into
/// another.
///
/// # Source
/// A. L. F. Meister's formula, 1769 ("shoelace"), as in every surveying handbook.
///
/// # Examples
/// ```
/// use reckon::polygon::polygon_area;
///
/// let lawn = [[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [0.0, 10.0]];
/// let bed = vec![[5.0, 5.0], [8.0, 5.0], [8.0, 9.0], [5.0, 9.0]];
/// let found = polygon_area(&lawn, &[bed])?;
/// assert_eq!(found.area.get(), 188.0);
/// assert_eq!(found.perimeter.get(), 60.0);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn polygon_area(ring: &[[f64; 2]], holes: &[Vec<[f64; 2]>]) -> Result<PolygonArea, ReckonError> {
    let (outer, inner) = check_rings(Names::PLAN, ring, holes)?;
    let (area, perimeter) = outer.measure();
    let holes = inner.iter().map(|hole| hole.measure().0).sum();
    Ok(PolygonArea::new(area, holes, perimeter))
}

/// Area within a ring of geographic corners on the WGS 84 ellipsoid, its sides the shortest ways from corner to corner.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | longitude | east positive | ° | -180 ..= 180 |
/// | latitude | north positive | ° | -90 ..= 90 |
///
/// Otherwise as [`polygon_area`]. A ring may cross the date line or go round a pole. That rings do not cross is judged with
/// straight sides in longitude and latitude, which tells wrongly only for sides of many kilometres.
///
/// # Errors
/// As [`polygon_area`], naming `lonlat` or `holes`.
///
/// # Source
/// C. F. F. Karney, *Algorithms for geodesics*, Journal of Geodesy 87, 2013, sections 6 and 7.
///
/// # Examples
/// A square degree on the equator, from the test set of Karney's library: perimeter 443,770.917 m, area
/// 12,308,778,361.469 m².
/// ```
/// use reckon::polygon::polygon_area_geodesic;
///
/// let found = polygon_area_geodesic(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]], &[])?;
/// assert!((found.perimeter.get() - 443_770.917).abs() < 0.0005);
/// assert!((found.area.get() - 12_308_778_361.469).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn polygon_area_geodesic(lonlat: &[[f64; 2]], holes: &[Vec<[f64; 2]>]) -> Result<PolygonArea, ReckonError> {
    let (outer, inner) = check_rings(Names::GLOBE, lonlat, holes)?;
    let (area, perimeter) = outer.measure_geodesic();
    let holes = inner.iter().map(|hole| hole.measure_geodesic().0).sum();
    Ok(PolygonArea::new(area, holes, perimeter))
}

impl PolygonArea {
    fn new(ring: f64, holes: f64, perimeter: f64) -> Self {
        Self {
            ring: SquareMetres::new(ring),
            holes: SquareMetres::new(holes),
            area: SquareMetres::new((ring - holes).max(0.0)),
            perimeter: Metres::new(perimeter),
        }
    }
}

/// What the fields are called, and the bounds of their numbers.
#[derive(Clone, Copy)]
struct Names {
    ring: &'static str,
    bounds: [&'static Bound; 2],
    globe: bool,
}

impl Names {
    const PLAN: Self = Self { ring: "ring", bounds: [&CORNER_M, &CORNER_M], globe: false };
    const GLOBE: Self = Self { ring: "lonlat", bounds: [&LONGITUDE_DEG, &LATITUDE_DEG], globe: true };
}

/// A checked ring: no corner twice in a row, the last joined to the first, no side crossing another.
pub(crate) struct Ring {
    /// Corners less the origin.
    pub(crate) corners: Vec<[f64; 2]>,
    /// The same corners as they were given.
    given: Vec<[f64; 2]>,
    /// What was taken off.
    origin: [f64; 2],
    /// The last side's end: the first corner, or that corner a full turn further when the ring goes round a pole.
    end: [f64; 2],
}

/// Checks one ring on a plan, for its own sake.
pub(crate) fn check_plan_ring(field: &'static str, ring: &[[f64; 2]], origin: [f64; 2]) -> Result<Ring, ReckonError> {
    Ring::new(Names { ring: field, ..Names::PLAN }, field, field, ring, Some(origin))
}

fn check_rings(names: Names, ring: &[[f64; 2]], holes: &[Vec<[f64; 2]>]) -> Result<(Ring, Vec<Ring>), ReckonError> {
    let corners = ring.len() + holes.iter().map(Vec::len).sum::<usize>();
    if corners > CORNERS_MAX {
        let message = format!("{corners} corners with the holes; the most is {CORNERS_MAX}");
        return Err(ReckonError::Inconsistent { field: names.ring, message });
    }
    if holes.len() > HOLES_MAX {
        let message = format!("{} holes; the most is {HOLES_MAX}", holes.len());
        return Err(ReckonError::Inconsistent { field: "holes", message });
    }
    let outer = Ring::new(names, names.ring, names.ring, ring, None)?;
    let mut inner: Vec<Ring> = Vec::with_capacity(holes.len());
    for (i, hole) in holes.iter().enumerate() {
        let refused =
            |what: String| Err(ReckonError::Inconsistent { field: "holes", message: format!("holes[{i}] {what}") });
        let hole = Ring::new(names, "holes", &format!("holes[{i}]"), hole, Some(outer.origin))?;
        // Round a pole there is no inside on the flat.
        if outer.is_closed() && hole.is_closed() {
            if !hole.lies_within(&outer) {
                return refused(format!("reaches outside the {}; a hole must lie inside it", names.ring));
            }
            for (j, other) in inner.iter().enumerate().filter(|(_, other)| other.is_closed()) {
                if hole.overlaps(other) {
                    return refused(format!("and holes[{j}] overlap; give them as one hole"));
                }
            }
        }
        inner.push(hole);
    }
    Ok((outer, inner))
}

impl Ring {
    fn new(
        names: Names,
        field: &'static str,
        name: &str,
        ring: &[[f64; 2]],
        origin: Option<[f64; 2]>,
    ) -> Result<Self, ReckonError> {
        let refused = |message: String| Err(ReckonError::Inconsistent { field, message });
        // The error names the field; a hole's place in the list comes with the message.
        let which = if name == field { String::new() } else { format!("{name} ") };
        for (i, corner) in ring.iter().enumerate() {
            for (&value, bound) in corner.iter().zip(names.bounds) {
                if bound.check(value).is_err() {
                    let Bound { min, max, unit, .. } = bound;
                    return refused(format!(
                        "{name}[{i}] holds {value} {unit}; it must be between {min} and {max} {unit}"
                    ));
                }
            }
        }
        let origin = origin.or(ring.first().copied()).unwrap_or_default();
        // The shorter way in longitude: from one corner to the next, and from the ring to its hole.
        let wrap = |d: f64| if names.globe && d.abs() > 180.0 { d - 360.0_f64.copysign(d) } else { d };
        let mut places: Vec<usize> = Vec::with_capacity(ring.len());
        let mut corners: Vec<[f64; 2]> = Vec::with_capacity(ring.len());
        for (i, &[x, y]) in ring.iter().enumerate() {
            let y = y - origin[1];
            let next = match (corners.last(), places.last()) {
                (Some(&[before, _]), Some(&p)) if names.globe => [before + wrap(x - ring[p][0]), y],
                _ => [wrap(x - origin[0]), y],
            };
            if corners.last() != Some(&next) {
                corners.push(next);
                places.push(i);
            }
        }
        let (first, last) = match (ring.first(), ring.last()) {
            (Some(first), Some(last)) => (first, last),
            _ => return refused(format!("{which}has no corners; a ring has at least 3")),
        };
        let mut end = corners[0];
        if names.globe {
            end[0] = corners[corners.len() - 1][0] + wrap(first[0] - last[0]);
        }
        if corners.len() > 1 && (corners[corners.len() - 1] == end || first == last) {
            corners.pop();
        }
        if (end[0] - corners[0][0]).abs() < 180.0 {
            end = corners[0];
        }
        if corners.len() < 3 {
            return refused(format!("{which}has {} corners that differ; a ring has at least 3", corners.len()));
        }
        let given = places.iter().take(corners.len()).map(|&i| ring[i]).collect();
        let ring = Self { corners, given, origin, end };
        if let Some((i, j)) = ring.first_fault() {
            let side = |i: usize| {
                let next = if i + 1 == ring.corners.len() { 0 } else { i + 1 };
                format!("from {name}[{}] to {name}[{}]", places[i], places[next])
            };
            return refused(format!("{which}crosses or touches itself: the sides {} and {}", side(i), side(j)));
        }
        Ok(ring)
    }

    fn is_closed(&self) -> bool {
        self.end == self.corners[0]
    }

    /// Each side's two ends.
    fn sides(&self) -> impl Iterator<Item = [[f64; 2]; 2]> + '_ {
        let next = self.corners.iter().skip(1).chain(std::iter::once(&self.end));
        self.corners.iter().zip(next).map(|(&a, &b)| [a, b])
    }

    /// Area and length on the plan; the corners are small already, so the products keep their digits.
    fn measure(&self) -> (f64, f64) {
        let twice: f64 = self.sides().map(|[a, b]| a[0] * b[1] - b[0] * a[1]).sum();
        let length = self.sides().map(|[a, b]| (b[0] - a[0]).hypot(b[1] - a[1])).sum();
        (twice.abs() / 2.0, length)
    }

    fn measure_geodesic(&self) -> (f64, f64) {
        let ring: LineString = self.given.iter().map(|&[x, y]| Coord { x, y }).collect();
        let (perimeter, area) = Polygon::new(ring, vec![]).geodesic_perimeter_area_signed();
        (area.abs(), perimeter)
    }

    /// Two sides that have more in common than a ring's sides may.
    fn first_fault(&self) -> Option<(usize, usize)> {
        let sides: Vec<[[f64; 2]; 2]> = self.sides().collect();
        let closed = self.is_closed();
        each_pair(&sides, &sides, |i, j| {
            let joined = j == i + 1 || (closed && i == 0 && j + 1 == sides.len());
            if j <= i {
                false
            } else if joined {
                // They share one corner; they must not run back on each other.
                let (a, b, c) = if j == i + 1 {
                    (sides[i][0], sides[i][1], sides[j][1])
                } else {
                    (sides[j][0], sides[j][1], sides[i][1])
                };
                turn(a, b, c) == 0 && (a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1]) > 0.0
            } else {
                meet(sides[i], sides[j])
            }
        })
    }

    /// West, south, east and north.
    fn bounds(&self) -> [f64; 4] {
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        self.corners.iter().fold(start, |[w, s, e, n], &[x, y]| [w.min(x), s.min(y), e.max(x), n.max(y)])
    }

    fn extent(&self) -> f64 {
        self.corners.iter().flatten().fold(0.0, |most, c| c.abs().max(most))
    }

    /// Whether every corner and side lies inside the other ring or on its edge, within a billionth of its size.
    fn lies_within(&self, outer: &Ring) -> bool {
        let slack = 1e-9 * outer.extent();
        let middles = self.sides().map(|[a, b]| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]);
        self.corners.iter().copied().chain(middles).all(|p| outer.holds(p, slack)) && !self.crosses(outer, slack)
    }

    fn overlaps(&self, other: &Ring) -> bool {
        let ([w, s, e, n], [west, south, east, north]) = (self.bounds(), other.bounds());
        if w > east || west > e || s > north || south > n {
            return false;
        }
        let slack = 1e-9 * self.extent().max(other.extent());
        let inside = |ring: &Ring, of: &Ring| {
            ring.sides().flat_map(|[a, b]| [a, [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]]).any(|p| of.holds(p, -slack))
        };
        // The same ring twice has all its points on the other's edge.
        let same = |ring: &Ring, of: &Ring| ring.corners.iter().all(|&p| of.holds(p, slack));
        self.crosses(other, slack)
            || inside(self, other)
            || inside(other, self)
            || same(self, other)
            || same(other, self)
    }

    /// Whether a side goes clearly from one side of the other ring to its other side.
    fn crosses(&self, other: &Ring, slack: f64) -> bool {
        let (mine, theirs): (Vec<_>, Vec<_>) = (self.sides().collect(), other.sides().collect());
        let clear = |[a, b]: [[f64; 2]; 2], p: [f64; 2]| {
            let off = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
            let off = off / (b[0] - a[0]).hypot(b[1] - a[1]);
            if off.abs() <= slack { 0.0 } else { off.signum() }
        };
        let opposite = |s, [p, q]: [[f64; 2]; 2]| clear(s, p) * clear(s, q) < 0.0;
        each_pair(&mine, &theirs, |i, j| opposite(mine[i], theirs[j]) && opposite(theirs[j], mine[i])).is_some()
    }

    /// Whether a point is inside, the edge moved out by `slack` (or in, below zero).
    pub(crate) fn holds(&self, p: [f64; 2], slack: f64) -> bool {
        let mut inside = false;
        let mut nearest = f64::INFINITY;
        for [a, b] in self.sides() {
            if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) {
                inside = !inside;
            }
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            let along = (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
            nearest = nearest.min((p[0] - a[0] - along * dx).hypot(p[1] - a[1] - along * dy));
        }
        if inside { slack >= 0.0 || nearest > -slack } else { slack >= 0.0 && nearest <= slack }
    }
}

/// Which way three points turn: 1 left, -1 right, 0 on a line; exact.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> i8 {
    let [a, b, c] = [a, b, c].map(|[x, y]| Coord { x, y });
    match geo::kernels::RobustKernel::orient2d(a, b, c) {
        Orientation::CounterClockwise => 1,
        Orientation::Clockwise => -1,
        Orientation::Collinear => 0,
    }
}

/// Whether two sides have a point in common; exact.
fn meet([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> bool {
    let apart = |i: usize| a[i].max(b[i]) < c[i].min(d[i]) || c[i].max(d[i]) < a[i].min(b[i]);
    if apart(0) || apart(1) {
        return false;
    }
    // With overlapping boxes, two sides are apart only when one lies wholly on one side of the other.
    turn(a, b, c) * turn(a, b, d) <= 0 && turn(c, d, a) * turn(c, d, b) <= 0
}

/// The first pair for which the test holds, tried only where the sides' spans from west to east overlap.
fn each_pair(a: &[[[f64; 2]; 2]], b: &[[[f64; 2]; 2]], test: impl Fn(usize, usize) -> bool) -> Option<(usize, usize)> {
    let west = |s: &[[f64; 2]; 2]| s[0][0].min(s[1][0]);
    let east = |s: &[[f64; 2]; 2]| s[0][0].max(s[1][0]);
    let sorted = |s: &[[[f64; 2]; 2]]| {
        let mut order: Vec<usize> = (0..s.len()).collect();
        order.sort_by(|&i, &j| west(&s[i]).total_cmp(&west(&s[j])));
        order
    };
    let (order_a, order_b) = (sorted(a), sorted(b));
    let (mut next_b, mut open_b) = (0, Vec::new());
    let mut found: Option<(usize, usize)> = None;
    for &i in &order_a {
        while next_b < order_b.len() && west(&b[order_b[next_b]]) <= east(&a[i]) {
            open_b.push(order_b[next_b]);
            next_b += 1;
        }
        open_b.retain(|&j| east(&b[j]) >= west(&a[i]));
        for &j in &open_b {
            if west(&b[j]) <= east(&a[i]) && test(i, j) && found.is_none_or(|f| (i, j) < f) {
                found = Some((i, j));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests;

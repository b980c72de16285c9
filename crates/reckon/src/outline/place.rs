//! Where a point or a line lies from an outline.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use geo::{BoundingRect, Coord, Distance, Euclidean, InteriorPoint, Intersects, Line, LineString, Point, Polygon};

use super::{Corner, FLATTEN_TOLERANCE_M, Outline, corners_flat_line};
use crate::units::Metres;

/// A label's place is found to this share of the outline's smaller extent.
const LABEL_SHARE: f64 = 0.01;
/// Most squares looked at for a label.
const LABEL_SQUARES_MAX: usize = 2_000;

impl Outline {
    /// Whether a point lies on the ground or on its edge; arcs as in [`FLATTEN_TOLERANCE_M`].
    pub fn contains(&self, at: [f64; 2]) -> bool {
        self.polygon().intersects(&Point::from(at))
    }

    /// Distance from a point to the ground: 0 on it, infinite where the outline has no corners.
    pub fn distance_to(&self, at: [f64; 2]) -> Metres {
        let ground = self.polygon();
        if ground.exterior().0.is_empty() {
            return Metres::new(f64::INFINITY);
        }
        Metres::new(Euclidean.distance(&Point::from(at), &ground))
    }

    /// A point well inside, for a label: about as far from the edge as any.
    ///
    /// # Examples
    /// ```
    /// use reckon::outline::{Corner, Outline};
    ///
    /// let strip = Outline::new([[0.0, 0.0], [9.0, 0.0], [9.0, 4.0], [4.0, 4.0], [4.0, 9.0], [0.0, 9.0]]
    ///     .map(|[x, y]| Corner::new(x, y)).to_vec());
    /// let [x, y] = strip.label_point();
    /// assert!(strip.contains([x, y]) && x > 1.5 && y > 1.5);
    /// ```
    pub fn label_point(&self) -> [f64; 2] {
        let ground = self.polygon();
        innermost(&ground).or(self.ring.first().map(|c| c.at())).unwrap_or_default()
    }
}

/// The smallest distance between two grounds, each of several pieces: 0 where they meet, infinite where one has none.
///
/// # Examples
/// ```
/// use reckon::outline::{Corner, Outline, gap_between};
///
/// let square = |x: f64| Outline::new(vec![
///     Corner::new(x, 0.0), Corner::new(x + 1.0, 0.0), Corner::new(x + 1.0, 1.0), Corner::new(x, 1.0),
/// ]);
/// assert_eq!(gap_between(&[square(0.0)], &[square(3.5)]).get(), 2.5);
/// assert_eq!(gap_between(&[square(0.0)], &[square(1.0)]).get(), 0.0);
/// ```
pub fn gap_between(a: &[Outline], b: &[Outline]) -> Metres {
    let (a, b) = (polygons(a), polygons(b));
    let pairs = a.iter().flat_map(|a| b.iter().map(move |b| Euclidean.distance(a, b)));
    Metres::new(pairs.fold(f64::INFINITY, f64::min))
}

/// The smallest distance between a ground and an open line, or the point that one corner is: 0 where they meet, infinite where
/// either has no corners or one off the plan.
pub fn distance_to_line(ground: &[Outline], line: &[Corner]) -> Metres {
    let flat = if line.iter().all(Corner::is_on_plan) { corners_flat_line(line, FLATTEN_TOLERANCE_M) } else { vec![] };
    let distance = |ground: &Polygon| match flat[..] {
        [] => f64::INFINITY,
        [at] => Euclidean.distance(&Point::from(at), ground),
        _ => Euclidean.distance(&flat.iter().map(|&[x, y]| Coord { x, y }).collect::<LineString>(), ground),
    };
    Metres::new(polygons(ground).iter().map(distance).fold(f64::INFINITY, f64::min))
}

fn polygons(outlines: &[Outline]) -> Vec<Polygon> {
    outlines.iter().map(Outline::polygon).filter(|p| !p.exterior().0.is_empty()).collect()
}

/// A square that may hold the place furthest from the edge.
struct Square {
    centre: [f64; 2],
    half: f64,
    /// Distance of the centre from the edge, negative outside.
    depth: f64,
}

impl Square {
    fn new(ground: &Polygon, centre: [f64; 2], half: f64) -> Self {
        let at = Point::from(centre);
        let sides = ground.exterior().lines().chain(ground.interiors().iter().flat_map(LineString::lines));
        let edge = sides.map(|side: Line| Euclidean.distance(&at, &side)).fold(f64::INFINITY, f64::min);
        Self { centre, half, depth: if ground.intersects(&at) { edge } else { -edge } }
    }

    /// The most any place in it can be from the edge.
    fn depth_max(&self) -> f64 {
        self.depth + self.half * std::f64::consts::SQRT_2
    }
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Square {}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        self.depth_max().total_cmp(&other.depth_max())
    }
}

/// The place inside furthest from the edge, by quartering the squares that may hold it, the most promising first.
pub(crate) fn innermost(ground: &Polygon) -> Option<[f64; 2]> {
    let bounds = ground.bounding_rect()?;
    let extent = bounds.width().min(bounds.height());
    let middle = bounds.center();
    let mut best = Square::new(ground, [middle.x, middle.y], 0.0);
    // A square over the whole, or a row of them over a long strip.
    let side = extent.max(bounds.width().max(bounds.height()) / 64.0);
    if side <= 0.0 {
        return None;
    }
    let mut open = BinaryHeap::new();
    let count = |length: f64| (length / side).ceil().max(1.0) as usize;
    for i in 0..count(bounds.width()) {
        for j in 0..count(bounds.height()) {
            let at = |from: f64, k: usize| from + side * (k as f64 + 0.5);
            open.push(Square::new(ground, [at(bounds.min().x, i), at(bounds.min().y, j)], side / 2.0));
        }
    }
    let mut looked = open.len();
    while let Some(square) = open.pop() {
        if square.depth_max() - best.depth <= LABEL_SHARE * extent || looked > LABEL_SQUARES_MAX {
            break;
        }
        let half = square.half / 2.0;
        for (dx, dy) in [(-half, -half), (half, -half), (half, half), (-half, half)] {
            open.push(Square::new(ground, [square.centre[0] + dx, square.centre[1] + dy], half));
        }
        looked += 4;
        if square.depth > best.depth {
            best = square;
        }
    }
    if best.depth > 0.0 { Some(best.centre) } else { ground.interior_point().map(|at| [at.x(), at.y()]) }
}

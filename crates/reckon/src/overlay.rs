//! Grounds laid over one another: what they share, what is left, where they overlap and where nothing is drawn.

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{
    Area, BooleanOps, BoundingRect, Buffer, Distance, Euclidean, Intersects, MultiPolygon, Polygon, Rect, coord,
};

use crate::outline::Outline;
use crate::outline::place::innermost;
use crate::units::{Fraction, SquareMetres};

/// Ground smaller than this is a matter of drawing, not of the yard (m²).
pub const SLIVER_M2: f64 = 0.05;
/// A part of the ground smaller than this share of it is a sliver too.
pub const SLIVER_SHARE: f64 = 1e-4;
/// Open ground between neighbours narrower than this is a slit (m).
pub const SLIT_M: f64 = 0.3;
/// Nearer than this to a slit's edge is beside it (m).
const BESIDE_M: f64 = 0.005;
/// Corners sharper than this are cut off when ground is made wider (rad), so that they do not reach across to others.
const MITRE_MIN_RAD: f64 = 0.5;

/// Area two grounds have in common, each of several pieces.
///
/// Arcs are taken as short chords that hold their area ([`corners_flat`](crate::outline::corners_flat)). Ground without
/// corners, or with a corner that is no number, has no area.
///
/// # Examples
/// ```
/// use reckon::outline::{Corner, Outline};
/// use reckon::overlay::{difference_area, shared_area};
///
/// let square = |x: f64| Outline::new(vec![
///     Corner::new(x, 0.0), Corner::new(x + 4.0, 0.0), Corner::new(x + 4.0, 4.0), Corner::new(x, 4.0),
/// ]);
/// let (a, b) = ([square(0.0)], [square(3.0)]);
/// assert!((shared_area(&a, &b).get() - 4.0).abs() < 1e-6);
/// assert!((difference_area(&a, &b).get() - 12.0).abs() < 1e-6);
/// ```
pub fn shared_area(a: &[Outline], b: &[Outline]) -> SquareMetres {
    SquareMetres::new(shared(&Ground::new(a), &Ground::new(b)).unsigned_area())
}

/// Area of the first ground that is not the second's too.
pub fn difference_area(a: &[Outline], b: &[Outline]) -> SquareMetres {
    let (a, b) = (Ground::new(a), Ground::new(b));
    if !a.box_meets(&b) {
        return SquareMetres::new(a.area());
    }
    SquareMetres::new(a.pieces.difference(&b.pieces).unsigned_area())
}

/// The part of a ground that the same others cover.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Share of the ground.
    pub share: Fraction,
    /// Its area.
    pub area: SquareMetres,
    /// Which of the others cover it, by their place, ascending.
    pub covered_by: Vec<usize>,
}

/// The ground cut along the outlines of others into the combinations of them that cover it, the biggest first.
///
/// A cell is a combination, not a connected piece: grass under two sprinklers is one cell wherever it lies. A cell smaller than
/// [`SLIVER_M2`] or than [`SLIVER_SHARE`] of the ground is left out and its area given to the biggest, for edges that were
/// drawn twice must not make truth out of rounding. The shares add up to 1; ground without area has no cells.
///
/// # Examples
/// ```
/// use reckon::outline::{Corner, Outline};
/// use reckon::overlay::cells;
///
/// let strip = |from: f64, to: f64| Outline::new(vec![
///     Corner::new(from, 0.0), Corner::new(to, 0.0), Corner::new(to, 5.0), Corner::new(from, 5.0),
/// ]);
/// let found = cells(&[strip(0.0, 10.0)], &[&[strip(-1.0, 7.0)], &[strip(6.0, 11.0)]]);
/// let told: Vec<_> = found.iter().map(|c| (c.share.get(), &c.covered_by[..])).collect();
/// assert_eq!(told.len(), 3);
/// assert!((told[0].0 - 0.6).abs() < 1e-6 && told[0].1 == [0]);
/// assert!((told[1].0 - 0.3).abs() < 1e-6 && told[1].1 == [1]);
/// assert!((told[2].0 - 0.1).abs() < 1e-6 && told[2].1 == [0, 1]);
/// ```
pub fn cells(ground: &[Outline], others: &[&[Outline]]) -> Vec<Cell> {
    let whole = Ground::new(ground);
    let area = whole.area();
    if area <= 0.0 {
        return vec![];
    }
    // What rounding alone can make of an edge drawn twice: not worth a cut.
    let nothing = 1e-7 * area;
    let mut cut: Vec<(Ground, f64, Vec<usize>)> = vec![(whole, area, vec![])];
    for (k, other) in others.iter().enumerate() {
        if let Some(same) = others[..k].iter().position(|before| before == other) {
            for (_, _, by) in cut.iter_mut().filter(|(_, _, by)| by.contains(&same)) {
                by.push(k);
            }
            continue;
        }
        if *other == ground {
            cut.iter_mut().for_each(|(_, _, by)| by.push(k));
            continue;
        }
        let other = Ground::new(other);
        let mut next = Vec::with_capacity(cut.len() + 1);
        for (piece, area, mut by) in cut {
            let inside = shared(&piece, &other);
            let covered = inside.unsigned_area();
            if covered <= nothing {
                next.push((piece, area, by));
            } else if area - covered <= nothing {
                by.push(k);
                next.push((piece, area, by));
            } else {
                let outside = Ground::of(piece.pieces.difference(&other.pieces));
                let left = outside.area();
                next.push((outside, left, by.clone()));
                by.push(k);
                next.push((Ground::of(inside), covered, by));
            }
        }
        cut = next;
    }
    // Equal but for rounding is equal: the order must not hang on the last digit.
    let rank = |area: f64| (area / (1e-3 * SLIVER_M2)).round();
    cut.sort_by(|(_, a, by_a), (_, b, by_b)| rank(*b).total_cmp(&rank(*a)).then_with(|| by_a.cmp(by_b)));
    let sum: f64 = cut.iter().map(|(_, area, _)| area).sum();
    let least = SLIVER_M2.max(SLIVER_SHARE * sum);
    let kept = cut.iter().filter(|(_, area, _)| *area >= least).count().max(1);
    let slivers: f64 = cut[kept..].iter().map(|(_, area, _)| area).sum();
    cut.truncate(kept);
    cut[0].1 += slivers;
    let cell = |(_, part, covered_by): (Ground, f64, Vec<usize>)| Cell {
        share: Fraction::new(part / sum),
        area: SquareMetres::new(part / sum * area),
        covered_by,
    };
    cut.into_iter().map(cell).collect()
}

/// Two grounds that claim the same place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overlap {
    /// The first, by its place.
    pub a: usize,
    /// The second, after the first.
    pub b: usize,
    /// What they share.
    pub area: SquareMetres,
    /// A point well inside the largest shared piece, east and north (m).
    pub at: [f64; 2],
}

/// Every pair of grounds that share at least [`SLIVER_M2`].
pub fn overlaps(grounds: &[&[Outline]]) -> Vec<Overlap> {
    let grounds: Vec<Ground> = grounds.iter().map(|g| Ground::new(g)).collect();
    let mut found = vec![];
    for (a, first) in grounds.iter().enumerate() {
        for (b, second) in grounds.iter().enumerate().skip(a + 1) {
            let both = shared(first, second);
            let area = both.unsigned_area();
            let largest = both.iter().max_by(|p, q| p.unsigned_area().total_cmp(&q.unsigned_area()));
            if let Some(at) = largest.filter(|_| area >= SLIVER_M2).and_then(innermost) {
                found.push(Overlap { a, b, area: SquareMetres::new(area), at });
            }
        }
    }
    found
}

/// Ground between grounds that none of them claims.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    /// Its area.
    pub area: SquareMetres,
    /// A point well inside, east and north (m).
    pub at: [f64; 2],
    /// Corners of its outer edge, east and north (m).
    pub ring: Vec<[f64; 2]>,
    /// Drawn ground lies all round it; otherwise it is a slit open at an end.
    pub enclosed: bool,
    /// Nowhere as wide as [`SLIT_M`]: more likely edges that should meet than ground left out.
    pub narrow: bool,
}

/// The places between grounds where nothing is drawn, the biggest first.
///
/// They are of two kinds: ground that others enclose, however wide; and open slits between two pieces, narrower than
/// [`SLIT_M`], found by making the ground wider by half of it and then as much narrower, corners kept sharp. What is smaller
/// than [`SLIVER_M2`] is left out, and so is a notch in one piece alone, for it was drawn so.
///
/// # Examples
/// ```
/// use reckon::outline::{Corner, Outline};
/// use reckon::overlay::gaps;
///
/// let square = |x: f64| [Outline::new(vec![
///     Corner::new(x, 0.0), Corner::new(x + 4.0, 0.0), Corner::new(x + 4.0, 4.0), Corner::new(x, 4.0),
/// ])];
/// let found = gaps(&[&square(0.0), &square(4.1)]);
/// assert_eq!(found.len(), 1);
/// assert!((found[0].area.get() - 0.4).abs() < 1e-4 && !found[0].enclosed && found[0].narrow);
/// assert_eq!(gaps(&[&square(0.0), &square(4.0)]), []);
/// ```
pub fn gaps(grounds: &[&[Outline]]) -> Vec<Gap> {
    let pieces: Vec<Polygon> = grounds.iter().flat_map(|g| g.iter()).filter_map(drawn).collect();
    if pieces.is_empty() {
        return vec![];
    }
    let union = geo::unary_union(&pieces);
    let filled: Vec<Polygon> = union.iter().map(|p| Polygon::new(p.exterior().clone(), vec![])).collect();
    let filled = geo::unary_union(&filled);
    let enclosed = large(filled.difference(&union));
    let closed = moved(&moved(&union, SLIT_M / 2.0), -SLIT_M / 2.0);
    let slits = large(closed.difference(&filled)).filter(|slit| is_narrow(slit) && is_between(slit, &pieces));
    let mut found: Vec<Gap> = enclosed.map(|p| (p, true)).chain(slits.map(|p| (p, false))).filter_map(gap).collect();
    found.sort_by(|a, b| b.area.get().total_cmp(&a.area.get()));
    found
}

fn gap((piece, enclosed): (Polygon, bool)) -> Option<Gap> {
    let mut ring: Vec<[f64; 2]> = piece.exterior().coords().map(|c| [c.x, c.y]).collect();
    ring.pop();
    let at = innermost(&piece)?;
    let narrow = is_narrow(&piece);
    Some(Gap { area: SquareMetres::new(piece.unsigned_area()), at, ring, enclosed, narrow })
}

fn large(pieces: MultiPolygon) -> impl Iterator<Item = Polygon> {
    pieces.into_iter().filter(|piece| piece.unsigned_area() >= SLIVER_M2)
}

/// Wider by a distance, or narrower below zero, with sharp corners.
fn moved(ground: &MultiPolygon, by_m: f64) -> MultiPolygon {
    ground.buffer_with_style(BufferStyle::new(by_m).line_join(LineJoin::Miter(MITRE_MIN_RAD)))
}

/// Nothing is left of it when its edge moves in by half a slit, and a little for rounding.
fn is_narrow(piece: &Polygon) -> bool {
    moved(&MultiPolygon::new(vec![piece.clone()]), -(SLIT_M / 2.0 + BESIDE_M)).unsigned_area() <= 0.0
}

/// Whether two pieces lie beside it.
fn is_between(slit: &Polygon, pieces: &[Polygon]) -> bool {
    let Some(bounds) = slit.bounding_rect() else { return false };
    let by = coord! { x: BESIDE_M, y: BESIDE_M };
    let around = Rect::new(bounds.min() - by, bounds.max() + by);
    let beside = |piece: &&Polygon| {
        piece.bounding_rect().is_some_and(|b| b.intersects(&around)) && Euclidean.distance(slit, *piece) <= BESIDE_M
    };
    pieces.iter().filter(beside).nth(1).is_some()
}

/// Straight-sided ground of pieces that do not overlap, and the box round it.
struct Ground {
    pieces: MultiPolygon,
    bounds: Option<Rect>,
}

impl Ground {
    fn new(outlines: &[Outline]) -> Self {
        let pieces: Vec<Polygon> = outlines.iter().filter_map(drawn).collect();
        let apart = || pieces.iter().enumerate().all(|(i, p)| !pieces[..i].iter().any(|q| boxes_meet(p, q)));
        Self::of(if apart() { MultiPolygon::new(pieces) } else { geo::unary_union(&pieces) })
    }

    fn of(pieces: MultiPolygon) -> Self {
        Self { bounds: pieces.bounding_rect(), pieces }
    }

    fn area(&self) -> f64 {
        self.pieces.unsigned_area()
    }

    fn box_meets(&self, other: &Self) -> bool {
        matches!((self.bounds, other.bounds), (Some(a), Some(b)) if a.intersects(&b))
    }
}

/// An outline's polygon, if it has one.
fn drawn(outline: &Outline) -> Option<Polygon> {
    Some(outline.polygon()).filter(|p| p.unsigned_area() > 0.0)
}

fn shared(a: &Ground, b: &Ground) -> MultiPolygon {
    if a.box_meets(b) { a.pieces.intersection(&b.pieces) } else { MultiPolygon::new(vec![]) }
}

/// Whether the boxes round two polygons have a point in common.
pub(crate) fn boxes_meet(a: &Polygon, b: &Polygon) -> bool {
    matches!((a.bounding_rect(), b.bounding_rect()), (Some(a), Some(b)) if a.intersects(&b))
}

#[cfg(test)]
mod tests;

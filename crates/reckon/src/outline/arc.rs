//! Sides that bend: their length, their area and the short chords that stand for them.

use super::{BOW_SHARE_MAX, Corner};
use crate::units::Metres;

/// A bow below this is straight (m).
const BOW_M_MIN: f64 = 1e-9;
/// Most chords for one arc; a half circle of more than 1 km radius is then drawn more coarsely than asked.
const CHORDS_MAX: f64 = 1_000.0;

/// The corners that count: none twice in a row, the last not the first again.
pub(super) fn distinct(ring: &[Corner]) -> Vec<Corner> {
    let mut kept = distinct_line(ring);
    if kept.len() > 1 && kept.last().map(|c| c.at()) == kept.first().map(|c| c.at()) {
        kept.pop();
    }
    kept
}

fn distinct_line(line: &[Corner]) -> Vec<Corner> {
    let mut kept: Vec<Corner> = Vec::with_capacity(line.len());
    for &corner in line {
        match kept.last_mut() {
            Some(last) if last.at() == corner.at() => *last = corner,
            _ => kept.push(corner),
        }
    }
    kept
}

/// A side from one corner to the next.
pub(super) struct Side {
    pub(super) from: [f64; 2],
    pub(super) to: [f64; 2],
    /// Height over the chord, positive to the right.
    bow: f64,
    pub(super) chord: f64,
}

impl Side {
    fn new(from: Corner, to: Corner) -> Self {
        let (from, to, bow) = (from.at(), to.at(), from.bow.get());
        let chord = (to[0] - from[0]).hypot(to[1] - from[1]);
        // What bends more is refused by the outline's check; drawn, it is a half circle.
        let most = BOW_SHARE_MAX * chord;
        let bow = if bow.abs() >= BOW_M_MIN { bow.min(most).max(-most) } else { 0.0 };
        Self { from, to, bow, chord }
    }

    pub(super) fn is_bowed(&self) -> bool {
        self.bow != 0.0
    }

    /// Twice the bow over the chord: the tangent of a quarter of the arc's angle.
    fn slope(&self) -> f64 {
        2.0 * self.bow.abs() / self.chord
    }

    fn length(&self) -> f64 {
        let t = self.slope();
        if self.is_bowed() { self.chord * (1.0 + t * t) * t.atan() / t } else { self.chord }
    }

    /// Area between arc and chord, positive to the right.
    fn segment(&self) -> f64 {
        if !self.is_bowed() {
            return 0.0;
        }
        let t = self.slope();
        let t2 = t * t;
        // R² (θ - sin θ) / 2 with R = c (1 + t²) / (4 t) and θ = 4 atan t; by its series where the difference loses digits.
        let share = if t < 0.02 {
            t * (1.0 / 3.0 + t2 * (1.0 / 15.0 + t2 * (-1.0 / 105.0 + t2 / 315.0)))
        } else {
            ((1.0 + t2).powi(2) * t.atan() - t + t * t2) / (8.0 * t2)
        };
        (self.chord * self.chord * share).copysign(self.bow)
    }

    fn radius(&self) -> f64 {
        let t = self.slope();
        self.chord * (1.0 + t * t) / (4.0 * t)
    }

    /// The angle of the arc seen from its centre.
    fn angle(&self) -> f64 {
        4.0 * self.slope().atan()
    }

    /// How many chords stand for it.
    fn chords(&self, tolerance_m: f64) -> usize {
        if !self.is_bowed() {
            return 1;
        }
        let height = 0.75 * tolerance_m.max(1e-9);
        let by_height = self.angle() / (4.0 * (height / (2.0 * self.radius())).sqrt().min(1.0).asin());
        // Never more than a sixth of a circle by one chord, and never one chord alone: a lens would have no area.
        by_height.max(self.angle() / 1.05).ceil().clamp(2.0, CHORDS_MAX) as usize
    }

    /// The points between the ends, which with them hold the arc's own area.
    ///
    /// They lie on a circle a little wider than the arc's, by no more than the chords lie within it: `r = R (1 + e)` with
    /// `(n - 2) (1 + e)² + 2 (1 + e) = θ / sin(θ / n)` for `n` chords, so that areas are those of the arcs.
    fn between(&self, tolerance_m: f64) -> Vec<[f64; 2]> {
        if !self.is_bowed() {
            return vec![];
        }
        let (radius, angle, chords) = (self.radius(), self.angle(), self.chords(tolerance_m));
        let count = chords as f64;
        let step = angle / count;
        let excess = if step < 0.01 { step * step / 6.0 + 7.0 * step.powi(4) / 360.0 } else { step / step.sin() - 1.0 };
        let excess = count * excess;
        let wider = excess / (count - 1.0 + ((count - 1.0).powi(2) + (count - 2.0) * excess).sqrt());
        let along = [(self.to[0] - self.from[0]) / self.chord, (self.to[1] - self.from[1]) / self.chord];
        let right = [along[1], -along[0]];
        let middle = [(self.from[0] + self.to[0]) / 2.0, (self.from[1] + self.to[1]) / 2.0];
        (1..chords)
            .map(|i| {
                let turned = step * i as f64 - angle / 2.0;
                let forth = radius * (1.0 + wider) * turned.sin();
                let dip = 2.0 * radius * (turned / 2.0).sin().powi(2);
                let out = self.bow.signum() * (self.bow.abs() - dip + radius * wider * turned.cos());
                [middle[0] + forth * along[0] + out * right[0], middle[1] + forth * along[1] + out * right[1]]
            })
            .collect()
    }
}

/// The sides of a ring of corners that differ.
pub(super) fn sides(distinct: &[Corner]) -> impl Iterator<Item = Side> + '_ {
    let next = distinct.iter().cycle().skip(1);
    distinct.iter().zip(next).map(|(&a, &b)| Side::new(a, b))
}

/// Area and length of a ring.
pub(super) fn measure(ring: &[Corner]) -> (f64, f64) {
    let ring = distinct(ring);
    let corners: Vec<[f64; 2]> = ring.iter().map(|c| c.at()).collect();
    let segments: f64 = sides(&ring).map(|side| side.segment()).sum();
    ((signed_area(&corners) + segments).abs(), sides(&ring).map(|side| side.length()).sum())
}

/// Area of a straight-sided ring, positive where it runs anticlockwise; taken from its first corner, so that no digits go.
pub(super) fn signed_area(ring: &[[f64; 2]]) -> f64 {
    let Some(&[x0, y0]) = ring.first() else { return 0.0 };
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| (a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0)).sum::<f64>() / 2.0
}

/// How many corners a ring has once its arcs are chords.
pub(super) fn count_flat(distinct: &[Corner], tolerance_m: f64) -> usize {
    sides(distinct).map(|side| side.chords(tolerance_m)).sum()
}

/// The corners of a closed ring with its arcs as short chords.
///
/// Corners stay as they are, bit for bit, and no new ones come into straight sides; the first is not repeated at the end. The
/// chords and the points between them lie within `tolerance_m` of the arc, and hold the arc's area exactly. (For one arc
/// 1,000 chords at most.)
///
/// # Examples
/// ```
/// use reckon::outline::{Corner, corners_flat};
///
/// let circle = [Corner::new(0.0, 0.0).bowed(3.0), Corner::new(6.0, 0.0).bowed(3.0)];
/// let flat = corners_flat(&circle, 0.01);
/// assert!(flat.len() > 30 && flat.len() < 60);
/// assert!(flat.iter().all(|p| ((p[0] - 3.0).hypot(p[1]) - 3.0).abs() < 0.01));
/// ```
pub fn corners_flat(ring: &[Corner], tolerance_m: f64) -> Vec<[f64; 2]> {
    let ring = distinct(ring);
    let mut flat = Vec::with_capacity(ring.len());
    for side in sides(&ring) {
        flat.push(side.from);
        flat.extend(side.between(tolerance_m));
    }
    flat
}

/// The corners of an open line with its arcs as short chords, otherwise as [`corners_flat`]; the last corner's bow does not
/// count.
pub fn corners_flat_line(line: &[Corner], tolerance_m: f64) -> Vec<[f64; 2]> {
    let line = distinct_line(line);
    let mut flat = Vec::with_capacity(line.len());
    for pair in line.windows(2) {
        let side = Side::new(pair[0], pair[1]);
        flat.push(side.from);
        flat.extend(side.between(tolerance_m));
    }
    flat.extend(line.last().map(|c| c.at()));
    flat
}

/// Length of an open line, arcs counted exactly; the last corner's bow does not count.
///
/// # Examples
/// Three metres straight on, then a quarter circle of 2 m radius: `3 + π` m.
/// ```
/// use std::f64::consts::{FRAC_1_SQRT_2, PI};
/// use reckon::outline::{Corner, line_length};
///
/// let bow = 2.0 - 2.0 * FRAC_1_SQRT_2;
/// let hose = [Corner::new(0.0, 0.0), Corner::new(3.0, 0.0).bowed(bow), Corner::new(5.0, 2.0)];
/// assert!((line_length(&hose).get() - (3.0 + PI)).abs() < 1e-12);
/// ```
pub fn line_length(line: &[Corner]) -> Metres {
    Metres::new(line.windows(2).map(|pair| Side::new(pair[0], pair[1]).length()).sum())
}

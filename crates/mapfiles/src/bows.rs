//! Arcs: short chords on the way out, arcs again on the way in where the chords still lie on them.

use reckon::outline::{BOW_SHARE_MAX, Corner, corners_flat, corners_flat_line};

use crate::{ARC_SLACK_M, CHORD_TOLERANCE_M};

/// Bows are written in whole micrometres; what rounds to none is a straight side.
const BOW_DECIMALS: f64 = 1e6;

/// An arc among the vertices of a ring or line: the first and the last of its vertices, and its bow (m).
pub(crate) type Bow = (usize, usize, f64);

/// Places joined by straight sides, and which of them stand for arcs.
pub(crate) struct Flat {
    pub(crate) places: Vec<[f64; 2]>,
    pub(crate) bows: Vec<Bow>,
}

/// Which way round a ring runs.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Turn {
    Anticlockwise,
    Clockwise,
}

/// A ring with its arcs as chords, running the way asked for, its last place its first.
pub(crate) fn flat_ring(ring: &[Corner], turn: Turn) -> Flat {
    let mut corners = distinct(ring);
    if corners.len() > 1 && corners[0].at() == corners[corners.len() - 1].at() {
        corners.pop();
    }
    let runs = if signed_area(&corners_flat(&corners, CHORD_TOLERANCE_M)) > 0.0 {
        Turn::Anticlockwise
    } else {
        Turn::Clockwise
    };
    if runs != turn {
        corners = reversed(&corners);
    }
    corners.extend(corners.first().copied());
    flat_line(&corners)
}

/// A line with its arcs as chords.
pub(crate) fn flat_line(line: &[Corner]) -> Flat {
    let mut flat = Flat { places: Vec::new(), bows: Vec::new() };
    let corners = distinct(line);
    for pair in corners.windows(2) {
        let bow_m = (pair[0].bow.get() * BOW_DECIMALS).round() / BOW_DECIMALS;
        let first = flat.places.len();
        if bow_m == 0.0 {
            flat.places.push(pair[0].at());
            continue;
        }
        let mut side = corners_flat_line(pair, CHORD_TOLERANCE_M);
        side.pop();
        flat.places.append(&mut side);
        flat.bows.push((first, flat.places.len(), bow_m));
    }
    flat.places.extend(corners.last().map(|c| c.at()));
    flat
}

/// The corners none of which stands twice in a row; the last mention's bow counts, as in an outline.
fn distinct(corners: &[Corner]) -> Vec<Corner> {
    let mut kept: Vec<Corner> = Vec::with_capacity(corners.len());
    for &corner in corners {
        match kept.last_mut() {
            Some(last) if last.at() == corner.at() => *last = corner,
            _ => kept.push(corner),
        }
    }
    kept
}

/// The ring run the other way: an arc that bent to the right bends to the left.
fn reversed(ring: &[Corner]) -> Vec<Corner> {
    let n = ring.len();
    (0..n).rev().map(|i| ring[i].bowed(-ring[(i + n - 1) % n].bow.get())).collect()
}

fn signed_area(ring: &[[f64; 2]]) -> f64 {
    let Some(&[x0, y0]) = ring.first() else { return 0.0 };
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| (a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0)).sum()
}

/// The corners of places joined by straight sides, arcs taken back where the places between still lie on them.
pub(crate) fn corners(places: &[[f64; 2]], bows: &[Bow]) -> Vec<Corner> {
    let mut bows: Vec<Bow> = bows.to_vec();
    bows.sort_by_key(|&(first, ..)| first);
    let mut next = bows.into_iter().peekable();
    let mut kept = Vec::with_capacity(places.len());
    let mut i = 0;
    while let Some(&[x, y]) = places.get(i) {
        while next.next_if(|&(first, ..)| first < i).is_some() {}
        let arc = next.next_if(|&(first, ..)| first == i);
        let taken = arc.and_then(|(_, last, bow_m)| Some((last, arc_over(places.get(i..=last)?, bow_m)?)));
        let corner = Corner::new(x, y);
        match taken {
            Some((last, bow_m)) => {
                kept.push(corner.bowed(bow_m));
                i = last;
            }
            None => {
                kept.push(corner);
                i += 1;
            }
        }
    }
    kept
}

/// The bow of the arc from the first place to the last, if the sides between lie on it.
///
/// A rounded half circle may be a little more than one; it becomes one.
fn arc_over(places: &[[f64; 2]], bow_m: f64) -> Option<f64> {
    let [from, _, .., to] = places else { return None };
    let chord = (to[0] - from[0]).hypot(to[1] - from[1]);
    let most = BOW_SHARE_MAX * chord;
    // Not a number is no bow.
    if chord == 0.0 || bow_m == 0.0 || !bow_m.is_finite() || bow_m.abs() > most + ARC_SLACK_M {
        return None;
    }
    let bow = bow_m.clamp(-most, most);
    let along = [(to[0] - from[0]) / chord, (to[1] - from[1]) / chord];
    let height = bow.abs();
    let radius = (chord * chord / 4.0 + height * height) / (2.0 * height);
    let middle = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
    let lies_on = |[x, y]: [f64; 2]| {
        let (x, y) = (x - middle[0], y - middle[1]);
        let forth = x * along[0] + y * along[1];
        // How far out on the bow's own side, from the chord.
        let out = (x * along[1] - y * along[0]) * bow.signum();
        // The circle's middle lies `radius - height` on the other side of the chord.
        let off = forth.hypot(out + radius - height) - radius;
        out > -ARC_SLACK_M && off.abs() <= ARC_SLACK_M
    };
    let halfway = places.windows(2).map(|w| [(w[0][0] + w[1][0]) / 2.0, (w[0][1] + w[1][1]) / 2.0]);
    places.iter().copied().chain(halfway).all(lies_on).then_some(bow)
}

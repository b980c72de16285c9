//! First places of the points, both of each pair of mirrored ones where nothing yet tells them apart.

use super::Fault;
use super::adjust::{Adjusted, Measured, judge, misfit, relax};

/// Most sets of places followed side by side.
const SETS_MAX: usize = 64;
/// Most sets adjusted to the end.
const SETS_ADJUSTED_MAX: usize = 8;
/// Two sets fit alike when the root mean square misfits are within this factor …
const ALIKE_FACTOR: f64 = 2.0;
/// … or both under this: a tape over grass may well be so far out.
const ALIKE_M: f64 = 0.03;

/// One set of places, as far as it has come.
#[derive(Clone)]
struct Set {
    places: Vec<Option<[f64; 2]>>,
    misfit: f64,
}

/// The places that fit best.
pub(super) fn find(corners: &[[f64; 2]], near: &[Option<[f64; 2]>], measured: &[Measured]) -> Result<Adjusted, Fault> {
    let count = near.len();
    let mut sets = vec![Set { places: vec![None; count], misfit: 0.0 }];
    let mut dropped: Vec<Set> = Vec::new();
    for _ in 0..count {
        let placed: Vec<bool> = sets[0].places.iter().map(Option::is_some).collect();
        let fixed = |i: usize| i < corners.len() || placed[i - corners.len()];
        let ends = |point: usize| {
            let number = corners.len() + point;
            measured.iter().filter_map(move |m| match (m.a == number, m.b == number) {
                (true, _) => Some((m.b, m.distance)),
                (_, true) => Some((m.a, m.distance)),
                _ => None,
            })
        };
        // The point that most distances fix; failing that, one whose place was told.
        let open = (0..count).filter(|&p| !placed[p]);
        let best =
            open.map(|p| (ends(p).filter(|(end, _)| fixed(*end)).count(), p)).max_by_key(|&(n, p)| (n, count - p));
        let (known, mut point) = best.unwrap_or((0, 0));
        if known < 2 {
            match (0..count).find(|&p| !placed[p] && near[p].is_some()) {
                Some(told) => point = told,
                None => return Err(Fault::Unfixed(point)),
            }
        }
        let mut next: Vec<Set> = Vec::new();
        for set in &sets {
            let place = |i: usize| if i < corners.len() { Some(corners[i]) } else { set.places[i - corners.len()] };
            let circles: Vec<([f64; 2], f64)> =
                ends(point).filter_map(|(end, distance)| Some((place(end)?, distance))).collect();
            for at in candidates(&circles, near[point]) {
                let mut places = set.places.clone();
                places[point] = Some(at);
                let off: f64 = circles.iter().map(|(c, d)| ((at[0] - c[0]).hypot(at[1] - c[1]) - d).powi(2)).sum();
                next.push(Set { places, misfit: set.misfit + off });
            }
        }
        if next.is_empty() {
            return Err(Fault::Weak(point));
        }
        next.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
        if next.len() > SETS_MAX {
            dropped.extend(next.drain(SETS_MAX..).take(1));
        }
        sets = next;
    }
    choose(corners, near, measured, sets, &dropped)
}

/// Where the circles meet: the two places of the pair that cross most squarely, or the one of them that was told.
fn candidates(circles: &[([f64; 2], f64)], near: Option<[f64; 2]>) -> Vec<[f64; 2]> {
    let mut found: Option<(f64, [[f64; 2]; 2])> = None;
    for (i, a) in circles.iter().enumerate() {
        for b in circles.iter().skip(i + 1) {
            if let Some((square, both)) = meet(*a, *b)
                && found.is_none_or(|(best, _)| square > best)
            {
                found = Some((square, both));
            }
        }
    }
    match (found, near) {
        (None, near) => near.into_iter().collect(),
        (Some((_, [p, q])), Some(n)) => {
            let off = |p: [f64; 2]| (p[0] - n[0]).hypot(p[1] - n[1]);
            vec![if off(p) <= off(q) { p } else { q }]
        }
        (Some((_, [p, q])), None) if p == q => vec![p],
        (Some((_, both)), None) => both.to_vec(),
    }
}

/// The two places where circles meet, or twice the place between them where they just miss, and how squarely.
fn meet((a, ra): ([f64; 2], f64), (b, rb): ([f64; 2], f64)) -> Option<(f64, [[f64; 2]; 2])> {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let apart = dx.hypot(dy);
    if apart <= 1e-9 * (ra + rb) {
        return None;
    }
    let (ux, uy) = (dx / apart, dy / apart);
    let along = (ra * ra - rb * rb + apart * apart) / (2.0 * apart);
    let squared = ra * ra - along * along;
    let aside = squared.max(0.0).sqrt();
    let foot = [a[0] + along * ux, a[1] + along * uy];
    // The sine of the angle at the point; missing circles are taken last.
    let square = if squared > 0.0 { apart * aside / (ra * rb) } else { squared / (ra * rb) };
    Some((square, [[foot[0] - aside * uy, foot[1] + aside * ux], [foot[0] + aside * uy, foot[1] - aside * ux]]))
}

/// Adjusts the best sets and takes the best of them, if no other that differs fits alike.
fn choose(
    corners: &[[f64; 2]],
    near: &[Option<[f64; 2]>],
    measured: &[Measured],
    sets: Vec<Set>,
    dropped: &[Set],
) -> Result<Adjusted, Fault> {
    let whole = |set: &Set| set.places.iter().flatten().copied().collect::<Vec<[f64; 2]>>();
    let mut rest = sets.iter().skip(SETS_ADJUSTED_MAX).chain(dropped);
    let mut adjusted: Vec<(f64, Vec<[f64; 2]>)> = sets
        .iter()
        .take(SETS_ADJUSTED_MAX)
        .map(|set| {
            let places = relax(corners, whole(set), measured);
            (misfit(corners, &places, measured), places)
        })
        .collect();
    adjusted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (least, best) = adjusted.swap_remove(0);
    let judged = judge(corners, best.clone(), measured);
    let alike = |other: f64| {
        let rms = |squares: f64| (squares / measured.len() as f64).sqrt();
        rms(other) <= (ALIKE_FACTOR * rms(least)).max(ALIKE_M)
    };
    let differs = |p: &[f64; 2], q: &[f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]) > 10.0 * ALIKE_M;
    for (other, places) in &adjusted {
        let first = (0..best.len()).find(|&i| near[i].is_none() && differs(&best[i], &places[i]));
        if let (true, Some(i)) = (alike(*other), first) {
            return Err(Fault::Either(i, [best[i], places[i]]));
        }
    }
    // A set not followed to the end might have fitted as well.
    if let Some(set) = rest.find(|set| alike(set.misfit)) {
        let differ = |i: &usize| near[*i].is_none() && set.places[*i].is_some_and(|p| differs(&p, &best[*i]));
        if let Some(i) = (0..best.len()).find(differ) {
            return Err(Fault::Either(i, [best[i], set.places[i].unwrap_or(best[i])]));
        }
    }
    judged.map_err(Fault::Weak)
}

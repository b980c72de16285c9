//! Least squares: from places that are about right to those that fit best.

/// A distance between two places, each by its number: corners first, then points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Measured {
    pub(super) a: usize,
    pub(super) b: usize,
    pub(super) distance: f64,
}

/// Places that fit best.
#[derive(Clone, Debug)]
pub(super) struct Adjusted {
    pub(super) places: Vec<[f64; 2]>,
    /// Found less measured.
    pub(super) residuals: Vec<f64>,
    /// Each over its own standard error for distances of error 1; 0 where no other distance checks it.
    pub(super) standardised: Vec<f64>,
    /// `Q_xx + Q_yy` of each point.
    pub(super) cofactors: Vec<f64>,
}

/// Most steps; a survey takes five or so.
const STEPS_MAX: usize = 60;
/// Least share of a distance that must be checked by others for its residual to tell anything.
const CHECKED_MIN: f64 = 1e-6;
/// Smallest pivot of the normal equations, whose diagonal counts distances: at less, a slip of the tape would move the
/// point a thousand times as far.
const PIVOT_MIN: f64 = 1e-6;

/// Sum of the squared residuals.
pub(super) fn misfit(corners: &[[f64; 2]], places: &[[f64; 2]], measured: &[Measured]) -> f64 {
    measured.iter().map(|m| residual(corners, places, m).powi(2)).sum()
}

fn place(corners: &[[f64; 2]], places: &[[f64; 2]], i: usize) -> [f64; 2] {
    if i < corners.len() { corners[i] } else { places[i - corners.len()] }
}

fn residual(corners: &[[f64; 2]], places: &[[f64; 2]], m: &Measured) -> f64 {
    let (a, b) = (place(corners, places, m.a), place(corners, places, m.b));
    (b[0] - a[0]).hypot(b[1] - a[1]) - m.distance
}

/// The lower triangle of the normal equations and their right-hand side.
fn normals(corners: &[[f64; 2]], places: &[[f64; 2]], measured: &[Measured]) -> (Vec<Vec<f64>>, Vec<f64>) {
    let size = 2 * places.len();
    let mut matrix: Vec<Vec<f64>> = (0..size).map(|row| vec![0.0; row + 1]).collect();
    let mut right = vec![0.0; size];
    for m in measured {
        let v = residual(corners, places, m);
        let row = slopes(corners, places, m);
        for &(i, s) in &row {
            right[i] -= s * v;
            for &(j, t) in row.iter().filter(|(j, _)| *j <= i) {
                matrix[i][j] += s * t;
            }
        }
    }
    (matrix, right)
}

/// How a distance grows with the unknowns it touches.
fn slopes(corners: &[[f64; 2]], places: &[[f64; 2]], m: &Measured) -> Vec<(usize, f64)> {
    let (a, b) = (place(corners, places, m.a), place(corners, places, m.b));
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length = dx.hypot(dy);
    // Two places in one have no direction; any will do to part them.
    let (ux, uy) = if length > 0.0 { (dx / length, dy / length) } else { (1.0, 0.0) };
    let mut row = Vec::with_capacity(4);
    for (end, sign) in [(m.a, -1.0), (m.b, 1.0)] {
        if let Some(point) = end.checked_sub(corners.len()) {
            row.extend([(2 * point, sign * ux), (2 * point + 1, sign * uy)]);
        }
    }
    row
}

/// Cholesky's factor in place; the row of the first pivot that is too small.
fn factor(matrix: &mut [Vec<f64>], least: f64) -> Result<(), usize> {
    for i in 0..matrix.len() {
        let (before, mine) = matrix.split_at_mut(i);
        let mine = &mut mine[0];
        for j in 0..i {
            let sum: f64 = mine[..j].iter().zip(&before[j][..j]).map(|(a, b)| a * b).sum();
            mine[j] = (mine[j] - sum) / before[j][j];
        }
        let pivot = mine[i] - mine[..i].iter().map(|l| l * l).sum::<f64>();
        if pivot.is_nan() || pivot <= least {
            return Err(i);
        }
        mine[i] = pivot.sqrt();
    }
    Ok(())
}

/// Solves with the factor, in place.
fn solve(factor: &[Vec<f64>], x: &mut [f64]) {
    for i in 0..x.len() {
        let sum: f64 = factor[i][..i].iter().zip(&x[..i]).map(|(l, x)| l * x).sum();
        x[i] = (x[i] - sum) / factor[i][i];
    }
    for i in (0..x.len()).rev() {
        let sum: f64 = (i + 1..x.len()).map(|j| factor[j][i] * x[j]).sum();
        x[i] = (x[i] - sum) / factor[i][i];
    }
}

/// Moves the places to the nearest least misfit. Each step that would not lessen the misfit is damped and tried again.
pub(super) fn relax(corners: &[[f64; 2]], mut places: Vec<[f64; 2]>, measured: &[Measured]) -> Vec<[f64; 2]> {
    let mut damping = 0.0_f64;
    let mut now = misfit(corners, &places, measured);
    let scale = measured.iter().fold(1.0_f64, |most, m| most.max(m.distance));
    for _ in 0..STEPS_MAX {
        let (mut matrix, mut step) = normals(corners, &places, measured);
        for (i, row) in matrix.iter_mut().enumerate() {
            row[i] += damping * row[i].max(1e-3);
        }
        if factor(&mut matrix, 1e-12).is_err() {
            damping = (damping * 10.0).max(1e-6);
            if damping > 1e9 {
                break;
            }
            continue;
        }
        solve(&matrix, &mut step);
        let moved: Vec<[f64; 2]> =
            places.iter().zip(step.chunks_exact(2)).map(|(p, d)| [p[0] + d[0], p[1] + d[1]]).collect();
        let longest = step.iter().fold(0.0_f64, |most, d| most.max(d.abs()));
        let next = misfit(corners, &moved, measured);
        if next <= now {
            (places, now) = (moved, next);
            damping = if damping < 1e-9 { 0.0 } else { damping / 10.0 };
            if longest <= 1e-13 * scale {
                break;
            }
        } else if longest <= 1e-11 * scale {
            break;
        } else {
            damping = (damping * 10.0).max(1e-6);
        }
    }
    places
}

/// Residuals and standard errors at places that fit best; the point that is not fixed.
pub(super) fn judge(corners: &[[f64; 2]], places: Vec<[f64; 2]>, measured: &[Measured]) -> Result<Adjusted, usize> {
    let (mut matrix, _) = normals(corners, &places, measured);
    factor(&mut matrix, PIVOT_MIN).map_err(|row| row / 2)?;
    let column = |entries: &[(usize, f64)]| {
        let mut x = vec![0.0; matrix.len()];
        entries.iter().for_each(|&(i, s)| x[i] = s);
        solve(&matrix, &mut x);
        x
    };
    let cofactors =
        (0..places.len()).map(|p| [2 * p, 2 * p + 1].map(|i| column(&[(i, 1.0)])[i]).iter().sum()).collect();
    let residuals: Vec<f64> = measured.iter().map(|m| residual(corners, &places, m)).collect();
    let standardised = measured
        .iter()
        .zip(&residuals)
        .map(|(m, v)| {
            let row = slopes(corners, &places, m);
            let x = column(&row);
            let checked = 1.0 - row.iter().map(|&(i, s)| s * x[i]).sum::<f64>();
            if checked > CHECKED_MIN { v / checked.sqrt() } else { 0.0 }
        })
        .collect();
    Ok(Adjusted { places, residuals, standardised, cofactors })
}

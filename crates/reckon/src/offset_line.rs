//! Ground measured by offsets: square to a straight line, left and right of it.

use crate::error::{Bound, ReckonError};
use crate::units::Metres;

/// A place along the line.
pub const ALONG_M: Bound = Bound::new("along", -10_000.0, 10_000.0, "m", "distance along the line from its start");
/// A distance from the line.
pub const OFFSET_M: Bound = Bound::new("offset", -1_000.0, 1_000.0, "m", "distance from the line, square to it");
/// Most places along the line.
pub const OFFSETS_MAX: usize = 1_000;
/// Shortest line (m): its direction must be sure.
pub const LINE_LEAST_M: f64 = 0.5;

/// What was measured at one place along the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    /// Distance from the start of the line.
    pub along: Metres,
    /// To the edge on the left.
    pub left: Metres,
    /// To the edge on the right; 0 where the line itself is the edge.
    pub right: Metres,
}

/// Corners of ground measured by offsets from a line, `[east, north]` in metres.
///
/// With the unit vector `u` from start to end and `v` to its left, the corners are `start + along u + left v` in the order told,
/// then `start + along u − right v` in the reverse order. A corner that falls on the one before it is left out. The area they
/// enclose is that of the trapezoid rule, `Σ (x_{i+1} − x_i) (h_i + h_{i+1}) / 2` with `h = left + right`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | along | from the start of the line, rising | m | -10,000 ..= 10,000 |
/// | left, right | square to the line | m | -1,000 ..= 1,000 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] for a figure; [`ReckonError::Inconsistent`] naming `line` (start and end less than 0.5 m apart) or
/// `offsets` (fewer than two or too many; a place not after the one before it; no ground between left and right).
///
/// # Source
/// Offsets from a chain line and the trapezoid rule, as in every surveying handbook.
///
/// # Examples
/// A published surveying exercise: offsets of 3.6, 2.8, 4.2, 4.7, 4.9 and 3.7 m each 30 m; the trapezoid rule gives 607.5 m².
/// ```
/// use reckon::offset_line::{Offset, offset_corners};
/// use reckon::polygon::polygon_area;
/// use reckon::units::Metres;
///
/// let offsets: Vec<Offset> = [3.6, 2.8, 4.2, 4.7, 4.9, 3.7]
///     .iter()
///     .enumerate()
///     .map(|(i, h)| Offset {
///         along: Metres::new(30.0 * i as f64),
///         left: Metres::new(*h),
///         right: Metres::new(0.0),
///     })
///     .collect();
/// let corners = offset_corners([5.0, 7.0], [85.0, 67.0], &offsets)?;
/// assert!((polygon_area(&corners, &[])?.area.get() - 607.5).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn offset_corners(start: [f64; 2], end: [f64; 2], offsets: &[Offset]) -> Result<Vec<[f64; 2]>, ReckonError> {
    let refused = |field, message| Err(ReckonError::Inconsistent { field, message });
    for v in start.iter().chain(&end) {
        crate::outline::CORNER_M.check(*v)?;
    }
    let (dx, dy) = (end[0] - start[0], end[1] - start[1]);
    let length = dx.hypot(dy);
    if length < LINE_LEAST_M {
        return refused("line", format!("its ends are {length:.3} m apart; they must be {LINE_LEAST_M} m or more"));
    }
    if !(2..=OFFSETS_MAX).contains(&offsets.len()) {
        let message = format!("{} places along the line; there must be 2 to {OFFSETS_MAX}", offsets.len());
        return refused("offsets", message);
    }
    for (i, offset) in offsets.iter().enumerate() {
        ALONG_M.check(offset.along.get())?;
        OFFSET_M.check(offset.left.get())?;
        OFFSET_M.check(offset.right.get())?;
        if i > 0 && offset.along <= offsets[i - 1].along {
            let (here, before) = (offset.along.get(), offsets[i - 1].along.get());
            let message = format!("place {} at {here} m is not after the one before it, at {before} m", i + 1);
            return refused("offsets", message);
        }
        if (offset.left + offset.right).get() < 0.0 {
            let message = format!("at {} m the left edge lies right of the right edge", offset.along.get());
            return refused("offsets", message);
        }
    }
    let u = [dx / length, dy / length];
    let place = |along: f64, left: f64| [start[0] + along * u[0] - left * u[1], start[1] + along * u[1] + left * u[0]];
    let left = offsets.iter().map(|o| place(o.along.get(), o.left.get()));
    let right = offsets.iter().rev().map(|o| place(o.along.get(), -o.right.get()));
    let mut corners: Vec<[f64; 2]> = Vec::with_capacity(2 * offsets.len());
    let apart = |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) > 1e-6;
    for corner in left.chain(right) {
        if corners.last().is_none_or(|last| apart(last, &corner)) {
            corners.push(corner);
        }
    }
    if corners.len() > 1 && corners.first().zip(corners.last()).is_some_and(|(a, b)| !apart(a, b)) {
        corners.pop();
    }
    if corners.len() < 3 {
        return refused("offsets", "they enclose no ground".to_owned());
    }
    Ok(corners)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::polygon::polygon_area;

    fn row(along: f64, left: f64, right: f64) -> Offset {
        Offset { along: Metres::new(along), left: Metres::new(left), right: Metres::new(right) }
    }

    /// A surveyors' forum problem: offsets of 19.4, 39.6 and 54.8 at 25; the first strip is 737.5, both 1,917.5 (trapezoids by
    /// hand). The line's place and direction do not matter.
    #[test]
    fn strips_of_a_published_problem() {
        let offsets = [row(0.0, 19.4, 0.0), row(25.0, 39.6, 0.0), row(50.0, 54.8, 0.0)];
        for (start, end) in [([0.0, 0.0], [50.0, 0.0]), ([3.0, -8.0], [-20.0, 40.0])] {
            let area = |n: usize| {
                let corners = offset_corners(start, end, &offsets[..n]).unwrap();
                polygon_area(&corners, &[]).unwrap().area.get()
            };
            assert!((area(2) - 737.5).abs() < 1e-9);
            assert!((area(3) - 1_917.5).abs() < 1e-9);
        }
    }

    /// Left is left of the way from start to end, and a pointed end gives one corner, not two.
    #[test]
    fn sides_and_points() {
        let corners =
            offset_corners([0.0, 0.0], [0.0, 10.0], &[row(0.0, 0.0, 0.0), row(4.0, 2.0, 1.0), row(9.0, 0.0, 0.0)]);
        assert_eq!(corners.unwrap(), [[0.0, 0.0], [-2.0, 4.0], [0.0, 9.0], [1.0, 4.0]]);
    }

    #[test]
    fn refusals() {
        let two = [row(0.0, 1.0, 0.0), row(5.0, 1.0, 0.0)];
        let field = |r: Result<Vec<[f64; 2]>, ReckonError>| r.unwrap_err().field();
        assert_eq!(field(offset_corners([0.0, 0.0], [0.1, 0.0], &two)), "line");
        assert_eq!(field(offset_corners([0.0, 0.0], [9.0, 0.0], &two[..1])), "offsets");
        assert_eq!(field(offset_corners([0.0, 0.0], [9.0, 0.0], &[two[1], two[0]])), "offsets");
        assert_eq!(field(offset_corners([0.0, 0.0], [9.0, 0.0], &[row(0.0, -1.0, 0.0), two[1]])), "offsets");
        assert_eq!(field(offset_corners([0.0, 0.0], [9.0, 0.0], &[row(f64::NAN, 1.0, 0.0), two[1]])), "along");
        assert_eq!(field(offset_corners([0.0, 0.0], [9.0, 0.0], &[row(0.0, 1e4, 0.0), two[1]])), "offset");
    }
}

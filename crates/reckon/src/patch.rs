//! A bad patch as ground: what is treated round it, and how long its rim needs to close a gap.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Metres, SquareMetres};

/// Ground of a patch.
pub const PATCH_M2: Bound = Bound::new("patch_m2", 0.0001, 100_000.0, "m²", "ground of the patch");
/// Strip round it.
pub const MARGIN_M: Bound = Bound::new("margin_m", 0.0, 50.0, "m", "strip round the patch");
/// Width of a gap.
pub const GAP_M: Bound = Bound::new("gap_m", 0.0, 100.0, "m", "width of the gap");
/// How far a rim comes in a month of growth.
pub const SPREAD_MM_MONTH: Bound =
    Bound::new("spread_mm_month", 1.0, 500.0, "mm/month", "how far a rim comes in a month of growth");
/// Days of a month: 365.25 / 12.
const MONTH_DAYS: f64 = 30.4375;

/// Ground of a round patch with a strip of even width round it.
///
/// `A = π (√(A₀/π) + m)²`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `A₀` | the patch | m² | 0.0001 ..= 100,000 |
/// | `m` | the strip | m | 0 ..= 50 |
///
/// A circle has the least rim: a ragged patch needs somewhat more.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Geometry of the circle.
///
/// # Examples
/// A round patch of 2 m across with a metre round it is 4 m across: four times the ground.
/// ```
/// use reckon::patch::ground_with_strip;
/// use reckon::units::{Metres, SquareMetres};
///
/// let whole = ground_with_strip(SquareMetres::new(std::f64::consts::PI), Metres::new(1.0))?;
/// assert!((whole.get() / std::f64::consts::PI - 4.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn ground_with_strip(patch: SquareMetres, strip: Metres) -> Result<SquareMetres, ReckonError> {
    let radius = (PATCH_M2.check(patch.get())? / PI).sqrt() + MARGIN_M.check(strip.get())?;
    Ok(SquareMetres::new(PI * radius * radius))
}

/// Days of growth until both rims of a gap meet.
///
/// `t = (w / 2) / s`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `w` | width of the gap | m | 0 ..= 100 |
/// | `s` | how far a rim comes | mm in a month of growth | 1 ..= 500 |
///
/// Left out: how thick the new stand is, weeds that come first, bunch grasses (they do not close a gap).
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Definition of a speed.
///
/// # Examples
/// A gap of 4 in closes at an inch a month from each side in two months.
/// ```
/// use reckon::patch::gap_closing_days;
/// use reckon::units::Metres;
///
/// let days = gap_closing_days(Metres::new(0.1016), 25.4)?;
/// assert!((days / 30.4375 - 2.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn gap_closing_days(gap: Metres, spread_mm_month: f64) -> Result<f64, ReckonError> {
    let half_mm = GAP_M.check(gap.get())? * 1000.0 / 2.0;
    Ok(half_mm / SPREAD_MM_MONTH.check(spread_mm_month)? * MONTH_DAYS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refusals_name_the_field() {
        let strip = |a: f64, m: f64| ground_with_strip(SquareMetres::new(a), Metres::new(m)).unwrap_err().field();
        assert_eq!(strip(0.0, 1.0), "patch_m2");
        assert_eq!(strip(f64::NAN, 1.0), "patch_m2");
        assert_eq!(strip(1.0, -1.0), "margin_m");
        let gap = |w: f64, s: f64| gap_closing_days(Metres::new(w), s).unwrap_err().field();
        assert_eq!(gap(-0.1, 25.0), "gap_m");
        assert_eq!(gap(0.1, 0.0), "spread_mm_month");
    }

    /// No strip, no change; a wider one is never less ground.
    #[test]
    fn a_strip_only_adds() {
        let ground = |m: f64| ground_with_strip(SquareMetres::new(7.5), Metres::new(m)).unwrap().get();
        assert!((ground(0.0) - 7.5).abs() < 1e-12);
        assert!(ground(0.5) < ground(0.6));
    }
}

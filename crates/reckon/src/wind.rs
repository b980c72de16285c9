//! Wind speed brought to the height the formulas expect.

use crate::error::{Bound, ReckonError};
use crate::units::{Metres, MetresPerSecond};

/// Mean wind speed of a day.
pub const WIND: Bound = Bound::new("wind_ms", 0.0, 100.0, "m/s", "mean wind speed of the day");
/// Height of the wind gauge over the ground.
pub const WIND_HEIGHT: Bound = Bound::new("wind_height_m", 0.5, 100.0, "m", "height of the wind gauge over the ground");

/// Wind taken where none is measured: the mean over 2,000 stations (FAO Paper 56, chapter 3, "Missing wind data").
pub const WIND_UNKNOWN: MetresPerSecond = MetresPerSecond::new(2.0);
/// Least wind the paper lets into the equation, for gustiness and thermal stir near the ground.
pub const WIND_LEAST: MetresPerSecond = MetresPerSecond::new(0.5);

/// Wind at 2 m over grass from a gauge at another height.
///
/// `u2 = uz 4.87 / ln(67.8 z − 5.42)`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `uz` | wind speed at height `z` | m/s | 0 ..= 100 |
/// | `z` | height of the gauge | m | 0.5 ..= 100 |
///
/// At exactly 2 m the speed is returned as it is (the formula would add 0.02 %).
/// Left out: rough ground and shelter; the profile is that over short grass.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `wind_ms` or `wind_height_m`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 47.
///
/// # Examples
/// Example 14: 3.2 m/s at 10 m is 2.4 m/s at 2 m.
/// ```
/// use reckon::{units::{Metres, MetresPerSecond}, wind::wind_at_2m};
/// let u2 = wind_at_2m(MetresPerSecond::new(3.2), Metres::new(10.0))?;
/// assert!((u2.get() - 2.4).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn wind_at_2m(speed: MetresPerSecond, height: Metres) -> Result<MetresPerSecond, ReckonError> {
    let uz = WIND.check(speed.get())?;
    let z = WIND_HEIGHT.check(height.get())?;
    Ok(MetresPerSecond::new(lowered(uz, z, profile(z))))
}

/// The logarithm of eq. 47 on a bare number.
pub(crate) fn profile(z: f64) -> f64 {
    (67.8 * z - 5.42).ln()
}

/// Eq. 47 on bare numbers, with the [`profile`] of the same height.
pub(crate) fn lowered(uz: f64, z: f64, profile: f64) -> f64 {
    if z == 2.0 { uz } else { uz * 4.87 / profile }
}

/// Wind raised to the least the paper uses.
///
/// `max(u2, 0.5 m/s)`. Kept apart from the evapotranspiration itself, so that one computes exactly what it is given and the
/// choice shows in the working of whoever makes it.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), chapter 3, p. 63.
pub fn wind_not_below_least(u2: MetresPerSecond) -> MetresPerSecond {
    u2.max(WIND_LEAST)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Examples 14 and 18 of the paper (2.4 printed; 2.078 printed after rounding 10 km/h to 2.78).
    #[test]
    fn printed_examples() {
        let u2 = |u, z| wind_at_2m(MetresPerSecond::new(u), Metres::new(z)).map(MetresPerSecond::get);
        assert!((u2(3.2, 10.0).unwrap_or(f64::NAN) - 2.393).abs() < 0.0005);
        assert!((u2(2.78, 10.0).unwrap_or(f64::NAN) - 2.078).abs() < 0.002);
        assert_eq!(u2(3.0, 2.0), Ok(3.0));
        assert_eq!(u2(3.0, 0.1).map_err(|e| e.field()), Err("wind_height_m"));
        assert_eq!(wind_not_below_least(MetresPerSecond::new(0.1)), WIND_LEAST);
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// The higher the gauge, the more it must be brought down; always finite.
        #[test]
        fn falls_with_height(u in 0.0..100.0f64, z in 0.5..50.0f64, d in 0.0..50.0f64) {
            let at = |z: f64| wind_at_2m(MetresPerSecond::new(u), Metres::new(z)).map(MetresPerSecond::get);
            if let (Ok(a), Ok(b)) = (at(z), at(z + d)) { prop_assert!(a.is_finite() && b <= a * 1.0003); }
        }
    }
}

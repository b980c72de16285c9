//! The weather's share in anthracnose, a leaf disease of annual bluegrass.

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Hours};

/// Hours of leaf wetness a day, mean of three days.
pub const WET: Bound = Bound::new("leaf_wetness_h", 0.0, 24.0, "h", "hours of leaf wetness a day, mean of three days");
/// Mean air temperature of three days.
pub const AIR_MEAN: Bound = Bound::new("air_mean_c", -90.0, 60.0, "°C", "mean air temperature of the same three days");

/// The least index at which the authors take infection to be possible.
pub const INFECTION: f64 = 2.0;

/// Severity of anthracnose to be expected ten to twelve days later, as an index.
///
/// `ASI = 4.0233 − 0.2283 W − 0.5308 T − 0.0013 W² + 0.0197 T² + 0.0155 W T`; an index of 1 is under 10 % of the turf diseased, 2 is
/// 11 to 20 %, and so on to 6; infection from 2.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `W` | hours of leaf wetness a day, mean of three days | h | 0 ..= 24 |
/// | `T` | mean air temperature of the same days | °C | −90 ..= 60 |
///
/// The square of `T` makes the index rise again in the cold, which no leaf bears out: read it only where `0.0394 T + 0.0155 W` is over
/// 0.5308, that is where it grows with warmth ([`anthracnose_speaks`]).
///
/// Left out: wear, low mowing, nitrogen and the crown rot of the same fungus.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `leaf_wetness_h` or `air_mean_c`.
///
/// # Source
/// T. K. Danneberger, J. M. Vargas and A. L. Jones, "A model for weather-based forecasting of anthracnose on annual bluegrass",
/// Phytopathology 74:448–451, 1984 (equation and classes as its abstract prints them; 14 of 16 periods of increase foretold).
///
/// # Examples
/// Half the day wet at 24 °C: 4.0233 − 2.7396 − 12.7392 − 0.1872 + 11.3472 + 4.4640 = 4.1685.
/// ```
/// use reckon::anthracnose::anthracnose_index_danneberger;
/// use reckon::units::{Celsius, Hours};
/// let asi = anthracnose_index_danneberger(Hours::new(12.0), Celsius::new(24.0))?;
/// assert!((asi - 4.1685).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn anthracnose_index_danneberger(leaf_wetness: Hours, air_mean: Celsius) -> Result<f64, ReckonError> {
    let w = WET.check(leaf_wetness.get())?;
    let t = AIR_MEAN.check(air_mean.get())?;
    Ok(4.0233 - 0.2283 * w - 0.5308 * t - 0.0013 * w * w + 0.0197 * t * t + 0.0155 * w * t)
}

/// Whether the index grows with warmth here, so that it may be read.
pub fn anthracnose_speaks(leaf_wetness: Hours, air_mean: Celsius) -> bool {
    0.0394 * air_mean.get() + 0.0155 * leaf_wetness.get() > 0.5308
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn asi(w: f64, t: f64) -> f64 {
        anthracnose_index_danneberger(Hours::new(w), Celsius::new(t)).unwrap_or(f64::NAN)
    }

    /// Rows summed by hand from the printed terms.
    #[test]
    fn table() {
        for (w, t, want) in [(0.0, 20.0, 1.2873), (10.0, 20.0, 1.9743), (24.0, 27.0, 7.869), (12.0, 24.0, 4.1685)] {
            assert!((asi(w, t) - want).abs() < 1e-3, "{w} {t}: {}", asi(w, t));
        }
    }

    /// In the cold the square lifts the index, and the formula says that it must not be read there.
    #[test]
    fn not_read_in_the_cold() {
        assert!(asi(6.0, 0.0) > INFECTION && !anthracnose_speaks(Hours::new(6.0), Celsius::new(0.0)));
        assert!(anthracnose_speaks(Hours::new(6.0), Celsius::new(20.0)));
        let bad = anthracnose_index_danneberger(Hours::new(25.0), Celsius::new(20.0));
        assert_eq!(bad.map_err(|e| e.field()), Err("leaf_wetness_h"));
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// Where it may be read, warmer is never less; on warm days (19 °C and over, where 0.0155 T outweighs the other terms of `W`)
        /// longer wet is never less either.
        #[test]
        fn grows(w in 0.0..24.0f64, d in 0.0..24.0f64, t in 19.0..40.0f64, e in 0.0..20.0f64) {
            prop_assert!(asi(w, t + e) >= asi(w, t));
            prop_assert!(asi((w + d).min(24.0), t) >= asi(w, t));
        }
    }
}

//! The weather's share in brown patch, a summer disease of tall fescue, ryegrass and bentgrass.

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Percent};

/// Mean relative humidity of the day.
pub const RH_MEAN: Bound = Bound::new("rh_mean_pct", 0.0, 100.0, "%", "mean relative humidity of the day");
/// Lowest air temperature of the day.
pub const TMIN: Bound = Bound::new("tmin_c", -90.0, 60.0, "°C", "lowest air temperature of the day");

/// The authors warn from this index.
pub const WARNING: f64 = 6.0;

/// An extension pathologist's line, found better in Kentucky in 1999 (P. Vincelli, *Predictive models for turf grass diseases*).
pub const WARNING_KENTUCKY: f64 = 5.0;

/// Night temperature at which the index is highest, °C: where the derivative `1.4 − 0.066 T` is 0.
pub const PEAK_C: f64 = 1.4 / 0.066;

/// How far a day's weather favours an outbreak of brown patch, as an index.
///
/// `E = −21.5 + 0.15 RH + 1.4 T − 0.033 T²`; a warning from `E` = 6.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `RH` | mean relative humidity of the day | % | 0 ..= 100 |
/// | `T` | lowest air temperature of the day | °C | −90 ..= 60 |
///
/// The index falls again where nights are warmer than 21.2 °C; the authors measured in Maryland, where few are. Found on perennial
/// ryegrass over three years; 85 % of outbreaks foretold. An extension pathologist in Kentucky got on better with a line of 5.
///
/// Left out: the grass, nitrogen, how long leaves are wet, whether the fungus is there at all.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `rh_mean_pct` or `tmin_c`.
///
/// # Source
/// M. A. Fidanza, P. H. Dernoeden and A. P. Grybauskas, "Development and field validation of a brown patch warning model for
/// perennial ryegrass turf", Phytopathology 86(4):385–390, 1996 (equation E2 and the line of 6 as its abstract prints them).
///
/// # Examples
/// Nine tenths humidity and a night of 20 °C: −21.5 + 13.5 + 28 − 13.2 = 6.8, a warning.
/// ```
/// use reckon::brown_patch::{WARNING, brown_patch_index_fidanza};
/// use reckon::units::{Celsius, Percent};
/// let e = brown_patch_index_fidanza(Percent::new(90.0), Celsius::new(20.0))?;
/// assert!((e - 6.8).abs() < 1e-9 && e >= WARNING);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn brown_patch_index_fidanza(rh_mean: Percent, tmin: Celsius) -> Result<f64, ReckonError> {
    let rh = RH_MEAN.check(rh_mean.get())?;
    let t = TMIN.check(tmin.get())?;
    Ok(-21.5 + 0.15 * rh + 1.4 * t - 0.033 * t * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn e(rh: f64, t: f64) -> f64 {
        brown_patch_index_fidanza(Percent::new(rh), Celsius::new(t)).unwrap_or(f64::NAN)
    }

    /// Rows worked by hand from the printed equation, to 0.01.
    #[test]
    fn table() {
        for (rh, t, want) in [(75.0, 16.0, 3.70), (80.0, 18.0, 5.01), (90.0, 20.0, 6.80), (95.0, 22.0, 7.58)] {
            assert!((e(rh, t) - want).abs() <= 0.005_1, "{rh} {t}: {}", e(rh, t));
        }
    }

    /// The six-part rule of the same paper has its edges at a mean humidity of 75 % and a night of 16 °C: there the index does not
    /// warn yet, and with nights of 16 °C it does not at any humidity that is not near saturation.
    #[test]
    fn agrees_with_the_papers_other_rule() {
        assert!(e(75.0, 16.0) < WARNING && e(90.0, 16.0) < WARNING && e(100.0, 16.0) >= WARNING);
    }

    #[test]
    fn refused() {
        let bad = brown_patch_index_fidanza(Percent::new(101.0), Celsius::new(20.0));
        assert_eq!(bad.map_err(|e| e.field()), Err("rh_mean_pct"));
        let bad = brown_patch_index_fidanza(Percent::new(80.0), Celsius::new(f64::NAN));
        assert_eq!(bad.map_err(|e| e.field()), Err("tmin_c"));
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// Moister is never less; warmer nights neither, up to the peak.
        #[test]
        fn grows(rh in 0.0..100.0f64, d in 0.0..50.0f64, t in -20.0..PEAK_C, w in 0.0..20.0f64) {
            prop_assert!(e((rh + d).min(100.0), t) >= e(rh, t));
            prop_assert!(e(rh, (t + w).min(PEAK_C)) >= e(rh, t) - 1e-9);
        }
    }
}

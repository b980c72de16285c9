//! Hours of high humidity in a day known only by its extremes and dew point: the stand-in for leaf wetness where nobody measures it.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Hours, Percent};
use crate::vapour::{DEWPOINT, day_extremes};

/// Humidity that counts.
pub const THRESHOLD: Bound =
    Bound::new("threshold_pct", 1.0, 100.0, "%", "relative humidity from which an hour counts");

/// Hours of a day at or over a relative humidity, its temperature taken as a sine through the extremes and its dew point as steady.
///
/// The air reaches the humidity `R` while it is no warmer than `θ`, where `e0(θ) = e0(Td) / R`; so `H = 24 (1/2 + arcsin((θ − M)/α)/π)`,
/// `M = (Tmax + Tmin)/2`, `α = (Tmax − Tmin)/2`, and 0 or 24 where `θ` lies outside the extremes.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `Td` | dew point | °C | −90 ..= 60 |
/// | `R` | humidity that counts | % | 1 ..= 100 |
///
/// Left out: dew points that change within the day, rain that wets leaves at lower humidity, and the canopy, moister than a station.
///
/// # Errors
/// [`ReckonError`] naming `tmin_c`, `tmax_c`, `dewpoint_c` or `threshold_pct`.
///
/// # Source
/// Saturation: FAO Irrigation and Drainage Paper 56 (1998), eq. 11 and its inverse. The sine: as in degree days, see
/// [`crate::degree_days`]. Leaf wetness guessed from high humidity: P. Vincelli, *Predictive models for turf grass diseases*,
/// University of Kentucky, which calls it a source of error; 90 % is common practice.
///
/// # Examples
/// A dew point at which the mean temperature is just at 90 %: half the day counts.
/// ```
/// use reckon::humid_hours::humid_hours_sine;
/// use reckon::units::{Celsius, Percent};
/// let h = humid_hours_sine(Celsius::new(15.0), Celsius::new(25.0), Celsius::new(18.308), Percent::new(90.0))?;
/// assert!((h.get() - 12.0).abs() < 0.02);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn humid_hours_sine(
    tmin: Celsius,
    tmax: Celsius,
    dew_point: Celsius,
    threshold: Percent,
) -> Result<Hours, ReckonError> {
    let (low, high) = day_extremes(tmin, tmax)?;
    let dew = DEWPOINT.check(dew_point.get())?;
    let share = THRESHOLD.check(threshold.get())? / 100.0;
    // ln(e0(T)/0.6108) = 17.27 T/(T + 237.3), told backwards for the vapour of the dew point over the share.
    let x = 17.27 * dew / (dew + 237.3) - share.ln();
    if x >= 17.0 {
        return Ok(Hours::new(24.0));
    }
    let warmest = 237.3 * x / (17.27 - x);
    let (mean, swing) = ((low + high) / 2.0, (high - low) / 2.0);
    let hours = if warmest >= high {
        24.0
    } else if warmest < low || swing <= 0.0 {
        0.0
    } else {
        24.0 * (0.5 + ((warmest - mean) / swing).clamp(-1.0, 1.0).asin() / PI)
    };
    Ok(Hours::new(hours.clamp(0.0, 24.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hours(low: f64, high: f64, dew: f64, rh: f64) -> f64 {
        humid_hours_sine(Celsius::new(low), Celsius::new(high), Celsius::new(dew), Percent::new(rh))
            .map_or(f64::NAN, Hours::get)
    }

    /// The closed form beside a count of 100,000 moments of the sine, to a thousandth of a day.
    #[test]
    fn agrees_with_a_count() {
        let e0 = |t: f64| 0.6108 * (17.27 * t / (t + 237.3)).exp();
        for (low, high, dew, rh) in
            [(15.0, 27.0, 16.0, 90.0), (20.0, 33.0, 22.0, 90.0), (5.0, 18.0, 4.0, 90.0), (12.0, 20.0, 14.5, 80.0)]
        {
            let n = 100_000;
            let count = (0..n)
                .filter(|i| {
                    let phase = f64::from(*i) / f64::from(n) * 2.0 * PI;
                    let t = (low + high) / 2.0 + (high - low) / 2.0 * phase.sin();
                    e0(dew) / e0(t) * 100.0 >= rh
                })
                .count();
            let want = count as f64 / f64::from(n) * 24.0;
            assert!((hours(low, high, dew, rh) - want).abs() < 0.024, "{low} {high} {dew}: {want}");
        }
    }

    /// Airs that never or always count, and refusals.
    #[test]
    fn ends() {
        assert_eq!((hours(10.0, 30.0, -5.0, 90.0), hours(20.0, 20.0, 20.0, 90.0)), (0.0, 24.0));
        // A range so small that its half is nothing.
        assert_eq!(hours(-0.0, 5e-324, 0.0, 100.0), 0.0);
        let bad = humid_hours_sine(Celsius::new(20.0), Celsius::new(10.0), Celsius::new(5.0), Percent::new(90.0));
        assert!(bad.is_err());
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// Between nothing and the whole day; a higher dew point or a lower line never means fewer hours.
        #[test]
        fn bounded_and_monotone(low in -20.0..30.0f64, range in 0.0..25.0f64, dew in -20.0..30.0f64, d in 0.0..5.0f64, rh in 50.0..100.0f64) {
            let h = hours(low, low + range, dew, rh);
            prop_assert!((0.0..=24.0).contains(&h));
            prop_assert!(hours(low, low + range, dew + d, rh) >= h - 1e-9);
            prop_assert!(hours(low, low + range, dew, rh - d * 5.0) >= h - 1e-9);
        }
    }
}

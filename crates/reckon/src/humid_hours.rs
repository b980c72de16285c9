//! Hours of high humidity in a day known only by its extremes and dew point: the stand-in for leaf wetness where nobody measures it.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Hours, Percent};
use crate::vapour::{DEWPOINT, day_extremes};

/// Humidity that counts.
pub const THRESHOLD: Bound =
    Bound::new("threshold_pct", 1.0, 100.0, "%", "relative humidity from which an hour counts");
/// Coolest air of a band.
pub const COOLEST: Bound = Bound::new("coolest_c", -90.0, 60.0, "°C", "coolest air that counts");
/// Warmest air of a band.
pub const WARMEST: Bound = Bound::new("warmest_c", -90.0, 60.0, "°C", "warmest air that counts, not under the coolest");

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
    Ok(Hours::new(hours_up_to(low, high, warmest_at(dew, share))))
}

/// Temperature at which air of this dew point has fallen to a share of saturation; without end where no warmth does it.
///
/// `ln(e0(T)/0.6108) = 17.27 T/(T + 237.3)`, told backwards for the vapour of the dew point over the share.
fn warmest_at(dew: f64, share: f64) -> f64 {
    let x = 17.27 * dew / (dew + 237.3) - share.ln();
    if x >= 17.0 { f64::INFINITY } else { 237.3 * x / (17.27 - x) }
}

/// Hours in which a sine through the extremes is no warmer than this.
fn hours_up_to(low: f64, high: f64, warmest: f64) -> f64 {
    let (mean, swing) = ((low + high) / 2.0, (high - low) / 2.0);
    let hours = if warmest >= high {
        24.0
    } else if warmest < low || swing <= 0.0 {
        0.0
    } else {
        24.0 * (0.5 + ((warmest - mean) / swing).clamp(-1.0, 1.0).asin() / PI)
    };
    hours.clamp(0.0, 24.0)
}

/// Hours of a day that are both at or over a relative humidity and inside a band of temperature: a leaf wet at a warmth a fungus takes.
///
/// `H = h(min(θ, b)) − h(a)`, `h` the hours in which the sine of [`humid_hours_sine`] is no warmer than its argument, `θ` the warmest
/// air that still has the humidity; 0 where `θ` lies under the band.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `Td` | dew point | °C | −90 ..= 60 |
/// | `R` | humidity that counts | % | 1 ..= 100 |
/// | `a`, `b` | the band | °C | −90 ..= 60, in order |
///
/// Left out: what [`humid_hours_sine`] leaves out, and whether the hours come in one piece.
///
/// # Errors
/// [`ReckonError`] naming `tmin_c`, `tmax_c`, `dewpoint_c`, `threshold_pct`, `coolest_c` or `warmest_c`.
///
/// # Source
/// As [`humid_hours_sine`]. Bands in use: gray leaf spot 20 to 32 °C (W. Uddin, K. Serlemitsos and G. Viji 2003, Phytopathology 93:336–343,
/// who tried 20, 24, 28 and 32 °C and found it at all of them, most at 28), rust 20 to 30 °C, red thread 65 to 75 °F.
///
/// # Examples
/// A day of 15 to 25 °C, damp up to its mean of 20 °C: half the day; of that only the hours from 17.5 °C on, where the sine is over −1/2:
/// 12 − 8 = 4.
/// ```
/// use reckon::humid_hours::humid_hours_between;
/// use reckon::units::{Celsius, Percent};
/// let c = Celsius::new;
/// let h = humid_hours_between(c(15.0), c(25.0), c(18.308), Percent::new(90.0), c(17.5), c(30.0))?;
/// assert!((h.get() - 4.0).abs() < 0.02);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn humid_hours_between(
    tmin: Celsius,
    tmax: Celsius,
    dew_point: Celsius,
    threshold: Percent,
    coolest: Celsius,
    warmest: Celsius,
) -> Result<Hours, ReckonError> {
    let (low, high) = day_extremes(tmin, tmax)?;
    let dew = DEWPOINT.check(dew_point.get())?;
    let share = THRESHOLD.check(threshold.get())? / 100.0;
    let from = COOLEST.check(coolest.get())?;
    let to = WARMEST.check(warmest.get())?;
    if from > to {
        return Err(ReckonError::Inconsistent {
            field: WARMEST.field,
            message: format!("the band ends at {to} °C, under its begin at {from} °C; swap them"),
        });
    }
    let up_to = warmest_at(dew, share).min(to);
    let below = if low >= from { 0.0 } else { hours_up_to(low, high, from) };
    Ok(Hours::new((hours_up_to(low, high, up_to) - below).max(0.0)))
}

/// Moments of half a day's sine that are looked at for a mean; the other half mirrors it.
const MOMENTS: u8 = 24;

/// Mean relative humidity of a day known only by its extremes and dew point.
///
/// `RH = mean over the day of min(100, 100 e0(Td)/e0(T))`, `T` a sine through the extremes, at 24 moments of its rising half.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `Td` | dew point | °C | −90 ..= 60 |
///
/// The humidity at the mean temperature, often put in its place, is a point or two lower, since humidity rises faster in the cool of
/// the night than it falls in the day. Beside two hourly records it is still 0.6 to 1.1 points low from May to September, 2 points off
/// on the usual day (`tests/reference/test_humid_hours.py`).
///
/// Left out: dew points that change within the day.
///
/// # Errors
/// [`ReckonError`] naming `tmin_c`, `tmax_c` or `dewpoint_c`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 10 and 11; the sine as in degree days, see [`crate::degree_days`].
///
/// # Examples
/// Air that stays at 20 °C with a dew point of 18.308 °C is at 90 % all day.
/// ```
/// use reckon::humid_hours::humidity_mean_sine;
/// use reckon::units::Celsius;
/// let rh = humidity_mean_sine(Celsius::new(20.0), Celsius::new(20.0), Celsius::new(18.308))?;
/// assert!((rh.get() - 90.0).abs() < 0.01);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn humidity_mean_sine(tmin: Celsius, tmax: Celsius, dew_point: Celsius) -> Result<Percent, ReckonError> {
    let (low, high) = day_extremes(tmin, tmax)?;
    let dew = DEWPOINT.check(dew_point.get())?;
    let exponent = |t: f64| 17.27 * t / (t + 237.3);
    let vapour = exponent(dew);
    let (mean, swing) = ((low + high) / 2.0, (high - low) / 2.0);
    let sum: f64 = (0..MOMENTS)
        .map(|i| mean + swing * (PI * ((f64::from(i) + 0.5) / f64::from(MOMENTS) - 0.5)).sin())
        .map(|t| (vapour - exponent(t)).exp().min(1.0))
        .sum();
    Ok(Percent::new((100.0 * sum / f64::from(MOMENTS)).clamp(0.0, 100.0)))
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

    /// Bands: the whole day splits into its parts; a band above what is damp, or above the day, has nothing; one out of order is refused.
    #[test]
    fn bands() {
        let c = Celsius::new;
        let between =
            |a, b| humid_hours_between(c(15.0), c(27.0), c(16.0), Percent::new(80.0), c(a), c(b)).map(Hours::get);
        let whole = hours(15.0, 27.0, 16.0, 80.0);
        let parts: f64 =
            [(-90.0, 16.0), (16.0, 18.0), (18.0, 60.0)].map(|(a, b)| between(a, b).unwrap_or(f64::NAN)).iter().sum();
        assert!((parts - whole).abs() < 1e-9, "{parts} {whole}");
        assert_eq!((between(22.0, 30.0), between(28.0, 40.0)), (Ok(0.0), Ok(0.0)));
        assert_eq!(between(20.0, 10.0).map_err(|e| e.field().to_owned()), Err("warmest_c".to_owned()));
        // A day without a range, on the band's edge, is all in it.
        let flat = humid_hours_between(c(20.0), c(20.0), c(20.0), Percent::new(90.0), c(20.0), c(30.0));
        assert_eq!(flat.map(Hours::get), Ok(24.0));
    }

    /// The mean at 24 moments beside one at 100,000, to a tenth of a point, saturated nights among them.
    #[test]
    fn mean_agrees_with_a_finer_one() {
        let e0 = |t: f64| 0.6108 * (17.27 * t / (t + 237.3)).exp();
        for (low, high, dew) in
            [(15.0, 27.0, 16.0), (20.0, 33.0, 22.0), (5.0, 18.0, 4.0), (-10.0, 5.0, -12.0), (12.0, 12.5, 30.0)]
        {
            let n = 100_000;
            let sum: f64 = (0..n)
                .map(|i| (low + high) / 2.0 + (high - low) / 2.0 * (f64::from(i) / f64::from(n) * 2.0 * PI).sin())
                .map(|t| (100.0 * e0(dew) / e0(t)).min(100.0))
                .sum();
            let got = humidity_mean_sine(Celsius::new(low), Celsius::new(high), Celsius::new(dew))
                .map_or(f64::NAN, Percent::get);
            assert!((got - sum / f64::from(n)).abs() < 0.1, "{low} {high} {dew}: {got}");
        }
        let bad = humidity_mean_sine(Celsius::new(20.0), Celsius::new(10.0), Celsius::new(5.0));
        assert!(bad.is_err());
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// No band has more than the whole, and any floats give hours, a share or a refusal.
        #[test]
        fn bands_are_bounded(low in any::<f64>(), high in any::<f64>(), dew in any::<f64>(), a in -20.0..40.0f64, b in 0.0..20.0f64) {
            let c = Celsius::new;
            if let Ok(h) = humid_hours_between(c(low), c(high), c(dew), Percent::new(90.0), c(a), c(a + b)) {
                prop_assert!((0.0..=24.0).contains(&h.get()));
            }
            if let Ok(rh) = humidity_mean_sine(c(low), c(high), c(dew)) {
                prop_assert!((0.0..=100.0).contains(&rh.get()));
            }
        }

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

//! Degree-days: warmth above a base, added up, as the clock that insects and weeds live by.
//!
//! A threshold from a publication holds only for the method and base it was found with, so the methods stand beside each other.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, DegreeDays};
use crate::vapour::day_extremes;

/// Temperature below which nothing develops.
pub const BASE: Bound = Bound::new("base_c", -20.0, 40.0, "°C", "temperature below which nothing develops");
/// Temperature above which development gets no faster.
pub const UPPER: Bound = Bound::new("upper_c", -20.0, 60.0, "°C", "temperature above which development gets no faster");

/// How a day's two extremes become degree-days.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// `min((Tmax + Tmin)/2, upper) − base`, not below 0.
    Average,
    /// The extremes are brought into base ..= upper first, then averaged.
    ModifiedAverage,
    /// Area between a sine through the extremes and the base, cut flat at the upper threshold.
    SingleSine,
}

/// Degree-days of one day.
///
/// | method | formula |
/// | --- | --- |
/// | average | `max(min((Tmax + Tmin)/2, U) − B, 0)` |
/// | modified average | `(x(Tmax) + x(Tmin))/2 − B`, `x(T) = min(max(T, B), U)` |
/// | single sine | `A(B) − A(U)`; `A(θ) = M − θ` for `Tmin ≥ θ`, `0` for `Tmax ≤ θ`, else `((M − θ)(π/2 − s) + α cos s)/π`, `M = (Tmax + Tmin)/2`, `α = (Tmax − Tmin)/2`, `s = arcsin((θ − M)/α)` |
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `B` | base | °C | −20 ..= 40 |
/// | `U` | upper threshold, if any: a horizontal cutoff, above it development goes on no faster | °C | above `B`, ..= 60 |
///
/// A day in Celsius gives Celsius degree-days; ×1.8 for Fahrenheit ones (base and upper converted as temperatures).
///
/// Left out: vertical and intermediate cutoffs; the double sine, which uses the next day's minimum; triangles.
///
/// # Errors
/// [`ReckonError`] naming `base_c`, `upper_c`, `tmin_c` or `tmax_c`.
///
/// # Source
/// Averages: G. S. McMaster and W. W. Wilhelm, "Growing degree-days: one equation, two interpretations", Agricultural and
/// Forest Meteorology 87:291–300, 1997 (methods 1 and 2). Single sine: G. L. Baskerville and P. Emin, "Rapid estimation of
/// heat accumulation from maximum and minimum temperatures", Ecology 50:514–517, 1969; J. C. Allen, "A modified sine wave
/// method for calculating degree days", Environmental Entomology 5:388–396, 1976; horizontal cutoff: F. G. Zalom, P. B.
/// Goodell, L. T. Wilson, W. W. Barnett and W. J. Bentley, *Degree-days: the calculation and use of heat units in pest
/// management*, University of California leaflet 21373, 1983.
///
/// # Examples
/// A maize day of 90 and 60 °F, base 50, upper 86: (86 + 60)/2 − 50 = 23 °F-days.
/// ```
/// use reckon::degree_days::{Method, degree_days};
/// use reckon::units::from_fahrenheit as f;
/// let day = degree_days(Method::ModifiedAverage, f(50.0), Some(f(86.0)), f(60.0), f(90.0))?;
/// assert!((day.get() * 1.8 - 23.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn degree_days(
    method: Method,
    base: Celsius,
    upper: Option<Celsius>,
    tmin: Celsius,
    tmax: Celsius,
) -> Result<DegreeDays, ReckonError> {
    let base = BASE.check(base.get())?;
    let upper = match upper {
        None => f64::INFINITY,
        Some(upper) => {
            let upper = UPPER.check(upper.get())?;
            if upper <= base {
                return Err(ReckonError::Inconsistent {
                    field: UPPER.field,
                    message: format!("the upper threshold {upper} °C must be above the base {base} °C"),
                });
            }
            upper
        }
    };
    let (low, high) = day_extremes(tmin, tmax)?;
    let mean = (low + high) / 2.0;
    let found = match method {
        Method::Average => mean.min(upper) - base,
        Method::ModifiedAverage => (high.clamp(base, upper) + low.clamp(base, upper)) / 2.0 - base,
        Method::SingleSine => sine_above(base, low, high) - sine_above(upper, low, high),
    };
    Ok(DegreeDays::new(found.max(0.0)))
}

/// Mean over the day of the sine's height above a threshold, degree-days.
fn sine_above(threshold: f64, low: f64, high: f64) -> f64 {
    let mean = (low + high) / 2.0;
    if low >= threshold {
        return mean - threshold;
    }
    if high <= threshold {
        return 0.0;
    }
    let swing = (high - low) / 2.0;
    let crossing = ((threshold - mean) / swing).clamp(-1.0, 1.0).asin();
    ((mean - threshold) * (FRAC_PI_2 - crossing) + swing * crossing.cos()) / PI
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::from_fahrenheit as f;
    use proptest::prelude::*;

    const METHODS: [Method; 3] = [Method::Average, Method::ModifiedAverage, Method::SingleSine];

    fn fahrenheit_days(method: Method, base: f64, upper: Option<f64>, low: f64, high: f64) -> f64 {
        degree_days(method, f(base), upper.map(f), f(low), f(high)).map_or(f64::NAN, |d| d.get() * 1.8)
    }

    /// Rows in °F: method, base, upper, low, high, degree-days, tolerance. The averages by hand (they are sums); the sine rows
    /// by numeric integration of the sine in 0.001-degree steps of its phase, to 0.001.
    #[test]
    fn table() {
        use Method::{Average, ModifiedAverage, SingleSine};
        for (method, base, upper, low, high, want, tolerance) in [
            (Average, 50.0, None, 40.0, 70.0, 5.0, 1e-9),
            (Average, 50.0, None, 30.0, 60.0, 0.0, 1e-9),
            (Average, 50.0, Some(86.0), 80.0, 100.0, 36.0, 1e-9),
            (Average, 50.0, Some(86.0), 60.0, 90.0, 25.0, 1e-9),
            (ModifiedAverage, 50.0, Some(86.0), 60.0, 90.0, 23.0, 1e-9),
            (ModifiedAverage, 50.0, Some(86.0), 40.0, 70.0, 10.0, 1e-9),
            (ModifiedAverage, 50.0, Some(86.0), 30.0, 45.0, 0.0, 1e-9),
            (SingleSine, 50.0, None, 55.0, 75.0, 15.0, 1e-9),
            (SingleSine, 50.0, None, 30.0, 50.0, 0.0, 1e-9),
            // Base at the mean: swing / π.
            (SingleSine, 50.0, None, 40.0, 60.0, 10.0 / PI, 1e-9),
            (SingleSine, 50.0, Some(100.0), 40.0, 70.0, 7.542, 0.001),
            (SingleSine, 50.0, Some(86.0), 60.0, 100.0, 26.345, 0.001),
            (SingleSine, 50.0, Some(86.0), 40.0, 100.0, 18.820, 0.001),
            (SingleSine, 50.0, Some(86.0), 90.0, 100.0, 36.0, 1e-9),
        ] {
            let got = fahrenheit_days(method, base, upper, low, high);
            assert!((got - want).abs() <= tolerance, "{method:?} {base} {upper:?} {low}..{high}: {got} for {want}");
        }
    }

    /// The closed form of the sine agrees with summing it up in small steps, at and around both thresholds.
    #[test]
    fn sine_agrees_with_summing() {
        for (low, high) in
            [(-5.0, 8.0), (2.0, 14.0), (9.9, 10.1), (8.0, 35.0), (12.0, 31.0), (31.0, 33.0), (10.0, 30.0)]
        {
            let closed = degree_days(
                Method::SingleSine,
                Celsius::new(10.0),
                Some(Celsius::new(30.0)),
                Celsius::new(low),
                Celsius::new(high),
            );
            let (mean, swing) = ((low + high) / 2.0, (high - low) / 2.0);
            let n = 200_000;
            let sum: f64 = (0..n)
                .map(|i| {
                    (mean + swing * (2.0 * PI * (f64::from(i) + 0.5) / f64::from(n)).sin()).clamp(10.0, 30.0) - 10.0
                })
                .sum();
            assert!((closed.map_or(f64::NAN, DegreeDays::get) - sum / f64::from(n)).abs() < 1e-6, "{low}..{high}");
        }
    }

    /// Thresholds in the wrong order are refused by name.
    #[test]
    fn refusals() {
        let c = Celsius::new;
        let field = |r: Result<DegreeDays, ReckonError>| r.map_err(|e| e.field());
        assert_eq!(field(degree_days(Method::Average, c(10.0), Some(c(10.0)), c(5.0), c(9.0))), Err("upper_c"));
        assert_eq!(field(degree_days(Method::Average, c(99.0), None, c(5.0), c(9.0))), Err("base_c"));
        assert_eq!(field(degree_days(Method::Average, c(10.0), None, c(9.0), c(5.0))), Err("tmin_c"));
        assert_eq!(field(degree_days(Method::Average, c(10.0), None, c(9.0), c(f64::INFINITY))), Err("tmax_c"));
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// All methods: finite, not below 0, at most upper − base, growing with warmth, and equal when the day lies between
        /// the thresholds.
        #[test]
        fn invariants(low in -40.0..40.0f64, range in 0.0..20.0f64, warmer in 0.0..10.0f64, base in -10.0..20.0f64, span in 0.1..30.0f64) {
            let c = Celsius::new;
            let day = |m, d: f64| degree_days(m, c(base), Some(c(base + span)), c(low + d), c((low + range + d).min(60.0)))
                .map_or(f64::NAN, DegreeDays::get);
            for m in METHODS {
                let x = day(m, 0.0);
                prop_assert!(x.is_finite() && x >= 0.0 && x <= span + 1e-9);
                if low + range + warmer <= 60.0 { prop_assert!(day(m, warmer) >= x - 1e-9); }
            }
            if low >= base && low + range <= base + span {
                prop_assert!((day(METHODS[0], 0.0) - day(METHODS[1], 0.0)).abs() < 1e-9);
                prop_assert!((day(METHODS[0], 0.0) - day(METHODS[2], 0.0)).abs() < 1e-9);
            }
        }

        /// Any floats: an answer or a refusal.
        #[test]
        fn total(b in any::<f64>(), u in any::<f64>(), l in any::<f64>(), h in any::<f64>()) {
            let c = Celsius::new;
            for m in METHODS {
                for upper in [None, Some(c(u))] {
                    if let Ok(x) = degree_days(m, c(b), upper, c(l), c(h)) { prop_assert!(x.get().is_finite()); }
                }
            }
        }
    }
}

//! Water vapour in air: what saturates it, how steeply that grows with warmth, and how much is really there.
//!
//! Numbers in the text are equation numbers of FAO Irrigation and Drainage Paper 56 (see [`crate::evapotranspiration`] for
//! the full title). Pressures are kPa, temperatures °C.

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Kilopascals, Metres, Percent};

/// Lowest air temperature of a day.
pub const TMIN: Bound = Bound::new("tmin_c", -90.0, 60.0, "°C", "lowest air temperature of the day");
/// Highest air temperature of a day.
pub const TMAX: Bound = Bound::new("tmax_c", -90.0, 60.0, "°C", "highest air temperature of the day");
/// An air temperature on its own.
pub const TEMPERATURE: Bound = Bound::new("temperature_c", -90.0, 60.0, "°C", "air temperature");
/// Dew point.
pub const DEWPOINT: Bound = Bound::new("dewpoint_c", -90.0, 60.0, "°C", "dew point, mean of the day");
/// Lowest relative humidity of a day.
pub const RHMIN: Bound = Bound::new("rhmin_pct", 0.0, 100.0, "%", "lowest relative humidity of the day");
/// Highest relative humidity of a day.
pub const RHMAX: Bound = Bound::new("rhmax_pct", 0.0, 100.0, "%", "highest relative humidity of the day");
/// Mean relative humidity of a day.
pub const RHMEAN: Bound = Bound::new("rhmean_pct", 0.0, 100.0, "%", "mean relative humidity of the day");
/// Actual vapour pressure.
pub const VAPOUR_PRESSURE: Bound =
    Bound::new("vapour_pressure_kpa", 0.0, 20.0, "kPa", "actual vapour pressure, mean of the day");
/// Height above the sea.
pub const ELEVATION: Bound = Bound::new("elevation_m", -500.0, 9000.0, "m", "height above the sea");
/// Air pressure.
pub const PRESSURE: Bound = Bound::new("pressure_kpa", 25.0, 120.0, "kPa", "air pressure at the place");

/// Both ends of a day's temperature, each in its range and in order.
pub(crate) fn day_extremes(tmin: Celsius, tmax: Celsius) -> Result<(f64, f64), ReckonError> {
    let low = TMIN.check(tmin.get())?;
    let high = TMAX.check(tmax.get())?;
    if low > high {
        return Err(ReckonError::Inconsistent {
            field: TMIN.field,
            message: format!("the day's lowest temperature {low} °C is above its highest {high} °C; swap them"),
        });
    }
    Ok((low, high))
}

/// Eq. 11 on bare numbers.
pub(crate) fn e0(t: f64) -> f64 {
    0.6108 * (17.27 * t / (t + 237.3)).exp()
}

/// Eq. 13 on bare numbers.
pub(crate) fn slope(t: f64) -> f64 {
    4098.0 * e0(t) / (t + 237.3).powi(2)
}

/// Eq. 7 on bare numbers.
pub(crate) fn pressure(z: f64) -> f64 {
    101.3 * ((293.0 - 0.0065 * z) / 293.0).powf(5.26)
}

/// Eq. 8 on bare numbers.
pub(crate) fn gamma(pressure: f64) -> f64 {
    0.665e-3 * pressure
}

/// Vapour pressure at which air of one temperature is saturated.
///
/// `e0(T) = 0.6108 exp(17.27 T / (T + 237.3))`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `T` | air temperature | °C | −90 ..= 60 |
///
/// Left out: saturation over ice, which is lower below 0 °C.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `temperature_c`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 11.
///
/// # Examples
/// Example 3: 24.5 °C gives 3.075 kPa, 15 °C gives 1.705 kPa (printed to 0.001).
/// ```
/// use reckon::{units::Celsius, vapour::saturation_vapour_pressure};
/// let e = saturation_vapour_pressure(Celsius::new(24.5))?;
/// assert!((e.get() - 3.075).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn saturation_vapour_pressure(temperature: Celsius) -> Result<Kilopascals, ReckonError> {
    Ok(Kilopascals::new(e0(TEMPERATURE.check(temperature.get())?)))
}

/// Mean saturation vapour pressure of a day.
///
/// `es = (e0(Tmax) + e0(Tmin)) / 2`; never `e0` of the mean temperature, which comes out too low because the curve bends up.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
///
/// # Errors
/// [`ReckonError`] naming `tmin_c` or `tmax_c`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 12.
///
/// # Examples
/// Example 3: 15 to 24.5 °C gives 2.39 kPa.
/// ```
/// use reckon::{units::Celsius, vapour::mean_saturation_vapour_pressure};
/// let es = mean_saturation_vapour_pressure(Celsius::new(15.0), Celsius::new(24.5))?;
/// assert!((es.get() - 2.39).abs() < 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn mean_saturation_vapour_pressure(tmin: Celsius, tmax: Celsius) -> Result<Kilopascals, ReckonError> {
    let (low, high) = day_extremes(tmin, tmax)?;
    Ok(Kilopascals::new((e0(high) + e0(low)) / 2.0))
}

/// Slope of the saturation curve, kPa per °C.
///
/// `Δ = 4098 e0(T) / (T + 237.3)²`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `T` | air temperature | °C | −90 ..= 60 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `temperature_c`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 13.
///
/// # Examples
/// Example 18: 16.9 °C gives 0.122 kPa/°C.
/// ```
/// use reckon::{units::Celsius, vapour::saturation_slope};
/// assert!((saturation_slope(Celsius::new(16.9))? - 0.122).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn saturation_slope(temperature: Celsius) -> Result<f64, ReckonError> {
    Ok(slope(TEMPERATURE.check(temperature.get())?))
}

/// Air pressure of the standard atmosphere at a height.
///
/// `P = 101.3 ((293 − 0.0065 z) / 293)^5.26`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `z` | height above the sea | m | −500 ..= 9000 |
///
/// Left out: the day's weather, which moves the real pressure by a few per cent.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `elevation_m`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 7.
///
/// # Examples
/// Example 2: 1800 m gives 81.8 kPa.
/// ```
/// use reckon::{units::Metres, vapour::atmospheric_pressure};
/// assert!((atmospheric_pressure(Metres::new(1800.0))?.get() - 81.8).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn atmospheric_pressure(elevation: Metres) -> Result<Kilopascals, ReckonError> {
    Ok(Kilopascals::new(pressure(ELEVATION.check(elevation.get())?)))
}

/// Psychrometric constant, kPa per °C.
///
/// `γ = 0.665e-3 P`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `P` | air pressure | kPa | 25 ..= 120 |
///
/// The factor is the printed one; the constants behind it (1.013e-3, 0.622, 2.45) would give 0.6647e-3.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `pressure_kpa`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 8.
///
/// # Examples
/// Example 2: 81.8 kPa gives 0.054 kPa/°C.
/// ```
/// use reckon::{units::Kilopascals, vapour::psychrometric_constant};
/// assert!((psychrometric_constant(Kilopascals::new(81.8))? - 0.054).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn psychrometric_constant(pressure: Kilopascals) -> Result<f64, ReckonError> {
    Ok(gamma(PRESSURE.check(pressure.get())?))
}

/// What is known of the air's moisture on a day, best first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Lowest and highest relative humidity: `ea = (e0(Tmin) RHmax + e0(Tmax) RHmin) / 200` (eq. 17).
    MinMax {
        /// Lowest of the day.
        min: Percent,
        /// Highest of the day.
        max: Percent,
    },
    /// Highest relative humidity only, where the lowest is doubtful: `ea = e0(Tmin) RHmax / 100` (eq. 18).
    Maximum(Percent),
    /// Mean relative humidity: `ea = RHmean / 100 (e0(Tmax) + e0(Tmin)) / 2` (eq. 19); the last choice of the measured ones.
    Mean(Percent),
    /// Dew point: `ea = e0(Tdew)` (eq. 14).
    DewPoint(Celsius),
    /// The vapour pressure itself.
    VapourPressure(Kilopascals),
    /// Nothing measured: the dew point is taken to be the day's lowest temperature, `ea = e0(Tmin)` (eq. 48). Too moist in dry
    /// places, where the paper lowers `Tmin` by 2 to 3 °C.
    FromMinimum,
}

/// Actual vapour pressure of a day from whatever was measured.
///
/// Each form with its equation is told at [`Humidity`].
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `RHmin`, `RHmax`, `RHmean` | relative humidity | % | 0 ..= 100, in order |
/// | `Tdew` | dew point | °C | −90 ..= 60, and at most 1 °C above `Tmax` |
/// | `ea` | vapour pressure given | kPa | 0 ..= 20, same upper end |
///
/// On a foggy day the result may lie a little above the mean saturation pressure; it is not cut.
///
/// # Errors
/// [`ReckonError`] naming the field out of range, humidities in the wrong order, or more vapour than the day's warmest air holds.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 14, 17, 18, 19 and 48.
///
/// # Examples
/// Example 5: 18 to 25 °C, 54 to 82 % gives 1.70 kPa.
/// ```
/// use reckon::units::{Celsius, Percent};
/// use reckon::vapour::{Humidity, actual_vapour_pressure};
/// let humidity = Humidity::MinMax { min: Percent::new(54.0), max: Percent::new(82.0) };
/// let ea = actual_vapour_pressure(Celsius::new(18.0), Celsius::new(25.0), humidity)?;
/// assert!((ea.get() - 1.70).abs() < 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn actual_vapour_pressure(tmin: Celsius, tmax: Celsius, humidity: Humidity) -> Result<Kilopascals, ReckonError> {
    let (low, high) = day_extremes(tmin, tmax)?;
    actual(low, high, humidity).map(Kilopascals::new)
}

/// [`actual_vapour_pressure`] for extremes already checked.
pub(crate) fn actual(low: f64, high: f64, humidity: Humidity) -> Result<f64, ReckonError> {
    match humidity {
        Humidity::MinMax { min, max } => {
            let (min, max) = (RHMIN.check(min.get())?, RHMAX.check(max.get())?);
            if min > max {
                return Err(ReckonError::Inconsistent {
                    field: RHMIN.field,
                    message: format!("the lowest humidity {min} % is above the highest {max} %; swap them"),
                });
            }
            Ok((e0(low) * max / 100.0 + e0(high) * min / 100.0) / 2.0)
        }
        Humidity::Maximum(max) => Ok(e0(low) * RHMAX.check(max.get())? / 100.0),
        Humidity::Mean(mean) => Ok(RHMEAN.check(mean.get())? / 100.0 * (e0(high) + e0(low)) / 2.0),
        Humidity::DewPoint(dew) => {
            let dew = DEWPOINT.check(dew.get())?;
            if dew > high + SENSOR_ROUNDING {
                return Err(ReckonError::Inconsistent {
                    field: DEWPOINT.field,
                    message: format!("a dew point of {dew} °C cannot be above the day's highest temperature {high} °C"),
                });
            }
            Ok(e0(dew))
        }
        Humidity::VapourPressure(ea) => {
            let ea = VAPOUR_PRESSURE.check(ea.get())?;
            let most = e0(high + SENSOR_ROUNDING);
            if ea > most {
                return Err(ReckonError::Inconsistent {
                    field: VAPOUR_PRESSURE.field,
                    message: format!("{ea} kPa is more than air of {high} °C can hold ({:.3} kPa)", e0(high)),
                });
            }
            Ok(ea)
        }
        Humidity::FromMinimum => Ok(e0(low)),
    }
}

/// How far a station's dew point may stand above its highest temperature before they contradict each other, °C.
const SENSOR_ROUNDING: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn c(t: f64) -> Celsius {
        Celsius::new(t)
    }

    /// Examples 3 and 5 of the paper, digit by digit.
    #[test]
    fn printed_examples() {
        let near = |got: f64, want: f64, half_digit: f64| assert!((got - want).abs() <= half_digit, "{got} for {want}");
        near(e0(24.5), 3.075, 0.0005);
        near(e0(15.0), 1.705, 0.0005);
        near(e0(19.75), 2.30, 0.005);
        near(pressure(1800.0), 81.756, 0.0005);
        near(gamma(pressure(1800.0)), 0.05437, 0.000_005);
        let five = |h| actual(18.0, 25.0, h).unwrap_or(f64::NAN);
        near(five(Humidity::MinMax { min: Percent::new(54.0), max: Percent::new(82.0) }), 1.70, 0.005);
        near(five(Humidity::Maximum(Percent::new(82.0))), 1.69, 0.005);
        near(five(Humidity::Mean(Percent::new(68.0))), 1.78, 0.005);
        near(five(Humidity::FromMinimum), 2.0639, 0.0005);
        near(five(Humidity::DewPoint(c(15.0))), 1.7053, 0.0005);
    }

    /// Contradictions are refused and name the field to change.
    #[test]
    fn contradictions_are_refused() {
        let field = |r: Result<Kilopascals, ReckonError>| r.map_err(|e| e.field());
        assert_eq!(field(mean_saturation_vapour_pressure(c(20.0), c(10.0))), Err("tmin_c"));
        assert_eq!(field(actual_vapour_pressure(c(5.0), c(10.0), Humidity::DewPoint(c(12.0)))), Err("dewpoint_c"));
        let swapped = Humidity::MinMax { min: Percent::new(90.0), max: Percent::new(50.0) };
        assert_eq!(field(actual_vapour_pressure(c(5.0), c(10.0), swapped)), Err("rhmin_pct"));
        let wet = Humidity::VapourPressure(Kilopascals::new(3.0));
        assert_eq!(field(actual_vapour_pressure(c(5.0), c(10.0), wet)), Err("vapour_pressure_kpa"));
        assert_eq!(field(saturation_vapour_pressure(c(f64::NAN))), Err("temperature_c"));
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Warmer air holds more, more steeply, and nothing in range is not a number.
        #[test]
        fn saturation_grows(a in -90.0..60.0f64, d in 0.001..20.0f64) {
            let b = (a + d).min(60.0);
            prop_assert!(e0(b) >= e0(a) && slope(b) >= slope(a) && e0(a) > 0.0);
        }

        /// Any float at all gives an answer or a refusal.
        #[test]
        fn total(a in any::<f64>(), b in any::<f64>(), h in any::<f64>()) {
            for humidity in [Humidity::Mean(Percent::new(h)), Humidity::DewPoint(c(h)), Humidity::Maximum(Percent::new(h)),
                Humidity::VapourPressure(Kilopascals::new(h)), Humidity::FromMinimum] {
                if let Ok(e) = actual_vapour_pressure(c(a), c(b), humidity) { prop_assert!(e.get().is_finite()); }
            }
        }
    }
}

//! The moisture of a day's air, from whatever of it was measured.

use reckon::humid_hours::humidity_mean_sine;
use reckon::units::Celsius;
use reckon::vapour::{Humidity, actual_vapour_pressure};

/// Dew point (°C) and mean relative humidity (%) of a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Dew point (°C).
    pub dew_point_c: f64,
    /// Mean relative humidity (%): measured, or that of a sine through the extremes at the dew point.
    pub humidity_mean_pct: f64,
    /// Whether that mean was measured.
    pub mean_measured: bool,
}

/// The air of a day; what contradicts itself falls back on a dew point at the day's minimum (FAO-56 eq. 48).
pub(crate) fn air(tmin: Celsius, tmax: Celsius, humidity: Humidity, measured_mean_pct: Option<f64>) -> Air {
    let vapour = actual_vapour_pressure(tmin, tmax, humidity)
        .or_else(|_| actual_vapour_pressure(tmin, tmax, Humidity::FromMinimum))
        .map_or(f64::NAN, |ea| ea.get());
    // FAO-56 eq. 11 told backwards.
    let x = (vapour / 0.6108).ln();
    let dew = 237.3 * x / (17.27 - x);
    let dew = if dew.is_finite() { dew.clamp(-90.0, tmax.get()) } else { tmin.get() };
    let mean = measured_mean_pct
        .or_else(|| humidity_mean_sine(tmin, tmax, Celsius::new(dew)).ok().map(|rh| rh.get()))
        .unwrap_or(100.0);
    Air { dew_point_c: dew, humidity_mean_pct: mean.clamp(0.0, 100.0), mean_measured: measured_mean_pct.is_some() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckon::units::Percent;

    /// FAO-56 example 5: 18 to 25 °C and 54 to 82 % is 1.70 kPa, which eq. 11 makes a dew point of 14.96 °C.
    #[test]
    fn example_5() {
        let humidity = Humidity::MinMax { min: Percent::new(54.0), max: Percent::new(82.0) };
        let a = air(Celsius::new(18.0), Celsius::new(25.0), humidity, Some(68.0));
        assert!((a.dew_point_c - 14.96).abs() < 0.1 && a.humidity_mean_pct == 68.0, "{a:?}");
    }

    /// Nothing measured: the dew point is the minimum; a dew point far above the air is not believed.
    #[test]
    fn falls_back() {
        for humidity in [Humidity::FromMinimum, Humidity::DewPoint(Celsius::new(45.0))] {
            let a = air(Celsius::new(12.0), Celsius::new(24.0), humidity, None);
            assert!((a.dew_point_c - 12.0).abs() < 1e-6 && (60.0..75.0).contains(&a.humidity_mean_pct), "{a:?}");
        }
    }
}

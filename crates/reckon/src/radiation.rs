//! Sunshine at the top of the air, at the ground, and what the grass keeps of it.
//!
//! Everything is a day's total in MJ/m². Numbers in the text are equation numbers of FAO Irrigation and Drainage Paper 56.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Degrees, Hours, Kilopascals, MegajoulesPerSquareMetre, Metres};
use crate::vapour::{ELEVATION, VAPOUR_PRESSURE, day_extremes};

/// Latitude, north positive.
pub const LATITUDE: Bound = Bound::new("latitude_deg", -90.0, 90.0, "°", "latitude, north positive");
/// Day of the year, 1 January = 1.
pub const DAY_OF_YEAR: Bound = Bound::new("day_of_year", 1.0, 366.0, "", "day of the year, 1 January = 1");
/// Bright sunshine in a day.
pub const SUNSHINE: Bound = Bound::new("sunshine_h", 0.0, 24.0, "h", "hours of bright sunshine");
/// Solar radiation on level ground in a day.
pub const SOLAR: Bound = Bound::new("solar_mj_m2", 0.0, 50.0, "MJ/m²", "solar radiation on level ground in a day");
/// Solar radiation of a cloudless day, or at the top of the air.
pub const SOLAR_LIMIT: Bound = Bound::new("clear_sky_mj_m2", 0.0, 60.0, "MJ/m²", "radiation of a cloudless day");

/// Solar constant, MJ/m²/min (paper 56, with eq. 21).
const SOLAR_CONSTANT: f64 = 0.0820;
/// Share of sunshine that short grass sends back (eq. 38).
const ALBEDO: f64 = 0.23;
/// Stefan–Boltzmann constant, MJ/K⁴/m²/day, as printed with eq. 39.
const STEFAN_BOLTZMANN: f64 = 4.903e-9;
/// Cloudiness taken when the sun does not rise and `Rs / Rso` is 0/0: the middle of the 0.4 to 0.6 that the paper offers for
/// humid places where the ratio cannot be had.
const RATIO_WITHOUT_SUN: f64 = 0.5;
/// Minutes by which a sunshine recorder may run past the computed day length before the two contradict each other, in hours.
const SUNSHINE_SLACK: f64 = 0.5;

/// The sun over one place on one day, before any air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extraterrestrial {
    /// `Ra`, the day's radiation on a level plane at the top of the air.
    pub radiation: MegajoulesPerSquareMetre,
    /// `N`, longest possible sunshine.
    pub daylight: Hours,
    /// `dr`, inverse relative distance earth–sun (about 0.967 to 1.033).
    pub inverse_distance: f64,
    /// `δ`, the sun's declination, radians.
    pub declination_rad: f64,
    /// `ωs`, sunset hour angle, radians: 0 where the sun does not rise, π where it does not set.
    pub sunset_angle_rad: f64,
}

/// Radiation at the top of the air, and day length.
///
/// `Ra = 24·60/π · 0.0820 · dr (ωs sin φ sin δ + cos φ cos δ sin ωs)`, `N = 24 ωs / π`, with
/// `dr = 1 + 0.033 cos(2π J/365)`, `δ = 0.409 sin(2π J/365 − 1.39)`, `ωs = arccos(−tan φ tan δ)`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `φ` | latitude, north positive | ° | −90 ..= 90 |
/// | `J` | day of the year | – | 1 ..= 366 |
///
/// Beyond the polar circles the argument of the arc cosine is held to −1 ..= 1: a polar night gives 0 MJ/m² and 0 h, a
/// midnight sun 24 h. Left out: refraction and the sun's width, which lengthen a real day by some ten minutes.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `latitude_deg` or `day_of_year`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 21 to 25 and 34.
///
/// # Examples
/// Examples 8 and 9: 20° S on 3 September: 32.2 MJ/m² and 11.7 h.
/// ```
/// use reckon::{radiation::extraterrestrial_radiation, units::Degrees};
/// let sun = extraterrestrial_radiation(Degrees::new(-20.0), 246)?;
/// assert!((sun.radiation.get() - 32.2).abs() < 0.05);
/// assert!((sun.daylight.get() - 11.7).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn extraterrestrial_radiation(latitude: Degrees, day_of_year: u16) -> Result<Extraterrestrial, ReckonError> {
    let phi = LATITUDE.check(latitude.get())?.to_radians();
    let turn = 2.0 * PI * DAY_OF_YEAR.check(f64::from(day_of_year))? / 365.0;
    let inverse_distance = 1.0 + 0.033 * turn.cos();
    let delta = 0.409 * (turn - 1.39).sin();
    let sunset = (-phi.tan() * delta.tan()).clamp(-1.0, 1.0).acos();
    let beam = sunset * phi.sin() * delta.sin() + phi.cos() * delta.cos() * sunset.sin();
    let radiation = (24.0 * 60.0 / PI * SOLAR_CONSTANT * inverse_distance * beam).max(0.0);
    Ok(Extraterrestrial {
        radiation: MegajoulesPerSquareMetre::new(radiation),
        daylight: Hours::new(24.0 / PI * sunset),
        inverse_distance,
        declination_rad: delta,
        sunset_angle_rad: sunset,
    })
}

/// Solar radiation from the hours of bright sunshine.
///
/// `Rs = (0.25 + 0.50 n/N) Ra`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `n` | bright sunshine | h | 0 ..= 24, and at most half an hour over `N` |
/// | `N`, `Ra` | day length, radiation above the air | h, MJ/m² | see [`extraterrestrial_radiation`] |
///
/// `n/N` is held to 1; without a sunrise the result is 0. Left out: local values of the two coefficients.
///
/// # Errors
/// [`ReckonError`] naming `sunshine_h`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 35 with the default coefficients.
///
/// # Examples
/// Example 10: Rio de Janeiro in May, 7.1 h a day: 14.5 MJ/m².
/// ```
/// use reckon::radiation::{extraterrestrial_radiation, solar_from_sunshine};
/// use reckon::units::{Degrees, Hours};
/// let sun = extraterrestrial_radiation(Degrees::new(-22.9), 135)?;
/// let solar = solar_from_sunshine(Hours::new(220.0 / 31.0), &sun)?;
/// assert!((solar.get() - 14.5).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn solar_from_sunshine(
    sunshine: Hours,
    extraterrestrial: &Extraterrestrial,
) -> Result<MegajoulesPerSquareMetre, ReckonError> {
    let n = SUNSHINE.check(sunshine.get())?;
    let possible = extraterrestrial.daylight.get();
    if n > possible + SUNSHINE_SLACK {
        return Err(ReckonError::Inconsistent {
            field: SUNSHINE.field,
            message: format!(
                "{n} h of sunshine is more than the {possible:.1} h the sun is up; check latitude and date"
            ),
        });
    }
    let share = if possible > 0.0 { (n / possible).min(1.0) } else { 0.0 };
    Ok(extraterrestrial.radiation * (0.25 + 0.50 * share))
}

/// Where a place lies, for [`solar_from_temperature_range`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Siting {
    /// Land rules the air: coefficient 0.16.
    Inland,
    /// On or near the coast of a large water: coefficient 0.19.
    Coast,
}

/// Solar radiation from the day's temperature range, where nothing about the sun was measured.
///
/// `Rs = kRs sqrt(Tmax − Tmin) Ra`, and not above the clear-sky radiation of [`clear_sky`].
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `kRs` | 0.16 inland, 0.19 coast | °C^−0.5 | [`Siting`] |
/// | `z` | height above the sea, for the cap | m | −500 ..= 9000 |
///
/// Left out: islands, and fronts that move the temperature without the sun.
///
/// # Errors
/// [`ReckonError`] naming `tmin_c`, `tmax_c` or `elevation_m`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 50.
///
/// # Examples
/// Example 15: near Lyon in July, 14.8 to 26.6 °C: 22.3 MJ/m².
/// ```
/// use reckon::radiation::{Siting, extraterrestrial_radiation, solar_from_temperature_range};
/// use reckon::units::{Celsius, Degrees, Metres};
/// let sun = extraterrestrial_radiation(Degrees::new(45.72), 196)?;
/// let solar = solar_from_temperature_range(
///     Celsius::new(14.8), Celsius::new(26.6), &sun, Metres::new(200.0), Siting::Inland)?;
/// assert!((solar.get() - 22.3).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn solar_from_temperature_range(
    tmin: Celsius,
    tmax: Celsius,
    extraterrestrial: &Extraterrestrial,
    elevation: Metres,
    siting: Siting,
) -> Result<MegajoulesPerSquareMetre, ReckonError> {
    let (low, high) = day_extremes(tmin, tmax)?;
    let k = match siting {
        Siting::Inland => 0.16,
        Siting::Coast => 0.19,
    };
    let limit = clear_sky(extraterrestrial, elevation)?;
    Ok((extraterrestrial.radiation * (k * (high - low).sqrt())).min(limit))
}

/// Solar radiation of a cloudless day.
///
/// `Rso = (0.75 + 2e-5 z) Ra`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `z` | height above the sea | m | −500 ..= 9000 |
///
/// Left out: haze and low sun, for which the paper's annex has a longer form.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `elevation_m`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 37.
pub fn clear_sky(
    extraterrestrial: &Extraterrestrial,
    elevation: Metres,
) -> Result<MegajoulesPerSquareMetre, ReckonError> {
    let z = ELEVATION.check(elevation.get())?;
    Ok(extraterrestrial.radiation * (0.75 + 2e-5 * z))
}

/// What grass takes in and gives off in a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NetRadiation {
    /// `Rns`, sunshine kept.
    pub shortwave: MegajoulesPerSquareMetre,
    /// `Rnl`, heat given off to the sky.
    pub longwave: MegajoulesPerSquareMetre,
    /// `Rn = Rns − Rnl`.
    pub net: MegajoulesPerSquareMetre,
}

/// Net radiation of the grass reference surface.
///
/// `Rns = 0.77 Rs`; `Rnl = 4.903e-9 · ((Tmax + 273.16)⁴ + (Tmin + 273.16)⁴)/2 · (0.34 − 0.14 sqrt(ea)) · (1.35 min(Rs/Rso, 1) − 0.35)`;
/// `Rn = Rns − Rnl`. The fourth powers are averaged, not the temperatures.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `ea` | actual vapour pressure | kPa | 0 ..= 20 |
/// | `Rs`, `Rso` | solar radiation, of this day and of a cloudless one | MJ/m² | 0 ..= 50, 0 ..= 60 |
///
/// Where the sun does not rise `Rs/Rso` is 0/0 and 0.5 is taken. No lower limit is put on `Rs/Rso`: below 0.26 the sky gives
/// heat back, as the equation says.
///
/// # Errors
/// [`ReckonError`] naming `tmin_c`, `tmax_c`, `vapour_pressure_kpa`, `solar_mj_m2` or `clear_sky_mj_m2`.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 38 to 40.
pub fn net_radiation(
    tmin: Celsius,
    tmax: Celsius,
    vapour_pressure: Kilopascals,
    solar: MegajoulesPerSquareMetre,
    clear_sky: MegajoulesPerSquareMetre,
) -> Result<NetRadiation, ReckonError> {
    let (low, high) = day_extremes(tmin, tmax)?;
    let ea = VAPOUR_PRESSURE.check(vapour_pressure.get())?;
    let rs = SOLAR.check(solar.get())?;
    let rso = SOLAR_LIMIT.check(clear_sky.get())?;
    Ok(net(low, high, ea, rs, rso))
}

/// [`net_radiation`] for numbers already checked.
pub(crate) fn net(low: f64, high: f64, ea: f64, rs: f64, rso: f64) -> NetRadiation {
    let ratio = if rso > 0.0 {
        (rs / rso).min(1.0)
    } else if rs > 0.0 {
        1.0
    } else {
        RATIO_WITHOUT_SUN
    };
    let rns = (1.0 - ALBEDO) * rs;
    let emitted = STEFAN_BOLTZMANN * ((high + 273.16).powi(4) + (low + 273.16).powi(4)) / 2.0;
    let rnl = emitted * (0.34 - 0.14 * ea.sqrt()) * (1.35 * ratio - 0.35);
    NetRadiation {
        shortwave: MegajoulesPerSquareMetre::new(rns),
        longwave: MegajoulesPerSquareMetre::new(rnl),
        net: MegajoulesPerSquareMetre::new(rns - rnl),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sun(latitude: f64, day: u16) -> Extraterrestrial {
        match extraterrestrial_radiation(Degrees::new(latitude), day) {
            Ok(sun) => sun,
            Err(e) => panic!("{e}"),
        }
    }

    /// Example 8 step by step, and Ra and N of Examples 9, 10, 17 and 18, to the printed digits; the last row is Example 20's
    /// place, its day length worked by hand.
    #[test]
    fn printed_examples() {
        let near = |got: f64, want: f64, half_digit: f64| assert!((got - want).abs() <= half_digit, "{got} for {want}");
        let eight = sun(-20.0, 246);
        near(eight.inverse_distance, 0.985, 0.0005);
        near(eight.declination_rad, 0.120, 0.0005);
        near(eight.sunset_angle_rad, 1.527, 0.0005);
        near(eight.radiation.get(), 32.2, 0.05);
        near(eight.daylight.get(), 11.7, 0.05);
        // latitude, day, Ra, half a printed digit, N, half a printed digit
        for (lat, day, ra, ra_half, n, n_half) in [
            (-22.9, 135, 25.1, 0.05, 10.9, 0.05),
            (13.0 + 44.0 / 60.0, 105, 38.06, 0.005, 12.31, 0.005),
            (50.8, 187, 41.09, 0.005, 16.1, 0.05),
            (45.72, 196, 40.6, 0.05, 15.2, 0.05),
        ] {
            near(sun(lat, day).radiation.get(), ra, ra_half);
            near(sun(lat, day).daylight.get(), n, n_half);
        }
    }

    /// The poles in June and December: no sun at all, or all day.
    #[test]
    fn polar_night_and_midnight_sun() {
        assert_eq!(sun(90.0, 355).radiation.get(), 0.0);
        assert_eq!(sun(75.0, 355).daylight.get(), 0.0);
        assert!((sun(75.0, 172).daylight.get() - 24.0).abs() < 1e-9);
        let dark = sun(75.0, 355);
        assert_eq!(solar_from_sunshine(Hours::new(0.0), &dark).map(|s| s.get()), Ok(0.0));
        assert!(net(-30.0, -20.0, 0.05, 0.0, 0.0).net.get().is_finite());
    }

    /// More sunshine than daylight is refused; a recorder's few minutes are not.
    #[test]
    fn sunshine_against_daylight() {
        let day = sun(40.0, 355);
        assert_eq!(solar_from_sunshine(Hours::new(14.0), &day).map_err(|e| e.field()), Err("sunshine_h"));
        let full = solar_from_sunshine(Hours::new(day.daylight.get() + 0.2), &day);
        assert!(full.is_ok_and(|s| (s.get() - 0.75 * day.radiation.get()).abs() < 1e-12));
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Every place and day has a finite sun between 0 and 24 h, below the largest radiation of the planet.
        #[test]
        fn finite_everywhere(lat in -90.0..=90.0f64, day in 1u16..=366) {
            let s = sun(lat, day);
            prop_assert!((0.0..=24.0 + 1e-9).contains(&s.daylight.get()));
            prop_assert!((0.0..50.0).contains(&s.radiation.get()));
        }

        /// More sun never means less net radiation to the grass under the same sky.
        #[test]
        fn more_sun_more_shortwave(lat in -60.0..60.0f64, day in 1u16..=366, share in 0.0..1.0f64, more in 0.0..1.0f64) {
            let s = sun(lat, day);
            let at = |x: f64| solar_from_sunshine(s.daylight * x.min(1.0), &s).map_or(f64::NAN, |r| r.get());
            prop_assert!(at(share + more) >= at(share));
        }

        /// The range method stays at or under the cloudless day.
        #[test]
        fn range_method_is_capped(lat in -90.0..=90.0f64, day in 1u16..=366, t in -40.0..30.0f64, d in 0.0..30.0f64) {
            let s = sun(lat, day);
            let z = Metres::new(100.0);
            let rs = solar_from_temperature_range(Celsius::new(t), Celsius::new(t + d), &s, z, Siting::Coast);
            prop_assert!(rs.is_ok_and(|rs| rs.get() <= s.radiation.get() * 0.752 + 1e-9 && rs.get() >= 0.0));
        }
    }
}

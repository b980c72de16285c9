//! Reference evapotranspiration: the water a well-watered lawn of even height would use in a day.
//!
//! Two models: [`et0_penman_monteith_fao56`] where humidity, wind and sun are known or estimated, and
//! [`et0_hargreaves_samani`] where only temperatures are. Numbers in the text are equation numbers of R. G. Allen, L. S.
//! Pereira, D. Raes and M. Smith, *Crop evapotranspiration: guidelines for computing crop water requirements*, FAO Irrigation
//! and Drainage Paper 56, 1998.

use rayon::prelude::*;

use crate::error::ReckonError;
use crate::radiation::{self, Extraterrestrial, SOLAR};
use crate::units::{
    Celsius, Degrees, Hours, Kilopascals, MegajoulesPerSquareMetre, Metres, MetresPerSecond, Millimetres,
};
use crate::vapour;
use crate::wind;
use crate::working::{Step, Value};

pub use crate::radiation::Siting;
pub use crate::vapour::Humidity;

/// What is known of a day's sunshine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Radiation {
    /// Measured solar radiation on level ground.
    Solar(MegajoulesPerSquareMetre),
    /// Hours of bright sunshine (eq. 35).
    Sunshine(Hours),
    /// Nothing measured: from the day's temperature range (eq. 50).
    FromTemperatureRange(Siting),
}

/// One day's weather at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Et0Input {
    /// Latitude, north positive.
    pub latitude: Degrees,
    /// Height above the sea.
    pub elevation: Metres,
    /// Day of the year, 1 January = 1.
    pub day_of_year: u16,
    /// Lowest air temperature.
    pub tmin: Celsius,
    /// Highest air temperature.
    pub tmax: Celsius,
    /// Mean wind speed at `wind_height`.
    pub wind: MetresPerSecond,
    /// Height of the wind gauge; 2 m needs no correction.
    pub wind_height: Metres,
    /// What is known of the air's moisture.
    pub humidity: Humidity,
    /// What is known of the sunshine.
    pub radiation: Radiation,
}

/// Reference evapotranspiration with the intermediates that outside checks compare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Et0 {
    /// Reference evapotranspiration of the day.
    pub et0: Millimetres,
    /// `Rn`, net radiation.
    pub net_radiation: MegajoulesPerSquareMetre,
    /// `es − ea`; a little below 0 on a foggy day whose humidity came from dew point.
    pub vapour_deficit: Kilopascals,
    /// `Δ`, slope of the saturation curve, kPa/°C.
    pub slope_kpa_c: f64,
    /// `γ`, psychrometric constant, kPa/°C.
    pub gamma_kpa_c: f64,
}

/// Daily reference evapotranspiration over grass, Penman–Monteith as FAO-56 sets it.
///
/// `ET0 = (0.408 Δ (Rn − G) + γ 900/(T + 273) u2 (es − ea)) / (Δ + γ (1 + 0.34 u2))`, `T = (Tmax + Tmin)/2`, `G = 0`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `u2` | wind at 2 m, from a gauge at 0.5 ..= 100 m (eq. 47) | m/s | 0 ..= 100 |
/// | `es`, `ea` | saturation and actual vapour pressure (eq. 12; [`Humidity`]) | kPa | |
/// | `Rn` | net radiation (eq. 38 to 40) from `Rs` given, or eq. 35, or eq. 50 | MJ/m² | `Rs` 0 ..= 50 |
/// | `Δ`, `γ` | slope (eq. 13) and psychrometric constant (eq. 7, 8) | kPa/°C | |
/// | `φ`, `J`, `z` | latitude, day of the year, height | °, –, m | ±90, 1 ..= 366, −500 ..= 9000 |
///
/// A result below 0 (dew, in some dark winter days) is given as 0. Measured `Rs` above the clear-sky value is used as it is,
/// only the cloud factor stops at 1. The paper's least wind of 0.5 m/s is **not** applied here: see
/// [`wind::wind_not_below_least`].
///
/// Left out: heat going into the ground (0 over a day; months need eq. 43 or 44), the hourly form, the tall reference crop.
///
/// # Errors
/// [`ReckonError`] naming the field out of range or in contradiction.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 6.
///
/// # Examples
/// Example 18, Brussels on 6 July: 3.88 mm (3.9 printed; every intermediate is in this module's tests).
/// ```
/// use reckon::evapotranspiration::{Et0Input, Humidity, Radiation, et0_penman_monteith_fao56};
/// use reckon::units::{Celsius, Degrees, Hours, Metres, MetresPerSecond, Percent};
/// let day = Et0Input {
///     latitude: Degrees::new(50.8),
///     elevation: Metres::new(100.0),
///     day_of_year: 187,
///     tmin: Celsius::new(12.3),
///     tmax: Celsius::new(21.5),
///     wind: MetresPerSecond::new(10.0 / 3.6),
///     wind_height: Metres::new(10.0),
///     humidity: Humidity::MinMax { min: Percent::new(63.0), max: Percent::new(84.0) },
///     radiation: Radiation::Sunshine(Hours::new(9.25)),
/// };
/// assert!((et0_penman_monteith_fao56(&day)?.et0.get() - 3.88).abs() < 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn et0_penman_monteith_fao56(day: &Et0Input) -> Result<Et0, ReckonError> {
    Parts::of(day, &mut Afresh).map(|p| p.answer())
}

/// [`et0_penman_monteith_fao56`] of many days, each answered as if alone, to the last bit.
///
/// What days share is worked out once: the sun of a latitude on a day of the year, the air pressure of a height above the sea,
/// the wind profile of a gauge. Days of few places in any order gain most. A large batch is spread over the machine's cores.
///
/// # Errors
/// Each day's own, in its place: those of [`et0_penman_monteith_fao56`].
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 6.
///
/// # Examples
/// ```
/// use reckon::evapotranspiration::{
///     Et0Input, Humidity, Radiation, et0_penman_monteith_fao56, et0_penman_monteith_fao56_batch,
/// };
/// use reckon::units::{Celsius, Degrees, Hours, Metres, MetresPerSecond, Percent};
/// let day = |day_of_year| Et0Input {
///     latitude: Degrees::new(50.8),
///     elevation: Metres::new(100.0),
///     day_of_year,
///     tmin: Celsius::new(12.3),
///     tmax: Celsius::new(21.5),
///     wind: MetresPerSecond::new(10.0 / 3.6),
///     wind_height: Metres::new(10.0),
///     humidity: Humidity::MinMax { min: Percent::new(63.0), max: Percent::new(84.0) },
///     radiation: Radiation::Sunshine(Hours::new(9.25)),
/// };
/// let found = et0_penman_monteith_fao56_batch(&[day(187), day(0)]);
/// assert_eq!(found[0], et0_penman_monteith_fao56(&day(187)));
/// assert_eq!(found[1].as_ref().map_err(|e| e.field()), Err("day_of_year"));
/// ```
pub fn et0_penman_monteith_fao56_batch(days: &[Et0Input]) -> Vec<Result<Et0, ReckonError>> {
    let answer = |kept: &mut Kept, day: &Et0Input| Parts::of(day, kept).map(|p| p.answer());
    if days.len() < ET0_SPREAD_FROM {
        let mut kept = Kept::new();
        days.iter().map(|day| answer(&mut kept, day)).collect()
    } else {
        days.par_iter().with_min_len(ET0_SPREAD_FROM / 4).map_init(Kept::new, answer).collect()
    }
}

/// Days from which a batch is spread over several cores; below it, starting them costs more than it saves.
const ET0_SPREAD_FROM: usize = 32_768;

/// [`et0_penman_monteith_fao56`] and [`et0_working`] in one, computed once.
///
/// # Errors
/// The same as the plain computation.
///
/// # Source
/// As the two.
pub fn et0_with_working(day: &Et0Input) -> Result<(Et0, Vec<Step>), ReckonError> {
    let p = Parts::of(day, &mut Afresh)?;
    Ok((p.answer(), p.working(day)))
}

/// The working under [`et0_penman_monteith_fao56`]: every intermediate in the order a person would compute it.
///
/// # Errors
/// The same as the plain computation.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), box 11 (calculation sheet).
pub fn et0_working(day: &Et0Input) -> Result<Vec<Step>, ReckonError> {
    Ok(Parts::of(day, &mut Afresh)?.working(day))
}

/// Daily reference evapotranspiration from temperatures alone, Hargreaves–Samani.
///
/// `ET0 = 0.0023 (T + 17.8) sqrt(Tmax − Tmin) · 0.408 Ra`, `T = (Tmax + Tmin)/2`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmin`, `Tmax` | the day's extremes | °C | −90 ..= 60, in order |
/// | `φ`, `J` | latitude, day of the year | °, – | ±90, 1 ..= 366 |
///
/// Below a mean of −17.8 °C the equation turns negative; 0 is given. Best over 10 days or more; runs low in wind above 3 m/s
/// and high in damp air.
///
/// # Errors
/// [`ReckonError`] naming `latitude_deg`, `day_of_year`, `tmin_c` or `tmax_c`.
///
/// # Source
/// G. H. Hargreaves and Z. A. Samani, "Reference crop evapotranspiration from temperature", Applied Engineering in
/// Agriculture 1(2):96–99, 1985; FAO Irrigation and Drainage Paper 56 (1998), eq. 52.
///
/// # Examples
/// Example 20, near Lyon in July: 5.0 mm.
/// ```
/// use reckon::evapotranspiration::et0_hargreaves_samani;
/// use reckon::units::{Celsius, Degrees};
/// let et0 = et0_hargreaves_samani(Degrees::new(45.72), 196, Celsius::new(14.8), Celsius::new(26.6))?;
/// assert!((et0.get() - 5.0).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn et0_hargreaves_samani(
    latitude: Degrees,
    day_of_year: u16,
    tmin: Celsius,
    tmax: Celsius,
) -> Result<Millimetres, ReckonError> {
    let sun = radiation::extraterrestrial_radiation(latitude, day_of_year)?;
    let (low, high) = vapour::day_extremes(tmin, tmax)?;
    let t = (low + high) / 2.0;
    let ra_mm = 0.408 * sun.radiation.get();
    Ok(Millimetres::new((0.0023 * (t + 17.8) * (high - low).sqrt() * ra_mm).max(0.0)))
}

/// What depends on the place and the date alone, and so is the same for many days.
trait Shared {
    fn wind_at_2m(&mut self, speed: MetresPerSecond, height: Metres) -> Result<f64, ReckonError>;
    fn pressure(&mut self, elevation: Metres) -> Result<f64, ReckonError>;
    fn sun(&mut self, latitude: Degrees, day_of_year: u16) -> Result<Extraterrestrial, ReckonError>;
}

/// Everything worked out as it is asked for.
struct Afresh;

impl Shared for Afresh {
    fn wind_at_2m(&mut self, speed: MetresPerSecond, height: Metres) -> Result<f64, ReckonError> {
        wind::wind_at_2m(speed, height).map(MetresPerSecond::get)
    }

    fn pressure(&mut self, elevation: Metres) -> Result<f64, ReckonError> {
        vapour::ELEVATION.check(elevation.get()).map(vapour::pressure)
    }

    fn sun(&mut self, latitude: Degrees, day_of_year: u16) -> Result<Extraterrestrial, ReckonError> {
        radiation::extraterrestrial_radiation(latitude, day_of_year)
    }
}

/// The same figures, kept for the next day that needs them. Keys are not a number until something is kept, which equals
/// nothing; only what passed its check is kept.
struct Kept {
    height: f64,
    profile: f64,
    elevation: f64,
    pressure: f64,
    /// For each day of the year, the latitude last asked for and its sun.
    suns: Vec<(f64, Extraterrestrial)>,
}

impl Kept {
    fn new() -> Self {
        let none = Extraterrestrial {
            radiation: MegajoulesPerSquareMetre::new(0.0),
            daylight: Hours::new(0.0),
            inverse_distance: 0.0,
            declination_rad: 0.0,
            sunset_angle_rad: 0.0,
        };
        let suns = vec![(f64::NAN, none); radiation::DAY_OF_YEAR.max as usize + 1];
        Self { height: f64::NAN, profile: 0.0, elevation: f64::NAN, pressure: 0.0, suns }
    }
}

impl Shared for Kept {
    #[inline(always)]
    fn wind_at_2m(&mut self, speed: MetresPerSecond, height: Metres) -> Result<f64, ReckonError> {
        let uz = wind::WIND.check(speed.get())?;
        if height.get() != self.height {
            let z = wind::WIND_HEIGHT.check(height.get())?;
            (self.height, self.profile) = (z, wind::profile(z));
        }
        Ok(wind::lowered(uz, self.height, self.profile))
    }

    #[inline(always)]
    fn pressure(&mut self, elevation: Metres) -> Result<f64, ReckonError> {
        if elevation.get() != self.elevation {
            let z = vapour::ELEVATION.check(elevation.get())?;
            (self.elevation, self.pressure) = (z, vapour::pressure(z));
        }
        Ok(self.pressure)
    }

    #[inline(always)]
    fn sun(&mut self, latitude: Degrees, day_of_year: u16) -> Result<Extraterrestrial, ReckonError> {
        match self.suns.get_mut(usize::from(day_of_year)) {
            Some((at, sun)) => {
                if *at != latitude.get() {
                    *sun = radiation::extraterrestrial_radiation(latitude, day_of_year)?;
                    *at = latitude.get();
                }
                Ok(*sun)
            }
            None => radiation::extraterrestrial_radiation(latitude, day_of_year),
        }
    }
}

/// Every intermediate as a bare number, in the order of the working.
struct Parts {
    u2: f64,
    t: f64,
    slope: f64,
    pressure: f64,
    gamma: f64,
    es: f64,
    ea: f64,
    sun: Extraterrestrial,
    rs: f64,
    rso: f64,
    rns: f64,
    rnl: f64,
    rn: f64,
    terms: Terms,
}

impl Parts {
    #[inline(always)]
    fn of(day: &Et0Input, shared: &mut impl Shared) -> Result<Self, ReckonError> {
        let u2 = shared.wind_at_2m(day.wind, day.wind_height)?;
        let (low, high) = vapour::day_extremes(day.tmin, day.tmax)?;
        let t = (low + high) / 2.0;
        let slope = vapour::slope(t);
        let pressure = shared.pressure(day.elevation)?;
        let gamma = vapour::gamma(pressure);
        let es = (vapour::e0(high) + vapour::e0(low)) / 2.0;
        let ea = vapour::actual(low, high, day.humidity)?;
        let sun = shared.sun(day.latitude, day.day_of_year)?;
        let rso = radiation::clear_sky(&sun, day.elevation)?.get();
        let rs = match day.radiation {
            Radiation::Solar(solar) => SOLAR.check(solar.get())?,
            Radiation::Sunshine(hours) => radiation::solar_from_sunshine(hours, &sun)?.get(),
            Radiation::FromTemperatureRange(siting) => {
                radiation::solar_from_temperature_range(day.tmin, day.tmax, &sun, day.elevation, siting)?.get()
            }
        };
        let balance = radiation::net(low, high, ea, rs, rso);
        let rn = balance.net.get();
        let terms = Terms::of(slope, gamma, t, u2, rn, es - ea);
        Ok(Self {
            u2,
            t,
            slope,
            pressure,
            gamma,
            es,
            ea,
            sun,
            rs,
            rso,
            rns: balance.shortwave.get(),
            rnl: balance.longwave.get(),
            rn,
            terms,
        })
    }

    fn et0(&self) -> f64 {
        (self.terms.radiation + self.terms.wind).max(0.0)
    }

    fn answer(&self) -> Et0 {
        Et0 {
            et0: Millimetres::new(self.et0()),
            net_radiation: MegajoulesPerSquareMetre::new(self.rn),
            vapour_deficit: Kilopascals::new(self.es - self.ea),
            slope_kpa_c: self.slope,
            gamma_kpa_c: self.gamma,
        }
    }

    /// Every intermediate in the order a person would compute it.
    fn working(&self, day: &Et0Input) -> Vec<Step> {
        let n = Value::number;
        let (tmin, tmax) = (|| n("Tmin", day.tmin.get(), "°C"), || n("Tmax", day.tmax.get(), "°C"));
        let (t, u2, ea) = (|| n("T", self.t, "°C"), || n("u2", self.u2, "m/s"), || n("ea", self.ea, "kPa"));
        let (slope, gamma) = (|| n("Δ", self.slope, "kPa/°C"), || n("γ", self.gamma, "kPa/°C"));
        let (ra, daylight) = (|| n("Ra", self.sun.radiation.get(), "MJ/m²"), || n("N", self.sun.daylight.get(), "h"));
        let (rs, rso) = (|| n("Rs", self.rs, "MJ/m²"), || n("Rso", self.rso, "MJ/m²"));
        let place = || vec![n("φ", day.latitude.get(), "°"), n("J", f64::from(day.day_of_year), "")];
        let z = || n("z", day.elevation.get(), "m");
        let (humidity_formula, humidity_values) = match day.humidity {
            Humidity::MinMax { min, max } => (
                "ea = (e0(Tmin) RHmax + e0(Tmax) RHmin) / 200",
                vec![tmin(), tmax(), n("RHmin", min.get(), "%"), n("RHmax", max.get(), "%")],
            ),
            Humidity::Maximum(max) => ("ea = e0(Tmin) RHmax / 100", vec![tmin(), n("RHmax", max.get(), "%")]),
            Humidity::Mean(mean) => {
                ("ea = RHmean / 100 · (e0(Tmax) + e0(Tmin)) / 2", vec![tmin(), tmax(), n("RHmean", mean.get(), "%")])
            }
            Humidity::DewPoint(dew) => ("ea = e0(Tdew)", vec![n("Tdew", dew.get(), "°C")]),
            Humidity::VapourPressure(_) => ("ea as given", vec![]),
            Humidity::FromMinimum => {
                (
                    "ea = e0(Tmin)",
                    vec![tmin().assumed(
                        "dew point taken as the lowest temperature; a humidity or dew point reading replaces it",
                    )],
                )
            }
        };
        let (sun_formula, sun_values) = match day.radiation {
            Radiation::Solar(_) => ("Rs as measured", vec![]),
            Radiation::Sunshine(hours) => {
                ("Rs = (0.25 + 0.50 n/N) Ra", vec![n("n", hours.get(), "h"), daylight(), ra()])
            }
            Radiation::FromTemperatureRange(siting) => {
                let k = match siting {
                    Siting::Inland => 0.16,
                    Siting::Coast => 0.19,
                };
                let why = "sunshine estimated from the temperature range; a solar or sunshine reading replaces it";
                (
                    "Rs = kRs sqrt(Tmax − Tmin) Ra, at most Rso",
                    vec![n("kRs", k, "°C^-0.5").assumed(why), tmin(), tmax(), ra()],
                )
            }
        };
        let mut steps = vec![
            Step::new(
                "Wind at 2 m",
                "u2 = uz 4.87 / ln(67.8 z − 5.42), unchanged at 2 m",
                vec![n("uz", day.wind.get(), "m/s"), n("z", day.wind_height.get(), "m")],
                u2(),
            ),
            Step::new("Mean temperature", "T = (Tmax + Tmin) / 2", vec![tmin(), tmax()], t()),
            Step::new("Slope of the saturation curve", "Δ = 4098 e0(T) / (T + 237.3)²", vec![t()], slope()),
            Step::new(
                "Air pressure",
                "P = 101.3 ((293 − 0.0065 z) / 293)^5.26",
                vec![z()],
                n("P", self.pressure, "kPa"),
            ),
            Step::new("Psychrometric constant", "γ = 0.665e-3 P", vec![n("P", self.pressure, "kPa")], gamma()),
            Step::new(
                "Saturation vapour pressure",
                "es = (e0(Tmax) + e0(Tmin)) / 2, e0(T) = 0.6108 exp(17.27 T / (T + 237.3))",
                vec![tmin(), tmax()],
                n("es", self.es, "kPa"),
            ),
            Step::new("Actual vapour pressure", humidity_formula, humidity_values, ea()),
            Step::new(
                "Radiation above the air",
                "Ra = 24·60/π · 0.0820 dr (ωs sin φ sin δ + cos φ cos δ sin ωs)",
                place(),
                ra(),
            ),
            Step::new("Day length", "N = 24 ωs / π", place(), daylight()),
            Step::new("Solar radiation", sun_formula, sun_values, rs()),
            Step::new("Clear-sky radiation", "Rso = (0.75 + 2e-5 z) Ra", vec![z(), ra()], rso()),
            Step::new("Sunshine the grass keeps", "Rns = 0.77 Rs", vec![rs()], n("Rns", self.rns, "MJ/m²")),
            Step::new(
                "Heat given off to the sky",
                "Rnl = 4.903e-9 ((Tmax + 273.16)⁴ + (Tmin + 273.16)⁴)/2 (0.34 − 0.14 sqrt(ea)) (1.35 min(Rs/Rso, 1) − 0.35)",
                vec![tmin(), tmax(), ea(), rs(), rso()],
                n("Rnl", self.rnl, "MJ/m²"),
            ),
            Step::new(
                "Net radiation",
                "Rn = Rns − Rnl",
                vec![n("Rns", self.rns, "MJ/m²"), n("Rnl", self.rnl, "MJ/m²")],
                n("Rn", self.rn, "MJ/m²"),
            ),
            Step::new(
                "Radiation term",
                "0.408 Δ Rn / (Δ + γ (1 + 0.34 u2))",
                vec![slope(), n("Rn", self.rn, "MJ/m²"), gamma(), u2()],
                n("radiation term", self.terms.radiation, "mm"),
            ),
            Step::new(
                "Wind term",
                "γ 900/(T + 273) u2 (es − ea) / (Δ + γ (1 + 0.34 u2))",
                vec![gamma(), t(), u2(), n("es", self.es, "kPa"), ea(), slope()],
                n("wind term", self.terms.wind, "mm"),
            ),
        ];
        steps.push(Step::new(
            "Reference evapotranspiration",
            "ET0 = radiation term + wind term, not below 0",
            vec![n("radiation term", self.terms.radiation, "mm"), n("wind term", self.terms.wind, "mm")],
            n("ET0", self.et0(), "mm"),
        ));
        steps
    }
}

/// The two halves of eq. 6, mm.
struct Terms {
    radiation: f64,
    wind: f64,
}

impl Terms {
    /// `available` is `Rn − G`.
    fn of(slope: f64, gamma: f64, t: f64, u2: f64, available: f64, deficit: f64) -> Self {
        let below = slope + gamma * (1.0 + 0.34 * u2);
        Self { radiation: 0.408 * slope * available / below, wind: gamma * 900.0 / (t + 273.0) * u2 * deficit / below }
    }
}

#[cfg(test)]
mod tests;

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
mod tests {
    use super::*;
    use crate::units::Percent;
    use crate::working::Datum;
    use proptest::prelude::*;

    fn brussels() -> Et0Input {
        Et0Input {
            latitude: Degrees::new(50.8),
            elevation: Metres::new(100.0),
            day_of_year: 187,
            tmin: Celsius::new(12.3),
            tmax: Celsius::new(21.5),
            wind: MetresPerSecond::new(10.0 / 3.6),
            wind_height: Metres::new(10.0),
            humidity: Humidity::MinMax { min: Percent::new(63.0), max: Percent::new(84.0) },
            radiation: Radiation::Sunshine(Hours::new(9.25)),
        }
    }

    fn bangkok() -> Et0Input {
        Et0Input {
            latitude: Degrees::new(13.0 + 44.0 / 60.0),
            elevation: Metres::new(2.0),
            day_of_year: 105,
            tmin: Celsius::new(25.6),
            tmax: Celsius::new(34.8),
            wind: MetresPerSecond::new(2.0),
            wind_height: Metres::new(2.0),
            humidity: Humidity::VapourPressure(Kilopascals::new(2.85)),
            radiation: Radiation::Sunshine(Hours::new(8.5)),
        }
    }

    fn lyon() -> Et0Input {
        Et0Input {
            latitude: Degrees::new(45.72),
            elevation: Metres::new(200.0),
            day_of_year: 196,
            tmin: Celsius::new(14.8),
            tmax: Celsius::new(26.6),
            wind: wind::WIND_UNKNOWN,
            wind_height: Metres::new(2.0),
            humidity: Humidity::FromMinimum,
            radiation: Radiation::FromTemperatureRange(Siting::Inland),
        }
    }

    fn parts(day: &Et0Input) -> Parts {
        match Parts::of(day, &mut Afresh) {
            Ok(p) => p,
            Err(e) => panic!("{e}"),
        }
    }

    /// Each row: what, got, printed, half of the last printed digit.
    fn agree(rows: &[(&str, f64, f64, f64)]) {
        for (what, got, want, half_digit) in rows {
            assert!((got - want).abs() <= *half_digit, "{what}: {got} for {want}");
        }
    }

    /// Example 18 of the paper, every printed intermediate. The printed u2 is 2.078 (from the rounded 2.78 m/s).
    #[test]
    fn example_18_step_by_step() {
        let p = parts(&brussels());
        agree(&[
            ("u2", p.u2, 2.078, 0.002),
            ("T", p.t, 16.9, 0.05),
            ("Δ", p.slope, 0.122, 0.0005),
            ("P", p.pressure, 100.1, 0.05),
            ("γ", p.gamma, 0.0666, 0.000_05),
            ("es", p.es, 1.997, 0.0005),
            ("ea", p.ea, 1.409, 0.0005),
            ("es − ea", p.es - p.ea, 0.589, 0.0005),
            ("Ra", p.sun.radiation.get(), 41.09, 0.005),
            ("N", p.sun.daylight.get(), 16.1, 0.05),
            ("Rs", p.rs, 22.07, 0.005),
            ("Rso", p.rso, 30.90, 0.005),
            ("Rns", p.rns, 17.00, 0.005),
            ("Rnl", p.rnl, 3.71, 0.005),
            ("Rn", p.rn, 13.28, 0.005),
            ("radiation term", p.terms.radiation, 2.81, 0.005),
            ("wind term", p.terms.wind, 1.07, 0.005),
            ("ET0", p.et0(), 3.88, 0.005),
        ]);
    }

    /// Example 17, a month: the same steps with the month's soil heat (eq. 43 with 0.14) put into eq. 6.
    #[test]
    fn example_17_step_by_step() {
        let p = parts(&bangkok());
        let soil_heat = 0.14 * (30.2 - 29.2);
        let terms = Terms::of(p.slope, p.gamma, p.t, p.u2, p.rn - soil_heat, p.es - p.ea);
        agree(&[
            ("T", p.t, 30.2, 0.05),
            ("Δ", p.slope, 0.246, 0.0005),
            ("P", p.pressure, 101.3, 0.05),
            ("γ", p.gamma, 0.0674, 0.0001),
            ("es", p.es, 4.42, 0.005),
            ("es − ea", p.es - p.ea, 1.57, 0.005),
            ("Ra", p.sun.radiation.get(), 38.06, 0.005),
            ("N", p.sun.daylight.get(), 12.31, 0.005),
            ("Rs", p.rs, 22.65, 0.005),
            ("Rso", p.rso, 28.54, 0.005),
            ("Rns", p.rns, 17.44, 0.005),
            ("Rnl", p.rnl, 3.11, 0.005),
            ("Rn", p.rn, 14.33, 0.005),
            ("radiation term", terms.radiation, 3.97, 0.005),
            ("wind term", terms.wind, 1.75, 0.005),
            ("ET0", terms.radiation + terms.wind, 5.72, 0.005),
        ]);
    }

    /// Example 20's day: only temperatures measured; sun, humidity and wind estimated. Rows worked by hand from the equations.
    #[test]
    fn example_20_step_by_step() {
        let p = parts(&lyon());
        agree(&[
            ("Ra", p.sun.radiation.get(), 40.6, 0.05),
            ("Rs", p.rs, 22.29, 0.005),
            ("P", p.pressure, 98.96, 0.005),
            ("γ", p.gamma, 0.0658, 0.000_05),
            ("Δ", p.slope, 0.150, 0.0005),
            ("es", p.es, 2.58, 0.005),
            ("ea", p.ea, 1.68, 0.005),
            ("Rso", p.rso, 30.58, 0.005),
            ("Rns", p.rns, 17.16, 0.005),
            ("Rnl", p.rnl, 3.68, 0.005),
            ("Rn", p.rn, 13.48, 0.005),
            ("ET0", p.et0(), 4.56, 0.005),
        ]);
    }

    /// The working ends at the very number the plain computation gives, and names each step once.
    #[test]
    fn working_agrees_with_the_plain_number() {
        for day in [brussels(), bangkok(), lyon()] {
            let steps = et0_working(&day).unwrap_or_default();
            assert_eq!(steps.len(), 17);
            let plain = et0_penman_monteith_fao56(&day).map(|e| e.et0.get()).ok();
            let last = steps.last().map(|s| s.result.value.clone());
            assert_eq!(last, plain.map(Datum::Number));
        }
        let marked = |day: &Et0Input| {
            et0_working(day).unwrap_or_default().iter().flat_map(|s| &s.values).filter(|v| v.assumed).count()
        };
        assert_eq!((marked(&brussels()), marked(&lyon())), (0, 2));
    }

    /// 37 years of real days, told in four ways at three places, some of them faulty: a batch says of each what it says alone, to the
    /// last bit, whether it is spread over the cores or not.
    #[test]
    fn a_batch_answers_as_days_alone() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/champion-ne-daily.csv");
        let record = std::fs::read_to_string(path).unwrap_or_default();
        let (mut days, mut year, mut day_of_year) = (Vec::new(), "", 0);
        for line in record.lines().skip(1) {
            day_of_year = if line.starts_with(year) && !year.is_empty() { day_of_year + 1 } else { 1 };
            year = &line[..4];
            let mut figures = line.split(',').skip(1).map(|figure| figure.parse().unwrap_or(f64::NAN));
            let mut next = || figures.next().unwrap_or(f64::NAN);
            let (tmin, tmax) = (Celsius::new(next()), Celsius::new(next()));
            for way in 0..4 {
                let (humidity, radiation) = match way {
                    0 => (Humidity::FromMinimum, Radiation::FromTemperatureRange(Siting::Inland)),
                    1 => (Humidity::DewPoint(tmin), Radiation::Solar(MegajoulesPerSquareMetre::new(12.0))),
                    2 => (Humidity::Mean(Percent::new(70.0)), Radiation::Sunshine(Hours::new(6.0))),
                    _ => (Humidity::Maximum(Percent::new(95.0)), Radiation::Sunshine(Hours::new(9.5))),
                };
                let place = (days.len() / 5) % 3;
                days.push(Et0Input {
                    latitude: Degrees::new([40.4, -33.0, 71.0][place]),
                    elevation: Metres::new([1029.0, 2.0, 500.0][place]),
                    day_of_year,
                    tmin,
                    tmax,
                    wind: MetresPerSecond::new(1.0 + day_of_year as f64 / 100.0),
                    wind_height: Metres::new([2.0, 10.0, 3.0][(days.len() / 7) % 3]),
                    humidity,
                    radiation,
                });
            }
        }
        assert_eq!(days.len(), 4 * 13_514);
        for (i, day) in days.iter_mut().enumerate().step_by(97) {
            match (i / 97) % 6 {
                0 => day.latitude = Degrees::new(91.0),
                1 => day.latitude = Degrees::new(f64::NAN),
                2 => day.day_of_year = [0, 367, u16::MAX][i % 3],
                3 => day.elevation = Metres::new(f64::NAN),
                4 => day.wind_height = Metres::new(0.1),
                _ => day.tmin = Celsius::new(50.0),
            }
        }
        // Not a number equals nothing, itself included, so refusals are compared as they are told.
        let told = |found: &Result<Et0, ReckonError>| match found {
            Ok(e) => Ok([e.et0.get(), e.net_radiation.get(), e.vapour_deficit.get(), e.slope_kpa_c, e.gamma_kpa_c]
                .map(f64::to_bits)),
            Err(e) => Err(e.to_string()),
        };
        for days in [&days[..], &days[..ET0_SPREAD_FROM - 1], &days[..1], &[]] {
            let found = et0_penman_monteith_fao56_batch(days);
            assert_eq!(found.len(), days.len());
            for (found, day) in found.iter().zip(days) {
                assert_eq!(told(found), told(&et0_penman_monteith_fao56(day)), "{day:?}");
            }
        }
        let refused = et0_penman_monteith_fao56_batch(&days).iter().filter(|found| found.is_err()).count();
        assert!(refused > days.len() / 97 && refused < days.len() / 2, "{refused}");
    }

    /// Refusals name the field, whichever way it came in.
    #[test]
    fn refusals_name_the_field() {
        let field = |day: Et0Input| et0_penman_monteith_fao56(&day).map_err(|e| e.field());
        assert_eq!(field(Et0Input { latitude: Degrees::new(91.0), ..brussels() }), Err("latitude_deg"));
        assert_eq!(field(Et0Input { day_of_year: 0, ..brussels() }), Err("day_of_year"));
        assert_eq!(field(Et0Input { wind: MetresPerSecond::new(-1.0), ..brussels() }), Err("wind_ms"));
        assert_eq!(field(Et0Input { elevation: Metres::new(f64::NAN), ..brussels() }), Err("elevation_m"));
        let solar = Radiation::Solar(MegajoulesPerSquareMetre::new(250.0));
        assert_eq!(field(Et0Input { radiation: solar, ..brussels() }), Err("solar_mj_m2"));
        assert_eq!(
            et0_hargreaves_samani(Degrees::new(0.0), 367, Celsius::new(1.0), Celsius::new(2.0)).map_err(|e| e.field()),
            Err("day_of_year")
        );
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any floats give a finite answer not below 0, or a refusal; plain and working agree on which.
        #[test]
        fn total(lat in any::<f64>(), z in any::<f64>(), j in any::<u16>(), a in any::<f64>(), b in any::<f64>(),
                 u in any::<f64>(), h in any::<f64>(), x in any::<f64>(), y in any::<f64>()) {
            let day = Et0Input {
                latitude: Degrees::new(lat), elevation: Metres::new(z), day_of_year: j, tmin: Celsius::new(a),
                tmax: Celsius::new(b), wind: MetresPerSecond::new(u), wind_height: Metres::new(h),
                humidity: Humidity::Mean(Percent::new(x)), radiation: Radiation::Sunshine(Hours::new(y)),
            };
            let plain = et0_penman_monteith_fao56(&day);
            prop_assert_eq!(plain.is_ok(), et0_working(&day).is_ok());
            if let Ok(e) = plain { prop_assert!(e.et0.get().is_finite() && e.et0.get() >= 0.0); }
        }

        /// Every day inside the ranges has an answer: finite, not below 0, and not absurd for ordinary weather.
        #[test]
        fn answers_inside_the_ranges(lat in -90.0..=90.0f64, z in -500.0..=9000.0f64, j in 1u16..=366, t in -90.0..30.0f64,
                 d in 0.0..30.0f64, u in 0.0..=100.0f64, h in 0.5..=100.0f64, rh in 0.0..=100.0f64, rs in 0.0..=50.0f64) {
            let day = Et0Input {
                latitude: Degrees::new(lat), elevation: Metres::new(z), day_of_year: j, tmin: Celsius::new(t),
                tmax: Celsius::new(t + d), wind: MetresPerSecond::new(u), wind_height: Metres::new(h),
                humidity: Humidity::Mean(Percent::new(rh)), radiation: Radiation::Solar(MegajoulesPerSquareMetre::new(rs)),
            };
            let e = et0_penman_monteith_fao56(&day);
            prop_assert!(e.is_ok_and(|e| e.et0.get().is_finite() && e.et0.get() >= 0.0 && e.net_radiation.get().is_finite()));
            let hs = et0_hargreaves_samani(day.latitude, j, day.tmin, day.tmax);
            prop_assert!(hs.is_ok_and(|e| e.get().is_finite() && e.get() >= 0.0));
        }

        /// Once the cloud factor has reached its limit, more sun means more evapotranspiration.
        #[test]
        fn more_sun_over_a_clear_sky_means_more(extra in 0.0..10.0f64) {
            let with = |rs: f64| et0_penman_monteith_fao56(&Et0Input {
                radiation: Radiation::Solar(MegajoulesPerSquareMetre::new(rs)), ..brussels() }).map_or(f64::NAN, |e| e.et0.get());
            prop_assert!(with(31.0 + extra) >= with(31.0));
        }
    }
}

//! Reference evapotranspiration: the water a well-watered lawn of even height would use in a day.
//!
//! Two models: [`et0_penman_monteith_fao56`] where humidity, wind and sun are known or estimated, and
//! [`et0_hargreaves_samani`] where only temperatures are. Numbers in the text are equation numbers of R. G. Allen, L. S.
//! Pereira, D. Raes and M. Smith, *Crop evapotranspiration: guidelines for computing crop water requirements*, FAO Irrigation
//! and Drainage Paper 56, 1998.

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
    let p = Parts::of(day)?;
    Ok(Et0 {
        et0: Millimetres::new(p.et0()),
        net_radiation: MegajoulesPerSquareMetre::new(p.rn),
        vapour_deficit: Kilopascals::new(p.es - p.ea),
        slope_kpa_c: p.slope,
        gamma_kpa_c: p.gamma,
    })
}

/// The working under [`et0_penman_monteith_fao56`]: every intermediate in the order a person would compute it.
///
/// # Errors
/// The same as the plain computation.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), box 11 (calculation sheet).
pub fn et0_working(day: &Et0Input) -> Result<Vec<Step>, ReckonError> {
    let p = Parts::of(day)?;
    let n = Value::number;
    let (tmin, tmax) = (|| n("Tmin", day.tmin.get(), "°C"), || n("Tmax", day.tmax.get(), "°C"));
    let (t, u2, ea) = (|| n("T", p.t, "°C"), || n("u2", p.u2, "m/s"), || n("ea", p.ea, "kPa"));
    let (slope, gamma) = (|| n("Δ", p.slope, "kPa/°C"), || n("γ", p.gamma, "kPa/°C"));
    let (ra, daylight) = (|| n("Ra", p.sun.radiation.get(), "MJ/m²"), || n("N", p.sun.daylight.get(), "h"));
    let (rs, rso) = (|| n("Rs", p.rs, "MJ/m²"), || n("Rso", p.rso, "MJ/m²"));
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
        Humidity::FromMinimum => (
            "ea = e0(Tmin)",
            vec![
                tmin()
                    .assumed("dew point taken as the lowest temperature; a humidity or dew point reading replaces it"),
            ],
        ),
    };
    let (sun_formula, sun_values) = match day.radiation {
        Radiation::Solar(_) => ("Rs as measured", vec![]),
        Radiation::Sunshine(hours) => ("Rs = (0.25 + 0.50 n/N) Ra", vec![n("n", hours.get(), "h"), daylight(), ra()]),
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
        Step::new("Air pressure", "P = 101.3 ((293 − 0.0065 z) / 293)^5.26", vec![z()], n("P", p.pressure, "kPa")),
        Step::new("Psychrometric constant", "γ = 0.665e-3 P", vec![n("P", p.pressure, "kPa")], gamma()),
        Step::new(
            "Saturation vapour pressure",
            "es = (e0(Tmax) + e0(Tmin)) / 2, e0(T) = 0.6108 exp(17.27 T / (T + 237.3))",
            vec![tmin(), tmax()],
            n("es", p.es, "kPa"),
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
        Step::new("Sunshine the grass keeps", "Rns = 0.77 Rs", vec![rs()], n("Rns", p.rns, "MJ/m²")),
        Step::new(
            "Heat given off to the sky",
            "Rnl = 4.903e-9 ((Tmax + 273.16)⁴ + (Tmin + 273.16)⁴)/2 (0.34 − 0.14 sqrt(ea)) (1.35 min(Rs/Rso, 1) − 0.35)",
            vec![tmin(), tmax(), ea(), rs(), rso()],
            n("Rnl", p.rnl, "MJ/m²"),
        ),
        Step::new(
            "Net radiation",
            "Rn = Rns − Rnl",
            vec![n("Rns", p.rns, "MJ/m²"), n("Rnl", p.rnl, "MJ/m²")],
            n("Rn", p.rn, "MJ/m²"),
        ),
        Step::new(
            "Radiation term",
            "0.408 Δ Rn / (Δ + γ (1 + 0.34 u2))",
            vec![slope(), n("Rn", p.rn, "MJ/m²"), gamma(), u2()],
            n("radiation term", p.terms.radiation, "mm"),
        ),
        Step::new(
            "Wind term",
            "γ 900/(T + 273) u2 (es − ea) / (Δ + γ (1 + 0.34 u2))",
            vec![gamma(), t(), u2(), n("es", p.es, "kPa"), ea(), slope()],
            n("wind term", p.terms.wind, "mm"),
        ),
    ];
    steps.push(Step::new(
        "Reference evapotranspiration",
        "ET0 = radiation term + wind term, not below 0",
        vec![n("radiation term", p.terms.radiation, "mm"), n("wind term", p.terms.wind, "mm")],
        n("ET0", p.et0(), "mm"),
    ));
    Ok(steps)
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
    fn of(day: &Et0Input) -> Result<Self, ReckonError> {
        let u2 = wind::wind_at_2m(day.wind, day.wind_height)?.get();
        let (low, high) = vapour::day_extremes(day.tmin, day.tmax)?;
        let t = (low + high) / 2.0;
        let slope = vapour::slope(t);
        let pressure = vapour::pressure(vapour::ELEVATION.check(day.elevation.get())?);
        let gamma = vapour::gamma(pressure);
        let es = (vapour::e0(high) + vapour::e0(low)) / 2.0;
        let ea = vapour::actual(low, high, day.humidity)?;
        let sun = radiation::extraterrestrial_radiation(day.latitude, day.day_of_year)?;
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
        match Parts::of(day) {
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

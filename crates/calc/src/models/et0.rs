//! `et0`.

use reckon::evapotranspiration::{Et0Input, Humidity, Radiation, et0_with_working};
use reckon::units::{Celsius, Degrees, Hours, Kilopascals, MegajoulesPerSquareMetre, Metres, MetresPerSecond, Percent};
use reckon::{radiation, vapour, wind};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "et0",
    about: "Water a reference lawn uses in a day, from temperature, humidity, wind and sun (Penman–Monteith)",
    source: "R. G. Allen, L. S. Pereira, D. Raes and M. Smith, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, \
             1998, eq. 6",
    example: r#"{"latitude_deg": 50.8, "elevation_m": 100, "day_of_year": 187, "tmin_c": 12.3, "tmax_c": 21.5,
                 "wind_ms": 2.78, "wind_height_m": 10, "rhmin_pct": 63, "rhmax_pct": 84, "sunshine_h": 9.25}"#,
    input: &Input::RECORD,
    output: &[
        figure("et0_mm", "mm", "reference evapotranspiration of the day"),
        figure("net_radiation_mj_m2", "MJ/m²", "net radiation"),
        figure("vapour_deficit_kpa", "kPa", "saturation vapour pressure less the actual one"),
        figure("slope_kpa_c", "kPa/°C", "slope of the saturation curve"),
        figure("gamma_kpa_c", "kPa/°C", "psychrometric constant"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A day's weather at one place.
    Input {
        latitude_deg: f64 = Number(radiation::LATITUDE);
        elevation_m: f64 = Number(vapour::ELEVATION);
        day_of_year: u32 = Whole(radiation::DAY_OF_YEAR);
        tmin_c: f64 = Number(vapour::TMIN);
        tmax_c: f64 = Number(vapour::TMAX);
        wind_ms: f64 = Number(wind::WIND);
        wind_height_m: Given = Number(wind::WIND_HEIGHT), or(2.0);
        rhmin_pct: Option<f64> = Number(vapour::RHMIN), optional;
        rhmax_pct: Option<f64> = Number(vapour::RHMAX), optional;
        rhmean_pct: Option<f64> = Number(vapour::RHMEAN), optional;
        dewpoint_c: Option<f64> = Number(vapour::DEWPOINT), optional;
        vapour_pressure_kpa: Option<f64> = Number(vapour::VAPOUR_PRESSURE), optional;
        solar_mj_m2: Option<f64> = Number(radiation::SOLAR), optional;
        sunshine_h: Option<f64> = Number(radiation::SUNSHINE), optional;
    }
    one of [rhmin_pct rhmax_pct] [rhmean_pct] [dewpoint_c] [vapour_pressure_kpa];
    one of [solar_mj_m2] [sunshine_h];
}

impl Input {
    /// The reader has made sure that exactly one form is there.
    fn humidity(&self) -> Result<Humidity, Refusal> {
        match (self.rhmin_pct, self.rhmax_pct, self.rhmean_pct, self.dewpoint_c, self.vapour_pressure_kpa) {
            (Some(min), Some(max), ..) => Ok(Humidity::MinMax { min: Percent::new(min), max: Percent::new(max) }),
            (_, _, Some(mean), ..) => Ok(Humidity::Mean(Percent::new(mean))),
            (_, _, _, Some(dew), _) => Ok(Humidity::DewPoint(Celsius::new(dew))),
            (.., Some(ea)) => Ok(Humidity::VapourPressure(Kilopascals::new(ea))),
            _ => Err(Refusal::of("rhmin_pct", " is missing".into())),
        }
    }

    fn radiation(&self) -> Result<Radiation, Refusal> {
        match (self.solar_mj_m2, self.sunshine_h) {
            (Some(solar), _) => Ok(Radiation::Solar(MegajoulesPerSquareMetre::new(solar))),
            (_, Some(sunshine)) => Ok(Radiation::Sunshine(Hours::new(sunshine))),
            _ => Err(Refusal::of("solar_mj_m2", " is missing".into())),
        }
    }
}

fn compute(input: Input) -> Computed {
    let day = Et0Input {
        latitude: Degrees::new(input.latitude_deg),
        elevation: Metres::new(input.elevation_m),
        day_of_year: input.day_of_year as u16,
        tmin: Celsius::new(input.tmin_c),
        tmax: Celsius::new(input.tmax_c),
        wind: MetresPerSecond::new(input.wind_ms),
        wind_height: Metres::new(input.wind_height_m.value),
        humidity: input.humidity()?,
        radiation: input.radiation()?,
    };
    let (found, mut steps) = et0_with_working(&day)?;
    let result = figures! {
        et0_mm: found.et0.get(),
        net_radiation_mj_m2: found.net_radiation.get(),
        vapour_deficit_kpa: found.vapour_deficit.get(),
        slope_kpa_c: found.slope_kpa_c,
        gamma_kpa_c: found.gamma_kpa_c,
    };
    let height = steps.first_mut().and_then(|wind| wind.values.iter_mut().find(|value| value.name == "z"));
    if let Some(height) = height {
        *height = input.wind_height_m.shown("z", "m", "the height of the gauge (wind_height_m) replaces it");
    }
    Ok((result, steps))
}

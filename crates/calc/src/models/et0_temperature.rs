//! `et0-temperature`.

use reckon::evapotranspiration::et0_hargreaves_samani;
use reckon::radiation::{self, extraterrestrial_radiation};
use reckon::units::{Celsius, Degrees};
use reckon::vapour;

use super::extraterrestrial_radiation::sun_steps;
use super::*;

pub(super) const MODEL: Model = Model {
    name: "et0-temperature",
    about: "Water a reference lawn uses in a day, from temperatures alone (Hargreaves–Samani)",
    source: "G. H. Hargreaves and Z. A. Samani, Reference crop evapotranspiration from temperature, Applied Engineering in \
             Agriculture 1(2), 1985; FAO Irrigation and Drainage Paper 56 (1998), eq. 52",
    example: r#"{"latitude_deg": 45.72, "day_of_year": 196, "tmin_c": 14.8, "tmax_c": 26.6}"#,
    input: &Input::RECORD,
    output: &[figure("et0_mm", "mm", "reference evapotranspiration of the day")],
    run: |item| reply(item, compute),
};

record! {
    /// A day's extremes at one latitude.
    Input {
        latitude_deg: f64 = Number(radiation::LATITUDE);
        day_of_year: u32 = Whole(radiation::DAY_OF_YEAR);
        tmin_c: f64 = Number(vapour::TMIN);
        tmax_c: f64 = Number(vapour::TMAX);
    }
}

fn compute(input: Input) -> Computed {
    let Input { latitude_deg, day_of_year, tmin_c, tmax_c } = input;
    let latitude = Degrees::new(latitude_deg);
    let et0 = et0_hargreaves_samani(latitude, day_of_year as u16, Celsius::new(tmin_c), Celsius::new(tmax_c))?.get();
    let sun = extraterrestrial_radiation(latitude, day_of_year as u16)?;
    let mut steps = sun_steps(&sun, latitude_deg, day_of_year);
    let (tmin, tmax) = (|| n("Tmin", tmin_c, "°C"), || n("Tmax", tmax_c, "°C"));
    let mean = || n("T", (tmax_c + tmin_c) / 2.0, "°C");
    steps.push(Step::new("Mean temperature", "T = (Tmax + Tmin) / 2", vec![tmin(), tmax()], mean()));
    steps.push(Step::new(
        "Reference evapotranspiration",
        "ET0 = 0.0023 (T + 17.8) sqrt(Tmax − Tmin) · 0.408 Ra, not below 0",
        vec![mean(), tmin(), tmax(), n("Ra", sun.radiation.get(), "MJ/m²")],
        n("ET0", et0, "mm"),
    ));
    Ok((figures! { et0_mm: et0 }, steps))
}

//! `extraterrestrial-radiation`.

use reckon::radiation::{self, extraterrestrial_radiation};
use reckon::units::Degrees;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "extraterrestrial-radiation",
    about: "Sunshine at the top of the air and day length, for a latitude and day",
    source: "FAO Irrigation and Drainage Paper 56 (1998), eq. 21 to 25 and 34",
    example: r#"{"latitude_deg": -20, "day_of_year": 246}"#,
    input: &Input::RECORD,
    output: &[
        figure("ra_mj_m2", "MJ/m²", "radiation of the day on a level plane at the top of the air"),
        figure("daylight_h", "h", "longest possible sunshine"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A place and a day.
    Input {
        latitude_deg: f64 = Number(radiation::LATITUDE);
        day_of_year: u32 = Whole(radiation::DAY_OF_YEAR);
    }
}

fn compute(input: Input) -> Computed {
    let sun = extraterrestrial_radiation(Degrees::new(input.latitude_deg), input.day_of_year as u16)?;
    let (ra, daylight) = (sun.radiation.get(), sun.daylight.get());
    Ok((figures! { ra_mj_m2: ra, daylight_h: daylight }, sun_steps(&sun, input.latitude_deg, input.day_of_year)))
}

/// The sun's geometry step by step, to the day length and the radiation.
pub(super) fn sun_steps(sun: &radiation::Extraterrestrial, latitude_deg: f64, day_of_year: u32) -> Vec<Step> {
    let phi = || n("φ", latitude_deg, "°");
    let day = || n("J", f64::from(day_of_year), "");
    let distance = || n("dr", sun.inverse_distance, "");
    let declination = || n("δ", sun.declination_rad, "rad");
    let sunset = || n("ωs", sun.sunset_angle_rad, "rad");
    vec![
        Step::new("Relative distance of the sun", "dr = 1 + 0.033 cos(2π J / 365)", vec![day()], distance()),
        Step::new("Declination of the sun", "δ = 0.409 sin(2π J / 365 − 1.39)", vec![day()], declination()),
        Step::new(
            "Sunset hour angle",
            "ωs = arccos(−tan φ tan δ), the argument held to −1 to 1",
            vec![phi(), declination()],
            sunset(),
        ),
        Step::new("Day length", "N = 24 ωs / π", vec![sunset()], n("N", sun.daylight.get(), "h")),
        Step::new(
            "Radiation above the air",
            "Ra = 24·60/π · 0.0820 dr (ωs sin φ sin δ + cos φ cos δ sin ωs)",
            vec![distance(), sunset(), phi(), declination()],
            n("Ra", sun.radiation.get(), "MJ/m²"),
        ),
    ]
}

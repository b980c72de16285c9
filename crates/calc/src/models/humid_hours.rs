//! `humid-hours`.

use reckon::humid_hours::{self, humid_hours_sine};
use reckon::units::{Celsius, Percent};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "humid-hours",
    about: "Hours of a day at or over a humidity, from its extremes and dew point; stands in for leaf wetness",
    source: "Saturation by FAO Irrigation and Drainage Paper 56 (1998), eq. 11; temperature as a sine through the extremes",
    example: r#"{"tmin_c": 15, "tmax_c": 25, "dewpoint_c": 18.308, "threshold_pct": 90}"#,
    input: &Input::RECORD,
    output: &[figure("hours", "h", "hours at or over the humidity")],
    run: |item| reply(item, compute),
};

record! {
    /// A day's extremes and dew point.
    Input {
        tmin_c: f64 = Number(reckon::vapour::TMIN);
        tmax_c: f64 = Number(reckon::vapour::TMAX);
        dewpoint_c: f64 = Number(reckon::vapour::DEWPOINT);
        threshold_pct: f64 = Number(humid_hours::THRESHOLD);
    }
}

fn compute(input: Input) -> Computed {
    let Input { tmin_c, tmax_c, dewpoint_c, threshold_pct } = input;
    let hours = humid_hours_sine(
        Celsius::new(tmin_c),
        Celsius::new(tmax_c),
        Celsius::new(dewpoint_c),
        Percent::new(threshold_pct),
    )?
    .get();
    let steps = vec![Step::new(
        "Humid hours",
        "H = 24 (1/2 + arcsin((θ − M)/α)/π), e0(θ) = e0(Td)/R, M = (Tmax + Tmin)/2, α = (Tmax − Tmin)/2; none or all day where θ is outside",
        vec![n("Tmin", tmin_c, "°C"), n("Tmax", tmax_c, "°C"), n("Td", dewpoint_c, "°C"), n("R", threshold_pct, "%")],
        n("H", hours, "h"),
    )];
    Ok((figures! { hours: hours }, steps))
}

//! `humid-hours-between`.

use reckon::humid_hours::{self, humid_hours_between};
use reckon::units::{Celsius, Percent};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "humid-hours-between",
    about: "Hours of a day at or over a humidity and inside a band of temperature, from its extremes and dew point",
    source: "Saturation by FAO Irrigation and Drainage Paper 56 (1998), eq. 11; temperature as a sine through the extremes",
    example: r#"{"tmin_c": 15, "tmax_c": 25, "dewpoint_c": 18.308, "threshold_pct": 90, "coolest_c": 17.5, "warmest_c": 30}"#,
    input: &Input::RECORD,
    output: &[figure("hours", "h", "hours at or over the humidity and inside the band")],
    run: |item| reply(item, compute),
};

record! {
    /// A day's extremes and dew point, and what counts.
    Input {
        tmin_c: f64 = Number(reckon::vapour::TMIN);
        tmax_c: f64 = Number(reckon::vapour::TMAX);
        dewpoint_c: f64 = Number(reckon::vapour::DEWPOINT);
        threshold_pct: f64 = Number(humid_hours::THRESHOLD);
        coolest_c: f64 = Number(humid_hours::COOLEST);
        warmest_c: f64 = Number(humid_hours::WARMEST);
    }
}

fn compute(input: Input) -> Computed {
    let Input { tmin_c, tmax_c, dewpoint_c, threshold_pct, coolest_c, warmest_c } = input;
    let c = Celsius::new;
    let hours = humid_hours_between(
        c(tmin_c),
        c(tmax_c),
        c(dewpoint_c),
        Percent::new(threshold_pct),
        c(coolest_c),
        c(warmest_c),
    )?
    .get();
    let steps = vec![Step::new(
        "Humid hours in the band",
        "H = h(min(θ, b)) − h(a), h(T) = 24 (1/2 + arcsin((T − M)/α)/π), e0(θ) = e0(Td)/R",
        vec![
            n("Tmin", tmin_c, "°C"),
            n("Tmax", tmax_c, "°C"),
            n("Td", dewpoint_c, "°C"),
            n("R", threshold_pct, "%"),
            n("a", coolest_c, "°C"),
            n("b", warmest_c, "°C"),
        ],
        n("H", hours, "h"),
    )];
    Ok((figures! { hours: hours }, steps))
}

//! `humidity-mean`.

use reckon::humid_hours::humidity_mean_sine;
use reckon::units::Celsius;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "humidity-mean",
    about: "Mean relative humidity of a day from its extremes and dew point, where nobody measured it",
    source: "Saturation by FAO Irrigation and Drainage Paper 56 (1998), eq. 10 and 11; temperature as a sine through the extremes",
    example: r#"{"tmin_c": 20, "tmax_c": 20, "dewpoint_c": 18.308}"#,
    input: &Input::RECORD,
    output: &[figure("rhmean_pct", "%", "mean relative humidity of the day")],
    run: |item| reply(item, compute),
};

record! {
    /// A day's extremes and dew point.
    Input {
        tmin_c: f64 = Number(reckon::vapour::TMIN);
        tmax_c: f64 = Number(reckon::vapour::TMAX);
        dewpoint_c: f64 = Number(reckon::vapour::DEWPOINT);
    }
}

fn compute(input: Input) -> Computed {
    let Input { tmin_c, tmax_c, dewpoint_c } = input;
    let mean = humidity_mean_sine(Celsius::new(tmin_c), Celsius::new(tmax_c), Celsius::new(dewpoint_c))?.get();
    let steps = vec![Step::new(
        "Mean humidity",
        "RH = mean of min(100, 100 e0(Td)/e0(T)) over a day's sine through the extremes",
        vec![n("Tmin", tmin_c, "°C"), n("Tmax", tmax_c, "°C"), n("Td", dewpoint_c, "°C")],
        n("RH", mean, "%"),
    )];
    Ok((figures! { rhmean_pct: mean }, steps))
}

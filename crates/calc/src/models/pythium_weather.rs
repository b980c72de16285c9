//! `pythium-weather`.

use reckon::pythium_blight::{self, pythium_weather_nutter};
use reckon::units::{Celsius, Hours};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "pythium-weather",
    about: "How many of the three conditions of Pythium blight a day and its night meet; a warning at 3",
    source: "F. W. Nutter, H. Cole and R. D. Schein, Disease forecasting system for warm weather Pythium blight of turfgrass, Plant \
             Disease 67:1126–1128, 1983",
    example: r#"{"tmax_c": 33, "tmin_night_c": 22, "humid_h": 14}"#,
    input: &Input::RECORD,
    output: &[figure(
        "conditions_met",
        "",
        "of three: over 30 °C, a night over 20 °C, 14 h over 90 % humidity; a warning at 3",
    )],
    run: |item| reply(item, compute),
};

record! {
    /// A day and its night.
    Input {
        tmax_c: f64 = Number(pythium_blight::TMAX);
        tmin_night_c: f64 = Number(pythium_blight::TMIN);
        humid_h: f64 = Number(pythium_blight::HUMID);
    }
}

fn compute(input: Input) -> Computed {
    let Input { tmax_c, tmin_night_c, humid_h } = input;
    let found = pythium_weather_nutter(Celsius::new(tmax_c), Celsius::new(tmin_night_c), Hours::new(humid_h))?;
    let met = f64::from(found.held());
    let steps = vec![Step::new(
        "Conditions met",
        "Tmax > 30 °C; Tmin of the night > 20 °C; H ≥ 14 h over 90 % humidity",
        vec![n("Tmax", tmax_c, "°C"), n("Tmin", tmin_night_c, "°C"), n("H", humid_h, "h")],
        n("met", met, ""),
    )];
    Ok((figures! { conditions_met: met }, steps))
}

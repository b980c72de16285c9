//! `dollar-spot-risk`.

use reckon::dollar_spot::{self, ACTIVE_C, dollar_spot_probability};
use reckon::units::{Celsius, Percent};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "dollar-spot-risk",
    about: "Probability of dollar spot from five days' mean humidity and air temperature",
    source: "D. L. Smith, J. P. Kerns, N. R. Walker and others, Development and validation of a weather-based warning system to \
             advise fungicide applications to control dollar spot on turfgrass, PLoS ONE 13(3):e0194216, 2018",
    example: r#"{"rh_mean_pct": 75, "air_mean_c": 17.9}"#,
    input: &Input::RECORD,
    output: &[figure("probability", "", "probability that dollar spot develops; the authors act from 0.20")],
    run: |item| reply(item, compute),
};

record! {
    /// Five days' means.
    Input {
        rh_mean_pct: f64 = Number(dollar_spot::RH_MEAN);
        air_mean_c: f64 = Number(dollar_spot::AIR_MEAN);
    }
}

fn compute(input: Input) -> Computed {
    let Input { rh_mean_pct, air_mean_c } = input;
    let p = dollar_spot_probability(Percent::new(rh_mean_pct), Celsius::new(air_mean_c))?.get();
    let temperature = || n("T", air_mean_c, "°C");
    let (coldest, warmest) = ACTIVE_C;
    let steps = if (coldest..=warmest).contains(&air_mean_c) {
        // The formula's own logit, found back from its result.
        let logit = (p / (1.0 - p)).ln();
        vec![
            Step::new(
                "Logit",
                "L = −11.4041 + 0.0894 RH + 0.1932 T",
                vec![n("RH", rh_mean_pct, "%"), temperature()],
                n("L", logit, ""),
            ),
            Step::new("Probability", "p = 1 / (1 + exp(−L))", vec![n("L", logit, "")], n("p", p, "")),
        ]
    } else {
        vec![Step::new("Probability", "p = 0 outside 10 to 35 °C", vec![temperature()], n("p", p, ""))]
    };
    Ok((figures! { probability: p }, steps))
}

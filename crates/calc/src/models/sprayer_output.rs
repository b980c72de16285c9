//! `sprayer-output`.

use reckon::sprayer;
use reckon::units::{LitresPerMinute, Metres, MetresPerSecond};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "sprayer-output",
    about: "Volume a sprayer lays on the ground, from its nozzles and the speed",
    source: "Definition: volume in a time over area in that time; in the trade's units 5940 gal/min / (mph in), Albany County Weed \
             and Pest, Calibrating your sprayer",
    example: r#"{"nozzle_lpm": 0.8, "nozzles": 2, "speed_m_s": 1, "spacing_m": 0.5}"#,
    input: &Input::RECORD,
    output: &[figure("l_per_100m2", "L/100 m²", "volume on the ground")],
    run: |item| reply(item, compute),
};

record! {
    /// Nozzles and speed.
    Input {
        nozzle_lpm: f64 = Number(sprayer::NOZZLE_LPM);
        nozzles: u32 = Whole(sprayer::NOZZLES);
        speed_m_s: f64 = Number(sprayer::SPEED_M_S);
        spacing_m: f64 = Number(sprayer::SPACING_M);
    }
}

fn compute(input: Input) -> Computed {
    let output = sprayer::sprayer_output(
        LitresPerMinute::new(input.nozzle_lpm),
        input.nozzles,
        MetresPerSecond::new(input.speed_m_s),
        Metres::new(input.spacing_m),
    )?;
    let nozzles = || n("k", f64::from(input.nozzles), "");
    let flow = || n("Q", output.flow.get(), "L/min");
    let swath = || n("W", output.swath.get(), "m");
    let rate = output.rate.get();
    let steps = vec![
        Step::new("Flow of all nozzles", "Q = k q", vec![nozzles(), n("q", input.nozzle_lpm, "L/min")], flow()),
        Step::new("Width of a pass", "W = k w", vec![nozzles(), n("w", input.spacing_m, "m")], swath()),
        Step::new(
            "Volume on the ground",
            "R = Q / (0.6 v W)",
            vec![flow(), n("v", input.speed_m_s, "m/s"), swath()],
            n("R", rate, "L/100 m²"),
        ),
    ];
    Ok((figures! { l_per_100m2: rate }, steps))
}

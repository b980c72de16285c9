//! `pipe-loss`.

use reckon::pipe::{self, pipe_loss_hazen_williams};
use reckon::units::{LitresPerSecond, Metres, Millimetres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "pipe-loss",
    about: "Friction and speed of water in one pipe (Hazen–Williams)",
    source: "G. S. Williams and A. Hazen, Hydraulic Tables, 1905, in the SI form in common use",
    example: r#"{"flow_lps": 0.630901964, "inside_mm": 26.6446, "length_m": 30.48, "c": 150}"#,
    input: &Input::RECORD,
    output: &[
        figure("velocity_ms", "m/s", "mean speed of the water"),
        figure("head_loss_m", "m", "head lost"),
        figure("pressure_loss_kpa", "kPa", "the same as pressure"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A pipe and its flow.
    Input {
        flow_lps: f64 = Number(pipe::FLOW_LPS);
        inside_mm: f64 = Number(pipe::INSIDE_MM);
        length_m: f64 = Number(pipe::LENGTH_M);
        c: f64 = Number(pipe::C);
    }
}

fn compute(input: Input) -> Computed {
    let Input { flow_lps, inside_mm, length_m, c } = input;
    let loss = pipe_loss_hazen_williams(
        LitresPerSecond::new(flow_lps),
        Millimetres::new(inside_mm),
        Metres::new(length_m),
        c,
    )?;
    let (velocity, head, pressure) = (loss.velocity.get(), loss.head_loss.get(), loss.pressure_loss.get());
    let flow = || n("Q", flow_lps, "L/s");
    let inside = || n("d", inside_mm, "mm");
    let steps = vec![
        Step::new("Speed", "v = 4 Q / (π d²), Q in m³/s, d in m", vec![flow(), inside()], n("v", velocity, "m/s")),
        Step::new(
            "Head lost",
            "h = 10.67 L Q^1.852 / (C^1.852 d^4.8704), Q in m³/s, d in m",
            vec![n("L", length_m, "m"), flow(), n("C", c, ""), inside()],
            n("h", head, "m"),
        ),
        Step::new("Pressure lost", "p = 9.80665 h", vec![n("h", head, "m")], n("p", pressure, "kPa")),
    ];
    Ok((figures! { velocity_ms: velocity, head_loss_m: head, pressure_loss_kpa: pressure }, steps))
}

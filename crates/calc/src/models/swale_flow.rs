//! `swale-flow`.

use reckon::swale::{self, Swale, swale_flow_manning};
use reckon::units::Metres;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "swale-flow",
    about: "Flow in a swale of trapezoid, triangle or box section at a depth of water",
    source: "R. Manning, On the flow of water in open channels and pipes, Transactions of the Institution of Civil Engineers of \
             Ireland 20, 1891; sections as in V. T. Chow, Open-Channel Hydraulics, 1959, Table 2-1",
    example: r#"{"bottom_m": 0.6, "side_slope": 3, "depth_m": 0.15, "slope": 0.02, "n": 0.04}"#,
    input: &Input::RECORD,
    output: &[
        figure("flow_lps", "L/s", "flow"),
        figure("velocity_ms", "m/s", "mean speed of the water"),
        figure("area_m2", "m²", "section of the water"),
        figure("hydraulic_radius_m", "m", "section over wetted edge"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A swale and the water in it.
    Input {
        bottom_m: f64 = Number(swale::BOTTOM_M);
        side_slope: f64 = Number(swale::SIDE_SLOPE);
        depth_m: f64 = Number(swale::DEPTH_M);
        slope: f64 = Number(swale::SLOPE);
        n: f64 = Number(swale::N);
    }
}

fn compute(input: Input) -> Computed {
    let found = swale_flow_manning(&Swale {
        bottom: Metres::new(input.bottom_m),
        side_slope: input.side_slope,
        depth: Metres::new(input.depth_m),
        slope: input.slope,
        n: input.n,
    })?;
    let section = || vec![n("b", input.bottom_m, "m"), n("z", input.side_slope, ""), n("y", input.depth_m, "m")];
    let area = || n("A", found.area.get(), "m²");
    let wetted = || n("P", found.wetted_perimeter.get(), "m");
    let radius = || n("R", found.hydraulic_radius.get(), "m");
    let velocity = || n("v", found.velocity.get(), "m/s");
    let steps = vec![
        Step::new("Section of the water", "A = (b + z y) y", section(), area()),
        Step::new("Wetted edge", "P = b + 2 y √(1 + z²)", section(), wetted()),
        Step::new("Hydraulic radius", "R = A / P", vec![area(), wetted()], radius()),
        Step::new(
            "Mean speed",
            "v = R^(2/3) √S / n",
            vec![radius(), n("S", input.slope, "m/m"), n("n", input.n, "")],
            velocity(),
        ),
        Step::new("Flow", "Q = 1000 v A", vec![velocity(), area()], n("Q", found.flow.get(), "L/s")),
    ];
    let result = figures! {
        flow_lps: found.flow.get(),
        velocity_ms: found.velocity.get(),
        area_m2: found.area.get(),
        hydraulic_radius_m: found.hydraulic_radius.get(),
    };
    Ok((result, steps))
}

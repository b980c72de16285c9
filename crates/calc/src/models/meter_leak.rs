//! `meter-leak`.

use reckon::meter::{self, meter_leak};
use reckon::units::{Litres, Minutes};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "meter-leak",
    about: "Flow through the meter while nothing runs, and what it comes to in a day",
    source: "Definition; the wait without use: US EPA WaterSense, leak facts",
    example: r#"{"start_l": 1000, "end_l": 1012.1133177088, "minutes": 120}"#,
    input: &Input::RECORD,
    output: &[
        figure("flow_lpm", "L/min", "mean flow over the wait"),
        figure("per_day_l", "L", "the same flow over a whole day"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// Two readings and the wait between them.
    Input {
        start_l: f64 = Number(meter::START_L);
        end_l: f64 = Number(meter::END_L);
        minutes: f64 = Number(meter::MINUTES);
    }
}

fn compute(input: Input) -> Computed {
    let Input { start_l, end_l, minutes } = input;
    let leak = meter_leak(Litres::new(start_l), Litres::new(end_l), Minutes::new(minutes))?;
    let (flow, per_day) = (leak.flow.get(), leak.per_day.get());
    let steps = vec![
        Step::new(
            "Flow",
            "q = (end − start) / t",
            vec![n("end", end_l, "L"), n("start", start_l, "L"), n("t", minutes, "min")],
            n("q", flow, "L/min"),
        ),
        Step::new("A day", "1440 q", vec![n("q", flow, "L/min")], n("a day", per_day, "L")),
    ];
    Ok((figures! { flow_lpm: flow, per_day_l: per_day }, steps))
}

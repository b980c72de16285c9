//! `runoff-peak`.

use reckon::runoff::{self, runoff_peak_rational};
use reckon::units::{MillimetresPerHour, SquareMetres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "runoff-peak",
    about: "Peak flow of runoff from an area by the rational method",
    source: "The rational method, after E. Kuichling, The relation between the rainfall and the discharge of sewers in populous \
             districts, Transactions ASCE 20, 1889",
    example: r#"{"runoff_coefficient": 0.9, "intensity_mm_h": 100, "area_m2": 120}"#,
    input: &Input::RECORD,
    output: &[figure("flow_lps", "L/s", "peak flow")],
    run: |item| reply(item, compute),
};

record! {
    /// Ground and rain.
    Input {
        runoff_coefficient: f64 = Number(runoff::RUNOFF_COEFFICIENT);
        intensity_mm_h: f64 = Number(runoff::INTENSITY_MM_H);
        area_m2: f64 = Number(runoff::AREA_M2);
    }
}

fn compute(input: Input) -> Computed {
    let Input { runoff_coefficient, intensity_mm_h, area_m2 } = input;
    let intensity = MillimetresPerHour::new(intensity_mm_h);
    let flow = runoff_peak_rational(runoff_coefficient, intensity, SquareMetres::new(area_m2))?.get();
    let values = vec![n("C", runoff_coefficient, ""), n("i", intensity_mm_h, "mm/h"), n("A", area_m2, "m²")];
    let steps = vec![Step::new("Peak flow", "Q = C i A / 3600", values, n("Q", flow, "L/s"))];
    Ok((figures! { flow_lps: flow }, steps))
}

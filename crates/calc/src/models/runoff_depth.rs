//! `runoff-depth`.

use reckon::runoff::{self, ABSTRACTION_RATIO_DEFAULT, retention, runoff_curve_number};
use reckon::units::Millimetres;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "runoff-depth",
    about: "Depth of runoff from one storm by the curve number method",
    source: "USDA Soil Conservation Service, Urban Hydrology for Small Watersheds, Technical Release 55, 1986, eq. 2-1 to 2-4",
    example: r#"{"curve_number": 70, "rain_mm": 152.4}"#,
    input: &Input::RECORD,
    output: &[figure("runoff_mm", "mm", "depth of runoff over the area")],
    run: |item| reply(item, compute),
};

record! {
    /// Ground and storm.
    Input {
        curve_number: f64 = Number(runoff::CURVE_NUMBER);
        rain_mm: f64 = Number(runoff::RAIN_MM);
        abstraction_ratio: Given = Number(runoff::ABSTRACTION_RATIO), or(ABSTRACTION_RATIO_DEFAULT);
    }
}

fn compute(input: Input) -> Computed {
    let ratio = input.abstraction_ratio;
    let runoff = runoff_curve_number(Millimetres::new(input.rain_mm), input.curve_number, ratio.value)?.get();
    let kept = retention(input.curve_number)?.get();
    let (s, ia) = (|| n("S", kept, "mm"), || n("Ia", ratio.value * kept, "mm"));
    let steps = vec![
        Step::new("Potential retention", "S = 25400 / CN − 254", vec![n("CN", input.curve_number, "")], s()),
        Step::new(
            "Initial abstraction",
            "Ia = λ S",
            vec![
                ratio.shown("λ", "", "the ratio the curve numbers were found with (abstraction_ratio) replaces it"),
                s(),
            ],
            ia(),
        ),
        Step::new(
            "Runoff",
            "Q = (P − Ia)² / (P − Ia + S) where P > Ia, else 0",
            vec![n("P", input.rain_mm, "mm"), ia(), s()],
            n("Q", runoff, "mm"),
        ),
    ];
    Ok((figures! { runoff_mm: runoff }, steps))
}

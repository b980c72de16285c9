//! `sprinkler-rate`.

use reckon::sprinkler::{self, Ground, sprinkler_rate};
use reckon::units::{LitresPerMinute, Metres, SquareMetres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "sprinkler-rate",
    about: "How fast sprinklers apply water, from their flow and the area or spacing",
    source: "Definition: one litre on one square metre is one millimetre; in the trade's units 96.25 gal/min / ft²",
    example: r#"{"flow_lpm": 30.283294272, "area_m2": 83.612736}"#,
    input: &Input::RECORD,
    output: &[figure("rate_mm_h", "mm/h", "mean application rate")],
    run: |item| reply(item, compute),
};

record! {
    /// Flow and ground.
    Input {
        flow_lpm: f64 = Number(sprinkler::FLOW_LPM);
        area_m2: Option<f64> = Number(sprinkler::AREA_M2), optional;
        spacing_m: Option<f64> = Number(sprinkler::SPACING_M), optional;
        row_spacing_m: Option<f64> = Number(sprinkler::ROW_SPACING_M), optional;
    }
    one of [area_m2] [spacing_m row_spacing_m];
}

fn compute(input: Input) -> Computed {
    let mut steps = Vec::with_capacity(2);
    let (ground, area) = match (input.area_m2, input.spacing_m, input.row_spacing_m) {
        (Some(area), ..) => (Ground::Area(SquareMetres::new(area)), area),
        (None, Some(heads), Some(rows)) => {
            let area = heads * rows;
            let values = vec![n("S", heads, "m"), n("L", rows, "m")];
            steps.push(Step::new("Share of one head", "A = S L", values, n("A", area, "m²")));
            (Ground::Spacing { heads: Metres::new(heads), rows: Metres::new(rows) }, area)
        }
        // The reader has made sure that one form is whole.
        _ => return Err(Refusal::of("area_m2", " is missing".into())),
    };
    let rate = sprinkler_rate(LitresPerMinute::new(input.flow_lpm), ground)?.get();
    let values = vec![n("Q", input.flow_lpm, "L/min"), n("A", area, "m²")];
    steps.push(Step::new("Application rate", "PR = 60 Q / A", values, n("PR", rate, "mm/h")));
    Ok((figures! { rate_mm_h: rate }, steps))
}

//! `anthracnose-index`.

use reckon::anthracnose::{self, anthracnose_index_danneberger};
use reckon::units::{Celsius, Hours};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "anthracnose-index",
    about: "Severity of anthracnose of annual bluegrass ten to twelve days on; infection from 2, not to be read in the cold",
    source: "T. K. Danneberger, J. M. Vargas and A. L. Jones, A model for weather-based forecasting of anthracnose on annual bluegrass, \
             Phytopathology 74:448–451, 1984",
    example: r#"{"leaf_wetness_h": 12, "air_mean_c": 24}"#,
    input: &Input::RECORD,
    output: &[figure("index", "", "1 is under 10 % of the turf diseased, 2 is 11 to 20 %, and so on")],
    run: |item| reply(item, compute),
};

record! {
    /// Three days' means.
    Input {
        leaf_wetness_h: f64 = Number(anthracnose::WET);
        air_mean_c: f64 = Number(anthracnose::AIR_MEAN);
    }
}

fn compute(input: Input) -> Computed {
    let Input { leaf_wetness_h, air_mean_c } = input;
    let index = anthracnose_index_danneberger(Hours::new(leaf_wetness_h), Celsius::new(air_mean_c))?;
    let steps = vec![Step::new(
        "Index",
        "ASI = 4.0233 − 0.2283 W − 0.5308 T − 0.0013 W² + 0.0197 T² + 0.0155 W T",
        vec![n("W", leaf_wetness_h, "h"), n("T", air_mean_c, "°C")],
        n("ASI", index, ""),
    )];
    Ok((figures! { index: index }, steps))
}

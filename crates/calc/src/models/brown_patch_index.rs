//! `brown-patch-index`.

use reckon::brown_patch::{self, brown_patch_index_fidanza};
use reckon::units::{Celsius, Percent};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "brown-patch-index",
    about: "How far a day's humidity and night favour brown patch; a warning from 6",
    source: "M. A. Fidanza, P. H. Dernoeden and A. P. Grybauskas, Development and field validation of a brown patch warning model for \
             perennial ryegrass turf, Phytopathology 86(4):385–390, 1996",
    example: r#"{"rh_mean_pct": 90, "tmin_c": 20}"#,
    input: &Input::RECORD,
    output: &[figure("index", "", "the authors warn from 6")],
    run: |item| reply(item, compute),
};

record! {
    /// A day's humidity and night.
    Input {
        rh_mean_pct: f64 = Number(brown_patch::RH_MEAN);
        tmin_c: f64 = Number(brown_patch::TMIN);
    }
}

fn compute(input: Input) -> Computed {
    let Input { rh_mean_pct, tmin_c } = input;
    let index = brown_patch_index_fidanza(Percent::new(rh_mean_pct), Celsius::new(tmin_c))?;
    let values = vec![n("RH", rh_mean_pct, "%"), n("T", tmin_c, "°C")];
    let steps = vec![Step::new("Index", "E = −21.5 + 0.15 RH + 1.4 T − 0.033 T²", values, n("E", index, ""))];
    Ok((figures! { index: index }, steps))
}

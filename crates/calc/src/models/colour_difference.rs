//! `colour-difference`.

use reckon::colour::{self, colour_difference_ciede2000};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "colour-difference",
    about: "Difference of two colours as the eye sees it, CIEDE2000",
    source: "CIE 142-2001; G. Sharma, W. Wu and E. N. Dalal, The CIEDE2000 color-difference formula, Color Research and \
             Application 30, 2005, eq. 2 to 22",
    example: r#"{"lab_a": [50, 2.6772, -79.7751], "lab_b": [50, 0, -82.7485]}"#,
    input: &Input::RECORD,
    output: &[figure("delta_e", "", "difference; about 1 is the least an eye tells apart side by side")],
    run: |item| reply(item, compute),
};

const LAB: Shape = Row(&[colour::LIGHTNESS, colour::OPPONENT, colour::OPPONENT], "L*, a* and b* of CIELAB");

record! {
    /// Two colours.
    Input {
        lab_a: [f64; 3] = LAB;
        lab_b: [f64; 3] = LAB;
    }
}

fn compute(input: Input) -> Computed {
    let Input { lab_a: [l1, a1, b1], lab_b: [l2, a2, b2] } = input;
    let difference = colour_difference_ciede2000(input.lab_a, input.lab_b)?;
    let values =
        vec![n("L1", l1, ""), n("a1", a1, ""), n("b1", b1, ""), n("L2", l2, ""), n("a2", a2, ""), n("b2", b2, "")];
    let steps = vec![Step::new(
        "Difference",
        "ΔE = √((ΔL'/S_L)² + (ΔC'/S_C)² + (ΔH'/S_H)² + R_T (ΔC'/S_C)(ΔH'/S_H))",
        values,
        n("ΔE", difference, ""),
    )];
    Ok((figures! { delta_e: difference }, steps))
}

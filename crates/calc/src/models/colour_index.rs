//! `colour-index`.

use reckon::colour::{self, colour_index_karcher_richardson_2003};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "colour-index",
    about: "How dark a green a colour of turf is: the dark green colour index",
    source: "D. E. Karcher and M. D. Richardson, Quantifying turfgrass color using digital image analysis, Crop Science 43, 2003, \
             pp. 943-951; hue, saturation and brightness: A. R. Smith, Color gamut transform pairs, SIGGRAPH 1978",
    example: r#"{"r": 81, "g": 127, "b": 45}"#,
    input: &Input::RECORD,
    output: &[
        figure("hue_deg", "°", "hue: 60 yellow, 120 green; 0 for a grey, which has none"),
        figure("saturation", "", "saturation, 0 to 1"),
        figure("brightness", "", "brightness, 0 to 1"),
        figure("dgci", "", "dark green colour index, 0 to 1 for hues from 60 to 120"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A colour in sRGB.
    Input {
        r: f64 = Number(colour::RED);
        g: f64 = Number(colour::GREEN);
        b: f64 = Number(colour::BLUE);
    }
}

fn compute(input: Input) -> Computed {
    let found = colour_index_karcher_richardson_2003([input.r, input.g, input.b])?;
    let srgb = || vec![n("r", input.r, ""), n("g", input.g, ""), n("b", input.b, "")];
    let hue = || n("H", found.hue.get(), "°");
    let saturation = || n("S", found.saturation, "");
    let brightness = || n("B", found.brightness, "");
    let steps = vec![
        Step::new(
            "Hue",
            "60 × ((g − b) / d, (b − r) / d + 2 or (r − g) / d + 4 for the largest of r, g, b), d = max − min",
            srgb(),
            hue(),
        ),
        Step::new("Saturation", "S = (max − min) / max", srgb(), saturation()),
        Step::new("Brightness", "B = max / 255", srgb(), brightness()),
        Step::new(
            "Dark green colour index",
            "DGCI = ((H − 60) / 60 + (1 − S) + (1 − B)) / 3",
            vec![hue(), saturation(), brightness()],
            n("DGCI", found.dgci, ""),
        ),
    ];
    let result = figures! {
        hue_deg: found.hue.get(),
        saturation: found.saturation,
        brightness: found.brightness,
        dgci: found.dgci,
    };
    Ok((result, steps))
}

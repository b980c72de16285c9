//! `soil-water`.

use reckon::soil_water::{self, soil_water_saxton_rawls_2006};
use reckon::units::Percent;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "soil-water",
    about: "Water a soil holds and how fast it drains, from sand, clay and organic matter (Saxton and Rawls)",
    source: "K. E. Saxton and W. J. Rawls, Soil water characteristic estimates by texture and organic matter for hydrologic \
             solutions, Soil Science Society of America Journal 70:1569–1578, 2006",
    example: r#"{"sand_pct": 20, "clay_pct": 20, "organic_matter_pct": 2.5}"#,
    input: &Input::RECORD,
    output: &[
        figure("wilting_point", "m³/m³", "water left when plants wilt for good (1500 kPa)"),
        figure("field_capacity", "m³/m³", "water left when the soil has drained (33 kPa)"),
        figure("saturation", "m³/m³", "water when every pore is full"),
        figure("ksat_mm_h", "mm/h", "conductivity of the full soil"),
        figure("available_mm_m", "mm/m", "water between field capacity and wilting point in a metre of soil"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A soil's texture.
    Input {
        sand_pct: f64 = Number(soil_water::SAND);
        clay_pct: f64 = Number(soil_water::CLAY);
        organic_matter_pct: f64 = Number(soil_water::ORGANIC_MATTER);
    }
}

fn compute(input: Input) -> Computed {
    let Input { sand_pct, clay_pct, organic_matter_pct } = input;
    let soil =
        soil_water_saxton_rawls_2006(Percent::new(sand_pct), Percent::new(clay_pct), Percent::new(organic_matter_pct))?;
    let (wp, fc, sat) = (soil.wilting_point.get(), soil.field_capacity.get(), soil.saturation.get());
    let (ksat, available) = (soil.ksat.get(), soil.available.get());
    let texture = || vec![n("S", sand_pct / 100.0, ""), n("C", clay_pct / 100.0, ""), n("OM", organic_matter_pct, "%")];
    let and = |name, value, mut values: Vec<Value>| {
        values.push(n(name, value, "m³/m³"));
        values
    };
    let steps = vec![
        Step::new(
            "Wilting point",
            "WP = 1.14 a − 0.02, a = −0.024 S + 0.487 C + 0.006 OM + 0.005 S OM − 0.013 C OM + 0.068 S C + 0.031",
            texture(),
            n("WP", wp, "m³/m³"),
        ),
        Step::new(
            "Field capacity",
            "FC = b + 1.283 b² − 0.374 b − 0.015, b = −0.251 S + 0.195 C + 0.011 OM + 0.006 S OM − 0.027 C OM + 0.452 S C + 0.299",
            texture(),
            n("FC", fc, "m³/m³"),
        ),
        Step::new(
            "Saturation",
            "SAT = FC + 1.636 c − 0.107 − 0.097 S + 0.043, c = 0.278 S + 0.034 C + 0.022 OM − 0.018 S OM − 0.027 C OM − 0.584 S C + 0.078",
            and("FC", fc, texture()),
            n("SAT", sat, "m³/m³"),
        ),
        Step::new(
            "Conductivity of the full soil",
            "Ks = 1930 (SAT − FC)^(3 − λ), λ = (ln FC − ln WP) / (ln 1500 − ln 33)",
            and("SAT", sat, and("FC", fc, vec![n("WP", wp, "m³/m³")])),
            n("Ks", ksat, "mm/h"),
        ),
        Step::new(
            "Available water",
            "AW = 1000 (FC − WP)",
            and("FC", fc, vec![n("WP", wp, "m³/m³")]),
            n("AW", available, "mm/m"),
        ),
    ];
    let result = figures! {
        wilting_point: wp,
        field_capacity: fc,
        saturation: sat,
        ksat_mm_h: ksat,
        available_mm_m: available,
    };
    Ok((result, steps))
}

//! `soil-loss`.

use reckon::soil_loss::{self, SoilLossInput, soil_loss_rusle};
use reckon::units::{Metres, Percent};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "soil-loss",
    about: "Soil that rain washes off a slope in an average year, by the revised universal soil loss equation",
    source: "K. G. Renard et al., Predicting Soil Erosion by Water, USDA Agriculture Handbook 703, 1997, eq. 1-1, 4-1 to 4-6 and \
             Tables 4-1 to 4-3, after D. K. McCool et al., Transactions ASAE 30, 1987, and 32, 1989",
    example: r#"{"r_mj_mm_ha_h": 2723.2, "k_t_ha_h_ha_mj_mm": 0.055314, "length_m": 18.288, "slope_pct": 15, "rill": "high",
                 "c": 1, "p": 1}"#,
    input: &Input::RECORD,
    output: &[figure("ls", "", "topographic factor"), figure("loss_t_ha", "t/ha", "soil lost in an average year")],
    run: |item| reply(item, compute),
};

record! {
    /// A slope and its factors.
    Input {
        r_mj_mm_ha_h: f64 = Number(soil_loss::R);
        k_t_ha_h_ha_mj_mm: f64 = Number(soil_loss::K);
        length_m: f64 = Number(soil_loss::LENGTH_M);
        slope_pct: f64 = Number(soil_loss::SLOPE_PCT);
        rill: Rill = Word(Rill::WORDS, "how much of the soil leaves in rills rather than as a sheet");
        c: f64 = Number(soil_loss::C);
        p: f64 = Number(soil_loss::P);
    }
}

words! {
    /// How the soil leaves.
    Rill {
        Low = "low", "under lasting cover such as turf";
        Moderate = "moderate", "worked ground";
        High = "high", "freshly graded, bare ground";
    }
}

fn compute(input: Input) -> Computed {
    let (rill, f) = match input.rill {
        Rill::Low => (soil_loss::Rill::Low, 0.5),
        Rill::Moderate => (soil_loss::Rill::Moderate, 1.0),
        Rill::High => (soil_loss::Rill::High, 2.0),
    };
    let found = soil_loss_rusle(&SoilLossInput {
        r: input.r_mj_mm_ha_h,
        k: input.k_t_ha_h_ha_mj_mm,
        length: Metres::new(input.length_m),
        slope: Percent::new(input.slope_pct),
        rill,
        c: input.c,
        p: input.p,
    })?;
    let t = found.topography;
    let (length, slope) = (|| n("λ", input.length_m, "m"), || n("slope", input.slope_pct, "%"));
    let (m, l, s, ls) = (|| n("m", t.m, ""), || n("L", t.l, ""), || n("S", t.s, ""), || n("LS", t.ls, ""));
    let steps = vec![
        Step::new(
            "Exponent of the length",
            "m = β / (1 + β), β = f (sin θ / 0.0896) / (3 sin^0.8 θ + 0.56), θ = arctan(slope / 100)",
            vec![n("f", f, ""), slope()],
            m(),
        ),
        Step::new("Length factor", "L = (λ / 22.128)^m, λ at least 4.572 m", vec![length(), m()], l()),
        Step::new(
            "Steepness factor",
            "S = 10.8 sin θ + 0.03 below 9 %, 16.8 sin θ − 0.50 from 9 % on; under 4.572 m of length by a power law towards the \
             smaller of that and 3.0 sin^0.8 θ + 0.56 at 0.914 m and less",
            vec![slope(), length()],
            s(),
        ),
        Step::new("Topographic factor", "LS = L S", vec![l(), s()], ls()),
        Step::new(
            "Soil lost in an average year",
            "A = R K LS C P",
            vec![
                n("R", input.r_mj_mm_ha_h, "MJ mm/(ha h)"),
                n("K", input.k_t_ha_h_ha_mj_mm, "t ha h/(ha MJ mm)"),
                ls(),
                n("C", input.c, ""),
                n("P", input.p, ""),
            ],
            n("A", found.loss.get(), "t/ha"),
        ),
    ];
    Ok((figures! { ls: t.ls, loss_t_ha: found.loss.get() }, steps))
}

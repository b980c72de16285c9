//! `pool-balance`.

use reckon::pool::{self, PoolInput, SOLIDS_DEFAULT, pool_balance};
use reckon::units::{Celsius, MilligramsPerLitre};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "pool-balance",
    about: "Saturation index of pool water: whether it takes up lime or lays it down",
    source: "W. F. Langelier, The analytical control of anti-corrosion water treatment, Journal AWWA 28, 1936, in the factor \
             table of pool operator courses; cyanurate shares as printed by Service Industry News, 2021",
    example: r#"{"ph": 7.5, "water_c": 26.7, "calcium_mg_l": 300, "alkalinity_mg_l": 100, "cyanuric_mg_l": 40}"#,
    input: &Input::RECORD,
    output: &[figure("saturation_index", "", "balanced from -0.3 to +0.5; below it the water takes up lime")],
    run: |item| reply(item, compute),
};

record! {
    /// A pool's readings.
    Input {
        ph: f64 = Number(pool::PH);
        water_c: f64 = Number(pool::WATER_C);
        calcium_mg_l: f64 = Number(pool::CALCIUM_MG_L);
        alkalinity_mg_l: f64 = Number(pool::ALKALINITY_MG_L);
        cyanuric_mg_l: Given = Number(pool::CYANURIC_MG_L), or(0.0);
        solids_mg_l: Given = Number(pool::SOLIDS_MG_L), or(SOLIDS_DEFAULT.get());
    }
}

fn compute(input: Input) -> Computed {
    let mg_l = MilligramsPerLitre::new;
    let found = pool_balance(&PoolInput {
        ph: input.ph,
        water: Celsius::new(input.water_c),
        calcium: mg_l(input.calcium_mg_l),
        alkalinity: mg_l(input.alkalinity_mg_l),
        cyanuric: mg_l(input.cyanuric_mg_l.value),
        solids: mg_l(input.solids_mg_l.value),
    })?;
    let ph = || n("pH", input.ph, "");
    let share = || n("f", found.cyanurate_share, "");
    let carbonate = || n("CA", found.carbonate_alkalinity.get(), "mg/L");
    let temperature = || n("TF", found.temperature_factor, "");
    let calcium = || n("CF", found.calcium_factor, "");
    let alkalinity = || n("AF", found.alkalinity_factor, "");
    let constant = || n("c", found.solids_constant, "");
    let steps = vec![
        Step::new("Share of cyanuric acid in the alkalinity", "table by pH, straight between", vec![ph()], share()),
        Step::new(
            "Carbonate alkalinity",
            "CA = TA − f CYA",
            vec![
                n("TA", input.alkalinity_mg_l, "mg/L"),
                share(),
                input.cyanuric_mg_l.shown("CYA", "mg/L", "a reading of cyanuric acid (cyanuric_mg_l) replaces it"),
            ],
            carbonate(),
        ),
        Step::new("Temperature factor", "table, straight between", vec![n("T", input.water_c, "°C")], temperature()),
        Step::new("Calcium factor", "CF = log10 Ca − 0.4", vec![n("Ca", input.calcium_mg_l, "mg/L")], calcium()),
        Step::new("Alkalinity factor", "AF = log10 CA", vec![carbonate()], alkalinity()),
        Step::new(
            "Constant for dissolved solids",
            "12.1 up to 1,000 mg/L, 12.2 to 2,000, 12.3 to 3,000, 12.4 above",
            vec![input.solids_mg_l.shown("TDS", "mg/L", "a reading of dissolved solids (solids_mg_l) replaces it")],
            constant(),
        ),
        Step::new(
            "Saturation index",
            "SI = pH + TF + CF + AF − c",
            vec![ph(), temperature(), calcium(), alkalinity(), constant()],
            n("SI", found.saturation_index, ""),
        ),
    ];
    Ok((figures! { saturation_index: found.saturation_index }, steps))
}

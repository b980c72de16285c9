//! `root-zone-balance`.

use reckon::root_zone::{self, FractionRule, Inflow, RootZone, balance};
use reckon::units::{Fraction, Metres, Millimetres, MillimetresPerMetre};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "root-zone-balance",
    about: "Water in the root zone day by day: demand, stress, drainage and what is missing",
    source: "R. G. Allen, L. S. Pereira, D. Raes and M. Smith, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, \
             1998, eq. 81 to 88 and the note to Table 22",
    example: r#"{"available_mm_m": 200, "root_depth_m": 0.8, "depletion_fraction": 0.4, "adjust_fraction": false,
                 "initial_depletion_mm": 55, "days": [
                 {"et0_mm": 5, "kc": 1.2, "rain_mm": 0, "irrigation_mm": 0, "runoff_mm": 0},
                 {"et0_mm": 5, "kc": 1.2, "rain_mm": 0, "irrigation_mm": 0, "runoff_mm": 0},
                 {"et0_mm": 5, "kc": 1.2, "rain_mm": 0, "irrigation_mm": 0, "runoff_mm": 0},
                 {"et0_mm": 5, "kc": 1.2, "rain_mm": 0, "irrigation_mm": 0, "runoff_mm": 0}]}"#,
    input: &Input::RECORD,
    output: &[
        figure("taw_mm", "mm", "total available water in the root zone"),
        Field::new(
            "days",
            list(&Shape::Record(&Record { fields: DAY_FIGURES, choices: &[] }), 1, DAYS_MAX, "each day"),
        ),
    ],
    run: |item| reply(item, compute),
};

const DAY_FIGURES: &[Field] = &[
    figure("etc_mm", "mm", "demand without stress"),
    figure("raw_mm", "mm", "readily available water on a day of this demand"),
    figure("ks", "", "1 without stress, 0 at the wilting point"),
    figure("eta_mm", "mm", "water the plants took"),
    figure("drainage_mm", "mm", "water that left below the roots"),
    figure("depletion_mm", "mm", "water missing to field capacity at the day's end"),
];

record! {
    /// A root zone and its days.
    Input {
        available_mm_m: f64 = Number(root_zone::AVAILABLE);
        root_depth_m: f64 = Number(root_zone::ROOT_DEPTH);
        depletion_fraction: f64 = Number(root_zone::DEPLETION_FRACTION);
        adjust_fraction: bool = Flag("whether the depletion fraction answers to the day's demand: p + 0.04 (5 − ETc), within 0.1 to 0.8");
        initial_depletion_mm: f64 = Number(root_zone::INITIAL_DEPLETION);
        stress_from: StressFrom = Word(StressFrom::WORDS, "which depletion the stress of a day is read from"), or_word(StressFrom::PreviousEnd);
        days: Vec<Day> = list(&Shape::Record(&Day::RECORD), 1, DAYS_MAX, "days in order, one after the other");
    }
}

record! {
    /// A day's demand and supply.
    Day {
        et0_mm: f64 = Number(root_zone::ET0);
        kc: f64 = Number(root_zone::KC);
        rain_mm: f64 = Number(root_zone::RAIN);
        irrigation_mm: f64 = Number(root_zone::IRRIGATION);
        runoff_mm: Given = Number(root_zone::RUNOFF), or(0.0);
    }
}

words! {
    /// Which depletion the stress of a day is read from.
    StressFrom {
        PreviousEnd = "previous-end", "the end of the day before";
        AfterInflow = "after-inflow", "after this morning's rain and irrigation";
    }
}

fn compute(input: Input) -> Computed {
    let rule = if input.adjust_fraction { FractionRule::AdjustedByEtc } else { FractionRule::Fixed };
    let (stress_from, stress_values) = match input.stress_from {
        StressFrom::PreviousEnd => (root_zone::StressFrom::PreviousEnd, "Dr at the end of the day before"),
        StressFrom::AfterInflow => (root_zone::StressFrom::AfterInflow, "Dr after rain and irrigation"),
    };
    let zone = RootZone::new(
        MillimetresPerMetre::new(input.available_mm_m),
        Metres::new(input.root_depth_m),
        Fraction::new(input.depletion_fraction),
        rule,
        stress_from,
    )?;
    let mut days = Vec::with_capacity(input.days.len());
    for (index, day) in input.days.iter().enumerate() {
        let day = Inflow {
            et0: Millimetres::new(day.et0_mm),
            kc: day.kc,
            rain: Millimetres::new(day.rain_mm),
            irrigation: Millimetres::new(day.irrigation_mm),
            runoff: Millimetres::new(day.runoff_mm.value),
        };
        days.push(day.check().map_err(|error| Refusal::from(error).at_index(index).at("days"))?);
    }
    let found = balance(&zone, Millimetres::new(input.initial_depletion_mm), &days)?;

    let taw = zone.taw().get();
    let mut steps = Vec::with_capacity(4 * found.len().min(DAYS_WORKED_MAX) + 1);
    steps.push(Step::new(
        "Total available water",
        "TAW = AW Zr",
        vec![n("AW", input.available_mm_m, "mm/m"), n("Zr", input.root_depth_m, "m")],
        n("TAW", taw, "mm"),
    ));
    let (raw_formula, ks_formula) = match rule {
        FractionRule::Fixed => ("RAW = p TAW", "Ks = (TAW − Dr) / (TAW − RAW) where Dr > RAW, else 1"),
        FractionRule::AdjustedByEtc => (
            "RAW = p' TAW, p' = p + 0.04 (5 − ETc) within 0.1 to 0.8",
            "Ks = (TAW − Dr) / (TAW − RAW) where Dr > RAW, else 1",
        ),
    };
    let mut before = input.initial_depletion_mm;
    for (index, (day, end)) in input.days.iter().zip(&found).enumerate().take(DAYS_WORKED_MAX) {
        let label = |what: &str| format!("Day {}: {what}", index + 1);
        let etc = || n("ETc", end.etc.get(), "mm");
        let inflow = day.rain_mm - day.runoff_mm.value + day.irrigation_mm;
        let stress_at = match stress_from {
            root_zone::StressFrom::PreviousEnd => before,
            root_zone::StressFrom::AfterInflow => (before - inflow).max(0.0),
        };
        let supply = || {
            vec![
                n("Dr", before, "mm"),
                n("P", day.rain_mm, "mm"),
                day.runoff_mm.shown("RO", "mm", "the day's runoff (runoff_mm) replaces it"),
                n("I", day.irrigation_mm, "mm"),
            ]
        };
        let with = |mut values: Vec<Value>, more: Value| {
            values.push(more);
            values
        };
        let eta = || n("ETa", end.eta.get(), "mm");
        let drainage = || n("DP", end.drainage.get(), "mm");
        steps.push(Step::new(
            label("demand"),
            "ETc = Kc ET0",
            vec![n("Kc", day.kc, ""), n("ET0", day.et0_mm, "mm")],
            etc(),
        ));
        steps.push(Step::new(
            label("readily available water"),
            raw_formula,
            vec![n("p", input.depletion_fraction, ""), n("TAW", taw, "mm"), etc()],
            n("RAW", end.raw.get(), "mm"),
        ));
        steps.push(Step::new(
            label("stress"),
            ks_formula,
            vec![n("Dr", stress_at, "mm").from(stress_values), n("RAW", end.raw.get(), "mm"), n("TAW", taw, "mm")],
            n("Ks", end.ks, ""),
        ));
        steps.push(Step::new(
            label("water taken"),
            "ETa = Ks ETc, at most what is there",
            vec![n("Ks", end.ks, ""), etc()],
            eta(),
        ));
        steps.push(Step::new(
            label("drainage"),
            "DP = (P − RO) + I − ETa − Dr, not below 0",
            with(supply(), eta()),
            drainage(),
        ));
        steps.push(Step::new(
            label("depletion at the end"),
            "Dr' = Dr − (P − RO) − I + ETa + DP, within 0 to TAW",
            with(with(supply(), eta()), drainage()),
            n("Dr'", end.depletion.get(), "mm"),
        ));
        before = end.depletion.get();
    }
    let days = found.iter().map(|day| {
        figures! {
            etc_mm: day.etc.get(),
            raw_mm: day.raw.get(),
            ks: day.ks,
            eta_mm: day.eta.get(),
            drainage_mm: day.drainage.get(),
            depletion_mm: day.depletion.get(),
        }
    });
    Ok((figures! { taw_mm: taw, days: Figure::from_iter(days) }, steps))
}

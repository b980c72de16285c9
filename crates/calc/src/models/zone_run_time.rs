//! `zone-run-time`.

use reckon::run_time::{self, RunTimeInput, SURFACE_STORAGE_DEFAULT, run_time_working, zone_run_time};
use reckon::units::{Fraction, Millimetres, MillimetresPerHour};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "zone-run-time",
    about: "Minutes a zone must run for a depth of water, cut into cycles the soil can take",
    source: "Multipliers: landscape irrigation auditing practice; B. Mecham, Audit based landscape irrigation scheduling, ASABE \
             IRR10-10040, 2010. Cycles: depth balance of the surface (common practice); pauses: Texas A&M Water University, \
             Irrigation cycle and soak",
    example: r#"{"need_mm": 14.28, "rate_mm_h": 40, "du_lq": 1, "scheduling": "low-half", "intake_mm_h": 7,
                 "surface_storage_mm": 5}"#,
    input: &Input::RECORD,
    output: &[
        figure("minutes", "min", "running time in all, pauses not counted"),
        figure("multiplier", "", "factor by which unevenness lengthens the run"),
        Field::new("cycles", Count("equal cycles the run is cut into; 0 when nothing is needed")),
        figure("minutes_per_cycle", "min", "minutes of each cycle"),
        figure("soak_minutes", "min", "least pause between two cycles; 0 when there are fewer than two"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// Need, zone and soil.
    Input {
        need_mm: f64 = Number(run_time::NEED_MM);
        rate_mm_h: f64 = Number(run_time::RATE_MM_H);
        du_lq: f64 = Number(run_time::DU_LQ);
        scheduling: Scheduling = Word(Scheduling::WORDS, "which part of the zone the run time serves");
        intake_mm_h: Option<f64> = Number(run_time::INTAKE_MM_H),
            assumed("the soil is taken to keep up with the sprinklers: one cycle");
        surface_storage_mm: Given = Number(run_time::SURFACE_STORAGE_MM), or(SURFACE_STORAGE_DEFAULT.get());
    }
}

words! {
    /// Which part of the zone the run time serves.
    Scheduling {
        LowQuarter = "low-quarter", "the driest quarter gets the full need: 1 / DU";
        LowHalf = "low-half", "the driest half gets about the full need: 1 / (0.4 + 0.6 DU)";
    }
}

fn compute(input: Input) -> Computed {
    let storage = input.surface_storage_mm;
    let zone = RunTimeInput {
        need: Millimetres::new(input.need_mm),
        rate: MillimetresPerHour::new(input.rate_mm_h),
        du_lq: Fraction::new(input.du_lq),
        scheduling: match input.scheduling {
            Scheduling::LowQuarter => run_time::Scheduling::LowQuarter,
            Scheduling::LowHalf => run_time::Scheduling::LowHalf,
        },
        intake: input.intake_mm_h.map(MillimetresPerHour::new),
        // Left to the formula where nobody gave it, so that its working says so.
        surface_storage: (!storage.assumed).then_some(Millimetres::new(storage.value)),
    };
    let run = zone_run_time(&zone)?;
    let result = figures! {
        minutes: run.minutes.get(),
        multiplier: run.multiplier,
        cycles: run.cycles,
        minutes_per_cycle: run.minutes_per_cycle.get(),
        soak_minutes: run.soak.get(),
    };
    Ok((result, run_time_working(&zone)?))
}

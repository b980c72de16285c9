//! `catch-can-audit`.

use reckon::catch_can::{self, catch_can_audit};
use reckon::units::Minutes;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "catch-can-audit",
    about: "Rate and evenness of a zone from cans set out on it",
    source: "J. E. Christiansen, Irrigation by sprinkling, University of California Bulletin 670, 1942, for CU; DU of the lowest \
             quarter: landscape irrigation auditing practice",
    example: r#"{"readings_ml": [12, 15, 18, 20, 14, 16, 22, 25, 19, 17, 13, 21, 24, 16, 18, 20, 15, 19, 23, 11, 17, 18, 20, 22],
                 "opening_cm2": 80, "minutes": 10}"#,
    input: &Input::RECORD,
    output: &[
        figure("mean_mm", "mm", "mean depth caught"),
        figure("rate_mm_h", "mm/h", "mean application rate"),
        figure("du_lq", "", "distribution uniformity: mean of the lowest quarter over the mean of all"),
        figure("cu", "", "Christiansen's coefficient of uniformity; below 0 when a few cans caught nearly everything"),
        figure("rate_low_quarter_mm_h", "mm/h", "mean application rate of the lowest quarter"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// Cans and the run.
    Input {
        readings_ml: Vec<f64> = list(
            &Number(catch_can::READINGS_ML),
            catch_can::READINGS_COUNT_MIN,
            catch_can::READINGS_COUNT_MAX,
            "water caught in each can; 20 cans or more make an audit",
        );
        opening_cm2: f64 = Number(catch_can::OPENING_CM2);
        minutes: f64 = Number(catch_can::MINUTES);
    }
}

fn compute(input: Input) -> Computed {
    let Input { readings_ml, opening_cm2, minutes } = input;
    let audit = catch_can_audit(&readings_ml, opening_cm2, Minutes::new(minutes))?;
    let (mean, rate, du) = (audit.mean.get(), audit.rate.get(), audit.du_lq.get());
    let low = audit.rate_low_quarter.get();
    let caught = mean * opening_cm2 / 10.0;
    let cans = || n("n", readings_ml.len() as f64, "");
    let steps = vec![
        Step::new("Mean of the cans", "V̄ = Σ V / n", vec![cans()], n("V̄", caught, "mL")),
        Step::new(
            "Mean depth",
            "D = 10 V̄ / A",
            vec![n("V̄", caught, "mL"), n("A", opening_cm2, "cm²")],
            n("D", mean, "mm"),
        ),
        Step::new(
            "Application rate",
            "PR = 60 D / t",
            vec![n("D", mean, "mm"), n("t", minutes, "min")],
            n("PR", rate, "mm/h"),
        ),
        Step::new(
            "Distribution uniformity",
            "DU = V̄lq / V̄, V̄lq the mean of the lowest n / 4 cans, the last by its fraction",
            vec![cans(), n("V̄lq", caught * du, "mL"), n("V̄", caught, "mL")],
            n("DU", du, ""),
        ),
        Step::new(
            "Coefficient of uniformity",
            "CU = 1 − Σ |V − V̄| / (n V̄)",
            vec![cans(), n("V̄", caught, "mL")],
            n("CU", audit.cu.get(), ""),
        ),
        Step::new(
            "Rate of the lowest quarter",
            "PRlq = PR DU",
            vec![n("PR", rate, "mm/h"), n("DU", du, "")],
            n("PRlq", low, "mm/h"),
        ),
    ];
    let result = figures! {
        mean_mm: mean,
        rate_mm_h: rate,
        du_lq: du,
        cu: audit.cu.get(),
        rate_low_quarter_mm_h: low,
    };
    Ok((result, steps))
}

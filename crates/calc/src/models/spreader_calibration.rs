//! `spreader-calibration`.

use reckon::spreader::{self, spreader_calibration};
use reckon::units::{GramsPerSquareMetre, Kilograms, Metres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "spreader-calibration",
    about: "The setting of a spreader that lays down a wanted amount, from trials",
    source: "University of Illinois Extension, Granular spreader calibration for lawn care, for the trial; straight lines between \
             trials: common practice",
    example: r#"{"trials": [{"setting": 4, "collected_kg": 0.6804, "swath_m": 2.4384, "length_m": 22.86},
                            {"setting": 6, "collected_kg": 1.0886, "swath_m": 2.4384, "length_m": 22.86}],
                 "target_g_m2": 15.2576}"#,
    input: &Input::RECORD,
    output: &[
        figure("setting", "", "setting that lays down the target"),
        Field::new(
            "within_trials",
            Flag(
                "true when the target lies between rates measured; false when the line was drawn on beyond them: try it first",
            ),
        ),
        Field::new(
            "fit_g_m2",
            list(
                &Shape::Figure("g/m²", ""),
                spreader::TRIALS_MIN,
                spreader::TRIALS_MAX,
                "rate of the fitted line at each trial's setting",
            ),
        ),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// Trials and a target.
    Input {
        trials: Vec<Trial> = list(
            &Shape::Record(&Trial::RECORD),
            spreader::TRIALS_MIN,
            spreader::TRIALS_MAX,
            "runs over measured strips, at two settings or more, in any order",
        );
        target_g_m2: f64 = Number(spreader::TARGET);
    }
}

record! {
    /// One run over a measured strip.
    Trial {
        setting: f64 = Number(spreader::SETTING);
        collected_kg: f64 = Number(spreader::COLLECTED_KG);
        swath_m: f64 = Number(spreader::SWATH_M);
        length_m: f64 = Number(spreader::LENGTH_M);
    }
}

fn compute(input: Input) -> Computed {
    let trials: Vec<spreader::Trial> = input
        .trials
        .iter()
        .map(|trial| spreader::Trial {
            setting: trial.setting,
            collected: Kilograms::new(trial.collected_kg),
            swath: Metres::new(trial.swath_m),
            length: Metres::new(trial.length_m),
        })
        .collect();
    let found = spreader_calibration(&trials, GramsPerSquareMetre::new(input.target_g_m2))?;
    let mut steps = Vec::with_capacity(2 * trials.len() + 1);
    for (index, (trial, rate)) in input.trials.iter().zip(&found.measured).enumerate() {
        steps.push(Step::new(
            format!("Rate of trial {}", index + 1),
            "R = 1000 m / (w l)",
            vec![
                n("s", trial.setting, ""),
                n("m", trial.collected_kg, "kg"),
                n("w", trial.swath_m, "m"),
                n("l", trial.length_m, "m"),
            ],
            n("R", rate.get(), "g/m²"),
        ));
    }
    for (index, trial) in input.trials.iter().enumerate() {
        let same = || input.trials.iter().enumerate().filter(|(_, other)| other.setting == trial.setting);
        let first = same().next().is_some_and(|(other, _)| other == index);
        if first && same().count() > 1 {
            let rates = same().map(|(other, _)| n("R", found.measured[other].get(), "g/m²")).collect();
            let label = format!("Mean rate at setting {}", trial.setting);
            steps.push(Step::new(label, "R = Σ R / n", rates, n("R", found.fit[index].get(), "g/m²")));
        }
    }
    let [low, high] = found.segment;
    let label = if found.within_trials {
        "Setting, between the two nearest trials"
    } else {
        "Setting, outside the trials: the nearest line drawn on; try it before relying on it"
    };
    steps.push(Step::new(
        label,
        "s = s₁ + (T − R₁) (s₂ − s₁) / (R₂ − R₁)",
        vec![
            n("T", input.target_g_m2, "g/m²"),
            n("s₁", low.setting, ""),
            n("R₁", low.rate.get(), "g/m²"),
            n("s₂", high.setting, ""),
            n("R₂", high.rate.get(), "g/m²"),
        ],
        n("s", found.setting, ""),
    ));
    let result = figures! {
        setting: found.setting,
        within_trials: found.within_trials,
        fit_g_m2: Figure::from_iter(found.fit.iter().map(|rate| rate.get())),
    };
    Ok((result, steps))
}

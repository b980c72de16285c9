//! Which setting of a spreader lays down a wanted amount.

use crate::error::{Bound, ReckonError};
use crate::fertilizer::WHOLE_TOLERANCE;
use crate::units::{GramsPerSquareMetre, Kilograms, Metres};

/// Setting on the spreader's scale.
pub const SETTING: Bound = Bound::new("setting", 0.0, 1_000.0, "", "setting on the spreader's own scale");
/// Product laid down in a trial.
pub const COLLECTED_KG: Bound = Bound::new(
    "collected_kg",
    0.0,
    1_000.0,
    "kg",
    "product laid down in the trial: caught, or weighed in less weighed out",
);
/// Width of the strip.
pub const SWATH_M: Bound = Bound::new(
    "swath_m",
    0.1,
    30.0,
    "m",
    "width one pass covers: of a drop spreader its own, of a rotary one the distance of passes",
);
/// Length of the strip.
pub const LENGTH_M: Bound = Bound::new("length_m", 0.5, 5_000.0, "m", "length walked in the trial");
/// Product wanted.
pub const TARGET: Bound = Bound::new("target_g_m2", 0.01, 10_000.0, "g/m²", "product wanted in one pass");

/// Fewest trials: two settings make a line.
pub const TRIALS_MIN: usize = 2;
/// Most trials taken.
pub const TRIALS_MAX: usize = 100;

/// One run over a measured strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// Setting on the spreader's scale.
    pub setting: f64,
    /// Product laid down.
    pub collected: Kilograms,
    /// Width of the strip.
    pub swath: Metres,
    /// Length of the strip.
    pub length: Metres,
}

/// A setting and the rate measured there, the mean of its trials.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Setting on the spreader's scale.
    pub setting: f64,
    /// Mean rate of the trials at this setting.
    pub rate: GramsPerSquareMetre,
    /// First of those trials, counted from 0.
    trial: usize,
}

/// The setting for a target, and the line it was read from.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The setting that lays down the target.
    pub setting: f64,
    /// Whether the target lies between rates that were measured. Where it does not, the setting is a guess to be tried.
    pub within_trials: bool,
    /// Rate of each trial, in the order given.
    pub measured: Vec<GramsPerSquareMetre>,
    /// Rate of the fitted line at each trial's setting, in the order given.
    pub fit: Vec<GramsPerSquareMetre>,
    /// The two points whose line gave the setting.
    pub segment: [Point; 2],
}

/// The setting of a spreader that lays down a wanted amount, from trials at two settings or more.
///
/// `R = 1000 m / (w l)` for each trial, the mean where a setting was tried more than once; then straight lines from point to
/// point: `s = s₁ + (T - R₁) (s₂ - s₁) / (R₂ - R₁)`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `s` | setting | the spreader's own | 0 ..= 1,000 |
/// | `m` | product laid down in the trial | kg | 0 ..= 1,000 |
/// | `w` | width one pass covers | m | 0.1 ..= 30 |
/// | `l` | length walked | m | 0.5 ..= 5,000 |
/// | `T` | product wanted | g/m² | 0.01 ..= 10,000 |
/// | `R` | product laid down | g/m² | – |
///
/// Trials may come in any order. A target outside the rates measured is read from the nearest two points' line drawn on, and
/// told as such ([`Calibration::within_trials`]). For two passes at right angles the target is half the rate wanted.
///
/// Left out: walking speed and humidity, which change the rate from day to day; unevenness across the swath.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the target; [`ReckonError::Inconsistent`] naming `trials` and the place: too few or too
/// many, a value out of range, one setting only, a wider setting that laid down no more than a narrower one; or `target_g_m2`
/// when the line drawn on leaves the scale.
///
/// # Source
/// University of Illinois Extension, *Granular spreader calibration for lawn care*, for the trial; linear interpolation
/// between trials is common practice.
///
/// # Examples
/// Setting 6 laid down 2.4 lb on 8 by 75 ft, which is 4.0 lb on 1,000 ft²; setting 4 laid down 1.5 lb, which is 2.5. For 3.125
/// it takes setting 4.83 (worked by hand).
/// ```
/// use reckon::spreader::{Trial, spreader_calibration};
/// use reckon::units::{GramsPerSquareMetre, Kilograms, Metres, factor};
///
/// let trial = |setting, pounds: f64| Trial {
///     setting,
///     collected: Kilograms::new(pounds * factor::G_PER_POUND / 1000.0),
///     swath: Metres::new(8.0 * factor::M_PER_FOOT),
///     length: Metres::new(75.0 * factor::M_PER_FOOT),
/// };
/// let target = GramsPerSquareMetre::new(3.125 * factor::G_M2_PER_LB_1000FT2);
/// let found = spreader_calibration(&[trial(6.0, 2.4), trial(4.0, 1.5)], target)?;
/// assert!((found.setting - 4.83).abs() < 0.005 && found.within_trials);
/// assert!((found.fit[0].get() / factor::G_M2_PER_LB_1000FT2 - 4.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn spreader_calibration(trials: &[Trial], target: GramsPerSquareMetre) -> Result<Calibration, ReckonError> {
    let target = TARGET.check(target.get())?;
    let measured = rates(trials)?;
    let points = points(trials, &measured);
    if points.len() < 2 {
        return Err(refused(format!(
            "all {} trials are at setting {}; try another setting as well",
            trials.len(),
            points[0].setting
        )));
    }
    for pair in points.windows(2) {
        let [low, high] = [pair[0], pair[1]];
        if high.rate <= low.rate {
            return Err(refused(format!(
                "trials[{}].collected_kg makes {:.4} g/m² at setting {}, no more than the {:.4} g/m² of trials[{}] at \
                 setting {}; a wider setting must lay down more: measure both again",
                high.trial,
                high.rate.get(),
                high.setting,
                low.rate.get(),
                low.trial,
                low.setting
            )));
        }
    }
    let last = points.len() - 1;
    let [lowest, highest] = [points[0].rate.get(), points[last].rate.get()];
    // A target that was measured is within, whatever its conversion between units has rounded.
    let within_trials = target >= lowest * (1.0 - WHOLE_TOLERANCE) && target <= highest * (1.0 + WHOLE_TOLERANCE);
    // The first point at or above the target ends the segment; outside, the nearest segment is drawn on.
    let end = points.iter().position(|point| point.rate.get() >= target).unwrap_or(last).max(1);
    let segment = [points[end - 1], points[end]];
    let [low, high] = segment;
    let setting = low.setting + (target - low.rate.get()) / (high.rate - low.rate).get() * (high.setting - low.setting);
    let fit = trials.iter().map(|trial| rate_at(&points, trial.setting)).collect();
    let setting = if within_trials { setting.clamp(low.setting, high.setting) } else { setting };
    if SETTING.check(setting).is_err() {
        return Err(ReckonError::Inconsistent {
            field: TARGET.field,
            message: format!(
                "{target} g/m² lies so far outside the {:.4} to {:.4} g/m² measured that no setting between {} and {} \
                 follows from them; make a trial nearer to it",
                lowest, highest, SETTING.min, SETTING.max
            ),
        });
    }
    Ok(Calibration { setting, within_trials, measured, fit, segment })
}

/// Rate of each trial.
fn rates(trials: &[Trial]) -> Result<Vec<GramsPerSquareMetre>, ReckonError> {
    let count = trials.len();
    if !(TRIALS_MIN..=TRIALS_MAX).contains(&count) {
        return Err(refused(format!("{count} trials; there must be {TRIALS_MIN} to {TRIALS_MAX}")));
    }
    let rate = |(i, trial): (usize, &Trial)| {
        let values = [
            (SETTING, trial.setting),
            (COLLECTED_KG, trial.collected.get()),
            (SWATH_M, trial.swath.get()),
            (LENGTH_M, trial.length.get()),
        ];
        match values.iter().find(|(bound, value)| bound.check(*value).is_err()) {
            Some((Bound { field, min, max, unit, .. }, value)) => {
                let message =
                    format!("trials[{i}].{field} is {value} {unit}; it must be between {min} and {max} {unit}");
                Err(refused(message))
            }
            None => {
                Ok(GramsPerSquareMetre::new(1000.0 * trial.collected.get() / (trial.swath.get() * trial.length.get())))
            }
        }
    };
    trials.iter().enumerate().map(rate).collect()
}

/// One point a setting, by rising setting. The trials are checked.
fn points(trials: &[Trial], measured: &[GramsPerSquareMetre]) -> Vec<Point> {
    let mut order: Vec<usize> = (0..trials.len()).collect();
    order.sort_by(|&a, &b| trials[a].setting.total_cmp(&trials[b].setting));
    order
        .chunk_by(|&a, &b| trials[a].setting == trials[b].setting)
        .map(|same| {
            let sum: GramsPerSquareMetre = same.iter().map(|&i| measured[i]).sum();
            Point { setting: trials[same[0]].setting, rate: sum / same.len() as f64, trial: same[0] }
        })
        .collect()
}

/// The mean rate of a setting that was tried.
fn rate_at(points: &[Point], setting: f64) -> GramsPerSquareMetre {
    points.iter().find(|point| point.setting == setting).map_or(GramsPerSquareMetre::new(0.0), |point| point.rate)
}

fn refused(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: "trials", message }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    const LB_1000: f64 = factor::G_M2_PER_LB_1000FT2;

    /// A trial over 10 m² whose rate is the figure given.
    fn at(setting: f64, rate: f64) -> Trial {
        Trial { setting, collected: Kilograms::new(rate / 100.0), swath: Metres::new(2.0), length: Metres::new(5.0) }
    }

    fn feet(setting: f64, pounds: f64, width: f64, length: f64) -> Trial {
        Trial {
            setting,
            collected: Kilograms::new(pounds * factor::G_PER_POUND / 1000.0),
            swath: Metres::new(width * factor::M_PER_FOOT),
            length: Metres::new(length * factor::M_PER_FOOT),
        }
    }

    fn find(trials: &[Trial], target: f64) -> Result<Calibration, ReckonError> {
        spreader_calibration(trials, GramsPerSquareMetre::new(target))
    }

    /// Published trials in lb on 1,000 ft²; the tolerance is half the last printed digit, or what a rounded strip allows.
    #[test]
    fn published_trials() {
        let rows = [
            (feet(5.0, 5.0, 10.0, 100.0), 5.0, 0.05, "LSU AgCenter, broadcast spreader: 5 lb on 10 by 100 ft"),
            (feet(5.0, 0.5, 1.0, 50.0), 10.0, 0.05, "consumer test laboratory, drop spreader: half a pound on 50 ft²"),
            (feet(5.0, 0.5, 3.0, 33.3), 5.0, 0.05, "hundred-foot strip of a 3 ft drop spreader: times ten"),
            (feet(5.0, 2.4, 8.0, 75.0), 4.0, 0.05, "worked by hand: 10.0 lb in, 7.6 left, 600 ft²"),
        ];
        for (trial, printed, tolerance, source) in rows {
            let other = Trial { setting: 9.0, collected: trial.collected * 2.0, ..trial };
            let got = find(&[trial, other], printed * LB_1000).unwrap();
            let rate = got.measured[0].get() / LB_1000;
            assert!((rate - printed).abs() <= tolerance, "{source}: {rate} for {printed}");
            assert!((got.setting - 5.0).abs() < 0.1, "{source}: {got:?}");
        }
    }

    /// Walter Reeves, University of Georgia: a strip as long as 1,000 over its width makes what is missing from the hopper the
    /// pounds on 1,000 ft².
    #[test]
    fn a_thousand_square_feet() {
        for width in [1.5, 2.0, 6.0, 12.0] {
            let got = find(&[feet(3.0, 3.2, width, 1000.0 / width), feet(4.0, 9.0, 3.0, 100.0)], 20.0).unwrap();
            assert!((got.measured[0].get() / LB_1000 - 3.2).abs() < 1e-9);
        }
    }

    /// Order does not matter; trials of one setting are averaged; each segment has its own slope.
    #[test]
    fn lines_between_the_means() {
        let trials = [at(6.0, 20.0), at(4.0, 9.0), at(8.0, 40.0), at(4.0, 11.0)];
        let got = find(&trials, 15.0).unwrap();
        assert!((got.setting - 5.0).abs() < 1e-9 && got.within_trials);
        let fit: Vec<f64> = got.fit.iter().map(|rate| rate.get()).collect();
        for (rate, expected) in fit.iter().zip([20.0, 10.0, 40.0, 10.0]) {
            assert!((rate - expected).abs() < 1e-9, "{fit:?}");
        }
        assert!((find(&trials, 30.0).unwrap().setting - 7.0).abs() < 1e-9);
        for (target, setting) in [(10.0, 4.0), (20.0, 6.0), (10.0 - 1e-12, 4.0), (40.0 + 1e-12, 8.0)] {
            let got = find(&trials, target).unwrap();
            assert!(got.within_trials && (got.setting - setting).abs() < 1e-9, "{target}: {got:?}");
        }
    }

    /// Outside the trials the nearest segment is drawn on and the answer says so; off the scale there is none.
    #[test]
    fn outside_the_trials() {
        let trials = [at(4.0, 10.0), at(6.0, 20.0), at(8.0, 40.0)];
        for (target, setting) in [(5.0, 3.0), (50.0, 9.0)] {
            let got = find(&trials, target).unwrap();
            assert!(!got.within_trials && (got.setting - setting).abs() < 1e-9, "{got:?}");
        }
        let steep = [at(4.0, 100.0), at(6.0, 110.0)];
        let error = find(&steep, 50.0).unwrap_err();
        assert_eq!(error.field(), "target_g_m2");
        assert!(error.to_string().contains("make a trial nearer"), "{error}");
    }

    #[test]
    fn refusals_name_the_place() {
        let message = |trials: &[Trial], target| find(trials, target).unwrap_err().to_string();
        let good = [at(4.0, 10.0), at(6.0, 20.0)];
        assert!(message(&good[..1], 5.0).contains("1 trials; there must be 2 to 100"));
        let many: Vec<Trial> = (0..=TRIALS_MAX).map(|i| at(i as f64, 1.0 + i as f64)).collect();
        assert!(message(&many, 5.0).contains("101 trials"));
        assert!(find(&many[..TRIALS_MAX], 5.0).is_ok());
        assert!(message(&[at(4.0, 10.0), at(4.0, 12.0)], 11.0).contains("all 2 trials are at setting 4"));
        assert!(message(&[good[0], at(-1.0, 1.0)], 5.0).contains("trials[1].setting is -1"));
        assert!(message(&[good[0], at(1.0, f64::NAN)], 5.0).contains("trials[1].collected_kg is NaN"));
        assert!(
            message(&[good[0], Trial { swath: Metres::new(0.0), ..good[1] }], 5.0).contains("trials[1].swath_m is 0")
        );
        assert!(
            message(&[good[0], Trial { length: Metres::new(0.0), ..good[1] }], 5.0).contains("trials[1].length_m is 0")
        );
        assert_eq!(find(&good, 0.0).unwrap_err().field(), "target_g_m2");
        let falling = message(&[at(8.0, 15.0), good[0], good[1]], 12.0);
        assert!(falling.contains("trials[0].collected_kg makes 15") && falling.contains("of trials[2]"), "{falling}");
        assert!(message(&[good[0], at(6.0, 10.0)], 10.0).contains("a wider setting must lay down more"));
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or a finite setting on the scale, and finite rates.
        #[test]
        fn any_input_is_safe(
            trials in prop::collection::vec((prop_oneof![0.0..20.0, any::<f64>()], prop_oneof![0.0..100.0, any::<f64>()]), 0..6),
            target in prop_oneof![0.1..100.0, any::<f64>()],
        ) {
            let trials: Vec<Trial> = trials.into_iter().map(|(setting, rate)| at(setting, rate)).collect();
            if let Ok(c) = find(&trials, target) {
                prop_assert!((0.0..=1000.0).contains(&c.setting));
                prop_assert!(c.fit.len() == trials.len() && c.fit.iter().chain(&c.measured).all(|r| r.get().is_finite()));
            }
        }

        /// Within rising trials the setting lies between their settings, more wanted is a wider setting, and order does not
        /// matter.
        #[test]
        fn settings_rise_with_the_target(
            steps in prop::collection::vec((0.1..5.0, 0.5..20.0), 2..6), share in 0.0..0.98,
        ) {
            let mut last = (0.0, 0.0);
            let mut trials: Vec<Trial> = steps
                .iter()
                .map(|(s, r)| { last = (last.0 + s, last.1 + r); at(last.0, last.1) })
                .collect();
            let lowest = 1000.0 * trials[0].collected.get() / 10.0;
            let target = lowest + share * (last.1 - lowest);
            let [less, more] = [target, target + 0.01 * (last.1 - lowest)].map(|t| find(&trials, t).unwrap());
            prop_assert!(less.within_trials && more.within_trials && less.setting < more.setting);
            prop_assert!(less.setting >= steps[0].0 && more.setting <= last.0 + 1e-9);
            trials.reverse();
            prop_assert_eq!(find(&trials, target).unwrap().setting, less.setting);
        }
    }
}

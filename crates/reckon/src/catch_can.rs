//! What a catch-can audit says: how much a zone applies and how evenly.

use crate::error::{Bound, ReckonError};
use crate::units::{Fraction, Millimetres, MillimetresPerHour, Minutes};

/// Water in one can.
pub const READINGS_ML: Bound = Bound::new("readings_ml", 0.0, 100_000.0, "mL", "water caught in each can");
/// Opening of the cans, all alike.
pub const OPENING_CM2: Bound = Bound::new("opening_cm2", 1.0, 10_000.0, "cm²", "opening of one can");
/// How long the zone ran.
pub const MINUTES: Bound = Bound::new("minutes", 0.1, 1_440.0, "min", "time the zone ran");

/// Fewest cans that can say anything about evenness.
pub const READINGS_COUNT_MIN: usize = 2;
/// Most cans taken.
pub const READINGS_COUNT_MAX: usize = 10_000;

/// What the cans say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Audit {
    /// Mean depth caught.
    pub mean: Millimetres,
    /// Mean application rate.
    pub rate: MillimetresPerHour,
    /// Distribution uniformity: mean of the lowest quarter over the mean of all.
    pub du_lq: Fraction,
    /// Christiansen's coefficient of uniformity. Below zero when a few cans caught nearly everything.
    pub cu: Fraction,
    /// Mean application rate of the lowest quarter.
    pub rate_low_quarter: MillimetresPerHour,
}

/// Rate and evenness of a zone from a catch-can test.
///
/// `rate = V̄ / A × 10 / t × 60`; `DU = V̄lq / V̄`; `CU = 1 - Σ|V - V̄| / (n V̄)`.
///
/// `V̄lq` is the mean of the lowest `n / 4` readings; when that is not a whole number the last can counts by the
/// fraction.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `V` | water in one can | mL | 0 ..= 100,000 |
/// | `n` | number of cans | – | 2 ..= 10,000; 20 or more for an audit |
/// | `A` | opening of a can | cm² | 1 ..= 10,000 |
/// | `t` | time the zone ran | min | 0.1 ..= 1,440 |
///
/// Left out: cans that stand for unequal shares of the ground, wind, and evaporation from the cans.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the opening or the time; [`ReckonError::Inconsistent`] naming `readings_ml` when
/// there are too few or too many cans, one is out of range, or all are empty.
///
/// # Source
/// J. E. Christiansen, *Irrigation by sprinkling*, University of California Bulletin 670, 1942, for CU. DU of the lowest
/// quarter: landscape irrigation auditing practice; layout of the cans: University of Minnesota Extension, *Auditing home
/// lawn irrigation systems*.
///
/// # Examples
/// Four cans of 100 cm² after half an hour.
/// ```
/// use reckon::catch_can::catch_can_audit;
/// use reckon::units::Minutes;
///
/// let audit = catch_can_audit(&[40.0, 60.0, 50.0, 50.0], 100.0, Minutes::new(30.0))?;
/// assert!((audit.mean.get() - 5.0).abs() < 1e-12);
/// assert!((audit.rate.get() - 10.0).abs() < 1e-12);
/// assert!((audit.du_lq.get() - 0.8).abs() < 1e-12);
/// assert!((audit.cu.get() - 0.9).abs() < 1e-12);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn catch_can_audit(readings_ml: &[f64], opening_cm2: f64, minutes: Minutes) -> Result<Audit, ReckonError> {
    let opening = OPENING_CM2.check(opening_cm2)?;
    let minutes = MINUTES.check(minutes.get())?;
    let count = readings_ml.len();
    if !(READINGS_COUNT_MIN..=READINGS_COUNT_MAX).contains(&count) {
        return Err(refused(format!(
            "{count} readings; there must be {READINGS_COUNT_MIN} to {READINGS_COUNT_MAX}, and 20 or more make an audit"
        )));
    }
    for (i, &reading) in readings_ml.iter().enumerate() {
        if READINGS_ML.check(reading).is_err() {
            return Err(refused(format!(
                "can {} holds {reading} mL; each must hold between {} and {} mL",
                i + 1,
                READINGS_ML.min,
                READINGS_ML.max
            )));
        }
    }
    let mean = mean(readings_ml);
    // Not only zero: so little that the ratios lose their meaning.
    if mean < 1e-6 {
        return Err(refused(format!("the {count} cans caught nothing; put them where the zone waters")));
    }
    let low_quarter = low_quarter_mean(&mut readings_ml.to_vec());
    let depth = mean / opening * 10.0;
    let rate = depth / minutes * 60.0;
    let du = low_quarter / mean;
    Ok(Audit {
        mean: Millimetres::new(depth),
        rate: MillimetresPerHour::new(rate),
        du_lq: Fraction::new(du),
        cu: Fraction::new(christiansen_uniformity(readings_ml, mean)),
        rate_low_quarter: MillimetresPerHour::new(rate * du),
    })
}

fn refused(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: READINGS_ML.field, message }
}

/// Mean of a list that is not empty.
pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Mean of the lowest `n / 4` of a list that is not empty, the last one by its fraction. Reorders the list.
pub(crate) fn low_quarter_mean(values: &mut [f64]) -> f64 {
    let quarter = values.len() as f64 / 4.0;
    let whole = values.len() / 4;
    let (lower, &mut next, _) = values.select_nth_unstable_by(whole, f64::total_cmp);
    (lower.iter().sum::<f64>() + (quarter - whole as f64) * next) / quarter
}

/// `1 - Σ|x - mean| / (n mean)` for a mean above zero.
pub(crate) fn christiansen_uniformity(values: &[f64], mean: f64) -> f64 {
    1.0 - values.iter().map(|x| (x - mean).abs()).sum::<f64>() / (values.len() as f64 * mean)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// 24 cans of 80 cm², 10 minutes; worked by hand from the definitions, four decimals.
    #[test]
    fn audit_of_24_cans() {
        let readings = [
            12.0, 15.0, 18.0, 20.0, 14.0, 16.0, 22.0, 25.0, 19.0, 17.0, 13.0, 21.0, 24.0, 16.0, 18.0, 20.0, 15.0, 19.0,
            23.0, 11.0, 17.0, 18.0, 20.0, 22.0,
        ];
        let audit = catch_can_audit(&readings, 80.0, Minutes::new(10.0)).unwrap();
        let rows = [
            ("mean_mm", audit.mean.get(), 2.2656, 0.000_05),
            ("rate_mm_h", audit.rate.get(), 13.59, 0.005),
            ("du_lq", audit.du_lq.get(), 0.7356, 0.000_05),
            ("cu", audit.cu.get(), 0.8362, 0.000_05),
            ("rate_low_quarter_mm_h", audit.rate_low_quarter.get(), 10.00, 0.005),
        ];
        for (name, got, printed, tolerance) in rows {
            assert!((got - printed).abs() <= tolerance, "{name}: {got} for {printed}");
        }
    }

    /// Six cans: the lowest 1.5 are one can and half of the next, (1 + 0.5 × 2) / 1.5.
    #[test]
    fn the_last_can_counts_by_its_fraction() {
        let low = low_quarter_mean(&mut [6.0, 2.0, 5.0, 1.0, 4.0, 3.0]);
        assert!((low - 2.0 / 1.5).abs() < 1e-12);
        // Fewer than four cans: the lowest alone.
        assert!((low_quarter_mean(&mut [3.0, 2.0]) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn refusals_name_the_field() {
        let t = Minutes::new(10.0);
        let field = |r: &[f64], a, t| catch_can_audit(r, a, t).unwrap_err().field();
        assert_eq!(field(&[], 80.0, t), "readings_ml");
        assert_eq!(field(&[1.0], 80.0, t), "readings_ml");
        assert_eq!(field(&[0.0; 8], 80.0, t), "readings_ml");
        assert_eq!(field(&[1.0; READINGS_COUNT_MAX + 1], 80.0, t), "readings_ml");
        assert!(catch_can_audit(&[1.0; READINGS_COUNT_MAX], 80.0, t).is_ok());
        assert_eq!(field(&[1.0, 2.0], 0.0, t), "opening_cm2");
        assert_eq!(field(&[1.0, 2.0], 80.0, Minutes::new(0.0)), "minutes");
        let error = catch_can_audit(&[5.0, 5.0, -1.0], 80.0, t).unwrap_err();
        assert!(error.to_string().contains("can 3 holds -1 mL"), "{error}");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or finite figures with 0 ≤ DU ≤ 1 and CU ≤ 1.
        #[test]
        fn any_input_is_safe(
            readings in prop::collection::vec(prop_oneof![0.0..200.0, any::<f64>()], 0..40),
            opening in prop_oneof![1.0..500.0, any::<f64>()], minutes in prop_oneof![1.0..60.0, any::<f64>()],
        ) {
            if let Ok(a) = catch_can_audit(&readings, opening, Minutes::new(minutes)) {
                prop_assert!(a.rate.get().is_finite() && a.mean.get().is_finite());
                prop_assert!((-1e-12..=1.0 + 1e-12).contains(&a.du_lq.get()));
                prop_assert!(a.cu.get() <= 1.0 + 1e-12 && a.cu.get().is_finite());
            }
        }

        /// Neither the order of the cans nor their size changes the evenness.
        #[test]
        fn order_and_scale_do_not_matter(
            mut readings in prop::collection::vec(1.0..200.0, 2..40), scale in 0.1..10.0,
        ) {
            let t = Minutes::new(15.0);
            let a = catch_can_audit(&readings, 80.0, t).unwrap();
            readings.reverse();
            readings.iter_mut().for_each(|r| *r *= scale);
            let b = catch_can_audit(&readings, 80.0 * scale, t).unwrap();
            prop_assert!((a.du_lq - b.du_lq).get().abs() < 1e-9 && (a.cu - b.cu).get().abs() < 1e-9);
            prop_assert!((a.rate - b.rate).get().abs() < 1e-9 * a.rate.get());
        }
    }
}

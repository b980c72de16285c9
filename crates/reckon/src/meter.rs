//! Water lost while nothing runs, from two readings of the meter.

use crate::error::{Bound, ReckonError};
use crate::units::{Litres, LitresPerMinute, Minutes};

/// Meter reading when the wait begins.
pub const START_L: Bound = Bound::new("start_l", 0.0, 1e9, "L", "meter reading at the start");
/// Meter reading when the wait ends.
pub const END_L: Bound = Bound::new("end_l", 0.0, 1e9, "L", "meter reading at the end");
/// The wait between the readings.
pub const MINUTES: Bound = Bound::new("minutes", 0.1, 44_640.0, "min", "time between the readings");

/// Flow that nobody asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leak {
    /// Mean flow over the wait.
    pub flow: LitresPerMinute,
    /// The same flow over a whole day.
    pub per_day: Litres,
}

/// Mean flow through a meter while everything is shut.
///
/// `q = (end - start) / t`; `a day = 1440 q`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `start`, `end` | meter readings | L | 0 ..= 1,000,000,000 |
/// | `t` | time between them, two hours or a night | min | 0.1 ..= 44,640 (31 days) |
///
/// Left out: the smallest flow the meter notices, and a meter that rolled over to zero.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field; [`ReckonError::Inconsistent`] naming `end_l` when it lies below `start_l`.
///
/// # Source
/// Definition. The wait of two hours without use: US EPA WaterSense, leak facts.
///
/// # Examples
/// 3.2 gallons in 120 minutes are 0.0267 gallons a minute and 38.4 gallons a day.
/// ```
/// use reckon::meter::meter_leak;
/// use reckon::units::{Litres, Minutes, factor::L_PER_GALLON};
///
/// let start = Litres::new(1_000.0);
/// let leak = meter_leak(start, start + Litres::new(3.2 * L_PER_GALLON), Minutes::new(120.0))?;
/// assert!((leak.flow.get() / L_PER_GALLON - 0.0267).abs() < 0.000_05);
/// assert!((leak.per_day.get() / L_PER_GALLON - 38.4).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn meter_leak(start: Litres, end: Litres, minutes: Minutes) -> Result<Leak, ReckonError> {
    let start = START_L.check(start.get())?;
    let end = END_L.check(end.get())?;
    let minutes = MINUTES.check(minutes.get())?;
    if end < start {
        return Err(ReckonError::Inconsistent {
            field: END_L.field,
            message: format!(
                "the meter reads {end} L at the end and {start} L at the start; it must not fall (after a roll-over add \
                 the meter's full count to the end)"
            ),
        });
    }
    let flow = (end - start) / minutes;
    Ok(Leak { flow: LitresPerMinute::new(flow), per_day: Litres::new(flow * 1_440.0) })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn refusals_name_the_field() {
        let field = |a, b, t| meter_leak(Litres::new(a), Litres::new(b), Minutes::new(t)).unwrap_err().field();
        assert_eq!(field(-1.0, 5.0, 60.0), "start_l");
        assert_eq!(field(1.0, f64::INFINITY, 60.0), "end_l");
        assert_eq!(field(6.0, 5.0, 60.0), "end_l");
        assert_eq!(field(1.0, 5.0, 0.0), "minutes");
    }

    #[test]
    fn a_tight_system_leaks_nothing() {
        let leak = meter_leak(Litres::new(7.0), Litres::new(7.0), Minutes::new(120.0)).unwrap();
        assert_eq!((leak.flow.get(), leak.per_day.get()), (0.0, 0.0));
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or a finite flow that is not negative.
        #[test]
        fn any_input_is_safe(
            a in prop_oneof![0.0..1e5, any::<f64>()], b in prop_oneof![0.0..1e5, any::<f64>()],
            t in prop_oneof![1.0..600.0, any::<f64>()],
        ) {
            if let Ok(leak) = meter_leak(Litres::new(a), Litres::new(b), Minutes::new(t)) {
                prop_assert!(leak.flow.get() >= 0.0 && leak.per_day.get().is_finite());
            }
        }
    }
}

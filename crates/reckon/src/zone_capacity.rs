//! How much water a supply bears, and how many heads of one kind a line of them.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::pipe;
use crate::units::{Fraction, Kilopascals, LitresPerMinute, MetresPerSecond, Millimetres};
use crate::zone_pressure::{HEADS_MAX, HeadLaw, LOSS_AT_LPM, LOSS_KPA, Run, RunPipe, STATIC_KPA, zone_pressure};

/// Speed water may have in a pipe.
pub const SPEED_MS: Bound = Bound::new("speed_ms", 0.01, 20.0, "m/s", "fastest water in the pipe");
/// Share of the static pressure a meter may take.
pub const SHARE: Bound = Bound::new("share", 0.0, 1.0, "", "share of the static pressure the meter may take");
/// Flow a supply bears.
pub const MOST_LPM: Bound = Bound::new("most_lpm", 0.0, 10_000.0, "L/min", "flow the supply bears");
/// Least pressure at the last head.
pub const LEAST_KPA: Bound = Bound::new("least_kpa", 0.0, 1_000.0, "kPa", "least pressure at the last head");

/// How near a regulator's setting is sought (kPa).
const NEAR_KPA: f64 = 0.005;

/// Flow of a pipe whose water runs at a speed: `Q = v π d² / 4`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `v` | speed | m/s | 0.01 ..= 20 |
/// | `d` | inside diameter (m in the formula) | mm | 1 ..= 2,000 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Continuity. In the trade's units `v = 0.4085 Q / d²`, ft/s, gal/min, in.
///
/// # Examples
/// Schedule 40, 1 in (1.049 in) at 5 ft/s carries 13.5 gal/min.
/// ```
/// use reckon::units::{MetresPerSecond, Millimetres};
/// use reckon::zone_capacity::flow_at_speed;
///
/// let flow = flow_at_speed(Millimetres::new(26.6446), MetresPerSecond::new(1.524))?;
/// assert!((flow.get() / 3.785411784 - 13.47).abs() < 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn flow_at_speed(inside: Millimetres, speed: MetresPerSecond) -> Result<LitresPerMinute, ReckonError> {
    let inside = pipe::INSIDE_MM.check(inside.get())? / 1000.0;
    let speed = SPEED_MS.check(speed.get())?;
    Ok(LitresPerMinute::new(speed * PI * inside * inside / 4.0 * 60_000.0))
}

/// Flow at which a meter takes a share of the static pressure: `Q = Q_s √(s P / p_s)`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Q_s`, `p_s` | a flow of the meter and its loss there | L/min, kPa | 0.1 ..= 10,000; above 0, ..= 1,000 |
/// | `s` | share | – | 0 ..= 1 |
/// | `P` | static pressure | kPa | 1 ..= 2,000 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// The square law of the AWWA table of meter losses.
///
/// # Examples
/// A 3/4 in meter loses 6.5 psi at 20 gal/min by the table; a tenth of 65 psi is reached there.
/// ```
/// use reckon::units::{Fraction, Kilopascals, LitresPerMinute};
/// use reckon::zone_capacity::meter_flow_at_share;
///
/// let (at, loss) = (LitresPerMinute::new(113.562), Kilopascals::new(103.42));
/// let flow = meter_flow_at_share(at, loss, Kilopascals::new(65.0 * 6.894757), Fraction::new(0.1))?;
/// assert!((flow.get() / 3.785411784 - 20.0).abs() < 0.4);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn meter_flow_at_share(
    at_flow: LitresPerMinute,
    at_loss: Kilopascals,
    static_pressure: Kilopascals,
    share: Fraction,
) -> Result<LitresPerMinute, ReckonError> {
    let at = LOSS_AT_LPM.check(at_flow.get())?;
    let loss = LOSS_KPA.check(at_loss.get())?;
    let allowed = SHARE.check(share.get())? * STATIC_KPA.check(static_pressure.get())?;
    let refused =
        ReckonError::Inconsistent { field: "loss_kpa", message: "a meter that loses nothing has no limit".into() };
    if loss > 0.0 { Ok(LitresPerMinute::new(at * (allowed / loss).sqrt())) } else { Err(refused) }
}

/// How many heads a line bears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LineBears {
    /// Heads until the last one has too little pressure.
    pub by_pressure: usize,
    /// Heads until the supply has no more water.
    pub by_flow: usize,
}

/// The most equal heads at equal distances behind a supply: until the last has less than `least`, and until they want more
/// than `most_flow` at their design pressure.
///
/// `before` is the way from the street to the valve (no heads), `step` the pipe from head to head. Each count is tried with
/// [`zone_pressure`]; more heads never leave the last one more pressure.
///
/// # Errors
/// As [`zone_pressure`]; [`ReckonError::OutOfRange`] naming `most_lpm` or `least_kpa`.
///
/// # Source
/// Definition; laws as in [`zone_pressure`].
///
/// # Examples
/// ```
/// use reckon::units::{Kilopascals, LitresPerMinute, Metres, Millimetres};
/// use reckon::zone_capacity::heads_a_line_bears;
/// use reckon::zone_pressure::{HeadLaw, RunPipe};
///
/// let head = HeadLaw { flow: LitresPerMinute::new(7.0), pressure: Kilopascals::new(207.0) };
/// let step =
///     RunPipe { length: Metres::new(4.5), inside: Millimetres::new(20.6), c: 150.0, fittings: Metres::new(0.3) };
/// let (least, most) = (Kilopascals::new(138.0), LitresPerMinute::new(50.0));
/// let bears = heads_a_line_bears(Kilopascals::new(300.0), &[], step, head, least, most)?;
/// assert_eq!(bears.by_flow, 7);
/// assert!(bears.by_pressure > 7);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn heads_a_line_bears(
    static_pressure: Kilopascals,
    before: &[Run],
    step: RunPipe,
    head: HeadLaw,
    least: Kilopascals,
    most_flow: LitresPerMinute,
) -> Result<LineBears, ReckonError> {
    let least = LEAST_KPA.check(least.get())?;
    let most = MOST_LPM.check(most_flow.get())?;
    let rise = before.last().map_or(crate::units::Metres::new(0.0), |r| r.rise);
    let mut runs = before.to_vec();
    let mut by_pressure = 0;
    for count in 1..=HEADS_MAX {
        let from = runs.len().checked_sub(1);
        runs.push(Run { from, pipe: Some(step), device: None, rise, head: Some(head) });
        let solved = zone_pressure(static_pressure, &runs)?;
        if solved.last().is_none_or(|last| last.pressure.get() < least) {
            break;
        }
        by_pressure = count;
    }
    // A hair more, so that a whole number of heads is not counted one less.
    Ok(LineBears { by_pressure, by_flow: (most / head.flow.get() + 1e-9).floor() as usize })
}

/// The least pressure at the beginning of the runs with which every head has `least`, found by halving; `None` where
/// `most` does not give it.
///
/// # Errors
/// As [`zone_pressure`]; [`ReckonError::OutOfRange`] naming `least_kpa`.
///
/// # Source
/// Definition; more pressure at the beginning is never less at a head.
///
/// # Examples
/// ```
/// use reckon::units::{Kilopascals, LitresPerMinute, Metres};
/// use reckon::zone_capacity::regulated_to;
/// use reckon::zone_pressure::{HeadLaw, Run, column};
///
/// let head = HeadLaw { flow: LitresPerMinute::new(7.0), pressure: Kilopascals::new(207.0) };
/// let run = Run { from: None, pipe: None, device: None, rise: Metres::new(2.0), head: Some(head) };
/// let set = regulated_to(&[run], Kilopascals::new(207.0), Kilopascals::new(500.0))?.unwrap();
/// assert!((set.get() - 207.0 - column(Metres::new(2.0)).get()).abs() < 0.01);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn regulated_to(runs: &[Run], least: Kilopascals, most: Kilopascals) -> Result<Option<Kilopascals>, ReckonError> {
    let least = LEAST_KPA.check(least.get())?;
    let holds = |kpa: f64| -> Result<bool, ReckonError> {
        let solved = zone_pressure(Kilopascals::new(kpa), runs)?;
        let mut heads = runs.iter().zip(&solved).filter(|(run, _)| run.head.is_some());
        Ok(heads.all(|(_, s)| s.pressure.get() >= least))
    };
    let (mut low, mut high) = (STATIC_KPA.min, most.get());
    if !holds(high)? {
        return Ok(None);
    }
    while high - low > NEAR_KPA {
        let middle = (low + high) / 2.0;
        if holds(middle)? { high = middle } else { low = middle }
    }
    Ok(Some(Kilopascals::new(high)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Metres, factor};

    /// Flows at 5 ft/s; inside diameters as told. Source: v = 0.4085 Q / d² of irrigation handbooks, worked by hand.
    #[test]
    fn flows_at_five_feet_a_second() {
        for (inches, gpm) in
            [(0.622, 4.73), (0.824, 8.31), (1.049, 13.47), (1.380, 23.31), (1.610, 31.72), (2.067, 52.29)]
        {
            let inside = Millimetres::new(inches * factor::MM_PER_INCH);
            let flow = flow_at_speed(inside, MetresPerSecond::new(5.0 * factor::M_PER_FOOT)).unwrap();
            assert!((flow.get() / factor::L_PER_GALLON - gpm).abs() < 0.02, "{inches}: {}", flow.get());
        }
    }

    /// One head more than is borne leaves the last with too little; the count itself does not.
    #[test]
    fn the_count_is_the_last_that_holds() {
        let head = HeadLaw { flow: LitresPerMinute::new(7.0), pressure: Kilopascals::new(206.8) };
        let step =
            RunPipe { length: Metres::new(4.6), inside: Millimetres::new(20.57), c: 150.0, fittings: Metres::new(0.3) };
        let static_pressure = Kilopascals::new(260.0);
        let least = Kilopascals::new(170.0);
        let bears = heads_a_line_bears(static_pressure, &[], step, head, least, LitresPerMinute::new(35.0)).unwrap();
        assert_eq!(bears.by_flow, 5);
        let last = |n: usize| {
            let runs: Vec<Run> = (0..n)
                .map(|i| Run {
                    from: i.checked_sub(1),
                    pipe: Some(step),
                    device: None,
                    rise: Metres::new(0.0),
                    head: Some(head),
                })
                .collect();
            zone_pressure(static_pressure, &runs).unwrap()[n - 1].pressure.get()
        };
        assert!(bears.by_pressure > 1);
        assert!(last(bears.by_pressure) >= 170.0 && last(bears.by_pressure + 1) < 170.0);
        // A static pressure under the least bears none.
        let none = heads_a_line_bears(Kilopascals::new(160.0), &[], step, head, least, LitresPerMinute::new(35.0));
        assert_eq!(none.unwrap().by_pressure, 0);
    }

    #[test]
    fn refusals_name_the_field() {
        let (inside, speed) = (Millimetres::new, MetresPerSecond::new);
        assert_eq!(flow_at_speed(inside(0.0), speed(1.0)).unwrap_err().field(), "inside_mm");
        assert_eq!(flow_at_speed(inside(20.0), speed(f64::NAN)).unwrap_err().field(), "speed_ms");
        let meter = |at, loss, p, s| {
            meter_flow_at_share(LitresPerMinute::new(at), Kilopascals::new(loss), Kilopascals::new(p), Fraction::new(s))
        };
        assert_eq!(meter(0.0, 100.0, 400.0, 0.1).unwrap_err().field(), "loss_at_lpm");
        assert_eq!(meter(75.0, 0.0, 400.0, 0.1).unwrap_err().field(), "loss_kpa");
        assert_eq!(meter(75.0, 100.0, 0.0, 0.1).unwrap_err().field(), "static_kpa");
        assert_eq!(meter(75.0, 100.0, 400.0, 1.1).unwrap_err().field(), "share");
    }
}

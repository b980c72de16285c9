//! Minutes a zone must run: depth needed, unevenness, and cycles short enough for the soil.

use serde::{Deserialize, Serialize};

use crate::error::{Bound, ReckonError};
use crate::units::{Fraction, Millimetres, MillimetresPerHour, Minutes};
use crate::working::{Step, Value};

/// Depth the driest sensible part of the zone must receive.
pub const NEED_MM: Bound = Bound::new("need_mm", 0.0, 200.0, "mm", "depth of water needed");
/// Mean rate of the zone, from the meter or a catch-can audit.
pub const RATE_MM_H: Bound = Bound::new("rate_mm_h", 0.1, 500.0, "mm/h", "mean application rate of the zone");
/// Distribution uniformity of the lowest quarter.
pub const DU_LQ: Bound = Bound::new("du_lq", 0.05, 1.0, "", "distribution uniformity of the lowest quarter");
/// Basic intake rate of the soil.
pub const INTAKE_MM_H: Bound = Bound::new("intake_mm_h", 0.1, 500.0, "mm/h", "rate at which the soil takes in water");
/// Water the surface holds before it runs off.
pub const SURFACE_STORAGE_MM: Bound =
    Bound::new("surface_storage_mm", 0.1, 100.0, "mm", "water the surface holds before it runs off");

/// Surface storage taken when nobody measured it: 5 mm, the allowance for a loam slope of 7 to 12 per cent and a third
/// more than for level clay (common practice). Timing the zone until water first runs off replaces it.
pub const SURFACE_STORAGE_DEFAULT: Millimetres = Millimetres::new(5.0);

/// Shortest pause between two cycles (common practice; cycle and soak guides give 30 to 60 minutes).
pub const SOAK_MIN: Minutes = Minutes::new(30.0);

/// Which part of the zone the run time serves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scheduling {
    /// The mean of the driest quarter gets the full need: multiplier `1 / DU`. Much of the zone is then overwatered.
    LowQuarter,
    /// The mean of the driest half gets about the full need: multiplier `1 / (0.4 + 0.6 DU)`.
    LowHalf,
}

/// What [`zone_run_time`] needs to know.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunTimeInput {
    /// Depth of water needed.
    pub need: Millimetres,
    /// Mean application rate of the zone.
    pub rate: MillimetresPerHour,
    /// Distribution uniformity of the lowest quarter.
    pub du_lq: Fraction,
    /// Which part of the zone the run time serves.
    pub scheduling: Scheduling,
    /// Rate at which the soil takes in water; without it the zone runs in one cycle.
    pub intake: Option<MillimetresPerHour>,
    /// Water the surface holds before it runs off; [`SURFACE_STORAGE_DEFAULT`] when absent.
    pub surface_storage: Option<Millimetres>,
}

/// How long and in how many cycles a zone runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunTime {
    /// Minutes of running in all, pauses not counted.
    pub minutes: Minutes,
    /// Factor by which unevenness lengthens the run.
    pub multiplier: f64,
    /// Equal cycles the run is cut into; 0 when nothing is needed.
    pub cycles: u32,
    /// Minutes of each cycle.
    pub minutes_per_cycle: Minutes,
    /// Least pause between two cycles; 0 when there are fewer than two.
    pub soak: Minutes,
}

/// Run time of a zone, cut into cycles that the soil can take.
///
/// `t = 60 D M / PR`; `M = 1 / DU` (low quarter) or `1 / (0.4 + 0.6 DU)` (low half).
///
/// When `PR > I` a cycle may last `60 S / (PR - I)` minutes before water runs off, so the run is cut into
/// `ceil(t / that)` equal cycles of `c` minutes, at least `max(30, 60 (PR c / 60) / I - c)` minutes apart: the time in
/// which the water of one cycle enters the soil. When the soil keeps up (`PR ≤ I`), or the intake is not known, the run
/// is one cycle.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `D`  | depth needed | mm | 0 ..= 200 |
/// | `PR` | mean application rate | mm/h | 0.1 ..= 500 |
/// | `DU` | distribution uniformity, lowest quarter | – | 0.05 ..= 1 |
/// | `M`  | run-time multiplier | – | ≥ 1 |
/// | `I`  | basic intake rate | mm/h | 0.1 ..= 500 |
/// | `S`  | surface storage | mm | 0.1 ..= 100, 5 when absent |
///
/// Left out: the faster intake of dry soil in the first minutes, slope, wind, and evaporation of spray. Minutes are not
/// rounded; whoever sets a controller rounds them.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Multipliers: landscape irrigation auditing practice; B. Mecham, *Audit based landscape irrigation scheduling*, ASABE
/// paper IRR10-10040, 2010, on why the low half replaced the low quarter. Cycles: depth balance of the surface (common
/// practice); pauses of 30 to 60 minutes: Texas A&M Water University, *Irrigation cycle and soak*.
///
/// # Examples
/// Spray heads at 40 mm/h on clay loam that takes 7 mm/h and holds 5 mm: three cycles of 7.14 minutes, 33.7 apart.
/// ```
/// use reckon::run_time::{RunTimeInput, Scheduling, zone_run_time};
/// use reckon::units::{Fraction, Millimetres, MillimetresPerHour};
///
/// let run = zone_run_time(&RunTimeInput {
///     need: Millimetres::new(14.28),
///     rate: MillimetresPerHour::new(40.0),
///     du_lq: Fraction::new(1.0),
///     scheduling: Scheduling::LowHalf,
///     intake: Some(MillimetresPerHour::new(7.0)),
///     surface_storage: Some(Millimetres::new(5.0)),
/// })?;
/// assert_eq!(run.cycles, 3);
/// assert!((run.minutes.get() - 21.4).abs() < 0.05);
/// assert!((run.minutes_per_cycle.get() - 7.14).abs() < 0.005);
/// assert!((run.soak.get() - 33.7).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn zone_run_time(input: &RunTimeInput) -> Result<RunTime, ReckonError> {
    Ok(reckon(input)?.run)
}

/// The steps behind [`zone_run_time`], in order.
///
/// # Errors
/// As [`zone_run_time`].
pub fn run_time_working(input: &RunTimeInput) -> Result<Vec<Step>, ReckonError> {
    let Reckoned { base, cycle_max, run } = reckon(input)?;
    let rate = Value::number("PR", input.rate.get(), "mm/h");
    let mut steps = vec![
        Step::new(
            "Run time if every spot got the mean",
            "60 × D / PR",
            vec![Value::number("D", input.need.get(), "mm"), rate.clone()],
            Value::number("base", base, "min"),
        ),
        Step::new(
            "Multiplier for unevenness",
            match input.scheduling {
                Scheduling::LowQuarter => "1 / DU",
                Scheduling::LowHalf => "1 / (0.4 + 0.6 × DU)",
            },
            vec![Value::number("DU", input.du_lq.get(), "")],
            Value::number("M", run.multiplier, ""),
        ),
        Step::new(
            "Run time",
            "base × M",
            vec![Value::number("base", base, "min"), Value::number("M", run.multiplier, "")],
            Value::number("t", run.minutes.get(), "min"),
        ),
    ];
    let Some(intake) = input.intake else { return Ok(steps) };
    let intake = Value::number("I", intake.get(), "mm/h");
    let Some(cycle_max) = cycle_max else {
        steps.push(Step::new(
            "Cycles",
            "one, because PR ≤ I",
            vec![rate, intake],
            Value::number("cycles", f64::from(run.cycles), ""),
        ));
        return Ok(steps);
    };
    let storage = match input.surface_storage {
        Some(s) => Value::number("S", s.get(), "mm"),
        None => {
            Value::number("S", SURFACE_STORAGE_DEFAULT.get(), "mm").assumed("time the zone until water first runs off")
        }
    };
    steps.push(Step::new(
        "Longest cycle before water runs off",
        "60 × S / (PR - I)",
        vec![storage, rate.clone(), intake.clone()],
        Value::number("cycle_max", cycle_max, "min"),
    ));
    steps.push(Step::new(
        "Cycles",
        "t / cycle_max, rounded up",
        vec![Value::number("t", run.minutes.get(), "min"), Value::number("cycle_max", cycle_max, "min")],
        Value::number("cycles", f64::from(run.cycles), ""),
    ));
    if run.cycles > 1 {
        let cycle = Value::number("c", run.minutes_per_cycle.get(), "min");
        steps.push(Step::new(
            "Minutes of each cycle",
            "t / cycles",
            vec![Value::number("t", run.minutes.get(), "min"), Value::number("cycles", f64::from(run.cycles), "")],
            cycle.clone(),
        ));
        steps.push(Step::new(
            "Least pause between cycles",
            "60 × (PR × c / 60) / I - c, at least 30",
            vec![rate, cycle, intake],
            Value::number("soak", run.soak.get(), "min"),
        ));
    }
    Ok(steps)
}

/// Factor by which unevenness lengthens a run: `1 / DU` or `1 / (0.4 + 0.6 DU)`.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `du_lq` outside 0.05 ..= 1.
///
/// # Source
/// As [`zone_run_time`].
///
/// # Examples
/// ```
/// use reckon::run_time::{Scheduling, run_time_multiplier};
/// use reckon::units::Fraction;
///
/// let m = run_time_multiplier(Fraction::new(0.70), Scheduling::LowHalf)?;
/// assert!((m - 1.220).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn run_time_multiplier(du_lq: Fraction, scheduling: Scheduling) -> Result<f64, ReckonError> {
    let du = DU_LQ.check(du_lq.get())?;
    Ok(match scheduling {
        Scheduling::LowQuarter => 1.0 / du,
        Scheduling::LowHalf => 1.0 / (0.4 + 0.6 * du),
    })
}

struct Reckoned {
    base: f64,
    /// Longest cycle without runoff; `None` when nothing limits it.
    cycle_max: Option<f64>,
    run: RunTime,
}

fn reckon(input: &RunTimeInput) -> Result<Reckoned, ReckonError> {
    let need = NEED_MM.check(input.need.get())?;
    let rate = RATE_MM_H.check(input.rate.get())?;
    let multiplier = run_time_multiplier(input.du_lq, input.scheduling)?;
    let intake = input.intake.map(|i| INTAKE_MM_H.check(i.get())).transpose()?;
    let storage = SURFACE_STORAGE_MM.check(input.surface_storage.unwrap_or(SURFACE_STORAGE_DEFAULT).get())?;

    let base = 60.0 * need / rate;
    let minutes = base * multiplier;
    let limit = intake.and_then(|i| cycle_limit(rate, i, storage).map(|cycle| (i, cycle)));
    let cycles =
        if minutes == 0.0 { 0 } else { limit.map_or(1, |(_, cycle_max)| rounded_up(minutes / cycle_max).max(1)) };
    let cycle = if cycles == 0 { 0.0 } else { minutes / f64::from(cycles) };
    let soak = match limit {
        Some((intake, _)) if cycles > 1 => (rate * cycle / intake - cycle).max(SOAK_MIN.get()),
        _ => 0.0,
    };
    Ok(Reckoned {
        base,
        cycle_max: limit.map(|(_, cycle_max)| cycle_max),
        run: RunTime {
            minutes: Minutes::new(minutes),
            multiplier,
            cycles,
            minutes_per_cycle: Minutes::new(cycle),
            soak: Minutes::new(soak),
        },
    })
}

fn cycle_limit(rate: f64, intake: f64, storage: f64) -> Option<f64> {
    (rate > intake).then(|| 60.0 * storage / (rate - intake))
}

/// Longest cycle before water runs off, `60 S / (PR - I)`; `None` where the soil keeps up. Symbols, ranges and source as for
/// [`zone_run_time`].
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
pub fn longest_cycle(
    rate: MillimetresPerHour,
    intake: MillimetresPerHour,
    storage: Millimetres,
) -> Result<Option<Minutes>, ReckonError> {
    let (rate, intake) = (RATE_MM_H.check(rate.get())?, INTAKE_MM_H.check(intake.get())?);
    Ok(cycle_limit(rate, intake, SURFACE_STORAGE_MM.check(storage.get())?).map(Minutes::new))
}

/// Rounds a count up, but forgives the last digits: 3.000 000 000 1 cycles are three. The bounds above keep it below
/// 40,000 (4,000 mm in cycles of at least 0.1 mm).
fn rounded_up(count: f64) -> u32 {
    (count * (1.0 - 1e-9)).ceil() as u32
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::working::Datum;

    fn input(need: f64, rate: f64, du: f64, scheduling: Scheduling) -> RunTimeInput {
        RunTimeInput {
            need: Millimetres::new(need),
            rate: MillimetresPerHour::new(rate),
            du_lq: Fraction::new(du),
            scheduling,
            intake: None,
            surface_storage: None,
        }
    }

    fn soil(mut i: RunTimeInput, intake: f64, storage: f64) -> RunTimeInput {
        i.intake = Some(MillimetresPerHour::new(intake));
        i.surface_storage = Some(Millimetres::new(storage));
        i
    }

    /// Multipliers agree with the table of both rules; printed to three decimals.
    #[test]
    fn multipliers_match_the_table() {
        // du_lq, 1/DU, 1/(0.4+0.6 DU). Source: the two definitions, tabulated by hand.
        let rows = [
            (0.40, 2.500, 1.563),
            (0.50, 2.000, 1.429),
            (0.55, 1.818, 1.370),
            (0.60, 1.667, 1.316),
            (0.65, 1.538, 1.266),
            (0.70, 1.429, 1.220),
            (0.75, 1.333, 1.176),
            (0.80, 1.250, 1.136),
            (0.85, 1.176, 1.099),
            (0.90, 1.111, 1.064),
        ];
        for (du, quarter, half) in rows {
            let q = run_time_multiplier(Fraction::new(du), Scheduling::LowQuarter).unwrap();
            let h = run_time_multiplier(Fraction::new(du), Scheduling::LowHalf).unwrap();
            assert!((q - quarter).abs() < 0.000_51, "1/DU at {du}: {q}");
            assert!((h - half).abs() < 0.000_51, "1/(0.4+0.6DU) at {du}: {h}");
        }
    }

    /// The audit of 24 cans carried on to a run time: base 52.97 min, 62.95 by the low half, 72.00 by the low quarter.
    #[test]
    fn audit_example_gives_its_run_times() {
        let (rate, du) = (13.593_75, 13.0 + 1.0 / 3.0);
        let du = du / 18.125;
        let half = zone_run_time(&input(12.0, rate, du, Scheduling::LowHalf)).unwrap();
        let quarter = zone_run_time(&input(12.0, rate, du, Scheduling::LowQuarter)).unwrap();
        assert!((half.minutes.get() - 62.95).abs() < 0.005);
        assert!((half.multiplier - 1.1885).abs() < 0.000_05);
        assert!((quarter.minutes.get() - 72.00).abs() < 0.005);
        assert!((quarter.multiplier - 1.3594).abs() < 0.000_05);
        let steps = run_time_working(&input(12.0, rate, du, Scheduling::LowHalf)).unwrap();
        let Datum::Number(base) = steps[0].result.value else { panic!("a number") };
        assert!((base - 52.97).abs() < 0.005);
        assert_eq!(steps.len(), 3);
    }

    /// Cycle and soak step by step: limit 9.09 min, 3 cycles of 7.14 min, pause 33.7 min.
    #[test]
    fn cycle_and_soak_example_step_by_step() {
        let i = soil(input(14.28, 40.0, 1.0, Scheduling::LowHalf), 7.0, 5.0);
        let steps = run_time_working(&i).unwrap();
        let figures: Vec<f64> = steps
            .iter()
            .map(|s| match s.result.value {
                Datum::Number(n) => n,
                Datum::Text(_) => f64::NAN,
            })
            .collect();
        let printed = [21.42, 1.0, 21.42, 9.09, 3.0, 7.14, 33.66];
        assert_eq!(figures.len(), printed.len());
        for (got, want) in figures.iter().zip(printed) {
            assert!((got - want).abs() < 0.005_1, "{got} for {want}");
        }
    }

    #[test]
    fn edges() {
        // Nothing needed: no cycle.
        let none = zone_run_time(&soil(input(0.0, 40.0, 0.7, Scheduling::LowHalf), 7.0, 5.0)).unwrap();
        assert_eq!((none.cycles, none.minutes.get(), none.minutes_per_cycle.get()), (0, 0.0, 0.0));
        // The soil keeps up: one cycle, no pause.
        let one = zone_run_time(&soil(input(50.0, 7.0, 0.7, Scheduling::LowHalf), 7.0, 5.0)).unwrap();
        assert_eq!((one.cycles, one.soak.get()), (1, 0.0));
        // A run that fills the limit exactly is not cut once more for a rounding error.
        let exact = zone_run_time(&soil(input(30.0, 20.0, 1.0, Scheduling::LowHalf), 10.0, 5.0)).unwrap();
        assert_eq!(exact.cycles, 3);
        // A pause is never under half an hour.
        let short = zone_run_time(&soil(input(14.0, 21.0, 1.0, Scheduling::LowHalf), 20.0, 0.5)).unwrap();
        assert_eq!((short.cycles, short.soak), (2, SOAK_MIN));
        // The storage nobody gave is told as assumed.
        let mut i = soil(input(14.28, 40.0, 1.0, Scheduling::LowHalf), 7.0, 5.0);
        i.surface_storage = None;
        assert_eq!(zone_run_time(&i).unwrap().cycles, 3);
        assert!(run_time_working(&i).unwrap()[3].values[0].assumed);
        for (bad, field) in [
            (input(-1.0, 40.0, 0.7, Scheduling::LowHalf), "need_mm"),
            (input(1.0, 0.0, 0.7, Scheduling::LowHalf), "rate_mm_h"),
            (input(1.0, 40.0, 0.0, Scheduling::LowHalf), "du_lq"),
            (input(1.0, 40.0, f64::NAN, Scheduling::LowHalf), "du_lq"),
            (soil(input(1.0, 40.0, 0.7, Scheduling::LowHalf), 0.0, 5.0), "intake_mm_h"),
            (soil(input(1.0, 40.0, 0.7, Scheduling::LowHalf), 7.0, -5.0), "surface_storage_mm"),
        ] {
            assert_eq!(zone_run_time(&bad).unwrap_err().field(), field);
            assert_eq!(run_time_working(&bad).unwrap_err().field(), field);
        }
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input: an error, or finite figures that fit together; no cycle is longer than the soil allows.
        #[test]
        fn any_input_is_safe(
            need in prop_oneof![0.0..300.0, any::<f64>()], rate in prop_oneof![0.0..600.0, any::<f64>()],
            du in prop_oneof![0.0..1.2, any::<f64>()], intake in prop_oneof![0.0..60.0, any::<f64>()],
            storage in prop_oneof![0.0..20.0, any::<f64>()], low_half: bool,
        ) {
            let scheduling = if low_half { Scheduling::LowHalf } else { Scheduling::LowQuarter };
            let i = soil(input(need, rate, du, scheduling), intake, storage);
            if let Ok(run) = zone_run_time(&i) {
                prop_assert!(run.minutes.get().is_finite() && run.soak.get().is_finite());
                prop_assert!(run.multiplier >= 1.0 - 1e-12);
                let sum = f64::from(run.cycles) * run.minutes_per_cycle.get();
                prop_assert!((sum - run.minutes.get()).abs() <= 1e-9 * run.minutes.get().max(1.0));
                if rate > intake {
                    let left = run.minutes_per_cycle.get() * (rate - intake) / 60.0;
                    prop_assert!(left <= storage * (1.0 + 1e-8));
                }
                prop_assert_eq!(run.cycles > 1, run.soak.get() > 0.0);
                prop_assert!(run_time_working(&i).is_ok());
            }
        }

        /// More need never means less time; a more even zone never means more.
        #[test]
        fn monotonic(a in 0.0..100.0, b in 0.0..100.0, u in 0.3..1.0, v in 0.3..1.0) {
            let t = |need, du| zone_run_time(&input(need, 20.0, du, Scheduling::LowHalf)).unwrap().minutes.get();
            if a <= b { prop_assert!(t(a, u) <= t(b, u)); }
            if u <= v { prop_assert!(t(a, u) >= t(a, v)); }
        }
    }
}

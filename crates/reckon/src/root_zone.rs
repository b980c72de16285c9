//! The water the roots can reach, as one bucket: what comes in, what the grass takes, what drains, what is missing.
//!
//! Numbers in the text are equation numbers of FAO Irrigation and Drainage Paper 56 (1998), chapter 8. The bucket is described
//! by its **depletion** `Dr`: 0 mm at field capacity, `TAW` when the wilting point is reached.

use crate::error::{Bound, ReckonError};
use crate::units::{Fraction, Metres, Millimetres, MillimetresPerMetre};

/// Water the soil holds for plants.
pub const AVAILABLE: Bound = Bound::new(
    "available_mm_m",
    1.0,
    1000.0,
    "mm/m",
    "water between field capacity and wilting point in a metre of soil",
);
/// Depth of the roots.
pub const ROOT_DEPTH: Bound = Bound::new("root_depth_m", 0.005, 5.0, "m", "depth the roots draw water from");
/// Share of the available water that can go before the grass holds back.
pub const DEPLETION_FRACTION: Bound =
    Bound::new("depletion_fraction", 0.0, 1.0, "", "share of the available water that may go before growth suffers");
/// Depletion before the first day.
pub const INITIAL_DEPLETION: Bound =
    Bound::new("initial_depletion_mm", 0.0, 5000.0, "mm", "water missing to field capacity before the first day");
/// Reference evapotranspiration of a day.
pub const ET0: Bound = Bound::new("et0_mm", 0.0, 50.0, "mm", "reference evapotranspiration of the day");
/// Crop coefficient.
pub const KC: Bound = Bound::new("kc", 0.0, 2.0, "", "crop coefficient");
/// Rain of a day.
pub const RAIN: Bound = Bound::new("rain_mm", 0.0, 2000.0, "mm", "rain of the day");
/// Water given in a day.
pub const IRRIGATION: Bound = Bound::new("irrigation_mm", 0.0, 2000.0, "mm", "water given on the day");
/// Water that ran off in a day.
pub const RUNOFF: Bound =
    Bound::new("runoff_mm", 0.0, 2000.0, "mm", "part of the day's rain and watering that ran off");

/// Whether the depletion fraction answers to the day's demand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FractionRule {
    /// `p` as given.
    #[default]
    Fixed,
    /// `p + 0.04 (5 − ETc)`, kept within 0.1 ..= 0.8 (note to Table 22): on a hot day the grass suffers sooner.
    AdjustedByEtc,
}

/// Which depletion the stress of a day is read from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StressFrom {
    /// The end of the day before: the published example's form.
    #[default]
    PreviousEnd,
    /// After this day's rain and watering: water given in the morning helps the same day. What advice uses.
    AfterInflow,
}

/// A root zone whose numbers were checked when it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RootZone {
    available: MillimetresPerMetre,
    root_depth: Metres,
    depletion_fraction: Fraction,
    adjust_fraction: FractionRule,
    stress_from: StressFrom,
}

/// One day's demand and supply.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Inflow {
    /// Reference evapotranspiration.
    pub et0: Millimetres,
    /// Crop coefficient.
    pub kc: f64,
    /// Rain.
    pub rain: Millimetres,
    /// Water given.
    pub irrigation: Millimetres,
    /// Part of rain and watering that ran off.
    pub runoff: Millimetres,
}

/// What one day did to the root zone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayBalance {
    /// `ETc = Kc ET0`, demand without stress.
    pub etc: Millimetres,
    /// `RAW = p TAW`, readily available water with this day's `p`.
    pub raw: Millimetres,
    /// `Ks`, 1 without stress, 0 at the wilting point.
    pub ks: f64,
    /// Water the grass took.
    pub eta: Millimetres,
    /// Water that left below the roots.
    pub drainage: Millimetres,
    /// Depletion at the day's end.
    pub depletion: Millimetres,
}

impl Inflow {
    /// The same day when every figure is in its range and no more ran off than came.
    ///
    /// # Errors
    /// [`ReckonError`] naming the field.
    pub fn check(&self) -> Result<Self, ReckonError> {
        ET0.check(self.et0.get())?;
        KC.check(self.kc)?;
        RAIN.check(self.rain.get())?;
        IRRIGATION.check(self.irrigation.get())?;
        RUNOFF.check(self.runoff.get())?;
        let (came, ran_off) = ((self.rain + self.irrigation).get(), self.runoff.get());
        if ran_off > came {
            return Err(ReckonError::Inconsistent {
                field: RUNOFF.field,
                message: format!("{ran_off} mm ran off, but only {came} mm of rain and watering came"),
            });
        }
        Ok(*self)
    }
}

impl RootZone {
    /// A root zone.
    ///
    /// | symbol | meaning | unit | range |
    /// | --- | --- | --- | --- |
    /// | `available` | water between field capacity and wilting point | mm/m | 1 ..= 1000 |
    /// | `root_depth` | depth of the roots | m | 0.005 ..= 5 |
    /// | `p` | depletion fraction | – | 0 ..= 1; Table 22 has 0.40 for cool-season and 0.50 for warm-season turf |
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming the field.
    pub fn new(
        available: MillimetresPerMetre,
        root_depth: Metres,
        depletion_fraction: Fraction,
        adjust_fraction: FractionRule,
        stress_from: StressFrom,
    ) -> Result<Self, ReckonError> {
        AVAILABLE.check(available.get())?;
        ROOT_DEPTH.check(root_depth.get())?;
        DEPLETION_FRACTION.check(depletion_fraction.get())?;
        Ok(Self { available, root_depth, depletion_fraction, adjust_fraction, stress_from })
    }

    /// Water the soil holds for plants, a metre of it.
    pub fn available(&self) -> MillimetresPerMetre {
        self.available
    }

    /// Depth of the roots.
    pub fn root_depth(&self) -> Metres {
        self.root_depth
    }

    /// The depletion fraction as given.
    pub fn depletion_fraction(&self) -> Fraction {
        self.depletion_fraction
    }

    /// Whether the depletion fraction answers to the day's demand.
    pub fn fraction_rule(&self) -> FractionRule {
        self.adjust_fraction
    }

    /// Which depletion stress is read from.
    pub fn stress_from(&self) -> StressFrom {
        self.stress_from
    }

    /// Total available water, `TAW = 1000 (FC − WP) Zr` (eq. 82).
    pub fn taw(&self) -> Millimetres {
        Millimetres::new(self.available.get() * self.root_depth.get())
    }

    /// Readily available water on a day of this demand, `RAW = p TAW` (eq. 83).
    pub fn raw(&self, etc: Millimetres) -> Millimetres {
        self.taw() * self.fraction(etc.get())
    }

    /// One day of the balance.
    ///
    /// `Ks = (TAW − Dr) / ((1 − p) TAW)` for `Dr > RAW`, else 1 (eq. 84); `ETa = Ks Kc ET0` (eq. 81);
    /// `Dr' = Dr − (P − RO) − I + ETa + DP` (eq. 85), `0 ≤ Dr' ≤ TAW` (eq. 86), `DP` what is over field capacity after `ETa`
    /// (eq. 88).
    ///
    /// Where eq. 86 would cut the depletion at `TAW`, `ETa` is made smaller to what is really there, so that no water is
    /// invented: rain + irrigation − runoff = `ETa` + drainage − (Dr' − Dr), always.
    ///
    /// Total on any input: the day is expected to have passed [`Inflow::check`]; figures that have not are held to 0 and up,
    /// and `depletion_before` to 0 ..= `TAW`.
    ///
    /// Left out: rise from a water table, and rain that only wets leaves (the paper drops less than 0.2 `ET0`).
    ///
    /// # Source
    /// FAO Irrigation and Drainage Paper 56 (1998), eq. 81 to 88 and the note to Table 22.
    pub fn step(&self, depletion_before: Millimetres, day: &Inflow) -> DayBalance {
        let taw = self.taw().get();
        let before = held(depletion_before.get()).min(taw);
        let etc = held(day.et0.get()) * held(day.kc);
        let p = self.fraction(etc);
        let raw = p * taw;
        let inflow = (held(day.rain.get()) + held(day.irrigation.get()) - held(day.runoff.get())).max(0.0);
        // Below 0 the soil is over field capacity for the moment.
        let wetted = before - inflow;
        let stress_at = match self.stress_from {
            StressFrom::PreviousEnd => before,
            StressFrom::AfterInflow => wetted.max(0.0),
        };
        let ks = stress(stress_at, raw, p, taw);
        let eta = (ks * etc).min(taw - wetted);
        let end = wetted + eta;
        DayBalance {
            etc: Millimetres::new(etc),
            raw: Millimetres::new(raw),
            ks,
            eta: Millimetres::new(eta),
            drainage: Millimetres::new((-end).max(0.0)),
            depletion: Millimetres::new(end.max(0.0).min(taw)),
        }
    }

    fn fraction(&self, etc: f64) -> f64 {
        let p = self.depletion_fraction.get();
        match self.adjust_fraction {
            FractionRule::Fixed => p,
            FractionRule::AdjustedByEtc => (p + 0.04 * (5.0 - etc)).clamp(0.1, 0.8),
        }
    }
}

/// The balance over several days.
///
/// Each day is [`RootZone::step`] from the depletion the day before left.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `initial` | depletion before the first day | mm | 0 ..= `TAW` |
/// | `ET0`, `Kc` | demand | mm, – | 0 ..= 50, 0 ..= 2 |
/// | `P`, `I`, `RO` | rain, watering, runoff | mm | 0 ..= 2000, `RO ≤ P + I` |
///
/// # Errors
/// [`ReckonError`] naming the field, and the day it stands on.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 81 to 88.
///
/// # Examples
/// Example 37, tomatoes without water for ten days: day 10 ends at 104.5 mm.
/// ```
/// use reckon::root_zone::{FractionRule, Inflow, RootZone, StressFrom, balance};
/// use reckon::units::{Fraction, Metres, Millimetres, MillimetresPerMetre};
/// let zone = RootZone::new(
///     MillimetresPerMetre::new(200.0), Metres::new(0.8), Fraction::new(0.4), FractionRule::Fixed, StressFrom::PreviousEnd)?;
/// let dry = Inflow { et0: Millimetres::new(5.0), kc: 1.2, ..Inflow::default() };
/// let days = balance(&zone, Millimetres::new(55.0), &[dry; 10])?;
/// assert!((days[9].depletion.get() - 104.5).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn balance(zone: &RootZone, initial: Millimetres, days: &[Inflow]) -> Result<Vec<DayBalance>, ReckonError> {
    let mut depletion = Millimetres::new(INITIAL_DEPLETION.check(initial.get())?);
    let taw = zone.taw().get();
    // A depletion typed from a printed TAW may differ from the product in its last bit.
    if depletion.get() > taw * (1.0 + 1e-9) {
        return Err(ReckonError::Inconsistent {
            field: INITIAL_DEPLETION.field,
            message: format!("{} mm cannot be missing from a root zone that holds {taw} mm", depletion.get()),
        });
    }
    let mut out = Vec::with_capacity(days.len());
    for (index, day) in days.iter().enumerate() {
        let day = day.check().map_err(|e| e.on_day(index))?;
        let balance = zone.step(depletion, &day);
        depletion = balance.depletion;
        out.push(balance);
    }
    Ok(out)
}

/// Eq. 84, kept within 0 ..= 1.
fn stress(depletion: f64, raw: f64, p: f64, taw: f64) -> f64 {
    if depletion <= raw {
        1.0
    } else if depletion >= taw {
        0.0
    } else {
        ((taw - depletion) / ((1.0 - p) * taw)).clamp(0.0, 1.0)
    }
}

/// A figure that skipped its check, held where the balance stays finite.
fn held(x: f64) -> f64 {
    if x > 0.0 { x.min(1e6) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn zone(available: f64, depth: f64, p: f64, rule: FractionRule, from: StressFrom) -> RootZone {
        let made = RootZone::new(MillimetresPerMetre::new(available), Metres::new(depth), Fraction::new(p), rule, from);
        match made {
            Ok(zone) => zone,
            Err(e) => panic!("{e}"),
        }
    }

    fn inflow(et0: f64, kc: f64, rain: f64, irrigation: f64, runoff: f64) -> Inflow {
        let mm = Millimetres::new;
        Inflow { et0: mm(et0), kc, rain: mm(rain), irrigation: mm(irrigation), runoff: mm(runoff) }
    }

    fn leaks(before: f64, day: &Inflow, b: &DayBalance) -> f64 {
        let came = (day.rain - day.runoff + day.irrigation).get();
        came - (b.eta + b.drainage).get() + (b.depletion.get() - before)
    }

    /// Example 37 of the paper, day by day. The table adds up rounded days, so depletion may stand a little over half its last
    /// digit off.
    #[test]
    fn example_37_day_by_day() {
        let tomato = zone(200.0, 0.8, 0.4, FractionRule::Fixed, StressFrom::PreviousEnd);
        assert!((tomato.taw().get() - 160.0).abs() < 1e-9);
        let dry = inflow(5.0, 1.2, 0.0, 0.0, 0.0);
        let printed = [
            (1.00, 6.0, 61.0),
            (1.00, 6.0, 67.0),
            (0.97, 5.8, 72.8),
            (0.91, 5.4, 78.3),
            (0.85, 5.1, 83.4),
            (0.80, 4.8, 88.2),
            (0.75, 4.5, 92.6),
            (0.70, 4.2, 96.9),
            (0.66, 3.9, 100.8),
            (0.62, 3.7, 104.5),
        ];
        let days = balance(&tomato, Millimetres::new(55.0), &[dry; 10]).unwrap_or_default();
        assert_eq!(days.len(), printed.len());
        for (i, (day, (ks, eta, depletion))) in days.iter().zip(printed).enumerate() {
            assert!((day.raw.get() - 64.0).abs() < 1e-9);
            assert!((day.ks - ks).abs() <= 0.005_5, "day {}: Ks {}", i + 1, day.ks);
            assert!((day.eta.get() - eta).abs() <= 0.05, "day {}: ETa {}", i + 1, day.eta.get());
            assert!((day.depletion.get() - depletion).abs() <= 0.055, "day {}: Dr {}", i + 1, day.depletion.get());
        }
    }

    /// The note to Table 22: at 5 mm the fraction is the table's, a hot day lowers it, and 0.1 and 0.8 are the ends.
    #[test]
    fn fraction_answers_to_demand() {
        let turf = |p| zone(150.0, 0.2, p, FractionRule::AdjustedByEtc, StressFrom::PreviousEnd);
        let raw = |p, etc| turf(p).raw(Millimetres::new(etc)).get() / 30.0;
        assert!((raw(0.4, 5.0) - 0.40).abs() < 1e-12);
        assert!((raw(0.4, 8.0) - 0.28).abs() < 1e-12);
        assert!((raw(0.4, 20.0) - 0.10).abs() < 1e-12);
        assert!((raw(0.7, 0.0) - 0.80).abs() < 1e-12);
    }

    /// Watering on a stressed day: the published form still counts the stress of the night before, the advice form does not.
    #[test]
    fn stress_from_decides_when_water_helps() {
        let day = inflow(5.0, 1.0, 0.0, 20.0, 0.0);
        let run = |from| zone(150.0, 0.2, 0.5, FractionRule::Fixed, from).step(Millimetres::new(22.5), &day);
        assert!((run(StressFrom::PreviousEnd).ks - 0.5).abs() < 1e-12);
        assert!((run(StressFrom::AfterInflow).ks - 1.0).abs() < 1e-12);
    }

    /// A seed bed of 2 mm on a hot day: the grass cannot take more than is there.
    #[test]
    fn a_small_bucket_gives_only_what_it_holds() {
        let bed = zone(100.0, 0.02, 0.5, FractionRule::Fixed, StressFrom::PreviousEnd);
        let b = bed.step(Millimetres::new(0.5), &inflow(8.0, 1.0, 0.0, 0.0, 0.0));
        assert!((b.eta.get() - 1.5).abs() < 1e-12 && (b.depletion.get() - 2.0).abs() < 1e-12);
    }

    /// Refusals name the field and the day.
    #[test]
    fn refusals_name_field_and_day() {
        let z = zone(150.0, 0.2, 0.5, FractionRule::Fixed, StressFrom::PreviousEnd);
        let good = inflow(5.0, 1.0, 0.0, 0.0, 0.0);
        let bad = inflow(5.0, 1.0, 2.0, 0.0, 3.0);
        let err = balance(&z, Millimetres::new(0.0), &[good, bad]).map_err(|e| e.to_string());
        assert!(err.is_err_and(|m| m.starts_with("runoff_mm: day 2:")));
        let over = balance(&z, Millimetres::new(31.0), &[good]).map_err(|e| e.field());
        assert_eq!(over, Err("initial_depletion_mm"));
        let thin = RootZone::new(
            MillimetresPerMetre::new(150.0),
            Metres::new(0.0),
            Fraction::new(0.5),
            FractionRule::Fixed,
            StressFrom::PreviousEnd,
        );
        assert_eq!(thin.map_err(|e| e.field()), Err("root_depth_m"));
    }

    fn any_zone() -> impl Strategy<Value = RootZone> {
        (1.0..1000.0f64, 0.005..5.0f64, 0.0..=1.0f64, any::<bool>(), any::<bool>()).prop_map(|(a, d, p, r, s)| {
            let rule = if r { FractionRule::Fixed } else { FractionRule::AdjustedByEtc };
            let from = if s { StressFrom::PreviousEnd } else { StressFrom::AfterInflow };
            zone(a, d, p, rule, from)
        })
    }

    fn any_inflow() -> impl Strategy<Value = Inflow> {
        (0.0..50.0f64, 0.0..2.0f64, 0.0..200.0f64, 0.0..60.0f64, 0.0..=1.0f64)
            .prop_map(|(e, k, r, i, x)| inflow(e, k, r, i, (r + i) * x))
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// No water is made or lost, and the depletion stays in the bucket.
        #[test]
        fn mass_is_conserved(z in any_zone(), start in 0.0..=1.0f64, days in prop::collection::vec(any_inflow(), 0..60)) {
            let initial = z.taw() * start;
            let run = balance(&z, initial, &days);
            prop_assert!(run.is_ok());
            let mut before = initial.get();
            for (day, b) in days.iter().zip(run.unwrap_or_default()) {
                prop_assert!(leaks(before, day, &b).abs() < 1e-9);
                prop_assert!((0.0..=z.taw().get()).contains(&b.depletion.get()));
                prop_assert!((0.0..=1.0).contains(&b.ks) && b.eta.get() >= 0.0 && b.eta <= b.etc && b.drainage.get() >= 0.0);
                before = b.depletion.get();
            }
        }

        /// More water never leaves the soil drier.
        #[test]
        fn monotonic(z in any_zone(), start in 0.0..=1.0f64, day in any_inflow(), more in 0.0..50.0f64) {
            let at = z.taw() * start;
            let base = z.step(at, &day).depletion.get();
            let wetter = Inflow { irrigation: day.irrigation + Millimetres::new(more), ..day };
            prop_assert!(z.step(at, &wetter).depletion.get() <= base + 1e-9);
        }

        /// A step is total: any floats, checked or not, give finite figures.
        #[test]
        fn step_is_total(z in any_zone(), before in any::<f64>(), a in any::<f64>(), b in any::<f64>(), c in any::<f64>(),
                         d in any::<f64>(), e in any::<f64>()) {
            let r = z.step(Millimetres::new(before), &inflow(a, b, c, d, e));
            for x in [r.etc.get(), r.raw.get(), r.ks, r.eta.get(), r.drainage.get(), r.depletion.get()] {
                prop_assert!(x.is_finite());
            }
        }
    }
}

//! Friction in one pipe.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Kilopascals, LitresPerSecond, Metres, MetresPerSecond, Millimetres};

/// Flow through the pipe.
pub const FLOW_LPS: Bound = Bound::new("flow_lps", 0.0, 1_000.0, "L/s", "flow through the pipe");
/// Inside diameter, the true one and not the size's name.
pub const INSIDE_MM: Bound = Bound::new("inside_mm", 1.0, 2_000.0, "mm", "inside diameter of the pipe");
/// Length of the pipe.
pub const LENGTH_M: Bound = Bound::new("length_m", 0.0, 100_000.0, "m", "length of the pipe");
/// Hazen–Williams roughness coefficient.
pub const C: Bound = Bound::new("c", 20.0, 200.0, "", "Hazen–Williams coefficient (smooth plastic 150)");
/// Outlets on a lateral.
pub const OUTLETS: Bound = Bound::new("outlets", 1.0, 10_000.0, "", "equal outlets on a lateral");

/// Coefficient of the SI form for flow in m³/s, diameter and length in m.
pub(crate) const HAZEN_WILLIAMS: f64 = 10.67;
/// Exponent of the flow.
pub(crate) const FLOW_EXPONENT: f64 = 1.852;
/// Exponent of the diameter.
pub(crate) const DIAMETER_EXPONENT: f64 = 4.8704;

/// Standard gravity, m/s² (exact; CGPM 1901). Water of 1000 kg/m³ presses 9.80665 kPa a metre.
pub(crate) const GRAVITY: f64 = 9.806_65;

/// What one pipe takes from the flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeLoss {
    /// Mean speed of the water.
    pub velocity: MetresPerSecond,
    /// Head lost.
    pub head_loss: Metres,
    /// The same as pressure.
    pub pressure_loss: Kilopascals,
}

/// Friction loss of a full pipe by Hazen and Williams.
///
/// `h = 10.67 L Q^1.852 / (C^1.852 d^4.8704)`; `v = 4 Q / (π d²)`; `p = 9.80665 h`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Q` | flow (m³/s in the formula) | L/s | 0 ..= 1,000 |
/// | `d` | inside diameter (m in the formula) | mm | 1 ..= 2,000 |
/// | `L` | length | m | 0 ..= 100,000 |
/// | `C` | roughness coefficient | – | 20 ..= 200 |
///
/// Left out: water far from 15 °C, slow (laminar) flow, for which the formula was not made, fittings and valves. Best
/// between about 1 and 3 m/s.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// G. S. Williams and A. Hazen, *Hydraulic Tables*, 1905, in the SI form in common use. The form in feet and gallons
/// with `d^4.8655` gives up to 1 per cent more; this one lies closer to the printed friction tables.
///
/// # Examples
/// 10 gal/min through 100 ft of 1 inch schedule 40 pipe, C 150: 5.50 ft (Illinois Administrative Code, title 77, part 906,
/// appendix A, exhibit I), with this form 5.489 ft.
/// ```
/// use reckon::pipe::pipe_loss_hazen_williams;
/// use reckon::units::{LitresPerSecond, Metres, Millimetres, factor};
///
/// let flow = LitresPerSecond::new(10.0 * factor::L_PER_GALLON / 60.0);
/// let inside = Millimetres::new(1.049 * factor::MM_PER_INCH);
/// let loss = pipe_loss_hazen_williams(flow, inside, Metres::new(30.48), 150.0)?;
/// assert!((loss.head_loss.get() - 1.673).abs() < 0.0005);
/// assert!((loss.pressure_loss.get() - 16.41).abs() < 0.005);
/// assert!((loss.velocity.get() - 1.131).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn pipe_loss_hazen_williams(
    flow: LitresPerSecond,
    inside_mm: Millimetres,
    length: Metres,
    c: f64,
) -> Result<PipeLoss, ReckonError> {
    let flow = FLOW_LPS.check(flow.get())? / 1000.0;
    let inside = INSIDE_MM.check(inside_mm.get())? / 1000.0;
    let length = LENGTH_M.check(length.get())?;
    let c = C.check(c)?;
    let head_loss = hazen_williams_resistance(inside, length, c) * flow.powf(FLOW_EXPONENT);
    Ok(PipeLoss {
        velocity: MetresPerSecond::new(flow / bore(inside)),
        head_loss: Metres::new(head_loss),
        pressure_loss: Kilopascals::new(head_loss * GRAVITY),
    })
}

/// Christiansen's factor: the friction of a lateral with equal outlets at equal distances, as a share of the friction
/// of the same pipe carrying its whole flow to the end.
///
/// `F = 1 / (m + 1) + 1 / (2 N) + √(m - 1) / (6 N²)`, `m = 1.852`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `N` | outlets | – | 1 ..= 10,000 |
/// | `m` | exponent of the flow in Hazen–Williams | – | 1.852 |
///
/// The first outlet lies a full spacing from the start. For one outlet the series gives 1.004 in place of 1.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `outlets`.
///
/// # Source
/// J. E. Christiansen, *Irrigation by sprinkling*, University of California Bulletin 670, 1942.
///
/// # Examples
/// ```
/// let f = reckon::pipe::christiansen_factor(10)?;
/// assert!((f - 0.402).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn christiansen_factor(outlets: u32) -> Result<f64, ReckonError> {
    let n = OUTLETS.check(f64::from(outlets))?;
    Ok(1.0 / (FLOW_EXPONENT + 1.0) + 1.0 / (2.0 * n) + (FLOW_EXPONENT - 1.0).sqrt() / (6.0 * n * n))
}

/// `r` in `h = r Q^1.852`, all in metres and seconds.
pub(crate) fn hazen_williams_resistance(inside_m: f64, length_m: f64, c: f64) -> f64 {
    HAZEN_WILLIAMS * length_m / (c.powf(FLOW_EXPONENT) * inside_m.powf(DIAMETER_EXPONENT))
}

/// Cross-section in m² of a pipe whose inside diameter is given in m.
pub(crate) fn bore(inside_m: f64) -> f64 {
    PI * inside_m * inside_m / 4.0
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    fn loss(lps: f64, mm: f64, m: f64, c: f64) -> Result<PipeLoss, ReckonError> {
        pipe_loss_hazen_williams(LitresPerSecond::new(lps), Millimetres::new(mm), Metres::new(m), c)
    }

    fn per_100_ft(gpm: f64, inches: f64) -> PipeLoss {
        let lps = gpm * factor::L_PER_GALLON / 60.0;
        loss(lps, inches * factor::MM_PER_INCH, 100.0 * factor::M_PER_FOOT, 150.0).unwrap()
    }

    /// Feet lost in 100 ft, C 150, nominal-wall inside diameters. Source of every row: Illinois Administrative Code,
    /// title 77, part 906, appendix A, exhibit I. The code's table is built on rounded figures of its own, so each row
    /// allows 1.2 per cent; `si` is the formula worked by hand to three decimals.
    #[test]
    fn schedule_40_friction_table() {
        // gal/min, inside diameter in inches, printed, worked from the formula
        let rows = [
            (5.0, 1.049, 1.52, 1.520),
            (10.0, 1.049, 5.50, 5.489),
            (10.0, 1.380, 1.46, 1.443),
            (20.0, 1.380, 5.23, 5.211),
            (20.0, 1.610, 2.46, 2.460),
            (30.0, 1.610, 5.22, 5.212),
            (50.0, 2.067, 3.98, 3.975),
        ];
        for (gpm, inches, printed, si) in rows {
            let feet = per_100_ft(gpm, inches).head_loss.get() / factor::M_PER_FOOT;
            assert!((feet / printed - 1.0).abs() < 0.012, "{gpm} in {inches}: {feet} for {printed}");
            assert!((feet - si).abs() < 0.000_6, "{gpm} in {inches}: {feet} for {si}");
        }
    }

    /// Psi lost in 100 ft and feet a second of other pipes, C 150; within 1.5 per cent, for the charts print two to four
    /// digits from tables of their own.
    #[test]
    fn other_pipes_friction_charts() {
        // gal/min, inside in inches, printed psi, printed ft/s (0 where not printed), source
        let rows = [
            (10.0, 0.910, 4.77, 0.0, "SDR 21 chart, 3/4 in, average wall"),
            (10.0, 1.169, 1.41, 0.0, "SDR 21 chart, 1 in"),
            (10.0, 1.482, 0.445, 0.0, "SDR 21 chart, 1-1/4 in"),
            (10.0, 1.700, 0.228, 0.0, "SDR 21 chart, 1-1/2 in"),
            (10.0, 2.129, 0.076, 0.0, "SDR 21 chart, 2 in"),
            (10.0, 1.195, 1.27, 2.85, "university course table, class 160, 1 in"),
            (5.0, 0.696, 4.89, 4.21, "class 315 chart, 1/2 in"),
        ];
        for (gpm, inches, psi, fps, source) in rows {
            let got = per_100_ft(gpm, inches);
            let got_psi = got.pressure_loss.get() / factor::KPA_PER_PSI;
            assert!((got_psi / psi - 1.0).abs() < 0.015, "{source}: {got_psi} for {psi}");
            if fps > 0.0 {
                let got_fps = got.velocity.get() / factor::M_PER_FOOT;
                assert!((got_fps / fps - 1.0).abs() < 0.005, "{source}: {got_fps} for {fps}");
            }
        }
    }

    /// Christiansen's factors for m = 1.852, worked by hand to three decimals (one outlet to two).
    #[test]
    fn christiansen_table() {
        let rows = [(2, 0.639), (3, 0.534), (4, 0.485), (5, 0.457), (6, 0.438), (8, 0.416), (10, 0.402), (20, 0.376)];
        for (n, printed) in rows {
            let f = christiansen_factor(n).unwrap();
            assert!((f - printed).abs() < 0.000_6, "{n}: {f} for {printed}");
        }
        assert!((christiansen_factor(1).unwrap() - 1.00).abs() < 0.005);
        assert_eq!(christiansen_factor(0).unwrap_err().field(), "outlets");
    }

    /// The factor agrees with summing the pieces of a lateral: piece k carries k shares of N. Christiansen's three terms
    /// are the head of that sum's series, good to half a per cent.
    #[test]
    fn christiansen_factor_is_the_sum_of_pieces() {
        for n in [1u32, 2, 5, 12, 40] {
            let shares: f64 = (1..=n).map(|k| (f64::from(k) / f64::from(n)).powf(FLOW_EXPONENT)).sum();
            let f = christiansen_factor(n).unwrap();
            assert!((f / (shares / f64::from(n)) - 1.0).abs() < 0.005, "{n}");
        }
    }

    #[test]
    fn refusals_name_the_field() {
        assert_eq!(loss(-1.0, 25.0, 10.0, 150.0).unwrap_err().field(), "flow_lps");
        assert_eq!(loss(1.0, 0.0, 10.0, 150.0).unwrap_err().field(), "inside_mm");
        assert_eq!(loss(1.0, 25.0, f64::NAN, 150.0).unwrap_err().field(), "length_m");
        assert_eq!(loss(1.0, 25.0, 10.0, 0.0).unwrap_err().field(), "c");
        let still = loss(0.0, 25.0, 10.0, 150.0).unwrap();
        assert_eq!((still.head_loss.get(), still.velocity.get()), (0.0, 0.0));
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or finite figures, none negative.
        #[test]
        fn any_input_is_safe(
            q in prop_oneof![0.0..5.0, any::<f64>()], d in prop_oneof![1.0..100.0, any::<f64>()],
            l in prop_oneof![0.0..500.0, any::<f64>()], c in prop_oneof![80.0..160.0, any::<f64>()],
        ) {
            if let Ok(p) = loss(q, d, l, c) {
                for x in [p.velocity.get(), p.head_loss.get(), p.pressure_loss.get()] {
                    prop_assert!(x.is_finite() && x >= 0.0);
                }
            }
        }

        /// More flow, more length, less bore or a rougher wall never lose less; two lengths lose what one of both does.
        #[test]
        fn monotonic_and_additive(
            q in 0.01..5.0, d in 10.0..100.0, l in 1.0..500.0, c in 80.0..160.0, more in 1.0..2.0,
        ) {
            let h = |q, d, l, c| loss(q, d, l, c).unwrap().head_loss.get();
            let base = h(q, d, l, c);
            prop_assert!(h(q * more, d, l, c) >= base);
            prop_assert!(h(q, d, l * more, c) >= base);
            prop_assert!(h(q, d / more, l, c) >= base * (1.0 - 1e-12));
            prop_assert!(h(q, d, l, c / more) >= base * (1.0 - 1e-12));
            let apart = base + h(q, d, l * more, c);
            prop_assert!((h(q, d, l * (1.0 + more), c) - apart).abs() < 1e-9 * apart);
        }
    }
}

//! A leak as the hole that would lose as much.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Kilopascals, LitresPerMinute, Millimetres, factor};

/// Width of the hole.
pub const HOLE: Bound = Bound::new("hole_mm", 0.05, 50.0, "mm", "width of a round hole");
/// Pressure behind it.
pub const PRESSURE: Bound = Bound::new("pressure_kpa", 20.0, 1_500.0, "kPa", "water pressure behind the hole");
/// Flow through it.
pub const FLOW: Bound = Bound::new("leak_l_min", 0.001, 5_000.0, "L/min", "flow of the leak");
/// Share of the frictionless flow that a sharp-edged hole lets through (0.61 to 0.65 in hydraulics handbooks; the upper end is what
/// the suppliers' tables below were reckoned with).
pub const DISCHARGE: f64 = 0.64;
/// Density of cold water (kg/m³).
const WATER_KG_M3: f64 = 1_000.0;
/// The pressure suppliers' tables are for: 60 psi.
pub const USUAL_PRESSURE: Kilopascals = Kilopascals::new(60.0 * factor::KPA_PER_PSI);

/// Litres a minute through a hole of one square millimetre.
fn through_mm2(pressure: f64) -> f64 {
    let speed_m_s = (2.0 * pressure * 1_000.0 / WATER_KG_M3).sqrt();
    DISCHARGE * speed_m_s * 1e-6 * 60_000.0
}

/// Flow through a round, sharp-edged hole.
///
/// `q = C A √(2 p / ρ)` with `A = π d² / 4`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `d` | width of the hole | mm | 0.05 ..= 50 |
/// | `p` | pressure behind it | kPa | 20 ..= 1,500 |
/// | `C` | discharge coefficient | – | 0.64 |
/// | `ρ` | density of water | kg/m³ | 1,000 |
///
/// Left out: that the pressure falls where the pipe cannot feed the hole, soil around it, and slits, which open with pressure.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Torricelli's law with a discharge coefficient, as in any hydraulics handbook. Published tables at 60 psi in this file's tests.
///
/// # Examples
/// City of Grants Pass, Oregon, “How much water does your leak waste?”: 1/16 inch at 60 psi loses 25,000 gallons a month.
/// ```
/// use reckon::leak_hole::{USUAL_PRESSURE, hole_flow};
/// use reckon::units::{Millimetres, factor::L_PER_GALLON};
/// let flow = hole_flow(Millimetres::new(25.4 / 16.0), USUAL_PRESSURE)?;
/// assert!((flow.get() * 1_440.0 * 30.0 / L_PER_GALLON / 25_000.0 - 1.0).abs() < 0.02);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn hole_flow(hole: Millimetres, pressure: Kilopascals) -> Result<LitresPerMinute, ReckonError> {
    let d = HOLE.check(hole.get())?;
    let p = PRESSURE.check(pressure.get())?;
    Ok(LitresPerMinute::new(through_mm2(p) * PI * d * d / 4.0))
}

/// Width of the round hole that would lose as much: [`hole_flow`] turned round.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// As [`hole_flow`].
pub fn hole_of(flow: LitresPerMinute, pressure: Kilopascals) -> Result<Millimetres, ReckonError> {
    let q = FLOW.check(flow.get())?;
    let p = PRESSURE.check(pressure.get())?;
    Ok(Millimetres::new((4.0 * q / (PI * through_mm2(p))).sqrt()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn gallons_a_day(inches: f64) -> f64 {
        hole_flow(Millimetres::new(inches * 25.4), USUAL_PRESSURE).unwrap().get() * 1_440.0 / factor::L_PER_GALLON
    }

    /// Losses at 60 psi as suppliers print them. Grants Pass, Oregon (gallons in a month of 30 days), is met to its printed two digits; Powder
    /// Springs, Georgia, rounds the smallest to 6,000; the water district at Durant, Oklahoma, prints gallons a day a few per cent lower.
    #[test]
    fn suppliers_tables() {
        let month = [
            (1.0 / 32.0, 6_300.0),
            (1.0 / 16.0, 25_000.0),
            (1.0 / 8.0, 100_000.0),
            (3.0 / 16.0, 225_000.0),
            (0.25, 400_000.0),
        ];
        for (inches, gallons) in month {
            let ours = gallons_a_day(inches) * 30.0;
            assert!((ours / gallons - 1.0).abs() < 0.02, "{inches} in: {ours:.0} for {gallons}");
        }
        assert!((gallons_a_day(1.0 / 32.0) * 30.0 / 6_000.0 - 1.0).abs() < 0.06);
        for (inches, gallons, tolerance) in [(1.0 / 16.0, 800.0, 0.05), (0.125, 3_200.0, 0.05), (0.25, 13_000.0, 0.04)]
        {
            assert!((gallons_a_day(inches) / gallons - 1.0).abs() < tolerance, "{inches}: {}", gallons_a_day(inches));
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let (mm, kpa) = (Millimetres::new, Kilopascals::new);
        assert_eq!(hole_flow(mm(0.0), kpa(400.0)).unwrap_err().field(), "hole_mm");
        assert_eq!(hole_flow(mm(1.0), kpa(f64::NAN)).unwrap_err().field(), "pressure_kpa");
        assert_eq!(hole_of(LitresPerMinute::new(0.0), kpa(400.0)).unwrap_err().field(), "leak_l_min");
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// There and back; twice as wide loses four times as much.
        #[test]
        fn round_trip(d in 0.1..20.0f64, p in 50.0..1_000.0f64) {
            let (d, p) = (Millimetres::new(d), Kilopascals::new(p));
            let flow = hole_flow(d, p).unwrap();
            prop_assert!((hole_of(flow, p).unwrap() / d - 1.0).abs() < 1e-9);
            prop_assert!((hole_flow(d * 2.0, p).unwrap() / flow - 4.0).abs() < 1e-9);
        }
    }
}

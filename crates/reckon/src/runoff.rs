//! How much of a storm runs off, and how fast at its peak.

use crate::error::{Bound, ReckonError};
use crate::units::{LitresPerSecond, Millimetres, MillimetresPerHour, SquareMetres};

/// Curve number of cover and soil.
pub const CURVE_NUMBER: Bound = Bound::new("curve_number", 30.0, 100.0, "", "curve number of cover and soil");
/// Rain of one storm.
pub const RAIN_MM: Bound = Bound::new("rain_mm", 0.0, 2_000.0, "mm", "rain of the storm");
/// Initial abstraction as a share of the retention.
pub const ABSTRACTION_RATIO: Bound =
    Bound::new("abstraction_ratio", 0.0, 0.5, "", "initial abstraction as a share of the retention");
/// The handbook's ratio of initial abstraction to retention, with which its curve numbers were found.
pub const ABSTRACTION_RATIO_DEFAULT: f64 = 0.2;

/// Share of the rain's intensity that runs off at the peak.
pub const RUNOFF_COEFFICIENT: Bound =
    Bound::new("runoff_coefficient", 0.0, 1.0, "", "share of the rain's intensity that runs off at the peak");
/// Mean intensity over the time of concentration.
pub const INTENSITY_MM_H: Bound =
    Bound::new("intensity_mm_h", 0.0, 1_000.0, "mm/h", "mean intensity of the rain over the time of concentration");
/// Area that drains to the point.
pub const AREA_M2: Bound = Bound::new("area_m2", 0.0, 1_000_000.0, "m²", "area that drains to the point");

/// Potential retention after runoff begins, `S = 25,400 / CN - 254` mm.
///
/// # Errors
/// [`ReckonError::OutOfRange`] when the curve number lies outside 30 ..= 100.
///
/// # Source
/// As [`runoff_curve_number`], eq. 2-4 (in inches `1000 / CN - 10`).
pub fn retention(curve_number: f64) -> Result<Millimetres, ReckonError> {
    Ok(Millimetres::new(25_400.0 / CURVE_NUMBER.check(curve_number)? - 254.0))
}

/// Depth of runoff from one storm by the curve number method.
///
/// `Q = (P - Ia)² / (P - Ia + S)` for `P > Ia`, else `0`; `S = 25,400 / CN - 254` mm, `Ia = λ S`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `P` | rain of the storm | mm | 0 ..= 2,000 |
/// | `CN` | curve number | – | 30 ..= 100 |
/// | `λ` | initial abstraction ratio; curve numbers found with another ratio do not fit | – | 0 ..= 0.5, 0.2 in the handbook |
///
/// Left out: frozen ground, snow melt, how hard it rains, storms in series. For pieces of unlike cover, weight the runoff
/// depths or, as the handbook does, the curve numbers by area.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// USDA Soil Conservation Service, *Urban Hydrology for Small Watersheds*, Technical Release 55, 1986, eq. 2-1 to 2-4.
///
/// # Examples
/// Example 2-1: 6.0 in on curve number 70 give 2.81 in.
/// ```
/// use reckon::runoff::{ABSTRACTION_RATIO_DEFAULT, runoff_curve_number};
/// use reckon::units::Millimetres;
///
/// let runoff = runoff_curve_number(Millimetres::new(6.0 * 25.4), 70.0, ABSTRACTION_RATIO_DEFAULT)?;
/// assert!((runoff.get() / 25.4 - 2.81).abs() <= 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn runoff_curve_number(
    rain: Millimetres,
    curve_number: f64,
    abstraction_ratio: f64,
) -> Result<Millimetres, ReckonError> {
    let s = retention(curve_number)?.get();
    let rain = RAIN_MM.check(rain.get())?;
    let left = rain - ABSTRACTION_RATIO.check(abstraction_ratio)? * s;
    Ok(Millimetres::new(if left > 0.0 { left * (left / (left + s)) } else { 0.0 }))
}

/// Peak flow of runoff by the rational method.
///
/// `Q = C i A / 3600`; a millimetre an hour on a square metre is a litre an hour.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `C` | runoff coefficient; for pieces of unlike cover their mean weighted by area | – | 0 ..= 1 |
/// | `i` | mean intensity over the time of concentration | mm/h | 0 ..= 1,000 |
/// | `A` | area that drains to the point | m² | 0 ..= 1,000,000 |
///
/// Left out: storage on the way, rain shorter than the time of concentration, areas above 80 ha.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// The rational method, after E. Kuichling, *The relation between the rainfall and the discharge of sewers in populous
/// districts*, Transactions ASCE 20, 1889. In acres and inches an hour the factor is 1.008 for cubic feet a second.
///
/// # Examples
/// A roof of 120 m² (0.90), a drive of 60 m² (0.85) and 400 m² of lawn (0.20) under 100 mm/h, worked by hand: 6.64 L/s.
/// ```
/// use reckon::runoff::runoff_peak_rational;
/// use reckon::units::{MillimetresPerHour, SquareMetres};
///
/// let c = (0.90 * 120.0 + 0.85 * 60.0 + 0.20 * 400.0) / 580.0;
/// let flow = runoff_peak_rational(c, MillimetresPerHour::new(100.0), SquareMetres::new(580.0))?;
/// assert!((flow.get() - 6.64).abs() < 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn runoff_peak_rational(
    coefficient: f64,
    intensity: MillimetresPerHour,
    area: SquareMetres,
) -> Result<LitresPerSecond, ReckonError> {
    let coefficient = RUNOFF_COEFFICIENT.check(coefficient)?;
    let intensity = INTENSITY_MM_H.check(intensity.get())?;
    Ok(LitresPerSecond::new(coefficient * intensity * AREA_M2.check(area.get())? / 3600.0))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn inches(rain: f64, curve_number: f64) -> f64 {
        runoff_curve_number(Millimetres::new(rain * 25.4), curve_number, 0.2).unwrap().get() / 25.4
    }

    /// The handbook's own figures in inches; the tolerance is half the last printed digit.
    #[test]
    fn published_depths() {
        let rows = [
            (6.0, 70.0, 2.81, "TR-55, example 2-1"),
            (6.0, 75.0, 3.28, "TR-55, example 2-2"),
            (2.0, 80.0, 0.56, "TR-55, Table 2-1"),
            (3.0, 80.0, 1.25, "TR-55, Table 2-1"),
            (4.0, 80.0, 2.04, "TR-55, Table 2-1"),
            (5.0, 70.0, 2.04, "TR-55, Table 2-1"),
            (10.0, 90.0, 8.78, "TR-55, Table 2-1"),
            (3.0, 98.0, 2.77, "TR-55, Table 2-1"),
        ];
        for (rain, curve_number, printed, source) in rows {
            let got = inches(rain, curve_number);
            assert!((got - printed).abs() <= 0.005, "{source}: {got} for {printed}");
        }
    }

    /// The steps: retention in inches is 1000 / CN - 10, and nothing runs off before the initial abstraction is met.
    #[test]
    fn steps() {
        assert!((retention(80.0).unwrap().get() / 25.4 - 2.5).abs() < 1e-12);
        assert_eq!(retention(100.0).unwrap().get(), 0.0);
        assert_eq!(inches(0.5, 80.0), 0.0);
        assert!(inches(0.5001, 80.0) > 0.0);
        // All of it, on a surface that keeps nothing; no division by nothing when it does not rain.
        assert_eq!(inches(0.0, 100.0), 0.0);
        assert!((inches(1.0, 100.0) - 1.0).abs() < 1e-12);
    }

    /// 1 in/h on an acre with coefficient 1 is 1.008 ft³/s, the method's printed factor.
    #[test]
    fn the_factor_of_the_trade() {
        let area = SquareMetres::new(crate::units::factor::M2_PER_ACRE);
        let flow = runoff_peak_rational(1.0, MillimetresPerHour::new(25.4), area).unwrap().get();
        assert!((flow / 28.316_846_592 - 1.008).abs() < 0.0005);
    }

    #[test]
    fn refusals_name_the_field() {
        let mm = Millimetres::new;
        assert_eq!(runoff_curve_number(mm(1.0), 101.0, 0.2).unwrap_err().field(), "curve_number");
        assert_eq!(runoff_curve_number(mm(-1.0), 80.0, 0.2).unwrap_err().field(), "rain_mm");
        assert_eq!(runoff_curve_number(mm(1.0), 80.0, f64::NAN).unwrap_err().field(), "abstraction_ratio");
        let peak =
            |c, i, a| runoff_peak_rational(c, MillimetresPerHour::new(i), SquareMetres::new(a)).unwrap_err().field();
        assert_eq!(peak(1.1, 1.0, 1.0), "runoff_coefficient");
        assert_eq!(peak(0.5, -1.0, 1.0), "intensity_mm_h");
        assert_eq!(peak(0.5, 1.0, f64::INFINITY), "area_m2");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// More rain and a higher curve number never mean less runoff, and no more runs off than falls.
        #[test]
        fn runoff_is_monotonic(
            rain in 0.0..1_900.0_f64, more in 0.0..100.0_f64, cn in 30.0..100.0_f64, up in 0.0..1.0_f64, ratio in 0.0..0.5_f64,
        ) {
            let depth = |p, cn| runoff_curve_number(Millimetres::new(p), cn, ratio).unwrap().get();
            let q = depth(rain, cn);
            prop_assert!((0.0..=rain).contains(&q));
            prop_assert!(depth(rain + more, cn) >= q - 1e-9);
            prop_assert!(depth(rain, cn + (100.0 - cn) * up) >= q - 1e-9);
        }

        /// Two areas give together what they give apart.
        #[test]
        fn peaks_add_up(c in 0.0..1.0_f64, i in 0.0..300.0_f64, a in 0.0..1e5_f64, b in 0.0..1e5_f64) {
            let peak = |area| {
                runoff_peak_rational(c, MillimetresPerHour::new(i), SquareMetres::new(area)).unwrap().get()
            };
            prop_assert!((peak(a) + peak(b) - peak(a + b)).abs() <= 1e-9 * (1.0 + peak(a + b)));
        }

        /// Numbers of any size are answered or refused.
        #[test]
        fn any_number_is_safe(n in prop::collection::vec(prop_oneof![0.0..100.0, any::<f64>()], 3)) {
            if let Ok(q) = runoff_curve_number(Millimetres::new(n[0]), n[1], n[2]) {
                prop_assert!(q.get().is_finite());
            }
            if let Ok(q) = runoff_peak_rational(n[0], MillimetresPerHour::new(n[1]), SquareMetres::new(n[2])) {
                prop_assert!(q.get().is_finite());
            }
        }
    }
}

//! What a swale carries when it runs at a given depth.

use crate::error::{Bound, ReckonError};
use crate::units::{LitresPerSecond, Metres, MetresPerSecond, SquareMetres};

/// Width of the bottom; 0 makes a triangle.
pub const BOTTOM_M: Bound = Bound::new("bottom_m", 0.0, 100.0, "m", "width of the bottom; 0 makes a triangle");
/// Side slope, horizontal to vertical; 0 makes upright walls.
pub const SIDE_SLOPE: Bound = Bound::new("side_slope", 0.0, 100.0, "", "horizontal run of the sides for 1 of height");
/// Depth of the water.
pub const DEPTH_M: Bound = Bound::new("depth_m", 0.001, 10.0, "m", "depth of the water");
/// Fall along the swale.
pub const SLOPE: Bound = Bound::new("slope", 0.0, 1.0, "m/m", "fall along the swale for 1 of length");
/// Manning's coefficient.
pub const N: Bound = Bound::new("n", 0.005, 1.0, "", "Manning's roughness coefficient");

/// A swale and the water in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swale {
    /// Width of the bottom.
    pub bottom: Metres,
    /// Horizontal run of each side for 1 of height.
    pub side_slope: f64,
    /// Depth of the water.
    pub depth: Metres,
    /// Fall along the swale for 1 of length.
    pub slope: f64,
    /// Manning's roughness coefficient.
    pub n: f64,
}

/// What the swale carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SwaleFlow {
    /// Flow.
    pub flow: LitresPerSecond,
    /// Mean speed.
    pub velocity: MetresPerSecond,
    /// Section of the water.
    pub area: SquareMetres,
    /// Length of the section's edge that the water wets.
    pub wetted_perimeter: Metres,
    /// Section over wetted edge.
    pub hydraulic_radius: Metres,
}

/// Steady flow in a swale of trapezoid, triangle or box section, by Manning's formula.
///
/// `v = R^(2/3) √S / n`, `R = A / P`, `A = (b + z y) y`, `P = b + 2 y √(1 + z²)`, `Q = v A`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `b` | width of the bottom; 0 makes a triangle | m | 0 ..= 100 |
/// | `z` | run of the sides for 1 of height | – | 0 ..= 100, not 0 when `b` is |
/// | `y` | depth of the water | m | 0.001 ..= 10 |
/// | `S` | fall for 1 of length | m/m | 0 ..= 1 |
/// | `n` | Manning's roughness coefficient | – | 0.005 ..= 1 |
///
/// Left out: backwater, bends, the slower flow below the blades of uncut grass (take a larger `n`), soil washed away.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range; [`ReckonError::Inconsistent`] naming `side_slope` when
/// the section has no width.
///
/// # Source
/// R. Manning, *On the flow of water in open channels and pipes*, Transactions of the Institution of Civil Engineers of
/// Ireland 20, 1891; sections as in V. T. Chow, *Open-Channel Hydraulics*, 1959, Table 2-1.
///
/// # Examples
/// 0.6 m wide, sides 3:1, 0.15 m deep at 2 % in mown grass, worked by hand: 0.7703 m/s and 121.3 L/s.
/// ```
/// use reckon::swale::{Swale, swale_flow_manning};
/// use reckon::units::Metres;
///
/// let swale =
///     Swale { bottom: Metres::new(0.6), side_slope: 3.0, depth: Metres::new(0.15), slope: 0.02, n: 0.04 };
/// let found = swale_flow_manning(&swale)?;
/// assert!((found.velocity.get() - 0.7703).abs() < 0.00005);
/// assert!((found.flow.get() - 121.3).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn swale_flow_manning(swale: &Swale) -> Result<SwaleFlow, ReckonError> {
    let b = BOTTOM_M.check(swale.bottom.get())?;
    let z = SIDE_SLOPE.check(swale.side_slope)?;
    let y = DEPTH_M.check(swale.depth.get())?;
    let slope = SLOPE.check(swale.slope)?;
    let n = N.check(swale.n)?;
    let area = (b + z * y) * y;
    if area < 1e-9 {
        let message = format!("{z} beside bottom_m {b}: the section has no width; give the bottom or the sides some");
        return Err(ReckonError::Inconsistent { field: SIDE_SLOPE.field, message });
    }
    let wetted = b + 2.0 * y * (1.0 + z * z).sqrt();
    let radius = area / wetted;
    let velocity = radius.powf(2.0 / 3.0) * slope.sqrt() / n;
    Ok(SwaleFlow {
        flow: LitresPerSecond::new(1000.0 * velocity * area),
        velocity: MetresPerSecond::new(velocity),
        area: SquareMetres::new(area),
        wetted_perimeter: Metres::new(wetted),
        hydraulic_radius: Metres::new(radius),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    fn swale(b: f64, z: f64, y: f64, slope: f64, n: f64) -> Swale {
        Swale { bottom: Metres::new(b), side_slope: z, depth: Metres::new(y), slope, n }
    }

    /// Sections printed in feet on channel matting design sheets (North Carolina DEQ, Rolling Springs, section 7, 2021).
    /// The printed depths have two digits, which leaves A and R uncertain by some hundredths.
    #[test]
    fn published_sections() {
        for (y, area, radius) in [(0.51, 1.05, 0.28), (0.58, 1.30, 0.31)] {
            let ft = factor::M_PER_FOOT;
            let found = swale_flow_manning(&swale(0.5 * ft, 3.0, y * ft, 0.01, 0.03)).unwrap();
            assert!((found.area.get() / factor::M2_PER_FT2 - area).abs() < 0.02, "{y}");
            assert!((found.hydraulic_radius.get() / ft - radius).abs() < 0.005, "{y}");
        }
    }

    /// Steps worked by hand; the tolerance is half the last digit written down.
    #[test]
    fn worked_by_hand() {
        let rows = [
            (
                swale(0.6, 3.0, 0.15, 0.02, 0.04),
                [0.1575, 1.548_68, 0.101_70, 0.7703, 121.3],
                [5e-8, 5e-6, 5e-6, 5e-5, 0.05],
            ),
            (
                swale(0.0, 4.0, 0.20, 0.02, 0.035),
                [0.160, 1.649_24, 0.097_01, 0.8531, 136.5],
                [5e-8, 5e-6, 5e-6, 5e-5, 0.05],
            ),
        ];
        for (swale, expected, tolerance) in rows {
            let f = swale_flow_manning(&swale).unwrap();
            let got =
                [f.area.get(), f.wetted_perimeter.get(), f.hydraulic_radius.get(), f.velocity.get(), f.flow.get()];
            for i in 0..5 {
                assert!((got[i] - expected[i]).abs() <= tolerance[i], "{swale:?}: {got:?} for {expected:?}");
            }
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let field = |s| swale_flow_manning(&s).unwrap_err().field();
        assert_eq!(field(swale(-1.0, 3.0, 0.1, 0.02, 0.04)), "bottom_m");
        assert_eq!(field(swale(1.0, f64::NAN, 0.1, 0.02, 0.04)), "side_slope");
        assert_eq!(field(swale(1.0, 3.0, 0.0, 0.02, 0.04)), "depth_m");
        assert_eq!(field(swale(1.0, 3.0, 0.1, 1.1, 0.04)), "slope");
        assert_eq!(field(swale(1.0, 3.0, 0.1, 0.02, 0.0)), "n");
        assert_eq!(field(swale(0.0, 0.0, 0.1, 0.02, 0.04)), "side_slope");
        assert_eq!(swale_flow_manning(&swale(1.0, 3.0, 0.1, 0.0, 0.04)).unwrap().flow.get(), 0.0);
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Deeper, steeper and smoother never carry less; wider never less either.
        #[test]
        fn flow_is_monotonic(
            b in 0.0..5.0_f64, z in 0.1..10.0_f64, y in 0.001..1.0_f64, s in 0.0..0.5_f64, n in 0.01..0.3_f64, up in 1.0..2.0_f64,
        ) {
            let flow = |b, y, s, n| swale_flow_manning(&swale(b, z, y, s, n)).unwrap().flow.get();
            let base = flow(b, y, s, n) * (1.0 - 1e-12);
            prop_assert!(flow(b * up, y, s, n) >= base);
            prop_assert!(flow(b, y * up, s, n) >= base);
            prop_assert!(flow(b, y, s * up, n) >= base);
            prop_assert!(flow(b, y, s, n / up) >= base);
        }

        /// Numbers of any size are answered or refused.
        #[test]
        fn any_number_is_safe(n in prop::collection::vec(prop_oneof![0.0..1.0, any::<f64>()], 5)) {
            if let Ok(f) = swale_flow_manning(&swale(n[0], n[1], n[2], n[3], n[4])) {
                prop_assert!(f.flow.get().is_finite() && f.hydraulic_radius.get().is_finite());
            }
        }
    }
}

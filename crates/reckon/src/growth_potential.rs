//! How near the day's warmth is to what the grass grows best in.

use crate::error::Bound;
use crate::units::{Celsius, Fraction};

/// Mean air temperature, for forms and checks; the formula itself is total.
pub const TMEAN: Bound = Bound::new("tmean_c", -90.0, 60.0, "°C", "mean air temperature of the day or month");

/// The two families of lawn grass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TurfSeason {
    /// Bluegrass, fescues, ryegrass, bentgrass: best at 20 °C.
    Cool,
    /// Bermudagrass, zoysiagrass, St. Augustinegrass, centipedegrass, buffalograss: best at 31 °C.
    Warm,
}

/// Growth potential: 1 at the grass's best temperature, falling to both sides as a bell.
///
/// `GP = exp(−0.5 ((T − T0) / v)²)`
///
/// | symbol | meaning | unit | cool | warm |
/// | --- | --- | --- | --- | --- |
/// | `T` | mean air temperature of the day or month | °C | any | any |
/// | `T0` | best temperature | °C | 20 | 31 |
/// | `v` | width | °C | 5.5 | 7 |
///
/// At 0.5 and over the grass grows well; under 0.5 it is held back; at 0.1 and under it all but stands still. The authors
/// later set warm-season grass to 1 above 31 °C; that capped variant is **not** used here. Total on finite input.
///
/// Left out: light, water, nitrogen, and the lag of a plant coming out of dormancy.
///
/// # Source
/// W. Gelernter and L. Stowell, "Improved overseeding programs 1: the role of weather", Golf Course Management, March 2005,
/// pp. 108–113.
///
/// # Examples
/// ```
/// use reckon::growth_potential::{TurfSeason, growth_potential};
/// use reckon::units::Celsius;
/// assert!((growth_potential(Celsius::new(15.0), TurfSeason::Cool).get() - 0.662).abs() < 0.0005);
/// ```
pub fn growth_potential(tmean: Celsius, kind: TurfSeason) -> Fraction {
    let (best, width) = match kind {
        TurfSeason::Cool => (20.0, 5.5),
        TurfSeason::Warm => (31.0, 7.0),
    };
    // Held to ±1000 widths, where the bell is 0 in any case, so that the square stays finite.
    let off = ((tmean.get() - best) / width).clamp(-1000.0, 1000.0);
    Fraction::new((-0.5 * off * off).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Rows: T °C, cool, warm; from the formula by hand, to 0.001.
    #[test]
    fn table() {
        for (t, cool, warm) in [
            (0.0, 0.001, 0.000),
            (5.0, 0.024, 0.001),
            (10.0, 0.191, 0.011),
            (15.0, 0.662, 0.073),
            (20.0, 1.0, 0.291),
            (25.0, 0.662, 0.693),
            (30.0, 0.191, 0.990),
            (35.0, 0.024, 0.849),
        ] {
            assert!((growth_potential(Celsius::new(t), TurfSeason::Cool).get() - cool).abs() <= 0.000_51, "cool {t}");
            assert!((growth_potential(Celsius::new(t), TurfSeason::Warm).get() - warm).abs() <= 0.000_51, "warm {t}");
        }
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any finite temperature gives a share of one, the same at equal distance to both sides.
        #[test]
        fn total_and_symmetric(t in any::<f64>(), d in 0.0..50.0f64) {
            if t.is_finite() {
                prop_assert!((0.0..=1.0).contains(&growth_potential(Celsius::new(t), TurfSeason::Warm).get()));
            }
            let at = |x: f64| growth_potential(Celsius::new(x), TurfSeason::Cool).get();
            prop_assert!((at(20.0 + d) - at(20.0 - d)).abs() < 1e-12);
        }
    }
}

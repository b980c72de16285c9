//! What goes into the tank, tank by tank.

use crate::error::{Bound, ReckonError};
use crate::fertilizer::count_rounded_up;
use crate::units::{Litres, LitresPer100SquareMetres, SquareMetres};

/// Product by the label.
pub const PRODUCT: Bound =
    Bound::new("product_per_100m2", 0.0, 100_000.0, "mL or g", "product on 100 m², liquid in mL, dry in g");
/// Spray by the calibration.
pub const CARRIER: Bound = Bound::new(
    "carrier_l_per_100m2",
    0.05,
    1_000.0,
    "L/100 m²",
    "spray the calibrated sprayer lays down, product included",
);
/// What the tank holds.
pub const TANK_L: Bound = Bound::new("tank_l", 0.1, 10_000.0, "L", "spray the tank holds");
/// Ground to spray.
pub const AREA_M2: Bound = Bound::new("area_m2", 0.01, 1_000_000.0, "m²", "area to spray");

/// Tanks for an area. Product is in the unit it was given in, mL or g.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TankMix {
    /// Spray in all.
    pub spray: Litres,
    /// Tanks, the last one counted however little it holds.
    pub tanks: u64,
    /// Product in all.
    pub product_total: f64,
    /// Product in a full tank.
    pub product_per_full_tank: f64,
    /// Spray in the last tank: above 0 and at most a full tank.
    pub last_tank: Litres,
    /// Product in the last tank.
    pub last_tank_product: f64,
}

/// Tanks, spray and product for an area.
///
/// `V = c A / 100`; `k = ⌈V / T⌉`; `Mₜ = p T / c`; `Vₗ = V - (k - 1) T`; `Mₗ = p Vₗ / c`; `M = p A / 100`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `p` | product on 100 m² | mL or g | 0 ..= 100,000 |
/// | `c` | spray on 100 m² | L | 0.05 ..= 1,000 |
/// | `T` | spray the tank holds | L | 0.1 ..= 10,000 |
/// | `A` | area | m² | 0.01 ..= 1,000,000 |
/// | `V` | spray for the area | L | – |
/// | `k` | tanks | – | – |
/// | `Mₜ`, `Mₗ`, `M` | product in a full tank, in the last, in all | mL or g | – |
/// | `Vₗ` | spray in the last tank | L | above 0, at most `T` |
///
/// `c` is what leaves the nozzle, product included: fill to the mark, not mark plus product. An area that is whole tanks
/// (within a part in 10⁹) has a full last tank and no empty one after it. Amounts are exact; measured out, product is rounded down.
///
/// Left out: what stays in hose and pump, and several products in one tank (reckon each by itself).
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition. Practice: E. Ozkan, Ohio State University Extension, *How much chemical product do I need to add to my sprayer
/// tank?* FABE-530, 2018; B. A. Sellers and others, UF/IFAS Extension, *Single-nozzle backpack or ATV sprayer calibration*,
/// WG217.
///
/// # Examples
/// 1.5 fl oz and 1 gal on 1,000 ft², a tank of 4 gal, 6,300 ft²: two tanks, 6.0 fl oz in the full one, 2.3 gal with
/// 3.45 fl oz in the last (worked by hand).
/// ```
/// use reckon::tank_mix::tank_mix;
/// use reckon::units::{LitresPer100SquareMetres, Litres, SquareMetres, factor};
///
/// let gallon = factor::L_PER_GALLON;
/// let per_100_m2 = 0.1 / factor::M2_PER_FT2; // of what is given on 1,000 ft²
/// let mix = tank_mix(
///     1.5 * per_100_m2,
///     LitresPer100SquareMetres::new(gallon * per_100_m2),
///     Litres::new(4.0 * gallon),
///     SquareMetres::new(6_300.0 * factor::M2_PER_FT2),
/// )?;
/// assert_eq!(mix.tanks, 2);
/// assert!((mix.product_per_full_tank - 6.0).abs() < 1e-9);
/// assert!((mix.last_tank.get() / gallon - 2.3).abs() < 1e-9);
/// assert!((mix.last_tank_product - 3.45).abs() < 1e-9);
/// assert!((mix.product_total - 9.45).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn tank_mix(
    product_per_100m2: f64,
    carrier: LitresPer100SquareMetres,
    tank: Litres,
    area: SquareMetres,
) -> Result<TankMix, ReckonError> {
    let product = PRODUCT.check(product_per_100m2)?;
    let carrier = CARRIER.check(carrier.get())?;
    let tank = TANK_L.check(tank.get())?;
    let area = AREA_M2.check(area.get())?;
    let spray = carrier * area / 100.0;
    let tanks = count_rounded_up(spray / tank);
    // Never above a full tank: what overshoots it is the sum's own rounding.
    let last_tank = (spray - (tanks as f64 - 1.0) * tank).min(tank);
    Ok(TankMix {
        spray: Litres::new(spray),
        tanks,
        product_total: product * area / 100.0,
        product_per_full_tank: product * tank / carrier,
        last_tank: Litres::new(last_tank),
        last_tank_product: product * last_tank / carrier,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    fn mix(product: f64, carrier: f64, tank: f64, area: f64) -> Result<TankMix, ReckonError> {
        tank_mix(product, LitresPer100SquareMetres::new(carrier), Litres::new(tank), SquareMetres::new(area))
    }

    /// The same in gallons and on acres; product in whatever unit it is given on an acre.
    fn acres(product: f64, gallons: f64, tank: f64, acres: f64) -> TankMix {
        let per_100_m2 = 100.0 / factor::M2_PER_ACRE;
        let gallon = factor::L_PER_GALLON;
        mix(product * per_100_m2, gallons * gallon * per_100_m2, tank * gallon, acres * factor::M2_PER_ACRE).unwrap()
    }

    /// Published mixes in the trade's units; the tolerance is half the last printed digit.
    #[test]
    fn published_examples() {
        let handbook = acres(3.0, 15.0, 52.5, 3.5);
        let gerken = acres(3.6 / 8.0, 40.0, 40.0, 25.0);
        let rows = [
            (
                acres(32.0, 20.0, 20.0, 1.0).product_per_full_tank,
                32.0,
                0.5,
                "Albany County Weed and Pest, Calibrating your sprayer: 32 oz in 20 gal at 20 gal/acre",
            ),
            (
                acres(7.0, 100.0, 50.0, 0.5).product_per_full_tank,
                3.5,
                0.05,
                "county weed board, Sprayer calibration instructions: 50 gal at 100 gal/acre and 7 oz/acre",
            ),
            (
                acres(6.0 * 32.0, 40.0, 1.0, 1.0).product_per_full_tank,
                4.75,
                0.1,
                "Sellers and others, UF/IFAS WG217, Table 2: teaspoons of 1 quart/acre in a gallon at 40 gal/acre",
            ),
            (
                handbook.spray.get() / factor::L_PER_GALLON,
                52.5,
                0.05,
                "Agrochemical and pesticide safety, handbook, example 4: spray",
            ),
            (
                handbook.product_total,
                10.5,
                0.05,
                "Agrochemical and pesticide safety, handbook, example 4: 3.5 acres at 3 lb",
            ),
            (
                gerken.product_total,
                11.25,
                0.005,
                "D. Gerken, Oklahoma State University: 25 acres at 3.6 pints, in gallons",
            ),
            (gerken.product_per_full_tank * 8.0, 3.6, 0.05, "D. Gerken: every 40 gal of water take 3.6 pints"),
            (
                acres(3.6 * 16.0, 40.0, 40.0, 1000.0 / 43_560.0).product_total,
                1.3,
                0.05,
                "D. Gerken: 3.6 pints/acre in oz on 1,000 ft²",
            ),
            (
                acres(3.6, 40.0, 40.0, 1000.0 / 43_560.0).spray.get() / factor::L_PER_GALLON,
                0.92,
                0.005,
                "D. Gerken: 40 gal/acre in gal on 1,000 ft²",
            ),
            (
                acres(2.4, 100.0, 4.0, 3000.0 / 43_560.0).product_total,
                0.07 * 2.4,
                0.004,
                "Purdue, Vegetable Crops Hotline, Backpack sprayer use: 0.07 acres at 2.4 quarts",
            ),
        ];
        for (got, printed, tolerance, source) in rows {
            assert!((got - printed).abs() <= tolerance, "{source}: {got} for {printed}");
        }
        assert_eq!((handbook.tanks, gerken.tanks), (1, 25));
    }

    /// 0.5 mL/m² and 41 mL/m² from a tank of 15 L on 600 m², worked by hand.
    #[test]
    fn metric_example_step_by_step() {
        let m = mix(50.0, 4.1, 15.0, 600.0).unwrap();
        assert_eq!(m.tanks, 2);
        assert!((m.spray.get() - 24.6).abs() < 1e-12 && (m.product_total - 300.0).abs() < 1e-12);
        assert!((m.product_per_full_tank - 182.93).abs() < 0.005);
        assert!((m.last_tank.get() - 9.6).abs() < 1e-12 && (m.last_tank_product - 117.07).abs() < 0.005);
    }

    /// Whole tanks have a full last one and none after it, in figures that binary fractions cannot hold exactly too.
    #[test]
    fn whole_tanks_have_no_empty_one_after_them() {
        for (carrier, tank, area, tanks) in [
            (4.0, 10.0, 500.0, 2),
            (0.1, 0.3, 900.0, 3),
            (4.1, 12.3, 900.0, 3),
            (0.7, 2.1, 2_100.0, 7),
            (5.0, 5.0, 100.0, 1),
        ] {
            let m = mix(20.0, carrier, tank, area).unwrap();
            assert_eq!(m.tanks, tanks, "{carrier} {tank} {area}");
            assert!((m.last_tank.get() - tank).abs() < 1e-9 && m.last_tank.get() <= tank);
            assert!((m.last_tank_product - m.product_per_full_tank).abs() < 1e-6);
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let field = |product, carrier, tank, area| mix(product, carrier, tank, area).unwrap_err().field();
        assert_eq!(field(-1.0, 4.0, 15.0, 100.0), "product_per_100m2");
        assert_eq!(field(1.0, 0.0, 15.0, 100.0), "carrier_l_per_100m2");
        assert_eq!(field(1.0, 4.0, 0.0, 100.0), "tank_l");
        assert_eq!(field(1.0, 4.0, 15.0, f64::NAN), "area_m2");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or finite figures; the tanks together hold the spray and the product, and no more.
        #[test]
        fn any_input_is_safe(
            product in prop_oneof![0.0..500.0, any::<f64>()], carrier in prop_oneof![0.5..20.0, any::<f64>()],
            tank in prop_oneof![1.0..100.0, any::<f64>()], area in prop_oneof![1.0..5000.0, any::<f64>()],
        ) {
            if let Ok(m) = mix(product, carrier, tank, area) {
                prop_assert!(m.tanks >= 1 && m.last_tank.get() > 0.0 && m.last_tank.get() <= tank);
                let full = (m.tanks - 1) as f64;
                let spray = full * tank + m.last_tank.get();
                let total = full * m.product_per_full_tank + m.last_tank_product;
                prop_assert!((spray - m.spray.get()).abs() <= 1e-8 * m.spray.get());
                prop_assert!((total - m.product_total).abs() <= 1e-8 * m.product_total);
            }
        }

        /// Splitting an area splits the product; more area never means fewer tanks.
        #[test]
        fn areas_split(a in 1.0..5000.0, b in 1.0..5000.0, product in 0.1..500.0, carrier in 0.5..20.0) {
            let of = |area| mix(product, carrier, 15.0, area).unwrap();
            let whole = of(a + b);
            prop_assert!((of(a).product_total + of(b).product_total - whole.product_total).abs() <= 1e-9 * whole.product_total);
            prop_assert!(of(a).tanks <= whole.tanks && whole.tanks <= of(a).tanks + of(b).tanks);
        }
    }
}

//! How much loose material to order for a depth on an area.

use crate::error::{Bound, ReckonError};
use crate::units::{CubicMetres, Fraction, Kilograms, KilogramsPerCubicMetre, Litres, Millimetres, SquareMetres};

/// Area to cover.
pub const AREA_M2: Bound = Bound::new("area_m2", 0.0, 1_000_000.0, "m²", "area to cover, measured level");
/// Depth wanted in the end.
pub const DEPTH_MM: Bound = Bound::new("depth_mm", 0.0, 5_000.0, "mm", "depth wanted after settling");
/// Share of the loose depth that settling takes away.
pub const SETTLE_FRACTION: Bound =
    Bound::new("settle_fraction", 0.0, 0.9, "", "share of the loose depth that is lost when the material settles");
/// Share ordered on top for what is spilt or spread too thick.
pub const WASTE_FRACTION: Bound = Bound::new("waste_fraction", 0.0, 1.0, "", "share ordered on top for spilling");
/// Mass of the loose material.
pub const DENSITY_KG_M3: Bound = Bound::new("density_kg_m3", 10.0, 5_000.0, "kg/m³", "mass of the loose material");
/// Loose volume in one bag.
pub const BAG_L: Bound = Bound::new("bag_l", 0.5, 10_000.0, "L", "loose volume in one bag");

/// What is to be covered, and with what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MaterialInput {
    /// Area, measured level.
    pub area: SquareMetres,
    /// Depth wanted after settling.
    pub depth: Millimetres,
    /// Share of the loose depth that settling takes away.
    pub settle: Fraction,
    /// Share ordered on top.
    pub waste: Fraction,
    /// Mass of the loose material.
    pub density: Option<KilogramsPerCubicMetre>,
    /// Loose volume in one bag.
    pub bag: Option<Litres>,
}

/// What to order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Loose volume.
    pub volume: CubicMetres,
    /// Mass, where the density is known.
    pub mass: Option<Kilograms>,
    /// Whole bags, where the bag's size is known.
    pub bags_rounded_up: Option<u64>,
}

/// Loose volume of material for a settled depth.
///
/// `V = A d / 1000 / (1 - s) × (1 + w)`, `m = ρ V`, bags `= ⌈1000 V / b⌉`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `A` | area, measured level | m² | 0 ..= 1,000,000 |
/// | `d` | depth wanted after settling | mm | 0 ..= 5,000 |
/// | `s` | share of the loose depth lost in settling: 4 in that end as 3 in have 0.25 | – | 0 ..= 0.9 |
/// | `w` | share ordered on top for spilling | – | 0 ..= 1 |
/// | `ρ` | mass of the loose material | kg/m³ | 10 ..= 5,000 |
/// | `b` | loose volume in one bag | L | 0.5 ..= 10,000 |
///
/// A whole number of bags that rounding lifts by less than a part in 10⁹ is not given one more.
///
/// Left out: the steeper area of a slope (0.5 % at a grade of 10 %), and what is already there.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition: area times depth. Settling as a share of the loose depth and an allowance for waste: common practice of
/// supply yards.
///
/// # Examples
/// A bed of 9 by 30 feet takes 10 cubic yards at 12 inches (a compost guide).
/// ```
/// use reckon::material::{MaterialInput, material};
/// use reckon::units::{Fraction, Millimetres, SquareMetres, factor};
///
/// let order = material(&MaterialInput {
///     area: SquareMetres::new(270.0 * factor::M2_PER_FT2),
///     depth: Millimetres::new(12.0 * factor::MM_PER_INCH),
///     settle: Fraction::new(0.0),
///     waste: Fraction::new(0.0),
///     density: None,
///     bag: None,
/// })?;
/// assert!((order.volume.get() / factor::M_PER_FOOT.powi(3) / 27.0 - 10.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn material(input: &MaterialInput) -> Result<Material, ReckonError> {
    let area = AREA_M2.check(input.area.get())?;
    let depth = DEPTH_MM.check(input.depth.get())?;
    let settle = SETTLE_FRACTION.check(input.settle.get())?;
    let waste = WASTE_FRACTION.check(input.waste.get())?;
    let density = input.density.map(|d| DENSITY_KG_M3.check(d.get())).transpose()?;
    let bag = input.bag.map(|b| BAG_L.check(b.get())).transpose()?;

    let volume = area * depth / 1000.0 / (1.0 - settle) * (1.0 + waste);
    Ok(Material {
        volume: CubicMetres::new(volume),
        mass: density.map(|d| Kilograms::new(d * volume)),
        bags_rounded_up: bag.map(|b| (1000.0 * volume / b * (1.0 - 1e-9)).ceil() as u64),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    const YD3: f64 = 27.0 * factor::M_PER_FOOT * factor::M_PER_FOOT * factor::M_PER_FOOT;

    fn input(area: f64, depth: f64, settle: f64, waste: f64) -> MaterialInput {
        MaterialInput {
            area: SquareMetres::new(area),
            depth: Millimetres::new(depth),
            settle: Fraction::new(settle),
            waste: Fraction::new(waste),
            density: None,
            bag: None,
        }
    }

    /// Published volumes in cubic yards; the tolerance is half the last printed digit.
    #[test]
    fn published_volumes() {
        let rows = [
            (60.0 * 3.0, 2.0, 1.1, 0.05, "a garden works page: 60 × 3 ft at 2 in"),
            (9.0 * 30.0, 12.0, 10.0, 0.05, "a compost guide: 9 × 30 ft at 12 in"),
            (324.0, 1.0, 1.0, 1e-9, "a supply yard's cover table: 324 ft² at 1 in"),
            (162.0, 2.0, 1.0, 1e-9, "the same table at 2 in"),
            (108.0, 3.0, 1.0, 1e-9, "the same table at 3 in"),
            (81.0, 4.0, 1.0, 1e-9, "the same table at 4 in"),
            (64.8, 5.0, 1.0, 1e-9, "the same table at 5 in"),
        ];
        for (ft2, inches, yd3, tolerance, source) in rows {
            let order = material(&input(ft2 * factor::M2_PER_FT2, inches * factor::MM_PER_INCH, 0.0, 0.0)).unwrap();
            let got = order.volume.get() / YD3;
            assert!((got - yd3).abs() <= tolerance, "{source}: {got} for {yd3}");
        }
    }

    /// A mulch supplier: 4 in loose end as 3 in, so 3 in wanted are 4 in ordered.
    #[test]
    fn settling_is_a_share_of_the_loose_depth() {
        let wanted = material(&input(100.0, 3.0 * 25.4, 0.25, 0.0)).unwrap();
        let loose = material(&input(100.0, 4.0 * 25.4, 0.0, 0.0)).unwrap();
        assert!((wanted.volume.get() - loose.volume.get()).abs() < 1e-12);
    }

    /// Bags in a cubic yard, a supply yard's table: 2 ft³ 13.5, so 14; 3 ft³ 9, and not 10 for a rounding error.
    #[test]
    fn bags_are_rounded_up() {
        let bags = |ft3: f64| {
            let area = YD3 / 0.1;
            let bag = Some(Litres::new(1000.0 * ft3 * factor::M_PER_FOOT.powi(3)));
            material(&MaterialInput { bag, ..input(area, 100.0, 0.0, 0.0) }).unwrap().bags_rounded_up
        };
        for (ft3, count) in [(3.0, 9), (2.0, 14), (1.5, 18), (1.0, 27), (0.75, 36), (0.5, 54)] {
            assert_eq!(bags(ft3), Some(count), "{ft3} ft³");
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let good = input(10.0, 50.0, 0.2, 0.1);
        let field = |i: &MaterialInput| material(i).unwrap_err().field();
        assert_eq!(field(&input(-1.0, 50.0, 0.2, 0.1)), "area_m2");
        assert_eq!(field(&input(1.0, f64::NAN, 0.2, 0.1)), "depth_mm");
        assert_eq!(field(&input(1.0, 50.0, 1.0, 0.1)), "settle_fraction");
        assert_eq!(field(&input(1.0, 50.0, 0.2, -0.1)), "waste_fraction");
        assert_eq!(field(&MaterialInput { density: Some(KilogramsPerCubicMetre::new(0.0)), ..good }), "density_kg_m3");
        assert_eq!(field(&MaterialInput { bag: Some(Litres::new(0.0)), ..good }), "bag_l");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Two areas take together what they take apart; the bags hold the volume and one fewer does not.
        #[test]
        fn volumes_add_up(
            a in 0.0..1e4_f64, b in 0.0..1e4_f64, d in 0.0..500.0_f64, s in 0.0..0.9_f64, w in 0.0..1.0_f64,
            bag in 0.5..100.0_f64,
        ) {
            let order = |area| {
                let bag = Some(Litres::new(bag));
                material(&MaterialInput { bag, ..input(area, d, s, w) }).unwrap()
            };
            let (one, two, both) = (order(a), order(b), order(a + b));
            prop_assert!((one.volume + two.volume - both.volume).get().abs() <= 1e-9 * (1.0 + both.volume.get()));
            let litres = 1000.0 * both.volume.get();
            let bags = both.bags_rounded_up.unwrap() as f64;
            prop_assert!(bags * bag >= litres * (1.0 - 2e-9) && (bags - 1.0) * bag < litres.max(1e-300));
        }

        /// Numbers of any size are answered or refused.
        #[test]
        fn any_number_is_safe(n in prop::collection::vec(prop_oneof![0.0..1.0, any::<f64>()], 6)) {
            let any = MaterialInput {
                density: Some(KilogramsPerCubicMetre::new(n[4])), bag: Some(Litres::new(n[5])), ..input(n[0], n[1], n[2], n[3])
            };
            if let Ok(order) = material(&any) {
                prop_assert!(order.volume.get().is_finite() && order.mass.unwrap().get().is_finite());
            }
        }
    }
}

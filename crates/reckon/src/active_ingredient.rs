//! How much active ingredient an application brings, and what a yearly limit leaves.

use crate::error::{Bound, ReckonError};
use crate::fertilizer::WHOLE_TOLERANCE;
use crate::units::{GramsPerLitre, GramsPerSquareMetre, MillilitresPerSquareMetre, Percent};

/// Dry product laid down.
pub const PRODUCT_G_M2: Bound = Bound::new("product_g_m2", 0.0, 1_000.0, "g/m²", "dry product on the ground");
/// Liquid product laid down.
pub const PRODUCT_ML_M2: Bound =
    Bound::new("product_ml_m2", 0.0, 1_000.0, "mL/m²", "liquid product on the ground, water not counted");
/// Strength of a dry product.
pub const ACTIVE_PCT: Bound = Bound::new("active_pct", 0.000_1, 100.0, "%", "active ingredient by weight");
/// Strength of a liquid product.
pub const ACTIVE_G_L: Bound =
    Bound::new("active_g_l", 0.001, 2_000.0, "g/L", "active ingredient in a litre of product");
/// What the year has seen already.
pub const USED: Bound =
    Bound::new("used_this_year_g_m2", 0.0, 1_000.0, "g/m²", "active ingredient already applied this year");
/// What the label allows in a year.
pub const YEARLY_LIMIT: Bound =
    Bound::new("yearly_limit_g_m2", 0.0, 1_000.0, "g/m²", "active ingredient the label allows in a year");
/// Active ingredient of one application, for the balance of the year.
const ACTIVE: Bound = Bound::new("active_g_m2", 0.0, 2_000.0, "g/m²", "active ingredient of this application");

/// A product laid down, dry by weight or liquid by volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Product {
    /// Granules or powder.
    Dry {
        /// Product on the ground.
        rate: GramsPerSquareMetre,
        /// Active ingredient by weight.
        active: Percent,
    },
    /// Concentrate.
    Liquid {
        /// Product on the ground, water not counted.
        rate: MillilitresPerSquareMetre,
        /// Active ingredient in a litre.
        active: GramsPerLitre,
    },
}

/// Active ingredient that an application brings.
///
/// Dry: `a = R c / 100`. Liquid: `a = r s / 1000`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `R` | dry product | g/m² | 0 ..= 1,000 |
/// | `c` | active ingredient by weight | % | 0.0001 ..= 100 |
/// | `r` | liquid product | mL/m² | 0 ..= 1,000 |
/// | `s` | active ingredient in a litre | g/L | 0.001 ..= 2,000 |
/// | `a` | active ingredient | g/m² | – |
///
/// Where a label counts acid equivalent (2,4-D, glyphosate), strength and limit must both be acid equivalent. A product
/// with several active ingredients is reckoned once for each.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition of the label's strength. Published tables: *Pacific Northwest Weed Management Handbook*, Weights and measures.
///
/// # Examples
/// 2 pints on an acre of a product with 4 lb/gal bring 1 lb on an acre (*Pacific Northwest Weed Management Handbook*, Weights
/// and measures, table of pints).
/// ```
/// use reckon::active_ingredient::{Product, active_ingredient};
/// use reckon::units::{GramsPerLitre, MillilitresPerSquareMetre, factor};
///
/// let active = active_ingredient(Product::Liquid {
///     rate: MillilitresPerSquareMetre::new(0.25 * factor::L_PER_GALLON * 1000.0 / factor::M2_PER_ACRE),
///     active: GramsPerLitre::new(4.0 * factor::G_PER_POUND / factor::L_PER_GALLON),
/// })?;
/// assert!((active.get() / factor::G_M2_PER_LB_ACRE - 1.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn active_ingredient(product: Product) -> Result<GramsPerSquareMetre, ReckonError> {
    let active = match product {
        Product::Dry { rate, active } => PRODUCT_G_M2.check(rate.get())? * (ACTIVE_PCT.check(active.get())? / 100.0),
        Product::Liquid { rate, active } => {
            PRODUCT_ML_M2.check(rate.get())? * (ACTIVE_G_L.check(active.get())? / 1000.0)
        }
    };
    Ok(GramsPerSquareMetre::new(active))
}

/// What a yearly limit leaves after an application.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct YearBalance {
    /// Active ingredient the year has left; below 0 by as much as the limit is overstepped.
    pub remaining: GramsPerSquareMetre,
    /// Whether this application oversteps the limit.
    pub over_limit: bool,
}

/// Active ingredient a yearly limit leaves after an application.
///
/// `L - U - a`; over the limit when that is below 0. A difference within a part in 10⁹ of the limit is none: the limit is
/// used up and not overstepped.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `a` | active ingredient of this application | g/m² | 0 ..= 2,000 |
/// | `U` | applied earlier in the year | g/m² | 0 ..= 1,000 |
/// | `L` | yearly limit | g/m² | 0 ..= 1,000 |
///
/// Left out: limits on one application, on their number and on the days between, which labels have as well.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition; the limit is the label's.
///
/// # Examples
/// 3.0 lb on 1,000 ft² of granules with 0.48 % bring 0.627 lb on an acre; of 1.0 lb a year 0.373 lb is left (worked by
/// hand).
/// ```
/// use reckon::active_ingredient::{Product, active_ingredient, year_balance};
/// use reckon::units::{GramsPerSquareMetre, Percent, factor};
///
/// let per_acre = factor::G_M2_PER_LB_ACRE;
/// let rate = GramsPerSquareMetre::new(3.0 * factor::G_M2_PER_LB_1000FT2);
/// let active = active_ingredient(Product::Dry { rate, active: Percent::new(0.48) })?;
/// assert!((active.get() / per_acre - 0.627).abs() < 0.0005);
/// let year = year_balance(active, GramsPerSquareMetre::new(0.0), GramsPerSquareMetre::new(per_acre))?;
/// assert!((year.remaining.get() / per_acre - 0.373).abs() < 0.0005);
/// assert!(!year.over_limit);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn year_balance(
    active: GramsPerSquareMetre,
    used: GramsPerSquareMetre,
    limit: GramsPerSquareMetre,
) -> Result<YearBalance, ReckonError> {
    let active = ACTIVE.check(active.get())?;
    let used = USED.check(used.get())?;
    let limit = YEARLY_LIMIT.check(limit.get())?;
    let exact = limit - used - active;
    let remaining = if exact.abs() <= WHOLE_TOLERANCE * limit { 0.0 } else { exact };
    Ok(YearBalance { remaining: GramsPerSquareMetre::new(remaining), over_limit: remaining < 0.0 })
}

/// Dry product that brings an amount of active ingredient: what a limit still allows, in product.
///
/// `R = 100 a / c`. Exact; measured out it is rounded down.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `a` | active ingredient wanted | g/m² | 0 ..= 2,000 |
/// | `c` | active ingredient by weight | % | 0.0001 ..= 100 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition; the inverse of [`active_ingredient`].
///
/// # Examples
/// 2 lb of active ingredient on an acre from a powder of 80 % are 2.5 lb on an acre (*Agrochemical and pesticide safety*, handbook,
/// example 5).
/// ```
/// use reckon::active_ingredient::dry_product_for;
/// use reckon::units::{GramsPerSquareMetre, Percent, factor};
///
/// let product = dry_product_for(GramsPerSquareMetre::new(2.0 * factor::G_M2_PER_LB_ACRE), Percent::new(80.0))?;
/// assert!((product.get() / factor::G_M2_PER_LB_ACRE - 2.5).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn dry_product_for(active: GramsPerSquareMetre, strength: Percent) -> Result<GramsPerSquareMetre, ReckonError> {
    let active = ACTIVE.check(active.get())?;
    let strength = ACTIVE_PCT.check(strength.get())?;
    Ok(GramsPerSquareMetre::new(100.0 * active / strength))
}

/// Liquid product that brings an amount of active ingredient.
///
/// `r = 1000 a / s`. Exact; measured out it is rounded down.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `a` | active ingredient wanted | g/m² | 0 ..= 2,000 |
/// | `s` | active ingredient in a litre | g/L | 0.001 ..= 2,000 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition; the inverse of [`active_ingredient`].
///
/// # Examples
/// 1 lb of active ingredient on an acre from 4 lb/gal takes 22 mL on 1,000 ft² (*Pacific Northwest Weed Management Handbook*,
/// Weights and measures, amount of chemical needed).
/// ```
/// use reckon::active_ingredient::liquid_product_for;
/// use reckon::units::{GramsPerLitre, GramsPerSquareMetre, factor};
///
/// let strength = GramsPerLitre::new(4.0 * factor::G_PER_POUND / factor::L_PER_GALLON);
/// let product = liquid_product_for(GramsPerSquareMetre::new(factor::G_M2_PER_LB_ACRE), strength)?;
/// assert!((product.get() * 1000.0 * factor::M2_PER_FT2 - 22.0).abs() < 0.5);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn liquid_product_for(
    active: GramsPerSquareMetre,
    strength: GramsPerLitre,
) -> Result<MillilitresPerSquareMetre, ReckonError> {
    let active = ACTIVE.check(active.get())?;
    let strength = ACTIVE_G_L.check(strength.get())?;
    Ok(MillilitresPerSquareMetre::new(1000.0 * active / strength))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    const LB_ACRE: f64 = factor::G_M2_PER_LB_ACRE;
    const FT2_1000: f64 = 1000.0 * factor::M2_PER_FT2;

    fn dry(rate: f64, pct: f64) -> Result<f64, ReckonError> {
        let product = Product::Dry { rate: GramsPerSquareMetre::new(rate), active: Percent::new(pct) };
        active_ingredient(product).map(GramsPerSquareMetre::get)
    }

    fn liquid(rate: f64, g_l: f64) -> Result<f64, ReckonError> {
        let product = Product::Liquid { rate: MillilitresPerSquareMetre::new(rate), active: GramsPerLitre::new(g_l) };
        active_ingredient(product).map(GramsPerSquareMetre::get)
    }

    fn balance(active: f64, used: f64, limit: f64) -> Result<YearBalance, ReckonError> {
        year_balance(GramsPerSquareMetre::new(active), GramsPerSquareMetre::new(used), GramsPerSquareMetre::new(limit))
    }

    /// Pints of product on an acre by strength (lb/gal) and rate (lb/acre): *Pacific Northwest Weed Management Handbook*,
    /// Weights and measures. The printed pints bring the rate within their printed digits.
    #[test]
    fn published_pints() {
        let rows = [
            (1.00, 0.25, 2.0, 0.05),
            (2.64, 1.0, 3.0, 0.05),
            (3.00, 0.5, 1.33, 0.005),
            (3.34, 1.5, 3.6, 0.05),
            (4.00, 0.75, 1.5, 0.05),
            (5.00, 2.0, 3.2, 0.05),
            (6.00, 0.25, 0.33, 0.005),
            (7.00, 1.0, 1.14, 0.005),
            (8.00, 2.0, 2.0, 0.05),
        ];
        for (strength, rate, printed, tolerance) in rows {
            let strength = GramsPerLitre::new(strength * factor::G_PER_POUND / factor::L_PER_GALLON);
            let product = liquid_product_for(GramsPerSquareMetre::new(rate * LB_ACRE), strength).unwrap();
            let pints = product.get() * factor::M2_PER_ACRE / 1000.0 / factor::L_PER_GALLON * 8.0;
            assert!((pints - printed).abs() <= tolerance, "{strength:?} at {rate} lb: {pints} for {printed}");
            assert!((liquid(product.get(), strength.get()).unwrap() - rate * LB_ACRE).abs() < 1e-12);
        }
    }

    /// Product on 1,000 ft² for 1 lb/acre, mL and g: the same handbook, amount of chemical needed.
    #[test]
    fn published_amounts_on_1000_square_feet() {
        for (strength, millilitres) in
            [(1.0, 87.0), (1.5, 58.0), (2.0, 43.0), (2.5, 35.0), (3.0, 29.0), (4.0, 22.0), (7.0, 12.0)]
        {
            let strength = GramsPerLitre::new(strength * factor::G_PER_POUND / factor::L_PER_GALLON);
            let product = liquid_product_for(GramsPerSquareMetre::new(LB_ACRE), strength).unwrap().get() * FT2_1000;
            assert!((product - millilitres).abs() <= 0.5, "{strength:?}: {product} for {millilitres}");
        }
        for (pct, grams) in
            [(100.0, 10.0), (90.0, 12.0), (80.0, 13.0), (75.0, 14.0), (50.0, 21.0), (40.0, 26.0), (20.0, 52.0)]
        {
            let product =
                dry_product_for(GramsPerSquareMetre::new(LB_ACRE), Percent::new(pct)).unwrap().get() * FT2_1000;
            assert!((product - grams).abs() <= 0.5, "{pct} %: {product} for {grams}");
        }
    }

    /// Other published examples, in lb on an acre.
    #[test]
    fn published_examples() {
        let rows = [
            (2.5, 80.0, 2.0, "Agrochemical and pesticide safety, handbook, example 5"),
            (200.0, 5.0, 10.0, "U.S. Army Medical Department, MD0173 Pesticides in the military: dust"),
            (
                100.0,
                1.0,
                1.0,
                "New England Vegetable Management Guide, table of commercial products: 1 % dust for 1 lb",
            ),
            (20.0, 5.0, 1.0, "the same: 5 % dust"),
            (4.0, 25.0, 1.0, "the same: 25 % powder"),
        ];
        for (product, pct, printed, source) in rows {
            let got = dry(product * LB_ACRE, pct).unwrap() / LB_ACRE;
            assert!((got - printed).abs() < 1e-9, "{source}: {got} for {printed}");
        }
        // 1.5 pints on an acre of 4 lb/gal, worked by hand: 0.75 lb, 0.084 g/m².
        let got = liquid(
            1.5 / 8.0 * factor::L_PER_GALLON * 1000.0 / factor::M2_PER_ACRE,
            4.0 * factor::G_PER_POUND / factor::L_PER_GALLON,
        );
        assert!((got.unwrap() - 0.084).abs() < 0.0005);
    }

    /// Granules of 0.48 % at 3.0 lb on 1,000 ft² under 1.0 lb/acre a year, worked by hand to the end: 1.78 lb on 1,000 ft²
    /// are left.
    #[test]
    fn a_year_step_by_step() {
        let active = dry(3.0 * factor::G_M2_PER_LB_1000FT2, 0.48).unwrap();
        let year = balance(active, 0.0, LB_ACRE).unwrap();
        let left = dry_product_for(year.remaining, Percent::new(0.48)).unwrap();
        assert!((left.get() / factor::G_M2_PER_LB_1000FT2 - 1.78).abs() < 0.005);
    }

    /// The limit itself is not overstepped, in figures that binary fractions cannot hold exactly too; past it by a little is.
    #[test]
    fn the_limit_is_exact() {
        for (active, used, limit) in [(0.1, 0.2, 0.3), (0.3, 0.0, 0.3), (0.0, 0.0, 0.0), (0.7, 0.1, 0.8)] {
            let year = balance(active, used, limit).unwrap();
            assert_eq!((year.remaining.get(), year.over_limit), (0.0, false), "{active} {used} {limit}");
        }
        let year = balance(0.1, 0.2, 0.299_999).unwrap();
        assert!(year.over_limit && year.remaining.get() < 0.0);
        assert!(balance(0.000_1, 0.0, 0.0).unwrap().over_limit);
    }

    #[test]
    fn refusals_name_the_field() {
        assert_eq!(dry(-1.0, 1.0).unwrap_err().field(), "product_g_m2");
        assert_eq!(dry(1.0, 0.0).unwrap_err().field(), "active_pct");
        assert_eq!(liquid(f64::NAN, 1.0).unwrap_err().field(), "product_ml_m2");
        assert_eq!(liquid(1.0, 0.0).unwrap_err().field(), "active_g_l");
        assert_eq!(balance(-1.0, 0.0, 1.0).unwrap_err().field(), "active_g_m2");
        assert_eq!(balance(1.0, -1.0, 1.0).unwrap_err().field(), "used_this_year_g_m2");
        assert_eq!(balance(1.0, 0.0, -1.0).unwrap_err().field(), "yearly_limit_g_m2");
        let g = GramsPerSquareMetre::new(1.0);
        assert_eq!(dry_product_for(g, Percent::new(0.0)).unwrap_err().field(), "active_pct");
        assert_eq!(liquid_product_for(g, GramsPerLitre::new(0.0)).unwrap_err().field(), "active_g_l");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or finite figures; product and active ingredient turn into each other.
        #[test]
        fn any_input_is_safe(
            rate in prop_oneof![0.0..50.0, any::<f64>()], pct in prop_oneof![0.01..100.0, any::<f64>()],
            used in prop_oneof![0.0..2.0, any::<f64>()], limit in prop_oneof![0.0..2.0, any::<f64>()],
        ) {
            if let Ok(active) = dry(rate, pct) {
                let back = dry_product_for(GramsPerSquareMetre::new(active), Percent::new(pct)).unwrap().get();
                prop_assert!((back - rate).abs() <= 1e-12 * rate.max(1.0));
                if let Ok(year) = balance(active, used, limit) {
                    prop_assert!(year.remaining.get().is_finite() && year.over_limit == (year.remaining.get() < 0.0));
                }
            }
            if let Ok(active) = liquid(rate, pct) {
                let back = liquid_product_for(GramsPerSquareMetre::new(active), GramsPerLitre::new(pct)).unwrap().get();
                prop_assert!((back - rate).abs() <= 1e-12 * rate.max(1.0));
            }
        }

        /// More product or more used never leaves more.
        #[test]
        fn more_leaves_less(rate in 0.1..50.0, pct in 0.1..100.0, used in 0.0..2.0, limit in 1.0..100.0) {
            let left = |rate, used| balance(dry(rate, pct).unwrap(), used, limit).unwrap().remaining.get();
            prop_assert!(left(rate * 1.01, used) < left(rate, used) && left(rate, used + 0.01) < left(rate, used));
        }
    }
}

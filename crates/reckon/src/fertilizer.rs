//! How much fertiliser brings a nutrient, and what else comes with it.

use crate::error::{Bound, ReckonError};
use crate::units::{GramsPerSquareMetre, Kilograms, Percent, SquareMetres};

/// Nitrogen of the label's first figure.
pub const N_PCT: Bound = Bound::new("n_pct", 0.0, 100.0, "%", "nitrogen (N), the first figure of the label");
/// Phosphate of the label's second figure.
pub const P2O5_PCT: Bound =
    Bound::new("p2o5_pct", 0.0, 100.0, "%", "phosphate (P2O5, not P), the second figure of the label");
/// Potash of the label's third figure.
pub const K2O_PCT: Bound = Bound::new("k2o_pct", 0.0, 100.0, "%", "potash (K2O, not K), the third figure of the label");
/// Ground to feed.
pub const AREA_M2: Bound = Bound::new("area_m2", 0.01, 1_000_000.0, "m²", "area to feed");
/// Nutrient wanted on it.
pub const TARGET: Bound = Bound::new("target_g_m2", 0.0, 200.0, "g/m²", "nutrient wanted");
/// What one bag holds.
pub const BAG_KG: Bound = Bound::new("bag_kg", 0.05, 2_000.0, "kg", "product in one bag");

/// Smallest share of the wanted nutrient with which a product can be dosed by it.
pub const NUTRIENT_PCT_MIN: f64 = 0.01;

/// A count that overshoots a whole number by less than this part of itself is that whole number: it is the sum's own rounding.
pub(crate) const WHOLE_TOLERANCE: f64 = 1e-9;

/// The label's three figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Analysis {
    /// Nitrogen, N.
    pub n: Percent,
    /// Phosphate, P2O5.
    pub p2o5: Percent,
    /// Potash, K2O.
    pub k2o: Percent,
}

/// The nutrient a dose is measured by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nutrient {
    /// Nitrogen.
    N,
    /// Phosphate.
    P2o5,
    /// Potash.
    K2o,
}

impl Analysis {
    /// The share of one nutrient.
    pub fn share(&self, nutrient: Nutrient) -> Percent {
        match nutrient {
            Nutrient::N => self.n,
            Nutrient::P2o5 => self.p2o5,
            Nutrient::K2o => self.k2o,
        }
    }
}

/// Product for an area, and what it brings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// Product on a square metre.
    pub rate: GramsPerSquareMetre,
    /// Product for the whole area, exact: to be rounded down when it is weighed out.
    pub product: Kilograms,
    /// Nitrogen it brings.
    pub n: GramsPerSquareMetre,
    /// Phosphate it brings.
    pub p2o5: GramsPerSquareMetre,
    /// Potash it brings.
    pub k2o: GramsPerSquareMetre,
}

/// Product that brings the wanted amount of one nutrient, and the amounts of all three.
///
/// `R = T / (c / 100)`; `M = R A / 1000`; each nutrient brought is `R cᵢ / 100`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `T` | nutrient wanted | g/m² | 0 ..= 200 |
/// | `c` | that nutrient in the product | % | 0.01 ..= 100 |
/// | `cᵢ` | each nutrient in the product | % | 0 ..= 100, together at most 100 |
/// | `A` | area | m² | 0.01 ..= 1,000,000 |
/// | `R` | product on a square metre | g/m² | – |
/// | `M` | product for the area | kg | – |
///
/// Phosphate and potash are oxides as the label prints them: P is 0.436 of P2O5, K is 0.830 of K2O. Left out: how fast the
/// nutrient is released, and what label and law allow.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range; [`ReckonError::Inconsistent`] naming the wanted
/// nutrient's share when the product holds none of it, or `n_pct` when the three add up to more than the product.
///
/// # Source
/// Definition of the label's figures as percentages by weight. Practice: University of Nebraska–Lincoln Extension, *Lawn
/// fertilizer calculations*; C. Waltz, University of Georgia Extension, *Fertilizer calculations for attractive, healthy
/// lawns*.
///
/// # Examples
/// One pound of nitrogen on 1,000 ft² of a lawn of 6,000 ft² from 28-3-6: 21.42 lb (University of Nebraska–Lincoln
/// Extension, *Lawn fertilizer calculations*, which rounds to 3.57 lb on 1,000 ft² first).
/// ```
/// use reckon::fertilizer::{Analysis, Nutrient, fertilizer};
/// use reckon::units::{GramsPerSquareMetre, Percent, SquareMetres, factor};
///
/// let analysis = Analysis { n: Percent::new(28.0), p2o5: Percent::new(3.0), k2o: Percent::new(6.0) };
/// let lawn = SquareMetres::new(6_000.0 * factor::M2_PER_FT2);
/// let target = GramsPerSquareMetre::new(factor::G_M2_PER_LB_1000FT2);
/// let dose = fertilizer(analysis, lawn, Nutrient::N, target)?;
/// assert!((dose.product.get() / factor::G_PER_POUND * 1000.0 - 21.42).abs() < 0.01);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn fertilizer(
    analysis: Analysis,
    area: SquareMetres,
    nutrient: Nutrient,
    target: GramsPerSquareMetre,
) -> Result<Dose, ReckonError> {
    let n = N_PCT.check(analysis.n.get())?;
    let p2o5 = P2O5_PCT.check(analysis.p2o5.get())?;
    let k2o = K2O_PCT.check(analysis.k2o.get())?;
    let area = AREA_M2.check(area.get())?;
    let target = TARGET.check(target.get())?;
    let total = n + p2o5 + k2o;
    if total > 100.0 * (1.0 + WHOLE_TOLERANCE) {
        return Err(ReckonError::Inconsistent {
            field: N_PCT.field,
            message: format!(
                "{n} % N, {p2o5} % P2O5 and {k2o} % K2O make {total} %; together they must be at most 100 %"
            ),
        });
    }
    let (field, name) = match nutrient {
        Nutrient::N => (N_PCT.field, "nitrogen"),
        Nutrient::P2o5 => (P2O5_PCT.field, "phosphate"),
        Nutrient::K2o => (K2O_PCT.field, "potash"),
    };
    let share = analysis.share(nutrient).get();
    if share < NUTRIENT_PCT_MIN {
        return Err(ReckonError::Inconsistent {
            field,
            message: format!(
                "{share} % of {name} cannot bring {target} g/m² of it; take a product with at least {NUTRIENT_PCT_MIN} % \
                 or dose it by another nutrient"
            ),
        });
    }
    let rate = target / (share / 100.0);
    let brings = |percent: f64| GramsPerSquareMetre::new(rate * percent / 100.0);
    Ok(Dose {
        rate: GramsPerSquareMetre::new(rate),
        product: Kilograms::new(rate * area / 1000.0),
        n: brings(n),
        p2o5: brings(p2o5),
        k2o: brings(k2o),
    })
}

/// Whole bags to buy for an amount of product.
///
/// `M / B` rounded up; an amount within a part in 10⁹ of whole bags is those bags.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `M` | product needed | kg | ≥ 0 |
/// | `B` | product in one bag | kg | 0.05 ..= 2,000 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `bag_kg`, or `product_kg` when the amount is no number of at least 0.
///
/// # Source
/// Definition. Bags are rounded up to buy; what is spread is the exact amount, rounded down.
///
/// # Examples
/// 45 acres at 3.6 lb on 1,000 ft² need 142 bags of 50 lb (*Turfgrass mathematics review and practice worksheet for certified
/// turfgrass professional testing*).
/// ```
/// use reckon::fertilizer::bags_rounded_up;
/// use reckon::units::{Kilograms, factor};
///
/// let lb = factor::G_PER_POUND / 1000.0;
/// assert_eq!(bags_rounded_up(Kilograms::new(3.6 * 43.56 * 45.0 * lb), Kilograms::new(50.0 * lb))?, 142);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn bags_rounded_up(product: Kilograms, bag: Kilograms) -> Result<u64, ReckonError> {
    const PRODUCT_KG: Bound = Bound::new("product_kg", 0.0, 1e12, "kg", "product needed");
    let product = PRODUCT_KG.check(product.get())?;
    let bag = BAG_KG.check(bag.get())?;
    Ok(count_rounded_up(product / bag))
}

/// A finite count of at least 0, rounded up to a whole one unless it overshoots that by rounding alone.
pub(crate) fn count_rounded_up(exact: f64) -> u64 {
    (exact * (1.0 - WHOLE_TOLERANCE)).ceil() as u64
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    const LB_1000: f64 = factor::G_M2_PER_LB_1000FT2;

    fn analysis(n: f64, p2o5: f64, k2o: f64) -> Analysis {
        Analysis { n: Percent::new(n), p2o5: Percent::new(p2o5), k2o: Percent::new(k2o) }
    }

    fn dose(a: Analysis, area: f64, nutrient: Nutrient, target: f64) -> Result<Dose, ReckonError> {
        fertilizer(a, SquareMetres::new(area), nutrient, GramsPerSquareMetre::new(target))
    }

    /// Published rates of product, in lb on 1,000 ft²; the tolerance is half the last printed digit.
    #[test]
    fn published_rates() {
        let waltz = "C. Waltz, University of Georgia Extension, Fertilizer calculations for attractive, healthy lawns";
        let worksheet = "Turfgrass mathematics review and practice worksheet, certified turfgrass professional";
        let rows = [
            (
                analysis(28.0, 3.0, 6.0),
                1.0,
                3.57,
                0.005,
                "University of Nebraska–Lincoln, Lawn fertilizer calculations",
            ),
            (analysis(10.0, 10.0, 10.0), 1.0, 10.0, 0.05, waltz),
            (analysis(12.0, 4.0, 8.0), 1.0, 8.3, 0.05, waltz),
            (analysis(5.0, 10.0, 15.0), 1.0, 20.0, 0.05, waltz),
            (
                analysis(16.0, 4.0, 8.0),
                1.0,
                6.25,
                0.005,
                "UF/IFAS Extension Okaloosa County, Fertilizing your home lawn",
            ),
            (analysis(25.0, 0.0, 0.0), 0.9, 3.6, 0.05, worksheet),
            (analysis(24.0, 0.0, 10.0), 0.75, 3.125, 0.0005, "worked by hand: 0.75 / 0.24"),
            (analysis(46.0, 0.0, 0.0), 0.9, 1.96, 0.005, "worked by hand: urea, 0.9 / 0.46"),
        ];
        for (a, target, printed, tolerance, source) in rows {
            let got = dose(a, 100.0, Nutrient::N, target * LB_1000).unwrap().rate.get() / LB_1000;
            assert!((got - printed).abs() <= tolerance, "{source}: {got} for {printed}");
        }
    }

    /// Published amounts of nutrients in a weight of product, read backwards: the product that brings the nitrogen is that
    /// weight, and it brings the other two.
    #[test]
    fn published_nutrients() {
        let rows = [
            (analysis(5.0, 10.0, 20.0), 1_250.0, [62.5, 125.0, 250.0], "Turfgrass mathematics worksheet: 1,250 lb"),
            (
                analysis(24.0, 2.0, 8.0),
                30.0,
                [7.2, 0.6, 2.4],
                "Cornell Cooperative Extension of Suffolk County, Another set of calculations: a bag of 30 lb",
            ),
        ];
        for (a, pounds, [n, p2o5, k2o], source) in rows {
            // On 50,000 m², so that the target stays an everyday one.
            let got = dose(a, 50_000.0, Nutrient::N, n * factor::G_PER_POUND / 50_000.0).unwrap();
            let in_pounds = |q: f64| q * 50_000.0 / factor::G_PER_POUND;
            assert!((got.product.get() * 1000.0 / factor::G_PER_POUND - pounds).abs() < 1e-9, "{source}");
            assert!((in_pounds(got.p2o5.get()) - p2o5).abs() < 1e-9, "{source}");
            assert!((in_pounds(got.k2o.get()) - k2o).abs() < 1e-9, "{source}");
        }
    }

    /// 32-0-4 at 3.5 g N/m² on 250 m², worked by hand.
    #[test]
    fn metric_example_step_by_step() {
        let got = dose(analysis(32.0, 0.0, 4.0), 250.0, Nutrient::N, 3.5).unwrap();
        assert!((got.rate.get() - 10.9375).abs() < 1e-12);
        assert!((got.product.get() - 2.734_375).abs() < 1e-12);
        assert!((got.n.get() - 3.5).abs() < 1e-12 && got.p2o5.get() == 0.0);
        assert!((got.k2o.get() - 0.4375).abs() < 1e-12);
    }

    /// Bags are whole, never too few, and an amount that is whole bags needs no bag more.
    #[test]
    fn bags() {
        let bags = |product: f64, bag: f64| bags_rounded_up(Kilograms::new(product), Kilograms::new(bag)).unwrap();
        assert_eq!((bags(0.0, 20.0), bags(0.001, 20.0), bags(20.001, 20.0)), (0, 1, 2));
        assert_eq!((bags(20.0, 20.0), bags(0.1 * 3.0, 0.1), bags(0.1 + 0.2, 0.3)), (1, 3, 1));
        assert_eq!(bags_rounded_up(Kilograms::new(1.0), Kilograms::new(0.0)).unwrap_err().field(), "bag_kg");
        assert_eq!(bags_rounded_up(Kilograms::new(-1.0), Kilograms::new(1.0)).unwrap_err().field(), "product_kg");
    }

    #[test]
    fn refusals_name_the_field() {
        let good = analysis(20.0, 5.0, 0.0);
        let field = |a, area, nutrient, target| dose(a, area, nutrient, target).unwrap_err().field();
        assert_eq!(field(analysis(-1.0, 0.0, 0.0), 1.0, Nutrient::N, 1.0), "n_pct");
        assert_eq!(field(analysis(0.0, 101.0, 0.0), 1.0, Nutrient::N, 1.0), "p2o5_pct");
        assert_eq!(field(analysis(0.0, 0.0, f64::NAN), 1.0, Nutrient::N, 1.0), "k2o_pct");
        assert_eq!(field(analysis(50.0, 30.0, 30.0), 1.0, Nutrient::N, 1.0), "n_pct");
        assert_eq!(field(good, 0.0, Nutrient::N, 1.0), "area_m2");
        assert_eq!(field(good, 1.0, Nutrient::N, -1.0), "target_g_m2");
        assert_eq!(field(good, 1.0, Nutrient::K2o, 1.0), "k2o_pct");
        assert_eq!(field(analysis(0.0, 0.0, 1e-300), 1.0, Nutrient::K2o, 1.0), "k2o_pct");
        assert_eq!(field(analysis(0.0, 5.0, 0.0), 1.0, Nutrient::N, 1.0), "n_pct");
        assert!(dose(analysis(100.0, 0.0, 0.0), 1.0, Nutrient::N, 0.0).is_ok());
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or finite figures that bring the target, and no more of it.
        #[test]
        fn any_input_is_safe(
            n in prop_oneof![0.0..60.0, any::<f64>()], k in prop_oneof![0.0..40.0, any::<f64>()],
            area in prop_oneof![1.0..5000.0, any::<f64>()], target in prop_oneof![0.0..20.0, any::<f64>()],
        ) {
            if let Ok(d) = dose(analysis(n, 0.0, k), area, Nutrient::N, target) {
                prop_assert!(d.product.get().is_finite() && d.rate.get() >= 0.0 && d.k2o.get() >= 0.0);
                prop_assert!((d.n.get() - target).abs() <= 1e-12 * target.max(1.0));
            }
        }

        /// Splitting an area splits the product; more area or more nutrient never means less product.
        #[test]
        fn areas_split(a in 1.0..5000.0, b in 1.0..5000.0, target in 0.1..10.0, n in 1.0..46.0) {
            let product = |area, target| dose(analysis(n, 3.0, 3.0), area, Nutrient::N, target).unwrap().product.get();
            let whole = product(a + b, target);
            prop_assert!((product(a, target) + product(b, target) - whole).abs() <= 1e-12 * whole);
            prop_assert!(product(a, target) < whole && whole < product(a + b, target * 1.01));
        }

        /// Bags hold the product, and one bag fewer would not.
        #[test]
        fn bags_hold_the_product(product in 0.0..1e5, bag in 0.05..100.0) {
            let bags = bags_rounded_up(Kilograms::new(product), Kilograms::new(bag)).unwrap() as f64;
            prop_assert!(bags * bag >= product * (1.0 - 1e-8));
            prop_assert!(bags == 0.0 || (bags - 1.0) * bag < product);
        }
    }
}

//! What a seed mixture holds, and what of it can grow.

use crate::error::{Bound, ReckonError};
use crate::units::{GramsPerSquareMetre, Kilograms, Percent, SquareMetres};

/// Share of a part in the mixture.
pub const WEIGHT_PCT: Bound =
    Bound::new("weight_pct", 0.01, 100.0, "%", "share of the mixture by weight; all add up to 100");
/// Pure seed in a part.
pub const PURITY_PCT: Bound = Bound::new("purity_pct", 1.0, 100.0, "%", "pure seed in this part by weight");
/// Pure seed that germinates.
pub const GERMINATION_PCT: Bound =
    Bound::new("germination_pct", 0.0, 100.0, "%", "pure seed that germinates, by the label's test");
/// Seeds in a kilogram.
pub const SEEDS_PER_KG: Bound =
    Bound::new("seeds_per_kg", 100.0, 100_000_000.0, "", "seeds in a kilogram of pure seed");
/// Mixture sown.
pub const RATE: Bound = Bound::new("rate_g_m2", 0.01, 1_000.0, "g/m²", "mixture sown, as it comes from the bag");
/// Ground to sow.
pub const AREA_M2: Bound = Bound::new("area_m2", 0.01, 1_000_000.0, "m²", "area to sow");

/// Most parts of a mixture.
pub const PARTS_MAX: usize = 50;
/// How far the parts' shares may add up to something else than 100: labels round, and each part is off by up to half its
/// last digit.
pub const WEIGHT_PCT_TOLERANCE: f64 = 0.5;

/// One grass of a mixture, by its label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Share of the mixture by weight.
    pub weight: Percent,
    /// Pure seed in it.
    pub purity: Percent,
    /// Pure seed that germinates.
    pub germination: Percent,
    /// Seeds in a kilogram of pure seed.
    pub seeds_per_kg: f64,
}

/// What one part brings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartFound {
    /// Its pure live seed as a share of the whole mixture's weight.
    pub live_share: Percent,
    /// Share of the mixture's pure seeds by number.
    pub seed_count: Percent,
    /// Seeds on a square centimetre that can grow.
    pub live_seeds_cm2: f64,
}

/// What a mixture brings.
#[derive(Clone, Debug, PartialEq)]
pub struct SeedMix {
    /// Share of the mixture's weight that is pure seed and germinates.
    pub pure_live_seed: Percent,
    /// Mixture for the area.
    pub seed: Kilograms,
    /// Each part in the order given.
    pub parts: Vec<PartFound>,
    /// Seeds on a square centimetre that can grow, of all parts.
    pub live_seeds_cm2: f64,
}

/// What a seed mixture holds by number, and what of it can grow.
///
/// `lᵢ = 100 wᵢ pᵢ gᵢ`; `PLS = Σ lᵢ`; `nᵢ = wᵢ pᵢ sᵢ`, `cᵢ = 100 nᵢ / Σ n`; `dᵢ = R nᵢ gᵢ / 10⁷`; `M = R A / 1000`, with
/// shares as parts of one and `wᵢ` over their sum.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `w` | share of a part by weight | % | 0.01 ..= 100, together 100 ± 0.5 |
/// | `p` | pure seed in the part | % | 1 ..= 100 |
/// | `g` | germination | % | 0 ..= 100 |
/// | `s` | seeds in a kilogram | – | 100 ..= 100,000,000 |
/// | `R` | mixture sown, as it comes from the bag | g/m² | 0.01 ..= 1,000 |
/// | `A` | area | m² | 0.01 ..= 1,000,000 |
/// | `PLS` | pure live seed of the mixture | % | – |
/// | `c` | share of a part by number of pure seeds | % | – |
/// | `d` | seeds on a square centimetre that can grow | – | – |
/// | `M` | mixture for the area | kg | – |
///
/// A label that gives each grass as pure seed of the whole bag (44 %, 31 %, …, and inert matter) is written with those
/// figures over their sum as `w` and their sum as every `p`. Left out: losses between germination and a plant.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the rate or the area; [`ReckonError::Inconsistent`] naming `parts` and the place: none
/// or too many, a value out of range, shares that do not make 100 %.
///
/// # Source
/// Definition of pure live seed, purity times germination: Penn State Extension, *Calculating the price of pure live seed*;
/// University of Minnesota Extension, *Purchasing seed*, Table 5.2.
///
/// # Examples
/// 92 % pure and 80 % germination are 74 % pure live seed (Penn State Extension, *Calculating the price of pure live seed*).
/// ```
/// use reckon::seed_mix::{Part, seed_mix};
/// use reckon::units::{GramsPerSquareMetre, Percent, SquareMetres};
///
/// let [weight, purity, germination] = [100.0, 92.0, 80.0].map(Percent::new);
/// let part = Part { weight, purity, germination, seeds_per_kg: 3_000_000.0 };
/// let mix = seed_mix(&[part], GramsPerSquareMetre::new(10.0), SquareMetres::new(50.0))?;
/// assert!((mix.pure_live_seed.get() - 74.0).abs() <= 0.5);
/// assert!((mix.seed.get() - 0.5).abs() < 1e-12);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn seed_mix(parts: &[Part], rate: GramsPerSquareMetre, area: SquareMetres) -> Result<SeedMix, ReckonError> {
    let rate = RATE.check(rate.get())?;
    let area = AREA_M2.check(area.get())?;
    let count = parts.len();
    if !(1..=PARTS_MAX).contains(&count) {
        return Err(refused(format!("{count} parts; there must be 1 to {PARTS_MAX}")));
    }
    for (i, part) in parts.iter().enumerate() {
        let values = [
            (WEIGHT_PCT, part.weight.get()),
            (PURITY_PCT, part.purity.get()),
            (GERMINATION_PCT, part.germination.get()),
            (SEEDS_PER_KG, part.seeds_per_kg),
        ];
        for (bound, value) in values {
            if bound.check(value).is_err() {
                let Bound { field, min, max, unit, .. } = bound;
                return Err(refused(format!(
                    "parts[{i}].{field} is {value} {unit}; it must be between {min} and {max} {unit}"
                )));
            }
        }
    }
    let total: f64 = parts.iter().map(|part| part.weight.get()).sum();
    if (total - 100.0).abs() > WEIGHT_PCT_TOLERANCE {
        return Err(refused(format!(
            "the weights add up to {total} %; they must make 100 %, give or take {WEIGHT_PCT_TOLERANCE} for the label's rounding"
        )));
    }
    // Of each part, per gram of mixture: pure seed in grams, then seeds.
    let pure = |part: &Part| part.weight.get() / total * part.purity.get() / 100.0;
    let seeds = |part: &Part| pure(part) * part.seeds_per_kg / 1000.0;
    let all_seeds: f64 = parts.iter().map(seeds).sum();
    let found: Vec<PartFound> = parts
        .iter()
        .map(|part| PartFound {
            live_share: Percent::new(pure(part) * part.germination.get()),
            seed_count: Percent::new(100.0 * seeds(part) / all_seeds),
            live_seeds_cm2: rate * seeds(part) * part.germination.get() / 100.0 / 10_000.0,
        })
        .collect();
    Ok(SeedMix {
        pure_live_seed: found.iter().map(|part| part.live_share).sum(),
        seed: Kilograms::new(rate * area / 1000.0),
        live_seeds_cm2: found.iter().map(|part| part.live_seeds_cm2).sum(),
        parts: found,
    })
}

fn refused(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: "parts", message }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    fn part(weight: f64, purity: f64, germination: f64, seeds_per_kg: f64) -> Part {
        let [weight, purity, germination] = [weight, purity, germination].map(Percent::new);
        Part { weight, purity, germination, seeds_per_kg }
    }

    fn mix(parts: &[Part], rate: f64, area: f64) -> Result<SeedMix, ReckonError> {
        seed_mix(parts, GramsPerSquareMetre::new(rate), SquareMetres::new(area))
    }

    /// Published shares of pure live seed; the tolerance is half the last printed digit.
    #[test]
    fn published_pure_live_seed() {
        let penn_state = "Penn State Extension, Calculating the price of pure live seed";
        let rows = [
            (92.0, 80.0, 74.0, penn_state),
            (85.0, 60.0, 51.0, penn_state),
            (99.0, 90.0, 89.0, penn_state),
            (85.0, 75.0, 64.0, "Texas Department of Transportation, Pure live seed: bermudagrass"),
            (95.0, 85.0, 81.0, "Cornell, Safe sports fields, Seeding rates"),
        ];
        for (purity, germination, printed, source) in rows {
            let got = mix(&[part(100.0, purity, germination, 1e6)], 10.0, 1.0).unwrap().pure_live_seed.get();
            assert!((got - printed).abs() <= 0.5, "{source}: {got} for {printed}");
        }
        // "1.56 lb of bulk seed for a pound of pure live seed", from the rounded 0.64.
        let bermuda = mix(&[part(100.0, 85.0, 75.0, 1e6)], 10.0, 1.0).unwrap();
        assert!((100.0 / bermuda.pure_live_seed.get() - 1.57).abs() < 0.005);
    }

    /// University of Minnesota Extension, *Purchasing seed*, Table 5.2: the label's bluegrass, 31 % of the bag, germinates to
    /// 80 %, so 24.8 % of the bag is live bluegrass; the other grasses by the same rule.
    #[test]
    fn published_label() {
        let label = [(44.0, 85.0, 880_000.0), (31.0, 80.0, 3_000_000.0), (9.0, 85.0, 1e6), (12.0, 90.0, 530_000.0)];
        let parts = label.map(|(share, germination, seeds)| part(share / 0.96, 96.0, germination, seeds));
        let got = mix(&parts, 20.0, 100.0).unwrap();
        assert!((got.parts[1].live_share.get() - 24.8).abs() < 1e-9);
        assert!((got.pure_live_seed.get() - (37.4 + 24.8 + 7.65 + 10.8)).abs() < 1e-9);
    }

    /// By number, a tenth of small bluegrass seed (2,200,000 in a pound) among tall fescue (230,000) is half the mixture: a
    /// published rule of thumb for those counts, 51.5 % exactly.
    #[test]
    fn small_seed_counts_for_more() {
        let per_lb = |seeds: f64| seeds / factor::G_PER_POUND * 1000.0;
        let parts = [part(10.0, 98.0, 80.0, per_lb(2_200_000.0)), part(90.0, 98.0, 85.0, per_lb(230_000.0))];
        let got = mix(&parts, 34.0, 100.0).unwrap();
        assert!((got.parts[0].seed_count.get() - 50.0).abs() < 2.0, "{got:?}");
    }

    /// Two grasses step by step, worked by hand: 10 g/m² of 60 % at 98 × 90 with 500,000 and 40 % at 95 × 80 with
    /// 2,000,000 seeds in a kilogram.
    #[test]
    fn two_grasses_step_by_step() {
        let got = mix(&[part(60.0, 98.0, 90.0, 500_000.0), part(40.0, 95.0, 80.0, 2e6)], 10.0, 200.0).unwrap();
        assert!((got.pure_live_seed.get() - (52.92 + 30.4)).abs() < 1e-9);
        assert!((got.seed.get() - 2.0).abs() < 1e-12);
        // In a gram of mixture: 294 and 760 seeds.
        assert!((got.parts[0].seed_count.get() - 100.0 * 294.0 / 1054.0).abs() < 1e-9);
        assert!((got.parts[0].live_seeds_cm2 - 0.2646).abs() < 1e-12);
        assert!((got.parts[1].live_seeds_cm2 - 0.608).abs() < 1e-12);
        assert!((got.live_seeds_cm2 - 0.8726).abs() < 1e-12);
    }

    /// Shares that a label rounded are taken over their sum; shares that leave something out are refused.
    #[test]
    fn weights_make_a_hundred() {
        let thirds = [part(33.3, 100.0, 100.0, 1e6); 3];
        assert!((mix(&thirds, 1.0, 1.0).unwrap().pure_live_seed.get() - 100.0).abs() < 1e-9);
        for weight in [33.0, 33.6] {
            let error = mix(&[part(weight, 100.0, 100.0, 1e6); 3], 1.0, 1.0).unwrap_err();
            assert_eq!(error.field(), "parts");
            assert!(error.to_string().contains("they must make 100 %"), "{error}");
        }
    }

    #[test]
    fn refusals_name_the_place() {
        let good = part(50.0, 98.0, 90.0, 1e6);
        let message = |parts: &[Part]| mix(parts, 1.0, 1.0).unwrap_err().to_string();
        assert!(message(&[]).contains("0 parts"));
        assert!(message(&[good; PARTS_MAX + 1]).contains("51 parts"));
        assert!(mix(&[part(2.0, 98.0, 90.0, 1e6); PARTS_MAX], 1.0, 1.0).is_ok());
        assert!(message(&[good, part(0.0, 98.0, 90.0, 1e6)]).contains("parts[1].weight_pct is 0"));
        assert!(message(&[good, part(50.0, 0.0, 90.0, 1e6)]).contains("parts[1].purity_pct is 0"));
        assert!(message(&[good, part(50.0, 98.0, 101.0, 1e6)]).contains("parts[1].germination_pct is 101"));
        assert!(message(&[good, part(50.0, 98.0, 90.0, f64::NAN)]).contains("parts[1].seeds_per_kg is NaN"));
        assert_eq!(mix(&[good, good], 0.0, 1.0).unwrap_err().field(), "rate_g_m2");
        assert_eq!(mix(&[good, good], 1.0, 0.0).unwrap_err().field(), "area_m2");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or finite figures; the shares by number make 100 and the parts make the whole.
        #[test]
        fn any_input_is_safe(
            parts in prop::collection::vec(
                (prop_oneof![1.0..100.0, any::<f64>()], prop_oneof![50.0..100.0, any::<f64>()],
                 prop_oneof![0.0..100.0, any::<f64>()], prop_oneof![1e5..1e7, any::<f64>()]), 0..6),
            scale: bool, rate in prop_oneof![1.0..50.0, any::<f64>()], area in prop_oneof![1.0..5000.0, any::<f64>()],
        ) {
            let total: f64 = if scale { parts.iter().map(|p| p.0).sum::<f64>() / 100.0 } else { 1.0 };
            let parts: Vec<Part> = parts.into_iter().map(|(w, p, g, s)| part(w / total, p, g, s)).collect();
            if let Ok(m) = mix(&parts, rate, area) {
                prop_assert!(m.seed.get().is_finite() && (0.0..=100.0 + 1e-9).contains(&m.pure_live_seed.get()));
                prop_assert!((m.parts.iter().map(|p| p.seed_count.get()).sum::<f64>() - 100.0).abs() < 1e-9);
                prop_assert!(m.live_seeds_cm2.is_finite() && m.parts.iter().all(|p| p.live_seeds_cm2 <= m.live_seeds_cm2));
            }
        }

        /// Splitting an area splits the seed; a better test of germination never means fewer live seeds.
        #[test]
        fn areas_split(a in 1.0..5000.0, b in 1.0..5000.0, w in 1.0..99.0, g in 1.0..99.0) {
            let of = |g, area| mix(&[part(w, 98.0, g, 5e5), part(100.0 - w, 95.0, 80.0, 3e6)], 20.0, area).unwrap();
            let whole = of(g, a + b).seed.get();
            prop_assert!((of(g, a).seed.get() + of(g, b).seed.get() - whole).abs() <= 1e-12 * whole);
            prop_assert!(of(g + 1.0, a).live_seeds_cm2 > of(g, a).live_seeds_cm2);
        }
    }
}

//! Soil that rain washes off a slope in an average year.

use crate::error::{Bound, ReckonError};
use crate::units::{Metres, Percent, TonnesPerHectare, factor::M_PER_FOOT};

/// Erosivity of a year's rain.
pub const R: Bound = Bound::new("r_mj_mm_ha_h", 0.0, 50_000.0, "MJ mm/(ha h)", "erosivity of an average year's rain");
/// Erodibility of the soil.
pub const K: Bound = Bound::new("k_t_ha_h_ha_mj_mm", 0.0, 0.2, "t ha h/(ha MJ mm)", "erodibility of the soil");
/// Length of the slope, measured level.
pub const LENGTH_M: Bound = Bound::new("length_m", 0.1, 400.0, "m", "length of the slope, measured level");
/// Steepness of the slope.
pub const SLOPE_PCT: Bound = Bound::new("slope_pct", 0.0, 100.0, "%", "steepness of the slope");
/// Cover and management.
pub const C: Bound = Bound::new("c", 0.0, 1.0, "", "cover factor: 1 for bare, smooth soil");
/// Support practice.
pub const P: Bound = Bound::new("p", 0.0, 2.0, "", "practice factor: 1 for none, more for compacted smooth soil");

/// How much of the soil leaves in rills rather than as a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rill {
    /// Under lasting cover such as turf.
    Low,
    /// Worked ground.
    Moderate,
    /// Freshly graded, bare ground.
    High,
}

/// The parts of the topographic factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Topography {
    /// Exponent of the slope's length.
    pub m: f64,
    /// Length factor, on slopes under 15 ft that of 15 ft.
    pub l: f64,
    /// Steepness factor.
    pub s: f64,
    /// Their product.
    pub ls: f64,
}

/// A slope and its factors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoilLossInput {
    /// Erosivity of an average year's rain, MJ mm/(ha h).
    pub r: f64,
    /// Erodibility of the soil, t ha h/(ha MJ mm).
    pub k: f64,
    /// Length of the slope, measured level.
    pub length: Metres,
    /// Steepness.
    pub slope: Percent,
    /// How the soil leaves.
    pub rill: Rill,
    /// Cover factor.
    pub c: f64,
    /// Practice factor.
    pub p: f64,
}

/// What a slope loses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoilLoss {
    /// The topographic factor and its parts.
    pub topography: Topography,
    /// Soil lost in an average year.
    pub loss: TonnesPerHectare,
}

/// Topographic factor of the revised soil loss equation.
///
/// `LS = (λ / 72.6 ft)^m S`, `m = β / (1 + β)`, `β = f (sin θ / 0.0896) / (3 sin^0.8 θ + 0.56)`;
/// `S = 10.8 sin θ + 0.03` below 9 %, `16.8 sin θ - 0.50` from 9 % on.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `λ` | length of the slope, measured level (72.6 ft = 22.128 m) | m | 0.1 ..= 400 |
/// | `θ` | angle of the slope, `arctan(slope / 100)` | % | 0 ..= 100 |
/// | `f` | 0.5 for low, 1 for moderate, 2 for high rilling | – | |
///
/// Slopes under 15 ft (4.572 m) have no rills, so length counts for little. The handbook's tables keep the length factor
/// of 15 ft there, and take `S = 3.0 sin^0.8 θ + 0.56` at 3 ft (0.914 m) and less where that is the smaller, with a power
/// law between 3 and 15 ft; so does this function. (Its equation put beside the length factor of the short slope itself
/// would give a gentle slope of 14 ft four times the loss of one of 15.)
///
/// Left out: slopes that bend (take them in pieces), thawing ground.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// K. G. Renard et al., *Predicting Soil Erosion by Water*, USDA Agriculture Handbook 703, 1997, eq. 4-1 to 4-6 and Tables
/// 4-1 to 4-3, after D. K. McCool et al., *Revised slope steepness factor* and *Revised slope length factor for the
/// Universal Soil Loss Equation*, Transactions ASAE 30, 1987, and 32, 1989.
///
/// # Examples
/// Table 4-2 (moderate): 100 ft at 10 % have 1.38.
/// ```
/// use reckon::soil_loss::{Rill, topographic_factor};
/// use reckon::units::{Metres, Percent};
///
/// let found = topographic_factor(Metres::new(100.0 * 0.3048), Percent::new(10.0), Rill::Moderate)?;
/// assert!((found.ls - 1.38).abs() < 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn topographic_factor(length: Metres, slope: Percent, rill: Rill) -> Result<Topography, ReckonError> {
    let feet = LENGTH_M.check(length.get())? / M_PER_FOOT;
    let grade = SLOPE_PCT.check(slope.get())?;
    let sine = (grade / 100.0).atan().sin();
    let f = match rill {
        Rill::Low => 0.5,
        Rill::Moderate => 1.0,
        Rill::High => 2.0,
    };
    let short = 3.0 * sine.powf(0.8) + 0.56;
    let beta = f * (sine / 0.0896) / short;
    let m = beta / (1.0 + beta);
    let long = if grade < 9.0 { 10.8 * sine + 0.03 } else { 16.8 * sine - 0.50 };

    let l = (feet.max(15.0) / 72.6).powf(m);
    let s = if feet >= 15.0 {
        long
    } else {
        // 0 at 15 ft, 1 at 3 ft and less.
        let part = (15.0 / feet.max(3.0)).ln() / 5.0_f64.ln();
        long * (short.min(long) / long).powf(part)
    };
    Ok(Topography { m, l, s, ls: l * s })
}

/// Soil lost to sheet and rill erosion in an average year.
///
/// `A = R K LS C P`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `R` | erosivity of an average year's rain (US units × 17.02) | MJ mm/(ha h) | 0 ..= 50,000 |
/// | `K` | erodibility of the soil (US units × 0.1317) | t ha h/(ha MJ mm) | 0 ..= 0.2 |
/// | `LS` | [`topographic_factor`] | – | |
/// | `C` | cover factor, 1 for bare and smooth | – | 0 ..= 1 |
/// | `P` | practice factor, 1 for none | – | 0 ..= 2 |
///
/// Left out: gullies, single storms, and what settles again at the slope's foot.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// As [`topographic_factor`], eq. 1-1; units after G. R. Foster et al., *Conversion of the universal soil loss equation to
/// SI metric units*, Journal of Soil and Water Conservation 36, 1981.
///
/// # Examples
/// A new bare slope of 60 ft at 15 %, worked by hand: LS 1.7326 and 261.0 t/ha.
/// ```
/// use reckon::soil_loss::{Rill, SoilLossInput, soil_loss_rusle};
/// use reckon::units::{Metres, Percent};
///
/// let found = soil_loss_rusle(&SoilLossInput {
///     r: 2723.2,
///     k: 0.055314,
///     length: Metres::new(60.0 * 0.3048),
///     slope: Percent::new(15.0),
///     rill: Rill::High,
///     c: 1.0,
///     p: 1.0,
/// })?;
/// assert!((found.topography.ls - 1.7326).abs() < 0.00005);
/// assert!((found.loss.get() - 261.0).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn soil_loss_rusle(input: &SoilLossInput) -> Result<SoilLoss, ReckonError> {
    let r = R.check(input.r)?;
    let k = K.check(input.k)?;
    let topography = topographic_factor(input.length, input.slope, input.rill)?;
    let loss = r * k * topography.ls * C.check(input.c)? * P.check(input.p)?;
    Ok(SoilLoss { topography, loss: TonnesPerHectare::new(loss) })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn ls(feet: f64, grade: f64, rill: Rill) -> f64 {
        topographic_factor(Metres::new(feet * M_PER_FOOT), Percent::new(grade), rill).unwrap().ls
    }

    /// Table 4-2 of the handbook (moderate), as copied by Michigan State University's RUSLE pages; the tolerance is
    /// half the last printed digit.
    #[test]
    #[allow(clippy::approx_constant, reason = "an entry happens to be 6.28")]
    fn published_table() {
        let feet = [
            3.0, 6.0, 9.0, 12.0, 15.0, 25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 600.0, 800.0, 1000.0,
        ];
        let rows: [(f64, [f64; 17]); 11] = [
            (
                0.2,
                [0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.06, 0.06, 0.06],
            ),
            (
                0.5,
                [0.07, 0.07, 0.07, 0.07, 0.07, 0.08, 0.08, 0.08, 0.09, 0.09, 0.09, 0.09, 0.09, 0.10, 0.10, 0.10, 0.10],
            ),
            (
                1.0,
                [0.11, 0.11, 0.11, 0.11, 0.11, 0.12, 0.13, 0.14, 0.14, 0.15, 0.16, 0.17, 0.17, 0.18, 0.19, 0.20, 0.20],
            ),
            (
                2.0,
                [0.17, 0.17, 0.17, 0.17, 0.17, 0.19, 0.22, 0.25, 0.27, 0.29, 0.31, 0.33, 0.35, 0.37, 0.41, 0.44, 0.47],
            ),
            (
                3.0,
                [0.22, 0.22, 0.22, 0.22, 0.22, 0.25, 0.32, 0.36, 0.39, 0.44, 0.48, 0.52, 0.55, 0.60, 0.68, 0.75, 0.80],
            ),
            (
                4.0,
                [0.26, 0.26, 0.26, 0.26, 0.26, 0.31, 0.40, 0.47, 0.52, 0.60, 0.67, 0.72, 0.77, 0.86, 0.99, 1.10, 1.19],
            ),
            (
                5.0,
                [0.30, 0.30, 0.30, 0.30, 0.30, 0.37, 0.49, 0.58, 0.65, 0.76, 0.85, 0.93, 1.01, 1.13, 1.33, 1.49, 1.63],
            ),
            (
                6.0,
                [0.34, 0.34, 0.34, 0.34, 0.34, 0.43, 0.58, 0.69, 0.78, 0.93, 1.05, 1.16, 1.25, 1.42, 1.69, 1.91, 2.11],
            ),
            (
                8.0,
                [0.42, 0.42, 0.42, 0.42, 0.42, 0.53, 0.74, 0.91, 1.04, 1.26, 1.45, 1.62, 1.77, 2.03, 2.47, 2.83, 3.15],
            ),
            (
                10.0,
                [0.46, 0.48, 0.50, 0.51, 0.52, 0.67, 0.97, 1.19, 1.38, 1.71, 1.98, 2.22, 2.44, 2.84, 3.50, 4.06, 4.56],
            ),
            (
                12.0,
                [0.47, 0.53, 0.58, 0.61, 0.64, 0.84, 1.23, 1.53, 1.79, 2.23, 2.61, 2.95, 3.26, 3.81, 4.75, 5.56, 6.28],
            ),
        ];
        for (grade, printed) in rows {
            for (feet, printed) in feet.into_iter().zip(printed) {
                let got = ls(feet, grade, Rill::Moderate);
                assert!((got - printed).abs() <= 0.005, "{feet} ft at {grade} %: {got} for {printed}");
            }
        }
        for (feet, printed) in [(3.0, 0.48), (6.0, 0.58), (9.0, 0.65), (12.0, 0.70), (15.0, 0.75), (25.0, 1.00)] {
            let got = ls(feet, 14.0, Rill::Moderate);
            assert!((got - printed).abs() <= 0.005, "{feet} ft at 14 %: {got} for {printed}");
        }
    }

    /// The reference plot, 72.6 ft at 9 %, is the equation's unit.
    #[test]
    fn the_reference_plot_is_one() {
        assert!((ls(72.6, 9.0, Rill::Moderate) - 1.006).abs() < 0.0005);
    }

    /// Worked by hand, step by step: a new slope of 60 ft at 15 %, bare; then under seed, straw and turf.
    #[test]
    fn worked_by_hand() {
        let input = SoilLossInput {
            r: 160.0 * 17.02,
            k: 0.42 * 0.1317,
            length: Metres::new(60.0 * M_PER_FOOT),
            slope: Percent::new(15.0),
            rill: Rill::High,
            c: 1.0,
            p: 1.0,
        };
        let found = soil_loss_rusle(&input).unwrap();
        let t = found.topography;
        for (got, expected, tolerance) in [
            (t.m, 0.7321, 0.00005),
            (t.l, 0.86975, 0.000005),
            (t.s, 1.99212, 0.000005),
            (t.ls, 1.7326, 0.00005),
            (found.loss.get(), 261.0, 0.05),
        ] {
            assert!((got - expected).abs() <= tolerance, "{got} for {expected}");
        }
        // Tons an acre to tonnes a hectare: 2.2417; R and K by factors of four digits.
        for (c, tons_acre, tolerance) in
            [(1.0, 116.4, 0.05), (0.40, 46.6, 0.05), (0.07, 8.15, 0.005), (0.003, 0.35, 0.005)]
        {
            let loss = soil_loss_rusle(&SoilLossInput { c, ..input }).unwrap().loss.get() / 2.2417;
            assert!((loss - tons_acre).abs() <= tolerance, "{loss} for {tons_acre}");
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let good = SoilLossInput {
            r: 1000.0,
            k: 0.03,
            length: Metres::new(20.0),
            slope: Percent::new(10.0),
            rill: Rill::Low,
            c: 0.1,
            p: 1.0,
        };
        let field = |i: SoilLossInput| soil_loss_rusle(&i).unwrap_err().field();
        assert_eq!(field(SoilLossInput { r: -1.0, ..good }), "r_mj_mm_ha_h");
        assert_eq!(field(SoilLossInput { k: f64::NAN, ..good }), "k_t_ha_h_ha_mj_mm");
        assert_eq!(field(SoilLossInput { length: Metres::new(0.0), ..good }), "length_m");
        assert_eq!(field(SoilLossInput { slope: Percent::new(101.0), ..good }), "slope_pct");
        assert_eq!(field(SoilLossInput { c: 1.1, ..good }), "c");
        assert_eq!(field(SoilLossInput { p: -0.1, ..good }), "p");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// A longer or steeper slope never loses less, the joints at 3 ft, 15 ft and 9 % included; low rilling never makes
        /// length count for more than high.
        #[test]
        fn loss_is_monotonic(length in 0.1..300.0_f64, grade in 0.0..90.0_f64, longer in 0.0..100.0_f64, steeper in 0.0..10.0_f64) {
            for rill in [Rill::Low, Rill::Moderate, Rill::High] {
                let ls = |l: f64, g: f64| topographic_factor(Metres::new(l), Percent::new(g), rill).unwrap().ls;
                let base = ls(length, grade);
                prop_assert!(base > 0.0 && ls(length + longer, grade) >= base * (1.0 - 1e-12));
                // On slopes under the reference plot's length a larger exponent works against steepness.
                if length >= 22.13 {
                    prop_assert!(ls(length, grade + steeper) >= base * (1.0 - 1e-12));
                }
            }
        }

        /// Numbers of any size are answered or refused.
        #[test]
        fn any_number_is_safe(n in prop::collection::vec(prop_oneof![0.0..1.0, any::<f64>()], 6)) {
            let input = SoilLossInput {
                r: n[0], k: n[1], length: Metres::new(n[2]), slope: Percent::new(n[3]), rill: Rill::High, c: n[4], p: n[5],
            };
            if let Ok(found) = soil_loss_rusle(&input) {
                prop_assert!(found.loss.get().is_finite());
            }
        }
    }
}

//! Whether pool water eats lime or lays it down.

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, MilligramsPerLitre, fahrenheit};

/// Acidity of the water.
pub const PH: Bound = Bound::new("ph", 5.0, 10.0, "", "pH of the water");
/// Temperature of the water; the published table ends at 128 °F.
pub const WATER_C: Bound = Bound::new("water_c", 0.0, 53.0, "°C", "temperature of the water");
/// Calcium hardness.
pub const CALCIUM_MG_L: Bound =
    Bound::new("calcium_mg_l", 1.0, 5_000.0, "mg/L", "calcium hardness as calcium carbonate");
/// Total alkalinity.
pub const ALKALINITY_MG_L: Bound =
    Bound::new("alkalinity_mg_l", 1.0, 5_000.0, "mg/L", "total alkalinity as calcium carbonate");
/// Cyanuric acid.
pub const CYANURIC_MG_L: Bound = Bound::new("cyanuric_mg_l", 0.0, 1_000.0, "mg/L", "cyanuric acid (stabiliser)");
/// Dissolved solids.
pub const SOLIDS_MG_L: Bound = Bound::new("solids_mg_l", 0.0, 6_000.0, "mg/L", "total dissolved solids");

/// Dissolved solids of a pool without salt, when nobody measured them: up to 1,000 mg/L count alike.
pub const SOLIDS_DEFAULT: MilligramsPerLitre = MilligramsPerLitre::new(1_000.0);

/// Temperature in °F and its factor.
const TEMPERATURE_FACTORS: [(f64, f64); 11] = [
    (32.0, 0.0),
    (37.0, 0.1),
    (46.0, 0.2),
    (53.0, 0.3),
    (60.0, 0.4),
    (66.0, 0.5),
    (76.0, 0.6),
    (84.0, 0.7),
    (94.0, 0.8),
    (105.0, 0.9),
    (128.0, 1.0),
];

/// pH and the share of the cyanuric acid that counts in the alkalinity test.
const CYANURATE_SHARES: [(f64, f64); 6] =
    [(7.0, 0.23), (7.2, 0.27), (7.4, 0.31), (7.6, 0.33), (7.8, 0.35), (8.0, 0.36)];

/// A pool's readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoolInput {
    /// pH.
    pub ph: f64,
    /// Temperature of the water.
    pub water: Celsius,
    /// Calcium hardness as calcium carbonate.
    pub calcium: MilligramsPerLitre,
    /// Total alkalinity as calcium carbonate.
    pub alkalinity: MilligramsPerLitre,
    /// Cyanuric acid.
    pub cyanuric: MilligramsPerLitre,
    /// Total dissolved solids.
    pub solids: MilligramsPerLitre,
}

/// The index and its parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoolBalance {
    /// Share of the cyanuric acid that the alkalinity test counts.
    pub cyanurate_share: f64,
    /// Alkalinity of the carbonates alone.
    pub carbonate_alkalinity: MilligramsPerLitre,
    /// Temperature factor.
    pub temperature_factor: f64,
    /// Calcium factor.
    pub calcium_factor: f64,
    /// Alkalinity factor.
    pub alkalinity_factor: f64,
    /// Constant for the dissolved solids.
    pub solids_constant: f64,
    /// Saturation index: below 0 the water takes up lime, above it lays lime down.
    pub saturation_index: f64,
}

/// Saturation index of pool water in the pool-table form.
///
/// `SI = pH + TF + CF + AF - c`, `CF = log10 Ca - 0.4`, `AF = log10 (TA - f CYA)`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `pH` | pH | – | 5 ..= 10 |
/// | `TF` | factor of the water's temperature, straight between the table's entries | – | at 0 ..= 53 °C |
/// | `Ca` | calcium hardness as CaCO3 | mg/L | 1 ..= 5,000 |
/// | `TA` | total alkalinity as CaCO3 | mg/L | 1 ..= 5,000 |
/// | `CYA` | cyanuric acid | mg/L | 0 ..= 1,000 |
/// | `f` | share of it in the alkalinity test: 0.23 at pH 7.0 to 0.36 at 8.0, straight between, held beyond | – | |
/// | `c` | 12.1 up to 1,000 mg/L dissolved solids, 12.2 to 2,000, 12.3 to 3,000, 12.4 above | – | 0 ..= 6,000 mg/L |
///
/// Balanced from -0.3 to +0.5. The form is a table made easy: the full index with ionic strength lies some 0.1 lower.
///
/// Left out: borate and phosphate in the alkalinity.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range; [`ReckonError::Inconsistent`] naming `cyanuric_mg_l`
/// when less than 1 mg/L of carbonate alkalinity is left.
///
/// # Source
/// W. F. Langelier, *The analytical control of anti-corrosion water treatment*, Journal AWWA 28, 1936, in the factor table
/// of pool operator courses (temperature factors, and calcium and alkalinity factors, which are these logarithms rounded);
/// cyanurate shares as printed by *Service Industry News*, 2021.
///
/// # Examples
/// An operator course, sample problem 1: pH 7.0, 76 °F, calcium 200, alkalinity 50 have -0.9.
/// ```
/// use reckon::pool::{PoolInput, SOLIDS_DEFAULT, pool_balance};
/// use reckon::units::{MilligramsPerLitre, from_fahrenheit};
///
/// let found = pool_balance(&PoolInput {
///     ph: 7.0,
///     water: from_fahrenheit(76.0),
///     calcium: MilligramsPerLitre::new(200.0),
///     alkalinity: MilligramsPerLitre::new(50.0),
///     cyanuric: MilligramsPerLitre::new(0.0),
///     solids: SOLIDS_DEFAULT,
/// })?;
/// assert!((found.saturation_index - -0.9).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn pool_balance(input: &PoolInput) -> Result<PoolBalance, ReckonError> {
    let ph = PH.check(input.ph)?;
    let water = Celsius::new(WATER_C.check(input.water.get())?);
    let calcium = CALCIUM_MG_L.check(input.calcium.get())?;
    let alkalinity = ALKALINITY_MG_L.check(input.alkalinity.get())?;
    let cyanuric = CYANURIC_MG_L.check(input.cyanuric.get())?;
    let solids = SOLIDS_MG_L.check(input.solids.get())?;

    let cyanurate_share = straight_between(&CYANURATE_SHARES, ph);
    let carbonate = alkalinity - cyanurate_share * cyanuric;
    if carbonate < 1.0 {
        let message = format!(
            "{cyanuric} mg/L at pH {ph} account for {:.1} of {alkalinity} mg/L alkalinity and leave less than 1 for the \
             carbonates; measure both again",
            cyanurate_share * cyanuric
        );
        return Err(ReckonError::Inconsistent { field: CYANURIC_MG_L.field, message });
    }
    let temperature_factor = straight_between(&TEMPERATURE_FACTORS, fahrenheit(water));
    let calcium_factor = calcium.log10() - 0.4;
    let alkalinity_factor = carbonate.log10();
    let solids_constant = match solids {
        s if s <= 1_000.0 => 12.1,
        s if s <= 2_000.0 => 12.2,
        s if s <= 3_000.0 => 12.3,
        _ => 12.4,
    };
    Ok(PoolBalance {
        cyanurate_share,
        carbonate_alkalinity: MilligramsPerLitre::new(carbonate),
        temperature_factor,
        calcium_factor,
        alkalinity_factor,
        solids_constant,
        saturation_index: ph + temperature_factor + calcium_factor + alkalinity_factor - solids_constant,
    })
}

/// The value at `x`, straight between the entries, held at the ends.
fn straight_between(table: &[(f64, f64)], x: f64) -> f64 {
    for pair in table.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        if x <= x1 {
            return y0 + (y1 - y0) * ((x - x0) / (x1 - x0)).clamp(0.0, 1.0);
        }
    }
    table[table.len() - 1].1
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::from_fahrenheit;

    fn input(ph: f64, fahrenheit: f64, calcium: f64, alkalinity: f64, cyanuric: f64) -> PoolInput {
        PoolInput {
            ph,
            water: from_fahrenheit(fahrenheit),
            calcium: MilligramsPerLitre::new(calcium),
            alkalinity: MilligramsPerLitre::new(alkalinity),
            cyanuric: MilligramsPerLitre::new(cyanuric),
            solids: SOLIDS_DEFAULT,
        }
    }

    /// Sample problems worked with the printed table, whose factors are rounded to a tenth: three of them may differ by 0.1.
    #[test]
    fn published_problems() {
        let rows = [
            (input(7.0, 76.0, 200.0, 50.0, 0.0), -0.9, "operator course, problem 1"),
            (input(7.6, 84.0, 300.0, 75.0, 0.0), 0.2, "operator course, problem 2"),
            (input(8.0, 94.0, 400.0, 150.0, 0.0), 1.1, "operator course, problem 3"),
            (input(7.0, 84.0, 300.0, 25.0, 0.0), -0.9, "a pool school's page"),
        ];
        for (input, printed, source) in rows {
            let got = pool_balance(&input).unwrap().saturation_index;
            assert!((got - printed).abs() <= 0.1, "{source}: {got} for {printed}");
        }
    }

    /// The computed factors are those of the printed table, rounded to a tenth.
    #[test]
    fn published_factors() {
        let mg_l = [5.0, 25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 300.0, 400.0, 800.0, 1000.0];
        let calcium = [0.3, 1.0, 1.3, 1.5, 1.6, 1.8, 1.9, 2.1, 2.2, 2.5, 2.6];
        let alkalinity = [0.7, 1.4, 1.7, 1.9, 2.0, 2.2, 2.3, 2.5, 2.6, 2.9, 3.0];
        for ((mg_l, cf), af) in mg_l.into_iter().zip(calcium).zip(alkalinity) {
            let found = pool_balance(&input(7.4, 76.0, mg_l, mg_l, 0.0)).unwrap();
            assert!((found.calcium_factor - cf).abs() <= 0.05, "{mg_l}: {found:?}");
            assert!((found.alkalinity_factor - af).abs() <= 0.05, "{mg_l}: {found:?}");
        }
        for (degrees, factor) in TEMPERATURE_FACTORS.into_iter().filter(|(f, _)| *f < 127.0) {
            let found = pool_balance(&input(7.4, degrees, 200.0, 100.0, 0.0)).unwrap();
            assert!((found.temperature_factor - factor).abs() < 1e-12);
        }
    }

    /// Carbonate alkalinity as printed: Service Industry News, 2021.
    #[test]
    fn published_carbonate_alkalinity() {
        for (ph, alkalinity, cyanuric, printed, tolerance) in
            [(7.2, 120.0, 100.0, 93.0, 1e-9), (7.6, 100.0, 90.0, 70.3, 1e-9), (8.4, 100.0, 100.0, 64.0, 1e-9)]
        {
            let found = pool_balance(&input(ph, 80.0, 300.0, alkalinity, cyanuric)).unwrap();
            assert!((found.carbonate_alkalinity.get() - printed).abs() <= tolerance, "{found:?}");
        }
        // Half way between two entries: 0.29 at pH 7.3.
        assert!((pool_balance(&input(7.3, 80.0, 300.0, 100.0, 10.0)).unwrap().cyanurate_share - 0.29).abs() < 1e-12);
    }

    #[test]
    fn solids_move_the_constant() {
        for (solids, constant) in [(0.0, 12.1), (1_000.0, 12.1), (1_001.0, 12.2), (2_500.0, 12.3), (4_000.0, 12.4)] {
            let solids = MilligramsPerLitre::new(solids);
            let found = pool_balance(&PoolInput { solids, ..input(7.4, 80.0, 300.0, 100.0, 0.0) }).unwrap();
            assert_eq!(found.solids_constant, constant);
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let good = input(7.4, 80.0, 300.0, 100.0, 30.0);
        let mg_l = MilligramsPerLitre::new;
        let field = |i: PoolInput| pool_balance(&i).unwrap_err().field();
        assert_eq!(field(PoolInput { ph: 4.0, ..good }), "ph");
        assert_eq!(field(PoolInput { water: Celsius::new(60.0), ..good }), "water_c");
        assert_eq!(field(PoolInput { calcium: mg_l(0.0), ..good }), "calcium_mg_l");
        assert_eq!(field(PoolInput { alkalinity: mg_l(f64::NAN), ..good }), "alkalinity_mg_l");
        assert_eq!(field(PoolInput { cyanuric: mg_l(-1.0), ..good }), "cyanuric_mg_l");
        assert_eq!(field(PoolInput { solids: mg_l(9e9), ..good }), "solids_mg_l");
        assert_eq!(field(PoolInput { cyanuric: mg_l(400.0), ..good }), "cyanuric_mg_l");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Warmer, harder, more alkaline and higher pH never lower the index; more cyanuric acid and solids never raise it.
        #[test]
        fn index_is_monotonic(
            f in 33.0..126.0_f64, ca in 10.0..1000.0_f64, ta in 100.0..500.0_f64, cya in 0.0..100.0_f64, up in 0.0..1.0_f64,
        ) {
            let index = |i: PoolInput| pool_balance(&i).unwrap().saturation_index;
            let base = index(input(7.5, f, ca, ta, cya));
            prop_assert!(index(input(7.5, (f + up).min(127.0), ca, ta, cya)) >= base - 1e-12);
            prop_assert!(index(input(7.5, f, ca + up, ta, cya)) >= base - 1e-12);
            prop_assert!(index(input(7.5, f, ca, ta + up, cya)) >= base - 1e-12);
            prop_assert!(index(input(7.5, f, ca, ta, cya + up)) <= base + 1e-12);
        }

        /// Numbers of any size are answered or refused.
        #[test]
        fn any_number_is_safe(n in prop::collection::vec(prop_oneof![0.0..10.0, any::<f64>()], 6)) {
            let any = PoolInput {
                water: Celsius::new(n[1]), solids: MilligramsPerLitre::new(n[5]), ..input(n[0], 80.0, n[2], n[3], n[4])
            };
            if let Ok(found) = pool_balance(&any) {
                prop_assert!(found.saturation_index.is_finite());
            }
        }
    }
}

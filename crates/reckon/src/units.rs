//! Typed quantities: one type a unit, the unit in the type's name.
//!
//! A depth of water, a length and a rate are all "a number of millimetres" to a bare `f64`; here mixing them up does not
//! compile. Everything inside Toft is SI; the factors to the user's units are in [`factor`], exact by definition.

use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($($(#[$doc:meta])* $name:ident, $symbol:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// The unit's symbol.
            pub const SYMBOL: &'static str = $symbol;

            /// Wraps a number of this unit.
            pub const fn new(value: f64) -> Self { Self(value) }

            /// The bare number in this unit.
            pub const fn get(self) -> f64 { self.0 }

            /// The larger of the two.
            pub fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }

            /// The smaller of the two.
            pub fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
        }

        impl std::ops::Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl std::ops::Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl std::ops::AddAssign for $name { fn add_assign(&mut self, o: Self) { self.0 += o.0 } }
        impl std::ops::Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self(self.0 * k) } }
        impl std::ops::Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self(self.0 / k) } }
        impl std::ops::Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self { Self(items.map(|q| q.0).sum()) }
        }
    )*};
}

quantity! {
    /// Temperature (or a difference of two), degrees Celsius.
    Celsius, "°C";
    /// Warmth above a base added up over days.
    DegreeDays, "°C d";
    /// Angle, degrees: latitude north positive, bearings clockwise from north.
    Degrees, "°";
    /// Depth of water, rain or growth, millimetres; for water 1 mm on 1 m² is 1 L.
    Millimetres, "mm";
    /// Depth of water an hour.
    MillimetresPerHour, "mm/h";
    /// Depth of water a metre of soil holds.
    MillimetresPerMetre, "mm/m";
    /// Length or height.
    Metres, "m";
    /// Area.
    SquareMetres, "m²";
    /// Volume of soil or mulch.
    CubicMetres, "m³";
    /// Volume of water.
    Litres, "L";
    /// Volume flow in the trade's everyday size.
    LitresPerMinute, "L/min";
    /// Volume flow as hydraulics takes it.
    LitresPerSecond, "L/s";
    /// Pressure.
    Kilopascals, "kPa";
    /// Speed of wind or water.
    MetresPerSecond, "m/s";
    /// Energy a day on a square metre.
    MegajoulesPerSquareMetre, "MJ/m²";
    /// Mass on an area: products, nutrients, seed, active ingredients.
    GramsPerSquareMetre, "g/m²";
    /// Mass on a large area: soil washed away.
    TonnesPerHectare, "t/ha";
    /// Volume of a liquid product on an area.
    MillilitresPerSquareMetre, "mL/m²";
    /// Volume of spray on an area, in the sprayer's everyday size.
    LitresPer100SquareMetres, "L/100 m²";
    /// Mass in a volume: the strength of a liquid product.
    GramsPerLitre, "g/L";
    /// Mass.
    Kilograms, "kg";
    /// Mass of a volume.
    KilogramsPerCubicMetre, "kg/m³";
    /// Mass in a volume of water.
    MilligramsPerLitre, "mg/L";
    /// Time in minutes.
    Minutes, "min";
    /// Time in hours.
    Hours, "h";
    /// A share of one, 0..=1.
    Fraction, "";
    /// A share of a hundred, 0..=100.
    Percent, "%";
    /// Electrical resistance.
    Ohms, "Ω";
    /// Electrical tension.
    Volts, "V";
    /// Electrical current.
    Amperes, "A";
}

/// Factors between SI and the units people speak, exact by definition (international yard and pound, 1959; US liquid gallon,
/// 231 in³; NIST Handbook 44, appendix C).
pub mod factor {
    /// Millimetres in an inch.
    pub const MM_PER_INCH: f64 = 25.4;
    /// Metres in a foot.
    pub const M_PER_FOOT: f64 = 0.3048;
    /// Square metres in a square foot.
    pub const M2_PER_FT2: f64 = 0.092_903_04;
    /// Square metres in an acre (43,560 international square feet).
    pub const M2_PER_ACRE: f64 = 43_560.0 * M2_PER_FT2;
    /// Litres in a US liquid gallon.
    pub const L_PER_GALLON: f64 = 3.785_411_784;
    /// Grams in a pound avoirdupois.
    pub const G_PER_POUND: f64 = 453.592_37;
    /// Grams per square metre in one pound per 1,000 square feet.
    pub const G_M2_PER_LB_1000FT2: f64 = G_PER_POUND / (1000.0 * M2_PER_FT2);
    /// Grams per square metre in one pound per acre.
    pub const G_M2_PER_LB_ACRE: f64 = G_PER_POUND / M2_PER_ACRE;
    /// Metres per second in one mile per hour.
    pub const MS_PER_MPH: f64 = 0.447_04;
    /// Kilopascals in one pound-force per square inch.
    pub const KPA_PER_PSI: f64 = 6.894_757_293_168;
}

/// Degrees Fahrenheit of a Celsius temperature.
pub fn fahrenheit(t: Celsius) -> f64 {
    t.get() * 1.8 + 32.0
}

/// The Celsius temperature of a reading in degrees Fahrenheit.
pub fn from_fahrenheit(f: f64) -> Celsius {
    Celsius::new((f - 32.0) / 1.8)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Areal rates agree with the conversions printed in NIST SP 811 (2008), appendix B.8: 1 lb/acre is not tabulated, but
    /// 1 lb = 453.592 37 g and 1 acre = 4 046.873 m² (survey) / 4 046.856 m² (international) are.
    #[test]
    fn areal_rates_match_nist() {
        assert!((factor::M2_PER_ACRE - 4_046.856_422_4).abs() < 1e-9);
        assert!((factor::G_M2_PER_LB_1000FT2 - 4.882_427_636).abs() < 1e-8);
        assert!((factor::G_M2_PER_LB_ACRE - 0.112_085_1).abs() < 1e-6);
    }

    proptest::proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// There and back by every factor is the same figure, but for the last digits.
        #[test]
        fn units_round_trip(n in -1e9..1e9_f64, small in -200.0..200.0_f64) {
            use factor::*;
            for per in [MM_PER_INCH, M_PER_FOOT, M2_PER_FT2, M2_PER_ACRE, L_PER_GALLON, G_PER_POUND, G_M2_PER_LB_1000FT2,
                G_M2_PER_LB_ACRE, MS_PER_MPH, KPA_PER_PSI] {
                proptest::prop_assert!((n * per / per - n).abs() <= 4.0 * f64::EPSILON * n.abs());
                proptest::prop_assert!(per > 0.0 && (n * per > 0.0) == (n > 0.0));
            }
            proptest::prop_assert!((from_fahrenheit(fahrenheit(Celsius::new(small))).get() - small).abs() < 1e-12);
        }
    }

    #[test]
    fn temperatures_round_trip() {
        assert!((fahrenheit(Celsius::new(100.0)) - 212.0).abs() < 1e-12);
        assert!((from_fahrenheit(50.0).get() - 10.0).abs() < 1e-12);
    }
}

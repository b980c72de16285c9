//! The units a plain CSV may be in, and what the user tells about them.

use std::str::FromStr;

use reckon::units::{factor, from_fahrenheit};
use serde::{Deserialize, Serialize};

/// What the user tells about a CSV whose columns don't say their unit; `None` where nothing was told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct CsvHints {
    /// Unit of temperatures and dew point (`--temperature c|f`).
    pub temperature: Option<TemperatureUnit>,
    /// Unit of rain and reference evapotranspiration (`--depth mm|in`).
    pub depth: Option<DepthUnit>,
    /// Unit of wind speed (`--wind ms|kmh|mph|kn`).
    pub wind: Option<WindUnit>,
    /// Height of the wind gauge (m), where no column tells it.
    pub wind_height_m: Option<f64>,
}

/// A unit word that is none of the allowed ones.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{seen}\" is no unit of {what}; allowed: {allowed}")]
pub struct UnitWord {
    /// The word seen.
    pub seen: String,
    /// The quantity.
    pub what: &'static str,
    /// The allowed words.
    pub allowed: &'static str,
}

macro_rules! unit_words {
    ($($(#[$doc:meta])* $name:ident, $what:literal { $($(#[$vdoc:meta])* $variant:ident = $word:literal, $symbol:literal;)* })*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
        pub enum $name {
            $($(#[$vdoc])* #[serde(rename = $word)] $variant,)*
        }

        impl $name {
            /// The words of the command line, parted by bars.
            pub const WORDS: &'static str = {
                const ALL: &str = concat!($("|", $word),*);
                ALL.split_at(1).1
            };

            /// The word of the command line.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }

            /// The symbol for a sentence.
            pub const fn symbol(self) -> &'static str {
                match self { $(Self::$variant => $symbol,)* }
            }
        }

        impl FromStr for $name {
            type Err = UnitWord;
            fn from_str(word: &str) -> Result<Self, UnitWord> {
                match word {
                    $($word => Ok(Self::$variant),)*
                    _ => Err(UnitWord { seen: word.to_owned(), what: $what, allowed: Self::WORDS }),
                }
            }
        }
    )*};
}

unit_words! {
    /// Unit of temperature.
    TemperatureUnit, "temperature" {
        /// Degrees Celsius.
        Celsius = "c", "°C";
        /// Degrees Fahrenheit.
        Fahrenheit = "f", "°F";
    }
    /// Unit of a depth of water.
    DepthUnit, "depth" {
        /// Millimetres.
        Millimetres = "mm", "mm";
        /// Inches.
        Inches = "in", "in";
    }
    /// Unit of wind speed.
    WindUnit, "wind speed" {
        /// Metres per second.
        MetresPerSecond = "ms", "m/s";
        /// Kilometres per hour.
        KilometresPerHour = "kmh", "km/h";
        /// Miles per hour.
        MilesPerHour = "mph", "mph";
        /// Knots: nautical miles of 1,852 m per hour.
        Knots = "kn", "kn";
    }
}

/// The unit a column is in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Unit {
    Temperature(TemperatureUnit),
    Depth(DepthUnit),
    Wind(WindUnit),
    Percent,
    Metres,
    Megajoules,
    KilowattHours,
}

impl Unit {
    pub(crate) const fn symbol(self) -> &'static str {
        match self {
            Self::Temperature(u) => u.symbol(),
            Self::Depth(u) => u.symbol(),
            Self::Wind(u) => u.symbol(),
            Self::Percent => "%",
            Self::Metres => "m",
            Self::Megajoules => "MJ/m²",
            Self::KilowattHours => "kWh/m²",
        }
    }

    /// The file's number in SI.
    pub(crate) fn si(self, number: f64) -> f64 {
        match self {
            Self::Temperature(TemperatureUnit::Fahrenheit) => from_fahrenheit(number).get(),
            Self::Depth(DepthUnit::Inches) => number * factor::MM_PER_INCH,
            Self::Wind(WindUnit::KilometresPerHour) => number / 3.6,
            Self::Wind(WindUnit::MilesPerHour) => number * factor::MS_PER_MPH,
            Self::Wind(WindUnit::Knots) => number * 1_852.0 / 3_600.0,
            Self::KilowattHours => number * 3.6,
            _ => number,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each unit's exact definition: 212 °F, one inch, 36 km/h, 1 mph, 1 kn, 1 kWh.
    #[test]
    fn si_of_each_unit() {
        let rows = [
            (Unit::Temperature(TemperatureUnit::Fahrenheit), 212.0, 100.0),
            (Unit::Temperature(TemperatureUnit::Celsius), -40.0, -40.0),
            (Unit::Depth(DepthUnit::Inches), 1.0, 25.4),
            (Unit::Depth(DepthUnit::Millimetres), 1.0, 1.0),
            (Unit::Wind(WindUnit::KilometresPerHour), 36.0, 10.0),
            (Unit::Wind(WindUnit::MilesPerHour), 1.0, 0.447_04),
            (Unit::Wind(WindUnit::Knots), 1.0, 0.514_444_444_444),
            (Unit::Wind(WindUnit::MetresPerSecond), 3.0, 3.0),
            (Unit::KilowattHours, 1.0, 3.6),
        ];
        for (unit, number, si) in rows {
            assert!((unit.si(number) - si).abs() < 1e-9, "{unit:?} {number}");
        }
    }

    #[test]
    fn words_read_back() {
        assert_eq!(WindUnit::WORDS, "ms|kmh|mph|kn");
        assert_eq!("mph".parse(), Ok(WindUnit::MilesPerHour));
        assert_eq!(
            "k".parse::<TemperatureUnit>().unwrap_err().to_string(),
            "\"k\" is no unit of temperature; allowed: c|f"
        );
    }
}

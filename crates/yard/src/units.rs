//! The user's units: US customary or metric, at the edge only.

use reckon::units::factor;
use reckon::working::{Datum, Step, Value};
use serde::{Deserialize, Serialize};

/// Which units the person thinks in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    /// Inches, square feet, pounds, gallons, degrees Fahrenheit.
    #[default]
    UsCustomary,
    /// Millimetres, square metres, grams, litres, degrees Celsius.
    Metric,
}

/// A kind of quantity that is shown in the user's units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Depth of water, rain, or height of grass; SI mm.
    Depth,
    /// Depth an hour; SI mm/h.
    Rate,
    /// Depth a metre of soil holds; SI mm/m.
    Holding,
    /// Ground; SI m².
    Area,
    /// Length; SI m.
    Length,
    /// Mass on ground: product or nutrient; SI g/m².
    Dose,
    /// Fluid on ground: a liquid product; SI mL/m².
    DoseLiquid,
    /// Mass; SI kg.
    Mass,
    /// A liquid product in the jug; SI L (told apart from water, which is told in gallons).
    VolumeProduct,
    /// Volume of water; SI L.
    Volume,
    /// Flow; SI L/min.
    Flow,
    /// Temperature; SI °C.
    Temperature,
    /// Sum of degrees over days; SI °C·d.
    DegreeDays,
    /// Wind; SI m/s.
    Speed,
    /// Pressure of water; SI kPa.
    Pressure,
}

impl Quantity {
    /// All kinds.
    pub const ALL: [Quantity; 15] = [
        Self::Depth,
        Self::Rate,
        Self::Holding,
        Self::Area,
        Self::Length,
        Self::Dose,
        Self::DoseLiquid,
        Self::Mass,
        Self::Volume,
        Self::VolumeProduct,
        Self::Flow,
        Self::Temperature,
        Self::DegreeDays,
        Self::Speed,
        Self::Pressure,
    ];

    /// The SI unit's symbol.
    pub const fn si(self) -> &'static str {
        match self {
            Self::Depth => "mm",
            Self::Rate => "mm/h",
            Self::Holding => "mm/m",
            Self::Area => "m²",
            Self::Length => "m",
            Self::Dose => "g/m²",
            Self::DoseLiquid => "mL/m²",
            Self::Mass => "kg",
            Self::Volume | Self::VolumeProduct => "L",
            Self::Flow => "L/min",
            Self::Temperature => "°C",
            Self::DegreeDays => "°C·d",
            Self::Speed => "m/s",
            Self::Pressure => "kPa",
        }
    }

    /// The kind whose SI symbol this is. Pressure is left out: a vapour's has the same symbol and stays in it for everybody.
    pub fn of_symbol(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|q| q.si() == symbol && *q != Self::Pressure)
    }
}

/// Millilitres in one US fluid ounce: a 128th of a gallon.
pub const ML_PER_FLUID_OUNCE: f64 = factor::L_PER_GALLON * 1000.0 / 128.0;

impl Units {
    /// The symbol the user sees for a quantity.
    pub const fn symbol(self, quantity: Quantity) -> &'static str {
        match self {
            Self::Metric => quantity.si(),
            Self::UsCustomary => match quantity {
                Quantity::Depth => "in",
                Quantity::Rate => "in/h",
                Quantity::Holding => "in/ft",
                Quantity::Area => "sq ft",
                Quantity::Length => "ft",
                Quantity::Dose => "lb/1000 sq ft",
                Quantity::DoseLiquid => "fl oz/1000 sq ft",
                Quantity::Mass => "lb",
                Quantity::Volume => "gal",
                Quantity::VolumeProduct => "fl oz",
                Quantity::Flow => "gal/min",
                Quantity::Temperature => "°F",
                Quantity::DegreeDays => "°F·d",
                Quantity::Speed => "mph",
                Quantity::Pressure => "psi",
            },
        }
    }

    const fn factor(quantity: Quantity) -> f64 {
        match quantity {
            Quantity::Depth | Quantity::Rate => factor::MM_PER_INCH,
            Quantity::Holding => factor::MM_PER_INCH / factor::M_PER_FOOT,
            Quantity::Area => factor::M2_PER_FT2,
            Quantity::Length => factor::M_PER_FOOT,
            Quantity::Dose => factor::G_M2_PER_LB_1000FT2,
            Quantity::DoseLiquid => ML_PER_FLUID_OUNCE / (1000.0 * factor::M2_PER_FT2),
            Quantity::VolumeProduct => ML_PER_FLUID_OUNCE / 1000.0,
            Quantity::Mass => factor::G_PER_POUND / 1000.0,
            Quantity::Volume | Quantity::Flow => factor::L_PER_GALLON,
            Quantity::Temperature | Quantity::DegreeDays => 1.0 / 1.8,
            Quantity::Speed => factor::MS_PER_MPH,
            Quantity::Pressure => factor::KPA_PER_PSI,
        }
    }

    /// SI to the user's number.
    pub fn show(self, quantity: Quantity, si: f64) -> f64 {
        match self {
            Self::Metric => si,
            Self::UsCustomary if quantity == Quantity::Temperature => si * 1.8 + 32.0,
            Self::UsCustomary => si / Self::factor(quantity),
        }
    }

    /// The user's number to SI.
    pub fn read(self, quantity: Quantity, number: f64) -> f64 {
        match self {
            Self::Metric => number,
            Self::UsCustomary if quantity == Quantity::Temperature => (number - 32.0) / 1.8,
            Self::UsCustomary => number * Self::factor(quantity),
        }
    }

    /// Number and unit for a sentence, with digits that suit the quantity: "0.46 in", "12 mm", "3,200 sq ft".
    pub fn say(self, quantity: Quantity, si: f64) -> String {
        let shown = self.show(quantity, si);
        let number = match quantity {
            Quantity::Area => thousands(shown),
            Quantity::Pressure => trimmed(shown, usize::from(shown.abs() < 10.0)),
            Quantity::Temperature | Quantity::DegreeDays => format!("{shown:.0}"),
            Quantity::Speed => trimmed(shown, usize::from(self == Self::Metric)),
            Quantity::Volume if shown.abs() < 10.0 && shown != 0.0 => significant(shown, 3),
            Quantity::Volume => thousands(shown),
            Quantity::Depth | Quantity::Holding if self == Self::Metric => {
                trimmed(shown, usize::from(shown.abs() < 20.0))
            }
            Quantity::Flow | Quantity::Length if shown.abs() >= 10.0 => format!("{shown:.0}"),
            Quantity::Mass if shown.abs() >= 10.0 => format!("{shown:.1}"),
            Quantity::Dose | Quantity::DoseLiquid if self == Self::Metric => {
                trimmed(shown, if shown.abs() < 1.0 { 3 } else { 1 })
            }
            Quantity::Dose | Quantity::DoseLiquid => trimmed(shown, if shown.abs() < 0.1 { 4 } else { 2 }),
            Quantity::Rate if self == Self::Metric => format!("{shown:.1}"),
            _ => format!("{shown:.2}"),
        };
        // What rounds to nothing has no sign.
        let number = if number.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.')) {
            number.trim_start_matches('-').to_owned()
        } else {
            number
        };
        format!("{number} {}", self.symbol(quantity))
    }

    /// A value of the working, in the user's units.
    pub fn say_value(self, value: &Value) -> String {
        match &value.value {
            Datum::Text(word) => word.clone(),
            Datum::Number(n) => match Quantity::of_symbol(&value.unit) {
                Some(quantity) => format!("{} {}", significant(self.show(quantity, *n), 4), self.symbol(quantity)),
                None if value.unit.is_empty() => significant(*n, 4),
                None => format!("{} {}", significant(*n, 4), value.unit),
            },
        }
    }

    /// One step as a line of text: label, formula, inputs, result.
    pub fn say_step(self, step: &Step) -> String {
        let inputs: Vec<String> = step
            .values
            .iter()
            .map(|v| {
                let origin = match (&v.from, v.assumed) {
                    (Some(from), true) => format!(" [assumed: {from}]"),
                    (Some(from), false) => format!(" [{from}]"),
                    (None, true) => " [assumed]".to_owned(),
                    (None, false) => String::new(),
                };
                format!("{} = {}{origin}", v.name, self.say_value(v))
            })
            .collect();
        format!(
            "{}: {} → {}{}",
            step.label,
            step.formula,
            self.say_value(&step.result),
            if inputs.is_empty() { String::new() } else { format!("   ({})", inputs.join("; ")) }
        )
    }
}

/// A whole number with thousands separators.
pub fn thousands(value: f64) -> String {
    let digits = format!("{:.0}", value.abs());
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    if value <= -0.5 { format!("-{out}") } else { out }
}

fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A number to so many significant digits, without exponent for everyday sizes.
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = (digits as i32 - 1 - magnitude).clamp(0, 9) as usize;
    if magnitude >= 6 { thousands(value) } else { trimmed(value, decimals) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every quantity survives the trip to the user's units and back.
    #[test]
    fn round_trips() {
        for units in [Units::UsCustomary, Units::Metric] {
            for quantity in Quantity::ALL {
                for value in [0.0, 0.5, 13.7, 2_000.0] {
                    let back = units.read(quantity, units.show(quantity, value));
                    assert!((back - value).abs() < 1e-9 * value.max(1.0), "{quantity:?} {value} {back}");
                }
            }
        }
    }

    #[test]
    fn sentences_use_the_persons_units() {
        assert_eq!(Units::UsCustomary.say(Quantity::Depth, 12.7), "0.50 in");
        assert_eq!(Units::Metric.say(Quantity::Depth, 12.7), "12.7 mm");
        assert_eq!(Units::UsCustomary.say(Quantity::Area, 297.29), "3,200 sq ft");
        assert_eq!(Units::UsCustomary.say(Quantity::Temperature, 10.0), "50 °F");
        assert_eq!(Units::UsCustomary.say(Quantity::Dose, 4.882_427_6), "1 lb/1000 sq ft");
    }
}

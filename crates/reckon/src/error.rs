//! What a formula says when it cannot answer.

/// The allowed range of one input, written once and used by checks, error messages, forms and JSON Schema.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// The field's name as the caller knows it, unit last (`latitude_deg`).
    pub field: &'static str,
    /// Smallest allowed value.
    pub min: f64,
    /// Largest allowed value.
    pub max: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// What the field means.
    pub meaning: &'static str,
}

impl Bound {
    /// Makes a bound (for constant tables).
    pub const fn new(field: &'static str, min: f64, max: f64, unit: &'static str, meaning: &'static str) -> Self {
        Self { field, min, max, unit, meaning }
    }

    /// The value itself when it is finite and inside the range.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming the field, the value and the range.
    pub fn check(&self, value: f64) -> Result<f64, ReckonError> {
        if value.is_finite() && value >= self.min && value <= self.max {
            Ok(value)
        } else {
            Err(ReckonError::OutOfRange { field: self.field, value, min: self.min, max: self.max, unit: self.unit })
        }
    }
}

/// Why a formula refused its input. Every variant names the field.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ReckonError {
    /// Not a number, infinite, or outside the formula's valid range.
    #[error("{field} is {value} {unit}; it must be between {min} and {max} {unit}")]
    OutOfRange {
        /// The field.
        field: &'static str,
        /// The value seen.
        value: f64,
        /// Smallest allowed value.
        min: f64,
        /// Largest allowed value.
        max: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// Each value is in range by itself, but they contradict each other.
    #[error("{field}: {message}")]
    Inconsistent {
        /// The field to change first.
        field: &'static str,
        /// What contradicts what, with the figures.
        message: String,
    },
}

impl ReckonError {
    /// The field the error is about.
    pub fn field(&self) -> &'static str {
        match self {
            Self::OutOfRange { field, .. } | Self::Inconsistent { field, .. } => field,
        }
    }

    /// The same refusal told for one day of a record, the first being day 1.
    pub fn on_day(self, index: usize) -> Self {
        let field = self.field();
        let day = index + 1;
        let message = match self {
            Self::OutOfRange { value, min, max, unit, .. } => {
                format!("day {day}: {value} {unit} must be between {min} and {max} {unit}")
            }
            Self::Inconsistent { message, .. } => format!("day {day}: {message}"),
        };
        Self::Inconsistent { field, message }
    }
}

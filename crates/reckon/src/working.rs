//! The working under a number: what went in, which formula, what came out.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

/// A figure or a word that took part in a computation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Datum {
    /// A number in the unit beside it (SI).
    Number(f64),
    /// A word: a table row's name, a date.
    Text(String),
}

/// One named value with its unit and, where known, where it came from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Value {
    /// Symbol or name as the formula writes it.
    pub name: Cow<'static, str>,
    /// The figure or word.
    pub value: Datum,
    /// SI unit, empty for plain numbers and words.
    #[serde(default, skip_serializing_if = "str::is_empty")]
    pub unit: Cow<'static, str>,
    /// Where it came from: an entry of a date, a table row, "assumed".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// True when nobody measured it; the measurement that would replace it is told in `from`.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub assumed: bool,
}

impl Value {
    /// A number with its unit.
    pub fn number(name: impl Into<Cow<'static, str>>, value: f64, unit: &'static str) -> Self {
        // Adding zero turns a negative zero, which reads oddly, into zero.
        Self {
            name: name.into(),
            value: Datum::Number(value + 0.0),
            unit: Cow::Borrowed(unit),
            from: None,
            assumed: false,
        }
    }

    /// A word.
    pub fn text(name: impl Into<Cow<'static, str>>, value: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            value: Datum::Text(value.into()),
            unit: Cow::Borrowed(""),
            from: None,
            assumed: false,
        }
    }

    /// The same value with its origin told.
    pub fn from(mut self, origin: impl Into<String>) -> Self {
        self.from = Some(origin.into());
        self
    }

    /// The same value marked as assumed, with the measurement that would replace it.
    pub fn assumed(mut self, origin: impl Into<String>) -> Self {
        self.from = Some(origin.into());
        self.assumed = true;
        self
    }
}

/// One step of a computation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// What this step finds, in words.
    pub label: Cow<'static, str>,
    /// The formula, in text maths or words.
    pub formula: Cow<'static, str>,
    /// What went in.
    pub values: Vec<Value>,
    /// What came out.
    pub result: Value,
}

impl Step {
    /// Makes a step.
    pub fn new(
        label: impl Into<Cow<'static, str>>,
        formula: impl Into<Cow<'static, str>>,
        values: Vec<Value>,
        result: Value,
    ) -> Self {
        Self { label: label.into(), formula: formula.into(), values, result }
    }
}

//! A model: a formula with a name that other programs can call.

use std::borrow::Cow;

use reckon::working::{Datum, Step};
use serde::Serialize;
use serde_json::Value;

use crate::figure::Figure;
use crate::json::Node;
use crate::schema;
use crate::shape::{Field, Notes, Read, Record, Refusal, Shape};

/// A formula with the contract's name, fields and units.
pub struct Model {
    /// The contract's name.
    pub name: &'static str,
    /// What it finds, in one line.
    pub about: &'static str,
    /// Where the formula is published.
    pub source: &'static str,
    /// A worked item, as JSON.
    pub example: &'static str,
    pub(crate) input: &'static Record,
    pub(crate) output: &'static [Field],
    pub(crate) run: fn(&Node) -> Result<Reply, Refusal>,
}

/// What a model found.
pub struct Reply {
    /// The figures.
    pub result: Figure,
    /// The steps.
    pub working: Vec<Step>,
    /// Fields not given whose default was used.
    pub assumed: Vec<Cow<'static, str>>,
}

/// The answer to one item, in the contract's form when serialised.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// The figures, in the contract's order.
    pub result: Figure,
    /// The steps that led to them.
    pub working: Vec<Step>,
    /// Where the formula is published.
    pub source: &'static str,
    /// Fields that were not given and whose default was used; `days[].runoff_mm` is that field of any element.
    pub assumed: Vec<Cow<'static, str>>,
}

/// Why an item got no answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, thiserror::Error)]
#[error("{message}")]
pub struct Fault {
    /// Path of the field (`days[3].tmin_c`), empty for the whole item or document.
    pub field: String,
    /// The field, the value seen and what it must be.
    pub message: String,
}

impl From<Refusal> for Fault {
    fn from(refusal: Refusal) -> Self {
        Self { field: refusal.path().to_owned(), message: refusal.message() }
    }
}

impl Model {
    /// The fields of one item, with their bounds and units.
    pub fn input(&self) -> &'static Record {
        self.input
    }

    /// The fields of the result, with their units.
    pub fn output(&self) -> &'static [Field] {
        self.output
    }

    /// JSON Schema (draft 2020-12) with properties `input` and `output`.
    pub fn schema(&self) -> Value {
        schema::document(self)
    }

    /// Answers one item.
    ///
    /// # Errors
    /// [`Fault`] naming the field, the value and the range.
    pub fn answer(&self, item: &Value) -> Result<Answer, Fault> {
        self.answer_node(&Node::from(item))
    }

    pub(crate) fn answer_node(&self, item: &Node) -> Result<Answer, Fault> {
        let Reply { result, working, assumed } = (self.run)(item)?;
        if !result.is_finite() || !working.iter().all(is_finite) {
            // The formulas promise finite figures; should one break the promise, the caller still gets no null.
            return Err(Fault {
                field: String::new(),
                message: "the item leads to figures that no number can hold".into(),
            });
        }
        Ok(Answer { result, working, source: self.source, assumed })
    }
}

fn is_finite(step: &Step) -> bool {
    let finite = |datum: &Datum| !matches!(datum, Datum::Number(n) if !n.is_finite());
    finite(&step.result.value) && step.values.iter().all(|value| finite(&value.value))
}

/// The shape of a whole item, for the message when it is no object.
const ITEM: Shape = Shape::Record(&Record { fields: &[], choices: &[] });

/// Reads the item and computes: what every model's `run` does.
pub(crate) fn reply<I: Read>(
    item: &Node,
    compute: impl FnOnce(I) -> Result<(Figure, Vec<Step>), Refusal>,
) -> Result<Reply, Refusal> {
    let mut notes = Notes::default();
    let input = I::read(item, &ITEM, &mut notes)?;
    let (result, working) = compute(input)?;
    Ok(Reply { result, working, assumed: notes.assumed })
}

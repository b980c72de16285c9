//! The figures of an answer, in the contract's order.

use std::borrow::Cow;

use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::Value;

/// A figure, a word, or a list or record of them.
#[derive(Clone, Debug, PartialEq)]
pub enum Figure {
    /// A number in the unit its field names.
    Number(f64),
    /// A count.
    Count(u64),
    /// Yes or no.
    Flag(bool),
    /// A word or a name.
    Text(Cow<'static, str>),
    /// Several, in order.
    List(Vec<Figure>),
    /// Named figures, in order.
    Record(Vec<(&'static str, Figure)>),
}

impl Figure {
    /// The field of a record.
    pub fn get(&self, field: &str) -> Option<&Figure> {
        match self {
            Self::Record(fields) => fields.iter().find(|(name, _)| *name == field).map(|(_, figure)| figure),
            _ => None,
        }
    }

    /// The number itself.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Number(n) => Some(*n),
            Self::Count(n) => Some(*n as f64),
            _ => None,
        }
    }

    /// True when every number in it is finite, so that JSON can carry it.
    pub fn is_finite(&self) -> bool {
        match self {
            Self::Number(n) => n.is_finite(),
            Self::List(list) => list.iter().all(Self::is_finite),
            Self::Record(fields) => fields.iter().all(|(_, figure)| figure.is_finite()),
            Self::Count(_) | Self::Flag(_) | Self::Text(_) => true,
        }
    }
}

impl Serialize for Figure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Number(n) => serializer.serialize_f64(*n),
            Self::Count(n) => serializer.serialize_u64(*n),
            Self::Flag(flag) => serializer.serialize_bool(*flag),
            Self::Text(text) => serializer.serialize_str(text),
            Self::List(list) => serializer.collect_seq(list),
            Self::Record(fields) => {
                let mut map = serializer.serialize_map(Some(fields.len()))?;
                for (name, figure) in fields {
                    map.serialize_entry(name, figure)?;
                }
                map.end()
            }
        }
    }
}

impl From<&Figure> for Value {
    fn from(figure: &Figure) -> Self {
        match figure {
            Figure::Number(n) => (*n).into(),
            Figure::Count(n) => (*n).into(),
            Figure::Flag(flag) => (*flag).into(),
            Figure::Text(text) => text.as_ref().into(),
            Figure::List(list) => list.iter().map(Value::from).collect(),
            Figure::Record(fields) => {
                fields.iter().map(|(name, figure)| ((*name).to_owned(), Value::from(figure))).collect()
            }
        }
    }
}

impl From<f64> for Figure {
    fn from(n: f64) -> Self {
        // Adding zero turns a negative zero, which reads oddly, into zero.
        Self::Number(n + 0.0)
    }
}

impl From<u32> for Figure {
    fn from(n: u32) -> Self {
        Self::Count(n.into())
    }
}

impl From<bool> for Figure {
    fn from(flag: bool) -> Self {
        Self::Flag(flag)
    }
}

impl From<String> for Figure {
    fn from(text: String) -> Self {
        Self::Text(text.into())
    }
}

impl<T: Into<Figure>> FromIterator<T> for Figure {
    fn from_iter<I: IntoIterator<Item = T>>(items: I) -> Self {
        Self::List(items.into_iter().map(Into::into).collect())
    }
}

/// A record of figures: `figures! { mean_mm: audit.mean.get(), … }`.
macro_rules! figures {
    ($($name:ident: $value:expr),* $(,)?) => {
        $crate::figure::Figure::Record(vec![$((stringify!($name), $crate::figure::Figure::from($value))),*])
    };
}
pub(crate) use figures;

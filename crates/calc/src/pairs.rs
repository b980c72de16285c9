//! An item from `key=value` words of a command line.

use serde_json::{Map, Value};

use crate::json::{Node, short};
use crate::model::{Fault, Model};
use crate::shape::{Refusal, Shape};

/// Makes an item of a model's fields given as text: numbers, `true` and `false`, words and names, lists and objects as JSON.
///
/// The field's shape decides how its text is read, so a name of digits stays a name. Ranges are not checked here; that is
/// [`Model::answer`]'s work.
///
/// # Errors
/// [`Fault`] naming a field that is unknown, given twice, or whose JSON cannot be read.
pub fn item_from_pairs(model: &Model, pairs: &[(String, String)]) -> Result<Value, Fault> {
    let mut item = Map::new();
    for (key, text) in pairs {
        let Some(field) = model.input().fields.iter().find(|field| field.name == key) else {
            return Err(Refusal::unknown(key, &Node::Text(text.into()), model.input()).into());
        };
        if item.contains_key(key) {
            let rest = format!(" is given twice, the second time as {}; give it once", short(text));
            return Err(Refusal::of(key, rest).into());
        }
        let text = text.trim();
        let value = match field.shape {
            Shape::Word(..) | Shape::Name(_) => Value::String(text.to_owned()),
            Shape::List { .. } | Shape::Row(..) | Shape::Record(_) => serde_json::from_str(text).map_err(|error| {
                let expected = field.shape.expected();
                let rest = format!(" is {}; it must be {expected}, written as JSON: {error}", short(text));
                Refusal::of(key, rest)
            })?,
            Shape::Number(_) | Shape::Whole(_) | Shape::Flag(_) | Shape::Figure(..) | Shape::Count(_) => {
                match (text, text.parse::<f64>()) {
                    ("true", _) => Value::Bool(true),
                    ("false", _) => Value::Bool(false),
                    (_, Ok(n)) if n.is_finite() => n.into(),
                    _ => Value::String(text.to_owned()),
                }
            }
        };
        item.insert(key.clone(), value);
    }
    Ok(Value::Object(item))
}

//! JSON Schema of a model, from the same shapes the reader checks.

use serde_json::{Map, Value, json};

use crate::model::Model;
use crate::shape::{Field, NAME_LENGTH_MAX, Need, Record, Shape};

/// The document: properties `input` (one item) and `output` (its answer), each under `$defs`.
pub fn document(model: &Model) -> Value {
    let mut input = record(model.input());
    if let Ok(example) = serde_json::from_str::<Value>(model.example) {
        input["examples"] = json!([example]);
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": model.name,
        "description": format!("{}. Source: {}", model.about, model.source),
        "type": "object",
        "properties": { "input": { "$ref": "#/$defs/input" }, "output": { "$ref": "#/$defs/output" } },
        "$defs": { "input": input, "output": { "oneOf": [answer(model.output()), error()] }, "step": step() },
    })
}

fn answer(output: &'static [Field]) -> Value {
    json!({
        "type": "object",
        "required": ["result", "working", "source", "assumed"],
        "additionalProperties": false,
        "properties": {
            "result": record(&Record { fields: output, choices: &[] }),
            "working": { "type": "array", "items": { "$ref": "#/$defs/step" } },
            "source": { "type": "string" },
            "assumed": {
                "type": "array",
                "items": { "type": "string" },
                "description": "fields that were not given and whose default was used",
            },
        },
    })
}

fn error() -> Value {
    json!({
        "type": "object",
        "required": ["error"],
        "additionalProperties": false,
        "properties": { "error": {
            "type": "object",
            "required": ["field", "message"],
            "additionalProperties": false,
            "properties": { "field": { "type": "string" }, "message": { "type": "string" } },
        } },
    })
}

fn step() -> Value {
    let value = json!({
        "type": "object",
        "required": ["name", "value"],
        "properties": {
            "name": { "type": "string" },
            "value": { "type": ["number", "string"] },
            "unit": { "type": "string" },
            "from": { "type": "string" },
            "assumed": { "type": "boolean" },
        },
    });
    json!({
        "type": "object",
        "required": ["label", "formula", "values", "result"],
        "properties": {
            "label": { "type": "string" },
            "formula": { "type": "string" },
            "values": { "type": "array", "items": value },
            "result": value,
        },
    })
}

fn record(record: &Record) -> Value {
    let mut properties = Map::new();
    for field in record.fields {
        let mut schema = shape(&field.shape);
        match field.need {
            Need::Or(n) => schema["default"] = json!(n),
            Need::OrWord(word) => schema["default"] = json!(word),
            Need::Assumed(told) => {
                schema["description"] = json!(format!("{}; when absent: {told}", field.shape.meaning()));
            }
            Need::Required | Need::Optional => {}
        }
        properties.insert(field.name.to_owned(), schema);
    }
    let required: Vec<&str> =
        record.fields.iter().filter(|f| matches!(f.need, Need::Required)).map(|f| f.name).collect();
    let mut schema = json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    });
    if !record.choices.is_empty() {
        let groups = record.choices.iter().map(|options| {
            let options: Vec<Value> = options.iter().map(|option| json!({ "required": option })).collect();
            json!({ "oneOf": options })
        });
        schema["allOf"] = groups.collect();
        let mut together = Map::new();
        for option in record.choices.iter().flat_map(|options| options.iter()).filter(|option| option.len() > 1) {
            for field in *option {
                let others: Vec<&str> = option.iter().copied().filter(|other| other != field).collect();
                together.insert((*field).to_owned(), json!(others));
            }
        }
        if !together.is_empty() {
            schema["dependentRequired"] = Value::Object(together);
        }
    }
    schema
}

fn shape(shape: &Shape) -> Value {
    let described = |unit: &str| match (shape.meaning(), unit) {
        (meaning, "") => meaning.to_owned(),
        ("", unit) => unit.to_owned(),
        (meaning, unit) => format!("{meaning}, {unit}"),
    };
    match shape {
        Shape::Number(b) => {
            json!({ "type": "number", "minimum": b.min, "maximum": b.max, "description": described(b.unit) })
        }
        Shape::Whole(b) => {
            json!({ "type": "integer", "minimum": b.min, "maximum": b.max, "description": described(b.unit) })
        }
        Shape::Flag(meaning) => json!({ "type": "boolean", "description": meaning }),
        Shape::Word(words, meaning) => {
            let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let told: Vec<String> = words.iter().map(|(word, told)| format!("{word}: {told}")).collect();
            json!({ "enum": all, "description": format!("{meaning}. {}", told.join("; ")) })
        }
        Shape::Name(meaning) => json!({
            "type": ["string", "integer"],
            "minLength": 1,
            "maxLength": NAME_LENGTH_MAX,
            "minimum": 0,
            "description": meaning,
        }),
        Shape::Row(bounds, meaning) => {
            let each: Vec<Value> = bounds.iter().map(|b| self::shape(&Shape::Number(*b))).collect();
            json!({
                "type": "array",
                "prefixItems": each,
                "minItems": bounds.len(),
                "maxItems": bounds.len(),
                "description": meaning,
            })
        }
        Shape::List { of, min, max, meaning } => json!({
            "type": "array",
            "items": self::shape(of),
            "minItems": min,
            "maxItems": max,
            "description": meaning,
        }),
        Shape::Record(fields) => record(fields),
        Shape::Figure(unit, _) => json!({ "type": "number", "description": described(unit) }),
        Shape::Count(meaning) => json!({ "type": "integer", "minimum": 0, "description": meaning }),
    }
}

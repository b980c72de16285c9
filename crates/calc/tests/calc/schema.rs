//! The schema says what the code checks.

use calc::models;
use calc::shape::{Record, Shape};
use serde_json::{Value, json};

fn at(schema: &Value, part: &str) -> jsonschema::Validator {
    let mut document = schema.clone();
    // One item alone is judged by the part of the document that describes it.
    document["type"] = json!("object");
    document.as_object_mut().expect("an object").remove("properties");
    document["$ref"] = json!(format!("#/$defs/{part}"));
    jsonschema::draft202012::new(&document).expect("the schema compiles")
}

fn item(model: &calc::Model) -> Value {
    serde_json::from_str(model.example).expect("the example is JSON")
}

/// Every document is valid draft 2020-12, takes the model's example and its answer, and the answer's errors too.
#[test]
fn schemas_take_the_examples() {
    for model in models() {
        let schema = model.schema();
        assert!(jsonschema::draft202012::meta::is_valid(&schema), "{}", model.name);
        let (input, output) = (at(&schema, "input"), at(&schema, "output"));
        assert!(input.is_valid(&item(model)), "{}", model.name);
        let answer = model.answer(&item(model)).expect("the example answers");
        let answer = serde_json::to_value(&answer).expect("an answer serialises");
        if let Err(error) = output.validate(&answer) {
            panic!("{}: {error} at {}", model.name, error.instance_path());
        }
        assert!(output.is_valid(&json!({ "error": { "field": "a", "message": "b" } })));
        assert!(!output.is_valid(&json!({ "result": {} })));
    }
}

/// Each way of spoiling one field is refused by schema and code alike, and the code names the field.
#[test]
fn schema_and_code_refuse_the_same() {
    for model in models() {
        let input = at(&model.schema(), "input");
        let good = item(model);
        let refused = |bad: &Value, field: &str| {
            assert!(!input.is_valid(bad), "{}: the schema takes {bad}", model.name);
            let fault = model.answer(bad).expect_err("the code refuses");
            assert!(fault.field.starts_with(field), "{}: {fault:?} for {field}", model.name);
            assert!(fault.message.starts_with(&fault.field), "{fault:?}");
        };
        let Record { fields, .. } = model.input();
        for field in *fields {
            let Some(given) = good.get(field.name) else { continue };
            let mut spoiled = vec![Value::Null, json!({}), json!("7.5 mm"), json!([[[]]])];
            if let Shape::Number(bound) | Shape::Whole(bound) = field.shape {
                let step = (bound.max - bound.min) * 1e-6;
                spoiled.extend([json!(bound.min - step), json!(bound.max + step), json!("1")]);
            }
            for value in spoiled {
                if given.is_object() && value.is_object() {
                    continue;
                }
                let mut bad = good.clone();
                bad[field.name] = value;
                refused(&bad, field.name);
            }
        }
        let mut more = good.clone();
        more["colour"] = json!("green");
        refused(&more, "colour");
        assert!(!input.is_valid(&json!([good])));
    }
}

/// A field on either end of its range is taken by the schema; the code's refusal, if any, is not about the range.
#[test]
fn ends_of_ranges_are_inside() {
    for model in models() {
        let input = at(&model.schema(), "input");
        for field in model.input().fields {
            let (Shape::Number(bound) | Shape::Whole(bound)) = field.shape else { continue };
            for end in [bound.min, bound.max] {
                let mut edge = item(model);
                if edge.get(field.name).is_none() {
                    continue;
                }
                edge[field.name] = json!(end);
                assert!(input.is_valid(&edge), "{}.{} at {end}", model.name, field.name);
                if let Err(fault) = model.answer(&edge) {
                    assert!(!fault.message.contains("it must be between"), "{}: {fault}", model.name);
                }
            }
        }
    }
}

/// The groups of which exactly one is given: the schema agrees with the code on every mixture.
#[test]
fn groups_agree() {
    let model = calc::find("et0").expect("et0 is listed");
    let input = at(&model.schema(), "input");
    let group =
        ["rhmin_pct", "rhmax_pct", "rhmean_pct", "dewpoint_c", "vapour_pressure_kpa", "solar_mj_m2", "sunshine_h"];
    let values = [40, 80, 60, 10, 1, 20, 8];
    for mixture in 0_u32..1 << group.len() {
        let mut item = json!({ "latitude_deg": 50.8, "elevation_m": 100, "day_of_year": 187, "tmin_c": 12.3, "tmax_c": 21.5,
            "wind_ms": 2 });
        for (i, name) in group.iter().enumerate().filter(|(i, _)| mixture & (1 << i) != 0) {
            item[name] = json!(values[i]);
        }
        let humidity = matches!(mixture & 0b1_1111, 0b11 | 0b100 | 0b1000 | 0b1_0000);
        let sun = matches!(mixture >> 5, 1 | 2);
        assert_eq!(input.is_valid(&item), humidity && sun, "{item}");
        assert_eq!(model.answer(&item).is_ok(), humidity && sun, "{item}");
    }
}

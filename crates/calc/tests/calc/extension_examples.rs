//! Worked examples as extension services print them, from `extension_examples.toml`. New evidence costs a row.

use std::collections::BTreeMap;

use reckon::ReckonError;
use reckon::lime::{DoseLimit, lime_mehlich_buffer_north_carolina, lime_product, split_into_doses};
use reckon::units::{Fraction, GramsPerSquareMetre, Percent};
use serde::Deserialize;
use serde_json::{Value, json};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    example: Vec<Row>,
}

/// One published example; the head of the file says what each field holds.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    kind: Kind,
    source: String,
    words: String,
    model: String,
    arithmetic: String,
    input: String,
    expect: Vec<Figure>,
}

#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Fertilizer,
    Spreader,
    Sprayer,
    TankMix,
    ActiveIngredient,
    Lime,
}

/// Every kind: each has a formula the person relies on.
const KINDS: [Kind; 6] =
    [Kind::Fertilizer, Kind::Spreader, Kind::Sprayer, Kind::TankMix, Kind::ActiveIngredient, Kind::Lime];

/// A figure the source prints: where in the result it stands, and what its printed digits allow.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Figure {
    field: String,
    value: f64,
    tolerance: f64,
}

fn rows() -> Vec<Row> {
    let table: Table = toml::from_str(include_str!("extension_examples.toml")).expect("the table is TOML");
    table.example
}

/// The result of a row's model, or of a formula of `reckon` that has no model.
fn result(row: &Row) -> Result<Value, String> {
    let input: Value = serde_json::from_str(&row.input).map_err(|error| error.to_string())?;
    if let Some(formula) = row.model.strip_prefix("reckon::lime::") {
        return lime(formula, &input);
    }
    let model = calc::find(&row.model).ok_or(format!("no model {}", row.model))?;
    model.answer(&input).map(|answer| Value::from(&answer.result)).map_err(|fault| fault.message)
}

fn lime(formula: &str, input: &Value) -> Result<Value, String> {
    let number = |field: &str| input[field].as_f64().ok_or(format!("{field} is missing"));
    let told = |error: ReckonError| error.to_string();
    match formula {
        "lime_product" => {
            let need = GramsPerSquareMetre::new(number("need_g_m2")?);
            let (cce, fineness) = (Percent::new(number("cce_pct")?), Fraction::new(number("fineness")?));
            Ok(json!({ "product_g_m2": lime_product(need, cce, fineness).map_err(told)?.get() }))
        }
        "lime_mehlich_buffer_north_carolina" => {
            let (buffer, soil, goal) = (number("buffer_ph")?, number("soil_ph")?, number("goal_ph")?);
            let lime = lime_mehlich_buffer_north_carolina(buffer, soil, goal).map_err(told)?;
            Ok(json!({ "lime_g_m2": lime.get() }))
        }
        "split_into_doses" => {
            let limit = DoseLimit {
                at_once: GramsPerSquareMetre::new(number("at_once_g_m2")?),
                in_a_year: None,
                months_between: number("months_between")? as u32,
            };
            let doses = split_into_doses(GramsPerSquareMetre::new(number("amount_g_m2")?), limit).map_err(told)?;
            Ok(json!({
                "count": doses.count, "each_g_m2": doses.each.get(), "months_between": doses.months_between
            }))
        }
        other => Err(format!("no formula {other}")),
    }
}

/// Each printed figure comes out within its printed digits; all rows that fail are told at once.
#[test]
fn extension_examples_come_out() {
    let mut failing = Vec::new();
    for row in rows() {
        let found = match result(&row) {
            Ok(found) => found,
            Err(fault) => {
                failing.push(format!("{}: {fault}", row.id));
                continue;
            }
        };
        for Figure { field, value, tolerance } in &row.expect {
            let got = found.pointer(field).and_then(Value::as_f64).unwrap_or(f64::NAN);
            // Written so that a missing figure, not a number, fails as well.
            let within = (got - value).abs() <= *tolerance;
            if !within {
                failing.push(format!("{}{field}: {got}, but {value} ± {tolerance} by {}", row.id, row.source));
            }
        }
    }
    assert!(failing.is_empty(), "{} figures:\n{}", failing.len(), failing.join("\n"));
}

/// The table is worth its name: twenty examples and more, two and more of each kind, each told in words with its figures,
/// with its source and with the way its units were turned.
#[test]
fn every_kind_is_covered_and_every_row_has_a_source() {
    let rows = rows();
    let mut kinds: BTreeMap<Kind, usize> = BTreeMap::new();
    let mut ids: Vec<&str> = Vec::new();
    for row in &rows {
        *kinds.entry(row.kind).or_default() += 1;
        assert!(!ids.contains(&row.id.as_str()), "{} stands twice", row.id);
        ids.push(&row.id);
        assert!(row.source.len() > 20, "{} has no source", row.id);
        let figures = |text: &str| text.contains(|c: char| c.is_ascii_digit());
        assert!(figures(&row.words) && figures(&row.arithmetic), "{} is not told in figures", row.id);
        assert!(!row.expect.is_empty(), "{} expects nothing", row.id);
        for figure in &row.expect {
            let loose = figure.tolerance > figure.value.abs() * 0.2;
            assert!(figure.tolerance >= 0.0 && !loose, "{}{}: the tolerance says nothing", row.id, figure.field);
        }
    }
    assert!(rows.len() >= 20, "{} examples", rows.len());
    for kind in KINDS {
        let count = kinds.get(&kind).copied().unwrap_or_default();
        assert!(count >= 2, "{kind:?}: {count} examples");
    }
}

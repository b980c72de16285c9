//! The page of formulas, from the declarations that the reader and the schema use.

use std::fmt::Write;

use crate::json::number;
use crate::model::Model;
use crate::models::models;
use crate::shape::{Field, Need, Record, Shape};

const HEAD: &str = "\
# Formulas

Every formula that advice rests on can be run by itself with `toft calc NAME`: by a person, a spreadsheet or another program.
Units are SI; a field's unit ends its name. A field of a list stands below it as `list[].field`. Ranges include their ends.

This page is made from the models' own declarations; `TOFT_BLESS=1 cargo test -p calc` writes it anew.
";

/// The page of formulas in Markdown: each model with its fields, units, ranges, defaults, source and example.
pub fn formulas_markdown() -> String {
    let mut page = String::from(HEAD);
    page.push('\n');
    for model in models() {
        // Writing to a string cannot fail.
        let _ = writeln!(page, "- [`{0}`](#{0}): {1}", model.name, model.about);
    }
    for model in models() {
        section(&mut page, model);
    }
    page
}

fn section(page: &mut String, model: &Model) {
    let _ =
        write!(page, "\n## {}\n\n{}.\n\nSource: {}.\n", model.name, model.about, model.source.trim_end_matches('.'));

    page.push_str("\n### Input\n\n| field | unit | range | when absent | meaning |\n| --- | --- | --- | --- | --- |\n");
    rows(model.input(), "", &mut |path, field, bound_to| {
        let cells = [unit(&field.shape), &range(&field.shape), &absent(field, bound_to), &meaning(&field.shape)];
        row(page, path, &cells);
    });
    choices(page, model.input(), "");

    page.push_str("\n### Result\n\n| field | unit | meaning |\n| --- | --- | --- |\n");
    let output = Record { fields: model.output(), choices: &[] };
    rows(&output, "", &mut |path, field, _| row(page, path, &[unit(&field.shape), &meaning(&field.shape)]));

    let _ = write!(page, "\n### Example\n\n```json\n{}\n```\n", aligned(model.example));
}

fn row(page: &mut String, path: &str, cells: &[&str]) {
    let _ = write!(page, "| `{path}` |");
    for cell in cells {
        let _ = write!(page, " {} |", cell.replace('|', "\\|"));
    }
    page.push('\n');
}

/// Calls `each` with every field's path, the field, and whether a "one of" group decides on it; those inside after those around.
fn rows(record: &Record, prefix: &str, each: &mut impl FnMut(&str, &Field, bool)) {
    for field in record.fields {
        let path = format!("{prefix}{}", field.name);
        let chosen =
            record.choices.iter().flat_map(|options| options.iter()).any(|option| option.contains(&field.name));
        each(&path, field, chosen);
        if let Some((inner, link)) = inside(&field.shape) {
            rows(inner, &format!("{path}{link}"), each);
        }
    }
}

/// The record within a field, and what leads to it.
fn inside(shape: &Shape) -> Option<(&'static Record, &'static str)> {
    match shape {
        Shape::Record(record) => Some((record, ".")),
        Shape::List { of: Shape::Record(record), .. } => Some((record, "[].")),
        _ => None,
    }
}

fn choices(page: &mut String, record: &Record, prefix: &str) {
    for options in record.choices {
        let named = |option: &&[&str]| {
            option.iter().map(|field| format!("`{prefix}{field}`")).collect::<Vec<_>>().join(" with ")
        };
        let told: Vec<String> = options.iter().map(named).collect();
        let _ = write!(page, "\nExactly one of these is given: {}.\n", told.join(", "));
    }
    for field in record.fields {
        if let Some((inner, link)) = inside(&field.shape) {
            choices(page, inner, &format!("{prefix}{}{link}", field.name));
        }
    }
}

fn unit(shape: &Shape) -> &str {
    match shape {
        Shape::Number(bound) | Shape::Whole(bound) if bound.unit.is_empty() => "–",
        Shape::Number(bound) | Shape::Whole(bound) => bound.unit,
        Shape::Figure("", _) => "–",
        Shape::Figure(unit, _) => unit,
        Shape::List { of, .. } => unit(of),
        Shape::Row(bounds, _) => bounds.first().map_or("–", |bound| bound.unit),
        _ => "–",
    }
}

fn range(shape: &Shape) -> String {
    match shape {
        Shape::Number(bound) => format!("{} to {}", number(bound.min), number(bound.max)),
        Shape::Whole(bound) => format!("{} to {}, whole", number(bound.min), number(bound.max)),
        Shape::List { of: of @ (Shape::Number(_) | Shape::Whole(_)), min, max, .. } => {
            format!("{min} to {max} numbers, each {}", range(of))
        }
        Shape::List { of: Shape::Row(bounds, _), min, max, .. } => {
            format!("{min} to {max} rows of {} numbers", bounds.len())
        }
        Shape::List { of: Shape::List { .. }, min, max, .. } => format!("{min} to {max} lists"),
        Shape::List { min, max, .. } => format!("{min} to {max}"),
        Shape::Row(bounds, _) => format!("{} numbers", bounds.len()),
        Shape::Word(words, _) => words.iter().map(|(word, _)| format!("`{word}`")).collect::<Vec<_>>().join(", "),
        Shape::Flag(_) => "`true`, `false`".into(),
        Shape::Name(_) => "a text or a whole number".into(),
        Shape::Record(_) => "an object".into(),
        Shape::Figure(..) | Shape::Count(_) => "–".into(),
    }
}

fn absent(field: &Field, chosen: bool) -> String {
    match field.need {
        Need::Required => "must be given".into(),
        Need::Or(value) => number(value),
        Need::OrWord(word) => format!("`{word}`"),
        Need::Assumed(told) => told.into(),
        Need::Optional if chosen => "see below".into(),
        Need::Optional => "left out".into(),
    }
}

fn meaning(shape: &Shape) -> String {
    match shape {
        Shape::Word(words, meaning) => {
            let told: Vec<String> = words.iter().map(|(word, told)| format!("`{word}`: {told}")).collect();
            format!("{meaning}. {}", told.join("; "))
        }
        _ => shape.meaning().to_owned(),
    }
}

/// The example with its lines moved left, as they stand in a source file under their first one.
fn aligned(example: &str) -> String {
    let indent = |line: &&str| line.len() - line.trim_start().len();
    let shift = example.lines().skip(1).map(|line| indent(&line)).min().unwrap_or(0);
    let line = |(i, line): (usize, &str)| {
        if i == 0 { line.to_owned() } else { format!(" {}", line.get(shift..).unwrap_or(line.trim_start())) }
    };
    example.lines().enumerate().map(line).collect::<Vec<_>>().join("\n")
}

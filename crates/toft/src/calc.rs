//! `toft calc`: one formula by itself.

use std::fs::File;
use std::io::{BufReader, stdin, stdout};
use std::path::Path;
use std::process::ExitCode;

use calc::{Figure, Model, find, item_from_pairs, models, run_stream};
use yard::{Quantity, Units};

use crate::args::{CalcArgs, UnitsArg};
use crate::home;
use crate::problem::Problem;

/// `toft calc`.
pub fn run(told: Option<&Path>, args: &CalcArgs) -> Result<ExitCode, Problem> {
    if args.list {
        for model in models() {
            println!("{}\t{}", model.name, model.about);
        }
        return Ok(ExitCode::SUCCESS);
    }
    let Some(name) = &args.name else {
        return Err(Problem::Typed("which model? `toft calc --list` names them".to_owned()));
    };
    let Some(model) = find(name) else {
        return Err(Problem::Typed(format!("no model “{name}”; `toft calc --list` names them")));
    };
    if args.schema {
        let text = serde_json::to_string_pretty(&model.schema()).map_err(|e| Problem::machine("writing JSON", e))?;
        println!("{text}");
        return Ok(ExitCode::SUCCESS);
    }
    if !args.fields.is_empty() {
        return from_fields(told, args, model);
    }
    let outcome = match &args.input {
        Some(path) => {
            let file = File::open(path).map_err(|e| Problem::machine(path.display(), e))?;
            run_stream(model, BufReader::with_capacity(64 * 1024, file), stdout().lock())
        }
        None => run_stream(model, BufReader::with_capacity(64 * 1024, stdin().lock()), stdout().lock()),
    }
    .map_err(|e| Problem::machine("reading or writing", e))?;
    Ok(if outcome.faults > 0 { ExitCode::from(2) } else { ExitCode::SUCCESS })
}

fn from_fields(told: Option<&Path>, args: &CalcArgs, model: &Model) -> Result<ExitCode, Problem> {
    let mut pairs = Vec::new();
    for field in &args.fields {
        let Some((name, value)) = field.split_once('=') else {
            return Err(Problem::Typed(format!("“{field}” is not field=value")));
        };
        pairs.push((name.to_owned(), value.to_owned()));
    }
    let answer = item_from_pairs(model, &pairs).and_then(|item| model.answer(&item));
    let answer = match answer {
        Ok(answer) => answer,
        Err(fault) if args.json => {
            println!("{}", serde_json::json!({"error": fault}));
            return Ok(ExitCode::from(2));
        }
        Err(fault) => return Err(Problem::Typed(fault.message)),
    };
    if args.json {
        let text = serde_json::to_string(&answer).map_err(|e| Problem::machine("writing JSON", e))?;
        println!("{text}");
        return Ok(ExitCode::SUCCESS);
    }
    let units = units(told, args);
    if let Figure::Record(fields) = &answer.result {
        for (name, figure) in fields {
            println!("{}", result_line(units, name, figure));
        }
    }
    println!();
    for step in &answer.working {
        println!("  {}", units.say_step(step));
    }
    if !answer.assumed.is_empty() {
        println!("  Assumed: {}", answer.assumed.join(", "));
    }
    println!("\nSource: {}", answer.source);
    Ok(ExitCode::SUCCESS)
}

/// The units told, those of the person's yard, or US customary.
fn units(told: Option<&Path>, args: &CalcArgs) -> Units {
    match args.units {
        Some(UnitsArg::Metric) => Units::Metric,
        Some(UnitsArg::UsCustomary) => Units::UsCustomary,
        None => home::open(told).map_or_else(|_| Units::default(), |home| home.yard(jiff::civil::Date::MAX).units()),
    }
}

/// A figure of the result in the user's units, where the unit behind its field's name is one that people convert.
fn result_line(units: Units, name: &str, figure: &Figure) -> String {
    const SUFFIXES: [(&str, Quantity); 10] = [
        ("_mm_h", Quantity::Rate),
        ("_mm_m", Quantity::Holding),
        ("_g_m2", Quantity::Dose),
        ("_m2", Quantity::Area),
        ("_mm", Quantity::Depth),
        ("_lpm", Quantity::Flow),
        ("_ms", Quantity::Speed),
        ("_kg", Quantity::Mass),
        ("_c", Quantity::Temperature),
        ("_l", Quantity::Volume),
    ];
    // Energy is a figure of science, and a rate a degree is no temperature: both stay as they are.
    let kept = name.ends_with("_mj_m2") || name.ends_with("_kpa_c");
    let quantity = SUFFIXES.iter().find(|(suffix, _)| !kept && name.ends_with(suffix));
    match (figure.number(), quantity) {
        (Some(number), Some((suffix, quantity))) => {
            let words = name.trim_end_matches(suffix).replace('_', " ");
            format!(
                "{words}: {} {}",
                yard::units::significant(units.show(*quantity, number), 5),
                units.symbol(*quantity)
            )
        }
        (Some(number), None) => format!("{}: {}", name.replace('_', " "), yard::units::significant(number, 5)),
        (None, _) => format!("{}: {}", name.replace('_', " "), serde_json::Value::from(figure)),
    }
}

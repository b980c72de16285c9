//! `toft weather`: files in, and what is known.

use std::fs::File;
use std::path::Path;
use std::process::ExitCode;

use feeds::{CsvHints, DepthUnit, Report, TemperatureUnit, WindUnit};
use jiff::Timestamp;
use serde_json::json;

use crate::args::{DepthArg, TemperatureArg, WeatherArgs, WeatherCommand, WeatherImportArgs, WindArg};
use crate::home;
use crate::problem::Problem;

/// `toft weather …`.
pub fn run(told: Option<&Path>, args: &WeatherArgs) -> Result<ExitCode, Problem> {
    match &args.command {
        WeatherCommand::Import(args) => import(told, args),
        WeatherCommand::Status(args) => status(told, args),
    }
}

fn hints(args: &WeatherImportArgs) -> CsvHints {
    CsvHints {
        temperature: args.temperature.map(|t| match t {
            TemperatureArg::C => TemperatureUnit::Celsius,
            TemperatureArg::F => TemperatureUnit::Fahrenheit,
        }),
        depth: args.depth.map(|d| match d {
            DepthArg::Mm => DepthUnit::Millimetres,
            DepthArg::In => DepthUnit::Inches,
        }),
        wind: args.wind.map(|w| match w {
            WindArg::Ms => WindUnit::MetresPerSecond,
            WindArg::Kmh => WindUnit::KilometresPerHour,
            WindArg::Mph => WindUnit::MilesPerHour,
            WindArg::Kn => WindUnit::Knots,
        }),
        wind_height_m: args.wind_height,
    }
}

fn import(told: Option<&Path>, args: &WeatherImportArgs) -> Result<ExitCode, Problem> {
    let mut home = home::open(told)?;
    let name = args.file.file_name().map_or_else(|| "weather".to_owned(), |n| n.to_string_lossy().into_owned());
    let file = File::open(&args.file).map_err(|e| Problem::machine(args.file.display(), e))?;
    let import =
        feeds::read_any(&name, file, &hints(args)).map_err(|e| Problem::Typed(format!("{e}\nNothing was stored.")))?;
    let summary = home.ledger.import_weather(&import.record, Timestamp::now())?;
    if args.json {
        let report = &import.report;
        let answer = json!({
            "name": name, "rows_read": report.rows_read, "days": report.days,
            "first": report.first, "last": report.last, "duplicates": report.duplicates, "gaps": report.gaps,
            "missing": report.missing, "notes": report.notes,
            "days_new": summary.days_new, "days_changed": summary.days_changed, "days_same": summary.days_same,
        });
        println!("{answer}");
    } else {
        for line in report_lines(&import.report) {
            println!("{line}");
        }
        println!(
            "Stored: {} new days, {} changed, {} as before.",
            summary.days_new, summary.days_changed, summary.days_same
        );
    }
    Ok(ExitCode::SUCCESS)
}

fn report_lines(report: &Report) -> Vec<String> {
    let mut lines = Vec::new();
    if let (Some(first), Some(last)) = (report.first, report.last) {
        lines.push(format!("{} rows read: {} days from {first} to {last}.", report.rows_read, report.days));
    }
    if !report.duplicates.is_empty() {
        lines.push(format!("{} days stood twice with the same readings and were taken once.", report.duplicates.len()));
    }
    for (from, to) in report.gaps.iter().take(10) {
        lines.push(format!("Gap: {from} to {to}."));
    }
    if report.gaps.len() > 10 {
        lines.push(format!("… and {} more gaps.", report.gaps.len() - 10));
    }
    for (column, days) in report.missing.iter().filter(|(_, days)| *days > 0) {
        lines.push(format!("{column}: missing on {days} days; those are estimated and marked."));
    }
    lines.extend(report.notes.iter().cloned());
    lines
}

fn status(told: Option<&Path>, args: &crate::args::ReadArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let facts = home.yard(on);
    let weather = home.weather(&facts)?;
    let advice = yard::advise(&facts, &weather, almanac::Almanac::embedded(), on);
    let imports = home.ledger.weather_imports()?;
    if args.json {
        let list: Vec<_> = imports
            .iter()
            .map(|i| json!({"name": i.name, "format": i.format, "first": i.first, "last": i.last, "days": i.days}))
            .collect();
        println!("{}", json!({"imports": list, "footing": advice.footing, "recent": advice.recent}));
        return Ok(ExitCode::SUCCESS);
    }
    if imports.is_empty() {
        println!("No weather file has been read yet. Read one with: toft weather import FILE");
    }
    for import in &imports {
        println!("{} ({}): {} days, {} to {}", import.name, import.format, import.days, import.first, import.last);
    }
    println!("Figures rest on {}.", advice.footing.words);
    println!("Days ahead: {}.", advice.footing.outlook);
    for note in &advice.footing.notes {
        println!("{note}");
    }
    Ok(ExitCode::SUCCESS)
}

//! `toft weather`: files in, and what is known.

use std::fs::File;
use std::path::Path;
use std::process::ExitCode;

use feeds::{CsvHints, DepthUnit, ForecastHints, Report, TemperatureUnit, WindUnit};
use jiff::Timestamp;
use serde_json::{Value, json};
use yard::{Forecast, ForecastDay, Quantity, Units};

use crate::args::{
    DepthArg, ForecastArgs, ForecastsArgs, TemperatureArg, WeatherArgs, WeatherCommand, WeatherImportArgs, WindArg,
};
use crate::home;
use crate::problem::Problem;

/// `toft weather …`.
pub fn run(told: Option<&Path>, args: &WeatherArgs) -> Result<ExitCode, Problem> {
    match &args.command {
        WeatherCommand::Import(args) => import(told, args),
        WeatherCommand::Forecast(args) => forecast(told, args),
        WeatherCommand::Forecasts(args) => forecasts(told, args),
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

fn forecast(told: Option<&Path>, args: &ForecastArgs) -> Result<ExitCode, Problem> {
    let mut home = home::open(told)?;
    let name = args.file.file_name().map_or_else(|| "forecast".to_owned(), |n| n.to_string_lossy().into_owned());
    let file = File::open(&args.file).map_err(|e| Problem::machine(args.file.display(), e))?;
    let issued = args.issued.as_deref().map(home::date).transpose()?;
    let hints = ForecastHints { issued, time_zone: home::zone_of(&home.entries) };
    let read =
        feeds::read_forecast(&name, file, &hints).map_err(|e| Problem::Typed(format!("{e}\nNothing was stored.")))?;
    let summary = home.ledger.import_forecasts(&name, read.format, &read.forecasts, Timestamp::now())?;
    let units = home.yard(home::day(None, &home.entries)?).units();
    if args.json {
        let list: Vec<Value> = read.forecasts.iter().map(told_json).collect();
        let answer = json!({
            "name": name, "format": read.format, "forecasts": list, "notes": read.notes,
            "kept": summary.kept, "same": summary.same,
        });
        println!("{answer}");
        return Ok(ExitCode::SUCCESS);
    }
    match read.forecasts.as_slice() {
        [one] => {
            println!("Issued {}:", one.issued);
            for day in &one.days {
                println!("  {}", words(day, units));
            }
        }
        many => println!("{} forecasts, issued {} to {}.", many.len(), many[0].issued, many[many.len() - 1].issued),
    }
    for note in &read.notes {
        println!("{note}");
    }
    println!("Stored: {} forecasts, {} known before.", summary.kept, summary.same);
    Ok(ExitCode::SUCCESS)
}

fn words(day: &ForecastDay, units: Units) -> String {
    let say = |quantity, figure: Option<f64>| figure.map_or_else(|| "–".to_owned(), |v| units.say(quantity, v));
    let chance = day.chance.map_or_else(|| "–".to_owned(), |c| format!("{:.0} %", c.get()));
    format!(
        "{}  {:>8} to {:>8}, rain {chance}, {} if it rains",
        day.date,
        say(Quantity::Temperature, day.low.map(|t| t.get())),
        say(Quantity::Temperature, day.high.map(|t| t.get())),
        say(Quantity::Depth, day.rain.map(|r| r.get()))
    )
}

fn figures(day: &ForecastDay) -> [(&'static str, Option<f64>); 7] {
    [
        ("low_c", day.low.map(|t| t.get())),
        ("high_c", day.high.map(|t| t.get())),
        ("rain_mm", day.rain.map(|r| r.get())),
        ("chance_pct", day.chance.map(|p| p.get())),
        ("humidity_pct", day.humidity.map(|p| p.get())),
        ("wind_ms", day.wind.map(|w| w.get())),
        ("wind_height_m", day.wind_height.map(|h| h.get())),
    ]
}

fn told_json(forecast: &Forecast) -> Value {
    let day = |day: &ForecastDay| {
        let mut object = serde_json::Map::new();
        object.insert("date".to_owned(), json!(day.date));
        object.extend(figures(day).into_iter().map(|(name, figure)| (name.to_owned(), json!(figure))));
        Value::Object(object)
    };
    let days: Vec<Value> = forecast.days.iter().map(day).collect();
    json!({"issued": forecast.issued, "source": forecast.source, "days": days})
}

fn forecasts(told: Option<&Path>, args: &ForecastsArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let facts = home.yard(home::day(None, &home.entries)?);
    let weather = home.weather(&facts)?;
    let judged = yard::forecast::judge(&weather);
    if args.csv {
        println!("issued,date,low_c,high_c,rain_mm,chance_pct,humidity_pct,wind_ms,wind_height_m");
        for forecast in weather.forecasts() {
            for day in &forecast.days {
                let cell = |(_, figure): (&str, Option<f64>)| figure.map_or_else(String::new, |v| v.to_string());
                let cells: Vec<String> = figures(day).into_iter().map(cell).collect();
                println!("{},{},{}", forecast.issued, day.date, cells.join(","));
            }
        }
        return Ok(ExitCode::SUCCESS);
    }
    if args.json {
        let list: Vec<Value> = weather.forecasts().iter().map(told_json).collect();
        println!("{}", json!({"forecasts": list, "judged": judged}));
        return Ok(ExitCode::SUCCESS);
    }
    let Some(last) = weather.forecasts().last() else {
        println!("No forecast is kept. Read one with: toft weather forecast FILE");
        return Ok(ExitCode::SUCCESS);
    };
    println!("{} forecasts, the last issued {} ({}):", weather.forecasts().len(), last.issued, last.source);
    for day in &last.days {
        println!("  {}", words(day, facts.units()));
    }
    let kelvin = |error: Option<f64>| error.map_or_else(|| "–".to_owned(), |e| format!("{e:.1} °C"));
    for j in &judged {
        let brier = j.brier.map_or_else(|| "–".to_owned(), |b| format!("{b:.2}"));
        println!(
            "{} days after issue, {} days compared: high off by {}, low by {} on average; Brier score of the chance of rain {brier}",
            j.lead,
            j.days,
            kelvin(j.high_error_c),
            kelvin(j.low_error_c)
        );
    }
    Ok(ExitCode::SUCCESS)
}

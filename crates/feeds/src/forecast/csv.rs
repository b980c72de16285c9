//! The plain CSV of a forecast.

use std::collections::BTreeMap;

use ::csv::{ReaderBuilder, StringRecord};
use jiff::civil::Date;
use reckon::units::{Celsius, Metres, MetresPerSecond, Millimetres, Percent, factor, from_fahrenheit};
use yard::{Forecast, ForecastDay};

use super::{CHANCE, ForecastFile, ForecastHints, Place, bounds, check_day, within};
use crate::bounds::{Bounds, Quantity};
use crate::error::{Fault, FaultList, listed, row_limit};
use crate::intake::Lines;
use crate::{FeedError, ROWS_MAX};

/// What a column tells.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Column {
    Issued,
    Date,
    Low,
    High,
    Rain,
    Chance,
    Humidity,
    Wind,
    WindHeight,
}

/// A column's name, what it tells, and how its figure becomes SI.
type Known = (&'static str, Column, fn(f64) -> f64);

const KNOWN: &[Known] = &[
    ("issued", Column::Issued, |x| x),
    ("date", Column::Date, |x| x),
    ("low_c", Column::Low, |x| x),
    ("low_f", Column::Low, |x| from_fahrenheit(x).get()),
    ("high_c", Column::High, |x| x),
    ("high_f", Column::High, |x| from_fahrenheit(x).get()),
    ("rain_mm", Column::Rain, |x| x),
    ("rain_in", Column::Rain, |x| x * factor::MM_PER_INCH),
    ("chance_pct", Column::Chance, |x| x),
    ("humidity_pct", Column::Humidity, |x| x),
    ("wind_ms", Column::Wind, |x| x),
    ("wind_kmh", Column::Wind, |x| x / 3.6),
    ("wind_mph", Column::Wind, |x| x * factor::MS_PER_MPH),
    ("wind_kn", Column::Wind, |x| x * 1852.0 / 3600.0),
    ("wind_height_m", Column::WindHeight, |x| x),
];

/// The names a header may have, for messages.
pub(crate) fn known_names() -> String {
    KNOWN.iter().map(|k| k.0).collect::<Vec<_>>().join(", ")
}

fn range(column: Column) -> &'static Bounds {
    match column {
        Column::Low => bounds(Quantity::Tmin),
        Column::High => bounds(Quantity::Tmax),
        Column::Rain => bounds(Quantity::Rain),
        Column::Humidity => bounds(Quantity::HumidityMean),
        Column::Wind => bounds(Quantity::Wind),
        Column::WindHeight => bounds(Quantity::WindHeight),
        Column::Chance | Column::Issued | Column::Date => &CHANCE,
    }
}

pub(super) fn read(name: &str, text: &str, hints: &ForecastHints) -> Result<ForecastFile, FeedError> {
    let mut reader =
        ReaderBuilder::new().has_headers(false).flexible(true).comment(Some(b'#')).from_reader(text.as_bytes());
    let mut lines = Lines::of(text);
    let mut record = StringRecord::new();
    let mut next = |record: &mut StringRecord| {
        reader
            .read_record(record)
            .map_err(|e| FeedError::Unreadable { name: name.to_owned(), source: std::io::Error::other(e.to_string()) })
    };
    if !next(&mut record)? {
        return Err(FeedError::NoDays { name: name.to_owned(), rows_read: 0, hint: "This file is empty" });
    }
    let header_line = lines.line(&record);
    let columns = header(name, header_line, &record)?;
    let told_issue = columns.iter().any(|k| k.1 == Column::Issued);
    if !told_issue && hints.issued.is_none() {
        return Err(FeedError::NoIssueDay { name: name.to_owned(), line: header_line });
    }
    let mut faults = FaultList::new(name);
    let mut days: BTreeMap<(Date, Date), (ForecastDay, u64)> = BTreeMap::new();
    let mut rows = 0;
    while next(&mut record)? {
        let line = lines.line(&record);
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        rows += 1;
        row_limit(name, rows, ROWS_MAX, line)?;
        if record.len() != columns.len() {
            faults.add(|| {
                Fault::new(
                    line,
                    "(whole row)",
                    record.get(0).unwrap_or_default(),
                    format!("begins a row of {} fields", record.len()),
                    format!("{} fields, as in the header", columns.len()),
                    "Check the commas of this line",
                )
            });
            continue;
        }
        let Some((issued, day)) = row(line, &columns, &record, hints, &mut faults) else { continue };
        check_day(issued, &day, line, &mut faults);
        if let Some((_, first)) = days.insert((issued, day.date), (day, line)) {
            faults.add(|| {
                Fault::new(
                    line,
                    "date",
                    &day.date.to_string(),
                    format!("stands for the second time (issued {issued}, first on line {first})"),
                    "one row a date and day of issue",
                    "Remove the row that does not count",
                )
            });
        }
    }
    faults.or_ok()?;
    let mut forecasts: Vec<Forecast> = Vec::new();
    for ((issued, _), (day, _)) in days {
        match forecasts.last_mut() {
            Some(last) if last.issued == issued => last.days.push(day),
            _ => forecasts.push(Forecast { issued, source: name.to_owned(), days: vec![day] }),
        }
    }
    if forecasts.is_empty() {
        let hint = "Try a file with rows below its header";
        return Err(FeedError::NoDays { name: name.to_owned(), rows_read: rows, hint });
    }
    Ok(ForecastFile { forecasts, format: "csv", notes: Vec::new() })
}

fn header(name: &str, line: u64, record: &StringRecord) -> Result<Vec<Known>, FeedError> {
    let mut columns: Vec<Known> = Vec::with_capacity(record.len());
    for cell in record {
        let known = KNOWN.iter().find(|k| k.0.eq_ignore_ascii_case(cell.trim()));
        let Some(known) = known else {
            return Err(FeedError::UnknownColumn {
                name: name.to_owned(),
                line,
                column: crate::error::short(cell),
                allowed: known_names(),
            });
        };
        if let Some(first) = columns.iter().find(|k| k.1 == known.1) {
            return Err(FeedError::TwoColumns {
                name: name.to_owned(),
                line,
                quantity: known.0,
                first: first.0.to_owned(),
                second: known.0.to_owned(),
            });
        }
        columns.push(*known);
    }
    if !columns.iter().any(|k| k.1 == Column::Date) {
        return Err(FeedError::NoDateColumn { name: name.to_owned(), line, columns: listed(record.iter()) });
    }
    Ok(columns)
}

fn row(
    line: u64,
    columns: &[Known],
    record: &StringRecord,
    hints: &ForecastHints,
    faults: &mut FaultList,
) -> Option<(Date, ForecastDay)> {
    let before = faults.total;
    let (mut issued, mut date) = (hints.issued, None);
    let mut day = ForecastDay::blank(Date::ZERO);
    for ((name, column, to_si), raw) in columns.iter().zip(record) {
        let raw = raw.trim();
        if matches!(column, Column::Issued | Column::Date) {
            let told = raw.parse::<Date>().ok().filter(|_| raw.len() == 10);
            if told.is_none() {
                faults.add(|| Fault::new(line, name, raw, "is no date", "yyyy-mm-dd", "Write it like 2026-06-01"));
            }
            match column {
                Column::Issued => issued = told,
                _ => date = told,
            }
            continue;
        }
        if raw.is_empty() {
            continue;
        }
        let Ok(number) = raw.parse::<f64>() else {
            faults.add(|| {
                Fault::new(line, name, raw, "is no number", "a number, or blank", "Use a point, no thousands marks")
            });
            continue;
        };
        let si = within(range(*column), to_si(number), Place { line, column: name, raw }, faults);
        match column {
            Column::Low => day.low = si.map(Celsius::new),
            Column::High => day.high = si.map(Celsius::new),
            Column::Rain => day.rain = si.map(Millimetres::new),
            Column::Chance => day.chance = si.map(Percent::new),
            Column::Humidity => day.humidity = si.map(Percent::new),
            Column::Wind => day.wind = si.map(MetresPerSecond::new),
            Column::WindHeight => day.wind_height = si.map(Metres::new),
            Column::Issued | Column::Date => {}
        }
    }
    day.date = date?;
    (faults.total == before).then_some((issued?, day))
}

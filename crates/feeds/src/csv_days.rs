//! A plain CSV: a header, then one row a day.

use csv::{ReaderBuilder, StringRecord};

use crate::bounds::{QUANTITIES, Quantity};
use crate::dates::{self, Told};
use crate::error::{Fault, FaultList, UnitQuestion, counted, listed, row_limit, short};
use crate::header::{Meaning, meaning};
use crate::intake::Lines;
use crate::plausible;
use crate::report::{DayRow, Import, Readings, report, settle, weather_day};
use crate::units::{CsvHints, DepthUnit, TemperatureUnit, Unit, WindUnit};
use crate::{FeedError, ROWS_MAX};
use yard::WeatherRecord;

pub(crate) fn read(name: &str, text: &str, hints: &CsvHints) -> Result<Import, FeedError> {
    let delimiter = delimiter(text);
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut lines = Lines::of(text);
    let mut record = StringRecord::new();
    if !next(&mut reader, &mut record, name)? {
        return Err(FeedError::NoDays {
            name: name.to_owned(),
            rows_read: 0,
            hint: "Try another file: this one is empty",
        });
    }
    let header_line = lines.line(&record);
    let layout = Layout::of(name, header_line, &record, hints)?;
    let width = record.len();

    let mut faults = FaultList::new(name);
    let mut rows: Vec<RawRow> = Vec::new();
    let mut cells = Cells { decimal_comma: delimiter != b',', ..Cells::default() };
    let mut rows_read = 0;
    while next(&mut reader, &mut record, name)? {
        let line = lines.line(&record);
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        rows_read += 1;
        row_limit(name, rows_read, ROWS_MAX, line)?;
        if record.len() < width || record.iter().skip(width).any(|cell| !cell.trim().is_empty()) {
            faults.add(|| {
                Fault::new(
                    line,
                    "(whole row)",
                    record.get(0).unwrap_or_default(),
                    format!("begins a row of {} fields", record.len()),
                    format!("{width} fields, as in the header"),
                    "Check the separators and quotation marks of this line",
                )
            });
            continue;
        }
        let told = layout.told(line, &record, &mut faults);
        let readings = layout.readings(line, &record, &mut cells, &mut faults);
        if let Some(told) = told {
            rows.push(RawRow { line, told, readings });
        }
    }
    if let (Some(comma_line), Some(point_line)) = (cells.comma_line, cells.point_line) {
        return Err(FeedError::MixedDecimals { name: name.to_owned(), comma_line, point_line });
    }

    let mut notes = layout.notes.clone();
    for column in &layout.columns {
        let values: Vec<f64> = rows.iter().filter_map(|row| row.readings[column.quantity as usize]).collect();
        let judged =
            plausible::Column { file: name, name: &column.name, quantity: column.quantity, unit: column.unit, values };
        notes.extend(plausible::judge(judged)?);
    }
    let order = Order::of(&rows);
    let rows = dated(&layout, rows, order, &mut faults);
    faults.or_ok()?;
    if let Order::Unknown { line, value, why } = order {
        return Err(FeedError::DateOrder {
            name: name.to_owned(),
            line,
            column: layout.date_name(),
            value: format!("{}/{}/{}", value.0, value.1, value.2),
            why,
        });
    }
    let weather = || layout.columns.iter().filter(|c| c.quantity != Quantity::WindHeight);
    if rows.iter().all(|row| weather().all(|c| row.readings[c.quantity as usize].is_none())) {
        return Err(FeedError::NoDays {
            name: name.to_owned(),
            rows_read,
            hint: "Try a file with rows below its header",
        });
    }
    order.note(&mut notes);
    cells.notes(&mut notes);

    let (days, duplicates) = settle(name, rows)?;
    let height_m = layout.height_m.or(hints.wind_height_m);
    let wind_days: Vec<_> = days.iter().filter(|d| d.readings[Quantity::Wind as usize].is_some()).collect();
    if height_m.is_none() && wind_days.iter().any(|d| d.readings[Quantity::WindHeight as usize].is_none()) {
        notes.push(
            "The height of the wind gauge is not told, so it stays unknown: give --wind-height, or a column wind_height_m."
                .to_owned(),
        );
    }
    let columns: Vec<(Quantity, String)> = layout.columns.iter().map(|c| (c.quantity, c.name.clone())).collect();
    let report = report(rows_read, &days, duplicates, &columns, notes);
    let record = WeatherRecord {
        name: name.to_owned(),
        format: "csv".to_owned(),
        place: None,
        days: days.iter().map(|d| weather_day(d, height_m)).collect(),
    };
    Ok(Import { record, report })
}

struct RawRow {
    line: u64,
    told: Told,
    readings: Readings,
}

/// The next record; reading from text in memory fails only on a bug, which still becomes a message.
fn next(reader: &mut csv::Reader<&[u8]>, record: &mut StringRecord, name: &str) -> Result<bool, FeedError> {
    reader
        .read_record(record)
        .map_err(|e| FeedError::Unreadable { name: name.to_owned(), source: std::io::Error::other(e.to_string()) })
}

/// The delimiter that stands most often in the first line with text, outside quotation marks.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().find(|l| !l.trim().is_empty() && !l.starts_with('#')).unwrap_or_default();
    let mut counts = [(b';', 0_usize), (b'\t', 0), (b',', 0)];
    let mut quoted = false;
    for b in first.bytes() {
        if b == b'"' {
            quoted = !quoted;
        } else if !quoted && let Some(entry) = counts.iter_mut().find(|(d, _)| *d == b) {
            entry.1 += 1;
        }
    }
    let (delimiter, count) = counts.into_iter().rev().max_by_key(|(_, n)| *n).unwrap_or((b',', 0));
    if count == 0 { b',' } else { delimiter }
}

/// One column that is read.
struct Column {
    index: usize,
    name: String,
    quantity: Quantity,
    unit: Unit,
}

/// Where each thing stands in a row.
struct Layout {
    date: DateColumns,
    names: Vec<String>,
    columns: Vec<Column>,
    height_m: Option<f64>,
    notes: Vec<String>,
}

enum DateColumns {
    One(usize),
    Three { year: usize, month: usize, day: usize },
}

impl Layout {
    fn of(file: &str, line: u64, header: &StringRecord, hints: &CsvHints) -> Result<Self, FeedError> {
        let height = Quantity::WindHeight.bounds();
        if let Some(value) = hints.wind_height_m.filter(|h| !height.holds(*h)) {
            let option = "--wind-height";
            return Err(FeedError::HintOutOfRange { name: file.to_owned(), option, value, allowed: height.allowed() });
        }
        let names: Vec<String> = header.iter().map(|n| n.trim().to_owned()).collect();
        let meanings: Vec<Meaning> = names.iter().map(|n| meaning(n)).collect();
        let date = date_columns(file, line, &names, &meanings)?;

        let mut taken: [Option<usize>; QUANTITIES] = [None; QUANTITIES];
        let mut notes = Vec::new();
        for (index, meaning) in meanings.iter().enumerate() {
            let Meaning::Reading { quantity, melted_snow_in, .. } = meaning else {
                continue;
            };
            let slot = &mut taken[*quantity as usize];
            let Some(other) = *slot else {
                *slot = Some(index);
                continue;
            };
            let other_melted = matches!(meanings[other], Meaning::Reading { melted_snow_in: true, .. });
            if *quantity != Quantity::Rain || other_melted == *melted_snow_in {
                return Err(FeedError::TwoColumns {
                    name: file.to_owned(),
                    line,
                    quantity: quantity.bounds().words,
                    first: short(&names[other]),
                    second: short(&names[index]),
                });
            }
            // Precipitation holds the melted snow that a column called rain may lack.
            let (used, left) = if *melted_snow_in { (index, other) } else { (other, index) };
            *slot = Some(used);
            notes.push(format!(
                "Column \"{}\" was left out: \"{}\" is used, which holds melted snow too.",
                short(&names[left]),
                short(&names[used])
            ));
        }

        let (mut columns, mut questions, mut height_m) = (Vec::new(), Vec::new(), None);
        for (index, meaning) in meanings.iter().enumerate() {
            let Meaning::Reading { quantity, unit, height_m: told_height, .. } = *meaning else {
                continue;
            };
            if taken[quantity as usize] != Some(index) {
                continue;
            }
            let name = short(&names[index]);
            match unit.map_or_else(|| answer(quantity, hints), Answer::Told) {
                Answer::Told(unit) => {
                    notes.extend(overruled(&name, unit, hints));
                    height_m = height_m.or(told_height);
                    columns.push(Column { index, name, quantity, unit });
                }
                Answer::Ask(option, example) => questions.push(UnitQuestion { column: name, option, example }),
                Answer::LeaveOut(example) => notes.push(format!(
                    "Column \"{name}\" was left out: its unit is not told. A name like {example} would tell it."
                )),
            }
        }
        if let Some(value) = height_m.filter(|h| !height.holds(*h)) {
            let option = "the height in the wind column's name,";
            return Err(FeedError::HintOutOfRange { name: file.to_owned(), option, value, allowed: height.allowed() });
        }
        if !questions.is_empty() {
            return Err(FeedError::UnitUnknown { name: file.to_owned(), line, questions });
        }
        if columns.iter().all(|c| c.quantity == Quantity::WindHeight) {
            let columns = listed(names.iter().map(String::as_str));
            return Err(FeedError::NoWeatherColumn { name: file.to_owned(), line, columns });
        }
        let unknown: Vec<&str> = names
            .iter()
            .zip(&meanings)
            .filter(|(name, meaning)| **meaning == Meaning::Unknown && !name.is_empty())
            .map(|(name, _)| name.as_str())
            .collect();
        if !unknown.is_empty() {
            notes.push(format!("Columns not used: {}.", listed(unknown.into_iter())));
        }
        Ok(Self { date, names, columns, height_m, notes })
    }

    fn date_name(&self) -> String {
        let of = |i: usize| short(&self.names[i]);
        match self.date {
            DateColumns::One(i) => of(i),
            DateColumns::Three { year, month, day } => {
                format!("{}, {}, {}", of(year), of(month), of(day))
            }
        }
    }

    fn told(&self, line: u64, record: &StringRecord, faults: &mut FaultList) -> Option<Told> {
        let cell = |i: usize| record.get(i).unwrap_or_default().trim();
        let (read, seen) = match self.date {
            DateColumns::One(i) => (dates::read(cell(i)), cell(i).to_owned()),
            DateColumns::Three { year, month, day } => {
                let number = |i: usize| cell(i).parse::<i16>();
                let read = match (number(year), number(month), number(day)) {
                    (Ok(y), Ok(m), Ok(d)) => dates::civil(y, m, d).map(Told::Day),
                    _ => Err(("is not three whole numbers", "Check year, month and day")),
                };
                (read, format!("{}-{}-{}", cell(year), cell(month), cell(day)))
            }
        };
        match read {
            Ok(told) => Some(told),
            Err((problem, hint)) => {
                faults.add(|| Fault::new(line, &self.date_name(), &seen, problem, dates::ALLOWED, hint));
                None
            }
        }
    }

    /// The row's readings in SI; those out of range are faults, and kept for the judgement on the whole column.
    fn readings(&self, line: u64, record: &StringRecord, cells: &mut Cells, faults: &mut FaultList) -> Readings {
        let mut readings: Readings = [None; QUANTITIES];
        for column in &self.columns {
            let cell = record.get(column.index).unwrap_or_default().trim();
            let bounds = column.quantity.bounds();
            let number = match cells.number(cell, column.quantity, line) {
                Ok(None) => continue,
                Ok(Some(number)) => number,
                Err((problem, hint)) => {
                    faults.add(|| Fault::new(line, &column.name, cell, problem, bounds.allowed(), hint));
                    continue;
                }
            };
            let si = column.unit.si(number);
            if !bounds.holds(si) {
                faults.add(|| {
                    let problem = if column.unit.symbol() == bounds.unit {
                        format!("is out of range for {} in {}", bounds.words, bounds.unit)
                    } else {
                        format!(
                            "is {si:.1} {} read as {}: out of range for {}",
                            bounds.unit,
                            column.unit.symbol(),
                            bounds.words
                        )
                    };
                    let hint = if number <= -99.0 {
                        "Where it marks a missing value, leave the cell blank"
                    } else {
                        "Check the value and the column's unit"
                    };
                    Fault::new(line, &column.name, cell, problem, bounds.allowed(), hint)
                });
            }
            readings[column.quantity as usize] = Some(si);
        }
        for (low, high) in [(Quantity::Tmin, Quantity::Tmax), (Quantity::HumidityMin, Quantity::HumidityMax)] {
            if let (Some(l), Some(h)) = (readings[low as usize], readings[high as usize])
                && l > h
            {
                let named = |q: Quantity| self.columns.iter().find(|c| c.quantity == q).map_or("", |c| c.name.as_str());
                let seen = |q: Quantity| {
                    let index = self.columns.iter().find(|c| c.quantity == q).map_or(0, |c| c.index);
                    record.get(index).unwrap_or_default().trim()
                };
                faults.add(|| {
                    Fault::new(
                        line,
                        named(low),
                        seen(low),
                        format!("is above \"{}\", {}", named(high), short(seen(high))),
                        format!("{} at most the {}", low.bounds().words, high.bounds().words),
                        "Check whether the two columns are swapped",
                    )
                });
            }
        }
        readings
    }
}

fn date_columns(file: &str, line: u64, names: &[String], meanings: &[Meaning]) -> Result<DateColumns, FeedError> {
    let find = |wanted: Meaning, words: &'static str| {
        let mut all = (0..meanings.len()).filter(|i| meanings[*i] == wanted);
        match (all.next(), all.next()) {
            (Some(first), Some(second)) => Err(FeedError::TwoColumns {
                name: file.to_owned(),
                line,
                quantity: words,
                first: short(&names[first]),
                second: short(&names[second]),
            }),
            (found, _) => Ok(found),
        }
    };
    // A column called date goes before one called time, which may hold the hour.
    let named_date: Vec<usize> = (0..names.len()).filter(|i| names[*i].eq_ignore_ascii_case("date")).collect();
    if let [only] = named_date[..] {
        return Ok(DateColumns::One(only));
    }
    if let Some(one) = find(Meaning::Date, "the date")? {
        return Ok(DateColumns::One(one));
    }
    match (find(Meaning::Year, "the year")?, find(Meaning::Month, "the month")?, find(Meaning::Day, "the day")?) {
        (Some(year), Some(month), Some(day)) => Ok(DateColumns::Three { year, month, day }),
        (None, None, Some(day)) => Ok(DateColumns::One(day)),
        _ => Err(FeedError::NoDateColumn {
            name: file.to_owned(),
            line,
            columns: listed(names.iter().map(String::as_str)),
        }),
    }
}

enum Answer {
    Told(Unit),
    Ask(String, &'static str),
    LeaveOut(&'static str),
}

/// The unit of a column whose name doesn't tell it.
fn answer(quantity: Quantity, hints: &CsvHints) -> Answer {
    use Quantity::*;
    match quantity {
        Tmin | Tmax | DewPoint => match hints.temperature {
            Some(unit) => Answer::Told(Unit::Temperature(unit)),
            None => Answer::Ask(format!("--temperature {}", TemperatureUnit::WORDS), "tmin_c or tmin_f"),
        },
        Rain | Et0 => match hints.depth {
            Some(unit) => Answer::Told(Unit::Depth(unit)),
            None => Answer::Ask(format!("--depth {}", DepthUnit::WORDS), "precip_mm or precip_in"),
        },
        Wind => match hints.wind {
            Some(unit) => Answer::Told(Unit::Wind(unit)),
            None => Answer::Ask(format!("--wind {}", WindUnit::WORDS), "wind_ms or wind_mph"),
        },
        HumidityMean | HumidityMin | HumidityMax => Answer::Told(Unit::Percent),
        WindHeight => Answer::LeaveOut("wind_height_m"),
        Solar => Answer::LeaveOut("solar_mj_m2"),
    }
}

/// A sentence where a hint says another unit than the column's name.
fn overruled(name: &str, unit: Unit, hints: &CsvHints) -> Option<String> {
    let hint = match unit {
        Unit::Temperature(_) => hints.temperature.map(Unit::Temperature),
        Unit::Depth(_) => hints.depth.map(Unit::Depth),
        Unit::Wind(_) => hints.wind.map(Unit::Wind),
        _ => None,
    }?;
    (hint != unit).then(|| {
        format!(
            "Column \"{name}\" says {} in its name, so it was read as that and not as {}.",
            unit.symbol(),
            hint.symbol()
        )
    })
}

/// Reads numbers, and remembers how the file writes them.
#[derive(Default)]
struct Cells {
    decimal_comma: bool,
    comma_line: Option<u64>,
    point_line: Option<u64>,
    words: usize,
    traces: usize,
}

impl Cells {
    fn number(
        &mut self,
        cell: &str,
        quantity: Quantity,
        line: u64,
    ) -> Result<Option<f64>, (&'static str, &'static str)> {
        if cell.is_empty() {
            return Ok(None);
        }
        if ["NA", "N/A", "NaN", "null", "none", "-", "--"].iter().any(|w| cell.eq_ignore_ascii_case(w)) {
            self.words += 1;
            return Ok(None);
        }
        if quantity == Quantity::Rain && cell.eq_ignore_ascii_case("t") {
            self.traces += 1;
            return Ok(Some(0.0));
        }
        let mut point = None;
        if cell.contains(',') {
            if !self.decimal_comma {
                return Err((
                    "has a comma",
                    "Write a decimal point and no thousands separator, or part the fields by semicolons",
                ));
            }
            if cell.contains('.') || cell.matches(',').count() > 1 {
                return Err(("has a thousands separator", "Write the number without it"));
            }
            self.comma_line.get_or_insert(line);
            point = Some(cell.replace(',', "."));
        } else if cell.contains('.') {
            self.point_line.get_or_insert(line);
        }
        let cell = point.as_deref().unwrap_or(cell);
        if !cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E')) {
            return Err((
                "is not a number",
                "Write a plain number, or leave the cell blank where the value is missing",
            ));
        }
        match cell.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ => Err(("is not a number", "Write a plain number, or leave the cell blank where the value is missing")),
        }
    }

    fn notes(&self, notes: &mut Vec<String>) {
        if self.words > 0 {
            notes.push(format!(
                "Read as blank: {} with a word for missing, such as NA or null.",
                counted(self.words, "cell")
            ));
        }
        if self.traces > 0 {
            notes.push(format!("Counted as 0: {} of rain with T, a trace.", counted(self.traces, "cell")));
        }
        if self.comma_line.is_some() {
            notes.push("Numbers were read with a decimal comma.".to_owned());
        }
    }
}

/// Which of two numbers before the year is the month.
#[derive(Clone, Copy, Debug)]
enum Order {
    NotNeeded,
    MonthFirst { line: u64 },
    DayFirst { line: u64 },
    Unknown { line: u64, value: (i8, i8, i16), why: &'static str },
}

impl Order {
    fn of(rows: &[RawRow]) -> Self {
        let (mut first, mut left, mut right) = (None, None, None);
        for row in rows {
            let Told::YearLast(a, b, year) = row.told else {
                continue;
            };
            first.get_or_insert((row.line, (a, b, year)));
            if a > 12 {
                left.get_or_insert(row.line);
            }
            if b > 12 {
                right.get_or_insert(row.line);
            }
        }
        let Some((at, value)) = first else {
            return Self::NotNeeded;
        };
        match (left, right) {
            (None, Some(line)) => Self::MonthFirst { line },
            (Some(line), None) => Self::DayFirst { line },
            (None, None) => Self::Unknown { line: at, value, why: "no day of the file is above 12" },
            (Some(_), Some(_)) => {
                Self::Unknown { line: at, value, why: "the file has numbers above 12 in both places" }
            }
        }
    }

    fn note(self, notes: &mut Vec<String>) {
        match self {
            Self::MonthFirst { line } => {
                notes.push(format!("Dates were read as month/day/year, which line {line} shows."))
            }
            Self::DayFirst { line } => {
                notes.push(format!("Dates were read as day/month/year, which line {line} shows."))
            }
            Self::NotNeeded | Self::Unknown { .. } => {}
        }
    }
}

fn dated(layout: &Layout, rows: Vec<RawRow>, order: Order, faults: &mut FaultList) -> Vec<DayRow> {
    let mut out = Vec::with_capacity(rows.len());
    for RawRow { line, told, readings } in rows {
        let (a, b, year) = match told {
            Told::Day(date) => {
                out.push(DayRow { line, date, readings });
                continue;
            }
            Told::YearLast(a, b, year) => (i16::from(a), i16::from(b), year),
        };
        let read = match order {
            Order::DayFirst { .. } => dates::civil(year, b, a),
            Order::MonthFirst { .. } => dates::civil(year, a, b),
            Order::NotNeeded | Order::Unknown { .. } => continue,
        };
        match read {
            Ok(date) => out.push(DayRow { line, date, readings }),
            Err((problem, hint)) => {
                let seen = format!("{a}/{b}/{year}");
                faults.add(|| Fault::new(line, &layout.date_name(), &seen, problem, dates::ALLOWED, hint));
            }
        }
    }
    out
}

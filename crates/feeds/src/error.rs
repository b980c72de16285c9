//! Why a weather file was refused: each message says what, where, the value seen, what is allowed and what to try.

use std::fmt;

use jiff::civil::Date;

use crate::BYTES_MAX;

/// Most faults listed in one error; the rest are counted.
pub const FAULTS_SHOWN_MAX: usize = 20;

/// One faulty cell of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Line in the file, from 1; 0 in a JSON document, whose column is a path.
    pub line: u64,
    /// Column name, or element for GHCN-Daily.
    pub column: String,
    /// The value as the file has it, shortened.
    pub value: String,
    /// What is wrong.
    pub problem: String,
    /// What is allowed.
    pub allowed: String,
    /// What to try.
    pub hint: String,
}

impl Fault {
    pub(crate) fn new(
        line: u64,
        column: &str,
        value: &str,
        problem: impl Into<String>,
        allowed: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            line,
            // A path is our own words; a column name is the file's.
            column: if line == 0 { column.to_owned() } else { short(column) },
            value: short(value),
            problem: problem.into(),
            allowed: allowed.into(),
            hint: hint.into(),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { line, column, value, problem, allowed, hint } = self;
        match line {
            0 => write!(f, "field {column}: \"{value}\" {problem}. Allowed: {allowed}. {hint}"),
            _ => write!(f, "line {line}, column \"{column}\": \"{value}\" {problem}. Allowed: {allowed}. {hint}"),
        }
    }
}

/// The faults of one file: the first [`FAULTS_SHOWN_MAX`] and how many there are.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FaultList {
    /// The file's name.
    pub name: String,
    /// The first faults, in the order of the file.
    pub shown: Vec<Fault>,
    /// How many there are in all.
    pub total: usize,
}

impl FaultList {
    pub(crate) fn new(name: &str) -> Self {
        Self { name: name.to_owned(), shown: Vec::new(), total: 0 }
    }

    /// Counts a fault; it is made only where there is room to show it.
    pub(crate) fn add(&mut self, fault: impl FnOnce() -> Fault) {
        if self.shown.len() < FAULTS_SHOWN_MAX {
            self.shown.push(fault());
        }
        self.total += 1;
    }

    pub(crate) fn or_ok(self) -> Result<(), FeedError> {
        if self.total == 0 { Ok(()) } else { Err(FeedError::Faults(self)) }
    }
}

impl fmt::Display for FaultList {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; nothing was imported", self.name, counted(self.total, "fault"))?;
        for fault in &self.shown {
            write!(f, "\n  {fault}")?;
        }
        if self.total > self.shown.len() {
            write!(f, "\n  and {} more", self.total - self.shown.len())?;
        }
        Ok(())
    }
}

/// A column whose unit nobody told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitQuestion {
    /// The column's name.
    pub column: String,
    /// The option that answers, with its words: `--temperature c|f`.
    pub option: String,
    /// A name that would carry the unit: `tmin_c`.
    pub example: &'static str,
}

/// Why a weather file was refused. Each variant is a rule of the readers; in every case nothing is imported.
#[derive(Debug, thiserror::Error)]
pub enum FeedError {
    /// The bytes could not be had.
    #[error("{name}: reading stopped: {source}. Try the file again, or copy it to this computer first")]
    Unreadable {
        /// The file's name.
        name: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file has at most [`BYTES_MAX`] bytes.
    #[error("{name}: more than {} MiB. Allowed: up to {} MiB. Try one station, or fewer years", BYTES_MAX >> 20, BYTES_MAX >> 20)]
    TooLarge {
        /// The file's name.
        name: String,
    },
    /// A file has at most [`crate::ROWS_MAX`] rows (in the long form of GHCN-Daily, [`crate::ELEMENT_ROWS_MAX`]).
    #[error(
        "{name}: more than {limit} rows, at line {line}. Allowed: up to {limit} rows. Try one station, or fewer years"
    )]
    TooManyRows {
        /// The file's name.
        name: String,
        /// The limit that was passed.
        limit: usize,
        /// The line at which it was passed.
        line: u64,
    },
    /// Packed files are not unpacked.
    #[error(
        "{name}: the file is packed ({kind}), at its first bytes. Allowed: plain text. Try unpacking it, or saving it as CSV"
    )]
    Packed {
        /// The file's name.
        name: String,
        /// What it was packed as.
        kind: &'static str,
    },
    /// Text is UTF-8.
    #[error(
        "{name}, line {line}: byte 0x{byte:02x} is not UTF-8 text. Allowed: UTF-8. Try saving the file as \"CSV UTF-8\""
    )]
    NotUtf8 {
        /// The file's name.
        name: String,
        /// The line of the first such byte.
        line: usize,
        /// The byte.
        byte: u8,
    },
    /// A file has at least one day of readings.
    #[error(
        "{name}: no day of readings was found in {rows_read} rows. Allowed: a header line and at least one row with a value. {hint}"
    )]
    NoDays {
        /// The file's name.
        name: String,
        /// Rows seen.
        rows_read: usize,
        /// What to try.
        hint: &'static str,
    },
    /// A row says its day: a `date` column, or `year`, `month` and `day`.
    #[error(
        "{name}, line {line}: no column tells the date; seen: {columns}. Allowed: a column named date, or three named year, month \
         and day; one row a day. Try renaming the column"
    )]
    NoDateColumn {
        /// The file's name.
        name: String,
        /// The header's line.
        line: u64,
        /// The columns seen.
        columns: String,
    },
    /// At least one column is weather.
    #[error(
        "{name}, line {line}: no column is weather Toft knows; seen: {columns}. Allowed: {}. Try renaming the columns",
        crate::header::KNOWN_NAMES
    )]
    NoWeatherColumn {
        /// The file's name.
        name: String,
        /// The header's line.
        line: u64,
        /// The columns seen.
        columns: String,
    },
    /// One column a quantity.
    #[error(
        "{name}, line {line}: columns \"{first}\" and \"{second}\" both tell {quantity}. Allowed: one column for it. Try removing or \
         renaming the one that should not count"
    )]
    TwoColumns {
        /// The file's name.
        name: String,
        /// The header's line.
        line: u64,
        /// What both tell.
        quantity: &'static str,
        /// The first column.
        first: String,
        /// The second column.
        second: String,
    },
    /// A unit is told by the column's name or by the user, never guessed.
    #[error("{name}, line {line}: {}", asked(.questions))]
    UnitUnknown {
        /// The file's name.
        name: String,
        /// The header's line.
        line: u64,
        /// One question a column.
        questions: Vec<UnitQuestion>,
    },
    /// A hint is in its range.
    #[error(
        "{name}: {option} {value} is out of range. Allowed: {allowed}. Try the height of the gauge above the ground"
    )]
    HintOutOfRange {
        /// The file's name.
        name: String,
        /// The hint.
        option: &'static str,
        /// The value seen.
        value: f64,
        /// The allowed range.
        allowed: String,
    },
    /// Where the year stands last, the file itself shows which of the other two is the month: a number above 12 in one place only.
    #[error(
        "{name}, line {line}, column \"{column}\": \"{value}\" may be month/day or day/month, and {why}. Allowed: dates a reader \
         can't mistake. Try writing them as yyyy-mm-dd"
    )]
    DateOrder {
        /// The file's name.
        name: String,
        /// The first such line.
        line: u64,
        /// The date column.
        column: String,
        /// The value on that line.
        value: String,
        /// What the file showed.
        why: &'static str,
    },
    /// One decimal mark in a file.
    #[error(
        "{name}: a decimal comma on line {comma_line} and a decimal point on line {point_line}. Allowed: one of the two in the whole \
         file. Try saving it with points"
    )]
    MixedDecimals {
        /// The file's name.
        name: String,
        /// First line with a comma.
        comma_line: u64,
        /// First line with a point.
        point_line: u64,
    },
    /// Every cell is readable and in its physical range.
    #[error("{0}")]
    Faults(FaultList),
    /// A whole column is possible in the unit it is said to be in.
    #[error("{name}, column \"{column}\": {seen}. Allowed: {allowed}. {hint}")]
    Implausible {
        /// The file's name.
        name: String,
        /// The column.
        column: String,
        /// What was seen.
        seen: String,
        /// What is possible.
        allowed: &'static str,
        /// What to try.
        hint: String,
    },
    /// A day stands once; the same row twice collapses, two different rows are refused.
    #[error(
        "{name}: different readings stand for the same date, on {}: {}. Allowed: one row a date. Try removing the rows that \
         don't count, or keeping one station",
        counted(*.total, "date"), dated(.dates, *.total)
    )]
    Contradiction {
        /// The file's name.
        name: String,
        /// The first such dates, with the line of the second row.
        dates: Vec<(Date, u64)>,
        /// How many there are.
        total: usize,
    },
    /// One station a file.
    #[error(
        "{name}, line {line}: station \"{second}\" follows \"{first}\". Allowed: one station a file. Try a file of one station"
    )]
    SeveralStations {
        /// The file's name.
        name: String,
        /// The line where the second begins.
        line: u64,
        /// The first station.
        first: String,
        /// The second station.
        second: String,
    },
    /// A GHCN-Daily file has its columns.
    #[error(
        "{name}, line {line}: not a GHCN-Daily file; seen: \"{seen}\". Allowed: {allowed}. Try reading it as a plain CSV"
    )]
    NotGhcn {
        /// The file's name.
        name: String,
        /// The line.
        line: u64,
        /// What stands there.
        seen: String,
        /// What should.
        allowed: &'static str,
    },
    /// A file that begins like JSON is JSON.
    #[error(
        "{name}, line {line}, column {column}: not whole JSON: {detail}. Allowed: a whole document. Try fetching it again"
    )]
    NotJson {
        /// The file's name.
        name: String,
        /// The line.
        line: usize,
        /// The column.
        column: usize,
        /// What the reader said.
        detail: String,
    },
    /// A JSON document is one of the forecasts that are read.
    #[error(
        "{name}: not a forecast Toft reads; seen: {seen}. Allowed: the gridpoint or forecast document of the National Weather Service, \
         MET Norway's locationforecast, or a CSV. Try one of these"
    )]
    NotForecast {
        /// The file's name.
        name: String,
        /// Its outermost names.
        seen: String,
    },
    /// A forecast says the day it was issued.
    #[error(
        "{name}, line {line}: nothing tells the day of issue. Allowed: a column named issued, or --issued YYYY-MM-DD. Try adding one"
    )]
    NoIssueDay {
        /// The file's name.
        name: String,
        /// The header's line.
        line: u64,
    },
    /// A column of a forecast has one of the names that are known.
    #[error("{name}, line {line}: column \"{column}\" is not known. Allowed: {allowed}. Try renaming or removing it")]
    UnknownColumn {
        /// The file's name.
        name: String,
        /// The header's line.
        line: u64,
        /// The column.
        column: String,
        /// The names.
        allowed: String,
    },
    /// Values of a GHCN-Daily file are whole tenths.
    #[error(
        "{name}, line {line}, column \"{column}\": \"{value}\" is not a whole number of tenths, so the file was ordered in other \
         units. Allowed: whole numbers. Try reading it as a plain CSV, with the units it was ordered in (--temperature {t}, --depth {d}, \
         --wind {w})",
        t = crate::TemperatureUnit::WORDS, d = crate::DepthUnit::WORDS, w = crate::WindUnit::WORDS
    )]
    NotTenths {
        /// The file's name.
        name: String,
        /// The line.
        line: u64,
        /// The element.
        column: String,
        /// The value seen.
        value: String,
    },
}

/// Refuses a row beyond the limit.
pub(crate) fn row_limit(name: &str, rows: usize, limit: usize, line: u64) -> Result<(), FeedError> {
    if rows > limit { Err(FeedError::TooManyRows { name: name.to_owned(), limit, line }) } else { Ok(()) }
}

/// A count with its noun: "1 cell", "2 cells".
pub(crate) fn counted(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// Text of a file for a message: control characters out, at most 40 characters.
pub(crate) fn short(text: &str) -> String {
    let clean = |c: char| if c.is_control() { ' ' } else { c };
    let mut out: String = text.trim().chars().take(40).map(clean).collect();
    if text.trim().chars().nth(40).is_some() {
        out.push('…');
    }
    out
}

/// Column names for a message, at most 20.
pub(crate) fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let mut all: Vec<String> = names.map(|n| format!("\"{}\"", short(n))).collect();
    let more = all.len().saturating_sub(20);
    all.truncate(20);
    if more > 0 {
        all.push(format!("and {more} more"));
    }
    all.join(", ")
}

fn asked(questions: &[UnitQuestion]) -> String {
    let each: Vec<String> = questions
        .iter()
        .map(|q| {
            format!("column \"{}\" doesn't say its unit. Try {}, or a name like {}", q.column, q.option, q.example)
        })
        .collect();
    each.join("; ")
}

fn dated(dates: &[(Date, u64)], total: usize) -> String {
    let mut each: Vec<String> = dates.iter().map(|(d, line)| format!("{d} (line {line})")).collect();
    if total > dates.len() {
        each.push(format!("and {} more", total - dates.len()));
    }
    each.join(", ")
}

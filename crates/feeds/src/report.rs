//! What was read, and what a reader of the record should know about it.

use jiff::civil::Date;
use reckon::units::{Celsius, MegajoulesPerSquareMetre, Metres, MetresPerSecond, Millimetres, Percent};
use yard::{WeatherDay, WeatherRecord};

use crate::FeedError;
use crate::bounds::{QUANTITIES, Quantity};
use crate::error::FAULTS_SHOWN_MAX;

/// A file that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Import {
    /// The days.
    pub record: WeatherRecord,
    /// What was found, left out and missing.
    pub report: Report,
}

/// What was found in a file, left out of it and missing from it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// Rows of data in the file (for `.dly`, months of one element).
    pub rows_read: usize,
    /// Days in the record.
    pub days: usize,
    /// First day.
    pub first: Option<Date>,
    /// Last day.
    pub last: Option<Date>,
    /// Dates that stood more than once with the same readings, and now stand once.
    pub duplicates: Vec<Date>,
    /// Runs of days without a row: first and last day missing.
    pub gaps: Vec<(Date, Date)>,
    /// Days of the record without a value, for each column that was read.
    pub missing: Vec<(String, usize)>,
    /// Sentences on what was assumed, left out or looks odd.
    pub notes: Vec<String>,
}

/// A day's readings by quantity, in SI.
pub(crate) type Readings = [Option<f64>; QUANTITIES];

/// One day on its way into a record.
#[derive(Clone, Debug)]
pub(crate) struct DayRow {
    pub(crate) line: u64,
    pub(crate) date: Date,
    pub(crate) readings: Readings,
}

/// Orders the days, collapses those that stand twice with the same readings and refuses those that contradict.
pub(crate) fn settle(name: &str, mut rows: Vec<DayRow>) -> Result<(Vec<DayRow>, Vec<Date>), FeedError> {
    rows.sort_by_key(|r| (r.date, r.line));
    let (mut kept, mut duplicates): (Vec<DayRow>, Vec<Date>) = (Vec::with_capacity(rows.len()), Vec::new());
    let mut clashes: Vec<(Date, u64)> = Vec::new();
    for row in rows {
        match kept.last() {
            Some(last) if last.date == row.date && last.readings == row.readings => {
                if duplicates.last() != Some(&row.date) {
                    duplicates.push(row.date);
                }
            }
            Some(last) if last.date == row.date => {
                if clashes.last().is_none_or(|(date, _)| *date != row.date) {
                    clashes.push((row.date, row.line));
                }
            }
            _ => kept.push(row),
        }
    }
    if clashes.is_empty() {
        return Ok((kept, duplicates));
    }
    let total = clashes.len();
    clashes.truncate(FAULTS_SHOWN_MAX);
    Err(FeedError::Contradiction { name: name.to_owned(), dates: clashes, total })
}

/// The report on settled days; `columns` are those that were read.
pub(crate) fn report(
    rows_read: usize,
    days: &[DayRow],
    duplicates: Vec<Date>,
    columns: &[(Quantity, String)],
    notes: Vec<String>,
) -> Report {
    let gaps = days
        .windows(2)
        .filter_map(|pair| {
            // A pair of dates in 1850..=2100 has neighbours.
            let (after, before) = (pair[0].date.tomorrow().ok()?, pair[1].date.yesterday().ok()?);
            (after <= before).then_some((after, before))
        })
        .collect();
    let missing = columns
        .iter()
        .map(|(quantity, column)| {
            (column.clone(), days.iter().filter(|d| d.readings[*quantity as usize].is_none()).count())
        })
        .collect();
    Report {
        rows_read,
        days: days.len(),
        first: days.first().map(|d| d.date),
        last: days.last().map(|d| d.date),
        duplicates,
        gaps,
        missing,
        notes,
    }
}

/// The day as the rest of Toft knows it; `wind_height_m` stands for a day with wind and no height of its own.
pub(crate) fn weather_day(row: &DayRow, wind_height_m: Option<f64>) -> WeatherDay {
    let of = |q: Quantity| row.readings[q as usize];
    let wind = of(Quantity::Wind);
    WeatherDay {
        date: row.date,
        tmin: of(Quantity::Tmin).map(Celsius::new),
        tmax: of(Quantity::Tmax).map(Celsius::new),
        rain: of(Quantity::Rain).map(Millimetres::new),
        wind: wind.map(MetresPerSecond::new),
        wind_height: wind.and(of(Quantity::WindHeight).or(wind_height_m)).map(Metres::new),
        humidity_mean: of(Quantity::HumidityMean).map(Percent::new),
        humidity_min: of(Quantity::HumidityMin).map(Percent::new),
        humidity_max: of(Quantity::HumidityMax).map(Percent::new),
        dew_point: of(Quantity::DewPoint).map(Celsius::new),
        solar: of(Quantity::Solar).map(MegajoulesPerSquareMetre::new),
        et0: of(Quantity::Et0).map(Millimetres::new),
    }
}

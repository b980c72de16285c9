#![doc = include_str!("../README.md")]

use std::io::Read;

mod bounds;
mod csv_days;
mod dates;
mod error;
mod forecast;
mod ghcn;
mod ghcn_csv;
mod ghcn_dly;
mod header;
mod intake;
mod plausible;
mod report;
mod units;

pub use error::{FAULTS_SHOWN_MAX, Fault, FaultList, FeedError, UnitQuestion};
pub use forecast::{FORECAST_DAYS_MAX, ForecastFile, ForecastHints, SERIES_MAX, read_forecast};
pub use intake::BYTES_MAX;
pub use report::{Import, Report};
pub use units::{CsvHints, DepthUnit, TemperatureUnit, UnitWord, WindUnit};

/// Most rows a file may hold where a row is a day (CSV) or a month (`.dly`): five centuries of days, or a long station with
/// every element it measured.
pub const ROWS_MAX: usize = 200_000;

/// Most rows a long-form GHCN-Daily CSV may hold, where a row is one element of one day.
pub const ELEMENT_ROWS_MAX: usize = 2_000_000;

/// Reads a CSV of daily weather: a header, then one row a day.
///
/// Columns are found by name whatever their case and punctuation: `date` (or `year`, `month`, `day`), lowest and highest
/// temperature, rain or precipitation, wind, relative humidity (mean, lowest, highest), dew point, solar radiation, reference
/// evapotranspiration, height of the wind gauge. The unit stands at the end of the name (`tmin_c`, `TMIN (°F)`, `rain mm`) or
/// comes from `hints`; a unit in the name goes before a hint. Dates: `yyyy-mm-dd`, `yyyy/mm/dd`, `yyyymmdd`, and day and month
/// before the year where the file itself shows which is which. Fields are parted by comma, semicolon or tab; a decimal comma is
/// read where the comma doesn't part fields.
///
/// # Errors
/// See [`FeedError`]; the variants are the rules.
///
/// # Examples
/// ```
/// let file = "date,tmin_c,tmax_c,precip_in\n2024-06-01,11.5,24.0,0.25\n";
/// let import = feeds::read_csv("june.csv", file.as_bytes(), &feeds::CsvHints::default())?;
/// assert_eq!(import.record.days[0].rain.map(|r| r.get()), Some(6.35));
/// # Ok::<(), feeds::FeedError>(())
/// ```
pub fn read_csv(name: &str, input: impl Read, hints: &CsvHints) -> Result<Import, FeedError> {
    csv_days::read(name, &intake::read_text(name, input)?, hints)
}

/// Reads a GHCN-Daily station file in CSV, in either published layout.
///
/// *Long form* (one element of one day a row; with or without its header): station, date `yyyymmdd`, element, value, measurement
/// flag, quality flag, source flag, time of observation. *Wide form* (one day a row): `STATION`, `DATE`, `LATITUDE`,
/// `LONGITUDE`, `ELEVATION`, `NAME`, then each element and its `_ATTRIBUTES` (the same flags, parted by commas).
///
/// `TMAX`, `TMIN` (tenths of °C), `PRCP` (tenths of mm) and `AWND` (tenths of m/s) are taken; the others are named in the notes.
/// `-9999` is missing. A value with a quality flag failed the publisher's check: it is dropped and counted. A trace of rain
/// (measurement flag `T`) counts as 0. The height of the wind gauge is not in the file.
///
/// # Errors
/// See [`FeedError`]; among them [`FeedError::NotTenths`] for a file of the same columns that was ordered in other units.
///
/// # Source
/// NOAA National Centers for Environmental Information, *readme.txt* of GHCN-Daily, section III (elements, units, flags), and
/// *readme-by_station.txt* (order of the long form).
pub fn read_ghcn_csv(name: &str, input: impl Read) -> Result<Import, FeedError> {
    ghcn_csv::read(name, &intake::read_text(name, input)?)
}

/// Reads a GHCN-Daily station file in fixed columns (`.dly`): one line a month and element.
///
/// | columns | what |
/// | --- | --- |
/// | 1–11 | station |
/// | 12–15, 16–17 | year, month |
/// | 18–21 | element |
/// | 22–26, 27, 28, 29 | first day: value, measurement flag, quality flag, source flag |
/// | … | 8 columns a day |
/// | 262–269 | 31st day |
///
/// Elements, units and flags are those of [`read_ghcn_csv`].
///
/// # Errors
/// See [`FeedError`].
///
/// # Source
/// NOAA National Centers for Environmental Information, *readme.txt* of GHCN-Daily, section III, "Format of data files".
pub fn read_ghcn_dly(name: &str, input: impl Read) -> Result<Import, FeedError> {
    ghcn_dly::read(name, &intake::read_text(name, input)?)
}

/// Reads a weather file in whichever of the formats its first line shows; a file that shows none is read as a CSV.
///
/// A CSV with the element names of GHCN-Daily but neither coordinates nor flags may be in any unit, so it is read as a plain CSV,
/// which asks.
///
/// # Errors
/// See [`FeedError`].
pub fn read_any(name: &str, input: impl Read, hints: &CsvHints) -> Result<Import, FeedError> {
    let text = intake::read_text(name, input)?;
    let first = text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
    if ghcn_dly::fits(first) {
        ghcn_dly::read(name, &text)
    } else if ghcn_csv::fits(first) {
        ghcn_csv::read(name, &text)
    } else {
        csv_days::read(name, &text, hints)
    }
}

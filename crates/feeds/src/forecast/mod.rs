//! Forecasts in: a plain CSV, and the JSON documents of open public weather services.

use std::io::Read;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use yard::{Forecast, ForecastDay};

use crate::bounds::{Bounds, Quantity};
use crate::error::{Fault, FaultList};
use crate::{FeedError, intake};

mod csv;
mod daily;
mod json;
mod met;
mod nws;

/// Most days a forecast may tell of after its day of issue.
pub const FORECAST_DAYS_MAX: i64 = 16;

/// Most values one series of a JSON document may have: sixteen days by the hour and as much again.
pub const SERIES_MAX: usize = 1_000;

/// Chance of rain, as every file must have it.
const CHANCE: Bounds = Bounds { words: "chance of rain", min: 0.0, max: 100.0, unit: "%" };

/// What the user tells about a forecast file.
#[derive(Clone, Debug)]
pub struct ForecastHints {
    /// Day of issue of a CSV without that column.
    pub issued: Option<Date>,
    /// The yard's time zone: a service's hours are laid on its days.
    pub time_zone: TimeZone,
}

/// A forecast file that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ForecastFile {
    /// The forecasts in it, by day of issue.
    pub forecasts: Vec<Forecast>,
    /// `csv`, `nws-gridpoint`, `nws-periods`, `met-locationforecast`.
    pub format: &'static str,
    /// Sentences on what was left out.
    pub notes: Vec<String>,
}

/// Reads a forecast in whichever of the formats it shows.
///
/// *CSV*: a header and one row a day. Columns, in any order: `date`; `issued` (or [`ForecastHints::issued`]); `low_c` or `low_f`; `high_c` or
/// `high_f`; `rain_mm` or `rain_in` (rain, if it rains); `chance_pct`; `humidity_pct`; `wind_ms`, `wind_kmh`, `wind_mph` or `wind_kn`;
/// `wind_height_m`. Dates are `yyyy-mm-dd`; a blank is not told. A file may hold many days of issue.
///
/// *National Weather Service of the United States*, its open API: the gridpoint document (`properties.maxTemperature`,
/// `minTemperature`, `quantitativePrecipitation`, `probabilityOfPrecipitation`, `relativeHumidity`, `windSpeed`, each a `uom` and `values` of
/// `validTime` (ISO 8601 start and duration) and `value`), and the forecast document (`properties.periods`, twelve hours each; it tells no
/// amounts of rain).
///
/// *MET Norway*, locationforecast 2.0 complete (`properties.timeseries`, `data.instant`, `next_1_hours`, `next_6_hours`). Its compact form
/// lacks the chance of rain and is read as far as it goes.
///
/// Hours are laid on the days of the yard's time zone. Rain and humidity of a day are told where the document covers three quarters of it;
/// the day of issue counts from the hour of issue. Of several chances in a day the highest counts: their joint chance is no smaller.
///
/// # Errors
/// See [`FeedError`]: a file with a fault gives no forecast at all.
///
/// # Source
/// NWS API documentation, *Gridpoints* and its discussion (run-length encoding, accumulations kept apart: weather-gov/api discussions 20,
/// 21, 111); MET Norway, *General forecast JSON format* and *Locationforecast* (developer.yr.no, api.met.no).
///
/// # Examples
/// ```
/// let file = "issued,date,low_c,high_c,rain_mm,chance_pct\n2026-06-01,2026-06-01,12,27,6,70\n2026-06-01,2026-06-02,11,24,,20\n";
/// let hints = feeds::ForecastHints { issued: None, time_zone: jiff::tz::TimeZone::UTC };
/// let read = feeds::read_forecast("june.csv", file.as_bytes(), &hints)?;
/// assert_eq!(read.forecasts[0].days[0].chance.map(|c| c.get()), Some(70.0));
/// # Ok::<(), feeds::FeedError>(())
/// ```
pub fn read_forecast(name: &str, input: impl Read, hints: &ForecastHints) -> Result<ForecastFile, FeedError> {
    let text = intake::read_text(name, input)?;
    if !text.trim_start().starts_with('{') {
        return csv::read(name, &text, hints);
    }
    let document: serde_json::Value = serde_json::from_str(&text).map_err(|e| FeedError::NotJson {
        name: name.to_owned(),
        line: e.line(),
        column: e.column(),
        detail: e.to_string(),
    })?;
    let properties = &document["properties"];
    if properties["timeseries"].is_array() {
        met::read(name, properties, hints)
    } else if properties["periods"].is_array() {
        nws::read_periods(name, properties, hints)
    } else if properties["maxTemperature"].is_object() {
        nws::read_gridpoint(name, properties, hints)
    } else {
        let seen = document.as_object().map(|o| o.keys().map(String::as_str).collect::<Vec<_>>());
        Err(FeedError::NotForecast {
            name: name.to_owned(),
            seen: crate::error::listed(seen.unwrap_or_default().into_iter()),
        })
    }
}

/// A figure in its range, or a fault.
fn within(bounds: &Bounds, value: f64, place: Place<'_>, faults: &mut FaultList) -> Option<f64> {
    if bounds.holds(value) {
        return Some(value);
    }
    faults.add(|| {
        Fault::new(
            place.line,
            place.column,
            place.raw,
            format!("is no {}", bounds.words),
            bounds.allowed(),
            "Check the figure and its unit",
        )
    });
    None
}

/// Where a figure stands: a line (0 in a JSON document), a column or path, and the figure as written.
#[derive(Clone, Copy)]
struct Place<'a> {
    line: u64,
    column: &'a str,
    raw: &'a str,
}

/// The ranges of a forecast's figures: those of readings.
fn bounds(quantity: Quantity) -> &'static Bounds {
    quantity.bounds()
}

/// The local day of a moment.
fn local_day(moment: Timestamp, zone: &TimeZone) -> Date {
    moment.to_zoned_datetime(zone.clone()).date()
}

/// Refuses days that contradict themselves or lie outside what a forecast can tell of.
fn check_day(issued: Date, day: &ForecastDay, line: u64, faults: &mut FaultList) {
    let lead = issued.until(day.date).map_or(i64::MAX, |span| i64::from(span.get_days()));
    if !(0..=FORECAST_DAYS_MAX).contains(&lead) {
        faults.add(|| {
            Fault::new(
                line,
                "date",
                &day.date.to_string(),
                format!("is {lead} days after the day of issue, {issued}"),
                format!("0 to {FORECAST_DAYS_MAX} days after it"),
                "Check both dates",
            )
        });
    }
    if let (Some(low), Some(high)) = (day.low, day.high)
        && low > high
    {
        faults.add(|| {
            Fault::new(
                line,
                "low",
                &format!("{:.1}", low.get()),
                format!("is above the day's high, {:.1} °C ({})", high.get(), day.date),
                "a low no higher than the high",
                "Swap the two, or leave one blank",
            )
        });
    }
}

//! Whole columns against their unit: a file in another unit shows in its middle and its extremes long before a single value is impossible.
//!
//! An error only where no place with a lawn has such a column; a note where it is merely odd. The thresholds are Toft's own, set
//! far outside the climates people live in.

use crate::FeedError;
use crate::bounds::Quantity;
use crate::units::{DepthUnit, TemperatureUnit, Unit, WindUnit};

/// Fewest values a column is judged by.
const VALUES_MIN: usize = 10;

/// Fewest values that hold every season.
pub(crate) const YEAR_MIN: usize = 330;

/// One column in SI, out-of-range values included.
pub(crate) struct Column<'a> {
    pub(crate) file: &'a str,
    pub(crate) name: &'a str,
    pub(crate) quantity: Quantity,
    pub(crate) unit: Unit,
    pub(crate) values: Vec<f64>,
}

/// Refuses a column that can't be in its unit; gives back a sentence where it is only odd.
pub(crate) fn judge(column: Column<'_>) -> Result<Option<String>, FeedError> {
    use Quantity::*;
    let Column { file, name, quantity, unit, mut values } = column;
    if values.len() < VALUES_MIN {
        return Ok(None);
    }
    values.sort_by(f64::total_cmp);
    let (median, max) = (values[values.len() / 2], values[values.len() - 1]);
    let yearly = values.iter().sum::<f64>() / values.len() as f64 * 365.25;
    let years = values.len() >= YEAR_MIN;
    let symbol = unit.symbol();
    let refuse = |seen: String, allowed: &'static str, hint: &str| {
        Err(FeedError::Implausible {
            name: file.to_owned(),
            column: crate::error::short(name),
            seen,
            allowed,
            hint: hint.to_owned(),
        })
    };
    match (quantity, unit) {
        (Tmin | Tmax | DewPoint, Unit::Temperature(TemperatureUnit::Celsius)) if median > 150.0 => refuse(
            format!("the middle value is {median:.1} as {symbol}"),
            "a middle value up to 45 °C",
            "The values may be kelvin or tenths: try converting the column to °C",
        ),
        (Tmax, Unit::Temperature(TemperatureUnit::Celsius)) if median > 45.0 => refuse(
            format!("the middle value is {median:.1} as {symbol}"),
            "a middle value up to 45 °C",
            "The values look like °F: try --temperature f, or _f at the end of the column's name",
        ),
        (Tmin, Unit::Temperature(TemperatureUnit::Celsius)) if median > 38.0 => refuse(
            format!("the middle value is {median:.1} as {symbol}"),
            "a middle value up to 38 °C",
            "The values look like °F: try --temperature f, or _f at the end of the column's name",
        ),
        (Tmax, Unit::Temperature(TemperatureUnit::Fahrenheit)) if years && max < 10.0 => refuse(
            format!("the warmest of {} days is {:.1} as {symbol}", values.len(), max * 1.8 + 32.0),
            "a warmest day of a year from 50 °F",
            "The values look like °C: try --temperature c, or _c at the end of the column's name",
        ),
        (Rain, Unit::Depth(DepthUnit::Inches)) if years && yearly > 13_000.0 => refuse(
            format!("a year has {:.0} as {symbol}", yearly / 25.4),
            "up to 510 in a year",
            "The values look like mm: try --depth mm, or _mm at the end of the column's name",
        ),
        (Wind, Unit::Wind(WindUnit::MetresPerSecond)) if median > 20.0 => refuse(
            format!("the middle value is {median:.1} as {symbol}"),
            "a middle value up to 20 m/s",
            "The values look like km/h or mph: try --wind kmh or --wind mph, or the unit at the end of the column's name",
        ),
        (HumidityMean | HumidityMin | HumidityMax, _) if max <= 1.0 && max > 0.0 => refuse(
            format!("the largest value is {max} as {symbol}"),
            "percent, 0 to 100",
            "The values look like shares of one: try multiplying the column by 100",
        ),
        (Solar, Unit::Megajoules) if median > 50.0 => refuse(
            format!("the middle value is {median:.0} as {symbol}"),
            "a middle value up to 50 MJ/m²",
            "The values look like W/m²: try the mean of 24 hours times 0.0864",
        ),
        (Rain, Unit::Depth(DepthUnit::Inches)) if years && yearly > 5_000.0 => Ok(Some(format!(
            "Column \"{name}\" sums to {:.0} in a year, which is rare: if the values are mm, say --depth mm or rename the column.",
            yearly / 25.4
        ))),
        (Rain, Unit::Depth(DepthUnit::Millimetres)) if years && yearly < 100.0 && max < 25.0 => Ok(Some(format!(
            "Column \"{name}\" sums to {yearly:.0} mm a year with {max:.1} mm on the wettest day, which is rare: if the values are inches, \
             say --depth in or rename the column."
        ))),
        (Wind, Unit::Wind(WindUnit::MetresPerSecond)) if median > 10.0 => Ok(Some(format!(
            "Column \"{name}\" has {median:.1} m/s on the middle day, which is rare: if the values are km/h or mph, say --wind kmh or \
             --wind mph, or rename the column."
        ))),
        _ => Ok(None),
    }
}

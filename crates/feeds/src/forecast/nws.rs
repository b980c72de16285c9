//! The open API of the National Weather Service of the United States.

use std::collections::BTreeMap;

use jiff::civil::Date;
use jiff::{Span, Timestamp};
use reckon::units::{Celsius, MetresPerSecond, Millimetres, Percent, factor, from_fahrenheit};
use serde_json::Value;
use yard::{Forecast, ForecastDay};

use super::daily::{Stretch, highest, means, totals};
use super::json::{fault, moment, number};
use super::{CHANCE, ForecastFile, ForecastHints, Place, SERIES_MAX, bounds, check_day, local_day, within};
use crate::FeedError;
use crate::bounds::{Bounds, Quantity};
use crate::error::FaultList;

/// Units by the ending of their name in the WMO's code registry, and what makes them SI.
type IntoSi = fn(f64) -> f64;
const UNITS: &[(&str, IntoSi)] = &[
    ("degC", |x| x),
    ("degF", |x| from_fahrenheit(x).get()),
    ("mm", |x| x),
    ("percent", |x| x),
    ("km_h-1", |x| x / 3.6),
    ("m_s-1", |x| x),
];

/// The gridpoint document.
pub(super) fn read_gridpoint(name: &str, properties: &Value, hints: &ForecastHints) -> Result<ForecastFile, FeedError> {
    let zone = &hints.time_zone;
    let mut faults = FaultList::new(name);
    let updated = moment(&properties["updateTime"], "properties.updateTime", &mut faults);
    let mut layer = |field: &str, range: &Bounds, units: &[&str]| series(properties, field, range, units, &mut faults);
    let temperature = ["degC", "degF"];
    let highs = layer("maxTemperature", bounds(Quantity::Tmax), &temperature);
    let lows = layer("minTemperature", bounds(Quantity::Tmin), &temperature);
    let rain = layer("quantitativePrecipitation", bounds(Quantity::Rain), &["mm"]);
    let chance = layer("probabilityOfPrecipitation", &CHANCE, &["percent"]);
    let humidity = layer("relativeHumidity", bounds(Quantity::HumidityMean), &["percent"]);
    let wind = layer("windSpeed", bounds(Quantity::Wind), &["km_h-1", "m_s-1"]);
    faults.clone().or_ok()?;
    let Some(updated) = updated else { return faults.or_ok().and(Err(no_days(name))) };
    let issued = local_day(updated, zone);
    // What lies before the update is past.
    let ahead = |all: Vec<Stretch>| -> Vec<Stretch> {
        all.into_iter()
            .filter(|s| s.to > updated)
            .map(|s| {
                let from = s.from.max(updated);
                let share = (s.to.as_second() - from.as_second()) as f64
                    / (s.to.as_second() - s.from.as_second()).max(1) as f64;
                Stretch { from, value: s.value * share, ..s }
            })
            .collect()
    };
    let mut days = Days::default();
    for s in &highs {
        days.at(s.middle(zone)).high = Some(Celsius::new(s.value));
    }
    for s in &lows {
        days.at(s.middle(zone)).low = Some(Celsius::new(s.value));
    }
    for (date, mm) in totals(&ahead(rain), zone, issued) {
        days.at(date).rain = Some(Millimetres::new(mm));
    }
    let coming: Vec<Stretch> = chance.into_iter().filter(|s| s.to > updated).collect();
    for (date, pct) in highest(&coming, zone) {
        days.at(date).chance = Some(Percent::new(pct));
    }
    for (date, pct) in means(&humidity, zone) {
        days.at(date).humidity = Some(Percent::new(pct));
    }
    for (date, ms) in means(&wind, zone) {
        days.at(date).wind = Some(MetresPerSecond::new(ms));
    }
    days.file(name, issued, "nws-gridpoint", Vec::new(), faults)
}

/// The forecast document: twelve-hour periods.
pub(super) fn read_periods(name: &str, properties: &Value, hints: &ForecastHints) -> Result<ForecastFile, FeedError> {
    let zone = &hints.time_zone;
    let mut faults = FaultList::new(name);
    let updated = moment(&properties["updateTime"], "properties.updateTime", &mut faults);
    let periods = properties["periods"].as_array().map_or(&[][..], Vec::as_slice);
    too_many(name, periods.len())?;
    let mut days = Days::default();
    let (mut chances, mut winds) = (Vec::new(), Vec::new());
    for (i, period) in periods.iter().enumerate() {
        let path = |field: &str| format!("properties.periods[{i}].{field}");
        let from = moment(&period["startTime"], &path("startTime"), &mut faults);
        let to = moment(&period["endTime"], &path("endTime"), &mut faults);
        let (Some(from), Some(to)) = (from, to) else { continue };
        let stretch = |value| Stretch { from, to, value };
        let unit = period["temperatureUnit"].as_str().unwrap_or_default();
        let at = path("temperature");
        if let Some(told) = number(&period["temperature"], &at, &mut faults) {
            let si = match unit {
                "F" => Some(from_fahrenheit(told).get()),
                "C" => Some(told),
                _ => {
                    fault(&mut faults, &path("temperatureUnit"), &period["temperatureUnit"], "is no unit", "F or C");
                    None
                }
            };
            let raw = told.to_string();
            let place = Place { line: 0, column: &at, raw: &raw };
            let si = si.and_then(|t| within(bounds(Quantity::Tmax), t, place, &mut faults)).map(Celsius::new);
            let day = days.at(stretch(0.0).middle(zone));
            match period["isDaytime"].as_bool() {
                Some(true) => day.high = si,
                // A night's low belongs to the morning it ends in.
                Some(false) => days.at(local_day(to, zone)).low = si,
                None => fault(&mut faults, &path("isDaytime"), &period["isDaytime"], "is missing", "true or false"),
            }
        }
        let at = path("probabilityOfPrecipitation.value");
        if let Some(pct) = number(&period["probabilityOfPrecipitation"]["value"], &at, &mut faults) {
            let raw = pct.to_string();
            chances.extend(within(&CHANCE, pct, Place { line: 0, column: &at, raw: &raw }, &mut faults).map(stretch));
        }
        winds.extend(period["windSpeed"].as_str().and_then(miles_an_hour).map(stretch));
    }
    faults.clone().or_ok()?;
    let Some(updated) = updated else { return Err(no_days(name)) };
    let issued = local_day(updated, zone);
    for (date, pct) in highest(&chances, zone) {
        days.at(date).chance = Some(Percent::new(pct));
    }
    for (date, mph) in means(&winds, zone) {
        days.at(date).wind = Some(MetresPerSecond::new(mph * factor::MS_PER_MPH));
    }
    let note = "This document tells no amounts of rain; the gridpoint document does.".to_owned();
    days.file(name, issued, "nws-periods", vec![note], faults)
}

/// "5 mph", "5 to 10 mph": the middle.
fn miles_an_hour(text: &str) -> Option<f64> {
    let numbers: Vec<f64> =
        text.strip_suffix("mph")?.split("to").map(|n| n.trim().parse().ok()).collect::<Option<_>>()?;
    Some(numbers.iter().sum::<f64>() / numbers.len() as f64)
}

/// One layer of the gridpoint document; none where it is missing.
fn series(properties: &Value, field: &str, range: &Bounds, units: &[&str], faults: &mut FaultList) -> Vec<Stretch> {
    let layer = &properties[field];
    if layer.is_null() {
        return Vec::new();
    }
    let uom = layer["uom"].as_str().unwrap_or_default();
    let ending = uom.rsplit(':').next().unwrap_or_default();
    let to_si = UNITS.iter().find(|(unit, _)| units.contains(unit) && *unit == ending).map(|(_, f)| f);
    let values = layer["values"].as_array().map_or(&[][..], Vec::as_slice);
    if values.is_empty() {
        return Vec::new();
    }
    let Some(to_si) = to_si else {
        let allowed = units.iter().map(|u| format!("wmoUnit:{u}")).collect::<Vec<_>>().join(" or ");
        fault(faults, &format!("properties.{field}.uom"), &layer["uom"], "is not a unit of it", &allowed);
        return Vec::new();
    };
    if values.len() > SERIES_MAX {
        let problem = format!("has {} values", values.len());
        fault(faults, &format!("properties.{field}.values"), &Value::Null, &problem, &format!("up to {SERIES_MAX}"));
        return Vec::new();
    }
    let mut out = Vec::with_capacity(values.len());
    for (i, item) in values.iter().enumerate() {
        let path = format!("properties.{field}.values[{i}].value");
        let Some(told) = number(&item["value"], &path, faults) else { continue };
        let raw = told.to_string();
        let place = Place { line: 0, column: &path, raw: &raw };
        let Some(value) = within(range, to_si(told), place, faults) else { continue };
        match item["validTime"].as_str().and_then(valid_time) {
            Some((from, to)) => out.push(Stretch { from, to, value }),
            None => {
                let path = format!("properties.{field}.values[{i}].validTime");
                fault(faults, &path, &item["validTime"], "is no stretch of time", "start/duration, as in ISO 8601");
            }
        }
    }
    out
}

/// `2026-06-01T06:00:00+00:00/PT3H`: start and end.
fn valid_time(text: &str) -> Option<(Timestamp, Timestamp)> {
    let (start, duration) = text.split_once('/')?;
    let from: Timestamp = start.parse().ok()?;
    let span: Span = duration.parse().ok()?;
    // A day is 24 hours on this line of time.
    let hours = i64::from(span.get_days()) * 24 + i64::from(span.get_hours());
    let to = from.checked_add(Span::new().try_hours(hours).ok()?.try_minutes(span.get_minutes()).ok()?).ok()?;
    (to > from).then_some((from, to))
}

pub(super) fn too_many(name: &str, count: usize) -> Result<(), FeedError> {
    if count > SERIES_MAX {
        return Err(FeedError::TooManyRows { name: name.to_owned(), limit: SERIES_MAX, line: 0 });
    }
    Ok(())
}

pub(super) fn no_days(name: &str) -> FeedError {
    let hint = "Fetch the document again";
    FeedError::NoDays { name: name.to_owned(), rows_read: 0, hint }
}

/// The days of a document on their way into a forecast.
#[derive(Default)]
pub(super) struct Days(BTreeMap<Date, ForecastDay>);

impl Days {
    pub(super) fn at(&mut self, date: Date) -> &mut ForecastDay {
        self.0.entry(date).or_insert_with(|| ForecastDay::blank(date))
    }

    /// The days from the day of issue on, as far as a forecast may tell.
    pub(super) fn file(
        self,
        name: &str,
        issued: Date,
        format: &'static str,
        notes: Vec<String>,
        mut faults: FaultList,
    ) -> Result<ForecastFile, FeedError> {
        let days: Vec<ForecastDay> = self.0.into_values().filter(|d| d.date >= issued).collect();
        if days.is_empty() {
            return Err(no_days(name));
        }
        for day in &days {
            check_day(issued, day, 0, &mut faults);
        }
        faults.or_ok()?;
        Ok(ForecastFile { forecasts: vec![Forecast { issued, source: name.to_owned(), days }], format, notes })
    }
}

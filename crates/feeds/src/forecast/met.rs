//! MET Norway's locationforecast.

use jiff::Timestamp;
use jiff::civil::Date;
use reckon::units::{Celsius, MetresPerSecond, Millimetres, Percent};
use serde_json::Value;

use super::daily::{Stretch, highest, means, totals};
use super::json::{fault, moment, number};
use super::nws::{Days, no_days, too_many};
use super::{CHANCE, ForecastFile, ForecastHints, Place, bounds, local_day, within};
use crate::FeedError;
use crate::bounds::{Bounds, Quantity};
use crate::error::FaultList;

/// Fields that are read and the unit the document must say they are in.
const UNITS: &[(&str, &str)] = &[
    ("air_temperature", "celsius"),
    ("air_temperature_max", "celsius"),
    ("air_temperature_min", "celsius"),
    ("precipitation_amount", "mm"),
    ("probability_of_precipitation", "%"),
    ("relative_humidity", "%"),
    ("wind_speed", "m/s"),
];
/// Last hour of the day of issue at whose first value the day's low can still be told, and its high.
const LOW_UNTIL_HOUR: i8 = 5;
const HIGH_UNTIL_HOUR: i8 = 13;
/// Seconds between two values beyond which nothing is told in between.
const GAP_MOST: i64 = 6 * 3600;

pub(super) fn read(name: &str, properties: &Value, hints: &ForecastHints) -> Result<ForecastFile, FeedError> {
    let zone = &hints.time_zone;
    let mut faults = FaultList::new(name);
    let updated = moment(&properties["meta"]["updated_at"], "properties.meta.updated_at", &mut faults);
    for (field, unit) in UNITS {
        let told = &properties["meta"]["units"][*field];
        if !told.is_null() && told != *unit {
            fault(&mut faults, &format!("properties.meta.units.{field}"), told, "is not the unit read", unit);
        }
    }
    let steps = properties["timeseries"].as_array().map_or(&[][..], Vec::as_slice);
    too_many(name, steps.len())?;
    let mut times: Vec<Timestamp> = Vec::with_capacity(steps.len());
    for (i, step) in steps.iter().enumerate() {
        times.extend(moment(&step["time"], &format!("properties.timeseries[{i}].time"), &mut faults));
    }
    if let Some(i) = times.windows(2).position(|pair| pair[0] >= pair[1]) {
        let path = format!("properties.timeseries[{}].time", i + 1);
        fault(&mut faults, &path, &steps[i + 1]["time"], "does not come after the one before", "moments in order");
    }
    faults.clone().or_ok()?;
    let (Some(updated), Some(first)) = (updated, times.first().copied()) else { return Err(no_days(name)) };
    let issued = local_day(updated, zone);
    let mut all = Series::default();
    for (i, step) in steps.iter().enumerate() {
        let gap = times.get(i + 1).map_or(0, |next| next.as_second() - times[i].as_second());
        all.take(step, i, times[i], gap, &mut faults);
    }
    faults.clone().or_ok()?;
    let mut days = Days::default();
    let hour = first.to_zoned_datetime(zone.clone()).hour();
    let whole = |date, until| date != local_day(first, zone) || hour <= until;
    let lowest = all.air.iter().map(|s| Stretch { value: -s.value, ..*s }).collect::<Vec<_>>();
    let covered = means(&all.air, zone);
    let told = |date: &Date| *date == issued || covered.contains_key(date);
    for (date, t) in highest(&all.air, zone).into_iter().filter(|(d, _)| told(d)) {
        if whole(date, HIGH_UNTIL_HOUR) {
            days.at(date).high = Some(Celsius::new(t));
        }
    }
    for (date, t) in highest(&lowest, zone).into_iter().filter(|(d, _)| told(d)) {
        if whole(date, LOW_UNTIL_HOUR) {
            days.at(date).low = Some(Celsius::new(-t));
        }
    }
    for (date, mm) in totals(&all.rain, zone, issued) {
        days.at(date).rain = Some(Millimetres::new(mm));
    }
    for (date, pct) in highest(&all.chance, zone) {
        days.at(date).chance = Some(Percent::new(pct));
    }
    for (date, pct) in means(&all.humidity, zone) {
        days.at(date).humidity = Some(Percent::new(pct));
    }
    for (date, ms) in means(&all.wind, zone) {
        days.at(date).wind = Some(MetresPerSecond::new(ms));
    }
    let mut notes = Vec::new();
    if all.chance.is_empty() {
        notes.push("This document tells no chances of rain; the complete form does.".to_owned());
    }
    days.file(name, issued, "met-locationforecast", notes, faults)
}

#[derive(Default)]
struct Series {
    air: Vec<Stretch>,
    rain: Vec<Stretch>,
    chance: Vec<Stretch>,
    humidity: Vec<Stretch>,
    wind: Vec<Stretch>,
}

impl Series {
    /// Takes the figures of one time, which stand until the next; rain from the hour where the next time is an hour off, else from the six
    /// hours.
    fn take(&mut self, step: &Value, i: usize, time: Timestamp, gap: i64, faults: &mut FaultList) {
        let until = |seconds: i64| Timestamp::from_second(time.as_second() + seconds).unwrap_or(time);
        let data = &step["data"];
        let mut read = |group: &str, field: &str, range: &Bounds| {
            let path = format!("properties.timeseries[{i}].data.{group}.details.{field}");
            let told = number(&data[group]["details"][field], &path, faults)?;
            let raw = told.to_string();
            within(range, told, Place { line: 0, column: &path, raw: &raw }, faults)
        };
        let here = gap.clamp(1, GAP_MOST);
        let now = |value| Stretch { from: time, to: until(here), value };
        self.air.extend(read("instant", "air_temperature", bounds(Quantity::Tmax)).map(now));
        self.humidity.extend(read("instant", "relative_humidity", bounds(Quantity::HumidityMean)).map(now));
        self.wind.extend(read("instant", "wind_speed", bounds(Quantity::Wind)).map(now));
        let six = |value| Stretch { from: time, to: until(6 * 3600), value };
        if gap > 3600 {
            // Between values six hours apart the extremes are told.
            self.air.extend(read("next_6_hours", "air_temperature_max", bounds(Quantity::Tmax)).map(six));
            self.air.extend(read("next_6_hours", "air_temperature_min", bounds(Quantity::Tmin)).map(six));
        }
        let (group, seconds) = if gap == 3600 { ("next_1_hours", 3600) } else { ("next_6_hours", 6 * 3600) };
        let ahead = |value| Stretch { from: time, to: until(seconds), value };
        // The last values of a document overlap: only those that end where the next begin count.
        if gap == seconds || gap == 0 {
            self.rain.extend(read(group, "precipitation_amount", bounds(Quantity::Rain)).map(ahead));
        }
        self.chance.extend(read(group, "probability_of_precipitation", &CHANCE).map(ahead));
        self.chance.extend(read("next_6_hours", "probability_of_precipitation", &CHANCE).map(six));
    }
}

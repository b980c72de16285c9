//! Hours laid on the days of a place.

use std::collections::BTreeMap;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};

/// A stretch of time with a figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub(super) from: Timestamp,
    pub(super) to: Timestamp,
    pub(super) value: f64,
}

impl Stretch {
    fn seconds(&self) -> f64 {
        (self.to.as_second() - self.from.as_second()) as f64
    }

    /// The parts of the stretch, each on its local day, as seconds.
    fn parts(&self, zone: &TimeZone) -> Vec<(Date, f64)> {
        let mut out = Vec::new();
        let mut from = self.from;
        while from < self.to {
            let date = from.to_zoned_datetime(zone.clone()).date();
            let Ok(next) = date.checked_add(1.day()).and_then(|d| d.to_zoned_datetime(zone.clone())) else { break };
            let to = next.timestamp().min(self.to);
            out.push((date, (to.as_second() - from.as_second()) as f64));
            if to <= from {
                break;
            }
            from = to;
        }
        out
    }

    /// The local day its middle lies on.
    pub(super) fn middle(&self, zone: &TimeZone) -> Date {
        let second = self.from.as_second() + (self.to.as_second() - self.from.as_second()) / 2;
        let middle = Timestamp::from_second(second).unwrap_or(self.from);
        middle.to_zoned_datetime(zone.clone()).date()
    }
}

/// Seconds of a day that must be told of for its total or mean to be told: three quarters.
const TOLD_SECONDS: f64 = 0.75 * 86_400.0;

/// Totals of each day: a stretch that crosses midnight is shared by its hours. Days told of in part are left out but the day of issue,
/// which counts from the hour of issue.
pub(super) fn totals(stretches: &[Stretch], zone: &TimeZone, issued: Date) -> BTreeMap<Date, f64> {
    shared(
        stretches,
        zone,
        issued,
        |stretch, seconds| stretch.value * seconds / stretch.seconds().max(1.0),
        |sum, _| sum,
    )
}

/// Means of each day that is told of for three quarters, by the hours told of.
pub(super) fn means(stretches: &[Stretch], zone: &TimeZone) -> BTreeMap<Date, f64> {
    shared(stretches, zone, Date::MIN, |stretch, seconds| stretch.value * seconds, |sum, told| sum / told.max(1.0))
}

fn shared(
    stretches: &[Stretch],
    zone: &TimeZone,
    issued: Date,
    part: impl Fn(&Stretch, f64) -> f64,
    close: impl Fn(f64, f64) -> f64,
) -> BTreeMap<Date, f64> {
    let mut days: BTreeMap<Date, (f64, f64)> = BTreeMap::new();
    for stretch in stretches {
        for (date, seconds) in stretch.parts(zone) {
            let day = days.entry(date).or_default();
            day.0 += part(stretch, seconds);
            day.1 += seconds;
        }
    }
    days.into_iter()
        .filter(|(date, (_, told))| *date == issued || *told >= TOLD_SECONDS)
        .map(|(date, (sum, told))| (date, close(sum, told)))
        .collect()
}

/// The highest figure of the stretches that touch each day.
pub(super) fn highest(stretches: &[Stretch], zone: &TimeZone) -> BTreeMap<Date, f64> {
    let mut days: BTreeMap<Date, f64> = BTreeMap::new();
    for stretch in stretches {
        for (date, _) in stretch.parts(zone) {
            let most = days.entry(date).or_insert(stretch.value);
            *most = most.max(stretch.value);
        }
    }
    days
}

//! GHCN-Daily in fixed columns: one line a month and element.

use jiff::civil::Date;

use crate::error::{Fault, row_limit, short};
use crate::ghcn::{Reading, Station, days_in_month, element, is_element, is_station};
use crate::report::Import;
use crate::{FeedError, ROWS_MAX};

/// Characters of a whole line.
const LINE_LEN: usize = 269;
/// Characters before the first day.
const HEAD_LEN: usize = 21;
/// Characters a day: value 5, three flags.
const DAY_LEN: usize = 8;

const ALLOWED: &str = "station (1-11), year (12-15), month (16-17), element (18-21), then 8 columns a day";

/// Whether a line is one of this format.
pub(crate) fn fits(line: &str) -> bool {
    line.len() > HEAD_LEN && line.is_ascii() && head(line).is_some()
}

fn head(line: &str) -> Option<(&str, i16, i8, &str)> {
    let (id, year, month, code) = (line.get(..11)?, line.get(11..15)?, line.get(15..17)?, line.get(17..21)?);
    let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    (is_station(id) && digits(year) && digits(month) && is_element(code))
        .then(|| Some((id, year.parse().ok()?, month.parse().ok()?, code)))
        .flatten()
}

pub(crate) fn read(name: &str, text: &str) -> Result<Import, FeedError> {
    let mut station = Station::new(name, "ghcn-dly");
    for (i, line) in text.lines().enumerate() {
        let number = i as u64 + 1;
        if line.trim().is_empty() {
            continue;
        }
        station.rows_read += 1;
        row_limit(name, station.rows_read, ROWS_MAX, number)?;
        let Some((id, year, month, code)) = head(line).filter(|_| line.is_ascii()) else {
            if station.rows_read == 1 {
                return Err(FeedError::NotGhcn {
                    name: name.to_owned(),
                    line: number,
                    seen: short(line),
                    allowed: ALLOWED,
                });
            }
            let hint = "Check that the file was copied whole";
            station.faults.add(|| Fault::new(number, "(whole line)", line, "doesn't begin as it must", ALLOWED, hint));
            continue;
        };
        station.station(number, id)?;
        month_line(&mut station, number, line, year, month, code);
    }
    station.finish()
}

fn month_line(station: &mut Station, number: u64, line: &str, year: i16, month: i8, code: &str) {
    let Some(days) = days_in_month(year, month) else {
        let seen = format!("{year:04}{month:02}");
        let (problem, hint) = ("is not a month in range", "Check columns 12 to 17");
        station.faults.add(|| Fault::new(number, code, &seen, problem, "185001 to 210012", hint));
        return;
    };
    if line.trim_end().len() > LINE_LEN {
        let problem = format!("begins a line of {} characters", line.trim_end().len());
        let hint = "Check that the lines end where they must";
        station.faults.add(|| Fault::new(number, code, line, problem, format!("up to {LINE_LEN} characters"), hint));
        return;
    }
    let quantity = element(code);
    let mut unused = 0;
    for day in 1..=31_i8 {
        let at = HEAD_LEN + (day as usize - 1) * DAY_LEN;
        let field = |from: usize, to: usize| line.get(at + from..(at + to).min(line.len())).unwrap_or_default();
        let value = field(0, 5);
        // Flags at the end of a line may have been trimmed away; a value may not, except where the month has no such day.
        if day > days {
            if !matches!(value.trim(), "" | "-9999") {
                station.faults.add(|| {
                    let (problem, allowed) = (format!("stands on day {day} of a month of {days}"), "-9999 or blank");
                    Fault::new(number, code, value, problem, allowed, "Check year and month of the line")
                });
            }
            continue;
        }
        let Some(whole) = (value.len() == 5).then(|| value.trim().parse::<i32>().ok()).flatten() else {
            station.faults.add(|| {
                let columns = format!("a whole number in columns {} to {}", at + 1, at + 5);
                let problem = if line.len() < at + 5 {
                    format!("ends the line at {} characters, on day {day}", line.len())
                } else {
                    format!("is not a whole number, on day {day}")
                };
                Fault::new(number, code, value, problem, columns, "Check that the file was copied whole")
            });
            if line.len() < at + 5 {
                break;
            }
            continue;
        };
        match (quantity, Date::new(year, month, day)) {
            (Some(quantity), Ok(date)) => station.take(&Reading {
                line: number,
                date,
                quantity,
                value: whole,
                measurement_flag: field(5, 6),
                quality_flag: field(6, 7),
            }),
            _ => unused += usize::from(whole != -9_999),
        }
    }
    if quantity.is_none() {
        station.not_used(code, unused);
    }
}

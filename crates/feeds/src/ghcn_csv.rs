//! GHCN-Daily as CSV: the long form by station, and the wide form.

use csv::{ReaderBuilder, StringRecord};
use yard::Place;

use crate::dates::{self, Told};
use crate::error::{Fault, row_limit, short};
use crate::ghcn::{Reading, Station, element, is_element, is_station};
use crate::intake::Lines;
use crate::report::Import;
use crate::{ELEMENT_ROWS_MAX, FeedError, ROWS_MAX};

const ALLOWED: &str =
    "rows of station, date yyyymmdd, element, value, three flags, time; or a header with STATION, DATE and elements";

enum Layout {
    LongWithHeader,
    Long,
    Wide(Wide),
}

/// Where things stand in the wide form.
struct Wide {
    width: usize,
    station: usize,
    date: usize,
    latitude: Option<usize>,
    longitude: Option<usize>,
    elevation: Option<usize>,
    name: Option<usize>,
    /// Element, its column, the column of its flags.
    elements: Vec<(String, usize, Option<usize>)>,
}

/// Whether a first line is one of this format beyond doubt.
pub(crate) fn fits(line: &str) -> bool {
    match layout(&fields(line)) {
        Some(Layout::Wide(wide)) => {
            wide.date == wide.station + 1
                && wide.latitude.is_some()
                && wide.elements.iter().any(|(_, _, flags)| flags.is_some())
        }
        Some(_) => true,
        None => false,
    }
}

fn fields(line: &str) -> Vec<String> {
    let mut record = StringRecord::new();
    let mut reader = ReaderBuilder::new().has_headers(false).flexible(true).from_reader(line.as_bytes());
    match reader.read_record(&mut record) {
        Ok(true) => record.iter().map(|f| f.trim().to_owned()).collect(),
        _ => Vec::new(),
    }
}

fn layout(first: &[String]) -> Option<Layout> {
    if let [id, date, code, _, ..] = first
        && is_station(id)
        && date.len() == 8
        && date.bytes().all(|b| b.is_ascii_digit())
        && is_element(code)
    {
        return Some(Layout::Long);
    }
    let names: Vec<String> = first.iter().map(|n| n.to_ascii_uppercase()).collect();
    if let [id, date, code, _, ..] = names.as_slice()
        && matches!(id.as_str(), "ID" | "STATION" | "STATION_ID")
        && matches!(date.as_str(), "DATE" | "YEAR/MONTH/DAY")
        && code == "ELEMENT"
    {
        return Some(Layout::LongWithHeader);
    }
    let find = |name: &str| names.iter().position(|n| n == name);
    let elements: Vec<_> = names
        .iter()
        .enumerate()
        .filter(|(_, n)| is_element(n) && !matches!(n.as_str(), "DATE" | "NAME"))
        .map(|(i, n)| (n.clone(), i, find(&format!("{n}_ATTRIBUTES"))))
        .collect();
    if !elements.iter().any(|(code, ..)| element(code).is_some()) {
        return None;
    }
    Some(Layout::Wide(Wide {
        width: first.len(),
        station: find("STATION")?,
        date: find("DATE")?,
        latitude: find("LATITUDE"),
        longitude: find("LONGITUDE"),
        elevation: find("ELEVATION"),
        name: find("NAME"),
        elements,
    }))
}

pub(crate) fn read(name: &str, text: &str) -> Result<Import, FeedError> {
    let mut station = Station::new(name, "ghcn-csv");
    let mut reader =
        ReaderBuilder::new().has_headers(false).flexible(true).comment(Some(b'#')).from_reader(text.as_bytes());
    let mut lines = Lines::of(text);
    let mut record = StringRecord::new();
    let mut found: Option<Layout> = None;
    loop {
        let more = reader.read_record(&mut record).map_err(|e| FeedError::Unreadable {
            name: name.to_owned(),
            source: std::io::Error::other(e.to_string()),
        })?;
        if !more {
            break;
        }
        let line = lines.line(&record);
        let layout = match &found {
            Some(layout) => layout,
            None => {
                let first: Vec<String> = record.iter().map(|f| f.trim().to_owned()).collect();
                let layout = layout(&first).ok_or_else(|| FeedError::NotGhcn {
                    name: name.to_owned(),
                    line,
                    seen: short(&first.join(",")),
                    allowed: ALLOWED,
                })?;
                let header = !matches!(layout, Layout::Long);
                if let Layout::Wide(wide) = &layout {
                    without_flags(wide, &mut station);
                }
                let layout = found.insert(layout);
                if header {
                    continue;
                }
                layout
            }
        };
        station.rows_read += 1;
        match layout {
            Layout::Wide(wide) => {
                row_limit(name, station.rows_read, ROWS_MAX, line)?;
                wide_row(&mut station, name, line, &record, wide)?;
            }
            Layout::Long | Layout::LongWithHeader => {
                row_limit(name, station.rows_read, ELEMENT_ROWS_MAX, line)?;
                long_row(&mut station, line, &record)?;
            }
        }
    }
    station.finish()
}

fn without_flags(wide: &Wide, station: &mut Station) {
    for (code, _, flags) in &wide.elements {
        if element(code).is_some() && flags.is_none() {
            station.notes.push(format!("{code}: the file has no quality flags, so no value was checked against them."));
        }
    }
}

fn long_row(station: &mut Station, line: u64, record: &StringRecord) -> Result<(), FeedError> {
    let cell = |i: usize| record.get(i).unwrap_or_default().trim();
    let (id, code) = (cell(0), cell(2));
    if record.len() < 4 || !is_station(id) || !is_element(code) {
        station.faults.add(|| {
            let row = record.iter().collect::<Vec<_>>().join(",");
            Fault::new(
                line,
                "(whole row)",
                &row,
                "is not a row of the long form",
                ALLOWED,
                "Check that the file was copied whole",
            )
        });
        return Ok(());
    }
    station.station(line, id)?;
    let Some(quantity) = element(code) else {
        station.not_used(code, usize::from(cell(3) != "-9999"));
        return Ok(());
    };
    let date = match dates::read(cell(1)) {
        Ok(Told::Day(date)) => date,
        Ok(Told::YearLast(..)) => {
            return bad_date(station, line, cell(1), ("is not yyyymmdd", "Check the file"));
        }
        Err(trouble) => return bad_date(station, line, cell(1), trouble),
    };
    match cell(3).parse::<i32>() {
        Ok(value) => {
            station.take(&Reading { line, date, quantity, value, measurement_flag: cell(4), quality_flag: cell(5) })
        }
        Err(_) => not_whole(station, line, code, cell(3)),
    }
    Ok(())
}

fn wide_row(station: &mut Station, name: &str, line: u64, record: &StringRecord, wide: &Wide) -> Result<(), FeedError> {
    let cell = |i: usize| record.get(i).unwrap_or_default().trim();
    if record.len() != wide.width {
        station.faults.add(|| {
            let problem = format!("begins a row of {} fields", record.len());
            let allowed = format!("{} fields, as in the header", wide.width);
            Fault::new(line, "(whole row)", cell(0), problem, allowed, "Check that the file was copied whole")
        });
        return Ok(());
    }
    station.station(line, cell(wide.station))?;
    if station.rows_read == 1 {
        station.title = wide.name.map(cell).map(short).unwrap_or_default();
        station.place = place(wide, &cell);
        if station.place.is_none() {
            station.notes.push("The file doesn't tell the station's latitude, longitude and height.".to_owned());
        }
    }
    let date = match dates::read(cell(wide.date)) {
        Ok(Told::Day(date)) => date,
        Ok(Told::YearLast(..)) => {
            return bad_date(station, line, cell(wide.date), ("is not yyyy-mm-dd", "Check the file"));
        }
        Err(trouble) => return bad_date(station, line, cell(wide.date), trouble),
    };
    for (code, index, flags) in &wide.elements {
        let seen = cell(*index);
        if seen.is_empty() {
            if let Some(quantity) = element(code) {
                station.seen[quantity as usize] = true;
            }
            continue;
        }
        let Some(quantity) = element(code) else {
            station.not_used(code, usize::from(seen != "-9999"));
            continue;
        };
        // The flags of one value stand in one cell: measurement, quality, source.
        let mut flags = flags.map(cell).unwrap_or_default().split(',');
        let (measurement_flag, quality_flag) = (flags.next().unwrap_or_default(), flags.next().unwrap_or_default());
        match seen.parse::<i32>() {
            Ok(value) => station.take(&Reading { line, date, quantity, value, measurement_flag, quality_flag }),
            Err(_) if seen.parse::<f64>().is_ok_and(f64::is_finite) => {
                return Err(FeedError::NotTenths {
                    name: name.to_owned(),
                    line,
                    column: code.clone(),
                    value: short(seen),
                });
            }
            Err(_) => not_whole(station, line, code, seen),
        }
    }
    Ok(())
}

fn place<'a>(wide: &Wide, cell: &impl Fn(usize) -> &'a str) -> Option<Place> {
    let number = |column: Option<usize>, range: std::ops::RangeInclusive<f64>| {
        column.and_then(|i| cell(i).parse::<f64>().ok()).filter(|n| range.contains(n))
    };
    Some(Place {
        latitude_deg: number(wide.latitude, -90.0..=90.0)?,
        longitude_deg: number(wide.longitude, -180.0..=180.0)?,
        // -999.9 marks an unknown height; the land's range is -430 to 8,849 m.
        elevation_m: number(wide.elevation, -450.0..=9_000.0)?,
    })
}

fn bad_date(station: &mut Station, line: u64, seen: &str, trouble: dates::Trouble) -> Result<(), FeedError> {
    station.faults.add(|| Fault::new(line, "DATE", seen, trouble.0, dates::ALLOWED, trouble.1));
    Ok(())
}

fn not_whole(station: &mut Station, line: u64, code: &str, seen: &str) {
    station.faults.add(|| {
        let hint = "Check that the file was copied whole";
        Fault::new(line, code, seen, "is not a whole number", "whole tenths, or -9999 where missing", hint)
    });
}

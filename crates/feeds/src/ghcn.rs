//! What both GHCN-Daily layouts share: elements, flags, one station, and days built up element by element.

use std::collections::BTreeMap;

use jiff::civil::Date;
use yard::{Place, WeatherRecord};

use crate::FeedError;
use crate::bounds::{QUANTITIES, Quantity};
use crate::dates::YEARS;
use crate::error::{FAULTS_SHOWN_MAX, Fault, FaultList, counted, listed, short};
use crate::plausible;
use crate::report::{DayRow, Import, report, settle, weather_day};
use crate::units::{DepthUnit, TemperatureUnit, Unit, WindUnit};

/// The value that marks a missing one.
const MISSING: i32 = -9_999;

/// The elements that are read; all in tenths.
pub(crate) const ELEMENTS: [(&str, Quantity, Unit); 4] = [
    ("TMAX", Quantity::Tmax, Unit::Temperature(TemperatureUnit::Celsius)),
    ("TMIN", Quantity::Tmin, Unit::Temperature(TemperatureUnit::Celsius)),
    ("PRCP", Quantity::Rain, Unit::Depth(DepthUnit::Millimetres)),
    ("AWND", Quantity::Wind, Unit::Wind(WindUnit::MetresPerSecond)),
];

pub(crate) fn element(code: &str) -> Option<Quantity> {
    ELEMENTS.iter().find(|(c, ..)| *c == code).map(|(_, quantity, _)| *quantity)
}

fn code(quantity: Quantity) -> &'static str {
    ELEMENTS.iter().find(|(_, q, _)| *q == quantity).map_or("", |(c, ..)| *c)
}

/// One element of one day.
pub(crate) struct Reading<'a> {
    pub(crate) line: u64,
    pub(crate) date: Date,
    pub(crate) quantity: Quantity,
    pub(crate) value: i32,
    pub(crate) measurement_flag: &'a str,
    pub(crate) quality_flag: &'a str,
}

/// A day being built: value and line of each element.
type Building = [Option<(f64, u64)>; QUANTITIES];

/// The station's days, built up.
pub(crate) struct Station {
    file: String,
    format: &'static str,
    id: Option<String>,
    days: BTreeMap<Date, Building>,
    pub(crate) faults: FaultList,
    clashes: BTreeMap<Date, u64>,
    duplicates: Vec<Date>,
    failed: BTreeMap<&'static str, usize>,
    unused: BTreeMap<String, usize>,
    traces: usize,
    pub(crate) seen: [bool; QUANTITIES],
    pub(crate) notes: Vec<String>,
    pub(crate) place: Option<Place>,
    pub(crate) title: String,
    pub(crate) rows_read: usize,
}

impl Station {
    pub(crate) fn new(file: &str, format: &'static str) -> Self {
        Self {
            file: file.to_owned(),
            format,
            id: None,
            days: BTreeMap::new(),
            faults: FaultList::new(file),
            clashes: BTreeMap::new(),
            duplicates: Vec::new(),
            failed: BTreeMap::new(),
            unused: BTreeMap::new(),
            traces: 0,
            seen: [false; QUANTITIES],
            notes: Vec::new(),
            place: None,
            title: String::new(),
            rows_read: 0,
        }
    }

    /// Takes the station of a row; a second one is refused.
    pub(crate) fn station(&mut self, line: u64, id: &str) -> Result<(), FeedError> {
        match &self.id {
            None => self.id = Some(id.to_owned()),
            Some(first) if first == id => {}
            Some(first) => {
                return Err(FeedError::SeveralStations {
                    name: self.file.clone(),
                    line,
                    first: short(first),
                    second: short(id),
                });
            }
        }
        Ok(())
    }

    /// Counts an element that is not read.
    pub(crate) fn not_used(&mut self, element: &str, values: usize) {
        // A station measures at most about 150 elements; a file that names more is not worth the room.
        if let Some(count) = self.unused.get_mut(element) {
            *count += values;
        } else if self.unused.len() < 1_000 {
            self.unused.insert(short(element), values);
        }
    }

    /// Takes one value.
    pub(crate) fn take(&mut self, reading: &Reading<'_>) {
        let Reading { line, date, quantity, value, measurement_flag, quality_flag } = *reading;
        self.seen[quantity as usize] = true;
        if value == MISSING {
            return;
        }
        if !quality_flag.trim().is_empty() {
            *self.failed.entry(code(quantity)).or_default() += 1;
            return;
        }
        let trace = quantity == Quantity::Rain && measurement_flag.trim() == "T";
        let si = if trace { 0.0 } else { f64::from(value) / 10.0 };
        let bounds = quantity.bounds();
        if !bounds.holds(si) {
            self.faults.add(|| {
                let problem = format!("is {si} {} on {date}: out of range for {}", bounds.unit, bounds.words);
                let hint = "Check the line against the station's file; values are in tenths";
                Fault::new(line, code(quantity), &value.to_string(), problem, bounds.allowed(), hint)
            });
            return;
        }
        let slot = &mut self.days.entry(date).or_insert([None; QUANTITIES])[quantity as usize];
        match slot {
            None => {
                *slot = Some((si, line));
                self.traces += usize::from(trace);
            }
            Some((before, _)) if *before == si => {
                self.duplicates.push(date);
            }
            Some(_) => {
                self.clashes.entry(date).or_insert(line);
            }
        }
    }

    /// The record, once all rows are taken.
    pub(crate) fn finish(mut self) -> Result<Import, FeedError> {
        std::mem::replace(&mut self.faults, FaultList::new(&self.file)).or_ok()?;
        if !self.clashes.is_empty() {
            return Err(FeedError::Contradiction {
                name: self.file,
                total: self.clashes.len(),
                dates: self.clashes.into_iter().take(FAULTS_SHOWN_MAX).collect(),
            });
        }
        if self.days.is_empty() {
            let hint = "Try a station that measured TMAX, TMIN or PRCP";
            return Err(FeedError::NoDays { name: self.file, rows_read: self.rows_read, hint });
        }
        let mut notes = std::mem::take(&mut self.notes);
        notes.insert(0, format!("Station {}.", [self.id.as_deref().unwrap_or_default(), &self.title].join(" ").trim()));
        let swapped = drop_swapped(&mut self.days);
        if let Some((first, count)) = swapped {
            notes.push(format!(
                "TMIN stands above TMAX on {}, first on {first}; both were left out there.",
                counted(count, "day")
            ));
        }
        for (code, count) in &self.failed {
            notes.push(format!(
                "{code}: left out {} that failed the publisher's quality check.",
                counted(*count, "value")
            ));
        }
        if self.traces > 0 {
            notes.push(format!("PRCP: counted as 0 on {} with a trace.", counted(self.traces, "day")));
        }
        if !self.unused.is_empty() {
            let each: Vec<String> = self.unused.iter().map(|(code, n)| format!("{code} ({n})")).collect();
            notes.push(format!(
                "Elements not used, with values: {}.",
                listed(each.iter().map(String::as_str)).replace('"', "")
            ));
        }

        let rows: Vec<DayRow> = self
            .days
            .iter()
            .map(|(date, building)| DayRow {
                line: building.iter().flatten().map(|(_, line)| *line).min().unwrap_or_default(),
                date: *date,
                readings: building.map(|slot| slot.map(|(si, _)| si)),
            })
            .collect();
        for (code, quantity, unit) in ELEMENTS {
            let values: Vec<f64> = rows.iter().filter_map(|row| row.readings[quantity as usize]).collect();
            notes.extend(plausible::judge(plausible::Column { file: &self.file, name: code, quantity, unit, values })?);
        }
        let warmest =
            rows.iter().filter_map(|row| row.readings[Quantity::Tmax as usize]).fold(f64::NEG_INFINITY, f64::max);
        if rows.len() >= plausible::YEAR_MIN && warmest.is_finite() && warmest < 15.0 {
            notes.push(format!(
                "TMAX never passes {warmest:.1} °C, which is rare: a file ordered in °F or whole °C is read as a plain CSV, with \
                 --temperature."
            ));
        }
        let (days, _) = settle(&self.file, rows)?;
        if days.iter().any(|d| d.readings[Quantity::Wind as usize].is_some()) {
            notes.push("The height of the wind gauge is not in the file, so it stays unknown.".to_owned());
        }
        let columns: Vec<(Quantity, String)> = ELEMENTS
            .iter()
            .filter(|(_, quantity, _)| self.seen[*quantity as usize])
            .map(|(code, quantity, _)| (*quantity, (*code).to_owned()))
            .collect();
        self.duplicates.sort_unstable();
        self.duplicates.dedup();
        let report = report(self.rows_read, &days, self.duplicates, &columns, notes);
        let record = WeatherRecord {
            name: self.file,
            format: self.format.to_owned(),
            place: self.place,
            days: days.iter().map(|d| weather_day(d, None)).collect(),
        };
        Ok(Import { record, report })
    }
}

/// Takes both temperatures off the days where the lowest stands above the highest; the first such day and how many.
fn drop_swapped(days: &mut BTreeMap<Date, Building>) -> Option<(Date, usize)> {
    let mut swapped: Option<(Date, usize)> = None;
    for (date, day) in days.iter_mut() {
        if let (Some((low, _)), Some((high, _))) = (day[Quantity::Tmin as usize], day[Quantity::Tmax as usize])
            && low > high
        {
            day[Quantity::Tmin as usize] = None;
            day[Quantity::Tmax as usize] = None;
            swapped.get_or_insert((*date, 0)).1 += 1;
        }
    }
    swapped
}

/// Days of a month, or `None` where year or month are out of range.
pub(crate) fn days_in_month(year: i16, month: i8) -> Option<i8> {
    if !YEARS.contains(&year) {
        return None;
    }
    Date::new(year, month, 1).ok().map(|d| d.days_in_month())
}

/// A station identification: eleven letters and digits.
pub(crate) fn is_station(text: &str) -> bool {
    text.len() == 11 && text.bytes().all(|b| b.is_ascii_alphanumeric())
}

/// An element code: four capitals and digits.
pub(crate) fn is_element(text: &str) -> bool {
    text.len() == 4 && text.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit())
}

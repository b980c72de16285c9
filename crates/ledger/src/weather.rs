//! Weather days: what each import told, and the one record they make together.

use std::path::Path;

use jiff::Timestamp;
use jiff::civil::Date;
use reckon::units::{Celsius, MegajoulesPerSquareMetre, Metres, MetresPerSecond, Millimetres, Percent};
use rusqlite::types::Type;
use rusqlite::{Connection, Row, ToSql, params};
use yard::{Place, WeatherDay, WeatherRecord};

use crate::error::{LedgerError, at};
use crate::store::Ledger;

/// Most days of one import: five centuries.
pub const WEATHER_DAYS_MAX: usize = 200_000;

const SELECT_DAYS: &str = "SELECT date, tmin_c, tmax_c, rain_mm, wind_ms, wind_height_m,
    humidity_mean_pct, humidity_min_pct, humidity_max_pct, dew_point_c, solar_mj_m2, et0_mm
    FROM weather_day ORDER BY date, import_id";

const INSERT_DAY: &str = "INSERT INTO weather_day (import_id, date, tmin_c, tmax_c, rain_mm,
    wind_ms, wind_height_m, humidity_mean_pct, humidity_min_pct, humidity_max_pct, dew_point_c,
    solar_mj_m2, et0_mm) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)";

/// What an import brought over what was known before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ImportSummary {
    /// The import's number.
    pub import_id: i64,
    /// Days nothing was known of.
    pub days_new: usize,
    /// Days with a reading that was added or altered.
    pub days_changed: usize,
    /// Days that told nothing new.
    pub days_same: usize,
}

/// A weather file that was taken in.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherImport {
    /// Its number; a higher one came later.
    pub id: i64,
    /// File or station name.
    pub name: String,
    /// The format it was read as.
    pub format: String,
    /// When it was taken in.
    pub imported_at: Timestamp,
    /// Its first day.
    pub first: Date,
    /// Its last day.
    pub last: Date,
    /// How many days it had.
    pub days: usize,
    /// Where the station stands, where the file said.
    pub place: Option<Place>,
}

impl Ledger {
    /// The weather of all imports together, in date order, one day a date.
    ///
    /// A later import wins, reading by reading: it replaces what it tells and leaves the rest. Wind and the height of its gauge
    /// are one reading, for a speed belongs to the height it was measured at.
    ///
    /// # Errors
    /// Those of reading the file.
    pub fn weather_days(&self) -> Result<Vec<WeatherDay>, LedgerError> {
        merged_days(&self.conn, &self.path)
    }

    /// Takes a weather record in, in one transaction; it is on the disk when this returns.
    ///
    /// # Errors
    /// [`LedgerError::NoDays`], [`LedgerError::TooManyDays`], [`LedgerError::BadWeather`].
    pub fn import_weather(
        &mut self,
        record: &WeatherRecord,
        imported_at: Timestamp,
    ) -> Result<ImportSummary, LedgerError> {
        let (first, last) = check(record)?;
        let path = self.path.clone();
        let tx = self.write()?;
        let known = merged_days(&tx, &path)?;
        let mut told = Vec::new();
        let mut days_new = 0;
        for day in &record.days {
            match known.binary_search_by_key(&day.date, |k| k.date) {
                Err(_) => {
                    days_new += 1;
                    told.push(day);
                }
                Ok(at) if merge(known[at], day) != known[at] => told.push(day),
                Ok(_) => {}
            }
        }
        let days_changed = told.len() - days_new;
        let days_same = record.days.len() - told.len();

        let insert = || -> rusqlite::Result<i64> {
            tx.execute(
                "INSERT INTO weather_import (name, format, imported_at, latitude_deg, longitude_deg,
                 elevation_m, first_date, last_date, days_new, days_changed, days_same)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
                params![
                    record.name,
                    record.format,
                    imported_at.to_string(),
                    record.place.map(|p| p.latitude_deg),
                    record.place.map(|p| p.longitude_deg),
                    record.place.map(|p| p.elevation_m),
                    first.to_string(),
                    last.to_string(),
                    days_new as i64,
                    days_changed as i64,
                    days_same as i64,
                ],
            )?;
            let import_id = tx.last_insert_rowid();
            let mut insert = tx.prepare_cached(INSERT_DAY)?;
            for day in told {
                let date = day.date.to_string();
                let readings = readings(day);
                let mut values: Vec<&dyn ToSql> = vec![&import_id, &date];
                values.extend(readings.iter().map(|reading| reading as &dyn ToSql));
                insert.execute(values.as_slice())?;
            }
            Ok(import_id)
        };
        let import_id = insert().map_err(at(&path))?;
        tx.commit().map_err(at(&path))?;
        Ok(ImportSummary { import_id, days_new, days_changed, days_same })
    }

    /// The imports, in the order they were taken in.
    ///
    /// # Errors
    /// Those of reading the file.
    pub fn weather_imports(&self) -> Result<Vec<WeatherImport>, LedgerError> {
        const SQL: &str = "SELECT id, name, format, imported_at, first_date, last_date,
            days_new + days_changed + days_same, latitude_deg, longitude_deg, elevation_m
            FROM weather_import ORDER BY id";
        let at = at(&self.path);
        let mut query = self.conn.prepare_cached(SQL).map_err(&at)?;
        let imports = query.query_map([], |row| {
            let place = match (row.get(7)?, row.get(8)?, row.get(9)?) {
                (Some(latitude_deg), Some(longitude_deg), Some(elevation_m)) => {
                    Some(Place { latitude_deg, longitude_deg, elevation_m })
                }
                _ => None,
            };
            Ok(WeatherImport {
                id: row.get(0)?,
                name: row.get(1)?,
                format: row.get(2)?,
                imported_at: parsed(row, 3)?,
                first: parsed(row, 4)?,
                last: parsed(row, 5)?,
                days: row.get::<_, u32>(6)? as usize,
                place,
            })
        });
        imports.and_then(Iterator::collect).map_err(&at)
    }
}

/// First and last day of a record that keeps the rules.
fn check(record: &WeatherRecord) -> Result<(Date, Date), LedgerError> {
    let name = || record.name.clone();
    let (Some(first), Some(last)) = (record.days.first(), record.days.last()) else {
        return Err(LedgerError::NoDays { name: name() });
    };
    if record.days.len() > WEATHER_DAYS_MAX {
        return Err(LedgerError::TooManyDays { name: name(), days: record.days.len() });
    }
    let bad = |date, detail| Err(LedgerError::BadWeather { name: name(), date, detail });
    if let Some(pair) = record.days.windows(2).find(|pair| pair[0].date >= pair[1].date) {
        return bad(pair[1].date, "does not come after the day before it");
    }
    if first.date.year() < 1 {
        return bad(first.date, "is before the year 1");
    }
    let finite = |day: &&WeatherDay| readings(day).into_iter().flatten().all(f64::is_finite);
    if let Some(day) = record.days.iter().find(|day| !finite(day)) {
        return bad(day.date, "has a reading that is no number");
    }
    if let Some(Place { latitude_deg, longitude_deg, elevation_m }) = record.place
        && ![latitude_deg, longitude_deg, elevation_m].into_iter().all(f64::is_finite)
    {
        return bad(first.date, "comes from a place that is no number");
    }
    Ok((first.date, last.date))
}

fn merged_days(conn: &Connection, path: &Path) -> Result<Vec<WeatherDay>, LedgerError> {
    let mut days: Vec<WeatherDay> = Vec::new();
    let mut read = || -> rusqlite::Result<()> {
        let mut query = conn.prepare_cached(SELECT_DAYS)?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            let day = weather_day(row)?;
            match days.last_mut() {
                Some(earlier) if earlier.date == day.date => *earlier = merge(*earlier, &day),
                _ => days.push(day),
            }
        }
        Ok(())
    };
    read().map_err(at(path))?;
    Ok(days)
}

/// What is known of a day after `later` was told.
fn merge(earlier: WeatherDay, later: &WeatherDay) -> WeatherDay {
    let (wind, wind_height) = match (later.wind, earlier.wind) {
        (Some(_), _) => (later.wind, later.wind_height),
        (None, Some(_)) => (earlier.wind, earlier.wind_height),
        (None, None) => (None, later.wind_height.or(earlier.wind_height)),
    };
    WeatherDay {
        date: earlier.date,
        tmin: later.tmin.or(earlier.tmin),
        tmax: later.tmax.or(earlier.tmax),
        rain: later.rain.or(earlier.rain),
        wind,
        wind_height,
        humidity_mean: later.humidity_mean.or(earlier.humidity_mean),
        humidity_min: later.humidity_min.or(earlier.humidity_min),
        humidity_max: later.humidity_max.or(earlier.humidity_max),
        dew_point: later.dew_point.or(earlier.dew_point),
        solar: later.solar.or(earlier.solar),
        et0: later.et0.or(earlier.et0),
    }
}

/// A day's readings in the order of the columns.
fn readings(day: &WeatherDay) -> [Option<f64>; 11] {
    let WeatherDay {
        date: _,
        tmin,
        tmax,
        rain,
        wind,
        wind_height,
        humidity_mean,
        humidity_min,
        humidity_max,
        dew_point,
        solar,
        et0,
    } = day;
    [
        tmin.map(Celsius::get),
        tmax.map(Celsius::get),
        rain.map(Millimetres::get),
        wind.map(MetresPerSecond::get),
        wind_height.map(Metres::get),
        humidity_mean.map(Percent::get),
        humidity_min.map(Percent::get),
        humidity_max.map(Percent::get),
        dew_point.map(Celsius::get),
        solar.map(MegajoulesPerSquareMetre::get),
        et0.map(Millimetres::get),
    ]
}

fn weather_day(row: &Row<'_>) -> rusqlite::Result<WeatherDay> {
    let number = |column| row.get::<_, Option<f64>>(column);
    Ok(WeatherDay {
        date: parsed(row, 0)?,
        tmin: number(1)?.map(Celsius::new),
        tmax: number(2)?.map(Celsius::new),
        rain: number(3)?.map(Millimetres::new),
        wind: number(4)?.map(MetresPerSecond::new),
        wind_height: number(5)?.map(Metres::new),
        humidity_mean: number(6)?.map(Percent::new),
        humidity_min: number(7)?.map(Percent::new),
        humidity_max: number(8)?.map(Percent::new),
        dew_point: number(9)?.map(Celsius::new),
        solar: number(10)?.map(MegajoulesPerSquareMetre::new),
        et0: number(11)?.map(Millimetres::new),
    })
}

/// A date or moment kept as its ISO 8601 text.
pub(crate) fn parsed<T>(row: &Row<'_>, column: usize) -> rusqlite::Result<T>
where
    T: std::str::FromStr<Err = jiff::Error>,
{
    let text = row.get_ref(column)?.as_str()?;
    text.parse().map_err(|e: jiff::Error| rusqlite::Error::FromSqlConversionFailure(column, Type::Text, Box::new(e)))
}

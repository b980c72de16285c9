//! Forecasts: what was told of the days ahead, kept by its day of issue.

use std::path::Path;

use jiff::Timestamp;
use jiff::civil::Date;
use reckon::units::{Celsius, Metres, MetresPerSecond, Millimetres, Percent};
use rusqlite::{Connection, Row, ToSql, params};
use yard::{Forecast, ForecastDay};

use crate::error::{LedgerError, at};
use crate::store::Ledger;
use crate::weather::parsed;

/// Most forecasts of one import: a quarter of a century of mornings.
pub const FORECASTS_MAX: usize = 10_000;

const SELECT: &str = "SELECT seq, issued, source FROM forecast ORDER BY seq";
const SELECT_DAYS: &str = "SELECT seq, date, low_c, high_c, rain_mm, chance_pct, humidity_pct, wind_ms, wind_height_m
    FROM forecast_day ORDER BY seq, date";
const INSERT_DAY: &str =
    "INSERT INTO forecast_day (seq, date, low_c, high_c, rain_mm, chance_pct, humidity_pct, wind_ms,
    wind_height_m) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";

/// What an import of forecasts brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ForecastSummary {
    /// Forecasts kept.
    pub kept: usize,
    /// Forecasts that say what the one in force for their day of issue says already.
    pub same: usize,
}

impl Ledger {
    /// Every forecast kept, in the order taken in: of two of one day of issue the later counts.
    ///
    /// # Errors
    /// Those of reading the file.
    pub fn forecasts(&self) -> Result<Vec<Forecast>, LedgerError> {
        kept(&self.conn, &self.path)
    }

    /// Keeps forecasts, all or none, in one transaction; they are on the disk when this returns. One that says what is known already is not
    /// kept again.
    ///
    /// # Errors
    /// [`LedgerError::NoDays`], [`LedgerError::TooManyForecasts`], [`LedgerError::BadForecast`].
    pub fn import_forecasts(
        &mut self,
        name: &str,
        format: &str,
        forecasts: &[Forecast],
        imported_at: Timestamp,
    ) -> Result<ForecastSummary, LedgerError> {
        check(name, forecasts)?;
        let path = self.path.clone();
        let tx = self.write()?;
        let known = kept(&tx, &path)?;
        let mut summary = ForecastSummary { kept: 0, same: 0 };
        let mut insert = || -> rusqlite::Result<()> {
            for forecast in forecasts {
                let in_force = known.iter().rev().find(|k| k.issued == forecast.issued);
                if in_force.is_some_and(|k| k.days == forecast.days) {
                    summary.same += 1;
                    continue;
                }
                tx.execute(
                    "INSERT INTO forecast (issued, source, format, imported_at) VALUES (?1, ?2, ?3, ?4)",
                    params![forecast.issued.to_string(), forecast.source, format, imported_at.to_string()],
                )?;
                let seq = tx.last_insert_rowid();
                let mut insert = tx.prepare_cached(INSERT_DAY)?;
                for day in &forecast.days {
                    let date = day.date.to_string();
                    let figures = figures(day);
                    let mut values: Vec<&dyn ToSql> = vec![&seq, &date];
                    values.extend(figures.iter().map(|f| f as &dyn ToSql));
                    insert.execute(values.as_slice())?;
                }
                summary.kept += 1;
            }
            Ok(())
        };
        insert().map_err(at(&path))?;
        tx.commit().map_err(at(&path))?;
        Ok(summary)
    }
}

fn check(name: &str, forecasts: &[Forecast]) -> Result<(), LedgerError> {
    if forecasts.is_empty() {
        return Err(LedgerError::NoDays { name: name.to_owned() });
    }
    if forecasts.len() > FORECASTS_MAX {
        return Err(LedgerError::TooManyForecasts { name: name.to_owned(), forecasts: forecasts.len() });
    }
    for forecast in forecasts {
        let bad = |date, detail| Err(LedgerError::BadForecast { name: name.to_owned(), date, detail });
        if forecast.issued.year() < 1 {
            return bad(forecast.issued, "is before the year 1");
        }
        let Some(first) = forecast.days.first() else { return bad(forecast.issued, "tells of no day") };
        if first.date < forecast.issued {
            return bad(first.date, "comes before the day of issue");
        }
        if let Some(pair) = forecast.days.windows(2).find(|pair| pair[0].date >= pair[1].date) {
            return bad(pair[1].date, "does not come after the day before it");
        }
        let finite = |day: &&ForecastDay| figures(day).into_iter().flatten().all(f64::is_finite);
        if let Some(day) = forecast.days.iter().find(|day| !finite(day)) {
            return bad(day.date, "has a figure that is no number");
        }
    }
    Ok(())
}

fn kept(conn: &Connection, path: &Path) -> Result<Vec<Forecast>, LedgerError> {
    let read = || -> rusqlite::Result<Vec<Forecast>> {
        let mut query = conn.prepare_cached(SELECT)?;
        let heads = query.query_map([], |row| Ok((row.get::<_, i64>(0)?, parsed::<Date>(row, 1)?, row.get(2)?)))?;
        let mut seqs = Vec::new();
        let mut out: Vec<Forecast> = Vec::new();
        for head in heads {
            let (seq, issued, source) = head?;
            seqs.push(seq);
            out.push(Forecast { issued, source, days: Vec::new() });
        }
        let mut query = conn.prepare_cached(SELECT_DAYS)?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            // A day without its head cannot be: the key forbids it.
            if let Ok(i) = seqs.binary_search(&row.get(0)?) {
                out[i].days.push(day(row)?);
            }
        }
        Ok(out)
    };
    read().map_err(at(path))
}

/// A day's figures in the order of the columns.
fn figures(day: &ForecastDay) -> [Option<f64>; 7] {
    let ForecastDay { date: _, low, high, rain, chance, humidity, wind, wind_height } = day;
    [
        low.map(Celsius::get),
        high.map(Celsius::get),
        rain.map(Millimetres::get),
        chance.map(Percent::get),
        humidity.map(Percent::get),
        wind.map(MetresPerSecond::get),
        wind_height.map(Metres::get),
    ]
}

fn day(row: &Row<'_>) -> rusqlite::Result<ForecastDay> {
    let number = |column| row.get::<_, Option<f64>>(column);
    Ok(ForecastDay {
        date: parsed(row, 1)?,
        low: number(2)?.map(Celsius::new),
        high: number(3)?.map(Celsius::new),
        rain: number(4)?.map(Millimetres::new),
        chance: number(5)?.map(Percent::new),
        humidity: number(6)?.map(Percent::new),
        wind: number(7)?.map(MetresPerSecond::new),
        wind_height: number(8)?.map(Metres::new),
    })
}

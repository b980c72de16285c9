//! Forecasts kept by their day of issue.

use jiff::Timestamp;
use jiff::civil::{Date, date};
use ledger::{ForecastSummary, Ledger, LedgerError};
use reckon::units::{Celsius, Millimetres, Percent};
use rusqlite::Connection;
use yard::{Forecast, ForecastDay};

const NOON: Timestamp = Timestamp::constant(1_780_000_000, 0);

fn told(issued: Date, highs: &[f64]) -> Forecast {
    let mut on = issued;
    let mut days = Vec::new();
    for high in highs {
        let mut day = ForecastDay::blank(on);
        day.high = Some(Celsius::new(*high));
        day.rain = Some(Millimetres::new(2.5));
        day.chance = Some(Percent::new(40.0));
        days.push(day);
        on = on.tomorrow().unwrap();
    }
    Forecast { issued, source: "test.csv".to_owned(), days }
}

/// Issues of several days stay side by side; the same told again is not kept twice; an issue told anew on its day goes after the first and
/// counts; all of it is there after opening again, and in a backup.
#[test]
fn every_issue_stays_and_the_later_counts() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let (first, second) = (told(date(2026, 6, 1), &[20.0, 21.0]), told(date(2026, 6, 2), &[22.5]));
    let revised = told(date(2026, 6, 1), &[19.0, 21.0, 22.0]);
    let mut ledger = Ledger::create(&path).unwrap();
    let mut import = |forecasts: &[Forecast]| ledger.import_forecasts("a", "csv", forecasts, NOON).unwrap();
    assert_eq!(import(&[first.clone(), second.clone()]), ForecastSummary { kept: 2, same: 0 });
    assert_eq!(import(&[first.clone(), second.clone()]), ForecastSummary { kept: 0, same: 2 });
    assert_eq!(import(std::slice::from_ref(&revised)), ForecastSummary { kept: 1, same: 0 });
    // Back to what was first told: that is news again.
    assert_eq!(import(std::slice::from_ref(&first)), ForecastSummary { kept: 1, same: 0 });
    drop(ledger);
    let kept = [first.clone(), second, revised, first];
    let ledger = Ledger::open(&path).unwrap();
    assert_eq!(ledger.forecasts().unwrap(), kept);
    let copy = dir.path().join("copy.toft");
    ledger.backup(&copy).unwrap();
    assert_eq!(Ledger::open(&copy).unwrap().forecasts().unwrap(), kept);
}

/// A forecast that tells of yesterday, of a day twice or of no day is refused, and nothing with it is kept.
#[test]
fn what_cannot_be_a_forecast_is_refused_whole() {
    let mut ledger = Ledger::in_memory().unwrap();
    let good = told(date(2026, 6, 1), &[20.0]);
    let mut past = told(date(2026, 6, 2), &[20.0]);
    past.issued = date(2026, 6, 3);
    let mut twice = told(date(2026, 6, 2), &[20.0, 21.0]);
    twice.days[1].date = twice.days[0].date;
    let empty = told(date(2026, 6, 2), &[]);
    let odd = told(date(2026, 6, 2), &[f64::NAN]);
    for bad in [past, twice, empty, odd] {
        let error = ledger.import_forecasts("a", "csv", &[good.clone(), bad], NOON).unwrap_err();
        assert!(matches!(error, LedgerError::BadForecast { .. }), "{error}");
    }
    assert!(matches!(ledger.import_forecasts("a", "csv", &[], NOON).unwrap_err(), LedgerError::NoDays { .. }));
    assert!(ledger.forecasts().unwrap().is_empty());
}

/// No program may change or delete what was told, as long as the file's guards stand.
#[test]
fn a_forecast_is_never_changed() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    ledger.import_forecasts("a", "csv", &[told(date(2026, 6, 1), &[20.0])], NOON).unwrap();
    drop(ledger);
    let conn = Connection::open(&path).unwrap();
    for sql in [
        "UPDATE forecast SET issued = '2026-06-02'",
        "DELETE FROM forecast",
        "UPDATE forecast_day SET high_c = 30",
        "DELETE FROM forecast_day",
        "INSERT OR REPLACE INTO forecast_day (seq, date, high_c) VALUES (1, '2026-06-01', 30)",
    ] {
        assert!(conn.execute_batch(sql).is_err(), "{sql}");
    }
}

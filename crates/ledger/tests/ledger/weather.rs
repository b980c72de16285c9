//! Weather imports and the record they make together.

use std::collections::BTreeMap;

use jiff::civil::{Date, date};
use jiff::{Timestamp, ToSpan};
use ledger::{ErrorKind, ImportSummary, Ledger, LedgerError, WEATHER_DAYS_MAX};
use proptest::collection::btree_map;
use proptest::option;
use proptest::prelude::*;
use reckon::units::{Celsius, MegajoulesPerSquareMetre, Metres, MetresPerSecond, Millimetres, Percent};
use yard::{Place, WeatherDay, WeatherRecord};

const NOON: Timestamp = Timestamp::constant(1_780_000_000, 250_000_000);

fn day(tmin: Option<f64>, rain: Option<f64>) -> WeatherDay {
    let mut day = WeatherDay::blank(date(2026, 5, 1));
    day.tmin = tmin.map(Celsius::new);
    day.rain = rain.map(Millimetres::new);
    day
}

fn told(days: Vec<WeatherDay>) -> WeatherRecord {
    WeatherRecord { name: "Żabno – 北".to_owned(), format: "csv".to_owned(), place: None, days }
}

/// A record of some days of one month, any readings present or absent.
pub fn record() -> impl Strategy<Value = WeatherRecord> {
    // Few values, so that the same reading is told again often.
    let reading = || option::of(prop_oneof![(0..3i8).prop_map(f64::from), -50.0..50.0f64]);
    let readings = prop::array::uniform11(reading());
    let place = option::of((-90.0..90.0f64, -180.0..180.0f64, -400.0..4000.0f64));
    (btree_map(1..=28i8, readings, 1..12), place).prop_map(|(days, place)| WeatherRecord {
        name: "station".to_owned(),
        format: "ghcn-csv".to_owned(),
        place: place.map(|(latitude_deg, longitude_deg, elevation_m)| Place {
            latitude_deg,
            longitude_deg,
            elevation_m,
        }),
        days: days
            .into_iter()
            .map(|(d, r)| WeatherDay {
                date: date(2026, 2, d),
                tmin: r[0].map(Celsius::new),
                tmax: r[1].map(Celsius::new),
                rain: r[2].map(Millimetres::new),
                wind: r[3].map(MetresPerSecond::new),
                wind_height: r[4].map(Metres::new),
                humidity_mean: r[5].map(Percent::new),
                humidity_min: r[6].map(Percent::new),
                humidity_max: r[7].map(Percent::new),
                dew_point: r[8].map(Celsius::new),
                solar: r[9].map(MegajoulesPerSquareMetre::new),
                et0: r[10].map(Millimetres::new),
            })
            .collect(),
    })
}

/// The rule in its plainest form: a map of days that each import writes over.
fn model(records: &[WeatherRecord]) -> Vec<WeatherDay> {
    let mut days: BTreeMap<Date, WeatherDay> = BTreeMap::new();
    for told in records.iter().flat_map(|record| &record.days) {
        let known = days.entry(told.date).or_insert_with(|| WeatherDay::blank(told.date));
        fn over<T: Copy>(known: &mut Option<T>, told: Option<T>) {
            *known = told.or(*known);
        }
        over(&mut known.tmin, told.tmin);
        over(&mut known.tmax, told.tmax);
        over(&mut known.rain, told.rain);
        over(&mut known.humidity_mean, told.humidity_mean);
        over(&mut known.humidity_min, told.humidity_min);
        over(&mut known.humidity_max, told.humidity_max);
        over(&mut known.dew_point, told.dew_point);
        over(&mut known.solar, told.solar);
        over(&mut known.et0, told.et0);
        if told.wind.is_some() {
            (known.wind, known.wind_height) = (told.wind, told.wind_height);
        } else if known.wind.is_none() {
            over(&mut known.wind_height, told.wind_height);
        }
    }
    days.into_values().collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Imports in a row merge as the plain rule says, though days that tell nothing new are not kept; the counts add up; the
    /// last import taken again changes nothing.
    #[test]
    fn imports_merge_by_the_rule(records in prop::collection::vec(record(), 0..6)) {
        let mut ledger = Ledger::in_memory().unwrap();
        for (n, record) in records.iter().enumerate() {
            let before = model(&records[..n]);
            let summary = ledger.import_weather(record, NOON).unwrap();
            let after = model(&records[..=n]);
            let ImportSummary { days_new, days_changed, days_same, .. } = summary;
            prop_assert_eq!(days_new, after.len() - before.len());
            prop_assert_eq!(days_new + days_changed + days_same, record.days.len());
            let changed = before.iter().filter(|day| !after.contains(day)).count();
            prop_assert_eq!(days_changed, changed);
            prop_assert_eq!(&ledger.weather_days().unwrap(), &after);
        }
        if let Some(last) = records.last() {
            let again = ledger.import_weather(last, NOON).unwrap();
            prop_assert_eq!(again.days_same, last.days.len());
            prop_assert_eq!(&ledger.weather_days().unwrap(), &model(&records));
        }
        let imports = ledger.weather_imports().unwrap();
        prop_assert_eq!(imports.len(), records.len() + usize::from(!records.is_empty()));
        for (import, record) in imports.iter().zip(&records) {
            prop_assert_eq!(import.days, record.days.len());
            prop_assert_eq!(import.first, record.days[0].date);
            prop_assert_eq!(import.last, record.days[record.days.len() - 1].date);
            prop_assert_eq!(import.place, record.place);
        }
    }
}

/// A later reading replaces an earlier one; an absent one hides nothing.
#[test]
fn a_later_import_wins_reading_by_reading() {
    let mut ledger = Ledger::in_memory().unwrap();
    let mut import = |tmin, rain| {
        let summary = ledger.import_weather(&told(vec![day(tmin, rain)]), NOON).unwrap();
        (summary, ledger.weather_days().unwrap())
    };
    let (summary, days) = import(Some(3.0), Some(1.0));
    assert_eq!(summary, ImportSummary { import_id: 1, days_new: 1, days_changed: 0, days_same: 0 });
    assert_eq!(days, [day(Some(3.0), Some(1.0))]);
    let (summary, days) = import(None, Some(2.0));
    assert_eq!(summary, ImportSummary { import_id: 2, days_new: 0, days_changed: 1, days_same: 0 });
    assert_eq!(days, [day(Some(3.0), Some(2.0))]);
    let (summary, days) = import(Some(3.0), None);
    assert_eq!(summary, ImportSummary { import_id: 3, days_new: 0, days_changed: 0, days_same: 1 });
    assert_eq!(days, [day(Some(3.0), Some(2.0))]);
}

/// A wind speed never gets the height of another station's gauge.
#[test]
fn wind_keeps_its_own_height() {
    let wind = |speed: Option<f64>, height: Option<f64>| {
        let mut day = day(None, None);
        day.wind = speed.map(MetresPerSecond::new);
        day.wind_height = height.map(Metres::new);
        day
    };
    let mut ledger = Ledger::in_memory().unwrap();
    for (told_day, known) in [
        (wind(Some(2.0), Some(10.0)), wind(Some(2.0), Some(10.0))),
        (wind(None, Some(2.0)), wind(Some(2.0), Some(10.0))),
        (wind(Some(3.0), None), wind(Some(3.0), None)),
        (wind(None, None), wind(Some(3.0), None)),
    ] {
        ledger.import_weather(&told(vec![told_day]), NOON).unwrap();
        assert_eq!(ledger.weather_days().unwrap(), [known]);
    }
}

/// What an import was is kept to the letter and the nanosecond.
#[test]
fn an_import_is_remembered() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut record = told(vec![day(Some(-0.1), None)]);
    record.place = Some(Place { latitude_deg: 0.1 + 0.2, longitude_deg: -105.5, elevation_m: 1600.0 });
    Ledger::create(&path).unwrap().import_weather(&record, NOON).unwrap();
    let imports = Ledger::open(&path).unwrap().weather_imports().unwrap();
    assert_eq!(imports.len(), 1);
    assert_eq!((imports[0].id, imports[0].days), (1, 1));
    assert_eq!((imports[0].name.as_str(), imports[0].format.as_str()), ("Żabno – 北", "csv"));
    assert_eq!(imports[0].imported_at, NOON);
    assert_eq!(imports[0].place, record.place);
}

/// Records that break a rule are refused whole, with the day.
#[test]
fn a_bad_record_is_refused_whole() {
    let on = |date| WeatherDay::blank(date);
    let (first, second) = (date(2026, 5, 1), date(2026, 5, 2));
    let mut ledger = Ledger::in_memory().unwrap();
    for (days, words) in [
        (vec![on(first), on(first)], "2026-05-01: does not come after"),
        (vec![on(second), on(first)], "2026-05-01: does not come after"),
        (vec![on(date(0, 12, 31))], "before the year 1"),
        (vec![on(date(-44, 3, 15))], "before the year 1"),
        (
            vec![day(Some(1.0), None), {
                let mut d = on(second);
                d.rain = Some(Millimetres::new(f64::NAN));
                d
            }],
            "2026-05-02: has a reading",
        ),
        (vec![day(Some(f64::INFINITY), None)], "2026-05-01: has a reading"),
    ] {
        let error = ledger.import_weather(&told(days), NOON).unwrap_err();
        assert!(error.to_string().contains(words), "{error}");
        assert_eq!(error.kind(), ErrorKind::Bug);
    }
    let error = ledger.import_weather(&told(vec![]), NOON).unwrap_err();
    assert!(matches!(error, LedgerError::NoDays { .. }), "{error}");
    let mut placed = told(vec![day(None, None)]);
    placed.place = Some(Place { latitude_deg: f64::NAN, longitude_deg: 0.0, elevation_m: 0.0 });
    assert!(ledger.import_weather(&placed, NOON).is_err());
    assert!(ledger.weather_days().unwrap().is_empty());
    assert!(ledger.weather_imports().unwrap().is_empty());
    let edges = vec![on(date(1, 1, 1)), on(date(9999, 12, 31))];
    ledger.import_weather(&told(edges.clone()), NOON).unwrap();
    assert_eq!(ledger.weather_days().unwrap(), edges);
}

/// The number of days is bounded, on both sides of the bound.
#[test]
fn a_record_is_bounded() {
    let mut days: Vec<WeatherDay> =
        date(1500, 1, 1).series(1.day()).take(WEATHER_DAYS_MAX + 1).map(WeatherDay::blank).collect();
    let mut ledger = Ledger::in_memory().unwrap();
    let error = ledger.import_weather(&told(days.clone()), NOON).unwrap_err();
    assert!(matches!(error, LedgerError::TooManyDays { .. }), "{error}");
    days.pop();
    assert_eq!(ledger.import_weather(&told(days), NOON).unwrap().days_new, WEATHER_DAYS_MAX);
}

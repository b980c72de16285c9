//! What the ledger costs: thirty-seven years of weather (13,514 days) in and out, entries appended, read and backed up.
//!
//! Aims, on a small computer: the weather taken in well under a second and read in under 20 ms; a saved entry in under 100 ms.

use divan::Bencher;
use jiff::civil::{Date, date};
use jiff::{Timestamp, ToSpan};
use ledger::Ledger;
use reckon::units::{Celsius, Millimetres};
use tempfile::TempDir;
use yard::{Entry, WeatherDay, WeatherRecord};

const DAYS: usize = 13_514;
const ENTRIES: usize = 2_000;

fn main() {
    divan::main();
}

fn record() -> WeatherRecord {
    let first: Date = date(1988, 1, 1);
    let day = |n: usize| {
        let mut day = WeatherDay::blank(first.checked_add((n as i64).days()).unwrap());
        let wave = (n as f64 / 58.1).sin();
        day.tmin = Some(Celsius::new(5.0 + 10.0 * wave));
        day.tmax = Some(Celsius::new(17.0 + 12.0 * wave));
        day.rain = (!n.is_multiple_of(7)).then_some(Millimetres::new((n % 13) as f64 * 0.7));
        day
    };
    WeatherRecord {
        name: "station".to_owned(),
        format: "csv".to_owned(),
        place: None,
        days: (0..DAYS).map(day).collect(),
    }
}

fn note(n: usize) -> Entry {
    serde_json::from_value(serde_json::json!({
        "id": format!("note-{n:06}"),
        "happened_on": "2026-05-01",
        "recorded_at": "2026-05-01T18:00:00Z",
        "body": { "kind": "note/1", "text": "Dry along the drive, the rest is fine after the rain." },
    }))
    .unwrap()
}

fn on_disk() -> (TempDir, Ledger) {
    let dir = tempfile::tempdir().unwrap();
    let ledger = Ledger::create(&dir.path().join("yard.toft")).unwrap();
    (dir, ledger)
}

fn filled() -> (TempDir, Ledger) {
    let (dir, mut ledger) = on_disk();
    ledger.import_weather(&record(), Timestamp::UNIX_EPOCH).unwrap();
    ledger.append_all(&(0..ENTRIES).map(note).collect::<Vec<_>>()).unwrap();
    (dir, ledger)
}

#[divan::bench(sample_count = 20)]
fn import_weather_first(bencher: Bencher) {
    let record = record();
    bencher.with_inputs(on_disk).bench_local_values(|(dir, mut ledger)| {
        ledger.import_weather(&record, Timestamp::UNIX_EPOCH).unwrap();
        (dir, ledger)
    });
}

#[divan::bench(sample_count = 20)]
fn import_weather_same_again(bencher: Bencher) {
    let record = record();
    let (_dir, mut ledger) = filled();
    bencher.bench_local(|| ledger.import_weather(&record, Timestamp::UNIX_EPOCH).unwrap());
}

#[divan::bench]
fn weather_days(bencher: Bencher) {
    let (_dir, ledger) = filled();
    bencher.bench_local(|| ledger.weather_days().unwrap());
}

#[divan::bench(sample_count = 50)]
fn append_one(bencher: Bencher) {
    let (_dir, mut ledger) = filled();
    let mut n = ENTRIES;
    bencher.bench_local(|| {
        n += 1;
        ledger.append(&note(n)).unwrap();
    });
}

#[divan::bench]
fn entries(bencher: Bencher) {
    let (_dir, ledger) = filled();
    bencher.bench_local(|| ledger.entries().unwrap());
}

#[divan::bench(sample_count = 20)]
fn open(bencher: Bencher) {
    let (dir, _ledger) = filled();
    bencher.bench_local(|| Ledger::open(&dir.path().join("yard.toft")).unwrap());
}

#[divan::bench(sample_count = 20)]
fn backup(bencher: Bencher) {
    let (dir, ledger) = filled();
    let mut n = 0;
    bencher.bench_local(|| {
        n += 1;
        ledger.backup(&dir.path().join(format!("backup-{n}.toft"))).unwrap()
    });
}

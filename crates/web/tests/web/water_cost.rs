//! Water in money and the past seasons: what stands on the pages, empty and full.

use axum::http::StatusCode;
use jiff::civil::{Date, date};
use ledger::Ledger;
use reckon::units::{Celsius, Millimetres};
use yard::{WeatherDay, WeatherRecord};

use crate::support::{Browser, put, small_yard};

/// Four made years: cold in January, hot in July, a shower every ninth day. Only pages are judged by it.
fn weathered() -> Ledger {
    let mut ledger = small_yard();
    let mut days = Vec::new();
    let mut day = date(2022, 1, 1);
    while day < date(2026, 4, 20) {
        let season = (f64::from(day.day_of_year()) - 200.0) / 365.0 * std::f64::consts::TAU;
        let mut d = WeatherDay::blank(day);
        d.tmin = Some(Celsius::new(4.0 + 12.0 * season.cos()));
        d.tmax = Some(Celsius::new(18.0 + 14.0 * season.cos()));
        d.rain = Some(Millimetres::new(if day.day_of_year() % 9 == 0 { 12.0 } else { 0.0 }));
        days.push(d);
        day = day.tomorrow().unwrap();
    }
    ledger.import_weather(&record(days), "2026-04-20T12:00:00Z".parse().unwrap()).unwrap();
    ledger
}

fn record(days: Vec<WeatherDay>) -> WeatherRecord {
    WeatherRecord { name: "made.csv".to_owned(), format: "csv".to_owned(), place: None, days }
}

fn read(ledger: &mut Ledger, n: u32, on: Date, gallons: &str) {
    put(ledger, n, "meter-read", on, &[("reading", gallons), ("unit", "gal")]);
}

/// Without readings, prices or weather the pages say what to do.
#[tokio::test]
async fn empty_pages_say_what_to_do() {
    let browser = Browser::small();
    let cost = browser.get("/water/cost").await;
    assert_eq!(cost.status, StatusCode::OK);
    assert!(cost.text.contains("Two readings of a water meter") && cost.text.contains("/log/tariff"));
    assert!(!cost.text.contains("The last season"));
    let seasons = browser.get("/water/seasons").await;
    assert!(seasons.status == StatusCode::OK && seasons.text.contains("weather of a whole season"));
    assert_eq!(browser.get("/water/seasons?from=soon").await.status, StatusCode::BAD_REQUEST);
    let water = browser.get("/water").await.text;
    assert!(water.contains(r#"href="/water/cost""#) && water.contains(r#"href="/water/seasons""#));
    assert!(browser.get("/costs").await.text.contains(r#"href="/water/cost""#));
}

/// A bill, the rest of a span, and the last season in money.
#[tokio::test]
async fn a_metered_yard() {
    let mut ledger = weathered();
    let tariff =
        [("steps", "10 = 2.9\n35 = 3.51\nmore = 6.15"), ("unit", "kgal"), ("base", "48.5"), ("period", "quarter")];
    put(&mut ledger, 10, "tariff", date(2025, 1, 5), &tariff);
    put(
        &mut ledger,
        11,
        "programme",
        date(2025, 6, 1),
        &[("zone", "front-heads"), ("minutes", "40"), ("weekdays", "mon,thu")],
    );
    put(&mut ledger, 12, "programme", date(2025, 7, 1), &[("zone", "front-heads"), ("minutes", "0")]);
    read(&mut ledger, 13, date(2025, 4, 1), "1000");
    read(&mut ledger, 14, date(2025, 6, 1), "13200");
    read(&mut ledger, 15, date(2025, 7, 1), "39200");
    let page = Browser::on(ledger).get("/water/cost").await.text;
    // 12,200 gal in 61 days are the house's own; of June's 26,000 the house takes 6,000 and nine runs of the zone some 4,700.
    assert!(page.contains("<strong>200 gal</strong> a day"), "the house's own use");
    assert!(page.contains("26,000 gal") && page.contains("6,000 gal"));
    assert!(page.contains("more than is explained") && page.contains(r#"href="/water/fault""#));
    assert!(page.contains("step 3 of 3, over 35 × 1000 gal in a quarter"));
    assert!(page.contains("The last season") && page.contains("Fixed timer") && page.contains("Least possible"));
}

/// The seasons stand newest first with their verdict and the rules of the comparison.
#[tokio::test]
async fn seasons_are_shown() {
    let browser = Browser::on(weathered());
    let page = browser.get("/water/seasons").await.text;
    let at = |text: &str| page.find(text).unwrap_or_else(|| panic!("no {text}"));
    assert!(at("1 May 2025") < at("1 May 2024") && at("1 May 2024") < at("1 May 2023"));
    assert!(!page.contains("1 May 2022"), "the last three");
    assert!(page.contains("The mark is") && page.contains("dynamic programme") && page.contains("Long timer"));
    let one = browser.get("/water/seasons?from=2022-01-01&to=2022-12-31").await.text;
    assert!(one.contains("1 May 2022") && !one.contains("1 May 2023"));
}

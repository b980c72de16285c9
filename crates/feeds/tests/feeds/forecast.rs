//! Forecast files: the plain CSV, and the documents of two public services in the shape their documentation gives.

use feeds::{FeedError, ForecastFile, ForecastHints};
use jiff::civil::date;
use jiff::tz::TimeZone;
use yard::ForecastDay;

use crate::holds;

fn hints() -> ForecastHints {
    ForecastHints { issued: None, time_zone: TimeZone::get("America/Chicago").unwrap() }
}

fn read(text: &str) -> Result<ForecastFile, FeedError> {
    feeds::read_forecast("test", text.as_bytes(), &hints())
}

fn refused(text: &str) -> String {
    read(text).expect_err("the file should be refused").to_string()
}

/// Low, high, rain, chance, humidity and wind of a day.
fn told(day: &ForecastDay) -> [Option<f64>; 6] {
    [
        day.low.map(|t| t.get()),
        day.high.map(|t| t.get()),
        day.rain.map(|r| r.get()),
        day.chance.map(|c| c.get()),
        day.humidity.map(|h| h.get()),
        day.wind.map(|w| w.get()),
    ]
}

/// Columns in any order and unit; blanks are not told; several days of issue in one file.
#[test]
fn a_csv_of_several_issues() {
    let file = read(
        "date,issued,high_f,low_f,rain_in,chance_pct,wind_mph\n2026-06-02,2026-06-02,86,59,0.5,60,10\n2026-06-01,2026-06-01,77,,,20,\n\
         2026-06-02,2026-06-01,80.6,60.8,,,\n",
    )
    .unwrap();
    assert_eq!(file.format, "csv");
    let [first, second] = file.forecasts.as_slice() else { panic!("{file:?}") };
    assert_eq!((first.issued, first.days.len()), (date(2026, 6, 1), 2));
    assert_eq!(told(&first.days[0]), [None, Some(25.0), None, Some(20.0), None, None]);
    let near = |a: [Option<f64>; 6], b: [Option<f64>; 6]| {
        a.iter().zip(b).all(|(a, b)| a.is_some() == b.is_some() && (a.unwrap_or(0.0) - b.unwrap_or(0.0)).abs() < 1e-9)
    };
    assert!(near(told(&second.days[0]), [Some(15.0), Some(30.0), Some(12.7), Some(60.0), None, Some(4.4704)]));
    // The day of issue may be told beside the file.
    let hints = ForecastHints { issued: Some(date(2026, 6, 1)), ..hints() };
    let file = feeds::read_forecast("test", "date,high_c\n2026-06-03,20\n".as_bytes(), &hints).unwrap();
    assert_eq!(file.forecasts[0].issued, date(2026, 6, 1));
}

/// Every fault names line, column, value and range, and nothing is taken from a file with one.
#[test]
fn a_faulty_csv_is_refused_whole() {
    holds(
        &refused(
            "issued,date,low_c,high_c,chance_pct\n2026-06-01,2026-06-01,12,120,140\n2026-06-01,2026-06-02,a,20,50\n",
        ),
        &[
            "line 2, column \"high_c\": \"120\"",
            "-90 to 60 °C",
            "line 2, column \"chance_pct\": \"140\"",
            "0 to 100 %",
            "line 3, column \"low_c\": \"a\"",
        ],
    );
    holds(&refused("issued,date,low_c,high_c\n2026-06-01,2026-06-01,25,20\n"), &["line 2", "above the day's high"]);
    holds(&refused("issued,date,high_c\n2026-06-02,2026-06-01,25\n"), &["line 2", "-1 days after", "0 to 16 days"]);
    holds(&refused("issued,date,high_c\n2026-06-01,2026-07-01,25\n"), &["30 days after"]);
    holds(
        &refused("issued,date,high_c\n2026-06-01,2026-06-01,25\n2026-06-01,2026-06-01,26\n"),
        &["line 3", "second time", "line 2"],
    );
    holds(&refused("issued,date,high\n2026-06-01,2026-06-01,25\n"), &["\"high\" is not known", "high_c, high_f"]);
    holds(&refused("date,high_c\n2026-06-01,25\n"), &["day of issue", "--issued"]);
    holds(&refused("issued,high_c\n2026-06-01,25\n"), &["no column tells the date"]);
    holds(&refused("issued,date,high_c,high_f\n"), &["high_c", "high_f"]);
    holds(&refused("issued,date,high_c\n"), &["no day"]);
    holds(&refused("issued,date,high_c\n2026-06-01,6/1/2026,25\n"), &["is no date", "yyyy-mm-dd"]);
}

/// A gridpoint document: highs by the day, lows by the morning they end in, rain summed over the day's hours and shared at midnight, the
/// highest chance, km/h made m/s. What lies before the update is past. America/Chicago is five hours behind in June.
const GRIDPOINT: &str = r#"{"properties": {"updateTime": "2026-06-01T11:00:00+00:00",
  "maxTemperature": {"uom": "wmoUnit:degC", "values": [
    {"validTime": "2026-05-31T12:00:00+00:00/PT13H", "value": 19}, {"validTime": "2026-06-01T12:00:00+00:00/PT13H", "value": 27.5},
    {"validTime": "2026-06-02T12:00:00+00:00/PT13H", "value": 30}]},
  "minTemperature": {"uom": "wmoUnit:degC", "values": [{"validTime": "2026-06-02T00:00:00+00:00/PT14H", "value": 14}]},
  "quantitativePrecipitation": {"uom": "wmoUnit:mm", "values": [
    {"validTime": "2026-06-01T08:00:00+00:00/PT6H", "value": 6}, {"validTime": "2026-06-01T18:00:00+00:00/PT6H", "value": 2},
    {"validTime": "2026-06-02T02:00:00+00:00/PT6H", "value": 6}, {"validTime": "2026-06-02T08:00:00+00:00/P1D", "value": 0}]},
  "probabilityOfPrecipitation": {"uom": "wmoUnit:percent", "values": [
    {"validTime": "2026-06-01T05:00:00+00:00/PT6H", "value": 90}, {"validTime": "2026-06-01T11:00:00+00:00/PT12H", "value": 40},
    {"validTime": "2026-06-02T02:00:00+00:00/PT6H", "value": 55}, {"validTime": "2026-06-02T12:00:00+00:00/PT12H", "value": null}]},
  "relativeHumidity": {"uom": "wmoUnit:percent", "values": [{"validTime": "2026-06-02T05:00:00+00:00/P1D", "value": 60}]},
  "windSpeed": {"uom": "wmoUnit:km_h-1", "values": [{"validTime": "2026-06-02T05:00:00+00:00/P1D", "value": 18}]}}}"#;

#[test]
fn a_gridpoint_document() {
    let file = read(GRIDPOINT).unwrap();
    let [forecast] = file.forecasts.as_slice() else { panic!("{file:?}") };
    assert_eq!((file.format, forecast.issued), ("nws-gridpoint", date(2026, 6, 1)));
    // 6 mm over six hours, three of them past: 3; then 2; then three of six hours before midnight: 3.
    assert_eq!(told(&forecast.days[0]), [None, Some(27.5), Some(8.0), Some(55.0), None, None]);
    // The other three hours of the night, and the dry day.
    assert_eq!(told(&forecast.days[1]), [Some(14.0), Some(30.0), Some(3.0), Some(55.0), Some(60.0), Some(5.0)]);
    // Three hours of a third day are no day.
    assert_eq!(forecast.days.len(), 2);
}

/// Units, figures and times that are not what the service documents are named by their path.
#[test]
fn a_faulty_gridpoint_document_is_refused_whole() {
    holds(
        &refused(&GRIDPOINT.replace("wmoUnit:mm", "wmoUnit:in")),
        &["properties.quantitativePrecipitation.uom", "wmoUnit:mm"],
    );
    holds(
        &refused(&GRIDPOINT.replace("27.5", "275")),
        &["properties.maxTemperature.values[1].value", "\"275\"", "-90 to 60 °C"],
    );
    holds(
        &refused(&GRIDPOINT.replace("2026-06-02T00:00:00+00:00/PT14H", "2026-06-02T00:00:00+00:00")),
        &["properties.minTemperature.values[0].validTime", "ISO 8601"],
    );
    holds(&refused(&GRIDPOINT.replace("2026-06-01T11:00:00+00:00\"", "today\"")), &["properties.updateTime", "today"]);
    holds(&refused(&GRIDPOINT[..400]), &["not whole JSON", "line"]);
    holds(&refused(r#"{"type": "FeatureCollection", "features": []}"#), &["not a forecast", "\"features\""]);
}

/// The forecast document: twelve-hour periods in °F and mph; a night's low is that of the morning after.
#[test]
fn a_document_of_periods() {
    let period = |from: &str, to: &str, day: bool, t: i32, pop: &str| {
        format!(
            r#"{{"startTime": "{from}", "endTime": "{to}", "isDaytime": {day}, "temperature": {t}, "temperatureUnit": "F",
               "probabilityOfPrecipitation": {{"unitCode": "wmoUnit:percent", "value": {pop}}}, "windSpeed": "5 to 15 mph"}}"#
        )
    };
    let text = format!(
        r#"{{"properties": {{"updateTime": "2026-06-01T09:00:00+00:00", "periods": [{}, {}, {}]}}}}"#,
        period("2026-06-01T06:00:00-05:00", "2026-06-01T18:00:00-05:00", true, 86, "20"),
        period("2026-06-01T18:00:00-05:00", "2026-06-02T06:00:00-05:00", false, 59, "null"),
        period("2026-06-02T06:00:00-05:00", "2026-06-02T18:00:00-05:00", true, 77, "70")
    );
    let file = read(&text).unwrap();
    let days: Vec<_> = file.forecasts[0].days.iter().map(told).collect();
    assert_eq!(file.format, "nws-periods");
    assert_eq!(days[0][..4], [None, Some(30.0), None, Some(20.0)]);
    assert_eq!(days[1][..4], [Some(15.0), Some(25.0), None, Some(70.0)]);
    assert!((days[1][5].unwrap() - 4.4704).abs() < 1e-9, "eighteen hours of it");
    holds(&file.notes.join(" "), &["no amounts of rain"]);
    holds(&refused(&text.replace("\"F\"", "\"K\"")), &["properties.periods[0].temperatureUnit", "F or C"]);
}

/// A locationforecast by the hour, then by six hours: extremes of the hours and of the six-hour figures, rain of the hours where the next
/// time is an hour off, else of the six hours, nothing counted twice.
#[test]
fn a_locationforecast() {
    let step = |hour: i64, t: f64, rest: &str| {
        let time = jiff::Timestamp::from_second(1_780_290_000 + hour * 3600).unwrap();
        format!(
            r#"{{"time": "{time}", "data": {{"instant": {{"details": {{"air_temperature": {t}, "relative_humidity": 50, "wind_speed": 3}}}}{rest}}}}}"#
        )
    };
    // 2026-06-01T05:00Z is midnight in Chicago.
    assert_eq!(jiff::Timestamp::from_second(1_780_290_000).unwrap().to_string(), "2026-06-01T05:00:00Z");
    let hourly = r#", "next_1_hours": {"details": {"precipitation_amount": 0.5, "probability_of_precipitation": 30}},
        "next_6_hours": {"details": {"precipitation_amount": 3, "air_temperature_max": 99, "probability_of_precipitation": 45}}"#;
    let sixth = r#", "next_6_hours": {"details": {"precipitation_amount": 1.5, "air_temperature_max": 31, "air_temperature_min": 9,
        "probability_of_precipitation": 80}}"#;
    let mut steps: Vec<String> = (0..24).map(|h| step(h, 10.0 + (h % 24) as f64 / 2.0, hourly)).collect();
    steps.extend((0..5).map(|k| step(24 + 6 * k, 15.0, sixth)));
    let text = |unit: &str| {
        format!(
            r#"{{"type": "Feature", "properties": {{"meta": {{"updated_at": "2026-06-01T05:10:00Z", "units": {{"air_temperature": "{unit}",
               "precipitation_amount": "mm", "wind_speed": "m/s"}}}}, "timeseries": [{}]}}}}"#,
            steps.join(",")
        )
    };
    let file = read(&text("celsius")).unwrap();
    let days: Vec<_> = file.forecasts[0].days.iter().map(told).collect();
    assert_eq!((file.format, file.forecasts[0].issued), ("met-locationforecast", date(2026, 6, 1)));
    assert_eq!(days[0], [Some(10.0), Some(21.5), Some(12.0), Some(45.0), Some(50.0), Some(3.0)]);
    assert_eq!(days[1], [Some(9.0), Some(31.0), Some(6.0), Some(80.0), Some(50.0), Some(3.0)]);
    holds(&refused(&text("fahrenheit")), &["properties.meta.units.air_temperature", "\"fahrenheit\"", "celsius"]);
    holds(&refused(&text("celsius").replace("2026-06-01T09:00:00Z", "2026-06-01T06:00:00Z")), &["does not come after"]);
}

/// No bytes make the reader panic.
#[test]
fn any_bytes_are_an_answer() {
    for text in [
        "",
        "{",
        "{}",
        "[]",
        "{\"properties\":{\"timeseries\":[]}}",
        "{\"properties\":{\"periods\":[{}]}}",
        "date\n",
        "date,issued\n,\n",
    ] {
        assert!(read(text).is_err(), "{text}");
    }
    for cut in 0..GRIDPOINT.len() {
        if GRIDPOINT.is_char_boundary(cut) {
            let _ = read(&GRIDPOINT[..cut]);
            let _ = read(&GRIDPOINT.replacen(GRIDPOINT[cut..].chars().next().unwrap(), "7", 3));
        }
    }
}

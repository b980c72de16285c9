//! What holds for every input.

use feeds::{CsvHints, DepthUnit, TemperatureUnit, WindUnit, read_any, read_csv, read_ghcn_csv, read_ghcn_dly};
use jiff::civil::date;
use jiff::{Span, ToSpan};
use proptest::prelude::*;
use reckon::units::{Celsius, Metres, MetresPerSecond, Millimetres, Percent};
use yard::WeatherDay;

fn all_readers(bytes: &[u8]) {
    let told = CsvHints {
        temperature: Some(TemperatureUnit::Fahrenheit),
        depth: Some(DepthUnit::Inches),
        wind: Some(WindUnit::Knots),
        wind_height_m: Some(10.0),
    };
    // Errors are made into messages too: a message must not panic either.
    let _ = read_csv("f", bytes, &CsvHints::default()).map_err(|e| e.to_string());
    let _ = read_csv("f", bytes, &told).map_err(|e| e.to_string());
    let _ = read_any("f", bytes, &told).map_err(|e| e.to_string());
    let _ = read_ghcn_csv("f", bytes).map_err(|e| e.to_string());
    let _ = read_ghcn_dly("f", bytes).map_err(|e| e.to_string());
}

fn cell(value: Option<f64>) -> String {
    value.map(|v| v.to_string()).unwrap_or_default()
}

/// The record as a CSV of SI columns.
fn print(days: &[WeatherDay]) -> String {
    let mut out = "date,tmin_c,tmax_c,precip_mm,wind_ms,wind_height_m,rh_mean_pct\n".to_owned();
    for d in days {
        let cells = [
            d.date.to_string(),
            cell(d.tmin.map(Celsius::get)),
            cell(d.tmax.map(Celsius::get)),
            cell(d.rain.map(Millimetres::get)),
            cell(d.wind.map(MetresPerSecond::get)),
            cell(d.wind_height.map(Metres::get)),
            cell(d.humidity_mean.map(Percent::get)),
        ];
        out.push_str(&cells.join(","));
        out.push('\n');
    }
    out
}

prop_compose! {
    fn day()(
        skip in 1_i64..5,
        low in prop::option::of(-40.0..20.0_f64),
        high in prop::option::of(20.0..44.0_f64),
        rain in prop::option::of(0.0..300.0_f64),
        wind in prop::option::of((0.0..9.0_f64, prop::option::of(1.0..20.0_f64))),
        humidity in prop::option::of(2.0..=100.0_f64),
    ) -> (i64, WeatherDay) {
        let mut day = WeatherDay::blank(date(2000, 1, 1));
        day.tmin = low.map(Celsius::new);
        day.tmax = high.map(Celsius::new);
        day.rain = rain.map(Millimetres::new);
        day.wind = wind.map(|(w, _)| MetresPerSecond::new(w));
        day.wind_height = wind.and_then(|(_, h)| h).map(Metres::new);
        day.humidity_mean = humidity.map(Percent::new);
        (skip, day)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// No bytes make a reader panic.
    #[test]
    fn arbitrary_bytes(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        all_readers(&bytes);
    }

    /// Nor does text that looks like a weather file.
    #[test]
    fn near_csv(
        header in "(date|time|year,month,day|DATE)([,;\t](tmin|TMAX ?\\(°F\\)|rain mm|wind_10m_ms|rh|solar_mj_m2|\"x|prcp_in|u2)){0,5}",
        rows in prop::collection::vec("([0-9]{1,5}[-/.]?[0-9]{1,3}[-/.]?[0-9]{1,5}[T ]?|\"|#)([,;\t][-+0-9.,eE\"NATé°]{0,9}){0,7}\r?", 0..30),
    ) {
        all_readers(format!("{header}\n{}", rows.join("\n")).as_bytes());
    }

    /// Nor does a station file with bytes changed, and with its end cut off.
    #[test]
    fn broken_station_files(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<char>()), 0..8),
        cut in any::<prop::sample::Index>(),
    ) {
        let long = "ID,DATE,ELEMENT,VALUE,M,Q,S,O\nUSC00417983,19500101,PRCP,254,,,6,\nUSC00417983,19500102,TMAX,100,T,X,6,0700\n";
        let wide = "\"STATION\",\"DATE\",\"LATITUDE\",\"TMAX\",\"TMAX_ATTRIBUTES\"\n\"AG000060590\",\"1892-01-01\",\"30.5\",\"   34\",\",,E\"\n";
        for whole in [crate::ghcn_dly::JANUARY_1949, long, wide] {
            let mut text: Vec<char> = whole.chars().collect();
            for (at, to) in &changes {
                let at = at.index(text.len());
                text[at] = *to;
            }
            text.truncate(cut.index(text.len()) + 1);
            all_readers(text.into_iter().collect::<String>().as_bytes());
        }
    }

    /// Printing a record and reading it gives the same days, to the last bit.
    #[test]
    fn parse_after_print(days in prop::collection::vec(day(), 1..60)) {
        let mut at = date(1990, 1, 1);
        let days: Vec<WeatherDay> = days
            .into_iter()
            .map(|(skip, mut day)| {
                let step: Span = skip.days();
                at = at.checked_add(step).unwrap();
                day.date = at;
                day
            })
            .collect();
        let blank = |d: &WeatherDay| *d == WeatherDay::blank(d.date);
        prop_assume!(!days.iter().all(blank));
        let import = read_csv("f.csv", print(&days).as_bytes(), &CsvHints::default()).unwrap();
        prop_assert_eq!(import.record.days, days);
    }
}

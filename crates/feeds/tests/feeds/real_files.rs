//! Real weather: the record the demo uses, and excerpts of two other files of public weather data.

use crate::csv;
use feeds::CsvHints;
use jiff::civil::date;

const CHAMPION: &str = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/champion-ne-daily.csv"));

/// Thirty-seven years: every day there, none missing, and the sums another tool made of the same file.
#[test]
fn champion_is_whole() {
    let import = csv(CHAMPION).unwrap();
    let report = &import.report;
    assert_eq!((report.rows_read, report.days), (13_514, 13_514));
    assert_eq!((report.first, report.last), (Some(date(1982, 1, 1)), Some(date(2018, 12, 31))));
    assert!(report.gaps.is_empty() && report.duplicates.is_empty() && report.notes.is_empty(), "{report:?}");
    let missing: Vec<_> = ["tmin_c", "tmax_c", "precip_mm", "et0_mm"].map(|c| (c.to_owned(), 0)).into();
    assert_eq!(report.missing, missing);
    let days = &import.record.days;
    let rain: f64 = days.iter().filter_map(|d| d.rain).map(|r| r.get()).sum();
    assert!((rain / 37.0 - 413.858).abs() < 0.0005, "{rain}");
    let warmest = days.iter().filter_map(|d| d.tmax).map(|t| t.get()).fold(f64::MIN, f64::max);
    let coldest = days.iter().filter_map(|d| d.tmin).map(|t| t.get()).fold(f64::MAX, f64::min);
    assert_eq!((warmest, coldest), (43.74, -37.10));
    assert_eq!(days[0].et0.map(|e| e.get()), Some(1.59));
    assert_eq!((import.record.format.as_str(), import.record.place), ("csv", None));
}

/// The same file said to be in other units is refused for what its columns would be then.
#[test]
fn champion_in_wrong_units_is_refused() {
    let as_fahrenheit = CHAMPION.replacen("tmax_c", "tmax_f", 1);
    crate::holds(&crate::refused(&as_fahrenheit), &["tmax_f", "43.7 as °F", "--temperature c"]);
    let fahrenheit: String = CHAMPION
        .lines()
        .enumerate()
        .map(|(i, line)| {
            let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
            if i > 0 {
                for cell in &mut cells[1..3] {
                    *cell = format!("{:.1}", cell.parse::<f64>().unwrap() * 1.8 + 32.0);
                }
            }
            cells.join(",") + "\n"
        })
        .collect();
    crate::holds(&crate::refused(&fahrenheit), &["tmax_c", "°F", "--temperature f"]);
    let right = fahrenheit.replacen("tmin_c,tmax_c", "tmin_f,tmax_f", 1);
    let (ours, theirs) = (csv(&right).unwrap(), csv(CHAMPION).unwrap());
    for (a, b) in ours.record.days.iter().zip(&theirs.record.days) {
        assert!((a.tmax.unwrap().get() - b.tmax.unwrap().get()).abs() <= 0.05 / 1.8 + 1e-9);
    }
}

/// Seattle, Washington: drawn from public-domain NOAA data; the word column is named as not used, the wind's height as unknown.
#[test]
fn seattle() {
    let import = csv("date,tmin_c,tmax_c,precip_mm,wind_ms,weather\n\
         2012-01-01,5.0,12.8,0.0,4.7,drizzle\n2012-01-02,2.8,10.6,10.9,4.5,rain\n2012-01-03,7.2,11.7,0.8,2.3,rain\n\
         2012-01-04,5.6,12.2,20.3,4.7,rain\n2012-01-05,2.8,8.9,1.3,6.1,rain\n2012-01-06,2.2,4.4,2.5,2.2,rain\n")
    .unwrap();
    assert_eq!(import.report.days, 6);
    assert_eq!(import.record.days[3].rain.map(|r| r.get()), Some(20.3));
    assert_eq!(import.record.days[3].wind_height, None);
    crate::holds(
        &import.report.notes.join("\n"),
        &["Columns not used: \"weather\"", "height of the wind gauge is not told"],
    );
}

/// Newark, New Jersey (Iowa Environmental Mesonet): humidity and dew point, with the height told by the user.
#[test]
fn newark() {
    let text = "date,tmin_c,tmax_c,precip_mm,wind_ms,rh_mean_pct,tdew_c,hours\n\
        2013-01-01,-2.2,5.0,0.0,5.92,56.7,-5.18,22\n2013-01-02,-4.4,1.1,0.0,4.87,48.8,-11.26,24\n\
        2013-01-11,1.7,8.0,13.47,2.14,75.5,1.29,24\n2013-01-12,6.7,9.0,0.75,2.25,94.7,6.9,24\n";
    let hints = CsvHints { wind_height_m: Some(10.0), ..CsvHints::default() };
    let import = feeds::read_any("newark.csv", text.as_bytes(), &hints).unwrap();
    let day = import.record.days[2];
    assert_eq!(day.wind_height.map(|h| h.get()), Some(10.0));
    assert_eq!((day.humidity_mean.map(|h| h.get()), day.dew_point.map(|t| t.get())), (Some(75.5), Some(1.29)));
    assert_eq!(import.report.gaps, [(date(2013, 1, 3), date(2013, 1, 10))]);
    assert_eq!(import.report.notes, ["Columns not used: \"hours\"."]);
}

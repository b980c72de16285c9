//! The plain CSV: names, units, dates, delimiters, faults.

use crate::{csv, daily, holds, refused};
use feeds::{CsvHints, DepthUnit, FeedError, TemperatureUnit, WindUnit};
use jiff::civil::date;

/// A file whose columns say no unit asks for all of them at once, and reads with the answers.
#[test]
fn units_are_asked_for() {
    let text = "Date,TMIN,TMAX,Rain,Wind,RH\n2024-07-01,59,86,0.5,10,60\n";
    holds(
        &refused(text),
        &[
            "test.csv, line 1",
            "\"TMIN\"",
            "\"TMAX\"",
            "--temperature c|f",
            "\"Rain\"",
            "--depth mm|in",
            "\"Wind\"",
            "--wind ms|kmh|mph|kn",
        ],
    );
    let hints = CsvHints {
        temperature: Some(TemperatureUnit::Fahrenheit),
        depth: Some(DepthUnit::Inches),
        wind: Some(WindUnit::MilesPerHour),
        wind_height_m: Some(2.0),
    };
    let import = feeds::read_csv("test.csv", text.as_bytes(), &hints).unwrap();
    let day = import.record.days[0];
    assert_eq!((day.tmin.unwrap().get(), day.tmax.unwrap().get()), (15.0, 30.0));
    assert_eq!((day.rain.unwrap().get(), day.wind.unwrap().get()), (12.7, 4.4704));
    assert_eq!((day.wind_height.unwrap().get(), day.humidity_mean.unwrap().get()), (2.0, 60.0));
}

/// The unit in a name goes before a hint, and the report says so.
#[test]
fn a_name_goes_before_a_hint() {
    let hints = CsvHints { temperature: Some(TemperatureUnit::Fahrenheit), ..CsvHints::default() };
    let import = feeds::read_csv("t", "date,tmin_c\n2024-07-01,15\n".as_bytes(), &hints).unwrap();
    assert_eq!(import.record.days[0].tmin.unwrap().get(), 15.0);
    holds(&import.report.notes.join(""), &["\"tmin_c\"", "°C", "not as °F"]);
}

/// One day written with each delimiter, line end, quoting, byte order mark and date form gives the same record.
#[test]
fn one_day_in_many_dialects() {
    let plain = csv("date,tmin_c,rain_mm\n2024-07-14,15.5,1.25\n").unwrap().record.days;
    for text in [
        "\u{feff}date,tmin_c,rain_mm\r\n2024-07-14,15.5,1.25\r\n",
        "\"Date\",\"TMin (°C)\",\"Rain (mm)\"\n\"2024-07-14\",\"15.5\",\"1.25\"\n",
        "date;tmin_c;rain_mm\n2024/07/14;15,5;1,25\n",
        "date;tmin_c;rain_mm\n14.07.2024;15.5;1.25\n",
        "date\ttmin_c\train_mm\n20240714\t15.5\t1.25",
        "date\ttmin_c\train_mm\n20240714\t15,5\t1,25",
        "# from the gauge\n\ndate , tmin_c , rain_mm , \n 7/14/2024 , 15.5 , 1.25 , \n,,,\n",
        "year,month,day,tmin_c,rain_mm\n2024,7,14,15.5,1.25\n",
        "time,tmin c,precipitation_sum (mm)\n2024-07-14T00:00,15.5,1.25\n",
        "date,tmin_c,rain_mm\n2024-07-14,+15.5,1.25e0\n\n\n",
    ] {
        assert_eq!(csv(text).unwrap_or_else(|e| panic!("{text}: {e}")).record.days, plain, "{text}");
    }
}

/// Blank is missing; words for missing are read as blank and told; T is a trace of rain.
#[test]
fn missing_and_trace() {
    let import = csv("date,tmin_c,rain_mm\n2024-07-01,,T\n2024-07-02,NA,1\n2024-07-03,3,\n").unwrap();
    let days = &import.record.days;
    assert_eq!((days[0].tmin, days[0].rain.unwrap().get(), days[2].rain), (None, 0.0, None));
    assert_eq!(import.report.missing, [("tmin_c".to_owned(), 2), ("rain_mm".to_owned(), 1)]);
    holds(
        &import.report.notes.join("\n"),
        &["Read as blank: 1 cell with a word", "Counted as 0: 1 cell of rain with T"],
    );
}

/// Month and day before the year are read only where the file shows which is which.
#[test]
fn order_of_month_and_day() {
    let both = |a: &str, b: &str| format!("date,tmin_c\n{a},1\n{b},2\n");
    let first = |text: &str| csv(text).unwrap().report;
    let us = first(&both("3/4/2024", "3/13/2024"));
    assert_eq!((us.first, us.last), (Some(date(2024, 3, 4)), Some(date(2024, 3, 13))));
    holds(&us.notes.join(""), &["month/day/year", "line 3"]);
    let eu = first(&both("3/4/2024", "13/4/2024"));
    assert_eq!((eu.first, eu.last), (Some(date(2024, 4, 3)), Some(date(2024, 4, 13))));
    holds(
        &refused(&both("3/4/2024", "5/6/2024")),
        &["line 2", "\"3/4/2024\"", "no day of the file is above 12", "yyyy-mm-dd"],
    );
    holds(&refused(&both("13/4/2024", "4/13/2024")), &["both places"]);
    holds(&refused(&both("2/30/2024", "3/4/2024")), &["line 2", "\"2/30/2024\"", "no day of the calendar"]);
}

/// Each faulty cell is told with its line, column, value, range and a way out; all of them at once.
#[test]
fn faults_are_listed_together() {
    let message = refused(
        "date,tmin_c,tmax_c,rain_mm,rh_mean_pct\n\
         0026-01-05,1,2,0,50\n\
         \n\
         2024-01-02,8,7,0,50\n\
         2024-01-03,-9999,7,0,50\n\
         2024-01-04,1,2,-1,101\n\
         2024-01-05,1,2,x,50\n\
         2024-01-06,1,2\n\
         # a remark\n\
         2024-02-30,1,2,0,\"5,0\"\n",
    );
    holds(
        &message,
        &[
            "test.csv: 9 faults; nothing was imported",
            "line 2, column \"date\": \"0026-01-05\" has a year out of range",
            "Allowed: a date in 1850-01-01 to 2100-12-31",
            "line 4, column \"tmin_c\": \"8\" is above \"tmax_c\", 7",
            "line 5, column \"tmin_c\": \"-9999\" is out of range for lowest temperature in °C. Allowed: -90 to 60 °C. Where it marks a missing",
            "line 6, column \"rain_mm\": \"-1\"",
            "line 6, column \"rh_mean_pct\": \"101\"",
            "line 7, column \"rain_mm\": \"x\" is not a number. Allowed: 0 to 2000 mm",
            "line 8, column \"(whole row)\": \"2024-01-06\" begins a row of 3 fields. Allowed: 5 fields",
            "line 10, column \"date\": \"2024-02-30\" is no day of the calendar",
            "line 10, column \"rh_mean_pct\": \"5,0\" has a comma",
        ],
    );
}

/// Twenty faults are shown, all are counted.
#[test]
fn faults_beyond_twenty_are_counted() {
    for (n, more) in [(20, None), (21, Some("and 1 more")), (500, Some("and 480 more"))] {
        match csv(&daily("rain_mm", n, |_| "x".to_owned())) {
            Err(FeedError::Faults(list)) => {
                assert_eq!((list.shown.len(), list.total), (20, n as usize));
                let message = list.to_string();
                assert_eq!(message.contains("more"), more.is_some());
                holds(&message, more.as_slice());
            }
            other => panic!("{other:?}"),
        }
    }
}

/// Physical ranges, on both sides of each edge.
#[test]
fn ranges_hold_at_their_edges() {
    for (column, inside, outside) in [
        ("tmin_c", ["-90", "60"], ["-90.1", "60.1"]),
        ("tmax_f", ["-130", "140"], ["-130.1", "140.1"]),
        ("rain_mm", ["0", "2000"], ["-0.1", "2000.1"]),
        ("rain_in", ["0", "78.7"], ["-0.1", "78.8"]),
        ("wind_ms", ["0", "110"], ["-0.1", "110.1"]),
        ("wind_kmh", ["0", "396"], ["-0.1", "396.5"]),
        ("rh_max_pct", ["0", "100"], ["-1", "100.5"]),
        ("tdew_c", ["-90", "60"], ["-91", "61"]),
        ("solar_mj_m2", ["0", "50"], ["-0.1", "50.1"]),
        ("et0_mm", ["0", "30"], ["-0.1", "30.1"]),
    ] {
        let file = |value: &str| format!("date,{column}\n2024-07-01,{value}\n");
        for value in inside {
            assert!(csv(&file(value)).is_ok(), "{column} {value}");
        }
        for value in outside {
            holds(&refused(&file(value)), &["line 2", column, value, "Allowed"]);
        }
    }
}

/// The same row twice collapses and is told; two different rows for a date are refused with the date and the line.
#[test]
fn duplicates() {
    let import = csv("date,tmin_c\n2024-07-02,2\n2024-07-01,1\n2024-07-02,2\n2024-07-02,2.0\n").unwrap();
    assert_eq!((import.report.rows_read, import.report.days), (4, 2));
    assert_eq!(import.report.duplicates, [date(2024, 7, 2)]);
    assert!(import.record.days.is_sorted_by_key(|d| d.date));
    let message = refused("date,tmin_c\n2024-07-01,1\n2024-07-02,2\n2024-07-01,3\n");
    holds(&message, &["on 1 date: ", "2024-07-01 (line 4)"]);
}

/// A whole column in another unit is refused, with the option that puts it right; an odd one is noted.
#[test]
fn columns_in_other_units() {
    let season = |i: i32, mean: f64, swing: f64| mean - swing * (f64::from(i) / 365.0 * std::f64::consts::TAU).cos();
    let refusals = [
        (daily("tmax_c", 365, |i| format!("{:.0}", season(i, 64.0, 25.0))), "--temperature f"),
        (daily("tmax_c", 12, |_| "288.2".into()), "kelvin"),
        (daily("tmax_f", 365, |i| format!("{:.0}", season(i, 18.0, 14.0))), "--temperature c"),
        (daily("rain_in", 365, |i| if i % 3 == 0 { "8".into() } else { "0".into() }), "--depth mm"),
        (daily("wind_ms", 60, |i| format!("{}", 20 + i % 9)), "--wind kmh"),
        (daily("rh_mean_pct", 60, |i| format!("0.{}", 50 + i % 40)), "multiplying the column by 100"),
        (daily("solar_mj_m2", 60, |i| format!("{}", 150 + i)), "W/m²"),
    ];
    for (text, way_out) in refusals {
        let error = csv(&text).unwrap_err();
        assert!(matches!(error, FeedError::Implausible { .. }), "{error}");
        holds(&error.to_string(), &["test.csv, column", "Allowed", way_out]);
    }
    let notes = [
        (daily("rain_mm", 365, |i| if i % 3 == 0 { "0.3".into() } else { "0".into() }), "--depth in"),
        (daily("wind_ms", 60, |i| format!("{}", 11 + i % 5)), "--wind kmh"),
    ];
    for (text, way_out) in notes {
        holds(&csv(&text).unwrap().report.notes.join("\n"), &["rare", way_out]);
    }
    // A cold month in °F, and a dry one in mm, are only that.
    assert!(csv(&daily("tmax_f", 31, |i| format!("{}", 5 + i % 9))).unwrap().report.notes.is_empty());
    assert!(csv(&daily("rain_mm", 31, |_| "0".into())).unwrap().report.notes.is_empty());
}

/// Two columns for one quantity are refused; precipitation goes before rain, which may lack melted snow.
#[test]
fn two_columns_for_one_quantity() {
    holds(&refused("date,tmax_c,tmax_f\n2024-07-01,30,86\n"), &["\"tmax_c\" and \"tmax_f\"", "highest temperature"]);
    for header in ["rain_mm,precip_mm", "rain,precip_mm"] {
        let import = csv(&format!("date,{header}\n2024-01-01,1,3\n")).unwrap();
        assert_eq!(import.record.days[0].rain.unwrap().get(), 3.0);
        holds(&import.report.notes.join(""), &["melted snow"]);
    }
}

/// Height of the wind gauge: from the name, from its own column, from the user.
#[test]
fn wind_height() {
    let height = |text: &str| csv(text).unwrap().record.days[0].wind_height.map(|h| h.get());
    assert_eq!(height("date,wind 10m mph\n2024-07-01,5\n"), Some(10.0));
    assert_eq!(height("date,u2_ms\n2024-07-01,5\n"), Some(2.0));
    assert_eq!(height("date,wind_ms,wind_height_m\n2024-07-01,5,3\n"), Some(3.0));
    assert_eq!(height("date,wind_ms\n2024-07-01,5\n"), None);
    assert_eq!(height("date,tmin_c,wind 10m mph\n2024-07-01,5,\n"), None);
    let hints = CsvHints { wind_height_m: Some(0.2), ..CsvHints::default() };
    let error = feeds::read_csv("t", "date,wind_ms\n2024-07-01,5\n".as_bytes(), &hints).unwrap_err();
    holds(&error.to_string(), &["--wind-height 0.2", "0.5 to 200 m"]);
}

/// Files that hold no days say what was seen instead.
#[test]
fn files_without_days() {
    holds(&refused(""), &["no day of readings"]);
    holds(&refused("date,tmin_c\n"), &["no day of readings", "0 rows"]);
    holds(&refused("date,tmin_c\n2024-07-01,\n"), &["no day of readings", "1 rows"]);
    holds(&refused("month,day,tmin_c\n7,1,15\n"), &["no column tells the date", "\"month\", \"day\""]);
    holds(&refused("date,hours\n2024-07-01,24\n"), &["no column is weather", "\"hours\"", "tmin_c"]);
    holds(&refused("date,wind_height_m\n2024-07-01,10\n"), &["no column is weather"]);
    holds(&refused("date,tmin_c,wind_height_m\n2024-07-01,,10\n"), &["no day of readings"]);
    holds(&refused("time,tmax_c\n2024-07-01T01:00,15\n"), &["time of day", "one row a day"]);
    holds(&refused("date;tmin_c\n2024-07-01;1,5\n2024-07-02;1.5\n"), &["comma on line 2", "point on line 3"]);
    holds(&refused("date;tmin_c\n2024-07-01;1.001,5\n"), &["thousands separator"]);
}

/// Solar radiation without its unit has no option that tells it, so it is left out and told.
#[test]
fn solar_without_unit_is_left_out() {
    let import = csv("date,tmin_c,solar\n2024-07-01,15,22\n").unwrap();
    assert_eq!(import.record.days[0].solar, None);
    holds(&import.report.notes.join(""), &["\"solar\" was left out", "solar_mj_m2"]);
}

//! GHCN-Daily as CSV, long and wide.

use crate::ghcn_dly::JANUARY_1949;
use crate::holds;
use feeds::{CsvHints, FeedError, read_any, read_ghcn_csv, read_ghcn_dly};
use jiff::civil::date;

/// El Golea, Algeria, January 1892: real rows of the public-domain wide file, as a public article on the format quotes them.
const EL_GOLEA: &str = r#""STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","SNWD","SNWD_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES","TAVG","TAVG_ATTRIBUTES"
"AG000060590","1892-01-01","30.5667","2.8667","397.0","EL GOLEA, AG","    0",",,E",,,,,"   34",",,E",,
"AG000060590","1892-01-02","30.5667","2.8667","397.0","EL GOLEA, AG","    0",",,E",,,,,"   36",",,E",,
"AG000060590","1892-01-03","30.5667","2.8667","397.0","EL GOLEA, AG","    0",",,E",,,,,"   30",",,E",,
"#;

fn refused(text: &str) -> String {
    read_ghcn_csv("test.csv", text.as_bytes()).unwrap_err().to_string()
}

/// The fixed columns written as the long form: the published order of fields, the values of the real month.
fn long_form(dly: &str) -> String {
    let mut out = String::new();
    for line in dly.lines() {
        for day in 0..31 {
            let at = 21 + day * 8;
            let flag = |i: usize| line[at + i..=at + i].trim().to_owned();
            out.push_str(&format!(
                "{},{}{:02},{},{},{},{},{},0700\n",
                &line[..11],
                &line[11..17],
                day + 1,
                &line[17..21],
                line[at..at + 5].trim(),
                flag(5),
                flag(6),
                flag(7)
            ));
        }
    }
    out
}

/// The long form gives the same days as the fixed columns, with and without a header.
#[test]
fn long_form_agrees_with_fixed_columns() {
    let dly = read_ghcn_dly("station", JANUARY_1949.as_bytes()).unwrap();
    let long = long_form(JANUARY_1949);
    for header in [
        "",
        "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n",
        "ID,DATE,ELEMENT,VALUE,MFLAG,QFLAG,SFLAG,OBSTIME\r\n",
    ] {
        let text = format!("{header}{long}");
        let import = read_ghcn_csv("station", text.as_bytes()).unwrap();
        assert_eq!(import.record.days, dly.record.days);
        assert_eq!((import.report.rows_read, import.report.notes.clone()), (93, dly.report.notes.clone()));
        assert_eq!(read_any("station", text.as_bytes(), &CsvHints::default()).unwrap(), import);
        assert_eq!(import.record.format, "ghcn-csv");
    }
}

/// Composed rows: quality flags, missing values, other elements, wind.
#[test]
fn long_form_flags() {
    let text = "USC00417983,19500101,PRCP,254,,,6,\nUSC00417983,19500102,PRCP,0,T,,6,\nUSC00417983,19500103,PRCP,-9999,,,6,\n\
                USC00417983,19500102,TMAX,500,,X,6,\nUSC00417983,19500101,AWND,45,,,6,\nUSC00417983,19500101,SNOW,0,,,6,\n";
    let import = read_ghcn_csv("t", text.as_bytes()).unwrap();
    let days = &import.record.days;
    assert_eq!(days.len(), 2);
    assert_eq!((days[0].rain.unwrap().get(), days[0].wind.unwrap().get(), days[1].tmax), (25.4, 4.5, None));
    holds(
        &import.report.notes.join("\n"),
        &["TMAX: left out 1 value that failed", "SNOW (1)", "PRCP: counted as 0 on 1 day with a trace"],
    );
}

/// The real wide rows: place, padded values, an element without a value.
#[test]
fn wide_form() {
    let import = read_ghcn_csv("el-golea.csv", EL_GOLEA.as_bytes()).unwrap();
    let place = import.record.place.unwrap();
    assert_eq!((place.latitude_deg, place.longitude_deg, place.elevation_m), (30.5667, 2.8667, 397.0));
    let low: Vec<_> = import.record.days.iter().map(|d| (d.tmin.unwrap().get(), d.rain.unwrap().get())).collect();
    assert_eq!(low, [(3.4, 0.0), (3.6, 0.0), (3.0, 0.0)]);
    assert_eq!(import.report.notes, ["Station AG000060590 EL GOLEA, AG."]);
    assert_eq!(import.report.missing[0], ("TMAX".to_owned(), 3));
    assert_eq!((import.report.first, import.report.days), (Some(date(1892, 1, 1)), 3));
    assert_eq!(read_any("el-golea.csv", EL_GOLEA.as_bytes(), &CsvHints::default()).unwrap(), import);
}

/// A failed check and an unknown height in the wide form.
#[test]
fn wide_form_flags() {
    let text = EL_GOLEA.replacen(r#""   36",",,E""#, r#""   36",",I,E""#, 1).replace("397.0", "-999.9");
    let import = read_ghcn_csv("t", text.as_bytes()).unwrap();
    assert_eq!((import.record.days[1].tmin, import.record.place), (None, None));
    holds(&import.report.notes.join("\n"), &["TMIN: left out 1 value that failed", "latitude, longitude and height"]);
}

/// A file of the same columns ordered in other units is not taken for tenths; without flags and coordinates it asks.
#[test]
fn other_units_are_not_tenths() {
    let ordered = EL_GOLEA.replace(r#""    0""#, r#""0.00""#);
    let error = read_ghcn_csv("t.csv", ordered.as_bytes()).unwrap_err();
    assert!(matches!(error, FeedError::NotTenths { .. }));
    holds(&error.to_string(), &["line 2, column \"PRCP\"", "0.00", "--depth mm|in"]);
    let ordered = "\"STATION\",\"NAME\",\"DATE\",\"PRCP\",\"TMAX\",\"TMIN\"\n\"USW00014734\",\"NEWARK, NJ US\",\"2024-07-01\",\"0\",\"86\",\"68\"\n";
    let error = read_any("t.csv", ordered.as_bytes(), &CsvHints::default()).unwrap_err();
    holds(&error.to_string(), &["--temperature c|f", "--depth mm|in"]);
}

/// Faults by line and element.
#[test]
fn faults() {
    let row = "USC00417983,19500101,PRCP,254,,,6,\n";
    holds(&refused(&format!("{row}USC00417983,00260101,PRCP,254,,,6,\n")), &["line 2, column \"DATE\": \"00260101\""]);
    holds(&refused(&format!("{row}\nUSC00417983,19500102,PRCP,2x,,,6,\n")), &["line 3, column \"PRCP\": \"2x\""]);
    holds(&refused(&format!("{row}USC00417983,1950\n")), &["line 2, column \"(whole row)\""]);
    holds(&refused(&format!("{row}USC00417983,19500101,PRCP,255,,,6,\n")), &["1950-01-01 (line 2)"]);
    holds(
        &refused(&format!("{row}USC00417984,19500102,PRCP,255,,,6,\n")),
        &["line 2", "\"USC00417984\" follows \"USC00417983\""],
    );
    holds(&refused("date,tmin_c\n2024-01-01,5\n"), &["not a GHCN-Daily file", "date,tmin_c"]);
    holds(
        &refused(&format!("{EL_GOLEA}\"AG000060590\",\"1892-01-04\",\"30.5667\"\n")),
        &["line 5", "a row of 3 fields"],
    );
    holds(&refused(""), &["no day of readings"]);
}

//! GHCN-Daily in fixed columns.

use crate::holds;
use feeds::{CsvHints, read_any, read_ghcn_dly};
use jiff::civil::date;

/// Station ACW00011604, January 1949: real lines of the public-domain file, as public course material on the format quotes them.
pub const JANUARY_1949: &str = "\
ACW00011604194901TMAX  289  X  289  X  283  X  283  X  289  X  289  X  278  X  267  X  272  X  278  X  267  X  278  X  267  X  267  X  278  X  267  X  267  X  272  X  272  X  272  X  278  X  272  X  267  X  267  X  267  X  278  X  272  X  272  X  272  X  272  X  272  X
ACW00011604194901TMIN  217  X  228  X  222  X  233  X  222  X  222  X  228  X  217  X  222  X  183  X  189  X  194  X  161  X  183  X  178  X  222  X  211  X  211  X  194  X  217  X  217  X  217  X  211  X  211  X  200  X  222  X  217  X  211  X  222  X  206  X  217  X
ACW00011604194901PRCP    0  X   30  X    0  X    0  X   25  X   41  X    0  X    0T X    0  X    0  X   56  X    0T X    8  X    0  X    0  X    0  X    0  X    0T X    3  X    0T X   51  X    0  X   53  X    0  X   10  X   15  X   41  X    0T X   86  X   28  X   15  X
";

/// A line composed from the published columns: `values` from the first day on, the rest missing.
fn line(month: &str, element: &str, values: &[&str]) -> String {
    let day = |i: usize| values.get(i).copied().unwrap_or("-9999   ");
    let days: String = (0..31).map(|i| format!("{:<8}", day(i))).collect();
    format!("USC00010001{month}{element}{days}\n")
}

fn refused(text: &str) -> String {
    read_ghcn_dly("test.dly", text.as_bytes()).unwrap_err().to_string()
}

/// The real month: tenths, traces, the sum of its rain.
#[test]
fn a_real_month() {
    let import = read_ghcn_dly("ACW00011604.dly", JANUARY_1949.as_bytes()).unwrap();
    let (record, report) = (&import.record, &import.report);
    assert_eq!((record.name.as_str(), record.format.as_str(), record.place), ("ACW00011604.dly", "ghcn-dly", None));
    assert_eq!((report.rows_read, report.days), (3, 31));
    assert_eq!((report.first, report.last), (Some(date(1949, 1, 1)), Some(date(1949, 1, 31))));
    assert_eq!((record.days[0].tmax.unwrap().get(), record.days[0].tmin.unwrap().get()), (28.9, 21.7));
    assert_eq!((record.days[28].rain.unwrap().get(), record.days[30].rain.unwrap().get()), (8.6, 1.5));
    let rain: f64 = record.days.iter().filter_map(|d| d.rain).map(|r| r.get()).sum();
    assert!((rain - 46.2).abs() < 1e-9, "{rain}");
    assert_eq!(report.notes, ["Station ACW00011604.", "PRCP: counted as 0 on 5 days with a trace."]);
    assert_eq!(read_any("ACW00011604.dly", JANUARY_1949.as_bytes(), &CsvHints::default()).unwrap(), import);
}

/// Flags, missing values, elements that aren't read, wind, months of 29 days, gaps.
#[test]
fn composed_months() {
    let text = line("200002", "TMAX", &["  100   ", "  110 I ", "-9999   ", "  120  X"])
        + &line("200002", "TMIN", &["  -50   ", "-9999   ", "  130   ", "  130   "])
        + &line("200002", "PRCP", &["    5T  ", "   20   "])
        + &line("200002", "AWND", &["   31   "])
        + &line("200002", "SNOW", &["    0   ", "   10   "])
        + &line("200004", "PRCP", &["  254   "]);
    let import = read_ghcn_dly("test.dly", text.replace("   \n", "\n").as_bytes()).unwrap();
    let days = &import.record.days;
    assert_eq!(days.len(), 5);
    assert_eq!((days[0].tmax.unwrap().get(), days[0].tmin.unwrap().get()), (10.0, -5.0));
    assert_eq!((days[0].rain.unwrap().get(), days[0].wind.unwrap().get(), days[0].wind_height), (0.0, 3.1, None));
    assert_eq!((days[1].tmax, days[1].rain.unwrap().get()), (None, 2.0));
    assert_eq!((days[2].tmin.unwrap().get(), days[3].tmin, days[3].tmax), (13.0, None, None));
    assert_eq!(import.report.gaps, [(date(2000, 2, 5), date(2000, 3, 31))]);
    holds(
        &import.report.notes.join("\n"),
        &[
            "TMAX: left out 1 value that failed",
            "Elements not used, with values: SNOW (2).",
            "TMIN stands above TMAX on 1 day, first on 2000-02-04",
            "height of the wind gauge is not in the file",
        ],
    );
    assert_eq!(import.report.missing[0], ("TMAX".to_owned(), 4));
}

/// A line that is cut, misplaced or out of range is told by line, element and value.
#[test]
fn faults() {
    let whole = line("200001", "TMAX", &["  100   "]);
    let cut = &line("200002", "TMAX", &["  100   "; 29])[..21 + 8 * 3 + 4];
    holds(&refused(&format!("{whole}{cut}")), &["line 2, column \"TMAX\"", "ends the line at 49 characters, on day 4"]);
    holds(&refused(&format!("{whole}#{whole}")), &["line 2, column \"(whole line)\"", "doesn't begin as it must"]);
    holds(&refused(&line("200013", "TMAX", &[])), &["\"200013\" is not a month in range"]);
    holds(&refused(&line("184912", "TMAX", &[])), &["\"184912\"", "185001 to 210012"]);
    holds(&refused(&line("200002", "TMAX", &["   10   "; 30])), &["stands on day 30 of a month of 29"]);
    holds(&refused(&line("200001", "TMAX", &[" 1x0   "])), &["is not a whole number, on day 1"]);
    holds(&refused(&line("200001", "TMAX", &["  601   "])), &["60.1 °C on 2000-01-01", "-90 to 60 °C"]);
    holds(&refused(&(whole.clone() + &line("200001", "TMAX", &["  101   "]))), &["2000-01-01 (line 2)"]);
    holds(
        &refused(&(whole.clone() + &whole.replace("USC00010001", "USC00010002"))),
        &["\"USC00010002\" follows \"USC00010001\""],
    );
    holds(&refused("date,tmin_c\n"), &["line 1", "not a GHCN-Daily file", "plain CSV"]);
    holds(&refused(&line("200001", "SNOW", &["    0   "])), &["no day of readings"]);
    holds(&refused(""), &["no day of readings"]);
    let twice = read_ghcn_dly("t", (whole.clone() + &whole).as_bytes()).unwrap();
    assert_eq!(twice.report.duplicates, [date(2000, 1, 1)]);
}

//! Dates as files write them.

use jiff::civil::Date;

/// Years a weather record may speak of.
pub(crate) const YEARS: std::ops::RangeInclusive<i16> = 1850..=2100;

/// Forms of a date that are read, for messages.
pub(crate) const ALLOWED: &str = "a date in 1850-01-01 to 2100-12-31 as yyyy-mm-dd, yyyy/mm/dd or yyyymmdd";

/// A date as one cell tells it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Told {
    /// The day.
    Day(Date),
    /// Two numbers and a year: month and day in an order only the whole file can show.
    YearLast(i8, i8, i16),
}

/// What is wrong with a date, and what to try.
pub(crate) type Trouble = (&'static str, &'static str);

/// Reads one date.
pub(crate) fn read(text: &str) -> Result<Told, Trouble> {
    const NO_DATE: Trouble = ("is not a date", "Try writing it as yyyy-mm-dd");
    let text = text.trim();
    let (day, time) = text.split_once(['T', ' ']).unwrap_or((text, ""));
    if time.chars().any(|c| c.is_ascii_digit() && c != '0') {
        return Err(("has a time of day: rows within a day are not read", "Try a file with one row a day"));
    }
    if !time.chars().all(|c| matches!(c, '0' | ':' | '.' | 'Z')) {
        return Err(NO_DATE);
    }
    if day.len() == 8 && day.bytes().all(|b| b.is_ascii_digit()) {
        return civil(number(&day[..4]), number(&day[4..6]), number(&day[6..])).map(Told::Day);
    }
    let mut parts = day.split(['-', '/', '.']);
    let (Some(a), Some(b), Some(c), None) = (parts.next(), parts.next(), parts.next(), parts.next()) else {
        return Err(NO_DATE);
    };
    let digits = |s: &str, lengths: std::ops::RangeInclusive<usize>| {
        lengths.contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit())
    };
    if digits(a, 4..=4) && digits(b, 1..=2) && digits(c, 1..=2) {
        civil(number(a), number(b), number(c)).map(Told::Day)
    } else if digits(a, 1..=2) && digits(b, 1..=2) && digits(c, 4..=4) {
        Ok(Told::YearLast(number(a) as i8, number(b) as i8, number(c)))
    } else if digits(a, 1..=2) && digits(b, 1..=2) && digits(c, 2..=2) {
        Err(("has a year of two digits", "Try writing it as yyyy-mm-dd"))
    } else {
        Err(NO_DATE)
    }
}

/// The day of three numbers.
pub(crate) fn civil(year: i16, month: i16, day: i16) -> Result<Date, Trouble> {
    if !YEARS.contains(&year) {
        return Err(("has a year out of range", "Try writing the year with four digits"));
    }
    let (Ok(month), Ok(day)) = (i8::try_from(month), i8::try_from(day)) else {
        return Err(("is no day of the calendar", "Check month and day"));
    };
    Date::new(year, month, day).map_err(|_| ("is no day of the calendar", "Check month and day"))
}

/// Number of up to four digits the caller has checked; anything else is 0, which no calendar has.
fn number(digits: &str) -> i16 {
    digits.parse().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// Each form that is read, and each that is refused.
    #[test]
    fn forms() {
        let day = Ok(Told::Day(date(2024, 2, 29)));
        for text in [
            "2024-02-29",
            "2024/02/29",
            "2024/2/29",
            "20240229",
            " 2024-02-29 ",
            "2024-02-29T00:00",
            "2024-02-29 00:00:00",
        ] {
            assert_eq!(read(text), day, "{text}");
        }
        assert_eq!(read("2/29/2024"), Ok(Told::YearLast(2, 29, 2024)));
        assert_eq!(read("29.02.2024"), Ok(Told::YearLast(29, 2, 2024)));
        for text in [
            "",
            "x",
            "2023-02-29",
            "0026-01-05",
            "2101-01-01",
            "1849-12-31",
            "1/2/24",
            "45292",
            "2024-02",
            "2024-02-29T13:00",
            "２０２４０２２９",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
        assert!(read("1850-01-01").is_ok() && read("2100-12-31").is_ok());
    }
}

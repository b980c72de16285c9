//! The readers from outside: what a file gives, and what it is refused for.

mod csv_days;
mod forecast;
mod ghcn_csv;
mod ghcn_dly;
mod limits;
mod properties;
mod real_files;

use feeds::{CsvHints, FeedError, Import};

/// A CSV read without hints.
fn csv(text: &str) -> Result<Import, FeedError> {
    feeds::read_csv("test.csv", text.as_bytes(), &CsvHints::default())
}

/// The message a CSV is refused with.
fn refused(text: &str) -> String {
    csv(text).expect_err("the file should be refused").to_string()
}

/// Passes if the message holds every part.
#[track_caller]
fn holds(message: &str, parts: &[&str]) {
    for part in parts {
        assert!(message.contains(part), "{part:?} is not in:\n{message}");
    }
}

/// A daily CSV of `days` rows from 2001-01-01 on, each with the fields `row` gives.
fn daily(header: &str, days: i32, row: impl Fn(i32) -> String) -> String {
    let mut text = format!("date,{header}\n");
    let mut date = jiff::civil::date(2001, 1, 1);
    for i in 0..days {
        text.push_str(&format!("{date},{}\n", row(i)));
        date = date.tomorrow().unwrap();
    }
    text
}

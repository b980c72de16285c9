//! What the tests share: the demo's text and its real weather record.

use almanac::Almanac;
use jiff::civil::Date;
use reckon::units::{Celsius, Millimetres};
use yard::{Entry, Place, Weather, WeatherDay};

/// The demo's daybook.
pub const DAYBOOK: &str = include_str!("../../../../demo/daybook.txt");
/// Champion, Nebraska, 1982–2018 (see demo/README.md).
pub const CHAMPION: &str = include_str!("../../../../demo/champion-ne-daily.csv");

/// Where that record is from.
pub const CHAMPION_PLACE: Place = Place { latitude_deg: 40.40, longitude_deg: -101.72, elevation_m: 1029.0 };

/// The record's days; the file has no gaps and no missing values.
pub fn champion_days() -> Vec<WeatherDay> {
    CHAMPION
        .lines()
        .skip(1)
        .map(|line| {
            let mut cells = line.split(',');
            let date: Date = cells.next().unwrap().parse().unwrap();
            let mut number = || cells.next().unwrap().parse::<f64>().unwrap();
            let mut day = WeatherDay::blank(date);
            day.tmin = Some(Celsius::new(number()));
            day.tmax = Some(Celsius::new(number()));
            day.rain = Some(Millimetres::new(number()));
            day.et0 = Some(Millimetres::new(number()));
            day
        })
        .collect()
}

/// The weather built from them.
pub fn champion() -> Weather {
    Weather::build(CHAMPION_PLACE, &champion_days(), Almanac::embedded()).unwrap()
}

/// Entries of a text in the words of the log.
pub fn entries(text: &str) -> Vec<Entry> {
    yard::scenario::read(text, "t", Almanac::embedded()).unwrap()
}

//! The days ahead with a forecast: it goes before the years, is spread by its error, is known only from its day of issue on, and never makes
//! anybody wait for rain.

use almanac::Almanac;
use jiff::civil::{Date, date};
use reckon::units::{Celsius, Millimetres, Percent};
use yard::advice::ZoneState;
use yard::forecast::{judge, made, spreads};
use yard::{Forecast, ForecastDay, Weather, advise, fold};

use crate::common::{champion, entries};

const ON: Date = date(2017, 7, 10);

fn day(date: Date, low: f64, high: f64, rain: f64, chance: f64) -> ForecastDay {
    ForecastDay {
        low: Some(Celsius::new(low)),
        high: Some(Celsius::new(high)),
        rain: Some(Millimetres::new(rain)),
        chance: Some(Percent::new(chance)),
        ..ForecastDay::blank(date)
    }
}

fn issued(on: Date, days: &[(f64, f64, f64, f64)]) -> Forecast {
    let mut date = on;
    let mut out = Vec::new();
    for (low, high, rain, chance) in days {
        out.push(day(date, *low, *high, *rain, *chance));
        date = date.tomorrow().unwrap();
    }
    Forecast { issued: on, source: "test".to_owned(), days: out }
}

fn with(forecasts: Vec<Forecast>) -> Weather {
    champion().with_forecasts(forecasts)
}

/// The years of the outlook have the forecast as their mean and the published error as their spread on its days, rain in the share its
/// chance says, and are what they were beyond it.
#[test]
fn the_forecast_goes_before_the_years() {
    let weather = with(vec![issued(ON, &[(15.0, 38.0, 8.0, 40.0), (14.0, 30.0, 0.0, 0.0)])]);
    let eve = ON.yesterday().unwrap();
    let (told, years) = (weather.outlook(eve, 10), champion());
    let years = years.outlook(eve, 10);
    assert_eq!(told.forecast.as_ref().map(|f| (f.issued, f.days.len())), Some((ON, 2)));
    assert!(
        told.basis.starts_with("the forecast issued on 2017-07-10 (test) for 2 days, then 35 years"),
        "{}",
        told.basis
    );
    let n = told.years.len() as f64;
    let highs: Vec<f64> = told.years.iter().map(|y| y[0].tmax_c).collect();
    let mean = highs.iter().sum::<f64>() / n;
    let sd = (highs.iter().map(|h| (h - mean).powi(2)).sum::<f64>() / n).sqrt();
    assert!((mean - 38.0).abs() < 1e-9 && (sd - spreads(0).1.get()).abs() < 1e-9, "{mean} {sd}");
    let wet = told.years.iter().filter(|y| y[0].rain_mm > 0.0).count();
    assert_eq!(wet, (0.4 * n).round() as usize);
    assert!(told.years.iter().all(|y| y[1].rain_mm == 0.0));
    assert!(told.years.iter().zip(&years.years).all(|(a, b)| a[2..] == b[2..]));
}

/// A forecast of tomorrow's issue, and one that is two days old, change nothing; the old one is said to be too old.
#[test]
fn only_what_was_known_and_is_fresh_counts() {
    let yard = fold(&entries(LAWN), ON);
    let bare = advise(&yard, &champion(), Almanac::embedded(), ON);
    let old = issued(date(2017, 7, 8), &[(15.0, 40.0, 0.0, 0.0); 7]);
    let coming = issued(ON.tomorrow().unwrap(), &[(15.0, 40.0, 0.0, 0.0); 7]);
    let mut seen = advise(&yard, &with(vec![coming]), Almanac::embedded(), ON);
    assert_eq!(seen, bare);
    seen = advise(&yard, &with(vec![old]), Almanac::embedded(), ON);
    let note = seen.footing.notes.iter().find(|n| n.contains("2017-07-08")).expect("the old forecast is told");
    assert!(note.contains("too old"), "{note}");
    seen.footing.notes.retain(|n| !n.contains("2017-07-08"));
    assert_eq!(seen, bare);
}

/// A lawn that may be watered every day, felt to be close to its line.
const LAWN: &str = "\
2017-01-01 yard name=One latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2017-01-02 area name=Lawn size=300 cover=turf soil=silt-loam grass=ttf
2017-01-02 zone name=One areas=lawn sprinkler=rotor rate=12 du=0.7
2017-07-10 soil-water area=lawn depleted=44
";

/// The run of a morning with this forecast of three days, all alike (mm), 0 where none.
fn run(rain: f64, chance: f64, low: f64, high: f64) -> f64 {
    let yard = fold(&entries(LAWN), ON);
    let advice = advise(&yard, &with(vec![issued(ON, &[(low, high, rain, chance); 3])]), Almanac::embedded(), ON);
    let zone = &advice.zones[0];
    if zone.state == ZoneState::RunToday { zone.need_mm } else { 0.0 }
}

/// A hot forecast waters a lawn at its line and a cool one lets it wait; rain, however sure, never makes it wait, but makes the run smaller
/// than a whole one, down to what carries it to the next chance.
#[test]
fn rain_makes_a_run_smaller_and_never_later() {
    let dry = run(0.0, 0.0, 18.0, 40.0);
    let wet = run(40.0, 100.0, 18.0, 40.0);
    assert!(dry > 10.0, "{dry}");
    assert!(wet > 0.0 && wet < dry / 2.0, "{wet} of {dry}");
    assert!((run(40.0, 20.0, 18.0, 40.0) - dry).abs() < 1e-9, "rain that is unlikely changes nothing");
    assert_eq!(run(0.0, 0.0, 10.0, 18.0), 0.0);
}

/// The working names the day of issue and every day used.
#[test]
fn the_working_shows_the_forecast() {
    let yard = fold(&entries(LAWN), ON);
    let weather = with(vec![issued(ON, &[(18.0, 40.0, 5.0, 30.0); 3])]);
    let advice = advise(&yard, &weather, Almanac::embedded(), ON);
    let labels: Vec<&str> = advice.zones[0].working.iter().map(|s| s.label.as_ref()).collect();
    assert!(labels.contains(&"forecast for 2017-07-10") && labels.contains(&"forecast for 2017-07-12"), "{labels:?}");
    assert!(advice.footing.outlook.contains("issued on 2017-07-10"));
}

/// Forecasts made after the event: faultless ones come true; skilled ones miss by the published error and give chances of the skill asked
/// for, reliable within what the days allow; the same seed gives the same. Thirty summers of Champion, Nebraska.
#[test]
fn made_forecasts_are_as_good_as_said() {
    let weather = champion();
    let summers: Vec<(Date, Date)> = (1985..=2015).map(|y| (date(y, 7, 1), date(y, 8, 31))).collect();
    let faultless: Vec<Forecast> = summers.iter().flat_map(|(a, b)| made::faultless(&weather, *a, *b, 3)).collect();
    let came = judge(&weather.clone().with_forecasts(faultless));
    assert!(came.len() == 3 && came.iter().all(|j| j.high_error_c == Some(0.0) && j.brier == Some(0.0)));
    let skilled = |seed: u64| -> Vec<Forecast> {
        summers
            .iter()
            .flat_map(|(a, b)| made::skilled(&weather, *a, *b, seed + a.year().unsigned_abs() as u64))
            .collect()
    };
    let told = skilled(7);
    assert!(told == skilled(7) && told != skilled(8));
    let judged = judge(&weather.clone().with_forecasts(told));
    let days: Vec<_> = summers.iter().flat_map(|(a, b)| weather.run(*a, *b)).collect();
    let base = days.iter().filter(|d| d.rain_mm >= 0.254).count() as f64 / days.len() as f64;
    for (j, skill) in judged.iter().zip([0.33, 0.27, 0.20]) {
        let (low, high) = yard::forecast::mean_errors_c(j.lead);
        assert!((j.high_error_c.unwrap() / high - 1.0).abs() < 0.05, "{j:?}");
        assert!((j.low_error_c.unwrap() / low - 1.0).abs() < 0.05, "{j:?}");
        // 1,922 days: the standard error of the skill is about 0.02.
        let reached = 1.0 - j.brier.unwrap() / (base * (1.0 - base));
        assert!((reached - skill).abs() < 0.05, "{reached} for {skill}");
    }
}

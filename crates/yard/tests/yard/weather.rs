//! The weather a yard lives in: constants against the record they were read from, and nothing of the future.

use almanac::Almanac;
use jiff::civil::date;
use yard::weather::{CLIMATE_SPREAD_C, CLIMATE_WET_DAY_MM, HOT_OVER_AVERAGE};
use yard::{Place, Weather, WeatherDay};

use crate::common::{CHAMPION_PLACE, champion, champion_days};

/// The built-in climate's spread and wet day are those of the real record, to the digits written.
#[test]
fn climate_constants_are_those_of_the_record() {
    let weather = champion();
    let mut months = std::collections::BTreeMap::<(i8, i16), (f64, f64)>::new();
    let (mut wet, mut wet_days) = (0.0, 0.0);
    for day in weather.record() {
        let month = months.entry((day.date.month(), day.date.year())).or_default();
        month.0 += day.tmean_c();
        month.1 += 1.0;
        if day.rain_mm > 1.0 {
            wet += day.rain_mm;
            wet_days += 1.0;
        }
    }
    let mut spread = 0.0;
    for m in 1..=12 {
        let means: Vec<f64> = months.iter().filter(|(k, _)| k.0 == m).map(|(_, (sum, n))| sum / n).collect();
        let mean = means.iter().sum::<f64>() / means.len() as f64;
        spread += (means.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / means.len() as f64).sqrt() / 12.0;
    }
    assert!((spread - CLIMATE_SPREAD_C).abs() < 0.05, "spread {spread}");
    assert!((wet / wet_days - CLIMATE_WET_DAY_MM).abs() < 0.05, "wet day {}", wet / wet_days);
}

/// Reference evapotranspiration from temperatures alone stays near the record's own (method not stated): within a fifth over the
/// years, and moving with it. A loose bound on purpose: three of the five inputs are estimated.
#[test]
fn et0_follows_the_records_own() {
    let weather = champion();
    let pairs: Vec<(f64, f64)> = weather.record().iter().map(|d| (d.et0_mm, d.station_et0_mm.unwrap())).collect();
    let n = pairs.len() as f64;
    let (a, b) = (pairs.iter().map(|p| p.0).sum::<f64>() / n, pairs.iter().map(|p| p.1).sum::<f64>() / n);
    assert!((a / b - 1.0).abs() < 0.2, "mean {a} against {b}");
    let cov = pairs.iter().map(|p| (p.0 - a) * (p.1 - b)).sum::<f64>();
    let (va, vb) =
        (pairs.iter().map(|p| (p.0 - a).powi(2)).sum::<f64>(), pairs.iter().map(|p| (p.1 - b).powi(2)).sum::<f64>());
    let r = cov / (va * vb).sqrt();
    assert!(r > 0.93, "correlation {r}");
    assert!(weather.record().iter().all(|d| d.estimated.humidity && d.estimated.wind && d.estimated.solar));
}

/// Gaps are filled with the average day of the record and marked; the run has every date once.
#[test]
fn gaps_are_filled_and_marked() {
    let mut days = champion_days();
    days.retain(|d| !(d.date >= date(2010, 6, 3) && d.date <= date(2010, 6, 9)));
    let weather = Weather::build(CHAMPION_PLACE, &days, Almanac::embedded()).unwrap();
    assert_eq!(weather.record().len(), champion_days().len());
    let filled = weather.recorded(date(2010, 6, 5)).unwrap();
    assert!(filled.estimated.temperature && filled.estimated.rain);
    assert!((5.0..35.0).contains(&filled.tmax_c));
    assert!(!weather.recorded(date(2010, 6, 2)).unwrap().estimated.temperature);
}

/// A reading that is there is never replaced; one that is not comes out marked.
#[test]
fn a_single_missing_extreme_keeps_the_other() {
    let mut days = champion_days();
    let i = days.iter().position(|d| d.date == date(2010, 6, 5)).unwrap();
    days[i].tmax = None;
    let weather = Weather::build(CHAMPION_PLACE, &days, Almanac::embedded()).unwrap();
    let day = weather.recorded(date(2010, 6, 5)).unwrap();
    assert_eq!(day.tmin_c, days[i].tmin.unwrap().get());
    assert!(day.tmax_c > day.tmin_c && day.estimated.temperature && !day.estimated.rain);
}

/// Without a record the nearest built-in station speaks, moved to the yard's height by 6.5 K a kilometre (ICAO standard
/// atmosphere), and says so.
#[test]
fn no_record_is_told() {
    let place = Place { latitude_deg: 39.8, longitude_deg: -104.7, elevation_m: 1655.0 };
    let weather = Weather::build(place, &[], Almanac::embedded()).unwrap();
    assert!(weather.basis().phrase().contains("Denver"), "{}", weather.basis().phrase());
    let july = weather.day(date(2026, 7, 15));
    // NOAA normals 1981–2010 for Denver: July mean maximum 89.9 °F, 32.2 °C.
    assert!((july.tmax_c - 32.0).abs() < 0.8, "{}", july.tmax_c);
    let higher = Weather::build(Place { elevation_m: 2655.0, ..place }, &[], Almanac::embedded()).unwrap();
    assert!((july.tmax_c - higher.day(date(2026, 7, 15)).tmax_c - 6.5).abs() < 1e-9);
    let outlook = weather.outlook(date(2026, 5, 1), 60);
    assert!(outlook.climate_only && outlook.years.len() == 5);
}

/// The outlook lays whole past years on the days ahead and nothing that lies after the day.
#[test]
fn the_outlook_knows_only_the_past() {
    let weather = champion();
    let on = date(2012, 5, 2);
    let outlook = weather.outlook(on, 366);
    assert_eq!(outlook.years.len(), 30, "the years from 3 May 1982 to 2 May 2012");
    for year in &outlook.years {
        assert_eq!((year[0].date.month(), year[0].date.day()), (5, 3));
        assert!(year.iter().all(|d| d.date <= on));
    }
    let short: Vec<WeatherDay> = champion_days().into_iter().filter(|d| d.date <= on).collect();
    let short = Weather::build(CHAMPION_PLACE, &short, Almanac::embedded()).unwrap();
    let usual = (weather.usual(date(2012, 7, 4), on), short.usual(date(2012, 7, 4), on));
    assert_eq!(usual.0, usual.1, "what is usual on a day ahead must not know the record's later years");
}

/// One day of May to September in a hundred draws over so many times what its fortnight draws on average as a yard that knows only
/// average years reckons with.
#[test]
fn heat_over_the_average_is_that_of_the_record() {
    let weather = champion();
    let mut sums = [(0.0, 0.0); 367];
    for day in weather.record() {
        let sum = &mut sums[usize::from(day.date.day_of_year().unsigned_abs())];
        *sum = (sum.0 + day.et0_mm, sum.1 + 1.0);
    }
    let fortnight = |doy: usize| {
        let near = &sums[doy - 7..=doy + 7];
        near.iter().map(|s| s.0).sum::<f64>() / near.iter().map(|s| s.1).sum::<f64>()
    };
    let summer = weather.record().iter().filter(|d| (5..=9).contains(&d.date.month()));
    let mut shares: Vec<f64> =
        summer.map(|d| d.et0_mm / fortnight(usize::from(d.date.day_of_year().unsigned_abs()))).collect();
    shares.sort_by(f64::total_cmp);
    let hottest = shares[shares.len() * 99 / 100];
    assert!((hottest - HOT_OVER_AVERAGE).abs() < 0.05, "{hottest}");
}

//! What the daybook, the area and the weather behind tell of a place: nitrogen, cut, sod, snow, salt, wet nights, season.

use almanac::{Almanac, Condition};
use jiff::civil::{Date, date};
use reckon::units::{Celsius, Millimetres, Percent};
use yard::advice::Scene;
use yard::diagnosis::{Conditions, Nitrogen, Seen, conditions_of, diagnose, told};
use yard::{Weather, WeatherDay, fold};

use crate::common::{CHAMPION_PLACE, champion, champion_days, entries};

const BASE: &str = "
2014-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2014-01-02 area name=Lawn size=200 grass=kbg soil=loam root=200
2014-01-02 product name=feed n=25
";

fn under(weather: &Weather, lines: &str, on: Date) -> Conditions {
    let yard = fold(&entries(&format!("{BASE}{lines}")), on);
    let scene = Scene { yard: &yard, weather, almanac: Almanac::embedded(), on };
    conditions_of(&scene, yard.area("lawn").expect("the area is there"))
}

fn conditions(lines: &str, on: Date) -> Conditions {
    under(&champion(), lines, on)
}

/// Kentucky bluegrass wants 2 to 4 lb of nitrogen a thousand square feet in a year, 9.8 to 19.5 g/m² (University of Nebraska–Lincoln Turf and
/// others, grasses.toml): 2.5 g/m² in a year is short, 12.5 enough, 25 too much; a daybook of less than a year does not tell.
#[test]
fn nitrogen_of_the_year() {
    let day = date(2017, 7, 1);
    let feeds = |dates: &[&str]| -> String {
        dates.iter().map(|d| format!("{d} applied areas=lawn product=feed rate=10\n")).collect()
    };
    let nitrogen = |dates: &[&str]| conditions(&feeds(dates), day).nitrogen;
    assert_eq!(nitrogen(&[]), None);
    assert_eq!(nitrogen(&["2017-05-01"]), None, "the daybook reaches back two months");
    assert_eq!(nitrogen(&["2016-05-01", "2017-05-01"]), Some(Nitrogen::Low));
    let five = ["2016-05-01", "2016-09-01", "2016-10-01", "2016-11-01", "2017-05-01", "2017-06-01"];
    assert_eq!(nitrogen(&five), Some(Nitrogen::Fair), "12.5 g/m² in the year");
    let ten: Vec<String> = (1..=10).map(|n| format!("2017-06-{n:02}")).chain(["2016-01-01".to_owned()]).collect();
    let ten: Vec<&str> = ten.iter().map(String::as_str).collect();
    assert_eq!(nitrogen(&ten), Some(Nitrogen::High), "25 g/m²");
}

/// Purdue University AY-8 mows Kentucky bluegrass at 2.5 to 3.5 in (64 to 89 mm): 40 mm as a habit is short, one such cut among others is a rough
/// mowing, and the height the owner keeps stands in where few cuts are written down.
#[test]
fn a_low_cut_is_a_habit_or_a_slip() {
    let day = date(2017, 7, 1);
    let mown = |rows: &[(&str, &str)]| -> Conditions {
        let lines: String = rows.iter().map(|(d, h)| format!("{d} mowed areas=lawn height={h}\n")).collect();
        conditions(&lines, day)
    };
    let low = mown(&[("2017-06-10", "40"), ("2017-06-17", "40"), ("2017-06-24", "40")]);
    assert_eq!(low.mown_low, Some(true));
    let tall = mown(&[("2017-06-10", "75"), ("2017-06-17", "75"), ("2017-06-29", "30")]);
    assert_eq!((tall.mown_low, tall.days_since_rough_mowing), (Some(false), Some(2.0)));
    assert_eq!(mown(&[("2017-06-10", "75")]).mown_low, None, "one cut is no habit");
    let kept = conditions("2016-01-01 area key=lawn name=Lawn size=200 grass=kbg soil=loam root=200 mow=30", day);
    assert_eq!(kept.mown_low, Some(true));
}

/// What the owner says of the ground: the sod, the grading, snow and salt, each with its condition.
#[test]
fn sod_house_snow_and_salt() {
    let line = "2016-01-01 area key=lawn name=Lawn size=200 grass=kbg soil=loam root=200 sod=2014-05-01 made=2014-04-01 salted=yes snow=75";
    let told = conditions(line, date(2017, 5, 1));
    assert!((told.sod_years.expect("told") - 3.0).abs() < 0.01);
    assert!((told.house_years.expect("told") - 3.08).abs() < 0.01);
    assert_eq!((told.snow_days, told.salted), (Some(75.0), Some(true)));
    let holds = told.holds().expect("in range");
    for condition in [Condition::YoungSod, Condition::NewHouse, Condition::Snow, Condition::Salted] {
        assert!(holds.contains(&condition), "{condition:?}");
    }
    let plain = conditions("", date(2017, 5, 1));
    assert_eq!((plain.sod_years, plain.house_years, plain.snow_days, plain.salted), (None, None, None, None));
    // Necrotic ring spot is a disease of sod two to five years old (KSL, "Summer Patch & Necrotic Ringspot of Turf", Utah): rings on such
    // sod speak for it.
    let rings = [Seen::new("pattern", "rings")];
    let share = |c: &Conditions| {
        let d = diagnose(Almanac::embedded(), c, &rings).expect("known answers");
        d.ranked.iter().find(|r| r.cause.id == "necrotic-ring-spot").expect("in the table").probability
    };
    assert!(share(&told) > share(&plain));
}

/// The record with a measured humid spell of the given nights and days before 15 July 2016, and measured dry air before it.
fn humid_weather(low: f64, high: f64, humidity: f64) -> Weather {
    let mut days: Vec<WeatherDay> = champion_days().into_iter().filter(|d| d.date < date(2016, 7, 15)).collect();
    let n = days.len();
    for (i, d) in days.iter_mut().enumerate().skip(n - 60) {
        d.humidity_mean = Some(Percent::new(45.0));
        d.tmin = Some(Celsius::new(12.0));
        d.tmax = Some(Celsius::new(27.0));
        if i >= n - 6 {
            d.tmin = Some(Celsius::new(low));
            d.tmax = Some(Celsius::new(high));
            d.humidity_mean = Some(Percent::new(humidity));
            d.rain = Some(Millimetres::new(3.0));
        }
    }
    Weather::build(CHAMPION_PLACE, &days, Almanac::embedded()).expect("it builds")
}

/// Six nights of 23 °C at 92 % humidity are over the lines of Fidanza's index (a warning from 6) and of long warm wet nights; the same weeks in
/// dry air are over none, and air whose moisture is only estimated tells nothing. The month gives way to what the weather has been.
#[test]
fn wet_nights_and_the_season_by_weather() {
    let on = date(2016, 7, 15);
    let (wet, dry) = (under(&humid_weather(23.0, 30.0, 92.0), "", on), under(&humid_weather(12.0, 27.0, 45.0), "", on));
    assert_eq!((wet.humid, dry.humid), (Some(true), Some(false)));
    assert_eq!((wet.season["brown-patch"], wet.season["dollar-spot"]), (1.0, 1.0));
    assert!(dry.season["brown-patch"] < 0.2, "{:?}", dry.season);
    let guessed = conditions("", on);
    assert_eq!(guessed.humid, None);
    assert!(!guessed.season.contains_key("brown-patch"));
    let patches = [Seen::new("pattern", "patches"), Seen::new("colour", "straw")];
    let share = |c: &Conditions| {
        let d = diagnose(Almanac::embedded(), c, &patches).expect("known answers");
        d.ranked.iter().find(|r| r.cause.id == "brown-patch").expect("in the table").probability
    };
    assert!(share(&wet) > 3.0 * share(&dry), "{:.2} and {:.2}", share(&wet), share(&dry));
}

/// Summer patch infects from soil at 65 °F on three days together (Ohio State University 2015) and shows four to six weeks later (Pace Turf): on the
/// plains it is out of season in April, at its peak in August, and old in December.
#[test]
fn summer_patch_follows_the_soil() {
    let at = |m, d| conditions("", date(2016, m, d)).season["summer-patch"];
    assert!(at(4, 1) < 0.1 && at(12, 10) < 0.2, "{} and {}", at(4, 1), at(12, 10));
    assert!(at(8, 5) > 0.9, "{}", at(8, 5));
    let mut before = 0.0;
    for (m, d) in [(4, 1), (6, 1), (7, 1), (8, 5)] {
        assert!(at(m, d) >= before, "it only rises to its peak");
        before = at(m, d);
    }
}

/// Each of them is told in words with where it comes from.
#[test]
fn what_is_known_is_told() {
    let line =
        "2016-01-01 area key=lawn name=Lawn size=200 grass=kbg soil=loam root=200 sod=2014-05-01 salted=yes snow=75";
    let on = date(2017, 8, 1);
    let yard = fold(&entries(&format!("{BASE}{line}")), on);
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on };
    let area = yard.area("lawn").expect("the area is there");
    let said: Vec<String> = told(&scene, area, &conditions_of(&scene, area)).into_iter().map(|t| t.what).collect();
    for want in [
        "sod 3.3 years old",
        "snow lay 75 days last winter",
        "salted in winter",
        "the weather has favoured summer patch",
    ] {
        assert!(said.iter().any(|s| s == want), "{want} in {said:?}");
    }
}

//! Opening and shutting the sprinklers: the frost dates against neighbouring stations' published ones and a count of its own, the
//! limits of air, what is found and mended.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::{Advice, Scene, advise};
use yard::sprinkler_year::closing::{Closing, Pipes, Way, closing};
use yard::sprinkler_year::frost::{End, FREEZE_C, FrostOdds, HARD_FREEZE_C, frost_odds};
use yard::sprinkler_year::opening::opening;
use yard::{Weather, Yard, fold};

use crate::common::{CHAMPION, champion, entries};

const YARD: &str = "
2017-01-02 yard name=Frosty latitude=40.4 longitude=-101.72 elevation=1029 units=us-customary
2017-01-02 area name=Lawn size=2000 cover=turf grass=ttf soil=silt-loam
2017-01-02 area name=Bed size=300 cover=bed soil=silt-loam
2017-01-02 zone name=Rotors areas=lawn sprinkler=rotor flow=12 du=0.7
2017-01-02 zone name=Drip areas=bed sprinkler=drip flow=2
2017-04-20 sprinklers state=opened
";

fn yard_with(lines: &str, on: Date) -> Yard {
    fold(&entries(&format!("{YARD}{lines}")), on)
}

fn scene<'a>(yard: &'a Yard, weather: &'a Weather, on: Date) -> Scene<'a> {
    Scene { yard, weather, almanac: Almanac::embedded(), on }
}

fn odds(on: Date, end: End, threshold: f64) -> FrostOdds {
    let (yard, weather) = (yard_with("", on), champion());
    frost_odds(&scene(&yard, &weather, on), end, threshold).unwrap()
}

fn close(lines: &str, on: Date, way: Way, pipes: Pipes) -> Closing {
    let (yard, weather) = (yard_with(lines, on), champion());
    closing(&scene(&yard, &weather, on), way, pipes)
}

fn advice(lines: &str, on: Date) -> Advice {
    advise(&yard_with(lines, on), &champion(), Almanac::embedded(), on)
}

/// Freezes read straight off the file, each year's first after 15 July in days from then, and its last before in days from New Year.
fn read_off(threshold: f64, years: std::ops::Range<i16>) -> (Vec<i16>, Vec<i16>) {
    let (mut first, mut last) = (Vec::new(), Vec::new());
    for year in years {
        let summer = date(year, 7, 15).day_of_year();
        let days = || {
            CHAMPION.lines().filter(|l| l.starts_with(&year.to_string())).filter_map(|line| {
                let mut cells = line.split(',');
                let day: Date = cells.next()?.parse().ok()?;
                let low: f64 = cells.next()?.parse().ok()?;
                (low <= threshold).then_some(day.day_of_year())
            })
        };
        first.push(days().find(|d| *d >= summer).unwrap() - summer);
        last.push(days().rfind(|d| *d < summer).unwrap() - 1);
    }
    (first, last)
}

/// The National Weather Service at North Platte, Nebraska (some 110 km away, 180 m lower, other years), prints for its own station the first
/// freeze on or before 12 September, 24 September and 5 October, the first killing freeze (28 °F) 17 September, 4 and 20 October, at
/// 10, 50 and 90 % (“Climatology of a first fall freeze”). The University of Nebraska prints 12 October for North Platte and 18 October for
/// McCook as the mean of 1981–2010 (CropWatch, 10 September 2019). The demo's record is another station's: within a fortnight of each.
#[test]
fn the_autumn_is_the_regions() {
    let near = |ours: Date, theirs: Date, days: i64| {
        assert!(Yard::days_between(theirs, ours).abs() <= days, "{ours} here, {theirs} there");
    };
    let freeze = odds(date(2017, 7, 15), End::Autumn, FREEZE_C).window.unwrap();
    near(freeze.early, date(2017, 9, 12), 14);
    near(freeze.likely, date(2017, 9, 24), 7);
    near(freeze.late, date(2017, 10, 5), 7);
    let hard = odds(date(2017, 7, 15), End::Autumn, HARD_FREEZE_C).window.unwrap();
    near(hard.early, date(2017, 9, 17), 14);
    near(hard.likely, date(2017, 10, 4), 7);
    near(hard.late, date(2017, 10, 20), 7);
    near(hard.likely, date(2017, 10, 12), 7);
    near(hard.likely, date(2017, 10, 18), 14);
}

/// With no record the built-in climate stands in, and its smooth nights are taken colder: for North Platte itself the printed dates are met
/// to within nine days at 50 and 90 %, a fortnight at 10 % (National Weather Service, as above; the station's normals are of 1981–2010).
#[test]
fn average_years_know_cold_nights() {
    let yard = yard_with("", date(2017, 7, 15));
    let place = yard::Place { latitude_deg: 41.13, longitude_deg: -100.68, elevation_m: 846.4 };
    let weather = Weather::build(place, &[], Almanac::embedded()).unwrap();
    let of = |threshold| frost_odds(&scene(&yard, &weather, date(2017, 7, 15)), End::Autumn, threshold).unwrap();
    let printed = [
        (FREEZE_C, [date(2017, 9, 12), date(2017, 9, 24), date(2017, 10, 5)]),
        (HARD_FREEZE_C, [date(2017, 9, 17), date(2017, 10, 4), date(2017, 10, 20)]),
    ];
    for (threshold, [early, likely, late]) in printed {
        let odds = of(threshold);
        let w = odds.window.unwrap();
        assert!(odds.climate_only);
        for (ours, theirs, days) in [(w.early, early, 14), (w.likely, likely, 9), (w.late, late, 9)] {
            assert!(Yard::days_between(theirs, ours).abs() <= days, "{ours} here, {theirs} printed");
        }
    }
}

/// The same dates and chances as a plain count over the file's lines gives, for the whole of both seasons.
#[test]
fn every_chance_is_a_plain_count() {
    for threshold in [FREEZE_C, HARD_FREEZE_C] {
        let (first, last) = read_off(threshold, 1982..2017);
        let autumn = odds(date(2017, 7, 15), End::Autumn, threshold);
        for n in 0..170i16 {
            let chance = autumn.chance(date(2017, 7, 15).checked_add(jiff::Span::new().days(n)).unwrap()).unwrap();
            assert_eq!((chance.with, chance.of), (first.iter().filter(|f| **f <= n).count(), 35), "{}", chance.date);
        }
        let spring = odds(date(2017, 1, 1), End::Spring, threshold);
        for n in 0..180i16 {
            let chance = spring.chance(date(2017, 1, 1).checked_add(jiff::Span::new().days(n)).unwrap()).unwrap();
            assert_eq!((chance.with, chance.of), (last.iter().filter(|l| **l >= n).count(), 35), "{}", chance.date);
        }
    }
}

/// The limit leaves at most one year of ten on the wrong side, and is the farthest that does.
#[test]
fn the_limit_is_one_year_of_ten() {
    let autumn = odds(date(2017, 8, 1), End::Autumn, HARD_FREEZE_C);
    let by = autumn.limit.unwrap();
    assert!(autumn.chance(by).unwrap().share() <= 0.1);
    assert!(autumn.chance(by.tomorrow().unwrap()).unwrap().share() > 0.1);
    assert!(by >= date(2017, 9, 15) && by <= date(2017, 10, 5), "{by}");
    let spring = odds(date(2017, 3, 1), End::Spring, HARD_FREEZE_C);
    let from = spring.limit.unwrap();
    assert!(spring.chance(from).unwrap().share() <= 0.1);
    assert!(spring.chance(from.yesterday().unwrap()).unwrap().share() > 0.1);
    assert!(from >= date(2017, 5, 1) && from <= date(2017, 5, 20), "{from}");
    assert_eq!(autumn.chance(date(2017, 7, 31)), None, "before the days counted");
}

/// Nothing of the day itself or later is looked at: cutting the record there changes nothing.
#[test]
fn the_future_is_not_looked_at() {
    let on = date(2012, 9, 10);
    let yard = yard_with("", date(2017, 7, 1));
    let whole = champion();
    let days = crate::common::champion_days();
    let known: Vec<_> = days.into_iter().filter(|d| d.date < on).collect();
    let cut = Weather::build(crate::common::CHAMPION_PLACE, &known, Almanac::embedded()).unwrap();
    let of = |w: &Weather| frost_odds(&scene(&yard, w, on), End::Autumn, HARD_FREEZE_C).unwrap();
    assert_eq!(of(&whole), of(&cut));
}

/// South of the equator the seasons lie half a year apart: the first freeze is looked for from January on.
#[test]
fn the_south_is_half_a_year_apart() {
    let text = YARD.replace("latitude=40.4", "latitude=-35.3");
    let yard = fold(&entries(&text), date(2017, 3, 1));
    let place = yard.facts.as_ref().unwrap().place;
    let weather = Weather::build(place, &[], Almanac::embedded()).unwrap();
    let autumn = frost_odds(&scene(&yard, &weather, date(2017, 3, 1)), End::Autumn, FREEZE_C).unwrap();
    assert_eq!((autumn.from, autumn.to), (date(2017, 3, 1), date(2017, 8, 3)));
    assert!(autumn.climate_only);
}

/// Air limits by kind of pipe (50 psi, 80 psi, 30 psi on drip), the care said first, never through the backflow assembly; a zone of 12 gal/min
/// wants 1.6 cu ft/min in the pipe (gallons ÷ 7.5), six as the compressor takes it in, and the trade's least of ten.
#[test]
fn air_is_limited_by_the_pipe() {
    let on = date(2017, 9, 20);
    let psi = |c: &Closing| c.zones.iter().map(|z| (z.most_kpa / 6.894_757).round()).collect::<Vec<_>>();
    assert_eq!(psi(&close("", on, Way::BlowOut, Pipes::Unknown)), [50.0, 30.0]);
    assert_eq!(psi(&close("", on, Way::BlowOut, Pipes::Polyethylene)), [50.0, 30.0]);
    let pvc = close("", on, Way::BlowOut, Pipes::Pvc);
    assert_eq!(psi(&pvc), [80.0, 30.0]);
    for zone in &pvc.zones {
        assert!(zone.set_kpa <= zone.most_kpa);
        assert!((zone.air_l_min - 283.17).abs() < 0.01, "ten cubic feet a minute: {}", zone.air_l_min);
    }
    let told = |c: &Closing| c.steps.iter().flat_map(|s| s.steps.iter()).cloned().collect::<Vec<_>>().join("\n");
    let words = told(&pvc);
    assert!(words.contains("80 psi") && words.contains("30 psi") && words.contains("behind the backflow assembly"));
    assert!(pvc.steps.iter().all(|s| !s.care.is_empty() && !s.source.is_empty()));
    assert!(pvc.steps.iter().any(|s| s.care.contains("Eye protection") && s.care.contains("licensed")));
    for way in [Way::Manual, Way::Automatic] {
        let c = close("", on, way, Pipes::Unknown);
        assert!(c.zones.is_empty() && told(&c).contains("drain"), "no air where none is used");
    }
}

/// Shut this season is done; a hard freeze with the system open is today's work; the page and the first page name the same day.
#[test]
fn shutting_is_asked_for_until_it_is_done() {
    let on = date(2017, 9, 12);
    let open = close("", on, Way::BlowOut, Pipes::Unknown);
    let item = advice("", on).items.into_iter().find(|i| i.id == "system:shut").unwrap();
    assert_eq!((open.done_on, open.shut_by), (None, item.by));
    let done = close("2017-09-10 sprinklers state=shut", on, Way::BlowOut, Pipes::Unknown);
    assert_eq!(done.done_on, Some(date(2017, 9, 10)));
    let late = close("", date(2017, 11, 1), Way::BlowOut, Pipes::Unknown);
    assert_eq!(late.shut_by, Some(date(2017, 11, 1)));
    assert!(late.freeze_come.is_some_and(|d| d > date(2017, 9, 12) && d < date(2017, 11, 1)));
}

/// Opening: from when, the ground at the pipes, the slow fill at a foot a second (pipe makers' guides: 300 ft in five minutes), and what waits.
#[test]
fn opening_looks_ahead_and_down() {
    let open = |lines: &str, on: Date| {
        let (yard, weather) = (yard_with(lines, on), champion());
        opening(&scene(&yard, &weather, on))
    };
    let january = open("", date(2018, 1, 20));
    assert!(!january.ground.as_ref().unwrap().thawed && january.from.unwrap() > date(2018, 4, 30));
    assert!(open("", date(2018, 5, 20)).ground.unwrap().thawed);
    assert_eq!(open("", date(2017, 5, 1)).done_on, Some(date(2017, 4, 20)));
    assert_eq!((january.fill.minutes, january.fill.length_m), (10.0, None));
    let main = "2017-03-01 mapped name=Main is=pipe role=main at=\"0 0; 200 0; 200 100\"\n";
    let fill = open(main, date(2018, 1, 20)).fill;
    assert!((fill.minutes - 5.0).abs() < 1e-9 && (fill.length_m.unwrap() - 91.44).abs() < 1e-9);
    let found = "2017-05-01 to-mend zone=rotors at=\"Head 2\" trouble=tilted\n2017-05-02 to-mend at=Manifold trouble=manifold-leak by=2017-05-04\n";
    let may = open(found, date(2017, 5, 3));
    assert_eq!(may.zones[0].waiting[0].by, date(2017, 5, 15), "two weeks");
    assert_eq!((may.zones[0].waiting.len(), may.waiting.len(), may.waiting[0].by), (1, 1, date(2017, 5, 4)));
    let a = advice(found, date(2017, 5, 3));
    let ids: Vec<&str> =
        a.items.iter().filter(|i| i.job == yard::advice::Job::Mend).map(|i| i.title.as_str()).collect();
    assert_eq!(ids, ["Mend Manifold: the manifold leaks", "Mend Head 2: leans"]);
}

/// A repair takes the place of what was found; nothing else does.
#[test]
fn a_repair_takes_its_place() {
    let all = entries(&format!("{YARD}2017-05-01 to-mend zone=rotors at=\"Head 2\" trouble=other remark=\"hums\"\n"));
    let id = all.last().unwrap().id.clone();
    let stamp = yard::Stamp {
        id: "z1".to_owned(),
        recorded_at: "2017-05-02T12:00:00Z".parse().unwrap(),
        today: date(2017, 5, 2),
    };
    let log = |kind: &str, pairs: &[(&str, &str)]| {
        let typed = pairs.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
        yard::prepare(&all, Almanac::embedded(), kind, &typed, date(2017, 5, 2), Some(id.clone()), &stamp)
    };
    let repair = log("repaired", &[("done", "seal washed"), ("zone", "rotors")]).unwrap();
    let mut after = all.clone();
    after.push(repair);
    assert!(fold(&after, date(2017, 5, 2)).to_mend.is_empty());
    assert_eq!(fold(&all, date(2017, 5, 2)).to_mend.len(), 1);
    assert!(log("mowed", &[("areas", "lawn"), ("height", "3")]).is_err());
    let refused = |line: &str| {
        yard::scenario::read(&format!("{YARD}{line}"), "t", Almanac::embedded()).unwrap_err()[0].to_string()
    };
    assert!(refused("2017-05-01 to-mend at=Head trouble=other").contains("remark"));
    assert!(refused("2017-05-01 to-mend at=Head by=2017-04-01").contains("before the day it was found"));
    assert!(refused("2017-05-01 backflow-tested months=0").contains("between 1 and 120"));
}

/// A forecast of a hard frost goes before the past years: the day to shut lies before that night. Its mild nights are taken as they are told, also
/// where average years stand behind them.
#[test]
fn a_forecast_goes_before_the_years() {
    use reckon::units::Celsius;
    let on = date(2017, 9, 12);
    let told = |lows: &[f64]| {
        let days = lows.iter().zip(0i64..).map(|(low, n)| yard::ForecastDay {
            low: Some(Celsius::new(*low)),
            high: Some(Celsius::new(low + 14.0)),
            ..yard::ForecastDay::blank(on.checked_add(jiff::Span::new().days(n)).unwrap())
        });
        yard::Forecast { issued: on, source: "test".to_owned(), days: days.collect() }
    };
    let yard = yard_with("", on);
    let by = |weather: &Weather| closing(&scene(&yard, weather, on), Way::BlowOut, Pipes::Unknown).shut_by.unwrap();
    let usual = by(&champion());
    let cold = by(&champion().with_forecasts(vec![told(&[6.0, 5.0, -9.0])]));
    assert!(usual > date(2017, 9, 20) && cold == date(2017, 9, 13), "{usual}, {cold}");
    let place = yard.facts.as_ref().unwrap().place;
    let average = Weather::build(place, &[], Almanac::embedded()).unwrap().with_forecasts(vec![told(&[2.5, 2.5])]);
    let odds = frost_odds(&scene(&yard, &average, on), End::Autumn, HARD_FREEZE_C).unwrap();
    assert!(odds.climate_only && odds.chance(date(2017, 9, 13)).unwrap().with < 3, "{:?}", odds.chances);
}

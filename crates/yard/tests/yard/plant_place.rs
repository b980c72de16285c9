//! What the weather and the ground tell of a plant, and a look at one kept in the daybook.

use almanac::{Almanac, Condition};
use jiff::civil::{Date, date};
use reckon::units::{Celsius, Millimetres};
use yard::advice::Scene;
use yard::diagnosis::plant_place::plant_place;
use yard::diagnosis::plants::{PlantPlace, diagnose_plant};
use yard::diagnosis::{Seen, Told};
use yard::{Weather, WeatherDay, advise, check_entry, fold};

use crate::common::{CHAMPION_PLACE, champion, champion_days, entries};

const BASE: &str = "
2015-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2015-01-02 area name=Hedge cover=hedge size=20 soil=loam salted=yes sun=9
2015-01-02 area name=Lawn size=200 grass=kbg soil=loam root=200
";

fn placed(weather: &Weather, on: Date, with_area: bool) -> (PlantPlace, Vec<Told>) {
    let yard = fold(&entries(BASE), on);
    let scene = Scene { yard: &yard, weather, almanac: Almanac::embedded(), on };
    plant_place(&scene, "arb", with_area.then(|| yard.area("hedge").expect("the hedge is there")))
}

/// The record to the day, the last days of it changed.
fn changed(on: Date, days: usize, change: impl Fn(usize, &mut WeatherDay)) -> Weather {
    let mut record: Vec<WeatherDay> = champion_days().into_iter().filter(|d| d.date < on).collect();
    let n = record.len();
    record.iter_mut().enumerate().skip(n - days).for_each(|(i, d)| change(i - (n - days), d));
    Weather::build(CHAMPION_PLACE, &record, Almanac::embedded()).expect("it builds")
}

fn share(place: &PlantPlace, cause: &str) -> f64 {
    let seen = [Seen::new("colour", "brown")];
    let at = diagnose_plant(&Almanac::embedded().plants, place, &seen).expect("known answers");
    at.ranked.iter().find(|r| r.cause.id == cause).expect("in the table").probability
}

/// A night of −6 °C three weeks into growth is told and raises late frost; without one it is brought down, whatever the month.
#[test]
fn frost_on_new_growth() {
    let on = date(2016, 5, 20);
    let mild = |d: &mut WeatherDay| (d.tmin, d.tmax) = (Some(Celsius::new(8.0)), Some(Celsius::new(20.0)));
    let frost = changed(on, 60, |i, d| {
        mild(d);
        if i == 50 {
            d.tmin = Some(Celsius::new(-6.0));
        }
    });
    let none = changed(on, 60, |_, d| mild(d));
    let ((with, told), (without, _)) = (placed(&frost, on, false), placed(&none, on, false));
    assert!(told.iter().any(|t| t.what.contains("frost") && t.what.contains("10 May")), "{told:?}");
    assert!(share(&with, "late-frost") > 5.0 * share(&without, "late-frost"));
}

/// Sixty days without rain in heat raise drought, a month of 180 mm of rain what wet ground brings; each is told with its depth.
#[test]
fn dry_and_wet_spells() {
    let on = date(2016, 8, 20);
    let rain = |mm: f64, of: usize| {
        changed(on, 60, move |i, d| {
            d.rain = Some(Millimetres::new(if i >= 60 - of { mm } else { 0.0 }));
            (d.tmin, d.tmax) = (Some(Celsius::new(17.0)), Some(Celsius::new(33.0)));
        })
    };
    let ((dry, told), (wet, told_wet)) = (placed(&rain(0.0, 60), on, false), placed(&rain(6.0, 30), on, false));
    assert!(told.iter().any(|t| t.what.contains("less rain")), "{told:?}");
    assert!(told_wet.iter().any(|t| t.what.contains("180 mm of rain in thirty days")), "{told_wet:?}");
    assert!(share(&dry, "drought") > share(&wet, "drought") && share(&wet, "too-wet") > share(&dry, "too-wet"));
}

/// The area's own facts reach the plant: salt beside it and full sun hold. Without an area only season and weather are known.
#[test]
fn the_ground_it_stands_on() {
    let on = date(2017, 4, 10);
    let (on_hedge, told) = placed(&champion(), on, true);
    assert!(on_hedge.holds.contains(&Condition::Salted) && on_hedge.holds.contains(&Condition::Sun));
    assert!(told.iter().any(|t| t.what == "salted in winter"));
    let (nowhere, _) = placed(&champion(), on, false);
    assert!(nowhere.holds.is_empty() && nowhere.month == Some(4));
    assert!(share(&on_hedge, "salt") > share(&nowhere, "salt"));
    // The record's winter before: its coldest night from November to March.
    let coldest = champion_days()
        .iter()
        .filter(|d| (date(2016, 11, 1)..date(2017, 3, 31)).contains(&d.date))
        .map(|d| d.tmin.expect("whole").get())
        .fold(f64::INFINITY, f64::min);
    assert!(told.iter().any(|t| t.what.contains(&format!("{coldest:.0}"))), "{coldest} in {told:?}");
}

/// What the daybook says was planted answers how long it has stood, unless the person does: shock of planting is of the first years (West Virginia
/// University Extension, "Tree Problems").
#[test]
fn the_daybook_tells_when_it_was_planted() {
    let placed = |day: Date| {
        let yard = fold(&entries(&format!("{BASE}2016-05-01 planted area=hedge plant=arb count=5 container=10")), day);
        let weather = champion();
        plant_place(
            &Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: day },
            "arb",
            yard.area("hedge"),
        )
    };
    let (new, told) = placed(date(2016, 8, 1));
    assert!(told.iter().any(|t| t.what == "planted 0.3 years ago" && t.from == "the daybook"), "{told:?}");
    assert_eq!((new.stood, placed(date(2018, 8, 1)).0.stood), (Some("year"), Some("few")));
    let old = PlantPlace { stood: None, ..new.clone() };
    assert!(share(&new, "transplant-shock") > 2.0 * share(&old, "transplant-shock"));
    let said = |seen: &[Seen]| {
        let at = diagnose_plant(&Almanac::embedded().plants, &new, seen).expect("known answers");
        at.ranked.iter().find(|r| r.cause.id == "transplant-shock").expect("in the table").probability
    };
    assert!(said(&[Seen::new("planted", "long")]) < 0.05, "the person goes before the daybook");
}

/// A look at a plant is kept with its plant: findings and cause are those of plants, the daybook names both, and the plant is looked at again after
/// a month with what the cause asks for. A plant's finding without its plant, or a lawn's with one, is refused.
#[test]
fn a_look_at_a_plant_is_kept() {
    let line = "2017-06-01 scouted area=hedge seen=\"webs\" plant=arb findings=\"tap=many traces=webs\" cause=spider-mites probability=92";
    let text = format!("{BASE}{line}");
    let all = entries(&text);
    let on = date(2017, 7, 3);
    let yard = fold(&all, on);
    let kept = &yard.scoutings[0].fact;
    assert_eq!((kept.plant.as_deref(), kept.cause.as_deref()), (Some("arb"), Some("spider-mites")));
    let said = yard::words::line(&all.last().expect("the look").body, &yard);
    assert!(said.contains("arborvitae") && said.contains("held likeliest: spider mites (92 %)"), "{said}");
    let weather = champion();
    let advice = advise(&yard, &weather, Almanac::embedded(), on);
    let again = advice.items.iter().find(|i| i.id == "scout:hedge").expect("looked at again");
    assert!(again.why.contains("spider mites") && again.amounts.iter().any(|a| a.contains("Hose the plant hard")));
    let faults = |line: &str| {
        let Ok(all) = yard::scenario::read(&format!("{BASE}{line}"), "t", Almanac::embedded()) else { return true };
        !check_entry(all.last().expect("one"), &fold(&all, on), Almanac::embedded(), on).is_empty()
    };
    assert!(!faults(line));
    assert!(faults("2017-06-01 scouted area=hedge seen=webs findings=\"tap=many\""));
    assert!(faults("2017-06-01 scouted area=hedge seen=webs plant=arb findings=\"tug=rolls\""));
    assert!(faults("2017-06-01 scouted area=hedge seen=webs plant=cactus"));
    assert!(faults("2017-06-01 scouted area=hedge seen=webs plant=arb cause=white-grubs"));
}

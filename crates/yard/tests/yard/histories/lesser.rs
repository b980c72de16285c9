//! The lesser rules: what is said as care and notes, and by local rules.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::checks::{check_application, check_sowing};
use yard::advice::{Finding, Level, Scene};
use yard::entry::{Body, Work};
use yard::{Weather, fold};

use super::{mild, steady};
use crate::common::entries;

const BASE: &str = "
2013-01-02 yard name=Small latitude=40 longitude=-100 elevation=300 units=metric
2013-01-02 area name=Lawn size=100 grass=ttf soil=loam
2013-01-02 area name=Blue size=100 grass=kbg soil=loam
2013-01-02 area name=Fescue size=100 grass=crf soil=loam
2013-01-02 area name=Bed size=20 cover=bed soil=loam
2013-01-02 product name=dithio actives=\"dithiopyr 0.3\"
2013-01-02 product name=grain actives=\"corn-gluten 100\"
2013-01-02 product name=carba actives=\"carbaryl 7\" label_buffer=5
2013-01-02 product name=spray form=liquid actives=\"2,4-d 2\" label_interval=0
2013-01-02 product name=urea n=46
2013-01-02 product name=starter n=10 p2o5=20
";
const MAY: Date = date(2017, 5, 15);

fn found_in(weather: &Weather, lines: &str, asked: &str, on: Date) -> Vec<Finding> {
    let all = entries(&format!("{BASE}{lines}\n{on} {asked}"));
    let (asked, before) = all.split_last().unwrap();
    let scene = Scene { yard: &fold(before, MAY), weather, almanac: Almanac::embedded(), on: MAY };
    match &asked.body {
        Body::Applied(a) => check_application(&scene, a, on, None),
        Body::Planned(p) => match &p.work {
            Work::Apply(a) => check_application(&scene, a, on, None),
            Work::Sow(s) => check_sowing(&scene, s, on, None),
        },
        other => panic!("no work: {other:?}"),
    }
}

fn found(lines: &str, asked: &str) -> Vec<Finding> {
    found_in(&mild(), lines, asked, MAY)
}

fn said(found: &[Finding], level: Level, rule: &str, words: &str) -> bool {
    found.iter().any(|f| f.level == level && f.rule == rule && f.message.contains(words))
}

/// Bluegrass sprouts from 50 to 86 °F (10 to 30 °C, the almanac's published rows), whether the day has come or not.
#[test]
fn soil_too_cold_or_too_hot_for_seed() {
    let sow = |weather: &Weather, on| found_in(weather, "", "plan-sow area=blue grass=kbg rate=10", on);
    for on in [MAY, date(2017, 6, 1)] {
        assert!(said(&sow(&steady(3.0, 9.0), on), Level::Caution, "soil-temperature", "waits for"));
        assert!(said(&sow(&steady(30.0, 40.0), on), Level::Caution, "soil-temperature", "fails above"));
        assert!(!sow(&mild(), on).iter().any(|f| f.rule == "soil-temperature"));
    }
}

/// Seed far from the usual rate, 5 to 15 g/m² of bluegrass on bare ground: 1 to 3 lb/1000 sq ft.
#[test]
fn seed_rates_far_from_the_usual() {
    let sow = |rate: f64| found("", &format!("plan-sow area=blue grass=kbg rate={rate}"));
    assert!(said(&sow(30.0), Level::Note, "rate", "usual rate"));
    assert!(said(&sow(2.0), Level::Note, "rate", "usual rate"));
    assert!(!sow(10.0).iter().any(|f| f.rule == "rate"));
}

/// Less than the lowest rate may not hold (dithiopyr label: 0.028 g/m², a quarter pound an acre).
#[test]
fn less_than_the_lowest_rate() {
    let put = |rate: f64| found("", &format!("plan-apply areas=lawn product=dithio rate={rate}"));
    assert!(said(&put(9.0), Level::Note, "rate", "lowest"));
    assert!(!put(10.0).iter().any(|f| f.rule == "rate"));
}

/// Grasses that take an ingredient only within limits, and grasses of which nothing is known, ask for care.
#[test]
fn grasses_in_doubt() {
    let put = |area: &str, product: &str| found("", &format!("plan-apply areas={area} product={product} rate=10"));
    assert!(said(&put("fescue", "dithio"), Level::Caution, "tolerance", "within limits"));
    assert!(said(&put("lawn", "carba"), Level::Caution, "tolerance", "nothing known"));
    assert!(!put("blue", "dithio").iter().any(|f| f.rule == "tolerance"));
}

/// Corn gluten twice a year at most, as recalled: a third time is said, and stops no one. The amount is told when it comes near.
#[test]
fn the_year_as_recalled() {
    let twice =
        "2017-02-01 applied areas=lawn product=grain rate=10\n2017-03-20 applied areas=lawn product=grain rate=10";
    let third = found(twice, "plan-apply areas=lawn product=grain rate=10");
    assert!(said(&third, Level::Caution, "yearly-maximum", "application 3"), "{third:?}");
    let once = "2017-02-01 applied areas=lawn product=grain rate=90";
    let near = found(once, "plan-apply areas=lawn product=grain rate=90");
    assert!(said(&near, Level::Caution, "yearly-maximum", "is used"), "180 of 195 g/m²: {near:?}");
    assert!(!found(once, "plan-apply areas=lawn product=grain rate=50").iter().any(|f| f.rule == "yearly-maximum"));
}

/// A spray asks for the wind, for the forecast or for what fell, and for leaf that is not freshly mown (label of a 2,4-D spray:
/// 24 hours without rain, two days after mowing).
#[test]
fn a_spray_asks_for_the_day() {
    let planned = found("", "plan-apply areas=lawn product=spray rate=6");
    assert!(said(&planned, Level::Note, "wind", "measure"), "{planned:?}");
    assert!(said(&planned, Level::Note, "rain", "forecast"), "{planned:?}");
    let granule = found("", "plan-apply areas=lawn product=dithio rate=10");
    assert!(!granule.iter().any(|f| f.rule == "wind" || f.rule == "rain"), "{granule:?}");
    let rain = "2017-05-10 rain depth=10";
    let late = found_in(&mild(), rain, "applied areas=lawn product=spray rate=6 wind=2", date(2017, 5, 10));
    assert!(said(&late, Level::Caution, "rain", "fell that day"), "{late:?}");
    let mown = |day: u8| {
        found(&format!("2017-05-{day} mowed areas=lawn height=80"), "plan-apply areas=lawn product=spray rate=6")
    };
    assert!(said(&mown(14), Level::Caution, "mowing", "2 days of leaf"));
    assert!(!mown(13).iter().any(|f| f.rule == "mowing"));
}

/// The label's strip beside water, and the ingredient's where the label names none.
#[test]
fn the_strip_beside_water_is_told() {
    let own = found("", "plan-apply areas=lawn product=carba rate=10");
    assert!(said(&own, Level::Note, "water-buffer", "5"), "{own:?}");
    assert!(!found("", "plan-apply areas=lawn product=urea rate=5").iter().any(|f| f.rule == "water-buffer"));
}

/// No quick nitrogen on cool-season grass above 85 °F (29.4 °C, common practice).
#[test]
fn nitrogen_in_heat() {
    let put = |air: f64| found("", &format!("plan-apply areas=blue product=urea rate=5 air={air}"));
    assert!(said(&put(30.0), Level::Caution, "heat", "quick nitrogen"));
    assert!(!put(29.0).iter().any(|f| f.rule == "heat"));
}

/// Phosphate belongs beside seed, sown or to be sown.
#[test]
fn phosphate_beside_planned_seed() {
    let put = |lines: &str| found(lines, "plan-apply areas=blue product=starter rate=20");
    assert!(said(&put(""), Level::Caution, "phosphate", "soil test"));
    assert!(!put("2017-06-01 plan-sow area=blue grass=kbg rate=10").iter().any(|f| f.rule == "phosphate"));
}

/// A local rule's yearly nitrogen is a lawn's, and work done is not counted against itself.
#[test]
fn local_nitrogen_of_the_year() {
    let rule = "2013-01-03 local-rules nitrogen_year=2.5 source=\"town rule 7\"";
    let over = |lines: &str, area: &str| {
        let put = found(&format!("{rule}\n{lines}"), &format!("plan-apply areas={area} product=urea rate=4"));
        said(&put, Level::Stop, "local-rule", "")
    };
    assert!(over("2017-03-01 applied areas=lawn product=urea rate=4", "lawn"), "1.84 twice is over 2.5");
    assert!(!over("2016-04-20 applied areas=lawn product=urea rate=4", "lawn"), "more than a year ago");
    assert!(!over("2017-03-01 applied areas=blue product=urea rate=4", "lawn"), "other ground");
    assert!(!over("2017-03-01 applied areas=bed product=urea rate=4", "bed"), "no lawn");
    let all = entries(&format!("{BASE}{rule}\n2017-03-01 applied areas=lawn product=urea rate=4"));
    let own = all.last().unwrap();
    let Body::Applied(work) = &own.body else { panic!("an application") };
    let scene = Scene { yard: &fold(&all, MAY), weather: &mild(), almanac: Almanac::embedded(), on: MAY };
    let found = check_application(&scene, work, own.happened_on, Some(&own.id));
    assert!(!found.iter().any(|f| f.rule == "local-rule"), "{found:?}");
}

/// Where the label in hand names a strip beside water (5 m), ground that comes nearer is stopped, and ground beyond it is not.
#[test]
fn the_labels_strip_stops() {
    let lawn = |from: u8| {
        let lines = format!(
            "2017-01-01 outline area=lawn corners=\"{from} 0; 20 0; 20 10; {from} 10\"\n\
             2017-01-01 mapped name=Ditch is=water-edge at=\"0 0; 0 10\""
        );
        found(&lines, "plan-apply areas=lawn product=carba rate=10")
    };
    assert!(said(&lawn(4), Level::Stop, "water-distance", "Ditch"), "{:?}", lawn(4));
    assert!(!lawn(6).iter().any(|f| f.rule == "water-distance"), "{:?}", lawn(6));
}

//! Each label check raises what it should, and a suggested day never breaks a rule.

use almanac::Almanac;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use yard::advice::checks::{check_application, check_sowing, nearest_clear_day};
use yard::advice::{Finding, Level, Scene};
use yard::entry::{Body, Seeded, Sowing, Work};
use yard::fold;

use crate::common::{champion, entries};

const BASE: &str = "
2016-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2016-01-02 area name=Blue size=100 grass=kbg soil=loam
2016-01-02 area name=Tall size=100 grass=ttf soil=loam
2016-01-02 area name=Bermuda size=100 grass=ber soil=loam
2016-01-02 area name=Bed size=50 cover=bed soil=loam
2016-01-02 area name=Drive size=50 cover=hard soil=loam
2016-01-02 product name=prodiamine actives=\"prodiamine 0.48\"
2016-01-02 product name=siduron actives=\"siduron 4.6\"
2016-01-02 product name=threeway form=liquid actives=\"2,4-d 26, mcpp 7, dicamba 3\"
2016-01-02 product name=grub actives=\"imidacloprid 0.5\"
2016-01-02 product name=labelled actives=\"prodiamine 0.48\" label_active_year=0.06 label_interval=60 label_seed_wait=90 label_rate_max=12 label_water_in=13
2016-01-02 product name=urea n=46
2016-01-02 product name=quinclorac form=liquid actives=\"quinclorac 18.9\"
";

/// The findings on the last line of a text, taken as a plan, seen from the day `today`.
fn findings(lines: &str, plan: &str, on: Date, today: Date) -> Vec<Finding> {
    let text = format!("{BASE}{lines}\n{on} {plan}");
    let all = entries(&text);
    let plan = all.last().unwrap().clone();
    let yard = fold(&all[..all.len() - 1], today);
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: today };
    let work = match &plan.body {
        Body::Planned(p) => p.work.clone(),
        Body::Applied(a) => Work::Apply(a.clone()),
        other => panic!("no work: {other:?}"),
    };
    match &work {
        Work::Apply(a) => check_application(&scene, a, on, None),
        Work::Sow(s) => check_sowing(&scene, s, on, None),
    }
}

fn has(found: &[Finding], level: Level, rule: &str) -> bool {
    found.iter().any(|f| f.level == level && f.rule == rule)
}

const MAY: Date = date(2017, 5, 15);

/// Ground a product is not sold for, and hard ground.
#[test]
fn site() {
    let bed = findings("", "plan-apply areas=bed product=threeway rate=0.5", MAY, MAY);
    assert!(has(&bed, Level::Stop, "site"), "{bed:?}");
    let hard = findings("", "plan-apply areas=drive product=prodiamine rate=12", MAY, MAY);
    assert!(has(&hard, Level::Stop, "site"), "{hard:?}");
    let lawn = findings("", "plan-apply areas=blue product=prodiamine rate=12", MAY, MAY);
    assert!(!lawn.iter().any(|f| f.rule == "site"), "{lawn:?}");
}

/// Siduron injures bermudagrass (Purdue Turf Tips 2011: not on bermudagrass), and does not injure bluegrass.
#[test]
fn tolerance() {
    let bermuda = findings("", "plan-apply areas=bermuda product=siduron rate=10", MAY, MAY);
    assert!(has(&bermuda, Level::Stop, "tolerance"), "{bermuda:?}");
    let blue = findings("", "plan-apply areas=blue product=siduron rate=10", MAY, MAY);
    assert!(!blue.iter().any(|f| f.rule == "tolerance"), "{blue:?}");
}

/// More than the label's rate, and more nitrogen at once than one pound (University of Illinois).
#[test]
fn rate() {
    let over = findings("", "plan-apply areas=blue product=labelled rate=12.1", MAY, MAY);
    assert!(has(&over, Level::Stop, "rate"), "{over:?}");
    let at = findings("", "plan-apply areas=blue product=labelled rate=12", MAY, MAY);
    assert!(!at.iter().any(|f| f.rule == "rate"), "{at:?}");
    let burn = findings("", "plan-apply areas=blue product=urea rate=11", MAY, MAY);
    assert!(has(&burn, Level::Stop, "rate"), "5.06 g N/m²: {burn:?}");
}

/// The year's maximum sums what went down on the same ground in the same year, under any product's name.
#[test]
fn yearly_maximum() {
    let twice = "2017-03-01 applied areas=blue product=prodiamine rate=9";
    let now = findings(twice, "plan-apply areas=blue product=labelled rate=9", MAY, MAY);
    assert!(has(&now, Level::Stop, "yearly-maximum"), "0.0432 twice is over 0.06: {now:?}");
    let other = findings(twice, "plan-apply areas=tall product=labelled rate=9", MAY, MAY);
    assert!(!other.iter().any(|f| f.rule == "yearly-maximum"), "other ground: {other:?}");
    let last_year = findings(
        "2016-03-01 applied areas=blue product=prodiamine rate=9",
        "plan-apply areas=blue product=labelled rate=9",
        MAY,
        MAY,
    );
    assert!(!has(&last_year, Level::Stop, "yearly-maximum"), "other year: {last_year:?}");
}

/// A limit the almanac has only from memory never becomes a Stop.
#[test]
fn a_recalled_limit_is_only_a_caution() {
    let found = findings(
        "2017-03-01 applied areas=blue product=prodiamine rate=20",
        "plan-apply areas=blue product=prodiamine rate=17",
        MAY,
        MAY,
    );
    assert!(has(&found, Level::Caution, "yearly-maximum"), "{found:?}");
    assert!(!has(&found, Level::Stop, "yearly-maximum"));
    let f = found.iter().find(|f| f.rule == "yearly-maximum").unwrap();
    assert!(f.source.contains("not your label"), "{}", f.source);
}

#[test]
fn interval() {
    let lines = "2017-04-01 applied areas=blue product=prodiamine rate=5";
    let soon = findings(lines, "plan-apply areas=blue product=labelled rate=5", date(2017, 5, 30), MAY);
    let f = soon.iter().find(|f| f.rule == "interval").unwrap();
    assert_eq!((f.level, f.clear_on), (Level::Stop, Some(date(2017, 5, 31))), "{f:?}");
    let later = findings(lines, "plan-apply areas=blue product=labelled rate=5", date(2017, 5, 31), MAY);
    assert!(!later.iter().any(|f| f.rule == "interval"), "{later:?}");
}

/// Trials behind the waits: Keeley and Zhou 2005 (Weed Technology 19(1)), prodiamine 16 weeks before bluegrass is slit-sown.
/// The label in hand goes before the trial.
#[test]
fn seed_wait_both_ways() {
    let lines = "2017-04-20 applied areas=blue product=prodiamine rate=12";
    let sow = |d| findings(lines, "plan-sow area=blue grass=kbg rate=10", d, MAY);
    assert!(has(&sow(date(2017, 8, 9)), Level::Stop, "seed-wait"), "111 days");
    assert!(!has(&sow(date(2017, 8, 10)), Level::Stop, "seed-wait"), "112 days");
    assert!(has(&sow(date(2017, 8, 10)), Level::Caution, "seed-wait"), "still under 180 days");
    let labelled = findings(
        "2017-04-20 applied areas=blue product=labelled rate=12",
        "plan-sow area=blue grass=kbg rate=10",
        date(2017, 7, 18),
        MAY,
    );
    assert!(has(&labelled, Level::Stop, "seed-wait"), "89 of the label's 90 days: {labelled:?}");
    // The other way round: preventer over seed that is planned.
    let over = findings(
        "2017-06-10 plan-sow area=blue grass=kbg rate=10",
        "plan-apply areas=blue product=prodiamine rate=12",
        MAY,
        MAY,
    );
    assert!(has(&over, Level::Stop, "seed-wait"), "{over:?}");
}

#[test]
fn seedlings() {
    let lines = "2017-04-20 seeded area=tall grass=ttf rate=34";
    let young = findings(lines, "plan-apply areas=tall product=prodiamine rate=12", MAY, MAY);
    assert!(young.iter().any(|f| f.rule == "seedlings"), "{young:?}");
    let old = findings(
        "2015-09-01 seeded area=tall grass=ttf rate=34".replace("2015", "2016").as_str(),
        "plan-apply areas=tall product=prodiamine rate=12",
        date(2017, 9, 15),
        date(2017, 9, 15),
    );
    assert!(!old.iter().any(|f| f.rule == "seedlings"), "{old:?}");
}

/// Wind over 10 mph stops a spray; granules bear more (common practice; Pesticide Environmental Stewardship).
#[test]
fn wind() {
    let spray = |w: f64| findings("", &format!("plan-apply areas=blue product=threeway rate=0.5 wind={w}"), MAY, MAY);
    assert!(has(&spray(5.0), Level::Stop, "wind"));
    assert!(has(&spray(4.0), Level::Caution, "wind"));
    assert!(!spray(2.5).iter().any(|f| f.rule == "wind"));
    // Granules: care above 10 mph, stop above 15.
    let granule =
        |w: f64| findings("", &format!("plan-apply areas=blue product=prodiamine rate=12 wind={w}"), MAY, MAY);
    assert!(has(&granule(5.0), Level::Caution, "wind"));
    assert!(has(&granule(7.0), Level::Stop, "wind"));
    assert!(!granule(4.0).iter().any(|f| f.rule == "wind"));
}

/// A three-way label stops at 90 °F (text of a 2,4-D, MCPP and dicamba label).
#[test]
fn heat() {
    let hot = findings("", "plan-apply areas=blue product=threeway rate=0.5 air=33", MAY, MAY);
    assert!(hot.iter().any(|f| f.rule == "heat"), "{hot:?}");
    let mild = findings("", "plan-apply areas=blue product=threeway rate=0.5 air=22", MAY, MAY);
    assert!(!mild.iter().any(|f| f.rule == "heat"), "{mild:?}");
}

#[test]
fn rain_and_watering_in() {
    let wet = findings("", "plan-apply areas=blue product=threeway rate=0.5 rain_in_hours=2", MAY, MAY);
    assert!(wet.iter().any(|f| f.rule == "rain" && f.level <= Level::Caution), "{wet:?}");
    let dry = findings("", "plan-apply areas=blue product=threeway rate=0.5 rain_in_hours=48", MAY, MAY);
    assert!(!dry.iter().any(|f| f.rule == "rain"), "{dry:?}");
    let short = findings("", "plan-apply areas=blue product=labelled rate=12 watered_in=5", MAY, MAY);
    assert!(has(&short, Level::Caution, "watering-in"), "{short:?}");
    let enough = findings("", "plan-apply areas=blue product=labelled rate=12 watered_in=13", MAY, MAY);
    assert!(!enough.iter().any(|f| f.rule == "watering-in"), "{enough:?}");
}

/// Open flowers forbid a neonicotinoid (Larson, Redmond and Potter 2013, PLoS ONE 8(6):e66375).
#[test]
fn bloom() {
    let open = findings("", "plan-apply areas=blue product=grub rate=8 flowers_open=yes", MAY, MAY);
    assert!(has(&open, Level::Stop, "bloom"), "{open:?}");
}

/// Frozen ground takes no fertiliser (Michigan State University Extension 2011 on Michigan's rules).
#[test]
fn frozen() {
    let january = findings("", "plan-apply areas=blue product=urea rate=5", date(2017, 1, 10), date(2017, 1, 10));
    assert!(has(&january, Level::Stop, "frozen"), "{january:?}");
}

/// The label typed counts even when nothing else is known of the product.
#[test]
fn a_label_alone_is_enough() {
    let product = "2016-01-02 product name=mystery form=liquid label_interval=30 label_seed_wait=90 label_rain_free=24 label_water_in=13\n";
    let before = format!(
        "{product}2017-05-10 applied areas=blue product=mystery rate=2\n2017-05-20 plan-sow area=blue grass=kbg rate=10"
    );
    let found = findings(&before, "plan-apply areas=blue product=mystery rate=2 wind=8 rain_in_hours=1", MAY, MAY);
    for rule in ["interval", "seed-wait", "wind", "rain"] {
        assert!(has(&found, Level::Stop, rule), "{rule}: {found:?}");
    }
    let sow = findings(
        &format!("{product}2017-05-10 applied areas=blue product=mystery rate=2"),
        "plan-sow area=blue grass=kbg rate=10",
        MAY,
        MAY,
    );
    assert!(has(&sow, Level::Stop, "seed-wait"), "{sow:?}");
    let hard = findings("", "plan-apply areas=drive product=urea rate=5", MAY, MAY);
    assert!(has(&hard, Level::Stop, "site"), "{hard:?}");
}

/// What went down is judged by the bag of its day: describing the product anew changes nothing that lies before.
#[test]
fn a_new_bag_does_not_rewrite_the_past() {
    let lines = "2017-03-01 applied areas=blue product=labelled rate=12
2017-05-01 product name=labelled actives=\"prodiamine 0.1\" label_active_year=0.06";
    let found = findings(lines, "plan-apply areas=blue product=labelled rate=12", MAY, MAY);
    assert!(has(&found, Level::Stop, "yearly-maximum"), "0.0576 + 0.012 is over 0.06: {found:?}");
}

/// A label that was in force for the year's first application still binds the second, under whatever name it is sold.
#[test]
fn another_products_label_still_binds() {
    let lines = "2017-02-01 applied areas=blue product=labelled rate=10.4";
    let year = findings(lines, "plan-apply areas=blue product=prodiamine rate=10.4", MAY, MAY);
    assert!(has(&year, Level::Stop, "yearly-maximum"), "0.0998 is over the label's 0.06: {year:?}");
    let soon = findings(
        "2017-04-01 applied areas=blue product=labelled rate=1",
        "plan-apply areas=blue product=prodiamine rate=1",
        MAY,
        MAY,
    );
    assert!(has(&soon, Level::Stop, "interval"), "44 of the label's 60 days: {soon:?}");
}

/// Slow nitrogen has its limit too (turf tables: coated up to 2.0 lb/1000 sq ft, from memory), and so has ground that is frozen for
/// any product.
#[test]
fn slow_nitrogen_and_frozen_ground() {
    let slow = "2016-01-02 product name=coated n=24 slow=60";
    let dose = |rate: f64| findings(slow, &format!("plan-apply areas=blue product=coated rate={rate}"), MAY, MAY);
    assert!(has(&dose(100.0), Level::Stop, "rate"), "24 g N/m²");
    assert!(has(&dose(30.0), Level::Caution, "rate"), "7.2 g N/m²");
    assert!(!dose(20.0).iter().any(|f| f.rule == "rate"), "4.8 g N/m²");
    let january =
        findings("", "plan-apply areas=blue product=prodiamine rate=12", date(2017, 1, 10), date(2017, 1, 10));
    assert!(has(&january, Level::Stop, "frozen"), "{january:?}");
}

/// Phosphate on a grown lawn asks for a soil test; beside a sowing it does not (Minnesota and Michigan phosphorus rules).
#[test]
fn phosphate() {
    let starter = "2016-01-02 product name=starter n=18 p2o5=24 slow=20";
    let grown = findings(starter, "plan-apply areas=blue product=starter rate=20", MAY, MAY);
    assert!(has(&grown, Level::Caution, "phosphate"), "{grown:?}");
    let sown = findings(
        &format!("{starter}\n2017-05-10 seeded area=blue grass=kbg rate=10"),
        "plan-apply areas=blue product=starter rate=20",
        MAY,
        MAY,
    );
    assert!(!sown.iter().any(|f| f.rule == "phosphate"), "{sown:?}");
}

/// A figure far beyond any usual rate is a slip, and is stopped though no published limit is at hand.
#[test]
fn a_slip_of_the_pen_is_stopped() {
    let found = findings("", "plan-apply areas=blue product=prodiamine rate=1200", MAY, MAY);
    assert!(has(&found, Level::Stop, "slip"), "{found:?}");
}

/// An application written down late is judged against the seed that was sown since.
#[test]
fn a_late_entry_sees_the_seed() {
    let lines = "2017-05-01 seeded area=blue grass=kbg rate=10";
    let found = findings(lines, "applied areas=blue product=prodiamine rate=12", date(2017, 4, 20), MAY);
    let stop = found.iter().find(|f| f.rule == "seed-wait");
    assert!(stop.is_some_and(|f| f.level == Level::Stop && f.message.contains("11 days")), "{found:?}");
}

/// Doing what was planned is not held against the plan itself, even where only one of its areas is done so far; two plans a few
/// days apart do stand against each other.
#[test]
fn a_plan_does_not_stop_its_own_work() {
    let weather = champion();
    let check = |text: &str, id: &str| {
        let all = entries(&format!("{BASE}{text}"));
        let yard = fold(&all, MAY);
        let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: MAY };
        let entry = all.iter().find(|e| e.id == id).unwrap();
        let (work, on) = match &entry.body {
            Body::Applied(a) => (a.clone(), entry.happened_on),
            Body::Planned(p) => match &p.work {
                Work::Apply(a) => (a.clone(), entry.happened_on),
                Work::Sow(_) => panic!("a sowing"),
            },
            other => panic!("{other:?}"),
        };
        check_application(&scene, &work, on, Some(id))
    };
    let first = entries(BASE).len() + 1;
    let id = |n: usize| format!("t-{:04}", first + n);
    let half_done = "2017-05-15 applied areas=blue product=labelled rate=5\n2017-05-16 plan-apply areas=blue,tall product=labelled rate=5";
    assert!(!check(half_done, &id(0)).iter().any(|f| f.level == Level::Stop), "{:?}", check(half_done, &id(0)));
    let two_plans = "2017-05-16 plan-apply areas=blue product=labelled rate=5\n2017-05-20 plan-apply areas=blue product=labelled rate=5";
    let found = check(two_plans, &id(0));
    assert!(has(&found, Level::Stop, "interval"), "4 of the label's 60 days: {found:?}");
}

/// The Caution of a wait names its own figure, not the trial behind the Stop.
#[test]
fn each_wait_has_its_own_source() {
    let lines = "2017-04-20 applied areas=blue product=prodiamine rate=12";
    let found = findings(lines, "plan-sow area=blue grass=kbg rate=10", date(2017, 8, 20), MAY);
    let wait = found.iter().find(|f| f.rule == "seed-wait").unwrap();
    assert!(wait.level == Level::Caution && wait.message.contains("180 days"), "{wait:?}");
    assert!(!wait.source.contains("16 weeks"), "{}", wait.source);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// However the past looks, a day offered as clear has no Stop, and no earlier day from the start on was clear.
    #[test]
    fn a_clear_day_is_clear(gaps in prop::collection::vec((0u16..400, 0usize..4, 0usize..3), 0..8), ahead in 0i64..300, grass in 0usize..2) {
        let products = ["prodiamine", "labelled", "threeway", "quinclorac"];
        let areas = ["blue", "tall", "bermuda"];
        let mut lines = String::new();
        for (day, product, area) in gaps {
            let on = date(2016, 1, 5).checked_add(jiff::Span::new().days(i64::from(day))).unwrap();
            lines.push_str(&format!("{on} applied areas={} product={} rate=5\n", areas[area], products[product]));
        }
        let today = date(2017, 2, 20);
        let all = entries(&format!("{BASE}{lines}"));
        let yard = fold(&all, today);
        let weather = CHAMPION.with(|w| w.clone());
        let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: today };
        let seed = Seeded { area: areas[grass].into(), grass: ["kbg", "ttf"][grass].into(), rate_g_m2: 10.0, spot_m2: None, sowing: Sowing::Bare, remark: String::new() };
        let from = today.checked_add(jiff::Span::new().days(ahead)).unwrap();
        let stops = |d: Date| check_sowing(&scene, &seed, d, None).iter().filter(|f| f.level == Level::Stop).count();
        if let Some(clear) = nearest_clear_day(from, |d| check_sowing(&scene, &seed, d, None)) {
            prop_assert_eq!(stops(clear), 0);
            let mut day = from;
            while day < clear {
                prop_assert!(stops(day) > 0, "{} is clear before {}", day, clear);
                day = day.tomorrow().unwrap();
            }
        } else {
            prop_assert!(false, "sowing stops always end");
        }
    }
}

thread_local! {
    static CHAMPION: yard::Weather = champion();
}

/// A product with the label looked up to the last line, against the typical figures of its ingredient.
const LABELLED: &str = "2016-01-02 product name=full actives=\"prodiamine 0.48\" label_sites=turf label_grasses=\"ttf\" label_grasses_not=\"kbg\" \
    label_heat=25 label_cold=8 label_wind=3 label_reentry=12 label_seedling_days=100 label_seedling_mowings=3 label_times_year=2 label_water_in=10 label_water_within=3\n\
    2016-01-02 product name=rolling actives=\"prodiamine 0.48\" label_active_year=0.06 label_year=rolling label_interval=1\n\
    2016-01-02 product name=fungus actives=\"propiconazole 1\"\n\
    2016-01-02 product name=other-fungus actives=\"myclobutanil 1\"\n\
    2016-01-02 product name=third-fungus actives=\"azoxystrobin 0.3\"";

/// The label's list of ground and grasses goes before what is usual: named grass passes, forbidden and unnamed grass stops, beds stop.
#[test]
fn the_label_names_ground_and_grasses() {
    let on = |area: &str| findings(LABELLED, &format!("plan-apply areas={area} product=full rate=12"), MAY, MAY);
    assert!(has(&on("blue"), Level::Stop, "tolerance"), "forbidden");
    assert!(has(&on("bermuda"), Level::Stop, "tolerance"), "not among the grasses");
    assert!(has(&on("bed"), Level::Stop, "site"), "not on the list of ground");
    let tall = on("tall");
    assert!(!tall.iter().any(|f| f.rule == "tolerance" || f.rule == "site"), "{tall:?}");
}

/// Heat, cold, wind and the hours to stay off, as the label has them.
#[test]
fn the_label_names_the_day() {
    let day = |more: &str| findings(LABELLED, &format!("applied areas=tall product=full rate=12 {more}"), MAY, MAY);
    assert!(has(&day("air=26"), Level::Stop, "heat"));
    assert!(!day("air=24").iter().any(|f| f.rule == "heat" || f.rule == "cold"));
    assert!(has(&day("air=7"), Level::Caution, "cold"));
    assert!(has(&day("wind=3.1"), Level::Stop, "wind"));
    assert!(!has(&day("wind=2.9"), Level::Stop, "wind"));
    assert!(day("air=20").iter().any(|f| f.rule == "re-entry" && f.message.contains("12 h")));
    let washed = day("watered_in=5");
    assert!(washed.iter().any(|f| f.rule == "watering-in" && f.message.contains("within 3 days")), "{washed:?}");
}

/// Young grass waits for the label's days and mowings.
#[test]
fn the_label_names_the_wait_of_seedlings() {
    let after = |days: i64, mowings: usize| {
        let sown = MAY.checked_sub(jiff::Span::new().days(days)).unwrap();
        let mut lines = format!("{LABELLED}\n{sown} seeded area=tall grass=ttf rate=30");
        for i in 0..mowings {
            let day = MAY.checked_sub(jiff::Span::new().days(i64::try_from(i).unwrap() + 1)).unwrap();
            lines += &format!("\n{day} mowed areas=tall height=80");
        }
        findings(&lines, "plan-apply areas=tall product=full rate=12", MAY, MAY)
    };
    assert!(has(&after(99, 3), Level::Stop, "seedlings"));
    assert!(!after(100, 3).iter().any(|f| f.rule == "seedlings"));
    assert!(has(&after(120, 2), Level::Stop, "seedlings"));
}

/// Times in a year, and a year that is any 365 days: what went down in autumn still counts in spring, and no longer a year on.
#[test]
fn the_label_names_times_and_the_rolling_year() {
    let twice = "2017-02-01 applied areas=tall product=full rate=5\n2017-03-20 applied areas=tall product=full rate=5";
    let third = findings(&format!("{LABELLED}\n{twice}"), "plan-apply areas=tall product=full rate=5", MAY, MAY);
    assert!(has(&third, Level::Stop, "yearly-maximum"), "{third:?}");
    let autumn = "2016-10-01 applied areas=tall product=rolling rate=10";
    let plan =
        |on: Date| findings(&format!("{LABELLED}\n{autumn}"), "plan-apply areas=tall product=rolling rate=5", on, on);
    let spring = plan(MAY);
    assert!(has(&spring, Level::Stop, "yearly-maximum"), "0.048 + 0.024 in 365 days: {spring:?}");
    let clear = spring.iter().find(|f| f.rule == "yearly-maximum").and_then(|f| f.clear_on);
    assert_eq!(clear, Some(date(2017, 10, 1)));
    assert!(!has(&plan(date(2017, 10, 1)), Level::Stop, "yearly-maximum"));
    assert!(has(&plan(date(2017, 9, 30)), Level::Stop, "yearly-maximum"));
}

/// Never more than two in a row of one resistance group, whatever the names on the bags (common practice); another group between
/// ends the row, and the message names one.
#[test]
fn one_group_again_and_again() {
    let before = |second: &str| {
        let lines = format!(
            "{LABELLED}\n2017-03-01 applied areas=tall product=fungus rate=10\n2017-04-01 applied areas=tall product={second} rate=10"
        );
        findings(&lines, "plan-apply areas=tall product=fungus rate=10", MAY, MAY)
    };
    let again = before("other-fungus");
    let said = again.iter().find(|f| f.rule == "rotation").expect("three of FRAC 3 in a row");
    assert!(said.level == Level::Caution && said.message.contains("azoxystrobin"), "{said:?}");
    assert!(!before("third-fungus").iter().any(|f| f.rule == "rotation"));
}

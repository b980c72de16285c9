//! The smallest cases of what the histories once found, each by itself.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::checks::{check_application, check_sowing};
use yard::advice::{Finding, Level, Scene};
use yard::entry::{Body, Work};
use yard::fold;

use super::mild;
use crate::common::entries;

const BASE: &str = "
2013-01-02 yard name=Small latitude=40 longitude=-100 elevation=300 units=metric
2013-01-02 area name=Lawn size=100 grass=ttf soil=loam
2013-01-02 product name=strict actives=\"prodiamine 1\" label_active_year=0.05 label_year=rolling label_interval=0
2013-01-02 product name=lax actives=\"prodiamine 1\" label_active_year=0.5 label_year=rolling label_interval=0
2013-01-02 product name=calendar actives=\"prodiamine 1\" label_active_year=0.05 label_interval=0
2013-01-02 product name=once actives=\"prodiamine 1\" label_times_year=1 label_interval=0
2013-01-02 product name=plain actives=\"prodiamine 1\" label_interval=0
2013-01-02 product name=dithio actives=\"dithiopyr 0.3\"
2013-01-02 product name=dithio-ten actives=\"dithiopyr 0.3\" label_interval=10
2013-01-02 product name=unknown label_seedling_days=60 label_seedling_mowings=2
2013-01-02 product name=waits label_seed_wait=60
";

/// What the checks say of the last line, work or plan, seen from a day.
fn found(lines: &str, asked: &str, on: Date, today: Date) -> Vec<Finding> {
    let all = entries(&format!("{BASE}{lines}\n{on} {asked}"));
    let (asked, before) = all.split_last().unwrap();
    let yard = fold(before, today);
    let weather = mild();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: today };
    match &asked.body {
        Body::Applied(a) => check_application(&scene, a, on, None),
        Body::Planned(p) => match &p.work {
            Work::Apply(a) => check_application(&scene, a, on, None),
            Work::Sow(s) => check_sowing(&scene, s, on, None),
        },
        other => panic!("no work: {other:?}"),
    }
}

fn stop<'a>(found: &'a [Finding], rule: &str) -> Option<&'a Finding> {
    found.iter().find(|f| f.level == Level::Stop && f.rule == rule)
}

const MAY: Date = date(2017, 5, 15);

/// A lighter year under a strict label is over, though a heavier year under a lax one is not: of the years that hold 15 May 2017 the
/// one with most on it (0.12 + 0.02 + 0.02 from 1 June 2016) may have 0.5, the one after (0.02 + 0.04) no more than 0.05.
#[test]
fn the_lighter_year_may_be_the_stricter() {
    let lines =
        "2016-06-01 applied areas=lawn product=lax rate=12\n2017-08-01 plan-apply areas=lawn product=strict rate=4";
    let now = found(lines, "plan-apply areas=lawn product=plain rate=2", MAY, MAY);
    assert!(stop(&now, "yearly-maximum").is_some(), "{now:?}");
}

/// Times a year are counted where most of them lie, not where most grams lie; and another label's times bind too.
#[test]
fn times_are_counted_by_themselves() {
    let now = found(
        "2017-04-01 applied areas=lawn product=once rate=1",
        "plan-apply areas=lawn product=plain rate=1",
        MAY,
        MAY,
    );
    assert_eq!(stop(&now, "yearly-maximum").and_then(|f| f.clear_on), Some(date(2018, 1, 1)), "{now:?}");
}

/// A label that counts by the calendar is not stretched to any 365 days by another that does.
#[test]
fn each_label_counts_its_own_year() {
    let lines = "2016-09-01 applied areas=lawn product=lax rate=4";
    let now = found(lines, "plan-apply areas=lawn product=calendar rate=4", MAY, MAY);
    assert!(stop(&now, "yearly-maximum").is_none(), "0.04 in each calendar year: {now:?}");
}

/// More at once than the whole year may have has no clear day.
#[test]
fn too_much_at_once_names_no_day() {
    let now = found("", "plan-apply areas=lawn product=calendar rate=6", MAY, MAY);
    assert_eq!(stop(&now, "yearly-maximum").map(|f| f.clear_on), Some(None), "{now:?}");
}

/// Dithiopyr's 35 days are recalled and only a Caution; the other label's 10 days, broken too, are a Stop.
#[test]
fn a_longer_recalled_interval_hides_no_label() {
    let lines = "2017-05-10 applied areas=lawn product=dithio-ten rate=10";
    let now = found(lines, "plan-apply areas=lawn product=dithio rate=10", MAY, MAY);
    assert_eq!(stop(&now, "interval").and_then(|f| f.clear_on), Some(date(2017, 5, 20)), "{now:?}");
}

/// The label's wait of young grass counts where nothing is known of what is in the bag.
#[test]
fn young_grass_waits_for_any_label() {
    let lines = "2017-05-01 seeded area=lawn grass=ttf rate=30";
    let now = found(lines, "plan-apply areas=lawn product=unknown rate=1", MAY, MAY);
    assert!(stop(&now, "seedlings").is_some_and(|f| f.clear_on == Some(date(2017, 6, 30))), "{now:?}");
}

/// Two sown patches in one lawn: the older was never mown, and mowing the younger does not mow it.
#[test]
fn mowings_count_where_the_seed_lies() {
    let lines = "2017-01-01 outline area=lawn corners=\"0 0; 10 0; 10 10; 0 10\"
2017-01-01 area name=West size=1 grass=ttf soil=loam
2017-01-01 outline area=west corners=\"0 0; 2 0; 2 2; 0 2\"
2017-01-01 area name=East size=1 grass=ttf soil=loam
2017-01-01 outline area=east corners=\"6 0; 8 0; 8 2; 6 2\"
2017-02-01 seeded area=west grass=ttf rate=30
2017-02-02 seeded area=east grass=ttf rate=30
2017-04-20 mowed areas=east height=80
2017-05-01 mowed areas=east height=80";
    let now = found(lines, "plan-apply areas=lawn product=unknown rate=1", MAY, MAY);
    assert!(stop(&now, "seedlings").is_some_and(|f| f.message.contains("mown 0 times")), "{now:?}");
    let mown = format!("{lines}\n2017-05-02 mowed areas=west height=80\n2017-05-09 mowed areas=west height=80");
    let now = found(&mown, "plan-apply areas=lawn product=unknown rate=1", MAY, MAY);
    assert!(stop(&now, "seedlings").is_none(), "{now:?}");
}

/// A plan whose day has passed is still to come: waits begin today at the earliest, whichever of the two it is.
#[test]
fn an_overdue_plan_comes_today() {
    let treat = "2017-05-01 plan-apply areas=lawn product=waits rate=1";
    let sow = found(treat, "plan-sow area=lawn grass=ttf rate=30", date(2017, 7, 1), MAY);
    assert_eq!(stop(&sow, "seed-wait").and_then(|f| f.clear_on), Some(date(2017, 7, 14)), "{sow:?}");
    let seed = "2017-05-01 plan-sow area=lawn grass=ttf rate=30";
    let treated = found(seed, "plan-apply areas=lawn product=unknown rate=1", date(2017, 7, 1), MAY);
    let clear: Vec<_> = treated.iter().filter(|f| f.rule == "seedlings").filter_map(|f| f.clear_on).collect();
    assert_eq!(clear, [date(2017, 7, 14)], "{treated:?}");
}

/// Work written down late lies on the ground its area had on that day, not on the area's ground now.
#[test]
fn late_work_lies_where_it_lay() {
    let lines = "2017-01-01 outline area=lawn corners=\"0 0; 10 0; 10 10; 0 10\"
2017-03-01 applied areas=lawn product=calendar rate=4
2017-05-01 outline area=lawn corners=\"20 0; 30 0; 30 10; 20 10\"";
    let late = found(lines, "applied areas=lawn product=calendar rate=4", date(2017, 4, 1), MAY);
    assert!(stop(&late, "yearly-maximum").is_some(), "{late:?}");
    let now = found(lines, "plan-apply areas=lawn product=calendar rate=4", MAY, MAY);
    assert!(stop(&now, "yearly-maximum").is_none(), "{now:?}");
}

/// Taking a drawing back forgets nothing that was put down while it was there.
#[test]
fn a_drawing_taken_back_forgets_nothing() {
    let lines = "2017-01-01 outline area=lawn corners=\"0 0; 10 0; 10 10; 0 10\"
2017-03-01 applied areas=lawn product=calendar rate=4
2017-05-01 outline area=lawn corners=none";
    let now = found(lines, "plan-apply areas=lawn product=calendar rate=4", MAY, MAY);
    assert!(stop(&now, "yearly-maximum").is_some(), "{now:?}");
    let yard = fold(&entries(&format!("{BASE}{lines}")), MAY);
    assert_eq!(yard.share_of("lawn", "lawn", date(2017, 3, 1)), 1.0);
}

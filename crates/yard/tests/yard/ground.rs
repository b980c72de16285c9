//! Work stays on the ground it was put on: limits and waits hold where outlines of different years overlap.

use almanac::Almanac;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use yard::advice::checks::{check_application, check_sowing};
use yard::advice::feeding::nitrogen_given;
use yard::advice::soil::area_balances;
use yard::advice::{Finding, Level, Scene};
use yard::entry::{Body, Work};
use yard::fold;

use crate::common::{champion, entries};

/// Until 2017 the front lawn is the west 20 m and the side lawn the east 10 m of one 30 m strip, 10 m deep; from 15 April 2017
/// the front lawn reaches 5 m into what was the side lawn.
const REDRAWN: &str = "
2016-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2016-01-02 area name=Front size=1 grass=kbg soil=loam
2016-01-02 area name=Side size=1 grass=kbg soil=loam
2016-01-02 area name=Plain size=100 grass=kbg soil=loam
2016-01-02 product name=labelled actives=\"prodiamine 0.48\" label_active_year=0.06 label_interval=60 label_seed_wait=90
2016-01-02 product name=urea n=46
2016-01-02 outline area=front corners=\"0 0; 20 0; 20 10; 0 10\"
2016-01-02 outline area=side corners=\"20 0; 30 0; 30 10; 20 10\"
2017-03-10 applied areas=side product=labelled rate=10
2017-04-15 outline area=front corners=\"0 0; 25 0; 25 10; 0 10\"
2017-04-15 outline area=side corners=\"25 0; 30 0; 30 10; 25 10\"
";

fn found(lines: &str, plan: &str, on: Date) -> Vec<Finding> {
    let all = entries(&format!("{REDRAWN}{lines}\n{on} {plan}"));
    let (plan, before) = all.split_last().unwrap();
    let yard = fold(before, on);
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on };
    match &plan.body {
        Body::Planned(p) => match &p.work {
            Work::Apply(a) => check_application(&scene, a, on, None),
            Work::Sow(s) => check_sowing(&scene, s, on, None),
        },
        other => panic!("no plan: {other:?}"),
    }
}

fn stop<'a>(found: &'a [Finding], rule: &str) -> Option<&'a str> {
    found.iter().find(|f| f.level == Level::Stop && f.rule == rule).map(|f| f.message.as_str())
}

const MAY: Date = date(2017, 5, 1);

/// The drawing gives the size: 25 m by 10 m, and the rest.
#[test]
fn the_drawing_gives_the_size() {
    let yard = fold(&entries(REDRAWN), MAY);
    assert_eq!(yard.area("front").unwrap().size_m2, 250.0);
    assert_eq!(yard.area("side").unwrap().size_m2, 50.0);
    assert_eq!(yard.area("plain").unwrap().size_m2, 100.0);
    let last_year = fold(&entries(REDRAWN), date(2016, 6, 1));
    assert_eq!(last_year.area("front").unwrap().size_m2, 200.0);
    assert_eq!(last_year.area("side").unwrap().size_m2, 100.0);
}

/// The front lawn itself was never treated, but 50 m² of it were when they were the side lawn's: 0.048 g/m² then and 0.024 now are
/// over the label's 0.06 g/m² a year there. The message names the part.
#[test]
fn the_yearly_maximum_holds_on_the_part_that_changed_hands() {
    let now = found("", "plan-apply areas=front product=labelled rate=5", MAY);
    let message = stop(&now, "yearly-maximum").expect("0.048 + 0.024 is over 0.06");
    assert!(message.contains("50") && message.contains("Side"), "{message}");
    let less = found("", "plan-apply areas=front product=labelled rate=2", MAY);
    assert_eq!(stop(&less, "yearly-maximum"), None, "0.048 + 0.0096 is under it: {less:?}");
    let plain = found("", "plan-apply areas=plain product=labelled rate=5", MAY);
    assert_eq!(stop(&plain, "yearly-maximum"), None);
}

/// Days between applications count on the same part; ground that only shares an edge does not count.
#[test]
fn intervals_hold_on_the_part_that_changed_hands() {
    let now = found("", "plan-apply areas=front product=labelled rate=2", MAY);
    assert!(stop(&now, "interval").is_some_and(|m| m.contains("2017-03-10")), "{now:?}");
    // Before the new outline the two lawns only share their edge.
    let before = found("", "plan-apply areas=front product=labelled rate=2", date(2017, 4, 1));
    assert_eq!(stop(&before, "interval"), None, "{before:?}");
}

/// Seed on the front lawn would lie partly on ground the preventer still holds.
#[test]
fn waits_before_sowing_hold_on_the_part_that_changed_hands() {
    let now = found("", "plan-sow area=front grass=kbg rate=10", MAY);
    assert!(stop(&now, "seed-wait").is_some(), "{now:?}");
    let plain = found("", "plan-sow area=plain grass=kbg rate=10", MAY);
    assert_eq!(stop(&plain, "seed-wait"), None);
}

/// Two areas drawn over each other on the same day: what lies on both adds up.
#[test]
fn areas_drawn_over_each_other_add_up() {
    let lines = "2017-04-20 area name=Patch size=1 grass=kbg soil=loam\n\
                 2017-04-20 outline area=patch corners=\"2 2; 6 2; 6 6; 2 6\"\n\
                 2017-04-20 applied areas=front product=labelled rate=10";
    let now = found(lines, "plan-apply areas=patch product=labelled rate=5", MAY);
    assert!(stop(&now, "yearly-maximum").is_some(), "{now:?}");
}

/// Nitrogen and water count by the share of the ground they lie on: 50 of 250 m² had 9.2 g/m² of nitrogen (20 g/m² urea).
#[test]
fn nitrogen_and_water_count_by_share() {
    let lines = "2017-03-20 applied areas=side product=urea rate=20\n2017-04-02 watered area=side depth=10\n";
    let all =
        entries(&REDRAWN.replace("2017-04-15 outline area=front", &format!("{lines}2017-04-15 outline area=front")));
    let yard = fold(&all, MAY);
    let given = |area: &str| nitrogen_given(&yard, area, date(2017, 1, 1), MAY).iter().map(|(_, n)| n).sum::<f64>();
    assert!((given("front") - 9.2 * 50.0 / 250.0).abs() < 1e-9, "{}", given("front"));
    assert!((given("side") - 9.2).abs() < 1e-9);
    assert_eq!(given("plain"), 0.0);
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: MAY };
    let water = area_balances(&scene);
    let watered = |key: &str| {
        let area = water.iter().find(|a| a.key == key).unwrap();
        area.history.iter().map(|d| d.irrigation_mm).sum::<f64>()
    };
    assert!((watered("front") - 2.0).abs() < 1e-9, "{}", watered("front"));
    assert!((watered("side") - 10.0).abs() < 1e-9);
}

/// A drawing taken back leaves the area with its plain size and what was put on it under its name.
#[test]
fn a_drawing_taken_back() {
    let all = entries(&format!("{REDRAWN}2017-04-20 outline area=side corners=none\n"));
    let yard = fold(&all, MAY);
    assert_eq!(yard.area("side").unwrap().size_m2, 1.0);
    assert!(yard.pieces("side").is_empty());
    assert_eq!(yard.share_of("side", "side", MAY), 1.0);
}

/// New grass on a corner does not free the whole lawn from the phosphate rule, and half of a lawn that was fed elsewhere counts in full
/// against the year's nitrogen.
#[test]
fn corners_and_halves() {
    let lines = "2017-01-02 local-rules phosphate=test-or-seed nitrogen_year=10\n\
                 2017-01-02 product name=starter n=5 p2o5=20\n\
                 2017-04-20 area name=Corner size=1 grass=kbg soil=loam\n\
                 2017-04-20 outline area=corner corners=\"0 0; 1 0; 1 1; 0 1\"\n\
                 2017-04-21 seeded area=corner grass=kbg rate=10";
    let now = found(lines, "plan-apply areas=front product=starter rate=10", MAY);
    assert!(stop(&now, "phosphate").is_some(), "{now:?}");
    // 20 g/m² of urea are 9.2 g of nitrogen on what was the side lawn, a fifth of the front now: with 2.3 more it is over 10.
    let fed = "2017-01-02 local-rules nitrogen_year=10";
    let early =
        REDRAWN.replace("2017-03-10 applied", "2017-03-05 applied areas=side product=urea rate=20\n2017-03-10 applied");
    let all = entries(&format!("{early}{fed}\n{MAY} plan-apply areas=front product=urea rate=5\n"));
    let (plan, before) = all.split_last().unwrap();
    let Body::Planned(p) = &plan.body else { panic!("a plan") };
    let Work::Apply(work) = &p.work else { panic!("an application") };
    let yard = fold(before, MAY);
    let weather = champion();
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: MAY };
    assert!(stop(&check_application(&scene, work, MAY, None), "local-rule").is_some());
}

/// A rectangle with its corners on whole half metres: old outline, new outline, treated or not.
fn rectangle() -> impl Strategy<Value = [f64; 4]> {
    (0..40i32, 0..40i32, 2..30i32, 2..30i32).prop_map(|(x, y, w, h)| [x, y, x + w, y + h].map(|v| f64::from(v) / 2.0))
}

fn corners([w, s, e, n]: [f64; 4]) -> String {
    format!("{w} {s}; {e} {s}; {e} {n}; {w} {n}")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    /// Wherever any ground of the area, half a square metre or more, has had its fill this year, the plan is stopped; where none has,
    /// it is not. The judge counts on a grid of points half a metre apart, with no polygons at all.
    #[test]
    fn the_ground_itself_decides(
        old in prop::collection::vec((rectangle(), 1..=6u32), 1..4),
        now in rectangle(),
        plan in 1..=6u32,
    ) {
        let mut text = "2016-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2016-01-02 product name=labelled actives=\"prodiamine 0.48\" label_active_year=0.06\n".to_owned();
        for (i, (ring, rate)) in old.iter().enumerate() {
            text += &format!("2016-01-02 area name=old{i} size=1 grass=kbg soil=loam\n");
            text += &format!("2016-01-02 outline area=old{i} corners=\"{}\"\n", corners(*ring));
            text += &format!("2017-03-0{} applied areas=old{i} product=labelled rate={rate}\n", i + 1);
            text += &format!("2017-04-01 area name=old{i} size=1 grass=kbg soil=loam retired=yes\n");
        }
        text += "2017-04-02 area name=now size=1 grass=kbg soil=loam\n";
        text += &format!("2017-04-02 outline area=now corners=\"{}\"\n", corners(now));
        text += &format!("2017-05-01 plan-apply areas=now product=labelled rate={plan}\n");
        let all = entries(&text);
        let (work, before) = all.split_last().unwrap();
        let Body::Planned(work) = &work.body else { panic!("a plan") };
        let Work::Apply(work) = &work.work else { panic!("an application") };
        let yard = fold(before, MAY);
        let weather = champion();
        let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on: MAY };
        let stopped = stop(&check_application(&scene, work, MAY, None), "yearly-maximum").is_some();

        let inside = |[w, s, e, n]: [f64; 4], x: f64, y: f64| x > w && x < e && y > s && y < n;
        let mut most = 0.0_f64;
        let (mut x, mut y) = (now[0] + 0.25, now[1] + 0.25);
        while y < now[3] {
            while x < now[2] {
                let put: u32 = old.iter().filter(|(ring, _)| inside(*ring, x, y)).map(|(_, rate)| *rate).sum();
                most = most.max(f64::from(put + plan) * 0.0048);
                x += 0.5;
            }
            x = now[0] + 0.25;
            y += 0.5;
        }
        prop_assert_eq!(stopped, most > 0.06 + 1e-9, "most {}", most);
    }
}

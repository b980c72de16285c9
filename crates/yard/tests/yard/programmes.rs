//! The controller's week on a yard told in entries: what is typed in keeps the rules, the soil and the machine.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::Scene;
use yard::advice::programmes::{ControllerPlan, RainSaves, controller_plan, rain_saves};
use yard::fold;

use crate::common::{champion, entries};

const YARD: &str = "
2017-01-02 yard name=Week latitude=40.4 longitude=-101.72 elevation=1029 units=metric time_zone=America/Denver
2017-01-02 area name=Lawn size=200 cover=turf grass=ttf soil=silt-loam
2017-01-02 area name=Bank size=80 cover=turf grass=kbg soil=clay-loam slope=9
2017-01-02 area name=Bed size=40 cover=bed soil=silt-loam
2017-01-02 zone name=Rotors areas=lawn sprinkler=rotor rate=12 du=0.7
2017-01-02 zone name=Slope areas=bank sprinkler=spray rate=25 du=0.7
2017-01-02 zone name=Shrubs areas=bed sprinkler=spray rate=30 du=0.7
";

fn planned(lines: &str, on: Date, rain_mm: f64) -> (ControllerPlan, Vec<RainSaves>) {
    let yard = fold(&entries(&format!("{YARD}{lines}")), on);
    let weather = champion();
    let almanac = Almanac::embedded();
    let known = weather.known_before(on, almanac);
    let scene = Scene { yard: &yard, weather: &known, almanac, on };
    let plan = controller_plan(&scene);
    let saves = rain_saves(&scene, &plan, rain_mm);
    (plan, saves)
}

/// Through a season, with rules on Tuesdays, Thursdays and Saturdays from 3 to 8: no start outside them, no run longer than
/// its soil takes, no soak cut short, every zone its minutes, and all of it ended by sunrise or the end of the hours.
#[test]
fn the_week_keeps_rules_soil_and_machine() {
    let rules = "2017-01-03 water-rules from=3:00 until=8:00 weekdays=tue,thu,sat\n\
                 2017-01-03 controller programmes=3 starts=6\n";
    let mut ran = 0;
    for week in 0..22 {
        let on = date(2017, 5, 1).checked_add(jiff::Span::new().weeks(week)).unwrap();
        let (plan, _) = planned(rules, on, 0.0);
        assert!(plan.relax.is_empty(), "{on}: {:?}", plan.relax);
        assert!(plan.programmes.len() <= 3 && plan.span_minutes >= plan.least_span_minutes);
        assert!(plan.end_minute <= 480.0 && plan.end_minute - f64::from(plan.span_minutes) >= 180.0, "{on}");
        for zone in &plan.zones {
            ran += 1;
            assert_eq!(zone.days & !0b010_1010, 0, "{on}: {} runs on a day it may not", zone.name);
            let mut runs: Vec<(f64, u32)> = Vec::new();
            for p in plan.programmes.iter().filter(|p| p.stations.iter().any(|s| s.zone == zone.key)) {
                assert!(p.starts.len() <= 6 && p.days == zone.days);
                for start in &p.starts {
                    let mut at = *start;
                    for s in &p.stations {
                        if s.zone == zone.key {
                            runs.push((at, s.minutes));
                        }
                        at += f64::from(s.minutes);
                    }
                }
            }
            runs.sort_by(|a, b| a.0.total_cmp(&b.0));
            let total: u32 = runs.iter().map(|r| r.1).sum();
            assert!(
                total >= zone.minutes && total <= zone.minutes + 2.max(zone.minutes / 5),
                "{on}: {}: {runs:?}",
                zone.name
            );
            for run in &runs {
                assert!(run.1 <= zone.longest, "{on}: {} runs {} of at most {}", zone.name, run.1, zone.longest);
            }
            for two in runs.windows(2) {
                let pause = two[1].0 - two[0].0 - f64::from(two[0].1);
                assert!(pause >= f64::from(zone.soak), "{on}: {} soaks {pause} of {}", zone.name, zone.soak);
            }
            // The week's depth is what is used: nothing is lost in the cutting.
            assert!((zone.depth_mm * f64::from(zone.days.count_ones()) - zone.use_mm).abs() < 1e-9);
        }
    }
    assert!(ran > 40, "{ran} zone weeks");
}

/// Sunrise at 40.4° N, 101.7° W on 6 July by hand: noon at 12:51.5 Mountain Daylight Time (FAO-56 eq. 32–33), half a day of 7.39 h
/// (eq. 24–25) and 5 minutes for refraction and the disc: 5:23. What fits ends then.
#[test]
fn it_ends_by_sunrise() {
    let (plan, _) = planned("2017-01-03 water-rules from=22:00 until=9:00\n", date(2017, 7, 6), 0.0);
    assert!((plan.end_minute - 323.0).abs() <= 3.0, "{}", plan.end_minute);
    assert!(plan.end_why.contains("sunrise"), "{}", plan.end_why);
}

/// Too short a night says what would help, and the minutes it names do.
#[test]
fn too_short_a_night_says_what_helps() {
    let (plan, _) = planned("2017-01-03 water-rules from=5:00 until=5:30\n", date(2017, 7, 6), 0.0);
    assert!(plan.programmes.is_empty());
    let window = plan.relax.iter().find(|w| w.contains("minutes more watering time")).expect("the window is named");
    let in_all: u32 = window.split(['(', ' ']).filter_map(|w| w.parse().ok()).nth(1).expect("minutes in all");
    let until = format!("{}:{:02}", 5 + in_all / 60, in_all % 60);
    let (wider, _) = planned(&format!("2017-01-03 water-rules from=5:00 until={until}\n"), date(2017, 7, 6), 0.0);
    assert!(!wider.programmes.is_empty() && wider.span_minutes <= in_all, "{:?}", wider.relax);
}

/// No rain saves nothing; more rain never saves less; no more is saved than would have run.
#[test]
fn rain_saves_by_its_depth() {
    let mut before: Vec<u32> = vec![0; 3];
    for mm in [0.0, 3.0, 8.0, 20.0, 60.0] {
        let (plan, saves) = planned("", date(2017, 7, 6), mm);
        for ((save, zone), before) in saves.iter().zip(&plan.zones).zip(&mut before) {
            assert!(save.minutes >= *before, "{mm} mm: {}", save.name);
            assert!(save.minutes <= zone.week_minutes() && (mm > 0.0 || save.minutes == 0), "{mm} mm: {save:?}");
            *before = save.minutes;
        }
    }
    assert!(before.iter().any(|m| *m > 0), "a soaking rain saves something");
}

/// From April into May the use rises: the week says so and why.
#[test]
fn what_changed_says_why() {
    let (plan, _) = planned("", date(2017, 5, 20), 0.0);
    assert!(plan.changed.iter().all(|c| c.now != c.before && !c.why.is_empty()));
    let (later, _) = planned("", date(2017, 7, 6), 0.0);
    let minutes = |p: &ControllerPlan| p.zones.iter().map(|z| z.week_minutes()).sum::<u32>();
    assert!(minutes(&later) > minutes(&plan));
}

//! The map's entries: what is taken, what is refused and why, and what the fold makes of them.

use almanac::Almanac;
use jiff::civil::date;
use yard::form::typed_from;
use yard::map::Thing;
use yard::{Body, Stamp, fold, prepare};

use crate::common::entries;

const BASE: &str = "
2016-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=us-customary
2016-01-02 area name=Front size=400 grass=kbg soil=loam
2016-01-02 zone name=Z1 areas=front sprinkler=spray
";

/// Every kind of thing, as typed.
const THINGS: &str = "
2016-02-01 outline area=front corners=\"0 0; 30 0; 30 20; 0 20\" holes=\"10 5; 14 5; 14 9; 10 9\" measured=\"tape from both corners\"
2016-02-01 mapped name=House is=building at=\"40 0; 80 0; 80 30; 40 30\" height=18
2016-02-01 mapped name=Spruce is=tree at=\"5 25\" height=40 crown=8 base=3 evergreen=yes
2016-02-01 mapped name=Ditch is=water-edge at=\"-10 0; -10 60\"
2016-02-01 mapped name=Well is=well at=\"90 50\"
2016-02-01 mapped name=\"Gas line\" is=buried-line of=gas at=\"60 0; 60 -40\"
2016-02-01 mapped name=\"Head 1\" is=head zone=z1 at=\"0 0\" radius=15 arc_from=0 arc=90 flow=1.2 nozzle=\"quarter\" lean=4 lean_to=45
2016-02-01 mapped name=\"Valve 1\" is=valve zone=z1 at=\"40 -1\"
2016-02-01 mapped name=Controller is=controller at=\"41 1\"
2016-02-01 mapped name=\"Main\" is=pipe role=main bore=1 at=\"41 1; 40 -1\"
2016-02-01 mapped name=\"Mark\" is=level at=\"0 20\" height=-0.5
2016-02-01 mapped name=Swings is=play at=\"0 0; 5 0; 5 5; 0 5\"
2016-02-01 mapped name=Run is=pets at=\"20 0; 25 0; 25 5; 20 5\"
2016-02-01 origin latitude=40.401 longitude=-101.721
";

/// Everything that can be typed is taken, stands on the map, and its form starts from the same words again.
#[test]
fn every_thing_is_taken_and_shown_again() {
    let all = entries(&format!("{BASE}{THINGS}"));
    let today = date(2016, 3, 1);
    let yard = fold(&all, today);
    assert_eq!(yard.things.len(), 12);
    // 30 ft × 20 ft less 4 ft × 4 ft, in square metres by the definition of the foot.
    let front = yard.area("front").unwrap().size_m2;
    assert!((front - 584.0 * 0.092_903_04).abs() < 1e-9, "{front}");
    for entry in &all {
        let (kind, typed) = typed_from(&entry.body, &yard).expect("a form");
        let stamp = Stamp { id: "again".into(), recorded_at: entry.recorded_at, today };
        let again = prepare(&all, Almanac::embedded(), kind, &typed, entry.happened_on, None, &stamp);
        assert_eq!(again.map(|e| e.body).as_ref(), Ok(&entry.body), "{typed:?}");
    }
    let Thing::Head(head) = &yard.things.iter().find(|t| t.key == "head-1").unwrap().thing else { panic!("a head") };
    assert!((head.radius_m - 4.572).abs() < 1e-9, "15 ft");
}

fn refused(line: &str) -> String {
    let text = format!("{BASE}{line}");
    match yard::scenario::read(&text, "t", Almanac::embedded()) {
        Ok(_) => panic!("taken: {line}"),
        Err(faults) => faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "),
    }
}

/// What cannot be ground is refused with the reason.
#[test]
fn refusals() {
    let crossing = refused("2016-02-01 outline area=front corners=\"0 0; 30 20; 30 0; 0 20\"");
    assert!(crossing.contains("corners"), "{crossing}");
    let two = refused("2016-02-01 outline area=front corners=\"0 0; 30 20\"");
    assert!(two.contains("corners"), "{two}");
    let outside = refused("2016-02-01 outline area=front corners=\"0 0; 9 0; 9 9; 0 9\" holes=\"20 20; 25 20; 25 25\"");
    assert!(outside.contains("hole"), "{outside}");
    let unknown = refused("2016-02-01 outline area=back corners=\"0 0; 9 0; 9 9\"");
    assert!(unknown.contains("no area"), "{unknown}");
    let far = refused("2016-02-01 mapped name=Well is=well at=\"1e9 0\"");
    assert!(far.contains("must be between"), "{far}");
    let line = refused("2016-02-01 mapped name=Ditch is=water-edge at=\"1 1\"");
    assert!(line.contains("line"), "{line}");
    let point = refused("2016-02-01 mapped name=Well is=well at=\"1 1; 2 2\"");
    assert!(point.contains("one place"), "{point}");
    let zone = refused("2016-02-01 mapped name=H is=head at=\"1 1\" radius=15 arc=90 flow=1 zone=z9");
    assert!(zone.contains("no zone"), "{zone}");
    let arc = refused("2016-02-01 mapped name=H is=head at=\"1 1\" radius=15 arc=400 flow=1");
    assert!(arc.contains("arc"), "{arc}");
    let what = refused("2016-02-01 mapped name=H is=statue at=\"1 1\"");
    assert!(what.contains("statue"), "{what}");
    let words = refused("2016-02-01 outline area=front corners=\"0 0; here; 9 9\"");
    assert!(words.contains("“here”"), "{words}");
    let twice = refused("2016-02-01 outline area=front corners=\"0 0; 9 0; 9 9; 0 9; /; 5 5; 12 5; 12 12; 5 12\"");
    assert!(twice.contains("lie on each other"), "{twice}");
}

/// A thing taken off the map is gone from then on, and still there the year before.
#[test]
fn a_thing_taken_off_the_map() {
    let gone = "2017-02-01 mapped name=Spruce is=tree at=\"5 25\" height=40 crown=8 removed=yes\n";
    let all = entries(&format!("{BASE}{THINGS}{gone}"));
    let has = |on| fold(&all, on).things.iter().any(|t| t.key == "spruce");
    assert!(has(date(2016, 12, 31)) && !has(date(2017, 2, 1)));
    assert!(matches!(all.last().unwrap().body, Body::Mapped(_)));
}

/// What the checks say of a plan on the front lawn of the map above.
fn findings(plan: &str) -> Vec<yard::advice::Finding> {
    let product = "2016-02-02 product name=grub actives=\"imidacloprid 0.5\"\n2016-02-02 product name=feed n=24\n";
    let all = entries(&format!("{BASE}{THINGS}{product}2016-06-01 {plan}\n"));
    let (work, before) = all.split_last().unwrap();
    let Body::Planned(plan) = &work.body else { panic!("a plan") };
    let yard = fold(before, date(2016, 6, 1));
    let weather = crate::common::champion();
    let on = date(2016, 6, 1);
    let scene = yard::advice::Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on };
    match &plan.work {
        yard::entry::Work::Apply(a) => yard::advice::checks::check_application(&scene, a, on, None),
        yard::entry::Work::Sow(_) => panic!("an application"),
    }
}

/// The ditch lies 10 ft from the lawn: nearer than the 25 ft kept for insecticides and the 15 ft for everything else (common
/// practice); the swings stand on the lawn. A well 60 ft off is only a word about mixing (100 ft, common practice).
#[test]
fn water_wells_and_children_are_named() {
    let grub = findings("plan-apply areas=front product=grub rate=1.5");
    let said = |rule: &str, words: &str| grub.iter().any(|f| f.rule == rule && f.message.contains(words));
    assert!(said("water-distance", "Ditch") && said("water-distance", "names none, 25"), "{grub:?}");
    assert!(said("water-distance", "mix and fill at least 100 ft from Well"), "{grub:?}");
    assert!(said("re-entry", "Swings") && said("re-entry", "Run"), "{grub:?}");
    let feed = findings("plan-apply areas=front product=feed rate=3");
    assert!(feed.iter().any(|f| f.rule == "water-distance" && f.message.contains("names none, 15")), "{feed:?}");
    assert!(!feed.iter().any(|f| f.rule == "re-entry"), "a feed has no re-entry wait: {feed:?}");
}

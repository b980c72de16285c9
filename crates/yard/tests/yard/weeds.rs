//! Weeds: told apart by published descriptions, staged over real weather against plain sums, controlled as extension texts say.

use std::collections::BTreeMap;

use almanac::{Almanac, Site, WeedStage};
use jiff::civil::{Date, date};
use serde::Deserialize;
use yard::advice::{Level, Scene};
use yard::diagnosis::weeds::{WeedFound, WeedPlace, which_weed};
use yard::diagnosis::{Seen, Verdict};
use yard::watch::StageState;
use yard::weeds::{Control, Fit, StageNow, Way, WayKind, control, weed_now, weeds_now};
use yard::{Weather, fold};

use crate::common::{champion, champion_days, entries};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

/// A published description, encoded.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    source: String,
    seen: String,
    weed: String,
    month: Option<u8>,
    #[serde(default)]
    held_out: bool,
    told: BTreeMap<String, String>,
}

fn found<'a>(told: &BTreeMap<String, String>, month: Option<u8>) -> WeedFound<'a> {
    let seen: Vec<Seen> = told.iter().map(|(f, o)| Seen::new(f, o)).collect();
    which_weed(&Almanac::embedded().weeds, &WeedPlace { month, site: None }, &seen).expect("known marks")
}

/// Published descriptions, a third or more of them sought after the shares were set. Measured: 34 read before, first 0.941, first
/// three 0.971; 22 held out, first 0.955, first three 1.000. A text that names colour and season alone (henbit) is not told.
#[test]
fn published_descriptions() {
    let cases: Cases = toml::from_str(include_str!("../cases/weeds.toml")).expect("the cases parse");
    assert!(cases.case.len() >= 30, "{} cases", cases.case.len());
    assert!(cases.case.iter().filter(|c| c.held_out).count() * 3 >= cases.case.len(), "a third is held out");
    for (name, held_out) in [("read before", false), ("held out", true)] {
        let some: Vec<&Case> = cases.case.iter().filter(|c| c.held_out == held_out).collect();
        let (mut first, mut three, mut likely, mut right) = (0, 0, 0, 0);
        for case in &some {
            assert!(case.told.len() >= 2 && !case.seen.is_empty(), "{}: tells too little", case.source);
            let at = found(&case.told, case.month);
            let rank = at.ranked.iter().position(|r| r.weed.id == case.weed).expect("the weed is in the table");
            first += usize::from(rank == 0);
            three += usize::from(rank < 3);
            if at.verdict == Verdict::Likely {
                likely += 1;
                right += usize::from(rank == 0);
            }
        }
        let share = |hits: usize, of: usize| hits as f64 / of as f64;
        let (n, f, t, r) = (some.len(), share(first, some.len()), share(three, some.len()), share(right, likely));
        println!("{name}: {n} cases, first {f:.3}, first three {t:.3}; called likely {likely}, right {r:.3}");
        assert!(f >= 0.90 && t >= 0.95 && r >= 0.90, "{name}: first {f:.3}, first three {t:.3}, right {r:.3}");
    }
}

/// A key goes from one mark to the next: asked only what tells most, no description that tells enough needs more than six marks
/// before its weed is first; measured here by answering what the case tells and passing over the rest.
#[test]
fn asked_by_the_next_best_mark() {
    let cases: Cases = toml::from_str(include_str!("../cases/weeds.toml")).expect("the cases parse");
    let tables = &Almanac::embedded().weeds;
    let mut asked: Vec<usize> = Vec::new();
    let mut right = 0;
    for case in &cases.case {
        let mut seen: Vec<Seen> = Vec::new();
        let mut answered = 0;
        loop {
            let place = WeedPlace { month: case.month, site: None };
            let at = which_weed(tables, &place, &seen).expect("known marks");
            let Some(next) = at.next.first().filter(|_| at.verdict == Verdict::NotEnough || answered < 2) else {
                right += usize::from(at.ranked[0].weed.id == case.weed);
                break;
            };
            match case.told.get(&next.finding.id) {
                Some(outcome) => {
                    seen.push(Seen::new(&next.finding.id, outcome));
                    answered += 1;
                }
                None => seen.push(Seen::not_looked(&next.finding.id)),
            }
        }
        asked.push(answered);
    }
    asked.sort_unstable();
    let median = asked[asked.len() / 2];
    let share = right as f64 / asked.len() as f64;
    println!("asked in order: median {median} marks answered, most {}, right {share:.3}", asked[asked.len() - 1]);
    assert!(median <= 4 && share >= 0.8, "median {median}, right {share:.3}");
}

/// With nothing seen it is not enough, the kind of plant is asked first, and shares sum to one; what is not there is refused.
#[test]
fn nothing_seen_is_not_enough() {
    let at = found(&BTreeMap::new(), Some(6));
    assert_eq!(at.verdict, Verdict::NotEnough);
    assert!(at.next[0].finding.minutes <= 0.5, "first mark: {}", at.next[0].finding.id);
    assert!((at.ranked.iter().map(|r| r.probability).sum::<f64>() - 1.0).abs() < 1e-9);
    let tables = &Almanac::embedded().weeds;
    let refused = |place: WeedPlace, seen: &[Seen]| which_weed(tables, &place, seen).unwrap_err().field().to_owned();
    assert_eq!(refused(WeedPlace::default(), &[Seen::new("tug", "rolls")]), "seen");
    assert_eq!(refused(WeedPlace::default(), &[Seen::new("stem", "pentagon")]), "seen");
    assert_eq!(refused(WeedPlace { month: Some(13), site: None }, &[]), "month");
}

const YARD: &str = "
2016-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2016-01-02 area name=Blue size=100 grass=kbg soil=loam mow=60
2016-01-02 area name=Fine size=100 grass=crf soil=loam
2016-01-02 area name=Bed size=50 cover=bed soil=loam
2016-01-02 area name=Drive size=50 cover=hard soil=loam
2016-01-02 product name=prodiamine actives=\"prodiamine 0.48\"
2016-01-02 product name=threeway form=liquid actives=\"2,4-d 26, mcpp 7, dicamba 3\"
2016-01-02 product name=mesotrione form=liquid actives=\"mesotrione 48\"
2016-01-02 product name=quinclorac form=liquid actives=\"quinclorac 18.9\"
";

fn with<T>(lines: &str, on: Date, then: impl FnOnce(&Scene<'_>) -> T) -> T {
    let weather = champion();
    let almanac = Almanac::embedded();
    let known = weather.known_before(on, almanac);
    let yard = fold(&entries(&format!("{YARD}{lines}")), on);
    then(&Scene { yard: &yard, weather: &known, almanac, on })
}

fn controlled(weed: &str, area: &str, lines: &str, on: Date) -> Control {
    with(lines, on, |scene| {
        let outlook = scene.weather.outlook(scene.yesterday(), 366);
        let weed = scene.almanac.weeds.weed(weed).unwrap();
        control(scene, &outlook, weed, scene.yard.area(area).unwrap(), 100.0).unwrap()
    })
}

fn stages(weed: &str, on: Date) -> Vec<StageNow> {
    with("", on, |scene| {
        let outlook = scene.weather.outlook(scene.yesterday(), 366);
        weed_now(scene, &outlook, scene.almanac.weeds.weed(weed).unwrap()).stages
    })
}

fn stage(weed: &str, stage: WeedStage, on: Date) -> StageNow {
    stages(weed, on).into_iter().find(|s| s.stage == stage).unwrap()
}

fn way<'a>(c: &'a Control, kind: WayKind, title: &str) -> Option<&'a Way> {
    c.ways.iter().find(|w| w.kind == kind && w.title.contains(title))
}

/// The first large crabgrass by a plain sum in °F over the raw record, 211 over 50 °F from 1 January (Ohio State University):
/// the stage begins on the same day, and before that day the window ahead holds it.
#[test]
fn a_stage_is_the_plain_sum() {
    for year in [2012, 2015, 2017] {
        let mut sum = 0.0;
        let first = champion_days().iter().filter(|d| d.date.year() == year).find_map(|d| {
            let f = |c: f64| c * 1.8 + 32.0;
            sum += ((f(d.tmax.unwrap().get()) + f(d.tmin.unwrap().get())) / 2.0 - 50.0).max(0.0);
            // The table keeps 117.2 °C·d, a hair under 211 °F·d.
            (sum >= 117.2 * 1.8).then_some(d.date)
        });
        let first = first.unwrap();
        let later = first.checked_add(jiff::Span::new().days(5)).unwrap();
        let seen = stage("large-crabgrass", WeedStage::Germinates, later);
        assert_eq!((seen.state, seen.began), (StageState::Now, Some(first)), "{year}");
        let before = stage("large-crabgrass", WeedStage::Germinates, date(year, 3, 20));
        let window = before.begins.unwrap();
        assert!(before.state == StageState::Ahead && before.began.is_none(), "{year}");
        let slack = jiff::Span::new().days(14);
        let (early, late) = (window.early.checked_sub(slack).unwrap(), window.late.checked_add(slack).unwrap());
        assert!(early <= first && first <= late, "{year}: {first} beside {window:?}");
    }
}

/// A seven-day mean of the soil over 70 °F opens purslane (Washington State University), counted here by hand from the same soil.
#[test]
fn soil_rises_by_the_week() {
    let weather = champion();
    let year = weather.run(date(2017, 4, 9), date(2017, 8, 1));
    let first = year.windows(7).find(|w| w.iter().map(|d| d.soil_c).sum::<f64>() / 7.0 >= 21.1).map(|w| w[6].date);
    let seen = stage("purslane", WeedStage::Germinates, date(2017, 8, 2));
    assert_eq!(seen.began, first);
    // Spurge, from 60 °F, is before purslane; knotweed, the first in spring, before both (Rutgers FS385 groups them by place only;
    // the order is of Orr's soil temperatures).
    let began = |weed| stage(weed, WeedStage::Germinates, date(2017, 6, 20)).began.unwrap();
    assert!(began("prostrate-knotweed") < began("spotted-spurge"));
    assert!(began("spotted-spurge") < first.unwrap());
}

/// Every stage of every weed is sound on every thirtieth day of two years, north and south; the same facts tell the same.
#[test]
fn sound_all_year() {
    let weather = champion();
    let south = YARD.replace("latitude=40.4", "latitude=-40.4");
    let turned = yard::Place { latitude_deg: -40.4, ..weather.place() };
    let other = Weather::build(turned, &champion_days(), Almanac::embedded()).unwrap();
    for (text, weather) in [(YARD, &weather), (&south, &other)] {
        let mut on = date(2016, 1, 5);
        while on < date(2018, 1, 5) {
            let yard = fold(&entries(text), on);
            let scene = Scene { yard: &yard, weather, almanac: Almanac::embedded(), on };
            let all = weeds_now(&scene);
            assert!(all.weeds.len() >= 30, "{on}");
            for w in &all.weeds {
                for s in &w.stages {
                    let at = format!("{on} {} {:?}", w.id, s.stage);
                    assert!((s.state == StageState::Ahead) == s.began.is_none(), "{at}");
                    assert!(s.began.is_none_or(|d| d <= on) && !s.source.is_empty(), "{at}");
                    assert!(s.begins.is_none_or(|b| b.early <= b.likely && b.likely <= b.late && b.late >= on), "{at}");
                }
            }
            on = on.checked_add(jiff::Span::new().days(60)).unwrap();
        }
    }
    with("", date(2017, 6, 1), |scene| assert_eq!(weeds_now(scene), weeds_now(scene)));
}

/// Seed planned for the autumn window stops a prodiamine barrier (Keeley and Zhou 2005: sixteen weeks before slit sowing), and
/// an ingredient safe at sowing is named; without seed the same preventer is a thing of April.
#[test]
fn a_preventer_gives_way_to_seed() {
    let on = date(2017, 4, 5);
    let free = controlled("smooth-crabgrass", "blue", "", on);
    let pre = way(&free, WayKind::Prevent, "prodiamine").unwrap();
    assert!(pre.fit == Fit::Now && pre.findings.iter().all(|f| f.level > Level::Stop), "{pre:?}");
    assert!(!pre.amounts.is_empty() && !pre.caution.is_empty() && !pre.log.is_empty());
    let sown =
        controlled("smooth-crabgrass", "blue", "2017-05-10 plan-sow area=blue grass=kbg rate=10 sowing=over\n", on);
    let pre = way(&sown, WayKind::Prevent, "prodiamine").unwrap();
    assert!(pre.fit > Fit::Now && pre.findings.iter().any(|f| f.level == Level::Stop), "{pre:?}");
    assert!(pre.log.iter().all(|l| l.kind != "applied"), "no tap logs what is stopped");
    assert!(sown.notes.iter().any(|n| n.contains("sown here lately")), "{:?}", sown.notes);
}

/// Mesotrione takes nimblewill out of bluegrass (Iowa State and Illinois, 2011) but injures fine fescue; in May, when it is green.
#[test]
fn the_grass_decides() {
    let on = date(2017, 6, 5);
    let blue = controlled("nimblewill", "blue", "", on);
    let spray = way(&blue, WayKind::Kill, "mesotrione").unwrap();
    assert!(spray.fit != Fit::Unfit && !spray.recalled && spray.words[0].contains("again"), "{spray:?}");
    let fine = controlled("nimblewill", "fine", "", on);
    let spray = way(&fine, WayKind::Kill, "mesotrione").unwrap();
    assert!(spray.fit == Fit::Unfit && spray.log.is_empty() && spray.amounts.is_empty(), "{spray:?}");
    assert!(spray.words.iter().any(|w| w.contains("injures creeping red fescue")), "{:?}", spray.words);
}

/// Quinclorac does not control goosegrass (Frank and Hathaway, Michigan State University): it is not offered; on crabgrass it is.
#[test]
fn what_does_not_work_is_not_offered() {
    let on = date(2017, 7, 1);
    assert!(way(&controlled("goosegrass", "blue", "", on), WayKind::Kill, "quinclorac").is_none());
    assert!(way(&controlled("large-crabgrass", "blue", "", on), WayKind::Kill, "quinclorac").is_some());
    let ivy = controlled("ground-ivy", "blue", "", on);
    // Dicamba and quinclorac do little to ground ivy (Kohler, Purdue); 2,4-D and triclopyr are the ones.
    assert!(way(&ivy, WayKind::Kill, "quinclorac").is_none() && way(&ivy, WayKind::Kill, "2,4-D").is_some());
}

/// Nutsedge before its new nuts of late June (Landschoot, Penn State): worth acting on in early June, weakened only in July.
#[test]
fn nutsedge_before_its_nuts() {
    let worth = |on| {
        with("", on, |scene| {
            let outlook = scene.weather.outlook(scene.yesterday(), 366);
            weed_now(scene, &outlook, scene.almanac.weeds.weed("yellow-nutsedge").unwrap()).worth
        })
    };
    assert!(worth(date(2017, 6, 1)).is_some_and(|w| w.words.contains("before new nuts")));
    assert!(worth(date(2017, 8, 15)).is_none());
}

/// Perennial broad-leaved weeds in the weeks of mid September to October in mild air (Purdue Turf): worth it then, not in July.
#[test]
fn dandelions_in_autumn() {
    let worth = |on| {
        with("", on, |scene| {
            let outlook = scene.weather.outlook(scene.yesterday(), 366);
            weed_now(scene, &outlook, scene.almanac.weeds.weed("dandelion").unwrap()).worth
        })
    };
    assert!(worth(date(2017, 9, 28)).is_some_and(|w| w.words.contains("best weeks") && !w.hint));
    assert!(worth(date(2017, 7, 10)).is_none_or(|w| !w.words.contains("best weeks")));
}

/// In a bed: mulch of up to four inches where coarse (University of California IPM), by hand, and nothing that is for lawns only;
/// paving is refused by name.
#[test]
fn a_bed_is_mulched() {
    let on = date(2017, 6, 5);
    let bed = controlled("lambsquarters", "bed", "", on);
    let mulch = way(&bed, WayKind::Mulch, "mulch").unwrap();
    assert!(mulch.words[1].contains("102 mm") && mulch.source.contains("7441"), "{mulch:?}");
    assert!(way(&bed, WayKind::Hand, "").is_some() && way(&bed, WayKind::Kill, "threeway").is_none());
    assert!(bed.ways.iter().all(|w| w.kind != WayKind::Culture));
    let refused = with("", on, |scene| {
        let outlook = scene.weather.outlook(scene.yesterday(), 366);
        let weed = scene.almanac.weeds.weed("purslane").unwrap();
        let field = |area: &str, share| {
            control(scene, &outlook, weed, scene.yard.area(area).unwrap(), share).unwrap_err().field().to_owned()
        };
        [field("drive", 10.0), field("bed", 0.0), field("bed", f64::NAN)]
    });
    assert_eq!(refused, ["area", "share", "share"]);
}

/// A product of three ingredients goes by the one that asks for least, so that none is above its usual rate; a fifth of the ground takes
/// a fifth of it.
#[test]
fn a_threeway_goes_by_the_least() {
    let on = date(2017, 9, 28);
    let told = |share: f64| {
        with("", on, |scene| {
            let outlook = scene.weather.outlook(scene.yesterday(), 366);
            let weed = scene.almanac.weeds.weed("dandelion").unwrap();
            control(scene, &outlook, weed, scene.yard.area("blue").unwrap(), share).unwrap()
        })
    };
    let litres = |c: &Control| {
        let spray = way(c, WayKind::Kill, "threeway: 2,4-D").unwrap();
        assert!(spray.findings.iter().all(|f| f.rule != "rate" || f.level > Level::Stop), "{:?}", spray.findings);
        spray.working[0].result.clone()
    };
    let (all, fifth) = (litres(&told(100.0)), litres(&told(20.0)));
    let number = |v: &reckon::working::Value| match v.value {
        reckon::working::Datum::Number(n) => n,
        reckon::working::Datum::Text(_) => f64::NAN,
    };
    assert!((number(&all) - 5.0 * number(&fifth)).abs() < 1e-9 && number(&all) > 0.0, "{all:?} {fifth:?}");
    assert_eq!(told(20.0).log.kind, "scouted");
    assert_eq!(yard::weeds::site_of(&yard::entry::AreaFacts::default()), Some(Site::Turf));
}

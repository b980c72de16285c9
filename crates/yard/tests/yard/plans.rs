//! From a cause to a plan, against what extension publications recommend: act, ingredients, time, and how the ground is mended.

use almanac::{Almanac, CauseAct};
use jiff::civil::{Date, date};
use serde::Deserialize;
use yard::advice::{Level, Scene};
use yard::diagnosis::plan::Mending;
use yard::diagnosis::{Count, Patch, Plan, Seen, conditions_of, plan_for};
use yard::{advise, fold};

use crate::common::{champion, entries};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    situation: Vec<Situation>,
}

/// A situation of a publication.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Situation {
    source: String,
    says: String,
    cause: String,
    pest: Option<String>,
    grass: String,
    on: toml::value::Datetime,
    count: Option<f64>,
    #[serde(default)]
    dug: bool,
    size_m2: Option<f64>,
    gap_mm: Option<f64>,
    share: Option<f64>,
    act: CauseAct,
    /// Ingredients named.
    #[serde(default)]
    actives: Vec<String>,
    /// The ingredient whose window is told.
    of: Option<String>,
    open: Option<bool>,
    opens: Option<[toml::value::Datetime; 2]>,
    closes: Option<[toml::value::Datetime; 2]>,
    /// A word of its care.
    care: Option<String>,
    mending: Option<Mend>,
    /// Days the sowing is meant for.
    sow: Option<[toml::value::Datetime; 2]>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Mend {
    Wait,
    Closes,
    Sow,
    Anew,
}

impl Mend {
    fn is(&self, mending: Mending) -> bool {
        match self {
            Self::Wait => mending == Mending::Wait,
            Self::Closes => mending == Mending::Closes,
            Self::Sow => mending == Mending::Sow,
            Self::Anew => mending == Mending::Anew,
        }
    }
}

fn day(told: &toml::value::Datetime) -> Date {
    told.to_string().parse().expect("a date")
}

fn within(range: &[toml::value::Datetime; 2], on: Option<Date>) -> bool {
    on.is_some_and(|on| (day(&range[0])..=day(&range[1])).contains(&on))
}

/// A lawn of 200 m² in a sprinkler zone, neither hungry nor dry.
fn lawn(grass: &str, lines: &str) -> String {
    format!(
        "
2016-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2016-01-02 area name=Lawn size=200 grass={grass} soil=loam root=200
2016-01-02 zone name=Zone areas=lawn sprinkler=spray rate=30 du=0.7
2016-01-02 product name=feed n=25
{lines}"
    )
}

fn plan(text: &str, cause: &str, seen: &[Seen], count: Option<&Count>, patch: &Patch, on: Date) -> Plan {
    let weather = champion();
    let yard = fold(&entries(text), on);
    let almanac = Almanac::embedded();
    let scene = Scene { yard: &yard, weather: &weather, almanac, on };
    let area = yard.area("lawn").expect("the lawn");
    let known = conditions_of(&scene, area);
    plan_for(&scene, area, almanac.cause(cause).expect("a cause"), &known, seen, count, patch)
}

/// What of a situation's recommendation the plan misses.
fn misses(s: &Situation) -> Vec<String> {
    let on = day(&s.on);
    let cause = Almanac::embedded().cause(&s.cause).expect("a cause");
    let mut seen = Vec::new();
    let count = s.count.map(|n| {
        let finding = cause.count.as_deref().expect("counted");
        let outcome = &Almanac::embedded().finding(finding).expect("a test").outcomes[0].id;
        seen.push(Seen::new(finding, outcome));
        let ground = if finding == "soap" { 0.836_127_36 } else { 0.092_903_04 };
        let pest = s.pest.clone().or_else(|| Some(cause.threshold[0].pest.clone()));
        Count { per_m2: n / ground, pest }
    });
    if s.dug {
        seen.push(Seen::new("animals", "digging"));
    }
    let patch = Patch { size_m2: s.size_m2, gap_m: s.gap_mm.map(|mm| mm / 1000.0), share_pct: s.share };
    // Felt moist on the day: the sources speak of lawns that are not short of water.
    let moist = format!("{on} soil-water area=lawn depleted=20");
    let plan = plan(&lawn(&s.grass, &moist), &s.cause, &seen, count.as_ref(), &patch, on);
    let mut out = Vec::new();
    if plan.act != s.act {
        out.push(format!("act {:?}", plan.act));
    }
    for active in &s.actives {
        if !plan.treatments.iter().any(|t| t.active == *active) {
            out.push(format!("no {active}"));
        }
    }
    let when = s.of.as_ref().and_then(|of| plan.treatments.iter().find(|t| t.active == *of)?.when.clone());
    if s.of.is_some() && when.is_none() {
        out.push("no window".to_owned());
    }
    if let Some(when) = when {
        if s.open.is_some_and(|open| open != when.open) {
            out.push(format!("open {}", when.open));
        }
        if s.opens.as_ref().is_some_and(|r| !within(r, Some(when.from.likely))) {
            out.push(format!("opens {:?}", when.from));
        }
        if s.closes.as_ref().is_some_and(|r| !within(r, Some(when.until.likely))) {
            out.push(format!("closes {:?}", when.until));
        }
    }
    if s.care
        .as_ref()
        .is_some_and(|word| !plan.care.iter().any(|c| c.words.to_lowercase().contains(&word.to_lowercase())))
    {
        out.push(format!("care {:?}", plan.care));
    }
    let mend = plan.mend.as_ref();
    if s.mending.as_ref().is_some_and(|want| !mend.is_some_and(|m| want.is(m.mending))) {
        out.push(format!("mending {:?}", mend.map(|m| (m.mending, &m.why))));
    }
    if s.sow.as_ref().is_some_and(|r| !within(r, mend.and_then(|m| m.on))) {
        out.push(format!("sow {:?}", mend.map(|m| (m.on, &m.window))));
    }
    out
}

/// At least 25 published situations; nine in ten come out as the publication says, and what does not is printed.
#[test]
fn as_the_publications_recommend() {
    let cases: Cases = toml::from_str(include_str!("../cases/plans.toml")).expect("the situations read");
    let all = cases.situation.len();
    assert!(all >= 25, "{all} situations");
    let mut right = 0;
    for s in &cases.situation {
        let misses = misses(s);
        if misses.is_empty() {
            right += 1;
        } else {
            println!("{} on {}: {} ({}): {}", s.cause, s.on, s.says, s.source, misses.join("; "));
        }
    }
    println!("{right} of {all} situations as published");
    assert!(right * 10 >= all * 9, "{right} of {all}");
}

/// Grubs on 10 m² with a granule on the shelf: the strip of a metre makes a circle of 10 m² (r = 1.784 m) into 24.4 m² (geometry), the rate
/// never exceeds the one typed from the label, the water named on the label follows, and one tap can plan it.
#[test]
fn a_product_on_the_shelf_for_the_spot() {
    let on = date(2017, 8, 22);
    let lines = "
2016-01-02 product name=grubs actives=\"trichlorfon 6.2\" label_rate_max=8 label_water_in=13 label_water_within=1
2016-01-03 counted product=grubs left=5
2017-08-22 soil-water area=lawn depleted=20";
    let seen = [Seen::new("dig", "many")];
    let count = Count { per_m2: 200.0, pest: None };
    let patch = Patch { size_m2: Some(10.0), ..Patch::default() };
    let plan = plan(&lawn("kbg", lines), "white-grubs", &seen, Some(&count), &patch, on);
    assert_eq!(plan.act, CauseAct::TreatNow);
    let cure = &plan.treatments[0];
    assert_eq!(cure.active, "trichlorfon", "what is on the shelf comes first");
    let row = &cure.on_shelf[0];
    let meant = &plan.to_plan[0];
    assert_eq!((meant.on, meant.entry.kind), (on, "plan-apply"));
    let number = |field: &str| meant.entry.fields[field].parse::<f64>().expect("a number");
    assert!((number("spot") - 24.35).abs() < 0.05, "{:?}", meant.entry.fields);
    assert!(number("rate") <= 8.0);
    assert!(row.water_in.as_deref().is_some_and(|w| w.starts_with("13 mm")), "{row:?}");
    assert!(row.amounts.iter().any(|a| a.contains("enough")), "{row:?}");
    assert!(plan.cautions.iter().any(|c| c.contains("label")), "{:?}", plan.cautions);
    assert!(!row.findings.iter().any(|f| f.level == Level::Stop), "{row:?}");
    let other = plan.treatments.iter().find(|t| t.active == "carbaryl").expect("fits as well");
    assert!(other.buy.as_deref().is_some_and(|b| b.contains("carbaryl")));
}

/// A preventer of 0.5 g/m² prodiamine put down two weeks before stops the seed for the patch: sixteen weeks (Keeley and Zhou 2005), and
/// the plan's day is after them.
#[test]
fn a_preventer_holds_the_seed_back() {
    let on = date(2017, 8, 25);
    let lines = "
2016-01-02 product name=preventer actives=\"prodiamine 0.48\"
2017-08-11 applied areas=lawn product=preventer rate=12";
    let patch = Patch { size_m2: Some(1.0), gap_m: Some(0.3), share_pct: None };
    let plan = plan(&lawn("kbg", lines), "dog-urine", &[], None, &patch, on);
    let mend = plan.mend.expect("mended");
    assert!(mend.findings.iter().any(|f| f.level == Level::Stop), "{mend:?}");
    assert!(mend.clear.is_some_and(|d| d >= date(2017, 12, 1)), "{mend:?}");
}

/// What was planned from the plan stands on the day's advice, and the care stands there until the next look.
#[test]
fn now_tells_of_it() {
    let on = date(2017, 8, 23);
    let lines = "
2016-01-02 product name=grubs actives=\"trichlorfon 6.2\"
2017-08-22 scouted area=lawn seen=\"rolls like a carpet\" findings=\"tug=rolls dig=many\" count=200/m² pest=unknown cause=white-grubs probability=90 size=10
2017-08-22 plan-apply area=lawn areas=lawn product=grubs rate=8 spot=24";
    let lines = lines.replace("area=lawn areas=lawn product", "areas=lawn product");
    let yard = fold(&entries(&lawn("kbg", &lines)), on);
    let advice = advise(&yard, &champion(), Almanac::embedded(), on);
    let care = advice.items.iter().find(|i| i.id == "scout:lawn").expect("the patch");
    assert!(care.title.contains("white grubs"), "{}", care.title);
    assert!(care.amounts.iter().any(|a| a.contains("L")), "water by hand: {:?}", care.amounts);
    assert!(advice.items.iter().any(|i| i.title.contains("Put grubs on Lawn")), "planned");
    let later = date(2017, 9, 1);
    let yard = fold(&entries(&lawn("kbg", &lines)), later);
    let advice = advise(&yard, &champion(), Almanac::embedded(), later);
    let look = advice.items.iter().find(|i| i.id == "scout:lawn").expect("the patch");
    assert_eq!(look.title, "Look again at Lawn");
}

//! What fields take, what they say, and how faults are named.

use axum::http::StatusCode;
use yard::form::FORMS;

use crate::support::{Browser, small_yard};

/// Pairs that one kind of form takes on the small yard, with one of them spoilt, and how it reads when mended.
fn mended(kind: &str) -> (Vec<(&'static str, &'static str)>, (&'static str, &'static str)) {
    let put = vec![("areas", "front-lawn"), ("product", "spring-feed"), ("rate", "2")];
    let sow = vec![("area", "front-lawn"), ("grass", "kbg"), ("rate", "2")];
    match kind {
        "mowed" => (vec![("areas", "front-lawn"), ("height", "3")], ("height", "tall")),
        "watered" => (vec![("zone", "front-heads"), ("minutes", "20")], ("minutes", "some")),
        "rain" => (vec![("depth", "0.5")], ("depth", "much")),
        "applied" | "plan-apply" => (put, ("rate", "two")),
        "seeded" | "plan-sow" => (sow, ("rate", "two")),
        "planted" => {
            (vec![("area", "rose-bed"), ("plant", "box"), ("count", "6"), ("container", "3")], ("container", "big"))
        }
        "mole-run" => (vec![("area", "front-lawn"), ("run", "fence"), ("state", "raised")], ("state", "up")),
        "scouted" => (vec![("area", "front-lawn"), ("seen", "spots"), ("share", "5")], ("share", "few")),
        "soil-water" => (vec![("area", "front-lawn"), ("depleted", "40")], ("depleted", "half")),
        "to-mend" => (vec![("at", "Head 3"), ("trouble", "clogged")], ("by", "soon")),
        "backflow-tested" => (vec![("assembly", "double-check"), ("months", "12")], ("months", "often")),
        "repaired" => (vec![("done", "valve"), ("cost", "12.50")], ("cost", "12,50")),
        "bought" => (vec![("what", "hose"), ("cost", "12.50")], ("cost", "12,50")),
        "note" => (vec![("text", "words")], ("area", "moon")),
        "product" => (vec![("name", "lime pellet"), ("pack", "40")], ("pack", "big")),
        "soil-test" => {
            (vec![("areas", "front-lawn"), ("method", "mehlich-3"), ("ph", "5.8"), ("p", "12")], ("ph", "sour"))
        }
        "counted" => (vec![("product", "spring-feed"), ("left", "12")], ("left", "some")),
        "spreader" => (
            vec![("spreader", "red"), ("product", "spring-feed"), ("trials", "4, 0.6 lb, 5 ft, 50 ft\n6, 0.9, 5, 50")],
            ("trials", "4 0.6"),
        ),
        "audited" => (vec![("zone", "front-heads"), ("minutes", "20"), ("cans", "0.2 0.3")], ("cans", "some")),
        "meter-read" => (vec![("reading", "120500"), ("unit", "gal")], ("reading", "full")),
        "supply" => {
            (vec![("static", "65"), ("meter", "3/4"), ("service", "pe"), ("service_size", "1")], ("static", "strong"))
        }
        "controller" => (vec![("programmes", "3"), ("starts", "4")], ("starts", "some")),
        "tariff" => (vec![("steps", "10 = 2.4\nmore = 6.15"), ("base", "21.5")], ("steps", "10 is 2.4")),
        "sprayer" => (vec![("sprayer", "back"), ("tank", "4"), ("used", "0.5"), ("ground", "500")], ("used", "half")),
        "local-rules" => (
            vec![("phosphate", "test-or-seed"), ("no_feed_from", "12-01"), ("no_feed_until", "04-01")],
            ("no_feed_until", "spring"),
        ),
        "programme" => (vec![("zone", "front-heads"), ("minutes", "10")], ("minutes", "some")),
        "area" => (vec![("name", "Strip"), ("size", "90"), ("grass", "kbg"), ("soil", "loam")], ("size", "small")),
        "outline" => (vec![("area", "front-lawn"), ("corners", "0 0\n80 0\n80 50\n0 50")], ("corners", "here")),
        "mapped" => (
            vec![("name", "Spruce"), ("is", "tree"), ("at", "5 5"), ("height", "30"), ("crown", "8")],
            ("height", "tall"),
        ),
        "origin" => (vec![("latitude", "40.5"), ("longitude", "-101.7")], ("latitude", "north")),
        "zone" => (vec![("name", "Back heads"), ("areas", "front-lawn"), ("sprinkler", "rotor")], ("rate", "fast")),
        "water-rules" => (vec![("from", "1:00"), ("until", "6:00")], ("until", "late")),
        "sprinklers" => (vec![("state", "opened")], ("state", "ajar")),
        "yard" => {
            let yard = vec![
                ("name", "Home"),
                ("latitude", "40.5"),
                ("longitude", "-101.7"),
                ("elevation", "3300"),
                ("units", "us-customary"),
            ];
            (yard, ("elevation", "high"))
        }
        other => panic!("no pairs for {other}"),
    }
}

/// The hidden and named fields a form's page holds, as a browser would send them back.
fn hidden(page: &str) -> Vec<(String, String)> {
    let form = page.split("<form class=\"sheet\"").nth(1).unwrap().split("</form>").next().unwrap();
    form.split("<input type=\"hidden\" name=\"")
        .skip(1)
        .map(|rest| {
            let (name, rest) = rest.split_once("\" value=\"").unwrap();
            (name.to_owned(), rest.split('"').next().unwrap().to_owned())
        })
        .collect()
}

/// Every kind of form: a fault, then mended on the page that came back, then saved.
#[tokio::test]
async fn a_fault_then_mended_then_saved() {
    for spec in FORMS {
        let browser = Browser::small();
        let (good, bad) = mended(spec.kind);
        let path = format!("/log/{}", spec.kind);
        let mut pairs: Vec<(&str, &str)> = good.iter().copied().filter(|(n, _)| *n != bad.0).collect();
        pairs.extend([bad, ("on", "2026-04-20"), ("do", "keep")]);
        let refused = browser.post(&path, &pairs).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", spec.kind);
        assert!(refused.text.contains("Nothing was saved"), "{}", spec.kind);
        let back = hidden(&refused.text);
        assert!(back.iter().any(|(n, _)| n == "once"), "{}", spec.kind);
        let mut all: Vec<(&str, &str)> = back.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        all.extend_from_slice(&good);
        all.extend([("on", "2026-04-20"), ("do", "keep")]);
        let saved = browser.post(&path, &all).await;
        assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}: {}", spec.kind, saved.text);
        assert!(browser.get(&saved.to.unwrap()).await.text.contains("Saved: "), "{}", spec.kind);
    }
}

/// No field of any form has a name that the page itself sends along.
#[test]
fn names_do_not_collide() {
    for spec in FORMS {
        for field in spec.fields {
            assert!(
                !["token", "once", "fulfils", "key", "on", "do"].contains(&field.name),
                "{}: {}",
                spec.kind,
                field.name
            );
        }
    }
}

/// Every form that has a caution shows it, the making of a yard too.
#[tokio::test]
async fn cautions_are_shown() {
    let browser = Browser::small();
    let new = Browser::empty().get("/new").await.text;
    for spec in FORMS.iter().filter(|f| !f.caution.is_empty()) {
        let words = spec.caution.replace('&', "&amp;").replace('"', "&quot;").replace('<', "&lt;").replace('>', "&gt;");
        let page = browser.get(&format!("/log/{}", spec.kind)).await.text;
        assert!(page.contains(&words), "{}", spec.kind);
        assert!(!["yard", "area", "zone"].contains(&spec.kind) || new.contains(&words), "{}", spec.kind);
    }
}

/// The place may be written as the page writes it, or pasted as one, when a yard is made and when it is changed.
#[tokio::test]
async fn places_as_maps_give_them() {
    for (latitude, longitude) in
        [("40.47", "−101.68"), ("40.47", "–101.68"), ("40.47, −101.68", ""), ("40.47° N, 101.68° W", "")]
    {
        let browser = Browser::empty();
        let pairs = [
            ("yard-name", "Home"),
            ("yard-units", "us-customary"),
            ("yard-latitude", latitude),
            ("yard-longitude", longitude),
            ("yard-elevation", "3300"),
            ("area-name", "Lawn"),
            ("area-size", "900"),
            ("area-grass", "kbg"),
            ("area-soil", "loam"),
        ];
        let made = browser.post("/new", &pairs).await;
        assert_eq!(made.status, StatusCode::SEE_OTHER, "{latitude} {longitude}: {}", made.text);
        assert!(browser.get("/settings").await.text.contains("40.47° N, 101.68° W"), "{latitude} {longitude}");
        let moved: Vec<(&str, &str)> = [
            ("on", "2026-04-20"),
            ("name", "Home"),
            ("latitude", "-33.9, 151.2"),
            ("elevation", "90"),
            ("units", "metric"),
        ]
        .to_vec();
        assert_eq!(browser.post("/log/yard", &moved).await.status, StatusCode::SEE_OTHER);
        assert!(browser.get("/settings").await.text.contains("33.9° S, 151.2° E"));
    }
}

/// The list at the top names each fault's field by its label, and leads to it.
#[tokio::test]
async fn faults_are_named() {
    let browser = Browser::empty();
    let pairs = [
        ("yard-name", ""),
        ("yard-units", "metric"),
        ("yard-latitude", "95"),
        ("yard-longitude", "west"),
        ("yard-elevation", "10"),
        ("area-name", "Lawn"),
        ("area-size", "-20"),
        ("area-soil", "loam"),
    ];
    let page = browser.post("/new", &pairs).await.text;
    let list = page.split(r#"role="alert""#).nth(1).unwrap().split("<form").next().unwrap();
    for named in [
        r##"<a href="#f-yard-longitude">Longitude: “west” is not a number"##,
        r##"<a href="#f-yard-name">Name: not filled in"##,
        r##"<a href="#f-area-size">Size: "##,
        r##"<a href="#f-area-grass">Grass: a lawn needs its grass"##,
        "<p>The place</p>",
        "<p>The first lawn</p>",
    ] {
        assert!(list.contains(named), "{named} in {list}");
    }
    let browser = Browser::small();
    let late = [("on", "2026-05-30"), ("areas", "front-lawn"), ("height", "3")];
    let page = browser.post("/log/mowed", &late).await.text;
    assert!(page.contains(r##"<a href="#f-on">Day: 30 May 2026 is after today (20 Apr 2026)"##), "{page}");
    let strong = [("on", "2026-04-20"), ("name", "granule"), ("actives", "prodiamine 500")];
    let page = browser.post("/log/product", &strong).await.text;
    assert!(page.contains(r##"<a href="#f-actives">Active ingredients: strength is 500"##), "{page}");
}

/// What may stay empty is said in fitting words: not of the grass a lawn needs, once where fields stand for each other.
#[tokio::test]
async fn what_may_stay_empty() {
    let browser = Browser::small();
    let label = |page: &str, name: &str| -> String {
        page.split(&format!(r#"<label for="f-{name}">"#)).nth(1).unwrap().split("</label>").next().unwrap().to_owned()
    };
    let area = browser.get("/log/area").await.text;
    assert_eq!(label(&area, "grass"), "Grass");
    assert!(label(&area, "slope").contains("(if known)"));
    assert_eq!(label(&area, "care"), "Feeding", "a choice is never empty");
    let watered = browser.get("/log/watered").await.text;
    assert_eq!(watered.matches("Fill in either the zone and its minutes").count(), 1);
    for name in ["zone", "minutes", "area", "depth"] {
        assert!(!label(&watered, name).contains('('), "{name}");
    }
    assert!(label(&browser.get("/log/applied").await.text, "remark").contains("(optional)"));
}

/// A day typed the way pages write days is read.
#[tokio::test]
async fn days_as_pages_write_them() {
    let browser = Browser::on(small_yard());
    let answer = browser.post("/log/note", &[("on", "18 Apr 2026"), ("text", "by hand")]).await;
    let page = browser.get(&answer.to.unwrap()).await.text;
    assert!(page.contains(r#"<time datetime="2026-04-18">18 Apr 2026</time>"#), "{page}");
}

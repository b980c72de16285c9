//! Opening and shutting the sprinklers, and the leak: what stands on the pages, and where they lead.

use axum::http::StatusCode;
use jiff::civil::date;

use crate::support::{Browser, put, small_yard};

/// The page says by when, with its chances, tells what hurts before the steps, and ends in the entry that shuts the system.
#[tokio::test]
async fn shutting() {
    let browser = Browser::small();
    let page = browser.get("/water/close").await;
    assert_eq!(page.status, StatusCode::OK);
    let text = page.text;
    assert!(text.contains("Have it shut by") && text.contains("Early (10 %)") && text.contains("five average years"));
    assert!(text.contains("50 psi") && text.contains("Eye protection") && text.contains("/log/sprinklers?state=shut"));
    let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("no {words}"));
    assert!(at("Care: </strong>Compressed air") < at("Connect at the blow-out point"));
    let manual = browser.get("/water/close?way=manual&pipe=pvc").await.text;
    assert!(manual.contains("Drain by hand") && !manual.contains("Air, zone by zone"));
    let pvc = browser.get("/water/close?pipe=pvc").await.text;
    assert!(pvc.contains("80 psi") && pvc.contains("Never over"));
    let asked = browser.get("/water/close?by=2026-12-01").await.text;
    assert!(asked.contains("Before <time datetime=\"2026-12-01\">") && asked.contains(" years)"), "{asked}");
    assert!(browser.get("/water/close?by=soon").await.text.contains("is not a date"));
    assert_eq!(browser.get("/water/close?way=hope").await.status, StatusCode::BAD_REQUEST);
    assert!(browser.get("/water").await.text.contains(r#"href="/water/close""#));
}

/// Once it is shut the page says so and asks for nothing more.
#[tokio::test]
async fn shut_is_shut() {
    let mut ledger = small_yard();
    put(&mut ledger, 10, "sprinklers", date(2026, 4, 10), &[("state", "shut")]);
    let page = Browser::on(ledger).get("/water/close").await.text;
    assert!(page.contains("Nothing more to do until spring") && !page.contains("It is shut</a>"));
}

/// Opening: slow fill with its reason first, every zone with its form for what is found, and the entry that ends it.
#[tokio::test]
async fn opening() {
    let browser = Browser::small();
    let text = browser.get("/water/open").await.text;
    assert!(text.contains("Sensible from") && text.contains("strikes like a hammer") && text.contains("Front heads"));
    assert!(text.contains(r#"action="/log/to-mend""#) && text.contains("/log/sprinklers?state=opened"));
    assert!(text.contains("No test is written down") && text.contains("licensed"));
    let form = browser.get("/log/to-mend?zone=front-heads&at=Head+3&trouble=clogged").await.text;
    assert!(form.contains(r#"value="Head 3""#) && form.contains(r#"value="clogged" selected"#), "{form}");
    let mut ledger = small_yard();
    put(&mut ledger, 10, "sprinklers", date(2026, 4, 10), &[("state", "opened")]);
    let done = Browser::on(ledger).get("/water/open").await.text;
    assert!(done.contains("Opened on") && !done.contains("It is open</a>"));
}

/// What is found at a head stands on its zone and on the first page until its repair takes its place.
#[tokio::test]
async fn found_and_mended() {
    let browser = Browser::small();
    let pairs =
        [("zone", "front-heads"), ("at", "Head 3"), ("trouble", "broken"), ("on", "2026-04-19"), ("do", "keep")];
    let saved = browser.post("/log/to-mend", &pairs).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let saved = browser.get(saved.to.as_deref().unwrap()).await.text;
    assert!(saved.contains("/water/open#zone-front-heads"));
    let open = browser.get("/water/open").await.text;
    assert!(open.contains("Head 3: broken") && open.contains("fulfils="));
    assert!(browser.get("/water").await.text.contains("1 to be mended"));
    let now = browser.get("/").await.text;
    // Water runs away: three days from the day it was found.
    assert!(now.contains("Mend Head 3: broken") && now.contains("22 Apr 2026"), "{now}");
    let id = open.split("fulfils=").nth(1).unwrap().split(['"', '&']).next().unwrap().to_owned();
    let repair = [
        ("done", "Head 3 renewed"),
        ("zone", "front-heads"),
        ("on", "2026-04-20"),
        ("fulfils", id.as_str()),
        ("do", "keep"),
    ];
    assert_eq!(browser.post("/log/repaired", &repair).await.status, StatusCode::SEE_OTHER);
    assert!(!browser.get("/").await.text.contains("Mend Head 3"));
    assert!(!browser.get("/water/open").await.text.contains("Head 3: broken"));
    assert!(browser.get("/daybook").await.text.contains("Head 3 renewed"));
}

/// The backflow test is due a year after the last, on the first page from six weeks before; a failed one is due at once.
#[tokio::test]
async fn the_backflow_test_comes_due() {
    let with = |on, pairs: &[(&str, &str)]| {
        let mut ledger = small_yard();
        put(&mut ledger, 10, "backflow-tested", on, pairs);
        Browser::on(ledger)
    };
    let soon = with(date(2025, 5, 14), &[("assembly", "double-check"), ("tester", "A. Tester")]);
    assert!(soon.get("/").await.text.contains("Have the double check valve assembly tested"));
    assert!(soon.get("/water").await.text.contains("14 May 2026"));
    let later = with(date(2025, 5, 14), &[("months", "24")]);
    assert!(
        !later.get("/").await.text.contains("tested</h3>") && later.get("/water").await.text.contains("14 May 2027")
    );
    let failed = with(date(2026, 4, 15), &[("failed", "yes")]);
    let now = failed.get("/").await.text;
    assert!(now.contains("mended and tested again") && now.contains("licensed or certified tester"));
}

/// The leak: measured, priced, placed, and kept on the list of work with its last day; linked from where a leak is suspected.
#[tokio::test]
async fn a_leak_is_reckoned() {
    let mut ledger = small_yard();
    put(&mut ledger, 10, "tariff", date(2026, 1, 5), &[("steps", "more = 6.15"), ("unit", "kgal"), ("base", "20")]);
    let browser = Browser::on(ledger);
    let empty = browser.get("/water/leak").await.text;
    assert!(empty.contains("Measure it") && !empty.contains("What the meter says"));
    // 3.2 gallons in two hours are 38.4 a day; at 6.15 a thousand 0.24 a day.
    let text = browser.get("/water/leak?unit=gal&moved=3.2&minutes=120").await.text;
    assert!(text.contains("<strong>38 gal</strong> a day") && text.contains("$0.24"), "{text}");
    assert!(text.contains("Close the sprinklers’ own stop valve") && text.contains("Water off first"));
    // A cubic foot is 7.48 gallons.
    let feet = browser.get("/water/leak?unit=cuft&moved=1&minutes=1440").await.text;
    assert!(feet.contains("<strong>7.48 gal</strong> a day"));
    let placed = browser.get("/water/leak?unit=gal&moved=3.2&minutes=120&closed_moved=0&closed_minutes=30").await.text;
    assert!(
        placed.contains("manifold in a valve box") && placed.contains("trouble=manifold-leak&amp;by=2026-05-04"),
        "{placed}"
    );
    let wrong = browser.get("/water/leak?moved=much&minutes=30").await.text;
    assert!(
        wrong.contains("is not a number")
            && wrong.contains(r#"value="much""#)
            && wrong.contains(r#"aria-invalid="true""#)
    );
    assert!(browser.get("/water/leak?moved=2").await.text.contains("how many minutes"));
    assert!(browser.get("/water/leak?moved=2&minutes=0").await.text.contains("must be between"));
    let tight = browser.get("/water/leak?moved=0&minutes=180").await.text;
    assert!(tight.contains("no leak the meter can see") && !tight.contains("to be mended</a>"));
    for page in ["/water", "/water/fault", "/water/cost", "/water/open"] {
        assert!(browser.get(page).await.text.contains(r#"href="/water/leak""#), "{page}");
    }
}

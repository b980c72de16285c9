//! The watch: its lists, its working, its caution, and the one line that leads there.

use axum::http::StatusCode;

use jiff::civil::date;

use crate::support::{Browser, put, small_yard};

/// The page of a lawn in June tells diseases with a drawing and source, insects with dates, and the caution; Now leads there once.
#[tokio::test]
async fn a_june_day() {
    let browser = Browser::small();
    let page = browser.get("/watch?on=2026-06-20").await;
    assert_eq!(page.status, StatusCode::OK);
    for sign in ["To look for this week", "degree days", "Source: ", "Treat nothing before its cause is found", "<svg"]
    {
        assert!(page.text.contains(sign), "{sign}");
    }
    assert!(!page.text.contains("NaN"));
    let now = browser.get("/?on=2026-06-20").await.text;
    assert_eq!(now.matches(r#"href="/watch?on=2026-06-20""#).count(), 1);
}

/// Runs and traps stand on the map and in words, the law before them; a run told with its line is drawn.
#[tokio::test]
async fn runs_on_the_map() {
    let browser = Browser::small();
    let page = browser.get("/watch?on=2026-06-20").await.text;
    let (law, diggers) = (page.find("The law first."), page.find("which animal?"));
    assert!(law.is_some() && law < diggers, "the law first");
    assert!(page.contains("pocket gopher") || page.contains("Pocket gopher"));
    let mut ledger = small_yard();
    put(&mut ledger, 10, "outline", date(2026, 3, 2), &[("area", "front-lawn"), ("corners", "0 0\n60 0\n60 40\n0 40")]);
    let browser = Browser::on(ledger);
    let line =
        |line| [("on", "2026-04-19"), ("area", "front-lawn"), ("run", "fence"), ("state", "raised"), ("line", line)];
    let saved = browser.post("/log/mole-run", &line("2 2; 30 2")).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
    let map = browser.get("/map").await.text;
    assert!(map.contains(r#"class="mole used""#) && map.contains("Mole runs and traps"));
    assert!(map.find("The law first.") < map.find("Next: "));
    assert!(browser.post("/log/mole-run", &line("2 2")).await.text.contains("two to 60 places"));
}

//! The watch: its lists, its working, its caution, and the one line that leads there.

use axum::http::StatusCode;

use crate::support::Browser;

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
    let corners = [("area", "front-lawn"), ("corners", "0 0; 60 0; 60 40; 0 40")];
    assert!(browser.post("/log/outline", &corners).await.status.is_redirection());
    let run = [("area", "front-lawn"), ("run", "fence"), ("state", "raised"), ("line", "2 2; 30 2")];
    assert!(browser.post("/log/mole-run", &run).await.status.is_redirection());
    let map = browser.get("/map").await.text;
    assert!(map.contains(r#"class="mole used""#) && map.contains("Mole runs and traps"));
    assert!(map.find("The law first.") < map.find("Next: "));
    let crooked = [("area", "front-lawn"), ("run", "fence"), ("state", "raised"), ("line", "2 2")];
    assert!(browser.post("/log/mole-run", &crooked).await.text.contains("two to 60 places"));
}

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

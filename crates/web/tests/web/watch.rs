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

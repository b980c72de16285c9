//! Pressure in the zones: nothing told, the supply told, a zone asked for its heads, drawn heads, the demo.

use axum::http::StatusCode;
use jiff::civil::date;

use crate::support::{Browser, put, small_yard};

#[tokio::test]
async fn without_a_gauge_the_page_says_how_to_begin() {
    let browser = Browser::small();
    let list = browser.get("/water/pressure").await;
    assert_eq!(list.status, StatusCode::OK);
    assert!(list.text.contains("Put a gauge on an outdoor tap") && list.text.contains(r#"href="/log/supply""#));
    assert!(list.text.contains("/water/pressure?zone=front-heads") && list.text.contains("Care: "));
    let zone = browser.get("/water/pressure?zone=front-heads").await.text;
    assert!(zone.contains("No pressure was told") && zone.contains(r#"href="/log/supply""#));
    assert_eq!(browser.get("/water/pressure?zone=none").await.status, StatusCode::NOT_FOUND);
    for path in ["/water", "/water/fault"] {
        assert!(browser.get(path).await.text.contains(r#"href="/water/pressure""#), "{path}");
    }
}

/// With a supply told, a zone whose heads are not drawn asks for them, works with what the query tells, and refuses what it
/// cannot read.
#[tokio::test]
async fn a_zone_is_told_in_the_query() {
    let mut ledger = small_yard();
    let supply = [("static", "60"), ("meter", "3/4"), ("backflow", "double-check"), ("flow", "14"), ("working", "50")];
    put(&mut ledger, 10, "supply", date(2026, 3, 2), &supply);
    let browser = Browser::on(ledger);
    let asks = browser.get("/water/pressure?zone=front-heads").await.text;
    assert!(asks.contains(r#"name="heads""#) && asks.contains("Tell the heads"));
    let told = browser.get("/water/pressure?zone=front-heads&heads=8&length=90&flow=13").await.text;
    assert!(told.contains("Weakest head") && told.contains("Street to tap, as measured") && told.contains(" psi"));
    assert!(told.contains("How many heads it bears") && told.contains(r#"value="90""#) && told.contains("Assumed"));
    assert!(!told.contains(" kPa"), "pressures are in the person's unit");
    for bad in ["heads=few", "heads=8&length=long", "heads=8&flow=-"] {
        let page = browser.get(&format!("/water/pressure?zone=front-heads&{bad}")).await;
        assert_eq!(page.status, StatusCode::BAD_REQUEST, "{bad}");
    }
    let none = browser.get("/water/pressure?zone=front-heads&heads=0&flow=13").await;
    assert!(none.status == StatusCode::OK && none.text.contains("0 heads; there may be 1 to"));
    let form = browser.get("/log/supply").await.text;
    assert!(form.contains(r#"value="60""#) && form.contains("licensed tester"), "the form starts from what is known");
}

/// Heads on the map carry their pressure in the drawing.
#[tokio::test]
async fn drawn_heads_show_their_pressure() {
    let mut ledger = small_yard();
    put(&mut ledger, 10, "supply", date(2026, 3, 2), &[("static", "60")]);
    put(&mut ledger, 11, "outline", date(2026, 3, 2), &[("area", "front-lawn"), ("corners", "0 0\n60 0\n60 40\n0 40")]);
    for (i, at) in ["5 5", "20 5", "35 5"].iter().enumerate() {
        let name = format!("Head {}", i + 1);
        let head = [
            ("name", name.as_str()),
            ("is", "head"),
            ("zone", "front-heads"),
            ("radius", "15"),
            ("arc", "180"),
            ("flow", "1.85"),
            ("at", at),
        ];
        put(&mut ledger, 20 + i as u32, "mapped", date(2026, 3, 3), &head);
    }
    let page = Browser::on(ledger).get("/water/pressure?zone=front-heads").await.text;
    assert!(page.contains("Over each head its pressure, in psi") && page.contains("<circle class=\"can\""));
    assert!(page.contains("Head 3") && page.contains("shortest way from the valve"));
}

//! Measuring a zone: the list, the layout, what two audits say, empty and full.

use axum::http::StatusCode;
use jiff::civil::date;

use crate::support::{Browser, put, small_yard};

#[tokio::test]
async fn zones_not_yet_measured() {
    let browser = Browser::small();
    let list = browser.get("/water/audit").await;
    assert_eq!(list.status, StatusCode::OK);
    assert!(list.text.contains("Not measured yet") && list.text.contains("/water/audit?zone=front-heads"));
    let zone = browser.get("/water/audit?zone=front-heads").await.text;
    assert!(
        zone.contains("24 equal cans")
            && zone.contains("is not drawn")
            && zone.contains("/log/audited?zone=front-heads")
    );
    assert_eq!(browser.get("/water/audit?zone=none").await.status, StatusCode::NOT_FOUND);
    assert!(browser.get("/water").await.text.contains(r#"href="/water/audit""#));
}

/// Drawn ground: numbered cans on the map; two audits: the driest cans and what a run saves.
#[tokio::test]
async fn a_measured_zone() {
    let mut ledger = small_yard();
    put(&mut ledger, 10, "outline", date(2026, 3, 2), &[("area", "front-lawn"), ("corners", "0 0\n60 0\n60 40\n0 40")]);
    let places = (0..8).map(|i| format!("{} {}", 10 + 13 * (i % 4), 10 + 20 * (i / 4))).collect::<Vec<_>>().join("\n");
    let cans = |ml: &'static str, n: u32| {
        [
            ("zone", "front-heads"),
            ("minutes", "20"),
            ("opening", "80"),
            ("cans", ml),
            ("places", ""),
            ("remark", if n > 1 { "mended" } else { "" }),
        ]
    };
    put(&mut ledger, 11, "audited", date(2026, 4, 1), &cans("10 30 40 40 12 30 40 38", 1));
    let mut after = cans("30 30 34 34 28 30 34 34", 2).to_vec();
    after[4].1 = &places;
    put(&mut ledger, 12, "audited", date(2026, 4, 10), &after);
    let page = Browser::on(ledger).get("/water/audit?zone=front-heads").await.text;
    assert!(
        page.contains("Driest cans: 1, 5.") && page.contains("By the cans") && page.contains("8 cans tell the rate")
    );
    assert!(page.contains("cell dry") && page.contains("<circle class=\"can\""), "the map of the cans");
    assert!(page.contains("<strong>saves ") && page.contains("of need"));
}

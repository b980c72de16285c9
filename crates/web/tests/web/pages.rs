use axum::http::{Request, StatusCode, header};
use jiff::civil::date;

use crate::support::{Browser, put, small_yard};

const PAGES: [&str; 13] = [
    "/",
    "/water",
    "/watch",
    "/weeds",
    "/weeds/which",
    "/weeds/dandelion",
    "/daybook",
    "/log",
    "/settings",
    "/area/front-lawn",
    "/area/rose-bed",
    "/entry/e007",
    "/saved/e007",
];

/// Before there is a yard every page leads to its making, which is itself a page.
#[tokio::test]
async fn without_a_yard_all_lead_to_new() {
    let browser = Browser::empty();
    for path in PAGES.iter().chain(&["/log/mowed", "/entry/e001/correct"]) {
        let answer = browser.get(path).await;
        assert_eq!((answer.status, answer.to.as_deref()), (StatusCode::SEE_OTHER, Some("/new")), "{path}");
    }
    let new = browser.get("/new").await;
    assert_eq!(new.status, StatusCode::OK);
    assert!(new.text.contains("A new yard"));
}

/// Every page of a small yard, today and on another day, is whole and has one main heading; every form too.
#[tokio::test]
async fn every_page_of_a_small_yard() {
    let browser = Browser::small();
    let forms: Vec<String> = yard::form::FORMS.iter().map(|f| format!("/log/{}", f.kind)).collect();
    let all = PAGES
        .iter()
        .map(|p| (*p).to_owned())
        .chain(forms)
        .chain(["/entry/e007/correct".to_owned(), "/log/area?key=front-lawn".to_owned()]);
    for path in all {
        for path in [path.clone(), format!("{path}{}on=2026-07-15", if path.contains('?') { '&' } else { '?' })] {
            let answer = browser.get(&path).await;
            assert_eq!(answer.status, StatusCode::OK, "{path}");
            assert_eq!(answer.text.matches("<h1").count(), 1, "{path}");
            for sign in ["<!DOCTYPE html>", r#"lang="en""#, r##"href="#main""##, r#"<main id="main""#, "</html>"] {
                assert!(answer.text.contains(sign), "{path} lacks {sign}");
            }
            assert!(!answer.text.contains("style=") && !answer.text.contains("<script"), "{path}");
            assert!(!answer.text.contains("NaN"), "{path}");
        }
    }
}

/// Links of a page of another day keep that day, and its banner leads back.
#[tokio::test]
async fn another_day_is_kept() {
    let browser = Browser::small();
    let page = browser.get("/?on=2026-07-15").await.text;
    assert!(page.contains("As of"));
    assert!(page.contains(r#"href="/water?on=2026-07-15""#));
    assert!(page.contains("Wed 15 Jul 2026"));
    let bad = browser.get("/?on=yesterday").await;
    assert_eq!(bad.status, StatusCode::BAD_REQUEST);
    assert!(bad.text.contains("is not a date"));
    assert_eq!(browser.get("/?on=9000-01-01").await.status, StatusCode::BAD_REQUEST);
}

/// A caution is told in full once a page; told again, it is a link to where it stands.
#[tokio::test]
async fn a_caution_is_told_once() {
    let mut ledger = small_yard();
    for (n, name) in [(10, "Back lawn"), (11, "Side lawn")] {
        let area = [("name", name), ("size", "1000"), ("grass", "kbg"), ("soil", "loam")];
        crate::support::put(&mut ledger, n, "area", date(2026, 3, 1), &area);
    }
    let browser = Browser::on(ledger);
    let mut repeated = 0;
    for day in ["2026-04-20", "2026-05-20", "2026-09-10"] {
        let page = browser.get(&format!("/?on={day}")).await.text;
        let cares: Vec<&str> =
            page.split(r#"<p class="care""#).skip(1).map(|p| p.split("</p>").next().unwrap()).collect();
        let full: Vec<&str> = cares.iter().filter(|c| c.starts_with(" id=")).copied().collect();
        for care in &full {
            let words = care.split_once("</strong>").unwrap().1;
            assert_eq!(page.matches(words).count(), 1, "{day}: {words}");
        }
        for care in cares.iter().filter(|c| !c.starts_with(" id=")) {
            let target = care.split(r##"href="#"##).nth(1).unwrap().split('"').next().unwrap();
            assert!(page.contains(&format!(r#"id="{target}""#)), "{day}: {target}");
            repeated += 1;
        }
    }
    assert!(repeated > 0, "some caution comes twice in a season");
}

/// Days are written in one way, with the weekday only where the page says what day it is of.
#[tokio::test]
async fn days_are_written_in_one_way() {
    let browser = Browser::small();
    for path in PAGES {
        let page = browser.get(path).await.text;
        for day in page.split("<time datetime=\"").skip(1) {
            let shown = day.split('>').nth(1).unwrap().split('<').next().unwrap();
            let parts: Vec<&str> = shown.split(' ').collect();
            assert!(parts.len() == 3 && parts[1].len() == 3 && parts[2].len() == 4, "{path}: {shown}");
        }
        assert!(!page.contains("-0 ") && !page.contains("−0 "), "{path}");
    }
}

/// The last date under the soil's chart stays inside it, on any day of the month.
#[tokio::test]
async fn dates_under_the_chart_stay_inside() {
    let browser = Browser::small();
    for day in ["2026-04-20", "2026-05-01", "2026-05-02", "2026-05-05", "2026-05-12"] {
        let page = browser.get(&format!("/area/front-lawn?on={day}")).await.text;
        for label in page.split(r#"<text class="label" x=""#).skip(1).filter(|l| l.contains(r#" y="194""#)) {
            let x: f64 = label.split('"').next().unwrap().parse().unwrap();
            let tag = label.split('>').next().unwrap();
            let (from, to) = if tag.contains(r#"text-anchor="end""#) { (x - 44.0, x) } else { (x, x + 44.0) };
            assert!(from >= 0.0 && to <= 352.5, "{day}: {tag}");
        }
    }
}

/// Safety is told in one place, before there is a yard and after, and every page leads there.
#[tokio::test]
async fn safety() {
    for browser in [Browser::empty(), Browser::small()] {
        let page = browser.get("/safety").await;
        assert_eq!(page.status, StatusCode::OK);
        for told in [
            "The label on the container is the law",
            "1-800-222-1222",
            "24 V",
            "call or click 811",
            "15°",
            "80 psi",
            "50 psi",
            "Never mix",
        ] {
            assert!(page.text.contains(told), "lacks {told}");
        }
        assert_eq!(page.text.matches("<h2").count(), page.text.matches("Source: ").count());
    }
    let browser = Browser::small();
    for path in PAGES.iter().chain(&["/nothing", "/log/mowed"]) {
        assert!(browser.get(path).await.text.contains(r#"href="/safety""#), "{path}");
    }
}

/// What is not there is said so, in a page of the same style.
#[tokio::test]
async fn missing_things() {
    let browser = Browser::small();
    for path in ["/nothing", "/area/moon", "/entry/e999", "/saved/e999", "/log/dance", "/entry/e999/correct"] {
        let answer = browser.get(path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        assert!(answer.text.contains("Not here"), "{path}");
    }
    let answer = browser.get("/settings/weather").await;
    assert_eq!(answer.status, StatusCode::METHOD_NOT_ALLOWED);
}

/// The style sheet may be kept for long because its address changes with it; every answer carries the guards' headers.
#[tokio::test]
async fn style_icon_health_and_headers() {
    let browser = Browser::small();
    let page = browser.get("/").await.text;
    let address = page.split(r#"rel="stylesheet" href=""#).nth(1).unwrap().split('"').next().unwrap().to_owned();
    assert!(address.starts_with("/style.css?v="));
    let ask = |path: &str| Request::get(path).header(header::HOST, "[::1]:9").body(axum::body::Body::empty()).unwrap();
    let style = browser.send(ask(&address)).await;
    assert!(style.headers()[header::CACHE_CONTROL].to_str().unwrap().contains("immutable"));
    let health = browser.get("/healthz").await;
    assert_eq!((health.status, health.text.as_str()), (StatusCode::OK, "ok\n"));
    for path in ["/", "/nothing", "/favicon.svg", "/healthz"] {
        let answer = browser.send(ask(path)).await;
        let headers = answer.headers();
        assert!(headers[header::CONTENT_SECURITY_POLICY].to_str().unwrap().starts_with("default-src 'none'"), "{path}");
        assert_eq!(headers[header::X_CONTENT_TYPE_OPTIONS], "nosniff", "{path}");
        assert_eq!(headers[header::REFERRER_POLICY], "same-origin", "{path}");
    }
}

/// The first page of the small yard, on a fixed day without weather of its own.
#[tokio::test]
async fn now_snapshot() {
    let browser = Browser::on(small_yard());
    let token = browser.token().await;
    let page = browser.get("/").await.text.replace(&token, "[token]");
    let (before, rest) = page.split_once("/style.css?v=").unwrap();
    let page = format!("{before}/style.css?v=[hash]{}", &rest[16..]);
    // One element a line reads better in a comparison.
    insta::assert_snapshot!("now", page.replace("><", ">\n<"));
}

/// The daybook takes its filters and parts long lists into pages of a hundred.
#[tokio::test]
async fn daybook_filters_and_pages() {
    let mut ledger = small_yard();
    for n in 10..59 {
        crate::support::put(&mut ledger, n, "note", date(2025, 6, 1), &[("text", &format!("note {n} of the heap"))]);
    }
    crate::support::put(&mut ledger, 59, "bought", date(2025, 7, 1), &[("what", "hose"), ("cost", "19.5")]);
    let browser = Browser::on(ledger);
    let all = browser.get("/daybook").await.text;
    assert!(all.contains("57 entries") && all.contains("$19.50"), "count and sum");
    let area = browser.get("/daybook?area=front-lawn&kind=mowed").await.text;
    assert!(area.contains("1 entry") && area.contains("Mowed Front lawn"));
    let span = browser.get("/daybook?from=2025-07-01&to=2025-07-01").await.text;
    assert!(span.contains("1 entry") && span.contains("hose"));
    assert_eq!(browser.get("/daybook?from=nonsense").await.status, StatusCode::BAD_REQUEST);
    let mut ledger = small_yard();
    let entries: Vec<yard::Entry> = (0..150)
        .map(|n| yard::Entry {
            id: format!("n{n:03}"),
            happened_on: date(2025, 6, 1),
            recorded_at: "2026-03-01T12:00:00Z".parse().unwrap(),
            supersedes: None,
            body: yard::Body::Note(yard::entry::Note { area: None, text: format!("note {n}") }),
        })
        .collect();
    ledger.append_all(&entries).unwrap();
    let browser = Browser::on(ledger);
    let first = browser.get("/daybook?kind=note").await.text;
    assert!(first.contains("page 1 of 2") && first.contains("page=2") && !first.contains("Newer"));
    let second = browser.get("/daybook?kind=note&page=2").await.text;
    assert!(second.contains("page 2 of 2") && second.contains("Newer") && !second.contains("Older"));
    assert_eq!(first.matches("/entry/n").count() + second.matches("/entry/n").count(), 150);
}

/// A demo is stepped by its buttons; the page of the new day is another.
#[tokio::test]
async fn the_demo_steps() {
    let browser = Browser::small();
    assert!(browser.get("/").await.text.contains("Demo: today is"));
    let answer = browser.post("/demo/week", &[("back", "/water")]).await;
    assert_eq!((answer.status, answer.to.as_deref()), (StatusCode::SEE_OTHER, Some("/water")));
    assert_eq!(browser.site.today(), date(2026, 4, 27));
    browser.post("/demo/day", &[("back", "https://elsewhere.example/")]).await;
    assert_eq!(browser.site.today(), date(2026, 4, 28));
    browser.post("/demo/start", &[]).await;
    assert_eq!(browser.site.today(), crate::support::TODAY);
    assert_eq!(browser.post("/demo/year", &[]).await.status, StatusCode::NOT_FOUND);
}

/// Where the clock tells the day there is nothing to step.
#[tokio::test]
async fn a_clock_is_not_stepped() {
    let browser = Browser { site: web::Site::new(small_yard(), web::Today::Clock).unwrap() };
    assert!(!browser.get("/").await.text.contains("Demo:"));
    assert_eq!(browser.post("/demo/day", &[]).await.status, StatusCode::NOT_FOUND);
}

/// What another program writes into the file, such as the command line, stands on the next page.
#[tokio::test]
async fn another_programs_writes_are_seen() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mine.toft");
    let mut ledger = ledger::Ledger::create(&path).unwrap();
    ledger.append_all(&crate::support::small_yard().entries().unwrap()).unwrap();
    drop(ledger);
    let browser = Browser::on(ledger::Ledger::open(&path).unwrap());
    assert!(!browser.get("/daybook").await.text.contains("Seen from elsewhere"));
    let mut other = ledger::Ledger::open(&path).unwrap();
    put(&mut other, 20, "note", date(2026, 4, 19), &[("text", "Seen from elsewhere")]);
    assert!(browser.get("/daybook").await.text.contains("Seen from elsewhere"));
    // And a page that stores keeps both.
    browser.post("/log/note", &[("text", "Mine"), ("on", "2026-04-20"), ("do", "keep")]).await;
    let page = browser.get("/daybook").await.text;
    assert!(page.contains("Mine") && page.contains("Seen from elsewhere"));
}

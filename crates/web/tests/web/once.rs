//! Forms sent twice.

use axum::http::StatusCode;

use crate::support::{Browser, key_of};

async fn count(browser: &Browser) -> usize {
    browser.get("/settings/export").await.text.lines().count()
}

/// A form sent twice stores once: the second press leads to what the first saved, and says so.
#[tokio::test]
async fn the_second_press_stores_nothing() {
    let browser = Browser::small();
    let before = count(&browser).await;
    for (path, pairs) in [
        ("/log/rain", vec![("on", "2026-04-19"), ("depth", "12 mm")]),
        // A new thing would else be refused for its own name.
        (
            "/log/area",
            vec![("on", "2026-04-20"), ("name", "Strip"), ("size", "90"), ("grass", "kbg"), ("soil", "loam")],
        ),
        ("/entry/e007/correct", vec![("on", "2026-04-07"), ("areas", "front-lawn"), ("height", "2.5")]),
        ("/entry/e006/withdraw", vec![("why", "sold")]),
    ] {
        let page = browser.get(if path.ends_with("withdraw") { "/entry/e006" } else { path }).await.text;
        let key = key_of(&page);
        let all = [pairs.as_slice(), &[("once", key.as_str())]].concat();
        let first = browser.post(path, &all).await;
        assert_eq!(first.status, StatusCode::SEE_OTHER, "{path}");
        let second = browser.post(path, &all).await;
        assert_eq!((second.status, second.to.as_ref()), (StatusCode::SEE_OTHER, first.to.as_ref()), "{path}");
        assert_eq!(browser.get(&first.to.unwrap()).await.status, StatusCode::OK);
    }
    assert_eq!(count(&browser).await, before + 4);
}

/// Two presses on their way at once store once as well.
#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn two_at_once() {
    let browser = Browser::small();
    let before = count(&browser).await;
    let key = key_of(&browser.get("/log/note").await.text);
    let pairs = [("on", "2026-04-20"), ("text", "pressed twice"), ("once", key.as_str())];
    let (a, b, c) = tokio::join!(
        browser.post("/log/note", &pairs),
        browser.post("/log/note", &pairs),
        browser.post("/log/note", &pairs)
    );
    assert!(a.to.is_some() && a.to == b.to && b.to == c.to);
    assert_eq!(count(&browser).await, before + 1);
}

/// A saved form that was gone back to and changed is neither stored unasked nor lost: it is shown again and saved when told so.
#[tokio::test]
async fn changed_after_it_was_saved() {
    let browser = Browser::small();
    let before = count(&browser).await;
    let key = key_of(&browser.get("/log/note").await.text);
    let first = browser.post("/log/note", &[("on", "2026-04-20"), ("text", "one"), ("once", &key)]).await.to.unwrap();
    let asked = browser.post("/log/note", &[("on", "2026-04-20"), ("text", "two"), ("once", &key)]).await;
    assert_eq!(asked.status, StatusCode::CONFLICT);
    assert!(asked.text.contains(&format!(r#"href="{first}""#)) && asked.text.contains("two"), "{}", asked.text);
    assert_eq!(count(&browser).await, before + 1);
    let fresh = key_of(&asked.text);
    assert_ne!(fresh, key);
    let again = browser.post("/log/note", &[("on", "2026-04-20"), ("text", "two"), ("once", &fresh)]).await;
    assert_eq!(again.status, StatusCode::SEE_OTHER);
    assert_eq!(count(&browser).await, before + 2);
}

/// A form with a fault has used up nothing; every rendering has a key of its own; the making of a yard has one, too.
#[tokio::test]
async fn keys_are_fresh() {
    let browser = Browser::empty();
    let key = key_of(&browser.get("/new").await.text);
    let good = [
        ("yard-name", "Garten"),
        ("yard-units", "metric"),
        ("yard-latitude", "40.5"),
        ("yard-longitude", "-101.7"),
        ("yard-elevation", "1000"),
        ("area-name", "Rasen"),
        ("area-size", "250"),
        ("area-grass", "kbg"),
        ("area-soil", "loam"),
        ("once", key.as_str()),
    ];
    let mut bad = good;
    bad[6].1 = "many";
    let refused = browser.post("/new", &bad).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_ne!(key_of(&refused.text), key);
    for _ in 0..2 {
        let made = browser.post("/new", &good).await;
        assert_eq!((made.status, made.to.as_deref()), (StatusCode::SEE_OTHER, Some("/")));
    }
    assert_ne!(key_of(&browser.get("/log/note").await.text), key_of(&browser.get("/log/note").await.text));
}

/// A step back shows the form that was sent: browsers forget a page whose own address is posted to, so forms go elsewhere.
#[tokio::test]
async fn forms_go_to_another_address() {
    let browser = Browser::small();
    for path in ["/log/note", "/log/plan-sow", "/entry/e007/correct"] {
        let page = browser.get(path).await.text;
        assert!(page.contains(&format!(r#"action="{path}?save""#)), "{path}");
    }
    let answer = browser.post("/log/note?save", &[("on", "2026-04-20"), ("text", "there")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
}

/// Without the token a used key leads nowhere.
#[tokio::test]
async fn a_key_is_no_token() {
    let browser = Browser::small();
    let key = key_of(&browser.get("/log/note").await.text);
    let pairs = [("on", "2026-04-20"), ("text", "mine"), ("once", key.as_str())];
    assert_eq!(browser.post("/log/note", &pairs).await.status, StatusCode::SEE_OTHER);
    let stranger = crate::support::form("/log/note").body(crate::support::encoded(&pairs)).unwrap();
    assert_eq!(browser.answer(stranger).await.status, StatusCode::FORBIDDEN);
}

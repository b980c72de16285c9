use axum::body::Body;
use axum::http::{Request, StatusCode, header};

use crate::support::{Browser, encoded, form};

/// Only this machine's own names are answered to.
#[tokio::test]
async fn host_names() {
    let browser = Browser::small();
    let ask = |host: &str| Request::get("/").header(header::HOST, host).body(Body::empty()).unwrap();
    for host in ["localhost", "localhost:3000", "127.0.0.1:3000", "[::1]:3000"] {
        assert_eq!(browser.send(ask(host)).await.status(), StatusCode::OK, "{host}");
    }
    for host in [
        "elsewhere.example",
        "localhost.elsewhere.example",
        "127.0.0.1.elsewhere.example",
        "192.168.1.5:3000",
        "localhost:x",
    ] {
        assert_eq!(browser.send(ask(host)).await.status(), StatusCode::MISDIRECTED_REQUEST, "{host}");
    }
    let nameless = Request::get("/").body(Body::empty()).unwrap();
    assert_eq!(browser.send(nameless).await.status(), StatusCode::BAD_REQUEST);
    let twice = Request::get("/")
        .header(header::HOST, "localhost")
        .header(header::HOST, "localhost")
        .body(Body::empty())
        .unwrap();
    assert_eq!(browser.send(twice).await.status(), StatusCode::BAD_REQUEST);
    let absolute =
        Request::get("http://elsewhere.example/").header(header::HOST, "localhost").body(Body::empty()).unwrap();
    assert_eq!(browser.send(absolute).await.status(), StatusCode::BAD_REQUEST);
}

/// A form from another origin is refused, token or not; so is one whose origin is hidden.
#[tokio::test]
async fn origins() {
    let browser = Browser::small();
    let token = browser.token().await;
    let pairs = [("token", token.as_str()), ("on", "2026-04-20"), ("text", "hello")];
    for origin in
        ["http://elsewhere.example", "null", "https://localhost:8080", "http://localhost:8081", "http://127.0.0.1:8080"]
    {
        let mut request = form("/log/note").body(encoded(&pairs)).unwrap();
        request.headers_mut().insert(header::ORIGIN, origin.parse().unwrap());
        assert_eq!(browser.send(request).await.status(), StatusCode::FORBIDDEN, "{origin}");
    }
    let crossing = form("/log/note").header("sec-fetch-site", "cross-site").body(encoded(&pairs)).unwrap();
    assert_eq!(browser.send(crossing).await.status(), StatusCode::FORBIDDEN);
    let mut silent = form("/log/note").body(encoded(&pairs)).unwrap();
    silent.headers_mut().remove(header::ORIGIN);
    assert_eq!(browser.send(silent).await.status(), StatusCode::SEE_OTHER, "no Origin, but the token");
}

/// Without this run's token nothing is done; a log form comes back with what was typed.
#[tokio::test]
async fn tokens() {
    let browser = Browser::small();
    let before = browser.get("/settings/export").await.text;
    for path in ["/log/note", "/entry/e007/withdraw", "/entry/e007/correct", "/demo/day"] {
        for token in [None, Some("0".repeat(64))] {
            let mut pairs =
                vec![("on", "2026-04-20"), ("text", "kept in the form"), ("areas", "front-lawn"), ("height", "3")];
            if let Some(token) = &token {
                pairs.push(("token", token));
            }
            let answer = browser.answer(form(path).body(encoded(&pairs)).unwrap()).await;
            assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path}");
            if path == "/log/note" {
                assert!(answer.text.contains("kept in the form") && answer.text.contains("Nothing was saved"));
            }
        }
    }
    assert_eq!(browser.get("/settings/export").await.text, before);
    assert_eq!(browser.site.today(), crate::support::TODAY);
}

/// A form over its limit is refused with a page; one just under is read.
#[tokio::test]
async fn form_size() {
    let browser = Browser::small();
    let long = "x".repeat(web::FORM_BYTES_MAX);
    let over = browser.post("/log/note", &[("on", "2026-04-20"), ("text", &long)]).await;
    assert_eq!(over.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(over.text.contains("Nothing was saved"));
    let under = browser.post("/log/note", &[("on", "2026-04-20"), ("text", &long[..web::FORM_BYTES_MAX - 200])]).await;
    assert_eq!(under.status, StatusCode::UNPROCESSABLE_ENTITY, "read, and too long for a note");
}

/// Forms that are no forms get a page that says so.
#[tokio::test]
async fn not_a_form() {
    let browser = Browser::small();
    let mut request = form("/log/note").body(Body::from("{}")).unwrap();
    request.headers_mut().insert(header::CONTENT_TYPE, "application/json".parse().unwrap());
    let answer = browser.answer(request).await;
    assert!(answer.status.is_client_error() && answer.text.contains("</html>"));
}

use axum::body::Body;
use axum::http::{Request, StatusCode, header};

use crate::support::{Answer, Browser};

const EDGE: &str = "edge-of-a-part";

fn part(name: &str, value: &str) -> String {
    format!("--{EDGE}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n")
}

async fn send(browser: &Browser, token: &str, fields: &[(&str, &str)], name: &str, file: &str) -> Answer {
    send_to(browser, "/settings/weather", token, fields, name, file.as_bytes()).await
}

/// Sends a file the way a page's form does.
pub async fn send_to(
    browser: &Browser,
    path: &str,
    token: &str,
    fields: &[(&str, &str)],
    name: &str,
    file: &[u8],
) -> Answer {
    let mut body = part("token", token);
    for (n, v) in fields {
        body.push_str(&part(n, v));
    }
    body.push_str(&format!(
        "--{EDGE}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\nContent-Type: application/octet-stream\r\n\r\n"
    ));
    let mut bytes = body.into_bytes();
    bytes.extend_from_slice(file);
    bytes.extend_from_slice(format!("\r\n--{EDGE}--\r\n").as_bytes());
    let request = Request::post(path)
        .header(header::HOST, "localhost:8080")
        .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={EDGE}"))
        .body(Body::from(bytes))
        .unwrap();
    browser.answer(request).await
}

fn days(n: usize, tmin: &str) -> String {
    let mut text = format!("date,{tmin},tmax_c,rain_mm\n");
    let mut date = jiff::civil::date(2026, 1, 1);
    for i in 0..n {
        text.push_str(&format!("{date},{},{},{}\n", 2 + i % 5, 12 + i % 7, i % 3));
        date = date.tomorrow().unwrap();
    }
    text
}

/// A file is taken in, told of, and the figures rest on it afterwards.
#[tokio::test]
async fn a_file_is_taken_in() {
    let browser = Browser::small();
    assert!(browser.get("/").await.text.contains("average climate"));
    let token = browser.token().await;
    let mut file = days(100, "tmin_c");
    file.push_str("2026-04-12,1,9,0\n2026-04-12,1,9,0\n");
    let answer = send(&browser, &token, &[], "C:\\weather\\june <1>.csv", &file).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    for told in ["Taken in: june &lt;1&gt;.csv", "Rows read", "102", "Days that stood twice", "Gaps", "11 Apr 2026"] {
        assert!(answer.text.contains(told), "lacks {told}");
    }
    assert!(!browser.get("/").await.text.contains("average climate"));
    assert!(browser.get("/settings").await.text.contains("june &lt;1&gt;.csv"));
}

/// A forecast is read, shown on the settings and used on its day; a faulty one, or one without its day of issue, is refused with its place.
#[tokio::test]
async fn a_forecast_is_read() {
    let browser = Browser::small();
    let token = browser.token().await;
    assert!(browser.get("/settings").await.text.contains("None read yet"));
    let on = browser.site.today();
    let rows = |high: &str| format!("issued,date,low_c,high_c,rain_mm,chance_pct\n{on},{on},9,{high},4,35\n");
    let read = |file: String| {
        let (browser, token) = (&browser, &token);
        async move { send_to(browser, "/settings/forecast", token, &[], "saved.csv", file.as_bytes()).await }
    };
    for (file, told) in
        [(rows("240"), "line 2"), ("date,high_c\n".to_owned(), "day of issue"), ("{}".to_owned(), "not a forecast")]
    {
        let answer = read(file).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer.text.contains(told), "lacks {told}");
    }
    let answer = read(rows("24")).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    assert!(answer.text.contains("1 forecasts kept") && answer.text.contains("Chance of rain"));
    let settings = browser.get("/settings").await.text;
    assert!(settings.contains("saved.csv") && !settings.contains("None read yet"));
}

/// A unit nobody told is asked for; told, the file is taken.
#[tokio::test]
async fn a_unit_is_asked_for() {
    let browser = Browser::small();
    let token = browser.token().await;
    let file = days(30, "tmin").replace("tmax_c", "tmax");
    let asked = send(&browser, &token, &[], "june.csv", &file).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(asked.text.contains("Nothing was taken in") && asked.text.contains("<details open>"));
    let told = send(&browser, &token, &[("temperature", "c"), ("wind_height", "10 m")], "june.csv", &file).await;
    assert_eq!(told.status, StatusCode::OK, "{}", told.text);
    let bad = send(&browser, &token, &[("temperature", "kelvin")], "june.csv", &file).await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// Without the token before it a file is not taken; what is no weather is refused.
#[tokio::test]
async fn refused_files() {
    let browser = Browser::small();
    let stranger = send(&browser, "0", &[], "june.csv", &days(30, "tmin_c")).await;
    assert_eq!(stranger.status, StatusCode::FORBIDDEN);
    let token = browser.token().await;
    for file in ["", "no,weather\n1,2\n", "PK\u{3}\u{4}"] {
        let answer = send(&browser, &token, &[], "x.csv", file).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{file:?}");
    }
    assert!(browser.get("/settings").await.text.contains("None taken in yet"));
}

/// Five gigabytes are refused by their announced length, before they are sent.
#[tokio::test]
async fn too_large_is_refused_early() {
    let browser = Browser::small();
    let request = Request::post("/settings/weather")
        .header(header::HOST, "localhost:8080")
        .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={EDGE}"))
        .header(header::CONTENT_LENGTH, "5368709120")
        .body(Body::empty())
        .unwrap();
    let answer = browser.answer(request).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(answer.text.contains("larger than 64 MB"));
}

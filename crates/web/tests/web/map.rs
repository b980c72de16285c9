//! The map's pages: every way of drawing gives the same ground; what is not sound is refused and nothing stored.

use axum::http::{Request, StatusCode, header};
use serde_json::{Value, json};

use crate::support::{Answer, Browser, key_of};
use crate::upload::send_to;

/// A trapezoid of 60 and 50 ft by 40 ft: 2,200 sq ft by the formula of every school book.
const CORNERS: &str = "0 0\n60 0\n50 40\n0 40";
const SIZE: &str = "2,200 sq ft";

fn metres(feet: &[[f64; 2]]) -> Vec<[f64; 2]> {
    feet.iter().map(|[x, y]| [x * 0.3048, y * 0.3048]).collect()
}

fn trapezoid() -> Vec<[f64; 2]> {
    metres(&[[0.0, 0.0], [60.0, 0.0], [50.0, 40.0], [0.0, 40.0]])
}

async fn size_told(browser: &Browser) -> bool {
    browser.get("/area/front-lawn").await.text.contains(SIZE)
}

async fn draw(browser: &Browser, changes: &Value) -> Answer {
    let page = browser.get("/map/draw").await;
    assert_eq!(page.status, StatusCode::OK);
    let key = key_of(&page.text);
    browser.post("/map/draw", &[("once", &key), ("on", "2026-04-20"), ("changes", &changes.to_string())]).await
}

/// Saves the form the tape page answers with.
async fn save_measured(browser: &Browser, answer: &Answer) {
    assert_eq!(answer.status, StatusCode::OK);
    let form = answer.text.split("action=\"/log/outline\"").nth(1).expect("a form to save");
    let corners = form.split("name=\"corners\"").nth(1).unwrap().split('>').nth(1).unwrap();
    let corners = corners.split("</textarea").next().unwrap().split('<').next().unwrap().to_owned();
    let key = key_of(form);
    let pairs =
        [("once", key.as_str()), ("area", "front-lawn"), ("corners", &corners), ("on", "2026-04-20"), ("do", "keep")];
    let saved = browser.post("/log/outline", &pairs).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
}

/// A table of corners, the drawing, a tape, offsets and both file formats: one and the same area.
#[tokio::test]
async fn all_ways_give_the_same_area() {
    let typed = Browser::small();
    assert!(!size_told(&typed).await);
    let pairs = [("area", "front-lawn"), ("corners", CORNERS), ("on", "2026-04-20"), ("do", "keep")];
    assert_eq!(typed.post("/log/outline", &pairs).await.status, StatusCode::SEE_OTHER);
    assert!(size_told(&typed).await, "a table of corners");

    let drawn = Browser::small();
    let changes = json!([{"kind": "outline/1", "area": "front-lawn", "pieces": [{"ring": trapezoid()}]}]);
    let answer = draw(&drawn, &changes).await;
    assert_eq!((answer.status, answer.to.as_deref()), (StatusCode::SEE_OTHER, Some("/map?saved=1")), "{}", answer.text);
    assert!(size_told(&drawn).await, "the drawing");

    // Distances from two house corners at 0 −20 and 60 −20, by Pythagoras, to a ten-thousandth of a foot.
    let taped = Browser::small();
    let readings = "1 A 20 B 63.2456 near 0 0\n2 A 63.2456 B 20 near 60 0\n3 A 78.1025 B 60.8276 near 50 40\n4 A 60 B 84.8528 near 0 40";
    let pairs = [("way", "tape"), ("area", "front-lawn"), ("known", "A 0 -20\nB 60 -20"), ("readings", readings)];
    save_measured(&taped, &taped.post("/map/tape", &pairs).await).await;
    assert!(size_told(&taped).await, "a tape");

    let offset = Browser::small();
    let pairs = [("way", "offsets"), ("area", "front-lawn"), ("line", "0 40\n0 0"), ("offsets", "0 50\n40 60")];
    save_measured(&offset, &offset.post("/map/tape", &pairs).await).await;
    assert!(size_told(&offset).await, "offsets along a line");

    for (word, name) in [("geojson", "yard.geojson"), ("kml", "yard.kml")] {
        let file = drawn.get(&format!("/map/files/{word}")).await;
        assert_eq!(file.status, StatusCode::OK);
        let reader = Browser::small();
        let token = reader.token().await;
        let looked = send_to(&reader, "/map/files", &token, &[], name, file.text.as_bytes()).await;
        assert_eq!(looked.status, StatusCode::OK, "{}", looked.text);
        let waiting = looked.text.split("name=\"file\" value=\"").nth(1).unwrap().split('"').next().unwrap();
        let key = key_of(&looked.text);
        let pairs = [
            ("once", key.as_str()),
            ("file", waiting),
            ("shape-0", "area:front-lawn"),
            ("grass", "kbg"),
            ("soil", "loam"),
            ("on", "2026-04-20"),
        ];
        let taken = reader.post("/map/files/take", &pairs).await;
        assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
        assert!(size_told(&reader).await, "{word}");
        let again = reader.post("/map/files/take", &pairs).await;
        assert_eq!(again.to, taken.to, "the same form twice stores once");
    }
}

/// What crosses itself is refused with the reason, the unsaved drawing comes back, and nothing is stored.
#[tokio::test]
async fn a_drawing_with_a_fault_comes_back() {
    let browser = Browser::small();
    let crossing = metres(&[[0.0, 0.0], [60.0, 40.0], [60.0, 0.0], [0.0, 40.0]]);
    let changes = json!([
        {"kind": "area/1", "key": "new-bed", "name": "New bed", "size_m2": 5.0, "cover": "bed", "soil": "loam"},
        {"kind": "outline/1", "area": "new-bed", "pieces": [{"ring": crossing}]},
    ]);
    let answer = draw(&browser, &changes).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("crosses or touches itself"), "the reason");
    assert!(answer.text.contains("New bed"), "the drawing is still there");
    assert!(!browser.get("/map").await.text.contains("New bed"), "nothing was stored");
    for (what, changes) in [
        ("not a list", json!({"kind": "note/1"})),
        ("another kind", json!([{"kind": "note/1", "text": "x"}])),
        ("an unknown field", json!([{"kind": "outline/1", "area": "front-lawn", "pieces": [], "more": 1}])),
        (
            "an area that is not there",
            json!([{"kind": "outline/1", "area": "moon", "pieces": [{"ring": trapezoid()}]}]),
        ),
        (
            "numbers beyond the plan",
            json!([{"kind": "outline/1", "area": "front-lawn", "pieces": [{"ring": [[0, 0], [1e300, 0], [0, 1]]}]}]),
        ),
    ] {
        let refused = draw(&browser, &changes).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{what}");
    }
    assert!(!size_told(&browser).await);
}

/// Files that are no map of a yard are told why, and nothing is stored.
#[tokio::test]
async fn files_that_are_no_map() {
    let browser = Browser::small();
    let token = browser.token().await;
    let bow_tie = r#"{"type":"Feature","properties":{"name":"Front lawn"},"geometry":{"type":"Polygon","coordinates":[[[-101.7,40.5],[-101.699,40.501],[-101.699,40.5],[-101.7,40.501],[-101.7,40.5]]]}}"#;
    let out_of_range = bow_tie.replace("40.501", "140.501");
    let many: String = "[0,0],".repeat(1_000_000);
    let million = format!(r#"{{"type":"LineString","coordinates":[{many}[0,0]]}}"#);
    for (name, text, told) in [
        ("a.geojson", "not json".to_owned(), "JSON"),
        ("a.kml", "<kml".to_owned(), "XML"),
        ("a.txt", "x".to_owned(), ".geojson"),
        ("a.geojson", bow_tie.to_owned(), "crosses or touches itself"),
        ("a.geojson", out_of_range, "140.501"),
        ("a.geojson", million, "20000"),
    ] {
        let answer = send_to(&browser, "/map/files", &token, &[], name, text.as_bytes()).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}: {}", answer.text);
        assert!(answer.text.contains("Nothing was taken in") && answer.text.contains(told), "{told}: {}", answer.text);
    }
}

/// A doubtful reading is named: three tapes to each point, one of them two feet wrong.
#[tokio::test]
async fn a_doubtful_reading_is_named() {
    let browser = Browser::small();
    // House corners A, B, C; the points of the trapezoid; the third reading of point 3 (60.8276 from B) was written as 62.8.
    let readings = "1 A 20 B 63.2456 C 63.2456 D 30\n2 A 63.2456 B 20 C 20\n3 A 78.1025 B 62.8 C 22.3607 D 50.9902\n4 A 60 B 84.8528 C 63.2456 D 10";
    let known = "A 0 -20\nB 60 -20\nC 60 20\nD 0 30";
    let pairs = [("way", "tape"), ("area", "front-lawn"), ("known", known), ("readings", readings)];
    let answer = browser.post("/map/tape", &pairs).await;
    assert_eq!(answer.status, StatusCode::OK);
    let doubtful = answer.text.split("Doubtful: ").nth(1).unwrap_or_else(|| panic!("{}", answer.text));
    assert!(doubtful.contains("B to 3") || doubtful.contains("3 to B"), "{}", &doubtful[..200]);
    let fault = browser
        .post("/map/tape", &[("way", "tape"), ("area", "front-lawn"), ("known", "A 0"), ("readings", "1 A 2")])
        .await;
    assert!(fault.text.contains("is not a known corner"));
    // Two readings leave two answers, told in the person's own unit: the point at 0 0 and its image beyond the line A–B.
    let either =
        [("way", "tape"), ("area", "front-lawn"), ("known", "A 0 -20\nB 60 -20"), ("readings", "1 A 20 B 63.2456")];
    let told = browser.post("/map/tape", &either).await.text;
    assert!(told.contains("-40.0]") && told.contains("near"), "{told}");
}

/// Four quarter heads in the corners of a square that throw to each other: 60 × 20 / 100 mm/h on the mean and nothing beside it
/// (the flow over the area), as the editor asks for it; nonsense gets a reason.
#[tokio::test]
async fn the_editor_is_told_where_the_water_falls() {
    let browser = Browser::small();
    let head = |x: f64, y: f64, from: f64| json!({"at": [x, y], "radius_m": 10.0, "arc_from_deg": from, "arc_deg": 90.0, "flow_lpm": 5.0});
    let asked = json!({
        "ground": [{"ring": [[0, 0], [10, 0], [10, 10], [0, 10]]}],
        "heads": [head(0.0, 0.0, 0.0), head(0.0, 10.0, 90.0), head(10.0, 10.0, 180.0), head(10.0, 0.0, 270.0)],
    });
    let ask = async |body: &Value| {
        let request = Request::post("/map/coverage")
            .header(header::HOST, "localhost:8080")
            .header(header::ORIGIN, "http://localhost:8080")
            .header(header::CONTENT_TYPE, "application/json")
            .body(body.to_string().into())
            .unwrap();
        browser.answer(request).await
    };
    let answer = ask(&asked).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let told: Value = serde_json::from_str(&answer.text).unwrap();
    assert!((told["mean_mm_h"].as_f64().unwrap() - 12.0).abs() < 1e-9, "{told}");
    assert!(told["off_target"].as_f64().unwrap() < 1e-9);
    let cells = told["columns"].as_u64().unwrap() * told["rows"].as_u64().unwrap();
    assert_eq!(told["steps"].as_str().unwrap().len() as u64, cells);
    let dry = json!({"ground": asked["ground"], "heads": []});
    assert_eq!(ask(&dry).await.status, StatusCode::BAD_REQUEST);
    let crossing = json!({"ground": [{"ring": [[0, 0], [9, 9], [9, 0], [0, 9]]}], "heads": asked["heads"]});
    assert_eq!(ask(&crossing).await.status, StatusCode::BAD_REQUEST);
}

/// A picture is kept, placed by two points, drawn under the map, and taken away again.
#[tokio::test]
async fn a_picture_under_the_map() {
    let browser = Browser::small();
    let pairs = [("area", "front-lawn"), ("corners", CORNERS), ("on", "2026-04-20"), ("do", "keep")];
    browser.post("/log/outline", &pairs).await;
    let token = browser.token().await;
    // A sound picture of 40 by 30 pixels is not at hand as a file; a bitmap of one colour is written by hand below.
    let png = grey_png(40, 30);
    let sent = send_to(&browser, "/map/underlay", &token, &[], "plan 1.png", &png).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text);
    let place = sent.to.unwrap();
    let hash = place.split("picture=").nth(1).unwrap().split('&').next().unwrap().to_owned();
    assert_eq!(
        browser
            .send(
                Request::get(format!("/map/picture/{hash}"))
                    .header(header::HOST, "localhost")
                    .body(axum::body::Body::empty())
                    .unwrap()
            )
            .await
            .headers()[header::CONTENT_TYPE],
        "image/png"
    );
    assert!(browser.get(&place).await.text.contains("Tap the first of two points"));
    // A tap at 180, 360 on the picture shown 720 wide is the pixel 10, 20.
    let first = browser.get(&format!("{place}&tap.x=180&tap.y=360")).await;
    assert!(first.text.contains("name=\"p1\" value=\"10.0,20.0\""), "{}", first.text);
    let both = [("picture", hash.as_str()), ("name", "plan"), ("p1", "10.0,20.0"), ("p2", "30.0,20.0")];
    let mut wrong = both.to_vec();
    wrong.extend([("first", "0 0"), ("distance", "far"), ("bearing", "90")]);
    assert_eq!(browser.post("/map/underlay/place", &wrong).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    let mut right = both.to_vec();
    right.extend([("first", "0 0"), ("distance", "20"), ("bearing", "90")]);
    let placed = browser.post("/map/underlay/place", &right).await;
    assert_eq!(placed.status, StatusCode::SEE_OTHER, "{}", placed.text);
    // 20 px are 20 ft eastwards: 0.3048 m a pixel, no turn, so the matrix is scale and shift alone.
    let map = browser.get("/map").await.text;
    let matrix = map.split("matrix(").nth(1).expect("the picture lies under the map").split(')').next().unwrap();
    let numbers: Vec<f64> = matrix.split(' ').map(|n| n.parse().unwrap()).collect();
    let want = [0.3048, 0.0, 0.0, -0.3048, -3.048, 6.096];
    assert!(numbers.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-9), "{numbers:?}");
    assert_eq!(browser.post("/map/underlay/place", &[("remove", "yes")]).await.status, StatusCode::SEE_OTHER);
    assert!(!browser.get("/map").await.text.contains("matrix("));
    let text = send_to(&browser, "/map/underlay", &token, &[], "plan.png", b"no picture").await;
    assert_eq!(text.status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// A grey PNG by the standard: signature, IHDR, one stored zlib block of rows, IEND (W3C PNG, 3rd edition; RFC 1950, 1951).
fn grey_png(width: u32, height: u32) -> Vec<u8> {
    fn crc(bytes: &[u8]) -> u32 {
        let step = |c: u32| (0..8).fold(c, |c, _| if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 });
        !bytes.iter().fold(!0u32, |c, b| step((c ^ u32::from(*b)) & 0xff) ^ (c >> 8))
    }
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |kind: &[u8], data: &[u8]| {
        out.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
        let body = [kind, data].concat();
        out.extend(&body);
        out.extend(crc(&body).to_be_bytes());
    };
    chunk(b"IHDR", &[&width.to_be_bytes()[..], &height.to_be_bytes(), &[8, 0, 0, 0, 0]].concat());
    let rows: Vec<u8> = (0..height).flat_map(|_| std::iter::once(0).chain((0..width).map(|_| 0x80))).collect();
    let length = u16::try_from(rows.len()).unwrap();
    let (mut a, mut b) = (1u32, 0u32);
    for byte in &rows {
        a = (a + u32::from(*byte)) % 65_521;
        b = (b + a) % 65_521;
    }
    let mut zlib = vec![0x78, 0x01, 0x01];
    zlib.extend(length.to_le_bytes());
    zlib.extend((!length).to_le_bytes());
    zlib.extend(&rows);
    zlib.extend(((b << 16) | a).to_be_bytes());
    chunk(b"IDAT", &zlib);
    chunk(b"IEND", &[]);
    out
}

/// Every page of the map answers, with nothing drawn and with everything; what is not there is told.
#[tokio::test]
async fn pages_of_the_map() {
    let browser = Browser::small();
    for path in [
        "/map",
        "/map/draw",
        "/map/sun",
        "/map/tape",
        "/map/files",
        "/map/underlay",
        "/map/zone/front-heads",
        "/map?from=2025-01-01&to=2026-04-20",
    ] {
        let page = browser.get(path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
    }
    assert!(browser.get("/map").await.text.contains("Nothing is drawn yet"));
    for path in ["/map/zone/none", "/map/picture/none", "/map/files/dwg"] {
        assert_eq!(browser.get(path).await.status, StatusCode::NOT_FOUND, "{path}");
    }
    assert_eq!(browser.get("/map/sun?month=13").await.status, StatusCode::BAD_REQUEST);
    assert_eq!(browser.get("/map?from=soon").await.status, StatusCode::BAD_REQUEST);
    let pairs = [("area", "front-lawn"), ("corners", CORNERS), ("on", "2026-04-20"), ("do", "keep")];
    browser.post("/log/outline", &pairs).await;
    let head = [
        ("name", "Head 1"),
        ("is", "head"),
        ("zone", "front-heads"),
        ("at", "0 0"),
        ("radius", "40"),
        ("arc", "90"),
        ("flow", "3"),
        ("on", "2026-04-20"),
        ("do", "keep"),
    ];
    assert_eq!(browser.post("/log/mapped", &head).await.status, StatusCode::SEE_OTHER);
    let map = browser.get("/map").await.text;
    assert!(map.contains(SIZE) && map.contains("1 heads"), "{map}");
    let zone = browser.get("/map/zone/front-heads").await.text;
    assert!(zone.contains("Evenness") && zone.contains("class=\"cell"), "{zone}");
    assert!(browser.get("/map/sun?month=6").await.text.contains("Mean hours of sun"));
    // The year before there was no drawing; the map of that day says so.
    let before = browser.get("/map?on=2026-02-01").await.text;
    assert!(before.contains(SIZE), "a first drawing counts for the time before it too");
}

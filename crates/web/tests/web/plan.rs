//! The drawn map and its survey sheet.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use jiff::civil::{Date, date};
use ledger::Ledger;
use serde_json::{Value, json};
use yard::Yard;

use crate::support::{Browser, small_yard};

const ON: Date = date(2026, 4, 20);

/// Bodies as entries, all of one day.
fn entries_of(bodies: &[Value]) -> Vec<yard::Entry> {
    let entry = |(n, body): (usize, &Value)| {
        let entry = json!({
            "id": format!("e{n:03}"), "happened_on": "2026-03-01", "recorded_at": "2026-03-01T12:00:00Z", "body": body,
        });
        serde_json::from_value(entry).unwrap_or_else(|e| panic!("{body}: {e}"))
    };
    bodies.iter().enumerate().map(entry).collect()
}

fn yard_of(bodies: &[Value]) -> Yard {
    yard::fold(&entries_of(bodies), ON)
}

fn facts(units: &str) -> Value {
    json!({"kind": "yard/1", "name": "Home", "units": units, "currency": "$",
        "place": {"latitude_deg": 40.5, "longitude_deg": -101.7, "elevation_m": 1005.0}})
}

fn area(key: &str, name: &str, cover: &str, pieces: Value) -> [Value; 2] {
    let mut facts =
        json!({"kind": "area/1", "key": key, "name": name, "size_m2": 10.0, "cover": cover, "soil": "loam"});
    if cover == "turf" {
        facts["grass"] = json!("kbg");
    }
    [facts, json!({"kind": "outline/1", "area": key, "pieces": pieces})]
}

fn thing(key: &str, thing: Value, at: Value) -> Value {
    json!({"kind": "mapped/1", "key": key, "name": key.replace('-', " "), "thing": thing, "at": at})
}

/// A house on a plot of about 30 by 36 m, with something of every kind.
fn bodies(units: &str) -> Vec<Value> {
    let head = |key: &str, zone: &str, at: [f64; 2], from: f64, arc: f64| {
        thing(
            key,
            json!({"is": "head", "zone": zone, "radius_m": 6.0, "arc_from_deg": from, "arc_deg": arc, "flow_lpm": 8.0 * arc / 360.0}),
            json!([at]),
        )
    };
    let ring = |corners: Value| json!([{"ring": corners}]);
    let mut bodies = vec![facts(units)];
    bodies.extend(area(
        "front-lawn",
        "Front lawn",
        "turf",
        ring(json!([[0.5, 1.0, 1.2], [17.8, 1.0], [17.8, 13.0], [9.0, 13.0], [0.5, 13.0]])),
    ));
    bodies.extend(area(
        "drive-strip",
        "Strip beyond the drive",
        "turf",
        ring(json!([[22.2, 1.0], [29.5, 1.0], [29.5, 24.0], [22.2, 24.0]])),
    ));
    bodies.extend(area("back-lawn", "Back lawn", "turf", json!([{
        "ring": [[0.5, 25.0], [12.0, 25.0], [12.0, 27.5], [18.0, 27.5], [18.0, 25.0], [29.5, 25.0], [29.5, 33.5], [0.5, 33.5]],
        "holes": [[[5.0, 30.0, 1.2], [7.4, 30.0, 1.2]]]}])));
    bodies.extend(area("tree-ring", "Tree ring", "bed", ring(json!([[5.0, 30.0, 1.2], [7.4, 30.0, 1.2]]))));
    bodies.extend(area(
        "front-bed",
        "Bed under the front windows",
        "bed",
        ring(json!([[9.0, 13.0], [17.8, 13.0], [17.8, 14.0], [9.0, 14.0]])),
    ));
    bodies.extend(area(
        "west-bed",
        "West bed",
        "bed",
        ring(json!([[0.5, 13.0], [8.9, 13.0], [8.9, 24.9], [0.5, 24.9]])),
    ));
    bodies.extend(area(
        "hedge",
        "North hedge",
        "hedge",
        ring(json!([[0.5, 33.6], [29.5, 33.6], [29.5, 35.0], [0.5, 35.0]])),
    ));
    bodies.extend(area("drive", "Drive", "hard", ring(json!([[18.0, 0.0], [22.0, 0.0], [22.0, 14.0], [18.0, 14.0]]))));
    bodies.extend(area(
        "patio",
        "Patio",
        "hard",
        ring(json!([[12.1, 24.0], [17.9, 24.0], [17.9, 27.4], [12.1, 27.4]])),
    ));
    bodies.push(
        json!({"kind": "zone/1", "key": "front", "name": "Front", "areas": ["front-lawn"], "sprinkler": "rotor"}),
    );
    bodies.push(json!({"kind": "zone/1", "key": "back", "name": "Back", "areas": ["back-lawn"], "sprinkler": "rotor"}));
    bodies.push(thing(
        "house",
        json!({"is": "building", "height_m": 6.0}),
        json!([[9.0, 14.0], [22.0, 14.0], [22.0, 24.0], [9.0, 24.0]]),
    ));
    bodies.push(thing("maple", json!({"is": "tree", "height_m": 8.0, "crown_m": 2.6}), json!([[6.2, 30.0]])));
    bodies.push(thing("birch", json!({"is": "tree", "height_m": 7.0, "crown_m": 1.8}), json!([[25.0, 6.0]])));
    bodies.push(head("head-1", "front", [0.6, 1.2], 0.0, 90.0));
    bodies.push(head("head-2", "front", [9.0, 0.4], 270.0, 180.0));
    bodies.push(head("head-3", "front", [17.7, 1.2], 270.0, 90.0));
    bodies.push(head("head-4", "front", [9.0, 7.0], 0.0, 360.0));
    bodies.push(head("head-5", "back", [0.7, 33.3], 90.0, 90.0));
    bodies.push(head("head-6", "back", [15.0, 33.3], 90.0, 180.0));
    bodies.push(head("head-7", "back", [29.3, 33.3], 180.0, 90.0));
    bodies.push(thing("front-valve", json!({"is": "valve", "zone": "front"}), json!([[8.0, 14.4]])));
    bodies.push(thing("back-valve", json!({"is": "valve", "zone": "back"}), json!([[8.0, 23.0]])));
    bodies.push(thing("controller", json!({"is": "controller"}), json!([[9.6, 20.0]])));
    bodies.push(thing(
        "main",
        json!({"is": "pipe", "role": "main"}),
        json!([[9.0, 20.0], [8.0, 20.0], [8.0, 14.4], [8.0, 23.0]]),
    ));
    bodies.push(thing(
        "lateral",
        json!({"is": "pipe", "role": "lateral", "zone": "front"}),
        json!([[8.0, 14.4], [8.0, 7.0], [9.0, 7.0]]),
    ));
    bodies.push(thing(
        "gas",
        json!({"is": "buried-line", "of": "gas"}),
        json!([[24.0, 0.0], [24.0, 16.0], [22.0, 16.0]]),
    ));
    bodies.push(thing("well", json!({"is": "well"}), json!([[27.5, 21.0]])));
    bodies.push(thing("ditch", json!({"is": "water-edge"}), json!([[0.0, 35.6], [14.0, 35.9, -0.4], [30.0, 35.6]])));
    bodies.push(thing("level-1", json!({"is": "level", "height_m": 0.0}), json!([[4.0, 4.0]])));
    bodies.push(thing("level-2", json!({"is": "level", "height_m": -0.35}), json!([[26.5, 31.0]])));
    bodies.push(thing("sand", json!({"is": "play"}), json!([[20.0, 29.0], [25.0, 29.0], [25.0, 32.0], [20.0, 32.0]])));
    bodies
}

fn svg_of(yard: &Yard) -> String {
    web::survey_sheet_svg(yard, ON).unwrap()
}

/// A PDF as text; its contents are not compressed.
fn text_of(pdf: &[u8]) -> String {
    pdf.iter().map(|&b| if b.is_ascii() { char::from(b) } else { '?' }).collect()
}

fn pdf_of(yard: &Yard) -> String {
    text_of(&web::survey_sheet_pdf(yard, ON).unwrap())
}

fn ground_of(name: &str, corners: Value, units: &str) -> Yard {
    yard_of(&[vec![facts(units)], area("plot", name, "turf", json!([{"ring": corners}])).to_vec()].concat())
}

/// Every number after `head`.
fn number_after(text: &str, head: &str) -> Option<f64> {
    let rest = &text[text.find(head)? + head.len()..];
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    rest[..end].parse().ok()
}

/// Sides of every straight path of four corners in a PDF's contents, in points.
fn rectangles(pdf: &str) -> Vec<[f64; 2]> {
    let words: Vec<&str> = pdf.split_ascii_whitespace().collect();
    let pair = |i: usize| Some([words.get(i)?.parse::<f64>().ok()?, words.get(i + 1)?.parse::<f64>().ok()?]);
    let side = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    (2..words.len())
        .filter(|&i| words[i] == "m" && words.get(i + 3) == Some(&"l") && words.get(i + 6) == Some(&"l"))
        .filter_map(|i| Some([pair(i - 2)?, pair(i + 1)?, pair(i + 4)?]))
        .map(|[a, b, c]| [side(a, b), side(b, c)])
        .collect()
}

/// Ten metres of ground are ten metres divided by the scale the title block tells, 72 points to an inch of 25.4 mm; the
/// scale is one of the user's kind.
#[test]
fn ten_metres_measure_ten_metres_on_paper() {
    let corners = json!([[3.0, 4.0], [13.0, 4.0], [13.0, 9.0], [3.0, 9.0]]);
    for (units, scales) in [("metric", &[50.0, 75.0, 100.0]), ("us-customary", &[60.0, 120.0, 240.0])] {
        let yard = ground_of("Plot", corners.clone(), units);
        let pdf = pdf_of(&yard);
        let one_to = number_after(&pdf, "1:").unwrap();
        assert!(scales.contains(&one_to), "{one_to}");
        let [long, short] = [10.0, 5.0].map(|m| m * 1000.0 / one_to / 25.4 * 72.0);
        let near = |r: &[f64; 2]| (r[0] - long).abs() < 0.01 && (r[1] - short).abs() < 0.01;
        assert!(rectangles(&pdf).iter().any(near), "{long} by {short} at 1:{one_to}");
        let svg = svg_of(&yard);
        assert!(svg.contains(&format!("1:{one_to}")), "{units}");
    }
}

/// A page of ISO A4 is 210 by 297 mm, one of US Letter 8½ by 11 in; wide ground lies, tall ground stands.
#[test]
fn the_paper_is_the_users() {
    for (units, [wide, high], size) in [
        ("metric", [40.0, 30.0], ["297mm", "210mm"]),
        ("us-customary", [40.0, 30.0], ["279.4mm", "215.9mm"]),
        ("us-customary", [14.0, 30.0], ["215.9mm", "279.4mm"]),
        ("metric", [14.0, 30.0], ["210mm", "297mm"]),
    ] {
        let corners = json!([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]]);
        let svg = svg_of(&ground_of("Plot", corners.clone(), units));
        let head = &svg[..svg.find('>').map_or(0, |i| i + svg[i + 1..].find('>').unwrap_or(0))];
        assert!(head.contains(&format!(r#"width="{}" height="{}""#, size[0], size[1])), "{units} {corners}: {head}");
    }
}

/// The sheet of the whole yard, drawn once and looked at.
#[test]
fn the_sheet_of_a_yard() {
    let svg = svg_of(&yard_of(&bodies("us-customary")));
    insta::assert_snapshot!(svg.replace("><", ">\n<"));
}

/// Every area's name and size stand on the sheet, and every zone's heads and the two tapes to its valve: 1.08 m is the
/// distance of (8, 14.4) from the house's corner at (9, 14) by Pythagoras, 9.65 m that from (9, 24).
#[test]
fn everything_told_is_on_the_sheet() {
    let yard = yard_of(&bodies("metric"));
    let (svg, pdf) = (svg_of(&yard), pdf_of(&yard));
    assert_eq!(yard.areas.len(), 9);
    for area in &yard.areas {
        assert!(
            svg.contains(&format!(">{}</text>", area.name)) && pdf.contains(&format!("({}) Tj", area.name)),
            "{}",
            area.name
        );
        assert!(svg.contains(&format!(">{:.0} m²</text>", area.size_m2)), "{}", area.name);
    }
    for words in
        ["4 heads, 16 L/min", "Valve: 1.08 m from A, 9.65 m from B", "20 Apr 2026", "Kentucky bluegrass, on loam"]
    {
        assert!(svg.contains(&format!(">{words}</text>")) && pdf.contains(&format!("({words}) Tj")), "{words}");
    }
    assert!(svg.contains("call or click 811") && pdf.contains("call or click 811"));
}

/// A yard of plain sizes has no sheet; one with a single spot level has.
#[test]
fn nothing_drawn_has_no_sheet() {
    let [told, _] = area("plot", "Plot", "turf", json!([]));
    let mut bodies = vec![facts("metric"), told];
    let bare = yard_of(&bodies);
    assert!(web::survey_sheet_svg(&bare, ON).is_none() && web::survey_sheet_pdf(&bare, ON).is_none());
    bodies.push(thing("level", json!({"is": "level", "height_m": 1.5}), json!([[7.0, 7.0]])));
    assert!(svg_of(&yard_of(&bodies)).contains(">1.50</text>"));
}

/// The parts of a PDF lie where its table says, and every stream is as long as it says (ISO 32000-1, 7.3.8 and 7.5.4).
fn check_pdf(bytes: &[u8]) {
    let text = text_of(bytes);
    assert!(text.starts_with("%PDF-1."));
    let at: usize = text[text.rfind("startxref").unwrap() + 9..].split_whitespace().next().unwrap().parse().unwrap();
    assert!(text[at..].starts_with("xref"));
    let table: Vec<&str> = text[at..text.rfind("trailer").unwrap()].lines().skip(2).collect();
    let mut used = 0;
    for (number, row) in table.iter().enumerate().filter(|(_, row)| row.trim_end().ends_with('n')) {
        let offset: usize = row[..10].parse().unwrap();
        let object = &text[offset..];
        assert!(object.starts_with(&format!("{number} 0 obj")), "{number}: {}", &object[..20]);
        let end = object.find("endobj").unwrap();
        if let Some(start) = object[..end].find("stream\n") {
            let length = number_after(&object[..start], "/Length ").unwrap() as usize;
            assert!(object[start + 7 + length..].trim_start().starts_with("endstream"), "{number}");
        }
        used += 1;
    }
    assert!(used >= 8, "{used}");
}

/// Where a string ends in PDF's contents: parentheses balance unless a backslash stands before them.
fn after_string(text: &str) -> Option<&str> {
    let mut depth = 0;
    let mut escaped = false;
    for (i, c) in text.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '(' => depth += 1,
            ')' if depth == 1 => return Some(&text[i + 1..]),
            ')' => depth -= 1,
            _ => {}
        }
    }
    None
}

/// Names made to break out of a file stay letters in it: the tags of the SVG are the drawing's own, with quotes in pairs, and
/// every string of the PDF ends before its operator.
#[test]
fn hostile_names_stay_letters() {
    let long = "very long ".repeat(200);
    let names = [
        "\"><script>alert(1)</script>",
        "'/><image href=x onerror=alert(1)>",
        "a) Tj ET (b",
        "\\) \\\\( (((",
        "]]> &amp; &#0; <!-- --> <?xml ?>",
        "nul \u{0} bell \u{7} escape \u{1b} turned \u{202e} end\u{ffff}",
        "🌳🏡 庭 Přední trávník ½″ × 3′",
        long.as_str(),
        "",
    ];
    const TAGS: [&str; 13] =
        ["svg", "title", "desc", "defs", "pattern", "circle", "line", "path", "rect", "g", "text", "clipPath", "?xml"];
    for name in names {
        let mut all = bodies("metric");
        all[0]["name"] = json!(name);
        for body in &mut all[1..] {
            if body.get("name").is_some() {
                body["name"] = json!(name);
            }
        }
        let yard = yard_of(&all);
        let svg = svg_of(&yard);
        assert!(!svg.contains("<script") && !svg.contains("<image"));
        assert!(svg.chars().all(|c| c == '\n' || (c >= ' ' && !('\u{fff0}'..='\u{ffff}').contains(&c))), "{name:?}");
        for tag in svg.split('<').skip(1) {
            let word = tag.trim_start_matches('/').split([' ', '>']).next().unwrap();
            assert!(TAGS.contains(&word), "{name:?}: <{tag}");
            let inside = &tag[..tag.find('>').unwrap()];
            assert!(inside.matches('"').count().is_multiple_of(2), "{name:?}: <{inside}");
        }
        let bytes = web::survey_sheet_pdf(&yard, ON).unwrap();
        check_pdf(&bytes);
        let pdf = pdf_of(&yard);
        for shown in pdf.split(" Td\n").skip(1) {
            let after =
                if shown.starts_with('(') { after_string(shown) } else { shown.split_once('>').map(|(_, rest)| rest) };
            assert!(
                after.is_some_and(|rest| rest.starts_with(" Tj\nET")),
                "{name:?}: {}",
                &shown[..shown.len().min(80)]
            );
        }
    }
}

/// Forty areas and a dozen zones run on to further pages, with every name on one of them and every page in the file.
#[test]
fn a_large_yard_takes_more_pages() {
    let mut all = vec![facts("us-customary")];
    for i in 0..40 {
        let (x, y) = (f64::from(i % 8) * 12.0, f64::from(i / 8) * 9.0);
        let ring = json!([{"ring": [[x, y], [x + 10.0, y, 1.0], [x + 10.0, y + 7.0], [x, y + 7.0]]}]);
        all.extend(area(&format!("a{i}"), &format!("Border {i} along the fence"), "bed", ring));
    }
    for i in 0..12 {
        let areas: Vec<String> = (0..10).map(|j| format!("a{}", (i + j) % 40)).collect();
        all.push(json!({"kind": "zone/1", "key": format!("z{i}"), "name": format!("Zone of side {i}"), "areas": areas, "sprinkler": "spray"}));
    }
    let yard = yard_of(&all);
    let (svg, pdf) = (svg_of(&yard), pdf_of(&yard));
    assert!(svg.contains(">1 of 2</text>"), "pages");
    assert_eq!(pdf.matches("/Type /Page\n").count(), 2);
    for name in
        (0..40).map(|i| format!("Border {i} along the fence")).chain((0..12).map(|i| format!("Zone of side {i}")))
    {
        assert!(pdf.contains(&format!("({name}) Tj")), "{name}");
    }
    check_pdf(&web::survey_sheet_pdf(&yard, ON).unwrap());
}

/// The map's page draws every area as a link to it, in classes alone; the sheet's page holds the sheet, and both files are
/// served as what they are. A yard without a drawing has no sheet.
#[tokio::test]
async fn the_pages_of_the_plan() {
    let mut ledger = Ledger::in_memory().unwrap();
    for entry in entries_of(&bodies("us-customary")) {
        ledger.append(&entry).unwrap();
    }
    let browser = Browser::on(ledger);
    let map = browser.get("/map").await.text;
    for key in
        ["front-lawn", "drive-strip", "back-lawn", "tree-ring", "front-bed", "west-bed", "hedge", "drive", "patio"]
    {
        assert!(map.contains(&format!(r#"<a href="/area/{key}" aria-label=""#)), "{key}");
    }
    assert!(map.contains(r#"aria-label="Front lawn, 2,384 sq ft""#) && !map.contains("style="));
    let sheet = browser.get("/map/sheet").await;
    assert_eq!(sheet.status, StatusCode::OK);
    assert!(sheet.text.contains(r#"class="sheet-page letter-lies""#) && !sheet.text.contains("style="));
    for (path, kind) in [("/map/sheet.svg", "image/svg+xml"), ("/map/sheet.pdf", "application/pdf")] {
        let request = Request::get(path).header(header::HOST, "localhost:8080").body(Body::empty()).unwrap();
        let response = browser.send(request).await;
        assert_eq!(response.status(), StatusCode::OK);
        assert_eq!(response.headers()[header::CONTENT_TYPE], kind);
    }
    for path in ["/map/sheet", "/map/sheet.svg", "/map/sheet.pdf"] {
        assert_eq!(Browser::on(small_yard()).get(path).await.status, StatusCode::NOT_FOUND, "{path}");
    }
}

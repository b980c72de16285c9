//! Every refusal, with what, where, the value seen and what is allowed.

use std::time::{Duration, Instant};

use mapfiles::{BYTES_MAX, MapFileError, MapFormat, SHAPES_MAX, VERTICES_MAX, read, write};
use yard::{Body, Yard};

use crate::{folded, geojson, holds, kml, kml_standard::zipped, mapped, origin, placemarks};

/// A file of one polygon named Lawn, ring by ring.
fn polygon(rings: &str) -> String {
    format!(
        r#"{{"type": "FeatureCollection", "features": [
            {{"type": "Feature", "properties": {{}}, "geometry": {{"type": "Point", "coordinates": [8.5, 47.4]}}}},
            {{"type": "Feature", "properties": {{"name": "Lawn"}}, "geometry": {{"type": "Polygon", "coordinates": {rings}}}}}]}}"#
    )
}

#[track_caller]
fn refused(file: &str, parts: &[&str]) {
    holds(&geojson(file).unwrap_err().to_string(), parts);
}

#[track_caller]
fn refused_kml(file: &str, parts: &[&str]) {
    holds(&kml(file).unwrap_err().to_string(), parts);
}

/// Not JSON, with line and column; not GeoJSON, with the type.
#[test]
fn not_geojson() {
    refused("", &["not JSON", "line 1"]);
    refused("{\n\"type\": \"Point\",\n \"coordinates\": [1, }", &["not JSON", "line 3 column 21"]);
    refused(r#"{"type": "Point", "coordinates": [1, 2]} x"#, &["not JSON", "trailing"]);
    refused(r#"{"type": "Point", "coordinates": [1e999, 2]}"#, &["not JSON", "number out of range"]);
    refused("[1, 2]", &["not GeoJSON", "nothing", "FeatureCollection, Feature or a geometry"]);
    refused(r#"{"type": "Topology", "objects": {}}"#, &["not GeoJSON", "\"Topology\""]);
    refused(r#"{"type": "FeatureCollection"}"#, &["not GeoJSON", "nothing for its features"]);
    refused(r#"{"type": "FeatureCollection", "features": []}"#, &["no area, line or point"]);
    let message = read(MapFormat::GeoJson, b"{\n\"a\": \"\xe9\"}", &Yard::default()).unwrap_err().to_string();
    holds(&message, &["line 2", "0xe9", "UTF-8"]);
}

/// A faulty geometry or vertex, with its feature, ring and number.
#[test]
fn faulty_geometry() {
    refused(r#"{"type": "FeatureCollection", "features": [3]}"#, &["feature 1:", "nothing", "a Feature"]);
    refused(
        r#"{"type": "Feature", "properties": {"name": "Pond"}, "geometry": {"type": "Circle", "radius": 3}}"#,
        &["feature 1 “Pond”: the geometry is of type \"Circle\"", "Allowed: Point, LineString"],
    );
    refused(&polygon("7"), &["feature 2 “Lawn”", "with 7 for coordinates"]);
    refused(
        &polygon(r#"[[[8.5, 47.4], [8.6, "47.4"], [8.6, 47.5]]]"#),
        &["feature 2 “Lawn”, ring 1, vertex 2", "[8.6,\"47.4\"]", "[longitude, latitude] in numbers"],
    );
    refused(&polygon("[[[8.5, 47.4], [8.5], [8.6, 47.5]]]"), &["ring 1, vertex 2", "[8.5]"]);
    refused(&polygon("[[[8.5, 47.4, null], [8.5, 3], [8.6, 47.5]]]"), &["ring 1, vertex 1", "[8.5,47.4,null]"]);
}

/// Degrees off the globe, with the order told where it would mend them.
#[test]
fn off_the_globe() {
    refused(
        &polygon("[[[47.4, 8.5], [47.4, 98.6], [47.5, 8.6]]]"),
        &[
            "ring 1, vertex 2: latitude 98.6° is not on the globe. Allowed: -90 to 90. Longitude and latitude look swapped",
        ],
    );
    let message = geojson(&polygon("[[[8.5, 47.4], [208.6, 147.4], [8.6, 47.5]]]")).unwrap_err().to_string();
    holds(&message, &["vertex 2: longitude 208.6°", "-180 to 180"]);
    assert!(!message.contains("swapped"), "{message}");
    refused_kml(
        &placemarks("<Placemark><Point><coordinates>-181,2</coordinates></Point></Placemark>"),
        &["longitude -181°"],
    );
}

/// Rings that are none: too few corners, crossing, a hole outside.
#[test]
fn not_an_outline() {
    refused(
        &polygon("[[[8.5, 47.4], [8.5001, 47.4], [8.5, 47.4], [8.5, 47.4]]]"),
        &["feature 2 “Lawn”, ring 1: 2 places that differ", "3 or more for a ring"],
    );
    refused(
        &polygon("[[[8.5, 47.4], [8.5001, 47.4001], [8.5001, 47.4], [8.5, 47.4001], [8.5, 47.4]]]"),
        &["feature 2 “Lawn”", "not an outline", "corner"],
    );
    refused(
        &polygon(
            "[[[8.5, 47.4], [8.5001, 47.4], [8.5001, 47.4001], [8.5, 47.4]],
              [[8.5002, 47.4], [8.5003, 47.4], [8.5003, 47.4001], [8.5002, 47.4]]]",
        ),
        &["feature 2 “Lawn”", "hole 1", "outside the ring"],
    );
    refused(
        r#"{"type": "LineString", "coordinates": [[8.5, 47.4], [8.5, 47.4]]}"#,
        &["feature 1: 1 places that differ", "2 or more for a line"],
    );
}

/// A ring that is not closed is closed, and told (RFC 7946, section 3.1.6, asks for closed ones).
#[test]
fn an_open_ring_is_closed() {
    let map = geojson(&polygon("[[[8.5, 47.4], [8.5001, 47.4], [8.5001, 47.4001]]]")).unwrap();
    holds(&map.problems.join("\n"), &["1 ring is not closed"]);
    let closed = geojson(&polygon("[[[8.5, 47.4], [8.5001, 47.4], [8.5001, 47.4001], [8.5, 47.4]]]")).unwrap();
    assert_eq!(map.shapes, closed.shapes);
}

/// Faults of several features come together, and only so many are shown.
#[test]
fn all_faults_at_once() {
    let feature = |i: usize| {
        format!(r#"{{"type": "Feature", "properties": null, "geometry": {{"type": "Point", "coordinates": [{i}]}}}}"#)
    };
    let features: Vec<String> = (1..=30).map(feature).collect();
    let file = format!(r#"{{"type": "FeatureCollection", "features": [{}]}}"#, features.join(","));
    refused(&file, &["30 features cannot be read; nothing was taken", "feature 1:", "feature 20:", "and 10 more"]);
}

/// A file of another place, 94.3 km away on the ellipsoid (pyproj 3.7.2: 94,299 m; told from a sphere, to half a per cent); and a
/// file with its columns swapped.
#[test]
fn too_far() {
    let yard = folded([origin(47.4, 8.5)]);
    let point = |longitude: f64, latitude: f64| {
        let file = format!(r#"{{"type": "Point", "coordinates": [{longitude}, {latitude}]}}"#);
        read(MapFormat::GeoJson, file.as_bytes(), &yard).map_err(|e| e.to_string())
    };
    let far = point(7.4474, 46.948).unwrap_err();
    holds(&far, &["feature 1: lies 94.", " km from the yard’s map", "up to 5 km", "another place?"]);
    assert!(!far.contains("swapped"), "{far}");
    holds(&point(47.4, 8.5).unwrap_err(), &["Longitude and latitude look swapped"]);
    // 4,991.9 m and 5,014.2 m away (pyproj 3.7.2).
    assert!(point(8.5, 47.4449).is_ok());
    holds(&point(8.5, 47.4451).unwrap_err(), &["5.0 km"]);
}

/// A first map is held against the yard's place: far away is told, swapped is refused.
#[test]
fn a_first_map_far_from_the_yard_s_place() {
    let facts = serde_json::json!({
        "name": "Home", "units": "metric",
        "place": {"latitude_deg": 47.4, "longitude_deg": 8.5, "elevation_m": 400.0}
    });
    let yard = folded([Body::Yard(serde_json::from_value(facts).unwrap())]);
    let point = |at: &str| {
        let file = format!(r#"{{"type": "Point", "coordinates": {at}}}"#);
        read(MapFormat::GeoJson, file.as_bytes(), &yard)
    };
    assert!(point("[8.6, 47.5]").unwrap().problems.is_empty());
    holds(&point("[7.4474, 46.948]").unwrap().problems.join("\n"), &["94 km from the yard’s place"]);
    holds(&point("[47.5, 8.6]").unwrap_err().to_string(), &["feature 1", "the yard’s place", "look swapped"]);
}

/// Not XML, with the line; not KML; cut short.
#[test]
fn not_kml() {
    refused_kml("", &["not KML", "missing"]);
    refused_kml("plain words", &["not KML", "missing"]);
    refused_kml("<gpx version=\"1.1\"></gpx>", &["<gpx>", "Allowed: <kml>"]);
    refused_kml("<kml>\n<Document>\n</Folder></kml>", &["line 3", "not XML"]);
    refused_kml("<kml>\n<Document>", &["line 2", "ends inside <Document>"]);
    refused_kml("<kml><Placemark><name>a &nbsp; b</name></Placemark></kml>", &["line 1", "entity"]);
    refused_kml(&placemarks("<Placemark><name>x</name></Placemark>"), &["no area, line or point"]);
}

/// Vertices that are none, with the placemark's name even where it follows.
#[test]
fn faulty_placemarks() {
    let line = |coordinates: &str| {
        placemarks(&format!(
            "<Placemark><LineString><coordinates>{coordinates}</coordinates></LineString><name>Drive</name></Placemark>"
        ))
    };
    refused_kml(
        &line("8.5,47.4 8.5, 47.5"),
        &["feature 1 “Drive”, vertex 2", "“8.5,”", "spaces only between vertices"],
    );
    refused_kml(&line("8.5,47.4 nan,47.5"), &["vertex 2", "“nan,47.5”"]);
    refused_kml(&line("8.5,47.4 inf,47.5"), &["vertex 2"]);
    refused_kml(&line("8.5,47.4 8.5,47.4,1,2"), &["vertex 2", "“8.5,47.4,1,2”"]);
    refused_kml(&line("8.5,47.4"), &["feature 1 “Drive”: 1 places that differ"]);
    refused_kml(
        &placemarks("<Placemark><Point><coordinates></coordinates></Point></Placemark>"),
        &["a Point of 0 vertices"],
    );
    refused_kml(
        &placemarks(
            "<Placemark><Point><coordinates>1,2</coordinates></Point></Placemark><Placemark><Polygon></Polygon></Placemark>",
        ),
        &["feature 2, ring 1: 0 places"],
    );
    refused_kml(
        &placemarks("<Placemark><Box><coordinates>1,2</coordinates></Box></Placemark>"),
        &["<Box>", "MultiGeometry"],
    );
}

/// Entities are not expanded: a file that declares any is refused at once.
#[test]
fn entity_bomb() {
    let bomb = r#"<?xml version="1.0"?>
        <!DOCTYPE kml [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>
        <kml><Placemark><name>&c;</name></Placemark></kml>"#;
    refused_kml(bomb, &["line 2", "document type"]);
}

/// Deep nesting is refused in both formats, and does not take the stack.
#[test]
fn deep_nesting() {
    let deep = format!("<kml>{}", "<Folder>".repeat(200_000));
    refused_kml(&deep, &["<Folder>", "more than 64 elements deep"]);
    refused(&"[".repeat(1_000_000), &["not JSON", "recursion limit"]);
    let deep =
        format!("{}{}", r#"{"type": "GeometryCollection", "geometries": ["#.repeat(100_000), "]}".repeat(100_000));
    refused(&deep, &["not JSON", "recursion limit"]);
}

/// A zip bomb: 64 MiB of blanks in 64 KiB are refused at 8 MiB; broken archives and ones without a KML file say so.
#[test]
fn archives() {
    let refused = |bytes: &[u8]| read(MapFormat::Kml, bytes, &Yard::default()).unwrap_err().to_string();
    let method = zip::CompressionMethod::Deflated;
    let bomb = zipped(&[("doc.kml", &vec![b' '; 8 * BYTES_MAX])], method);
    assert!(bomb.len() < BYTES_MAX / 100);
    holds(&refused(&bomb), &["KML file in the archive", "more than 8 MiB"]);
    holds(&refused(&zipped(&[("plan.png", b"x")], method)), &["not KMZ", "no .kml file"]);
    let names: Vec<String> = (0..1_001).map(|i| format!("{i}.png")).collect();
    let many: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b"x"[..])).collect();
    holds(&refused(&zipped(&many, method)), &["not KMZ", "more than 1000 files"]);
    holds(&refused(&zipped(&[("doc.kml", b"<kml/>")], method)[..40]), &["not KMZ"]);
    let mut broken = zipped(&[("doc.kml", placemarks(&"<Folder></Folder>".repeat(50)).as_bytes())], method);
    broken[45..60].fill(0x55);
    holds(&refused(&broken), &["not KMZ"]);
}

/// Limits, on both sides: bytes, vertices, shapes.
#[test]
fn limits() {
    let line = |n: usize| {
        let places: Vec<String> = (0..n).map(|i| format!("[{:.7},{:.7}]", 8.5 + 1e-7 * i as f64, 47.4)).collect();
        format!(r#"{{"type": "LineString", "coordinates": [{}]}}"#, places.join(","))
    };
    assert!(geojson(&line(VERTICES_MAX)).is_ok());
    refused(&line(VERTICES_MAX + 1), &["more than 20000 vertices"]);
    let tuples = |n: usize| {
        let places: Vec<String> = (0..n).map(|i| format!("{:.7},47.4", 8.5 + 1e-7 * i as f64)).collect();
        placemarks(&format!(
            "<Placemark><LineString><coordinates>{}</coordinates></LineString></Placemark>",
            places.join(" ")
        ))
    };
    assert!(kml(&tuples(VERTICES_MAX)).is_ok());
    refused_kml(&tuples(VERTICES_MAX + 1), &["more than 20000 vertices"]);

    let points =
        |n: usize| format!(r#"{{"type": "MultiPoint", "coordinates": [{}]}}"#, vec!["[8.5,47.4]"; n].join(","));
    assert_eq!(geojson(&points(SHAPES_MAX)).unwrap().shapes.len(), SHAPES_MAX);
    refused(&points(SHAPES_MAX + 1), &["more than 2000 shapes"]);
    let marks = "<Placemark><Point><coordinates>8.5,47.4</coordinates></Point></Placemark>";
    assert!(kml(&placemarks(&marks.repeat(SHAPES_MAX))).is_ok());
    refused_kml(&placemarks(&marks.repeat(SHAPES_MAX + 1)), &["more than 2000 shapes"]);

    let padded = |n: usize| {
        let point = r#"{"type":"Point","coordinates":[8.5,47.4]}"#;
        format!("{point}{}", " ".repeat(n - point.len()))
    };
    assert!(geojson(&padded(BYTES_MAX)).is_ok());
    refused(&padded(BYTES_MAX + 1), &["the file has more than 8 MiB"]);
}

/// A million vertices fit into 8 MiB; they are refused while they are counted, in a blink, as are a million other values.
#[test]
fn a_million() {
    let million = format!(r#"{{"type":"MultiPoint","coordinates":[{}[0,0]]}}"#, "[0,0],".repeat(1_000_000));
    assert!(million.len() < BYTES_MAX);
    let begun = Instant::now();
    assert!(matches!(geojson(&million), Err(MapFileError::TooManyVertices)));
    let values = format!(r#"{{"type":"Point","coordinates":[0,0],"x":[{}0]}}"#, "0,".repeat(3_000_000));
    assert!(matches!(geojson(&values), Err(MapFileError::TooManyValues)));
    let million = placemarks(&format!(
        "<Placemark><LineString><coordinates>{}</coordinates></LineString></Placemark>",
        "0,0 ".repeat(1_000_000)
    ));
    assert!(matches!(kml(&million), Err(MapFileError::TooManyVertices)));
    // Far more than it takes; a reader that built the values first would take longer still on a slow machine.
    assert!(begun.elapsed() < Duration::from_secs(10));
}

/// What cannot be written: a map nobody knows the place of, or one at a pole.
#[test]
fn not_written() {
    let well = || mapped("well", "Well", yard::map::Thing::Well, vec![crate::corner(0.0, 0.0)]);
    let refused = |yard: &Yard| write(MapFormat::GeoJson, yard).unwrap_err().to_string();
    holds(&refused(&folded([well()])), &["where the map lies on the globe is not known"]);
    holds(&refused(&folded([origin(89.0, 0.0), well()])), &["no map can be laid at 89°", "latitude_deg", "84"]);
    let far = mapped("well", "Well", yard::map::Thing::Well, vec![crate::corner(90_000.0, 0.0)]);
    holds(&refused(&folded([origin(45.0, 0.0), far])), &["“Well” cannot be written", "90000"]);
}

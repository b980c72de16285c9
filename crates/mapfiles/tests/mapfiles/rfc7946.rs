//! The examples of RFC 7946.
//!
//! Those of appendix A are a degree wide, 111 km: as printed they are too large for a yard. Divided by a thousand about 100° E
//! on the equator they are read as they are told; sizes are those of pyproj 3.7.2 (PROJ 9.5.1, `Geod` on WGS 84, C. F. F.
//! Karney, *Algorithms for geodesics*, 2013).

use mapfiles::{FileShape, Geometry, MapRead};

use crate::{geojson, holds, near};

const LINE_STRING: &str = r#"{"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}"#;
const POLYGON: &str = r#"{"type": "Polygon", "coordinates": [
    [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]}"#;
const POLYGON_WITH_HOLE: &str = r#"{"type": "Polygon", "coordinates": [
    [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
    [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]]}"#;
const MULTI_POINT: &str = r#"{"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}"#;
const MULTI_LINE_STRING: &str = r#"{"type": "MultiLineString", "coordinates": [
    [[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]]}"#;
const MULTI_POLYGON: &str = r#"{"type": "MultiPolygon", "coordinates": [
    [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
    [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
     [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]]]]}"#;
const GEOMETRY_COLLECTION: &str = r#"{"type": "GeometryCollection", "geometries": [
    {"type": "Point", "coordinates": [100.0, 0.0]},
    {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]}]}"#;

/// The example with every degree a thousandth as wide, counted from 100° E on the equator.
fn shrunk(example: &str) -> MapRead {
    fn shrink(value: &mut serde_json::Value) {
        match value {
            serde_json::Value::Array(list) => match list.as_mut_slice() {
                [x, y] if x.is_number() => {
                    *x = (100.0 + (x.as_f64().unwrap() - 100.0) / 1000.0).into();
                    *y = (y.as_f64().unwrap() / 1000.0).into();
                }
                list => list.iter_mut().for_each(shrink),
            },
            serde_json::Value::Object(members) => members.values_mut().for_each(shrink),
            _ => {}
        }
    }
    let mut json = serde_json::from_str(example).unwrap();
    shrink(&mut json);
    geojson(&json.to_string()).unwrap()
}

fn only(map: MapRead) -> FileShape {
    let [shape] = map.shapes.try_into().unwrap();
    shape
}

/// A.1: a point is read as it stands, and is the new map's origin.
#[test]
fn a1_point() {
    let map = geojson(r#"{"type": "Point", "coordinates": [100.0, 0.0]}"#).unwrap();
    assert_eq!((map.origin.longitude_deg, map.origin.latitude_deg), (100.0, 0.0));
    assert_eq!(only(map).geometry, Geometry::Point([0.0, 0.0]));
}

/// A.2 to A.7 as printed are too large for a yard, and the refusal says how large.
#[test]
fn as_printed_too_large() {
    for example in
        [LINE_STRING, POLYGON, POLYGON_WITH_HOLE, MULTI_POINT, MULTI_LINE_STRING, MULTI_POLYGON, GEOMETRY_COLLECTION]
    {
        let message = geojson(example).unwrap_err().to_string();
        holds(&message, &["feature 1", "km from the middle of the file", "up to 5 km"]);
    }
}

/// A.2: a line of two places, 156.903 m long.
#[test]
fn a2_line_string() {
    let shape = only(shrunk(LINE_STRING));
    assert!(matches!(&shape.geometry, Geometry::Line(line) if line.len() == 2));
    near(shape.length_m.unwrap(), 156.903_471_927, 1e-6);
}

/// A.3: a ring of four corners, and the same with a hole.
#[test]
fn a3_polygons() {
    let shape = only(shrunk(POLYGON));
    near(shape.area_m2.unwrap(), 12_309.072_079, 1e-6);
    let shape = only(shrunk(POLYGON_WITH_HOLE));
    near(shape.area_m2.unwrap(), 7_877.806_131, 1e-6);
    let Geometry::Ground(pieces) = shape.geometry else { panic!() };
    assert_eq!((pieces[0].ring.len(), pieces[0].holes.len(), pieces[0].holes[0].len()), (4, 1, 4));
}

/// A.4 and A.5: each point and each line becomes a shape, and the note says so.
#[test]
fn a4_multi_point_a5_multi_line_string() {
    let map = shrunk(MULTI_POINT);
    assert!(map.shapes.iter().all(|s| matches!(s.geometry, Geometry::Point(_))) && map.shapes.len() == 2);
    holds(&map.problems.join("\n"), &["feature 1", "taken as 2 shapes"]);
    let map = shrunk(MULTI_LINE_STRING);
    assert!(
        map.shapes.iter().all(|s| matches!(&s.geometry, Geometry::Line(l) if l.len() == 2)) && map.shapes.len() == 2
    );
}

/// A.6: one piece of ground in two parts, the second with a hole.
#[test]
fn a6_multi_polygon() {
    let shape = only(shrunk(MULTI_POLYGON));
    let Geometry::Ground(pieces) = &shape.geometry else { panic!() };
    assert_eq!(pieces.iter().map(|p| p.holes.len()).collect::<Vec<_>>(), [0, 1]);
    near(shape.area_m2.unwrap(), 12_309.072_068 + 7_877.806_131, 1e-6);
}

/// A.7: a point and a line.
#[test]
fn a7_geometry_collection() {
    let map = shrunk(GEOMETRY_COLLECTION);
    assert!(
        matches!(map.shapes[0].geometry, Geometry::Point(_)) && matches!(map.shapes[1].geometry, Geometry::Line(_))
    );
}

/// Section 1.5, the first example (shrunk as above): properties do not disturb, and a name is not invented.
#[test]
fn the_introduction_s_example() {
    let map = shrunk(
        r#"{"type": "FeatureCollection", "features": [
            {"type": "Feature", "geometry": {"type": "Point", "coordinates": [102.0, 0.5]}, "properties": {"prop0": "value0"}},
            {"type": "Feature", "geometry": {"type": "LineString", "coordinates":
                [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]}, "properties": {"prop0": "value0", "prop1": 0.0}},
            {"type": "Feature", "geometry": {"type": "Polygon", "coordinates":
                [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]},
                "properties": {"prop0": "value0", "prop1": {"this": "that"}}}]}"#,
    );
    assert_eq!(map.problems, Vec::<String>::new());
    assert_eq!(map.shapes.len(), 3);
    assert!(map.shapes.iter().all(|s| s.name.is_empty() && s.facts.is_none() && s.key.is_none()));
}

/// Section 3.2: a feature may be unlocated; section 3.1.1: further numbers of a position are passed over; section 3.1.8: nested
/// collections are to be avoided. All are told.
#[test]
fn what_is_left_out_is_told() {
    let map = geojson(
        r#"{"type": "FeatureCollection", "features": [
            {"type": "Feature", "geometry": null, "properties": null},
            {"type": "Feature", "geometry": {"type": "Polygon", "coordinates": []}, "properties": {}},
            {"type": "Feature", "id": 7, "properties": null, "geometry": {"type": "GeometryCollection", "geometries": [
                {"type": "GeometryCollection", "geometries": [{"type": "Point", "coordinates": [8.5, 47.4, 412.5]}]}]}}]}"#,
    )
    .unwrap();
    assert_eq!(map.shapes[0].name, "7");
    holds(
        &map.problems.join("\n"),
        &["2 features without a geometry", "1 geometry collection within", "heights of 1 vertices"],
    );
}

/// GeoJSON of 2008 could name its reference system (RFC 7946, section 4 and appendix B.1): WGS 84 is taken, others are refused.
#[test]
fn reference_systems() {
    let file = |name: &str| {
        format!(
            r#"{{"type": "Point", "coordinates": [8.5, 47.4], "crs": {{"type": "name", "properties": {{"name": "{name}"}}}}}}"#
        )
    };
    for name in ["urn:ogc:def:crs:OGC:1.3:CRS84", "EPSG:4326", "urn:ogc:def:crs:EPSG::4326"] {
        holds(&geojson(&file(name)).unwrap().problems.join("\n"), &[name, "WGS 84"]);
    }
    for name in ["urn:ogc:def:crs:EPSG::3857", "EPSG:2056", "EPSG:14326x"] {
        holds(&geojson(&file(name)).unwrap_err().to_string(), &[name, "CRS84"]);
    }
    let linked = r#"{"type": "Point", "coordinates": [1, 2], "crs": {"type": "link", "properties": {"href": "x"}}}"#;
    assert!(geojson(linked).is_err());
    assert!(geojson(r#"{"type": "Point", "coordinates": [1, 2], "crs": null}"#).unwrap().problems.is_empty());
}

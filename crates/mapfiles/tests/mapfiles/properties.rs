//! No bytes make a reader panic.

use mapfiles::{MapFormat, read, write};
use proptest::prelude::*;
use serde_json::{Value, json};
use yard::Yard;

use crate::{origin, whole_yard};

/// Any JSON, made of the words GeoJSON uses.
fn json_value() -> impl Strategy<Value = Value> {
    let word = prop_oneof![
        Just("type"),
        Just("features"),
        Just("geometry"),
        Just("coordinates"),
        Just("geometries"),
        Just("properties"),
        Just("bows"),
        Just("facts"),
        Just("kind"),
        Just("crs"),
        Just("name"),
    ];
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        (-200.0..200.0f64).prop_map(Value::from),
        prop_oneof![
            Just("FeatureCollection"),
            Just("Feature"),
            Just("Point"),
            Just("LineString"),
            Just("Polygon"),
            Just("MultiPolygon"),
            Just("GeometryCollection"),
            Just("area/1"),
            Just("mapped/1"),
        ]
        .prop_map(Value::from),
        ".{0,8}".prop_map(Value::from),
    ];
    leaf.prop_recursive(6, 64, 6, move |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::vec((word.clone(), inner), 0..6)
                .prop_map(|members| Value::Object(members.into_iter().map(|(k, v)| (k.to_owned(), v)).collect())),
        ]
    })
}

/// Coordinates of every depth, near a place, with vertices that stand twice, cross and are missing.
fn geometry() -> impl Strategy<Value = Value> {
    let position =
        prop::collection::vec((0..6i32).prop_map(|i| 8.5 + f64::from(i) * 1e-4), 1..4).prop_map(|p| json!(p));
    let line = prop::collection::vec(position, 0..9).prop_map(Value::from);
    let rings = prop::collection::vec(line.clone(), 0..3).prop_map(Value::from);
    let polygons = prop::collection::vec(rings.clone(), 0..3).prop_map(Value::from);
    let kind = prop_oneof![
        Just("LineString"),
        Just("Polygon"),
        Just("MultiPolygon"),
        Just("MultiLineString"),
        Just("MultiPoint")
    ];
    (kind, prop_oneof![line, rings, polygons])
        .prop_map(|(kind, coordinates)| json!({"type": kind, "coordinates": coordinates}))
}

/// A part of a KML file: a mark of an element, a vertex, an entity, or any letter.
const PART: &str = "(</?(kml|Document|Placemark|Polygon|Point|LinearRing|coordinates|Data|value|name)/?>)\
    |8.5,47.4 |&[a-z#0-9]{1,4};|<!\\[CDATA\\[|\\]\\]>|.";

proptest! {
    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        for start in [&b""[..], b"<kml>", b"PK\x03\x04"] {
            let bytes = [start, &bytes].concat();
            let _ = read(MapFormat::GeoJson, &bytes, &Yard::default());
            let _ = read(MapFormat::Kml, &bytes, &Yard::default());
        }
    }

    #[test]
    fn any_json(value in json_value(), geometry in geometry()) {
        let yard = Yard::default();
        let _ = read(MapFormat::GeoJson, value.to_string().as_bytes(), &yard);
        let feature = json!({"type": "Feature", "geometry": geometry, "properties": value});
        let _ = read(MapFormat::GeoJson, feature.to_string().as_bytes(), &yard);
        let _ = read(MapFormat::GeoJson, geometry.to_string().as_bytes(), &yard);
    }

    #[test]
    fn any_elements(parts in prop::collection::vec(PART, 0..60)) {
        let _ = read(MapFormat::Kml, format!("<kml>{}", parts.concat()).as_bytes(), &Yard::default());
    }

    /// Toft's own files with bytes changed, taken out and put in.
    #[test]
    fn a_damaged_file(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..3), 1..6)) {
        let yard = whole_yard(origin(45.0, -93.1));
        for format in [MapFormat::GeoJson, MapFormat::Kml] {
            let mut bytes = write(format, &yard).unwrap().into_bytes();
            for (at, byte, how) in &changes {
                let at = at.index(bytes.len());
                match how {
                    0 => bytes[at] = *byte,
                    1 => drop(bytes.remove(at)),
                    _ => bytes.insert(at, *byte),
                }
            }
            let _ = read(format, &bytes, &yard);
            let _ = read(format, &bytes, &Yard::default());
        }
    }
}

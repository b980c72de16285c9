//! GeoJSON out: a FeatureCollection of RFC 7946, one feature a line.

use serde_json::{Value, json};

use crate::drawn::Drawn;
use crate::raw::RawGeometry;

pub(crate) fn text(drawn: &[Drawn]) -> String {
    let features: Vec<String> = drawn.iter().map(|d| feature(d).to_string()).collect();
    format!("{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n", features.join(",\n"))
}

fn feature(drawn: &Drawn) -> Value {
    let mut coordinates: Vec<Value> = drawn
        .geometries
        .iter()
        .map(|geometry| match geometry {
            RawGeometry::Polygon(rings) => json!(rings),
            RawGeometry::Line(line) => json!(line),
            RawGeometry::Point(at) => json!(at),
        })
        .collect();
    let geometry = match drawn.geometries.as_slice() {
        [RawGeometry::Polygon(_)] => json!({"type": "Polygon", "coordinates": coordinates.pop()}),
        [RawGeometry::Line(_)] => json!({"type": "LineString", "coordinates": coordinates.pop()}),
        [RawGeometry::Point(_)] => json!({"type": "Point", "coordinates": coordinates.pop()}),
        [] => Value::Null,
        _ => json!({"type": "MultiPolygon", "coordinates": coordinates}),
    };
    json!({"type": "Feature", "geometry": geometry, "properties": drawn.properties})
}

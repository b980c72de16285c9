//! KML out: placemarks of OGC KML 2.2 in a folder for each kind.

use std::borrow::Cow;

use serde_json::Value;
use yard::Yard;

use crate::drawn::Drawn;
use crate::kml_in::OWN_DATA;
use crate::raw::{LonLat, RawGeometry};

pub(crate) fn text(drawn: &[Drawn], yard: &Yard) -> String {
    let name = yard.facts.as_ref().map_or("Yard", |f| &f.name);
    let mut kml = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    kml.push_str("<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n");
    kml.push_str(&format!("<name>{}</name>\n", escaped(name)));
    let mut folders: Vec<&str> = Vec::new();
    for d in drawn {
        if !folders.contains(&d.folder) {
            folders.push(d.folder);
        }
    }
    for folder in folders {
        kml.push_str(&format!("<Folder>\n<name>{}</name>\n", escaped(folder)));
        drawn.iter().filter(|d| d.folder == folder).for_each(|d| placemark(&mut kml, d));
        kml.push_str("</Folder>\n");
    }
    kml.push_str("</Document>\n</kml>\n");
    kml
}

fn placemark(kml: &mut String, drawn: &Drawn) {
    kml.push_str(&format!("<Placemark><name>{}</name>", escaped(&drawn.name)));
    kml.push_str(&format!("<description>{}</description>", escaped(&drawn.words)));
    let own = Value::Object(drawn.properties.clone()).to_string();
    kml.push_str(&format!(
        "<ExtendedData><Data name=\"{OWN_DATA}\"><value>{}</value></Data></ExtendedData>\n",
        escaped(&own)
    ));
    let is_multi = drawn.geometries.len() > 1;
    kml.push_str(if is_multi { "<MultiGeometry>\n" } else { "" });
    drawn.geometries.iter().for_each(|g| geometry(kml, g));
    kml.push_str(if is_multi { "</MultiGeometry>\n" } else { "" });
    kml.push_str("</Placemark>\n");
}

fn geometry(kml: &mut String, geometry: &RawGeometry) {
    match geometry {
        RawGeometry::Polygon(rings) => {
            kml.push_str("<Polygon>");
            for (i, ring) in rings.iter().enumerate() {
                let boundary = if i == 0 { "outerBoundaryIs" } else { "innerBoundaryIs" };
                kml.push_str(&format!(
                    "<{boundary}><LinearRing><coordinates>{}</coordinates></LinearRing></{boundary}>",
                    tuples(ring)
                ));
            }
            kml.push_str("</Polygon>\n");
        }
        RawGeometry::Line(line) => {
            kml.push_str(&format!("<LineString><coordinates>{}</coordinates></LineString>\n", tuples(line)));
        }
        RawGeometry::Point(at) => {
            kml.push_str(&format!("<Point><coordinates>{}</coordinates></Point>\n", tuples(&[*at])));
        }
    }
}

fn tuples(places: &[LonLat]) -> String {
    let tuples: Vec<String> = places.iter().map(|[longitude, latitude]| format!("{longitude},{latitude}")).collect();
    tuples.join(" ")
}

/// Text as XML 1.0 may hold it: letters it has no place for are left out, line ends are kept as they are.
fn escaped(text: &str) -> String {
    let sound: Cow<'_, str> =
        if text.chars().all(is_xml) { text.into() } else { text.chars().filter(|&c| is_xml(c)).collect() };
    quick_xml::escape::escape(&*sound).replace('\r', "&#13;")
}

/// XML 1.0, production 2.
fn is_xml(c: char) -> bool {
    matches!(c, '\t' | '\n' | '\r' | '\u{20}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..)
}

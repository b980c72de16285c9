//! What is written, judged by the readers of the `geojson` 1.0 and `kml` 0.15 crates and by RFC 7946's rules.

use geojson::{FeatureCollection, GeometryValue, Position};
use kml::types::Geometry as KmlGeometry;
use kml::{Kml, KmlReader};
use mapfiles::{Geometry, MapFormat, read, write};
use reckon::outline::Outline;
use reckon::polygon::polygon_area_geodesic;
use yard::{Body, Yard};

use crate::{area, corner, drawn, folded, near, origin, whole_yard};

const PLACES: [(f64, f64); 4] = [(45.0, -93.1), (-36.85, 174.76), (65.0, 25.5), (-16.8, 179.5)];

fn collection(yard: &Yard) -> FeatureCollection {
    write(MapFormat::GeoJson, yard).unwrap().parse().unwrap()
}

fn polygons(value: &GeometryValue) -> Vec<&Vec<Vec<Position>>> {
    match value {
        GeometryValue::Polygon { coordinates } => vec![coordinates],
        GeometryValue::MultiPolygon { coordinates } => coordinates.iter().collect(),
        _ => vec![],
    }
}

fn shoelace(ring: &[[f64; 2]]) -> f64 {
    ring.windows(2).map(|w| w[0][0] * w[1][1] - w[1][0] * w[0][1]).sum::<f64>() / 2.0
}

fn lonlat(ring: &[Position]) -> Vec<[f64; 2]> {
    ring.iter().map(|p| [p[0], p[1]]).collect()
}

/// RFC 7946, section 3.1.6: rings are closed and have four positions or more, the outer one runs anticlockwise, holes
/// clockwise; section 3.2: every feature has a geometry and properties; section 4: no `crs`. No more than 9 decimals.
#[test]
fn rings_as_the_standard_asks() {
    for (latitude, longitude) in PLACES {
        let collection = collection(&whole_yard(origin(latitude, longitude)));
        assert!(collection.foreign_members.is_none());
        let mut rings = 0;
        for feature in &collection.features {
            assert!(feature.properties.is_some());
            for polygon in polygons(&feature.geometry.as_ref().unwrap().value) {
                for (i, ring) in polygon.iter().enumerate() {
                    let ring = lonlat(ring);
                    assert!(ring.len() >= 4 && ring.first() == ring.last());
                    let middle: Vec<[f64; 2]> = ring.iter().map(|p| [p[0] - longitude, p[1] - latitude]).collect();
                    assert_eq!(shoelace(&middle) > 0.0, i == 0, "ring {i} runs the wrong way");
                    rings += 1;
                }
            }
        }
        assert_eq!(rings, 5);
        let text = write(MapFormat::GeoJson, &whole_yard(origin(latitude, longitude))).unwrap();
        let coordinates = text.split("\"coordinates\":").skip(1).filter_map(|rest| rest.split('"').next());
        let numbers = coordinates.flat_map(|c| c.split(|c: char| !c.is_ascii_digit() && c != '.'));
        assert!(numbers.filter_map(|n| n.split_once('.')).all(|(_, decimals)| decimals.len() <= 9));
    }
}

/// The geodesic area of the written degrees (Karney's algorithm, `geographiclib`) is that of the shape read back, within a part
/// in a million: straight-sided ground up to 4 km from the origin.
#[test]
fn area_against_the_geodesic() {
    for (latitude, longitude) in PLACES {
        for (x, y) in [(0.0, 0.0), (900.0, -400.0), (3_900.0, 200.0), (-200.0, 4_000.0)] {
            let ring =
                [(0.0, 0.0), (31.0, -2.0), (36.0, 24.0), (14.0, 30.0), (-3.0, 18.0)].map(|(u, v)| corner(x + u, y + v));
            let hole = [(10.0, 8.0), (18.0, 9.0), (12.0, 16.0)].map(|(u, v)| corner(x + u, y + v));
            let outline = Outline { ring: ring.to_vec(), holes: vec![hole.to_vec()] };
            let yard = folded([origin(latitude, longitude), Body::Area(area("a", "A")), drawn("a", vec![outline])]);
            let collection = collection(&yard);
            let value = &collection.features[0].geometry.as_ref().unwrap().value;
            let rings: Vec<Vec<[f64; 2]>> = polygons(value)[0].iter().map(|ring| lonlat(&ring[1..])).collect();
            let geodesic = polygon_area_geodesic(&rings[0], &rings[1..]).unwrap().area.get();
            let map = read(MapFormat::GeoJson, write(MapFormat::GeoJson, &yard).unwrap().as_bytes(), &yard).unwrap();
            near(map.shapes[0].area_m2.unwrap(), geodesic, 1e-6);
        }
    }
}

/// Without its marks a file is what every other program sees: chords that hold the arcs' area, rounded to 0.1 mm. The areas as
/// shapely 2.2.0 finds them on the plane of pyproj 3.7.2 (PROJ 9.5.1, `+proj=tmerc` at the origin) in the file written here;
/// it also calls every polygon valid and every outer ring anticlockwise.
#[test]
fn chords_hold_the_area() {
    let yard = whole_yard(origin(-36.85, 174.76));
    let mut collection = collection(&yard);
    for feature in &mut collection.features {
        feature.remove_property("bows");
    }
    let map = read(MapFormat::GeoJson, collection.to_string().as_bytes(), &yard).unwrap();
    for (shape, area_m2) in map.shapes.iter().zip([291.555_203, 12.566_397, 87.778_733]) {
        near(shape.area_m2.unwrap(), area_m2, 1e-5);
        let Geometry::Ground(pieces) = &shape.geometry else { panic!() };
        assert!(pieces[0].ring.len() > 20 && pieces[0].ring.iter().all(|c| c.bow.get() == 0.0));
    }
    for (shape, area) in map.shapes.iter().zip(&yard.areas).take(2) {
        near(shape.area_m2.unwrap(), area.size_m2, 1e-5);
    }
}

/// Another reader of KML finds the same places as another reader of GeoJSON, in folders, under the same names.
#[test]
fn both_formats_agree() {
    let yard = whole_yard(origin(45.0, -93.1));
    let collection = collection(&yard);
    let text = write(MapFormat::Kml, &yard).unwrap();
    let mut placemarks = Vec::new();
    gather(&KmlReader::<_, f64>::from_string(&text).read().unwrap(), &mut placemarks);
    assert_eq!(placemarks.len(), collection.features.len());
    for (placemark, feature) in placemarks.iter().zip(&collection.features) {
        assert_eq!(placemark.name.as_deref(), feature.property("name").and_then(|n| n.as_str()));
        let value = &feature.geometry.as_ref().unwrap().value;
        assert_eq!(places_kml(placemark.geometry.as_ref().unwrap()), places(value));
    }
}

fn gather(kml: &Kml, into: &mut Vec<kml::types::Placemark>) {
    match kml {
        Kml::KmlDocument(document) => document.elements.iter().for_each(|kml| gather(kml, into)),
        Kml::Document { elements, .. } => elements.iter().for_each(|kml| gather(kml, into)),
        Kml::Folder(folder) => folder.elements.iter().for_each(|kml| gather(kml, into)),
        Kml::Placemark(placemark) => into.push(placemark.clone()),
        _ => {}
    }
}

fn places(value: &GeometryValue) -> Vec<[f64; 2]> {
    match value {
        GeometryValue::Point { coordinates } => lonlat(std::slice::from_ref(coordinates)),
        GeometryValue::LineString { coordinates } => lonlat(coordinates),
        other => polygons(other).into_iter().flatten().flat_map(|ring| lonlat(ring)).collect(),
    }
}

fn places_kml(geometry: &KmlGeometry) -> Vec<[f64; 2]> {
    match geometry {
        KmlGeometry::Point(point) => vec![[point.coord.x, point.coord.y]],
        KmlGeometry::LineString(line) => line.coords.iter().map(|c| [c.x, c.y]).collect(),
        KmlGeometry::Polygon(polygon) => {
            let rings = std::iter::once(&polygon.outer).chain(&polygon.inner);
            rings.flat_map(|ring| ring.coords.iter().map(|c| [c.x, c.y])).collect()
        }
        KmlGeometry::MultiGeometry(multi) => multi.geometries.iter().flat_map(places_kml).collect(),
        other => panic!("{other:?} was not written"),
    }
}

/// Names with marks of XML, line ends and letters XML has no place for: the file stays well-formed, the name comes back.
#[test]
fn names_of_every_kind() {
    for name in ["<b>&amp;\"'", "a\u{0}b\u{1b}[1mc", "line\r\nend", "\u{fffe}\u{ffff}", "]]>", "東屋", " two  blanks "]
    {
        let ground = Outline::new(crate::circle(0.0, 0.0, 3.0));
        let yard = folded([origin(45.0, -93.1), Body::Area(area("a", name)), drawn("a", vec![ground])]);
        for format in [MapFormat::GeoJson, MapFormat::Kml] {
            let text = write(format, &yard).unwrap();
            let map = read(format, text.as_bytes(), &yard).unwrap();
            assert!(map.shapes[0].facts.is_some(), "{:?}", map.problems);
            let Some(mapfiles::Facts::Area(facts)) = &map.shapes[0].facts else { panic!() };
            let kept: String = name.chars().filter(|c| !matches!(c, '\u{fffe}' | '\u{ffff}')).collect();
            assert!(facts.name == name || facts.name == kept, "{:?} is not {name:?}", facts.name);
        }
    }
}

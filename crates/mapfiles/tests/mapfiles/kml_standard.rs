//! The examples of OGC KML 2.2.0 (OGC 07-147r2, 2008); sizes are those of pyproj 3.7.2 (PROJ 9.5.1, `Geod` on WGS 84).

use mapfiles::{Geometry, MapFormat, read};
use std::io::Write;
use yard::Yard;

use crate::{holds, kml, near, placemarks};

/// 10.8.4: a polygon with a hole, its heights told and left out.
#[test]
fn polygon() {
    let map = kml(r#"<?xml version="1.0" encoding="UTF-8"?>
        <kml xmlns="http://www.opengis.net/kml/2.2">
        <Document>
          <name>Polygon.kml</name>
          <open>0</open>
          <Placemark>
            <name>hollow box</name>
            <Polygon>
              <extrude>1</extrude>
              <altitudeMode>relativeToGround</altitudeMode>
              <outerBoundaryIs>
                <LinearRing>
                  <coordinates>
                    -122.366278,37.818844,30
                    -122.365248,37.819267,30
                    -122.365640,37.819861,30
                    -122.366669,37.819429,30
                    -122.366278,37.818844,30
                  </coordinates>
                </LinearRing>
              </outerBoundaryIs>
              <innerBoundaryIs>
                <LinearRing>
                  <coordinates>
                    -122.366212,37.818977,30
                    -122.365424,37.819294,30
                    -122.365704,37.819731,30
                    -122.366488,37.819402,30
                    -122.366212,37.818977,30
                  </coordinates>
                </LinearRing>
              </innerBoundaryIs>
            </Polygon>
          </Placemark>
        </Document>
        </kml>"#)
    .unwrap();
    let [shape] = &map.shapes[..] else { panic!("{map:?}") };
    assert_eq!(shape.name, "hollow box");
    near(shape.area_m2.unwrap(), 3_378.374_341_1, 1e-6);
    let Geometry::Ground(pieces) = &shape.geometry else { panic!() };
    assert_eq!((pieces[0].ring.len(), pieces[0].holes[0].len()), (4, 4));
    holds(&map.problems.join("\n"), &["heights of 10 vertices"]);
}

/// 10.5.4: a ring.
#[test]
fn linear_ring() {
    let map = kml(r#"<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>LinearRing.kml</name><Polygon>
        <outerBoundaryIs><LinearRing><coordinates>
            -122.365662,37.826988,0 -122.365202,37.826302,0 -122.364581,37.82655,0 -122.365038,37.827237,0
            -122.365662,37.826988,0
        </coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"#)
    .unwrap();
    near(map.shapes[0].area_m2.unwrap(), 5_289.256_538_0, 1e-6);
    assert!(map.problems.is_empty());
}

/// 10.7.4: two lines, the view beside them passed over.
#[test]
fn line_string() {
    let map = kml(r#"<kml xmlns="http://www.opengis.net/kml/2.2"><Document><name>LineString.kml</name><open>1</open>
        <LookAt><longitude>-122.36415</longitude><latitude>37.824553</latitude><altitude>0</altitude><range>150</range>
        <tilt>50</tilt><heading>0</heading></LookAt>
        <Placemark><name>unextruded</name><LineString><extrude>0</extrude><tessellate>1</tessellate>
        <coordinates>-122.364383,37.824664,0 -122.364152,37.824322,0</coordinates></LineString></Placemark>
        <Placemark><name>extruded</name><LineString><extrude>1</extrude><tessellate>1</tessellate>
        <altitudeMode>relativeToGround</altitudeMode>
        <coordinates>-122.364167,37.824787,50 -122.363917,37.824423,50</coordinates></LineString></Placemark>
        </Document></kml>"#)
    .unwrap();
    let names: Vec<&str> = map.shapes.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["unextruded", "extruded"]);
    near(map.shapes[0].length_m.unwrap(), 43.064_510_05, 1e-6);
}

/// What is no place, or none Toft draws, is counted and left out; an element left empty does not end its placemark.
#[test]
fn what_is_left_out_is_told() {
    let map = kml(&placemarks(
        r#"<Style id="s"><PolyStyle><color>7fff0000</color></PolyStyle></Style>
        <GroundOverlay><name>Plan</name><Icon><href>plan.png</href></Icon></GroundOverlay>
        <Folder><name>Ideas</name><Placemark><name>Only words</name></Placemark></Folder>
        <Placemark><Snippet/><styleUrl>#s</styleUrl><name>Pond &amp; <![CDATA[<brook>]]></name><!-- -->
          <MultiGeometry><Point><extrude/><coordinates>8.5,47.4</coordinates></Point>
          <LineString><coordinates>8.5,47.4 8.501,47.4</coordinates></LineString></MultiGeometry></Placemark>"#,
    ))
    .unwrap();
    let names: Vec<&str> = map.shapes.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["Pond & <brook>", "Pond & <brook> 2"]);
    holds(
        &map.problems.join("\n"),
        &["1 × <GroundOverlay>", "1 × <Style>", "1 placemark without", "feature 2 “Pond & <brook>”", "2 shapes"],
    );
}

/// Annex C: KMZ is a zip archive around a KML file; deflated and stored, whatever lies beside it.
#[test]
fn kmz() {
    let text = placemarks("<Placemark><name>Gate</name><Point><coordinates>8.5,47.4</coordinates></Point></Placemark>");
    for method in [zip::CompressionMethod::Deflated, zip::CompressionMethod::Stored] {
        let bytes = zipped(&[("files/plan.png", b"no picture"), ("doc.kml", text.as_bytes())], method);
        let map = read(MapFormat::Kml, &bytes, &Yard::default()).unwrap();
        assert_eq!(map.shapes[0].name, "Gate");
    }
}

pub(crate) fn zipped(files: &[(&str, &[u8])], method: zip::CompressionMethod) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in files {
        let options = zip::write::SimpleFileOptions::default().compression_method(method);
        archive.start_file(*name, options).unwrap();
        archive.write_all(bytes).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

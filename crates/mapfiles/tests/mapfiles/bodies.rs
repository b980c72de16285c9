//! What the person chose becomes entries that the yard takes.

use almanac::Almanac;
use jiff::civil::date;
use mapfiles::{Choice, MapFormat, MapRead, read, usual_choice, write};
use yard::entry::Cover;
use yard::map::{Buried, Origin, Thing};
use yard::{Body, Stamp, Yard};

use crate::{area, circle, corner, drawn, folded, geojson, holds, mapped, origin, whole_yard};
use reckon::outline::Outline;

/// Three pieces of ground, a line and a point, 100 m about.
const FILE: &str = r#"{"type": "FeatureCollection", "features": [
    {"type": "Feature", "properties": {"name": "Rose Bed"}, "geometry": {"type": "Polygon", "coordinates":
        [[[8.5, 47.4], [8.5001, 47.4], [8.5001, 47.4001], [8.5, 47.4001], [8.5, 47.4]]]}},
    {"type": "Feature", "properties": {"name": "Rose Bed"}, "geometry": {"type": "Polygon", "coordinates":
        [[[8.5002, 47.4], [8.5003, 47.4], [8.5003, 47.4001], [8.5002, 47.4]]]}},
    {"type": "Feature", "properties": {"name": "東屋"}, "geometry": {"type": "MultiPolygon", "coordinates": [
        [[[8.5004, 47.4], [8.5005, 47.4], [8.5005, 47.4001], [8.5004, 47.4]]],
        [[[8.5006, 47.4], [8.5007, 47.4], [8.5007, 47.4001], [8.5006, 47.4]]]]}},
    {"type": "Feature", "properties": {"name": "Cable"}, "geometry": {"type": "LineString", "coordinates":
        [[8.5, 47.4], [8.5001, 47.4003]]}},
    {"type": "Feature", "properties": {}, "geometry": {"type": "Point", "coordinates": [8.5, 47.4002]}}]}"#;

/// Every body passes the checks of an entry, in the order given.
fn recorded(bodies: Vec<Body>) -> Yard {
    let mut number = 0;
    let stamp = || {
        number += 1;
        Stamp { id: format!("{number:05}"), recorded_at: jiff::Timestamp::UNIX_EPOCH, today: date(2026, 5, 1) }
    };
    let entries = yard::prepare_bodies(&[], Almanac::embedded(), bodies, date(2026, 5, 1), stamp).unwrap();
    yard::fold(&entries, date(2026, 5, 1))
}

fn keys(yard: &Yard) -> Vec<&str> {
    yard.areas.iter().map(|a| a.key.as_str()).chain(yard.things.iter().map(|t| t.key.as_str())).collect()
}

fn new_area(name: &str) -> Choice {
    Choice::NewArea { name: name.to_owned(), cover: Cover::Bed, grass: None, soil: "loam".to_owned() }
}

/// New areas and things: the origin first, each area before its outline, every key its own, also for a name without Latin
/// letters; a building in two parts becomes two.
#[test]
fn new_ones() {
    let map = geojson(FILE).unwrap();
    let choices = [
        new_area("Rose Bed"),
        new_area("Rose Bed"),
        Choice::Thing(Thing::Building { height_m: 3.0 }),
        Choice::Thing(Thing::BuriedLine { of: Buried::Power }),
        Choice::Thing(Thing::Tree { height_m: 6.0, crown_m: 2.0, base_m: 0.0, evergreen: false }),
    ];
    let bodies = map.bodies(&Yard::default(), |i, _| choices[i].clone()).unwrap();
    let kinds: Vec<&str> = bodies.iter().map(Body::kind).collect();
    assert_eq!(kinds, ["origin", "area", "outline", "area", "outline", "mapped", "mapped", "mapped", "mapped"]);
    let yard = recorded(bodies);
    assert_eq!(keys(&yard), ["rose-bed", "rose-bed-2", "building-1", "2", "cable", "tree"]);
    assert_eq!(yard.origin, Some(Origin { latitude_deg: 47.40015, longitude_deg: 8.50035 }));
    assert!((yard.area("rose-bed").unwrap().size_m2 - map.shapes[0].area_m2.unwrap()).abs() < 1e-9);
}

/// The usual choice: the ground of the area of that name, else nothing; two shapes of one name are its two pieces.
#[test]
fn an_area_of_the_same_name() {
    let yard = folded([origin(47.4, 8.5), Body::Area(area("roses", "rose bed"))]);
    let map = read(MapFormat::GeoJson, FILE.as_bytes(), &yard).unwrap();
    let bodies = map.bodies(&yard, |_, shape| usual_choice(&yard, shape)).unwrap();
    let told: Vec<(&str, Vec<&str>)> = bodies.iter().map(|b| (b.kind(), b.areas())).collect();
    assert_eq!(told, [("outline", vec!["roses"])]);
    assert!(matches!(&bodies[0], Body::Outline(outline) if outline.pieces.len() == 2));
    assert!(map.bodies(&yard, |_, _| Choice::LeaveOut).unwrap().is_empty());
}

/// A choice the shape cannot become is refused with both named, and nothing is taken.
#[test]
fn a_choice_that_does_not_fit() {
    let map = geojson(FILE).unwrap();
    let refused = |i: usize, choice: Choice| {
        let choose = |at: usize, _: &_| if at == i { choice.clone() } else { Choice::LeaveOut };
        map.bodies(&Yard::default(), choose).unwrap_err().to_string()
    };
    holds(&refused(3, new_area("Cable")), &["shape 4 “Cable” is a line", "a new area", "a piece of ground"]);
    holds(&refused(0, Choice::Thing(Thing::Well)), &["shape 1 “Rose Bed”", "a well", "Allowed: a point"]);
    holds(&refused(4, Choice::Outline("roses".to_owned())), &["shape 5", "is a point"]);
    holds(&refused(0, Choice::AsFile), &["what the file tells", "that Toft wrote"]);
}

/// A file of Toft's own over the same yard: areas that are known as they are get their outline alone.
#[test]
fn as_the_file_tells() {
    let yard = whole_yard(origin(45.0, -93.1));
    let map = read(MapFormat::Kml, write(MapFormat::Kml, &yard).unwrap().as_bytes(), &yard).unwrap();
    let bodies = map.bodies(&yard, |_, shape| usual_choice(&yard, shape)).unwrap();
    let kinds: Vec<&str> = bodies.iter().map(Body::kind).collect();
    assert_eq!(kinds, ["outline", "outline", "mapped", "mapped", "mapped", "mapped"]);
}

fn changed(yard: &Yard, change: impl Fn(&mut serde_json::Value)) -> MapRead {
    let mut file = serde_json::from_str(&write(MapFormat::GeoJson, yard).unwrap()).unwrap();
    change(&mut file);
    read(MapFormat::GeoJson, file.to_string().as_bytes(), yard).unwrap()
}

/// A file's words neither give an area up nor take a thing away, a key of a feature given twice is used once, and a name
/// another program changed is the name.
#[test]
fn what_a_file_may_not_do() {
    let told = [
        origin(45.0, -93.1),
        Body::Area(area("bed", "Bed")),
        drawn("bed", vec![Outline::new(circle(0.0, 0.0, 2.0))]),
        mapped("well", "Well", Thing::Well, vec![corner(9.0, 0.0)]),
    ];
    let yard = folded(told.clone());
    let map = changed(&yard, |file| {
        let features = file["features"].as_array_mut().unwrap();
        features[0]["properties"]["facts"]["retired"] = true.into();
        features[1]["properties"]["facts"]["removed"] = true.into();
        features[1]["properties"]["name"] = "Old well".into();
        let twice = features[1].clone();
        features.push(twice);
    });
    let after = folded(told.into_iter().chain(map.bodies(&yard, |_, _| Choice::AsFile).unwrap()));
    assert_eq!(keys(&after), ["bed", "well", "well-2"]);
    assert_eq!(after.things[0].name, "Old well");
}

/// Facts that cannot be taken are told and left out; the shape itself stays: a kind Toft does not know, a place of another
/// form, a zone the yard does not have.
#[test]
fn facts_that_cannot_be_taken() {
    let yard = whole_yard(origin(45.0, -93.1));
    let map = changed(&yard, |file| {
        let features = file["features"].as_array_mut().unwrap();
        features[0]["properties"]["facts"]["kind"] = "area/99".into();
        features[1]["properties"]["facts"] = serde_json::json!({"kind": "note/1", "text": "?"});
        features[2]["geometry"] = features[3]["geometry"].clone();
        features[4]["properties"]["facts"]["thing"]["zone"] = "z9".into();
    });
    let has: Vec<bool> = map.shapes.iter().map(|s| s.facts.is_some()).collect();
    assert_eq!(has, [false, false, false, true, true, true]);
    holds(
        &map.problems.join("\n"),
        &[
            "feature 1 “Front",
            "area/99",
            "feature 2 “Rose bed”",
            "kind note",
            "feature 3 “House”",
            "a point",
            "zone z9",
        ],
    );
}

//! Arcs come back only where a file's vertices still lie on them.

use mapfiles::{Geometry, MapFormat, read, write};
use serde_json::Value;
use yard::{Body, Yard};

use crate::{area, circle, corner, drawn, folded, origin};
use reckon::outline::Outline;

/// A square with one side bowed by a metre.
fn yard() -> Yard {
    let ring = vec![corner(0.0, 0.0), corner(6.0, 0.0).bowed(1.0), corner(6.0, 6.0), corner(0.0, 6.0)];
    folded([origin(45.0, -93.1), Body::Area(area("bed", "Bed")), drawn("bed", vec![Outline::new(ring)])])
}

/// The file after a change of its one feature, read back: how many corners the ring has.
fn corners(yard: &Yard, change: impl Fn(&mut Value)) -> usize {
    let mut file: Value = serde_json::from_str(&write(MapFormat::GeoJson, yard).unwrap()).unwrap();
    change(&mut file["features"][0]);
    let map = read(MapFormat::GeoJson, file.to_string().as_bytes(), yard).unwrap();
    let Geometry::Ground(pieces) = &map.shapes[0].geometry else { panic!() };
    pieces[0].ring.len()
}

fn ring(feature: &mut Value) -> &mut Vec<Value> {
    feature["geometry"]["coordinates"][0].as_array_mut().unwrap()
}

/// Degrees of latitude in a metre at 45°, near enough.
const METRE_DEG: f64 = 1.0 / 111_132.0;

/// A vertex moved by 1 mm still lies on the arc; moved by 2 cm it does not, and the chords stay, every one.
#[test]
fn a_vertex_off_the_arc_keeps_the_chords() {
    let yard = yard();
    let shifted = |metres: f64| {
        corners(&yard, |feature| {
            let place = &mut ring(feature)[8][1];
            *place = (place.as_f64().unwrap() + metres * METRE_DEG).into();
        })
    };
    let chords = corners(&yard, |feature| feature["properties"]["bows"] = Value::Null);
    assert!(chords > 20, "{chords}");
    assert_eq!((corners(&yard, |_| ()), shifted(0.001), shifted(0.02)), (4, 4, chords));
}

/// Vertices taken out or a ring run the other way round: the marks fit no longer, and nothing is bent.
#[test]
fn marks_that_fit_no_longer_are_passed_over() {
    let yard = yard();
    let chords = corners(&yard, |feature| feature["properties"]["bows"] = Value::Null);
    assert_eq!(corners(&yard, |feature| drop(ring(feature).remove(8))), chords - 1);
    assert_eq!(corners(&yard, |feature| ring(feature).reverse()), chords);
}

/// Marks that are no marks are passed over: whatever a person or a program left there.
#[test]
fn marks_that_are_none() {
    let yard = yard();
    let chords = corners(&yard, |feature| feature["properties"]["bows"] = Value::Null);
    let marks = [
        "[]",
        "7",
        "{}",
        "[[]]",
        "[[0, 0, 1, 9]]",
        "[[0, 0, 9, 1, 1.0]]",
        "[[0, 0, 1, 99999, 1.0]]",
        "[[0, 0, -1, 2, 1.0]]",
        "[[0, 0, 1, 1, 1.0]]",
        "[[0, 0, 1, 2, 1.0]]",
        "[[0, 0, 1, 9, 1e300]]",
        "[[0, 0, 1, 9, 0]]",
        "[[0, 0, 1, 9, null]]",
        "[[9, 9, 1, 9, 1.0]]",
        "[[0, 0, 0, 1, 3], [0, 0, 0, 2, 1]]",
        "[[0, 0, 18446744073709551615, 18446744073709551615, 1]]",
    ];
    for mark in marks {
        let mark: Value = serde_json::from_str(mark).unwrap();
        assert_eq!(corners(&yard, |feature| feature["properties"]["bows"] = mark.clone()), chords, "{mark}");
    }
}

/// A half circle whose ends were rounded is not refused as more than half a circle: circles of every size come back as such.
#[test]
fn circles() {
    for i in 0..200 {
        let radius = 0.3 + 0.137 * f64::from(i);
        let ring = circle(3.0 * f64::from(i % 7), 0.1 * f64::from(i), radius);
        let yard = folded([origin(60.0, 24.9), Body::Area(area("bed", "Bed")), drawn("bed", vec![Outline::new(ring)])]);
        assert_eq!(corners(&yard, |_| ()), 2, "radius {radius} m");
    }
}

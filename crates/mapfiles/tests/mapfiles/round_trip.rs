//! What is written is read back.

use mapfiles::{Choice, Facts, MapFormat, read, usual_choice, write};
use proptest::prelude::*;
use reckon::outline::{Corner, Outline};
use yard::entry::AreaFacts;
use yard::map::{PipeRole, Thing};
use yard::{Body, Yard};

use crate::{area, corner, drawn, folded, mapped, origin, same_map, whole_yard};

const FORMATS: [MapFormat; 2] = [MapFormat::GeoJson, MapFormat::Kml];

/// No corner moves by a millimetre, arcs come back as arcs, and the facts are the yard's own: at home, in the south, on the
/// 180th meridian, far north.
#[test]
fn a_whole_yard() {
    for (latitude, longitude) in
        [(45.0, -93.1), (-36.85, 174.76), (-16.8, 180.0), (-16.8, -179.99999), (83.9, 10.0), (0.0, 0.0)]
    {
        let yard = whole_yard(origin(latitude, longitude));
        for format in FORMATS {
            let text = write(format, &yard).unwrap();
            let map = read(format, text.as_bytes(), &yard).unwrap();
            assert_eq!(map.problems, Vec::<String>::new());
            assert!(!map.origin_is_new);
            same_map(&map, &yard);
            for (shape, area) in map.shapes.iter().zip(&yard.areas).take(2) {
                assert_eq!(shape.facts, Some(Facts::Area(area.clone())));
                assert_eq!((shape.key.as_ref(), shape.measured.as_str()), (Some(&area.key), "by tape"));
                assert!((shape.area_m2.unwrap() - area.size_m2).abs() < 0.01, "{shape:?} is not {} m²", area.size_m2);
            }
            for (shape, thing) in map.shapes[2..].iter().zip(&yard.things) {
                let Some(Facts::Thing(facts)) = &shape.facts else { panic!("{shape:?} has no facts") };
                assert_eq!((&facts.thing, &facts.key, &facts.name), (&thing.thing, &thing.key, &thing.name));
            }
        }
    }
}

/// A file read into an empty yard makes the same yard at a new origin, also across the 180th meridian: the areas keep their size
/// and their facts, and that yard is written and read back in its turn.
#[test]
fn into_an_empty_yard() {
    for (latitude, longitude) in [(45.0, -93.1), (-16.8, 180.0), (-16.8, -179.99999)] {
        let yard = whole_yard(origin(latitude, longitude));
        for format in FORMATS {
            let empty = Yard::default();
            let map = read(format, write(format, &yard).unwrap().as_bytes(), &empty).unwrap();
            assert!(map.origin_is_new);
            assert!((map.origin.latitude_deg - latitude).abs() < 1e-3);
            let turn = (map.origin.longitude_deg - longitude).abs();
            assert!(turn.min(360.0 - turn) < 1e-3, "{:?}", map.origin);
            let bodies = map.bodies(&empty, |_, shape| usual_choice(&empty, shape)).unwrap();
            assert_eq!(bodies[0], Body::Origin(map.origin));
            let again = folded(bodies);
            assert_eq!(again.areas.len(), 2);
            for (got, want) in again.areas.iter().zip(&yard.areas) {
                assert!((got.size_m2 - want.size_m2).abs() < 0.01);
                assert_eq!(AreaFacts { size_m2: want.size_m2, ..got.clone() }, *want);
            }
            assert_eq!(again.things.len(), yard.things.len());
            let back = read(format, write(format, &again).unwrap().as_bytes(), &again).unwrap();
            same_map(&back, &again);
        }
    }
}

/// A yard without an origin lies at its place.
#[test]
fn at_the_yard_s_place() {
    let facts = serde_json::json!({
        "name": "Home", "units": "metric",
        "place": {"latitude_deg": 47.5, "longitude_deg": 8.5, "elevation_m": 400.0}
    });
    let yard = folded([
        Body::Yard(serde_json::from_value(facts).unwrap()),
        mapped("well", "Well", Thing::Well, vec![corner(0.0, 0.0)]),
    ]);
    let text = write(MapFormat::GeoJson, &yard).unwrap();
    assert!(text.contains("[8.5,47.5]"), "{text}");
    let map = read(MapFormat::GeoJson, text.as_bytes(), &yard).unwrap();
    assert_eq!((map.origin.latitude_deg, map.origin.longitude_deg, map.origin_is_new), (47.5, 8.5, true));
    let bodies = map.bodies(&yard, |_, _| Choice::AsFile).unwrap();
    assert!(matches!(bodies[..], [Body::Origin(_), Body::Mapped(_)]));
}

/// A ring round a middle: its corners in order of their bearing, sides bowed a little either way.
fn ring(x: f64, y: f64) -> impl Strategy<Value = Vec<Corner>> {
    prop::collection::vec((4.0..9.0f64, -0.12..0.12f64, any::<bool>()), 3..9).prop_map(move |spokes| {
        let n = spokes.len();
        let at = |i: usize| {
            let (sin, cos) = (std::f64::consts::TAU * (i % n) as f64 / n as f64).sin_cos();
            [x + spokes[i % n].0 * cos, y + spokes[i % n].0 * sin]
        };
        (0..n)
            .map(|i| {
                let ([a, b], [c, d]) = (at(i), at(i + 1));
                let bow = if spokes[i].2 { spokes[i].1 * (c - a).hypot(d - b) } else { 0.0 };
                corner(a, b).bowed(bow)
            })
            .collect()
    })
}

fn outline(x: f64, y: f64) -> impl Strategy<Value = Outline> {
    (ring(x, y), any::<bool>(), any::<bool>(), 0.2..0.9f64)
        .prop_map(move |(mut ring, turned, holed, radius)| {
            if turned {
                ring.reverse();
                let bows: Vec<f64> = ring.iter().map(|c| c.bow.get()).collect();
                let n = ring.len();
                ring.iter_mut().enumerate().for_each(|(i, c)| *c = c.bowed(-bows[(i + 1) % n]));
            }
            let holes = if holed { vec![crate::circle(x, y, radius)] } else { vec![] };
            Outline { ring, holes }
        })
        .prop_filter("an outline", |outline| outline.size().is_ok())
}

fn yard() -> impl Strategy<Value = Yard> {
    let place = (-83.0..83.0f64, prop_oneof![-180.0..180.0f64, 179.9999..180.0f64, -180.0..-179.9999f64]);
    let far = (-1500.0..1500.0f64, -1500.0..1500.0f64);
    (place, far).prop_flat_map(|((latitude, longitude), (x, y))| {
        let line = prop::collection::vec((-40.0..40.0f64, -40.0..40.0f64, -0.4..0.4f64), 2..6);
        (outline(x, y), outline(x + 30.0, y), outline(x, y + 30.0), line).prop_map(move |(a, b, c, line)| {
            let n = line.len();
            let line = (0..n).map(|i| {
                let (u, v, share) = line[i];
                let (s, t, _) = line[(i + 1) % n];
                let bow = if i + 1 < n { share * (s - u).hypot(t - v) } else { 0.0 };
                corner(x + u, y + v).bowed(bow)
            });
            folded([
                origin(latitude, longitude),
                Body::Area(area("pieces", "Pieces")),
                drawn("pieces", vec![a, b]),
                mapped("shed", "Shed", Thing::Building { height_m: 3.0 }, c.ring),
                mapped(
                    "pipe",
                    "Pipe",
                    Thing::Pipe { role: PipeRole::Lateral, zone: None, bore_mm: None },
                    line.collect(),
                ),
                mapped("level", "Level", Thing::Level { height_m: -0.25 }, vec![corner(x - 20.0, y)]),
            ])
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Any yard, anywhere: every corner and every bow comes back within a millimetre, through either format.
    #[test]
    fn any_yard(yard in yard()) {
        for format in FORMATS {
            let text = write(format, &yard).unwrap();
            let map = read(format, text.as_bytes(), &yard).unwrap();
            prop_assert_eq!(&map.problems, &Vec::<String>::new());
            same_map(&map, &yard);
        }
    }
}

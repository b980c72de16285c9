//! The map files from outside: what is written, what is read, what is refused.

mod arcs;
mod bodies;
mod kml_standard;
mod properties;
mod refused;
mod rfc7946;
mod round_trip;
mod written;

use jiff::civil::date;
use mapfiles::{Geometry, MapFileError, MapFormat, MapRead, read};
use reckon::outline::{Corner, Outline};
use yard::entry::{AreaFacts, Cover};
use yard::map::{HeadFacts, Mapped, Origin, OutlineFacts, PipeRole, Thing};
use yard::{Body, Entry, Yard};

/// The yard that bodies make when they are recorded one after the other.
fn folded(bodies: impl IntoIterator<Item = Body>) -> Yard {
    let day = date(2026, 5, 1);
    let entry = |(i, body)| Entry {
        id: format!("{i:05}"),
        happened_on: day,
        recorded_at: jiff::Timestamp::UNIX_EPOCH,
        supersedes: None,
        body,
    };
    let entries: Vec<Entry> = bodies.into_iter().enumerate().map(entry).collect();
    yard::fold(&entries, day)
}

fn origin(latitude_deg: f64, longitude_deg: f64) -> Body {
    Body::Origin(Origin { latitude_deg, longitude_deg })
}

fn area(key: &str, name: &str) -> AreaFacts {
    let facts = serde_json::json!({"key": key, "name": name, "size_m2": 1.0, "cover": "bed", "soil": "loam"});
    serde_json::from_value(facts).unwrap()
}

fn lawn(key: &str, name: &str) -> AreaFacts {
    AreaFacts {
        cover: Cover::Turf,
        grass: Some("kentucky-bluegrass".to_owned()),
        slope_pct: 3.5,
        mow_mm: Some(76.2),
        ..area(key, name)
    }
}

fn drawn(area: &str, pieces: Vec<Outline>) -> Body {
    Body::Outline(OutlineFacts { area: area.to_owned(), pieces, measured: "by tape".to_owned() })
}

fn mapped(key: &str, name: &str, thing: Thing, at: Vec<Corner>) -> Body {
    Body::Mapped(Mapped { key: key.to_owned(), name: name.to_owned(), thing, at, removed: false })
}

fn corner(x: f64, y: f64) -> Corner {
    Corner::new(x, y)
}

/// A circle as two half circles.
fn circle(x: f64, y: f64, radius: f64) -> Vec<Corner> {
    vec![corner(x - radius, y).bowed(radius), corner(x + radius, y).bowed(radius)]
}

/// A yard with curves, a hole, pieces, and a thing of each form.
fn whole_yard(at: Body) -> Yard {
    let front = Outline {
        ring: vec![corner(0.0, 0.0), corner(20.0, 0.0).bowed(2.5), corner(20.0, 12.0), corner(0.0, 12.0).bowed(-1.0)],
        holes: vec![circle(10.0, 6.0, 1.5)],
    };
    // Drawn the other way round, so that the writer has to turn it.
    let side =
        Outline::new(vec![corner(-10.0, 0.0), corner(-10.0, 8.0).bowed(0.5), corner(-4.0, 8.0), corner(-4.0, 0.0)]);
    let head = HeadFacts {
        zone: None,
        nozzle: "12 ft half".to_owned(),
        radius_m: 3.6,
        arc_from_deg: 90.0,
        arc_deg: 180.0,
        flow_lpm: 5.0,
        lean_deg: 0.0,
        lean_to_deg: 0.0,
    };
    let tree = Thing::Tree { height_m: 9.0, crown_m: 3.0, base_m: 2.0, evergreen: true };
    let hose = vec![corner(-12.0, -3.0), corner(0.0, -3.0).bowed(1.0), corner(6.0, -2.0), corner(25.0, -2.0)];
    folded([
        at,
        Body::Area(lawn("front", "Front <lawn> & “round” bed")),
        drawn("front", vec![front, side]),
        Body::Area(area("bed", "Rose bed")),
        drawn("bed", vec![Outline::new(circle(-20.0, 5.0, 2.0))]),
        Body::Area(area("no-place", "Not drawn")),
        mapped(
            "house",
            "House",
            Thing::Building { height_m: 6.5 },
            vec![corner(2.0, 14.0), corner(2.0, 22.0), corner(14.0, 22.0).bowed(1.5), corner(14.0, 14.0)],
        ),
        mapped("oak", "Oak", tree, vec![corner(-6.0, 20.0)]),
        mapped("head-1", "Head 1", Thing::Head(head), vec![corner(5.25, 0.125)]),
        mapped("main", "Main", Thing::Pipe { role: PipeRole::Main, zone: None, bore_mm: Some(26.6) }, hose),
    ])
}

fn geojson(text: &str) -> Result<MapRead, MapFileError> {
    read(MapFormat::GeoJson, text.as_bytes(), &Yard::default())
}

fn kml(text: &str) -> Result<MapRead, MapFileError> {
    read(MapFormat::Kml, text.as_bytes(), &Yard::default())
}

/// A KML file of placemarks.
fn placemarks(inside: &str) -> String {
    format!("<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>{inside}</Document></kml>")
}

/// Passes if the message holds every part.
#[track_caller]
fn holds(message: &str, parts: &[&str]) {
    for part in parts {
        assert!(message.contains(part), "{part:?} is not in:\n{message}");
    }
}

/// Passes if two figures agree relatively.
#[track_caller]
fn near(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs(), "{got} is not {want} within {relative:e}");
}

/// Passes if two rings have the same corners within a millimetre, wherever they begin and whichever way they run.
#[track_caller]
fn same_ring(got: &[Corner], want: &[Corner]) {
    assert_eq!(got.len(), want.len(), "{got:?} is not {want:?}");
    let n = want.len();
    let turned: Vec<Corner> = (0..n).rev().map(|i| want[i].bowed(-want[(i + n - 1) % n].bow.get())).collect();
    let is_same = |ring: &[Corner], shift: usize| (0..n).all(|i| is_near(got[i], ring[(i + shift) % n]));
    let found = (0..n).any(|shift| is_same(want, shift) || is_same(&turned, shift));
    assert!(found, "{got:?} is not {want:?}");
}

/// Within a millimetre, and the bow too.
fn is_near(a: Corner, b: Corner) -> bool {
    let [[x, y], [u, v]] = [a.at(), b.at()];
    (x - u).hypot(y - v) < 1e-3 && (a.bow.get() - b.bow.get()).abs() < 1e-3
}

/// Passes if what was read lies where the yard's map has it.
#[track_caller]
fn same_map(read: &MapRead, yard: &Yard) {
    let areas: Vec<&AreaFacts> = yard.areas.iter().filter(|a| yard.outline(&a.key).is_some()).collect();
    assert_eq!(read.shapes.len(), areas.len() + yard.things.len());
    for (shape, area) in read.shapes.iter().zip(&areas) {
        let Geometry::Ground(pieces) = &shape.geometry else { panic!("{shape:?} is no ground") };
        let want = yard.pieces(&area.key);
        assert_eq!(pieces.len(), want.len());
        for (got, want) in pieces.iter().zip(want) {
            same_ring(&got.ring, &want.ring);
            assert_eq!(got.holes.len(), want.holes.len());
            got.holes.iter().zip(&want.holes).for_each(|(got, want)| same_ring(got, want));
        }
    }
    for (shape, thing) in read.shapes[areas.len()..].iter().zip(&yard.things) {
        match &shape.geometry {
            Geometry::Ground(pieces) => same_ring(&pieces[0].ring, &thing.at),
            Geometry::Line(line) => {
                assert_eq!(line.len(), thing.at.len(), "{line:?} is not {:?}", thing.at);
                let last = line.len() - 1;
                // The bow after a line's last place is no side's.
                let want = |i: usize| if i == last { thing.at[i].bowed(0.0) } else { thing.at[i] };
                assert!((0..=last).all(|i| is_near(line[i], want(i))), "{line:?} is not {:?}", thing.at);
            }
            Geometry::Point([x, y]) => assert!(is_near(corner(*x, *y), thing.at[0])),
        }
    }
}

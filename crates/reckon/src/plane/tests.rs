use proptest::prelude::*;

use super::*;
use crate::polygon::{polygon_area, polygon_area_geodesic};

fn plane([longitude, latitude]: [f64; 2]) -> Plane {
    Plane::at(Degrees::new(longitude), Degrees::new(latitude)).unwrap()
}

/// East and north by PROJ 9.5.1 (pyproj 3.7.2), `+proj=tmerc +ellps=WGS84` centred on the origin: origin, point, metres.
const PROJ: [([f64; 2], [f64; 2], [f64; 2]); 13] = [
    ([-93.1, 45.0], [-93.05, 45.02], [3940.9700, 2223.8558]),
    ([-93.1, 45.0], [-93.2, 44.9], [-7898.3866, -11108.2147]),
    ([-93.1, 45.0], [-93.5, 45.3], [-31373.7155, 33418.2564]),
    ([179.98, -17.8], [-179.97, -17.81], [5300.8916, -1107.4892]),
    ([179.98, -17.8], [179.9, -17.7], [-8486.6117, 11065.9541]),
    ([-70.9, -53.1], [-70.85, -53.15], [3345.2156, -5565.5991]),
    ([-70.9, -53.1], [-70.2, -53.2], [46778.2743, -11357.7249]),
    ([25.7, 66.5], [25.72, 66.51], [889.9235, 1115.2900]),
    ([25.7, 66.5], [25.0, 66.4], [-31284.1827, -10976.2729]),
    ([15.6, 78.2], [15.9, 78.25], [6822.6853, 5599.8362]),
    ([-180.0, 0.0], [179.95, 0.02], [-5565.9749, 2211.4864]),
    ([-78.5, -0.2], [-78.4, -0.1], [11131.9379, 11057.4114]),
    ([10.0, 84.0], [13.0, 84.1], [34427.2927, 12064.9240]),
];

/// The plane's metres are PROJ's to a millimetre, and lead back to the same degrees: both hemispheres, the date line, far north.
#[test]
fn metres_are_those_of_proj() {
    for (origin, [longitude, latitude], [x, y]) in PROJ {
        let plane = plane(origin);
        let found = plane.to_plane(longitude, latitude).unwrap();
        assert!((found[0] - x).abs() < 1e-3 && (found[1] - y).abs() < 1e-3, "{origin:?} {found:?} {x} {y}");
        let back = plane.to_globe([x, y]).unwrap();
        let off = [(back[0] - longitude) * latitude.to_radians().cos(), back[1] - latitude];
        // 1e-8° of latitude is 1.1 mm.
        assert!(off.iter().all(|d| d.abs() < 1e-8), "{origin:?} {back:?}");
    }
}

/// Points beyond the reach and degrees that are none are refused by name, and so are numbers that are none.
#[test]
fn far_points_are_refused() {
    let here = plane([-93.1, 45.0]);
    for (longitude, latitude) in [(-93.1, 45.5), (-92.4, 45.0), (93.1, 45.0), (86.9, -45.0), (45.0, -90.0), (3.0, 90.0)]
    {
        let refused = here.to_plane(longitude, latitude).unwrap_err();
        assert_eq!(refused.field(), "lonlat", "{longitude} {latitude}");
        assert!(refused.to_string().contains("further than 50 km"), "{refused}");
    }
    assert!(here.to_plane(-93.1, 45.44).is_ok() && here.to_plane(-92.5, 45.0).is_ok());
    for (longitude, latitude) in [(-180.5, 45.0), (0.0, 90.5), (f64::NAN, 0.0), (0.0, f64::INFINITY)] {
        assert_eq!(here.to_plane(longitude, latitude).unwrap_err().field(), "lonlat");
    }
    for at in [[50_001.0, 0.0], [40_000.0, 40_000.0], [f64::NAN, 0.0], [0.0, f64::NEG_INFINITY]] {
        assert_eq!(here.to_globe(at).unwrap_err().field(), "corner");
    }
    let swapped = here.to_plane(45.0, -89.0).unwrap_err().to_string();
    assert!(swapped.contains("changed places"), "{swapped}");
}

/// Planes are made between 84° south and north, not beyond.
#[test]
fn origins_near_the_poles_are_refused() {
    for (longitude, latitude, field) in [
        (0.0, 84.1, "latitude_deg"),
        (0.0, -85.0, "latitude_deg"),
        (181.0, 0.0, "longitude_deg"),
        (0.0, f64::NAN, "latitude_deg"),
    ] {
        let refused = Plane::at(Degrees::new(longitude), Degrees::new(latitude)).unwrap_err();
        assert_eq!(refused.field(), field);
    }
    assert!(Plane::at(Degrees::new(-180.0), Degrees::new(-84.0)).is_ok());
    assert_eq!(plane([1e-9, -1e-7]).origin().map(Degrees::get), [1e-9, -1e-7]);
    let [x, y] = plane([1e-9, -1e-7]).to_plane(1e-9, -1e-7).unwrap();
    assert!(x.abs() < 1e-6 && y.abs() < 1e-6, "{x} {y}");
}

/// A yard of up to a kilometre has the ellipsoid's area on the plane too (Karney's), to a millionth, at several latitudes.
#[test]
fn areas_are_those_of_the_ellipsoid() {
    for latitude in [-70.0, -35.0, 0.0, 10.0, 45.0, 60.0, 83.0] {
        for longitude in [-180.0, -0.001, 179.999] {
            let plane = plane([longitude, latitude]);
            for size in [10.0, 100.0, 500.0] {
                let ring = [[-size, -size], [size, -0.8 * size], [0.7 * size, size], [0.1 * size, 0.2 * size]];
                let globe = ring.map(|at| plane.to_globe(at).unwrap());
                let flat = polygon_area(&ring, &[]).unwrap().area.get();
                let round = polygon_area_geodesic(&globe, &[]).unwrap().area.get();
                assert!((flat / round - 1.0).abs() < 1e-6, "{latitude} {longitude} {size}: {flat} {round}");
            }
        }
    }
}

proptest! {
    #![proptest_config(crate::cases(20_000))] // 20,000 cases: each makes a projection from its text.

    /// There and back within 5 km moves no point by a tenth of a millimetre, anywhere.
    #[test]
    fn points_come_back(
        longitude_0 in -180.0..=180.0_f64,
        latitude_0 in -84.0..=84.0_f64,
        x in -5_000.0..5_000.0_f64,
        y in -5_000.0..5_000.0_f64,
    ) {
        let plane = plane([longitude_0, latitude_0]);
        let [longitude, latitude] = plane.to_globe([x, y]).unwrap();
        prop_assert!((-180.0..=180.0).contains(&longitude) && latitude.abs() < 84.1);
        let [back_x, back_y] = plane.to_plane(longitude, latitude).unwrap();
        prop_assert!((back_x - x).hypot(back_y - y) < 1e-4, "{} {}", back_x - x, back_y - y);
    }

    /// No degrees at all make it panic.
    #[test]
    fn any_degrees_are_answered(longitude in proptest::num::f64::ANY, latitude in proptest::num::f64::ANY) {
        let here = plane([179.9, -84.0]);
        let _ = here.to_plane(longitude, latitude);
        let _ = here.to_globe([longitude, latitude]);
        let _ = here.to_plane(longitude % 180.0, latitude % 90.0);
        let _ = Plane::at(Degrees::new(longitude), Degrees::new(latitude));
    }
}

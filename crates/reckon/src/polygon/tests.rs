use proptest::prelude::*;

use super::*;

fn plan(ring: &[[f64; 2]]) -> PolygonArea {
    polygon_area(ring, &[]).unwrap()
}

/// A ring that never crosses itself: corners at growing bearings round a middle.
fn star() -> impl Strategy<Value = Vec<[f64; 2]>> {
    prop::collection::vec(1.0..30.0_f64, 3..14).prop_map(|radii| {
        let step = std::f64::consts::TAU / radii.len() as f64;
        radii.iter().enumerate().map(|(i, r)| [r * (i as f64 * step).cos(), r * (i as f64 * step).sin()]).collect()
    })
}

/// Areas known from school: right triangle, circle's polygon, a plot far from the origin.
#[test]
fn plan_areas() {
    let triangle = plan(&[[0.0, 0.0], [3.0, 0.0], [3.0, 4.0]]);
    assert_eq!((triangle.area.get(), triangle.perimeter.get()), (6.0, 12.0));
    // 50, 60, 70: 1,469.69 by Heron's formula, worked by hand.
    let x = (60.0_f64.powi(2) - 70.0 * 70.0 + 50.0 * 50.0) / 100.0;
    let third = plan(&[[0.0, 0.0], [50.0, 0.0], [x, (3600.0 - x * x).sqrt()]]);
    assert!((third.area.get() - 1_469.69).abs() < 0.005 && (third.perimeter.get() - 180.0).abs() < 1e-9);
    let far = plan(&[[5e6, -9e6], [5e6 + 0.5, -9e6], [5e6 + 0.5, -9e6 + 0.25], [5e6, -9e6 + 0.25]]);
    assert_eq!((far.area.get(), far.perimeter.get()), (0.125, 1.5));
}

/// The test set of Karney's library (GeographicLib, Planimeter), with its own tolerances: a diamond on the equator, an
/// eighth of the globe, a ring round the pole, across the date line.
#[test]
fn karney_test_set() {
    let rows = [
        (vec![[-1.0, 0.0], [0.0, -1.0], [1.0, 0.0], [0.0, 1.0]], 627_598.273_1, 1e-4, 24_619_419_146.0, 1.0),
        (vec![[0.0, 90.0], [0.0, 0.0], [90.0, 0.0]], 30_022_685.0, 1.0, 63_758_202_715_511.0, 1.0),
        (vec![[0.0, 89.0], [90.0, 89.0], [180.0, 89.0], [-90.0, 89.0]], 631_819.874_5, 1e-4, 24_952_305_678.0, 1.0),
        (vec![[0.0, -89.0], [90.0, -89.0], [180.0, -89.0], [-90.0, -89.0]], 631_819.874_5, 1e-4, 24_952_305_678.0, 1.0),
        (vec![[179.0, 0.0], [180.0, -1.0], [-179.0, 0.0], [-180.0, 1.0]], 627_598.273_1, 1e-4, 24_619_419_146.0, 1.0),
    ];
    for (ring, perimeter, per_tolerance, area, tolerance) in rows {
        for closed in [false, true] {
            let mut ring = ring.clone();
            if closed {
                ring.push(ring[0]);
            }
            let found = polygon_area_geodesic(&ring, &[]).unwrap();
            assert!((found.perimeter.get() - perimeter).abs() <= per_tolerance, "{ring:?}: {found:?}");
            assert!((found.area.get() - area).abs() <= tolerance, "{ring:?}: {found:?}");
        }
    }
}

/// A lawn of 25 by 24 m at 45° north: metres to degrees by the ellipsoid's radii of curvature there (worked by hand from
/// a = 6,378,137 m and 1/f = 298.257223563).
#[test]
fn a_small_plot_on_the_globe() {
    let (a, f) = (6_378_137.0_f64, 1.0 / 298.257_223_563);
    let e2 = f * (2.0 - f);
    let w = 1.0 - e2 * 0.5;
    let north = (a * (1.0 - e2) / w.powf(1.5)).to_radians();
    let east = (a / w.sqrt() * 45.0_f64.to_radians().cos()).to_radians();
    let (dx, dy) = (12.5 / east, 12.0 / north);
    let ring = [[7.0 - dx, 45.0 - dy], [7.0 + dx, 45.0 - dy], [7.0 + dx, 45.0 + dy], [7.0 - dx, 45.0 + dy]];
    let found = polygon_area_geodesic(&ring, &[]).unwrap();
    assert!((found.area.get() - 600.0).abs() < 1e-5, "{found:?}");
    assert!((found.perimeter.get() - 98.0).abs() < 1e-5, "{found:?}");
}

#[test]
fn refusals_name_ring_and_place() {
    let square = vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
    let told = |ring: &[[f64; 2]], holes: &[Vec<[f64; 2]>]| polygon_area(ring, holes).unwrap_err().to_string();
    let bow = [[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]];
    assert_eq!(
        told(&bow, &[]),
        "ring: crosses or touches itself: the sides from ring[0] to ring[1] and from ring[2] to ring[3]"
    );
    // The same with its crossing as a corner, a ring that pinches, a spike, all on one line.
    for ring in [
        &[[0.0, 0.0], [5.0, 5.0], [10.0, 0.0], [10.0, 10.0], [5.0, 5.0], [0.0, 10.0]][..],
        &[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [5.0, 0.0], [0.0, 10.0]],
        &[[0.0, 0.0], [10.0, 0.0], [5.0, 0.0], [5.0, 5.0]],
        &[[0.0, 0.0], [10.0, 0.0], [5.0, 0.0]],
    ] {
        assert!(told(ring, &[]).starts_with("ring: crosses or touches itself"), "{ring:?}");
    }
    assert!(told(&square[..2], &[]).contains("at least 3"));
    assert!(told(&[], &[]).contains("at least 3"));
    assert!(told(&[[0.0, 0.0], [1.0, f64::NAN], [1.0, 1.0]], &[]).starts_with("ring: ring[1] holds NaN m"));
    assert!(told(&vec![[0.0, 0.0]; CORNERS_MAX + 1], &[]).contains("the most is 10000"));
    let hole = |x: f64| vec![[x, 4.0], [x + 3.0, 4.0], [x + 3.0, 6.0], [x, 6.0]];
    assert!(told(&square, &[hole(8.0)]).starts_with("holes: holes[0] reaches outside the ring"));
    assert!(told(&square, &[hole(20.0)]).starts_with("holes: holes[0] reaches outside"));
    assert!(told(&square, &[hole(1.0), hole(3.0)]).starts_with("holes: holes[1] and holes[0] overlap"));
    assert!(told(&square, &[hole(1.0), hole(1.0)]).starts_with("holes: holes[1] and holes[0] overlap"));
    assert!(told(&square, &[vec![[1.0, 1.0], [2.0, 2.0], [2.0, 1.0], [1.0, 2.0]]]).contains("holes[0][0]"));
    assert_eq!(polygon_area_geodesic(&[[0.0, 0.0], [0.0, 91.0], [1.0, 1.0]], &[]).unwrap_err().field(), "lonlat");
    // Touching is no fault: a bed along the edge, two beds side by side.
    let found = polygon_area(&square, &[vec![[0.0, 0.0], [2.0, 0.0], [2.0, 10.0], [0.0, 10.0]], hole(2.0), hole(5.0)]);
    assert_eq!(found.unwrap().area.get(), 100.0 - 20.0 - 12.0);
}

/// Corners on both sides of the limit; the check of ten thousand sides takes no noticeable time.
#[test]
fn many_corners() {
    let ring: Vec<[f64; 2]> = (0..CORNERS_MAX)
        .map(|i| (i as f64 * std::f64::consts::TAU / CORNERS_MAX as f64).sin_cos())
        .map(|(s, c)| [100.0 * c, 100.0 * s])
        .collect();
    let area = plan(&ring).area.get();
    assert!((area - std::f64::consts::PI * 1e4).abs() < 1e-2, "{area}");
}

proptest! {
    #![proptest_config(crate::cases(100_000))]

    /// Turning, moving, mirroring, another first corner and a closing corner change nothing.
    #[test]
    fn a_ring_is_a_ring(
        ring in star(), angle in 0.0..6.3_f64, dx in -1e4..1e4_f64, dy in -1e4..1e4_f64, start in 0_usize..14,
    ) {
        let base = plan(&ring);
        let (s, c) = angle.sin_cos();
        let moved: Vec<[f64; 2]> = ring.iter().map(|[x, y]| [c * x - s * y + dx, s * x + c * y + dy]).collect();
        let mut turned = ring.clone();
        turned.rotate_left(start % ring.len());
        let mut back = ring.clone();
        back.reverse();
        let mut closed = ring.clone();
        closed.push(ring[0]);
        for other in [moved, turned, back, closed] {
            let found = plan(&other);
            prop_assert!((found.area - base.area).get().abs() <= 1e-8 * base.area.get().max(1.0));
            prop_assert!((found.perimeter - base.perimeter).get().abs() <= 1e-8 * base.perimeter.get());
        }
    }

    /// A lawn cut in two along a line holds together what its halves hold; a hole takes its own area away.
    #[test]
    fn areas_add_up(w in 1.0..50.0_f64, h in 1.0..50.0_f64, at in 0.1..0.9_f64, lean in -0.05..0.05_f64) {
        let (low, high) = (at * w, (at + lean) * w);
        let whole = plan(&[[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]).area;
        let left = plan(&[[0.0, 0.0], [low, 0.0], [high, h], [0.0, h]]).area;
        let right = plan(&[[low, 0.0], [w, 0.0], [w, h], [high, h]]).area;
        prop_assert!((left + right - whole).get().abs() < 1e-9);
        let hole = vec![[0.1 * w, 0.1 * h], [0.4 * w, 0.1 * h], [0.3 * w, 0.5 * h]];
        let found = polygon_area(&[[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]], std::slice::from_ref(&hole)).unwrap();
        prop_assert!((found.area + plan(&hole).area - whole).get().abs() < 1e-9);
    }

    /// On the globe a small ring has the area of its plan, and neither moving it east nor its first corner matters. The sums of
    /// a globe of 5·10¹⁴ m² leave up to a square centimetre on the smallest.
    #[test]
    fn the_globe_agrees_with_the_plan(ring in star(), lon in -180.0..180.0_f64, start in 0_usize..14) {
        let east = (6_378_137.0_f64).to_radians();
        let north = east * (1.0 - 0.006_694_379_990_141);
        let globe = |lon: f64| -> Vec<[f64; 2]> {
            ring.iter()
                .map(|[x, y]| {
                    let at = lon + x / east;
                    [if at > 180.0 { at - 360.0 } else if at < -180.0 { at + 360.0 } else { at }, y / north]
                })
                .collect()
        };
        let base = plan(&ring);
        let mut there = globe(lon);
        there.rotate_left(start % ring.len());
        for ring in [globe(0.0), there] {
            let found = polygon_area_geodesic(&ring, &[]).unwrap();
            prop_assert!((found.area - base.area).get().abs() <= 1e-6 * base.area.get().max(100.0), "{:?} {:?}", found, base);
            prop_assert!((found.perimeter - base.perimeter).get().abs() <= 1e-6 * base.perimeter.get());
        }
    }

    /// Any corners: an error, or figures that are finite and not below nothing.
    #[test]
    fn any_ring_is_safe(
        ring in prop::collection::vec(prop::array::uniform2(prop_oneof![3 => -5.0..5.0_f64, 2 => (-3..3).prop_map(f64::from), 1 => any::<f64>()]), 0..8),
        hole in prop::collection::vec(prop::array::uniform2(-2.0..2.0_f64), 0..5),
    ) {
        let answers =
            [polygon_area(&ring, std::slice::from_ref(&hole)), polygon_area_geodesic(&ring, &[hole]), polygon_area(&ring, &[])];
        for found in answers.into_iter().flatten() {
            prop_assert!(found.area.get().is_finite() && found.area.get() >= 0.0 && found.perimeter.get() > 0.0);
        }
    }
}

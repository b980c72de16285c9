use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use proptest::prelude::*;

use super::*;

fn ring(corners: &[[f64; 3]]) -> Vec<Corner> {
    corners.iter().map(|&[x, y, bow]| Corner::new(x, y).bowed(bow)).collect()
}

fn straight(corners: &[[f64; 2]]) -> Vec<Corner> {
    corners.iter().map(|&[x, y]| Corner::new(x, y)).collect()
}

fn square(x: f64, y: f64, side: f64) -> Vec<Corner> {
    straight(&[[x, y], [x + side, y], [x + side, y + side], [x, y + side]])
}

fn circle(x: f64, y: f64, radius: f64) -> Vec<Corner> {
    ring(&[[x - radius, y, radius], [x + radius, y, radius]])
}

fn measured(outline: &Outline) -> [f64; 3] {
    let size = outline.size().unwrap();
    [size.area.get(), size.edge.get(), size.holes_edge.get()]
}

fn close(found: [f64; 3], wanted: [f64; 3]) -> bool {
    found.iter().zip(wanted).all(|(f, w)| (f - w).abs() <= 1e-12 * w.abs().max(1.0))
}

/// Shapes whose area and edge are known by the circle's formulas, either way round, with the bow outwards and inwards.
#[test]
fn arcs_are_measured_exactly() {
    let quarter = 5.0 * SQRT_2 / 2.0 * (SQRT_2 - 1.0);
    let cases = [
        // A circle of 5 m radius: two half circles, and four quarters.
        (circle(3.0, -2.0, 5.0), 25.0 * PI, 10.0 * PI),
        (
            ring(&[[5.0, 0.0, quarter], [0.0, 5.0, quarter], [-5.0, 0.0, quarter], [0.0, -5.0, quarter]]),
            25.0 * PI,
            10.0 * PI,
        ),
        // A running track: 80 by 60 m with half circles at its ends.
        (
            ring(&[[0.0, 0.0, 0.0], [80.0, 0.0, 30.0], [80.0, 60.0, 0.0], [0.0, 60.0, 30.0]]),
            4_800.0 + 900.0 * PI,
            160.0 + 60.0 * PI,
        ),
        // A square of 4 m with a half circle cut out of one side.
        (
            ring(&[[0.0, 0.0, 0.0], [4.0, 0.0, -2.0], [4.0, 4.0, 0.0], [0.0, 4.0, 0.0]]),
            16.0 - 2.0 * PI,
            12.0 + 2.0 * PI,
        ),
        // A lens of two arcs of a circle of 1 m radius over the side of its square: 2 (π/4 - 1/2).
        (ring(&[[0.0, 0.0, 1.0 - SQRT_2 / 2.0], [SQRT_2, 0.0, 1.0 - SQRT_2 / 2.0]]), FRAC_PI_2 - 1.0, PI),
        // Hippocrates' lune on a half circle of 1 m radius has the area of the triangle, 1 m².
        (ring(&[[-1.0, 0.0, -(SQRT_2 - 1.0)], [1.0, 0.0, 1.0]]), 1.0, PI + PI * SQRT_2 / 2.0),
    ];
    for (corners, area, edge) in cases {
        let there = Outline::new(corners.clone());
        if (there.size().unwrap().area.get() - area).abs() < 1e-9 {
            assert!(close(measured(&there), [area, edge, 0.0]), "{corners:?} {:?}", measured(&there));
        } else {
            panic!("{corners:?}: {:?}, not {area}", measured(&there));
        }
        // The other way round a side starts at its other end and bends to its other hand.
        let n = corners.len();
        let back = (0..n).map(|i| {
            let (corner, before) = (corners[n - 1 - i], corners[(2 * n - 2 - i) % n]);
            Corner { bow: Metres::new(-before.bow.get()), ..corner }
        });
        let back = Outline::new(back.collect());
        assert!(close(measured(&back), [area, edge, 0.0]), "{back:?} {:?}", measured(&back));
    }
}

/// A flat arc's area goes over smoothly from the series to the formula and agrees with two thirds of bow by chord.
#[test]
fn flat_arcs_keep_their_digits() {
    let area = |bow: f64| {
        measured(&Outline::new(ring(&[[0.0, 0.0, bow], [10.0, 0.0, 0.0], [10.0, 5.0, 0.0], [0.0, 5.0, 0.0]])))[0] - 50.0
    };
    for bow in [1e-8, 1e-5, 1e-3] {
        let parabola = 2.0 / 3.0 * 10.0 * bow;
        assert!((area(bow) - parabola).abs() < 1e-7 * parabola + 2e-14, "{bow}: {} {parabola}", area(bow));
    }
    // Either side of where the ways of computing change, bow 0.1 m: the slope there is 20 / 3 m.
    let (below, above) = (area(0.1 - 1e-9), area(0.1 + 1e-9));
    assert!((above - below - 2e-9 * 20.0 / 3.0).abs() < 2e-11, "{below} {above}");
}

/// Holes come off the area; a hole may touch the ring, reach over it by a few millimetres, and share an edge with another.
#[test]
fn holes_come_off() {
    let pond = Outline { ring: square(0.0, 0.0, 20.0), holes: vec![circle(10.0, 10.0, 3.0), square(1.0, 1.0, 2.0)] };
    assert!(close(measured(&pond), [400.0 - 9.0 * PI - 4.0, 80.0, 6.0 * PI + 8.0]));
    let touching = Outline { ring: square(0.0, 0.0, 20.0), holes: vec![square(0.0, 5.0, 2.0), square(2.0, 5.0, 2.0)] };
    assert!(close(measured(&touching), [392.0, 80.0, 16.0]));
    let over = Outline { ring: square(0.0, 0.0, 20.0), holes: vec![square(-0.003, 5.0, 2.0)] };
    assert!(over.size().is_ok());
    // A round lawn and a bed whose corners lie on its edge.
    let on_arc = [0.1_f64, 0.7, 1.3].map(|angle| [5.0 * angle.cos(), 5.0 * angle.sin()]);
    let bed = Outline { ring: circle(0.0, 0.0, 5.0), holes: vec![straight(&on_arc)] };
    assert!(bed.size().is_ok(), "{:?}", bed.size());
}

/// A closing corner, corners given again and either order change nothing.
#[test]
fn corners_given_again_count_once() {
    let plain = Outline::new(ring(&[[0.0, 0.0, 0.0], [4.0, 0.0, 2.0], [4.0, 4.0, 0.0], [0.0, 4.0, -0.5]]));
    let again = Outline::new(ring(&[
        [0.0, 0.0, 0.0],
        [4.0, 0.0, 7.0],
        [4.0, 0.0, 2.0],
        [4.0, 4.0, 0.0],
        [4.0, 4.0, 0.0],
        [0.0, 4.0, -0.5],
        [0.0, 0.0, 0.0],
    ]));
    assert_eq!(measured(&plain), measured(&again));
    assert_eq!(plain.flattened(0.01), again.flattened(0.01));
}

/// What is no outline is refused with the ring, the corner as it was drawn (not as a chord's end) and the figures.
#[test]
fn refusals_name_the_corner() {
    let bow_tie = straight(&[[0.0, 0.0], [4.0, 4.0], [4.0, 0.0], [0.0, 4.0]]);
    // The deep bow of the first side crosses the third.
    let deep = ring(&[[0.0, 0.0, -3.0], [6.0, 0.0, 0.0], [6.0, 2.0, 0.0], [0.0, 2.0, 0.0]]);
    let wide = square(0.0, 0.0, 20.0);
    let with = |holes: Vec<Vec<Corner>>| Outline { ring: wide.clone(), holes };
    let cases = [
        (Outline::new(vec![]), "ring", "no corners"),
        (Outline::new(straight(&[[1.0, 1.0], [1.0, 1.0]])), "ring", "1 corner;"),
        (Outline::new(straight(&[[0.0, 0.0], [1.0, 0.0]])), "ring", "2 corners that differ"),
        (Outline::new(ring(&[[0.0, 0.0, 0.4], [1.0, 0.0, 0.0]])), "ring", "2 with both sides bowed"),
        (Outline::new(straight(&[[0.0, 0.0], [200_000.0, 0.0], [0.0, 1.0]])), "ring", "corner 2 is 200000 m east"),
        (Outline::new(straight(&[[0.0, 0.0], [2.0, 0.0], [0.0, f64::NAN]])), "ring", "corner 3 is NaN m north"),
        (
            Outline::new(ring(&[[0.0, 0.0, 0.0], [4.0, 0.0, 2.1], [4.0, 4.0, 0.0]])),
            "ring",
            "after corner 2 is 2.1 m; it must be within ±2.000 m",
        ),
        (
            Outline::new(ring(&[[0.0, 0.0, f64::NAN], [4.0, 0.0, 0.0], [4.0, 4.0, 0.0]])),
            "ring",
            "after corner 1 is NaN",
        ),
        (Outline::new(bow_tie.clone()), "ring", "the sides from corner 1 to corner 2 and from corner 3 to corner 4"),
        (Outline::new(deep.clone()), "ring", "the sides from corner 1 to corner 2 and from corner 3 to corner 4"),
        (Outline::new(ring(&[[0.0, 0.0, 0.3], [4.0, 0.0, -0.3]])), "ring", "crosses or touches itself"),
        (
            with(vec![square(2.0, 2.0, 2.0), bow_tie]),
            "holes",
            "hole 2: crosses or touches itself: the sides from corner 1",
        ),
        (
            with(vec![square(2.0, 2.0, 2.0), deep]),
            "holes",
            "hole 2: crosses or touches itself: the sides from corner 1",
        ),
        (with(vec![square(2.0, 2.0, 2.0), square(19.0, 1.0, 2.0)]), "holes", "hole 2: it reaches outside"),
        (with(vec![square(25.0, 2.0, 2.0)]), "holes", "hole 1: it reaches outside"),
        (
            with(vec![square(2.0, 2.0, 2.0), circle(10.0, 9.0, 2.0), square(2.0, 2.0, 2.0)]),
            "holes",
            "hole 3: it overlaps hole 1",
        ),
        (with(vec![square(2.0, 2.0, 2.0), square(3.0, 3.0, 4.0)]), "holes", "hole 2: it overlaps hole 1"),
        (with(vec![square(2.0, 2.0, 2.0), vec![]]), "holes", "hole 2: no corners"),
        (Outline::new(vec![Corner::new(0.0, 0.0); CORNERS_MAX + 1]), "ring", "5001 corners"),
    ];
    for (outline, field, message) in cases {
        let refused = outline.size().unwrap_err();
        assert_eq!(refused.field(), field, "{refused}");
        assert!(refused.to_string().contains(message), "{refused}\nnot: {message}");
    }
}

/// Where corners are given again, places are counted with them, a corner's own being its first.
#[test]
fn places_are_those_given() {
    let twice = straight(&[[0.0, 0.0], [0.0, 0.0], [4.0, 4.0], [4.0, 0.0], [4.0, 0.0], [0.0, 4.0]]);
    let refused = Outline::new(twice).size().unwrap_err().to_string();
    assert!(refused.contains("from corner 1 to corner 3 and from corner 4 to corner 6"), "{refused}");
}

/// The most corners are measured, bowed ones too.
#[test]
fn many_corners_are_measured() {
    let many = |n: usize, bow: f64| {
        let corner = |i: usize| {
            let angle = 2.0 * PI * i as f64 / n as f64;
            Corner::new(500.0 * angle.cos(), 500.0 * angle.sin()).bowed(bow)
        };
        Outline::new((0..n).map(corner).collect())
    };
    // A regular polygon in a circle of 500 m: n/2 R² sin(2π/n).
    let n = CORNERS_MAX as f64;
    let wanted = n / 2.0 * 250_000.0 * (2.0 * PI / n).sin();
    assert!((measured(&many(CORNERS_MAX, 0.0))[0] / wanted - 1.0).abs() < 1e-12);
    // With the arcs' bows it is the circle.
    let bow = 500.0 * (1.0 - (PI / n).cos());
    assert!((measured(&many(CORNERS_MAX, bow))[0] / (250_000.0 * PI) - 1.0).abs() < 1e-9);
}

/// Corners and straight sides come through as they are; chords stay within the tolerance of the arc and hold its area.
#[test]
fn chords_keep_to_their_arc() {
    for radius in [0.01, 0.3, 5.0, 40.0, 300.0] {
        for tolerance in [0.0005, 0.002, 0.05] {
            let flat = corners_flat(&circle(1.0, 2.0, radius), tolerance);
            for (i, p) in flat.iter().enumerate() {
                let q = flat[(i + 1) % flat.len()];
                for at in [*p, [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0]] {
                    let off = (at[0] - 1.0).hypot(at[1] - 2.0) - radius;
                    assert!(off.abs() <= tolerance * 1.000_001, "{radius} {tolerance} {off}");
                }
            }
            assert!((arc::signed_area(&flat) / (PI * radius * radius) - 1.0).abs() < 1e-12, "{radius} {tolerance}");
        }
    }
    let mixed = ring(&[[0.1, 0.2, 0.0], [4.3, 0.1, 0.7], [4.0, 4.0, 0.0], [0.0, 4.0, 0.0]]);
    let flat = corners_flat(&mixed, 0.002);
    assert_eq!(flat[..2], [[0.1, 0.2], [4.3, 0.1]]);
    assert_eq!(flat[flat.len() - 2..], [[4.0, 4.0], [0.0, 4.0]]);
    let line = corners_flat_line(&mixed, 0.002);
    assert_eq!(line, flat);
    assert_eq!(corners_flat_line(&circle(0.0, 0.0, 1.0), 0.1).last(), Some(&[1.0, 0.0]));
    assert_eq!(corners_flat(&[], 0.1), Vec::<[f64; 2]>::new());
    assert_eq!(corners_flat_line(&mixed[..1], 0.1), [[0.1, 0.2]]);
}

/// The last corner's bow has no part in an open line; a line of one corner has no length.
#[test]
fn lines_are_measured() {
    let hedge = ring(&[[0.0, 0.0, 0.0], [3.0, 4.0, 5.0], [3.0, 14.0, 9.0]]);
    assert!((line_length(&hedge).get() - (5.0 + 5.0 * PI)).abs() < 1e-12);
    assert_eq!(line_length(&hedge[..1]).get(), 0.0);
    assert_eq!(line_length(&[]).get(), 0.0);
}

/// The ground, its hole and what lies round it, by plain distances.
#[test]
fn points_are_placed() {
    let court = Outline { ring: square(0.0, 0.0, 20.0), holes: vec![circle(10.0, 10.0, 4.0)] };
    let cases = [
        ([1.0, 1.0], true, 0.0),
        ([0.0, 5.0], true, 0.0),
        ([23.0, 24.0], false, 5.0),
        ([10.0, 10.0], false, 4.0),
        ([10.0, 13.0], false, 1.0),
        ([-0.5, 3.0], false, 0.5),
    ];
    for (at, inside, distance) in cases {
        assert_eq!(court.contains(at), inside, "{at:?}");
        assert!((court.distance_to(at).get() - distance).abs() < FLATTEN_TOLERANCE_M, "{at:?}");
    }
    assert_eq!(Outline::default().distance_to([0.0, 0.0]).get(), f64::INFINITY);
    assert!(!Outline::default().contains([0.0, 0.0]));
}

/// Gaps between grounds: beside, within a hole, inside, and to a line or a point.
#[test]
fn gaps_are_measured() {
    let court = [Outline { ring: square(0.0, 0.0, 20.0), holes: vec![circle(10.0, 10.0, 4.0)] }];
    let gap = |ring: Vec<Corner>| gap_between(&court, &[Outline::new(ring)]).get();
    assert!((gap(circle(10.0, 10.0, 1.0)) - 3.0).abs() < 2.0 * FLATTEN_TOLERANCE_M);
    assert!((gap(circle(30.0, 10.0, 4.0)) - 6.0).abs() < 2.0 * FLATTEN_TOLERANCE_M);
    assert_eq!(gap(square(1.0, 1.0, 2.0)), 0.0);
    assert_eq!(gap(square(-5.0, -5.0, 50.0)), 0.0);
    assert_eq!(gap(square(20.0, 0.0, 5.0)), 0.0);
    assert_eq!(gap_between(&court, &[]).get(), f64::INFINITY);
    let two = [court[0].clone(), Outline::new(square(40.0, 0.0, 5.0))];
    assert_eq!(gap_between(&two, &[Outline::new(square(46.0, 1.0, 1.0))]).get(), 1.0);

    let to_line = |line: &[[f64; 3]]| distance_to_line(&two, &ring(line)).get();
    assert_eq!(to_line(&[[48.0, 2.0, 0.0]]), 3.0);
    assert_eq!(to_line(&[[-3.0, -50.0, 0.0], [-3.0, 50.0, 0.0]]), 3.0);
    assert_eq!(to_line(&[[-3.0, 5.0, 0.0], [3.0, 5.0, 0.0]]), 0.0);
    // A stream bends to within 2 m of the south side: from 7 m away by a bow of 5 m.
    assert!((to_line(&[[0.0, -7.0, -5.0], [20.0, -7.0, 0.0]]) - 2.0).abs() < FLATTEN_TOLERANCE_M);
    assert_eq!(distance_to_line(&court, &[]).get(), f64::INFINITY);
}

/// Labels stand about as far from the edge as the largest circle inside allows: radius known for these shapes.
#[test]
fn labels_stand_well_inside() {
    let frame = Outline { ring: square(0.0, 0.0, 20.0), holes: vec![square(6.0, 6.0, 12.0)] };
    let cases = [
        (Outline::new(square(0.0, 0.0, 8.0)), 4.0),
        (Outline::new(circle(-3.0, 1.0, 5.0)), 5.0),
        (Outline::new(straight(&[[0.0, 0.0], [200.0, 0.0], [200.0, 1.0], [0.0, 1.0]])), 0.5),
        // In the corner of 6 m by 6 m a circle touches two outer sides and the hole's corner: r √2 + r = 6 √2.
        (frame, 6.0 * SQRT_2 / (1.0 + SQRT_2)),
    ];
    for (outline, radius) in cases {
        let [x, y] = outline.label_point();
        assert!(outline.contains([x, y]));
        let polygon = outline.polygon();
        let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        let depth = rings
            .map(|line| geo::Distance::distance(&geo::Euclidean, &geo::Point::new(x, y), line))
            .fold(f64::INFINITY, f64::min);
        assert!(depth > 0.95 * radius && depth < radius + 0.01, "{outline:?} {x} {y}: {depth} of {radius}");
    }
    assert_eq!(Outline::default().label_point(), [0.0, 0.0]);
    assert_eq!(Outline::new(straight(&[[2.0, 3.0], [4.0, 3.0]])).label_point(), [2.0, 3.0]);
}

/// A plan's file keeps outlines as they are: bare numbers, a third for a bow, no holes where there are none.
#[test]
fn outlines_are_written_short() {
    let outline = Outline::new(ring(&[[0.0, 0.0, 0.0], [4.5, 0.0, -1.25], [4.5, 4.0, 0.0]]));
    let text = serde_json::to_string(&outline).unwrap();
    assert_eq!(text, r#"{"ring":[[0.0,0.0],[4.5,0.0,-1.25],[4.5,4.0]]}"#);
    assert_eq!(serde_json::from_str::<Outline>(&text).unwrap(), outline);
    let wrong = serde_json::from_str::<Outline>(r#"{"ring":[[1]]}"#).unwrap_err().to_string();
    assert!(wrong.contains("not 1"), "{wrong}");
}

/// A ring round a place, its corners at rising angles and its sides bowed a little: it never crosses itself.
fn round() -> impl Strategy<Value = Vec<Corner>> {
    proptest::collection::vec((4.0..10.0_f64, -0.04..0.04_f64), 5..20).prop_map(|spokes| {
        let n = spokes.len() as f64;
        let place = |i: usize| {
            let angle = 2.0 * PI * i as f64 / n;
            [spokes[i].0 * angle.cos(), spokes[i].0 * angle.sin()]
        };
        let corner = |i: usize| {
            let ([x, y], to) = (place(i), place((i + 1) % spokes.len()));
            Corner::new(x, y).bowed(spokes[i].1 * (to[0] - x).hypot(to[1] - y))
        };
        (0..spokes.len()).map(corner).collect()
    })
}

proptest! {
    #![proptest_config(crate::cases(2_000))] // 2,000 cases: each flattens rings of up to 20 arcs twice and looks for crossings.

    /// Area and edge do not depend on where the yard lies, how it is turned, or where its ring begins; chords hold the area.
    #[test]
    fn sizes_do_not_depend_on_place(
        ring in round(), turn in 0.0..2.0 * PI, east in -900.0..900.0_f64, north in -900.0..900.0_f64, start in 0_usize..20,
    ) {
        let [area, edge, _] = measured(&Outline::new(ring.clone()));
        let mut moved: Vec<Corner> = ring
            .iter()
            .map(|c| {
                let [x, y] = c.at();
                let (s, k) = turn.sin_cos();
                Corner { x: Metres::new(k * x - s * y + east), y: Metres::new(s * x + k * y + north), ..*c }
            })
            .collect();
        moved.rotate_left(start % ring.len());
        let moved = measured(&Outline::new(moved));
        prop_assert!((moved[0] / area - 1.0).abs() < 1e-10 && (moved[1] / edge - 1.0).abs() < 1e-10);
        prop_assert!((arc::signed_area(&corners_flat(&ring, 0.02)) / area - 1.0).abs() < 1e-10);
        prop_assert!(Outline::new(ring).contains([0.0, 0.0]));
    }
}

proptest! {
    #![proptest_config(crate::cases(100))] // 100 cases: odd numbers make arcs of 1,000 chords, and their gaps are dear.

    /// No numbers at all make any of it panic.
    #[test]
    fn any_numbers_are_answered(
        numbers in proptest::collection::vec([-3.0..3.0_f64, -3.0..3.0, -2.0..2.0], 0..9),
        odd in proptest::num::f64::ANY,
        place in 0_usize..30,
    ) {
        let mut corners = numbers.clone();
        if let Some(corner) = corners.get_mut(place / 3) {
            corner[place % 3] = odd;
        }
        for corners in [numbers, corners] {
            let outline = Outline { ring: ring(&corners), holes: vec![ring(&corners)] };
            for outline in [Outline::new(outline.ring.clone()), outline] {
                let _ = outline.size();
                let _ = outline.label_point();
                let _ = outline.contains([odd, 0.0]);
                let _ = outline.distance_to([0.5, odd]);
                let _ = gap_between(std::slice::from_ref(&outline), &[Outline::new(square(0.0, 0.0, 1.0))]);
                let _ = distance_to_line(std::slice::from_ref(&outline), &outline.ring);
                let _ = line_length(&outline.ring);
                let _ = crate::overlay::shared_area(std::slice::from_ref(&outline), &[Outline::new(square(0.0, 0.0, 1.0))]);
                let _ = crate::overlay::gaps(&[std::slice::from_ref(&outline)]);
            }
        }
    }
}

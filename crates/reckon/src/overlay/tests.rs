use std::f64::consts::PI;
use std::slice::from_ref;

use proptest::prelude::*;

use super::*;
use crate::outline::Corner;

type Shape = (&'static [[f64; 2]], &'static [&'static [[f64; 2]]]);

const LAWN: Shape = (
    &[
        [32.77, 15.0],
        [30.78, 19.17],
        [31.13, 25.14],
        [24.91, 24.85],
        [21.31, 29.19],
        [16.43, 27.56],
        [13.43, 23.7],
        [8.05, 22.4],
        [9.42, 16.98],
        [6.69, 12.51],
        [10.66, 9.22],
        [13.29, 6.11],
        [16.31, 2.04],
        [21.5, -1.22],
        [25.07, 4.83],
        [28.91, 6.87],
        [33.89, 9.62],
    ],
    &[&[[21.54, 14.0], [19.93, 16.42], [17.36, 16.8], [14.78, 15.55], [15.79, 12.93], [17.24, 10.66], [19.71, 11.85]]],
);
const HOUSE: Shape = (&[[8.0, 6.0], [22.0, 6.0], [22.0, 12.0], [16.0, 12.0], [16.0, 20.0], [8.0, 20.0]], &[]);
const DRIVE: Shape = (&[[8.74, -6.97], [11.68, -7.59], [21.03, 36.42], [18.1, 37.05]], &[]);
const BED: Shape = (
    &[
        [35.29, 22.0],
        [34.19, 24.68],
        [31.88, 27.0],
        [27.24, 28.51],
        [26.8, 23.53],
        [24.99, 19.81],
        [27.67, 16.23],
        [31.94, 16.69],
        [35.77, 18.0],
    ],
    &[],
);
const POND: Shape =
    (&[[16.24, 16.0], [15.62, 17.07], [14.34, 17.15], [13.39, 16.0], [14.27, 14.74], [15.69, 14.8]], &[]);

fn straight(corners: &[[f64; 2]]) -> Vec<Corner> {
    corners.iter().map(|&[x, y]| Corner::new(x, y)).collect()
}

fn outline((ring, holes): Shape) -> Outline {
    Outline { ring: straight(ring), holes: holes.iter().map(|hole| straight(hole)).collect() }
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Outline {
    Outline::new(straight(&[[x, y], [x + width, y], [x + width, y + height], [x, y + height]]))
}

fn circle(x: f64, y: f64, radius: f64) -> Outline {
    Outline::new(vec![Corner::new(x - radius, y).bowed(radius), Corner::new(x + radius, y).bowed(radius)])
}

fn near(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= 1e-6 * wanted + 1e-6
}

/// Shared area, what is left of either, and the distance: shapely 2.2.0 with GEOS 3.14.1.
const PAIRS: [(Shape, Shape, f64, f64, f64, f64); 10] = [
    (LAWN, HOUSE, 122.64142122681358, 349.11422877318637, 25.358578773186423, 0.0),
    (LAWN, DRIVE, 62.79228052240454, 408.96336947759545, 72.23861947759538, 0.0),
    (LAWN, BED, 42.0496820041377, 429.70596799586235, 47.36026799586229, 0.0),
    (LAWN, POND, 3.7637647825757385, 467.9918852174244, 1.1659852174242566, 0.0),
    (HOUSE, DRIVE, 37.361369431706805, 110.6386305682932, 97.66953056829315, 0.0),
    (HOUSE, BED, 0.0, 148.0, 89.40995000000001, 7.0740132704021015),
    (HOUSE, POND, 4.8172104105571805, 143.1827895894428, 0.11253958944281384, 0.0),
    (DRIVE, BED, 0.0, 135.0309, 89.40995000000001, 7.325330401320776),
    (DRIVE, POND, 4.854989584426753, 130.17591041557324, 0.07476041557324171, 0.0),
    (BED, POND, 0.0, 89.40995000000001, 4.92975, 9.543510884365356),
];

/// Areas and distances of pairs are those of another library, to a millionth.
#[test]
fn pairs_agree_with_shapely() {
    for (a, b, shared, a_left, b_left, gap) in PAIRS {
        let (a, b) = ([outline(a)], [outline(b)]);
        assert!(near(shared_area(&a, &b).get(), shared), "{shared} {:?}", shared_area(&a, &b));
        assert!(near(difference_area(&a, &b).get(), a_left), "{a_left} {:?}", difference_area(&a, &b));
        assert!(near(difference_area(&b, &a).get(), b_left), "{b_left} {:?}", difference_area(&b, &a));
        assert!(near(crate::outline::gap_between(&a, &b).get(), gap), "{gap}");
    }
}

/// Two circles share `2 r² acos(d / 2r) - d/2 √(4 r² - d²)` (E. W. Weisstein, *Circle-Circle Intersection*, MathWorld); one
/// inside the other shares all of itself.
#[test]
fn circles_share_their_lens() {
    let (r, d) = (5.0_f64, 6.0_f64);
    let lens = 2.0 * r * r * (d / (2.0 * r)).acos() - d / 2.0 * (4.0 * r * r - d * d).sqrt();
    let found = shared_area(&[circle(0.0, 0.0, r)], &[circle(d, 0.0, r)]).get();
    assert!((found / lens - 1.0).abs() < 2e-4, "{found} {lens}");
    let inner = shared_area(&[circle(0.0, 0.0, 5.0)], &[circle(1.0, 1.0, 2.0)]).get();
    assert!((inner / (4.0 * PI) - 1.0).abs() < 1e-6);
}

/// Pieces of one ground count once where they overlap; boxes that miss, grounds without corners and with odd numbers share
/// nothing.
#[test]
fn grounds_of_several_pieces() {
    let two = [rectangle(0.0, 0.0, 4.0, 4.0), rectangle(2.0, 0.0, 4.0, 4.0), rectangle(10.0, 0.0, 1.0, 1.0)];
    let all = [rectangle(-5.0, -5.0, 50.0, 50.0)];
    assert!(near(shared_area(&two, &all).get(), 25.0));
    assert!(near(difference_area(&two, &[]).get(), 25.0));
    assert!(near(difference_area(&all, &two).get(), 2_475.0));
    assert_eq!(shared_area(&two, &[rectangle(50.0, 50.0, 1.0, 1.0)]).get(), 0.0);
    assert_eq!(shared_area(&two, &[]).get(), 0.0);
    let odd = Outline::new(straight(&[[0.0, 0.0], [f64::NAN, 0.0], [1.0, f64::INFINITY]]));
    assert_eq!(shared_area(&two, &[odd]).get(), 0.0);
}

fn told(cells: &[Cell]) -> Vec<(&[usize], f64)> {
    cells.iter().map(|c| (&c.covered_by[..], c.area.get())).collect()
}

/// The lawn under four others: the combinations' areas by shapely 2.2.0 with GEOS 3.14.1. One of 0.017 m² is a sliver and
/// goes to the biggest.
#[test]
fn cells_agree_with_shapely() {
    let others = [HOUSE, DRIVE, BED, POND].map(|shape| [outline(shape)]);
    let others: Vec<&[Outline]> = others.iter().map(|o| &o[..]).collect();
    let found = cells(&[outline(LAWN)], &others);
    let wanted: [(&[usize], f64); 7] = [
        (&[], 277.68838610180575 + 0.016872832666815364),
        (&[0], 89.15054095607869),
        (&[2], 42.0496820041377),
        (&[0, 1], 29.743988320825956),
        (&[1], 29.3592878345761),
        (&[0, 1, 3], 3.6721315343356795),
        (&[0, 3], 0.07476041557324173),
    ];
    assert_eq!(found.len(), wanted.len(), "{:?}", told(&found));
    for (cell, (by, area)) in found.iter().zip(wanted) {
        assert!(cell.covered_by == by && near(cell.area.get(), area), "{cell:?} {area}");
        assert!(near(cell.share.get(), area / 471.75565), "{cell:?}");
    }
}

/// Others that are the ground itself, that cover all of it, that come twice, that miss it, or meet it along an edge.
#[test]
fn cells_of_plain_cases() {
    let ground = [rectangle(0.0, 0.0, 10.0, 10.0)];
    let (all, half) = ([rectangle(-1.0, -1.0, 20.0, 20.0)], [rectangle(0.0, 0.0, 5.0, 10.0)]);
    let (beside, away) = ([rectangle(10.0, 0.0, 5.0, 10.0)], [rectangle(100.0, 0.0, 1.0, 1.0)]);
    let found = cells(&ground, &[&ground, &half, &all, &half, &beside, &away, &[]]);
    assert_eq!(told(&found).iter().map(|(by, _)| *by).collect::<Vec<_>>(), [&[0, 1, 2, 3][..], &[0, 2]]);
    assert!(found.iter().all(|c| near(c.area.get(), 50.0) && near(c.share.get(), 0.5)));

    assert_eq!(told(&cells(&ground, &[])), [(&[][..], 100.0)]);
    assert_eq!(cells(&[], &[&ground]), []);
    // Two pieces far apart under the same other are one cell.
    let ends = [rectangle(0.0, 0.0, 1.0, 10.0), rectangle(9.0, 0.0, 1.0, 10.0)];
    let found = cells(&ground, &[&ends]);
    assert!(found.len() == 2 && near(found[1].area.get(), 20.0), "{found:?}");
}

/// An edge drawn twice, a centimetre off, makes no cell; ground smaller than a sliver is one cell.
#[test]
fn slivers_are_no_cells() {
    let ground = [rectangle(0.0, 0.0, 10.0, 4.0)];
    let off = [Outline::new(straight(&[[0.0, 0.0], [10.0, 0.01], [10.0, 4.0], [0.0, 4.0]]))];
    assert_eq!(told(&cells(&ground, &[&off])), [(&[0][..], 40.0)]);
    let wide = [rectangle(0.0, 0.0, 100.0, 100.0)];
    assert_eq!(cells(&wide, &[&[rectangle(0.0, 0.0, 1.0, 0.9)]]).len(), 1);
    assert_eq!(cells(&wide, &[&[rectangle(0.0, 0.0, 1.0, 1.1)]]).len(), 2);
    let pot = [rectangle(0.0, 0.0, 0.2, 0.2)];
    let found = cells(&pot, &[&[rectangle(0.0, 0.0, 0.05, 0.2)]]);
    assert!(found.len() == 1 && found[0].share.get() == 1.0 && found[0].covered_by.is_empty(), "{found:?}");
}

/// Overlapping pairs with their places; neighbours that share an edge do not overlap.
#[test]
fn overlaps_are_found() {
    let grounds = [LAWN, HOUSE, DRIVE, BED, POND].map(|shape| [outline(shape)]);
    let grounds: Vec<&[Outline]> = grounds.iter().map(|g| &g[..]).collect();
    let found = overlaps(&grounds);
    let pairs: Vec<_> = found.iter().map(|o| (o.a, o.b)).collect();
    assert_eq!(pairs, [(0, 1), (0, 2), (0, 3), (0, 4), (1, 2), (1, 4), (2, 4)]);
    assert!(near(found[4].area.get(), 37.361369431706805));
    for o in &found {
        assert!(grounds[o.a][0].contains(o.at) && grounds[o.b][0].contains(o.at), "{o:?}");
    }
    let beside = [[rectangle(0.0, 0.0, 3.3, 5.1)], [rectangle(3.3, -1.0, 2.0, 9.0)], [rectangle(5.295, 0.0, 2.0, 9.0)]];
    assert_eq!(overlaps(&beside.iter().map(|g| &g[..]).collect::<Vec<_>>()), []);
}

/// Neighbours along one arc, drawn from either end, and a round bed in a lawn's round hole neither overlap nor leave a gap.
#[test]
fn arcs_in_common_fit() {
    let lawn = Outline::new(vec![
        Corner::new(0.0, 0.0),
        Corner::new(9.3, 0.0).bowed(2.1),
        Corner::new(9.9, 8.7),
        Corner::new(0.0, 8.0),
    ]);
    let bed = Outline::new(vec![
        Corner::new(9.9, 8.7).bowed(-2.1),
        Corner::new(9.3, 0.0),
        Corner::new(16.0, 0.0),
        Corner::new(16.0, 9.0),
    ]);
    let pond = circle(4.0, 4.0, 1.7);
    let lawn = Outline { holes: vec![pond.ring.clone()], ..lawn };
    let grounds: [&[Outline]; 3] = [&[lawn], &[bed], &[pond]];
    assert_eq!(overlaps(&grounds), []);
    assert_eq!(gaps(&grounds), []);
}

/// Slits open at an end and a court with an island: areas by shapely 2.2.0 (mitred closing by 0.15 m less the union; holes of
/// the union less what lies in them).
#[test]
fn gaps_agree_with_shapely() {
    let slits = [
        straight(&[[0.0, 0.0], [10.0, 0.0], [10.0, 8.0], [0.0, 8.0]]),
        straight(&[[10.12, 1.0], [18.0, 1.3], [18.0, 8.0], [10.12, 8.0]]),
        straight(&[[0.0, 8.0], [18.0, 8.0], [17.0, 16.0], [0.0, 15.0]]),
        straight(&[[0.0, 15.1], [17.0, 16.25], [17.0, 20.0], [0.0, 20.0]]),
    ]
    .map(|ring| [Outline::new(ring)]);
    let found = gaps(&slits.iter().map(|g| &g[..]).collect::<Vec<_>>());
    assert_eq!(found.len(), 2, "{found:?}");
    for (gap, area) in found.iter().zip([2.9711265038279233, 0.8402741116751216]) {
        assert!((gap.area.get() / area - 1.0).abs() < 1e-4 && !gap.enclosed && gap.narrow, "{gap:?} {area}");
        assert!(slits.iter().all(|g| !g[0].contains(gap.at)) && gap.ring.len() >= 4);
    }

    let court = [
        straight(&[[30.0, 0.0], [42.0, 0.0], [42.0, 2.0], [30.0, 2.0]]),
        straight(&[[40.0, 2.0], [42.0, 2.0], [42.0, 10.0], [40.0, 10.0]]),
        straight(&[[30.0, 10.0], [42.0, 10.0], [42.0, 12.0], [30.0, 12.0]]),
        straight(&[[30.0, 2.0], [31.5, 2.0], [32.0, 10.0], [30.0, 10.0]]),
        straight(&[[35.0, 5.0], [36.0, 5.0], [36.0, 7.0], [35.0, 7.0]]),
    ]
    .map(|ring| [Outline::new(ring)]);
    let found = gaps(&court.iter().map(|g| &g[..]).collect::<Vec<_>>());
    assert!(found.len() == 1 && near(found[0].area.get(), 64.0), "{found:?}");
    assert!(found[0].enclosed && !found[0].narrow && court.iter().all(|g| !g[0].contains(found[0].at)));
}

/// Neighbours 0.1 m apart have a slit, 0.4 m apart none, closed at both ends a narrow enclosed one; an edge in common none.
#[test]
fn slits_by_width() {
    let beside = |apart: f64| gaps(&[&[rectangle(0.0, 0.0, 5.0, 6.0)], &[rectangle(5.0 + apart, 1.0, 5.0, 7.0)]]);
    assert_eq!(beside(0.0), []);
    assert_eq!(beside(0.4), []);
    let found = beside(0.1);
    assert!(found.len() == 1 && (found[0].area.get() - 0.5).abs() < 1e-3, "{found:?}");
    assert_eq!(beside(0.005), []);

    let frame = Outline {
        holes: vec![straight(&[[1.0, 1.0], [7.0, 1.0], [7.0, 5.0], [1.0, 5.0]])],
        ..rectangle(0.0, 0.0, 8.0, 6.0)
    };
    let found = gaps(&[from_ref(&frame), &[rectangle(1.1, 1.0, 5.9, 4.0)]]);
    assert!(found.len() == 1 && near(found[0].area.get(), 0.4) && found[0].enclosed && found[0].narrow, "{found:?}");
    assert_eq!(gaps(&[&[frame], &[rectangle(1.0, 1.0, 6.0, 4.0)]]), []);
    assert_eq!(gaps(&[]), []);
}

/// A ring round a place, its corners at rising angles and its sides bowed a little: it never crosses itself.
fn round() -> impl Strategy<Value = Outline> {
    let spokes = proptest::collection::vec((4.0..10.0_f64, -0.04..0.04_f64), 5..16);
    (spokes, -6.0..6.0_f64, -6.0..6.0_f64).prop_map(|(spokes, east, north)| {
        let n = spokes.len();
        let place = |i: usize| {
            let angle = 2.0 * PI * i as f64 / n as f64;
            [east + spokes[i].0 * angle.cos(), north + spokes[i].0 * angle.sin()]
        };
        let corner = |i: usize| {
            let ([x, y], to) = (place(i), place((i + 1) % n));
            Corner::new(x, y).bowed(spokes[i].1 * (to[0] - x).hypot(to[1] - y))
        };
        Outline::new((0..n).map(corner).collect())
    })
}

fn moved(outline: &Outline, turn: f64, by: [f64; 2]) -> Outline {
    let (s, k) = turn.sin_cos();
    let corner = |c: &Corner| {
        let [x, y] = c.at();
        Corner::new(k * x - s * y + by[0], s * x + k * y + by[1]).bowed(c.bow.get())
    };
    Outline::new(outline.ring.iter().map(corner).collect())
}

proptest! {
    #![proptest_config(crate::cases(300))] // 300 cases: each is up to a hundred boolean operations.

    /// What two share is the same either way round; what is left and what is shared are the whole; no place matters.
    #[test]
    fn shared_and_left_are_the_whole(
        a in round(), b in round(), turn in 0.0..2.0 * PI, east in -500.0..500.0_f64, north in -500.0..500.0_f64,
    ) {
        let both = shared_area(from_ref(&a), from_ref(&b)).get();
        let back = shared_area(from_ref(&b), from_ref(&a)).get();
        prop_assert!((both - back).abs() < 1e-5, "{both} {back}");
        let left = difference_area(from_ref(&a), from_ref(&b)).get();
        let whole = a.size().unwrap().area.get();
        prop_assert!((left + both - whole).abs() < 1e-5, "{left} {both} {whole}");
        let far = shared_area(&[moved(&a, turn, [east, north])], &[moved(&b, turn, [east, north])]).get();
        prop_assert!((far - both).abs() < 1e-5, "{far} {both}");
    }

    /// Cells add up to the ground, each combination comes once, and each other's cells add up to what it shares.
    #[test]
    fn cells_are_the_whole(ground in round(), others in proptest::collection::vec(round(), 0..6)) {
        let lists: Vec<&[Outline]> = others.iter().map(from_ref).collect();
        let found = cells(from_ref(&ground), &lists);
        let whole = ground.size().unwrap().area.get();
        prop_assert!((found.iter().map(|c| c.area.get()).sum::<f64>() / whole - 1.0).abs() < 1e-9);
        prop_assert!((found.iter().map(|c| c.share.get()).sum::<f64>() - 1.0).abs() < 1e-12);
        let mut combinations: Vec<_> = found.iter().map(|c| &c.covered_by).collect();
        combinations.sort();
        combinations.dedup();
        prop_assert_eq!(combinations.len(), found.len());
        for (k, other) in others.iter().enumerate() {
            let covered: f64 = found.iter().filter(|c| c.covered_by.contains(&k)).map(|c| c.area.get()).sum();
            let shared = shared_area(from_ref(&ground), from_ref(other)).get();
            // Slivers have gone to the biggest: at most 2⁵ of them.
            prop_assert!((covered - shared).abs() < 32.0 * SLIVER_M2, "{covered} {shared}");
        }
    }

    /// One piece has no gaps, and neither have two that share an edge, wherever they lie and however they are turned.
    #[test]
    fn whole_ground_has_no_gaps(
        one in round(), turn in 0.0..2.0 * PI, east in -500.0..500.0_f64, width in 1.0..20.0_f64, notch in 0.2..0.9_f64,
    ) {
        prop_assert_eq!(gaps(&[&[one]]), vec![]);
        let n = notch * width;
        let bent = Outline::new(straight(&[[0.0, 0.0], [width, 0.0], [width, n], [n, n], [n, width], [0.0, width]]));
        let bent = moved(&bent, turn, [east, 3.0]);
        let beside = moved(&rectangle(width, 0.0, 4.0, n), turn, [east, 3.0]);
        let filling = moved(&rectangle(n, n, width - n, width - n), turn, [east, 3.0]);
        prop_assert_eq!(gaps(&[from_ref(&bent)]), vec![]);
        let found = gaps(&[from_ref(&bent), from_ref(&beside), from_ref(&filling)]);
        prop_assert_eq!(found, vec![]);
        prop_assert_eq!(overlaps(&[&[bent], &[beside], &[filling]]), vec![]);
    }

    /// Two rectangles a little apart have one slit of their common length, wherever they lie and however they are turned.
    #[test]
    fn a_slit_is_found_anywhere(
        turn in 0.0..2.0 * PI, north in -500.0..500.0_f64, apart in 0.03..0.29_f64, length in 3.0..30.0_f64,
    ) {
        let a = moved(&rectangle(0.0, 0.0, 5.0, length), turn, [8.0, north]);
        let b = moved(&rectangle(5.0 + apart, 0.0, 2.0, length), turn, [8.0, north]);
        let found = gaps(&[&[a], &[b]]);
        prop_assert_eq!(found.len(), 1, "{:?}", found);
        prop_assert!((found[0].area.get() - apart * length).abs() < 1e-4 && !found[0].enclosed && found[0].narrow);
    }
}

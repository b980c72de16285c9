use proptest::prelude::*;

use super::*;

fn found(existing: &[[f64; 3]], proposed: &[[f64; 3]], boundary: Option<&[[f64; 2]]>) -> CutFill {
    cut_fill(&SurfacesInput {
        existing_m: existing.to_vec(),
        proposed_m: proposed.to_vec(),
        boundary_m: boundary.map(<[_]>::to_vec),
    })
    .unwrap()
}

/// A rectangle's corners on a plane.
fn plane(w: f64, h: f64, z: impl Fn(f64, f64) -> f64) -> Vec<[f64; 3]> {
    [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]].map(|[x, y]| [x, y, z(x, y)]).to_vec()
}

fn near(got: f64, expected: f64) {
    assert!((got - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{got} for {expected}");
}

/// Solids of geometry books: slab, wedge, roof, pyramid, tilted planes that cross, frustum.
#[test]
fn solids() {
    let flat = plane(10.0, 6.0, |_, _| 0.0);
    let slab = found(&flat, &plane(10.0, 6.0, |_, _| 0.25), None);
    near(slab.fill.get(), 15.0);
    near(slab.area.get(), 60.0);
    let wedge = found(&plane(10.0, 6.0, |x, _| 0.1 * x), &flat, None);
    near(wedge.cut.get(), 30.0);
    near(wedge.net.get(), -30.0);
    // d = x / 10 - 0.5: half the plot to cut, half to fill, wedges of 0.5 × 5 / 2 × 6 each.
    let crossed = found(&flat, &plane(10.0, 6.0, |x, _| 0.1 * x - 0.5), None);
    near(crossed.cut.get(), 7.5);
    near(crossed.fill.get(), 7.5);
    near(crossed.net.get(), 0.0);
    // d = 0.1 x + 0.2 y - 1 over 10 × 6 is above 0 for x > 10 - 2 y: a width of 2 y up to y = 5, then all of it.
    let slanting = found(&flat, &plane(10.0, 6.0, |x, y| 0.1 * x + 0.2 * y - 1.0), None);
    // Up to y = 5: ∫ 0.1 (2 y)² / 2 dy = 0.2 · 125 / 3; beyond: ∫5..6 (10 (0.2 y - 1) + 5) dy = 6.
    near(slanting.fill.get(), 0.2 * 125.0 / 3.0 + 6.0);
    near(slanting.net.get(), 60.0 * (0.5 + 0.6 - 1.0));
    // A frustum of 4 × 4 on 10 × 10, 3 high: h/3 (A1 + √(A1 A2) + A2) = 156.
    let ground = plane(10.0, 10.0, |_, _| 0.0);
    let mut frustum = ground.clone();
    frustum.extend([[3.0, 3.0, 3.0], [7.0, 3.0, 3.0], [7.0, 7.0, 3.0], [3.0, 7.0, 3.0]]);
    near(found(&ground, &frustum, None).fill.get(), 156.0);
    // A pit in the middle: the pyramid upside down, cut through the level that is left.
    let mut pit = plane(10.0, 10.0, |_, _| 1.0);
    pit.push([5.0, 5.0, -2.0]);
    let through = found(&ground, &pit, None);
    // The pit's pyramid, 3 deep, is 100; its tip below 0 is (2/3)³ of it; above 0 the slab's 100 less the rest.
    near(through.cut.get(), 100.0 * 8.0 / 27.0);
    near(through.net.get(), 0.0);
    // One prism: 30 m² and depths 0.2, 0.5, 0.1 hold 8 m³.
    let base = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 6.0, 0.0]];
    near(found(&base, &[[0.0, 0.0, 0.2], [10.0, 0.0, 0.5], [0.0, 6.0, 0.1]], None).fill.get(), 8.0);
}

/// A cone of many sides tends to π r² h / 3, and is that of its polygon to the last digits.
#[test]
fn cone() {
    let sides = 720;
    let rim: Vec<[f64; 3]> = (0..sides)
        .map(|i| (i as f64 * std::f64::consts::TAU / f64::from(sides)).sin_cos())
        .map(|(s, c)| [4.0 * c, 4.0 * s, 0.0])
        .collect();
    let mut pile = rim.clone();
    pile.push([0.0, 0.0, 1.5]);
    let base = polygon::polygon_area(&rim.iter().map(|p| [p[0], p[1]]).collect::<Vec<_>>(), &[]).unwrap();
    let found = found(&rim, &pile, None);
    near(found.fill.get(), base.area.get() * 0.5);
    assert!((found.fill.get() - std::f64::consts::PI * 16.0 * 0.5).abs() < 5e-4);
}

/// The boundary takes a piece, also one with a corner that turns inward; the surfaces reach further.
#[test]
fn boundary() {
    let flat = plane(10.0, 10.0, |_, _| 0.0);
    let tilted = plane(10.0, 10.0, |x, _| 0.1 * x - 0.5);
    let ell = [[2.0, 2.0], [8.0, 2.0], [8.0, 4.0], [4.0, 4.0], [4.0, 8.0], [2.0, 8.0]];
    // 6 × 2 at 2..8 (two halves of 3: mean ±0.15) and 2 × 4 at 2..4 (mean -0.2).
    for ring in
        [ell.to_vec(), ell.iter().rev().copied().collect(), ell.iter().cycle().skip(4).take(6).copied().collect()]
    {
        let got = found(&flat, &tilted, Some(&ring));
        near(got.area.get(), 20.0);
        near(got.fill.get(), 6.0 * 0.15);
        near(got.cut.get(), 6.0 * 0.15 + 8.0 * 0.2);
    }
    // The default: what both cover.
    let shifted: Vec<[f64; 3]> = flat.iter().map(|[x, y, _]| [x + 6.0, y - 7.0, 2.0]).collect();
    let both = found(&flat, &shifted, None);
    near(both.area.get(), 12.0);
    near(both.fill.get(), 24.0);
}

#[test]
fn refusals_name_list_and_place() {
    let flat = plane(10.0, 10.0, |_, _| 0.0);
    let told = |existing: &[[f64; 3]], proposed: &[[f64; 3]], boundary: Option<Vec<[f64; 2]>>| {
        let input =
            SurfacesInput { existing_m: existing.to_vec(), proposed_m: proposed.to_vec(), boundary_m: boundary };
        cut_fill(&input).unwrap_err().to_string()
    };
    assert_eq!(
        told(&[[0.0, 0.0, 0.0], [1.0, 0.0, f64::NAN], [1.0, 1.0, 0.0]], &flat, None),
        "existing: existing[1][2] is NaN m; it must be between -10000 and 10000 m"
    );
    assert!(told(&flat[..2], &flat, None).contains("2 spots"));
    assert!(told(&vec![[0.0; 3]; SPOTS_MAX + 1], &flat, None).contains("5001 spots"));
    assert!(told(&flat, &[[0.0, 0.0, 1.0], [5.0, 5.0, 1.0], [10.0, 10.0, 1.0]], None).contains("on one line"));
    let mut twice = flat.clone();
    twice.push([10.0, 0.0, 0.5]);
    assert_eq!(told(&flat, &twice, None), "proposed: proposed[4] has height 0.5 m where proposed[1] has 0");
    let away: Vec<[f64; 3]> = flat.iter().map(|[x, y, z]| [x + 10.0, *y, *z]).collect();
    assert_eq!(told(&flat, &away, None), "proposed: covers no ground that existing covers");
    let ring = |w: f64| Some(vec![[0.0, 0.0], [w, 0.0], [w, 10.0], [0.0, 10.0]]);
    assert!(told(&flat, &flat, ring(11.0)).contains("takes in 110.000 m², of which existing covers 100.000"));
    let narrow = plane(8.0, 10.0, |_, _| 1.0);
    assert!(told(&flat, &narrow, ring(10.0)).contains("of which proposed covers 80.000"));
    let bow = vec![[0.0, 0.0], [9.0, 9.0], [9.0, 0.0], [0.0, 9.0]];
    assert!(told(&flat, &flat, Some(bow)).starts_with("boundary: crosses or touches itself"));
    assert!(told(&flat, &flat, Some(vec![[0.0, 0.0]; 501])).contains("501 corners"));
}

/// The same spot twice is one spot; a place given a millionth of a millionth off is no fault.
#[test]
fn doubles_are_one() {
    let flat = plane(10.0, 10.0, |_, _| 0.0);
    let mut twice = plane(10.0, 10.0, |_, _| 1.0);
    twice.push([10.0, 0.0, 1.0]);
    twice.push([1e-300, 1e-13, 1.0]);
    near(found(&flat, &twice, None).fill.get(), 100.0);
}

fn spots(z: std::ops::Range<f64>) -> impl Strategy<Value = Vec<[f64; 3]>> {
    prop::collection::vec((0.0..20.0_f64, 0.0..20.0_f64, z), 4..24).prop_map(|s| {
        let mut spots: Vec<[f64; 3]> = s.iter().map(|&(x, y, z)| [x, y, z]).collect();
        spots.extend(plane(20.0, 20.0, |x, y| 0.01 * x - 0.02 * y));
        spots
    })
}

proptest! {
    // Four to eight surfaces a case, 0.4 ms: a hundred thousand would take half a minute.
    #![proptest_config(crate::cases(10_000))]

    /// Turning, moving, lifting both, another order and swapping the two leave the volumes or swap them; the net volume is
    /// the difference of what stands over a plane below.
    #[test]
    fn volumes_keep(a in spots(-1.0..1.0), b in spots(-1.0..1.0), angle in 0.0..6.3_f64, dx in -1e3..1e3_f64, lift in -50.0..50.0_f64) {
        let base = found(&a, &b, None);
        prop_assert!((base.area.get() - 400.0).abs() < 1e-9);
        prop_assert!((base.fill - base.cut - base.net).get().abs() < 1e-12);
        let close = |x: f64, y: f64, tolerance: f64| (x - y).abs() <= tolerance;
        let (s, c) = angle.sin_cos();
        let moved = |spots: &[[f64; 3]]| -> Vec<[f64; 3]> {
            spots.iter().rev().map(|[x, y, z]| [c * x - s * y + dx, s * x + c * y - 2.0 * dx, z + lift]).collect()
        };
        let turned = found(&moved(&a), &moved(&b), None);
        prop_assert!(close(turned.cut.get(), base.cut.get(), 1e-7) && close(turned.fill.get(), base.fill.get(), 1e-7), "{:?} {:?}", turned, base);
        let back = found(&b, &a, None);
        prop_assert!(close(back.fill.get(), base.cut.get(), 1e-9) && close(back.cut.get(), base.fill.get(), 1e-9));
        let floor = plane(20.0, 20.0, |_, _| -5.0);
        let (over_a, over_b) = (found(&floor, &a, None).fill.get(), found(&floor, &b, None).fill.get());
        prop_assert!(close(over_b - over_a, base.net.get(), 1e-9), "{} {}", over_b - over_a, base.net.get());
    }

    /// A boundary and what it leaves of the plot hold together what the plot holds.
    #[test]
    fn volumes_add_up(a in spots(-1.0..1.0), b in spots(-1.0..1.0), at in 2.0..18.0_f64, lean in -1.5..1.5_f64) {
        let base = found(&a, &b, None);
        let left = [[0.0, 0.0], [at, 0.0], [at + lean, 20.0], [0.0, 20.0]];
        let right = [[20.0, 0.0], [20.0, 20.0], [at + lean, 20.0], [at, 0.0]];
        let (left, right) = (found(&a, &b, Some(&left)), found(&a, &b, Some(&right)));
        prop_assert!((left.cut + right.cut - base.cut).get().abs() < 1e-9);
        prop_assert!((left.fill + right.fill - base.fill).get().abs() < 1e-9);
        prop_assert!((left.area + right.area - base.area).get().abs() < 1e-9);
    }
}

proptest! {
    #![proptest_config(crate::cases(100_000))]

    /// Any spots: an error, or finite figures not below nothing.
    #[test]
    fn any_spots_are_safe(
        a in prop::collection::vec(prop::array::uniform3(prop_oneof![4 => (-3..4).prop_map(f64::from), 3 => -3.0..3.0_f64, 1 => any::<f64>()]), 0..9),
        b in prop::collection::vec(prop::array::uniform3(prop_oneof![(-3..4).prop_map(f64::from), -3.0..3.0_f64]), 0..9),
        ring in prop::option::of(prop::collection::vec(prop::array::uniform2((-3..4).prop_map(f64::from)), 0..6)),
    ) {
        if let Ok(found) = cut_fill(&SurfacesInput { existing_m: a, proposed_m: b, boundary_m: ring }) {
            for figure in [found.cut.get(), found.fill.get(), found.area.get()] {
                prop_assert!(figure.is_finite() && figure >= 0.0);
            }
        }
    }
}

use proptest::prelude::*;

use super::*;

fn corner(id: &str, x: f64, y: f64) -> KnownCorner {
    KnownCorner { id: id.into(), x: Metres::new(x), y: Metres::new(y) }
}

fn point(id: &str, from: &[(&str, f64)], near: Option<[f64; 2]>) -> SoughtPoint {
    let from = from.iter().map(|(id, d)| Distance { id: (*id).into(), distance: Metres::new(*d) });
    SoughtPoint { id: id.into(), from: from.collect(), near_m: near }
}

fn tie(a: &str, b: &str, d: f64) -> Tie {
    Tie { a: a.into(), b: b.into(), distance: Metres::new(d) }
}

fn at(found: &TapeSurvey, i: usize) -> [f64; 2] {
    [found.points[i].x.get(), found.points[i].y.get()]
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

fn house() -> Vec<KnownCorner> {
    vec![corner("A", 0.0, 0.0), corner("B", 20.0, 0.0), corner("C", 20.0, 9.0)]
}

fn surveyed(corners: Vec<KnownCorner>, points: Vec<SoughtPoint>, ties: Vec<Tie>) -> Result<TapeSurvey, ReckonError> {
    tape_survey(&TapeSurveyInput { corners, points, ties })
}

/// Three distances to a point in the middle of three like corners, each 0.03 m too long or short, by hand: by symmetry the
/// point stays where a common error leaves it, and a single error of one moves it two thirds of it along that line.
#[test]
fn least_squares_by_hand() {
    // Corners at 120°, 10 m away: the normal equations are 3/2 times the unit matrix.
    let ring: Vec<KnownCorner> = [("P", 90.0_f64), ("Q", 210.0), ("R", 330.0)]
        .map(|(id, deg)| corner(id, 10.0 * deg.to_radians().cos(), 10.0 * deg.to_radians().sin()))
        .to_vec();
    let long = point("m", &[("P", 10.03), ("Q", 10.03), ("R", 10.03)], None);
    let found = surveyed(ring.clone(), vec![long], vec![]).unwrap();
    assert!(apart(at(&found, 0), [0.0, 0.0]) < 1e-9);
    assert_eq!(found.redundancy, 1);
    // v = -0.03 each; σ0 = 0.03 √3; σx² = σy² = σ0² 2/3; position √(4/3) σ0 = 0.06.
    assert!((found.distance_error.get() - 0.03 * 3.0_f64.sqrt()).abs() < 1e-9);
    assert!((found.points[0].standard_error.get() - 0.06).abs() < 1e-9);
    for r in &found.residuals {
        assert!((r.residual.get() + 0.03).abs() < 1e-9);
        // One third of each distance is checked by the others.
        assert!((r.standardised.abs() - 0.03 * 3.0_f64.sqrt()).abs() < 1e-6);
    }
    // A small error of one distance: two thirds go into the place, one third into each residual.
    let one = point("m", &[("P", 10.003), ("Q", 10.0), ("R", 10.0)], None);
    let found = surveyed(ring, vec![one], vec![]).unwrap();
    assert!(apart(at(&found, 0), [0.0, -0.002]) < 1e-6, "{found:?}");
    assert!(found.residuals.iter().all(|r| (r.residual.get() + 0.001).abs() < 1e-6));
}

/// Two distances: D 20, d 13 and 19.2094 m fix the point at 5, 12, worked by hand; `near` picks the side, and without a
/// third distance the error of a tape is assumed.
#[test]
fn two_distances() {
    let two = |near| surveyed(house()[..2].to_vec(), vec![point("t", &[("A", 13.0), ("B", 19.2094)], near)], vec![]);
    for (near, y) in [([5.0, 1.0], 12.0), ([0.0, -30.0], -12.0)] {
        let found = two(Some(near)).unwrap();
        assert!(apart(at(&found, 0), [5.0, y]) < 5e-5);
        assert_eq!((found.redundancy, found.worst, found.distance_error), (0, None, DISTANCE_ERROR_DEFAULT));
        assert!(found.residuals.iter().all(|r| r.residual.get().abs() < 1e-9 && r.standardised == 0.0));
    }
    let error = two(None).unwrap_err().to_string();
    assert!(error.starts_with("points: points[0].near is missing: the distances fit at [5.00, "), "{error}");
    // A third distance tells, and so does a tie to a point that is fixed.
    let third = point("t", &[("A", 13.0), ("B", 19.2094), ("C", 15.297)], None);
    assert!(apart(at(&surveyed(house(), vec![third], vec![]).unwrap(), 0), [5.0, 12.0]) < 1e-3);
    let by_tie = surveyed(
        house(),
        vec![
            point("t", &[("A", 13.0), ("B", 19.2094)], None),
            point("s", &[("A", 11.1803), ("B", 18.0278), ("C", 15.1327)], Some([5.0, 10.0])),
        ],
        vec![tie("s", "t", 2.0)],
    );
    assert!(apart(at(&by_tie.unwrap(), 0), [5.0, 12.0]) < 1e-3);
}

/// A yard with one slip of half a metre: the slip's distance is named.
#[test]
fn the_slip_is_named() {
    let true_places = [("p", [4.0, 15.0]), ("q", [16.0, 18.0]), ("r", [-6.0, 7.0])];
    let corners = [("A", [0.0, 0.0]), ("B", [20.0, 0.0]), ("C", [20.0, 9.0])];
    for slip in 0..12 {
        let mut k = 0;
        // Millimetres of tape error beside the slip of half a metre.
        let mut measure = |a: [f64; 2], b: [f64; 2]| {
            let wobble = 0.002 * f64::from((k * 7 + 3) % 5 - 2);
            k += 1;
            apart(a, b) + wobble + if k - 1 == slip { 0.5 } else { 0.0 }
        };
        let points: Vec<SoughtPoint> =
            true_places.iter().map(|(id, p)| point(id, &corners.map(|(c, at)| (c, measure(at, *p))), None)).collect();
        let ties = [(0, 1), (1, 2), (0, 2)]
            .map(|(i, j)| tie(true_places[i].0, true_places[j].0, measure(true_places[i].1, true_places[j].1)));
        let found = surveyed(house(), points, ties.to_vec()).unwrap();
        assert_eq!(found.redundancy, 6);
        assert_eq!(found.worst, Some(slip as usize), "{found:#?}");
    }
}

/// Points measured from later ones, in any order, and a ring of points that starts from a guess.
#[test]
fn points_from_points() {
    let found = surveyed(
        house(),
        vec![
            point("far", &[("mid", 5.0), ("A", 14.142_135_623_73), ("B", 14.142_135_623_73)], Some([10.0, 10.0])),
            point("mid", &[("A", 11.180_339_887_5), ("C", 10.770_329_614_3)], Some([10.0, 5.0])),
        ],
        vec![],
    )
    .unwrap();
    assert!(apart(at(&found, 0), [10.0, 10.0]) < 1e-8 && apart(at(&found, 1), [10.0, 5.0]) < 1e-8, "{found:?}");
    // Each from one corner and from each other: a guess starts, the distances decide.
    let (p, q) = ([3.0, 8.0], [12.0, 11.0]);
    let linked = |near| {
        let from = |id, c: [f64; 2], p| (id, apart(c, p));
        surveyed(
            house(),
            vec![
                point("p", &[from("A", [0.0, 0.0], p), from("q", q, p)], near),
                point("q", &[from("B", [20.0, 0.0], q), from("C", [20.0, 9.0], q)], Some([12.0, 10.0])),
            ],
            vec![],
        )
    };
    let found = linked(Some([2.0, 9.0])).unwrap();
    assert!(apart(at(&found, 0), p) < 1e-8 && apart(at(&found, 1), q) < 1e-8);
    assert_eq!(linked(None).unwrap_err().field(), "points");
}

#[test]
fn refusals_name_list_and_place() {
    let good = point("t", &[("A", 13.0), ("B", 19.2), ("C", 15.3)], None);
    let told = |points: Vec<SoughtPoint>, ties| surveyed(house(), points, ties).unwrap_err().to_string();
    assert!(
        surveyed(house()[..1].to_vec(), vec![good.clone()], vec![]).unwrap_err().to_string().starts_with("corners: 1")
    );
    assert!(told(vec![], vec![]).starts_with("points: 0 of them"));
    assert!(told(vec![good.clone(), good.clone()], vec![]).contains("points[1].id is \"t\""));
    assert!(told(vec![point("", &[("A", 1.0)], None)], vec![]).contains("points[0].id is empty"));
    assert!(told(vec![point("t", &[("A", 13.0), ("D", 1.0)], None)], vec![]).contains("points[0].from[1].id is \"D\""));
    assert!(told(vec![point("t", &[("t", 13.0)], None)], vec![]).contains("the point itself"));
    assert!(told(vec![point("t", &[("A", f64::NAN)], None)], vec![]).contains("points[0].from[0].distance_m is NaN m"));
    assert!(told(vec![point("t", &[("A", 13.0)], None)], vec![]).contains("points[0] has fewer than two"));
    assert!(told(vec![point("t", &[("A", 5.0), ("B", 5.0)], None)], vec![]).contains("points[0] is not fixed"));
    assert!(told(vec![good.clone()], vec![tie("t", "x", 1.0)]).starts_with("ties: ties[0].b is \"x\""));
    assert!(told(vec![good.clone()], vec![tie("A", "B", 20.0)]).contains("both corners"));
    assert!(told(vec![good.clone()], vec![tie("t", "t", 1.0)]).contains("same place"));
    assert!(told(vec![good.clone()], vec![tie("A", "t", 1e9)]).contains("ties[0].distance_m is 1000000000 m"));
    let far = vec![corner("A", f64::INFINITY, 0.0), corner("B", 1.0, 1.0)];
    assert!(surveyed(far, vec![good], vec![]).unwrap_err().to_string().contains("corners[0].x_m is inf m"));
}

proptest! {
    // A whole survey adjusted from poor starts, 0.4 ms a case.
    #![proptest_config(crate::cases(10_000))]

    /// Distances without error give the places back, from any three corners that are no line; turning, moving and another
    /// order of the distances move the places along and leave the residuals.
    #[test]
    fn true_distances_give_the_places_back(
        places in prop::collection::vec((-15.0..35.0_f64, 12.0..40.0_f64), 1..6), angle in 0.0..6.3_f64, dx in -1e4..1e4_f64, off in -0.05..0.05_f64,
    ) {
        let (s, c) = angle.sin_cos();
        let survey = |turn: bool, off: f64| {
            let to = move |x: f64, y: f64| if turn { [c * x - s * y + dx, s * x + c * y - dx] } else { [x, y] };
            let corners: Vec<KnownCorner> =
                house().iter().map(|k| { let [x, y] = to(k.x.get(), k.y.get()); corner(&k.id, x, y) }).collect();
            let points: Vec<SoughtPoint> = places.iter().enumerate().map(|(i, &(x, y))| {
                let mut from: Vec<(&str, f64)> = [("A", [0.0, 0.0]), ("B", [20.0, 0.0]), ("C", [20.0, 9.0])]
                    .map(|(id, k)| (id, apart(k, [x, y]) + if id == "A" { off } else { 0.0 })).to_vec();
                if turn { from.reverse(); }
                point(&format!("p{i}"), &from, None)
            }).collect();
            (surveyed(corners, points, vec![]), to)
        };
        let (found, _) = survey(false, 0.0);
        let found = found.unwrap();
        for (i, &(x, y)) in places.iter().enumerate() {
            prop_assert!(apart(at(&found, i), [x, y]) < 1e-8, "{:?}", found);
            prop_assert!(found.points[i].standard_error.get() < 1e-6);
        }
        let ((plain, _), (turned, to)) = (survey(false, off), survey(true, off));
        let (plain, turned) = (plain.unwrap(), turned.unwrap());
        for i in 0..places.len() {
            let [x, y] = at(&plain, i);
            prop_assert!(apart(at(&turned, i), to(x, y)) < 1e-6);
            prop_assert!((plain.points[i].standard_error - turned.points[i].standard_error).get().abs() < 1e-6);
        }
        let squares = |t: &TapeSurvey| t.residuals.iter().map(|r| r.residual.get().powi(2)).sum::<f64>();
        prop_assert!((squares(&plain) - squares(&turned)).abs() < 1e-9);
    }
}

proptest! {
    #![proptest_config(crate::cases(100_000))]

    /// Any survey: an error, or figures that are finite.
    #[test]
    fn any_survey_is_safe(
        corners in prop::collection::vec((-3_i32..4, -3_i32..4), 2..4),
        from in prop::collection::vec((0_usize..4, 0_usize..7, prop_oneof![4 => 0.1..8.0_f64, 1 => any::<f64>()]), 0..14),
        near in prop::collection::vec(prop::option::of(prop::array::uniform2(-4.0..4.0_f64)), 4),
        ties in prop::collection::vec((0_usize..7, 0_usize..7, 0.1..8.0_f64), 0..4),
    ) {
        let name = |i: usize| if i < corners.len() { format!("c{i}") } else { format!("p{}", i - corners.len()) };
        let input = TapeSurveyInput {
            corners: corners.iter().enumerate().map(|(i, &(x, y))| corner(&name(i), f64::from(x), f64::from(y))).collect(),
            points: (0..4).map(|p| SoughtPoint {
                id: format!("p{p}"),
                from: from.iter().filter(|(to, ..)| *to == p).map(|&(_, i, d)| Distance { id: name(i), distance: Metres::new(d) }).collect(),
                near_m: near[p],
            }).collect(),
            ties: ties.iter().map(|&(a, b, d)| tie(&name(a), &name(b), d)).collect(),
        };
        if let Ok(found) = tape_survey(&input) {
            for p in &found.points {
                prop_assert!(p.x.get().is_finite() && p.y.get().is_finite() && p.standard_error.get().is_finite());
            }
            prop_assert!(found.residuals.iter().all(|r| r.residual.get().is_finite() && r.standardised.is_finite()));
        }
    }
}

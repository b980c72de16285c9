use proptest::prelude::*;

use super::*;
use crate::coverage::{Lean, coverage};

fn head(x: f64, y: f64, radius: f64, from: f64, arc: f64, flow: f64) -> Head {
    Head {
        x: Metres::new(x),
        y: Metres::new(y),
        radius: Metres::new(radius),
        arc_from: Degrees::new(from),
        arc: Degrees::new(arc),
        flow: LitresPerMinute::new(flow),
        profile: None,
        lean: None,
    }
}

/// Quarter heads in the corners of a square, each throwing to the next.
fn square() -> CoverageInput {
    let quarter = |x, y, from| head(x, y, 10.0, from, 90.0, 5.0);
    CoverageInput {
        area_m: vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]],
        holes_m: vec![],
        heads: vec![
            quarter(0.0, 0.0, 0.0),
            quarter(0.0, 10.0, 90.0),
            quarter(10.0, 10.0, 180.0),
            quarter(10.0, 0.0, 270.0),
        ],
        cell: Metres::new(0.25),
    }
}

fn best(input: &CoverageInput, keep: usize) -> Vec<HeadChange> {
    best_changes(input, &ChangeOptions { keep }).unwrap()
}

/// A head turned out of the square, by any of the angles, is turned back, and the square is then watered as it was laid
/// out.
#[test]
fn a_head_turned_the_wrong_way_is_turned_back() {
    let laid_out = coverage(&square()).unwrap();
    for turned in [180.0, 90.0, -90.0, 45.0, -20.0] {
        for (i, from) in [0.0, 90.0, 180.0, 270.0].into_iter().enumerate() {
            let mut input = square();
            input.heads[i].arc_from = Degrees::new((from + turned) % 360.0);
            let first = best(&input, 5)[0];
            assert_eq!((first.head, first.change), (i, Change::Turn { arc_from: Degrees::new(from) }), "{turned}");
            assert!((first.after.du_lq - laid_out.du_lq).get().abs() < 1e-9);
            assert_eq!(first.before, coverage(&input).unwrap());
        }
    }
}

/// The one head that leans is to be set upright.
#[test]
fn a_leaning_head_is_straightened() {
    for (angle, towards) in [(15.0, 45.0), (25.0, 45.0), (20.0, 225.0), (20.0, 0.0)] {
        let mut input = square();
        input.heads[0].lean = Some(Lean { angle: Degrees::new(angle), towards: Degrees::new(towards) });
        let first = best(&input, 5)[0];
        assert_eq!((first.head, first.change), (0, Change::Straighten), "{angle} {towards}");
    }
}

/// A head set a metre into the square is moved back into its corner, and never off the ground.
#[test]
fn a_head_out_of_place_is_moved_back() {
    let mut input = square();
    input.heads[0].y = Metres::new(1.0);
    let found = best(&input, 5);
    let back = Change::Move { east: Metres::new(0.0), north: Metres::new(-1.0) };
    assert!(found[..3].iter().any(|c| c.head == 0 && c.change == back), "{found:#?}");
    // With a bed in the way of the move, it is not offered.
    input.holes_m = vec![vec![[-1.0, -1.0], [0.9, -1.0], [0.9, 0.9], [-1.0, 0.9]]];
    assert!(best(&input, 100).iter().all(|c| c.head != 0 || c.change != back));
}

/// A square laid out by the book has no change that gains anything; a head that throws over the fence loses water by a
/// narrower arc.
#[test]
fn a_good_layout_is_left_alone() {
    assert_eq!(best(&square(), 100), []);
    let mut input = square();
    input.heads = vec![head(5.0, 0.0, 5.0, 270.0, 270.0, 5.0)];
    let found = best(&input, 100);
    assert!(found.iter().any(|c| matches!(c.change, Change::Arc { .. }) && c.after.off_target < c.before.off_target));
}

#[test]
fn limits_and_refusals_name_the_field() {
    let refuse = |change: &dyn Fn(&mut CoverageInput), keep| {
        let mut bad = square();
        change(&mut bad);
        best_changes(&bad, &ChangeOptions { keep }).unwrap_err().field()
    };
    assert_eq!(refuse(&|_| {}, 0), "keep");
    assert_eq!(refuse(&|_| {}, 101), "keep");
    assert_eq!(refuse(&|i| i.heads.clear(), 5), "heads");
    assert_eq!(refuse(&|i| i.cell = Metres::new(0.01), 5), "cell_m");
    // A head that is shut off stays out of it, whatever one could do with it.
    let mut input = square();
    input.heads[2].flow = LitresPerMinute::new(0.0);
    assert!(best(&input, 100).iter().all(|c| c.head != 2));
}

fn any_head() -> impl Strategy<Value = Head> {
    (
        (-2.0..14.0, -2.0..12.0, 1.0..8.0, -360.0..360.0, 1.0..=360.0, 0.5..20.0),
        prop::option::of(prop::collection::vec(0.01..1.0, 1..6)),
        prop::option::of((0.0..=30.0, -360.0..=360.0)),
    )
        .prop_map(|((x, y, radius, from, arc, flow), profile, lean)| Head {
            profile,
            lean: lean.map(|(angle, towards)| Lean { angle: Degrees::new(angle), towards: Degrees::new(towards) }),
            ..head(x, y, radius, from, arc, flow)
        })
}

proptest! {
    #![proptest_config(crate::cases(1_000))]

    /// What is told is what a fresh computation of the changed heads gives; the list is in order, every entry is worth
    /// telling, and no head has two of a kind.
    #[test]
    fn changes_are_what_they_say(
        heads in prop::collection::vec(any_head(), 1..6), keep in 1_usize..40,
        hole in prop::collection::vec([0.0..12.0, 0.0..10.0], 3..5),
    ) {
        let input = CoverageInput {
            area_m: vec![[0.0, 0.0], [12.0, 0.0], [12.0, 10.0], [0.0, 10.0]],
            holes_m: vec![hole],
            heads,
            cell: Metres::new(0.5),
        };
        let before = coverage(&input).unwrap();
        let found = best(&input, keep);
        prop_assert!(found.len() <= keep);
        for (place, told) in found.iter().enumerate() {
            let mut changed = input.clone();
            changed.heads[told.head] = told.change.applied_to(&changed.heads[told.head]);
            prop_assert_eq!(told.after, coverage(&changed).unwrap());
            prop_assert_eq!(told.before, before);
            let gain = (told.after.du_lq - before.du_lq).get();
            let cut = (before.off_target - told.after.off_target).get();
            prop_assert!(gain > 0.005 - 1e-8 || (cut > 0.02 - 1e-8 && gain > -1e-8), "{:?}", told);
            for earlier in &found[..place] {
                prop_assert!(earlier.after.du_lq.get() > told.after.du_lq.get() - 1e-8);
                let same = std::mem::discriminant(&earlier.change) == std::mem::discriminant(&told.change);
                prop_assert!(!same || earlier.head != told.head);
            }
        }
    }
}

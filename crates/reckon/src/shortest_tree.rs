//! The shortest set of straight lines that joins places: where pipes run that nobody drew.

use crate::error::ReckonError;

/// Most places joined.
pub const PLACES_MAX: usize = 1_000;

/// The place each place hangs on, walking from the first: `(place, the one before it, metres between)`, nearest first.
///
/// Of all ways to join the places by straight lines from place to place, the one whose lines are shortest in all.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | places | east and north | m | finite; 1 ..= 1,000 of them |
///
/// Left out: junctions between places, which can shorten it by up to 13 %, and everything a trench goes around.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `places`: none, too many, or one that is not finite.
///
/// # Source
/// R. C. Prim, *Shortest connection networks and some generalizations*, Bell System Technical Journal 36, 1957.
///
/// # Examples
/// Heads at 3, 6 and 9 m from a valve hang one behind the other.
/// ```
/// use reckon::shortest_tree::shortest_tree;
///
/// let tree = shortest_tree(&[[0.0, 0.0], [9.0, 0.0], [3.0, 0.0], [6.0, 0.0]])?;
/// assert_eq!(tree, [(2, 0, 3.0), (3, 2, 3.0), (1, 3, 3.0)]);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn shortest_tree(places: &[[f64; 2]]) -> Result<Vec<(usize, usize, f64)>, ReckonError> {
    let refused = |message: String| Err(ReckonError::Inconsistent { field: "places", message });
    if places.is_empty() || places.len() > PLACES_MAX {
        return refused(format!("{} places; there must be 1 to {PLACES_MAX}", places.len()));
    }
    if let Some(i) = places.iter().position(|p| !(p[0].is_finite() && p[1].is_finite())) {
        return refused(format!("places[{i}] is no place"));
    }
    let far = |a: usize, b: usize| (places[a][0] - places[b][0]).hypot(places[a][1] - places[b][1]);
    // For each place not yet joined: the joined one nearest to it.
    let mut open: Vec<(usize, usize, f64)> = (1..places.len()).map(|i| (i, 0, far(i, 0))).collect();
    let mut tree = Vec::with_capacity(open.len());
    while let Some(next) = (0..open.len()).min_by(|&a, &b| open[a].2.total_cmp(&open[b].2)) {
        let joined = open.swap_remove(next);
        for (i, before, metres) in &mut open {
            let nearer = far(*i, joined.0);
            if nearer < *metres {
                (*before, *metres) = (joined.0, nearer);
            }
        }
        tree.push(joined);
    }
    Ok(tree)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn length(places: &[[f64; 2]]) -> f64 {
        shortest_tree(places).unwrap().iter().map(|t| t.2).sum()
    }

    /// A unit square is joined by three of its sides, a centre by its four spokes (geometry).
    #[test]
    fn square_and_star() {
        assert_eq!(length(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]), 3.0);
        assert_eq!(length(&[[0.0, 0.0], [2.0, 0.0], [-2.0, 0.0], [0.0, 2.0], [0.0, -2.0]]), 8.0);
    }

    #[test]
    fn refusals_name_the_field() {
        assert_eq!(shortest_tree(&[]).unwrap_err().field(), "places");
        assert_eq!(shortest_tree(&[[0.0, f64::NAN]]).unwrap_err().field(), "places");
        assert_eq!(shortest_tree(&vec![[0.0, 0.0]; PLACES_MAX + 1]).unwrap_err().field(), "places");
    }

    proptest! {
        #![proptest_config(crate::cases(2_000))]

        /// Every place is joined once, behind one joined before it; no order of the places gives a longer or shorter tree, and
        /// walking through them in the order given is never shorter.
        #[test]
        fn joins_all_and_is_shortest(places in prop::collection::vec([-50.0..50.0f64, -50.0..50.0f64], 2..30)) {
            let tree = shortest_tree(&places).unwrap();
            let mut joined = vec![0];
            for (place, before, _) in &tree {
                prop_assert!(joined.contains(before) && !joined.contains(place));
                joined.push(*place);
            }
            prop_assert_eq!(joined.len(), places.len());
            let mut turned = places.clone();
            turned.reverse();
            prop_assert!((length(&places) - length(&turned)).abs() < 1e-9);
            let walk: f64 = places.windows(2).map(|w| (w[0][0] - w[1][0]).hypot(w[0][1] - w[1][1])).sum();
            prop_assert!(length(&places) <= walk + 1e-9);
        }
    }
}

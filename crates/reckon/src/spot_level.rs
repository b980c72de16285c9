//! The height of the ground between measured spots.

use crate::error::ReckonError;
use crate::units::Metres;

/// Nearer than this a place is the spot itself (m).
const AT_SPOT_M: f64 = 1e-6;

/// Height at a place from spots around it, each counted by the inverse square of its distance.
///
/// `z = Σ z_i / d_i² / Σ 1 / d_i²`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `z_i` | heights of the spots | m | finite |
/// | `d_i` | distances | m | |
///
/// Never above the highest spot or below the lowest: a crest nobody measured stays unknown.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `spots`: none, or figures that are not finite.
///
/// # Source
/// D. Shepard, *A two-dimensional interpolation function for irregularly-spaced data*, Proceedings of the 23rd ACM National
/// Conference, 1968, with the exponent 2.
///
/// # Examples
/// Midway between two spots lies their mean; three times nearer the lower, a tenth of the step up.
/// ```
/// use reckon::spot_level::level_at;
///
/// let spots = [([0.0, 0.0], 1.0), ([8.0, 0.0], 2.0)];
/// assert_eq!(level_at(&spots, [4.0, 0.0])?.get(), 1.5);
/// assert!((level_at(&spots, [2.0, 0.0])?.get() - 1.1).abs() < 1e-12);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn level_at(spots: &[([f64; 2], f64)], at: [f64; 2]) -> Result<Metres, ReckonError> {
    let finite = spots.iter().all(|(p, z)| p.iter().all(|v| v.is_finite()) && z.is_finite());
    if spots.is_empty() || !finite || !at.iter().all(|v| v.is_finite()) {
        let message = "at least one spot is needed, and every place and height a number".to_owned();
        return Err(ReckonError::Inconsistent { field: "spots", message });
    }
    let (mut weights, mut sum) = (0.0, 0.0);
    for (place, z) in spots {
        let far = (place[0] - at[0]).hypot(place[1] - at[1]);
        if far < AT_SPOT_M {
            return Ok(Metres::new(*z));
        }
        let weight = 1.0 / (far * far);
        weights += weight;
        sum += weight * z;
    }
    Ok(Metres::new(sum / weights))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn spots_keep_their_height_and_none_is_refused() {
        let spots = [([0.0, 0.0], 1.0), ([8.0, 0.0], 2.0), ([3.0, 3.0], -4.0)];
        for (place, z) in spots {
            assert_eq!(level_at(&spots, place).unwrap().get(), z);
        }
        assert_eq!(level_at(&[], [0.0, 0.0]).unwrap_err().field(), "spots");
        assert_eq!(level_at(&[([0.0, 0.0], f64::NAN)], [1.0, 0.0]).unwrap_err().field(), "spots");
    }

    proptest! {
        #![proptest_config(crate::cases(10_000))]

        /// The height lies between the lowest and the highest spot.
        #[test]
        fn stays_between_the_spots(
            spots in prop::collection::vec(([-50.0..50.0f64, -50.0..50.0f64], -9.0..9.0f64), 1..12),
            at in [-80.0..80.0f64, -80.0..80.0f64],
        ) {
            let z = level_at(&spots, at).unwrap().get();
            let (low, high) = spots.iter().fold((9.0f64, -9.0f64), |(l, h), s| (l.min(s.1), h.max(s.1)));
            prop_assert!(z >= low - 1e-9 && z <= high + 1e-9);
        }
    }
}

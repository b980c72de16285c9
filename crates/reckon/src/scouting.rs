//! What is counted in a few small places, on all of the ground.

use crate::error::{Bound, ReckonError};
use crate::units::SquareMetres;

/// Animals found in one place.
pub const COUNT: Bound = Bound::new("counts", 0.0, 10_000.0, "", "animals found in one place");
/// Ground looked at in each place.
pub const PLACE_M2: Bound = Bound::new("place_m2", 0.001, 10.0, "m²", "ground looked at in each place");
/// Places looked at.
pub const PLACES: Bound = Bound::new("places", 1.0, 100.0, "", "places looked at");

/// Mean density of what was counted in places of equal size.
///
/// `d = (Σ n) / (k a)`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `n` | animals in one place | – | 0 ..= 10,000 |
/// | `k` | places | – | 1 ..= 100 |
/// | `a` | ground of one place | m² | 0.001 ..= 10 |
///
/// Left out: how unevenly pests lie. Few places say little, and one bad one can outweigh the rest.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Definition of a mean density.
///
/// # Examples
/// Two or three grubs in a square of six inches are the 8 to 12 a square foot at which the University of Rhode Island's
/// landscape programme treats (two or three a sample of a quarter square foot).
/// ```
/// use reckon::scouting::density_of_counts;
/// use reckon::units::SquareMetres;
///
/// let square_foot = 0.3048_f64.powi(2);
/// let quarter = SquareMetres::new(square_foot / 4.0);
/// assert!((density_of_counts(&[2.0], quarter)? * square_foot - 8.0).abs() < 1e-9);
/// assert!((density_of_counts(&[3.0, 3.0, 3.0], quarter)? * square_foot - 12.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn density_of_counts(counts: &[f64], place: SquareMetres) -> Result<f64, ReckonError> {
    let places = PLACES.check(counts.len() as f64)?;
    let ground = PLACE_M2.check(place.get())?;
    let mut sum = 0.0;
    for count in counts {
        sum += COUNT.check(*count)?;
    }
    Ok(sum / (places * ground))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cup cutter of 4¼ inches takes out about a tenth of a square foot: ten times its count is the count a square foot
    /// (common practice of grub sampling), to 2 %.
    #[test]
    fn a_cup_cutter_is_a_tenth_of_a_square_foot() {
        let inch = 0.0254;
        let cup = SquareMetres::new(std::f64::consts::PI / 4.0 * (4.25_f64 * inch).powi(2));
        let per_square_foot = density_of_counts(&[1.0, 0.0, 2.0], cup).unwrap() * 0.3048_f64.powi(2);
        assert!((per_square_foot / 10.0 - 1.0).abs() < 0.02, "{per_square_foot}");
    }

    #[test]
    fn refusals_name_the_field() {
        let field = |counts: &[f64], a: f64| density_of_counts(counts, SquareMetres::new(a)).unwrap_err().field();
        assert_eq!(field(&[], 0.1), "places");
        assert_eq!(field(&[-1.0], 0.1), "counts");
        assert_eq!(field(&[f64::NAN], 0.1), "counts");
        assert_eq!(field(&[1.0], 0.0), "place_m2");
        assert_eq!(field(&[1.0; 101], 0.1), "places");
    }
}

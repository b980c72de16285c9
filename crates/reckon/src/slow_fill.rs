//! Filling an empty pipe slowly enough that the water does not strike.

use crate::error::{Bound, ReckonError};
use crate::units::{Metres, MetresPerSecond, Minutes};

/// Length of pipe filled.
pub const LENGTH: Bound = Bound::new("length_m", 0.0, 5_000.0, "m", "length of the empty pipe");
/// Speed of the water's front.
pub const SPEED: Bound = Bound::new("speed_m_s", 0.01, 3.0, "m/s", "speed of the water's front");
/// Speed at which plastic pipe is filled: one foot a second (from memory of pipe makers' guides; common practice).
pub const FILLING: MetresPerSecond = MetresPerSecond::new(0.3048);

/// Length of a line through places.
///
/// `L = Σ √(Δx² + Δy²)`, metres in and out.
///
/// # Source
/// Definition.
pub fn line_length(places: &[[f64; 2]]) -> Metres {
    Metres::new(places.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])).sum())
}

/// Time the front takes from one end to the other.
///
/// `t = L / (60 v)`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `L` | length of the empty pipe | m | 0 ..= 5,000 |
/// | `v` | speed of the front | m/s | 0.01 ..= 3 |
/// | `t` | time | min | |
///
/// Left out: branches filled at the same time (the longest way counts), and air that cannot get out as fast.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Definition. That a main is filled slowly, a quarter open until the noise stops: Pueblo West Metropolitan District, Colorado, *Spring sprinkler
/// setup*, 2020.
///
/// # Examples
/// Three hundred feet at a foot a second take five minutes.
/// ```
/// use reckon::slow_fill::{FILLING, fill_time};
/// use reckon::units::{Metres, factor::M_PER_FOOT};
/// assert!((fill_time(Metres::new(300.0 * M_PER_FOOT), FILLING)?.get() - 5.0).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn fill_time(length: Metres, speed: MetresPerSecond) -> Result<Minutes, ReckonError> {
    Ok(Minutes::new(LENGTH.check(length.get())? / SPEED.check(speed.get())? / 60.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_and_refusals() {
        assert_eq!(line_length(&[[0.0, 0.0], [3.0, 4.0], [3.0, 16.0]]).get(), 17.0);
        assert_eq!(line_length(&[[1.0, 1.0]]).get(), 0.0);
        assert_eq!(fill_time(Metres::new(0.0), FILLING).unwrap().get(), 0.0);
        assert_eq!(fill_time(Metres::new(f64::NAN), FILLING).unwrap_err().field(), "length_m");
        assert_eq!(fill_time(Metres::new(1.0), MetresPerSecond::new(0.0)).unwrap_err().field(), "speed_m_s");
    }
}

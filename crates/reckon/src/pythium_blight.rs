//! The weather's share in Pythium blight, which kills ryegrass and bentgrass overnight in hot wet weather.

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Hours};

/// Highest air temperature of the day.
pub const TMAX: Bound = Bound::new("tmax_c", -90.0, 60.0, "°C", "highest air temperature of the day");
/// Lowest air temperature of the night after.
pub const TMIN: Bound = Bound::new("tmin_night_c", -90.0, 60.0, "°C", "lowest air temperature of the night after");
/// Humid hours after the day's heat.
pub const HUMID: Bound =
    Bound::new("humid_h", 0.0, 24.0, "h", "hours of relative humidity over 90 % in the 24 h from noon");

/// The day's heat must be over this, °C.
pub const HOT_C: f64 = 30.0;
/// The night must stay over this, °C.
pub const NIGHT_C: f64 = 20.0;
/// Least hours of relative humidity over 90 %.
pub const HUMID_H: f64 = 14.0;

/// Which parts of the rule held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PythiumWeather {
    /// The day was hotter than 30 °C.
    pub hot: bool,
    /// The night stayed over 20 °C.
    pub mild_night: bool,
    /// 14 hours or more over 90 % humidity followed.
    pub humid: bool,
}

impl PythiumWeather {
    /// How many of the three held.
    pub fn held(self) -> u8 {
        u8::from(self.hot) + u8::from(self.mild_night) + u8::from(self.humid)
    }

    /// All three: the authors warn.
    pub fn warns(self) -> bool {
        self.held() == 3
    }
}

/// Whether a day and its night favour Pythium blight: `Tmax` > 30 °C, followed by 14 h or more over 90 % relative humidity with
/// `Tmin` > 20 °C, noon to noon.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Tmax` | highest air temperature of the day | °C | −90 ..= 60 |
/// | `Tmin` | lowest air temperature of the night after | °C | −90 ..= 60 |
/// | `H` | hours over 90 % relative humidity, noon to noon | h | 0 ..= 24 |
///
/// Left out: wet soil and watering in the evening, which bring it on where air of a station's height is drier.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// F. W. Nutter, H. Cole and R. D. Schein, "Disease forecasting system for warm weather Pythium blight of turfgrass", Plant Disease
/// 67:1126–1128, 1983; the same three lines in P. Vincelli, *Predictive models for turf grass diseases*, University of Kentucky.
///
/// # Examples
/// ```
/// use reckon::pythium_blight::pythium_weather_nutter;
/// use reckon::units::{Celsius, Hours};
/// let day = pythium_weather_nutter(Celsius::new(33.0), Celsius::new(22.0), Hours::new(14.0))?;
/// assert!(day.warns());
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn pythium_weather_nutter(tmax: Celsius, tmin_night: Celsius, humid: Hours) -> Result<PythiumWeather, ReckonError> {
    Ok(PythiumWeather {
        hot: TMAX.check(tmax.get())? > HOT_C,
        mild_night: TMIN.check(tmin_night.get())? > NIGHT_C,
        humid: HUMID.check(humid.get())? >= HUMID_H,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On each line of the paper and just beside it: over 30 °C, over 20 °C, 14 h or more.
    #[test]
    fn lines() {
        let held = |a, b, h| pythium_weather_nutter(Celsius::new(a), Celsius::new(b), Hours::new(h)).map(|p| p.held());
        assert_eq!(held(30.1, 20.1, 14.0), Ok(3));
        for (a, b, h) in [(30.0, 20.1, 14.0), (30.1, 20.0, 14.0), (30.1, 20.1, 13.9)] {
            assert_eq!(held(a, b, h), Ok(2), "{a} {b} {h}");
        }
        assert_eq!(held(10.0, 5.0, 0.0), Ok(0));
        assert_eq!(held(30.0, 20.0, 25.0).map_err(|e| e.field().to_owned()), Err("humid_h".to_owned()));
    }
}

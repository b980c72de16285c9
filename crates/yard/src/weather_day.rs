//! One day of weather as a station, a file or a gauge told it: nothing filled, nothing guessed.

use jiff::civil::Date;
use reckon::units::{Celsius, MegajoulesPerSquareMetre, Metres, MetresPerSecond, Millimetres, Percent};
use serde::{Deserialize, Serialize};

/// A place on Earth.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Latitude in degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude in degrees, east positive.
    pub longitude_deg: f64,
    /// Height above sea (m).
    pub elevation_m: f64,
}

/// A day's readings; `None` where the source has none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeatherDay {
    /// Local civil date.
    pub date: Date,
    /// Lowest air temperature.
    pub tmin: Option<Celsius>,
    /// Highest air temperature.
    pub tmax: Option<Celsius>,
    /// Rain and melted snow.
    pub rain: Option<Millimetres>,
    /// Mean wind speed.
    pub wind: Option<MetresPerSecond>,
    /// Height of the wind gauge (needed only with `wind`).
    pub wind_height: Option<Metres>,
    /// Mean relative humidity.
    pub humidity_mean: Option<Percent>,
    /// Lowest relative humidity.
    pub humidity_min: Option<Percent>,
    /// Highest relative humidity.
    pub humidity_max: Option<Percent>,
    /// Mean dew point.
    pub dew_point: Option<Celsius>,
    /// Global solar radiation.
    pub solar: Option<MegajoulesPerSquareMetre>,
    /// Reference evapotranspiration as the source gives it, for comparison.
    pub et0: Option<Millimetres>,
}

impl WeatherDay {
    /// A day with nothing known.
    pub fn blank(date: Date) -> Self {
        Self {
            date,
            tmin: None,
            tmax: None,
            rain: None,
            wind: None,
            wind_height: None,
            humidity_mean: None,
            humidity_min: None,
            humidity_max: None,
            dew_point: None,
            solar: None,
            et0: None,
        }
    }
}

/// A weather file that was read: where it is from and its days.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherRecord {
    /// The name the user sees: file or station name.
    pub name: String,
    /// `csv`, `ghcn-csv`, `ghcn-dly`.
    pub format: String,
    /// Where the station stands, where the file says.
    pub place: Option<Place>,
    /// Days in order, one a date.
    pub days: Vec<WeatherDay>,
}

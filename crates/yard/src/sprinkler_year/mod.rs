//! The sprinkler system through the year: opened after the frosts, shut before them, its backflow assembly tested.

pub mod backflow;
pub mod closing;
pub mod frost;
pub mod mending;
pub mod opening;

use reckon::units::factor;

use crate::units::{Units, significant};

/// A pressure in the user's units; gauges in the US are in psi, elsewhere in bar.
pub fn pressure_words(units: Units, kpa: f64) -> String {
    match units {
        Units::UsCustomary => format!("{} psi", significant(kpa / factor::KPA_PER_PSI, 2)),
        Units::Metric => format!("{} bar", significant(kpa / 100.0, 2)),
    }
}

/// A flow of air in the user's units.
pub fn air_words(units: Units, l_min: f64) -> String {
    match units {
        Units::UsCustomary => {
            format!("{} cu ft/min", significant(l_min / reckon::blow_out::L_PER_CUBIC_FOOT, 2))
        }
        Units::Metric => format!("{} L/min", significant(l_min, 2)),
    }
}

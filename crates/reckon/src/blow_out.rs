//! Blowing a sprinkler system out with compressed air: what the pipe bears, and how much air a zone wants.

use crate::error::{Bound, ReckonError};
use crate::units::{Kilopascals, LitresPerMinute, factor};

/// Flow of the zone when it waters.
pub const ZONE_FLOW: Bound = Bound::new("zone_flow_l_min", 0.1, 1_000.0, "L/min", "flow of the zone when it waters");
/// Pressure at the regulator, above the air's own.
pub const AIR_PRESSURE: Bound =
    Bound::new("air_kpa", 50.0, 552.0, "kPa", "air pressure at the regulator, above the air's own");
/// Pressure of the air itself at sea level (standard atmosphere, exact).
pub const ATMOSPHERE: Kilopascals = Kilopascals::new(101.325);
/// Least air a compressor should give, so that air does not ride over the water: 10 cubic feet a minute (irrigation trade).
pub const AIR_LEAST: LitresPerMinute = LitresPerMinute::new(10.0 * L_PER_CUBIC_FOOT);
/// Litres in a cubic foot, exact.
pub const L_PER_CUBIC_FOOT: f64 = factor::M_PER_FOOT * factor::M_PER_FOOT * factor::M_PER_FOOT * 1_000.0;
/// Longest pass of air through one zone (min): dry plastic heats (irrigation trade: no more than two minutes at a time).
pub const PASS_MOST_MIN: f64 = 2.0;

/// What the pipes of a system are of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PipeKind {
    /// Flexible polyethylene, black.
    Polyethylene,
    /// Rigid PVC, white.
    Pvc,
    /// Drip line and its fittings.
    Drip,
}

/// Most air pressure a kind of pipe is given when it is blown out.
///
/// Never a pressure to aim at: 275 to 345 kPa (40 to 50 psi) clears a yard's zones. Where a system has more than one kind, the least
/// of them counts; what the maker of its parts says goes first.
///
/// # Source
/// 50 psi for polyethylene and 80 psi for rigid PVC: a parts maker's and an association's advice as repeated by water suppliers
/// and home guides (thecolumbusteam.com, “Don't forget to winterize your irrigation system”; biologyinsights.com, “What pressure should you use
/// to blow out sprinklers”, 30 psi for drip). A Texas water district says 50 psi for PVC too (woodlandswater.org, “It's time to
/// winterize your irrigation system”), and the most careful maker 50 psi for every system: hence 50 psi is Toft's figure where the kind is not told.
pub const fn pressure_most(pipe: PipeKind) -> Kilopascals {
    let psi = match pipe {
        PipeKind::Polyethylene => 50.0,
        PipeKind::Pvc => 80.0,
        PipeKind::Drip => 30.0,
    };
    Kilopascals::new(psi * factor::KPA_PER_PSI)
}

/// Air that pushes a zone's water out as fast as it waters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlowOutAir {
    /// Air in the pipe, at its pressure: the zone's own flow.
    pub in_pipe: LitresPerMinute,
    /// The same air as the compressor takes it in, which is what its plate tells.
    pub taken_in: LitresPerMinute,
    /// What to look for on the plate: that, and at least [`AIR_LEAST`].
    pub wanted: LitresPerMinute,
}

/// Air a zone wants to be blown out.
///
/// `A = q`; `A₀ = A (p + 101.325) / 101.325`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `q` | flow of the zone when it waters | L/min | 0.1 ..= 1,000 |
/// | `p` | air pressure at the regulator, above the air's own | kPa | 50 ..= 552 (80 psi) |
/// | `A`, `A₀` | air in the pipe, and as taken in | L/min | |
///
/// Left out: the heat of compression, and what the compressor loses in its hose.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Air in the pipe: the trade's rule, cubic feet a minute = gallons a minute ÷ 7.5 (sprinklerrepairguy.net, 30 September 2017, as the
/// advice of landscape teachers); 7.48 gallons are a cubic foot. Air as taken in: Boyle's law, the compression ratio of compressed-air handbooks.
///
/// # Examples
/// A zone of 12 gallons a minute wants 1.6 cubic feet a minute in the pipe; at 40 psi the compressor takes in 3.72 times that.
/// ```
/// use reckon::blow_out::{L_PER_CUBIC_FOOT, blow_out_air};
/// use reckon::units::{Kilopascals, LitresPerMinute, factor};
/// let air = blow_out_air(LitresPerMinute::new(12.0 * factor::L_PER_GALLON), Kilopascals::new(40.0 * factor::KPA_PER_PSI))?;
/// assert!((air.in_pipe.get() / L_PER_CUBIC_FOOT - 1.6).abs() < 0.01);
/// assert!((air.taken_in / air.in_pipe - 3.72).abs() < 0.005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn blow_out_air(zone_flow: LitresPerMinute, air: Kilopascals) -> Result<BlowOutAir, ReckonError> {
    let flow = ZONE_FLOW.check(zone_flow.get())?;
    let pressure = AIR_PRESSURE.check(air.get())?;
    let taken_in = LitresPerMinute::new(flow * (pressure + ATMOSPHERE.get()) / ATMOSPHERE.get());
    Ok(BlowOutAir { in_pipe: zone_flow, taken_in, wanted: taken_in.max(AIR_LEAST) })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Compressed-air handbooks print the compression ratio of 100 psi gauge as 7.8 (114.7 ÷ 14.7) and of 80 psi as 6.44.
    #[test]
    fn compression_ratios() {
        let ratio = |psi: f64| {
            let flow = LitresPerMinute::new(20.0);
            blow_out_air(flow, Kilopascals::new(psi * factor::KPA_PER_PSI)).unwrap().taken_in / flow
        };
        assert!((ratio(80.0) - 6.44).abs() < 0.01, "{}", ratio(80.0));
        assert!((ratio(50.0) - 64.7 / 14.7).abs() < 0.01);
        assert_eq!(blow_out_air(LitresPerMinute::new(20.0), Kilopascals::new(690.0)).unwrap_err().field(), "air_kpa");
        assert_eq!(
            blow_out_air(LitresPerMinute::new(0.0), Kilopascals::new(300.0)).unwrap_err().field(),
            "zone_flow_l_min"
        );
    }

    /// A small zone still wants the trade's least; a large one its own.
    #[test]
    fn the_least_holds() {
        let wanted = |gallons: f64| {
            let flow = LitresPerMinute::new(gallons * factor::L_PER_GALLON);
            blow_out_air(flow, Kilopascals::new(40.0 * factor::KPA_PER_PSI)).unwrap().wanted.get() / L_PER_CUBIC_FOOT
        };
        assert!((wanted(5.0) - 10.0).abs() < 1e-9);
        assert!((wanted(26.0) - 12.93).abs() < 0.02, "{}", wanted(26.0));
    }

    #[test]
    fn limits_in_the_words_of_the_trade() {
        let psi = |kind| (pressure_most(kind).get() / factor::KPA_PER_PSI).round();
        assert_eq!([PipeKind::Polyethylene, PipeKind::Pvc, PipeKind::Drip].map(psi), [50.0, 80.0, 30.0]);
        assert!(pressure_most(PipeKind::Pvc).get() <= AIR_PRESSURE.max);
    }
}

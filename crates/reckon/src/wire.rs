//! Voltage lost in the wire between a controller and a valve.

use crate::error::{Bound, ReckonError};
use crate::units::{Amperes, Celsius, Metres, Ohms, Volts, factor};

/// Length of the run, one way.
pub const LENGTH_M: Bound = Bound::new("length_m", 0.0, 3_000.0, "m", "length of the wire, one way");
/// Current of everything on the pair; a solenoid's inrush decides whether it opens.
pub const CURRENT_A: Bound = Bound::new("current_a", 0.0, 20.0, "A", "current through the wire");
/// Voltage at the controller.
pub const SUPPLY_V: Bound = Bound::new("supply_v", 1.0, 250.0, "V", "voltage at the controller");
/// Temperature of the wire.
pub const TEMPERATURE_C: Bound = Bound::new("temperature_c", -40.0, 90.0, "°C", "temperature of the wire");

/// Temperature for which the resistances are tabulated.
pub const TEMPERATURE_STANDARD: Celsius = Celsius::new(20.0);

/// Ohms per 1000 ft of solid annealed copper at 20 °C by gauge. Source: *Copper Wire Tables*, National Bureau of
/// Standards Handbook 100, 1966.
const OHM_PER_1000_FT: [(i32, f64); 8] =
    [(10, 0.9989), (12, 1.588), (14, 2.525), (16, 4.016), (18, 6.385), (20, 10.15), (22, 16.14), (24, 25.67)];

/// Temperature coefficient of the resistance of annealed copper from 20 °C, a kelvin (same handbook).
const COPPER_PER_KELVIN: f64 = 0.003_93;

/// What the wire takes and what it leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WireDrop {
    /// Resistance out and back.
    pub loop_resistance: Ohms,
    /// Voltage lost in the wire.
    pub drop: Volts,
    /// Voltage left for the valve. Below zero means that the supply cannot drive this current through this wire.
    pub at_valve: Volts,
}

/// Voltage drop in a pair of copper wires of one gauge.
///
/// `R = 2 L r (1 + 0.00393 (T - 20))`; `drop = I R`; `at valve = U - drop`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | gauge | American wire gauge | – | 10, 12, 14, 16, 18, 20, 22 or 24 |
/// | `r` | resistance by gauge at 20 °C | Ω/m | table |
/// | `L` | length one way | m | 0 ..= 3,000 |
/// | `I` | current | A | 0 ..= 20 |
/// | `U` | supply | V | 1 ..= 250 |
/// | `T` | temperature of the wire | °C | -40 ..= 90; 20 in the table |
///
/// Left out: splices, the reactance of the pair (slight at 60 Hz and these gauges) and that a solenoid draws less when
/// its voltage falls: the drop is that of the current given. A common wire of another gauge is two half runs: see
/// [`conductor_resistance`].
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field; [`ReckonError::Inconsistent`] naming `awg` for a gauge not in the table.
///
/// # Source
/// *Copper Wire Tables*, National Bureau of Standards Handbook 100, 1966: solid annealed copper at 20 °C and its
/// temperature coefficient. Coated or stranded wire runs 2 to 4 per cent higher.
///
/// # Examples
/// A published chart of runs allows 850 ft of 18 gauge at 24 V; at 0.36 A that is a drop of 3.9 V.
/// ```
/// use reckon::units::{Amperes, Celsius, Metres, Volts};
/// use reckon::wire::wire_drop;
///
/// let run = Metres::new(850.0 * 0.3048);
/// let wire = wire_drop(18, run, Amperes::new(0.36), Volts::new(24.0), Celsius::new(20.0))?;
/// assert!((wire.loop_resistance.get() - 10.85).abs() < 0.005);
/// assert!((wire.drop.get() - 3.9).abs() < 0.05);
/// assert!((wire.at_valve.get() - 20.1).abs() < 0.05);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn wire_drop(
    awg: i32,
    length: Metres,
    current: Amperes,
    supply: Volts,
    temperature: Celsius,
) -> Result<WireDrop, ReckonError> {
    let one_way = conductor_resistance(awg, length, temperature)?;
    let current = CURRENT_A.check(current.get())?;
    let supply = SUPPLY_V.check(supply.get())?;
    let loop_resistance = 2.0 * one_way.get();
    let drop = current * loop_resistance;
    Ok(WireDrop {
        loop_resistance: Ohms::new(loop_resistance),
        drop: Volts::new(drop),
        at_valve: Volts::new(supply - drop),
    })
}

/// Resistance of one copper conductor: `R = L r (1 + 0.00393 (T - 20))`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | gauge | American wire gauge | – | 10, 12, 14, 16, 18, 20, 22 or 24 |
/// | `r` | resistance by gauge at 20 °C | Ω/m | table |
/// | `L` | length | m | 0 ..= 3,000 |
/// | `T` | temperature | °C | -40 ..= 90 |
///
/// # Errors
/// As [`wire_drop`].
///
/// # Source
/// As [`wire_drop`].
///
/// # Examples
/// ```
/// use reckon::units::{Celsius, Metres};
/// use reckon::wire::conductor_resistance;
///
/// let r = conductor_resistance(18, Metres::new(304.8), Celsius::new(20.0))?;
/// assert!((r.get() - 6.385).abs() < 1e-12);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn conductor_resistance(awg: i32, length: Metres, temperature: Celsius) -> Result<Ohms, ReckonError> {
    let Some(&(_, per_1000_ft)) = OHM_PER_1000_FT.iter().find(|(gauge, _)| *gauge == awg) else {
        let gauges: Vec<String> = gauges().map(|g| g.to_string()).collect();
        return Err(ReckonError::Inconsistent {
            field: "awg",
            message: format!("gauge {awg} is not in the table; it must be one of {}", gauges.join(", ")),
        });
    };
    let length = LENGTH_M.check(length.get())?;
    let temperature = TEMPERATURE_C.check(temperature.get())?;
    let per_metre = per_1000_ft / (1000.0 * factor::M_PER_FOOT);
    let warmth = 1.0 + COPPER_PER_KELVIN * (temperature - TEMPERATURE_STANDARD.get());
    Ok(Ohms::new(length * per_metre * warmth))
}

/// The gauges in the table, thickest first.
pub fn gauges() -> impl Iterator<Item = i32> {
    OHM_PER_1000_FT.iter().map(|(gauge, _)| *gauge)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const T20: Celsius = TEMPERATURE_STANDARD;

    /// A published chart of longest runs (24 V, inrush 0.35 to 0.36 A), feet rounded to tens. Every run is one loop of
    /// 10.8 Ω, within 1.3 per cent.
    #[test]
    fn chart_of_longest_runs() {
        // common, station, feet
        let rows = [
            (18, 18, 850.0),
            (16, 16, 1340.0),
            (14, 14, 2150.0),
            (12, 12, 3390.0),
            (10, 10, 5400.0),
            (18, 14, 1210.0),
            (16, 12, 1920.0),
        ];
        for (common, station, feet) in rows {
            let length = Metres::new(feet * factor::M_PER_FOOT);
            let ohm = conductor_resistance(common, length, T20).unwrap().get()
                + conductor_resistance(station, length, T20).unwrap().get();
            assert!((ohm / 10.8 - 1.0).abs() < 0.013, "{common}/{station}: {ohm}");
        }
    }

    /// New Mexico State University, Soils 456, answers to chapter 11: the thinnest wire for a valve 2,000 ft away. 0.4 A and at
    /// most 2 V, and two valves of 0.5 A together and at most 3 V, both want number 10; number 12 would lose more.
    #[test]
    fn a_course_picks_the_gauge() {
        for (ampere, most) in [(0.4, 2.0), (0.5, 3.0)] {
            let length = Metres::new(2_000.0 * factor::M_PER_FOOT);
            let drop = |awg| wire_drop(awg, length, Amperes::new(ampere), Volts::new(24.0), T20).unwrap().drop.get();
            assert!(drop(10) <= most && drop(12) > most, "{ampere} A: {} and {}", drop(10), drop(12));
        }
    }

    /// The table agrees with the gauge's own law: areas fall by 92^(2/39) a number, so resistances rise by 1.2610 a
    /// number from 0.9989 at 10; within 0.1 per cent of the printed figures.
    #[test]
    fn table_follows_the_gauge_law() {
        for (gauge, ohm) in OHM_PER_1000_FT {
            let law = 0.9989 * 92f64.powf(2.0 * f64::from(gauge - 10) / 39.0);
            assert!((law / ohm - 1.0).abs() < 1e-3, "{gauge}: {law} for {ohm}");
        }
    }

    /// Warm wire resists more: 40 °C gives 7.86 per cent over 20 °C.
    #[test]
    fn temperature_coefficient() {
        let at = |t| conductor_resistance(14, Metres::new(100.0), Celsius::new(t)).unwrap();
        assert!((at(40.0) / at(20.0) - 1.0786).abs() < 1e-12);
    }

    #[test]
    fn refusals_name_the_field() {
        let drop = |awg, l, i, u, t| wire_drop(awg, Metres::new(l), Amperes::new(i), Volts::new(u), Celsius::new(t));
        let error = drop(15, 10.0, 0.3, 24.0, 20.0).unwrap_err();
        assert_eq!(
            error.to_string(),
            "awg: gauge 15 is not in the table; it must be one of 10, 12, 14, 16, 18, 20, 22, 24"
        );
        assert_eq!(drop(18, -1.0, 0.3, 24.0, 20.0).unwrap_err().field(), "length_m");
        assert_eq!(drop(18, 1.0, f64::NAN, 24.0, 20.0).unwrap_err().field(), "current_a");
        assert_eq!(drop(18, 1.0, 0.3, 0.0, 20.0).unwrap_err().field(), "supply_v");
        assert_eq!(drop(18, 1.0, 0.3, 24.0, 200.0).unwrap_err().field(), "temperature_c");
        // More wire than the supply can drive is told, not hidden.
        assert!(drop(24, 1_000.0, 0.36, 24.0, 20.0).unwrap().at_valve.get() < 0.0);
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or finite figures that add up to the supply.
        #[test]
        fn any_input_is_safe(
            awg in prop_oneof![8..26, any::<i32>()], l in prop_oneof![0.0..900.0, any::<f64>()],
            i in prop_oneof![0.0..2.0, any::<f64>()], u in prop_oneof![20.0..30.0, any::<f64>()],
            t in prop_oneof![-20.0..60.0, any::<f64>()],
        ) {
            if let Ok(w) = wire_drop(awg, Metres::new(l), Amperes::new(i), Volts::new(u), Celsius::new(t)) {
                prop_assert!(w.drop.get() >= 0.0 && w.drop.get().is_finite());
                prop_assert!(((w.drop + w.at_valve).get() - u).abs() < 1e-9 * (u + w.drop.get()));
            }
        }

        /// A longer, thinner, warmer wire never drops less.
        #[test]
        fn monotonic(g in 0usize..7, l in 0.0..900.0, dl in 0.0..100.0, t in -20.0..50.0, dt in 0.0..20.0) {
            let gauge: Vec<i32> = gauges().collect();
            let drop = |awg, l, t| {
                wire_drop(awg, Metres::new(l), Amperes::new(0.3), Volts::new(24.0), Celsius::new(t)).unwrap().drop
            };
            let base = drop(gauge[g], l, t);
            prop_assert!(drop(gauge[g], l + dl, t) >= base);
            prop_assert!(drop(gauge[g + 1], l, t) >= base);
            prop_assert!(drop(gauge[g], l, t + dt) >= base);
        }
    }
}

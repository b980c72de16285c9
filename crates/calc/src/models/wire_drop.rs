//! `wire-drop`.

use reckon::units::{Amperes, Celsius, Metres, Volts};
use reckon::wire::{self, conductor_resistance, wire_drop};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "wire-drop",
    about: "Voltage lost in the wire between controller and valve",
    source: "Copper Wire Tables, National Bureau of Standards Handbook 100, 1966: solid annealed copper at 20 °C and its \
             temperature coefficient",
    example: r#"{"awg": 18, "length_m": 259.08, "current_a": 0.36, "supply_v": 24}"#,
    input: &Input::RECORD,
    output: &[
        figure("loop_ohm", "Ω", "resistance out and back"),
        figure("drop_v", "V", "voltage lost in the wire"),
        figure("at_valve_v", "V", "voltage left for the valve; below 0 where the wire cannot carry this current"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A pair of wires and its load.
    Input {
        awg: u32 = Whole(AWG);
        length_m: f64 = Number(wire::LENGTH_M);
        current_a: f64 = Number(wire::CURRENT_A);
        supply_v: f64 = Number(wire::SUPPLY_V);
        temperature_c: Given = Number(wire::TEMPERATURE_C), or(wire::TEMPERATURE_STANDARD.get());
    }
}

/// The ends of the table; it holds the even gauges between them.
const AWG: reckon::Bound = bound(10.0, 24.0, "", "American wire gauge: 10, 12, 14, 16, 18, 20, 22 or 24");

fn compute(input: Input) -> Computed {
    let (length, temperature) = (Metres::new(input.length_m), Celsius::new(input.temperature_c.value));
    let awg = input.awg as i32;
    let drop = wire_drop(awg, length, Amperes::new(input.current_a), Volts::new(input.supply_v), temperature)?;
    let one_way = conductor_resistance(awg, length, temperature)?.get();
    let (loop_ohm, drop_v, at_valve) = (drop.loop_resistance.get(), drop.drop.get(), drop.at_valve.get());
    let steps = vec![
        Step::new(
            "Resistance one way",
            "R1 = L r (1 + 0.00393 (T − 20)), r by gauge at 20 °C",
            vec![
                n("awg", f64::from(input.awg), ""),
                n("L", input.length_m, "m"),
                input.temperature_c.shown("T", "°C", "the temperature of the ground (temperature_c) replaces it"),
            ],
            n("R1", one_way, "Ω"),
        ),
        Step::new("Out and back", "R = 2 R1", vec![n("R1", one_way, "Ω")], n("R", loop_ohm, "Ω")),
        Step::new(
            "Voltage lost",
            "drop = I R",
            vec![n("I", input.current_a, "A"), n("R", loop_ohm, "Ω")],
            n("drop", drop_v, "V"),
        ),
        Step::new(
            "Voltage at the valve",
            "U − drop",
            vec![n("U", input.supply_v, "V"), n("drop", drop_v, "V")],
            n("at valve", at_valve, "V"),
        ),
    ];
    Ok((figures! { loop_ohm: loop_ohm, drop_v: drop_v, at_valve_v: at_valve }, steps))
}

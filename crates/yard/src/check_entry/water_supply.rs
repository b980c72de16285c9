//! What a water supply must satisfy.

use almanac::Hydraulics;

use super::{Faults, TEXT_MAX};
use crate::entry::{LaidPipe, WaterSupply};
use crate::units::Quantity;

/// Longest pipe of a yard (m).
const LENGTH_MAX_M: f64 = 2_000.0;
/// Greatest height of a head over the tap, or below it (m).
const RISE_MAX_M: f64 = 100.0;

fn pipe(f: &mut Faults, table: &Hydraulics, name: &str, told: Option<&LaidPipe>) {
    let Some(told) = told else { return };
    match table.pipe(&told.kind) {
        None => {
            let known: Vec<&str> = table.pipes.iter().map(|p| p.id.as_str()).collect();
            f.say(name, format!("no kind of pipe “{}”; there are: {}", told.kind, known.join(", ")));
        }
        Some(kind) if !kind.inside_mm.contains_key(&told.size) => {
            let known: Vec<&str> = kind.inside_mm.keys().map(String::as_str).collect();
            let message = format!("{} is not made in “{}”; there are: {}", kind.name, told.size, known.join(", "));
            f.say(&format!("{name}_size"), message);
        }
        Some(_) => {}
    }
    f.measure_maybe(&format!("{name}_length"), told.length_m, 0.0, LENGTH_MAX_M, Quantity::Length);
}

pub(super) fn water_supply(f: &mut Faults, w: &WaterSupply, table: &Hydraulics) {
    f.measure("static", w.static_kpa, 20.0, 1_500.0, Quantity::Pressure);
    f.measure_maybe("flow", w.flow_lpm, 0.5, 2_000.0, Quantity::Flow);
    f.measure_maybe("working", w.working_kpa, 0.0, 1_500.0, Quantity::Pressure);
    match (w.flow_lpm, w.working_kpa) {
        (None, Some(_)) => f.say("flow", "a pressure while it flowed is told with the flow"),
        (Some(_), Some(working)) if working >= w.static_kpa => {
            f.say(
                "working",
                "the pressure while it flowed is not below the pressure with nothing running; read both again",
            );
        }
        _ => {}
    }
    if let Some(size) = w.meter.as_deref().filter(|s| table.meter(s).is_none()) {
        let known: Vec<&str> = table.meters.iter().map(|m| m.size.as_str()).collect();
        f.say("meter", format!("no meter of “{size}”; there are: {}", known.join(", ")));
    }
    if let Some(kind) = w.backflow.as_deref().filter(|k| table.backflow(k).is_none()) {
        let known: Vec<&str> = table.backflows.iter().map(|b| b.id.as_str()).collect();
        f.say("backflow", format!("no backflow preventer “{kind}”; there are: {}", known.join(", ")));
    }
    if let Some(size) = w.valve.as_deref().filter(|s| table.valve(s).is_none()) {
        let known: Vec<&str> = table.valves.iter().map(|v| v.size.as_str()).collect();
        f.say("valve", format!("no valve of “{size}”; there are: {}", known.join(", ")));
    }
    pipe(f, table, "service", w.service.as_ref());
    pipe(f, table, "main", w.main.as_ref());
    pipe(f, table, "lateral", w.lateral.as_ref());
    f.measure_maybe("rise", w.rise_m, -RISE_MAX_M, RISE_MAX_M, Quantity::Length);
    if w.remark.chars().count() > TEXT_MAX {
        f.say("remark", format!("at most {TEXT_MAX} letters are kept"));
    }
}

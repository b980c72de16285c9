//! The form of the water supply: a gauge on a tap, a bucket, and what is printed on meter and pipes.

use super::reader::{Reader, plain};
use super::{Ask, Field, begins, field};
use crate::entry::{LaidPipe, WaterSupply};
use crate::units::{Quantity, Units};

/// Kinds of pipe, as the almanac's table has them.
pub const PIPES: &[&str] = &["pvc-40", "pvc-200", "pvc-315", "pe", "pe-80", "copper-l", "copper-k", "steel"];
const SIZES: &[&str] = &["1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "20mm", "25mm", "32mm", "40mm", "50mm", "63mm"];
const METERS: &[&str] = &["5/8", "3/4", "1", "1-1/2", "2"];
const VALVES: &[&str] = &["3/4", "1", "1-1/2"];
/// Backflow preventers, as the almanac's table has them.
pub const BACKFLOWS: &[&str] = &["none", "vacuum-breaker", "double-check", "reduced-pressure", "atmospheric"];

pub(super) const CAUTION: &str = "Only read the gauge and open taps. Backflow preventers are tested and mended by a licensed tester, \
                                  the service line and reducing valves by a licensed plumber. Have buried lines marked before any digging.";

pub(super) const FIELDS: &[Field] = &[
    field(
        "static",
        "Pressure, nothing running",
        Ask::Measure(Quantity::Pressure),
        true,
        "a gauge on an outdoor tap, all other water shut, at the hour the sprinklers run",
    ),
    field("flow", "A flow measured there", Ask::Measure(Quantity::Flow), false, "a bucket and a watch at the open tap"),
    field(
        "working",
        "Pressure while it flowed",
        Ask::Measure(Quantity::Pressure),
        false,
        "a gauge on a second tap of the same pipe",
    ),
    field("meter", "Water meter", Ask::Choice(METERS), false, "inches, cast into it"),
    field("backflow", "Backflow preventer", Ask::Choice(BACKFLOWS), false, ""),
    field(
        "rise",
        "Highest head over the tap",
        Ask::Measure(Quantity::Length),
        false,
        "below it with a minus; spot levels on the map go before it",
    ),
    begins("Pipe from the street", field("service", "Kind", Ask::Choice(PIPES), false, "")),
    field("service_size", "Size", Ask::Choice(SIZES), false, "inches, or mm outside"),
    field("service_length", "Length", Ask::Measure(Quantity::Length), false, "street to tap"),
    begins("Pipe to the valves", field("main", "Kind", Ask::Choice(PIPES), false, "")),
    field("main_size", "Size", Ask::Choice(SIZES), false, ""),
    field("main_length", "Length", Ask::Measure(Quantity::Length), false, "where the map does not show it"),
    begins("Pipe behind the valves", field("lateral", "Kind", Ask::Choice(PIPES), false, "")),
    field("lateral_size", "Size", Ask::Choice(SIZES), false, ""),
    field("valve", "Zone valves", Ask::Choice(VALVES), false, "inches"),
    field("remark", "Remark", Ask::Line, false, ""),
];

fn pipe(r: &mut Reader<'_>, name: &str, length_m: Option<f64>) -> Option<LaidPipe> {
    let size = format!("{name}_size");
    let kind = r.one_of(name, PIPES);
    let told = r.one_of(&size, SIZES);
    match (kind, told) {
        (Some(kind), Some(size)) => Some(LaidPipe { kind: kind.to_owned(), size: size.to_owned(), length_m }),
        (None, None) if length_m.is_none() => None,
        (Some(_), None) => {
            r.fault(&size, format!("{size} is missing; a pipe is told by kind and size"));
            None
        }
        _ => {
            r.fault(name, format!("{name} is missing; a pipe is told by kind and size"));
            None
        }
    }
}

pub(super) fn read(r: &mut Reader<'_>) -> WaterSupply {
    let owned = |word: Option<&'static str>| word.map(str::to_owned);
    let service_length = r.measure_maybe("service_length", Quantity::Length);
    let main_length = r.measure_maybe("main_length", Quantity::Length);
    WaterSupply {
        static_kpa: r.measure("static", Quantity::Pressure),
        flow_lpm: r.measure_maybe("flow", Quantity::Flow),
        working_kpa: r.measure_maybe("working", Quantity::Pressure),
        meter: owned(r.one_of("meter", METERS)),
        service: pipe(r, "service", service_length),
        backflow: owned(r.one_of("backflow", BACKFLOWS)),
        main: pipe(r, "main", main_length),
        lateral: pipe(r, "lateral", None),
        valve: owned(r.one_of("valve", VALVES)),
        rise_m: r.measure_maybe("rise", Quantity::Length),
        remark: r.words("remark"),
    }
}

pub(super) fn show(put: &mut dyn FnMut(&str, String), w: &WaterSupply, units: Units) {
    let measure = |q: Quantity, v: Option<f64>| v.map(|v| plain(units.show(q, v))).unwrap_or_default();
    put("static", plain(units.show(Quantity::Pressure, w.static_kpa)));
    put("flow", measure(Quantity::Flow, w.flow_lpm));
    put("working", measure(Quantity::Pressure, w.working_kpa));
    put("meter", w.meter.clone().unwrap_or_default());
    put("backflow", w.backflow.clone().unwrap_or_default());
    put("rise", measure(Quantity::Length, w.rise_m));
    put("valve", w.valve.clone().unwrap_or_default());
    for (name, pipe) in [("service", &w.service), ("main", &w.main), ("lateral", &w.lateral)] {
        if let Some(p) = pipe {
            put(name, p.kind.clone());
            put(&format!("{name}_size"), p.size.clone());
            put(&format!("{name}_length"), measure(Quantity::Length, p.length_m));
        }
    }
    put("remark", w.remark.clone());
}

//! What a meter reading, a tariff and a controller must satisfy.

use super::Faults;
use crate::entry::{ControllerFacts, MeterRead, TariffFacts};

/// Greatest meter reading (m³).
pub const READING_MAX_M3: f64 = 1e7;

pub(super) fn meter_read(f: &mut Faults, m: &MeterRead) {
    if m.reading_m3.is_nan() {
        if !f.list.iter().any(|x| x.field == "reading") {
            f.say("reading", "reading is missing");
        }
        return;
    }
    let unit = m.unit.in_m3();
    f.range("reading", m.reading_m3 / unit, 0.0, READING_MAX_M3 / unit, m.unit.symbol());
}

pub(super) fn tariff(f: &mut Faults, t: &TariffFacts) {
    let unit = t.unit.in_m3();
    f.range("base", t.base, 0.0, 1e5, "a period");
    let dearest = reckon::tariff::PRICE.max * unit;
    for step in &t.steps {
        f.range("steps", step.price_per_m3 * unit, 0.0, dearest, "a unit");
    }
    f.range_maybe("sewer", t.sewer_per_m3.map(|p| p * unit), 0.0, dearest, "a unit");
    let most = reckon::tariff::UP_TO.max / unit;
    f.range_maybe("sewer_free", t.sewer_free_m3.map(|v| v / unit), 0.0, most, "units");
    f.range_maybe("sewer_most", t.sewer_most_m3.map(|v| v / unit), 0.0, most, "units");
    if t.sewer_per_m3.is_none() && (t.sewer_free_m3.is_some() || t.sewer_most_m3.is_some()) {
        f.say("sewer", "a sewer charge has a price");
    }
    if let (Some(free), Some(cap)) = (t.sewer_free_m3, t.sewer_most_m3)
        && cap < free
    {
        f.say("sewer_most", "charged at most lies below what is free");
    }
    if t.source.chars().count() > 400 {
        f.say("source", "at most 400 letters are kept");
    }
    // How the steps must lie to each other is the formula's own check.
    if let (true, Err(e)) = (f.list.is_empty(), t.tariff().check()) {
        f.say(if e.field() == "base" { "base" } else { "steps" }, e.to_string());
    }
}

pub(super) fn controller(f: &mut Faults, c: &ControllerFacts) {
    f.range("programmes", f64::from(c.programmes), 1.0, 12.0, "");
    f.range("starts", f64::from(c.starts), 1.0, 16.0, "");
    f.range("longest", f64::from(c.longest_min), 1.0, 1440.0, "min");
    f.range("at_once", f64::from(c.at_once), 1.0, 4.0, "");
    f.range_maybe("supply", c.supply_lpm, 1.0, 2000.0, "L/min");
}

//! What an audit of a zone must satisfy.

use super::{Faults, TEXT_MAX, Yard};
use crate::entry::Audited;
use crate::units::Quantity;

/// Most cans kept.
const CANS_MAX: usize = 500;
/// Deepest a can may be read (mm).
const CAUGHT_MAX_MM: f64 = 500.0;
/// Greatest meter reading (L).
const METER_MAX_L: f64 = 1e10;
/// Greatest pressure (kPa): twice what any sprinkler is made for.
const PRESSURE_MAX_KPA: f64 = 2_000.0;

pub(super) fn audited(f: &mut Faults, a: &Audited, yard: &Yard) {
    f.zone(yard, "zone", &a.zone);
    f.range("minutes", a.minutes, 0.5, 1440.0, "min");
    f.range_maybe("opening", a.opening_cm2, 1.0, 10_000.0, "cm²");
    if a.caught_mm.len() > CANS_MAX {
        f.say("cans", format!("at most {CANS_MAX} cans are kept"));
    }
    if a.caught_mm.len() == 1 {
        f.say("cans", "one can says nothing of evenness; set out at least two, 20 or more make an audit");
    }
    for &depth in &a.caught_mm {
        f.measure("cans", depth, 0.0, CAUGHT_MAX_MM, Quantity::Depth);
    }
    if a.caught_mm.len() > 1 && a.caught_mm.iter().sum::<f64>() < 0.01 {
        f.say("cans", "the cans caught nothing; put them where the zone waters");
    }
    if !a.at.is_empty() && a.at.len() != a.caught_mm.len() {
        f.say(
            "places",
            format!("{} places for {} cans; tell one a can, in the same order", a.at.len(), a.caught_mm.len()),
        );
    }
    f.measure_maybe("wind", a.wind_ms, 0.0, 30.0, Quantity::Speed);
    f.range_maybe("pressure", a.pressure_kpa, 0.0, PRESSURE_MAX_KPA, "kPa");
    f.measure_maybe("meter_before", a.meter_before_l, 0.0, METER_MAX_L, Quantity::Volume);
    f.measure_maybe("meter_after", a.meter_after_l, 0.0, METER_MAX_L, Quantity::Volume);
    match (a.meter_before_l, a.meter_after_l) {
        (Some(before), Some(after)) if after <= before => {
            f.say("meter_after", "the meter stands no higher after the run than before it");
        }
        (Some(_), None) | (None, Some(_)) => f.say("meter_after", "read the meter before the run and after it"),
        _ => {}
    }
    f.measure_maybe("bucket", a.bucket_l, 0.05, 1_000.0, Quantity::Volume);
    f.range_maybe("bucket_seconds", a.bucket_s, 1.0, 36_000.0, "s");
    f.range_maybe("bucket_heads", a.bucket_heads, 1.0, 1_000.0, "heads");
    if a.bucket_l.is_some() != a.bucket_s.is_some() {
        f.say("bucket_seconds", "a bucket is told with its water and its seconds");
    }
    if a.caught_mm.is_empty() && a.meter_after_l.is_none() && a.bucket_l.is_none() {
        f.say("cans", "tell what the cans held, what the meter counted, or what ran into a bucket");
    }
    if a.remark.chars().count() > TEXT_MAX {
        f.say("remark", format!("at most {TEXT_MAX} letters are kept"));
    }
}

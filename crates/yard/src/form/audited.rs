//! The form of an audit: readings as they stand on the paper in the hand.

use super::reader::{Reader, plain, plain_number};
use super::{Ask, Field, begins, field, places};
use crate::entry::Audited;
use crate::units::{Quantity, Units};

/// One psi in kPa (exact by definition to the digits given).
const KPA_PER_PSI: f64 = 6.894_757_293_168;

pub(super) const FIELDS: &[Field] = &[
    field("zone", "Zone", Ask::Zone, true, ""),
    field("minutes", "Minutes it ran", Ask::Number("min"), true, ""),
    field(
        "cans",
        "In the cans",
        Ask::Text,
        false,
        "one figure a can, parted by spaces: mL where you tell the opening, else the depth",
    ),
    field("opening", "Opening of a can", Ask::Number("cm²"), false, "or its width below"),
    field("across", "or its width", Ask::Measure(Quantity::Depth), false, "of a round can, inside the rim"),
    field(
        "places",
        "Where they stood",
        Ask::Text,
        false,
        "east and north on the map, one can a line, in the same order",
    ),
    field("wind", "Wind", Ask::Measure(Quantity::Speed), false, ""),
    field("pressure", "Pressure at a head", Ask::Number("psi; kPa in a metric yard"), false, "while it ran"),
    begins(
        "By the meter",
        field("meter_before", "Meter before", Ask::Measure(Quantity::Volume), false, "nothing else running"),
    ),
    field("meter_after", "Meter after", Ask::Measure(Quantity::Volume), false, ""),
    begins("By a bucket", field("bucket", "Water of one head", Ask::Measure(Quantity::Volume), false, "")),
    field("bucket_seconds", "in so many seconds", Ask::Number("s"), false, ""),
    field("bucket_heads", "Heads like it", Ask::Number("heads"), false, "1 if left out"),
    field("remark", "Remark", Ask::Line, false, ""),
];

/// What one figure of pressure is in kPa.
fn kpa_of(units: Units) -> f64 {
    match units {
        Units::UsCustomary => KPA_PER_PSI,
        Units::Metric => 1.0,
    }
}

pub(super) fn read(r: &mut Reader<'_>) -> Audited {
    let across = r.measure_maybe("across", Quantity::Depth);
    let opening = r.number_maybe("opening").or(across.map(|mm| std::f64::consts::FRAC_PI_4 * mm * mm / 100.0));
    let mut caught_mm = Vec::new();
    let words = r.words("cans");
    for word in words.split([' ', ',', ';', '\n', '\t', '\r']).filter(|w| !w.is_empty()) {
        match plain_number(word) {
            // 1 mL on 1 cm² stands 10 mm deep.
            Some(n) => caught_mm.push(tidy(opening.map_or_else(|| r.units.read(Quantity::Depth, n), |a| n / a * 10.0))),
            None => r.fault("cans", format!("“{word}” is not a number; write one figure a can: 12 15 18 20")),
        }
    }
    let at = match places::rings(&r.words("places"), r.units) {
        Ok(rings) => rings.into_iter().flatten().map(|c| c.at()).collect(),
        Err(message) => {
            r.fault("places", message);
            Vec::new()
        }
    };
    Audited {
        zone: r.words("zone"),
        minutes: r.number("minutes"),
        caught_mm,
        opening_cm2: opening,
        at,
        wind_ms: r.measure_maybe("wind", Quantity::Speed),
        pressure_kpa: r.number_maybe("pressure").map(|p| p * kpa_of(r.units)),
        meter_before_l: r.measure_maybe("meter_before", Quantity::Volume),
        meter_after_l: r.measure_maybe("meter_after", Quantity::Volume),
        bucket_l: r.measure_maybe("bucket", Quantity::Volume),
        bucket_s: r.number_maybe("bucket_seconds"),
        bucket_heads: r.number_maybe("bucket_heads"),
        remark: r.words("remark"),
    }
}

/// Twelve significant digits, as with every measure.
fn tidy(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

pub(super) fn show(put: &mut dyn FnMut(&str, String), a: &Audited, units: Units) {
    let measure = |q: Quantity, v: Option<f64>| v.map(|v| plain(units.show(q, v))).unwrap_or_default();
    let number = |v: Option<f64>| v.map(plain).unwrap_or_default();
    put("zone", a.zone.clone());
    put("minutes", plain(a.minutes));
    let can = |mm: &f64| plain(a.opening_cm2.map_or_else(|| units.show(Quantity::Depth, *mm), |cm2| mm * cm2 / 10.0));
    put("cans", a.caught_mm.iter().map(can).collect::<Vec<_>>().join(" "));
    put("opening", number(a.opening_cm2));
    let length = |m: f64| plain(units.show(Quantity::Length, m));
    put("places", a.at.iter().map(|p| format!("{} {}", length(p[0]), length(p[1]))).collect::<Vec<_>>().join("\n"));
    put("wind", measure(Quantity::Speed, a.wind_ms));
    put("pressure", number(a.pressure_kpa.map(|p| p / kpa_of(units))));
    put("meter_before", measure(Quantity::Volume, a.meter_before_l));
    put("meter_after", measure(Quantity::Volume, a.meter_after_l));
    put("bucket", measure(Quantity::Volume, a.bucket_l));
    put("bucket_seconds", number(a.bucket_s));
    put("bucket_heads", number(a.bucket_heads));
    put("remark", a.remark.clone());
}

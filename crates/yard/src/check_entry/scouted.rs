//! What something seen must satisfy.

use almanac::Almanac;
use reckon::outline::CORNER_M;

use super::{Faults, TEXT_MAX};
use crate::entry::Scouted;
use crate::fold::Yard;
use crate::units::Quantity;

/// Most signs and tests of one look.
pub const FINDINGS_MAX: usize = 60;
/// Most animals counted (1/m²): more than any pest of turf reaches.
pub const COUNT_MAX_M2: f64 = 20_000.0;

pub(super) fn scouted(f: &mut Faults, s: &Scouted, yard: &Yard, almanac: &Almanac) {
    f.area(yard, "area", &s.area);
    f.words("seen", &s.seen, TEXT_MAX);
    f.range_maybe("share", s.share_pct, 0.0, 100.0, "%");
    let ground = yard.area(&s.area).map_or(100_000.0, |a| a.size_m2).max(0.01);
    f.measure_maybe("size", s.size_m2, 0.001, ground, Quantity::Area);
    f.measure_maybe("gap", s.gap_m.map(|m| m * 1000.0), 1.0, 50_000.0, Quantity::Depth);
    f.range_maybe("green", s.green_pct, 0.0, 100.0, "%");
    f.range_maybe("count", s.count_per_m2, 0.0, COUNT_MAX_M2, "per m²");
    f.range_maybe("probability", s.probability.map(|p| p * 100.0), 0.0, 100.0, "%");
    if s.findings.len() > FINDINGS_MAX {
        f.say("findings", format!("{} findings; at most {FINDINGS_MAX} are kept", s.findings.len()));
        return;
    }
    if let Some(plant) = s.plant.as_deref().filter(|p| almanac.plants.plant(p).is_none()) {
        f.say("plant", format!("there is no plant “{plant}”"));
    }
    let of_plant = s.plant.is_some();
    let finding = |id: &str| if of_plant { almanac.plants.finding(id) } else { almanac.finding(id) };
    for (i, found) in s.findings.iter().enumerate() {
        match finding(&found.finding) {
            None => f.say("findings", format!("there is no finding “{}”", found.finding)),
            Some(finding) if finding.outcome(&found.outcome).is_none() => {
                let known: Vec<&str> = finding.outcomes.iter().map(|o| o.id.as_str()).collect();
                let message =
                    format!("{} cannot be “{}”; it is one of: {}", finding.id, found.outcome, known.join(", "));
                f.say("findings", message);
            }
            Some(_) if s.findings[..i].iter().any(|b| b.finding == found.finding) => {
                f.say("findings", format!("{} is told twice", found.finding));
            }
            Some(_) => {}
        }
    }
    if let Some(cause) = &s.cause
        && (if of_plant { almanac.plants.cause(cause).is_none() } else { almanac.cause(cause).is_none() })
    {
        f.say("cause", format!("there is no cause “{cause}” in the tables"));
    }
    if let Some(pest) = &s.pest {
        let known = almanac.causes.iter().flat_map(|c| &c.threshold).any(|row| row.pest == *pest);
        if !known {
            f.say("pest", format!("there is no threshold for “{pest}” in the tables"));
        }
        if s.count_per_m2.is_none() {
            f.say("count", "which animal is told, but not how many");
        }
    }
    for v in s.at.iter().flatten() {
        f.measure("at", *v, CORNER_M.min, CORNER_M.max, Quantity::Length);
    }
    if s.picture.as_ref().is_some_and(|p| p.len() != 64 || !p.chars().all(|c| c.is_ascii_hexdigit())) {
        f.say("picture", "the picture’s name is not one the ledger gives");
    }
}

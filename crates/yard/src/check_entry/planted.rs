//! What a planting must satisfy.

use almanac::Almanac;
use reckon::outline::CORNER_M;
use reckon::planting::{CALLIPER, CONTAINER, EMITTER_L_H, EMITTERS};

use super::{Faults, TEXT_MAX};
use crate::entry::Planted;
use crate::fold::Yard;
use crate::units::Quantity;

/// Most plants of one entry.
pub const PLANTS_MAX: u32 = 2_000;

pub(super) fn planted(f: &mut Faults, p: &Planted, yard: &Yard, almanac: &Almanac) {
    f.area(yard, "area", &p.area);
    if almanac.plants.plant(&p.plant).is_none() {
        let known: Vec<&str> = almanac.plants.plants.iter().map(|p| p.id.as_str()).collect();
        f.say("plant", format!("no plant “{}”; choose one of: {}", p.plant, known.join(", ")));
    }
    f.range("count", f64::from(p.count), 1.0, f64::from(PLANTS_MAX), "plants");
    if p.calliper_mm.is_none() && p.container_l.is_none() {
        f.say(
            "container",
            "tell the pot’s volume, or the trunk’s thickness for a tree: one of them tells how much water",
        );
    }
    f.measure_maybe("calliper", p.calliper_mm, CALLIPER.min, CALLIPER.max, Quantity::Depth);
    f.measure_maybe("container", p.container_l, CONTAINER.min, CONTAINER.max, Quantity::Volume);
    f.measure_maybe("height", p.height_m, 0.05, 40.0, Quantity::Length);
    f.measure_maybe("spacing", p.spacing_m, 0.1, 30.0, Quantity::Length);
    if p.emitters.is_some() != p.emitter_l_h.is_some() {
        let missing = if p.emitters.is_none() { "emitters" } else { "emitter_hour" };
        f.say(missing, "emitters and what one gives in an hour belong together");
    }
    f.range_maybe("emitters", p.emitters.map(f64::from), EMITTERS.min, EMITTERS.max, "emitters");
    f.measure_maybe("emitter_hour", p.emitter_l_h, EMITTER_L_H.min, EMITTER_L_H.max, Quantity::Volume);
    for v in p.at.iter().flatten() {
        f.measure("at", *v, CORNER_M.min, CORNER_M.max, Quantity::Length);
    }
    for (field, text, max) in [("kind_of", &p.kind_of, 120), ("remark", &p.remark, TEXT_MAX)] {
        if text.chars().count() > max {
            f.say(field, format!("at most {max} letters are kept"));
        }
    }
}

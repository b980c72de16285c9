//! What a drawing leaves open: ground claimed twice, gaps, heads that water nothing of theirs.

use reckon::outline::Outline;
use reckon::overlay::{gaps, overlaps};

use super::water::{zone_coverage, zone_ground};
use crate::entry::Cover;
use crate::fold::Yard;
use crate::map::Thing;
use crate::units::Quantity;

/// How far outside its zone's ground a head may stand (m): heads stand beside an edge.
const HEAD_OUTSIDE_M: f64 = 1.0;
/// A measured rate and the drawn one this many times apart do not fit (common practice: wind and wear explain a third).
const RATES_APART: f64 = 1.6;
/// Enclosed ground this large was left out on purpose (m²): a neighbour's, a field.
const LEFT_OUT_M2: f64 = 2_000.0;

/// Something to look at again.
#[derive(Clone, Debug, PartialEq)]
pub struct MapFault {
    /// What, with the figures, in the user's units.
    pub words: String,
    /// Where, east and north (m); `None` where it is no one place.
    pub at: Option<[f64; 2]>,
    /// Corners of the place, where it has any.
    pub ring: Vec<[f64; 2]>,
}

/// Everything on the map worth a second look.
pub fn faults(yard: &Yard) -> Vec<MapFault> {
    let buildings: Vec<(&str, Vec<Outline>)> = yard
        .things
        .iter()
        .filter(|t| matches!(t.thing, Thing::Building { .. }))
        .filter_map(|t| Some((t.name.as_str(), vec![t.ground()?])))
        .collect();
    let mut names: Vec<&str> = Vec::new();
    let mut grounds: Vec<&[Outline]> = Vec::new();
    for area in yard.areas.iter().filter(|a| !yard.pieces(&a.key).is_empty()) {
        names.push(&area.name);
        grounds.push(yard.pieces(&area.key));
    }
    for (name, ground) in &buildings {
        names.push(name);
        grounds.push(ground);
    }
    let units = yard.units();
    let size = |m2: f64| units.say(Quantity::Area, m2);
    let mut found = Vec::new();
    for o in overlaps(&grounds) {
        let words = format!("{} and {} both claim {}", names[o.a], names[o.b], size(o.area.get()));
        found.push(MapFault { words, at: Some(o.at), ring: Vec::new() });
    }
    for gap in gaps(&grounds).into_iter().filter(|g| g.area.get() < LEFT_OUT_M2) {
        let words = match (gap.narrow, gap.enclosed) {
            (true, _) => format!("a slit of {} between two outlines: edges that should meet?", size(gap.area.get())),
            (false, _) => format!("{} between outlines belong to nothing", size(gap.area.get())),
        };
        found.push(MapFault { words, at: Some(gap.at), ring: gap.ring });
    }
    heads(yard, &mut found);
    found
}

fn heads(yard: &Yard, found: &mut Vec<MapFault>) {
    let units = yard.units();
    for thing in &yard.things {
        let Thing::Head(head) = &thing.thing else { continue };
        let at = thing.place();
        let mut say = |words: String| found.push(MapFault { words, at: Some(at), ring: Vec::new() });
        let Some(zone) = head.zone.as_deref().and_then(|z| yard.zone(z)) else {
            say(format!("{} belongs to no zone", thing.name));
            continue;
        };
        let ground = zone_ground(yard, zone);
        let outside = ground.iter().map(|g| g.distance_to(at).get()).fold(f64::INFINITY, f64::min);
        if !ground.is_empty() && outside > HEAD_OUTSIDE_M {
            let far = units.say(Quantity::Length, outside);
            say(format!("{} stands {far} outside the ground {} waters", thing.name, zone.name));
        }
    }
    for zone in &yard.zones {
        let (Some(told), Some(drawn)) = (zone.rate_mm_h, zone_coverage(yard, &zone.key)) else { continue };
        let ratio = drawn.mean.get() / told;
        if !(1.0 / RATES_APART..=RATES_APART).contains(&ratio) {
            let [told, drawn] = [told, drawn.mean.get()].map(|mm| units.say(Quantity::Rate, mm));
            let words =
                format!("{} is told to put down {told}, its heads on the map {drawn}: which is right?", zone.name);
            found.push(MapFault { words, at: None, ring: Vec::new() });
        }
    }
    let heads_of =
        |key: &str| yard.things.iter().any(|t| matches!(t.thing, Thing::Head(_)) && t.thing.zone() == Some(key));
    let any = yard.zones.iter().any(|z| heads_of(&z.key));
    for zone in yard.zones.iter().filter(|z| any && !heads_of(&z.key)) {
        let lawn = zone.areas.iter().filter_map(|a| yard.area(a)).any(|a| a.cover == Cover::Turf);
        if lawn {
            let words = format!("{} has no heads on the map: its rate and evenness are taken from its kind", zone.name);
            found.push(MapFault { words, at: None, ring: Vec::new() });
        }
    }
}

//! Rules that look at what lies near on the map: water, wells, where children and pets are.

use almanac::{Active, ActiveKind};
use reckon::outline::distance_to_line;
use reckon::overlay;

use super::Level;
use super::book::{Book, label, substances};
use crate::entry::ProductFacts;
use crate::map::Thing;
use crate::units::Quantity;

/// Strip left untreated beside water for insecticides where the label names none: 25 ft (common practice).
const INSECTICIDE_M: f64 = 7.62;
/// The same for everything else: 15 ft (common practice, 10 to 15 ft).
const OTHERS_M: f64 = 4.572;
/// Mixing and filling keep this far from a well: 100 ft (common practice).
const WELL_MIXING_M: f64 = 30.48;

/// The nearest water or well of the map, and the strip to keep.
pub(super) fn near_water(book: &mut Book<'_>, product: &ProductFacts, area_key: &str) {
    let scene = book.scene;
    let pieces = scene.yard.pieces(area_key);
    if pieces.is_empty() {
        return;
    }
    let substances = substances(scene, product);
    let strip_of = |a: &Active| match &a.water_buffer_m {
        Some(own) => own.value,
        None if a.kind == ActiveKind::Insecticide => INSECTICIDE_M,
        None => OTHERS_M,
    };
    let typical = substances.iter().filter_map(|s| s.active).map(strip_of).fold(OTHERS_M, f64::max);
    let strip = product.label.water_buffer_m.unwrap_or(typical);
    let u = scene.units();
    let name = scene.yard.area_name(area_key);
    for thing in &scene.yard.things {
        let (gap, keep, mixing) = match thing.thing {
            Thing::WaterEdge => (distance_to_line(pieces, &thing.at).get(), strip, false),
            Thing::Well => {
                let gap = pieces.iter().map(|p| p.distance_to(thing.place()).get()).fold(f64::INFINITY, f64::min);
                (gap, strip.max(INSECTICIDE_M), true)
            }
            _ => continue,
        };
        let far = |m: f64| u.say(Quantity::Length, m);
        if gap < keep {
            let near = if gap < 0.05 { "reaches".to_owned() } else { format!("comes within {} of", far(gap)) };
            let (level, words, source) = match product.label.water_buffer_m {
                Some(own) if gap < own => (Level::Stop, "leave the label’s strip untreated,", label(own).source),
                _ => {
                    let source = "common practice; the label and local law govern".to_owned();
                    (Level::Caution, "leave the strip the label names; where it names none,", source)
                }
            };
            let message = format!("{name} {near} {}: {words} {}", thing.name, far(keep));
            book.say(level, "water-distance", message, source, None);
        }
        if mixing && gap < WELL_MIXING_M {
            let message = format!("mix and fill at least {} from {}", far(WELL_MIXING_M), thing.name);
            book.say(Level::Note, "water-distance", message, "common practice; the label governs", None);
        }
    }
}

/// Ground where children play or pets run lies on the area: nobody goes back before the label says.
pub(super) fn playing(book: &mut Book<'_>, product: &ProductFacts, area_key: &str) {
    let scene = book.scene;
    if product.actives.is_empty() {
        return;
    }
    let pieces = scene.yard.pieces(area_key);
    for thing in &scene.yard.things {
        let who = match thing.thing {
            Thing::Play => "children",
            Thing::Pets => "pets",
            _ => continue,
        };
        let on_it = thing.ground().is_some_and(|g| overlay::shared_area(pieces, &[g]).get() > 0.0);
        if on_it {
            let message = format!(
                "{} lies on {}: keep {who} off until it is dry, and as long as the label says",
                thing.name,
                scene.yard.area_name(area_key)
            );
            book.say(Level::Note, "re-entry", message, "common practice; the label governs", None);
        }
    }
}

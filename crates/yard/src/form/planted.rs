//! The form of trees, shrubs and hedges planted.

use super::reader::Reader;
use super::{Ask, Field, field, places};
use crate::entry::Planted;
use crate::units::{Quantity, Units};

/// Keys of the almanac's woody plants (a test holds them together).
const PLANTS: &[&str] = &["arb", "box", "cyp", "dec", "hol", "jun", "rho", "spr", "tree", "yew"];

pub(super) const FIELDS: &[Field] = &[
    field("area", "Where", Ask::Area, true, ""),
    field("plant", "What", Ask::Choice(PLANTS), true, ""),
    field("kind_of", "Species or kind", Ask::Line, false, "your own words"),
    field("count", "How many", Ask::Number("plants"), true, "correct it when some are lost"),
    field(
        "calliper",
        "Trunk, thickness",
        Ask::Measure(Quantity::Depth),
        false,
        "trees: a hand (6 in, 15 cm) over the ground; it tells water and years",
    ),
    field(
        "container",
        "Pot, volume",
        Ask::Measure(Quantity::Volume),
        false,
        "shrubs and hedge plants; or of the root ball",
    ),
    field("height", "Height", Ask::Measure(Quantity::Length), false, ""),
    field("spacing", "Distance between them", Ask::Measure(Quantity::Length), false, "hedges"),
    field("emitters", "Drip emitters on each", Ask::Number("emitters"), false, "where a drip line waters them"),
    field("emitter_hour", "One emitter gives in an hour", Ask::Measure(Quantity::Volume), false, "printed on it"),
    field("at", "Place on the map", Ask::Line, false, "east and north of the map's origin"),
    field("remark", "Remark", Ask::Text, false, ""),
];

fn whole(r: &mut Reader<'_>, name: &str) -> Option<u32> {
    let n = r.number_maybe(name)?;
    if n.fract() == 0.0 && (0.0..=1e6).contains(&n) {
        Some(n as u32)
    } else {
        r.fault(name, format!("{name} is {n}; it must be a whole number"));
        None
    }
}

pub(super) fn read(r: &mut Reader<'_>) -> Planted {
    let corners = r.corners("at");
    if corners.len() > 1 {
        r.fault("at", "one place only: east and north".to_owned());
    }
    Planted {
        area: r.words("area"),
        plant: r.words("plant"),
        kind_of: r.words("kind_of"),
        count: whole(r, "count").unwrap_or(0),
        calliper_mm: r.measure_maybe("calliper", Quantity::Depth),
        container_l: r.measure_maybe("container", Quantity::Volume),
        height_m: r.measure_maybe("height", Quantity::Length),
        spacing_m: r.measure_maybe("spacing", Quantity::Length),
        emitters: whole(r, "emitters"),
        emitter_l_h: r.measure_maybe("emitter_hour", Quantity::Volume),
        at: corners.first().map(|c| c.at()),
        remark: r.words("remark"),
    }
}

pub(super) fn show(put: &mut dyn FnMut(&str, String), p: &Planted, units: Units) {
    // There and back without loss: the shortest text that reads the same.
    let measure = |q: Quantity, v: Option<f64>| v.map(|v| units.show(q, v).to_string()).unwrap_or_default();
    put("area", p.area.clone());
    put("plant", p.plant.clone());
    put("kind_of", p.kind_of.clone());
    put("count", p.count.to_string());
    put("calliper", measure(Quantity::Depth, p.calliper_mm));
    put("container", measure(Quantity::Volume, p.container_l));
    put("height", measure(Quantity::Length, p.height_m));
    put("spacing", measure(Quantity::Length, p.spacing_m));
    put("emitters", p.emitters.map(|n| n.to_string()).unwrap_or_default());
    put("emitter_hour", measure(Quantity::Volume, p.emitter_l_h));
    let length = |m: f64| units.show(Quantity::Length, m);
    put("at", p.at.map(|[x, y]| places::number_pair(length(x), length(y))).unwrap_or_default());
    put("remark", p.remark.clone());
}

#[cfg(test)]
mod tests {
    use super::PLANTS;

    /// The form offers the almanac's plants, all of them and no other.
    #[test]
    fn the_plants_are_the_almanacs() {
        let known: Vec<&str> = almanac::Almanac::embedded().plants.plants.iter().map(|p| p.id.as_str()).collect();
        assert_eq!(PLANTS, known);
    }
}

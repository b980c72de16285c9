//! How the heads of a zone water its ground.

use std::sync::OnceLock;

use reckon::coverage::{Coverage, CoverageInput, CoverageMap, Head, Lean, coverage_map};
use reckon::head_change::{Change, ChangeOptions, HeadChange, best_changes};
use reckon::outline::{FLATTEN_TOLERANCE_M, Outline};
use reckon::units::{Degrees, LitresPerMinute, Metres};

use crate::entry::ZoneFacts;
use crate::fold::Yard;
use crate::map::{HeadFacts, Mapped, Thing};
use crate::units::{Quantity, Units};

/// Cells a picture of a zone has at most: enough to see a dry corner.
const CELLS_MAX: f64 = 12_000.0;
/// Smallest cell (m).
const CELL_LEAST_M: f64 = 0.25;
/// Arcs as short sides, to the cell's own coarseness.
const EDGE_TOLERANCE_M: f64 = 10.0 * FLATTEN_TOLERANCE_M;

/// A head on the map with its facts.
#[derive(Clone, Copy, Debug)]
pub struct ZoneHead<'a> {
    /// The thing on the map.
    pub thing: &'a Mapped,
    /// Its facts.
    pub facts: &'a HeadFacts,
}

/// How a zone waters its ground.
#[derive(Clone, Debug)]
pub struct ZoneWater {
    /// Keys of its heads, in the order of `input.heads`.
    pub heads: Vec<String>,
    /// What it was worked out from.
    pub input: CoverageInput,
    /// The rate cell by cell.
    pub map: CoverageMap,
    /// Single changes of single heads that gain most, best first.
    pub changes: Vec<HeadChange>,
}

/// The heads of a zone on the map.
pub fn zone_heads<'a>(yard: &'a Yard, zone: &str) -> Vec<ZoneHead<'a>> {
    yard.things
        .iter()
        .filter_map(|thing| match &thing.thing {
            Thing::Head(facts) if facts.zone.as_deref() == Some(zone) => Some(ZoneHead { thing, facts }),
            _ => None,
        })
        .collect()
}

/// The drawn ground a zone waters.
pub(super) fn zone_ground(yard: &Yard, zone: &ZoneFacts) -> Vec<Outline> {
    zone.areas.iter().flat_map(|a| yard.pieces(a)).cloned().collect()
}

/// The pieces without those that lie mostly on another one: by the even–odd rule ground told twice would be no ground.
fn apart(ground: &[Outline]) -> Vec<Outline> {
    let mut kept: Vec<Outline> = Vec::new();
    let size = |g: &Outline| g.size().map_or(0.0, |s| s.area.get());
    let mut largest_first: Vec<&Outline> = ground.iter().collect();
    largest_first.sort_by(|a, b| size(b).total_cmp(&size(a)));
    for piece in largest_first {
        let shared = reckon::overlay::shared_area(&kept, std::slice::from_ref(piece)).get();
        if shared < 0.5 * size(piece) {
            kept.push(piece.clone());
        }
    }
    kept
}

/// A head on the map as the formula takes it.
pub fn head_of(at: [f64; 2], h: &HeadFacts) -> Head {
    Head {
        x: Metres::new(at[0]),
        y: Metres::new(at[1]),
        radius: Metres::new(h.radius_m),
        arc_from: Degrees::new(h.arc_from_deg),
        arc: Degrees::new(h.arc_deg),
        flow: LitresPerMinute::new(h.flow_lpm),
        profile: None,
        lean: (h.lean_deg > 0.0)
            .then(|| Lean { angle: Degrees::new(h.lean_deg), towards: Degrees::new(h.lean_to_deg) }),
    }
}

/// Ground and heads as the formula takes them; `None` where there is no ground or no water.
pub fn zone_input(ground: &[Outline], heads: Vec<Head>) -> Option<CoverageInput> {
    if ground.is_empty() || heads.iter().all(|h| h.flow.get() <= 0.0) {
        return None;
    }
    let flat: Vec<_> = apart(ground).iter().map(|g| g.flattened(EDGE_TOLERANCE_M)).collect();
    // One ring through all pieces: the way from piece to piece runs there and back, and by the even–odd rule encloses nothing.
    let mut area_m: Vec<[f64; 2]> = Vec::new();
    for piece in &flat {
        area_m.extend(&piece.ring);
        area_m.extend(piece.ring.first());
    }
    for piece in flat.iter().rev().skip(1) {
        area_m.extend(piece.ring.first());
    }
    let size: f64 = ground.iter().filter_map(|g| g.size().ok()).map(|s| s.area.get()).sum();
    let cell = (size / CELLS_MAX).sqrt().max(CELL_LEAST_M);
    let holes_m = flat.into_iter().flat_map(|piece| piece.holes).collect();
    Some(CoverageInput { area_m, holes_m, heads, cell: Metres::new(cell) })
}

fn input_of(yard: &Yard, zone: &ZoneFacts) -> Option<(Vec<String>, CoverageInput)> {
    let heads = zone_heads(yard, &zone.key);
    let formula = heads.iter().map(|h| head_of(h.thing.place(), h.facts)).collect();
    let input = zone_input(&zone_ground(yard, zone), formula)?;
    Some((heads.iter().map(|h| h.thing.key.clone()).collect(), input))
}

/// The picture of a zone's water, and the changes that gain most; `None` where neither heads nor ground are drawn.
pub fn water_of(yard: &Yard, zone: &ZoneFacts, changes: usize) -> Option<ZoneWater> {
    let (heads, input) = input_of(yard, zone)?;
    let map = coverage_map(&input).ok()?;
    let changes = if changes == 0 {
        Vec::new()
    } else {
        best_changes(&input, &ChangeOptions { keep: changes }).unwrap_or_default()
    };
    Some(ZoneWater { heads, input, map, changes })
}

/// Rate and evenness of every zone's heads, worked out when first asked for.
#[derive(Clone, Debug, Default)]
pub struct HeadWater(Vec<OnceLock<Option<Coverage>>>);

impl HeadWater {
    /// Room for so many zones.
    pub(crate) fn of(zones: usize) -> Self {
        Self(vec![OnceLock::new(); zones])
    }
}

/// Rate and evenness of a zone by its drawn heads and ground; `None` where they are not drawn.
pub fn zone_coverage(yard: &Yard, zone: &str) -> Option<Coverage> {
    let i = yard.zones_ever.iter().position(|z| z.key == zone)?;
    let work_out = || {
        let (_, input) = input_of(yard, &yard.zones_ever[i])?;
        coverage_map(&input).ok().map(|map| map.coverage).filter(|c| c.mean.get() > 0.0)
    };
    match yard.head_water.0.get(i) {
        Some(cell) => *cell.get_or_init(work_out),
        None => work_out(),
    }
}

/// A change in words, in the user's units.
pub fn change_words(change: &Change, units: Units) -> String {
    let length = |m: f64| units.say(Quantity::Length, m);
    match change {
        Change::Straighten => "set it upright".to_owned(),
        Change::Move { east, north } => {
            let (e, n) = (east.get(), north.get());
            let far = length(e.hypot(n));
            let compass = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
            let eighth = (e.atan2(n).to_degrees().rem_euclid(360.0) / 45.0).round() as usize % 8;
            format!("move it {far} to the {}", compass[eighth])
        }
        Change::Turn { arc_from } => format!("turn its arc to start at {:.0}°", arc_from.get()),
        Change::Arc { arc_from, arc } => {
            format!("set its arc to {:.0}°, starting at {:.0}°", arc.get(), arc_from.get())
        }
        Change::Nozzle { radius, flow } => {
            format!(
                "give it a nozzle of {} that throws {}",
                units.say(Quantity::Flow, flow.get()),
                length(radius.get())
            )
        }
    }
}

//! Where the sun reaches: hours of direct sun by month, from the latitude and what stands on the map.

use reckon::outline::{FLATTEN_TOLERANCE_M, corners_flat};
use reckon::sun::{Obstacle, SunHoursInput, sun_hours};
use reckon::units::{Degrees, Metres};

use crate::entry::Cover;
use crate::fold::Yard;
use crate::map::Thing;

/// Cells of the picture at most.
pub const SUN_CELLS_MAX: f64 = 3_000.0;
/// Smallest cell (m).
const CELL_LEAST_M: f64 = 0.5;
/// Points an area's own figure is the mean of, about.
const AREA_POINTS: f64 = 60.0;

/// Hours of sun over the whole map.
#[derive(Clone, Debug, PartialEq)]
pub struct SunMap {
    /// West and south edge.
    pub origin_m: [f64; 2],
    /// Side of a cell (m).
    pub cell_m: f64,
    /// Cells from west to east.
    pub columns: usize,
    /// Cells from south to north.
    pub rows: usize,
    /// Hours by month, January first, row by row from the south-west; `None` outside every drawn area.
    pub hours: Vec<Option<[f64; 12]>>,
    /// Hours with nothing in the way.
    pub open: [f64; 12],
}

/// What throws shade: buildings, trees, hedges of a told height. `but` is left out: a hedge does not shade itself.
fn obstacles(yard: &Yard, but: Option<&str>) -> Vec<Obstacle> {
    let ring_of = |ring: &[reckon::outline::Corner]| corners_flat(ring, 10.0 * FLATTEN_TOLERANCE_M);
    let things = yard.things.iter().filter_map(|t| match &t.thing {
        Thing::Building { height_m } => {
            Some(Obstacle::Prism { ring_m: ring_of(&t.at), height: Metres::new(*height_m) })
        }
        Thing::Tree { height_m, crown_m, base_m, evergreen } => Some(Obstacle::Crown {
            centre_m: t.place(),
            radius: Metres::new(*crown_m),
            // A crown that begins at its own top throws no shade; the least crown is a tenth of the tree.
            base: Metres::new(base_m.min(0.9 * height_m)),
            top: Metres::new(*height_m),
            evergreen: *evergreen,
        }),
        _ => None,
    });
    let hedges = yard
        .areas
        .iter()
        .filter(|a| a.cover == Cover::Hedge && Some(a.key.as_str()) != but)
        .filter_map(|a| Some((a, a.height_m?)));
    let hedges = hedges.flat_map(|(a, height)| {
        let prism = move |ring: &[reckon::outline::Corner]| Obstacle::Prism {
            ring_m: corners_flat(ring, 10.0 * FLATTEN_TOLERANCE_M),
            height: Metres::new(height),
        };
        yard.pieces(&a.key).iter().map(move |piece| prism(&piece.ring))
    });
    things.chain(hedges).collect()
}

/// The centres of the cells of a lattice over some ground, and whether each lies on it.
fn lattice(yard: &Yard, keys: &[&str], cells_max: f64, least_m: f64) -> Option<(SunMap, Vec<[f64; 2]>, Vec<usize>)> {
    let pieces: Vec<&reckon::outline::Outline> = keys.iter().flat_map(|k| yard.pieces(k)).collect();
    let flat: Vec<Vec<[f64; 2]>> = pieces.iter().map(|p| corners_flat(&p.ring, 0.1)).collect();
    let all = || flat.iter().flatten();
    let low = |i: usize| all().map(|c| c[i]).fold(f64::INFINITY, f64::min);
    let high = |i: usize| all().map(|c| c[i]).fold(f64::NEG_INFINITY, f64::max);
    let (west, south, east, north) = (low(0), low(1), high(0), high(1));
    if !(east > west && north > south) {
        return None;
    }
    let cell = ((east - west) * (north - south) / cells_max).sqrt().max(least_m);
    let columns = ((east - west) / cell).ceil().max(1.0) as usize;
    let rows = ((north - south) / cell).ceil().max(1.0) as usize;
    let (mut points, mut places) = (Vec::new(), Vec::new());
    for row in 0..rows {
        for column in 0..columns {
            let at = [west + (column as f64 + 0.5) * cell, south + (row as f64 + 0.5) * cell];
            if pieces.iter().any(|p| p.contains(at)) {
                points.push(at);
                places.push(row * columns + column);
            }
        }
    }
    let map = SunMap {
        origin_m: [west, south],
        cell_m: cell,
        columns,
        rows,
        hours: vec![None; columns * rows],
        open: [0.0; 12],
    };
    Some((map, points, places))
}

fn filled(yard: &Yard, keys: &[&str], but: Option<&str>, cells_max: f64, least_m: f64) -> Option<SunMap> {
    let latitude = yard.facts.as_ref()?.place.latitude_deg;
    let (mut map, points_m, places) = lattice(yard, keys, cells_max, least_m)?;
    if points_m.is_empty() {
        return None;
    }
    let input = SunHoursInput { latitude: Degrees::new(latitude), points_m, obstacles: obstacles(yard, but) };
    let found = sun_hours(&input).ok()?;
    for (place, hours) in places.into_iter().zip(found.hours) {
        map.hours[place] = Some(hours);
    }
    map.open = found.open;
    Some(map)
}

/// Hours of sun on every drawn lawn and bed; `None` where none is drawn.
pub fn sun_map(yard: &Yard) -> Option<SunMap> {
    let open = yard.areas.iter().filter(|a| matches!(a.cover, Cover::Turf | Cover::Bed));
    let keys: Vec<&str> = open.map(|a| a.key.as_str()).collect();
    filled(yard, &keys, None, SUN_CELLS_MAX, CELL_LEAST_M)
}

/// Mean hours of sun on one area by month; `None` where it is not drawn.
pub fn area_sun(yard: &Yard, key: &str) -> Option<[f64; 12]> {
    let map = filled(yard, &[key], Some(key), AREA_POINTS, 0.25)?;
    let points: Vec<[f64; 12]> = map.hours.into_iter().flatten().collect();
    let mean = |month: usize| points.iter().map(|h| h[month]).sum::<f64>() / points.len() as f64;
    Some(std::array::from_fn(mean))
}

//! Which one change of one head waters a piece of ground more evenly.

use std::cmp::Ordering;
use std::f64::consts::FRAC_1_SQRT_2;

use geo::{Contains, Coord, Intersects, LineString, Polygon};
use rayon::prelude::*;

use crate::catch_can::{low_quarter_mean, mean};
use crate::coverage::field::{Field, Throw};
use crate::coverage::{ARC_DEG, Coverage, CoverageInput, Head, coverage};
use crate::error::{Bound, ReckonError};
use crate::units::{Degrees, LitresPerMinute, Metres};

/// How many changes are wanted.
pub const KEEP: Bound = Bound::new("keep", 1.0, 100.0, "", "how many changes are wanted");
/// Most looks at a cell, all trials together, that one search may take.
pub const LOOKS_MAX: usize = 100_000_000;

/// Least gain in low-quarter uniformity that makes a change worth telling (common practice: less is lost in the wind).
pub const DU_GAIN_LEAST: f64 = 0.005;
/// Least cut of the share that lands off the area that makes a change worth telling without a gain in uniformity
/// (common practice).
pub const OFF_TARGET_CUT_LEAST: f64 = 0.02;

/// How far a head is moved, metres: by half a metre and by one, in each of eight directions.
const MOVES_M: [f64; 2] = [0.5, 1.0];
/// The eight directions, clockwise from north.
const DIRECTIONS: [[f64; 2]; 8] = [
    [0.0, 1.0],
    [FRAC_1_SQRT_2, FRAC_1_SQRT_2],
    [1.0, 0.0],
    [FRAC_1_SQRT_2, -FRAC_1_SQRT_2],
    [0.0, -1.0],
    [-FRAC_1_SQRT_2, -FRAC_1_SQRT_2],
    [-1.0, 0.0],
    [-FRAC_1_SQRT_2, FRAC_1_SQRT_2],
];
/// By how much the whole arc is turned, degrees.
const TURNS_DEG: [f64; 9] = [10.0, -10.0, 20.0, -20.0, 45.0, -45.0, 90.0, -90.0, 180.0];
/// By how much one edge of the arc is moved, degrees.
const EDGES_DEG: [f64; 6] = [10.0, -10.0, 20.0, -20.0, 45.0, -45.0];
/// Flow of another nozzle at the same throw, as a share of the present one.
const FLOWS: [f64; 4] = [0.5, 0.67, 1.5, 2.0];
/// Throw of another nozzle, as a share of the present one; its flow goes with the square, so that the rate stays.
const THROWS: [f64; 4] = [0.7, 0.85, 1.15, 1.3];

/// What the search is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChangeOptions {
    /// Most changes to tell, 1 to 100.
    pub keep: usize,
}

/// One change of one head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// Set a leaning head upright.
    Straighten,
    /// Move the head.
    Move {
        /// By how much to the east; negative to the west.
        east: Metres,
        /// By how much to the north; negative to the south.
        north: Metres,
    },
    /// Turn the whole arc.
    Turn {
        /// Bearing where the arc then starts, 0 to 360.
        arc_from: Degrees,
    },
    /// Move one edge of the arc.
    Arc {
        /// Bearing where the arc then starts, 0 to 360.
        arc_from: Degrees,
        /// Width of the arc then.
        arc: Degrees,
    },
    /// Put another nozzle in.
    Nozzle {
        /// Throw then.
        radius: Metres,
        /// Flow then.
        flow: LitresPerMinute,
    },
}

impl Change {
    /// The head with the change made.
    pub fn applied_to(&self, head: &Head) -> Head {
        let mut head = head.clone();
        match *self {
            Self::Straighten => head.lean = None,
            Self::Move { east, north } => {
                head.x += east;
                head.y += north;
            }
            Self::Turn { arc_from } => head.arc_from = arc_from,
            Self::Arc { arc_from, arc } => {
                head.arc_from = arc_from;
                head.arc = arc;
            }
            Self::Nozzle { radius, flow } => {
                head.radius = radius;
                head.flow = flow;
            }
        }
        head
    }
}

/// A change worth making, and what it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeadChange {
    /// Place of the head in the list.
    pub head: usize,
    /// The change.
    pub change: Change,
    /// The area as it is watered now.
    pub before: Coverage,
    /// The area with this one change made.
    pub after: Coverage,
}

/// The single changes of single heads that water the area most evenly, best first.
///
/// Each head in turn is tried with each of these, the others as they are:
///
/// | change | tried |
/// | --- | --- |
/// | straighten | where it leans |
/// | move | 0.5 and 1 m in eight directions; a head that stands on the area stays on it |
/// | turn the arc | by ±10, ±20, ±45, ±90 and 180° |
/// | move one edge of the arc | by ±10, ±20 and ±45° |
/// | another nozzle, same throw | flow × 0.5, 0.67, 1.5 and 2 |
/// | another nozzle, other throw | throw × 0.7, 0.85, 1.15 and 1.3, flow with the square of the throw |
///
/// Best is the highest low-quarter uniformity, of equals the one with less water off the area. Told are changes that
/// raise it by at least 0.005, or that cut the share off the area by at least 0.02 and do not lower it; of each head
/// and row (the nozzle's two as one) only the best.
///
/// A change of arc keeps the flow: for nozzles whose flow goes with the arc, and for the pressure that the other heads
/// then have, the caller sets the figures. Left out: what [`coverage`] leaves out, changes of several heads at once,
/// and the price of a change.
///
/// # Errors
/// As [`coverage`]; [`ReckonError::OutOfRange`] naming `keep`; [`ReckonError::Inconsistent`] naming `cell_m` when the
/// trials would look at more than 100,000,000 cells.
///
/// # Source
/// Uniformity as in [`coverage`]. Common practice: which changes are tried and how large, the least gain told, and the
/// flow that goes with the square of the throw (matched precipitation: the same depth on the larger circle).
///
/// # Examples
/// Three heads of a square look inwards, the one in the south-west looks out of it: the best change turns it round.
/// ```
/// use reckon::coverage::{CoverageInput, Head};
/// use reckon::head_change::{Change, ChangeOptions, best_changes};
/// use reckon::units::{Degrees, LitresPerMinute, Metres};
///
/// let head = |x, y, from| Head {
///     x: Metres::new(x),
///     y: Metres::new(y),
///     radius: Metres::new(10.0),
///     arc_from: Degrees::new(from),
///     arc: Degrees::new(90.0),
///     flow: LitresPerMinute::new(5.0),
///     profile: None,
///     lean: None,
/// };
/// let lawn = CoverageInput {
///     area_m: vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]],
///     holes_m: vec![],
///     heads: vec![head(0.0, 0.0, 180.0), head(0.0, 10.0, 90.0), head(10.0, 10.0, 180.0), head(10.0, 0.0, 270.0)],
///     cell: Metres::new(0.25),
/// };
/// let best = best_changes(&lawn, &ChangeOptions { keep: 3 })?[0];
/// assert_eq!((best.head, best.change), (0, Change::Turn { arc_from: Degrees::new(0.0) }));
/// assert!(best.after.du_lq > best.before.du_lq && best.after.off_target < best.before.off_target);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn best_changes(input: &CoverageInput, options: &ChangeOptions) -> Result<Vec<HeadChange>, ReckonError> {
    KEEP.check(options.keep as f64)?;
    let field = Field::new(input)?;
    let before = field.summary();
    let plans = plans(input);
    let trials = Trials::new(input, &field, before)?;
    let looks = plans.iter().map(|plan| trials.looks(plan)).sum::<f64>();
    if looks > LOOKS_MAX as f64 {
        let message = format!(
            "{} m makes {looks:.0} looks at cells for all changes; the most is {LOOKS_MAX}, so take larger cells",
            input.cell.get()
        );
        return Err(ReckonError::Inconsistent { field: "cell_m", message });
    }
    let mut found: Vec<Trial> = plans.par_iter().flat_map_iter(|plan| trials.best(plan)).collect();
    found.sort_by(Trial::order);
    found
        .into_iter()
        .take(options.keep)
        .map(|Trial { head, change, .. }| {
            let mut changed = input.clone();
            changed.heads[head] = change.applied_to(&changed.heads[head]);
            Ok(HeadChange { head, change, before, after: coverage(&changed)? })
        })
        .collect()
}

/// One head and what is tried with it: lists of changes of one kind.
struct Plan {
    head: usize,
    kinds: Vec<Vec<(Change, Throw)>>,
}

/// What is tried with every head; a change that leaves a range, or makes no difference, is not.
fn plans(input: &CoverageInput) -> Vec<Plan> {
    let polygon =
        |ring: &[[f64; 2]]| Polygon::new(ring.iter().map(|&[x, y]| Coord { x, y }).collect::<LineString>(), vec![]);
    let area = polygon(&input.area_m);
    let holes: Vec<Polygon> = input.holes_m.iter().map(|hole| polygon(hole)).collect();
    // On the edge of either is on the ground: heads stand along them.
    let on_ground = |head: &Head| {
        let at = Coord { x: head.x.get(), y: head.y.get() };
        area.intersects(&at) && !holes.iter().any(|hole| hole.contains(&at))
    };
    let plan = |(index, head): (usize, &Head)| {
        let strays = !on_ground(head);
        let worth = |change: Change| {
            let changed = change.applied_to(head);
            let stands = !matches!(change, Change::Move { .. }) || strays || on_ground(&changed);
            (stands && changed != *head)
                .then(|| Throw::new(index, &changed).ok())
                .flatten()
                .map(|throw| (change, throw))
        };
        let kinds = [vec![Change::Straighten], moves(), turns(head), arcs(head), nozzles(head)]
            .map(|kind| kind.into_iter().filter_map(worth).collect());
        Plan { head: index, kinds: kinds.into() }
    };
    input.heads.iter().enumerate().filter(|(_, head)| head.flow.get() > 0.0).map(plan).collect()
}

fn moves() -> Vec<Change> {
    let step = |by: f64| {
        DIRECTIONS.map(|[east, north]| Change::Move { east: Metres::new(by * east), north: Metres::new(by * north) })
    };
    MOVES_M.into_iter().flat_map(step).collect()
}

fn turns(head: &Head) -> Vec<Change> {
    let turn = |by: f64| Change::Turn { arc_from: bearing(head.arc_from.get() + by) };
    if head.arc.get() < ARC_DEG.max { TURNS_DEG.map(turn).into() } else { Vec::new() }
}

/// The start moved with the end kept, and the end moved with the start kept.
fn arcs(head: &Head) -> Vec<Change> {
    let (from, width) = (head.arc_from.get(), head.arc.get());
    let edges = |by: f64| {
        let arc = (width + by).min(ARC_DEG.max);
        let change = |start: f64| Change::Arc { arc_from: bearing(start), arc: Degrees::new(arc) };
        let count = if arc == width { 0 } else { 2 };
        [change(from), change(from + width - arc)].into_iter().take(count)
    };
    EDGES_DEG.into_iter().flat_map(edges).collect()
}

fn nozzles(head: &Head) -> Vec<Change> {
    let (radius, flow) = (head.radius, head.flow);
    let flows = FLOWS.map(|by| Change::Nozzle { radius, flow: flow * by });
    let throws = THROWS.map(|by| Change::Nozzle { radius: radius * by, flow: flow * (by * by) });
    flows.into_iter().chain(throws).collect()
}

fn bearing(degrees: f64) -> Degrees {
    Degrees::new(degrees.rem_euclid(360.0))
}

/// A change tried: figures good to the last few digits, for ranking.
struct Trial {
    head: usize,
    change: Change,
    du_lq: f64,
    off_target: f64,
}

impl Trial {
    /// Best first. Figures that agree to nine digits are equal: mirrored heads differ by rounding.
    fn order(&self, other: &Self) -> Ordering {
        let rounded = |share: f64| (share * 1e9).round();
        let by_uniformity = rounded(other.du_lq).total_cmp(&rounded(self.du_lq));
        by_uniformity.then(rounded(self.off_target).total_cmp(&rounded(other.off_target)))
    }
}

/// What all trials share.
struct Trials<'a> {
    field: &'a Field,
    before: Coverage,
    throws: Vec<Throw>,
    /// Places in the grid of the area's cells.
    cells: Vec<usize>,
}

impl<'a> Trials<'a> {
    fn new(input: &CoverageInput, field: &'a Field, before: Coverage) -> Result<Self, ReckonError> {
        let throws = input.heads.iter().enumerate().map(|(i, head)| Throw::new(i, head)).collect::<Result<_, _>>()?;
        let cells = field.inside.iter().enumerate().filter_map(|(place, &inside)| inside.then_some(place)).collect();
        Ok(Self { field, before, throws, cells })
    }

    fn looks(&self, plan: &Plan) -> f64 {
        let grid = self.field.rate.len() as f64;
        plan.kinds.iter().flatten().map(|(_, throw)| grid + throw.looks(&self.field.grid)).sum()
    }

    /// The best change of each kind, of those worth telling.
    fn best(&self, plan: &Plan) -> Vec<Trial> {
        let Field { grid, inside, rate, total } = self.field;
        let present = &self.throws[plan.head];
        let mut weights = Vec::new();
        let mut own = vec![0.0; inside.len()];
        present.throw(grid, present.share(grid), &mut weights, &mut own);
        let others: Vec<f64> = rate.iter().zip(&own).map(|(all, own)| all - own).collect();
        let others_total = total - present.share(grid);

        let mut changed = Vec::new();
        let mut on_target = Vec::new();
        let mut tried = |(change, throw): &(Change, Throw)| {
            changed.clone_from(&others);
            let share = throw.share(grid);
            throw.throw(grid, share, &mut weights, &mut changed);
            on_target.clear();
            on_target.extend(self.cells.iter().map(|&place| changed[place]));
            let landed: f64 = on_target.iter().sum();
            let mean = mean(&on_target);
            Trial {
                head: plan.head,
                change: *change,
                du_lq: if mean > 0.0 { low_quarter_mean(&mut on_target) / mean } else { 0.0 },
                off_target: 1.0 - landed / (others_total + share),
            }
        };
        plan.kinds
            .iter()
            .filter_map(|kind| kind.iter().map(&mut tried).filter(|trial| self.worth(trial)).min_by(Trial::order))
            .collect()
    }

    fn worth(&self, trial: &Trial) -> bool {
        let gain = trial.du_lq - self.before.du_lq.get();
        let cut = self.before.off_target.get() - trial.off_target;
        gain >= DU_GAIN_LEAST || (cut >= OFF_TARGET_CUT_LEAST && gain >= -1e-9)
    }
}

#[cfg(test)]
mod tests;

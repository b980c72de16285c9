//! Where the water of several heads falls on a piece of ground, cell by cell.

use crate::error::{Bound, ReckonError};
use crate::units::{Degrees, Fraction, LitresPerMinute, Metres, MillimetresPerHour};

use field::Field;

/// A corner of the area or of a hole, east or north of the survey's origin.
pub const CORNER_M: Bound = Bound::new("area", -1e7, 1e7, "m", "a corner of the area");
/// Position of a head.
pub const POSITION_M: Bound = Bound::new("x_m", -1e7, 1e7, "m", "position of the head");
/// Throw of a head.
pub const RADIUS_M: Bound = Bound::new("radius_m", 0.05, 100.0, "m", "throw of the head");
/// Where the arc starts, clockwise from north.
pub const ARC_FROM_DEG: Bound =
    Bound::new("arc_from_deg", -360.0, 360.0, "°", "bearing where the arc starts, clockwise from north");
/// Width of the arc.
pub const ARC_DEG: Bound = Bound::new("arc_deg", 1.0, 360.0, "°", "width of the arc, clockwise");
/// Flow of a head; nothing when it is capped.
pub const FLOW_LPM: Bound = Bound::new("flow_lpm", 0.0, 1_000.0, "L/min", "flow of the head");
/// Rate at one distance, as a share of the head's highest rate.
pub const PROFILE: Bound =
    Bound::new("profile", 0.0, 1.0, "", "rate at evenly spaced distances, as a share of the highest");
/// How far a head leans from upright.
pub const LEAN_DEG: Bound = Bound::new("lean_deg", 0.0, 30.0, "°", "how far the head leans from upright");
/// Where a head leans to, clockwise from north.
pub const LEAN_TOWARDS_DEG: Bound =
    Bound::new("lean_towards_deg", -360.0, 360.0, "°", "bearing the head leans to, clockwise from north");
/// Side of a cell.
pub const CELL_M: Bound = Bound::new("cell_m", 0.005, 10.0, "m", "side of a cell");

/// Most cells of the grid over the area.
pub const CELLS_MAX: usize = 4_000_000;
/// Most looks at a cell, all heads together, that one computation may take.
pub const LOOKS_MAX: usize = 100_000_000;
/// Most heads.
pub const HEADS_MAX: usize = 1_000;
/// Most figures in one profile.
pub const PROFILE_COUNT_MAX: usize = 1_000;
/// Most corners, holes included.
pub const CORNERS_MAX: usize = 10_000;

/// A cell is dry when it gets less than this share of the mean rate, or nothing.
pub const DRY_SHARE: f64 = 0.1;
/// A cell is flooded when it gets more than this many times the mean rate (common practice: what suits the mean runs
/// off there).
pub const FLOOD_SHARE: f64 = 2.0;

/// Angle over the ground at which an upright head throws, degrees (common practice: the usual angle of rotating heads;
/// sprays are made for 5 to 30).
pub const TRAJECTORY_DEG: f64 = 25.0;
/// Share of its throw that a leaning head keeps at least, where its stream is driven at the ground (common practice).
pub const LEAN_THROW_LEAST: f64 = 0.2;

/// One sprinkler head.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// East of the origin.
    pub x: Metres,
    /// North of the origin.
    pub y: Metres,
    /// Throw.
    pub radius: Metres,
    /// Bearing where the arc starts, clockwise from north (the y axis).
    pub arc_from: Degrees,
    /// Width of the arc, clockwise; 360 is a full circle.
    pub arc: Degrees,
    /// Flow.
    pub flow: LitresPerMinute,
    /// Rate at evenly spaced distances, the first at the head and the last at the radius, straight between them; a
    /// single figure is an even rate. Only the shape counts. `None` is the linear decline, the same as `[1, 0]`.
    pub profile: Option<Vec<f64>>,
    /// How it leans; `None` is upright.
    pub lean: Option<Lean>,
}

/// How a head leans.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lean {
    /// From upright.
    pub angle: Degrees,
    /// Bearing the top of the head leans to, clockwise from north.
    pub towards: Degrees,
}

/// Ground and heads.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverageInput {
    /// Corners of the area, `[east, north]` in metres; closing the ring is optional.
    pub area_m: Vec<[f64; 2]>,
    /// Rings inside the area that want no water, such as a house.
    pub holes_m: Vec<Vec<[f64; 2]>>,
    /// The heads that run together.
    pub heads: Vec<Head>,
    /// Side of a cell.
    pub cell: Metres,
}

/// How much water the area gets and how evenly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coverage {
    /// Mean rate over the area's cells.
    pub mean: MillimetresPerHour,
    /// Distribution uniformity of the lowest quarter of the cells; 0 when no water lands on the area.
    pub du_lq: Fraction,
    /// Christiansen's coefficient of uniformity; below zero when most of the water lands on a few cells, 0 when none
    /// lands on the area.
    pub cu: Fraction,
    /// Share of the flow that lands outside the area, holes counted as outside.
    pub off_target: Fraction,
    /// Share of the area's cells that are dry: under a tenth of the mean rate, or without any water.
    pub dry_cells: Fraction,
}

/// The rate in every cell, for drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverageMap {
    /// The summary.
    pub coverage: Coverage,
    /// West and south edge of the grid.
    pub origin_m: [f64; 2],
    /// Side of a cell.
    pub cell: Metres,
    /// Cells from west to east.
    pub columns: usize,
    /// Cells from south to north.
    pub rows: usize,
    /// Rate in mm/h, row by row from the south-west; `None` outside the area.
    pub rate_mm_h: Vec<Option<f64>>,
}

impl CoverageMap {
    /// Whether a cell of this rate in mm/h is flooded: it gets more than [`FLOOD_SHARE`] times the mean.
    pub fn is_flooded(&self, rate_mm_h: f64) -> bool {
        rate_mm_h > FLOOD_SHARE * self.coverage.mean.get()
    }

    /// Share of the area's cells that are flooded.
    pub fn flooded_cells(&self) -> Fraction {
        let (mut cells, mut flooded) = (0_u32, 0_u32);
        for &rate in self.rate_mm_h.iter().flatten() {
            cells += 1;
            flooded += u32::from(self.is_flooded(rate));
        }
        // There is no map without a cell in the area.
        Fraction::new(f64::from(flooded) / f64::from(cells.max(1)))
    }
}

/// Rate and evenness of heads over an area.
///
/// The ground is cut into square cells; a cell belongs to the area when its centre does. Each head gives every cell
/// whose centre lies in its arc and throw a weight `w(r)`, and the cell gets the rate `60 q w / (a² Σ w)`: the sum over
/// all cells, those outside the area included, is the head's flow exactly. Without a profile `w = 1 - r / R`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `r` | distance of the cell's centre from the head | m | |
/// | `R` | throw | m | 0.05 ..= 100 |
/// | `q` | flow of the head, not 0 for all | L/min | 0 ..= 1,000 |
/// | `w` | weight by distance | – | 0 ..= 1 |
/// | `a` | side of a cell | m | 0.005 ..= 10, and no more than 4,000,000 cells |
/// | arc from | bearing where the arc starts, clockwise from north | ° | -360 ..= 360 |
/// | arc | width of the arc, clockwise | ° | 1 ..= 360 |
/// | `λ`, `τ` | how far a head leans, and the bearing it leans to | ° | 0 ..= 30, -360 ..= 360 |
///
/// `DU` and `CU` are those of [`catch_can_audit`](crate::catch_can::catch_can_audit) with a can in every cell. A head
/// whose arc is so small that it meets no cell's centre gives its flow to the cell in the middle of its arc.
///
/// A leaning head throws lower, and so shorter, the way it leans, and higher and farther behind. In the direction `θ`
/// its throw is that of a jet without drag, `R' = R sin 2(α - λ cos(θ - τ)) / sin 2α` with `α` = 25°, never under `0.2
/// R`; each direction keeps its water, spread over its own throw, `w = (R / R')² (1 - r / R')`. Drag makes a real jet's
/// farthest throw come at a lower angle than 45°, so the gain behind is at most this. Left out of it: that the edges of
/// the arc lean too.
///
/// Left out: wind, slope, pressure, and what stands in the way of the throw. A cell is wholly in or wholly out, so
/// figures move by about one part in `R / a` with the cell's size.
///
/// # Errors
/// [`ReckonError::OutOfRange`] for the cell; [`ReckonError::Inconsistent`] naming `area`, `holes` or `heads` and the
/// place in the list, or naming `cell_m` when the cells would be too many, or so large that none is inside the area.
///
/// # Source
/// Overlap of radial patterns on a grid and the triangular (linear-decline) pattern: J. E. Christiansen, *Irrigation by
/// sprinkling*, University of California Bulletin 670, 1942. The throw of a leaning head: the range of a body thrown in
/// a vacuum, which goes as the sine of twice the angle (any textbook of mechanics); to take it for heads is common
/// practice.
///
/// # Examples
/// Four quarter heads in the corners of a square, each throwing to the next: nothing lands outside, and the mean is the
/// flow over the area, 60 × 20 / 100 mm/h.
/// ```
/// use reckon::coverage::{CoverageInput, Head, coverage};
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
/// let lawn = coverage(&CoverageInput {
///     area_m: vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]],
///     holes_m: vec![],
///     heads: vec![head(0.0, 0.0, 0.0), head(0.0, 10.0, 90.0), head(10.0, 10.0, 180.0), head(10.0, 0.0, 270.0)],
///     cell: Metres::new(0.1),
/// })?;
/// assert!((lawn.mean.get() - 12.0).abs() < 1e-9);
/// assert!(lawn.off_target.get() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn coverage(input: &CoverageInput) -> Result<Coverage, ReckonError> {
    Ok(Field::new(input)?.summary())
}

/// [`coverage`] together with the rate in every cell.
///
/// # Errors
/// As [`coverage`].
///
/// # Source
/// As [`coverage`].
pub fn coverage_map(input: &CoverageInput) -> Result<CoverageMap, ReckonError> {
    let field = Field::new(input)?;
    let coverage = field.summary();
    let Field { grid, inside, rate, .. } = field;
    Ok(CoverageMap {
        coverage,
        origin_m: [grid.west, grid.south],
        cell: input.cell,
        columns: grid.columns,
        rows: grid.rows,
        rate_mm_h: rate.into_iter().zip(inside).map(|(rate, inside)| inside.then_some(rate)).collect(),
    })
}

fn check_rings(input: &CoverageInput) -> Result<(), ReckonError> {
    let corners = input.area_m.len() + input.holes_m.iter().map(Vec::len).sum::<usize>();
    if corners > CORNERS_MAX {
        let message = format!("{corners} corners with the holes; the most is {CORNERS_MAX}");
        return Err(ReckonError::Inconsistent { field: "area", message });
    }
    check_ring("area", "area", &input.area_m)?;
    for (i, hole) in input.holes_m.iter().enumerate() {
        check_ring("holes", &format!("holes[{i}]"), hole)?;
    }
    Ok(())
}

fn check_ring(field: &'static str, name: &str, ring: &[[f64; 2]]) -> Result<(), ReckonError> {
    if ring.len() < 3 {
        let message = format!("{name} has {} corners; a ring has at least 3", ring.len());
        return Err(ReckonError::Inconsistent { field, message });
    }
    for (i, &[x, y]) in ring.iter().enumerate() {
        if CORNER_M.check(x).is_err() || CORNER_M.check(y).is_err() {
            let Bound { min, max, .. } = CORNER_M;
            let message = format!("{name}[{i}] is [{x}, {y}] m; both must be between {min} and {max} m");
            return Err(ReckonError::Inconsistent { field, message });
        }
    }
    Ok(())
}

fn refused_head(index: usize, field: &str, message: String) -> ReckonError {
    ReckonError::Inconsistent { field: "heads", message: format!("heads[{index}].{field} {message}") }
}

fn too_fine(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: CELL_M.field, message }
}

pub(crate) mod field;
#[cfg(test)]
mod tests;

//! Where the water of several heads falls on a piece of ground, cell by cell.

use crate::catch_can::{christiansen_uniformity, low_quarter_mean, mean};
use crate::error::{Bound, ReckonError};
use crate::units::{Degrees, Fraction, LitresPerMinute, Metres, MillimetresPerHour};

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

/// Sum of a head's weights below which no cell's centre meets its pattern.
const WEIGHTS_LEAST: f64 = 1e-12;

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
///
/// `DU` and `CU` are those of [`catch_can_audit`](crate::catch_can::catch_can_audit) with a can in every cell. A head
/// whose arc is so small that it meets no cell's centre gives its flow to the cell in the middle of its arc.
///
/// Left out: wind, slope, pressure, and what stands in the way of the throw. A cell is wholly in or wholly out, so
/// figures move by about one part in `R / a` with the cell's size.
///
/// # Errors
/// [`ReckonError::OutOfRange`] for the cell; [`ReckonError::Inconsistent`] naming `area`, `holes` or `heads` and the place
/// in the list, or naming `cell_m` when the cells would be too many, or so large that none is inside the area.
///
/// # Source
/// Overlap of radial patterns on a grid and the triangular (linear-decline) pattern: J. E. Christiansen, *Irrigation by
/// sprinkling*, University of California Bulletin 670, 1942.
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

/// The lattice of cells; columns and rows count from its south-west corner and may be negative beyond it.
#[derive(Clone, Copy)]
struct Grid {
    west: f64,
    south: f64,
    cell: f64,
    columns: usize,
    rows: usize,
}

struct Field {
    grid: Grid,
    inside: Vec<bool>,
    /// mm/h in every cell of the grid, inside the area or not.
    rate: Vec<f64>,
    /// mm/h summed over the lattice, the cells beyond the grid included.
    total: f64,
}

impl Field {
    fn new(input: &CoverageInput) -> Result<Self, ReckonError> {
        let cell = CELL_M.check(input.cell.get())?;
        check_rings(input)?;
        if input.heads.is_empty() || input.heads.len() > HEADS_MAX {
            let message = format!("{} heads; there must be 1 to {HEADS_MAX}", input.heads.len());
            return Err(ReckonError::Inconsistent { field: "heads", message });
        }
        let heads: Vec<Throw> =
            input.heads.iter().enumerate().map(|(i, h)| Throw::new(i, h)).collect::<Result<_, _>>()?;
        // Not only zero: so little that the shares lose their meaning.
        if heads.iter().map(|h| h.flow).sum::<f64>() < 1e-6 {
            return Err(ReckonError::Inconsistent { field: "heads", message: "no head has any flow".into() });
        }
        let grid = Grid::over(&input.area_m, cell)?;
        let corners = input.area_m.len() + input.holes_m.iter().map(Vec::len).sum::<usize>();
        let looks = heads.iter().map(|h| (2.0 * h.radius / cell + 2.0).powi(2)).sum::<f64>()
            + grid.rows as f64 * corners as f64;
        if looks > LOOKS_MAX as f64 {
            return Err(too_fine(format!("{cell} m makes {looks:.0} looks at cells; the most is {LOOKS_MAX}")));
        }

        let mut inside = vec![false; grid.columns * grid.rows];
        grid.paint(&input.area_m, &mut inside, true);
        for hole in &input.holes_m {
            grid.paint(hole, &mut inside, false);
        }
        if !inside.contains(&true) {
            return Err(too_fine(format!("no cell of {cell} m has its centre inside the area")));
        }
        let mut rate = vec![0.0; inside.len()];
        let mut weights = Vec::new();
        let mut total = 0.0;
        for head in &heads {
            // L/min to mm/h on one cell.
            let share = 60.0 * head.flow / (cell * cell);
            head.throw(&grid, share, &mut weights, &mut rate);
            total += share;
        }
        Ok(Self { grid, inside, rate, total })
    }

    fn summary(&self) -> Coverage {
        let mut on_target: Vec<f64> =
            self.rate.iter().zip(&self.inside).filter_map(|(&rate, &inside)| inside.then_some(rate)).collect();
        let landed: f64 = on_target.iter().sum();
        let mean = mean(&on_target);
        let dry = on_target.iter().filter(|&&rate| rate <= 0.0 || rate < DRY_SHARE * mean).count();
        let (du, cu) = if mean > 0.0 {
            let cu = christiansen_uniformity(&on_target, mean);
            (low_quarter_mean(&mut on_target) / mean, cu)
        } else {
            (0.0, 0.0)
        };
        Coverage {
            mean: MillimetresPerHour::new(mean),
            du_lq: Fraction::new(du),
            cu: Fraction::new(cu),
            off_target: Fraction::new((1.0 - landed / self.total).clamp(0.0, 1.0)),
            dry_cells: Fraction::new(dry as f64 / on_target.len() as f64),
        }
    }
}

impl Grid {
    fn over(ring: &[[f64; 2]], cell: f64) -> Result<Self, ReckonError> {
        let [mut west, mut south, mut east, mut north] =
            [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        for &[x, y] in ring {
            west = west.min(x);
            east = east.max(x);
            south = south.min(y);
            north = north.max(y);
        }
        // A side of a whole number of cells is not given one more for a rounding error.
        let columns = ((east - west) / cell - 1e-6).ceil().max(1.0);
        let rows = ((north - south) / cell - 1e-6).ceil().max(1.0);
        if columns * rows > CELLS_MAX as f64 {
            return Err(too_fine(format!(
                "{cell} m makes {:.0} cells over the area; the most is {CELLS_MAX}, so take {:.3} m or more",
                columns * rows,
                ((east - west) * (north - south) / CELLS_MAX as f64).sqrt()
            )));
        }
        Ok(Self { west, south, cell, columns: columns as usize, rows: rows as usize })
    }

    /// Marks the cells whose centre lies in the ring (even–odd rule).
    fn paint(&self, ring: &[[f64; 2]], inside: &mut [bool], mark: bool) {
        let mut crossings = Vec::new();
        for row in 0..self.rows {
            let y = self.south + (row as f64 + 0.5) * self.cell;
            crossings.clear();
            let mut from = ring[ring.len() - 1];
            for &to in ring {
                if (from[1] > y) != (to[1] > y) {
                    crossings.push(from[0] + (y - from[1]) / (to[1] - from[1]) * (to[0] - from[0]));
                }
                from = to;
            }
            crossings.sort_unstable_by(f64::total_cmp);
            for span in crossings.chunks_exact(2) {
                // The first column whose centre is at or beyond the crossing.
                let column = |x: f64| {
                    let at = ((x - self.west) / self.cell - 0.5).ceil();
                    at.clamp(0.0, self.columns as f64) as usize
                };
                let (from, to) = (column(span[0]), column(span[1]));
                inside[row * self.columns + from..row * self.columns + to.max(from)].fill(mark);
            }
        }
    }
}

/// A checked head with its arc as two unit vectors.
struct Throw {
    x: f64,
    y: f64,
    radius: f64,
    flow: f64,
    start: [f64; 2],
    end: [f64; 2],
    middle: [f64; 2],
    arc: Arc,
    profile: Vec<f64>,
}

enum Arc {
    UpToHalf,
    OverHalf,
    Full,
}

impl Throw {
    fn new(index: usize, head: &Head) -> Result<Self, ReckonError> {
        let check = |field: &str, bound: &Bound, value: f64| {
            bound.check(value).map_err(|_| {
                let Bound { min, max, unit, .. } = bound;
                refused_head(index, field, format!("is {value} {unit}; it must be between {min} and {max} {unit}"))
            })
        };
        let x = check("x_m", &POSITION_M, head.x.get())?;
        let y = check("y_m", &POSITION_M, head.y.get())?;
        let radius = check("radius_m", &RADIUS_M, head.radius.get())?;
        let from = check("arc_from_deg", &ARC_FROM_DEG, head.arc_from.get())?;
        let width = check("arc_deg", &ARC_DEG, head.arc.get())?;
        let flow = check("flow_lpm", &FLOW_LPM, head.flow.get())?;
        let profile = match &head.profile {
            None => vec![1.0, 0.0],
            Some(profile) => {
                if profile.is_empty() || profile.len() > PROFILE_COUNT_MAX {
                    let message = format!("has {} figures; it must have 1 to {PROFILE_COUNT_MAX}", profile.len());
                    return Err(refused_head(index, "profile", message));
                }
                for (i, &rate) in profile.iter().enumerate() {
                    check(&format!("profile[{i}]"), &PROFILE, rate)?;
                }
                // Shares of the highest, however small that is: a sum of them never runs out of digits.
                let highest = profile.iter().copied().fold(0.0, f64::max);
                if highest == 0.0 {
                    return Err(refused_head(index, "profile", "is zero throughout; water must land somewhere".into()));
                }
                profile.iter().map(|rate| rate / highest).collect()
            }
        };
        let towards = |bearing: f64| {
            let (east, north) = bearing.to_radians().sin_cos();
            [east, north]
        };
        let arc = match width {
            w if w >= 360.0 => Arc::Full,
            w if w > 180.0 => Arc::OverHalf,
            _ => Arc::UpToHalf,
        };
        let [start, end, middle] = [from, from + width, from + width / 2.0].map(towards);
        Ok(Self { x, y, radius, flow, start, end, middle, arc, profile })
    }

    /// Adds the head's rate to the grid; `share` is its rate if all of it fell on one cell.
    fn throw(&self, grid: &Grid, share: f64, weights: &mut Vec<f64>, rate: &mut [f64]) {
        let place = |at: f64, edge: f64| ((at - edge) / grid.cell).floor() as i64;
        let (first_column, last_column) =
            (place(self.x - self.radius, grid.west), place(self.x + self.radius, grid.west));
        let (first_row, last_row) = (place(self.y - self.radius, grid.south), place(self.y + self.radius, grid.south));
        let centre = |index: i64, edge: f64| edge + (index as f64 + 0.5) * grid.cell;

        // Slightly wider than the arc, so that a centre on its edge is in whatever the last digit says.
        let edge = 1e-9 * self.radius;
        let radius_squared = self.radius * self.radius;
        let steps = (self.profile.len() - 1) as f64 / self.radius;
        let grid_columns = first_column.max(0)..(last_column + 1).min(grid.columns as i64);
        let grid_rows = first_row.max(0)..(last_row + 1).min(grid.rows as i64);
        let mut sum = 0.0;
        weights.clear();
        for row in first_row..=last_row {
            let north = centre(row, grid.south) - self.y;
            let row_kept = grid_rows.contains(&row);
            for column in first_column..=last_column {
                let east = centre(column, grid.west) - self.x;
                let squared = east * east + north * north;
                let after_start = east * self.start[1] - north * self.start[0];
                let before_end = north * self.end[0] - east * self.end[1];
                let in_arc = match self.arc {
                    Arc::UpToHalf => after_start >= -edge && before_end >= -edge,
                    Arc::OverHalf => after_start >= -edge || before_end >= -edge,
                    Arc::Full => true,
                };
                let weight = if squared < radius_squared && in_arc { self.weight(squared.sqrt() * steps) } else { 0.0 };
                sum += weight;
                if row_kept && grid_columns.contains(&column) {
                    weights.push(weight);
                }
            }
        }

        if sum <= WEIGHTS_LEAST {
            let column = place(self.x + self.middle[0] * self.radius / 2.0, grid.west);
            let row = place(self.y + self.middle[1] * self.radius / 2.0, grid.south);
            if (0..grid.columns as i64).contains(&column) && (0..grid.rows as i64).contains(&row) {
                rate[row as usize * grid.columns + column as usize] += share;
            }
            return;
        }
        if grid_columns.is_empty() {
            return;
        }
        let scale = share / sum;
        let width = (grid_columns.end - grid_columns.start) as usize;
        for (row, weights) in grid_rows.zip(weights.chunks_exact(width)) {
            let into = row as usize * grid.columns + grid_columns.start as usize;
            for (rate, weight) in rate[into..into + width].iter_mut().zip(weights) {
                *rate += scale * weight;
            }
        }
    }

    /// The profile at a place counted in its steps from the head, straight between the figures.
    fn weight(&self, place: f64) -> f64 {
        let last = self.profile.len() - 1;
        let before = (place as usize).min(last);
        let after = (before + 1).min(last);
        let (low, high) = (self.profile[before], self.profile[after]);
        low + (high - low) * (place - before as f64)
    }
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

#[cfg(test)]
mod tests;

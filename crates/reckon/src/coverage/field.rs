//! The cells of the ground and the throw of each head over them.

use super::{
    ARC_DEG, ARC_FROM_DEG, CELL_M, CELLS_MAX, Coverage, CoverageInput, DRY_SHARE, FLOW_LPM, HEADS_MAX, Head, LEAN_DEG,
    LEAN_THROW_LEAST, LEAN_TOWARDS_DEG, LOOKS_MAX, POSITION_M, PROFILE, PROFILE_COUNT_MAX, RADIUS_M, TRAJECTORY_DEG,
    check_rings, refused_head, too_fine,
};
use crate::catch_can::{christiansen_uniformity, low_quarter_mean, mean};
use crate::error::{Bound, ReckonError};
use crate::units::{Fraction, MillimetresPerHour};

/// Sum of a head's weights below which no cell's centre meets its pattern.
const WEIGHTS_LEAST: f64 = 1e-12;

/// The lattice of cells; columns and rows count from its south-west corner and may be negative beyond it.
#[derive(Clone, Copy)]
pub(crate) struct Grid {
    pub(crate) west: f64,
    pub(crate) south: f64,
    pub(crate) cell: f64,
    pub(crate) columns: usize,
    pub(crate) rows: usize,
}

/// The ground cut into cells, with the water of all heads.
pub(crate) struct Field {
    pub(crate) grid: Grid,
    /// Whether each cell belongs to the area.
    pub(crate) inside: Vec<bool>,
    /// mm/h in every cell of the grid, inside the area or not.
    pub(crate) rate: Vec<f64>,
    /// mm/h summed over the lattice, the cells beyond the grid included.
    pub(crate) total: f64,
}

impl Field {
    pub(crate) fn new(input: &CoverageInput) -> Result<Self, ReckonError> {
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
        let looks = heads.iter().map(|head| head.looks(&grid)).sum::<f64>() + grid.rows as f64 * corners as f64;
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
            let share = head.share(&grid);
            head.throw(&grid, share, &mut weights, &mut rate);
            total += share;
        }
        Ok(Self { grid, inside, rate, total })
    }

    pub(crate) fn summary(&self) -> Coverage {
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
pub(crate) struct Throw {
    x: f64,
    y: f64,
    radius: f64,
    /// The farthest throw in any direction; the radius when the head stands upright.
    reach: f64,
    lean: Option<Lean>,
    flow: f64,
    start: [f64; 2],
    end: [f64; 2],
    middle: [f64; 2],
    arc: Arc,
    profile: Vec<f64>,
}

/// The lean in radians, and its direction as a unit vector.
struct Lean {
    angle: f64,
    towards: [f64; 2],
}

enum Arc {
    UpToHalf,
    OverHalf,
    Full,
}

fn unit_vector(bearing: f64) -> [f64; 2] {
    let (east, north) = bearing.to_radians().sin_cos();
    [east, north]
}

impl Throw {
    pub(crate) fn new(index: usize, head: &Head) -> Result<Self, ReckonError> {
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
        let lean = match head.lean {
            None => None,
            Some(lean) => {
                let angle = check("lean_deg", &LEAN_DEG, lean.angle.get())?.to_radians();
                let towards = check("lean_towards_deg", &LEAN_TOWARDS_DEG, lean.towards.get())?;
                // A head that leans by nothing stands upright.
                (angle > 0.0).then(|| Lean { angle, towards: unit_vector(towards) })
            }
        };
        let reach = match lean {
            None => radius,
            Some(_) => radius / (2.0 * TRAJECTORY_DEG).to_radians().sin(),
        };
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
        let arc = match width {
            w if w >= 360.0 => Arc::Full,
            w if w > 180.0 => Arc::OverHalf,
            _ => Arc::UpToHalf,
        };
        let [start, end, middle] = [from, from + width, from + width / 2.0].map(unit_vector);
        Ok(Self { x, y, radius, reach, lean, flow, start, end, middle, arc, profile })
    }

    /// mm/h if all of the head's flow, in L/min, fell on one cell.
    pub(crate) fn share(&self, grid: &Grid) -> f64 {
        60.0 * self.flow / (grid.cell * grid.cell)
    }

    /// How many cells lie in the square round the throw, about.
    pub(crate) fn looks(&self, grid: &Grid) -> f64 {
        (2.0 * self.reach / grid.cell + 2.0).powi(2)
    }

    /// Adds the head's rate to the grid; `share` is its rate if all of it fell on one cell.
    pub(crate) fn throw(&self, grid: &Grid, share: f64, weights: &mut Vec<f64>, rate: &mut [f64]) {
        let place = |at: f64, edge: f64| ((at - edge) / grid.cell).floor() as i64;
        let (first_column, last_column) =
            (place(self.x - self.reach, grid.west), place(self.x + self.reach, grid.west));
        let (first_row, last_row) = (place(self.y - self.reach, grid.south), place(self.y + self.reach, grid.south));
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
                let weight = match &self.lean {
                    _ if !in_arc => 0.0,
                    None if squared < radius_squared => self.weight(squared.sqrt() * steps),
                    None => 0.0,
                    Some(lean) => self.leaning_weight(lean, east, north, squared.sqrt()),
                };
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

    /// The weight of a cell's centre at a distance, east and north of a leaning head.
    fn leaning_weight(&self, lean: &Lean, east: f64, north: f64, distance: f64) -> f64 {
        if distance >= self.reach {
            return 0.0;
        }
        // At the head itself every direction is as good.
        let forward = (east * lean.towards[0] + north * lean.towards[1]) / distance.max(1e-9 * self.radius);
        let trajectory = TRAJECTORY_DEG.to_radians();
        let share = (2.0 * (trajectory - lean.angle * forward)).sin() / (2.0 * trajectory).sin();
        let share = share.max(LEAN_THROW_LEAST);
        let part = distance / (share * self.radius);
        if part < 1.0 { self.weight(part * (self.profile.len() - 1) as f64) / (share * share) } else { 0.0 }
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

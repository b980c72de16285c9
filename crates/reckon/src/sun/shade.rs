//! The shade of obstacles on one point.
//!
//! Every side of a ring and every crown covers a sector of bearings as seen from the point; the sky's steps are ordered
//! by bearing, so only those within the sector are looked at.

use std::f64::consts::{PI, TAU};

use geo::{Coord, Intersects, LineString, Polygon};

use super::{
    CORNERS_MAX, CROWN_RADIUS_M, HEIGHT_M, LOOKS_MAX, OBSTACLES_MAX, Obstacle, PLACE_M, POINTS_MAX, Sky, SunHoursInput,
    bearing,
};
use crate::error::{Bound, ReckonError};

/// By how much a sector is widened at each end, so that a ray through a corner meets one of the two sides. Radians.
const SECTOR_EDGE: f64 = 1e-9;

/// Obstacles made ready for many points.
pub(super) struct Obstacles {
    prisms: Vec<Prism>,
    crowns: Vec<Crown>,
}

struct Prism {
    ring: Polygon,
    /// West, south, east and north edge of the ring.
    bounds: [f64; 4],
    height: f64,
}

struct Crown {
    centre: [f64; 2],
    radius: f64,
    base: f64,
    top: f64,
    evergreen: bool,
}

impl Obstacles {
    pub(super) fn new(obstacles: &[Obstacle]) -> Self {
        let mut all = Self { prisms: Vec::new(), crowns: Vec::new() };
        for obstacle in obstacles {
            match obstacle {
                Obstacle::Prism { ring_m, height } => {
                    let mut bounds = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
                    for &[x, y] in ring_m {
                        bounds = [bounds[0].min(x), bounds[1].min(y), bounds[2].max(x), bounds[3].max(y)];
                    }
                    // The polygon closes its ring.
                    let ring = ring_m.iter().map(|&[x, y]| Coord { x, y }).collect::<LineString>();
                    all.prisms.push(Prism { ring: Polygon::new(ring, vec![]), bounds, height: height.get() });
                }
                Obstacle::Crown { centre_m, radius, base, top, evergreen } => all.crowns.push(Crown {
                    centre: *centre_m,
                    radius: radius.get(),
                    base: base.get(),
                    top: top.get(),
                    evergreen: *evergreen,
                }),
            }
        }
        all
    }

    /// Takes from every step's light what the obstacles keep from the point.
    pub(super) fn shade(&self, point: [f64; 2], sky: &Sky, light: &mut [f64]) {
        if self.prisms.iter().any(|prism| prism.holds(point)) {
            light.fill(0.0);
            return;
        }
        for prism in &self.prisms {
            prism.shade(point, sky, light);
        }
        for crown in &self.crowns {
            crown.shade(point, sky, light);
        }
    }
}

impl Prism {
    fn holds(&self, [x, y]: [f64; 2]) -> bool {
        let [west, south, east, north] = self.bounds;
        // A ring of no height is a line on the ground.
        self.height > 0.0
            && (west..=east).contains(&x)
            && (south..=north).contains(&y)
            && self.ring.intersects(&Coord { x, y })
    }

    fn shade(&self, point: [f64; 2], sky: &Sky, light: &mut [f64]) {
        let seen = |corner: Coord| [corner.x - point[0], corner.y - point[1]];
        for side in self.ring.exterior().lines() {
            let (a, b) = (seen(side.start), seen(side.end));
            // Twice the area between the point and the side; none when it is seen end on and its neighbours cover it.
            let area = a[0] * b[1] - a[1] * b[0];
            if area == 0.0 {
                continue;
            }
            let (from, to) = if area < 0.0 { (a, b) } else { (b, a) };
            let along = [b[0] - a[0], b[1] - a[1]];
            let start = bearing(from[0], from[1]);
            let width = (bearing(to[0], to[1]) - start).rem_euclid(TAU);
            sky.within(start, width.min(PI), |i| {
                let step = &sky.steps[i];
                let distance = area / (step.towards[0] * along[1] - step.towards[1] * along[0]);
                // On the widened edge of a sector the side may be met far behind its corner: it then hides nothing.
                if distance > 0.0 && distance * step.rise < self.height {
                    light[i] = 0.0;
                }
            });
        }
    }
}

impl Crown {
    fn shade(&self, point: [f64; 2], sky: &Sky, light: &mut [f64]) {
        let [east, north] = [self.centre[0] - point[0], self.centre[1] - point[1]];
        let distance = east.hypot(north);
        let (start, width) = if distance <= self.radius {
            (0.0, TAU)
        } else {
            let half = (self.radius / distance).asin();
            (bearing(east, north) - half, 2.0 * half)
        };
        sky.within(start, width, |i| {
            let step = &sky.steps[i];
            let nearest = east * step.towards[0] + north * step.towards[1];
            let aside = east * step.towards[1] - north * step.towards[0];
            let half = (self.radius * self.radius - aside * aside).max(0.0).sqrt();
            let (enters, leaves) = ((nearest - half).max(0.0), nearest + half);
            if leaves > 0.0 && enters * step.rise <= self.top && leaves * step.rise >= self.base {
                light[i] *= if self.evergreen { 0.0 } else { sky.deciduous[step.month] };
            }
        });
    }
}

impl Sky {
    /// Calls for every step whose bearing lies within `width` clockwise of `start`, once each.
    fn within(&self, start: f64, width: f64, mut each: impl FnMut(usize)) {
        let count = self.steps.len();
        if width + 2.0 * SECTOR_EDGE >= TAU {
            (0..count).for_each(each);
            return;
        }
        let start = (start - SECTOR_EDGE).rem_euclid(TAU);
        let end = start + width + 2.0 * SECTOR_EDGE;
        let place = |bearing: f64| self.steps.partition_point(|step| step.bearing < bearing);
        if end <= TAU {
            (place(start)..place(end)).for_each(each);
        } else {
            (place(start)..count).for_each(&mut each);
            (0..place(end - TAU)).for_each(each);
        }
    }
}

/// Whether every figure is in range and the lists are not too long.
pub(super) fn check(input: &SunHoursInput) -> Result<(), ReckonError> {
    let refuse = |field, message| Err(ReckonError::Inconsistent { field, message });
    if input.points_m.len() > POINTS_MAX {
        return refuse("points", format!("{} points; the most is {POINTS_MAX}", input.points_m.len()));
    }
    if input.obstacles.len() > OBSTACLES_MAX {
        return refuse("obstacles", format!("{} obstacles; the most is {OBSTACLES_MAX}", input.obstacles.len()));
    }
    let mut corners = 0;
    let mut crowns = 0;
    for (i, obstacle) in input.obstacles.iter().enumerate() {
        match obstacle {
            Obstacle::Prism { ring_m, height } => {
                corners += ring_m.len();
                if ring_m.len() < 3 {
                    let message = format!("obstacles[{i}] has {} corners; a ring has at least 3", ring_m.len());
                    return refuse("obstacles", message);
                }
                inside("obstacles", &format!("obstacles[{i}].height_m"), &HEIGHT_M, height.get())?;
                for (corner, &place) in ring_m.iter().enumerate() {
                    for figure in place {
                        inside("obstacles", &format!("obstacles[{i}].ring[{corner}]"), &PLACE_M, figure)?;
                    }
                }
            }
            Obstacle::Crown { centre_m, radius, base, top, .. } => {
                crowns += 1;
                for &figure in centre_m {
                    inside("obstacles", &format!("obstacles[{i}].centre"), &PLACE_M, figure)?;
                }
                inside("obstacles", &format!("obstacles[{i}].radius_m"), &CROWN_RADIUS_M, radius.get())?;
                let top = inside("obstacles", &format!("obstacles[{i}].top_m"), &HEIGHT_M, top.get())?;
                let base = inside("obstacles", &format!("obstacles[{i}].base_m"), &HEIGHT_M, base.get())?;
                if base >= top {
                    let message = format!("obstacles[{i}].base_m is {base} m; it must be below the top, {top} m");
                    return refuse("obstacles", message);
                }
            }
        }
    }
    if corners > CORNERS_MAX {
        return refuse("obstacles", format!("{corners} corners in all; the most is {CORNERS_MAX}"));
    }
    let looks = input.points_m.len() * (corners + crowns);
    if looks > LOOKS_MAX {
        let message = format!(
            "{} points and {} corners and crowns make {looks} pairs; the most is {LOOKS_MAX}, so take fewer points",
            input.points_m.len(),
            corners + crowns
        );
        return refuse("points", message);
    }
    for (i, &point) in input.points_m.iter().enumerate() {
        for figure in point {
            inside("points", &format!("points[{i}]"), &PLACE_M, figure)?;
        }
    }
    Ok(())
}

fn inside(field: &'static str, name: &str, bound: &Bound, value: f64) -> Result<f64, ReckonError> {
    let Bound { min, max, unit, .. } = bound;
    bound.check(value).map_err(|_| ReckonError::Inconsistent {
        field,
        message: format!("{name} is {value} {unit}; it must be between {min} and {max} {unit}"),
    })
}

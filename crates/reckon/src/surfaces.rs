//! Earth to cut and to fill between two surfaces of spot levels.

use spade::{DelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::error::{Bound, ReckonError};
use crate::polygon::{self, Ring};
use crate::units::{CubicMetres, SquareMetres};

mod overlay;

use overlay::{Corner, Volumes};

/// East or north of the plan's origin.
pub const PLACE_M: Bound = Bound::new("existing", -1e7, 1e7, "m", "east or north of the plan's origin");
/// Height of a spot.
pub const HEIGHT_M: Bound = Bound::new("existing", -10_000.0, 10_000.0, "m", "height of the spot");

/// Most spots of one surface.
pub const SPOTS_MAX: usize = 5_000;
/// Most corners of a boundary.
pub const BOUNDARY_MAX: usize = 500;

/// Two surfaces, each by its spot levels `[east, north, height]`.
#[derive(Clone, Debug, PartialEq)]
pub struct SurfacesInput {
    /// The ground as it is.
    pub existing_m: Vec<[f64; 3]>,
    /// The ground as it shall be.
    pub proposed_m: Vec<[f64; 3]>,
    /// The piece to count; without it, all that both surfaces cover.
    pub boundary_m: Option<Vec<[f64; 2]>>,
}

/// Earth to move, in place: neither loosened by digging nor compacted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutFill {
    /// Earth above the proposed surface, to be taken away.
    pub cut: CubicMetres,
    /// Space under it, to be filled.
    pub fill: CubicMetres,
    /// Fill less cut: earth to bring in, below zero to take away.
    pub net: CubicMetres,
    /// Level area over which was counted.
    pub area: SquareMetres,
}

/// Cut and fill between two triangulated surfaces.
///
/// Each surface is a plane over every Delaunay triangle of its spots. The two triangulations are laid over each other; in
/// each common piece the difference `d` of the planes is itself a plane, the piece is cut along `d = 0`, and
/// `V = ∫ d dA`, which over a triangle is `A (d1 + d2 + d3) / 3`, goes to fill above and to cut below. Nothing is sampled
/// on a grid, so the volumes are those of the surfaces to the last digits.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | east, north | place of a spot or of a corner of the boundary | m | -10,000,000 ..= 10,000,000 |
/// | height | height of a spot, over any one datum | m | -10,000 ..= 10,000 |
///
/// Where four spots lie on one circle, as on a grid, either diagonal is a Delaunay edge and one is taken; a spot in the
/// middle decides a face that must not bend the other way. Ridges and ditches need spots close enough along them.
///
/// Left out: swell and shrink of the earth, topsoil stripped first, slopes at the edge of the works.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `existing`, `proposed` or `boundary` and the place in the list: a value out of
/// range, fewer than three spots or all on one line, one place with two heights, surfaces that do not overlap, a boundary
/// that crosses itself or reaches beyond the spots.
///
/// # Source
/// Triangular prisms: any earthwork handbook, such as US Army FM 5-430-00-1, 1994, ch. 3. Delaunay's triangulation: B.
/// Delaunay, *Sur la sphère vide*, 1934. The overlay is the definition of the volume between the two.
///
/// # Examples
/// A level lawn of 10 by 10 m, and a pyramid of 3 m on it: 10 × 10 × 3 / 3 = 100 m³.
/// ```
/// use reckon::surfaces::{SurfacesInput, cut_fill};
///
/// let corners = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 10.0, 0.0], [0.0, 10.0, 0.0]];
/// let mut proposed = corners.to_vec();
/// proposed.push([5.0, 5.0, 3.0]);
/// let found =
///     cut_fill(&SurfacesInput { existing_m: corners.to_vec(), proposed_m: proposed, boundary_m: None })?;
/// assert!((found.fill.get() - 100.0).abs() < 1e-9);
/// assert_eq!(found.cut.get(), 0.0);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn cut_fill(input: &SurfacesInput) -> Result<CutFill, ReckonError> {
    check_spots("existing", &input.existing_m)?;
    check_spots("proposed", &input.proposed_m)?;
    let [x, y, _] = input.existing_m[0];
    let origin = [x, y];
    let existing = triangles("existing", &input.existing_m, origin)?;
    let proposed = triangles("proposed", &input.proposed_m, origin)?;
    let boundary = match &input.boundary_m {
        None => None,
        Some(corners) if corners.len() > BOUNDARY_MAX => {
            return Err(refused("boundary", format!("{} corners; the most is {BOUNDARY_MAX}", corners.len())));
        }
        Some(corners) => Some(polygon::check_plan_ring("boundary", corners, origin)?),
    };

    let fan = boundary.as_ref().map(fan);
    let volumes = overlay::volumes(&existing, &proposed, fan.as_deref()).ok_or_else(too_crossed)?;
    match &fan {
        None if volumes.area <= 1e-9 * area(&existing).min(area(&proposed)) => {
            return Err(refused("proposed", "covers no ground that existing covers".into()));
        }
        None => {}
        Some(fan) => check_cover(fan, &proposed, &volumes)?,
    }
    Ok(CutFill {
        cut: CubicMetres::new(volumes.cut.max(0.0)),
        fill: CubicMetres::new(volumes.fill.max(0.0)),
        net: CubicMetres::new(volumes.fill.max(0.0) - volumes.cut.max(0.0)),
        area: SquareMetres::new(volumes.area),
    })
}

fn refused(field: &'static str, message: String) -> ReckonError {
    ReckonError::Inconsistent { field, message }
}

fn check_spots(field: &'static str, spots: &[[f64; 3]]) -> Result<(), ReckonError> {
    if !(3..=SPOTS_MAX).contains(&spots.len()) {
        return Err(refused(field, format!("{} spots; there must be 3 to {SPOTS_MAX}", spots.len())));
    }
    for (i, spot) in spots.iter().enumerate() {
        for (j, (&value, bound)) in spot.iter().zip([&PLACE_M, &PLACE_M, &HEIGHT_M]).enumerate() {
            if bound.check(value).is_err() {
                let Bound { min, max, unit, .. } = bound;
                let message = format!("{field}[{i}][{j}] is {value} {unit}; it must be between {min} and {max} {unit}");
                return Err(refused(field, message));
            }
        }
    }
    Ok(())
}

/// A spot on its way through the triangulation.
struct Spot {
    at: Point2<f64>,
    height: f64,
    index: usize,
}

impl HasPosition for Spot {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}

/// A distance too small to matter, which the triangulation would not take.
fn settle(x: f64) -> f64 {
    if x.abs() < 1e-12 { 0.0 } else { x }
}

fn triangles(field: &'static str, spots: &[[f64; 3]], origin: [f64; 2]) -> Result<Vec<[Corner; 3]>, ReckonError> {
    let mut order: Vec<Spot> = spots
        .iter()
        .enumerate()
        .map(|(index, &[x, y, height])| Spot {
            at: Point2::new(settle(x - origin[0]), settle(y - origin[1])),
            height,
            index,
        })
        .collect();
    order.sort_by(|a, b| (a.at.x.total_cmp(&b.at.x)).then(a.at.y.total_cmp(&b.at.y)).then(a.index.cmp(&b.index)));
    for pair in order.windows(2) {
        if pair[0].at == pair[1].at && pair[0].height != pair[1].height {
            let (a, b) = (pair[0].index.min(pair[1].index), pair[0].index.max(pair[1].index));
            let message = format!("{field}[{b}] has height {} m where {field}[{a}] has {}", spots[b][2], spots[a][2]);
            return Err(refused(field, message));
        }
    }
    order.dedup_by(|a, b| a.at == b.at);
    let mesh = DelaunayTriangulation::<Spot>::bulk_load(order)
        .map_err(|error| refused(field, format!("the spots cannot be joined to triangles: {error}")))?;
    let triangles: Vec<[Corner; 3]> = mesh
        .inner_faces()
        .map(|face| face.vertices().map(|v| Corner { x: v.data().at.x, y: v.data().at.y, z: v.data().height }))
        .collect();
    if triangles.is_empty() || area(&triangles) <= 0.0 {
        return Err(refused(field, "the spots lie on one line; a surface needs three that do not".into()));
    }
    Ok(triangles)
}

fn area(triangles: &[[Corner; 3]]) -> f64 {
    triangles.iter().map(|t| overlay::area(t)).sum()
}

/// The ring as triangles with signs, all from its first corner: a place inside is covered once more forwards than back, a
/// place outside as often forwards as back.
fn fan(ring: &Ring) -> Vec<[Corner; 3]> {
    let corner = |i: usize| Corner { x: ring.corners[i][0], y: ring.corners[i][1], z: 0.0 };
    let mut fan: Vec<[Corner; 3]> =
        (1..ring.corners.len() - 1).map(|i| [corner(0), corner(i), corner(i + 1)]).collect();
    if fan.iter().map(|t| overlay::signed_area(t)).sum::<f64>() < 0.0 {
        fan.iter_mut().for_each(|t| t.swap(1, 2));
    }
    fan
}

/// Refuses a boundary that takes in ground without levels.
fn check_cover(fan: &[[Corner; 3]], proposed: &[[Corner; 3]], volumes: &Volumes) -> Result<(), ReckonError> {
    let wanted: f64 = fan.iter().map(|t| overlay::signed_area(t)).sum();
    let enough = wanted * (1.0 - 1e-7);
    let (name, area) = if volumes.area >= enough {
        return Ok(());
    } else if volumes.existing < enough {
        ("existing", volumes.existing)
    } else {
        ("proposed", overlay::volumes(proposed, proposed, Some(fan)).ok_or_else(too_crossed)?.existing)
    };
    let area = area.max(0.0);
    let message =
        format!("takes in {wanted:.3} m², of which {name} covers {area:.3}; draw it within the spots or add spots");
    Err(refused("boundary", message))
}

fn too_crossed() -> ReckonError {
    let message =
        format!("its triangles cross those of existing in more than {} places; take fewer spots", overlay::CLIPS_MAX);
    refused("proposed", message)
}

#[cfg(test)]
mod tests;

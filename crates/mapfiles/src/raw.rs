//! Features as a file tells them, in degrees, before they are laid on the yard's plane.

use serde_json::{Map, Value};

use crate::error::{Fault, MapFileError, Problem, Spot};
use crate::{SHAPES_MAX, VERTICES_MAX};

/// Longitude and latitude (°).
pub(crate) type LonLat = [f64; 2];

/// One geometry of a feature.
#[derive(Clone, Debug)]
pub(crate) enum RawGeometry {
    /// The outer ring and the holes.
    Polygon(Vec<Vec<LonLat>>),
    Line(Vec<LonLat>),
    Point(LonLat),
}

/// A feature or placemark.
#[derive(Clone, Debug)]
pub(crate) struct RawFeature {
    pub(crate) spot: Spot,
    pub(crate) name: String,
    /// The properties, as Toft writes them; of a KML file only those in Toft's own data element.
    pub(crate) properties: Map<String, Value>,
    pub(crate) geometries: Vec<RawGeometry>,
}

/// What a file holds, and what of it was left out.
#[derive(Debug, Default)]
pub(crate) struct RawFile {
    pub(crate) features: Vec<RawFeature>,
    pub(crate) faults: crate::error::Faults,
    pub(crate) problems: Vec<String>,
    pub(crate) heights: usize,
    vertices: usize,
    geometries: usize,
}

impl RawFile {
    /// Counts a vertex, before room is made for it.
    pub(crate) fn count_vertex(&mut self) -> Result<(), MapFileError> {
        self.vertices += 1;
        if self.vertices > VERTICES_MAX { Err(MapFileError::TooManyVertices) } else { Ok(()) }
    }

    /// Counts a geometry.
    pub(crate) fn count_shape(&mut self) -> Result<(), MapFileError> {
        self.geometries += 1;
        if self.geometries > SHAPES_MAX { Err(MapFileError::TooManyShapes) } else { Ok(()) }
    }
}

/// A vertex that is on the globe.
pub(crate) fn on_globe(spot: &Spot, [longitude, latitude]: LonLat) -> Result<LonLat, Box<Fault>> {
    let is_on = |longitude: f64, latitude: f64| longitude.abs() <= 180.0 && latitude.abs() <= 90.0;
    // Not a number is on no side of a bound.
    if is_on(longitude, latitude) {
        return Ok([longitude, latitude]);
    }
    let swapped = is_on(latitude, longitude);
    let problem = if longitude.abs() <= 180.0 {
        Problem::OffGlobe { what: "latitude", value: latitude, min: -90.0, max: 90.0, swapped }
    } else {
        Problem::OffGlobe { what: "longitude", value: longitude, min: -180.0, max: 180.0, swapped }
    };
    Err(Fault::new(spot.clone(), problem))
}

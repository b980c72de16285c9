//! Why a map file was refused: each message says what, where, the value seen, what is allowed and what to try.

use std::fmt;

use crate::{BYTES_MAX, DEPTH_MAX, DISTANCE_MAX_KM, JSON_VALUES_MAX, SHAPES_MAX, VERTICES_MAX};

/// Most faulty features listed in one error; the rest are counted.
pub const FAULTS_SHOWN_MAX: usize = 20;

/// A place in a map file, everything counted from 1.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Spot {
    /// Feature or placemark, in the order of the file.
    pub feature: usize,
    /// Its name; empty where it has none.
    pub name: String,
    /// Polygon of a feature of several.
    pub piece: Option<usize>,
    /// Ring of a polygon; 1 is the outer one.
    pub ring: Option<usize>,
    /// Vertex of a ring or line.
    pub vertex: Option<usize>,
}

impl Spot {
    pub(crate) fn new(feature: usize, name: &str) -> Self {
        Self { feature, name: short(name), ..Self::default() }
    }

    pub(crate) fn ring(&self, piece: usize, ring: usize) -> Self {
        Self { piece: Some(piece + 1), ring: Some(ring + 1), ..self.clone() }
    }

    pub(crate) fn vertex(&self, vertex: usize) -> Self {
        Self { vertex: Some(vertex + 1), ..self.clone() }
    }
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "feature {}", self.feature)?;
        if !self.name.is_empty() {
            write!(f, " “{}”", self.name)?;
        }
        let parts = [("piece", self.piece.filter(|&n| n > 1)), ("ring", self.ring), ("vertex", self.vertex)];
        parts.iter().filter_map(|(word, n)| n.map(|n| (word, n))).try_for_each(|(word, n)| write!(f, ", {word} {n}"))
    }
}

/// What is wrong with a feature. Each variant is a rule of the readers.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Problem {
    /// A feature has one of the geometries of its format.
    #[error("the geometry is {seen}. Allowed: {allowed}")]
    NoGeometry {
        /// What stands there.
        seen: String,
        /// What may stand there.
        allowed: &'static str,
    },
    /// A vertex is a longitude and a latitude, in numbers.
    #[error("{seen} is not a vertex. Allowed: {allowed}")]
    NoVertex {
        /// What stands there.
        seen: String,
        /// What may stand there.
        allowed: &'static str,
    },
    /// Degrees are on the globe: longitude -180 to 180, latitude -90 to 90.
    #[error("{what} {value}° is not on the globe. Allowed: {min} to {max}.{}", order(*.swapped))]
    OffGlobe {
        /// `longitude` or `latitude`.
        what: &'static str,
        /// The value seen.
        value: f64,
        /// Smallest allowed value.
        min: f64,
        /// Largest allowed value.
        max: f64,
        /// Whether the two would be on the globe in the other order.
        swapped: bool,
    },
    /// A ring has three corners or more, a line two.
    #[error("{seen} places that differ. Allowed: {least} or more for {what}")]
    TooFewVertices {
        /// How many differ.
        seen: usize,
        /// How many are needed.
        least: usize,
        /// `a ring` or `a line`.
        what: &'static str,
    },
    /// A ring neither crosses nor touches itself, and holes lie inside and apart.
    #[error("not an outline: {message}")]
    NotOutline {
        /// The check's own words.
        message: String,
    },
    /// A map file is of this yard: nothing lies further than [`DISTANCE_MAX_KM`] from its middle.
    #[error(
        "lies {distance_km:.1} km from {from}. Allowed: up to {DISTANCE_MAX_KM} km. Is it the file of another place?{}",
        order(*.swapped)
    )]
    TooFar {
        /// The distance (km).
        distance_km: f64,
        /// From where it is counted.
        from: &'static str,
        /// Whether it would be near with longitude and latitude in the other order.
        swapped: bool,
    },
}

fn order(swapped: bool) -> &'static str {
    if swapped {
        " Longitude and latitude look swapped: a map file has the longitude first; try changing their order"
    } else {
        ""
    }
}

/// A feature that was refused.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Where.
    pub spot: Spot,
    /// What.
    pub problem: Problem,
}

impl Fault {
    pub(crate) fn new(spot: Spot, problem: Problem) -> Box<Self> {
        Box::new(Self { spot, problem })
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.spot, self.problem)
    }
}

/// The faults of one file: the first [`FAULTS_SHOWN_MAX`] and how many there are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Faults {
    /// The first faults, one a feature.
    pub shown: Vec<Fault>,
    /// How many there are in all.
    pub total: usize,
}

impl Faults {
    pub(crate) fn add(&mut self, fault: Fault) {
        if self.shown.len() < FAULTS_SHOWN_MAX {
            self.shown.push(fault);
        }
        self.total += 1;
    }

    pub(crate) fn or_ok(self) -> Result<(), MapFileError> {
        if self.total == 0 { Ok(()) } else { Err(MapFileError::Faults(self)) }
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let plural = if self.total == 1 { "" } else { "s" };
        write!(f, "{} feature{plural} cannot be read; nothing was taken from the file", self.total)?;
        self.shown.iter().try_for_each(|fault| write!(f, "\n  {fault}"))?;
        if self.total > self.shown.len() {
            write!(f, "\n  and {} more", self.total - self.shown.len())?;
        }
        Ok(())
    }
}

/// Why a map file was not read, written or taken over. Each variant is a rule; in every case nothing is taken.
#[derive(Debug, thiserror::Error)]
pub enum MapFileError {
    /// A file has at most [`BYTES_MAX`] bytes, unpacked too.
    #[error("the {what} has more than {mib} MiB. Allowed: up to {mib} MiB. Try a smaller part of the map", mib = BYTES_MAX >> 20)]
    TooLarge {
        /// `file`, or the part of it that is too large.
        what: &'static str,
    },
    /// A file has at most [`VERTICES_MAX`] vertices.
    #[error(
        "the file has more than {VERTICES_MAX} vertices. Allowed: up to {VERTICES_MAX}. Try a smaller part of the map, \
         or simpler outlines"
    )]
    TooManyVertices,
    /// A file has at most [`SHAPES_MAX`] shapes.
    #[error("the file has more than {SHAPES_MAX} shapes. Allowed: up to {SHAPES_MAX}. Try a smaller part of the map")]
    TooManyShapes,
    /// A GeoJSON file has at most [`JSON_VALUES_MAX`] JSON values, whatever they are.
    #[error(
        "the file has more than {JSON_VALUES_MAX} JSON values. Allowed: up to {JSON_VALUES_MAX}. Try leaving out properties"
    )]
    TooManyValues,
    /// Elements of a KML file lie within each other [`DEPTH_MAX`] deep at most.
    #[error("line {line}: <{element}> lies more than {DEPTH_MAX} elements deep. Allowed: up to {DEPTH_MAX}")]
    TooDeep {
        /// Line.
        line: usize,
        /// The element.
        element: String,
    },
    /// Text is UTF-8.
    #[error("line {line}: byte 0x{byte:02x} is not UTF-8 text. Allowed: UTF-8. Try saving the file anew as UTF-8")]
    NotUtf8 {
        /// The line of the first such byte.
        line: usize,
        /// The byte.
        byte: u8,
    },
    /// GeoJSON is JSON.
    #[error("not JSON: {message}. Allowed: a GeoJSON file (RFC 7946)")]
    NotJson {
        /// What the JSON reader met, with line and column.
        message: String,
    },
    /// A GeoJSON file is a FeatureCollection, a Feature or a geometry.
    #[error("not GeoJSON: the type is {seen}. Allowed: FeatureCollection, Feature or a geometry (RFC 7946, section 3)")]
    NotGeoJson {
        /// The type seen.
        seen: String,
    },
    /// Coordinates are WGS 84 (RFC 7946, section 4).
    #[error(
        "the coordinates are in {seen}. Allowed: longitude and latitude on WGS 84 (CRS84). Try exporting the file in WGS 84"
    )]
    ForeignCrs {
        /// The reference system the file names.
        seen: String,
    },
    /// KML is well-formed XML.
    #[error("line {line}: not XML: {message}. Allowed: a KML file (OGC KML 2.2)")]
    NotXml {
        /// Line.
        line: usize,
        /// What the XML reader met.
        message: String,
    },
    /// A KML file's outermost element is `kml`.
    #[error("not KML: the outermost element is {seen}. Allowed: <kml>")]
    NotKml {
        /// What it is.
        seen: String,
    },
    /// A KML file declares no entities: they can blow up a small file.
    #[error(
        "line {line}: the file has a document type (<!DOCTYPE …>). Allowed: none; KML needs none. Try taking it out"
    )]
    DocumentType {
        /// Line.
        line: usize,
    },
    /// A KMZ file is a zip archive with a KML file in it.
    #[error("not KMZ: {message}. Allowed: a zip archive with a .kml file in it (stored or deflated)")]
    NotKmz {
        /// What was met.
        message: String,
    },
    /// Every feature can be read.
    #[error("{0}")]
    Faults(Faults),
    /// The file has a place.
    #[error("no area, line or point was found in the file. Allowed: at least one with a geometry")]
    Empty,
    /// The map lies on the globe.
    #[error(
        "where the map lies on the globe is not known: there is neither an origin nor the yard’s place. Try \
         recording the yard first"
    )]
    NoOrigin,
    /// The origin is one a plane can be laid at.
    #[error("no map can be laid at {latitude_deg}°, {longitude_deg}°: {message}")]
    Origin {
        /// Latitude.
        latitude_deg: f64,
        /// Longitude.
        longitude_deg: f64,
        /// Why.
        message: String,
    },
    /// What is drawn can be told in degrees.
    #[error("“{name}” cannot be written: {message}")]
    Drawing {
        /// The area or thing.
        name: String,
        /// Why.
        message: String,
    },
    /// A shape is taken as something of its own form.
    #[error("shape {shape} “{name}” is {geometry}, and cannot be taken as {choice}. Allowed: {allowed}")]
    Unfit {
        /// Which shape, counted from 1.
        shape: usize,
        /// Its name.
        name: String,
        /// What it is.
        geometry: &'static str,
        /// What it was to become.
        choice: String,
        /// What that needs.
        allowed: &'static str,
    },
}

/// At most 60 letters of a text from a file.
pub(crate) fn short(text: &str) -> String {
    const LETTERS_MAX: usize = 60;
    if text.chars().count() <= LETTERS_MAX {
        text.to_owned()
    } else {
        text.chars().take(LETTERS_MAX - 1).chain(['…']).collect()
    }
}

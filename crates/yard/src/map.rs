//! What is drawn of a yard: outlines of areas, and the things that stand, lie or are buried on the ground.
//!
//! Places are metres east and north of the map's origin, which an [`Origin`] ties to the globe.

use jiff::civil::Date;
use reckon::outline::{Corner, Outline};
use serde::{Deserialize, Serialize};

use crate::entry::Key;

/// Where on the globe the map's origin lies (WGS 84).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Origin {
    /// Latitude, north positive (degrees).
    pub latitude_deg: f64,
    /// Longitude, east positive (degrees).
    pub longitude_deg: f64,
}

/// The ground of an area from a day on. The outline in force gives the area its size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutlineFacts {
    /// Area.
    pub area: Key,
    /// One outline, or several where the area lies in pieces; none takes the drawing back to a plain size.
    pub pieces: Vec<Outline>,
    /// How it was measured: tape readings, offsets, the survey plan it was traced from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub measured: String,
}

/// A sprinkler head.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeadFacts {
    /// Zone it runs with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<Key>,
    /// What is written on the nozzle.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub nozzle: String,
    /// Throw (m).
    pub radius_m: f64,
    /// Bearing where the arc starts, clockwise from north (degrees).
    #[serde(default)]
    pub arc_from_deg: f64,
    /// Width of the arc, clockwise (degrees); 360 is a full circle.
    pub arc_deg: f64,
    /// Flow (L/min).
    pub flow_lpm: f64,
    /// How far it leans from upright (degrees).
    #[serde(default, skip_serializing_if = "is_zero")]
    pub lean_deg: f64,
    /// Bearing it leans towards (degrees).
    #[serde(default, skip_serializing_if = "is_zero")]
    pub lean_to_deg: f64,
}

fn is_zero(v: &f64) -> bool {
    *v == 0.0
}

/// What runs in a buried line. The colours of marking paint are the utilities' own; see the page on safety.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Buried {
    /// Electric power.
    #[default]
    Power,
    /// Gas.
    Gas,
    /// Telephone, cable, fibre.
    Telecom,
    /// Drinking water.
    Water,
    /// Sewer or septic.
    Sewer,
    /// Drain.
    Drain,
    /// Yard light, pet fence, garden wire: private, and not marked by the public service.
    Private,
}

/// Which part of the sprinkler system a pipe is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PipeRole {
    /// Under pressure up to the valves.
    #[default]
    Main,
    /// Behind a valve.
    Lateral,
}

/// What a thing on the map is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "is", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Thing {
    /// House, shed, garage: its ring.
    Building {
        /// Height that throws shade (m).
        height_m: f64,
    },
    /// Tree or large shrub: its trunk.
    Tree {
        /// Height (m).
        height_m: f64,
        /// Radius of the crown (m).
        crown_m: f64,
        /// Height where the crown begins (m).
        #[serde(default, skip_serializing_if = "is_zero")]
        base_m: f64,
        /// Keeps its leaves in winter.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        evergreen: bool,
    },
    /// Edge of a pond, stream, ditch or street drain: a line.
    WaterEdge,
    /// Well: a point.
    Well,
    /// Buried line.
    BuriedLine {
        /// What runs in it.
        of: Buried,
    },
    /// Sprinkler head: a point.
    Head(HeadFacts),
    /// Sprinkler valve: a point.
    Valve {
        /// Zone it feeds.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        zone: Option<Key>,
    },
    /// Sprinkler controller: a point.
    Controller,
    /// Sprinkler pipe: a line.
    Pipe {
        /// Main or lateral.
        role: PipeRole,
        /// Zone of a lateral.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        zone: Option<Key>,
        /// Inner diameter (mm).
        #[serde(default, skip_serializing_if = "Option::is_none")]
        bore_mm: Option<f64>,
    },
    /// Measured height of the ground: a point.
    Level {
        /// Height over the yard's own mark (m).
        height_m: f64,
    },
    /// Where children play: a ring.
    Play,
    /// Where pets run: a ring.
    Pets,
}

/// What the corners of a thing mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// One place.
    Point,
    /// A line through places.
    Line,
    /// A ring of corners.
    Ring,
}

impl Thing {
    /// What its corners mean.
    pub fn shape(&self) -> Shape {
        match self {
            Self::Building { .. } | Self::Play | Self::Pets => Shape::Ring,
            Self::WaterEdge | Self::BuriedLine { .. } | Self::Pipe { .. } => Shape::Line,
            Self::Tree { .. }
            | Self::Well
            | Self::Head(_)
            | Self::Valve { .. }
            | Self::Controller
            | Self::Level { .. } => Shape::Point,
        }
    }

    /// The word its entries are told by.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Building { .. } => "building",
            Self::Tree { .. } => "tree",
            Self::WaterEdge => "water’s edge",
            Self::Well => "well",
            Self::BuriedLine { .. } => "buried line",
            Self::Head(_) => "sprinkler head",
            Self::Valve { .. } => "valve",
            Self::Controller => "controller",
            Self::Pipe { .. } => "pipe",
            Self::Level { .. } => "spot level",
            Self::Play => "play ground",
            Self::Pets => "pets’ ground",
        }
    }

    /// Zone it belongs to.
    pub fn zone(&self) -> Option<&str> {
        match self {
            Self::Head(HeadFacts { zone, .. }) | Self::Valve { zone } | Self::Pipe { zone, .. } => zone.as_deref(),
            _ => None,
        }
    }
}

/// A thing on the map.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapped {
    /// Key.
    pub key: Key,
    /// Name.
    pub name: String,
    /// What it is.
    pub thing: Thing,
    /// Its place: one, a line of them, or a ring, as [`Thing::shape`] tells.
    pub at: Vec<Corner>,
    /// True once it is no more.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub removed: bool,
}

impl Mapped {
    /// The first place.
    pub fn place(&self) -> [f64; 2] {
        self.at.first().map_or([0.0, 0.0], |c| c.at())
    }

    /// The ground it covers, where it has a ring.
    pub fn ground(&self) -> Option<Outline> {
        (self.thing.shape() == Shape::Ring).then(|| Outline { ring: self.at.clone(), holes: Vec::new() })
    }
}

/// A picture laid under the map, placed by two points known on both.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Underlay {
    /// The picture's name in the ledger: the hash of its bytes.
    pub picture: String,
    /// What it shows.
    pub name: String,
    /// Width and height of the picture (pixels).
    pub size_px: [f64; 2],
    /// Two points on the picture, from its upper left corner (pixels).
    pub pixels: [[f64; 2]; 2],
    /// The same two on the map (m).
    pub ground: [[f64; 2]; 2],
    /// No longer shown.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub removed: bool,
}

impl Underlay {
    /// The matrix `[a, b, c, d, e, f]` that takes a pixel to metres: `x = a px + c py + e`, `y = b px + d py + f`.
    ///
    /// A turn, a scale and a shift, and the picture's y axis turned over: pixels run down, the map runs north.
    pub fn matrix(&self) -> [f64; 6] {
        let [[px, py], [qx, qy]] = self.pixels;
        let [[x, y], [u, v]] = self.ground;
        // Complex numbers: with w = px − i py the map is z = k w + t.
        let (wr, wi) = (qx - px, -(qy - py));
        let (zr, zi) = (u - x, v - y);
        let norm = wr * wr + wi * wi;
        let (kr, ki) = ((zr * wr + zi * wi) / norm, (zi * wr - zr * wi) / norm);
        let (tr, ti) = (x - (kr * px + ki * py), y - (ki * px - kr * py));
        [kr, ki, ki, -kr, tr, ti]
    }

    /// Metres a pixel.
    pub fn scale(&self) -> f64 {
        let [a, b, ..] = self.matrix();
        a.hypot(b)
    }
}

/// An outline with the day it counts from.
#[derive(Clone, Debug, PartialEq)]
pub struct DatedOutline {
    /// Entry id.
    pub id: String,
    /// First day.
    pub on: Date,
    /// The outline.
    pub fact: OutlineFacts,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two known points place a picture: both land where they were said to, and a point beside them turns and scales along
    /// (worked by hand: 100 px east on the picture are 20 m north on the ground, so the picture's down is the ground's east).
    #[test]
    fn a_picture_is_placed_by_two_points() {
        let underlay = Underlay {
            picture: String::new(),
            name: String::new(),
            size_px: [400.0, 300.0],
            pixels: [[10.0, 20.0], [110.0, 20.0]],
            ground: [[5.0, 7.0], [5.0, 27.0]],
            removed: false,
        };
        let [a, b, c, d, e, f] = underlay.matrix();
        let to = |px: f64, py: f64| [a * px + c * py + e, b * px + d * py + f];
        let near = |got: [f64; 2], want: [f64; 2]| {
            assert!((got[0] - want[0]).abs() < 1e-9 && (got[1] - want[1]).abs() < 1e-9, "{got:?} not {want:?}");
        };
        near(to(10.0, 20.0), [5.0, 7.0]);
        near(to(110.0, 20.0), [5.0, 27.0]);
        near(to(10.0, 70.0), [15.0, 7.0]);
        assert!((underlay.scale() - 0.2).abs() < 1e-12);
    }
}

//! Features laid on the yard's plane.

use reckon::outline::{Corner, Outline, line_length};
use reckon::plane::Plane;
use yard::Yard;
use yard::map::{Origin, Shape};

use crate::bows::{self, Bow};
use crate::drawn::{origin_of, plane_at};
use crate::error::{Fault, MapFileError, Problem, Spot};
use crate::facts::{self, Facts};
use crate::raw::{LonLat, RawFeature, RawFile, RawGeometry};
use crate::{DISTANCE_MAX_KM, text};

/// Mean radius of the Earth (km), (2a + b) / 3 on WGS 84.
const EARTH_RADIUS_KM: f64 = 6_371.008_8;
/// How far a file's middle may lie from the yard's place before it is told (km): the place is often only that of the town.
const PLACE_NEAR_KM: f64 = 50.0;
/// Decimals of a degree of a new origin: 1e-6° is 0.1 m.
const ORIGIN_DECIMALS: f64 = 1e6;

/// The place of a shape on the yard's plane.
#[derive(Clone, Debug, PartialEq)]
pub enum Geometry {
    /// Pieces of ground.
    Ground(Vec<Outline>),
    /// An open line.
    Line(Vec<Corner>),
    /// East and north of the origin (m).
    Point([f64; 2]),
}

impl Geometry {
    /// What its corners mean.
    pub fn shape(&self) -> Shape {
        match self {
            Self::Ground(_) => Shape::Ring,
            Self::Line(_) => Shape::Line,
            Self::Point(_) => Shape::Point,
        }
    }

    /// The words for it.
    pub fn words(&self) -> &'static str {
        match self {
            Self::Ground(_) => "a piece of ground",
            Self::Line(_) => "a line",
            Self::Point(_) => "a point",
        }
    }
}

/// A shape of a map file, on the yard's plane.
#[derive(Clone, Debug, PartialEq)]
pub struct FileShape {
    /// Its name; empty where the file has none.
    pub name: String,
    /// The key the file gives it.
    pub key: Option<String>,
    /// Its place.
    pub geometry: Geometry,
    /// What a file of Toft's own tells of it.
    pub facts: Option<Facts>,
    /// How it was measured, where the file tells.
    pub measured: String,
    /// Area (m²), of ground.
    pub area_m2: Option<f64>,
    /// Length (m), of a line.
    pub length_m: Option<f64>,
}

/// A map file that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct MapRead {
    /// Where on the globe the plane's origin lies.
    pub origin: Origin,
    /// Whether the yard has no origin yet: taking a shape over records it.
    pub origin_is_new: bool,
    /// The shapes, in the order of the file.
    pub shapes: Vec<FileShape>,
    /// Sentences on what was left out or looks odd.
    pub problems: Vec<String>,
}

/// Lays what a file holds on the yard's plane.
pub(crate) fn place(raw: RawFile, yard: &Yard) -> Result<MapRead, MapFileError> {
    let RawFile { features, mut faults, mut problems, heights, .. } = raw;
    if heights > 0 {
        problems.push(format!("heights of {heights} vertices: left out; the map is a plan"));
    }
    let drawn = !yard.things.is_empty() || yard.areas.iter().any(|a| yard.outline(&a.key).is_some());
    let known =
        if yard.origin.is_some() || drawn { Some(origin_of(yard).ok_or(MapFileError::NoOrigin)?) } else { None };
    let Some(origin) = known.or_else(|| middle(&features)) else {
        faults.or_ok()?;
        return Err(MapFileError::Empty);
    };
    let from = if known.is_some() { "the yard’s map" } else { "the middle of the file" };
    if known.is_none() {
        check_near_place(origin, &features, yard, &mut problems)?;
    }
    let mut placer =
        Placer { plane: plane_at(origin)?, origin, from, yard, problems, shapes: Vec::new(), open_rings: 0 };
    for feature in &features {
        if let Err(fault) = placer.feature(feature) {
            faults.add(*fault);
        }
    }
    faults.shown.sort_by_key(|fault| fault.spot.feature);
    faults.or_ok()?;
    let Placer { shapes, mut problems, open_rings, .. } = placer;
    if open_rings > 0 {
        let plural = if open_rings == 1 { " is" } else { "s are" };
        problems.push(format!("{open_rings} ring{plural} not closed, as the format asks; closed with a straight side"));
    }
    Ok(MapRead { origin, origin_is_new: yard.origin.is_none(), shapes, problems })
}

fn vertices(features: &[RawFeature]) -> impl Iterator<Item = (&Spot, LonLat)> {
    features.iter().flat_map(|feature| {
        let places = feature.geometries.iter().flat_map(|geometry| match geometry {
            RawGeometry::Polygon(rings) => rings.concat(),
            RawGeometry::Line(line) => line.clone(),
            RawGeometry::Point(at) => vec![*at],
        });
        places.map(move |at| (&feature.spot, at))
    })
}

/// The middle of the file's bounding box, which may lie across the 180th meridian.
fn middle(features: &[RawFeature]) -> Option<Origin> {
    let (_, first) = vertices(features).next()?;
    let mut low = [0.0, first[1]];
    let mut high = low;
    for (_, [longitude, latitude]) in vertices(features) {
        let at = [turned(longitude - first[0]), latitude];
        for axis in [0, 1] {
            low[axis] = at[axis].min(low[axis]);
            high[axis] = at[axis].max(high[axis]);
        }
    }
    let round = |v: f64| (v * ORIGIN_DECIMALS).round() / ORIGIN_DECIMALS;
    let longitude = turned(first[0] + (low[0] + high[0]) / 2.0);
    Some(Origin { latitude_deg: round((low[1] + high[1]) / 2.0), longitude_deg: round(longitude) })
}

/// A difference of longitudes, -180 ..= 180.
fn turned(degrees: f64) -> f64 {
    if degrees > 180.0 {
        degrees - 360.0
    } else if degrees < -180.0 {
        degrees + 360.0
    } else {
        degrees
    }
}

/// Great-circle distance by the haversine form, on a sphere: good to half a per cent, enough for a message.
fn distance_km(from: Origin, [longitude, latitude]: LonLat) -> f64 {
    let (lat_a, lat_b) = (from.latitude_deg.to_radians(), latitude.to_radians());
    let half_lat = (lat_b - lat_a) / 2.0;
    let half_lon = (longitude - from.longitude_deg).to_radians() / 2.0;
    let h = half_lat.sin().powi(2) + lat_a.cos() * lat_b.cos() * half_lon.sin().powi(2);
    2.0 * EARTH_RADIUS_KM * h.clamp(0.0, 1.0).sqrt().asin()
}

/// A first map is held against the yard's place: a town away is told, and the other side of the globe may be a swap.
fn check_near_place(
    origin: Origin,
    features: &[RawFeature],
    yard: &Yard,
    problems: &mut Vec<String>,
) -> Result<(), MapFileError> {
    let Some(place) = origin_of(yard) else { return Ok(()) };
    let Origin { latitude_deg, longitude_deg } = origin;
    let distance_km = distance_km(place, [longitude_deg, latitude_deg]);
    if distance_km <= PLACE_NEAR_KM {
        return Ok(());
    }
    if longitude_deg.abs() <= 90.0 && self::distance_km(place, [latitude_deg, longitude_deg]) <= PLACE_NEAR_KM {
        let mut faults = crate::error::Faults::default();
        for feature in features {
            let problem = Problem::TooFar { distance_km, from: "the yard’s place", swapped: true };
            faults.add(*Fault::new(feature.spot.clone(), problem));
        }
        return faults.or_ok();
    }
    problems.push(format!("the file lies {distance_km:.0} km from the yard’s place: is it the file of another yard?"));
    Ok(())
}

struct Placer<'a> {
    plane: Plane,
    origin: Origin,
    from: &'static str,
    yard: &'a Yard,
    problems: Vec<String>,
    shapes: Vec<FileShape>,
    open_rings: usize,
}

impl Placer<'_> {
    /// The shapes of a feature: its polygons together, each line and each point by itself.
    fn feature(&mut self, feature: &RawFeature) -> Result<(), Box<Fault>> {
        let marks = facts::bows(feature);
        let bows_of = |piece: usize, ring: usize| marks.get(&[piece, ring]).map_or(&[][..], Vec::as_slice);
        let (mut pieces, mut others) = (Vec::new(), Vec::new());
        for geometry in &feature.geometries {
            match geometry {
                RawGeometry::Polygon(rings) => {
                    let piece = pieces.len();
                    pieces.push(self.outline(&feature.spot, piece, rings, &bows_of)?);
                }
                RawGeometry::Line(line) => {
                    let at = self.places(&feature.spot, line)?;
                    check_differ(&feature.spot, &at, 2, "a line")?;
                    let corners = bows::corners(&at, bows_of(others.len(), 0));
                    others.push(Geometry::Line(corners));
                }
                RawGeometry::Point(at) => others.push(Geometry::Point(self.place(&feature.spot, *at)?)),
            }
        }
        let ground = (!pieces.is_empty()).then(|| pieces.into_iter().unzip());
        let ground = ground.map(|(outlines, sizes): (Vec<Outline>, Vec<f64>)| (Geometry::Ground(outlines), sizes));
        let count = usize::from(ground.is_some()) + others.len();
        if count > 1 {
            self.problems.push(format!("{}: of several kinds or places; taken as {count} shapes", feature.spot));
        }
        let all = ground.into_iter().chain(others.into_iter().map(|other| (other, vec![])));
        for (i, (geometry, sizes)) in all.enumerate() {
            let name = if i > 0 { text::name(&format!("{} {}", feature.name, i + 1)) } else { feature.name.clone() };
            let facts = if count == 1 { facts::read(feature, &geometry, self.yard, &mut self.problems) } else { None };
            let key = facts::key(feature).filter(|_| count == 1);
            let length_m = if let Geometry::Line(line) = &geometry { Some(line_length(line).get()) } else { None };
            let area_m2 = (!sizes.is_empty()).then(|| sizes.iter().sum());
            let measured = facts::measured(feature);
            self.shapes.push(FileShape { name, key, geometry, facts, measured, area_m2, length_m });
        }
        Ok(())
    }

    /// A place on the plane, near enough to be of this yard.
    fn place(&self, spot: &Spot, at: LonLat) -> Result<[f64; 2], Box<Fault>> {
        let near = |[x, y]: &[f64; 2]| x.hypot(*y) <= DISTANCE_MAX_KM * 1000.0;
        self.plane.to_plane(at[0], at[1]).ok().filter(near).ok_or_else(|| {
            let swapped = at[0].abs() <= 90.0 && distance_km(self.origin, [at[1], at[0]]) <= DISTANCE_MAX_KM;
            let distance_km = distance_km(self.origin, at);
            Fault::new(spot.clone(), Problem::TooFar { distance_km, from: self.from, swapped })
        })
    }

    fn places(&self, spot: &Spot, line: &[LonLat]) -> Result<Vec<[f64; 2]>, Box<Fault>> {
        line.iter().enumerate().map(|(i, &at)| self.place(&spot.vertex(i), at)).collect()
    }

    fn outline<'b>(
        &mut self,
        spot: &Spot,
        piece: usize,
        rings: &[Vec<LonLat>],
        bows_of: &impl Fn(usize, usize) -> &'b [Bow],
    ) -> Result<(Outline, f64), Box<Fault>> {
        let mut placed = Vec::with_capacity(rings.len());
        for (i, ring) in rings.iter().enumerate() {
            let spot = spot.ring(piece, i);
            let mut at = self.places(&spot, ring)?;
            if let (Some(&first), Some(&last)) = (at.first(), at.last())
                && first != last
            {
                at.push(first);
                self.open_rings += 1;
            }
            check_differ(&spot, &at, 3, "a ring")?;
            let mut corners = bows::corners(&at, bows_of(piece, i));
            corners.pop();
            placed.push(corners);
        }
        if placed.is_empty() {
            check_differ(&spot.ring(piece, 0), &[], 3, "a ring")?;
        }
        let mut placed = placed.into_iter();
        let outline = Outline { ring: placed.next().unwrap_or_default(), holes: placed.collect() };
        let size = outline.size().map_err(|e| {
            let spot = Spot { piece: Some(piece + 1), ..spot.clone() };
            Fault::new(spot, Problem::NotOutline { message: e.to_string() })
        })?;
        Ok((outline, size.area.get()))
    }
}

/// That enough of the places differ.
fn check_differ(spot: &Spot, at: &[[f64; 2]], least: usize, what: &'static str) -> Result<(), Box<Fault>> {
    let mut differing: Vec<[f64; 2]> = Vec::with_capacity(least);
    for place in at {
        if !differing.contains(place) {
            differing.push(*place);
        }
        if differing.len() >= least {
            return Ok(());
        }
    }
    Err(Fault::new(spot.clone(), Problem::TooFewVertices { seen: differing.len(), least, what }))
}

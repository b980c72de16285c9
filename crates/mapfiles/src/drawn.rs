//! What is drawn of a yard, in degrees and with its facts: what both writers write.

use reckon::outline::Corner;
use reckon::plane::Plane;
use reckon::units::Degrees;
use serde_json::{Map, Value, json};
use yard::Yard;
use yard::map::{Mapped, Origin, Shape};

use crate::bows::{Flat, Turn, flat_line, flat_ring};
use crate::raw::{LonLat, RawGeometry};
use crate::{MapFileError, facts};

/// Decimals of a degree that are written: 1e-9° is 0.1 mm.
const DEGREE_DECIMALS: f64 = 1e9;

/// An area or a thing as a file tells it.
pub(crate) struct Drawn {
    pub(crate) name: String,
    /// The folder it lies in, by the kind of thing.
    pub(crate) folder: &'static str,
    /// What it is, in a few words.
    pub(crate) words: String,
    pub(crate) properties: Map<String, Value>,
    /// One polygon or several, or one line, or one point.
    pub(crate) geometries: Vec<RawGeometry>,
}

/// The map's origin, or else the yard's place.
pub(crate) fn origin_of(yard: &Yard) -> Option<Origin> {
    let place = || yard.facts.as_ref().map(|f| f.place);
    yard.origin.or_else(|| place().map(|p| Origin { latitude_deg: p.latitude_deg, longitude_deg: p.longitude_deg }))
}

/// The plane whose origin is the map's.
pub(crate) fn plane_at(origin: Origin) -> Result<Plane, MapFileError> {
    let Origin { latitude_deg, longitude_deg } = origin;
    Plane::at(Degrees::new(longitude_deg), Degrees::new(latitude_deg)).map_err(|e| MapFileError::Origin {
        latitude_deg,
        longitude_deg,
        message: e.to_string(),
    })
}

/// Every drawn area and every thing, areas first.
pub(crate) fn drawn(yard: &Yard) -> Result<Vec<Drawn>, MapFileError> {
    let plane = plane_at(origin_of(yard).ok_or(MapFileError::NoOrigin)?)?;
    let mut all = Vec::new();
    for area in &yard.areas {
        let Some(outline) = yard.outline(&area.key) else { continue };
        let mut writer = Writer::new(&plane, &area.name);
        for (piece, ground) in outline.fact.pieces.iter().enumerate() {
            writer.polygon(piece, &ground.ring, &ground.holes)?;
        }
        let words = format!("{}, {}", area.cover.word(), yard.units().say(yard::Quantity::Area, area.size_m2));
        let properties = facts::of_area(area, &outline.fact.measured, writer.bows);
        all.push(Drawn { name: area.name.clone(), folder: "areas", words, properties, geometries: writer.geometries });
    }
    for thing in &yard.things {
        let mut writer = Writer::new(&plane, &thing.name);
        writer.thing(thing)?;
        all.push(Drawn {
            name: thing.name.clone(),
            folder: thing.thing.word(),
            words: thing.thing.word().to_owned(),
            properties: facts::of_thing(thing, writer.bows),
            geometries: writer.geometries,
        });
    }
    Ok(all)
}

/// One area or thing on its way out.
struct Writer<'a> {
    plane: &'a Plane,
    name: &'a str,
    geometries: Vec<RawGeometry>,
    bows: Vec<Value>,
}

impl<'a> Writer<'a> {
    fn new(plane: &'a Plane, name: &'a str) -> Self {
        Self { plane, name, geometries: Vec::new(), bows: Vec::new() }
    }

    fn thing(&mut self, thing: &Mapped) -> Result<(), MapFileError> {
        match thing.thing.shape() {
            Shape::Ring => self.polygon(0, &thing.at, &[]),
            Shape::Line => {
                let line = self.degrees(0, 0, flat_line(&thing.at), 2)?;
                self.geometries.push(RawGeometry::Line(line));
                Ok(())
            }
            Shape::Point => {
                let point = self.degrees(0, 0, flat_line(&thing.at[..thing.at.len().min(1)]), 1)?;
                self.geometries.extend(point.first().map(|&at| RawGeometry::Point(at)));
                Ok(())
            }
        }
    }

    fn polygon(&mut self, piece: usize, ring: &[Corner], holes: &[Vec<Corner>]) -> Result<(), MapFileError> {
        let outer = flat_ring(ring, Turn::Anticlockwise);
        let inner = holes.iter().map(|hole| flat_ring(hole, Turn::Clockwise));
        let rings: Result<Vec<Vec<LonLat>>, MapFileError> =
            std::iter::once(outer).chain(inner).enumerate().map(|(i, flat)| self.degrees(piece, i, flat, 4)).collect();
        self.geometries.push(RawGeometry::Polygon(rings?));
        Ok(())
    }

    /// The places in rounded degrees; notes the arcs among them.
    fn degrees(&mut self, piece: usize, ring: usize, flat: Flat, least: usize) -> Result<Vec<LonLat>, MapFileError> {
        let refused = |message: String| MapFileError::Drawing { name: self.name.to_owned(), message };
        if flat.places.len() < least {
            return Err(refused(format!("it is drawn with {} places; at least {least} are needed", flat.places.len())));
        }
        let round = |v: f64| (v * DEGREE_DECIMALS).round() / DEGREE_DECIMALS;
        let degrees: Result<Vec<LonLat>, _> =
            flat.places.iter().map(|&at| self.plane.to_globe(at).map(|at| at.map(round))).collect();
        let degrees = degrees.map_err(|e| refused(e.to_string()))?;
        self.bows.extend(flat.bows.iter().map(|(first, last, bow)| json!([piece, ring, first, last, bow])));
        Ok(degrees)
    }
}

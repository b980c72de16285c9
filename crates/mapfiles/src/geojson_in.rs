//! GeoJSON in: features of RFC 7946, in degrees.

use serde_json::{Map, Value};

use crate::error::{Fault, MapFileError, Problem, Spot, short};
use crate::raw::{LonLat, RawFeature, RawFile, RawGeometry, on_globe};
use crate::{json_tally, text};

const GEOMETRIES: &str = "Point, LineString, Polygon, MultiPoint, MultiLineString, MultiPolygon or GeometryCollection \
     (RFC 7946, section 3.1)";
const POSITION: &str = "[longitude, latitude] in numbers (RFC 7946, section 3.1.1)";
const POSITIONS: &str = "a list of [longitude, latitude] (RFC 7946, section 3.1)";
const RINGS: &str = "a list of rings (RFC 7946, section 3.1.6)";

/// Where a feature's name is looked for, in this order.
const NAMES: [&str; 6] = ["name", "Name", "NAME", "title", "label", "id"];

pub(crate) fn read(text: &str) -> Result<RawFile, MapFileError> {
    json_tally::count(text)?;
    let not_json = |e: serde_json::Error| MapFileError::NotJson { message: e.to_string() };
    let top: Value = serde_json::from_str(text).map_err(not_json)?;
    let mut reader = Reader::default();
    reader.check_crs(&top)?;
    match top["type"].as_str() {
        Some("FeatureCollection") => {
            let Some(features) = top["features"].as_array() else {
                let seen = format!("FeatureCollection, with {} for its features", seen(&top["features"]));
                return Err(MapFileError::NotGeoJson { seen });
            };
            for feature in features {
                reader.feature(feature)?;
            }
        }
        Some("Feature") => reader.feature(&top)?,
        Some(word) if is_geometry(word) => reader.bare(&top)?,
        _ => return Err(MapFileError::NotGeoJson { seen: seen(&top["type"]) }),
    }
    Ok(reader.finish())
}

fn is_geometry(word: &str) -> bool {
    matches!(
        word,
        "Point" | "LineString" | "Polygon" | "MultiPoint" | "MultiLineString" | "MultiPolygon" | "GeometryCollection"
    )
}

/// A value in a few words.
fn seen(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::Array(list) => format!("a list of {}", list.len()),
        Value::Object(_) => "an object".to_owned(),
        other => short(&other.to_string()),
    }
}

/// Why a feature is not taken: it alone is faulty, or the whole file is refused.
enum Stop {
    Feature(Box<Fault>),
    File(MapFileError),
}

impl From<MapFileError> for Stop {
    fn from(e: MapFileError) -> Self {
        Self::File(e)
    }
}

impl From<Box<Fault>> for Stop {
    fn from(fault: Box<Fault>) -> Self {
        Self::Feature(fault)
    }
}

#[derive(Default)]
struct Reader {
    file: RawFile,
    seen: usize,
    unlocated: usize,
    nested: usize,
}

impl Reader {
    /// GeoJSON of 2008 could name another reference system; RFC 7946, section 4, took that out.
    fn check_crs(&mut self, top: &Value) -> Result<(), MapFileError> {
        let crs = &top["crs"];
        if crs.is_null() {
            return Ok(());
        }
        let name = crs["properties"]["name"].as_str().or(crs.as_str()).unwrap_or_default();
        let plain: String = name.to_ascii_uppercase().chars().filter(char::is_ascii_alphanumeric).collect();
        if plain.ends_with("CRS84") || (plain.contains("EPSG") && plain.ends_with("4326")) {
            self.file.problems.push(format!("the file names its reference system, {}; that is WGS 84", short(name)));
            return Ok(());
        }
        let seen = if name.is_empty() { seen(crs) } else { short(name) };
        Err(MapFileError::ForeignCrs { seen })
    }

    fn feature(&mut self, feature: &Value) -> Result<(), MapFileError> {
        self.seen += 1;
        let none = Map::new();
        let properties = feature["properties"].as_object().unwrap_or(&none);
        let told = NAMES.iter().filter_map(|key| properties.get(*key)).find_map(as_name);
        let name = told.or_else(|| as_name(&feature["id"])).unwrap_or_default();
        let spot = Spot::new(self.seen, &name);
        if feature["type"].as_str() != Some("Feature") {
            let seen = format!("in an object of type {}", seen(&feature["type"]));
            self.file
                .faults
                .add(*Fault::new(spot, Problem::NoGeometry { seen, allowed: "a Feature in a FeatureCollection" }));
            return Ok(());
        }
        if feature["geometry"].is_null() {
            self.unlocated += 1;
            return Ok(());
        }
        self.geometry_of(spot, name, properties.clone(), &feature["geometry"])
    }

    fn bare(&mut self, geometry: &Value) -> Result<(), MapFileError> {
        self.seen += 1;
        self.geometry_of(Spot::new(self.seen, ""), String::new(), Map::new(), geometry)
    }

    fn geometry_of(
        &mut self,
        spot: Spot,
        name: String,
        properties: Map<String, Value>,
        geometry: &Value,
    ) -> Result<(), MapFileError> {
        let mut geometries = Vec::new();
        match self.geometry(&spot, geometry, 0, &mut geometries) {
            Ok(()) if geometries.is_empty() => self.unlocated += 1,
            Ok(()) => self.file.features.push(RawFeature { spot, name, properties, geometries }),
            Err(Stop::Feature(fault)) => self.file.faults.add(*fault),
            Err(Stop::File(error)) => return Err(error),
        }
        Ok(())
    }

    fn geometry(
        &mut self,
        spot: &Spot,
        geometry: &Value,
        depth: usize,
        into: &mut Vec<RawGeometry>,
    ) -> Result<(), Stop> {
        let coordinates = &geometry["coordinates"];
        // An empty list may be read as no geometry at all (RFC 7946, section 3.1).
        if coordinates.as_array().is_some_and(Vec::is_empty) {
            return Ok(());
        }
        match geometry["type"].as_str() {
            Some("Point") => {
                let point = RawGeometry::Point(self.position(spot, coordinates)?);
                self.put(point, into)?;
            }
            Some("MultiPoint") => {
                for (i, position) in list(spot, coordinates, POSITIONS)?.iter().enumerate() {
                    let point = RawGeometry::Point(self.position(&spot.vertex(i), position)?);
                    self.put(point, into)?;
                }
            }
            Some("LineString") => {
                let line = RawGeometry::Line(self.positions(spot, coordinates)?);
                self.put(line, into)?;
            }
            Some("MultiLineString") => {
                for (i, line) in list(spot, coordinates, POSITIONS)?.iter().enumerate() {
                    let spot = Spot { piece: Some(i + 1), ..spot.clone() };
                    let line = RawGeometry::Line(self.positions(&spot, line)?);
                    self.put(line, into)?;
                }
            }
            Some("Polygon") => self.polygon(spot, 0, coordinates, into)?,
            Some("MultiPolygon") => {
                for (i, polygon) in list(spot, coordinates, RINGS)?.iter().enumerate() {
                    self.polygon(spot, i, polygon, into)?;
                }
            }
            Some("GeometryCollection") => {
                self.nested += usize::from(depth > 0);
                for part in list(spot, &geometry["geometries"], "a list of geometries")? {
                    self.geometry(spot, part, depth + 1, into)?;
                }
            }
            _ => {
                let seen = if geometry["type"].is_null() {
                    seen(geometry)
                } else {
                    format!("of type {}", seen(&geometry["type"]))
                };
                return Err(Fault::new(spot.clone(), Problem::NoGeometry { seen, allowed: GEOMETRIES }).into());
            }
        }
        Ok(())
    }

    fn put(&mut self, geometry: RawGeometry, into: &mut Vec<RawGeometry>) -> Result<(), Stop> {
        self.file.count_shape()?;
        into.push(geometry);
        Ok(())
    }

    fn polygon(&mut self, spot: &Spot, piece: usize, rings: &Value, into: &mut Vec<RawGeometry>) -> Result<(), Stop> {
        let told = list(spot, rings, RINGS)?;
        if told.is_empty() {
            return Ok(());
        }
        let rings: Result<Vec<_>, Stop> =
            told.iter().enumerate().map(|(i, ring)| self.positions(&spot.ring(piece, i), ring)).collect();
        self.put(RawGeometry::Polygon(rings?), into)
    }

    fn positions(&mut self, spot: &Spot, positions: &Value) -> Result<Vec<LonLat>, Stop> {
        let told = list(spot, positions, POSITIONS)?;
        told.iter().enumerate().map(|(i, position)| self.position(&spot.vertex(i), position)).collect()
    }

    fn position(&mut self, spot: &Spot, position: &Value) -> Result<LonLat, Stop> {
        self.file.count_vertex()?;
        let numbers: Vec<f64> = position.as_array().into_iter().flatten().map_while(Value::as_f64).collect();
        let whole = position.as_array().is_some_and(|told| told.len() == numbers.len());
        let [longitude, latitude, rest @ ..] = numbers.as_slice() else { return Err(no_vertex(spot, position)) };
        if !whole {
            return Err(no_vertex(spot, position));
        }
        self.file.heights += usize::from(rest.iter().any(|&v| v != 0.0));
        Ok(on_globe(spot, [*longitude, *latitude])?)
    }

    fn finish(mut self) -> RawFile {
        if self.unlocated > 0 {
            self.file.problems.push(format!("{} without a geometry: left out", counted(self.unlocated, "feature")));
        }
        if self.nested > 0 {
            let many = counted(self.nested, "geometry collection");
            self.file.problems.push(format!("{many} within another: taken as if their parts stood by themselves"));
        }
        self.file
    }
}

fn no_vertex(spot: &Spot, position: &Value) -> Stop {
    let seen = short(&position.to_string());
    Fault::new(spot.clone(), Problem::NoVertex { seen, allowed: POSITION }).into()
}

fn list<'a>(spot: &Spot, value: &'a Value, allowed: &'static str) -> Result<&'a [Value], Stop> {
    match value {
        Value::Array(list) => Ok(list),
        other => Err(Fault::new(
            spot.clone(),
            Problem::NoGeometry { seen: format!("with {} for coordinates", seen(other)), allowed },
        )
        .into()),
    }
}

fn as_name(value: &Value) -> Option<String> {
    let raw = match value {
        Value::String(s) => s.clone(),
        Value::Number(n) => n.to_string(),
        _ => return None,
    };
    Some(text::name(&raw)).filter(|name| !name.is_empty())
}

/// `1 feature`, `2 features`.
fn counted(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

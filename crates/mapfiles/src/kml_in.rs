//! KML in: placemarks of OGC KML 2.2, in degrees.
//!
//! The file is read as it comes, element by element: what is not a place is passed over without being kept.

use std::collections::BTreeMap;

use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};
use serde_json::{Map, Value};

use crate::error::{Fault, MapFileError, Problem, Spot, short};
use crate::raw::{LonLat, RawFeature, RawFile, RawGeometry, on_globe};
use crate::{DEPTH_MAX, json_tally, text};

/// The name of Toft's own element among the extended data of a placemark.
pub(crate) const OWN_DATA: &str = "toft";

const TUPLE: &str =
    "longitude,latitude or longitude,latitude,altitude, with spaces only between vertices (OGC KML 2.2, 16.2)";
const GEOMETRIES: &str = "Point, LineString, LinearRing, Polygon or MultiGeometry (OGC KML 2.2, clause 10)";

/// Elements that show something, but no place Toft draws.
const LEFT_OUT: [&str; 9] =
    ["GroundOverlay", "ScreenOverlay", "PhotoOverlay", "NetworkLink", "Model", "Track", "MultiTrack", "Tour", "Style"];

pub(crate) fn read(text: &str) -> Result<RawFile, MapFileError> {
    let mut xml = Reader::from_str(text);
    let mut kml = Placemarks::default();
    loop {
        let line = |at: u64| text::line_of(text.as_bytes(), usize::try_from(at).unwrap_or(usize::MAX));
        let event = xml.read_event();
        let at = xml.buffer_position();
        let refused = |message: String| MapFileError::NotXml { line: line(at), message };
        match event.map_err(|e| refused(e.to_string()))? {
            Event::Start(start) => {
                kml.open(&start, || line(at))?;
            }
            Event::Empty(start) => {
                kml.open(&start, || line(at))?;
                kml.close()?;
            }
            Event::End(_) => kml.close()?,
            Event::Text(part) => {
                kml.text.push_str(&part.xml_content(XmlVersion::Implicit1_0).map_err(|e| refused(e.to_string()))?)
            }
            Event::CData(part) => kml.text.push_str(&part.decode().map_err(|e| refused(e.to_string()))?),
            Event::GeneralRef(name) => {
                let letter = name.resolve_char_ref().map_err(|e| refused(e.to_string()))?;
                let known = name
                    .decode()
                    .ok()
                    .and_then(|n| quick_xml::escape::resolve_predefined_entity(&n).map(str::to_owned));
                match (letter, known) {
                    (Some(letter), _) => kml.text.push(letter),
                    (None, Some(known)) => kml.text.push_str(&known),
                    (None, None) => return Err(refused("an entity that XML does not define".to_owned())),
                }
            }
            Event::DocType(_) => return Err(MapFileError::DocumentType { line: line(at) }),
            Event::Eof => match kml.path.last() {
                Some(open) => return Err(refused(format!("the file ends inside <{}>", short(open)))),
                None => break,
            },
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
        }
    }
    kml.finish()
}

/// A placemark on its way in.
#[derive(Default)]
struct Open {
    depth: usize,
    name: String,
    own: Option<String>,
    geometries: Vec<RawGeometry>,
    polygon: Option<Vec<Vec<LonLat>>>,
    fault: Option<Box<Fault>>,
    /// Elements of geometries met, known or not.
    met: usize,
}

#[derive(Default)]
struct Placemarks {
    file: RawFile,
    /// Names of the elements that are open.
    path: Vec<String>,
    text: String,
    root_seen: bool,
    placemarks: usize,
    open: Option<Open>,
    /// Whether the data element that is open is Toft's own.
    in_own: bool,
    left_out: BTreeMap<&'static str, usize>,
    without: usize,
}

impl Placemarks {
    fn open(&mut self, start: &BytesStart<'_>, line: impl Fn() -> usize) -> Result<(), MapFileError> {
        let element = String::from_utf8_lossy(start.local_name().as_ref()).into_owned();
        if !self.root_seen && element != "kml" {
            return Err(MapFileError::NotKml { seen: format!("<{}>", short(&element)) });
        }
        self.root_seen = true;
        if self.path.len() >= DEPTH_MAX {
            return Err(MapFileError::TooDeep { line: line(), element: short(&element) });
        }
        self.text.clear();
        if let Some(known) = LEFT_OUT.iter().find(|&&known| known == element) {
            *self.left_out.entry(known).or_default() += 1;
        }
        match (element.as_str(), &mut self.open) {
            ("Placemark", None) => {
                self.placemarks += 1;
                self.open = Some(Open { depth: self.path.len(), ..Open::default() });
            }
            ("Polygon", Some(open)) => open.polygon = Some(Vec::new()),
            ("Data", Some(_)) => {
                let name = start.try_get_attribute("name").ok().flatten();
                self.in_own = name.is_some_and(|a| a.value.as_ref() == OWN_DATA.as_bytes());
            }
            _ => {}
        }
        self.path.push(element);
        Ok(())
    }

    fn close(&mut self) -> Result<(), MapFileError> {
        let Some(element) = self.path.pop() else { return Ok(()) };
        let parent = self.path.last().map_or("", String::as_str);
        let text = std::mem::take(&mut self.text);
        let Some(open) = &mut self.open else { return Ok(()) };
        match element.as_str() {
            "name" if parent == "Placemark" => open.name = text::name(&text),
            "value" if parent == "Data" && self.in_own => open.own = Some(text),
            "Data" => self.in_own = false,
            "coordinates" => {
                let parent = parent.to_owned();
                self.coordinates(&parent, &text)?;
            }
            "Polygon" => {
                if let Some(rings) = open.polygon.take() {
                    open.met += 1;
                    open.geometries.push(RawGeometry::Polygon(rings));
                    self.file.count_shape()?;
                }
            }
            "Placemark" if open.depth == self.path.len() => self.placemark(),
            _ => {}
        }
        Ok(())
    }

    fn spot(&self) -> Spot {
        Spot::new(self.placemarks, self.open.as_ref().map_or("", |open| &open.name))
    }

    /// The vertices of a point, a line or a ring.
    fn coordinates(&mut self, parent: &str, text: &str) -> Result<(), MapFileError> {
        let mut spot = self.spot();
        let Some(open) = &self.open else { return Ok(()) };
        if let Some(rings) = &open.polygon {
            let pieces = open.geometries.iter().filter(|g| matches!(g, RawGeometry::Polygon(_))).count();
            spot = spot.ring(pieces, rings.len());
        }
        let mut places = Vec::new();
        let mut fault = None;
        for (i, tuple) in text.split_ascii_whitespace().enumerate() {
            self.file.count_vertex()?;
            match vertex(&spot.vertex(i), tuple) {
                Ok((place, height)) => {
                    places.push(place);
                    self.file.heights += usize::from(height != 0.0);
                }
                Err(found) => {
                    fault = Some(found);
                    break;
                }
            }
        }
        let Some(open) = &mut self.open else { return Ok(()) };
        open.met += 1;
        if open.fault.is_none() {
            open.fault = fault;
        }
        let geometry = match (parent, &mut open.polygon) {
            ("LinearRing", Some(rings)) => {
                rings.push(places);
                return Ok(());
            }
            ("LinearRing", None) => RawGeometry::Polygon(vec![places]),
            ("LineString", _) => RawGeometry::Line(places),
            ("Point", _) => match places.as_slice() {
                [place] => RawGeometry::Point(*place),
                _ => {
                    let seen = format!("a Point of {} vertices", places.len());
                    let fault = Fault::new(spot, Problem::NoGeometry { seen, allowed: "a Point of one vertex" });
                    open.fault.get_or_insert(fault);
                    return Ok(());
                }
            },
            _ => {
                let seen = format!("<{}>", short(parent));
                open.fault.get_or_insert(Fault::new(spot, Problem::NoGeometry { seen, allowed: GEOMETRIES }));
                return Ok(());
            }
        };
        open.geometries.push(geometry);
        self.file.count_shape()
    }

    fn placemark(&mut self) {
        let spot = self.spot();
        let Some(open) = self.open.take() else { return };
        if let Some(fault) = open.fault {
            // The name may stand after the geometry.
            self.file.faults.add(*Fault::new(Spot { name: spot.name, ..fault.spot }, fault.problem));
        } else if open.geometries.is_empty() {
            self.without += 1;
        } else {
            let properties = self.own_properties(&spot, open.own.as_deref());
            self.file.features.push(RawFeature { spot, name: open.name, properties, geometries: open.geometries });
        }
    }

    fn own_properties(&mut self, spot: &Spot, own: Option<&str>) -> Map<String, Value> {
        let Some(own) = own else { return Map::new() };
        let counted = json_tally::count(own).map_err(|e| e.to_string());
        counted.and_then(|()| serde_json::from_str(own).map_err(|e| e.to_string())).unwrap_or_else(|e| {
            self.file.problems.push(format!("{spot}: Toft’s own data cannot be read and is left out: {e}"));
            Map::new()
        })
    }

    fn finish(mut self) -> Result<RawFile, MapFileError> {
        if !self.root_seen {
            return Err(MapFileError::NotKml { seen: "missing".to_owned() });
        }
        for (element, count) in &self.left_out {
            self.file.problems.push(format!("{count} × <{element}>: left out; Toft takes areas, lines and points"));
        }
        if self.without > 0 {
            let plural = if self.without == 1 { "" } else { "s" };
            self.file
                .problems
                .push(format!("{} placemark{plural} without area, line or point: left out", self.without));
        }
        Ok(self.file)
    }
}

/// Longitude, latitude and height of one tuple.
fn vertex(spot: &Spot, tuple: &str) -> Result<(LonLat, f64), Box<Fault>> {
    let no_vertex =
        || Fault::new(spot.clone(), Problem::NoVertex { seen: format!("“{}”", short(tuple)), allowed: TUPLE });
    let numbers: Result<Vec<f64>, _> = tuple.split(',').take(4).map(str::parse).collect();
    let numbers = numbers.map_err(|_| no_vertex())?;
    let (place, height) = match numbers[..] {
        [longitude, latitude] => ([longitude, latitude], 0.0),
        [longitude, latitude, height] => ([longitude, latitude], height),
        _ => return Err(no_vertex()),
    };
    if !numbers.iter().all(|v| v.is_finite()) {
        return Err(no_vertex());
    }
    Ok((on_globe(spot, place)?, height))
}

#![doc = include_str!("../README.md")]

mod bows;
mod choice;
mod drawn;
mod error;
mod facts;
mod geojson_in;
mod geojson_out;
mod json_tally;
mod kml_in;
mod kml_out;
mod kmz;
mod placed;
mod raw;
mod text;

use yard::Yard;

pub use choice::{Choice, usual_choice};
pub use error::{FAULTS_SHOWN_MAX, Fault, Faults, MapFileError, Problem, Spot};
pub use facts::Facts;
pub use placed::{FileShape, Geometry, MapRead};

/// Most bytes a map file may have, packed or unpacked: 8 MiB.
pub const BYTES_MAX: usize = 8 * 1024 * 1024;
/// Most vertices a map file may have, the closing ones of rings counted.
pub const VERTICES_MAX: usize = 20_000;
/// Most shapes a map file may have.
pub const SHAPES_MAX: usize = 2_000;
/// Most JSON values (numbers, words, lists, objects) a GeoJSON file may have.
pub const JSON_VALUES_MAX: usize = 500_000;
/// Most elements of a KML file within each other.
pub const DEPTH_MAX: usize = 64;
/// Furthest a vertex may lie from the map's origin (km).
pub const DISTANCE_MAX_KM: f64 = 5.0;
/// How far the short sides that stand for an arc in a file lie from it at most (m).
pub const CHORD_TOLERANCE_M: f64 = 0.002;
/// How far the short sides of a file may lie from an arc to be taken back as that arc (m): [`CHORD_TOLERANCE_M`], and a
/// millimetre for what other programs round.
pub const ARC_SLACK_M: f64 = 0.003;

/// A file format.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MapFormat {
    /// GeoJSON, RFC 7946.
    GeoJson,
    /// KML 2.2, also packed as KMZ.
    Kml,
}

impl MapFormat {
    /// The format a file's name tells by its ending: `.geojson` or `.json`; `.kml` or `.kmz`.
    ///
    /// ```
    /// use mapfiles::MapFormat;
    ///
    /// assert_eq!(MapFormat::of_name("Garden.KMZ"), Some(MapFormat::Kml));
    /// assert_eq!(MapFormat::of_name("garden.png"), None);
    /// ```
    pub fn of_name(file_name: &str) -> Option<Self> {
        let (_, ending) = file_name.rsplit_once('.')?;
        match ending.to_ascii_lowercase().as_str() {
            "geojson" | "json" => Some(Self::GeoJson),
            "kml" | "kmz" => Some(Self::Kml),
            _ => None,
        }
    }

    /// The ending of a file that is written in it.
    pub fn ending(self) -> &'static str {
        match self {
            Self::GeoJson => "geojson",
            Self::Kml => "kml",
        }
    }

    /// Its media type: RFC 7946, section 12; OGC 07-147r2, annex C.
    pub fn media_type(self) -> &'static str {
        match self {
            Self::GeoJson => "application/geo+json",
            Self::Kml => "application/vnd.google-earth.kml+xml",
        }
    }
}

/// Writes every drawn area and every thing on the map.
///
/// A vertex is rounded to 9 decimals of a degree, 0.1 mm on the ground. Outer rings run anticlockwise and holes clockwise.
/// Arcs become short chords within [`CHORD_TOLERANCE_M`], and the property `bows` tells them: a list of `[piece, ring, first
/// vertex, last vertex, bow in m]`, counted from 0, ring 0 being the outer one. What the yard knows of an area or a thing goes
/// into the properties; in KML these are one JSON text, the extended data named `toft`.
///
/// # Errors
/// [`MapFileError::NoOrigin`], [`MapFileError::Origin`] or [`MapFileError::Drawing`].
///
/// # Source
/// H. Butler and others, *The GeoJSON Format*, RFC 7946, 2016; *OGC KML* 2.2.0, OGC 07-147r2, 2008.
///
/// # Examples
/// ```
/// use mapfiles::{MapFormat, write};
/// use yard::map::{Mapped, Origin, Thing};
/// use reckon::outline::Corner;
///
/// let mut yard = yard::Yard { origin: Some(Origin { latitude_deg: 45.0, longitude_deg: -93.1 }), ..Default::default() };
/// let at = vec![Corner::new(0.0, 0.0)];
/// yard.things.push(Mapped { key: "well".into(), name: "Well".into(), thing: Thing::Well, at, removed: false });
/// let text = write(MapFormat::GeoJson, &yard)?;
/// assert!(text.contains(r#""geometry":{"coordinates":[-93.1,45.0],"type":"Point"}"#), "{text}");
/// # Ok::<(), mapfiles::MapFileError>(())
/// ```
pub fn write(format: MapFormat, yard: &Yard) -> Result<String, MapFileError> {
    let drawn = drawn::drawn(yard)?;
    Ok(match format {
        MapFormat::GeoJson => geojson_out::text(&drawn),
        MapFormat::Kml => kml_out::text(&drawn, yard),
    })
}

/// Reads the shapes of a map file onto the yard's plane.
///
/// Where the yard's map has no origin yet and nothing is drawn, the file's middle becomes the origin; where something is drawn,
/// the yard's place is it.
///
/// # Errors
/// See [`MapFileError`] and [`Problem`]; the variants are the rules.
///
/// # Examples
/// ```
/// use mapfiles::{Geometry, MapFormat, read};
///
/// let file = br#"{"type": "Polygon", "coordinates":
///     [[[-93.1, 45.0], [-93.0999, 45.0], [-93.0999, 45.0001], [-93.1, 45.0]]]}"#;
/// let map = read(MapFormat::GeoJson, file, &yard::Yard::default())?;
/// assert!(map.origin_is_new);
/// assert!(matches!(&map.shapes[0].geometry, Geometry::Ground(pieces) if pieces[0].ring.len() == 3));
/// assert!((map.shapes[0].area_m2.unwrap_or_default() - 43.8).abs() < 0.1);
/// # Ok::<(), mapfiles::MapFileError>(())
/// ```
pub fn read(format: MapFormat, bytes: &[u8], yard: &Yard) -> Result<MapRead, MapFileError> {
    if bytes.len() > BYTES_MAX {
        return Err(MapFileError::TooLarge { what: "file" });
    }
    let raw = match format {
        MapFormat::GeoJson => geojson_in::read(text::utf8(bytes)?)?,
        MapFormat::Kml if kmz::is_zip(bytes) => kml_in::read(text::utf8(&kmz::unpacked(bytes)?)?)?,
        MapFormat::Kml => kml_in::read(text::utf8(bytes)?)?,
    };
    placed::place(raw, yard)
}

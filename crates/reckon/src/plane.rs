//! A yard's own plane: metres east and north of a point on the globe.

use std::fmt;

use proj4rs::proj::Proj;
use proj4rs::transform::transform;

use crate::error::{Bound, ReckonError};
use crate::polygon::{LATITUDE_DEG, LONGITUDE_DEG};
use crate::units::Degrees;

/// Latitude of a plane's origin: nearer to a pole, east and north turn within a yard.
pub const ORIGIN_LATITUDE_DEG: Bound =
    Bound::new("latitude_deg", -84.0, 84.0, "°", "latitude of the plane's origin, north positive");
/// Longitude of a plane's origin.
pub const ORIGIN_LONGITUDE_DEG: Bound =
    Bound::new("longitude_deg", -180.0, 180.0, "°", "longitude of the plane's origin, east positive");
/// Furthest a point may be from the origin (m).
pub const REACH_M: f64 = 50_000.0;

/// A plane that touches the WGS 84 ellipsoid along the meridian of its origin.
///
/// The transverse Mercator projection with the origin's meridian and latitude, scale 1 there. Lengths grow by
/// `x² / (2 R²)` to the east and west: 3 parts in a million at 15 km, none worth naming in a yard.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | longitude | east positive | ° | -180 ..= 180 |
/// | latitude | north positive | ° | origin -84 ..= 84, points -90 ..= 90 |
/// | `x`, `y` | east and north of the origin | m | within 50,000 of it |
///
/// # Source
/// J. P. Snyder, *Map Projections, a Working Manual*, USGS Professional Paper 1395, 1987, chapter 8, for the projection;
/// K. Poder and K. Engsager's series as PROJ computes it, for the digits.
///
/// # Examples
/// A minute of arc along the meridian at 45° N, by the series for its length: 1,852.20 m, near the nautical mile.
/// ```
/// use reckon::plane::Plane;
/// use reckon::units::Degrees;
///
/// let plane = Plane::at(Degrees::new(-93.1), Degrees::new(45.0))?;
/// let [x, y] = plane.to_plane(-93.1, 45.0 + 1.0 / 60.0)?;
/// assert!(x.abs() < 1e-6 && (y - 1_852.20).abs() < 0.005);
/// let [longitude, latitude] = plane.to_globe([x, y])?;
/// assert!((longitude + 93.1).abs() < 1e-12 && (latitude - 45.0 - 1.0 / 60.0).abs() < 1e-12);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
#[derive(Clone)]
pub struct Plane {
    origin: [f64; 2],
    globe: Proj,
    plane: Proj,
}

impl fmt::Debug for Plane {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Plane").field("origin", &self.origin).finish_non_exhaustive()
    }
}

impl Plane {
    /// The plane whose origin is a point on the globe.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming `longitude_deg` or `latitude_deg`.
    pub fn at(longitude: Degrees, latitude: Degrees) -> Result<Self, ReckonError> {
        let longitude = ORIGIN_LONGITUDE_DEG.check(longitude.get())?;
        let latitude = ORIGIN_LATITUDE_DEG.check(latitude.get())?;
        let made = |text: &str| {
            Proj::from_proj_string(text).map_err(|e| ReckonError::Inconsistent {
                field: "latitude_deg",
                message: format!("no plane at {latitude}°, {longitude}°: {e}"),
            })
        };
        Ok(Self {
            origin: [longitude, latitude],
            globe: made("+proj=longlat +datum=WGS84 +no_defs")?,
            plane: made(&format!(
                "+proj=tmerc +lat_0={latitude:?} +lon_0={longitude:?} +k=1 +x_0=0 +y_0=0 +datum=WGS84 +units=m +no_defs"
            ))?,
        })
    }

    /// Longitude and latitude of the origin.
    pub fn origin(&self) -> [Degrees; 2] {
        self.origin.map(Degrees::new)
    }

    /// Metres east and north of the origin of a point on the globe.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming `lonlat` for degrees that are none, [`ReckonError::Inconsistent`] for a point
    /// further than [`REACH_M`].
    pub fn to_plane(&self, longitude_deg: f64, latitude_deg: f64) -> Result<[f64; 2], ReckonError> {
        let longitude = LONGITUDE_DEG.check(longitude_deg)?;
        let latitude = LATITUDE_DEG.check(latitude_deg)?;
        // Far from its meridian the projection folds: what is not within a few degrees is not looked at.
        let [longitude_0, latitude_0] = self.origin;
        let turn = (longitude - longitude_0).abs();
        let off_deg = turn.min(360.0 - turn);
        let near = |off_m: f64| off_m <= 1.1 * REACH_M;
        let metres_per_degree = 111_320.0;
        let narrow = latitude_0.abs().max(latitude.abs()).to_radians().cos();
        let found = if near(off_deg * narrow * metres_per_degree) && near((latitude - latitude_0).abs() * 110_570.0) {
            self.turned(&self.globe, &self.plane, [longitude.to_radians(), latitude.to_radians()])
        } else {
            None
        };
        found.filter(|&[x, y]| x.hypot(y) <= REACH_M).ok_or_else(|| ReckonError::Inconsistent {
            field: "lonlat",
            message: format!(
                "{latitude}°, {longitude}° is further than {} km from the yard at {latitude_0}°, {longitude_0}°; look whether \
                 longitude and latitude have changed places",
                REACH_M / 1000.0
            ),
        })
    }

    /// Longitude and latitude (°) of a point on the plane.
    ///
    /// # Errors
    /// [`ReckonError::Inconsistent`] naming `corner` for a point further than [`REACH_M`] from the origin.
    pub fn to_globe(&self, at: [f64; 2]) -> Result<[f64; 2], ReckonError> {
        let [x, y] = at;
        let found = if x.hypot(y) <= REACH_M { self.turned(&self.plane, &self.globe, at) } else { None };
        let [longitude, latitude] = found.ok_or_else(|| ReckonError::Inconsistent {
            field: "corner",
            message: format!(
                "{x} m east and {y} m north is further than {} km from the plan's origin",
                REACH_M / 1000.0
            ),
        })?;
        let longitude = longitude.to_degrees();
        let whole = if longitude > 180.0 {
            longitude - 360.0
        } else if longitude < -180.0 {
            longitude + 360.0
        } else {
            longitude
        };
        Ok([whole, latitude.to_degrees()])
    }

    fn turned(&self, from: &Proj, to: &Proj, [x, y]: [f64; 2]) -> Option<[f64; 2]> {
        let mut point = (x, y, 0.0);
        transform(from, to, &mut point).ok()?;
        Some([point.0, point.1]).filter(|at| at.iter().all(|v| v.is_finite()))
    }
}

#[cfg(test)]
mod tests;

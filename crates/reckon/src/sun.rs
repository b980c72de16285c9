//! Where the sun stands, and how many hours of it reach a piece of ground behind houses, trees and hedges.

use rayon::prelude::*;

use crate::error::{Bound, ReckonError};
use crate::radiation::{LATITUDE, extraterrestrial_radiation};
use crate::units::{Degrees, Fraction, Hours, Metres};

/// Longitude, east positive.
pub const LONGITUDE: Bound = Bound::new("longitude_deg", -180.0, 180.0, "°", "longitude, east positive");
/// Year of an instant: the years the almanac's series is fitted to.
pub const YEAR: Bound = Bound::new("year", 1950.0, 2050.0, "", "year of the instant");
/// Day of the year of an instant, 1 January = 1.
pub const DAY_OF_YEAR: Bound = Bound::new("day_of_year", 1.0, 366.0, "", "day of the year, 1 January = 1");
/// Hour of an instant in universal time.
pub const HOUR_UTC: Bound = Bound::new("hour_utc", 0.0, 24.0, "h", "hour of the day in universal time");
/// A point or a corner of an obstacle, east or north of the plan's origin.
pub const PLACE_M: Bound = Bound::new("points", -100_000.0, 100_000.0, "m", "east or north of the plan's origin");
/// Height of an obstacle over the ground.
pub const HEIGHT_M: Bound = Bound::new("height_m", 0.0, 200.0, "m", "height of the obstacle over the ground");
/// Radius of a tree's crown.
pub const CROWN_RADIUS_M: Bound = Bound::new("radius_m", 0.05, 50.0, "m", "radius of the crown");

/// Most points.
pub const POINTS_MAX: usize = 20_000;
/// Most obstacles.
pub const OBSTACLES_MAX: usize = 500;
/// Most corners of all rings together.
pub const CORNERS_MAX: usize = 20_000;
/// Most pairs of a point and a corner or a crown that one computation may look at.
pub const LOOKS_MAX: usize = 20_000_000;

/// Day of the year that stands for each month: 17 January, 16 February, 16 March, 15 April, 15 May, 11 June, 17 July,
/// 16 August, 15 September, 15 October, 14 November, 10 December. On it the sun above the air gives what it gives on
/// the month's mean day (S. A. Klein, *Calculation of monthly average insolation on tilted surfaces*, Solar Energy 19,
/// 1977, as in J. A. Duffie and W. A. Beckman, *Solar engineering of thermal processes*, table 1.6.1).
pub const MEAN_DAYS: [u16; 12] = [17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344];

/// Share of the sun that a leafless crown lets through: leafless trees took nearly 40 % of the clear sky's radiation in
/// their shade, sugar maples in leaf about 80 % (G. M. Heisler, *Effects of individual trees on the solar radiation
/// climate of small buildings*, Urban Ecology 9, 1986, abstract).
pub const BARE_CROWN_PASSES: Fraction = Fraction::new(0.6);

/// Months without leaves north of the equator, January = 0: November to March (common practice for cool climates).
const BARE_NORTH: [bool; 12] = [true, true, true, false, false, false, false, false, false, false, true, true];
/// Months without leaves south of the equator: May to September (common practice for cool climates).
const BARE_SOUTH: [bool; 12] = [false, false, false, false, true, true, true, true, true, false, false, false];

/// Steps of a day: ten minutes, 2.5° of hour angle.
const STEPS: u16 = 144;

/// An instant in universal time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instant {
    /// The calendar year.
    pub year: u16,
    /// Day of the year, 1 January = 1.
    pub day_of_year: u16,
    /// Hours since midnight, universal time.
    pub hour_utc: Hours,
}

/// Where the sun's centre stands, as if there were no air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunPosition {
    /// Above the horizon; negative below it.
    pub elevation: Degrees,
    /// Bearing clockwise from north, 0 to 360.
    pub azimuth: Degrees,
}

/// Something that stands between the sun and the ground.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle {
    /// A building, a wall or a hedge: upright over its ring.
    Prism {
        /// Corners in order, `[east, north]` in metres; closing the ring is optional.
        ring_m: Vec<[f64; 2]>,
        /// Height over the ground.
        height: Metres,
    },
    /// The crown of a tree: an upright cylinder.
    Crown {
        /// `[east, north]` of the trunk in metres.
        centre_m: [f64; 2],
        /// Radius of the crown.
        radius: Metres,
        /// Height of the lowest branches over the ground.
        base: Metres,
        /// Height of the tree over the ground.
        top: Metres,
        /// Whether it keeps its leaves through the winter.
        evergreen: bool,
    },
}

/// Points on the ground and what shades them.
#[derive(Clone, Debug, PartialEq)]
pub struct SunHoursInput {
    /// North positive; the same for the whole plan.
    pub latitude: Degrees,
    /// `[east, north]` of each point in metres; north is true north.
    pub points_m: Vec<[f64; 2]>,
    /// What shades them.
    pub obstacles: Vec<Obstacle>,
}

/// Hours of sun by month.
#[derive(Clone, Debug, PartialEq)]
pub struct SunHoursMap {
    /// Hours at each point, in the order of the points; January first.
    pub hours: Vec<[f64; 12]>,
    /// Hours at a point with nothing in the way: the day length.
    pub open: [f64; 12],
}

/// Where the sun stands at an instant, to about 0.01°.
///
/// With `n = JD − 2451545`, the days since noon of 1 January 2000: mean longitude `L = 280.460 + 0.9856474 n`, mean
/// anomaly `g = 357.528 + 0.9856003 n`, ecliptic longitude `l = L + 1.915 sin g + 0.020 sin 2g`, obliquity `ε = 23.439
/// − 0.0000004 n` (all °); `tan α = cos ε tan l`, `sin δ = sin ε sin l`; sidereal time at Greenwich `6.697375 +
/// 0.0657098242 n + t` h; with the hour angle `ω` of that and the longitude less `α`: `sin e = sin φ sin δ + cos φ cos
/// δ cos ω`, and the azimuth from the sun's east and north parts.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `φ` | latitude, north positive | ° | −90 ..= 90 |
/// | longitude | east positive | ° | −180 ..= 180 |
/// | year | | – | 1950 ..= 2050 |
/// | day | day of the year, 1 January = 1 | – | 1 ..= 366 |
/// | `t` | universal time | h | 0 ..= 24 |
///
/// Left out: refraction, which lifts the sun by 0.5° at the horizon and by less than 0.02° above 45°; parallax
/// (0.002°); the difference between universal and dynamic time. The published azimuth by arc sine loses its quadrant in
/// places; here it is taken from both parts.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `latitude_deg`, `longitude_deg`, `year`, `day_of_year` or `hour_utc`.
///
/// # Source
/// J. J. Michalsky, *The Astronomical Almanac's algorithm for approximate solar position (1950–2050)*, Solar Energy 40,
/// 1988.
///
/// # Examples
/// The worked example of I. Reda and A. Andreas, *Solar position algorithm for solar radiation applications*,
/// NREL/TP-560-34302, 2008, appendix A.5: 17 October 2003, 12:30:30 at seven hours west of Greenwich: elevation without
/// refraction 39.872°, azimuth 194.340°.
/// ```
/// use reckon::sun::{Instant, solar_position};
/// use reckon::units::{Degrees, Hours};
///
/// let at = Instant { year: 2003, day_of_year: 290, hour_utc: Hours::new(19.0 + 30.5 / 60.0) };
/// let sun = solar_position(Degrees::new(39.742476), Degrees::new(-105.1786), at)?;
/// assert!((sun.elevation.get() - 39.872).abs() < 0.02);
/// assert!((sun.azimuth.get() - 194.340).abs() < 0.02);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn solar_position(latitude: Degrees, longitude: Degrees, at: Instant) -> Result<SunPosition, ReckonError> {
    let latitude = LATITUDE.check(latitude.get())?.to_radians();
    let longitude = LONGITUDE.check(longitude.get())?;
    let years = YEAR.check(f64::from(at.year))? - 1949.0;
    let day = DAY_OF_YEAR.check(f64::from(at.day_of_year))?;
    let hour = HOUR_UTC.check(at.hour_utc.get())?;

    let julian_day = 2_432_916.5 + 365.0 * years + (years / 4.0).floor() + day + hour / 24.0;
    let n = julian_day - 2_451_545.0;
    let anomaly = (357.528 + 0.985_600_3 * n).to_radians();
    let mean_longitude = 280.460 + 0.985_647_4 * n;
    let ecliptic = (mean_longitude + 1.915 * anomaly.sin() + 0.020 * (2.0 * anomaly).sin()).to_radians();
    let obliquity = (23.439 - 0.000_000_4 * n).to_radians();
    let right_ascension = (obliquity.cos() * ecliptic.sin()).atan2(ecliptic.cos());
    let declination = (obliquity.sin() * ecliptic.sin()).asin();
    let sidereal = 15.0 * (6.697_375 + 0.065_709_824_2 * n + hour) + longitude;
    let [east, north, up] = direction(latitude, declination, sidereal.to_radians() - right_ascension);
    Ok(SunPosition {
        elevation: Degrees::new(up.atan2(east.hypot(north)).to_degrees()),
        azimuth: Degrees::new(bearing(east, north).to_degrees()),
    })
}

/// Hours of direct sun on a cloudless day of each month at points on level ground.
///
/// On the month's mean day the sun runs through `sin e = sin φ sin δ + cos φ cos δ cos ω` from `ω = −ωs` to `ωs`, in
/// true solar time, so that no longitude is needed; each step of ten minutes counts where the sun at its middle is not
/// hidden (the steps at sunrise and sunset are cut short, so that open ground gets the day length). A prism of height
/// `h` hides it when the ray towards the sun meets the ring at a distance `d` with `d tan e < h`; a crown when the ray
/// is between its base and its top somewhere within its circle. A leafless crown lets 0.6 through, two behind each
/// other 0.6². In or on a prism's ring there is no sun.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `φ` | latitude, north positive | ° | −90 ..= 90 |
/// | `δ`, `ωs` | declination and sunset hour angle of [`MEAN_DAYS`] | rad | |
/// | `e` | elevation of the sun | ° | above 0 |
/// | points, corners | east and north of the plan's origin | m | −100,000 ..= 100,000 |
/// | `h`, base, top | heights over the ground; base below top | m | 0 ..= 200 |
/// | radius | of a crown | m | 0.05 ..= 50 |
///
/// Crowns that are not evergreen are bare from November to March, south of the equator from May to September.
///
/// Left out: clouds, light from the sky and from walls, refraction and the sun's width (some ten minutes a day), hills
/// and slopes, trunks, and gaps in a crown that is in leaf.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `latitude_deg`; [`ReckonError::Inconsistent`] naming `points` or `obstacles` and
/// the place in the list: more than 20,000 points, 500 obstacles or 20,000 corners, more than 20,000,000 pairs of a
/// point and a corner or crown, a figure out of range, a ring of fewer than three corners, a crown whose base is not
/// below its top.
///
/// # Source
/// The sun's path: FAO Irrigation and Drainage Paper 56 (1998), eq. 24 and 25, and J. A. Duffie and W. A. Beckman,
/// *Solar engineering of thermal processes*, eq. 1.6.5. The shadow of a prism: geometry.
///
/// # Examples
/// Two metres north of a long wall of 2 m at 45° N the sun of December, 22° high at noon, stays behind the wall all
/// day; that of June rises and sets north of the wall and is 68° high at noon, so that nothing of the day is lost.
/// ```
/// use reckon::sun::{Obstacle, SunHoursInput, sun_hours};
/// use reckon::units::{Degrees, Metres};
///
/// let wall = vec![[-500.0, -0.1], [500.0, -0.1], [500.0, 0.0], [-500.0, 0.0]];
/// let found = sun_hours(&SunHoursInput {
///     latitude: Degrees::new(45.0),
///     points_m: vec![[0.0, 2.0]],
///     obstacles: vec![Obstacle::Prism { ring_m: wall, height: Metres::new(2.0) }],
/// })?;
/// let [december, june] = [11, 5].map(|month| (found.hours[0][month], found.open[month]));
/// assert_eq!(december.0, 0.0);
/// assert_eq!(june.0, june.1);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn sun_hours(input: &SunHoursInput) -> Result<SunHoursMap, ReckonError> {
    let sky = Sky::new(input.latitude)?;
    shade::check(input)?;
    let obstacles = shade::Obstacles::new(&input.obstacles);
    let hours = input
        .points_m
        .par_iter()
        .map_init(Vec::new, |light, &point| {
            light.clear();
            light.resize(sky.steps.len(), 1.0);
            obstacles.shade(point, &sky, light);
            sky.hours(light)
        })
        .collect();
    Ok(SunHoursMap { hours, open: sky.hours(&vec![1.0; sky.steps.len()]) })
}

/// The middle of each step with the sun up, of all months, by bearing.
struct Sky {
    steps: Vec<Step>,
    /// Share of the sun through a crown that sheds its leaves, by month.
    deciduous: [f64; 12],
}

struct Step {
    /// Bearing of the sun, radians from 0 to 2π.
    bearing: f64,
    /// Towards the sun on the ground, a unit vector.
    towards: [f64; 2],
    /// Rise of the ray a metre of ground.
    rise: f64,
    hours: f64,
    month: usize,
}

impl Sky {
    fn new(latitude: Degrees) -> Result<Self, ReckonError> {
        let phi = LATITUDE.check(latitude.get())?.to_radians();
        let mut steps = Vec::new();
        for (month, day) in MEAN_DAYS.into_iter().enumerate() {
            let sun = extraterrestrial_radiation(latitude, day)?;
            let sunset = sun.sunset_angle_rad;
            let lattice = |k: u16| (f64::from(k) / f64::from(STEPS) * 2.0 - 1.0) * std::f64::consts::PI;
            for step in 0..STEPS {
                let (from, to) = (lattice(step).max(-sunset), lattice(step + 1).min(sunset));
                if from < to {
                    let [east, north, up] = direction(phi, sun.declination_rad, (from + to) / 2.0);
                    // At the zenith any direction on the ground will do.
                    let ground = east.hypot(north).max(1e-12);
                    steps.push(Step {
                        bearing: bearing(east, north),
                        towards: [east / ground, north / ground],
                        rise: up.max(0.0) / ground,
                        hours: (to - from).to_degrees() / 15.0,
                        month,
                    });
                }
            }
        }
        steps.sort_by(|a, b| a.bearing.total_cmp(&b.bearing));
        let bare = if latitude.get() < 0.0 { BARE_SOUTH } else { BARE_NORTH };
        Ok(Self { steps, deciduous: bare.map(|bare| if bare { BARE_CROWN_PASSES.get() } else { 0.0 }) })
    }

    fn hours(&self, light: &[f64]) -> [f64; 12] {
        let mut hours = [0.0; 12];
        for (step, light) in self.steps.iter().zip(light) {
            hours[step.month] += step.hours * light;
        }
        hours
    }
}

/// Towards the sun: east, north and up, a unit vector. Radians.
fn direction(latitude: f64, declination: f64, hour_angle: f64) -> [f64; 3] {
    let ((sin_phi, cos_phi), (sin_delta, cos_delta)) = (latitude.sin_cos(), declination.sin_cos());
    let (sin_omega, cos_omega) = hour_angle.sin_cos();
    [
        -cos_delta * sin_omega,
        cos_phi * sin_delta - sin_phi * cos_delta * cos_omega,
        sin_phi * sin_delta + cos_phi * cos_delta * cos_omega,
    ]
}

/// Clockwise from north, radians from 0 to 2π.
fn bearing(east: f64, north: f64) -> f64 {
    let bearing = east.atan2(north);
    if bearing < 0.0 { bearing + std::f64::consts::TAU } else { bearing }
}

mod shade;
#[cfg(test)]
mod tests;

use proptest::prelude::*;
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};

use super::*;

fn prism(ring_m: Vec<[f64; 2]>, height: f64) -> Obstacle {
    Obstacle::Prism { ring_m, height: Metres::new(height) }
}

fn rectangle(west: f64, south: f64, east: f64, north: f64) -> Vec<[f64; 2]> {
    vec![[west, south], [east, south], [east, north], [west, north]]
}

fn crown(centre_m: [f64; 2], radius: f64, base: f64, top: f64, evergreen: bool) -> Obstacle {
    let [radius, base, top] = [radius, base, top].map(Metres::new);
    Obstacle::Crown { centre_m, radius, base, top, evergreen }
}

fn hours(latitude: f64, points_m: Vec<[f64; 2]>, obstacles: Vec<Obstacle>) -> SunHoursMap {
    sun_hours(&SunHoursInput { latitude: Degrees::new(latitude), points_m, obstacles }).unwrap()
}

/// The difference of two bearings in degrees, without its sign.
fn turn(a: f64, b: f64) -> f64 {
    ((a - b + 540.0).rem_euclid(360.0) - 180.0).abs()
}

/// The worked example of NREL/TP-560-34302 (2008), appendix A.5: elevation without refraction 39.872046°, azimuth
/// 194.340241°. Michalsky claims 0.01°.
#[test]
fn the_published_example() {
    let at = Instant { year: 2003, day_of_year: 290, hour_utc: Hours::new(19.0 + 30.5 / 60.0) };
    let sun = solar_position(Degrees::new(39.742_476), Degrees::new(-105.178_6), at).unwrap();
    assert!((sun.elevation.get() - 39.872_046).abs() < 0.01, "{sun:?}");
    assert!((sun.azimuth.get() - 194.340_241).abs() < 0.01, "{sun:?}");
}

proptest! {
    #![proptest_config(crate::cases(20_000))]

    /// Against the NREL algorithm (good to 0.0003°) in the crate `solar-positioning`, without air, dynamic time 64 s
    /// ahead: 0.01° of Michalsky, 0.0025° of parallax and 0.003° for dynamic time. The azimuth is held by its arc on
    /// the sky.
    #[test]
    fn agrees_with_the_nrel_algorithm(
        latitude in -90.0..=90.0_f64, longitude in -180.0..=180.0_f64, year in 1950_u16..=2050, day in 1_u16..=365,
        hour in 0.0..24.0_f64,
    ) {
        let at = Instant { year, day_of_year: day, hour_utc: Hours::new(hour) };
        let ours = solar_position(Degrees::new(latitude), Degrees::new(longitude), at).unwrap();
        let january = JulianDate::from_utc(i32::from(year), 1, 1, 0, 0, 0.0, 64.0).unwrap();
        let date = january.julian_date() + f64::from(day - 1) + hour / 24.0;
        let date = JulianDate::new(date, 64.0).unwrap();
        let theirs = SolarPositions::new().at_from_julian(date, Location { latitude, longitude }, 0.0, None).unwrap();
        prop_assert!((ours.elevation.get() - theirs.elevation_angle()).abs() < 0.02, "{:?} {:?}", ours, theirs);
        let aside = turn(ours.azimuth.get(), theirs.azimuth()) * ours.elevation.get().to_radians().cos();
        prop_assert!(aside < 0.02, "{:?} {:?}", ours, theirs);
    }
}

/// Duffie and Beckman's table 1.6.1: the declination on each mean day (from memory; by Cooper's sine of 23.45°, from
/// which FAO-56's rounded one differs by up to 0.12°, and printed to 0.1°).
#[test]
fn the_mean_days_have_the_printed_declinations() {
    let printed = [-20.9, -13.0, -2.4, 9.4, 18.8, 23.1, 21.2, 13.5, 2.2, -9.6, -18.9, -23.0];
    for (day, declination) in MEAN_DAYS.into_iter().zip(printed) {
        let sun = extraterrestrial_radiation(Degrees::new(45.0), day).unwrap();
        assert!((sun.declination_rad.to_degrees() - declination).abs() < 0.12 + 0.05, "{day}");
    }
}

/// Open ground gets the day length of FAO-56 eq. 34, from pole to pole, polar night and midnight sun included.
#[test]
fn open_ground_has_the_day_length() {
    for latitude in (-90..=90).step_by(5).map(f64::from) {
        let found = hours(latitude, vec![[0.0, 0.0]], vec![]);
        assert_eq!(found.hours[0], found.open);
        for (hours, day) in found.open.into_iter().zip(MEAN_DAYS) {
            let sun = extraterrestrial_radiation(Degrees::new(latitude), day).unwrap();
            assert!((hours - sun.daylight.get()).abs() < 1e-9, "{latitude} {day}");
        }
    }
}

/// A sky with the sun at one place.
fn one_sun(latitude: f64, declination: f64, hour_angle: f64) -> Sky {
    let [east, north, up] = direction(latitude.to_radians(), declination.to_radians(), hour_angle.to_radians());
    let ground = east.hypot(north);
    let towards = [east / ground, north / ground];
    let step = Step { bearing: bearing(east, north), towards, rise: up / ground, hours: 1.0, month: 0 };
    Sky { steps: vec![step], deciduous: [BARE_CROWN_PASSES.get(); 12] }
}

fn light(sky: &Sky, obstacle: &Obstacle, point: [f64; 2]) -> f64 {
    let mut light = [1.0];
    shade::Obstacles::new(std::slice::from_ref(obstacle)).shade(point, sky, &mut light);
    light[0]
}

/// A published exercise: a straight wall of height `h` runs at the angle `θ` from the south towards the west; at true
/// noon of an equinox its shadow is `h tan φ sin θ` wide. (A textbook problem of practical astronomy with its printed
/// solution.)
#[test]
fn width_of_the_shadow_at_an_equinox_noon() {
    for (latitude, theta, height) in [(55.75, 90.0, 3.0), (55.75, 45.0, 3.0), (40.0, 30.0, 1.8), (10.0, 60.0, 5.0)] {
        let sky = one_sun(latitude, 0.0, 0.0);
        let (along_east, along_south) = f64::sin_cos(f64::to_radians(theta));
        // Along the wall towards the south-west, and across it towards the north.
        let along = [-along_east, -along_south];
        let across = [-along_south, along_east];
        let at = |l: f64, w: f64| [l * along[0] + w * across[0], l * along[1] + w * across[1]];
        let wall = prism(vec![at(-900.0, 0.0), at(900.0, 0.0), at(900.0, -0.01), at(-900.0, -0.01)], height);
        let width = height * latitude.to_radians().tan() * theta.to_radians().sin();
        assert_eq!(light(&sky, &wall, at(0.0, width * 0.999)), 0.0, "{latitude} {theta}");
        assert_eq!(light(&sky, &wall, at(0.0, width * 1.001)), 1.0, "{latitude} {theta}");
        assert_eq!(light(&sky, &wall, at(0.0, -0.02)), 1.0);
    }
}

/// The length of a shadow is `h / tan e`, and it points away from the sun: a post at sun angles for which the tangent
/// is known.
#[test]
fn length_and_direction_of_a_shadow() {
    // At the equator on an equinox the sun goes straight up: 45° at three hours from noon, in the east in the morning.
    let post = prism(rectangle(-0.05, -0.05, 0.05, 0.05), 2.0);
    for (hour_angle, length, way) in [(-45.0, 2.0, -1.0), (45.0, 2.0, 1.0), (-60.0, 2.0 * 3.0_f64.sqrt(), -1.0)] {
        let sky = one_sun(0.0, 0.0, hour_angle);
        assert_eq!(light(&sky, &post, [way * (length - 0.05), 0.0]), 0.0);
        assert_eq!(light(&sky, &post, [way * (length + 0.06), 0.0]), 1.0);
        assert_eq!(light(&sky, &post, [-way, 0.0]), 1.0);
        assert_eq!(light(&sky, &post, [way, 0.06]), 1.0);
    }
}

/// Under a crown it is shady at noon; the sun comes in below the branches, and above the tree; bare it passes its
/// share.
#[test]
fn a_crown_hides_the_sun_between_its_base_and_its_top() {
    let tree = |evergreen| crown([0.0, 0.0], 3.0, 2.0, 8.0, evergreen);
    let sun = |hour_angle| one_sun(0.0, 0.0, hour_angle);
    // 45° in the east: branches 2 m up shade from 2 - 3 = -1 to 8 + 3 = 11 m west of the trunk.
    for (east, expected) in [(1.1, 1.0), (0.9, 0.0), (-5.0, 0.0), (-10.9, 0.0), (-11.1, 1.0)] {
        assert_eq!(light(&sun(-45.0), &tree(true), [east, 0.0]), expected, "{east}");
    }
    assert_eq!(light(&sun(-45.0), &tree(false), [-5.0, 0.0]), 0.6);
    // High sun, 89°: right under the crown, but not beside it.
    assert_eq!(light(&sun(-1.0), &tree(true), [0.0, 2.9]), 0.0);
    assert_eq!(light(&sun(-1.0), &tree(true), [0.0, 3.1]), 1.0);
    // A deciduous tree is bare in winter, which is June in the south; two bare crowns let 0.36 through.
    let ring = |latitude, both: bool| {
        let mut all = vec![crown([0.0, 0.0], 50.0, 0.0, 200.0, false)];
        all.extend(both.then(|| crown([0.0, 0.0], 50.0, 0.0, 200.0, false)));
        let found = hours(latitude, vec![[0.0, 0.0]], all);
        std::array::from_fn::<f64, 12, _>(|m| (found.hours[0][m] / found.open[m] * 1e6).round() / 1e6)
    };
    assert_eq!(ring(45.0, false), [0.6, 0.6, 0.6, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.6, 0.6]);
    assert_eq!(ring(-45.0, true), [0.0, 0.0, 0.0, 0.0, 0.36, 0.36, 0.36, 0.36, 0.36, 0.0, 0.0, 0.0]);
}

/// A wall without end south of a point, of height `h` at the distance `d`: while the sun rises and sets south of the
/// wall's line, it clears the wall when `up / south > h / d`, which is when it stands above a plane tilted away from
/// the equator by `β = arctan(h / d)`. Such a plane has the sun of level ground at the latitude `φ + β`, `cos ω >
/// -tan(φ + β) tan δ` (as Duffie and Beckman's eq. 1.8.11 has it at `φ - β` for a surface that faces the equator).
/// Within a step.
#[test]
fn a_wall_without_end_makes_another_latitude() {
    let (latitude, height) = (45.0_f64, 2.0);
    let wall = prism(rectangle(-90_000.0, -0.2, 90_000.0, 0.0), height);
    for distance in [1.0, 2.0, 3.0, 5.0, 10.0] {
        let found = hours(latitude, vec![[0.0, distance]], vec![wall.clone()]);
        let apparent = latitude.to_radians() + f64::atan(height / distance);
        for month in [0, 1, 2, 9, 10, 11] {
            let delta = extraterrestrial_radiation(Degrees::new(latitude), MEAN_DAYS[month]).unwrap().declination_rad;
            let cos_omega = -apparent.tan() * delta.tan();
            // Where the plane stands more than upright against the sun it never shows.
            let shown = apparent < std::f64::consts::FRAC_PI_2 && cos_omega < 1.0;
            let expected = if shown { cos_omega.acos().to_degrees() / 7.5 } else { 0.0 };
            let got = found.hours[0][month];
            assert!((got - expected).abs() <= 1.0 / 6.0 + 1e-9, "{distance} {month}: {got} {expected}");
        }
    }
}

/// East and west of a square block are mirrored: the morning of one is the afternoon of the other, and both lose about
/// half the day close to it.
#[test]
fn morning_and_afternoon_are_alike() {
    let block = || vec![prism(rectangle(-5.0, -50.0, 5.0, 50.0), 30.0)];
    let found = hours(50.0, vec![[-6.0, 0.0], [6.0, 0.0]], block());
    for month in 0..12 {
        let [west, east] = [0, 1].map(|i| found.hours[i][month]);
        assert!((west - east).abs() < 1e-9);
        assert!((west / found.open[month] - 0.5).abs() < 0.1, "{month}: {west}");
    }
}

/// In or on a ring there is no sun; a hedge of no height shades nothing.
#[test]
fn inside_a_building_there_is_no_sun() {
    let house = rectangle(0.0, 0.0, 10.0, 8.0);
    let points = vec![[5.0, 4.0], [0.0, 4.0], [10.0, 8.0], [500.0, 4.0]];
    let found = hours(45.0, points.clone(), vec![prism(house.clone(), 6.0)]);
    assert!(found.hours[..3].iter().all(|hours| *hours == [0.0; 12]));
    assert!((found.hours[3][5] - found.open[5]).abs() < 0.5);
    let found = hours(45.0, points, vec![prism(house, 0.0)]);
    assert!(found.hours.iter().all(|hours| *hours == found.open));
}

#[test]
fn limits_and_refusals_name_the_field() {
    let good = SunHoursInput {
        latitude: Degrees::new(45.0),
        points_m: vec![[0.0, 0.0]],
        obstacles: vec![prism(rectangle(0.0, 5.0, 1.0, 6.0), 3.0), crown([9.0, 9.0], 2.0, 1.0, 5.0, true)],
    };
    assert!(sun_hours(&good).is_ok());
    let refuse = |change: &dyn Fn(&mut SunHoursInput), start: &str| {
        let mut bad = good.clone();
        change(&mut bad);
        let message = sun_hours(&bad).unwrap_err().to_string();
        assert!(message.starts_with(start), "{message}");
    };
    refuse(&|i| i.latitude = Degrees::new(91.0), "latitude_deg is 91");
    refuse(&|i| i.points_m = vec![[0.0, 0.0]; POINTS_MAX + 1], "points: 20001");
    refuse(&|i| i.points_m.push([0.0, f64::NAN]), "points: points[1]");
    refuse(&|i| i.obstacles = vec![i.obstacles[1].clone(); OBSTACLES_MAX + 1], "obstacles: 501");
    refuse(&|i| i.obstacles[0] = prism(vec![[0.0, 0.0]; 2], 1.0), "obstacles: obstacles[0] has 2 corners");
    refuse(&|i| i.obstacles[0] = prism(vec![[0.0, 1e6]; 3], 1.0), "obstacles: obstacles[0].ring[0]");
    refuse(&|i| i.obstacles[0] = prism(rectangle(0.0, 0.0, 1.0, 1.0), -1.0), "obstacles: obstacles[0].height_m");
    refuse(&|i| i.obstacles[0] = prism(vec![[0.0, 0.0]; CORNERS_MAX + 1], 1.0), "obstacles: 20001 corners");
    refuse(&|i| i.obstacles[1] = crown([0.0, f64::INFINITY], 2.0, 1.0, 5.0, true), "obstacles: obstacles[1].centre");
    refuse(&|i| i.obstacles[1] = crown([0.0, 0.0], 0.0, 1.0, 5.0, true), "obstacles: obstacles[1].radius_m");
    refuse(&|i| i.obstacles[1] = crown([0.0, 0.0], 2.0, 1.0, 201.0, true), "obstacles: obstacles[1].top_m");
    refuse(&|i| i.obstacles[1] = crown([0.0, 0.0], 2.0, 5.0, 5.0, true), "obstacles: obstacles[1].base_m");
    let crowded = |points: usize| {
        let ring = vec![[50.0, 50.0]; 1_000];
        let input =
            SunHoursInput { points_m: vec![[0.0, 0.0]; points], obstacles: vec![prism(ring, 3.0)], ..good.clone() };
        sun_hours(&input).map(|found| found.hours.len())
    };
    assert_eq!(crowded(POINTS_MAX), Ok(POINTS_MAX));
    refuse(
        &|i| {
            i.points_m = vec![[0.0, 0.0]; POINTS_MAX];
            i.obstacles.push(prism(vec![[50.0, 50.0]; 996], 3.0));
        },
        "points: 20000 points and 1001 corners and crowns",
    );
    let position = |latitude, longitude, year, day, hour| {
        let at = Instant { year, day_of_year: day, hour_utc: Hours::new(hour) };
        solar_position(Degrees::new(latitude), Degrees::new(longitude), at).map_err(|e| e.field())
    };
    assert!(position(90.0, -180.0, 1950, 1, 0.0).is_ok() && position(-90.0, 180.0, 2050, 366, 24.0).is_ok());
    assert_eq!(position(90.1, 0.0, 2000, 1, 0.0), Err("latitude_deg"));
    assert_eq!(position(0.0, 180.1, 2000, 1, 0.0), Err("longitude_deg"));
    assert_eq!(position(0.0, 0.0, 1949, 1, 0.0), Err("year"));
    assert_eq!(position(0.0, 0.0, 2000, 367, 0.0), Err("day_of_year"));
    assert_eq!(position(0.0, 0.0, 2000, 1, f64::NAN), Err("hour_utc"));
}

fn any_obstacle() -> impl Strategy<Value = Obstacle> {
    let place = || [-30.0..30.0_f64, -30.0..30.0_f64];
    prop_oneof![
        (prop::collection::vec(place(), 3..7), 0.0..12.0_f64).prop_map(|(ring, height)| prism(ring, height)),
        (place(), 0.1..6.0_f64, 0.0..4.0_f64, 0.1..15.0_f64, any::<bool>())
            .prop_map(|(centre, radius, base, over, evergreen)| crown(centre, radius, base, base + over, evergreen)),
    ]
}

/// Whether the sun of a step is hidden, by walking along the ray in small steps: no sectors, no crossings.
fn walked(step: &Step, obstacle: &Obstacle, point: [f64; 2], margin: f64) -> bool {
    let inside = |ring: &[[f64; 2]], [x, y]: [f64; 2]| {
        let mut odd = false;
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            if (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) {
                odd = !odd;
            }
        }
        odd
    };
    (0..20_000).any(|k| {
        let d = f64::from(k) * 0.005;
        let at = [point[0] + d * step.towards[0], point[1] + d * step.towards[1]];
        let up = d * step.rise;
        match obstacle {
            Obstacle::Prism { ring_m, height } => up < height.get() + margin && inside(ring_m, at),
            Obstacle::Crown { centre_m, radius, base, top, .. } => {
                let from = f64::hypot(at[0] - centre_m[0], at[1] - centre_m[1]);
                from < radius.get() + margin && up > base.get() - margin && up < top.get() + margin
            }
        }
    })
}

proptest! {
    #![proptest_config(crate::cases(300))]

    /// What hides the sun by sectors and crossings hides it when the ray is walked, and the other way, but for a hair's
    /// breadth.
    #[test]
    fn agrees_with_walking_the_ray(
        latitude in -70.0..70.0_f64, east in -30.0..30.0_f64, north in -30.0..30.0_f64, pick in 0_usize..10_000,
        triangle in prop::collection::vec([-30.0..30.0_f64, -30.0..30.0_f64], 3),
        height in 0.5..12.0_f64, tree in (-20.0..20.0_f64, -20.0..20.0_f64, 0.5..6.0_f64, 0.5..3.0_f64, 1.0..9.0_f64),
    ) {
        let sky = Sky::new(Degrees::new(latitude)).unwrap();
        let step = &sky.steps[pick % sky.steps.len()];
        let tree = crown([tree.0, tree.1], tree.2, tree.3, tree.3 + tree.4, true);
        for obstacle in [prism(triangle, height), tree] {
            let mut light = vec![1.0; sky.steps.len()];
            shade::Obstacles::new(std::slice::from_ref(&obstacle)).shade([east, north], &sky, &mut light);
            let hidden = light[pick % sky.steps.len()] == 0.0;
            let margin = 0.03;
            // Surely hidden, surely not; between the two the walk cannot tell.
            if walked(step, &obstacle, [east, north], -margin) {
                prop_assert!(hidden, "{:?} {:?}", obstacle, step.bearing.to_degrees());
            } else if hidden && !walked(step, &obstacle, [east, north], margin) {
                // A ray through a sliver of a triangle may slip between the walk's steps.
                let near = |d: f64| [east + d * step.towards[0], north + d * step.towards[1]];
                let sliver = matches!(&obstacle, Obstacle::Prism { ring_m, .. } if ring_m.iter().any(|c| {
                    let d = (c[0] - east) * step.towards[0] + (c[1] - north) * step.towards[1];
                    f64::hypot(near(d)[0] - c[0], near(d)[1] - c[1]) < 0.5
                }));
                prop_assert!(sliver, "{:?} {:?}", obstacle, step.bearing.to_degrees());
            }
        }
    }

    /// One more obstacle never adds sun, and the hours lie between none and the day length.
    #[test]
    fn an_obstacle_never_adds_sun(
        latitude in -90.0..=90.0_f64, points in prop::collection::vec([-30.0..30.0_f64, -30.0..30.0_f64], 1..6),
        mut obstacles in prop::collection::vec(any_obstacle(), 1..6),
    ) {
        let SunHoursMap { hours: all, open } = hours(latitude, points.clone(), obstacles.clone());
        obstacles.pop();
        let fewer = hours(latitude, points, obstacles);
        for (all, fewer) in all.iter().zip(&fewer.hours) {
            for month in 0..12 {
                prop_assert!(0.0 <= all[month] && all[month] <= fewer[month]);
                prop_assert!(fewer[month] <= open[month]);
            }
        }
    }

    /// The south is the north seen in a mirror: with the same sun half a year on, a garden turned upside down gets the
    /// same sun. The mean days are not half a year apart, so the sky is made of one declination and its opposite.
    #[test]
    fn the_southern_half_mirrors_the_northern(
        latitude in 0.0..90.0_f64, declination in -23.0..23.0_f64, hour_angle in -80.0..80.0_f64,
        point in [-30.0..30.0_f64, -30.0..30.0_f64], obstacle in any_obstacle(),
    ) {
        let (north, south) = (one_sun(latitude, declination, hour_angle), one_sun(-latitude, -declination, hour_angle));
        prop_assume!(north.steps[0].rise > 0.0);
        let mirrored = match &obstacle {
            Obstacle::Prism { ring_m, height } => prism(ring_m.iter().map(|c| [c[0], -c[1]]).collect(), height.get()),
            Obstacle::Crown { centre_m: c, radius, base, top, evergreen } => {
                crown([c[0], -c[1]], radius.get(), base.get(), top.get(), *evergreen)
            }
        };
        prop_assert_eq!(light(&north, &obstacle, point), light(&south, &mirrored, [point[0], -point[1]]));
    }
}

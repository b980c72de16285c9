use super::*;
use crate::units::Percent;
use crate::working::Datum;
use proptest::prelude::*;

fn brussels() -> Et0Input {
    Et0Input {
        latitude: Degrees::new(50.8),
        elevation: Metres::new(100.0),
        day_of_year: 187,
        tmin: Celsius::new(12.3),
        tmax: Celsius::new(21.5),
        wind: MetresPerSecond::new(10.0 / 3.6),
        wind_height: Metres::new(10.0),
        humidity: Humidity::MinMax { min: Percent::new(63.0), max: Percent::new(84.0) },
        radiation: Radiation::Sunshine(Hours::new(9.25)),
    }
}

fn bangkok() -> Et0Input {
    Et0Input {
        latitude: Degrees::new(13.0 + 44.0 / 60.0),
        elevation: Metres::new(2.0),
        day_of_year: 105,
        tmin: Celsius::new(25.6),
        tmax: Celsius::new(34.8),
        wind: MetresPerSecond::new(2.0),
        wind_height: Metres::new(2.0),
        humidity: Humidity::VapourPressure(Kilopascals::new(2.85)),
        radiation: Radiation::Sunshine(Hours::new(8.5)),
    }
}

fn lyon() -> Et0Input {
    Et0Input {
        latitude: Degrees::new(45.72),
        elevation: Metres::new(200.0),
        day_of_year: 196,
        tmin: Celsius::new(14.8),
        tmax: Celsius::new(26.6),
        wind: wind::WIND_UNKNOWN,
        wind_height: Metres::new(2.0),
        humidity: Humidity::FromMinimum,
        radiation: Radiation::FromTemperatureRange(Siting::Inland),
    }
}

fn parts(day: &Et0Input) -> Parts {
    match Parts::of(day, &mut Afresh) {
        Ok(p) => p,
        Err(e) => panic!("{e}"),
    }
}

/// Each row: what, got, printed, half of the last printed digit.
fn agree(rows: &[(&str, f64, f64, f64)]) {
    for (what, got, want, half_digit) in rows {
        assert!((got - want).abs() <= *half_digit, "{what}: {got} for {want}");
    }
}

/// Example 18 of the paper, every printed intermediate. The printed u2 is 2.078 (from the rounded 2.78 m/s).
#[test]
fn example_18_step_by_step() {
    let p = parts(&brussels());
    agree(&[
        ("u2", p.u2, 2.078, 0.002),
        ("T", p.t, 16.9, 0.05),
        ("Δ", p.slope, 0.122, 0.0005),
        ("P", p.pressure, 100.1, 0.05),
        ("γ", p.gamma, 0.0666, 0.000_05),
        ("es", p.es, 1.997, 0.0005),
        ("ea", p.ea, 1.409, 0.0005),
        ("es − ea", p.es - p.ea, 0.589, 0.0005),
        ("Ra", p.sun.radiation.get(), 41.09, 0.005),
        ("N", p.sun.daylight.get(), 16.1, 0.05),
        ("Rs", p.rs, 22.07, 0.005),
        ("Rso", p.rso, 30.90, 0.005),
        ("Rns", p.rns, 17.00, 0.005),
        ("Rnl", p.rnl, 3.71, 0.005),
        ("Rn", p.rn, 13.28, 0.005),
        ("radiation term", p.terms.radiation, 2.81, 0.005),
        ("wind term", p.terms.wind, 1.07, 0.005),
        ("ET0", p.et0(), 3.88, 0.005),
    ]);
}

/// Example 17, a month: the same steps with the month's soil heat (eq. 43 with 0.14) put into eq. 6.
#[test]
fn example_17_step_by_step() {
    let p = parts(&bangkok());
    let soil_heat = 0.14 * (30.2 - 29.2);
    let terms = Terms::of(p.slope, p.gamma, p.t, p.u2, p.rn - soil_heat, p.es - p.ea);
    agree(&[
        ("T", p.t, 30.2, 0.05),
        ("Δ", p.slope, 0.246, 0.0005),
        ("P", p.pressure, 101.3, 0.05),
        ("γ", p.gamma, 0.0674, 0.0001),
        ("es", p.es, 4.42, 0.005),
        ("es − ea", p.es - p.ea, 1.57, 0.005),
        ("Ra", p.sun.radiation.get(), 38.06, 0.005),
        ("N", p.sun.daylight.get(), 12.31, 0.005),
        ("Rs", p.rs, 22.65, 0.005),
        ("Rso", p.rso, 28.54, 0.005),
        ("Rns", p.rns, 17.44, 0.005),
        ("Rnl", p.rnl, 3.11, 0.005),
        ("Rn", p.rn, 14.33, 0.005),
        ("radiation term", terms.radiation, 3.97, 0.005),
        ("wind term", terms.wind, 1.75, 0.005),
        ("ET0", terms.radiation + terms.wind, 5.72, 0.005),
    ]);
}

/// Example 20's day: only temperatures measured; sun, humidity and wind estimated. Rows worked by hand from the equations.
#[test]
fn example_20_step_by_step() {
    let p = parts(&lyon());
    agree(&[
        ("Ra", p.sun.radiation.get(), 40.6, 0.05),
        ("Rs", p.rs, 22.29, 0.005),
        ("P", p.pressure, 98.96, 0.005),
        ("γ", p.gamma, 0.0658, 0.000_05),
        ("Δ", p.slope, 0.150, 0.0005),
        ("es", p.es, 2.58, 0.005),
        ("ea", p.ea, 1.68, 0.005),
        ("Rso", p.rso, 30.58, 0.005),
        ("Rns", p.rns, 17.16, 0.005),
        ("Rnl", p.rnl, 3.68, 0.005),
        ("Rn", p.rn, 13.48, 0.005),
        ("ET0", p.et0(), 4.56, 0.005),
    ]);
}

/// The working ends at the very number the plain computation gives, and names each step once.
#[test]
fn working_agrees_with_the_plain_number() {
    for day in [brussels(), bangkok(), lyon()] {
        let steps = et0_working(&day).unwrap_or_default();
        assert_eq!(steps.len(), 17);
        let plain = et0_penman_monteith_fao56(&day).map(|e| e.et0.get()).ok();
        let last = steps.last().map(|s| s.result.value.clone());
        assert_eq!(last, plain.map(Datum::Number));
    }
    let marked = |day: &Et0Input| {
        et0_working(day).unwrap_or_default().iter().flat_map(|s| &s.values).filter(|v| v.assumed).count()
    };
    assert_eq!((marked(&brussels()), marked(&lyon())), (0, 2));
}

/// 37 years of real days, told in four ways at three places, some of them faulty: a batch says of each what it says alone, to the
/// last bit, whether it is spread over the cores or not.
#[test]
fn a_batch_answers_as_days_alone() {
    let record = include_str!("../../../../demo/champion-ne-daily.csv");
    let (mut days, mut year, mut day_of_year) = (Vec::new(), "", 0);
    for line in record.lines().skip(1) {
        day_of_year = if line.starts_with(year) && !year.is_empty() { day_of_year + 1 } else { 1 };
        year = &line[..4];
        let mut figures = line.split(',').skip(1).map(|figure| figure.parse().unwrap_or(f64::NAN));
        let mut next = || figures.next().unwrap_or(f64::NAN);
        let (tmin, tmax) = (Celsius::new(next()), Celsius::new(next()));
        for way in 0..4 {
            let (humidity, radiation) = match way {
                0 => (Humidity::FromMinimum, Radiation::FromTemperatureRange(Siting::Inland)),
                1 => (Humidity::DewPoint(tmin), Radiation::Solar(MegajoulesPerSquareMetre::new(12.0))),
                2 => (Humidity::Mean(Percent::new(70.0)), Radiation::Sunshine(Hours::new(6.0))),
                _ => (Humidity::Maximum(Percent::new(95.0)), Radiation::Sunshine(Hours::new(9.5))),
            };
            let place = (days.len() / 5) % 3;
            days.push(Et0Input {
                latitude: Degrees::new([40.4, -33.0, 71.0][place]),
                elevation: Metres::new([1029.0, 2.0, 500.0][place]),
                day_of_year,
                tmin,
                tmax,
                wind: MetresPerSecond::new(1.0 + day_of_year as f64 / 100.0),
                wind_height: Metres::new([2.0, 10.0, 3.0][(days.len() / 7) % 3]),
                humidity,
                radiation,
            });
        }
    }
    assert_eq!(days.len(), 4 * 13_514);
    for (i, day) in days.iter_mut().enumerate().step_by(97) {
        match (i / 97) % 6 {
            0 => day.latitude = Degrees::new(91.0),
            1 => day.latitude = Degrees::new(f64::NAN),
            2 => day.day_of_year = [0, 367, u16::MAX][i % 3],
            3 => day.elevation = Metres::new(f64::NAN),
            4 => day.wind_height = Metres::new(0.1),
            _ => day.tmin = Celsius::new(50.0),
        }
    }
    // Not a number equals nothing, itself included, so refusals are compared as they are told.
    let told = |found: &Result<Et0, ReckonError>| match found {
        Ok(e) => Ok([e.et0.get(), e.net_radiation.get(), e.vapour_deficit.get(), e.slope_kpa_c, e.gamma_kpa_c]
            .map(f64::to_bits)),
        Err(e) => Err(e.to_string()),
    };
    for days in [&days[..], &days[..ET0_SPREAD_FROM - 1], &days[..1], &[]] {
        let found = et0_penman_monteith_fao56_batch(days);
        assert_eq!(found.len(), days.len());
        for (found, day) in found.iter().zip(days) {
            assert_eq!(told(found), told(&et0_penman_monteith_fao56(day)), "{day:?}");
        }
    }
    let refused = et0_penman_monteith_fao56_batch(&days).iter().filter(|found| found.is_err()).count();
    assert!(refused > days.len() / 97 && refused < days.len() / 2, "{refused}");
}

/// Refusals name the field, whichever way it came in.
#[test]
fn refusals_name_the_field() {
    let field = |day: Et0Input| et0_penman_monteith_fao56(&day).map_err(|e| e.field());
    assert_eq!(field(Et0Input { latitude: Degrees::new(91.0), ..brussels() }), Err("latitude_deg"));
    assert_eq!(field(Et0Input { day_of_year: 0, ..brussels() }), Err("day_of_year"));
    assert_eq!(field(Et0Input { wind: MetresPerSecond::new(-1.0), ..brussels() }), Err("wind_ms"));
    assert_eq!(field(Et0Input { elevation: Metres::new(f64::NAN), ..brussels() }), Err("elevation_m"));
    let solar = Radiation::Solar(MegajoulesPerSquareMetre::new(250.0));
    assert_eq!(field(Et0Input { radiation: solar, ..brussels() }), Err("solar_mj_m2"));
    assert_eq!(
        et0_hargreaves_samani(Degrees::new(0.0), 367, Celsius::new(1.0), Celsius::new(2.0)).map_err(|e| e.field()),
        Err("day_of_year")
    );
}

proptest! {
    #![proptest_config(crate::cases(100_000))]

    /// Any floats give a finite answer not below 0, or a refusal; plain and working agree on which.
    #[test]
    fn total(lat in any::<f64>(), z in any::<f64>(), j in any::<u16>(), a in any::<f64>(), b in any::<f64>(),
             u in any::<f64>(), h in any::<f64>(), x in any::<f64>(), y in any::<f64>()) {
        let day = Et0Input {
            latitude: Degrees::new(lat), elevation: Metres::new(z), day_of_year: j, tmin: Celsius::new(a),
            tmax: Celsius::new(b), wind: MetresPerSecond::new(u), wind_height: Metres::new(h),
            humidity: Humidity::Mean(Percent::new(x)), radiation: Radiation::Sunshine(Hours::new(y)),
        };
        let plain = et0_penman_monteith_fao56(&day);
        prop_assert_eq!(plain.is_ok(), et0_working(&day).is_ok());
        if let Ok(e) = plain { prop_assert!(e.et0.get().is_finite() && e.et0.get() >= 0.0); }
    }

    /// Every day inside the ranges has an answer: finite, not below 0, and not absurd for ordinary weather.
    #[test]
    fn answers_inside_the_ranges(lat in -90.0..=90.0f64, z in -500.0..=9000.0f64, j in 1u16..=366, t in -90.0..30.0f64,
             d in 0.0..30.0f64, u in 0.0..=100.0f64, h in 0.5..=100.0f64, rh in 0.0..=100.0f64, rs in 0.0..=50.0f64) {
        let day = Et0Input {
            latitude: Degrees::new(lat), elevation: Metres::new(z), day_of_year: j, tmin: Celsius::new(t),
            tmax: Celsius::new(t + d), wind: MetresPerSecond::new(u), wind_height: Metres::new(h),
            humidity: Humidity::Mean(Percent::new(rh)), radiation: Radiation::Solar(MegajoulesPerSquareMetre::new(rs)),
        };
        let e = et0_penman_monteith_fao56(&day);
        prop_assert!(e.is_ok_and(|e| e.et0.get().is_finite() && e.et0.get() >= 0.0 && e.net_radiation.get().is_finite()));
        let hs = et0_hargreaves_samani(day.latitude, j, day.tmin, day.tmax);
        prop_assert!(hs.is_ok_and(|e| e.get().is_finite() && e.get() >= 0.0));
    }

    /// Once the cloud factor has reached its limit, more sun means more evapotranspiration.
    #[test]
    fn more_sun_over_a_clear_sky_means_more(extra in 0.0..10.0f64) {
        let with = |rs: f64| et0_penman_monteith_fao56(&Et0Input {
            radiation: Radiation::Solar(MegajoulesPerSquareMetre::new(rs)), ..brussels() }).map_or(f64::NAN, |e| e.et0.get());
        prop_assert!(with(31.0 + extra) >= with(31.0));
    }
}

//! A large yard for the benchmarks: 12 zones and areas, 20 years of entries, over the demo's 37-year weather record.

use jiff::civil::{Date, date};
use reckon::outline::{Corner, Outline};
use reckon::units::{Celsius, Millimetres};
use yard::entry::{Applied, AreaFacts, Cover, Form, Mowed, ProductFacts, RainGauge, Strength, YardFacts, ZoneFacts};
use yard::map::OutlineFacts;
use yard::{Body, Entry, Place, Units, WeatherDay};

/// The day the benchmarks ask for.
pub const ON: Date = date(2018, 6, 7);

/// The place of the record.
pub const PLACE: Place = Place { latitude_deg: 40.40, longitude_deg: -101.72, elevation_m: 1029.0 };

const CHAMPION: &str = include_str!("../../../demo/champion-ne-daily.csv");

/// The record's days.
pub fn weather_days() -> Vec<WeatherDay> {
    CHAMPION
        .lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split(',');
            let mut day = WeatherDay::blank(cells.next()?.parse().ok()?);
            let mut number = || cells.next().and_then(|c| c.parse::<f64>().ok());
            day.tmin = number().map(Celsius::new);
            day.tmax = number().map(Celsius::new);
            day.rain = number().map(Millimetres::new);
            Some(day)
        })
        .collect()
}

/// About 6,000 entries from 1998 to the day.
pub fn entries() -> Vec<Entry> {
    let mut out: Vec<Entry> = Vec::new();
    let mut put = |on: Date, body: Body| {
        let id = format!("{:026}", out.len());
        let recorded_at = format!("{on}T18:00:00Z").parse().expect("a timestamp");
        out.push(Entry { id, happened_on: on, recorded_at, supersedes: None, body });
    };
    let first = date(1998, 3, 1);
    put(
        first,
        Body::Yard(YardFacts {
            name: "Large".into(),
            place: PLACE,
            units: Units::UsCustomary,
            time_zone: None,
            currency: "$".into(),
        }),
    );
    let keys: Vec<String> = (1..=12).map(|i| format!("lawn-{i}")).collect();
    let soils = ["loam", "silt-loam", "clay-loam", "sandy-loam"];
    for (i, key) in keys.iter().enumerate() {
        put(
            first,
            Body::Area(AreaFacts {
                key: key.clone(),
                name: format!("Lawn {}", i + 1),
                size_m2: 150.0 + 10.0 * i as f64,
                cover: Cover::Turf,
                grass: Some(["kbg", "ttf", "prg"][i % 3].into()),
                soil: soils[i % 4].into(),
                slope_pct: i as f64,
                care: almanac::CareLevel::Medium,
                ..AreaFacts::default()
            }),
        );
        // Side by side along the street, each 10 m deep, sharing its edges with its neighbours.
        let (west, width) = (20.0 * i as f64, 20.0);
        let ring = [[west, 0.0], [west + width, 0.0], [west + width, 10.0], [west, 10.0]];
        put(
            first,
            Body::Outline(OutlineFacts {
                area: key.clone(),
                pieces: vec![Outline::new(ring.map(|[x, y]| Corner::new(x, y)).to_vec())],
                measured: String::new(),
            }),
        );
        put(
            first,
            Body::Zone(ZoneFacts {
                key: format!("zone-{}", i + 1),
                name: format!("Zone {}", i + 1),
                areas: vec![key.clone()],
                sprinkler: "spray".into(),
                rate_mm_h: Some(30.0 + i as f64),
                flow_lpm: None,
                du_lq: Some(0.65),
                retired: false,
            }),
        );
    }
    for (key, n, active) in [("feed", 24.0, None), ("preventer", 0.0, Some("prodiamine"))] {
        put(
            first,
            Body::Product(Box::new(ProductFacts {
                key: key.into(),
                name: key.into(),
                form: Form::Granule,
                n_pct: n,
                p2o5_pct: 0.0,
                k2o_pct: 0.0,
                slow_n_pct: 50.0,
                actives: active.map(|a| Strength { active: a.into(), pct: 0.48 }).into_iter().collect(),
                pack_kg: Some(18.0),
                ..ProductFacts::default()
            })),
        );
    }
    let applied = |areas: &[String], product: &str, rate: f64| {
        Body::Applied(Applied {
            areas: areas.to_vec(),
            product: product.into(),
            rate_g_m2: rate,
            spot_m2: None,
            wind_ms: Some(2.0),
            air_c: Some(16.0),
            rain_in_hours: None,
            watered_in_mm: Some(13.0),
            flowers_open: false,
            remark: String::new(),
        })
    };
    let mut day = first;
    let mut count = 0u32;
    while day < ON {
        let growing = (4..=10).contains(&day.month());
        if growing && count.is_multiple_of(6) {
            for half in keys.chunks(6) {
                put(day, Body::Mowed(Mowed { areas: half.to_vec(), height_mm: 80.0, bagged: false }));
            }
        }
        if growing && count.is_multiple_of(2) {
            put(day, Body::Rain(RainGauge { depth_mm: f64::from(count % 5) }));
        }
        if (day.month(), day.day()) == (4, 5) {
            put(day, applied(&keys, "preventer", 12.0));
        }
        if matches!((day.month(), day.day()), (5, 5) | (9, 5)) {
            put(day, applied(&keys, "feed", 18.0));
        }
        count += 1;
        day = day.tomorrow().expect("a day");
    }
    out
}

//! `soil-temperature`.

use reckon::soil_temperature::{self, START_DAYS, daily_step, soil_temperature};
use reckon::units::{Celsius, Metres};
use reckon::vapour::mean_saturation_vapour_pressure;

use super::degree_days::on_day;
use super::*;

pub(super) const MODEL: Model = Model {
    name: "soil-temperature",
    about: "Soil temperature day by day from air temperature, under turf or bare",
    source: "S. Kang, S. Kim, S. Oh and D. Lee, Forest Ecology and Management 136, 2000 (damping with depth); D. Zheng, E. R. \
             Hunt and S. W. Running, Climate Research 2, 1993 (leaf factor); leaf area of turf and its use both ways: Toft",
    example: r#"{"depth_m": 0.05, "cover": "turf", "start_c": 10,
                 "days": [{"tmin_c": 15, "tmax_c": 25}, {"tmin_c": 12, "tmax_c": 24}]}"#,
    input: &Input::RECORD,
    output: &[Field::new(
        "daily_c",
        list(&Shape::Figure("°C", "soil temperature at the end of the day"), 1, DAYS_MAX, "each day in order"),
    )],
    run: |item| reply(item, compute),
};

record! {
    /// Air, depth and cover.
    Input {
        days: Vec<Extremes> = EXTREMES;
        depth_m: f64 = Number(soil_temperature::DEPTH);
        cover: Cover = Word(Cover::WORDS, "what lies over the soil");
        start_c: Option<f64> = Number(soil_temperature::START), assumed("the mean air of the first 11 days");
    }
}

words! {
    /// What lies over the soil.
    Cover {
        Turf = "turf", "a mown lawn";
        Bare = "bare", "a seed bed or an empty border";
    }
}

fn compute(input: Input) -> Computed {
    let cover = match input.cover {
        Cover::Turf => soil_temperature::Cover::Turf,
        Cover::Bare => soil_temperature::Cover::Bare,
    };
    let days: Vec<(Celsius, Celsius)> =
        input.days.iter().map(|day| (Celsius::new(day.tmin_c), Celsius::new(day.tmax_c))).collect();
    let depth = Metres::new(input.depth_m);
    let soil = soil_temperature(&days, depth, cover, input.start_c.map(Celsius::new)).map_err(|error| {
        // Which day it was is asked again only here, so that its path can be told.
        let faulty = days.iter().enumerate().find_map(|(index, (tmin, tmax))| {
            mean_saturation_vapour_pressure(*tmin, *tmax).err().map(|error| on_day(error, index))
        });
        faulty.unwrap_or_else(|| error.into())
    })?;

    let air: Vec<f64> = input.days.iter().map(|day| (day.tmin_c + day.tmax_c) / 2.0).collect();
    let mut steps = Vec::with_capacity(days.len().min(DAYS_WORKED_MAX) + 2);
    let share = daily_step(Celsius::new(0.0), Celsius::new(1.0), depth, cover).get();
    steps.push(Step::new(
        "Share of the gap to the air that closes in a day",
        "k = exp(−z sqrt(π / (D p))) M; D = 0.5e-6 m²/s, p = 86400 s; M = exp(−0.45 · 2) under turf, 1 over bare soil",
        vec![n("z", input.depth_m, "m"), Value::text("cover", input.cover.word())],
        n("k", share, ""),
    ));
    let mut before = match input.start_c {
        Some(start) => start,
        None => {
            let first = &air[..air.len().min(START_DAYS)];
            let mean = first.iter().sum::<f64>() / first.len().max(1) as f64;
            steps.push(Step::new(
                "Soil before the first day",
                "mean air of the first 11 days, or as many as there are",
                vec![n("days", first.len() as f64, "").assumed("a probe reading (start_c) replaces it")],
                n("T", mean, "°C"),
            ));
            mean
        }
    };
    for (index, (soil, air)) in soil.iter().zip(&air).enumerate().take(DAYS_WORKED_MAX) {
        steps.push(Step::new(
            format!("Day {}", index + 1),
            "T' = T + (A − T) k, A = (Tmin + Tmax) / 2",
            vec![n("T", before, "°C"), n("A", *air, "°C"), n("k", share, "")],
            n("T'", soil.get(), "°C"),
        ));
        before = soil.get();
    }
    Ok((figures! { daily_c: Figure::from_iter(soil.iter().map(|soil| soil.get())) }, steps))
}

//! `watering-optimum`.

use reckon::units::Millimetres;
use reckon::watering_optimum::{self as optimum, KnownDay, watering_optimum};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "watering-optimum",
    about: "The least water with which a known season could have been watered without stress",
    source: "Balance: R. G. Allen, L. S. Pereira, D. Raes and M. Smith, Crop evapotranspiration, FAO Irrigation and Drainage \
             Paper 56, 1998, eq. 81 to 88. Method: dynamic programme, R. Bellman, Dynamic Programming, 1957",
    example: r#"{"taw_mm": 30, "start_mm": 0, "end_at_most_mm": 30, "days": [
                 {"demand_mm": 5, "rain_mm": 0, "raw_mm": 12, "least_mm": 0, "most_mm": 50},
                 {"demand_mm": 5, "rain_mm": 0, "raw_mm": 12, "least_mm": 0, "most_mm": 50},
                 {"demand_mm": 5, "rain_mm": 0, "raw_mm": 12, "least_mm": 0, "most_mm": 50},
                 {"demand_mm": 5, "rain_mm": 0, "raw_mm": 12, "least_mm": 0, "most_mm": 50}]}"#,
    input: &Input::RECORD,
    output: &[
        figure("total_mm", "mm", "water in all"),
        figure("stress_days", "", "days of stress that no schedule could have avoided"),
        Field::new(
            "days",
            list(&Shape::Record(&Record { fields: DAY_FIGURES, choices: &[] }), 1, optimum::DAYS_MOST, "each day"),
        ),
    ],
    run: |item| reply(item, compute),
};

const DAY_FIGURES: &[Field] = &[figure("depth_mm", "mm", "depth to give that morning")];

record! {
    /// A root zone and a season whose weather is known.
    Input {
        taw_mm: f64 = Number(optimum::TAW);
        start_mm: f64 = Number(optimum::START);
        end_at_most_mm: f64 = Number(optimum::END);
        days: Vec<Day> = list(&Shape::Record(&Day::RECORD), 1, optimum::DAYS_MOST, "days in order, one after the other");
    }
}

record! {
    /// A day's demand, rain and rules.
    Day {
        demand_mm: f64 = Number(optimum::DEMAND);
        rain_mm: f64 = Number(optimum::RAIN);
        raw_mm: f64 = Number(optimum::RAW);
        least_mm: f64 = Number(optimum::LEAST);
        most_mm: f64 = Number(optimum::MOST);
    }
}

fn compute(input: Input) -> Computed {
    let mm = Millimetres::new;
    let mut days = Vec::with_capacity(input.days.len());
    for (index, d) in input.days.iter().enumerate() {
        let day = KnownDay {
            demand: mm(d.demand_mm),
            rain: mm(d.rain_mm),
            raw: mm(d.raw_mm),
            least: mm(d.least_mm),
            most: mm(d.most_mm),
        };
        days.push(day.check(mm(input.taw_mm)).map_err(|error| Refusal::from(error).at_index(index).at("days"))?);
    }
    let best = watering_optimum(mm(input.taw_mm), mm(input.start_mm), mm(input.end_at_most_mm), &days)?;
    let total = best.total.get();
    let waterings = best.depths.iter().filter(|d| d.get() > 0.0).count();
    let steps = vec![
        Step::new(
            "Least water",
            "fewest days with Dr − P − I > RAW, then least sum of I; Dr' = Dr − P − I + Ks E within 0 to TAW",
            vec![
                n("TAW", input.taw_mm, "mm"),
                n("Dr before", input.start_mm, "mm"),
                n("days", days.len() as f64, ""),
                n("demand", input.days.iter().map(|d| d.demand_mm).sum(), "mm"),
                n("rain", input.days.iter().map(|d| d.rain_mm).sum(), "mm"),
                n("waterings", waterings as f64, ""),
            ],
            n("total", total, "mm"),
        ),
        Step::new(
            "Stress nobody could avoid",
            "days with Dr − P − I > RAW in that schedule",
            vec![n("days", days.len() as f64, "")],
            n("stress days", best.stress_days as f64, ""),
        ),
    ];
    let days = best.depths.iter().map(|d| figures! { depth_mm: d.get() });
    Ok((figures! { total_mm: total, stress_days: best.stress_days as f64, days: Figure::from_iter(days) }, steps))
}

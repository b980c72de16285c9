//! `degree-days`.

use reckon::degree_days::{self, degree_days};
use reckon::units::Celsius;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "degree-days",
    about: "Warmth above a base day by day, and its sum, by one of three methods",
    source: "Averages: G. S. McMaster and W. W. Wilhelm, Growing degree-days: one equation, two interpretations, Agricultural \
             and Forest Meteorology 87, 1997. Single sine: G. L. Baskerville and P. Emin, Ecology 50, 1969; horizontal \
             cutoff: F. G. Zalom and others, Degree-days, University of California leaflet 21373, 1983",
    example: r#"{"method": "modified-average", "base_c": 10, "upper_c": 30,
                 "days": [{"tmin_c": 15.555555555555555, "tmax_c": 32.22222222222222}, {"tmin_c": 5, "tmax_c": 20}]}"#,
    input: &Input::RECORD,
    output: &[
        Field::new("daily", list(&Shape::Figure("°C d", "degree-days of the day"), 1, DAYS_MAX, "each day in order")),
        figure("total", "°C d", "sum over the days"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// Thresholds and days.
    Input {
        method: Method = Word(Method::WORDS, "how a day's two extremes become degree-days");
        base_c: f64 = Number(degree_days::BASE);
        upper_c: Option<f64> = Number(degree_days::UPPER), optional;
        days: Vec<Extremes> = EXTREMES;
    }
}

words! {
    /// How a day's two extremes become degree-days.
    Method {
        Average = "average", "mean of the extremes less the base, not below 0";
        ModifiedAverage = "modified-average", "the extremes are brought between base and upper threshold first";
        SingleSine = "single-sine", "area between a sine through the extremes and the base";
    }
}

fn compute(input: Input) -> Computed {
    let (method, formula) = match input.method {
        Method::Average => (degree_days::Method::Average, "max(min((Tmax + Tmin)/2, U) − B, 0)"),
        Method::ModifiedAverage => {
            (degree_days::Method::ModifiedAverage, "(x(Tmax) + x(Tmin))/2 − B, x(T) = min(max(T, B), U)")
        }
        Method::SingleSine => (
            degree_days::Method::SingleSine,
            "A(B) − A(U); A(θ) = M − θ if Tmin ≥ θ, 0 if Tmax ≤ θ, else ((M − θ)(π/2 − s) + α cos s)/π, s = arcsin((θ − M)/α)",
        ),
    };
    let (base, upper) = (Celsius::new(input.base_c), input.upper_c.map(Celsius::new));
    let mut daily = Vec::with_capacity(input.days.len());
    let mut steps = Vec::with_capacity(input.days.len().min(DAYS_WORKED_MAX) + 1);
    for (index, day) in input.days.iter().enumerate() {
        let found = degree_days(method, base, upper, Celsius::new(day.tmin_c), Celsius::new(day.tmax_c))
            .map_err(|error| on_day(error, index))?
            .get();
        if index < DAYS_WORKED_MAX {
            let mut values = vec![n("Tmin", day.tmin_c, "°C"), n("Tmax", day.tmax_c, "°C"), n("B", input.base_c, "°C")];
            values.extend(input.upper_c.map(|upper| n("U", upper, "°C")));
            let label = format!("Day {}", index + 1);
            steps.push(Step::new(label, formula, values, n("DD", found, "°C d")));
        }
        daily.push(found);
    }
    let total = daily.iter().sum();
    let count = n("days", daily.len() as f64, "");
    steps.push(Step::new("Total", "sum of the days", vec![count], n("total", total, "°C d")));
    Ok((figures! { daily: Figure::from_iter(daily), total: total }, steps))
}

/// A refusal of the formula on one day: named by its path when it is about the day's extremes.
pub(super) fn on_day(error: reckon::ReckonError, index: usize) -> Refusal {
    let of_day = !matches!(error.field(), "base_c" | "upper_c");
    let refusal = Refusal::from(error);
    if of_day { refusal.at_index(index).at("days") } else { refusal }
}

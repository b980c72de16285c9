//! `tape-survey`.

use reckon::tape_survey::{self, TapeSurveyInput, tape_survey};
use reckon::units::Metres;

use super::*;
use crate::shape::Name;

pub(super) const MODEL: Model = Model {
    name: "tape-survey",
    about: "Places of points from tape distances by least squares, and the distance to measure again",
    source: "C. D. Ghilani, Adjustment Computations, 5th ed., 2010, ch. 13, 14 and 21",
    example: r#"{"corners": [{"id": "A", "x_m": 0, "y_m": 0}, {"id": "B", "x_m": 20, "y_m": 0}, {"id": "C", "x_m": 20, "y_m": 9}],
                 "points": [{"id": "tree", "from": [{"id": "A", "distance_m": 13}, {"id": "B", "distance_m": 19.2},
                                                    {"id": "C", "distance_m": 15.31}]},
                            {"id": "gate", "near": [4, 20], "from": [{"id": "A", "distance_m": 18.25}, {"id": "B", "distance_m": 25.1}]}],
                 "ties": [{"a": "tree", "b": "gate", "distance_m": 6.1}]}"#,
    input: &Input::RECORD,
    output: &[
        Field::new(
            "points",
            list(&Shape::Record(&POINT_FIGURES), 1, tape_survey::POINTS_MAX, "points in the order given"),
        ),
        Field::new(
            "residuals",
            list(
                &Shape::Figure("m", "found less measured distance"),
                0,
                tape_survey::DISTANCES_MAX,
                "found less measured, for each point's distances in turn, then for the ties",
            ),
        ),
        Field::new("redundancy", Count("distances beyond the two that each point needs")),
        figure(
            "distance_error_m",
            "m",
            "standard error of one distance, from the residuals; assumed when there is no redundancy",
        ),
        Field { name: "worst_tie", shape: Shape::Record(&WORST), need: Need::Optional },
    ],
    run: |item| reply(item, compute),
};

/// Points and distances worked one by one in the steps; figures of later ones stand in the result alone.
const PARTS_WORKED_MAX: usize = 366;

const POINT_FIGURES: Record = Record {
    fields: &[
        Field::new("id", Shape::Name("name of the point")),
        figure("x_m", "m", "east of the origin"),
        figure("y_m", "m", "north of the origin"),
        figure("standard_error_m", "m", "standard error of the position"),
    ],
    choices: &[],
};

const WORST: Record = Record {
    fields: &[
        Field::new("a", Shape::Name("one end of the distance to measure again first")),
        Field::new("b", Shape::Name("its other end")),
        figure("residual_m", "m", "found less measured"),
    ],
    choices: &[],
};

record! {
    /// A survey by tape.
    Input {
        corners: Vec<Corner> = list(&Shape::Record(&Corner::RECORD), 2, tape_survey::CORNERS_MAX, "places that are known");
        points: Vec<Point> = list(&Shape::Record(&Point::RECORD), 1, tape_survey::POINTS_MAX, "places that are looked for");
        ties: Option<Vec<Tie>> = list(&Shape::Record(&Tie::RECORD), 0, tape_survey::DISTANCES_MAX, "distances measured as a check"), optional;
    }
}

record! {
    /// A known place.
    Corner {
        id: Name = Shape::Name("name of the corner");
        x_m: f64 = Number(tape_survey::POSITION_M);
        y_m: f64 = Number(tape_survey::POSITION_M);
    }
}

record! {
    /// A place looked for.
    Point {
        id: Name = Shape::Name("name of the point, unlike any corner's");
        from: Vec<Distance> = list(&Shape::Record(&Distance::RECORD), 1, tape_survey::DISTANCES_MAX, "distances to it, measured level");
        near: Option<[f64; 2]> = Row(&[tape_survey::POSITION_M, tape_survey::POSITION_M], "about where it is: picks one of the two places that two distances leave"), optional;
    }
}

record! {
    /// One distance to a point.
    Distance {
        id: Name = Shape::Name("a corner or another point");
        distance_m: f64 = Number(tape_survey::DISTANCE_M);
    }
}

record! {
    /// A distance between any two places.
    Tie {
        a: Name = Shape::Name("one end: a corner or a point");
        b: Name = Shape::Name("the other end");
        distance_m: f64 = Number(tape_survey::DISTANCE_M);
    }
}

fn compute(input: Input) -> Computed {
    let ties = input.ties.unwrap_or_default();
    let found = tape_survey(&TapeSurveyInput {
        corners: input
            .corners
            .iter()
            .map(|corner| tape_survey::KnownCorner {
                id: corner.id.text.clone(),
                x: Metres::new(corner.x_m),
                y: Metres::new(corner.y_m),
            })
            .collect(),
        points: input
            .points
            .iter()
            .map(|point| tape_survey::SoughtPoint {
                id: point.id.text.clone(),
                from: point
                    .from
                    .iter()
                    .map(|from| tape_survey::Distance {
                        id: from.id.text.clone(),
                        distance: Metres::new(from.distance_m),
                    })
                    .collect(),
                near_m: point.near,
            })
            .collect(),
        ties: ties
            .iter()
            .map(|tie| tape_survey::Tie {
                a: tie.a.text.clone(),
                b: tie.b.text.clone(),
                distance: Metres::new(tie.distance_m),
            })
            .collect(),
    })?;

    let count = found.redundancy as f64;
    let error = || {
        let error = n("σ0", found.distance_error.get(), "m");
        match found.redundancy {
            0 => error.assumed("a tape over a lawn; one distance more than needed replaces it"),
            _ => error,
        }
    };
    let mut steps = vec![Step::new(
        "Distances beyond the needed",
        "r = distances − 2 × points",
        vec![n("distances", found.residuals.len() as f64, ""), n("points", found.points.len() as f64, "")],
        n("r", count, ""),
    )];
    for r in found.residuals.iter().take(PARTS_WORKED_MAX) {
        steps.push(Step::new(
            format!("Residual of {} to {}", r.a, r.b),
            "v = √((x_b − x_a)² + (y_b − y_a)²) − d, with Σ v² least",
            vec![n("d", r.distance.get(), "m")],
            n("v", r.residual.get(), "m"),
        ));
    }
    steps.push(Step::new("Standard error of one distance", "σ0 = √(Σ v² / r)", vec![n("r", count, "")], error()));
    for point in found.points.iter().take(PARTS_WORKED_MAX) {
        let fitted = |axis: &str, name: &'static str, value: Metres| {
            let label = format!("{axis} of {}", point.id);
            Step::new(label, "where Σ v² is least", vec![], n(name, value.get(), "m"))
        };
        steps.push(fitted("East", "x", point.x));
        steps.push(fitted("North", "y", point.y));
        steps.push(Step::new(
            format!("Standard error of {}", point.id),
            "σ0 √(Q_xx + Q_yy), Q the inverse of the normal equations",
            vec![error()],
            n("σ", point.standard_error.get(), "m"),
        ));
    }
    let points = input.points.iter().zip(&found.points).map(|(given, found)| {
        figures! {
            id: &given.id,
            x_m: found.x.get(),
            y_m: found.y.get(),
            standard_error_m: found.standard_error.get(),
        }
    });
    let mut result = vec![
        ("points", Figure::from_iter(points)),
        ("residuals", Figure::from_iter(found.residuals.iter().map(|r| r.residual.get()))),
        ("redundancy", Figure::Count(found.redundancy as u64)),
        ("distance_error_m", Figure::from(found.distance_error.get())),
    ];
    if let Some(worst) = found.worst.map(|i| &found.residuals[i]) {
        let ends = input.corners.iter().map(|c| &c.id).chain(input.points.iter().map(|p| &p.id));
        let name = |text: &str| match ends.clone().find(|name| name.text == text) {
            Some(name) => Figure::from(name),
            None => Figure::from(text.to_owned()),
        };
        let record =
            vec![("a", name(&worst.a)), ("b", name(&worst.b)), ("residual_m", Figure::from(worst.residual.get()))];
        result.push(("worst_tie", Figure::Record(record)));
    }
    Ok((Figure::Record(result), steps))
}

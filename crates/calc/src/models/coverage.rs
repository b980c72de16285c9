//! `coverage`.

use reckon::coverage::{self, CoverageInput, coverage};
use reckon::units::{Degrees, LitresPerMinute, Metres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "coverage",
    about: "How much water heads put on an area and how evenly, cell by cell",
    source: "Overlap of radial patterns on a grid and the linear-decline pattern: J. E. Christiansen, Irrigation by sprinkling, \
             University of California Bulletin 670, 1942",
    example: r#"{"area": [[0, 0], [10, 0], [10, 10], [0, 10]], "cell_m": 0.25, "heads": [
                 {"x_m": 0, "y_m": 0, "radius_m": 10, "arc_from_deg": 0, "arc_deg": 90, "flow_lpm": 5},
                 {"x_m": 0, "y_m": 10, "radius_m": 10, "arc_from_deg": 90, "arc_deg": 90, "flow_lpm": 5},
                 {"x_m": 10, "y_m": 10, "radius_m": 10, "arc_from_deg": 180, "arc_deg": 90, "flow_lpm": 5},
                 {"x_m": 10, "y_m": 0, "radius_m": 10, "arc_from_deg": 270, "arc_deg": 90, "flow_lpm": 5}]}"#,
    input: &Input::RECORD,
    output: &[
        figure("mean_mm_h", "mm/h", "mean rate over the area"),
        figure(
            "du_lq",
            "",
            "distribution uniformity of the lowest quarter of the cells; 0 when no water lands on the area",
        ),
        figure("cu", "", "Christiansen's coefficient of uniformity"),
        figure("off_target_fraction", "", "share of the flow that lands outside the area, holes counted as outside"),
        figure("dry_cells_fraction", "", "share of the area's cells that get under a tenth of the mean rate"),
    ],
    run: |item| reply(item, compute),
};

const POINT: Shape = Row(&[CORNER, CORNER], "east and north of the origin");
const CORNER: reckon::Bound =
    bound(coverage::CORNER_M.min, coverage::CORNER_M.max, coverage::CORNER_M.unit, coverage::CORNER_M.meaning);
const RING: Shape = list(&POINT, 3, coverage::CORNERS_MAX, "corners in order; closing the ring is optional");

record! {
    /// Ground and heads.
    Input {
        area: Vec<[f64; 2]> = RING;
        holes: Option<Vec<Vec<[f64; 2]>>> = list(&RING, 0, 1_000, "rings inside the area that want no water"), optional;
        heads: Vec<Head> = list(&Shape::Record(&Head::RECORD), 1, coverage::HEADS_MAX, "the heads that run together");
        cell_m: f64 = Number(coverage::CELL_M);
    }
}

record! {
    /// One sprinkler head.
    Head {
        x_m: f64 = Number(coverage::POSITION_M);
        y_m: f64 = Number(coverage::POSITION_M);
        radius_m: f64 = Number(coverage::RADIUS_M);
        arc_from_deg: f64 = Number(coverage::ARC_FROM_DEG);
        arc_deg: f64 = Number(coverage::ARC_DEG);
        flow_lpm: f64 = Number(coverage::FLOW_LPM);
        profile: Option<Vec<f64>> = list(
            &Number(coverage::PROFILE),
            1,
            coverage::PROFILE_COUNT_MAX,
            "rate at evenly spaced distances, the first at the head and the last at the radius",
        ), assumed("the rate falls evenly from the head to nothing at the radius");
    }
}

fn compute(input: Input) -> Computed {
    let flow: f64 = input.heads.iter().map(|head| head.flow_lpm).sum();
    let count = input.heads.len() as f64;
    let heads = input.heads.into_iter().map(|head| coverage::Head {
        x: Metres::new(head.x_m),
        y: Metres::new(head.y_m),
        radius: Metres::new(head.radius_m),
        arc_from: Degrees::new(head.arc_from_deg),
        arc: Degrees::new(head.arc_deg),
        flow: LitresPerMinute::new(head.flow_lpm),
        profile: head.profile,
        lean: None,
    });
    let found = coverage(&CoverageInput {
        area_m: input.area,
        holes_m: input.holes.unwrap_or_default(),
        heads: heads.collect(),
        cell: Metres::new(input.cell_m),
    })?;
    let (mean, off_target) = (found.mean.get(), found.off_target.get());
    let cell = || n("a", input.cell_m, "m");
    let rate = || n("mean", mean, "mm/h");
    let steps = vec![
        Step::new("Flow of all heads", "Q = Σ q", vec![n("heads", count, "")], n("Q", flow, "L/min")),
        Step::new(
            "Share of the flow that lands outside",
            "each head gives the cells in its arc and throw 60 q w / (a² Σ w) mm/h, w by distance; 1 − water inside / Q",
            vec![n("Q", flow, "L/min"), cell()],
            n("off target", off_target, ""),
        ),
        Step::new(
            "Mean rate over the area",
            "mean of the cells whose centre lies in the area",
            vec![n("Q", flow, "L/min"), n("off target", off_target, ""), cell()],
            rate(),
        ),
        Step::new(
            "Distribution uniformity",
            "DU = mean of the lowest quarter of the cells / mean",
            vec![rate()],
            n("DU", found.du_lq.get(), ""),
        ),
        Step::new(
            "Coefficient of uniformity",
            "CU = 1 − Σ |x − mean| / (n mean)",
            vec![rate()],
            n("CU", found.cu.get(), ""),
        ),
        Step::new(
            "Share of dry cells",
            "cells under 0.1 of the mean, or without water, over all cells of the area",
            vec![rate()],
            n("dry", found.dry_cells.get(), ""),
        ),
    ];
    let result = figures! {
        mean_mm_h: mean,
        du_lq: found.du_lq.get(),
        cu: found.cu.get(),
        off_target_fraction: off_target,
        dry_cells_fraction: found.dry_cells.get(),
    };
    Ok((result, steps))
}

//! `cut-fill`.

use reckon::surfaces::{self, SurfacesInput, cut_fill};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "cut-fill",
    about: "Earth to cut and to fill between two surfaces given by spot levels",
    source: "Triangular prisms over the common pieces of two Delaunay triangulations, each cut along the line without difference: \
             earthwork handbooks, such as US Army FM 5-430-00-1, 1994, ch. 3",
    example: r#"{"existing": [[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0]],
                 "proposed": [[0, 0, 0.5], [10, 0, -0.5], [10, 10, -0.5], [0, 10, 0.5]]}"#,
    input: &Input::RECORD,
    output: &[
        figure("cut_m3", "m³", "earth above the proposed surface, in place"),
        figure("fill_m3", "m³", "space under the proposed surface, in place"),
        figure("net_m3", "m³", "fill less cut: to bring in, below 0 to take away"),
        figure("area_m2", "m²", "level area over which was counted"),
    ],
    run: |item| reply(item, compute),
};

const PLACE: reckon::Bound =
    bound(surfaces::PLACE_M.min, surfaces::PLACE_M.max, surfaces::PLACE_M.unit, surfaces::PLACE_M.meaning);
const SPOT: Shape = Row(&[PLACE, PLACE, surfaces::HEIGHT_M], "east, north and height");
const SPOTS: Shape = list(&SPOT, 3, surfaces::SPOTS_MAX, "spot levels in any order");
const CORNER: Shape = Row(&[PLACE, PLACE], "east and north");

record! {
    /// Two surfaces.
    Input {
        existing: Vec<[f64; 3]> = SPOTS;
        proposed: Vec<[f64; 3]> = SPOTS;
        boundary: Option<Vec<[f64; 2]>> = list(&CORNER, 3, surfaces::BOUNDARY_MAX, "ring to count within; closing it is optional"),
            assumed("all that both surfaces cover is counted");
    }
}

fn compute(input: Input) -> Computed {
    let spots = vec![
        n("existing spots", input.existing.len() as f64, ""),
        n("proposed spots", input.proposed.len() as f64, ""),
    ];
    let found = cut_fill(&SurfacesInput {
        existing_m: input.existing,
        proposed_m: input.proposed,
        boundary_m: input.boundary,
    })?;
    let area = || n("A", found.area.get(), "m²");
    let cut = || n("cut", found.cut.get(), "m³");
    let fill = || n("fill", found.fill.get(), "m³");
    let steps = vec![
        Step::new("Area of both surfaces", "sum of the pieces that triangles of both have in common", spots, area()),
        Step::new(
            "Cut",
            "V = Σ A (d1 + d2 + d3) / 3 over the pieces where existing is above proposed, d their difference",
            vec![area()],
            cut(),
        ),
        Step::new("Fill", "the same over the pieces where proposed is above existing", vec![area()], fill()),
        Step::new("Net", "fill − cut", vec![fill(), cut()], n("net", found.net.get(), "m³")),
    ];
    let result = figures! {
        cut_m3: found.cut.get(),
        fill_m3: found.fill.get(),
        net_m3: found.net.get(),
        area_m2: found.area.get(),
    };
    Ok((result, steps))
}

//! `polygon-area`.

use reckon::polygon::{self, polygon_area, polygon_area_geodesic};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "polygon-area",
    about: "Area and edge of a piece of ground with holes, from corners in metres or in longitude and latitude",
    source: "Plan: A. L. F. Meister's formula, 1769 (shoelace); globe: C. F. F. Karney, Algorithms for geodesics, Journal of \
             Geodesy 87, 2013, on the WGS 84 ellipsoid",
    example: r#"{"ring": [[0, 0], [20, 0], [20, 10], [0, 10]], "holes": [[[5, 5], [8, 5], [8, 9], [5, 9]]]}"#,
    input: &Input::RECORD,
    output: &[
        figure("area_m2", "m²", "area without the holes"),
        figure("perimeter_m", "m", "length of the outer ring"),
    ],
    run: |item| reply(item, compute),
};

const CORNER: reckon::Bound = bound(
    polygon::CORNER_M.min,
    polygon::CORNER_M.max,
    polygon::CORNER_M.unit,
    "east or north of the plan's origin; in a hole of lonlat, longitude or latitude",
);
const POINT: Shape = Row(&[CORNER, CORNER], "east and north");
const RING: Shape = list(&POINT, 3, polygon::CORNERS_MAX, "corners in order; closing the ring is optional");
const GLOBE_POINT: Shape = Row(&[polygon::LONGITUDE_DEG, polygon::LATITUDE_DEG], "longitude and latitude, WGS 84");
const GLOBE_RING: Shape = list(&GLOBE_POINT, 3, polygon::CORNERS_MAX, "corners in order; closing the ring is optional");

record! {
    /// A ring on the plan or on the globe.
    Input {
        ring: Option<Vec<[f64; 2]>> = RING, optional;
        lonlat: Option<Vec<[f64; 2]>> = GLOBE_RING, optional;
        holes: Option<Vec<Vec<[f64; 2]>>> =
            list(&RING, 0, polygon::HOLES_MAX, "rings inside the outer one, in the same measure"), optional;
    }
    one of [ring] [lonlat];
}

fn compute(input: Input) -> Computed {
    let holes = input.holes.unwrap_or_default();
    let (corners, found, formula) = match (&input.ring, &input.lonlat) {
        (Some(ring), _) => (ring.len(), polygon_area(ring, &holes)?, "A = |Σ (xᵢ yᵢ₊₁ − xᵢ₊₁ yᵢ)| / 2"),
        (None, Some(lonlat)) => (
            lonlat.len(),
            polygon_area_geodesic(lonlat, &holes)?,
            "A = sum over the sides of the area between a geodesic and the equator (Karney)",
        ),
        // The reader has made sure that one form is there.
        (None, None) => return Err(Refusal::of("ring", " is missing".into())),
    };
    let corners = || vec![n("corners", corners as f64, "")];
    let ring = || n("A", found.ring.get(), "m²");
    let within = || n("H", found.holes.get(), "m²");
    let steps = vec![
        Step::new("Length of the outer ring", "sum of the sides", corners(), n("P", found.perimeter.get(), "m")),
        Step::new("Area of the outer ring", formula, corners(), ring()),
        Step::new("Area of the holes", "the same for each hole", vec![n("holes", holes.len() as f64, "")], within()),
        Step::new("Area", "A − H", vec![ring(), within()], n("area", found.area.get(), "m²")),
    ];
    Ok((figures! { area_m2: found.area.get(), perimeter_m: found.perimeter.get() }, steps))
}

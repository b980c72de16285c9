//! `tank-mix`.

use reckon::tank_mix;
use reckon::units::{Litres, LitresPer100SquareMetres, SquareMetres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "tank-mix",
    about: "Tanks of spray for an area, and the product in each",
    source: "Definition; practice: E. Ozkan, Ohio State University Extension, How much chemical product do I need to add to my \
             sprayer tank?, FABE-530, 2018",
    example: r#"{"product_per_100m2": 50, "carrier_l_per_100m2": 4.1, "tank_l": 15, "area_m2": 600}"#,
    input: &Input::RECORD,
    output: &[
        Field::new("tanks", Count("tanks to fill; the last one may be filled in part and is never empty")),
        figure("product_total", "mL or g", "product in all, exact: round down when it is measured out"),
        figure("product_per_full_tank", "mL or g", "product in a full tank"),
        figure("last_tank_l", "L", "spray in the last tank"),
        figure("last_tank_product", "mL or g", "product in the last tank"),
    ],
    run: |item| reply(item, compute),
};

record! {
    /// Label rate, calibration, tank and area.
    Input {
        product_per_100m2: f64 = Number(tank_mix::PRODUCT);
        carrier_l_per_100m2: f64 = Number(tank_mix::CARRIER);
        tank_l: f64 = Number(tank_mix::TANK_L);
        area_m2: f64 = Number(tank_mix::AREA_M2);
    }
}

fn compute(input: Input) -> Computed {
    let mix = tank_mix::tank_mix(
        input.product_per_100m2,
        LitresPer100SquareMetres::new(input.carrier_l_per_100m2),
        Litres::new(input.tank_l),
        SquareMetres::new(input.area_m2),
    )?;
    const UNIT: &str = "mL or g";
    let product = || n("p", input.product_per_100m2, "mL or g/100 m²");
    let carrier = || n("c", input.carrier_l_per_100m2, "L/100 m²");
    let area = || n("A", input.area_m2, "m²");
    let tank = || n("T", input.tank_l, "L");
    let spray = || n("V", mix.spray.get(), "L");
    let tanks = || n("k", mix.tanks as f64, "");
    let last = || n("Vₗ", mix.last_tank.get(), "L");
    let steps = vec![
        Step::new("Spray for the area", "V = c A / 100", vec![carrier(), area()], spray()),
        Step::new("Tanks", "k = V / T, rounded up", vec![spray(), tank()], tanks()),
        Step::new("Product in all", "M = p A / 100", vec![product(), area()], n("M", mix.product_total, UNIT)),
        Step::new(
            "Product in a full tank",
            "Mₜ = p T / c",
            vec![product(), tank(), carrier()],
            n("Mₜ", mix.product_per_full_tank, UNIT),
        ),
        Step::new("Spray in the last tank", "Vₗ = V − (k − 1) T", vec![spray(), tanks(), tank()], last()),
        Step::new(
            "Product in the last tank",
            "Mₗ = p Vₗ / c",
            vec![product(), last(), carrier()],
            n("Mₗ", mix.last_tank_product, UNIT),
        ),
    ];
    let result = figures! {
        tanks: Figure::Count(mix.tanks),
        product_total: mix.product_total,
        product_per_full_tank: mix.product_per_full_tank,
        last_tank_l: mix.last_tank.get(),
        last_tank_product: mix.last_tank_product,
    };
    Ok((result, steps))
}

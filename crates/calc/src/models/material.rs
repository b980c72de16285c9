//! `material`.

use reckon::material::{self, MaterialInput, material};
use reckon::units::{Fraction, KilogramsPerCubicMetre, Litres, Millimetres, SquareMetres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "material",
    about: "Mulch, soil or gravel to order for a depth on an area",
    source: "Definition: area times depth; settling as a share of the loose depth and an allowance for waste: common practice of \
             supply yards",
    example: r#"{"area_m2": 25, "depth_mm": 75, "settle_fraction": 0.25, "waste_fraction": 0.05, "density_kg_m3": 450, "bag_l": 50}"#,
    input: &Input::RECORD,
    output: &[
        figure("volume_m3", "m³", "loose volume to order"),
        Field {
            name: "mass_kg",
            shape: Shape::Figure("kg", "its mass; where the density is given"),
            need: Need::Optional,
        },
        Field {
            name: "bags",
            shape: Count("whole bags, rounded up; where a bag's size is given"),
            need: Need::Optional,
        },
    ],
    run: |item| reply(item, compute),
};

record! {
    /// What is to be covered, and with what.
    Input {
        area_m2: f64 = Number(material::AREA_M2);
        depth_mm: f64 = Number(material::DEPTH_MM);
        settle_fraction: Given = Number(material::SETTLE_FRACTION), or(0.0);
        waste_fraction: Given = Number(material::WASTE_FRACTION), or(0.0);
        density_kg_m3: Option<f64> = Number(material::DENSITY_KG_M3), optional;
        bag_l: Option<f64> = Number(material::BAG_L), optional;
    }
}

fn compute(input: Input) -> Computed {
    let order = material(&MaterialInput {
        area: SquareMetres::new(input.area_m2),
        depth: Millimetres::new(input.depth_mm),
        settle: Fraction::new(input.settle_fraction.value),
        waste: Fraction::new(input.waste_fraction.value),
        density: input.density_kg_m3.map(KilogramsPerCubicMetre::new),
        bag: input.bag_l.map(Litres::new),
    })?;
    let volume = || n("V", order.volume.get(), "m³");
    let mut steps = vec![Step::new(
        "Loose volume to order",
        "V = A d / 1000 / (1 − s) × (1 + w)",
        vec![
            n("A", input.area_m2, "m²"),
            n("d", input.depth_mm, "mm"),
            input.settle_fraction.shown(
                "s",
                "",
                "share of the loose depth lost in settling (settle_fraction) replaces it",
            ),
            input.waste_fraction.shown("w", "", "share ordered on top (waste_fraction) replaces it"),
        ],
        volume(),
    )];
    let mut result = vec![("volume_m3", Figure::from(order.volume.get()))];
    if let (Some(density), Some(mass)) = (input.density_kg_m3, order.mass) {
        let values = vec![volume(), n("ρ", density, "kg/m³")];
        steps.push(Step::new("Mass", "m = ρ V", values, n("m", mass.get(), "kg")));
        result.push(("mass_kg", Figure::from(mass.get())));
    }
    if let (Some(bag), Some(bags)) = (input.bag_l, order.bags_rounded_up) {
        let values = vec![volume(), n("b", bag, "L")];
        steps.push(Step::new("Bags to buy", "1000 V / b, rounded up", values, n("bags", bags as f64, "")));
        result.push(("bags", Figure::Count(bags)));
    }
    Ok((Figure::Record(result), steps))
}

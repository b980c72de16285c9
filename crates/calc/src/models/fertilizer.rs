//! `fertilizer`.

use reckon::fertilizer::{self, Analysis, bags_rounded_up};
use reckon::units::{GramsPerSquareMetre, Kilograms, Percent, SquareMetres};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "fertilizer",
    about: "Fertiliser that brings a nutrient to an area, what else it brings, and bags to buy",
    source: "Definition of the label's percentages by weight; practice: University of Nebraska–Lincoln Extension, Lawn fertilizer \
             calculations",
    example: r#"{"n_pct": 32, "p2o5_pct": 0, "k2o_pct": 4, "area_m2": 250, "nutrient": "n", "target_g_m2": 3.5, "bag_kg": 20}"#,
    input: &Input::RECORD,
    output: &[
        figure("product_kg", "kg", "product for the area, exact: round down when it is weighed out"),
        figure("n_g_m2", "g/m²", "nitrogen (N) it brings"),
        figure("p2o5_g_m2", "g/m²", "phosphate (P2O5) it brings"),
        figure("k2o_g_m2", "g/m²", "potash (K2O) it brings"),
        Field {
            name: "bags",
            shape: Count("whole bags to buy, rounded up; only when bag_kg is given"),
            need: Need::Optional,
        },
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A label, an area and a target.
    Input {
        n_pct: f64 = Number(fertilizer::N_PCT);
        p2o5_pct: f64 = Number(fertilizer::P2O5_PCT);
        k2o_pct: f64 = Number(fertilizer::K2O_PCT);
        area_m2: f64 = Number(fertilizer::AREA_M2);
        nutrient: Nutrient = Word(Nutrient::WORDS, "the nutrient the target counts; the product must hold some of it");
        target_g_m2: f64 = Number(fertilizer::TARGET);
        bag_kg: Option<f64> = Number(fertilizer::BAG_KG), optional;
    }
}

words! {
    /// The nutrient the target counts.
    Nutrient {
        N = "n", "nitrogen";
        P2o5 = "p2o5", "phosphate";
        K2o = "k2o", "potash";
    }
}

fn compute(input: Input) -> Computed {
    let analysis =
        Analysis { n: Percent::new(input.n_pct), p2o5: Percent::new(input.p2o5_pct), k2o: Percent::new(input.k2o_pct) };
    let nutrient = match input.nutrient {
        Nutrient::N => fertilizer::Nutrient::N,
        Nutrient::P2o5 => fertilizer::Nutrient::P2o5,
        Nutrient::K2o => fertilizer::Nutrient::K2o,
    };
    let dose = fertilizer::fertilizer(
        analysis,
        SquareMetres::new(input.area_m2),
        nutrient,
        GramsPerSquareMetre::new(input.target_g_m2),
    )?;
    let rate = || n("R", dose.rate.get(), "g/m²");
    let brings = |label: &'static str, share: f64, brought: GramsPerSquareMetre| {
        Step::new(label, "Nᵢ = R cᵢ / 100", vec![rate(), n("cᵢ", share, "%")], n("Nᵢ", brought.get(), "g/m²"))
    };
    let product = || n("M", dose.product.get(), "kg");
    let mut steps = vec![
        Step::new(
            "Product on a square metre",
            "R = 100 T / c",
            vec![n("T", input.target_g_m2, "g/m²"), n("c", analysis.share(nutrient).get(), "%")],
            rate(),
        ),
        brings("Nitrogen it brings", input.n_pct, dose.n),
        brings("Phosphate it brings", input.p2o5_pct, dose.p2o5),
        brings("Potash it brings", input.k2o_pct, dose.k2o),
        Step::new("Product for the area", "M = R A / 1000", vec![rate(), n("A", input.area_m2, "m²")], product()),
    ];
    let mut result = vec![
        ("product_kg", Figure::from(dose.product.get())),
        ("n_g_m2", Figure::from(dose.n.get())),
        ("p2o5_g_m2", Figure::from(dose.p2o5.get())),
        ("k2o_g_m2", Figure::from(dose.k2o.get())),
    ];
    if let Some(bag) = input.bag_kg {
        let bags = bags_rounded_up(dose.product, Kilograms::new(bag))?;
        steps.push(Step::new(
            "Bags to buy",
            "M / B, rounded up",
            vec![product(), n("B", bag, "kg")],
            n("bags", bags as f64, ""),
        ));
        result.push(("bags", Figure::Count(bags)));
    }
    Ok((Figure::Record(result), steps))
}

//! `active-ingredient`.

use reckon::active_ingredient::{self, Product, year_balance};
use reckon::units::{GramsPerLitre, GramsPerSquareMetre, MillilitresPerSquareMetre, Percent};

use super::*;

pub(super) const MODEL: Model = Model {
    name: "active-ingredient",
    about: "Active ingredient an application brings, and what a yearly limit leaves",
    source: "Definition of the label's strength; published tables: Pacific Northwest Weed Management Handbook, Weights and measures",
    example: r#"{"product_g_m2": 14.647, "active_pct": 0.48, "used_this_year_g_m2": 0, "yearly_limit_g_m2": 0.11209}"#,
    input: &Input::RECORD,
    output: &[
        figure("active_g_m2", "g/m²", "active ingredient of this application"),
        Field {
            name: "remaining_g_m2",
            shape: Shape::Figure(
                "g/m²",
                "active ingredient the year has left after this application, below 0 when it oversteps the limit; only when the \
                 limit is given",
            ),
            need: Need::Optional,
        },
        Field {
            name: "over_limit",
            shape: Flag("whether this application oversteps the yearly limit; only when the limit is given"),
            need: Need::Optional,
        },
    ],
    run: |item| reply(item, compute),
};

record! {
    /// A product laid down and what the year allows.
    Input {
        product_g_m2: Option<f64> = Number(active_ingredient::PRODUCT_G_M2), optional;
        product_ml_m2: Option<f64> = Number(active_ingredient::PRODUCT_ML_M2), optional;
        active_pct: Option<f64> = Number(active_ingredient::ACTIVE_PCT), optional;
        active_g_l: Option<f64> = Number(active_ingredient::ACTIVE_G_L), optional;
        used_this_year_g_m2: Given = Number(active_ingredient::USED), or(0.0);
        yearly_limit_g_m2: Option<f64> = Number(active_ingredient::YEARLY_LIMIT), optional;
    }
    one of [product_g_m2 active_pct] [product_ml_m2 active_g_l];
}

fn compute(input: Input) -> Computed {
    let (product, formula, values) = match input {
        Input { product_g_m2: Some(rate), active_pct: Some(strength), .. } => (
            Product::Dry { rate: GramsPerSquareMetre::new(rate), active: Percent::new(strength) },
            "a = R c / 100",
            vec![n("R", rate, "g/m²"), n("c", strength, "%")],
        ),
        Input { product_ml_m2: Some(rate), active_g_l: Some(strength), .. } => (
            Product::Liquid { rate: MillilitresPerSquareMetre::new(rate), active: GramsPerLitre::new(strength) },
            "a = r s / 1000",
            vec![n("r", rate, "mL/m²"), n("s", strength, "g/L")],
        ),
        // The reader has made sure that one form is whole.
        _ => return Err(Refusal::of("product_g_m2", " is missing".into())),
    };
    let found = active_ingredient::active_ingredient(product)?;
    let active = || n("a", found.get(), "g/m²");
    let mut steps = vec![Step::new("Active ingredient", formula, values, active())];
    let mut result = vec![("active_g_m2", Figure::from(found.get()))];
    if let Some(limit) = input.yearly_limit_g_m2 {
        let used = input.used_this_year_g_m2;
        let year = year_balance(found, GramsPerSquareMetre::new(used.value), GramsPerSquareMetre::new(limit))?;
        steps.push(Step::new(
            "Left of the yearly limit, below 0 when it is overstepped",
            "L − U − a",
            vec![
                n("L", limit, "g/m²"),
                used.shown("U", "g/m²", "what was applied this year (used_this_year_g_m2) replaces it"),
                active(),
            ],
            n("left", year.remaining.get(), "g/m²"),
        ));
        result.push(("remaining_g_m2", Figure::from(year.remaining.get())));
        result.push(("over_limit", Figure::from(year.over_limit)));
    }
    Ok((Figure::Record(result), steps))
}

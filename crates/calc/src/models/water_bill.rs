//! `water-bill`.

use reckon::tariff::{self, SewerCharge, Tariff, TariffStep};
use reckon::units::CubicMetres;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "water-bill",
    about: "What a period's water costs by a stepped tariff, and what the next cubic metre costs",
    source: "Definition; worked bills: a Minnesota city's rate examples, first quarter of 2013",
    example: r#"{"volume_m3": 189.2705892, "base": 147.72, "steps": [
                 {"up_to_m3": 37.85411784, "price_per_m3": 0},
                 {"up_to_m3": 132.48941244, "price_per_m3": 0.9272439},
                 {"price_per_m3": 1.6246581}],
                 "sewer_per_m3": 1.3023682, "sewer_free_m3": 56.78117676}"#,
    input: &Input::RECORD,
    output: &[
        figure("total", "money", "base, water and sewer"),
        figure("water", "money", "water, all steps"),
        figure("sewer", "money", "sewer charge"),
        figure("marginal_step", "", "the step the next cubic metre falls in, the first being 1"),
        figure("marginal_price_per_m3", "money/m³", "what that cubic metre costs, sewer charge with it"),
        Field::new(
            "lines",
            list(
                &Shape::Record(&Record { fields: LINE_FIGURES, choices: &[] }),
                0,
                tariff::STEPS_MOST,
                "each step reached",
            ),
        ),
    ],
    run: |item| reply(item, compute),
};

const LINE_FIGURES: &[Field] =
    &[figure("volume_m3", "m³", "water within the step"), figure("amount", "money", "what it costs")];

record! {
    /// A period's water and its prices.
    Input {
        volume_m3: f64 = Number(tariff::VOLUME);
        base: Given = Number(tariff::BASE), or(0.0);
        steps: Vec<StepOf> = list(&Shape::Record(&StepOf::RECORD), 1, tariff::STEPS_MOST, "steps in order, ends rising, the last without an end");
        sewer_per_m3: Given = Number(tariff::SEWER_PRICE), or(0.0);
        sewer_free_m3: Given = Number(tariff::SEWER_FREE), or(0.0);
        sewer_most_m3: Option<f64> = Number(tariff::SEWER_MOST), optional;
    }
}

record! {
    /// A step of the tariff.
    StepOf {
        up_to_m3: Option<f64> = Number(tariff::UP_TO), optional;
        price_per_m3: f64 = Number(tariff::PRICE);
    }
}

fn compute(input: Input) -> Computed {
    let m3 = CubicMetres::new;
    let prices = Tariff {
        base: input.base.value,
        steps: input
            .steps
            .iter()
            .map(|s| TariffStep { up_to: s.up_to_m3.map(m3), price_per_m3: s.price_per_m3 })
            .collect(),
        sewer: Some(SewerCharge {
            price_per_m3: input.sewer_per_m3.value,
            free: m3(input.sewer_free_m3.value),
            most: input.sewer_most_m3.map(m3),
        }),
    };
    let bill = tariff::bill(&prices, m3(input.volume_m3))?;
    let sewer = bill.sewer.map_or(0.0, |s| s.amount);
    let mut steps = Vec::with_capacity(2 * bill.lines.len() + 5);
    for (i, line) in bill.lines.iter().enumerate() {
        let within = || n("V in it", line.volume.get(), "m³");
        let price = n("p", line.price_per_m3, "money/m³");
        steps.push(Step::new(
            format!("Step {}: water", i + 1),
            "min(V, u) − u before",
            vec![n("V", input.volume_m3, "m³")],
            within(),
        ));
        steps.push(Step::new(
            format!("Step {}: cost", i + 1),
            "p × V in it",
            vec![within(), price],
            n("K", line.amount, "money"),
        ));
    }
    let charged = bill.sewer.map_or(0.0, |s| s.volume.get());
    steps.push(Step::new("Water", "Σ K", vec![], n("water", bill.water, "money")));
    steps.push(Step::new(
        "Sewer",
        "s (min(V, m) − f)",
        vec![n("V that bears it", charged, "m³"), n("s", input.sewer_per_m3.value, "money/m³")],
        n("sewer", sewer, "money"),
    ));
    steps.push(Step::new(
        "Total",
        "B + water + sewer",
        vec![n("B", bill.base, "money")],
        n("total", bill.total, "money"),
    ));
    let step = || n("step", bill.marginal_step as f64, "");
    steps.push(Step::new(
        "Step of the next cubic metre",
        "first with V < u",
        vec![n("V", input.volume_m3, "m³")],
        step(),
    ));
    steps.push(Step::new(
        "The next cubic metre",
        "price of the step it falls in, sewer price with it",
        vec![step()],
        n("price", bill.marginal_price_per_m3, "money/m³"),
    ));
    let lines = bill.lines.iter().map(|l| figures! { volume_m3: l.volume.get(), amount: l.amount });
    Ok((
        figures! {
            total: bill.total,
            water: bill.water,
            sewer: sewer,
            marginal_step: bill.marginal_step as f64,
            marginal_price_per_m3: bill.marginal_price_per_m3,
            lines: Figure::from_iter(lines),
        },
        steps,
    ))
}

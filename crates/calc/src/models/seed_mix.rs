//! `seed-mix`.

use reckon::seed_mix;
use reckon::units::{GramsPerSquareMetre, Percent, SquareMetres};

use super::*;
use crate::shape::Name;

pub(super) const MODEL: Model = Model {
    name: "seed-mix",
    about: "Pure live seed of a mixture, its parts by number, and seed for an area",
    source: "Definition of pure live seed, purity times germination: Penn State Extension, Calculating the price of pure live seed; \
             University of Minnesota Extension, Purchasing seed",
    example: r#"{"parts": [{"name": "tall fescue", "weight_pct": 90, "purity_pct": 98, "germination_pct": 85, "seeds_per_kg": 485000},
                           {"name": "Kentucky bluegrass", "weight_pct": 10, "purity_pct": 95, "germination_pct": 80,
                            "seeds_per_kg": 3086000}],
                 "rate_g_m2": 34, "area_m2": 250}"#,
    input: &Input::RECORD,
    output: &[
        figure("pure_live_seed_pct", "%", "share of the mixture's weight that is pure seed and germinates"),
        figure("seed_kg", "kg", "mixture for the area"),
        Field::new(
            "parts",
            list(&Shape::Record(&PART_FIGURES), 1, seed_mix::PARTS_MAX, "each part in the order given"),
        ),
        figure("live_seeds_cm2", "1/cm²", "seeds on a square centimetre that can grow, of all parts"),
    ],
    run: |item| reply(item, compute),
};

const PART_FIGURES: Record = Record {
    fields: &[
        Field::new("name", Shape::Name("name of the part")),
        figure("seed_count_pct", "%", "share of the mixture's pure seeds by number"),
        figure("live_seeds_cm2", "1/cm²", "seeds of this part on a square centimetre that can grow"),
    ],
    choices: &[],
};

record! {
    /// A mixture, how thickly it is sown, and where.
    Input {
        parts: Vec<Part> = list(
            &Shape::Record(&Part::RECORD),
            1,
            seed_mix::PARTS_MAX,
            "the grasses of the mixture; their weights make 100 %, give or take 0.5 for the label's rounding",
        );
        rate_g_m2: f64 = Number(seed_mix::RATE);
        area_m2: f64 = Number(seed_mix::AREA_M2);
    }
}

record! {
    /// One grass, by its label.
    Part {
        name: Name = Shape::Name("name of the part");
        weight_pct: f64 = Number(seed_mix::WEIGHT_PCT);
        purity_pct: f64 = Number(seed_mix::PURITY_PCT);
        germination_pct: f64 = Number(seed_mix::GERMINATION_PCT);
        seeds_per_kg: f64 = Number(seed_mix::SEEDS_PER_KG);
    }
}

fn compute(input: Input) -> Computed {
    let parts: Vec<seed_mix::Part> = input
        .parts
        .iter()
        .map(|part| seed_mix::Part {
            weight: Percent::new(part.weight_pct),
            purity: Percent::new(part.purity_pct),
            germination: Percent::new(part.germination_pct),
            seeds_per_kg: part.seeds_per_kg,
        })
        .collect();
    let mix = seed_mix::seed_mix(&parts, GramsPerSquareMetre::new(input.rate_g_m2), SquareMetres::new(input.area_m2))?;
    let rate = || n("R", input.rate_g_m2, "g/m²");
    let total: f64 = input.parts.iter().map(|part| part.weight_pct).sum();
    let mut steps = Vec::with_capacity(3 * parts.len() + 3);
    for (given, found) in input.parts.iter().zip(&mix.parts) {
        let label = |what: &str| format!("{}: {what}", given.name.text);
        let weight = || n("w", given.weight_pct, "%");
        let sum = || n("Σ w", total, "%");
        let purity = || n("p", given.purity_pct, "%");
        let germination = || n("g", given.germination_pct, "%");
        let seeds = || n("s", given.seeds_per_kg, "1/kg");
        steps.push(Step::new(
            label("live seed in the mixture"),
            "l = w p g / (100 Σ w)",
            vec![weight(), sum(), purity(), germination()],
            n("l", found.live_share.get(), "%"),
        ));
        steps.push(Step::new(
            label("share by number"),
            "c = 100 w p s / Σ (w p s) over all parts",
            vec![weight(), purity(), seeds()],
            n("c", found.seed_count.get(), "%"),
        ));
        steps.push(Step::new(
            label("live seeds on a square centimetre"),
            "d = R l s / 10⁹",
            vec![rate(), n("l", found.live_share.get(), "%"), seeds()],
            n("d", found.live_seeds_cm2, "1/cm²"),
        ));
    }
    let shares = mix.parts.iter().map(|part| n("l", part.live_share.get(), "%")).collect();
    let densities = mix.parts.iter().map(|part| n("d", part.live_seeds_cm2, "1/cm²")).collect();
    steps.push(Step::new("Pure live seed", "PLS = Σ l", shares, n("PLS", mix.pure_live_seed.get(), "%")));
    steps.push(Step::new(
        "Live seeds on a square centimetre",
        "D = Σ d",
        densities,
        n("D", mix.live_seeds_cm2, "1/cm²"),
    ));
    steps.push(Step::new(
        "Mixture for the area",
        "M = R A / 1000",
        vec![rate(), n("A", input.area_m2, "m²")],
        n("M", mix.seed.get(), "kg"),
    ));
    let parts = input.parts.iter().zip(&mix.parts).map(|(given, found)| {
        figures! {
            name: &given.name,
            seed_count_pct: found.seed_count.get(),
            live_seeds_cm2: found.live_seeds_cm2,
        }
    });
    let result = figures! {
        pure_live_seed_pct: mix.pure_live_seed.get(),
        seed_kg: mix.seed.get(),
        parts: Figure::from_iter(parts),
        live_seeds_cm2: mix.live_seeds_cm2,
    };
    Ok((result, steps))
}

//! `growth-potential`.

use reckon::growth_potential::{self, TurfSeason, growth_potential};
use reckon::units::Celsius;

use super::*;

pub(super) const MODEL: Model = Model {
    name: "growth-potential",
    about: "How near the day's warmth is to what the grass grows best in, 0 to 1",
    source: "W. Gelernter and L. Stowell, Improved overseeding programs 1: the role of weather, Golf Course Management, March \
             2005, pp. 108–113",
    example: r#"{"tmean_c": 15, "grass": "cool"}"#,
    input: &Input::RECORD,
    output: &[figure("growth_potential", "", "1 at the best temperature, 0 far from it")],
    run: |item| reply(item, compute),
};

record! {
    /// Warmth and grass.
    Input {
        tmean_c: f64 = Number(growth_potential::TMEAN);
        grass: Grass = Word(Grass::WORDS, "family of the grass");
    }
}

words! {
    /// The two families of lawn grass.
    Grass {
        Cool = "cool", "bluegrass, fescues, ryegrass, bentgrass";
        Warm = "warm", "bermudagrass, zoysiagrass, St. Augustinegrass, centipedegrass, buffalograss";
    }
}

fn compute(input: Input) -> Computed {
    let (season, formula) = match input.grass {
        Grass::Cool => (TurfSeason::Cool, "GP = exp(−0.5 ((T − 20) / 5.5)²)"),
        Grass::Warm => (TurfSeason::Warm, "GP = exp(−0.5 ((T − 31) / 7)²)"),
    };
    let found = growth_potential(Celsius::new(input.tmean_c), season).get();
    let values = vec![n("T", input.tmean_c, "°C"), Value::text("grass", input.grass.word())];
    let steps = vec![Step::new("Growth potential", formula, values, n("GP", found, ""))];
    Ok((figures! { growth_potential: found }, steps))
}

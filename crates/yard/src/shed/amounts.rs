//! What one visit takes: the spreader's setting, the tanks, from the person's own trials.

use reckon::spreader::{Trial, spreader_calibration};
use reckon::tank_mix::tank_mix;
use reckon::units::factor::L_PER_GALLON;
use reckon::units::{GramsPerSquareMetre, Kilograms, Litres, LitresPer100SquareMetres, Metres, SquareMetres};
use reckon::working::{Step, Value};

use crate::entry::{Form, ProductFacts};
use crate::fold::Yard;
use crate::units::{Quantity, Units, significant};

/// Share by which the trials may stray from their line before the setting is called doubtful (common practice: a tenth).
const STRAY_MOST: f64 = 0.1;

/// How to put a rate of a product (g/m²; mL/m² for liquids) on so much ground, in words with their working; nothing where neither
/// a spreader nor a sprayer was tried out.
pub fn visit_amounts(yard: &Yard, product: &ProductFacts, rate: f64, size_m2: f64) -> Vec<(String, Step)> {
    match product.form {
        Form::Granule => spreaders(yard, product, rate),
        Form::Liquid => sprayers(yard, rate, size_m2),
    }
}

fn spreaders(yard: &Yard, product: &ProductFacts, rate: f64) -> Vec<(String, Step)> {
    let mut names: Vec<&str> = Vec::new();
    let mut out = Vec::new();
    // The last trials of each spreader with this product.
    for tried in yard.spreaders.iter().rev().filter(|s| s.fact.product == product.key) {
        if names.contains(&tried.fact.spreader.as_str()) {
            continue;
        }
        names.push(&tried.fact.spreader);
        let trials: Vec<Trial> = tried
            .fact
            .trials
            .iter()
            .map(|t| Trial {
                setting: t.setting,
                collected: Kilograms::new(t.collected_kg),
                swath: Metres::new(t.swath_m),
                length: Metres::new(t.length_m),
            })
            .collect();
        let half = rate / 2.0;
        let found = match spreader_calibration(&trials, GramsPerSquareMetre::new(half)) {
            Ok(found) => found,
            Err(e) => {
                let words = format!("{}: its trials of {} cannot be used: {e}", tried.fact.spreader, tried.on);
                out.push((words, Step::new("spreader setting", "none", Vec::new(), Value::text("setting", "none"))));
                continue;
            }
        };
        let stray = found
            .measured
            .iter()
            .zip(&found.fit)
            .map(|(m, f)| (m.get() - f.get()).abs() / f.get().max(1e-9))
            .fold(0.0, f64::max);
        let doubt = if !found.within_trials {
            "; beyond your trials: try it on a strip first"
        } else if stray > STRAY_MOST {
            "; they stray from each other: weigh one more"
        } else {
            ""
        };
        let error = if trials.len() < 3 {
            "two trials, a third would show their error".to_owned()
        } else {
            format!("{} trials, within {:.0} %", trials.len(), stray * 100.0)
        };
        let words = format!(
            "{}: setting {:.1} for half the rate, two passes at right angles ({error}, {}{doubt})",
            tried.fact.spreader, found.setting, tried.on
        );
        let [low, high] = found.segment;
        let point = |name: &'static str, p: reckon::spreader::Point| {
            Value::number(name, p.rate.get(), "g/m²").from(format!("your trials at setting {}", p.setting))
        };
        let step = Step::new(
            "spreader setting",
            "straight line between the two measured rates around half the rate",
            vec![Value::number("half rate", half, "g/m²"), point("lower", low), point("higher", high)],
            Value::number("setting", found.setting, ""),
        );
        out.push((words, step));
    }
    out
}

fn sprayers(yard: &Yard, rate_ml_m2: f64, size_m2: f64) -> Vec<(String, Step)> {
    let u = yard.units();
    let mut names: Vec<&str> = Vec::new();
    let mut out = Vec::new();
    for tried in yard.sprayers.iter().rev() {
        let f = &tried.fact;
        if names.contains(&f.sprayer.as_str()) {
            continue;
        }
        names.push(&f.sprayer);
        let carrier = LitresPer100SquareMetres::new(100.0 * f.used_l / f.on_m2);
        let mix = tank_mix(rate_ml_m2 * 100.0, carrier, Litres::new(f.tank_l), SquareMetres::new(size_m2));
        let Ok(mix) = mix else { continue };
        // To a tenth of a gallon and finer: a tank is filled to a mark.
        let water = |l: f64| format!("{} {}", significant(u.show(Quantity::Volume, l), 3), u.symbol(Quantity::Volume));
        let product = |ml: f64| u.say(Quantity::VolumeProduct, ml / 1000.0);
        // What a hose-end dial or a can is set by: product to a measure of water.
        let one = if u == Units::Metric { 1.0 } else { L_PER_GALLON };
        let strength = format!(
            "{} to {}",
            product(mix.product_per_full_tank / f.tank_l * one),
            if u == Units::Metric { "the litre" } else { "the gallon" }
        );
        let words = if mix.tanks <= 1 {
            format!(
                "{}: one tank of {} with {} ({strength})",
                f.sprayer,
                water(mix.last_tank.get()),
                product(mix.last_tank_product)
            )
        } else {
            format!(
                "{}: {} full tank{} of {} with {} each, then {} with {} ({strength})",
                f.sprayer,
                mix.tanks - 1,
                if mix.tanks == 2 { "" } else { "s" },
                water(f.tank_l),
                product(mix.product_per_full_tank),
                water(mix.last_tank.get()),
                product(mix.last_tank_product)
            )
        };
        let step = Step::new(
            "tanks",
            "spray = water per area × area; product in each tank by its share",
            vec![
                Value::number("water used", f.used_l, "L").from(format!("your trial of {}", tried.on)),
                Value::number("on", f.on_m2, "m²").from("the same trial"),
                Value::number("tank", f.tank_l, "L"),
                Value::number("ground", size_m2, "m²"),
            ],
            Value::number("spray", mix.spray.get(), "L"),
        );
        out.push((words, step));
    }
    out
}

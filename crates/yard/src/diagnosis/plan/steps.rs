//! Care of a patch in steps, with the amounts the yard can reckon.

use almanac::{CareKind, CareStep, Remedy};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::mend::capital;
use super::timing::grows_from;
use super::treat::Spot;
use crate::advice::Scene;
use crate::advice::delivery::run_for;
use crate::advice::feeding::nitrogen_given;
use crate::shed::soil_verdict;
use crate::units::{Quantity, significant};
use crate::weather::Outlook;

/// Days back over which a feed still counts (University of Nebraska and municipal guidance: four to six weeks apart).
const FED_DAYS: i64 = 28;

/// One step of care.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Care {
    /// What, with amounts.
    pub words: String,
    /// More: the minutes of each zone, the bag of feed.
    pub more: Vec<String>,
}

/// The steps of a remedy for this ground.
pub(super) fn steps(
    scene: &Scene<'_>,
    outlook: &Outlook<'_>,
    remedy: &Remedy,
    spot: Spot<'_>,
    working: &mut Vec<Step>,
) -> Vec<Care> {
    remedy.steps.iter().map(|step| one(scene, outlook, step, spot, working)).collect()
}

fn one(scene: &Scene<'_>, outlook: &Outlook<'_>, step: &CareStep, spot: Spot<'_>, working: &mut Vec<Step>) -> Care {
    let u = scene.units();
    let grass = spot.area.grass.as_deref().and_then(|g| scene.almanac.grass(g));
    let mut more = Vec::new();
    let head = match step.what {
        CareKind::Water => water(scene, step, spot, &mut more, working),
        CareKind::MowHigh => grass.map(|g| format!("Cut at {}", u.say(Quantity::Depth, g.mow_mm[2]))),
        CareKind::Feed => Some(feed(scene, step.n_g_m2.unwrap_or(0.0), spot, &mut more, working)),
        CareKind::Core => Some(match grass.and_then(|g| grows_from(scene, outlook, g.season)) {
            Some(window) => format!("Core, when the grass grows: likely from {}", window.likely),
            None => "Core: the grass grows now".to_owned(),
        }),
        CareKind::Topdress => step.mm.map(|mm| topdress(scene, mm, spot, working)),
        CareKind::Ph => Some(ph(scene, spot)),
        CareKind::Zone => {
            let names: Vec<&str> = scene.yard.zones_of(&spot.area.key).map(|z| z.name.as_str()).collect();
            Some(if names.is_empty() { "Watering".to_owned() } else { names.join(", ") })
        }
        CareKind::Words => None,
    };
    let words = match head {
        Some(head) => format!("{head}: {}.", step.words),
        None => format!("{}.", capital(&step.words)),
    };
    Care { words, more }
}

fn water(
    scene: &Scene<'_>,
    step: &CareStep,
    spot: Spot<'_>,
    more: &mut Vec<String>,
    working: &mut Vec<Step>,
) -> Option<String> {
    let u = scene.units();
    let mm = step.mm?;
    let rhythm = match (step.times, step.apart_days) {
        (1, _) => String::new(),
        (n, 1) => format!(", {n} times, a day apart"),
        (n, d) => format!(", {n} times, {d} days apart"),
    };
    let shared = scene.yard.zones_of(&spot.area.key).count().max(1) as f64;
    for zone in scene.yard.zones_of(&spot.area.key) {
        let Some((run, steps)) = run_for(scene, zone, spot.area, mm / shared) else { continue };
        let cycles = if run.cycles > 1 {
            format!(" in {} runs of {:.0}, {:.0} min between", run.cycles, run.minutes_per_cycle.get(), run.soak.get())
        } else {
            String::new()
        };
        more.push(format!("{}: {:.0} min{cycles}", zone.name, run.minutes.get()));
        working.extend(steps);
    }
    if let Some(m2) = spot.m2 {
        more.push(format!("by hand on the patch: {}", u.say(Quantity::Volume, mm * m2)));
        working.push(Step::new(
            "water by hand",
            "depth × ground (1 mm on 1 m² is 1 L)",
            vec![Value::number("depth", mm, "mm"), Value::number("ground", m2, "m²")],
            Value::number("water", mm * m2, "L"),
        ));
    }
    Some(format!("Water {}{rhythm}", u.say(Quantity::Depth, mm)))
}

fn feed(scene: &Scene<'_>, n: f64, spot: Spot<'_>, more: &mut Vec<String>, working: &mut Vec<Step>) -> String {
    let u = scene.units();
    let month_ago = scene.on.checked_sub(jiff::Span::new().days(FED_DAYS)).unwrap_or(scene.on);
    if let Some((on, given)) = nitrogen_given(scene.yard, &spot.area.key, month_ago, scene.on).last() {
        return format!(
            "No feed now: {} of nitrogen went down on {on}; after {FED_DAYS} days {} of nitrogen",
            u.say(Quantity::Dose, *given),
            u.say(Quantity::Dose, n)
        );
    }
    // The plainest feed on the shelf: no ingredient, least phosphate.
    let plain = scene.yard.products.iter().filter(|p| p.n_pct > 0.0 && p.actives.is_empty());
    if let Some(product) = plain.min_by(|a, b| a.p2o5_pct.total_cmp(&b.p2o5_pct)) {
        let rate = scene.rate_rounded_down(product.dose_quantity(), n / (product.n_pct / 100.0));
        let ground = spot.m2.unwrap_or(spot.area.size_m2).min(spot.area.size_m2);
        let total = rate * ground / 1000.0;
        more.push(format!(
            "{}: {} at {} on {}",
            product.name,
            u.say(product.amount_quantity(), total),
            u.say(product.dose_quantity(), rate),
            u.say(Quantity::Area, ground)
        ));
        working.push(Step::new(
            "feed for the patch",
            "nitrogen / share in the product × ground",
            vec![
                Value::number("nitrogen", n, "g/m²"),
                Value::number("share", product.n_pct, "%").from("the label, as typed"),
                Value::number("ground", ground, "m²"),
            ],
            Value::number("product", total, product.amount_quantity().si()),
        ));
    }
    format!("Feed {} of nitrogen", u.say(Quantity::Dose, n))
}

fn topdress(scene: &Scene<'_>, mm: f64, spot: Spot<'_>, working: &mut Vec<Step>) -> String {
    let u = scene.units();
    let depth = u.say(Quantity::Depth, mm);
    let Some(m2) = spot.m2 else { return format!("Top-dress {depth}") };
    let litres = mm * m2;
    working.push(Step::new(
        "top-dressing",
        "depth × ground (1 mm on 1 m² is 1 L)",
        vec![Value::number("depth", mm, "mm"), Value::number("ground", m2, "m²")],
        Value::number("soil or compost", litres, "L"),
    ));
    format!("Top-dress {depth}, {} in all", u.say(Quantity::Volume, litres))
}

fn ph(scene: &Scene<'_>, spot: Spot<'_>) -> String {
    let u = scene.units();
    let verdict = soil_verdict(scene.yard, scene.almanac, spot.area, scene.on);
    match verdict.as_ref().map(|v| (v.ph, v.amend.as_ref())) {
        Some((_, Some(a))) => format!(
            "{}: {} in all, {} dose{} of {} some {} months apart, to pH {}",
            capital(a.name),
            u.say(Quantity::Dose, a.total_g_m2),
            a.doses,
            if a.doses == 1 { "" } else { "s" },
            u.say(Quantity::Dose, a.each_g_m2),
            a.months_between,
            significant(a.goal_ph, 2)
        ),
        Some((Some(ph), None)) => format!("No lime: the soil test says pH {}", significant(ph, 2)),
        _ => "Have the soil tested for pH".to_owned(),
    }
}

//! Work the owner planned, with what the checks say of it.

use reckon::working::{Step, Value};

use super::checks::{check_application, check_sowing, nearest_clear_day, safe_with_seed};
use super::{Finding, Item, Job, Level, LogAs, Scene, urgency_of};
use crate::entry::{Body, Work};
use crate::fold::Yard;
use crate::form::typed_from;
use crate::shed::{shelf_words, visit_amounts};
use crate::units::Quantity;

/// One item for each plan from today on.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    scene.yard.plans.iter().map(|plan| item(scene, &plan.id, plan.on, &plan.fact.work)).collect()
}

/// The findings on a piece of work on a day, and the first clear day when something stops it.
pub fn check_work(
    scene: &Scene<'_>,
    work: &Work,
    on: jiff::civil::Date,
    except: Option<&str>,
) -> (Vec<Finding>, Option<jiff::civil::Date>) {
    let check = |day| match work {
        Work::Apply(a) => check_application(scene, a, day, except),
        Work::Sow(s) => check_sowing(scene, s, day, except),
    };
    let findings = check(on);
    let stopped = findings.iter().any(|f| f.level == Level::Stop);
    let clear = if stopped { nearest_clear_day(on, check) } else { None };
    (findings, clear)
}

/// A line on what the work is.
pub fn work_words(scene: &Scene<'_>, work: &Work) -> String {
    match work {
        Work::Apply(a) => {
            let product = scene.yard.product(&a.product).map_or(a.product.as_str(), |p| p.name.as_str());
            format!("Put {product} on {}", scene.yard.area_names(&a.areas))
        }
        Work::Sow(s) => {
            let grass = scene.almanac.grass(&s.grass).map_or(s.grass.as_str(), |g| g.name.as_str());
            format!("Sow {grass} on {}", scene.yard.area_name(&s.area))
        }
    }
}

/// What would do the same job where the checks stop it.
pub fn instead(scene: &Scene<'_>, work: &Work, findings: &[Finding]) -> Vec<String> {
    let seed_stops =
        findings.iter().any(|f| f.level == Level::Stop && (f.rule == "seed-wait" || f.rule == "seedlings"));
    let mut out = Vec::new();
    if !seed_stops {
        return out;
    }
    match work {
        Work::Apply(a) => {
            // Safe for the stand and for every seed in or meant for the ground.
            let on_area = |key: &str, on| a.areas.iter().any(|k| scene.yard.meet(k, scene.on, key, on));
            let stands = a.areas.iter().filter_map(|k| scene.yard.area(k)?.grass.as_deref());
            let sown = scene
                .yard
                .seedings
                .iter()
                .filter(|s| on_area(&s.fact.area, s.on) && Yard::days_between(s.on, scene.on) < 365);
            let meant = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
                Work::Sow(s) if on_area(&s.area, p.on) => Some(s.grass.as_str()),
                _ => None,
            });
            let grasses: Vec<&str> = stands.chain(sown.map(|s| s.fact.grass.as_str())).chain(meant).collect();
            let names: Vec<&str> = safe_with_seed(scene, &grasses).iter().map(|a| a.name.as_str()).collect();
            if !names.is_empty() {
                out.push(format!("instead: {} may go with seed of this grass (read the label)", names.join(" or ")));
            }
            out.push("or leave the preventer out here this year and pull weeds by hand".to_owned());
        }
        Work::Sow(_) => out.push(
            "or lay sod of the same grass where it is bare (check the preventer's label for sod), or wait".to_owned(),
        ),
    }
    out
}

fn item(scene: &Scene<'_>, id: &str, planned: jiff::civil::Date, work: &Work) -> Item {
    let u = scene.units();
    let overdue = planned < scene.on;
    let on = planned.max(scene.on);
    let (findings, clear) = check_work(scene, work, on, Some(id));
    let mut amounts = Vec::new();
    let mut working = Vec::new();
    let places = match work {
        Work::Apply(a) => {
            let whole = || a.areas.iter().filter_map(|k| scene.yard.area(k)).map(|x| x.size_m2).sum();
            let size: f64 = a.spot_m2.unwrap_or_else(whole);
            let total = a.rate_g_m2 * size / 1000.0;
            let product = scene.yard.product(&a.product);
            let dose = product.map_or(Quantity::Dose, |p| p.dose_quantity());
            let amount = product.map_or(Quantity::Mass, |p| p.amount_quantity());
            amounts.push(format!(
                "{} at {}{}",
                u.say(amount, total),
                u.say(dose, a.rate_g_m2),
                spot_words(scene, a.spot_m2)
            ));
            working.push(amount_step(a.rate_g_m2, size, total, dose, amount));
            if let Some(product) = product {
                for (words, step) in visit_amounts(scene.yard, product, a.rate_g_m2, size) {
                    amounts.push(words);
                    working.push(step);
                }
                amounts.extend(shelf_words(scene.yard, product, total));
            }
            a.areas.iter().map(|k| scene.place_of(k)).collect()
        }
        Work::Sow(s) => {
            let size = s.spot_m2.unwrap_or_else(|| scene.yard.area(&s.area).map_or(0.0, |x| x.size_m2));
            let total = s.rate_g_m2 * size / 1000.0;
            amounts.push(format!(
                "{} of seed at {}{}",
                u.say(Quantity::Mass, total),
                u.say(Quantity::Dose, s.rate_g_m2),
                spot_words(scene, s.spot_m2)
            ));
            working.push(amount_step(s.rate_g_m2, size, total, Quantity::Dose, Quantity::Mass));
            vec![scene.place_of(&s.area)]
        }
    };
    if let Some(day) = clear {
        amounts.push(format!("first day nothing stops it: {day}"));
    }
    amounts.extend(instead(scene, work, &findings));
    let done = match work {
        Work::Apply(a) => Body::Applied(a.clone()),
        Work::Sow(s) => Body::Seeded(s.clone()),
    };
    let stops = findings.iter().filter(|f| f.level == Level::Stop).count();
    let why = match stops {
        _ if overdue => {
            format!("You planned it for {planned}, and nothing is written down of it: done, moved or dropped?")
        }
        0 => format!("You planned it for {on}. Nothing stops it; read the cautions."),
        1 => format!("You planned it for {on}. One check says Stop."),
        n => format!("You planned it for {on}. {n} checks say Stop."),
    };
    Item {
        id: format!("plan:{id}"),
        job: Job::Planned,
        title: format!("{}{}", if overdue { "Overdue: " } else { "" }, work_words(scene, work)),
        places,
        amounts,
        urgency: urgency_of(scene.on, on),
        from: Some(on),
        by: Some(planned),
        window: None,
        window_of: "",
        why,
        findings,
        cautions: vec![
            "The product's label and local law govern; this check only repeats what is known of them.".to_owned(),
        ],
        working,
        assumed: Vec::new(),
        log: typed_from(&done, scene.yard)
            .map(|(kind, fields)| LogAs { words: "Log it as done".to_owned(), kind, fields })
            .into_iter()
            .collect(),
    }
}

/// Where only a spot is meant, its size.
fn spot_words(scene: &Scene<'_>, spot_m2: Option<f64>) -> String {
    spot_m2.map(|m2| format!(", only on a spot of {}", scene.units().say(Quantity::Area, m2))).unwrap_or_default()
}

fn amount_step(rate: f64, size: f64, total: f64, dose: Quantity, amount: Quantity) -> Step {
    Step::new(
        "amount",
        "rate × ground: the spot told, else whole areas",
        vec![Value::number("rate", rate, dose.si()).from("your plan"), Value::number("size", size, "m²")],
        Value::number("total", total, amount.si()),
    )
}

//! Things seen and not yet settled: look again, when and for what.

use almanac::plant::PlantCause;
use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};

use super::{Item, Job, LogAs, Scene, Urgency};
use crate::diagnosis::{Plan, plan_of};
use crate::entry::{AreaFacts, Scouted};
use crate::fold::Yard;

/// Days after which an open matter wants another look where no cause is held likely; common practice.
const LOOK_AGAIN_DAYS: i64 = 7;
/// Days after which a plant is looked at again: what dies back or comes again shows in a month or so; common practice.
const PLANT_AGAIN_DAYS: i64 = 30;

/// Days an open matter is asked after once it is due.
const ASK_DAYS: i64 = 60;

/// One item for each area whose last look left the matter open.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    let mut out = Vec::new();
    for area in &scene.yard.areas {
        let Some(seen) = scene.yard.scoutings.iter().rev().find(|s| s.fact.area == area.key) else { continue };
        let age = Yard::days_between(seen.on, scene.on);
        // Not while nothing grows.
        let quiet = scene.weather.usual(scene.on, scene.on).tmean_c < 5.0;
        if seen.fact.settled || quiet {
            continue;
        }
        let plan = plan_of(scene, area, &seen.fact);
        let unknown = if seen.fact.plant.is_some() { PLANT_AGAIN_DAYS } else { LOOK_AGAIN_DAYS };
        let days = plan.as_ref().map_or(unknown, |p| i64::from(p.again_days));
        if age > days.max(LOOK_AGAIN_DAYS) + ASK_DAYS - LOOK_AGAIN_DAYS {
            continue;
        }
        out.push(item(scene, area, seen.on, &seen.fact, plan.as_ref(), days));
    }
    out.retain(|i| i.urgency != Urgency::Ahead);
    out
}

/// What to do then: what to look for under the cause held likely, or the tests that part the commonest causes.
fn looks(plan: Option<&Plan>, of_plant: Option<Option<&PlantCause>>) -> Vec<String> {
    if let Some(cause) = of_plant {
        let held = cause.map(|c| format!("{} {}", c.advice, c.when));
        let test = "scratch a twig, a branch and low on the stem: green is alive; look for new growth and how far the damage has gone";
        return held.into_iter().chain([test.to_owned()]).collect();
    }
    match plan {
        Some(p) => {
            let count = p.count_first.as_ref().map(|_| "count what lives there before anything is put down".to_owned());
            std::iter::once(format!("look for: {}", p.look_for)).chain(count).collect()
        }
        None => vec![
            "tug a handful at the edge: does it lift like a carpet (roots eaten) or hold?".to_owned(),
            "cut a square foot three inches deep: grubs? roots? smell?".to_owned(),
            "push a screwdriver in: does it stop short here and not beside it? Feel the soil: dry?".to_owned(),
            "look at blades with a lens: spots with a dark rim, threads, chewed edges?".to_owned(),
        ],
    }
}

/// The care of a plan, and how the ground is mended, a line each.
fn care(plan: &Plan) -> Vec<String> {
    let steps = plan.care.iter().map(|c| match c.more.as_slice() {
        [] => c.words.clone(),
        more => format!("{} ({})", c.words, more.join("; ")),
    });
    steps.chain(plan.mend.iter().map(|m| m.why.clone())).collect()
}

fn item(scene: &Scene<'_>, area: &AreaFacts, on: Date, seen: &Scouted, plan: Option<&Plan>, days: i64) -> Item {
    let due: Date = on.checked_add(Span::new().days(days)).unwrap_or(scene.on);
    let key = seen.cause.as_deref();
    let of_plant = seen.plant.is_some().then(|| key.and_then(|c| scene.almanac.plants.cause(c)));
    let name = match of_plant {
        Some(cause) => cause.map(|c| &c.name),
        None => key.and_then(|c| scene.almanac.cause(c)).map(|c| &c.name),
    };
    let held = match name {
        Some(name) => {
            let sure = seen.probability.map(|p| format!(", {:.0} %", p * 100.0)).unwrap_or_default();
            format!("Held likeliest: {name}{sure}. {}", plan.map_or("", |p| p.line.as_str()))
        }
        None => "No cause is settled yet.".to_owned(),
    };
    let when = match plan {
        Some(_) => "the days after which the cause held likely shows whether it heals",
        None if of_plant.is_some() => "a month after the last look at the plant (common practice)",
        None => "a week after the last look (common practice)",
    };
    // Until the next look is due, the care is what is to be done.
    let tended = plan.filter(|p| due > scene.on && !p.care.is_empty());
    let title = match (tended, name) {
        (Some(plan), Some(name)) => format!("{}: {name} on {}", plan.heading(), area.name),
        _ => format!("Look again at {}", area.name),
    };
    let mut amounts = tended.map(care).unwrap_or_default();
    amounts.extend(looks(plan, of_plant).into_iter().map(|l| match tended {
        Some(_) => format!("on {due} {l}"),
        None => l,
    }));
    let mut cautions: Vec<String> = tended.map(|p| p.cautions.clone()).unwrap_or_default();
    cautions.push("No fungicide or insecticide before the cause is known.".to_owned());
    let mut working = tended.map(|p| p.working.clone()).unwrap_or_default();
    working.push(Step::new(
        "when to look again",
        when,
        vec![Value::text("last look", on.to_string()).from("daybook"), Value::number("days", days as f64, "d")],
        Value::text("look by", due.to_string()),
    ));
    Item {
        id: format!("scout:{}", area.key),
        job: Job::Scout,
        title,
        places: vec![scene.place_of(&area.key)],
        amounts,
        urgency: if due <= scene.on || tended.is_some() { Urgency::ThisWeek } else { super::urgency_of(scene.on, due) },
        from: Some(scene.on),
        by: Some(due.max(scene.on)),
        window: None,
        window_of: "",
        why: format!("On {on} you saw: “{}”. {held} Log what you find; tick “settled” when it is.", seen.seen),
        findings: Vec::new(),
        cautions,
        working,
        assumed: Vec::new(),
        log: vec![LogAs::new("Log what you see", "scouted", &[("area", area.key.clone())])],
    }
}

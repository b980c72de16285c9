//! Things seen and not yet settled: look again, and with which test.

use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};

use super::{Item, Job, LogAs, Scene, Urgency};
use crate::fold::Yard;

/// Days after which an open matter wants another look.
const LOOK_AGAIN_DAYS: i64 = 7;

/// Days an open matter is asked after.
const ASK_DAYS: i64 = 60;

/// One item for each area whose last look left the cause open.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    let mut out = Vec::new();
    for area in &scene.yard.areas {
        let Some(seen) = scene.yard.scoutings.iter().rev().find(|s| s.fact.area == area.key) else { continue };
        let age = Yard::days_between(seen.on, scene.on);
        // Asked for two months, and not while nothing grows.
        let quiet = scene.weather.usual(scene.on, scene.on).tmean_c < 5.0;
        if seen.fact.settled || age > ASK_DAYS || quiet {
            continue;
        }
        let due: Date = seen.on.checked_add(Span::new().days(LOOK_AGAIN_DAYS)).unwrap_or(scene.on);
        out.push(Item {
            id: format!("scout:{}", area.key),
            job: Job::Scout,
            title: format!("Look again at {}", area.name),
            places: vec![scene.place_of(&area.key)],
            amounts: vec![
                "tug a handful at the edge: does it lift like a carpet (roots eaten) or hold?".to_owned(),
                "cut a square foot three inches deep: grubs? roots? smell?".to_owned(),
                "push a screwdriver in: does it stop short here and not beside it? Feel the soil: dry?".to_owned(),
                "look at blades with a lens: spots with a dark rim, threads, chewed edges?".to_owned(),
            ],
            urgency: if due <= scene.on { Urgency::ThisWeek } else { super::urgency_of(scene.on, due) },
            from: Some(scene.on),
            by: Some(due.max(scene.on)),
            window: None,
            window_of: "",
            why: format!(
                "On {} you saw: “{}”. No cause is settled yet. Log what you find; tick “settled” when it is.",
                seen.on, seen.fact.seen
            ),
            findings: Vec::new(),
            cautions: vec!["No fungicide or insecticide before the cause is known.".to_owned()],
            working: vec![Step::new(
                "when to look again",
                "a week after the last look (common practice)",
                vec![Value::text("last look", seen.on.to_string()).from("daybook")],
                Value::text("look by", due.to_string()),
            )],
            assumed: Vec::new(),
            log: vec![LogAs::new("Log what you see", "scouted", &[("area", area.key.clone())])],
        });
    }
    out.retain(|i| i.urgency != Urgency::Ahead);
    out
}

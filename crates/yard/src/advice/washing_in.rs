//! Washing in: what went down and still wants its water.

use jiff::Span;
use reckon::working::{Step, Value};

use super::checks::water_to_follow;
use super::delivery::counted_depth;
use super::{Item, Job, LogAs, Scene, urgency_of};
use crate::fold::Yard;
use crate::units::Quantity;

/// Water missing that is worth a task (mm).
const LEAST_MM: f64 = 2.0;

/// One item for each application whose water has not come yet.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    scene
        .yard
        .applications
        .iter()
        .rev()
        .take_while(|a| Yard::days_between(a.on, scene.on) <= 40)
        .filter_map(|a| item(scene, a))
        .collect()
}

fn item(scene: &Scene<'_>, put: &crate::fold::Dated<crate::entry::Applied>) -> Option<Item> {
    let product = scene.yard.product_on(&put.fact.product, put.on)?;
    let (name, need_mm, within_days, source) = water_to_follow(scene, product)?;
    let by = put.on.checked_add(Span::new().days(within_days.ceil() as i64)).ok()?;
    if by < scene.on || put.on > scene.on {
        return None;
    }
    let area = put.fact.areas.first()?;
    let at_once = put.fact.watered_in_mm.unwrap_or(0.0);
    let mut rain = 0.0;
    let mut day = put.on.tomorrow().ok()?;
    while day < scene.on {
        rain += scene.yard.rain.get(&day).copied().unwrap_or_else(|| scene.weather.day(day).rain_mm);
        day = day.tomorrow().ok()?;
    }
    rain += scene.yard.rain.get(&scene.on).copied().unwrap_or(0.0);
    let watered: f64 = scene
        .yard
        .waterings
        .iter()
        .filter(|w| w.on >= put.on && w.on <= scene.on)
        .map(|w| match (&w.fact.zone, w.fact.minutes, &w.fact.area, w.fact.depth_mm) {
            (Some(z), Some(minutes), ..) => scene.yard.zones_ever.iter().find(|x| &x.key == z).map_or(0.0, |zone| {
                let share: f64 = zone.areas.iter().map(|a| scene.yard.share_of(area, a, w.on)).sum();
                if share > 0.0 { share.min(1.0) * counted_depth(scene, zone, minutes) } else { 0.0 }
            }),
            (_, _, Some(a), Some(mm)) => scene.yard.share_of(area, a, w.on) * mm,
            _ => 0.0,
        })
        .sum();
    let missing = need_mm - at_once - rain - watered;
    if missing < LEAST_MM {
        return None;
    }
    let u = scene.units();
    let names = scene.yard.area_names(&put.fact.areas);
    Some(Item {
        id: format!("wash-in:{}", put.id),
        job: Job::Water,
        title: format!("Wash {} in on {names}", product.name),
        places: put.fact.areas.iter().map(|a| scene.place_of(a)).collect(),
        amounts: vec![format!("{} more, from rain or sprinklers", u.say(Quantity::Depth, missing))],
        urgency: urgency_of(scene.on, by.yesterday().unwrap_or(by)),
        from: Some(scene.on),
        by: Some(by),
        window: None,
        window_of: "",
        why: format!(
            "{name} went down on {} and wants {} of water by {by}; {} has come.",
            put.on,
            u.say(Quantity::Depth, need_mm),
            u.say(Quantity::Depth, need_mm - missing)
        ),
        findings: Vec::new(),
        cautions: vec!["Enough to wet, not so much that water runs off; the label's own figure governs.".to_owned()],
        working: vec![Step::new(
            "water still missing",
            "need − watered in at once − rain − watering since",
            vec![
                Value::number("need", need_mm, "mm").from(source),
                Value::number("at once", at_once, "mm").from("daybook"),
                Value::number("rain", rain, "mm").from(scene.weather.basis().origin()),
                Value::number("watering", watered, "mm").from("daybook"),
            ],
            Value::number("missing", missing, "mm"),
        )],
        assumed: Vec::new(),
        log: scene
            .yard
            .zones_of(area)
            .map(|z| LogAs::new(format!("Log {}", z.name), "watered", &[("zone", z.key.clone())]))
            .collect(),
    })
}

//! The sprinkler system through the year: opened after the last frost, shut before the first hard freeze.

use jiff::civil::Date;

use super::{Item, Job, LogAs, Scene, Urgency, urgency_of};
use crate::entry::SystemState;
use crate::fold::Yard;
use crate::sprinkler_year::frost::{End, FrostOdds, HARD_FREEZE_C, frost_odds};
use crate::units::Quantity;

/// Days ahead the shutting or opening is shown.
const LOOK_AHEAD_DAYS: i64 = 30;

const OPEN_CARE: &str = "Close drains and test cocks, open one far head, then the main a quarter until the noise of filling stops: water hammer breaks pipes. The backflow assembly is tested by a licensed tester.";
const SHUT_CARE: &str = "Main and controller off first. If you blow out: eye protection, never over 80 psi on rigid PVC or 50 psi on polyethylene (home guides; your system's own figure goes first), never through the backflow assembly, one zone open before the air comes on, never stand over a head, stop when only mist comes.";

/// The first hard freeze since midsummer, if it has come and nobody opened the system since. From April on (October south of the
/// equator) it is last winter's and counts no more.
pub fn hard_freeze_since_summer(scene: &Scene<'_>) -> Option<Date> {
    let midsummer = scene.season_start(7, 15);
    let yesterday = scene.yesterday();
    if Yard::days_between(midsummer, scene.on) > 260 || midsummer > yesterday {
        return None;
    }
    let days = scene.weather.run(midsummer, yesterday);
    let freeze = days.iter().find(|d| d.tmin_c <= HARD_FREEZE_C && !d.estimated.temperature)?.date;
    opened_since(scene, freeze).is_none().then_some(freeze)
}

fn opened_since(scene: &Scene<'_>, day: Date) -> Option<Date> {
    let last = scene.yard.sprinklers.as_ref()?;
    (last.fact.state == SystemState::Opened && last.on >= day).then_some(last.on)
}

/// Opening and shutting, when their time is near.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    if scene.yard.zones.is_empty() {
        return Vec::new();
    }
    let south = scene.weather.place().latitude_deg < 0.0;
    let month = (scene.on.month() + if south { 5 } else { -1 }) % 12 + 1;
    match month {
        2..=6 => opening(scene).into_iter().collect(),
        8..=12 => shutting(scene).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn this_half_year(scene: &Scene<'_>, state: SystemState) -> bool {
    scene.yard.sprinklers.as_ref().is_some_and(|s| s.fact.state == state && Yard::days_between(s.on, scene.on) < 180)
}

fn shutting(scene: &Scene<'_>) -> Option<Item> {
    if this_half_year(scene, SystemState::Shut) {
        return None;
    }
    let odds = frost_odds(scene, End::Autumn, HARD_FREEZE_C)?;
    let come = hard_freeze_since_summer(scene);
    let window = odds.window?;
    let by = if come.is_some() { scene.on } else { odds.limit?.max(scene.on) };
    if Yard::days_between(scene.on, by) > LOOK_AHEAD_DAYS {
        return None;
    }
    let u = scene.units();
    let frost = u.say(Quantity::Temperature, HARD_FREEZE_C);
    let why = match come {
        Some(day) => format!("A hard freeze ({frost}) came on {day}, and nothing says the system was shut."),
        None => format!(
            "By {by} a hard freeze ({frost}) has come in no more than one year of ten, by {} in half of them; water left in pipes and valves breaks them.",
            window.likely
        ),
    };
    Some(item(scene, &odds, false, by, why))
}

fn opening(scene: &Scene<'_>) -> Option<Item> {
    if this_half_year(scene, SystemState::Opened)
        || scene.yard.waterings.iter().any(|w| w.fact.zone.is_some() && Yard::days_between(w.on, scene.on) < 90)
    {
        return None;
    }
    let odds = frost_odds(scene, End::Spring, HARD_FREEZE_C)?;
    let from = odds.limit?;
    if Yard::days_between(scene.on, from) > LOOK_AHEAD_DAYS {
        return None;
    }
    let frost = scene.units().say(Quantity::Temperature, HARD_FREEZE_C);
    let why = format!(
        "From {from} on, a hard freeze ({frost}) follows in no more than one year of ten. Run every zone, look at each head, and write down what \
         needs mending."
    );
    Some(item(scene, &odds, true, from, why))
}

fn item(scene: &Scene<'_>, odds: &FrostOdds, opening: bool, day: Date, why: String) -> Item {
    let (title, id, care, state) = if opening {
        ("Open the sprinklers for the season", "system:open", OPEN_CARE, "opened")
    } else {
        ("Shut the sprinklers for the winter", "system:shut", SHUT_CARE, "shut")
    };
    Item {
        id: id.to_owned(),
        job: Job::Water,
        title: title.to_owned(),
        places: scene.yard.zones.iter().map(|z| super::Where { key: z.key.clone(), name: z.name.clone() }).collect(),
        amounts: Vec::new(),
        urgency: match urgency_of(scene.on, day) {
            Urgency::Today if opening => Urgency::ThisWeek,
            other => other,
        },
        from: Some(if opening { day } else { scene.on }),
        by: (!opening).then_some(day),
        window: if opening { None } else { odds.window },
        window_of: "first hard freeze",
        why,
        findings: Vec::new(),
        cautions: vec![care.to_owned()],
        working: odds.working.clone(),
        assumed: Vec::new(),
        log: vec![LogAs::new("Log it", "sprinklers", &[("state", state.to_owned())])],
    }
}

//! The sprinkler system through the year: opened after the last frost, shut before the first hard freeze.

use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};

use super::{Item, Job, LogAs, Scene, Urgency, Window, urgency_of, window_of};
use crate::entry::SystemState;
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::Outlook;

/// Hard freeze: 28 °F (National Weather Service).
pub const HARD_FREEZE_C: f64 = -2.2;
/// Days ahead the shutting or opening is shown.
const LOOK_AHEAD_DAYS: i64 = 30;
/// Days the first hard freeze, or the last frost, is looked for.
const HORIZON_DAYS: i64 = 150;
/// Share of years that may still bring frost after the day the system is opened (common practice: 10 %).
const LATE_FROST_SHARE: f64 = 0.1;

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
pub fn items(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Vec<Item> {
    if scene.yard.zones.is_empty() {
        return Vec::new();
    }
    let south = scene.weather.place().latitude_deg < 0.0;
    let month = (scene.on.month() + if south { 5 } else { -1 }) % 12 + 1;
    match month {
        2..=6 => opening(scene, outlook).into_iter().collect(),
        8..=12 => shutting(scene, outlook).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn this_half_year(scene: &Scene<'_>, state: SystemState) -> bool {
    scene.yard.sprinklers.as_ref().is_some_and(|s| s.fact.state == state && Yard::days_between(s.on, scene.on) < 180)
}

fn shutting(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Option<Item> {
    if this_half_year(scene, SystemState::Shut) {
        return None;
    }
    let days: Vec<Option<i64>> = outlook
        .years
        .iter()
        .map(|y| y.iter().take(HORIZON_DAYS as usize).position(|d| d.tmin_c <= HARD_FREEZE_C).map(|i| i as i64))
        .collect();
    let come = hard_freeze_since_summer(scene);
    let window = window_of(scene.on, days, HORIZON_DAYS)?;
    let by = if come.is_some() { scene.on } else { window.early.max(scene.on) };
    if Yard::days_between(scene.on, by) > LOOK_AHEAD_DAYS {
        return None;
    }
    let u = scene.units();
    let frost = u.say(Quantity::Temperature, HARD_FREEZE_C);
    let why = match come {
        Some(day) => format!("A hard freeze ({frost}) came on {day}, and nothing says the system was shut."),
        None => format!(
            "A hard freeze ({frost}) comes by {} in one year of ten; water left in pipes and valves breaks them.",
            window.early
        ),
    };
    Some(item(
        scene,
        "Shut the sprinklers for the winter",
        "system:shut",
        by,
        Some(window),
        why,
        SHUT_CARE,
        "shut",
        outlook,
    ))
}

fn opening(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Option<Item> {
    if this_half_year(scene, SystemState::Opened)
        || scene.yard.waterings.iter().any(|w| w.fact.zone.is_some() && Yard::days_between(w.on, scene.on) < 90)
    {
        return None;
    }
    // The last frost of each year ahead; none at all counts as past.
    let mut last: Vec<i64> = outlook
        .years
        .iter()
        .map(|y| y.iter().take(110).rposition(|d| d.tmin_c <= 0.0).map_or(0, |i| i as i64 + 1))
        .collect();
    last.sort_unstable();
    let at = ((last.len().checked_sub(1)?) as f64 * (1.0 - LATE_FROST_SHARE)).round() as usize;
    let from = scene.on.checked_add(Span::new().days(last[at])).ok()?;
    if Yard::days_between(scene.on, from) > LOOK_AHEAD_DAYS {
        return None;
    }
    let why = format!(
        "From {from} on, frost follows in only one year of ten. Run every zone, look at each head, and write down what needs mending."
    );
    Some(item(
        scene,
        "Open the sprinklers for the season",
        "system:open",
        from,
        None,
        why,
        OPEN_CARE,
        "opened",
        outlook,
    ))
}

#[allow(clippy::too_many_arguments)]
fn item(
    scene: &Scene<'_>,
    title: &str,
    id: &str,
    day: Date,
    window: Option<Window>,
    why: String,
    care: &str,
    state: &'static str,
    outlook: &Outlook<'_>,
) -> Item {
    let shutting = state == "shut";
    Item {
        id: id.to_owned(),
        job: Job::Water,
        title: title.to_owned(),
        places: scene.yard.zones.iter().map(|z| super::Where { key: z.key.clone(), name: z.name.clone() }).collect(),
        amounts: Vec::new(),
        urgency: match urgency_of(scene.on, day) {
            Urgency::Today if !shutting => Urgency::ThisWeek,
            other => other,
        },
        from: Some(if shutting { scene.on } else { day }),
        by: shutting.then_some(day),
        window,
        window_of: "first hard freeze",
        why,
        findings: Vec::new(),
        cautions: vec![care.to_owned()],
        working: vec![Step::new(
            if shutting { "first hard freeze" } else { "last frost" },
            "each year of the outlook laid on the days ahead; the 10 % point",
            vec![Value::text("years", outlook.basis.clone())],
            Value::text("day", day.to_string()),
        )],
        assumed: Vec::new(),
        log: vec![LogAs::new("Log it", "sprinklers", &[("state", state.to_owned())])],
    }
}

//! Opening the system for the season: from when, and what to look at zone by zone and head by head.

use jiff::ToSpan;
use jiff::civil::Date;
use reckon::slow_fill::{FILLING, fill_time, line_length};
use reckon::soil_temperature::{Cover, soil_temperature};
use reckon::units::{Celsius, Metres};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::closing::Steps;
use super::frost::{End, FREEZE_C, FrostOdds, HARD_FREEZE_C, frost_odds};
use super::mending::{Waiting, waiting};
use crate::advice::Scene;
use crate::entry::SystemState;
use crate::fold::Yard;
use crate::map::{PipeRole, Thing};
use crate::survey::zone_heads;
use crate::units::Quantity;
use crate::water_cost::flow_of;

/// An entry of more than half a year ago is last season's (days).
const SEASON_DAYS: i64 = 180;
/// Depth of the sprinkler pipes: a foot.
pub const PIPE_DEPTH_M: f64 = 0.3;
/// Days of air the ground's temperature is reckoned from.
const GROUND_DAYS: i64 = 365;
/// Shortest fill told, where the mains are short (min).
const FILL_LEAST_MIN: f64 = 2.0;
/// The fill where the mains are not drawn (min; common practice).
const FILL_USUAL_MIN: f64 = 10.0;

/// The ground at the pipes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ground {
    /// Its temperature as reckoned (°C).
    pub c: f64,
    /// Above freezing.
    pub thawed: bool,
    /// The computation.
    pub working: Vec<Step>,
}

/// The slow fill.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fill {
    /// Minutes at least.
    pub minutes: f64,
    /// Length of the mains drawn (m); `None` where none are.
    pub length_m: Option<f64>,
    /// The computation.
    pub working: Vec<Step>,
}

/// One zone to be looked at.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneLook {
    /// Key.
    pub zone: String,
    /// Name.
    pub name: String,
    /// Drip: no heads, but filters, ends and emitters.
    pub drip: bool,
    /// Names of its heads on the map.
    pub heads: Vec<String>,
    /// Flow the meter should show while it runs (L/min).
    pub flow_l_min: Option<f64>,
    /// That flow comes from a rate nobody measured.
    pub flow_assumed: bool,
    /// What was found and waits.
    pub waiting: Vec<Waiting>,
}

/// The spring opening.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Opening {
    /// The day it was opened, where that was done this season.
    pub done_on: Option<Date>,
    /// First day it makes sense.
    pub from: Option<Date>,
    /// The last hard freezes.
    pub hard_freeze: Option<FrostOdds>,
    /// The last freezes: until then drain what stands above ground on such a night.
    pub freeze: Option<FrostOdds>,
    /// The ground at the pipes.
    pub ground: Option<Ground>,
    /// The slow fill.
    pub fill: Fill,
    /// Steps before, while and after filling.
    pub steps: Vec<Steps>,
    /// Zones in order.
    pub zones: Vec<ZoneLook>,
    /// What waits and belongs to no zone that is.
    pub waiting: Vec<Waiting>,
}

/// From when and how to open the system.
pub fn opening(scene: &Scene<'_>) -> Opening {
    let last = scene.yard.sprinklers.as_ref();
    let done_on = last
        .filter(|s| s.fact.state == SystemState::Opened && Yard::days_between(s.on, scene.on) < SEASON_DAYS)
        .map(|s| s.on);
    let hard_freeze = frost_odds(scene, End::Spring, HARD_FREEZE_C);
    let fill = fill(scene);
    let all = waiting(scene);
    let zones: Vec<ZoneLook> = scene
        .yard
        .zones
        .iter()
        .map(|z| {
            let flow = flow_of(scene, z);
            ZoneLook {
                zone: z.key.clone(),
                name: z.name.clone(),
                drip: z.sprinkler == "drip",
                heads: zone_heads(scene.yard, &z.key).iter().map(|h| h.thing.name.clone()).collect(),
                flow_l_min: flow.map(|f| f.0),
                flow_assumed: flow.is_some_and(|f| f.1),
                waiting: all.iter().filter(|w| w.zone.as_deref() == Some(&z.key)).cloned().collect(),
            }
        })
        .collect();
    let elsewhere = |w: &&Waiting| !zones.iter().any(|z| w.zone.as_deref() == Some(&z.zone));
    Opening {
        done_on,
        from: hard_freeze.as_ref().and_then(|h| h.limit).map(|d| d.max(scene.on)),
        hard_freeze,
        freeze: frost_odds(scene, End::Spring, FREEZE_C),
        ground: ground(scene),
        steps: steps(&fill),
        fill,
        waiting: all.iter().filter(elsewhere).cloned().collect(),
        zones,
    }
}

/// The ground a foot down, from the air of the year before.
fn ground(scene: &Scene<'_>) -> Option<Ground> {
    let known = scene.weather.known_before(scene.on, scene.almanac);
    let last = scene.yesterday();
    let days = known.run(last.checked_sub(GROUND_DAYS.days()).ok()?, last);
    let air: Vec<(Celsius, Celsius)> = days.iter().map(|d| (Celsius::new(d.tmin_c), Celsius::new(d.tmax_c))).collect();
    let c = soil_temperature(&air, Metres::new(PIPE_DEPTH_M), Cover::Turf, None).ok()?.last()?.get();
    let working = vec![Step::new(
        "ground at the pipes",
        "follows the mean air of each day by a small share (reckon soil-temperature, turf)",
        vec![Value::number("depth", PIPE_DEPTH_M, "m"), Value::number("days of air", air.len() as f64, "")],
        Value::number("ground", c, "°C")
            .assumed("reckoned from air, without snow; a spade tells whether the ground is thawed"),
    )];
    Some(Ground { c, thawed: c > 0.0, working })
}

fn fill(scene: &Scene<'_>) -> Fill {
    let length: f64 = scene
        .yard
        .things
        .iter()
        .filter(|t| matches!(t.thing, Thing::Pipe { role: PipeRole::Main, .. }))
        .map(|t| line_length(&t.at.iter().map(|c| c.at()).collect::<Vec<_>>()).get())
        .sum();
    let drawn = (length > 0.0).then_some(length);
    let told = drawn.and_then(|l| fill_time(Metres::new(l), FILLING).ok()).map(|m| m.get());
    let minutes = told.map_or(FILL_USUAL_MIN, |m| m.max(FILL_LEAST_MIN));
    let length_value = match drawn {
        Some(l) => Value::number("mains", l, "m").from("drawn on the map"),
        None => Value::text("mains", "not drawn").assumed("ten minutes are usual; draw the mains to have it reckoned"),
    };
    let working = vec![Step::new(
        "slow fill",
        "length ÷ speed of the water's front",
        vec![length_value, Value::number("speed", FILLING.get(), "m/s").from("a foot a second; common practice")],
        Value::number("at least", minutes, "min"),
    )];
    Fill { minutes, length_m: drawn, working }
}

fn own(list: &[&str]) -> Vec<String> {
    list.iter().map(|s| (*s).to_owned()).collect()
}

fn steps(fill: &Fill) -> Vec<Steps> {
    let before = Steps {
        name: "Before the water",
        care: "Power off at the controller before a wire or a valve is touched; 120 V work is for a licensed electrician. The backflow assembly is not \
               taken apart or set by you.",
        steps: own(&[
            "The ground is thawed a foot down: a spade tells.",
            "Backflow assembly: look for cracks; test cocks closed, unions hand tight, its two valves closed.",
            "Close every drain valve, put drain plugs, filters and regulators back (drip ends still open).",
            "Controller: new battery, right day and clock, programmes as wanted, all off for now. Rain sensor cleaned.",
            "Look over the heads: broken caps, heads heaved up or sunk by frost, grass grown over them.",
            "Look at the nights ahead: with a freeze forecast, wait, or drain the part above ground again that evening.",
        ]),
        source: "Pueblo West Metropolitan District, Colorado, Spring sprinkler setup, 2020; common practice",
    };
    let water = Steps {
        name: "Fill it slowly",
        care: "Air shut in by a rush of water strikes like a hammer: it cracks fittings and throws heads out. Keep the face away from heads and valves \
               while they fill.",
        steps: vec![
            "Open one far zone by hand first (bleed screw of its valve), so that the air can leave.".to_owned(),
            format!(
                "Open the sprinklers’ main a quarter and wait until the noise of filling stops: at least {:.0} minutes. Then open it a little more, \
                 and so on to full.",
                fill.minutes
            ),
            "Open the backflow assembly: first the valve nearer the supply, slowly, then the other. A little water at its vent while it fills is usual; \
             more is for the tester."
                .to_owned(),
            "Close the far zone. Static pressure: a gauge on an outdoor tap, nothing running. Write it down as a note, and compare with last year: lower \
             by a fifth or more is worth finding out."
                .to_owned(),
            "With all zones off, look at the meter for some minutes: it stands still. If it creeps, reckon the leak.".to_owned(),
        ],
        source: "Pueblo West Metropolitan District, Colorado, Spring sprinkler setup, 2020; University of Florida IFAS, AE66, Water hammer in irrigation \
                 systems (sudden filling and shut-in air); the fifth: common practice",
    };
    let after = Steps {
        name: "Last",
        care: "",
        steps: own(&[
            "Set the controller for the week, not as it stood last summer.",
            "Book the licensed tester for the backflow assembly.",
            "Read the water meter and write it down: the season’s first reading.",
            "Write down that the system is open.",
        ]),
        source: "common practice",
    };
    vec![before, water, after]
}

/// What to look at while a zone runs, in the order a person walks it.
pub fn look(scene: &Scene<'_>, zone: &ZoneLook) -> Vec<String> {
    let u = scene.units();
    let mut out = Vec::new();
    if zone.drip {
        out.push("Run it with the ends open until the water is clear, then close them; look for wet spots, chewed line and dry emitters.".to_owned());
    } else {
        out.push(
            "Run it a few minutes and walk from head to head: it rises, turns, throws its arc, and goes down again."
                .to_owned(),
        );
    }
    if let Some(flow) = zone.flow_l_min {
        out.push(format!(
            "The meter should show about {}{}: much more is a break, much less a clog.",
            u.say(Quantity::Flow, flow),
            if zone.flow_assumed { " by a usual rate (read it, and tell it)" } else { "" }
        ));
    }
    out.push("Off again: the heads stop within a minute, and stay dry.".to_owned());
    out
}

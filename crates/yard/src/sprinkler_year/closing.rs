//! Shutting the system for the winter: by when, and how for its kind of drain, pipe by pipe and zone by zone.

use jiff::civil::Date;
use reckon::blow_out::{AIR_LEAST, PASS_MOST_MIN, PipeKind, blow_out_air, pressure_most};
use reckon::units::{Kilopascals, LitresPerMinute, factor};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::frost::{End, FREEZE_C, FrostOdds, HARD_FREEZE_C, frost_odds};
use super::{air_words, pressure_words};
use crate::advice::Scene;
use crate::advice::system::hard_freeze_since_summer;
use crate::entry::SystemState;
use crate::fold::Yard;
use crate::water_cost::flow_of;

/// The sprinklers' season of which an entry tells (days): an entry of more than half a year ago is last season's.
const SEASON_DAYS: i64 = 180;
/// Pressure the regulator is set to, unless the pipe bears less: 40 psi (common practice: 40 to 50).
pub const SET_TO: Kilopascals = Kilopascals::new(40.0 * factor::KPA_PER_PSI);

/// How the water is got out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// Drain valves opened by hand at the low points.
    Manual,
    /// Drain valves that open by themselves when the pressure goes.
    Automatic,
    /// Compressed air.
    BlowOut,
}

impl Way {
    /// All three, in the order a page asks for them.
    pub const ALL: [Self; 3] = [Self::Manual, Self::Automatic, Self::BlowOut];

    /// Its key.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Manual => "manual",
            Self::Automatic => "automatic",
            Self::BlowOut => "blow-out",
        }
    }

    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Manual => "drain valves opened by hand",
            Self::Automatic => "drain valves that open by themselves",
            Self::BlowOut => "compressed air",
        }
    }
}

/// What the pipes are of, as a page asks for it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pipes {
    /// Not known, or mixed: the careful figure.
    #[default]
    Unknown,
    /// Polyethylene.
    Polyethylene,
    /// Rigid PVC throughout.
    Pvc,
}

impl Pipes {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Unknown, Self::Polyethylene, Self::Pvc];

    /// Its key.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::Polyethylene => "pe",
            Self::Pvc => "pvc",
        }
    }

    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Unknown => "not known, or mixed",
            Self::Polyethylene => "flexible polyethylene (black)",
            Self::Pvc => "rigid PVC (white) throughout",
        }
    }

    fn most(self) -> Kilopascals {
        match self {
            Self::Unknown | Self::Polyethylene => pressure_most(PipeKind::Polyethylene),
            Self::Pvc => pressure_most(PipeKind::Pvc),
        }
    }
}

/// One zone with the air it wants.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneAir {
    /// Key.
    pub zone: String,
    /// Name.
    pub name: String,
    /// Most pressure, by its kind of line (kPa).
    pub most_kpa: f64,
    /// What the regulator is set to (kPa).
    pub set_kpa: f64,
    /// Its flow when it waters (L/min), where it is known.
    pub flow_l_min: Option<f64>,
    /// The flow comes from a rate nobody measured.
    pub flow_assumed: bool,
    /// Air the compressor should take in (L/min).
    pub air_l_min: f64,
    /// The computation.
    pub working: Vec<Step>,
}

/// A set of steps under its heading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Steps {
    /// The heading.
    pub name: &'static str,
    /// What would hurt, said before the steps.
    pub care: &'static str,
    /// The steps in order.
    pub steps: Vec<String>,
    /// Where they come from.
    pub source: &'static str,
}

/// The autumn shutting.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Closing {
    /// The day it was shut, where that was done this season.
    pub done_on: Option<Date>,
    /// A hard freeze that has come with the system open.
    pub freeze_come: Option<Date>,
    /// Last day to have it shut.
    pub shut_by: Option<Date>,
    /// The first freezes, for what stands above ground.
    pub freeze: Option<FrostOdds>,
    /// The first hard freezes, for what lies below.
    pub hard_freeze: Option<FrostOdds>,
    /// Steps in order.
    pub steps: Vec<Steps>,
    /// Each zone with its air; empty where no air is used.
    pub zones: Vec<ZoneAir>,
}

/// When the system was last shut, if that was this season.
pub fn shut_on(scene: &Scene<'_>) -> Option<Date> {
    let last = scene.yard.sprinklers.as_ref()?;
    (last.fact.state == SystemState::Shut && Yard::days_between(last.on, scene.on) < SEASON_DAYS).then_some(last.on)
}

/// By when and how to shut the system.
pub fn closing(scene: &Scene<'_>, way: Way, pipes: Pipes) -> Closing {
    let hard_freeze = frost_odds(scene, End::Autumn, HARD_FREEZE_C);
    let freeze_come = hard_freeze_since_summer(scene);
    let limit = hard_freeze.as_ref().and_then(|h| h.limit);
    let mut steps = vec![first(scene)];
    steps.push(match way {
        Way::Manual => manual(),
        Way::Automatic => automatic(),
        Way::BlowOut => blow_out(scene, pipes),
    });
    steps.push(last());
    Closing {
        done_on: shut_on(scene),
        freeze_come,
        shut_by: if freeze_come.is_some() { Some(scene.on) } else { limit.map(|d| d.max(scene.on)) },
        freeze: frost_odds(scene, End::Autumn, FREEZE_C),
        hard_freeze,
        steps,
        zones: if way == Way::BlowOut { zones(scene, pipes) } else { Vec::new() },
    }
}

fn own(list: &[&str]) -> Vec<String> {
    list.iter().map(|s| (*s).to_owned()).collect()
}

fn first(scene: &Scene<'_>) -> Steps {
    let mut steps = own(&[
        "Shut the sprinklers’ own main (the stop valve before the backflow assembly), and set the controller to off or rain; leave its \
         power on only where its maker wants it kept.",
        "Run one zone from the controller for a minute to let the pressure go.",
        "A pump: power off, locked, then its drain plug out; a pump is never blown through.",
    ]);
    if scene.yard.zones.iter().any(|z| z.sprinkler == "drip") {
        steps.push(
            "Drip: take the filter and the pressure regulator out, empty them, and open the ends of the lines."
                .to_owned(),
        );
    }
    Steps {
        name: "First",
        care: "Water off, then power off, before anything is opened. 120 V work is for a licensed electrician.",
        steps,
        source: "common practice; The Woodlands Water Agency, Texas, It's time to winterize your irrigation system",
    }
}

const DRAIN_SOURCE: &str =
    "The Woodlands Water Agency, Texas, It's time to winterize your irrigation system; common practice";

fn manual() -> Steps {
    Steps {
        name: "Drain by hand",
        care: "Water under pressure leaves a drain hard: let the pressure go first, and keep the face away.",
        steps: own(&[
            "Open every drain valve: at the ends and low points of the main, the one farthest from the supply first.",
            "Open the drain between the stop valve and the backflow assembly (often indoors, with a bucket under it).",
            "When nothing more runs, open each zone valve by its bleed screw for a moment, so that its line drains too.",
            "Lift the heads that have check valves; water stays under those. Where the pipe sags or the ground falls back, water stays: such \
             a system wants air.",
            "Close the drains again when all is empty.",
        ]),
        source: DRAIN_SOURCE,
    }
}

fn automatic() -> Steps {
    Steps {
        name: "Let it drain by itself",
        care: "Automatic drains empty the pipe behind them only: the main, the valves and the backflow assembly are drained by hand.",
        steps: own(&[
            "With the main shut, run each zone in turn until the heads stop: the drains open when the pressure has gone.",
            "Open the drain between the stop valve and the backflow assembly, and the boiler drain of the main where there is one.",
            "Lift the heads that have check valves; water stays under those.",
            "Open each zone valve by its bleed screw for a moment.",
            "Drains clog: where a head still gives water when it is lifted next morning, that line wants air.",
        ]),
        source: DRAIN_SOURCE,
    }
}

fn blow_out(scene: &Scene<'_>, pipes: Pipes) -> Steps {
    let u = scene.units();
    let most = pipes.most();
    let set = SET_TO.min(most);
    let say = |p: Kilopascals| pressure_words(u, p.get());
    let mut steps = vec![
        format!(
            "Pipes {}: the air is never over {}; set the regulator to {} and watch its gauge. Volume clears a zone, not pressure: look for {} \
             or more on the compressor’s plate.",
            pipes.words(),
            say(most),
            say(set),
            air_words(u, AIR_LEAST.get())
        ),
        "Connect at the blow-out point behind the backflow assembly; both of its shut-off valves closed. Air is never sent through it, \
         nor through a pump or a filter."
            .to_owned(),
        "Open one zone at the controller before the air comes on: the farthest or highest first. Then open the air slowly.".to_owned(),
        format!(
            "Shut the air off as soon as only mist comes, at the latest after {PASS_MOST_MIN:.0} minutes: dry plastic heats. Shut the air \
             before the zone, and let the pipe cool."
        ),
        "Go round all zones two or three times in short passes rather than once long: water gathers again at the low points.".to_owned(),
        "Air off, compressor off, pressure let go before the hose is taken off.".to_owned(),
    ];
    if scene.yard.zones.iter().any(|z| z.sprinkler == "drip") {
        steps.insert(
            1,
            format!(
                "Drip zones bear less: never over {}, ends open, filter and regulator out.",
                say(pressure_most(PipeKind::Drip))
            ),
        );
    }
    Steps {
        name: "Blow it out",
        care: "Compressed air can blind and kill. Eye protection and hearing protection; nobody stands over a head, a valve or the backflow \
               assembly while air is on; never leave it running alone. The limit of your own pipes and parts goes first. Where any of this is \
               new to you, a licensed irrigation contractor does it in an hour.",
        steps,
        source: "50 psi for polyethylene, 80 psi for rigid PVC: water suppliers' and home guides (see the working); short passes and the \
                 volume rule: irrigation trade",
    }
}

fn last() -> Steps {
    Steps {
        name: "Last",
        care: "The backflow assembly protects the drinking water: drain it, never take it apart or change it; repairs and its yearly test are \
               for a licensed tester.",
        steps: own(&[
            "Open the test cocks of the backflow assembly a quarter turn and leave its ball valves half open (45°), so that no water stays in the \
             ball. Cover it; a cover alone does not save a full one.",
            "Outdoor taps off and drained, hoses off.",
            "Rain sensor and controller: battery out where it would leak over the winter.",
            "Write down that it was shut, and what is to be mended in spring.",
        ]),
        source: "Coloradoan, Quick drain may save sprinkler system, 12 May 2014 (valves at 45 degrees, test cocks open); common practice",
    }
}

fn zones(scene: &Scene<'_>, pipes: Pipes) -> Vec<ZoneAir> {
    scene
        .yard
        .zones
        .iter()
        .map(|zone| {
            let drip = zone.sprinkler == "drip";
            let most = if drip { pressure_most(PipeKind::Drip).min(pipes.most()) } else { pipes.most() };
            let set = SET_TO.min(most);
            let flow = flow_of(scene, zone);
            let air = flow.and_then(|(f, _)| blow_out_air(LitresPerMinute::new(f), set).ok());
            let mut working = vec![Step::new(
                format!("{}: most pressure", zone.name),
                "least of what the lines bear",
                vec![
                    Value::text("pipes", pipes.words()),
                    Value::text("zone", if drip { "drip" } else { "heads" }),
                ],
                Value::text("never over", pressure_words(scene.units(), most.get())).from(
                    "50 psi polyethylene, 80 psi rigid PVC, 30 psi drip: repeated by water suppliers and home guides; not known counts as polyethylene",
                ),
            )];
            if let (Some(air), Some((flow, assumed))) = (air, flow) {
                let flow = Value::number("flow", flow, "L/min");
                working.push(Step::new(
                    format!("{}: air as taken in", zone.name),
                    "flow × (pressure + 101.3 kPa) ÷ 101.3 kPa, at least 10 cu ft/min",
                    vec![
                        if assumed { flow.assumed("usual rate over its ground; the meter would tell") } else { flow },
                        Value::number("pressure", set.get(), "kPa"),
                    ],
                    Value::number("air", air.wanted.get(), "L/min"),
                ));
            }
            ZoneAir {
                zone: zone.key.clone(),
                name: zone.name.clone(),
                most_kpa: most.get(),
                set_kpa: set.get(),
                flow_l_min: flow.map(|f| f.0),
                flow_assumed: flow.is_some_and(|f| f.1),
                air_l_min: air.map_or(AIR_LEAST, |a| a.wanted).get(),
                working,
            }
        })
        .collect()
}

//! Pressure in the zones: from a gauge at the tap to the last head, what is wrong with it, and what to change.

mod changes;
mod system;

use almanac::{Almanac, HeadPressures, Hydraulics};
use reckon::units::{Fraction, Kilopascals, LitresPerMinute, MetresPerSecond, Millimetres};
use reckon::working::{Datum, Step, Value};
use reckon::zone_capacity::{flow_at_speed, heads_a_line_bears, meter_flow_at_share};
use serde::Serialize;

pub use self::changes::Change;
use self::system::System;
use crate::entry::{WaterSupply, ZoneFacts};
use crate::fold::Yard;
use crate::units::{Quantity, Units};

/// What a person tells of a zone whose heads are not on the map.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Told {
    /// Heads.
    pub heads: Option<usize>,
    /// Pipe from the valve to the last head (m).
    pub length_m: Option<f64>,
    /// Flow of all heads (L/min).
    pub flow_lpm: Option<f64>,
}

/// Why nothing can be said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Missing {
    /// The water supply was not told: a pressure at the tap is the start of everything.
    Supply,
    /// Neither are the heads drawn nor was their number told.
    Heads,
    /// Neither are the heads drawn nor is the zone's flow known.
    Flow,
    /// The figures do not go together.
    Figures(String),
}

impl Missing {
    /// In words, with what to do.
    pub fn words(&self) -> String {
        match self {
            Self::Supply => "no pressure was told: put a gauge on an outdoor tap, and log the water supply".to_owned(),
            Self::Heads => "the heads are not on the map: tell how many there are, or draw them".to_owned(),
            Self::Flow => "the zone’s flow is not known: read the meter while it runs, or tell the flow".to_owned(),
            Self::Figures(why) => why.clone(),
        }
    }
}

/// A stretch of the way from the street to the zone's pipes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stretch {
    /// What it is.
    pub name: String,
    /// Speed of the water, where it is a pipe (m/s).
    pub speed_ms: Option<f64>,
    /// Pressure lost (kPa).
    pub loss_kpa: f64,
    /// Pressure behind it (kPa).
    pub pressure_kpa: f64,
}

/// A head and what it gets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeadState {
    /// Name on the map, or its number in the line.
    pub name: String,
    /// Place on the map.
    pub at: Option<[f64; 2]>,
    /// Flow it is told for (L/min).
    pub told_lpm: f64,
    /// Flow it has (L/min).
    pub flow_lpm: f64,
    /// Pressure at it (kPa).
    pub pressure_kpa: f64,
    /// Height over the tap (m).
    pub rise_m: f64,
}

/// What is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trouble {
    /// Too much pressure: heads mist.
    Mist,
    /// Too little pressure: heads dribble.
    Dribble,
    /// Heads differ too much.
    Uneven,
    /// Water runs too fast in a pipe.
    Fast,
    /// The zone takes more than the supply bears.
    Flow,
}

/// A trouble in words.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Which.
    pub trouble: Trouble,
    /// In words.
    pub words: String,
}

/// One rule on the flow a supply bears.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlowLimit {
    /// The rule.
    pub rule: String,
    /// The flow (L/min).
    pub flow_lpm: f64,
}

/// How many heads of the zone's kind one valve can feed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bears {
    /// Mean flow of its heads (L/min).
    pub head_lpm: f64,
    /// Mean pipe from head to head (m).
    pub step_m: f64,
    /// By the flow the supply bears.
    pub by_flow: usize,
    /// By the pressure at the last.
    pub by_pressure: usize,
}

/// The pressures of a zone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZonePressures {
    /// Key of the zone.
    pub zone: String,
    /// Its name.
    pub name: String,
    /// Its kind of sprinkler.
    pub sprinkler: String,
    /// True where the heads are on the map.
    pub mapped: bool,
    /// Flow of all heads (L/min).
    pub flow_lpm: f64,
    /// The way to the zone's pipes.
    pub stretches: Vec<Stretch>,
    /// Fastest water behind the valve (m/s).
    pub lateral_speed_ms: f64,
    /// The heads.
    pub heads: Vec<HeadState>,
    /// Least pressure at a head (kPa).
    pub lowest_kpa: f64,
    /// Most pressure at a head (kPa).
    pub highest_kpa: f64,
    /// Pressure its kind of head works at: least, design, most (kPa).
    pub working_kpa: [f64; 3],
    /// Rules on the flow, the tightest first.
    pub limits: Vec<FlowLimit>,
    /// How many heads it could have.
    pub bears: Option<Bears>,
    /// What is wrong, gravest first.
    pub findings: Vec<Finding>,
    /// What would change it, each worked out, the best first.
    pub changes: Vec<Change>,
    /// What nobody measured.
    pub assumed: Vec<String>,
    /// Sources of the figures.
    pub sources: Vec<String>,
    /// How it was worked out.
    pub working: Vec<Step>,
}

impl ZonePressures {
    /// The state in a few words.
    pub fn verdict(&self) -> &'static str {
        match self.findings.first().map(|f| f.trouble) {
            None => "in order",
            Some(Trouble::Mist) if self.sprinkler == "drip" => "too much pressure for a drip line",
            Some(Trouble::Mist) => "too much pressure: it mists",
            Some(Trouble::Dribble) => "too little pressure: it dribbles",
            Some(Trouble::Uneven) => "uneven",
            Some(Trouble::Fast) => "water runs too fast",
            Some(Trouble::Flow) => "takes more than the supply bears",
        }
    }
}

fn figures(e: reckon::ReckonError) -> Missing {
    Missing::Figures(e.to_string())
}

fn limit(table: &Hydraulics, id: &str) -> f64 {
    table.limit(id).map_or(f64::INFINITY, |l| l.value)
}

/// The rules on the flow of a supply, the tightest first.
pub fn flow_limits(supply: &WaterSupply, table: &Hydraulics, units: Units) -> Vec<FlowLimit> {
    let mut out = Vec::new();
    let speed = limit(table, "speed");
    let percent = |id: &str| format!("{:.0} %", limit(table, id) * 100.0);
    if let Some(meter) = supply.meter.as_deref().and_then(|size| table.meter(size)) {
        out.push(FlowLimit {
            rule: format!("{} of what a {} in meter bears", percent("meter-share"), meter.size),
            flow_lpm: meter.safe_lpm * limit(table, "meter-share"),
        });
        let (at, loss) = (LitresPerMinute::new(meter.safe_lpm), Kilopascals::new(meter.loss_kpa));
        let share = Fraction::new(limit(table, "meter-loss"));
        if let Ok(flow) = meter_flow_at_share(at, loss, Kilopascals::new(supply.static_kpa), share) {
            let rule = format!("the meter takes no more than {} of the pressure", percent("meter-loss"));
            out.push(FlowLimit { rule, flow_lpm: flow.get() });
        }
    }
    if let Some(service) = &supply.service
        && let Some(inside) = table.pipe(&service.kind).and_then(|k| k.inside_mm.get(&service.size))
        && let Ok(flow) = flow_at_speed(Millimetres::new(*inside), MetresPerSecond::new(speed))
    {
        let rule = format!("water no faster than {} in the pipe from the street", say_speed(units, speed));
        out.push(FlowLimit { rule, flow_lpm: flow.get() });
    }
    if let Some(measured) = supply.flow_lpm {
        let rule = format!("{} of the flow measured at the tap", percent("measured-share"));
        out.push(FlowLimit { rule, flow_lpm: measured * limit(table, "measured-share") });
    }
    out.sort_by(|a, b| a.flow_lpm.total_cmp(&b.flow_lpm));
    out
}

/// A speed of water, in the person's units.
pub fn say_speed(units: Units, ms: f64) -> String {
    match units {
        Units::UsCustomary => format!("{:.1} ft/s", units.show(Quantity::Length, ms)),
        Units::Metric => format!("{ms:.1} m/s"),
    }
}

/// The steps with every pressure in the person's unit: only a page's or a terminal's, JSON keeps kPa.
pub fn told_steps(steps: &[Step], units: Units) -> Vec<Step> {
    let told = |v: &Value| match (&v.value, v.unit.as_ref()) {
        (Datum::Number(kpa), "kPa") => Value {
            value: Datum::Number(units.show(Quantity::Pressure, *kpa)),
            unit: units.symbol(Quantity::Pressure).into(),
            ..v.clone()
        },
        _ => v.clone(),
    };
    let step = |s: &Step| Step { values: s.values.iter().map(told).collect(), result: told(&s.result), ..s.clone() };
    steps.iter().map(step).collect()
}

/// The pressures of a zone.
///
/// # Errors
/// What is [`Missing`].
pub fn zone_pressures(yard: &Yard, zone: &ZoneFacts, told: Told, almanac: &Almanac) -> Result<ZonePressures, Missing> {
    let units = yard.units();
    let table = &almanac.hydraulics;
    let supply = &yard.supply.as_ref().ok_or(Missing::Supply)?.fact;
    let working = table.working(&zone.sprinkler).or_else(|| table.workings.first()).ok_or(Missing::Heads)?;
    let system = System::of(yard, zone, told, supply, table, working)?;
    let solved = system.solve()?;
    let limits = flow_limits(supply, table, units);
    let bears = bears(&system, supply, working, &limits);
    let mut out = ZonePressures {
        zone: zone.key.clone(),
        name: zone.name.clone(),
        sprinkler: zone.sprinkler.clone(),
        mapped: system.mapped,
        flow_lpm: solved.flow_lpm,
        stretches: solved.stretches.clone(),
        lateral_speed_ms: solved.lateral_speed_ms,
        heads: solved.heads.clone(),
        lowest_kpa: solved.lowest_kpa,
        highest_kpa: solved.highest_kpa,
        working_kpa: [working.low_kpa, working.design_kpa, working.high_kpa],
        limits,
        bears,
        findings: Vec::new(),
        changes: Vec::new(),
        assumed: system.assumed.clone(),
        sources: system.sources.clone(),
        working: system.steps(&solved, supply),
    };
    out.sources.push(working.source.clone());
    out.sources.extend(["speed", "variation"].iter().filter_map(|id| table.limit(id)).map(|l| l.source.clone()));
    out.findings = findings(&out, table, units);
    out.changes = changes::changes(&system, &out, table, units);
    Ok(out)
}

fn bears(system: &System<'_>, supply: &WaterSupply, working: &HeadPressures, limits: &[FlowLimit]) -> Option<Bears> {
    let most = limits.first()?.flow_lpm;
    let (step, head) = system.mean_step()?;
    let found = heads_a_line_bears(
        Kilopascals::new(supply.static_kpa),
        &system.runs[..system.chain],
        step,
        head,
        Kilopascals::new(working.low_kpa),
        LitresPerMinute::new(most),
    )
    .ok()?;
    Some(Bears {
        head_lpm: head.flow.get(),
        step_m: step.length.get(),
        by_flow: found.by_flow,
        by_pressure: found.by_pressure,
    })
}

fn findings(z: &ZonePressures, table: &Hydraulics, units: Units) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut say = |trouble, words| out.push(Finding { trouble, words });
    let pressure = |kpa| units.say(Quantity::Pressure, kpa);
    let [low, design, high] = z.working_kpa;
    let names = |list: Vec<&HeadState>| match list.as_slice() {
        [one] => one.name.clone(),
        many if many.len() <= 3 => many.iter().map(|h| h.name.as_str()).collect::<Vec<_>>().join(", "),
        many => format!("{} of {} heads", many.len(), z.heads.len()),
    };
    let weak: Vec<&HeadState> = z.heads.iter().filter(|h| h.pressure_kpa < low).collect();
    if !weak.is_empty() {
        let told: f64 = z.heads.iter().map(|h| h.told_lpm).sum();
        say(
            Trouble::Dribble,
            format!(
                "{} {} less than the {} this kind needs to throw: {} at the weakest; the zone gives {} of the {} its nozzles are made for",
                names(weak.clone()),
                if weak.len() == 1 { "has" } else { "have" },
                pressure(low),
                pressure(z.lowest_kpa.max(0.0)),
                units.say(Quantity::Flow, z.flow_lpm),
                units.say(Quantity::Flow, told)
            ),
        );
    }
    let strong: Vec<&HeadState> = z.heads.iter().filter(|h| h.pressure_kpa > high).collect();
    if !strong.is_empty() && z.sprinkler == "drip" {
        let words = "a drip line has a regulator before it: look for one, and set it";
        say(
            Trouble::Mist,
            format!(
                "{} at the line’s beginning, more than the {} it bears; {words}",
                pressure(z.highest_kpa),
                pressure(high)
            ),
        );
    } else if !strong.is_empty() {
        say(
            Trouble::Mist,
            format!(
                "{} {} more than {}: up to {}, where the nozzle is made for {}; drops break into mist that drifts off",
                names(strong.clone()),
                if strong.len() == 1 { "has" } else { "have" },
                pressure(high),
                pressure(z.highest_kpa),
                pressure(design)
            ),
        );
    }
    let most = limit(table, "variation");
    let apart = z.highest_kpa - z.lowest_kpa;
    if apart > most * design {
        say(
            Trouble::Uneven,
            format!(
                "the heads differ by {}, {:.0} % of the design pressure; {:.0} % is the most for even water",
                pressure(apart),
                apart / design * 100.0,
                most * 100.0
            ),
        );
    }
    let speed = limit(table, "speed");
    let behind = Some(("the pipe behind the valve".to_owned(), z.lateral_speed_ms));
    let pipes = z.stretches.iter().filter_map(|s| Some((s.name.clone(), s.speed_ms?))).chain(behind);
    let fast: Vec<String> =
        pipes.filter(|(_, v)| *v > speed).map(|(name, v)| format!("{} in {name}", say_speed(units, v))).collect();
    if !fast.is_empty() {
        say(
            Trouble::Fast,
            format!("water runs at {}; above {} a closing valve hammers", fast.join(", "), say_speed(units, speed)),
        );
    }
    if let Some(limit) = z.limits.first().filter(|l| z.flow_lpm > l.flow_lpm) {
        let (flow, most) = (units.say(Quantity::Flow, z.flow_lpm), units.say(Quantity::Flow, limit.flow_lpm));
        say(Trouble::Flow, format!("the zone takes {flow}, the supply bears {most} ({})", limit.rule));
    }
    out
}

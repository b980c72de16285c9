//! A leak found with everything shut: what it loses and costs, where it is likely to be, by when to mend it.

use jiff::civil::Date;
use reckon::ReckonError;
use reckon::leak_cost::{AT_ONCE, leak_cost};
use reckon::leak_hole::{FLOW, USUAL_PRESSURE, hole_of};
use reckon::meter::meter_leak;
use reckon::tariff::bill;
use reckon::units::{CubicMetres, Litres, LitresPerMinute, Minutes};
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::advice::Scene;
use crate::entry::{Meter, Trouble};
use crate::faultfinding::{LeakReading, ManifoldLeak, manifold_leak};
use crate::sprinkler_year::closing::Steps;
use crate::units::Quantity;
use crate::water_cost::{step_words, tariff_on, water_cost};
use crate::words::money;

/// Cost of the parts where nobody tells it, in the yard's money: a diaphragm or a few fittings (common practice).
pub const REPAIR_USUAL: f64 = 25.0;
/// Wait after which a meter that stood still is believed: two hours (US EPA WaterSense).
pub const WAIT_MIN: f64 = 120.0;
/// Share of the flow below which a reading with the valve closed counts as none, and above which as all of it.
const MOST_OF_IT: f64 = 0.9;

/// A meter watched with everything shut.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Watched {
    /// Water it moved (L).
    pub moved_l: f64,
    /// Time it was watched (min).
    pub minutes: f64,
}

/// What was measured and told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct LeakAsk {
    /// All zones off, nothing running in the house, all valves as usual.
    pub open: Option<Watched>,
    /// The same with the sprinklers' own stop valve closed.
    pub closed: Option<Watched>,
    /// Cost of the parts; [`REPAIR_USUAL`] where not told.
    pub repair: Option<f64>,
    /// Days the town gives.
    pub town_days: Option<u32>,
}

/// Where the water goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// Nothing moved, over long enough.
    None,
    /// Nothing moved, but it was not watched for long.
    TooShort,
    /// Not yet told: the valve has not been closed.
    Unknown,
    /// Behind the sprinklers' stop valve: main, manifold or a weeping zone valve.
    Sprinklers,
    /// House or service line.
    House,
    /// Both.
    Both,
}

impl Place {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::None => "nothing moved: no leak the meter can see",
            Self::TooShort => "nothing moved, but watch for two hours before it counts",
            Self::Unknown => "sprinklers or house: the next test tells",
            Self::Sprinklers => {
                "behind the sprinklers’ stop valve: their main, the manifold in a valve box, or a zone valve that weeps"
            }
            Self::House => "not the sprinklers: the house, or the line from the meter to it",
            Self::Both => "in both: some behind the sprinklers’ stop valve, some in the house or its line",
        }
    }

    /// The next test, where one is left.
    pub const fn next(self) -> Option<&'static str> {
        match self {
            Self::None => None,
            Self::TooShort => Some("Watch the meter again for two hours, or overnight, with nothing used."),
            Self::Unknown => Some(
                "Close the sprinklers’ own stop valve, wait five minutes, and watch the meter again for as long. Still moving: house or service line. \
                 Standing: the sprinklers.",
            ),
            Self::Sprinklers => Some(
                "Open each valve box. Water standing in one with all zones off: bail it out, dry the manifold, and see which fitting or valve beads first. \
                 All boxes dry: look for the lowest head that stays wet, its zone valve weeps; else walk the main for soft ground.",
            ),
            Self::House | Self::Both => Some(
                "Close the house’s stop valve and watch again. Still moving: the service line, for the water supplier or a plumber. Standing: a \
                 cistern (food colour in it, ten minutes), a tap, a softener.",
            ),
        }
    }
}

/// A leak in figures.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leak {
    /// Mean flow (L/min).
    pub flow_l_min: f64,
    /// A day (L).
    pub per_day_l: f64,
    /// A year, as it goes on (L).
    pub per_year_l: f64,
    /// Money a day, by the step of the tariff it falls in; `None` without a tariff.
    pub cost_per_day: Option<f64>,
    /// The step, in words.
    pub step: String,
    /// Last day to mend it.
    pub repair_by: Date,
    /// Whether the water is to be shut off at once.
    pub at_once: bool,
    /// Width of the hole that would lose as much at 60 psi (mm).
    pub hole_mm: Option<f64>,
}

/// What the readings say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeakFound {
    /// Where it is.
    pub place: Place,
    /// The leak; `None` where nothing moved.
    pub leak: Option<Leak>,
    /// Part of it behind the sprinklers' stop valve (L a day), where that was told apart.
    pub sprinklers_l_day: Option<f64>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
}

impl LeakFound {
    /// The finding's kind, for the entry that waits to be mended.
    pub fn trouble(&self) -> Trouble {
        if self.place == Place::Sprinklers { Trouble::ManifoldLeak } else { Trouble::PipeLeak }
    }
}

fn flow_of(field: &'static str, w: Watched) -> Result<LitresPerMinute, ReckonError> {
    meter_leak(Litres::new(0.0), Litres::new(w.moved_l), Minutes::new(w.minutes)).map(|l| l.flow).map_err(|e| match e {
        ReckonError::OutOfRange { value, min, max, unit, field: inner } => ReckonError::OutOfRange {
            field: if inner == "minutes" { minutes_of(field) } else { field },
            value,
            min,
            max,
            unit,
        },
        other => other,
    })
}

const fn minutes_of(field: &'static str) -> &'static str {
    match field.as_bytes() {
        b"closed_moved" => "closed_minutes",
        _ => "minutes",
    }
}

/// What a leak costs by the yard's own prices: price of a cubic metre of it, and the step.
struct Price {
    per_m3: f64,
    step: String,
    assumed: Option<String>,
    working: Vec<Step>,
}

/// The bill with the leak on top of what the meter counts anyway, less the bill without.
fn price_of(scene: &Scene<'_>, per_day_l: f64) -> Option<Price> {
    let tariff = &tariff_on(scene.yard, Meter::House, scene.on)?.fact;
    let cost = water_cost(scene);
    let period = tariff.period.days();
    // The newest reading of the meter that bears the prices tells what a day uses anyway.
    let usual = cost.spans.iter().find(|s| s.metered_l >= 0.0 && s.days > 0).map(|s| s.metered_l / s.days as f64);
    let usual = usual.or(cost.house_l_a_day);
    let own = usual.unwrap_or(0.0) * period / 1000.0;
    let lost = per_day_l * period / 1000.0;
    let without = bill(&tariff.tariff(), CubicMetres::new(own)).ok()?;
    let with = bill(&tariff.tariff(), CubicMetres::new(own + lost)).ok()?;
    let more = with.total - without.total;
    let u = scene.units();
    let working =
        vec![Step::new(
            "what the leak adds to a bill",
            "bill with the leak − bill without",
            vec![
                Value::text("used anyway in a period", u.say(Quantity::Volume, own * 1000.0)).from(
                    if usual.is_some() { "the newest meter readings" } else { "not known: counted from nothing" },
                ),
                Value::text("leak in a period", u.say(Quantity::Volume, lost * 1000.0)),
                Value::text("without", money(scene.yard, without.total)),
                Value::text("with", money(scene.yard, with.total)),
            ],
            Value::text("more", format!("{} {}", money(scene.yard, more), tariff.period.words())),
        )];
    Some(Price {
        per_m3: if lost > 0.0 { more / lost } else { 0.0 },
        step: step_words(tariff, &with),
        assumed: usual.is_none().then(|| {
            "no meter readings tell what is used anyway, so the leak is priced from the first step; two readings would tell".to_owned()
        }),
        working,
    })
}

fn place_of(open: LitresPerMinute, ask: &LeakAsk, closed: Option<LitresPerMinute>) -> Place {
    if open.get() <= 0.0 {
        let minutes = ask.open.map_or(0.0, |w| w.minutes);
        return if minutes >= WAIT_MIN { Place::None } else { Place::TooShort };
    }
    match closed.map(|c| c / open) {
        None => Place::Unknown,
        Some(share) if share <= 1.0 - MOST_OF_IT => Place::Sprinklers,
        Some(share) if share >= MOST_OF_IT => Place::House,
        Some(_) => Place::Both,
    }
}

/// What the readings say. `None` while nothing was measured.
///
/// # Errors
/// [`ReckonError`] naming `moved`, `minutes`, `closed_moved`, `closed_minutes` or `repair_cost`.
pub fn leak(scene: &Scene<'_>, ask: &LeakAsk) -> Result<Option<LeakFound>, ReckonError> {
    let Some(watched) = ask.open else { return Ok(None) };
    let flow = flow_of("moved", watched)?;
    let closed = ask.closed.map(|c| flow_of("closed_moved", c)).transpose()?;
    let place = place_of(flow, ask, closed);
    let mut working = vec![Step::new(
        "flow",
        "water moved ÷ minutes",
        vec![Value::number("moved", watched.moved_l, "L"), Value::number("minutes", watched.minutes, "min")],
        Value::number("flow", flow.get(), "L/min"),
    )];
    if let (Some(closed), Some(w)) = (closed, ask.closed) {
        working.push(Step::new(
            "flow with the sprinklers’ valve closed",
            "water moved ÷ minutes; up to a tenth of the first counts as none, nine tenths as all",
            vec![Value::number("moved", w.moved_l, "L"), Value::number("minutes", w.minutes, "min")],
            Value::number("flow", closed.get(), "L/min"),
        ));
    }
    if flow.get() <= 0.0 {
        return Ok(Some(LeakFound { place, leak: None, sprinklers_l_day: None, assumed: Vec::new(), working }));
    }
    let mut assumed = Vec::new();
    let repair = ask.repair.unwrap_or_else(|| {
        assumed.push(format!("the parts cost {}; tell what yours cost", money(scene.yard, REPAIR_USUAL)));
        REPAIR_USUAL
    });
    let price = price_of(scene, flow.get() * 1_440.0);
    if price.is_none() {
        assumed.push("no water prices are told, so the day hangs on the flow alone".to_owned());
    }
    let per_m3 = price.as_ref().map_or(0.0, |p| p.per_m3);
    let ManifoldLeak { litres_per_day, cost_per_day, repair_by } =
        manifold_leak(LeakReading::Flow(flow), per_m3, repair, scene.on, ask.town_days)?;
    let rule = leak_cost(flow, per_m3, repair)?;
    working.push(Step::new(
        "a day",
        "1,440 × flow",
        vec![Value::number("flow", flow.get(), "L/min")],
        Value::number("lost a day", litres_per_day.get(), "L"),
    ));
    let (mut step, mut cost) = (String::new(), None);
    if let Some(p) = price {
        working.extend(p.working);
        assumed.extend(p.assumed);
        (step, cost) = (p.step, Some(cost_per_day));
    }
    let mut days = vec![
        Value::text("lost a day", cost.map_or_else(|| "not priced".to_owned(), |c| money(scene.yard, c))),
        Value::text("parts", money(scene.yard, repair)),
        Value::number("days", f64::from(rule.days), ""),
    ];
    if let Some(town) = ask.town_days {
        days.push(Value::number("days the town gives", f64::from(town), ""));
    }
    working.push(Step::new(
        "repair by",
        "until the lost water has cost as much as the parts, at most 14 days; today from 4 L/min (1 gal/min) on",
        days,
        Value::text("day", repair_by.to_string()),
    ));
    // Beyond the holes the table knows it is a break, and no hole is told.
    let hole = FLOW.check(flow.get()).and_then(|_| hole_of(flow, USUAL_PRESSURE)).ok();
    Ok(Some(LeakFound {
        place,
        sprinklers_l_day: closed.map(|c| (flow - c).get().max(0.0) * 1_440.0),
        leak: Some(Leak {
            flow_l_min: flow.get(),
            per_day_l: litres_per_day.get(),
            per_year_l: litres_per_day.get() * 365.0,
            cost_per_day: cost,
            step,
            repair_by,
            at_once: flow >= AT_ONCE,
            hole_mm: hole.map(|h| h.get()),
        }),
        assumed,
        working,
    }))
}

fn own(list: &[&str]) -> Vec<String> {
    list.iter().map(|s| (*s).to_owned()).collect()
}

/// How to measure.
pub fn measure_steps() -> Steps {
    Steps {
        name: "Measure it",
        care: "",
        steps: own(&[
            "Controller off, all taps off, no machine running, nobody uses water.",
            "Read the meter to its last hand or digit. Wait: half an hour finds a leak, two hours or a night find a small one. Read it again.",
            "The hand goes round once for the smallest volume printed at it; many meters have a small star or triangle that turns at a trickle.",
        ]),
        source: "US EPA WaterSense, leak facts (two hours); City of Grants Pass, Oregon, Leaks & helpful tips",
    }
}

/// How to mend a manifold.
pub fn mend_steps() -> Steps {
    Steps {
        name: "Mend it",
        care: "Water off first at the sprinklers’ stop valve, then the controller’s power off; let the pressure go at a bleed screw. A wet box may hide \
               bare wires and wasps. Before digging have buried lines marked. The backflow assembly, the meter and the line before it are for the supplier, a \
               licensed plumber or tester.",
        steps: own(&[
            "Bail out the box and free the manifold; look for the drop that comes first.",
            "A fitting with thread: undo it, new tape or gasket, hand tight and a little more. Never force plastic.",
            "A glued fitting: cut it out, dry the ends, primer and solvent cement; wait as long as the can says before the water comes back.",
            "A valve that weeps: six screws or the screw top off, wash diaphragm and seat, renew the diaphragm where it is torn or stiff.",
            "Open the water slowly; dry the box; look again after an hour. Read the meter once more with everything shut.",
        ]),
        source: "common practice; upshawplumbing.com, How to find the source of a water leak in your front yard (valve off, meter stops: the sprinklers)",
    }
}

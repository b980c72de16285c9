//! Programmes for a sprinkler controller: start times and minutes, the shortest span that lets every zone soak.
//!
//! A controller knows programmes: each has the minutes of its zones, start times, and days. At a start its zones run one
//! after the other in their order. A zone that must soak runs at several starts; while it soaks, other zones and other
//! programmes run. What is looked for is the split of the zones into programmes, the number of starts of each and the
//! start times, so that from the first start to the last end as little time as possible goes by.

mod lay;
#[cfg(test)]
mod tests;

use self::lay::{Block, Capacity, lay};
use crate::error::{Bound, ReckonError};
use crate::units::{LitresPerMinute, Percent};

/// Minutes a zone runs on one day.
pub const RUN_MINUTES: Bound = Bound::new("minutes", 1.0, 1440.0, "min", "minutes a zone runs on one of its days");
/// Longest single run of a zone.
pub const LONGEST: Bound = Bound::new("longest", 1.0, 1440.0, "min", "most minutes of one run");
/// Pause between two runs of a zone.
pub const SOAK: Bound = Bound::new("soak", 0.0, 1440.0, "min", "least minutes between two runs of a zone");
/// Flow of a zone.
pub const FLOW: Bound = Bound::new("flow_lpm", 0.0, 2000.0, "L/min", "flow of a zone");
/// Zones of one controller.
pub const ZONES: Bound = Bound::new("zones", 1.0, 48.0, "", "zones of one controller");
/// Weekdays, one bit each.
pub const DAYS: Bound = Bound::new("days", 1.0, 127.0, "", "weekdays as bits, Monday the first");
/// Start times, programmes, zones at once.
pub const COUNT: Bound = Bound::new("limits", 1.0, 48.0, "", "programmes, starts a programme, zones at once");
/// Minutes in which watering is possible.
pub const WINDOW: Bound =
    Bound::new("window", 1.0, 1440.0, "min", "minutes from the first start allowed to the last end");

/// Most starts a programme that a relaxation is looked for with.
const STARTS_MOST: u32 = 16;
/// Places looked at before the search ends with what it has.
pub const PLACES_USUAL: u32 = 60_000;

/// Minutes, and share of its minutes (%), that a zone may run over what it wants when more starts than it needs are rounded
/// up to whole minutes.
const ROUNDED_UP_MIN: u32 = 2;
const ROUNDED_UP_PCT: u32 = 20;

/// What a zone wants on each of its days. Minutes are whole, as a controller takes them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZoneRun {
    /// Minutes in all.
    pub minutes: u32,
    /// Most minutes of one run, before water runs off or by the controller.
    pub longest: u32,
    /// Least minutes from the end of a run to the next one.
    pub soak: u32,
    /// Water it draws.
    pub flow: LitresPerMinute,
    /// Weekdays as bits, Monday the first.
    pub days: u8,
}

/// What controller, supply and town allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Programmes.
    pub programmes: u32,
    /// Start times of one programme.
    pub starts: u32,
    /// Minutes from the first start to the last end.
    pub window: u32,
    /// Programmes that may run at the same time.
    pub at_once: u32,
    /// Water the supply bears; `None` where it was not told.
    pub supply: Option<LitresPerMinute>,
}

/// One programme as it is typed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Programme {
    /// Its zones, by their place in the list given, in the order they run.
    pub zones: Vec<usize>,
    /// Minutes of each at every start.
    pub minutes: Vec<u32>,
    /// Start times, minutes after the first start of all.
    pub starts: Vec<u32>,
    /// Weekdays as bits, Monday the first.
    pub days: u8,
}

/// The programmes of a controller.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Schedule {
    /// Programmes.
    pub programmes: Vec<Programme>,
    /// Minutes from the first start to the last end.
    pub span: u32,
    /// No programmes under these limits have a shorter span than this; equal to `span` when that is proven least.
    pub least_span: u32,
}

/// A rule that stands in the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rule {
    /// More minutes to water in: so many in all.
    Window(u32),
    /// More start times a programme.
    Starts(u32),
    /// More programmes.
    Programmes(u32),
    /// Programmes that run at the same time.
    AtOnce(u32),
    /// A supply of so much.
    Supply(LitresPerMinute),
    /// Less water on one day (the rest on further days): so much of it fits.
    Water(Percent),
}

/// Programmes, or what would have to give.
#[derive(Clone, Debug, PartialEq)]
pub enum Planned {
    /// They fit.
    Fits(Schedule),
    /// They do not; each list of rules, relaxed together as far as told, makes them fit.
    TooMuch(Vec<Vec<Rule>>),
}

/// Programmes of the least span that keep every limit.
///
/// The split into programmes is searched by branch and bound. The bound: a day's minutes shared among what may run at
/// once, and each zone's own chain `n m + (n − 1) soak` with `m = ⌈minutes / n⌉` and `⌈minutes / longest⌉ ≤ n ≤ starts`.
/// Start times of a split are searched among active schedules in order of start (serial generation; an optimum is among
/// them for every regular objective: Sprecher, Kolisch and Drexl 1995, "Semi-active, active, and non-delay schedules for
/// the resource-constrained project scheduling problem"). The search ends after [`PLACES_USUAL`] places; what is not proven
/// by then is told by [`Schedule::least_span`]. A zone's soak runs from the end of its run to its next one. A programme
/// counts with the flow of its thirstiest zone.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
pub fn schedule(zones: &[ZoneRun], limits: &Limits) -> Result<Planned, ReckonError> {
    schedule_within(zones, limits, PLACES_USUAL)
}

/// [`schedule`] with another number of places to look at.
///
/// # Errors
/// As [`schedule`].
pub fn schedule_within(zones: &[ZoneRun], limits: &Limits, places: u32) -> Result<Planned, ReckonError> {
    ZONES.check(zones.len() as f64)?;
    for zone in zones {
        RUN_MINUTES.check(f64::from(zone.minutes))?;
        LONGEST.check(f64::from(zone.longest))?;
        SOAK.check(f64::from(zone.soak))?;
        FLOW.check(zone.flow.get())?;
        DAYS.check(f64::from(zone.days))?;
    }
    for count in [limits.programmes, limits.starts, limits.at_once] {
        COUNT.check(f64::from(count))?;
    }
    WINDOW.check(f64::from(limits.window))?;
    if let Some(supply) = limits.supply {
        FLOW.check(supply.get())?;
    }
    Ok(match shortest(zones, limits, places) {
        Some(found) if found.span <= limits.window => Planned::Fits(found),
        _ => Planned::TooMuch(relaxations(zones, limits, places)),
    })
}

/// Least runs a zone is cut into.
fn least_runs(zone: &ZoneRun) -> u32 {
    zone.minutes.div_ceil(zone.longest)
}

/// Whether the zone may be cut into so many runs: none too long, and rounding to whole minutes adds little.
fn suits(zone: &ZoneRun, runs: u32) -> bool {
    let over = (runs * zone.minutes.div_ceil(runs)).saturating_sub(zone.minutes);
    let least = least_runs(zone);
    runs == least || (runs > least && over <= ROUNDED_UP_MIN.max(zone.minutes * ROUNDED_UP_PCT / 100))
}

/// Least minutes of running and least span of a zone by itself, over the starts it may have.
fn alone(zone: &ZoneRun, starts: u32) -> Option<(u32, u32)> {
    let runs = || (least_runs(zone)..=starts).filter(|&n| suits(zone, n));
    let busy = runs().map(|n| n * zone.minutes.div_ceil(n)).min()?;
    let chain = runs().map(|n| n * zone.minutes.div_ceil(n) + (n - 1) * zone.soak).min()?;
    Some((busy, chain))
}

/// A span below which nothing is possible.
fn bound(zones: &[ZoneRun], limits: &Limits) -> Option<u32> {
    let mut day_busy = [0_u32; 7];
    let mut chain = 0;
    for zone in zones {
        let (busy, own) = alone(zone, limits.starts)?;
        chain = chain.max(own);
        for (day, sum) in day_busy.iter_mut().enumerate() {
            *sum += if zone.days >> day & 1 == 1 { busy } else { 0 };
        }
    }
    day_busy.iter().map(|busy| busy.div_ceil(limits.at_once)).max().map(|busy| busy.max(chain))
}

/// The programmes of the shortest span found, whatever the window.
fn shortest(zones: &[ZoneRun], limits: &Limits, places: u32) -> Option<Schedule> {
    if limits.supply.is_some_and(|s| zones.iter().any(|z| z.flow.get() > s.get())) {
        return None;
    }
    let least = bound(zones, limits)?;
    let mut order: Vec<usize> = (0..zones.len()).collect();
    order.sort_by_key(|&i| {
        std::cmp::Reverse((alone(&zones[i], limits.starts).map_or(0, |a| a.1), least_runs(&zones[i])))
    });
    let mut search = Search {
        zones,
        limits,
        order,
        least,
        capacity: Capacity {
            at_once: limits.at_once,
            supply: limits.supply.map_or(f64::INFINITY, LitresPerMinute::get),
        },
        left: places,
        open: Vec::new(),
        best: None,
    };
    search.place(0);
    let ended = search.left > 0;
    search.best.map(|(span, programmes)| Schedule {
        programmes,
        span,
        least_span: if ended { span } else { least.min(span) },
    })
}

/// A programme being filled.
#[derive(Clone)]
struct Open {
    zones: Vec<usize>,
    starts: u32,
    days: u8,
}

struct Search<'a> {
    zones: &'a [ZoneRun],
    limits: &'a Limits,
    order: Vec<usize>,
    least: u32,
    capacity: Capacity,
    left: u32,
    open: Vec<Open>,
    best: Option<(u32, Vec<Programme>)>,
}

impl Search<'_> {
    /// The span that must be beaten.
    fn beat(&self) -> u32 {
        self.best.as_ref().map_or(u32::MAX, |b| b.0)
    }

    fn done(&self) -> bool {
        self.left == 0 || self.beat() <= self.least
    }

    fn block(&self, open: &Open) -> Block {
        let minutes = |i: &usize| self.zones[*i].minutes.div_ceil(open.starts);
        let length = open.zones.iter().map(minutes).sum();
        let soaked = open.zones.iter().map(|i| minutes(i) + self.zones[*i].soak).max().unwrap_or(0);
        let flow = open.zones.iter().map(|i| self.zones[*i].flow.get()).fold(0.0, f64::max);
        Block { length, apart: soaked.max(length), count: open.starts, flow, days: open.days }
    }

    /// Puts the zone at this place of the order into each programme that can take it.
    fn place(&mut self, at: usize) {
        if self.done() {
            return;
        }
        self.left -= 1;
        let Some(&zone) = self.order.get(at) else { return self.laid() };
        let (least, days) = (least_runs(&self.zones[zone]), self.zones[zone].days);
        for i in 0..self.open.len() {
            if suits(&self.zones[zone], self.open[i].starts) && self.open[i].days == days {
                self.open[i].zones.push(zone);
                if self.hopeful() {
                    self.place(at + 1);
                }
                self.open[i].zones.pop();
            }
        }
        if self.open.len() < self.limits.programmes as usize {
            for starts in (least..=self.limits.starts).filter(|&n| suits(&self.zones[zone], n)) {
                self.open.push(Open { zones: vec![zone], starts, days });
                if self.hopeful() {
                    self.place(at + 1);
                }
                self.open.pop();
            }
        }
    }

    /// Whether what is filled so far can still lead to a shorter span.
    fn hopeful(&self) -> bool {
        let mut busy = [0_u32; 7];
        for open in &self.open {
            let block = self.block(open);
            if block.chain() >= self.beat() {
                return false;
            }
            for (day, sum) in busy.iter_mut().enumerate() {
                *sum += if block.days >> day & 1 == 1 { block.count * block.length } else { 0 };
            }
        }
        busy.iter().all(|b| b.div_ceil(self.limits.at_once) < self.beat())
    }

    /// Every zone has its programme: the start times.
    fn laid(&mut self) {
        let blocks: Vec<Block> = self.open.iter().map(|o| self.block(o)).collect();
        let Some((starts, span)) = lay(&blocks, &self.capacity, self.beat(), self.least, &mut self.left) else {
            return;
        };
        let programmes = self.open.iter().zip(starts).map(|(open, starts)| {
            let mut zones = open.zones.clone();
            zones.sort_unstable();
            let minutes = zones.iter().map(|i| self.zones[*i].minutes.div_ceil(open.starts)).collect();
            Programme { zones, minutes, starts, days: open.days }
        });
        self.best = Some((span, programmes.collect()));
    }
}

/// The least relaxations, each by itself; starts or programmes and the window together where none does by itself.
fn relaxations(zones: &[ZoneRun], limits: &Limits, places: u32) -> Vec<Vec<Rule>> {
    let fits = |limits: &Limits| shortest(zones, limits, places).filter(|s| s.span <= limits.window);
    let mut out = Vec::new();
    let flow = zones.iter().map(|z| z.flow.get()).fold(0.0, f64::max);
    if limits.supply.is_some_and(|s| flow > s.get()) {
        let enough = Limits { supply: Some(LitresPerMinute::new(flow)), ..*limits };
        return match fits(&enough) {
            Some(_) => vec![vec![Rule::Supply(LitresPerMinute::new(flow))]],
            None => relaxations(zones, &enough, places)
                .into_iter()
                .map(|mut rules| {
                    rules.insert(0, Rule::Supply(LitresPerMinute::new(flow)));
                    rules
                })
                .collect(),
        };
    }
    let wide = shortest(zones, limits, places).map(|s| s.span).filter(|s| f64::from(*s) <= WINDOW.max);
    out.extend(wide.map(|span| vec![Rule::Window(span)]));
    let starts = (limits.starts + 1..=STARTS_MOST).map(|starts| Limits { starts, ..*limits });
    out.extend(starts.into_iter().find(|l| fits(l).is_some()).map(|l| vec![Rule::Starts(l.starts)]));
    let most = zones.len() as u32;
    let more = (limits.programmes + 1..=most).map(|programmes| Limits { programmes, ..*limits });
    out.extend(more.into_iter().find(|l| fits(l).is_some()).map(|l| vec![Rule::Programmes(l.programmes)]));
    let together = (limits.at_once + 1..=most).map(|at_once| Limits { at_once, ..*limits });
    out.extend(together.into_iter().find(|l| fits(l).is_some()).map(|l| vec![Rule::AtOnce(l.at_once)]));
    let less = (1..20)
        .map(|k| 100 - 5 * k)
        .find(|pct| shortest(&share_of(zones, *pct), limits, places).is_some_and(|s| s.span <= limits.window));
    out.extend(less.map(|pct| vec![Rule::Water(Percent::new(f64::from(pct)))]));
    if out.iter().all(|rules| matches!(rules[..], [Rule::Water(_)])) {
        out.extend(together_relaxed(zones, limits, places));
    }
    out
}

/// Starts and programmes as far as the zones want them, the window that then does, and less water a day where none does.
fn together_relaxed(zones: &[ZoneRun], limits: &Limits, places: u32) -> Option<Vec<Rule>> {
    let mut kinds: Vec<u8> = zones.iter().map(|z| z.days).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let programmes = (kinds.len() as u32).max(limits.programmes);
    (0..20).map(|k| 100 - 5 * k).find_map(|pct| {
        let zones = share_of(zones, pct);
        let starts = zones.iter().map(least_runs).max().unwrap_or(1).max(limits.starts);
        let found = shortest(&zones, &Limits { starts, programmes, ..*limits }, places)?;
        let mut rules = Vec::new();
        rules.extend((starts > limits.starts).then_some(Rule::Starts(starts)));
        rules.extend((programmes > limits.programmes).then_some(Rule::Programmes(programmes)));
        rules.extend((found.span > limits.window).then_some(Rule::Window(found.span)));
        rules.extend((pct < 100).then_some(Rule::Water(Percent::new(f64::from(pct)))));
        (f64::from(found.span) <= WINDOW.max && f64::from(starts) <= COUNT.max && !rules.is_empty()).then_some(rules)
    })
}

/// The zones with this share (%) of their minutes.
fn share_of(zones: &[ZoneRun], pct: u32) -> Vec<ZoneRun> {
    zones.iter().map(|z| ZoneRun { minutes: (z.minutes * pct / 100).max(1), ..*z }).collect()
}

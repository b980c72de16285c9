//! What would put a zone's pressure right, each change worked out anew with the whole way.

use almanac::{Hydraulics, PipeKind};
use reckon::units::{Kilopascals, LitresPerMinute, Millimetres};
use reckon::zone_capacity::regulated_to;
use reckon::zone_pressure::{HeadLaw, Run, RunPipe};
use serde::Serialize;

use super::system::{Solved, System};
use super::{Trouble, ZonePressures, limit};
use crate::units::{Quantity, Units};

/// Shares of the nozzles' flow that are tried, largest first.
const NOZZLES: [f64; 4] = [0.75, 0.6, 0.5, 0.35];

/// A change and what it does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// In words.
    pub words: String,
    /// Least pressure at a head then (kPa).
    pub lowest_kpa: f64,
    /// Most pressure at a head then (kPa).
    pub highest_kpa: f64,
    /// Flow of the zone then (L/min).
    pub flow_lpm: f64,
    /// True where every head then lies within what its kind works at, the heads within what is even, the flow within what the
    /// supply bears and the water within its speed.
    pub enough: bool,
}

struct Trial<'a, 'b> {
    system: &'a System<'b>,
    z: &'a ZonePressures,
    even: f64,
    speed: f64,
}

impl Trial<'_, '_> {
    fn told(&self, words: String, solved: &Solved) -> Change {
        let [low, design, high] = self.z.working_kpa;
        let (lowest_kpa, highest_kpa) = (solved.lowest_kpa, solved.highest_kpa);
        let before = solved.stretches.iter().filter_map(|s| s.speed_ms);
        let fastest = before.fold(solved.lateral_speed_ms, f64::max);
        Change {
            words,
            lowest_kpa,
            highest_kpa,
            flow_lpm: solved.flow_lpm,
            enough: lowest_kpa >= low
                && highest_kpa <= high
                && highest_kpa - lowest_kpa <= self.even * design
                && self.fits(solved.flow_lpm, fastest),
        }
    }

    /// Whether the supply bears the flow, and no pipe has too fast water.
    fn fits(&self, flow_lpm: f64, fastest_ms: f64) -> bool {
        self.z.limits.first().is_none_or(|l| flow_lpm <= l.flow_lpm) && fastest_ms <= self.speed
    }

    fn of(&self, words: String, runs: &[Run]) -> Option<Change> {
        let solved = self.system.solve_runs(self.system.static_kpa, runs).ok()?;
        Some(self.told(words, &solved))
    }

    fn behind(&self, change: impl Fn(&Run) -> Run) -> Vec<Run> {
        let chain = self.system.chain;
        self.system.runs.iter().enumerate().map(|(i, r)| if i < chain { r.clone() } else { change(r) }).collect()
    }

    /// A wider pipe behind the valve.
    fn wider_lateral(&self) -> Option<Change> {
        let (kind, size) = &self.system.lateral;
        let wider = kind.next_wider(size)?;
        let runs = self.behind(|r| Run { pipe: r.pipe.map(|p| widened(p, kind, wider)), ..r.clone() });
        self.of(format!("pipe behind the valve of {wider} in place of {size}"), &runs)
    }

    /// A wider main.
    fn wider_main(&self) -> Option<Change> {
        let (at, kind, size) = self.system.main.as_ref()?;
        let wider = kind.next_wider(size)?;
        let mut runs = self.system.runs.clone();
        runs[*at].pipe = runs[*at].pipe.map(|p| widened(p, kind, wider));
        self.of(format!("main of {wider} in place of {size}"), &runs)
    }

    /// Smaller nozzles: the largest of the shares that is enough, else the smallest.
    fn smaller_nozzles(&self) -> Option<Change> {
        let with = |share: f64| {
            let runs = self.behind(|r| Run { head: r.head.map(|h| scaled(h, share)), ..r.clone() });
            let percent = share * 100.0;
            self.of(
                format!(
                    "nozzles of {percent:.0} % of the flow, same throw: the zone then runs {:.1} times as long",
                    1.0 / share
                ),
                &runs,
            )
        };
        let tried: Vec<Change> = NOZZLES.iter().filter_map(|s| with(*s)).collect();
        tried.iter().find(|c| c.enough).or(tried.last()).cloned()
    }

    /// The heads on two valves: every second one in the order they hang on the pipe.
    fn two_zones(&self) -> Option<Change> {
        let half = |keep: usize| {
            let mut seen = 0;
            let runs: Vec<Run> = self
                .system
                .runs
                .iter()
                .map(|r| {
                    seen += usize::from(r.head.is_some());
                    Run { head: r.head.filter(|_| seen % 2 == keep), ..r.clone() }
                })
                .collect();
            self.system.solve_half(&runs)
        };
        let (a, b) = (half(0)?, half(1)?);
        let weaker = if a.lowest_kpa < b.lowest_kpa { a } else { b };
        Some(self.told("the heads on two valves, half of them each".to_owned(), &weaker))
    }

    /// A regulator behind the valve, set so that the weakest head has its design pressure.
    fn regulator(&self, units: Units) -> Option<Change> {
        let chain = self.system.chain;
        let behind: Vec<Run> = self.system.runs[chain..]
            .iter()
            .map(|r| Run { from: r.from.and_then(|f| f.checked_sub(chain)), ..r.clone() })
            .collect();
        let before = self.z.stretches.last()?.pressure_kpa;
        let design = self.z.working_kpa[1];
        let set = regulated_to(&behind, Kilopascals::new(design), Kilopascals::new(before)).ok()??;
        let solved = self.system.solve_behind(set.get(), &behind)?;
        let saved = 1.0 - solved.flow_lpm / self.z.flow_lpm;
        let pressure = units.say(Quantity::Pressure, set.get());
        Some(self.told(
            format!(
                "a pressure regulator behind the valve set to {pressure}: {:.0} % less water in a minute",
                saved * 100.0
            ),
            &solved,
        ))
    }

    /// Heads with a regulator of their own each give their design flow.
    fn own_regulators(&self, units: Units) -> Option<Change> {
        let design = self.z.working_kpa[1];
        if self.z.lowest_kpa < design {
            return None;
        }
        let flow: f64 = self.z.heads.iter().map(|h| h.told_lpm).sum();
        let saved = 1.0 - flow / self.z.flow_lpm;
        let pipes = self.z.stretches.iter().filter_map(|s| s.speed_ms).fold(self.z.lateral_speed_ms, f64::max);
        Some(Change {
            words: format!(
                "head bodies with a regulator of {} built in: {:.0} % less water in a minute",
                units.say(Quantity::Pressure, design),
                saved * 100.0
            ),
            lowest_kpa: design,
            highest_kpa: design,
            flow_lpm: flow,
            enough: self.fits(flow, pipes * (1.0 - saved)),
        })
    }
}

fn widened(p: RunPipe, kind: &PipeKind, size: &str) -> RunPipe {
    let inside = kind.inside_mm.get(size).copied().unwrap_or(p.inside.get());
    RunPipe { inside: Millimetres::new(inside.max(p.inside.get())), ..p }
}

fn scaled(h: HeadLaw, share: f64) -> HeadLaw {
    HeadLaw { flow: LitresPerMinute::new(h.flow.get() * share), ..h }
}

/// The changes that help, those that are enough first.
pub(super) fn changes(system: &System<'_>, z: &ZonePressures, table: &Hydraulics, units: Units) -> Vec<Change> {
    let trial = Trial { system, z, even: limit(table, "variation"), speed: limit(table, "speed") };
    let has = |t: Trouble| z.findings.iter().any(|f| f.trouble == t);
    let mut out: Vec<Change> = Vec::new();
    if has(Trouble::Mist) {
        out.extend(trial.regulator(units));
        if z.sprinkler != "drip" {
            out.extend(trial.own_regulators(units));
        }
    }
    if [Trouble::Dribble, Trouble::Uneven, Trouble::Fast, Trouble::Flow].into_iter().any(has) {
        let tried = [trial.wider_lateral(), trial.wider_main(), trial.two_zones(), trial.smaller_nozzles()];
        // Of use is what lifts the weakest head, or brings the heads nearer to each other.
        let apart = z.highest_kpa - z.lowest_kpa;
        let helps = |c: &Change| c.lowest_kpa > z.lowest_kpa + 1.0 || c.highest_kpa - c.lowest_kpa < apart - 1.0;
        out.extend(tried.into_iter().flatten().filter(helps));
    }
    out.sort_by_key(|c| !c.enough);
    out
}

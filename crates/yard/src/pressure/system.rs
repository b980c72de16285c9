//! The way from the street to the heads of a zone, as the formula takes it: what is drawn, what was told, what is assumed.

use almanac::{FittingKind, HeadPressures, Hydraulics, PipeKind};
use reckon::shortest_tree::shortest_tree;
use reckon::spot_level::level_at;
use reckon::units::{Kilopascals, LitresPerMinute, Metres, Millimetres};
use reckon::working::{Step, Value};
use reckon::zone_pressure::{Device, HeadLaw, LossLaw, Run, RunPipe, RunState, zone_pressure};

use super::{HeadState, Missing, Stretch, Told, figures};
use crate::entry::{LaidPipe, WaterSupply, ZoneFacts};
use crate::fold::Yard;
use crate::map::{Mapped, PipeRole, Thing};
use crate::survey::zone_heads;

/// Places of drawn pipes no further apart than this meet (m).
const MEET_M: f64 = 1.5;
/// A turn of a drawn pipe sharper than this is an elbow (degrees).
const ELBOW_DEG: f64 = 30.0;
/// Service line where none was told (common practice of older houses).
const SERVICE: (&str, &str, f64) = ("copper-l", "3/4", 15.0);
/// Meter where none was told.
const METER: &str = "3/4";
/// Backflow preventer where none was told.
const BACKFLOW: &str = "double-check";
/// Main where neither drawn nor told.
const MAIN: (&str, &str, f64) = ("pvc-40", "1", 15.0);
/// Pipe behind the valves where not told.
const LATERAL: (&str, &str) = ("pvc-200", "3/4");
/// Valve where not told.
const VALVE: &str = "1";
/// Pipe from head to head where neither drawn nor told (m): sprays at 15 ft, others at 30 ft.
const STEP_M: [f64; 2] = [4.6, 9.1];

/// A zone's pipes and heads.
pub(super) struct System<'a> {
    pub(super) static_kpa: f64,
    pub(super) runs: Vec<Run>,
    /// Runs of `runs` before the pipes behind the valve.
    pub(super) chain: usize,
    /// Names of the chain's runs.
    names: Vec<String>,
    /// For each run with a head: its name and place.
    heads: Vec<(String, Option<[f64; 2]>)>,
    pub(super) mapped: bool,
    /// Kind and size of the pipe behind the valve.
    pub(super) lateral: (&'a PipeKind, String),
    /// Kind and size of the main, where it was told and not drawn.
    pub(super) main: Option<(usize, &'a PipeKind, String)>,
    pub(super) assumed: Vec<String>,
    pub(super) sources: Vec<String>,
    table: &'a Hydraulics,
}

/// What the formula found.
pub(super) struct Solved {
    pub(super) states: Vec<RunState>,
    pub(super) flow_lpm: f64,
    pub(super) stretches: Vec<Stretch>,
    pub(super) lateral_speed_ms: f64,
    pub(super) heads: Vec<HeadState>,
    pub(super) lowest_kpa: f64,
    pub(super) highest_kpa: f64,
}

fn square(opening: f64, at: f64, loss: f64) -> Device {
    Device {
        opening: Kilopascals::new(opening),
        at_flow: LitresPerMinute::new(at),
        at_loss: Kilopascals::new(loss),
        law: LossLaw::Square,
    }
}

fn pipe_of(kind: &PipeKind, inside: f64, length: f64, fittings: f64) -> RunPipe {
    RunPipe {
        length: Metres::new(length),
        inside: Millimetres::new(inside),
        c: kind.c,
        fittings: Metres::new(fittings),
    }
}

/// Spot levels of the map.
fn levels(yard: &Yard) -> Vec<([f64; 2], f64)> {
    let level = |t: &Mapped| match t.thing {
        Thing::Level { height_m } => Some((t.place(), height_m)),
        _ => None,
    };
    yard.things.iter().filter_map(level).collect()
}

fn lines<'a>(yard: &'a Yard, role: PipeRole, zone: Option<&'a str>) -> impl Iterator<Item = (&'a Mapped, Option<f64>)> {
    yard.things.iter().filter_map(move |t| match &t.thing {
        Thing::Pipe { role: r, zone: z, bore_mm } if *r == role && (role == PipeRole::Main || z.as_deref() == zone) => {
            Some((t, *bore_mm))
        }
        _ => None,
    })
}

fn far(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The drawn main from its beginning to the valve: metres, elbows and the narrowest bore told on the way.
fn drawn_main(yard: &Yard, valve: [f64; 2]) -> Option<([f64; 2], f64, f64, Option<f64>)> {
    let mains: Vec<(Vec<[f64; 2]>, Option<f64>)> =
        lines(yard, PipeRole::Main, None).map(|(t, bore)| (t.at.iter().map(|c| c.at()).collect(), bore)).collect();
    let start = *mains.first()?.0.first()?;
    let places: Vec<[f64; 2]> = mains.iter().flat_map(|m| m.0.iter().copied()).collect();
    let mut edges: Vec<(usize, usize, f64, Option<f64>)> = Vec::new();
    let mut at = 0;
    for (corners, bore) in &mains {
        for i in 1..corners.len() {
            edges.push((at + i - 1, at + i, far(corners[i - 1], corners[i]), *bore));
        }
        at += corners.len();
    }
    for a in 0..places.len() {
        for b in a + 1..places.len() {
            if far(places[a], places[b]) <= MEET_M {
                edges.push((a, b, far(places[a], places[b]), None));
            }
        }
    }
    // From place to place, nearest first.
    let mut reached: Vec<Option<(f64, usize)>> = vec![None; places.len()];
    let mut open: Vec<(f64, usize, usize)> = vec![(0.0, 0, 0)];
    while let Some(next) = (0..open.len()).min_by(|&a, &b| open[a].0.total_cmp(&open[b].0)) {
        let (metres, place, before) = open.swap_remove(next);
        if reached[place].is_some() {
            continue;
        }
        reached[place] = Some((metres, before));
        for &(a, b, length, _) in edges.iter().filter(|e| e.0 == place || e.1 == place) {
            open.push((metres + length, if a == place { b } else { a }, place));
        }
    }
    let ends = (0..places.len()).filter(|&i| reached[i].is_some());
    let end = ends.min_by(|&a, &b| far(places[a], valve).total_cmp(&far(places[b], valve)))?;
    let (metres, _) = reached[end]?;
    let mut way = vec![end];
    while let Some((_, before)) = reached[*way.last()?].filter(|_| *way.last().unwrap_or(&0) != 0) {
        way.push(before);
    }
    let turn = |w: &[usize]| {
        let [a, b, c] = [places[w[0]], places[w[1]], places[w[2]]];
        let (from, to) = ((b[1] - a[1]).atan2(b[0] - a[0]), (c[1] - b[1]).atan2(c[0] - b[0]));
        let angle = (to - from).to_degrees().rem_euclid(360.0);
        angle.min(360.0 - angle) > ELBOW_DEG
    };
    let elbows = way.windows(3).filter(|w| turn(w)).count() as f64;
    let bores = way.windows(2).filter_map(|w| {
        edges.iter().find(|e| (e.0, e.1) == (w[0], w[1]) || (e.1, e.0) == (w[0], w[1])).and_then(|e| e.3)
    });
    let bore = bores.fold(None, |least: Option<f64>, b| Some(least.map_or(b, |l| l.min(b))));
    Some((start, metres + far(places[end], valve), elbows, bore))
}

impl<'a> System<'a> {
    pub(super) fn of(
        yard: &Yard,
        zone: &ZoneFacts,
        told: Told,
        supply: &WaterSupply,
        table: &'a Hydraulics,
        working: &HeadPressures,
    ) -> Result<Self, Missing> {
        let unknown = || Missing::Figures("a kind of pipe is not in the table".to_owned());
        let lateral = supply.lateral.as_ref();
        let (kind, size) = lateral.map_or(LATERAL, |l| (l.kind.as_str(), l.size.as_str()));
        let kind = table.pipe(kind).ok_or_else(unknown)?;
        let mut system = Self {
            static_kpa: supply.static_kpa,
            runs: Vec::new(),
            chain: 0,
            names: Vec::new(),
            heads: Vec::new(),
            mapped: false,
            lateral: (kind, size.to_owned()),
            main: None,
            assumed: Vec::new(),
            sources: vec![kind.source.clone()],
            table,
        };
        if lateral.is_none() {
            system.assume(format!("pipe behind the valve: {size} in {}; tell it with the water supply", kind.name));
        }
        let heads = zone_heads(yard, &zone.key);
        let valve = yard.things.iter().find_map(|t| match &t.thing {
            Thing::Valve { zone: Some(z) } if *z == zone.key => Some(t.place()),
            _ => None,
        });
        system.street(supply)?;
        let main = valve.and_then(|v| drawn_main(yard, v));
        system.backflow_and_main(supply, main)?;
        system.valve(supply)?;
        system.chain = system.runs.len();
        let spots = levels(yard);
        let tap = main.map(|m| m.0).or(valve);
        let rise = |at: [f64; 2]| match tap.filter(|_| !spots.is_empty()) {
            Some(tap) => Some(level_at(&spots, at).ok()?.get() - level_at(&spots, tap).ok()?.get()),
            None => supply.rise_m,
        };
        if heads.is_empty() || told.heads.is_some() {
            system.line(yard, zone, told, supply.rise_m, working)?;
        } else {
            let places: Vec<([f64; 2], f64, String)> =
                heads.iter().map(|h| (h.thing.place(), h.facts.flow_lpm, h.thing.name.clone())).collect();
            let drawn: Vec<(f64, Option<f64>)> = lines(yard, PipeRole::Lateral, Some(&zone.key))
                .map(|(t, bore)| (t.at.windows(2).map(|w| far(w[0].at(), w[1].at())).sum(), bore))
                .collect();
            system.tree(valve, &places, &drawn, &rise, working)?;
        }
        if spots.is_empty() && supply.rise_m.is_none() {
            system.assume("all heads as high as the tap; tell the height, or draw spot levels".to_owned());
        } else if spots.is_empty() {
            system.assume("all heads as high as the highest; draw spot levels".to_owned());
        }
        if zone.sprinkler == "drip" {
            system.assume(
                "no regulator before the drip line; where there is one, its setting is what the line has".to_owned(),
            );
        }
        Ok(system)
    }

    pub(super) fn assume(&mut self, words: String) {
        self.assumed.push(words);
    }

    fn push(&mut self, name: &str, pipe: Option<RunPipe>, device: Option<Device>) {
        let from = self.runs.len().checked_sub(1);
        self.runs.push(Run { from, pipe, device, rise: Metres::new(0.0), head: None });
        self.names.push(name.to_owned());
    }

    fn told_pipe(&self, told: Option<&LaidPipe>, usual: (&str, &str)) -> Result<(&'a PipeKind, String, f64), Missing> {
        let (kind, size) = told.map_or(usual, |p| (p.kind.as_str(), p.size.as_str()));
        let unknown = || Missing::Figures(format!("{kind} pipe of {size} is not in the table"));
        let kind = self.table.pipe(kind).ok_or_else(unknown)?;
        let inside = *kind.inside_mm.get(size).ok_or_else(unknown)?;
        Ok((kind, size.to_owned(), inside))
    }

    fn fitting(&self, kind: &PipeKind, part: impl Fn(&FittingKind) -> Option<f64>) -> f64 {
        self.table.fittings(kind).and_then(part).unwrap_or(0.0)
    }

    /// From the street to the tap: as measured, else meter and service line.
    fn street(&mut self, supply: &WaterSupply) -> Result<(), Missing> {
        if let (Some(flow), Some(working)) = (supply.flow_lpm, supply.working_kpa) {
            let device = Device {
                opening: Kilopascals::new(0.0),
                at_flow: LitresPerMinute::new(flow),
                at_loss: Kilopascals::new(supply.static_kpa - working),
                law: LossLaw::Pipe,
            };
            self.push("street to tap, as measured", None, Some(device));
            return Ok(());
        }
        let (kind, size, inside) = self.told_pipe(supply.service.as_ref(), (SERVICE.0, SERVICE.1))?;
        let length = supply.service.as_ref().and_then(|s| s.length_m).unwrap_or(SERVICE.2);
        if supply.service.is_none() {
            self.assume(format!(
                "pipe from the street: {length:.0} m of {size} in {}; tell it, or measure flow and pressure at the tap",
                kind.name
            ));
        }
        let elbows = 2.0 * self.fitting(kind, |f| f.elbow_m.get(&size).copied());
        self.push("pipe from the street", Some(pipe_of(kind, inside, length, elbows)), None);
        let meter = supply.meter.as_deref().unwrap_or(METER);
        if supply.meter.is_none() {
            self.assume(format!("a water meter of {meter} in; its size is cast into it"));
        }
        if let Some(m) = self.table.meter(meter) {
            self.sources.push(m.source.clone());
            self.push(&format!("water meter, {meter} in"), None, Some(square(0.0, m.safe_lpm, m.loss_kpa)));
        }
        self.sources.push(kind.source.clone());
        Ok(())
    }

    fn backflow_and_main(
        &mut self,
        supply: &WaterSupply,
        drawn: Option<([f64; 2], f64, f64, Option<f64>)>,
    ) -> Result<(), Missing> {
        let (kind, size, inside) = self.told_pipe(supply.main.as_ref(), (MAIN.0, MAIN.1))?;
        let backflow = supply.backflow.as_deref().unwrap_or(BACKFLOW);
        if let Some(b) = self.table.backflow(backflow) {
            if supply.backflow.is_none() {
                self.assume(format!("backflow preventer: {}; tell which it is", b.name));
            }
            self.sources.push(b.source.clone());
            if b.loss_kpa > 0.0 {
                // The table's is of 1 in; one of the main's size loses as much at the same speed.
                let bore = drawn.and_then(|d| d.3).unwrap_or(inside);
                let wider = (bore / self.told_pipe(None, (MAIN.0, MAIN.1))?.2).powi(2);
                self.push(&b.name, None, Some(square(b.opening_kpa, b.at_lpm * wider, b.loss_kpa)));
            }
        }
        let elbow = self.fitting(kind, |f| f.elbow_m.get(&size).copied());
        let side = self.fitting(kind, |f| f.tee_side_m.get(&size).copied());
        match drawn {
            Some((_, metres, elbows, bore)) => {
                let run = pipe_of(kind, bore.unwrap_or(inside), metres, elbows * elbow + side);
                self.push("main, as drawn", Some(run), None);
                if bore.is_none() {
                    self.main = Some((self.runs.len() - 1, kind, size.clone()));
                }
                if bore.is_none() && supply.main.is_none() {
                    self.assume(format!("main: {size} in {}; tell its bore on the map", kind.name));
                }
            }
            None => {
                let length = supply.main.as_ref().and_then(|m| m.length_m);
                if length.is_none() {
                    self.assume(format!(
                        "main: {:.0} m of {size} in {}; tell it, or draw it and the valve",
                        MAIN.2, kind.name
                    ));
                }
                let run = pipe_of(kind, inside, length.unwrap_or(MAIN.2), 2.0 * elbow + side);
                self.push("main", Some(run), None);
                self.main = Some((self.runs.len() - 1, kind, size));
            }
        }
        Ok(())
    }

    fn valve(&mut self, supply: &WaterSupply) -> Result<(), Missing> {
        let size = supply.valve.as_deref().unwrap_or(VALVE);
        if supply.valve.is_none() {
            self.assume(format!("zone valve of {size} in"));
        }
        if let Some(v) = self.table.valve(size) {
            self.sources.push(v.source.clone());
            self.push("zone valve", None, Some(square(v.opening_kpa, v.at_lpm, v.loss_kpa)));
        }
        Ok(())
    }

    /// Equal heads in a line, as told.
    fn line(
        &mut self,
        yard: &Yard,
        zone: &ZoneFacts,
        told: Told,
        rise_m: Option<f64>,
        working: &HeadPressures,
    ) -> Result<(), Missing> {
        let count = match (told.heads, zone.sprinkler.as_str()) {
            (Some(n), _) => n,
            (None, "drip") => 1,
            _ => return Err(Missing::Heads),
        };
        if count == 0 || count > reckon::zone_pressure::HEADS_MAX {
            return Err(Missing::Figures(format!(
                "{count} heads; there may be 1 to {}",
                reckon::zone_pressure::HEADS_MAX
            )));
        }
        let size: f64 = zone.areas.iter().filter_map(|a| yard.area(a)).map(|a| a.size_m2).sum();
        let by_rate = zone.rate_mm_h.filter(|_| size > 0.0).map(|r| r * size / 60.0);
        let flow = told.flow_lpm.or(zone.flow_lpm).or(by_rate).ok_or(Missing::Flow)?;
        let step = STEP_M[usize::from(zone.sprinkler != "spray")];
        let length = told.length_m.unwrap_or(step * count as f64);
        if told.length_m.is_none() {
            self.assume(format!("{length:.0} m of pipe from the valve to the last head; pace it"));
        }
        self.assume("equal heads at equal distances on one line; draw them for their own pressures".to_owned());
        let tee = self.tee();
        let inside = self.lateral_inside()?;
        for i in 0..count {
            let pipe = pipe_of(self.lateral.0, inside, length / count as f64, tee);
            self.runs.push(Run {
                from: self.runs.len().checked_sub(1),
                pipe: Some(pipe),
                device: None,
                rise: Metres::new(rise_m.unwrap_or(0.0)),
                head: Some(HeadLaw {
                    flow: LitresPerMinute::new(flow / count as f64),
                    pressure: Kilopascals::new(working.design_kpa),
                }),
            });
            self.heads.push((format!("head {}", i + 1), None));
        }
        Ok(())
    }

    /// The heads on the map, joined the shortest way from the valve.
    fn tree(
        &mut self,
        valve: Option<[f64; 2]>,
        heads: &[([f64; 2], f64, String)],
        drawn: &[(f64, Option<f64>)],
        rise: &dyn Fn([f64; 2]) -> Option<f64>,
        working: &HeadPressures,
    ) -> Result<(), Missing> {
        self.mapped = true;
        let heads: Vec<_> = heads.iter().filter(|h| h.1 > 0.0).collect();
        let Some(first) = heads.first() else { return Err(Missing::Flow) };
        if valve.is_none() {
            self.assume("the valve at the first head; draw it".to_owned());
        }
        let mut places = vec![valve.unwrap_or(first.0)];
        places.extend(heads.iter().map(|h| h.0));
        let tree = shortest_tree(&places).map_err(figures)?;
        let whole: f64 = tree.iter().map(|t| t.2).sum();
        let drawn_length: f64 = drawn.iter().map(|d| d.0).sum();
        let bore = drawn.iter().filter_map(|d| d.1).fold(None, |l: Option<f64>, b| Some(l.map_or(b, |l| l.min(b))));
        let stretch = if drawn_length > whole && whole > 0.0 { drawn_length / whole } else { 1.0 };
        self.assume(match drawn.is_empty() {
            true => "pipes run the shortest way from the valve through the heads, for none are drawn".to_owned(),
            false => "pipes branch the shortest way through the heads, their length and bore as drawn".to_owned(),
        });
        let tee = self.tee();
        let inside = match bore {
            Some(b) => b,
            None => self.lateral_inside()?,
        };
        let valve_run = self.runs.len().checked_sub(1);
        let mut run_of = vec![valve_run; places.len()];
        for (place, before, metres) in tree {
            let head = heads[place - 1];
            self.runs.push(Run {
                from: run_of[before],
                pipe: Some(pipe_of(self.lateral.0, inside, metres * stretch, tee)),
                device: None,
                rise: Metres::new(rise(head.0).unwrap_or(0.0)),
                head: Some(HeadLaw {
                    flow: LitresPerMinute::new(head.1),
                    pressure: Kilopascals::new(working.design_kpa),
                }),
            });
            run_of[place] = Some(self.runs.len() - 1);
            self.heads.push((head.2.clone(), Some(head.0)));
        }
        Ok(())
    }

    fn tee(&self) -> f64 {
        let (kind, size) = &self.lateral;
        self.fitting(kind, |f| f.tee_run_m.get(size).copied())
    }

    fn lateral_inside(&self) -> Result<f64, Missing> {
        let (kind, size) = &self.lateral;
        let unknown = || Missing::Figures(format!("{} is not made in {size}", kind.name));
        kind.inside_mm.get(size).copied().ok_or_else(unknown)
    }

    /// A mean pipe from head to head and a mean head.
    pub(super) fn mean_step(&self) -> Option<(RunPipe, HeadLaw)> {
        let behind = &self.runs[self.chain..];
        let n = behind.len() as f64;
        let first = behind.first()?;
        let (pipe, head) = (first.pipe?, first.head?);
        let length = behind.iter().filter_map(|r| r.pipe).map(|p| p.length.get()).sum::<f64>() / n;
        let flow = behind.iter().filter_map(|r| r.head).map(|h| h.flow.get()).sum::<f64>() / n;
        Some((RunPipe { length: Metres::new(length), ..pipe }, HeadLaw { flow: LitresPerMinute::new(flow), ..head }))
    }

    pub(super) fn solve(&self) -> Result<Solved, Missing> {
        self.solve_runs(self.static_kpa, &self.runs)
    }

    /// The same ways with part of the heads left out.
    pub(super) fn solve_half(&self, runs: &[Run]) -> Option<Solved> {
        if runs.iter().any(|r| r.head.is_some()) { self.solve_runs(self.static_kpa, runs).ok() } else { None }
    }

    /// The pipes behind the valve alone, under a pressure held there.
    pub(super) fn solve_behind(&self, kpa: f64, behind: &[Run]) -> Option<Solved> {
        let states = zone_pressure(Kilopascals::new(kpa), behind).ok()?;
        Some(self.solved(0, behind, states))
    }

    pub(super) fn solve_runs(&self, static_kpa: f64, runs: &[Run]) -> Result<Solved, Missing> {
        let states = zone_pressure(Kilopascals::new(static_kpa), runs).map_err(figures)?;
        Ok(self.solved(self.chain, runs, states))
    }

    fn solved(&self, chain: usize, runs: &[Run], states: Vec<RunState>) -> Solved {
        let stretch = |(name, s): (&String, &RunState)| Stretch {
            name: name.clone(),
            speed_ms: s.velocity.map(|v| v.get()),
            loss_kpa: s.loss.get(),
            pressure_kpa: s.pressure.get(),
        };
        let stretches = self.names.iter().zip(&states).take(chain).map(stretch).collect();
        let behind = runs.iter().zip(&states).skip(chain);
        let heads: Vec<HeadState> = behind
            .clone()
            .zip(&self.heads)
            .filter_map(|((run, s), (name, at))| {
                Some(HeadState {
                    name: name.clone(),
                    at: *at,
                    told_lpm: run.head?.flow.get(),
                    flow_lpm: s.head_flow.get(),
                    pressure_kpa: s.pressure.get(),
                    rise_m: run.rise.get(),
                })
            })
            .collect();
        let fastest = behind.filter_map(|(_, s)| s.velocity).map(|v| v.get()).fold(0.0, f64::max);
        Solved {
            flow_lpm: heads.iter().map(|h| h.flow_lpm).sum(),
            stretches,
            lateral_speed_ms: fastest,
            lowest_kpa: heads.iter().map(|h| h.pressure_kpa).fold(f64::INFINITY, f64::min),
            highest_kpa: heads.iter().map(|h| h.pressure_kpa).fold(f64::NEG_INFINITY, f64::max),
            heads,
            states,
        }
    }

    /// How it was worked out: the way to the valve, then the weakest head.
    pub(super) fn steps(&self, solved: &Solved, supply: &WaterSupply) -> Vec<Step> {
        let mut out = vec![Step::new(
            "flow of the zone",
            "Σ q of the heads, each q₀ √(p / p₀), so that all pressures agree",
            vec![Value::number("heads", solved.heads.len() as f64, "")],
            Value::number("Q", solved.flow_lpm, "L/min"),
        )];
        for ((run, s), name) in self.runs.iter().zip(&solved.states).zip(&self.names) {
            let mut values = vec![Value::number("Q", s.flow.get(), "L/min")];
            let mut formula = Vec::new();
            if let Some(p) = run.pipe {
                formula.push("9.80665 · 10.67 L Q^1.852 / (C^1.852 d^4.8704), Q in m³/s, d in m");
                values.push(Value::number("length", p.length.get(), "m"));
                values.push(Value::number("fittings as pipe", p.fittings.get(), "m"));
                values.push(Value::number("inside diameter", p.inside.get(), "mm"));
                values.push(Value::number("C", p.c, ""));
            }
            if let Some(d) = run.device {
                formula.push(match d.law {
                    LossLaw::Square => "o + (l − o) (Q / Q_l)²",
                    LossLaw::Pipe => "l (Q / Q_l)^1.852",
                });
                values.push(Value::number("o", d.opening.get(), "kPa"));
                values.push(Value::number("l", d.at_loss.get(), "kPa"));
                values.push(Value::number("Q_l", d.at_flow.get(), "L/min"));
            }
            let loss = Value::number("lost", s.loss.get(), "kPa");
            out.push(Step::new(format!("lost in: {name}"), formula.join("; "), values, loss));
        }
        let weakest = solved.heads.iter().min_by(|a, b| a.pressure_kpa.total_cmp(&b.pressure_kpa));
        let before = solved.stretches.last().map_or(supply.static_kpa, |s| s.pressure_kpa);
        if let Some(head) = weakest {
            let column = reckon::zone_pressure::column(Metres::new(head.rise_m)).get();
            out.push(Step::new(
                format!("pressure at the weakest, {}", head.name),
                "static − lost to the valve − lost behind it − height",
                vec![
                    Value::number("static", supply.static_kpa, "kPa"),
                    Value::number("lost to the valve", supply.static_kpa - before, "kPa"),
                    Value::number("lost behind it", before - column - head.pressure_kpa, "kPa"),
                    Value::number("height", column, "kPa"),
                ],
                Value::number("p", head.pressure_kpa, "kPa"),
            ));
        }
        out
    }
}

//! Pressure in a sprinkler zone, from the street to its last head.

use crate::error::{Bound, ReckonError};
use crate::pipe::{self, FLOW_EXPONENT, GRAVITY};
use crate::units::{Kilopascals, LitresPerMinute, Metres, MetresPerSecond, Millimetres};

/// Pressure with nothing flowing.
pub const STATIC_KPA: Bound = Bound::new("static_kpa", 1.0, 2_000.0, "kPa", "pressure with nothing flowing");
/// Pressure at which a head gives the flow told for it.
pub const DESIGN_KPA: Bound =
    Bound::new("design_kpa", 10.0, 1_000.0, "kPa", "pressure at which heads give the flow told");
/// Flow of a head at that pressure.
pub const HEAD_LPM: Bound = Bound::new("head_lpm", 0.01, 1_000.0, "L/min", "flow of the head at the design pressure");
/// Height of a run's end over the place where the pressure was read.
pub const RISE_M: Bound = Bound::new("rise_m", -200.0, 200.0, "m", "height of the run's end over the gauge");
/// Pipe that loses as much as the fittings of a run.
pub const FITTINGS_M: Bound =
    Bound::new("fittings_m", 0.0, 1_000.0, "m", "length of pipe that loses as much as the fittings");
/// Loss of a device at the flow told for it.
pub const LOSS_KPA: Bound = Bound::new("loss_kpa", 0.0, 1_000.0, "kPa", "loss of a meter, valve or other device");
/// Flow at which a device has that loss.
pub const LOSS_AT_LPM: Bound =
    Bound::new("loss_at_lpm", 0.1, 10_000.0, "L/min", "flow at which the device has that loss");
/// The part of that loss that is there as soon as anything flows: a spring held open.
pub const OPENING_KPA: Bound = Bound::new("opening_kpa", 0.0, 1_000.0, "kPa", "part of the loss that any flow costs");
/// Runs of one zone.
pub const RUNS_MAX: usize = 1_000;
/// Heads of one zone.
pub const HEADS_MAX: usize = 200;

/// Most steps towards the solution; a garden's zone takes about ten.
const STEPS_MAX: usize = 300;
/// How near the pressures at the heads come to agreeing (kPa).
const NEAR_KPA: f64 = 1e-7;
/// Share of its design flow below which a head counts as dry.
const DRY: f64 = 1e-10;

/// How a device's loss grows with its flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LossLaw {
    /// As the square: meters, valves, checks.
    Square,
    /// As the power 1.852: a length of pipe known by one reading, as in a flow test of a main.
    Pipe,
}

/// A meter, valve, backflow preventer, or a stretch known by a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Device {
    /// Part of the loss that any flow costs.
    pub opening: Kilopascals,
    /// A flow.
    pub at_flow: LitresPerMinute,
    /// The whole loss at that flow.
    pub at_loss: Kilopascals,
    /// How it grows.
    pub law: LossLaw,
}

/// A pipe with its fittings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunPipe {
    /// Length.
    pub length: Metres,
    /// Inside diameter.
    pub inside: Millimetres,
    /// Hazen–Williams coefficient.
    pub c: f64,
    /// Length of pipe that loses as much as the fittings.
    pub fittings: Metres,
}

/// A head: its flow goes with the square root of its pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeadLaw {
    /// Flow at the design pressure.
    pub flow: LitresPerMinute,
    /// Design pressure.
    pub pressure: Kilopascals,
}

/// A stretch of the way from the street to the heads. Runs branch but never meet again.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The run before it in the list; `None` where it starts at the source.
    pub from: Option<usize>,
    /// Its pipe.
    pub pipe: Option<RunPipe>,
    /// A device in it.
    pub device: Option<Device>,
    /// Height of its end over the gauge.
    pub rise: Metres,
    /// The head at its end.
    pub head: Option<HeadLaw>,
}

/// What a run carries and what is left at its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunState {
    /// Flow through it.
    pub flow: LitresPerMinute,
    /// Speed of the water, where it has a pipe.
    pub velocity: Option<MetresPerSecond>,
    /// Pressure lost to friction.
    pub loss: Kilopascals,
    /// Pressure at its end; below zero where the water does not reach.
    pub pressure: Kilopascals,
    /// Flow of its head; 0 where there is none, or no pressure.
    pub head_flow: LitresPerMinute,
}

/// Pressures and flows of a zone whose heads give what their pressure lets them.
///
/// At every head `p = static - 9.80665 z - Σ losses on its way` and `q = q₀ √(p / p₀)`; a pipe loses what
/// [`pipe_loss_hazen_williams`](crate::pipe::pipe_loss_hazen_williams) says over its length and its fittings' length, a
/// device `o + (l - o) (Q / Q_l)²` (or `^1.852`, [`LossLaw::Pipe`]); every run carries the flow of the heads behind it. All
/// of it holds at once: the flows are those of the least energy, found by Newton's method, which has one least only.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | static | pressure with nothing flowing | kPa | 1 ..= 2,000 |
/// | `z` | height over the gauge | m | -200 ..= 200 |
/// | `q₀`, `p₀` | flow of a head and the pressure it is told for | L/min, kPa | 0.01 ..= 1,000; 10 ..= 1,000 |
/// | `o`, `l`, `Q_l` | opening loss, loss, and the flow of that loss | kPa, L/min | 0 ..= 1,000; 0.1 ..= 10,000 |
/// | pipes | as in [`pipe`] | | |
///
/// A head without pressure gives nothing and takes nothing in. Left out: heads with a regulator of their own, loops (see
/// [`network`](crate::network)), and a supply that weakens with the neighbours' use.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field; [`ReckonError::Inconsistent`] naming `runs` where a run starts behind
/// itself, no head is told or too many are, or an opening loss exceeds its loss.
///
/// # Source
/// Orifice: E. Torricelli's law, `q ∝ √p`, as every maker's nozzle table follows it. Friction: Williams and Hazen, 1905.
/// A stretch known by one reading: `Q ∝ h^0.54`, the flow test of a main in AWWA Manual M17 (from memory).
///
/// # Examples
/// A head told for 4 L/min at 207 kPa behind a short wide pipe at four times that pressure gives twice the flow.
/// ```
/// use reckon::units::{Kilopascals, LitresPerMinute, Metres};
/// use reckon::zone_pressure::{HeadLaw, Run, zone_pressure};
///
/// let head = HeadLaw { flow: LitresPerMinute::new(4.0), pressure: Kilopascals::new(207.0) };
/// let run = Run { from: None, pipe: None, device: None, rise: Metres::new(0.0), head: Some(head) };
/// let solved = zone_pressure(Kilopascals::new(828.0), &[run])?;
/// assert!((solved[0].head_flow.get() - 8.0).abs() < 1e-6);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn zone_pressure(static_pressure: Kilopascals, runs: &[Run]) -> Result<Vec<RunState>, ReckonError> {
    let static_kpa = STATIC_KPA.check(static_pressure.get())?;
    let tree = Tree::of(static_kpa, runs)?;
    let flows = tree.solve()?;
    let carried = tree.carried(&flows);
    let losses: Vec<f64> = tree.edges.iter().zip(&carried).map(|(e, q)| e.loss(*q)).collect();
    let mut lost = vec![0.0; runs.len()];
    let mut states = Vec::with_capacity(runs.len());
    let mut heads = flows.iter();
    for (i, run) in runs.iter().enumerate() {
        lost[i] = run.from.map_or(0.0, |f| lost[f]) + losses[i];
        let q = carried[i];
        let velocity = run.pipe.map(|p| MetresPerSecond::new(q / 60_000.0 / pipe::bore(p.inside.get() / 1000.0)));
        let head_flow = if run.head.is_some() { heads.next().copied().unwrap_or(0.0) } else { 0.0 };
        states.push(RunState {
            flow: LitresPerMinute::new(q),
            velocity,
            loss: Kilopascals::new(losses[i]),
            pressure: Kilopascals::new(static_kpa - GRAVITY * run.rise.get() - lost[i]),
            head_flow: LitresPerMinute::new(head_flow),
        });
    }
    Ok(states)
}

/// Pressure of a column of water: `p = 9.80665 h`, h in m.
///
/// # Source
/// Water of 1000 kg/m³ under standard gravity.
///
/// # Examples
/// A foot of water presses 0.433 psi (USDA National Engineering Handbook 652).
/// ```
/// use reckon::units::Metres;
///
/// let foot = reckon::zone_pressure::column(Metres::new(0.3048));
/// assert!((foot.get() / 6.894757 - 0.433).abs() < 0.001);
/// ```
pub fn column(height: Metres) -> Kilopascals {
    Kilopascals::new(GRAVITY * height.get())
}

/// A run's loss of pressure: `pipe Q^1.852 + opening + square Q² + power Q^1.852`, Q in L/min.
struct Edge {
    power: f64,
    square: f64,
    opening: f64,
}

impl Edge {
    fn of(run: &Run) -> Result<Self, ReckonError> {
        let mut edge = Self { power: 0.0, square: 0.0, opening: 0.0 };
        if let Some(p) = run.pipe {
            let inside = pipe::INSIDE_MM.check(p.inside.get())? / 1000.0;
            let length = pipe::LENGTH_M.check(p.length.get())? + FITTINGS_M.check(p.fittings.get())?;
            let metres = pipe::hazen_williams_resistance(inside, length, pipe::C.check(p.c)?);
            edge.power += GRAVITY * metres * (1.0 / 60_000f64).powf(FLOW_EXPONENT);
        }
        if let Some(d) = run.device {
            let (opening, loss) = (OPENING_KPA.check(d.opening.get())?, LOSS_KPA.check(d.at_loss.get())?);
            let at = LOSS_AT_LPM.check(d.at_flow.get())?;
            if opening > loss {
                return Err(refused(format!(
                    "an opening loss of {opening} kPa is more than the whole loss of {loss} kPa"
                )));
            }
            edge.opening = opening;
            match d.law {
                LossLaw::Square => edge.square = (loss - opening) / (at * at),
                LossLaw::Pipe => edge.power += (loss - opening) / at.powf(FLOW_EXPONENT),
            }
        }
        Ok(edge)
    }

    fn loss(&self, q: f64) -> f64 {
        if q <= 0.0 { 0.0 } else { self.opening + self.power * q.powf(FLOW_EXPONENT) + self.square * q * q }
    }

    fn slope(&self, q: f64) -> f64 {
        FLOW_EXPONENT * self.power * q.powf(FLOW_EXPONENT - 1.0) + 2.0 * self.square * q
    }

    fn energy(&self, q: f64) -> f64 {
        let power = self.power * q.powf(FLOW_EXPONENT + 1.0) / (FLOW_EXPONENT + 1.0);
        self.opening * q + power + self.square * q.powi(3) / 3.0
    }
}

struct Tree {
    edges: Vec<Edge>,
    from: Vec<Option<usize>>,
    /// Run of each head.
    heads: Vec<usize>,
    /// Flow each head is told for.
    told: Vec<f64>,
    /// Pressure at each head with nothing flowing.
    still: Vec<f64>,
    /// `p₀ / q₀²` of each head.
    orifice: Vec<f64>,
}

impl Tree {
    fn of(static_kpa: f64, runs: &[Run]) -> Result<Self, ReckonError> {
        if runs.is_empty() || runs.len() > RUNS_MAX {
            return Err(refused(format!("{} runs; there must be 1 to {RUNS_MAX}", runs.len())));
        }
        let mut tree = Self {
            edges: Vec::with_capacity(runs.len()),
            from: Vec::with_capacity(runs.len()),
            heads: Vec::new(),
            told: Vec::new(),
            still: Vec::new(),
            orifice: Vec::new(),
        };
        for (i, run) in runs.iter().enumerate() {
            if run.from.is_some_and(|f| f >= i) {
                return Err(refused(format!("run {} starts at a run that is not before it", i + 1)));
            }
            let rise = RISE_M.check(run.rise.get())?;
            tree.edges.push(Edge::of(run)?);
            tree.from.push(run.from);
            if let Some(head) = run.head {
                let (flow, pressure) = (HEAD_LPM.check(head.flow.get())?, DESIGN_KPA.check(head.pressure.get())?);
                tree.heads.push(i);
                tree.told.push(flow);
                tree.still.push(static_kpa - GRAVITY * rise);
                tree.orifice.push(pressure / (flow * flow));
            }
        }
        if tree.heads.is_empty() || tree.heads.len() > HEADS_MAX {
            return Err(refused(format!("{} heads; there must be 1 to {HEADS_MAX}", tree.heads.len())));
        }
        Ok(tree)
    }

    /// What each run carries: the flow of the heads behind it.
    fn carried(&self, flows: &[f64]) -> Vec<f64> {
        let mut carried = vec![0.0; self.edges.len()];
        for (&run, q) in self.heads.iter().zip(flows) {
            carried[run] += q;
        }
        for i in (0..carried.len()).rev() {
            if let Some(f) = self.from[i] {
                carried[f] += carried[i];
            }
        }
        carried
    }

    /// Sum over a head's way of a figure by run.
    fn along(&self, figure: &[f64]) -> Vec<f64> {
        let mut sum = figure.to_vec();
        for i in 0..sum.len() {
            sum[i] += self.from[i].map_or(0.0, |f| sum[f]);
        }
        self.heads.iter().map(|&run| sum[run]).collect()
    }

    fn energy(&self, flows: &[f64]) -> f64 {
        let runs: f64 = self.edges.iter().zip(self.carried(flows)).map(|(e, q)| e.energy(q)).sum();
        let heads = flows.iter().zip(&self.orifice).zip(&self.still);
        runs + heads.map(|((q, k), p)| k * q.powi(3) / 3.0 - q * p).sum::<f64>()
    }

    /// What each head wants for its flow less what reaches it: the energy's slope.
    fn gradient(&self, flows: &[f64], carried: &[f64]) -> Vec<f64> {
        // The opening loss counts for a dry head too: it must be overcome before anything flows.
        let losses: Vec<f64> = self.edges.iter().zip(carried).map(|(e, q)| e.loss(*q).max(e.opening)).collect();
        let lost = self.along(&losses);
        (0..flows.len()).map(|i| self.orifice[i] * flows[i] * flows[i] + lost[i] - self.still[i]).collect()
    }

    /// The flows of the heads.
    fn solve(&self) -> Result<Vec<f64>, ReckonError> {
        let n = self.heads.len();
        let ways: Vec<Vec<bool>> = self.ways();
        let mut flows = self.told.clone();
        for _ in 0..STEPS_MAX {
            let carried = self.carried(&flows);
            let gradient = self.gradient(&flows, &carried);
            let settled =
                |i: usize| gradient[i].abs() < NEAR_KPA || (flows[i] <= DRY * self.told[i] && gradient[i] > 0.0);
            if (0..n).all(settled) {
                return Ok(flows.iter().zip(&self.told).map(|(&q, t)| if q <= DRY * t { 0.0 } else { q }).collect());
            }
            // A head at rest that wants no water leaves the system until it does.
            let rests = |i: usize| flows[i] <= DRY * self.told[i] && gradient[i] > 0.0;
            let free: Vec<usize> = (0..n).filter(|&i| !rests(i)).collect();
            let step = self.newton_step(&ways, &carried, &flows, &gradient, &free)?;
            let next = |length: f64| -> Vec<f64> {
                (0..n).map(|i| (flows[i] - length * step[i]).max(DRY * self.told[i])).collect()
            };
            let before = self.energy(&flows);
            let enough = |to: &[f64]| {
                let downhill: f64 = (0..n).map(|i| gradient[i] * (flows[i] - to[i])).sum();
                self.energy(to) <= before - 1e-4 * downhill + 1e-13 * before.abs()
            };
            let mut length = 1.0;
            let mut to = next(length);
            while length > 1e-9 && !enough(&to) {
                length *= 0.5;
                to = next(length);
            }
            flows = to;
        }
        Err(refused("no set of flows was found that the pressures agree on".to_owned()))
    }

    /// Newton's step of the free heads; 0 for those at rest.
    fn newton_step(
        &self,
        ways: &[Vec<bool>],
        carried: &[f64],
        flows: &[f64],
        gradient: &[f64],
        free: &[usize],
    ) -> Result<Vec<f64>, ReckonError> {
        let m = free.len();
        let mut matrix = vec![0.0; m * m];
        for ((way, edge), q) in ways.iter().zip(&self.edges).zip(carried) {
            let slope = edge.slope(*q);
            let behind: Vec<usize> = (0..m).filter(|&i| way[free[i]]).collect();
            for (a, &i) in behind.iter().enumerate() {
                for &j in &behind[..=a] {
                    matrix[i * m + j] += slope;
                }
            }
        }
        for (i, &head) in free.iter().enumerate() {
            matrix[i * m + i] += 2.0 * self.orifice[head] * flows[head];
        }
        let side: Vec<f64> = free.iter().map(|&head| gradient[head]).collect();
        let solved = cholesky_solve(&mut matrix, m, &side)
            .ok_or_else(|| refused("the runs are so unlike that the figures lose all digits".to_owned()))?;
        let mut step = vec![0.0; flows.len()];
        free.iter().zip(solved).for_each(|(&head, s)| step[head] = s);
        Ok(step)
    }

    /// For each run, the heads behind it.
    fn ways(&self) -> Vec<Vec<bool>> {
        let mut ways = vec![vec![false; self.heads.len()]; self.edges.len()];
        for (i, &run) in self.heads.iter().enumerate() {
            let mut at = Some(run);
            while let Some(r) = at {
                ways[r][i] = true;
                at = self.from[r];
            }
        }
        ways
    }
}

/// Solves a symmetric positive system whose lower half is given; `None` where it is not positive.
fn cholesky_solve(matrix: &mut [f64], n: usize, side: &[f64]) -> Option<Vec<f64>> {
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| matrix[i * n + k] * matrix[j * n + k]).sum();
            let rest = matrix[i * n + j] - sum;
            if i == j {
                if !(rest > 0.0 && rest.is_finite()) {
                    return None;
                }
                matrix[i * n + i] = rest.sqrt();
            } else {
                matrix[i * n + j] = rest / matrix[j * n + j];
            }
        }
    }
    let mut x = side.to_vec();
    for i in 0..n {
        let sum: f64 = (0..i).map(|k| matrix[i * n + k] * x[k]).sum();
        x[i] = (x[i] - sum) / matrix[i * n + i];
    }
    for i in (0..n).rev() {
        let sum: f64 = (i + 1..n).map(|k| matrix[k * n + i] * x[k]).sum();
        x[i] = (x[i] - sum) / matrix[i * n + i];
    }
    Some(x)
}

fn refused(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: "runs", message }
}

#[cfg(test)]
mod tests;

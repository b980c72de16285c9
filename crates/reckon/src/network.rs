//! Heads and flows in a network of pipes, loops included, fed by one source.

use std::collections::HashMap;

use crate::error::{Bound, ReckonError};
use crate::pipe::{self, FLOW_EXPONENT, GRAVITY};
use crate::units::{Kilopascals, LitresPerSecond, Metres, MetresPerSecond, Millimetres};

/// Head at the source: its height and its pressure as a column of water.
pub const HEAD_M: Bound = Bound::new("head_m", -1_000.0, 10_000.0, "m", "head at the source");
/// Height of a node.
pub const ELEVATION_M: Bound = Bound::new("elevation_m", -1_000.0, 10_000.0, "m", "height of the node");
/// Flow taken out at a node; below zero it is put in.
pub const DEMAND_LPS: Bound = Bound::new("demand_lps", -1_000.0, 1_000.0, "L/s", "flow taken out at the node");
/// Length of a pipe in a network.
pub const LENGTH_M: Bound = Bound::new("length_m", 0.001, 100_000.0, "m", "length of the pipe");
/// Sum of the fittings' loss coefficients.
pub const MINOR_K: Bound = Bound::new("minor_k", 0.0, 10_000.0, "", "sum of the fittings' loss coefficients");

/// Most nodes of one network.
pub const NODES_MAX: usize = 2_000;
/// Most pipes of one network.
pub const PIPES_MAX: usize = 4_000;

/// Flow, m³/s, below which the loss bends from the power law into a straight line (0.000 001 L/s).
const FLOW_LOW: f64 = 1e-9;
/// Most steps towards the solution; networks of a garden take up to a dozen.
const STEPS_MAX: usize = 100;

/// Where the water comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Its name, unlike any node's.
    pub id: String,
    /// Head, the same whatever flows.
    pub head: Metres,
}

/// A place where pipes meet or water is taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Its name.
    pub id: String,
    /// Height.
    pub elevation: Metres,
    /// Flow taken out.
    pub demand: LitresPerSecond,
}

/// A pipe between two nodes, or between the source and a node.
#[derive(Clone, Debug, PartialEq)]
pub struct Pipe {
    /// Its name.
    pub id: String,
    /// Where it starts: flow from here counts positive.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Length.
    pub length: Metres,
    /// Inside diameter.
    pub inside: Millimetres,
    /// Hazen–Williams coefficient.
    pub c: f64,
    /// Sum of the fittings' loss coefficients; 0 for a plain pipe.
    pub minor_k: f64,
}

/// A network to solve.
#[derive(Clone, Debug, PartialEq)]
pub struct NetworkInput {
    /// The one source.
    pub source: Source,
    /// Every node but the source.
    pub nodes: Vec<Node>,
    /// The pipes.
    pub pipes: Vec<Pipe>,
}

/// What a node sees.
#[derive(Clone, Debug, PartialEq)]
pub struct NodeState {
    /// The node's name.
    pub id: String,
    /// Head.
    pub head: Metres,
    /// Pressure at the node's height; below zero when the source cannot serve what is taken.
    pub pressure: Kilopascals,
}

/// What a pipe carries.
#[derive(Clone, Debug, PartialEq)]
pub struct PipeState {
    /// The pipe's name.
    pub id: String,
    /// Flow, below zero when it runs from `to` to `from`.
    pub flow: LitresPerSecond,
    /// Mean speed, never below zero.
    pub velocity: MetresPerSecond,
    /// Head at `from` less head at `to`: the loss, with the sign of the flow.
    pub head_loss: Metres,
}

/// A solved network; nodes and pipes in the order given.
#[derive(Clone, Debug, PartialEq)]
pub struct NetworkState {
    /// The nodes.
    pub nodes: Vec<NodeState>,
    /// The pipes.
    pub pipes: Vec<PipeState>,
}

/// Heads and flows of a pipe network by the global gradient algorithm.
///
/// In every pipe `H_from - H_to = r Q |Q|^0.852 + m Q |Q|` with `r = 10.67 L / (C^1.852 d^4.8704)` (Hazen–Williams, the
/// constants of [`pipe_loss_hazen_williams`](crate::pipe::pipe_loss_hazen_williams)) and `m = 8 k / (π² g d⁴)`, which is
/// `k v² / 2g`; at every node what flows in is what flows out and is taken. Both sets are solved together by Newton's
/// method; a step that overshoots the least of the network's energy, which has one least only, is shortened.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `H` | head; the source's is given | m | -1,000 ..= 10,000 |
/// | elevation | height of a node; pressure is `9.80665 (H - elevation)` | m | -1,000 ..= 10,000 |
/// | demand | flow taken out at a node | L/s | -1,000 ..= 1,000 |
/// | `Q` | flow (m³/s in the formula) | L/s | |
/// | `L` | length | m | 0.001 ..= 100,000 |
/// | `d` | inside diameter (m in the formula) | mm | 1 ..= 2,000 |
/// | `C` | Hazen–Williams coefficient | – | 20 ..= 200 |
/// | `k` | sum of the fittings' loss coefficients | – | 0 ..= 10,000 |
/// | `g` | standard gravity | m/s² | 9.80665 |
///
/// Below 0.000 001 L/s, where the power law's slope vanishes, its place is taken by `r q^0.852 (0.148 Q + 0.852 Q|Q|/q)`,
/// `q` that flow, which joins it in value and slope; the difference is under a millionth of a millimetre in garden pipe.
/// Flows balance at every node to 1e-9 L/s or a part in 10¹², heads agree with the losses to 1e-9 m or a part in 10¹¹.
///
/// Left out: pumps, tanks, check valves and regulators, demands that depend on pressure, laminar flow.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `source`, `nodes` or `pipes` and the place in the list: a value out of range, a
/// name empty or used twice, a pipe whose end is unknown or whose two ends are one, a node that no pipe joins to the
/// source, too many nodes or pipes, or pipes so unlike that the figures lose all digits.
///
/// # Source
/// E. Todini and S. Pilati, *A gradient algorithm for the analysis of pipe networks*, in Coulbeck and Orr (eds.), *Computer
/// Applications in Water Supply*, vol. 1, 1988. Losses: see [`pipe`].
///
/// # Examples
/// Two like pipes side by side share the flow evenly.
/// ```
/// use reckon::network::{NetworkInput, Node, Pipe, Source, pipe_network};
/// use reckon::units::{LitresPerSecond, Metres, Millimetres};
///
/// let pipe = |id: &str| Pipe {
///     id: id.into(),
///     from: "main".into(),
///     to: "valves".into(),
///     length: Metres::new(30.0),
///     inside: Millimetres::new(26.6),
///     c: 150.0,
///     minor_k: 0.0,
/// };
/// let solved = pipe_network(&NetworkInput {
///     source: Source { id: "main".into(), head: Metres::new(40.0) },
///     nodes: vec![Node {
///         id: "valves".into(),
///         elevation: Metres::new(0.0),
///         demand: LitresPerSecond::new(1.0),
///     }],
///     pipes: vec![pipe("left"), pipe("right")],
/// })?;
/// assert!((solved.pipes[0].flow.get() - 0.5).abs() < 1e-9);
/// assert!(solved.nodes[0].pressure.get() < 40.0 * 9.80665);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn pipe_network(input: &NetworkInput) -> Result<NetworkState, ReckonError> {
    let source_head = HEAD_M
        .check(input.source.head.get())
        .map_err(|_| refused("source", out_of_range("source", &HEAD_M, input.source.head.get())))?;
    let demands = check_nodes(input)?;
    let edges = check_pipes(input)?;
    check_reach(input, &edges)?;

    let Solved { flows, heads } = solve(&edges, &demands)?;
    let head = |end: End| end.map_or(0.0, |node| heads[node]);
    let nodes = input
        .nodes
        .iter()
        .zip(&heads)
        .map(|(node, below_source)| {
            let head = source_head + below_source;
            NodeState {
                id: node.id.clone(),
                head: Metres::new(head),
                pressure: Kilopascals::new((head - node.elevation.get()) * GRAVITY),
            }
        })
        .collect();
    let pipes = input
        .pipes
        .iter()
        .zip(edges.iter().zip(&flows))
        .map(|(pipe, (edge, flow))| PipeState {
            id: pipe.id.clone(),
            flow: LitresPerSecond::new(flow * 1000.0),
            velocity: MetresPerSecond::new(flow.abs() / edge.bore),
            head_loss: Metres::new(head(edge.from) - head(edge.to)),
        })
        .collect();
    Ok(NetworkState { nodes, pipes })
}

/// The end of a pipe: a node's place in the list, or the source.
type End = Option<usize>;

/// A checked pipe in metres and seconds.
struct Edge {
    from: End,
    to: End,
    friction: f64,
    minor: f64,
    bore: f64,
}

impl Edge {
    /// Head lost at a flow and its slope, which is never zero.
    fn loss(&self, flow: f64) -> (f64, f64) {
        let size = flow.abs();
        let (loss, slope) = if size >= FLOW_LOW {
            let t = self.friction * size.powf(FLOW_EXPONENT - 1.0);
            (t * flow, FLOW_EXPONENT * t)
        } else {
            const BEND: f64 = FLOW_EXPONENT - 1.0;
            let t = self.friction * FLOW_LOW.powf(BEND);
            let part = size / FLOW_LOW;
            (t * flow * (1.0 - BEND + BEND * part), t * (1.0 - BEND + 2.0 * BEND * part))
        };
        (loss + self.minor * flow * size, slope + 2.0 * self.minor * size)
    }
}

struct Solved {
    /// m³/s in every pipe.
    flows: Vec<f64>,
    /// Heads of the nodes above the source's; small numbers keep their digits.
    heads: Vec<f64>,
}

fn solve(edges: &[Edge], demands: &[f64]) -> Result<Solved, ReckonError> {
    let lost_digits = || refused("pipes", "the pipes are so unlike that the network cannot be solved".into());
    let mut matrix = Matrix::new(demands.len(), edges);
    let mut heads = vec![0.0; demands.len()];
    let typical = demands.iter().map(|d| d.abs()).sum::<f64>();
    // A picolitre a second is still water.
    if typical < 1e-15 {
        return Ok(Solved { flows: vec![0.0; edges.len()], heads });
    }

    // First guess: the loss straight in the flow, as steep as at the whole demand.
    let conductance: Vec<f64> = edges.iter().map(|e| typical / e.loss(typical).0).collect();
    matrix.factor(edges, &conductance).ok_or_else(lost_digits)?;
    let mut flows = vec![0.0; edges.len()];
    matrix.balance(edges, &conductance, demands, &mut flows, &mut heads);

    for _ in 0..STEPS_MAX {
        let (losses, slopes): (Vec<f64>, Vec<f64>) = edges.iter().zip(&flows).map(|(e, &q)| e.loss(q)).unzip();
        let conductance: Vec<f64> = slopes.iter().map(|slope| 1.0 / slope).collect();
        let mut next: Vec<f64> = edges
            .iter()
            .enumerate()
            .map(|(i, e)| flows[i] - (losses[i] - drop_along(e, &heads)) * conductance[i])
            .collect();
        matrix.factor(edges, &conductance).ok_or_else(lost_digits)?;
        matrix.balance(edges, &conductance, demands, &mut next, &mut heads);
        shorten(edges, &heads, &flows, &mut next, typical);
        flows = next;

        let mut worst = 0.0f64;
        let mut largest = 0.0f64;
        for (e, &q) in edges.iter().zip(&flows) {
            let loss = e.loss(q).0;
            worst = worst.max((loss - drop_along(e, &heads)).abs());
            largest = largest.max(loss.abs());
        }
        let unbalanced = imbalance(edges, &flows, demands).iter().fold(0.0f64, |worst, b| worst.max(b.abs()));
        let finite = heads.iter().chain(&flows).all(|x| x.is_finite());
        if finite && worst <= 1e-10 + 1e-12 * largest && unbalanced <= 5e-13 + 1e-13 * typical {
            return Ok(Solved { flows, heads });
        }
    }
    Err(lost_digits())
}

/// Head at a pipe's start less head at its end.
fn drop_along(edge: &Edge, heads: &[f64]) -> f64 {
    edge.from.map_or(0.0, |i| heads[i]) - edge.to.map_or(0.0, |i| heads[i])
}

/// What flows into each node beyond what leaves and is taken.
fn imbalance(edges: &[Edge], flows: &[f64], demands: &[f64]) -> Vec<f64> {
    let mut left: Vec<f64> = demands.iter().map(|d| -d).collect();
    for (edge, flow) in edges.iter().zip(flows) {
        if let Some(from) = edge.from {
            left[from] -= flow;
        }
        if let Some(to) = edge.to {
            left[to] += flow;
        }
    }
    left
}

/// Shortens a step that runs past the least energy along it. Both flows balance, so the energy's slope along the step
/// is the sum of loss times change; it rises all the way, and a step is good when it has not risen far beyond zero.
/// The heads' own differences, whose sum is zero, are taken off each loss so that rounding does not drown the rest.
fn shorten(edges: &[Edge], heads: &[f64], flows: &[f64], next: &mut [f64], typical: f64) {
    let change: Vec<f64> = next.iter().zip(flows).map(|(n, q)| n - q).collect();
    // So near the end there is nothing to shorten.
    if change.iter().all(|d| d.abs() <= 1e-6 * typical) {
        return;
    }
    let slope_at = |at: &[f64]| -> f64 {
        let pipes = edges.iter().zip(at).zip(&change);
        pipes.map(|((e, &q), d)| (e.loss(q).0 - drop_along(e, heads)) * d).sum()
    };
    let start = slope_at(flows).abs();
    let mut part = 1.0f64;
    for _ in 0..20 {
        let slope = slope_at(next);
        if slope <= 0.5 * start {
            return;
        }
        part *= (start / (start + slope)).clamp(0.1, 0.9);
        for ((n, q), d) in next.iter_mut().zip(flows).zip(&change) {
            *n = q + part * d;
        }
    }
}

/// The symmetric positive definite matrix of the heads, factored by Cholesky inside its envelope: each row keeps its
/// entries from its first to the diagonal, the nodes numbered so that rows are short.
struct Matrix {
    /// Row of each node.
    row_of: Vec<usize>,
    /// First column kept in each row.
    first: Vec<usize>,
    /// Where each row's diagonal lies in `entries`.
    diagonal: Vec<usize>,
    entries: Vec<f64>,
}

impl Matrix {
    fn new(nodes: usize, edges: &[Edge]) -> Self {
        let row_of = numbering(nodes, edges);
        let mut first: Vec<usize> = (0..nodes).collect();
        for (a, b) in edges.iter().filter_map(|e| Some((row_of[e.from?], row_of[e.to?]))) {
            let row = a.max(b);
            first[row] = first[row].min(a.min(b));
        }
        let mut length = 0;
        let diagonal: Vec<usize> = first
            .iter()
            .enumerate()
            .map(|(row, &first)| {
                length += row - first + 1;
                length - 1
            })
            .collect();
        Self { row_of, first, diagonal, entries: vec![0.0; length] }
    }

    /// Fills in the pipes' conductances and factors; `None` when a pivot is not above zero.
    fn factor(&mut self, edges: &[Edge], conductance: &[f64]) -> Option<()> {
        self.entries.fill(0.0);
        for (edge, &p) in edges.iter().zip(conductance) {
            let [from, to] = [edge.from, edge.to].map(|end| end.map(|node| self.row_of[node]));
            for row in [from, to].into_iter().flatten() {
                self.entries[self.diagonal[row]] += p;
            }
            if let (Some(a), Some(b)) = (from, to) {
                let row = a.max(b);
                self.entries[self.diagonal[row] - (row - a.min(b))] -= p;
            }
        }
        for row in 0..self.first.len() {
            let first = self.first[row];
            let start = self.diagonal[row] - (row - first);
            let (before, mine) = self.entries.split_at_mut(start);
            let mine = &mut mine[..=row - first];
            for column in first..row {
                let other = self.first[column];
                let from = first.max(other);
                let there = self.diagonal[column] - (column - from);
                let sum: f64 =
                    mine[from - first..column - first].iter().zip(&before[there..]).map(|(a, b)| a * b).sum();
                mine[column - first] = (mine[column - first] - sum) / before[self.diagonal[column]];
            }
            let (pivot, left) = mine.split_last_mut()?;
            *pivot -= left.iter().map(|l| l * l).sum::<f64>();
            if !(*pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            *pivot = pivot.sqrt();
        }
        Some(())
    }

    /// Moves the heads, and with them the flows, until the flows balance. A second pass puts right what rounding left
    /// over in the first: the balance keeps its digits however steep a pipe is.
    fn balance(&self, edges: &[Edge], conductance: &[f64], demands: &[f64], flows: &mut [f64], heads: &mut [f64]) {
        for _ in 0..2 {
            let mut moved = imbalance(edges, flows, demands);
            self.solve(&mut moved);
            for ((flow, edge), p) in flows.iter_mut().zip(edges).zip(conductance) {
                *flow += p * drop_along(edge, &moved);
            }
            heads.iter_mut().zip(&moved).for_each(|(h, m)| *h += m);
        }
    }

    /// Solves for one right-hand side, in the nodes' own order, in place.
    fn solve(&self, side: &mut [f64]) {
        let mut x = vec![0.0; side.len()];
        for (node, &row) in self.row_of.iter().enumerate() {
            x[row] = side[node];
        }
        for row in 0..x.len() {
            let first = self.first[row];
            let left = &self.entries[self.diagonal[row] - (row - first)..self.diagonal[row]];
            let sum: f64 = left.iter().zip(&x[first..row]).map(|(l, x)| l * x).sum();
            x[row] = (x[row] - sum) / self.entries[self.diagonal[row]];
        }
        for row in (0..x.len()).rev() {
            let first = self.first[row];
            let left = &self.entries[self.diagonal[row] - (row - first)..self.diagonal[row]];
            x[row] /= self.entries[self.diagonal[row]];
            let value = x[row];
            x[first..row].iter_mut().zip(left).for_each(|(x, l)| *x -= l * value);
        }
        for (node, &row) in self.row_of.iter().enumerate() {
            side[node] = x[row];
        }
    }
}

/// Row of each node in the reverse order of E. Cuthill and J. McKee (1969): breadth first from a node far out, few
/// neighbours first.
fn numbering(nodes: usize, edges: &[Edge]) -> Vec<usize> {
    let mut neighbours = vec![Vec::new(); nodes];
    for (a, b) in edges.iter().filter_map(|e| Some((e.from?, e.to?))) {
        neighbours[a].push(b);
        neighbours[b].push(a);
    }
    for list in &mut neighbours {
        list.sort_unstable();
        list.dedup();
    }
    let degree: Vec<usize> = neighbours.iter().map(Vec::len).collect();
    for list in &mut neighbours {
        list.sort_by_key(|&n| degree[n]);
    }
    let walk = |start: usize, seen: &mut [bool]| {
        let mut order = vec![start];
        seen[start] = true;
        let mut next = 0;
        while next < order.len() {
            for &n in &neighbours[order[next]] {
                if !seen[n] {
                    seen[n] = true;
                    order.push(n);
                }
            }
            next += 1;
        }
        order
    };
    let mut done = vec![false; nodes];
    let mut order = Vec::with_capacity(nodes);
    for start in 0..nodes {
        if !done[start] {
            // The last node of a first walk lies far out.
            let far = walk(start, &mut done.clone()).pop().unwrap_or(start);
            order.extend(walk(far, &mut done));
        }
    }
    let mut row_of = vec![0; nodes];
    for (row, &node) in order.iter().rev().enumerate() {
        row_of[node] = row;
    }
    row_of
}

/// The demands in m³/s, when every node is in order.
fn check_nodes(input: &NetworkInput) -> Result<Vec<f64>, ReckonError> {
    let count = input.nodes.len();
    if count == 0 || count > NODES_MAX {
        return Err(refused("nodes", format!("{count} nodes; there must be 1 to {NODES_MAX}")));
    }
    let check = |i: usize, bound: &Bound, value: f64| {
        bound.check(value).map_err(|_| refused("nodes", out_of_range(&format!("nodes[{i}]"), bound, value)))
    };
    input
        .nodes
        .iter()
        .enumerate()
        .map(|(i, node)| {
            check(i, &ELEVATION_M, node.elevation.get())?;
            Ok(check(i, &DEMAND_LPS, node.demand.get())? / 1000.0)
        })
        .collect()
}

/// The pipes with their ends found, when names and figures are in order.
fn check_pipes(input: &NetworkInput) -> Result<Vec<Edge>, ReckonError> {
    let count = input.pipes.len();
    if count > PIPES_MAX {
        return Err(refused("pipes", format!("{count} pipes; the most is {PIPES_MAX}")));
    }
    let source = input.source.id.as_str();
    if source.is_empty() {
        return Err(refused("source", "source.id is empty".into()));
    }
    let mut ends: HashMap<&str, End> = HashMap::from([(source, None)]);
    for (i, node) in input.nodes.iter().enumerate() {
        check_name("nodes", i, &node.id)?;
        if ends.insert(&node.id, Some(i)).is_some() {
            let other = if node.id == source { "the source" } else { "another node" };
            let message = format!("nodes[{i}].id is \"{}\", which is also the name of {other}", node.id);
            return Err(refused("nodes", message));
        }
    }
    let mut names: HashMap<&str, usize> = HashMap::new();
    let mut edges = Vec::with_capacity(count);
    for (i, pipe) in input.pipes.iter().enumerate() {
        check_name("pipes", i, &pipe.id)?;
        if let Some(other) = names.insert(&pipe.id, i) {
            let message = format!("pipes[{i}].id is \"{}\", which is also the name of pipes[{other}]", pipe.id);
            return Err(refused("pipes", message));
        }
        let end = |field: &str, name: &str| {
            ends.get(name).copied().ok_or_else(|| {
                let message = format!("pipes[{i}].{field} is \"{name}\", which is neither the source nor a node");
                refused("pipes", message)
            })
        };
        let (from, to) = (end("from", &pipe.from)?, end("to", &pipe.to)?);
        if from == to {
            let message = format!("pipes[{i}].to is \"{}\", where the pipe also starts", pipe.to);
            return Err(refused("pipes", message));
        }
        let check = |bound: &Bound, value: f64| {
            bound.check(value).map_err(|_| refused("pipes", out_of_range(&format!("pipes[{i}]"), bound, value)))
        };
        let length = check(&LENGTH_M, pipe.length.get())?;
        let inside = check(&pipe::INSIDE_MM, pipe.inside.get())? / 1000.0;
        let c = check(&pipe::C, pipe.c)?;
        let minor_k = check(&MINOR_K, pipe.minor_k)?;
        let bore = pipe::bore(inside);
        edges.push(Edge {
            from,
            to,
            friction: pipe::hazen_williams_resistance(inside, length, c),
            minor: minor_k / (2.0 * GRAVITY * bore * bore),
            bore,
        });
    }
    Ok(edges)
}

/// Every node must have a way to the source.
fn check_reach(input: &NetworkInput, edges: &[Edge]) -> Result<(), ReckonError> {
    // The source counts as one node more.
    let source = input.nodes.len();
    let mut neighbours = vec![Vec::new(); source + 1];
    for edge in edges {
        let (a, b) = (edge.from.unwrap_or(source), edge.to.unwrap_or(source));
        neighbours[a].push(b);
        neighbours[b].push(a);
    }
    let mut reached = vec![false; source + 1];
    reached[source] = true;
    let mut open = vec![source];
    while let Some(at) = open.pop() {
        for &next in &neighbours[at] {
            if !std::mem::replace(&mut reached[next], true) {
                open.push(next);
            }
        }
    }
    match reached.iter().position(|r| !r) {
        None => Ok(()),
        Some(i) => {
            let node = &input.nodes[i].id;
            Err(refused("nodes", format!("nodes[{i}] (\"{node}\") has no pipes that lead to the source")))
        }
    }
}

fn check_name(field: &'static str, index: usize, name: &str) -> Result<(), ReckonError> {
    if name.is_empty() { Err(refused(field, format!("{field}[{index}].id is empty"))) } else { Ok(()) }
}

fn out_of_range(place: &str, bound: &Bound, value: f64) -> String {
    let Bound { field, min, max, unit, .. } = bound;
    format!("{place}.{field} is {value} {unit}; it must be between {min} and {max} {unit}")
}

fn refused(field: &'static str, message: String) -> ReckonError {
    ReckonError::Inconsistent { field, message }
}

#[cfg(test)]
mod tests;

//! `pipe-network`.

use reckon::network::{self, NetworkInput, pipe_network};
use reckon::pipe;
use reckon::units::{LitresPerSecond, Metres, Millimetres};

use super::*;
use crate::shape::Name;

pub(super) const MODEL: Model = Model {
    name: "pipe-network",
    about: "Pressures and flows in a network of pipes, loops allowed, fed by one source",
    source: "E. Todini and S. Pilati, A gradient algorithm for the analysis of pipe networks, in Coulbeck and Orr (eds.), \
             Computer Applications in Water Supply, vol. 1, 1988; losses after G. S. Williams and A. Hazen, Hydraulic Tables, 1905",
    example: r#"{"source": {"id": "main", "head_m": 40},
                 "nodes": [{"id": "valves", "elevation_m": 0, "demand_lps": 1}],
                 "pipes": [{"id": "left", "from": "main", "to": "valves", "length_m": 30, "inside_mm": 26.6, "c": 150},
                           {"id": "right", "from": "main", "to": "valves", "length_m": 30, "inside_mm": 26.6, "c": 150}]}"#,
    input: &Input::RECORD,
    output: &[
        Field::new("nodes", list(&Shape::Record(&NODE_FIGURES), 1, network::NODES_MAX, "each node in the order given")),
        Field::new("pipes", list(&Shape::Record(&PIPE_FIGURES), 0, network::PIPES_MAX, "each pipe in the order given")),
    ],
    run: |item| reply(item, compute),
};

/// Nodes and pipes worked one by one in the steps; figures of later ones stand in the result alone.
const PARTS_WORKED_MAX: usize = 366;

const NODE_FIGURES: Record = Record {
    fields: &[
        Field::new("id", Shape::Name("name of the node")),
        figure("head_m", "m", "head"),
        figure(
            "pressure_kpa",
            "kPa",
            "pressure at the node's height; below 0 when the source cannot serve what is taken",
        ),
    ],
    choices: &[],
};

const PIPE_FIGURES: Record = Record {
    fields: &[
        Field::new("id", Shape::Name("name of the pipe")),
        figure("flow_lps", "L/s", "flow, below 0 when it runs from `to` to `from`"),
        figure("velocity_ms", "m/s", "mean speed of the water"),
        figure("head_loss_m", "m", "head at `from` less head at `to`"),
    ],
    choices: &[],
};

record! {
    /// A source, nodes and pipes.
    Input {
        source: Source = Shape::Record(&Source::RECORD);
        nodes: Vec<Node> = list(&Shape::Record(&Node::RECORD), 1, network::NODES_MAX, "every place but the source where pipes meet or water is taken");
        pipes: Vec<Pipe> = list(&Shape::Record(&Pipe::RECORD), 1, network::PIPES_MAX, "the pipes");
    }
}

record! {
    /// Where the water comes from.
    Source {
        id: Name = Shape::Name("name of the source, unlike any node's");
        head_m: f64 = Number(network::HEAD_M);
    }
}

record! {
    /// A place where pipes meet or water is taken.
    Node {
        id: Name = Shape::Name("name of the node");
        elevation_m: f64 = Number(network::ELEVATION_M);
        demand_lps: f64 = Number(network::DEMAND_LPS);
    }
}

record! {
    /// A pipe between two of them.
    Pipe {
        id: Name = Shape::Name("name of the pipe");
        from: Name = Shape::Name("where it starts: flow from here counts positive");
        to: Name = Shape::Name("where it ends");
        length_m: f64 = Number(network::LENGTH_M);
        inside_mm: f64 = Number(pipe::INSIDE_MM);
        c: f64 = Number(pipe::C);
        minor_k: Given = Number(network::MINOR_K), or(0.0);
    }
}

fn compute(input: Input) -> Computed {
    let solved = pipe_network(&NetworkInput {
        source: network::Source { id: input.source.id.text, head: Metres::new(input.source.head_m) },
        nodes: input
            .nodes
            .iter()
            .map(|node| network::Node {
                id: node.id.text.clone(),
                elevation: Metres::new(node.elevation_m),
                demand: LitresPerSecond::new(node.demand_lps),
            })
            .collect(),
        pipes: input
            .pipes
            .iter()
            .map(|pipe| network::Pipe {
                id: pipe.id.text.clone(),
                from: pipe.from.text.clone(),
                to: pipe.to.text.clone(),
                length: Metres::new(pipe.length_m),
                inside: Millimetres::new(pipe.inside_mm),
                c: pipe.c,
                minor_k: pipe.minor_k.value,
            })
            .collect(),
    })?;

    let demand = input.nodes.iter().map(|node| node.demand_lps).sum();
    let mut steps = vec![Step::new(
        "Flow from the source",
        "sum of the demands; pipe flows then follow from both laws together: what flows in flows out or is taken, and \
         losses agree along every way",
        vec![n("nodes", input.nodes.len() as f64, ""), n("H", input.source.head_m, "m")],
        n("Q", demand, "L/s"),
    )];
    for (given, found) in input.pipes.iter().zip(&solved.pipes).take(PARTS_WORKED_MAX) {
        steps.push(Step::new(
            format!("Pipe {}", found.id),
            "h = 10.67 L Q |Q|^0.852 / (C^1.852 d^4.8704) + k Q |Q| · 8 / (π² g d⁴), Q in m³/s, d in m",
            vec![
                n("Q", found.flow.get(), "L/s"),
                n("L", given.length_m, "m"),
                n("d", given.inside_mm, "mm"),
                n("C", given.c, ""),
                given.minor_k.shown("k", "", "the fittings' loss coefficients (minor_k) replace it"),
            ],
            n("h", found.head_loss.get(), "m"),
        ));
    }
    for (given, found) in input.nodes.iter().zip(&solved.nodes).take(PARTS_WORKED_MAX) {
        steps.push(Step::new(
            format!("Node {}", found.id),
            "p = 9.80665 (H − z)",
            vec![n("H", found.head.get(), "m"), n("z", given.elevation_m, "m")],
            n("p", found.pressure.get(), "kPa"),
        ));
    }
    let nodes = input.nodes.iter().zip(&solved.nodes).map(|(given, found)| {
        figures! { id: &given.id, head_m: found.head.get(), pressure_kpa: found.pressure.get() }
    });
    let pipes = input.pipes.iter().zip(&solved.pipes).map(|(given, found)| {
        figures! {
            id: &given.id,
            flow_lps: found.flow.get(),
            velocity_ms: found.velocity.get(),
            head_loss_m: found.head_loss.get(),
        }
    });
    Ok((figures! { nodes: Figure::from_iter(nodes), pipes: Figure::from_iter(pipes) }, steps))
}

use proptest::prelude::*;

use super::*;
use crate::pipe::pipe_loss_hazen_williams;

fn node(id: &str, elevation: f64, demand: f64) -> Node {
    Node { id: id.into(), elevation: Metres::new(elevation), demand: LitresPerSecond::new(demand) }
}

fn pipe(id: &str, ends: (&str, &str), length: f64, inside: f64, minor_k: f64) -> Pipe {
    Pipe {
        id: id.into(),
        from: ends.0.into(),
        to: ends.1.into(),
        length: Metres::new(length),
        inside: Millimetres::new(inside),
        c: 150.0,
        minor_k,
    }
}

fn network(head: f64, nodes: Vec<Node>, pipes: Vec<Pipe>) -> NetworkInput {
    NetworkInput { source: Source { id: "s".into(), head: Metres::new(head) }, nodes, pipes }
}

/// Worst imbalance of a node in L/s.
fn imbalance_lps(input: &NetworkInput, state: &NetworkState) -> f64 {
    let mut left: HashMap<&str, f64> = input.nodes.iter().map(|n| (n.id.as_str(), -n.demand.get())).collect();
    for (p, s) in input.pipes.iter().zip(&state.pipes) {
        left.entry(&p.from).and_modify(|l| *l -= s.flow.get());
        left.entry(&p.to).and_modify(|l| *l += s.flow.get());
    }
    left.values().fold(0.0, |worst, l| worst.max(l.abs()))
}

/// Worst difference in m between a pipe's head loss, its ends' heads and the loss of that pipe alone.
fn misfit_m(input: &NetworkInput, state: &NetworkState) -> f64 {
    let mut heads: HashMap<&str, f64> = state.nodes.iter().map(|n| (n.id.as_str(), n.head.get())).collect();
    heads.insert(&input.source.id, input.source.head.get());
    let mut worst = 0.0f64;
    for (p, s) in input.pipes.iter().zip(&state.pipes) {
        let size = LitresPerSecond::new(s.flow.get().abs());
        let friction = pipe_loss_hazen_williams(size, p.inside, p.length, p.c).unwrap();
        let minor = p.minor_k * friction.velocity.get().powi(2) / (2.0 * GRAVITY);
        let loss = (friction.head_loss.get() + minor) * s.flow.get().signum();
        worst = worst.max((loss - s.head_loss.get()).abs());
        worst = worst.max((heads[p.from.as_str()] - heads[p.to.as_str()] - s.head_loss.get()).abs());
    }
    worst
}

/// A lawn's ring main: two loops, fittings on two pipes.
fn two_loops() -> NetworkInput {
    network(
        50.0,
        vec![
            node("n2", 1.0, 0.10),
            node("n3", 1.5, 0.15),
            node("n4", 0.5, 0.30),
            node("n5", 0.0, 0.20),
            node("n6", 2.0, 0.25),
            node("n7", 3.0, 0.20),
        ],
        vec![
            pipe("1", ("s", "n2"), 50.0, 40.9, 5.0),
            pipe("2", ("n2", "n3"), 30.0, 26.6, 0.0),
            pipe("3", ("n2", "n4"), 30.0, 35.1, 0.0),
            pipe("4", ("n4", "n5"), 30.0, 20.9, 0.0),
            pipe("5", ("n4", "n6"), 30.0, 26.6, 0.0),
            pipe("6", ("n6", "n7"), 30.0, 20.9, 0.0),
            pipe("7", ("n3", "n5"), 30.0, 20.9, 3.0),
            pipe("8", ("n5", "n7"), 30.0, 15.8, 0.0),
        ],
    )
}

/// Heads and flows of the two loops agree with a general hydraulics engine (EPANET 2.2, its `C` and `k` set for each
/// pipe so that its rounded constants give the same losses); tolerance: the digits kept here.
#[test]
fn two_loops_agree_with_a_general_engine() {
    let state = pipe_network(&two_loops()).unwrap();
    let heads = [48.667_581_8, 48.216_512_9, 48.018_513_8, 47.748_215_7, 47.424_324_1, 47.204_672_0];
    let flows = [1.2, 0.312_173_60, 0.787_826_40, 0.125_567_19, 0.362_259_20, 0.112_259_20, 0.162_173_60, 0.087_740_80];
    for (got, want) in state.nodes.iter().zip(heads) {
        assert!((got.head.get() - want).abs() < 1e-6, "{}: {} for {want}", got.id, got.head.get());
    }
    for (got, want) in state.pipes.iter().zip(flows) {
        assert!((got.flow.get() - want).abs() < 1e-7, "{}: {} for {want}", got.id, got.flow.get());
    }
    assert!((state.nodes[5].pressure.get() - (state.nodes[5].head.get() - 3.0) * GRAVITY).abs() < 1e-12);
    assert!(imbalance_lps(&two_loops(), &state) < 1e-9 && misfit_m(&two_loops(), &state) < 1e-9);
}

/// Unlike pipes side by side share as `(r2 / r1)^(1 / 1.852)`; a pipe drawn the other way carries a negative flow.
#[test]
fn parallel_pipes_share_by_resistance() {
    let pipes = vec![pipe("wide", ("s", "a"), 40.0, 35.1, 0.0), pipe("thin", ("a", "s"), 60.0, 20.9, 0.0)];
    let state = pipe_network(&network(30.0, vec![node("a", 0.0, 1.2)], pipes)).unwrap();
    let ratio = ((60.0 / 40.0) * (35.1f64 / 20.9).powf(4.8704)).powf(1.0 / 1.852);
    let [wide, thin] = [state.pipes[0].flow.get(), state.pipes[1].flow.get()];
    assert!(thin < 0.0 && state.pipes[1].velocity.get() > 0.0 && state.pipes[1].head_loss.get() < 0.0);
    assert!((wide / -thin / ratio - 1.0).abs() < 1e-9);
    assert!((wide - thin - 1.2).abs() < 1e-9);
}

/// Fittings alone: in a pipe of no length to speak of the loss is `k v² / 2g`.
#[test]
fn fittings_lose_by_velocity_head() {
    let valve = pipe("valve", ("s", "a"), 0.001, 26.6, 10.0);
    let state = pipe_network(&network(30.0, vec![node("a", 0.0, 0.8)], vec![valve])).unwrap();
    let velocity = 0.8e-3 / (std::f64::consts::PI * 0.0266f64.powi(2) / 4.0);
    assert!((state.pipes[0].velocity.get() - velocity).abs() < 1e-12);
    assert!((state.pipes[0].head_loss.get() / (10.0 * velocity * velocity / 2.0 / 9.806_65) - 1.0).abs() < 1e-4);
}

/// Nothing taken, nothing moves; a loop with a bridge that carries nothing settles too.
#[test]
fn still_water() {
    let mut input = two_loops();
    input.nodes.iter_mut().for_each(|n| n.demand = LitresPerSecond::new(0.0));
    let state = pipe_network(&input).unwrap();
    assert!(state.nodes.iter().all(|n| n.head.get() == 50.0));
    assert!(state.pipes.iter().all(|p| p.flow.get() == 0.0 && p.head_loss.get() == 0.0));

    let pipes = vec![
        pipe("1", ("s", "a"), 20.0, 26.6, 0.0),
        pipe("2", ("s", "b"), 20.0, 26.6, 0.0),
        pipe("bridge", ("a", "b"), 20.0, 26.6, 0.0),
    ];
    let bridged = network(30.0, vec![node("a", 0.0, 0.4), node("b", 0.0, 0.4)], pipes);
    let state = pipe_network(&bridged).unwrap();
    assert!(state.pipes[2].flow.get().abs() < 1e-6 && state.pipes[2].head_loss.get().abs() < 1e-9);
    assert!(imbalance_lps(&bridged, &state) < 1e-9 && misfit_m(&bridged, &state) < 1e-9);
}

/// The bend at low flow joins the power law in value and slope, and rises all the way.
#[test]
fn low_flow_joins_the_power_law() {
    let edge = Edge { from: None, to: Some(0), friction: 4e6, minor: 0.0, bore: 1e-3 };
    let below = edge.loss(FLOW_LOW * (1.0 - 1e-12));
    let above = edge.loss(FLOW_LOW);
    assert!((below.0 / above.0 - 1.0).abs() < 1e-9 && (below.1 / above.1 - 1.0).abs() < 1e-9);
    assert!(edge.loss(0.0).1 > 0.0);
    // Head concerned: far below a millionth of a millimetre.
    assert!(above.0 < 1e-9);
}

#[test]
fn refusals_name_the_place() {
    let refuse = |change: &dyn Fn(&mut NetworkInput)| {
        let mut bad = two_loops();
        change(&mut bad);
        pipe_network(&bad).unwrap_err().to_string()
    };
    let same = |message: String, want: &str| assert_eq!(message, want);
    same(
        refuse(&|n| n.pipes[3].from = "x".into()),
        "pipes: pipes[3].from is \"x\", which is neither the source nor a node",
    );
    same(refuse(&|n| n.pipes[3].to = "n4".into()), "pipes: pipes[3].to is \"n4\", where the pipe also starts");
    same(refuse(&|n| n.pipes[3].id = "2".into()), "pipes: pipes[3].id is \"2\", which is also the name of pipes[1]");
    same(refuse(&|n| n.pipes[3].id.clear()), "pipes: pipes[3].id is empty");
    same(
        refuse(&|n| n.pipes[3].length = Metres::new(0.0)),
        "pipes: pipes[3].length_m is 0 m; it must be between 0.001 and 100000 m",
    );
    same(
        refuse(&|n| n.nodes[3].id = "n2".into()),
        "nodes: nodes[3].id is \"n2\", which is also the name of another node",
    );
    same(refuse(&|n| n.nodes[3].id = "s".into()), "nodes: nodes[3].id is \"s\", which is also the name of the source");
    same(
        refuse(&|n| n.nodes.push(node("alone", 0.0, 0.1))),
        "nodes: nodes[6] (\"alone\") has no pipes that lead to the source",
    );
    same(
        refuse(&|n| n.source.head = Metres::new(f64::NAN)),
        "source: source.head_m is NaN m; it must be between -1000 and 10000 m",
    );
    for (change, start) in [
        ((|n| n.source.id.clear()) as fn(&mut NetworkInput), "source: source.id"),
        (|n| n.nodes[0].id.clear(), "nodes: nodes[0].id"),
        (|n| n.nodes[0].demand = LitresPerSecond::new(f64::INFINITY), "nodes: nodes[0].demand_lps"),
        (|n| n.nodes[0].elevation = Metres::new(1e5), "nodes: nodes[0].elevation_m"),
        (|n| n.pipes[0].inside = Millimetres::new(0.0), "pipes: pipes[0].inside_mm"),
        (|n| n.pipes[0].c = 0.0, "pipes: pipes[0].c "),
        (|n| n.pipes[0].minor_k = -1.0, "pipes: pipes[0].minor_k"),
        (|n| n.nodes.clear(), "nodes: 0 nodes"),
    ] {
        let message = refuse(&change);
        assert!(message.starts_with(start), "{message}");
    }
}

/// The limits on nodes and pipes hold on both sides.
#[test]
fn sizes_are_limited() {
    let line = |count: usize| {
        let nodes = (0..count).map(|i| node(&format!("n{i}"), 0.0, 0.001)).collect();
        let pipes = (0..count)
            .map(|i| {
                let from = if i == 0 { "s".to_owned() } else { format!("n{}", i - 1) };
                pipe(&format!("p{i}"), (&from, &format!("n{i}")), 5.0, 52.5, 0.0)
            })
            .collect();
        network(50.0, nodes, pipes)
    };
    assert!(pipe_network(&line(NODES_MAX)).is_ok());
    assert_eq!(pipe_network(&line(NODES_MAX + 1)).unwrap_err().field(), "nodes");
    let mut many = line(1);
    many.pipes = (0..PIPES_MAX).map(|i| pipe(&format!("p{i}"), ("s", "n0"), 5.0, 20.9, 0.0)).collect();
    assert!(pipe_network(&many).is_ok());
    many.pipes.push(pipe("one more", ("s", "n0"), 5.0, 20.9, 0.0));
    assert_eq!(pipe_network(&many).unwrap_err().field(), "pipes");
}

/// Node 0 is the source; node `i` hangs on an earlier one, and further pipes close loops.
fn any_network(nodes: usize, loops: usize) -> impl Strategy<Value = NetworkInput> {
    let a_pipe = || (1.0..80.0, 12.0..60.0, 100.0..150.0, prop_oneof![Just(0.0), 0.0..20.0]);
    let a_node = (any::<prop::sample::Index>(), -2.0..5.0, prop_oneof![Just(0.0), -0.05..0.4], a_pipe(), any::<bool>());
    let a_loop = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), a_pipe());
    (prop::collection::vec(a_node, 1..nodes), prop::collection::vec(a_loop, 0..loops)).prop_map(|(tree, loops)| {
        let name = |i: usize| if i == 0 { "s".to_owned() } else { format!("n{i}") };
        let mut input = network(45.0, vec![], vec![]);
        let mut add = |from: usize, to: usize, (length, inside, c, k): (f64, f64, f64, f64)| {
            let id = format!("p{}", input.pipes.len());
            input.pipes.push(Pipe { c, ..pipe(&id, (&name(from), &name(to)), length, inside, k) });
        };
        let count = tree.len() + 1;
        for (i, (parent, _, _, figures, turned)) in tree.iter().enumerate() {
            let (from, to) = (parent.index(i + 1), i + 1);
            if *turned { add(to, from, *figures) } else { add(from, to, *figures) }
        }
        for (a, b, figures) in loops {
            if a.index(count) != b.index(count) {
                add(a.index(count), b.index(count), figures);
            }
        }
        input.nodes = tree.iter().enumerate().map(|(i, n)| node(&name(i + 1), n.1, n.2)).collect();
        input
    })
}

proptest! {
    #![proptest_config(crate::cases(100_000))]

    /// Any garden network is solved: flows balance to 1e-9 L/s, heads agree with the losses of single pipes.
    #[test]
    fn balances_and_losses_hold(input in any_network(25, 20)) {
        let state = pipe_network(&input).unwrap();
        let (balance, misfit) = (imbalance_lps(&input, &state), misfit_m(&input, &state));
        let largest = state.pipes.iter().fold(0.0f64, |l, p| l.max(p.head_loss.get().abs()));
        prop_assert!(balance < 1e-9, "{}", balance);
        prop_assert!(misfit < 1e-9 + 1e-11 * largest, "{} of {}", misfit, largest);
        prop_assert!(state.nodes.iter().all(|n| n.pressure.get().is_finite()));
    }

    /// A higher source lifts every head alike and moves no flow.
    #[test]
    fn a_higher_source_lifts_all(input in any_network(10, 8), more in 0.0..40.0) {
        let low = pipe_network(&input).unwrap();
        let mut input = input;
        input.source.head += Metres::new(more);
        let high = pipe_network(&input).unwrap();
        for (l, h) in low.nodes.iter().zip(&high.nodes) {
            prop_assert!(((h.head - l.head).get() - more).abs() < 1e-9);
        }
        prop_assert_eq!(low.pipes, high.pipes);
    }

    /// A wider pipe never lowers the pressure where a single outlet takes its water. Plain pipes only: where losses of
    /// two powers mix, a shortcut can hurt (D. Braess, 1968).
    #[test]
    fn a_wider_pipe_never_hurts(input in any_network(10, 8), which: prop::sample::Index, wider in 1.0..2.0) {
        let mut input = input;
        let last = input.nodes.len() - 1;
        input.nodes.iter_mut().enumerate().for_each(|(i, n)| {
            n.demand = LitresPerSecond::new(if i == last { 0.4 } else { 0.0 });
        });
        input.pipes.iter_mut().for_each(|p| p.minor_k = 0.0);
        let before = pipe_network(&input).unwrap().nodes[last].head;
        let which = which.index(input.pipes.len());
        input.pipes[which].inside = input.pipes[which].inside * wider;
        let after = pipe_network(&input).unwrap().nodes[last].head;
        prop_assert!((after - before).get() > -1e-8 - 1e-10 * (45.0 - before.get()));
    }

    /// A single path loses what its pipes lose one by one.
    #[test]
    fn a_single_path_is_the_sum_of_its_pipes(
        pieces in prop::collection::vec((1.0..80.0, 12.0..60.0, 0.0..0.3), 1..12),
    ) {
        let name = |i: usize| if i == 0 { "s".to_owned() } else { format!("n{i}") };
        let nodes = pieces.iter().enumerate().map(|(i, p)| node(&name(i + 1), 0.0, p.2)).collect();
        let pipes = pieces
            .iter()
            .enumerate()
            .map(|(i, p)| pipe(&format!("p{i}"), (&name(i), &name(i + 1)), p.0, p.1, 0.0))
            .collect();
        let state = pipe_network(&network(60.0, nodes, pipes)).unwrap();
        let mut head = 60.0;
        for (i, p) in pieces.iter().enumerate() {
            let flow: f64 = pieces[i..].iter().map(|p| p.2).sum();
            let (length, inside) = (Metres::new(p.0), Millimetres::new(p.1));
            let loss = pipe_loss_hazen_williams(LitresPerSecond::new(flow), inside, length, 150.0).unwrap();
            head -= loss.head_loss.get();
            prop_assert!((state.nodes[i].head.get() - head).abs() < 1e-8 + 1e-10 * (60.0 - head));
            prop_assert!((state.pipes[i].velocity - loss.velocity).get().abs() < 1e-9);
        }
    }

    /// Networks of figures from the ends of every range, and beyond: an answer that balances, or an error.
    #[test]
    fn any_figures_are_safe(
        input in any_network(8, 6),
        wild in prop::collection::vec((-3.0..5.0f64, 0.0..3.3f64, 20.0..200.0, 0.0..4.0f64, -1000.0..1000.0), 16),
        stray in any::<f64>(), place in 0usize..40,
    ) {
        let mut input = input;
        for (p, w) in input.pipes.iter_mut().zip(&wild) {
            p.length = Metres::new(10f64.powf(w.0));
            p.inside = Millimetres::new(10f64.powf(w.1));
            p.c = w.2;
            p.minor_k = 10f64.powf(w.3);
        }
        for (n, w) in input.nodes.iter_mut().zip(&wild) {
            n.demand = LitresPerSecond::new(w.4);
        }
        match place {
            0 => input.source.head = Metres::new(stray),
            1 => input.nodes[0].demand = LitresPerSecond::new(stray),
            2 => input.pipes[0].length = Metres::new(stray),
            3 => input.pipes[0].inside = Millimetres::new(stray),
            4 => input.pipes[0].c = stray,
            5 => input.pipes[0].minor_k = stray,
            _ => {}
        }
        if let Ok(state) = pipe_network(&input) {
            prop_assert!(imbalance_lps(&input, &state) <= 1e-6);
            prop_assert!(state.nodes.iter().all(|n| n.head.get().is_finite() && n.pressure.get().is_finite()));
            prop_assert!(state.pipes.iter().all(|p| p.velocity.get().is_finite() && p.head_loss.get().is_finite()));
        }
    }
}

use proptest::prelude::*;

use super::*;
use crate::network::{NetworkInput, Node, Pipe, Source, pipe_network};
use crate::pipe::{christiansen_factor, pipe_loss_hazen_williams};
use crate::units::{LitresPerSecond, factor};

const PSI: f64 = factor::KPA_PER_PSI;
const GPM: f64 = factor::L_PER_GALLON;

fn kpa(v: f64) -> Kilopascals {
    Kilopascals::new(v)
}

fn head(lpm: f64, kpa: f64) -> Option<HeadLaw> {
    Some(HeadLaw { flow: LitresPerMinute::new(lpm), pressure: Kilopascals::new(kpa) })
}

fn pipe_of(length: f64, inside: f64) -> Option<RunPipe> {
    let (length, inside) = (Metres::new(length), Millimetres::new(inside));
    Some(RunPipe { length, inside, c: 150.0, fittings: Metres::new(0.0) })
}

fn device_of(opening: f64, at: f64, loss: f64) -> Option<Device> {
    let at_flow = LitresPerMinute::new(at);
    Some(Device { opening: kpa(opening), at_flow, at_loss: kpa(loss), law: LossLaw::Square })
}

fn run(from: Option<usize>, pipe: Option<RunPipe>, head: Option<HeadLaw>) -> Run {
    Run { from, pipe, device: None, rise: Metres::new(0.0), head }
}

/// A line of equal heads at equal distances.
fn line(heads: usize, step_m: f64, inside: f64, lpm: f64, at_kpa: f64) -> Vec<Run> {
    (0..heads).map(|i| run(i.checked_sub(1), pipe_of(step_m, inside), head(lpm, at_kpa))).collect()
}

/// The pressures are those the network solver finds when the heads' flows are given to it as taken: pipes of several sizes,
/// fittings, heights, branches.
#[test]
fn agrees_with_the_network_of_the_same_flows() {
    let mut runs = vec![
        run(None, pipe_of(18.0, 26.2), None),
        run(Some(0), pipe_of(6.0, 20.6), head(7.0, 207.0)),
        run(Some(1), pipe_of(4.5, 20.6), head(7.0, 207.0)),
        run(Some(0), pipe_of(9.0, 20.6), head(14.0, 207.0)),
        run(Some(3), pipe_of(4.5, 15.4), head(3.5, 207.0)),
        run(Some(3), pipe_of(11.0, 15.4), head(14.0, 207.0)),
    ];
    for (i, run) in runs.iter_mut().enumerate() {
        run.rise = Metres::new(0.4 * i as f64 - 0.5);
        if let Some(p) = &mut run.pipe {
            p.fittings = Metres::new(0.5 * i as f64);
        }
    }
    let solved = zone_pressure(kpa(400.0), &runs).unwrap();
    let name = |i: usize| format!("n{i}");
    let network = pipe_network(&NetworkInput {
        source: Source { id: "tap".into(), head: Metres::new(400.0 / GRAVITY) },
        nodes: (0..runs.len())
            .map(|i| Node {
                id: name(i),
                elevation: runs[i].rise,
                demand: LitresPerSecond::new(solved[i].head_flow.get() / 60.0),
            })
            .collect(),
        pipes: (0..runs.len())
            .map(|i| {
                let p = runs[i].pipe.unwrap();
                Pipe {
                    id: format!("p{i}"),
                    from: runs[i].from.map_or("tap".into(), name),
                    to: name(i),
                    length: p.length + p.fittings,
                    inside: p.inside,
                    c: p.c,
                    minor_k: 0.0,
                }
            })
            .collect(),
    })
    .unwrap();
    for (i, (ours, theirs)) in solved.iter().zip(&network.nodes).enumerate() {
        let (a, b) = (ours.pressure.get(), theirs.pressure.get());
        assert!((a - b).abs() < 1e-5, "run {i}: {a} against {b}");
        let (a, b) = (ours.velocity.unwrap().get(), network.pipes[i].velocity.get());
        assert!((a - b).abs() < 1e-6, "run {i}: {a} m/s against {b}");
    }
}

/// Christiansen's factor (University of California Bulletin 670, 1942): where heads give nearly equal flows, the line loses F
/// times what its whole flow would lose in the whole length. Tolerance: the heads' flows differ by up to 0.2 %.
#[test]
fn equal_outlets_lose_the_published_share() {
    for n in [2, 5, 10, 20, 30] {
        let runs = line(n, 3.0, 60.0, 4.0, 200.0);
        let solved = zone_pressure(kpa(200.0), &runs).unwrap();
        let lost = 200.0 - solved.last().unwrap().pressure.get();
        let flow = LitresPerSecond::new(solved[0].flow.get() / 60.0);
        let whole = pipe_loss_hazen_williams(flow, Millimetres::new(60.0), Metres::new(3.0 * n as f64), 150.0).unwrap();
        let share = lost / whole.pressure_loss.get();
        let f = christiansen_factor(n as u32).unwrap();
        assert!((share / f - 1.0).abs() < 0.005, "{n} outlets: {share} for {f}");
    }
}

/// G. P. Merkley and R. G. Allen, *Sprinkle and trickle irrigation*, Utah State University lecture notes, lecture 7: on
/// level ground, with about thirty equal outlets or more, three quarters of a lateral's loss lie between its inlet and the
/// mean pressure, which is found at about 40 % of its length.
#[test]
fn mean_pressure_lies_where_the_lecture_says() {
    let n = 40;
    let solved = zone_pressure(kpa(345.0), &line(n, 9.0, 52.0, 8.0, 345.0)).unwrap();
    let pressures: Vec<f64> = solved.iter().map(|s| s.pressure.get()).collect();
    let (mean, last) = (pressures.iter().sum::<f64>() / n as f64, pressures[n - 1]);
    let lost = 345.0 - last;
    assert!(lost > 20.0, "a lateral that loses nothing shows nothing: {lost}");
    let share = (345.0 - mean) / lost;
    assert!((share - 0.75).abs() < 0.015, "{share}");
    let place = pressures.iter().position(|p| *p < mean).unwrap() as f64 / n as f64;
    assert!((place - 0.40).abs() < 0.03, "{place}");
}

/// The AWWA table of pressure lost in displacement meters (psi by gal/min), as printed in a trade sheet: from its last row
/// alone the square gives the others, within 0.3 psi or a tenth.
#[test]
fn meters_follow_the_square() {
    // flow and loss told, then rows of the table
    let rows = [
        ((20.0, 15.0), [(5.0, 0.9), (10.0, 3.7), (15.0, 8.3), (18.0, 12.0)]),
        ((30.0, 15.0), [(8.0, 1.0), (15.0, 3.6), (20.0, 6.5), (26.0, 11.2)]),
        ((50.0, 15.0), [(12.0, 0.9), (20.0, 2.2), (30.0, 5.3), (40.0, 9.6)]),
        ((100.0, 20.0), [(20.0, 0.8), (40.0, 3.3), (60.0, 7.2), (80.0, 12.8)]),
    ];
    for ((at, loss), printed) in rows {
        for (gpm, psi) in printed {
            let run = Run {
                from: None,
                pipe: None,
                device: device_of(0.0, at * GPM, loss * PSI),
                rise: Metres::new(0.0),
                head: head(gpm * GPM, 300.0),
            };
            // So much pressure that the head has its 300 kPa and the flow is the row's.
            let edge = Edge::of(&run).unwrap();
            let solved = zone_pressure(kpa(300.0 + edge.loss(gpm * GPM)), &[run]).unwrap();
            assert!((solved[0].flow.get() / GPM - gpm).abs() < 1e-6);
            let got = solved[0].loss.get() / PSI;
            assert!((got - psi).abs() < 0.3_f64.max(0.1 * psi), "{gpm} through {at}: {got} for {psi}");
        }
    }
}

/// Water of a man's height presses 0.433 psi a foot (USDA National Engineering Handbook 652): 20 ft up and back.
#[test]
fn height_takes_its_column() {
    for (feet, psi) in [(20.0, -8.66), (-20.0, 8.66)] {
        let mut one = run(None, None, head(1.0, 200.0));
        one.rise = Metres::new(feet * factor::M_PER_FOOT);
        let got = (zone_pressure(kpa(400.0), &[one]).unwrap()[0].pressure.get() - 400.0) / PSI;
        assert!((got - psi).abs() < 0.02, "{got} for {psi}");
    }
}

/// What lies too high stays dry and takes nothing in; the others give what they can.
#[test]
fn a_head_out_of_reach_is_dry() {
    let mut runs = line(3, 5.0, 20.0, 6.0, 200.0);
    runs[1].rise = Metres::new(40.0);
    let solved = zone_pressure(kpa(300.0), &runs).unwrap();
    assert_eq!(solved[1].head_flow.get(), 0.0);
    assert!(solved[1].pressure.get() < 0.0);
    assert!(solved[2].head_flow.get() > 6.0);
    // An opening loss above all there is: nothing flows, and the pressure before it is told as it stands.
    let mut shut = run(None, None, head(6.0, 200.0));
    shut.device = device_of(80.0, 40.0, 90.0);
    let solved = zone_pressure(kpa(60.0), &[shut]).unwrap();
    assert_eq!(solved[0].head_flow.get(), 0.0);
}

#[test]
fn refusals_name_the_field() {
    let one = run(None, None, head(4.0, 200.0));
    let field = |p: f64, runs: &[Run]| zone_pressure(kpa(p), runs).unwrap_err().field();
    assert_eq!(field(0.0, std::slice::from_ref(&one)), "static_kpa");
    assert_eq!(field(300.0, &[]), "runs");
    assert_eq!(field(300.0, &[run(None, None, None)]), "runs");
    assert_eq!(field(300.0, &[run(Some(0), None, head(4.0, 200.0))]), "runs");
    assert_eq!(field(300.0, &[run(None, None, head(0.0, 200.0))]), "head_lpm");
    assert_eq!(field(300.0, &[run(None, None, head(4.0, 1.0))]), "design_kpa");
    assert_eq!(field(300.0, &[run(None, pipe_of(1.0, 0.1), head(4.0, 200.0))]), "inside_mm");
    let broken = |d| Run { device: d, ..one.clone() };
    assert_eq!(field(300.0, &[broken(device_of(50.0, 40.0, 40.0))]), "runs");
    assert_eq!(field(300.0, &[broken(device_of(0.0, 0.0, 40.0))]), "loss_at_lpm");
    assert_eq!(field(300.0, &vec![one.clone(); HEADS_MAX + 1]), "runs");
    let many = Run { rise: Metres::new(f64::NAN), ..one };
    assert_eq!(field(300.0, &[many]), "rise_m");
}

fn any_zone() -> impl Strategy<Value = (f64, Vec<Run>)> {
    let one = (any::<prop::sample::Index>(), 0.1..40.0f64, 12.0..50.0f64, -8.0..8.0f64, 0.0..30.0f64, prop::bool::ANY);
    (60.0..900.0f64, prop::collection::vec(one, 1..25)).prop_map(|(p, list)| {
        let mut runs: Vec<Run> = Vec::new();
        for (i, (from, length, inside, rise, flow, device)) in list.into_iter().enumerate() {
            runs.push(Run {
                from: (i > 0).then(|| from.index(i)),
                pipe: pipe_of(length, inside),
                device: if device { device_of(flow, 60.0, 40.0) } else { None },
                rise: Metres::new(rise),
                head: if flow > 8.0 || i == 0 { head(flow.max(1.0), 250.0) } else { None },
            });
        }
        (p, runs)
    })
}

proptest! {
    #![proptest_config(crate::cases(3_000))]

    /// What flows in flows out of the heads, and every head gives what its pressure lets it.
    #[test]
    fn flows_balance_and_pressures_agree((p, runs) in any_zone()) {
        let solved = zone_pressure(kpa(p), &runs).unwrap();
        for (i, s) in solved.iter().enumerate() {
            let behind: f64 = (i + 1..runs.len()).filter(|&j| runs[j].from == Some(i)).map(|j| solved[j].flow.get()).sum();
            prop_assert!((s.flow.get() - behind - s.head_flow.get()).abs() < 1e-7);
            if let Some(h) = runs[i].head {
                let want = h.flow.get() * (s.pressure.get().max(0.0) / h.pressure.get()).sqrt();
                // A dry head behind a spring that stays shut stands under pressure that never reaches it.
                let shut = s.head_flow.get() == 0.0;
                prop_assert!(shut || (s.head_flow.get() - want).abs() < 1e-4 * h.flow.get(), "{} for {want}", s.head_flow.get());
            }
        }
    }

    /// More pressure never gives a zone less water.
    #[test]
    fn more_pressure_more_water((p, runs) in any_zone(), more in 1.0..200.0f64) {
        let flow = |p: f64| zone_pressure(kpa(p), &runs).unwrap().iter().map(|s| s.head_flow.get()).sum::<f64>();
        prop_assert!(flow(p + more) >= flow(p) - 1e-6);
    }
}

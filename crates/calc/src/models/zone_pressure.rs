//! `zone-pressure`.

use std::collections::HashMap;

use reckon::pipe;
use reckon::units::{Kilopascals, LitresPerMinute, Metres, Millimetres};
use reckon::zone_pressure::{self, Device, HeadLaw, LossLaw, Run, RunPipe};

use super::*;
use crate::shape::Name;

pub(super) const MODEL: Model = Model {
    name: "zone-pressure",
    about: "Pressure at every head of a sprinkler zone, from the static pressure down the pipes",
    source: "Heads after E. Torricelli's law; pipes after G. S. Williams and A. Hazen, Hydraulic Tables, 1905, in the SI form in \
             common use; meters and valves by the square of their flow",
    example: r#"{"static_kpa": 450, "design_kpa": 207, "runs": [
                 {"id": "service", "length_m": 18, "inside_mm": 26.24, "loss_kpa": 103.4, "loss_at_lpm": 113.6},
                 {"id": "valve", "from": "service", "opening_kpa": 7, "loss_kpa": 28, "loss_at_lpm": 75.7},
                 {"id": "head 1", "from": "valve", "length_m": 6, "inside_mm": 20.57, "head_lpm": 7},
                 {"id": "head 2", "from": "head 1", "length_m": 4.5, "inside_mm": 20.57, "rise_m": 0.5, "head_lpm": 7}]}"#,
    input: &Input::RECORD,
    output: &[
        figure("flow_lpm", "L/min", "flow of all heads"),
        figure("lowest_kpa", "kPa", "pressure at the head that has least"),
        figure("highest_kpa", "kPa", "pressure at the head that has most"),
        Field::new(
            "runs",
            list(&Shape::Record(&RUN_FIGURES), 1, zone_pressure::RUNS_MAX, "each run in the order given"),
        ),
    ],
    run: |item| reply(item, compute),
};

const RUN_FIGURES: Record = Record {
    fields: &[
        Field::new("id", Shape::Name("name of the run")),
        figure("flow_lpm", "L/min", "flow through it"),
        Field {
            name: "velocity_ms",
            shape: Shape::Figure("m/s", "mean speed of the water; only where the run has a pipe"),
            need: Need::Optional,
        },
        figure("loss_kpa", "kPa", "pressure lost to friction"),
        figure("pressure_kpa", "kPa", "pressure at its end; below 0 where the water does not reach"),
        figure("head_lpm", "L/min", "flow of its head; 0 where there is none"),
    ],
    choices: &[],
};

record! {
    /// A supply and what hangs on it.
    Input {
        static_kpa: f64 = Number(zone_pressure::STATIC_KPA);
        design_kpa: f64 = Number(zone_pressure::DESIGN_KPA);
        runs: Vec<RunOf> = list(&Shape::Record(&RunOf::RECORD), 1, zone_pressure::RUNS_MAX, "stretches of the way from the street to the heads, each after the one it starts from");
    }
}

record! {
    /// A stretch of the way.
    RunOf {
        id: Name = Shape::Name("name of the run");
        from: Option<Name> = Shape::Name("the run it starts from, before it in the list; the street where left out"), optional;
        length_m: Given = Number(pipe::LENGTH_M), or(0.0);
        inside_mm: Option<f64> = Number(pipe::INSIDE_MM), optional;
        c: Given = Number(pipe::C), or(150.0);
        fittings_m: Given = Number(zone_pressure::FITTINGS_M), or(0.0);
        opening_kpa: Given = Number(zone_pressure::OPENING_KPA), or(0.0);
        loss_kpa: Given = Number(zone_pressure::LOSS_KPA), or(0.0);
        loss_at_lpm: Option<f64> = Number(zone_pressure::LOSS_AT_LPM), optional;
        rise_m: Given = Number(zone_pressure::RISE_M), or(0.0);
        head_lpm: Option<f64> = Number(zone_pressure::HEAD_LPM), optional;
    }
}

/// The runs as the formula takes them.
fn runs_of(input: &Input) -> Result<Vec<Run>, Refusal> {
    let mut known: HashMap<&str, usize> = HashMap::new();
    let mut runs = Vec::with_capacity(input.runs.len());
    for (i, run) in input.runs.iter().enumerate() {
        let refused = |field: &str, rest: &str| Err(Refusal::of(&format!("runs[{i}].{field}"), rest.to_owned()));
        let from = match &run.from {
            None => None,
            Some(name) => match known.get(name.text.as_str()) {
                Some(&at) => Some(at),
                None => return refused("from", " is no run that stands before this one"),
            },
        };
        if known.insert(&run.id.text, i).is_some() {
            return refused("id", " is also the name of another run");
        }
        let pipe = match run.inside_mm {
            Some(inside) => Some(RunPipe {
                length: Metres::new(run.length_m.value),
                inside: Millimetres::new(inside),
                c: run.c.value,
                fittings: Metres::new(run.fittings_m.value),
            }),
            None if run.length_m.value > 0.0 => {
                return refused("inside_mm", " is missing; a pipe has an inside diameter");
            }
            None => None,
        };
        let device = match run.loss_at_lpm {
            Some(at) => Some(Device {
                opening: Kilopascals::new(run.opening_kpa.value),
                at_flow: LitresPerMinute::new(at),
                at_loss: Kilopascals::new(run.loss_kpa.value),
                law: LossLaw::Square,
            }),
            None if run.loss_kpa.value > 0.0 => return refused("loss_at_lpm", " is missing; a loss is told at a flow"),
            None => None,
        };
        let head = run
            .head_lpm
            .map(|flow| HeadLaw { flow: LitresPerMinute::new(flow), pressure: Kilopascals::new(input.design_kpa) });
        runs.push(Run { from, pipe, device, rise: Metres::new(run.rise_m.value), head });
    }
    Ok(runs)
}

fn compute(input: Input) -> Computed {
    let runs = runs_of(&input)?;
    let solved = zone_pressure::zone_pressure(Kilopascals::new(input.static_kpa), &runs)?;
    let mut steps = Vec::new();
    let mut figures = Vec::new();
    for ((given, run), found) in input.runs.iter().zip(&runs).zip(&solved) {
        let name = &given.id.text;
        let flow = || n("Q", found.flow.get(), "L/min");
        let mut one = vec![("id", Figure::from(&given.id)), ("flow_lpm", Figure::from(found.flow.get()))];
        steps.push(Step::new(format!("{name}: flow"), "the heads behind it", vec![], flow()));
        let mut values = vec![flow()];
        if let (Some(speed), Some(p)) = (found.velocity, run.pipe) {
            values.push(n("L", p.length.get() + p.fittings.get(), "m"));
            values.push(n("d", p.inside.get(), "mm"));
            values.push(given.c.shown("C", "", "the pipe's own coefficient (c) replaces it"));
            one.push(("velocity_ms", Figure::from(speed.get())));
            let inside = n("d", p.inside.get(), "mm");
            steps.push(Step::new(
                format!("{name}: speed"),
                "v = 4 Q / (π d²)",
                vec![flow(), inside],
                n("v", speed.get(), "m/s"),
            ));
        }
        if let Some(d) = run.device {
            values.push(n("o", d.opening.get(), "kPa"));
            values.push(n("l", d.at_loss.get(), "kPa"));
            values.push(n("Q_l", d.at_flow.get(), "L/min"));
        }
        let pressure = n("p", found.pressure.get(), "kPa");
        steps.push(Step::new(
            format!("{name}: loss"),
            "9.80665 · 10.67 L Q^1.852 / (C^1.852 d^4.8704), Q in m³/s, d in m; and o + (l − o) (Q / Q_l)²",
            values,
            n("loss", found.loss.get(), "kPa"),
        ));
        steps.push(Step::new(
            format!("{name}: pressure at its end"),
            "static − 9.80665 z − Σ losses on the way",
            vec![
                n("static", input.static_kpa, "kPa"),
                given.rise_m.shown("z", "m", "its height over the gauge (rise_m) replaces it"),
            ],
            pressure.clone(),
        ));
        steps.push(Step::new(
            format!("{name}: its head"),
            "q = q₀ √(p / p₀); 0 where there is no head",
            vec![n("q₀", given.head_lpm.unwrap_or(0.0), "L/min"), pressure, n("p₀", input.design_kpa, "kPa")],
            n("q", found.head_flow.get(), "L/min"),
        ));
        one.push(("loss_kpa", Figure::from(found.loss.get())));
        one.push(("pressure_kpa", Figure::from(found.pressure.get())));
        one.push(("head_lpm", Figure::from(found.head_flow.get())));
        figures.push(Figure::Record(one));
    }
    let heads = || runs.iter().zip(&solved).filter(|(run, _)| run.head.is_some()).map(|(_, found)| found);
    let flow: f64 = heads().map(|h| h.head_flow.get()).sum();
    let lowest = heads().map(|h| h.pressure.get()).fold(f64::INFINITY, f64::min);
    let highest = heads().map(|h| h.pressure.get()).fold(f64::NEG_INFINITY, f64::max);
    steps.push(Step::new("Flow of all heads", "Σ q", vec![], n("Q", flow, "L/min")));
    steps.push(Step::new("Least pressure at a head", "min p", vec![], n("p", lowest, "kPa")));
    steps.push(Step::new("Most pressure at a head", "max p", vec![], n("p", highest, "kPa")));
    let runs = Figure::List(figures);
    Ok((figures! { flow_lpm: flow, lowest_kpa: lowest, highest_kpa: highest, runs: runs }, steps))
}

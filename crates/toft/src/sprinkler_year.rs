//! `toft open` and `toft close`: the sprinklers through the year.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use serde_json::json;
use yard::advice::Scene;
use yard::sprinkler_year::backflow::{BackflowState, backflow};
use yard::sprinkler_year::closing::{Pipes, Steps, Way, closing};
use yard::sprinkler_year::frost::FrostOdds;
use yard::sprinkler_year::mending::Waiting;
use yard::sprinkler_year::opening::{look, opening};
use yard::sprinkler_year::{air_words, pressure_words};
use yard::{Quantity, Units};

use crate::args::{CloseArgs, PipeArg, ReadArgs, WayArg};
use crate::home;
use crate::problem::Problem;

/// `toft close`.
pub fn close(told: Option<&Path>, args: &CloseArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let before = args.before.as_deref().map(home::date).transpose()?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on };
    let way = match args.way {
        WayArg::Manual => Way::Manual,
        WayArg::Automatic => Way::Automatic,
        WayArg::BlowOut => Way::BlowOut,
    };
    let pipes = match args.pipe {
        PipeArg::Unknown => Pipes::Unknown,
        PipeArg::Pe => Pipes::Polyethylene,
        PipeArg::Pvc => Pipes::Pvc,
    };
    let closing = closing(&scene, way, pipes);
    let chance = before
        .and_then(|d| d.yesterday().ok())
        .and_then(|d| closing.hard_freeze.as_ref().and_then(|odds| odds.chance(d)));
    if args.read.json {
        println!("{}", json!({"on": on, "closing": closing, "frozen_before": chance}));
        return Ok(ExitCode::SUCCESS);
    }
    let u = yard.units();
    match (closing.done_on, closing.freeze_come, closing.shut_by) {
        (Some(day), _, _) => println!("The sprinklers were shut on {day}."),
        (None, Some(day), _) => println!("Shut the sprinklers today: a hard freeze came on {day}."),
        (None, None, Some(by)) => println!("Have the sprinklers shut by {by}."),
        (None, None, None) => println!("By when to shut the sprinklers cannot be told."),
    }
    if let Some(hard) = &closing.hard_freeze {
        points("First hard freeze (pipes, valves, heads)", hard, u);
    }
    if let Some(freeze) = &closing.freeze {
        points("First freeze (backflow assembly above ground)", freeze, u);
    }
    if let Some(hard) = &closing.hard_freeze {
        println!("  Frozen hard by:");
        chances(hard);
        println!("  Counted from {}.", hard.basis);
    }
    if let Some(day) = before {
        match chance {
            Some(c) => println!(
                "  The chance that pipes freeze before {day}: {:.0} % ({} of {} years)",
                c.share() * 100.0,
                c.with,
                c.of
            ),
            None => println!("  The outlook does not reach {day}."),
        }
    }
    for part in &closing.steps {
        steps(part);
    }
    if !closing.zones.is_empty() {
        println!("\nAir, zone by zone");
    }
    for z in &closing.zones {
        println!(
            "  {:<20} set to {}, never over {}; a compressor of {}{}",
            z.name,
            pressure_words(u, z.set_kpa),
            pressure_words(u, z.most_kpa),
            air_words(u, z.air_l_min),
            if z.flow_assumed { "  (usual flow: read the meter)" } else { "" }
        );
        if args.read.working {
            for step in &z.working {
                println!("      {}", u.say_step(step));
            }
        }
    }
    if args.read.working {
        for step in closing.hard_freeze.iter().flat_map(|o| &o.working) {
            println!("    {}", u.say_step(step));
        }
    }
    println!("\nWhen it is done: toft log sprinklers state=shut");
    Ok(ExitCode::SUCCESS)
}

fn points(name: &str, odds: &FrostOdds, u: Units) {
    let at = u.say(Quantity::Temperature, odds.threshold_c);
    match &odds.window {
        Some(w) => println!("  {name}, {at}: early {} · likely {} · late {}", w.early, w.likely, w.late),
        None => println!("  {name}, {at}: not in half of the years"),
    }
}

fn chances(odds: &FrostOdds) {
    for c in &odds.chances {
        println!("    {}  {:>3.0} %  ({} of {} years)", c.date, c.share() * 100.0, c.with, c.of);
    }
}

pub fn steps(part: &Steps) {
    println!("\n{}", part.name);
    if !part.care.is_empty() {
        println!("  Caution: {}", part.care);
    }
    for (i, step) in part.steps.iter().enumerate() {
        println!("  {}. {step}", i + 1);
    }
    println!("  Source: {}", part.source);
}

/// `toft open`.
pub fn open(told: Option<&Path>, args: &ReadArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on };
    let o = opening(&scene);
    let test = backflow(&scene);
    if args.json {
        println!("{}", json!({"on": on, "opening": o, "backflow": test}));
        return Ok(ExitCode::SUCCESS);
    }
    let u = yard.units();
    match (o.done_on, o.from) {
        (Some(day), _) => println!("The sprinklers were opened on {day}."),
        (None, Some(from)) => println!("Open the sprinklers from {from} on."),
        (None, None) => println!("From when to open the sprinklers cannot be told."),
    }
    if let Some(hard) = &o.hard_freeze {
        points("Last hard freeze (pipes, valves, heads)", hard, u);
    }
    if let Some(freeze) = &o.freeze {
        points("Last freeze (backflow assembly above ground)", freeze, u);
    }
    if let Some(hard) = &o.hard_freeze {
        println!("  Freezes hard on or after:");
        chances(hard);
        println!("  Counted from {}.", hard.basis);
    }
    if let Some(g) = &o.ground {
        let state = if g.thawed { "thawed, as reckoned" } else { "frost may still be in it" };
        println!("  Ground at the pipes: {} ({state}); a spade tells.", u.say(Quantity::Temperature, g.c));
    }
    let (before, last) = o.steps.split_at(o.steps.len().saturating_sub(1));
    for part in before {
        steps(part);
    }
    println!("\nZone by zone");
    for z in &o.zones {
        println!("  {}", z.name);
        for line in look(&scene, z) {
            println!("    - {line}");
        }
        if !z.heads.is_empty() {
            println!("    heads: {}", z.heads.join(", "));
        }
        z.waiting.iter().for_each(waits);
    }
    o.waiting.iter().for_each(waits);
    for part in last {
        steps(part);
    }
    println!("\nBackflow assembly: {}", backflow_words(&test));
    if args.working {
        let all = o.hard_freeze.iter().flat_map(|h| &h.working).chain(o.ground.iter().flat_map(|g| &g.working));
        for step in all.chain(&o.fill.working) {
            println!("    {}", u.say_step(step));
        }
    }
    println!("Write down what is found: toft log to-mend zone=… at=… trouble=…");
    println!("When it is open: toft log sprinklers state=opened");
    Ok(ExitCode::SUCCESS)
}

fn waits(w: &Waiting) {
    println!("    To be mended by {}: {}, {}; {}  [{}]", w.by, w.at, w.trouble.words(), w.mend, w.id);
}

fn backflow_words(test: &BackflowState) -> String {
    match (test.last_on, test.due) {
        (Some(on), Some(due)) if test.failed => {
            format!("failed on {on}; to be mended and tested again at once (due {due}) by a licensed tester")
        }
        (Some(on), Some(due)) => format!("tested on {on}; next by {due}, by a licensed tester"),
        _ => {
            "no test written down; most water suppliers want one a year by a licensed tester: toft log backflow-tested"
                .to_owned()
        }
    }
}

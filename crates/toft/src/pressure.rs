//! `toft pressure`: the pressure in each zone, from the tap to the last head.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use serde_json::json;
use yard::form::measure;
use yard::pressure::{Missing, Told, ZonePressures, say_speed, told_steps, zone_pressures};
use yard::{Quantity, Units};

use crate::args::PressureArgs;
use crate::home;
use crate::problem::Problem;

/// `toft pressure`.
pub fn run(told: Option<&Path>, args: &PressureArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let u = yard.units();
    let quantity = |name: &str, raw: &Option<String>, q| {
        let read = |raw: &String| measure(raw, q, u).map_err(|m| Problem::Typed(format!("--{name}: {m}")));
        raw.as_ref().map(read).transpose()
    };
    let typed = Told {
        heads: args.heads,
        length_m: quantity("length", &args.length, Quantity::Length)?,
        flow_lpm: quantity("flow", &args.flow, Quantity::Flow)?,
    };
    let almanac = Almanac::embedded();
    let Some(key) = &args.zone else {
        let all: Vec<_> = yard.zones.iter().map(|z| (z, zone_pressures(&yard, z, Told::default(), almanac))).collect();
        if args.read.json {
            let one = |(zone, found): &(&yard::entry::ZoneFacts, Result<ZonePressures, Missing>)| match found {
                Ok(z) => json!(z),
                Err(why) => json!({"zone": zone.key, "missing": why.words()}),
            };
            println!("{}", json!({"on": on, "zones": all.iter().map(one).collect::<Vec<_>>()}));
            return Ok(ExitCode::SUCCESS);
        }
        for (zone, found) in &all {
            let said = match found {
                Ok(z) => format!("{} ({})", span(u, z), z.verdict()),
                Err(why) => why.words(),
            };
            println!("{:<18} {}: {said}", zone.key, zone.name);
        }
        return Ok(ExitCode::SUCCESS);
    };
    let Some(zone) = yard.zone(key) else {
        let known: Vec<&str> = yard.zones.iter().map(|z| z.key.as_str()).collect();
        return Err(Problem::Typed(format!("no zone “{key}”; the zones are: {}", known.join(", "))));
    };
    let z = zone_pressures(&yard, zone, typed, almanac).map_err(|why| {
        let hint = match why {
            Missing::Supply => "\ntry: toft log supply static=60 meter=3/4 backflow=double-check",
            Missing::Heads | Missing::Flow => "\ntry: toft pressure ZONE --heads 8 --flow 12 --length 90",
            Missing::Figures(_) => "",
        };
        Problem::Typed(format!("{}{hint}", why.words()))
    })?;
    if args.read.json {
        println!("{}", json!({"on": on, "pressure": z}));
        return Ok(ExitCode::SUCCESS);
    }
    print(&z, u, args.read.working);
    Ok(ExitCode::SUCCESS)
}

fn span(u: Units, z: &ZonePressures) -> String {
    let say = |kpa: f64| u.say(Quantity::Pressure, kpa.max(0.0));
    format!("{} to {} at the heads", say(z.lowest_kpa), say(z.highest_kpa))
}

fn print(z: &ZonePressures, u: Units, working: bool) {
    let say = |kpa: f64| u.say(Quantity::Pressure, kpa);
    let flow = |lpm: f64| u.say(Quantity::Flow, lpm);
    println!("{}: {}", z.name, z.verdict());
    println!(
        "  {}; this kind works at {} to {}; the zone takes {}",
        span(u, z),
        say(z.working_kpa[0]),
        say(z.working_kpa[2]),
        flow(z.flow_lpm)
    );
    for s in &z.stretches {
        let speed = s.speed_ms.map(|v| format!(", {}", say_speed(u, v))).unwrap_or_default();
        println!("    {:<42} −{}, {} left{speed}", s.name, say(s.loss_kpa), say(s.pressure_kpa));
    }
    println!("    pipe behind the valve, fastest {}", say_speed(u, z.lateral_speed_ms));
    for f in &z.findings {
        println!("  Found: {}", f.words);
    }
    for c in &z.changes {
        let enough = if c.enough { "enough" } else { "not enough by itself" };
        println!(
            "  Change: {}: heads {} to {}, zone {} ({enough})",
            c.words,
            say(c.lowest_kpa.max(0.0)),
            say(c.highest_kpa),
            flow(c.flow_lpm)
        );
    }
    if let Some(b) = &z.bears {
        println!(
            "  It bears {} heads of {} on one line ({} by flow, {} by pressure); it has {}",
            b.by_flow.min(b.by_pressure),
            flow(b.head_lpm),
            b.by_flow,
            b.by_pressure,
            z.heads.len()
        );
    }
    for l in &z.limits {
        println!("  Supply: {} ({})", flow(l.flow_lpm), l.rule);
    }
    for a in &z.assumed {
        println!("  Assumed: {a}");
    }
    if working {
        for step in told_steps(&z.working, u) {
            println!("    {}", u.say_step(&step));
        }
        for h in &z.heads {
            println!("    {}: {}, {} of {}", h.name, say(h.pressure_kpa), flow(h.flow_lpm), flow(h.told_lpm));
        }
        for s in &z.sources {
            println!("    Source: {s}");
        }
    }
    println!(
        "  Care: backflow preventers are for a licensed tester, service line and reducing valve for a plumber; buried lines marked before digging."
    );
}

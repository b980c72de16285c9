//! `toft leak`: the meter with everything shut, in water, money and days.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use serde_json::json;
use yard::Quantity;
use yard::advice::Scene;
use yard::form::measure;
use yard::leak::{LeakAsk, LeakFound, Watched, leak, measure_steps, mend_steps};
use yard::units::significant;
use yard::words::money;

use crate::args::LeakArgs;
use crate::home;
use crate::problem::Problem;
use crate::sprinkler_year::steps;

/// `toft leak`.
pub fn run(told: Option<&Path>, args: &LeakArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on };
    let u = yard.units();
    let volume = |name: &str, raw: &Option<String>| match raw {
        None => Ok(None),
        Some(raw) => {
            measure(raw, Quantity::Volume, u).map(Some).map_err(|why| Problem::Typed(format!("{name}: {why}")))
        }
    };
    let watched = |moved: Option<f64>, minutes: Option<f64>| Some(Watched { moved_l: moved?, minutes: minutes? });
    let ask = LeakAsk {
        open: watched(volume("--moved", &args.moved)?, args.minutes),
        closed: watched(volume("--closed-moved", &args.closed_moved)?, args.closed_minutes),
        repair: args.repair,
        town_days: args.days,
    };
    let found = leak(&scene, &ask).map_err(|e| Problem::Typed(e.to_string()))?;
    if args.read.json {
        println!("{}", json!({"on": on, "leak": found}));
        return Ok(ExitCode::SUCCESS);
    }
    let Some(found) = found else {
        steps(&measure_steps());
        println!("\nThen: toft leak --moved 0.8gal --minutes 30");
        return Ok(ExitCode::SUCCESS);
    };
    let say = |l: f64| u.say(Quantity::Volume, l);
    if let Some(l) = &found.leak {
        let cost = l.cost_per_day.map(|c| format!(", {} a day ({})", money(&yard, c), l.step)).unwrap_or_default();
        println!("{} a day{cost}; {} a year", say(l.per_day_l), say(l.per_year_l));
        if let Some(mm) = l.hole_mm {
            let hole = significant(u.show(Quantity::Depth, mm), 2);
            println!("  as much as a hole of {hole} {} loses at 60 psi (4.1 bar)", u.symbol(Quantity::Depth));
        }
        if l.at_once {
            println!("  Shut the water off now, and mend it today.");
        } else {
            println!("  Mend it by {}.", l.repair_by);
        }
    }
    place(&found);
    if let Some(part) = found.sprinklers_l_day {
        println!("  Of it the sprinklers: {} a day", say(part));
    }
    for a in &found.assumed {
        println!("  Assumed: {a}");
    }
    if args.read.working {
        for step in &found.working {
            println!("    {}", u.say_step(step));
        }
    }
    if let Some(l) = &found.leak {
        steps(&mend_steps());
        println!(
            "\nKeep it on the list of work: toft log to-mend at=Manifold trouble={} by={}",
            found.trouble().key(),
            l.repair_by
        );
    }
    Ok(ExitCode::SUCCESS)
}

fn place(found: &LeakFound) {
    println!("  Where: {}.", found.place.words());
    if let Some(next) = found.place.next() {
        println!("  Next: {next}");
    }
}

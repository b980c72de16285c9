//! `toft programme`: what to type into the sprinkler controller.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use serde_json::json;
use yard::Quantity;
use yard::advice::Scene;
use yard::advice::programmes::{ControllerPlan, ZoneWeek, controller_plan, day_words, rain_saves};
use yard::advice::water_day::clock;
use yard::form::measure;

use crate::args::ProgrammeArgs;
use crate::home;
use crate::problem::Problem;

/// `toft programme`.
pub fn run(told: Option<&Path>, args: &ProgrammeArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let almanac = Almanac::embedded();
    let known = weather.known_before(on, almanac);
    let scene = Scene { yard: &yard, weather: &known, almanac, on };
    let u = yard.units();
    let rain_mm = match &args.rain {
        None => None,
        Some(raw) => match measure(raw, Quantity::Depth, u) {
            Ok(mm) if (0.0..=500.0).contains(&mm) => Some(mm),
            Ok(_) => return Err(Problem::Typed("--rain is between 0 and 500 mm".to_owned())),
            Err(why) => return Err(Problem::Typed(format!("--rain: {why}"))),
        },
    };
    let plan = controller_plan(&scene);
    let saves = rain_mm.map(|mm| rain_saves(&scene, &plan, mm));
    if args.read.json {
        println!("{}", json!({"on": on, "plan": plan, "rain_mm": rain_mm, "rain_saves": saves}));
        return Ok(ExitCode::SUCCESS);
    }
    println!("What to type into the controller, for the week from {on}");
    typed_in(&plan);
    for (name, why) in &plan.resting {
        println!("  off   {name}: {why}");
    }
    for zone in &plan.zones {
        if let Some(c) = &zone.caution {
            println!("  Caution: {}: {c}", zone.name);
        }
    }
    if !plan.changed.is_empty() {
        println!("\nChanged since last week:");
        for c in &plan.changed {
            println!("  {}: {} minutes a week, were {}; {}", c.name, c.now, c.before, c.why);
        }
    }
    if let (Some(mm), Some(saves)) = (rain_mm, saves) {
        println!("\nA rain of {} tonight:", u.say(Quantity::Depth, mm));
        for s in saves {
            let next = s.next.map_or_else(|| "not in this week".to_owned(), |d| format!("next on {d}"));
            println!(
                "  {}: leave out {} days, {next}, {} minutes shorter; saves {} minutes, {}",
                s.name,
                s.days,
                s.shorter,
                s.minutes,
                u.say(Quantity::Volume, s.litres)
            );
        }
    }
    println!();
    for a in &plan.assumed {
        println!("Assumed: {a}");
    }
    if args.read.working {
        for zone in &plan.zones {
            println!("\n{}", week_words(zone));
            for step in &zone.working {
                println!("    {}", u.say_step(step));
            }
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn typed_in(plan: &ControllerPlan) {
    for p in &plan.programmes {
        let starts: Vec<String> = p.starts.iter().map(|s| clock(*s)).collect();
        println!("\n  Programme {}   days: {}   starts: {}", p.letter, day_words(p.days), starts.join(", "));
        for s in &p.stations {
            println!("    {:<24} {:>4} min", s.name, s.minutes);
        }
    }
    if !plan.programmes.is_empty() {
        let least = if plan.span_minutes == plan.least_span_minutes {
            "no programmes are shorter".to_owned()
        } else {
            format!("none can be shorter than {}", plan.least_span_minutes)
        };
        println!(
            "\n  {} minutes from the first start to the last end at {} ({}); {least}.",
            plan.span_minutes,
            clock(plan.end_minute),
            plan.end_why
        );
        println!("  All other programmes off; seasonal adjustment at 100 %.");
    }
    if !plan.relax.is_empty() {
        println!("\n  It does not fit. One of these would make it fit:");
        for way in &plan.relax {
            println!("    {way}");
        }
    }
}

fn week_words(zone: &ZoneWeek) -> String {
    format!("{}: {} minutes on {}", zone.name, zone.minutes, day_words(zone.days))
}

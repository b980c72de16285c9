//! `toft watch`.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use serde_json::json;
use yard::advice::{Scene, Where};
use yard::watch::{StageState, watch};

use crate::args::ReadArgs;
use crate::home;
use crate::problem::Problem;

fn names(places: &[Where]) -> String {
    places.iter().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", ")
}

fn steps(lines: impl Iterator<Item = String>, source: &str) {
    for line in lines {
        println!("      {line}");
    }
    println!("      Source: {source}");
}

/// `toft watch`.
pub fn run(told: Option<&Path>, args: &ReadArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let found = watch(&Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on });
    if args.json {
        println!("{}", json!(found));
        return Ok(ExitCode::SUCCESS);
    }
    let units = yard.units();
    println!("LOOK FOR THIS WEEK, {on}");
    if found.scout.is_empty() {
        println!("  nothing in particular");
    }
    for l in &found.scout {
        println!("• {}\n    {}\n    Where: {}; first {}\n    {}", l.title, l.how, names(&l.places), l.look_at, l.why);
    }
    println!("\nDISEASES: what the weather favours");
    for d in &found.diseases {
        let ahead = d.ahead.map_or_else(String::new, |s| format!("; ahead in {:.0} % of past years", s * 100.0));
        println!("• {:<16} {:<7} {} of the last 7 days over the line{ahead}", d.name, d.pressure.word(), d.over_7);
        for line in &d.assumed {
            println!("    Assumed: {line}");
        }
        if args.working {
            steps(d.working.iter().map(|s| units.say_step(s)), d.source);
        }
    }
    println!("\nSTAGES by degree days, soil and season");
    for i in &found.insects {
        let when = match (i.state, i.began, i.begins) {
            (StageState::Past, Some(day), _) => format!("over; began about {day}"),
            (_, Some(day), _) => format!("now, since about {day}"),
            (_, None, Some(w)) => format!("{} / {} / {} (early, likely, late)", w.early, w.likely, w.late),
            _ => "not within a year, in most years".to_owned(),
        };
        let doubt = if i.recalled { " (recalled figure)" } else { "" };
        println!("• {}: {}{doubt}\n    {when}", i.name, i.stage);
        if args.working {
            steps(i.working.iter().map(|s| units.say_step(s)), &i.source);
        }
    }
    println!();
    for note in &found.notes {
        println!("{note}");
    }
    println!("Before any treatment: a product's own label and local law govern.");
    Ok(ExitCode::SUCCESS)
}

//! `toft simulate`: past seasons watered over again.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use jiff::civil::Date;
use serde_json::json;
use yard::advice::trial::{
    Fared, RATIO_MARK, SEASONS_MOST, SEASONS_USUAL, SeasonTrial, TRIAL_RULES, season_trial, seasons,
};
use yard::{Quantity, Units};

use crate::args::SimulateArgs;
use crate::home;
use crate::problem::Problem;

/// `toft simulate`.
pub fn run(told: Option<&Path>, args: &SimulateArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(None, &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let from = args.from.as_deref().map(home::date).transpose()?;
    let to = args.to.as_deref().map(home::date).transpose()?;
    let mut spans = seasons(&weather, from.unwrap_or(Date::MIN), to.unwrap_or(on));
    if from.is_none() {
        spans.drain(..spans.len().saturating_sub(SEASONS_USUAL));
    }
    if spans.len() > SEASONS_MOST {
        return Err(Problem::Typed(format!("{} seasons; at most {SEASONS_MOST} are watered at once", spans.len())));
    }
    let trials: Vec<SeasonTrial> =
        spans.iter().filter_map(|(a, b)| season_trial(&yard, &weather, Almanac::embedded(), *a, *b)).collect();
    if args.json {
        println!("{}", json!({"rules": TRIAL_RULES, "mark": RATIO_MARK, "seasons": trials}));
        return Ok(ExitCode::SUCCESS);
    }
    if trials.is_empty() {
        println!(
            "No season can be watered over again: it needs a zone that waters a lawn, and weather of a whole season."
        );
        println!("The record: {}.", weather.basis().phrase());
        return Ok(ExitCode::SUCCESS);
    }
    let units = yard.units();
    for trial in &trials {
        season(trial, units, args.working);
    }
    println!();
    for rule in TRIAL_RULES {
        println!("{rule}");
    }
    Ok(ExitCode::SUCCESS)
}

fn fared(f: &Fared, units: Units) -> String {
    format!("{:>13} {:>3} d", units.say(Quantity::Volume, f.litres), f.stress_days)
}

fn row(name: &str, advice: &Fared, optimum: &Fared, timer: &Fared, units: Units) {
    let over = if optimum.litres > 0.0 {
        format!("{:+.1} %", (advice.litres / optimum.litres - 1.0) * 100.0)
    } else {
        "–".to_owned()
    };
    println!("  {name:<16}{}  {}  {over:>8}  {}", fared(advice, units), fared(optimum, units), fared(timer, units));
}

fn season(trial: &SeasonTrial, units: Units, working: bool) {
    println!(
        "\n{} to {}: rain {}, reference evapotranspiration {}",
        trial.from,
        trial.to,
        units.say(Quantity::Depth, trial.rain_mm),
        units.say(Quantity::Depth, trial.et0_mm)
    );
    println!("  water, days of stress     advice        least possible   advice over         timer");
    for lawn in &trial.lawns {
        row(&lawn.lawn.name, &lawn.advice, &lawn.optimum, &lawn.timer, units);
        if lawn.cut_short > 0 {
            println!("    {} runs did not fit whole into the watering hours", lawn.cut_short);
        }
        if working {
            println!(
                "    {} runs as advised, {} at least, {} by the timer; lost below the roots {}, {}, {}",
                lawn.advice.runs,
                lawn.optimum.runs,
                lawn.timer.runs,
                units.say(Quantity::Depth, lawn.advice.drained_mm),
                units.say(Quantity::Depth, lawn.optimum.drained_mm),
                units.say(Quantity::Depth, lawn.timer.drained_mm)
            );
            println!(
                "    with foresight to the next chance {}, {} days of stress",
                units.say(Quantity::Volume, lawn.foresight.litres),
                lawn.foresight.stress_days
            );
            for step in &lawn.working {
                println!("    {}", units.say_step(step));
            }
        }
    }
    row("all lawns", &trial.advice, &trial.optimum, &trial.timer, units);
    match trial.ratio {
        Some(r) if r <= RATIO_MARK && trial.advice.stress_days == 0 => {
            println!("  The mark is met: within 5 % of the least possible and no day of stress.");
        }
        Some(r) => {
            let over = (r - 1.0) * 100.0;
            println!(
                "  The mark (within 5 %, no day of stress) is missed: {over:+.1} %, {} days.",
                trial.advice.stress_days
            );
        }
        None => println!("  No water was needed."),
    }
    if trial.ratio.is_some_and(|r| r > RATIO_MARK) {
        println!(
            "  Had each morning known the weather to the next chance to water, the same rule would have come to {:+.1} %, {} days.",
            (trial.foresight.litres / trial.optimum.litres - 1.0) * 100.0,
            trial.foresight.stress_days
        );
    }
}

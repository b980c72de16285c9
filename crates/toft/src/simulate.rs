//! `toft simulate`: past seasons watered over again.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use jiff::civil::Date;
use serde_json::json;
use yard::advice::trial::compared::{Compared, Range, Way, compared};
use yard::advice::trial::{
    Fared, RATIO_MARK, SEASONS_MOST, SEASONS_USUAL, SeasonTrial, TRIAL_RULES, season_trial, seasons,
};
use yard::forecast::{ERROR_SOURCE, made};
use yard::{Quantity, Units, Weather};

use crate::args::{ForecastRule, SimulateArgs};
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
    let almanac = Almanac::embedded();
    if args.forecast == ForecastRule::Compare {
        let days = usize::from(args.days);
        let all: Vec<Compared> =
            spans.iter().filter_map(|span| compared(&yard, &weather, almanac, *span, days, args.seeds)).collect();
        return Ok(side_by_side(&all, &weather, yard.units(), args.json));
    }
    let read = |from, to| match args.forecast {
        ForecastRule::None => weather.clone().with_forecasts(Vec::new()),
        ForecastRule::Faultless => {
            weather.clone().with_forecasts(made::faultless(&weather, from, to, usize::from(args.days)))
        }
        ForecastRule::Kept | ForecastRule::Compare => weather.clone(),
    };
    let trials: Vec<SeasonTrial> =
        spans.iter().filter_map(|(a, b)| season_trial(&yard, &read(*a, *b), almanac, *a, *b)).collect();
    if args.json {
        println!("{}", json!({"rules": TRIAL_RULES, "mark": RATIO_MARK, "seasons": trials}));
        return Ok(ExitCode::SUCCESS);
    }
    if trials.is_empty() {
        no_season(&weather);
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

fn no_season(weather: &Weather) {
    println!("No season can be watered over again: it needs a zone that waters a lawn, and weather of a whole season.");
    println!("The record: {}.", weather.basis().phrase());
}

/// Every kind of forecast beside the others.
fn side_by_side(all: &[Compared], weather: &Weather, units: Units, as_json: bool) -> ExitCode {
    if as_json {
        let sources = [ERROR_SOURCE, made::SKILL_SOURCE];
        println!("{}", json!({"rules": TRIAL_RULES, "sources": sources, "mark": RATIO_MARK, "seasons": all}));
        return ExitCode::SUCCESS;
    }
    if all.is_empty() {
        no_season(weather);
        return ExitCode::SUCCESS;
    }
    for season in all {
        println!(
            "\n{} to {}: least possible {}, timer {}",
            season.from,
            season.to,
            fared(&season.optimum, units).trim_start(),
            fared(&season.timer, units).trim_start()
        );
        println!("  forecast                   water         over the least         days of stress     unavoidable");
        for way in &season.ways {
            way_row(way, units);
        }
    }
    println!("\nMade forecasts of the published skill: {ERROR_SOURCE}; {}.", made::SKILL_SOURCE);
    for rule in TRIAL_RULES {
        println!("{rule}");
    }
    ExitCode::SUCCESS
}

fn way_row(way: &Way, units: Units) {
    let share = |r: &Range, f: fn(f64) -> String| {
        if way.trials > 1 { format!("{} ({} … {})", f(r.mean), f(r.least), f(r.most)) } else { f(r.mean) }
    };
    println!(
        "  {:<22}{:>14}  {:<26}  {:<17}  {}",
        way.name,
        units.say(Quantity::Volume, way.litres.mean),
        share(&way.ratio, |r| format!("{:+.1} %", (r - 1.0) * 100.0)),
        share(&way.stress_days, |d| format!("{d:.1}")),
        share(&way.unavoidable_days, |d| format!("{d:.1}"))
    );
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

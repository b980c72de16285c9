//! `toft plant`: what is wrong with a hedge plant, a shrub or a young tree.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use serde_json::{Value, json};
use yard::advice::Scene;
use yard::diagnosis::plant_place::{plant_place, plant_season};
use yard::diagnosis::plants::{act_words, care_words, diagnose_plant};
use yard::diagnosis::{Seen, Verdict, WORTH_TELLING};
use yard::entry::{AreaFacts, Cover};
use yard::units::significant;

use crate::args::PlantArgs;
use crate::find::{next_json, pair, percent, says_json};
use crate::home;
use crate::problem::Problem;

/// Causes printed.
const SHOWN: usize = 5;

/// Sets plants out.
fn set_out(told: Option<&Path>, what: &str, args: &PlantArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let units = yard::fold(&home.entries, on).units();
    let mut typed = yard::form::Typed::new();
    for word in &args.findings {
        let (name, figure) = pair(word)?;
        typed.insert(name.to_owned(), figure.to_owned());
    }
    let answer = yard::planting::set_out(what, &typed, units)
        .map_err(|faults| Problem::Typed(faults.iter().map(|f| f.message.as_str()).collect::<Vec<_>>().join("\n")))?;
    if args.read.json {
        println!("{}", json!(answer));
        return Ok(ExitCode::SUCCESS);
    }
    println!("{}\n", answer.answer);
    let wide = answer.figures.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
    answer.figures.iter().for_each(|(name, figure)| println!("  {name:<wide$}  {figure}"));
    println!();
    answer.care.iter().for_each(|c| println!("  Caution: {c}"));
    if args.read.working {
        answer.working.iter().for_each(|s| println!("  {}", units.say_step(s)));
    }
    println!("  Source: {}.", answer.source);
    Ok(ExitCode::SUCCESS)
}

/// Runs it.
pub fn run(told: Option<&Path>, args: &PlantArgs) -> Result<ExitCode, Problem> {
    let tables = &Almanac::embedded().plants;
    let Some(plant) = &args.plant else {
        if args.read.json {
            let plants: Vec<Value> = tables.plants.iter().map(|p| json!({"plant": p.id, "name": p.name})).collect();
            println!("{}", json!({ "plants": plants }));
        } else {
            tables.plants.iter().for_each(|p| println!("{:<6} {}", p.id, p.name));
            println!();
            yard::planting::HELPERS.iter().for_each(|h| println!("{:<6} {}", h.key, h.title));
        }
        return Ok(ExitCode::SUCCESS);
    };
    if yard::planting::helper(plant).is_some() {
        return set_out(told, plant, args);
    }
    if tables.plant(plant).is_none() {
        let keys: Vec<String> = tables.plants.iter().map(|p| format!("{} ({})", p.id, p.name)).collect();
        return Err(Problem::Typed(format!("no plant “{plant}”; there are: {}", keys.join(", "))));
    }
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let mut seen: Vec<Seen> = Vec::new();
    for word in &args.findings {
        let (finding, answer) = pair(word)?;
        let row = tables.finding(finding).ok_or_else(|| {
            let keys: Vec<&str> = tables.findings.iter().map(|f| f.id.as_str()).collect();
            Problem::Typed(format!("no finding “{finding}”; there are: {}", keys.join(", ")))
        })?;
        if row.outcome(answer).is_none() {
            let answers: Vec<String> = row.outcomes.iter().map(|o| format!("{} ({})", o.id, o.name)).collect();
            let there = answers.join(", ");
            return Err(Problem::Typed(format!("{finding} has no answer “{answer}”; there are: {there}")));
        }
        seen.retain(|s| s.finding != finding);
        seen.push(Seen::new(finding, answer));
    }
    seen.extend(args.without.iter().map(|w| Seen::not_looked(w)));
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let known = weather.known_before(on, Almanac::embedded());
    let scene = Scene { yard: &yard, weather: &known, almanac: Almanac::embedded(), on };
    let stands = |a: &&AreaFacts| matches!(a.cover, Cover::Bed | Cover::Hedge);
    let area = match &args.area {
        Some(key) => Some(yard.area(key).filter(stands).ok_or_else(|| {
            let keys: Vec<&str> = yard.areas.iter().filter(stands).map(|a| a.key.as_str()).collect();
            Problem::Typed(format!("no bed or hedge “{key}”; there are: {}", keys.join(", ")))
        })?),
        None => None,
    };
    let (place, told_of) = plant_place(&scene, plant, area);
    let at = diagnose_plant(tables, &place, &seen).map_err(|e| Problem::Typed(e.to_string()))?;
    let likely = at.ranked.first().filter(|_| at.verdict == Verdict::Likely);
    if args.read.json {
        let ranked: Vec<Value> = at
            .ranked
            .iter()
            .map(|r| {
                let says = says_json(&r.says);
                let sources: Vec<&str> = tables.sources_of(r.cause).map(|s| s.words.as_str()).collect();
                json!({"cause": r.cause.id, "name": r.cause.name, "probability": r.probability, "says": says, "sources": sources})
            })
            .collect();
        let next = next_json(&at.next);
        let decision = likely.map(|top| {
            let care: Vec<&str> = top.cause.care.iter().map(|c| care_words(*c)).collect();
            json!({"act": top.cause.act, "advice": top.cause.advice, "when": top.cause.when, "care": care})
        });
        let verdict = if likely.is_some() { "likely" } else { "not-enough" };
        println!(
            "{}",
            json!({
                "on": on, "plant": plant, "area": args.area, "told": told_of, "verdict": verdict, "ranked": ranked, "next": next,
                "decision": decision, "beside": at.second.as_ref().map(|s| &s.cause.id),
            })
        );
        return Ok(ExitCode::SUCCESS);
    }
    println!("A sick plant: {}, {on}", Almanac::embedded().plant_name(plant));
    let words: Vec<String> = told_of.iter().map(|t| format!("{} ({})", t.what, t.from)).collect();
    println!("The yard tells: {}.\n", words.join("; "));
    for r in at.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING) {
        println!("  {:>5}  {}", percent(r.probability), r.cause.name);
        for (word, sign) in [("for", 1.0), ("against", -1.0)] {
            let said = r.says.iter().filter(|s| s.bans * sign > 0.05);
            let said: Vec<String> = said.map(|s| format!("{}: {}", s.finding.name, s.outcome.name)).collect();
            if !said.is_empty() {
                println!("         {word}: {}", said.join("; "));
            }
        }
        if args.read.working {
            for s in &r.says {
                println!("         {}: {} bans", s.finding.name, significant(s.bans, 2));
            }
            for (what, by) in plant_season(&place, r.cause) {
                println!("         {what}: × {}", significant(by, 2));
            }
        }
    }
    println!();
    match likely {
        Some(top) => {
            println!("  {}: {}.", act_words(top.cause.act), top.cause.name);
            top.cause.care.iter().for_each(|c| println!("  Caution: {}", care_words(*c)));
            println!("  {}", top.cause.advice);
            println!("  When: {}", top.cause.when);
        }
        None => println!("  Not enough to tell yet. Put nothing down on a guess."),
    }
    if let Some(second) = &at.second {
        let left: Vec<String> = second.left.iter().map(|(f, o)| format!("{}: {}", f.name, o.name)).collect();
        println!("\n  May be two things: {} beside it would explain {}.", second.cause.name, left.join("; "));
    }
    if let Some(next) = at.next.first() {
        let f = next.finding;
        println!("\n  Next look, {} min: {}. {}", significant(f.minutes, 2), f.name, f.how);
        f.outcomes.iter().for_each(|o| println!("    {}={:<12} {}", f.id, o.id, o.name));
    }
    if let (Some(area), false) = (&args.area, args.findings.is_empty()) {
        let held = likely
            .map(|t| format!(" cause={} probability={:.0}", t.cause.id, t.probability * 100.0))
            .unwrap_or_default();
        let found = args.findings.join(",");
        println!("\n  Write it down: toft log scouted area={area} plant={plant} findings={found}{held} seen=\"…\"");
    }
    println!("\nChances are trade judgement after the sources of each row, and of one cause at work.");
    Ok(ExitCode::SUCCESS)
}

//! `toft weeds`: which weed it is, which stage the weeds are in, and the control that fits.

use std::path::Path;
use std::process::ExitCode;

use almanac::{Almanac, Site, Weed};
use serde_json::{Value, json};
use yard::advice::Scene;
use yard::diagnosis::weeds::{WeedPlace, which_weed};
use yard::diagnosis::{Seen, Verdict, WORTH_TELLING};
use yard::entry::AreaFacts;
use yard::units::significant;
use yard::watch::StageState;
use yard::weeds::{Control, Fit, StageNow, areas_of, control, seen_on, site_of, weed_now, weeds_now};

use crate::args::WeedsArgs;
use crate::find::{next_json, pair, percent, says_json};
use crate::home;
use crate::problem::Problem;

/// Species printed.
const SHOWN: usize = 5;

/// Runs it.
pub fn run(told: Option<&Path>, args: &WeedsArgs) -> Result<ExitCode, Problem> {
    match args.words.first() {
        None => now(told, args),
        Some(word) if word.contains('=') => which(told, args),
        Some(word) => one(told, args, word),
    }
}

fn weed(key: &str) -> Result<&'static Weed, Problem> {
    let tables = &Almanac::embedded().weeds;
    tables.weed(key).ok_or_else(|| {
        let keys: Vec<&str> = tables.weeds.iter().map(|w| w.id.as_str()).collect();
        Problem::Typed(format!("no weed “{key}”; there are: {}", keys.join(", ")))
    })
}

/// When a stage is, in words.
fn when(s: &StageNow) -> String {
    let doubt = match (s.by_calendar, s.recalled) {
        (true, _) => " (by the calendar)",
        (_, true) => " (recalled figure)",
        _ => "",
    };
    let words = match (s.state, s.began, s.begins) {
        (StageState::Past, Some(day), _) => format!("over; began about {day}"),
        (_, Some(day), _) => format!("now, since about {day}"),
        (_, None, Some(w)) if w.early == w.late => format!("about {}", w.likely),
        (_, None, Some(w)) => format!("early {}, likely {}, late {}", w.early, w.likely, w.late),
        _ => "not within a year, in most years".to_owned(),
    };
    format!("{words}{doubt}")
}

fn now(told: Option<&Path>, args: &WeedsArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let units = yard.units();
    let found = weeds_now(&Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on });
    if args.read.json {
        println!("{}", json!(found));
        return Ok(ExitCode::SUCCESS);
    }
    println!("WEEDS, {on}\n\nWorth acting on now");
    let mut any = false;
    for w in &found.weeds {
        if let Some(worth) = &w.worth {
            any = true;
            let hint = if worth.hint { " A hint: look first." } else { "" };
            println!("• {}: {}{hint}", w.name, worth.words);
        }
    }
    if !any {
        println!("  nothing in particular");
    }
    println!("\nStages ({})", found.outlook);
    for w in &found.weeds {
        let seen = w.seen_on.map_or(String::new(), |d| format!(", written down {d}"));
        println!("• {} ({}, {}{seen})", w.name, w.life.word(), w.id);
        for s in w.stages.iter().filter(|s| s.state != StageState::Past) {
            println!("    {}: {}", s.stage.words(), when(s));
            if args.read.working {
                s.working.iter().for_each(|step| println!("      {}", units.say_step(step)));
                println!("      Source: {}", s.source);
            }
        }
    }
    println!();
    found.notes.iter().for_each(|n| println!("{n}"));
    println!("toft weeds WEED tells what fits on your ground; toft weeds form=grass begins to find out which it is.");
    Ok(ExitCode::SUCCESS)
}

fn which(told: Option<&Path>, args: &WeedsArgs) -> Result<ExitCode, Problem> {
    let tables = &Almanac::embedded().weeds;
    let mut seen: Vec<Seen> = Vec::new();
    for word in &args.words {
        let (finding, answer) = pair(word)?;
        let row = tables.finding(finding).ok_or_else(|| {
            let keys: Vec<&str> = tables.findings.iter().map(|f| f.id.as_str()).collect();
            Problem::Typed(format!("no mark “{finding}”; there are: {}", keys.join(", ")))
        })?;
        if row.outcome(answer).is_none() {
            let answers: Vec<String> = row.outcomes.iter().map(|o| format!("{} ({})", o.id, o.name)).collect();
            return Err(Problem::Typed(format!(
                "{finding} has no answer “{answer}”; there are: {}",
                answers.join(", ")
            )));
        }
        seen.retain(|s| s.finding != finding);
        seen.push(Seen::new(finding, answer));
    }
    seen.extend(args.without.iter().map(|w| Seen::not_looked(w)));
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let site = match &args.area {
        Some(key) => site_of(area(&yard, key)?),
        None => None,
    };
    let place = WeedPlace { month: Some(yard::weeds::north_month(&yard, on)), site };
    let at = which_weed(tables, &place, &seen).map_err(|e| Problem::Typed(e.to_string()))?;
    let likely = at.ranked.first().filter(|_| at.verdict == Verdict::Likely);
    if args.read.json {
        let ranked: Vec<Value> = at
            .ranked
            .iter()
            .map(|r| {
                let says = says_json(&r.says);
                json!({"weed": r.weed.id, "name": r.weed.name, "probability": r.probability, "says": says})
            })
            .collect();
        let next = next_json(&at.next);
        let verdict = if likely.is_some() { "likely" } else { "not-enough" };
        println!("{}", json!({"on": on, "verdict": verdict, "ranked": ranked, "next": next}));
        return Ok(ExitCode::SUCCESS);
    }
    println!("Which weed, {on}\n");
    for r in at.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING) {
        println!("  {:>5}  {} ({})", percent(r.probability), r.weed.name, r.weed.id);
        for (word, sign) in [("for", 1.0), ("against", -1.0)] {
            let said = r.says.iter().filter(|s| s.bans * sign > 0.05);
            let said: Vec<String> = said.map(|s| format!("{}: {}", s.finding.name, s.outcome.name)).collect();
            if !said.is_empty() {
                println!("         {word}: {}", said.join("; "));
            }
        }
    }
    match likely {
        Some(top) => println!(
            "\n  Most likely {}. {}\n  toft weeds {} tells what fits.",
            top.weed.name, top.weed.marks, top.weed.id
        ),
        None => println!("\n  Not enough to tell yet. Put nothing down on a guess."),
    }
    if let Some(next) = at.next.first() {
        let f = next.finding;
        println!("\n  Next look, {} min: {}. {}", significant(f.minutes, 2), f.name, f.how);
        f.outcomes.iter().for_each(|o| println!("    {}={:<12} {}", f.id, o.id, o.name));
    }
    println!(
        "\nChances are judgement after the sources of each row; a plant that is not in the table is not thought of."
    );
    Ok(ExitCode::SUCCESS)
}

fn area<'a>(yard: &'a yard::Yard, key: &str) -> Result<&'a AreaFacts, Problem> {
    yard.area(key).ok_or_else(|| {
        let keys: Vec<&str> = yard.areas.iter().map(|a| a.key.as_str()).collect();
        Problem::Typed(format!("no area “{key}”; there are: {}", keys.join(", ")))
    })
}

fn one(told: Option<&Path>, args: &WeedsArgs, key: &str) -> Result<ExitCode, Problem> {
    let weed = weed(key)?;
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let almanac = Almanac::embedded();
    let known = weather.known_before(on, almanac);
    let scene = Scene { yard: &yard, weather: &known, almanac, on };
    let outlook = known.outlook(scene.yesterday(), 366);
    let row = weed_now(&scene, &outlook, weed);
    let areas = match &args.area {
        Some(key) => vec![area(&yard, key)?],
        None => {
            // Where it was seen; else one lawn and one bed stand for the rest.
            let all = areas_of(&scene, weed);
            let here: Vec<&AreaFacts> =
                all.iter().copied().filter(|a| seen_on(&scene, weed, Some(&a.key)).is_some()).collect();
            let first = |site: &Site| all.iter().copied().find(|a| site_of(a) == Some(*site));
            if here.is_empty() { weed.sites.iter().filter_map(first).collect() } else { here }
        }
    };
    let fits = areas.iter().map(|a| control(&scene, &outlook, weed, a, args.share));
    let fits = fits.collect::<Result<Vec<Control>, _>>().map_err(|e| Problem::Typed(e.to_string()))?;
    if args.read.json {
        let sources: Vec<&str> = almanac.weeds.sources_of(weed).map(|s| s.words.as_str()).collect();
        println!(
            "{}",
            json!({"on": on, "weed": row, "marks": weed.marks, "tells": weed.tells, "best": weed.best, "control": fits, "sources": sources})
        );
        return Ok(ExitCode::SUCCESS);
    }
    let units = yard.units();
    let site = if weed.sites.first() == Some(&Site::Bed) { "beds" } else { "lawns" };
    println!("{} ({}), {}, {} weed of {site}", weed.name, weed.latin, weed.life.word(), weed.form.word());
    println!("  Marks: {}", weed.marks);
    println!("  It tells of: {}", weed.tells);
    for s in &row.stages {
        println!("  {}: {}", s.stage.words(), when(s));
        if args.read.working {
            s.working.iter().for_each(|step| println!("      {}", units.say_step(step)));
            println!("      Source: {}", s.source);
        }
    }
    println!("  Best time: {}", weed.best);
    if let Some(worth) = &row.worth {
        println!("  Now: {}{}", worth.words, if worth.hint { " A hint: look first." } else { "" });
    }
    for c in &fits {
        println!("\n{}", c.area.name);
        c.notes.iter().for_each(|n| println!("  {n}"));
        for way in &c.ways {
            let fit = match (way.fit, way.from) {
                (Fit::Now, None) => "now".to_owned(),
                (Fit::Now, Some(day)) | (Fit::Later, Some(day)) => format!("from {day}"),
                (Fit::Later, None) => "later".to_owned(),
                (Fit::Unfit, _) => "not here now".to_owned(),
            };
            println!("  • {} [{fit}]", way.title);
            way.words.iter().chain(&way.amounts).for_each(|w| println!("      {w}"));
            for f in &way.findings {
                println!("      {}: {}", f.level.word(), f.message);
            }
            if !way.caution.is_empty() {
                println!("      Caution: {}", way.caution);
            }
            if args.read.working {
                way.working.iter().for_each(|step| println!("      {}", units.say_step(step)));
                println!("      Source: {}{}", way.source, if way.recalled { " (recalled)" } else { "" });
            }
        }
    }
    if args.area.is_none() {
        println!("\n--area tells of another area, --share of how much of it.");
    }
    Ok(ExitCode::SUCCESS)
}

//! Reading commands: what to do now, one area, the water, the daybook.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use jiff::civil::Date;
use serde_json::json;
use yard::advice::Scene;
use yard::advice::feeding::{nitrogen_given, nitrogen_plan};
use yard::advice::water_day::clock;
use yard::shed::soil_verdict;
use yard::{Advice, Entry, Weather, Yard, in_force};

use crate::args::{AreaArgs, DaybookArgs, NowArgs, ReadArgs};
use crate::home::{self, Home};
use crate::paper;
use crate::problem::Problem;

fn advice(told: Option<&Path>, on: Option<&str>) -> Result<(Home, Yard, Advice), Problem> {
    advice_and_weather(told, on).map(|(home, facts, advice, _)| (home, facts, advice))
}

fn advice_and_weather(told: Option<&Path>, on: Option<&str>) -> Result<(Home, Yard, Advice, Weather), Problem> {
    let home = home::open(told)?;
    let on = home::day(on, &home.entries)?;
    let facts = home.yard(on);
    let weather = home.weather(&facts)?;
    let advice = yard::advise(&facts, &weather, Almanac::embedded(), on);
    Ok((home, facts, advice, weather))
}

fn print_json(value: &impl serde::Serialize) -> Result<ExitCode, Problem> {
    let text = serde_json::to_string(value).map_err(|e| Problem::machine("writing JSON", e))?;
    println!("{text}");
    Ok(ExitCode::SUCCESS)
}

/// `toft now`.
pub fn now(told: Option<&Path>, args: &NowArgs) -> Result<ExitCode, Problem> {
    let (_, _, mut advice) = advice(told, args.read.on.as_deref())?;
    if let Some(job) = &args.job {
        let word = job.to_lowercase();
        advice.items.retain(|i| i.job.word().to_lowercase().contains(&word));
    }
    if args.read.json {
        return print_json(&advice);
    }
    paper::head(&advice);
    let items: Vec<_> = advice.items.iter().collect();
    paper::items(&items, advice.units, args.read.working);
    paper::foot(&advice);
    Ok(ExitCode::SUCCESS)
}

/// `toft area`.
pub fn area(told: Option<&Path>, args: &AreaArgs) -> Result<ExitCode, Problem> {
    let (home, facts, advice, weather) = advice_and_weather(told, args.read.on.as_deref())?;
    let known: Vec<&str> = facts.areas.iter().map(|a| a.key.as_str()).collect();
    let Some(key) = &args.key else {
        if args.read.json {
            return print_json(&facts.areas);
        }
        for area in &facts.areas {
            let size = facts.units().say(yard::Quantity::Area, area.size_m2);
            println!("{:<18} {} ({}, {size})", area.key, area.name, area.cover.word());
        }
        return Ok(ExitCode::SUCCESS);
    };
    let Some(area) = facts.area(key) else {
        return Err(Problem::Typed(format!("no area “{key}”; the areas are: {}", known.join(", "))));
    };
    let water = advice.areas.iter().find(|w| &w.key == key);
    let sowing = advice.sowing.iter().find(|w| area.grass.as_deref() == Some(&w.grass));
    let items: Vec<_> = advice.items.iter().filter(|i| i.places.iter().any(|p| &p.key == key)).collect();
    let history: Vec<&Entry> = in_force(&home.entries)
        .into_iter()
        .filter(|e| e.happened_on <= advice.on && e.body.areas().contains(&key.as_str()))
        .collect();
    let scene = Scene { yard: &facts, weather: &weather, almanac: Almanac::embedded(), on: advice.on };
    let grass = area.grass.as_deref().and_then(|g| scene.almanac.grass(g));
    let plan = grass.and_then(|g| nitrogen_plan(&scene, g, area.care));
    let year = scene.season_start(1, 1);
    let given = nitrogen_given(&facts, key, year, advice.on);
    let soil = soil_verdict(&facts, scene.almanac, area, advice.on);
    if args.read.json {
        return print_json(&json!({
            "on": advice.on, "area": area, "water": water, "sowing": sowing, "items": items, "history": history,
            "nitrogen": {"since": year, "plan": plan, "given_g_m2": given}, "soil_test": soil,
        }));
    }
    let u = advice.units;
    println!("{} ({}, {})", area.name, area.cover.word(), u.say(yard::Quantity::Area, area.size_m2));
    if let Some(water) = water {
        paper::soil_line(water, u);
        if args.read.working {
            for step in &water.working {
                println!("    {}", u.say_step(step));
            }
        }
    }
    if let Some(w) = sowing {
        let when = if w.late(advice.on) {
            format!("likely over since {}, in late years until {}", w.closes.likely, w.closes.late)
        } else {
            format!("{} to {}, likely", w.opens.likely, w.closes.likely)
        };
        println!("  Sowing window of {}: {when} ({})", w.name, w.words);
    }
    if let Some(plan) = plan {
        let sum = u.say(yard::Quantity::Dose, given.iter().map(|(_, g)| g).sum());
        println!("  Nitrogen since {year}: {sum} of {} ({})", u.say(yard::Quantity::Dose, plan.year_g_m2), plan.source);
    }
    if let Some(soil) = &soil {
        paper::soil_test(soil, u);
    }
    paper::items(&items, u, args.read.working);
    println!("\nDAYBOOK");
    for entry in history.iter().rev().take(20) {
        println!("  {}", entry_line(entry, &facts));
    }
    paper::foot(&advice);
    Ok(ExitCode::SUCCESS)
}

/// `toft water`.
pub fn water(told: Option<&Path>, args: &ReadArgs) -> Result<ExitCode, Problem> {
    let (_, _, advice) = advice(told, args.on.as_deref())?;
    if args.json {
        return print_json(&json!({
            "on": advice.on, "zones": advice.zones, "areas": advice.areas,
            "water_day": advice.water_day, "footing": advice.footing,
        }));
    }
    paper::head(&advice);
    println!();
    if let Some(day) = &advice.water_day {
        println!("Today's runs, {:.0} minutes from first to last:", day.span_minutes);
        for run in &day.runs {
            println!("  {:>5}  {}  {:.0} min", clock(run.start_minute), run.name, run.minutes);
        }
        if !day.left_over.is_empty() {
            println!(
                "  Caution: not all fits into the allowed hours; for the next allowed day: {}.",
                day.left_over.join(", ")
            );
        }
        if day.hours_assumed {
            println!(
                "  Assumed: done by {}; tell your hours with: toft log water-rules from=… until=…",
                clock(day.end_minute)
            );
        }
        println!();
    }
    for zone in &advice.zones {
        paper::zone(zone, advice.units, args.working);
    }
    paper::foot(&advice);
    Ok(ExitCode::SUCCESS)
}

/// `toft daybook`.
pub fn daybook(told: Option<&Path>, args: &DaybookArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let facts = home.yard(Date::MAX);
    let from = args.from.as_deref().map(home::date).transpose()?;
    let to = args.to.as_deref().map(home::date).transpose()?;
    if let Some(area) = &args.area
        && facts.area(area).is_none()
    {
        return Err(Problem::Typed(format!("no area “{area}”")));
    }
    if let Some(kind) = &args.kind
        && yard::form::form(kind).is_none()
        && kind != "planned"
    {
        let kinds: Vec<&str> = yard::form::FORMS.iter().map(|f| f.kind).collect();
        return Err(Problem::Typed(format!("no kind of entry “{kind}”; there are: {}", kinds.join(", "))));
    }
    let shown: Vec<&Entry> = in_force(&home.entries)
        .into_iter()
        .filter(|e| from.is_none_or(|d| e.happened_on >= d) && to.is_none_or(|d| e.happened_on <= d))
        .filter(|e| args.kind.as_deref().is_none_or(|k| e.body.kind() == k))
        .filter(|e| args.area.as_deref().is_none_or(|a| e.body.areas().contains(&a)))
        .collect();
    if args.json {
        return print_json(&shown);
    }
    for entry in shown.iter().rev() {
        println!("{}", entry_line(entry, &facts));
    }
    let cost: f64 = shown.iter().filter_map(|e| e.body.cost()).sum();
    if cost > 0.0 {
        let sign = facts.facts.as_ref().map_or("$", |f| f.currency.as_str());
        println!("{} entries; spent {sign}{cost:.2}", shown.len());
    } else {
        println!("{} entries", shown.len());
    }
    Ok(ExitCode::SUCCESS)
}

fn entry_line(entry: &Entry, facts: &Yard) -> String {
    format!("{}  {}  {}  [{}]", entry.happened_on, entry.body.kind(), yard::words::line(&entry.body, facts), entry.id)
}

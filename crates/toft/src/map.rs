//! `toft map`: the drawn ground, read and written.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use mapfiles::{MapFormat, usual_choice};
use serde_json::json;
use yard::survey::{area_sun, between, change_words, faults, water_of, zone_coverage, zone_heads};
use yard::{Quantity, Yard, prepare_bodies};

use crate::args::{MapArgs, MapBetweenArgs, MapCommand, MapReadArgs, MapWriteArgs, MapZoneArgs, ReadArgs};
use crate::home::{self, Home};
use crate::problem::Problem;

/// Changes of heads that are told.
const CHANGES_SHOWN: usize = 5;

/// `toft map …`.
pub fn run(told: Option<&Path>, args: &MapArgs) -> Result<ExitCode, Problem> {
    match &args.command {
        None => overview(told, &args.read),
        Some(MapCommand::Zone(args)) => zone(told, args),
        Some(MapCommand::Sun(args)) => sun(told, args),
        Some(MapCommand::Between(args)) => then_and_now(told, args),
        Some(MapCommand::Read(args)) => read(told, args),
        Some(MapCommand::Write(args)) => write(told, args),
        Some(MapCommand::Sheet(args)) => sheet(told, args),
    }
}

fn yard_of(told: Option<&Path>, on: Option<&str>) -> Result<(Home, Yard, jiff::civil::Date), Problem> {
    let home = home::open(told)?;
    let on = home::day(on, &home.entries)?;
    let yard = home.yard(on);
    Ok((home, yard, on))
}

fn edge_m(yard: &Yard, key: &str) -> f64 {
    yard.pieces(key).iter().filter_map(|p| p.size().ok()).map(|s| (s.edge + s.holes_edge).get()).sum()
}

fn overview(told: Option<&Path>, args: &ReadArgs) -> Result<ExitCode, Problem> {
    let (_, yard, on) = yard_of(told, args.on.as_deref())?;
    let units = yard.units();
    let found = faults(&yard);
    if args.json {
        let areas: Vec<_> = yard
            .areas
            .iter()
            .map(|a| {
                json!({"key": a.key, "name": a.name, "size_m2": a.size_m2, "edge_m": edge_m(&yard, &a.key),
                            "pieces": yard.pieces(&a.key)})
            })
            .collect();
        let again: Vec<_> = found.iter().map(|f| json!({"words": f.words, "at": f.at})).collect();
        println!(
            "{}",
            json!({"on": on, "origin": yard.origin, "areas": areas, "things": yard.things, "look_at_again": again})
        );
        return Ok(ExitCode::SUCCESS);
    }
    println!("AREAS");
    for a in &yard.areas {
        let edge = edge_m(&yard, &a.key);
        let edge =
            if edge > 0.0 { format!("edge {}", units.say(Quantity::Length, edge)) } else { "not drawn".to_owned() };
        println!("  {:<18} {:>14}  {edge}", a.name, units.say(Quantity::Area, a.size_m2));
    }
    println!("\nZONES");
    for zone in &yard.zones {
        let heads = zone_heads(&yard, &zone.key).len();
        match zone_coverage(&yard, &zone.key) {
            Some(c) => println!(
                "  {:<18} {heads} heads, {}, evenness {:.0} %",
                zone.name,
                units.say(Quantity::Rate, c.mean.get()),
                c.du_lq.get() * 100.0
            ),
            None => println!("  {:<18} {heads} heads on the map", zone.name),
        }
    }
    if !found.is_empty() {
        println!("\nLOOK AT AGAIN");
        for fault in &found {
            println!("  {}", fault.words);
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn zone(told: Option<&Path>, args: &MapZoneArgs) -> Result<ExitCode, Problem> {
    let (_, yard, on) = yard_of(told, args.read.on.as_deref())?;
    let units = yard.units();
    let Some(zone) = yard.zone(&args.key) else {
        let known: Vec<&str> = yard.zones.iter().map(|z| z.key.as_str()).collect();
        return Err(Problem::Typed(format!("no zone “{}”; the zones are: {}", args.key, known.join(", "))));
    };
    let Some(water) = water_of(&yard, zone, CHANGES_SHOWN) else {
        let heads = zone_heads(&yard, &zone.key).len();
        let ground = if zone.areas.iter().any(|a| !yard.pieces(a).is_empty()) { "drawn" } else { "not drawn" };
        let words = format!(
            "{}: {heads} heads on the map, its ground is {ground}: there is no picture of its water",
            zone.name
        );
        return Err(Problem::Typed(words));
    };
    let c = &water.map.coverage;
    let name = |i: usize| water.heads.get(i).map_or("", String::as_str);
    if args.read.json {
        let changes: Vec<_> = water
            .changes
            .iter()
            .map(|h| {
                json!({"head": name(h.head), "change": change_words(&h.change, units),
                            "du_lq_before": h.before.du_lq, "du_lq_after": h.after.du_lq,
                            "off_target_before": h.before.off_target, "off_target_after": h.after.off_target})
            })
            .collect();
        println!(
            "{}",
            json!({"on": on, "zone": zone.key, "mean_mm_h": c.mean, "du_lq": c.du_lq, "cu": c.cu, "off_target": c.off_target,
                   "dry_cells": c.dry_cells, "flooded_cells": water.map.flooded_cells(), "changes": changes})
        );
        return Ok(ExitCode::SUCCESS);
    }
    println!("{}: {} on the mean, {} heads", zone.name, units.say(Quantity::Rate, c.mean.get()), water.heads.len());
    println!(
        "  evenness of the lowest quarter {:.0} %, Christiansen {:.0} %, beside the ground {:.0} %, dry {:.0} %, flooded {:.0} %",
        c.du_lq.get() * 100.0,
        c.cu.get() * 100.0,
        c.off_target.get() * 100.0,
        c.dry_cells.get() * 100.0,
        water.map.flooded_cells().get() * 100.0
    );
    for h in &water.changes {
        println!(
            "  {}: {}: evenness {:.0} to {:.0} %",
            name(h.head),
            change_words(&h.change, units),
            h.before.du_lq.get() * 100.0,
            h.after.du_lq.get() * 100.0
        );
    }
    println!("  Worked out from the heads drawn, without wind and slope; cans tell what really falls.");
    Ok(ExitCode::SUCCESS)
}

fn sun(told: Option<&Path>, args: &ReadArgs) -> Result<ExitCode, Problem> {
    let (_, yard, _) = yard_of(told, args.on.as_deref())?;
    let rows: Vec<(&str, [f64; 12])> =
        yard.areas.iter().filter_map(|a| Some((a.name.as_str(), area_sun(&yard, &a.key)?))).collect();
    if args.json {
        let areas: Vec<_> = rows.iter().map(|(name, hours)| json!({"area": name, "hours": hours})).collect();
        println!("{}", json!(areas));
        return Ok(ExitCode::SUCCESS);
    }
    if rows.is_empty() {
        return Err(Problem::Typed("nothing is drawn yet".to_owned()));
    }
    println!("{:<18}  Jan  Feb  Mar  Apr  May  Jun  Jul  Aug  Sep  Oct  Nov  Dec", "Hours of sun");
    for (name, hours) in rows {
        let cells: Vec<String> = hours.iter().map(|h| format!("{h:4.1}")).collect();
        println!("{name:<18} {}", cells.join(" "));
    }
    println!("On a cloudless day in the middle of each month, with the buildings, trees and hedges on the map.");
    Ok(ExitCode::SUCCESS)
}

fn then_and_now(told: Option<&Path>, args: &MapBetweenArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let from = home::day(Some(&args.from), &home.entries)?;
    let to = home::day(Some(&args.to), &home.entries)?;
    let rows = between(&home.entries, from, to);
    if args.json {
        let list: Vec<_> = rows
            .iter()
            .map(|c| {
                json!({"key": c.key, "before_m2": c.before_m2, "after_m2": c.after_m2,
                            "gained_m2": c.gained_m2, "lost_m2": c.lost_m2})
            })
            .collect();
        println!("{}", json!(list));
        return Ok(ExitCode::SUCCESS);
    }
    let units = home.yard(to).units();
    let say = |m2: Option<f64>| m2.map_or_else(|| "–".to_owned(), |v| units.say(Quantity::Area, v));
    println!("{:<18} {:>14} {:>14} {:>14} {:>14}", "", from, to, "gained", "lost");
    for c in rows {
        let (before, after) = (say(c.before_m2), say(c.after_m2));
        println!("{:<18} {before:>14} {after:>14} {:>14} {:>14}", c.name, say(c.gained_m2), say(c.lost_m2));
    }
    Ok(ExitCode::SUCCESS)
}

fn format_of(file: &Path) -> Result<MapFormat, Problem> {
    let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    MapFormat::of_name(&name)
        .ok_or_else(|| Problem::Typed(format!("“{name}” ends in neither .geojson, .json, .kml nor .kmz")))
}

fn read(told: Option<&Path>, args: &MapReadArgs) -> Result<ExitCode, Problem> {
    let mut home = home::open(told)?;
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let bytes = std::fs::read(&args.file).map_err(|e| Problem::machine(args.file.display(), e))?;
    let read = mapfiles::read(format_of(&args.file)?, &bytes, &yard)
        .map_err(|e| Problem::Typed(format!("{e}\nNothing was stored.")))?;
    for problem in &read.problems {
        println!("Note: {problem}");
    }
    let bodies =
        read.bodies(&yard, |_, shape| usual_choice(&yard, shape)).map_err(|e| Problem::Typed(e.to_string()))?;
    for body in &bodies {
        println!("{}", yard::words::line(body, &yard));
    }
    let left: Vec<&str> = read
        .shapes
        .iter()
        .filter(|s| usual_choice(&yard, s) == mapfiles::Choice::LeaveOut)
        .map(|s| s.name.as_str())
        .collect();
    if !left.is_empty() {
        println!(
            "Left out, no area of this name: {}. Make the area first, or choose on the page of map files.",
            left.join(", ")
        );
    }
    if args.try_only || bodies.is_empty() {
        println!("Nothing was stored.");
        return Ok(ExitCode::SUCCESS);
    }
    let today = home::today_of(&home.entries);
    let made =
        prepare_bodies(&home.entries, Almanac::embedded(), bodies, on, || web::stamp(today)).map_err(|faults| {
            let said: Vec<String> = faults.into_iter().map(|f| f.message).collect();
            Problem::Typed(format!("{}\nNothing was stored.", said.join("\n")))
        })?;
    home.ledger.append_all(&made)?;
    println!("Stored: {} entries, counting from {on}.", made.len());
    Ok(ExitCode::SUCCESS)
}

fn write(told: Option<&Path>, args: &MapWriteArgs) -> Result<ExitCode, Problem> {
    let (_, yard, _) = yard_of(told, args.on.as_deref())?;
    let text = mapfiles::write(format_of(&args.file)?, &yard).map_err(|e| Problem::Typed(e.to_string()))?;
    std::fs::write(&args.file, text).map_err(|e| Problem::machine(args.file.display(), e))?;
    println!("Written: {}", args.file.display());
    Ok(ExitCode::SUCCESS)
}

fn sheet(told: Option<&Path>, args: &MapWriteArgs) -> Result<ExitCode, Problem> {
    let (_, yard, on) = yard_of(told, args.on.as_deref())?;
    let ending = args.file.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let nothing = || Problem::Typed("nothing is drawn yet: there is no sheet to write".to_owned());
    let bytes = match ending.as_str() {
        "svg" => web::survey_sheet_svg(&yard, on).ok_or_else(nothing)?.into_bytes(),
        "pdf" => web::survey_sheet_pdf(&yard, on).ok_or_else(nothing)?,
        _ => return Err(Problem::Typed(format!("“{}” ends in neither .svg nor .pdf", args.file.display()))),
    };
    std::fs::write(&args.file, bytes).map_err(|e| Problem::machine(args.file.display(), e))?;
    println!("Written: {}", args.file.display());
    Ok(ExitCode::SUCCESS)
}

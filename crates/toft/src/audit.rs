//! `toft audit`: where to set the cans of a zone, and what was measured.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use serde_json::json;
use yard::Quantity;
use yard::audit::{CANS_LEAST, COMPARED_MM, audits_of, compare, layout, takes_cans};

use crate::args::AuditArgs;
use crate::home;
use crate::problem::Problem;

/// `toft audit`.
pub fn run(told: Option<&Path>, args: &AuditArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let u = yard.units();
    let Some(key) = &args.zone else {
        if args.read.json {
            println!("{}", json!(yard.zones.iter().map(|z| &z.key).collect::<Vec<_>>()));
            return Ok(ExitCode::SUCCESS);
        }
        for zone in &yard.zones {
            let last =
                audits_of(&yard, &zone.key).first().map_or("not measured".to_owned(), |a| format!("measured {}", a.on));
            println!("{:<18} {}, {last}", zone.key, zone.name);
        }
        return Ok(ExitCode::SUCCESS);
    };
    let Some(zone) = yard.zone(key) else {
        let known: Vec<&str> = yard.zones.iter().map(|z| z.key.as_str()).collect();
        return Err(Problem::Typed(format!("no zone “{key}”; the zones are: {}", known.join(", "))));
    };
    let set = layout(&yard, zone, Almanac::embedded().sprinkler(&zone.sprinkler));
    let audits = audits_of(&yard, key);
    let change = match &audits[..] {
        [after, before, ..] => compare(&yard, before, after, COMPARED_MM),
        _ => None,
    };
    if args.read.json {
        println!("{}", json!({"on": on, "zone": key, "layout": set, "audits": audits, "compared": change}));
        return Ok(ExitCode::SUCCESS);
    }
    let length = |m: f64| u.say(Quantity::Length, m);
    println!("{}", zone.name);
    if takes_cans(zone) {
        println!(
            "  set out {} equal cans, {} apart in an even grid; at least {CANS_LEAST} for evenness, on a calm morning",
            set.cans,
            length(set.step_m)
        );
        for (i, [x, y]) in set.at.iter().enumerate() {
            println!("    can {:>3}: {} east, {} north", i + 1, length(*x), length(*y));
        }
    } else {
        println!("  drip: read the meter before and after, or catch one emitter in a cup and count them");
    }
    println!("  then: toft log audited zone={key} minutes=… opening=… cans=\"…\"");
    for a in &audits {
        println!("\n{}", a.on);
        for (name, rate) in [("by cans", a.cans_mm_h), ("by meter", a.meter_mm_h), ("by bucket", a.bucket_mm_h)] {
            if let Some(rate) = rate {
                println!("  {name:<10} {}", u.say(Quantity::Rate, rate));
            }
        }
        if let (Some(du), Some(cu), Some(m)) = (a.du_lq, a.cu, a.multiplier) {
            println!(
                "  evenness of the lowest quarter {:.0} %, uniformity {:.0} %, run longer by × {m:.2}",
                du * 100.0,
                cu * 100.0
            );
        }
        let dry: Vec<String> = (1..).zip(&a.dry).filter(|(_, d)| **d).map(|(i, _): (usize, _)| i.to_string()).collect();
        if !dry.is_empty() {
            println!("  driest cans: {}", dry.join(", "));
        }
        for f in &a.findings {
            println!("  Mind: {f}");
        }
        if args.read.working {
            for step in &a.working {
                println!("    {}", u.say_step(step));
            }
        }
    }
    if let Some(c) = &change {
        let say = |l: f64| u.say(Quantity::Volume, l);
        println!(
            "\nA run for {} of need: {} now, {} as of {}",
            u.say(Quantity::Depth, c.need_mm),
            say(c.litres[1]),
            say(c.litres[0]),
            c.before
        );
    }
    Ok(ExitCode::SUCCESS)
}

//! `toft water-cost`: the meter beside the zones, and watering in money.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use jiff::civil::Date;
use serde_json::json;
use yard::Quantity;
use yard::advice::Scene;
use yard::advice::trial::{season_trial, seasons};
use yard::water_cost::{season_money, water_cost};
use yard::words::money;

use crate::args::ReadArgs;
use crate::home;
use crate::problem::Problem;

/// `toft water-cost`.
pub fn run(told: Option<&Path>, args: &ReadArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let scene = Scene { yard: &yard, weather: &weather, almanac: Almanac::embedded(), on };
    let cost = water_cost(&scene);
    let last = seasons(&weather, Date::MIN, on).pop().filter(|_| cost.tariff.is_some());
    let trial = last.and_then(|(a, b)| season_trial(&yard, &weather, scene.almanac, a, b));
    let season = trial.and_then(|t| season_money(&scene, &t, cost.house_l_a_day));
    if args.json {
        println!("{}", json!({"on": on, "water_cost": cost, "last_season": season}));
        return Ok(ExitCode::SUCCESS);
    }
    let u = yard.units();
    let say = |l: f64| u.say(Quantity::Volume, l);
    if cost.spans.is_empty() {
        println!("Two meter readings tell what ran between them: toft log meter-read reading=… unit=gal");
    }
    if cost.tariff.is_none() {
        println!(
            "No prices are told yet: toft log tariff steps=\"10 = 2.40; more = 6.15\" unit=kgal base=… period=quarter"
        );
    }
    for s in &cost.spans {
        println!(
            "\n{} to {}, {}: {} metered, {} written down",
            s.from,
            s.to,
            s.meter.words(),
            say(s.metered_l),
            say(s.counted_l)
        );
        println!("  {}", s.words);
        if let Some(c) = &s.cost {
            println!(
                "  bill {}, {} of it for watering; the next litre falls in {}",
                money(&yard, c.total),
                money(&yard, c.watering),
                c.step
            );
            if args.working {
                for step in &c.working {
                    println!("    {}", u.say_step(step));
                }
            }
        }
        for z in &s.zones {
            println!(
                "    {:<20} {:>14}{}",
                z.name,
                say(z.litres),
                if z.assumed { "  (usual rate: set out cans)" } else { "" }
            );
        }
    }
    if let Some(m) = &season {
        println!("\n{} to {}, your own weather, prices of today", m.from, m.to);
        for (name, way) in [
            ("as advised", m.advice),
            ("fixed timer", m.timer),
            ("long timer", m.long_timer),
            ("least possible", m.optimum),
        ] {
            println!(
                "  {name:<16} {:>14} {:>12} {:>4} days of stress",
                say(way.litres),
                money(&yard, way.cost),
                way.stress_days
            );
        }
        println!("  dearest step reached as advised: {}", m.step);
        for a in &m.assumed {
            println!("  Assumed: {a}");
        }
        if args.working {
            for step in &m.working {
                println!("    {}", u.say_step(step));
            }
        }
    }
    Ok(ExitCode::SUCCESS)
}

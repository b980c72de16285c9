//! `toft shed` and `toft costs`.

use std::path::Path;
use std::process::ExitCode;

use serde_json::json;
use yard::Quantity;
use yard::shed::{costs_csv, planned_need, shelf_words, shelves};
use yard::words::money;

use crate::args::{CostArgs, ReadArgs};
use crate::home;
use crate::problem::Problem;

/// `toft shed`.
pub fn shelf(told: Option<&Path>, args: &ReadArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let need = planned_need(&yard);
    if args.json {
        let rows: Vec<_> = shelves(&yard)
            .iter()
            .map(|s| {
                let known = s.counted_on.is_some() || s.bought_kg > 0.0;
                json!({"product": s.product, "left_kg": known.then_some(s.left_kg), "counted_on": s.counted_on, "bought_kg": s.bought_kg,
                       "used_kg": s.used_kg, "price_per_kg": s.price_per_kg, "planned_kg": need.get(&s.product)})
            })
            .collect();
        println!("{}", json!({"on": on, "shelf": rows}));
        return Ok(ExitCode::SUCCESS);
    }
    if yard.products.is_empty() {
        println!("Nothing is on the shelf yet. Add a product: toft log product name=…");
    }
    for s in shelves(&yard) {
        let Some(product) = yard.product(&s.product) else { continue };
        let known = s.counted_on.is_some() || s.bought_kg > 0.0;
        let left = match s.left_kg {
            _ if !known => "not counted".to_owned(),
            kg if kg < 0.0 => "more was put down than is known to have been bought: count it".to_owned(),
            kg => yard.units().say(product.amount_quantity(), kg),
        };
        println!("{:<26} {left}", product.name);
        if let Some(need) = need.get(&s.product) {
            let amount = yard.units().say(product.amount_quantity(), *need);
            let shelf = shelf_words(&yard, product, *need).map(|w| format!("; {w}")).unwrap_or_default();
            println!("    plans ahead take {amount}{shelf}");
        }
    }
    for s in &yard.spreaders {
        let product = yard.product(&s.fact.product).map_or(s.fact.product.as_str(), |p| &p.name);
        println!("{:<26} with {product}, {} trials, {}", s.fact.spreader, s.fact.trials.len(), s.on);
    }
    for s in &yard.sprayers {
        println!("{:<26} tank {}, tried {}", s.fact.sprayer, yard.units().say(Quantity::Volume, s.fact.tank_l), s.on);
    }
    Ok(ExitCode::SUCCESS)
}

/// `toft costs`.
pub fn costs(told: Option<&Path>, args: &CostArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let to = home::day(args.to.as_deref(), &home.entries)?;
    let from = match &args.from {
        Some(_) => home::day(args.from.as_deref(), &home.entries)?,
        None => home.entries.iter().map(|e| e.happened_on).min().unwrap_or(to),
    };
    let yard = home.yard(to);
    let report = yard::shed::costs(&yard, from, to);
    if args.csv {
        print!("{}", costs_csv(&yard, &report));
        return Ok(ExitCode::SUCCESS);
    }
    if args.json {
        let lines: Vec<_> = report
            .lines
            .iter()
            .map(|l| json!({"on": l.on, "job": l.job, "area": l.area, "what": l.what, "amount": l.amount, "entry": l.entry}))
            .collect();
        println!(
            "{}",
            json!({"from": from, "to": to, "spent_by_year": report.spent_by_year, "by_job": report.by_job,
                   "by_area": report.by_area, "without_price": report.without_price, "lines": lines})
        );
        return Ok(ExitCode::SUCCESS);
    }
    println!("COSTS from {from} to {to}");
    println!("\nSpent, by year");
    for (year, sum) in &report.spent_by_year {
        println!("  {year:<24} {:>12}", money(&yard, *sum));
    }
    println!("\nUsed, by job");
    for (job, sum) in &report.by_job {
        println!("  {job:<24} {:>12}", money(&yard, *sum));
    }
    println!("\nUsed, by area");
    for (key, sum) in &report.by_area {
        let name = if key.is_empty() { "no one area" } else { yard.area_name(key) };
        println!("  {name:<24} {:>12}", money(&yard, *sum));
    }
    if report.without_price > 0 {
        println!("\n{} applications are of products without a known price.", report.without_price);
    }
    Ok(ExitCode::SUCCESS)
}

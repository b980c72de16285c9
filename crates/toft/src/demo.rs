//! `toft demo`: the invented yard over its real weather.

use std::process::ExitCode;

use almanac::Almanac;
use feeds::CsvHints;
use jiff::Timestamp;
use jiff::civil::{Date, date};
use ledger::Ledger;
use web::{Site, Today};

use crate::args::DemoArgs;
use crate::problem::Problem;
use crate::{home, serve};

/// The demo's first day.
const START: Date = date(2018, 5, 3);
const DAYBOOK: &str = include_str!("../../../demo/daybook.txt");
const WEATHER: &str = include_str!("../../../demo/champion-ne-daily.csv");

/// `toft demo`.
pub fn run(args: &DemoArgs) -> Result<ExitCode, Problem> {
    let today = args.on.as_deref().map_or(Ok(START), home::date)?;
    if let Some(path) = &args.write {
        let mut ledger = home::create(path)?;
        fill(&mut ledger)?;
        println!("The demo yard is in {}. Try: toft --yard {} now --on {today}", path.display(), path.display());
        return Ok(ExitCode::SUCCESS);
    }
    let mut ledger = Ledger::in_memory()?;
    fill(&mut ledger)?;
    let site = Site::new(ledger, Today::Stepped(today)).map_err(|e| Problem::Machine(e.to_string()))?;
    serve::open(site, args.port, |address| {
        println!("The demo yard is open at {address}  (Ctrl-C closes it)");
        println!("Its today is {today}; step it on from any page. Nothing you write there is kept.");
        println!("Your own yard: toft new, then toft serve   (from this folder: cargo run --release -- new)");
    })
}

/// Puts the demo's entries and weather into an empty ledger.
fn fill(ledger: &mut Ledger) -> Result<(), Problem> {
    let entries = yard::scenario::read(DAYBOOK, "demo", Almanac::embedded()).map_err(|faults| {
        Problem::Machine(faults.iter().map(|f| format!("demo/daybook.txt {f}")).collect::<Vec<_>>().join("\n"))
    })?;
    ledger.append_all(&entries)?;
    let import = feeds::read_any("champion-ne-daily.csv", WEATHER.as_bytes(), &CsvHints::default())
        .map_err(|e| Problem::Machine(e.to_string()))?;
    ledger.import_weather(&import.record, Timestamp::UNIX_EPOCH)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The demo holds what it promises: ten drawn areas of about 2,000 m², seven zones, two grasses, a fresh seeding, a plan that the
    /// checks stop, and a map on which one head was forgotten when an edge was moved.
    #[test]
    fn the_demo_yard_is_whole() {
        let mut ledger = Ledger::in_memory().expect("memory");
        fill(&mut ledger).expect("the demo's own text");
        let entries = ledger.entries().expect("entries");
        let yard = yard::fold(&entries, START);
        assert_eq!((yard.areas.len(), yard.zones.len()), (10, 7));
        assert!(yard.areas.iter().all(|a| !yard.pieces(&a.key).is_empty()), "every area is drawn");
        let again = yard::survey::faults(&yard);
        assert!(matches!(&again[..], [one] if one.words.contains("Head 46")), "{again:?}");
        let size: f64 = yard.areas.iter().map(|a| a.size_m2).sum();
        assert!((1_900.0..2_100.0).contains(&size), "{size} m²");
        let days = ledger.weather_days().expect("weather");
        let place = yard.facts.as_ref().expect("yard").place;
        let weather = yard::Weather::build(place, &days, Almanac::embedded()).expect("weather");
        let advice = yard::advise(&yard, &weather, Almanac::embedded(), START);
        let plan = advice.items.iter().find(|i| i.id.starts_with("plan:")).expect("a plan");
        assert!(plan.stopped(), "sowing a fortnight after a preventer must be stopped: {plan:?}");
    }
}

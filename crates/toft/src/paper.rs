//! Answers for a person to read in a terminal.

use yard::advice::{Advice, AreaWater, Finding, Item, Urgency, ZoneState, ZoneWater};
use yard::shed::SoilVerdict;
use yard::{Quantity, Units};

/// The units in words.
pub fn units_words(units: Units) -> &'static str {
    match units {
        Units::UsCustomary => "US customary units",
        Units::Metric => "metric units",
    }
}

/// One finding.
pub fn finding(finding: &Finding, _units: Units) {
    let clear = finding.clear_on.map_or_else(String::new, |d| format!(" Clear on {d}."));
    println!("  {}: {} [{}; {}]{clear}", finding.level.word(), finding.message, finding.rule, finding.source);
}

/// The head of an answer: the day and what the figures rest on.
pub fn head(advice: &Advice) {
    let u = advice.units;
    let r = &advice.recent;
    println!(
        "{}: yesterday {} to {}, soil about {}; rain of seven days {}, reference water use {}.",
        advice.on,
        u.say(Quantity::Temperature, r.tmin_c),
        u.say(Quantity::Temperature, r.tmax_c),
        u.say(Quantity::Temperature, r.soil_c),
        u.say(Quantity::Depth, r.rain_7d_mm),
        u.say(Quantity::Depth, r.et0_7d_mm),
    );
}

/// The foot of an answer.
pub fn foot(advice: &Advice) {
    println!("\nFigures rest on {}; days ahead: {}.", advice.footing.words, advice.footing.outlook);
    for note in &advice.footing.notes {
        println!("{note}");
    }
}

/// Items under their headings.
pub fn items(items: &[&Item], units: Units, working: bool) {
    let mut heading: Option<Urgency> = None;
    for item in items {
        if heading != Some(item.urgency) {
            println!("\n{}", item.urgency.word().to_uppercase());
            heading = Some(item.urgency);
        }
        one(item, units, working);
    }
    if items.is_empty() {
        println!("\nNothing is due.");
    }
}

fn one(item: &Item, units: Units, working: bool) {
    println!("• {}", item.title);
    for amount in &item.amounts {
        println!("    {amount}");
    }
    match (item.by, item.window) {
        (Some(by), Some(w)) => {
            println!("    by {by} ({}: {} to {}, likely {})", item.window_of, w.early, w.late, w.likely)
        }
        (Some(by), None) => println!("    by {by}"),
        _ => {}
    }
    println!("    {}", item.why);
    for f in &item.findings {
        print!("  ");
        finding(f, units);
    }
    for caution in &item.cautions {
        println!("    Caution: {caution}");
    }
    assumed(&item.assumed, working);
    if working {
        for step in &item.working {
            println!("      {}", units.say_step(step));
        }
    }
}

/// What was assumed: all of it with the working, else the first and a count.
fn assumed(list: &[String], working: bool) {
    let shown = if working { list.len() } else { 1 };
    for line in list.iter().take(shown) {
        println!("    Assumed: {line}");
    }
    if list.len() > shown {
        println!("    Assumed: {} more figures; --working names them", list.len() - shown);
    }
}

/// One zone.
pub fn zone(zone: &ZoneWater, units: Units, working: bool) {
    let state = match zone.state {
        ZoneState::RunToday => format!("run today: {}", yard::advice::water::run_words(zone)),
        ZoneState::SeedToday => format!("new seed: {}", yard::advice::water::run_words(zone)),
        ZoneState::Wait => zone.water_on.map_or_else(|| "nothing due".to_owned(), |d| format!("next about {d}")),
        ZoneState::Rest => "at rest".to_owned(),
        ZoneState::Unknown => "cannot be told".to_owned(),
    };
    println!("• {} — {state}", zone.name);
    if zone.minutes > 0.0 {
        println!(
            "    {} to put back, {} a run at {}",
            units.say(Quantity::Depth, zone.need_mm),
            units.say(Quantity::Volume, zone.litres),
            units.say(Quantity::Rate, zone.rate_mm_h)
        );
    }
    println!("    {}", zone.why);
    if let Some(seed) = &zone.seed {
        let [first, _, last] = seed.needs;
        let say = |v| units.say(Quantity::DegreeDays, v);
        println!("    warmth {}; first up at {}, all at {}", say(seed.heat), say(first), say(last));
        println!("    tell what you see: toft log scouted area={} seen=… seedlings=first-up", seed.area.key);
    }
    if let (Some(w), None) = (zone.window, &zone.seed) {
        println!("    stress without water: {} / {} / {} (early, likely, late)", w.early, w.likely, w.late);
    }
    if let Some(caution) = &zone.caution {
        println!("    Caution: {caution}");
    }
    assumed(&zone.assumed, working);
    if working {
        for step in &zone.working {
            println!("      {}", units.say_step(step));
        }
    }
}

/// Soil water of an area in a line.
pub fn soil_line(area: &AreaWater, units: Units) {
    println!(
        "  {} of {} used; stress begins at {} ({:.0} % of the water is left)",
        units.say(Quantity::Depth, area.depletion_mm),
        units.say(Quantity::Depth, area.taw_mm),
        units.say(Quantity::Depth, area.raw_mm),
        area.left() * 100.0
    );
}

/// What the last soil test of an area asks for.
pub fn soil_test(soil: &SoilVerdict, units: Units) {
    let dose = |g| units.say(Quantity::Dose, g);
    let typical = |is: bool| if is { " (typical)" } else { "" };
    let ph = soil.ph.map_or_else(String::new, |ph| format!(", pH {ph}"));
    println!(
        "  Soil test of {}{ph}{}",
        soil.sampled,
        if soil.old { ": older than three years, test again" } else { "" }
    );
    if let Some(a) = &soil.amend {
        let doses = if a.doses > 1 {
            format!(", in {} doses {} months apart", a.doses, a.months_between)
        } else {
            String::new()
        };
        println!(
            "    {} of {} to reach pH {}{}{doses} ({})",
            dose(a.total_g_m2),
            a.name,
            a.goal_ph,
            typical(a.typical),
            a.source
        );
    }
    for n in &soil.needs {
        println!(
            "    {} of {} a year, {} at a time{} ({})",
            dose(n.year_g_m2),
            n.name,
            dose(n.each_g_m2),
            typical(n.typical),
            n.source
        );
    }
    for note in &soil.notes {
        println!("    {note}");
    }
}

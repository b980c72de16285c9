//! The plan for a patch, in text.

use yard::diagnosis::Plan;
use yard::diagnosis::plan::{Mend, Treatment, When};
use yard::units::Units;

/// Prints a plan under the causes.
pub fn print(plan: &Plan, units: Units, working: bool) {
    println!("  {}.", plan.heading());
    for line in &plan.cautions {
        println!("  Caution: {line}");
    }
    println!("  {}", plan.line);
    let says = if plan.vigour.says.is_empty() { String::new() } else { format!(" ({})", plan.vigour.says.join("; ")) };
    println!("  The grass stands {}{says}.", plan.vigour.vigour.word());
    if !plan.treatments.is_empty() || !plan.also.is_empty() {
        println!(
            "\n  {}",
            if plan.only_every_year {
                "Where it comes every year:"
            } else {
                "What fits, by the label on the container:"
            }
        );
    }
    plan.treatments.iter().for_each(treatment);
    plan.also.iter().for_each(|also| println!("  - {also}"));
    if !plan.care.is_empty() {
        println!("\n  Care:");
    }
    for (i, step) in plan.care.iter().enumerate() {
        println!("  {}. {}", i + 1, step.words);
        step.more.iter().for_each(|more| println!("     {more}"));
    }
    if let Some(mend) = &plan.mend {
        mended(mend);
    }
    println!("\n  Look again on {} (in {} days): {}.", plan.again, plan.again_days, plan.look_for);
    for meant in &plan.to_plan {
        let fields: Vec<String> = meant.entry.fields.iter().map(|(k, v)| format!("{k}=\"{v}\"")).collect();
        println!("  To plan it: toft log {} --on {} {}", meant.entry.kind, meant.on, fields.join(" "));
    }
    if working {
        println!();
        plan.working.iter().for_each(|step| println!("  {}", units.say_step(step)));
    }
    println!("  Source of the care: {}.", plan.source);
}

fn window(when: &When) -> String {
    let recalled = if when.recalled { ", recalled" } else { "" };
    if when.open {
        format!(
            "works now, until about {} ({} to {}); {}{recalled}",
            when.until.likely, when.until.early, when.until.late, when.words
        )
    } else {
        format!(
            "from about {} ({} to {}) to about {}; {}{recalled}",
            when.from.likely, when.from.early, when.from.late, when.until.likely, when.words
        )
    }
}

fn treatment(t: &Treatment) {
    println!("  - {} ({}){}", t.name, t.group, if t.recalled { ", recalled" } else { "" });
    if let Some(when) = &t.when {
        println!("      {}", window(when));
    }
    for row in &t.on_shelf {
        println!("      {}: {}", row.name, row.amounts.join("; "));
        if let Some(water) = &row.water_in {
            println!("      wash in: {water}");
        }
        for f in &row.findings {
            println!("      {}: {} [{}]", f.level.word(), f.message, f.source);
        }
        if let Some(day) = row.clear {
            println!("      first day nothing stops it: {day}");
        }
    }
    if let Some(buy) = &t.buy {
        println!("      {buy}");
    }
}

fn mended(mend: &Mend) {
    println!("\n  The ground: {}", mend.why);
    mend.amounts.iter().for_each(|amount| println!("      {amount}"));
    if let Some(w) = &mend.window {
        println!("      sow from about {} to about {}: {}", w.opens.likely, w.closes.likely, w.words);
    }
    for f in &mend.findings {
        println!("      {}: {} [{}]", f.level.word(), f.message, f.source);
    }
    if let Some(day) = mend.clear {
        println!("      first day nothing in the ground forbids seed: {day}");
    }
}

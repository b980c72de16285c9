//! `toft look` and `toft fault`: what is wrong with a patch of lawn, and with the sprinkler system.

use std::path::Path;
use std::process::ExitCode;

use almanac::{Almanac, Cause};
use serde_json::{Value, json};
use yard::advice::Scene;
use yard::diagnosis::counting::{count_seen, counts_of, cut};
use yard::diagnosis::{Look, NextLook, Patch, Says, Seen, WORTH_TELLING, look};
use yard::entry::Cover;
use yard::form;
use yard::units::{Quantity, Units, significant};

use crate::args::{FaultArgs, LookArgs};
use crate::home;
use crate::plan;
use crate::problem::Problem;

/// Causes printed.
const SHOWN: usize = 5;

/// Splits "tug=rolls" into its two words.
pub fn pair(word: &str) -> Result<(&str, &str), Problem> {
    word.split_once('=').ok_or_else(|| Problem::Typed(format!("“{word}” is not finding=answer")))
}

/// A share in per cent.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// `toft look`.
pub fn patch(told: Option<&Path>, args: &LookArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let on = home::day(args.read.on.as_deref(), &home.entries)?;
    let yard = home.yard(on);
    let weather = home.weather(&yard)?;
    let almanac = Almanac::embedded();
    let known = weather.known_before(on, almanac);
    let scene = Scene { yard: &yard, weather: &known, almanac, on };
    let Some(area) = yard.area(&args.area) else {
        let keys: Vec<&str> = yard.areas.iter().filter(|a| a.cover == Cover::Turf).map(|a| a.key.as_str()).collect();
        return Err(Problem::Typed(format!("no area “{}”; the lawns are: {}", args.area, keys.join(", "))));
    };
    if area.cover != Cover::Turf {
        return Err(Problem::Typed(format!("{} is a {}; this is for lawns", area.name, area.cover.word())));
    }
    let (mut seen, mut count) = (Vec::new(), None);
    for word in &args.findings {
        let (finding, answer) = pair(word)?;
        let row = almanac.finding(finding).ok_or_else(|| {
            let keys: Vec<&str> = almanac.findings.iter().map(|f| f.id.as_str()).collect();
            Problem::Typed(format!("no finding “{finding}”; there are: {}", keys.join(", ")))
        })?;
        // A count stands for the answer it comes to.
        let answer = if answer.chars().next().is_some_and(|c| c.is_ascii_digit()) {
            let ground = cut(&args.cut).ok_or_else(|| {
                let cuts: Vec<&str> = yard::diagnosis::counting::CUTS.iter().map(|c| c.id).collect();
                Problem::Typed(format!("no cut “{}”; there are: {}", args.cut, cuts.join(", ")))
            })?;
            let counts = counts_of(answer).map_err(Problem::Typed)?;
            let counted = count_seen(almanac, row, &counts, ground, args.pest.as_deref())
                .map_err(|e| Problem::Typed(format!("{finding}: {e}")))?;
            count = Some(counted.count);
            counted.outcome
        } else if row.outcome(answer).is_none() {
            let answers: Vec<String> = row.outcomes.iter().map(|o| format!("{} ({})", o.id, o.name)).collect();
            return Err(Problem::Typed(format!(
                "{finding} has no answer “{answer}”; there are: {}",
                answers.join(", ")
            )));
        } else {
            answer.to_owned()
        };
        seen.retain(|s: &Seen| s.finding != finding);
        seen.push(Seen::new(finding, &answer));
    }
    seen.extend(args.without.iter().map(|w| Seen::not_looked(w)));
    let measured = |field: &str, raw: Option<&str>, quantity: Quantity| {
        let read = |raw: &str| {
            form::measure(raw, quantity, yard.units()).map_err(|e| Problem::Typed(format!("--{field}: {e}")))
        };
        raw.map(read).transpose()
    };
    let patch = Patch {
        size_m2: measured("size", args.size.as_deref(), Quantity::Area)?,
        gap_m: measured("gap", args.gap.as_deref(), Quantity::Depth)?.map(|mm| mm / 1000.0),
        share_pct: args.share,
    };
    let look = look(&scene, area, &seen, count.as_ref(), &patch).map_err(|e| Problem::Typed(e.to_string()))?;
    if args.read.json {
        println!("{}", json!({"on": on, "area": area.key, "look": patch_json(&look)}));
        return Ok(ExitCode::SUCCESS);
    }
    println!("A patch on {}, {on}", area.name);
    let told: Vec<String> = look.told.iter().map(|t| format!("{} ({})", t.what, t.from)).collect();
    println!("The yard tells: {}.", told.join("; "));
    print_patch(&look, yard.units(), args.read.working);
    Ok(ExitCode::SUCCESS)
}

fn print_patch(look: &Look<'_>, units: Units, working: bool) {
    println!();
    for r in look.diagnosis.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING) {
        println!("  {:>5}  {}", percent(r.probability), r.cause.name);
        let list = |sign: f64| -> Vec<String> {
            let said = r.says.iter().filter(|s| s.bans * sign > 0.05);
            said.map(|s| format!("{}: {}", s.finding.name, s.outcome.name)).collect()
        };
        for (word, says) in [("for", list(1.0)), ("against", list(-1.0))] {
            if !says.is_empty() {
                println!("         {word}: {}", says.join("; "));
            }
        }
        if working {
            for s in &r.says {
                println!("         {}: {} bans", s.finding.name, significant(s.bans, 2));
            }
        }
    }
    println!();
    match &look.plan {
        Some(p) => plan::print(p, units, working),
        None => println!("  Not enough to tell yet. Put nothing down on a guess."),
    }
    if let Some(second) = &look.diagnosis.second {
        let left: Vec<String> = second.left.iter().map(|(f, o)| format!("{}: {}", f.name, o.name)).collect();
        println!("\n  May be two things: {} beside it would explain {}.", second.cause.name, left.join("; "));
    }
    if let Some(next) = look.diagnosis.next.first() {
        let f = next.finding;
        println!("\n  Next look, {} min: {}. {}", significant(f.minutes, 2), f.name, f.how);
        for o in &f.outcomes {
            println!("    {}={:<12} {}", f.id, o.id, o.name);
        }
    }
    println!("\nChances are trade judgement after the sources of each row, and of one cause at work.");
}

fn sources(cause: &Cause) -> Vec<String> {
    Almanac::embedded().sources_of(cause).map(|s| s.words.clone()).collect()
}

/// What was seen, and what each answer says of a cause.
pub(crate) fn says_json(says: &[Says<'_>]) -> Vec<Value> {
    says.iter().map(|s| json!({"finding": s.finding.id, "outcome": s.outcome.id, "bans": s.bans})).collect()
}

/// The next looks, the one that tells most first.
pub(crate) fn next_json(next: &[NextLook<'_>]) -> Vec<Value> {
    let one = |n: &NextLook<'_>| json!({"finding": n.finding.id, "bits": n.bits, "bits_per_minute": n.bits_per_minute});
    next.iter().map(one).collect()
}

fn patch_json(look: &Look<'_>) -> Value {
    let ranked: Vec<Value> = look
        .diagnosis
        .ranked
        .iter()
        .map(|r| {
            let says = says_json(&r.says);
            json!({"cause": r.cause.id, "name": r.cause.name, "probability": r.probability, "says": says, "sources": sources(r.cause)})
        })
        .collect();
    let next = next_json(&look.diagnosis.next);
    json!({
        "told": look.told, "ranked": ranked, "next": next, "plan": look.plan,
        "verdict": if look.plan.is_some() { "likely" } else { "not-enough" },
        "beside": look.diagnosis.second.as_ref().map(|s| &s.cause.id),
    })
}

/// `toft fault`.
pub fn fault(args: &FaultArgs) -> Result<ExitCode, Problem> {
    use yard::faultfinding::{Finding, Verdict, standing};
    let faults = &Almanac::embedded().faults;
    let Some(symptom) = &args.symptom else {
        for s in &faults.symptoms {
            println!("{:<16} {}", s.id, s.name);
        }
        return Ok(ExitCode::SUCCESS);
    };
    let found = args
        .findings
        .iter()
        .map(|w| pair(w).map(|(test, outcome)| Finding { test: test.to_owned(), outcome: outcome.to_owned() }))
        .collect::<Result<Vec<_>, _>>()?;
    let at = standing(faults, symptom, &found, &args.without).map_err(|e| Problem::Typed(e.to_string()))?;
    let verdict = match at.verdict {
        Verdict::Found => "found",
        Verdict::NothingMoreToLearn => "nothing-more-to-learn",
        Verdict::GoOn => "go-on",
    };
    if args.json {
        let ranked: Vec<Value> = at
            .ranked
            .iter()
            .map(|r| {
                let c = r.cause;
                json!({
                    "cause": c.id, "name": c.name, "probability": r.probability, "parts": c.parts, "steps": c.steps,
                    "safety": c.safety, "source": c.source,
                })
            })
            .collect();
        let next: Vec<Value> = at
            .next
            .iter()
            .map(|w| json!({"test": w.test.id, "bits": w.bits, "bits_per_minute": w.bits_per_minute}))
            .collect();
        println!("{}", json!({"symptom": at.symptom.id, "verdict": verdict, "ranked": ranked, "next": next}));
        return Ok(ExitCode::SUCCESS);
    }
    println!("{}", at.symptom.name);
    for r in at.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING) {
        println!("  {:>5}  {}", percent(r.probability), r.cause.name);
    }
    match (at.verdict, at.ranked.first(), at.next.first()) {
        (Verdict::GoOn, _, Some(next)) => {
            let t = next.test;
            println!("\n  Next, {} min: {}", significant(t.minutes, 2), t.name);
            t.safety.iter().for_each(|line| println!("    Caution: {line}"));
            t.how.iter().for_each(|line| println!("    {line}"));
            t.outcomes.iter().for_each(|o| println!("    {}={:<16} {}", t.id, o.id, o.name));
        }
        (_, Some(top), _) => {
            println!("\n  To mend: {}", top.cause.name);
            top.cause.safety.iter().for_each(|line| println!("    Caution: {line}"));
            for (i, step) in top.cause.steps.iter().enumerate() {
                println!("    {}. {step}", i + 1);
            }
            if !top.cause.parts.is_empty() {
                println!("    Parts: {}", top.cause.parts.join(", "));
            }
            println!("    Then write it down: toft log repaired zone=… done=…");
        }
        _ => {}
    }
    println!(
        "\nOnly the 24 V side is yours to open, power off first; mains and supply pipe are for the licensed trade."
    );
    Ok(ExitCode::SUCCESS)
}

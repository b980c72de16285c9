//! `toft log`, `correct`, `withdraw`, `check`: what the person writes down or means to do.

use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use jiff::civil::Date;
use serde_json::json;
use yard::advice::plans::{check_work, instead, work_words};
use yard::advice::{Finding, Scene};
use yard::entry::{Body, Work};
use yard::form::{Ask, FORMS, Typed, form, typed_from};
use yard::{Entry, Units, in_force, prepare};

use crate::args::{CheckArgs, CheckWork, CorrectArgs, LogArgs, WithdrawArgs};
use crate::home::{self, Home};
use crate::paper;
use crate::problem::Problem;

/// `field=value …` as the shell hands it over.
fn typed(fields: &[String]) -> Result<Typed, Problem> {
    let mut out = Typed::new();
    for field in fields {
        let Some((name, value)) = field.split_once('=') else {
            return Err(Problem::Typed(format!("“{field}” is not field=value; quote values of several words")));
        };
        if out.insert(name.trim().to_owned(), value.to_owned()).is_some() {
            return Err(Problem::Typed(format!("{name} is told twice")));
        }
    }
    Ok(out)
}

/// `toft log`.
pub fn run(told: Option<&Path>, args: &LogArgs) -> Result<ExitCode, Problem> {
    let Some(kind) = &args.kind else {
        list_kinds(Units::default());
        return Ok(ExitCode::SUCCESS);
    };
    let mut home = home::open(told)?;
    if form(kind).is_some() && args.fields.is_empty() {
        list_fields(kind, home.yard(Date::MAX).units());
        return Err(Problem::Typed("nothing stored: tell the fields".to_owned()));
    }
    let today = home::today_of(&home.entries);
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let typed = typed(&args.fields)?;
    let mends = args.mends.as_deref().map(|id| find(&home.entries, id)).transpose()?.map(|e| e.id);
    let entry = prepare(&home.entries, Almanac::embedded(), kind, &typed, on, mends, &home::stamp(today))
        .map_err(Problem::Faults)?;
    home.ledger.append(&entry)?;
    let findings = findings_of(&mut home, &entry, today)?;
    if args.json {
        println!("{}", json!({"entry": entry, "findings": findings}));
    } else {
        saved(&entry, &findings, home.yard(today).units());
    }
    Ok(ExitCode::SUCCESS)
}

/// What the label checks say of an entry just stored.
fn findings_of(home: &mut Home, entry: &Entry, today: Date) -> Result<Vec<Finding>, Problem> {
    let work = match &entry.body {
        Body::Applied(a) => Work::Apply(a.clone()),
        Body::Seeded(s) => Work::Sow(s.clone()),
        Body::Planned(p) => p.work.clone(),
        _ => return Ok(Vec::new()),
    };
    home.entries.push(entry.clone());
    let facts = home.yard(today);
    let weather = home.weather(&facts)?;
    let scene = Scene { yard: &facts, weather: &weather, almanac: Almanac::embedded(), on: today };
    Ok(check_work(&scene, &work, entry.happened_on, Some(&entry.id)).0)
}

fn saved(entry: &Entry, findings: &[Finding], units: Units) {
    println!("Saved: {} on {}. Take it back with: toft withdraw {}", entry.body.kind(), entry.happened_on, entry.id);
    for finding in findings {
        paper::finding(finding, units);
    }
}

fn list_kinds(units: Units) {
    println!("Kinds of entry (toft log KIND field=value …; * = must be told):");
    for spec in FORMS {
        let fields: Vec<String> =
            spec.fields.iter().map(|f| format!("{}{}", f.name, if f.required { "*" } else { "" })).collect();
        println!("  {:<12} {}", spec.kind, fields.join(" "));
    }
    println!("Ask for one kind's fields with: toft log KIND   (numbers in {})", paper::units_words(units));
}

fn list_fields(kind: &str, units: Units) {
    let Some(spec) = form(kind) else { return };
    println!("{} — toft log {} field=value …", spec.title, spec.kind);
    for field in spec.fields {
        let ask = match field.ask {
            Ask::Measure(q) => units.symbol(q).to_owned(),
            Ask::Number(unit) => unit.to_owned(),
            Ask::Area => "an area's key".to_owned(),
            Ask::Areas => "areas' keys, with commas".to_owned(),
            Ask::Zone => "a zone's key".to_owned(),
            Ask::Product => "a product's key".to_owned(),
            Ask::Choice(words) => words.join(" | "),
            Ask::Tick => "yes".to_owned(),
            Ask::Clock => "like 4:30".to_owned(),
            Ask::Weekdays => "like mon,thu".to_owned(),
            Ask::Actives => "like “prodiamine 0.48”".to_owned(),
            Ask::Grass => keys(Almanac::embedded().grasses.iter().map(|g| g.id.as_str())),
            Ask::Soil => keys(Almanac::embedded().textures.iter().map(|t| t.id.as_str())),
            Ask::Sprinkler => keys(Almanac::embedded().sprinklers.iter().map(|s| s.id.as_str())),
            Ask::Line | Ask::Text => "words".to_owned(),
        };
        let star = if field.required { "*" } else { " " };
        let help = if field.help.is_empty() { String::new() } else { format!(" ({})", field.help) };
        println!(" {star}{:<18} {}: {ask}{help}", field.name, field.label);
    }
    if !spec.caution.is_empty() {
        println!("Caution: {}", spec.caution);
    }
}

fn keys<'a>(list: impl Iterator<Item = &'a str>) -> String {
    list.collect::<Vec<_>>().join(" | ")
}

/// The entry whose id is, or ends with, what was typed.
fn find(entries: &[Entry], id: &str) -> Result<Entry, Problem> {
    let live = in_force(entries);
    let wanted = id.to_uppercase();
    let found: Vec<&&Entry> = live.iter().filter(|e| e.id.to_uppercase().ends_with(&wanted)).collect();
    match found.as_slice() {
        [one] => Ok((**one).clone()),
        [] if entries.iter().any(|e| e.id.to_uppercase().ends_with(&wanted)) => Err(Problem::Typed(format!(
            "entry {id} was already corrected or withdrawn; `toft daybook` shows the ones in force"
        ))),
        [] => Err(Problem::Typed(format!("there is no entry {id}; `toft daybook` shows them with their ids"))),
        many => Err(Problem::Typed(format!("{} entries end with {id}; type more letters of the id", many.len()))),
    }
}

/// `toft correct`.
pub fn correct(told: Option<&Path>, args: &CorrectArgs) -> Result<ExitCode, Problem> {
    let mut home = home::open(told)?;
    let today = home::today_of(&home.entries);
    let old = find(&home.entries, &args.id)?;
    let Some((kind, mut fields)) = typed_from(&old.body, &home.yard(Date::MAX)) else {
        return Err(Problem::Typed("a withdrawal is not corrected; log the entry again".to_owned()));
    };
    for (name, value) in typed(&args.fields)? {
        fields.insert(name, value);
    }
    let on = args.on.as_deref().map_or(Ok(old.happened_on), home::date)?;
    let entry =
        prepare(&home.entries, Almanac::embedded(), kind, &fields, on, Some(old.id.clone()), &home::stamp(today))
            .map_err(Problem::Faults)?;
    home.ledger.append(&entry)?;
    println!("Saved: {} of {} put right; the first wording stays in the file.", kind, old.happened_on);
    Ok(ExitCode::SUCCESS)
}

/// `toft withdraw`.
pub fn withdraw(told: Option<&Path>, args: &WithdrawArgs) -> Result<ExitCode, Problem> {
    let mut home = home::open(told)?;
    let today = home::today_of(&home.entries);
    let old = find(&home.entries, &args.id)?;
    let entry =
        yard::prepare::withdraw(&home.entries, &old.id, &args.why, &home::stamp(today)).map_err(Problem::Faults)?;
    home.ledger.append(&entry)?;
    println!("Taken back: {} of {}. It stays in the file, out of force.", old.body.kind(), old.happened_on);
    Ok(ExitCode::SUCCESS)
}

/// `toft check`.
pub fn check(told: Option<&Path>, args: &CheckArgs) -> Result<ExitCode, Problem> {
    let home = home::open(told)?;
    let today = home::today_of(&home.entries);
    let on = home::day(args.on.as_deref(), &home.entries)?;
    let kind = match args.work {
        CheckWork::Apply => "plan-apply",
        CheckWork::Sow => "plan-sow",
    };
    let entry =
        prepare(&home.entries, Almanac::embedded(), kind, &typed(&args.fields)?, on, None, &home::stamp(today.min(on)))
            .map_err(Problem::Faults)?;
    let Body::Planned(plan) = &entry.body else {
        return Err(Problem::Machine("the plan was not read as a plan".to_owned()));
    };
    // Looking back is allowed: the check is then made as of that day.
    let seen_from = today.min(on);
    let facts = home.yard(seen_from);
    let weather = home.weather(&facts)?;
    let scene = Scene { yard: &facts, weather: &weather, almanac: Almanac::embedded(), on: seen_from };
    let (findings, clear) = check_work(&scene, &plan.work, on, None);
    let other_ways = instead(&scene, &plan.work, &findings);
    if args.json {
        println!(
            "{}",
            json!({"on": on, "work": plan.work, "findings": findings, "clear_on": clear, "instead": other_ways})
        );
        return Ok(ExitCode::SUCCESS);
    }
    println!("{} on {on}:", work_words(&scene, &plan.work));
    if findings.is_empty() {
        println!("  nothing known stands in the way.");
    }
    for finding in &findings {
        paper::finding(finding, facts.units());
    }
    if let Some(day) = clear {
        println!("  First day nothing stops it: {day}");
    }
    for line in other_ways {
        println!("  {line}");
    }
    println!("  The product's own label and local law govern.");
    Ok(ExitCode::SUCCESS)
}

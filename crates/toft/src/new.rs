//! `toft new`: a few questions with sensible defaults, or all of it by flags.

use std::io::{BufRead, IsTerminal, Write, stdin, stdout};
use std::path::Path;
use std::process::ExitCode;

use almanac::Almanac;
use yard::form::Typed;
use yard::{Entry, prepare};

use crate::args::{NewArgs, UnitsArg};
use crate::home;
use crate::problem::Problem;

/// What is asked for, and what stands when nothing is answered.
struct Questions<'a> {
    ask: bool,
    lines: Box<dyn Iterator<Item = std::io::Result<String>> + 'a>,
}

impl Questions<'_> {
    /// The flag's value, the answer, or the default.
    fn or_ask(&mut self, flag: Option<String>, question: &str, default: &str) -> Result<String, Problem> {
        if let Some(value) = flag {
            return Ok(value);
        }
        if !self.ask {
            return Ok(default.to_owned());
        }
        let shown = if default.is_empty() { String::new() } else { format!(" [{default}]") };
        print!("{question}{shown}: ");
        stdout().flush().map_err(|e| Problem::machine("asking", e))?;
        match self.lines.next() {
            Some(Ok(line)) if line.trim().is_empty() => Ok(default.to_owned()),
            Some(Ok(line)) => Ok(line.trim().to_owned()),
            Some(Err(e)) => Err(Problem::machine("reading the answer", e)),
            None => Err(Problem::Typed("the questions were broken off; nothing was stored".to_owned())),
        }
    }
}

/// Entries made one after the other, each checked against those before it.
struct Draft {
    entries: Vec<Entry>,
    today: jiff::civil::Date,
}

impl Draft {
    fn add(&mut self, kind: &str, fields: Typed) -> Result<(), Problem> {
        let stamp = home::stamp(self.today);
        let entry = prepare(&self.entries, Almanac::embedded(), kind, &fields, self.today, None, &stamp)
            .map_err(Problem::Faults)?;
        self.entries.push(entry);
        Ok(())
    }
}

fn fields(pairs: &[(&str, String)]) -> Typed {
    pairs.iter().filter(|(_, v)| !v.trim().is_empty()).map(|(k, v)| ((*k).to_owned(), v.clone())).collect()
}

/// `name=Front lawn; size=3200` as a flag holds it.
fn flag_fields(flag: &str) -> Result<Typed, Problem> {
    let mut out = Typed::new();
    for part in flag.split(';').map(str::trim).filter(|p| !p.is_empty()) {
        let Some((name, value)) = part.split_once('=') else {
            return Err(Problem::Typed(format!("“{part}” is not field=value; part the fields with semicolons")));
        };
        out.insert(name.trim().to_owned(), value.trim().to_owned());
    }
    Ok(out)
}

/// `toft new`.
pub fn run(told: Option<&Path>, args: &NewArgs) -> Result<ExitCode, Problem> {
    let path = home::path(told)?;
    if path.exists() {
        return Err(Problem::Typed(format!(
            "{} already holds a yard; name another file with --yard FILE, or use the yard with `toft serve`",
            path.display()
        )));
    }
    let mut q = Questions { ask: !args.no_questions && stdin().is_terminal(), lines: Box::new(stdin().lock().lines()) };
    if q.ask {
        println!("A few questions; Enter takes what stands in brackets. All of it can be changed later.");
    }
    let units = args.units.map(|u| if u == UnitsArg::Metric { "metric" } else { "us-customary" }.to_owned());
    let units = q.or_ask(units, "Units (us-customary or metric)", "us-customary")?;
    let metric = units == "metric";
    let name = q.or_ask(args.name.clone(), "What do you call the yard", "Home")?;
    let latitude = q.or_ask(
        args.latitude.map(|v| v.to_string()),
        "Latitude in degrees, north positive (a phone map shows it)",
        "",
    )?;
    let longitude = q.or_ask(args.longitude.map(|v| v.to_string()), "Longitude in degrees, west negative", "")?;
    let elevation =
        q.or_ask(args.elevation.clone(), &format!("Height above sea, {}", if metric { "m" } else { "ft" }), "0")?;
    let time_zone = q.or_ask(args.time_zone.clone(), "Time zone like America/Denver (empty: this machine's)", "")?;
    let mut draft = Draft { entries: Vec::new(), today: home::today_of(&[]) };
    draft.add(
        "yard",
        fields(&[
            ("name", name),
            ("latitude", latitude),
            ("longitude", longitude),
            ("elevation", elevation),
            ("units", units),
            ("time_zone", time_zone),
        ]),
    )?;
    for area in &args.areas {
        draft.add("area", flag_fields(area)?)?;
    }
    for zone in &args.zones {
        draft.add("zone", flag_fields(zone)?)?;
    }
    if let Some(rules) = &args.water_rules {
        draft.add("water-rules", flag_fields(rules)?)?;
    }
    if q.ask && args.areas.is_empty() {
        ask_areas(&mut q, &mut draft, metric)?;
    }
    let mut ledger = home::create(&path)?;
    ledger.append_all(&draft.entries)?;
    let yard = yard::fold(&draft.entries, draft.today);
    println!(
        "Made {} with {} areas and {} zones in {}.",
        yard.facts.as_ref().map_or("the yard", |f| f.name.as_str()),
        yard.areas.len(),
        yard.zones.len(),
        path.display()
    );
    println!(
        "Next: toft weather import FILE   (a daily CSV or GHCN-Daily file; until then the built-in climate is used)"
    );
    println!("      toft now                   what to do today");
    println!("      toft serve                 the pages");
    Ok(ExitCode::SUCCESS)
}

fn ask_areas(q: &mut Questions<'_>, draft: &mut Draft, metric: bool) -> Result<(), Problem> {
    let almanac = Almanac::embedded();
    let grasses: Vec<String> = almanac.grasses.iter().map(|g| format!("{} = {}", g.id, g.name)).collect();
    let soils: Vec<&str> = almanac.textures.iter().map(|t| t.id.as_str()).collect();
    println!("Now the areas, one after the other; an empty name ends them.");
    println!("Grasses: {}", grasses.join(", "));
    println!("Soils: {}", soils.join(", "));
    for number in 1..=40 {
        let default = if number == 1 { "Front lawn" } else { "" };
        let name = q.or_ask(None, &format!("Area {number}: name"), default)?;
        if name.is_empty() {
            break;
        }
        let size = q.or_ask(
            None,
            &format!("  size, {}", if metric { "m²" } else { "sq ft" }),
            if metric { "200" } else { "2000" },
        )?;
        let cover = q.or_ask(None, "  turf, bed, hedge or hard", "turf")?;
        let grass = if cover == "turf" { q.or_ask(None, "  grass", "kbg")? } else { String::new() };
        let soil = q.or_ask(None, "  soil", "loam")?;
        let key = yard::form::key_of(&name);
        draft.add(
            "area",
            fields(&[("name", name.clone()), ("size", size), ("cover", cover), ("grass", grass), ("soil", soil)]),
        )?;
        let sprinkler = q.or_ask(None, "  sprinklers: spray, rotor, stream, drip, or none", "none")?;
        if sprinkler != "none" {
            let rate = q.or_ask(
                None,
                &format!("  rate measured with cans, {} (empty: the usual one)", if metric { "mm/h" } else { "in/h" }),
                "",
            )?;
            draft.add(
                "zone",
                fields(&[("name", format!("Zone {name}")), ("areas", key), ("sprinkler", sprinkler), ("rate", rate)]),
            )?;
        }
    }
    Ok(())
}

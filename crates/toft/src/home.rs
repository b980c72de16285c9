//! The yard's file: where it is, opening it, its today; export, import, backup.

use std::fs::File;
use std::io::{BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use almanac::Almanac;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use ledger::Ledger;
use yard::{Entry, Stamp, Weather, Yard, fold};

use crate::args::{BackupArgs, ExportArgs, ImportArgs};
use crate::problem::Problem;

/// The file of the yard: told, or `yard.toft` in the user's data folder.
pub fn path(told: Option<&Path>) -> Result<PathBuf, Problem> {
    if let Some(path) = told {
        return Ok(path.to_owned());
    }
    let data = std::env::var_os("XDG_DATA_HOME")
        .map(PathBuf::from)
        .filter(|p| p.is_absolute())
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/share")))
        .or_else(|| std::env::var_os("LOCALAPPDATA").map(PathBuf::from))
        .ok_or_else(|| Problem::Machine("no home folder is known; name the yard's file with --yard FILE".to_owned()))?;
    Ok(data.join("toft").join("yard.toft"))
}

/// The opened yard with everything read.
pub struct Home {
    /// The store.
    pub ledger: Ledger,
    /// All entries.
    pub entries: Vec<Entry>,
}

/// Opens the yard's file.
pub fn open(told: Option<&Path>) -> Result<Home, Problem> {
    let path = path(told)?;
    if !path.exists() {
        return Err(Problem::Typed(format!(
            "there is no yard at {}; make one with `toft new`, or look at the invented one with `toft demo`",
            path.display()
        )));
    }
    let ledger = Ledger::open(&path)?;
    let entries = ledger.entries()?;
    Ok(Home { ledger, entries })
}

/// A yard's time zone; the machine's own where none was told.
pub fn zone_of(entries: &[Entry]) -> TimeZone {
    fold(entries, Date::MAX)
        .facts
        .and_then(|f| f.time_zone)
        .and_then(|name| TimeZone::get(&name).ok())
        .unwrap_or_else(TimeZone::system)
}

/// Today in a yard's time zone.
pub fn today_of(entries: &[Entry]) -> Date {
    Timestamp::now().to_zoned_datetime(zone_of(entries)).date()
}

/// A date the person typed.
pub fn date(text: &str) -> Result<Date, Problem> {
    let date: Date =
        text.parse().map_err(|_| Problem::Typed(format!("“{text}” is not a date; write it like 2026-05-03")))?;
    let years = yard::check_entry::YEAR_MIN..=yard::check_entry::YEAR_MAX;
    if !years.contains(&date.year()) {
        return Err(Problem::Typed(format!(
            "the date {text} has the year {}; it must be between {} and {}",
            date.year(),
            years.start(),
            years.end()
        )));
    }
    Ok(date)
}

/// The day a command is for: the one told, or today.
pub fn day(told: Option<&str>, entries: &[Entry]) -> Result<Date, Problem> {
    told.map_or_else(|| Ok(today_of(entries)), date)
}

/// A fresh id and the moment.
pub fn stamp(today: Date) -> Stamp {
    Stamp { id: ulid::Ulid::generate().to_string(), recorded_at: Timestamp::now(), today }
}

impl Home {
    /// The yard as of a day.
    pub fn yard(&self, on: Date) -> Yard {
        fold(&self.entries, on)
    }

    /// The weather of the yard.
    pub fn weather(&self, yard: &Yard) -> Result<Weather, Problem> {
        let Some(facts) = &yard.facts else {
            return Err(Problem::Typed("this file holds no yard yet; run `toft new`".to_owned()));
        };
        let days = self.ledger.weather_days()?;
        let weather =
            Weather::build(facts.place, &days, Almanac::embedded()).map_err(|e| Problem::Machine(e.to_string()))?;
        Ok(weather.with_forecasts(self.ledger.forecasts()?))
    }
}

/// `toft export`.
pub fn export(told: Option<&Path>, args: &ExportArgs) -> Result<ExitCode, Problem> {
    let home = open(told)?;
    match &args.file {
        Some(path) => {
            let file = File::create_new(path).map_err(|e| Problem::machine(path.display(), e))?;
            let mut out = BufWriter::new(file);
            let count = home.ledger.export(&mut out)?;
            out.flush().map_err(|e| Problem::machine(path.display(), e))?;
            eprintln!("{count} entries written to {}", path.display());
        }
        None => {
            let mut out = std::io::stdout().lock();
            home.ledger.export(&mut out)?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// `toft import`.
pub fn import(told: Option<&Path>, args: &ImportArgs) -> Result<ExitCode, Problem> {
    let path = path(told)?;
    let file = File::open(&args.file).map_err(|e| Problem::machine(args.file.display(), e))?;
    let mut ledger = if path.exists() { Ledger::open(&path)? } else { create(&path)? };
    let count = ledger.import_entries(BufReader::new(file))?;
    println!("{count} entries read into {}", path.display());
    Ok(ExitCode::SUCCESS)
}

/// Makes the yard's file and the folder it lies in.
pub fn create(path: &Path) -> Result<Ledger, Problem> {
    if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(|e| Problem::machine(folder.display(), e))?;
    }
    Ok(Ledger::create(path)?)
}

/// `toft backup`.
pub fn backup(told: Option<&Path>, args: &BackupArgs) -> Result<ExitCode, Problem> {
    let home = open(told)?;
    let report = home.ledger.backup(&args.file)?;
    println!("{} entries copied to {} and read back", report.entries, args.file.display());
    Ok(ExitCode::SUCCESS)
}

//! The command line, word for word.

mod help;
mod sprinklers;
mod water;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use self::help::{
    CALC_HELP, CHECK_HELP, FAULT_HELP, LOG_HELP, LOOK_HELP, MAP_HELP, PLANT_HELP, PRESSURE_HELP, PROGRAMME_HELP,
    WEEDS_HELP,
};
use self::sprinklers::{CLOSE_HELP, LEAK_HELP, OPEN_HELP};
pub use self::sprinklers::{CloseArgs, LeakArgs, PipeArg, WayArg};
pub use self::water::{AuditArgs, FaultArgs, ForecastRule, PressureArgs, ProgrammeArgs, SimulateArgs};

/// What is wrong with which patch, what to do now, exactly how much, and how long each zone runs
#[derive(Parser)]
#[command(name = "toft", version, arg_required_else_help = true, after_help = START)]
pub struct Cli {
    /// The yard's file [default: yard.toft in the user's data folder]
    #[arg(long, global = true, env = "TOFT_YARD", value_name = "FILE")]
    pub yard: Option<PathBuf>,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

const START: &str = "Start here:
  toft demo       look at an invented yard over real weather
  toft new        make your own yard, then: toft weather import FILE, toft serve
  toft now        what to do today

Products, electricity, digging, slopes and compressed air can hurt: the product's label, local code and licensed practice
go before anything Toft says.";

#[derive(Subcommand)]
pub enum Command {
    /// Make your own yard: a few questions, or all of it by flags
    New(NewArgs),
    /// Open the pages of your yard in a browser on this machine
    Serve(ServeArgs),
    /// Open an invented yard over real weather
    Demo(DemoArgs),
    /// Say what to do now, where, how much, by when and why
    Now(NowArgs),
    /// Show one area: soil water, feeding, what is due, what was done
    Area(AreaArgs),
    /// Show how long each zone must run
    Water(ReadArgs),
    /// Find out what is wrong with a patch of lawn
    #[command(after_help = LOOK_HELP)]
    Look(LookArgs),
    /// Find the fault of the sprinkler system
    #[command(after_help = FAULT_HELP)]
    Fault(FaultArgs),
    /// Look at a sick hedge plant, shrub or young tree: what it may be, what to look at next, keep it or replace it
    #[command(after_help = PLANT_HELP)]
    Plant(PlantArgs),
    /// Water past seasons over again: the advice beside a fixed timer and the least water possible
    Simulate(SimulateArgs),
    /// Show where to set the cans of a zone, and what was measured
    Audit(AuditArgs),
    /// Show the pressure in each zone, from the tap to the last head, and what to change
    #[command(after_help = PRESSURE_HELP)]
    Pressure(PressureArgs),
    /// Show what was written down
    Daybook(DaybookArgs),
    /// Show the map: sizes, zones, what to look at again; draw it with toft serve
    #[command(after_help = MAP_HELP)]
    Map(MapArgs),
    /// Show what is on the shelf, and what plans ahead still want
    Shed(ReadArgs),
    /// Show what to type into the sprinkler controller: programmes, days, starts, minutes
    #[command(after_help = PROGRAMME_HELP)]
    Programme(ProgrammeArgs),
    /// Show which diseases the weather favours, which insects come when, and what to look for this week
    Watch(ReadArgs),
    /// Reckon a leak: what it loses and costs, where it is likely to be, by when to mend it
    #[command(after_help = LEAK_HELP)]
    Leak(LeakArgs),
    /// Open the sprinklers in spring: from when, slow fill, zone by zone, what waits to be mended
    #[command(after_help = OPEN_HELP)]
    Open(ReadArgs),
    /// Shut the sprinklers for winter: by when, the chance of frost, the steps, the air limits
    #[command(after_help = CLOSE_HELP)]
    Close(CloseArgs),
    /// Show which weeds come, flower or seed now, find out which one it is, and what fits against it here
    #[command(after_help = WEEDS_HELP)]
    Weeds(WeedsArgs),
    /// Show what the water meter counted beside the zones, and what watering costs
    WaterCost(ReadArgs),
    /// Show what it cost, by year, job and area; or all of it as CSV
    Costs(CostArgs),
    /// Write something down: toft log KIND field=value …
    #[command(after_help = LOG_HELP)]
    Log(LogArgs),
    /// Put an entry right: toft correct ID field=value …
    Correct(CorrectArgs),
    /// Take an entry back
    Withdraw(WithdrawArgs),
    /// Check a planned application or sowing against labels and trials, without storing it
    #[command(after_help = CHECK_HELP)]
    Check(CheckArgs),
    /// Read weather files, and show what is known
    Weather(WeatherArgs),
    /// Run one formula by itself
    #[command(after_help = CALC_HELP)]
    Calc(CalcArgs),
    /// Write all entries as JSON Lines
    Export(ExportArgs),
    /// Read entries written by export into this yard
    Import(ImportArgs),
    /// Write a checked copy of the yard's file
    Backup(BackupArgs),
}

/// Day and form of an answer.
#[derive(Args, Clone)]
pub struct ReadArgs {
    /// The day to answer for [default: today in the yard's time zone]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
    /// Answer in JSON (figures in SI)
    #[arg(long)]
    pub json: bool,
    /// Print the working under every number
    #[arg(long)]
    pub working: bool,
}

#[derive(Args)]
pub struct LookArgs {
    /// The lawn's key
    pub area: String,
    /// What was seen: finding=answer, or finding=counts
    #[arg(value_name = "FINDING=ANSWER")]
    pub findings: Vec<String>,
    /// A finding that cannot be looked at
    #[arg(long, value_name = "FINDING")]
    pub without: Vec<String>,
    /// Ground of one count: sqft, tenth, cup, can, sqyd, m2
    #[arg(long, default_value = "sqft")]
    pub cut: String,
    /// The pest counted, when it was told apart
    #[arg(long)]
    pub pest: Option<String>,
    /// Ground of the patch, like 40 or 3.5m2
    #[arg(long)]
    pub size: Option<String>,
    /// Widest bare gap in it, like 6 or 15cm
    #[arg(long)]
    pub gap: Option<String>,
    /// Share of the whole lawn thin or bare, in per cent
    #[arg(long)]
    pub share: Option<f64>,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Args)]
pub struct PlantArgs {
    /// The plant; or hedge, gap, hole to set plants out. Without it the plants are listed
    pub plant: Option<String>,
    /// What was seen
    #[arg(value_name = "FINDING=ANSWER")]
    pub findings: Vec<String>,
    /// A finding that cannot be looked at
    #[arg(long, value_name = "FINDING")]
    pub without: Vec<String>,
    /// The bed or hedge it stands in: what lies on that ground counts, and the look can be written down
    #[arg(long, value_name = "AREA")]
    pub area: Option<String>,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Args)]
pub struct WeedsArgs {
    /// A weed, or marks seen on one; without any the stages are shown
    #[arg(value_name = "WEED | MARK=ANSWER")]
    pub words: Vec<String>,
    /// A mark that cannot be looked at
    #[arg(long, value_name = "MARK")]
    pub without: Vec<String>,
    /// The area it stands on
    #[arg(long)]
    pub area: Option<String>,
    /// Share of the area it stands on (%)
    #[arg(long, default_value_t = 100.0)]
    pub share: f64,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Args)]
pub struct NowArgs {
    #[command(flatten)]
    pub read: ReadArgs,
    /// Only this kind of work
    #[arg(long, value_name = "WORD")]
    pub job: Option<String>,
}

#[derive(Args)]
pub struct CostArgs {
    /// First day [default: the first of the daybook]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
    /// Last day [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<String>,
    /// Every line as CSV
    #[arg(long)]
    pub csv: bool,
    /// Answer in JSON
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
}

#[derive(Args)]
pub struct MapArgs {
    #[command(subcommand)]
    pub command: Option<MapCommand>,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Subcommand)]
pub enum MapCommand {
    /// Show where a zone's water falls
    Zone(MapZoneArgs),
    /// Show the hours of direct sun on each area by month
    Sun(ReadArgs),
    /// Show the ground each area gained and lost between two days
    Between(MapBetweenArgs),
    /// Read outlines and things from a map file
    Read(MapReadArgs),
    /// Write the map to a file
    Write(MapWriteArgs),
    /// Write the survey sheet to a file
    Sheet(MapWriteArgs),
}

#[derive(Args)]
pub struct MapZoneArgs {
    /// The zone's key
    pub key: String,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Args)]
pub struct MapBetweenArgs {
    /// First day
    #[arg(value_name = "YYYY-MM-DD")]
    pub from: String,
    /// Second day
    #[arg(value_name = "YYYY-MM-DD")]
    pub to: String,
    /// Answer in JSON (figures in SI)
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct MapReadArgs {
    /// GeoJSON, KML or KMZ
    pub file: PathBuf,
    /// The day from which the outlines count [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
    /// Say what would be read, and store nothing
    #[arg(long)]
    pub try_only: bool,
}

#[derive(Args)]
pub struct MapWriteArgs {
    /// The file; the ending of its name says the format
    pub file: PathBuf,
    /// The map of this day [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
}

#[derive(Args)]
pub struct AreaArgs {
    /// The area's key; without it the areas are listed
    pub key: Option<String>,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Args)]
pub struct DaybookArgs {
    /// Only entries about this area
    #[arg(long)]
    pub area: Option<String>,
    /// Only entries of this kind
    #[arg(long)]
    pub kind: Option<String>,
    /// First day
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
    /// Last day
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct LogArgs {
    /// Kind of entry; without it the kinds are listed
    pub kind: Option<String>,
    /// field=value …
    pub fields: Vec<String>,
    /// The day it happened, or is planned for [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
    /// What this repair mends: the id of a to-mend entry, or its last letters
    #[arg(long, value_name = "ID")]
    pub mends: Option<String>,
    /// Print the stored entry as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct CorrectArgs {
    /// The entry's id, or its last letters
    pub id: String,
    /// The fields to change: field=value …
    pub fields: Vec<String>,
    /// The right day
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
}

#[derive(Args)]
pub struct WithdrawArgs {
    /// The entry's id, or its last letters
    pub id: String,
    /// Why
    #[arg(long, default_value = "")]
    pub why: String,
}

#[derive(Clone, Copy, ValueEnum)]
pub enum CheckWork {
    /// Put a product down
    Apply,
    /// Sow
    Sow,
}

#[derive(Args)]
pub struct CheckArgs {
    /// What is meant to be done
    pub work: CheckWork,
    /// field=value … as for `toft log applied` and `toft log seeded`
    pub fields: Vec<String>,
    /// The day it is meant for [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct WeatherArgs {
    #[command(subcommand)]
    pub command: WeatherCommand,
}

#[derive(Subcommand)]
pub enum WeatherCommand {
    /// Read a file: plain CSV, GHCN-Daily station CSV or .dly
    Import(WeatherImportArgs),
    /// Read a forecast: CSV, or the JSON of a public weather service
    ///
    /// A CSV has a header and one row a day: date, issued (or --issued), low_c or low_f, high_c or high_f, rain_mm or rain_in (rain, if it
    /// rains), chance_pct, humidity_pct, wind_ms, wind_kmh, wind_mph or wind_kn, wind_height_m. JSON: the gridpoint or forecast document of
    /// the US National Weather Service, or MET Norway's locationforecast (complete). Each forecast is kept with its day of issue; advice uses
    /// the newest while it is at most a day old. Nothing is fetched: save the document yourself.
    Forecast(ForecastArgs),
    /// List the forecasts kept, and how they did against what came
    Forecasts(ForecastsArgs),
    /// Say what weather is known and what is estimated
    Status(ReadArgs),
}

#[derive(Clone, Copy, ValueEnum)]
pub enum TemperatureArg {
    /// Degrees Celsius
    C,
    /// Degrees Fahrenheit
    F,
}

#[derive(Clone, Copy, ValueEnum)]
pub enum DepthArg {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

#[derive(Clone, Copy, ValueEnum)]
pub enum WindArg {
    /// Metres a second
    Ms,
    /// Kilometres an hour
    Kmh,
    /// Miles an hour
    Mph,
    /// Knots
    Kn,
}

#[derive(Args)]
pub struct WeatherImportArgs {
    /// The file
    pub file: PathBuf,
    /// Unit of temperatures, where the columns do not say
    #[arg(long, value_enum)]
    pub temperature: Option<TemperatureArg>,
    /// Unit of rain, where the columns do not say
    #[arg(long, value_enum)]
    pub depth: Option<DepthArg>,
    /// Unit of wind, where the columns do not say
    #[arg(long, value_enum)]
    pub wind: Option<WindArg>,
    /// Height of the wind gauge (m)
    #[arg(long, value_name = "METRES")]
    pub wind_height: Option<f64>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct ForecastArgs {
    /// The file
    pub file: PathBuf,
    /// Day of issue, where a CSV has no such column
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub issued: Option<String>,
    /// Answer in JSON (figures in SI)
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct ForecastsArgs {
    /// Write all of them as CSV, as `toft weather forecast` reads it
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Answer in JSON (figures in SI)
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct CalcArgs {
    /// The model
    pub name: Option<String>,
    /// field=value …; without them JSON is read
    pub fields: Vec<String>,
    /// List the models
    #[arg(long)]
    pub list: bool,
    /// Print the JSON Schema of input and output
    #[arg(long)]
    pub schema: bool,
    /// Read JSON from a file
    #[arg(long, value_name = "FILE")]
    pub input: Option<PathBuf>,
    /// Answer in JSON although the fields came from the command line
    #[arg(long)]
    pub json: bool,
    /// Units of the printed working
    #[arg(long, value_enum)]
    pub units: Option<UnitsArg>,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub enum UnitsArg {
    /// Inches, square feet, pounds, gallons
    UsCustomary,
    /// Millimetres, square metres, grams, litres
    Metric,
}

#[derive(Args)]
pub struct ServeArgs {
    /// Port on this machine; taken: the next free one
    #[arg(long, default_value_t = 8611)]
    pub port: u16,
}

#[derive(Args)]
pub struct DemoArgs {
    /// Port on this machine; taken: the next free one
    #[arg(long, default_value_t = 8611)]
    pub port: u16,
    /// The demo's today
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
    /// Write the demo yard into this file and stop, to try the commands on it
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
}

#[derive(Args)]
pub struct NewArgs {
    /// What you call the yard
    #[arg(long)]
    pub name: Option<String>,
    /// Latitude in degrees, north positive
    #[arg(long, allow_negative_numbers = true)]
    pub latitude: Option<f64>,
    /// Longitude in degrees, east positive, west negative
    #[arg(long, allow_negative_numbers = true)]
    pub longitude: Option<f64>,
    /// Height above sea, in the yard's units (ft or m) or with its unit
    #[arg(long, allow_negative_numbers = true)]
    pub elevation: Option<String>,
    /// Units
    #[arg(long, value_enum)]
    pub units: Option<UnitsArg>,
    /// Time zone, like America/Denver
    #[arg(long)]
    pub time_zone: Option<String>,
    /// An area: "name=Front lawn; size=3200; grass=kbg; soil=loam" (may be told several times)
    #[arg(long = "area", value_name = "FIELDS")]
    pub areas: Vec<String>,
    /// A zone: "name=Zone 1; areas=front-lawn; sprinkler=spray; rate=1.5" (may be told several times)
    #[arg(long = "zone", value_name = "FIELDS")]
    pub zones: Vec<String>,
    /// Watering hours and rules: "from=3:00; until=8:00; weekdays=mon,thu"
    #[arg(long, value_name = "FIELDS")]
    pub water_rules: Option<String>,
    /// Ask nothing; what is not told is left out or takes its default
    #[arg(long)]
    pub no_questions: bool,
}

#[derive(Args)]
pub struct ExportArgs {
    /// Where to; standard output if left out
    pub file: Option<PathBuf>,
}

#[derive(Args)]
pub struct ImportArgs {
    /// A file written by `toft export`
    pub file: PathBuf,
}

#[derive(Args)]
pub struct BackupArgs {
    /// Where to; must not exist yet
    pub file: PathBuf,
}

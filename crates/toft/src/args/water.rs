//! What is asked of the water: the fault, the week, the pressure, past seasons.

use clap::{Args, ValueEnum};

use super::ReadArgs;

#[derive(Args)]
pub struct FaultArgs {
    /// What the system does; without it the symptoms are listed
    pub symptom: Option<String>,
    /// What was measured
    #[arg(value_name = "TEST=OUTCOME")]
    pub findings: Vec<String>,
    /// A test that cannot be made
    #[arg(long, value_name = "TEST")]
    pub without: Vec<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub struct ProgrammeArgs {
    #[command(flatten)]
    pub read: ReadArgs,
    /// Say what a rain of this depth tonight saves
    #[arg(long, value_name = "DEPTH")]
    pub rain: Option<String>,
}

#[derive(Args)]
pub struct AuditArgs {
    /// The zone's key; without it the zones are listed
    pub zone: Option<String>,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ForecastRule {
    /// Those that were kept, where there are any
    Kept,
    /// None
    None,
    /// One that comes true
    Faultless,
    /// None, a faultless one, and ones as good as published, side by side
    Compare,
}

#[derive(Args)]
pub struct PressureArgs {
    /// The zone's key; without it every zone in a line
    pub zone: Option<String>,
    /// Heads, where the map does not show them
    #[arg(long, requires = "zone")]
    pub heads: Option<usize>,
    /// Pipe from the valve to the last head
    #[arg(long, value_name = "LENGTH", requires = "zone")]
    pub length: Option<String>,
    /// Flow of all heads
    #[arg(long, value_name = "FLOW", requires = "zone")]
    pub flow: Option<String>,
    #[command(flatten)]
    pub read: ReadArgs,
}

#[derive(Args)]
pub struct SimulateArgs {
    /// First day; whole seasons from it on are taken [default: the last three seasons of the record]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
    /// Last day [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<String>,
    /// Which forecasts each morning reads
    #[arg(long, value_enum, default_value_t = ForecastRule::Kept)]
    pub forecast: ForecastRule,
    /// Days a faultless forecast tells of
    #[arg(long, default_value_t = 3, value_parser = clap::value_parser!(u8).range(1..=16))]
    pub days: u8,
    /// Made forecasts of the published skill, each with errors of its own
    #[arg(long, default_value_t = 5, value_parser = clap::value_parser!(u64).range(1..=200))]
    pub seeds: u64,
    /// Answer in JSON (figures in SI)
    #[arg(long)]
    pub json: bool,
    /// Print the working under every number
    #[arg(long)]
    pub working: bool,
}

//! The words of `toft leak`, `toft open` and `toft close`.

use clap::{Args, ValueEnum};

use super::ReadArgs;

pub(super) const LEAK_HELP: &str = "Everything off, nothing running in the house: read the meter, wait, read it again. Examples:
  toft leak --moved 0.8gal --minutes 30
  toft leak --moved 0.8gal --minutes 30 --closed-moved 0 --closed-minutes 30    with the sprinklers' stop valve closed too
  toft leak --moved 3L --minutes 120 --repair 40 --days 5                      parts for 40, a town that gives five days
Water off first, then power off, before a valve or fitting is opened.";

pub(super) const OPEN_HELP: &str = "What is found is written down, and waits on `toft now` until it is mended:
  toft log to-mend zone=zone-1 at=\"Head 3\" trouble=clogged
  toft log repaired done=\"Head 3: nozzle rinsed\" zone=zone-1 --mends ID
Fill slowly; the backflow assembly is for a licensed tester.";

pub(super) const CLOSE_HELP: &str = "Examples:
  toft close                          by when, and how to blow it out
  toft close --way manual             with drain valves opened by hand
  toft close --pipe pvc               air limits where all pipes are rigid PVC
  toft close --before 2026-10-15      the chance that pipes freeze before a day
Compressed air can hurt: eye protection, never through the backflow assembly, nobody over a head. Licensed practice goes first.";

#[derive(Args)]
pub struct LeakArgs {
    #[command(flatten)]
    pub read: ReadArgs,
    /// What the meter moved with everything shut (a bare number in the yard's units)
    #[arg(long, value_name = "VOLUME", requires = "minutes")]
    pub moved: Option<String>,
    /// Minutes it was watched
    #[arg(long, requires = "moved")]
    pub minutes: Option<f64>,
    /// What it moved with the sprinklers' stop valve closed too
    #[arg(long, value_name = "VOLUME", requires = "closed_minutes", requires = "moved")]
    pub closed_moved: Option<String>,
    /// Minutes of that
    #[arg(long, requires = "closed_moved")]
    pub closed_minutes: Option<f64>,
    /// What the parts cost
    #[arg(long, value_name = "MONEY")]
    pub repair: Option<f64>,
    /// Days the town gives to mend a leak
    #[arg(long)]
    pub days: Option<u32>,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub enum WayArg {
    /// Drain valves opened by hand
    Manual,
    /// Drain valves that open by themselves
    Automatic,
    /// Compressed air
    BlowOut,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub enum PipeArg {
    /// Not known, or mixed: the careful limit
    Unknown,
    /// Flexible polyethylene
    Pe,
    /// Rigid PVC throughout
    Pvc,
}

#[derive(Args)]
pub struct CloseArgs {
    #[command(flatten)]
    pub read: ReadArgs,
    /// How the water is got out
    #[arg(long, value_enum, default_value_t = WayArg::BlowOut)]
    pub way: WayArg,
    /// What the pipes are of
    #[arg(long, value_enum, default_value_t = PipeArg::Unknown)]
    pub pipe: PipeArg,
    /// Say the chance that pipes freeze before this day
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub before: Option<String>,
}

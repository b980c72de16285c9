//! Toft: the command line, its configuration and the wiring of the rooms.

mod args;
mod audit;
mod calc;
mod demo;
mod find;
mod home;
mod leak;
mod log;
mod map;
mod new;
mod paper;
mod plan;
mod plant;
mod pressure;
mod problem;
mod programme;
mod read;
mod serve;
mod shed;
mod simulate;
mod sprinkler_year;
mod watch;
mod water_cost;
mod weather;
mod weeds;

use std::process::ExitCode;

use clap::Parser;

use crate::args::{Cli, Command};
use crate::problem::Problem;

/// A reader that has seen enough (`toft now | head`) is no fault of the person's: the program ends quietly.
fn end_quietly_on_closed_pipe() {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        let words = panic.payload().downcast_ref::<String>().map_or("", String::as_str);
        if words.starts_with("failed printing to stdout") {
            std::process::exit(0);
        }
        usual(panic);
    }));
}

fn main() -> ExitCode {
    end_quietly_on_closed_pipe();
    let cli = Cli::parse();
    match run(cli) {
        Ok(code) => code,
        Err(problem) => {
            eprintln!("toft: {problem}");
            ExitCode::from(problem.exit_code())
        }
    }
}

fn run(cli: Cli) -> Result<ExitCode, Problem> {
    let file = cli.yard;
    match cli.command {
        Command::New(args) => new::run(file.as_deref(), &args),
        Command::Serve(args) => serve::run(file.as_deref(), &args),
        Command::Demo(args) => demo::run(&args),
        Command::Now(args) => read::now(file.as_deref(), &args),
        Command::Area(args) => read::area(file.as_deref(), &args),
        Command::Water(args) => read::water(file.as_deref(), &args),
        Command::Simulate(args) => simulate::run(file.as_deref(), &args),
        Command::Audit(args) => audit::run(file.as_deref(), &args),
        Command::Pressure(args) => pressure::run(file.as_deref(), &args),
        Command::Daybook(args) => read::daybook(file.as_deref(), &args),
        Command::Map(args) => map::run(file.as_deref(), &args),
        Command::Shed(args) => shed::shelf(file.as_deref(), &args),
        Command::Look(args) => find::patch(file.as_deref(), &args),
        Command::Fault(args) => find::fault(&args),
        Command::Plant(args) => plant::run(file.as_deref(), &args),
        Command::Programme(args) => programme::run(file.as_deref(), &args),
        Command::Watch(args) => watch::run(file.as_deref(), &args),
        Command::Leak(args) => leak::run(file.as_deref(), &args),
        Command::Open(args) => sprinkler_year::open(file.as_deref(), &args),
        Command::Close(args) => sprinkler_year::close(file.as_deref(), &args),
        Command::Weeds(args) => weeds::run(file.as_deref(), &args),
        Command::WaterCost(args) => water_cost::run(file.as_deref(), &args),
        Command::Costs(args) => shed::costs(file.as_deref(), &args),
        Command::Log(args) => log::run(file.as_deref(), &args),
        Command::Correct(args) => log::correct(file.as_deref(), &args),
        Command::Withdraw(args) => log::withdraw(file.as_deref(), &args),
        Command::Check(args) => log::check(file.as_deref(), &args),
        Command::Weather(args) => weather::run(file.as_deref(), &args),
        Command::Calc(args) => calc::run(file.as_deref(), &args),
        Command::Export(args) => home::export(file.as_deref(), &args),
        Command::Import(args) => home::import(file.as_deref(), &args),
        Command::Backup(args) => home::backup(file.as_deref(), &args),
    }
}

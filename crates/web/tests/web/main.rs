//! The pages, asked as a browser asks them, on a ledger in memory.

mod audit;
mod fields;
mod forms;
mod guards;
mod map;
mod once;
mod pages;
mod patch;
mod plan;
mod plant;
mod pressure;
mod shed;
mod sprinkler_year;
mod support;
mod upload;
mod watch;
mod water_cost;
mod weeds;

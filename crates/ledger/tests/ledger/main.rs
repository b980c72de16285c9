//! The ledger from outside: one module a matter.

mod append;
mod backup;
mod durability;
mod files;
mod forecast;
mod generate;
mod json_lines;
mod pictures;
mod weather;

//! The pages, asked as a browser asks them, on a ledger in memory.

mod forms;
mod guards;
mod pages;
mod support;
mod upload;

#![doc = include_str!("../README.md")]

mod cells;
mod draw;
mod error;
mod extract;
mod fields;
mod found_path;
mod frost;
mod guard;
mod layout;
mod logbook_links;
mod once;
mod pages;
mod parts;
mod plan;
mod record;
mod server;
mod sketch;
mod state;
mod steps;
mod typed;
mod upload;
mod view;

pub use plan::{survey_sheet_pdf, survey_sheet_svg};
pub use record::{RecordError, record, stamp};
pub use server::{FORM_BYTES_MAX, UPLOAD_BYTES_MAX, router, serve};
pub use state::{Site, Today, WebError};

#![doc = include_str!("../README.md")]

pub mod figure;
mod formulas;
pub mod json;
mod model;
mod models;
mod pairs;
mod schema;
pub mod shape;
mod stream;
mod text;

pub use figure::Figure;
pub use formulas::formulas_markdown;
pub use model::{Answer, Fault, Model};
pub use models::{find, models};
pub use pairs::item_from_pairs;
pub use stream::{ITEM_BYTES_MAX, Outcome, run_stream};

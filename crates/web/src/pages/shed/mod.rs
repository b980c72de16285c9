//! The shed: the shelf, one product with its limits and amounts, the safety sheet of a job, and what it all cost.

pub(crate) mod cost;
pub(crate) mod list;
pub(crate) mod product;
pub(crate) mod safety_sheet;

//! The shed: what is on the shelf, what a visit takes, what it all cost, and what a label says against what is only typical.

mod amounts;
mod buy;
mod costs;
mod limits;
mod nutrients;
mod stock;

pub use amounts::visit_amounts;
pub use buy::{Buy, buy, shelf_words};
pub use costs::{CostLine, CostReport, costs, costs_csv, planned_need};
pub use limits::{Limit, Told, confirm, limits};
pub use nutrients::{Amend, NutrientNeed, NutrientRow, SoilVerdict, soil_verdict, wants_phosphate};
pub use stock::{Shelf, ground_put_on, product_used, share_put_on, shelf, shelves, size_on};

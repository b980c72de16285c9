//! One module a page.

pub(crate) mod area;
pub(crate) mod audit;
pub(crate) mod close;
pub(crate) mod daybook;
pub(crate) mod demo;
pub(crate) mod entry;
pub(crate) mod fault;
pub(crate) mod leak;
pub(crate) mod log;
pub(crate) mod map;
pub(crate) mod new;
pub(crate) mod now;
pub(crate) mod open;
pub(crate) mod patch;
pub(crate) mod plant;
pub(crate) mod plant_out;
pub(crate) mod pressure;
pub(crate) mod programme;
pub(crate) mod safety;
pub(crate) mod seasons;
pub(crate) mod settings;
pub(crate) mod shed;
pub(crate) mod watch;
pub(crate) mod water;
pub(crate) mod water_cost;
pub(crate) mod weather;

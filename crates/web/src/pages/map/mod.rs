//! The map: looked at, drawn, measured, read from files, printed.

pub(crate) mod coverage;
pub(crate) mod draw;
pub(crate) mod files;
pub(crate) mod runs;
pub(crate) mod sheet;
pub(crate) mod show;
pub(crate) mod sun;
pub(crate) mod tape;
pub(crate) mod underlay;

//! What follows from the map: how a zone's heads water its ground, where the sun reaches, what the drawing leaves out, what
//! changed between two days.

mod between;
mod faults;
mod measured;
mod sun;
mod water;

pub use between::{AreaChange, between};
pub use faults::{MapFault, faults};
pub use measured::{Doubtful, Measured, known_corners, offsets, tape};
pub use sun::{SUN_CELLS_MAX, SunMap, area_sun, sun_map};
pub use water::{
    HeadWater, ZoneHead, ZoneWater, change_words, head_of, water_of, zone_coverage, zone_heads, zone_input,
};

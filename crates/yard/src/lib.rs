#![doc = include_str!("../README.md")]

pub mod advice;
pub mod air;
pub mod audit;
pub mod check_entry;
pub mod diagnosis;
pub mod entry;
pub mod faultfinding;
pub mod fold;
pub mod forecast;
pub mod form;
pub mod ground;
pub mod leak;
pub mod map;
pub mod planting;
pub mod prepare;
pub mod pressure;
pub mod scenario;
pub mod shed;
pub mod sprinkler_year;
pub mod survey;
pub mod units;
pub mod watch;
pub mod water_cost;
pub mod weather;
pub mod weather_day;
pub mod weeds;
pub mod words;

pub use advice::{Advice, Item, advise};
pub use check_entry::{Fault, check_entry};
pub use entry::{Body, Entry, Key};
pub use fold::{Yard, fold, in_force};
pub use forecast::{Forecast, ForecastDay};
pub use prepare::{Stamp, prepare, prepare_bodies};
pub use units::{Quantity, Units};
pub use weather::{Day, Weather};
pub use weather_day::{Place, WeatherDay, WeatherRecord};

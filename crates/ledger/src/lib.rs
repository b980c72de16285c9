#![doc = include_str!("../README.md")]

mod backup;
mod digest;
mod entries;
mod error;
mod forecast;
mod json_lines;
mod new_file;
mod picture;
mod schema;
mod store;
mod weather;

pub use backup::BackupReport;
pub use entries::{ENTRIES_MAX, ENTRY_BYTES_MAX, ID_BYTES_MAX};
pub use error::{ErrorKind, FAULTS_SHOWN_MAX, ImportFaults, LedgerError, LineFault};
pub use forecast::{FORECASTS_MAX, ForecastSummary};
pub use json_lines::IMPORT_BYTES_MAX;
pub use picture::{
    MediaType, PICTURE_BYTES_MAX, PICTURE_PIXELS_MAX, PICTURE_SIDE_MAX, PICTURES_MAX, Picture, PictureAbout,
};
pub use schema::APPLICATION_ID;
pub use store::Ledger;
pub use weather::{ImportSummary, WEATHER_DAYS_MAX, WeatherImport};

//! Why the ledger refused or failed: what, where, the value seen, what is allowed, what to try.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use jiff::civil::Date;
use rusqlite::ErrorCode;

use crate::{
    ENTRIES_MAX, ENTRY_BYTES_MAX, ID_BYTES_MAX, IMPORT_BYTES_MAX, MediaType, PICTURE_BYTES_MAX, PICTURE_PIXELS_MAX,
    PICTURE_SIDE_MAX, PICTURES_MAX, WEATHER_DAYS_MAX,
};

/// Most faulty lines listed in one error; the rest are counted.
pub const FAULTS_SHOWN_MAX: usize = 20;

/// Whose matter an error is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorKind {
    /// What was asked for can't be done; asking for something else can.
    Input,
    /// The file is not a ledger, is damaged, or is too new.
    DataFile,
    /// The computer: permissions, a full disk, another program in the way.
    Machine,
    /// Toft handed over something it should not have.
    Bug,
}

/// Why the ledger refused or failed. Each variant is a rule; in every case nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum LedgerError {
    /// A new file never takes the place of another.
    #[error("{path}: already there; it was left as it is. Try another name, or open it instead")]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// Only a file that is there is opened; opening never creates.
    #[error("{path}: no such file. Try the right path, or create a new ledger there")]
    Absent {
        /// The file.
        path: PathBuf,
    },
    /// A ledger is an ordinary file.
    #[error("{path}: not an ordinary file (a folder or a device). Try the path of the ledger file itself")]
    NotAFile {
        /// What was named.
        path: PathBuf,
    },
    /// A ledger is an SQLite database that carries Toft's application id.
    #[error("{path}: not a Toft ledger: {seen}. It was left as it is. Try the right file, or a backup of it")]
    NotALedger {
        /// The file.
        path: PathBuf,
        /// What was found instead.
        seen: String,
    },
    /// A ledger's bytes are whole.
    #[error(
        "{path}: the file is damaged: {detail}. Try the latest backup; keep this file, for parts of it may be read"
    )]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was found.
        detail: String,
    },
    /// A ledger's tables, keys and triggers are those its version has.
    #[error("{path}: the tables or triggers were changed by another program ({object}). Try the latest backup")]
    SchemaChanged {
        /// The file.
        path: PathBuf,
        /// The first table, index or trigger that differs.
        object: String,
    },
    /// A ledger written by a later Toft is not touched by an earlier one.
    #[error(
        "{path}: written by a later Toft (version {found} of the file, this program knows up to {known}). Try the later Toft"
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// The file's version.
        found: i64,
        /// The latest version this program knows.
        known: i64,
    },
    /// A stored entry is one this Toft can read.
    #[error("{path}: entry \"{id}\" can't be read: {detail}. Try the Toft that recorded it, or a later one")]
    UnreadableEntry {
        /// The file.
        path: PathBuf,
        /// The entry.
        id: String,
        /// What the reader said.
        detail: String,
    },
    /// Journals of an earlier file of the same name would be played into a new one.
    #[error(
        "{path}: left behind by an earlier file of that name. Try moving it away together with its file, or another name"
    )]
    LeftBehind {
        /// The journal.
        path: PathBuf,
    },
    /// The file and its folder can be written to.
    #[error(
        "{path}: can't be written: {detail}. Try the permissions of the file and of its folder, and that neither was moved"
    )]
    NotWritable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// Another program may hold the file for a few seconds, not longer.
    #[error(
        "{path}: in use by another program for more than {} s. Try again, or close the other one",
        crate::store::BUSY_SECONDS
    )]
    Busy {
        /// The file.
        path: PathBuf,
    },
    /// There is room on the disk.
    #[error("{path}: the disk is full. Try freeing space, then do it again")]
    DiskFull {
        /// The file.
        path: PathBuf,
    },
    /// The disk does what it is asked to.
    #[error(
        "{path}: the disk or its folder failed: {detail}. Try again; if it stays so, copy the latest backup elsewhere"
    )]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// SQLite refused what Toft asked of it.
    #[error("{path}: a fault in Toft: {detail}. Nothing was written. Please report it")]
    Internal {
        /// The file.
        path: PathBuf,
        /// What SQLite said.
        detail: String,
    },
    /// A copy holds what its ledger holds.
    #[error(
        "{path}: the copy is not like the ledger ({detail}) and was thrown away. Try again, on another disk if it stays so"
    )]
    CopyDiffers {
        /// Where the backup was to be.
        path: PathBuf,
        /// What differs.
        detail: String,
    },

    /// An id has 1 to [`ID_BYTES_MAX`] printable ASCII characters and no blank.
    #[error("id {id:?}: not an id. Allowed: 1 to {ID_BYTES_MAX} printable ASCII characters without blanks")]
    BadId {
        /// The id, shortened.
        id: String,
    },
    /// An id is used once.
    #[error("entry \"{id}\": already recorded. Try recording it once only, or under another id")]
    DuplicateId {
        /// The id.
        id: String,
    },
    /// An entry supersedes another one.
    #[error("entry \"{id}\": supersedes itself. Try naming the entry it corrects")]
    SupersedesItself {
        /// The id.
        id: String,
    },
    /// The entry superseded was recorded before.
    #[error(
        "entry \"{id}\": supersedes \"{target}\", which is not recorded. Try recording that one first, or naming another"
    )]
    UnknownTarget {
        /// The entry.
        id: String,
        /// The entry it names.
        target: String,
    },
    /// An entry is superseded once; what follows supersedes the one that took its place.
    #[error("entry \"{id}\": supersedes \"{target}\", which \"{by}\" superseded already. Try superseding \"{by}\"")]
    AlreadySuperseded {
        /// The entry.
        id: String,
        /// The entry it names.
        target: String,
        /// The entry that superseded it.
        by: String,
    },
    /// An entry's text has at most [`ENTRY_BYTES_MAX`] bytes.
    #[error("entry \"{id}\": {bytes} bytes. Allowed: up to {ENTRY_BYTES_MAX}. Try parting it into several entries")]
    EntryTooLong {
        /// The entry.
        id: String,
        /// Its size.
        bytes: usize,
    },
    /// An entry reads back as it was: all its figures are finite.
    #[error("entry \"{id}\": would not read back as it is: {detail}. Allowed: finite numbers")]
    NotStorable {
        /// The entry.
        id: String,
        /// What differs.
        detail: String,
    },
    /// A ledger holds at most [`ENTRIES_MAX`] entries.
    #[error("entry \"{id}\": the ledger is full. Allowed: up to {ENTRIES_MAX} entries. Try a new ledger")]
    LedgerFull {
        /// The first entry that found no room.
        id: String,
    },

    /// A line of an import is an entry.
    #[error("not an entry: {detail}. Try a file that Toft exported")]
    NotAnEntry {
        /// What the reader said, with the column.
        detail: String,
    },
    /// A line of an import is no longer than an entry may be.
    #[error("longer than {ENTRY_BYTES_MAX} bytes; what follows was not read. Try a file that Toft exported")]
    LineTooLong,
    /// An import has at most [`IMPORT_BYTES_MAX`] bytes and [`ENTRIES_MAX`] lines.
    #[error("the import goes past {} MiB or {ENTRIES_MAX} lines. Try it in parts", IMPORT_BYTES_MAX >> 20)]
    ImportTooLarge,
    /// All lines of an import are taken in, or none.
    #[error("{0}")]
    Import(ImportFaults),
    /// The lines to import could be had.
    #[error("line {line}: reading stopped: {source}. Nothing was imported. Try again")]
    ReadStopped {
        /// The line that could not be read to its end.
        line: u64,
        /// What the system said.
        source: io::Error,
    },
    /// The export found room.
    #[error("the export stopped: {source}. What was written is not whole. Try again, elsewhere if it stays so")]
    WriteStopped {
        /// What the system said.
        source: io::Error,
    },

    /// A weather record has at least one day.
    #[error("{name}: no days. Allowed: one or more")]
    NoDays {
        /// The record.
        name: String,
    },
    /// A weather record has at most [`WEATHER_DAYS_MAX`] days.
    #[error("{name}: {days} days. Allowed: up to {WEATHER_DAYS_MAX}. Try it in parts")]
    TooManyDays {
        /// The record.
        name: String,
        /// How many it has.
        days: usize,
    },
    /// The days of a record are in order, one a date, in the years 1 to 9999; its figures are finite.
    #[error("{name}, {date}: {detail}. Allowed: days in order, one a date, years 1 to 9999, finite numbers")]
    BadWeather {
        /// The record.
        name: String,
        /// The day.
        date: Date,
        /// What is wrong.
        detail: &'static str,
    },

    /// An import has at most [`FORECASTS_MAX`](crate::FORECASTS_MAX) forecasts.
    #[error("{name}: {forecasts} forecasts. Allowed: up to {}. Try it in parts", crate::FORECASTS_MAX)]
    TooManyForecasts {
        /// The file.
        name: String,
        /// How many it has.
        forecasts: usize,
    },
    /// The days of a forecast are in order, one a date, none before the day of issue; its figures are finite.
    #[error("{name}, {date}: {detail}. Allowed: days in order from the day of issue on, one a date, finite numbers")]
    BadForecast {
        /// The file.
        name: String,
        /// The day.
        date: Date,
        /// What is wrong.
        detail: &'static str,
    },

    /// A picture is a PNG, a JPEG or a WebP.
    #[error("not a picture that can be kept: {seen}. Allowed: PNG, JPEG, WebP. Try saving it as one of these")]
    NotAPicture {
        /// What it looks like.
        seen: &'static str,
    },
    /// A picture is there from its header to its end.
    #[error("the {} is not whole: {detail}. Try sending it again, or saving it anew", .media_type.name())]
    PictureTorn {
        /// What it claims to be.
        media_type: MediaType,
        /// What is wrong.
        detail: &'static str,
    },
    /// A picture has at most [`PICTURE_BYTES_MAX`] bytes.
    #[error(
        "the picture has {bytes} bytes. Allowed: up to {PICTURE_BYTES_MAX} ({} MiB). Try saving it smaller",
        PICTURE_BYTES_MAX >> 20
    )]
    PictureTooLarge {
        /// Its size.
        bytes: usize,
    },
    /// A picture has at most [`PICTURE_SIDE_MAX`] pixels a side and [`PICTURE_PIXELS_MAX`] in all.
    #[error(
        "the picture is {width} by {height} pixels. Allowed: up to {PICTURE_SIDE_MAX} a side and {} million in all. Try saving it \
         smaller",
        PICTURE_PIXELS_MAX / 1_000_000
    )]
    PictureTooWide {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// A ledger holds at most [`PICTURES_MAX`] pictures.
    #[error("the ledger is full of pictures. Allowed: up to {PICTURES_MAX}. Try one of those that are there")]
    PicturesFull,
}

impl LedgerError {
    /// Whose matter it is: it decides exit code, status and tone.
    pub fn kind(&self) -> ErrorKind {
        match self {
            Self::NotALedger { .. }
            | Self::Damaged { .. }
            | Self::SchemaChanged { .. }
            | Self::Newer { .. }
            | Self::UnreadableEntry { .. } => ErrorKind::DataFile,
            Self::NotWritable { .. }
            | Self::Busy { .. }
            | Self::DiskFull { .. }
            | Self::Io { .. }
            | Self::CopyDiffers { .. }
            | Self::ReadStopped { .. }
            | Self::WriteStopped { .. } => ErrorKind::Machine,
            Self::Internal { .. } | Self::NotStorable { .. } | Self::BadWeather { .. } | Self::BadForecast { .. } => {
                ErrorKind::Bug
            }
            Self::Exists { .. }
            | Self::Absent { .. }
            | Self::NotAFile { .. }
            | Self::LeftBehind { .. }
            | Self::BadId { .. }
            | Self::DuplicateId { .. }
            | Self::SupersedesItself { .. }
            | Self::UnknownTarget { .. }
            | Self::AlreadySuperseded { .. }
            | Self::EntryTooLong { .. }
            | Self::LedgerFull { .. }
            | Self::NotAnEntry { .. }
            | Self::LineTooLong
            | Self::ImportTooLarge
            | Self::Import(_)
            | Self::NoDays { .. }
            | Self::TooManyDays { .. }
            | Self::TooManyForecasts { .. }
            | Self::NotAPicture { .. }
            | Self::PictureTorn { .. }
            | Self::PictureTooLarge { .. }
            | Self::PictureTooWide { .. }
            | Self::PicturesFull => ErrorKind::Input,
        }
    }

    /// The file it is about, where it is about one.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Self::Exists { path }
            | Self::Absent { path }
            | Self::NotAFile { path }
            | Self::NotALedger { path, .. }
            | Self::Damaged { path, .. }
            | Self::SchemaChanged { path, .. }
            | Self::Newer { path, .. }
            | Self::UnreadableEntry { path, .. }
            | Self::LeftBehind { path }
            | Self::NotWritable { path, .. }
            | Self::Busy { path }
            | Self::DiskFull { path }
            | Self::Io { path, .. }
            | Self::Internal { path, .. }
            | Self::CopyDiffers { path, .. } => Some(path),
            _ => None,
        }
    }

    /// What SQLite said, about the file at `path`.
    pub(crate) fn of_sqlite(path: &Path, error: rusqlite::Error) -> Self {
        let path = path.to_owned();
        let detail = error.to_string();
        match error {
            // A value of another type, or text that is not UTF-8: the tables are strict, so the bytes are not what was written.
            rusqlite::Error::FromSqlConversionFailure(..)
            | rusqlite::Error::InvalidColumnType(..)
            | rusqlite::Error::IntegralValueOutOfRange(..)
            | rusqlite::Error::Utf8Error(..) => return Self::Damaged { path, detail },
            _ => {}
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::NotADatabase) => Self::NotALedger { path, seen: "not an SQLite database".to_owned() },
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged { path, detail },
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy { path },
            Some(ErrorCode::DiskFull) => Self::DiskFull { path },
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => {
                Self::NotWritable { path, detail }
            }
            Some(ErrorCode::SystemIoFailure | ErrorCode::FileLockingProtocolFailed) => Self::Io { path, detail },
            _ => Self::Internal { path, detail },
        }
    }

    /// What the system said, about the file at `path`.
    pub(crate) fn of_system(path: &Path, error: &io::Error) -> Self {
        let path = path.to_owned();
        match error.kind() {
            io::ErrorKind::AlreadyExists => Self::Exists { path },
            io::ErrorKind::NotFound => Self::Absent { path },
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::NotWritable { path, detail: error.to_string() }
            }
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull { path },
            _ => Self::Io { path, detail: error.to_string() },
        }
    }
}

/// Turns what SQLite says into an error about the file at `path`.
pub(crate) fn at(path: &Path) -> impl Fn(rusqlite::Error) -> LedgerError + '_ {
    move |error| LedgerError::of_sqlite(path, error)
}

/// One faulty line of an import.
#[derive(Debug)]
pub struct LineFault {
    /// The line, from 1.
    pub line: u64,
    /// What is wrong with it.
    pub fault: LedgerError,
}

/// The faults of one import: the first [`FAULTS_SHOWN_MAX`] and how many there are.
#[derive(Debug, Default)]
pub struct ImportFaults {
    /// The first faults, in the order of the file.
    pub shown: Vec<LineFault>,
    /// How many there are in all.
    pub total: usize,
}

impl ImportFaults {
    /// Adds a fault; the lines need not come in order.
    pub(crate) fn add(&mut self, line: u64, fault: LedgerError) {
        let place = self.shown.partition_point(|earlier| earlier.line <= line);
        if place < FAULTS_SHOWN_MAX {
            self.shown.insert(place, LineFault { line, fault });
            self.shown.truncate(FAULTS_SHOWN_MAX);
        }
        self.total += 1;
    }
}

impl fmt::Display for ImportFaults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let s = if self.total == 1 { "" } else { "s" };
        write!(f, "{} faulty line{s}; nothing was imported", self.total)?;
        for LineFault { line, fault } in &self.shown {
            write!(f, "\n  line {line}: {fault}")?;
        }
        if self.total > self.shown.len() {
            write!(f, "\n  and {} more", self.total - self.shown.len())?;
        }
        Ok(())
    }
}

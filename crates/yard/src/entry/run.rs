//! What happens to a mole's run and the trap on it.

use serde::{Deserialize, Serialize};

use super::Key;

/// What was found or done at a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RunState {
    /// A ridge was found.
    #[default]
    Found,
    /// It was pressed flat.
    Flattened,
    /// It was raised again: it is in use.
    Raised,
    /// It stayed flat: it is not.
    StayedFlat,
    /// A trap was set on it.
    TrapSet,
    /// The trap was looked at: nothing.
    TrapEmpty,
    /// The trap caught.
    Caught,
    /// The trap was taken up.
    TrapTaken,
}

impl RunState {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Found => "found",
            Self::Flattened => "pressed flat",
            Self::Raised => "raised again",
            Self::StayedFlat => "stayed flat",
            Self::TrapSet => "trap set",
            Self::TrapEmpty => "trap empty",
            Self::Caught => "caught",
            Self::TrapTaken => "trap taken up",
        }
    }
}

/// A mole's run, seen or worked on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoleRun {
    /// Area it lies in.
    pub area: Key,
    /// The owner's name for it.
    pub run: String,
    /// What was found or done.
    #[serde(default)]
    pub state: RunState,
    /// Where it runs on the map (m east and north of its origin); the newest line of a run counts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub line: Vec<[f64; 2]>,
}

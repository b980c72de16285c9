//! What went wrong, in words for the person, with the exit status it deserves.

use std::fmt;

use yard::Fault;

/// An error at the edge.
#[derive(Debug)]
pub enum Problem {
    /// What the person typed cannot be taken; nothing was stored.
    Typed(String),
    /// Fields of an entry cannot be taken; nothing was stored.
    Faults(Vec<Fault>),
    /// A file or the machine.
    Machine(String),
}

impl Problem {
    /// 2 for what was typed, 1 for the machine.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Typed(_) | Self::Faults(_) => 2,
            Self::Machine(_) => 1,
        }
    }

    /// A problem of the machine, with what was tried.
    pub fn machine(what: impl fmt::Display, error: impl fmt::Display) -> Self {
        Self::Machine(format!("{what}: {error}"))
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Typed(message) | Self::Machine(message) => f.write_str(message),
            Self::Faults(faults) => {
                write!(f, "not stored:")?;
                for fault in faults {
                    write!(f, "\n  {}: {}", fault.field, fault.message)?;
                }
                Ok(())
            }
        }
    }
}

impl From<ledger::LedgerError> for Problem {
    fn from(error: ledger::LedgerError) -> Self {
        Self::Machine(error.to_string())
    }
}

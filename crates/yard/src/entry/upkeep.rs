//! What was found wrong with the sprinklers and waits to be mended; the test of the backflow assembly.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Key;

/// What may be found at a head, a valve or a pipe.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trouble {
    /// Leans.
    #[default]
    Tilted,
    /// Sits too low: its water is caught by the grass.
    Sunk,
    /// Plants or a thing stand in its throw.
    Blocked,
    /// The nozzle or its filter holds dirt.
    Clogged,
    /// Waters the wrong way, paving or a wall.
    WrongArc,
    /// Does not rise, or turn.
    Stuck,
    /// Does not go down again.
    StaysUp,
    /// Throws mist: too much pressure.
    Misting,
    /// Throws short: too little pressure.
    Weak,
    /// Water runs out round the stem.
    SealLeak,
    /// Cap, stem or body broken.
    Broken,
    /// Runs on at the lowest head after the zone is off.
    LowDrain,
    /// A zone valve lets water through when it is off.
    ValveWeeps,
    /// A pipe or fitting leaks.
    PipeLeak,
    /// The manifold in the valve box leaks.
    ManifoldLeak,
    /// Anything else; the remark says what.
    Other,
}

impl Trouble {
    /// All of them.
    pub const ALL: [Self; 16] = [
        Self::Tilted,
        Self::Sunk,
        Self::Blocked,
        Self::Clogged,
        Self::WrongArc,
        Self::Stuck,
        Self::StaysUp,
        Self::Misting,
        Self::Weak,
        Self::SealLeak,
        Self::Broken,
        Self::LowDrain,
        Self::ValveWeeps,
        Self::PipeLeak,
        Self::ManifoldLeak,
        Self::Other,
    ];

    /// Its key in forms.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Tilted => "tilted",
            Self::Sunk => "sunk",
            Self::Blocked => "blocked",
            Self::Clogged => "clogged",
            Self::WrongArc => "wrong-arc",
            Self::Stuck => "stuck",
            Self::StaysUp => "stays-up",
            Self::Misting => "misting",
            Self::Weak => "weak",
            Self::SealLeak => "seal-leak",
            Self::Broken => "broken",
            Self::LowDrain => "low-drain",
            Self::ValveWeeps => "valve-weeps",
            Self::PipeLeak => "pipe-leak",
            Self::ManifoldLeak => "manifold-leak",
            Self::Other => "other",
        }
    }

    /// What is seen.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Tilted => "leans",
            Self::Sunk => "sits too low",
            Self::Blocked => "something stands in its throw",
            Self::Clogged => "clogged",
            Self::WrongArc => "waters the wrong way",
            Self::Stuck => "does not rise or turn",
            Self::StaysUp => "does not go down again",
            Self::Misting => "throws mist",
            Self::Weak => "throws short",
            Self::SealLeak => "water runs out round the stem",
            Self::Broken => "broken",
            Self::LowDrain => "runs on after the zone is off",
            Self::ValveWeeps => "the valve lets water through",
            Self::PipeLeak => "pipe or fitting leaks",
            Self::ManifoldLeak => "the manifold leaks",
            Self::Other => "something else",
        }
    }

    /// What mends it (common practice).
    pub const fn mend(self) -> &'static str {
        match self {
            Self::Tilted => "dig round it, set it upright and level with the ground, tamp the soil",
            Self::Sunk => "raise it: a longer riser or swing joint, its top level with the ground",
            Self::Blocked => "cut back what stands in the way, or move the head",
            Self::Clogged => "take nozzle and filter out, rinse both, flush the stem before they go back",
            Self::WrongArc => "turn the stem or set the arc anew; keep water off paving and walls",
            Self::Stuck => {
                "clean round the stem, rinse the filter; renew the inside or the head where that does not help"
            }
            Self::StaysUp => "wash grit out of the seal; renew the spring or the head",
            Self::Misting => "lower the pressure: flow control of the valve, a regulator, or heads that regulate",
            Self::Weak => {
                "look for a leak on its line and a half-open valve first, then a clogged filter, then too many heads"
            }
            Self::SealLeak => "wash the wiper seal; renew it or the head",
            Self::Broken => "renew the head with its own kind and nozzle; flush the line first",
            Self::LowDrain => {
                "a head with a check valve at the lowest place; where it never stops, the zone valve weeps"
            }
            Self::ValveWeeps => "open the valve, wash or renew diaphragm and seat",
            Self::PipeLeak => "cut the broken piece out and couple a new one in",
            Self::ManifoldLeak => {
                "find the fitting that weeps, dry it, renew it; let solvent cement cure as long as its can says"
            }
            Self::Other => "see the remark",
        }
    }

    /// Water runs away while it waits.
    pub const fn loses_water(self) -> bool {
        matches!(
            self,
            Self::SealLeak | Self::Broken | Self::LowDrain | Self::ValveWeeps | Self::PipeLeak | Self::ManifoldLeak
        )
    }
}

/// Something found wrong with the sprinklers, to be mended. The repair takes its place.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToMend {
    /// Zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<Key>,
    /// Which head, valve or place.
    pub at: String,
    /// What is wrong.
    #[serde(default)]
    pub trouble: Trouble,
    /// Last day to mend it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Date>,
    /// Free words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// A backflow assembly, by how it works.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Assembly {
    /// Pressure vacuum breaker.
    #[default]
    PressureVacuumBreaker,
    /// Double check valve assembly.
    DoubleCheck,
    /// Reduced pressure principle assembly.
    ReducedPressure,
    /// Another testable one.
    Other,
}

impl Assembly {
    /// The trade's name.
    pub const fn words(self) -> &'static str {
        match self {
            Self::PressureVacuumBreaker => "pressure vacuum breaker",
            Self::DoubleCheck => "double check valve assembly",
            Self::ReducedPressure => "reduced pressure assembly",
            Self::Other => "backflow assembly",
        }
    }
}

/// Months between two tests where nobody says otherwise: most water suppliers want one a year.
pub const TEST_MONTHS: u32 = 12;

/// The backflow assembly was tested by a licensed tester.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BackflowTested {
    /// Which kind it is.
    #[serde(default)]
    pub assembly: Assembly,
    /// It failed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub failed: bool,
    /// Who tested it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub tester: String,
    /// Months until the next test.
    pub months: u32,
}

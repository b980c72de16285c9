//! Pipes, fittings, meters, backflow preventers, valves and the pressures heads work at.

use std::collections::BTreeMap;

use serde::Deserialize;

/// The whole table, as the file holds it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hydraulics {
    /// Kinds of pipe.
    #[serde(rename = "pipe")]
    pub pipes: Vec<PipeKind>,
    /// Fittings as lengths of pipe.
    #[serde(rename = "fitting")]
    pub fittings: Vec<FittingKind>,
    /// Water meters, smallest first.
    #[serde(rename = "meter")]
    pub meters: Vec<MeterKind>,
    /// Backflow preventers.
    #[serde(rename = "backflow")]
    pub backflows: Vec<BackflowKind>,
    /// Zone valves, smallest first.
    #[serde(rename = "valve")]
    pub valves: Vec<ValveKind>,
    /// Pressures the kinds of head work at.
    #[serde(rename = "working")]
    pub workings: Vec<HeadPressures>,
    /// What the design of a zone keeps to.
    #[serde(rename = "limit")]
    pub limits: Vec<DesignLimit>,
}

/// A kind of pipe.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PipeKind {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// Hazen–Williams coefficient.
    pub c: f64,
    /// Row of fittings it is joined by.
    pub fittings: String,
    /// Inside diameter by nominal size (mm).
    pub inside_mm: BTreeMap<String, f64>,
    /// Source.
    pub source: String,
    /// Fields recalled.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// Fittings as lengths of pipe that lose as much, by nominal size (m).
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FittingKind {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// A right-angled elbow.
    pub elbow_m: BTreeMap<String, f64>,
    /// A tee passed straight through.
    pub tee_run_m: BTreeMap<String, f64>,
    /// A tee left by its side.
    pub tee_side_m: BTreeMap<String, f64>,
    /// Source.
    pub source: String,
}

/// A water meter: its loss grows with the square of its flow.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeterKind {
    /// Size (in).
    pub size: String,
    /// Highest safe flow (L/min).
    pub safe_lpm: f64,
    /// Loss at that flow (kPa).
    pub loss_kpa: f64,
    /// Source.
    pub source: String,
}

/// A backflow preventer.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BackflowKind {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// What any flow costs (kPa).
    pub opening_kpa: f64,
    /// A flow (L/min).
    pub at_lpm: f64,
    /// The whole loss at that flow (kPa).
    pub loss_kpa: f64,
    /// Source.
    pub source: String,
    /// Fields recalled.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// A zone valve.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ValveKind {
    /// Size (in).
    pub size: String,
    /// What any flow costs (kPa).
    pub opening_kpa: f64,
    /// A flow (L/min).
    pub at_lpm: f64,
    /// The whole loss at that flow (kPa).
    pub loss_kpa: f64,
    /// Source.
    pub source: String,
    /// Fields recalled.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// The pressures a kind of head works at.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeadPressures {
    /// Key of the sprinkler kind.
    pub id: String,
    /// Below it the head dribbles (kPa).
    pub low_kpa: f64,
    /// Where its nozzle table is read (kPa).
    pub design_kpa: f64,
    /// Above it the head mists (kPa).
    pub high_kpa: f64,
    /// Source.
    pub source: String,
    /// Fields recalled.
    #[serde(default)]
    pub from_memory: Vec<String>,
}

/// What the design of a zone keeps to.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DesignLimit {
    /// Key.
    pub id: String,
    /// What it limits.
    pub name: String,
    /// The figure.
    pub value: f64,
    /// Its unit, SI.
    pub unit: String,
    /// Source.
    pub source: String,
}

impl Hydraulics {
    /// The kind of pipe with this key.
    pub fn pipe(&self, id: &str) -> Option<&PipeKind> {
        self.pipes.iter().find(|row| row.id == id)
    }

    /// The fittings a kind of pipe is joined by.
    pub fn fittings(&self, pipe: &PipeKind) -> Option<&FittingKind> {
        self.fittings.iter().find(|row| row.id == pipe.fittings)
    }

    /// The meter of this size.
    pub fn meter(&self, size: &str) -> Option<&MeterKind> {
        self.meters.iter().find(|row| row.size == size)
    }

    /// The backflow preventer with this key.
    pub fn backflow(&self, id: &str) -> Option<&BackflowKind> {
        self.backflows.iter().find(|row| row.id == id)
    }

    /// The valve of this size.
    pub fn valve(&self, size: &str) -> Option<&ValveKind> {
        self.valves.iter().find(|row| row.size == size)
    }

    /// The pressures of this sprinkler kind.
    pub fn working(&self, sprinkler: &str) -> Option<&HeadPressures> {
        self.workings.iter().find(|row| row.id == sprinkler)
    }

    /// The limit with this key.
    pub fn limit(&self, id: &str) -> Option<&DesignLimit> {
        self.limits.iter().find(|row| row.id == id)
    }
}

impl PipeKind {
    /// The next wider size.
    pub fn next_wider(&self, size: &str) -> Option<&str> {
        let inside = self.inside_mm.get(size)?;
        let wider = self.inside_mm.iter().filter(|(_, mm)| *mm > inside);
        wider.min_by(|a, b| a.1.total_cmp(b.1)).map(|(size, _)| size.as_str())
    }
}

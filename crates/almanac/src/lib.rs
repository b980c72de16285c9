#![doc = include_str!("../README.md")]

pub mod active;
pub mod cause;
pub mod fault;
mod find;
pub mod grass;
pub mod ground;
pub mod hydraulics;
mod load;
pub mod plant;
pub mod remedy;
pub mod soil_test;
pub mod watch;
pub mod weed;

pub use active::{Active, ActiveKind, Basis, Figure, GrassTolerance, SeedWait, Site, Tolerance, YearlyMax};
pub use cause::{Cause, CauseAct, CauseSource, Condition, CountThreshold, Finding, FindingKind, Ground, Outcome};
pub use fault::{
    FaultAfter, FaultBasis, FaultCause, FaultGroup, FaultOutcome, FaultSymptom, FaultTest, Faults, RepairBy, RepairCost,
};
pub use grass::{CareLevel, CropCoefficient, Grass, NitrogenSplit, Range, Season};
pub use ground::{ClimateStation, SlopeClass, SprinklerKind, Texture, Threshold};
pub use hydraulics::{
    BackflowKind, DesignLimit, FittingKind, HeadPressures, Hydraulics, MeterKind, PipeKind, ValveKind,
};
pub use load::TableFault;
pub use plant::{PlantAct, PlantCare, PlantCause, Plants, WoodyPlant};
pub use remedy::{CareKind, CareStep, Heals, Moment, Remedy, RemedyActive, RemedyWindow, Spread};
pub use soil_test::{
    Amendment, Amendments, CoarseTexture, LabelNutrient, LimeMethod, SoilTests, TestClass, TestElement, TestMethod,
    TestedSoil,
};
pub use watch::{InsectStage, StageMethod};
pub use weed::{KillAt, Kills, LifeCycle, Prevents, Weed, WeedForm, WeedMeasure, WeedStage, WeedStageRow, Weeds};

/// Every table, parsed once.
#[derive(Clone, Debug)]
pub struct Almanac {
    /// Turf grasses.
    pub grasses: Vec<Grass>,
    /// Nitrogen by month.
    pub nitrogen_splits: Vec<NitrogenSplit>,
    /// Crop coefficients.
    pub crop_coefficients: Vec<CropCoefficient>,
    /// Active ingredients.
    pub actives: Vec<Active>,
    /// Soil textures.
    pub textures: Vec<Texture>,
    /// Slope classes, gentlest first.
    pub slopes: Vec<SlopeClass>,
    /// Sprinkler kinds.
    pub sprinklers: Vec<SprinklerKind>,
    /// Thresholds.
    pub thresholds: Vec<Threshold>,
    /// Built-in climate.
    pub climate: Vec<ClimateStation>,
    /// What soil tests mean.
    pub soil_tests: SoilTests,
    /// Lime, sulphur and iron.
    pub amendments: Amendments,
    /// Causes of a bad patch of lawn.
    pub causes: Vec<Cause>,
    /// What the causes lean on.
    pub cause_sources: Vec<CauseSource>,
    /// What can be seen and measured on a bad patch.
    pub findings: Vec<Finding>,
    /// Sick woody plants: causes, signs and tests.
    pub plants: Plants,
    /// Faults of a sprinkler system.
    pub faults: Faults,
    /// Pipes, meters, valves and the pressures heads work at.
    pub hydraulics: Hydraulics,
    /// Stages of insects by degree days.
    pub insect_stages: Vec<InsectStage>,
    /// What is done about each cause.
    pub remedies: Vec<Remedy>,
    /// How fast spreading grasses close a gap.
    pub spreads: Vec<Spread>,
    /// Weeds of lawns and beds.
    pub weeds: Weeds,
}

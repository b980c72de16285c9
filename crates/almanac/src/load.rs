//! The tables, parsed once from the text built into the program.

use std::sync::OnceLock;

use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::weed::{FormSigns, LifeMonths};
use crate::{
    Active, Almanac, Cause, CauseSource, ClimateStation, CropCoefficient, Finding, Grass, InsectStage, NitrogenSplit,
    PlantCause, Plants, Remedy, SlopeClass, Spread, SprinklerKind, Texture, Threshold, Weed, Weeds, WoodyPlant,
};

/// A table that does not read as its type says: a fault of the program, never of the person who runs it.
#[derive(Debug, thiserror::Error)]
#[error("built-in table data/{file} does not parse: {cause}")]
pub struct TableFault {
    /// File name in the data folder.
    pub file: &'static str,
    /// Line, column and reason.
    pub cause: Box<toml::de::Error>,
}

impl Almanac {
    /// The tables built into the program.
    ///
    /// # Panics
    /// When a built-in table does not parse. The text is fixed at build time and a test reads all of it, so that is
    /// a fault of the build.
    pub fn embedded() -> &'static Almanac {
        static TABLES: OnceLock<Almanac> = OnceLock::new();
        TABLES.get_or_init(|| match Almanac::parse() {
            Ok(tables) => tables,
            Err(fault) => panic!("{fault}"),
        })
    }

    /// Parses the built-in text.
    ///
    /// # Errors
    /// [`TableFault`] naming the file, the line and the reason.
    pub fn parse() -> Result<Almanac, TableFault> {
        let causes: Causes = table("causes.toml", include_str!("../../../data/causes.toml"))?;
        let plant_causes: PlantCauses = table("plant_causes.toml", include_str!("../../../data/plant_causes.toml"))?;
        let remedies: Remedies = table("remedies.toml", include_str!("../../../data/remedies.toml"))?;
        let plants: PlantFindings = table("plant_findings.toml", include_str!("../../../data/plant_findings.toml"))?;
        let mut weeds = table::<WeedRows>("weeds.toml", include_str!("../../../data/weeds.toml"))?.weed;
        let grasses = table::<WeedRows>("weed_grasses.toml", include_str!("../../../data/weed_grasses.toml"))?;
        weeds.extend(grasses.weed);
        let marks: WeedMarks = table("weed_marks.toml", include_str!("../../../data/weed_marks.toml"))?;
        Ok(Almanac {
            grasses: table::<Grasses>("grasses.toml", include_str!("../../../data/grasses.toml"))?.grass,
            nitrogen_splits: table::<Splits>("nitrogen.toml", include_str!("../../../data/nitrogen.toml"))?.split,
            crop_coefficients: table::<Coefficients>(
                "crop_coefficients.toml",
                include_str!("../../../data/crop_coefficients.toml"),
            )?
            .coefficient,
            actives: table::<Actives>("actives.toml", include_str!("../../../data/actives.toml"))?.active,
            textures: table::<Textures>("textures.toml", include_str!("../../../data/textures.toml"))?.texture,
            slopes: table::<Slopes>("slopes.toml", include_str!("../../../data/slopes.toml"))?.slope,
            sprinklers: table::<Sprinklers>("sprinklers.toml", include_str!("../../../data/sprinklers.toml"))?
                .sprinkler,
            thresholds: table::<Thresholds>("thresholds.toml", include_str!("../../../data/thresholds.toml"))?
                .threshold,
            climate: table::<Climate>("climate.toml", include_str!("../../../data/climate.toml"))?.station,
            soil_tests: table("soil_tests.toml", include_str!("../../../data/soil_tests.toml"))?,
            amendments: table("lime.toml", include_str!("../../../data/lime.toml"))?,
            causes: causes.cause,
            cause_sources: causes.source,
            findings: table::<Findings>("findings.toml", include_str!("../../../data/findings.toml"))?.finding,
            plants: Plants {
                plants: plants.plant,
                causes: plant_causes.cause,
                sources: plant_causes.source,
                findings: plants.finding,
            },
            faults: table("faults.toml", include_str!("../../../data/faults.toml"))?,
            hydraulics: table("hydraulics.toml", include_str!("../../../data/hydraulics.toml"))?,
            insect_stages: table::<Stages>("watch.toml", include_str!("../../../data/watch.toml"))?.stage,
            remedies: remedies.remedy,
            spreads: remedies.spread,
            weeds: Weeds::join(weeds, marks.finding, marks.life, &marks.form, marks.source),
        })
    }
}

fn table<T: DeserializeOwned>(file: &'static str, text: &str) -> Result<T, TableFault> {
    toml::from_str(text).map_err(|cause| TableFault { file, cause: Box::new(cause) })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Grasses {
    grass: Vec<Grass>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Splits {
    split: Vec<NitrogenSplit>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Coefficients {
    coefficient: Vec<CropCoefficient>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Actives {
    active: Vec<Active>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Textures {
    texture: Vec<Texture>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Slopes {
    slope: Vec<SlopeClass>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sprinklers {
    sprinkler: Vec<SprinklerKind>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Thresholds {
    threshold: Vec<Threshold>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Causes {
    source: Vec<CauseSource>,
    cause: Vec<Cause>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlantCauses {
    source: Vec<CauseSource>,
    cause: Vec<PlantCause>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlantFindings {
    plant: Vec<WoodyPlant>,
    finding: Vec<Finding>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Findings {
    finding: Vec<Finding>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Remedies {
    remedy: Vec<Remedy>,
    spread: Vec<Spread>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Stages {
    stage: Vec<InsectStage>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WeedRows {
    weed: Vec<Weed>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WeedMarks {
    source: Vec<CauseSource>,
    life: Vec<LifeMonths>,
    form: Vec<FormSigns>,
    finding: Vec<Finding>,
}

/// The only table that may be empty: a place far from every row is served by the user's own climate figures.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Climate {
    #[serde(default)]
    station: Vec<ClimateStation>,
}

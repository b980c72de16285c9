//! Entries: the facts a person records. Append-only; a correction or a withdrawal supersedes.
//!
//! Figures are SI, unit last in the field's name. The tag `kind` carries the version of its kind (`mowed/1`), so that old entries
//! stay readable when a kind grows.

mod audited;
mod planted;
mod product;
mod run;
mod scouted;
mod shed;
mod supply;
mod upkeep;
mod water;
mod water_supply;

use jiff::{Timestamp, civil::Date};
use serde::{Deserialize, Serialize};

pub use self::audited::Audited;
pub use self::planted::Planted;
pub use self::product::{Form, LabelLimits, Pack, ProductFacts, Strength, TargetRate};
pub use self::run::{MoleRun, RunState};
pub use self::scouted::{Found, Scouted, Seedlings};
pub use self::shed::{
    Counted, LocalRules, PhosphateRule, SoilTested, SprayerTried, SpreaderTrial, SpreaderTried, TestUnit,
};
pub use self::supply::{BillPeriod, BilledUnit, Meter, MeterRead, PriceStep, TariffFacts};
pub use self::upkeep::{Assembly, BackflowTested, TEST_MONTHS, ToMend, Trouble};
pub use self::water::{
    ControllerFacts, Parity, Programme, RainGauge, SoilWaterSeen, Sprinklers, SystemState, WaterRules, Watered,
    ZoneFacts,
};
pub use self::water_supply::{LaidPipe, WaterSupply};
use crate::map::{Mapped, Origin, OutlineFacts, Underlay};
use crate::units::Units;
use crate::weather_day::Place;

/// A short name for an area, zone or product: lower case letters, digits and hyphens.
pub type Key = String;

/// One recorded fact.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Sortable unique id, made at the edge.
    pub id: String,
    /// The day it happened, or is planned for.
    pub happened_on: Date,
    /// The moment it was written down.
    pub recorded_at: Timestamp,
    /// The entry this one corrects or withdraws.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supersedes: Option<String>,
    /// What happened.
    pub body: Body,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind")]
pub enum Body {
    /// The yard as a whole.
    #[serde(rename = "yard/1")]
    Yard(YardFacts),
    /// A piece of ground.
    #[serde(rename = "area/1")]
    Area(AreaFacts),
    /// The ground of an area, drawn.
    #[serde(rename = "outline/1")]
    Outline(OutlineFacts),
    /// A thing on the map.
    #[serde(rename = "mapped/1")]
    Mapped(Mapped),
    /// Where on the globe the map lies.
    #[serde(rename = "origin/1")]
    Origin(Origin),
    /// A picture laid under the map.
    #[serde(rename = "underlay/1")]
    Underlay(Underlay),
    /// A sprinkler zone.
    #[serde(rename = "zone/1")]
    Zone(ZoneFacts),
    /// When watering is possible and allowed.
    #[serde(rename = "water-rules/1")]
    WaterRules(WaterRules),
    /// What the controller can do.
    #[serde(rename = "controller/1")]
    Controller(ControllerFacts),
    /// What the controller runs by itself.
    #[serde(rename = "programme/1")]
    Programme(Programme),
    /// The sprinkler system was opened for the season or shut for the winter.
    #[serde(rename = "sprinklers/1")]
    Sprinklers(Sprinklers),
    /// A product on the shelf, from its label.
    #[serde(rename = "product/1")]
    Product(Box<ProductFacts>),
    /// What is left on the shelf was counted.
    #[serde(rename = "counted/1")]
    Counted(Counted),
    /// A spreader was tried out.
    #[serde(rename = "spreader/1")]
    Spreader(SpreaderTried),
    /// A sprayer was tried out.
    #[serde(rename = "sprayer/1")]
    Sprayer(SprayerTried),
    /// The soil was tested by a laboratory.
    #[serde(rename = "soil-test/1")]
    SoilTested(SoilTested),
    /// Local rules on feeding.
    #[serde(rename = "local-rules/1")]
    LocalRules(LocalRules),
    /// Something was put down.
    #[serde(rename = "applied/1")]
    Applied(Applied),
    /// Seed was sown.
    #[serde(rename = "seeded/1")]
    Seeded(Seeded),
    /// Grass was cut.
    #[serde(rename = "mowed/1")]
    Mowed(Mowed),
    /// Water was put on by hand or by a zone run beside the programme.
    #[serde(rename = "watered/1")]
    Watered(Watered),
    /// The yard's own rain gauge was read.
    #[serde(rename = "rain/1")]
    Rain(RainGauge),
    /// The soil's moisture was felt or measured.
    #[serde(rename = "soil-water/1")]
    SoilWater(SoilWaterSeen),
    /// The ground was looked at.
    #[serde(rename = "scouted/1")]
    Scouted(Scouted),
    /// A mole's run was seen or worked on.
    #[serde(rename = "mole-run/1")]
    MoleRun(MoleRun),
    /// Trees, shrubs or a hedge were planted.
    #[serde(rename = "planted/1")]
    Planted(Planted),
    /// Something was mended.
    #[serde(rename = "repaired/1")]
    Repaired(Repaired),
    /// Something found wrong with the sprinklers waits to be mended.
    #[serde(rename = "to-mend/1")]
    ToMend(ToMend),
    /// The backflow assembly was tested.
    #[serde(rename = "backflow-tested/1")]
    BackflowTested(BackflowTested),
    /// Something was bought.
    #[serde(rename = "bought/1")]
    Bought(Bought),
    /// A water meter was read.
    #[serde(rename = "meter-read/1")]
    MeterRead(MeterRead),
    /// The water supplier's prices.
    #[serde(rename = "tariff/1")]
    Tariff(TariffFacts),
    /// The water supply: pressures at the tap, meter, pipes.
    #[serde(rename = "supply/1")]
    Supply(WaterSupply),
    /// A zone was measured with cans, the meter, or a bucket.
    #[serde(rename = "audited/1")]
    Audited(Audited),
    /// Anything else worth keeping.
    #[serde(rename = "note/1")]
    Note(Note),
    /// Work meant to be done on `happened_on`.
    #[serde(rename = "planned/1")]
    Planned(Planned),
    /// The superseded entry never was.
    #[serde(rename = "withdrawn/1")]
    Withdrawn(Withdrawn),
}

impl Body {
    /// The kind without its version, as pages and commands name it.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Yard(_) => "yard",
            Self::Area(_) => "area",
            Self::Outline(_) => "outline",
            Self::Mapped(_) => "mapped",
            Self::Origin(_) => "origin",
            Self::Underlay(_) => "underlay",
            Self::Zone(_) => "zone",
            Self::WaterRules(_) => "water-rules",
            Self::Controller(_) => "controller",
            Self::Programme(_) => "programme",
            Self::Sprinklers(_) => "sprinklers",
            Self::Product(_) => "product",
            Self::Counted(_) => "counted",
            Self::Spreader(_) => "spreader",
            Self::Sprayer(_) => "sprayer",
            Self::SoilTested(_) => "soil-test",
            Self::LocalRules(_) => "local-rules",
            Self::Applied(_) => "applied",
            Self::Seeded(_) => "seeded",
            Self::Mowed(_) => "mowed",
            Self::Watered(_) => "watered",
            Self::Rain(_) => "rain",
            Self::SoilWater(_) => "soil-water",
            Self::Scouted(_) => "scouted",
            Self::MoleRun(_) => "mole-run",
            Self::Planted(_) => "planted",
            Self::Repaired(_) => "repaired",
            Self::ToMend(_) => "to-mend",
            Self::BackflowTested(_) => "backflow-tested",
            Self::Bought(_) => "bought",
            Self::MeterRead(_) => "meter-read",
            Self::Tariff(_) => "tariff",
            Self::Supply(_) => "supply",
            Self::Audited(_) => "audited",
            Self::Note(_) => "note",
            Self::Planned(_) => "planned",
            Self::Withdrawn(_) => "withdrawn",
        }
    }

    /// Areas the entry is about, by key.
    pub fn areas(&self) -> Vec<&str> {
        match self {
            Self::Area(a) => vec![&a.key],
            Self::Outline(o) => vec![&o.area],
            Self::Zone(z) => z.areas.iter().map(String::as_str).collect(),
            Self::Applied(a) => a.areas.iter().map(String::as_str).collect(),
            Self::Seeded(s) => vec![&s.area],
            Self::Mowed(m) => m.areas.iter().map(String::as_str).collect(),
            Self::Watered(w) => w.area.as_deref().into_iter().collect(),
            Self::SoilWater(s) => vec![&s.area],
            Self::SoilTested(s) => s.areas.iter().map(String::as_str).collect(),
            Self::Scouted(s) => vec![&s.area],
            Self::MoleRun(m) => vec![&m.area],
            Self::Planted(p) => vec![&p.area],
            Self::Repaired(r) => r.area.as_deref().into_iter().collect(),
            Self::Note(n) => n.area.as_deref().into_iter().collect(),
            Self::Planned(p) => match &p.work {
                Work::Apply(a) => a.areas.iter().map(String::as_str).collect(),
                Work::Sow(s) => vec![&s.area],
            },
            Self::Yard(_)
            | Self::Mapped(_)
            | Self::Origin(_)
            | Self::Underlay(_)
            | Self::WaterRules(_)
            | Self::Controller(_)
            | Self::Programme(_)
            | Self::Sprinklers(_)
            | Self::Product(_)
            | Self::Counted(_)
            | Self::Spreader(_)
            | Self::Sprayer(_)
            | Self::LocalRules(_)
            | Self::Rain(_)
            | Self::ToMend(_)
            | Self::BackflowTested(_)
            | Self::Bought(_)
            | Self::MeterRead(_)
            | Self::Tariff(_)
            | Self::Supply(_)
            | Self::Audited(_)
            | Self::Withdrawn(_) => Vec::new(),
        }
    }

    /// Zone the entry is about, by key.
    pub fn zone(&self) -> Option<&str> {
        match self {
            Self::Zone(z) => Some(&z.key),
            Self::Mapped(m) => m.thing.zone(),
            Self::Programme(p) => Some(&p.zone),
            Self::Watered(w) => w.zone.as_deref(),
            Self::Repaired(r) => r.zone.as_deref(),
            Self::ToMend(m) => m.zone.as_deref(),
            Self::Audited(a) => Some(&a.zone),
            _ => None,
        }
    }

    /// Money spent, in the yard's currency.
    pub fn cost(&self) -> Option<f64> {
        match self {
            Self::Repaired(r) => r.cost,
            Self::Bought(b) => b.cost,
            _ => None,
        }
    }
}

/// Name, place and habits.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct YardFacts {
    /// What the owner calls it.
    pub name: String,
    /// Where it is.
    pub place: Place,
    /// Units the owner thinks in.
    pub units: Units,
    /// IANA time zone, e.g. "America/Denver"; the machine's own where absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_zone: Option<String>,
    /// Sign put before money.
    #[serde(default = "dollar")]
    pub currency: String,
}

fn dollar() -> String {
    "$".to_owned()
}

/// What covers an area.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cover {
    /// Mown grass.
    #[default]
    Turf,
    /// Mulched bed with plants.
    Bed,
    /// Evergreen hedge.
    Hedge,
    /// Paving, gravel, building.
    Hard,
}

impl Cover {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Turf => "lawn",
            Self::Bed => "bed",
            Self::Hedge => "hedge",
            Self::Hard => "hard surface",
        }
    }
}

/// A piece of ground.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AreaFacts {
    /// Key.
    pub key: Key,
    /// Name.
    pub name: String,
    /// Size (m²) as it was told; in a [`Yard`](crate::Yard) the drawing's, where the area is drawn.
    pub size_m2: f64,
    /// What covers it.
    #[serde(default)]
    pub cover: Cover,
    /// Grass key of the almanac; the chief one of a mix. Needed for turf.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grass: Option<Key>,
    /// Soil texture key of the almanac.
    pub soil: Key,
    /// Slope (%).
    #[serde(default)]
    pub slope_pct: f64,
    /// How hard it is fed.
    #[serde(default)]
    pub care: almanac::CareLevel,
    /// Root depth found on a plug (m).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub root_m: Option<f64>,
    /// Height the owner mows to (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mow_mm: Option<f64>,
    /// Hours of direct sun on a summer day, seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sun_h: Option<f64>,
    /// Day sod was laid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sod_on: Option<Date>,
    /// Day the ground was made when the house was built: graded, filled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_on: Option<Date>,
    /// Salt is put down beside it in winter.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub salted: bool,
    /// Days snow lay on it last winter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub snow_days: Option<f64>,
    /// Depth of mulch found (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mulch_mm: Option<f64>,
    /// What grows in a bed or hedge.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub plants: String,
    /// Height of a hedge (m).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// True once the area is no more.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub retired: bool,
}

/// Something put down on areas.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Applied {
    /// Areas, whole unless a spot is told.
    pub areas: Vec<Key>,
    /// Product on the shelf.
    pub product: Key,
    /// Product on the ground (g/m²; mL/m² for liquids).
    pub rate_g_m2: f64,
    /// Ground it went on where that is only a spot of the areas (m²).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spot_m2: Option<f64>,
    /// Wind at the time (m/s).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_ms: Option<f64>,
    /// Air temperature at the time (°C).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_c: Option<f64>,
    /// Hours until rain was, or is, expected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain_in_hours: Option<f64>,
    /// Water put on afterwards to wash it in (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub watered_in_mm: Option<f64>,
    /// Flowers open on the ground treated.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub flowers_open: bool,
    /// Free words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Sown on bare ground or into a stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sowing {
    /// New ground.
    #[default]
    Bare,
    /// Into living turf.
    Over,
}

/// Seed sown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seeded {
    /// Area.
    pub area: Key,
    /// Grass key.
    pub grass: Key,
    /// Seed (g/m²).
    pub rate_g_m2: f64,
    /// Ground it went on where that is only a spot of the area (m²).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spot_m2: Option<f64>,
    /// Bare ground or over a stand.
    #[serde(default)]
    pub sowing: Sowing,
    /// Free words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Grass cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mowed {
    /// Areas.
    pub areas: Vec<Key>,
    /// Height left standing (mm).
    pub height_mm: f64,
    /// Clippings taken off.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bagged: bool,
}

/// Something mended.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Repaired {
    /// Zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<Key>,
    /// Area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Key>,
    /// What was done, with what parts.
    pub done: String,
    /// Cost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}

/// Something bought.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bought {
    /// What.
    pub what: String,
    /// Product on the shelf it belongs to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<Key>,
    /// Amount in the words of the receipt ("2 bags of 20 lb").
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub amount: String,
    /// Amount of the product (kg; L for liquids), so that the shelf can be reckoned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount_kg: Option<f64>,
    /// Cost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}

/// Free words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// Area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Key>,
    /// The words.
    pub text: String,
}

/// Work meant to be done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "work", rename_all = "kebab-case")]
pub enum Work {
    /// Put something down.
    Apply(Applied),
    /// Sow.
    Sow(Seeded),
}

/// Work meant to be done on the entry's day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// The work.
    #[serde(flatten)]
    pub work: Work,
}

/// The superseded entry never was.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawn {
    /// Why.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}

//! The watch: how far the weather favours each disease of the yard's own grasses, which stages of insects come when, and what to
//! look for this week and where. A pure function of the facts, the weather known and a day.

pub(crate) mod disease;
mod insects;
mod models;
mod moles;

use jiff::civil::Date;
use reckon::working::Step;
use serde::Serialize;

use crate::advice::{Scene, Where, Window};
use crate::entry::AreaFacts;

pub use disease::SCOPE;
pub use moles::{LAW, RunWatch, Use, WHO_DIGS};

/// How far the last week's weather favours a disease.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pressure {
    /// No day over the line.
    Low,
    /// One or two days, or more where the air's moisture is only estimated or the line is recalled.
    Raised,
    /// Three days or more of the last seven.
    High,
}

impl Pressure {
    /// The word on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::Raised => "raised",
            Self::High => "high",
        }
    }
}

/// One day of a disease's model.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DiseaseDay {
    /// The day.
    pub date: Date,
    /// What the model gives.
    pub value: f64,
    /// Whether that is on or over the line.
    pub over: bool,
    /// Whether a reading it needs was filled, not measured.
    pub guessed: bool,
}

/// A disease's model on a day ahead, in the past years laid on it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DiseaseAhead {
    /// The day.
    pub date: Date,
    /// One year of ten is no higher.
    pub low: f64,
    /// Half the years are no higher.
    pub likely: f64,
    /// Nine years of ten are no higher.
    pub high: f64,
}

/// A disease watched.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DiseaseWatch {
    /// Key of the cause.
    pub id: String,
    /// Name.
    pub name: String,
    /// What the value is, in words with its unit.
    pub value_of: &'static str,
    /// The line from which the source acts.
    pub line: f64,
    /// Top of the scale a drawing needs.
    pub top: f64,
    /// The last sixty days.
    pub days: Vec<DiseaseDay>,
    /// The fourteen days from the day asked for; empty where only average years are known.
    pub days_ahead: Vec<DiseaseAhead>,
    /// Days over the line in the last seven.
    pub over_7: usize,
    /// How far the weather favours it.
    pub pressure: Pressure,
    /// Share of the years looked at with three days or more over the line in the fourteen days ahead.
    pub ahead: Option<f64>,
    /// Lawns whose grass takes it, likeliest first.
    pub places: Vec<Where>,
    /// Where to look first.
    pub look_first: &'static str,
    /// What to look for.
    pub look: String,
    /// True where the line is recalled, not looked up.
    pub recalled: bool,
    /// True where the weather alone asks for no look.
    pub quiet: bool,
    /// What stands in for a measurement.
    pub assumed: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
    /// Source of the model.
    pub source: &'static str,
}

/// Where in its season a stage is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StageState {
    /// Still to come.
    Ahead,
    /// Now, or just begun.
    Now,
    /// Over for this season.
    Past,
}

/// A stage of an insect watched.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InsectWatch {
    /// Key of the row.
    pub id: String,
    /// The animal.
    pub name: String,
    /// What it does then.
    pub stage: String,
    /// Key of the cause of a bad patch, where it is one.
    pub cause: Option<String>,
    /// Where in its season it is.
    pub state: StageState,
    /// When it begins, in the years looked at.
    pub begins: Option<Window>,
    /// The day it began, once it has.
    pub began: Option<Date>,
    /// Degree days so far, or the soil's mean.
    pub sum: f64,
    /// Unit of the three: °C·d, or °C of the soil.
    pub unit: &'static str,
    /// From here.
    pub low: f64,
    /// To here.
    pub high: f64,
    /// Areas it is about.
    pub places: Vec<Where>,
    /// Where to look.
    pub look_at: String,
    /// What to look for, and how.
    pub look: String,
    /// True where the sums are recalled, not looked up.
    pub recalled: bool,
    /// The computation.
    pub working: Vec<Step>,
    /// Source of the sums.
    pub source: String,
}

/// One thing to look for this week.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Look {
    /// What.
    pub title: String,
    /// Areas, likeliest first.
    pub places: Vec<Where>,
    /// Where on them.
    pub look_at: String,
    /// How to look.
    pub how: String,
    /// Why now.
    pub why: String,
    /// True where it rests on a recalled figure.
    pub recalled: bool,
    /// Kind of entry that writes down what was found.
    pub log: &'static str,
}

/// Everything the watch tells on a day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Watch {
    /// The day.
    pub on: Date,
    /// Diseases of the yard's grasses, highest pressure first.
    pub diseases: Vec<DiseaseWatch>,
    /// Stages of insects and mites, in the order they come.
    pub insects: Vec<InsectWatch>,
    /// Runs of moles, in use first.
    pub runs: Vec<RunWatch>,
    /// What to look for this week.
    pub scout: Vec<Look>,
    /// Where the days ahead come from.
    pub outlook: String,
    /// What the reader should know.
    pub notes: Vec<String>,
}

/// Days ahead that count as this week.
const WEEK: i64 = 7;

/// The watch of a yard on a day; weather later than the evening before is never looked at.
pub fn watch(scene: &Scene<'_>) -> Watch {
    let known = scene.weather.known_before(scene.on, scene.almanac);
    let scene = Scene { yard: scene.yard, weather: &known, almanac: scene.almanac, on: scene.on };
    let outlook = known.outlook(scene.yesterday(), 366);
    let diseases = disease::watched(&scene, &outlook);
    let insects = insects::watched(&scene, &outlook);
    let mut scout: Vec<Look> = Vec::new();
    scout.extend(moles::look(&scene));
    let runs = moles::runs(&scene);
    scout.extend(moles::looks(&runs));
    // A recalled line, or warmth alone, never asks for a look.
    for d in diseases.iter().filter(|d| d.pressure > Pressure::Low && !d.recalled && !d.quiet) {
        scout.push(Look {
            title: d.name.clone(),
            places: d.places.clone(),
            look_at: d.look_first.to_owned(),
            how: d.look.clone(),
            why: format!("{} of the last 7 days were over the line ({}).", d.over_7, d.value_of),
            recalled: false,
            log: "scouted",
        });
    }
    for i in &insects {
        let soon = i.begins.is_some_and(|w| crate::fold::Yard::days_between(scene.on, w.likely) <= WEEK);
        if i.state != StageState::Now && !(i.state == StageState::Ahead && soon) {
            continue;
        }
        let when = match (i.began, i.begins) {
            (Some(day), _) => format!("began about {day}"),
            (None, Some(w)) => format!("likely {}", w.likely),
            (None, None) => "about now".to_owned(),
        };
        let doubt = if i.recalled { ", by a recalled figure" } else { "" };
        scout.push(Look {
            title: format!("{}: {}", i.name, i.stage),
            places: i.places.clone(),
            look_at: i.look_at.clone(),
            how: i.look.clone(),
            why: match i.unit {
                "°C·d" => format!("{when}: {:.0} degree days (°C·d) so far, {:.0} wanted{doubt}.", i.sum, i.low),
                _ => format!("{when}{doubt}."),
            },
            recalled: i.recalled,
            log: "scouted",
        });
    }
    let mut notes = vec![
        "When moths fly up from the grass at dusk, write down a look with the word “moths”: sod webworm and cutworm are counted from that day on."
            .to_owned(),
        "Weather that favours a disease is not the disease: look before anything is done. No treatment without a cause found and, for insects, a count over its threshold."
            .to_owned(),
        "Not watched, for want of a reading: gray snow mould (no snow record; it wants about two months of snow on unfrozen ground, Kansas State University)."
            .to_owned(),
    ];
    if scene.yard.lawns().next().is_none() {
        notes.push("No lawn is written down, so no disease is watched.".to_owned());
    }
    Watch { on: scene.on, diseases, insects, runs, scout, outlook: outlook.basis, notes }
}

/// Areas as places, with the sun told (or not) deciding who comes first.
fn places(scene: &Scene<'_>, mut areas: Vec<&AreaFacts>, shade_first: bool) -> Vec<Where> {
    areas.sort_by(|a, b| {
        let sun = |a: &AreaFacts| a.sun_h.unwrap_or(6.0) * if shade_first { 1.0 } else { -1.0 };
        sun(a).total_cmp(&sun(b))
    });
    areas.iter().map(|a| scene.place_of(&a.key)).collect()
}

/// The runs of moles on a day, for the map.
pub fn mole_runs(scene: &Scene<'_>) -> Vec<RunWatch> {
    moles::runs(scene)
}

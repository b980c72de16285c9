//! What is wrong with a hedge plant, a shrub or a young tree: the causes ranked, what speaks for and against each, the
//! next best look, and whether to keep the plant.
//!
//! Causes, plants, findings and figures are [`almanac::plant::Plants`]; the weighing is that of patches.

use std::collections::{BTreeMap, BTreeSet};

use almanac::Condition;
use almanac::plant::{PlantAct, PlantCare, PlantCause, Plants};
use reckon::ReckonError;
use reckon::error::Bound;

use super::weigh::{refuse, weigh};
use super::{Beside, MONTH_LEAST, NextLook, Says, Seen, Verdict};

/// Exponent on the posterior, as [`super::SHARPNESS`]. The tuned plants alone, one answer left out or misread in turn, would take 1.6 and more;
/// they are pages of books, and a householder tells less and is less sure of it, so it stays nearer to one.
pub const PLANT_SHARPNESS: f64 = 1.3;

/// Month of the year.
const MONTH: Bound = Bound::new("month", 1.0, 12.0, "", "month");

/// Factor of the weather behind.
const WEATHER: Bound = Bound::new("weather", 0.01, 10.0, "", "factor of the weather behind on a cause");

/// The plant, the season and the place. What is not known changes nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlantPlace {
    /// Key of the plant.
    pub plant: Option<String>,
    /// Month, 1 to 12.
    pub month: Option<u8>,
    /// Conditions that hold.
    pub holds: BTreeSet<Condition>,
    /// Factor of the weather behind on a cause, by its key.
    pub weather: BTreeMap<String, f64>,
    /// How long it has stood by the daybook: an answer of the finding `planted`.
    pub stood: Option<&'static str>,
}

impl PlantPlace {
    /// Prior weight of a cause: how common it is, times the factors of plant, month and conditions.
    fn weight(&self, cause: &PlantCause) -> f64 {
        let month = match self.month {
            Some(m) => cause.months[usize::from(m - 1)].max(MONTH_LEAST),
            None => cause.months.iter().sum::<f64>() / 12.0,
        };
        let taken = cause.plants.is_empty() || self.plant.as_ref().is_none_or(|p| cause.plants.contains(p));
        let plant = if taken { 1.0 } else { cause.elsewhere };
        let raised: f64 = self.holds.iter().filter_map(|c| cause.raises.get(c)).product();
        let weather = self.weather.get(&cause.id).copied().unwrap_or(1.0);
        cause.common * month * plant * raised * weather
    }
}

/// A cause with its probability.
#[derive(Clone, Debug)]
pub struct PlantRanked<'a> {
    /// The cause.
    pub cause: &'a PlantCause,
    /// Probability.
    pub probability: f64,
    /// What the answers say about it, strongest first.
    pub says: Vec<Says<'a>>,
}

/// The outcome of a diagnosis.
#[derive(Clone, Debug)]
pub struct PlantDiagnosis<'a> {
    /// Every cause, the likeliest first.
    pub ranked: Vec<PlantRanked<'a>>,
    /// Whether that is enough.
    pub verdict: Verdict,
    /// Looks that would still tell something, the most for a minute of work first.
    pub next: Vec<NextLook<'a>>,
    /// What may be at work beside the first cause, where that leaves answers open.
    pub second: Option<Beside<'a, PlantCause>>,
}

/// Ranks the causes of a sick woody plant.
///
/// Enough to tell, and a second cause told, as with a patch. Left out: three causes at once; a warm calendar.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `seen` for a plant, finding or outcome the tables do not have;
/// [`ReckonError::OutOfRange`] for the month.
pub fn diagnose_plant<'a>(
    tables: &'a Plants,
    place: &PlantPlace,
    seen: &[Seen],
) -> Result<PlantDiagnosis<'a>, ReckonError> {
    if let Some(month) = place.month {
        MONTH.check(f64::from(month))?;
    }
    for factor in place.weather.values() {
        WEATHER.check(*factor)?;
    }
    if let Some(plant) = place.plant.as_deref().filter(|p| tables.plant(p).is_none()) {
        return Err(refuse(format!("there is no plant {plant}")));
    }
    let weights: Vec<f64> = tables.causes.iter().map(|c| place.weight(c)).collect();
    let signs: Vec<_> = tables.causes.iter().map(|c| &c.signs).collect();
    let answered = seen.iter().any(|s| s.finding == "planted");
    let stood = place.stood.filter(|_| !answered).map(|s| Seen::new("planted", s));
    let told: Vec<Seen> = seen.iter().cloned().chain(stood).collect();
    let weighed = weigh(&tables.findings, &signs, &weights, &told, PLANT_SHARPNESS)?;
    let row = |(at, probability, says)| PlantRanked { cause: &tables.causes[at], probability, says };
    let beside = |(at, chance, left)| Beside { cause: &tables.causes[at], chance, left };
    Ok(PlantDiagnosis {
        second: weighed.second.map(beside),
        ranked: weighed.ranked.into_iter().map(row).collect(),
        verdict: weighed.verdict,
        next: weighed.next,
    })
}

/// What to do with the plant, in a few words.
pub fn act_words(act: PlantAct) -> &'static str {
    match act {
        PlantAct::Keep => "Keep the plant",
        PlantAct::Wait => "Keep the plant, and wait before you cut",
        PlantAct::Cut => "Keep the plant, and cut out what is sick",
        PlantAct::Replace => "Replace the plant",
    }
}

/// The caution of a kind of work.
pub fn care_words(care: PlantCare) -> &'static str {
    match care {
        PlantCare::Label => {
            "The label of the product is the law: the plant, the pest, the rate, the gear and the waits stand there. \
             Nothing on open flowers, in wind or in heat."
        }
        PlantCare::Dig => {
            "Have buried lines marked before digging (811 in the United States), and dig by hand near the marks."
        }
        PlantCare::Ladder => {
            "Keep both feet on the ground; work overhead, near wires or on thick wood is for a licensed arborist."
        }
    }
}

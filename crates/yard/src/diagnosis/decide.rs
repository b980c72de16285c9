//! What to do about a cause: by the count, the season and how well the grass stands.

use almanac::{Cause, CauseAct, CountThreshold};

/// Grubs from which skunks and raccoons may dig and more is lost to them than to the grubs (1/m²): 4 per square foot,
/// the lower of the 4–5 of the University of Massachusetts Extension's turf practices.
const DUG_FROM_M2: f64 = 43.1;
/// One square foot (m²).
const SQUARE_FOOT_M2: f64 = 0.09290304;

/// A count of a pest.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    /// Mean over the places looked at (1/m²).
    pub per_m2: f64,
    /// Key of the pest when it was told apart, e.g. `european-chafer`.
    pub pest: Option<String>,
}

/// How well the grass stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Vigour {
    /// Thin, short-rooted or short of water: act from the lower figure.
    Weak,
    /// As most lawns.
    #[default]
    Fair,
    /// Watered, tall and deep-rooted: carries more.
    Strong,
}

impl Vigour {
    /// The word on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Weak => "weak",
            Self::Fair => "fair",
            Self::Strong => "strong",
        }
    }
}

/// What to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Decision {
    /// The kind of action.
    pub act: CauseAct,
    /// In words, with the figures.
    pub line: String,
    /// The finding to count with first, when the cause has a threshold and nothing has been counted.
    pub count_first: Option<String>,
    /// Days until the next look.
    pub again_days: u16,
    /// What to look for then.
    pub look_for: String,
}

/// What to do about a cause.
///
/// With a threshold: below the lower figure leave it, between the two watch and water, from the upper one on treat. A
/// weak lawn is treated from the lower figure, a strong one only from what it carries without harm. Grubs that animals
/// dig for are treated from 4 per square foot. Out of the months a treatment works in, it becomes prevention next time.
pub fn decide(cause: &Cause, month: Option<u8>, vigour: Vigour, count: Option<&Count>, dug: bool) -> Decision {
    let in_season = cause.treat_months.is_empty() || month.is_none_or(|m| cause.treat_months.contains(&m));
    decide_in(cause, in_season, vigour, count, dug)
}

/// The same where it is known otherwise whether a treatment works now, as from degree days or the soil's temperature.
pub fn decide_in(cause: &Cause, in_season: bool, vigour: Vigour, count: Option<&Count>, dug: bool) -> Decision {
    let treat = if cause.act == CauseAct::TreatNow && !in_season { CauseAct::PreventLater } else { cause.act };
    let (act, line) = match (threshold(cause, count), count) {
        (Some(row), Some(count)) => by_count(cause, row, count, vigour, dug, treat),
        (Some(_), None) if cause.act == CauseAct::TreatNow => {
            (CauseAct::Cultural, format!("Count before anything is put down. {}", cause.advice))
        }
        _ => (treat, cause.advice.clone()),
    };
    let count_first = if cause.threshold.is_empty() || count.is_some() { None } else { cause.count.clone() };
    Decision { act, line, count_first, again_days: cause.again_days, look_for: cause.look_for.clone() }
}

/// The row of the pest counted, or the first one when it was not told apart.
fn threshold<'a>(cause: &'a Cause, count: Option<&Count>) -> Option<&'a CountThreshold> {
    let pest = count.and_then(|c| c.pest.as_deref());
    cause.threshold.iter().find(|row| Some(row.pest.as_str()) == pest).or_else(|| cause.threshold.first())
}

fn by_count(
    cause: &Cause,
    row: &CountThreshold,
    count: &Count,
    vigour: Vigour,
    dug: bool,
    treat: CauseAct,
) -> (CauseAct, String) {
    let high = match vigour {
        Vigour::Weak => row.low_m2,
        Vigour::Fair => row.high_m2,
        Vigour::Strong => cause.vigorous_m2.map_or(row.high_m2, |v| v.max(row.high_m2)),
    };
    let dug_for = dug && cause.count.as_deref() == Some("dig") && count.per_m2 >= DUG_FROM_M2;
    let figures = format!(
        "{} per m² counted ({:.0} per square foot), {}: leave below {:.0}, treat from {:.0} per m².",
        count.per_m2.round(),
        count.per_m2 * SQUARE_FOOT_M2,
        row.name,
        row.low_m2,
        high
    );
    if count.per_m2 >= high || dug_for {
        let late = if treat == CauseAct::PreventLater { " A cure would not work now." } else { "" };
        (treat, format!("{figures}{late} {}", cause.advice))
    } else if count.per_m2 >= row.low_m2 {
        (CauseAct::Cultural, format!("{figures} Watch and water; count again in {} days.", cause.again_days))
    } else {
        (CauseAct::Nothing, format!("{figures} Leave them."))
    }
}

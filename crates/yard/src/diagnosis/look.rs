//! A look at a patch, all of it: what the yard tells, the causes ranked, and what to do.

use almanac::{Cause, Condition, FindingKind};
use reckon::ReckonError;

use super::{Conditions, Count, Diagnosis, Patch, Plan, Seen, Told, Verdict};
use super::{conditions_of, diagnose, plan_for, told};
use crate::advice::Scene;
use crate::entry::{AreaFacts, Found};

/// From this share a cause is worth a line of its own.
pub const WORTH_TELLING: f64 = 0.01;

/// Signs that must have been looked at, where no test was made, before a cause is acted on (common practice: look at the plant, the
/// pattern and the soil before a name is given).
pub const SIGNS_LEAST: usize = 2;

/// Where a look at a patch stands.
#[derive(Clone, Debug)]
pub struct Look<'a> {
    /// What the yard itself told.
    pub conditions: Conditions,
    /// The same in words.
    pub told: Vec<Told>,
    /// Causes, verdict, next looks.
    pub diagnosis: Diagnosis<'a>,
    /// The plan for the first cause, where it is likely and enough was looked at.
    pub plan: Option<Plan>,
}

/// Looks at a patch of an area with the answers, the count and the measures so far.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `seen` for a finding or answer the tables do not have.
pub fn look<'a>(
    scene: &Scene<'a>,
    area: &AreaFacts,
    seen: &[Seen],
    count: Option<&Count>,
    patch: &Patch,
) -> Result<Look<'a>, ReckonError> {
    let conditions = conditions_of(scene, area);
    let told = told(scene, area, &conditions);
    let diagnosis = diagnose(scene.almanac, &conditions, seen)?;
    let likely = diagnosis.ranked.first().filter(|_| diagnosis.verdict == Verdict::Likely && answered(scene, seen));
    let plan = likely.map(|top| plan_for(scene, area, top.cause, &conditions, seen, count, patch));
    Ok(Look { conditions, told, diagnosis, plan })
}

/// Whether enough was looked at to act on: a test made, or [`SIGNS_LEAST`] signs. Season and place with one sign name a suspect, no more.
fn answered(scene: &Scene<'_>, seen: &[Seen]) -> bool {
    let answers = seen.iter().filter(|s| s.outcome.is_some());
    let tests = |s: &Seen| scene.almanac.finding(&s.finding).is_some_and(|f| f.kind == FindingKind::Test);
    answers.clone().any(tests) || answers.count() >= SIGNS_LEAST
}

/// The answers kept in the daybook, as the diagnosis takes them.
pub fn seen_of(found: &[Found]) -> Vec<Seen> {
    found.iter().map(|f| Seen::new(&f.finding, &f.outcome)).collect()
}

/// What season and place say for a cause: the month against the cause's own peak, and each condition with its factor.
pub fn season_and_place(conditions: &Conditions, cause: &Cause) -> Vec<(String, f64)> {
    let mut out = Vec::new();
    if let Some(share) = conditions.season.get(&cause.id) {
        out.push(("the weather of the weeks behind, against its peak".to_owned(), *share));
    } else if let Some(month) = conditions.month {
        out.push(("the month, against its peak".to_owned(), cause.months[usize::from(month.clamp(1, 12)) - 1]));
    }
    let holds = conditions.holds().unwrap_or_default();
    for condition in holds {
        if let Some(factor) = cause.raises.get(&condition) {
            out.push((condition_words(condition).to_owned(), *factor));
        }
    }
    if let Some(grass) = &conditions.grass
        && !cause.grasses.is_empty()
        && !cause.grasses.contains(grass)
    {
        out.push(("a grass it seldom takes".to_owned(), cause.elsewhere));
    }
    out
}

fn condition_words(condition: Condition) -> &'static str {
    match condition {
        Condition::Hot => "a hot week",
        Condition::Warm => "a warm week",
        Condition::Mild => "a mild week",
        Condition::Cold => "a cold week",
        Condition::Dry => "dry soil",
        Condition::Wet => "wet soil",
        Condition::Humid => "leaves long wet",
        Condition::LowNitrogen => "little nitrogen",
        Condition::HighNitrogen => "much nitrogen",
        Condition::Shade => "shade",
        Condition::Sun => "full sun",
        Condition::Slope => "a slope",
        Condition::NewSeed => "sown lately",
        Condition::YoungSod => "young sod",
        Condition::MownLow => "cut short",
        Condition::Salted => "salted last winter",
        Condition::Snow => "long snow",
        Condition::Dog => "a dog",
        Condition::Irrigated => "sprinklers",
        Condition::Unwatered => "no sprinklers",
        Condition::Traffic => "feet or wheels",
        Condition::Tree => "roots of a tree",
        Condition::NewHouse => "a new house",
    }
}

/// The answers in words, for the line of the daybook.
pub fn in_words(scene: &Scene<'_>, seen: &[Seen]) -> String {
    let words = |s: &Seen| {
        let finding = scene.almanac.finding(&s.finding)?;
        let outcome = &finding.outcomes[finding.outcome(s.outcome.as_deref()?)?];
        Some(format!("{}: {}", finding.name, outcome.name))
    };
    seen.iter().filter_map(words).collect::<Vec<_>>().join("; ")
}

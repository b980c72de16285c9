//! How well the grass stands, from the yard itself: soil water, cut, nitrogen, how much of it is thin.

use almanac::Grass;
use jiff::Span;
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::advice::Scene;
use crate::advice::feeding::{nitrogen_given, nitrogen_plan};
use crate::diagnosis::{Conditions, SoilWater, Vigour};
use crate::entry::AreaFacts;

/// Share of the year's nitrogen below which a lawn counts as hungry, and from which as fed; trade judgement.
const HUNGRY: f64 = 0.4;
const FED: f64 = 0.7;
/// Share thin or bare from which a lawn is weak (%); that from which sowing is worth it.
const THIN_PCT: f64 = 15.0;
/// Cut below the grass's usual by more than this is short (mm).
const SHORT_MM: f64 = 10.0;

/// How the grass stands, and what says so.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VigourTold {
    /// The word.
    pub vigour: Vigour,
    /// For and against, in words.
    pub says: Vec<String>,
}

/// Dry soil, or two other signs of weakness, make it weak; watered, tall, fed and whole grass is strong (University of Massachusetts
/// Extension: irrigated, tall, deep-rooted turf carries far more grubs). What is not known speaks neither way.
pub(super) fn vigour(
    scene: &Scene<'_>,
    area: &AreaFacts,
    known: &Conditions,
    share_pct: Option<f64>,
) -> (VigourTold, Step) {
    let mut weak: Vec<String> = Vec::new();
    let mut strong: Vec<String> = Vec::new();
    let mut values = Vec::new();
    let dry = known.soil_water == Some(SoilWater::Dry);
    if let Some(water) = known.soil_water {
        values.push(Value::text("soil", format!("{water:?}").to_lowercase()).from("the water balance"));
    }
    if dry {
        weak.push("the soil is dry".to_owned());
    } else if known.irrigated == Some(true) {
        strong.push("it is watered".to_owned());
    }
    let grass = area.grass.as_deref().and_then(|g| scene.almanac.grass(g));
    if let (Some(grass), Some(cut)) = (grass, cut_mm(scene, area)) {
        let [_, usual, _] = grass.mow_mm;
        values.push(Value::number("cut", cut, "mm").from("the daybook, else the area"));
        values.push(Value::number("usual cut", usual, "mm").from("the almanac's grass"));
        if cut < usual - SHORT_MM {
            weak.push("it is cut short".to_owned());
        } else if cut >= usual {
            strong.push("it is cut high".to_owned());
        }
    }
    if let Some(share) = grass.and_then(|g| fed_share(scene, area, g)) {
        values.push(Value::number("nitrogen of a year, of its plan", share * 100.0, "%").from("the daybook"));
        if share < HUNGRY {
            weak.push("it had little nitrogen this year".to_owned());
        } else if share >= FED {
            strong.push("it is fed".to_owned());
        }
    }
    if let Some(share) = share_pct {
        values.push(Value::number("thin or bare", share, "%").from("the daybook"));
        if share >= THIN_PCT {
            weak.push(format!("{share:.0} % of it is thin or bare"));
        }
    }
    let vigour = if dry || weak.len() >= 2 {
        Vigour::Weak
    } else if weak.is_empty() && strong.len() >= 3 {
        Vigour::Strong
    } else {
        Vigour::Fair
    };
    let step = Step::new(
        "how the grass stands",
        "weak: dry soil or two signs of weakness; strong: watered, tall and fed, and nothing against it",
        values,
        Value::text("vigour", vigour.word()),
    );
    let says = weak.into_iter().chain(strong).collect();
    (VigourTold { vigour, says }, step)
}

/// Height of the last cut, else the one meant for the area (mm).
fn cut_mm(scene: &Scene<'_>, area: &AreaFacts) -> Option<f64> {
    scene.yard.last_mowing(&area.key, scene.on).map(|m| m.fact.height_mm).or(area.mow_mm)
}

/// Share of a year's nitrogen plan given in the last 365 days; `None` where the daybook is younger than that or the plan is nil.
fn fed_share(scene: &Scene<'_>, area: &AreaFacts, grass: &Grass) -> Option<f64> {
    let year_ago = scene.on.checked_sub(Span::new().days(365)).ok()?;
    let begun = scene.yard.areas_ever.iter().find(|a| a.fact.key == area.key)?.on;
    let plan = nitrogen_plan(scene, grass, area.care).filter(|p| p.year_g_m2 > 0.0)?;
    let given: f64 = nitrogen_given(scene.yard, &area.key, year_ago, scene.on).iter().map(|(_, n)| n).sum();
    (begun <= year_ago || given > 0.0).then_some(given / plan.year_g_m2)
}

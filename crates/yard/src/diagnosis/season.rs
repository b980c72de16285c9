//! Season by the weather that has been, for the diseases with a published model: it stands in for the month, which is only what is usual in the
//! cool north.

use std::collections::BTreeMap;

use jiff::Span;

use super::MONTH_LEAST;
use crate::advice::Scene;
use crate::watch::disease::behind;

/// Days looked back over: a disease shows some days after the weather that favoured it, and its marks last a few weeks (common practice).
const BEHIND_DAYS: i64 = 25;
/// Days over a model's line from which the season counts as at its peak; the watch calls three of seven high.
const PEAK_DAYS: usize = 3;
/// Share of the peak after one or two days over the line, and where the weather was never over it: what shows then is old or began unseen.
const SOME: f64 = 0.6;
const NEVER: f64 = 0.12;
/// Days looked back over for a disease that infects the roots long before it shows.
const YEAR_DAYS: i64 = 200;
/// Days from infection to the signs of summer patch: four to six weeks (Pace Turf, "Threat temperature for summer patch").
const SHOWS_FROM: usize = 21;
const SHOWS_FULL: usize = 42;

/// Diseases of the leaf whose line is published, and whose marks show within days of the weather.
const OF_THE_LEAF: [&str; 4] = ["dollar-spot", "brown-patch", "pythium", "gray-leaf-spot"];
/// A disease of the roots: its own way of counting.
const SUMMER_PATCH: &str = "summer-patch";

/// Share of its own peak the weather gives a cause, by its key; a cause with no published model is not in it.
pub(super) fn season(scene: &Scene<'_>) -> BTreeMap<String, f64> {
    let last = scene.yesterday();
    let run = |days: i64| scene.weather.run(last.checked_sub(Span::new().days(days)).unwrap_or(last), last);
    let mut out = BTreeMap::new();
    for told in behind(&run(BEHIND_DAYS)).iter().filter(|b| OF_THE_LEAF.contains(&b.cause)) {
        let share = match told.over {
            0 => NEVER,
            n if n < PEAK_DAYS => SOME,
            _ => 1.0,
        };
        out.insert(told.cause.to_owned(), share);
    }
    // The soil has to have been warm for weeks; how far it has come is judged on this year alone.
    let start = scene.season_start(1, 1);
    let days: Vec<_> = run(YEAR_DAYS).into_iter().filter(|d| d.date >= start).collect();
    if let Some(told) = behind(&days).iter().find(|b| b.cause == SUMMER_PATCH) {
        // Out of the heat the rings are old.
        let heat = behind(&run(BEHIND_DAYS)).iter().any(|b| b.cause == SUMMER_PATCH && b.over > 0);
        let share = match told.first_before {
            None => MONTH_LEAST,
            Some(_) if !heat => NEVER,
            Some(n) if n < SHOWS_FROM => NEVER,
            Some(n) if n < SHOWS_FULL => SOME,
            Some(_) => 1.0,
        };
        out.insert(SUMMER_PATCH.to_owned(), share);
    }
    out
}

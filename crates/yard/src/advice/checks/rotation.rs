//! Resistance: the same group of ingredients again and again on the same ground, under whatever names.

use almanac::{Active, ActiveKind};

use super::Level;
use super::book::{Book, substances};
use crate::entry::ProductFacts;
use crate::fold::Yard;

/// Years looked back over: what went down before has little to do with this year's weeds and diseases.
const LOOK_BACK_DAYS: i64 = 3 * 365;
/// As many in a row of one group, this one counted, want another group next (common practice: never more than two in a row).
const IN_A_ROW: usize = 3;

/// Every group an ingredient belongs to: "HRAC/WSSA 3" is one, "FRAC 3 + 11" would be two.
fn is_group(active: &Active) -> bool {
    active.group.chars().any(|c| c.is_ascii_digit())
}

/// Says so when this would be the third application in a row of one resistance group on any of the area's ground, and which other
/// ingredients do the same job.
pub(super) fn same_group_again(book: &mut Book<'_>, product: &ProductFacts, area_key: &str) {
    let scene = book.scene;
    let plots = book.plots(area_key);
    for active in substances(scene, product).into_iter().filter_map(|s| s.active).filter(|a| is_group(a)) {
        let longest = plots.iter().map(|plot| {
            let mut before: Vec<(jiff::civil::Date, bool)> = scene
                .yard
                .applications
                .iter()
                .filter(|a| Some(a.id.as_str()) != book.except && a.on <= book.on)
                .filter(|a| Yard::days_between(a.on, book.on) <= LOOK_BACK_DAYS)
                .filter(|a| a.fact.areas.iter().any(|k| plot.has(scene.yard, k, a.on)))
                .filter_map(|a| {
                    let other = scene.yard.product_on(&a.fact.product, a.on)?;
                    let same_kind: Vec<&Active> = substances(scene, other)
                        .into_iter()
                        .filter_map(|s| s.active)
                        .filter(|o| o.kind == active.kind)
                        .collect();
                    (!same_kind.is_empty()).then(|| (a.on, same_kind.iter().any(|o| o.group == active.group)))
                })
                .collect();
            before.sort_by_key(|(on, _)| *on);
            before.iter().rev().take_while(|(_, same)| *same).count()
        });
        let run = longest.max().unwrap_or(0) + 1;
        if run < IN_A_ROW {
            continue;
        }
        let others: Vec<&str> = scene
            .almanac
            .actives
            .iter()
            .filter(|o| o.kind == active.kind && o.group != active.group && is_group(o) && does_the_same(active, o))
            .map(|o| o.name.as_str())
            .take(3)
            .collect();
        let instead =
            if others.is_empty() { String::new() } else { format!("; of another group: {}", others.join(", ")) };
        // Yearly preventers of one group are usual in lawns; diseases and insects turn resistant sooner.
        let level = if active.kind == ActiveKind::Preventer { Level::Note } else { Level::Caution };
        let message = format!(
            "{}: application {run} in a row of resistance group {}{instead}",
            scene.yard.area_name(area_key),
            active.group
        );
        book.say(level, "rotation", message, "common practice: never more than two in a row of one group", None);
    }
}

/// Words in what an ingredient controls that name no weed, insect or disease.
const COMMON_WORDS: [&str; 12] = [
    "other",
    "annual",
    "weeds",
    "grasses",
    "small",
    "plants",
    "after",
    "about",
    "seedlings",
    "first",
    "leaves",
    "hatched",
];

/// Two ingredients that share a word of what they control.
fn does_the_same(a: &Active, b: &Active) -> bool {
    let words = |x: &Active| -> Vec<String> {
        x.controls
            .to_lowercase()
            .split(|c: char| !c.is_alphabetic())
            .filter(|w| w.len() > 4 && !COMMON_WORDS.contains(w))
            .map(str::to_owned)
            .collect()
    };
    let theirs = words(b);
    words(a).iter().any(|w| theirs.contains(w))
}

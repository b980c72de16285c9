//! Ground gained and lost between two days.

use jiff::civil::Date;
use reckon::outline::Outline;
use reckon::overlay::difference_area;

use crate::entry::Entry;
use crate::fold::{Yard, fold};

/// An area on two days.
#[derive(Clone, Debug, PartialEq)]
pub struct AreaChange {
    /// Area.
    pub key: String,
    /// Name.
    pub name: String,
    /// Size on the first day (m²); `None` where there was no such area.
    pub before_m2: Option<f64>,
    /// Size on the second day (m²); `None` where it is no more.
    pub after_m2: Option<f64>,
    /// Ground that came to it (m²), where both days are drawn.
    pub gained_m2: Option<f64>,
    /// Ground that went from it (m²), where both days are drawn.
    pub lost_m2: Option<f64>,
}

/// Outlines drawn, by then, of an area; none where the drawing began later.
fn drawn<'a>(yard: &'a Yard, key: &str, on: Date) -> &'a [Outline] {
    match yard.outline(key) {
        Some(outline) if outline.on <= on => &outline.fact.pieces,
        _ => &[],
    }
}

/// Every area on two days; both days count as they stood at their end.
pub fn between(entries: &[Entry], from: Date, to: Date) -> Vec<AreaChange> {
    let (before, after) = (fold(entries, from), fold(entries, to));
    let mut keys: Vec<&str> = after.areas.iter().map(|a| a.key.as_str()).collect();
    for area in &before.areas {
        if !keys.contains(&area.key.as_str()) {
            keys.push(&area.key);
        }
    }
    let change = |key: &str| {
        let (old, new) = (before.area(key), after.area(key));
        let (then, now) = (drawn(&before, key, from), drawn(&after, key, to));
        let both = !then.is_empty() && !now.is_empty();
        AreaChange {
            key: key.to_owned(),
            name: new.or(old).map_or_else(|| key.to_owned(), |a| a.name.clone()),
            before_m2: old.map(|a| a.size_m2),
            after_m2: new.map(|a| a.size_m2),
            gained_m2: both.then(|| difference_area(now, then).get()),
            lost_m2: both.then(|| difference_area(then, now).get()),
        }
    };
    keys.into_iter().map(change).collect()
}

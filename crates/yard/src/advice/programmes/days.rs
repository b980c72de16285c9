//! The weekdays a zone runs on: even, allowed, and spread so that no day is fuller than it must be.

use jiff::Span;
use jiff::civil::Date;

use super::{WEEK, ZoneWeek};
use crate::advice::Scene;
use crate::advice::delivery::allowed;
use crate::entry::Parity;

/// The most even choice of so many allowed weekdays; the first that come go first. `None` where the rules allow fewer.
pub(super) fn days_for(scene: &Scene<'_>, count: usize) -> Option<u8> {
    even_days(scene, count).into_iter().next()
}

/// Every most even choice of so many allowed weekdays, the one that begins first in front.
pub(super) fn even_days(scene: &Scene<'_>, count: usize) -> Vec<u8> {
    let rules = scene.yard.water_rules.as_ref();
    let ahead: Vec<Date> = (0..WEEK).filter_map(|n| scene.on.checked_add(Span::new().days(n)).ok()).collect();
    let bit = |d: &Date| 1_u8 << (d.weekday().to_monday_one_offset() - 1);
    let open = ahead.iter().filter(|d| allowed(rules, **d)).fold(0, |m, d| m | bit(d));
    // Odd and even days are a setting of the controller: all of them or none.
    if rules.is_some_and(|r| r.parity != Parity::Any) {
        let all = open != 0 && count >= open.count_ones() as usize;
        return if all { vec![open] } else { Vec::new() };
    }
    let first = |m: u8| ahead.iter().position(|d| m & bit(d) != 0).unwrap_or(7);
    let mut sets: Vec<u8> = (1..=127_u8).filter(|m| m & !open == 0 && m.count_ones() as usize == count).collect();
    let least = sets.iter().map(|&m| widest_gap(m)).min();
    sets.retain(|&m| Some(widest_gap(m)) == least);
    sets.sort_by_key(|&m| (first(m), m));
    sets
}

/// Spreads the zones over equally even days so that the fullest day is as short as may be, the long runs first, with no
/// more kinds of days than there are programmes.
pub(super) fn spread(zones: &mut [ZoneWeek], programmes: usize, scene: &Scene<'_>) {
    let mut order: Vec<usize> = (0..zones.len()).collect();
    order.sort_by_key(|&i| std::cmp::Reverse((zones[i].days.count_ones(), zones[i].minutes)));
    let mut load = [0_u32; 7];
    let mut kinds: Vec<u8> = Vec::new();
    for (at, &i) in order.iter().enumerate() {
        let count = zones[i].days.count_ones();
        let mut to_come: Vec<u32> = order[at + 1..].iter().map(|&j| zones[j].days.count_ones()).collect();
        to_come.retain(|c| *c != count && !kinds.iter().any(|k| k.count_ones() == *c));
        to_come.sort_unstable();
        to_come.dedup();
        let room = kinds.len() + to_come.len() < programmes || !kinds.iter().any(|k| k.count_ones() == count);
        let fullest = |m: u8| (0..7).map(|d| load[d] + if m >> d & 1 == 1 { zones[i].minutes } else { 0 }).max();
        let best = even_days(scene, count as usize)
            .into_iter()
            .filter(|m| room || kinds.contains(m))
            .min_by_key(|&m| (fullest(m), !kinds.contains(&m)));
        let days = best.unwrap_or(zones[i].days);
        zones[i].days = days;
        for (day, sum) in load.iter_mut().enumerate() {
            *sum += if days >> day & 1 == 1 { zones[i].minutes } else { 0 };
        }
        if !kinds.contains(&days) {
            kinds.push(days);
        }
    }
}

/// Most days from one of these weekdays to the next, the week turning round.
pub(super) fn widest_gap(days: u8) -> u32 {
    let set: Vec<u32> = (0..7).filter(|d| days >> d & 1 == 1).collect();
    let next = |i: usize| set.get(i + 1).copied().unwrap_or(set[0] + 7);
    (0..set.len()).map(|i| next(i) - set[i]).max().unwrap_or(7)
}

/// Weekdays in short: “Mon Wed Fri”, “every day”.
pub fn day_words(days: u8) -> String {
    const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    if days == 127 {
        return "every day".to_owned();
    }
    NAMES.iter().enumerate().filter(|(d, _)| days >> d & 1 == 1).map(|(_, n)| *n).collect::<Vec<_>>().join(" ")
}

//! The book a check is written into: limits and where they stand written, and what was put down where.

use almanac::{Basis, Figure};
use jiff::civil::Date;

use super::{Finding, Level};
use crate::advice::Scene;
use crate::entry::{ProductFacts, Work};

/// A check under way.
pub(super) struct Book<'s> {
    pub(super) scene: &'s Scene<'s>,
    pub(super) on: Date,
    pub(super) found: Vec<Finding>,
}

/// A limit and where it stands written.
pub(super) struct Limit {
    pub(super) value: f64,
    pub(super) level: Level,
    pub(super) source: String,
}

pub(super) fn label(value: f64) -> Limit {
    Limit { value, level: Level::Stop, source: "the label in your hand, as you typed it".to_owned() }
}

pub(super) fn typical(figure: &Figure) -> Limit {
    match figure.basis {
        Basis::Published => Limit { value: figure.value, level: Level::Stop, source: figure.source.clone() },
        Basis::FromMemory => Limit {
            value: figure.value,
            level: Level::Caution,
            source: "a typical figure, not your label: read the label and type its own number".to_owned(),
        },
    }
}

impl Book<'_> {
    pub(super) fn say(
        &mut self,
        level: Level,
        rule: &str,
        message: String,
        source: impl Into<String>,
        clear_on: Option<Date>,
    ) {
        self.found.push(Finding { level, rule: rule.to_owned(), message, source: source.into(), clear_on });
    }
}

/// Grams of each active ingredient an application leaves on a square metre.
pub fn active_doses<'p>(product: &'p ProductFacts, rate_g_m2: f64) -> impl Iterator<Item = (&'p str, f64)> + 'p {
    product.actives.iter().map(move |s| (s.active.as_str(), rate_g_m2 * s.pct / 100.0))
}

/// Every application of an active ingredient on an area: day, dose, whether only planned. The entry `except` is left out.
pub(super) fn history<'s>(
    scene: &'s Scene<'_>,
    area: &'s str,
    active: &'s str,
    except: Option<&'s str>,
) -> Vec<(Date, f64, bool)> {
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Apply(a) => Some((p.id.as_str(), p.on, a, true)),
        Work::Sow(_) => None,
    });
    let done = scene.yard.applications.iter().map(|a| (a.id.as_str(), a.on, &a.fact, false));
    done.chain(planned)
        .filter(|(id, _, a, _)| Some(*id) != except && a.areas.iter().any(|k| k == area))
        .filter_map(|(_, on, a, planned)| {
            let product = scene.yard.product(&a.product)?;
            let dose: f64 = active_doses(product, a.rate_g_m2).filter(|(k, _)| *k == active).map(|(_, d)| d).sum();
            (dose > 0.0).then_some((on, dose, planned))
        })
        .collect()
}

pub(super) fn after(day: Date, days: f64) -> Option<Date> {
    day.checked_add(jiff::Span::new().days(days.ceil() as i64)).ok()
}

pub(super) fn finish(mut found: Vec<Finding>) -> Vec<Finding> {
    found.sort_by_key(|f| f.level);
    found.dedup();
    found
}

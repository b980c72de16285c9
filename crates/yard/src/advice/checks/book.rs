//! The book a check is written into: limits and where they stand written, and what was put down where.

use almanac::{Active, Basis, Figure};
use jiff::civil::Date;

use super::{Finding, Level};
use crate::advice::Scene;
use crate::entry::{Applied, LabelLimits, ProductFacts, Work};
use crate::fold::{PLAN_EARLY_DAYS, Yard};
use crate::ground::Plot;

/// A check under way.
pub(super) struct Book<'s> {
    pub(super) scene: &'s Scene<'s>,
    pub(super) on: Date,
    pub(super) work: &'s Applied,
    pub(super) except: Option<&'s str>,
    pub(super) found: Vec<Finding>,
    /// Each area of the work, cut where the ground's history differs.
    plots: Vec<(&'s str, Vec<Plot<'s>>)>,
}

/// A limit and where it stands written.
#[derive(Clone)]
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

impl<'s> Book<'s> {
    pub(super) fn open(scene: &'s Scene<'s>, work: &'s Applied, on: Date, except: Option<&'s str>) -> Self {
        let plots = work.areas.iter().map(|a| (a.as_str(), scene.yard.plots(a, on))).collect();
        Self { scene, on, work, except, found: Vec::new(), plots }
    }

    /// The plots of one of the work's areas.
    pub(super) fn plots(&self, area: &str) -> Vec<Plot<'s>> {
        self.plots.iter().find(|(key, _)| *key == area).map(|(_, plots)| plots.clone()).unwrap_or_default()
    }

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

/// What the rules are about: an active ingredient of a product, or the whole product where none of it is known.
pub(super) struct Substance<'p> {
    /// Almanac key of the ingredient, or `product:` and the product's key.
    pub(super) key: String,
    pub(super) name: &'p str,
    pub(super) active: Option<&'p Active>,
    /// Share of the product (%).
    pub(super) pct: f64,
}

pub(super) fn substances<'p>(scene: &Scene<'p>, product: &'p ProductFacts) -> Vec<Substance<'p>> {
    if product.actives.is_empty() {
        return vec![Substance {
            key: format!("product:{}", product.key),
            name: &product.name,
            active: None,
            pct: 100.0,
        }];
    }
    product
        .actives
        .iter()
        .map(|s| {
            let active = scene.almanac.active(&s.active);
            Substance { key: s.active.clone(), name: active.map_or(&s.active, |a| &a.name), active, pct: s.pct }
        })
        .collect()
}

/// Grams of each active ingredient an application leaves on a square metre.
pub fn active_doses<'p>(product: &'p ProductFacts, rate_g_m2: f64) -> impl Iterator<Item = (&'p str, f64)> + 'p {
    product.actives.iter().map(move |s| (s.active.as_str(), rate_g_m2 * s.pct / 100.0))
}

/// One application of a substance on an area, past or planned.
pub(super) struct Put<'s> {
    pub(super) on: Date,
    /// Of the substance (g/m²).
    pub(super) dose: f64,
    pub(super) planned: bool,
    /// Limits of the label it went down under.
    pub(super) label: &'s LabelLimits,
    /// The label speaks of this substance alone.
    pub(super) alone: bool,
}

/// Every application, done or planned, with its day and whether it is a plan. Left out: the entry checked itself and, where that entry is
/// work already done, plans of the same work within a week, since they are what was done. Two plans do stand against each other.
pub(super) fn works<'s>(book: &Book<'s>) -> impl Iterator<Item = (Date, &'s Applied, bool)> {
    let (scene, on, work, except) = (book.scene, book.on, book.work, book.except);
    let done_work = except.is_some_and(|id| scene.yard.applications.iter().any(|a| a.id == id));
    let same = |a: &Applied| a.product == work.product && a.areas.iter().any(|k| work.areas.contains(k));
    let planned = scene.yard.plans.iter().filter_map(move |p| match &p.fact.work {
        Work::Apply(a) if done_work && same(a) && Yard::days_between(on, p.on).abs() <= PLAN_EARLY_DAYS => None,
        Work::Apply(a) => Some((p.id.as_str(), p.on.max(scene.on), a, true)),
        Work::Sow(_) => None,
    });
    let done = scene.yard.applications.iter().map(|a| (a.id.as_str(), a.on, &a.fact, false));
    done.chain(planned).filter(move |(id, ..)| Some(*id) != except).map(|(_, on, a, planned)| (on, a, planned))
}

/// Every application of a substance on a plot of an area, done or planned.
pub(super) fn history<'s>(book: &Book<'s>, plot: &Plot<'_>, substance: &str) -> Vec<Put<'s>> {
    let scene = book.scene;
    works(book)
        .filter_map(|(on, a, planned)| {
            let product = scene.yard.product_on(&a.product, on)?;
            let dose: f64 = if substance == format!("product:{}", product.key) {
                a.rate_g_m2
            } else {
                active_doses(product, a.rate_g_m2).filter(|(k, _)| *k == substance).map(|(_, d)| d).sum()
            };
            let alone = product.actives.len() <= 1;
            // The ground last: it is the dearest to ask for.
            let here = || a.areas.iter().any(|k| plot.has(scene.yard, k, on));
            (dose > 0.0 && here()).then_some(Put { on, dose, planned, label: &product.label, alone })
        })
        .collect()
}

pub(super) fn after(day: Date, days: f64) -> Option<Date> {
    day.checked_add(jiff::Span::new().days(days.ceil() as i64)).ok()
}

/// Gravest first, each once.
pub(super) fn finish(mut found: Vec<Finding>) -> Vec<Finding> {
    let mut once: Vec<Finding> = Vec::with_capacity(found.len());
    found.sort_by_key(|f| f.level);
    for finding in found {
        if !once.contains(&finding) {
            once.push(finding);
        }
    }
    once
}

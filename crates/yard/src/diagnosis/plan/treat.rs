//! Ingredients that fit a cause: what is on the shelf, how much for this ground, what the checks say of it, what to buy.

use almanac::{Active, Ground, RemedyActive, RemedyWindow, Tolerance};
use jiff::civil::Date;
use reckon::patch::ground_with_strip;
use reckon::units::{Metres, SquareMetres};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::timing::{When, when};
use crate::advice::checks::{check_application, nearest_clear_day, water_to_follow};
use crate::advice::{Finding, Level, LogAs, Scene};
use crate::entry::{Applied, AreaFacts, Body, Planned, ProductFacts, Work};
use crate::form::typed_from;
use crate::shed::{shelf_words, visit_amounts};
use crate::units::Quantity;
use crate::weather::Outlook;

/// A product on the shelf that holds the ingredient.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OnShelf {
    /// Key.
    pub product: String,
    /// Name.
    pub name: String,
    /// Amounts in words: in all and by the spreader or sprayer, what is left.
    pub amounts: Vec<String>,
    /// Water to follow, in words.
    pub water_in: Option<String>,
    /// The checks on that day.
    pub findings: Vec<Finding>,
    /// First day nothing stops it, where something does on the day meant.
    pub clear: Option<Date>,
    /// The day it is meant for.
    pub on: Date,
    /// The entry that plans it; none where nothing ever clears it.
    pub plan: Option<LogAs>,
}

/// An ingredient that fits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Treatment {
    /// Key.
    pub active: String,
    /// Name.
    pub name: String,
    /// Group of the resistance committees.
    pub group: String,
    /// When it works.
    pub when: Option<When>,
    /// Products on the shelf.
    pub on_shelf: Vec<OnShelf>,
    /// What to buy where none is.
    pub buy: Option<String>,
    /// The link or its window was recalled, not read.
    pub recalled: bool,
    /// Source of the link.
    pub source: String,
}

/// The ground a treatment is for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot<'a> {
    pub(super) area: &'a AreaFacts,
    /// The patch itself (m²); `None` where it was not measured.
    pub(super) m2: Option<f64>,
    /// Strip treated round it (m).
    pub(super) strip_m: f64,
}

impl Spot<'_> {
    /// Bare ground (m²): the patch, else the share of the lawn told.
    pub(super) fn bare_m2(&self, share_pct: f64) -> Option<f64> {
        let share = Some(share_pct / 100.0 * self.area.size_m2).filter(|m2| *m2 > 0.0);
        self.m2.or(share).map(|m2| m2.min(self.area.size_m2))
    }

    /// The patch with its strip, where that is less than the whole area.
    fn told(&self) -> Option<f64> {
        let patch = SquareMetres::new(self.m2?);
        let with = ground_with_strip(patch, Metres::new(self.strip_m)).map_or(patch, |g| g);
        Some(with.get()).filter(|m2| *m2 < self.area.size_m2)
    }

    fn ground(&self) -> f64 {
        self.told().unwrap_or(self.area.size_m2)
    }
}

/// The treatments of a list that this grass bears, those on the shelf first.
pub(super) fn treatments(
    scene: &Scene<'_>,
    outlook: &Outlook<'_>,
    links: &[RemedyActive],
    window: Option<&RemedyWindow>,
    spot: Spot<'_>,
) -> (Vec<Treatment>, Vec<Step>) {
    let mut out = Vec::new();
    let mut working = Vec::new();
    let of_all = window.and_then(|w| when(scene, outlook, w));
    for link in links {
        let Some(active) = scene.almanac.active(&link.active) else { continue };
        let grass = spot.area.grass.as_deref().unwrap_or("");
        if active.tolerance_of(grass).is_some_and(|t| t.tolerance == Tolerance::Injured) {
            continue;
        }
        let own = link.when.as_ref().and_then(|w| when(scene, outlook, w));
        let when = own.or_else(|| of_all.clone());
        let on = when.as_ref().map_or(scene.on, |w| w.day(scene.on));
        let mut on_shelf = Vec::new();
        for product in &scene.yard.products {
            let Some(strength) = product.actives.iter().find(|s| s.active == active.id) else { continue };
            let (found, steps) = shelf_row(scene, product, active, strength.pct, spot, on);
            on_shelf.push(found);
            working.extend(steps);
        }
        let buy = on_shelf.is_empty().then(|| buy_words(scene, active, spot, &mut working));
        out.push(Treatment {
            active: active.id.clone(),
            name: active.name.clone(),
            group: active.group.clone(),
            recalled: link.basis == Ground::FromMemory || when.as_ref().is_some_and(|w| w.recalled),
            when,
            on_shelf,
            buy,
            source: link.source.clone(),
        });
    }
    out.sort_by_key(|t| t.on_shelf.is_empty());
    (out, working)
}

/// The product's rate: the middle of the ingredient's usual rate, held to the label, rounded down.
fn rate_of(scene: &Scene<'_>, product: &ProductFacts, active: &Active, pct: f64) -> f64 {
    let wanted = active.rate_g_m2.middle() / (pct / 100.0);
    let held = product.label.rate_max_g_m2.map_or(wanted, |max| wanted.min(max));
    scene.rate_rounded_down(product.dose_quantity(), held)
}

fn shelf_row(
    scene: &Scene<'_>,
    product: &ProductFacts,
    active: &Active,
    pct: f64,
    spot: Spot<'_>,
    on: Date,
) -> (OnShelf, Vec<Step>) {
    let u = scene.units();
    let rate = rate_of(scene, product, active, pct);
    let mut work = Applied {
        areas: vec![spot.area.key.clone()],
        product: product.key.clone(),
        rate_g_m2: rate,
        spot_m2: spot.told(),
        wind_ms: None,
        air_c: None,
        rain_in_hours: None,
        watered_in_mm: None,
        flowers_open: false,
        remark: String::new(),
    };
    let check = |day| check_application(scene, &work, day, None);
    let findings = check(on);
    let stopped = findings.iter().any(|f| f.level == Level::Stop);
    let clear = if stopped { nearest_clear_day(on, check) } else { None };
    let day = if stopped { clear } else { Some(on) };
    let total = rate * spot.ground() / 1000.0;
    let mut amounts = vec![format!(
        "{} at {} on {}",
        u.say(product.amount_quantity(), total),
        u.say(product.dose_quantity(), rate),
        u.say(Quantity::Area, spot.ground())
    )];
    let mut steps = vec![Step::new(
        "product for the spot",
        "usual rate of the ingredient / strength, held to the label, rounded down × ground",
        vec![
            Value::number("ingredient", active.rate_g_m2.middle(), "g/m²").from(active.rate_source.clone()),
            Value::number("strength", pct, "%").from("the label, as typed"),
            Value::number("ground", spot.ground(), "m²"),
        ],
        Value::number("product", total, product.amount_quantity().si()),
    )];
    for (words, step) in visit_amounts(scene.yard, product, rate, spot.ground()) {
        amounts.push(words);
        steps.push(step);
    }
    amounts.extend(shelf_words(scene.yard, product, total));
    let water_in = water_to_follow(scene, product).map(|(_, mm, within, _)| {
        let by = if within <= 1.0 { "the same day".to_owned() } else { format!("within {within:.0} days") };
        format!("{} of water or rain {by}", u.say(Quantity::Depth, mm))
    });
    work.remark = "for the patch".to_owned();
    let plan = day.and_then(|_| {
        let body = Body::Planned(Planned { work: Work::Apply(work.clone()) });
        typed_from(&body, scene.yard).map(|(kind, fields)| LogAs { words: "Plan it".to_owned(), kind, fields })
    });
    let row = OnShelf {
        product: product.key.clone(),
        name: product.name.clone(),
        amounts,
        water_in,
        findings,
        clear,
        on: day.unwrap_or(on),
        plan,
    };
    (row, steps)
}

/// Ingredient to buy for the spot, in words.
fn buy_words(scene: &Scene<'_>, active: &Active, spot: Spot<'_>, working: &mut Vec<Step>) -> String {
    let u = scene.units();
    let rate = active.rate_g_m2;
    let total = rate.middle() * spot.ground();
    working.push(Step::new(
        "ingredient to buy",
        "usual rate × ground",
        vec![
            Value::number("rate", rate.middle(), "g/m²").from(active.rate_source.clone()),
            Value::number("ground", spot.ground(), "m²"),
        ],
        Value::number("ingredient", total / 1000.0, "kg"),
    ));
    format!(
        "none on the shelf: a lawn product that names {} on its label. At its usual rate {} need {} g of it: {} of a product with 1 %",
        active.name,
        u.say(Quantity::Area, spot.ground()),
        crate::units::significant(total, 2),
        u.say(Quantity::Mass, total / 1000.0 * 100.0)
    )
}

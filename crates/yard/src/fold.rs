//! The fold: entries in, a [`Yard`] out. Nothing is decided here; the yard is only what the entries say.

use std::collections::{BTreeMap, HashMap, HashSet};

use jiff::civil::Date;

use crate::audit;
use crate::entry::{
    Applied, AreaFacts, Audited, BackflowTested, Body, Bought, ControllerFacts, Counted, Cover, Entry, LocalRules,
    MeterRead, MoleRun, Mowed, Note, Planned, Planted, ProductFacts, Programme, Repaired, Scouted, Seeded, SoilTested,
    SoilWaterSeen, SprayerTried, SpreaderTried, Sprinklers, TariffFacts, ToMend, WaterRules, WaterSupply, Watered,
    Work, YardFacts, ZoneFacts,
};
use crate::ground::{Ground, GroundIndex};
use crate::map::{DatedOutline, Mapped, Origin, Underlay};
use crate::shed::size_on;
use crate::survey::HeadWater;
use crate::units::Units;

/// A fact with its day and the entry that told it.
#[derive(Clone, Debug, PartialEq)]
pub struct Dated<T> {
    /// Entry id.
    pub id: String,
    /// Day it happened.
    pub on: Date,
    /// The fact.
    pub fact: T,
}

/// Days a plan is asked after once its day has passed.
pub const PLAN_OVERDUE_DAYS: i64 = 30;
/// Days before its day from which work counts as the plan carried out.
pub const PLAN_EARLY_DAYS: i64 = 7;

/// Share of an area's ground from which what was sown there is the area's own concern.
pub const GOOD_PART: f64 = 0.2;

/// Everything known about a yard on one day.
#[derive(Clone, Debug, Default)]
pub struct Yard {
    /// Name, place, habits; `None` until the yard is made.
    pub facts: Option<YardFacts>,
    /// Areas in the order they were first told, retired ones left out; the size is the drawing's where there is one.
    pub areas: Vec<AreaFacts>,
    /// Zones in the order they were first told, retired ones left out.
    pub zones: Vec<ZoneFacts>,
    /// Every outline of every area, oldest first: what lay on the ground stays where it lay.
    pub outlines: Vec<DatedOutline>,
    /// How the outlines lie to each other.
    pub ground_index: GroundIndex,
    /// Every word on every area, oldest first, given-up ones too: a plain size counts from its day.
    pub areas_ever: Vec<Dated<AreaFacts>>,
    /// Things on the map, in the order they were first told, those that are no more left out.
    pub things: Vec<Mapped>,
    /// Where on the globe the map lies.
    pub origin: Option<Origin>,
    /// Picture under the map.
    pub underlay: Option<Underlay>,
    /// Rules for watering.
    pub water_rules: Option<WaterRules>,
    /// Programmes as they were set, oldest first.
    pub programmes: Vec<Dated<Programme>>,
    /// Zones as they are or were, retired ones too: what they put on still counts.
    pub zones_ever: Vec<ZoneFacts>,
    /// What the zones' heads put down.
    pub head_water: HeadWater,
    /// The last word on whether the sprinkler system is open.
    pub sprinklers: Option<Dated<Sprinklers>>,
    /// Products on the shelf, as last described.
    pub products: Vec<ProductFacts>,
    /// Every description of every product, oldest first: what went down is judged by the bag of its day.
    pub products_ever: Vec<Dated<ProductFacts>>,
    /// Counts of the shelf, oldest first.
    pub counts: Vec<Dated<Counted>>,
    /// Spreaders as they were tried out, oldest first.
    pub spreaders: Vec<Dated<SpreaderTried>>,
    /// Sprayers as they were tried out, oldest first.
    pub sprayers: Vec<Dated<SprayerTried>>,
    /// Soil tests, oldest first.
    pub soil_tests: Vec<Dated<SoilTested>>,
    /// Local rules on feeding.
    pub local_rules: Option<LocalRules>,
    /// What was put down, oldest first.
    pub applications: Vec<Dated<Applied>>,
    /// What was sown.
    pub seedings: Vec<Dated<Seeded>>,
    /// What was mown.
    pub mowings: Vec<Dated<Mowed>>,
    /// What was watered beside the programmes.
    pub waterings: Vec<Dated<Watered>>,
    /// The yard's own rain gauge by day (mm).
    pub rain: BTreeMap<Date, f64>,
    /// Soil moisture readings.
    pub soil_water: Vec<Dated<SoilWaterSeen>>,
    /// What was seen.
    pub scoutings: Vec<Dated<Scouted>>,
    /// Runs of moles, seen and worked on, oldest first.
    pub mole_runs: Vec<Dated<MoleRun>>,
    /// Trees, shrubs and hedges planted, oldest first.
    pub plantings: Vec<Dated<Planted>>,
    /// What was mended.
    pub repairs: Vec<Dated<Repaired>>,
    /// What was found wrong with the sprinklers and is not yet mended.
    pub to_mend: Vec<Dated<ToMend>>,
    /// Tests of the backflow assembly, oldest first.
    pub backflow_tests: Vec<Dated<BackflowTested>>,
    /// Meter readings, oldest first.
    pub meter_reads: Vec<Dated<MeterRead>>,
    /// Zones as they were measured, oldest first.
    pub audits: Vec<Dated<Audited>>,
    /// The controller, as last told.
    pub controller: Option<Dated<ControllerFacts>>,
    /// The water supply, as last told.
    pub supply: Option<Dated<WaterSupply>>,
    /// Tariffs as they came into force, oldest first.
    pub tariffs: Vec<Dated<TariffFacts>>,
    /// What was bought.
    pub purchases: Vec<Dated<Bought>>,
    /// Free words.
    pub notes: Vec<Dated<Note>>,
    /// Work planned and not yet done: for the day of the fold or later, or overdue by at most a month.
    pub plans: Vec<Dated<Planned>>,
}

/// The entries still in force: neither corrected nor withdrawn, and no withdrawals themselves.
///
/// Order: by day, then by the moment recorded, then by id.
pub fn in_force(entries: &[Entry]) -> Vec<&Entry> {
    let superseded: HashSet<&str> = entries.iter().filter_map(|e| e.supersedes.as_deref()).collect();
    let mut live: Vec<&Entry> = entries
        .iter()
        .filter(|e| !superseded.contains(e.id.as_str()) && !matches!(e.body, Body::Withdrawn(_)))
        .collect();
    live.sort_by(|a, b| (a.happened_on, a.recorded_at, &a.id).cmp(&(b.happened_on, b.recorded_at, &b.id)));
    live
}

/// Folds the entries into the yard as it stood at the end of `as_of`.
///
/// Facts of later days are left out; plans are kept until they are done, or a month past their day. The map (yard, areas, zones, rules) is
/// taken even when it was first written down after `as_of`, so that looking back over an imported weather record still works.
pub fn fold(entries: &[Entry], as_of: Date) -> Yard {
    let mut yard = Yard::default();
    let mut area_at: HashMap<String, usize> = HashMap::new();
    let mut zone_at: HashMap<String, usize> = HashMap::new();
    // How many audits were known when each zone was last told: the later word wins.
    let mut audits_before: HashMap<String, usize> = HashMap::new();
    let mut product_at: HashMap<String, usize> = HashMap::new();
    let mut thing_at: HashMap<String, usize> = HashMap::new();
    let live = in_force(entries);
    for entry in live {
        let later = entry.happened_on > as_of;
        let dated_id = || entry.id.clone();
        match &entry.body {
            Body::Yard(f) => {
                if !later || yard.facts.is_none() {
                    yard.facts = Some(f.clone());
                }
            }
            Body::Area(a) => {
                if !later || !area_at.contains_key(&a.key) {
                    put(&mut yard.areas, &mut area_at, &a.key, a);
                    push(&mut yard.areas_ever, entry, a);
                }
            }
            Body::Zone(z) => {
                if !later || !zone_at.contains_key(&z.key) {
                    put(&mut yard.zones, &mut zone_at, &z.key, z);
                    audits_before.insert(z.key.clone(), yard.audits.len());
                }
            }
            Body::Outline(o) => {
                if !later || !yard.outlines.iter().any(|x| x.fact.area == o.area) {
                    yard.outlines.push(DatedOutline { id: dated_id(), on: entry.happened_on, fact: o.clone() });
                }
            }
            Body::Mapped(m) => {
                if !later || !thing_at.contains_key(&m.key) {
                    put(&mut yard.things, &mut thing_at, &m.key, m);
                }
            }
            Body::Origin(o) => {
                if !later || yard.origin.is_none() {
                    yard.origin = Some(*o);
                }
            }
            Body::Underlay(u) => {
                if !later || yard.underlay.is_none() {
                    yard.underlay = Some(u.clone());
                }
            }
            Body::Product(p) => {
                if !later || !product_at.contains_key(&p.key) {
                    put(&mut yard.products, &mut product_at, &p.key, p);
                    push(&mut yard.products_ever, entry, p);
                }
            }
            Body::LocalRules(r) => {
                if !later || yard.local_rules.is_none() {
                    yard.local_rules = Some(r.clone());
                }
            }
            Body::Controller(c) => {
                if !later || yard.controller.is_none() {
                    yard.controller = Some(Dated { id: dated_id(), on: entry.happened_on, fact: c.clone() });
                }
            }
            Body::Supply(w) => {
                if !later || yard.supply.is_none() {
                    yard.supply = Some(Dated { id: dated_id(), on: entry.happened_on, fact: w.clone() });
                }
            }
            Body::WaterRules(r) => {
                if !later || yard.water_rules.is_none() {
                    yard.water_rules = Some(r.clone());
                }
            }
            Body::Planned(p) => {
                if Yard::days_between(entry.happened_on, as_of) <= PLAN_OVERDUE_DAYS {
                    yard.plans.push(Dated { id: dated_id(), on: entry.happened_on, fact: p.clone() });
                }
            }
            Body::Tariff(t) => {
                if !later || !yard.tariffs.iter().any(|x| x.fact.meter == t.meter) {
                    push(&mut yard.tariffs, entry, t);
                }
            }
            _ if later => {}
            Body::Programme(f) => push(&mut yard.programmes, entry, f),
            Body::Sprinklers(f) => {
                yard.sprinklers = Some(Dated { id: dated_id(), on: entry.happened_on, fact: f.clone() });
            }
            Body::SoilTested(f) => push(&mut yard.soil_tests, entry, f),
            Body::Counted(f) => push(&mut yard.counts, entry, f),
            Body::Spreader(f) => push(&mut yard.spreaders, entry, f),
            Body::Sprayer(f) => push(&mut yard.sprayers, entry, f),
            Body::Applied(f) => push(&mut yard.applications, entry, f),
            Body::Seeded(f) => push(&mut yard.seedings, entry, f),
            Body::Mowed(f) => push(&mut yard.mowings, entry, f),
            Body::Watered(f) => push(&mut yard.waterings, entry, f),
            Body::Rain(f) => *yard.rain.entry(entry.happened_on).or_insert(0.0) += f.depth_mm,
            Body::SoilWater(f) => push(&mut yard.soil_water, entry, f),
            Body::Scouted(f) => push(&mut yard.scoutings, entry, f),
            Body::MoleRun(f) => push(&mut yard.mole_runs, entry, f),
            Body::Planted(f) => push(&mut yard.plantings, entry, f),
            Body::Repaired(f) => push(&mut yard.repairs, entry, f),
            Body::ToMend(f) => push(&mut yard.to_mend, entry, f),
            Body::BackflowTested(f) => push(&mut yard.backflow_tests, entry, f),
            Body::MeterRead(f) => push(&mut yard.meter_reads, entry, f),
            Body::Audited(f) => push(&mut yard.audits, entry, f),
            Body::Bought(f) => push(&mut yard.purchases, entry, f),
            Body::Note(f) => push(&mut yard.notes, entry, f),
            Body::Withdrawn(_) => {}
        }
    }
    yard.areas.retain(|a| !a.retired);
    yard.things.retain(|t| !t.removed);
    yard.underlay = yard.underlay.filter(|u| !u.removed);
    yard.ground_index = GroundIndex::of(&yard.outlines);
    for i in 0..yard.areas.len() {
        let drawn = yard.outline(&yard.areas[i].key).is_some();
        if let (true, Ground::Drawn(k)) = (drawn, yard.ground_on(&yard.areas[i].key, Date::MAX))
            && yard.outline_size(k) > 0.0
        {
            yard.areas[i].size_m2 = yard.outline_size(k);
        }
    }
    audit::take_over(&mut yard, &audits_before);
    yard.zones_ever = yard.zones.clone();
    yard.head_water = HeadWater::of(yard.zones_ever.len());
    yard.zones.retain(|z| !z.retired);
    let done: Vec<String> = yard.plans.iter().filter(|p| yard.fulfilled(p)).map(|p| p.id.clone()).collect();
    yard.plans.retain(|p| !done.contains(&p.id));
    yard
}

fn push<T: Clone>(list: &mut Vec<Dated<T>>, entry: &Entry, fact: &T) {
    list.push(Dated { id: entry.id.clone(), on: entry.happened_on, fact: fact.clone() });
}

fn put<T: Clone>(list: &mut Vec<T>, at: &mut HashMap<String, usize>, key: &str, fact: &T) {
    match at.get(key) {
        Some(&i) => list[i] = fact.clone(),
        None => {
            at.insert(key.to_owned(), list.len());
            list.push(fact.clone());
        }
    }
}

impl Yard {
    /// The user's units (US customary until told).
    pub fn units(&self) -> Units {
        self.facts.as_ref().map_or_else(Units::default, |f| f.units)
    }

    /// The area of this key.
    pub fn area(&self, key: &str) -> Option<&AreaFacts> {
        self.areas.iter().find(|a| a.key == key)
    }

    /// The zone of this key.
    pub fn zone(&self, key: &str) -> Option<&ZoneFacts> {
        self.zones.iter().find(|z| z.key == key)
    }

    /// The product of this key.
    pub fn product(&self, key: &str) -> Option<&ProductFacts> {
        self.products.iter().find(|p| p.key == key)
    }

    /// The product as it was described on a day: the last description up to then, else the first one.
    pub fn product_on(&self, key: &str, day: Date) -> Option<&ProductFacts> {
        let versions = || self.products_ever.iter().filter(|p| p.fact.key == key);
        versions().rev().find(|p| p.on <= day).or_else(|| versions().next()).map(|p| &p.fact)
    }

    /// Whether a plan was carried out: the same product on its areas, or the same grass sown, from a week before its day on.
    pub fn fulfilled(&self, plan: &Dated<Planned>) -> bool {
        let near = |on: Date| Yard::days_between(on, plan.on) <= PLAN_EARLY_DAYS;
        match &plan.fact.work {
            Work::Apply(a) => a.areas.iter().all(|area| {
                self.applications
                    .iter()
                    .any(|d| near(d.on) && d.fact.product == a.product && d.fact.areas.contains(area))
            }),
            Work::Sow(s) => {
                self.seedings.iter().any(|d| near(d.on) && d.fact.area == s.area && d.fact.grass == s.grass)
            }
        }
    }

    /// Areas of grass.
    pub fn lawns(&self) -> impl Iterator<Item = &AreaFacts> {
        self.areas.iter().filter(|a| a.cover == Cover::Turf)
    }

    /// Zones that water this area.
    pub fn zones_of<'a>(&'a self, area: &'a str) -> impl Iterator<Item = &'a ZoneFacts> {
        self.zones.iter().filter(move |z| z.areas.iter().any(|a| a == area))
    }

    /// The name of an area, or its key when the area is gone.
    pub fn area_name<'a>(&'a self, key: &'a str) -> &'a str {
        self.area(key).map_or(key, |a| &a.name)
    }

    /// Names of several areas in a sentence.
    pub fn area_names(&self, keys: &[String]) -> String {
        let names: Vec<&str> = keys.iter().map(|k| self.area_name(k)).collect();
        match names.as_slice() {
            [] => String::new(),
            [one] => (*one).to_owned(),
            [many @ .., last] => format!("{} and {last}", many.join(", ")),
        }
    }

    /// The last sowing on a good part of an area's ground on or before `on`; a mended spot is none.
    pub fn last_seeding(&self, area: &str, on: Date) -> Option<&Dated<Seeded>> {
        let part = |s: &Dated<Seeded>| {
            let whole = size_on(self, &s.fact.area, s.on);
            let spot = s.fact.spot_m2.filter(|_| whole > 0.0).map_or(1.0, |spot| (spot / whole).min(1.0));
            spot * self.share_of(area, &s.fact.area, s.on)
        };
        self.seedings.iter().rev().find(|s| s.on <= on && part(s) >= GOOD_PART)
    }

    /// The soil tests of most of an area's ground on or before `on`, newest first.
    pub fn soil_tests_of<'a>(&'a self, area: &'a str, on: Date) -> impl Iterator<Item = &'a Dated<SoilTested>> {
        let here =
            move |t: &&Dated<SoilTested>| t.fact.areas.iter().map(|a| self.share_of(area, a, t.on)).sum::<f64>() > 0.5;
        self.soil_tests.iter().rev().filter(move |t| t.on <= on).filter(here)
    }

    /// The last mowing of an area on or before `on`.
    pub fn last_mowing(&self, area: &str, on: Date) -> Option<&Dated<Mowed>> {
        let here = |m: &Dated<Mowed>| m.fact.areas.iter().any(|a| self.share_of(area, a, m.on) >= GOOD_PART);
        self.mowings.iter().rev().find(|m| m.on <= on && here(m))
    }

    /// Days between two dates, `to − from`.
    pub fn days_between(from: Date, to: Date) -> i64 {
        i64::from((to - from).get_days())
    }
}

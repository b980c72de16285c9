//! What an entry must satisfy before it is stored. All faults are told at once; nothing is stored with a fault.

mod audited;
mod map;
mod planted;
mod scouted;
mod supply;
mod upkeep;
mod water_supply;

use almanac::Almanac;
use jiff::civil::Date;

use crate::entry::{Applied, Body, Cover, Entry, Seeded, Work};
use crate::fold::Yard;
use crate::units::{Quantity, Units, significant};

/// Most places of a mole's run.
const RUN_PLACES_MAX: usize = 60;
/// How far from the map's origin one may lie (m).
const RUN_REACH_M: f64 = 10_000.0;

/// One thing wrong with an entry.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Fault {
    /// The field, as forms and commands name it.
    pub field: String,
    /// What is wrong, the value seen, what is allowed.
    pub message: String,
}

struct Faults {
    units: Units,
    list: Vec<Fault>,
}

impl Faults {
    fn say(&mut self, field: &str, message: impl Into<String>) {
        self.list.push(Fault { field: field.to_owned(), message: message.into() });
    }

    fn range(&mut self, field: &str, value: f64, min: f64, max: f64, unit: &str) {
        if !(value.is_finite() && value >= min && value <= max) {
            self.say(field, format!("{field} is {value}; it must be between {min} and {max} {unit}"));
        }
    }

    /// A range told in the person's units.
    fn measure(&mut self, field: &str, si: f64, min: f64, max: f64, quantity: Quantity) {
        // What was left out, or could not be read, is told in words of its own.
        if si.is_nan() {
            if !self.list.iter().any(|f| f.field == field) {
                self.say(field, format!("{field} is missing"));
            }
            return;
        }
        if !(si.is_finite() && si >= min && si <= max) {
            let say = |v: f64| {
                let shown = self.units.show(quantity, v);
                let number = if shown.abs() < 1e7 { significant(shown, 3) } else { format!("{shown:.2e}") };
                format!("{number} {}", self.units.symbol(quantity))
            };
            let message = format!("{field} is {}; it must be between {} and {}", say(si), say(min), say(max));
            self.say(field, message);
        }
    }

    fn measure_maybe(&mut self, field: &str, si: Option<f64>, min: f64, max: f64, quantity: Quantity) {
        if let Some(v) = si {
            self.measure(field, v, min, max, quantity);
        }
    }

    fn range_maybe(&mut self, field: &str, value: Option<f64>, min: f64, max: f64, unit: &str) {
        if let Some(v) = value {
            self.range(field, v, min, max, unit);
        }
    }

    fn words(&mut self, field: &str, text: &str, max: usize) {
        if text.trim().is_empty() {
            self.say(field, format!("{field} is empty; say it in a word or two"));
        } else if text.chars().count() > max {
            self.say(field, format!("{field} has {} letters; at most {max} are kept", text.chars().count()));
        }
    }

    fn key(&mut self, field: &str, key: &str) {
        let fine = !key.is_empty()
            && key.len() <= 60
            && key.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
        if !fine {
            self.say(field, format!("{field} is “{key}”; use up to 60 lower case letters, digits and hyphens"));
        }
    }

    fn area(&mut self, yard: &Yard, field: &str, key: &str) {
        if yard.area(key).is_none() {
            let known: Vec<&str> = yard.areas.iter().map(|a| a.key.as_str()).collect();
            self.say(field, format!("no area “{key}”; the areas are: {}", list_or_none(&known)));
        }
    }

    fn zone(&mut self, yard: &Yard, field: &str, key: &str) {
        if yard.zone(key).is_none() {
            let known: Vec<&str> = yard.zones.iter().map(|z| z.key.as_str()).collect();
            self.say(field, format!("no zone “{key}”; the zones are: {}", list_or_none(&known)));
        }
    }

    fn weekdays(&mut self, days: &[i8]) {
        if let Some(bad) = days.iter().find(|d| !(1..=7).contains(*d)) {
            self.say("weekdays", format!("weekdays has {bad}; use 1 (Monday) to 7 (Sunday)"));
        }
    }
}

fn list_or_none(known: &[&str]) -> String {
    if known.is_empty() { "none yet".to_owned() } else { known.join(", ") }
}

/// Earliest year an entry may be of.
pub const YEAR_MIN: i16 = 1950;
/// Latest year an entry may be of.
pub const YEAR_MAX: i16 = 2150;
/// Longest span of watering hours (min).
pub const WATER_SPAN_MAX_MIN: i32 = 14 * 60;
/// Longest free text kept.
pub const TEXT_MAX: usize = 4_000;

/// Checks the day of an entry. `today` is the yard's own today: done things cannot lie after it, plans not three years ahead.
pub fn check_date(happened_on: Date, planned: bool, today: Date) -> Vec<Fault> {
    let mut f = Faults { units: Units::default(), list: Vec::new() };
    let year = happened_on.year();
    if !(YEAR_MIN..=YEAR_MAX).contains(&year) {
        f.say(
            "on",
            format!("the date {happened_on} has the year {year}; it must be between {YEAR_MIN} and {YEAR_MAX}"),
        );
    } else if planned {
        if happened_on < today {
            f.say(
                "on",
                format!("a plan for {happened_on} lies before today ({today}); log what was done, or plan it anew"),
            );
        } else if Yard::days_between(today, happened_on) > 3 * 366 {
            f.say("on", format!("a plan for {happened_on} is more than three years ahead"));
        }
    } else if happened_on > today {
        f.say("on", format!("{happened_on} is after today ({today}); what is still to come is a plan, not a log"));
    }
    f.list
}

/// Checks an entry against the yard it is meant for, and its day against the yard's today.
pub fn check_entry(entry: &Entry, yard: &Yard, almanac: &Almanac, today: Date) -> Vec<Fault> {
    let units = match &entry.body {
        Body::Yard(y) => y.units,
        _ => yard.units(),
    };
    let mut f = Faults { units, list: check_date(entry.happened_on, matches!(entry.body, Body::Planned(_)), today) };
    check_body(&mut f, &entry.body, yard, almanac);
    if let Body::ToMend(m) = &entry.body
        && let Some(by) = m.by.filter(|by| *by < entry.happened_on)
    {
        f.say("by", format!("by is {by}, before the day it was found ({})", entry.happened_on));
    }
    f.list
}

fn check_body(f: &mut Faults, body: &Body, yard: &Yard, almanac: &Almanac) {
    match body {
        Body::Yard(y) => {
            f.words("name", &y.name, 80);
            f.range("latitude", y.place.latitude_deg, -66.0, 66.0, "degrees (north positive)");
            f.range("longitude", y.place.longitude_deg, -180.0, 180.0, "degrees (east positive)");
            f.measure("elevation", y.place.elevation_m, -430.0, 4500.0, Quantity::Length);
            if let Some(tz) = &y.time_zone
                && jiff::tz::db().get(tz).is_err()
            {
                f.say("time_zone", format!("no time zone “{tz}”; write it like America/Denver"));
            }
            if y.currency.chars().count() > 4 {
                f.say("currency", "the money sign has at most four letters");
            }
        }
        Body::Area(a) => {
            f.key("key", &a.key);
            f.words("name", &a.name, 80);
            f.measure("size", a.size_m2, 0.5, 200_000.0, Quantity::Area);
            if almanac.texture(&a.soil).is_none() {
                let known: Vec<&str> = almanac.textures.iter().map(|t| t.id.as_str()).collect();
                f.say("soil", format!("no soil texture “{}”; choose one of: {}", a.soil, known.join(", ")));
            }
            match (&a.grass, a.cover) {
                (Some(g), _) if almanac.grass(g).is_none() => {
                    let known: Vec<&str> = almanac.grasses.iter().map(|g| g.id.as_str()).collect();
                    f.say("grass", format!("no grass “{g}”; choose one of: {}", known.join(", ")));
                }
                (None, Cover::Turf) => f.say("grass", "a lawn needs its grass"),
                _ => {}
            }
            f.range("slope", a.slope_pct, 0.0, 100.0, "%");
            f.measure_maybe("root", a.root_m.map(|m| m * 1000.0), 10.0, 2000.0, Quantity::Depth);
            f.measure_maybe("mow", a.mow_mm, 5.0, 200.0, Quantity::Depth);
            f.range_maybe("sun", a.sun_h, 0.0, 24.0, "hours");
            f.range_maybe("snow", a.snow_days, 0.0, 366.0, "days");
            f.measure_maybe("mulch", a.mulch_mm, 0.0, 500.0, Quantity::Depth);
            f.measure_maybe("height", a.height_m, 0.1, 30.0, Quantity::Length);
            if a.plants.chars().count() > TEXT_MAX {
                f.say("plants", format!("at most {TEXT_MAX} letters are kept"));
            }
        }
        Body::Outline(o) => map::outline(f, o, yard),
        Body::Mapped(m) => map::mapped(f, m, yard),
        Body::Origin(o) => {
            f.range("latitude", o.latitude_deg, -66.0, 66.0, "degrees (north positive)");
            f.range("longitude", o.longitude_deg, -180.0, 180.0, "degrees (east positive)");
        }
        Body::Underlay(u) => map::underlay(f, u),
        Body::Zone(z) => {
            f.key("key", &z.key);
            f.words("name", &z.name, 80);
            if z.areas.is_empty() {
                f.say("areas", "a zone waters at least one area");
            }
            for a in &z.areas {
                f.area(yard, "areas", a);
            }
            if almanac.sprinkler(&z.sprinkler).is_none() {
                let known: Vec<&str> = almanac.sprinklers.iter().map(|s| s.id.as_str()).collect();
                f.say("sprinkler", format!("no sprinkler kind “{}”; choose one of: {}", z.sprinkler, known.join(", ")));
            }
            f.measure_maybe("rate", z.rate_mm_h, 0.5, 200.0, Quantity::Rate);
            f.measure_maybe("flow", z.flow_lpm, 0.1, 1000.0, Quantity::Flow);
            f.range_maybe("du", z.du_lq, 0.1, 1.0, "(share)");
        }
        Body::Controller(c) => supply::controller(f, c),
        Body::WaterRules(r) => {
            f.weekdays(&r.weekdays);
            let minutes = |t: jiff::civil::Time| i32::from(t.hour()) * 60 + i32::from(t.minute());
            let span = (minutes(r.until) - minutes(r.from)).rem_euclid(1440);
            if span == 0 {
                f.say("until", "the watering hours start and end at the same time");
            } else if span > WATER_SPAN_MAX_MIN {
                let message = format!(
                    "watering from {} until {} would be {} hours; are the two the wrong way round?",
                    r.from,
                    r.until,
                    span / 60
                );
                f.say("until", message);
            }
        }
        Body::Programme(p) => {
            f.zone(yard, "zone", &p.zone);
            f.range("minutes", p.minutes, 0.0, 600.0, "min");
            f.weekdays(&p.weekdays);
        }
        Body::Sprinklers(s) => {
            if s.remark.chars().count() > TEXT_MAX {
                f.say("remark", format!("at most {TEXT_MAX} letters are kept"));
            }
        }
        Body::Product(p) => {
            f.key("key", &p.key);
            f.words("name", &p.name, 120);
            for (field, v) in [("n", p.n_pct), ("p2o5", p.p2o5_pct), ("k2o", p.k2o_pct), ("slow", p.slow_n_pct)] {
                f.range(field, v, 0.0, 100.0, "%");
            }
            if p.label.active_yearly_max_g_m2.is_some() && p.actives.len() > 1 {
                f.say(
                    "label_active_year",
                    "one yearly figure cannot stand for several active ingredients; leave it out for a mixture",
                );
            }
            let used = yard.applications.iter().any(|a| a.fact.product == p.key)
                || yard.counts.iter().any(|c| c.fact.product == p.key)
                || yard.purchases.iter().any(|b| b.fact.product.as_deref() == Some(p.key.as_str()));
            if used && yard.product(&p.key).is_some_and(|before| before.form != p.form) {
                f.say(
                    "form",
                    "granule and liquid are told in different measures; enter the other one as a product of its own",
                );
            }
            if p.n_pct + p.p2o5_pct + p.k2o_pct > 100.0 {
                f.say("n", "the analysis adds to more than 100 %");
            }
            for s in &p.actives {
                if almanac.active(&s.active).is_none() {
                    let known: Vec<&str> = almanac.actives.iter().map(|a| a.id.as_str()).collect();
                    f.say("actives", format!("no active ingredient “{}”; known: {}", s.active, known.join(", ")));
                }
                f.range("strength", s.pct, 0.0001, 150.0, "%");
            }
            let l = &p.label;
            f.measure_maybe("label_rate_max", l.rate_max_g_m2, 0.0001, 1000.0, p.dose_quantity());
            f.range_maybe("label_seed_wait", l.seed_wait_days, 0.0, 800.0, "days");
            f.range_maybe("label_interval", l.interval_days, 0.0, 800.0, "days");
            f.measure_maybe("label_active_year", l.active_yearly_max_g_m2, 0.00001, 500.0, Quantity::Dose);
            f.range_maybe("label_rain_free", l.rain_free_hours, 0.0, 240.0, "hours");
            f.measure_maybe("label_water_in", l.water_in_mm, 0.0, 100.0, Quantity::Depth);
            f.range_maybe("label_water_within", l.water_in_within_days, 0.0, 120.0, "days");
            f.range_maybe("label_times_year", l.applications_a_year, 1.0, 100.0, "times");
            f.range_maybe("label_seedling_days", l.seedling_days, 0.0, 800.0, "days");
            f.range_maybe("label_seedling_mowings", l.seedling_mowings, 0.0, 20.0, "mowings");
            f.measure_maybe("label_cold", l.temperature_min_c, -30.0, 40.0, Quantity::Temperature);
            f.measure_maybe("label_heat", l.temperature_max_c, 0.0, 60.0, Quantity::Temperature);
            f.measure_maybe("label_wind", l.wind_max_ms, 0.0, 20.0, Quantity::Speed);
            f.range_maybe("label_reentry", l.reentry_hours, 0.0, 1000.0, "hours");
            f.measure_maybe("label_buffer", l.water_buffer_m, 0.0, 500.0, Quantity::Length);
            for (field, keys) in [("label_grasses", &l.grasses), ("label_grasses_not", &l.grasses_not)] {
                for key in keys.iter().filter(|k| almanac.grass(k).is_none()) {
                    let known: Vec<&str> = almanac.grasses.iter().map(|g| g.id.as_str()).collect();
                    f.say(field, format!("no grass “{key}”; known: {}", known.join(", ")));
                }
            }
            for t in &p.targets {
                f.words("targets", &t.target, 80);
                f.measure("targets", t.low, 0.00001, 2000.0, p.dose_quantity());
                f.measure("targets", t.high, t.low.max(0.00001), 2000.0, p.dose_quantity());
            }
            for pack in &p.packs {
                f.measure("packs", pack.size_kg, 0.001, 2000.0, p.amount_quantity());
                f.range_maybe("packs", pack.price, 0.0, 1_000_000.0, "");
            }
            if p.targets.len() > 50 || p.packs.len() > 50 {
                f.say("packs", "at most 50 targets and 50 packs are kept");
            }
            for (field, text) in [("label_hazards", &l.hazards), ("lot", &p.lot)] {
                if text.chars().count() > 400 {
                    f.say(field, format!("{field} has {} letters; at most 400 are kept", text.chars().count()));
                }
            }
            f.measure_maybe("pack", p.pack_kg, 0.001, 2000.0, p.amount_quantity());
        }
        Body::SoilTested(s) => {
            areas(f, &s.areas, yard);
            f.range_maybe("ph", s.ph, 2.0, 11.0, "");
            f.range_maybe("acidity", s.acidity_meq, 0.0, 100.0, "meq/100 g");
            f.range_maybe("sikora", s.sikora_ph, 4.0, 8.5, "");
            f.measure_maybe("depth", s.depth_mm, 20.0, 500.0, Quantity::Depth);
            for (field, v) in [("p", s.p), ("k", s.k), ("ca", s.ca), ("mg", s.mg)] {
                f.range_maybe(field, v, 0.0, 50_000.0, "");
            }
            if s.laboratory.chars().count() > 200 {
                f.say("laboratory", "at most 200 letters are kept");
            }
            let told = [s.ph, s.acidity_meq, s.sikora_ph, s.p, s.k, s.ca, s.mg];
            if told.iter().all(Option::is_none) {
                f.say("ph", "the report has at least one figure");
            }
        }
        Body::Counted(c) => {
            let quantity = product(f, &c.product, yard);
            f.measure("left", c.left_kg, 0.0, 100_000.0, quantity);
        }
        Body::Spreader(s) => {
            f.words("spreader", &s.spreader, 80);
            product(f, &s.product, yard);
            if !(2..=50).contains(&s.trials.len()) {
                f.say("trials", format!("{} trials; two to 50 are needed", s.trials.len()));
            }
            for t in &s.trials {
                f.range("trials", t.setting, 0.0, 1_000.0, "(setting)");
                f.measure("trials", t.collected_kg, 0.0001, 500.0, Quantity::Mass);
                f.measure("trials", t.swath_m, 0.1, 30.0, Quantity::Length);
                f.measure("trials", t.length_m, 0.5, 1_000.0, Quantity::Length);
            }
        }
        Body::MeterRead(m) => supply::meter_read(f, m),
        Body::Tariff(t) => supply::tariff(f, t),
        Body::Sprayer(s) => {
            f.words("sprayer", &s.sprayer, 80);
            f.measure("tank", s.tank_l, 0.1, 2_000.0, Quantity::Volume);
            f.measure("used", s.used_l, 0.01, 2_000.0, Quantity::Volume);
            f.measure("ground", s.on_m2, 0.5, 100_000.0, Quantity::Area);
        }
        Body::LocalRules(l) => {
            f.measure_maybe("nitrogen_once", l.nitrogen_once_g_m2, 0.0, 100.0, Quantity::Dose);
            f.measure_maybe("nitrogen_year", l.nitrogen_year_g_m2, 0.0, 100.0, Quantity::Dose);
            if l.no_feed_from.is_some() != l.no_feed_until.is_some() {
                f.say("no_feed_until", "a season without fertiliser has a first and a last day");
            }
            if l.source.chars().count() > 400 {
                f.say("source", "at most 400 letters are kept");
            }
        }
        Body::Applied(a) => applied(f, a, yard),
        Body::Seeded(s) => seeded(f, s, yard, almanac),
        Body::Mowed(m) => {
            areas(f, &m.areas, yard);
            f.measure("height", m.height_mm, 5.0, 300.0, Quantity::Depth);
        }
        Body::Watered(w) => match (&w.zone, &w.area, w.minutes, w.depth_mm) {
            (Some(z), None, Some(minutes), None) => {
                f.zone(yard, "zone", z);
                f.range("minutes", minutes, 0.1, 1440.0, "min");
            }
            (None, Some(a), None, Some(depth)) => {
                f.area(yard, "area", a);
                f.measure("depth", depth, 0.1, 300.0, Quantity::Depth);
            }
            _ => f.say("zone", "say either a zone and its minutes, or an area and the depth put on"),
        },
        Body::Rain(r) => f.measure("depth", r.depth_mm, 0.0, 1000.0, Quantity::Depth),
        Body::SoilWater(s) => {
            f.area(yard, "area", &s.area);
            f.range("depleted", s.depleted * 100.0, 0.0, 100.0, "% (0 = full, 100 = wilting)");
        }
        Body::Scouted(s) => scouted::scouted(f, s, yard, almanac),
        Body::Planted(p) => planted::planted(f, p, yard, almanac),
        Body::MoleRun(m) => {
            f.area(yard, "area", &m.area);
            f.words("run", &m.run, 80);
            let far = m.line.iter().flatten().any(|v| !v.is_finite() || v.abs() > RUN_REACH_M);
            if m.line.len() == 1 || m.line.len() > RUN_PLACES_MAX || far {
                f.say("line", "a run has two to 60 places, each within 10 km of the map’s origin");
            }
        }
        Body::Repaired(r) => {
            f.words("done", &r.done, TEXT_MAX);
            if let Some(z) = &r.zone {
                f.zone(yard, "zone", z);
            }
            if let Some(a) = &r.area {
                f.area(yard, "area", a);
            }
            f.range_maybe("cost", r.cost, 0.0, 10_000_000.0, "");
        }
        Body::Bought(b) => {
            f.words("what", &b.what, 400);
            if let Some(p) = &b.product
                && yard.product(p).is_none()
            {
                f.say("product", format!("no product “{p}” on the shelf"));
            }
            f.measure_maybe("amount_in", b.amount_kg, 0.0001, 100_000.0, Quantity::Mass);
            if b.amount_kg.is_some() && b.product.is_none() {
                f.say("amount_in", "say which product it is an amount of");
            }
            f.range_maybe("cost", b.cost, 0.0, 10_000_000.0, "");
        }
        Body::Audited(a) => audited::audited(f, a, yard),
        Body::ToMend(m) => upkeep::to_mend(f, m, yard),
        Body::BackflowTested(b) => upkeep::backflow_tested(f, b),
        Body::Supply(w) => water_supply::water_supply(f, w, &almanac.hydraulics),
        Body::Note(n) => {
            f.words("text", &n.text, TEXT_MAX);
            if let Some(a) = &n.area {
                f.area(yard, "area", a);
            }
        }
        Body::Planned(p) => match &p.work {
            Work::Apply(a) => applied(f, a, yard),
            Work::Sow(s) => seeded(f, s, yard, almanac),
        },
        Body::Withdrawn(w) => {
            if w.why.chars().count() > TEXT_MAX {
                f.say("why", format!("at most {TEXT_MAX} letters are kept"));
            }
        }
    }
}

/// The product of a key; the quantity its amounts are told in.
fn product(f: &mut Faults, key: &str, yard: &Yard) -> Quantity {
    match yard.product(key) {
        Some(product) => product.amount_quantity(),
        None => {
            let known: Vec<&str> = yard.products.iter().map(|p| p.key.as_str()).collect();
            f.say("product", format!("no product “{key}” on the shelf; there are: {}", list_or_none(&known)));
            Quantity::Mass
        }
    }
}

fn areas(f: &mut Faults, keys: &[String], yard: &Yard) {
    if keys.is_empty() {
        f.say("areas", "say which area, or several");
    }
    for (i, key) in keys.iter().enumerate() {
        f.area(yard, "areas", key);
        if keys[..i].contains(key) {
            f.say("areas", format!("“{key}” is told twice"));
        }
    }
}

/// Ground of areas (m²): a spot of them is no larger.
fn ground_of(yard: &Yard, areas: &[String]) -> f64 {
    areas.iter().filter_map(|a| yard.area(a)).map(|a| a.size_m2).sum::<f64>().max(0.01)
}

fn applied(f: &mut Faults, a: &Applied, yard: &Yard) {
    areas(f, &a.areas, yard);
    if yard.product(&a.product).is_none() {
        let known: Vec<&str> = yard.products.iter().map(|p| p.key.as_str()).collect();
        f.say("product", format!("no product “{}” on the shelf; there are: {}", a.product, list_or_none(&known)));
    }
    let quantity = yard.product(&a.product).map_or(Quantity::Dose, |p| p.dose_quantity());
    f.measure("rate", a.rate_g_m2, 0.00001, 2000.0, quantity);
    f.measure_maybe("spot", a.spot_m2, 0.01, ground_of(yard, &a.areas), Quantity::Area);
    f.measure_maybe("wind", a.wind_ms, 0.0, 60.0, Quantity::Speed);
    f.measure_maybe("air", a.air_c, -40.0, 60.0, Quantity::Temperature);
    f.range_maybe("rain_in_hours", a.rain_in_hours, 0.0, 1000.0, "hours");
    f.measure_maybe("watered_in", a.watered_in_mm, 0.0, 200.0, Quantity::Depth);
}

fn seeded(f: &mut Faults, s: &Seeded, yard: &Yard, almanac: &Almanac) {
    f.area(yard, "area", &s.area);
    if almanac.grass(&s.grass).is_none() {
        let known: Vec<&str> = almanac.grasses.iter().map(|g| g.id.as_str()).collect();
        f.say("grass", format!("no grass “{}”; choose one of: {}", s.grass, known.join(", ")));
    }
    f.measure("rate", s.rate_g_m2, 0.05, 200.0, Quantity::Dose);
    f.measure_maybe("spot", s.spot_m2, 0.01, ground_of(yard, std::slice::from_ref(&s.area)), Quantity::Area);
}

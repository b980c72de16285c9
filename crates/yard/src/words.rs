//! An entry in a line of words, in the user's units; clock times, weekdays, money.

use crate::entry::{Applied, Body, Scouted, Seeded, SystemState, Work};
use crate::fold::Yard;
use crate::units::{Quantity, Units, significant};
use almanac::Almanac;

fn grass(key: &str) -> &str {
    Almanac::embedded().grass(key).map_or(key, |g| &g.name)
}

fn zone<'a>(yard: &'a Yard, key: &'a str) -> &'a str {
    yard.zone(key).map_or(key, |z| &z.name)
}

fn applied(yard: &Yard, units: Units, a: &Applied) -> String {
    let product = yard.product(&a.product).map_or(a.product.as_str(), |p| &p.name);
    let dose = yard.product(&a.product).map_or(Quantity::Dose, |p| p.dose_quantity());
    format!("{product} on {}, {}{}", yard.area_names(&a.areas), units.say(dose, a.rate_g_m2), spot(units, a.spot_m2))
}

fn seeded(yard: &Yard, units: Units, s: &Seeded) -> String {
    let rate = units.say(Quantity::Dose, s.rate_g_m2);
    format!("{} on {}, {rate}{}", grass(&s.grass), yard.area_name(&s.area), spot(units, s.spot_m2))
}

fn spot(units: Units, m2: Option<f64>) -> String {
    m2.map(|m2| format!(", on a spot of {}", units.say(Quantity::Area, m2))).unwrap_or_default()
}

fn where_of(yard: &Yard, zone_key: Option<&String>, area_key: Option<&String>) -> String {
    match (zone_key, area_key) {
        (Some(z), _) => format!("{}: ", zone(yard, z)),
        (None, Some(a)) => format!("{}: ", yard.area_name(a)),
        (None, None) => String::new(),
    }
}

/// The cause held likeliest and the count, behind what was seen.
fn held(s: &Scouted, units: Units) -> String {
    let cause = s.cause.as_deref().map(|key| {
        let tables = Almanac::embedded();
        let name = match s.plant {
            Some(_) => tables.plants.cause(key).map_or(key, |c| &c.name),
            None => tables.cause(key).map_or(key, |c| &c.name),
        };
        let sure = s.probability.map(|p| format!(" ({:.0} %)", p * 100.0)).unwrap_or_default();
        format!("; held likeliest: {name}{sure}")
    });
    let count = s.count_per_m2.map(|c| format!("; {} counted", density(c, units)));
    let seed = s.seedlings.map(|seen| format!("; new seed: {}", seen.words()));
    format!("{}{}{}", cause.unwrap_or_default(), count.unwrap_or_default(), seed.unwrap_or_default())
}

/// Animals on the ground, in the user's unit of it.
pub fn density(per_m2: f64, units: Units) -> String {
    match units {
        Units::UsCustomary => format!("{:.1} per square foot", per_m2 * 0.092_903_04),
        Units::Metric => format!("{per_m2:.0} per m²"),
    }
}

/// What an entry says, in a line, in the user's units.
pub fn line(body: &Body, yard: &Yard) -> String {
    let units = yard.units();
    match body {
        Body::Yard(f) => format!("The yard: {}", f.name),
        Body::Area(a) if a.retired => format!("Area given up: {}", a.name),
        Body::Area(a) => format!("Area: {}, {} of {}", a.name, units.say(Quantity::Area, a.size_m2), a.cover.word()),
        Body::Outline(o) if o.pieces.is_empty() => format!("Drawing taken back: {}", yard.area_name(&o.area)),
        Body::Outline(o) => {
            let size: f64 = o.pieces.iter().filter_map(|p| p.size().ok()).map(|s| s.area.get()).sum();
            format!("Drawn: {}, {}", yard.area_name(&o.area), units.say(Quantity::Area, size))
        }
        Body::Mapped(m) if m.removed => format!("Off the map: {}", m.name),
        Body::Mapped(m) => format!("On the map: {} ({})", m.name, m.thing.word()),
        Body::Origin(o) => format!("The map lies at {:.6}, {:.6}", o.latitude_deg, o.longitude_deg),
        Body::Underlay(u) if u.removed => format!("Picture taken from under the map: {}", u.name),
        Body::Underlay(u) => format!("Picture under the map: {}", u.name),
        Body::Zone(z) if z.retired => format!("Zone given up: {}", z.name),
        Body::Zone(z) => format!("Zone: {}, waters {}", z.name, yard.area_names(&z.areas)),
        Body::Controller(c) => format!("Controller: {} programmes of {} start times", c.programmes, c.starts),
        Body::WaterRules(r) => format!("Watering allowed {} to {}", clock(r.from), clock(r.until)),
        Body::Sprinklers(s) => {
            let state = match s.state {
                SystemState::Opened => "Sprinklers opened for the season",
                SystemState::Shut => "Sprinklers shut for the winter",
            };
            if s.remark.is_empty() { state.to_owned() } else { format!("{state}: {}", s.remark) }
        }
        Body::Programme(p) if p.minutes <= 0.0 => format!("Controller: {} off", zone(yard, &p.zone)),
        Body::Programme(p) => {
            format!("Controller: {} for {} min, {}", zone(yard, &p.zone), p.minutes, weekdays(&p.weekdays))
        }
        Body::Product(p) => format!("On the shelf: {}", p.name),
        Body::Counted(c) => {
            let product = yard.product(&c.product);
            let quantity = product.map_or(Quantity::Mass, |p| p.amount_quantity());
            let name = product.map_or(c.product.as_str(), |p| &p.name);
            format!("On the shelf: {} of {name} left", units.say(quantity, c.left_kg))
        }
        Body::Spreader(s) => {
            let name = yard.product(&s.product).map_or(s.product.as_str(), |p| &p.name);
            format!("{} tried with {name}, {} trials", s.spreader, s.trials.len())
        }
        Body::Sprayer(s) => format!(
            "{} tried: {} on {}",
            s.sprayer,
            units.say(Quantity::Volume, s.used_l),
            units.say(Quantity::Area, s.on_m2)
        ),
        Body::SoilTested(t) => {
            let ph = t.ph.map(|v| format!(", pH {v}")).unwrap_or_default();
            format!("Soil test of {}{ph}", yard.area_names(&t.areas))
        }
        Body::LocalRules(_) => "Local rules on feeding".to_owned(),
        Body::Applied(a) => format!("Put down {}", applied(yard, units, a)),
        Body::Seeded(s) => format!("Sowed {}", seeded(yard, units, s)),
        Body::Mowed(m) => {
            let off = if m.bagged { ", clippings taken off" } else { "" };
            format!("Mowed {} to {}{off}", yard.area_names(&m.areas), units.say(Quantity::Depth, m.height_mm))
        }
        Body::Watered(w) => {
            let place = where_of(yard, w.zone.as_ref(), w.area.as_ref());
            let minutes = w.minutes.map(|m| format!("{m:.0} min"));
            let depth = w.depth_mm.map(|mm| units.say(Quantity::Depth, mm));
            format!("{place}watered {}", minutes.or(depth).unwrap_or_default())
        }
        Body::Rain(r) => format!("Rain gauge: {}", units.say(Quantity::Depth, r.depth_mm)),
        Body::SoilWater(s) => {
            format!("{}: {:.0} % of the soil’s water used up", yard.area_name(&s.area), s.depleted * 100.0)
        }
        Body::Planted(p) => {
            let kind = if p.kind_of.is_empty() { Almanac::embedded().plant_name(&p.plant) } else { &p.kind_of };
            format!("Planted {} × {kind} on {}", p.count, yard.area_name(&p.area))
        }
        Body::MoleRun(m) => format!("Mole run “{}” on {}: {}", m.run, yard.area_name(&m.area), m.state.words()),
        Body::Scouted(s) => {
            let share = s.share_pct.map(|p| format!(" ({p:.0} % thin or bare)")).unwrap_or_default();
            let plant =
                s.plant.as_deref().map(|p| format!(", {}", Almanac::embedded().plant_name(p))).unwrap_or_default();
            format!("{}{plant}: seen: {}{share}{}", yard.area_name(&s.area), s.seen, held(s, units))
        }
        Body::Repaired(r) => format!("{}{}", where_of(yard, r.zone.as_ref(), r.area.as_ref()), r.done),
        Body::ToMend(m) => {
            let remark = if m.remark.is_empty() { String::new() } else { format!(" ({})", m.remark) };
            format!("To be mended: {}{}, {}{remark}", where_of(yard, m.zone.as_ref(), None), m.at, m.trouble.words())
        }
        Body::BackflowTested(b) => {
            let how = if b.failed { "failed its test" } else { "passed its test" };
            let by = if b.tester.is_empty() { String::new() } else { format!(" by {}", b.tester) };
            format!("The {} {how}{by}", b.assembly.words())
        }
        Body::Bought(b) if b.amount.is_empty() => format!("Bought {}", b.what),
        Body::Bought(b) => format!("Bought {}, {}", b.what, b.amount),
        Body::MeterRead(m) => {
            let reading = significant(m.reading_m3 / m.unit.in_m3(), 9);
            format!("Meter: {} stood at {reading} {}", m.meter.words(), m.unit.symbol())
        }
        Body::Tariff(t) => {
            format!("Water prices: {} steps, base {} {}", t.steps.len(), money(yard, t.base), t.period.words())
        }
        Body::Audited(a) => {
            let with = match a.caught_mm.len() {
                0 => "meter or bucket".to_owned(),
                n => format!("{n} cans"),
            };
            format!(
                "{}measured with {with} over {} min",
                where_of(yard, Some(&a.zone), None),
                significant(a.minutes, 4)
            )
        }
        Body::Supply(w) => {
            let pressure = |kpa| units.say(Quantity::Pressure, kpa);
            let working = w.working_kpa.zip(w.flow_lpm);
            let working = working.map(|(p, q)| format!(", {} at {}", pressure(p), units.say(Quantity::Flow, q)));
            format!("Water supply: {} with nothing running{}", pressure(w.static_kpa), working.unwrap_or_default())
        }
        Body::Note(n) => format!("{}{}", where_of(yard, None, n.area.as_ref()), n.text),
        Body::Planned(p) => match &p.work {
            Work::Apply(a) => format!("Plan: put down {}", applied(yard, units, a)),
            Work::Sow(s) => format!("Plan: sow {}", seeded(yard, units, s)),
        },
        Body::Withdrawn(w) if w.why.is_empty() => "Withdrawn".to_owned(),
        Body::Withdrawn(w) => format!("Withdrawn: {}", w.why),
    }
}

/// A clock time: "4:30".
pub fn clock(time: jiff::civil::Time) -> String {
    format!("{}:{:02}", time.hour(), time.minute())
}

/// Monday to Sunday, by number.
pub const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// Weekdays in words; none is every day.
pub fn weekdays(days: &[i8]) -> String {
    let names: Vec<&str> =
        days.iter().filter_map(|d| WEEKDAYS.get(usize::try_from(*d).ok()?.checked_sub(1)?).copied()).collect();
    if names.is_empty() { "every day".to_owned() } else { names.join(", ") }
}

/// Money with the yard's sign.
pub fn money(yard: &Yard, amount: f64) -> String {
    let sign = yard.facts.as_ref().map_or("$", |f| f.currency.as_str());
    format!("{sign}{amount:.2}")
}

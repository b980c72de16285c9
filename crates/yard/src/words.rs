//! An entry in a sentence, in the user's units.

use almanac::Almanac;

use crate::entry::{Body, Sowing, SystemState, Work};
use crate::fold::Yard;
use crate::units::Quantity;

/// What an entry says, in a line.
pub fn entry_words(body: &Body, yard: &Yard) -> String {
    let u = yard.units();
    let zone_name = |key: &str| yard.zone(key).map_or(key, |z| z.name.as_str()).to_owned();
    let product_name = |key: &str| yard.product(key).map_or(key, |p| p.name.as_str()).to_owned();
    let sign = yard.facts.as_ref().map_or("$", |f| f.currency.as_str());
    let money = |cost: Option<f64>| cost.filter(|c| *c > 0.0).map_or_else(String::new, |c| format!(" ({sign}{c:.2})"));
    let work = |work: &Work| match work {
        Work::Apply(a) => {
            format!(
                "{} on {} at {}",
                product_name(&a.product),
                yard.area_names(&a.areas),
                u.say(yard.product(&a.product).map_or(Quantity::Dose, |p| p.dose_quantity()), a.rate_g_m2)
            )
        }
        Work::Sow(s) => format!(
            "{} {} {} at {}",
            Almanac::embedded().grass(&s.grass).map_or(s.grass.as_str(), |g| g.name.as_str()),
            if s.sowing == Sowing::Over { "over" } else { "on" },
            yard.area_name(&s.area),
            u.say(Quantity::Dose, s.rate_g_m2)
        ),
    };
    match body {
        Body::Yard(y) => format!("{} at {:.2}°, {:.2}°", y.name, y.place.latitude_deg, y.place.longitude_deg),
        Body::Area(a) => format!("{}: {}, {}", a.name, a.cover.word(), u.say(Quantity::Area, a.size_m2)),
        Body::Zone(z) => format!("{} waters {}", z.name, yard.area_names(&z.areas)),
        Body::WaterRules(r) => format!(
            "watering between {:02}:{:02} and {:02}:{:02}",
            r.from.hour(),
            r.from.minute(),
            r.until.hour(),
            r.until.minute()
        ),
        Body::Sprinklers(s) => {
            let state = match s.state {
                SystemState::Opened => "opened for the season",
                SystemState::Shut => "shut for the winter",
            };
            format!("sprinklers {state}{}", remark(&s.remark))
        }
        Body::Programme(p) if p.minutes <= 0.0 => format!("{} off", zone_name(&p.zone)),
        Body::Programme(p) => format!("{}: {} minutes a run", zone_name(&p.zone), p.minutes),
        Body::Product(p) => p.name.clone(),
        Body::Applied(a) => {
            let water = a
                .watered_in_mm
                .map_or_else(String::new, |mm| format!(", watered in with {}", u.say(Quantity::Depth, mm)));
            format!("{}{water}{}", work(&Work::Apply(a.clone())), remark(&a.remark))
        }
        Body::Seeded(s) => format!("{}{}", work(&Work::Sow(s.clone())), remark(&s.remark)),
        Body::Mowed(m) => format!(
            "{} to {}{}",
            yard.area_names(&m.areas),
            u.say(Quantity::Depth, m.height_mm),
            if m.bagged { ", clippings off" } else { "" }
        ),
        Body::Watered(w) => match (&w.zone, w.minutes, &w.area, w.depth_mm) {
            (Some(z), Some(min), _, _) => format!("{} ran {min} minutes", zone_name(z)),
            (_, _, Some(a), Some(mm)) => format!("{} by hand, {}", yard.area_name(a), u.say(Quantity::Depth, mm)),
            _ => "water".to_owned(),
        },
        Body::Rain(r) => format!("{} in the gauge", u.say(Quantity::Depth, r.depth_mm)),
        Body::SoilWater(s) => {
            format!("{}: {:.0} % of the soil's water used up", yard.area_name(&s.area), s.depleted * 100.0)
        }
        Body::Scouted(s) => {
            let share = s.share_pct.map_or_else(String::new, |p| format!(", {p:.0} % thin or bare"));
            let settled = if s.settled { " (settled)" } else { "" };
            format!("{}: {}{share}{settled}", yard.area_name(&s.area), s.seen)
        }
        Body::Repaired(r) => {
            let place =
                r.zone.as_deref().map(zone_name).or_else(|| r.area.as_deref().map(|a| yard.area_name(a).to_owned()));
            format!("{}{}{}", place.map_or_else(String::new, |p| format!("{p}: ")), r.done, money(r.cost))
        }
        Body::Bought(b) => {
            let amount = if b.amount.is_empty() { String::new() } else { format!(", {}", b.amount) };
            format!("{}{amount}{}", b.what, money(b.cost))
        }
        Body::Note(n) => {
            format!("{}{}", n.area.as_deref().map_or_else(String::new, |a| format!("{}: ", yard.area_name(a))), n.text)
        }
        Body::Planned(p) => work(&p.work),
        Body::Withdrawn(w) => format!("withdrawn{}", remark(&w.why)),
    }
}

fn remark(words: &str) -> String {
    if words.is_empty() { String::new() } else { format!(": {words}") }
}

//! What the yard itself tells of a place before anything is looked at.

use almanac::ActiveKind;
use jiff::Span;

use super::{Conditions, SoilWater};
use crate::advice::Scene;
use crate::advice::feeding::nitrogen_given;
use crate::advice::soil::area_balances;
use crate::entry::AreaFacts;
use crate::fold::Yard;
use crate::map::Thing;
use crate::survey::area_sun;

/// Share of the water left above which the soil counts as wet, and below the stress line as dry.
const WET_LEFT: f64 = 0.95;
/// Days of weather and of feeding that are looked back over.
const WEEK: i64 = 6;
const YEAR_DAYS: i64 = 365;

/// The conditions of an area on the scene's day, from the map, the weather and the daybook.
pub fn conditions_of(scene: &Scene<'_>, area: &AreaFacts) -> Conditions {
    let yard = scene.yard;
    let south = yard.facts.as_ref().is_some_and(|f| f.place.latitude_deg < 0.0);
    // The table's months are the north's.
    let month = scene.on.month().unsigned_abs();
    let month = if south { (month + 5) % 12 + 1 } else { month };
    let last = scene.yesterday();
    let days = scene.weather.run(last.checked_sub(Span::new().days(WEEK)).unwrap_or(last), last);
    let mean = days.iter().map(|d| d.tmean_c()).sum::<f64>() / days.len().max(1) as f64;
    let water = area_balances(scene).into_iter().find(|w| w.key == area.key).map(|w| {
        if w.depletion_mm > w.raw_mm {
            SoilWater::Dry
        } else if w.left() > WET_LEFT {
            SoilWater::Wet
        } else {
            SoilWater::Fair
        }
    });
    let midsummer = if south { 11 } else { 5 };
    let since = |on: jiff::civil::Date| Yard::days_between(on, scene.on) as f64;
    let year_ago = scene.on.checked_sub(Span::new().days(YEAR_DAYS)).unwrap_or(scene.on);
    let fed = nitrogen_given(yard, &area.key, year_ago, scene.on).last().map(|(on, _)| since(*on));
    let killed = yard.applications.iter().rev().filter(|a| a.on <= scene.on).find(|a| {
        let here = a.fact.areas.iter().any(|k| yard.share_of(&area.key, k, a.on) > 0.0);
        let kills = yard.product_on(&a.fact.product, a.on).is_some_and(|p| {
            let actives = p.actives.iter().filter_map(|s| scene.almanac.active(&s.active));
            actives.into_iter().any(|a| a.kind == ActiveKind::Postemergence)
        });
        here && kills
    });
    let pieces = yard.pieces(&area.key);
    let on_it = |thing: &Thing| {
        yard.things
            .iter()
            .filter(|t| std::mem::discriminant(&t.thing) == std::mem::discriminant(thing))
            .any(|t| t.ground().is_some_and(|g| reckon::overlay::shared_area(pieces, &[g]).get() > 0.0))
    };
    let rooted = yard.things.iter().any(|t| match &t.thing {
        Thing::Tree { crown_m, .. } => pieces.iter().any(|p| p.distance_to(t.place()).get() < *crown_m),
        _ => false,
    });
    let drawn = !pieces.is_empty();
    Conditions {
        grass: area.grass.clone(),
        month: Some(month),
        mean_temp_c: Some(mean),
        soil_water: water,
        sun_hours: area.sun_h.or_else(|| area_sun(yard, &area.key).map(|h| h[midsummer])),
        slope_pct: Some(area.slope_pct),
        weeks_since_sown: yard.last_seeding(&area.key, scene.on).map(|s| since(s.on) / 7.0),
        irrigated: Some(yard.zones_of(&area.key).next().is_some()),
        dog: on_it(&Thing::Pets).then_some(true),
        traffic: on_it(&Thing::Play).then_some(true),
        tree: drawn.then_some(rooted),
        days_since_fed: fed,
        days_since_weed_killer: killed.map(|a| since(a.on)),
        ..Conditions::default()
    }
}

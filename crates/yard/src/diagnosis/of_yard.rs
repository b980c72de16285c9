//! What the yard itself tells of a place before anything is looked at.

use almanac::ActiveKind;
use jiff::Span;

use reckon::humid_hours::humid_hours_sine;
use reckon::units::{Celsius, Percent};

use super::season::season;
use super::{Conditions, Nitrogen, SoilWater};
use crate::advice::Scene;
use crate::advice::feeding::nitrogen_given;
use crate::advice::soil::area_balances;
use crate::entry::AreaFacts;
use crate::fold::Yard;
use crate::map::Thing;
use crate::survey::area_sun;
use crate::weather::Day;

/// Share of the water left above which the soil counts as wet, and below the stress line as dry.
const WET_LEFT: f64 = 0.95;
/// Days of weather and of feeding that are looked back over.
const WEEK: i64 = 6;
const YEAR_DAYS: i64 = 365;
/// Hours over [`WET_PCT`] that make a long wet night: ten favour brown patch (Fidanza 1996; recalled for the hours).
const LONG_WET_H: f64 = 10.0;
const WET_PCT: f64 = 90.0;
/// A night no colder than this is warm enough for the diseases of long wet leaves (°C); 60 °F, recalled.
const WARM_NIGHT_C: f64 = 15.6;
/// Such nights of the last seven that count; common practice.
const WET_NIGHTS: usize = 3;
/// Share of the least the grass wants in a year below which it is short of nitrogen, and of the most above which it has more than it needs
/// (common practice).
const SHORT: f64 = 0.6;
const MORE: f64 = 1.15;
/// Days of mowing looked back over for a habit, and cuts it takes.
const HABIT_DAYS: i64 = 90;
const HABIT_CUTS: usize = 3;
/// A cut this much under the grass's lowest height is rough (share of it).
const ROUGH: f64 = 0.85;
const DAYS_IN_YEAR: f64 = 365.25;

/// Nitrogen of the last year against what the grass wants at the area's care; unknown where the daybook does not reach back a year.
fn nitrogen(scene: &Scene<'_>, area: &AreaFacts) -> Option<Nitrogen> {
    let yard = scene.yard;
    let year_ago = scene.on.checked_sub(Span::new().days(YEAR_DAYS)).ok()?;
    let grass = scene.almanac.grass(area.grass.as_deref()?)?;
    // A yard that never wrote a feed down does not tell that none was given.
    let first = yard.applications.iter().map(|a| a.on).min()?;
    if first > year_ago {
        return None;
    }
    let given: f64 = nitrogen_given(yard, &area.key, year_ago, scene.on).iter().map(|(_, n)| n).sum();
    let [low, .., high] = &grass.nitrogen_g_m2;
    Some(if given < SHORT * low.high {
        Nitrogen::Low
    } else if given > MORE * high.high {
        Nitrogen::High
    } else {
        Nitrogen::Fair
    })
}

/// Whether leaves have been wet through warm nights; unknown where the air's moisture is mostly estimated.
fn humid(days: &[Day]) -> Option<bool> {
    let known: Vec<&Day> = days.iter().filter(|d| !d.estimated.humidity).collect();
    if known.is_empty() || 2 * known.len() < days.len() {
        return None;
    }
    let wet = |d: &&&Day| {
        let dew = Celsius::new(d.air.dew_point_c);
        let hours = humid_hours_sine(Celsius::new(d.tmin_c), Celsius::new(d.tmax_c), dew, Percent::new(WET_PCT));
        d.tmin_c >= WARM_NIGHT_C && hours.is_ok_and(|h| h.get() >= LONG_WET_H)
    };
    Some(known.iter().filter(wet).count() >= WET_NIGHTS)
}

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
    let lowest = area.grass.as_deref().and_then(|g| scene.almanac.grass(g)).map(|g| g.mow_mm[0]);
    let cuts: Vec<_> = yard
        .mowings
        .iter()
        .filter(|m| m.on <= scene.on && Yard::days_between(m.on, scene.on) <= HABIT_DAYS)
        .filter(|m| m.fact.areas.iter().any(|k| yard.share_of(&area.key, k, m.on) > 0.5))
        .collect();
    let mown_low = lowest.and_then(|lowest| {
        if cuts.len() >= HABIT_CUTS {
            Some(2 * cuts.iter().filter(|m| m.fact.height_mm < lowest).count() > cuts.len())
        } else {
            area.mow_mm.map(|kept| kept < lowest)
        }
    });
    let rough = cuts.iter().filter(|m| lowest.is_some_and(|l| m.fact.height_mm < ROUGH * l)).map(|m| since(m.on));
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
        days_since_rough_mowing: rough.reduce(f64::min),
        season: season(scene),
        humid: humid(&days),
        nitrogen: nitrogen(scene, area),
        sod_years: area.sod_on.filter(|d| *d <= scene.on).map(|d| since(d) / DAYS_IN_YEAR),
        house_years: area.made_on.filter(|d| *d <= scene.on).map(|d| since(d) / DAYS_IN_YEAR),
        snow_days: area.snow_days,
        salted: area.salted.then_some(true),
        mown_low,
    }
}

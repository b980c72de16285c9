//! Feeding: the year's nitrogen against what was put down, and the next feed of the plan.

use almanac::{CareLevel, Grass, Season};
use jiff::{Span, civil::Date};
use reckon::units::factor::G_M2_PER_LB_1000FT2;
use reckon::working::{Step, Value};
use serde::Serialize;

use super::checks::{NITROGEN_ONCE_G_M2, check_application};
use super::{Item, Job, LogAs, Scene, Urgency, urgency_of};
use crate::entry::{Applied, AreaFacts, ProductFacts, Sowing};
use crate::fold::Yard;
use crate::shed::{share_put_on, shelf_words, visit_amounts};
use crate::units::Quantity;

/// Most quick nitrogen at once: 0.7 lb/1000 sq ft (several state codes; from memory).
const QUICK_ONCE_G_M2: f64 = 0.7 * G_M2_PER_LB_1000FT2;
/// Least days between two feeds of quick nitrogen (municipal fertilisation guidance: four to six weeks).
const FEED_GAP_DAYS: i64 = 28;
/// Days after sowing before the seedlings are fed (common practice: four to six weeks).
const SEEDLING_DAYS: i64 = 28;
/// Growth potential from which grass can use a feed.
const GROWTH_MIN: f64 = 0.3;
/// Share of a month's feed that must still be owed for it to count as not done: the most at once is often less than the share.
const STILL_OWED: f64 = 0.35;
/// A feed smaller than this is not worth the walk (g N/m²).
const LEAST_G_M2: f64 = 0.8;
/// Days from the first of its month in which a feed is put down.
const FEED_DAYS: i64 = 24;
/// Soil temperature at which it counts as unfrozen.
const UNFROZEN_C: f64 = 1.0;
/// Days ahead a feed is shown.
const LOOK_AHEAD_DAYS: i64 = 45;

/// The year's nitrogen plan of an area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NitrogenPlan {
    /// Nitrogen for the year (g/m²).
    pub year_g_m2: f64,
    /// Number of feeds.
    pub feeds: u8,
    /// Share by calendar month.
    pub share: [f64; 12],
    /// Months whose feed must be slow release.
    pub slow_only: Vec<u8>,
    /// Where the split comes from.
    pub source: String,
}

/// The plan for a grass at a care level; months are turned round south of the equator.
pub fn nitrogen_plan(scene: &Scene<'_>, grass: &Grass, care: CareLevel) -> Option<NitrogenPlan> {
    let level = match care {
        CareLevel::Low => 0,
        CareLevel::Medium => 1,
        CareLevel::High => 2,
    };
    let year = grass.nitrogen_g_m2[level].middle();
    let feeds = (year / G_M2_PER_LB_1000FT2).round().clamp(1.0, 4.0) as u8;
    let split = scene.almanac.nitrogen_split(grass.season, feeds)?;
    let south = scene.weather.place().latitude_deg < 0.0;
    let mut share = [0.0; 12];
    for (month, part) in split.share.iter().enumerate() {
        share[if south { (month + 6) % 12 } else { month }] = *part;
    }
    let slow_only = split.slow_only_months.iter().map(|m| if south { (m + 5) % 12 + 1 } else { *m }).collect();
    Some(NitrogenPlan { year_g_m2: year, feeds: split.feeds, share, slow_only, source: split.source.clone() })
}

/// Nitrogen put on an area in a span of days (g/m²): each feed with its day.
pub fn nitrogen_given(yard: &Yard, area: &str, from: Date, to: Date) -> Vec<(Date, f64)> {
    yard.applications
        .iter()
        .filter(|a| a.on >= from && a.on <= to)
        .filter_map(|a| {
            let product = yard.product_on(&a.fact.product, a.on)?;
            let n = share_put_on(yard, area, &a.fact, a.on) * a.fact.rate_g_m2 * product.n_pct / 100.0;
            (n > 0.0).then_some((a.on, n))
        })
        .collect()
}

/// A word where most cuttings of the last year were carried off: nitrogen goes with them. University of Minnesota, *Benefits of
/// recycling lawn clippings*: returned, they save 98 to 294 kg/ha of nitrogen a year.
fn clippings_gone(scene: &Scene<'_>, area: &str) -> Option<String> {
    let year = scene.yard.mowings.iter().filter(|m| {
        Yard::days_between(m.on, scene.on) <= 365
            && m.fact.areas.iter().any(|a| scene.yard.share_of(area, a, m.on) > 0.5)
    });
    let (all, bagged) = year.fold((0, 0), |(n, b), m| (n + 1, b + usize::from(m.fact.bagged)));
    let u = scene.units();
    (all >= 4 && 2 * bagged > all).then(|| {
        format!(
            "Most clippings of the last year were taken off, and {} to {} of nitrogen a year goes with them: left lying, they feed the lawn (University of Minnesota).",
            u.say(Quantity::Dose, 9.8),
            u.say(Quantity::Dose, 29.4)
        )
    })
}

/// The next feed of each lawn.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    scene.yard.lawns().filter_map(|area| item(scene, area)).collect()
}

fn growth_week(scene: &Scene<'_>, season: Season) -> f64 {
    let last = scene.yesterday();
    let first = last.checked_sub(Span::new().days(6)).unwrap_or(last);
    let days = scene.weather.run(first, last);
    days.iter().map(|d| d.growth(season)).sum::<f64>() / days.len().max(1) as f64
}

/// First and last day for the feed of a month: sources name early May, early September; three weeks are enough.
fn feed_days(year_start: Date, k: usize) -> Option<(Date, Date)> {
    let first = year_start.checked_add(Span::new().months(i64::try_from(k).ok()?)).ok()?;
    Some((first, first.checked_add(Span::new().days(FEED_DAYS - 1)).ok()?))
}

fn item(scene: &Scene<'_>, area: &AreaFacts) -> Option<Item> {
    let u = scene.units();
    let grass = scene.almanac.grass(area.grass.as_deref()?)?;
    let plan = nitrogen_plan(scene, grass, area.care)?;
    let on = scene.on;
    // The feeding year runs with the seasons: from January in the north, July in the south.
    let year_start = scene.season_start(1, 1);
    let given = nitrogen_given(scene.yard, &area.key, year_start, on);
    let used: f64 = given.iter().map(|(_, n)| n).sum::<f64>() + 0.0;
    let start_month = usize::from(year_start.month().unsigned_abs()) - 1;
    let share = |k: usize| plan.share[(start_month + k) % 12];
    let now = (usize::from(on.month().unsigned_abs()) + 11 - start_month) % 12;
    let by_now: f64 = (0..=now).map(share).sum::<f64>() * plan.year_g_m2;
    let owed = by_now - used;
    let this_month = share(now) * plan.year_g_m2;
    // The feed of this month if it is still owed, else the next one of the plan.
    let (k, dose) = if this_month > 0.0 && owed >= LEAST_G_M2.max(STILL_OWED * this_month) {
        (now, owed.min(this_month * 1.25))
    } else {
        let next = (now + 1..12).find(|k| share(*k) > 0.0)?;
        let until_next: f64 = (0..=next).map(share).sum::<f64>() * plan.year_g_m2;
        (next, (share(next) * plan.year_g_m2).min(until_next - used))
    };
    if dose < LEAST_G_M2 {
        return None;
    }
    let feed_month = (start_month + k) % 12;
    // The last feed of a cool-season year goes on green leaves over unfrozen soil, when shoots have all but stopped.
    let late_autumn = grass.season == Season::Cool && k >= 9 && (k + 1..12).all(|later| share(later) == 0.0);
    let slow_only = plan.slow_only.contains(&(feed_month as u8 + 1));
    let product = best_product(scene, slow_only);
    let quick = product.is_none_or(|p| p.slow_n_pct < 50.0);
    let most = if quick { QUICK_ONCE_G_M2 } else { NITROGEN_ONCE_G_M2 };
    let wanted = dose;
    let dose = dose.min(most);
    let (mut from, by) = feed_days(year_start, k)?;
    let mut waits = Vec::new();
    let year_ago = on.checked_sub(Span::new().days(366)).ok()?;
    if let Some((last, _)) = nitrogen_given(scene.yard, &area.key, year_ago, on).last() {
        let after_last = last.checked_add(Span::new().days(FEED_GAP_DAYS)).ok()?;
        if after_last > from {
            from = after_last;
            waits.push(format!("the last feed was on {last}; leave {FEED_GAP_DAYS} days between"));
        }
    }
    if let Some(sown) = scene.yard.last_seeding(&area.key, on).filter(|s| s.fact.sowing == Sowing::Bare) {
        let after_sowing =
            sown.on.checked_add(Span::new().days(SEEDLING_DAYS + grass.germination_days.low.round() as i64)).ok()?;
        if after_sowing > from {
            from = after_sowing;
            waits.push(format!("seedlings of {} are fed four weeks after they are up", sown.on));
        }
    }
    let growth = growth_week(scene, grass.season);
    let takes_up =
        if late_autumn { scene.weather.day(scene.yesterday()).soil_c >= UNFROZEN_C } else { growth >= GROWTH_MIN };
    if k == now && !takes_up {
        waits.push(if late_autumn {
            "the soil is frozen or close to it".to_owned()
        } else {
            format!(
                "growth potential was {growth:.2} over the last week; grass takes up a feed from about {GROWTH_MIN}"
            )
        });
    }
    // A feed put off past its days is left out: the plan goes on with the next one.
    if from > by && k == now {
        return None;
    }
    let from = from.max(on);
    if Yard::days_between(on, from) > LOOK_AHEAD_DAYS {
        return None;
    }
    let ready = from == on && takes_up;
    let urgency = if ready && k == now {
        if Yard::days_between(on, by) <= 7 { Urgency::Today } else { Urgency::ThisWeek }
    } else {
        match urgency_of(on, from) {
            Urgency::Today => Urgency::Ahead,
            other => other,
        }
    };
    let mut working = vec![
        Step::new(
            "nitrogen for the year",
            "middle of the range for the grass at this care level",
            vec![
                Value::text("grass", grass.name.clone()),
                Value::text("care", format!("{:?}", area.care).to_lowercase()).from("your choice for the area"),
            ],
            Value::number("N for the year", plan.year_g_m2, "g/m²").from(grass.source.clone()),
        ),
        Step::new(
            "this feed",
            "share of the month × year, less what the year has had, held to the most at once",
            vec![
                Value::number("share", share(k), "").from(plan.source.clone()),
                Value::number("N given this year", used, "g/m²").from(format!("daybook, {} feeds", given.len())),
                Value::number("most at once", most, "g/m²").from(if quick {
                    "quick nitrogen, several state codes (from memory)"
                } else {
                    "University of Illinois lawn figures"
                }),
            ],
            Value::number("N now", dose, "g/m²"),
        ),
    ];
    let mut amounts = vec![format!("{} of nitrogen", u.say(Quantity::Dose, dose))];
    let mut findings = Vec::new();
    let mut log = Vec::new();
    let mut cautions =
        vec!["Sweep what falls on paving back onto the grass; keep off frozen or soaked ground. Local feeding bans and the bag's label govern.".to_owned()];
    cautions.extend(clippings_gone(scene, &area.key));
    match product {
        Some(p) => {
            let rate = scene.rate_rounded_down(p.dose_quantity(), dose / (p.n_pct / 100.0));
            let total = rate * area.size_m2 / 1000.0;
            amounts = vec![format!(
                "{} of {} ({:.0}-{:.0}-{:.0}) at {}: {} of nitrogen",
                u.say(p.amount_quantity(), total),
                p.name,
                p.n_pct,
                p.p2o5_pct,
                p.k2o_pct,
                u.say(p.dose_quantity(), rate),
                u.say(Quantity::Dose, dose)
            )];
            if let Some(pack) = p.pack_kg {
                amounts.push(format!("{:.1} of a {} pack", total / pack, u.say(p.amount_quantity(), pack)));
            }
            working.push(Step::new(
                "product",
                "N ÷ (N % / 100), times the area",
                vec![Value::number("N %", p.n_pct, "%").from("the bag"), Value::number("size", area.size_m2, "m²")],
                Value::number("product", total, "kg"),
            ));
            for (words, step) in visit_amounts(scene.yard, p, rate, area.size_m2) {
                amounts.push(words);
                working.push(step);
            }
            amounts.extend(shelf_words(scene.yard, p, total));
            let work = Applied {
                areas: vec![area.key.clone()],
                product: p.key.clone(),
                rate_g_m2: rate,
                spot_m2: None,
                wind_ms: None,
                air_c: None,
                rain_in_hours: None,
                watered_in_mm: None,
                flowers_open: false,
                remark: String::new(),
            };
            findings = check_application(scene, &work, from, None);
            log.push(LogAs::new(
                "Log it",
                "applied",
                &[
                    ("areas", area.key.clone()),
                    ("product", p.key.clone()),
                    ("rate", scene.typed(p.dose_quantity(), rate)),
                ],
            ));
        }
        None if slow_only && scene.yard.products.iter().any(|p| p.n_pct > 0.0) => {
            cautions.push(
                "This month's feed must be slow release, and none on the shelf is: get one, or leave it out."
                    .to_owned(),
            );
        }
        None => cautions.push("No fertiliser is on the shelf: enter one to get its weight.".to_owned()),
    }
    let why = format!(
        "The year's plan for {} is {} in {} feed{}; {} is down so far.{}{}",
        grass.name,
        u.say(Quantity::Dose, plan.year_g_m2),
        plan.feeds,
        if plan.feeds == 1 { "" } else { "s" },
        u.say(Quantity::Dose, used),
        if wanted > most * 1.01 {
            format!(
                " Of this feed's {} only {} may go down at once.",
                u.say(Quantity::Dose, wanted),
                u.say(Quantity::Dose, most)
            )
        } else {
            String::new()
        },
        if waits.is_empty() { String::new() } else { format!(" Wait: {}.", waits.join("; ")) }
    );
    Some(Item {
        id: format!("feed:{}", area.key),
        job: Job::Feed,
        title: format!("Feed {}: {} of nitrogen", area.name, u.say(Quantity::Dose, dose)),
        places: vec![scene.place_of(&area.key)],
        amounts,
        urgency,
        from: Some(from),
        by: Some(by.max(from)),
        window: None,
        window_of: "",
        why,
        findings,
        cautions,
        working,
        assumed: Vec::new(),
        log,
    })
}

/// The fertiliser on the shelf to use: no weed killer or preventer in it, slow release where the month asks for it; without
/// phosphate before with, then the slowest, then the one with most nitrogen.
fn best_product<'a>(scene: &Scene<'a>, slow_only: bool) -> Option<&'a ProductFacts> {
    let rank = |p: &ProductFacts| (p.p2o5_pct <= 0.0, p.slow_n_pct, p.n_pct);
    scene
        .yard
        .products
        .iter()
        .filter(|p| p.n_pct > 0.0 && p.actives.is_empty() && (!slow_only || p.slow_n_pct >= 50.0))
        .max_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(std::cmp::Ordering::Equal))
}

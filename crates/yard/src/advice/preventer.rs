//! Weed preventer: the window between soil warm enough to start the clock and the first crabgrass.

use almanac::{Active, ActiveKind, Threshold};
use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};

use super::checks::{active_doses, check_application, nearest_clear_day, safe_with_seed};
use super::seeding::{SowWindow, thin_share};
use super::{Item, Job, Level, LogAs, Scene, Urgency, window_of};
use crate::entry::{Applied, AreaFacts, ProductFacts, Work};
use crate::fold::Yard;
use crate::shed::{share_put_on, shelf_words, visit_amounts};
use crate::units::Quantity;
use crate::weather::{Outlook, step_soil};

/// Days between today and the first crabgrass from which the soil's clock goes before the air's.
const SOIL_RULES_DAYS: i64 = 21;
/// Days ahead the window is shown.
const LOOK_AHEAD_DAYS: i64 = 45;

struct Clock {
    /// Degree days of air (base of `crab_pre`) to the end of yesterday.
    air: f64,
    /// Degree days of soil (base of `crab_first`) to the end of yesterday.
    soil: f64,
    air_from: Date,
    soil_from: Date,
}

fn start_of(scene: &Scene<'_>, threshold: &Threshold) -> Option<Date> {
    let [month, day] = threshold.start?;
    Some(scene.season_start(i8::try_from(month).ok()?, i8::try_from(day).ok()?))
}

fn clock(scene: &Scene<'_>, pre: &Threshold, first: &Threshold) -> Option<Clock> {
    let yesterday = scene.yesterday();
    // Both clocks belong to the same spring: the soil's starts so many days after the air's.
    let air_from = start_of(scene, pre)?;
    let [air_month, air_day] = pre.start?;
    let [soil_month, soil_day] = first.start?;
    let day = |m: u8, d: u8| Date::new(2001, i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok();
    let lag = Yard::days_between(day(air_month, air_day)?, day(soil_month, soil_day)?);
    let soil_from = air_from.checked_add(Span::new().days(lag)).ok()?;
    let (air_base, soil_base) = (pre.base_c?, first.base_c?);
    let mut clock = Clock { air: 0.0, soil: 0.0, air_from, soil_from };
    if air_from <= yesterday {
        for day in scene.weather.run(air_from.min(soil_from), yesterday) {
            if day.date >= air_from {
                clock.air += (day.tmean_c() - air_base).max(0.0);
            }
            if day.date >= soil_from {
                clock.soil += (day.soil_c - soil_base).max(0.0);
            }
        }
    }
    Some(clock)
}

/// Days from today until a sum is reached in each year of the outlook; `None` when not within its length.
fn days_until(
    scene: &Scene<'_>,
    outlook: &Outlook<'_>,
    clock: &Clock,
    goal: f64,
    base: f64,
    soil: bool,
) -> Vec<Option<i64>> {
    let yesterday_soil = scene.weather.day(scene.yesterday()).soil_c;
    let (start_sum, from) = if soil { (clock.soil, clock.soil_from) } else { (clock.air, clock.air_from) };
    outlook
        .years
        .iter()
        .map(|year| {
            let mut sum = start_sum;
            let mut soil_c = yesterday_soil;
            if sum >= goal {
                return Some(0);
            }
            for (i, day) in year.iter().enumerate() {
                let date = scene.on.checked_add(Span::new().days(i as i64)).ok()?;
                soil_c = step_soil(soil_c, day.tmean_c());
                if date >= from {
                    sum += ((if soil { soil_c } else { day.tmean_c() }) - base).max(0.0);
                }
                if sum >= goal {
                    return Some(i as i64);
                }
            }
            None
        })
        .collect()
}

/// The barrier still in the ground of an area: ingredient, day put down, last day it holds.
pub fn barrier<'a>(scene: &Scene<'a>, area: &str) -> Option<(&'a Active, Date, Date)> {
    scene
        .yard
        .applications
        .iter()
        .rev()
        .filter(|a| {
            // A barrier over half of the ground is none for the other half.
            a.on <= scene.on && share_put_on(scene.yard, area, &a.fact, a.on) > 0.5
        })
        .find_map(|a| {
            let product = scene.yard.product_on(&a.fact.product, a.on)?;
            active_doses(product, a.fact.rate_g_m2).find_map(|(key, _)| {
                let active = scene.almanac.active(key).filter(|x| stops_crabgrass(x))?;
                let weeks = active.barrier_weeks?.low;
                let until = a.on.checked_add(Span::new().days((weeks * 7.0).round() as i64)).ok()?;
                (until >= scene.on).then_some((active, a.on, until))
            })
        })
}

/// Whether a crabgrass preventer is planned for an area.
fn barrier_planned(scene: &Scene<'_>, area: &str) -> bool {
    scene.yard.plans.iter().any(|p| match &p.fact.work {
        Work::Apply(a) if a.areas.iter().any(|k| k == area) => scene.yard.product(&a.product).is_some_and(|product| {
            product.actives.iter().any(|s| scene.almanac.active(&s.active).is_some_and(stops_crabgrass))
        }),
        _ => false,
    })
}

fn stops_crabgrass(active: &Active) -> bool {
    active.kind == ActiveKind::Preventer && active.stops_crabgrass
}

/// The preventer on the shelf for these lawns: one that injures none of their grasses before one that does, plain ones before
/// those with nitrogen.
fn preventer_product<'a>(scene: &Scene<'a>, lawns: &[&AreaFacts]) -> Option<(&'a ProductFacts, &'a Active, f64)> {
    let mut found: Vec<(&ProductFacts, &Active, f64)> = scene
        .yard
        .products
        .iter()
        .filter_map(|p| {
            p.actives.iter().find_map(|s| {
                let active = scene.almanac.active(&s.active).filter(|a| stops_crabgrass(a))?;
                active.sites.contains(&almanac::Site::Turf).then_some((p, active, s.pct))
            })
        })
        .collect();
    let hurt = |active: &Active| lawns.iter().filter(|a| injures(active, a)).count();
    found.sort_by(|a, b| {
        (hurt(a.1), a.0.n_pct).partial_cmp(&(hurt(b.1), b.0.n_pct)).unwrap_or(std::cmp::Ordering::Equal)
    });
    found.into_iter().next()
}

fn injures(active: &Active, area: &AreaFacts) -> bool {
    area.grass
        .as_deref()
        .and_then(|g| active.tolerance_of(g))
        .is_some_and(|t| t.tolerance == almanac::Tolerance::Injured)
}

/// What of seed stands in the way of a preventer on a lawn: the grass sown, planned, or wanted on thin ground.
enum SeedThere {
    /// In the ground or planned.
    Sown(String),
    /// Thin ground whose sowing window the barrier would outlast.
    Wanted(String, Date),
}

fn seed_there(scene: &Scene<'_>, area: &AreaFacts, active: Option<&Active>, sowing: &[SowWindow]) -> Option<SeedThere> {
    let planned = scene.yard.plans.iter().find_map(|p| match &p.fact.work {
        Work::Sow(s) if s.area == area.key => Some(s.grass.clone()),
        _ => None,
    });
    let sown = scene.yard.last_seeding(&area.key, scene.on).filter(|s| Yard::days_between(s.on, scene.on) < 120);
    if let Some(grass) = planned.or_else(|| sown.map(|s| s.fact.grass.clone())) {
        return Some(SeedThere::Sown(grass));
    }
    thin_share(scene, &area.key)?;
    let grass = area.grass.as_deref()?;
    let wait = active?.seed_wait_for(grass)?.stop_below_days.value;
    let window = sowing.iter().find(|w| w.grass == grass)?;
    let free = scene.on.checked_add(Span::new().days(wait.ceil() as i64)).ok()?;
    // A week is the least that sowing needs of its window.
    let room = Yard::days_between(free.max(window.opens.likely), window.closes.likely) >= 7;
    (!room).then(|| SeedThere::Wanted(grass.to_owned(), window.closes.likely))
}

/// One item for the lawns without a barrier, and one for each lawn where seed stands in the way.
pub fn items(scene: &Scene<'_>, outlook: &Outlook<'_>, sowing: &[SowWindow]) -> Vec<Item> {
    let (Some(pre), Some(first)) = (scene.almanac.threshold("crab_pre"), scene.almanac.threshold("crab_first")) else {
        return Vec::new();
    };
    let (Some(clock), Some(air_base), Some(soil_base)) = (clock(scene, pre, first), pre.base_c, first.base_c) else {
        return Vec::new();
    };
    // After the main flush of the season the window is over until next year.
    let major = scene.almanac.threshold("crab_major").map_or(first.high * 3.0, |t| t.low);
    if clock.soil >= major {
        return Vec::new();
    }
    let opens = window_of(scene.on, days_until(scene, outlook, &clock, pre.low, air_base, false), 366);
    let closes = window_of(scene.on, days_until(scene, outlook, &clock, first.low, soil_base, true), 366);
    let (Some(opens), Some(closes)) = (opens, closes) else { return Vec::new() };
    if Yard::days_between(scene.on, opens.likely) > LOOK_AHEAD_DAYS {
        return Vec::new();
    }
    // Ground with a barrier, or with one already planned, is not asked for another.
    let bare: Vec<&AreaFacts> =
        scene.yard.lawns().filter(|a| barrier(scene, &a.key).is_none() && !barrier_planned(scene, &a.key)).collect();
    if bare.is_empty() {
        return Vec::new();
    }
    let late = clock.soil >= first.low;
    let u = scene.units();
    // The air clock's own end, where that comes first.
    let air_ends = window_of(scene.on, days_until(scene, outlook, &clock, pre.high, air_base, false), 366);
    let air_over = clock.air >= pre.high;
    // Where the soil is weeks from the first crabgrass, the soil rules and the air clock only warns: it was drawn up where both agree.
    let soil_rules = air_over && Yard::days_between(scene.on, closes.early) > SOIL_RULES_DAYS;
    let latest = if soil_rules {
        closes.early.checked_sub(Span::new().days(14)).unwrap_or(closes.early)
    } else {
        air_ends.map_or(closes.likely, |w| w.likely.min(closes.likely))
    };
    let working = vec![
        Step::new(
            "clock that opens the window",
            "Σ max(0, mean air − base)",
            vec![
                Value::number("base", air_base, "°C"),
                Value::text("from", clock.air_from.to_string()),
                Value::number("opens at", pre.low, "°C·d").from(pre.source.clone()),
                Value::number("closes at", pre.high, "°C·d").from(pre.source.clone()),
            ],
            Value::number("sum to yesterday", clock.air, "°C·d"),
        ),
        Step::new(
            "clock of the first crabgrass",
            "Σ max(0, soil at 25 mm − base)",
            vec![
                Value::number("base", soil_base, "°C"),
                Value::text("from", clock.soil_from.to_string()),
                Value::number("first seedlings at", first.low, "°C·d").from(first.source.clone()),
            ],
            Value::number("sum to yesterday", clock.soil, "°C·d")
                .assumed("soil temperature reckoned from air; a probe at 1 in would tell"),
        ),
        Step::new(
            "days ahead",
            "each year of the outlook laid on the days ahead; 10, 50 and 90 % points",
            vec![Value::text("years", outlook.basis.clone())],
            Value::text("likely", format!("opens {}, first seedlings {}", opens.likely, closes.likely)),
        ),
    ];
    let soil_now = scene.weather.day(scene.yesterday()).soil_c;
    let why = format!(
        "The soil is at about {}. Degree days stand at {}; the preventer goes down between {} and {}{}. By soil temperature the first crabgrass is likely about {} ({} to {}).",
        u.say(Quantity::Temperature, soil_now),
        u.say(Quantity::DegreeDays, clock.air),
        u.say(Quantity::DegreeDays, pre.low),
        u.say(Quantity::DegreeDays, pre.high),
        match (air_over, soil_rules) {
            (true, true) => "; that is past, but the soil is weeks behind the air here and goes first",
            (true, false) => ", so it is due at once",
            _ => "",
        },
        closes.likely,
        closes.early,
        closes.late
    );
    let product = preventer_product(scene, &bare);
    let mut free = Vec::new();
    let mut out = Vec::new();
    for area in bare {
        match seed_there(scene, area, product.map(|p| p.1), sowing) {
            Some(seed) => {
                out.extend(seeded_area(scene, area, &seed, product, &why, &working, late, opens.likely, latest))
            }
            // A lawn this preventer injures is left out: another one, or none, is for it.
            None if product.is_some_and(|p| injures(p.1, area)) => {}
            None => free.push(area),
        }
    }
    if !free.is_empty() {
        out.insert(0, free_areas(scene, &free, product, why, working, late, opens.likely, latest));
    }
    for item in &mut out {
        item.window = Some(closes);
    }
    out
}

fn timing(scene: &Scene<'_>, late: bool, opens: Date, closes: Date) -> (Urgency, Date, Date) {
    let by = closes.yesterday().unwrap_or(closes).max(scene.on);
    let from = opens.max(scene.on);
    let urgency = if late {
        Urgency::ThisWeek
    } else if opens <= scene.on {
        if Yard::days_between(scene.on, by) <= 3 { Urgency::Today } else { Urgency::ThisWeek }
    } else {
        super::urgency_of(scene.on, from)
    };
    (urgency, from, by)
}

pub(crate) fn work_for(areas: &[&AreaFacts], product: &ProductFacts, rate: f64) -> Applied {
    Applied {
        areas: areas.iter().map(|a| a.key.clone()).collect(),
        product: product.key.clone(),
        rate_g_m2: rate,
        spot_m2: None,
        wind_ms: None,
        air_c: None,
        rain_in_hours: None,
        watered_in_mm: None,
        flowers_open: false,
        remark: String::new(),
    }
}

/// The middle of the usual rate as product, held to the label, rounded down.
pub(crate) fn rate_of(scene: &Scene<'_>, product: &ProductFacts, active: &Active, pct: f64) -> f64 {
    let wanted = active.rate_g_m2.middle() / (pct / 100.0);
    let held = product.label.rate_max_g_m2.map_or(wanted, |max| wanted.min(max));
    scene.rate_rounded_down(product.dose_quantity(), held)
}

pub(crate) const CAUTION: &str = "Read the label first: it is the law. Gloves, long sleeves; keep children and pets off until it is watered in and dry; sweep granules off paving; keep away from water's edge, wells and drains.";

#[allow(clippy::too_many_arguments)]
fn free_areas(
    scene: &Scene<'_>,
    areas: &[&AreaFacts],
    product: Option<(&ProductFacts, &Active, f64)>,
    why: String,
    mut working: Vec<Step>,
    late: bool,
    opens: Date,
    closes: Date,
) -> Item {
    let u = scene.units();
    let (urgency, from, by) = timing(scene, late, opens, closes);
    let names = scene.yard.area_names(&areas.iter().map(|a| a.key.clone()).collect::<Vec<_>>());
    let size: f64 = areas.iter().map(|a| a.size_m2).sum();
    let mut amounts = Vec::new();
    let mut findings = Vec::new();
    let mut log = Vec::new();
    match product {
        Some((p, active, pct)) => {
            let rate = rate_of(scene, p, active, pct);
            let total = rate * size / 1000.0;
            amounts.push(format!(
                "{} of {} at {} ({} of {})",
                u.say(p.amount_quantity(), total),
                p.name,
                u.say(p.dose_quantity(), rate),
                u.say(Quantity::Dose, rate * pct / 100.0),
                active.name
            ));
            working.push(Step::new(
                "product",
                "middle of the usual rate ÷ strength, times the area",
                vec![
                    Value::number("active", active.rate_g_m2.middle(), "g/m²").from(active.rate_source.clone()),
                    Value::number("strength", pct, "%").from("the bag"),
                    Value::number("size", size, "m²"),
                ],
                Value::number("product", total, "kg"),
            ));
            for (words, step) in visit_amounts(scene.yard, p, rate, size) {
                amounts.push(words);
                working.push(step);
            }
            amounts.extend(shelf_words(scene.yard, p, total));
            let work = work_for(areas, p, rate);
            findings = check_application(scene, &work, from, None);
            log.push(LogAs::new(
                "Log it",
                "applied",
                &[
                    ("areas", work.areas.join(",")),
                    ("product", p.key.clone()),
                    ("rate", scene.typed(p.dose_quantity(), rate)),
                ],
            ));
            if late && active.id != "dithiopyr" {
                amounts.push(
                    "seedlings may be up already: only dithiopyr also stops crabgrass that has not yet branched"
                        .to_owned(),
                );
            }
        }
        None => amounts.push("no preventer is on the shelf: enter one to get its weight".to_owned()),
    }
    Item {
        id: format!("prevent:{}", areas.iter().map(|a| a.key.as_str()).collect::<Vec<_>>().join("+")),
        job: Job::Prevent,
        title: if late {
            format!("Weed preventer on {names}: late, the first crabgrass is due")
        } else {
            format!("Put weed preventer on {names}")
        },
        places: areas.iter().map(|a| scene.place_of(&a.key)).collect(),
        amounts,
        urgency,
        from: Some(from),
        by: Some(by),
        window: None,
        window_of: "first crabgrass",
        why,
        findings,
        cautions: vec![CAUTION.to_owned()],
        working,
        assumed: vec!["soil temperature is reckoned from air temperature; a probe an inch deep would tell".to_owned()],
        log,
    }
}

#[allow(clippy::too_many_arguments)]
fn seeded_area(
    scene: &Scene<'_>,
    area: &AreaFacts,
    seed: &SeedThere,
    product: Option<(&ProductFacts, &Active, f64)>,
    why: &str,
    working: &[Step],
    late: bool,
    opens: Date,
    closes: Date,
) -> Option<Item> {
    let (product, active, pct) = product?;
    let (urgency, from, _) = timing(scene, late, opens, closes);
    let work = work_for(&[area], product, rate_of(scene, product, active, pct));
    let findings = check_application(scene, &work, from, None);
    let stand = area.grass.as_deref().unwrap_or("");
    let (sown, head, reason) = match seed {
        SeedThere::Sown(grass) => {
            if !findings.iter().any(|f| f.level <= Level::Caution) {
                return None;
            }
            (grass.as_str(), "Keep weed preventer off", format!("Seed is in or planned on {}.", area.name))
        }
        SeedThere::Wanted(grass, closes) => (
            grass.as_str(),
            "Preventer or seed, not both, on",
            format!(
                "{} is thin and wants seed by {closes}; {} put down now would still stop it then.",
                area.name, active.name
            ),
        ),
    };
    let alternatives: Vec<&str> = safe_with_seed(scene, &[sown, stand]).iter().map(|a| a.name.as_str()).collect();
    let clear = nearest_clear_day(from, |day| check_application(scene, &work, day, None)).filter(|d| *d > from);
    let mut amounts = vec![format!("no {} here now: it would stop the seed as well as the weeds", active.name)];
    if !alternatives.is_empty() {
        amounts.push(format!("may go with seed of this grass: {} (read the label)", alternatives.join(" or ")));
    }
    amounts.push("or pull crabgrass by hand this year; thick young grass shades it out".to_owned());
    if let Some(day) = clear {
        amounts.push(format!("{} is free to go down from {day}", active.name));
    }
    Some(Item {
        id: format!("prevent:{}", area.key),
        job: Job::Prevent,
        title: format!("{head} {}", area.name),
        places: vec![scene.place_of(&area.key)],
        amounts,
        urgency: if urgency == Urgency::Ahead { Urgency::Ahead } else { Urgency::Held },
        from: None,
        by: None,
        window: None,
        window_of: "first crabgrass",
        why: format!("{reason} {why}"),
        findings,
        cautions: vec![CAUTION.to_owned()],
        working: working.to_vec(),
        assumed: Vec::new(),
        log: Vec::new(),
    })
}

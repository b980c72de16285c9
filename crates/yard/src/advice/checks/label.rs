//! Rules of labels and trials that look at the ground: site, tolerance, rate, yearly maximum, interval, seed.

use almanac::{Active, Basis, Site, Tolerance};
use jiff::civil::Date;

use super::book::{Book, Limit, after, history, label, typical};
use super::{Finding, Level};
use crate::advice::Scene;
use crate::entry::{Cover, ProductFacts, Seeded, Work};
use crate::fold::Yard;
use crate::units::Quantity;

/// Share of a yearly maximum above which it is called near (computed; common practice).
const NEAR_MAXIMUM: f64 = 0.8;

pub(super) fn rate(book: &mut Book<'_>, active: &Active, product: &ProductFacts, dose: f64) {
    let u = book.scene.units();
    let range = active.rate_g_m2;
    if product.label.rate_max_g_m2.is_some() {
        return;
    }
    let level = if active.rate_basis == Basis::Published { Level::Stop } else { Level::Caution };
    if dose > range.high * 1.001 {
        let message = format!(
            "{} of {} is more than the usual highest rate, {}",
            u.say(Quantity::Dose, dose),
            active.name,
            u.say(Quantity::Dose, range.high)
        );
        book.say(level, "rate", message, active.rate_source.clone(), None);
    } else if dose < range.low * 0.999 {
        let message = format!(
            "{} of {} is less than the usual lowest rate, {}; it may not hold",
            u.say(Quantity::Dose, dose),
            active.name,
            u.say(Quantity::Dose, range.low)
        );
        book.say(Level::Note, "rate", message, active.rate_source.clone(), None);
    }
}

pub(super) fn site_and_tolerance(book: &mut Book<'_>, active: &Active, area_key: &str) {
    let Some(area) = book.scene.yard.area(area_key) else { return };
    let (site, word) = match area.cover {
        Cover::Turf => (Site::Turf, "lawn"),
        Cover::Bed => (Site::Bed, "beds"),
        Cover::Hedge => (Site::Bed, "hedges"),
        Cover::Hard => {
            let message =
                format!("{} is a hard surface: what lands there washes into drains. Sweep it back", area.name);
            book.say(Level::Stop, "site", message, "common practice; many local laws", None);
            return;
        }
    };
    if !active.sites.contains(&site) {
        let message = format!("{} is not sold for {word} ({})", active.name, area.name);
        book.say(Level::Stop, "site", message, active.source.clone(), None);
    }
    if site != Site::Turf {
        return;
    }
    let Some(grass) = &area.grass else { return };
    let grass_name = book.scene.almanac.grass(grass).map_or(grass.as_str(), |g| g.name.as_str());
    match active.tolerance_of(grass) {
        Some(row) => {
            let (level, words) = match row.tolerance {
                Tolerance::Tolerant => return,
                Tolerance::Marginal => (Level::Caution, "takes it only within limits"),
                Tolerance::Injured if row.basis == Basis::Published => (Level::Stop, "is injured by it"),
                Tolerance::Injured => (
                    Level::Stop,
                    "is known to be injured by it; only a label that names this grass could say otherwise",
                ),
            };
            let message = format!("{}: {grass_name} {words} ({})", area.name, active.name);
            book.say(level, "tolerance", message, row.source.clone(), None);
        }
        None => {
            let message = format!(
                "{}: nothing known of {} on {grass_name}; find the grass on the label first",
                area.name, active.name
            );
            book.say(Level::Caution, "tolerance", message, active.source.clone(), None);
        }
    }
}

pub(super) fn yearly_maximum(
    book: &mut Book<'_>,
    active: &Active,
    product: &ProductFacts,
    area_key: &str,
    dose: f64,
    except: Option<&str>,
) {
    let scene = book.scene;
    let Some(area) = scene.yard.area(area_key) else { return };
    let limit = match product.label.active_yearly_max_g_m2 {
        Some(v) => label(v),
        None => match active.yearly_max_for(area.grass.as_deref().unwrap_or("")) {
            Some(row) => typical(&row.g_m2),
            None => return,
        },
    };
    let year = book.on.year();
    let used: f64 = history(scene, area_key, &active.id, except)
        .iter()
        .filter(|(day, _, _)| day.year() == year)
        .map(|(_, d, _)| d)
        .sum();
    let u = scene.units();
    let total = used + dose;
    if total > limit.value * (1.0 + 1e-9) {
        let message = format!(
            "{}: {} already this year and {} now make {} of {}; {} is the most in a year",
            area.name,
            u.say(Quantity::Dose, used),
            u.say(Quantity::Dose, dose),
            u.say(Quantity::Dose, total),
            active.name,
            u.say(Quantity::Dose, limit.value)
        );
        let next_year = Date::new(year + 1, 1, 1).ok();
        book.say(limit.level, "yearly-maximum", message, limit.source, next_year);
    } else if total > NEAR_MAXIMUM * limit.value && used > 0.0 {
        let message = format!(
            "{}: with this, {} of the year's {} of {} is used",
            area.name,
            u.say(Quantity::Dose, total),
            u.say(Quantity::Dose, limit.value),
            active.name
        );
        book.say(Level::Note, "yearly-maximum", message, limit.source, None);
    }
    if let Some(most) = &active.applications_a_year {
        let count = history(scene, area_key, &active.id, except).iter().filter(|(d, _, _)| d.year() == year).count();
        if (count + 1) as f64 > most.value {
            let limit = typical(most);
            let message = format!(
                "{}: this would be application {} of {} this year; {} is the most",
                area.name,
                count + 1,
                active.name,
                most.value
            );
            book.say(limit.level, "yearly-maximum", message, limit.source, Date::new(year + 1, 1, 1).ok());
        }
    }
}

pub(super) fn interval(
    book: &mut Book<'_>,
    active: &Active,
    product: &ProductFacts,
    area_key: &str,
    except: Option<&str>,
) {
    let limit = match (product.label.interval_days, &active.interval_days) {
        (Some(v), _) => label(v),
        (None, Some(figure)) => typical(figure),
        (None, None) => return,
    };
    let on = book.on;
    let nearest = history(book.scene, area_key, &active.id, except)
        .into_iter()
        .map(|(day, _, planned)| (Yard::days_between(day, on).abs(), day, planned))
        .filter(|(gap, _, _)| (*gap as f64) < limit.value)
        .min_by_key(|(gap, _, _)| *gap);
    if let Some((gap, day, planned)) = nearest {
        let message = format!(
            "{}: {} was {} on {day}, {gap} days apart; at least {} days must lie between",
            book.scene.yard.area_name(area_key),
            active.name,
            if planned { "planned" } else { "put down" },
            limit.value
        );
        book.say(limit.level, "interval", message, limit.source, after(day, limit.value));
    }
}

/// Young grass on the area: too few days or mowings since sowing.
pub(super) fn seedlings(book: &mut Book<'_>, active: &Active, area_key: &str) {
    let scene = book.scene;
    let on = book.on;
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Sow(s) if s.area == area_key && p.on <= on => Some((p.on, s)),
        _ => None,
    });
    let done = scene.yard.seedings.iter().filter(|s| s.fact.area == area_key && s.on <= on).map(|s| (s.on, &s.fact));
    let Some((sown, seed)) = done.chain(planned).max_by_key(|(d, _)| *d) else { return };
    let days = Yard::days_between(sown, on);
    // A stand sown more than a year ago is established, whatever was written down of its mowings.
    if days > 365 {
        return;
    }
    let grass = scene.almanac.grass(&seed.grass).map_or(seed.grass.as_str(), |g| g.name.as_str());
    let area = scene.yard.area_name(area_key);
    if let Some(wait) = &active.seedling_days
        && (days as f64) < wait.value
    {
        let limit = typical(wait);
        let message =
            format!("{area}: {grass} was sown {days} days ago ({sown}); {} waits {} days", active.name, limit.value);
        book.say(limit.level, "seedlings", message, limit.source, after(sown, limit.value));
    }
    if let Some(wait) = &active.seedling_mowings {
        let cut = scene
            .yard
            .mowings
            .iter()
            .filter(|m| m.on > sown && m.on <= on && m.fact.areas.iter().any(|a| a == area_key))
            .count();
        if (cut as f64) < wait.value {
            let limit = typical(wait);
            let message = format!(
                "{area}: {grass} sown on {sown} has been mown {cut} times; {} waits for {} mowings",
                active.name, limit.value
            );
            book.say(limit.level, "seedlings", message, limit.source, None);
        }
    }
}

/// The wait from a treatment to a sowing: label, then the almanac's row for the grass.
pub(super) fn seed_wait(active: &Active, product: &ProductFacts, grass: &str) -> Option<(Limit, f64)> {
    if let Some(v) = product.label.seed_wait_days {
        return Some((label(v), v));
    }
    let row = active.seed_wait_for(grass)?;
    Some((typical(&row.stop_below_days), row.caution_below_days.value))
}

/// Seed planned on the area after this treatment.
pub(super) fn seed_to_come(
    book: &mut Book<'_>,
    active: &Active,
    product: &ProductFacts,
    area_key: &str,
    except: Option<&str>,
) {
    let scene = book.scene;
    let on = book.on;
    for plan in &scene.yard.plans {
        let Work::Sow(seed) = &plan.fact.work else { continue };
        if seed.area != area_key || plan.on < on || Some(plan.id.as_str()) == except {
            continue;
        }
        if let Some(finding) = seed_gap(scene, active, product, seed, on, plan.on, false) {
            book.found.push(finding);
        }
    }
}

pub(super) fn seed_gap(
    scene: &Scene<'_>,
    active: &Active,
    product: &ProductFacts,
    seed: &Seeded,
    treated: Date,
    sown: Date,
    treatment_is_past: bool,
) -> Option<Finding> {
    let (stop, caution_days) = seed_wait(active, product, &seed.grass)?;
    let days = Yard::days_between(treated, sown);
    if days < 0 || days as f64 >= stop.value.max(caution_days) {
        return None;
    }
    let level = if (days as f64) < stop.value { stop.level } else { Level::Caution };
    let needed = if (days as f64) < stop.value { stop.value } else { caution_days };
    let grass = scene.almanac.grass(&seed.grass).map_or(seed.grass.as_str(), |g| g.name.as_str());
    let area = scene.yard.area_name(&seed.area);
    let message = if treatment_is_past {
        format!(
            "{area}: {} went down on {treated}, {days} days before {grass} would be sown ({sown}); {needed} days must pass",
            active.name
        )
    } else {
        format!(
            "{area}: {grass} is to be sown on {sown}, {days} days after this {}; {needed} days must pass, or the seed is stopped too",
            active.name
        )
    };
    let clear_on = if treatment_is_past { after(treated, needed) } else { None };
    Some(Finding { level, rule: "seed-wait".to_owned(), message, source: stop.source, clear_on })
}

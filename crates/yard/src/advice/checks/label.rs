//! Rules of labels and trials that look at the ground: site, tolerance, rate, yearly maximum, interval, seed.

use almanac::{Active, Basis, Site, Tolerance};
use jiff::civil::Date;

use super::book::{Book, Limit, Put, Substance, after, history, label, typical};
use super::{Finding, Level};
use crate::advice::Scene;
use crate::entry::{AreaFacts, Cover, ProductFacts, Seeded, Work};
use crate::fold::Yard;
use crate::ground::{Ground, Plot};
use crate::units::Quantity;

/// Share of a yearly maximum above which it is called near (computed; common practice).
const NEAR_MAXIMUM: f64 = 0.8;

/// An amount this many times the usual highest is taken for a slip of the pen.
const SLIP: f64 = 3.0;

pub(super) fn rate(book: &mut Book<'_>, active: &Active, product: &ProductFacts, dose: f64) {
    let u = book.scene.units();
    let range = active.rate_g_m2;
    if dose > SLIP * range.high {
        let message = format!(
            "{} of {} is {:.0} times the usual highest rate, {}: look at the figure again",
            u.say(Quantity::Dose, dose),
            active.name,
            dose / range.high,
            u.say(Quantity::Dose, range.high)
        );
        book.say(Level::Stop, "slip", message, "more than three times any usual rate is taken for a slip", None);
        return;
    }
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

/// Hard ground takes nothing, whatever it is.
pub(super) fn hard_ground(book: &mut Book<'_>, area_key: &str) {
    if let Some(area) = book.scene.yard.area(area_key).filter(|a| a.cover == Cover::Hard) {
        let message = format!("{} is a hard surface: what lands there washes into drains. Sweep it back", area.name);
        book.say(Level::Stop, "site", message, "common practice; many local laws", None);
    }
}

/// What the label in hand says of the ground: it goes before what is known of the ingredients.
pub(super) fn label_ground(book: &mut Book<'_>, product: &ProductFacts, area_key: &str) {
    let Some(area) = book.scene.yard.area(area_key) else { return };
    let site = match area.cover {
        Cover::Turf => Site::Turf,
        Cover::Bed | Cover::Hedge => Site::Bed,
        Cover::Hard => return,
    };
    let own = || label(0.0).source;
    if !product.label.sites.is_empty() && !product.label.sites.contains(&site) {
        let message = format!("{} is not on the label’s list of ground ({})", area.cover.word(), area.name);
        book.say(Level::Stop, "site", message, own(), None);
    }
    let Some(grass) = area.grass.as_ref().filter(|_| site == Site::Turf) else { return };
    let grass_name = book.scene.almanac.grass(grass).map_or(grass.as_str(), |g| g.name.as_str());
    if product.label.grasses_not.contains(grass) {
        let message = format!("{}: the label forbids it on {grass_name}", area.name);
        book.say(Level::Stop, "tolerance", message, own(), None);
    } else if !product.label.grasses.is_empty() && !product.label.grasses.contains(grass) {
        let message = format!("{}: {grass_name} is not among the grasses on the label", area.name);
        book.say(Level::Stop, "tolerance", message, own(), None);
    }
}

pub(super) fn site_and_tolerance(book: &mut Book<'_>, active: &Active, product: &ProductFacts, area_key: &str) {
    let Some(area) = book.scene.yard.area(area_key) else { return };
    // A label that lists its ground or grasses has been looked up: what is typical no longer counts.
    if !product.label.sites.is_empty() && !product.label.grasses.is_empty() {
        return;
    }
    let (site, word) = match area.cover {
        Cover::Turf => (Site::Turf, "lawn"),
        Cover::Bed => (Site::Bed, "beds"),
        Cover::Hedge => (Site::Bed, "hedges"),
        Cover::Hard => return,
    };
    if product.label.sites.is_empty() && !active.sites.contains(&site) {
        let message = format!("{} is not sold for {word} ({})", active.name, area.name);
        book.say(Level::Stop, "site", message, active.source.clone(), None);
    }
    if site != Site::Turf || !product.label.grasses.is_empty() {
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

/// The year's sum on the ground against the strictest label of the year, else the almanac: the plot that has had most decides.
pub(super) fn yearly_maximum(
    book: &mut Book<'_>,
    of: &Substance<'_>,
    product: &ProductFacts,
    area_key: &str,
    dose: f64,
) {
    let plots = book.plots(area_key);
    let worst = plots
        .iter()
        .map(|plot| year_of_plot(book, of, product, area_key, dose, plot))
        .filter(|found| !found.is_empty())
        .min_by_key(|found| found.iter().map(|f| f.level).min());
    book.found.extend(worst.unwrap_or_default());
}

fn year_of_plot(
    book: &Book<'_>,
    of: &Substance<'_>,
    product: &ProductFacts,
    area_key: &str,
    dose: f64,
    plot: &Plot<'_>,
) -> Vec<Finding> {
    let scene = book.scene;
    let Some(area) = scene.yard.area(area_key) else { return Vec::new() };
    let year = book.on.year();
    let all = history(book, plot, &of.key);
    let rolling = product.label.year_is_rolling || all.iter().any(|p| p.label.year_is_rolling);
    let (puts, next_year) = if rolling {
        rolling_year(&all, book.on)
    } else {
        let puts: Vec<&Put<'_>> = all.iter().filter(|p| p.on.year() == year).collect();
        (puts, Date::new(year + 1, 1, 1).ok())
    };
    let used: f64 = puts.iter().map(|p| p.dose).sum::<f64>();
    let own = product.label.active_yearly_max_g_m2.filter(|_| product.actives.len() <= 1);
    let labels = puts.iter().filter(|p| p.alone).filter_map(|p| p.label.active_yearly_max_g_m2);
    let strictest = labels.chain(own).min_by(f64::total_cmp).map(label);
    let row = || of.active?.yearly_max_for(area.grass.as_deref().unwrap_or("")).map(|row| typical(&row.g_m2));
    let u = scene.units();
    let place = place_of(book, area, plot);
    let mut found = Vec::new();
    let mut say = |level, message, source, clear_on| {
        found.push(Finding { level, rule: "yearly-maximum".to_owned(), message, source, clear_on });
    };
    if let Some(limit) = strictest.or_else(row) {
        let total = used + dose;
        if total > limit.value * (1.0 + 1e-6) {
            let message = format!(
                "{place}: {} already this year and {} now make {} of {}; {} is the most in a year",
                u.say(Quantity::Dose, used),
                u.say(Quantity::Dose, dose),
                u.say(Quantity::Dose, total),
                of.name,
                u.say(Quantity::Dose, limit.value)
            );
            say(limit.level, message, limit.source, next_year);
        } else if total > NEAR_MAXIMUM * limit.value && used > 0.0 {
            let message = format!(
                "{place}: with this, {} of the year's {} of {} is used",
                u.say(Quantity::Dose, total),
                u.say(Quantity::Dose, limit.value),
                of.name
            );
            say(Level::Caution, message, limit.source, None);
        }
    }
    let times = product.label.applications_a_year.map(label);
    if let Some(limit) = times.or_else(|| of.active.and_then(|a| a.applications_a_year.as_ref()).map(typical))
        && (puts.len() + 1) as f64 > limit.value
    {
        let message = format!(
            "{place}: this would be application {} of {} this year; {} is the most",
            puts.len() + 1,
            of.name,
            limit.value
        );
        say(limit.level, message, limit.source, next_year);
    }
    found
}

/// Of all spans of 365 days that hold the day: the one with most on it, and the first day its oldest application no longer counts.
fn rolling_year<'a, 's>(all: &'a [Put<'s>], on: Date) -> (Vec<&'a Put<'s>>, Option<Date>) {
    let starts = all.iter().map(|p| p.on).filter(|d| *d <= on && Yard::days_between(*d, on) < 365).chain([on]);
    let span = |start: Date| -> Vec<&'a Put<'s>> {
        all.iter().filter(|p| (0..365).contains(&Yard::days_between(start, p.on))).collect()
    };
    let sum = |puts: &[&Put<'_>]| puts.iter().map(|p| p.dose).sum::<f64>();
    let worst =
        starts.map(span).max_by(|a, b| sum(a).total_cmp(&sum(b)).then(a.len().cmp(&b.len()))).unwrap_or_default();
    let clear = worst.iter().map(|p| p.on).filter(|d| *d <= on).min().and_then(|oldest| after(oldest, 365.0));
    (worst, clear)
}

/// The area's name; where the plot is only a part of it, how much and under which outlines it lay.
fn place_of(book: &Book<'_>, area: &AreaFacts, plot: &Plot<'_>) -> String {
    if plot.share > 0.999 {
        return area.name.clone();
    }
    let yard = book.scene.yard;
    let size = book.scene.units().say(Quantity::Area, plot.share * area.size_m2);
    let mut others: Vec<&str> = plot
        .lies_in
        .iter()
        .filter_map(|g| match g {
            Ground::Drawn(i) => yard.outlines.get(*i).map(|o| o.fact.area.as_str()),
            Ground::Named(_) => None,
        })
        .filter(|key| *key != area.key)
        .collect();
    others.dedup();
    let names: Vec<String> = others.into_iter().map(|k| yard.area_name(k).to_owned()).collect();
    if names.is_empty() {
        format!("{}, on {size} of it", area.name)
    } else {
        format!("{}, on {size} of it that is or was {}", area.name, names.join(" and "))
    }
}

/// Days to the nearest other application on any of the area's ground: the longer of this label's (else the almanac's) and the
/// other label's interval.
pub(super) fn interval(book: &mut Book<'_>, of: &Substance<'_>, product: &ProductFacts, area_key: &str) {
    let own = product
        .label
        .interval_days
        .map(label)
        .or_else(|| of.active.and_then(|a| a.interval_days.as_ref()).map(typical));
    let on = book.on;
    let plots = book.plots(area_key);
    let clash = plots
        .iter()
        .flat_map(|plot| history(book, plot, &of.key).into_iter().map(move |put| (plot, put)))
        .filter_map(|(plot, put)| {
            let other = put.label.interval_days.map(label);
            let limit = match (other, own.clone()) {
                (Some(a), Some(b)) => {
                    if a.value >= b.value {
                        a
                    } else {
                        b
                    }
                }
                (a, b) => a.or(b)?,
            };
            let gap = Yard::days_between(put.on, on).abs();
            ((gap as f64) < limit.value).then_some((gap, put.on, put.planned, limit, plot))
        })
        .min_by_key(|(gap, ..)| *gap);
    if let Some((gap, day, planned, limit, plot)) = clash {
        let place =
            book.scene.yard.area(area_key).map_or_else(|| area_key.to_owned(), |area| place_of(book, area, plot));
        let message = format!(
            "{place}: {} was {} on {day}, {gap} day{} apart; at least {} days must lie between",
            of.name,
            if planned { "planned" } else { "put down" },
            if gap == 1 { "" } else { "s" },
            limit.value
        );
        book.say(limit.level, "interval", message, limit.source, after(day, limit.value));
    }
}

/// Young grass on the area: too few days or mowings since sowing.
pub(super) fn seedlings(book: &mut Book<'_>, active: &Active, product: &ProductFacts, area_key: &str) {
    let scene = book.scene;
    let on = book.on;
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Sow(s) if p.on <= on => Some((p.on, s)),
        _ => None,
    });
    let done = scene.yard.seedings.iter().filter(|s| s.on <= on).map(|s| (s.on, &s.fact));
    let here = done.chain(planned).filter(|(day, s)| scene.yard.meet(&s.area, *day, area_key, on));
    let Some((sown, seed)) = here.max_by_key(|(d, _)| *d) else { return };
    let days = Yard::days_between(sown, on);
    // A stand sown more than a year ago is established, whatever was written down of its mowings; and what may go down with the
    // seed may do so on its day.
    let with_seed = active.seed_wait_for(&seed.grass).is_some_and(|w| w.stop_below_days.value <= 0.0);
    if days > 365 || days == 0 && with_seed {
        return;
    }
    let grass = scene.almanac.grass(&seed.grass).map_or(seed.grass.as_str(), |g| g.name.as_str());
    let area = scene.yard.area_name(area_key);
    let wait = product.label.seedling_days.map(label).or_else(|| active.seedling_days.as_ref().map(typical));
    if let Some(limit) = wait
        && (days as f64) < limit.value
    {
        let message =
            format!("{area}: {grass} was sown {days} days ago ({sown}); {} waits {} days", active.name, limit.value);
        book.say(limit.level, "seedlings", message, limit.source, after(sown, limit.value));
    }
    let wait = product.label.seedling_mowings.map(label).or_else(|| active.seedling_mowings.as_ref().map(typical));
    if let Some(limit) = wait {
        let cut = scene
            .yard
            .mowings
            .iter()
            .filter(|m| m.on > sown && m.on <= on)
            .filter(|m| m.fact.areas.iter().any(|a| scene.yard.meet(a, m.on, &seed.area, sown)))
            .count();
        if (cut as f64) < limit.value {
            let message = format!(
                "{area}: {grass} sown on {sown} has been mown {cut} times; {} waits for {} mowings",
                active.name, limit.value
            );
            book.say(limit.level, "seedlings", message, limit.source, None);
        }
    }
}

/// The waits from a treatment to a sowing, Stop and Caution: label, then the almanac's row for the grass.
fn seed_wait(of: &Substance<'_>, product: &ProductFacts, grass: &str) -> Option<(Limit, Limit)> {
    if let Some(v) = product.label.seed_wait_days {
        return Some((label(v), label(v)));
    }
    let row = of.active?.seed_wait_for(grass)?;
    Some((typical(&row.stop_below_days), Limit { level: Level::Caution, ..typical(&row.caution_below_days) }))
}

/// Seed on the area after this treatment: planned, or sown already when the treatment is written down late.
pub(super) fn seed_to_come(book: &mut Book<'_>, of: &Substance<'_>, product: &ProductFacts, area_key: &str) {
    let scene = book.scene;
    let on = book.on;
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Sow(s) if Some(p.id.as_str()) != book.except => Some((p.on.max(scene.on), s)),
        _ => None,
    });
    let sown = scene.yard.seedings.iter().map(|s| (s.on, &s.fact));
    let after_this: Vec<(Date, &Seeded)> =
        sown.chain(planned).filter(|(d, s)| *d >= on && scene.yard.meet(&s.area, *d, area_key, on)).collect();
    for (day, seed) in after_this {
        if let Some(finding) = seed_gap(scene, of, product, seed, on, day, false) {
            book.found.push(finding);
        }
    }
}

pub(super) fn seed_gap(
    scene: &Scene<'_>,
    of: &Substance<'_>,
    product: &ProductFacts,
    seed: &Seeded,
    treated: Date,
    sown: Date,
    treatment_is_past: bool,
) -> Option<Finding> {
    let (stop, caution) = seed_wait(of, product, &seed.grass)?;
    let days = Yard::days_between(treated, sown);
    if days < 0 {
        return None;
    }
    let limit = if (days as f64) < stop.value {
        stop
    } else if (days as f64) < caution.value {
        caution
    } else {
        return None;
    };
    let needed = limit.value;
    let grass = scene.almanac.grass(&seed.grass).map_or(seed.grass.as_str(), |g| g.name.as_str());
    let area = scene.yard.area_name(&seed.area);
    let certain = if limit.level == Level::Stop { "must pass" } else { "are safer" };
    let s = if days == 1 { "" } else { "s" };
    let message = if treatment_is_past {
        format!(
            "{area}: {} went down on {treated}, {days} day{s} before {grass} would be sown ({sown}); {needed} days {certain}",
            of.name
        )
    } else {
        format!(
            "{area}: {grass} is to be sown on {sown}, {days} day{s} after this {}; {needed} days {certain}, or the seed is stopped too",
            of.name
        )
    };
    let clear_on = if treatment_is_past { after(treated, needed) } else { None };
    Some(Finding { level: limit.level, rule: "seed-wait".to_owned(), message, source: limit.source, clear_on })
}

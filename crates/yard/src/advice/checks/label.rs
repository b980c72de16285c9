//! Rules of labels and trials that look at the ground: site, tolerance, rate, yearly maximum, interval, seed.

use almanac::{Active, Basis, Site, Tolerance};
use jiff::civil::Date;

use super::book::{Book, Limit, Put, Substance, after, history, label, typical};
use super::{Finding, Level};
use crate::advice::Scene;
use crate::entry::{AreaFacts, Cover, LabelLimits, ProductFacts, Seeded, Work};
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
    let judged: Vec<(&Plot<'_>, Option<Level>)> = plots
        .iter()
        .map(|plot| (plot, year_of_plot(book, of, product, area_key, dose, plot).iter().map(|f| f.level).min()))
        .collect();
    let Some((worst, level)) = judged.iter().filter(|(_, l)| l.is_some()).min_by_key(|(_, l)| *l) else { return };
    // Told of all the ground it is as grave on, not of the one plot whose figures are shown.
    let share = judged.iter().filter(|(_, l)| l == level).map(|(plot, _)| plot.share).sum();
    let told = Plot { share, lies_in: worst.lies_in.clone() };
    let found = year_of_plot(book, of, product, area_key, dose, &told);
    book.found.extend(found);
}

/// A year to count over, and what lies in it beside the application asked about.
struct Year<'a, 's> {
    /// Any 365 days, not the calendar's.
    rolling: bool,
    puts: Vec<&'a Put<'s>>,
    /// First day that no longer lies in one year with all of it.
    clear_on: Option<Date>,
}

/// The years that hold a day: the calendar's, and each span of 365 days that begins with the day or an application. A span that begins
/// between holds no more than the one that begins next.
fn years<'a, 's>(all: &'a [Put<'s>], on: Date) -> Vec<Year<'a, 's>> {
    let calendar = Year {
        rolling: false,
        puts: all.iter().filter(|p| p.on.year() == on.year()).collect(),
        clear_on: Date::new(on.year() + 1, 1, 1).ok(),
    };
    let starts = all.iter().map(|p| p.on).filter(|d| *d <= on && Yard::days_between(*d, on) < 365).chain([on]);
    let spans = starts.map(|start| {
        let puts: Vec<_> = all.iter().filter(|p| (0..365).contains(&Yard::days_between(start, p.on))).collect();
        let clear_on = puts.iter().map(|p| p.on).min().and_then(|oldest| after(oldest, 365.0));
        Year { rolling: true, puts, clear_on }
    });
    std::iter::once(calendar).chain(spans).collect()
}

/// What the labels say of the year on a plot. Every label binds the years that hold an application made under it, counted as that label
/// counts them; where no label of an application that could lie in one year with this one names a figure, the almanac's counts.
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
    let own = &product.label;
    // A mixture's figure is no one ingredient's.
    let most_of = |label: &LabelLimits, alone: bool| label.active_yearly_max_g_m2.filter(|_| alone);
    let own_most = most_of(own, product.actives.len() <= 1);
    let row = || of.active?.yearly_max_for(area.grass.as_deref().unwrap_or("")).map(|row| typical(&row.g_m2));
    let times_row = || of.active?.applications_a_year.as_ref().map(typical);
    let over = |total: f64, most: f64| total > most * (1.0 + 1e-6);
    // More at once than a whole year may have is not mended by waiting.
    let never = own_most.map(label).or_else(row).is_some_and(|l| l.level == Level::Stop && over(dose, l.value));
    let u = scene.units();
    let place = place_of(book, area, plot);
    let rule = || "yearly-maximum".to_owned();
    let (mut amounts, mut times): (Vec<(f64, Finding)>, Vec<Finding>) = (Vec::new(), Vec::new());
    let all = history(book, plot, &of.key);
    let shares_a_year = |p: &&Put<'_>| match own.year_is_rolling {
        true => Yard::days_between(p.on, book.on).abs() < 365,
        false => p.on.year() == book.on.year(),
    };
    let near = || all.iter().filter(shares_a_year);
    let no_most = own_most.is_none() && near().all(|p| most_of(p.label, p.alone).is_none());
    let no_times = own.applications_a_year.is_none() && near().all(|p| p.label.applications_a_year.is_none());
    for Year { rolling, puts, clear_on } in years(&all, book.on) {
        let counts_so = own.year_is_rolling == rolling;
        let of_the_year = || puts.iter().filter(|p| p.label.year_is_rolling == rolling);
        let typed = of_the_year().filter_map(|p| most_of(p.label, p.alone)).chain(own_most.filter(|_| counts_so));
        let used: f64 = puts.iter().map(|p| p.dose).sum::<f64>();
        let total = used + dose;
        let limit = typed.min_by(f64::total_cmp).map(label);
        if let Some(limit) = limit.or_else(|| row().filter(|_| no_most && counts_so)) {
            let (most, source) = (limit.value, limit.source);
            if over(total, most) {
                let message = format!(
                    "{place}: {} already this year and {} now make {} of {}; {} is the most in a year",
                    u.say(Quantity::Dose, used),
                    u.say(Quantity::Dose, dose),
                    u.say(Quantity::Dose, total),
                    of.name,
                    u.say(Quantity::Dose, most)
                );
                let clear_on = clear_on.filter(|_| !never);
                amounts.push((total / most, Finding { level: limit.level, rule: rule(), message, source, clear_on }));
            } else if total > NEAR_MAXIMUM * most && used > 0.0 {
                let message = format!(
                    "{place}: with this, {} of the year's {} of {} is used",
                    u.say(Quantity::Dose, total),
                    u.say(Quantity::Dose, most),
                    of.name
                );
                let found = Finding { level: Level::Caution, rule: rule(), message, source, clear_on: None };
                amounts.push((total / most, found));
            }
        }
        let typed = of_the_year().map(|p| p.label).chain([own].into_iter().filter(|_| counts_so));
        let limit = typed.filter_map(|l| l.applications_a_year).min_by(f64::total_cmp).map(label);
        let number = puts.len() + 1;
        if let Some(limit) = limit.or_else(|| times_row().filter(|_| no_times && counts_so))
            && number as f64 > limit.value
        {
            let message = format!(
                "{place}: this would be application {number} of {} this year; {} is the most",
                of.name, limit.value
            );
            times.push(Finding { level: limit.level, rule: rule(), message, source: limit.source, clear_on });
        }
    }
    let amount = amounts.into_iter().min_by(|(a, f), (b, g)| f.level.cmp(&g.level).then(b.total_cmp(a)));
    let times = times.into_iter().min_by_key(|f| f.level);
    amount.map(|(_, finding)| finding).into_iter().chain(times).collect()
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

/// Days to the nearest other application on any of the area's ground: this label's (else the almanac's) and the other label's interval
/// both hold.
pub(super) fn interval(book: &mut Book<'_>, of: &Substance<'_>, product: &ProductFacts, area_key: &str) {
    let own = product
        .label
        .interval_days
        .map(label)
        .or_else(|| of.active.and_then(|a| a.interval_days.as_ref()).map(typical));
    let on = book.on;
    let plots = book.plots(area_key);
    let clashes: Vec<_> = plots
        .iter()
        .flat_map(|plot| history(book, plot, &of.key).into_iter().map(move |put| (plot, put)))
        .filter_map(|(plot, put)| {
            let gap = Yard::days_between(put.on, on).abs();
            let broken = [put.label.interval_days.map(label), own.clone()].into_iter().flatten();
            let broken = broken.filter(|limit| (gap as f64) < limit.value);
            // The gravest, and of these the longest: a longer recalled figure does not hide a label's.
            let limit = broken.min_by(|a, b| a.level.cmp(&b.level).then(b.value.total_cmp(&a.value)))?;
            Some((gap, put.on, put.planned, limit, plot))
        })
        .collect();
    let grave = clashes.iter().min_by_key(|(gap, _, _, limit, _)| (limit.level, *gap));
    if let Some((gap, day, planned, limit, plot)) = grave.cloned() {
        // Told of all the ground that application lies on.
        let mut on_it: Vec<&Plot<'_>> = clashes.iter().filter(|c| c.1 == day && c.0 == gap).map(|c| c.4).collect();
        on_it.dedup();
        let told = Plot { share: on_it.iter().map(|p| p.share).sum(), lies_in: plot.lies_in.clone() };
        let place =
            book.scene.yard.area(area_key).map_or_else(|| area_key.to_owned(), |area| place_of(book, area, &told));
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

/// Young grass on any of the area's ground: too few days or mowings since a sowing.
pub(super) fn seedlings(book: &mut Book<'_>, of: &Substance<'_>, product: &ProductFacts, area_key: &str) {
    let scene = book.scene;
    let on = book.on;
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Sow(s) => Some((p.on.max(scene.on), s)),
        Work::Apply(_) => None,
    });
    let done = scene.yard.seedings.iter().map(|s| (s.on, &s.fact));
    // A stand sown more than a year ago is established, whatever was written down of its mowings; and what may go down with the
    // seed may do so on its day.
    let with_seed =
        |grass: &str| of.active.and_then(|a| a.seed_wait_for(grass)).is_some_and(|w| w.stop_below_days.value <= 0.0);
    let young: Vec<(Date, &Seeded)> = done
        .chain(planned)
        .filter(|(sown, seed)| match Yard::days_between(*sown, on) {
            0 => !with_seed(&seed.grass),
            days => (1..=365).contains(&days),
        })
        .collect();
    if young.is_empty() {
        return;
    }
    let plots = book.plots(area_key);
    let area = scene.yard.area_name(area_key);
    let grass = |seed: &'_ Seeded| scene.almanac.grass(&seed.grass).map_or(seed.grass.clone(), |g| g.name.clone());
    let here = |plot: &Plot<'_>, (sown, seed): &(Date, &Seeded)| plot.has(scene.yard, &seed.area, *sown);
    let wait = product
        .label
        .seedling_days
        .map(label)
        .or_else(|| of.active.and_then(|a| a.seedling_days.as_ref()).map(typical));
    let last = young.iter().filter(|s| plots.iter().any(|plot| here(plot, s))).max_by_key(|(sown, _)| *sown);
    if let Some(limit) = wait
        && let Some((sown, seed)) = last
        && let days = Yard::days_between(*sown, on)
        && (days as f64) < limit.value
    {
        let message = format!(
            "{area}: {} was sown {days} days ago ({sown}); {} waits {} days",
            grass(seed),
            of.name,
            limit.value
        );
        book.say(limit.level, "seedlings", message, limit.source, after(*sown, limit.value));
    }
    let wait = product
        .label
        .seedling_mowings
        .map(label)
        .or_else(|| of.active.and_then(|a| a.seedling_mowings.as_ref()).map(typical));
    if let Some(limit) = wait {
        let mown = |plot: &Plot<'_>, sown: Date| {
            let since = scene.yard.mowings.iter().filter(|m| m.on > sown && m.on <= on);
            since.filter(|m| m.fact.areas.iter().any(|a| plot.has(scene.yard, a, m.on))).count()
        };
        let uncut = plots
            .iter()
            .flat_map(|plot| young.iter().filter(|s| here(plot, s)).map(move |(sown, seed)| (plot, *sown, *seed)))
            .map(|(plot, sown, seed)| (mown(plot, sown), sown, seed))
            .filter(|(cut, ..)| (*cut as f64) < limit.value)
            .min_by_key(|(cut, sown, _)| (std::cmp::Reverse(*sown), *cut));
        if let Some((cut, sown, seed)) = uncut {
            let message = format!(
                "{area}: {} sown on {sown} has been mown {cut} times; {} waits for {} mowings",
                grass(seed),
                of.name,
                limit.value
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

//! Label checks: a planned or done application or sowing against what labels and trials allow.
//!
//! A limit typed from the label in hand counts first; then a published figure; a figure recalled from memory is never a limit and
//! only asks the owner to read the label. The product's own label and local law govern.

use almanac::{Active, Basis, Figure, Site, Tolerance};
use jiff::civil::Date;
use serde::Serialize;

use super::Scene;
use crate::entry::{Applied, Cover, Form, ProductFacts, Seeded, Work};
use crate::fold::Yard;
use crate::units::Quantity;

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Do not do it.
    Stop,
    /// Think and read the label first.
    Caution,
    /// Good to know.
    Note,
}

impl Level {
    /// The word on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "Stop",
            Self::Caution => "Caution",
            Self::Note => "Note",
        }
    }
}

/// One outcome of a check.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// How grave.
    pub level: Level,
    /// The rule: `site`, `tolerance`, `rate`, `yearly-maximum`, `interval`, `seed-wait`, `seedlings`, `rain`, `wind`, `heat`, …
    pub rule: String,
    /// What, with the figures.
    pub message: String,
    /// Where the limit comes from.
    pub source: String,
    /// First day the rule no longer stands in the way.
    pub clear_on: Option<Date>,
}

/// Wind above which spraying stops: 10 mph, 4.5 m/s (common practice; Pesticide Environmental Stewardship, "Evaluate the
/// Weather", gives 3–8 mph as the good range).
const WIND_STOP_MS: f64 = 4.5;
/// Wind above which granules stop: 15 mph (common practice).
const WIND_STOP_GRANULE_MS: f64 = 6.7;
/// Wind outside which spraying wants care: 3–8 mph (Pesticide Environmental Stewardship).
const WIND_GOOD_MS: (f64, f64) = (1.3, 3.6);
/// Most nitrogen in one application: 1.0 lb/1000 sq ft (University of Illinois figures).
pub const NITROGEN_ONCE_G_M2: f64 = 4.9;
/// Share of a yearly maximum above which it is called near (computed; common practice).
const NEAR_MAXIMUM: f64 = 0.8;

struct Book<'s> {
    scene: &'s Scene<'s>,
    on: Date,
    found: Vec<Finding>,
}

/// A limit and where it stands written.
struct Limit {
    value: f64,
    level: Level,
    source: String,
}

fn label(value: f64) -> Limit {
    Limit { value, level: Level::Stop, source: "the label in your hand, as you typed it".to_owned() }
}

fn typical(figure: &Figure) -> Limit {
    match figure.basis {
        Basis::Published => Limit { value: figure.value, level: Level::Stop, source: figure.source.clone() },
        Basis::FromMemory => Limit {
            value: figure.value,
            level: Level::Caution,
            source: "a typical figure, not your label: read the label and type its own number".to_owned(),
        },
    }
}

impl Book<'_> {
    fn say(&mut self, level: Level, rule: &str, message: String, source: impl Into<String>, clear_on: Option<Date>) {
        self.found.push(Finding { level, rule: rule.to_owned(), message, source: source.into(), clear_on });
    }
}

/// Grams of each active ingredient an application leaves on a square metre.
pub fn active_doses<'p>(product: &'p ProductFacts, rate_g_m2: f64) -> impl Iterator<Item = (&'p str, f64)> + 'p {
    product.actives.iter().map(move |s| (s.active.as_str(), rate_g_m2 * s.pct / 100.0))
}

/// Every application of an active ingredient on an area: day, dose, whether only planned. The entry `except` is left out.
fn history<'s>(
    scene: &'s Scene<'_>,
    area: &'s str,
    active: &'s str,
    except: Option<&'s str>,
) -> Vec<(Date, f64, bool)> {
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Apply(a) => Some((p.id.as_str(), p.on, a, true)),
        Work::Sow(_) => None,
    });
    let done = scene.yard.applications.iter().map(|a| (a.id.as_str(), a.on, &a.fact, false));
    done.chain(planned)
        .filter(|(id, _, a, _)| Some(*id) != except && a.areas.iter().any(|k| k == area))
        .filter_map(|(_, on, a, planned)| {
            let product = scene.yard.product(&a.product)?;
            let dose: f64 = active_doses(product, a.rate_g_m2).filter(|(k, _)| *k == active).map(|(_, d)| d).sum();
            (dose > 0.0).then_some((on, dose, planned))
        })
        .collect()
}

fn after(day: Date, days: f64) -> Option<Date> {
    day.checked_add(jiff::Span::new().days(days.ceil() as i64)).ok()
}

/// Checks an application on a day. `except` is the entry the application itself comes from, so that it does not count against
/// itself.
pub fn check_application(scene: &Scene<'_>, work: &Applied, on: Date, except: Option<&str>) -> Vec<Finding> {
    let Some(product) = scene.yard.product(&work.product) else { return Vec::new() };
    let mut book = Book { scene, on, found: Vec::new() };
    for strength in &product.actives {
        let Some(active) = scene.almanac.active(&strength.active) else { continue };
        let dose = work.rate_g_m2 * strength.pct / 100.0;
        rate(&mut book, active, product, dose);
        for area in &work.areas {
            site_and_tolerance(&mut book, active, area);
            yearly_maximum(&mut book, active, product, area, dose, except);
            interval(&mut book, active, product, area, except);
            seedlings(&mut book, active, area);
            seed_to_come(&mut book, active, product, area, except);
        }
        weather_on_the_day(&mut book, active, product, work);
    }
    nitrogen(&mut book, product, work);
    if let Some(max) = product.label.rate_max_g_m2
        && work.rate_g_m2 > max * (1.0 + 1e-9)
    {
        let u = scene.units();
        let message = format!(
            "{} of product is more than the label's {} in one application",
            u.say(Quantity::Dose, work.rate_g_m2),
            u.say(Quantity::Dose, max)
        );
        book.say(Level::Stop, "rate", message, "the label in your hand, as you typed it", None);
    }
    finish(book.found)
}

fn finish(mut found: Vec<Finding>) -> Vec<Finding> {
    found.sort_by_key(|f| f.level);
    found.dedup();
    found
}

fn rate(book: &mut Book<'_>, active: &Active, product: &ProductFacts, dose: f64) {
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

fn site_and_tolerance(book: &mut Book<'_>, active: &Active, area_key: &str) {
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

fn yearly_maximum(
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

fn interval(book: &mut Book<'_>, active: &Active, product: &ProductFacts, area_key: &str, except: Option<&str>) {
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
fn seedlings(book: &mut Book<'_>, active: &Active, area_key: &str) {
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
fn seed_wait(active: &Active, product: &ProductFacts, grass: &str) -> Option<(Limit, f64)> {
    if let Some(v) = product.label.seed_wait_days {
        return Some((label(v), v));
    }
    let row = active.seed_wait_for(grass)?;
    Some((typical(&row.stop_below_days), row.caution_below_days.value))
}

/// Seed planned on the area after this treatment.
fn seed_to_come(book: &mut Book<'_>, active: &Active, product: &ProductFacts, area_key: &str, except: Option<&str>) {
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

fn seed_gap(
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

fn weather_on_the_day(book: &mut Book<'_>, active: &Active, product: &ProductFacts, work: &Applied) {
    let scene = book.scene;
    let u = scene.units();
    let day = scene.weather.recorded(book.on).filter(|_| book.on < scene.on).copied();
    // Wind.
    if let Some(wind) = work.wind_ms {
        let (stop, words) = match product.form {
            Form::Liquid => (WIND_STOP_MS, "spray"),
            Form::Granule => (WIND_STOP_GRANULE_MS, "granules"),
        };
        if wind > stop {
            let message = format!(
                "wind {} carries {words} away; stop above {}",
                u.say(Quantity::Speed, wind),
                u.say(Quantity::Speed, stop)
            );
            book.say(Level::Stop, "wind", message, "common practice; your label may be stricter", None);
        } else if product.form == Form::Liquid && (wind < WIND_GOOD_MS.0 || wind > WIND_GOOD_MS.1) {
            let message = format!(
                "wind {}; spraying is safest between {} and {}, blowing away from what must stay clean",
                u.say(Quantity::Speed, wind),
                u.say(Quantity::Speed, WIND_GOOD_MS.0),
                u.say(Quantity::Speed, WIND_GOOD_MS.1)
            );
            book.say(
                Level::Caution,
                "wind",
                message,
                "Pesticide Environmental Stewardship, “Evaluate the Weather”",
                None,
            );
        }
    } else if product.form == Form::Liquid {
        book.say(
            Level::Note,
            "wind",
            format!(
                "measure the wind before spraying: between {} and {}",
                u.say(Quantity::Speed, WIND_GOOD_MS.0),
                u.say(Quantity::Speed, WIND_GOOD_MS.1)
            ),
            "Pesticide Environmental Stewardship, “Evaluate the Weather”",
            None,
        );
    }
    // Heat and cold.
    let (air, measured) = match (work.air_c, day) {
        (Some(t), _) => (t, "measured"),
        (None, Some(d)) => (d.tmax_c, "the day's recorded high"),
        (None, None) => (scene.weather.usual(book.on, scene.on).tmax_c, "the usual high of this day"),
    };
    if let Some(max) = &active.temperature_max_c
        && air > max.value
    {
        let limit = typical(max);
        let level = if measured == "the usual high of this day" { Level::Caution } else { limit.level };
        let message = format!(
            "{} ({measured}) is hotter than {} for {}",
            u.say(Quantity::Temperature, air),
            u.say(Quantity::Temperature, limit.value),
            active.name
        );
        book.say(level, "heat", message, limit.source, None);
    }
    if let Some(min) = &active.temperature_min_c
        && air < min.value
    {
        let message = format!(
            "{} ({measured}) is colder than {}; {} works poorly",
            u.say(Quantity::Temperature, air),
            u.say(Quantity::Temperature, min.value),
            active.name
        );
        book.say(Level::Caution, "cold", message, min.source.clone(), None);
    }
    // Rain to come, and water to wash in.
    let rain_free = product.label.rain_free_hours.map(label).or_else(|| active.rain_free_hours.as_ref().map(typical));
    if let Some(limit) = rain_free
        && limit.value > 0.0
    {
        match (work.rain_in_hours, day) {
            (Some(hours), _) if hours < limit.value => {
                let message =
                    format!("rain in {hours} h; {} needs {} h without rain or sprinklers", active.name, limit.value);
                book.say(limit.level, "rain", message, limit.source, None);
            }
            (None, Some(d)) if d.rain_mm > 2.5 => {
                let message = format!(
                    "{} of rain fell that day; {} needs {} h without",
                    u.say(Quantity::Depth, d.rain_mm),
                    active.name,
                    limit.value
                );
                book.say(Level::Caution, "rain", message, limit.source, None);
            }
            (None, None) => {
                let message =
                    format!("{} needs {} h without rain or sprinklers: look at the forecast", active.name, limit.value);
                book.say(Level::Note, "rain", message, limit.source, None);
            }
            _ => {}
        }
    }
    let water_in = product.label.water_in_mm.map(label).or_else(|| active.water_in_mm.as_ref().map(typical));
    if let Some(limit) = water_in
        && limit.value > 0.0
    {
        let within = active.water_in_within_days.as_ref().map_or(1.0, |f| f.value);
        let given = work.watered_in_mm;
        if given.is_none_or(|mm| mm + 0.5 < limit.value) {
            let message = format!(
                "{} must be washed in with {} within {within} day{}{}",
                active.name,
                u.say(Quantity::Depth, limit.value),
                if within > 1.0 { "s" } else { "" },
                given.map_or_else(String::new, |mm| format!("; only {} was put on", u.say(Quantity::Depth, mm)))
            );
            let level = if given.is_some() { Level::Caution } else { Level::Note };
            book.say(level, "watering-in", message, limit.source, None);
        }
    }
    if active.harms_bees {
        let (level, message) = if work.flowers_open {
            (
                Level::Stop,
                format!("flowers are open on the ground treated; {} harms bees. Mow them off first", active.name),
            )
        } else {
            (Level::Note, format!("{} harms bees: not while any flower is open on the ground treated", active.name))
        };
        book.say(level, "bloom", message, active.source.clone(), None);
    }
    if let Some(buffer) = &active.water_buffer_m {
        let message = format!("keep {} from open water, wells and drains", u.say(Quantity::Length, buffer.value));
        book.say(Level::Note, "water-buffer", message, typical(buffer).source, None);
    }
}

fn nitrogen(book: &mut Book<'_>, product: &ProductFacts, work: &Applied) {
    let n = work.rate_g_m2 * product.n_pct / 100.0;
    if n <= 0.0 {
        return;
    }
    let u = book.scene.units();
    if n > NITROGEN_ONCE_G_M2 * 1.001 && product.slow_n_pct < 50.0 {
        let message = format!(
            "{} of nitrogen at once is more than {}; it burns and washes out",
            u.say(Quantity::Dose, n),
            u.say(Quantity::Dose, NITROGEN_ONCE_G_M2)
        );
        book.say(
            Level::Stop,
            "rate",
            message,
            "University of Illinois lawn figures: at most 1 lb N/1000 sq ft at once",
            None,
        );
    }
    let scene = book.scene;
    let past = scene.weather.recorded(book.on).filter(|_| book.on < scene.on);
    let (high, soil) = match past {
        Some(day) => (day.tmax_c, day.soil_c),
        None => {
            let usual = scene.weather.usual(book.on, scene.on);
            (usual.tmax_c, usual.tmean_c)
        }
    };
    let hot = work.air_c.unwrap_or(high);
    if hot > 29.4 && product.slow_n_pct < 50.0 {
        let message = format!("{}: no quick nitrogen on cool-season grass in heat", u.say(Quantity::Temperature, hot));
        book.say(Level::Caution, "heat", message, "common practice: above 85 °F", None);
    }
    if soil < 0.5 {
        book.say(
            Level::Stop,
            "frozen",
            "the soil is at or near freezing: it runs off".to_owned(),
            "Michigan P.A. 299 rules (Michigan State University Extension, 2011)",
            None,
        );
    }
}

/// Checks a sowing on a day against everything put down, or planned, before it.
pub fn check_sowing(scene: &Scene<'_>, seed: &Seeded, on: Date, except: Option<&str>) -> Vec<Finding> {
    let mut found = Vec::new();
    let planned = scene.yard.plans.iter().filter_map(|p| match &p.fact.work {
        Work::Apply(a) if Some(p.id.as_str()) != except => Some((p.on, a)),
        _ => None,
    });
    let done = scene.yard.applications.iter().map(|a| (a.on, &a.fact));
    for (treated, work) in done.chain(planned) {
        if treated > on || !work.areas.contains(&seed.area) {
            continue;
        }
        let Some(product) = scene.yard.product(&work.product) else { continue };
        for strength in &product.actives {
            if let Some(active) = scene.almanac.active(&strength.active)
                && let Some(finding) = seed_gap(scene, active, product, seed, treated, on, true)
            {
                found.push(finding);
            }
        }
    }
    if let Some(grass) = scene.almanac.grass(&seed.grass) {
        let u = scene.units();
        let soil = if on <= scene.on {
            scene.weather.day(scene.yesterday().min(on)).soil_c
        } else {
            scene.weather.usual(on, scene.on).tmean_c
        };
        if soil < grass.germination_min_c {
            found.push(Finding {
                level: Level::Caution,
                rule: "soil-temperature".to_owned(),
                message: format!(
                    "the soil is about {}; {} waits for {}",
                    u.say(Quantity::Temperature, soil),
                    grass.name,
                    u.say(Quantity::Temperature, grass.germination_min_c)
                ),
                source: grass.source.clone(),
                clear_on: None,
            });
        } else if let Some(max) = grass.germination_max_c
            && soil > max
        {
            found.push(Finding {
                level: Level::Caution,
                rule: "soil-temperature".to_owned(),
                message: format!(
                    "the soil is about {}; {} fails above {}",
                    u.say(Quantity::Temperature, soil),
                    grass.name,
                    u.say(Quantity::Temperature, max)
                ),
                source: grass.source.clone(),
                clear_on: None,
            });
        }
        let usual = match seed.sowing {
            crate::entry::Sowing::Bare => grass.seed_new_g_m2,
            crate::entry::Sowing::Over => grass.seed_over_g_m2,
        };
        if let Some(range) = usual
            && (seed.rate_g_m2 > range.high * 1.2 || seed.rate_g_m2 < range.low * 0.8)
        {
            found.push(Finding {
                level: Level::Note,
                rule: "rate".to_owned(),
                message: format!(
                    "{} of {} seed; the usual rate is {} to {}",
                    u.say(Quantity::Dose, seed.rate_g_m2),
                    grass.name,
                    u.say(Quantity::Dose, range.low),
                    u.say(Quantity::Dose, range.high)
                ),
                source: grass.source.clone(),
                clear_on: None,
            });
        }
    }
    finish(found)
}

/// First day on or after `from` with no Stop, looking at most three years ahead; `None` when none is found.
pub fn nearest_clear_day(from: Date, check: impl Fn(Date) -> Vec<Finding>) -> Option<Date> {
    let mut day = from;
    for _ in 0..200 {
        let stops: Vec<Finding> = check(day).into_iter().filter(|f| f.level == Level::Stop).collect();
        if stops.is_empty() {
            return Some(day);
        }
        // A Stop that names its end lets the search leap; one that does not has no date.
        day = stops.iter().map(|f| f.clear_on).collect::<Option<Vec<_>>>()?.into_iter().max().filter(|d| *d > day)?;
    }
    None
}

/// Ingredients that do the same job and may be sown with: preventers whose wait before sowing this grass is nil.
pub fn safe_with_seed<'a>(scene: &Scene<'a>, grass: &str) -> Vec<&'a Active> {
    scene
        .almanac
        .actives
        .iter()
        .filter(|a| a.kind == almanac::ActiveKind::Preventer)
        .filter(|a| a.tolerance_of(grass).is_none_or(|t| t.tolerance != Tolerance::Injured))
        .filter(|a| a.seed_wait_for(grass).is_some_and(|w| w.stop_below_days.value <= 0.0))
        .collect()
}

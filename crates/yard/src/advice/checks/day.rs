//! Rules that look at the day: wind, heat, cold, rain, washing in, mowing, bloom, frozen ground, nutrients.

use almanac::{Active, Figure, Season};
use jiff::civil::Date;

use super::book::{Book, Limit, label, substances, typical};
use super::{Level, NITROGEN_ONCE_G_M2};
use crate::entry::{Cover, Form, PhosphateRule, ProductFacts, Work};
use crate::fold::{GOOD_PART, Yard};
use crate::shed::wants_phosphate;
use crate::units::Quantity;

/// Wind above which spraying stops: 10 mph, 4.5 m/s (common practice; Pesticide Environmental Stewardship, "Evaluate the
/// Weather", gives 3–8 mph as the good range).
const WIND_STOP_MS: f64 = 4.5;
/// Wind above which granules stop: 15 mph (common practice).
const WIND_STOP_GRANULE_MS: f64 = 6.7;
/// Wind above which granules want care: 10 mph (common practice).
const WIND_CARE_GRANULE_MS: f64 = 4.5;
/// Wind outside which spraying wants care: 3–8 mph (Pesticide Environmental Stewardship).
const WIND_GOOD_MS: (f64, f64) = (1.3, 3.6);
const WIND_SOURCE: &str = "Pesticide Environmental Stewardship, “Evaluate the Weather”";
/// Nitrogen at once even when most of it is slow: 2.0 lb/1000 sq ft, coated, where law allows (turf tables, from memory).
const SLOW_NITROGEN_ONCE_G_M2: f64 = 9.8;
/// Heat above which cool-season grass gets no quick nitrogen: 85 °F (common practice).
const HOT_C: f64 = 29.4;
/// Days a sowing counts as establishing, for phosphate.
const ESTABLISHING_DAYS: i64 = 60;

struct Sky {
    high_c: f64,
    /// What tells the high.
    high_told: String,
    soil_c: f64,
    rain_mm: Option<f64>,
    /// Chance of rain in the hours a product must stay dry, where a fresh forecast tells it.
    rain_ahead: Option<RainAhead>,
    /// Of a day whose weather is known.
    known: bool,
}

/// What a forecast says of rain: of the day, and of the next one where a product needs longer.
struct RainAhead {
    issued: Date,
    today: Option<f64>,
    tomorrow: Option<f64>,
}

/// Chance of rain from which it is said to be likely.
const RAIN_LIKELY_PCT: f64 = 50.0;
/// Hours without rain a product needs from which the next day counts too.
const NEXT_DAY_HOURS: f64 = 12.0;

fn sky(book: &Book<'_>) -> Sky {
    let (scene, on) = (book.scene, book.on);
    let gauge = scene.yard.rain.get(&on).copied();
    if on < scene.on {
        let day = scene.weather.day(on);
        return Sky {
            high_c: day.tmax_c,
            high_told: "the day's recorded high".to_owned(),
            soil_c: day.soil_c,
            rain_mm: gauge.or(Some(day.rain_mm)),
            rain_ahead: None,
            known: true,
        };
    }
    let usual = scene.weather.usual(on, scene.on);
    // This morning's soil is last evening's; further ahead only the season can tell.
    let soil_c = if on == scene.on { scene.weather.day(scene.yesterday()).soil_c } else { usual.tmean_c };
    let forecast = scene.weather.forecast_on(scene.on).filter(|f| f.fresh_on(scene.on));
    let chance = |date: Date| forecast?.day(date)?.rain_told(0.0).map(|(chance, _)| chance * 100.0);
    let rain_ahead = forecast.map(|f| RainAhead {
        issued: f.issued,
        today: chance(on),
        tomorrow: on.tomorrow().ok().and_then(chance),
    });
    let high = forecast.and_then(|f| Some((f.issued, f.day(on)?.high?.get())));
    let (high_c, high_told) = match high {
        Some((issued, high)) => (high, format!("the high of the forecast of {issued}")),
        None => (usual.tmax_c, "the usual high of this day".to_owned()),
    };
    Sky { high_c, high_told, soil_c, rain_mm: gauge, rain_ahead, known: false }
}

/// The gravest of several limits: `better` says which of two figures binds more.
fn strictest<'a>(
    actives: &[&'a Active],
    figure: fn(&'a Active) -> Option<&'a Figure>,
    better: fn(f64, f64) -> bool,
) -> Option<(&'a str, Limit)> {
    let mut out: Option<(&str, Limit)> = None;
    for active in actives {
        if let Some(limit) = figure(active).map(typical)
            && out.as_ref().is_none_or(|(_, o)| better(limit.value, o.value))
        {
            out = Some((&active.name, limit));
        }
    }
    out
}

pub(super) fn weather_on_the_day(book: &mut Book<'_>, product: &ProductFacts) {
    let scene = book.scene;
    let sky = sky(book);
    let actives: Vec<&Active> = substances(scene, product).into_iter().filter_map(|s| s.active).collect();
    wind(book, product);
    heat_and_cold(book, product, &actives, &sky);
    rain(book, product, &actives, &sky);
    mown_before(book, &actives);
    if let Some(active) = actives.iter().find(|a| a.harms_bees) {
        let (level, message) = if book.work.flowers_open {
            let words =
                format!("flowers are open on the ground treated; {} harms bees. Mow them off first", active.name);
            (Level::Stop, words)
        } else {
            let words = format!("{} harms bees: not while any flower is open on the ground treated", active.name);
            (Level::Note, words)
        };
        book.say(level, "bloom", message, active.source.clone(), None);
    }
    if let Some(hours) = product.label.reentry_hours.filter(|h| *h > 0.0) {
        let message = format!("keep people and pets off for {hours} h");
        book.say(Level::Note, "re-entry", message, label(hours).source, None);
    }
    let buffer = strictest(&actives, |a| a.water_buffer_m.as_ref(), |a, b| a > b);
    if let Some((_, limit)) = from_label(product, product.label.water_buffer_m, buffer).filter(|(_, l)| l.value > 0.0) {
        let u = scene.units();
        let message = format!("keep {} from open water, wells and drains", u.say(Quantity::Length, limit.value));
        book.say(Level::Note, "water-buffer", message, limit.source, None);
    }
    if sky.soil_c < 0.5 {
        let level = if sky.known || book.on == scene.on { Level::Stop } else { Level::Caution };
        let message = "the soil is at or near freezing: what is put down runs off".to_owned();
        book.say(level, "frozen", message, "Michigan P.A. 299 rules (Michigan State University Extension, 2011)", None);
    }
}

fn wind(book: &mut Book<'_>, product: &ProductFacts) {
    let u = book.scene.units();
    let good = format!("{} and {}", u.say(Quantity::Speed, WIND_GOOD_MS.0), u.say(Quantity::Speed, WIND_GOOD_MS.1));
    let liquid = product.form == Form::Liquid;
    let Some(wind) = book.work.wind_ms else {
        if liquid {
            match product.label.wind_max_ms {
                Some(own) => {
                    let message = format!("measure the wind before spraying: at most {}", u.say(Quantity::Speed, own));
                    book.say(Level::Note, "wind", message, label(own).source, None);
                }
                None => {
                    let message = format!("measure the wind before spraying: between {good}");
                    book.say(Level::Note, "wind", message, WIND_SOURCE, None);
                }
            }
        }
        return;
    };
    let (usual, words) = if liquid { (WIND_STOP_MS, "spray") } else { (WIND_STOP_GRANULE_MS, "granules") };
    let told = u.say(Quantity::Speed, wind);
    let (stop, source) = match product.label.wind_max_ms {
        Some(own) => (own, label(own).source),
        None => (usual, "common practice; your label may be stricter".to_owned()),
    };
    if wind > stop {
        let message = format!("wind {told} carries {words} away; stop above {}", u.say(Quantity::Speed, stop));
        book.say(Level::Stop, "wind", message, source, None);
    } else if liquid && (wind < WIND_GOOD_MS.0 || wind > WIND_GOOD_MS.1) {
        let message = format!(
            "wind {told}; spraying is safest between {good}, blowing away from what must stay clean; dead calm at dawn or dusk carries spray too"
        );
        book.say(Level::Caution, "wind", message, WIND_SOURCE, None);
    } else if !liquid && wind > WIND_CARE_GRANULE_MS {
        let message = format!("wind {told} throws granules out of their swath");
        book.say(Level::Caution, "wind", message, "common practice: care above 10 mph", None);
    }
}

fn heat_and_cold(book: &mut Book<'_>, product: &ProductFacts, actives: &[&Active], sky: &Sky) {
    let u = book.scene.units();
    let (air, told, sure) = match (book.work.air_c, sky.known) {
        (Some(t), _) => (t, "measured", true),
        (None, known) => (sky.high_c, sky.high_told.as_str(), known),
    };
    let hottest = strictest(actives, |a| a.temperature_max_c.as_ref(), |a, b| a < b);
    if let Some((name, limit)) = from_label(product, product.label.temperature_max_c, hottest)
        && air > limit.value
    {
        let message = format!(
            "{} ({told}) is hotter than {} for {name}",
            u.say(Quantity::Temperature, air),
            u.say(Quantity::Temperature, limit.value)
        );
        book.say(if sure { limit.level } else { Level::Caution }, "heat", message, limit.source, None);
    }
    let coldest = strictest(actives, |a| a.temperature_min_c.as_ref(), |a, b| a > b);
    if let Some((name, limit)) = from_label(product, product.label.temperature_min_c, coldest)
        && air < limit.value
    {
        let message = format!(
            "{} ({told}) is colder than {}; {name} works poorly",
            u.say(Quantity::Temperature, air),
            u.say(Quantity::Temperature, limit.value)
        );
        book.say(Level::Caution, "cold", message, limit.source, None);
    }
}

/// The limit of the label in hand, named after the product, else the strictest of the ingredients.
fn from_label<'a>(
    product: &'a ProductFacts,
    told: Option<f64>,
    else_from: Option<(&'a str, Limit)>,
) -> Option<(&'a str, Limit)> {
    told.map(|v| (product.name.as_str(), label(v))).or(else_from)
}

fn rain(book: &mut Book<'_>, product: &ProductFacts, actives: &[&Active], sky: &Sky) {
    let u = book.scene.units();
    let free = strictest(actives, |a| a.rain_free_hours.as_ref(), |a, b| a > b);
    if let Some((name, limit)) = from_label(product, product.label.rain_free_hours, free)
        && limit.value > 0.0
    {
        match (book.work.rain_in_hours, sky.rain_mm) {
            (Some(hours), _) if hours < limit.value => {
                let message = format!("rain in {hours} h; {name} needs {} h without rain or sprinklers", limit.value);
                book.say(limit.level, "rain", message, limit.source, None);
            }
            (None, Some(fell)) if fell > 2.5 => {
                let message = format!(
                    "{} of rain fell that day; {name} needs {} h without",
                    u.say(Quantity::Depth, fell),
                    limit.value
                );
                book.say(Level::Caution, "rain", message, limit.source, None);
            }
            (None, None) => {
                let (level, message) = rain_to_come(sky, name, limit.value);
                book.say(level, "rain", message, limit.source, None);
            }
            _ => {}
        }
    }
    if let Some((name, limit, within)) = water_in(product, actives)
        && limit.value > 0.0
    {
        let given = book.work.watered_in_mm;
        if given.is_none_or(|mm| mm + 0.5 < limit.value) {
            let message = format!(
                "{name} must be washed in with {} within {within} day{}{}",
                u.say(Quantity::Depth, limit.value),
                if within > 1.0 { "s" } else { "" },
                given.map_or_else(String::new, |mm| format!("; only {} was put on", u.say(Quantity::Depth, mm)))
            );
            let level = if given.is_some() { Level::Caution } else { Level::Note };
            book.say(level, "watering-in", message, limit.source, None);
        }
    }
}

/// What is known of rain in the hours a product must stay dry.
fn rain_to_come(sky: &Sky, name: &str, hours: f64) -> (Level, String) {
    let needs = format!("{name} needs {hours} h without rain or sprinklers");
    let told = sky.rain_ahead.as_ref().and_then(|ahead| {
        let next = ahead.tomorrow.filter(|_| hours > NEXT_DAY_HOURS);
        Some((ahead.issued, ahead.today?.max(next.unwrap_or(0.0)), hours > NEXT_DAY_HOURS && next.is_none()))
    });
    match told {
        Some((issued, chance, _)) if chance >= RAIN_LIKELY_PCT => {
            (Level::Caution, format!("{needs}; the forecast of {issued} gives rain a chance of {chance:.0} %"))
        }
        Some((issued, chance, false)) => (
            Level::Note,
            format!("{needs}; the forecast of {issued} gives rain a chance of {chance:.0} %: look at the sky too"),
        ),
        _ => (Level::Note, format!("{needs}: look at the forecast")),
    }
}

/// Water that must follow a product: whose need it is, how much (mm), within how many days.
pub(super) fn water_in<'a>(product: &'a ProductFacts, actives: &[&'a Active]) -> Option<(&'a str, Limit, f64)> {
    let most = strictest(actives, |a| a.water_in_mm.as_ref(), |a, b| a > b);
    let within =
        actives.iter().filter_map(|a| a.water_in_within_days.as_ref()).map(|f| f.value).fold(f64::INFINITY, f64::min);
    let (name, limit) = from_label(product, product.label.water_in_mm, most)?;
    let within = product.label.water_in_within_days.unwrap_or(if within.is_finite() { within } else { 1.0 });
    Some((name, limit, within))
}

fn mown_before(book: &mut Book<'_>, actives: &[&Active]) {
    let Some((name, limit)) = strictest(actives, |a| a.mow_before_days.as_ref(), |a, b| a > b) else { return };
    for area in &book.work.areas {
        if let Some(mown) = book.scene.yard.last_mowing(area, book.on)
            && (Yard::days_between(mown.on, book.on) as f64) < limit.value
        {
            let message = format!(
                "{}: mown on {}; {name} wants {} days of leaf first",
                book.scene.yard.area_name(area),
                mown.on,
                limit.value
            );
            book.say(Level::Caution, "mowing", message, limit.source.clone(), None);
        }
    }
}

/// Nitrogen at once, nitrogen in heat, phosphate on grown turf.
pub(super) fn nutrients(book: &mut Book<'_>, product: &ProductFacts) {
    let u = book.scene.units();
    let n = book.work.rate_g_m2 * product.n_pct / 100.0;
    let slow = product.slow_n_pct >= 50.0;
    let quick = n * (1.0 - product.slow_n_pct / 100.0);
    let most = if slow { SLOW_NITROGEN_ONCE_G_M2 } else { NITROGEN_ONCE_G_M2 };
    if n > most * 1.001 {
        let message = format!(
            "{} of nitrogen at once is more than {}; it burns and washes out",
            u.say(Quantity::Dose, n),
            u.say(Quantity::Dose, most)
        );
        let source =
            "University of Illinois lawn figures: at most 1 lb N/1000 sq ft at once; up to 2 when coated (from memory)";
        book.say(Level::Stop, "rate", message, source, None);
    } else if slow && n > NITROGEN_ONCE_G_M2 * 1.001 {
        let message = format!(
            "{} of nitrogen at once, though slow, is more than most laws and lawns want",
            u.say(Quantity::Dose, n)
        );
        book.say(Level::Caution, "rate", message, "Virginia lawn nitrogen table: 0.9 lb N/1000 sq ft a month", None);
    }
    let hot = book.work.air_c.unwrap_or_else(|| sky(book).high_c);
    let cool = |key: &String| {
        let grass = book.scene.yard.area(key).and_then(|a| a.grass.as_deref());
        grass.and_then(|g| book.scene.almanac.grass(g)).is_some_and(|g| g.season == Season::Cool)
    };
    if quick > 1.0 && hot > HOT_C && !slow && book.work.areas.iter().any(cool) {
        let message = format!("{}: no quick nitrogen on cool-season grass in heat", u.say(Quantity::Temperature, hot));
        book.say(Level::Caution, "heat", message, "common practice: above 85 °F", None);
    }
    if product.p2o5_pct > 0.0 {
        for key in book.work.areas.clone() {
            phosphate(book, &key);
        }
    }
}

/// Phosphate belongs to new stands and to ground that a soil test found short of it; several states forbid it elsewhere.
fn phosphate(book: &mut Book<'_>, key: &str) {
    let (scene, on) = (book.scene, book.on);
    let near = |day: jiff::civil::Date| Yard::days_between(on, day).abs() <= ESTABLISHING_DAYS;
    // New grass on a corner does not free the whole lawn.
    let here = |area: &str, day| scene.yard.share_of(key, area, day) >= GOOD_PART;
    let sown = scene.yard.seedings.iter().any(|s| near(s.on) && here(&s.fact.area, s.on));
    let to_sow =
        scene.yard.plans.iter().any(|p| matches!(&p.fact.work, Work::Sow(s) if near(p.on) && here(&s.area, p.on)));
    let Some(area) = scene.yard.area(key).filter(|a| a.cover == Cover::Turf && !sown && !to_sow) else { return };
    match wants_phosphate(scene.yard, scene.almanac, area, on) {
        Some(true) => return,
        Some(false) => {
            let message = format!("{}: your soil test shows phosphorus enough", area.name);
            let rule = scene.yard.local_rules.as_ref().filter(|r| r.phosphate == PhosphateRule::TestOrSeed);
            let level = if rule.is_some() { Level::Stop } else { Level::Caution };
            book.say(level, "phosphate", message, "your soil test, read by the tables of its method", None);
            return;
        }
        None => {}
    }
    if let Some(rules) = scene.yard.local_rules.as_ref().filter(|r| r.phosphate == PhosphateRule::TestOrSeed) {
        let message = format!(
            "{}: phosphate only where a soil test of the last three years shows need, or for new grass",
            area.name
        );
        let source =
            format!("the local rule you entered{}{}", if rules.source.is_empty() { "" } else { ": " }, rules.source);
        book.say(Level::Stop, "phosphate", message, source, None);
        return;
    }
    let message = format!("{}: phosphate on a grown lawn only where a soil test found too little", area.name);
    let source = "Minnesota Phosphorus Lawn Fertilizer Law and Michigan P.A. 299 (state departments' summaries); local law governs";
    book.say(Level::Caution, "phosphate", message, source, None);
}

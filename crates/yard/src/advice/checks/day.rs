//! Rules that look at the day: wind, heat, cold, rain, washing in, bloom, frozen ground.

use almanac::Active;

use super::book::{Book, label, typical};
use super::{Level, NITROGEN_ONCE_G_M2};
use crate::entry::{Applied, Form, ProductFacts};
use crate::units::Quantity;

/// Wind above which spraying stops: 10 mph, 4.5 m/s (common practice; Pesticide Environmental Stewardship, "Evaluate the
/// Weather", gives 3–8 mph as the good range).
const WIND_STOP_MS: f64 = 4.5;
/// Wind above which granules stop: 15 mph (common practice).
const WIND_STOP_GRANULE_MS: f64 = 6.7;
/// Wind outside which spraying wants care: 3–8 mph (Pesticide Environmental Stewardship).
const WIND_GOOD_MS: (f64, f64) = (1.3, 3.6);
pub(super) fn weather_on_the_day(book: &mut Book<'_>, active: &Active, product: &ProductFacts, work: &Applied) {
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

pub(super) fn nitrogen(book: &mut Book<'_>, product: &ProductFacts, work: &Applied) {
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

//! What the yard tells of a plant before it is looked at: the winter, frost on new growth, dry and wet weeks, and what lies on its ground.

use almanac::plant::PlantCause;
use jiff::{Span, civil::Date};

use super::plants::PlantPlace;
use super::{Conditions, Told, conditions_of};
use crate::advice::Scene;
use crate::entry::AreaFacts;
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::Day;

/// Degree days over 5 °C since New Year from which buds count as broken (°C·d); common practice.
const GROWING_C_D: f64 = 100.0;
const GROWING_BASE_C: f64 = 5.0;
/// A night that hurts new growth (°C): 28 °F, recalled.
const HARD_FROST_C: f64 = -2.2;
/// Days its marks are told by; common practice.
const FROST_DAYS: i64 = 45;
/// Coldest night of a winter that burns evergreens, and one that does not (°C): the floors of hardiness zones 5 and 8; judgement.
const BITTER_C: f64 = -26.0;
const GENTLE_C: f64 = -9.0;
/// Days looked back over for a dry spell, and what the air could take beyond the rain that makes one or rules one out (mm); judgement.
const SPELL_DAYS: i64 = 60;
const PARCHED_MM: f64 = 250.0;
const QUENCHED_MM: f64 = 60.0;
/// Days looked back over for a wet spell, and its rain (mm); judgement.
const SOAK_DAYS: i64 = 30;
const SOAKED_MM: f64 = 130.0;
const DRY_MM: f64 = 25.0;

/// Years after which a plant has stood long, as the finding tells it.
const FEW_YEARS: f64 = 5.0;
const DAYS_IN_YEAR: f64 = 365.25;

/// Causes each of these raises.
const BY_SPELL: [&str; 2] = ["drought", "transplant-shock"];
const BY_SOAK: [&str; 5] = ["too-wet", "phytophthora", "boxwood-blight", "tip-blight", "volutella"];

/// The place of a plant of this key, on an area where it is known on which it stands, and the same in words.
pub fn plant_place(scene: &Scene<'_>, plant: &str, area: Option<&AreaFacts>) -> (PlantPlace, Vec<Told>) {
    let mut told = Vec::new();
    let last = scene.yesterday();
    let run = |days: i64| scene.weather.run(last.checked_sub(Span::new().days(days - 1)).unwrap_or(last), last);
    let south = scene.weather.place().latitude_deg < 0.0;
    let month = scene.on.month().unsigned_abs();
    let month = if south { (month + 5) % 12 + 1 } else { month };
    told.push(Told { what: scene.on.strftime("%B").to_string(), from: "the day" });
    let mut place = PlantPlace { plant: Some(plant.to_owned()), month: Some(month), ..PlantPlace::default() };
    if let Some(area) = area {
        // The lawn's own conditions say nothing of a shrub; no plant's cause is raised by them.
        let known = Conditions { grass: None, season: Default::default(), ..conditions_of(scene, area) };
        place.holds = known.holds().unwrap_or_default();
        told.extend(super::told(scene, area, &known).into_iter().filter(|t| t.from != "the day"));
        let planted = scene
            .yard
            .plantings
            .iter()
            .rev()
            .find(|p| p.fact.area == area.key && p.fact.plant == plant && p.fact.count > 0 && p.on <= scene.on);
        if let Some(p) = planted {
            let years = Yard::days_between(p.on, scene.on) as f64 / DAYS_IN_YEAR;
            place.stood = Some(if years <= 1.0 {
                "year"
            } else if years <= FEW_YEARS {
                "few"
            } else {
                "long"
            });
            told.push(Told { what: format!("planted {years:.1} years ago"), from: "the daybook" });
        }
    }
    let units = scene.units();
    let degrees = |c: f64| units.say(Quantity::Temperature, c);
    let depth = |mm: f64| units.say(Quantity::Depth, mm);

    let winter = winter_low(scene);
    if let Some(low) = winter {
        told.push(Told { what: format!("the coldest night of the last winter {}", degrees(low)), from: "the weather" });
        let factor = if low <= BITTER_C {
            1.5
        } else if low >= GENTLE_C {
            0.4
        } else {
            1.0
        };
        place.weather.insert("winter-burn".to_owned(), factor);
    }
    let frost = late_frost(scene);
    place.weather.insert("late-frost".to_owned(), if frost.is_some() { 3.0 } else { 0.15 });
    if let Some((on, low)) = frost {
        let what = format!("a frost of {} on {} after growth had begun", degrees(low), on.strftime("%-d %B"));
        told.push(Told { what, from: "the weather" });
    }
    let spell = run(SPELL_DAYS);
    let short: f64 = spell.iter().map(|d| d.et0_mm - d.rain_mm).sum();
    if short >= PARCHED_MM {
        told.push(Told {
            what: format!("{} less rain than the air could take in sixty days", depth(short)),
            from: "the weather",
        });
    }
    let by_spell = if short >= PARCHED_MM {
        2.0
    } else if short <= QUENCHED_MM {
        0.35
    } else {
        1.0
    };
    place.weather.extend(BY_SPELL.map(|c| (c.to_owned(), by_spell)));
    let rain: f64 = run(SOAK_DAYS).iter().map(|d| d.rain_mm).sum();
    if rain >= SOAKED_MM {
        told.push(Told { what: format!("{} of rain in thirty days", depth(rain)), from: "the weather" });
    }
    let by_soak = if rain >= SOAKED_MM {
        1.7
    } else if rain <= DRY_MM {
        0.6
    } else {
        1.0
    };
    place.weather.extend(BY_SOAK.map(|c| (c.to_owned(), by_soak)));
    (place, told)
}

/// Coldest night of the winter that ended last, or is on (°C).
fn winter_low(scene: &Scene<'_>) -> Option<f64> {
    let start = scene.season_start(11, 1);
    let end = start.checked_add(Span::new().days(150)).ok()?.min(scene.yesterday());
    let nights = if start <= end { scene.weather.run(start, end) } else { Vec::new() };
    nights.iter().map(|d| d.tmin_c).reduce(f64::min)
}

/// The last hard frost on growth that had begun, of the weeks its marks are told by.
fn late_frost(scene: &Scene<'_>) -> Option<(Date, f64)> {
    let start = scene.season_start(1, 1);
    let end = scene.yesterday();
    let days: Vec<Day> = if start <= end { scene.weather.run(start, end) } else { Vec::new() };
    let mut warmth = 0.0;
    let mut out = None;
    for d in &days {
        // Autumn's frosts fall on hardened wood.
        let spring = Yard::days_between(start, d.date) < 181;
        if spring
            && warmth >= GROWING_C_D
            && d.tmin_c <= HARD_FROST_C
            && Yard::days_between(d.date, scene.on) <= FROST_DAYS
        {
            out = Some((d.date, d.tmin_c));
        }
        warmth += (d.tmean_c() - GROWING_BASE_C).max(0.0);
    }
    out
}

/// What season and place say for a cause, each with its factor.
pub fn plant_season(place: &PlantPlace, cause: &PlantCause) -> Vec<(&'static str, f64)> {
    let mut out = Vec::new();
    if let Some(m) = place.month {
        out.push(("the month, against its peak", cause.months[usize::from(m.clamp(1, 12)) - 1]));
    }
    if let Some(factor) = place.weather.get(&cause.id).filter(|f| **f != 1.0) {
        out.push(("the weather behind", *factor));
    }
    let raised: f64 = place.holds.iter().filter_map(|c| cause.raises.get(c)).product();
    if raised != 1.0 {
        out.push(("the place", raised));
    }
    out
}

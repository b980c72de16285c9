//! Soil water: the root-zone balance of each area to the evening before, and when it will run dry.
//!
//! Not modelled: runoff of heavy rain and water rising from below; both matter little in a root zone of a few centimetres of
//! water. A watering counts by what reaches the drier half of the ground: minutes times rate, divided by the run-time multiplier.

use almanac::{Season, Texture};
use jiff::{Span, civil::Date};
use reckon::root_zone::{FractionRule, Inflow, RootZone, StressFrom};
use reckon::soil_water::soil_water_saxton_rawls_2006;
use reckon::units::{Fraction, Metres, Millimetres, MillimetresPerMetre, Percent};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::Scene;
use super::delivery::{counted_depth, on_weekday};
use crate::entry::{AreaFacts, Cover, Sowing, ZoneFacts};
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::{Day, Outlook};

/// Days the balance looks back when nothing tells the soil's state: a winter's rain or a season's watering fills a root zone.
const LOOK_BACK_DAYS: i64 = 200;
/// Days of history kept for drawing.
const HISTORY_DAYS: usize = 60;
/// Below this mean air temperature over ten days a grass is taken as at rest (turf table of growth temperatures: cool-season
/// shoots stop under 4 °C; warm-season turf browns under a mean of 10 °C).
const REST_C: (f64, f64) = (4.0, 10.0);
/// Crop coefficient of turf at rest (common practice: 0.3–0.4).
const KC_REST: f64 = 0.35;
/// Share of reference evapotranspiration an established bed or hedge uses (from memory: conifer hedge 0.5, WUCOLS moderate 0.4–0.6).
const KC_PLANTS: f64 = 0.5;
/// Root depth of beds and hedges (common practice: shrubs are wetted 8–12 in deep).
const ROOT_PLANTS_M: f64 = 0.30;
/// Depletion fraction of shrubs (common practice: 50–60 %).
const P_PLANTS: f64 = 0.5;
/// Depth seedlings root to at first, and days until the stand roots to its full depth (common practice: six to eight weeks).
const ROOT_SEEDLING_M: f64 = 0.02;
const ROOTING_DAYS: i64 = 56;
/// Rain below this share of ET0 wets only leaves (FAO-56 p. 170, from memory).
const LEAF_RAIN: f64 = 0.2;

/// One day of an area's balance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AreaDay {
    /// Day.
    pub date: Date,
    /// Depletion at its end (mm).
    pub depletion_mm: f64,
    /// Depletion at which stress begins (mm).
    pub raw_mm: f64,
    /// Rain counted (mm).
    pub rain_mm: f64,
    /// Watering counted (mm).
    pub irrigation_mm: f64,
    /// Water used (mm).
    pub eta_mm: f64,
    /// Water lost below the roots (mm).
    pub drainage_mm: f64,
}

/// Soil water of an area at the end of yesterday.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AreaWater {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Water the root zone holds for plants (mm).
    pub taw_mm: f64,
    /// Depletion at which stress begins, on a day like the last week's (mm).
    pub raw_mm: f64,
    /// Depletion, what was put on or felt today counted (mm).
    pub depletion_mm: f64,
    /// Water put on today so far, and what the controller's programme puts on today (mm).
    pub today_mm: f64,
    /// Nothing was ever written down of this soil or its watering: the figure is a guess.
    pub guessed: bool,
    /// Crop coefficient in force.
    pub kc: f64,
    /// Grass at rest with cold.
    pub resting: bool,
    /// The last days, oldest first.
    pub history: Vec<AreaDay>,
    /// The computation.
    pub working: Vec<Step>,
    /// What was assumed.
    pub assumed: Vec<String>,
    #[serde(skip)]
    pub(super) root_zone: RootZone,
    #[serde(skip)]
    plant: Plant,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Plant {
    Turf(Season),
    Shrubs,
}

impl AreaWater {
    /// Share of the plant-available water still there.
    pub fn left(&self) -> f64 {
        if self.taw_mm > 0.0 { (1.0 - self.depletion_mm / self.taw_mm).clamp(0.0, 1.0) } else { 0.0 }
    }
}

/// The root zone of an area: texture, roots, plant.
pub(super) fn root_zone_of(scene: &Scene<'_>, area: &AreaFacts) -> Option<(RootZone, Plant, Vec<Step>, Vec<String>)> {
    let texture: &Texture = scene.almanac.texture(&area.soil)?;
    let soil = soil_water_saxton_rawls_2006(
        Percent::new(texture.sand_pct),
        Percent::new(texture.clay_pct),
        Percent::new(texture.organic_matter_pct),
    )
    .ok()?;
    let mut assumed = Vec::new();
    // The low end of the usual range: a mown home lawn roots shallower than a trial plot (common practice).
    let (plant, usual_root, p) = match (area.cover, area.grass.as_deref().and_then(|g| scene.almanac.grass(g))) {
        (Cover::Turf, Some(grass)) => (Plant::Turf(grass.season), grass.root_m.low, grass.depletion_fraction),
        (Cover::Turf, None) | (Cover::Hard, _) => return None,
        (Cover::Bed | Cover::Hedge, _) => (Plant::Shrubs, ROOT_PLANTS_M, P_PLANTS),
    };
    let u = scene.units();
    let grown = area.root_m.unwrap_or(usual_root);
    let young = scene
        .yard
        .last_seeding(&area.key, scene.on)
        .filter(|s| s.fact.sowing == Sowing::Bare)
        .map(|s| Yard::days_between(s.on, scene.on))
        .filter(|days| *days < ROOTING_DAYS);
    let root = young.map_or(grown, |days| {
        ROOT_SEEDLING_M.min(grown) + (grown - ROOT_SEEDLING_M).max(0.0) * days as f64 / ROOTING_DAYS as f64
    });
    let root_value = Value::number("Zr", root, "m");
    let root_value = if let Some(days) = young {
        root_value.from(format!("sown {days} days ago: roots reach full depth in eight weeks (common practice)"))
    } else if area.root_m.is_some() {
        root_value.from("measured on a plug")
    } else {
        assumed.push(format!(
            "{}: roots {} deep (usual for it); cut a plug and measure them",
            area.name,
            u.say(Quantity::Depth, root * 1000.0)
        ));
        root_value.assumed("almanac; cut a plug and measure the roots")
    };
    let zone = RootZone::new(
        MillimetresPerMetre::new(soil.available.get()),
        Metres::new(root),
        Fraction::new(p),
        FractionRule::AdjustedByEtc,
        StressFrom::AfterInflow,
    )
    .ok()?;
    let working = vec![
        Step::new(
            "water the soil holds",
            "field capacity − wilting point, from texture (Saxton & Rawls 2006)",
            vec![
                Value::number("sand", texture.sand_pct, "%").from(format!("{}, almanac", texture.name)),
                Value::number("clay", texture.clay_pct, "%").from(format!("{}, almanac", texture.name)),
                Value::number("organic matter", texture.organic_matter_pct, "%").assumed("a soil test would tell"),
            ],
            Value::number("available", soil.available.get(), "mm/m"),
        ),
        Step::new(
            "total available water",
            "TAW = available × Zr (FAO-56 eq. 82)",
            vec![Value::number("available", soil.available.get(), "mm/m"), root_value],
            Value::number("TAW", zone.taw().get(), "mm"),
        ),
    ];
    Some((zone, plant, working, assumed))
}

fn season_month(scene: &Scene<'_>, date: Date) -> usize {
    let month = usize::from(date.month().unsigned_abs()) - 1;
    if scene.weather.place().latitude_deg < 0.0 { (month + 6) % 12 } else { month }
}

/// Crop coefficient on a day, given the mean air temperature of the ten days to it; and whether the plants are at rest.
pub(super) fn crop_coefficient(scene: &Scene<'_>, plant: Plant, date: Date, mean10_c: f64) -> (f64, bool) {
    match plant {
        Plant::Shrubs => (KC_PLANTS, mean10_c < REST_C.0),
        Plant::Turf(season) => {
            let rest = match season {
                Season::Cool => REST_C.0,
                Season::Warm => REST_C.1,
            };
            if mean10_c < rest {
                (KC_REST, true)
            } else {
                (scene.almanac.crop_coefficient(season).kc[season_month(scene, date)], false)
            }
        }
    }
}

/// Crop coefficient of an area's plants on a day, growing.
pub(super) fn demand_coefficient(scene: &Scene<'_>, area: &AreaWater, date: Date) -> f64 {
    crop_coefficient(scene, area.plant, date, f64::INFINITY).0
}

/// Rain of a day of the outlook that reaches the soil.
pub(super) fn counted_rain(day: &Day) -> f64 {
    if day.rain_mm < LEAF_RAIN * day.et0_mm { 0.0 } else { day.rain_mm }
}

/// Rain of a day gone that reaches the soil, the yard's own gauge first; and whether it is an average.
pub(super) fn rain_of(scene: &Scene<'_>, day: &Day) -> (f64, bool) {
    let gauge = scene.yard.rain.get(&day.date).copied();
    let filled = gauge.is_none() && day.estimated.rain;
    let fell = gauge.unwrap_or(day.rain_mm);
    // A filled day's rain is an average, not a shower: it is not held back by the leaves.
    (if !filled && fell < LEAF_RAIN * day.et0_mm { 0.0 } else { fell }, filled)
}

/// Share of an area's ground that a zone waters, day after day: it changes only where an outline does.
struct ZoneShare<'s> {
    scene: &'s Scene<'s>,
    area: &'s str,
    zone: &'s ZoneFacts,
    /// The last share worked out, and the day before which it holds.
    held: Option<(f64, Option<Date>)>,
}

impl<'s> ZoneShare<'s> {
    fn new(scene: &'s Scene<'s>, area: &'s str, zone: &'s ZoneFacts) -> Self {
        Self { scene, area, zone, held: None }
    }

    /// The share on a day; the days asked for run forwards.
    fn on(&mut self, date: Date) -> f64 {
        if let Some((share, until)) = self.held
            && until.is_none_or(|u| date < u)
        {
            return share;
        }
        let yard = self.scene.yard;
        let share: f64 = self.zone.areas.iter().map(|a| yard.share_of(self.area, a, date)).sum();
        let next = yard.outlines.iter().map(|o| o.on).filter(|on| *on > date).min();
        self.held = Some((share.min(1.0), next));
        share.min(1.0)
    }
}

/// Irrigation counted on each day from `first`, as a mean over an area's ground.
pub(super) fn irrigation(scene: &Scene<'_>, area: &str, first: Date, length: usize) -> Vec<f64> {
    let mut depth = vec![0.0; length];
    let at = |date: Date| usize::try_from(Yard::days_between(first, date)).ok().filter(|i| *i < length);
    for zone in &scene.yard.zones_ever {
        let mut programmes = scene.yard.programmes.iter().filter(|p| p.fact.zone == zone.key).peekable();
        while let Some(programme) = programmes.next() {
            if programme.fact.minutes <= 0.0 {
                continue;
            }
            let counted = counted_depth(scene, zone, programme.fact.minutes);
            let mut share = ZoneShare::new(scene, area, zone);
            let until = programmes.peek().map(|next| next.on);
            let mut date = programme.on.max(first);
            while let Some(i) = at(date)
                && until.is_none_or(|end| date < end)
            {
                if on_weekday(&programme.fact.weekdays, date) {
                    depth[i] += share.on(date) * counted;
                }
                let Ok(next) = date.tomorrow() else { break };
                date = next;
            }
        }
    }
    for watering in &scene.yard.waterings {
        let Some(i) = at(watering.on) else { continue };
        match (&watering.fact.zone, watering.fact.minutes, &watering.fact.area, watering.fact.depth_mm) {
            (Some(z), Some(minutes), _, _) => {
                if let Some(zone) = scene.yard.zones_ever.iter().find(|x| &x.key == z) {
                    let share = ZoneShare::new(scene, area, zone).on(watering.on);
                    if share > 0.0 {
                        depth[i] += share * counted_depth(scene, zone, minutes);
                    }
                }
            }
            (_, _, Some(a), Some(mm)) => depth[i] += scene.yard.share_of(area, a, watering.on) * mm,
            _ => {}
        }
    }
    depth
}

/// The balance of every area that holds plants.
pub fn area_balances(scene: &Scene<'_>) -> Vec<AreaWater> {
    let yesterday = scene.yesterday();
    let longest = yesterday.checked_sub(Span::new().days(LOOK_BACK_DAYS - 1)).unwrap_or(yesterday);
    let before = longest.checked_sub(Span::new().days(10)).unwrap_or(longest);
    let days = scene.weather.run(before, yesterday);
    scene.yard.areas.iter().filter_map(|area| balance_of(scene, area, &days)).collect()
}

/// The means of ten days ending on each day.
pub(super) fn ten_day_means(days: &[Day]) -> Vec<f64> {
    let mut sum = 0.0;
    let mut out = Vec::with_capacity(days.len());
    for (i, day) in days.iter().enumerate() {
        sum += day.tmean_c();
        if i >= 10 {
            sum -= days[i - 10].tmean_c();
        }
        out.push(sum / (i + 1).min(10) as f64);
    }
    out
}

/// What the days of a balance add up to since the soil's state was last known.
#[derive(Clone, Copy, Default)]
struct Tally {
    days: usize,
    rain: f64,
    irrigation: f64,
    used: f64,
    drained: f64,
    averaged: usize,
}

fn balance_of(scene: &Scene<'_>, area: &AreaFacts, days: &[Day]) -> Option<AreaWater> {
    let (root_zone, plant, mut working, mut assumed) = root_zone_of(scene, area)?;
    let means = ten_day_means(days);
    let lead = days.len().saturating_sub(usize::try_from(LOOK_BACK_DAYS).unwrap_or(0));
    let first = days.get(lead)?.date;
    let taw = root_zone.taw().get();
    // One more than the days of the balance: the last is today.
    let given = irrigation(scene, &area.key, first, days.len() - lead + 1);
    let mut seen = scene.yard.soil_water.iter().filter(|s| s.fact.area == area.key && s.on >= first).peekable();
    let (mut start, mut origin, mut known) = (0.0, format!("assumed full on {first}"), false);
    let mut depletion = start;
    let mut tally = Tally::default();
    let mut history = Vec::with_capacity(HISTORY_DAYS);
    for i in lead..days.len() {
        let day = &days[i];
        let (kc, _) = crop_coefficient(scene, plant, day.date, means[i]);
        let (rain, filled) = rain_of(scene, day);
        let irrigation = given[i - lead];
        let inflow = Inflow {
            et0: Millimetres::new(day.et0_mm),
            kc,
            rain: Millimetres::new(rain),
            irrigation: Millimetres::new(irrigation),
            runoff: Millimetres::new(0.0),
        };
        let step = root_zone.step(Millimetres::new(depletion), &inflow);
        depletion = step.depletion.get();
        tally.days += 1;
        tally.rain += rain;
        tally.irrigation += irrigation;
        tally.used += step.eta.get();
        tally.drained += step.drainage.get();
        tally.averaged += usize::from(filled || day.estimated.temperature);
        // What a hand felt in the soil goes before what was reckoned.
        while let Some(told) = seen.next_if(|s| s.on <= day.date) {
            depletion = taw * told.fact.depleted;
            (start, origin, known) = (depletion, format!("soil felt or measured on {}", told.on), true);
            tally = Tally::default();
        }
        if days.len() - i <= HISTORY_DAYS {
            history.push(AreaDay {
                date: day.date,
                depletion_mm: depletion,
                raw_mm: step.raw.get(),
                rain_mm: rain,
                irrigation_mm: irrigation,
                eta_mm: step.eta.get(),
                drainage_mm: step.drainage.get(),
            });
        }
    }
    let ever_watered = given.iter().any(|mm| *mm > 0.0);
    let evening = depletion;
    let today_mm = given.last().copied().unwrap_or(0.0);
    let today_rain = scene.yard.rain.get(&scene.on).copied().unwrap_or(0.0);
    depletion = (depletion - today_mm - today_rain).max(0.0);
    if let Some(told) = seen.rfind(|s| s.on == scene.on) {
        depletion = taw * told.fact.depleted;
        known = true;
    }
    let guessed = !known && !ever_watered;
    if guessed {
        // Half of what may be used before stress: neither soaked nor dry. Better than either, and said to be a guess.
        depletion = (depletion.min(taw * root_zone.depletion_fraction().get())) / 2.0;
        assumed.push(format!(
            "{}: soil half used, since nothing was ever written down of it; feel it at root depth and log it",
            area.name
        ));
    } else if !known {
        assumed.push(format!(
            "{}: soil full on {first} (nothing recorded since); feel the soil at root depth and log it",
            area.name
        ));
    }
    if tally.averaged > 0 {
        assumed.push(format!("{} days of weather in the balance are averages, not readings", tally.averaged));
    }
    if plant == Plant::Shrubs {
        assumed.push(format!(
            "{}: plants use {KC_PLANTS} of reference evapotranspiration (usual for established shrubs)",
            area.name
        ));
    }
    let (kc, resting) = crop_coefficient(scene, plant, scene.on, *means.last()?);
    let week: Vec<&Day> = days.iter().rev().take(7).collect();
    let etc = kc * week.iter().map(|d| d.et0_mm).sum::<f64>() / week.len() as f64;
    let raw = root_zone.raw(Millimetres::new(etc)).get();
    let kc_value = match plant {
        Plant::Shrubs => Value::number("Kc", kc, "").assumed("usual for established shrubs"),
        Plant::Turf(_) if resting => Value::number("Kc", kc, "").from("grass at rest with cold, common practice"),
        Plant::Turf(season) => Value::number("Kc", kc, "").from(scene.almanac.crop_coefficient(season).source.clone()),
    };
    working.push(Step::new(
        "balance to the end of yesterday",
        "depletion = start − rain − watering + use + drainage, day by day (FAO-56 eq. 85–88, stress after the day's water)",
        vec![
            Value::number("start", start, "mm").from(origin),
            Value::number("days", tally.days as f64, ""),
            Value::number("rain", tally.rain, "mm").from(scene.weather.basis().origin()),
            Value::number("watering", tally.irrigation, "mm").from("daybook and programme"),
            Value::number("use", tally.used, "mm").from("Ks × Kc × ET0 (FAO-56)"),
            Value::number("drainage", tally.drained, "mm"),
            kc_value,
        ],
        Value::number("depletion", evening, "mm"),
    ));
    if guessed {
        working.push(Step::new(
            "a guess until the soil is felt",
            "half of what may be used before stress, since nothing is written down of this soil or its watering",
            vec![
                Value::number("reckoned from a full soil", evening, "mm")
                    .assumed("feel the soil at root depth and log it"),
            ],
            Value::number("depletion", depletion, "mm"),
        ));
    } else if (depletion - evening).abs() > 1e-9 {
        working.push(Step::new(
            "today so far",
            "yesterday's depletion − today's watering and programme − today's gauge, or what was felt today",
            vec![
                Value::number("yesterday", evening, "mm"),
                Value::number("watering", today_mm, "mm").from("daybook and programme"),
                Value::number("rain", today_rain, "mm").from("your gauge"),
            ],
            Value::number("depletion", depletion, "mm"),
        ));
    }
    working.push(Step::new(
        "depletion at which stress begins",
        "RAW = p × TAW, p moved by the day's use (FAO-56 eq. 83, Table 22 note)",
        vec![
            Value::number("p", root_zone.depletion_fraction().get(), "").from("almanac, from memory for most grasses"),
            Value::number("ETc", etc, "mm").from("mean of the last seven days"),
            Value::number("TAW", taw, "mm"),
        ],
        Value::number("RAW", raw, "mm"),
    ));
    Some(AreaWater {
        key: area.key.clone(),
        name: area.name.clone(),
        taw_mm: taw,
        raw_mm: raw,
        depletion_mm: depletion,
        today_mm,
        guessed,
        kc,
        resting,
        history,
        working,
        assumed,
        root_zone,
        plant,
    })
}

/// Days until the first day under stress in each year of the outlook, if nothing is put on: 0 = today. `None` where it stays moist
/// for 60 days.
pub(super) fn days_to_stress(scene: &Scene<'_>, area: &AreaWater, outlook: &Outlook<'_>) -> Vec<Option<i64>> {
    let zone = area.root_zone;
    outlook
        .years
        .iter()
        .map(|year| {
            let mut depletion = area.depletion_mm;
            let mut mean10 = year.iter().take(10).map(Day::tmean_c).sum::<f64>() / 10.0;
            for (i, day) in year.iter().take(60).enumerate() {
                mean10 += (day.tmean_c() - mean10) / 10.0;
                let date = scene.on.checked_add(Span::new().days(i as i64)).unwrap_or(scene.on);
                let (kc, _) = crop_coefficient(scene, area.plant, date, mean10);
                let step = zone.step(
                    Millimetres::new(depletion),
                    &Inflow {
                        et0: Millimetres::new(day.et0_mm),
                        kc,
                        rain: Millimetres::new(counted_rain(day)),
                        ..Inflow::default()
                    },
                );
                depletion = step.depletion.get();
                if step.ks < 1.0 {
                    return Some(i as i64);
                }
            }
            None
        })
        .collect()
}

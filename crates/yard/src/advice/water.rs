//! Water: the root-zone balance of each area, and what each zone must run.
//!
//! Not modelled: runoff of heavy rain and water rising from below; both matter little in a root zone of a few centimetres of
//! water. A watering counts by what reaches the drier half of the ground: minutes times rate, divided by the run-time multiplier.

use almanac::{Season, Texture};
use jiff::{Span, civil::Date};
use reckon::root_zone::{FractionRule, Inflow, RootZone, StressFrom};
use reckon::run_time::{RunTimeInput, Scheduling, run_time_multiplier, run_time_working, zone_run_time};
use reckon::soil_water::soil_water_saxton_rawls_2006;
use reckon::sprinkler::{Ground, sprinkler_rate};
use reckon::units::{
    Fraction, LitresPerMinute, Metres, Millimetres, MillimetresPerHour, MillimetresPerMetre, Percent, SquareMetres,
};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::water_day::WaterDay;
use super::{Item, Job, Scene, Urgency, Where, Window, urgency_of, window_of};
use crate::entry::{AreaFacts, Cover, Parity, WaterRules, ZoneFacts};
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
/// Rain below this share of ET0 wets only leaves (FAO-56 p. 170, from memory).
const LEAF_RAIN: f64 = 0.2;
/// Least watering worth starting a zone for (mm).
const LEAST_RUN_MM: f64 = 3.0;
/// Days new seed is watered by its own rules before the balance takes over (common practice: six weeks).
pub const SEED_WATER_DAYS: i64 = 42;

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
    /// Depletion (mm).
    pub depletion_mm: f64,
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
    root_zone: RootZone,
    #[serde(skip)]
    plant: Plant,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Plant {
    Turf(Season),
    Shrubs,
}

impl AreaWater {
    /// Share of the plant-available water still there.
    pub fn left(&self) -> f64 {
        if self.taw_mm > 0.0 { (1.0 - self.depletion_mm / self.taw_mm).clamp(0.0, 1.0) } else { 0.0 }
    }
}

/// Where a zone stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ZoneState {
    /// Run it today.
    RunToday,
    /// Wet new seed today.
    SeedToday,
    /// Not yet.
    Wait,
    /// Grass at rest, nothing due.
    Rest,
    /// It cannot be told (no area, no soil row).
    Unknown,
}

/// What a zone must run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneWater {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Areas it waters.
    pub areas: Vec<Where>,
    /// Where it stands.
    pub state: ZoneState,
    /// Rate (mm/h).
    pub rate_mm_h: f64,
    /// Low-quarter uniformity (0..1).
    pub du_lq: f64,
    /// The thirstiest area.
    pub governing: Option<Where>,
    /// Depth to put back (mm); for seed, the depth of one wetting.
    pub need_mm: f64,
    /// Depletion of the thirstiest area as a share of the depletion at which stress begins.
    pub dryness: f64,
    /// Minutes in all (for seed: of one wetting).
    pub minutes: f64,
    /// Cycles of the run.
    pub cycles: u32,
    /// Minutes of one cycle.
    pub minutes_per_cycle: f64,
    /// Least minutes between two cycles.
    pub soak_minutes: f64,
    /// Runs a day (new seed: several).
    pub runs_a_day: u32,
    /// Water for one run (L).
    pub litres: f64,
    /// The day to run it.
    pub water_on: Option<Date>,
    /// When the soil reaches the stress point if nothing is done.
    pub window: Option<Window>,
    /// Why.
    pub why: String,
    /// Something the watering rules make worse.
    pub caution: Option<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
}

/// The root zone of an area: texture, roots, plant.
fn root_zone_of(scene: &Scene<'_>, area: &AreaFacts) -> Option<(RootZone, Plant, Vec<Step>, Vec<String>)> {
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
    let root = area.root_m.unwrap_or(usual_root);
    let root_value = Value::number("Zr", root, "m");
    let root_value = if area.root_m.is_some() {
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

/// Crop coefficient on a day, given the mean air temperature of the ten days to it.
fn crop_coefficient(scene: &Scene<'_>, plant: Plant, date: Date, mean10_c: f64) -> (f64, bool) {
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

/// The rate of a zone and where it comes from.
pub fn zone_rate(scene: &Scene<'_>, zone: &ZoneFacts) -> Option<(MillimetresPerHour, Value)> {
    let symbol = "mm/h";
    if let Some(rate) = zone.rate_mm_h {
        let value = Value::number("rate", rate, symbol).from("measured on this zone");
        return Some((MillimetresPerHour::new(rate), value));
    }
    let size: f64 = zone.areas.iter().filter_map(|a| scene.yard.area(a)).map(|a| a.size_m2).sum();
    if let Some(flow) = zone.flow_lpm
        && let Ok(rate) = sprinkler_rate(LitresPerMinute::new(flow), Ground::Area(SquareMetres::new(size)))
    {
        let value =
            Value::number("rate", rate.get(), symbol).from("the zone's flow over its ground; cans would tell better");
        return Some((rate, value));
    }
    let kind = scene.almanac.sprinkler(&zone.sprinkler)?;
    let rate = kind.rate_mm_h.middle();
    let value = Value::number("rate", rate, symbol)
        .assumed(format!("usual for {}; set out cans and measure this zone", kind.name));
    Some((MillimetresPerHour::new(rate), value))
}

fn zone_uniformity(scene: &Scene<'_>, zone: &ZoneFacts) -> (f64, bool) {
    match zone.du_lq {
        Some(du) => (du, false),
        None => (scene.almanac.sprinkler(&zone.sprinkler).map_or(0.6, |k| k.du_lq), true),
    }
}

/// Depth that counts when a zone runs so many minutes.
fn counted_depth(scene: &Scene<'_>, zone: &ZoneFacts, minutes: f64) -> f64 {
    let Some((rate, _)) = zone_rate(scene, zone) else { return 0.0 };
    let (du, _) = zone_uniformity(scene, zone);
    let multiplier = run_time_multiplier(Fraction::new(du), Scheduling::LowHalf).unwrap_or(1.0);
    rate.get() * minutes / 60.0 / multiplier
}

/// Whether a weekday (Monday = 1) is in a list; an empty list is every day.
fn on_weekday(list: &[i8], date: Date) -> bool {
    list.is_empty() || list.contains(&date.weekday().to_monday_one_offset())
}

/// Irrigation counted on each day from `first`, for an area.
fn irrigation(scene: &Scene<'_>, area: &str, first: Date, length: usize) -> Vec<f64> {
    let mut depth = vec![0.0; length];
    let at = |date: Date| usize::try_from(Yard::days_between(first, date)).ok().filter(|i| *i < length);
    for zone in scene.yard.zones_of(area) {
        let mut programmes = scene.yard.programmes.iter().filter(|p| p.fact.zone == zone.key).peekable();
        while let Some(programme) = programmes.next() {
            if programme.fact.minutes <= 0.0 {
                continue;
            }
            let counted = counted_depth(scene, zone, programme.fact.minutes);
            let until = programmes.peek().map(|next| next.on);
            let mut date = programme.on.max(first);
            while let Some(i) = at(date)
                && until.is_none_or(|end| date < end)
            {
                if on_weekday(&programme.fact.weekdays, date) {
                    depth[i] += counted;
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
                if let Some(zone) = scene.yard.zone(z)
                    && zone.areas.iter().any(|a| a == area)
                {
                    depth[i] += counted_depth(scene, zone, minutes);
                }
            }
            (_, _, Some(a), Some(mm)) if a == area => depth[i] += mm,
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
fn ten_day_means(days: &[Day]) -> Vec<f64> {
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

fn balance_of(scene: &Scene<'_>, area: &AreaFacts, days: &[Day]) -> Option<AreaWater> {
    let (root_zone, plant, mut working, mut assumed) = root_zone_of(scene, area)?;
    let last = days.last()?;
    let means = ten_day_means(days);
    let lead = days.len().saturating_sub(usize::try_from(LOOK_BACK_DAYS).unwrap_or(0));
    let seen = scene
        .yard
        .soil_water
        .iter()
        .rev()
        .find(|s| s.fact.area == area.key && s.on <= last.date && s.on >= days[lead].date);
    let taw = root_zone.taw().get();
    let (mut depletion, start, origin) = match seen {
        Some(s) => {
            let i = lead + usize::try_from(Yard::days_between(days[lead].date, s.on)).unwrap_or(0) + 1;
            (taw * s.fact.depleted, i, format!("soil felt or measured on {}", s.on))
        }
        None => {
            assumed.push(format!(
                "{}: soil full on {} (nothing recorded since); feel the soil at root depth and log it",
                area.name, days[lead].date
            ));
            (0.0, lead, format!("assumed full on {}", days[lead].date))
        }
    };
    let given = irrigation(scene, &area.key, days[lead].date, days.len() - lead);
    let start_depletion = depletion;
    let mut history = Vec::with_capacity(HISTORY_DAYS);
    let (mut rain_sum, mut irrigation_sum, mut eta_sum, mut drainage_sum) = (0.0, 0.0, 0.0, 0.0);
    let mut estimated_days = 0usize;
    for i in start..days.len() {
        let day = &days[i];
        let (kc, _) = crop_coefficient(scene, plant, day.date, means[i]);
        let gauge = scene.yard.rain.get(&day.date).copied();
        let fell = gauge.unwrap_or(day.rain_mm);
        let filled = gauge.is_none() && day.estimated.rain;
        estimated_days += usize::from(filled || day.estimated.temperature);
        // A filled day's rain is an average, not a shower: it is not held back by the leaves.
        let rain = if !filled && fell < LEAF_RAIN * day.et0_mm { 0.0 } else { fell };
        let inflow = Inflow {
            et0: Millimetres::new(day.et0_mm),
            kc,
            rain: Millimetres::new(rain),
            irrigation: Millimetres::new(given[i - lead]),
            runoff: Millimetres::new(0.0),
        };
        let step = root_zone.step(Millimetres::new(depletion), &inflow);
        depletion = step.depletion.get();
        rain_sum += rain;
        irrigation_sum += given[i - lead];
        eta_sum += step.eta.get();
        drainage_sum += step.drainage.get();
        if days.len() - i <= HISTORY_DAYS {
            history.push(AreaDay {
                date: day.date,
                depletion_mm: depletion,
                raw_mm: step.raw.get(),
                rain_mm: rain,
                irrigation_mm: given[i - lead],
                eta_mm: step.eta.get(),
                drainage_mm: step.drainage.get(),
            });
        }
    }
    let (kc, resting) = crop_coefficient(scene, plant, scene.on, *means.last()?);
    let week: Vec<&Day> = days.iter().rev().take(7).collect();
    let et0_week = week.iter().map(|d| d.et0_mm).sum::<f64>() / week.len() as f64;
    let raw = root_zone.raw(Millimetres::new(kc * et0_week)).get();
    if estimated_days > 0 {
        assumed.push(format!("{estimated_days} days of weather in the balance are averages, not readings"));
    }
    if plant == Plant::Shrubs {
        assumed.push(format!(
            "{}: plants use {KC_PLANTS} of reference evapotranspiration (usual for established shrubs)",
            area.name
        ));
    }
    let kc_value = match plant {
        Plant::Shrubs => Value::number("Kc", kc, "").assumed("usual for established shrubs"),
        Plant::Turf(_) if resting => Value::number("Kc", kc, "").from("grass at rest with cold, common practice"),
        Plant::Turf(season) => Value::number("Kc", kc, "").from(scene.almanac.crop_coefficient(season).source.clone()),
    };
    working.push(Step::new(
        "balance to the end of yesterday",
        "depletion = start − rain − watering + use + drainage, day by day (FAO-56 eq. 85–88, stress after the day's water)",
        vec![
            Value::number("start", start_depletion, "mm").from(origin),
            Value::number("days", (days.len() - start) as f64, ""),
            Value::number("rain", rain_sum, "mm").from(scene.weather.basis().origin()),
            Value::number("watering", irrigation_sum, "mm").from("daybook and programme"),
            Value::number("use", eta_sum, "mm").from("Ks × Kc × ET0 (FAO-56)"),
            Value::number("drainage", drainage_sum, "mm"),
            kc_value,
        ],
        Value::number("depletion", depletion, "mm"),
    ));
    working.push(Step::new(
        "depletion at which stress begins",
        "RAW = p × TAW, p moved by the day's use (FAO-56 eq. 83, Table 22 note)",
        vec![
            Value::number("p", root_zone.depletion_fraction().get(), "").from("almanac, from memory for most grasses"),
            Value::number("ETc", kc * et0_week, "mm").from("mean of the last seven days"),
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
        kc,
        resting,
        history,
        working,
        assumed,
        root_zone,
        plant,
    })
}

/// Days until stress in each year of the outlook, if nothing is put on: 0 = today. `None` where it stays moist for 60 days.
fn days_to_stress(scene: &Scene<'_>, area: &AreaWater, outlook: &Outlook<'_>) -> Vec<Option<i64>> {
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
                let rain = if day.rain_mm < LEAF_RAIN * day.et0_mm { 0.0 } else { day.rain_mm };
                let step = zone.step(
                    Millimetres::new(depletion),
                    &Inflow {
                        et0: Millimetres::new(day.et0_mm),
                        kc,
                        rain: Millimetres::new(rain),
                        ..Inflow::default()
                    },
                );
                depletion = step.depletion.get();
                if depletion >= step.raw.get() {
                    return Some(i as i64);
                }
            }
            None
        })
        .collect()
}

/// Whether the rules allow watering on a day.
pub fn allowed(rules: Option<&WaterRules>, date: Date) -> bool {
    let Some(rules) = rules else { return true };
    let parity = match rules.parity {
        Parity::Any => true,
        Parity::Odd => date.day() % 2 == 1 && date.day() != 31,
        Parity::Even => date.day() % 2 == 0,
    };
    parity && on_weekday(&rules.weekdays, date)
}

/// What new seed on an area wants today: depth of one wetting and how often.
struct SeedWater {
    sown: Date,
    days: i64,
    phase: &'static str,
    depth_mm: f64,
    runs: u32,
    every_days: i64,
}

/// Watering of new seed by days since sowing and the grass's germination time (common practice; three, two and one wettings a
/// day over the first weeks: University of Nebraska–Lincoln Extension, J. Fech; depths from memory).
fn seed_water(scene: &Scene<'_>, area: &str) -> Option<SeedWater> {
    let seeding = scene.yard.last_seeding(area, scene.on)?;
    let days = Yard::days_between(seeding.on, scene.on);
    if days >= SEED_WATER_DAYS {
        return None;
    }
    let (early, late) = scene
        .almanac
        .grass(&seeding.fact.grass)
        .map_or((7, 21), |g| (g.germination_days.low.round() as i64, g.germination_days.high.round() as i64));
    let (phase, depth_mm, runs, every_days) = match days {
        d if d < early.max(7) => ("germinating", 2.5, 3, 1),
        d if d < late.max(14) => ("coming up", 3.0, 2, 1),
        d if d < late.max(14) + 7 => ("knitting", 5.0, 1, 1),
        _ => ("rooting", 10.0, 1, 3),
    };
    Some(SeedWater { sown: seeding.on, days, phase, depth_mm, runs, every_days })
}

/// The plan of every zone.
pub fn zone_plans(scene: &Scene<'_>, areas: &[AreaWater], outlook: &Outlook<'_>) -> Vec<ZoneWater> {
    scene.yard.zones.iter().map(|zone| zone_plan(scene, zone, areas, outlook)).collect()
}

fn zone_plan(scene: &Scene<'_>, zone: &ZoneFacts, areas: &[AreaWater], outlook: &Outlook<'_>) -> ZoneWater {
    let u = scene.units();
    let (du, du_assumed) = zone_uniformity(scene, zone);
    let rate = zone_rate(scene, zone);
    let mut plan = ZoneWater {
        key: zone.key.clone(),
        name: zone.name.clone(),
        areas: zone.areas.iter().map(|a| scene.place_of(a)).collect(),
        state: ZoneState::Unknown,
        rate_mm_h: rate.as_ref().map_or(0.0, |r| r.0.get()),
        du_lq: du,
        governing: None,
        need_mm: 0.0,
        dryness: 0.0,
        minutes: 0.0,
        cycles: 1,
        minutes_per_cycle: 0.0,
        soak_minutes: 0.0,
        runs_a_day: 1,
        litres: 0.0,
        water_on: None,
        window: None,
        why: String::new(),
        caution: None,
        assumed: Vec::new(),
        working: Vec::new(),
    };
    let Some((rate, rate_value)) = rate else {
        plan.why = "no sprinkler kind is known for this zone".to_owned();
        return plan;
    };
    if rate_value.assumed {
        plan.assumed.push(format!(
            "{}: rate {} (usual for the sprinkler kind); set out cans and log it",
            zone.name,
            u.say(Quantity::Rate, rate.get())
        ));
    }
    if du_assumed {
        plan.assumed.push(format!(
            "{}: evenness {du:.2} (usual for the sprinkler kind); an audit with cans would tell",
            zone.name
        ));
    }
    let served: Vec<&AreaWater> = areas.iter().filter(|a| zone.areas.contains(&a.key)).collect();
    let rules = scene.yard.water_rules.as_ref();
    // New seed goes before everything else.
    let seed = zone.areas.iter().filter_map(|a| seed_water(scene, a).map(|s| (a, s))).min_by_key(|(_, s)| s.days);
    if let Some((area_key, seed)) = seed {
        seed_plan(scene, zone, &mut plan, area_key, &seed, rate, rate_value);
        return plan;
    }
    let Some(governing) =
        served.iter().max_by(|a, b| (a.depletion_mm - a.raw_mm).total_cmp(&(b.depletion_mm - b.raw_mm)))
    else {
        plan.why = "none of its areas holds plants Toft knows".to_owned();
        return plan;
    };
    plan.governing = Some(scene.place_of(&governing.key));
    plan.assumed.extend(governing.assumed.iter().cloned());
    plan.working.extend(governing.working.iter().cloned());
    let to_stress = days_to_stress(scene, governing, outlook);
    let dry = to_stress.iter().filter(|d| d.is_some()).count();
    plan.window = window_of(scene.on, to_stress.clone());
    let likely = {
        let mut sorted: Vec<i64> = to_stress.iter().map(|d| d.unwrap_or(i64::MAX)).collect();
        sorted.sort_unstable();
        sorted.get((sorted.len().saturating_sub(1)) / 2).copied().filter(|d| *d < i64::MAX)
    };
    plan.need_mm = governing.depletion_mm;
    plan.dryness = if governing.raw_mm > 0.0 { governing.depletion_mm / governing.raw_mm } else { 0.0 };
    let state_words = format!(
        "{} has used {} of the {} its roots can draw; stress begins at {}",
        governing.name,
        u.say(Quantity::Depth, governing.depletion_mm),
        u.say(Quantity::Depth, governing.taw_mm),
        u.say(Quantity::Depth, governing.raw_mm)
    );
    if governing.resting {
        plan.state = ZoneState::Rest;
        plan.why = format!("{state_words}. It is at rest with cold: no watering.");
        return plan;
    }
    let Some(due_in) = likely else {
        plan.state = ZoneState::Wait;
        plan.why = format!("{state_words}. In {dry} of {} years it dries to that within 60 days.", to_stress.len());
        return plan;
    };
    let due = scene.on.checked_add(Span::new().days(due_in)).unwrap_or(scene.on);
    let mut water_on = due;
    while water_on > scene.on && !allowed(rules, water_on) {
        water_on = water_on.yesterday().unwrap_or(scene.on);
    }
    let mut guard = 0;
    while !allowed(rules, water_on) && guard < 62 {
        water_on = water_on.tomorrow().unwrap_or(water_on);
        guard += 1;
    }
    if water_on > due {
        plan.caution = Some(format!(
            "the watering rules allow {water_on} at the earliest; stress begins about {due}. Ask for an exemption or water a little by hand"
        ));
    }
    if water_on == scene.on && plan.need_mm < LEAST_RUN_MM {
        water_on = water_on.tomorrow().unwrap_or(water_on);
    }
    plan.water_on = Some(water_on);
    plan.state = if water_on == scene.on { ZoneState::RunToday } else { ZoneState::Wait };
    let need = if plan.state == ZoneState::RunToday {
        plan.need_mm
    } else {
        // What the likely years will have used by then.
        let wait = usize::try_from(Yard::days_between(scene.on, water_on)).unwrap_or(0);
        let mut use_mm: Vec<f64> = outlook
            .years
            .iter()
            .map(|y| y.iter().take(wait).map(|d| governing.kc * d.et0_mm - d.rain_mm).sum())
            .collect();
        use_mm.sort_by(f64::total_cmp);
        let expected = use_mm.get(use_mm.len() / 2).copied().unwrap_or(0.0);
        (governing.depletion_mm + expected).clamp(LEAST_RUN_MM.min(governing.taw_mm), governing.taw_mm)
    };
    plan.need_mm = need;
    run_it(scene, zone, &mut plan, governing, need, rate, rate_value);
    plan.why = match plan.state {
        ZoneState::RunToday => format!("{state_words}: likely reached {}.", day_words(scene.on, due)),
        _ => format!("{state_words}: likely reached on {due}."),
    };
    plan
}

fn day_words(on: Date, due: Date) -> String {
    match Yard::days_between(on, due) {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        _ => format!("on {due}"),
    }
}

/// Intake and surface storage of an area, slope counted.
fn intake_of(scene: &Scene<'_>, area: &AreaFacts) -> Option<(MillimetresPerHour, Millimetres, Vec<Value>)> {
    let texture = scene.almanac.texture(&area.soil)?;
    let slope = scene.almanac.slope_class(area.slope_pct);
    let intake = texture.intake_mm_h.middle() * slope.intake_factor;
    let storage = texture.surface_storage_mm * slope.storage_factor;
    let words =
        format!("{} on a {:.0} % slope, almanac; time a run until water first moves", texture.name, area.slope_pct);
    Some((
        MillimetresPerHour::new(intake),
        Millimetres::new(storage),
        vec![
            Value::number("intake", intake, "mm/h").assumed(words.clone()),
            Value::number("surface storage", storage, "mm").assumed(words),
        ],
    ))
}

fn litres_of(scene: &Scene<'_>, zone: &ZoneFacts, rate: MillimetresPerHour, minutes: f64) -> f64 {
    let size: f64 = zone.areas.iter().filter_map(|a| scene.yard.area(a)).map(|a| a.size_m2).sum();
    rate.get() * minutes / 60.0 * size
}

fn run_it(
    scene: &Scene<'_>,
    zone: &ZoneFacts,
    plan: &mut ZoneWater,
    governing: &AreaWater,
    need: f64,
    rate: MillimetresPerHour,
    rate_value: Value,
) {
    let ground = scene.yard.area(&governing.key).and_then(|a| intake_of(scene, a));
    let input = RunTimeInput {
        need: Millimetres::new(need),
        rate,
        du_lq: Fraction::new(plan.du_lq),
        scheduling: Scheduling::LowHalf,
        intake: ground.as_ref().map(|g| g.0),
        surface_storage: ground.as_ref().map(|g| g.1),
    };
    if let Ok(run) = zone_run_time(&input) {
        plan.minutes = run.minutes.get();
        plan.cycles = run.cycles.max(1);
        plan.minutes_per_cycle = run.minutes_per_cycle.get();
        plan.soak_minutes = run.soak.get();
        plan.litres = litres_of(scene, zone, rate, plan.minutes);
        let mut values = vec![rate_value];
        if let Some((_, _, ground_values)) = ground {
            values.extend(ground_values);
        }
        plan.working.push(Step::new(
            "what this zone and its ground are like",
            "rate, intake and storage used below",
            values,
            Value::number("rate", rate.get(), "mm/h"),
        ));
        plan.working.extend(run_time_working(&input).unwrap_or_default());
    }
}

fn seed_plan(
    scene: &Scene<'_>,
    zone: &ZoneFacts,
    plan: &mut ZoneWater,
    area_key: &str,
    seed: &SeedWater,
    rate: MillimetresPerHour,
    rate_value: Value,
) {
    let u = scene.units();
    let yesterday = scene.yesterday();
    let rained = scene.yard.rain.get(&yesterday).copied().unwrap_or(scene.weather.day(yesterday).rain_mm);
    let area = scene.place_of(area_key);
    plan.governing = Some(area.clone());
    plan.need_mm = seed.depth_mm;
    plan.minutes = seed.depth_mm / rate.get() * 60.0;
    plan.minutes_per_cycle = plan.minutes;
    plan.runs_a_day = seed.runs;
    plan.litres = litres_of(scene, zone, rate, plan.minutes);
    let allowed_today = allowed(scene.yard.water_rules.as_ref(), scene.on);
    let exempt = scene.yard.water_rules.as_ref().is_some_and(|r| r.seed_exempt);
    // Rain of 0.15 in or more stands for a run (common practice); a light phase every few days counts from the sowing.
    let its_day = seed.days % seed.every_days == 0;
    plan.state = if rained >= 3.8 && seed.runs <= 1 || !its_day { ZoneState::Wait } else { ZoneState::SeedToday };
    if plan.state == ZoneState::SeedToday {
        plan.water_on = Some(scene.on);
    }
    if !allowed_today && !exempt && plan.state == ZoneState::SeedToday {
        plan.caution = Some(
            "the watering rules forbid today; new seed dies of one dry day. Ask the supplier for a new-seed permit"
                .to_owned(),
        );
    }
    plan.why = format!(
        "{} was sown on {} ({} days ago) and is {}: {} {} of {} a day keep the top of the soil moist.",
        area.name,
        seed.sown,
        seed.days,
        seed.phase,
        seed.runs,
        if seed.runs == 1 { "wetting" } else { "wettings" },
        u.say(Quantity::Depth, seed.depth_mm)
    );
    if seed.every_days > 1 {
        plan.why = format!(
            "{} was sown on {} ({} days ago) and is {}: {} every {} days draws the roots down.",
            area.name,
            seed.sown,
            seed.days,
            seed.phase,
            u.say(Quantity::Depth, seed.depth_mm),
            seed.every_days
        );
    }
    if zone.areas.len() > 1 {
        plan.caution.get_or_insert_with(|| {
            "this zone also waters grown ground, which gets more than it needs meanwhile: use a hose sprinkler if you can".to_owned()
        });
    }
    plan.assumed.push(format!(
        "{}: depth and number of wettings by days since sowing (common practice); look: pale soil is dry soil",
        zone.name
    ));
    plan.working.push(Step::new(
        "minutes of one wetting",
        "depth ÷ rate × 60",
        vec![Value::number("depth", seed.depth_mm, "mm").from("new-seed table, common practice"), rate_value],
        Value::number("minutes", plan.minutes, "min"),
    ));
}

/// A zone's run in a sentence: "24 minutes in two runs of 12, an hour apart".
pub fn run_words(plan: &ZoneWater) -> String {
    let whole = |m: f64| if m < 10.0 { format!("{m:.1}") } else { format!("{m:.0}") };
    if plan.runs_a_day > 1 {
        return format!("{} × {} minutes, spread over the day", plan.runs_a_day, whole(plan.minutes));
    }
    if plan.cycles > 1 {
        format!(
            "{} minutes in {} runs of {}, at least {:.0} minutes apart",
            whole(plan.minutes),
            plan.cycles,
            whole(plan.minutes_per_cycle),
            plan.soak_minutes
        )
    } else {
        format!("{} minutes", whole(plan.minutes))
    }
}

/// The items for the list of what to do.
pub fn items(scene: &Scene<'_>, zones: &[ZoneWater], day: Option<&WaterDay>) -> Vec<Item> {
    let u = scene.units();
    let mut out = Vec::new();
    let today: Vec<&ZoneWater> =
        zones.iter().filter(|z| matches!(z.state, ZoneState::RunToday | ZoneState::SeedToday)).collect();
    let collect = |list: &[&ZoneWater], title: String, urgency: Urgency, by: Option<Date>, why: String| Item {
        id: format!("water:{}", list.iter().map(|z| z.key.as_str()).collect::<Vec<_>>().join("+")),
        job: Job::Water,
        title,
        places: list.iter().map(|z| Where { key: z.key.clone(), name: z.name.clone() }).collect(),
        amounts: list
            .iter()
            .map(|z| {
                format!(
                    "{}: {} ({}, {})",
                    z.name,
                    run_words(z),
                    u.say(Quantity::Depth, z.need_mm),
                    u.say(Quantity::Volume, z.litres * f64::from(z.runs_a_day))
                )
            })
            .collect(),
        urgency,
        from: by,
        by,
        window: if list.len() == 1 { list[0].window } else { None },
        why,
        findings: Vec::new(),
        cautions: list.iter().filter_map(|z| z.caution.as_ref().map(|c| format!("{}: {c}", z.name))).collect(),
        working: list
            .iter()
            .flat_map(|z| {
                z.working.iter().map(move |s| Step { label: format!("{}: {}", z.name, s.label).into(), ..s.clone() })
            })
            .collect(),
        assumed: {
            let mut all: Vec<String> = list.iter().flat_map(|z| z.assumed.iter().cloned()).collect();
            all.dedup();
            all
        },
    };
    let grown: Vec<&ZoneWater> = today.iter().copied().filter(|z| z.state == ZoneState::RunToday).collect();
    if !grown.is_empty() {
        let title = match (grown.as_slice(), day) {
            ([one], _) => format!("Run {} for {}", one.name, run_words(one)),
            (many, Some(day)) if day.left_over.is_empty() => {
                format!("Run {} zones, starting at {}", many.len(), day.start_words())
            }
            (many, Some(day)) => {
                format!("Run {} zones as far as the hours allow, starting at {}", many.len(), day.start_words())
            }
            (many, None) => format!("Run {} zones", many.len()),
        };
        // The driest zone tells the tale; the others stand on the water page.
        let driest = grown.iter().max_by(|a, b| a.need_mm.total_cmp(&b.need_mm));
        let others = if grown.len() > 1 { " The other zones are told on the water page." } else { "" };
        let why = format!("{}{others}", driest.map_or("", |z| z.why.as_str()));
        let mut item = collect(&grown, title, Urgency::Today, Some(scene.on), why);
        if let Some(day) = day.filter(|d| !d.left_over.is_empty()) {
            item.cautions.push(format!(
                "They do not all fit into the allowed hours. For the next allowed day: {}.",
                day.left_over.join(", ")
            ));
        }
        out.push(item);
    }
    for zone in today.iter().filter(|z| z.state == ZoneState::SeedToday) {
        let title = format!("Keep the new seed moist: {}, {}", zone.name, run_words(zone));
        out.push(collect(&[zone], title, Urgency::Today, Some(scene.on), zone.why.clone()));
    }
    let mut waiting: Vec<&ZoneWater> =
        zones.iter().filter(|z| z.state == ZoneState::Wait && z.water_on.is_some()).collect();
    waiting.sort_by_key(|z| z.water_on);
    if let Some(first) = waiting.first() {
        let next: Vec<&ZoneWater> = waiting.iter().copied().filter(|z| z.water_on == first.water_on).collect();
        if let Some(date) = first.water_on
            && Yard::days_between(scene.on, date) <= 14
        {
            let names = next.iter().map(|z| z.name.as_str()).collect::<Vec<_>>().join(", ");
            let why = next.iter().map(|z| z.why.as_str()).collect::<Vec<_>>().join(" ");
            out.push(collect(
                &next,
                format!("Next watering: {names}, about {date}"),
                urgency_of(scene.on, date),
                Some(date),
                why,
            ));
        }
    }
    out
}

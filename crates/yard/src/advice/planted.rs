//! Water for new trees, shrubs and hedges, until their roots have grown into the ground.

use jiff::{Span, civil::Date};
use reckon::planting::{
    Winters, days_between_waterings, drip_minutes, establishment_years, shrub_watering, tree_watering,
};
use reckon::units::{Fraction, Litres, Millimetres};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::soil::irrigation;
use super::{Item, Job, LogAs, Scene, Where, urgency_of};
use crate::entry::Planted;
use crate::fold::{Dated, Yard};
use crate::units::Quantity;
use crate::weather::Outlook;

/// Years until a shrub's roots spread as wide as its crown (University of Minnesota Extension: one to two years).
const SHRUB_YEARS: f64 = 2.0;
/// Rain since the last watering that stands for it: an inch (University of Minnesota and extension.org: an inch a week).
const RAIN_FOR_A_WATERING_MM: f64 = 25.4;
/// Mean air of ten days under which plants that drop their leaves are left alone (growth table of the almanac).
const REST_C: f64 = 4.0;
/// Soil colder than this is taken as frozen.
const FROZEN_C: f64 = 0.5;
/// Reference evapotranspiration from which the shorter of two intervals is taken (mm a day; common practice: more often in heat).
const HOT_ET0_MM: f64 = 5.0;
/// Sand and clay from which a soil is called sandy or heavy (%).
const SANDY_PCT: f64 = 70.0;
const HEAVY_PCT: f64 = 35.0;
/// Share of drip water that reaches the roots (common practice: 0.9).
const DRIP_EFFICIENCY: f64 = 0.9;
/// Ground a sprinkler waters for one plant: a ring of 3 ft (common practice).
const RING_M2: f64 = 0.66;
/// The coldest night of a usual year above which winters are mild: 20 °F, the cold edge of hardiness zone 9 (USDA).
const MILD_C: f64 = -6.7;
/// Days looked back for the last watering.
const LOOK_BACK_DAYS: i64 = 60;
/// Plants that keep their leaves over winter.
const EVERGREEN: [&str; 8] = ["arb", "box", "cyp", "hol", "jun", "rho", "spr", "yew"];

/// New plants that still want water of their own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlantWater {
    /// Entry that told of them.
    pub id: String,
    /// What they are, and how many.
    pub name: String,
    /// Where.
    pub area: Where,
    /// Planted on.
    pub planted: Date,
    /// How many.
    pub count: u32,
    /// Water for one plant at one watering (L).
    pub litres_each: f64,
    /// Minutes of its drip line, where it has one.
    pub drip_minutes: Option<f64>,
    /// Days between two waterings now.
    pub every_days: i64,
    /// Last day they had water, by hand, zone or rain.
    pub last: Date,
    /// Next day; `None` while they rest in the cold.
    pub next: Option<Date>,
    /// Day by which they should be established.
    pub until: Date,
    /// Why, in sentences.
    pub why: String,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
}

fn winters(outlook: &Outlook<'_>) -> (Winters, f64) {
    let coldest = outlook.years.iter().map(|y| y.iter().map(|d| d.tmin_c).fold(f64::INFINITY, f64::min));
    let mean = coldest.sum::<f64>() / outlook.years.len().max(1) as f64;
    (if mean < MILD_C { Winters::Cold } else { Winters::Mild }, mean)
}

/// The plantings that are not yet established, the next due first.
pub fn plantings(scene: &Scene<'_>, outlook: &Outlook<'_>) -> Vec<PlantWater> {
    let mut out: Vec<PlantWater> =
        scene.yard.plantings.iter().filter(|p| p.on <= scene.on).filter_map(|p| water_of(scene, p, outlook)).collect();
    out.sort_by_key(|p| p.next.unwrap_or(Date::MAX));
    out
}

fn name_of(scene: &Scene<'_>, p: &Planted) -> String {
    let kind = if p.kind_of.is_empty() { scene.almanac.plant_name(&p.plant) } else { &p.kind_of };
    format!("{} × {kind}", p.count)
}

fn water_of(scene: &Scene<'_>, planting: &Dated<Planted>, outlook: &Outlook<'_>) -> Option<PlantWater> {
    let (u, p) = (scene.units(), &planting.fact);
    let area = scene.yard.area(&p.area)?;
    let texture = scene.almanac.texture(&area.soil);
    let (sandy, heavy) =
        (texture.is_some_and(|t| t.sand_pct >= SANDY_PCT), texture.is_some_and(|t| t.clay_pct >= HEAVY_PCT));
    let share = match (sandy, heavy) {
        (true, _) => 1.0,
        (_, true) => 0.0,
        _ => 0.5,
    };
    let (winters, coldest) = winters(outlook);
    let (litres, years, rule) = match (p.calliper_mm, p.container_l) {
        (Some(mm), _) => (
            tree_watering(Millimetres::new(mm), Fraction::new(share)).ok()?.get(),
            establishment_years(Millimetres::new(mm), winters).ok()?,
            "1 to 1.5 gal an inch of trunk",
        ),
        (None, Some(pot)) => (
            shrub_watering(Litres::new(pot), Fraction::new(share)).ok()?.get(),
            SHRUB_YEARS,
            "a quarter to a third of the pot",
        ),
        (None, None) => return None,
    };
    let until = planting.on.checked_add(Span::new().days((years * 365.25).round() as i64)).ok()?;
    if until <= scene.on {
        return None;
    }
    let days = Yard::days_between(planting.on, scene.on);
    let yesterday = scene.yesterday();
    let week = scene.weather.run(yesterday.checked_sub(Span::new().days(6)).ok()?, yesterday);
    let et0 = week.iter().map(|d| d.et0_mm).sum::<f64>() / week.len().max(1) as f64;
    let (short, long) = days_between_waterings(days);
    let every = if heavy || !(sandy || et0 >= HOT_ET0_MM) { long } else { short };
    let (last, by) = last_water(scene, planting, litres);
    let ten = scene.weather.run(yesterday.checked_sub(Span::new().days(9)).ok()?, yesterday);
    let mean = ten.iter().map(|d| d.tmean_c()).sum::<f64>() / ten.len().max(1) as f64;
    let evergreen = EVERGREEN.contains(&p.plant.as_str());
    let frozen = week.last().is_some_and(|d| d.soil_c < FROZEN_C);
    let rests = if evergreen { frozen } else { mean < REST_C };
    let next = if rests { None } else { last.checked_add(Span::new().days(every)).ok().map(|d| d.max(scene.on)) };
    let drip = match (p.emitters, p.emitter_l_h) {
        (Some(n), Some(q)) => {
            let e = Fraction::new(DRIP_EFFICIENCY);
            drip_minutes(Litres::new(litres), n, Litres::new(q), e).ok().map(|m| m.get())
        }
        _ => None,
    };
    let often = match every {
        1 => "every day".to_owned(),
        7 => "once a week".to_owned(),
        n => format!("every {n} days"),
    };
    let rest = match (rests, evergreen) {
        (false, _) => String::new(),
        (true, true) => " The ground is frozen: no water until it thaws.".to_owned(),
        (true, false) => " They rest without leaves: no water until the days are warmer.".to_owned(),
    };
    let why = format!(
        "Planted on {}, week {}: {often}, until about {until}. Last water {last} ({by}).{rest} Feel the root ball first: wet is enough.",
        planting.on,
        days / 7 + 1
    );
    let soil = texture.map_or("unknown soil", |t| t.name.as_str());
    let mut working = vec![Step::new(
        "water for one plant",
        format!("{rule}; the high end on sand, the low one on clay (University of Minnesota Extension)"),
        vec![
            p.calliper_mm.map_or_else(
                || Value::number("pot", p.container_l.unwrap_or(0.0), "L").from("daybook"),
                |mm| Value::number("trunk", mm, "mm").from("daybook"),
            ),
            Value::number("place in the range", share, "").from(soil.to_owned()),
        ],
        Value::number("water", litres, "L"),
    )];
    working.push(Step::new(
        "days between two waterings",
        "daily for 2 weeks, every 2 to 3 days to week 12, then weekly (University of Minnesota Extension); the shorter on sand and in heat",
        vec![Value::number("days since planting", days as f64, ""), Value::number("ET0", et0, "mm").from("mean of seven days")],
        Value::number("days", every as f64, ""),
    ));
    let (label, values) = match p.calliper_mm {
        Some(mm) => (
            match winters {
                Winters::Cold => "1.5 years an inch of trunk (University of Minnesota Extension)",
                Winters::Mild => "3.5 months an inch of trunk (University of Florida IFAS Extension)",
            },
            vec![
                Value::number("trunk", mm, "mm"),
                Value::number("coldest night of a usual year", coldest, "°C").from(outlook.basis.clone()),
            ],
        ),
        None => ("two years for a shrub (University of Minnesota Extension: one to two)", Vec::new()),
    };
    working.push(Step::new("years until established", label, values, Value::number("years", years, "a")));
    if let (Some(minutes), Some(n), Some(q)) = (drip, p.emitters, p.emitter_l_h) {
        working.push(Step::new(
            "minutes of the drip line",
            "60 V / (n q e)",
            vec![
                Value::number("V", litres, "L"),
                Value::number("n", f64::from(n), "").from("daybook"),
                Value::number("q", q, "L").from("one emitter in an hour, daybook"),
                Value::number("e", DRIP_EFFICIENCY, "")
                    .assumed("usual for drip; catch an emitter’s water for a minute"),
            ],
            Value::number("minutes", minutes, "min"),
        ));
    }
    Some(PlantWater {
        id: planting.id.clone(),
        name: name_of(scene, p),
        area: scene.place_of(&p.area),
        planted: planting.on,
        count: p.count,
        litres_each: litres,
        drip_minutes: drip,
        every_days: every,
        last,
        next,
        until,
        why,
        assumed: vec![format!(
            "{}: the root ball dries as plants of this size usually do; a trowel at 4 in ({}) tells",
            area.name,
            u.say(Quantity::Depth, 101.6)
        )],
        working,
    })
}

/// The last day of water, and what brought it: the planting, a hand, a zone or programme that gave a plant's ring its litres, an inch of rain.
fn last_water(scene: &Scene<'_>, planting: &Dated<Planted>, litres: f64) -> (Date, &'static str) {
    let back = scene.on.checked_sub(Span::new().days(LOOK_BACK_DAYS)).unwrap_or(planting.on);
    let first = planting.on.max(back);
    let mut last = (planting.on, "watered in");
    let by_hand = scene.yard.waterings.iter().filter(|w| w.on > planting.on && w.on <= scene.on);
    for w in by_hand.filter(|w| w.fact.area.as_deref() == Some(planting.fact.area.as_str())) {
        if w.on >= last.0 {
            last = (w.on, "by hand");
        }
    }
    let length = usize::try_from(Yard::days_between(first, scene.on)).unwrap_or(0) + 1;
    for (i, mm) in irrigation(scene, &planting.fact.area, first, length).iter().enumerate() {
        if mm * RING_M2 >= litres
            && let Ok(on) = first.checked_add(Span::new().days(i as i64))
            && on > last.0
        {
            last = (on, "sprinklers");
        }
    }
    // Rain adds up from the day after the last water.
    let mut sum = 0.0;
    let mut day = last.0.max(first);
    while let Ok(next) = day.tomorrow() {
        day = next;
        if day > scene.on {
            break;
        }
        let gauge = scene.yard.rain.get(&day).copied();
        sum += match gauge {
            Some(mm) => mm,
            None if day < scene.on => scene.weather.day(day).rain_mm,
            None => 0.0,
        };
        if sum >= RAIN_FOR_A_WATERING_MM {
            last = (day, "an inch of rain");
            sum = 0.0;
        }
    }
    last
}

/// Least depth an entry of watering takes (mm).
const LOGGED_MM_MIN: f64 = 0.1;
/// Days ahead a watering is told of.
const AHEAD_DAYS: i64 = 3;

/// An item for each planting whose water is due or near.
pub fn items(scene: &Scene<'_>, plants: &[PlantWater]) -> Vec<Item> {
    plants.iter().filter_map(|p| item(scene, p)).collect()
}

fn item(scene: &Scene<'_>, p: &PlantWater) -> Option<Item> {
    let next = p.next.filter(|d| Yard::days_between(scene.on, *d) <= AHEAD_DAYS)?;
    let u = scene.units();
    let each = u.say(Quantity::Volume, p.litres_each);
    let all = p.litres_each * f64::from(p.count);
    let mut amount =
        format!("{}: {each} each, {} in all, slowly on the root ball", p.name, u.say(Quantity::Volume, all));
    if let Some(minutes) = p.drip_minutes {
        amount.push_str(&format!("; drip {minutes:.0} minutes"));
    }
    let size = scene.yard.area(&p.area.key).map_or(0.0, |a| a.size_m2);
    let depth = if size > 0.0 { scene.typed(Quantity::Depth, (all / size).max(LOGGED_MM_MIN)) } else { String::new() };
    Some(Item {
        id: format!("plants:{}", p.id),
        job: Job::Water,
        title: format!("Water the new plants on {}: {each} each", p.area.name),
        places: vec![p.area.clone()],
        amounts: vec![amount],
        urgency: urgency_of(scene.on, next),
        from: Some(next),
        by: Some(next),
        window: None,
        window_of: "",
        why: p.why.clone(),
        findings: Vec::new(),
        cautions: vec![
            "A plant that wilts in wet soil is drowning: no more water until the top 2 in are dry.".to_owned(),
        ],
        working: p.working.clone(),
        assumed: p.assumed.clone(),
        log: vec![LogAs::new("Log it", "watered", &[("area", p.area.key.clone()), ("depth", depth)])],
    })
}

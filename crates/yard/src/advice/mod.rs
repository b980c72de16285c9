//! Advice: what to do, where, how much, when at the latest, why, what blocks it — a pure function of facts, tables and a day.

pub mod checks;
pub mod delivery;
pub mod feeding;
pub mod mowing;
pub mod patches;
pub mod plans;
pub mod planted;
pub mod preventer;
pub mod programmes;
mod refill;
pub mod seed_stage;
pub mod seed_water;
pub mod seeding;
pub mod soil;
pub mod system;
pub mod trial;
pub mod washing_in;
pub mod water;
pub mod water_day;

use almanac::Almanac;
use jiff::civil::Date;
use reckon::date_odds::DateOdds;
use reckon::working::Step;
use serde::Serialize;

use crate::fold::Yard;
use crate::form::Typed;
use crate::units::{Quantity, Units, significant};
use crate::weather::{Basis, Filled, Weather};
pub use checks::{Finding, Level};
pub use seed_stage::{SeedStage, Stage};
pub use seeding::SowWindow;
pub use soil::{AreaDay, AreaWater};
pub use water::{ZoneState, ZoneWater};
pub use water_day::WaterDay;

/// What kind of work an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Job {
    /// Run zones.
    Water,
    /// Cut grass.
    Mow,
    /// Nitrogen.
    Feed,
    /// Weed preventer.
    Prevent,
    /// Sow.
    Seed,
    /// Look closer.
    Scout,
    /// Work the owner planned.
    Planned,
    /// Something found wrong.
    Mend,
}

impl Job {
    /// The word on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Water => "Water",
            Self::Mow => "Mow",
            Self::Feed => "Feed",
            Self::Prevent => "Weed preventer",
            Self::Seed => "Seed",
            Self::Scout => "Look",
            Self::Planned => "Planned",
            Self::Mend => "Mend",
        }
    }
}

/// How soon.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Urgency {
    /// Today.
    Today,
    /// Within seven days.
    ThisWeek,
    /// Meant to be done, but something forbids it.
    Held,
    /// Later.
    Ahead,
}

impl Urgency {
    /// The heading on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Today => "Today",
            Self::ThisWeek => "This week",
            Self::Held => "Held back",
            Self::Ahead => "Ahead",
        }
    }
}

/// Dates at the 10, 50 and 90 % points of the years looked at.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Window {
    /// One year in ten it is by then.
    pub early: Date,
    /// Half the years.
    pub likely: Date,
    /// Nine years in ten.
    pub late: Date,
}

/// An area or zone an item is about.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Where {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
}

/// One piece of advice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Item {
    /// Stable name: job and place.
    pub id: String,
    /// Kind of work.
    pub job: Job,
    /// What to do, in a line.
    pub title: String,
    /// Areas or zones.
    pub places: Vec<Where>,
    /// Exactly how much, a line each.
    pub amounts: Vec<String>,
    /// How soon.
    pub urgency: Urgency,
    /// First day it makes sense.
    pub from: Option<Date>,
    /// Last day it does.
    pub by: Option<Date>,
    /// When `window_of` comes in the years looked at, where it hangs on weather ahead.
    pub window: Option<Window>,
    /// What the window is of: "stress begins", "first crabgrass".
    pub window_of: &'static str,
    /// Why, in a sentence or two with figures.
    pub why: String,
    /// What stands in the way or wants care.
    pub findings: Vec<Finding>,
    /// Caution where work can hurt someone.
    pub cautions: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
    /// What was assumed, with the measurement that would replace it.
    pub assumed: Vec<String>,
    /// Entries that would write it down as done.
    pub log: Vec<LogAs>,
}

/// An entry that would write a piece of advice down as done, filled in as far as the advice tells, in the user's units.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LogAs {
    /// Words of the link: "Log it", "Log Zone 3".
    pub words: String,
    /// Kind of entry.
    pub kind: &'static str,
    /// Fields of its form.
    pub fields: Typed,
}

impl LogAs {
    /// Makes one; empty values are left out.
    pub fn new(words: impl Into<String>, kind: &'static str, fields: &[(&str, String)]) -> Self {
        let fields = fields.iter().filter(|(_, v)| !v.is_empty()).map(|(k, v)| ((*k).to_owned(), v.clone())).collect();
        Self { words: words.into(), kind, fields }
    }
}

impl Item {
    /// True when a Stop stands in the way.
    pub fn stopped(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Stop)
    }
}

/// What the figures rest on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Footing {
    /// Record or built-in climate.
    pub basis: Basis,
    /// The basis in words.
    pub words: String,
    /// Where the days ahead come from.
    pub outlook: String,
    /// Readings that were filled.
    pub filled: Filled,
    /// Last day with recorded weather before today.
    pub known_until: Option<Date>,
    /// What the user should know, in sentences.
    pub notes: Vec<String>,
}

/// A mean of the last fortnight, for the head of the page.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Recent {
    /// Yesterday's soil temperature under turf (°C).
    pub soil_c: f64,
    /// Yesterday's low and high (°C).
    pub tmin_c: f64,
    /// Yesterday's high (°C).
    pub tmax_c: f64,
    /// Rain of the last seven days (mm).
    pub rain_7d_mm: f64,
    /// Reference evapotranspiration of the last seven days (mm).
    pub et0_7d_mm: f64,
    /// Growth potential of cool-season turf, mean of seven days.
    pub growth_cool: f64,
    /// Growth potential of warm-season turf, mean of seven days.
    pub growth_warm: f64,
}

/// Everything Toft has to say on a day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// The day it is for.
    pub on: Date,
    /// Units of the sentences (figures in fields are SI).
    pub units: Units,
    /// What to do, most urgent first.
    pub items: Vec<Item>,
    /// Water by zone.
    pub zones: Vec<ZoneWater>,
    /// New trees, shrubs and hedges that still want water of their own.
    pub plants: Vec<planted::PlantWater>,
    /// Soil water by area.
    pub areas: Vec<AreaWater>,
    /// When each grass of the yard may be sown next.
    pub sowing: Vec<SowWindow>,
    /// The zones due today, laid out in time.
    pub water_day: Option<WaterDay>,
    /// The last days' weather.
    pub recent: Recent,
    /// What it all rests on.
    pub footing: Footing,
}

/// What every part of the engine is given.
pub struct Scene<'a> {
    /// The facts.
    pub yard: &'a Yard,
    /// The weather.
    pub weather: &'a Weather,
    /// The tables.
    pub almanac: &'a Almanac,
    /// The day.
    pub on: Date,
}

impl Scene<'_> {
    /// The last day whose weather is known: yesterday.
    pub fn yesterday(&self) -> Date {
        self.on.yesterday().unwrap_or(self.on)
    }

    /// The user's units.
    pub fn units(&self) -> Units {
        self.yard.units()
    }

    /// A figure as a form of the user's would hold it.
    pub fn typed(&self, quantity: Quantity, si: f64) -> String {
        significant(self.units().show(quantity, si), 3).replace(',', "")
    }

    /// A product's rate rounded down to three digits of the user's unit, in SI: what is told, logged and weighed out is the same
    /// figure, and never more than was allowed.
    pub fn rate_rounded_down(&self, quantity: Quantity, si: f64) -> f64 {
        let shown = self.units().show(quantity, si);
        if !(shown.is_finite() && shown > 0.0) {
            return si;
        }
        let step = 10f64.powi(shown.log10().floor() as i32 - 2);
        self.units().read(quantity, (shown / step + 1e-9).floor() * step)
    }

    /// An item's place.
    pub fn place_of(&self, area: &str) -> Where {
        Where { key: area.to_owned(), name: self.yard.area_name(area).to_owned() }
    }

    /// Half a year later south of the equator: northern month and day to this yard's latest such day on or before `on`.
    pub fn season_start(&self, month: i8, day: i8) -> Date {
        let south = self.weather.place().latitude_deg < 0.0;
        let month = if south { (month + 5) % 12 + 1 } else { month };
        let this_year = Date::new(self.on.year(), month, day.min(28)).unwrap_or(self.on);
        if this_year <= self.on {
            this_year
        } else {
            Date::new(self.on.year() - 1, month, day.min(28)).unwrap_or(self.on)
        }
    }
}

/// The 10, 50 and 90 % points of dates given as days after `from`, looking `horizon` days ahead; `None` entries (not in that
/// year within the horizon) count as latest. `None` when half the years or more do not have it; a late end beyond the horizon is
/// told as the horizon.
pub fn window_of(from: Date, days: Vec<Option<i64>>, horizon: i64) -> Option<Window> {
    let odds = DateOdds::of_years(&days).ok()?;
    let day = |n: i64| from.checked_add(jiff::Span::new().days(n)).ok();
    let at = |q: f64| odds.point(q).ok().flatten().and_then(day);
    let late = at(0.9).or_else(|| day(horizon))?;
    Some(Window { early: at(0.1)?, likely: at(0.5)?, late })
}

/// How soon a date is.
pub fn urgency_of(on: Date, due: Date) -> Urgency {
    match Yard::days_between(on, due) {
        n if n <= 0 => Urgency::Today,
        n if n <= 7 => Urgency::ThisWeek,
        _ => Urgency::Ahead,
    }
}

/// Everything Toft has to say about a yard on a day. Pure: the same facts give the same advice.
pub fn advise(yard: &Yard, weather: &Weather, almanac: &Almanac, on: Date) -> Advice {
    let known = weather.known_before(on, almanac);
    let scene = Scene { yard, weather: &known, almanac, on };
    let outlook = known.outlook(scene.yesterday(), 366);
    let areas = soil::area_balances(&scene);
    let zones = water::zone_plans(&scene, &areas, &outlook);
    let water_day = water_day::lay_out(&scene, &zones);
    let mut items = Vec::new();
    items.extend(water::items(&scene, &zones, water_day.as_ref()));
    items.extend(mowing::items(&scene, &areas, &outlook));
    items.extend(plans::items(&scene));
    let sowing = seeding::windows(&scene, &outlook);
    items.extend(preventer::items(&scene, &outlook, &sowing));
    items.extend(washing_in::items(&scene));
    let plants = planted::plantings(&scene, &outlook);
    items.extend(planted::items(&scene, &plants));
    items.extend(system::items(&scene));
    items.extend(crate::sprinkler_year::mending::items(&scene));
    items.extend(crate::sprinkler_year::backflow::items(&scene));
    items.extend(feeding::items(&scene));
    items.extend(seeding::items(&scene, &sowing, &outlook.basis));
    items.extend(patches::items(&scene));
    for item in &mut items {
        if item.stopped() {
            item.urgency = Urgency::Held;
        }
    }
    items.sort_by(|a, b| (a.urgency, a.by.unwrap_or(Date::MAX)).cmp(&(b.urgency, b.by.unwrap_or(Date::MAX))));
    let recent = recent(&scene);
    let footing = footing(&scene, &outlook.basis, outlook.climate_only);
    Advice { on, units: yard.units(), items, zones, plants, areas, sowing, water_day, recent, footing }
}

fn recent(scene: &Scene<'_>) -> Recent {
    let last = scene.yesterday();
    let first = last.checked_sub(jiff::Span::new().days(6)).unwrap_or(last);
    let days = scene.weather.run(first, last);
    let n = days.len().max(1) as f64;
    let mean = |f: &dyn Fn(&crate::weather::Day) -> f64| days.iter().map(f).sum::<f64>() / n;
    let yesterday = scene.weather.day(last);
    Recent {
        soil_c: days.last().map_or(yesterday.soil_c, |d| d.soil_c),
        tmin_c: yesterday.tmin_c,
        tmax_c: yesterday.tmax_c,
        rain_7d_mm: days.iter().map(|d| scene.yard.rain.get(&d.date).copied().unwrap_or(d.rain_mm)).sum(),
        et0_7d_mm: days.iter().map(|d| d.et0_mm).sum(),
        growth_cool: mean(&|d| d.growth_cool),
        growth_warm: mean(&|d| d.growth_warm),
    }
}

/// What is to be said of the last forecast known: how old it is, or what it lacks.
fn forecast_note(scene: &Scene<'_>) -> Option<String> {
    let forecast = scene.weather.forecast_on(scene.on)?;
    let (issued, source) = (forecast.issued, &forecast.source);
    if !forecast.fresh_on(scene.on) {
        return Some(format!("The last forecast is of {issued} ({source}), too old to be used; read a newer one."));
    }
    let told = forecast.day(scene.on).is_some_and(|d| d.high.is_some());
    (!told).then(|| format!("The forecast of {issued} ({source}) tells no high of {}, so it is not used.", scene.on))
}

/// Distance from which the built-in climate is called far (km).
const FAR_STATION_KM: f64 = 400.0;

fn footing(scene: &Scene<'_>, outlook: &str, climate_only: bool) -> Footing {
    let weather = scene.weather;
    let mut notes = Vec::new();
    let yesterday = scene.yesterday();
    let known_until = match weather.basis() {
        Basis::Record { last, .. } => Some((*last).min(yesterday)),
        Basis::Climate { .. } => None,
    };
    match (weather.basis(), known_until) {
        (Basis::Climate { .. }, _) => notes.push(format!(
            "No weather has been imported: every figure here rests on {}. Import a weather file to replace it.",
            weather.basis().phrase()
        )),
        (_, Some(last)) if last < yesterday => notes.push(format!(
            "The weather record ends on {last}; the {} days since are filled with the mean of other years.",
            Yard::days_between(last, yesterday)
        )),
        _ => {}
    }
    notes.extend(forecast_note(scene));
    if let Basis::Climate { distance_km, .. } = weather.basis()
        && *distance_km > FAR_STATION_KM
    {
        notes.push(format!("The nearest built-in station is {distance_km:.0} km away: its climate may not be yours."));
    }
    let filled = weather.filled;
    if let Basis::Record { .. } = weather.basis() {
        let mut lacking = Vec::new();
        for (count, words) in [
            (filled.humidity, "humidity (dew point taken as the day's minimum, FAO-56 eq. 48)"),
            (filled.wind, "wind (2 m/s, FAO-56 p. 63)"),
            (filled.solar, "sun (from the day's temperature range, FAO-56 eq. 50)"),
            (filled.temperature, "temperature (mean of other years)"),
            (filled.rain, "rain (mean of other years)"),
        ] {
            if count > 0 {
                lacking.push(format!("{words} on {count} of {} days", filled.days));
            }
        }
        if !lacking.is_empty() {
            notes.push(format!("Estimated because the record lacks them: {}.", lacking.join("; ")));
        }
        if climate_only {
            notes.push(
                "Fewer than three whole years of the record lie before this day, so days ahead are average days."
                    .to_owned(),
            );
        }
    }
    Footing {
        basis: weather.basis().clone(),
        words: weather.basis().phrase(),
        outlook: outlook.to_owned(),
        filled,
        known_until,
        notes,
    }
}

//! Past seasons watered over again: by the advice as each morning would have given it, by a fixed timer, and by somebody who knew the
//! weather to come.
//!
//! The advice of a day sees the weather to the evening before and nothing later. All three have the same lawns, soils, sprinklers,
//! allowed days and first day.

use std::collections::BTreeMap;

use almanac::Almanac;
use jiff::civil::Date;
use reckon::root_zone::{DayBalance, Inflow, RootZone};
use reckon::run_time::{Scheduling, run_time_multiplier};
use reckon::units::{Fraction, Millimetres};
use reckon::watering_optimum::{DAYS_MOST, KnownDay, WateringOptimum, watering_optimum};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::delivery::{allowed, counted_depth, on_weekday, zone_rate, zone_uniformity};
use super::refill::least_run_before_rain;
use super::soil::{area_balances, crop_coefficient, rain_of, root_zone_of, ten_day_means};
use super::water::{frost_night, zone_plans};
use super::water_day::lay_out;
use super::{Scene, Where};
use crate::entry::{AreaFacts, Cover, SoilWaterSeen, Sprinklers, SystemState, WaterRules, Watered, ZoneFacts};
use crate::fold::{Dated, Yard};
use crate::ground::GroundIndex;
use crate::weather::Weather;

pub mod compared;

/// Minutes of one run of the fixed timer by sprinkler kind (rule of thumb of the trade: "15 minutes for spray heads and 45 minutes for
/// rotor heads", How long should my sprinklers run?, randrsprinkler.com; rotating streams and drip, which rain as slowly, like rotors).
const TIMER_MINUTES: &[(&str, f64)] = &[("spray", 15.0)];
const TIMER_MINUTES_OTHERS: f64 = 45.0;
/// Days a week the fixed timer runs (common practice: two or three times a week).
const TIMER_DAYS: [i8; 3] = [1, 3, 5];

/// How a lawn fared under one way of watering.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Fared {
    /// Water let out for it (L).
    pub litres: f64,
    /// Depth that counted (mm).
    pub depth_mm: f64,
    /// Runs.
    pub runs: usize,
    /// Days on which the grass was short of water.
    pub stress_days: usize,
    /// Water lost below the roots (mm).
    pub drained_mm: f64,
}

/// One lawn over one season.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LawnTrial {
    /// The lawn.
    pub lawn: Where,
    /// Zones that water it.
    pub zones: Vec<Where>,
    /// Water its root zone holds (mm).
    pub taw_mm: f64,
    /// As advised.
    pub advice: Fared,
    /// By the fixed timer.
    pub timer: Fared,
    /// By the same timer set long enough, or as long as helps.
    pub long_timer: Fared,
    /// Minutes of the long timer over the usual ones.
    pub long_timer_factor: f64,
    /// By somebody who knew the weather.
    pub optimum: Fared,
    /// By the advice's own rule, had each morning known the weather to the next chance to water: what a faultless forecast would gain.
    pub foresight: Fared,
    /// Water let out each day.
    #[serde(skip)]
    pub days: Vec<DayLitres>,
    /// Days of the season on which the rules or frost allowed no water.
    pub barred_days: usize,
    /// Runs of the advice that the watering hours cut short.
    pub cut_short: usize,
    /// The computation.
    pub working: Vec<Step>,
}

/// Water let out on a day, or in a month told by its first day (L).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DayLitres {
    /// The day.
    pub date: Date,
    /// As advised.
    pub advice: f64,
    /// By the fixed timer.
    pub timer: f64,
    /// By the long timer.
    pub long_timer: f64,
    /// At least.
    pub optimum: f64,
}

/// One season.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeasonTrial {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// Rain (mm).
    pub rain_mm: f64,
    /// Reference evapotranspiration (mm).
    pub et0_mm: f64,
    /// Each lawn.
    pub lawns: Vec<LawnTrial>,
    /// All lawns under the advice.
    pub advice: Fared,
    /// All lawns under the timer.
    pub timer: Fared,
    /// All lawns under the long timer.
    pub long_timer: Fared,
    /// All lawns with foresight from one chance to water to the next.
    pub foresight: Fared,
    /// Water of all lawns by month.
    pub months: Vec<DayLitres>,
    /// All lawns under knowledge of the weather.
    pub optimum: Fared,
    /// Water advised over the least possible.
    pub ratio: Option<f64>,
}

/// Water over the optimum at which the advice meets its mark.
pub const RATIO_MARK: f64 = 1.05;

/// The trial's rules in sentences, for page and command.
pub const TRIAL_RULES: &[&str] = &[
    "Advice: each morning's own, from the weather to the evening before; its minutes as they fit into the watering hours.",
    "Timer: 15 minutes for sprays and 45 for other sprinklers on Monday, Wednesday and Friday (where the rules forbid, on their first three days), rain or not.",
    "Long timer: the same days, each run made longer until the grass suffers on no more days than under the advice, or longer runs no longer help.",
    "Least possible: all weather of the season known; the smallest sum of water with the fewest days of stress. Same soil, use, rain, evenness, allowed days and frost mornings; no run smaller than the least the advice gives on that day; no longer than the watering hours; the season ends with the soil no drier than under the advice. Found by dynamic programme over the depletion, exact to 1/50 mm a step.",
    "With foresight: the advice's own rule, had each morning known the weather to the next chance to water. What lies between it and the advice is the price of not knowing: the line of stress moves with the day's heat, and rain may fall, which nobody knows at dawn. The advice guards against the hottest of the years looked at.",
    "A forecast that was kept is read on the mornings it was fresh: today's heat is then taken with the error forecasts have, not as the hottest of the years; a run leaves room for rain that is likely; rain is never waited for, so a forecast that fails costs water, not grass. The least possible may use the same smaller runs.",
    "All begin with a full soil on the first day. Seedings are left out: every lawn counts as established.",
    "A day of stress is one on which the soil, after that morning's rain and water, lies below the line at which the grass begins to hold back (depletion over RAW, Ks below 1). Over all lawns the days are added up.",
];

/// Seasons of a record looked at when none is named: the last whole ones before a day.
pub const SEASONS_USUAL: usize = 3;
/// Most seasons of one trial.
pub const SEASONS_MOST: usize = 40;

/// The seasons (May to September; November to March south of the equator) of a record that lie within two days, newest last.
pub fn seasons(weather: &Weather, from: Date, to: Date) -> Vec<(Date, Date)> {
    let south = weather.place().latitude_deg < 0.0;
    let (Some(first), Some(last)) = (weather.record().first(), weather.record().last()) else { return Vec::new() };
    let years = from.max(first.date).year() - 1..=to.min(last.date).year();
    years
        .filter_map(|year| {
            let begin = Date::new(year, if south { 11 } else { 5 }, 1).ok()?;
            let end = if south { Date::new(year + 1, 3, 31) } else { Date::new(year, 9, 30) }.ok()?;
            let within = begin >= from.max(first.date) && end <= to.min(last.date);
            within.then_some((begin, end))
        })
        .collect()
}

/// Waters one past season over again. `None` where no zone waters a lawn, or the season is not wholly in the record.
pub fn season_trial(yard: &Yard, weather: &Weather, almanac: &Almanac, from: Date, to: Date) -> Option<SeasonTrial> {
    let whole = weather.recorded(from).is_some() && weather.recorded(to).is_some();
    let length = usize::try_from(Yard::days_between(from, to)).ok()? + 1;
    if !whole || length > DAYS_MOST {
        return None;
    }
    let mut trial = stripped(yard, weather, almanac, from)?;
    let lawns: Vec<AreaFacts> = trial.lawns().filter(|a| trial.zones_of(&a.key).next().is_some()).cloned().collect();
    let mut log = Log { barred: vec![false; length], least: BTreeMap::new(), cut_short: BTreeMap::new() };
    let mut on = from;
    for i in 0..length {
        morning(&mut trial, weather, almanac, on, i, &mut log);
        on = on.tomorrow().ok()?;
    }
    let after = weather.known_before(on, almanac);
    let scene = Scene { yard: &trial, weather: &after, almanac, on };
    let seasons: Vec<LawnSeason> = lawns.iter().filter_map(|a| LawnSeason::of(&scene, a, from, to)).collect();
    let least: Vec<Option<WateringOptimum>> = seasons.iter().map(|s| s.least_water(&scene, &log)).collect();
    let lawns: Vec<LawnTrial> =
        seasons.iter().enumerate().filter_map(|(i, s)| s.told(&scene, &log, &seasons, &least, i)).collect();
    let sum = |of: fn(&LawnTrial) -> Fared| {
        lawns.iter().map(of).fold(Fared::default(), |a, b| Fared {
            litres: a.litres + b.litres,
            depth_mm: a.depth_mm + b.depth_mm,
            runs: a.runs + b.runs,
            stress_days: a.stress_days + b.stress_days,
            drained_mm: a.drained_mm + b.drained_mm,
        })
    };
    let (advice, timer, optimum) = (sum(|l| l.advice), sum(|l| l.timer), sum(|l| l.optimum));
    let (long_timer, foresight) = (sum(|l| l.long_timer), sum(|l| l.foresight));
    let days = weather.run(from, to);
    Some(SeasonTrial {
        from,
        to,
        rain_mm: days.iter().map(|d| yard.rain.get(&d.date).copied().unwrap_or(d.rain_mm)).sum(),
        et0_mm: days.iter().map(|d| d.et0_mm).sum(),
        ratio: (optimum.litres > 0.0).then(|| advice.litres / optimum.litres),
        months: by_month(&lawns),
        lawns,
        advice,
        timer,
        long_timer,
        foresight,
        optimum,
    })
}

fn by_month(lawns: &[LawnTrial]) -> Vec<DayLitres> {
    let mut months: BTreeMap<Date, DayLitres> = BTreeMap::new();
    for day in lawns.iter().flat_map(|l| &l.days) {
        let date = day.date.first_of_month();
        let none = DayLitres { date, advice: 0.0, timer: 0.0, long_timer: 0.0, optimum: 0.0 };
        let month = months.entry(date).or_insert(none);
        month.advice += day.advice;
        month.timer += day.timer;
        month.long_timer += day.long_timer;
        month.optimum += day.optimum;
    }
    months.into_values().collect()
}

/// The yard of a trial: its lawns, beds and zones as they are today, whole and established, nothing put on, the soil full the evening
/// before.
fn stripped(yard: &Yard, weather: &Weather, almanac: &Almanac, from: Date) -> Option<Yard> {
    let scene = Scene { yard, weather, almanac, on: from };
    let mut trial = yard.clone();
    trial.zones.retain(|z| z.areas.iter().any(|a| yard.area(a).is_some_and(|a| a.cover == Cover::Turf)));
    for zone in &mut trial.zones {
        // What the drawing tells stays; the drawing itself would follow the outlines of other years.
        zone.du_lq = Some(zone_uniformity(&scene, zone).0);
        zone.rate_mm_h = zone_rate(&scene, zone).map(|r| r.0.get());
    }
    let served: Vec<String> = trial.zones.iter().flat_map(|z| z.areas.iter().cloned()).collect();
    trial.areas.retain(|a| served.contains(&a.key));
    trial.zones_ever = trial.zones.clone();
    trial.outlines.clear();
    trial.ground_index = GroundIndex::of(&[]);
    trial.areas_ever.clear();
    trial.things.clear();
    trial.programmes.clear();
    trial.waterings.clear();
    trial.seedings.clear();
    trial.plans.clear();
    let eve = from.yesterday().ok()?;
    let full =
        |key: &String| Dated { id: String::new(), on: eve, fact: SoilWaterSeen { area: key.clone(), depleted: 0.0 } };
    trial.soil_water = trial.areas.iter().map(|a| full(&a.key)).collect();
    let opened = Sprinklers { state: SystemState::Opened, remark: String::new() };
    trial.sprinklers = Some(Dated { id: String::new(), on: from, fact: opened });
    (!trial.zones.is_empty()).then_some(trial)
}

/// What the mornings leave behind beside the runs.
struct Log {
    /// No water is allowed, by rule or frost.
    barred: Vec<bool>,
    /// Least run of each area, day by day.
    least: BTreeMap<String, Vec<f64>>,
    /// Runs of each zone that the hours cut short.
    cut_short: BTreeMap<String, usize>,
}

/// One morning: the advice as it would have been, and its runs written down as done.
fn morning(trial: &mut Yard, weather: &Weather, almanac: &Almanac, on: Date, i: usize, log: &mut Log) {
    // The last word on the system is renewed, so that a long season is never taken for shut.
    if let Some(opened) = &mut trial.sprinklers {
        opened.on = on;
    }
    let known = weather.known_before(on, almanac);
    let scene = Scene { yard: trial, weather: &known, almanac, on };
    let outlook = known.outlook(scene.yesterday(), 366);
    log.barred[i] = !allowed(trial.water_rules.as_ref(), on) || frost_night(&scene, &outlook);
    let areas = area_balances(&scene);
    for area in &areas {
        let least = least_run_before_rain(&scene, area, &outlook);
        log.least.entry(area.key.clone()).or_default().push(least);
    }
    let zones = zone_plans(&scene, &areas, &outlook);
    let mut done: BTreeMap<String, f64> = BTreeMap::new();
    if let Some(day) = lay_out(&scene, &zones) {
        for run in &day.runs {
            *done.entry(run.zone.clone()).or_default() += run.minutes;
        }
    }
    for zone in zones.iter().filter(|z| z.state == super::ZoneState::RunToday) {
        let ran = done.get(&zone.key).copied().unwrap_or(0.0);
        if ran < zone.minutes - 0.5 {
            *log.cut_short.entry(zone.key.clone()).or_default() += 1;
        }
    }
    let id = String::new;
    trial.waterings.extend(done.into_iter().map(|(zone, minutes)| Dated {
        id: id(),
        on,
        fact: Watered { zone: Some(zone), area: None, minutes: Some(minutes), depth_mm: None },
    }));
}

/// A lawn's season: what the weather asked and brought, and what was put on.
struct LawnSeason<'a> {
    area: &'a AreaFacts,
    zones: Vec<&'a ZoneFacts>,
    root_zone: RootZone,
    days: Vec<Inflow>,
    resting: Vec<bool>,
    dates: Vec<Date>,
    advised: Vec<f64>,
}

impl<'a> LawnSeason<'a> {
    fn of(scene: &'a Scene<'_>, area: &AreaFacts, from: Date, to: Date) -> Option<Self> {
        let area = scene.yard.area(&area.key)?;
        let (root_zone, plant, _, _) = root_zone_of(scene, area)?;
        let before = from.checked_sub(jiff::Span::new().days(10)).ok()?;
        let run = scene.weather.run(before, to);
        let means = ten_day_means(&run);
        let zones: Vec<&ZoneFacts> = scene.yard.zones_of(&area.key).collect();
        let (mut days, mut resting, mut dates, mut advised) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (day, mean) in run.iter().zip(means).skip(10) {
            let (kc, rest) = crop_coefficient(scene, plant, day.date, mean);
            days.push(Inflow {
                et0: Millimetres::new(day.et0_mm),
                kc,
                rain: Millimetres::new(rain_of(scene, day).0),
                ..Inflow::default()
            });
            resting.push(rest);
            dates.push(day.date);
            let given = scene.yard.waterings.iter().filter(|w| w.on == day.date).filter_map(|w| {
                let zone = zones.iter().find(|z| Some(&z.key) == w.fact.zone.as_ref())?;
                Some(counted_depth(scene, zone, w.fact.minutes?))
            });
            advised.push(given.sum());
        }
        Some(Self { area, zones, root_zone, days, resting, dates, advised })
    }

    /// The balance under these depths, from a full soil.
    fn balance(&self, depths: &[f64]) -> Vec<DayBalance> {
        let mut depletion = Millimetres::new(0.0);
        let mut out = Vec::with_capacity(self.days.len());
        for (day, depth) in self.days.iter().zip(depths) {
            let step = self.root_zone.step(depletion, &Inflow { irrigation: Millimetres::new(*depth), ..*day });
            depletion = step.depletion;
            out.push(step);
        }
        out
    }

    fn fared(&self, litres: f64, depths: &[f64]) -> Fared {
        let balance = self.balance(depths);
        let stressed = balance.iter().zip(&self.resting).filter(|(b, rest)| b.ks < 1.0 - STRESS_GRACE && !**rest);
        Fared {
            litres,
            depth_mm: depths.iter().sum(),
            runs: depths.iter().filter(|d| **d > 0.0).count(),
            stress_days: stressed.count(),
            drained_mm: balance.iter().map(|b| b.drainage.get()).sum(),
        }
    }

    /// Litres let out for a counted millimetre on this lawn.
    fn litres_per_mm(&self) -> f64 {
        let multiplier = |z: &ZoneFacts| {
            run_time_multiplier(Fraction::new(z.du_lq.unwrap_or(1.0)), Scheduling::LowHalf).unwrap_or(1.0)
        };
        let mean = self.zones.iter().map(|z| multiplier(z)).sum::<f64>() / self.zones.len().max(1) as f64;
        mean * self.area.size_m2
    }

    /// What the fixed timer puts on, day by day.
    fn timer(&self, scene: &Scene<'_>) -> Vec<f64> {
        let rules = scene.yard.water_rules.as_ref();
        let weekdays: Vec<i8> = match rules.map(|r| r.weekdays.as_slice()) {
            Some(days) if !days.is_empty() && !TIMER_DAYS.iter().all(|d| days.contains(d)) => {
                days.iter().copied().take(TIMER_DAYS.len()).collect()
            }
            _ => TIMER_DAYS.to_vec(),
        };
        let each: f64 = self.zones.iter().map(|z| counted_depth(scene, z, timer_minutes(z))).sum();
        let runs = |date: &Date| on_weekday(&weekdays, *date) && allowed(rules, *date);
        self.dates.iter().map(|d| if runs(d) { each } else { 0.0 }).collect()
    }

    /// How much longer the timer must run to leave no more days of stress than the advice, or than it can prevent at all.
    fn long_enough(&self, timer: &[f64], days: usize) -> f64 {
        let stress = |factor: f64| {
            let depths: Vec<f64> = timer.iter().map(|d| d * factor).collect();
            self.fared(0.0, &depths).stress_days
        };
        // More water never leaves the soil drier, so the days fall as the factor grows.
        let aim = days.max(stress(LONGEST_FACTOR));
        let (mut low, mut high) = (0.0, LONGEST_FACTOR);
        for _ in 0..LONG_STEPS {
            let middle = (low + high) / 2.0;
            if stress(middle) <= aim { high = middle } else { low = middle }
        }
        high
    }

    /// Depths of somebody who knows the weather from one chance to water to the next: just what keeps off stress, or the least run.
    fn with_foresight(&self, log: &Log) -> Vec<f64> {
        let asked = self.balance(&vec![0.0; self.days.len()]);
        let mut depletion = Millimetres::new(0.0);
        let mut depths = Vec::with_capacity(self.days.len());
        for i in 0..self.days.len() {
            let mut given = 0.0;
            if !log.barred[i] {
                let next = (i + 1..self.days.len()).find(|j| !log.barred[*j]).unwrap_or(self.days.len());
                let (mut ahead, mut short) = (depletion.get(), 0.0_f64);
                for j in (i..next).filter(|j| !self.resting[*j]) {
                    let morning = ahead - self.days[j].rain.get();
                    short = short.max(morning - asked[j].raw.get());
                    ahead = (morning + asked[j].etc.get()).max(0.0);
                }
                if short > 0.0 {
                    given = short.max(self.least_on(log, i));
                }
            }
            let inflow = Inflow { irrigation: Millimetres::new(given), ..self.days[i] };
            depletion = self.root_zone.step(depletion, &inflow).depletion;
            depths.push(given);
        }
        depths
    }

    /// The least run the advice would have given on a day.
    fn least_on(&self, log: &Log, day: usize) -> f64 {
        log.least.get(&self.area.key).and_then(|l| l.get(day)).copied().unwrap_or(0.0)
    }

    /// The least water of a season known in advance, and the days of stress nobody could avoid.
    fn least_water(&self, scene: &Scene<'_>, log: &Log) -> Option<WateringOptimum> {
        let advised = self.balance(&self.advised);
        let end = advised.last().map_or(Millimetres::new(0.0), |b| b.depletion);
        let taw = self.root_zone.taw();
        let hours = allowed_minutes(scene.yard.water_rules.as_ref());
        let most: f64 = self.zones.iter().map(|z| counted_depth(scene, z, hours)).sum();
        let days: Vec<KnownDay> = (0..self.days.len())
            .map(|i| {
                let least = self.least_on(log, i);
                let given = self.advised[i];
                let least = if given > 0.0 { least.min(given) } else { least };
                KnownDay {
                    demand: advised[i].etc,
                    rain: self.days[i].rain,
                    raw: if self.resting[i] { taw } else { advised[i].raw },
                    least: Millimetres::new(least),
                    most: Millimetres::new(if log.barred[i] { 0.0 } else { most.max(given).min(MOST_MM) }),
                }
            })
            .collect();
        // The advised runs are one of the schedules looked through, so there is one that reaches the end.
        watering_optimum(taw, Millimetres::new(0.0), end, &days).ok()
    }

    fn told(
        &self,
        scene: &Scene<'_>,
        log: &Log,
        all: &[LawnSeason<'_>],
        least: &[Option<WateringOptimum>],
        index: usize,
    ) -> Option<LawnTrial> {
        let per_mm = self.litres_per_mm();
        let timer = self.timer(scene);
        // A zone over several lawns waters them alike: the thirstiest sets the least for all.
        let shares = |other: &LawnSeason<'_>| other.zones.iter().any(|z| self.zones.iter().any(|y| y.key == z.key));
        let alike = all.iter().zip(least).filter(|(o, _)| shares(o));
        let depth = alike.filter_map(|(_, l)| Some(l.as_ref()?.total.get())).fold(0.0, f64::max);
        let own: Vec<f64> = least[index].as_ref()?.depths.iter().map(|d| d.get()).collect();
        let advice = self.fared(self.advised.iter().sum::<f64>() * per_mm, &self.advised);
        let factor = self.long_enough(&timer, advice.stress_days);
        let long: Vec<f64> = timer.iter().map(|d| d * factor).collect();
        let alike = if own.iter().sum::<f64>() > 0.0 { depth / own.iter().sum::<f64>() } else { 0.0 };
        let days = (0..self.dates.len()).map(|i| DayLitres {
            date: self.dates[i],
            advice: self.advised[i] * per_mm,
            timer: timer[i] * per_mm,
            long_timer: long[i] * per_mm,
            optimum: own[i] * alike * per_mm,
        });
        let foresight = self.with_foresight(log);
        let mm = |name: &'static str, v: f64| Value::number(name, v, "mm");
        let demand: f64 = self.balance(&self.advised).iter().map(|b| b.etc.get()).sum();
        let working = vec![
            Step::new(
                "what the season asked of this lawn",
                "sum of Kc × ET0 − rain",
                vec![
                    mm("demand", demand),
                    mm("rain", self.days.iter().map(|d| d.rain.get()).sum()),
                    mm("root zone holds", self.root_zone.taw().get()),
                ],
                mm("demand less rain", demand - self.days.iter().map(|d| d.rain.get()).sum::<f64>()),
            ),
            Step::new(
                "litres for a counted millimetre",
                "size / (0.4 + 0.6 × DU)",
                vec![Value::number("size", self.area.size_m2, "m²")],
                Value::number("litres a mm", per_mm, "L"),
            ),
            Step::new(
                "with the weather to the next chance known each morning",
                "the advice's own rule: what keeps off stress, or the least run",
                vec![mm("least possible", depth)],
                mm("depth", foresight.iter().sum()),
            ),
            Step::new(
                "advice over the least possible",
                "advised / least",
                vec![mm("advised", advice.depth_mm), mm("least", depth)],
                Value::number("ratio", if depth > 0.0 { advice.depth_mm / depth } else { 1.0 }, ""),
            ),
        ];
        Some(LawnTrial {
            lawn: scene.place_of(&self.area.key),
            zones: self.zones.iter().map(|z| Where { key: z.key.clone(), name: z.name.clone() }).collect(),
            taw_mm: self.root_zone.taw().get(),
            advice,
            timer: self.fared(timer.iter().sum::<f64>() * per_mm, &timer),
            long_timer: self.fared(long.iter().sum::<f64>() * per_mm, &long),
            long_timer_factor: factor,
            foresight: self.fared(foresight.iter().sum::<f64>() * per_mm, &foresight),
            days: days.collect(),
            optimum: Fared {
                depth_mm: depth,
                stress_days: least[index].as_ref()?.stress_days,
                ..self.fared(depth * per_mm, &own)
            },
            barred_days: log.barred.iter().filter(|b| **b).count(),
            cut_short: self.zones.iter().filter_map(|z| log.cut_short.get(&z.key)).sum(),
            working,
        })
    }
}

/// Minutes of the watering hours.
fn allowed_minutes(rules: Option<&WaterRules>) -> f64 {
    let minute = |t: jiff::civil::Time| f64::from(t.hour()) * 60.0 + f64::from(t.minute());
    rules.map_or(USUAL_SPAN_MIN, |r| (minute(r.until) - minute(r.from)).rem_euclid(1440.0))
}

/// Longest timer looked at, over the usual one, and halvings by which the right one is found.
const LONGEST_FACTOR: f64 = 6.0;
const LONG_STEPS: usize = 12;
/// A shortfall of this share of the day's use is rounding, not stress.
const STRESS_GRACE: f64 = 1e-9;
/// Minutes of the watering hours where none are told.
const USUAL_SPAN_MIN: f64 = 360.0;
/// Greatest depth of one run looked at (mm).
const MOST_MM: f64 = 200.0;

fn timer_minutes(zone: &ZoneFacts) -> f64 {
    TIMER_MINUTES.iter().find(|(k, _)| *k == zone.sprinkler).map_or(TIMER_MINUTES_OTHERS, |(_, m)| *m)
}

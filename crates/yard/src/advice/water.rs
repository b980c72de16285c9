//! Water: what each zone must run, and when.

use jiff::{Span, civil::Date};
use reckon::run_time::{RunTimeInput, Scheduling, run_time_working, zone_run_time};
use reckon::units::{Fraction, Millimetres, MillimetresPerHour};
use reckon::working::{Step, Value};
use serde::Serialize;

use super::delivery::{allowed, intake_of, litres_of, zone_rate, zone_uniformity};
use super::refill::{WORTH_STARTING_MM, least_run, refill};
use super::seed_stage::{SeedStage, seed_stage};
use super::seed_water::seed_plan;
use super::soil::{AreaWater, days_to_stress};
use super::water_day::WaterDay;
use super::{Item, Job, LogAs, Scene, Urgency, Where, Window, urgency_of, window_of};
use crate::entry::{SystemState, ZoneFacts};
use crate::fold::Yard;
use crate::survey::zone_coverage;
use crate::units::{Quantity, significant};
use crate::weather::Outlook;

/// Days ahead a zone's stress is looked for.
const STRESS_HORIZON_DAYS: i64 = 60;
/// Share of years with frost on this night from which sprinklers stay off.
const FROST_SHARE: f64 = 0.5;

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
    /// The new seed it waters, where there is some.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seed: Option<SeedStage>,
    /// Why.
    pub why: String,
    /// The soil's state is a guess: feel it before running anything.
    pub guessed: bool,
    /// Something the watering rules make worse.
    pub caution: Option<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
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
        seed: None,
        why: String::new(),
        guessed: false,
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
            "{}: evenness {du:.2} ({}); an audit with cans would tell",
            zone.name,
            if zone_coverage(scene.yard, &zone.key).is_some_and(|c| c.du_lq.get() <= du) {
                "of its heads on the map"
            } else {
                "usual for the sprinkler kind"
            }
        ));
    }
    let served: Vec<&AreaWater> = areas.iter().filter(|a| zone.areas.contains(&a.key)).collect();
    let rules = scene.yard.water_rules.as_ref();
    if let Some(why) = closed_for_winter(scene) {
        plan.state = ZoneState::Rest;
        plan.why = why;
        return plan;
    }
    // New seed goes before everything else.
    let behind = |s: &SeedStage| s.heat / s.needs[2].max(1.0);
    let seed =
        zone.areas.iter().filter_map(|a| seed_stage(scene, a, outlook)).min_by(|a, b| behind(a).total_cmp(&behind(b)));
    if let Some(seed) = seed {
        seed_plan(scene, zone, &mut plan, seed, rate, rate_value, outlook);
        return plan;
    }
    // A resting area asks for nothing, however dry it is.
    let thirst = |a: &AreaWater| if a.resting { f64::NEG_INFINITY } else { a.depletion_mm - a.raw_mm };
    let Some(governing) = served.iter().max_by(|a, b| thirst(a).total_cmp(&thirst(b))) else {
        plan.why = "none of its areas holds plants Toft knows".to_owned();
        return plan;
    };
    plan.governing = Some(scene.place_of(&governing.key));
    plan.guessed = governing.guessed;
    plan.assumed.extend(governing.assumed.iter().cloned());
    plan.working.extend(governing.working.iter().cloned());
    let to_stress = days_to_stress(scene, governing, outlook);
    let dry = to_stress.iter().filter(|d| d.is_some()).count();
    plan.window = window_of(scene.on, to_stress.clone(), STRESS_HORIZON_DAYS);
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
    // What could make the grass short before the next chance decides over today; the likely day over the days ahead.
    let now = refill(scene, governing, outlook);
    let frost = frost_night(scene, outlook);
    let open_today = allowed(rules, scene.on) && !frost && governing.depletion_mm >= WORTH_STARTING_MM;
    let run_today = open_today && now.depth_mm > 0.0;
    let Some(due_in) = likely.or(run_today.then_some(STRESS_HORIZON_DAYS)) else {
        plan.state = ZoneState::Wait;
        plan.why = format!("{state_words}. In {dry} of {} years it dries to that within 60 days.", to_stress.len());
        return plan;
    };
    let due = scene.on.checked_add(Span::new().days(due_in)).unwrap_or(scene.on);
    let tomorrow = scene.on.tomorrow().unwrap_or(scene.on);
    let mut water_on = if run_today { scene.on } else { due.max(tomorrow) };
    while water_on > tomorrow && !allowed(rules, water_on) {
        water_on = water_on.yesterday().unwrap_or(scene.on);
    }
    let mut guard = 0;
    while !run_today && !allowed(rules, water_on) && guard < 62 {
        water_on = water_on.tomorrow().unwrap_or(water_on);
        guard += 1;
    }
    if water_on > due && !allowed(rules, scene.on) {
        plan.caution = Some(format!(
            "the watering rules allow {water_on} at the earliest; stress begins about {due}. Ask for an exemption or water a little by hand"
        ));
    }
    plan.water_on = Some(water_on);
    plan.state = if run_today { ZoneState::RunToday } else { ZoneState::Wait };
    let need = if run_today {
        plan.working.extend(now.working.iter().cloned());
        now.depth_mm
    } else {
        // What the likely years will have used by then over the line, or the least run.
        let wait = usize::try_from(Yard::days_between(scene.on, water_on)).unwrap_or(0);
        let mut use_mm: Vec<f64> = outlook
            .years
            .iter()
            .map(|y| y.iter().take(wait).map(|d| governing.kc * d.et0_mm - d.rain_mm).sum())
            .collect();
        use_mm.sort_by(f64::total_cmp);
        let expected = use_mm.get(use_mm.len() / 2).copied().unwrap_or(0.0);
        let missing = (governing.depletion_mm + expected).clamp(0.0, governing.taw_mm);
        least_run(governing.raw_mm).max(missing - governing.raw_mm)
    };
    // Several zones on one area bring its water together.
    let sharers = scene.yard.zones_of(&governing.key).count().max(1) as f64;
    let need = need / sharers;
    plan.need_mm = need;
    if frost && now.depth_mm > 0.0 {
        plan.caution = Some(
            "frost is likely at night: no sprinklers until the nights are milder; a little by hand at midday if it wilts"
                .to_owned(),
        );
    }
    run_it(scene, zone, &mut plan, governing, need, rate, rate_value);
    plan.why = match plan.state {
        ZoneState::RunToday if due_in < now.next_chance as i64 => {
            format!("{state_words}: likely reached {}.", day_words(scene.on, due))
        }
        ZoneState::RunToday => format!(
            "{state_words}: it could be reached before the next chance to water, {}.",
            match now.next_chance {
                1 => "tomorrow".to_owned(),
                n => scene.on.checked_add(Span::new().days(n as i64)).unwrap_or(scene.on).to_string(),
            }
        ),
        _ => format!("{state_words}: likely reached on {due}."),
    };
    plan
}

/// Frost tonight or last night: half of the years and more have it, or it froze yesterday.
pub(super) fn frost_night(scene: &Scene<'_>, outlook: &Outlook<'_>) -> bool {
    let freezing = outlook.years.iter().filter(|y| y.first().is_some_and(|d| d.tmin_c <= 0.0)).count() as f64;
    freezing >= FROST_SHARE * outlook.years.len().max(1) as f64 || scene.weather.day(scene.yesterday()).tmin_c <= 0.0
}

/// Why the system is shut, if it is: by the daybook, or because a hard freeze has come and nobody opened it since.
pub(super) fn closed_for_winter(scene: &Scene<'_>) -> Option<String> {
    if let Some(last) = &scene.yard.sprinklers {
        if last.fact.state == SystemState::Shut {
            return Some(format!("The sprinklers were shut for the winter on {}.", last.on));
        }
        if Yard::days_between(last.on, scene.on) < 150 {
            return None;
        }
    }
    let freeze = super::system::hard_freeze_since_summer(scene)?;
    Some(format!("A hard freeze came on {freeze}: sprinklers stay shut until they are opened in spring (log it)."))
}

fn day_words(on: Date, due: Date) -> String {
    match Yard::days_between(on, due) {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        _ => format!("on {due}"),
    }
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

/// A zone's run in a sentence: "24 minutes in two runs of 12, an hour apart".
pub fn run_words(plan: &ZoneWater) -> String {
    let whole = |m: f64| if m < 10.0 { format!("{m:.1}") } else { format!("{m:.0}") };
    if plan.runs_a_day > 1 {
        let parts = if plan.cycles > 1 {
            format!(", each in {} parts of {}", plan.cycles, whole(plan.minutes_per_cycle))
        } else {
            String::new()
        };
        return format!("{} × {} minutes{parts}, spread over the day", plan.runs_a_day, whole(plan.minutes));
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
        window_of: match list {
            [one] if one.seed.as_ref().is_some_and(|s| s.first_up.is_some()) => "first green",
            [one] if one.seed.is_some() => "most of the seed up",
            _ => "stress begins without water",
        },
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
        log: list
            .iter()
            .map(|z| {
                // What runs today by the plan of the morning, where the hours cut it short.
                let scheduled: f64 = day
                    .map(|d| d.runs.iter().filter(|r| r.zone == z.key).map(|r| r.minutes).sum())
                    .filter(|m: &f64| *m > 0.0 && z.state == ZoneState::RunToday)
                    .unwrap_or(z.minutes);
                let minutes = significant(scheduled, 3);
                LogAs::new(format!("Log {}", z.name), "watered", &[("zone", z.key.clone()), ("minutes", minutes)])
            })
            .collect(),
    };
    let guessed: Vec<&ZoneWater> =
        today.iter().copied().filter(|z| z.state == ZoneState::RunToday && z.guessed).collect();
    if !guessed.is_empty() {
        let names = guessed.iter().map(|z| z.name.as_str()).collect::<Vec<_>>().join(", ");
        let why = format!(
            "Nothing was ever written down of the soil under {names}. If a screwdriver finds it dry at root depth, run as below; else log what you felt."
        );
        let mut item =
            collect(&guessed, format!("Feel the soil before watering: {names}"), Urgency::ThisWeek, None, why);
        item.log.extend(guessed.iter().filter_map(|z| z.governing.as_ref()).map(|area| {
            LogAs::new(format!("Log the soil of {}", area.name), "soil-water", &[("area", area.key.clone())])
        }));
        out.push(item);
    }
    let grown: Vec<&ZoneWater> =
        today.iter().copied().filter(|z| z.state == ZoneState::RunToday && !z.guessed).collect();
    if !grown.is_empty() {
        let title = match (grown.as_slice(), day) {
            ([one], _) => format!("Run {} for {}", one.name, run_words(one)),
            (many, Some(day)) if day.left_over.is_empty() => {
                format!("Run {} zones in the next watering hours, from {}", many.len(), day.start_words())
            }
            (many, Some(day)) => {
                format!("Run {} zones as far as the watering hours allow, from {}", many.len(), day.start_words())
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

//! The zones due today laid out in time: one runs while the others soak, finished before the watering hours end.

use jiff::civil::Time;
use serde::Serialize;

use super::Scene;
use super::water::{ZoneState, ZoneWater};

/// One run of one zone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Run {
    /// Zone key.
    pub zone: String,
    /// Zone name.
    pub name: String,
    /// Minutes after the first start.
    pub after_minutes: f64,
    /// Minutes it runs.
    pub minutes: f64,
    /// Clock time it starts, minutes after midnight.
    pub start_minute: f64,
}

/// The morning's runs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WaterDay {
    /// Runs in order.
    pub runs: Vec<Run>,
    /// From first start to last end (min).
    pub span_minutes: f64,
    /// First start, minutes after midnight.
    pub start_minute: f64,
    /// Last end allowed, minutes after midnight.
    pub end_minute: f64,
    /// Zones, or parts of their runs, that do not fit into the allowed hours: the next allowed day's work.
    pub left_over: Vec<String>,
    /// Hours were assumed, not told.
    pub hours_assumed: bool,
}

impl WaterDay {
    /// Start as a clock time.
    pub fn start_words(&self) -> String {
        clock(self.start_minute)
    }
}

/// Minutes after midnight as a clock time.
pub fn clock(minute: f64) -> String {
    let whole = minute.rem_euclid(1440.0).floor() as i64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

fn minute_of(time: Time) -> f64 {
    f64::from(time.hour()) * 60.0 + f64::from(time.minute())
}

/// Usual watering hours where none were told: done by 8 in the morning, not before 2 (common practice: before sunrise, when air
/// is still and leaves dry soon after).
const USUAL_HOURS: (f64, f64) = (120.0, 480.0);

/// Lays out today's zones (new seed, which runs several times a day, is left out). `None` when nothing is due.
///
/// The driest zones come first into the day; a zone that no longer fits is left over. Not an optimum: each moment starts the
/// zone that is ready and has most cycles to go.
pub fn lay_out(scene: &Scene<'_>, zones: &[ZoneWater]) -> Option<WaterDay> {
    let mut due: Vec<&ZoneWater> =
        zones.iter().filter(|z| z.state == ZoneState::RunToday && z.minutes > 0.0 && !z.guessed).collect();
    if due.is_empty() {
        return None;
    }
    let (from, until, hours_assumed) = match &scene.yard.water_rules {
        Some(rules) => (minute_of(rules.from), minute_of(rules.until), false),
        None => (USUAL_HOURS.0, USUAL_HOURS.1, true),
    };
    let allowed = (until - from).rem_euclid(1440.0);
    due.sort_by(|a, b| b.dryness.total_cmp(&a.dryness));
    let mut chosen: Vec<Turn<'_>> = Vec::new();
    let mut left_over = Vec::new();
    let mut laid = (Vec::new(), 0.0);
    for zone in due {
        let whole = Turn { zone, cycles: zone.cycles, minutes: zone.minutes_per_cycle };
        // All of it, else the most cycles that fit, else what time is left in one run.
        let fewer = (1..zone.cycles).rev().map(|cycles| Turn { cycles, ..whole });
        let busy: f64 = chosen.iter().map(|t| f64::from(t.cycles) * t.minutes).sum();
        let most = (allowed - busy).min(zone.minutes_per_cycle);
        let rest = (0..200)
            .map(|k| most - 5.0 * f64::from(k))
            .take_while(|m| *m >= LEAST_PART_MIN)
            .map(|minutes| Turn { cycles: 1, minutes, ..whole });
        let fits = std::iter::once(whole).chain(fewer).chain(rest).find_map(|turn| {
            let mut with = chosen.clone();
            with.push(turn);
            let laid = sequence(&with);
            (turn.minutes >= LEAST_PART_MIN.min(zone.minutes_per_cycle) && laid.1 <= allowed + 1e-9)
                .then_some((turn, laid))
        });
        match fits {
            None => left_over.push(zone.name.clone()),
            Some((turn, with)) => {
                let part = f64::from(turn.cycles) * turn.minutes;
                if part < zone.minutes - 0.5 {
                    left_over.push(format!("{} ({:.0} of its {:.0} minutes run today)", zone.name, part, zone.minutes));
                }
                chosen.push(turn);
                laid = with;
            }
        }
    }
    let (mut runs, span) = laid;
    let start = (until - span).rem_euclid(1440.0).floor();
    for run in &mut runs {
        run.start_minute = (start + run.after_minutes).rem_euclid(1440.0);
    }
    Some(WaterDay { runs, span_minutes: span, start_minute: start, end_minute: until, left_over, hours_assumed })
}

/// Shortest part of a long run worth starting (min).
const LEAST_PART_MIN: f64 = 15.0;

/// A zone's share of the day.
#[derive(Clone, Copy)]
struct Turn<'a> {
    zone: &'a ZoneWater,
    cycles: u32,
    minutes: f64,
}

/// The runs of these zones one after the other, soaks kept, and the minutes from first start to last end.
fn sequence(zones: &[Turn<'_>]) -> (Vec<Run>, f64) {
    // Each zone: cycles left, and when its ground has taken in the last one.
    let mut left: Vec<(u32, f64)> = zones.iter().map(|z| (z.cycles, 0.0)).collect();
    let mut now = 0.0_f64;
    let mut runs = Vec::new();
    loop {
        let next = left
            .iter()
            .enumerate()
            .filter(|(_, (cycles, _))| *cycles > 0)
            .map(|(i, (cycles, ready))| (ready.max(now), *cycles, i))
            .min_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        let Some((start, _, i)) = next else { break };
        let turn = zones[i];
        runs.push(Run {
            zone: turn.zone.key.clone(),
            name: turn.zone.name.clone(),
            after_minutes: start,
            minutes: turn.minutes,
            start_minute: 0.0,
        });
        now = start + turn.minutes;
        left[i] = (left[i].0 - 1, now + turn.zone.soak_minutes);
    }
    (runs, now)
}

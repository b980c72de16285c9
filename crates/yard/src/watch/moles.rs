//! Moles: what to do next where runs were written down, the local wildlife law first.

use jiff::civil::Date;
use serde::Serialize;

use super::Look;
use crate::advice::{Scene, Where};
use crate::entry::{MoleRun, RunState};
use crate::fold::{Dated, Yard};

/// Days a look that named moles is followed up: no run raised in two weeks is taken as done; common practice.
const FOLLOWED_DAYS: i64 = 14;
/// Hours, as days, after which a flattened run tells whether it is used (University of Missouri G9440 and Ohio State University
/// Extension: a day; some wait two).
const RAISED_AGAIN_DAYS: i64 = 2;

/// One thing to look at where the last look at an area found moles and left the matter open.
pub(super) fn look(scene: &Scene<'_>) -> Option<Look> {
    let mut newest = None;
    let mut places = Vec::new();
    for area in scene.yard.areas.iter().filter(|a| !a.retired) {
        let last = scene.yard.scoutings.iter().rev().find(|s| s.fact.area == area.key && s.on <= scene.on);
        let Some(seen) = last.filter(|s| s.fact.cause.as_deref() == Some("moles") && !s.fact.settled) else { continue };
        if Yard::days_between(seen.on, scene.on) <= FOLLOWED_DAYS {
            newest = newest.max(Some(seen.on));
            places.push(scene.place_of(&area.key));
        }
    }
    let seen = newest?;
    let since = Yard::days_between(seen, scene.on);
    let now = if since == 0 {
        "Press 15 to 30 cm of each run flat at five to ten marked places today; look after 24 to 48 hours."
    } else if since <= RAISED_AGAIN_DAYS {
        "Look at the places pressed flat: what is raised again is in use; press it flat once more, and what is raised twice is worth a trap."
    } else {
        "Press the runs flat again and look in a day. A trap that caught nothing in two days belongs on another run that is in use."
    };
    Some(Look {
        title: "moles: which runs are in use?".to_owned(),
        places,
        look_at: "straight runs along fences, walks and bed edges".to_owned(),
        how: format!(
            "Before any trap ask your state’s wildlife agency: some states forbid or limit mole traps. {now} Set traps where no child or pet \
             can reach them, and look at them at least daily. Treating grubs does not drive moles off: they live on earthworms too."
        ),
        why: format!(
            "Moles were written down on {seen}. Two days without a catch, then move: University of Missouri Extension G9440."
        ),
        recalled: false,
        log: "mole-run",
    })
}

/// Days a trap may stand without a catch (University of Missouri G9440; Kansas State University tells three).
const MOVE_AFTER_DAYS: i64 = 2;

/// Before anything else is told of traps.
pub const LAW: &str = "Ask your state’s wildlife agency before any trap: some states forbid or limit mole traps, and gophers, voles and moles are \
    not under one law. Set none where a child or a pet can reach it, look at each at least daily, and have buried lines marked before digging.";

/// What digs, and how its work is told from the others' (mole and gopher: University of Nebraska–Lincoln NebGuide G1538; University of
/// Missouri G9440; the rest common practice).
pub const WHO_DIGS: [(&str, &str); 5] = [
    (
        "mole",
        "Raised, spongy ridges a hand wide, and round mounds pushed up like a small volcano, without a hole to be seen. Grass is lifted, not eaten.",
    ),
    (
        "vole",
        "Open runways 3 to 5 cm wide in the grass itself, clipped short, mostly seen after snow; small open holes without mounds; bark gnawed at the foot of shrubs. No ridge.",
    ),
    (
        "pocket gopher",
        "Fan-shaped mounds of loose soil with the plugged hole at one side; no ridges. Eats roots and pulls plants under.",
    ),
    (
        "grub hunters",
        "Turf torn up or small cones dug by skunks, raccoons or birds: dig a square foot and count grubs.",
    ),
    (
        "crayfish, cicada-killers, nightcrawlers",
        "Mud chimneys; a thumb-wide hole with a fan of soil in bare, sunny ground; small bumps of casts. None lifts a ridge.",
    ),
];

/// Whether a mole uses a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Use {
    /// It was raised again after it was pressed flat, or caught on.
    Used,
    /// Not tried yet, or the answer is due.
    Unknown,
    /// It stayed flat, or nothing was seen of it for a fortnight.
    Quiet,
}

impl Use {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Used => "in use",
            Self::Unknown => "not known yet",
            Self::Quiet => "quiet",
        }
    }
}

/// A run as the daybook has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunWatch {
    /// The owner's name for it.
    pub run: String,
    /// Where it lies.
    pub place: Where,
    /// What was found or done last, and when.
    pub state: RunState,
    /// The day of that.
    pub on: Date,
    /// Whether it is in use.
    pub used: Use,
    /// Times it was raised again in the last fortnight.
    pub raised: usize,
    /// Moles caught on it.
    pub caught: usize,
    /// Since when a trap stands on it.
    pub trap: Option<Date>,
    /// Its line on the map (m east and north), where one was told.
    pub line: Vec<[f64; 2]>,
    /// What it wants next.
    pub next: Option<String>,
}

type Told<'a> = Vec<&'a Dated<MoleRun>>;

fn within(day: Date, on: Date) -> bool {
    Yard::days_between(day, on) <= FOLLOWED_DAYS
}

/// Since when a trap stands on a run; each look and each catch leaves it standing.
fn trap_on(told: &Told<'_>) -> Option<Date> {
    let last = told.last()?.fact.state;
    let standing = matches!(last, RunState::TrapSet | RunState::TrapEmpty | RunState::Caught);
    told.iter().rev().find(|r| r.fact.state == RunState::TrapSet).map(|r| r.on).filter(|_| standing)
}

fn one_run(scene: &Scene<'_>, told: &Told<'_>) -> Option<RunWatch> {
    let last = *told.last()?;
    let recent = |state| told.iter().filter(|r| r.fact.state == state && within(r.on, scene.on)).count();
    let used = match last.fact.state {
        RunState::StayedFlat => Use::Quiet,
        _ if !within(last.on, scene.on) => Use::Quiet,
        RunState::Raised | RunState::Caught => Use::Used,
        RunState::TrapSet | RunState::TrapEmpty if recent(RunState::Raised) > 0 => Use::Used,
        _ => Use::Unknown,
    };
    Some(RunWatch {
        run: last.fact.run.clone(),
        place: scene.place_of(&last.fact.area),
        state: last.fact.state,
        on: last.on,
        used,
        raised: recent(RunState::Raised),
        caught: told.iter().filter(|r| r.fact.state == RunState::Caught).count(),
        trap: trap_on(told),
        line: told.iter().rev().map(|r| &r.fact.line).find(|l| !l.is_empty()).cloned().unwrap_or_default(),
        next: None,
    })
}

/// The run a trap that caught nothing belongs on: in use before unknown, oftenest raised, newest, and without a trap.
fn better<'a>(all: &'a [RunWatch], than: &RunWatch) -> Option<&'a RunWatch> {
    all.iter()
        .filter(|r| (&r.run, &r.place.key) != (&than.run, &than.place.key) && r.trap.is_none() && r.used == Use::Used)
        .max_by_key(|r| (r.raised, r.on))
}

fn next_of(all: &[RunWatch], run: &RunWatch, caught_since_set: bool, on: Date) -> Option<String> {
    let since = Yard::days_between(run.on, on);
    if let Some(set) = run.trap {
        if !caught_since_set && Yard::days_between(set, on) >= MOVE_AFTER_DAYS {
            let to = match better(all, run) {
                Some(r) => format!("set it on “{}” ({}), raised again on {}", r.run, r.place.name, r.on),
                None => "set it on another run that is in use; press the others flat to learn which".to_owned(),
            };
            return Some(format!("no catch in two days: take the trap up and {to}."));
        }
        return (since >= 1).then(|| "look at the trap today: at least once a day.".to_owned());
    }
    let words = match run.state {
        RunState::Found if since <= FOLLOWED_DAYS => "press it flat at marked places, then look after 24 to 48 hours.",
        RunState::Flattened if (1..=FOLLOWED_DAYS).contains(&since) => {
            "look whether it is raised again: if so it is in use."
        }
        RunState::Raised if since <= FOLLOWED_DAYS && run.raised >= 2 => {
            "raised twice: in steady use, and worth a trap where the law allows one; a straight stretch along an edge is best."
        }
        RunState::Raised if since <= FOLLOWED_DAYS => {
            "it is in use: press it flat once more; raised twice it is worth a trap, where the law allows one."
        }
        _ => return None,
    };
    Some(words.to_owned())
}

/// Every run of the last year, in use first, with what it wants next.
pub(super) fn runs(scene: &Scene<'_>) -> Vec<RunWatch> {
    let mut by_run: Vec<((&str, &str), Told<'_>)> = Vec::new();
    for told in scene.yard.mole_runs.iter().filter(|r| r.on <= scene.on && Yard::days_between(r.on, scene.on) <= 366) {
        let key = (told.fact.area.as_str(), told.fact.run.as_str());
        match by_run.iter_mut().find(|(k, _)| *k == key) {
            Some((_, list)) => list.push(told),
            None => by_run.push((key, vec![told])),
        }
    }
    let mut all: Vec<RunWatch> = by_run.iter().filter_map(|(_, told)| one_run(scene, told)).collect();
    let caught_since_set = |run: &RunWatch| {
        let told = by_run.iter().find(|((area, name), _)| *area == run.place.key && *name == run.run);
        let since = |set| told.is_some_and(|(_, t)| t.iter().any(|r| r.fact.state == RunState::Caught && r.on >= set));
        run.trap.is_some_and(since)
    };
    let next: Vec<Option<String>> = all.iter().map(|r| next_of(&all, r, caught_since_set(r), scene.on)).collect();
    for (run, next) in all.iter_mut().zip(next) {
        run.next = next;
    }
    all.sort_by_key(|r| (r.used as u8, std::cmp::Reverse(r.on)));
    all
}

/// The runs that want something, as things to look at.
pub(super) fn looks(runs: &[RunWatch]) -> impl Iterator<Item = Look> + '_ {
    runs.iter().filter_map(|r| {
        let next = r.next.as_ref()?;
        Some(Look {
            title: format!("mole run “{}”", r.run),
            places: vec![r.place.clone()],
            look_at: "the places you marked".to_owned(),
            how: format!(
                "Ask your state’s wildlife agency before any trap: some states forbid or limit mole traps. Now: {next}"
            ),
            why: format!(
                "It was {} on {}. Two days without a catch, then move: University of Missouri Extension G9440.",
                r.state.words(),
                r.on
            ),
            recalled: false,
            log: "mole-run",
        })
    })
}

//! Moles: what to do next where runs were written down, the local wildlife law first.

use super::Look;
use crate::advice::Scene;
use crate::entry::RunState;
use crate::fold::Yard;

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

/// What each run written down wants next.
pub(super) fn runs(scene: &Scene<'_>) -> Vec<Look> {
    let all: Vec<_> = scene.yard.mole_runs.iter().filter(|r| r.on <= scene.on).collect();
    let mut out: Vec<Look> = Vec::new();
    for (i, last) in all.iter().enumerate() {
        let same = |r: &&crate::fold::Dated<crate::entry::MoleRun>| {
            r.fact.area == last.fact.area && r.fact.run == last.fact.run
        };
        if all[i + 1..].iter().any(&same) {
            continue;
        }
        let since = Yard::days_between(last.on, scene.on);
        let set = all[..=i].iter().rev().filter(|r| same(r)).find(|r| r.fact.state == RunState::TrapSet).map(|r| r.on);
        let caught_since = |day| all[..=i].iter().any(|r| same(r) && r.on >= day && r.fact.state == RunState::Caught);
        let standing =
            set.filter(|_| matches!(last.fact.state, RunState::TrapSet | RunState::TrapEmpty | RunState::Caught));
        let stale =
            standing.is_some_and(|day| !caught_since(day) && Yard::days_between(day, scene.on) >= MOVE_AFTER_DAYS);
        let next = match last.fact.state {
            _ if stale => "no catch in two days: take the trap up and set it on another run that is in use.",
            RunState::TrapSet | RunState::TrapEmpty | RunState::Caught if since >= 1 => {
                "look at the trap today: at least once a day."
            }
            RunState::Found if since <= FOLLOWED_DAYS => {
                "press it flat at marked places, then look after 24 to 48 hours."
            }
            RunState::Flattened if (1..=FOLLOWED_DAYS).contains(&since) => {
                "look whether it is raised again: if so it is in use."
            }
            RunState::Raised if since <= FOLLOWED_DAYS => {
                "it is in use: press it flat once more; raised twice it is worth a trap, where the law allows one."
            }
            _ => continue,
        };
        out.push(Look {
            title: format!("mole run “{}”", last.fact.run),
            places: vec![scene.place_of(&last.fact.area)],
            look_at: "the places you marked".to_owned(),
            how: format!(
                "Ask your state’s wildlife agency before any trap: some states forbid or limit mole traps. Now: {next}"
            ),
            why: format!(
                "It was {} on {}. Two days without a catch, then move: University of Missouri Extension G9440.",
                last.fact.state.words(),
                last.on
            ),
            recalled: false,
            log: "mole-run",
        });
    }
    out
}

//! Moles: what to do next where runs were written down, the local wildlife law first.

use super::Look;
use crate::advice::Scene;
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
    })
}

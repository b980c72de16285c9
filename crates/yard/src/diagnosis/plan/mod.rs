//! From what is wrong to a plan: the act, when it works, with what and how much, what the checks say, how the grass comes back, and when
//! to look whether it did.
//!
//! The act comes of [`decide_in`]; what fits a cause and when it works are rows of the almanac's remedies; amounts, checks
//! and sowing windows are those of the shed and of the advice.

mod mend;
mod steps;
mod timing;
mod treat;
mod vigour;

use almanac::{Cause, CauseAct};
use jiff::{ToSpan, civil::Date};
use reckon::working::Step;
use serde::Serialize;

pub use mend::{Mend, Mending};
pub use steps::Care;
pub use timing::When;
pub use treat::{OnShelf, Treatment};
pub use vigour::VigourTold;

use super::{Conditions, Count, Seen, conditions_of, decide_in, seen_of};
use crate::advice::{LogAs, Scene};
use crate::entry::{AreaFacts, Scouted};
use treat::{Spot, treatments};

/// Weeks after sowing in which a stand counts as young: half a year.
const YOUNG_WEEKS: f64 = 26.0;

/// A patch as it was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Patch {
    /// Ground of it (m²).
    pub size_m2: Option<f64>,
    /// Widest bare gap in it (m).
    pub gap_m: Option<f64>,
    /// Share of the whole area thin or bare (%).
    pub share_pct: Option<f64>,
}

impl Patch {
    /// The patch of a look in the daybook.
    pub fn of(scouted: &Scouted) -> Self {
        Self { size_m2: scouted.size_m2, gap_m: scouted.gap_m, share_pct: scouted.share_pct }
    }
}

/// Work the plan comes to, to be written down as planned.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ToPlan {
    /// The day it is meant for.
    pub on: Date,
    /// The entry.
    pub entry: LogAs,
}

/// What to do about a cause on a patch.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// Key of the cause.
    pub cause: String,
    /// The kind of action.
    pub act: CauseAct,
    /// Prevention works today.
    pub prevent_now: bool,
    /// Why this act, with the figures.
    pub line: String,
    /// The finding to count with first, where nothing has been counted.
    pub count_first: Option<String>,
    /// How the grass stands.
    pub vigour: VigourTold,
    /// Law and danger first.
    pub cautions: Vec<String>,
    /// Ingredients that fit, those on the shelf first.
    pub treatments: Vec<Treatment>,
    /// The treatments are for where it comes every year.
    pub only_every_year: bool,
    /// Other means, in words.
    pub also: Vec<String>,
    /// Care in steps.
    pub care: Vec<Care>,
    /// How the ground is mended.
    pub mend: Option<Mend>,
    /// Next look.
    pub again: Date,
    /// Days until then.
    pub again_days: u16,
    /// What shows that it worked.
    pub look_for: String,
    /// What a tap writes down as planned.
    pub to_plan: Vec<ToPlan>,
    /// The computation.
    pub working: Vec<Step>,
    /// Source of the care.
    pub source: String,
}

impl Plan {
    /// The act as a heading.
    pub fn heading(&self) -> &'static str {
        match self.act {
            CauseAct::Nothing => "Leave it",
            CauseAct::Cultural => "Care for it another way",
            CauseAct::TreatNow => "Treat now",
            CauseAct::PreventLater if self.prevent_now => "Prevent now",
            CauseAct::PreventLater => "Too late now; prevent next time",
            CauseAct::Repair => "Mend the place",
        }
    }
}

/// The plan for a cause on an area, with what was seen, counted and measured of the patch.
pub fn plan_for(
    scene: &Scene<'_>,
    area: &AreaFacts,
    cause: &Cause,
    known: &Conditions,
    seen: &[Seen],
    count: Option<&Count>,
    patch: &Patch,
) -> Plan {
    // Nothing later than the day is looked at.
    let weather = scene.weather.known_before(scene.on, scene.almanac);
    let scene = &Scene { yard: scene.yard, weather: &weather, almanac: scene.almanac, on: scene.on };
    let outlook = scene.weather.outlook(scene.yesterday(), 366);
    let mut working = Vec::new();
    let (vigour, step) = vigour::vigour(scene, area, known, patch.share_pct);
    working.push(step);
    let remedy = scene.almanac.remedy(&cause.id);
    let cure_when = remedy.and_then(|r| timing::when(scene, &outlook, r.cure_when.as_ref()?));
    let prevent_when = remedy.and_then(|r| timing::when(scene, &outlook, r.prevent_when.as_ref()?));
    for (label, window) in [("when a cure works", &cure_when), ("when prevention works", &prevent_when)] {
        working.extend(window.iter().map(|w| timing::working(label, w, &outlook)));
    }
    // A threshold of degree days or soil goes before the month.
    let by_month = cause.treat_months.is_empty() || known.month.is_none_or(|m| cause.treat_months.contains(&m));
    let in_season = cure_when.as_ref().map_or(by_month, |w| w.open);
    let dug = seen.iter().any(|s| s.finding == "animals" && s.outcome.as_deref() == Some("digging"));
    let count = count.filter(|c| counts_for(cause, seen, c));
    let decision = decide_in(cause, in_season, vigour.vigour, count, dug);
    let mut act = decision.act;
    if remedy.is_some_and(|r| r.young_only) {
        let young = known.weeks_since_sown.is_some_and(|w| w < YOUNG_WEEKS);
        act = if young && in_season { CauseAct::TreatNow } else { CauseAct::Cultural };
    }
    let strip_m = remedy.map_or(0.0, |r| r.margin_m);
    let spot = Spot { area, m2: patch.size_m2.map(|m2| m2.min(area.size_m2)), strip_m };
    // Too few animals to matter: nothing is put down, and nothing is mended on their account.
    let left = act == CauseAct::Nothing && count.is_some();
    let only_every_year = act == CauseAct::Cultural && cause.threshold.is_empty();
    let (mut found, mut also) = (Vec::new(), Vec::new());
    if let Some(r) = remedy {
        let (links, window) = match act {
            CauseAct::TreatNow => (r.cure.as_slice(), r.cure_when.as_ref()),
            CauseAct::PreventLater => (r.prevent.as_slice(), r.prevent_when.as_ref()),
            CauseAct::Cultural if only_every_year => (r.prevent.as_slice(), r.prevent_when.as_ref()),
            _ => ([].as_slice(), None),
        };
        let (rows, steps) = treatments(scene, &outlook, links, window, spot);
        found = rows;
        working.extend(steps);
        if act == CauseAct::TreatNow {
            also.clone_from(&r.also);
        }
    }
    let care = match remedy {
        Some(r) if !left => steps::steps(scene, &outlook, r, spot, &mut working),
        _ => Vec::new(),
    };
    let mended = remedy
        .filter(|_| !left)
        .map(|r| mend::mend(scene, &outlook, r.heals, patch, spot, decision.again_days, &mut working));
    let open = |t: &Treatment| t.when.as_ref().is_some_and(|w| w.open);
    let prevent_now = act == CauseAct::PreventLater && found.iter().any(open);
    let mut cautions: Vec<String> = remedy.iter().filter_map(|r| r.caution.clone()).collect();
    if !found.is_empty() || !also.is_empty() {
        cautions.extend(crate::form::form("applied").map(|spec| spec.caution.to_owned()));
    }
    let mut to_plan = Vec::new();
    if !only_every_year && let Some(row) = found.iter().flat_map(|t| &t.on_shelf).find(|row| row.plan.is_some()) {
        to_plan.extend(row.plan.iter().map(|entry| ToPlan { on: row.on, entry: entry.clone() }));
    }
    if let Some(m) = &mended {
        to_plan.extend(m.on.iter().zip(&m.plan).map(|(on, entry)| ToPlan { on: *on, entry: entry.clone() }));
    }
    Plan {
        cause: cause.id.clone(),
        act,
        prevent_now,
        line: decision.line,
        count_first: decision.count_first,
        vigour,
        cautions,
        only_every_year: only_every_year && !found.is_empty(),
        treatments: found,
        also,
        care,
        mend: mended,
        again: scene.on.checked_add(i64::from(decision.again_days).days()).unwrap_or(scene.on),
        again_days: decision.again_days,
        look_for: decision.look_for,
        to_plan,
        working,
        source: remedy.map(|r| r.source.clone()).unwrap_or_default(),
    }
}

/// Whether a count was of this cause's pest, and made.
fn counts_for(cause: &Cause, seen: &[Seen], count: &Count) -> bool {
    let own = count.pest.is_none() || cause.threshold.iter().any(|row| Some(&row.pest) == count.pest.as_ref());
    own && seen.iter().any(|s| Some(s.finding.as_str()) == cause.count.as_deref())
}

/// The plan for the cause a look in the daybook held likeliest; `None` where it held none.
pub fn plan_of(scene: &Scene<'_>, area: &AreaFacts, scouted: &Scouted) -> Option<Plan> {
    // A plant's causes are of a table of their own.
    let cause = scene.almanac.cause(scouted.cause.as_deref().filter(|_| scouted.plant.is_none())?)?;
    let count = scouted.count_per_m2.map(|per_m2| Count { per_m2, pest: scouted.pest.clone() });
    let known = conditions_of(scene, area);
    Some(plan_for(scene, area, cause, &known, &seen_of(&scouted.findings), count.as_ref(), &Patch::of(scouted)))
}

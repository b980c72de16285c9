//! Whether a patch comes back, closes from its rim or is sown, and when, with how much seed.

use almanac::{Heals, Season};
use jiff::civil::Date;
use reckon::patch::gap_closing_days;
use reckon::units::Metres;
use reckon::working::{Step, Value};
use serde::Serialize;

use super::timing::growing_days;
use super::{Patch, treat::Spot};
use crate::advice::checks::{check_sowing, nearest_clear_day};
use crate::advice::{Finding, Level, LogAs, Scene, SowWindow, seeding};
use crate::entry::{Body, Planned, Seeded, Sowing, Work};
use crate::form::typed_from;
use crate::units::Quantity;
use crate::weather::Outlook;

/// Widest gap a grass with rhizomes or stolons closes by itself: a fist, 4 in (University of Minnesota Extension 2003: spots smaller than
/// a fist fill in by themselves, larger ones fill with weeds first).
const CLOSES_M: f64 = 0.1016;
/// Widest gap a bunch grass bears without seed: about 3 in (common practice).
const BUNCH_BEARS_M: f64 = 0.0762;
/// Share of the lawn dead from which it is made anew: over half (University of Maryland Extension, lawn renovation; Iowa State
/// University's 30/70 rule: over half bare).
const ANEW_PCT: f64 = 50.0;
/// From here the sources part: 40 to 50 % (University of Minnesota Extension, Determining When Renovation is Needed).
const PERHAPS_ANEW_PCT: f64 = 40.0;

/// What becomes of the patch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mending {
    /// The grass grows again.
    Wait,
    /// The rims close the gap.
    Closes,
    /// Seed on the patch.
    Sow,
    /// Sod or plugs: this grass has no seed in the trade.
    Sod,
    /// The lawn is made anew.
    Anew,
    /// The gap or the share decides: measure it.
    Measure,
}

/// How the ground is mended.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mend {
    /// What becomes of it.
    pub mending: Mending,
    /// Why, with the figures.
    pub why: String,
    /// Seed in words; empty where none is sown.
    pub amounts: Vec<String>,
    /// When it may be sown next.
    pub window: Option<SowWindow>,
    /// The day it is meant for.
    pub on: Option<Date>,
    /// The checks on that day.
    pub findings: Vec<Finding>,
    /// First day nothing stops it, where something does.
    pub clear: Option<Date>,
    /// The entry that plans it.
    pub plan: Option<LogAs>,
}

/// The words with a capital first.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}

impl Mend {
    fn plain(mending: Mending, why: String) -> Self {
        Self {
            mending,
            why: capital(&why),
            amounts: Vec::new(),
            window: None,
            on: None,
            findings: Vec::new(),
            clear: None,
            plan: None,
        }
    }
}

/// What becomes of the patch of a cause.
pub(super) fn mend(
    scene: &Scene<'_>,
    outlook: &Outlook<'_>,
    heals: Heals,
    patch: &Patch,
    spot: Spot<'_>,
    again_days: u16,
    working: &mut Vec<Step>,
) -> Mend {
    let u = scene.units();
    if heals == Heals::Regrows {
        return Mend::plain(
            Mending::Wait,
            format!(
                "The crowns live as a rule: it greens by itself. Sow only what shows no green in {again_days} days."
            ),
        );
    }
    let Some(grass) = spot.area.grass.as_deref().and_then(|g| scene.almanac.grass(g)) else {
        return Mend::plain(Mending::Measure, "The grass of this lawn is not known.".to_owned());
    };
    let first = if heals == Heals::Crowns {
        format!("Look at ten crowns first: firm and white lives, and is given {again_days} days. For what is dead: ")
    } else {
        String::new()
    };
    let whole = patch.share_pct.unwrap_or_else(|| patch.size_m2.map_or(0.0, |m2| 100.0 * m2 / spot.area.size_m2));
    if whole > ANEW_PCT {
        let why = format!(
            "{first}{whole:.0} % of the lawn is dead, over {ANEW_PCT:.0} %: make it anew at the full rate of seed once the cause is mended."
        );
        return sow(scene, outlook, Mending::Anew, why, grass, spot, whole, working);
    }
    let spreads = grass.habit != "bunch";
    let perhaps = if whole >= PERHAPS_ANEW_PCT {
        format!(" At {whole:.0} % of the lawn the sources part between sowing over and making it anew.")
    } else {
        String::new()
    };
    let Some(gap) = patch.gap_m else {
        if patch.size_m2.is_none() && patch.share_pct.is_none() {
            let why = format!(
                "{first}measure the widest bare gap: {} closes up to {} by itself, {} does not.",
                grass.name,
                u.say(Quantity::Depth, if spreads { CLOSES_M } else { BUNCH_BEARS_M } * 1000.0),
                if spreads { "a wider one" } else { "a wider one, growing in bunches," }
            );
            return Mend::plain(Mending::Measure, why);
        }
        let why = format!("{first}sow the bare ground.{perhaps}");
        return sow(scene, outlook, Mending::Sow, why, grass, spot, whole, working);
    };
    let gap_words = u.say(Quantity::Depth, gap * 1000.0);
    if spreads && gap <= CLOSES_M {
        let spread = scene.almanac.spread(&grass.id);
        let need = spread.and_then(|s| gap_closing_days(Metres::new(gap), s.mm_month).ok());
        if let (Some(spread), Some(need)) = (spread, need) {
            let left = growing_days(scene, outlook, grass.season);
            working.push(Step::new(
                "days of growth until the gap closes",
                "half the gap / what a rim comes in a month of growth",
                vec![
                    Value::number("gap", gap * 1000.0, "mm"),
                    Value::number("rim", spread.mm_month, "mm in a month").from(spread.source.clone()),
                    Value::number("days of growth before the next hard freeze of autumn", left, "d")
                        .from(outlook.basis.clone()),
                ],
                Value::number("needed", need, "d"),
            ));
            let why = format!(
                "{first}gaps of {gap_words} close by themselves: {} spreads by {} and needs about {need:.0} days of growth; {left:.0} are left before hard frost{}.",
                grass.name,
                grass.habit,
                if need > left { ", so the rest comes next spring" } else { "" }
            );
            return Mend::plain(Mending::Closes, why);
        }
    }
    if !spreads && gap <= BUNCH_BEARS_M {
        let why = format!("{first}gaps of {gap_words} do not show among bunches of {}: leave them.", grass.name);
        return Mend::plain(Mending::Closes, why);
    }
    let reason = if spreads {
        format!("wider than the {} {} closes before weeds come", u.say(Quantity::Depth, CLOSES_M * 1000.0), grass.name)
    } else {
        format!("{} grows in bunches and closes no gap of {gap_words}", grass.name)
    };
    let why = format!("{first}gaps of {gap_words}: {reason}. Sow, plug or sod them.{perhaps}");
    sow(scene, outlook, Mending::Sow, why, grass, spot, whole, working)
}

#[allow(clippy::too_many_arguments)]
fn sow(
    scene: &Scene<'_>,
    outlook: &Outlook<'_>,
    mending: Mending,
    why: String,
    grass: &almanac::Grass,
    spot: Spot<'_>,
    whole_pct: f64,
    working: &mut Vec<Step>,
) -> Mend {
    let u = scene.units();
    let ground = match spot.bare_m2(whole_pct) {
        Some(m2) => m2,
        None => return Mend::plain(Mending::Measure, format!("{why} Tell the size of the patch for the seed.")),
    };
    let usual = grass.seed_new_g_m2.map(|range| scene.rate_rounded_down(Quantity::Dose, range.middle()));
    let Some(rate) = usual else {
        let why = format!("{why} {} is not sold as seed: lay sod or set plugs.", grass.name);
        let mut mend = Mend::plain(Mending::Sod, why);
        mend.amounts.push(format!("{} of sod", u.say(Quantity::Area, ground)));
        return mend;
    };
    let total = rate * ground / 1000.0;
    working.push(Step::new(
        "seed for the patch",
        "middle of the rate for new ground × bare ground",
        vec![
            Value::number("rate", rate, "g/m²").from(grass.source.clone()),
            Value::number("bare ground", ground, "m²"),
        ],
        Value::number("seed", total, "kg"),
    ));
    let window = seeding::windows(scene, outlook).into_iter().find(|w| w.grass == grass.id);
    let seed = Seeded {
        area: spot.area.key.clone(),
        grass: grass.id.clone(),
        rate_g_m2: rate,
        spot_m2: (ground < spot.area.size_m2).then_some(ground),
        sowing: Sowing::Bare,
        remark: "the patch".to_owned(),
    };
    let from = window.as_ref().map(|w| w.opens.likely.max(scene.on));
    let check = |day| check_sowing(scene, &seed, day, None);
    let findings = from.map(check).unwrap_or_default();
    let stopped = findings.iter().any(|f| f.level == Level::Stop);
    let clear = from.filter(|_| stopped).and_then(|day| nearest_clear_day(day, check));
    let on = if stopped { clear } else { from };
    let mut mend = Mend::plain(mending, why);
    mend.amounts.push(format!(
        "{} of {} seed at {} on {}",
        u.say(Quantity::Mass, total),
        grass.name,
        u.say(Quantity::Dose, rate),
        u.say(Quantity::Area, ground)
    ));
    if window.is_none() {
        let season = if grass.season == Season::Cool { "late summer" } else { "late spring" };
        mend.amounts.push(format!("no sowing window is open or near; the next good one comes in {season}"));
    }
    mend.plan = on.and_then(|_| {
        let body = Body::Planned(Planned { work: Work::Sow(seed.clone()) });
        typed_from(&body, scene.yard).map(|(kind, fields)| LogAs { words: "Plan it".to_owned(), kind, fields })
    });
    Mend { window, on, findings, clear, ..mend }
}

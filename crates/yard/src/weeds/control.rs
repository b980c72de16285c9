//! The control that fits: a species on an area, with its grass, seed sown and planned, season, weather and the shelf.

use almanac::{Active, KillAt, Prevents, Site, Tolerance, Weed, WeedStage};
use jiff::{Span, civil::Date};
use reckon::ReckonError;
use reckon::error::Bound;
use reckon::working::{Step, Value};
use serde::Serialize;

use super::{StageNow, seen_on, short_name, site_of, stages_of};
use crate::advice::checks::{check_application, nearest_clear_day, safe_with_seed};
use crate::advice::preventer::{CAUTION, barrier, rate_of, work_for};
use crate::advice::{Finding, Level, LogAs, Scene, Where, seeding};
use crate::diagnosis::{SoilWater, conditions_of};
use crate::entry::{Applied, AreaFacts, ProductFacts, Work};
use crate::fold::Yard;
use crate::shed::{shelf_words, visit_amounts};
use crate::units::Quantity;
use crate::watch::StageState;
use crate::weather::Outlook;

/// Share of an area the weed stands on.
pub const SHARE_PCT: Bound = Bound::new("share", 0.1, 100.0, "%", "share of the area");
/// Days before the first seedlings a preventer goes down; common practice: one to two weeks.
const PREVENT_BEFORE_DAYS: i64 = 14;
/// Days ahead from which a preventer is a thing of now; common practice.
const PREVENT_SOON_DAYS: i64 = 45;
/// Days a sowing counts as new where mowings are not told.
const NEW_SEED_DAYS: i64 = 120;
/// Depth of a coarse mulch that keeps annual weeds down (mm): 4 in; a fine one 2 in (University of California IPM).
const MULCH_COARSE_MM: f64 = 101.6;
const MULCH_FINE_MM: f64 = 50.8;

/// Kind of control.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WayKind {
    /// Pull, dig, hoe.
    Hand,
    /// Mow, water, feed, thicken.
    Culture,
    /// Cover the soil.
    Mulch,
    /// Keep seed from coming up.
    Prevent,
    /// Spray or spread on what is up.
    Kill,
}

/// Whether it fits here now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fit {
    /// Now.
    Now,
    /// Later.
    Later,
    /// Not here.
    Unfit,
}

/// One way to control it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Way {
    /// Kind.
    pub kind: WayKind,
    /// In a line.
    pub title: String,
    /// Whether it fits.
    pub fit: Fit,
    /// What to do and why it fits or not, a sentence each.
    pub words: Vec<String>,
    /// How much, a line each.
    pub amounts: Vec<String>,
    /// What the label checks say.
    pub findings: Vec<Finding>,
    /// First day it may be done, where that is not today.
    pub from: Option<Date>,
    /// True where it rests on a recalled link between weed and ingredient.
    pub recalled: bool,
    /// The caution; empty where nothing can hurt.
    pub caution: &'static str,
    /// Entries that write it down, done or planned.
    pub log: Vec<LogAs>,
    /// The computation.
    pub working: Vec<Step>,
    /// Source.
    pub source: String,
}

/// The control of a weed on an area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Control {
    /// The area.
    pub area: Where,
    /// Day the weed was last written down on it.
    pub seen_on: Option<Date>,
    /// Ways, gentlest first.
    pub ways: Vec<Way>,
    /// What holds for all of them.
    pub notes: Vec<String>,
    /// Entry that writes down that it was seen.
    pub log: LogAs,
}

/// What a way needs to know of the place.
struct Ground<'s, 'a> {
    scene: &'s Scene<'a>,
    weed: &'a Weed,
    area: &'s AreaFacts,
    site: Site,
    stages: Vec<StageNow>,
    share: f64,
    /// Grass sown lately or planned.
    seed: Option<String>,
}

impl Ground<'_, '_> {
    fn source(&self, key: &str) -> String {
        self.scene.almanac.weeds.source_words(key).to_owned()
    }

    fn stage(&self, stage: WeedStage) -> Option<&StageNow> {
        self.stages.iter().find(|s| s.stage == stage)
    }

    fn is(&self, stage: WeedStage, state: StageState) -> bool {
        self.stage(stage).is_some_and(|s| s.state == state)
    }

    /// How the grass of a lawn takes an ingredient; `None` on beds and where nothing is known.
    fn tolerance(&self, active: &Active) -> Option<Tolerance> {
        let grass = self.area.grass.as_deref().filter(|_| self.site == Site::Turf)?;
        active.tolerance_of(grass).map(|t| t.tolerance)
    }

    fn grass_name(&self) -> &str {
        let key = self.area.grass.as_deref().unwrap_or("grass");
        self.scene.almanac.grass(key).map_or(key, |g| &g.name)
    }

    /// Products on the shelf that hold an ingredient.
    fn products(&self, active: &str) -> Vec<&ProductFacts> {
        let holds = |p: &&ProductFacts| p.actives.iter().any(|s| s.active == active);
        self.scene.yard.products.iter().filter(holds).collect()
    }
}

/// Grass sown on an area within [`NEW_SEED_DAYS`] or planned.
fn seed_of(scene: &Scene<'_>, area: &AreaFacts) -> Option<String> {
    let planned = scene.yard.plans.iter().find_map(|p| match &p.fact.work {
        Work::Sow(s) if s.area == area.key => Some(s.grass.clone()),
        _ => None,
    });
    let sown = scene.yard.last_seeding(&area.key, scene.on);
    planned
        .or_else(|| sown.filter(|s| Yard::days_between(s.on, scene.on) < NEW_SEED_DAYS).map(|s| s.fact.grass.clone()))
}

/// The ways to control a weed on an area; `share_pct` is how much of the area it stands on.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `share`; [`ReckonError::Inconsistent`] naming `area` for paving.
pub fn control(
    scene: &Scene<'_>,
    outlook: &Outlook<'_>,
    weed: &Weed,
    area: &AreaFacts,
    share_pct: f64,
) -> Result<Control, ReckonError> {
    let share = SHARE_PCT.check(share_pct)? / 100.0;
    let Some(site) = site_of(area) else {
        let message = format!("{} is paved: pull or hoe what grows in its joints", area.name);
        return Err(ReckonError::Inconsistent { field: "area", message });
    };
    let seed = seed_of(scene, area);
    let weed = scene
        .almanac
        .weeds
        .weed(&weed.id)
        .ok_or_else(|| ReckonError::Inconsistent { field: "weed", message: format!("there is no weed {}", weed.id) })?;
    let stages = stages_of(scene, outlook, weed);
    let ground = Ground { scene, weed, area, site, stages, share, seed };
    let mut ways = vec![hand(&ground)];
    ways.push(if site == Site::Turf { culture(&ground, outlook) } else { mulch(&ground) });
    ways.extend(prevents(&ground));
    ways.extend(kills(&ground));
    let name = short_name(weed);
    let mut notes = vec![
        "The label on the container is the law; it must name this ground, and local rules go before anything said here."
            .to_owned(),
    ];
    if let Some(key) = &ground.seed {
        let grass = scene.almanac.grass(key).map_or(key.as_str(), |g| &g.name);
        notes.push(format!(
            "{grass} was sown here lately, or is to be: what stops weeds from seed stops it too, and young grass takes no spray yet."
        ));
    }
    if site == Site::Turf && conditions_of(scene, area).soil_water == Some(SoilWater::Dry) {
        notes.push(
            "The ground is dry: a weed that does not grow takes little up, and the grass suffers more. Water or wait before any spray (common practice)."
                .to_owned(),
        );
    }
    let log = LogAs::new(
        "Write down that it is here",
        "scouted",
        &[("area", area.key.clone()), ("seen", format!("weed: {name}"))],
    );
    let seen_on = seen_on(scene, weed, Some(&area.key));
    Ok(Control { area: scene.place_of(&area.key), seen_on, ways, notes, log })
}

fn plain(kind: WayKind, title: &str, words: Vec<String>, source: String) -> Way {
    Way {
        kind,
        title: title.to_owned(),
        fit: Fit::Now,
        words,
        amounts: Vec::new(),
        findings: Vec::new(),
        from: None,
        recalled: false,
        caution: "",
        log: Vec::new(),
        working: Vec::new(),
        source,
    }
}

fn sources(g: &Ground<'_, '_>) -> String {
    g.scene.almanac.weeds.sources_of(g.weed).map(|s| s.words.as_str()).collect::<Vec<_>>().join("; ")
}

fn hand(g: &Ground<'_, '_>) -> Way {
    let mut words = vec![g.weed.hand.clone()];
    if g.is(WeedStage::Seeds, StageState::Now) {
        words.push("Seed is ripening: bag what you pull, and leave no heads on the ground.".to_owned());
    }
    let mut way = plain(WayKind::Hand, "By hand", words, "common practice".to_owned());
    way.caution = "Gloves: some saps and spines hurt. Before digging deeper than a hand have buried lines marked.";
    let seen = format!("pulled {} by hand", short_name(g.weed));
    way.log.push(LogAs::new("Done: write it down", "scouted", &[("area", g.area.key.clone()), ("seen", seen)]));
    way
}

fn culture(g: &Ground<'_, '_>, outlook: &Outlook<'_>) -> Way {
    let u = g.scene.units();
    let mut words = vec![g.weed.culture.clone()];
    if let Some(grass) = g.area.grass.as_deref().and_then(|k| g.scene.almanac.grass(k)) {
        let [_, keep, high] = grass.mow_mm;
        if g.area.mow_mm.is_none_or(|mm| mm < keep) {
            words.push(format!(
                "{} shades weeds best cut at {} to {}.",
                grass.name,
                u.say(Quantity::Depth, keep),
                u.say(Quantity::Depth, high)
            ));
        }
        if let Some(w) = seeding::windows(g.scene, outlook).iter().find(|w| w.grass == grass.id) {
            let (opens, closes) = (w.opens.likely.max(g.scene.on), w.closes.likely);
            words.push(format!("Thin ground is best sown between {opens} and {closes} ({}).", w.words));
        }
    }
    plain(WayKind::Culture, "By the stand", words, sources(g))
}

fn mulch(g: &Ground<'_, '_>) -> Way {
    let u = g.scene.units();
    let words = vec![
        g.weed.culture.clone(),
        format!(
            "After weeding, a coarse mulch up to {} deep, a fine one about {}, kept off the stems; it holds annual weeds from seed, not those that come from roots.",
            u.say(Quantity::Depth, MULCH_COARSE_MM),
            u.say(Quantity::Depth, MULCH_FINE_MM)
        ),
    ];
    plain(WayKind::Mulch, "By mulch", words, g.source("uc-mulch"))
}

/// When a preventer would go down: whether it fits, the day, and in words.
fn prevent_when(g: &Ground<'_, '_>) -> (Fit, Date, String) {
    let on = g.scene.on;
    let Some(s) = g.stage(WeedStage::Germinates) else {
        return (Fit::Unfit, on, "It comes back from roots rather than from seed.".to_owned());
    };
    let doubt = if s.recalled { " (a recalled figure)" } else { "" };
    match (s.state, s.begins) {
        (StageState::Ahead, Some(w)) => {
            let by = w.early.checked_sub(Span::new().days(PREVENT_BEFORE_DAYS)).unwrap_or(w.early).max(on);
            let soon = Yard::days_between(on, w.early) <= PREVENT_SOON_DAYS;
            let words =
                format!("First seedlings early {}, likely {}{doubt}: it must be down before them.", w.early, w.likely);
            (if soon { Fit::Now } else { Fit::Later }, by, words)
        }
        (StageState::Now, _) => {
            let since = s.began.map_or(String::new(), |d| format!(" since about {d}"));
            (Fit::Unfit, on, format!("Seedlings are up{since}{doubt}: a preventer does nothing to them."))
        }
        _ => (Fit::Unfit, on, format!("This season’s seedlings are up{doubt}; next season again.")),
    }
}

fn prevents(g: &Ground<'_, '_>) -> Vec<Way> {
    let (fit, day, when) = prevent_when(g);
    let fits: Vec<(&Prevents, &Active)> = g
        .weed
        .prevents
        .iter()
        .filter_map(|p| Some((p, g.scene.almanac.active(&p.active)?)))
        .filter(|(_, a)| a.sites.contains(&g.site) && g.tolerance(a) != Some(Tolerance::Injured))
        .collect();
    let mut ways = Vec::new();
    if let Some((active, put_on, until)) = barrier(g.scene, &g.area.key)
        && g.weed.prevents.iter().any(|p| p.active == active.id)
    {
        let words =
            vec![format!("{} put down on {put_on} holds until about {until}: no second one on top.", active.name)];
        let mut way = plain(WayKind::Prevent, "A preventer is down", words, active.source.clone());
        way.fit = Fit::Unfit;
        return vec![way];
    }
    for (row, active) in &fits {
        for product in g.products(&active.id) {
            let mut way = treat(g, WayKind::Prevent, product, active, day, g.area.size_m2);
            way.title = format!("By a preventer: {} ({})", product.name, active.name);
            way.words = vec![when.clone()];
            way.fit = way.fit.max(fit);
            way.recalled = g.scene.almanac.weeds.recalled(&row.from);
            way.source = g.source(&row.from);
            let seedful = way.findings.iter().any(|f| f.level == Level::Stop && f.rule.starts_with("seed"));
            if let Some(grass) = g.seed.as_deref().filter(|_| seedful) {
                let stand = g.area.grass.as_deref().unwrap_or(grass);
                let safe: Vec<&str> = safe_with_seed(g.scene, &[grass, stand])
                    .into_iter()
                    .filter(|a| fits.iter().any(|(_, x)| x.id == a.id))
                    .map(|a| a.name.as_str())
                    .collect();
                if !safe.is_empty() {
                    way.words.push(format!("May go with that seed: {} (read the label).", safe.join(" or ")));
                }
            }
            ways.push(way);
        }
    }
    if ways.is_empty() && !fits.is_empty() {
        let grass = g.area.grass.as_deref().filter(|_| g.site == Site::Turf);
        let named = |a: &Active| match grass.and_then(|k| a.seed_wait_for(k)) {
            Some(w) if w.stop_below_days.value > 0.0 => {
                format!("{} ({:.0} days before seed)", a.name, w.stop_below_days.value)
            }
            Some(_) => format!("{} (may go with seed)", a.name),
            None => a.name.clone(),
        };
        let list: Vec<String> = fits.iter().map(|(_, a)| named(a)).collect();
        let words = vec![when, format!("Nothing on the shelf holds one; look for: {}.", list.join(", "))];
        let mut keys: Vec<&str> = fits.iter().map(|(p, _)| p.from.as_str()).collect();
        keys.dedup();
        let source = keys.iter().map(|k| g.source(k)).collect::<Vec<_>>().join("; ");
        let mut way = plain(WayKind::Prevent, "By a preventer", words, source);
        way.recalled = fits.iter().all(|(p, _)| g.scene.almanac.weeds.recalled(&p.from));
        way.fit = fit;
        way.from = (fit == Fit::Later).then_some(day);
        way.caution = CAUTION;
        ways.push(way);
    }
    ways
}

/// Whether the weed is in the state a spray needs.
fn ready(g: &Ground<'_, '_>, at: KillAt) -> (Fit, Option<String>) {
    let young = g.is(WeedStage::Germinates, StageState::Now);
    let old = g.is(WeedStage::Flowers, StageState::Now) || g.is(WeedStage::Seeds, StageState::Now);
    let tubers = g.is(WeedStage::Tubers, StageState::Now) || g.is(WeedStage::Tubers, StageState::Past);
    match at {
        KillAt::Seedling | KillAt::Young if old && !young => {
            (Fit::Unfit, Some("Most plants are past it: they flower or seed.".to_owned()))
        }
        KillAt::Rosette if old => {
            (Fit::Unfit, Some("The stem is up: cut it; spray the young rings in autumn.".to_owned()))
        }
        KillAt::Leafy if tubers => (
            Fit::Now,
            Some("New nuts are forming by now: it weakens the plant, but more will come next year.".to_owned()),
        ),
        _ => (Fit::Now, None),
    }
}

fn kills(g: &Ground<'_, '_>) -> Vec<Way> {
    let mut ways = Vec::new();
    let mut lacking: Vec<String> = Vec::new();
    let mut sourced: Vec<String> = Vec::new();
    let mut recalled = true;
    let size = g.area.size_m2 * g.share;
    for row in &g.weed.kills {
        let Some(active) = g.scene.almanac.active(&row.active) else { continue };
        let whole = matches!(row.at, KillAt::Whole | KillAt::Shielded);
        if !active.sites.contains(&g.site) || (g.site == Site::Turf && row.at == KillAt::Shielded) {
            continue;
        }
        let injured = g.tolerance(active) == Some(Tolerance::Injured) && !whole;
        let products = g.products(&active.id);
        if products.is_empty() && !injured {
            let wait = g.area.grass.as_deref().and_then(|k| active.seed_wait_for(k));
            let wait = wait.map_or(String::new(), |w| format!(", {:.0} days before seed", w.stop_below_days.value));
            lacking.push(format!("{} {}{wait}", active.name, row.at.words()));
            sourced.push(g.source(&row.from));
            recalled &= g.scene.almanac.weeds.recalled(&row.from);
        }
        let (ready, why) = ready(g, row.at);
        for product in products {
            let mut way = treat(g, WayKind::Kill, product, active, g.scene.on, size);
            way.title = format!("By {}: {}", product.name, active.name);
            way.words = vec![format!(
                "It works {}{}.",
                row.at.words(),
                if row.again { ", and again after about three weeks" } else { "" }
            )];
            way.words.extend(why.clone());
            way.fit = way.fit.max(ready);
            if injured {
                way.words.push(format!("It injures {}: not here.", g.grass_name()));
                way.fit = Fit::Unfit;
                way.log.clear();
                way.amounts.clear();
            } else if g.tolerance(active) == Some(Tolerance::Marginal) && !whole {
                way.words.push(format!("{} takes it only just: a small patch first.", g.grass_name()));
            }
            way.recalled = g.scene.almanac.weeds.recalled(&row.from);
            way.source = g.source(&row.from);
            ways.push(way);
        }
    }
    ways.sort_by_key(|w| w.fit);
    if ways.iter().all(|w| w.fit == Fit::Unfit) && !lacking.is_empty() {
        sourced.dedup();
        let words = vec![
            format!("Best time: {}", g.weed.best),
            format!("Nothing on the shelf that fits; labels of this ground may hold: {}.", lacking.join("; ")),
        ];
        let mut way = plain(WayKind::Kill, "By a spray", words, sourced.join("; "));
        way.recalled = recalled;
        way.fit = Fit::Later;
        way.caution = CAUTION;
        ways.push(way);
    } else if g.weed.kills.is_empty() {
        let words = vec!["No ingredient for home lawns takes it out of a lawn once it is up.".to_owned()];
        let mut way = plain(WayKind::Kill, "By a spray", words, "trade knowledge, recalled".to_owned());
        way.fit = Fit::Unfit;
        way.recalled = true;
        ways.push(way);
    }
    ways
}

/// A product put down on a day: the rate, the amounts, the label checks, what to write down.
fn treat(g: &Ground<'_, '_>, kind: WayKind, product: &ProductFacts, active: &Active, day: Date, size: f64) -> Way {
    let u = g.scene.units();
    // A product of several ingredients goes by the one that asks for least.
    let rates = product.actives.iter().filter_map(|s| {
        let row = g.scene.almanac.active(&s.active)?;
        (s.pct > 0.0).then(|| (row, s.pct, rate_of(g.scene, product, row, s.pct)))
    });
    let least = rates.min_by(|a, b| a.2.total_cmp(&b.2));
    let mut way = plain(kind, "", Vec::new(), active.source.clone());
    way.caution = CAUTION;
    let Some((by, pct, rate)) = least else { return way };
    let total = rate * size / 1000.0;
    way.amounts.push(format!(
        "{} of {} at {} on {}",
        u.say(product.amount_quantity(), total),
        product.name,
        u.say(product.dose_quantity(), rate),
        u.say(Quantity::Area, size)
    ));
    way.working.push(Step::new(
        "product",
        "middle of the usual rate ÷ strength, held to the label, rounded down; times the ground",
        vec![
            Value::number(format!("usual rate of {}", by.name), by.rate_g_m2.middle(), "g/m²")
                .from(by.rate_source.clone()),
            Value::number("strength", pct, "%").from("the container"),
            Value::number("ground", size, "m²"),
        ],
        Value::number("product", total, "kg or L"),
    ));
    for (words, step) in visit_amounts(g.scene.yard, product, rate, size) {
        way.amounts.push(words);
        way.working.push(step);
    }
    way.amounts.extend(shelf_words(g.scene.yard, product, total));
    let spot = (size < g.area.size_m2).then_some(size);
    let work = Applied { spot_m2: spot, ..work_for(&[g.area], product, rate) };
    way.findings = check_application(g.scene, &work, day, None);
    let stopped = way.findings.iter().any(|f| f.level == Level::Stop);
    let clear = nearest_clear_day(day, |d| check_application(g.scene, &work, d, None));
    if stopped {
        way.fit = Fit::Later;
        way.from = clear;
        if clear.is_none() {
            way.fit = Fit::Unfit;
        }
    } else if day > g.scene.on {
        way.from = Some(day);
    }
    let fields = [
        ("areas", g.area.key.clone()),
        ("product", product.key.clone()),
        ("rate", g.scene.typed(product.dose_quantity(), rate)),
        ("spot", spot.map_or_else(String::new, |m2| g.scene.typed(Quantity::Area, m2))),
    ];
    if !stopped && day <= g.scene.on {
        way.log.push(LogAs::new("Done: log it", "applied", &fields));
    }
    if clear.is_some() {
        way.log.push(LogAs::new("Plan it", "plan-apply", &fields));
    }
    way
}

//! Weeds of the yard: which stage each is in, what is worth doing now, and the control that fits a species on an area.
//!
//! Which weed it is tells [`crate::diagnosis::weeds`].

mod control;
mod stages;
mod worth;

pub use control::{Control, Fit, Way, WayKind, control};
pub use stages::{StageNow, stages_of};
pub use worth::{Worth, WorthAct};

use almanac::{LifeCycle, Site, Weed, WeedForm};
use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{Scene, Where};
use crate::entry::{AreaFacts, Cover};
use crate::fold::Yard;
use crate::weather::Outlook;

/// A weed on the scene's day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeedNow {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// How long it lives.
    pub life: LifeCycle,
    /// Kind of plant.
    pub form: WeedForm,
    /// Its stages, in the order of the table.
    pub stages: Vec<StageNow>,
    /// What is worth doing now, if anything.
    pub worth: Option<Worth>,
    /// Day it was last written down here.
    pub seen_on: Option<Date>,
}

/// The weeds of the yard's ground on a day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeedsNow {
    /// The day.
    pub on: Date,
    /// Weeds of the ground the yard has: those written down first, then those worth acting on, then the commoner.
    pub weeds: Vec<WeedNow>,
    /// Where the days ahead come from.
    pub outlook: String,
    /// What the reader should know.
    pub notes: Vec<String>,
}

/// The kind of ground an area is to a label and to a weed; `None` for paving.
pub fn site_of(area: &AreaFacts) -> Option<Site> {
    match area.cover {
        Cover::Turf => Some(Site::Turf),
        Cover::Bed | Cover::Hedge => Some(Site::Bed),
        Cover::Hard => None,
    }
}

/// The month of a day as the tables' north has it: half a year off south of the equator.
pub fn north_month(yard: &Yard, on: Date) -> u8 {
    let month = on.month().unsigned_abs();
    let south = yard.facts.as_ref().is_some_and(|f| f.place.latitude_deg < 0.0);
    if south { (month + 5) % 12 + 1 } else { month }
}

/// Areas a weed may stand on.
pub fn areas_of<'a>(scene: &Scene<'a>, weed: &Weed) -> Vec<&'a AreaFacts> {
    let fits = |a: &&AreaFacts| !a.retired && site_of(a).is_some_and(|s| weed.sites.contains(&s));
    scene.yard.areas.iter().filter(fits).collect()
}

/// The same as places.
pub fn places_of(scene: &Scene<'_>, weed: &Weed) -> Vec<Where> {
    areas_of(scene, weed).iter().map(|a| scene.place_of(&a.key)).collect()
}

/// The name without what stands in brackets, for sentences and for finding it again in the daybook.
pub fn short_name(weed: &Weed) -> &str {
    weed.name.split(" (").next().unwrap_or(&weed.name)
}

/// Day on which a weed was last written down, on any area or on one.
pub fn seen_on(scene: &Scene<'_>, weed: &Weed, area: Option<&str>) -> Option<Date> {
    let name = short_name(weed).to_lowercase();
    let here = scene.yard.scoutings.iter().rev().filter(|s| area.is_none_or(|a| s.fact.area == a));
    here.filter(|s| s.on <= scene.on).find(|s| s.fact.seen.to_lowercase().contains(&name)).map(|s| s.on)
}

/// One weed on the scene's day.
pub fn weed_now(scene: &Scene<'_>, outlook: &Outlook<'_>, weed: &Weed) -> WeedNow {
    let stages = stages_of(scene, outlook, weed);
    let worth = worth::worth(scene, weed, &stages);
    WeedNow {
        id: weed.id.clone(),
        name: weed.name.clone(),
        life: weed.life,
        form: weed.form,
        stages,
        worth,
        seen_on: seen_on(scene, weed, None),
    }
}

/// Every weed of the yard's ground; weather later than the evening before is never looked at.
pub fn weeds_now(scene: &Scene<'_>) -> WeedsNow {
    let known = scene.weather.known_before(scene.on, scene.almanac);
    let scene = Scene { yard: scene.yard, weather: &known, almanac: scene.almanac, on: scene.on };
    let outlook = known.outlook(scene.yesterday(), 366);
    let has = |w: &&Weed| !areas_of(&scene, w).is_empty();
    let mut rows: Vec<(f64, WeedNow)> =
        scene.almanac.weeds.weeds.iter().filter(has).map(|w| (w.common, weed_now(&scene, &outlook, w))).collect();
    rows.sort_by(|(a, x), (b, y)| {
        let rank = |w: &WeedNow| (w.seen_on.is_none(), w.worth.as_ref().map_or(WorthAct::Nothing, |x| x.act));
        rank(x).cmp(&rank(y)).then(b.total_cmp(a))
    });
    let notes = vec![
        "Not every weed wants an answer: one that does not spread, or a clover that feeds the lawn, may stay.".to_owned(),
        "Dates by the calendar are those of 40 to 43° north, half a year later south of the equator; a recalled figure is a hint."
            .to_owned(),
        "Soil temperature is reckoned from air temperature; a probe an inch deep would tell.".to_owned(),
    ];
    WeedsNow { on: scene.on, weeds: rows.into_iter().map(|r| r.1).collect(), outlook: outlook.basis, notes }
}

//! Scouting a bad patch of lawn, a question at a time: what it may be, the next best look, and what to do.
//!
//! The whole look is in the address until it is written down; nothing is stored on the way.

mod accept;
mod ask;
mod end;
pub(crate) mod ground;
pub(crate) mod photo;
mod ranking;

use axum::extract::State;
use maud::{Markup, html};
use yard::diagnosis::counting::{Counted, count_seen, counts_of, cut};
use yard::diagnosis::{Look, Patch, Seen, look};
use yard::entry::{AreaFacts, Cover};
use yard::form::measure;
use yard::units::Quantity;

use crate::error::PageError;
use crate::extract::Asked;
use crate::found_path::FoundPath;
use crate::layout::{Section, time};
use crate::logbook_links::query;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, value};

/// The page's address.
const PAGE: &str = "/patch";
/// Pairs that say what a look is about: the area, the day looked at, the place on the map (m), the counts, the measures, the photo and what
/// of it is green.
const ABOUT: [&str; 13] =
    ["area", "on", "at", "of", "n", "cut", "pest", "size", "gap", "share", "picture", "green", "dgci"];
/// The measures of the patch.
const MEASURES: [&str; 3] = ["size", "gap", "share"];
/// The pairs of a count.
const COUNT: [&str; 4] = ["of", "n", "cut", "pest"];

/// A look so far, read from an address.
struct Asking<'v> {
    view: &'v View,
    area: AreaFacts,
    path: FoundPath,
    counted: Option<Counted>,
    /// What is wrong with a count just sent, and the finding it is of.
    fault: Option<(String, String)>,
    /// The finding asked for by name.
    wanted: Option<String>,
    /// The patch as it was measured.
    patch: Patch,
    /// Measures that could not be read, and why.
    unread: Vec<(&'static str, String)>,
}

impl<'v> Asking<'v> {
    fn of(view: &'v View, area: AreaFacts, asked: &Pairs) -> Result<Self, PageError> {
        let mut path = FoundPath::of(PAGE, &ABOUT, asked);
        if let Some(at) = ground::tapped(view, &area.key, asked)? {
            path = path.on("at", &format!("{:.2} {:.2}", at[0], at[1]));
        }
        if place(&path).is_none() {
            path = path.not_about(&["at"]);
        }
        // The last answer to a question is the one that counts.
        let all = path.found.clone();
        path.found = all
            .iter()
            .enumerate()
            .filter(|(i, (test, _))| !all[i + 1..].iter().any(|(t, _)| t == test))
            .map(|(_, f)| f.clone())
            .collect();
        let mut asking = Self {
            view,
            area,
            path,
            counted: None,
            fault: None,
            wanted: None,
            patch: Patch::default(),
            unread: Vec::new(),
        };
        asking.read_measures();
        asking.wanted = value(asked, "q").map(str::to_owned);
        asking.read_count();
        Ok(asking)
    }

    /// Turns the counts of the address into an answer; what cannot be read is told at the question.
    fn read_count(&mut self) {
        let Some(of) = self.path.about("of").map(str::to_owned) else { return };
        let tables = self.view.almanac();
        let read = || -> Result<Counted, String> {
            let finding = tables.finding(&of).ok_or("there is no such test")?;
            let counts = counts_of(self.path.about("n").unwrap_or_default())?;
            let cut = cut(self.path.about("cut").unwrap_or("sqft")).ok_or("there is no such cut")?;
            count_seen(tables, finding, &counts, cut, self.path.about("pest")).map_err(|e| e.to_string())
        };
        match read() {
            Ok(counted) => {
                let answer = (of.clone(), counted.outcome.clone());
                match self.path.found.iter_mut().find(|(test, _)| *test == of) {
                    Some(found) => *found = answer,
                    None => self.path.found.push(answer),
                }
                self.counted = Some(counted);
            }
            Err(message) => {
                self.path = self.path.not_about(&COUNT);
                self.wanted = Some(of.clone());
                self.fault = Some((of, message));
            }
        }
    }

    /// Reads the measures of the patch in the user's units; what cannot be read is left out and told at its field.
    fn read_measures(&mut self) {
        let units = self.view.units();
        let mut read = |name: &'static str, quantity: Option<Quantity>, most: f64| -> Option<f64> {
            let raw = self.path.about(name)?;
            let value = match quantity {
                Some(quantity) => measure(raw, quantity, units),
                None => raw.trim_end_matches('%').trim().parse::<f64>().map_err(|_| format!("“{raw}” is not a number")),
            };
            match value {
                Ok(v) if v > 0.0 && v <= most => Some(v),
                Ok(_) => {
                    self.unread.push((name, format!("“{raw}” is nothing, or more than there is")));
                    None
                }
                Err(message) => {
                    self.unread.push((name, message));
                    None
                }
            }
        };
        let size_m2 = read("size", Some(Quantity::Area), self.area.size_m2);
        let gap_m = read("gap", Some(Quantity::Depth), 50_000.0).map(|mm| mm / 1000.0);
        let share_pct = read("share", None, 100.0);
        self.patch = Patch { size_m2, gap_m, share_pct };
        let bad: Vec<&str> = self.unread.iter().map(|(name, _)| *name).collect();
        self.path = self.path.not_about(&bad);
    }

    fn seen(&self) -> Vec<Seen> {
        let found = self.path.found.iter().map(|(finding, outcome)| Seen::new(finding, outcome));
        let told = |w: &&String| self.path.found.iter().all(|(finding, _)| finding != *w);
        found.chain(self.path.without.iter().filter(told).map(|w| Seen::not_looked(w))).collect()
    }

    /// The address without one answer, and without the counts it came from.
    fn taken_back(&self, place: usize) -> String {
        let mut path = self.path.clone();
        let (finding, _) = path.found.remove(place);
        if path.about("of") == Some(finding.as_str()) { path.not_about(&COUNT).href() } else { path.href() }
    }
}

/// The place on the map an address tells (m).
fn place(path: &FoundPath) -> Option<[f64; 2]> {
    let (x, y) = path.about("at")?.split_once([' ', ','])?;
    let read = |v: &str| v.trim().parse::<f64>().ok().filter(|n| n.is_finite() && n.abs() <= 10_000.0);
    Some([read(x)?, read(y)?])
}

fn areas(view: &View) -> Markup {
    let lawns: Vec<&AreaFacts> = view.yard.areas.iter().filter(|a| a.cover == Cover::Turf).collect();
    html! {
        div.head { h1 { "A bad patch" } p.lead { "On which lawn?" } }
        @if lawns.is_empty() { p { "The yard has no lawn yet. " a href="/log/area" { "Add one" } "." } }
        ul.tiles { @for a in lawns { li { a href=(view.link(&format!("{PAGE}{}", query([("area", a.key.as_str())])))) { (a.name) } } } }
        p.why { "A minute or two of looking, then the tests that tell most for their time. Nothing is stored until you write it down." }
    }
}

/// The last look in the daybook that is not settled, to go on from.
fn before(a: &Asking<'_>) -> Markup {
    let last = a.view.yard.scoutings.iter().rev().find(|s| s.fact.area == a.area.key);
    let Some(last) = last.filter(|s| !s.fact.settled && !s.fact.findings.is_empty() && a.path.found.is_empty()) else {
        return html! {};
    };
    let mut path = a.path.clone();
    path.found = last.fact.findings.iter().map(|f| (f.finding.clone(), f.outcome.clone())).collect();
    html! {
        p { "Last looked at on " (time(last.on)) ". " a href=(path.href()) { "Go on from that look" } ", or begin anew:" }
    }
}

fn main(a: &Asking<'_>, look: &Look<'_>) -> Markup {
    let likely = look.plan.is_some() && !a.path.found.is_empty();
    let asked = a.wanted.as_deref().and_then(|q| a.view.almanac().finding(q));
    let next = asked.or_else(|| look.diagnosis.next.first().map(|n| n.finding));
    html! {
        div.head {
            h1 { "A patch on " (a.area.name) }
            @if a.path.found.is_empty() { p.lead { "Look first, dig after." } (before(a)) }
        }
        div.columns {
            div {
                @if asked.is_none() && likely { (end::decision(a, look)) }
                @else if asked.is_none() && !a.path.found.is_empty() { (end::not_enough(look)) }
                @if let Some(finding) = next { (ask::question(a, look, finding, likely && asked.is_none())) }
                (ranking::causes(a, look))
                @if !a.path.found.is_empty() { (end::write_down(a, look)) }
            }
            div {
                (ranking::so_far(a))
                (ranking::yard_told(look))
                (ranking::others(a, look))
                (ground::section(a.view, &a.area, &a.path))
                (photo::section(a))
                p { a href=(a.view.link(PAGE)) { "Another patch" } }
            }
        }
        p.why { "Chances are trade judgement after the sources named; one cause at a time is assumed." }
    }
}

pub(crate) use accept::take;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let Some(key) = value(&asked, "area") else {
            return Ok(view.page("A bad patch", Section::Now, PAGE, areas(&view)));
        };
        let Some(area) = view.yard.area(key).cloned() else {
            return Err(PageError::Missing(format!("The yard has no area “{key}”")));
        };
        if area.cover != Cover::Turf {
            let message = format!("{} is a {}; this page is for lawns", area.name, area.cover.word());
            return Err(PageError::bad("No lawn", message));
        }
        let asking = Asking::of(&view, area, &asked)?;
        let count = asking.counted.as_ref().map(|c| &c.count);
        let look = look(&view.scene(), &asking.area, &asking.seen(), count, &asking.patch)
            .map_err(|e| PageError::bad("Not understood", e.to_string()))?;
        Ok(view.page("A bad patch", Section::Now, PAGE, main(&asking, &look)))
    })
    .await
}

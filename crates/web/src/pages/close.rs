//! Shutting the sprinklers for the winter: by when, with what chance of frost, and how.

use axum::extract::State;
use jiff::civil::Date;
use maud::{Markup, html};
use reckon::working::Step;
use yard::sprinkler_year::closing::{Closing, Pipes, Way, ZoneAir, closing};
use yard::sprinkler_year::frost::FrostOdds;
use yard::sprinkler_year::{air_words, pressure_words};
use yard::units::Quantity;

use crate::error::PageError;
use crate::extract::Asked;
use crate::frost::{asked_day, chances, points};
use crate::layout::{Section, number, sentence, time};
use crate::logbook_links::query;
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::steps::steps;
use crate::view::{Pairs, View, value};

/// What was asked.
struct Ask {
    way: Way,
    pipes: Pipes,
    by: Option<Result<Date, String>>,
}

impl Ask {
    fn of(asked: &Pairs) -> Result<Self, PageError> {
        let unknown = |what: &str, raw: &str| PageError::bad("Not understood", format!("There is no {what} “{raw}”"));
        let way = match value(asked, "way") {
            None => Way::BlowOut,
            Some(raw) => Way::ALL.into_iter().find(|w| w.key() == raw).ok_or_else(|| unknown("way", raw))?,
        };
        let pipes = match value(asked, "pipe") {
            None => Pipes::Unknown,
            Some(raw) => Pipes::ALL.into_iter().find(|p| p.key() == raw).ok_or_else(|| unknown("kind of pipe", raw))?,
        };
        Ok(Self { way, pipes, by: asked_day(asked) })
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let ask = Ask::of(&asked)?;
        let closing = closing(&view.scene(), ask.way, ask.pipes);
        Ok(view.page("Shut the sprinklers", Section::Water, "/water/close", main(&view, &ask, &closing)))
    })
    .await
}

fn lead(view: &View, c: &Closing) -> Markup {
    let frost = |o: &FrostOdds| view.units().say(Quantity::Temperature, o.threshold_c);
    html! {
        @match (c.done_on, c.freeze_come, c.shut_by, &c.hard_freeze) {
            (Some(on), _, _, _) => p.lead { "Shut on " (time(on)) ". Nothing more to do until spring." },
            (None, Some(day), _, _) => p.lead { strong { "Shut it today: " } "a hard freeze came on " (time(day)) ", and nothing says the system was shut." },
            (None, None, Some(by), Some(odds)) => p.lead {
                "Have it shut by " strong { (time(by)) } ": until then a hard freeze (" (frost(odds)) ") came in no more than one year of ten."
            },
            _ => p.lead { "By when cannot be told without weather." },
        }
    }
}

fn odds(view: &View, c: &Closing, ask: &Ask) -> Markup {
    html! {
        section aria-labelledby="frost" {
            h2 #frost { "When it freezes" }
            @if let Some(hard) = &c.hard_freeze {
                (points(view, "First hard freeze: what lies in the ground, valves and heads", hard))
                @if let Some(freeze) = &c.freeze { (points(view, "First freeze: the backflow assembly above ground, drained or wrapped before such a night", freeze)) }
                (chances("The chance that it has frozen hard by a day", "By", hard))
                form action="/water/close" method="get" {
                    @if view.on != view.today { input type="hidden" name="on" value=(view.on); }
                    input type="hidden" name="way" value=(ask.way.key());
                    input type="hidden" name="pipe" value=(ask.pipes.key());
                    label for="by" { "The chance that pipes freeze before" }
                    input #by type="date" name="by" value=[ask.by.as_ref().and_then(|d| d.as_ref().ok())];
                    button { "Say" }
                }
                @match &ask.by {
                    Some(Err(why)) => p.fault role="alert" { (why) },
                    Some(Ok(day)) => p role="status" {
                        @match day.yesterday().ok().and_then(|d| hard.chance(d)) {
                            Some(chance) => { "Before " (time(*day)) ": " strong { (number(chance.share() * 100.0, 0)) " %" } " (" (chance.with) " of " (chance.of) " years)." },
                            None => { "The outlook is for " (time(hard.from)) " to " (time(hard.to)) "." },
                        }
                    },
                    None => {},
                }
                p.why { "Counted from " (hard.basis) ", for " (time(hard.from)) " to " (time(hard.to)) ". Cold ground follows the air by days; a forecast of a hard frost goes before any of this." }
                (parts::working(&hard.working, &[], view.units()))
            }
        }
    }
}

fn choose(view: &View, ask: &Ask) -> Markup {
    html! {
        form.filter action="/water/close" method="get" {
            @if view.on != view.today { input type="hidden" name="on" value=(view.on); }
            div.field {
                label for="way" { "The water is got out by" }
                select #way name="way" { @for w in Way::ALL { option value=(w.key()) selected[w == ask.way] { (w.words()) } } }
            }
            div.field {
                label for="pipe" { "The pipes are" }
                select #pipe name="pipe" { @for p in Pipes::ALL { option value=(p.key()) selected[p == ask.pipes] { (p.words()) } } }
            }
            button { "Show" }
        }
    }
}

fn air(view: &View, zones: &[ZoneAir]) -> Markup {
    let u = view.units();
    html! {
        @if !zones.is_empty() {
            section aria-labelledby="air" {
                h2 #air { "Air, zone by zone" }
                table {
                    caption.hidden { "Air pressure and volume for each zone" }
                    thead { tr { th scope="col" { "Zone" } th.num scope="col" { "Set to" } th.num scope="col" { "Never over" } th.num scope="col" { "Air" } } }
                    tbody { @for z in zones {
                        tr {
                            th scope="row" { (z.name) }
                            td.num { (pressure_words(u, z.set_kpa)) }
                            td.num { strong { (pressure_words(u, z.most_kpa)) } }
                            td.num { (air_words(u, z.air_l_min)) @if z.flow_assumed { " *" } }
                        }
                    } }
                }
                @if zones.iter().any(|z| z.flow_assumed) { p.why { "* from a usual rate over its ground; the meter would tell the zone’s flow." } }
                @let working: Vec<Step> = zones.iter().flat_map(|z| z.working.iter().cloned()).collect();
                (parts::working(&working, &[], u))
            }
        }
    }
}

fn main(view: &View, ask: &Ask, c: &Closing) -> Markup {
    let log = format!("/log/sprinklers{}", query([("state", "shut")]));
    html! {
        div.head { h1 { "Shut the sprinklers" } (lead(view, c)) }
        div.columns {
            div {
                @if view.yard.zones.is_empty() { p { "The yard has no zones. " a href="/log/zone" { "Add a zone" } "." } }
                section { (choose(view, ask)) }
                @for s in &c.steps { (steps(s)) }
                @if c.done_on.is_none() { div.actions { a.button href=(view.link(&log)) { "It is shut" } } }
            }
            div { (air(view, &c.zones)) (odds(view, c, ask)) }
        }
        p { a href=(view.link("/water/open")) { "Open them in spring" } " · " a href="/safety" { "Safety" } " · " a href=(view.link("/water")) { "Back to water" } }
        @if ask.way != Way::BlowOut { p.why { (sentence("where the ground sags or the pipe rises, drains leave water behind: compressed air takes that too.")) } }
    }
}

//! A leak reckoned: the meter with everything shut, what it loses and costs, where it is, by when to mend it.

use axum::extract::State;
use maud::{Markup, html};
use yard::entry::BilledUnit;
use yard::leak::{Leak, LeakAsk, LeakFound, Place, Watched, leak, measure_steps, mend_steps};
use yard::units::{Quantity, significant};
use yard::words::money;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, sentence, time};
use crate::logbook_links::query;
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::steps::steps;
use crate::view::{Pairs, View, value};

/// Units a meter's small hands are printed in, with their keys; the yard's own stands first.
const UNITS: [(&str, &str, f64); 4] = [
    ("gal", "gallons", BilledUnit::Gallon.in_m3() * 1000.0),
    ("cuft", "cubic feet", BilledUnit::HundredCubicFeet.in_m3() * 10.0),
    ("l", "litres", 1.0),
    ("m3", "cubic metres", 1000.0),
];

/// What was typed, and what of it could not be read.
struct Typed<'a> {
    asked: &'a Pairs,
    unit: (&'static str, &'static str, f64),
    faults: Vec<(&'static str, String)>,
}

impl<'a> Typed<'a> {
    fn of(view: &View, asked: &'a Pairs) -> Self {
        let usual = if view.units() == yard::Units::Metric { UNITS[2] } else { UNITS[0] };
        let named = value(asked, "unit").and_then(|raw| UNITS.into_iter().find(|u| u.0 == raw));
        Self { asked, unit: named.unwrap_or(usual), faults: Vec::new() }
    }

    fn raw(&self, name: &str) -> &str {
        value(self.asked, name).unwrap_or_default()
    }

    fn number(&mut self, name: &'static str) -> Option<f64> {
        let raw = value(self.asked, name)?;
        match raw.replace(',', "").parse::<f64>().ok().filter(|v| v.is_finite() && *v >= 0.0) {
            Some(v) => Some(v),
            None => {
                self.faults.push((name, format!("“{raw}” is not a number; write it like 1.5")));
                None
            }
        }
    }

    fn watched(&mut self, moved: &'static str, minutes: &'static str) -> Option<Watched> {
        match (self.number(moved), self.number(minutes)) {
            (Some(m), Some(t)) => Some(Watched { moved_l: m * self.unit.2, minutes: t }),
            (None, None) => None,
            (Some(_), None) if !self.faults.iter().any(|f| f.0 == minutes) => {
                self.faults.push((minutes, "say how many minutes it was watched".to_owned()));
                None
            }
            (None, Some(_)) if !self.faults.iter().any(|f| f.0 == moved) => {
                self.faults.push((moved, "say how much the meter moved; 0 where it stood".to_owned()));
                None
            }
            _ => None,
        }
    }

    fn ask(&mut self) -> LeakAsk {
        let open = self.watched("moved", "minutes");
        let closed = self.watched("closed_moved", "closed_minutes");
        let town = self.number("days");
        if let Some(d) = town.filter(|d| d.fract() != 0.0 || *d > 365.0) {
            self.faults.push(("days", format!("“{d}” is not a whole number of days up to 365")));
        }
        LeakAsk { open, closed, repair: self.number("repair"), town_days: town.map(|d| d as u32) }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let mut typed = Typed::of(&view, &asked);
        let ask = typed.ask();
        let found = if typed.faults.is_empty() {
            leak(&view.scene(), &ask).unwrap_or_else(|e| {
                typed.faults.push((page_field(e.field()), e.to_string()));
                None
            })
        } else {
            None
        };
        Ok(view.page("Reckon a leak", Section::Water, "/water/leak", main(&view, &typed, found.as_ref())))
    })
    .await
}

/// The field of the page a formula's refusal belongs to.
fn page_field(field: &'static str) -> &'static str {
    match field {
        "repair_cost" => "repair",
        "leak_l_min" | "end_l" => "moved",
        other => other,
    }
}

fn field(typed: &Typed<'_>, name: &'static str, label: &str, unit: &str, help: &str) -> Markup {
    let faults: Vec<&str> = typed.faults.iter().filter(|f| f.0 == name).map(|f| f.1.as_str()).collect();
    let described = match (help.is_empty(), faults.is_empty()) {
        (true, true) => None,
        (false, true) => Some(format!("{name}-help")),
        (true, false) => Some(format!("{name}-fault")),
        (false, false) => Some(format!("{name}-help {name}-fault")),
    };
    html! {
        div.field {
            label for=(name) { (label) }
            div.entry {
                input id=(name) name=(name) type="text" inputmode="decimal" autocomplete="off" value=(typed.raw(name))
                    aria-invalid=[(!faults.is_empty()).then_some("true")] aria-describedby=[described];
                span.unit { (unit) }
            }
            @if !help.is_empty() { p.help id=(format!("{name}-help")) { (help) } }
            @if !faults.is_empty() { p.fault role="alert" id=(format!("{name}-fault")) { (sentence(&faults.join("; "))) } }
        }
    }
}

fn form(view: &View, typed: &Typed<'_>) -> Markup {
    let unit = typed.unit.1;
    let sign = view.yard.facts.as_ref().map_or("$", |f| f.currency.as_str());
    html! {
        form.filter action="/water/leak" method="get" {
            @if view.on != view.today { input type="hidden" name="on" value=(view.on); }
            div.field {
                label for="unit" { "The meter counts" }
                select #unit name="unit" { @for (key, words, _) in UNITS { option value=(key) selected[key == typed.unit.0] { (words) } } }
            }
            (field(typed, "moved", "With everything shut it moved", unit, "the second reading less the first; 0 where it stood"))
            (field(typed, "minutes", "in", "min", ""))
            (field(typed, "closed_moved", "With the sprinklers’ stop valve closed too it moved", unit, "the next test: leave it empty until it is made"))
            (field(typed, "closed_minutes", "in", "min", ""))
            (field(typed, "repair", "The parts cost", sign, "25 is taken where it is empty"))
            (field(typed, "days", "The town gives", "days", "where it has a rule for leaks"))
            button { "Reckon" }
        }
    }
}

fn figures(view: &View, l: &Leak, found: &LeakFound) -> Markup {
    let u = view.units();
    let say = |v: f64| u.say(Quantity::Volume, v);
    html! {
        p.figure { strong { (say(l.per_day_l)) } " a day" }
        dl.strip {
            div { dt { "Flow" } dd { (significant(u.show(Quantity::Flow, l.flow_l_min), 2)) " " (u.symbol(Quantity::Flow)) } }
            div { dt { "A year" } dd { (say(l.per_year_l)) } }
            @if let Some(cost) = l.cost_per_day { div { dt { "Cost a day" } dd { (money(&view.yard, cost)) } } }
            @if let Some(part) = found.sprinklers_l_day { div { dt { "Of it the sprinklers" } dd { (say(part)) " a day" } } }
        }
        @if l.at_once { p.care { strong { "Today: " } "shut the water off now; a flow like this washes the ground out and drowns wires." } }
        @else { p { "Mend it by " strong { (time(l.repair_by)) } "." } }
        @if !l.step.is_empty() { p.why { "Priced in " (l.step) "." } }
        @if let Some(mm) = l.hole_mm {
            p.why { "As much as a hole of " (significant(u.show(Quantity::Depth, mm), 2)) " " (u.symbol(Quantity::Depth)) " loses at 60 psi (4.1 bar)." }
        }
    }
}

fn said(view: &View, found: &LeakFound) -> Markup {
    let by = found.leak.as_ref().map(|l| l.repair_by.to_string()).unwrap_or_default();
    let remark = found
        .leak
        .as_ref()
        .map(|l| format!("{} a day", view.units().say(Quantity::Volume, l.per_day_l)))
        .unwrap_or_default();
    let at = if found.place == Place::Sprinklers { "Manifold" } else { "Water line" };
    let pairs = [("at", at), ("trouble", found.trouble().key()), ("by", by.as_str()), ("remark", remark.as_str())];
    html! {
        section.told aria-labelledby="said" role="status" {
            h2 #said { "What the meter says" }
            @if let Some(l) = &found.leak { (figures(view, l, found)) }
            p { strong { "Where: " } (found.place.words()) "." }
            @if let Some(next) = found.place.next() { p { strong { "Next: " } (next) } }
            div.actions {
                @if found.leak.is_some() {
                    a.button href=(view.link(&format!("/log/to-mend{}", query(pairs)))) { "Keep it as to be mended" }
                    a.button.quiet href=(view.link("/log/repaired?done=Leak%20mended%3A%20")) { "Log the repair" }
                }
                (parts::working(&found.working, &found.assumed, view.units()))
            }
        }
    }
}

fn main(view: &View, typed: &Typed<'_>, found: Option<&LeakFound>) -> Markup {
    let leaks = found.is_some_and(|f| f.leak.is_some());
    html! {
        div.head { h1 { "Reckon a leak" } p.lead { "The meter with everything shut tells how much, and what it costs until it is mended." } }
        div.columns {
            div {
                @if let Some(f) = found { (said(view, f)) }
                (form(view, typed))
            }
            div {
                (steps(&measure_steps()))
                @if leaks { (steps(&mend_steps())) }
            }
        }
        p {
            a href=(view.link("/water/fault")) { "Find a fault" } " · " a href=(view.link("/water/cost")) { "Water in money" } " · "
            a href=(view.link("/water")) { "Back to water" }
        }
    }
}

//! Writing things down: the list of forms, each form, and corrections.

use almanac::Almanac;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::civil::Date;
use maud::{Markup, html};
use yard::advice::plans::check_work;
use yard::entry::Body;
use yard::form::{self, FORMS, FormSpec, Typed};
use yard::{Fault, Yard, prepare};

use crate::error::PageError;
use crate::extract::{Asked, Posted};
use crate::fields::{self, Filled};
use crate::layout::{Section, prose, sentence, time, token};
use crate::logbook_links::FULFILS;
use crate::once::{self, Before, Once};
use crate::parts;
use crate::record::{RecordError, record, stamp};
use crate::server::off_thread;
use crate::state::Site;
use crate::typed::{typed_from, typed_of};
use crate::view::{Pairs, View, date_of, value};
use yard::words;

const HAPPENED: [&str; 20] = [
    "mowed",
    "watered",
    "rain",
    "applied",
    "seeded",
    "scouted",
    "planted",
    "mole-run",
    "soil-water",
    "soil-test",
    "sprinklers",
    "meter-read",
    "to-mend",
    "repaired",
    "backflow-tested",
    "bought",
    "counted",
    "spreader",
    "sprayer",
    "note",
];
const PLANS: [&str; 2] = ["plan-apply", "plan-sow"];

pub(crate) async fn list(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let group = |heading: &str, kinds: &[&str]| {
            html! {
                section {
                    h2 { (heading) }
                    ul.tiles {
                        @for spec in FORMS.iter().filter(|f| kinds.contains(&f.kind)) {
                            li { a href=(view.link(&format!("/log/{}", spec.kind))) { (spec.title) } }
                        }
                    }
                }
            }
        };
        let rest: Vec<&str> =
            FORMS.iter().map(|f| f.kind).filter(|k| !HAPPENED.contains(k) && !PLANS.contains(k)).collect();
        let main = html! {
            div.head {
                h1 { "Log" }
                div.actions { a.button.quiet href="/shed" { "The shed" } a.button.quiet href="/costs" { "Costs" } a.button.quiet href="/map/draw" { "Draw" } }
            }
            div.columns {
                div { (group("What happened", &HAPPENED)) (group("What is meant to be done", &PLANS)) }
                div { (group("What the yard is", &rest)) }
            }
        };
        Ok(view.page("Log", Section::Log, "/log", main))
    })
    .await
}

fn spec_of(kind: &str) -> Result<&'static FormSpec, PageError> {
    form::form(kind).ok_or_else(|| PageError::Missing(format!("There is no form “{kind}”")))
}

/// What a form page holds beside its fields.
struct Sheet<'a> {
    spec: &'static FormSpec,
    heading: &'a str,
    action: &'a str,
    /// The plan this entry takes the place of.
    fulfils: Option<&'a str>,
    typed: &'a Typed,
    on: &'a str,
    faults: &'a [Fault],
    /// What to say above the form.
    told: Markup,
}

fn sheet(view: &View, s: &Sheet<'_>) -> Markup {
    let filled = Filled { yard: &view.yard, units: Some(view.units()), typed: s.typed, faults: s.faults, prefix: "" };
    let plan = s.spec.kind.starts_with("plan-");
    let main = html! {
        div.head { h1 { (s.heading) } }
        (s.told)
        (fields::fault_summary(&filled, s.spec))
        // Sent elsewhere than the page's own address: a browser forgets the page it sends to, and a step back would bring a fresh
        // form with a fresh key.
        form.sheet method="post" action=(format!("{}?save", s.action)) {
            (token(view))
            (once::field())
            @if let Some(key) = s.typed.get("key") { input type="hidden" name="key" value=(key); }
            @if let Some(plan) = s.fulfils { input type="hidden" name=(FULFILS) value=(plan); }
            (fields::opening(s.spec))
            (fields::date_field(&filled, s.spec, s.on))
            (fields::all(&filled, s.spec))
            div.actions {
                @if plan {
                    button name="do" value="check" { "Check" }
                    button name="do" value="keep" { "Keep as plan" }
                } @else {
                    button name="do" value="keep" { "Save" }
                }
            }
        }
    };
    view.page(s.heading, Section::Log, s.action, main)
}

/// What the yard now says of the thing a form edits: the start of a new fact of the same key.
fn known(spec: &FormSpec, typed: &Typed, yard: &Yard) -> Option<Typed> {
    let key = typed.get("key").map(String::as_str);
    let body = match spec.kind {
        "area" => Body::Area(yard.area(key?)?.clone()),
        "zone" => Body::Zone(yard.zone(key?)?.clone()),
        "outline" => Body::Outline(yard.outline(typed.get("area")?)?.fact.clone()),
        "mapped" => Body::Mapped(yard.things.iter().find(|t| Some(t.key.as_str()) == key)?.clone()),
        "origin" => Body::Origin(yard.origin?),
        "product" => Body::Product(Box::new(yard.product(key?)?.clone())),
        "programme" => {
            let zone = typed.get("zone")?;
            Body::Programme(yard.programmes.iter().rev().find(|p| p.fact.zone == *zone)?.fact.clone())
        }
        "local-rules" => Body::LocalRules(yard.local_rules.clone()?),
        "tariff" => Body::Tariff(yard.tariffs.last()?.fact.clone()),
        "controller" => Body::Controller(yard.controller.as_ref()?.fact.clone()),
        "supply" => Body::Supply(yard.supply.as_ref()?.fact.clone()),
        "water-rules" => Body::WaterRules(yard.water_rules.clone()?),
        "yard" => Body::Yard(yard.facts.clone()?),
        _ => return None,
    };
    typed_from(&body, yard).map(|(_, typed)| typed)
}

pub(crate) async fn form(
    State(site): State<Site>,
    Path(kind): Path<String>,
    Asked(asked): Asked,
) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let spec = spec_of(&kind)?;
        let mut typed = typed_of(spec, "", &asked);
        if let Some(mut start) = known(spec, &typed, &view.yard) {
            start.append(&mut typed);
            typed = start;
        } else {
            typed.remove("key");
        }
        let action = format!("/log/{kind}");
        let on = view.on.to_string();
        let sheet = Sheet {
            spec,
            heading: spec.title,
            action: &action,
            fulfils: value(&asked, FULFILS),
            typed: &typed,
            on: &on,
            faults: &[],
            told: html! {},
        };
        Ok(self::sheet(&view, &sheet))
    })
    .await
}

/// A key for a thing that is new, so that adding never writes over what is there.
fn with_key(spec: &FormSpec, mut typed: Typed, yard: &Yard) -> Result<Typed, Vec<Fault>> {
    if !matches!(spec.kind, "area" | "zone" | "product" | "mapped") || typed.contains_key("key") {
        return Ok(typed);
    }
    let taken = |key: &str| match spec.kind {
        "area" => yard.area(key).map(|a| a.name.clone()),
        "zone" => yard.zone(key).map(|z| z.name.clone()),
        "mapped" => yard.things.iter().find(|t| t.key == key).map(|t| t.name.clone()),
        _ => yard.product(key).map(|p| p.name.clone()),
    };
    let mut key = form::key_of(typed.get("name").map_or("", String::as_str));
    if key.is_empty() {
        // A name without Latin letters has no key of its own: the kind and the first free number stand in.
        key = (1..).map(|n| format!("{}-{n}", spec.kind)).find(|k| taken(k).is_none()).unwrap_or_default();
    }
    match taken(&key) {
        Some(name) => {
            let message = format!("there is “{name}” already; edit that one in the settings, or choose another name");
            Err(vec![Fault { field: "name".to_owned(), message }])
        }
        None => {
            typed.insert("key".to_owned(), key);
            Ok(typed)
        }
    }
}

/// A form as it came in.
struct Sent {
    spec: &'static FormSpec,
    action: String,
    heading: String,
    posted: Posted,
    supersedes: Option<String>,
}

fn happened_on(pairs: &Pairs) -> Result<Date, Fault> {
    let raw = value(pairs, "on").unwrap_or_default();
    date_of(raw).map_err(|message| Fault { field: "on".to_owned(), message })
}

/// The form again, with what was typed.
fn again(view: &View, sent: &Sent, typed: &Typed, faults: &[Fault], told: Markup) -> Markup {
    let sheet = Sheet {
        spec: sent.spec,
        heading: &sent.heading,
        action: &sent.action,
        fulfils: value(&sent.posted.pairs, FULFILS),
        typed,
        on: value(&sent.posted.pairs, "on").unwrap_or_default(),
        faults,
        told,
    };
    self::sheet(view, &sheet)
}

/// What the checks say of a plan, without keeping it.
fn checked(view: &View, sent: &Sent, typed: &Typed, on: Date) -> Result<Markup, Vec<Fault>> {
    let entry = prepare(&view.facts.entries, Almanac::embedded(), sent.spec.kind, typed, on, None, &stamp(view.today))?;
    let Body::Planned(plan) = &entry.body else { return Ok(html! {}) };
    let (findings, clear) = check_work(&view.scene(), &plan.work, on, sent.supersedes.as_deref());
    Ok(html! {
        section.checked role="status" {
            h2 { "Checked for " (time(on)) }
            @if findings.is_empty() { p { "Nothing stands in the way of it." } }
            (parts::findings(&findings))
            @if let Some(day) = clear { p.lead { "First day nothing stops it: " (time(day)) } }
            p { "Nothing is kept yet." }
        }
    })
}

fn keep(site: &Site, sent: &Sent, once: &mut Once) -> Result<Response, PageError> {
    let view = View::open(site, &Pairs::new())?;
    let typed = typed_of(sent.spec, "", &sent.posted.pairs);
    if !sent.posted.trusted {
        let told = html! {
            div.faults role="alert" {
                p { strong { "Nothing was saved." } " This form was opened before Toft was started anew, or comes from elsewhere. Look it over and save it again." }
            }
        };
        return Ok((StatusCode::FORBIDDEN, again(&view, sent, &typed, &[], told)).into_response());
    }
    if let Before::Same(page) = once.before(&sent.posted.pairs) {
        return Ok(Redirect::to(&page).into_response());
    }
    let refuse = |faults: &[Fault]| {
        Ok((StatusCode::UNPROCESSABLE_ENTITY, again(&view, sent, &typed, faults, html! {})).into_response())
    };
    let on = match happened_on(&sent.posted.pairs) {
        Ok(on) => on,
        Err(fault) => {
            let today = view.today;
            let mut faults = vec![fault];
            faults.extend(
                prepare(&view.facts.entries, Almanac::embedded(), sent.spec.kind, &typed, today, None, &stamp(today))
                    .err()
                    .unwrap_or_default(),
            );
            return refuse(&faults);
        }
    };
    if value(&sent.posted.pairs, "do") == Some("check") {
        return match checked(&view, sent, &typed, on) {
            Ok(told) => Ok(again(&view, sent, &typed, &[], told).into_response()),
            Err(faults) => refuse(&faults),
        };
    }
    if let Before::Other(page) = once.before(&sent.posted.pairs) {
        let told = html! {
            div.notice role="alert" {
                p {
                    strong { "Nothing was saved just now. " } "This form was saved before as " a href=(page) { "this entry" }
                    ", and says something else now. Save it once more to log it as another, or correct the first one instead."
                }
            }
        };
        return Ok((StatusCode::CONFLICT, again(&view, sent, &typed, &[], told)).into_response());
    }
    let keyed = match with_key(sent.spec, typed.clone(), &view.yard) {
        Ok(keyed) => keyed,
        Err(faults) => return refuse(&faults),
    };
    match record(site, sent.spec.kind, &keyed, on, sent.supersedes.clone()) {
        Ok(entry) => {
            let page = format!("/saved/{}", entry.id);
            once.used(&sent.posted.pairs, &page);
            Ok(Redirect::to(&page).into_response())
        }
        Err(RecordError::Faults(faults)) => match faults.iter().find(|f| f.field == "supersedes") {
            // No field of the form is at fault: the entry it stands for is no longer in force.
            Some(fault) => {
                let told = html! {
                    div.faults role="alert" { p { strong { "Nothing was saved." } " " (sentence(&fault.message)) "." } }
                };
                Ok((StatusCode::CONFLICT, again(&view, sent, &typed, &[], told)).into_response())
            }
            None => refuse(&faults),
        },
        // The ledger refused or failed: what was typed stays on the page, to be sent again.
        Err(other) => {
            let message = other.to_string();
            let status = match PageError::from(other) {
                PageError::Told(status, _, _) => status,
                PageError::NoYard | PageError::Missing(_) => StatusCode::INTERNAL_SERVER_ERROR,
            };
            let told = html! { div.faults role="alert" { p { strong { "Nothing was saved. " } (message) "." } } };
            Ok((status, again(&view, sent, &typed, &[], told)).into_response())
        }
    }
}

pub(crate) async fn take(
    State(site): State<Site>,
    Path(kind): Path<String>,
    posted: Posted,
) -> Result<Response, PageError> {
    let spec = spec_of(&kind)?;
    let supersedes = value(&posted.pairs, FULFILS).map(str::to_owned);
    let sent = Sent { spec, action: format!("/log/{kind}"), heading: spec.title.to_owned(), posted, supersedes };
    off_thread(move || {
        let mut once = site.once();
        keep(&site, &sent, &mut once)
    })
    .await
}

/// An entry as its form: the form, its words, its day.
fn of_entry(view: &View, id: &str) -> Result<(&'static FormSpec, Typed, Date), PageError> {
    let entry = view.facts.entry(id).ok_or_else(|| PageError::Missing("There is no such entry".to_owned()))?;
    let (kind, typed) = typed_from(&entry.body, &view.yard).ok_or_else(|| {
        PageError::Told(StatusCode::CONFLICT, "Not to be corrected", "A withdrawal cannot be corrected".to_owned())
    })?;
    Ok((spec_of(kind)?, typed, entry.happened_on))
}

pub(crate) async fn correct(State(site): State<Site>, Path(id): Path<String>) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let (spec, typed, on) = of_entry(&view, &id)?;
        if view.facts.superseded_by(&id).is_some() {
            let message =
                "This entry was corrected or withdrawn before. Correct the one that took its place".to_owned();
            return Err(PageError::Told(StatusCode::CONFLICT, "Not in force", message));
        }
        let line = view.facts.entry(&id).map(|e| words::line(&e.body, &view.yard)).unwrap_or_default();
        let action = format!("/entry/{id}/correct");
        let on = on.to_string();
        let sheet = Sheet {
            spec,
            heading: &format!("Correct: {}", spec.title),
            action: &action,
            fulfils: None,
            typed: &typed,
            on: &on,
            faults: &[],
            told: html! { p { "It said: " (prose(&line)) } },
        };
        Ok(self::sheet(&view, &sheet))
    })
    .await
}

pub(crate) async fn corrected(
    State(site): State<Site>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Response, PageError> {
    off_thread(move || {
        let (spec, _, _) = of_entry(&View::open(&site, &Pairs::new())?, &id)?;
        let action = format!("/entry/{id}/correct");
        let sent = Sent { spec, action, heading: format!("Correct: {}", spec.title), posted, supersedes: Some(id) };
        let mut once = site.once();
        keep(&site, &sent, &mut once)
    })
    .await
}

//! One entry: what it says, what the checks say of it, its corrections.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Redirect;
use maud::{Markup, html};
use yard::advice::Scene;
use yard::advice::checks::{Finding, check_application, check_sowing};
use yard::advice::plans::check_work;
use yard::entry::{Body, Form, Planned, Work};
use yard::form::{self, Ask};
use yard::units::Quantity;
use yard::{Entry, fold};

use crate::error::PageError;
use crate::extract::{Asked, Posted};
use crate::layout::{Section, prose, time, token};
use crate::once;
use crate::pages::daybook::kind_word;
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::typed::typed_from;
use crate::view::{Pairs, View, value};
use yard::words;

fn found<'v>(view: &'v View, id: &str) -> Result<&'v Entry, PageError> {
    view.facts.entry(id).ok_or_else(|| PageError::Missing("There is no such entry".to_owned()))
}

/// The checks on a thing done, as of the day it was done: the yard of that day, and the weather that day had.
fn findings_then(view: &View, entry: &Entry) -> Option<Vec<Finding>> {
    let on = entry.happened_on;
    // What was meant for later was not yet done then, and is not held against what was.
    let mut yard = fold(&view.facts.entries, on);
    yard.plans.clear();
    let scene = Scene { yard: &yard, weather: &view.weather, almanac: view.almanac(), on: view.today.max(on) };
    match &entry.body {
        Body::Applied(a) => Some(check_application(&scene, a, on, Some(&entry.id))),
        Body::Seeded(s) => Some(check_sowing(&scene, s, on, Some(&entry.id))),
        _ => None,
    }
}

fn done(view: &View, entry: &Entry) -> Markup {
    html! {
        @if let Some(list) = findings_then(view, entry) {
            @if list.is_empty() { p { "Nothing stood in the way of it." } }
            @else {
                p { "What was done stays logged; these findings stay beside it." }
                (parts::findings(&list))
            }
        }
    }
}

/// The checks on a plan, as of today.
fn planned(view: &View, entry: &Entry, plan: &Planned) -> Markup {
    let (list, clear) = check_work(&view.scene(), &plan.work, entry.happened_on, Some(&entry.id));
    html! {
        @if list.is_empty() { p { "Nothing stands in the way of it." } }
        @else {
            p { "The plan is kept; this is what stands against it or wants care." }
            (parts::findings(&list))
        }
        @if let Some(day) = clear { p.lead { "First day nothing stops it: " (time(day)) } }
        @if !list.is_empty() { p { a.button href=(format!("/entry/{}/correct", entry.id)) { "Change the plan" } } }
    }
}

fn findings(view: &View, entry: &Entry) -> Markup {
    let said = match &entry.body {
        Body::Applied(_) | Body::Seeded(_) => done(view, entry),
        // A plan that has made way for the work or for another plan is judged no more.
        Body::Planned(plan) if view.facts.superseded_by(&entry.id).is_none() => planned(view, entry, plan),
        _ => return html! {},
    };
    html! {
        section aria-labelledby="findings" {
            h2 #findings { "What the checks say" }
            (said)
        }
    }
}

/// Every field that was filled in, in words.
fn fields(view: &View, entry: &Entry) -> Markup {
    let units = view.units();
    let Some((kind, typed)) = typed_from(&entry.body, &view.yard) else { return html! {} };
    let Some(spec) = form::form(kind) else { return html! {} };
    // Rates and packs of a liquid are told in its own measures.
    let liquid = match &entry.body {
        Body::Applied(a) => view.yard.product(&a.product).is_some_and(|p| p.form == Form::Liquid),
        Body::Planned(p) => {
            matches!(&p.work, Work::Apply(a) if view.yard.product(&a.product).is_some_and(|p| p.form == Form::Liquid))
        }
        Body::Product(p) => p.form == Form::Liquid,
        Body::Counted(c) => view.yard.product(&c.product).is_some_and(|p| p.form == Form::Liquid),
        Body::Bought(b) => {
            b.product.as_deref().and_then(|p| view.yard.product(p)).is_some_and(|p| p.form == Form::Liquid)
        }
        _ => false,
    };
    let told_in = |field: &str, q: Quantity| match (q, field) {
        (Quantity::Dose, "rate" | "label_rate_max") if liquid => Quantity::DoseLiquid,
        (Quantity::Mass, _) if liquid => Quantity::VolumeProduct,
        _ => q,
    };
    let name_of = |field: &str, ask: Ask, raw: &str| match ask {
        Ask::Measure(q) => format!("{raw} {}", units.symbol(told_in(field, q))),
        Ask::Number("money") => format!("{}{raw}", view.yard.facts.as_ref().map_or("$", |f| &f.currency)),
        Ask::Number(unit) => format!("{raw} {unit}"),
        Ask::Area => view.yard.area_name(raw).to_owned(),
        Ask::Areas => view.yard.area_names(&raw.split(',').map(str::to_owned).collect::<Vec<_>>()),
        Ask::Zone => view.yard.zone(raw).map_or(raw, |z| &z.name).to_owned(),
        Ask::Product => view.yard.product(raw).map_or(raw, |p| &p.name).to_owned(),
        Ask::Grass => view.almanac().grass(raw).map_or(raw, |g| &g.name).to_owned(),
        Ask::Soil => view.almanac().texture(raw).map_or(raw, |t| &t.name).to_owned(),
        Ask::Sprinkler => view.almanac().sprinkler(raw).map_or(raw, |s| &s.name).to_owned(),
        Ask::Weekdays => words::weekdays(&raw.split(',').filter_map(|d| d.parse().ok()).collect::<Vec<_>>()),
        _ => raw.to_owned(),
    };
    html! {
        dl.facts {
            div { dt { "Day" } dd { (time(entry.happened_on)) } }
            @for f in spec.fields {
                @if let Some(raw) = typed.get(f.name) { div { dt { (f.label) } dd.words { (name_of(f.name, f.ask, raw)) } } }
            }
            div { dt { "Written down" } dd { (written(view, entry)) } }
        }
    }
}

fn written(view: &View, entry: &Entry) -> String {
    entry.recorded_at.to_zoned_datetime(view.site.time_zone()).strftime("%-d %b %Y, %-H:%M").to_string()
}

/// The chain of corrections an entry stands in, oldest first.
fn chain<'v>(view: &'v View, entry: &'v Entry) -> Vec<&'v Entry> {
    let mut all = vec![entry];
    while let Some(before) = all[0].supersedes.as_deref().and_then(|id| view.facts.entry(id)) {
        // The ledger only lets an entry name one recorded before it, so this ends.
        all.insert(0, before);
    }
    while let Some(after) = all.last().and_then(|e| view.facts.superseded_by(&e.id)) {
        all.push(after);
    }
    all
}

pub(crate) async fn show(
    State(site): State<Site>,
    Path(id): Path<String>,
    Asked(asked): Asked,
) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let entry = found(&view, &id)?;
        let path = format!("/entry/{id}");
        Ok(view.page(kind_word(entry.body.kind()), Section::Daybook, &path, main(&view, entry)))
    })
    .await
}

fn main(view: &View, entry: &Entry) -> Markup {
    let chain = chain(view, entry);
    let after = view.facts.superseded_by(&entry.id);
    let withdrawal = matches!(entry.body, Body::Withdrawn(_));
    html! {
        div.head {
            p.kicker { (kind_word(entry.body.kind())) " · " (time(entry.happened_on)) }
            h1 { (prose(&words::line(&entry.body, &view.yard))) }
            @if let Some(after) = after {
                p.notice { "No longer in force: "
                    a href=(format!("/entry/{}", after.id)) { @if matches!(after.body, Body::Withdrawn(_)) { "withdrawn" } @else { "corrected" } }
                    "." }
            }
        }
        div.columns {
            div { (fields(view, entry)) (findings(view, entry)) }
            div {
                @if after.is_none() && !withdrawal {
                    section aria-labelledby="change" {
                        h2 #change { "Change" }
                        p { a.button href=(format!("/entry/{}/correct", entry.id)) { "Correct" } }
                        @if !matches!(entry.body, Body::Yard(_)) {
                            form method="post" action=(format!("/entry/{}/withdraw", entry.id)) {
                                (token(view))
                                (once::field())
                                div.field { label for="why" { "Withdraw: why" span.optional { " (if you like)" } } input #why type="text" name="why" autocomplete="off"; }
                                button.quiet { "Withdraw" }
                            }
                        }
                    }
                }
                @if chain.len() > 1 {
                    section aria-labelledby="history" {
                        h2 #history { "History" }
                        ol.plain {
                            @for e in chain {
                                li {
                                    span.when { (written(view, e)) ": " }
                                    @if e.id == entry.id { strong { (prose(&words::line(&e.body, &view.yard))) } }
                                    @else { a href=(format!("/entry/{}", e.id)) { (prose(&words::line(&e.body, &view.yard))) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

pub(crate) async fn saved(State(site): State<Site>, Path(id): Path<String>) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let entry = found(&view, &id)?;
        let withdrawal = matches!(entry.body, Body::Withdrawn(_));
        let kind = typed_from(&entry.body, &view.yard).map(|(kind, _)| kind);
        let setting = matches!(
            entry.body,
            Body::Yard(_) | Body::Area(_) | Body::Zone(_) | Body::WaterRules(_) | Body::Controller(_) | Body::Programme(_) | Body::LocalRules(_)
        );
        let main = html! {
            div.head {
                h1 role="status" { @if withdrawal { "Withdrawn." } @else { "Saved: " (prose(&words::line(&entry.body, &view.yard))) } }
                p { (time(entry.happened_on)) }
            }
            (findings(&view, entry))
            div.actions {
                a.button href="/" { "What is next" }
                @if let Body::Product(p) = &entry.body { a.button href=(format!("/shed/{}#limits", p.key)) { "Its limits and amounts" } }
                @else if matches!(entry.body, Body::Outline(_) | Body::Mapped(_) | Body::Origin(_)) { a.button href="/map" { "The map" } }
                @else if let Body::Audited(a) = &entry.body { a.button href=(format!("/water/audit?zone={}", a.zone)) { "What it says" } }
                @else if let Body::ToMend(m) = &entry.body {
                    a.button href=(format!("/water/open{}", m.zone.as_deref().map(|z| format!("#zone-{z}")).unwrap_or_default())) { "On with the zone" }
                }
                @else if setting { a.button href="/settings" { "Settings" } }
                @if let Some(kind) = kind { a.button.quiet href=(format!("/log/{kind}")) { "Another" } }
                @if withdrawal { a.button.quiet href="/daybook" { "Daybook" } }
                @else {
                    a.button.quiet href=(format!("/entry/{}", entry.id)) { "Look at it" }
                    @if !matches!(entry.body, Body::Yard(_)) && view.facts.superseded_by(&id).is_none() {
                        form method="post" action=(format!("/entry/{}/withdraw", entry.id)) {
                            (token(&view))
                            (once::field())
                            input type="hidden" name="why" value="undone at once";
                            button.quiet { "Undo" }
                        }
                    }
                }
            }
        };
        Ok(view.page("Saved", Section::Log, "/log", main))
    })
    .await
}

pub(crate) async fn withdraw(
    State(site): State<Site>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Redirect, PageError> {
    let pairs = posted.checked()?;
    off_thread(move || {
        let mut once = site.once();
        if let Some(page) = once.before(&pairs).page() {
            return Ok(Redirect::to(&page));
        }
        let view = View::open(&site, &Pairs::new())?;
        let entry = found(&view, &id)?;
        let refused = |message: &str| Err(PageError::Told(StatusCode::CONFLICT, "Not withdrawn", message.to_owned()));
        match entry.body {
            Body::Yard(_) => return refused("The yard can be corrected, not withdrawn"),
            Body::Withdrawn(_) => return refused("A withdrawal cannot be withdrawn; log the thing again"),
            _ => {}
        }
        let gone = site.withdraw(&id, value(&pairs, "why").unwrap_or_default())?;
        let page = format!("/saved/{}", gone.id);
        once.used(&pairs, &page);
        Ok(Redirect::to(&page))
    })
    .await
}

//! One product: what the label says and what is only typical, how much of it a piece of ground takes, what was done with it.

use almanac::Almanac;
use axum::extract::{Path, State};
use axum::response::Redirect;
use maud::{Markup, html};
use yard::advice::checks::check_application;
use yard::entry::{Applied, Body, Cover, ProductFacts};
use yard::form::measure;
use yard::shed::{Limit, Told, confirm, limits, shelf, shelf_words, visit_amounts};
use yard::{Fault, prepare_bodies};

use crate::error::PageError;
use crate::extract::{Asked, Posted};
use crate::layout::{Section, prose, sentence, time, token};
use crate::logbook_links::query;
use crate::pages::shed::list;
use crate::parts;
use crate::record::stamp;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, value};

/// Applications told on the page; the daybook has the rest.
const SHOWN: usize = 10;

fn found(view: &View, key: &str) -> Result<ProductFacts, PageError> {
    view.yard
        .product(key)
        .cloned()
        .ok_or_else(|| PageError::Missing(format!("There is no product “{key}” on the shelf")))
}

fn limit_row(view: &View, key: &str, limit: &Limit) -> Markup {
    let typical = matches!(limit.told, Told::Typical(_) | Told::Recalled);
    html! {
        tr {
            th scope="row" { (sentence(limit.words)) }
            td { @if limit.figure.is_empty() { "–" } @else { (limit.figure) } }
            td {
                span class=(if limit.told == Told::YourLabel { "yours" } else { "typical" }) { (limit.told.mark()) }
                @if let Told::Typical(source) = &limit.told { details { summary { "Source" } p.source { (prose(source)) } } }
                @if typical {
                    form method="post" action=(format!("/shed/{key}/confirm")) {
                        (token(view))
                        input type="hidden" name="field" value=(limit.field);
                        button.quiet aria-label=(format!("My label says so: {}, {}", limit.figure, limit.words)) { "My label says so" }
                    }
                }
            }
        }
    }
}

fn limits_table(view: &View, product: &ProductFacts) -> Markup {
    let rows = limits(product, view.almanac(), view.units());
    html! {
        @if !rows.is_empty() {
            section aria-labelledby="limits" {
                h2 #limits { "Limits" }
                p { "With the container in hand: press “My label says so” where it does, or " a href=(format!("/log/product{}", query([("key", product.key.as_str())]))) { "type what it says" } "." }
                div.wide {
                    table {
                        caption.hidden { "Limits and where they come from" }
                        thead { tr { th scope="col" { "What" } th scope="col" { "Figure" } th scope="col" { "From" } } }
                        tbody { @for row in &rows { (limit_row(view, &product.key, row)) } }
                    }
                }
                @if !product.label.hazards.is_empty() { p { strong { "On the label: " } (product.label.hazards) } }
            }
        }
    }
}

/// The rate asked for (g/m²; mL/m²): typed, else the middle of the label's first target.
fn rate_of(view: &View, product: &ProductFacts, asked: &Pairs) -> Result<Option<f64>, String> {
    match value(asked, "rate") {
        Some(raw) => measure(raw, product.dose_quantity(), view.units()).map(Some),
        None => Ok(product.targets.first().map(|t| (t.low + t.high) / 2.0)),
    }
}

fn amounts(view: &View, product: &ProductFacts, asked: &Pairs) -> Markup {
    let units = view.units();
    let areas: Vec<String> = asked.iter().filter(|(n, _)| n == "areas").map(|(_, v)| v.clone()).collect();
    let rate = rate_of(view, product, asked);
    let typed = value(asked, "rate").map(str::to_owned);
    let shown = typed.or_else(|| match &rate {
        Ok(Some(r)) => Some(format!("{:.2}", units.show(product.dose_quantity(), *r))),
        _ => None,
    });
    let size: f64 = areas.iter().filter_map(|k| view.yard.area(k)).map(|a| a.size_m2).sum();
    html! {
        section aria-labelledby="amounts" {
            h2 #amounts { "How much" }
            @if !product.targets.is_empty() {
                ul.plain {
                    @for t in &product.targets {
                        li { (sentence(&t.target)) ": " (units.say(product.dose_quantity(), t.low)) @if t.high > t.low { " to " (units.say(product.dose_quantity(), t.high)) } }
                    }
                }
            }
            form method="get" action=(format!("/shed/{}", product.key)) {
                fieldset {
                    legend { "Where" }
                    div.boxes {
                        @for a in view.yard.areas.iter().filter(|a| a.cover != Cover::Hard) {
                            label.box { input type="checkbox" name="areas" value=(a.key) checked[areas.contains(&a.key)]; span { (a.name) } }
                        }
                    }
                }
                div.field {
                    label for="rate" { "Product on the ground" }
                    div.entry { input #rate type="text" inputmode="decimal" name="rate" value=[shown] autocomplete="off"; span.unit { (units.symbol(product.dose_quantity())) } }
                }
                div.actions { button { "Work out" } }
            }
            @match rate {
                Err(message) => p.fault role="alert" { (sentence(&message)) },
                Ok(Some(rate)) if size > 0.0 => {
                    @let total = rate * size / 1000.0;
                    @let found = visit_amounts(&view.yard, product, rate, size);
                    @let work = Applied { areas: areas.clone(), product: product.key.clone(), rate_g_m2: rate, spot_m2: None, wind_ms: None, air_c: None, rain_in_hours: None, watered_in_mm: None, flowers_open: false, remark: String::new() };
                    div.told role="status" {
                        p.figure { strong { (units.say(product.amount_quantity(), total)) } " on " (units.say(yard::units::Quantity::Area, size)) }
                        @if product.n_pct > 0.0 { p { (units.say(yard::units::Quantity::Dose, rate * product.n_pct / 100.0)) " of nitrogen" } }
                        ul.amounts {
                            @for (words, _) in &found { li { (words) } }
                            @if let Some(words) = shelf_words(&view.yard, product, total) { li { (sentence(&words)) } }
                        }
                        (parts::working(&found.into_iter().map(|(_, step)| step).collect::<Vec<_>>(), &[], units))
                    }
                    h3 { "If it went down today" }
                    (parts::findings(&check_application(&view.scene(), &work, view.on, None)))
                    div.actions {
                        a.button href=(format!("/log/plan-apply{}", query([("areas", areas.join(",").as_str()), ("product", product.key.as_str()), ("rate", value(asked, "rate").unwrap_or_default())]))) { "Plan it" }
                        a.button.quiet href=(format!("/shed/{}/safety{}", product.key, query([("areas", areas.join(",").as_str())]))) { "Safety sheet" }
                    }
                }
                Ok(_) => p.help { "Choose where, and the rate: the amount follows." },
            }
        }
    }
}

fn history(view: &View, product: &ProductFacts) -> Markup {
    let puts: Vec<_> = view.yard.applications.iter().rev().filter(|a| a.fact.product == product.key).collect();
    html! {
        @if !puts.is_empty() {
            section aria-labelledby="history" {
                h2 #history { "Put down" }
                ul.plain {
                    @for p in puts.iter().take(SHOWN) {
                        li { a href=(format!("/entry/{}", p.id)) { (time(p.on)) } ": " (view.units().say(product.dose_quantity(), p.fact.rate_g_m2)) " on " (view.yard.area_names(&p.fact.areas)) }
                    }
                    @if puts.len() > SHOWN { li { "and " (puts.len() - SHOWN) " more" } }
                }
            }
        }
    }
}

fn main(view: &View, product: &ProductFacts, asked: &Pairs) -> Markup {
    let shelf = shelf(&view.yard, product);
    let actives: Vec<String> = product
        .actives
        .iter()
        .map(|s| {
            let known = view.almanac().active(&s.active);
            let group = known.map(|a| format!(" ({})", a.group)).unwrap_or_default();
            format!("{} {} %{group}", known.map_or(s.active.as_str(), |a| &a.name), s.pct)
        })
        .collect();
    html! {
        div.head {
            h1 { (product.name) }
            dl.strip {
                @if product.n_pct + product.p2o5_pct + product.k2o_pct > 0.0 { div { dt { "Analysis" } dd { (product.n_pct) "-" (product.p2o5_pct) "-" (product.k2o_pct) } } }
                @if !actives.is_empty() { div { dt { "Active" } dd { (actives.join(", ")) } } }
                div { dt { "Left" } dd { (list::left(view, product, &shelf)) } }
                @if product.opened_on.is_some() { div { dt { "Pack" } dd { (list::age(view, product)) } } }
                @if !product.lot.is_empty() { div { dt { "Lot" } dd { (product.lot) } } }
            }
            div.actions {
                a.button.quiet href=(format!("/log/product{}", query([("key", product.key.as_str())]))) { "Edit" }
                a.button.quiet href=(format!("/log/counted{}", query([("product", product.key.as_str())]))) { "Count" }
                a.button.quiet href=(format!("/log/bought{}", query([("product", product.key.as_str()), ("what", product.name.as_str())]))) { "Bought" }
                a.button.quiet href=(format!("/shed/{}/safety", product.key)) { "Safety sheet" }
            }
        }
        div.columns {
            div { (amounts(view, product, asked)) (history(view, product)) }
            div { (limits_table(view, product)) }
        }
        p { a href="/shed" { "Back to the shed" } }
    }
}

pub(crate) async fn show(
    State(site): State<Site>,
    Path(key): Path<String>,
    Asked(asked): Asked,
) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let product = found(&view, &key)?;
        Ok(view.page(&product.name, Section::Settings, &format!("/shed/{key}"), main(&view, &product, &asked)))
    })
    .await
}

/// Takes a typical figure over as the label's own: the person has read it there.
pub(crate) async fn confirmed(
    State(site): State<Site>,
    Path(key): Path<String>,
    posted: Posted,
) -> Result<Redirect, PageError> {
    let pairs = posted.checked()?;
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        found(&view, &key)?;
        let field = value(&pairs, "field").unwrap_or_default();
        let stored = site.store(|facts, today| {
            let yard = yard::fold(&facts.entries, today);
            let body = yard
                .product(&key)
                .and_then(|p| confirm(p, Almanac::embedded(), field))
                .map(|p| Body::Product(Box::new(p)));
            let Some(body) = body else {
                let message = "there is no typical figure to take over, or the label’s own is there already".to_owned();
                return Err(vec![Fault { field: "field".to_owned(), message }]);
            };
            prepare_bodies(&facts.entries, Almanac::embedded(), vec![body], today, || stamp(today))
        });
        match stored {
            Ok(_) => Ok(Redirect::to(&format!("/shed/{key}#limits"))),
            Err(e) => Err(PageError::bad("Not taken over", e.to_string())),
        }
    })
    .await
}

//! The shelf: what should be left of each product, and what plans ahead still want.

use axum::extract::State;
use jiff::civil::Date;
use maud::{Markup, html};
use yard::Yard;
use yard::entry::{ProductFacts, SpreaderTried};
use yard::fold::Dated;
use yard::shed::{Shelf, planned_need, shelf, shelf_words};
use yard::units::Quantity;
use yard::words::money;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, time};
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;

/// Months a pack keeps once opened: granules kept dry three years, liquids kept from frost two (from memory; the label and the look of
/// it tell better).
const KEEPS_MONTHS: [i32; 2] = [36, 24];

fn months_between(from: Date, to: Date) -> i32 {
    i32::from(to.year() - from.year()) * 12 + i32::from(to.month() - from.month())
}

pub(crate) fn left(view: &View, product: &ProductFacts, shelf: &Shelf) -> Markup {
    let say = |kg: f64| view.units().say(product.amount_quantity(), kg);
    html! {
        @if shelf.counted_on.is_none() && shelf.bought_kg <= 0.0 {
            "not known: " a href=(format!("/log/counted?product={}", product.key)) { "count it" }
        } @else if shelf.left_kg < 0.0 {
            "more was put down than is known to have been bought: " a href=(format!("/log/counted?product={}", product.key)) { "count it" }
        } @else {
            strong { (say(shelf.left_kg)) }
            @if let Some(on) = shelf.counted_on { ", counted " (time(on)) }
            @if shelf.unknown_purchases > 0 { ", and what " (shelf.unknown_purchases) " purchases without an amount brought" }
        }
    }
}

pub(crate) fn age(view: &View, product: &ProductFacts) -> Markup {
    let keeps = KEEPS_MONTHS[usize::from(product.form == yard::entry::Form::Liquid)];
    html! {
        @if let Some(opened) = product.opened_on {
            "opened " (time(opened))
            @if months_between(opened, view.on) > keeps { ": older than such packs usually keep (" (keeps / 12) " years, from memory)" }
        }
    }
}

/// The last trials of each spreader with each product: those that count.
fn last_trials(yard: &Yard) -> impl Iterator<Item = &Dated<SpreaderTried>> {
    let all = &yard.spreaders;
    all.iter().enumerate().filter_map(move |(i, s)| {
        let later = all[i + 1..].iter().any(|t| t.fact.spreader == s.fact.spreader && t.fact.product == s.fact.product);
        (!later).then_some(s)
    })
}

fn row(view: &View, product: &ProductFacts, need: Option<f64>) -> Markup {
    let shelf = shelf(&view.yard, product);
    let units = view.units();
    // Money for a pound or kilogram, a fluid ounce or litre: the user's own unit.
    let one = units.read(product.amount_quantity(), 1.0);
    html! {
        li {
            div {
                strong { a href=(format!("/shed/{}", product.key)) { (product.name) } }
                p { (left(view, product, &shelf)) }
                @if product.opened_on.is_some() { p { (age(view, product)) } }
                @if let Some(price) = shelf.price_per_kg {
                    p { (money(&view.yard, price * one)) " a " (units.symbol(product.amount_quantity())) }
                }
                @if let Some(need) = need {
                    p { "Plans ahead take " (units.say(product.amount_quantity(), need)) ". " (shelf_words(&view.yard, product, need).unwrap_or_default()) }
                }
            }
        }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let need = planned_need(&view.yard);
        let tried = &view.yard;
        let main = html! {
            div.head {
                h1 { "The shed" }
                div.actions {
                    a.button href="/log/product" { "Add a product" }
                    a.button.quiet href="/log/bought" { "Bought" }
                    a.button.quiet href="/costs" { "Costs" }
                }
            }
            div.columns {
                section aria-labelledby="shelf" {
                    h2 #shelf { "On the shelf" }
                    @if tried.products.is_empty() { p { "Nothing is on the shelf yet." } }
                    ul.things { @for p in &tried.products { (row(&view, p, need.get(&p.key).copied())) } }
                }
                section aria-labelledby="tools" {
                    h2 #tools { "Spreader and sprayer" }
                    @if tried.spreaders.is_empty() && tried.sprayers.is_empty() {
                        p { "Try them out once: then every amount comes with a setting, or with what goes into each tank." }
                    }
                    ul.plain {
                        @for s in last_trials(tried) {
                            li {
                                (s.fact.spreader) " with " (tried.product(&s.fact.product).map_or(s.fact.product.as_str(), |p| &p.name))
                                ", " (s.fact.trials.len()) " trials, " (time(s.on))
                            }
                        }
                        @for s in &tried.sprayers {
                            li {
                                (s.fact.sprayer) ", tank " (view.units().say(Quantity::Volume, s.fact.tank_l)) ", " (time(s.on))
                            }
                        }
                    }
                    div.actions {
                        a.button.quiet href="/log/spreader" { "Spreader tried" }
                        a.button.quiet href="/log/sprayer" { "Sprayer tried" }
                        a.button.quiet href="/log/local-rules" { "Local rules" }
                    }
                }
            }
        };
        Ok(view.page("The shed", Section::Settings, "/shed", main))
    })
    .await
}

//! Water in money: the meter beside the zones, the prices, and what a past season would have cost.

use axum::extract::State;
use maud::{Markup, html};
use yard::Quantity;
use yard::advice::trial::{season_trial, seasons};
use yard::entry::TariffFacts;
use yard::units::significant;
use yard::water_cost::{MeterSpan, SeasonCost, SeasonMoney, WaterCost, season_money, water_cost};
use yard::words::money;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, minus, sentence, time};
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;

/// Spans shown.
const SHOWN: usize = 8;

fn prices(view: &View, tariff: &TariffFacts) -> Markup {
    let m3 = tariff.unit.in_m3();
    let symbol = tariff.unit.symbol();
    let volume = |v: f64| significant(v / m3, 6);
    let price = |p: f64| money(&view.yard, p * m3);
    html! {
        table {
            caption { "For " (symbol) ", in " (tariff.period.words()) ", by " (tariff.meter.words()) }
            tbody {
                @for (i, step) in tariff.steps.iter().enumerate() {
                    @let from = i.checked_sub(1).and_then(|j| tariff.steps[j].up_to_m3);
                    tr {
                        th scope="row" {
                            "Step " (i + 1) ": "
                            @match (from, step.up_to_m3) {
                                (None, Some(end)) => { "to " (volume(end)) },
                                (Some(from), Some(end)) => { (volume(from)) " to " (volume(end)) },
                                (Some(from), None) => { "over " (volume(from)) },
                                (None, None) => "all",
                            }
                        }
                        td.num { (price(step.price_per_m3)) }
                    }
                }
                @if let Some(sewer) = tariff.sewer_per_m3 {
                    tr {
                        th scope="row" { "Sewer" @if let Some(free) = tariff.sewer_free_m3 { ", over " (volume(free)) } @if let Some(most) = tariff.sewer_most_m3 { ", to " (volume(most)) } }
                        td.num { (price(sewer)) }
                    }
                }
                tr { th scope="row" { "Base" } td.num { (money(&view.yard, tariff.base)) } }
            }
        }
        @if !tariff.source.is_empty() { p.source { "Source: " (tariff.source) } }
    }
}

fn span(view: &View, s: &MeterSpan) -> Markup {
    let units = view.units();
    let say = |l: f64| units.say(Quantity::Volume, l);
    html! {
        article.item {
            p.kicker { (sentence(s.meter.words())) }
            h3 { (time(s.from)) " to " (time(s.to)) }
            dl.strip {
                div { dt { "Metered" } dd { (say(s.metered_l)) } }
                div { dt { "Watering written down" } dd { (say(s.counted_l)) } }
                @if let Some(house) = s.house_l.filter(|l| *l > 0.0) { div { dt { "The house" } dd { (say(house)) } } }
                @if s.house_l.is_some() { div { dt { "Rest" } dd { (minus(&say(s.rest_l))) } } }
                @if let Some(c) = &s.cost {
                    div { dt { "Bill" } dd { (money(&view.yard, c.total)) } }
                    div { dt { "Watering in it" } dd { (money(&view.yard, c.watering)) } }
                }
            }
            @if s.look {
                p.care { strong { "Look: " } (sentence(&s.words)) ". " a href="/water/leak" { "Reckon the leak" } " or " a href="/water/fault" { "find the fault" } "." }
            } @else { p.why { (sentence(&s.words)) "." } }
            @if let Some(c) = &s.cost { p.why { "The next litre falls in " (c.step) "." } }
            @if !s.zones.is_empty() {
                details.working {
                    summary { "By zone" }
                    table { tbody { @for z in &s.zones {
                        tr { th scope="row" { (sentence(&z.name)) @if z.assumed { " (usual rate: set out cans)" } } td.num { (say(z.litres)) } }
                    } } }
                }
            }
            @if let Some(c) = &s.cost { (parts::working(&c.working, &[], units)) }
        }
    }
}

fn meter(view: &View, cost: &WaterCost) -> Markup {
    let units = view.units();
    html! {
        section.group aria-labelledby="meter" {
            h2 #meter { "Meter and zones" }
            @if cost.spans.is_empty() {
                p { "Two readings of a water meter tell what ran between them. Read it in the morning before anything runs." }
            }
            @if let Some(house) = cost.house_l_a_day { p { "The house’s own use, from times without watering: " strong { (units.say(Quantity::Volume, house)) } " a day." } }
            @for s in cost.spans.iter().take(SHOWN) { (span(view, s)) }
            @if cost.spans.len() > SHOWN { p { "The last " (SHOWN) " of " (cost.spans.len()) "." } }
            p { a.button href=(view.link("/log/meter-read")) { "Log a reading" } " " a.button.quiet href=(view.link("/water/leak")) { "Reckon a leak" } }
        }
    }
}

fn saving(view: &View, m: &SeasonMoney) -> Markup {
    let units = view.units();
    let row = |name: &str, way: &SeasonCost| {
        html! { tr { th scope="row" { (name) } td.num { (units.say(Quantity::Volume, way.litres)) } td.num { (money(&view.yard, way.cost)) } td.num { (way.stress_days) } } }
    };
    let against = |name: &str, way: &SeasonCost| {
        let (litres, paid) = (way.litres - m.advice.litres, way.cost - m.advice.cost);
        let words = if litres >= 0.0 { "saves" } else { "takes" };
        html! {
            p { "Against the " (name) " the advice " (words) " " strong { (units.say(Quantity::Volume, litres.abs())) } @if (litres >= 0.0) == (paid >= 0.0) { " and " } @else { ", and costs or spares " }
                strong { (money(&view.yard, paid.abs())) } ", with " (m.advice.stress_days) " days of stress on its lawns instead of " (way.stress_days) "." }
        }
    };
    html! {
        p { (time(m.from)) " to " (time(m.to)) ", your own weather, prices of today:" }
        div.wide tabindex="0" role="region" aria-label="The last season in water and money" {
            table {
                thead { tr { th scope="col" { "Way" } th.num scope="col" { "Water" } th.num scope="col" { "Adds to bills" } th.num scope="col" { "Days of stress" } } }
                tbody {
                    (row("As advised", &m.advice))
                    (row("Fixed timer", &m.timer))
                    (row("Long timer", &m.long_timer))
                    (row("Least possible", &m.optimum))
                }
            }
        }
        (against("fixed timer", &m.timer))
        (against("timer set long enough", &m.long_timer))
        p.why { "Dearest step reached as advised: " (m.step) "." }
        (parts::working(&m.working, &m.assumed, units))
    }
}

fn main(view: &View, cost: &WaterCost, season: Option<&SeasonMoney>) -> Markup {
    html! {
        div.head { h1 { "Water in money" } }
        div.columns {
            div {
                @if let Some(m) = season {
                    section aria-labelledby="saving" { h2 #saving { "The last season" } (saving(view, m)) }
                }
                section aria-labelledby="prices" {
                    h2 #prices { "Prices" }
                    @match &cost.tariff {
                        Some(t) => (prices(view, t)),
                        None => p { "No prices are told yet: copy them from the supplier’s bill." },
                    }
                    p { a.button.quiet href=(view.link("/log/tariff")) { @if cost.tariff.is_some() { "New prices" } @else { "Tell the prices" } } }
                }
                p { a href="/water/seasons" { "Past seasons, watered over again" } " · " a href="/costs" { "All costs" } " · " a href="/water" { "Back to water" } }
            }
            (meter(view, cost))
        }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let scene = view.scene();
        let cost = water_cost(&scene);
        let last = seasons(&view.weather, jiff::civil::Date::MIN, view.on).pop().filter(|_| cost.tariff.is_some());
        let trial = last.and_then(|(a, b)| season_trial(&view.yard, &view.weather, view.almanac(), a, b));
        let season = trial.and_then(|t| season_money(&scene, &t, cost.house_l_a_day));
        Ok(view.page("Water in money", Section::Water, "/water/cost", main(&view, &cost, season.as_ref())))
    })
    .await
}

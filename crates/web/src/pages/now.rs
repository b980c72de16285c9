//! Now: what to do today, this week, what is held back, what lies ahead.

use axum::extract::State;
use maud::{Markup, html};
use yard::advice::{Advice, Urgency};
use yard::units::Quantity;
use yard::watch::watch;
use yard::weather::Basis;
use yard::{Item, Units};

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, day_named, minus, number, prose};
use crate::parts::{self, Cares};
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;

pub(crate) async fn show(State(site): State<Site>, Asked(query): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &query)?;
        let advice = view.advice();
        Ok(view.page("Now", Section::Now, "/", main(&view, &advice)))
    })
    .await
}

/// The last days' weather in a line.
pub(crate) fn strip(advice: &Advice, units: Units) -> Markup {
    let r = &advice.recent;
    let low = number(units.show(Quantity::Temperature, r.tmin_c), 0);
    html! {
        dl.strip.weather {
            div { dt { "Yesterday" } dd { (low) "–" (minus(&units.say(Quantity::Temperature, r.tmax_c))) } }
            div { dt { "Soil" } dd { (minus(&units.say(Quantity::Temperature, r.soil_c))) } }
            div { dt { "Rain, 7 d" } dd { (units.say(Quantity::Depth, r.rain_7d_mm)) } }
            div { dt { abbr title="reference evapotranspiration" { "ET₀" } ", 7 d" } dd { (units.say(Quantity::Depth, r.et0_7d_mm)) } }
        }
    }
}

fn group(view: &View, advice: &Advice, urgency: Urgency, cares: &mut Cares) -> Markup {
    let items: Vec<&Item> = advice.items.iter().filter(|i| i.urgency == urgency).collect();
    let id = format!("group-{}", urgency.word().to_lowercase().replace(' ', "-"));
    html! {
        @if !items.is_empty() {
            section.group aria-labelledby=(id) {
                h2 id=(id) { (urgency.word()) }
                @for i in items { (parts::item(view, i, cares)) }
            }
        }
    }
}

/// Today in a few lines, each leading to its item.
fn head(view: &View, advice: &Advice) -> Markup {
    let today: Vec<&Item> = advice.items.iter().filter(|i| i.urgency == Urgency::Today).collect();
    let next = advice.items.iter().find(|i| matches!(i.urgency, Urgency::ThisWeek | Urgency::Ahead));
    html! {
        div.head {
            h1 { (day_named(view.on)) }
            (strip(advice, view.units()))
            @match today.as_slice() {
                [] => {
                    p.lead { "Nothing is due today." }
                    @if let Some(item) = next {
                        p { "Next: " a href=(format!("#{}", parts::anchor(item))) { (prose(&item.title)) } }
                    }
                }
                [_] => {}
                many => {
                    ol.today { @for i in many { li { a href=(format!("#{}", parts::anchor(i))) { (prose(&i.title)) } } } }
                }
            }
        }
    }
}

/// One line that leads to the watch, with what is worth a look this week where there is something.
fn watch_line(view: &View) -> Markup {
    let told = watch(&view.scene());
    // A recalled figure is no reason to speak up here.
    let sure: Vec<_> = told.scout.iter().filter(|l| !l.recalled).collect();
    html! {
        p {
            a href=(view.link("/watch")) { "Watch" }
            @match sure.as_slice() {
                [] => ": no disease or insect wants a look this week.",
                [one] => { ": look for " (one.title) "." }
                [first, rest @ ..] => { ": look for " (first.title) ", and " (rest.len()) " more." }
            }
            " " a href=(view.link("/weeds")) { "Weeds" } ": which come, which it is, what fits."
        }
    }
}

fn main(view: &View, advice: &Advice) -> Markup {
    let mut cares = Cares::default();
    html! {
        (head(view, advice))
        div.columns {
            div {
                (group(view, advice, Urgency::Today, &mut cares))
                (group(view, advice, Urgency::ThisWeek, &mut cares))
                (watch_line(view))
                @if matches!(advice.footing.basis, Basis::Climate { .. }) {
                    aside.notice aria-label="No weather yet" {
                        p { strong { "These figures rest on an average climate. " } "Weather of your own makes them yours." }
                        p { a.button href="/settings#weather" { "Import weather" } }
                    }
                }
            }
            div {
                (group(view, advice, Urgency::Held, &mut cares))
                (group(view, advice, Urgency::Ahead, &mut cares))
                (parts::footing(&advice.footing))
            }
        }
    }
}

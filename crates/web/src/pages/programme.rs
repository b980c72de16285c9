//! What to type into the sprinkler controller: a sheet to hang beside it.

use axum::extract::State;
use maud::{Markup, html};
use yard::Quantity;
use yard::advice::programmes::{ControllerPlan, RainSaves, controller_plan, day_words, rain_saves};
use yard::advice::water_day::clock;
use yard::form::measure;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, number, sentence, time};
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;

/// Deepest rain asked about (mm).
const RAIN_MAX_MM: f64 = 500.0;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let raw = asked.iter().find(|(k, _)| k == "rain").map(|(_, v)| v.trim().to_owned()).filter(|v| !v.is_empty());
        let rain = raw.as_deref().map(|r| {
            measure(r, Quantity::Depth, view.units()).ok().filter(|mm| (0.0..=RAIN_MAX_MM).contains(mm)).ok_or_else(
                || format!("“{r}” is not a depth of rain; write it like {}", view.units().say(Quantity::Depth, 12.7)),
            )
        });
        let scene = view.scene();
        let plan = controller_plan(&scene);
        let saves = match &rain {
            Some(Ok(mm)) => rain_saves(&scene, &plan, *mm),
            _ => Vec::new(),
        };
        let main = html! {
            div.head {
                h1 { "For the controller" }
                p.lead { "What to type in for the week from " (time(view.on)) "." }
            }
            (programmes(&plan))
            (changed(&plan))
            section aria-labelledby="rain" {
                h2 #rain { "If it rains" }
                form action="/water/programme" method="get" {
                    label for="rain-depth" { "Rain tonight (" (view.units().symbol(Quantity::Depth)) ")" }
                    input #rain-depth name="rain" inputmode="decimal" value=(raw.as_deref().unwrap_or_default());
                    button { "What it saves" }
                }
                @if let Some(Err(why)) = &rain { p.fault role="alert" { (why) } }
                @if let Some(Ok(mm)) = &rain { (saved(&view, *mm, &saves)) }
            }
            (zones(&view, &plan))
            p { a href="/water" { "Back to water" } " · " a href="/log/controller" { "What the controller can do" } }
        };
        Ok(view.page("For the controller", Section::Water, "/water", main))
    })
    .await
}

fn programmes(plan: &ControllerPlan) -> Markup {
    html! {
        @if plan.zones.is_empty() { p { "Nothing runs this week." } }
        @for p in &plan.programmes {
            article.item {
                p.kicker { "Programme " (p.letter) }
                h3 { (sentence(&day_words(p.days))) }
                p { "Starts: " strong { (p.starts.iter().map(|s| clock(*s)).collect::<Vec<_>>().join(", ")) } }
                table {
                    caption.hidden { "Minutes of programme " (p.letter) }
                    thead { tr { th scope="col" { "Zone" } th.num scope="col" { "Minutes a start" } } }
                    tbody { @for s in &p.stations { tr { td { (s.name) } td.num { (s.minutes) } } } }
                }
            }
        }
        @if !plan.programmes.is_empty() {
            (strip(plan))
            p {
                (plan.span_minutes) " minutes from the first start to the last end at " (clock(plan.end_minute)) " (" (plan.end_why) "); "
                @if plan.span_minutes == plan.least_span_minutes { "no programmes are shorter." }
                @else { "none can be shorter than " (plan.least_span_minutes) "." }
                " All other programmes off, seasonal adjustment at 100 %. Whole minutes at every start can make a zone run up to a fifth longer than it wants."
            }
        }
        @if !plan.relax.is_empty() {
            p.care { strong { "It does not fit. " } "One of these would make it fit:" }
            ul { @for way in &plan.relax { li { (way) } } }
        }
        @for (name, why) in &plan.resting { p.why { (name) ": off. " (sentence(why)) } }
    }
}

/// The night as a strip: one line a programme, a bar a start.
fn strip(plan: &ControllerPlan) -> Markup {
    let first = plan.end_minute - f64::from(plan.span_minutes);
    let span = f64::from(plan.span_minutes.max(1));
    let height = 22 * plan.programmes.len() + 18;
    let x = |minute: f64| 24.0 + (minute - first).rem_euclid(1440.0) / span * 330.0;
    html! {
        svg viewBox=(format!("0 0 360 {height}")) role="img" aria-label="When each programme runs" {
            @for (i, p) in plan.programmes.iter().enumerate() {
                @let y = 22 * i + 4;
                text x="4" y=(y + 13) font-size="12" fill="currentColor" { (p.letter) }
                @let length: u32 = p.stations.iter().map(|s| s.minutes).sum();
                @for s in &p.starts {
                    rect x=(format!("{:.1}", x(*s))) y=(y) width=(format!("{:.1}", f64::from(length) / span * 330.0)) height="16"
                        fill="none" stroke="currentColor" {}
                }
            }
            text x="24" y=(height - 3) font-size="11" fill="currentColor" { (clock(first)) }
            text x="354" y=(height - 3) font-size="11" text-anchor="end" fill="currentColor" { (clock(plan.end_minute)) }
        }
    }
}

fn changed(plan: &ControllerPlan) -> Markup {
    html! {
        @if !plan.changed.is_empty() {
            section aria-labelledby="changed" {
                h2 #changed { "Changed since last week" }
                ul { @for c in &plan.changed { li { strong { (c.name) } ": " (c.now) " minutes a week, were " (c.before) ". " (sentence(&c.why)) "." } } }
            }
        }
    }
}

fn saved(view: &View, mm: f64, saves: &[RainSaves]) -> Markup {
    let u = view.units();
    html! {
        p { "A rain of " (u.say(Quantity::Depth, mm)) " tonight, all of it taken in (a cloudburst runs off: look at the soil):" }
        ul {
            @for s in saves {
                li {
                    strong { (s.name) } ": "
                    @match (s.days, s.shorter) {
                        (0, 0) => "as typed in",
                        (0, minutes) => { (minutes) " minutes shorter" },
                        (1, 0) => "leave out the next run",
                        (days, 0) => { "leave out the next " (days) " runs" },
                        (days, minutes) => { "leave out " (days) ", then " (minutes) " minutes shorter" },
                    }
                    "; next " @if let Some(d) = s.next { (time(d)) } @else { "after this week" }
                    @if s.minutes > 0 { "; saves " (u.say(Quantity::Volume, s.litres)) } "."
                }
            }
        }
    }
}

fn zones(view: &View, plan: &ControllerPlan) -> Markup {
    let u = view.units();
    html! {
        @if !plan.zones.is_empty() {
            section aria-labelledby="zones" {
                h2 #zones { "Why so much" }
                @for z in &plan.zones {
                    article.item {
                        h3 { (z.name) }
                        p.why {
                            "A week without rain uses " (u.say(Quantity::Depth, z.use_mm)) "; stress begins at " (u.say(Quantity::Depth, z.raw_mm)) ": "
                            (u.say(Quantity::Depth, z.depth_mm)) " on " (day_words(z.days)) ", " (number(f64::from(z.minutes), 0)) " minutes"
                            @if z.minutes > z.longest { ", at most " (z.longest) " at a time" } "."
                        }
                        @if let Some(c) = &z.caution { p.care { strong { "Care: " } (sentence(c)) "." } }
                        (parts::working(&z.working, &z.assumed, u))
                    }
                }
                @for a in &plan.assumed { p.why { "Assumed: " (a) "." } }
            }
        }
    }
}

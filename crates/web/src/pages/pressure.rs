//! Pressure in the zones: what a gauge at the tap says of the last head, and what to change.

use axum::extract::State;
use maud::{Markup, html};
use yard::entry::ZoneFacts;
use yard::form::measure;
use yard::pressure::{Missing, Told, ZonePressures, flow_limits, say_speed, told_steps, zone_pressures};
use yard::units::Quantity;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, map_style, number, page_with, prose, sentence, time};
use crate::logbook_links::query;
use crate::parts;
use crate::plan;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, value};

const CARE: &str = "Only read the gauge and turn taps. Backflow preventers are for a licensed tester, the service line and reducing \
                    valves for a licensed plumber. Have buried lines marked before digging; shut the main and the controller off \
                    before opening a pipe.";

fn href(zone: &str) -> String {
    format!("/water/pressure{}", query([("zone", zone)]))
}

fn pressure(view: &View, kpa: f64) -> String {
    view.units().say(Quantity::Pressure, kpa)
}

fn supply(view: &View) -> Markup {
    let units = view.units();
    let Some(told) = &view.yard.supply else {
        return html! {
            p { "Put a gauge on an outdoor tap, shut all other water, and read it at the hour the sprinklers run. Then open the tap into a bucket and read a gauge on a second tap: flow and working pressure tell more than any table." }
            div.actions { a.button href="/log/supply" { "Tell the water supply" } }
        };
    };
    let w = &told.fact;
    let limits = flow_limits(w, &view.almanac().hydraulics, units);
    html! {
        p.kicker { "Told " (time(told.on)) }
        dl.strip {
            div { dt { "Nothing running" } dd { (pressure(view, w.static_kpa)) } }
            @if let (Some(flow), Some(working)) = (w.flow_lpm, w.working_kpa) {
                div { dt { "At " (units.say(Quantity::Flow, flow)) } dd { (pressure(view, working)) } }
            }
            @if let Some(first) = limits.first() { div { dt { "Bears" } dd { (units.say(Quantity::Flow, first.flow_lpm)) } } }
        }
        @if let Some(house) = view.almanac().hydraulics.limit("house").filter(|l| w.static_kpa > l.value) {
            p.care { strong { "Care: " } "above " (pressure(view, house.value)) " the house wants a reducing valve. " (prose(&house.source)) "." }
        }
        @if !limits.is_empty() {
            table {
                caption.hidden { "Rules on the flow of a zone" }
                tbody { @for l in &limits { tr { th scope="row" { (sentence(&l.rule)) } td.num { (units.say(Quantity::Flow, l.flow_lpm)) } } } }
            }
        }
        div.actions { a.button.quiet href="/log/supply" { "Change it" } }
    }
}

fn zones(view: &View) -> Markup {
    html! {
        div.head { h1 { "Pressure" } p.lead { "Why heads mist or dribble, and what to change." } }
        div.columns {
            div {
                section.group aria-labelledby="zones" {
                    h2 #zones { "Zones" }
                    ul.things {
                        @for zone in &view.yard.zones {
                            @let found = zone_pressures(&view.yard, zone, Told::default(), view.almanac());
                            li {
                                div {
                                    strong { (zone.name) }
                                    p {
                                        @match &found {
                                            Ok(z) => { (sentence(z.verdict())) ": " (pressure(view, z.lowest_kpa.max(0.0))) " to " (pressure(view, z.highest_kpa.max(0.0))) " at the heads." },
                                            Err(Missing::Supply) => "The water supply is not told yet.",
                                            Err(why) => { (sentence(&why.words())) "." },
                                        }
                                    }
                                }
                                a.button.quiet href=(view.link(&href(&zone.key))) aria-label=(format!("Look at {}", zone.name)) { "Look" }
                            }
                        }
                    }
                    @if view.yard.zones.is_empty() { p { "The yard has no zones yet." } div.actions { a.button href="/log/zone" { "Add a zone" } } }
                }
            }
            div {
                section.group aria-labelledby="supply" { h2 #supply { "The water supply" } (supply(view)) }
                p.care { strong { "Care: " } (CARE) }
            }
        }
        p { a href="/water" { "Back to water" } " · " a href="/water/fault" { "Find a fault" } }
    }
}

fn way(view: &View, z: &ZonePressures) -> Markup {
    let static_kpa = view.yard.supply.as_ref().map_or(0.0, |s| s.fact.static_kpa);
    html! {
        section aria-labelledby="way" {
            h2 #way { "The way to the heads" }
            div.wide {
                table {
                    caption.hidden { "Pressure from the tap to the valve" }
                    thead { tr { th scope="col" { "Part" } th.num scope="col" { "Speed" } th.num scope="col" { "Lost" } th.num scope="col" { "Left" } } }
                    tbody {
                        tr { th scope="row" { "At the tap, nothing running" } td.num {} td.num {} td.num { (pressure(view, static_kpa)) } }
                        @for s in &z.stretches {
                            tr {
                                th scope="row" { (sentence(&s.name)) }
                                td.num { @if let Some(v) = s.speed_ms { (say_speed(view.units(), v)) } }
                                td.num { (pressure(view, s.loss_kpa)) }
                                td.num { (pressure(view, s.pressure_kpa)) }
                            }
                        }
                        tr { th scope="row" { "Pipe behind the valve, to the weakest head" } td.num { (say_speed(view.units(), z.lateral_speed_ms)) }
                            td.num { (pressure(view, z.stretches.last().map_or(static_kpa, |s| s.pressure_kpa) - z.lowest_kpa)) }
                            td.num { (pressure(view, z.lowest_kpa)) } }
                    }
                }
            }
            p.why { "The last line counts height too: uphill takes pressure, downhill gives it." }
        }
    }
}

/// Heads with their pressure, in the map's metres.
fn marks(view: &View, z: &ZonePressures) -> Markup {
    let units = view.units();
    let [low, _, high] = z.working_kpa;
    html! {
        g.cans {
            @for h in &z.heads {
                @if let Some([x, y]) = h.at {
                    @let off = h.pressure_kpa < low || h.pressure_kpa > high;
                    circle class="can" cx=(format!("{x:.2}")) cy=(format!("{y:.2}")) r="0.5" stroke-dasharray=[off.then_some("0.4 0.3")] {}
                    text class="can" transform=(format!("translate({x:.2} {:.2}) scale(1 -1)", y + 0.7)) text-anchor="middle" font-size="1.05" {
                        (number(units.show(Quantity::Pressure, h.pressure_kpa), 0))
                    }
                }
            }
        }
    }
}

fn drawn(view: &View, z: &ZonePressures) -> Option<Markup> {
    let options = plan::Options {
        only_zone: Some(&z.zone),
        on: (view.on != view.today).then_some(view.on),
        ..plan::Options::default()
    };
    let drawing = plan::Drawing::of(&view.yard, &options)?;
    Some(html! {
        (drawing.svg("pressures", marks(view, z)))
        p.why { "Over each head its pressure, in " (view.units().symbol(Quantity::Pressure)) "; a broken ring: outside what its kind works at." }
    })
}

fn heads(view: &View, z: &ZonePressures) -> Markup {
    let units = view.units();
    html! {
        section aria-labelledby="heads" {
            h2 #heads { "The heads" }
            @if z.mapped { @if let Some(map) = drawn(view, z) { (map) } }
            details {
                summary { "Head by head" }
                table {
                    caption.hidden { "Pressure and flow of each head" }
                    thead { tr { th scope="col" { "Head" } th.num scope="col" { "Pressure" } th.num scope="col" { "Flow" } th.num scope="col" { "Made for" } } }
                    tbody {
                        @for h in &z.heads {
                            tr { th scope="row" { (h.name) } td.num { (pressure(view, h.pressure_kpa)) }
                                td.num { (units.say(Quantity::Flow, h.flow_lpm)) } td.num { (units.say(Quantity::Flow, h.told_lpm)) } }
                        }
                    }
                }
            }
        }
    }
}

fn changes(view: &View, z: &ZonePressures) -> Markup {
    html! {
        @if !z.changes.is_empty() {
            section.told aria-labelledby="changes" {
                h2 #changes { "What would change it" }
                ul.plain {
                    @for c in &z.changes {
                        li {
                            strong { (sentence(&c.words)) "." } " Heads then have " (pressure(view, c.lowest_kpa.max(0.0))) " to " (pressure(view, c.highest_kpa)) ", the zone "
                            (view.units().say(Quantity::Flow, c.flow_lpm)) "." @if c.enough { " That is enough." } @else { " Not enough by itself." }
                        }
                    }
                }
            }
        }
    }
}

fn bears(view: &View, z: &ZonePressures) -> Markup {
    let units = view.units();
    html! {
        @if let Some(b) = &z.bears {
            section aria-labelledby="bears" {
                h2 #bears { "How many heads it bears" }
                p {
                    "Heads of " (units.say(Quantity::Flow, b.head_lpm)) " on this pipe, " (units.say(Quantity::Length, b.step_m)) " apart on one line: "
                    strong { (b.by_flow.min(b.by_pressure)) } " (" (b.by_flow) " by flow, " (b.by_pressure) " until the last has too little pressure). The zone has " (z.heads.len()) "."
                }
            }
        }
    }
}

/// The fields a zone without drawn heads asks for.
fn ask(view: &View, zone: &ZoneFacts, asked: &Pairs) -> Markup {
    let units = view.units();
    let words = |name: &str| value(asked, name).unwrap_or_default().to_owned();
    html! {
        section aria-labelledby="ask" {
            h2 #ask { "Tell the heads" }
            form.sheet method="get" action="/water/pressure" {
                input type="hidden" name="zone" value=(zone.key);
                @if view.on != view.today { input type="hidden" name="on" value=(view.on); }
                div.field { label for="heads" { "Heads" } input #heads name="heads" inputmode="numeric" value=(words("heads")); }
                div.field { label for="length" { "Pipe from the valve to the last (" (units.symbol(Quantity::Length)) ")" } input #length name="length" inputmode="decimal" value=(words("length")); }
                div.field { label for="flow" { "Flow of all heads (" (units.symbol(Quantity::Flow)) ")" } input #flow name="flow" inputmode="decimal" value=(words("flow")); }
                div.actions { button { "Work it out" } }
            }
        }
    }
}

fn main(view: &View, zone: &ZoneFacts, asked: &Pairs, found: &Result<ZonePressures, Missing>) -> Markup {
    let units = view.units();
    html! {
        div.head { h1 { (zone.name) ": pressure" } }
        @match found {
            Err(why) => {
                p.lead { (sentence(&why.words())) "." }
                @if *why == Missing::Supply { (supply(view)) } @else { (ask(view, zone, asked)) }
            },
            Ok(z) => {
                div.columns {
                    div {
                        section aria-labelledby="state" {
                            h2 #state { (sentence(z.verdict())) }
                            dl.strip {
                                div { dt { "Weakest head" } dd { (pressure(view, z.lowest_kpa.max(0.0))) } }
                                div { dt { "Strongest" } dd { (pressure(view, z.highest_kpa.max(0.0))) } }
                                div { dt { "Works at" } dd { (pressure(view, z.working_kpa[0])) " to " (pressure(view, z.working_kpa[2])) } }
                                div { dt { "Zone takes" } dd { (units.say(Quantity::Flow, z.flow_lpm)) } }
                            }
                            @if z.findings.is_empty() { p { "Every head has the pressure its kind works at, and they differ little." } }
                            @for f in &z.findings { p { strong { "Found: " } (sentence(&f.words)) "." } }
                            (parts::working(&told_steps(&z.working, units), &z.assumed, units))
                        }
                        (changes(view, z))
                        (way(view, z))
                    }
                    div {
                        (heads(view, z))
                        (bears(view, z))
                        @if !z.mapped { (ask(view, zone, asked)) }
                        details { summary { "Sources" } ul { @for s in &z.sources { li.source { (prose(s)) } } } }
                        p.care { strong { "Care: " } (CARE) }
                    }
                }
            },
        }
        p { a href=(view.link("/water/pressure")) { "All zones" } " · " a href=(view.link(&format!("/water/fault{}", query([("zone", zone.key.as_str())])))) { "Find a fault" } " · " a href=(view.link("/water")) { "Back to water" } }
    }
}

fn told(view: &View, asked: &Pairs) -> Result<Told, PageError> {
    let bad = |m: String| PageError::bad("That cannot be read", m);
    let quantity = |name: &str, q| value(asked, name).map(|raw| measure(raw, q, view.units())).transpose().map_err(bad);
    let heads = value(asked, "heads")
        .map(|raw| raw.parse::<usize>().map_err(|_| bad(format!("heads is “{raw}”; write a whole number"))));
    Ok(Told {
        heads: heads.transpose()?,
        length_m: quantity("length", Quantity::Length)?,
        flow_lpm: quantity("flow", Quantity::Flow)?,
    })
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let Some(key) = value(&asked, "zone").filter(|k| !k.is_empty()) else {
            return Ok(view.page("Pressure", Section::Water, "/water/pressure", zones(&view)));
        };
        let Some(zone) = view.yard.zone(key) else {
            return Err(PageError::Missing(format!("The yard has no zone “{key}”")));
        };
        let found = zone_pressures(&view.yard, zone, told(&view, &asked)?, view.almanac());
        let body = main(&view, zone, &asked, &found);
        Ok(page_with(&view, &zone.name, Section::Water, &href(key), map_style(), body))
    })
    .await
}

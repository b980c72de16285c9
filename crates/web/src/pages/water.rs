//! Water: today's runs on a clock, each zone's state, and the check of ET₀ against the station's own.

use axum::extract::State;
use jiff::ToSpan;
use maud::{Markup, html};
use yard::advice::water_day::clock;
use yard::advice::{Advice, SeedStage, WaterDay, ZoneState, ZoneWater};
use yard::sprinkler_year::backflow::backflow;
use yard::units::{Quantity, significant};
use yard::{Units, Yard};

use crate::draw;
use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, minus, number, prose, time};
use crate::logbook_links::query;
use crate::pages::open;
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;
use yard::words;

/// Days of the comparison with the station's own figure.
const COMPARED_DAYS: i64 = 30;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let advice = view.advice();
        Ok(view.page("Water", Section::Water, "/water", main(&view, &advice)))
    })
    .await
}

fn minutes(m: f64) -> String {
    number(m, usize::from(m < 10.0))
}

fn runs(view: &View, plan: &WaterDay) -> Markup {
    html! {
        @if let Some(rules) = &view.yard.water_rules {
            p { "In the next watering hours (from " (words::clock(rules.from)) " to " (words::clock(rules.until)) "):" }
        } @else { p { "In the next watering hours:" } }
        div.columns {
            div { (draw::run_clock(plan)) (said(plan)) }
            table {
                caption.hidden { "Runs in the next watering hours" }
                thead { tr { th scope="col" { "Start" } th scope="col" { "Zone" } th.num scope="col" { "Minutes" } } }
                tbody {
                    @for run in &plan.runs {
                        tr { td.num { (clock(run.start_minute)) } td { (run.name) } td.num { (minutes(run.minutes)) } }
                    }
                }
            }
        }
    }
}

fn said(plan: &WaterDay) -> Markup {
    html! {
        @if !plan.left_over.is_empty() {
            p.care { strong { "Care: " } "these do not fit before " (clock(plan.end_minute)) " and are for the next allowed day: " (plan.left_over.join(", ")) "." }
        }
        @if plan.hours_assumed {
            p.why { "Hours assumed: no watering hours are told. " a href="/log/water-rules" { "Tell them" } "." }
        }
    }
}

fn state_words(zone: &ZoneWater) -> Markup {
    html! {
        @match zone.state {
            ZoneState::RunToday => strong { "Run in the next watering hours" },
            ZoneState::SeedToday => strong { "Wet the new seed today" },
            ZoneState::Wait => { "Wait" @if let Some(day) = zone.water_on { ", next about " (time(day)) } },
            ZoneState::Rest => "At rest",
            ZoneState::Unknown => "Cannot be told",
        }
    }
}

fn card(view: &View, units: Units, zone: &ZoneWater) -> Markup {
    let id = format!("zone-{}", zone.key);
    let runs = if zone.runs_a_day > 1 { Some(zone.runs_a_day) } else { None };
    let logged = minutes(zone.minutes);
    let pairs = [
        ("zone", zone.key.as_str()),
        ("minutes", if runs.is_none() && zone.minutes > 0.0 { logged.as_str() } else { "" }),
    ];
    html! {
        article.item id=(id) {
            p.kicker { (state_words(zone)) }
            h3 { (zone.name) }
            @if zone.minutes > 0.0 {
                p.figure {
                    @if let Some(runs) = runs { strong { (runs) " × " (minutes(zone.minutes)) } " minutes" }
                    @else { strong { (minutes(zone.minutes)) } " minutes" }
                }
                dl.strip {
                    @if zone.cycles > 1 {
                        div { dt { "Cycles" } dd { (zone.cycles) " of " (minutes(zone.minutes_per_cycle)) " min" } }
                        div { dt { "Soak between" } dd { (number(zone.soak_minutes, 0)) " min" } }
                    }
                    div { dt { "Depth" } dd { (units.say(Quantity::Depth, zone.need_mm)) } }
                    div { dt { "Water" } dd { (units.say(Quantity::Volume, zone.litres * f64::from(zone.runs_a_day.max(1)))) } }
                    div { dt { "Rate" } dd { (units.say(Quantity::Rate, zone.rate_mm_h)) } }
                }
            }
            p.why { (prose(&zone.why)) }
            @if let Some(c) = &zone.caution { p.care { strong { "Care: " } (prose(c)) } }
            @if let Some(seed) = &zone.seed { (new_seed(view, zone, seed)) }
            @else if let (ZoneState::Wait, Some(window)) = (zone.state, &zone.window) {
                p.why { "When the soil reaches the stress point if nothing is done:" }
                (draw::season_strip(&id, view.on, window, "stress begins without water"))
            }
            div.actions {
                a.button href=(view.link(&format!("/log/watered{}", query(pairs)))) { "Log a run" }
                a.button.quiet href=(format!("/water/fault{}", query([("zone", zone.key.as_str())]))) aria-label=(format!("Find a fault of {}", zone.name)) { "Find a fault" }
                a.button.quiet href=(format!("/log/zone{}", query([("key", zone.key.as_str())]))) { "Edit" }
                (parts::working(&zone.working, &zone.assumed, units))
            }
        }
    }
}

/// Trees, shrubs and hedges that still want water of their own.
fn new_plants(view: &View, advice: &Advice) -> Markup {
    let units = view.units();
    html! {
        section.group aria-labelledby="new-plants" {
            h2 #new-plants { "New plants" }
            @for p in &advice.plants {
                article.item {
                    p.kicker { @match p.next {
                        Some(day) if day <= view.on => strong { "Water today" },
                        Some(day) => { "Next " (time(day)) },
                        None => "At rest",
                    } }
                    h3 { (p.name) ", " (p.area.name) }
                    p.figure { strong { (units.say(Quantity::Volume, p.litres_each)) } " each" }
                    dl.strip {
                        div { dt { "In all" } dd { (units.say(Quantity::Volume, p.litres_each * f64::from(p.count))) } }
                        @if let Some(m) = p.drip_minutes { div { dt { "Drip line" } dd { (minutes(m)) " min" } } }
                        div { dt { "Every" } dd { @if p.every_days == 1 { "day" } @else { (p.every_days) " days" } } }
                        div { dt { "Until about" } dd { (time(p.until)) } }
                    }
                    p.why { (prose(&p.why)) }
                    div.actions {
                        a.button href=(view.link(&format!("/log/watered{}", query([("area", p.area.key.as_str())])))) aria-label=(format!("Log water for {}", p.name)) { "Log water" }
                        (parts::working(&p.working, &p.assumed, units))
                    }
                }
            }
            @if advice.plants.is_empty() { p { "No new tree, shrub or hedge is told." } }
            div.actions {
                a.button.quiet href=(view.link("/log/planted")) { "Write down what you planted" }
                a.button.quiet href=(view.link("/plant/set-out")) { "Set out a hedge or a tree" }
            }
        }
    }
}

/// How far new seed is, and the words that move it on.
fn new_seed(view: &View, zone: &ZoneWater, seed: &SeedStage) -> Markup {
    let id = format!("seed-{}", zone.key);
    let tell = |seen: &str, words: &str| {
        let fields = [("area", seed.area.key.as_str()), ("seen", words), ("seedlings", seen)];
        view.link(&format!("/log/scouted{}", query(fields)))
    };
    let [first, _, last] = seed.needs;
    let units = view.units();
    html! {
        dl.strip {
            div { dt { "New seed" } dd { (seed.stage.words()) } }
            div { dt { "Warmth so far" } dd { (units.say(Quantity::DegreeDays, seed.heat)) " of " (units.say(Quantity::DegreeDays, last)) } }
            div { dt { "First up at" } dd { (units.say(Quantity::DegreeDays, first)) } }
            div { dt { "Look again" } dd { (time(seed.look_on)) } }
        }
        @if let Some(window) = &seed.first_up { (draw::season_strip(&id, view.on, window, "first green")) }
        @else if let Some(window) = &seed.most_up { (draw::season_strip(&id, view.on, window, "most of the seed up")) }
        p.why { "What you see goes before the warmth: "
            a href=(tell("none-yet", "No seedlings yet")) { "nothing up yet" } ", "
            a href=(tell("first-up", "First seedlings")) { "the first are up" } ", "
            a href=(tell("most-up", "Most of the seed is up")) { "most are up" } ", "
            a href=(tell("rooted", "Seedlings hold when pulled")) { "they hold when pulled" } "."
        }
    }
}

fn et0(view: &View) -> Markup {
    let units = view.units();
    let Ok(last) = view.on.yesterday() else { return html! {} };
    let first = last.checked_sub((COMPARED_DAYS - 1).days()).unwrap_or(last);
    let days = view.weather.run(first, last);
    let pairs: Vec<(f64, f64)> = days.iter().filter_map(|d| Some((d.et0_mm, d.station_et0_mm?))).collect();
    let say = |mm| units.say(Quantity::Depth, mm);
    let fine = |mm| {
        let number = significant(units.show(Quantity::Depth, mm), 3);
        format!("{} {}", minus(&number), units.symbol(Quantity::Depth))
    };
    let reading = view.facts.record.binary_search_by_key(&last, |d| d.date).ok().map(|i| view.facts.record[i]);
    let steps = reading.map(|r| view.weather.et0_steps(&r)).unwrap_or_default();
    html! {
        section aria-labelledby="et0" {
            h2 #et0 { "ET₀, how much the weather drew" }
            p { "Yesterday, " (time(last)) ": " strong { (say(view.weather.day(last).et0_mm)) } " (reference evapotranspiration, FAO-56)." }
            (parts::working(&steps, &[], units))
            @if !pairs.is_empty() {
                @let n = pairs.len() as f64;
                @let (ours, station) = pairs.iter().fold((0.0, 0.0), |(a, b), (x, y)| (a + x, b + y));
                h3 { "Against the record’s own figure" }
                p { (time(first)) " to " (time(last)) ", " (pairs.len()) " days that carry one:" }
                table {
                    caption.hidden { "ET₀ computed and as recorded, mean a day" }
                    tbody {
                        tr { th scope="row" { "Computed here, mean a day" } td.num { (fine(ours / n)) } }
                        tr { th scope="row" { "In the record, mean a day" } td.num { (fine(station / n)) } }
                        tr { th scope="row" { "Mean difference" } td.num { (fine((ours - station) / n)) } }
                    }
                }
            }
        }
    }
}

fn nothing(yard: &Yard) -> Markup {
    html! {
        @if yard.zones.is_empty() {
            p.lead { "No sprinkler zone is told yet." }
            p { a.button href="/log/zone" { "Add a zone" } }
        } @else {
            p.lead { "No zone needs to run today." }
        }
    }
}

fn main(view: &View, advice: &Advice) -> Markup {
    let units = view.units();
    let seed = advice.zones.iter().any(|z| z.state == ZoneState::SeedToday);
    let order = |z: &&ZoneWater| match z.state {
        ZoneState::SeedToday => 0,
        ZoneState::RunToday => 1,
        ZoneState::Wait => 2,
        ZoneState::Rest | ZoneState::Unknown => 3,
    };
    let mut zones: Vec<&ZoneWater> = advice.zones.iter().collect();
    zones.sort_by_key(order);
    html! {
        div.head {
            h1 { "Water" }
            @match (&advice.water_day, seed) {
                (Some(plan), _) => (runs(view, plan)),
                (None, true) => p.lead { "Only new seed wants water today." },
                (None, false) => (nothing(&view.yard)),
            }
            @if advice.water_day.is_some() && seed { p { "New seed is wetted beside this: see its zone." } }
        }
        div.columns {
            div {
                @if !zones.is_empty() {
                    section.group aria-labelledby="zones" {
                        h2 #zones { "Zones" }
                        @for z in zones { (card(view, units, z)) }
                    }
                }
                (new_plants(view, advice))
            }
            div {
                section aria-labelledby="areas" {
                    h2 #areas { "Soil" }
                    ul.plain {
                        @for a in &advice.areas {
                            li { a href=(view.link(&format!("/area/{}", a.key))) { (a.name) } ": "
                                strong { (number(a.left() * 100.0, 0)) " %" } " of its water left" }
                        }
                    }
                }
                (et0(view))
                section aria-labelledby="through-the-year" {
                    h2 #through-the-year { "Through the year" }
                    ul.plain {
                        li { a href=(view.link("/water/open")) { "Open the sprinklers in spring" } @if !view.yard.to_mend.is_empty() { ": " (view.yard.to_mend.len()) " to be mended" } }
                        li { a href=(view.link("/water/close")) { "Shut the sprinklers for winter" } }
                    }
                }
                (open::tested(view, &backflow(&view.scene())))
                section aria-labelledby="looking-back" {
                    h2 #looking-back { "Looking back" }
                    ul.plain {
                        li { a href=(view.link("/water/audit")) { "Measure a zone with cans, meter or bucket" } }
                        li { a href=(view.link("/water/pressure")) { "Pressure: why heads mist or dribble" } }
                        li { a href=(view.link("/water/programme")) { "What to type into the controller" } }
                        li { a href=(view.link("/water/seasons")) { "Past seasons, watered over again" } }
                        li { a href=(view.link("/water/leak")) { "Reckon a leak: the meter with everything shut" } }
                        li { a href=(view.link("/water/cost")) { "Water in money: meter, prices, saving" } }
                    }
                }
                (parts::footing(&advice.footing))
            }
        }
    }
}

//! Past seasons watered over again: the advice beside a fixed timer and the least water possible.

use axum::extract::State;
use jiff::civil::Date;
use maud::{Markup, html};
use yard::Quantity;
use yard::advice::trial::{
    Fared, LawnTrial, RATIO_MARK, SEASONS_USUAL, SeasonTrial, TRIAL_RULES, season_trial, seasons,
};

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, number, time};
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, date_of, value};

/// Seasons of one page; the command takes more.
const SEASONS_PAGE_MOST: usize = 8;

/// The seasons asked for: those within two days, else the last ones.
fn spans(view: &View, asked: &Pairs) -> Result<Vec<(Date, Date)>, PageError> {
    let read = |name: &str| match value(asked, name) {
        None => Ok(None),
        Some(raw) => date_of(raw).map(Some).map_err(|m| PageError::bad("No such day", m)),
    };
    let (from, to) = (read("from")?, read("to")?);
    let mut spans = seasons(&view.weather, from.unwrap_or(Date::MIN), to.unwrap_or(view.on).min(view.on));
    let kept = if from.is_none() { SEASONS_USUAL } else { SEASONS_PAGE_MOST };
    spans.drain(..spans.len().saturating_sub(kept));
    Ok(spans)
}

fn over(advice: &Fared, optimum: &Fared) -> String {
    if optimum.litres > 0.0 {
        let share = (advice.litres / optimum.litres - 1.0) * 100.0;
        format!("{}{}\u{a0}%", if share > 0.05 { "+" } else { "" }, number(share, 1))
    } else {
        "–".to_owned()
    }
}

fn row(view: &View, name: Markup, ways: [&Fared; 4], strong: bool) -> Markup {
    let [advice, optimum, timer, long] = ways;
    let say = |f: &Fared| view.units().say(Quantity::Volume, f.litres);
    html! {
        tr class=[strong.then_some("yours")] {
            th scope="row" { (name) }
            @for (i, f) in [advice, optimum, timer, long].into_iter().enumerate() {
                td.num { (say(f)) } td.num { (f.stress_days) }
                @if i == 1 { td.num { (over(advice, optimum)) } }
            }
        }
    }
}

fn lawn(view: &View, l: &LawnTrial) -> Markup {
    let name = html! { a href=(view.link(&format!("/area/{}", l.lawn.key))) { (l.lawn.name) } };
    row(view, name, [&l.advice, &l.optimum, &l.timer, &l.long_timer], false)
}

fn verdict(trial: &SeasonTrial) -> Markup {
    let days = trial.advice.stress_days;
    html! {
        @match trial.ratio {
            Some(r) if r <= RATIO_MARK && days == 0 => p { strong { "The mark is met: " } "within 5 % of the least possible, and no day of stress." },
            Some(r) => p { strong { "The mark is missed: " } (number((r - 1.0) * 100.0, 1)) " % over the least possible (5 % is the mark), " (days) " days of stress (none is the mark)." },
            None => p { "No water was needed." },
        }
        @if trial.ratio.is_some_and(|r| r > RATIO_MARK) {
            p.why { "Had each morning known the weather to the next chance to water, the same rule would have come to " (over(&trial.foresight, &trial.optimum)) " over the least, " (trial.foresight.stress_days) " days of stress: the rest is the price of not knowing." }
        }
    }
}

fn season(view: &View, trial: &SeasonTrial) -> Markup {
    let id = format!("season-{}", trial.from.year());
    let units = view.units();
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (time(trial.from)) " to " (time(trial.to)) }
            p { "Rain " (units.say(Quantity::Depth, trial.rain_mm)) ", the weather drew " (units.say(Quantity::Depth, trial.et0_mm)) " (reference evapotranspiration)." }
            (verdict(trial))
            div.wide tabindex="0" role="region" aria-label=(format!("Water and days of stress, {}", trial.from.year())) {
                table {
                    caption.hidden { "Water let out and days of stress" }
                    thead {
                        tr {
                            th scope="col" rowspan="2" { "Lawn" }
                            th scope="colgroup" colspan="2" { "As advised" } th scope="colgroup" colspan="3" { "Least possible" }
                            th scope="colgroup" colspan="2" { "Timer" } th scope="colgroup" colspan="2" { "Long timer" }
                        }
                        tr {
                            th.num scope="col" { "Water" } th.num scope="col" { "Stress" }
                            th.num scope="col" { "Water" } th.num scope="col" { "Stress" } th.num scope="col" { "Advice over it" }
                            th.num scope="col" { "Water" } th.num scope="col" { "Stress" }
                            th.num scope="col" { "Water" } th.num scope="col" { "Stress" }
                        }
                    }
                    tbody {
                        @for l in &trial.lawns { (lawn(view, l)) }
                        (row(view, html! { "All lawns" }, [&trial.advice, &trial.optimum, &trial.timer, &trial.long_timer], true))
                    }
                }
            }
            @for l in &trial.lawns {
                @if l.cut_short > 0 { p.why { (l.lawn.name) ": " (l.cut_short) " runs did not fit whole into the watering hours." } }
            }
            details.working {
                summary { "Working, lawn by lawn" }
                @for l in &trial.lawns {
                    p.label { (l.lawn.name) }
                    p { (l.advice.runs) " runs as advised, " (l.optimum.runs) " at least, " (l.timer.runs) " by the timer; the long timer runs "
                        (number(l.long_timer_factor, 2)) " times as long. Lost below the roots: " (units.say(Quantity::Depth, l.advice.drained_mm)) ", "
                        (units.say(Quantity::Depth, l.optimum.drained_mm)) ", " (units.say(Quantity::Depth, l.timer.drained_mm)) "; long timer "
                        (units.say(Quantity::Depth, l.long_timer.drained_mm)) ". With foresight from one chance to water to the next: "
                        (units.say(Quantity::Volume, l.foresight.litres)) " (" (over(&l.foresight, &l.optimum)) " over the least), " (l.foresight.stress_days) " days of stress." }
                    (parts::working(&l.working, &[], units))
                }
            }
        }
    }
}

fn main(view: &View, asked: &Pairs, trials: &[SeasonTrial]) -> Markup {
    html! {
        div.head {
            h1 { "Past seasons, watered over again" }
            p { "What Toft would have advised each morning on your own weather, never looking ahead, beside a fixed timer and beside somebody who knew every day to come." }
        }
        form.inline method="get" action="/water/seasons" {
            label { "From " input type="date" name="from" value=[value(asked, "from")]; }
            label { " to " input type="date" name="to" value=[value(asked, "to")]; }
            button.quiet { "Show" }
        }
        @if trials.is_empty() {
            p { "No season can be watered over again: it needs a zone that waters a lawn, and weather of a whole season (May to September; south of the equator November to March). The record: "
                (view.weather.basis().phrase()) "." }
        }
        @for trial in trials.iter().rev() { (season(view, trial)) }
        section aria-labelledby="rules" {
            h2 #rules { "How it is worked out" }
            ul { @for rule in TRIAL_RULES { li { (rule) } } }
        }
        p { a href="/water/cost" { "The same in money" } " · " a href="/water" { "Back to water" } }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let trials: Vec<SeasonTrial> = spans(&view, &asked)?
            .into_iter()
            .filter_map(|(from, to)| season_trial(&view.yard, &view.weather, view.almanac(), from, to))
            .collect();
        Ok(view.page("Past seasons", Section::Water, "/water/seasons", main(&view, &asked, &trials)))
    })
    .await
}

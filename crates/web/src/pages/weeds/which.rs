//! Which weed it is: marks in the address, the species ranked, the next best mark.

use axum::extract::State;
use maud::{Markup, html};
use yard::diagnosis::weeds::{WeedFound, WeedPlace, WeedRanked, which_weed};
use yard::diagnosis::{NextLook, Says, Seen, Verdict, WORTH_TELLING};
use yard::weeds::{north_month, short_name, site_of};

use crate::error::PageError;
use crate::extract::Asked;
use crate::found_path::FoundPath;
use crate::layout::{Section, number, sentence};
use crate::logbook_links::query;
use crate::server::off_thread;
use crate::sketch::sketch;
use crate::state::Site;
use crate::view::View;

/// Species shown.
const SHOWN: usize = 5;

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", number(share * 100.0, 0))
}

fn speaks(ranked: &WeedRanked<'_>) -> Markup {
    let (for_it, against): (Vec<&Says<'_>>, Vec<_>) =
        ranked.says.iter().filter(|s| s.bans.abs() > 0.05).partition(|s| s.bans > 0.0);
    html! {
        @for (word, list) in [("For it", for_it), ("Against it", against)] {
            @if !list.is_empty() {
                p { (word) ": " @for (i, s) in list.iter().enumerate() { @if i > 0 { "; " } (s.finding.name) ": " (s.outcome.name) } "." }
            }
        }
    }
}

fn page_of(view: &View, path: &FoundPath, id: &str) -> String {
    let area = path.about("area").map(|a| query([("area", a)])).unwrap_or_default();
    view.link(&format!("/weeds/{id}{area}"))
}

fn species(view: &View, path: &FoundPath, found: &WeedFound<'_>) -> Markup {
    html! {
        section aria-labelledby="likeliest" {
            h2 #likeliest { "Likeliest now" }
            ol.plain {
                @for r in found.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING) {
                    li {
                        details {
                            summary { strong { (percent(r.probability)) } " " (r.weed.name) }
                            p { (r.weed.marks) }
                            (speaks(r))
                            p { a href=(page_of(view, path, &r.weed.id)) { "What fits: " (short_name(r.weed)) } }
                        }
                    }
                }
            }
        }
    }
}

fn next(path: &FoundPath, look: &NextLook<'_>) -> Markup {
    let f = look.finding;
    html! {
        section aria-labelledby="next" {
            h2 #next { "Look: " (f.name) }
            p { (f.how) }
            @if let Some(drawing) = sketch(&format!("weed-{}", f.id)) { figure.sketch { (drawing) } }
            div.actions.choices {
                @for o in &f.outcomes { a.button href=(path.found(&f.id, &o.id)) { (o.name) } }
                a.button.quiet href=(path.left_out(&f.id)) { "I cannot tell" }
            }
        }
    }
}

fn likely(view: &View, path: &FoundPath, top: &WeedRanked<'_>) -> Markup {
    let sources: Vec<&str> = view.almanac().weeds.sources_of(top.weed).map(|s| s.words.as_str()).collect();
    html! {
        section.told aria-labelledby="told" {
            h2 #told { "Most likely " (top.weed.name) " (" (percent(top.probability)) ")" }
            p { (top.weed.marks) }
            p { "Does that fit? If not, go on looking." }
            p { a.button href=(page_of(view, path, &top.weed.id)) { "What fits against it here" } }
            p.source { "Source: " (sources.join("; ")) }
        }
    }
}

fn main(view: &View, path: &FoundPath, found: &WeedFound<'_>) -> Markup {
    let tables = &view.almanac().weeds;
    html! {
        div.head {
            h1 { "Which weed is it?" }
            p.lead { @if let Some(a) = path.about("area") { (view.yard.area_name(a)) ", " } (view.on.strftime("%B").to_string()) }
        }
        div.columns {
            div {
                @match (found.verdict, found.ranked.first()) {
                    (Verdict::Likely, Some(top)) => (likely(view, path, top)),
                    _ => p { "Not enough to tell yet. Put nothing down on a guess." },
                }
                @if let Some(look) = found.next.first() { (next(path, look)) }
                @else if found.verdict == Verdict::NotEnough { p { "No mark is left that would tell more: take a whole plant, with its root, to the extension office." } }
            }
            div {
                (species(view, path, found))
                @if !path.found.is_empty() {
                    section aria-labelledby="so-far" {
                        h2 #so-far { "Seen so far" }
                        ul.things {
                            @for (i, (id, outcome)) in path.found.iter().enumerate() {
                                @if let Some((finding, at)) = tables.finding(id).and_then(|f| Some((f, f.outcome(outcome)?))) {
                                    li {
                                        div { strong { (sentence(&finding.name)) } p { (finding.outcomes[at].name) } }
                                        a.button.quiet href=(path.taken_back(i)) aria-label=(format!("Take back: {}", finding.name)) { "Take back" }
                                    }
                                }
                            }
                        }
                    }
                }
                p { a href=(view.link("/weeds/which")) { "Start again" } " · " a href=(view.link("/weeds")) { "Weeds" } }
            }
        }
        p.why { "Chances are judgement after the sources of each species; a plant that is not among the " (tables.weeds.len()) " of the table is not thought of. Some plants hurt the skin: gloves." }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let path = FoundPath::of("/weeds/which", &["area", "on"], &asked);
        let area = match path.about("area") {
            Some(key) => Some(
                view.yard
                    .area(key)
                    .ok_or_else(|| PageError::bad("No such area", format!("There is no area {key}.")))?,
            ),
            None => None,
        };
        let place = WeedPlace { month: Some(north_month(&view.yard, view.on)), site: area.and_then(site_of) };
        let mut seen: Vec<Seen> = path.found.iter().map(|(f, o)| Seen::new(f, o)).collect();
        seen.extend(path.without.iter().map(|w| Seen::not_looked(w)));
        let found = which_weed(&view.almanac().weeds, &place, &seen)
            .map_err(|e| PageError::bad("Not understood", e.to_string()))?;
        Ok(view.page("Which weed is it?", Section::Now, "/weeds", main(&view, &path, &found)))
    })
    .await
}

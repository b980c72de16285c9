//! What is wrong with a hedge plant, a shrub or a young tree: answers in the address, the causes ranked, what to do.

use axum::extract::State;
use maud::{Markup, html};
use yard::diagnosis::plant_place::{plant_place, plant_season};
use yard::diagnosis::plants::{PlantDiagnosis, PlantPlace, PlantRanked, act_words, care_words, diagnose_plant};
use yard::diagnosis::{NextLook, Says, Seen, Told, Verdict, WORTH_TELLING};
use yard::entry::{AreaFacts, Cover};

use crate::error::PageError;
use crate::extract::Asked;
use crate::found_path::FoundPath;
use crate::layout::{Section, number, sentence, token};
use crate::once;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View};

/// Causes shown.
const SHOWN: usize = 5;

fn plants(view: &View, path: &FoundPath) -> Markup {
    html! {
        div.head { h1 { "A sick plant" } p.lead { "Which plant is it?" } }
        ul.things {
            @for p in &view.almanac().plants.plants {
                li {
                    div { strong { (p.name) } }
                    a.button.quiet href=(path.on("plant", &p.id).href()) aria-label=(format!("This: {}", p.name)) { "This" }
                }
            }
        }
        div.actions {
            a.button.quiet href="/plant/set-out" { "Set out a hedge, a replacement or a tree" }
            a.button.quiet href="/log/planted" { "Write down what you planted" }
        }
        p.why { "For lawn look at a " a href="/patch" { "bad patch" } "." }
    }
}

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", number(share * 100.0, 0))
}

fn speaks(place: &PlantPlace, ranked: &PlantRanked<'_>) -> Markup {
    let (for_it, against): (Vec<&Says<'_>>, Vec<_>) =
        ranked.says.iter().filter(|s| s.bans.abs() > 0.05).partition(|s| s.bans > 0.0);
    html! {
        @for (word, list) in [("For it", for_it), ("Against it", against)] {
            @if !list.is_empty() {
                p { (word) ": " @for (i, s) in list.iter().enumerate() { @if i > 0 { "; " } (s.finding.name) ": " (s.outcome.name) } "." }
            }
        }
        @let before = plant_season(place, ranked.cause);
        @if !before.is_empty() {
            p { "Season and place: " @for (i, (words, by)) in before.iter().enumerate() { @if i > 0 { "; " } (words) " ×" (number(*by, 2)) } "." }
        }
    }
}

fn sources(view: &View, ranked: &PlantRanked<'_>) -> String {
    view.almanac().plants.sources_of(ranked.cause).map(|s| s.words.as_str()).collect::<Vec<_>>().join("; ")
}

fn causes(view: &View, place: &PlantPlace, diagnosis: &PlantDiagnosis<'_>) -> Markup {
    html! {
        section aria-labelledby="causes" {
            h2 #causes { "Likeliest now" }
            ol.plain {
                @for r in diagnosis.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING) {
                    li { details { summary { strong { (percent(r.probability)) } " " (r.cause.name) } (speaks(place, r)) p.source { "Source: " (sources(view, r)) } } }
                }
            }
            @if let (Some(second), Some(first)) = (&diagnosis.second, diagnosis.ranked.first()) {
                p.told {
                    strong { "May be two things. " } (sentence(&first.cause.name)) " leaves open "
                    @for (i, (finding, outcome)) in second.left.iter().enumerate() { @if i > 0 { "; " } (finding.name) ": " (outcome.name) }
                    "; " strong { (second.cause.name) } " beside it would explain that."
                }
            }
        }
    }
}

/// The beds and hedges it can stand in, and what the yard tells of the place.
fn stands(view: &View, path: &FoundPath, area: Option<&AreaFacts>, told: &[Told]) -> Markup {
    let others: Vec<&AreaFacts> = places(view).filter(|a| Some(&a.key) != area.map(|a| &a.key)).collect();
    html! {
        section aria-labelledby="yard-told" {
            h2 #yard-told { "What the yard tells already" }
            ul.plain { @for t in told { li { (sentence(&t.what)) span.when { " — " (t.from) } } } }
            @if !others.is_empty() {
                details {
                    summary { @if let Some(a) = area { "It stands in " (a.name) "; another place" } @else { "Where does it stand?" } }
                    ul.plain { @for a in others { li { a href=(path.on("area", &a.key).href()) { (a.name) } } } }
                }
            }
        }
    }
}

/// Beds and hedges.
fn places(view: &View) -> impl Iterator<Item = &AreaFacts> {
    view.yard.areas.iter().filter(|a| matches!(a.cover, Cover::Bed | Cover::Hedge))
}

/// The form that keeps the look.
fn write_down(view: &View, path: &FoundPath, plant: &str, area: &AreaFacts, diagnosis: &PlantDiagnosis<'_>) -> Markup {
    let findings = &view.almanac().plants;
    let words = |(id, outcome): &(String, String)| {
        let finding = findings.finding(id)?;
        Some(format!("{}: {}", finding.name, finding.outcomes[finding.outcome(outcome)?].name))
    };
    let said: Vec<String> = path.found.iter().filter_map(words).collect();
    let found: Vec<String> = path.found.iter().map(|(f, o)| format!("{f}={o}")).collect();
    let mut hidden = vec![("area", area.key.clone()), ("plant", plant.to_owned()), ("findings", found.join(" "))];
    // Only a likely cause is kept as one.
    if let Some(top) = diagnosis.ranked.first().filter(|_| diagnosis.verdict == Verdict::Likely) {
        hidden.push(("cause", top.cause.id.clone()));
        hidden.push(("probability", format!("{:.0}", top.probability * 100.0)));
    }
    html! {
        section aria-labelledby="write" {
            h2 #write { "Write it down" }
            form.sheet method="post" action="/log/scouted?save" {
                (token(view)) (once::field())
                @for (name, value) in &hidden { input type="hidden" name=(name) value=(value); }
                div.field { label for="p-on" { "Day" } input #p-on type="date" name="on" value=(view.on) required; }
                div.field {
                    label for="p-seen" { "What you saw" }
                    textarea #p-seen name="seen" rows="4" required { (sentence(&said.join("; "))) }
                }
                div.field { label.box { input type="checkbox" name="settled" value="yes"; "Settled: no need to look again" } }
                div.actions { button name="do" value="keep" { "Save in the daybook" } }
            }
        }
    }
}

fn next(path: &FoundPath, look: &NextLook<'_>) -> Markup {
    let f = look.finding;
    html! {
        section aria-labelledby="next" {
            h2 #next { "Next: " (f.name) }
            p { "About " (number(f.minutes, if f.minutes < 2.0 { 1 } else { 0 })) " minutes. " (f.how) }
            p { strong { "What did you find?" } }
            div.actions.choices {
                @for o in &f.outcomes { a.button href=(path.found(&f.id, &o.id)) { (o.name) } }
                a.button.quiet href=(path.left_out(&f.id)) { "I cannot tell" }
            }
            p.source { "Source: " (f.source) }
        }
    }
}

fn to_do(view: &View, top: &PlantRanked<'_>) -> Markup {
    let c = top.cause;
    html! {
        section.told aria-labelledby="to-do" {
            h2 #to-do { "It is most likely this: " (c.name) " (" (percent(top.probability)) ")" }
            p.lead { (act_words(c.act)) "." }
            @if !c.care.is_empty() {
                aside.care-box aria-label="Care" { @for care in &c.care { p { strong { "Care: " } (care_words(*care)) } } }
            }
            p { (c.advice) }
            p { strong { "When: " } (c.when) }
            p.source { "Source: " (sources(view, top)) }
        }
    }
}

fn main(view: &View, path: &FoundPath, place: &PlantPlace, told: &[Told], diagnosis: &PlantDiagnosis<'_>) -> Markup {
    let plant = place.plant.as_deref().unwrap_or_default();
    let area = path.about("area").and_then(|key| view.yard.area(key));
    let findings = &view.almanac().plants;
    html! {
        div.head {
            h1 { "A sick plant" }
            p.lead { (view.almanac().plant_name(plant)) ", " (view.on.strftime("%B").to_string()) }
        }
        div.columns {
            div {
                @match (diagnosis.verdict, diagnosis.ranked.first()) {
                    (Verdict::Likely, Some(top)) => (to_do(view, top)),
                    _ => p { "Not enough to tell yet. Put nothing down on a guess." },
                }
                @if let Some(look) = diagnosis.next.first() { (next(path, look)) }
                @else if diagnosis.verdict == Verdict::NotEnough { p { "No look is left that would tell more: take a twig with sick and sound wood to the extension office." } }
            }
            div {
                (causes(view, place, diagnosis))
                @if !path.found.is_empty() {
                    section aria-labelledby="so-far" {
                        h2 #so-far { "Found so far" }
                        ul.things {
                            @for (i, (id, outcome)) in path.found.iter().enumerate() {
                                @if let Some((finding, at)) = findings.finding(id).and_then(|f| Some((f, f.outcome(outcome)?))) {
                                    li {
                                        div { strong { (finding.name) } p { (finding.outcomes[at].name) } }
                                        a.button.quiet href=(path.taken_back(i)) aria-label=(format!("Take back: {}", finding.name)) { "Take back" }
                                    }
                                }
                            }
                        }
                    }
                }
                (stands(view, path, area, told))
                @if let Some(area) = area.filter(|_| !path.found.is_empty()) { (write_down(view, path, plant, area, diagnosis)) }
                p { a href="/plant" { "Another plant" } }
            }
        }
        p.why { "Chances are trade judgement after the sources named; they are of one cause at work, and the months are those of the cool north." }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let path = FoundPath::of("/plant", &["plant", "area"], &asked);
        let Some(plant) = path.about("plant") else {
            return Ok(view.page("A sick plant", Section::Now, "/plant", plants(&view, &path)));
        };
        let area = match path.about("area") {
            Some(key) => Some(
                places(&view)
                    .find(|a| a.key == key)
                    .ok_or_else(|| PageError::bad("Not understood", format!("There is no bed or hedge “{key}”.")))?,
            ),
            None => None,
        };
        let (place, told) = plant_place(&view.scene(), plant, area);
        let mut seen: Vec<Seen> = path.found.iter().map(|(f, o)| Seen::new(f, o)).collect();
        seen.extend(path.without.iter().map(|w| Seen::not_looked(w)));
        let diagnosis = diagnose_plant(&view.almanac().plants, &place, &seen)
            .map_err(|e| PageError::bad("Not understood", e.to_string()))?;
        Ok(view.page("A sick plant", Section::Now, "/plant", main(&view, &path, &place, &told, &diagnosis)))
    })
    .await
}

//! Parts of pages: an item of advice, a finding, the working under a number.

use std::collections::BTreeMap;

use maud::{Markup, PreEscaped, html};
use reckon::working::{Step, Value};
use yard::advice::checks::{Finding, Level};
use yard::advice::{Footing, Urgency, Where};
use yard::{Item, Units};

use crate::draw;
use crate::layout::{prose, sentence, time};
use crate::logbook_links::log_links;
use crate::view::View;

/// The mark before a finding: a shape of its own for each level, beside the word.
fn mark(level: Level) -> Markup {
    let shape = match level {
        Level::Stop => r#"<path class="fill" d="M6 1h8l5 5v8l-5 5H6l-5-5V6z"/><path class="cut" d="M6 10h8"/>"#,
        Level::Caution => r#"<path class="line" d="M10 2 19 18H1z"/><path class="line" d="M10 8v5M10 15v1"/>"#,
        Level::Note => r#"<circle class="line" cx="10" cy="10" r="8"/><path class="line" d="M10 9v5M10 6v1"/>"#,
    };
    html! { svg.mark viewBox="0 0 20 20" aria-hidden="true" { (PreEscaped(shape)) } }
}

fn level_class(level: Level) -> &'static str {
    match level {
        Level::Stop => "finding stop",
        Level::Caution => "finding caution",
        Level::Note => "finding note",
    }
}

/// What stands in the way, gravest first.
pub(crate) fn findings(list: &[Finding]) -> Markup {
    html! {
        @if !list.is_empty() {
            ul.findings {
                @for f in list {
                    li class=(level_class(f.level)) {
                        (mark(f.level))
                        div {
                            p {
                                strong.level { (f.level.word()) }
                                span.rule { " " (f.rule.replace('-', " ")) }
                            }
                            p { (sentence(&f.message)) "." }
                            @if let Some(day) = f.clear_on { p.clear { "Clear from " (time(day)) "." } }
                            p.source { "Source: " (prose(&f.source)) }
                        }
                    }
                }
            }
        }
    }
}

fn datum(value: &Value, units: Units) -> Markup {
    html! {
        span.name { (value.name) } " = " span.value { (prose(&units.say_value(value))) }
        @if value.assumed { " " span.assumed { "assumed" } }
        @if let Some(from) = &value.from { span.from { " — " (prose(from)) } }
    }
}

/// The computation under a figure, closed until it is asked for.
pub(crate) fn working(steps: &[Step], assumed: &[String], units: Units) -> Markup {
    html! {
        @if !steps.is_empty() || !assumed.is_empty() {
            details.working {
                summary { "Working" }
                @if !steps.is_empty() {
                    ol {
                        @for step in steps {
                            li {
                                p.label { (step.label) }
                                p.formula { (step.formula) }
                                @if !step.values.is_empty() {
                                    ul { @for v in &step.values { li { (datum(v, units)) } } }
                                }
                                p.result { "→ " (datum(&step.result, units)) }
                            }
                        }
                    }
                }
                @if !assumed.is_empty() {
                    p.label { "Assumed" }
                    ul.assumptions { @for a in assumed { li { (sentence(a)) } } }
                }
            }
        }
    }
}

fn places(view: &View, list: &[Where]) -> Markup {
    html! {
        @for (i, place) in list.iter().enumerate() {
            @if i > 0 { ", " }
            @if view.yard.area(&place.key).is_some() {
                a href=(view.link(&format!("/area/{}", place.key))) { (place.name) }
            } @else { (place.name) }
        }
    }
}

/// The anchor of an item.
pub(crate) fn anchor(item: &Item) -> String {
    let mut out = String::from("do-");
    out.extend(item.id.chars().map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' }));
    out
}

/// When, in a line; nothing where the heading over the item has said it.
fn when(view: &View, item: &Item) -> Markup {
    let Some(by) = item.by else { return html! {} };
    html! {
        @if by > view.on {
            p.by {
                @if let Some(from) = item.from.filter(|f| *f > view.on && *f < by) { (time(from)) " – " (time(by)) }
                @else { "by " (time(by)) }
            }
        } @else if item.urgency != Urgency::Today {
            p.by { "today" }
        }
    }
}

fn head(item: &Item, places: Markup) -> Markup {
    html! {
        p.kicker { span.job { (item.job.word()) } @if !item.places.is_empty() { " · " (places) } }
        h3 { (prose(&item.title)) }
    }
}

/// Cautions a page has told in full, each with its anchor: told again, a caution is a link there.
#[derive(Default)]
pub(crate) struct Cares(BTreeMap<String, String>);

impl Cares {
    fn tell(&mut self, text: &str, item: &Item) -> Markup {
        if let Some(first) = self.0.get(text) {
            return html! { p.care { strong { "Care: " } a href=(format!("#{first}")) { "as above" } } };
        }
        let id = format!("care-{}-{}", self.0.len() + 1, anchor(item));
        let shown = html! { p.care id=(id) { strong { "Care: " } (prose(text)) } };
        self.0.insert(text.to_owned(), id);
        shown
    }
}

/// The amounts, without the one that is the title's own last words ("cut to 3.00 in").
fn amounts(item: &Item) -> Vec<&String> {
    item.amounts.iter().filter(|a| !item.title.ends_with(a.trim_start_matches("cut "))).collect()
}

fn amount_list(list: &[&String]) -> Markup {
    html! { @if !list.is_empty() { ul.amounts { @for a in list { li { (sentence(a)) } } } } }
}

/// What follows the amounts.
fn reasons(view: &View, item: &Item, cares: &mut Cares) -> Markup {
    html! {
        (findings(&item.findings))
        p.why { (prose(&item.why)) }
        @for c in &item.cautions { (cares.tell(c, item)) }
        @if let Some(window) = &item.window { (draw::season_strip(&anchor(item), view.on, window, item.window_of)) }
        div.actions { (log_links(view, item)) (working(&item.working, &item.assumed, view.units())) }
    }
}

/// One piece of advice: open for today; for the rest its head, its first figure and what stands in the way, all else one touch
/// further.
pub(crate) fn item(view: &View, item: &Item, cares: &mut Cares) -> Markup {
    if item.urgency == Urgency::Today { open_item(view, item, cares) } else { closed_item(view, item, cares) }
}

fn class(item: &Item) -> &'static str {
    if item.stopped() { "item held" } else { "item" }
}

fn open_item(view: &View, item: &Item, cares: &mut Cares) -> Markup {
    html! {
        article class=(class(item)) id=(anchor(item)) {
            (head(item, places(view, &item.places)))
            (amount_list(&amounts(item)))
            (when(view, item))
            (reasons(view, item, cares))
        }
    }
}

fn closed_item(view: &View, item: &Item, cares: &mut Cares) -> Markup {
    let names: Vec<&str> = item.places.iter().map(|p| p.name.as_str()).collect();
    let amounts = amounts(item);
    // How much is no invitation where the work is stopped.
    let (first, rest) = amounts.split_at(usize::from(!item.stopped()).min(amounts.len()));
    html! {
        details class=(format!("{} closed", class(item))) {
            summary {
                div {
                    (head(item, html! { (names.join(", ")) }))
                    (when(view, item))
                    @for a in first { p.amount { (sentence(a)) } }
                    @if let Some(f) = item.findings.first().filter(|f| f.level != Level::Note) {
                        p.first { (mark(f.level)) span { strong { (f.level.word()) ": " } (sentence(&f.message)) "." } }
                    }
                }
            }
            // The anchor lies inside, so that a link to it opens the item.
            div.inside id=(anchor(item)) {
                (amount_list(rest))
                (reasons(view, item, cares))
                @if item.places.iter().any(|p| view.yard.area(&p.key).is_some()) { p.kicker { "Look at " (places(view, &item.places)) } }
            }
        }
    }
}

/// What the figures rest on.
pub(crate) fn footing(footing: &Footing) -> Markup {
    html! {
        section.footing aria-labelledby="footing" {
            h2 #footing { "What this rests on" }
            p { "Weather: " (prose(&footing.words)) "." }
            p { "Days ahead: " (prose(&footing.outlook)) "." }
            @for note in &footing.notes { p { (prose(note)) } }
        }
    }
}

//! One question of a look: the drawing, how to do it, the answers; numbers where animals are counted.

use almanac::{Finding, FindingKind};
use maud::{Markup, html};
use yard::Units;
use yard::diagnosis::Look;
use yard::diagnosis::counting::{CUTS, counted};

use super::{Asking, COUNT, PAGE};
use crate::layout::{number, sentence};
use crate::sketch::sketch;

/// Findings for which ground is cut.
const CUT_INTO: [&str; 5] = ["dig", "roots", "thatch", "moisture", "float"];

fn care(finding: &Finding) -> Option<&'static str> {
    match finding.id.as_str() {
        id if CUT_INTO.contains(&id) || id == "screwdriver" => Some(
            "Low-voltage wires, a dog’s fence and drip lines lie as shallow as this: know where they run. Deeper than a hand only after the buried lines are marked.",
        ),
        "soap" => Some("Rinse the place after counting; in hot sun soap can scorch. Keep pets off until rinsed."),
        "cans" => Some("Only look and set cans: the wiring is left shut. A wet lawn on a slope is slippery."),
        _ => None,
    }
}

fn minutes(m: f64) -> String {
    match m {
        m if m < 1.0 => "half a minute".to_owned(),
        m if m < 1.5 => "a minute".to_owned(),
        m => format!("{} minutes", number(m, 0)),
    }
}

/// Why this one: what each look left can be expected to tell.
fn why(look: &Look<'_>) -> Markup {
    html! {
        details.working {
            summary { "Why this one" }
            p { "What each can be expected to tell, in bits, over the minutes it takes; the most for a minute comes first." }
            div.wide {
                table {
                    thead { tr { th scope="col" { "Look" } th.num scope="col" { "Bits" } th.num scope="col" { "Minutes" } th.num scope="col" { "Bits a minute" } } }
                    tbody {
                        @for n in look.diagnosis.next.iter().take(6) {
                            tr { th scope="row" { (n.finding.name) } td.num { (number(n.bits, 2)) } td.num { (number(n.finding.minutes, 1)) } td.num { (number(n.bits_per_minute, 2)) } }
                        }
                    }
                }
            }
        }
    }
}

/// The form of a count: how many in each place, how large each place, which animal.
fn count_form(a: &Asking<'_>, finding: &Finding) -> Markup {
    let rows = counted(a.view.almanac(), &finding.id);
    let usual = match (finding.id.as_str(), a.view.units()) {
        ("soap", Units::UsCustomary) => "sqyd",
        ("soap", _) => "m2",
        ("float", _) => "can",
        (_, Units::UsCustomary) => "sqft",
        _ => "tenth",
    };
    let fault = a.fault.as_ref().filter(|(of, _)| *of == finding.id).map(|(_, message)| message);
    let pairs = a.path.not_about(&COUNT).pairs();
    html! {
        form.sheet method="get" action=(PAGE) {
            @for (name, value) in &pairs { input type="hidden" name=(name) value=(value); }
            input type="hidden" name="of" value=(finding.id);
            div.field {
                label for="n" { "How many in each place" }
                input #n type="text" name="n" inputmode="text" autocomplete="off" required placeholder="8, 5, 12"
                    aria-invalid=[fault.map(|_| "true")] aria-describedby="n-help";
                p.help #n-help { "one number a place; three places or more tell better than one" }
                @if let Some(message) = fault { p.fault role="alert" { (sentence(message)) "." } }
            }
            div.field {
                label for="cut" { "Each place was" }
                select #cut name="cut" {
                    @for c in CUTS { option value=(c.id) selected[c.id == usual] { (c.name) } }
                }
            }
            @if rows.len() > 1 {
                div.field {
                    label for="pest" { "Which animal" }
                    select #pest name="pest" { @for (_, row) in &rows { option value=(row.pest) { (row.name) } } }
                }
            } @else if let Some((_, row)) = rows.first() { input type="hidden" name="pest" value=(row.pest); }
            div.actions { button { "Take the count" } }
        }
    }
}

fn answers(a: &Asking<'_>, finding: &Finding) -> Markup {
    let path = a.path.without_answer(&finding.id);
    let link = |id: &str, name: &str| html! { a.button href=(path.found(&finding.id, id)) { (name) } };
    let counts = !counted(a.view.almanac(), &finding.id).is_empty();
    html! {
        @if counts {
            div.actions.choices { @for o in finding.outcomes.iter().filter(|o| o.id == "none") { (link(&o.id, &o.name)) } }
            (count_form(a, finding))
            details {
                summary { "Seen, but not counted" }
                div.actions.choices { @for o in finding.outcomes.iter().filter(|o| o.id != "none") { (link(&o.id, &o.name)) } }
            }
        } @else {
            div.actions.choices { @for o in &finding.outcomes { (link(&o.id, &o.name)) } }
        }
        div.actions { a.button.quiet href=(a.path.left_out(&finding.id)) { "I cannot do this one" } }
    }
}

/// The question, to be surer where the cause is likely already.
pub(super) fn question(a: &Asking<'_>, look: &Look<'_>, finding: &Finding, surer: bool) -> Markup {
    let best = look.diagnosis.next.first().is_some_and(|n| n.finding.id == finding.id);
    let ask = html! {
        p.kicker { "About " (minutes(finding.minutes)) @if best { "; of what is left it tells the most for its time" } "." }
        @if let Some(drawing) = sketch(&finding.id) { figure.sketch { (drawing) } }
        @if let Some(words) = care(finding) { aside.care-box aria-label="Care" { p { strong { "Care: " } (words) } } }
        ul { @for line in finding.how.split_inclusive(". ") { li { (line.trim()) } } }
        (answers(a, finding))
        @if best { (why(look)) }
        p.source { "Source: " (finding.source) }
    };
    let word = if finding.kind == FindingKind::Test { "Test: " } else { "Look: " };
    html! {
        section aria-labelledby="next" {
            @if surer {
                details { summary { span #next { "To be surer, " (word.to_lowercase()) (finding.name) } } (ask) }
            } @else {
                h2 #next { (word) (finding.name) }
                (ask)
            }
        }
    }
}

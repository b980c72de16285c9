//! The end of a look: what to do, when to look again, and the form that writes it down.

use almanac::CauseAct;
use jiff::ToSpan;
use maud::{Markup, html};
use yard::diagnosis::{Look, in_words};
use yard::form;
use yard::units::Quantity;

use super::ranking::percent;
use super::{Asking, place};
use crate::layout::{sentence, time, token};
use crate::logbook_links::query;
use crate::once;
use crate::parts;

fn word(act: CauseAct) -> &'static str {
    match act {
        CauseAct::Nothing => "Leave it",
        CauseAct::Cultural => "Care for it another way",
        CauseAct::TreatNow => "Treat now",
        CauseAct::PreventLater => "Too late now; prevent next time",
        CauseAct::Repair => "Mend the place",
    }
}

/// What to do about the likely cause.
pub(super) fn decision(a: &Asking<'_>, look: &Look<'_>) -> Markup {
    let (Some(decision), Some(top)) = (&look.decision, look.diagnosis.ranked.first()) else { return html! {} };
    let again = a.view.on.checked_add(i64::from(decision.again_days).days()).unwrap_or(a.view.on);
    let count = decision.count_first.as_deref().and_then(|id| a.view.almanac().finding(id));
    let chemical = matches!(decision.act, CauseAct::TreatNow | CauseAct::PreventLater);
    let working: Vec<_> = a.counted.iter().map(|c| c.working.clone()).collect();
    html! {
        section.told aria-labelledby="decision" {
            p.kicker { "Likely " (top.cause.name) ", " (percent(top.probability)) }
            h2 #decision { (word(decision.act)) }
            p { (decision.line) }
            @if let Some(f) = count {
                p { a.button href=(format!("{}&q={}", a.path.href(), f.id)) { "Count first: " (f.name) } }
            }
            @if chemical {
                @if let Some(spec) = form::form("applied") { aside.care-box aria-label="Care" { p { strong { "Care: " } (spec.caution) } } }
                p { "Before anything is put down, " a href=(a.view.link(&format!("/log/plan-apply?areas={}", a.area.key))) { "check it against the label" } ": site, grass, rate, rain, wind, bloom, water near by, re-entry." }
            }
            @if decision.act == CauseAct::Repair {
                @for zone in a.view.yard.zones_of(&a.area.key) {
                    p { a href=(format!("/water/fault{}", query([("zone", zone.key.as_str())]))) { "Find the fault of " (zone.name) } }
                }
                p.why { "Work on wires beyond the 24 V side and on the supply pipe is for the licensed trade." }
            }
            p { strong { "Look again on " (time(again)) } " (in " (decision.again_days) " days): " (decision.look_for) "." }
            (parts::working(&working, &[], a.view.units()))
            p.source { "Source: " @for (i, s) in a.view.almanac().sources_of(top.cause).enumerate() { @if i > 0 { "; " } (s.words) } }
        }
    }
}

pub(super) fn not_enough(look: &Look<'_>) -> Markup {
    html! {
        section.told aria-labelledby="decision" {
            h2 #decision { "Not enough to tell yet" }
            @if look.diagnosis.next.is_empty() {
                p { "Nothing left here would tell more. Put nothing down on a guess; keep it watered and mown high, and send a piece of the edge, a hand wide with its soil, to a plant clinic (in the United States the state university’s extension service)." }
            } @else { p { "Put nothing down on a guess. The next look tells the most:" } }
        }
    }
}

/// The form that keeps the look.
pub(super) fn write_down(a: &Asking<'_>, look: &Look<'_>) -> Markup {
    let view = a.view;
    let units = view.units();
    let found: Vec<String> = a.path.found.iter().map(|(f, o)| format!("{f}={o}")).collect();
    let top = look.diagnosis.ranked.first();
    // Only a likely cause is kept as one.
    let held = top.filter(|_| look.decision.is_some());
    let mut hidden: Vec<(&str, String)> = vec![("area", a.area.key.clone()), ("findings", found.join(" "))];
    if let Some(top) = held {
        hidden.push(("cause", top.cause.id.clone()));
        hidden.push(("probability", format!("{:.0}", top.probability * 100.0)));
    }
    if let Some(counted) = &a.counted {
        hidden.push(("count", format!("{:.2}/m²", counted.count.per_m2)));
        hidden.push(("pest", counted.count.pest.clone().unwrap_or_default()));
    }
    if let Some([x, y]) = place(&a.path) {
        let show = |m: f64| units.show(Quantity::Length, m);
        hidden.push(("at", format!("{:.2} {:.2}", show(x), show(y))));
    }
    hidden.extend(["picture", "green"].into_iter().filter_map(|n| Some((n, a.path.about(n)?.to_owned()))));
    let said = sentence(&in_words(&view.scene(), &a.seen()));
    html! {
        section aria-labelledby="write" {
            h2 #write { "Write it down" }
            form.sheet method="post" action="/log/scouted?save" {
                (token(view)) (once::field())
                @for (name, value) in &hidden { @if !value.is_empty() { input type="hidden" name=(name) value=(value); } }
                div.field { label for="p-on" { "Day" } input #p-on type="date" name="on" value=(view.on) required; }
                div.field {
                    label for="p-seen" { "What you saw" }
                    textarea #p-seen name="seen" rows="4" required { (said) }
                }
                div.field {
                    label for="p-share" { "Share thin or bare " span.optional { "(if known)" } }
                    div.entry { input #p-share type="text" inputmode="decimal" name="share" autocomplete="off"; span.unit { "%" } }
                }
                div.field { label.box { input type="checkbox" name="settled" value="yes"; "Settled: no need to look again" } }
                div.actions { button name="do" value="keep" { "Save in the daybook" } }
            }
        }
    }
}

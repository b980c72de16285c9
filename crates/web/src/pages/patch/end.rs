//! The end of a look: what to do, when to look again, and the form that writes it down.

use almanac::CauseAct;
use maud::{Markup, html};
use yard::diagnosis::plan::{Mend, When};
use yard::diagnosis::{Look, Plan, in_words};
use yard::units::Quantity;

use super::ranking::percent;
use super::{Asking, MEASURES, place};
use crate::layout::{sentence, time, token};
use crate::logbook_links::query;
use crate::once;
use crate::parts;

/// What to do about the likely cause.
pub(super) fn decision(a: &Asking<'_>, look: &Look<'_>) -> Markup {
    let (Some(plan), Some(top)) = (&look.plan, look.diagnosis.ranked.first()) else { return html! {} };
    let count = plan.count_first.as_deref().and_then(|id| a.view.almanac().finding(id));
    let working: Vec<_> = a.counted.iter().map(|c| c.working.clone()).chain(plan.working.iter().cloned()).collect();
    html! {
        section.told aria-labelledby="decision" {
            p.kicker { "Likely " (top.cause.name) ", " (percent(top.probability)) }
            h2 #decision { (plan.heading()) }
            @if !plan.cautions.is_empty() {
                aside.care-box aria-label="Care" { @for line in &plan.cautions { p { strong { "Care: " } (line) } } }
            }
            p { (plan.line) }
            p { "The grass stands " strong { (plan.vigour.vigour.word()) } @if !plan.vigour.says.is_empty() { ": " (plan.vigour.says.join("; ")) } "." }
            @if let Some(f) = count {
                p { a.button href=(format!("{}&q={}", a.path.href(), f.id)) { "Count first: " (f.name) } }
            }
            (treatments(plan))
            @if !plan.care.is_empty() {
                h3 { "Care" }
                ol {
                    @for step in &plan.care {
                        li { (step.words) @if !step.more.is_empty() { ul { @for more in &step.more { li { (more) } } } } }
                    }
                }
            }
            @if plan.act == CauseAct::Repair {
                @for zone in a.view.yard.zones_of(&a.area.key) {
                    p { a href=(format!("/water/fault{}", query([("zone", zone.key.as_str())]))) { "Find the fault of " (zone.name) } }
                }
                p.why { "Work on wires beyond the 24 V side and on the supply pipe is for the licensed trade." }
            }
            @if let Some(mend) = &plan.mend { (ground(mend)) }
            p { strong { "Look again on " (time(plan.again)) } " (in " (plan.again_days) " days): " (plan.look_for) "." }
            (parts::working(&working, &[], a.view.units()))
            p.source { "Source: " @for (i, s) in a.view.almanac().sources_of(top.cause).enumerate() { @if i > 0 { "; " } (s.words) } @if !plan.source.is_empty() { ". Of the care: " (plan.source) } }
        }
        (measures(a))
    }
}

/// The days a window opens and closes.
fn window(when: &When) -> Markup {
    html! {
        @if when.open { strong { "Works now" } ", until about " (time(when.until.likely)) " (" (time(when.until.early)) " to " (time(when.until.late)) ")" }
        @else { "From about " strong { (time(when.from.likely)) } " (" (time(when.from.early)) " to " (time(when.from.late)) ") to about " (time(when.until.likely)) }
        ": " (when.words) @if when.recalled { ". The threshold is recalled, not read" } "."
    }
}

/// Ingredients that fit: on the shelf with amounts and checks, else what to buy.
fn treatments(plan: &Plan) -> Markup {
    html! {
        @if !plan.treatments.is_empty() || !plan.also.is_empty() {
            h3 { @if plan.only_every_year { "Where it comes every year" } @else { "What fits" } }
            p.why { "Read the label first: it is the law, and goes before every figure here." }
        }
        @for t in &plan.treatments {
            div.row {
                p { strong { (t.name) } " (" (t.group) ")" @if t.recalled { ", recalled" } }
                @if let Some(when) = &t.when { p { (window(when)) } }
                @for row in &t.on_shelf {
                    p { "On the shelf: " strong { (row.name) } }
                    ul {
                        @for amount in &row.amounts { li { (amount) } }
                        @if let Some(water) = &row.water_in { li { "wash in: " (water) } }
                    }
                    p { "Checked for " (time(row.on)) @if row.findings.is_empty() { ": nothing stands in the way." } }
                    (parts::findings(&row.findings))
                    @if let Some(day) = row.clear { p { "First day nothing stops it: " strong { (time(day)) } } }
                }
                @if let Some(buy) = &t.buy { p { (sentence(buy)) "." } }
                p.source { "Source: " (t.source) }
            }
        }
        @if !plan.also.is_empty() { ul { @for also in &plan.also { li { (also) } } } }
    }
}

/// How the ground is mended.
fn ground(mend: &Mend) -> Markup {
    html! {
        h3 { "The ground" }
        p { (mend.why) }
        @if !mend.amounts.is_empty() { ul { @for amount in &mend.amounts { li { (amount) } } } }
        @if let Some(w) = &mend.window {
            p { "Sow from about " strong { (time(w.opens.likely)) } " to about " (time(w.closes.likely)) ": " (w.words) "." }
        }
        (parts::findings(&mend.findings))
        @if let Some(day) = mend.clear { p { "First day nothing in the ground forbids seed: " strong { (time(day)) } } }
    }
}

/// The measures of the patch that sharpen the plan.
fn measures(a: &Asking<'_>) -> Markup {
    let units = a.view.units();
    let hidden = a.path.not_about(&MEASURES).pairs();
    let fields = [
        ("size", "Ground of the patch", units.symbol(Quantity::Area), "or 4 x 3, length by width"),
        ("gap", "Widest bare gap", units.symbol(Quantity::Depth), ""),
        ("share", "Of the whole lawn thin or bare", "%", ""),
    ];
    html! {
        section aria-labelledby="measures" {
            h2 #measures { "Measure the patch" }
            p.why { "Size and gap decide how much, and whether it closes by itself or is sown." }
            form.sheet method="get" action="/patch" {
                @for (name, value) in &hidden { input type="hidden" name=(name) value=(value); }
                @for (name, label, unit, help) in fields {
                    div.field {
                        label for=(format!("m-{name}")) { (label) }
                        @if !help.is_empty() { p.help #{ "m-" (name) "-help" } { (help) } }
                        @if let Some((_, fault)) = a.unread.iter().find(|(n, _)| *n == name) { p.fault role="alert" { (sentence(fault)) "." } }
                        div.entry { input id=(format!("m-{name}")) type="text" inputmode="decimal" name=(name) value=[a.path.about(name)] autocomplete="off" aria-describedby=[(!help.is_empty()).then(|| format!("m-{name}-help"))]; span.unit { (unit) } }
                    }
                }
                div.actions { button { "Reckon with it" } }
            }
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
    let held = top.filter(|_| look.plan.is_some());
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
    hidden
        .extend(["size", "gap", "picture", "green"].into_iter().filter_map(|n| Some((n, a.path.about(n)?.to_owned()))));
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
                    div.entry { input #p-share type="text" inputmode="decimal" name="share" value=[a.path.about("share")] autocomplete="off"; span.unit { "%" } }
                }
                div.field { label.box { input type="checkbox" name="settled" value="yes"; "Settled: no need to look again" } }
                @if let Some(plan) = &look.plan { (meant(plan)) }
                div.actions {
                    button name="do" value="keep" { "Save in the daybook" }
                    @if look.plan.is_some() { button name="do" value="plan" formaction="/patch/plan" { "Save and plan it" } }
                }
            }
        }
    }
}

/// What the second button writes down beside the look.
fn meant(plan: &Plan) -> Markup {
    let words = |entry: &yard::advice::LogAs| match entry.kind {
        "plan-sow" => "seed on the patch",
        _ => "what is on the shelf, on the patch only",
    };
    html! {
        p.why {
            "“Save and plan it” also writes down as planned: "
            @for meant in &plan.to_plan { (words(&meant.entry)) " on " (time(meant.on)) ", " }
            "and Now reminds of the look on " (time(plan.again)) "."
        }
    }
}

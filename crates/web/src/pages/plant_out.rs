//! Setting out a hedge, a replacement, one plant: figures asked for in the address, the answer with its working.

use axum::extract::State;
use maud::{Markup, html};
use yard::Fault;
use yard::form::Typed;
use yard::planting::{Asked as Field, HELPERS, Helper, Takes, Told, set_out};

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, prose};
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, value};

const PAGE: &str = "/plant/set-out";

fn word(key: &str) -> &str {
    if key == "two-staggered" { "two, staggered" } else { key }
}

fn input(view: &View, helper: &Helper, field: &Field, asked: &Pairs, faults: &[Fault]) -> Markup {
    let id = format!("{}-{}", helper.key, field.name);
    let typed = value(asked, field.name).unwrap_or_default();
    let said: Vec<&Fault> = faults.iter().filter(|f| f.field == field.name).collect();
    let help = format!("{id}-help");
    let wrong = format!("{id}-fault");
    let described = [(!field.help.is_empty()).then_some(help.as_str()), (!said.is_empty()).then_some(wrong.as_str())];
    let described: Vec<&str> = described.into_iter().flatten().collect();
    let described = (!described.is_empty()).then(|| described.join(" "));
    html! {
        div.field {
            label for=(id) { (field.label) @if !field.required && !matches!(field.takes, Takes::Word(_)) { span.optional { " (optional)" } } }
            @match field.takes {
                Takes::Word(words) => select id=(id) name=(field.name) aria-describedby=[described] {
                    @for w in words { option value=(w) selected[*w == typed] { (word(w)) } }
                },
                Takes::Measure(q) | Takes::Measures(q) => div.entry {
                    input type="text" id=(id) name=(field.name) value=(typed) inputmode=[matches!(field.takes, Takes::Measure(_)).then_some("decimal")] autocomplete="off" aria-describedby=[described] aria-invalid=[(!said.is_empty()).then_some("true")];
                    span.unit { (view.units().symbol(q)) }
                },
            }
            @if !field.help.is_empty() { p.help id=(help) { (field.help) } }
            @if !said.is_empty() { p.fault id=(wrong) { @for f in &said { (f.message) " " } } }
        }
    }
}

fn told(view: &View, told: &Told) -> Markup {
    html! {
        section.told aria-labelledby="answer" {
            h2 #answer { (prose(&told.answer)) }
            table {
                caption.hidden { "Figures" }
                tbody { @for (name, figure) in &told.figures { tr { th scope="row" { (name) } td { (prose(figure)) } } } }
            }
            @for care in &told.care { p.care { strong { "Care: " } (care) } }
            p.source { "Source: " (told.source) "." }
            div.actions {
                a.button href=(view.link("/log/planted")) { "Write down what you planted" }
                (parts::working(&told.working, &[], view.units()))
            }
        }
    }
}

fn main(view: &View, asked: &Pairs) -> Markup {
    let what = value(asked, "what");
    html! {
        div.head { h1 { "Set out plants" } p.lead { "How many, how far apart, how large a hole, which size to buy." } }
        @for helper in HELPERS {
            @let here = what == Some(helper.key);
            @let typed: Typed = if here {
                asked.iter().filter(|(n, v)| n != "what" && n != "on" && !v.trim().is_empty()).cloned().collect()
            } else { Typed::new() };
            @let answer = here.then(|| set_out(helper.key, &typed, view.units()));
            @let empty = Pairs::new();
            @let faults: &[Fault] = match &answer { Some(Err(faults)) => faults, _ => &[] };
            @if let Some(Ok(t)) = &answer { (told(view, t)) }
            section aria-labelledby=(helper.key) {
                h2 id=(helper.key) { (helper.title) }
                form.sheet action=(PAGE) method="get" {
                    input type="hidden" name="what" value=(helper.key);
                    @for field in helper.fields { (input(view, helper, field, if here { asked } else { &empty }, faults)) }
                    div.actions { button type="submit" { "Reckon: " (helper.title) } }
                }
            }
        }
        p { a href="/plant" { "A sick plant" } " · " a href=(view.link("/water")) { "Water for new plants" } }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        if let Some(what) = value(&asked, "what")
            && yard::planting::helper(what).is_none()
        {
            return Err(PageError::bad("Not understood", format!("There is nothing to set out called “{what}”.")));
        }
        Ok(view.page("Set out plants", Section::Now, PAGE, main(&view, &asked)))
    })
    .await
}

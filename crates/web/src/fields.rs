//! The fields of a form, from the one list `yard` keeps: labels, units, choices, and each fault where it belongs.

use almanac::Almanac;
use maud::{Markup, html};
use yard::entry::{Cover, Form};
use yard::form::{Ask, Field, FormSpec, Typed};
use yard::units::Quantity;
use yard::{Fault, Units, Yard};

use crate::layout::{prose, sentence};
use yard::words::WEEKDAYS;

/// What a form is filled with.
pub(crate) struct Filled<'a> {
    pub(crate) yard: &'a Yard,
    /// The units beside the fields; `None` while they are being chosen.
    pub(crate) units: Option<Units>,
    pub(crate) typed: &'a Typed,
    pub(crate) faults: &'a [Fault],
    /// Before every name, where two forms share a page.
    pub(crate) prefix: &'a str,
}

impl Filled<'_> {
    fn value(&self, name: &str) -> &str {
        self.typed.get(name).map_or("", String::as_str)
    }

    fn has(&self, name: &str, item: &str) -> bool {
        self.value(name).split([',', ' ']).any(|v| v == item)
    }

    fn faults_of<'s>(&'s self, name: &'s str) -> impl Iterator<Item = &'s Fault> {
        self.faults.iter().filter(move |f| shown_field(&f.field) == name)
    }

    /// A fault in the page's words: the field by its label, not by the name commands use.
    pub(crate) fn say(&self, spec: &FormSpec, fault: &Fault) -> String {
        let shown = shown_field(&fault.field);
        let label = match shown {
            "on" => Some(date_word(spec)),
            name => spec.fields.iter().find(|f| f.name == name).map(|f| f.label),
        };
        let Some(label) = label else { return sentence(&fault.message) };
        let named = fault.message.strip_prefix(&format!("{} ", fault.field));
        let rest = match named.filter(|_| shown == fault.field) {
            Some(rest) if rest.starts_with("is missing") => "not filled in",
            Some(rest) => rest.strip_prefix("is ").or(rest.strip_prefix("has ")).unwrap_or(&fault.message),
            None => &fault.message,
        };
        format!("{}: {}", sentence(label), prose(rest))
    }

    /// Where a fault leads: the element of its field.
    pub(crate) fn id_of(&self, fault: &Fault) -> String {
        self.id(shown_field(&fault.field))
    }

    fn id(&self, name: &str) -> String {
        format!("f-{}{name}", self.prefix)
    }

    fn symbol(&self, quantity: Quantity) -> String {
        match self.units {
            Some(units) => units.symbol(quantity).to_owned(),
            None => format!("{} or {}", Units::UsCustomary.symbol(quantity), Units::Metric.symbol(quantity)),
        }
    }
}

/// The field of the page that a fault belongs to: strengths stand with their ingredients, a key comes from the name.
fn shown_field(name: &str) -> &str {
    match name {
        "strength" => "actives",
        "key" => "name",
        other => other,
    }
}

/// The word before the day of an entry.
fn date_word(spec: &FormSpec) -> &'static str {
    if spec.kind.starts_with("plan-") { "Day it is meant for" } else { "Day" }
}

/// What to fill in where some fields stand for others; nothing where each stands for itself.
fn alternatives(spec: &FormSpec) -> Option<&'static str> {
    (spec.kind == "watered")
        .then_some("Fill in either the zone and its minutes, or the area and the depth put on by hand.")
}

/// The word behind the label of a field that may stay empty, where neither a choice nor the help says so.
fn may_stay_empty(spec: &FormSpec, field: &Field) -> Option<&'static str> {
    let by_kind = (spec.kind == "area" && field.name == "grass") || alternatives(spec).is_some();
    if field.required || by_kind {
        return None;
    }
    match field.ask {
        Ask::Choice(_) | Ask::Weekdays => None,
        Ask::Number("money") => Some(" (optional)"),
        Ask::Number(_) | Ask::Measure(_) | Ask::Actives => Some(" (if known)"),
        _ => Some(" (optional)"),
    }
}

/// A choice in words.
fn choice_word(word: &str) -> &str {
    match word {
        "" => "nothing to tell",
        "none-yet" => "nothing up yet",
        "first-up" => "the first are up",
        "most-up" => "most are up",
        "rooted" => "they hold when pulled",
        "turf" => "lawn",
        "hard" => "hard surface",
        "us-customary" => "inches, feet, pounds, gallons, °F",
        "metric" => "millimetres, metres, kilograms, litres, °C",
        "bare" => "on bare ground",
        "over" => "over a living stand",
        "any" => "every date",
        "odd" => "odd dates",
        "even" => "even dates",
        "free" => "no rule known",
        "test-or-seed" => "only with a soil test that shows need, or for new grass",
        "mg-dm3" => "mg/dm³",
        "lb-acre" => "lb/acre",
        "kg-ha" => "kg/ha",
        "index" => "the laboratory’s own index",
        "mehlich-3" => "Mehlich-3",
        "bray-1" => "Bray-1",
        "olsen" => "Olsen",
        "ammonium-acetate" => "ammonium acetate",
        "morgan" => "Morgan",
        "modified-morgan" => "modified Morgan",
        "calendar" => "January to December",
        "rolling" => "any 365 days",
        "water-edge" => "water’s edge",
        "buried-line" => "buried line",
        "head" => "sprinkler head",
        "level" => "spot level",
        "play" => "where children play",
        "pets" => "where pets run",
        "tilted" => "leans",
        "sunk" => "sits too low",
        "blocked" => "something stands in its throw",
        "wrong-arc" => "waters the wrong way",
        "stuck" => "does not rise or turn",
        "stays-up" => "does not go down again",
        "misting" => "throws mist",
        "weak" => "throws short",
        "seal-leak" => "water runs out round the stem",
        "low-drain" => "runs on after the zone is off",
        "valve-weeps" => "the valve lets water through",
        "pipe-leak" => "pipe or fitting leaks",
        "manifold-leak" => "the manifold leaks",
        "other" => "something else",
        "pressure-vacuum-breaker" => "pressure vacuum breaker",
        "double-check" => "double check valve assembly",
        "reduced-pressure" => "reduced pressure assembly",
        "private" => "private line (pet fence, yard light)",
        other => other,
    }
}

/// The choice in force when none is made.
fn choice_default(field: &Field, words: &'static [&'static str]) -> &'static str {
    if field.name == "care" { "medium" } else { words.first().copied().unwrap_or("") }
}

fn options(filled: &Filled<'_>, field: &Field) -> Vec<(String, String)> {
    let almanac = Almanac::embedded();
    let pair = |key: &str, name: &str| (key.to_owned(), name.to_owned());
    match field.ask {
        Ask::Area => filled.yard.areas.iter().map(|a| pair(&a.key, &a.name)).collect(),
        Ask::Zone => filled.yard.zones.iter().map(|z| pair(&z.key, &z.name)).collect(),
        Ask::Product => filled.yard.products.iter().map(|p| pair(&p.key, &p.name)).collect(),
        Ask::Grass => almanac.grasses.iter().map(|g| pair(&g.id, &g.name)).collect(),
        Ask::Soil => almanac.textures.iter().map(|t| pair(&t.id, &t.name)).collect(),
        Ask::Sprinkler => almanac.sprinklers.iter().map(|s| pair(&s.id, &s.name)).collect(),
        Ask::Choice(words) if field.name == "plant" => words.iter().map(|w| pair(w, almanac.plant_name(w))).collect(),
        Ask::Choice(words) => words.iter().map(|w| pair(w, choice_word(w))).collect(),
        _ => Vec::new(),
    }
}

fn notes(filled: &Filled<'_>, spec: &FormSpec, field: &Field) -> Markup {
    let id = filled.id(field.name);
    html! {
        @if !field.help.is_empty() { p.help id=(format!("{id}-help")) { (field.help) } }
        @for (i, fault) in filled.faults_of(field.name).enumerate() {
            p.fault id=(format!("{id}-fault{}", if i == 0 { String::new() } else { i.to_string() })) { (filled.say(spec, fault)) }
        }
    }
}

fn described_by(filled: &Filled<'_>, field: &Field) -> Option<String> {
    let id = filled.id(field.name);
    let mut all = Vec::new();
    if !field.help.is_empty() {
        all.push(format!("{id}-help"));
    }
    if filled.faults_of(field.name).next().is_some() {
        all.push(format!("{id}-fault"));
    }
    (!all.is_empty()).then(|| all.join(" "))
}

fn label_words(spec: &FormSpec, field: &Field) -> Markup {
    html! { (field.label) @if let Some(word) = may_stay_empty(spec, field) { span.optional { (word) } } }
}

fn label(filled: &Filled<'_>, spec: &FormSpec, field: &Field) -> Markup {
    html! { label for=(filled.id(field.name)) { (label_words(spec, field)) } }
}

fn input(filled: &Filled<'_>, spec: &FormSpec, field: &Field, kind: &str, unit: Option<String>) -> Markup {
    let wrong = filled.faults_of(field.name).next().is_some();
    let mode = if unit.is_some() { Some("decimal") } else { None };
    html! {
        (label(filled, spec, field))
        div.entry {
            input
                type=(kind)
                id=(filled.id(field.name))
                name=(format!("{}{}", filled.prefix, field.name))
                value=(filled.value(field.name))
                inputmode=[mode]
                autocomplete="off"
                aria-describedby=[described_by(filled, field)]
                aria-invalid=[wrong.then_some("true")];
            @if let Some(unit) = unit { span.unit { (unit) } }
        }
    }
}

fn select(filled: &Filled<'_>, spec: &FormSpec, field: &Field) -> Markup {
    let list = options(filled, field);
    let typed = filled.value(field.name);
    let (chosen, blank) = match field.ask {
        Ask::Choice(words) if typed.is_empty() => (choice_default(field, words), false),
        Ask::Choice(_) => (typed, false),
        _ if typed.is_empty() && field.required && list.len() == 1 => (list[0].0.as_str(), false),
        _ => (typed, true),
    };
    let unknown = !chosen.is_empty() && !list.iter().any(|(key, _)| key == chosen);
    let wrong = filled.faults_of(field.name).next().is_some();
    html! {
        (label(filled, spec, field))
        select
            id=(filled.id(field.name))
            name=(format!("{}{}", filled.prefix, field.name))
            aria-describedby=[described_by(filled, field)]
            aria-invalid=[wrong.then_some("true")]
        {
            @if blank { option value="" selected[chosen.is_empty()] { "choose…" } }
            @if unknown { option value=(chosen) selected { "“" (chosen) "”, not known" } }
            @for (key, name) in &list { option value=(key) selected[key == chosen] { (name) } }
        }
        @if list.is_empty() && matches!(field.ask, Ask::Product) {
            p.help { a href="/log/product" { "Enter a product from its label" } }
        }
    }
}

/// Boxes to tick, as one group.
fn boxes(filled: &Filled<'_>, spec: &FormSpec, field: &Field, list: &[(String, String)]) -> Markup {
    let typed = filled.value(field.name);
    let only = list.len() == 1 && field.required && typed.is_empty();
    let strays: Vec<&str> =
        typed.split([',', ' ']).filter(|v| !v.is_empty() && !list.iter().any(|(key, _)| key == v)).collect();
    let name = format!("{}{}", filled.prefix, field.name);
    html! {
        fieldset id=(filled.id(field.name)) aria-describedby=[described_by(filled, field)] {
            legend { (label_words(spec, field)) }
            div.boxes {
                @for (key, word) in list {
                    label.box { input type="checkbox" name=(name) value=(key) checked[only || filled.has(field.name, key)]; span { (word) } }
                }
                @for stray in strays {
                    label.box { input type="checkbox" name=(name) value=(stray) checked; span { "“" (stray) "”, not known" } }
                }
            }
        }
    }
}

/// One field with its label, unit, help and faults.
pub(crate) fn field(filled: &Filled<'_>, spec: &FormSpec, field: &Field) -> Markup {
    let name = field.name;
    let body = match field.ask {
        Ask::Measure(quantity) => input(filled, spec, field, "text", Some(symbol_of(filled, spec, field, quantity))),
        Ask::Number("money") => {
            let sign = filled.yard.facts.as_ref().map_or("$", |f| f.currency.as_str());
            input(filled, spec, field, "text", Some(sign.to_owned()))
        }
        Ask::Number(unit) => input(filled, spec, field, "text", Some(unit.to_owned())),
        Ask::Areas => {
            let lawns_only = spec.kind == "mowed";
            let areas = filled.yard.areas.iter().filter(|a| !lawns_only || a.cover == Cover::Turf);
            let list: Vec<(String, String)> = areas.map(|a| (a.key.clone(), a.name.clone())).collect();
            boxes(filled, spec, field, &list)
        }
        Ask::Weekdays => {
            let list: Vec<(String, String)> =
                WEEKDAYS.iter().enumerate().map(|(i, w)| ((i + 1).to_string(), (*w).to_owned())).collect();
            boxes(filled, spec, field, &list)
        }
        Ask::Tick => {
            let on = !matches!(filled.value(name), "" | "no" | "false" | "0" | "off");
            html! {
                label.box for=(filled.id(name)) {
                    input type="checkbox" id=(filled.id(name)) name=(format!("{}{name}", filled.prefix)) value="yes" checked[on];
                    span { (field.label) }
                }
            }
        }
        Ask::Line => input(filled, spec, field, "text", None),
        Ask::Clock => input(filled, spec, field, "time", None),
        Ask::Text => html! {
            (label(filled, spec, field))
            textarea id=(filled.id(name)) name=(format!("{}{name}", filled.prefix)) rows="4" aria-describedby=[described_by(filled, field)] {
                (filled.value(name))
            }
        },
        Ask::Actives => html! {
            (input(filled, spec, field, "text", None))
            details { summary { "Ingredients Toft knows" }
                p.help { (Almanac::embedded().actives.iter().map(|a| a.id.as_str()).collect::<Vec<_>>().join(", ")) } }
        },
        _ => select(filled, spec, field),
    };
    html! { div.field { (body) (notes(filled, spec, field)) } }
}

/// The unit beside a field. What a liquid is told in is known once the product, or its form, is; until then both stand there.
fn symbol_of(filled: &Filled<'_>, spec: &FormSpec, field: &Field, quantity: Quantity) -> String {
    let liquid = match (quantity, field.name) {
        (Quantity::Dose, "rate" | "label_rate_max") => Quantity::DoseLiquid,
        (Quantity::Mass, "pack" | "amount_in" | "left") => Quantity::VolumeProduct,
        _ => return filled.symbol(quantity),
    };
    let is_liquid = match spec.kind {
        "product" => (!filled.value("form").is_empty()).then(|| filled.value("form") == "liquid"),
        "seeded" | "plan-sow" => Some(false),
        _ => filled.yard.product(filled.value("product")).map(|p| p.form == Form::Liquid),
    };
    match is_liquid {
        Some(true) => filled.symbol(liquid),
        Some(false) => filled.symbol(quantity),
        None => format!("{}, of a liquid {}", filled.symbol(quantity), filled.symbol(liquid)),
    }
}

/// All fields of a form: those of a group fold away, open where something stands in one of them or is wrong with it.
pub(crate) fn all(filled: &Filled<'_>, spec: &FormSpec) -> Markup {
    let starts: Vec<usize> =
        spec.fields.iter().enumerate().filter(|(i, f)| *i == 0 || !f.group.is_empty()).map(|(i, _)| i).collect();
    let ends = starts.iter().skip(1).copied().chain([spec.fields.len()]);
    let told = |f: &Field| !filled.value(f.name).is_empty() || filled.faults_of(f.name).next().is_some();
    html! {
        @for (from, to) in starts.iter().copied().zip(ends) {
            @let fields = &spec.fields[from..to];
            @match fields.first().map_or("", |f| f.group) {
                "" => @for f in fields { (field(filled, spec, f)) },
                group => details.group open[fields.iter().any(told)] {
                    summary { (group) }
                    @for f in fields { (field(filled, spec, f)) }
                },
            }
        }
    }
}

/// All faults at the head of the form, each leading to its field.
pub(crate) fn fault_summary(filled: &Filled<'_>, spec: &FormSpec) -> Markup {
    html! {
        @if !filled.faults.is_empty() {
            div.faults role="alert" {
                p { strong { "Nothing was saved." } " What you typed is still here." }
                ul { @for f in filled.faults { li { a href=(format!("#{}", filled.id_of(f))) { (filled.say(spec, f)) } } } }
            }
        }
    }
}

/// The day an entry is of.
pub(crate) fn date_field(filled: &Filled<'_>, spec: &FormSpec, raw: &str) -> Markup {
    let id = filled.id("on");
    let wrong = filled.faults_of("on").next().is_some();
    html! {
        div.field {
            label for=(id) { (date_word(spec)) }
            input type="date" id=(id) name="on" value=(raw) required aria-invalid=[wrong.then_some("true")]
                aria-describedby=[wrong.then(|| format!("{id}-fault"))];
            @for (i, f) in filled.faults_of("on").enumerate() {
                p.fault id=[(i == 0).then(|| format!("{id}-fault"))] { (filled.say(spec, f)) }
            }
        }
    }
}

/// What stands above the fields: the caution of the form, and which fields stand for others.
pub(crate) fn opening(spec: &FormSpec) -> Markup {
    html! {
        @if !spec.caution.is_empty() { aside.care-box aria-label="Care" { p { strong { "Care: " } (spec.caution) } } }
        @if let Some(words) = alternatives(spec) { p.help { (words) } }
    }
}

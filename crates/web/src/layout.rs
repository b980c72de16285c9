//! The sheet every page is written on: head, navigation, banners, and how dates are written.

use jiff::civil::Date;
use maud::{DOCTYPE, Markup, html};

use crate::view::View;

/// The style sheet, part of the program.
pub(crate) const STYLE: &str = include_str!("style.css");

/// The icon: three blades on paper.
pub(crate) const ICON: &str = concat!(
    r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" rx="6" fill="#f8f4e9"/>"##,
    r##"<path d="M5 27h22M16 27V8M16 27C16 20 13 15 8 12M16 27c0-6 3-10 8-12" fill="none" stroke="#2f5a1f" stroke-width="2.6" "##,
    r##"stroke-linecap="round"/></svg>"##
);

/// The map editor's script, its one own: one module, kept in parts.
pub(crate) const MAP_SCRIPT: &str = concat!(
    include_str!("map/start.js"),
    include_str!("map/geometry.js"),
    include_str!("map/items.js"),
    include_str!("map/sheet.js"),
    include_str!("map/tools.js"),
    include_str!("map/pointing.js"),
    include_str!("map/keys.js"),
    include_str!("map/panel.js"),
    include_str!("map/water.js"),
    include_str!("map/saving.js"),
);

/// The map's style sheet: the plan as it is looked at, then the editor.
pub(crate) const MAP_STYLE: &str = concat!(include_str!("plan.css"), include_str!("map.css"));

/// Changes with the style sheet, so that it may be kept for long under its name.
pub(crate) const STYLE_HASH: u64 = hash_of(STYLE);

/// The same for the map's script.
pub(crate) const MAP_SCRIPT_HASH: u64 = hash_of(MAP_SCRIPT);

/// The same for the map's style sheet.
pub(crate) const MAP_STYLE_HASH: u64 = hash_of(MAP_STYLE);

const fn hash_of(text: &str) -> u64 {
    // FNV-1a, 64 bits: offset basis and prime of the published parameters.
    let bytes = text.as_bytes();
    let mut hash = 0xcbf2_9ce4_8422_2325u64;
    let mut i = 0;
    while i < bytes.len() {
        hash = (hash ^ bytes[i] as u64).wrapping_mul(0x0000_0100_0000_01b3);
        i += 1;
    }
    hash
}

/// The part of the notebook a page belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Section {
    Now,
    Map,
    Water,
    Daybook,
    Log,
    Settings,
}

const SECTIONS: [(Section, &str, &str); 6] = [
    (Section::Now, "Now", "/"),
    (Section::Map, "Map", "/map"),
    (Section::Water, "Water", "/water"),
    (Section::Daybook, "Daybook", "/daybook"),
    (Section::Log, "Log", "/log"),
    (Section::Settings, "Settings", "/settings"),
];

/// How dates are written everywhere: "25 Apr 2017".
pub(crate) fn day(date: Date) -> String {
    date.strftime("%-d %b %Y").to_string()
}

/// The day a page is of, with its weekday: "Tue 25 Apr 2017".
pub(crate) fn day_named(date: Date) -> String {
    date.strftime("%a %-d %b %Y").to_string()
}

/// A mark in a drawing that says its year elsewhere: "25 Apr".
pub(crate) fn day_mark(date: Date) -> String {
    date.strftime("%-d %b").to_string()
}

/// A date as a `time` element.
pub(crate) fn time(date: Date) -> Markup {
    html! { time datetime=(date) { (day(date)) } }
}

/// Dates in a sentence of the engine (2017-04-25) the way pages write them (25 Apr 2017).
pub(crate) fn prose(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '-').unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        match word.parse::<Date>() {
            Ok(date) if word.len() == 10 => out.push_str(&day(date)),
            _ => out.push_str(word),
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

/// The same as a sentence of its own: with a capital.
pub(crate) fn sentence(text: &str) -> String {
    let text = prose(text);
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => text,
    }
}

/// A number, with or without its unit, with the true minus sign; what is rounded to nothing has no sign.
pub(crate) fn minus(number: &str) -> String {
    match number.strip_prefix('-') {
        Some(rest) if rest.split(' ').next().is_some_and(|n| n.contains(|c: char| ('1'..='9').contains(&c))) => {
            format!("−{rest}")
        }
        Some(rest) => rest.to_owned(),
        None => number.to_owned(),
    }
}

/// A number with so many decimals, as pages write it.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    minus(&format!("{value:.decimals$}"))
}

fn sheet(title: &str, head_extra: Markup, top: Markup, main: Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " – Toft" }
                link rel="stylesheet" href=(format!("/style.css?v={STYLE_HASH:016x}"));
                (head_extra)
                link rel="icon" href="/favicon.svg" type="image/svg+xml";
            }
            body {
                a.skip href="#main" { "Skip to the page" }
                (top)
                main #main tabindex="-1" { (main) }
                footer.foot { p { "Toft. The product’s own label and local law govern. " a href="/safety" { "Safety" } } }
            }
        }
    }
}

/// A page without a yard behind it: an error, or the making of the yard.
pub(crate) fn bare(title: &str, main: Markup) -> Markup {
    sheet(title, html! {}, html! { header.top { p.brand { a href="/" { "Toft" } } } }, main)
}

/// A page of the notebook.
pub(crate) fn page(view: &View, title: &str, section: Section, path: &str, main: Markup) -> Markup {
    page_with(view, title, section, path, html! {}, main)
}

/// The map's style sheet, for the head of the pages that show it.
pub(crate) fn map_style() -> Markup {
    html! { link rel="stylesheet" href=(format!("/map.css?v={MAP_STYLE_HASH:016x}")); }
}

/// The map editor's script, for the head of the page that draws.
pub(crate) fn map_script() -> Markup {
    html! { script type="module" src=(format!("/map.js?v={MAP_SCRIPT_HASH:016x}")) {} }
}

/// A page of the notebook with more in its head.
pub(crate) fn page_with(
    view: &View,
    title: &str,
    section: Section,
    path: &str,
    head_extra: Markup,
    main: Markup,
) -> Markup {
    let name = view.facts.yard.as_ref().map_or("Toft", |y| y.name.as_str());
    let top = html! {
        header.top {
            p.brand { a href="/" { (name) } }
            nav.main aria-label="Main" {
                ul {
                    @for (part, word, href) in SECTIONS {
                        @let kept = if matches!(part, Section::Settings) { href.to_owned() } else { view.link(href) };
                        li {
                            @if part == section { a href=(kept) aria-current="page" { (word) } }
                            @else { a href=(kept) { (word) } }
                        }
                    }
                }
            }
        }
        @if view.site.demo_start().is_some() { (demo(view, path)) }
        @if view.on != view.today {
            aside.banner aria-label="Day looked at" {
                p { "As of " strong { (time(view.on)) } " — " a href=(path) { "back to today" } }
            }
        }
    };
    sheet(title, head_extra, top, main)
}

fn demo(view: &View, path: &str) -> Markup {
    let step = |to: &str, word: &str| {
        html! {
            form method="post" action=(format!("/demo/{to}")) {
                (token(view))
                input type="hidden" name="back" value=(path);
                button.quiet { (word) }
            }
        }
    };
    html! {
        section.banner.demo aria-label="Demo" {
            p { "Demo: today is " strong { (day_named(view.today)) } }
            div.row {
                (step("day", "a day on"))
                (step("week", "a week on"))
                (step("start", "back to the start"))
            }
        }
    }
}

/// The hidden field every form carries.
pub(crate) fn token(view: &View) -> Markup {
    token_of(view.site.token())
}

pub(crate) fn token_of(token: &str) -> Markup {
    html! { input type="hidden" name="token" value=(token); }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Dates inside sentences are rewritten, and nothing else that has digits and hyphens is.
    #[test]
    fn dates_in_prose() {
        assert_eq!(prose("about 2017-04-25, not 2017-13-01"), "about 25 Apr 2017, not 2017-13-01");
        assert_eq!(prose("10-10-10 at 3.5 lb; −12"), "10-10-10 at 3.5 lb; −12");
        assert_eq!(prose("“2017-04-25”"), "“25 Apr 2017”");
    }

    /// A number below nothing has the true minus; one rounded to nothing has none, whatever stands behind it.
    #[test]
    fn signs_of_numbers() {
        assert_eq!([number(-0.4, 0), number(-0.6, 0), number(-0.0, 2), number(3.25, 1)], ["0", "−1", "0.00", "3.2"]);
        assert_eq!(
            [minus("-0 °C"), minus("-0.00 in"), minus("-10 °F"), minus("12 mm")],
            ["0 °C", "0.00 in", "−10 °F", "12 mm"]
        );
    }
}

//! A sheet as SVG. Colours and widths are attributes: the file stands alone, and a page that forbids styles in its markup can
//! hold it too.

use maud::{Markup, PreEscaped, html};

use super::Anchor;
use super::letters::Weight;
use super::look::{Colour, Fill, INK, Look, Tile};
use super::paper::{Ink, Page, Words};
use super::path::{At, Path, tidy};
use super::sheet::Sheet;

/// Faces as wide as the letters were measured, then whatever the machine has.
const FACES: &str = "Helvetica, Arial, Liberation Sans, Nimbus Sans, sans-serif";

fn n(v: f64) -> String {
    tidy(v, 2)
}

fn hex([r, g, b]: Colour) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A page's marks, its y turned over: paper counts up, SVG down.
struct Writer<'a> {
    id: &'a str,
    height: f64,
}

impl Writer<'_> {
    fn turned(&self, path: &Path) -> Path {
        path.mapped(|[x, y]| [x, self.height - y], 1.0, true)
    }

    fn figure(&self, look: Look, path: &Path) -> Markup {
        let fill = match look.fill() {
            Fill::Nothing => "none".to_owned(),
            Fill::Colour(colour) => hex(colour),
            Fill::Tiled(tile) => format!("url(#{}-{})", self.id, tile.name()),
        };
        let pen = look.pen();
        let dashes =
            pen.map(|p| p.dashes.iter().map(|d| n(*d)).collect::<Vec<_>>().join(" ")).filter(|d| !d.is_empty());
        html! {
            path d=(self.turned(path).data(3)) fill=(fill) stroke=[pen.map(|_| hex(look.colour()))]
                stroke-width=[pen.map(|p| n(p.width))] stroke-dasharray=[dashes]
                stroke-linecap=[(look == Look::Dotted).then_some("round")] {}
        }
    }

    fn words(&self, words: &Words) -> Markup {
        let [x, y] = words.at;
        let anchor = match words.anchor {
            Anchor::Start => None,
            Anchor::Middle => Some("middle"),
            Anchor::End => Some("end"),
        };
        html! {
            text x=(n(x)) y=(n(self.height - y)) font-size=(n(words.size)) text-anchor=[anchor] fill=(hex(words.colour))
                font-weight=[(words.weight == Weight::Bold).then_some("700")] paint-order=[words.rim.then_some("stroke")]
                stroke=[words.rim.then_some("#ffffff")] stroke-width=[words.rim.then_some("1.8")] { (words.words) }
        }
    }

    fn inks(&self, inks: &[Ink]) -> Markup {
        html! {
            @for (i, ink) in inks.iter().enumerate() {
                @match ink {
                    Ink::Figure(look, path) => (self.figure(*look, path)),
                    Ink::Words(words) => (self.words(words)),
                    Ink::Within([x, low], [right, y], inner) => {
                        @let clip = format!("{}-clip{i}", self.id);
                        clipPath id=(clip) { path d=(self.turned(&Path::rect([*x, *low], [*right, *y])).data(2)) {} }
                        g clip-path=(format!("url(#{clip})")) { (self.inks(inner)) }
                    }
                }
            }
        }
    }

    fn tiles(&self) -> Markup {
        html! {
            defs {
                @for tile in Tile::ALL {
                    pattern id=(format!("{}-{}", self.id, tile.name())) patternUnits="userSpaceOnUse" patternTransform="scale(1 -1)"
                        width=(n(tile.side())) height=(n(tile.side())) {
                        @for [x, y, r] in tile.dots() { circle cx=(n(*x)) cy=(n(*y)) r=(n(*r)) fill=(hex(INK)) {} }
                        @for [x, y, u, v] in tile.lines() {
                            line x1=(n(*x)) y1=(n(*y)) x2=(n(*u)) y2=(n(*v)) stroke=(hex(INK)) stroke-width=(n(tile.weight())) {}
                        }
                    }
                }
            }
        }
    }
}

fn inside(page: &Page, id: &str) -> Markup {
    let writer = Writer { id, height: page.height };
    html! {
        (writer.tiles())
        rect width=(n(page.width)) height=(n(page.height)) fill="#ffffff" {}
        g font-family=(FACES) stroke-linejoin="round" fill-rule="evenodd" { (writer.inks(&page.inks)) }
    }
}

impl Sheet {
    /// One page, to stand in a page of HTML; `id` begins every id inside.
    pub(crate) fn page_svg(&self, index: usize, id: &str) -> Option<Markup> {
        let page = self.pages.get(index)?;
        let words = if index == 0 { self.words.as_str() } else { "Tables that found no room beside the drawing." };
        Some(html! {
            svg.survey viewBox=(format!("0 0 {} {}", n(page.width), n(page.height))) role="img" aria-labelledby=(format!("{id}-t {id}-d")) {
                title id=(format!("{id}-t")) { (self.title) ", sheet " (index + 1) }
                desc id=(format!("{id}-d")) { (words) }
                (inside(page, id))
            }
        })
    }

    /// The whole sheet as a file: its pages one below the other, in true size.
    pub(crate) fn svg(&self) -> String {
        let width = self.pages.iter().map(|p| p.width).fold(0.0, f64::max);
        let mut tops: Vec<At> = Vec::with_capacity(self.pages.len());
        let mut height = 0.0;
        for page in &self.pages {
            tops.push([0.0, height]);
            height += page.height;
        }
        let millimetres = |points: f64| format!("{}mm", n(points / 72.0 * 25.4));
        let svg = html! {
            svg xmlns="http://www.w3.org/2000/svg" width=(millimetres(width)) height=(millimetres(height))
                viewBox=(format!("0 0 {} {}", n(width), n(height))) role="img" aria-labelledby="t d" {
                title #t { (self.title) }
                desc #d { (self.words) }
                @for (i, (page, [x, y])) in self.pages.iter().zip(tops).enumerate() {
                    g transform=(format!("translate({} {})", n(x), n(y))) { (inside(page, &format!("p{}", i + 1))) }
                }
            }
        };
        let head = PreEscaped("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        html! { (head) (svg) "\n" }.into_string()
    }
}

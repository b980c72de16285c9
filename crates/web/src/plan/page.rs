//! The drawing on a page: SVG whose colours and line widths come from classes, so that it follows light, dark and print.

use maud::{Markup, html};
use yard::units::{Quantity, significant};

use super::look::Tile;
use super::path::{At, Path, tidy};
use super::{Anchor, Drawing, scale};

/// Units kept free at the foot for the scale bar and the north arrow.
const FOOT: f64 = 44.0;

/// Tiles on a page for those on paper: small enough for a wide page, where they grow with the drawing.
const TILE_SHARE: f64 = 0.75;

/// Coordinates keep a millimetre.
fn m(v: f64) -> String {
    tidy(v, 3)
}

fn anchor(anchor: Anchor) -> &'static str {
    match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    }
}

impl Drawing {
    /// The page of an area.
    fn area_href(&self, key: &str) -> String {
        let on = self.on.map(|on| format!("?on={on}")).unwrap_or_default();
        format!("/area/{key}{on}")
    }

    /// What is drawn in units round a place; a wide page draws it smaller by its class.
    fn set(&self, [x, y]: At, inner: Markup) -> Markup {
        let unit = tidy(self.unit, 5);
        html! { g transform=(format!("translate({} {}) scale({unit} -{unit})", m(x), m(y))) { g.px { (inner) } } }
    }

    fn patterns(&self, id: &str) -> Markup {
        html! {
            defs {
                @for tile in Tile::ALL {
                    @let side = tile.side();
                    pattern id=(format!("{id}-{}", tile.name())) patternUnits="userSpaceOnUse" width=(side) height=(side)
                        patternTransform=(format!("scale({})", tidy(self.unit * TILE_SHARE, 5))) {
                        @for [x, y, r] in tile.dots() { circle.dot cx=(x) cy=(y) r=(r) {} }
                        @for [x, y, u, v] in tile.lines() { line.hatch x1=(x) y1=(y) x2=(u) y2=(v) {} }
                    }
                }
            }
        }
    }

    fn grounds(&self, id: &str) -> Markup {
        html! {
            @for ground in &self.grounds {
                @let tile = ground.fill.tile().map(|tile| format!("url(#{id}-{})", tile.name()));
                path class=(ground.fill.class()) d=(ground.path.data(3)) fill=[tile] {}
            }
        }
    }

    fn links(&self) -> Markup {
        html! {
            @for ground in &self.grounds {
                a href=(self.area_href(&ground.key)) aria-label=(ground.words) {
                    path class=(format!("ring {}", ground.edge.class())) d=(ground.path.data(3)) {}
                }
            }
        }
    }

    fn figures(&self, id: &str) -> Markup {
        html! {
            @for (look, path) in &self.figures {
                @let tile = look.tile().map(|tile| format!("url(#{id}-{})", tile.name()));
                path class=(look.class()) d=(path.data(3)) fill=[tile] {}
            }
        }
    }

    fn signs(&self) -> Markup {
        html! {
            @for sign in &self.signs {
                (self.set(sign.at, html! {
                    @if !sign.words.is_empty() { title { (sign.words) } }
                    @for (look, path) in &sign.parts {
                        path class=(look.class()) d=(path.mapped(|[x, y]| [x, -y], 1.0, true).data(2)) {}
                    }
                }))
            }
        }
    }

    fn letters(&self) -> Markup {
        html! {
            @for letters in &self.letters {
                (self.set(letters.at, html! {
                    text class=(letters.hand.class()) x=(tidy(letters.by[0], 1)) y=(tidy(-letters.by[1], 1))
                        text-anchor=(anchor(letters.anchor)) { (letters.words) }
                }))
            }
        }
    }

    /// Scale bar at the left foot, north arrow at the right.
    fn foot(&self) -> Markup {
        let room = self.extent.width() * 0.4;
        let length = scale::bar(self.units, room);
        let metres = self.units.read(Quantity::Length, length);
        let half = metres / 2.0;
        let (x, y) = (self.extent.low[0] + 10.0 * self.unit, self.extent.low[1] - (FOOT - 22.0) * self.unit);
        let high = 4.0 * self.unit;
        let symbol = self.units.symbol(Quantity::Length);
        let below = |at: f64, words: String, anchor: &str| {
            self.set([x + at, y], html! { text.figure-of x="0" y="14" text-anchor=(anchor) { (words) } })
        };
        let north = [self.extent.high[0] - 24.0 * self.unit, self.extent.low[1] - 26.0 * self.unit];
        html! {
            g.foot {
                path.bar d=(Path::rect([x, y], [x + metres, y + high]).data(4)) {}
                path.solid d=(Path::rect([x, y], [x + half, y + high]).data(4)) {}
                (below(0.0, "0".to_owned(), "start"))
                (below(half, significant(length / 2.0, 3), "middle"))
                (below(metres, format!("{} {symbol}", significant(length, 3)), "middle"))
                (self.set(north, html! {
                    path.fine d="M0 13V-9" {}
                    path.solid d="M0 -16L4 -4L0 -7L-4 -4Z" {}
                    text.figure-of x="8" y="10" text-anchor="start" { "N" }
                }))
            }
        }
    }

    fn drawing(&self, id: &str, under: Markup) -> Markup {
        let foot = FOOT * self.unit;
        let [x, top] = [self.extent.low[0], -self.extent.high[1]];
        let view = [x, top, self.extent.width(), self.extent.height() + foot].map(m).join(" ");
        html! {
            svg.plan viewBox=(view) role="group" aria-labelledby=(format!("{id}-t {id}-d")) {
                title id=(format!("{id}-t")) { (self.title) }
                desc id=(format!("{id}-d")) { (self.words) }
                (self.patterns(id))
                g transform="scale(1 -1)" {
                    (self.grounds(id))
                    (under)
                    (self.links())
                    (self.figures(id))
                    (self.signs())
                    g aria-hidden="true" { (self.letters()) (self.foot()) }
                }
            }
        }
    }

    /// The drawing as a figure: SVG in metres, north up, with `under` beneath its lines in the same metres (y to the north),
    /// and a list of the areas that have only their number on it.
    ///
    /// `id` begins every id inside; a page with several drawings gives each its own.
    pub(crate) fn svg(&self, id: &str, under: Markup) -> Markup {
        html! {
            figure.plan {
                (self.drawing(id, under))
                @if !self.key.is_empty() {
                    figcaption {
                        ol.plan-key {
                            @for k in &self.key {
                                li value=(k.number) { a href=(self.area_href(&k.area)) { (k.name) } " " span.num { (k.size) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

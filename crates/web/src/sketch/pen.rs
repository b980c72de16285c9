//! Strokes the drawings share: blades, roots, a hand, an arrow, a measure.

use std::fmt::Write;

use maud::{Markup, html};

/// How far each blade leans, over and over, so that a stand looks grown.
const LEANS: [i32; 7] = [-5, 3, 6, -2, 4, -6, 1];

/// Blades of grass from `x0` to `x1`, standing on `y`.
pub(super) fn blades(x0: i32, x1: i32, y: i32, high: i32) -> String {
    let mut path = String::new();
    for (i, x) in (x0..=x1).step_by(5).enumerate() {
        let lean = LEANS[i % LEANS.len()];
        let top = high - (i as i32 * 5) % 7;
        let _ = write!(path, "M{x} {y}q{} {} {lean} {}", lean / 3, -top * 3 / 5, -top);
    }
    path
}

/// Roots from `x0` to `x1`, hanging from `y`.
pub(super) fn roots(x0: i32, x1: i32, y: i32, deep: i32) -> String {
    let mut path = String::new();
    for (i, x) in (x0..=x1).step_by(8).enumerate() {
        let lean = LEANS[(i + 3) % LEANS.len()];
        let down = deep - (i as i32 * 7) % 9;
        let _ = write!(path, "M{x} {y}q{lean} {} {} {down}", down / 2, -lean / 2);
    }
    path
}

/// Specks of soil in a box.
pub(super) fn specks(x0: i32, y0: i32, x1: i32, y1: i32) -> String {
    let mut path = String::new();
    for (row, y) in (y0..=y1).step_by(11).enumerate() {
        for x in (x0 + (row as i32 * 7) % 13..=x1).step_by(17) {
            let _ = write!(path, "M{x} {y}h3");
        }
    }
    path
}

/// A line of ground.
pub(super) fn ground(x0: i32, x1: i32, y: i32) -> Markup {
    html! { path.ink d=(format!("M{x0} {y}H{x1}")) {} }
}

/// A closed hand seen from the side, its fingers round something at `x`, `y`.
pub(super) fn hand(x: i32, y: i32) -> Markup {
    html! {
        g transform=(format!("translate({x} {y})")) {
            path.paper d="M-14 -9q-2 -7 5 -8l20 -4q9 -1 22 -12l10 12q-12 12 -16 22q-4 10 -15 11l-18 1q-8 0 -8 -7z" {}
            path.ink d="M-14 -9q-2 -7 5 -8l20 -4q9 -1 22 -12M43 -21q-12 12 -16 22q-4 10 -15 11l-18 1q-8 0 -8 -7z" {}
            path.ink d="M-14 -9l16 -1M-15 -2l17 -1M-14 5l15 -1" {}
        }
    }
}

/// An arrow from one place to another, straight.
pub(super) fn arrow([x, y]: [i32; 2], [u, v]: [i32; 2]) -> Markup {
    let (dx, dy) = (f64::from(u - x), f64::from(v - y));
    let long = dx.hypot(dy).max(1.0);
    let (ex, ey) = (dx / long, dy / long);
    let barb = |side: f64| {
        let (bx, by) = (-7.0 * ex - side * 4.0 * ey, -7.0 * ey + side * 4.0 * ex);
        format!("M{u} {v}l{bx:.1} {by:.1}")
    };
    html! { path.ink d=(format!("M{x} {y}L{u} {v}{}{}", barb(1.0), barb(-1.0))) {} }
}

/// A measure between two heights or two sides, with its words behind the second end.
pub(super) fn measure([x, y]: [i32; 2], [u, v]: [i32; 2], words: &str) -> Markup {
    let upright = x == u;
    let ends =
        if upright { format!("M{} {y}h6M{} {v}h6", x - 3, u - 3) } else { format!("M{x} {}v6M{u} {}v6", y - 3, v - 3) };
    let (tx, ty, anchor) = if upright { (x + 6, (y + v) / 2 + 4, "start") } else { ((x + u) / 2, y + 14, "middle") };
    html! {
        path.fine d=(format!("M{x} {y}L{u} {v}{ends}")) {}
        text.label x=(tx) y=(ty) text-anchor=(anchor) { (words) }
    }
}

/// Words in a drawing.
pub(super) fn words(x: i32, y: i32, words: &str) -> Markup {
    html! { text.label x=(x) y=(y) text-anchor="middle" { (words) } }
}

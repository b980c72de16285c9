//! Drawings of the marks of weeds.

use maud::html;

use super::Drawn;
use super::pen::words;

pub(super) fn stem() -> Drawn {
    let lines = html! {
        circle.wash cx="32" cy="46" r="18" {} circle.ink cx="32" cy="46" r="18" {} (words(32, 88, "round"))
        ellipse.wash cx="90" cy="46" rx="23" ry="9" {} ellipse.ink cx="90" cy="46" rx="23" ry="9" {} (words(90, 88, "flat"))
        path.wash d="M132 30h32v32h-32z" {} path.ink d="M132 30h32v32h-32z" {} (words(148, 88, "four edges"))
        path.wash d="M208 28l22 36h-44z" {} path.ink d="M208 28l22 36h-44z" {} (words(208, 88, "three"))
        path.fine d="M20 116h200" {} (words(120, 134, "cut across, seen from above"))
    };
    Drawn { says: "Stems cut across: round, flat, with four edges, with three edges.", lines }
}

pub(super) fn arrange() -> Drawn {
    let lines = html! {
        path.ink d="M44 112V20" {}
        @for y in [40, 70, 100] { path.leaf d=(format!("M44 {y}q-16 -18 -32 -10q10 14 32 10q16 -18 32 -10q-10 14 -32 10z")) {} }
        (words(44, 132, "two at a joint"))
        path.ink d="M122 112V20" {}
        path.leaf d="M122 104q-16 -18 -32 -10q10 14 32 10z" {} path.leaf d="M122 82q16 -18 32 -10q-10 14 -32 10z" {}
        path.leaf d="M122 60q-16 -18 -32 -10q10 14 32 10z" {} path.leaf d="M122 38q16 -18 32 -10q-10 14 -32 10z" {}
        (words(122, 132, "by turns"))
        @for (dx, dy) in [(30, -14), (30, 14), (-30, -14), (-30, 14), (0, -26), (0, 26)] {
            path.leaf d=(format!("M200 70q{} {} {dx} {dy}q{} {} {} {}z", dx / 2 + 6, dy / 2 - 8, -dx / 2 - 8, -dy / 2 + 6, -dx, -dy)) {}
        }
        (words(200, 132, "in a ring"))
    };
    Drawn { says: "Leaves: two at each joint, one at a joint by turns, or in a ring on the ground.", lines }
}

pub(super) fn head() -> Drawn {
    let lines = html! {
        path.thick d="M30 108V56M30 56q-14 -16 -20 -40M30 56q-4 -20 -4 -44M30 56q8 -18 14 -42" {} (words(30, 130, "fingers"))
        path.ink d="M84 108V58" {}
        path.thick d="M84 58V18" {}
        path.fine d="M84 24l-10 -8M84 32l-12 -8M84 40l-12 -8M84 48l-12 -8M84 24l10 -8M84 32l12 -8M84 40l12 -8M84 48l12 -8" {}
        (words(84, 130, "brush"))
        path.ink d="M140 108V16M140 60l-20 -10M140 60l20 -10M140 44l-14 -9M140 44l14 -9M140 28l-8 -6M140 28l8 -6" {} (words(140, 130, "pyramid"))
        path.ink d="M200 108V14" {}
        path.straw d="M200 60l-9 -8l9 -8l9 8zM200 44l-9 -8l9 -8l9 8zM200 28l-9 -8l9 -8l9 8z" {} (words(200, 130, "spike"))
    };
    Drawn {
        says: "Seedheads of grasses: fingers from one point, a bristly brush, a small pyramid, a flat spike.",
        lines,
    }
}

pub(super) fn collar() -> Drawn {
    let lines = html! {
        @for (x, word) in [(30, "ears"), (90, "fringe"), (150, "skin"), (210, "nothing")] {
            path.ink d=(format!("M{} 104V50M{} 104V56q4 -22 26 -36", x - 5, x + 5)) {}
            (words(x, 128, word))
        }
        path.thick d="M22 52q-8 4 -4 12M38 56q8 2 6 10" {}
        path.fine d="M84 50v-10M88 50v-12M92 52v-12M96 54v-10" {}
        path.wash d="M145 50l2 -14l8 2v16z" {} path.ink d="M145 50l2 -14l8 2v16" {}
    };
    Drawn { says: "Where blade meets stem: two ears, a fringe of hairs, a thin clear skin, or nothing.", lines }
}

//! Drawings of what is cut, pushed and lifted.

use maud::html;

use super::Drawn;
use super::pen::{arrow, blades, ground, measure, roots, specks, words};

pub(super) fn roots_slice() -> Drawn {
    let lines = html! {
        path.paper d="M40 40H170L158 132H56z" {} path.ink d="M40 40H170L158 132H56z" {}
        path.straw-line d=(blades(46, 96, 40, 22)) {} path.green d=(blades(104, 166, 40, 28)) {}
        path.fine d=(roots(50, 98, 41, 16)) {} path.ink d=(roots(108, 162, 41, 78)) {}
        (measure([186, 40], [186, 132], "10 cm"))
        path.thick d="M24 20V112" {} path.ink d="M16 112h16l-3 24h-10z" {}
        (words(76, 76, "short")) (words(210, 30, "deep"))
    };
    Drawn {
        says: "A slice lifted with the spade: short roots under the sick part, long ones under the sound part.",
        lines,
    }
}

fn grub(x: i32, y: i32) -> maud::Markup {
    html! { g transform=(format!("translate({x} {y})")) { path.grub d="M-7 4A8 8 0 1 1 7 4A4 4 0 0 1 1 3A3.4 3.4 0 1 0 -1 3A4 4 0 0 1 -7 4z" {} circle.ink cx="-5" cy="4" r="2" {} } }
}

pub(super) fn dig() -> Drawn {
    let lines = html! {
        path.fine d="M6 60H60M180 60H234M6 108H30M212 108H234" {}
        path.hole d="M66 58H176L206 112H36z" {} path.ink d="M66 58L36 112H206L176 58" {}
        path.wash d="M66 58q2 -30 20 -40H158q18 10 18 40z" {} path.ink d="M66 58q2 -30 20 -40H158q18 10 18 40z" {}
        path.fine d="M84 58q0 -20 10 -30M104 58q0 -18 4 -28M124 58v-30M142 58q0 -18 -4 -28M160 58q0 -20 -10 -30" {}
        (grub(84, 84)) (grub(122, 76)) (grub(156, 92)) (grub(112, 102))
        path.green d=(blades(6, 56, 60, 14)) {} path.green d=(blades(186, 232, 60, 14)) {}
        (measure([36, 118], [206, 118], "30 cm (a foot)"))
        (arrow([204, 40], [172, 14]))
    };
    Drawn { says: "A square cut on three sides and folded back; curled grubs lie in the top soil.", lines }
}

pub(super) fn screwdriver() -> Drawn {
    let lines = html! {
        (ground(8, 232, 62)) path.straw-line d=(blades(14, 104, 62, 22)) {} path.green d=(blades(134, 228, 62, 28)) {}
        path.fine d=(specks(12, 74, 228, 132)) {}
        path.paper d="M52 6h16v26h-16z" {} path.ink d="M52 6h16v26h-16zM57 6v26M63 6v26M60 32V80" {} path.thick d="M54 82h12" {}
        path.paper d="M172 14h16v26h-16z" {} path.ink d="M172 14h16v26h-16zM177 14v26M183 14v26M180 40V124" {}
        path.hard d="M30 84h60l-6 14h-46z" {}
        (measure([204, 62], [204, 124], "15 cm")) (words(60, 114, "stops")) (words(146, 114, "goes in"))
    };
    Drawn { says: "A screwdriver pushed in by hand: it stops short in the patch and goes in beside it.", lines }
}

pub(super) fn thatch() -> Drawn {
    let lines = html! {
        path.green d=(blades(64, 146, 46, 38)) {}
        path.paper d="M60 46H150V130H60z" {} path.felt d="M60 46H150V76H60z" {}
        path.fine d="M62 52q14 8 28 0t28 0t30 2M62 62q14 -8 28 0t28 0t30 -2M62 70q14 8 28 0t28 0t30 2" {}
        path.ink d="M60 46H150V130H60zM60 76H150" {} path.fine d=(specks(66, 88, 144, 126)) {}
        (measure([164, 46], [164, 76], "felt")) (words(34, 26, "green")) (words(34, 66, "felt")) (words(34, 108, "soil"))
        path.fine d="M50 62H60M50 104H60" {}
        (words(200, 104, "trouble above")) (words(200, 120, "13 mm (½ in)"))
    };
    Drawn { says: "A plug from the side: green, brown felt, soil; the felt is measured.", lines }
}

pub(super) fn moisture() -> Drawn {
    let lines = html! {
        path.dry d="M40 40H90V112H40z" {} path.wet d="M150 40H200V112H150z" {}
        path.ink d="M40 40H90V112H40zM150 40H200V112H150z" {}
        path.straw-line d=(blades(44, 88, 40, 20)) {} path.green d=(blades(154, 198, 40, 26)) {}
        path.fine d="M52 112l-8 14M66 112l2 16M80 112l10 12M48 60l30 18M60 88l20 -14" {}
        path.drop d="M175 60q-9 13 0 18q9 -5 0 -18z" {} path.drop d="M164 84q-7 10 0 14q7 -4 0 -14z" {} path.drop d="M186 86q-7 10 0 14q7 -4 0 -14z" {}
        (measure([104, 40], [104, 112], "10 cm")) (words(65, 138, "in the patch")) (words(175, 130, "beside it"))
    };
    Drawn {
        says: "Two plugs pressed in the hand: a dry crumbling one from the patch, a moist one from beside it.",
        lines,
    }
}

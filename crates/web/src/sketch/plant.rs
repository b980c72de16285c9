//! Drawings of the plant and the patch.

use maud::html;

use super::Drawn;
use super::pen::{arrow, blades, ground, hand, roots, specks, words};

pub(super) fn pattern() -> Drawn {
    let lines = html! {
        @for (x, y, r) in [(20, 28, 5), (36, 40, 6), (26, 52, 4), (44, 24, 5), (50, 54, 5)] { circle.straw cx=(x) cy=(y) r=(r) {} }
        (words(36, 82, "spots"))
        circle.straw cx="92" cy="32" r="18" {} circle.straw cx="112" cy="52" r="12" {}
        (words(98, 82, "patches"))
        circle.ring cx="158" cy="40" r="22" {} path.green d=(blades(148, 168, 50, 14)) {}
        (words(158, 82, "rings"))
        path.straw d="M196 22q18 -10 34 6q8 12 -4 18q2 14 -16 14q-20 2 -20 -14q-6 -14 6 -24z" {}
        (words(212, 82, "irregular"))
        path.track d="M18 112q30 -16 60 0M18 122q30 -16 60 0" {} (words(48, 138, "stripes"))
        path.ink d="M104 118q10 -16 22 -4q12 12 24 -4" {} path.fine d="M104 124q10 -16 22 -4q12 12 24 -4" {} (words(126, 138, "runs"))
        ellipse.hole cx="186" cy="114" rx="7" ry="4" {} ellipse.hole cx="212" cy="110" rx="8" ry="5" {} path.ink d="M218 104q10 -8 14 0" {}
        (words(204, 138, "holes"))
    };
    Drawn { says: "Shapes: spots, patches, rings, irregular, stripes, runs, holes.", lines }
}

pub(super) fn edge() -> Drawn {
    let lines = html! {
        (ground(6, 234, 100)) path.green d=(blades(10, 92, 100, 34)) {} path.green d=(blades(96, 116, 100, 48)) {}
        path.straw-line d=(blades(122, 230, 100, 22)) {}
        path.fine d="M94 30H120M94 26v8M120 26v8" {} (words(107, 20, "look here"))
        (words(50, 122, "sound")) (words(178, 122, "sick"))
    };
    Drawn { says: "The hand’s breadth between sound and sick grass, where the rim is.", lines }
}

pub(super) fn leaf() -> Drawn {
    let lines = html! {
        path.leaf d="M16 128C60 96 96 70 128 14c-8 46 -40 92 -92 122z" {}
        path.fine d="M26 132C70 104 104 70 124 24" {}
        circle.paper cx="112" cy="62" r="40" {}
        path.wash d="M76 92C100 74 118 52 126 24l20 18C132 64 112 84 92 98z" {}
        path.spot d="M96 76q10 -2 12 -12l18 6q-8 10 -14 20q-6 -8 -16 -14z" {}
        path.fine d="M84 94C108 76 126 56 136 32" {}
        circle.ink cx="112" cy="62" r="40" {} circle.fine cx="112" cy="62" r="36" {}
        path.thick d="M141 90L186 132" {}
        (words(196, 40, "×10"))
    };
    Drawn { says: "A leaf under a hand lens: a pale band with dark ends across the blade.", lines }
}

pub(super) fn threads() -> Drawn {
    let lines = html! {
        (ground(10, 230, 118)) path.green d=(blades(16, 224, 118, 62)) {}
        path.fine d="M60 66L178 62M66 80L172 88M80 60L150 100M150 58L84 98M112 54V104" {}
        path.fine d="M92 66q18 8 42 -2M82 76q32 16 66 -2M78 88q38 16 76 2" {}
        @for (x, y) in [(66, 66), (90, 70), (112, 76), (136, 66), (160, 64), (100, 90), (140, 90)] { circle.drop cx=(x) cy=(y) r="2.6" {} }
        circle.ink cx="206" cy="32" r="12" {} path.ink d="M206 12v-6M226 32h6M186 32h-6M220 18l5 -5M192 18l-5 -5" {} path.ink d="M180 46h52" {}
        (words(206, 60, "dawn"))
    };
    Drawn { says: "At dawn: threads hung with dew between the blades.", lines }
}

pub(super) fn tug() -> Drawn {
    let lines = html! {
        path.fine d=(specks(12, 108, 228, 134)) {}
        (ground(132, 234, 96)) path.green d=(blades(140, 230, 96, 32)) {} path.fine d=(roots(140, 228, 97, 34)) {}
        path.ink d="M8 96H40Q70 96 92 76T126 52" {} path.ink d="M8 102H42Q74 102 97 82T130 58l-4 -6" {}
        path.straw-line d=(blades(12, 44, 96, 20)) {} path.straw-line d="M58 92l-6 -18M70 86l-8 -18M82 77l-10 -16M94 70l-10 -16" {}
        path.straw-line d="M108 60l-2 -24M114 57l2 -24M120 55l6 -22" {}
        (hand(118, 34)) (arrow([96, 40], [92, 8]))
        (words(66, 128, "no roots")) (words(184, 138, "holds"))
    };
    Drawn { says: "A hand pulls at the edge: sick turf lifts like a carpet without roots, sound turf holds.", lines }
}

pub(super) fn crown() -> Drawn {
    let lines = html! {
        (ground(10, 88, 78)) (ground(152, 230, 78)) path.fine d=(specks(14, 90, 84, 132)) {} path.fine d=(specks(156, 90, 228, 132)) {}
        path.green d="M112 66C104 44 96 26 84 10M118 64C116 42 118 22 114 6M124 64C130 42 138 26 150 12M128 68C142 52 156 44 172 40" {}
        path.wash d="M106 78q-4 -16 14 -16t14 16q-2 14 -14 16q-12 -2 -14 -16z" {} path.ink d="M106 78q-4 -16 14 -16t14 16q-2 14 -14 16q-12 -2 -14 -16z" {}
        path.ink d="M120 62V94" {} path.fine d=(roots(108, 132, 92, 42)) {}
        path.thick d="M178 98L132 82" {} path.ink d="M178 98l8 -2M178 98l4 6" {}
        (words(66, 68, "crown")) path.fine d="M82 66L104 74" {} (words(200, 118, "a nail"))
    };
    Drawn { says: "A plant cut out and its crown, at the soil line, slit open with a nail.", lines }
}

pub(super) fn kind() -> Drawn {
    let lines = html! {
        (ground(10, 230, 116))
        path.leaf d="M52 116C48 82 40 50 22 20C52 42 66 78 64 116z" {} path.leaf d="M66 116C70 76 84 44 108 24C96 56 86 86 80 116z" {}
        path.fine d="M58 116C54 84 46 54 26 24M73 116C78 82 90 52 104 28" {}
        path.green d=(blades(160, 212, 116, 82)) {}
        path.fine d="M48 96h34M48 92v8M82 92v8" {} (words(66, 134, "broad, coarse")) (words(186, 134, "fine"))
    };
    Drawn { says: "Two grasses side by side, one with broad coarse leaves and one fine.", lines }
}

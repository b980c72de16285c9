//! Drawings of what is done with water.

use maud::html;

use super::Drawn;
use super::pen::{blades, ground, measure, specks, words};

pub(super) fn soap() -> Drawn {
    let lines = html! {
        path.wash d="M70 78H190L224 124H36z" {} path.ink d="M70 78H190L224 124H36z" {}
        path.green d=(blades(74, 186, 90, 14)) {} path.green d=(blades(56, 206, 114, 14)) {}
        path.paper d="M28 14h44l-5 40h-34z" {} path.ink d="M28 14h44l-5 40h-34zM28 14q22 -22 44 0M72 30l26 10l4 -6M67 44l30 0" {}
        path.drop-line d="M102 42v34M108 44v36M114 44v40M120 44v44M96 44v28" {}
        @for (x, y) in [(98, 92), (128, 100), (150, 94), (112, 112), (170, 110)] { circle.fine cx=(x) cy=(y) r="3" {} }
        path.grub d="M140 116q6 -8 12 0t12 0q-2 6 -8 5t-8 2t-8 -7z" {}
        circle.ink cx="200" cy="34" r="18" {} path.ink d="M200 34V20M200 34l10 6" {} (words(200, 68, "10 min"))
        (words(130, 138, "1 m² (a square yard)"))
    };
    Drawn { says: "Soapy water poured over a square metre; caterpillars come up within ten minutes.", lines }
}

pub(super) fn float() -> Drawn {
    let lines = html! {
        (ground(8, 78, 88)) (ground(162, 232, 88)) path.straw-line d=(blades(12, 74, 88, 24)) {} path.green d=(blades(166, 230, 88, 28)) {}
        path.fine d=(specks(12, 100, 228, 132)) {}
        path.wet d="M78 38H162V112H78z" {} path.ink d="M78 20V112M162 20V112" {} ellipse.ink cx="120" cy="20" rx="42" ry="8" {}
        path.ink d="M78 38q11 4 21 0t21 0t21 0t21 0" {}
        @for (x, y) in [(94, 34), (112, 36), (130, 33), (148, 36)] { g transform=(format!("translate({x} {y})")) { ellipse.bug cx="0" cy="0" rx="4" ry="2.4" {} path.fine d="M-4 0l-3 -3M-4 0l-3 3M4 0l3 -3M4 0l3 3" {} } }
        (measure([176, 88], [176, 112], "5 cm")) (words(40, 60, "yellow edge"))
    };
    Drawn { says: "An open can pushed into the soil and filled with water; small bugs float up.", lines }
}

pub(super) fn cans() -> Drawn {
    let lines = html! {
        (ground(8, 232, 120)) path.green d=(blades(30, 228, 120, 8)) {}
        path.paper d="M14 92h12v28h-12z" {} path.ink d="M14 92h12v28h-12zM16 86h8v6h-8z" {}
        path.drop-line d="M24 86Q60 40 92 96M24 86Q90 14 142 96M24 86Q120 -10 192 96" {}
        @for (x, level) in [(80, 104), (130, 114), (182, 102)] {
            path.wet d=(format!("M{x} {level}h24V120h-24z")) {} path.ink d=(format!("M{x} 94V120h24V94")) {}
        }
        (words(142, 138, "in the patch")) (words(92, 138, "beside")) (words(200, 138, "beside"))
        path.ink d="M142 84l-6 -8M142 84l6 -8M142 84v-22" {}
    };
    Drawn { says: "A sprinkler runs over a row of cans; the one in the patch catches least.", lines }
}

pub(super) fn strip() -> Drawn {
    let lines = html! {
        path.straw d="M20 84q0 -48 90 -50t104 48q-10 44 -104 44t-90 -42z" {}
        path.wash d="M112 34q92 2 102 48q-10 44 -102 44z" {} path.ink d="M112 24V136" {}
        path.green d=(blades(126, 204, 100, 22)) {} path.green d=(blades(120, 190, 70, 18)) {}
        path.straw-line d=(blades(36, 100, 100, 14)) {} path.straw-line d=(blades(44, 100, 70, 12)) {}
        path.drop d="M150 6q-7 10 0 14q7 -4 0 -14z" {} path.drop d="M170 8q-7 10 0 14q7 -4 0 -14z" {} path.drop d="M190 12q-7 10 0 14q7 -4 0 -14z" {}
        (words(66, 20, "left dry")) (words(216, 22, "25 mm"))
    };
    Drawn {
        says: "Half of the patch is watered and half left dry; green points show in the watered half after ten days.",
        lines,
    }
}

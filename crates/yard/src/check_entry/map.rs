//! What the map's entries must satisfy.

use reckon::outline::{CORNER_M, CORNERS_MAX, Corner, Outline};

use super::{Faults, TEXT_MAX};
use crate::fold::Yard;
use crate::map::{HeadFacts, Mapped, OutlineFacts, Shape, Thing, Underlay};
use crate::units::Quantity;

/// Most pieces one area may lie in.
pub const PIECES_MAX: usize = 50;
/// Smallest piece of ground that is drawn (m²).
const PIECE_LEAST_M2: f64 = 0.05;

pub(super) fn outline(f: &mut Faults, o: &OutlineFacts, yard: &Yard) {
    f.area(yard, "area", &o.area);
    if o.measured.chars().count() > TEXT_MAX {
        f.say("measured", format!("at most {TEXT_MAX} letters are kept"));
    }
    if o.pieces.len() > PIECES_MAX {
        f.say("corners", format!("{} pieces; an area lies in at most {PIECES_MAX}", o.pieces.len()));
        return;
    }
    for (i, piece) in o.pieces.iter().enumerate() {
        let which = if o.pieces.len() > 1 { format!("piece {}: ", i + 1) } else { String::new() };
        match piece.size() {
            Err(e) => f.say("corners", format!("{which}{e}")),
            Ok(size) if size.area.get() < PIECE_LEAST_M2 => {
                f.say("corners", format!("{which}encloses no ground"));
            }
            Ok(_) => {}
        }
    }
    for (i, a) in o.pieces.iter().enumerate() {
        for (j, b) in o.pieces.iter().enumerate().skip(i + 1) {
            let sound = a.size().is_ok() && b.size().is_ok();
            if sound
                && reckon::overlay::shared_area(std::slice::from_ref(a), std::slice::from_ref(b)).get() > PIECE_LEAST_M2
            {
                f.say("corners", format!("pieces {} and {} lie on each other", i + 1, j + 1));
            }
        }
    }
}

pub(super) fn mapped(f: &mut Faults, m: &Mapped, yard: &Yard) {
    f.key("key", &m.key);
    f.words("name", &m.name, 80);
    places(f, m);
    if let Some(zone) = m.thing.zone() {
        f.zone(yard, "zone", zone);
    }
    match &m.thing {
        Thing::Building { height_m } => f.measure("height", *height_m, 0.1, 100.0, Quantity::Length),
        Thing::Tree { height_m, crown_m, base_m, .. } => {
            f.measure("height", *height_m, 0.1, 100.0, Quantity::Length);
            f.measure("crown", *crown_m, 0.05, 30.0, Quantity::Length);
            f.measure("base", *base_m, 0.0, 60.0, Quantity::Length);
            if base_m > height_m {
                f.say("base", "the crown begins above the tree’s height");
            }
        }
        Thing::Head(h) => head(f, h),
        Thing::Pipe { bore_mm, .. } => f.measure_maybe("bore", *bore_mm, 3.0, 300.0, Quantity::Depth),
        Thing::Level { height_m } => f.measure("height", *height_m, -1000.0, 1000.0, Quantity::Length),
        Thing::WaterEdge
        | Thing::Well
        | Thing::BuriedLine { .. }
        | Thing::Valve { .. }
        | Thing::Controller
        | Thing::Play
        | Thing::Pets => {}
    }
}

fn head(f: &mut Faults, h: &HeadFacts) {
    f.measure("radius", h.radius_m, 0.3, 40.0, Quantity::Length);
    f.range("arc_from", h.arc_from_deg, -360.0, 360.0, "°");
    f.range("arc", h.arc_deg, 1.0, 360.0, "°");
    f.measure("flow", h.flow_lpm, 0.0, 200.0, Quantity::Flow);
    f.range("lean", h.lean_deg, 0.0, 30.0, "°");
    f.range("lean_to", h.lean_to_deg, -360.0, 360.0, "°");
    if h.nozzle.chars().count() > 80 {
        f.say("nozzle", "at most 80 letters are kept");
    }
}

fn places(f: &mut Faults, m: &Mapped) {
    for c in &m.at {
        let beyond = [c.x.get(), c.y.get()].into_iter().find(|v| CORNER_M.check(*v).is_err());
        if let Some(v) = beyond {
            f.measure("at", v, CORNER_M.min, CORNER_M.max, Quantity::Length);
            return;
        }
    }
    let count = m.at.len();
    let word = m.thing.word();
    match m.thing.shape() {
        Shape::Point if count != 1 => f.say("at", format!("a {word} has one place; {count} are told")),
        Shape::Line if !(2..=CORNERS_MAX).contains(&count) => {
            f.say("at", format!("a {word} is a line of 2 to {CORNERS_MAX} places; {count} are told"));
        }
        Shape::Line if !m.at.iter().all(bow_is_sound) => f.say("at", "the bow of a side is not a number Toft can take"),
        Shape::Ring => {
            let ground = Outline { ring: m.at.clone(), holes: Vec::new() };
            match ground.size() {
                Err(e) => f.say("at", e.to_string()),
                Ok(size) if size.area.get() < PIECE_LEAST_M2 => f.say("at", format!("the {word} encloses no ground")),
                Ok(_) => {}
            }
        }
        Shape::Point | Shape::Line => {}
    }
}

fn bow_is_sound(c: &Corner) -> bool {
    c.bow.get().is_finite() && c.bow.get().abs() <= CORNER_M.max
}

pub(super) fn underlay(f: &mut Faults, u: &Underlay) {
    f.words("name", &u.name, 80);
    let hash = u.picture.len() == 64 && u.picture.chars().all(|c| c.is_ascii_hexdigit());
    if !hash {
        f.say("picture", "the picture’s name is not one the ledger gives");
    }
    for (i, [px, py]) in u.pixels.iter().enumerate() {
        let inside = (0.0..=u.size_px[0]).contains(px) && (0.0..=u.size_px[1]).contains(py);
        if !inside {
            f.say("pixels", format!("point {} at {px}, {py} lies outside the picture", i + 1));
        }
    }
    for v in u.ground.iter().flatten() {
        f.measure("ground", *v, CORNER_M.min, CORNER_M.max, Quantity::Length);
    }
    let apart = |[a, b]: &[[f64; 2]; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    if apart(&u.pixels) < 10.0 {
        f.say("pixels", "the two points are less than ten pixels apart: take two far from each other");
    }
    if apart(&u.ground) < 0.5 {
        f.say("ground", "the two points are less than half a metre apart: take two far from each other");
    }
}

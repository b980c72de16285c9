//! What lay where: work is tracked on the ground itself, so that limits hold where the outlines of different years overlap.
//!
//! Work is told of an area, but it lies on the ground the area had on that day. An area without a drawing is ground of its own,
//! known by its key alone.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use jiff::civil::Date;
use reckon::outline::Outline;
use reckon::overlay;

use crate::fold::Yard;
use crate::map::DatedOutline;

/// Ground two outlines must share to meet (m²): less is one edge drawn twice.
pub const SHARED_LEAST_M2: f64 = 0.25;

/// The ground of an area on a day: one of its outlines, or only its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ground<'a> {
    /// An outline, by its place in [`Yard::outlines`].
    Drawn(usize),
    /// An area that was never drawn.
    Named(&'a str),
}

/// A part of an area's ground that has the same history throughout.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot<'a> {
    /// Share of the area, 0..=1; the plots of an area add to 1.
    pub share: f64,
    /// Every ground it lies in.
    pub lies_in: BTreeSet<Ground<'a>>,
}

impl Plot<'_> {
    /// Whether work on an area on a day lies on this plot.
    pub fn has(&self, yard: &Yard, area: &str, on: Date) -> bool {
        match yard.ground_on(area, on) {
            Ground::Drawn(i) => self.lies_in.contains(&Ground::Drawn(i)),
            Ground::Named(_) => self.lies_in.iter().any(|g| matches!(g, Ground::Named(key) if *key == area)),
        }
    }
}

/// What each two outlines of a yard share (m²), worked out when first asked for.
#[derive(Clone, Debug, Default)]
pub struct SharedGround(Vec<OnceLock<f64>>);

impl SharedGround {
    /// Room for so many outlines.
    pub(crate) fn of(outlines: usize) -> Self {
        Self(vec![OnceLock::new(); outlines * outlines])
    }
}

impl Yard {
    fn shared_m2(&self, i: usize, j: usize) -> f64 {
        let (low, high) = (i.min(j), i.max(j));
        let [a, b] = [low, high].map(|k| &self.outlines[k]);
        if low == high {
            return a.size_m2;
        }
        let work_out = || {
            let shared = overlay::shared_area(&a.fact.pieces, &b.fact.pieces).get();
            if shared < SHARED_LEAST_M2 { 0.0 } else { shared }
        };
        match self.shared_ground.0.get(low * self.outlines.len() + high) {
            Some(cell) => *cell.get_or_init(work_out),
            None => work_out(),
        }
    }

    /// The ground an area had on a day: the last outline up to then, else its first one.
    pub fn ground_on<'a>(&self, area: &'a str, on: Date) -> Ground<'a> {
        let versions = || self.outlines.iter().enumerate().filter(|(_, o)| o.fact.area == area);
        let drawn = versions().rev().find(|(_, o)| o.on <= on).or_else(|| versions().next());
        match drawn {
            Some((i, o)) if !o.fact.pieces.is_empty() => Ground::Drawn(i),
            _ => Ground::Named(area),
        }
    }

    /// The outline an area has now; `None` where it is not drawn.
    pub fn outline(&self, area: &str) -> Option<&DatedOutline> {
        self.outlines.iter().rev().find(|o| o.fact.area == area).filter(|o| !o.fact.pieces.is_empty())
    }

    /// The pieces an area has now; none where it is not drawn.
    pub fn pieces(&self, area: &str) -> &[Outline] {
        self.outline(area).map_or(&[], |o| &o.fact.pieces)
    }

    /// The ground of an area on a day, cut where other outlines, of any day, run through it.
    ///
    /// Slivers as edges drawn twice leave them are not plots of their own: see [`overlay::cells`].
    pub fn plots<'a>(&'a self, area: &'a str, on: Date) -> Vec<Plot<'a>> {
        let own = self.ground_on(area, on);
        let Ground::Drawn(own_index) = own else {
            // Without its drawing the area is known by its name alone, and so is what was put on it while it was drawn.
            let drawn = self.outlines.iter().enumerate().filter(|(_, o)| o.fact.area == area);
            let lies_in = drawn.map(|(i, _)| Ground::Drawn(i)).chain([own]).collect();
            return vec![Plot { share: 1.0, lies_in }];
        };
        let others: Vec<usize> =
            (0..self.outlines.len()).filter(|&i| i != own_index && self.shared_m2(i, own_index) > 0.0).collect();
        let pieces: Vec<&[Outline]> = others.iter().map(|&i| self.outlines[i].fact.pieces.as_slice()).collect();
        let cells = overlay::cells(&self.outlines[own_index].fact.pieces, &pieces);
        cells
            .into_iter()
            .map(|cell| {
                let mut lies_in: BTreeSet<Ground<'_>> =
                    cell.covered_by.iter().map(|&i| Ground::Drawn(others[i])).collect();
                lies_in.insert(own);
                // Work of a time when the drawing had been taken back lies on the area by its name.
                lies_in.insert(Ground::Named(area));
                Plot { share: cell.share.get(), lies_in }
            })
            .collect()
    }

    /// Share of an area's ground now that work on `other` on a day lies on, 0..=1.
    pub fn share_of(&self, area: &str, other: &str, on: Date) -> f64 {
        match (self.ground_on(area, Date::MAX), self.ground_on(other, on)) {
            (Ground::Drawn(a), Ground::Drawn(b)) if a != b => {
                (self.shared_m2(a, b) / self.outlines[a].size_m2).clamp(0.0, 1.0)
            }
            // The same drawing, or ground known by its name alone.
            _ => f64::from(area == other),
        }
    }

    /// Whether work on one area on a day and on another area on another day met on any ground.
    pub fn meet(&self, a: &str, a_on: Date, b: &str, b_on: Date) -> bool {
        match (self.ground_on(a, a_on), self.ground_on(b, b_on)) {
            (Ground::Drawn(i), Ground::Drawn(j)) => self.shared_m2(i, j) > 0.0,
            _ => a == b,
        }
    }
}

//! What lay where: work is tracked on the ground itself, so that limits hold where the outlines of different years overlap.
//!
//! Work is told of an area, but it lies on the ground the area had on that day. An area without a drawing is ground of its own,
//! known by its key alone.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Arc, OnceLock, RwLock};

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

/// A part of an outline: its share, and the other outlines that cover it.
type Cut = (f64, Vec<usize>);

/// Where each outline lies among those of its area, what each two share and how they cut each other; the latter two are worked out when
/// first asked for, and shared by clones.
#[derive(Clone, Debug, Default)]
pub struct GroundIndex {
    /// Places in [`Yard::outlines`] by area, oldest first.
    by_area: BTreeMap<String, Vec<usize>>,
    shared_m2: Arc<RwLock<HashMap<(usize, usize), f64>>>,
    /// Of each outline: shares of it and the other outlines that cover them.
    cells: Vec<OnceLock<Vec<Cut>>>,
    sizes: Vec<OnceLock<f64>>,
}

impl GroundIndex {
    /// The index of a yard's outlines, which are in the order of their days.
    pub(crate) fn of(outlines: &[DatedOutline]) -> Self {
        let mut by_area: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (i, outline) in outlines.iter().enumerate() {
            by_area.entry(outline.fact.area.clone()).or_default().push(i);
        }
        Self {
            by_area,
            shared_m2: Arc::default(),
            cells: vec![OnceLock::new(); outlines.len()],
            sizes: vec![OnceLock::new(); outlines.len()],
        }
    }

    fn versions(&self, area: &str) -> &[usize] {
        self.by_area.get(area).map_or(&[], Vec::as_slice)
    }
}

impl Yard {
    /// Size of an outline (m²), by its place in [`Yard::outlines`]; 0 where it is taken back.
    pub fn outline_size(&self, i: usize) -> f64 {
        let Some(outline) = self.outlines.get(i) else { return 0.0 };
        let work_out =
            || outline.fact.pieces.iter().filter_map(|p| p.size().ok()).map(|s| s.area.get()).fold(0.0, |a, b| a + b);
        self.ground_index.sizes.get(i).map_or_else(work_out, |cell| *cell.get_or_init(work_out))
    }

    fn shared_m2(&self, i: usize, j: usize) -> f64 {
        if i == j {
            return self.outline_size(i);
        }
        let pair = (i.min(j), i.max(j));
        let known = self.ground_index.shared_m2.read().ok().and_then(|m| m.get(&pair).copied());
        known.unwrap_or_else(|| {
            let [a, b] = [pair.0, pair.1].map(|k| &self.outlines[k].fact.pieces);
            let shared = overlay::shared_area(a, b).get();
            // A bed smaller than that still meets itself redrawn.
            let least = SHARED_LEAST_M2.min(0.5 * self.outline_size(i).min(self.outline_size(j)));
            let shared = if shared < least { 0.0 } else { shared };
            if let Ok(mut m) = self.ground_index.shared_m2.write() {
                m.insert(pair, shared);
            }
            shared
        })
    }

    /// The ground an area had on a day: the last outline up to then, else its first one.
    pub fn ground_on<'a>(&self, area: &'a str, on: Date) -> Ground<'a> {
        let versions = self.ground_index.versions(area);
        let later = versions.partition_point(|&i| self.outlines[i].on <= on);
        match later.checked_sub(1).map(|k| versions[k]).or(versions.first().copied()) {
            Some(i) if !self.outlines[i].fact.pieces.is_empty() => Ground::Drawn(i),
            _ => Ground::Named(area),
        }
    }

    /// The outline an area has now; `None` where it is not drawn.
    pub fn outline(&self, area: &str) -> Option<&DatedOutline> {
        let last = self.ground_index.versions(area).last().and_then(|&i| self.outlines.get(i));
        last.filter(|o| !o.fact.pieces.is_empty())
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
            let drawn = self.ground_index.versions(area).iter().map(|&i| Ground::Drawn(i));
            return vec![Plot { share: 1.0, lies_in: drawn.chain([own]).collect() }];
        };
        let cut = || {
            let others: Vec<usize> =
                (0..self.outlines.len()).filter(|&i| i != own_index && self.shared_m2(i, own_index) > 0.0).collect();
            let pieces: Vec<&[Outline]> = others.iter().map(|&i| self.outlines[i].fact.pieces.as_slice()).collect();
            let cells = overlay::cells(&self.outlines[own_index].fact.pieces, &pieces);
            let mut cut: Vec<Cut> = cells
                .into_iter()
                .map(|cell| (cell.share.get(), cell.covered_by.iter().map(|&i| others[i]).collect()))
                .collect();
            // An outline that encloses nothing is still ground that work was told of.
            if cut.is_empty() {
                cut.push((1.0, Vec::new()));
            }
            cut
        };
        let cells = match self.ground_index.cells.get(own_index) {
            Some(cell) => cell.get_or_init(cut).clone(),
            None => cut(),
        };
        cells
            .into_iter()
            .map(|(share, covered_by)| {
                let mut lies_in: BTreeSet<Ground<'_>> = covered_by.into_iter().map(Ground::Drawn).collect();
                lies_in.insert(own);
                // Work of a time when the drawing had been taken back lies on the area by its name.
                lies_in.insert(Ground::Named(area));
                Plot { share, lies_in }
            })
            .collect()
    }

    /// Share of an area's ground now that work on `other` on a day lies on, 0..=1.
    pub fn share_of(&self, area: &str, other: &str, on: Date) -> f64 {
        match (self.ground_on(area, Date::MAX), self.ground_on(other, on)) {
            (Ground::Drawn(a), Ground::Drawn(b)) if a != b => {
                let size = self.outline_size(a);
                if size > 0.0 { (self.shared_m2(a, b) / size).clamp(0.0, 1.0) } else { 0.0 }
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

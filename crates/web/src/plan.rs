//! The yard drawn as a survey sheet has it: one drawing in metres, shown on a page or set on paper to a true scale.
//!
//! Figures of the ground (outlines, crowns, pipes) are in metres, north up. Signs and letters are in units of the drawing: a
//! phone's pixel on a page, a point on paper. [`Drawing::unit`] is the length of one such unit on the ground.

mod ground;
mod labels;
mod letters;
mod look;
mod page;
mod paper;
mod paper_pdf;
mod paper_svg;
pub(crate) mod path;
mod scale;
mod sheet;
mod signs;
mod tables;
mod ties;
mod win_ansi;

use jiff::civil::Date;
use yard::map::{Buried, PipeRole};
use yard::{Units, Yard};

use look::{Hand, Look, Medium};
use path::{At, Path};
pub(crate) use sheet::Sheet;

/// Width of a page's drawing in its units: about a phone's page.
const PAGE_WIDTH: f64 = 360.0;
/// Most height of a page's drawing for its width.
const PAGE_HEIGHT_SHARE: f64 = 1.5;
/// Ground round what is drawn, as a share of the larger side.
const MARGIN_SHARE: f64 = 0.04;
/// The least side of a drawing (m): a single point has some ground round it.
const SIDE_MIN_M: f64 = 4.0;

/// What a drawing shows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Options<'a> {
    /// Names and sizes of areas.
    pub(crate) names: bool,
    /// Sprinkler heads, valves and the controller.
    pub(crate) heads: bool,
    /// The throw of every head.
    pub(crate) throws: bool,
    /// Sprinkler pipes.
    pub(crate) pipes: bool,
    /// Buried lines.
    pub(crate) buried: bool,
    /// Spot levels.
    pub(crate) levels: bool,
    /// Heads, valve and laterals of this zone alone, its areas before the others.
    pub(crate) only_zone: Option<&'a str>,
    /// The day the links to areas keep, where it is not today.
    pub(crate) on: Option<Date>,
}

impl Default for Options<'_> {
    fn default() -> Self {
        Self {
            names: true,
            heads: true,
            throws: true,
            pipes: true,
            buried: true,
            levels: true,
            only_zone: None,
            on: None,
        }
    }
}

/// A rectangle of ground: its south-west and north-east corners (m).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Extent {
    pub(crate) low: At,
    pub(crate) high: At,
}

impl Extent {
    fn of(places: impl IntoIterator<Item = At>) -> Option<Self> {
        let mut extent: Option<Self> = None;
        for [x, y] in places {
            if !(x.is_finite() && y.is_finite()) {
                continue;
            }
            let e = extent.get_or_insert(Self { low: [x, y], high: [x, y] });
            e.low = [e.low[0].min(x), e.low[1].min(y)];
            e.high = [e.high[0].max(x), e.high[1].max(y)];
        }
        extent
    }

    pub(crate) fn width(&self) -> f64 {
        self.high[0] - self.low[0]
    }

    pub(crate) fn height(&self) -> f64 {
        self.high[1] - self.low[1]
    }

    fn middle(&self) -> At {
        [(self.low[0] + self.high[0]) / 2.0, (self.low[1] + self.high[1]) / 2.0]
    }

    /// The same middle, at least so wide and so high.
    fn grown_to(&self, width: f64, height: f64) -> Self {
        let [x, y] = self.middle();
        let (w, h) = (self.width().max(width) / 2.0, self.height().max(height) / 2.0);
        Self { low: [x - w, y - h], high: [x + w, y + h] }
    }

    fn with_margin(&self) -> Self {
        let margin = MARGIN_SHARE * self.width().max(self.height());
        let grown = self.grown_to(self.width() + 2.0 * margin, self.height() + 2.0 * margin);
        grown.grown_to(SIDE_MIN_M, SIDE_MIN_M)
    }
}

/// An area's piece of ground.
#[derive(Clone, Debug)]
pub(crate) struct Ground {
    key: String,
    /// Name and size.
    words: String,
    fill: Look,
    edge: Look,
    path: Path,
}

/// A sign as large on the drawing whatever the scale: its figures lie round the place, y up.
#[derive(Clone, Debug)]
pub(crate) struct Sign {
    at: At,
    /// What it is, in words.
    words: String,
    parts: Vec<(Look, Path)>,
}

/// Which way letters run from their place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A line of letters.
#[derive(Clone, Debug)]
pub(crate) struct Letters {
    at: At,
    /// From the place to the foot of the letters, right and up.
    by: At,
    anchor: Anchor,
    hand: Hand,
    words: String,
}

/// A kind of mark a drawing has, for the legend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Used {
    Ground(Look),
    Building,
    Tree,
    WaterEdge,
    Well,
    Buried(Buried),
    Head,
    Valve,
    Controller,
    Pipe(PipeRole),
    Level,
    Play,
    Pets,
}

/// An area known on the drawing by its number alone.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Keyed {
    /// Number on the drawing.
    pub(crate) number: usize,
    /// Key of the area.
    pub(crate) area: String,
    /// Name.
    pub(crate) name: String,
    /// Size in the user's units.
    pub(crate) size: String,
}

/// A yard drawn.
#[derive(Clone, Debug)]
pub(crate) struct Drawing {
    pub(crate) extent: Extent,
    /// Ground under one unit of the drawing (m).
    pub(crate) unit: f64,
    medium: Medium,
    units: Units,
    on: Option<Date>,
    title: String,
    words: String,
    grounds: Vec<Ground>,
    /// Figures of the ground.
    figures: Vec<(Look, Path)>,
    signs: Vec<Sign>,
    letters: Vec<Letters>,
    key: Vec<Keyed>,
    used: Vec<Used>,
}

impl Drawing {
    /// The yard for a page, or the ground of the one zone asked for; `None` where nothing of it is drawn.
    pub(crate) fn of(yard: &Yard, options: &Options<'_>) -> Option<Self> {
        let zone = options.only_zone.and_then(|z| ground::zone_extent(yard, z));
        let extent = zone.or_else(|| ground::extent(yard))?;
        let extent = extent.grown_to(extent.height() / PAGE_HEIGHT_SHARE, 0.0);
        Some(ground::draw(yard, options, extent, extent.width() / PAGE_WIDTH, Medium::Page))
    }
}

/// The survey sheet of a yard on a day as an SVG file; `None` where nothing of the yard is drawn.
pub fn survey_sheet_svg(yard: &Yard, on: Date) -> Option<String> {
    Sheet::of(yard, on).map(|sheet| sheet.svg())
}

/// The survey sheet of a yard on a day as a PDF file; `None` where nothing of the yard is drawn.
pub fn survey_sheet_pdf(yard: &Yard, on: Date) -> Option<Vec<u8>> {
    Sheet::of(yard, on).map(|sheet| sheet.pdf())
}

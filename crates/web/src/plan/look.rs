//! How marks look: one table for the pages' classes and for ink on paper.

/// How a figure is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Look {
    Lawn,
    Bed,
    Hedge,
    Hard,
    /// Ground that the drawing is not about.
    Other,
    /// Edge of an area.
    Edge,
    House,
    Crown,
    Bank,
    Buried,
    Main,
    Lateral,
    Throw,
    Dotted,
    /// Lines of a sign.
    Fine,
    /// Frame of a sheet.
    Frame,
    /// A sign filled with ink.
    Solid,
    /// A sign filled with paper.
    Blank,
}

/// A line on paper: width and dashes in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pen {
    pub(crate) width: f64,
    pub(crate) dashes: &'static [f64],
}

/// What fills a figure on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Fill {
    Nothing,
    Colour(Colour),
    Tiled(Tile),
}

/// A colour of the printed sheet: red, green, blue.
pub(crate) type Colour = [u8; 3];

pub(crate) const INK: Colour = [0x1d, 0x1c, 0x18];
pub(crate) const SOFT: Colour = [0x5a, 0x57, 0x4c];
pub(crate) const PAPER: Colour = [0xff, 0xff, 0xff];
const WASH: Colour = [0xe9, 0xf0, 0xdc];
const GREY: Colour = [0xe4, 0xe2, 0xdc];

/// A tile repeated over the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tile {
    Stipple,
    Strokes,
    Hatch,
}

impl Tile {
    pub(crate) const ALL: [Self; 3] = [Self::Stipple, Self::Strokes, Self::Hatch];

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Stipple => "stipple",
            Self::Strokes => "strokes",
            Self::Hatch => "hatch",
        }
    }

    /// Side of the square it fills.
    pub(crate) const fn side(self) -> f64 {
        match self {
            Self::Stipple => 7.0,
            Self::Strokes => 8.0,
            Self::Hatch => 5.0,
        }
    }

    /// Width of its lines.
    pub(crate) const fn weight(self) -> f64 {
        match self {
            Self::Stipple => 0.0,
            Self::Strokes => 0.6,
            Self::Hatch => 0.35,
        }
    }

    /// Dots on it: place and radius.
    pub(crate) const fn dots(self) -> &'static [[f64; 3]] {
        match self {
            Self::Stipple => &[[1.4, 1.6, 0.55], [4.9, 3.2, 0.55], [2.6, 5.6, 0.55]],
            Self::Strokes | Self::Hatch => &[],
        }
    }

    /// Lines on it, from and to.
    pub(crate) const fn lines(self) -> &'static [[f64; 4]] {
        match self {
            Self::Stipple => &[],
            Self::Strokes => &[[1.5, 1.0, 1.5, 4.0], [3.2, 1.6, 3.2, 4.6], [5.6, 5.0, 5.6, 7.6], [7.2, 4.6, 7.2, 7.2]],
            // The corners are drawn too, so that the lines run on from tile to tile.
            Self::Hatch => &[[0.0, 0.0, 5.0, 5.0], [-1.0, 4.0, 1.0, 6.0], [4.0, -1.0, 6.0, 1.0]],
        }
    }
}

impl Look {
    /// The class it has on a page.
    pub(crate) const fn class(self) -> &'static str {
        match self {
            Self::Lawn => "lawn",
            Self::Bed => "bed",
            Self::Hedge => "hedge",
            Self::Hard => "hard",
            Self::Other => "other",
            Self::Edge => "edge",
            Self::House => "house",
            Self::Crown => "crown",
            Self::Bank => "bank",
            Self::Buried => "buried",
            Self::Main => "main",
            Self::Lateral => "lateral",
            Self::Throw => "throw",
            Self::Dotted => "dotted",
            Self::Fine => "fine",
            Self::Frame => "frame",
            Self::Solid => "solid",
            Self::Blank => "blank",
        }
    }

    /// Its tile, where it has one.
    pub(crate) const fn tile(self) -> Option<Tile> {
        match self {
            Self::Bed => Some(Tile::Stipple),
            Self::Hedge => Some(Tile::Strokes),
            Self::House => Some(Tile::Hatch),
            _ => None,
        }
    }

    /// Its line on paper.
    pub(crate) const fn pen(self) -> Option<Pen> {
        let (width, dashes): (f64, &[f64]) = match self {
            Self::Lawn | Self::Bed | Self::Hedge | Self::Hard | Self::Solid => return None,
            Self::Edge => (0.7, &[]),
            Self::Other => (0.4, &[3.0, 2.0]),
            Self::House => (1.1, &[]),
            Self::Crown => (0.5, &[]),
            Self::Bank => (0.9, &[]),
            Self::Buried => (0.8, &[6.0, 3.0]),
            Self::Main => (1.5, &[]),
            Self::Lateral => (0.6, &[]),
            Self::Throw => (0.3, &[]),
            Self::Dotted => (0.9, &[0.1, 2.4]),
            Self::Fine | Self::Blank => (0.6, &[]),
            Self::Frame => (1.2, &[]),
        };
        Some(Pen { width, dashes })
    }

    /// What fills it on paper.
    pub(crate) const fn fill(self) -> Fill {
        match self {
            Self::Lawn => Fill::Colour(WASH),
            Self::Hard => Fill::Colour(GREY),
            Self::Solid => Fill::Colour(INK),
            Self::Blank => Fill::Colour(PAPER),
            _ => match self.tile() {
                Some(tile) => Fill::Tiled(tile),
                None => Fill::Nothing,
            },
        }
    }

    /// The colour of its line on paper.
    pub(crate) const fn colour(self) -> Colour {
        match self {
            Self::Throw | Self::Other => SOFT,
            _ => INK,
        }
    }
}

/// How letters are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Hand {
    Name,
    Figure,
    Note,
    Tiny,
}

impl Hand {
    /// The class it has on a page.
    pub(crate) const fn class(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Figure => "figure-of",
            Self::Note => "note",
            Self::Tiny => "tiny",
        }
    }

    /// Size on a page (a phone's pixels) and on paper (points).
    pub(crate) const fn size(self, medium: Medium) -> f64 {
        match (self, medium) {
            (Self::Name, Medium::Page) => 12.0,
            (Self::Figure, Medium::Page) => 11.5,
            (Self::Note, Medium::Page) => 11.0,
            (Self::Tiny, Medium::Page) => 9.5,
            (Self::Name, Medium::Paper) => 7.5,
            (Self::Figure | Self::Note, Medium::Paper) => 7.0,
            (Self::Tiny, Medium::Paper) => 5.5,
        }
    }
}

/// What is drawn on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Medium {
    Page,
    Paper,
}

//! Ink on paper: marks in points from a sheet's lower left corner, whatever file they are written to.

use super::letters::Weight;
use super::look::{Colour, Hand, INK, Look, SOFT};
use super::path::{At, Path};
use super::{Anchor, Drawing};

/// A mark.
#[derive(Clone, Debug)]
pub(crate) enum Ink {
    Figure(Look, Path),
    Words(Words),
    /// Marks within a rectangle, by two opposite corners; what reaches over it is cut off.
    Within(At, At, Vec<Ink>),
}

/// A line of letters.
#[derive(Clone, Debug)]
pub(crate) struct Words {
    /// The foot of the letters.
    pub(crate) at: At,
    pub(crate) anchor: Anchor,
    pub(crate) size: f64,
    pub(crate) weight: Weight,
    pub(crate) colour: Colour,
    /// A rim of paper round the letters keeps lines off them.
    pub(crate) rim: bool,
    pub(crate) words: String,
}

/// A page of a sheet, in points.
#[derive(Clone, Debug)]
pub(crate) struct Page {
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) inks: Vec<Ink>,
}

impl Ink {
    /// Plain letters.
    pub(crate) fn words(at: At, anchor: Anchor, size: f64, words: impl Into<String>) -> Self {
        let (weight, colour) = (Weight::Plain, INK);
        Self::Words(Words { at, anchor, size, weight, colour, rim: false, words: words.into() })
    }

    /// The same letters, heavier.
    pub(crate) fn bold(self) -> Self {
        match self {
            Self::Words(words) => Self::Words(Words { weight: Weight::Bold, ..words }),
            other => other,
        }
    }

    /// The same letters, softer.
    pub(crate) fn soft(self) -> Self {
        match self {
            Self::Words(words) => Self::Words(Words { colour: SOFT, ..words }),
            other => other,
        }
    }

    /// The same mark elsewhere.
    pub(crate) fn moved(self, [dx, dy]: At) -> Self {
        let to = |[x, y]: At| [x + dx, y + dy];
        match self {
            Self::Figure(look, path) => Self::Figure(look, path.mapped(to, 1.0, false)),
            Self::Words(words) => Self::Words(Words { at: to(words.at), ..words }),
            Self::Within(low, high, inks) => {
                Self::Within(to(low), to(high), inks.into_iter().map(|ink| ink.moved([dx, dy])).collect())
            }
        }
    }
}

impl Drawing {
    /// The drawing as ink, its south-west corner at a place on the paper.
    pub(crate) fn inks(&self, place: At) -> Vec<Ink> {
        let ([west, south], unit) = (self.extent.low, self.unit);
        let to = |[x, y]: At| [place[0] + (x - west) / unit, place[1] + (y - south) / unit];
        let figure = |look, path: &Path| Ink::Figure(look, path.mapped(to, 1.0 / unit, false));
        let mut inks: Vec<Ink> = self.grounds.iter().map(|g| figure(g.fill, &g.path)).collect();
        inks.extend(self.grounds.iter().map(|g| figure(g.edge, &g.path)));
        inks.extend(self.figures.iter().map(|(look, path)| figure(*look, path)));
        for sign in &self.signs {
            let at = to(sign.at);
            inks.extend(sign.parts.iter().map(|(look, path)| Ink::Figure(*look, path.clone()).moved(at)));
        }
        for letters in &self.letters {
            let [x, y] = to(letters.at);
            inks.push(Ink::Words(Words {
                at: [x + letters.by[0], y + letters.by[1]],
                anchor: letters.anchor,
                size: letters.hand.size(self.medium),
                weight: if letters.hand == Hand::Name { Weight::Bold } else { Weight::Plain },
                colour: INK,
                rim: true,
                words: letters.words.clone(),
            }));
        }
        inks
    }
}

//! Two triangulations laid over each other, piece by piece.

/// Most pieces one overlay may look at.
pub(super) const CLIPS_MAX: usize = 20_000_000;

/// A corner of a triangle or of a piece of one, with a height or a difference of heights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Corner {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) z: f64,
}

impl Corner {
    /// The place a part of the way to another corner.
    fn towards(self, other: Self, part: f64) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * part;
        Self { x: mix(self.x, other.x), y: mix(self.y, other.y), z: mix(self.z, other.z) }
    }
}

/// What the overlay adds up to.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Volumes {
    pub(super) cut: f64,
    pub(super) fill: f64,
    /// Area that both surfaces cover.
    pub(super) area: f64,
    /// Area that the first surface covers.
    pub(super) existing: f64,
}

/// Volumes between two surfaces, within the signed triangles of a ring where one is given; `None` when there are too many
/// pieces.
pub(super) fn volumes(
    existing: &[[Corner; 3]],
    proposed: &[[Corner; 3]],
    fan: Option<&[[Corner; 3]]>,
) -> Option<Volumes> {
    let strips = Strips::new(proposed);
    let fan = fan.map(|fan| (fan, Strips::new(fan)));
    let mut sum = Volumes::default();
    let mut clips = 0;
    let mut piece = Vec::with_capacity(16);
    let mut spare = Vec::with_capacity(16);
    for triangle in existing {
        match &fan {
            None => add(&mut sum, triangle, 1.0, proposed, &strips, &mut clips)?,
            Some((fan, over)) => {
                for part in over.near(triangle) {
                    clips += 1;
                    clip(triangle, &fan[part], &mut piece, &mut spare);
                    let sign = signed_area(&fan[part]).signum();
                    add(&mut sum, &piece, sign, proposed, &strips, &mut clips)?;
                }
            }
        }
    }
    Some(sum)
}

/// Adds one piece of the existing surface, laid over every triangle of the proposed one.
fn add(
    sum: &mut Volumes,
    piece: &[Corner],
    sign: f64,
    proposed: &[[Corner; 3]],
    strips: &Strips,
    clips: &mut usize,
) -> Option<()> {
    if piece.len() < 3 {
        return Some(());
    }
    sum.existing += sign * area(piece);
    let mut common = Vec::with_capacity(16);
    let mut spare = Vec::with_capacity(16);
    for i in strips.near(piece) {
        *clips += 1;
        if *clips > CLIPS_MAX {
            return None;
        }
        let triangle = &proposed[i];
        clip(piece, triangle, &mut common, &mut spare);
        if common.len() < 3 {
            continue;
        }
        for corner in &mut common {
            corner.z = height(triangle, corner) - corner.z;
        }
        sum.area += sign * area(&common);
        cut_along_zero(&common, 1.0, &mut spare);
        sum.fill += sign * volume(&spare);
        cut_along_zero(&common, -1.0, &mut spare);
        sum.cut -= sign * volume(&spare);
    }
    Some(())
}

/// The plane's height over a place in the triangle; the weights are kept within the triangle for the last digit's sake.
fn height(triangle: &[Corner; 3], at: &Corner) -> f64 {
    let [a, b, c] = triangle;
    let weights = [[b, c], [c, a], [a, b]].map(|[p, q]| cross(p, q, at).max(0.0));
    let whole: f64 = weights.iter().sum();
    if whole > 0.0 { (weights[0] * a.z + weights[1] * b.z + weights[2] * c.z) / whole } else { (a.z + b.z + c.z) / 3.0 }
}

/// Twice the area of a triangle, above zero when it runs against the clock.
fn cross(a: &Corner, b: &Corner, c: &Corner) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Area of a convex piece, above zero when it runs against the clock.
pub(super) fn signed_area(piece: &[Corner]) -> f64 {
    (2..piece.len()).map(|i| cross(&piece[0], &piece[i - 1], &piece[i])).sum::<f64>() / 2.0
}

/// Area of a convex piece.
pub(super) fn area(piece: &[Corner]) -> f64 {
    signed_area(piece).abs()
}

/// Integral of `z` over a convex piece.
fn volume(piece: &[Corner]) -> f64 {
    (2..piece.len())
        .map(|i| {
            let (a, b, c) = (&piece[0], &piece[i - 1], &piece[i]);
            cross(a, b, c) * (a.z + b.z + c.z)
        })
        .sum::<f64>()
        / 6.0
}

/// The part of a convex piece inside a triangle, whichever way the triangle runs.
fn clip(piece: &[Corner], triangle: &[Corner; 3], out: &mut Vec<Corner>, spare: &mut Vec<Corner>) {
    out.clear();
    let whole = signed_area(triangle);
    if whole == 0.0 {
        return;
    }
    out.extend_from_slice(piece);
    for i in 0..3 {
        let (a, b) = (&triangle[i], &triangle[(i + 1) % 3]);
        keep(out, |p| cross(a, b, p) * whole.signum(), spare);
        std::mem::swap(out, spare);
    }
}

/// The part of a convex piece where `z` has the sign.
fn cut_along_zero(piece: &[Corner], sign: f64, out: &mut Vec<Corner>) {
    keep(piece, |p| sign * p.z, out);
}

/// The part of a convex piece where a figure that is straight over it is not below zero.
fn keep(piece: &[Corner], figure: impl Fn(&Corner) -> f64, out: &mut Vec<Corner>) {
    out.clear();
    let Some(last) = piece.last() else { return };
    let (mut from, mut was) = (last, figure(last));
    for to in piece {
        let is = figure(to);
        if (was < 0.0 && is > 0.0) || (was > 0.0 && is < 0.0) {
            out.push(from.towards(*to, was / (was - is)));
        }
        if is >= 0.0 {
            out.push(*to);
        }
        (from, was) = (to, is);
    }
    if out.len() < 3 {
        out.clear();
    }
}

/// Triangles sorted into strips from south to north, so that a piece looks only at those near it.
struct Strips {
    south: f64,
    height: f64,
    strips: Vec<Vec<usize>>,
    boxes: Vec<[f64; 4]>,
}

impl Strips {
    fn new(triangles: &[[Corner; 3]]) -> Self {
        let boxes: Vec<[f64; 4]> = triangles.iter().map(|t| bounds(t)).collect();
        let south = boxes.iter().fold(f64::INFINITY, |s, b| s.min(b[1]));
        let north = boxes.iter().fold(f64::NEG_INFINITY, |n, b| n.max(b[3]));
        let count = (boxes.len() as f64).sqrt().ceil().max(1.0);
        let mut strips =
            Self { south, height: (north - south) / count, strips: vec![Vec::new(); count as usize], boxes };
        for i in 0..triangles.len() {
            for strip in strips.range(&strips.boxes[i]) {
                strips.strips[strip].push(i);
            }
        }
        strips
    }

    fn range(&self, [_, south, _, north]: &[f64; 4]) -> std::ops::RangeInclusive<usize> {
        let last = self.strips.len() - 1;
        let place = |y: f64| if self.height > 0.0 { (((y - self.south) / self.height) as usize).min(last) } else { 0 };
        place(*south)..=place(*north)
    }

    /// The triangles whose box meets the piece's, each once.
    fn near(&self, piece: &[Corner]) -> impl Iterator<Item = usize> + '_ {
        let of = bounds(piece);
        let range = self.range(&of);
        let first = *range.start();
        range.flat_map(move |strip| {
            self.strips[strip].iter().copied().filter(move |&i| {
                let b = &self.boxes[i];
                // A triangle of several strips is told in the first that it shares with the piece.
                (*self.range(b).start()).max(first) == strip
                    && b[0] <= of[2]
                    && of[0] <= b[2]
                    && b[1] <= of[3]
                    && of[1] <= b[3]
            })
        })
    }
}

/// West, south, east and north of a piece.
fn bounds(piece: &[Corner]) -> [f64; 4] {
    let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    piece.iter().fold(start, |[w, s, e, n], c| [w.min(c.x), s.min(c.y), e.max(c.x), n.max(c.y)])
}

//! Lines of a drawing: straight steps and true arcs, in metres with y to the north or in points.

use reckon::outline::Corner;

/// A place: east and north (m), or right and up (points).
pub(crate) type At = [f64; 2];

/// A bow below this is straight (m).
const BOW_MIN: f64 = 1e-9;

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Step {
    /// Lift the pen and begin here.
    Start(At),
    /// Straight to here.
    Line(At),
    /// Along a circle to here.
    Arc {
        to: At,
        radius: f64,
        /// The longer way round.
        large: bool,
        /// Turning left, anticlockwise where y points up.
        left: bool,
    },
    /// Back to where it began.
    Close,
}

/// Steps of a pen.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Path(pub(crate) Vec<Step>);

fn side(from: Corner, to: At) -> Option<Step> {
    let [x, y] = from.at();
    let chord = (to[0] - x).hypot(to[1] - y);
    let bow = from.bow.get().clamp(-chord / 2.0, chord / 2.0);
    if chord == 0.0 {
        None
    } else if bow.abs() < BOW_MIN {
        Some(Step::Line(to))
    } else {
        let radius = (chord * chord / 4.0 + bow * bow) / (2.0 * bow.abs());
        Some(Step::Arc { to, radius, large: false, left: bow > 0.0 })
    }
}

impl Path {
    /// An open line of corners; the bow of the last does not count.
    pub(crate) fn line(corners: &[Corner]) -> Self {
        let mut steps: Vec<Step> = corners.first().map(|c| Step::Start(c.at())).into_iter().collect();
        steps.extend(corners.windows(2).filter_map(|pair| side(pair[0], pair[1].at())));
        Self(steps)
    }

    /// A closed ring of corners.
    pub(crate) fn ring(corners: &[Corner]) -> Self {
        let mut path = Self::line(corners);
        if let (Some(first), Some(last)) = (corners.first(), corners.last()) {
            // A straight last side is what closing draws.
            path.0.extend(side(*last, first.at()).filter(|s| matches!(s, Step::Arc { .. })));
            path.0.push(Step::Close);
        }
        path
    }

    /// A line through places.
    pub(crate) fn through(places: &[At]) -> Self {
        let step = |(i, at): (usize, &At)| if i == 0 { Step::Start(*at) } else { Step::Line(*at) };
        Self(places.iter().enumerate().map(step).collect())
    }

    /// A ring through places.
    pub(crate) fn polygon(places: &[At]) -> Self {
        let mut path = Self::through(places);
        path.0.push(Step::Close);
        path
    }

    /// A rectangle by two opposite corners.
    pub(crate) fn rect([x, y]: At, [u, v]: At) -> Self {
        Self::polygon(&[[x, y], [u, y], [u, v], [x, v]])
    }

    /// A circle.
    pub(crate) fn circle([x, y]: At, radius: f64) -> Self {
        let (west, east) = ([x - radius, y], [x + radius, y]);
        let half = |to| Step::Arc { to, radius, large: false, left: true };
        Self(vec![Step::Start(west), half(east), half(west), Step::Close])
    }

    /// A slice of a circle from a bearing on, clockwise (degrees).
    pub(crate) fn wedge(at: At, radius: f64, from_deg: f64, arc_deg: f64) -> Self {
        if arc_deg >= 359.999 {
            return Self::circle(at, radius);
        }
        let rim = |deg: f64| {
            let (s, c) = deg.to_radians().sin_cos();
            [at[0] + radius * s, at[1] + radius * c]
        };
        let arc = Step::Arc { to: rim(from_deg + arc_deg), radius, large: arc_deg > 180.0, left: false };
        Self(vec![Step::Start(at), Step::Line(rim(from_deg)), arc, Step::Close])
    }

    /// Both paths by one pen.
    pub(crate) fn and(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }

    /// Every place moved, lengths scaled and, where `turned_over`, y running the other way.
    pub(crate) fn mapped(&self, to: impl Fn(At) -> At, scale: f64, turned_over: bool) -> Self {
        Self(
            self.0
                .iter()
                .map(|step| match *step {
                    Step::Start(at) => Step::Start(to(at)),
                    Step::Line(at) => Step::Line(to(at)),
                    Step::Arc { to: end, radius, large, left } => {
                        Step::Arc { to: to(end), radius: radius * scale, large, left: left != turned_over }
                    }
                    Step::Close => Step::Close,
                })
                .collect(),
        )
    }

    /// Data of an SVG path, with so many decimals.
    pub(crate) fn data(&self, decimals: usize) -> String {
        let n = |v: f64| tidy(v, decimals);
        let mut out = String::new();
        for step in &self.0 {
            match *step {
                Step::Start([x, y]) => out.push_str(&format!("M{} {}", n(x), n(y))),
                Step::Line([x, y]) => out.push_str(&format!("L{} {}", n(x), n(y))),
                Step::Arc { to: [x, y], radius, large, left } => out.push_str(&format!(
                    "A{r} {r} 0 {} {} {} {}",
                    u8::from(large),
                    u8::from(left),
                    n(x),
                    n(y),
                    r = n(radius)
                )),
                Step::Close => out.push('Z'),
            }
        }
        out
    }

    /// The places along it, arcs at every ten degrees or closer.
    pub(crate) fn places(&self) -> Vec<At> {
        let mut places: Vec<At> = Vec::with_capacity(self.0.len());
        let mut first = None;
        for step in &self.0 {
            match *step {
                Step::Start(at) => {
                    first = Some(at);
                    places.push(at);
                }
                Step::Line(at) => places.push(at),
                Step::Arc { to, radius, large, left } => {
                    let from = places.last().copied().unwrap_or(to);
                    let arc = Arc::between(from, to, radius, large, left);
                    let parts = (arc.turn.abs() / 0.175).ceil().max(1.0) as usize;
                    places.extend((1..parts).map(|i| arc.at(i as f64 / parts as f64)));
                    places.push(to);
                }
                Step::Close => places.extend(first),
            }
        }
        places
    }
}

/// A number with so many decimals at most, and no sign before nothing.
pub(crate) fn tidy(v: f64, decimals: usize) -> String {
    let text = format!("{v:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// An arc by its centre.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Arc {
    centre: At,
    radius: f64,
    /// Direction from the centre where it begins (radians from the x axis towards y).
    start: f64,
    /// How far it turns, towards y positive (radians).
    pub(crate) turn: f64,
}

impl Arc {
    /// The arc a step draws. A radius too small for the chord grows to half of it, as SVG has it.
    pub(crate) fn between(from: At, to: At, radius: f64, large: bool, left: bool) -> Self {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let half = dx.hypot(dy) / 2.0;
        let radius = radius.max(half);
        let off = (radius * radius - half * half).max(0.0).sqrt();
        // The centre of a short left turn lies to the left of the way.
        let lean = if left != large { off } else { -off };
        let (ux, uy) = if half > 0.0 { (dx / (2.0 * half), dy / (2.0 * half)) } else { (1.0, 0.0) };
        let centre = [(from[0] + to[0]) / 2.0 - uy * lean, (from[1] + to[1]) / 2.0 + ux * lean];
        let angle = |p: At| (p[1] - centre[1]).atan2(p[0] - centre[0]);
        let start = angle(from);
        let full = std::f64::consts::TAU;
        let mut turn = (angle(to) - start).rem_euclid(full);
        if !left {
            turn -= full;
        }
        Self { centre, radius, start, turn }
    }

    /// The place at a share of the way, 0..=1.
    pub(crate) fn at(&self, share: f64) -> At {
        let (s, c) = (self.start + self.turn * share).sin_cos();
        [self.centre[0] + self.radius * c, self.centre[1] + self.radius * s]
    }

    /// Cubic curves along it: two handles and an end each, a quarter turn at most, true to 0.03 % of the radius.
    pub(crate) fn curves(&self) -> Vec<[At; 3]> {
        let parts = (self.turn.abs() / std::f64::consts::FRAC_PI_2 - 1e-9).ceil().max(1.0);
        let step = self.turn / parts;
        let reach = 4.0 / 3.0 * (step / 4.0).tan() * self.radius;
        (0..parts as usize)
            .map(|i| {
                let (from, to) = (i as f64 / parts, (i as f64 + 1.0) / parts);
                let (a, b) = (self.at(from), self.at(to));
                let (s0, c0) = (self.start + self.turn * from).sin_cos();
                let (s1, c1) = (self.start + self.turn * to).sin_cos();
                [[a[0] - reach * s0, a[1] + reach * c0], [b[0] + reach * s1, b[1] - reach * c1], b]
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bow to the right of the way is where the arc passes: heading east with a bow of 1 m, 1 m south of the chord.
    #[test]
    fn a_bow_lies_to_the_right() {
        let path = Path::line(&[Corner::new(0.0, 0.0).bowed(1.0), Corner::new(4.0, 0.0)]);
        let Step::Arc { to, radius, large, left } = path.0[1] else { panic!("{path:?}") };
        // R = (c²/4 + h²) / (2 h) = (4 + 1) / 2.
        assert_eq!((to, radius, large, left), ([4.0, 0.0], 2.5, false, true));
        let [x, y] = Arc::between([0.0, 0.0], to, radius, large, left).at(0.5);
        assert!((x - 2.0).abs() < 1e-12 && (y + 1.0).abs() < 1e-12, "{x} {y}");
        assert_eq!(path.data(3), "M0 0A2.5 2.5 0 0 1 4 0");
    }

    /// Curves that stand for arcs keep to the circle within the known error of a quarter turn, 0.027 %.
    #[test]
    fn curves_keep_to_the_circle() {
        let wedge = Path::wedge([3.0, 1.0], 10.0, 30.0, 270.0);
        let (Step::Line(from), Step::Arc { to, radius, large, left }) = (wedge.0[1], wedge.0[2]) else {
            panic!("{wedge:?}")
        };
        let arc = Arc::between(from, to, radius, large, left);
        assert!((arc.turn.to_degrees() + 270.0).abs() < 1e-9, "{}", arc.turn.to_degrees());
        let mut at = from;
        for [p, q, end] in arc.curves() {
            for i in 0..=20 {
                let t = f64::from(i) / 20.0;
                let cubic = |k: usize| {
                    let (s, u) = (1.0 - t, t);
                    s * s * s * at[k] + 3.0 * s * s * u * p[k] + 3.0 * s * u * u * q[k] + u * u * u * end[k]
                };
                let far = (cubic(0) - 3.0).hypot(cubic(1) - 1.0);
                assert!((far - 10.0).abs() < 0.0028, "{far}");
            }
            at = end;
        }
        assert!((at[0] - to[0]).abs() < 1e-9 && (at[1] - to[1]).abs() < 1e-9);
    }
}

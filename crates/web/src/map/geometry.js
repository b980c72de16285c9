// Geometry: sides, arcs, rings.

const bowOf = (/** @type {Corner} */ c) => c[2] ?? 0;
const apart = (/** @type {Corner} */ a, /** @type {Corner} */ b) => Math.hypot(b[0] - a[0], b[1] - a[1]);
const corner = (/** @type {number} */ x, /** @type {number} */ y, bow = 0) => (bow === 0 ? [tidy(x), tidy(y)] : [tidy(x), tidy(y), tidy(bow)]);
const bearing = (/** @type {Corner} */ a, /** @type {Corner} */ b) => (Math.atan2(b[0] - a[0], b[1] - a[1]) * 180 / Math.PI + 360) % 360;

/** Length of the side from a to b. @param {Corner} a @param {Corner} b */
function sideLength(a, b) {
  const chord = apart(a, b);
  const t = chord > 0 ? 2 * Math.abs(bowOf(a)) / chord : 0;
  return t < 1e-9 ? chord : chord * (1 + t * t) * Math.atan(t) / t;
}

/** Area between the arc of a side and its chord, positive to the right. @param {Corner} a @param {Corner} b */
function segmentArea(a, b) {
  const chord = apart(a, b);
  const t = chord > 0 ? 2 * Math.abs(bowOf(a)) / chord : 0;
  if (t < 1e-9) return 0;
  const t2 = t * t;
  const share = t < 0.02
    ? t * (1 / 3 + t2 * (1 / 15 + t2 * (-1 / 105 + t2 / 315)))
    : ((1 + t2) ** 2 * Math.atan(t) - t + t * t2) / (8 * t2);
  return chord * chord * share * Math.sign(bowOf(a));
}

/** @param {Corner[]} ring */
function ringArea(ring) {
  let twice = 0;
  let segments = 0;
  const [x0, y0] = ring[0] ?? [0, 0];
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length];
    twice += (a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0);
    segments += segmentArea(a, b);
  });
  return Math.abs(twice / 2 + segments);
}

/** @param {Corner[]} pts @param {boolean} closed */
function pathLength(pts, closed) {
  let sum = 0;
  for (let i = 0; i < pts.length - (closed ? 0 : 1); i += 1) sum += sideLength(pts[i], pts[(i + 1) % pts.length]);
  return sum;
}

/** Middle of a side, on its arc. @param {Corner} a @param {Corner} b */
function sideMiddle(a, b) {
  const chord = apart(a, b) || 1;
  const bow = bowOf(a);
  return [(a[0] + b[0]) / 2 + bow * (b[1] - a[1]) / chord, (a[1] + b[1]) / 2 - bow * (b[0] - a[0]) / chord];
}

/** The bow that fits its side: at most a half circle. @param {number} bow @param {number} chord */
const fitBow = (bow, chord) => Math.max(-chord / 2, Math.min(chord / 2, bow));

/** @param {Corner} c @param {Corner} next */
function withFittingBow(c, next) {
  const bow = bowOf(c);
  if (bow === 0) return c;
  const half = Math.floor(apart(c, next) / 2 * 1e4) / 1e4;
  return Math.abs(bow) <= half ? c : corner(c[0], c[1], Math.sign(bow) * half);
}

/** @param {Corner[]} pts @param {boolean} closed */
function pathData(pts, closed) {
  let d = "";
  pts.forEach((c, i) => {
    d += `${i === 0 ? "M" : "L"}${c[0]} ${c[1]}`;
    const next = pts[(i + 1) % pts.length];
    const bow = bowOf(c);
    if (bow !== 0 && (closed || i + 1 < pts.length)) {
      const chord = apart(c, next);
      const t = 2 * Math.abs(bow) / chord;
      const radius = chord * (1 + t * t) / (4 * t);
      d += `A${radius} ${radius} 0 0 ${bow > 0 ? 1 : 0} ${next[0]} ${next[1]}`;
    }
  });
  return d + (closed ? "Z" : "");
}

/** With arcs as a few chords: for pointing at and for labels. @param {Corner[]} pts @param {boolean} closed */
function flat(pts, closed) {
  /** @type {Corner[]} */
  const out = [];
  pts.forEach((a, i) => {
    out.push(a);
    const b = pts[(i + 1) % pts.length];
    const bow = bowOf(a);
    if (bow === 0 || (!closed && i + 1 === pts.length)) return;
    const chord = apart(a, b);
    const angle = 4 * Math.atan(2 * Math.abs(bow) / chord);
    const radius = chord / (2 * Math.sin(angle / 2));
    const [ux, uy] = [(b[0] - a[0]) / chord, (b[1] - a[1]) / chord];
    for (let k = 1; k < 12; k += 1) {
      const turn = angle * (k / 12 - 0.5);
      const forth = radius * Math.sin(turn);
      const out2 = Math.sign(bow) * (Math.abs(bow) - radius * (1 - Math.cos(turn)));
      out.push([(a[0] + b[0]) / 2 + forth * ux + out2 * uy, (a[1] + b[1]) / 2 + forth * uy - out2 * ux]);
    }
  });
  return out;
}

/** Where a level line enters and leaves the rings. @param {Corner[][]} rings @param {number} y */
function crossings(rings, y) {
  const xs = [];
  for (const ring of rings) {
    ring.forEach((a, i) => {
      const b = ring[(i + 1) % ring.length];
      if ((a[1] > y) !== (b[1] > y)) xs.push(a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]));
    });
  }
  return xs.sort((a, b) => a - b);
}

/** @param {Corner[][]} rings @param {number} x @param {number} y */
const inside = (rings, x, y) => crossings(rings, y).filter((cut) => cut < x).length % 2 === 1;

/** The nearest point of a straight side. @param {Corner} a @param {Corner} b @param {number} x @param {number} y */
function nearestOn(a, b, x, y) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const along = Math.max(0, Math.min(1, ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy || 1)));
  return [a[0] + along * dx, a[1] + along * dy];
}

/** A place inside for a label, and how wide the ground is there. @param {Corner[][]} rings */
function labelPlace(rings) {
  const ys = rings[0].map((c) => c[1]);
  const [low, high] = [Math.min(...ys), Math.max(...ys)];
  let best = { x: rings[0][0][0], y: rings[0][0][1], wide: 0 };
  for (const share of [0.5, 0.4, 0.6, 0.25, 0.75]) {
    const y = low + share * (high - low);
    const cuts = crossings(rings, y);
    for (let i = 0; i + 1 < cuts.length; i += 2) {
      if (cuts[i + 1] - cuts[i] > best.wide * 1.15) best = { x: (cuts[i] + cuts[i + 1]) / 2, y, wide: cuts[i + 1] - cuts[i] };
    }
  }
  return best;
}


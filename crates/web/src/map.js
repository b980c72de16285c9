// @ts-check
// The map editor: draws the ground of the yard and the things on it, and hands what changed to the form of the page.
//
// The world is in metres, x east and y north, as the entries keep it; one group turns it over to the screen. What is on the map
// are items that are never changed in place: a change puts a new item under the same id, so that a step back is the old one.

/** @typedef {number[]} Corner `[x, y]`, or `[x, y, bow]`: height of the arc after it, positive to the right of the way. */
/** @typedef {{ring: Corner[], holes: Corner[][]}} Piece */
/** @typedef {{id: string, facts: any, pieces: Piece[], measured: string}} AreaItem */
/** @typedef {{id: string, key: string, name: string, thing: any, at: Corner[]}} ThingItem */
/** @typedef {any} Item An AreaItem or a ThingItem. */
/** @typedef {{id: string, p: number, r: number, i: number}} Ref A corner: item, piece, ring (0 outer, then holes), place. */

const SVG = "http://www.w3.org/2000/svg";
/** Corners closer than this are one (m). */
const JOINED_M = 0.001;
/** How near a place must be to snap (px). */
const SNAP_PX = 12;
const UNDO_MAX = 500;
const COVERS = { turf: "Lawn", bed: "Bed", hedge: "Hedge", hard: "Hard surface" };
const KINDS = {
  building: { word: "Building", shape: "ring", fresh: () => ({ is: "building", height_m: about(5, 16) }) },
  tree: { word: "Tree", shape: "point", fresh: () => ({ is: "tree", height_m: about(6, 20), crown_m: about(2.5, 8) }) },
  head: {
    word: "Sprinkler head", shape: "point",
    fresh: () => ({ is: "head", radius_m: about(4.5, 15), arc_from_deg: 0, arc_deg: 180, flow_lpm: 6 }),
  },
  valve: { word: "Valve", shape: "point", fresh: () => ({ is: "valve" }) },
  controller: { word: "Controller", shape: "point", fresh: () => ({ is: "controller" }) },
  well: { word: "Well", shape: "point", fresh: () => ({ is: "well" }) },
  level: { word: "Spot level", shape: "point", fresh: () => ({ is: "level", height_m: 0 }) },
  pipe: { word: "Pipe", shape: "line", fresh: () => ({ is: "pipe", role: "lateral" }) },
  "buried-line": { word: "Buried line", shape: "line", fresh: () => ({ is: "buried-line", of: "power" }) },
  "water-edge": { word: "Water’s edge", shape: "line", fresh: () => ({ is: "water-edge" }) },
  play: { word: "Play ground", shape: "ring", fresh: () => ({ is: "play" }) },
  pets: { word: "Pets’ ground", shape: "ring", fresh: () => ({ is: "pets" }) },
};
/** Kinds that begin with figures nobody measured. */
const GUESSED = ["building", "tree", "head", "level"];
const BURIED = ["power", "gas", "telecom", "water", "sewer", "drain", "private"];
/** Signs on the sheet, drawn about their place (px). */
const SIGNS = {
  tree: "M-2.5 0a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0-5 0",
  head: "M-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0M-1.5 0h3M0-1.5v3",
  valve: "M-7-5L7 5V-5L-7 5z",
  controller: "M-6-6H6V6H-6zM-3-2H3M-3 2H3",
  well: "M-7 0a7 7 0 1 0 14 0a7 7 0 1 0-14 0M-3 0a3 3 0 1 0 6 0a3 3 0 1 0-6 0",
  level: "M-5 0H5M0-5V5",
};

const data = JSON.parse(el("map-data").textContent ?? "{}");
const U = data.units;
const metric = U.per_m === 1;
const step = metric ? 0.1 : 0.5 / U.per_m;
const farStep = metric ? 1 : 5 / U.per_m;

/** A round length to begin with. @param {number} metres @param {number} feet */
const about = (metres, feet) => (metric ? metres : Number((feet / U.per_m).toPrecision(12)));

/** @param {string} id @returns {any} */
function el(id) { return document.getElementById(id); }

/** @param {string} name @param {Record<string, any>} [attributes] @param {Element} [into] @returns {any} */
function svgNode(name, attributes = {}, into) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, String(value));
  into?.append(node);
  return node;
}

/** @param {string} name @param {Record<string, any>} [attributes] @param {...(Node|string)} inside @returns {any} */
function htmlNode(name, attributes = {}, ...inside) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) node.setAttribute(key, "");
    else if (value !== false && value !== undefined) node.setAttribute(key, String(value));
  }
  node.append(...inside);
  return node;
}

// Numbers in the person's units.

/** @param {number} value @param {number} decimals */
function plain(value, decimals) {
  const text = value.toFixed(decimals);
  return (Number(text) === 0 ? text.replace("-", "") : text).replace("-", "−");
}
const thousands = (/** @type {string} */ text) => text.replace(/\B(?=(\d{3})+$)/g, ",");
const lengthText = (/** @type {number} */ m) => `${plain(m * U.per_m, metric ? 2 : 1)} ${U.length}`;
const areaText = (/** @type {number} */ m2) => {
  const shown = m2 * U.per_m2;
  return `${shown < 100 ? plain(shown, 1) : thousands(shown.toFixed(0))} ${U.area}`;
};
/** As a field shows it: no more digits than tell. @param {number} value @param {number} decimals */
const fieldText = (value, decimals) => String(Number(value.toFixed(decimals)));
const tidy = (/** @type {number} */ m) => Math.round(m * 1e4) / 1e4 + 0;

/** A number as people type it: 12.5, 12,5, −3; feet also as 12'6" or 12' 6. @param {string} text @param {boolean} [feet] */
function numberOf(text, feet = false) {
  const clean = text.trim().replace(/[−–]/g, "-").replace(/[’′]/g, "'").replace(/[”″]/g, '"');
  const parts = feet ? clean.match(/^(-?\d+(?:\.\d+)?)'\s*(?:(\d+(?:\.\d+)?)"?)?$/) : null;
  if (parts) {
    const whole = Number(parts[1]);
    return whole + (whole < 0 ? -1 : 1) * Number(parts[2] ?? 0) / 12;
  }
  const number = Number(clean.replace(",", "."));
  return clean === "" || !Number.isFinite(number) ? null : number;
}
const metresOf = (/** @type {string} */ text) => {
  const number = numberOf(text, !metric);
  return number === null ? null : number / U.per_m;
};

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

// Items, and the steps back.

/** @type {Map<string, Item>} */
const items = new Map();
/** What is saved, as text to compare with. @type {Map<string, string>} */
const saved = new Map();
/** @type {{id: string, before?: Item, after?: Item}[][]} */
let undoSteps = [];
/** @type {{id: string, before?: Item, after?: Item}[][]} */
let redoSteps = [];
/** Items as they were before the change under way. @type {Map<string, Item|undefined>|null} */
let pending = null;

const isArea = (/** @type {Item} */ item) => item.facts !== undefined;
const nameOf = (/** @type {Item} */ item) => (isArea(item) ? item.facts.name : item.name);
const shapeOf = (/** @type {Item} */ item) => (isArea(item) ? "ring" : KINDS[item.thing.is].shape);

/** Every ring or line of an item. @param {Item} item @returns {{p: number, r: number, pts: Corner[], closed: boolean}[]} */
function pathsOf(item) {
  if (!isArea(item)) return [{ p: 0, r: 0, pts: item.at, closed: shapeOf(item) === "ring" }];
  return item.pieces.flatMap((piece, p) => [piece.ring, ...piece.holes].map((pts, r) => ({ p, r, pts, closed: true })));
}

/** @param {Item} item @param {number} p @param {number} r @returns {Corner[]} */
const path = (item, p, r) => (isArea(item) ? (r === 0 ? item.pieces[p].ring : item.pieces[p].holes[r - 1]) : item.at);

/** The item with another ring. @param {Item} item @param {number} p @param {number} r @param {Corner[]} pts */
function withPath(item, p, r, pts) {
  if (!isArea(item)) return { ...item, at: pts };
  const pieces = item.pieces.map((piece, k) => {
    if (k !== p) return piece;
    return r === 0 ? { ...piece, ring: pts } : { ...piece, holes: piece.holes.map((hole, h) => (h === r - 1 ? pts : hole)) };
  });
  return { ...item, pieces };
}

/** @param {Item} item */
function sizeOf(item) {
  if (!isArea(item)) return { area: shapeOf(item) === "ring" ? ringArea(item.at) : 0, edge: pathLength(item.at, shapeOf(item) === "ring") };
  let area = 0;
  let edge = 0;
  for (const { r, pts } of pathsOf(item)) {
    area += (r === 0 ? 1 : -1) * ringArea(pts);
    edge += pathLength(pts, true);
  }
  return { area, edge };
}

/** @param {string} id @param {Item|undefined} item */
function put(id, item) {
  pending ??= new Map();
  if (!pending.has(id)) pending.set(id, items.get(id));
  setItem(id, item);
}

/** @param {string} id @param {Item|undefined} item */
function setItem(id, item) {
  if (item) items.set(id, item);
  else items.delete(id);
  touched.add(id);
  ask();
}

/** Ends a change: one step to take back. @param {string} [told] */
function commit(told) {
  const text = (/** @type {Item|undefined} */ item) => item && kept(item);
  const changes = [...(pending ?? [])].map(([id, before]) => ({ id, before, after: items.get(id) })).filter((c) => text(c.before) !== text(c.after));
  pending = null;
  if (changes.length > 0) {
    undoSteps.push(changes);
    undoSteps = undoSteps.slice(-UNDO_MAX);
    redoSteps = [];
  }
  settle(told);
}

function rollback() {
  for (const [id, before] of pending ?? []) setItem(id, before);
  pending = null;
}

/** @param {"undo"|"redo"} which */
function takeBack(which) {
  if (which === "undo" && draft.length > 0) return backOne();
  rollback();
  const [from, to] = which === "undo" ? [undoSteps, redoSteps] : [redoSteps, undoSteps];
  const changes = from.pop();
  if (!changes) return say(which === "undo" ? "Nothing to take back." : "Nothing to do again.");
  for (const { id, before, after } of changes) setItem(id, which === "undo" ? before : after);
  to.push(changes);
  const at = changes.find(({ id }) => items.has(id));
  if (at && sel.id !== at.id) select(at.id);
  settle(which === "undo" ? "Taken back." : "Done again.");
  const item = items.get(sel.id);
  if (item) reveal(item);
}

/** After a change: the selection still points at something, lists and figures are right, and it is said. @param {string} [told] */
function settle(told) {
  const item = items.get(sel.id);
  if (!item && !sel.id.startsWith("z:")) select("");
  else if (item && sel.i >= 0) {
    const pts = pathsOf(item).find(({ p, r }) => p === sel.p && r === sel.r)?.pts;
    if (!pts || sel.i >= pts.length) sel = { ...sel, p: 0, r: 0, i: -1 };
  }
  listDirty = true;
  showUnsaved();
  showPanel();
  if (told) say(told);
  ask();
}

/** @param {string} text */
function say(text) { el("map-said").textContent = text; }

/** @param {"a"|"t"} letter @param {string} name */
function freshKey(letter, name) {
  const base = name.trim().toLowerCase().replace(/[^a-z0-9]+/g, "-").slice(0, 50).replace(/^-+|-+$/g, "") || (letter === "a" ? "area-1" : "thing-1");
  const taken = new Set([...(letter === "a" ? data.taken.areas : data.taken.things), ...[...items.keys()].filter((id) => id[0] === letter).map((id) => id.slice(2))]);
  if (!taken.has(base)) return base;
  let n = 2;
  while (taken.has(`${base}-${n}`)) n += 1;
  return `${base}-${n}`;
}

/** @param {string} word */
function freshName(word) {
  const names = new Set([...items.values()].map(nameOf));
  let n = 1;
  while (names.has(`${word} ${n}`)) n += 1;
  return `${word} ${n}`;
}

// Corners that belong together.

/** Corners of all other rings of areas that lie where this one does, itself first. @param {Ref} ref @returns {Ref[]} */
function jointed(ref) {
  const item = items.get(ref.id);
  const at = path(item, ref.p, ref.r)[ref.i];
  const refs = [ref];
  if (!isArea(item) || !el("together").checked) return refs;
  for (const other of items.values()) {
    if (!isArea(other)) continue;
    for (const { p, r, pts } of pathsOf(other)) {
      if (other.id === ref.id && p === ref.p && r === ref.r) continue;
      pts.forEach((c, i) => { if (apart(c, at) <= JOINED_M) refs.push({ id: other.id, p, r, i }); });
    }
  }
  return refs;
}

/** Sides of other rings of areas that run where this one does, itself first. @param {Ref} ref @returns {(Ref & {turned: boolean})[]} */
function jointedSides(ref) {
  const item = items.get(ref.id);
  const pts = path(item, ref.p, ref.r);
  const [a, b] = [pts[ref.i], pts[(ref.i + 1) % pts.length]];
  const found = [{ ...ref, turned: false }];
  if (!isArea(item) || !el("together").checked) return found;
  for (const other of items.values()) {
    if (!isArea(other)) continue;
    for (const { p, r, pts: ring } of pathsOf(other)) {
      if (other.id === ref.id && p === ref.p && r === ref.r) continue;
      ring.forEach((c, i) => {
        const d = ring[(i + 1) % ring.length];
        const bows = [bowOf(a), bowOf(c)];
        if (apart(a, c) <= JOINED_M && apart(b, d) <= JOINED_M && Math.abs(bows[0] - bows[1]) <= JOINED_M) found.push({ id: other.id, p, r, i, turned: false });
        if (apart(a, d) <= JOINED_M && apart(b, c) <= JOINED_M && Math.abs(bows[0] + bows[1]) <= JOINED_M) found.push({ id: other.id, p, r, i, turned: true });
      });
    }
  }
  return found;
}

/** Puts corners to new places. @param {Ref[]} refs @param {(c: Corner) => Corner} to */
function moveCorners(refs, to) {
  /** @type {Map<string, Ref[]>} */
  const rings = new Map();
  for (const ref of refs) {
    const key = `${ref.id} ${ref.p} ${ref.r}`;
    rings.set(key, [...(rings.get(key) ?? []), ref]);
  }
  for (const group of rings.values()) {
    const { id, p, r } = group[0];
    const item = items.get(id);
    const pts = [...path(item, p, r)];
    for (const { i } of group) {
      const [x, y] = to(pts[i]);
      pts[i] = corner(x, y, bowOf(pts[i]));
    }
    if (shapeOf(item) !== "point") pts.forEach((c, i) => { pts[i] = withFittingBow(c, pts[(i + 1) % pts.length]); });
    put(id, withPath(item, p, r, pts));
  }
}

/** Adds a corner in the middle of a side, in the neighbour too. @param {Ref} ref */
function addCorner(ref) {
  // From the back, so that places counted before stay right within a ring.
  for (const { id, p, r, i } of jointedSides(ref).sort((a, b) => b.i - a.i)) {
    const item = items.get(id);
    const pts = [...path(item, p, r)];
    const [a, b] = [pts[i], pts[(i + 1) % pts.length]];
    const [x, y] = sideMiddle(a, b);
    const chord = apart(a, b);
    const half = Math.sign(bowOf(a)) * apart(a, [x, y]) / 2 * Math.tan(Math.atan(2 * Math.abs(bowOf(a)) / chord) / 2);
    pts.splice(i, 1, corner(a[0], a[1], half), corner(x, y, half));
    put(id, withPath(item, p, r, pts));
  }
  sel = { ...ref, i: ref.i + 1 };
  commit(`Corner ${ref.i + 2} added. ${cornerTold()}`);
}

/** Takes a corner out, in the neighbours too. @param {Ref} ref */
function removeCorner(ref) {
  const refs = jointed(ref).sort((a, b) => b.i - a.i);
  for (const { id, p, r, i } of refs) {
    const item = items.get(id);
    const pts = [...path(item, p, r)];
    const least = shapeOf(item) === "ring" ? 3 : 2;
    if (pts.length <= least) {
      rollback();
      return say(`${nameOf(item)} would have fewer than ${least} corners. Nothing was taken out.`);
    }
    const before = (i + pts.length - 1) % pts.length;
    pts[before] = corner(pts[before][0], pts[before][1]);
    pts.splice(i, 1);
    put(id, withPath(item, p, r, pts));
  }
  sel = { ...ref, i: Math.max(0, ref.i - 1) };
  commit("Corner taken out.");
}

/** Bends a side, and the neighbour's with it. @param {Ref} ref @param {number} bow */
function bend(ref, bow) {
  for (const { id, p, r, i, turned } of jointedSides(ref)) {
    const item = items.get(id);
    const pts = [...path(item, p, r)];
    const [a, b] = [pts[i], pts[(i + 1) % pts.length]];
    pts[i] = withFittingBow(corner(a[0], a[1], turned ? -bow : bow), b);
    put(id, withPath(item, p, r, pts));
  }
}

/** Shifts a whole item, and what is joined to it. @param {string} id @param {number} dx @param {number} dy */
function shiftItem(id, dx, dy) {
  const item = items.get(id);
  const refs = new Map();
  for (const { p, r, pts } of pathsOf(item)) {
    pts.forEach((_, i) => jointed({ id, p, r, i }).forEach((ref) => refs.set(`${ref.id} ${ref.p} ${ref.r} ${ref.i}`, ref)));
  }
  moveCorners([...refs.values()], ([x, y]) => [x + dx, y + dy]);
}

// The sheet.

const svg = el("map-drawing");
let width = 300;
let height = 300;
const view = { s: 8, tx: 0, ty: 0 };
/** @type {Ref} */
let sel = { id: "", p: 0, r: 0, i: -1 };
/** @type {Set<string>} */
const touched = new Set();
let viewDirty = true;
let zoomDirty = true;
let listDirty = true;
let asked = false;

const defs = svgNode("defs", {}, svg);
/** @type {any[]} */
const patterns = [];
/** @param {string} id @param {number} size @param {string} d */
function pattern(id, size, d) {
  const node = svgNode("pattern", { id, width: size, height: size, patternUnits: "userSpaceOnUse" }, defs);
  svgNode("rect", { width: size, height: size, class: `${id}-ground` }, node);
  svgNode("path", { d, class: `${id}-ink` }, node);
  patterns.push(node);
}
pattern("p-bed", 9, "M2 2h.01M6.5 6.5h.01");
pattern("p-hedge", 8, "M1 5l2-4M5 8l2-4");
pattern("p-building", 7, "M-1 1L1-1M0 7L7 0M6 8L8 6");
pattern("p-play", 10, "M0 10L10 0");
const gridPattern = svgNode("pattern", { id: "p-grid", patternUnits: "userSpaceOnUse" }, defs);
const gridLine = svgNode("path", { class: "grid" }, gridPattern);
svgNode("rect", { width: "100%", height: "100%", class: "paper" }, svg);
const world = svgNode("g", {}, svg);
const layer = Object.fromEntries(["underlay", "grid", "areas", "water", "grounds", "trees", "lines", "wedges", "chosen", "draft"].map((name) => [name, svgNode("g", { class: `layer-${name}` }, world)]));
const gridRect = svgNode("rect", { fill: "url(#p-grid)", class: "grid-sheet" }, layer.grid);
const marks = svgNode("g", {}, svg);
const onTop = Object.fromEntries(["labels", "points", "handles", "draft"].map((name) => [name, svgNode("g", { class: `layer-${name}` }, marks)]));
const frame = svgNode("g", { class: "frame", "aria-hidden": "true" }, svg);
svgNode("path", { d: "M22 40V12M22 10l-6 12 6-4 6 4z", class: "north" }, frame);
svgNode("text", { x: 22, y: 54, class: "north-letter" }, frame).textContent = "N";
const scaleBar = svgNode("path", { class: "scale" }, frame);
const scaleText = svgNode("text", { class: "scale-text" }, frame);
const chosenLine = svgNode("path", { class: "chosen-line" }, layer.chosen);
const draftLine = svgNode("path", { class: "draft-line" }, layer.draft);
const draftNext = svgNode("path", { class: "draft-next" }, layer.draft);
const snapMark = svgNode("path", { class: "snap-mark" }, onTop.draft);
const cross = svgNode("path", { class: "cross", d: "M-14 0H-4M4 0H14M0-14V-4M0 4V14" }, onTop.draft);
const draftFirst = svgNode("circle", { class: "draft-first", r: 7 }, onTop.draft);
if (data.underlay) {
  const { href, matrix, size_px: [w, h] } = data.underlay;
  svgNode("image", { href, width: w, height: h, transform: `matrix(${matrix.join(" ")})`, preserveAspectRatio: "none" }, layer.underlay);
}

const toScreen = (/** @type {Corner} */ [x, y]) => [view.tx + view.s * x, view.ty - view.s * y];
const toWorld = (/** @type {number} */ px, /** @type {number} */ py) => [(px - view.tx) / view.s, (view.ty - py) / view.s];
const inMarks = (/** @type {Corner} */ [x, y]) => `translate(${(x * view.s).toFixed(2)} ${(-y * view.s).toFixed(2)})`;

/** @type {Map<string, {shape?: any, sign?: any, label?: any, text?: string, place: {x: number, y: number, wide: number}}>} */
const nodes = new Map();

/** Asks for a frame. */
function ask() {
  if (asked) return;
  asked = true;
  requestAnimationFrame(paint);
}

function paint() {
  asked = false;
  if (lastMove) {
    const event = lastMove;
    lastMove = null;
    moved(event);
  }
  if (viewDirty) paintView();
  const selectionTouched = touched.size > 0 || viewDirty || selDirty;
  for (const id of touched) paintItem(id);
  if (zoomDirty) for (const id of nodes.keys()) if (!touched.has(id)) placeMarks(id);
  if (selDirty) paintChosen();
  if (selectionTouched) paintHandles();
  if (selDirty || touched.has(sel.id)) paintChosenLine();
  paintDraft();
  showFigures();
  el("undo").disabled = undoSteps.length === 0 && draft.length === 0;
  el("redo").disabled = redoSteps.length === 0;
  if (listDirty) showList();
  if ([...touched].some(isWet) || selDirty) askWater();
  touched.clear();
  viewDirty = false;
  zoomDirty = false;
  selDirty = false;
  listDirty = false;
  asked = lastMove !== null;
  if (asked) requestAnimationFrame(paint);
}

/** Round steps of a grid: 1, 5, 10, 50 … of the unit. */
function gridStep() {
  let unit = (metric ? 1 : 5) / U.per_m;
  for (let k = 0; unit * view.s < 18; k += 1) unit *= k % 2 === 0 ? (metric ? 5 : 2) : (metric ? 2 : 5);
  return unit;
}

function paintView() {
  world.setAttribute("transform", `matrix(${view.s} 0 0 ${-view.s} ${view.tx} ${view.ty})`);
  marks.setAttribute("transform", `translate(${view.tx.toFixed(2)} ${view.ty.toFixed(2)})`);
  const grid = gridStep();
  const [[x0, y1], [x1, y0]] = [toWorld(0, 0), toWorld(width, height)];
  const [gx, gy] = [Math.floor(x0 / grid) * grid, Math.floor(y0 / grid) * grid];
  for (const [name, value] of Object.entries({ x: gx, y: gy, width: x1 - gx + grid, height: y1 - gy + grid })) gridRect.setAttribute(name, value);
  if (!zoomDirty) return;
  for (const node of patterns) node.setAttribute("patternTransform", `scale(${1 / view.s} ${-1 / view.s})`);
  gridPattern.setAttribute("width", grid);
  gridPattern.setAttribute("height", grid);
  gridLine.setAttribute("d", `M0 ${grid}V0H${grid}`);
  gridLine.setAttribute("stroke-width", String(1.2 / view.s));
  let bar = 1;
  const pixels = view.s / U.per_m;
  const sizes = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000];
  bar = sizes.find((n) => n * pixels >= 60) ?? 10000;
  const long = bar * pixels;
  scaleBar.setAttribute("d", `M12 ${height - 18}v6h${long}v-6M${12 + long / 2} ${height - 15}v3`);
  scaleText.setAttribute("x", String(18 + long));
  scaleText.setAttribute("y", String(height - 10));
  scaleText.textContent = `${thousands(String(bar))} ${U.length}`;
}

const layerOf = (/** @type {string} */ is) => ({ tree: layer.trees, pipe: layer.lines, "buried-line": layer.lines, "water-edge": layer.lines, head: layer.wedges }[is] ?? layer.grounds);

/** @param {any} h @param {Corner} at */
function wedgeData(h, [x, y]) {
  const r = h.radius_m;
  const on = (/** @type {number} */ degrees) => [x + r * Math.sin(degrees * Math.PI / 180), y + r * Math.cos(degrees * Math.PI / 180)];
  if (h.arc_deg >= 360) return `M${x - r} ${y}A${r} ${r} 0 1 1 ${x + r} ${y}A${r} ${r} 0 1 1 ${x - r} ${y}Z`;
  const [a, b] = [on(h.arc_from_deg ?? 0), on((h.arc_from_deg ?? 0) + h.arc_deg)];
  return `M${x} ${y}L${a.join(" ")}A${r} ${r} 0 ${h.arc_deg > 180 ? 1 : 0} 0 ${b.join(" ")}Z`;
}

/** Makes the elements of an item, changes them, or takes them away. @param {string} id */
function paintItem(id) {
  const item = items.get(id);
  let node = nodes.get(id);
  if (!item) {
    for (const part of [node?.shape, node?.sign, node?.label]) part?.remove();
    nodes.delete(id);
    return;
  }
  const is = isArea(item) ? "area" : item.thing.is;
  if (!node) {
    node = { place: { x: 0, y: 0, wide: 0 } };
    if (is === "area") node.shape = svgNode("path", { "fill-rule": "evenodd" }, layer.areas);
    else if (is === "tree") node.shape = svgNode("circle", {}, layer.trees);
    else if (shapeOf(item) !== "point" || is === "head") node.shape = svgNode("path", {}, layerOf(is));
    if (SIGNS[is]) node.sign = svgNode("path", { d: SIGNS[is] }, onTop.points);
    node.label = svgNode("text", {}, onTop.labels);
    nodes.set(id, node);
    selDirty = true;
  }
  const paths = pathsOf(item);
  if (is === "area" || shapeOf(item) === "ring") {
    const rings = paths.map(({ pts }) => flat(pts, true));
    if (rings.length > 0) node.place = labelPlace(rings);
  } else {
    const [x, y] = shapeOf(item) === "point" ? item.at[0] : sideMiddle(item.at[0], item.at[1]);
    node.place = { x, y, wide: 0 };
  }
  if (is === "tree") {
    for (const [name, value] of Object.entries({ cx: item.at[0][0], cy: item.at[0][1], r: item.thing.crown_m })) node.shape.setAttribute(name, value);
  } else if (is === "head") node.shape.setAttribute("d", wedgeData(item.thing, item.at[0]));
  else if (node.shape) node.shape.setAttribute("d", paths.map(({ pts, closed }) => pathData(pts, closed)).join(""));
  if (is === "area") {
    const cover = item.facts.cover ?? "turf";
    const fill = { bed: "url(#p-bed)", hedge: "url(#p-hedge)" }[cover];
    if (fill) node.shape.setAttribute("fill", fill);
    else node.shape.removeAttribute("fill");
    node.shape.dataset.kind = cover;
  } else if (node.shape) {
    if (is === "building") node.shape.setAttribute("fill", "url(#p-building)");
    if (is === "play" || is === "pets") node.shape.setAttribute("fill", "url(#p-play)");
    node.shape.dataset.kind = is === "pipe" ? item.thing.role : is;
  }
  const size = is === "area" && item.pieces.length > 0 ? areaText(sizeOf(item).area) : is === "level" ? lengthText(item.thing.height_m) : "";
  const text = `${is === "head" || is === "level" ? "" : nameOf(item)}\n${size}`;
  if (node.text !== text) {
    node.text = text;
    node.label.replaceChildren(...text.split("\n").filter(Boolean).map((line, k) => {
      const span = svgNode("tspan", { x: 0, dy: k === 0 ? 0 : "1.25em", class: k === 0 ? "label-name" : "label-size" });
      span.textContent = line;
      return span;
    }));
  }
  placeMarks(id);
}

/** Puts the sign and the label of an item where they belong on the screen. @param {string} id */
function placeMarks(id) {
  const node = nodes.get(id);
  const item = items.get(id);
  if (!node || !item) return;
  const at = inMarks([node.place.x, node.place.y]);
  node.sign?.setAttribute("transform", at);
  const ground = isArea(item) || shapeOf(item) === "ring";
  node.label.setAttribute("transform", ground ? at : `${at} translate(0 -12)`);
  const room = ground ? node.place.wide * view.s : view.s * 4;
  // The chosen ground has its handles there, and its words under the sheet.
  const gripped = ground && sel.id === id;
  const away = (isArea(item) && item.pieces.length === 0) || gripped || (nameOf(item).length * 6.2 > room && sel.id !== id);
  node.label.setAttribute("class", `label${away ? " away" : ""}`);
}

let selDirty = true;

function paintChosen() {
  const zone = zoneShown();
  for (const [id, node] of nodes) {
    const item = items.get(id);
    const mate = item && zone !== "" && item.thing?.zone === zone ? " mate" : "";
    const chosen = id === sel.id ? " chosen" : "";
    node.shape?.setAttribute("class", `shape ${isArea(item) ? "ground" : item.thing.is}${chosen}${mate}`);
    node.sign?.setAttribute("class", `sign sign-${item.thing?.is}${chosen}${mate}`);
    placeMarks(id);
  }
}

/** What is chosen is drawn once more over its neighbours. */
function paintChosenLine() {
  const item = items.get(sel.id);
  const drawn = item && shapeOf(item) !== "point";
  chosenLine.setAttribute("d", drawn ? pathsOf(item).map(({ pts, closed }) => pathData(pts, closed)).join("") : "");
}

/** What can be gripped of the selected thing. @returns {{kind: string, p: number, r: number, i: number, x: number, y: number}[]} */
function handles() {
  const item = items.get(sel.id);
  if (!item || mode !== "move") return [];
  /** @type {{kind: string, p: number, r: number, i: number, x: number, y: number}[]} */
  const list = [];
  const none = { p: 0, r: 0, i: -1 };
  if (item.thing?.is === "head") {
    const { radius_m: radius, arc_from_deg: from = 0, arc_deg: arc } = item.thing;
    const [x, y] = item.at[0];
    const on = (/** @type {number} */ degrees, /** @type {number} */ far) => ({ x: x + far * Math.sin(degrees * Math.PI / 180), y: y + far * Math.cos(degrees * Math.PI / 180) });
    list.push({ kind: "radius", ...none, ...on(from + arc / 2, radius) }, { kind: "from", ...none, ...on(from, radius * 0.7) }, { kind: "to", ...none, ...on(from + arc, radius) });
  }
  if (item.thing?.is === "tree") list.push({ kind: "crown", ...none, x: item.at[0][0] + item.thing.crown_m, y: item.at[0][1] });
  if (shapeOf(item) === "point") return list;
  const { place } = nodes.get(sel.id) ?? { place: null };
  if (place && shapeOf(item) === "ring" && pathsOf(item).length > 0) list.push({ kind: "whole", ...none, x: place.x, y: place.y });
  for (const { p, r, pts, closed } of pathsOf(item)) {
    pts.forEach((c, i) => {
      if (closed || i + 1 < pts.length) {
        const next = pts[(i + 1) % pts.length];
        if (apart(c, next) * view.s > 34) {
          const [x, y] = sideMiddle(c, next);
          list.push({ kind: "mid", p, r, i, x, y });
        }
      }
    });
    pts.forEach((c, i) => list.push({ kind: "corner", p, r, i, x: c[0], y: c[1] }));
  }
  return list;
}

const HANDLE_SIGNS = {
  corner: "M-5.5-5.5h11v11h-11z", mid: "M-4 0a4 4 0 1 0 8 0a4 4 0 1 0-8 0", whole: "M0-9L3-5H-3zM0 9L3 5H-3zM-9 0L-5-3V3zM9 0L5-3V3zM-5 0H5M0-5V5",
  radius: "M-7 0L0-7L7 0L0 7z", crown: "M-7 0L0-7L7 0L0 7z", from: "M-6 0a6 6 0 1 0 12 0a6 6 0 1 0-12 0", to: "M-6 0a6 6 0 1 0 12 0a6 6 0 1 0-12 0",
};

function paintHandles() {
  const list = handles();
  const pool = onTop.handles.children;
  while (pool.length > list.length) pool[pool.length - 1].remove();
  list.forEach((h, k) => {
    const node = pool[k] ?? svgNode("path", {}, onTop.handles);
    const at = h.kind === "corner" && h.p === sel.p && h.r === sel.r && h.i === sel.i ? " at" : "";
    const name = `handle handle-${h.kind}${at}`;
    if (node.getAttribute("class") !== name) {
      node.setAttribute("class", name);
      node.setAttribute("d", HANDLE_SIGNS[h.kind]);
    }
    node.setAttribute("transform", inMarks([h.x, h.y]) + (at ? " scale(1.45)" : ""));
  });
}

/** @param {number} px @param {number} py @param {number} by */
function zoomAt(px, py, by) {
  const s = Math.max(0.02, Math.min(400, view.s * by));
  const [x, y] = toWorld(px, py);
  Object.assign(view, { s, tx: px - s * x, ty: py + s * y });
  viewDirty = true;
  zoomDirty = true;
  ask();
}

/** @param {number} dx @param {number} dy */
function pan(dx, dy) {
  view.tx += dx;
  view.ty += dy;
  viewDirty = true;
  ask();
}

function fit() {
  const all = [...items.values()].flatMap((item) => pathsOf(item).flatMap(({ pts, closed }) => flat(pts, closed)));
  const xs = all.map((c) => c[0]);
  const ys = all.map((c) => c[1]);
  const span = metric ? 15 : 50 / U.per_m;
  let [x0, x1, y0, y1] = all.length > 0 ? [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)] : [0, span, 0, span];
  if (data.underlay && all.length === 0) {
    const { matrix: [a, b, c, d, e, f], size_px: [w, h] } = data.underlay;
    const corners = [[0, 0], [w, 0], [0, h], [w, h]].map(([px, py]) => [a * px + c * py + e, b * px + d * py + f]);
    [x0, x1, y0, y1] = [Math.min(...corners.map((k) => k[0])), Math.max(...corners.map((k) => k[0])), Math.min(...corners.map((k) => k[1])), Math.max(...corners.map((k) => k[1]))];
  }
  // Room on the right for the buttons that lie on the sheet.
  const [margin, right] = [36, 72];
  view.s = Math.max(0.02, Math.min(60, (width - margin - right) / Math.max(x1 - x0, 2), (height - 2 * margin) / Math.max(y1 - y0, 2)));
  view.tx = (width + margin - right) / 2 - view.s * (x0 + x1) / 2;
  view.ty = height / 2 + view.s * (y0 + y1) / 2;
  viewDirty = true;
  zoomDirty = true;
  ask();
}

function resize() {
  const box = svg.getBoundingClientRect();
  if (box.width < 10) return;
  const first = width === 300 && height === 300;
  [width, height] = [box.width, box.height];
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  viewDirty = true;
  zoomDirty = true;
  if (first) fit();
  ask();
}

// Tools.

/** @type {"move"|"draw"|"tape"} */
let mode = "move";
let what = "turf";
/** Corners of what is being drawn, or the two ends of the tape. @type {Corner[]} */
let draft = [];
/** Where the pointer or the cross is. @type {Corner|null} */
let cursor = null;
let snapKind = "";
/** True while the cross is led by keys. */
let byKeys = false;

/** Whether what is being drawn is a ring, a line or a point. */
function drawnShape() {
  return KINDS[what.split(":")[0]]?.shape ?? "ring";
}

/** @param {"move"|"draw"|"tape"} to */
function setMode(to) {
  mode = to;
  draft = [];
  cursor = null;
  byKeys = false;
  selDirty = true;
  for (const name of ["move", "draw", "tape"]) el(`tool-${name}`).setAttribute("aria-pressed", String(name === mode));
  const sides = mode === "draw" && drawnShape() !== "point";
  el("map-drawing-tools").hidden = !sides;
  el("map-what").hidden = sides;
  el("side-length").value = "";
  svg.dataset.mode = mode;
  ask();
}

function startDrawing() {
  what = el("what").value;
  setMode("draw");
  const word = el("what").selectedOptions[0]?.textContent ?? "";
  say(drawnShape() === "point" ? `${word}: touch its place.` : `${word}: touch the first corner.`);
}

/** Holds a place to what is near it. @param {Corner} at @param {{moving?: Ref[], hold?: boolean}} [how] */
function snapped([x, y], { moving = [], hold = false } = {}) {
  const reach = SNAP_PX / view.s;
  const last = draft[draft.length - 1];
  const on = el("snap").checked;
  if (hold && last && mode === "draw") {
    const before = draft[draft.length - 2];
    const base = before ? bearing(before, last) : 0;
    const turn = (base + Math.round((bearing(last, [x, y]) - base) / 45) * 45) * Math.PI / 180;
    const [ux, uy] = [Math.sin(turn), Math.cos(turn)];
    const along = (/** @type {Corner} */ c) => (c[0] - last[0]) * ux + (c[1] - last[1]) * uy;
    let far = Math.max(0, along([x, y]));
    let kind = "";
    if (on) {
      const first = along(draft[0]);
      if (draft.length > 1 && Math.abs(first - far) < reach) [far, kind] = [first, "side"];
      else far = Math.round(far / step) * step;
    }
    return { x: last[0] + far * ux, y: last[1] + far * uy, kind };
  }
  if (!on) return { x, y, kind: "" };
  const still = (/** @type {Ref} */ ref) => !moving.some((m) => m.id === ref.id && m.p === ref.p && m.r === ref.r && (m.i === ref.i || m.i === -1));
  let best = { x, y, kind: "", far: reach };
  const take = (/** @type {Corner} */ c, /** @type {string} */ kind) => {
    const far = apart(c, [x, y]);
    if (far < best.far) best = { x: c[0], y: c[1], kind, far };
  };
  draft.forEach((c) => take(c, "corner"));
  for (const item of items.values()) {
    if (shapeOf(item) === "point") continue;
    for (const { p, r, pts } of pathsOf(item)) pts.forEach((c, i) => { if (still({ id: item.id, p, r, i })) take(c, "corner"); });
  }
  if (best.kind) return best;
  for (const item of items.values()) {
    if (shapeOf(item) === "point") continue;
    for (const { p, r, pts, closed } of pathsOf(item)) {
      pts.forEach((a, i) => {
        const n = (i + 1) % pts.length;
        if ((!closed && n === 0) || !still({ id: item.id, p, r, i }) || !still({ id: item.id, p, r, i: n })) return;
        if (bowOf(a) === 0) return take(nearestOn(a, pts[n], x, y), "side");
        const arc = flat([a, pts[n]], false);
        for (let k = 0; k + 1 < arc.length; k += 1) take(nearestOn(arc[k], arc[k + 1], x, y), "side");
      });
    }
  }
  if (best.kind) return best;
  const grid = gridStep();
  take([Math.round(x / grid) * grid, Math.round(y / grid) * grid], "grid");
  return best;
}

/** @param {Corner} at */
function placeCorner(at) {
  const [x, y] = at;
  if (mode === "tape") {
    draft = draft.length === 2 ? [[x, y]] : [...draft, [x, y]];
    if (draft.length === 2) say(`${lengthText(apart(draft[0], draft[1]))} at ${bearing(draft[0], draft[1]).toFixed(0)}°.`);
    return ask();
  }
  if (drawnShape() === "point") return placePoint(at);
  const near = Math.max(JOINED_M, 4 / view.s);
  if (draft.length >= 3 && drawnShape() === "ring" && apart(draft[0], at) < near) return finish();
  if (draft.length > 0 && apart(draft[draft.length - 1], at) < near) return draft.length > 1 ? finish() : undefined;
  draft.push(corner(x, y));
  const n = draft.length;
  say(n === 1 ? "First corner set." : `Corner ${n}: side ${lengthText(apart(draft[n - 2], draft[n - 1]))}.`);
  ask();
}

/** The typed length: a new side towards the cross, or the last side made so long. */
function setLength() {
  const box = el("side-length");
  const metres = metresOf(box.value);
  if (metres === null || !(metres > 0) || draft.length === 0) {
    say("A side needs a length above nothing, and a corner to start from.");
    return;
  }
  const last = draft[draft.length - 1];
  let from = last;
  let towards = cursor;
  if (!towards || apart(last, towards) * view.s < 3) {
    if (draft.length < 2) return say("Set the direction first: touch roughly where the side ends.");
    draft.pop();
    [from, towards] = [draft[draft.length - 1], last];
  }
  const far = apart(from, towards);
  draft.push(corner(from[0] + (towards[0] - from[0]) / far * metres, from[1] + (towards[1] - from[1]) / far * metres));
  box.value = "";
  // The pointer stands where it stood; the next side begins at the corner just made.
  cursor = byKeys ? draft[draft.length - 1].slice(0, 2) : null;
  say(`Corner ${draft.length}: side ${lengthText(metres)}.`);
  ask();
}

/** What is drawn becomes an item, or a piece or a hole of the chosen one. */
function finish() {
  const closed = drawnShape() === "ring";
  const pts = draft;
  if (pts.length < (closed ? 3 : 2)) return say(`It needs ${closed ? 3 : 2} corners at least.`);
  const target = items.get(sel.id);
  let id = "";
  let ref = { p: 0, r: 0 };
  guessed = "";
  if (what === "piece" && target && isArea(target)) {
    id = target.id;
    ref = { p: target.pieces.length, r: 0 };
    put(id, { ...target, pieces: [...target.pieces, { ring: pts, holes: [] }] });
  } else if (what === "hole" && target && isArea(target)) {
    id = target.id;
    const p = target.pieces.findIndex((piece) => pts.some(([x, y]) => inside([flat(piece.ring, true)], x, y)));
    if (p < 0) return say(`The hole lies outside ${nameOf(target)}.`);
    ref = { p, r: target.pieces[p].holes.length + 1 };
    put(id, { ...target, pieces: target.pieces.map((piece, k) => (k === p ? { ...piece, holes: [...piece.holes, pts] } : piece)) });
  } else if (what in COVERS) {
    id = newArea(what, pts);
  } else id = newThing(what, pts);
  setMode("move");
  sel = { id, ...ref, i: -1 };
  selDirty = true;
  commit(`${nameOf(items.get(id))} drawn: ${sizeTold(items.get(id))}.${guessed}`);
  buildWhat();
  svg.focus({ preventScroll: true });
}

/** The commonest of what the areas have, else the first there is. @param {"grass"|"soil"} field @param {{key: string}[]} choices */
function usual(field, choices) {
  const counts = new Map();
  for (const item of items.values()) if (item.facts?.[field]) counts.set(item.facts[field], (counts.get(item.facts[field]) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? choices[0]?.key;
}

/** @param {string} cover @param {Corner[]} ring */
function newArea(cover, ring) {
  const name = freshName(COVERS[cover]);
  const key = freshKey("a", name);
  const facts = { key, name, size_m2: 0, cover, soil: usual("soil", data.soils) };
  if (cover === "turf") facts.grass = usual("grass", data.grasses);
  put(`a:${key}`, { id: `a:${key}`, facts, pieces: [{ ring, holes: [] }], measured: "" });
  return `a:${key}`;
}

/** What to say of a new thing's figures. */
let guessed = "";

/** @param {string} choice @param {Corner[]} at */
function newThing(choice, at) {
  const [is, detail] = choice.split(":");
  const like = items.get(sel.id);
  const name = freshName(KINDS[is].word);
  const key = freshKey("t", name);
  let thing = KINDS[is].fresh();
  if (like?.thing?.is === is) thing = { ...like.thing };
  guessed = like?.thing?.is === is ? "" : GUESSED.includes(is) ? " Its figures are guesses: put them right in its fields." : "";
  if (is === "pipe") thing = { is, role: detail };
  const zone = zoneShown();
  if ((is === "head" || is === "valve" || detail === "lateral") && !thing.zone && zone) thing.zone = zone;
  put(`t:${key}`, { id: `t:${key}`, key, name, thing, at });
  return `t:${key}`;
}

/** @param {Corner} at */
function placePoint(at) {
  const id = newThing(what, [corner(at[0], at[1])]);
  select(id);
  commit(`${nameOf(items.get(id))} set at ${placeTold(at)}.${guessed}`);
}

/** @param {Corner} c */
const placeTold = ([x, y]) => `${plain(x * U.per_m, metric ? 2 : 1)}, ${plain(y * U.per_m, metric ? 2 : 1)} ${U.length}`;

/** @param {Item} item */
function sizeTold(item) {
  const { area, edge } = sizeOf(item);
  if (shapeOf(item) === "ring") return `${areaText(area)}, edge ${lengthText(edge)}`;
  return shapeOf(item) === "line" ? lengthText(edge) : placeTold(item.at[0]);
}

function cornerTold() {
  const item = items.get(sel.id);
  if (!item || sel.i < 0) return "";
  const at = path(item, sel.p, sel.r)[sel.i];
  return `Corner ${sel.i + 1} of ${nameOf(item)}: ${placeTold(at)}; ${sizeTold(item)}.`;
}

function paintDraft() {
  const shown = mode !== "move" && draft.length > 0;
  const from = draft[draft.length - 1];
  draftLine.setAttribute("d", shown ? pathData(draft, false) : "");
  const open = shown && cursor && !(mode === "tape" && draft.length === 2);
  draftNext.setAttribute("d", open && cursor ? `M${from[0]} ${from[1]}L${cursor[0]} ${cursor[1]}${drawnShape() === "ring" && mode === "draw" && draft.length > 1 ? `L${draft[0][0]} ${draft[0][1]}` : ""}` : "");
  draftFirst.classList.toggle("away", !shown);
  if (shown) draftFirst.setAttribute("transform", inMarks(draft[0]));
  cross.classList.toggle("away", !(cursor && byKeys && mode !== "move"));
  if (cursor) cross.setAttribute("transform", inMarks(cursor));
  const kind = cursor || dragging ? snapKind : "";
  snapMark.setAttribute("d", { corner: "M-8-8h16v16h-16z", side: "M-7-7L7 7M-7 7L7-7", grid: "M-7 0H7M0-7V7" }[kind] ?? "");
  if (kind && snapAt) snapMark.setAttribute("transform", inMarks(snapAt));
}
/** @type {Corner|null} */
let snapAt = null;
let dragging = false;

function showFigures() {
  const item = items.get(sel.id);
  let text = "";
  if (mode !== "move" && draft.length > 0) {
    // Without a pointer over the sheet the last side is told.
    const last = draft.length > 1 && (mode === "tape" || !cursor) ? 2 : 1;
    const start = draft[draft.length - last];
    const to = last === 2 ? draft[draft.length - 1] : cursor;
    const side = to && apart(start, to) > 0 ? `${mode === "tape" ? "Tape" : "Side"} ${lengthText(apart(start, to))} at ${bearing(start, to).toFixed(0)}°` : "";
    const ring = to && mode === "draw" && drawnShape() === "ring" && draft.length > 1 ? `area ${areaText(ringArea([...draft, to]))}` : "";
    text = [side || `${draft.length} ${draft.length === 1 ? "corner" : "corners"}`, ring].filter(Boolean).join(" · ");
  } else if (item && isArea(item) && item.pieces.length === 0) {
    text = `${nameOf(item)} · not drawn yet${mode === "draw" ? "" : ": press Draw"}`;
  } else if (item) {
    text = `${nameOf(item)} · ${shapeOf(item) === "point" ? pointTold(item) : sizeTold(item).replace(", edge", " · edge")}`;
    if (sel.i >= 0 && shapeOf(item) !== "point") {
      const pts = path(item, sel.p, sel.r);
      const next = pts[(sel.i + 1) % pts.length];
      if (shapeOf(item) === "ring" || sel.i + 1 < pts.length) text += ` · side ${lengthText(sideLength(pts[sel.i], next))} at ${bearing(pts[sel.i], next).toFixed(0)}°`;
    }
  } else if (mode === "draw") text = drawnShape() === "point" ? "Touch its place" : "Touch the first corner";
  else if (mode === "tape") text = "Touch two places";
  else if (sel.id.startsWith("z:")) text = data.zones.find((/** @type {any} */ zone) => zone.key === zoneShown())?.name ?? "";
  else text = items.size === 0 ? "Nothing is drawn yet: choose what, then Draw" : "Touch a thing to choose it";
  if (water.told && el("water").checked) text += ` · ${water.told}`;
  if (figures.textContent !== text) figures.textContent = text;
}
const figures = el("map-figures");

/** @param {Item} item */
function pointTold(item) {
  const t = item.thing;
  if (t.is !== "head") return placeTold(item.at[0]);
  return `throw ${lengthText(t.radius_m)}, arc ${t.arc_deg.toFixed(0)}° from ${(t.arc_from_deg ?? 0).toFixed(0)}°`;
}

/** @param {string} id @param {Partial<Ref>} [at] */
function select(id, at = {}) {
  sel = { id, p: 0, r: 0, i: -1, ...at };
  selDirty = true;
  listDirty = true;
  showPanel();
  buildWhat();
  ask();
}

// Pointing.

/** What lies under a place on the screen: a handle first, then points, lines, grounds. @param {number} px @param {number} py @param {boolean} touch */
function under(px, py, touch) {
  let best = null;
  let near = touch ? 24 : 11;
  for (const h of handles()) {
    const [hx, hy] = toScreen([h.x, h.y]);
    // Of two as near the corner wins over the dot of its side.
    const far = Math.hypot(hx - px, hy - py) + (h.kind === "corner" ? 0 : 2);
    if (far < near) [best, near] = [h, far];
  }
  const item = items.get(sel.id);
  if (!best && touch && item && sel.i >= 0 && mode === "move") {
    const [cx, cy] = toScreen(path(item, sel.p, sel.r)[sel.i] ?? [Infinity, 0]);
    if (Math.hypot(cx - px, cy - py) < 44) best = handles().find((h) => h.kind === "corner" && h.p === sel.p && h.r === sel.r && h.i === sel.i) ?? null;
  }
  if (best) return { handle: best, id: sel.id };
  const [x, y] = toWorld(px, py);
  let id = "";
  near = touch ? 22 : 10;
  for (const it of items.values()) {
    if (shapeOf(it) !== "point") continue;
    const far = apart(it.at[0], [x, y]) * view.s;
    if (far < near) [id, near] = [it.id, far];
  }
  if (id) return { handle: null, id };
  near = touch ? 16 : 7;
  for (const it of items.values()) {
    if (shapeOf(it) !== "line") continue;
    const line = flat(it.at, false);
    for (let k = 0; k + 1 < line.length; k += 1) {
      const far = apart(nearestOn(line[k], line[k + 1], x, y), [x, y]) * view.s;
      if (far < near) [id, near] = [it.id, far];
    }
  }
  if (id) return { handle: null, id };
  let least = Infinity;
  for (const it of items.values()) {
    const rings = shapeOf(it) === "ring" ? pathsOf(it).map(({ pts }) => flat(pts, true)) : [];
    const { area } = sizeOf(it);
    if (rings.length > 0 && area < least && inside(rings, x, y)) [id, least] = [it.id, area];
  }
  return { handle: null, id };
}

/** @type {Map<number, Corner>} */
const fingers = new Map();
/** @type {any} */
let grip = null;
/** @type {PointerEvent|null} */
let lastMove = null;
let lastTap = { at: 0, px: 0, py: 0 };

/** @param {PointerEvent} event */
function onSheet(event) {
  const box = svg.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

const holds = (/** @type {PointerEvent|KeyboardEvent} */ event) => event.shiftKey || el("square").checked;

svg.addEventListener("pointerdown", (/** @type {PointerEvent} */ event) => {
  if (event.button > 1) return;
  event.preventDefault();
  svg.focus({ preventScroll: true });
  svg.setPointerCapture(event.pointerId);
  const [px, py] = onSheet(event);
  fingers.set(event.pointerId, [px, py]);
  if (fingers.size === 2) {
    rollback();
    dragging = false;
    grip = { kind: "pinch" };
    return;
  }
  if (fingers.size > 2) return;
  const touch = event.pointerType !== "mouse";
  grip = { kind: "maybe", px, py, touch, hit: mode === "move" ? under(px, py, touch) : { handle: null, id: "" }, pan: event.button === 1 };
});

svg.addEventListener("pointermove", (/** @type {PointerEvent} */ event) => {
  if (grip?.kind === "pinch") return pinch(event);
  if (fingers.size > 1) return;
  lastMove = event;
  ask();
});

/** @param {PointerEvent} event */
function pinch(event) {
  const before = [...fingers.values()];
  fingers.set(event.pointerId, onSheet(event));
  const after = [...fingers.values()];
  if (before.length < 2) return;
  const middle = (/** @type {Corner[]} */ [a, b]) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const [m, n] = [middle(before), middle(after)];
  pan(n[0] - m[0], n[1] - m[1]);
  zoomAt(n[0], n[1], apart(after[0], after[1]) / Math.max(apart(before[0], before[1]), 1));
}

/** A move of the pointer, once a frame. @param {PointerEvent} event */
function moved(event) {
  const [px, py] = onSheet(event);
  if (!grip) return hover(event, px, py);
  if (grip.kind === "maybe") {
    if (Math.hypot(px - grip.px, py - grip.py) < (grip.touch ? 9 : 4)) return;
    startDrag();
  }
  if (grip.kind === "pan") {
    pan(px - grip.px, py - grip.py);
    [grip.px, grip.py] = [px, py];
    return;
  }
  drag(event, px, py);
}

/** @param {PointerEvent} event @param {number} px @param {number} py */
function hover(event, px, py) {
  if (mode === "move" || event.pointerType !== "mouse") return;
  byKeys = false;
  const at = snapped(toWorld(px, py), { hold: holds(event) });
  cursor = [at.x, at.y];
  [snapKind, snapAt] = [at.kind, cursor];
}

function startDrag() {
  const { hit, touch, pan: panning } = grip;
  const item = items.get(hit.id);
  const [x, y] = toWorld(grip.px, grip.py);
  if (panning || mode !== "move" || !item || (!hit.handle && (shapeOf(item) !== "point" || (touch && hit.id !== sel.id)))) {
    grip.kind = "pan";
    return;
  }
  dragging = true;
  if (!hit.handle) {
    if (hit.id !== sel.id) select(hit.id);
    grip = { ...grip, kind: "corner", refs: [{ id: hit.id, p: 0, r: 0, i: 0 }], off: [item.at[0][0] - x, item.at[0][1] - y] };
    return;
  }
  const h = hit.handle;
  if (h.kind === "corner") {
    const ref = { id: sel.id, p: h.p, r: h.r, i: h.i };
    select(sel.id, ref);
    grip = { ...grip, kind: "corner", refs: jointed(ref), off: [h.x - x, h.y - y] };
  } else grip = { ...grip, kind: h.kind, at: [x, y], h, start: item };
}

/** @param {PointerEvent} event @param {number} px @param {number} py */
function drag(event, px, py) {
  const [x, y] = toWorld(px, py);
  const item = items.get(sel.id);
  if (!item) return;
  if (grip.kind === "corner") {
    const at = snapped([x + grip.off[0], y + grip.off[1]], { moving: grip.refs });
    [snapKind, snapAt] = [at.kind, [at.x, at.y]];
    return moveCorners(grip.refs, () => [at.x, at.y]);
  }
  if (grip.kind === "whole") {
    shiftItem(sel.id, x - grip.at[0], y - grip.at[1]);
    grip.at = [x, y];
    return;
  }
  if (grip.kind === "mid") {
    const { p, r, i } = grip.h;
    const pts = path(item, p, r);
    const [a, b] = [pts[i], pts[(i + 1) % pts.length]];
    const chord = apart(a, b);
    let bow = ((x - a[0]) * (b[1] - a[1]) - (y - a[1]) * (b[0] - a[0])) / chord;
    if (Math.abs(bow) * view.s < 6) bow = 0;
    else if (el("snap").checked) bow = Math.round(bow / step * 2) * step / 2;
    return bend({ id: sel.id, p, r, i }, fitBow(bow, chord));
  }
  const snapOn = el("snap").checked;
  const at = item.at[0];
  const far = apart(at, [x, y]);
  const thing = { ...item.thing };
  if (grip.kind === "crown") thing.crown_m = tidy(Math.min(30, Math.max(0.05, snapOn ? Math.round(far / step) * step : far)));
  else if (grip.kind === "radius") thing.radius_m = tidy(Math.min(40, Math.max(0.3, snapOn ? Math.round(far / step) * step : far)));
  else {
    const fine = snapOn ? 5 : 1;
    const to = Math.round(bearing(at, [x, y]) / fine) * fine;
    const end = (thing.arc_from_deg ?? 0) + thing.arc_deg;
    // The arc's start turns the one end and leaves the other where it is.
    if (grip.kind === "from") thing.arc_from_deg = to % 360;
    const width = grip.kind === "from" ? end - to : to - (thing.arc_from_deg ?? 0);
    thing.arc_deg = ((width % 360) + 360) % 360 || 360;
  }
  put(sel.id, { ...item, thing });
}

/** @param {PointerEvent} event */
function released(event) {
  if (!fingers.delete(event.pointerId)) return;
  if (grip?.kind === "pinch") {
    if (fingers.size === 0) grip = null;
    return;
  }
  if (lastMove && grip && event.type === "pointerup") moved(lastMove);
  lastMove = null;
  const held = grip;
  grip = null;
  dragging = false;
  snapKind = "";
  if (!held) return;
  if (event.type !== "pointerup") {
    rollback();
    return ask();
  }
  if (held.kind === "maybe") tapped(event, held);
  else if (held.kind !== "pan") commit(sel.i >= 0 ? cornerTold() : `${nameOf(items.get(sel.id))}: ${sizeTold(items.get(sel.id))}.`);
}
svg.addEventListener("pointerup", released);
svg.addEventListener("pointercancel", released);
svg.addEventListener("pointerleave", () => {
  if (grip || byKeys || mode === "move") return;
  cursor = null;
  ask();
});

/** @param {PointerEvent} event @param {any} held */
function tapped(event, held) {
  const [px, py] = onSheet(event);
  if (mode === "move") {
    const { handle, id } = held.hit;
    if (handle?.kind === "mid") return addCorner({ id, p: handle.p, r: handle.r, i: handle.i });
    if (handle?.kind === "corner") {
      select(id, { p: handle.p, r: handle.r, i: handle.i });
      return say(cornerTold());
    }
    if (handle) return;
    select(id);
    return say(id ? `${nameOf(items.get(id))}: ${sizeTold(items.get(id))}.` : "Nothing chosen.");
  }
  const twice = event.timeStamp - lastTap.at < 350 && Math.hypot(px - lastTap.px, py - lastTap.py) < 10;
  lastTap = { at: event.timeStamp, px, py };
  if (twice && mode === "draw" && drawnShape() !== "point" && draft.length > 1) return finish();
  const [fx, fy] = draft.length >= 3 ? toScreen(draft[0]) : [Infinity, 0];
  if (mode === "draw" && drawnShape() === "ring" && Math.hypot(fx - px, fy - py) < (held.touch ? 24 : SNAP_PX)) return finish();
  byKeys = false;
  const at = snapped(toWorld(px, py), { hold: holds(event) });
  placeCorner([at.x, at.y]);
  cursor = held.touch ? null : cursor;
}

svg.addEventListener("wheel", (/** @type {WheelEvent} */ event) => {
  event.preventDefault();
  const box = svg.getBoundingClientRect();
  const lines = event.deltaMode === 1 ? 16 : 1;
  zoomAt(event.clientX - box.left, event.clientY - box.top, Math.exp(-event.deltaY * lines * 0.0015));
}, { passive: false });

// Keys.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

svg.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const done = mode === "move" ? keyMoves(event) : keyDraws(event);
  if (done || keyZooms(event)) event.preventDefault();
});

/** @param {KeyboardEvent} event */
function keyZooms(event) {
  if (event.key === "+" || event.key === "=") zoomAt(width / 2, height / 2, 1.25);
  else if (event.key === "-") zoomAt(width / 2, height / 2, 0.8);
  else if (event.key === "0") fit();
  else return false;
  return true;
}

/** @param {KeyboardEvent} event */
function keyMoves(event) {
  const item = items.get(sel.id);
  const arrow = ARROWS[event.key];
  const far = event.shiftKey ? farStep : step;
  if (arrow) {
    if (!item) pan(-arrow[0] * 60, arrow[1] * 60);
    else if (sel.i >= 0 && shapeOf(item) !== "point") {
      moveCorners(jointed(sel), ([x, y]) => [x + arrow[0] * far, y + arrow[1] * far]);
      commit(cornerTold());
    } else {
      shiftItem(sel.id, arrow[0] * far, arrow[1] * far);
      commit(`${nameOf(item)}: ${sizeTold(items.get(sel.id))}.`);
    }
    return true;
  }
  if (event.key === "Escape" && sel.id) {
    select("");
    say("Nothing chosen.");
    return true;
  }
  if (!item) return false;
  if (event.key === "[" || event.key === "]") stepCorner(event.key === "]" ? 1 : -1);
  else if (event.key === "Insert" && sel.i >= 0) addCorner(sel);
  else if (event.key === "Delete" || event.key === "Backspace") {
    if (sel.i >= 0 && shapeOf(item) !== "point") removeCorner(sel);
    else removeItem(sel.id);
  } else return false;
  return true;
}

/** @param {number} by */
function stepCorner(by) {
  const item = items.get(sel.id);
  if (!item || shapeOf(item) === "point") return;
  const all = pathsOf(item).flatMap(({ p, r, pts }) => pts.map((_, i) => ({ p, r, i })));
  if (all.length === 0) return;
  const now = all.findIndex((c) => c.p === sel.p && c.r === sel.r && c.i === sel.i);
  select(sel.id, all[now < 0 ? (by > 0 ? 0 : all.length - 1) : (now + by + all.length) % all.length]);
  say(cornerTold());
}

/** @param {KeyboardEvent} event */
function keyDraws(event) {
  const box = el("side-length");
  const arrow = ARROWS[event.key];
  const typing = box.value !== "";
  if (arrow) {
    const far = event.shiftKey ? farStep : step;
    leadCross([arrow[0] * far, arrow[1] * far]);
  } else if (event.key === " ") {
    if (cursor) {
      const joint = snappedCorner(cursor);
      placeCorner(joint ?? cursor);
    }
  } else if (event.key === "Enter") {
    if (typing) setLength();
    else if (mode === "draw" && drawnShape() !== "point") finish();
    else if (cursor) placeCorner(cursor);
  } else if (event.key === "Escape") {
    if (draft.length === 0 && !typing) setMode("move");
    draft = [];
    box.value = "";
    say("Given up.");
  } else if (event.key === "Backspace") {
    if (typing) box.value = box.value.slice(0, -1);
    else backOne();
  } else if (mode === "draw" && draft.length > 0 && /^[\d.,'"]$/.test(event.key)) {
    box.value += event.key;
    say(`${box.value} ${U.length}, Enter sets it.`);
  } else return false;
  ask();
  return true;
}

/** Moves the cross, which begins at the last corner, or in the middle of the sheet on a round place. @param {Corner} by */
function leadCross([dx, dy]) {
  if (!cursor) {
    const [x, y] = toWorld(width / 2, height / 2);
    cursor = draft[draft.length - 1] ?? [Math.round(x / farStep) * farStep, Math.round(y / farStep) * farStep];
  }
  cursor = [tidy(cursor[0] + dx), tidy(cursor[1] + dy)];
  byKeys = true;
  snapKind = "";
  const [px, py] = toScreen(cursor);
  pan(px < 20 ? 60 - px : px > width - 20 ? width - 60 - px : 0, py < 20 ? 60 - py : py > height - 20 ? height - 60 - py : 0);
  const from = draft[draft.length - 1];
  say(from ? `${placeTold(cursor)}; side ${lengthText(apart(from, cursor))}.` : placeTold(cursor));
}

/** A corner that lies within a key's step. @param {Corner} at */
function snappedCorner(at) {
  let best = null;
  let near = step * 0.75;
  for (const item of items.values()) {
    if (shapeOf(item) === "point") continue;
    for (const { pts } of pathsOf(item)) {
      for (const c of pts) if (apart(c, at) < near) [best, near] = [c, apart(c, at)];
    }
  }
  return el("snap").checked ? best : null;
}

function backOne() {
  draft.pop();
  say(draft.length > 0 ? `${draft.length} corners left.` : "No corner left.");
  ask();
}

document.addEventListener("keydown", (event) => {
  const typing = event.target instanceof HTMLElement && event.target.matches("input[type=text], input[type=date], textarea");
  if (typing || !(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  if (key !== "z" && key !== "y") return;
  event.preventDefault();
  takeBack(key === "y" || event.shiftKey ? "redo" : "undo");
});

/** @param {string} id */
function removeItem(id) {
  const item = items.get(id);
  if (!item) return;
  put(id, undefined);
  select("");
  commit(`${nameOf(item)} taken off the map. Undo brings it back.`);
}

// The panel of what is chosen.

/** What the fields do when they change. @type {Map<string, (value: any) => void>} */
let actions = new Map();
let panelShape = "";

/** @typedef {{id: string, label: string, value: any, unit?: string, options?: string[][], check?: boolean, number?: boolean, set: (value: any) => void}} Field */

/** @param {Item} item @param {string} id @param {string} label @param {string} name @param {number} per @param {string} unit @param {number} decimals @returns {Field} */
function measure(item, id, label, name, per, unit, decimals) {
  const needed = !isArea(item) && name in KINDS[item.thing.is].fresh();
  const place = isArea(item) ? "facts" : "thing";
  const value = item[place][name];
  return {
    id, label, unit, number: true, value: value === undefined || value === null ? "" : fieldText(value * per, decimals),
    set: (text) => {
      const number = numberOf(text, per === U.per_m && !metric);
      if (number === null && (needed || text.trim() !== "")) return say(text.trim() === "" ? `${label} is needed.` : `“${text}” is not a number.`);
      const next = { ...item[place] };
      if (number === null) delete next[name];
      else next[name] = Number((number / per).toPrecision(12));
      put(item.id, { ...item, [place]: next });
      commit(`${label}: ${text}.`);
    },
  };
}

/** @param {Item} item @param {string} id @param {string} label @param {string} name @param {string[][]} options @returns {Field} */
function choice(item, id, label, name, options) {
  const place = isArea(item) ? "facts" : "thing";
  return {
    id, label, options, value: item[place][name] ?? "",
    set: (value) => {
      const next = { ...item[place], [name]: value };
      if (value === "") delete next[name];
      if (name === "cover") {
        if (value !== "turf") delete next.grass;
        else next.grass = usual("grass", data.grasses);
      }
      put(item.id, { ...item, [place]: next });
      commit(`${label}: ${options.find(([key]) => key === value)?.[1] ?? ""}.`);
    },
  };
}

const choices = (/** @type {{key: string, name: string}[]} */ list) => list.map(({ key, name }) => [key, name]);
const zoneChoices = () => [["", "none"], ...choices(data.zones)];

/** @param {Item} item @returns {Field[]} */
function fieldsOf(item) {
  const name = {
    id: "p-name", label: "Name", value: nameOf(item),
    set: (/** @type {string} */ text) => {
      const to = text.trim();
      if (to === "") return say("A name is needed.");
      put(item.id, isArea(item) ? { ...item, facts: { ...item.facts, name: to } } : { ...item, name: to });
      commit(`Name: ${to}.`);
    },
  };
  const m = (/** @type {string} */ id, /** @type {string} */ label, /** @type {string} */ field) => measure(item, id, label, field, U.per_m, U.length, 2);
  if (isArea(item)) {
    const cover = item.facts.cover ?? "turf";
    return [
      name,
      choice(item, "p-cover", "Cover", "cover", Object.entries(COVERS)),
      ...(cover === "turf" ? [choice(item, "p-grass", "Grass", "grass", choices(data.grasses))] : []),
      choice(item, "p-soil", "Soil", "soil", choices(data.soils)),
      ...(cover === "hedge" ? [m("p-height", "Height", "height_m")] : []),
      {
        id: "p-measured", label: "How it was measured", value: item.measured,
        set: (text) => {
          put(item.id, { ...item, measured: text.trim() });
          commit("Noted.");
        },
      },
    ];
  }
  const degrees = (/** @type {string} */ id, /** @type {string} */ label, /** @type {string} */ field) => measure(item, id, label, field, 1, "°", 1);
  const of = {
    building: () => [m("p-height", "Height", "height_m")],
    tree: () => [
      m("p-height", "Height", "height_m"), m("p-crown", "Radius of the crown", "crown_m"), m("p-base", "Crown begins at", "base_m"),
      {
        id: "p-evergreen", label: "Keeps its leaves in winter", check: true, value: item.thing.evergreen === true,
        set: (/** @type {boolean} */ on) => {
          put(item.id, { ...item, thing: { ...item.thing, evergreen: on } });
          commit(on ? "Evergreen." : "Sheds its leaves.");
        },
      },
    ],
    head: () => [
      choice(item, "p-zone", "Zone", "zone", zoneChoices()),
      {
        id: "p-nozzle", label: "Nozzle", value: item.thing.nozzle ?? "",
        set: (/** @type {string} */ text) => {
          put(item.id, { ...item, thing: { ...item.thing, nozzle: text.trim() } });
          commit("Nozzle noted.");
        },
      },
      m("p-radius", "Throw", "radius_m"), measure(item, "p-flow", "Flow", "flow_lpm", U.per_lpm, U.flow, 2),
      degrees("p-from", "Arc starts at", "arc_from_deg"), degrees("p-arc", "Arc", "arc_deg"),
      degrees("p-lean", "Leans by", "lean_deg"), degrees("p-lean-to", "Leans towards", "lean_to_deg"),
    ],
    valve: () => [choice(item, "p-zone", "Zone", "zone", zoneChoices())],
    pipe: () => [
      choice(item, "p-role", "Pipe", "role", [["main", "main, under pressure"], ["lateral", "lateral, behind a valve"]]),
      choice(item, "p-zone", "Zone", "zone", zoneChoices()),
      measure(item, "p-bore", "Inner diameter", "bore_mm", U.per_mm, U.depth, 3),
    ],
    "buried-line": () => [choice(item, "p-of", "What runs in it", "of", BURIED.map((word) => [word, word]))],
    level: () => [m("p-height", "Height over the mark", "height_m")],
  }[item.thing.is]?.() ?? [];
  return [name, ...of];
}

/** Fields of the chosen corner, or of the one place of a point. @param {Item} item @returns {Field[]} */
function cornerFields(item) {
  const point = shapeOf(item) === "point";
  if (!point && sel.i < 0) return [];
  const ref = point ? { id: item.id, p: 0, r: 0, i: 0 } : sel;
  const pts = path(item, ref.p, ref.r);
  const at = pts[ref.i];
  const next = pts[(ref.i + 1) % pts.length];
  const decimals = metric ? 3 : 2;
  /** @param {string} id @param {string} label @param {number} value @param {(m: number) => void} change @returns {Field} */
  const field = (id, label, value, change) => ({
    id, label, unit: U.length, number: true, value: fieldText(value * U.per_m, decimals),
    set: (text) => {
      const metres = metresOf(text);
      if (metres === null) return say(`“${text}” is not a number.`);
      change(metres);
      commit(point ? `${nameOf(item)}: ${text} ${U.length}.` : cornerTold());
    },
  });
  const list = [
    field("c-east", "East", at[0], (x) => moveCorners(jointed(ref), (c) => [x, c[1]])),
    field("c-north", "North", at[1], (y) => moveCorners(jointed(ref), (c) => [c[0], y])),
  ];
  if (!point && (shapeOf(item) === "ring" || ref.i + 1 < pts.length)) {
    list.push(field("c-side", "Side after it", apart(at, next), (long) => {
      const chord = apart(at, next);
      const end = { ...ref, i: (ref.i + 1) % pts.length };
      if (long > 0 && chord > 0) moveCorners(jointed(end), () => [at[0] + (next[0] - at[0]) / chord * long, at[1] + (next[1] - at[1]) / chord * long]);
    }));
    list.push(field("c-bow", "Bow of the side", bowOf(at), (bow) => bend(ref, fitBow(bow, apart(at, next)))));
  }
  return list;
}

/** @param {Field} f */
function fieldNode(f) {
  const { id, label, unit, options, check, number } = f;
  if (check) return htmlNode("label", { class: "box" }, htmlNode("input", { type: "checkbox", id }), label);
  const input = options
    ? htmlNode("select", { id }, ...options.map(([value, word]) => htmlNode("option", { value }, word)))
    : htmlNode("input", { type: "text", id, autocomplete: "off", inputmode: number ? "decimal" : undefined, maxlength: number ? 20 : id === "p-measured" ? 4000 : 80 });
  return htmlNode("div", { class: number ? "field short" : "field" }, htmlNode("label", { for: id }, label), htmlNode("div", { class: "entry" }, input, ...(unit ? [htmlNode("span", { class: "unit" }, unit)] : [])));
}

const panel = el("map-panel");
const list = htmlNode("select", { id: "map-list" });
const listField = htmlNode("div", { class: "field" }, htmlNode("label", { for: "map-list" }, "On the map"), list);
const things = htmlNode("div", { class: "map-fields" });
panel.append(listField, things);
list.addEventListener("change", () => {
  if (mode !== "move") setMode("move");
  select(list.value);
  const item = items.get(sel.id);
  if (!item) return;
  say(`${nameOf(item)}: ${isArea(item) && item.pieces.length === 0 ? "not drawn yet" : sizeTold(item)}.`);
  reveal(item);
});

/** Shifts the sheet so that an item can be seen. @param {Item} item */
function reveal(item) {
  const all = pathsOf(item).flatMap(({ pts }) => pts);
  if (all.length === 0 || all.some((c) => { const [x, y] = toScreen(c); return x > 10 && y > 10 && x < width - 10 && y < height - 10; })) return;
  const [x, y] = toScreen(all[0]);
  pan(width / 2 - x, height / 2 - y);
}

function showList() {
  const groups = new Map([["", [["", items.size === 0 ? "nothing yet" : "choose …"]]]]);
  const add = (/** @type {string} */ group, /** @type {string[]} */ option) => groups.set(group, [...(groups.get(group) ?? []), option]);
  for (const item of items.values()) {
    if (isArea(item)) add("Areas", [item.id, `${nameOf(item)} – ${(COVERS[item.facts.cover ?? "turf"]).toLowerCase()}, ${item.pieces.length > 0 ? areaText(sizeOf(item).area) : "not drawn"}`]);
  }
  for (const zone of data.zones) add("Zones", [`z:${zone.key}`, `${zone.name} – ${[...items.values()].filter((i) => i.thing?.is === "head" && i.thing.zone === zone.key).length} heads`]);
  for (const item of items.values()) if (!isArea(item)) add(`${KINDS[item.thing.is].word}s`, [item.id, nameOf(item)]);
  list.replaceChildren(...[...groups].flatMap(([group, options]) => {
    const made = options.map(([value, word]) => htmlNode("option", { value }, word));
    return group === "" ? made : [htmlNode("optgroup", { label: group }, ...made)];
  }));
  list.value = sel.id;
}

/** @param {string} id @param {string} word @param {() => void} act @param {string} [label] */
function button(id, word, act, label) {
  actions.set(id, act);
  return htmlNode("button", { type: "button", id, class: "quiet", "aria-label": label }, word);
}

function showPanel() {
  const item = items.get(sel.id);
  const fields = item ? fieldsOf(item) : [];
  const corners = item ? cornerFields(item) : [];
  const ring = item && shapeOf(item) !== "point" && pathsOf(item).length > 0;
  const shape = [sel.id, ring, sel.i >= 0, ...fields.map((f) => f.id + (f.options?.length ?? "")), "/", ...corners.map((f) => f.id)].join(" ");
  const told = sel.i >= 0 && item ? `Corner ${sel.i + 1} of ${path(item, sel.p, sel.r).length}` : "Corners";
  if (shape !== panelShape) {
    panelShape = shape;
    actions = new Map();
    const focused = panel.contains(document.activeElement) ? document.activeElement?.id : "";
    /** @type {Node[]} */
    const parts = fields.filter((f) => !f.number).map(fieldNode);
    const numbers = fields.filter((f) => f.number).map(fieldNode);
    if (numbers.length > 0) parts.splice(fields.findIndex((f) => f.number), 0, htmlNode("div", { class: "map-short" }, ...numbers));
    if (item && (ring || corners.length > 0)) {
      const heading = ring
        ? htmlNode("div", { class: "map-corner" }, button("c-before", "‹", () => stepCorner(-1), "Corner before"), htmlNode("span", { id: "c-told" }, told), button("c-after", "›", () => stepCorner(1), "Corner after"))
        : htmlNode("span", { id: "c-told", class: "hidden" }, "");
      const inside = [heading, htmlNode("div", { class: "map-short" }, ...corners.map(fieldNode))];
      if (ring && sel.i >= 0) inside.push(htmlNode("div", { class: "map-row" }, button("c-add", "Add a corner after it", () => addCorner(sel)), button("c-out", "Take it out", () => removeCorner(sel))));
      parts.push(htmlNode("div", { class: "map-group" }, ...inside));
    }
    if (item) {
      const row = [];
      if (!isArea(item) && shapeOf(item) === "point") row.push(button("p-copy", "Copy beside it", copyItem));
      if (isArea(item) && sel.r > 0) row.push(button("p-hole", "Close this hole", closeHole));
      if (isArea(item) && sel.i >= 0 && sel.r === 0 && item.pieces.length > 1) row.push(button("p-piece", "Take this piece out", dropPiece));
      row.push(button("p-delete", "Take it off the map", () => removeItem(sel.id)));
      parts.push(htmlNode("div", { class: "map-row" }, ...row));
    }
    things.replaceChildren(...parts);
    if (focused) el(focused)?.focus();
  }
  for (const f of [...fields, ...corners]) {
    actions.set(f.id, f.set);
    const input = el(f.id);
    if (f.check) input.checked = f.value;
    else if (input.value !== f.value) input.value = f.value;
  }
  const heading = el("c-told");
  if (heading && heading.textContent !== told && ring) heading.textContent = told;
}

things.addEventListener("change", (/** @type {any} */ event) => {
  const input = event.target;
  actions.get(input.id)?.(input.type === "checkbox" ? input.checked : input.value);
  showPanel();
});
things.addEventListener("click", (/** @type {any} */ event) => {
  const id = event.target.closest("button")?.id;
  if (id) actions.get(id)?.(undefined);
});
things.addEventListener("keydown", (/** @type {any} */ event) => {
  if (event.key === "Enter" && event.target.matches("input[type=text]")) actions.get(event.target.id)?.(event.target.value);
});

function copyItem() {
  const item = items.get(sel.id);
  const word = KINDS[item.thing.is].word;
  const name = freshName(word);
  const key = freshKey("t", name);
  const [x, y] = item.at[0];
  const id = `t:${key}`;
  put(id, { ...item, id, key, name, thing: { ...item.thing }, at: [corner(x + Math.max(farStep, 30 / view.s), y)] });
  select(id);
  commit(`${name}, like ${nameOf(item)}, set beside it.`);
}

function closeHole() {
  const item = items.get(sel.id);
  const { p, r } = sel;
  put(sel.id, { ...item, pieces: item.pieces.map((piece, k) => (k === p ? { ...piece, holes: piece.holes.filter((_, h) => h !== r - 1) } : piece)) });
  select(sel.id);
  commit("Hole closed.");
}

function dropPiece() {
  const item = items.get(sel.id);
  const { p } = sel;
  put(sel.id, { ...item, pieces: item.pieces.filter((_, k) => k !== p) });
  select(sel.id);
  commit("Piece taken out.");
}

/** The choices of what to draw; pieces and holes only where an area is chosen. */
function buildWhat() {
  const box = el("what");
  const item = items.get(sel.id);
  const groups = { "": [], Ground: Object.entries(COVERS), Water: [], "On and in the ground": [] };
  if (item && isArea(item)) {
    groups[""].push(["piece", item.pieces.length > 0 ? `Another piece of ${nameOf(item)}` : `Outline of ${nameOf(item)}`]);
    if (item.pieces.length > 0) groups[""].push(["hole", `Hole in ${nameOf(item)}`]);
  }
  const word = (/** @type {string} */ is) => [is, KINDS[is].word];
  groups.Water.push(word("head"), word("valve"), word("controller"), ["pipe:main", "Main pipe"], ["pipe:lateral", "Lateral pipe"]);
  groups["On and in the ground"].push(...["building", "tree", "level", "buried-line", "well", "water-edge", "play", "pets"].map(word));
  const shape = JSON.stringify(groups);
  if (box.dataset.shape === shape) return;
  const before = box.value;
  box.dataset.shape = shape;
  box.replaceChildren(...Object.entries(groups).flatMap(([group, options]) => {
    const made = options.map(([value, text]) => htmlNode("option", { value }, text));
    return group === "" ? made : [htmlNode("optgroup", { label: group }, ...made)];
  }));
  box.value = [...box.options].some((o) => o.value === before) ? before : "turf";
  if (item && isArea(item) && item.pieces.length === 0) box.value = "piece";
}

// Water as it falls.

const water = { image: svgNode("image", { preserveAspectRatio: "none", class: "water" }, layer.water), told: "", busy: false, again: false, zone: "" };

/** The zone that is chosen, by itself or by one of its parts. */
function zoneShown() {
  if (sel.id.startsWith("z:")) return sel.id.slice(2);
  return items.get(sel.id)?.thing?.zone ?? "";
}

/** @param {string} id */
function isWet(id) {
  if (!el("water").checked) return false;
  const item = items.get(id);
  return !item || item.thing?.is === "head" || isArea(item);
}

/** Asks how the water falls, one question at a time; what changed meanwhile is asked next. */
async function askWater() {
  if (!el("water").checked) return hideWater();
  water.zone = zoneShown() || water.zone || [...items.values()].find((i) => i.thing?.is === "head" && i.thing.zone)?.thing.zone || "";
  const zone = data.zones.find((/** @type {any} */ z) => z.key === water.zone);
  const ground = (zone?.areas ?? []).flatMap((/** @type {string} */ key) => items.get(`a:${key}`)?.pieces ?? []);
  const heads = [...items.values()].filter((i) => i.thing?.is === "head" && i.thing.zone === water.zone).map(({ thing: { is, ...facts }, at }) => ({ at: at[0].slice(0, 2), ...facts }));
  if (ground.length === 0 || heads.length === 0) return hideWater(zone ? `${zone.name}: no heads or no drawn ground` : "no zone has heads yet");
  if (water.busy) {
    water.again = true;
    return;
  }
  water.busy = true;
  try {
    const answer = await fetch("/map/coverage", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ ground, heads }) });
    if (answer.ok) showWater(await answer.json());
    else hideWater("the water cannot be worked out for this drawing");
  } catch {
    hideWater("Toft does not answer");
  }
  water.busy = false;
  if (water.again) {
    water.again = false;
    askWater();
  }
}

/** @param {string} [told] */
function hideWater(told = "") {
  water.image.removeAttribute("href");
  water.told = told;
  ask();
}

const CELL_PX = 6;
const canvas = document.createElement("canvas");
/** How strong each step of the picture is painted, from dry to flooded. */
const STRENGTHS = [0, 0.2, 0.38, 0.56, 0.72, 0.88];

/** Paints the steps: stronger is wetter; what is dry is hatched as well, what is flooded is dotted. @param {any} answer */
function showWater(answer) {
  const pen = canvas.getContext("2d");
  if (!el("water").checked || !pen) return;
  const { origin, cell, columns, rows, steps } = answer;
  canvas.width = columns * CELL_PX;
  canvas.height = rows * CELL_PX;
  const inks = getComputedStyle(svg);
  pen.fillStyle = inks.getPropertyValue("--water").trim();
  const dry = new Path2D();
  const flooded = new Path2D();
  for (let k = 0; k < steps.length; k += 1) {
    const strength = STRENGTHS[steps.charCodeAt(k) - 48];
    if (strength === undefined) continue;
    const [x, y] = [(k % columns) * CELL_PX, (rows - 1 - Math.floor(k / columns)) * CELL_PX];
    pen.globalAlpha = strength;
    if (strength > 0) pen.fillRect(x, y, CELL_PX, CELL_PX);
    if (steps[k] === "0") {
      dry.moveTo(x, y + CELL_PX);
      dry.lineTo(x + CELL_PX, y);
    } else if (steps[k] === "5" && (k % columns + Math.floor(k / columns)) % 2 === 0) flooded.rect(x + 2, y + 2, 2.5, 2.5);
  }
  const ink = inks.getPropertyValue("--ink").trim();
  pen.globalAlpha = 0.6;
  pen.strokeStyle = ink;
  pen.stroke(dry);
  pen.fillStyle = ink;
  pen.fill(flooded);
  const [wide, high] = [columns * cell, rows * cell];
  const placed = { width: wide, height: high, transform: `matrix(1 0 0 -1 ${origin[0]} ${origin[1] + high})`, href: canvas.toDataURL() };
  for (const [name, value] of Object.entries(placed)) water.image.setAttribute(name, String(value));
  water.told = `${plain(answer.mean_mm_h * U.per_mm, metric ? 1 : 2)} ${U.rate}, evenness ${plain(answer.du_lq * 100, 0)} %, off target ${plain(answer.off_target * 100, 0)} %`;
  ask();
}

// Saving.

/** What of an item is kept, as text. @param {Item} item */
const kept = (item) => JSON.stringify(isArea(item) ? [item.facts, item.pieces, item.measured] : [item.name, item.thing, item.at]);

/** The entries' bodies of everything that changed. */
function changes() {
  const bodies = [];
  for (const [id, item] of items) {
    const before = saved.get(id);
    const now = kept(item);
    if (before === now) continue;
    if (!isArea(item)) {
      bodies.push({ kind: "mapped/1", key: item.key, name: item.name, thing: item.thing, at: item.at });
      continue;
    }
    const [facts, pieces, measured] = before ? JSON.parse(before) : [null, [], ""];
    if (!before) bodies.push({ kind: "area/1", ...item.facts, size_m2: Number(sizeOf(item).area.toFixed(3)) });
    else if (JSON.stringify(facts) !== JSON.stringify(item.facts)) bodies.push({ kind: "area/1", ...item.facts });
    if (JSON.stringify([pieces, measured]) !== JSON.stringify([item.pieces, item.measured])) {
      bodies.push({ kind: "outline/1", area: item.facts.key, pieces: item.pieces.map(({ ring, holes }) => (holes.length > 0 ? { ring, holes } : { ring })), ...(item.measured ? { measured: item.measured } : {}) });
    }
  }
  for (const [id, text] of saved) {
    if (items.has(id)) continue;
    const [head, second, third] = JSON.parse(text);
    if (id.startsWith("a:")) bodies.push({ kind: "area/1", ...head, retired: true });
    else bodies.push({ kind: "mapped/1", key: id.slice(2), name: head, thing: second, at: third, removed: true });
  }
  return bodies;
}

function unsavedCount() {
  let count = 0;
  for (const [id, item] of items) if (saved.get(id) !== kept(item)) count += 1;
  for (const id of saved.keys()) if (!items.has(id)) count += 1;
  return count;
}

function showUnsaved() {
  const count = unsavedCount();
  el("map-unsaved").textContent = count === 0 ? "nothing to save" : `${count} changed`;
}

let leaving = false;
window.addEventListener("beforeunload", (event) => {
  if (!leaving && unsavedCount() > 0) event.preventDefault();
});
window.addEventListener("pageshow", () => { leaving = false; });

const form = el("map-form");
form.addEventListener("submit", async (/** @type {SubmitEvent} */ event) => {
  event.preventDefault();
  if (leaving) return;
  const bodies = changes();
  const told = (/** @type {string} */ text) => {
    el("map-unsaved").textContent = text;
    say(text);
  };
  if (mode === "draw" && draft.length > 0) return told("Finish or cancel what is being drawn first.");
  if (bodies.length === 0) return told("Nothing is changed.");
  const text = JSON.stringify(bodies);
  if (encodeURIComponent(text).length > data.bytes_max - 1000) return told("This is more than one saving takes. Take some steps back, save, and go on from there.");
  leaving = true;
  el("map-changes").value = text;
  // A page that cannot be reached would take the drawing with it.
  const there = await fetch("/healthz", { cache: "no-store" }).then((answer) => answer.ok, () => false);
  if (there) return form.submit();
  leaving = false;
  told("Toft does not answer. Nothing is saved; the drawing is still here.");
});

// Beginning.

/** @param {any} facts @param {any[]} pieces @param {string} measured @returns {AreaItem} */
const areaItem = (facts, pieces, measured) => ({ id: `a:${facts.key}`, facts, measured: measured ?? "", pieces: pieces.map((p) => ({ ring: p.ring, holes: p.holes ?? [] })) });
/** @param {any} m @returns {ThingItem} */
const thingItem = ({ key, name, thing, at }) => ({ id: `t:${key}`, key, name, thing, at });

for (const { facts, pieces, measured } of data.areas) items.set(`a:${facts.key}`, areaItem(facts, pieces, measured));
for (const thing of data.things) items.set(`t:${thing.key}`, thingItem(thing));
for (const [id, item] of items) saved.set(id, kept(item));
for (const body of data.draft ?? []) takeUp(body);
for (const id of items.keys()) touched.add(id);

/** A drawing that was sent and refused goes on where it was. @param {any} body */
function takeUp({ kind, ...facts }) {
  if (kind === "area/1") {
    const { retired, ...rest } = facts;
    const before = items.get(`a:${rest.key}`);
    if (retired) items.delete(`a:${rest.key}`);
    else items.set(`a:${rest.key}`, areaItem(rest, before?.pieces ?? [], before?.measured));
  } else if (kind === "outline/1") {
    const before = items.get(`a:${facts.area}`);
    if (before) items.set(before.id, areaItem(before.facts, facts.pieces, facts.measured));
  } else if (kind === "mapped/1") {
    if (facts.removed) items.delete(`t:${facts.key}`);
    else items.set(`t:${facts.key}`, thingItem(/** @type {any} */ (facts)));
  }
}

el("tool-move").addEventListener("click", () => setMode("move"));
el("tool-tape").addEventListener("click", () => {
  setMode("tape");
  svg.focus({ preventScroll: true });
});
el("tool-draw").addEventListener("click", (/** @type {MouseEvent} */ event) => {
  startDrawing();
  svg.focus({ preventScroll: true });
  // Pressed with a key: the cross stands ready.
  if (event.detail === 0) leadCross([0, 0]);
});
el("what").addEventListener("change", () => { if (mode === "draw") setMode("move"); });
el("undo").addEventListener("click", () => takeBack("undo"));
el("redo").addEventListener("click", () => takeBack("redo"));
el("draw-back").addEventListener("click", backOne);
el("draw-cancel").addEventListener("click", () => setMode("move"));
el("draw-finish").addEventListener("click", finish);
el("side-set").addEventListener("click", setLength);
el("side-length").addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => { if (event.key === "Enter") setLength(); });
el("side-unit").textContent = U.length;
el("zoom-in").addEventListener("click", () => zoomAt(width / 2, height / 2, 1.4));
el("zoom-out").addEventListener("click", () => zoomAt(width / 2, height / 2, 1 / 1.4));
el("zoom-fit").addEventListener("click", fit);
el("water").addEventListener("change", askWater);

for (const hidden of [el("map-editor"), el("map-more")]) hidden.hidden = false;
new ResizeObserver(resize).observe(svg);
resize();
setMode("move");
select(data.selected && items.has(`a:${data.selected}`) ? `a:${data.selected}` : "");
showUnsaved();

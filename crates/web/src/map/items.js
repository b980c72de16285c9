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


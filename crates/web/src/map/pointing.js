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


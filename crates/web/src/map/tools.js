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


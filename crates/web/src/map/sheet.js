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


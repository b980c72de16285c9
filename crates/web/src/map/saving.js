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

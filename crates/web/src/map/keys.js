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


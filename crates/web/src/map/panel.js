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


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


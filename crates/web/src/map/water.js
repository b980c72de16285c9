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


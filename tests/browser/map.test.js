// The map is drawn in a real browser: with the mouse, with fingers and with keys alone; a refused drawing stays; nothing is wider
// than the window, and axe has no complaint. Sizes are those of school geometry: 30 ft × 20 ft are 600 sq ft.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { test } from "node:test";
import { DESK, PHONE, browser, overflow, page, root, scratch, start } from "./toft.js";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const program = process.env.TOFT ?? join(root, "target/release/toft");
const FOOT = 0.3048;

/** A yard that has one area and no drawing yet, opened on a port of its own. */
async function yard(t, port, words = []) {
  const file = join(scratch(t), "mine.toft");
  execFileSync(program, [
    "--yard", file, "new", "--name", "Test yard", "--latitude", "40.4", "--longitude", "-101.7", "--elevation", "3376", "--units", "us-customary",
    "--area", "name=Old lawn; size=900; grass=kbg; soil=loam", ...words,
  ], { stdio: ["ignore", "ignore", "inherit"] });
  const toft = await start(["--yard", file, "serve", "--port", String(port)]);
  t.after(() => toft.kill());
  return toft;
}

/** Stores entries through the page's own form, as the script sends them. */
async function store(shown, address, bodies) {
  await shown.goto(`${address}map/draw`);
  await shown.evaluate((text) => {
    document.getElementById("map-changes").value = text;
    document.getElementById("map-form").submit();
  }, JSON.stringify(bodies));
  await shown.waitForURL(/\/map\?saved=/);
}

const ringFt = (...corners) => corners.map((c) => c.map((v) => v * FOOT));

/** Where a place of the map, in feet, lies in the window. */
function onScreen(shown, x, y) {
  return shown.evaluate(([east, north]) => {
    const world = document.querySelector("#map-drawing > g");
    const at = new DOMPoint(east, north).matrixTransform(world.getScreenCTM());
    return [at.x, at.y];
  }, [x * FOOT, y * FOOT]);
}

const figures = (shown) => shown.locator("#map-figures").textContent();
const said = (shown) => shown.locator("#map-said").textContent();

/** Two frames on: what was asked for is painted. */
const painted = (shown) => shown.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));

test("mouse: typed lengths give an exact area; a shared corner moves both; steps go back and forth; saved is saved", async (t) => {
  const toft = await yard(t, 8670);
  const shown = await page(t, await browser(t), DESK);
  await shown.goto(`${toft.address}map/draw`);
  await shown.selectOption("#what", "turf");
  await shown.locator("#tool-draw").click();
  await shown.check("#square");
  const click = async (x, y) => shown.mouse.click(...await onScreen(shown, x, y));
  const move = async (x, y) => shown.mouse.move(...await onScreen(shown, x, y), { steps: 3 });
  await click(0, 0);
  for (const [x, y, length] of [[22, 1, "30"], [31, 12, "20"], [12, 21, "30"]]) {
    await move(x, y);
    await painted(shown);
    await shown.keyboard.type(length);
    await shown.keyboard.press("Enter");
  }
  await shown.keyboard.press("Enter");
  await painted(shown);
  assert.match(await figures(shown), /Lawn 1 · 600 sq ft · edge 100\.0 ft/);
  await shown.locator("#p-name").fill("Front lawn");
  await shown.locator("#p-name").press("Enter");
  assert.equal(await shown.locator("#map-unsaved").textContent(), "1 changed");
  await shown.locator("#map-save").click();
  await shown.waitForURL(/\/map\?saved=2$/);
  await shown.goto(`${toft.address}area/lawn-1`);
  await shown.getByText("600 sq ft").first().waitFor();

  // A bed beside it: the common side is drawn once and found by snapping.
  await shown.goto(`${toft.address}map/draw`);
  await shown.locator("#zoom-out").click();
  await shown.locator("#zoom-out").click();
  await shown.selectOption("#what", "bed");
  await shown.locator("#tool-draw").click();
  await painted(shown);
  for (const [x, y] of [[30.2, 0.1], [40, 0], [40, 20], [29.9, 19.8]]) {
    await move(x, y);
    await click(x, y);
  }
  await shown.keyboard.press("Enter");
  await painted(shown);
  assert.match(await figures(shown), /Bed 1 · 200 sq ft/, "both corners snapped to the lawn's");
  const drag = async (from, to) => {
    await shown.mouse.move(...await onScreen(shown, ...from));
    await shown.mouse.down();
    await shown.mouse.move(...await onScreen(shown, (from[0] + to[0]) / 2, (from[1] + to[1]) / 2), { steps: 4 });
    await shown.mouse.move(...await onScreen(shown, ...to), { steps: 4 });
    await painted(shown);
    await shown.mouse.up();
  };
  await shown.uncheck("#snap");
  await drag([30, 20], [25, 20]);
  await shown.locator("#c-east").fill("25");
  await shown.locator("#c-east").press("Enter");
  await shown.locator("#c-north").fill("20");
  await shown.locator("#c-north").press("Enter");
  await painted(shown);
  // Trapezia: 20 × (30 + 25) / 2 and 20 × (10 + 15) / 2.
  assert.match(await figures(shown), /Bed 1 · 250 sq ft/);
  const sizes = async () => {
    await painted(shown);
    return shown.locator("#map-list option").allTextContents();
  };
  assert.ok((await sizes()).includes("Front lawn – lawn, 550 sq ft"), (await sizes()).join("; "));
  // The drag is one step, the typed figures one or two more; all of it goes back to the square corner, and forth again.
  while (!(await sizes()).includes("Front lawn – lawn, 600 sq ft")) await shown.locator("#undo").click();
  assert.ok((await sizes()).includes("Bed 1 – bed, 200 sq ft"), (await sizes()).join("; "));
  while (await shown.locator("#redo").isEnabled()) {
    await shown.locator("#redo").click();
    await painted(shown);
  }
  assert.ok((await sizes()).includes("Bed 1 – bed, 250 sq ft"), (await sizes()).join("; "));
  await shown.locator("#map-drawing").focus();
  await shown.keyboard.press("Control+z");
  await shown.keyboard.press("Control+Shift+z");
  assert.ok((await sizes()).includes("Bed 1 – bed, 250 sq ft"), (await sizes()).join("; "));
  await shown.locator("#map-save").click();
  await shown.waitForURL(/\/map\?saved=3$/);
  await shown.goto(`${toft.address}daybook`);
  await shown.getByText(/Front lawn.*550 sq ft/).first().waitFor();
});

test("a side bends for both neighbours, corners come and go for both, a hole is taken off", async (t) => {
  const toft = await yard(t, 8671);
  const shown = await page(t, await browser(t), DESK);
  const area = (key, name, cover) => ({ kind: "area/1", key, name, size_m2: 1, cover, soil: "loam" });
  await store(shown, toft.address, [
    area("west", "West", "hard"), { kind: "outline/1", area: "west", pieces: [{ ring: ringFt([0, 0], [20, 0], [20, 20], [0, 20]) }] },
    area("east", "East", "bed"), { kind: "outline/1", area: "east", pieces: [{ ring: ringFt([20, 0], [40, 0], [40, 20], [20, 20]) }] },
  ]);
  await shown.goto(`${toft.address}map/draw?area=west`);
  assert.match(await figures(shown), /West · 400 sq ft/);
  const option = async (name) => (await shown.locator("#map-list option").allTextContents()).find((o) => o.startsWith(name));
  // Corner 2 (20, 0) starts the common side; a half circle of 10 ft radius holds 100 π / 2 = 157.08 sq ft.
  await shown.locator("#map-drawing").focus();
  await shown.keyboard.press("]");
  await shown.keyboard.press("]");
  assert.match(await said(shown), /Corner 2 of West: 20\.0, 0\.0 ft/);
  await shown.locator("#c-bow").fill("10");
  await shown.locator("#c-bow").press("Enter");
  await painted(shown);
  assert.equal(await option("West"), "West – hard surface, 557 sq ft");
  assert.equal(await option("East"), "East – bed, 243 sq ft");
  // A corner in the middle of the arc keeps the arc, for both.
  await shown.locator("#c-add").click();
  await painted(shown);
  assert.equal(await option("West"), "West – hard surface, 557 sq ft");
  assert.equal(await option("East"), "East – bed, 243 sq ft");
  assert.equal(await shown.locator("#c-told").textContent(), "Corner 3 of 5");
  // Taken out, both are square again.
  await shown.locator("#c-out").click();
  await painted(shown);
  assert.equal(await option("West"), "West – hard surface, 400 sq ft");
  assert.equal(await option("East"), "East – bed, 400 sq ft");
  // A hole of 4 ft × 5 ft.
  await shown.selectOption("#what", "hole");
  await shown.locator("#tool-draw").click();
  for (const [x, y] of [[5, 5], [9, 5], [9, 10], [5, 10]]) {
    await shown.mouse.click(...await onScreen(shown, x, y));
  }
  await shown.locator("#draw-finish").click();
  for (const [n, east, north] of [[1, 5, 5], [2, 9, 5], [3, 9, 10], [4, 5, 10]]) {
    await shown.locator("#map-drawing").focus();
    await shown.keyboard.press(n === 1 ? "Escape" : "]");
    if (n === 1) {
      await shown.selectOption("#map-list", "a:west");
      await shown.locator("#map-drawing").focus();
      for (let k = 0; k < 5; k += 1) await shown.keyboard.press("]");
    }
    await shown.locator("#c-east").fill(String(east));
    await shown.locator("#c-east").press("Enter");
    await shown.locator("#c-north").fill(String(north));
    await shown.locator("#c-north").press("Enter");
  }
  await painted(shown);
  assert.equal(await option("West"), "West – hard surface, 380 sq ft");
  await shown.locator("#map-save").click();
  await shown.waitForURL(/\/map\?saved=1$/);
});

test("fingers: corners by taps, two fingers zoom, one drags a corner; saved", async (t) => {
  const toft = await yard(t, 8672);
  const it = await browser(t);
  const shown = await page(t, it, PHONE, { hasTouch: true, isMobile: true, reducedMotion: "reduce" });
  await shown.goto(`${toft.address}map/draw`);
  const cdp = await shown.context().newCDPSession(shown);
  const touch = (type, ...points) => cdp.send("Input.dispatchTouchEvent", { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) });
  const toSheet = () => shown.locator("#map-drawing").evaluate((sheet) => sheet.scrollIntoView({ block: "start", behavior: "instant" }));
  await shown.selectOption("#what", "bed");
  await shown.locator("#tool-draw").tap();
  await toSheet();
  for (const [x, y] of [[10, 10], [30, 10], [30, 25], [10, 25]]) {
    await shown.touchscreen.tap(...await onScreen(shown, x, y));
  }
  await shown.locator("#draw-finish").tap();
  await painted(shown);
  assert.match(await figures(shown), /Bed 1 · 300 sq ft/, "taps snapped to the grid of 5 ft");

  const scale = () => shown.evaluate(() => document.querySelector("#map-drawing > g").getCTM().a);
  const before = await scale();
  const sheet = await shown.locator("#map-drawing").boundingBox();
  const y = Math.max(sheet.y, 0) + 100;
  await touch("touchStart", [150, y], [250, y]);
  for (let k = 1; k <= 5; k += 1) await touch("touchMove", [150 - 8 * k, y], [250 + 8 * k, y]);
  await touch("touchEnd");
  await painted(shown);
  const after = await scale();
  assert.ok(Math.abs(after / before - 1.8) < 0.05, `two fingers from 100 px to 180 px apart zoom by ${after / before}`);
  await shown.locator("#zoom-fit").tap();
  await painted(shown);

  await shown.uncheck("#snap");
  await toSheet();
  const [fx, fy] = await onScreen(shown, 30, 25);
  const [tx, ty] = await onScreen(shown, 24, 25);
  await touch("touchStart", [fx, fy]);
  for (let k = 1; k <= 6; k += 1) await touch("touchMove", [fx + (tx - fx) * k / 6, fy + (ty - fy) * k / 6]);
  // Held still before it is lifted: the browser takes a touch straight after a swift drag for the end of a fling.
  for (let k = 0; k < 10; k += 1) {
    await painted(shown);
    await touch("touchMove", [tx, ty + (k % 2) / 10]);
  }
  await touch("touchEnd");
  await painted(shown);
  const size = Number((await figures(shown)).match(/· ([\d.]+) sq ft/)[1]);
  // Half a screen pixel's worth of doubt: 15 × (20 + 14) / 2 = 255.
  assert.ok(Math.abs(size - 255) < 6, `${size} sq ft`);
  assert.equal(await overflow(shown), 0);
  await shown.locator("#map-save").tap();
  await shown.waitForURL(/\/map\?saved=2$/);
});

test("keys alone: draw, move a corner, save; the focus shows and can go on", async (t) => {
  const toft = await yard(t, 8673);
  const shown = await page(t, await browser(t), DESK);
  await shown.goto(`${toft.address}map/draw`);
  const at = () => shown.evaluate(() => document.activeElement.id);
  const tabTo = async (id) => {
    for (let k = 0; k < 80; k += 1) {
      if (await at() === id) return;
      await shown.keyboard.press("Tab");
    }
    throw new Error(`Tab does not reach ${id}`);
  };
  await tabTo("what");
  await shown.keyboard.type("Hard");
  await tabTo("tool-draw");
  await shown.keyboard.press("Enter");
  assert.equal(await at(), "map-drawing");
  const outline = await shown.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
  assert.equal(outline, "solid", "the map shows that it has the focus");
  const press = async (key, times) => { for (let k = 0; k < times; k += 1) await shown.keyboard.press(key); };
  // 4 × 5 ft east and 3 × 5 ft north, corner by corner.
  await press("Shift+ArrowRight", 1);
  await press(" ", 1);
  await press("Shift+ArrowRight", 4);
  await press(" ", 1);
  await press("Shift+ArrowUp", 3);
  await press(" ", 1);
  await press("Shift+ArrowLeft", 4);
  await press(" ", 1);
  await press("Enter", 1);
  await painted(shown);
  assert.match(await figures(shown), /Hard surface 1 · 300 sq ft/);
  await press("]", 1);
  assert.match(await said(shown), /^Corner 1 of Hard surface 1/);
  await press("Shift+ArrowLeft", 2);
  await painted(shown);
  // One corner of 20 × 15 drawn out by 10: a triangle of 10 × 15 / 2 more.
  assert.match(await figures(shown), /375 sq ft/);
  assert.match(await said(shown), /^Corner 1 of Hard surface 1: .*375 sq ft/);
  // Tab leaves the map, forward and back.
  await shown.keyboard.press("Tab");
  assert.notEqual(await at(), "map-drawing");
  await shown.keyboard.press("Shift+Tab");
  assert.equal(await at(), "map-drawing");
  await tabTo("map-save");
  await shown.keyboard.press("Enter");
  await shown.waitForURL(/\/map\?saved=2$/);
});

test("a refused drawing stays on the page and can be put right", async (t) => {
  const toft = await yard(t, 8674);
  const it = await browser(t);
  const shown = await page(t, it, DESK);
  await shown.goto(`${toft.address}map/draw`);
  await shown.selectOption("#what", "bed");
  await shown.locator("#tool-draw").click();
  // A bow tie: the ring crosses itself.
  for (const [x, y] of [[0, 0], [20, 20], [20, 0], [0, 20]]) {
    await shown.mouse.click(...await onScreen(shown, x, y));
  }
  await shown.keyboard.press("Enter");
  await shown.locator("#map-save").click();
  await shown.locator(".faults").waitFor();
  assert.match(await shown.locator(".faults").textContent(), /Nothing was saved/);
  assert.equal(await shown.locator("#map-unsaved").textContent(), "1 changed");
  const other = await page(t, it, DESK);
  await other.goto(`${toft.address}daybook`);
  assert.equal(await other.getByText("Bed 1").count(), 0, "nothing is stored");

  // The corners in their right order, and the same drawing is taken.
  await shown.selectOption("#map-list", "a:bed-1");
  for (const [east, north] of [["0", "0"], ["20", "0"], ["20", "20"], ["0", "20"]]) {
    await shown.locator("#c-after").click();
    for (const [field, value] of [["#c-east", east], ["#c-north", north]]) {
      await shown.locator(field).fill(value);
      await shown.locator(field).press("Enter");
    }
  }
  await painted(shown);
  assert.match(await figures(shown), /Bed 1 · 400 sq ft/);
  await shown.locator("#map-save").click();
  await shown.waitForURL(/\/map\?saved=2$/);
});

test("heads: set by touching, turned and lengthened by their handles, copied; their water is shown at once", async (t) => {
  const toft = await yard(t, 8678, ["--zone", "name=Zone 1; areas=old-lawn; sprinkler=rotor; rate=0.6"]);
  const shown = await page(t, await browser(t), DESK);
  await store(shown, toft.address, [{ kind: "outline/1", area: "old-lawn", pieces: [{ ring: ringFt([0, 0], [40, 0], [40, 30], [0, 30]) }] }]);
  await shown.goto(`${toft.address}map/draw`);
  await shown.selectOption("#map-list", "z:zone-1");
  await shown.check("#water");
  await shown.selectOption("#what", "head");
  await shown.locator("#tool-draw").click();
  await shown.mouse.click(...await onScreen(shown, 0, 0));
  await shown.locator("#tool-move").click();
  for (let k = 0; k < 3; k += 1) await shown.locator("#zoom-out").click();
  await painted(shown);
  assert.equal(await shown.locator("#p-zone").inputValue(), "zone-1", "a new head runs with the zone that is shown");
  for (const [field, value] of [["#p-from", "0"], ["#p-arc", "180"], ["#p-radius", "20"]]) {
    await shown.locator(field).fill(value);
    await shown.locator(field).press("Enter");
  }
  const drag = async (from, to) => {
    await shown.mouse.move(...await onScreen(shown, ...from));
    await shown.mouse.down();
    await shown.mouse.move(...await onScreen(shown, ...to), { steps: 6 });
    await painted(shown);
    await shown.mouse.up();
    await painted(shown);
  };
  // The arc ends due south at 20 ft; dragged to due east it is a quarter circle.
  await drag([0, -20], [20, 0.2]);
  assert.equal(await shown.locator("#p-arc").inputValue(), "90");
  // The throw's handle lies in the middle of the arc, north-east; 25 ft out that way.
  const out = (feet) => [feet * Math.SQRT1_2, feet * Math.SQRT1_2];
  await drag(out(20), out(25.1));
  assert.equal(await shown.locator("#p-radius").inputValue(), "25");
  await shown.locator("#p-copy").click();
  assert.equal(await shown.locator("#p-name").inputValue(), "Sprinkler head 2");
  assert.equal(await shown.locator("#p-radius").inputValue(), "25");
  await shown.getByText(/evenness \d+ %/).first().waitFor();
  assert.match(await shown.locator("image.water").getAttribute("href"), /^data:image\/png;base64,/);
  await shown.locator("#map-save").click();
  await shown.waitForURL(/\/map\?saved=2$/);
});

test("the tape tells distance and bearing; leaving with a drawing unsaved is asked about; without a script the page leads to the tables", async (t) => {
  const toft = await yard(t, 8675);
  const it = await browser(t);
  const shown = await page(t, it, DESK);
  await shown.goto(`${toft.address}map/draw`);
  await shown.locator("#tool-tape").click();
  await shown.mouse.click(...await onScreen(shown, 10, 10));
  await shown.mouse.click(...await onScreen(shown, 25, 30));
  await painted(shown);
  // A triangle of 15, 20 and 25; atan(15 / 20) = 36.87°.
  assert.match(await figures(shown), /Tape 25\.0 ft at 37°/);
  assert.equal(await shown.locator("#map-unsaved").textContent(), "nothing to save");
  await shown.selectOption("#what", "well");
  await shown.locator("#tool-draw").click();
  await shown.mouse.click(...await onScreen(shown, 5, 5));
  let asked = "";
  shown.once("dialog", (dialog) => {
    asked = dialog.type();
    dialog.dismiss();
  });
  await shown.goto(toft.address).catch(() => {});
  assert.equal(asked, "beforeunload");
  const bare = await page(t, it, PHONE, { javaScriptEnabled: false });
  await bare.goto(`${toft.address}map/draw`);
  await bare.getByText(/Drawing needs the page’s script/).waitFor();
  assert.equal(await bare.locator("#map-editor").isVisible(), false);
  await bare.getByRole("link", { name: "Corners of Old lawn" }).click();
  assert.match(bare.url(), /log\/outline\?area=old-lawn/);
});

for (const scheme of ["light", "dark"]) {
  test(`axe has no complaint at phone width, ${scheme}, and nothing is wider than the window`, async (t) => {
    const toft = await yard(t, scheme === "light" ? 8676 : 8677, ["--zone", "name=Zone 1; areas=old-lawn; sprinkler=rotor; rate=0.6"]);
    const shown = await page(t, await browser(t), PHONE, { colorScheme: scheme });
    const head = (key, x, y, from) => ({ kind: "mapped/1", key, name: `Head ${key}`, at: ringFt([x, y]), thing: { is: "head", zone: "zone-1", radius_m: 9, arc_from_deg: from, arc_deg: 90, flow_lpm: 8 } });
    await store(shown, toft.address, [
      { kind: "outline/1", area: "old-lawn", pieces: [{ ring: ringFt([0, 0], [30, 0], [30, 30], [0, 30]) }] },
      head("a", 0, 0, 0), head("b", 30, 30, 180),
    ]);
    for (const choose of ["", "a:old-lawn", "t:a"]) {
      await shown.goto(`${toft.address}map/draw`);
      if (choose) await shown.selectOption("#map-list", choose);
      if (choose === "t:a") {
        await shown.check("#water");
        await shown.getByText(/evenness \d+ %/).first().waitFor();
      }
      await shown.evaluate(axe);
      const { violations } = await shown.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
      assert.deepEqual(violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html).join(" ")}`), []);
      assert.equal(await overflow(shown), 0);
    }
  });
}

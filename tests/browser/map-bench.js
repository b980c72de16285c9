// How fast the map's editor follows a hand: a yard of 40 areas and 60 heads at phone width, a corner of three areas and a head
// dragged for three seconds each, and the time from a change of a head to the water painted anew. Run by hand: node map-bench.js

import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { PHONE, root, start } from "./toft.js";

const program = process.env.TOFT ?? join(root, "target/release/toft");
const SECONDS = 3;

/** Lawns of 8 m by 6 m side by side, three to a T where rows meet half way; one zone waters them all. */
function bodies() {
  const made = [];
  const areas = [];
  for (let row = 0; row < 8; row += 1) {
    for (let column = 0; column < 5; column += 1) {
      const key = `a-${row}-${column}`;
      const x = column * 8 + (row % 2) * 4;
      const y = row * 6;
      areas.push(key);
      made.push({ kind: "area/1", key, name: `Lawn ${row + 1}.${column + 1}`, size_m2: 48, cover: ["turf", "bed", "hedge", "hard"][(row + column) % 4], soil: "loam", ...((row + column) % 4 === 0 ? { grass: "kbg" } : {}) });
      // Every corner of the rows above and below is a corner here too.
      made.push({ kind: "outline/1", area: key, pieces: [{ ring: [[x, y], [x + 4, y], [x + 8, y], [x + 8, y + 6], [x + 4, y + 6], [x, y + 6]] }] });
    }
  }
  made.push({ kind: "zone/1", key: "z", name: "Zone", areas, sprinkler: "rotor" });
  for (let k = 0; k < 60; k += 1) {
    const at = [(k % 10) * 4.4 + 0.5, Math.floor(k / 10) * 9 + 0.5];
    made.push({ kind: "mapped/1", key: `h-${k}`, name: `Head ${k + 1}`, at: [at], thing: { is: "head", zone: "z", radius_m: 7, arc_from_deg: 0, arc_deg: 360, flow_lpm: 10 } });
  }
  return made;
}

const spread = (times) => {
  const sorted = [...times].sort((a, b) => a - b);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))].toFixed(1);
  return `p50 ${at(0.5)} ms, p95 ${at(0.95)} ms, worst ${at(1)} ms, ${times.length} in all`;
};

const folder = mkdtempSync(join(tmpdir(), "toft-bench-"));
const file = join(folder, "bench.toft");
const entries = join(folder, "entries.jsonl");
const toft = (words) => execFileSync(program, ["--yard", file, ...words], { encoding: "utf8", stdio: ["ignore", "pipe", "inherit"] });
toft(["new", "--name", "Bench", "--latitude", "40.4", "--longitude", "-101.7", "--elevation", "1000", "--units", "metric", "--area", "name=First; size=10; soil=loam; grass=kbg"]);
const stamp = new Date().toISOString();
writeFileSync(entries, bodies().map((body, k) => JSON.stringify({ id: `00000000000000000000${String(k).padStart(6, "0")}`, happened_on: "2020-01-01", recorded_at: stamp, body })).join("\n") + "\n");
toft(["import", entries]);
const server = await start(["--yard", file, "serve", "--port", "8679"]);
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
try {
  const shown = await browser.newPage({ viewport: PHONE });
  shown.on("pageerror", (error) => console.error(error));
  await shown.goto(`${server.address}map/draw`);
  const onScreen = (x, y) => shown.evaluate((place) => {
    const at = new DOMPoint(...place).matrixTransform(document.querySelector("#map-drawing > g").getScreenCTM());
    return [at.x, at.y];
  }, [x, y]);
  const listen = () => shown.evaluate(() => {
    globalThis.frames = [];
    globalThis.listening = true;
    let last = performance.now();
    const tick = (now) => {
      globalThis.frames.push(now - last);
      last = now;
      if (globalThis.listening) requestAnimationFrame(tick);
    };
    requestAnimationFrame((now) => {
      last = now;
      requestAnimationFrame(tick);
    });
  });
  const heard = () => shown.evaluate(() => {
    globalThis.listening = false;
    return globalThis.frames;
  });
  const drag = async (x, y) => {
    await shown.locator("#map-drawing").evaluate((sheet) => sheet.scrollIntoView({ block: "start", behavior: "instant" }));
    const [px, py] = await onScreen(x, y);
    await shown.mouse.move(px, py);
    await shown.mouse.down();
    await listen();
    const end = Date.now() + SECONDS * 1000;
    for (let k = 0; Date.now() < end; k += 1) await shown.mouse.move(px + 10 * Math.sin(k / 15), py + 8 * (1 - Math.cos(k / 15)));
    const frames = await heard();
    await shown.mouse.up();
    const told = await shown.locator("#map-unsaved").textContent();
    if (told === "nothing to save") throw new Error("nothing was dragged");
    // Back: a drag may end where rings cross, and such ground has no water.
    await shown.locator("#undo").click();
    return frames;
  };

  // Row 2's first lawn has its lower left corner on the lower row's middle: two lawns and that one meet there.
  await shown.selectOption("#map-list", "a:a-1-1");
  console.log(`corner of three areas: ${spread(await drag(12, 6))}`);
  await shown.selectOption("#map-list", "t:h-33");
  console.log(`head, dry: ${spread(await drag(3 * 4.4 + 0.5, 3 * 9 + 0.5))}`);
  await shown.evaluate(() => {
    globalThis.asked = [];
    globalThis.shownAfter = [];
    const ask = globalThis.fetch;
    globalThis.fetch = (...words) => {
      if (String(words[0]).includes("coverage")) globalThis.asked.push(performance.now());
      return ask(...words);
    };
    new MutationObserver(() => {
      const from = globalThis.asked.at(-1);
      requestAnimationFrame((now) => globalThis.shownAfter.push(now - from));
    }).observe(document.querySelector("image.water"), { attributeFilter: ["href"] });
  });
  await shown.locator("#water").check();
  await shown.waitForFunction(() => globalThis.shownAfter.length > 0);
  console.log(`head, with water: ${spread(await drag(3 * 4.4 + 0.5, 3 * 9 + 0.5))}`);
  console.log(`water asked to painted: ${spread(await shown.evaluate(() => globalThis.shownAfter))}`);
} finally {
  await browser.close();
  await server.kill();
  rmSync(folder, { recursive: true, force: true });
}

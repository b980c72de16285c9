// The demo at phone and desk width: nothing overflows, the first screen answers, the days can be stepped, and axe finds no fault.

import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { test } from "node:test";
import { DESK, PHONE, browser, overflow, page, start } from "./toft.js";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const PAGES = [
  "", "water", "daybook", "log", "log/applied", "log/mowed", "log/product", "log/area", "log/zone", "log/water-rules", "log/plan-sow",
  "water/cost", "water/seasons", "water/pressure", "water/pressure?zone=zone-2-side", "water/fault", "water/programme", "water/audit", "plant/set-out", "water/open", "water/close", "water/leak?unit=gal&moved=3.2&minutes=120", "log/tariff", "log/meter-read", "settings", "area/front-lawn", "area/the-bank", "area/play-lawn", "area/west-hedge", "no-such-page",
];

test("every page fits, and axe finds nothing, in light and dark", async (t) => {
  const toft = await start(["demo", "--port", "8660"]);
  t.after(() => toft.kill());
  const it = await browser(t);
  const pictures = process.env.TOFT_PICTURES;
  if (pictures) mkdirSync(pictures, { recursive: true });
  for (const [width, viewport] of [["phone", PHONE], ["desk", DESK]]) {
    for (const colorScheme of ["light", "dark"]) {
      const shown = await page(t, it, viewport, { colorScheme });
      for (const path of PAGES) {
        await shown.goto(toft.address + path);
        assert.equal(await overflow(shown), 0, `/${path} is wider than ${viewport.width} px`);
        if (pictures && (colorScheme === "light" || path === "")) {
          const name = `${path.replaceAll("/", "-") || "now"}-${width}-${colorScheme}.png`;
          await shown.screenshot({ path: join(pictures, name), fullPage: true });
        }
        await shown.evaluate(axe);
        const found = await shown.evaluate(() => globalThis.axe.run({ runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }));
        const faults = found.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(" | ")}`);
        assert.deepEqual(faults, [], `/${path}, ${width}, ${colorScheme}`);
      }
    }
  }
});

test("the first screen of a phone says what to do today", async (t) => {
  const toft = await start(["demo", "--port", "8661"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE);
  await shown.goto(toft.address);
  const heading = shown.getByRole("heading", { name: "Today" });
  const box = await heading.boundingBox();
  assert.ok(box && box.y < PHONE.height * 0.75, `“Today” stands at ${box?.y} px`);
  const first = await shown.locator("article, li.item, .item").first().boundingBox();
  assert.ok(first && first.y < PHONE.height - 60, `the first piece of advice begins at ${first?.y} px`);
});

test("a week on, the advice has moved; back at the start it is the same", async (t) => {
  const toft = await start(["demo", "--port", "8662"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { javaScriptEnabled: false });
  await shown.goto(toft.address);
  const text = async () => (await shown.locator("main").innerText()).replaceAll(/\s+/g, " ");
  const before = await text();
  await shown.getByRole("button", { name: "a week on" }).click();
  await shown.getByText("Thu 10 May 2018").first().waitFor();
  const after = await text();
  assert.notEqual(after, before);
  await shown.getByRole("button", { name: "back to the start" }).click();
  await shown.getByText("Thu 3 May 2018").first().waitFor();
  assert.equal(await text(), before);
});

test("the working opens under a number", async (t) => {
  const toft = await start(["demo", "--port", "8663"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { javaScriptEnabled: false });
  await shown.goto(`${toft.address}water`);
  const working = shown.locator("details").filter({ hasText: "TAW" }).first();
  await working.locator("summary").first().click();
  await shown.getByText(/FAO-56 eq\. 82/).first().waitFor();
});

// The shed with one thumb on a phone: a product entered from its label, a typical figure confirmed, an amount worked out, the costs
// of the year, the safety sheet. Nothing but taps and the phone's keys.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { PHONE, browser, overflow, page, start } from "./toft.js";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

async function accessible(shown, where) {
  await shown.evaluate(axeSource);
  const { violations } = await shown.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }));
  assert.deepEqual(violations.map((v) => `${v.id}: ${v.nodes[0]?.html}`), [], where);
}

/** Taps where a thumb would: the element must be in reach, as large as a fingertip, and not under the bar at the foot. */
async function tap(shown, target) {
  await target.scrollIntoViewIfNeeded();
  const box = await target.boundingBox();
  assert.ok(box !== null && box.height >= 24 && box.width >= 24, `too small for a thumb: ${JSON.stringify(box)}`);
  await target.tap();
}

async function type(shown, name, words) {
  const field = shown.locator(`[name=${name}]`);
  await tap(shown, field);
  await field.pressSequentially(words);
}

test("a product from its label with one thumb", async (t) => {
  const toft = await start(["demo", "--port", "8690"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { hasTouch: true, isMobile: true, javaScriptEnabled: true });

  await shown.goto(`${toft.address}log/product`);
  await type(shown, "name", "spring preventer");
  await type(shown, "actives", "prodiamine 0.38");
  await type(shown, "targets", "crabgrass 2.4 4.7");
  await type(shown, "label_seed_wait", "120");
  await tap(shown, shown.locator("summary", { hasText: "More limits on the label" }));
  await type(shown, "label_reentry", "24");
  await tap(shown, shown.locator("summary", { hasText: "Packs and prices" }));
  await type(shown, "packs", "50 lb = 72");
  assert.equal(await overflow(shown), 0);
  await accessible(shown, "the product form, groups open");
  await tap(shown, shown.getByRole("button", { name: "Save" }));
  await shown.getByText("On the shelf: spring preventer").waitFor();

  // Its page: the label's own figures beside typical ones; one of these is confirmed.
  await tap(shown, shown.getByRole("link", { name: "Its limits and amounts" }));
  const row = (words) => shown.locator("tr", { hasText: words });
  await row("Hours until people and pets go back").getByText("your label").waitFor();
  const water = row("Water to wash it in");
  await water.getByText("typical, not your label").waitFor();
  await tap(shown, water.getByRole("button", { name: /My label says/ }));
  await row("Water to wash it in").getByText("your label", { exact: true }).waitFor();
  assert.equal(await overflow(shown), 0);
  await accessible(shown, "the product");

  // An amount: 3.5 lb/1000 sq ft is the middle of the label's rates; the front lawn of the demo is 3,868 sq ft.
  await tap(shown, shown.locator("label.box", { hasText: "Front lawn" }));
  await tap(shown, shown.getByRole("button", { name: "Work out" }));
  const told = await shown.locator(".told").innerText();
  assert.match(told, /13\.[67]\d? lb on 3,868 sq ft/);
  await tap(shown, shown.locator(".actions").getByRole("link", { name: "Safety sheet" }).last());
  await shown.getByText("The label is the law.").waitFor();
  await accessible(shown, "the safety sheet");

  for (const path of ["shed", "costs"]) {
    await shown.goto(`${toft.address}${path}`);
    assert.equal(await overflow(shown), 0, path);
    await accessible(shown, path);
  }
});

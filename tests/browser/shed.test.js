// The shed with one thumb on a phone: a product entered from its label, a typical figure confirmed, an amount worked out, the costs
// of the year, the safety sheet. Nothing but taps and the phone's keys.

import assert from "node:assert/strict";
import { test } from "node:test";
import { PHONE, accessible, browser, overflow, page, start, tap } from "./toft.js";

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

// The main job as a person meets it: a fresh file, a yard made in the browser, weather read in, advice, an application written
// down, the advice changed, the power cut straight after "Saved", and nothing lost.

import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { PHONE, browser, overflow, page, root, scratch, start } from "./toft.js";

const DAY = 86_400_000;

/** The last eight years of the demo's real record, moved by whole days so that they end yesterday. */
function weatherToYesterday() {
  const lines = readFileSync(join(root, "demo/champion-ne-daily.csv"), "utf8").trim().split("\n");
  const rows = lines.slice(1).slice(-8 * 365);
  const last = Date.parse(rows.at(-1).slice(0, 10));
  const yesterday = Date.parse(new Date(Date.now() - DAY).toISOString().slice(0, 10));
  const moved = rows.map((row) => {
    const [date, ...cells] = row.split(",");
    const day = new Date(Date.parse(date) + (yesterday - last)).toISOString().slice(0, 10);
    return [day, ...cells].join(",");
  });
  return [lines[0], ...moved].join("\n") + "\n";
}

function inDays(count) {
  return new Date(Date.now() + count * DAY).toISOString().slice(0, 10);
}

test("make a yard, read weather, follow advice, survive a power cut", async (t) => {
  const folder = scratch(t);
  const file = join(folder, "mine.toft");
  const weather = join(folder, "station.csv");
  writeFileSync(weather, weatherToYesterday());
  let toft = await start(["--yard", file, "serve", "--port", "8650"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { javaScriptEnabled: false });

  // A fresh file asks for the yard.
  await shown.goto(toft.address);
  assert.match(shown.url(), /\/new$/);
  await shown.locator("[name=yard-name]").fill("Test yard");
  await shown.locator("[name=yard-latitude]").fill("40.4");
  await shown.locator("[name=yard-longitude]").fill("-101.7");
  await shown.locator("[name=yard-elevation]").fill("3376");
  await shown.locator("[name=area-name]").fill("Front lawn");
  await shown.locator("[name=area-size]").fill("-20");
  await shown.locator("[name=area-grass]").selectOption("kbg");
  await shown.locator("[name=area-soil]").selectOption("loam");
  await shown.getByRole("button", { name: "Make the yard" }).click();

  // A negative size is refused at its field, what was typed stays, nothing is stored.
  await shown.getByText(/must be between/).first().waitFor();
  assert.equal(await shown.locator("[name=yard-name]").inputValue(), "Test yard");
  await shown.goto(toft.address);
  assert.match(shown.url(), /\/new$/, "nothing was stored");
  await shown.locator("[name=yard-name]").fill("Test yard");
  await shown.locator("[name=yard-latitude]").fill("40.4");
  await shown.locator("[name=yard-longitude]").fill("-101.7");
  await shown.locator("[name=yard-elevation]").fill("3376");
  await shown.locator("[name=area-name]").fill("Front lawn");
  await shown.locator("[name=area-size]").fill("4000");
  await shown.locator("[name=area-grass]").selectOption("kbg");
  await shown.locator("[name=area-soil]").selectOption("loam");
  await shown.getByRole("button", { name: "Make the yard" }).click();

  // Without weather the page says what its figures rest on.
  await shown.goto(toft.address);
  await shown.getByText(/No weather has been imported/).first().waitFor();

  // Weather from a file.
  await shown.goto(`${toft.address}settings`);
  await shown.locator("#file").setInputFiles(weather);
  await shown.locator("form:has(#file) button").click();
  await shown.getByText(/2,?920/).first().waitFor();
  await shown.goto(toft.address);
  assert.equal(await shown.getByText(/No weather has been imported/).count(), 0);

  // A sowing three weeks ahead is planned: nothing stops it yet.
  await shown.goto(`${toft.address}log/plan-sow`);
  await shown.locator("[name=on]").fill(inDays(20));
  await shown.locator("[name=area]").selectOption("front-lawn");
  await shown.locator("[name=grass]").selectOption("kbg");
  await shown.locator("[name=rate]").fill("2");
  await shown.getByRole("button", { name: "Keep as plan" }).click();
  await shown.getByText(/Saved/).first().waitFor();
  await shown.goto(toft.address);
  await shown.getByText("Sow Kentucky bluegrass on Front lawn").first().waitFor();
  assert.equal(await shown.getByText(/days must pass/).count(), 0, "no Stop before anything was put down");

  // A preventer from its label, put down today.
  await shown.goto(`${toft.address}log/product`);
  await shown.locator("[name=name]").fill("prodiamine granule");
  await shown.locator("[name=actives]").fill("prodiamine 0.48");
  await shown.getByRole("button", { name: "Save" }).click();
  await shown.getByText(/Saved/).first().waitFor();
  await shown.goto(`${toft.address}log/applied`);
  await shown.getByRole("checkbox", { name: "Front lawn" }).check();
  await shown.locator("[name=product]").selectOption("prodiamine-granule");
  await shown.locator("[name=rate]").fill("2.5");
  await shown.getByRole("button", { name: "Save" }).click();
  await shown.getByText(/Saved/).first().waitFor();

  // The power is cut straight after "Saved".
  await toft.kill();
  toft = await start(["--yard", file, "serve", "--port", "8650"]);
  await shown.goto(toft.address);

  // Nothing is lost, and the advice has changed: the sowing is stopped, with the days and the source.
  await shown.getByText(/112 days must pass/).first().waitFor();
  await shown.locator("details", { hasText: "Sow Kentucky bluegrass" }).locator("summary").first().click();
  await shown.getByText(/Keeley and Zhou 2005/).first().waitFor();
  assert.equal(await overflow(shown), 0);
  await shown.goto(`${toft.address}daybook`);
  await shown.getByText(/prodiamine granule on Front lawn/).first().waitFor();

  // Taken back, the sowing is free again.
  await shown.getByRole("link", { name: /prodiamine granule on Front lawn/ }).first().click();
  await shown.getByRole("button", { name: /Withdraw/ }).click();
  await shown.goto(toft.address);
  await shown.getByText("Sow Kentucky bluegrass on Front lawn").first().waitFor();
  assert.equal(await shown.getByText(/days must pass/).count(), 0);
});

test("a broken weather file is refused with its line, and nothing is stored", async (t) => {
  const folder = scratch(t);
  const file = join(folder, "mine.toft");
  const weather = join(folder, "broken.csv");
  writeFileSync(weather, "date,tmin_c,tmax_c,precip_mm\n2024-05-01,4.1,19.0,0\n2024-05-02,4.1,warm,0\n");
  const toft = await start(["--yard", file, "serve", "--port", "8651"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { javaScriptEnabled: false });
  await shown.goto(toft.address);
  for (const [name, value] of Object.entries({
    "yard-name": "Y", "yard-latitude": "40", "yard-longitude": "-100", "yard-elevation": "900", "area-name": "Lawn", "area-size": "900",
  })) {
    await shown.locator(`[name=${name}]`).fill(value);
  }
  await shown.locator("[name=area-grass]").selectOption("ttf");
  await shown.locator("[name=area-soil]").selectOption("clay-loam");
  await shown.getByRole("button", { name: "Make the yard" }).click();
  await shown.goto(`${toft.address}settings`);
  await shown.locator("#file").setInputFiles(weather);
  await shown.locator("form:has(#file) button").click();
  await shown.getByText(/line 3/).first().waitFor();
  await shown.getByText(/warm/).first().waitFor();
  await shown.goto(toft.address);
  await shown.getByText(/No weather has been imported/).first().waitFor();
});

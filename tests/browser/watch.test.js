// The watch in a real browser: its curves at a phone's width, in light, dark and on paper; their figures for whoever reads no
// drawing; and a mole's run and the trap on it written down with one thumb.

import assert from "node:assert/strict";
import { join } from "node:path";
import { test } from "node:test";
import { DESK, PHONE, browser, fine, follow, overflow, page, start, tap } from "./toft.js";

const pictures = process.env.TOFT_PICTURES;

async function picture(shown, name) {
  if (pictures) await shown.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}

/** Opens everything that folds. */
async function unfold(shown) {
  await shown.evaluate(() => document.querySelectorAll("main details").forEach((d) => { d.open = true; }));
}

test("the watch reads well on a phone and at a desk, in light, in the dark and on paper", async (t) => {
  const toft = await start(["demo", "--port", "8710", "--on", "2018-07-05"]);
  t.after(() => toft.kill());
  const it = await browser(t);
  for (const [width, viewport] of [["phone", PHONE], ["desk", DESK]]) {
    for (const colorScheme of ["light", "dark"]) {
      const shown = await page(t, it, viewport, { colorScheme });
      await shown.goto(`${toft.address}watch`);
      await picture(shown, `watch-${width}-${colorScheme}`);
      await fine(shown, `the watch, ${width}, ${colorScheme}`);
      await unfold(shown);
      await fine(shown, `the watch unfolded, ${width}, ${colorScheme}`);
      // A curve's letters keep a size that can be read: at least 11 px on the screen.
      const letters = await shown.locator("figure.pressure svg").evaluateAll((all) =>
        all.filter((svg) => svg.checkVisibility()).map((svg) => (12 * svg.getBoundingClientRect().width) / svg.viewBox.baseVal.width));
      assert.ok(letters.length > 0 && letters.every((px) => px >= 11), `letters of ${letters} px`);
      // The line's limit can be told from the curve without colour: it is dashed, the curve is not.
      const dashes = (what) => shown.locator(what).first().evaluate((el) => getComputedStyle(el).strokeDasharray);
      assert.notEqual(await dashes("figure.pressure .limit"), await dashes("figure.pressure .median"));
    }
  }
  const shown = await page(t, it, { width: 700, height: 990 });
  await shown.goto(`${toft.address}watch`);
  await shown.emulateMedia({ media: "print" });
  await picture(shown, "watch-paper");
  assert.equal(await overflow(shown), 0, "wider than the paper");
  const drawn = shown.locator("figure.pressure svg").first();
  assert.ok(await drawn.isVisible(), "the curves are on paper");
  const ink = await drawn.locator("polyline.line").first().evaluate((el) => getComputedStyle(el).stroke);
  assert.equal(ink, "rgb(0, 0, 0)", "black on paper");
  assert.ok(await shown.getByText("Treat nothing before its cause is found").isVisible(), "the caution is on paper");
});

test("each curve has its words and its figures", async (t) => {
  const toft = await start(["demo", "--port", "8711", "--on", "2018-07-05"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { javaScriptEnabled: false, hasTouch: true });
  await shown.goto(`${toft.address}watch`);
  const curve = shown.locator("figure.pressure").first();
  const title = await curve.locator("title").textContent();
  const words = await curve.locator("desc").textContent();
  assert.match(title, /6 May 2018|to .*4 Jul.* 2018, and the days ahead/);
  const told = words.match(/^(\d+) of 60 days at or over/);
  assert.ok(told, words);
  await tap(shown, shown.getByText("The figures").first());
  const tables = shown.locator("details.figures").first().locator("table");
  const behind = await tables.nth(0).locator("tbody tr").allInnerTexts();
  const over = behind.map((row) => row.match(/(\d+) of (\d+)\s*$/)).map((m) => [Number(m[1]), Number(m[2])]);
  assert.equal(over.reduce((sum, [, days]) => sum + days, 0), 60);
  assert.equal(over.reduce((sum, [n]) => sum + n, 0), Number(told[1]), "drawing and table count the same days");
  // Two weeks from today on, and in each row the three points in order.
  const ahead = await tables.nth(1).locator("tbody tr").all();
  assert.equal(ahead.length, 14);
  for (const row of ahead) {
    const points = (await row.locator("td").allInnerTexts()).map((v) => Number(v.replace("−", "-").replaceAll(",", "")));
    assert.ok(points[0] <= points[1] && points[1] <= points[2], points.join(" "));
  }
});

test("a mole's run and the trap on it, with one thumb", async (t) => {
  const toft = await start(["demo", "--port", "8712", "--on", "2018-07-05"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { hasTouch: true, isMobile: true });
  const log = async (state, line) => {
    await shown.goto(`${toft.address}watch`);
    await follow(shown, shown.getByRole("link", { name: "Write down a mole run or trap" }));
    await shown.getByText(/Before any trap ask your state/).first().waitFor();
    await fine(shown, `the form before ${state}`);
    await shown.getByLabel("Where", { exact: false }).first().selectOption("back-lawn");
    const run = shown.getByLabel(/Which run/);
    await tap(shown, run);
    await run.fill("by the gate");
    await shown.getByLabel(/What was found or done/).selectOption(state);
    if (line) await shown.getByLabel(/Where it runs on the map/).fill(line);
    await follow(shown, shown.getByRole("button", { name: /save/i }).first());
  };
  await log("found", "20 70\n22 120");
  await shown.goto(`${toft.address}watch`);
  await shown.getByText(/Mole run “by the gate”/).first().waitFor();
  await shown.getByText(/press it flat/).first().waitFor();
  await log("trap-set");
  await shown.goto(`${toft.address}daybook`);
  await shown.getByText(/by the gate.*trap set/).first().waitFor();
  await shown.goto(`${toft.address}watch`);
  await fine(shown, "the watch with a trap out");
  // On the map: the run drawn with its trap, the law before the list.
  await shown.goto(`${toft.address}map`);
  await fine(shown, "the map with runs");
  assert.equal(await shown.locator("svg.plan .moles circle.trap").count(), 1);
  assert.equal(await shown.locator("svg.plan .moles path.mole").count(), 2);
  const words = await shown.locator("section[aria-labelledby=mole-runs]").innerText();
  assert.ok(words.indexOf("The law first") < words.indexOf("by the gate"), words);
  await picture(shown, "map-runs");
});

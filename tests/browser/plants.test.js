// Woody plants with one thumb on a phone: a sick plant from the first look to what is done with it; a hedge set out, planted, written down, and its
// water told from the next day on. The signs are those of bagworms in any extension key: small spindle bags hang on the shoots, the needles
// chewed (Ohio State University Extension, bagworm columns 2020–24). A pot of five gallons takes a quarter to a third of it at each watering, daily
// for the first two weeks (University of Minnesota Extension, Watering newly planted trees and shrubs).

import assert from "node:assert/strict";
import { test } from "node:test";
import { DESK, PHONE, browser, fine, follow, page, start } from "./toft.js";

// What a look on bagworms finds; asked in whatever order the page asks.
const BAGS = [/bags/i, /chewed/i];

test("a sick plant from the first look to what is done with it", async (t) => {
  const toft = await start(["demo", "--port", "8721", "--on", "2017-07-01"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { hasTouch: true, isMobile: true });

  await shown.goto(`${toft.address}plant`);
  await fine(shown, "which plant");
  await follow(shown, shown.getByRole("link", { name: "This: arborvitae (Thuja)" }));
  await fine(shown, "the first look");
  let asked = 0;
  while ((await shown.getByText("Not enough to tell yet").count()) > 0) {
    asked += 1;
    assert.ok(asked <= 12, "twelve looks and still not enough to tell");
    const answers = await shown.locator("#next ~ div.actions a, section[aria-labelledby=next] div.actions a").allInnerTexts();
    const known = answers.find((answer) => BAGS.some((sign) => sign.test(answer)));
    const answer = known ?? "I cannot tell";
    await follow(shown, shown.locator("section[aria-labelledby=next]").getByRole("link", { name: answer, exact: true }));
  }
  await shown.getByText("It is most likely this: bagworm").waitFor();
  await shown.getByText("The label of the product is the law").waitFor();
  await fine(shown, "what to do");
  // A step back of the browser takes an answer back.
  await shown.goBack();
  await shown.getByText("Not enough to tell yet").waitFor();
});

test("a hedge set out, planted and watered", async (t) => {
  const toft = await start(["demo", "--port", "8722", "--on", "2018-07-05"]);
  t.after(() => toft.kill());
  const it = await browser(t);
  const shown = await page(t, it, PHONE, { hasTouch: true, isMobile: true });

  await shown.goto(`${toft.address}plant`);
  await follow(shown, shown.getByRole("link", { name: "Set out a hedge, a replacement or a tree" }));
  await fine(shown, "setting out");
  await shown.locator("#hedge-length").fill("25");
  await follow(shown, shown.getByRole("button", { name: "Reckon: A hedge row" }));
  await shown.getByText("width is missing").waitFor();
  await fine(shown, "what is missing");
  await shown.locator("#hedge-width").fill("3");
  await shown.locator("#hedge-spacing").fill("2.5");
  await follow(shown, shown.getByRole("button", { name: "Reckon: A hedge row" }));
  await shown.getByRole("heading", { name: "10 plants, 2.5 ft apart." }).waitFor();
  await fine(shown, "a hedge set out");

  await follow(shown, shown.getByRole("link", { name: "Write down what you planted" }));
  await fine(shown, "the form");
  await shown.getByLabel("Where").selectOption({ index: 1 });
  await shown.getByLabel("What", { exact: true }).selectOption("arb");
  await shown.getByLabel("How many").fill("10");
  await follow(shown, shown.getByRole("button", { name: /save|write|log/i }).first());
  await shown.getByText(/one of them tells how much water/).first().waitFor();
  await shown.getByLabel(/Pot, volume/).fill("5");
  await follow(shown, shown.getByRole("button", { name: /save|write|log/i }).first());

  await shown.goto(`${toft.address}water`);
  const plants = shown.locator("section[aria-labelledby=new-plants]");
  await plants.getByText(/10 × arborvitae/).first().waitFor();
  const each = Number.parseFloat(await plants.locator("p.figure strong").first().innerText());
  assert.ok(each >= 1.25 && each <= 1.67, `a quarter to a third of five gallons, not ${each}`);
  assert.match(await plants.innerText(), /every day/i);
  await fine(shown, "water for new plants");
  const desk = await page(t, it, DESK);
  await desk.goto(`${toft.address}water`);
  await fine(desk, "water at a desk");
  await desk.goto(`${toft.address}plant/set-out?what=gap&neighbours=8&sizes=3%2C+4%2C+6&growth=1`);
  await desk.getByText("Buy 4 ft").waitFor();
  await fine(desk, "a replacement");
});

// A bad patch with one thumb on a phone: signs and tests one at a time until a cause is likely, the count, the decision, the daybook.
// The signs are those of white grubs in any extension key: turf that lifts like a carpet, grubs under it (University of Massachusetts
// Extension, turf best management practices, white grubs). Then a sprinkler zone's fault, and the week's programme.

import assert from "node:assert/strict";
import { test } from "node:test";
import { DESK, PHONE, browser, fine, follow, page, start, tap } from "./toft.js";

// What a look on grubs finds; asked in whatever order the page asks.
const GRUBS = [
  [/shape of the bad places/, "irregular patches that run together"],
  [/tug/i, "lifts like a carpet, no roots under it"],
  [/colour/i, "straw, tan or brown"],
];

test("a patch from the first look to the daybook", async (t) => {
  const toft = await start(["demo", "--port", "8694", "--on", "2017-08-15"]);
  t.after(() => toft.kill());
  const shown = await page(t, await browser(t), PHONE, { hasTouch: true, isMobile: true });

  await shown.goto(`${toft.address}patch`);
  await fine(shown, "which lawn");
  await follow(shown, shown.getByRole("link", { name: "Front lawn" }));
  await fine(shown, "the first question");
  let asked = 0;
  while (!(await shown.getByRole("heading", { name: "Write it down" }).isVisible()) || (await shown.getByText("Not enough to tell yet").count()) > 0) {
    asked += 1;
    assert.ok(asked <= 8, "eight questions and still not enough to tell");
    const question = await shown.locator("#next").innerText();
    const known = GRUBS.find(([word]) => word.test(question));
    if (/count/i.test(question)) {
      await tap(shown, shown.locator("#n"));
      await shown.locator("#n").pressSequentially("9, 12, 10");
      await follow(shown, shown.getByRole("button", { name: "Take the count" }));
    } else if (known) {
      await follow(shown, shown.getByRole("link", { name: known[1] }));
    } else {
      await follow(shown, shown.getByRole("link", { name: "I cannot do this one" }));
    }
  }
  // Nothing is put down uncounted: the decision asks for the count first.
  const count = shown.getByRole("link", { name: /Count first/ });
  if ((await count.count()) > 0) {
    await follow(shown, count);
    await tap(shown, shown.locator("#n"));
    await shown.locator("#n").pressSequentially("9, 12, 10");
    await follow(shown, shown.getByRole("button", { name: "Take the count" }));
  }
  await shown.getByText("Likely white grubs").waitFor();
  await shown.getByText("Look again on").waitFor();
  await fine(shown, "the decision");

  // Measured, the patch has amounts, and its seed a day.
  await tap(shown, shown.locator("#m-size"));
  await shown.locator("#m-size").pressSequentially("60");
  await tap(shown, shown.locator("#m-gap"));
  await shown.locator("#m-gap").pressSequentially("9");
  await follow(shown, shown.getByRole("button", { name: "Reckon with it" }));
  await shown.getByText(/seed at .* on 60 sq ft/).waitFor();
  await fine(shown, "the plan");

  await tap(shown, shown.locator("#p-share"));
  await shown.locator("#p-share").pressSequentially("15");
  await follow(shown, shown.getByRole("button", { name: "Save and plan it" }));
  await shown.getByText(/Sow Kentucky bluegrass on Front lawn/).first().waitFor();
  await shown.getByText(/white grubs on Front lawn/).first().waitFor();
  await fine(shown, "what to do now");
  await shown.goto(`${toft.address}daybook`);
  await shown.getByText(/square-foot cut and count/i).first().waitFor();
});

test("a fault from its zone, and the week for the controller", async (t) => {
  const toft = await start(["demo", "--port", "8695", "--on", "2018-07-05"]);
  t.after(() => toft.kill());
  const it = await browser(t);
  for (const viewport of [PHONE, DESK]) {
    const shown = await page(t, it, viewport);
    await shown.goto(`${toft.address}water`);
    await shown.getByRole("link", { name: "What to type into the controller" }).click();
    await shown.getByText("Programme A", { exact: true }).waitFor();
    await shown.locator("#rain-depth").fill("1");
    await shown.getByRole("button", { name: "What it saves" }).click();
    await shown.getByText("A rain of 1.00 in tonight").waitFor();
    await fine(shown, "the programme");
    await shown.locator("#rain-depth").fill("much");
    await shown.getByRole("button", { name: "What it saves" }).click();
    await shown.getByRole("alert").waitFor();

    await shown.goto(`${toft.address}water`);
    await shown.locator("a[href*='/water/fault']").first().click();
    await shown.getByText("What does the sprinkler system do?").waitFor();
    await fine(shown, "the symptoms");
  }
});

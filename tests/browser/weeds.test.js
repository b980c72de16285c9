// A weed with one thumb on a phone: marks one at a time until it is likely, then what fits on the lawn, and the daybook. The marks are
// those of ground ivy: creeping square stems, round scalloped leaves in pairs, a smell of mint (North Carolina Invasive Plant Council).

import assert from "node:assert/strict";
import { test } from "node:test";
import { DESK, PHONE, browser, fine, page, start } from "./toft.js";

/** Follows a link with a thumb, and waits until its page is there. */
async function follow(shown, target) {
  const before = shown.url();
  await target.scrollIntoViewIfNeeded();
  const box = await target.boundingBox();
  assert.ok(box !== null && box.height >= 24 && box.width >= 24, `too small for a thumb: ${JSON.stringify(box)}`);
  await target.click();
  await shown.waitForURL((url) => url.href !== before);
}

const IVY = [
  [/^Look: kind of plant/, "a broad leaf with a net of veins"],
  [/^Look: how the leaves sit/, "two at each joint"],
  [/^Look: stem/, "four edges"],
  [/^Look: leaf/, "kidney-shaped or round, scalloped edge"],
  [/^Look: how it grows/, "creeps, and roots where its joints touch"],
  [/^Look: smell/, "of mint or herbs"],
];

for (const [name, viewport] of [["phone", PHONE], ["desk", DESK]]) {
  test(`from the first mark to what fits, ${name}`, async (t) => {
    const toft = await start(["demo", "--port", name === "phone" ? "8741" : "8742", "--on", "2018-05-03"]);
    t.after(() => toft.kill());
    const shown = await page(t, await browser(t), viewport);
    await shown.goto(`${toft.address}weeds`);
    await fine(shown, "the weeds");
    await follow(shown, shown.getByRole("link", { name: "Which weed is it?" }));
    await fine(shown, "the first mark");
    for (let step = 0; step < 10; step += 1) {
      if ((await shown.getByText("Most likely ground ivy").count()) > 0) break;
      const asked = await shown.locator("#next").textContent();
      const known = IVY.find(([mark]) => mark.test(asked));
      await follow(shown, shown.getByRole("link", { name: known ? known[1] : "I cannot tell", exact: true }));
    }
    await shown.getByText("Most likely ground ivy").waitFor();
    await fine(shown, "the species");
    await follow(shown, shown.getByRole("link", { name: "What fits against it here" }));
    await fine(shown, "what fits");
    await shown.locator("#weed-share").fill("20");
    await follow(shown, shown.getByRole("button", { name: "Show" }));
    await shown.getByText("By hand").first().waitFor();
    await follow(shown, shown.getByRole("link", { name: "Write down that it is here" }));
    await follow(shown, shown.getByRole("button", { name: "Save", exact: true }));
    await shown.goto(`${toft.address}daybook`);
    await shown.getByText(/weed: ground ivy/).first().waitFor();
  });
}

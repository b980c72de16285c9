// What the tests share: starting and ending the real program, and a real browser on a page of a given width.

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { chromium } from "playwright-core";

export const root = resolve(import.meta.dirname, "../..");
const program = process.env.TOFT ?? join(root, "target/release/toft");
const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const browserPath = process.env.CHROMIUM ?? "/usr/bin/chromium";

export const PHONE = { width: 390, height: 844 };
export const DESK = { width: 1280, height: 900 };

/** Starts `toft` with these words and waits for the address it prints. */
export async function start(words) {
  if (!existsSync(program)) throw new Error(`${program} is not there: cargo build --release -p toft`);
  const child = spawn(program, words, { stdio: ["ignore", "pipe", "inherit"] });
  const address = await new Promise((found, lost) => {
    let told = "";
    child.stdout.on("data", (piece) => {
      told += piece;
      const match = told.match(/http:\/\/127\.0\.0\.1:\d+\//);
      if (match) found(match[0]);
    });
    child.on("exit", (code) => lost(new Error(`toft ended with ${code} before it told its address: ${told}`)));
  });
  return {
    address,
    /** Ends it the hard way, as a power cut would. */
    async kill() {
      if (child.exitCode !== null || child.signalCode !== null) return;
      const ended = once(child, "exit");
      child.kill("SIGKILL");
      await ended;
    },
  };
}

/** A folder that is gone after the test. */
export function scratch(t) {
  const folder = mkdtempSync(join(tmpdir(), "toft-test-"));
  t.after(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A browser without a past. */
export async function browser(t) {
  const it = await chromium.launch({
    executablePath: browserPath,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  t.after(() => it.close());
  return it;
}

/** A page of this width that fails the test when a script throws or anything is asked of another host. */
export async function page(t, it, viewport, options = {}) {
  const context = await it.newContext({ viewport, ...options });
  const shown = await context.newPage();
  const faults = [];
  shown.on("pageerror", (error) => faults.push(`script: ${error.message}`));
  shown.on("request", (request) => {
    const url = new URL(request.url());
    if (!["127.0.0.1", ""].includes(url.hostname)) faults.push(`asked another host: ${url.hostname}`);
  });
  t.after(() => {
    if (faults.length > 0) throw new Error(faults.join("\n"));
  });
  return shown;
}

/** Pixels by which the page is wider than the window. */
export function overflow(shown) {
  return shown.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}

/** Axe finds nothing against WCAG 2.2 AA. */
export async function accessible(shown, where) {
  await shown.evaluate(axeSource);
  const { violations } = await shown.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }));
  assert.deepEqual(violations.map((v) => `${v.id}: ${v.nodes[0]?.html}`), [], where);
}

/** Nothing is wider than the window, and axe finds nothing. */
export async function fine(shown, where) {
  assert.equal(await overflow(shown), 0, `${where} is wider than the window`);
  await accessible(shown, where);
}

/** Taps where a thumb would: the element must be in reach, as large as a fingertip, and not under the bar at the foot. */
export async function tap(shown, target) {
  await target.scrollIntoViewIfNeeded();
  const box = await target.boundingBox();
  assert.ok(box !== null && box.height >= 24 && box.width >= 24, `too small for a thumb: ${JSON.stringify(box)}`);
  await target.tap();
}

/** Taps what leads to another page, and waits until it is there. */
export async function follow(shown, target) {
  const before = shown.url();
  await tap(shown, target);
  await shown.waitForURL((url) => url.href !== before);
}

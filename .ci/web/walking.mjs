// What every walk through the staff app begins with: a browser, a person at it,
// a look at a screen with axe. BENCHTAG_URL is a server of the demo shop;
// pictures go to BENCHTAG_PICTURES where that names a folder.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before } from "node:test";
import { chromium } from "playwright-core";

export const base = process.env.BENCHTAG_URL;
const pictures = process.env.BENCHTAG_PICTURES;
/** Long runs look at every width; others at those that differ most. */
export const long = Boolean(process.env.BENCHTAG_LONG);
export const password = "winding road in october";
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
export const flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** @type {import("playwright-core").Browser} */
export let browser;
before(async () => {
  assert.ok(base, "BENCHTAG_URL names no server");
  browser = await chromium.launch({ executablePath: process.env.BENCHTAG_CHROMIUM ?? "/usr/bin/chromium", args: flags });
});
after(() => browser?.close());

/** A person's browser. What the page complains of and asks of other servers is
 * kept, to be nothing at the end. */
export async function sit(width = 1440, scheme = "light") {
  const context = await browser.newContext({ viewport: { width, height: 1000 }, colorScheme: scheme, locale: "en-GB", bypassCSP: false });
  const page = await context.newPage();
  const wrong = [];
  page.on("pageerror", (error) => wrong.push(error.message));
  page.on("console", (line) => {
    if (/Content.Security.Policy|TrustedScript/i.test(line.text())) wrong.push(line.text());
  });
  page.on("request", (request) => {
    if (new URL(request.url()).origin !== base) wrong.push(`asked ${request.url()}`);
  });
  return { context, page, wrong };
}

/** Signs a person of the demo shop in. */
export async function signIn(page, login) {
  await page.goto(`${base}/s/floor`);
  await page.getByLabel("Shop").fill("demo");
  await page.getByLabel("Name to sign in").fill(login);
  await page.getByLabel("Password").fill(password);
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.getByRole("heading", { name: "Floor" }).waitFor();
}

/** Looks at a screen: axe, nothing wider than the window, a picture. */
export async function look(page, name) {
  // Through the debugger, so that the page's own policy stays as it is.
  const found = await page.evaluate(`(async () => { ${axe}; return (await axe.run()).violations.map((v) => v.id + ": " + v.nodes.map((n) => n.target).join(", ")); })()`);
  assert.deepEqual(found, [], name);
  const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wider <= 0, `${name} is ${wider} px wider than its window`);
  if (pictures) await page.screenshot({ path: `${pictures}/${name}.png`, fullPage: true });
}

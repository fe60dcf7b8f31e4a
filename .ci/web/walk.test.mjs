// Walks the staff app in a real browser, as people use it, and looks at every
// screen with axe at three widths. BENCHTAG_URL is a server of the demo shop;
// pictures go to BENCHTAG_PICTURES where that names a folder.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";

const base = process.env.BENCHTAG_URL;
const pictures = process.env.BENCHTAG_PICTURES;
const password = "winding road in october";
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  assert.ok(base, "BENCHTAG_URL names no server");
  browser = await chromium.launch({ executablePath: process.env.BENCHTAG_CHROMIUM ?? "/usr/bin/chromium", args: flags });
});
after(() => browser?.close());

/** A person's browser. What the page complains of and asks of other servers is
 * kept, to be nothing at the end. */
async function sit(width = 1440, scheme = "light") {
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

async function signIn(page, login) {
  await page.goto(`${base}/s/floor`);
  await page.getByLabel("Shop").fill("demo");
  await page.getByLabel("Name to sign in").fill(login);
  await page.getByLabel("Password").fill(password);
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.getByRole("heading", { name: "Floor" }).waitFor();
}

/** Looks at a screen: axe, nothing wider than the window, a picture. */
async function look(page, name) {
  // Through the debugger, so that the page's own policy stays as it is.
  const found = await page.evaluate(`(async () => { ${axe}; return (await axe.run()).violations.map((v) => v.id + ": " + v.nodes.map((n) => n.target).join(", ")); })()`);
  assert.deepEqual(found, [], name);
  const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wider <= 0, `${name} is ${wider} px wider than its window`);
  if (pictures) await page.screenshot({ path: `${pictures}/${name}.png`, fullPage: true });
}

for (const [width, scheme] of [[360, "light"], [820, "dark"], [1440, "light"]]) {
  test(`the floor at ${width} px`, async () => {
    const { context, page, wrong } = await sit(width, scheme);
    await page.goto(`${base}/s/floor`);
    await page.getByLabel("Password").waitFor();
    await look(page, `sign-in-${width}`);
    await signIn(page, "bruno");
    await page.getByRole("link", { name: /Rattle at the top end/ }).waitFor();
    await page.getByText("Live").waitFor();
    await look(page, `floor-${width}`);
    await page.getByLabel(/plate or the end of a VIN/).fill("LN-31M");
    await page.getByRole("button", { name: "Search" }).click();
    await page.getByRole("region", { name: "Found" }).or(page.locator(".found")).getByRole("link").first().waitFor();
    await look(page, `floor-found-${width}`);
    assert.deepEqual(wrong, []);
    await context.close();
  });
}

test("a technician finds the job on the floor and records a finding", async () => {
  for (const [width, scheme] of [[820, "light"], [360, "dark"]]) {
    const { context, page, wrong } = await sit(width, scheme);
    await signIn(page, "cleo");
    await page.getByRole("link", { name: /Water in the oil/ }).click();
    await page.getByRole("heading", { name: "Water in the oil" }).waitFor();
    await page.getByText("do not start").first().waitFor();
    await look(page, `job-${width}`);
    await page.getByRole("button", { name: "New finding" }).click();
    await look(page, `new-finding-${width}`);
    const part = `Impeller shaft ${Date.now()}`;
    await page.getByLabel("Which part").fill(part);
    await page.getByRole("radio", { name: /3/ }).check();
    await page.getByLabel("How it failed").selectOption("corroded");
    await page.getByRole("button", { name: "Save" }).click();
    const found = page.getByRole("listitem").filter({ hasText: part });
    await found.getByText("beyond limit").waitFor();
    await found.getByText("corroded").waitFor();
    await page.goBack();
    await page.getByRole("heading", { name: "Floor" }).waitFor();
    assert.deepEqual(wrong, []);
    await context.close();
  }
});

test("switching fast between two jobs never shows one's words under the other's number", async () => {
  const { context, page } = await sit();
  await signIn(page, "bruno");
  await page.getByText("Live").waitFor();
  const rows = await page.locator("a.job").evaluateAll((links) => links.slice(0, 2).map((a) => ({ href: a.getAttribute("href"), number: a.querySelector(".number").textContent, title: a.querySelector("b").textContent })));
  assert.equal(rows.length, 2);
  let held = 0;
  await page.route("**/v1/jobs/**", async (route) => {
    held++;
    if (held % 7 === 3) return route.abort();
    await new Promise((resolve) => setTimeout(resolve, (held * 37) % 120));
    await route.continue().catch(() => {});
  });
  for (let i = 0; i < 60; i++) {
    const row = rows[i % 2];
    await page.evaluate((href) => { history.pushState(null, "", href); dispatchEvent(new PopStateEvent("popstate")); }, row.href);
    if (i % 5 === 0) await page.waitForTimeout(90);
    const shown = await page.evaluate(() => ({ number: document.querySelector(".job-head .number")?.textContent, title: document.querySelector(".job-head h1")?.textContent }));
    if (shown.number !== undefined) assert.deepEqual(shown, { number: row.number, title: row.title });
  }
  assert.ok(held > 60, "the reads were held up");
  await context.close();
});

test("a wrong password says what is wrong, and keeps what was typed", async () => {
  const { context, page } = await sit();
  await page.goto(`${base}/s/floor`);
  await page.getByLabel("Shop").fill("demo");
  await page.getByLabel("Name to sign in").fill("bruno");
  await page.getByLabel("Password").fill("not this one at all");
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.getByRole("alert").waitFor();
  assert.equal(await page.getByLabel("Shop").inputValue(), "demo");
  await context.close();
});

test("the floor follows a change made elsewhere, within seconds", async () => {
  const { context, page } = await sit();
  await signIn(page, "bruno");
  await page.getByText("Live").waitFor();
  const signed = await (await fetch(`${base}/v1/sign-in`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ shop: "demo", login: "ada", password }) })).json();
  const headers = { Authorization: `Bearer ${signed.access_token}`, "Content-Type": "application/json", "Idempotency-Key": crypto.randomUUID() };
  const floor = await (await fetch(`${base}/v1/floor`, { headers })).json();
  const name = `Seen from afar ${Date.now()}`;
  const made = await fetch(`${base}/v1/work-orders/${floor.items[0].work_order_id}/jobs`, { method: "POST", headers, body: JSON.stringify({ title: name, kind: "request" }) });
  assert.equal(made.status, 201);
  await page.getByText(name).waitFor({ timeout: 10000 });
  await context.close();
});

test("without the server the floor says that it is old, and shows no other shop's", async () => {
  const { context, page } = await sit();
  await signIn(page, "bruno");
  await page.getByText("Live").waitFor();
  await context.setOffline(true);
  await page.getByText(/Not live: as of/).waitFor({ timeout: 30000 });
  await context.setOffline(false);
  await page.getByText("Live").waitFor({ timeout: 60000 });
  await context.close();
});

test("no secret lies where scripts can read it, and signing out leaves nobody signed in", async () => {
  const { context, page } = await sit();
  await signIn(page, "bruno");
  const kept = await page.evaluate(() => JSON.stringify({ ...localStorage, ...sessionStorage, cookie: document.cookie }));
  assert.equal(kept, '{"cookie":""}');
  await page.reload();
  await page.getByRole("heading", { name: "Floor" }).waitFor();
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.getByLabel("Password").waitFor();
  await page.reload();
  await page.getByLabel("Password").waitFor();
  await context.close();
});

// Walks the staff app as people use it: signing in, the floor, a job, a finding.
import assert from "node:assert/strict";
import { test } from "node:test";
import { base, long, look, password, signIn, sit } from "./walking.mjs";

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
  for (const [width, scheme] of long ? [[820, "light"], [360, "dark"]] : [[360, "dark"]]) {
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
    await page.getByRole("radio", { name: /3 beyond/ }).check();
    await page.getByRole("checkbox", { name: "corroded" }).check();
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

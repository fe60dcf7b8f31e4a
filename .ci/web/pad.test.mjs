// Walks the measuring pad: readings on large keys, the verdict at once and
// without the network, the server's afterwards.
import assert from "node:assert/strict";
import { test } from "node:test";
import { as, every, jobCalled, shellKept } from "./bench.mjs";
import { base, long, look, signIn, sit } from "./walking.mjs";

const type = async (page, text) => { for (const key of text) await page.getByRole("button", { name: key, exact: true }).click(); };

for (const [width, scheme] of long ? [[820, "light"], [360, "dark"], [1440, "light"]] : [[820, "light"], [360, "dark"]]) {
  test(`a reading is judged on the tablet without the network, and by the server alike (${width} px)`, async () => {
    const { context, page, wrong } = await sit(width, scheme);
    await signIn(page, "cleo");
    await shellKept(page);
    const api = await as("cleo");
    const job = await jobCalled(api, /Rattle at the top end/);
    await page.goto(`${base}/s/jobs/${job}`);
    await page.getByRole("link", { name: "Measure: timing chain" }).click();
    await page.getByRole("heading", { name: "Readings: timing chain" }).waitFor();
    await context.setOffline(true);
    await page.reload();
    await page.getByText("Caliper 1").click();
    await type(page, "163.1");
    await page.getByText("163.1 mm = ").waitFor();
    await page.getByText("Beyond the limit").waitFor();
    await page.locator("svg.limit-line").waitFor();
    await look(page, `readings-${width}-${scheme}`);
    const keys = await page.locator(".key").evaluateAll((all) => all.map((k) => { const r = k.getBoundingClientRect(); return [Math.round(r.width), Math.round(r.height)]; }));
    assert.ok(keys.every(([w, h]) => h >= 80 && (width === 360 || w >= 100)), `keys of ${JSON.stringify(keys)}`);
    await page.getByRole("button", { name: "Save the readings" }).click();
    await page.getByText("Not sent yet: 1").waitFor();
    await page.getByText("Reckoned on this tablet").waitFor();
    await context.setOffline(false);
    await page.getByText("All sent").waitFor({ timeout: 30000 });
    const made = (await every(api, `/v1/jobs/${job}/measurements`)).at(-1);
    assert.equal(made.readings[0].values[0].entered, "163.1 mm");
    assert.equal(made.verdict, "beyond");
    assert.equal(await page.getByText("The server's word counts.").count(), 0, "tablet and server agree");
    assert.deepEqual(wrong, []);
    await context.close();
  });
}

test("where the server reckons otherwise, both words are shown", async () => {
  const { context, page } = await sit(820);
  await signIn(page, "cleo");
  const api = await as("cleo");
  const job = await jobCalled(api, /Rattle at the top end/);
  await page.route("**/measurements/*", async (route) => {
    const answer = await route.fetch();
    const body = await answer.json();
    await route.fulfill({ response: answer, json: { ...body, verdict: "undecided", grade: null } });
  });
  await page.goto(`${base}/s/jobs/${job}`);
  await page.getByRole("link", { name: "Measure: timing chain" }).click();
  await page.getByText("Caliper 1").click();
  await type(page, "163.4");
  await page.getByText("Beyond the limit").waitFor();
  await page.getByRole("button", { name: "Save the readings" }).click();
  await page.getByText(/The tablet said: 2.125 %.*Beyond.*The server says:.*The server's word counts/).waitFor();
  await context.close();
});

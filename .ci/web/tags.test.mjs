// Walks bags and tags: written down without the network, with a code or without.
import assert from "node:assert/strict";
import { test } from "node:test";
import { as, every, jobCalled, shellKept } from "./bench.mjs";
import { base, look, signIn, sit } from "./walking.mjs";

test("a bag is tagged without the network and gets its number when it is sent", async () => {
  const { context, page, wrong } = await sit(820);
  await signIn(page, "cleo");
  await shellKept(page);
  const api = await as("cleo");
  const job = await jobCalled(api, /Front wheel bearings/);
  await page.goto(`${base}/s/jobs/${job}`);
  await page.getByRole("button", { name: "New bag or tag" }).waitFor();
  await context.setOffline(true);
  const holds = `axle spacers ${Date.now()}`;
  await page.getByRole("button", { name: "New bag or tag" }).click();
  await page.getByText("fasteners", { exact: true }).click();
  await page.getByLabel("What is in it").fill(holds);
  await page.getByLabel("Where it lies").fill("shelf B");
  await look(page, "new-tag-820");
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("gets its number when it is sent").waitFor();
  await context.setOffline(false);
  await page.getByText("All sent").waitFor({ timeout: 30000 });
  const made = (await every(api, `/v1/jobs/${job}/tags`)).filter((t) => t.holds === holds);
  assert.equal(made.length, 1);
  assert.match(made[0].code, /^[0-9A-Z]{5}$/);
  assert.equal(made[0].kind, "fasteners");
  await page.getByText(`${made[0].number} · ${made[0].code}`).waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});

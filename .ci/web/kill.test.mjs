// Kills the tablet at random moments, over and over: the tab, or the whole
// browser as a flat battery does. Whatever was called saved is on the server in
// the end, once, with its photo. Four rounds; a hundred with BENCHTAG_LONG=1.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { chromium } from "playwright-core";
import { as, every, jobCalled, photo, shellKept } from "./bench.mjs";
import { base, flags, signIn } from "./walking.mjs";

const rounds = process.env.BENCHTAG_LONG ? 100 : 4;

/** Starts a browser of its own on a folder that outlives it. */
async function tablet(folder) {
  const child = spawn(process.env.BENCHTAG_CHROMIUM ?? "/usr/bin/chromium", [...flags, "--remote-debugging-port=0", `--user-data-dir=${folder}`, "--lang=en-GB", "about:blank"], { stdio: ["ignore", "ignore", "pipe"], detached: true });
  const where = await new Promise((resolve, reject) => {
    let said = "";
    child.stderr.on("data", (bytes) => { said += bytes; const found = said.match(/DevTools listening on (ws:\S+)/); if (found) resolve(found[1]); });
    child.once("exit", () => reject(new Error(`the browser does not start: ${said.slice(-300)}`)));
  });
  const browser = await chromium.connectOverCDP(where);
  const context = browser.contexts()[0];
  const gone = new Promise((resolve) => child.once("exit", resolve));
  return { context, page: context.pages()[0] ?? await context.newPage(), die: async () => { process.kill(-child.pid, "SIGKILL"); await gone; } };
}

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/** Goes to a screen; a battery that died with the last cookie unwritten means signing in again. */
async function enter(page, path) {
  await page.goto(base + path);
  const asked = page.getByLabel("Password");
  await asked.or(page.getByRole("button", { name: "Sign out" })).waitFor();
  if (!(await asked.isVisible())) return;
  await signIn(page, "cleo");
  await page.goto(base + path);
}

test(`nothing is lost or doubled in ${rounds} rounds of dying tabs and batteries`, async () => {
  const folder = mkdtempSync(join(tmpdir(), "tablet-"));
  const api = await as("cleo");
  const job = await jobCalled(api, /Front wheel bearings/);
  const mark = `Round ${Date.now()}`;
  const tried = new Set();
  const saved = new Set();
  let at = await tablet(folder);
  try {
    await signIn(at.page, "cleo");
    await shellKept(at.page);
    const shot = await photo(at.page, { width: 640, height: 480 });
    let needs = 0; // how long a round takes to save here, learned from those that do
    for (let n = 0; n < rounds; n++) {
      const name = `${mark} number ${n}`;
      tried.add(name);
      const began = Date.now();
      // By turns it dies on the way to saving, and at some moment of sending.
      const early = n % 2 === 1;
      const battery = n % 4 === 2 || n % 4 === 3;
      let kept = () => {};
      const keeping = new Promise((resolve) => { kept = resolve; });
      const work = (async () => {
        const { page } = at;
        await enter(page, `/s/jobs/${job}`);
        await page.route("**/v1/jobs/*/{findings,photos}/**", async (route) => {
          if (route.request().method() === "PUT" && Math.random() < 0.3) { await route.fetch().catch(() => {}); return route.abort(); }
          return route.continue();
        });
        await page.getByRole("button", { name: "New finding" }).click();
        await page.getByLabel("Which part").fill(name);
        await page.getByLabel("Take a photo").setInputFiles(shot);
        await page.locator("form .pictures img").first().waitFor();
        await page.getByRole("button", { name: "Save" }).click();
        await page.getByText("Saved on this tablet.").waitFor();
        saved.add(name);
        needs = Date.now() - began;
        kept();
        await new Promise(() => {}); // works on until it dies
      })().catch(() => {});
      if (early) await Promise.race([work, pause(needs * (0.1 + Math.random() * 0.9))]);
      else await Promise.race([work, keeping.then(() => pause(Math.random() * 2000))]);
      if (battery) {
        await at.die();
        at = await tablet(folder);
      } else {
        const next = await at.context.newPage();
        // A page that crashed answers nothing more: waiting for it would be for ever.
        const wire = await at.context.newCDPSession(at.page);
        wire.send("Page.crash").catch(() => {});
        await Promise.race([at.page.waitForEvent("crash"), pause(500)]);
        at.page = next;
      }
    }
    await enter(at.page, "/s/unsent");
    await at.page.getByText("All sent").waitFor({ timeout: 60000 });
    const findings = (await every(api, `/v1/jobs/${job}/findings`)).filter((f) => f.name.startsWith(mark));
    const photos = await every(api, `/v1/jobs/${job}/photos`);
    assert.ok(saved.size > 0, "no round got as far as saving");
    assert.ok(saved.size < rounds, "no round died before saving: the moments are not random enough");
    for (const name of saved) {
      const here = findings.filter((f) => f.name === name);
      assert.equal(here.length, 1, `${name} is on the server ${here.length} times`);
      const shots = photos.filter((p) => p.finding_id === here[0].id);
      assert.ok(shots.length >= 1 && shots.every((p) => p.stored_at), `${name} has lost its photo`);
    }
    assert.equal(new Set(findings.map((f) => f.name)).size, findings.length, "a finding is doubled");
    for (const f of findings) assert.ok(tried.has(f.name), `${f.name} was never made`);
  } finally {
    await at.die();
    rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  }
});

// Walks the bench as it is used: one hand, a Wi-Fi that comes and goes, two
// people on one job.
import assert from "node:assert/strict";
import { test } from "node:test";
import { as, every, everythingKept, jobCalled, photo, shellKept } from "./bench.mjs";
import { base, look, signIn, sit } from "./walking.mjs";

const sent = (page) => page.getByText("All sent").waitFor({ timeout: 30000 });

test("six touches from the job to a saved finding with its photo", async () => {
  const { context, page, wrong } = await sit(820);
  await signIn(page, "cleo");
  const api = await as("cleo");
  const job = await jobCalled(api, /Rattle at the top end/);
  const before = (await every(api, `/v1/jobs/${job}/findings`)).length;
  await page.goto(`${base}/s/jobs/${job}`);
  let touches = 0;
  const touch = async (what) => { touches++; await what.click(); };
  await touch(page.getByRole("button", { name: "New finding" }));
  await touch(page.locator("button.tile").nth(2));
  await touch(page.locator("label.grade").nth(2));
  await touch(page.locator("label.tile", { hasText: "scored" }));
  touches++; // the camera's own button comes on top
  await page.getByLabel("Take a photo").setInputFiles(await photo(page));
  await page.locator("form .pictures img").waitFor();
  await look(page, "capture-820");
  await touch(page.getByRole("button", { name: "Save" }));
  await page.getByText("Saved on this tablet.").waitFor();
  assert.ok(touches <= 6, `${touches} touches`);
  await sent(page);
  const findings = await every(api, `/v1/jobs/${job}/findings`);
  assert.equal(findings.length, before + 1);
  const made = findings.find((f) => f.damage_mode === "scored" && f.looked_at_grade === 2);
  const [shot] = (await every(api, `/v1/jobs/${job}/photos`)).filter((p) => p.finding_id === made.id);
  assert.ok(shot.stored_at, "the picture arrived");
  assert.equal(Math.max(shot.width, shot.height), 2048);
  await page.locator(".findings img").first().waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});

test("everything touched at the bench is 72 px high", async () => {
  const { context, page } = await sit(820);
  await signIn(page, "cleo");
  await page.goto(`${base}/s/jobs/${await jobCalled(await as("cleo"), /Rattle at the top end/)}`);
  await page.getByRole("button", { name: "New finding" }).click();
  const small = await page.locator("main").evaluate((main) => [...main.querySelectorAll("button, select, summary, label.grade, label.tile, label.take, input:not([type=radio],[type=checkbox],[type=file])")]
    .filter((e) => e.getClientRects().length > 0 && e.getBoundingClientRect().height < 71.5).map((e) => `${e.tagName} ${e.textContent.slice(0, 30)} ${e.getBoundingClientRect().height}`));
  assert.deepEqual(small, []);
  await context.close();
});

test("without the network: the app starts, the job is there as of then, what is made waits and goes by itself", async () => {
  const { context, page, wrong } = await sit(820, "dark");
  await signIn(page, "cleo");
  await shellKept(page);
  const api = await as("cleo");
  const job = await jobCalled(api, /Front wheel bearings/);
  const other = await jobCalled(api, /Battery lamp/);
  await page.goto(`${base}/s/jobs/${job}`);
  await page.getByRole("heading", { name: "Front wheel bearings" }).waitFor();
  const shot = await photo(page);
  await context.setOffline(true);
  await page.reload();
  await page.getByRole("heading", { name: "Front wheel bearings" }).waitFor();
  await page.getByText(/No line to the server. This is as of/).waitFor();
  const name = `Left wheel bearing ${Date.now()}`;
  await page.getByRole("button", { name: "New finding" }).click();
  await page.getByLabel("Which part").fill(name);
  await page.locator("label.grade").nth(3).click();
  await page.getByLabel("Take a photo").setInputFiles(shot);
  await page.locator("form .pictures img").waitFor();
  // A tab that dies takes nothing along, not even what is half typed.
  await page.reload();
  await page.getByRole("button", { name: "New finding" }).click();
  await page.getByText("You began this one before").waitFor();
  assert.equal(await page.getByLabel("Which part").inputValue(), name);
  await page.locator("form .pictures img").waitFor();
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("Saved on this tablet.").waitFor();
  await page.getByText("Not sent yet: 3").waitFor();
  await page.reload();
  await page.getByText(name).waitFor();
  await look(page, "job-offline-820-dark");
  await page.getByRole("link", { name: "Not sent yet: 3" }).click();
  await page.getByText(`Finding: ${name}`).waitFor();
  await look(page, "unsent-820-dark");
  // A job that was never read here is not there: no other's words in its place.
  await page.goto(`${base}/s/jobs/${other}`);
  await page.getByText("No data").waitFor();
  assert.ok(!(await page.locator("main").innerText()).includes("Front wheel"), "shows another job");
  await context.setOffline(false);
  await sent(page);
  const made = (await every(api, `/v1/jobs/${job}/findings`)).filter((f) => f.name === name);
  assert.equal(made.length, 1);
  const shots = (await every(api, `/v1/jobs/${job}/photos`)).filter((p) => p.finding_id === made[0].id);
  assert.equal(shots.length, 1);
  assert.ok(shots[0].stored_at);
  assert.deepEqual(wrong.filter((line) => !/ERR_INTERNET/.test(line)), []);
  await context.close();
});

test("an answer that gets lost doubles nothing, also where the finding was changed meanwhile", async () => {
  const { context, page } = await sit(820);
  await signIn(page, "cleo");
  const api = await as("cleo");
  const job = await jobCalled(api, /Front wheel bearings/);
  await page.goto(`${base}/s/jobs/${job}`);
  const name = `Speed sensor ${Date.now()}`;
  let lost = 0;
  await page.route("**/findings/**", async (route) => {
    if (route.request().method() !== "PUT" || lost >= 2) return route.continue();
    await route.fetch(); // the server has it, the tablet never hears of it
    lost++;
    await route.abort();
  });
  await page.getByRole("button", { name: "New finding" }).click();
  await page.getByLabel("Which part").fill(name);
  await page.locator("label.grade").nth(1).click();
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("Saved on this tablet.").waitFor();
  await page.getByRole("button", { name: `Change: ${name}` }).click();
  await page.getByLabel("Note").fill("Changed before the answer came.");
  await page.getByRole("button", { name: "Save" }).click();
  await sent(page);
  const made = (await every(api, `/v1/jobs/${job}/findings`)).filter((f) => f.name === name);
  assert.equal(made.length, 1);
  assert.equal(made[0].note, "Changed before the answer came.");
  assert.ok(lost >= 1, "an answer got lost");
  await context.close();
});

for (const choice of ["mine", "theirs"]) {
  test(`two people change one finding: both versions stay until one is chosen (${choice})`, async () => {
    const { context, page } = await sit(choice === "mine" ? 820 : 360);
    await signIn(page, "cleo");
    await shellKept(page);
    const [api, advisor] = [await as("cleo"), await as("bruno")];
    const job = await jobCalled(api, /Front wheel bearings/);
    const id = await page.evaluate(async () => (await import(document.querySelector("script[src]").src.replace("main.js", "lib/ids.js"))).newId());
    const body = { component: `Caliper slider ${choice} ${Date.now()}`, looked_at_grade: 2, safe_to_ride: "not_known" };
    const { etag } = await api("PUT", `/v1/jobs/${job}/findings/${id}`, body, { "If-None-Match": "*" });
    await page.goto(`${base}/s/jobs/${job}`);
    await page.getByText(body.component).waitFor();
    await context.setOffline(true);
    await page.getByRole("button", { name: `Change: ${body.component}` }).click();
    await page.getByLabel("Note").fill("seen at the bench");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("Saved on this tablet.").waitFor();
    await advisor("PUT", `/v1/jobs/${job}/findings/${id}`, { ...body, looked_at_grade: 3, note: "as told on the phone" }, { "If-Match": etag });
    await context.setOffline(false);
    await page.getByRole("link", { name: "Look at both" }).first().click({ timeout: 30000 });
    await page.getByRole("heading", { name: "Changed by someone else too" }).waitFor();
    await page.getByText("seen at the bench").waitFor();
    await page.getByText("as told on the phone").waitFor();
    await look(page, `changed-${choice}`);
    const now = async () => (await api("GET", `/v1/jobs/${job}/findings/${id}`)).value;
    assert.equal((await now()).note, "as told on the phone", "nothing is overwritten unasked");
    await page.getByRole("button", { name: choice === "mine" ? "Keep this tablet's" : "Take the server's" }).click();
    if (choice === "mine") {
      await sent(page);
      assert.equal((await now()).note, "seen at the bench");
    } else {
      await page.getByRole("button", { name: "Undo" }).waitFor(); // the tablet's words are set aside, not gone
      await sent(page);
      assert.equal((await now()).note, "as told on the phone");
    }
    await context.close();
  });
}

test("a tablet without room says that nothing was saved, and a store that does not open says unknown", async () => {
  const { context, page } = await sit(820);
  await signIn(page, "cleo");
  const job = await jobCalled(await as("cleo"), /Front wheel bearings/);
  await page.goto(`${base}/s/jobs/${job}`);
  await page.getByRole("button", { name: "New finding" }).click();
  await page.getByLabel("Which part").fill("No room for this");
  await page.evaluate(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...all) { if (this.name === "made") this.transaction.abort(); return put.apply(this, all); };
  });
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("Not saved: this tablet has no room").waitFor();
  assert.equal(await page.getByText("Saved on this tablet.").count(), 0);
  assert.equal(await page.getByLabel("Which part").inputValue(), "No room for this");
  // The message leaves the button free.
  assert.ok(await page.getByRole("button", { name: "Save" }).evaluate((b) => { const r = b.getBoundingClientRect(); return b.contains(document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2)); }));
  await context.addInitScript(() => { indexedDB.open = () => { throw new Error("no store"); }; });
  await page.reload();
  await page.getByText("Not sent yet: unknown").waitFor();
  await context.close();
});

test("what was kept is called old after a day, and signing out leaves nothing of anybody's", async () => {
  const { context, page } = await sit(820);
  await signIn(page, "cleo");
  await shellKept(page);
  const api = await as("cleo");
  const job = await jobCalled(api, /Water in the oil/);
  await page.goto(`${base}/s/jobs/${job}`);
  await page.getByRole("heading", { name: "Water in the oil" }).waitFor();
  await page.waitForFunction(() => new Promise((resolve) => { const asked = indexedDB.open("benchtag"); asked.onsuccess = () => { const rows = asked.result.transaction("kept").objectStore("kept").count(); rows.onsuccess = () => { asked.result.close(); resolve(rows.result > 0); }; }; }));
  await page.evaluate((key) => new Promise((resolve) => {
    const asked = indexedDB.open("benchtag");
    asked.onsuccess = () => {
      const turn = asked.result.transaction("kept", "readwrite");
      const row = turn.objectStore("kept").get(key);
      row.onsuccess = () => { turn.objectStore("kept").put({ ...row.result, at: Date.now() - 25 * 3600 * 1000 }, key); };
      turn.oncomplete = () => { asked.result.close(); resolve(); };
    };
  }), `job:${job}`);
  await context.setOffline(true);
  await page.reload();
  await page.getByText(/More than a day old: as of/).waitFor();
  await page.getByText("do not start").first().waitFor();
  await context.setOffline(false);
  const full = await everythingKept(page);
  assert.ok(JSON.stringify(full).includes("Water in the oil"), "the dump sees what is kept");
  assert.ok(!/eyJ|Bearer|access_token/.test(JSON.stringify(full)), "a token lies in the store");
  for (const path of full.caches) assert.match(path, /^\/(a\/[0-9a-f]{16}\/|s\/$)/, "only the app's own files are cached");
  assert.ok(full.caches.length > 10);
  await page.reload();
  await page.getByRole("heading", { name: "Water in the oil" }).waitFor();
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.getByLabel("Password").waitFor();
  const left = JSON.stringify((await everythingKept(page)).store);
  for (const word of ["Water in the oil", "Cleo", "do not start"]) assert.ok(!left.includes(word), `${word} stays after signing out: ${left.slice(0, 400)}`);
  await context.close();
});

test("signing out with something unsent asks first, and keeps it for that person alone", async () => {
  const { context, page } = await sit(820);
  await signIn(page, "cleo");
  await shellKept(page);
  const api = await as("cleo");
  const job = await jobCalled(api, /Front wheel bearings/);
  await page.goto(`${base}/s/jobs/${job}`);
  await page.getByRole("button", { name: "New finding" }).waitFor();
  await context.setOffline(true);
  const name = `Dust seal ${Date.now()}`;
  await page.getByRole("button", { name: "New finding" }).click();
  await page.getByLabel("Which part").fill(name);
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("Saved on this tablet.").waitFor();
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.getByText("1 thing made here is not sent yet.").waitFor();
  await look(page, "sign-out-asks");
  await page.getByRole("button", { name: "Sign out all the same" }).click();
  await page.getByLabel("Password").waitFor();
  await context.setOffline(false);
  await signIn(page, "bruno");
  await page.getByRole("link", { name: "Not sent yet: 1" }).click();
  await page.getByText(/Made by Cleo.*: it goes when they sign in here/).waitFor();
  assert.equal((await every(api, `/v1/jobs/${job}/findings`)).filter((f) => f.name === name).length, 0, "nothing goes in another's name");
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.getByLabel("Password").waitFor();
  await signIn(page, "cleo");
  await sent(page);
  const made = (await every(api, `/v1/jobs/${job}/findings`)).filter((f) => f.name === name);
  assert.equal(made.length, 1);
  await context.close();
});

// Walks the counter as an advisor does: a machine comes in, first checks, ways
// forward, the question, the answer on the phone, the machine leaving.
import assert from "node:assert/strict";
import { test } from "node:test";
import { base, look, password, signIn, sit } from "./walking.mjs";

const map = "Parallel twin";

/** Fills intake in as far as a person at the counter does. */
async function comesIn(page, { name, words, request = false }) {
  await page.getByRole("link", { name: "Intake", exact: true }).click();
  await page.getByRole("heading", { name: "A machine comes in" }).waitFor();
  await page.getByLabel("Name", { exact: true }).fill(name);
  await page.getByLabel("Phone", { exact: true }).fill("+43 660 5550177");
  await page.getByLabel("E-mail", { exact: true }).fill("iris@example.test");
  await page.getByLabel("Make", { exact: true }).fill("Varga");
  await page.getByLabel("Model", { exact: true }).fill("Tourist 500");
  await page.getByLabel("Plate", { exact: true }).fill("LN-880");
  const maps = page.getByLabel("Machine map");
  await maps.locator("option", { hasText: map }).waitFor({ state: "attached" });
  await maps.selectOption(await maps.locator("option", { hasText: map }).getAttribute("value"));
  if (request) await page.getByRole("radio", { name: /a wish/ }).check();
  await page.getByLabel("In the customer's words").fill(words);
  if (!request) await page.getByRole("radio", { name: "noise" }).check();
  await page.getByLabel("Odometer", { exact: true }).fill("18 250 km");
  await page.getByRole("group", { name: "May we ride it?" }).getByLabel("yes").check();
  await page.getByRole("radio", { name: "give back" }).check();
}

/** Goes to a page of the job at the counter. */
async function turn(page, name) {
  await page.getByRole("navigation", { name: "Pages of this job" }).getByRole("link", { name, exact: true }).click();
}

/** Opens what is folded away. */
const unfold = (within, name) => within.locator("summary", { hasText: name }).first().click();

const inWeeks = (n) => new Date(Date.now() + n * 7 * 86400000).toISOString().slice(0, 10);

/** A line of labour, on the page of ways forward. */
async function addLine(page, what, minutes, most = "") {
  const form = page.locator("form.form").filter({ has: page.getByRole("button", { name: "Add the line" }) });
  if (!(await form.isVisible())) await unfold(page, "New line");
  await form.getByLabel("As printed").fill(what);
  await form.getByLabel("Minutes").fill(minutes);
  if (most) {
    await form.getByLabel("Only if found worn").check();
    await form.getByLabel("At most (EUR)").fill(most);
  }
  await form.getByRole("button", { name: "Add the line" }).click();
  await page.locator(".sheet li").filter({ hasText: what }).first().waitFor();
}

test("an advisor takes a machine in, asks, and records a yes on the phone", async () => {
  const { context, page, wrong } = await sit(1440, "light");
  await signIn(page, "bruno");
  const name = `Iris Hollowell ${Date.now() % 100000}`;
  await comesIn(page, { name, words: "It ticks at the top when it is cold, and goes away after the first lights." });
  await look(page, "counter-intake-1440");
  await page.getByRole("button", { name: "Open the work order" }).click();
  await page.getByRole("heading", { name: "First checks, in order" }).waitFor();
  await page.getByText(name).waitFor();
  await look(page, "counter-now-1440");

  await turn(page, "Ways forward");
  await addLine(page, "Cover off, look at the chain drive", "60");
  await addLine(page, "Cam chain guide", "90", "250");
  await page.locator(".total").getByText(/100\.80 – .*400\.80/).waitFor();
  await unfold(page, "New way forward");
  const way = page.locator("form.form").filter({ hasText: "What is asked" });
  await way.getByRole("radio", { name: "checks" }).check();
  await way.getByLabel("In a few words").fill("Look at the chain drive");
  await way.getByLabel("What we do").fill("We take the cover off and look at chain, guides and tensioner.");
  await way.getByLabel("What stays unknown").fill("The bottom of the chain run.");
  await way.getByLabel("Ready at the earliest").fill(inWeeks(1));
  await way.getByRole("button", { name: "Add the way" }).click();
  await page.locator(".sheet li").filter({ hasText: "Look at the chain drive" }).waitFor();
  await look(page, "counter-ways-1440");

  await turn(page, "Ask the customer");
  await page.getByRole("button", { name: "Fix it and ask" }).click();
  await page.getByRole("button", { name: "Show me the link" }).click();
  const link = await page.getByLabel("Link", { exact: true }).inputValue();
  assert.match(link, /\/c\/btl_/);
  await look(page, "counter-ask-1440");
  await unfold(page, "Take the answer here");
  const answer = page.locator("form.form").filter({ hasText: "How they answer" }).first();
  await answer.getByText(/What stays unknown: The bottom of the chain run/).waitFor();
  await answer.getByRole("radio", { name: "Yes" }).check();
  await answer.getByRole("button", { name: "Record the answer" }).click();
  // What the rule asks for is said at each field, and what was typed stays.
  await answer.locator("[aria-invalid=true]").first().waitFor();
  const named = await answer.locator("[aria-invalid=true]").evaluateAll((fields) => fields.map((f) => f.getAttribute("name")));
  assert.deepEqual(named.toSorted(), ["identified_how", "said_at", "said_back", "typed_name"]);
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("name")), "typed_name");
  await look(page, "counter-answer-refused-1440");
  await answer.getByLabel("Who answers").fill(name);
  await answer.getByLabel("How you knew it was them").fill("called back on the number we have");
  await answer.getByRole("button", { name: "Now" }).click();
  await answer.getByLabel("What they said back").fill("Yes, look at it, for at most what you said.");
  await answer.getByRole("button", { name: "Record the answer" }).click();
  await page.getByRole("heading", { name: "Asked before" }).waitFor();

  await turn(page, "What was agreed");
  await unfold(page, name);
  await page.getByText("called back on the number we have").waitFor();
  const [receipt] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Receipt to keep" }).click()]);
  assert.match(receipt.suggestedFilename(), /^benchtag-receipt-.*\.txt$/);
  await look(page, "counter-agreed-1440");
  await turn(page, "Now");
  await page.getByRole("button", { name: "Go on to: Diagnosis" }).click();
  await page.getByText(/^Diagnosis · /).waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});

test("what was typed at intake survives a refusal, going elsewhere and a lost line", async () => {
  const { context, page } = await sit(820, "dark");
  await signIn(page, "bruno");
  const name = `Noor Tamsin ${Date.now() % 100000}`;
  await comesIn(page, { name, words: "It shakes the bars above sixty." });
  await page.getByLabel("Keys handed in").fill("two");
  await page.getByRole("button", { name: "Open the work order" }).click();
  await page.locator("#intake-keys-wrong").waitFor();
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("name")), "keys");
  await look(page, "counter-intake-refused-820");
  await page.getByRole("link", { name: "Floor" }).click();
  await page.getByRole("heading", { name: "Floor" }).waitFor();
  await page.getByRole("link", { name: "Intake", exact: true }).click();
  assert.equal(await page.getByLabel("Name", { exact: true }).inputValue(), name);
  await page.getByLabel("Keys handed in").fill("2");
  // The answer to the third step gets lost on the way back.
  let lost = 0;
  await page.route("**/v1/work-orders", async (route) => {
    if (route.request().method() !== "POST" || lost++) return route.continue();
    await route.fetch();
    await route.abort();
  });
  await page.getByRole("button", { name: "Open the work order" }).click();
  await page.getByText("The server cannot be reached").waitFor();
  await page.getByRole("button", { name: "Open the work order" }).click();
  await page.getByRole("heading", { name: "First checks, in order" }).waitFor();
  assert.equal(lost, 2);
  // One customer, one visit: nothing was doubled.
  const token = (await (await fetch(`${base}/v1/sign-in`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ shop: "demo", login: "bruno", password }) })).json()).access_token;
  const found = await (await fetch(`${base}/v1/search?q=${encodeURIComponent(name)}`, { headers: { Authorization: `Bearer ${token}` } })).json();
  assert.equal(found.items.length, 1);
  await context.close();
});

/** Speaks with the server as a person of the demo shop, for what is done at the bench. */
async function atBench(login) {
  const json = { "Content-Type": "application/json" };
  const signed = await (await fetch(`${base}/v1/sign-in`, { method: "POST", headers: json, body: JSON.stringify({ shop: "demo", login, password }) })).json();
  return async (method, path, body, guard = {}) => {
    const answer = await fetch(base + path, { method, headers: { ...json, Authorization: `Bearer ${signed.access_token}`, ...(method === "POST" ? { "Idempotency-Key": crypto.randomUUID() } : {}), ...guard }, body: JSON.stringify(body) });
    const text = await answer.text();
    assert.ok(answer.ok, `${method} ${path}: ${answer.status} ${text}`);
    return { value: text ? JSON.parse(text) : null, etag: answer.headers.get("ETag"), id: signed.staff_id };
  };
}

test("a wish: a yes up to a sum at drop-off, the work, the bill inside it, the keys", async () => {
  const { context, page, wrong } = await sit(360, "light");
  await signIn(page, "bruno");
  const name = `Odalys Wren ${Date.now() % 100000}`;
  await comesIn(page, { name, words: "Set and oil the chain, please.", request: true });
  await look(page, "counter-intake-360");
  await page.getByRole("button", { name: "Open the work order" }).click();
  await page.getByRole("heading", { name: "Where it goes from here" }).waitFor();
  await look(page, "counter-now-360");
  const job = page.url().match(/jobs\/([0-9a-f-]{36})/)[1];
  await turn(page, "Ways forward");
  await addLine(page, "Set and oil the drive chain", "20");
  await turn(page, "Ask the customer");
  await unfold(page, "Take a yes, up to");
  const yes = page.locator("form.form").filter({ hasText: "For what" });
  await yes.getByLabel("Up to (EUR)").fill("50");
  await yes.getByLabel("Which work").fill("Set and oil the chain.");
  await yes.getByLabel("Who answers").fill(name);
  await yes.getByLabel("How you knew it was them").fill("known to the shop");
  await look(page, "counter-up-to-360");
  await yes.getByRole("button", { name: "Record the answer" }).click();
  await turn(page, "What was agreed");
  await page.getByText(/up to .*50.00/).waitFor();
  await turn(page, "Now");
  const authorization = page.locator("details").filter({ hasText: "Authorization" });
  if (!(await authorization.getByRole("button").isVisible())) await authorization.locator("summary").click();
  await authorization.getByRole("button", { name: "Go on to: Authorization" }).click();
  await page.getByText(/^Authorization · /).waitFor();
  const repair = page.locator("details").filter({ has: page.locator("summary", { hasText: "Repair" }) });
  if (!(await repair.getByRole("button").isVisible())) await repair.locator("summary").click();
  await repair.getByRole("button", { name: "Go on to: Repair" }).click();
  await page.getByText(/^Repair · /).waitFor();

  const bench = await atBench("cleo");
  const line = (await bench("GET", `/v1/jobs/${job}/lines`)).value.items[0];
  await bench("POST", `/v1/jobs/${job}/lines/${line.id}/done`);
  const ride = { kind: "ride", brakes: "ok", wheels: "ok", steering: "ok", throttle: "ok", chain: "ok", leaks: "ok", lights: "ok", checked_at: new Date().toISOString(), odometer_out: { entered: "18250 km" } };
  const at = `/v1/jobs/${job}/road-tests/${crypto.randomUUID().replace(/^(.{8}-.{4}-)4/, "$17")}`;
  const made = await bench("PUT", at, { ...ride, rider_id: (await bench("GET", "/v1/me")).value.staff_id }, { "If-None-Match": "*" });
  await bench("POST", `/v1/jobs/${job}/moves`, { move: "to_road_test" });
  await bench("PUT", at, { ...ride, rider_id: made.id, odometer_back: { entered: "18253 km" }, outcome: "ok" }, { "If-Match": made.etag });
  await bench("POST", `/v1/jobs/${job}/moves`, { move: "to_release" });

  await page.reload();
  await page.getByText(/^Release · /).waitFor();
  // What is missing leads to where it is met.
  await page.locator("details[open] .gates").getByRole("link").first().click();
  await page.getByRole("heading", { name: "What it comes to against what was agreed" }).waitFor();
  await page.getByText("Within what was agreed.").waitFor();
  await page.getByRole("button", { name: "Make the bill" }).click();
  await page.getByText(/^Bill \d+/).waitFor();
  await page.getByRole("button", { name: "Write down a payment" }).click();
  await page.locator(".rows li").filter({ hasText: "payment" }).getByText("33.60").waitFor();
  const advice = page.locator("form.form").filter({ hasText: "By when" });
  await advice.getByLabel("In words").fill("Look at the tight spot after 500 km.");
  await advice.getByLabel("The customer was told").check();
  await advice.getByRole("button", { name: "Save" }).click();
  await page.locator(".sheet li").filter({ hasText: "tight spot" }).waitFor();
  const handOver = page.locator("form.form").filter({ hasText: "Who takes it" });
  await handOver.getByLabel("Who takes it").fill(name);
  await handOver.getByLabel("Odometer now").fill("18253 km");
  await handOver.getByLabel("Advice and dates were gone through").check();
  await handOver.getByLabel("Cautions were said").check();
  await look(page, "counter-leaving-360");
  await handOver.getByRole("button", { name: "Save" }).click();
  await turn(page, "Now");
  await page.getByRole("button", { name: "Go on to: Closed" }).click();
  await page.getByText(/^Closed · /).waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});

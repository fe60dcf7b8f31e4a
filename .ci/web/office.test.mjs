// Walks the office as an owner does, and the sign-on of a tablet.
import assert from "node:assert/strict";
import { test } from "node:test";
import { base, look, password, signIn, sit } from "./walking.mjs";

const pages = ["Figures", "History", "Staff", "Tablets", "Gauges", "Machine maps", "Shop and rule", "Keys and backup"];

test("an owner turns the pages of the office", async () => {
  const { context, page, wrong } = await sit(1440, "light");
  await signIn(page, "ada");
  await page.getByRole("link", { name: "Office" }).click();
  for (const name of pages) {
    await page.getByRole("navigation", { name: "Pages of the office" }).getByRole("link", { name, exact: true }).click();
    await page.locator("main section").first().waitFor();
    await look(page, `office-${name.toLowerCase().replaceAll(" ", "-")}-1440`);
  }
  await page.getByRole("link", { name: "Messages out" }).click();
  await page.getByRole("heading", { name: "Stuck" }).waitFor();
  await look(page, "messages-1440");
  assert.deepEqual(wrong, []);
  await context.close();
});

test("adding a person asks for the password once more, and keeps what was typed", async () => {
  const { context, page } = await sit(820, "dark");
  await signIn(page, "ada");
  await page.goto(`${base}/s/office/staff`);
  await page.locator("summary", { hasText: "Add a person" }).click();
  const form = page.locator("form.form").filter({ hasText: "First password" });
  const login = `fenn${Date.now() % 1000000}`;
  await form.getByLabel("Name", { exact: true }).fill("Fenn Oakhollow");
  await form.getByLabel("Name to sign in").fill(login);
  await form.getByLabel("First password").fill("grey heron by the weir");
  // The server says so after five minutes; here it says so at once.
  let refused = 0;
  await page.route("**/v1/staff", (route) => (route.request().method() === "POST" && refused++ < 2
    ? route.fulfill({ status: 401, contentType: "application/problem+json", body: JSON.stringify({ type: "about:blank", title: "Sign in again.", status: 401, code: "app.sign_in_afresh", request_id: "0" }) })
    : route.continue()));
  await form.getByRole("button", { name: "Add a person" }).click();
  const ask = page.getByRole("dialog", { name: "Your password once more" });
  await ask.waitFor();
  await look(page, "office-afresh-820");
  await ask.getByLabel("Password").fill("not this one at all");
  await ask.getByRole("button", { name: "Go on" }).click();
  await ask.getByRole("alert").waitFor();
  await ask.getByLabel("Password").fill(password);
  await ask.getByRole("button", { name: "Go on" }).click();
  await page.locator(".sheet li").filter({ hasText: login }).waitFor();
  assert.equal(await page.getByRole("dialog").count(), 0);
  await context.close();
});

test("the whole history leaves as a file", async () => {
  const { context, page } = await sit();
  await signIn(page, "ada");
  await page.goto(`${base}/s/office/history`);
  const [file] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "As a table (CSV)" }).click()]);
  assert.match(file.suggestedFilename(), /^repair-history-\d{4}-\d\d-\d\d\.csv$/);
  await page.getByText(/^Done: \d/).waitFor();
  await context.close();
});

test("a machine map with a fault is shown the line, a sound one is kept", async () => {
  const { context, page } = await sit();
  await signIn(page, "ada");
  await page.goto(`${base}/s/office/maps`);
  const [file] = await Promise.all([page.waitForEvent("download"), page.locator(".rows li").filter({ hasText: /wo-stroke single/i }).first().getByRole("button", { name: "Get it" }).click()]);
  const whole = JSON.parse(await (await file.createReadStream()).reduce((text, bytes) => text + bytes, ""));
  whole.components[2].assembly = "moon";
  await page.getByLabel("Open a file").setInputFiles({ name: "two_stroke_single.map.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify(whole, null, 1)) });
  await page.getByRole("button", { name: "Check it" }).click();
  await page.getByText(/faults?:/).first().waitFor();
  const fault = page.locator("[role=status] .rows li").filter({ hasText: "/components/2" }).first();
  await fault.getByRole("button", { name: /^Line \d+$/ }).click();
  const picked = await page.evaluate(() => { const box = document.activeElement; return box.value.slice(box.selectionStart, box.selectionEnd); });
  assert.match(picked, /"assembly": "moon"/);
  await look(page, "office-map-faults-1440");
  await context.close();
});

test("a tablet is enrolled, and people change places at it with their PINs", async () => {
  const { context, page } = await sit();
  await signIn(page, "ada");
  await page.goto(`${base}/s/office/tablets`);
  await page.getByLabel("What people call it").fill(`Lift ${Date.now() % 1000}`);
  await page.getByRole("button", { name: "Make a code" }).click();
  const code = await page.locator(".enrol-code").textContent();
  await look(page, "office-tablet-code-1440");
  const bench = await sit(820, "light");
  await bench.page.goto(`${base}/s/floor`);
  await bench.page.getByRole("link", { name: /tablet of the bench/ }).click();
  await bench.page.getByLabel("Code").fill(code);
  await bench.page.getByRole("button", { name: "Make it one" }).click();
  await bench.page.getByRole("heading", { name: "Who is at the bench?" }).waitFor();
  await look(bench.page, "sign-on-820");
  for (const [name, pin] of [["Cleo Sandvoss", "417306"], ["Dario Penhallow", "582941"]]) {
    await bench.page.getByRole("button", { name }).click();
    if (name.startsWith("Cleo")) {
      await bench.page.getByLabel("PIN").fill("000000");
      await bench.page.keyboard.press("Enter");
      await bench.page.getByRole("alert").waitFor();
      for (const digit of pin) await bench.page.getByRole("button", { name: digit, exact: true }).click();
      await look(bench.page, "sign-on-pin-820");
      await bench.page.getByRole("button", { name: "Sign on" }).click();
    } else {
      await bench.page.locator(":focus").and(bench.page.getByLabel("PIN")).waitFor();
      await bench.page.keyboard.type(pin);
      await bench.page.keyboard.press("Enter");
    }
    await bench.page.getByText(new RegExp(`^${name} · `)).waitFor();
    if (name.startsWith("Cleo")) {
      await bench.page.reload();
      await bench.page.getByText(new RegExp(`^${name} · `)).waitFor();
      await bench.page.getByRole("button", { name: "Change person" }).click();
      await bench.page.getByRole("heading", { name: "Who is at the bench?" }).waitFor();
    }
  }
  const kept = await bench.page.evaluate(() => JSON.stringify({ ...localStorage, cookie: document.cookie }));
  assert.equal(kept, '{"cookie":""}');
  await page.reload();
  await page.getByText(/last heard of/).first().waitFor();
  await bench.context.close();
  await context.close();
});

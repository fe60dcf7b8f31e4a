// Walks the customer's page with scripting off, as most links are opened in a
// hurry: reading, asking, deciding, correcting, keeping the receipt; then the
// page that checks the receipt.
import assert from "node:assert/strict";
import { randomUUID } from "node:crypto";
import { readFileSync } from "node:fs";
import { before, test } from "node:test";
import { base, browser, look, password } from "./walking.mjs";

const pictures = process.env.BENCHTAG_PICTURES;
let token = "";

/** Asks the API as the advisor of the demo shop. */
async function ask(method, path, body, headers = {}) {
  const sent = { "Content-Type": "application/json", ...headers };
  if (token) sent.Authorization = `Bearer ${token}`;
  if (method === "POST" && token) sent["Idempotency-Key"] = randomUUID();
  if (method === "PUT") sent["If-None-Match"] = "*";
  const got = await fetch(base + path, { method, headers: sent, body: body && JSON.stringify(body) });
  const text = await got.text();
  assert.ok(got.ok, `${method} ${path}: ${got.status} ${text}`);
  return JSON.parse(text);
}

/** An id as a tablet makes it: UUIDv7. */
function freshID() {
  const time = Date.now().toString(16).padStart(12, "0");
  const rest = randomUUID().replaceAll("-", "");
  return `${time.slice(0, 8)}-${time.slice(8)}-7${rest.slice(1, 4)}-8${rest.slice(5, 8)}-${rest.slice(8, 20)}`;
}

before(async () => {
  const { access_token: signed } = await ask("POST", "/v1/sign-in", { shop: "demo", login: "bruno", password });
  token = signed;
});

/** A new offer of two ways forward, and the customer's link to it. */
async function offered() {
  const customer = await ask("POST", "/v1/customers", { name: "Isolde Quarrier", phone: "+43 660 5550177" });
  const machine = await ask("POST", "/v1/machines", { customer_id: customer.id, make: "Varga", model: "Tourist 500" });
  const order = await ask("POST", "/v1/work-orders", { machine_id: machine.id, customer_id: customer.id, channel: "walk_in" });
  const job = await ask("POST", `/v1/work-orders/${order.id}/jobs`, { title: "Pulls to the left when braking", kind: "complaint" });
  const scopes = [];
  for (const [title, minutes] of [["Look for the cause", 40], ["Look for the cause and ride it", 60]]) {
    const line = freshID(), scope = freshID();
    await ask("PUT", `/v1/jobs/${job.id}/lines/${line}`, { kind: "labour", description: title, work: "diagnosis", minutes, unit_price: { amount: "84.00", currency: "EUR" }, tax_category: "standard" });
    await ask("PUT", `/v1/jobs/${job.id}/scopes/${scope}`, { title, kind: "diagnosis", line_ids: [line], earliest_on: "2099-01-02", what_we_do: `${title}, and tell you.`, stays_unknown: "What is behind it.", may_ride: "no" });
    scopes.push(scope);
  }
  const offer = await ask("POST", `/v1/jobs/${job.id}/offers`, { scope_ids: scopes, price_until: "2099-01-01" });
  const { url } = await ask("POST", `/v1/offers/${offer.id}/links`, { decide_hours: 24 });
  return { path: new URL(url).pathname, job: job.id };
}

/** A customer's browser. Whatever asks another server, or tells the address of
 * the page to anybody, is kept, to be nothing at the end. */
async function customer(options = {}) {
  const context = await browser.newContext({ viewport: { width: 360, height: 800 }, locale: "en-GB", ...options });
  const page = await context.newPage();
  const wrong = [];
  page.on("request", async (request) => {
    if (new URL(request.url()).origin !== base) wrong.push(`asked ${request.url()}`);
    const { referer } = await request.allHeaders().catch(() => ({}));
    if (referer?.includes("/c/")) wrong.push(`told ${referer} to ${request.url()}`);
  });
  page.on("pageerror", (error) => wrong.push(error.message));
  page.on("console", (line) => {
    if (line.type() === "error" && !line.location().url.endsWith("/favicon.ico")) wrong.push(line.text());
  });
  return { context, page, wrong };
}

/** Ticks a box as a thumb does: its words are as good as the box. */
async function tick(page, words) {
  await page.locator(".pick label").filter({ hasText: words }).click();
  assert.ok(await page.getByLabel(words).isChecked(), words);
}

for (const scripting of [false, true]) {
  test(`a customer asks, decides and keeps the receipt, scripting ${scripting ? "on" : "off"}`, async () => {
    const { path } = await offered();
    const { context, page, wrong } = await customer({ javaScriptEnabled: scripting, colorScheme: scripting ? "dark" : "light", acceptDownloads: true });
    const seen = async (name) => {
      if (scripting) await look(page, `customer-${name}-dark`);
      else if (pictures) await page.screenshot({ path: `${pictures}/customer-${name}.png`, fullPage: true });
    };
    await page.goto(base + path);
    await page.getByRole("heading", { level: 1 }).waitFor();
    assert.equal(await page.getByRole("article").count(), 2);
    assert.equal(await page.locator("input[name=choice]:checked").count(), 0, "a way is chosen beforehand");
    await seen("offer");

    await page.getByLabel("Your question").fill("Can I bring it on Monday?");
    await tick(page, "Please call me.");
    await page.getByLabel("When can we call?").fill("after five");
    await page.getByRole("button", { name: "Send my question" }).click();
    await page.getByText("Can I bring it on Monday?").waitFor();
    await page.getByText("You asked to be called").waitFor();

    await page.getByRole("button", { name: "Check my answer" }).click();
    await page.getByRole("heading", { name: "Please look at this again" }).waitFor();
    await seen("wrong");
    await tick(page, "Way A:");
    await page.getByLabel("Your full name").fill("Isolde Quarrier");
    await page.getByRole("button", { name: "Check my answer" }).click();
    await page.getByRole("heading", { name: "Check your answer" }).waitFor();
    await page.getByRole("button", { name: "Go back and change it" }).click();
    assert.ok(await page.getByLabel("Way A:").isChecked(), "the choice was lost on the way back");
    assert.equal(await page.getByLabel("Your full name").inputValue(), "Isolde Quarrier");
    await tick(page, "Way B:");
    await page.getByRole("button", { name: "Check my answer" }).click();
    await page.getByText("Look for the cause and ride it").first().waitFor();
    await seen("check");
    await page.getByRole("button", { name: "Send my answer" }).click();
    await page.getByRole("heading", { name: "Please look at this again" }).waitFor();
    await tick(page, "This is my answer.");
    await tick(page, "I agree to get this offer");
    await page.getByRole("button", { name: "Send my answer" }).click();
    await page.getByRole("heading", { name: "Your copy" }).waitFor();
    assert.equal(new URL(page.url()).pathname, path, "a reload would send the answer again");
    await page.reload();
    await page.getByText("We have your yes.").waitFor();
    await seen("copy");

    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Keep this receipt" }).click()]);
    const receipt = readFileSync(await download.path());
    assert.match(receipt.toString(), /^benchtag-receipt 1\n/);
    assert.match(receipt.toString(), /"name":"Isolde Quarrier"/);
    assert.deepEqual(wrong.filter((line) => !/status of 4(09|22)/.test(line)), []);
    await context.close();
    if (scripting) await checked(receipt);
  });
}

/** Drops a receipt into the page that checks them: as it is, and with one
 * byte changed. */
async function checked(receipt) {
  const { context, page, wrong } = await customer({ viewport: { width: 820, height: 1000 } });
  await page.goto(`${base}/verify`);
  const drop = (buffer) => page.locator("#file").setInputFiles({ name: "receipt.txt", mimeType: "text/plain", buffer });
  await drop(receipt);
  await page.getByRole("heading", { name: /now compare the key/ }).waitFor();
  const key = /\n(benchtag\/shop\/\S+\+\S+)\n/.exec(receipt.toString())[1];
  await page.getByLabel("The shop’s key").fill(key);
  await page.getByRole("heading", { name: "This receipt holds" }).waitFor();
  await page.getByText("the one below, letter by letter").waitFor();
  await page.getByText("100.80 EUR").first().waitFor();
  await look(page, "customer-verify");
  const changed = Buffer.from(receipt);
  const at = changed.indexOf("Isolde Quarrier");
  changed[at] ^= 1;
  await drop(changed);
  await page.getByRole("heading", { name: "This receipt does not hold" }).waitFor();
  await look(page, "customer-verify-changed");
  assert.deepEqual(wrong, []);
  await context.close();
}

test("the story with its pictures reads well on a phone, a tablet, a desk and paper", async () => {
  const orders = await ask("GET", "/v1/work-orders?limit=100");
  const order = orders.items.find((one) => one.number === 10);
  const { items: [job] } = await ask("GET", `/v1/work-orders/${order.id}/jobs`);
  const { items: offers } = await ask("GET", `/v1/jobs/${job.id}/offers`);
  const { url } = await ask("POST", `/v1/offers/${offers.find((one) => one.state === "open").id}/links`, { decide_hours: 24 });
  for (const [width, colorScheme] of [[360, "light"], [820, "dark"], [1440, "light"]]) {
    const { context, page, wrong } = await customer({ viewport: { width, height: 900 }, colorScheme });
    const answer = await page.goto(base + new URL(url).pathname);
    assert.ok((await answer.body()).length < 60_000, "the page is too heavy for a bad connection");
    const titles = await page.getByRole("heading", { level: 2 }).allTextContents();
    const at = (name) => titles.findIndex((title) => title.includes(name));
    assert.ok(at("What happened") < at("What we found") && at("What we found") < at("Ways forward") && at("Ways forward") < at("Your answer"), titles.join(", "));
    const drawn = page.locator("a.drawn");
    assert.ok(await drawn.count() >= 3);
    for (const one of await drawn.all()) {
      await one.scrollIntoViewIfNeeded();
      const [picture, marks] = [await one.locator("img").boundingBox(), await one.locator("svg").boundingBox()];
      assert.ok(Math.abs(picture.width - marks.width) < 2 && Math.abs(picture.height - marks.height) < 2, "the marks do not lie on the picture");
    }
    await look(page, `customer-story-${width}`);
    if (width === 1440) {
      await page.emulateMedia({ media: "print" });
      assert.equal(await page.locator("form:visible").count(), 0, "a form is printed");
      if (pictures) await page.pdf({ path: `${pictures}/customer-story.pdf`, format: "A4" });
    }
    assert.deepEqual(wrong, []);
    await context.close();
  }
});

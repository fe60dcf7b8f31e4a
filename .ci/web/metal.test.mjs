// Where the metal went: the drawing of every mapped job of the demo shop holds
// together, and people can read it.
import assert from "node:assert/strict";
import { test } from "node:test";
import { base, long, look, password, signIn, sit } from "./walking.mjs";

async function reader() {
  const signed = await (await fetch(`${base}/v1/sign-in`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ shop: "demo", login: "bruno", password }) })).json();
  return async (path) => await (await fetch(`${base}${path}`, { headers: { Authorization: `Bearer ${signed.access_token}` } })).json();
}

/** Every job that works by a machine map and sheds something. */
async function mapped(get) {
  const jobs = [];
  for (const order of (await get("/v1/work-orders?limit=100")).items) {
    for (const job of (await get(`/v1/work-orders/${order.id}/jobs`)).items) {
      if (!job.layout_id) continue;
      const { value } = await get(`/v1/jobs/${job.id}/spread`);
      jobs.push({ job, map: (await get(`/v1/machine-maps/${job.layout_id}`)).document, standings: value?.components ?? [] });
    }
  }
  return jobs;
}

/** Says what is wrong with a drawing. Runs in the page. */
async function faults({ hash, map, standings, columns }) {
  const { layOut, boxWide } = await import(`/a/${hash}/lib/metal-map.js`);
  const drawn = layOut(map, standings, columns);
  const wrong = [];
  const boxOf = new Map(drawn.boxes.flatMap((b) => b.rows.map((r) => [r.component, b])));
  const reached = standings.filter((s) => s.state !== "out_of_reach");
  const rows = drawn.boxes.flatMap((b) => b.rows).length;
  if (rows !== reached.length || boxOf.size !== reached.length) wrong.push(`${rows} rows for ${reached.length} parts`);
  drawn.boxes.forEach((a, i) => {
    if (a.x < 0 || a.y < 0 || a.x + boxWide > drawn.wide || a.y + a.high > drawn.high) wrong.push(`${a.key} is off the sheet`);
    for (const b of drawn.boxes.slice(i + 1)) {
      if (a.x < b.x + boxWide && b.x < a.x + boxWide && a.y < b.y + b.high && b.y < a.y + a.high) wrong.push(`${a.key} lies on ${b.key}`);
    }
  });
  const room = new Map(map.components.map((c) => [c.key, c.in || c.key]));
  const place = (key) => boxOf.get(key) ?? drawn.boxes.find((b) => b.key === (room.get(key) ?? key));
  const joined = new Set(drawn.ways.filter((w) => w.used).flatMap((w) => [`${w.from.key} ${w.to.key}`, `${w.to.key} ${w.from.key}`]));
  for (const part of reached) {
    for (let i = 1; i < part.path.length; i++) {
      const [a, b] = [place(part.path[i - 1]), place(part.path[i])];
      if (!a || !b) wrong.push(`no place for ${part.path[i - 1]} or ${part.path[i]}`);
      else if (a !== b && !joined.has(`${a.key} ${b.key}`)) wrong.push(`no line from ${part.path[i - 1]} to ${part.path[i]}`);
    }
  }
  return { wrong, boxes: drawn.boxes.length, ways: drawn.ways.length };
}

test("the drawing shows every part once, nothing on top of another, and a line for every step", async () => {
  const jobs = await mapped(await reader());
  const { context, page } = await sit();
  await page.goto(`${base}/s/floor`);
  const hash = await page.evaluate(() => document.querySelector("script[src]").getAttribute("src").split("/")[2]);
  let drawn = 0;
  for (const { job, map, standings } of jobs) {
    for (const columns of [1, 5]) {
      const found = await page.evaluate(faults, { hash, map, standings, columns });
      assert.deepEqual(found.wrong, [], `${job.title}, ${columns} columns`);
      drawn += found.boxes;
    }
  }
  assert.ok(drawn > 20, `${drawn} boxes in ${jobs.length} jobs: too few to say anything`);
  await context.close();
});

test("a technician reads where the metal went, and why", async () => {
  const jobs = await mapped(await reader());
  const { job } = jobs.toSorted((a, b) => b.standings.filter((s) => s.state === "confirmed").length - a.standings.filter((s) => s.state === "confirmed").length)[0];
  for (const [width, scheme] of long ? [[360, "light"], [820, "dark"], [1440, "light"]] : [[360, "light"], [820, "dark"]]) {
    const { context, page, wrong } = await sit(width, scheme);
    await signIn(page, "cleo");
    await page.goto(`${base}/s/jobs/${job.id}`);
    await page.getByRole("link", { name: "Where the metal went" }).click();
    const room = page.getByRole("button", { name: /^chain tunnel/ });
    await room.focus();
    await page.keyboard.press("Enter");
    await page.getByText("runs down into the chain tunnel").first().waitFor();
    await page.getByText("and that did this:").first().waitFor();
    await look(page, `metal-${width}`);
    if (width === 820) {
      await page.emulateMedia({ media: "print" });
      await look(page, "metal-print");
    }
    assert.deepEqual(wrong, []);
    await context.close();
  }
});

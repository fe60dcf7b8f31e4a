// What the walks of the bench share: the server seen by its API, a photo to
// take, a tablet that loses its line.
import assert from "node:assert/strict";
import { base, password } from "./walking.mjs";

/** Calls the API as a person of the demo shop. */
export async function as(login) {
  const signed = await (await fetch(`${base}/v1/sign-in`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ shop: "demo", login, password }) })).json();
  return async (method, path, body, more = {}) => {
    const headers = { Authorization: `Bearer ${signed.access_token}`, ...(body === undefined ? {} : { "Content-Type": "application/json" }), ...more };
    const answer = await fetch(base + path, { method, headers, body: body === undefined ? undefined : JSON.stringify(body) });
    assert.ok(answer.ok, `${method} ${path}: ${answer.status} ${await answer.clone().text()}`);
    return { value: await answer.json(), etag: answer.headers.get("ETag") };
  };
}

/** Every row of a list of the API. */
export async function every(call, path) {
  const rows = [];
  for (let cursor = ""; cursor !== null;) {
    const { value } = await call("GET", `${path}${cursor ? `?cursor=${encodeURIComponent(cursor)}` : ""}`);
    rows.push(...value.items);
    cursor = value.next_cursor ?? null;
  }
  return rows;
}

/** The id of the open job with such a title. */
export async function jobCalled(call, title) {
  const row = (await every(call, "/v1/floor")).find((r) => title.test(r.title));
  assert.ok(row, `no job ${title}`);
  return row.job_id;
}

/** A photo as a camera makes it: larger than what is sent. */
export async function photo(page, { width = 2600, height = 1900, colour = "#8a6d3b" } = {}) {
  const text = await page.evaluate(([w, h, c]) => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [w, h];
    const brush = canvas.getContext("2d");
    for (let i = 0; i < 40; i++) { brush.fillStyle = i % 2 ? c : "#2b2b2b"; brush.fillRect(i * 65, (i * 37) % h, 60, h / 2); }
    return canvas.toDataURL("image/jpeg", 0.9).split(",")[1];
  }, [width, height, colour]);
  return { name: "camera.jpg", mimeType: "image/jpeg", buffer: Buffer.from(text, "base64") };
}

/** Waits until the app starts without the server. */
export async function shellKept(page) {
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
}

/** All that scripts of this browser can read of what the app keeps. */
export async function everythingKept(page) {
  return await page.evaluate(async () => {
    const out = { cookie: document.cookie, local: { ...localStorage }, session: { ...sessionStorage }, caches: [], store: {} };
    for (const name of await caches.keys()) for (const request of await (await caches.open(name)).keys()) out.caches.push(new URL(request.url).pathname);
    const db = await new Promise((resolve, reject) => { const asked = indexedDB.open("benchtag"); asked.onsuccess = () => resolve(asked.result); asked.onerror = () => reject(asked.error); });
    for (const shelf of db.objectStoreNames) {
      const all = (what) => new Promise((resolve) => { const asked = db.transaction(shelf).objectStore(shelf)[what](); asked.onsuccess = () => resolve(asked.result); });
      out.store[shelf] = [await all("getAllKeys"), await all("getAll")];
    }
    db.close();
    return out;
  });
}

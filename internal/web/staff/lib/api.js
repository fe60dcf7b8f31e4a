// Speaks with the server: every screen reads and writes through here, typed
// by the contract. The access token lives in this module's memory alone; what
// renews it is a cookie that no script can read.
import { signal } from "../kit/view.js";
import { forgetPerson, lastPerson, leftUnheard, notePerson } from "./kept.js";

/** @typedef {import("contract").paths} Paths */
/** @typedef {import("contract").components["schemas"]} Schemas */
/** @typedef {{ path?: Record<string, string>, query?: Record<string, string | number> }} Filled */
/** @typedef {{ match?: string, create?: boolean, key?: string }} Guard */

/**
 * What reading an address gives.
 * @template {keyof Paths} P
 * @typedef {Paths[P] extends { get: { responses: { 200: { content: { "application/json": infer R } } } } } ? R : never} Got
 */

/**
 * What sending to an address takes; what has a default may be left out.
 * @template {keyof Paths} P
 * @template {"put" | "post"} M
 * @typedef {import("sent").paths[P] extends { [K in M]: { requestBody: { content: { "application/json": infer B } } } } ? B : undefined} Body
 */

/**
 * What sending to an address gives.
 * @template {keyof Paths} P
 * @template {"put" | "post"} M
 * @typedef {Paths[P] extends { [K in M]: { responses: infer R } } ? { [S in keyof R]: S extends 200 | 201 ? R[S] extends { content: { "application/json": infer V } } ? V : never : never }[keyof R] : never} Given
 */

/** A refusal in the server's own words, or a server that could not be reached (status 0). */
export class Problem extends Error {
  /** @param {number} status
   * @param {Partial<Schemas["Problem"]>} body */
  constructor(status, body) {
    super(body.title || "");
    this.status = status;
    this.code = body.code || "";
    this.fields = body.fields || [];
    this.gates = body.gates || [];
  }
}

/** Who is signed in: undefined until the first answer, null for nobody.
 * @type {import("../kit/view.js").Live<Schemas["Me"] | null | undefined>} */
export const person = signal(/** @type {any} */ (undefined));

let access = "";
/** @type {Promise<boolean> | null} */
let renewing = null;

/** Takes a new access token, or none. @param {string} token */
export function hold(token) { access = token; }

/** What renews a token: the cookie of a sign-in, unless a sign-on at a tablet
 * took its place. @type {() => Promise<Response>} */
let renewal = byCookie;

function byCookie() { return call("POST", "/v1/refresh", {}, {}, AbortSignal.timeout(15000)); }

/** Lets something else renew the token; null is the cookie of a sign-in.
 * @param {(() => Promise<Response>) | null} how */
export function renewBy(how) { renewal = how ?? byCookie; }

/** Asks for a new access token. One window asks at a time, since the cookie
 * changes with every use.
 * @returns {Promise<boolean>} */
function renew() {
  renewing ??= alone(async () => {
    const answer = await renewal();
    if (answer.status === 0 || answer.status >= 500) throw await problemOf(answer);
    hold(answer.ok ? (await answer.json()).access_token : "");
    return answer.ok;
  }).finally(() => { renewing = null; });
  return renewing;
}

/** Runs work while no other window of this browser runs its own.
 * @template T @param {() => Promise<T>} work @returns {Promise<T>} */
async function alone(work) {
  return navigator.locks ? await navigator.locks.request("benchtag-renew", work) : await work();
}

/** Calls without a token: for signing in, and for what else renews one.
 * @param {string} method @param {string} address @param {unknown} body @param {Record<string, string>} headers @param {AbortSignal} [signal]
 * @returns {Promise<Response>} */
export async function call(method, address, body, headers, signal) {
  /** @type {RequestInit} */
  const init = { ...(signal ? { signal } : {}), method, headers: { Accept: "application/json", ...headers }, credentials: "same-origin", cache: "no-store" };
  if (body instanceof Blob) {
    init.body = body;
  } else if (body !== undefined) {
    init.body = JSON.stringify(body);
    Object.assign(/** @type {any} */ (init.headers), { "Content-Type": "application/json" });
  }
  try {
    return await fetch(address, init);
  } catch {
    throw new Problem(0, {});
  }
}

/** What the server says of a refusal. @param {Response} answer */
export async function problemOf(answer) {
  try {
    return new Problem(answer.status, await answer.json());
  } catch {
    return new Problem(answer.status, {});
  }
}

/** Fills a path of the contract. @param {string} path @param {Filled} [filled] */
export function address(path, filled = {}) {
  const place = path.replace(/\{(\w+)\}/g, (_, name) => encodeURIComponent(filled.path?.[name] ?? ""));
  const query = new URLSearchParams(Object.entries(filled.query ?? {}).map(([k, v]) => [k, String(v)])).toString();
  return query ? `${place}?${query}` : place;
}

/** Calls with the access token, and once more with a new one where it has ended.
 * @param {string} method @param {string} where @param {unknown} body @param {Record<string, string>} headers @param {AbortSignal} [signal] */
export async function signed(method, where, body, headers, signal) {
  const once = () => call(method, where, body, { ...headers, Authorization: `Bearer ${access}` }, signal);
  let answer = access ? await once() : null;
  if (!answer || answer.status === 401) {
    if (!(await renew())) {
      person.value = null;
      throw new Problem(401, { code: "app.signed_out" });
    }
    answer = await once();
  }
  if (!answer.ok && answer.status !== 304) throw await problemOf(answer);
  return answer;
}

/** Reads an address of the contract.
 * @template {keyof Paths} P
 * @param {P} path @param {Filled} [filled]
 * @returns {Promise<{ value: Got<P>, etag: string }>} */
export async function read(path, filled) {
  const answer = await signed("GET", address(path, filled), undefined, {}, AbortSignal.timeout(15000));
  return { value: await answer.json(), etag: answer.headers.get("ETag") ?? "" };
}

/** Reads a list to its end.
 * @template {keyof Paths} P
 * @param {P} path @param {Filled} [filled]
 * @returns {Promise<Got<P> extends { items: (infer T)[] } ? T[] : never>} */
export async function readAll(path, filled = {}) {
  /** @type {any[]} */
  const items = [];
  /** @type {string | null} */
  let cursor = "";
  while (cursor !== null) {
    const query = { ...filled.query, ...(cursor ? { cursor } : {}) };
    const page = /** @type {any} */ ((await read(path, { ...filled, query })).value);
    items.push(...page.items);
    cursor = page.next_cursor ?? null;
  }
  return /** @type {any} */ (items);
}

/** Reads an address again once it differs from what the reader has; the server
 * holds the answer back until then, or gives null after a while.
 * @template {keyof Paths} P
 * @param {P} path @param {string} had the ETag @param {AbortSignal} signal
 * @returns {Promise<{ value: Got<P>, etag: string } | null>} */
export async function follow(path, had, signal) {
  const answer = await signed("GET", path, undefined, had ? { "If-None-Match": had, Prefer: "wait=15" } : {}, signal);
  return answer.status === 304 ? null : { value: await answer.json(), etag: answer.headers.get("ETag") ?? "" };
}

/** Sends to an address of the contract. A POST carries a key of its own, so
 * that an answer that got lost can be asked for again.
 * @template {keyof Paths} P
 * @template {"put" | "post"} M
 * @param {M} method @param {P} path @param {Filled} filled @param {Body<P, M>} body @param {Guard} [guard]
 * @returns {Promise<{ value: Given<P, M>, etag: string }>} */
export async function send(method, path, filled, body, guard = {}) {
  const answer = await sent(method, path, filled, body, guard);
  return { value: answer.value, etag: answer.etag };
}

/** The same for a path that is only known when it runs, as from the outbox.
 * @param {string} method @param {string} path @param {Filled} filled @param {unknown} body @param {Guard} guard @param {AbortSignal} [stop]
 * @returns {Promise<{ value: any, etag: string }>} */
export async function sent(method, path, filled, body, guard, stop) {
  /** @type {Record<string, string>} */
  const headers = {};
  if (guard.match) headers["If-Match"] = guard.match;
  if (guard.create) headers["If-None-Match"] = "*";
  if (method === "post") headers["Idempotency-Key"] = guard.key ?? crypto.randomUUID();
  const answer = await signed(method.toUpperCase(), address(path, filled), body, headers, stop);
  const text = await answer.text();
  return { value: text ? JSON.parse(text) : undefined, etag: answer.headers.get("ETag") ?? "" };
}

/** Sends the bytes of a picture, with their digest (RFC 9530).
 * @param {string} path @param {Filled} filled @param {{ bytes: ArrayBuffer, type: string }} picture @param {AbortSignal} stop */
export async function sendPicture(path, filled, picture, stop) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", picture.bytes));
  const headers = { "Content-Type": picture.type, "Content-Digest": `sha-256=:${btoa(String.fromCharCode(...sum))}:` };
  return await (await signed("PUT", address(path, filled), new Blob([picture.bytes], { type: picture.type }), headers, stop)).json();
}

/** Reads a picture. @param {string} path @param {Filled} filled @returns {Promise<Blob>} */
export async function readPicture(path, filled) {
  return await (await signed("GET", address(path, filled), undefined, { Accept: "image/*" })).blob();
}

/** Reports whether a failure means that the server did not get to answer, so
 * that the same may work later. @param {unknown} trouble */
export function outOfReach(trouble) {
  const status = /** @type {{ status?: number }} */ (trouble)?.status;
  return status === 0 || status === 408 || status === 425 || status === 429 || (status !== undefined && status >= 500);
}

/** Finds out who is signed in, by what an earlier visit left. Without the
 * network it is who used this tablet last: they can read what they read, and
 * what they make waits here. */
export async function resume() {
  try {
    if (await leftUnheard()) await sayLeft();
    person.value = (await renew()) ? (await read("/v1/me")).value : null;
    if (person.value) await notePerson(person.value);
  } catch (trouble) {
    const last = outOfReach(trouble) && !(await leftUnheard()) ? await lastPerson() : null;
    person.value = last ?? null;
    if (!last) throw trouble;
  }
}

/** Tells the server of a sign-out that it could not hear of at the time. */
async function sayLeft() {
  if (await renew()) await signed("POST", "/v1/sign-out", undefined, {});
  hold("");
  await forgetPerson({ left: false });
}

/** Signs in with a password.
 * @param {{ shop: string, login: string, password: string }} typed */
export async function signIn(typed) {
  const answer = await call("POST", "/v1/sign-in", { ...typed, keep: "cookie" }, {});
  if (!answer.ok) throw await problemOf(answer);
  hold((await answer.json()).access_token);
  const me = (await read("/v1/me")).value;
  await notePerson(me);
  person.value = me;
}

/** Signs out, and forgets who it was and all that was read, even where the
 * server cannot be reached: then it is told later. */
export async function signOut() {
  let left = false;
  try {
    await signed("POST", "/v1/sign-out", undefined, {});
  } catch (trouble) {
    left = outOfReach(trouble);
  } finally {
    hold("");
    await forgetPerson({ left });
    person.value = null;
  }
}

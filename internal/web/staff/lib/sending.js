// Sends what waits on this tablet: one sender over all windows, words before
// pictures, each thing after what it hangs on. Nothing here trusts the browser's
// word for being online; it tries.
import { outOfReach, person, Problem, read, sendPicture, sent } from "./api.js";
import { signal } from "../kit/view.js";
import { pictureOf, save, saysAll, settle, waiting } from "./outbox.js";

/** @typedef {import("./outbox.js").Row} Row */

/** Where each kind of thing belongs. @type {Record<import("./outbox.js").Kind, string>} */
const places = {
  finding: "/v1/jobs/{job_id}/findings/{id}", measurement: "/v1/jobs/{job_id}/measurements/{id}", tag: "/v1/jobs/{job_id}/tags/{id}",
  photo: "/v1/jobs/{job_id}/photos/{id}", picture: "/v1/jobs/{job_id}/photos/{id}/content",
};

/** How long an answer may take, in milliseconds. */
const patience = { words: 20000, picture: 120000 };

/** What reached the server from here since the start, newest last, as the server
 * has it: screens show it until they have read again.
 * @type {import("../kit/view.js").Live<{ kind: Row["kind"], job: string, value: any, said: Row["said"] }[]>} */
export const landed = signal(/** @type {any} */ ([]));

/** Whether something is on its way now. */
export const sending = signal(false);

/** Reports whether a row can go by itself: nobody has to say something first.
 * @param {Row} row */
export const free = (row) => !row.refused && !row.theirs && !row.aside;

/** Reports whether a row is this person's. @param {Row} row @param {{ staff_id: string, shop_id: string }} me */
export const of = (row, me) => row.by === me.staff_id && row.shop === me.shop_id;

/** The next row to send that is not among those tried already.
 * @param {Row[]} rows @param {Set<string>} passed @returns {Row | undefined} */
export function nextOf(rows, passed) {
  const missing = new Set(rows.filter((r) => r.etag === "").map((r) => r.id));
  const ready = rows.filter((r) => free(r) && !passed.has(r.id) && !missing.has(r.after));
  return ready.find((r) => r.kind !== "picture") ?? ready[0];
}

let again = false;
/** @type {Promise<void> | null} */
let running = null;
let wait = 2000;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let turn;

/** Sends what there is; called again while it works, it looks once more after.
 * @returns {Promise<void>} */
export function sendNow() {
  again = true;
  running ??= work().finally(() => { running = null; sending.value = false; });
  return running;
}

async function work() {
  while (again) {
    again = false;
    clearTimeout(turn);
    const whole = await (navigator.locks ? navigator.locks.request("benchtag-send", round) : round());
    if (whole) { wait = 2000; continue; }
    turn = setTimeout(sendNow, wait * (0.5 + Math.random()));
    wait = Math.min(wait * 2, 60000);
  }
}

/** Sends every row that can go. Reports whether the server was there for all.
 * @returns {Promise<boolean>} */
async function round() {
  const had = person.value;
  const mine = () => (waiting.value ?? []).filter((r) => had && of(r, had));
  if (!had || mine().every((r) => !free(r))) return true;
  try {
    // Whoever the cookie of this browser stands for now must be the one who made these.
    const me = (await read("/v1/me")).value;
    if (me.staff_id !== had.staff_id || me.shop_id !== had.shop_id) { person.value = me; return true; }
    sending.value = true;
    return await each(mine);
  } catch (trouble) {
    return !outOfReach(trouble);
  }
}

/** @param {() => Row[]} mine @returns {Promise<boolean>} */
async function each(mine) {
  /** @type {Map<string, number>} */
  const times = new Map();
  const passed = new Set();
  for (let row = nextOf(mine(), passed); row; row = nextOf(mine(), passed)) {
    const n = (times.get(row.id) ?? 0) + 1;
    times.set(row.id, n);
    if (n >= 4) passed.add(row.id);
    try {
      await (row.kind === "picture" ? sendBytes(row) : sendWords(row));
    } catch (trouble) {
      const status = trouble instanceof Problem ? trouble.status : 0;
      if (status === 507) { passed.add(row.id); continue; } // no room for pictures; words still go
      if (status === 0 || status === 401 || outOfReach(trouble)) throw trouble instanceof Problem ? trouble : new Problem(0, {});
      await refuse(row, /** @type {Problem} */ (trouble));
    }
  }
  return passed.size === 0;
}

/** Notes what the server said against a row; a person has the next word.
 * @param {Row} row @param {Problem} problem */
async function refuse(row, { status, code, message, fields, gates }) {
  await settle(row, (now, moved) => (moved ? now : { ...now, refused: { status, code, title: message, fields, gates: gates.map((g) => g.message) } }));
}

/** @param {Row} row */
const placeOf = (row) => ({ path: { job_id: row.job, id: row.kind === "picture" ? row.after : row.id } });

/** @param {Row} row */
async function sendWords(row) {
  const body = JSON.stringify(row.body);
  // Before the first byte goes: should the answer get lost, this body is known as ours.
  await settle(row, (now) => (now.tried.includes(body) ? now : { ...now, tried: [...now.tried, body] }));
  try {
    const guard = row.etag ? { match: row.etag } : { create: true };
    const answer = await sent("PUT", places[row.kind], placeOf(row), row.body, guard, AbortSignal.timeout(patience.words));
    land(row, answer.value);
    await settle(row, (now, moved) => confirmed(now, moved, row, answer));
  } catch (trouble) {
    if (!(trouble instanceof Problem) || trouble.status !== 412) throw trouble;
    await compare(row);
  }
}

/** @param {Row} row @param {any} value */
function land(row, value) {
  landed.value = [...landed.value.filter((l) => l.value.id !== value.id).slice(-99), { kind: row.kind, job: row.job, value, said: row.said ?? null }];
}

/** What becomes of a row that the server took. One that moved meanwhile goes on
 * from there, unless somebody else's words came between.
 * @param {Row} now @param {boolean} moved @param {Row} row @param {{ value: any, etag: string }} answer @returns {Row | null} */
export function confirmed(now, moved, row, answer) {
  if (!moved) return null;
  return { ...now, etag: answer.etag, tried: [], theirs: saysAll(row.body, answer.value) ? null : answer };
}

/** The server has another version than this row starts from: ours, of an answer
 * that got lost, or somebody else's. @param {Row} row */
async function compare(row) {
  const there = await read(/** @type {any} */ (places[row.kind]), placeOf(row));
  land(row, there.value);
  await settle(row, (now) => judged(now, there));
}

/** @param {Row} now @param {{ value: any, etag: string }} there @returns {Row | null} */
export function judged(now, there) {
  if (saysAll(now.body, there.value)) return null;
  if (now.tried.some((body) => saysAll(JSON.parse(body), there.value))) return { ...now, etag: there.etag, tried: [] };
  return { ...now, theirs: there };
}

/** @param {Row} row */
async function sendBytes(row) {
  const picture = await pictureOf(row.after);
  if (!picture) throw new Problem(410, { title: "The picture is not on this tablet any more." });
  land(row, await sendPicture(places.picture, placeOf(row), picture, AbortSignal.timeout(patience.picture)));
  await settle(row, () => null);
}

/** Sends at every sign that it may work: the start, the line, the screen coming back. */
export function keepSending() {
  const now = () => { wait = 2000; sendNow(); };
  addEventListener("online", now);
  addEventListener("pageshow", now);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) now(); });
  person.subscribe((me) => { if (me) now(); });
}

/** Stores what was made here, then sends it; resolves once it is saved on this tablet.
 * @param {Parameters<typeof save>[0]} what */
export async function keepAndSend(what) {
  await save(what);
  sendNow();
}

// What was made on this tablet and is not on the server yet. A row says what is
// to be there, not which request to send: it goes once the server has what the
// row says, and stays through lost answers, restarts and refusals until then.
import { signal } from "../kit/view.js";
import { got, look, write } from "./disk.js";

/** @typedef {"finding" | "measurement" | "tag" | "photo" | "picture"} Kind */
/** @typedef {{ status: number, code: string, title: string, fields: { pointer: string, message: string }[], gates: string[] }} Refusal */
/**
 * @typedef {object} Row something made here
 * @property {string} id of the record; of a picture, its photo's with a tail
 * @property {Kind} kind
 * @property {string} job
 * @property {string} shop
 * @property {string} by who made it: it is sent in nobody else's name
 * @property {string} byName
 * @property {string} about what it is, for people
 * @property {any} body what is to be on the server; null for a picture
 * @property {number} revision moves with every change made here
 * @property {string} etag the server's version the body starts from; "" for none
 * @property {string[]} tried every body sent since that version, whose answer may have been lost
 * @property {string} after id of what must be there first; "" for nothing
 * @property {number} seq order of making
 * @property {number} savedAt milliseconds since 1970
 * @property {Refusal | null} refused by the server, until a person changed it
 * @property {{ value: any, etag: string } | null} theirs what somebody else made of it meanwhile
 * @property {{ verdict: string, grade: string, value: string, doubt: string } | null} [said] what the tablet reckoned
 * @property {boolean} aside taken out of the way by a person, who can take it back
 */
/** @typedef {{ id: string, bytes: ArrayBuffer, type: string }} Picture */
/** @typedef {Pick<Row, "id" | "kind" | "job" | "shop" | "by" | "byName" | "about" | "body"> & { etag?: string, after?: string, said?: Row["said"] }} Made */

/** All that waits here, in the order of making; null where that is unknown.
 * @type {import("../kit/view.js").Live<Row[] | null>} */
export const waiting = signal(/** @type {any} */ (null));

const windows = "BroadcastChannel" in globalThis ? new BroadcastChannel("benchtag-outbox") : null;
if (windows) windows.onmessage = () => { reread(); };

/** Reads the rows again; where they cannot be read, says "unknown", not "none". */
async function reread() {
  try {
    const rows = /** @type {Row[]} */ (await look(["made"], (at) => got(at("made").getAll())));
    waiting.value = rows.toSorted((a, b) => a.seq - b.seq);
  } catch {
    waiting.value = null;
  }
}

/** Tells every window, this one too, that rows changed. */
export async function changed() {
  windows?.postMessage("changed");
  await reread();
}

/** Stores things made here with their pictures and drops the draft they came
 * from, all or nothing: when this resolves, they are saved on this tablet.
 * @param {{ made: Made[], pictures?: Picture[], draft?: string }} what */
export async function save({ made, pictures = [], draft = "" }) {
  await write(["made", "pictures", "drafts", "notes"], async (at) => {
    let seq = /** @type {number} */ ((await got(at("notes").get("seq"))) ?? 0);
    for (const thing of made) {
      const before = /** @type {Row | undefined} */ (await got(at("made").get(thing.id)));
      at("made").put({
        etag: "", after: "", tried: [], ...before, ...thing, ...(before ? { etag: before.etag, after: before.after } : {}),
        revision: (before?.revision ?? 0) + 1, seq: before?.seq ?? ++seq, savedAt: Date.now(), refused: null, theirs: before?.theirs ?? null, aside: false,
      });
    }
    at("notes").put(seq, "seq");
    for (const picture of pictures) at("pictures").put(picture);
    if (draft) at("drafts").delete(draft);
  });
  await changed();
}

/** Changes a row that may have moved, or gone, meanwhile; null leaves it out.
 * @param {Row} row @param {(now: Row, moved: boolean) => Row | null} change */
export async function settle(row, change) {
  const stored = await write(["made", "pictures"], async (at) => {
    const now = /** @type {Row | undefined} */ (await got(at("made").get(row.id)));
    const next = now && change(now, now.revision !== row.revision);
    if (next === now) return false;
    if (next) at("made").put(next);
    else at("made").delete(row.id);
    if (!next && row.kind === "picture") at("pictures").delete(row.after);
    return true;
  });
  if (stored) await changed();
}

/** The bytes of a picture that waits here. @param {string} photo @returns {Promise<Picture | undefined>} */
export const pictureOf = (photo) => look(["pictures"], (at) => got(at("pictures").get(photo)));

/** Keeps what is being typed, with new pictures, so that a tab that dies takes nothing along.
 * @param {string} id @param {unknown} draft @param {Picture[]} [pictures] */
export async function keepDraft(id, draft, pictures = []) {
  await write(["drafts", "pictures"], (at) => {
    at("drafts").put({ id, draft });
    for (const picture of pictures) at("pictures").put(picture);
  });
}

/** @template T @param {string} id @returns {Promise<T | null>} */
export async function draftOf(id) {
  return (await look(["drafts"], (at) => got(at("drafts").get(id))))?.draft ?? null;
}

/** Drops a draft and its pictures. @param {string} id @param {string[]} pictures */
export async function dropDraft(id, pictures) {
  await write(["drafts", "pictures"], (at) => {
    at("drafts").delete(id);
    for (const picture of pictures) at("pictures").delete(picture);
  });
}

/** Reports whether what the server has says all that a body says. The server
 * adds fields, fills in what was left out and writes times to the microsecond.
 * @param {any} body @param {any} view @returns {boolean} */
export function saysAll(body, view) {
  if (body === undefined) return true;
  if (body === null || body === "") return view === null || view === undefined || view === "";
  if (Array.isArray(body)) return Array.isArray(view) ? body.length === view.length && body.every((b, i) => saysAll(b, view[i])) : body.length === 0 && !view;
  if (typeof body === "object") return Object.entries(body).every(([key, value]) => saysAll(value, view?.[key]));
  if (body === view) return true;
  return typeof body === "string" && typeof view === "string" && /^\d{4}-\d\d-\d\dT/.test(body) && Date.parse(body) === Date.parse(view);
}

reread();

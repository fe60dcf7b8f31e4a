// What was read of jobs, kept so that the bench can read it without the
// network. It belongs to one person and goes when they sign out. What is not
// there is not there: nobody is ever shown another machine's.
import { got, look, write } from "./disk.js";

/** @typedef {{ shop: string, staff: string }} Reader */
/** @template T @typedef {{ reader: Reader, at: number, value: T }} Kept */

/** So many jobs are kept; the one read longest ago goes first. */
const most = 40;

/** Age, in milliseconds, from which what was kept is called old. */
export const oldAfter = 24 * 60 * 60 * 1000;

/** Keeps what was read of one thing.
 * @param {Reader} reader @param {string} key @param {unknown} value @param {number} [now] */
export async function keep(reader, key, value, now = Date.now()) {
  await write(["kept"], async (at) => {
    const shelf = at("kept");
    shelf.put({ reader, at: now, value }, key);
    const keys = await got(shelf.getAllKeys());
    if (keys.length <= most) return;
    const rows = /** @type {Kept<unknown>[]} */ (await got(shelf.getAll()));
    const oldest = keys.map((name, i) => ({ name, when: rows[i]?.at ?? 0 })).toSorted((a, b) => a.when - b.when);
    for (const { name } of oldest.slice(0, keys.length - most)) shelf.delete(name);
  });
}

/** Gives what was kept of one thing for this reader, or null.
 * @template T
 * @param {Reader} reader @param {string} key @returns {Promise<{ at: number, value: T } | null>} */
export async function kept(reader, key) {
  const row = /** @type {Kept<T> | undefined} */ (await look(["kept"], (at) => got(at("kept").get(key))));
  if (!row || row.reader.shop !== reader.shop || row.reader.staff !== reader.staff) return null;
  return { at: row.at, value: row.value };
}

// Signing in and out works where the store does not open, too: then nothing
// was kept, and nothing is there to forget.

/** Who used this tablet last, for a start without the network: no secret.
 * @returns {Promise<any>} */
export const lastPerson = () => look(["notes"], (at) => got(at("notes").get("person"))).catch(() => null);

/** Notes who is signed in. Another person than before finds nothing of theirs.
 * @param {{ shop_id: string, staff_id: string }} person */
export async function notePerson(person) {
  await write(["notes", "kept"], async (at) => {
    const before = await got(at("notes").get("person"));
    if (before && (before.staff_id !== person.staff_id || before.shop_id !== person.shop_id)) at("kept").clear();
    at("notes").put(person, "person");
    at("notes").delete("left");
  }).catch(() => {});
}

/** Forgets the person and all that was read; what is not sent yet stays.
 * `left` says that the server has not heard of it: it is told at the next start.
 * @param {{ left: boolean }} how */
export async function forgetPerson({ left }) {
  await write(["notes", "kept"], (at) => {
    at("kept").clear();
    at("notes").delete("person");
    if (left) at("notes").put(true, "left");
    else at("notes").delete("left");
  }).catch(() => {});
}

/** Reports whether somebody signed out while the server could not be reached. */
export const leftUnheard = () => look(["notes"], (at) => got(at("notes").get("left"))).then((left) => left === true, () => false);

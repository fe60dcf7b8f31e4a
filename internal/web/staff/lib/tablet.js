// A tablet of the bench: its own cookie says which it is, and a person signs on
// with a short PIN. Only the id of the sign-on is kept, which is no secret.
import { signal } from "../kit/view.js";
import { call, hold, person, problemOf, read, renewBy, signOut } from "./api.js";
import { notePerson } from "./kept.js";

/** @typedef {{ id: string, name: string }} Someone */

/** Who can sign on here; null where this is no tablet of a bench.
 * @type {import("../kit/view.js").Live<Someone[] | null>} */
export const people = signal(/** @type {any} */ (null));

const place = "benchtag-sign-on";

// A reload takes up the sign-on of before.
const known = sessionStorage.getItem(place);
if (known) keepOn(known);

/** Looks whether this browser is an enrolled tablet, and who can sign on. */
export async function lookAround() {
  const answer = await call("GET", "/v1/tablet/staff", undefined, {});
  people.value = answer.ok ? (await answer.json()).items : null;
}

/** @param {string} id */
function keepOn(id) {
  sessionStorage.setItem(place, id);
  renewBy(() => call("POST", "/v1/tablet/sign-on/renew", { sign_on_id: id }, {}));
}

function forget() {
  sessionStorage.removeItem(place);
  renewBy(null);
}

/** Signs a person on. @param {string} id @param {string} pin */
export async function signOn(id, pin) {
  const answer = await call("POST", "/v1/tablet/sign-on", { staff_id: id, pin }, {});
  if (!answer.ok) throw await problemOf(answer);
  const on = await answer.json();
  hold(on.access_token);
  keepOn(on.sign_on_id);
  const me = (await read("/v1/me")).value;
  await notePerson(me);
  person.value = me;
}

/** Ends the sign-on, so that the next person can begin. */
export async function signOff() {
  await lookAround().catch(() => {});
  await signOut();
  forget();
}

/** Makes this browser a tablet of the bench. @param {string} code */
export async function enrol(code) {
  const answer = await call("POST", "/v1/tablet/enrol", { enrol_code: code.trim() }, {});
  if (!answer.ok) throw await problemOf(answer);
  await lookAround();
}

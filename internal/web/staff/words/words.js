// Chooses the language, and writes numbers, days and spans as it does.
import { de } from "./de.js";
import { en } from "./en.js";

/** @typedef {import("./en.js").Words} Words */

/** @type {Record<string, Words>} */
const languages = { en, de };

/** The words of the language this browser asks for, English where we lack it.
 * @type {Words} */
export const w = languages[(navigator.languages ?? []).map((l) => l.slice(0, 2)).find((l) => languages[l]) ?? "en"] ?? en;

const place = navigator.language.startsWith(w.language) ? navigator.language : w.language;
const dayForm = new Intl.DateTimeFormat(place, { weekday: "short", day: "numeric", month: "short", timeZone: "UTC" });
const clockForm = new Intl.DateTimeFormat(place, { hour: "2-digit", minute: "2-digit" });

/** Writes a day (`2026-03-02`). @param {string} date */
export const day = (date) => dayForm.format(new Date(`${date}T12:00:00Z`));

/** Writes a time of day. @param {Date} at */
export const clock = (at) => clockForm.format(at);

const whenForm = new Intl.DateTimeFormat(place, { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });

/** Writes a moment, where the browser stands. @param {string} at */
export const when = (at) => whenForm.format(new Date(at));

const dateForm = new Intl.DateTimeFormat(place, { day: "numeric", month: "long", year: "numeric" });

/** Writes a moment's day with its year. @param {string} at */
export const dated = (at) => dateForm.format(new Date(at));

/** Writes an amount; its text is exact and stays so.
 * @param {{ amount: string, currency: string }} sum */
export const money = ({ amount, currency }) => new Intl.NumberFormat(place, { style: "currency", currency }).format(/** @type {any} */ (amount));

const percentForm = new Intl.NumberFormat(place, { style: "percent", maximumFractionDigits: 0 });

/** Writes a share of one as a percentage. @param {string} share */
export const percent = (share) => percentForm.format(Number(share));

/** Writes a number. @param {number} n */
export const number = (n) => new Intl.NumberFormat(place, { maximumFractionDigits: 1 }).format(n);

/** Writes a span of seconds, in its largest unit. @param {string} seconds */
export function lasting(seconds) {
  const minutes = Math.round(Number(seconds) / 60);
  if (minutes < 90) return w.time.minutes(minutes);
  const hours = Math.round(minutes / 60);
  return hours < 48 ? w.time.hours(hours) : w.time.days(Math.round(hours / 24));
}

/** Writes from what to what it may come.
 * @param {{ amount: string, currency: string }} low @param {{ amount: string, currency: string }} high */
export const fromTo = (low, high) => (low.amount === high.amount ? money(low) : `${money(low)} – ${money(high)}`);

/** A day so many days later. @param {string} date @param {number} days */
export const later = (date, days) => new Date(Date.parse(`${date}T12:00:00Z`) + days * 86400000).toISOString().slice(0, 10);

/** Now to the second, as a field for date and time takes it. */
export function localNow() {
  const now = new Date();
  return `${today(now)}T${String(now.getHours()).padStart(2, "0")}:${String(now.getMinutes()).padStart(2, "0")}:${String(now.getSeconds()).padStart(2, "0")}`;
}

/** Writes how long something has lasted, in its largest unit.
 * @param {string} since @param {Date} now */
export function span(since, now) {
  const minutes = Math.max(0, Math.floor((now.getTime() - new Date(since).getTime()) / 60000));
  if (minutes < 60) return w.time.minutes(minutes);
  const hours = Math.floor(minutes / 60);
  return hours < 48 ? w.time.hours(hours) : w.time.days(Math.floor(hours / 24));
}

/** Today where the browser stands, as a day. @param {Date} now */
export const today = (now) => `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, "0")}-${String(now.getDate()).padStart(2, "0")}`;

/** Puts a refusal into words. @param {unknown} trouble */
export function sentence(trouble) {
  const problem = /** @type {{ status?: number, message?: string }} */ (trouble ?? {});
  if (problem.status === 0) return w.trouble.unreachable;
  return problem.message || w.trouble.unknown;
}

/** Writes when something was done: the hour alone if it was today.
 * @param {number} at milliseconds since 1970 */
export function lately(at) {
  const then = new Date(at);
  return today(then) === today(new Date()) ? clock(then) : when(then.toISOString());
}

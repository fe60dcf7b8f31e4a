// What is still missing, each with a link to where it is met.
import { el } from "./view.js";
import { at } from "../lib/place.js";

/** Pages of the counter that meet a gate, by what the server calls the place;
 * all other places are at the bench. @type {Record<string, string>} */
const atCounter = {
  "intake-facts": "/counter/said", complaints: "/counter/said", consents: "/counter/ask", lines: "/counter/ways",
  payments: "/counter/leaving", bills: "/counter/leaving", advice: "/counter/leaving", "hand-over": "/counter/leaving",
  withdrawal: "/counter/leaving", holds: "/counter",
};

/** Where a gate of a job is met. @param {string} where @param {string} job */
export const placeOf = (where, job) => `/jobs/${job}${atCounter[where] ?? ""}`;

/** @param {{ gates: { code: string, message: string, where: string, subject: string | null }[], job: string }} props */
export function GateList({ gates, job }) {
  return el.ul({ class: "gates" }, gates.map((g, i) => el.li({ key: i }, el.a({ href: at(placeOf(g.where, job)) }, g.message))));
}

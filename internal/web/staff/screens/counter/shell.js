// What every page of the counter shows around itself: whose machine it is, how
// it stands, and the way to the other pages.
import { el, part, several, useEffect, useSignal } from "../../kit/view.js";
import { Read } from "../../kit/parts.js";
import { read, readAll } from "../../lib/api.js";
import { loading } from "../../lib/loading.js";
import { at } from "../../lib/place.js";
import { standing } from "../../lib/standing.js";
import { day, span, w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */
/** @typedef {{ job: Schemas["Job"], order: Schemas["WorkOrder"], machine: Schemas["Machine"], customer: Schemas["Customer"], note: Schemas["HandOverNote"] | undefined }} Head */

/** Reads whose job it is. @param {string} id @returns {Promise<Head>} */
export async function gatherHead(id) {
  const job = (await read("/v1/jobs/{id}", { path: { id } })).value;
  const [order, notes] = await Promise.all([
    read("/v1/work-orders/{id}", { path: { id: job.work_order_id } }), readAll("/v1/jobs/{job_id}/hand-over-notes", { path: { job_id: id } })]);
  const [machine, customer] = await Promise.all([
    read("/v1/machines/{id}", { path: { id: order.value.machine_id } }), read("/v1/customers/{id}", { path: { id: order.value.customer_id } })]);
  const note = standing(notes).toSorted((a, b) => b.received_at.localeCompare(a.received_at))[0];
  return { job, order: order.value, machine: machine.value, customer: customer.value, note };
}

/** Makes a page of the counter: it reads, then shows.
 * @template {Head} T
 * @param {string} page @param {(id: string) => Promise<T>} gather @param {(all: T, again: () => void) => import("../../kit/view.js").Children} show
 * @returns {(props: { id: string }) => import("../../kit/view.js").Drawn} */
export const atCounter = (page, gather, show) => ({ id }) => part(AtCounter, { key: id, id, page, gather: /** @type {any} */ (gather), show: /** @type {any} */ (show) });

/** @template {Head} T
 * @param {{ key: string, id: string, page: string, gather: (id: string) => Promise<T>, show: (all: T, again: () => void) => import("../../kit/view.js").Children }} props */
function AtCounter({ id, page, gather, show }) {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<T>>} */ (held.value);
  const again = () => load(() => gather(id), { keep: true });
  useEffect(() => { load(() => gather(id)); }, [id]);
  return el.main({ class: "counter" }, part(Read, { loaded: shown.value, again, show: (/** @type {T} */ all) => several(
    part(Top, { head: all }), part(Pages, { id, page }), show(all, again)) }));
}

/** @param {{ head: Head }} props */
function Top({ head: { job, order, machine, customer, note } }) {
  const open = job.opened_up || job.not_run;
  return several(
    el.header({ class: "job-head" },
      el.p({ class: "number" }, el.a({ href: at(`/work-orders/${order.id}`) }, String(order.number))),
      el.div(el.h1(job.title),
        el.p({ class: "machine" }, [machine.make, machine.model, machine.year, machine.plate].filter(Boolean).join(" ")),
        el.p(el.b(customer.name), customer.phone ? [" · ", el.a({ href: `tel:${customer.phone.replace(/[^\d+]/g, "")}` }, customer.phone)] : "", customer.email ? ` · ${customer.email}` : ""),
        el.p({ class: "hint" }, `${w.stage[job.stage]} · ${w.floor.since} ${span(job.stage_since, new Date())}`, order.promised_on ? ` · ${w.floor.promised} ${day(order.promised_on)}` : ""))),
    open ? el.p({ class: "open-machine" }, note?.machine_state || w.job.noState, note?.do_not_start || job.not_run ? ` – ${w.job.doNotStart}` : "") : null);
}

/** The ways between the pages of one job. @param {{ id: string, page: string }} props */
function Pages({ id, page }) {
  const pages = /** @type {[string, string][]} */ (Object.entries(w.counter.pages));
  return el.nav({ class: "pages", "aria-label": w.counter.pagesLabel },
    pages.map(([key, word]) => el.a({ key, href: at(`/jobs/${id}/counter${key === "now" ? "" : `/${key}`}`), "aria-current": key === page ? "page" : undefined }, word)),
    el.a({ href: at(`/jobs/${id}`) }, w.counter.toBench));
}

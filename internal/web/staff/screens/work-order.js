// A work order: its machine and its jobs.
import { el, part, useEffect, useSignal } from "../kit/view.js";
import { Read } from "../kit/parts.js";
import { read, readAll } from "../lib/api.js";
import { loading } from "../lib/loading.js";
import { at } from "../lib/place.js";
import { day, w } from "../words/words.js";

/** @param {string} id */
async function gather(id) {
  const order = (await read("/v1/work-orders/{id}", { path: { id } })).value;
  const [machine, jobs] = await Promise.all([
    read("/v1/machines/{id}", { path: { id: order.machine_id } }),
    readAll("/v1/work-orders/{id}/jobs", { path: { id } }),
  ]);
  return { order, machine: machine.value, jobs };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} Gathered */

/** @param {{ key: string, id: string }} props */
export function WorkOrder({ id }) {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<Gathered>>} */ (held.value);
  useEffect(() => { load(() => gather(id)); }, [id]);
  return el.main(part(Read, { loaded: shown.value, again: () => load(() => gather(id)), show: (/** @type {Gathered} */ { order, machine, jobs }) => el.div(
    el.header({ class: "job-head" }, el.p({ class: "number" }, String(order.number)),
      el.div(el.h1([machine.make, machine.model, machine.year].filter(Boolean).join(" ")),
        el.p({ class: "machine" }, machine.plate || machine.vin || machine.frame_number || w.trouble.noData),
        order.promised_on ? el.p({ class: "hint" }, `${w.floor.promised} ${day(order.promised_on)}`) : null)),
    el.ul({ class: "jobs" }, jobs.map((j) => el.li({ key: j.id }, el.a({ href: at(`/jobs/${j.id}`), class: "job" },
      el.span({ class: "what" }, el.b(j.title)), el.span({ class: "stage" }, w.stage[j.stage])))))) }));
}

// Reads a job as the bench needs it, and keeps it on the tablet: a job that was
// read once can be read again without the network. One that was not is not there.
import { outOfReach, person, read, readAll } from "./api.js";
import { keep, kept } from "./kept.js";
import { standing } from "./standing.js";

/** @typedef {import("./api.js").Schemas} Schemas */
/** @typedef {Awaited<ReturnType<typeof gather>>} Gathered */
/** @typedef {{ all: Gathered, keptAt: number | null }} JobRead */

const reader = () => ({ shop: person.value?.shop_id ?? "", staff: person.value?.staff_id ?? "" });

/** Gives a job from the server, or as this tablet keeps it where the server
 * cannot be reached. @param {string} id @returns {Promise<JobRead>} */
export async function jobOf(id) {
  const mine = reader();
  try {
    const all = await gather(id);
    keep(mine, `job:${id}`, all).catch(() => {});
    return { all, keptAt: null };
  } catch (trouble) {
    if (!outOfReach(trouble)) throw trouble;
    const found = /** @type {{ at: number, value: Gathered } | null} */ (await kept(mine, `job:${id}`).catch(() => null));
    if (!found) throw trouble;
    return { all: found.value, keptAt: found.at };
  }
}

/** Gives a document that never changes: from the tablet first.
 * @template T @param {string} key @param {() => Promise<T>} ask @returns {Promise<T>} */
async function document(key, ask) {
  const mine = reader();
  const found = await kept(mine, key).catch(() => null);
  if (found) return /** @type {T} */ (found.value);
  const value = await ask();
  keep(mine, key, value).catch(() => {});
  return value;
}

/** @param {string | null} id @returns {Promise<Schemas["MachineMap"] | null>} */
async function mapOf(id) {
  if (!id) return null;
  return await document(`map:${id}`, async () => /** @type {any} */ ((await read("/v1/machine-maps/{id}", { path: { id } })).value.document));
}

/** @param {string | null} id @returns {Promise<Schemas["LimitSheet"] | null>} */
async function sheetOf(id) {
  if (!id) return null;
  return await document(`sheet:${id}`, async () => /** @type {any} */ ((await read("/v1/limit-sheets/{id}", { path: { id } })).value.document));
}

/** Where debris has got to, by the machine's map; null where that cannot be said.
 * @param {Schemas["Job"]} job @returns {Promise<Schemas["ReckonSpreadValue"] | null>} */
async function spreadOf(job) {
  if (!job.layout_id) return null;
  try {
    return /** @type {any} */ ((await read("/v1/jobs/{id}/spread", { path: { id: job.id } })).value.value);
  } catch (trouble) {
    if (outOfReach(trouble)) throw trouble;
    return null;
  }
}

/** @param {string} id */
async function gather(id) {
  const path = { id };
  const of = { path: { job_id: id } };
  const job = (await read("/v1/jobs/{id}", { path })).value;
  const [order, moves, complaints, findings, tags, notes, photos, measurements, map, sheet, gauges, shop, spread] = await Promise.all([
    read("/v1/work-orders/{id}", { path: { id: job.work_order_id } }),
    read("/v1/jobs/{id}/moves", { path }),
    readAll("/v1/jobs/{job_id}/complaints", of),
    readAll("/v1/jobs/{job_id}/findings", of),
    readAll("/v1/jobs/{job_id}/tags", of),
    readAll("/v1/jobs/{job_id}/hand-over-notes", of),
    readAll("/v1/jobs/{job_id}/photos", of),
    readAll("/v1/jobs/{job_id}/measurements", of),
    mapOf(job.layout_id),
    sheetOf(job.limit_sheet_id),
    readAll("/v1/gauges"),
    read("/v1/shop"),
    spreadOf(job),
  ]);
  const machine = (await read("/v1/machines/{id}", { path: { id: order.value.machine_id } })).value;
  return {
    job, order: order.value, machine, moves: moves.value, map, sheet, gauges, demo: shop.value.demo, spread, complaints: standing(complaints), findings: standing(findings), tags: standing(tags),
    notes: standing(notes), photos: standing(photos), measurements: standing(measurements),
  };
}

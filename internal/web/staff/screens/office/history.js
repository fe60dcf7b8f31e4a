// Repair history: find a visit, and take the whole of it out of the program.
import { el, part, several, useSignal } from "../../kit/view.js";
import { afresh } from "../../kit/afresh.js";
import { Refused } from "../../kit/form.js";
import { read } from "../../lib/api.js";
import { keepFile } from "../../lib/files.js";
import { at } from "../../lib/place.js";
import { atOffice } from "./shell.js";
import { day, number, today, w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

export const History = atOffice("history", async () => ({}), () => several(part(Find, {}), part(Export, {})));

function Find() {
  const found = useSignal(/** @type {Schemas["SearchList"]["items"] | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    const typed = new FormData(/** @type {HTMLFormElement} */ (event.target));
    const [q, stage] = [String(typed.get("q") ?? "").trim(), String(typed.get("stage") ?? "")];
    [found.value, trouble.value] = [null, null];
    if (!q) return;
    try {
      found.value = (await read("/v1/search", { query: stage ? { q, stage } : { q } })).value.items;
    } catch (caught) {
      trouble.value = caught;
    }
  }
  return el.search(el.section(el.h2(w.office.findVisit),
    el.form({ class: "fields", onSubmit: submit },
      el.div({ class: "field" }, el.label({ for: "history-q" }, w.floor.find), el.input({ id: "history-q", name: "q", type: "search", maxLength: 100, required: true })),
      el.div({ class: "field" }, el.label({ for: "history-stage" }, w.office.stage), el.select({ id: "history-stage", name: "stage" }, el.option({ value: "" }, w.office.anyStage), Object.entries(w.stage).map(([key, word]) => el.option({ key, value: key }, word)))),
      el.p({ class: "beside" }, el.button({ type: "submit" }, w.ok.search))),
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.div({ "aria-live": "polite" }, found.value === null ? null : found.value.length === 0 ? el.p(w.floor.nothingFound)
      : el.ul({ class: "rows" }, found.value.map((f) => el.li({ key: f.work_order_id }, el.a({ href: at(`/work-orders/${f.work_order_id}`), class: "onward" }, `${f.number} · ${f.machine}`), el.span(f.customer),
        el.span({ class: "hint" }, `${w.stage[/** @type {keyof typeof w.stage} */ (f.stage)] ?? f.stage} · ${day(f.opened_at.slice(0, 10))}`)))))));
}

/** The whole history as a file. It grows on the server's side as it is read, so
 * the bytes that came are all that can be told of how far it is. */
function Export() {
  const got = useSignal(/** @type {{ bytes: number, done: boolean } | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  const stop = useSignal(/** @type {AbortController | null} */ (null));
  /** @param {"csv" | "jsonl"} format */
  async function take(format) {
    trouble.value = null;
    got.value = { bytes: 0, done: false };
    const mine = new AbortController();
    stop.value = mine;
    try {
      const bytes = await afresh(() => keepFile("/v1/history", { query: { format } }, { name: `repair-history-${today(new Date())}.${format === "csv" ? "csv" : "jsonl"}`,
        accept: format === "csv" ? "text/csv" : "application/x-ndjson", stop: mine.signal, grown: (so) => { got.value = { bytes: so, done: false }; } }));
      got.value = { bytes, done: true };
    } catch (caught) {
      got.value = null;
      if (!mine.signal.aborted) trouble.value = caught;
    }
    stop.value = null;
  }
  const size = (/** @type {number} */ bytes) => (bytes < 1_000_000 ? `${number(Math.ceil(bytes / 1000))} kB` : `${number(bytes / 1_000_000)} MB`);
  return el.section(el.h2(w.office.exportAll), el.p({ class: "hint" }, w.office.exportHint),
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.p({ role: "status" }, got.value ? (got.value.done ? w.office.exported(size(got.value.bytes)) : w.office.exporting(size(got.value.bytes))) : ""),
    el.div({ class: "acts" }, stop.value ? [el.progress({ key: "p", "aria-label": w.office.exportAll }), el.button({ key: "s", type: "button", class: "quiet", onClick: () => stop.value?.abort() }, w.office.stop)]
      : [el.button({ key: "c", type: "button", onClick: () => take("csv") }, w.office.asTable), el.button({ key: "j", type: "button", class: "second", onClick: () => take("jsonl") }, w.office.asLines)]));
}

// Floor: every open job in one list, ordered by whose move it is. It stays
// live: the server answers as soon as the list changed, and when the line
// breaks the screen says as of when it is.
import { batch, el, part, signal, useEffect, useSignal } from "../kit/view.js";
import { Trouble } from "../kit/parts.js";
import { follow, read, readAll } from "../lib/api.js";
import { at } from "../lib/place.js";
import { clock, day, span, today, w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas["FloorRow"]} Row */
/** @typedef {Row["waiting_on"]} Mover */

/** @type {import("../kit/view.js").Live<{ rows: Row[], at: Date } | null>} */
const floor = signal(/** @type {any} */ (null));
const live = signal(false);
const trouble = signal(/** @type {unknown} */ (null));
const now = signal(new Date());

/** Keeps the list live until told to stop; a broken line is taken up again,
 * later and later up to half a minute. @param {AbortSignal} stop */
async function keep(stop) {
  let had = "";
  for (let wait = 1000; !stop.aborted;) {
    try {
      const changed = await follow("/v1/floor", had, stop);
      if (changed) had = changed.etag;
      const rows = changed ? [...changed.value.items, ...(await rest(changed.value.next_cursor))] : floor.value?.rows ?? [];
      batch(() => {
        floor.value = { rows, at: new Date() };
        [live.value, trouble.value] = [true, null];
      });
      wait = 1000;
    } catch (caught) {
      if (stop.aborted) return;
      [live.value, trouble.value] = [false, caught];
      await new Promise((resolve) => setTimeout(resolve, wait * (0.5 + Math.random())));
      wait = Math.min(wait * 2, 30000);
    }
  }
}

/** Reads the pages after the first. @param {string | null} cursor
 * @returns {Promise<Row[]>} */
async function rest(cursor) {
  return cursor === null ? [] : await readAll("/v1/floor", { query: { cursor } });
}

export function Floor() {
  useEffect(() => {
    const stop = new AbortController();
    const turn = setInterval(() => { now.value = new Date(); }, 30000);
    keep(stop.signal);
    return () => { stop.abort(); clearInterval(turn); };
  }, []);
  const shown = floor.value;
  return el.main(
    el.header({ class: "top-line" },
      el.h1(w.floor.title),
      el.p({ class: "state", role: "status" }, state(shown))),
    part(Find, {}),
    trouble.value && !shown ? part(Trouble, { trouble: trouble.value }) : null,
    shown ? part(List, { rows: shown.rows }) : null);
}

/** @param {{ rows: Row[], at: Date } | null} shown */
function state(shown) {
  if (!shown) return trouble.value ? w.trouble.noData : "…";
  return `${w.floor.count(shown.rows.length)} · ${live.value ? w.floor.live : w.floor.stale(clock(shown.at))}`;
}

/** @param {{ rows: Row[] }} props */
function List({ rows }) {
  if (rows.length === 0) return el.p({ class: "lead" }, w.floor.empty);
  const movers = /** @type {Mover[]} */ (Object.keys(w.move)).filter((who) => rows.some((r) => r.waiting_on === who));
  return el.div(movers.map((who) => {
    const theirs = rows.filter((r) => r.waiting_on === who);
    return el.section({ key: who, class: "movers" },
      el.h2(w.move[who], el.span({ class: "count" }, String(theirs.length))),
      el.p({ class: "hint" }, w.moveHint[who]),
      el.ul({ class: "jobs" }, theirs.map((row) => part(Line, { key: row.job_id, row }))));
  }));
}

/** @param {{ key: string, row: Row }} props */
function Line({ row }) {
  const late = row.promised_on !== null && row.promised_on < today(now.value);
  return el.li(el.a({ href: at(`/jobs/${row.job_id}`), class: "job" },
    el.span({ class: "number" }, String(row.number)),
    el.span({ class: "what" }, el.b(row.title), el.span(row.machine)),
    el.span({ class: "where" }, row.bay ?? w.floor.noBay),
    el.span({ class: "stage" }, w.stage[/** @type {keyof typeof w.stage} */ (row.stage)] ?? row.stage, row.on_hold ? el.em(` · ${w.floor.onHold}`) : null),
    el.span({ class: "next" }, row.next_thing),
    el.span({ class: "when" },
      row.promised_on ? el.span({ class: late ? "late" : "" }, `${w.floor.promised} `, el.time({ dateTime: row.promised_on }, row.promised_on === today(now.value) ? w.floor.today : day(row.promised_on)), late ? ` – ${w.floor.late}` : "") : null,
      el.span(`${w.floor.since} ${span(row.stage_since, now.value)}`)),
    row.open_machine ? el.span({ class: "open-machine" }, row.open_machine) : null));
}

/** Finds a work order by anything a person has in hand. */
function Find() {
  const found = useSignal(/** @type {import("../lib/api.js").Schemas["SearchList"] | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    const q = String(new FormData(/** @type {HTMLFormElement} */ (event.target)).get("q") ?? "").trim();
    trouble.value = null;
    found.value = null;
    if (!q) return;
    try {
      found.value = (await read("/v1/search", { query: { q } })).value;
    } catch (caught) {
      trouble.value = caught;
    }
  }
  return el.search({ class: "find" },
    el.form({ onSubmit: submit },
      el.label({ for: "q" }, w.floor.find),
      el.div({ class: "with-button" },
        el.input({ id: "q", name: "q", type: "search", autocomplete: "off", maxLength: 100 }),
        el.button({ type: "submit" }, w.ok.search))),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    found.value ? el.section({ class: "found", "aria-live": "polite" },
      el.h2(w.floor.found),
      found.value.items.length === 0 ? el.p(w.floor.nothingFound) : null,
      el.ul({ class: "jobs" }, found.value.items.map((f) => el.li({ key: f.work_order_id },
        el.a({ href: at(`/work-orders/${f.work_order_id}`), class: "job" },
          el.span({ class: "number" }, String(f.number)), el.span({ class: "what" }, el.b(f.machine), el.span(f.customer)),
          el.span({ class: "stage" }, w.stage[/** @type {keyof typeof w.stage} */ (f.stage)] ?? f.stage)))))) : null);
}

// One job, as the bench and the counter see it: how the machine stands, what
// the customer says, what was found, what is missing for each step, and the
// step itself.
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { Mark } from "../kit/grade.js";
import { Read, Trouble } from "../kit/parts.js";
import { read, readAll, send } from "../lib/api.js";
import { loading } from "../lib/loading.js";
import { at } from "../lib/place.js";
import { day, span, w } from "../words/words.js";
import { NewFinding } from "./new-finding.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {Awaited<ReturnType<typeof gather>>} Gathered */

/** Reads all that the screen shows of a job. @param {string} id */
async function gather(id) {
  const path = { id };
  const of = { path: { job_id: id } };
  const job = (await read("/v1/jobs/{id}", { path })).value;
  const [order, moves, complaints, findings, tags, notes] = await Promise.all([
    read("/v1/work-orders/{id}", { path: { id: job.work_order_id } }),
    read("/v1/jobs/{id}/moves", { path }),
    readAll("/v1/jobs/{job_id}/complaints", of),
    readAll("/v1/jobs/{job_id}/findings", of),
    readAll("/v1/jobs/{job_id}/tags", of),
    readAll("/v1/jobs/{job_id}/hand-over-notes", of),
  ]);
  const machine = (await read("/v1/machines/{id}", { path: { id: order.value.machine_id } })).value;
  /** @type {<T extends { struck_at: string | null }>(rows: T[]) => T[]} */
  const standing = (rows) => rows.filter((r) => r.struck_at === null);
  return { job, order: order.value, machine, moves: moves.value, complaints: standing(complaints), findings: standing(findings), tags: standing(tags), notes: standing(notes) };
}

/** @param {{ key: string, id: string }} props */
export function Job({ id }) {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<Gathered>>} */ (held.value);
  const again = () => load(() => gather(id), { keep: true });
  useEffect(() => { load(() => gather(id)); }, [id]);
  return el.main(part(Read, { loaded: shown.value, again, show: (/** @type {Gathered} */ all) => part(Shown, { all, again }) }));
}

/** @param {{ all: Gathered, again: () => void }} props */
function Shown({ all, again }) {
  const { job, order, machine } = all;
  const adding = useSignal(false);
  return several(
    el.header({ class: "job-head" },
      el.p({ class: "number" }, el.a({ href: at(`/work-orders/${order.id}`) }, String(order.number))),
      el.div(
        el.h1(job.title),
        el.p({ class: "machine" }, [machine.make, machine.model, machine.year, machine.plate].filter(Boolean).join(" ")),
        el.p({ class: "hint" }, `${w.stage[job.stage]} · ${w.floor.since} ${span(job.stage_since, new Date())}`,
          order.promised_on ? ` · ${w.floor.promised} ${day(order.promised_on)}` : ""))),
    part(OpenState, { all }),
    part(Missing, { all, again }),
    el.section(el.h2(w.job.said),
      all.complaints.length === 0 ? el.p({ class: "hint" }, w.job.nothingSaid) : null,
      el.ul({ class: "plain" }, all.complaints.map((c) => el.li({ key: c.id }, el.q(c.words),
        c.answer ? el.span({ class: "hint" }, ` ${w.job.answer[c.answer]}${c.answer_note ? `: ${c.answer_note}` : ""}`) : null)))),
    el.section({ class: "with-act" },
      el.header(el.h2(w.job.found, el.span({ class: "count" }, String(all.findings.length))),
        adding.value ? null : el.button({ type: "button", class: "big", onClick: () => { adding.value = true; } }, w.job.newFinding)),
      adding.value ? part(NewFinding, { job, done: () => { adding.value = false; again(); }, leave: () => { adding.value = false; } }) : null,
      el.p(el.a({ class: "go", href: at(`/jobs/${job.id}/metal`) }, w.metal.link)),
      el.ul({ class: "findings" }, all.findings.map((f) => part(Finding, { key: f.id, finding: f })))),
    el.section(el.h2(w.job.tags, el.span({ class: "count" }, String(all.tags.length))),
      all.tags.length === 0 ? el.p({ class: "hint" }, w.job.noTags) : null,
      el.ul({ class: "tags" }, all.tags.map((t) => el.li({ key: t.id },
        el.b({ class: "code" }, `${t.number} · ${t.code}`), el.span(t.holds), el.span({ class: "hint" }, t.outcome ? w.job.outcome[t.outcome] : `${w.job.lies} ${t.lies_at || w.trouble.noData}`))))));
}

/** How the open machine stands, from the newest note: never left out.
 * @param {{ all: Gathered }} props */
function OpenState({ all }) {
  const { job, notes } = all;
  const note = notes.toSorted((a, b) => b.received_at.localeCompare(a.received_at))[0];
  if (!job.opened_up && !job.not_run) return null;
  const words = note?.machine_state || w.job.noState;
  return el.p({ class: "open-machine" }, words, note?.do_not_start || job.not_run ? ` – ${w.job.doNotStart}` : "");
}

/** What is missing for each step from here, and the step where nothing is.
 * @param {{ all: Gathered, again: () => void }} props */
function Missing({ all, again }) {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const busy = useSignal("");
  /** @param {string} move */
  async function take(move) {
    [busy.value, trouble.value] = [move, null];
    try {
      await send("post", "/v1/jobs/{id}/moves", { path: { id: all.job.id } }, { move, note: "" });
      again();
    } catch (caught) {
      trouble.value = caught;
      again();
    } finally {
      busy.value = "";
    }
  }
  if (all.moves.items.length === 0) return null;
  return el.section({ class: "missing" }, el.h2(w.job.steps),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    all.moves.items.map((m) => el.details({ key: m.move, open: m === all.moves.items[0] },
      el.summary(w.stage[/** @type {keyof typeof w.stage} */ (m.to)] ?? m.to, el.span({ class: "hint" }, m.unmet.length === 0 ? w.job.ready : w.job.unmet(m.unmet.length))),
      m.unmet.length === 0
        ? el.button({ type: "button", class: "big", disabled: busy.value !== "", onClick: () => take(m.move) }, w.job.take(w.stage[/** @type {keyof typeof w.stage} */ (m.to)] ?? m.to))
        : el.ul({ class: "plain" }, m.unmet.map((g, i) => el.li({ key: i }, g.message))))));
}

/** @param {{ key: string, finding: Schemas["Finding"] }} props */
function Finding({ finding: f }) {
  const said = [f.damage_mode && w.damage[f.damage_mode], f.pieces === "missing" && w.job.piecesMissing, f.advised && `${w.job.advised} ${w.advice[f.advised]}`].filter(Boolean);
  return el.li(
    el.div({ class: "finding-head" }, el.b(f.name || f.component), part(Mark, { grade: f.effective_grade })),
    said.length > 0 ? el.p(said.join(" · ")) : null,
    f.first_cause ? el.p({ class: "hint" }, w.job.firstCause) : null,
    f.safe_to_ride === "no" ? el.p({ class: "danger" }, w.job.notSafe) : null,
    f.not_looked_because ? el.p({ class: "hint" }, `${w.job.notLooked} ${f.not_looked_because}`) : null,
    f.note ? el.p({ class: "note" }, f.note) : null);
}

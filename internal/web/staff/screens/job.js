// One job, as the bench and the counter see it: how the machine stands, what
// the customer says, what was found, what is missing for each step, and the
// step itself.
import { GateList } from "../kit/gates.js";
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { Read, Trouble } from "../kit/parts.js";
import { person, send } from "../lib/api.js";
import { jobOf } from "../lib/bench.js";
import { oldAfter } from "../lib/kept.js";
import { loading } from "../lib/loading.js";
import { at } from "../lib/place.js";
import { landed } from "../lib/sending.js";
import { day, span, w, when } from "../words/words.js";
import { Findings } from "./findings.js";
import { LookNext } from "./look-next.js";
import { Tags } from "./tags.js";

/** @typedef {import("../lib/bench.js").Gathered} Gathered */

/** @param {{ key: string, id: string }} props */
export function Job({ id }) {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<import("../lib/bench.js").JobRead>>} */ (held.value);
  const again = () => load(() => jobOf(id), { keep: true });
  useEffect(() => { load(() => jobOf(id)); }, [id]);
  const count = landed.value.filter((l) => l.job === id).length;
  useEffect(() => { if (count > 0) again(); }, [count]);
  return el.main(part(Read, { loaded: shown.value, again, show: (/** @type {import("../lib/bench.js").JobRead} */ { all, keptAt }) => several(part(Age, { keptAt }), part(Shown, { all, again })) }));
}

/** Says how old what is shown is, where it does not come from the server.
 * @param {{ keptAt: number | null }} props */
function Age({ keptAt }) {
  if (keptAt === null) return null;
  const age = when(new Date(keptAt).toISOString());
  return el.p({ class: "age", role: "status" }, Date.now() - keptAt > oldAfter ? w.stale.old(age) : w.stale.kept(age));
}

/** @param {{ all: Gathered, again: () => void }} props */
function Shown({ all, again }) {
  const { job, order, machine } = all;
  const open = useSignal(/** @type {import("./findings.js").Open} */ (null));
  /** @param {string} component */
  const record = (component) => { open.value = { part: component }; setTimeout(() => { document.getElementById("new-finding")?.scrollIntoView(); }, 0); };
  return several(
    el.header({ class: "job-head" },
      el.p({ class: "number" }, el.a({ href: at(`/work-orders/${order.id}`) }, String(order.number))),
      el.div(
        el.h1(job.title),
        el.p({ class: "machine" }, [machine.make, machine.model, machine.year, machine.plate].filter(Boolean).join(" ")),
        el.p({ class: "hint" }, `${w.stage[job.stage]} · ${w.floor.since} ${span(job.stage_since, new Date())}`,
          order.promised_on ? ` · ${w.floor.promised} ${day(order.promised_on)}` : ""))),
    counts() ? el.p(el.a({ class: "onward", href: at(`/jobs/${job.id}/counter`) }, w.counter.toCounter)) : null,
    part(OpenState, { all }),
    part(LookNext, { all, record, again }),
    part(Missing, { all, again }),
    el.section(el.h2(w.job.said),
      all.complaints.length === 0 ? el.p({ class: "hint" }, w.job.nothingSaid) : null,
      el.ul({ class: "plain" }, all.complaints.map((c) => el.li({ key: c.id }, el.q(c.words),
        c.answer ? el.span({ class: "hint" }, ` ${w.job.answer[c.answer]}${c.answer_note ? `: ${c.answer_note}` : ""}`) : null)))),
    part(Findings, { all, open }),
    el.p(el.a({ class: "go", href: at(`/jobs/${job.id}/metal`) }, w.metal.link)),
    part(Tags, { all }));
}

/** Reports whether who is signed in works at the counter. */
const counts = () => (person.value?.roles ?? []).some((r) => r === "advisor" || r === "owner");

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
        : part(GateList, { gates: m.unmet, job: all.job.id }))));
}

// A finding with one hand: what it is, how it stands, how it failed, what to
// do with it. Only the first two are needed.
import { el, part, useSignal } from "../kit/view.js";
import { GradeChoice } from "../kit/grade.js";
import { Trouble } from "../kit/parts.js";
import { send } from "../lib/api.js";
import { newId } from "../lib/ids.js";
import { w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {Schemas["FindingIn"]} Draft */

/** @returns {Draft} */
const empty = () => ({
  component: "", members: [], looked_at_grade: null, damage_mode: "", pieces: "none", in_pieces: false, laid_out: false, first_cause: false,
  safe_to_ride: "not_known", advised: "", watch_at: "", reached_by_debris: false, not_looked_because: "", evidence_because: "", note: "",
  danger_outcome: "", danger_warning: "", danger_witness: "",
});

/** @param {{ job: Schemas["Job"], done: () => void, leave: () => void }} props */
export function NewFinding({ job, done, leave }) {
  const draft = useSignal(empty());
  const id = useSignal(newId());
  const busy = useSignal(false);
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {Partial<Draft>} change */
  const set = (change) => { draft.value = { ...draft.value, ...change }; };
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    [busy.value, trouble.value] = [true, null];
    try {
      await send("put", "/v1/jobs/{job_id}/findings/{id}", { path: { job_id: job.id, id: id.value } },
        { ...draft.value, captured_at: new Date().toISOString() }, { create: true });
      done();
    } catch (caught) {
      trouble.value = caught;
    } finally {
      busy.value = false;
    }
  }
  const d = draft.value;
  return el.form({ class: "new-finding", onSubmit: submit },
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    el.div({ class: "field" }, el.label({ for: "component" }, w.finding.component),
      el.input({ id: "component", required: true, maxLength: 200, value: d.component, onInput: (event) => set({ component: event.currentTarget.value }) })),
    part(GradeChoice, { name: "grade", chosen: /** @type {any} */ (d.looked_at_grade ?? null), choose: (grade) => set({ looked_at_grade: grade }) }),
    part(Pick, { id: "damage", label: w.finding.damage, value: d.damage_mode, words: w.damage, pick: (value) => set({ damage_mode: /** @type {Draft["damage_mode"]} */ (value) }) }),
    part(Pick, { id: "advised", label: w.finding.advised, value: d.advised, words: w.advice, pick: (value) => set({ advised: /** @type {Draft["advised"]} */ (value) }) }),
    part(Pick, { id: "safe", label: w.finding.safe, value: d.safe_to_ride, words: w.finding.safeWords, pick: (value) => set({ safe_to_ride: /** @type {Draft["safe_to_ride"]} */ (value) }) }),
    el.div({ class: "ticks" },
      part(Tick, { id: "first", label: w.finding.firstCause, on: d.first_cause, flip: (on) => set({ first_cause: on }) }),
      part(Tick, { id: "pieces", label: w.finding.piecesMissing, on: d.pieces === "missing", flip: (on) => set({ pieces: on ? "missing" : "none" }) })),
    el.div({ class: "field" }, el.label({ for: "note" }, w.finding.note),
      el.textarea({ id: "note", rows: 2, maxLength: 10000, value: d.note, onInput: (event) => set({ note: event.currentTarget.value }) })),
    el.div({ class: "acts" },
      el.button({ type: "submit", class: "big", disabled: busy.value }, w.ok.save),
      el.button({ type: "button", class: "quiet big", onClick: leave }, w.finding.leave)));
}

/** A choice among words; the empty one is always the first.
 * @param {{ id: string, label: string, value: string, words: Record<string, string>, pick: (value: string) => void }} props */
function Pick({ id, label, value, words, pick }) {
  return el.div({ class: "field" }, el.label({ for: id }, label),
    el.select({ id, value, onChange: (event) => pick(event.currentTarget.value) },
      "" in words ? null : el.option({ value: "" }, w.finding.nothing),
      Object.entries(words).map(([key, word]) => el.option({ key, value: key }, word))));
}

/** @param {{ id: string, label: string, on: boolean, flip: (on: boolean) => void }} props */
function Tick({ id, label, on, flip }) {
  return el.label({ class: "tick", for: id },
    el.input({ id, type: "checkbox", checked: on, onChange: (event) => flip(event.currentTarget.checked) }), label);
}

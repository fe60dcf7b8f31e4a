// What the customer said and in what state the machine came: to put right, and
// to add what was left open at intake.
import { el, part, several } from "../../kit/view.js";
import { amountOf, AreaField, ChoiceField, countOf, formOf, FormOf, PickField, row, TextField } from "../../kit/form.js";
import { Problem, read, readAll, send } from "../../lib/api.js";
import { newId } from "../../lib/ids.js";
import { atCounter, gatherHead } from "./shell.js";
import { standing } from "../../lib/standing.js";
import { w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

/** @param {string} id */
async function gather(id) {
  const head = await gatherHead(id);
  const path = { id: head.order.id };
  const [complaints, findings, facts, shop] = await Promise.all([
    readAll("/v1/jobs/{job_id}/complaints", { path: { job_id: id } }), readAll("/v1/jobs/{job_id}/findings", { path: { job_id: id } }),
    read("/v1/work-orders/{id}/intake-facts", { path }).catch((caught) => { if (caught instanceof Problem && caught.status === 404) return null; throw caught; }),
    read("/v1/shop")]);
  return { ...head, complaints: standing(complaints), findings: standing(findings), facts, currency: shop.value.currency };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} All */

export const Said = atCounter("said", gather, (all, again) => {
  return several(
    el.section(el.h2(w.job.said), all.complaints.map((c) => part(OneComplaint, { key: c.id, all, complaint: c, again })), part(OneComplaint, { all, again })),
    el.section(el.h2(w.counter.comesIn), part(Facts, { all, again })));
});

/** @param {{ key?: string, all: All, complaint?: Schemas["Complaint"], again: () => void }} props */
function OneComplaint({ all, complaint: c, again }) {
  const form = formOf(`complaint ${c ? `${c.id} ${c.version}` : `new ${all.job.id}`}`, () => ({ id: c?.id ?? newId(), kind: c?.kind ?? all.job.kind, words: c?.words ?? "", symptom: c?.symptom ?? "other", place: c?.place ?? "",
    circumstances: c?.circumstances ?? "", since: c?.since ?? "", how_often: c?.how_often ?? "", answer: c?.answer ?? (all.job.kind === "request" ? "request" : ""), answer_finding_id: c?.answer_finding_id ?? "", answer_note: c?.answer_note ?? "", again: c?.again ?? "", again_note: c?.again_note ?? "" }));
  const submit = async () => {
    const done = await form.send((typed) => {
      const { id, ...body } = typed;
      return send("put", "/v1/jobs/{job_id}/complaints/{id}", { path: { job_id: all.job.id, id } },
        /** @type {any} */ ({ ...body, answer_finding_id: body.answer === "finding" ? body.answer_finding_id || null : null }), c ? { match: `"${c.version}"` } : { create: true });
    });
    if (done) again();
  };
  const d = form.draft.value;
  const after = ["road_test", "release"].includes(all.job.stage);
  return el.details({ open: c !== undefined && c.answer === "" && all.complaints.length === 1 },
    el.summary(el.span({ class: "grow" }, c ? c.words : w.counter.saidMore), c ? el.span({ class: "hint" }, c.answer ? w.job.answer[c.answer] : w.counter.unanswered) : null),
    part(FormOf, { form, act: w.ok.save, quiet: !c, submit, children: [
      part(PickField, { key: "k", form, name: "kind", label: w.counter.kind, words: w.counter.kindWords }),
      part(AreaField, { key: "w", form, name: "words", label: w.counter.words, hint: w.counter.wordsHint, needed: true }),
      d.kind === "complaint" ? part(PickField, { key: "s", form, name: "symptom", label: w.counter.symptom, words: w.symptom }) : null,
      row(part(TextField, { form, name: "circumstances", label: w.counter.when, hint: w.counter.whenHint }), part(TextField, { form, name: "place", label: w.counter.where }),
        part(TextField, { form, name: "since", label: w.counter.since }), part(TextField, { form, name: "how_often", label: w.counter.often })),
      c ? part(ChoiceField, { key: "a", form, name: "answer", label: w.counter.answered, none: w.counter.unanswered, words: w.counter.answerWords }) : null,
      c && d.answer === "finding" ? part(ChoiceField, { key: "f", form, name: "answer_finding_id", label: w.counter.answerFinding, none: w.finding.nothing,
        words: Object.fromEntries(all.findings.map((f) => [f.id, f.name || f.component])) }) : null,
      c && d.answer ? part(AreaField, { key: "n", form, name: "answer_note", label: w.counter.answerNote, rows: 2 }) : null,
      c && after ? row(part(ChoiceField, { form, name: "again", label: w.counter.retried, none: w.finding.nothing, words: w.counter.retriedWords }), part(TextField, { form, name: "again_note", label: w.counter.inWords })) : null] }));
}

/** @param {{ all: All, again: () => void }} props */
function Facts({ all, again }) {
  const f = all.facts?.value;
  const form = formOf(`facts ${all.order.id} ${all.facts?.etag ?? ""}`, () => ({ odometer: f?.odometer?.entered || (f?.odometer ? `${f.odometer.value} ${f.odometer.unit}` : ""), odometer_not_readable: f?.odometer_not_readable ?? "", keys: String(f?.keys ?? 1),
    fuel: f?.fuel ?? "", luggage: f?.luggage ?? "", damage: f?.damage ?? "", leave_to_ride: /** @type {string} */ (f?.leave_to_ride ?? "not_known"), old_parts: /** @type {string} */ (f?.old_parts ?? "not_said"),
    intent: /** @type {string} */ (f?.intent ?? "not_said"), call_above: f?.call_above?.amount ?? "" }));
  const submit = async () => {
    const done = await form.send(async (t) => send("put", "/v1/work-orders/{id}/intake-facts", { path: { id: all.order.id } },
      /** @type {any} */ ({ ...t, odometer: t.odometer.trim() ? { entered: t.odometer.trim() } : null, keys: countOf(t.keys, "/keys", 0), call_above: amountOf(t.call_above, all.currency, "/call_above") }),
      all.facts ? { match: all.facts.etag } : { create: true }));
    if (done) again();
  };
  return part(FormOf, { form, act: w.ok.save, submit, children: part(FactFields, { form, currency: all.currency }) });
}

/** The facts of a machine coming in; intake shows the same ones.
 * @param {{ form: import("../../kit/form.js").Form<any>, currency: string }} props */
export function FactFields({ form, currency }) {
  return several(
    row(part(TextField, { form, name: "odometer", label: w.counter.odometer, hint: w.counter.odometerHint }),
      part(TextField, { form, name: "odometer_not_readable", label: w.counter.unreadable, hint: w.counter.unreadableHint }),
      part(TextField, { form, name: "keys", label: w.counter.keys, hint: w.counter.keysHint, mode: "numeric", most: 3 })),
    part(AreaField, { form, name: "damage", label: w.counter.damage, hint: w.counter.damageHint, rows: 2 }),
    row(part(TextField, { form, name: "luggage", label: w.counter.luggage }), part(TextField, { form, name: "fuel", label: w.counter.fuel })),
    row(part(PickField, { form, name: "leave_to_ride", label: w.counter.leaveToRide, words: w.counter.rideWords }),
      part(PickField, { form, name: "old_parts", label: w.counter.oldParts, words: w.counter.oldPartsWords })),
    row(part(TextField, { form, name: "call_above", label: w.counter.callAbove(currency), hint: w.counter.callAboveHint, mode: "decimal", most: 20 }),
      part(ChoiceField, { form, name: "intent", label: w.counter.intent, words: w.counter.intentWords })));
}

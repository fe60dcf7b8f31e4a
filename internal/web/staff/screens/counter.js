// The counter's side of one job: who waits for what, what is still missing and
// where to see to it, which checks come first. Its other pages hang below it.
import { el, part, several, useSignal } from "../kit/view.js";
import { GateList } from "../kit/gates.js";
import { Trouble } from "../kit/parts.js";
import { AreaField, formOf, FormOf, PickField, row, TextField } from "../kit/form.js";
import { read, readAll, send } from "../lib/api.js";
import { newId } from "../lib/ids.js";
import { standing } from "../lib/standing.js";
import { atCounter, gatherHead } from "./counter/shell.js";
import { day, w, when } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */

/** @param {string} id */
async function gather(id) {
  const head = await gatherHead(id);
  const path = { id };
  const early = ["intake", "diagnosis"].includes(head.job.stage) && head.job.kind === "complaint";
  const [moves, holds, promises, questions, checks] = await Promise.all([
    read("/v1/jobs/{id}/moves", { path }), readAll("/v1/jobs/{id}/holds", { path }), readAll("/v1/jobs/{job_id}/promises", { path: { job_id: id } }),
    readAll("/v1/jobs/{id}/customer-questions", { path }),
    early ? read("/v1/jobs/{id}/first-checks", { path }).then((a) => ({ answer: a.value, trouble: null }), (trouble) => ({ answer: null, trouble })) : null,
  ]);
  return { ...head, moves: moves.value, hold: holds.find((h) => h.lifted_at === null), promises: standing(promises),
    questions: questions.filter((q) => q.answered_at === null), checks };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} All */
/** @typedef {{ all: All, again: () => void }} Props */

export const Counter = atCounter("now", gather, (all, again) => part(Shown, { all, again }));

/** @param {Props} props */
function Shown({ all, again }) {
  return several(
    all.hold ? part(Held, { hold: all.hold, again }) : null,
    all.questions.map((question) => part(Question, { key: question.id, question, again })),
    part(Steps, { all, again }),
    all.checks ? part(FirstChecks, { checks: all.checks }) : null,
    part(Promises, { all, again }),
    all.hold ? null : part(PutOnHold, { all, again }));
}

/** What is missing for each step from here, each with where it is met.
 * @param {Props} props */
function Steps({ all, again }) {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const busy = useSignal(false);
  /** @param {string} move */
  async function take(move) {
    [busy.value, trouble.value] = [true, null];
    try {
      await send("post", "/v1/jobs/{id}/moves", { path: { id: all.job.id } }, { move, note: "" });
    } catch (caught) {
      trouble.value = caught;
    }
    busy.value = false;
    again();
  }
  const { moves } = all;
  // The ways on come before the ways back; the one that can be taken is open.
  const back = (/** @type {{ move: string }} */ m) => Number(m.move.startsWith("back_") || m.move === "withdraw");
  const ways = moves.items.toSorted((a, b) => back(a) - back(b));
  const first = ways.find((m) => !back(m) && m.unmet.length === 0) ?? ways[0];
  const stage = (/** @type {string} */ to) => w.stage[/** @type {keyof typeof w.stage} */ (to)] ?? to;
  return el.section(el.h2(w.job.steps),
    el.p({ class: "lead" }, el.b(w.move[/** @type {keyof typeof w.move} */ (moves.waiting_on)] ?? moves.waiting_on), moves.next_thing ? ` – ${moves.next_thing}` : ""),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    ways.map((m) => el.details({ key: m.move, open: m === first },
      el.summary(stage(m.to), el.span({ class: "hint" }, m.unmet.length === 0 ? w.job.ready : w.job.unmet(m.unmet.length))),
      m.unmet.length === 0
        ? el.button({ type: "button", disabled: busy.value, onClick: () => take(m.move) }, w.job.take(stage(m.to)))
        : part(GateList, { gates: m.unmet, job: all.job.id }))));
}

/** @typedef {{ check: string, words: string, do: string, caution: string, minutes?: string, cost: string, opens: string[], finds: string[] }} Look */
/** @typedef {{ causes?: { cause: string, words: string, mean: string, ruled_out: boolean }[], looks?: Look[], stop_riding?: { words: string, certain: boolean }[] }} Order */

/** Which quick check comes first, and for what. A caution stands before what it is about.
 * @param {{ checks: { answer: Schemas["ReckonAnswer"] | null, trouble: unknown } }} props */
function FirstChecks({ checks: { answer, trouble } }) {
  const order = /** @type {Order} */ (answer?.value ?? {});
  const looks = order.looks ?? [];
  const cause = (/** @type {string} */ key) => order.causes?.find((c) => c.cause === key)?.words ?? key;
  const one = (/** @type {Look} */ l) => el.li({ key: l.check },
    el.b(l.words), el.span({ class: "hint" }, ` · ${w.time.minutes(Math.round(Number(l.cost)))}`),
    l.caution ? el.p({ class: "caution" }, l.caution) : null,
    el.p(l.do),
    l.finds.length > 0 ? el.p({ class: "hint" }, `${w.counter.finds} ${l.finds.map(cause).join("; ")}`) : null);
  return el.section(el.h2(w.counter.firstChecks),
    el.p({ class: "hint" }, w.counter.firstChecksHint),
    trouble ? part(Trouble, { trouble }) : null,
    (order.stop_riding ?? []).filter((s) => s.certain).map((s, i) => el.p({ key: i, class: "caution" }, s.words)),
    answer?.warnings[0] ? el.p({ class: "hint" }, answer.warnings[0]) : null,
    looks.length > 0 ? el.ol({ class: "looks" }, looks.slice(0, 5).map(one)) : null,
    looks.length > 5 ? el.details(el.summary(w.counter.moreChecks(looks.length - 5)), el.ol({ class: "looks", start: 6 }, looks.slice(5).map(one))) : null,
    answer ? el.details(el.summary(w.counter.working), el.ul({ class: "plain" }, answer.working.map((line, i) => el.li({ key: i }, line)))) : null);
}

/** @param {{ hold: Schemas["Hold"], again: () => void }} props */
function Held({ hold, again }) {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const lift = () => send("post", "/v1/holds/{id}/lift", { path: { id: hold.id } }, undefined).then(again, (caught) => { trouble.value = caught; });
  return el.section({ class: "notice" }, el.h2(w.counter.held),
    el.p(el.b(w.counter.holdWords[hold.reason]), hold.note ? `: ${hold.note}` : "", hold.until_on ? ` · ${w.counter.until} ${day(hold.until_on)}` : ""),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    el.button({ type: "button", onClick: lift }, w.counter.lift));
}

/** @param {Props} props */
function PutOnHold({ all, again }) {
  const form = formOf(`hold ${all.job.id}`, () => ({ reason: "parts", note: "", until_on: "" }));
  const submit = async () => {
    const done = await form.send((typed, key) => send("post", "/v1/jobs/{id}/holds", { path: { id: all.job.id } },
      { reason: /** @type {any} */ (typed.reason), note: typed.note, until_on: typed.until_on || null }, { key }));
    if (done) again();
  };
  return el.section(el.details(el.summary(w.counter.hold),
    part(FormOf, { form, act: w.counter.hold, quiet: true, submit, children: [
      part(PickField, { key: "r", form, name: "reason", label: w.counter.holdReason, words: w.counter.holdWords }),
      row(part(TextField, { form, name: "note", label: w.counter.inWords }), part(TextField, { form, name: "until_on", label: w.counter.until, type: "date" }))] })));
}

/** @param {{ key: string, question: Schemas["CustomerQuestion"], again: () => void }} props */
function Question({ question, again }) {
  const form = formOf(`question ${question.id}`, () => ({ answer: "" }));
  const submit = async () => {
    const done = await form.send((typed, key) => send("post", "/v1/customer-questions/{id}/answer", { path: { id: question.id } }, { answer: typed.answer }, { key }));
    if (done) again();
  };
  return el.section({ class: "notice" }, el.h2(question.kind === "call_me" ? w.counter.callMe : w.counter.asks),
    el.p({ class: "hint" }, when(question.asked_at), question.call_when ? ` · ${w.counter.callWhen} ${question.call_when}` : ""),
    question.words ? el.p(el.q(question.words)) : null,
    part(FormOf, { form, act: w.counter.answer, submit, children: part(AreaField, { form, name: "answer", label: w.counter.answerLabel, hint: w.counter.answerHint, needed: true, rows: 2 }) }));
}

/** @param {Props} props */
function Promises({ all, again }) {
  const form = formOf(`promise ${all.job.id}`, () => ({ id: newId(), what: "", promised_on: "" }));
  const submit = async () => {
    const done = await form.send((typed) => send("put", "/v1/jobs/{job_id}/promises/{id}", { path: { job_id: all.job.id, id: typed.id } }, { what: typed.what, promised_on: typed.promised_on }, { create: true }));
    if (done) again();
  };
  return el.section(el.h2(w.counter.promises),
    all.promises.length === 0 ? el.p({ class: "hint" }, w.counter.noPromises) : el.ul({ class: "rows" }, all.promises.map((p) => el.li({ key: p.id }, el.span(p.what), el.b(p.promised_on ? day(p.promised_on) : "")))),
    el.details(el.summary(w.counter.promise),
      part(FormOf, { form, act: w.ok.save, quiet: true, submit, children: row(part(TextField, { form, name: "what", label: w.counter.promiseWhat, needed: true }),
        part(TextField, { form, name: "promised_on", label: w.counter.promiseDay, type: "date", needed: true })) })));
}

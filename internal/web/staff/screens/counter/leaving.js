// Before the keys go back: the bill against what was agreed, the money, the
// advice, what became of the old parts, who took it. Or the customer takes the
// machine as it stands.
import { el, part, several } from "../../kit/view.js";
import { amountOf, AreaField, formOf, FormOf, PickField, row, TextField, TickField } from "../../kit/form.js";
import { StrikeIt } from "../../kit/strike.js";
import { Problem, read, readAll, send } from "../../lib/api.js";
import { newId } from "../../lib/ids.js";
import { Against } from "./agreed.js";
import { atCounter, gatherHead } from "./shell.js";
import { standing } from "../../lib/standing.js";
import { day, money, w, when } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

/** Reads a record of which a job has one, or none yet.
 * @template T @param {Promise<T>} asked @returns {Promise<T | null>} */
const orNone = (asked) => asked.catch((caught) => { if (caught instanceof Problem && caught.status === 404) return null; throw caught; });

/** @param {string} id */
async function gather(id) {
  const head = await gatherHead(id);
  const [path, order] = [{ id }, { path: { id: head.order.id } }];
  const [check, bills, payments, advice, handOver, withdrawal, jobs, shop] = await Promise.all([
    read("/v1/jobs/{id}/consent-check", { path }), readAll("/v1/work-orders/{id}/bills", order), readAll("/v1/work-orders/{id}/payments", order), readAll("/v1/jobs/{job_id}/advice", { path: { job_id: id } }),
    orNone(read("/v1/jobs/{id}/hand-over", { path })), orNone(read("/v1/jobs/{id}/withdrawal", { path })), readAll("/v1/work-orders/{id}/jobs", order), read("/v1/shop")]);
  return { ...head, check: check.value, bills, payments, advice: standing(advice), handOver, withdrawal, jobs, currency: shop.value.currency };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} All */
/** @typedef {{ all: All, again: () => void }} Props */

export const Leaving = atCounter("leaving", gather, (all, again) => {
  return several(
    part(Against, { check: all.check }), part(Bills, { all, again }), part(Payments, { all, again }), part(Advice, { all, again }),
    el.section(el.h2(w.counter.handOver), part(HandOver, { all, again })),
    el.section(el.details({ open: all.withdrawal !== null }, el.summary(el.span({ class: "grow" }, w.counter.withdraw)), part(Withdrawal, { all, again }))));
});

/** @param {Props} props */
function Bills({ all, again }) {
  const form = formOf(`bill ${all.order.id}`, () => ({ jobs: [all.job.id], on_terms: false, terms_note: "" }));
  const d = form.draft.value;
  const standingBills = all.bills.filter((b) => b.voided_at === null);
  const billed = standingBills.some((b) => b.job_ids.includes(all.job.id));
  const submit = async () => {
    const done = await form.send((t, key) => send("post", "/v1/work-orders/{id}/bills", { path: { id: all.order.id } }, { job_ids: t.jobs, on_terms: t.on_terms, terms_note: t.terms_note }, { key }));
    if (done) again();
  };
  return el.section(el.h2(w.counter.bills),
    all.bills.length === 0 ? el.p({ class: "hint" }, w.counter.noBill) : null,
    el.ul({ class: "sheet" }, all.bills.map((b) => el.li({ key: b.id }, el.details(
      el.summary(el.span({ class: "grow" }, `${w.counter.bill(b.number)}`, el.span({ class: "hint" }, ` · ${when(b.issued_at)}`, b.on_terms ? ` · ${w.counter.onTerms} ${b.terms_note}` : ""), b.voided_at ? el.em(` · ${w.counter.voided} ${b.void_reason}`) : null), el.b({ class: "sum" }, money(b.gross))),
      el.p(`${w.counter.net} ${money(b.net)} · ${w.counter.tax} ${money(b.tax)}`),
      b.voided_at ? null : part(VoidBill, { bill: b, again }))))),
    billed ? null : part(FormOf, { form, act: w.counter.makeBill, submit, children: [
      all.jobs.length > 1 ? el.fieldset({ key: "j", class: "picks tall" }, el.legend(w.counter.billJobs), all.jobs.map((j) => el.label({ key: j.id, class: "pick" },
        el.input({ type: "checkbox", checked: d.jobs.includes(j.id), onChange: (event) => form.set({ jobs: event.currentTarget.checked ? [...d.jobs, j.id] : d.jobs.filter((o) => o !== j.id) }) }), j.title))) : null,
      row(part(TickField, { form, name: "on_terms", label: w.counter.onTerms }), d.on_terms ? part(TextField, { form, name: "terms_note", label: w.counter.terms2, needed: true }) : null)] }));
}

/** @param {{ bill: Schemas["Bill"], again: () => void }} props */
function VoidBill({ bill, again }) {
  const form = formOf(`void ${bill.id}`, () => ({ reason: "" }));
  const submit = async () => {
    const done = await form.send((t, key) => send("post", "/v1/bills/{id}/void", { path: { id: bill.id } }, { reason: t.reason }, { key }));
    if (done) again();
  };
  return el.details(el.summary(w.counter.voidBill), part(FormOf, { form, act: w.counter.voidBill, quiet: true, submit, children: part(TextField, { form, name: "reason", label: w.ok.because, needed: true }) }));
}

/** @param {Props} props */
function Payments({ all, again }) {
  const open = all.bills.find((b) => b.voided_at === null && b.job_ids.includes(all.job.id));
  const form = formOf(`payment ${all.order.id} ${all.payments.length} ${open?.id ?? ""}`, () => ({ kind: open ? "payment" : "deposit", method: "card", amount: open ? open.gross.amount : "", note: "" }));
  const submit = async () => {
    const done = await form.send(async (t, key) => send("post", "/v1/work-orders/{id}/payments", { path: { id: all.order.id } },
      { kind: /** @type {any} */ (t.kind), method: /** @type {any} */ (t.method), amount: /** @type {any} */ (amountOf(t.amount, all.currency, "/amount")), note: t.note, bill_id: t.kind === "deposit" ? null : open?.id ?? null }, { key }));
    if (done) again();
  };
  return el.section(el.h2(w.counter.payments),
    el.ul({ class: "rows" }, all.payments.map((p) => el.li({ key: p.id }, el.span(`${w.counter.paymentKinds[p.kind]} · ${w.counter.payWords[p.method]}`, el.span({ class: "hint" }, ` · ${when(p.taken_at)}`, p.note ? ` · ${p.note}` : "")), el.b({ class: "sum" }, money(p.amount))))),
    el.details({ open: Boolean(open) && !all.payments.some((p) => p.bill_id === open?.id) && !open?.on_terms }, el.summary(w.counter.takePayment), part(FormOf, { form, act: w.counter.takePayment, quiet: true, submit, children: [
      part(PickField, { key: "k", form, name: "kind", label: w.counter.payKind, words: w.counter.paymentKinds }),
      part(PickField, { key: "m", form, name: "method", label: w.counter.payHow, words: w.counter.payWords }),
      row(part(TextField, { form, name: "amount", label: w.counter.amountIn(all.currency), mode: "decimal", needed: true }), part(TextField, { form, name: "note", label: w.counter.remark }))] })));
}

/** @param {Props} props */
function Advice({ all, again }) {
  return el.section(el.h2(w.counter.advice, el.span({ class: "count" }, String(all.advice.length))),
    el.ul({ class: "sheet" }, all.advice.map((a) => el.li({ key: a.id }, el.details(
      el.summary(el.span({ class: "grow" }, a.words, el.span({ class: "hint" }, ` · ${w.counter.adviceKinds[a.kind]}`, a.due_on ? ` · ${day(a.due_on)}` : "", a.due_distance ? ` · ${a.due_distance}` : "")), el.span({ class: "hint" }, a.told ? w.counter.told : w.counter.notTold)),
      part(AdviceForm, { all, advice: a, again }), part(StrikeIt, { path: "/v1/jobs/{job_id}/advice/{id}/strike", job: all.job.id, id: a.id, again }))))),
    el.details({ open: all.advice.length === 0 && all.job.stage === "release" }, el.summary(w.counter.addAdvice), part(AdviceForm, { all, again })));
}

/** @param {{ all: All, advice?: Schemas["Advice"], again: () => void }} props */
function AdviceForm({ all, advice: a, again }) {
  const form = formOf(a ? `advice ${a.id} ${a.version}` : `advice new ${all.job.id}`, () => ({ id: a?.id ?? newId(), kind: /** @type {string} */ (a?.kind ?? "advice"), words: a?.words ?? "", due_on: a?.due_on ?? "", due_distance: a?.due_distance ?? "", told: a?.told ?? false }));
  const submit = async () => {
    const done = await form.send(({ id, ...t }) => send("put", "/v1/jobs/{job_id}/advice/{id}", { path: { job_id: all.job.id, id } }, /** @type {any} */ ({ ...t, due_on: t.due_on || null }), a ? { match: `"${a.version}"` } : { create: true }));
    if (done) again();
  };
  return part(FormOf, { form, act: w.ok.save, quiet: true, submit, children: [
    part(PickField, { key: "k", form, name: "kind", label: w.counter.adviceKind, words: w.counter.adviceKinds }),
    part(AreaField, { key: "w", form, name: "words", label: w.counter.inWords, needed: true, rows: 2 }),
    row(part(TextField, { form, name: "due_on", label: w.counter.dueOn, type: "date" }), part(TextField, { form, name: "due_distance", label: w.counter.dueDistance })),
    part(TickField, { key: "t", form, name: "told", label: w.counter.told })] });
}

/** @param {Props} props */
function HandOver({ all, again }) {
  const h = all.handOver?.value;
  const form = formOf(`hand-over ${all.job.id} ${all.handOver?.etag ?? ""}`, () => ({ handed_to: h?.handed_to ?? "", transport: /** @type {string} */ (h?.transport ?? (all.job.not_run ? "trailer" : "ridden")), old_parts: /** @type {string} */ (h?.old_parts ?? "none_replaced"), old_parts_note: h?.old_parts_note ?? "",
    odometer: h?.odometer_out?.entered ?? "", still_open: h?.still_open ?? "", recheck_on: h?.recheck_on ?? "", evidence_until: h?.evidence_until ?? "", advice_given: h?.advice_given ?? false, cautions_told: h?.cautions_told ?? false,
    do_not_start_told: h?.do_not_start_told ?? false, self_reinspection_told: h?.self_reinspection_told ?? false }));
  const submit = async () => {
    const done = await form.send(({ odometer, ...t }) => send("put", "/v1/jobs/{id}/hand-over", { path: { id: all.job.id } },
      /** @type {any} */ ({ ...t, recheck_on: t.recheck_on || null, evidence_until: t.evidence_until || null, odometer_out: odometer.trim() ? { entered: odometer.trim() } : null }), all.handOver ? { match: all.handOver.etag } : { create: true }));
    if (done) again();
  };
  return part(FormOf, { form, act: w.ok.save, quiet: true, submit, children: [
    all.job.not_run ? el.p({ key: "c", class: "caution" }, w.counter.notRunCaution) : null,
    row(part(TextField, { form, name: "handed_to", label: w.counter.handedTo }), part(TextField, { form, name: "odometer", label: w.counter.odometerOut, pointer: "/odometer_out" })),
    part(PickField, { key: "t", form, name: "transport", label: w.counter.transport, words: w.counter.transportWords }),
    part(PickField, { key: "o", form, name: "old_parts", label: w.counter.oldPartsNow, words: w.counter.oldPartsDone }),
    part(TextField, { key: "on", form, name: "old_parts_note", label: w.counter.inWords }),
    part(AreaField, { key: "so", form, name: "still_open", label: w.counter.stillOpen, rows: 2 }),
    row(part(TextField, { form, name: "recheck_on", label: w.counter.recheckOn, type: "date" }), part(TextField, { form, name: "evidence_until", label: w.counter.evidenceUntil, hint: w.counter.evidenceHint, type: "date" })),
    row(part(TickField, { form, name: "advice_given", label: w.counter.adviceGiven }), part(TickField, { form, name: "cautions_told", label: w.counter.cautionsTold })),
    row(part(TickField, { form, name: "self_reinspection_told", label: w.counter.selfTold }), all.job.not_run ? part(TickField, { form, name: "do_not_start_told", label: w.counter.doNotStartTold }) : null)] });
}

/** @param {Props} props */
function Withdrawal({ all, again }) {
  const was = all.withdrawal?.value;
  const form = formOf(`withdrawal ${all.job.id} ${all.withdrawal?.etag ?? ""}`, () => ({ reason: was?.reason ?? "", machine_state: /** @type {string} */ (was?.machine_state ?? "complete"), asked_by: was?.asked_by ?? "", warnings_told: was?.warnings_told ?? "" }));
  const submit = async () => {
    const done = await form.send((t) => send("put", "/v1/jobs/{id}/withdrawal", { path: { id: all.job.id } }, /** @type {any} */ (t), all.withdrawal ? { match: all.withdrawal.etag } : { create: true }));
    if (done) again();
  };
  return several(el.p({ class: "hint" }, w.counter.withdrawHint), part(FormOf, { form, act: w.ok.save, quiet: true, submit, children: [
    part(AreaField, { key: "r", form, name: "reason", label: w.ok.because, needed: true, rows: 2 }),
    part(PickField, { key: "m", form, name: "machine_state", label: w.counter.leavesAs, words: w.counter.leavesWords }),
    row(part(TextField, { form, name: "asked_by", label: w.counter.askedBy }), part(TextField, { form, name: "warnings_told", label: w.counter.warningsTold }))] }));
}

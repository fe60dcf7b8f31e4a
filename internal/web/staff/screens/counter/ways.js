// Ways forward: the lines of the estimate, from what to what they may come,
// and the ways made of them. Each way says what it does and what stays unknown.
import { el, part, several } from "../../kit/view.js";
import { amountOf, AreaField, ChoiceField, countOf, formOf, FormOf, PickField, refuse, row, TextField, thousandthsOf, TickField } from "../../kit/form.js";
import { StrikeIt } from "../../kit/strike.js";
import { read, readAll, send } from "../../lib/api.js";
import { newId } from "../../lib/ids.js";
import { at } from "../../lib/place.js";
import { atCounter, gatherHead } from "./shell.js";
import { standing } from "../../lib/standing.js";
import { day, fromTo, money, w } from "../../words/words.js";
import { Suggest } from "./suggest.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

/** @param {string} id */
async function gather(id) {
  const head = await gatherHead(id);
  const of = { path: { job_id: id } };
  const [lines, scopes, findings, complaints, estimate, rates, taxes, shop] = await Promise.all([
    readAll("/v1/jobs/{job_id}/lines", of), readAll("/v1/jobs/{job_id}/scopes", of), readAll("/v1/jobs/{job_id}/findings", of), readAll("/v1/jobs/{job_id}/complaints", of),
    read("/v1/jobs/{id}/estimate", { path: { id } }), readAll("/v1/labour-rates"), readAll("/v1/tax-categories"), read("/v1/shop")]);
  return { ...head, lines: standing(lines), scopes: standing(scopes), findings: standing(findings), complaints: standing(complaints), estimate: estimate.value, rates, taxes, shop: shop.value };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} All */
/** @typedef {{ all: All, again: () => void }} Props */

export const Ways = atCounter("ways", gather, (all, again) => part(Shown, { all, again }));

/** @param {Props} props */
function Shown({ all, again }) {
  const { estimate } = all;
  return several(
    el.section(el.h2(w.counter.lines, el.span({ class: "count" }, String(all.lines.length))),
      all.lines.length === 0 ? el.p({ class: "hint" }, w.counter.noLines) : null,
      el.ul({ class: "sheet" }, all.lines.map((line) => part(OneLine, { key: line.id, all, line, again }))),
      all.lines.length > 0 ? el.p({ class: "total" }, `${w.counter.all} `, el.b(fromTo(estimate.low.gross, estimate.high.gross)), ` ${w.counter.withTax}`) : null,
      el.details(el.summary(w.counter.newLine), part(LineForm, { all, again }))),
    part(Suggest, { all, again }),
    el.section(el.h2(w.counter.ways, el.span({ class: "count" }, String(all.scopes.length))),
      el.p({ class: "hint" }, w.counter.waysHint),
      el.ul({ class: "sheet" }, all.scopes.map((scope) => part(OneWay, { key: scope.id, all, scope, again }))),
      el.details(el.summary(w.counter.newWay), part(WayForm, { all, again })),
      all.scopes.length > 0 ? el.p(el.a({ class: "onward", href: at(`/jobs/${all.job.id}/counter/ask`) }, w.counter.toAsk)) : null));
}

/** What a line is for, in words. @param {All} all @param {Schemas["Line"]} line */
function madeFor(all, line) {
  const finding = all.findings.find((f) => f.id === line.finding_id);
  return finding ? finding.name || finding.component : all.complaints.find((c) => c.id === line.complaint_id)?.words ?? "";
}

/** @param {{ key: string, all: All, line: Schemas["Line"], again: () => void }} props */
function OneLine({ all, line, again }) {
  const sum = all.estimate.lines.find((l) => l.line_id === line.id);
  return el.li(el.details(
    el.summary(el.span({ class: "grow" }, line.description, el.span({ class: "hint" }, ` · ${w.counter.lineKinds[line.kind]} · ${w.counter.lineStates[line.state]}`, line.certainty === "possible" ? ` · ${w.counter.ifFound}` : "", line.after_ride ? ` · ${w.counter.afterRide}` : "")),
      sum ? el.b({ class: "sum" }, fromTo(sum.low, sum.high)) : null),
    madeFor(all, line) ? el.p({ class: "hint" }, `${w.counter.calledFor} ${madeFor(all, line)}`) : null,
    line.state === "proposed" ? part(LineForm, { all, line, again }) : null,
    line.state === "proposed" || line.state === "agreed" ? part(StrikeIt, { path: "/v1/jobs/{job_id}/lines/{id}/strike", job: all.job.id, id: line.id, again }) : null));
}

/** @param {All} all @param {Schemas["Line"]} [line] */
const lineDraft = (all, line) => ({ id: line?.id ?? newId(), kind: /** @type {string} */ (line?.kind ?? "labour"), description: line?.description ?? "", work: /** @type {string} */ (line?.work ?? "repair"),
  by: line?.finding_id ? `f ${line.finding_id}` : line?.complaint_id ? `c ${line.complaint_id}` : all.complaints.length === 1 ? `c ${all.complaints[0]?.id}` : "",
  minutes: line?.minutes ? String(line.minutes) : "", quantity: line && line.kind !== "labour" ? String(line.quantity_milli / 1000) : "1", unit_price: line?.unit_price.amount ?? all.rates[0]?.per_hour.amount ?? "",
  tax_category: line?.tax_category ?? all.rates[0]?.tax_category ?? all.taxes[0]?.code ?? "", possible: line?.certainty === "possible", ceiling: line?.ceiling?.amount ?? "", after_ride: line?.after_ride ?? false,
  part_number: line?.part_number ?? "", part_condition: /** @type {string} */ (line?.part_condition ?? "") });

/** @param {{ all: All, line?: Schemas["Line"], again: () => void }} props */
function LineForm({ all, line, again }) {
  const { currency } = all.shop;
  const form = formOf(line ? `line ${line.id} ${line.version}` : `line new ${all.job.id}`, () => lineDraft(all, line));
  const d = form.draft.value;
  const labour = d.kind === "labour";
  const submit = async () => {
    const done = await form.send(async (t) => {
      const price = amountOf(t.unit_price, currency, "/unit_price");
      if (!price) throw refuse("/unit_price", w.ok.amountUnclear);
      const [to, by = ""] = t.by.split(" ");
      const body = { kind: /** @type {any} */ (t.kind), description: t.description.trim(), work: /** @type {any} */ (t.work), finding_id: to === "f" ? by : null, complaint_id: to === "c" ? by : null,
        ...(labour ? { minutes: countOf(t.minutes, "/minutes", 0) } : { quantity_milli: thousandthsOf(t.quantity, "/quantity_milli") }), unit_price: price, tax_category: t.tax_category,
        certainty: t.possible ? /** @type {const} */ ("possible") : /** @type {const} */ ("certain"), ceiling: t.possible ? amountOf(t.ceiling, currency, "/ceiling") : null,
        after_ride: t.after_ride, part_number: t.kind === "part" ? t.part_number : "", part_condition: /** @type {any} */ (t.kind === "part" ? t.part_condition : "") };
      await send("put", "/v1/jobs/{job_id}/lines/{id}", { path: { job_id: all.job.id, id: t.id } }, body, line ? { match: `"${line.version}"` } : { create: true });
    });
    if (done) again();
  };
  const ties = Object.fromEntries([...all.findings.map((f) => [`f ${f.id}`, `${w.counter.finding}: ${f.name || f.component}`]), ...all.complaints.map((c) => [`c ${c.id}`, `${w.counter.complaint}: ${c.words.slice(0, 60)}`])]);
  return part(FormOf, { form, act: line ? w.ok.save : w.counter.addLine, quiet: Boolean(line), submit, children: [
    part(PickField, { key: "kind", form, name: "kind", label: w.counter.lineKind, words: w.counter.lineKinds }),
    part(TextField, { key: "what", form, name: "description", label: w.counter.lineWhat, needed: true }),
    part(ChoiceField, { key: "by", form, name: "by", label: w.counter.lineBy, none: w.finding.nothing, words: ties, pointer: "/finding_id" }),
    row(labour ? part(TextField, { form, name: "minutes", label: w.counter.minutes, mode: "numeric", needed: true }) : part(TextField, { form, name: "quantity", label: w.counter.quantity, mode: "decimal", needed: true, pointer: "/quantity_milli" }),
      part(TextField, { form, name: "unit_price", label: labour ? w.counter.perHour(currency) : w.counter.each(currency), mode: "decimal", needed: true }),
      part(ChoiceField, { form, name: "tax_category", label: w.counter.tax, words: Object.fromEntries(all.taxes.map((t) => [t.code, t.label])) }),
      labour ? part(ChoiceField, { form, name: "work", label: w.counter.lineWork, words: w.counter.workWords }) : null),
    d.kind === "part" ? row(part(TextField, { form, name: "part_number", label: w.counter.partNumber }), part(ChoiceField, { form, name: "part_condition", label: w.counter.partCondition, none: w.finding.nothing, words: w.counter.conditionWords })) : null,
    row(part(TickField, { form, name: "possible", label: w.counter.onlyIfFound, pointer: "/certainty" }), part(TickField, { form, name: "after_ride", label: w.counter.afterRide })),
    d.possible ? part(TextField, { key: "top", form, name: "ceiling", label: w.counter.ceiling(currency), hint: w.counter.ceilingHint, mode: "decimal" }) : null] });
}

/** Adds amounts of the shop's currency, exactly. @param {{ amount: string }[]} amounts @param {string} currency */
function together(amounts, currency) {
  const digits = Math.max(0, ...amounts.map((a) => (a.amount.split(".")[1] ?? "").length));
  const minor = amounts.reduce((sum, a) => { const [whole = "0", rest = ""] = a.amount.split("."); return sum + BigInt(whole + rest.padEnd(digits, "0")); }, 0n);
  const text = minor.toString().padStart(digits + 1, "0");
  return { amount: digits ? `${text.slice(0, -digits)}.${text.slice(-digits)}` : text, currency };
}

/** @param {{ key: string, all: All, scope: Schemas["Scope"], again: () => void }} props */
function OneWay({ all, scope, again }) {
  const sums = all.estimate.lines.filter((l) => scope.line_ids.includes(l.line_id));
  const { currency, tax_mode: mode } = all.shop;
  return el.li(el.details(
    el.summary(el.span({ class: "grow" }, scope.title, el.span({ class: "hint" }, ` · ${w.counter.scopeKinds[scope.kind]}`)),
      el.b({ class: "sum" }, fromTo(together(sums.map((s) => s.low), currency), together(sums.map((s) => s.high), currency))), el.span({ class: "hint" }, mode === "exclusive" ? w.counter.beforeTax : w.counter.withTax)),
    el.dl({ class: "facts" },
      el.dt(w.counter.whatWeDo), el.dd(scope.what_we_do),
      el.dt(w.counter.staysUnknown), el.dd(scope.stays_unknown || w.trouble.noData),
      el.dt(w.counter.earliest), el.dd(scope.earliest_on ? day(scope.earliest_on) : w.trouble.noData),
      el.dt(w.counter.mayRide), el.dd(w.counter.mayRideWords[scope.may_ride], scope.ride_note ? ` – ${scope.ride_note}` : ""),
      scope.warranty ? [el.dt({ key: "wt" }, w.counter.warranty), el.dd({ key: "wd" }, scope.warranty)] : null,
      scope.deposit ? [el.dt({ key: "dt" }, w.counter.deposit), el.dd({ key: "dd" }, money(scope.deposit))] : null,
      el.dt(w.counter.lines), el.dd(el.ul({ class: "plain" }, scope.line_ids.map((id) => el.li({ key: id }, all.lines.find((l) => l.id === id)?.description ?? w.counter.struckLine))))),
    el.details(el.summary(w.counter.change), part(WayForm, { all, scope, again })),
    part(StrikeIt, { path: "/v1/jobs/{job_id}/scopes/{id}/strike", job: all.job.id, id: scope.id, again })));
}

/** @param {All} all @param {Schemas["Scope"]} [s] */
const wayDraft = (all, s) => ({ id: s?.id ?? newId(), title: s?.title ?? "", kind: /** @type {string} */ (s?.kind ?? (["intake", "diagnosis"].includes(all.job.stage) ? "diagnosis" : all.job.stage === "repair" ? "more_found" : "repair")),
  line_ids: /** @type {string[] | null} */ (s?.line_ids ?? null), // null: every proposed line there is 
  what_we_do: s?.what_we_do ?? "", stays_unknown: s?.stays_unknown ?? "", earliest_on: s?.earliest_on ?? "",
  may_ride: /** @type {string} */ (s?.may_ride ?? "not_known"), ride_note: s?.ride_note ?? "", warranty: s?.warranty ?? "", deposit: s?.deposit?.amount ?? "", ...terms(s?.teardown_terms) });

/** @param {Schemas["TeardownTerms"] | null | undefined} t */
const terms = (t) => ({ area_or_component: t?.area_or_component ?? "", teardown_cost: t?.teardown_cost ?? "", reassembly_cost: t?.reassembly_cost ?? "", parts_and_labor_destroyed: t?.parts_and_labor_destroyed ?? "",
  max_reassembly_time: t?.max_reassembly_time ?? "", may_prevent_restoration: t?.may_prevent_restoration ?? "" });

/** @param {{ all: All, scope?: Schemas["Scope"], again: () => void }} props */
function WayForm({ all, scope, again }) {
  const form = formOf(scope ? `way ${scope.id} ${scope.version}` : `way new ${all.job.id}`, () => wayDraft(all, scope));
  const d = form.draft.value;
  const held = d.line_ids ?? all.lines.filter((l) => l.state === "proposed").map((l) => l.id);
  const submit = async () => {
    const done = await form.send(async (t) => {
      const body = { title: t.title.trim(), kind: /** @type {any} */ (t.kind), line_ids: held, what_we_do: t.what_we_do, stays_unknown: t.stays_unknown, earliest_on: t.earliest_on || null, may_ride: /** @type {any} */ (t.may_ride),
        ride_note: t.ride_note, warranty: t.warranty, deposit: amountOf(t.deposit, all.shop.currency, "/deposit"), teardown_terms: t.kind === "teardown" ? terms(t) : null };
      await send("put", "/v1/jobs/{job_id}/scopes/{id}", { path: { job_id: all.job.id, id: t.id } }, body, scope ? { match: `"${scope.version}"` } : { create: true });
    });
    if (done) again();
  };
  /** @param {string} id @param {boolean} on */
  const flip = (id, on) => form.set({ line_ids: on ? [...held, id] : held.filter((l) => l !== id) });
  return part(FormOf, { form, act: scope ? w.ok.save : w.counter.addWay, quiet: Boolean(scope), submit, children: [
    part(PickField, { key: "kind", form, name: "kind", label: w.counter.scopeKind, words: w.counter.scopeKinds }),
    part(TextField, { key: "title", form, name: "title", label: w.counter.wayTitle, needed: true, most: 200 }),
    el.fieldset({ key: "lines", class: "picks tall" }, el.legend(w.counter.wayLines), all.lines.map((l) => el.label({ key: l.id, class: "pick" },
      el.input({ type: "checkbox", checked: held.includes(l.id), onChange: (event) => flip(l.id, event.currentTarget.checked) }), l.description))),
    part(AreaField, { key: "do", form, name: "what_we_do", label: w.counter.whatWeDo, hint: w.counter.whatWeDoHint, needed: true }),
    part(AreaField, { key: "unk", form, name: "stays_unknown", label: w.counter.staysUnknown, hint: w.counter.staysUnknownHint, rows: 2 }),
    row(part(TextField, { form, name: "earliest_on", label: w.counter.earliest, type: "date" }), part(TextField, { form, name: "deposit", label: w.counter.depositIn(all.shop.currency), mode: "decimal" })),
    row(part(ChoiceField, { form, name: "may_ride", label: w.counter.mayRide, words: w.counter.mayRideWords }), part(TextField, { form, name: "ride_note", label: w.counter.inWords })),
    part(TextField, { key: "war", form, name: "warranty", label: w.counter.warranty }),
    d.kind === "teardown" ? el.fieldset({ key: "terms", class: "one-of" }, el.legend(w.counter.terms), el.p({ class: "hint" }, w.counter.termsHint),
      Object.entries(w.counter.termWords).map(([name, label]) => part(TextField, { key: name, form, name, label, pointer: `/teardown_terms/${name}` }))) : null] });
}

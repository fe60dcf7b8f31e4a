// What was agreed: every answer with who gave it, how and for how much; a
// receipt to keep; and, where the customer says so, a yes taken back.
import { el, part, several, useSignal } from "../../kit/view.js";
import { AreaField, formOf, FormOf, PickField, row, TextField } from "../../kit/form.js";
import { Trouble } from "../../kit/parts.js";
import { read, readAll, send } from "../../lib/api.js";
import { keepFile } from "../../lib/files.js";
import { atCounter, gatherHead } from "./shell.js";
import { localNow, money, w, when } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

/** @param {string} id */
async function gather(id) {
  const head = await gatherHead(id);
  const [consents, check] = await Promise.all([readAll("/v1/jobs/{id}/consents", { path: { id } }), read("/v1/jobs/{id}/consent-check", { path: { id } })]);
  return { ...head, consents: consents.toReversed(), check: check.value };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} All */

export const Agreed = atCounter("agreed", gather, (all, again) => {
  return several(
    el.section(el.h2(w.counter.pages.agreed, el.span({ class: "count" }, String(all.consents.length))),
      all.consents.length === 0 ? el.p({ class: "hint" }, w.counter.nothingAgreed) : null,
      el.ul({ class: "sheet" }, all.consents.map((consent) => part(OneConsent, { key: consent.id, consent, again })))),
    part(Against, { check: all.check }));
});

/** What it comes to against what was agreed, by the rule.
 * @param {{ check: Schemas["ConsentCheck"] }} props */
export function Against({ check }) {
  return el.section(el.h2(w.counter.against),
    el.dl({ class: "facts" },
      el.dt(w.counter.agreedTo), el.dd(money(check.authorized.gross)),
      el.dt(w.counter.comesTo), el.dd(money(check.actual.gross)),
      el.dt(w.counter.most), el.dd(check.ceiling ? money(check.ceiling) : w.trouble.noData)),
    el.p(el.b(check.effective === "required" ? w.counter.askFirst : w.counter.within), ` ${check.reasons.join(" ")}`),
    el.details(el.summary(w.counter.working), el.ul({ class: "plain" }, check.working.map((line, i) => el.li({ key: i }, line))),
      el.p(`${w.counter.ruleSource} ${check.citation}`), el.p({ class: "hint" }, check.caution)));
}

/** @param {{ key: string, consent: Schemas["Consent"], again: () => void }} props */
function OneConsent({ consent: c, again }) {
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {"/v1/consents/{id}/receipt" | "/v1/consents/{id}/record.pdf"} path @param {string} name @param {string} accept */
  const keep = (path, name, accept) => {
    trouble.value = null;
    keepFile(path, { path: { id: c.id } }, { name, accept }).catch((caught) => { trouble.value = caught; });
  };
  return el.li(el.details(
    el.summary(el.span({ class: "grow" }, `${w.counter.decisionWords[c.decision]} · ${w.counter.consentKinds[c.kind]}`, el.span({ class: "hint" }, ` · ${c.typed_name} · ${when(c.said_at)}`), c.revoked_at ? el.em(` · ${w.counter.takenBack} ${when(c.revoked_at)}`) : null),
      c.decision === "agreed" ? el.b({ class: "sum" }, c.limit_amount ? `${w.counter.upToWord} ${money(c.limit_amount)}` : money(c.gross)) : null),
    el.dl({ class: "facts" },
      el.dt(w.counter.method), el.dd(`${w.counter.allMethods[c.method]}${c.contact_used ? ` · ${c.contact_used}` : ""}`),
      el.dt(w.counter.identified), el.dd(c.identified_how || w.trouble.noData), el.dt(w.counter.relation), el.dd(c.relation || w.trouble.noData),
      c.said_back ? [el.dt({ key: "bt" }, w.counter.saidBack), el.dd({ key: "bd" }, el.q(c.said_back))] : null,
      el.dt(w.counter.wording), el.dd(c.wording || c.note || w.trouble.noData), el.dt(w.counter.meaning), el.dd(c.meaning),
      el.dt(w.counter.takenBy), el.dd(c.staff_name || w.trouble.noData), el.dt(w.counter.copyTo), el.dd(c.copy_to || w.trouble.noData, c.copy_sent_at ? ` · ${when(c.copy_sent_at)}` : "")),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    el.div({ class: "acts" }, 
      el.button({ type: "button", class: "second", onClick: () => keep("/v1/consents/{id}/receipt", `benchtag-receipt-${c.id}.txt`, "text/plain") }, w.counter.receipt),
      el.button({ type: "button", class: "second", onClick: () => keep("/v1/consents/{id}/record.pdf", `answer-${c.id}.pdf`, "application/pdf") }, w.counter.recordPdf)),
    c.decision === "agreed" && !c.revoked_at ? el.details(el.summary(w.counter.takeBack), part(TakeBack, { consent: c, again })) : null));
}

/** @param {{ consent: Schemas["Consent"], again: () => void }} props */
function TakeBack({ consent, again }) {
  const form = formOf(`take back ${consent.id}`, () => ({ reason: "", method: "spoken", typed_name: "", relation: "owner", identified_how: "", contact_used: "", said_at: "", said_back: "" }));
  const d = form.draft.value;
  const submit = async () => {
    const done = await form.send(({ said_at: saidAt, ...t }, key) => send("post", "/v1/consents/{id}/revoke", { path: { id: consent.id } },
      /** @type {any} */ ({ ...t, ...(saidAt ? { said_at: new Date(saidAt).toISOString() } : {}) }), { key }));
    if (done) again();
  };
  return part(FormOf, { form, act: w.counter.takeBack, quiet: true, submit, children: [
    part(AreaField, { key: "r", form, name: "reason", label: w.counter.whyBack, needed: true, rows: 2 }),
    part(PickField, { key: "m", form, name: "method", label: w.counter.method, words: w.counter.methodWords }),
    row(part(TextField, { form, name: "typed_name", label: w.counter.spokeName, needed: true }), part(TextField, { form, name: "relation", label: w.counter.relation })),
    part(TextField, { key: "i", form, name: "identified_how", label: w.counter.identified }),
    d.method === "in_person" ? null : row(part(TextField, { form, name: "contact_used", label: w.counter.addressUsed }), part(TextField, { form, name: "said_at", label: w.counter.saidAt, type: "datetime-local" }),
      el.p({ class: "beside" }, el.button({ type: "button", class: "second", onClick: () => form.set({ said_at: localNow() }) }, w.counter.now))),
    d.method === "in_person" ? null : part(AreaField, { key: "b", form, name: "said_back", label: w.counter.saidBack, rows: 2 })] });
}

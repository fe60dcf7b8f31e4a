// The shop: how it calls itself, and which consent rule it works by, with the
// rule's source and its date.
import { el, part, several } from "../../kit/view.js";
import { amountOf, AreaField, ChoiceField, countOf, formOf, FormOf, PickField, row, TextField, TickField } from "../../kit/form.js";
import { read, send } from "../../lib/api.js";
import { atOffice } from "./shell.js";
import { dated, w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

export const Rule = atOffice("rule", async () => {
  const [shop, rules] = await Promise.all([read("/v1/shop"), read("/v1/consent-rules")]);
  return { shop: shop.value, etag: shop.etag, rules: rules.value.items };
}, (all, again) => part(Shown, { all, again }));

/** @param {{ all: { shop: Schemas["Shop"], etag: string, rules: Schemas["ConsentRuleList"]["items"] }, again: () => void }} props */
function Shown({ all: { shop, etag, rules }, again }) {
  const form = formOf(`shop ${etag}`, () => ({ name: shop.name, tax_mode: /** @type {string} */ (shop.tax_mode), rounding: shop.rounding, time_zone: shop.time_zone, consent_rule: shop.consent_rule, one_person: shop.one_person, phone: shop.phone, address: shop.address,
    email: shop.email, registration: shop.registration, caution: shop.caution, own_kind: /** @type {string} */ (shop.own_rule?.kind ?? "lesser"), own_pct: shop.own_rule?.pct_bp === undefined ? "10" : String(shop.own_rule.pct_bp / 100), own_abs: shop.own_rule?.abs?.amount ?? "", own_cap: shop.own_rule?.cap?.amount ?? "" }));
  const d = form.draft.value;
  const submit = async () => {
    const done = await form.send(async ({ own_kind: kind, own_pct: pct, own_abs: abs, own_cap: cap, ...t }) => {
      const own = t.consent_rule === "own" ? { kind: /** @type {any} */ (kind), pct_bp: countOf(pct, "/own_rule/pct_bp", 0) * 100, abs: amountOf(abs, shop.currency, "/own_rule/abs"), cap: amountOf(cap, shop.currency, "/own_rule/cap"), at_equal: shop.own_rule?.at_equal ?? false } : null;
      await send("put", "/v1/shop", {}, { ...t, tax_mode: /** @type {any} */ (t.tax_mode), own_rule: own }, { match: etag });
    });
    if (done) again();
  };
  const chosen = rules.find((r) => r.id === (d.consent_rule || "STRICT"));
  return part(FormOf, { form, act: w.ok.save, submit, children: [
    el.section({ key: "rule" }, el.h2(w.office.consentRule), el.p({ class: "hint" }, w.office.consentRuleHint),
      part(ChoiceField, { form, name: "consent_rule", label: w.office.whichRule, none: w.office.strict, words: { ...Object.fromEntries(rules.filter((r) => r.id !== "STRICT").map((r) => [r.id, r.name])), own: w.office.ownRule } }),
      d.consent_rule === "own" ? several(part(PickField, { form, name: "own_kind", label: w.office.ownKind, words: w.office.ownKinds }),
        row(part(TextField, { form, name: "own_pct", label: w.office.ownPct, mode: "numeric", pointer: "/own_rule/pct_bp" }), part(TextField, { form, name: "own_abs", label: w.office.ownAbs(shop.currency), mode: "decimal", pointer: "/own_rule/abs" }), part(TextField, { form, name: "own_cap", label: w.office.ownCap(shop.currency), mode: "decimal", pointer: "/own_rule/cap" }))) : null,
      chosen ? el.dl({ class: "facts" }, el.dt(w.office.source), el.dd(chosen.citation), el.dt(w.counter.ruleRead), el.dd(dated(chosen.retrieved)), el.dt(w.office.checkedBy), el.dd(chosen.checked_on ? dated(chosen.checked_on) : w.counter.never),
        el.dt(w.office.mustTell), el.dd(list(chosen.teardown_terms)), el.dt(w.office.mustRecord), el.dd(list(chosen.record_fields)), el.dt(w.office.caution), el.dd(chosen.caution)) : null),
    el.section({ key: "shop" }, el.h2(w.office.shop),
      row(part(TextField, { form, name: "name", label: w.office.shopName, needed: true }), part(TextField, { form, name: "phone", label: w.counter.phone }), part(TextField, { form, name: "email", label: w.counter.email })),
      row(part(TextField, { form, name: "address", label: w.office.address }), part(TextField, { form, name: "registration", label: w.office.registration })),
      row(part(PickField, { form, name: "tax_mode", label: w.office.prices, words: w.office.taxModes }), part(TextField, { form, name: "time_zone", label: w.office.timeZone, hint: w.office.timeZoneHint })),
      part(TickField, { form, name: "one_person", label: w.office.onePerson, hint: w.office.onePersonHint }),
      part(AreaField, { form, name: "caution", label: w.office.ownCaution, rows: 2 }))] });
}

/** @param {string[]} names */
const list = (names) => (names.length === 0 ? w.office.nothing : names.map((n) => n.replaceAll("_", " ")).join(", "));

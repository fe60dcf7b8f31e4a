// Taking an answer that was spoken: the words to read out, then every field
// that the record must hold. What is missing is said at its field.
import { el, part, several, useEffect, useSignal } from "../../kit/view.js";
import { amountOf, AreaField, formOf, FormOf, PickField, refuse, row, TextField, TickField } from "../../kit/form.js";
import { Trouble } from "../../kit/parts.js";
import { read, send } from "../../lib/api.js";
import { localNow, w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */
/** @typedef {{ customer: Schemas["Customer"], job: Schemas["Job"], order: Schemas["WorkOrder"], shop: Schemas["Shop"] }} All */

/** The fields of any answer. @param {All} all */
const asked = (all) => ({ method: "spoken", typed_name: "", relation: "owner", identified_how: "", contact_used: all.customer.phone, said_at: "", said_back: "", copy_to: all.customer.email, note: "" });

/** What of the form goes into the record. A name left empty goes as a blank, so
 * that the server names everything that is missing at once. @param {ReturnType<typeof asked>} t */
const record = (t) => ({ method: /** @type {any} */ (t.method), typed_name: t.typed_name.trim() || " ", relation: t.relation.trim(), identified_how: t.identified_how.trim(), contact_used: t.method === "in_person" ? "" : t.contact_used.trim(),
  ...(t.said_at ? { said_at: new Date(t.said_at).toISOString() } : {}), said_back: t.said_back, copy_to: t.copy_to.trim(), note: t.note, device_time: new Date().toString().slice(0, 60) });

/** @param {{ form: import("../../kit/form.js").Form<any> }} props */
function WhoSpoke({ form }) {
  const { method } = form.draft.value;
  return several(
    row(part(TextField, { form, name: "typed_name", label: w.counter.spokeName, hint: w.counter.spokeNameHint }),
      part(TextField, { form, name: "relation", label: w.counter.relation, hint: w.counter.relationHint })),
    part(TextField, { form, name: "identified_how", label: w.counter.identified, hint: w.counter.identifiedHint }),
    row(method === "in_person" ? null : part(TextField, { form, name: "contact_used", label: method === "spoken" ? w.counter.numberCalled : w.counter.addressUsed, mode: method === "spoken" ? "tel" : "text" }),
      part(TextField, { form, name: "said_at", label: w.counter.saidAt, type: "datetime-local", hint: method === "in_person" ? w.counter.saidAtNow : undefined }),
      el.p({ class: "beside" }, el.button({ type: "button", class: "second", onClick: () => form.set({ said_at: localNow() }) }, w.counter.now))),
    method === "in_person" ? null : part(AreaField, { form, name: "said_back", label: method === "spoken" ? w.counter.saidBack : w.counter.wrote, hint: method === "spoken" ? w.counter.saidBackHint : w.counter.wroteHint, rows: 3 }));
}

/** @param {{ all: All, offer: Schemas["Offer"], ways: Schemas["Scope"][], again: () => void }} props */
export function TakeAnswer({ all, offer, ways, again }) {
  const form = formOf(`answer ${offer.id}`, () => ({ ...asked(all), decision: "", scope_id: ways.length === 1 ? ways[0]?.id ?? "" : "", shown_as: "screen", ready_on: "", day_stands: false, electronic_agreed: false }));
  const d = form.draft.value;
  const script = useSignal(/** @type {Schemas["OfferScript"] | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  const load = () => { trouble.value = null; read("/v1/offers/{id}/script", { path: { id: offer.id } }).then((a) => { script.value = a.value; }, (caught) => { trouble.value = caught; }); };
  useEffect(load, [offer.id]);
  const how = d.method === "spoken" ? "read_out" : d.method === "message" ? "message" : d.shown_as;
  const submit = async () => {
    const done = await form.send(async (t, key) => {
      if (!t.decision) throw refuse("/decision", w.counter.decisionMissing);
      if (t.decision === "agreed" && !t.scope_id) throw refuse("/scope_id", w.counter.wayMissing);
      await send("post", "/v1/jobs/{id}/consents", { path: { id: all.job.id } }, { ...record(t), offer_id: offer.id, scope_id: t.decision === "agreed" ? t.scope_id : null, kind: offer.kind, decision: /** @type {any} */ (t.decision),
        shown_sha256: offer.sha256, shown_as: /** @type {any} */ (how), read_out_sha256: how === "read_out" ? script.value?.sha256 ?? "" : "", ready_on: t.ready_on || null, day_stands: t.day_stands,
        electronic_agreed: (how === "screen" || how === "message") && t.electronic_agreed }, { key });
    });
    if (done) again();
  };
  return part(FormOf, { form, act: w.counter.recordAnswer, submit, children: [
    part(PickField, { key: "m", form, name: "method", label: w.counter.method, words: w.counter.methodWords }),
    d.method === "in_person" ? part(PickField, { key: "sh", form, name: "shown_as", label: w.counter.shownAs, words: w.counter.shownWords }) : null,
    how === "read_out" ? el.div({ key: "script", class: "script", tabIndex: 0, role: "region", "aria-label": w.counter.script },
      trouble.value ? part(Trouble, { trouble: trouble.value, again: load }) : null, (script.value?.text ?? "").split("\n").map((line, i) => el.p({ key: i, class: /^[A-Z]{4,}/.test(line) ? "cue" : "" }, line))) : null,
    part(PickField, { key: "d", form, name: "decision", label: w.counter.decision, words: w.counter.decisionWords }),
    d.decision === "agreed" && ways.length > 1 ? part(PickField, { key: "w", form, name: "scope_id", label: w.counter.which, words: Object.fromEntries(ways.map((s) => [s.id, s.title])) }) : null,
    part(WhoSpoke, { key: "who", form }),
    how === "screen" || how === "message" ? part(TickField, { key: "e", form, name: "electronic_agreed", label: w.counter.electronic, hint: w.counter.electronicHint }) : null,
    d.decision === "declined" ? null : row(part(TextField, { form, name: "ready_on", label: w.counter.readyOn, hint: w.counter.readyOnHint, type: "date" }),
      all.order.promised_on ? part(TickField, { form, name: "day_stands", label: w.counter.dayStands }) : null),
    row(part(TextField, { form, name: "copy_to", label: w.counter.copyTo, hint: w.counter.copyToHint }), part(TextField, { form, name: "note", label: w.counter.remark }))] });
}

/** A "yes, up to" without an offer, as at drop-off.
 * @param {{ all: All, again: () => void }} props */
export function UpTo({ all, again }) {
  const form = formOf(`up to ${all.job.id}`, () => ({ ...asked(all), method: "in_person", kind: "drop_off", limit: "", ready_on: "" }));
  const submit = async () => {
    const done = await form.send(async (t, key) => {
      const limit = amountOf(t.limit, all.shop.currency, "/limit_amount");
      if (!limit) throw refuse("/limit_amount", w.ok.amountUnclear);
      await send("post", "/v1/jobs/{id}/consents", { path: { id: all.job.id } }, { ...record(t), kind: /** @type {any} */ (t.kind), decision: "agreed", limit_amount: limit, ready_on: t.ready_on || null }, { key });
    });
    if (done) again();
  };
  return part(FormOf, { form, act: w.counter.recordAnswer, quiet: true, submit, children: [
    part(PickField, { key: "k", form, name: "kind", label: w.counter.upToFor, words: w.counter.upToKinds }),
    row(part(TextField, { form, name: "limit", label: w.counter.upToAmount(all.shop.currency), hint: w.counter.upToAmountHint, mode: "decimal", pointer: "/limit_amount" }),
      part(TextField, { form, name: "note", label: w.counter.upToWork, hint: w.counter.upToWorkHint })),
    part(PickField, { key: "m", form, name: "method", label: w.counter.method, words: w.counter.methodWords }),
    part(WhoSpoke, { key: "who", form }),
    row(part(TextField, { form, name: "ready_on", label: w.counter.readyOn, type: "date" }), part(TextField, { form, name: "copy_to", label: w.counter.copyTo, hint: w.counter.copyToHint }))] });
}

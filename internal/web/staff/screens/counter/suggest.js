// Ways forward out of the findings: what is renewed, opening up and closing
// once, and what stays unseen. They are proposals like any others.
import { el, part, useSignal } from "../../kit/view.js";
import { amountOf, ChoiceField, formOf, FormOf, row } from "../../kit/form.js";
import { send } from "../../lib/api.js";
import { w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */
/** @typedef {{ part: string, name: string, price: string, arrives: string, possible: boolean }} Priced */

/** @param {{ all: import("./ways.js").All, again: () => void }} props */
export function Suggest({ all, again }) {
  const made = useSignal(/** @type {Schemas["WaysMade"] | null} */ (null));
  const renewed = all.findings.filter((f) => f.advised === "replace");
  const form = formOf(`suggest ${all.job.id}`, () => ({ rate: all.rates[0]?.id ?? "",
    prices: /** @type {Priced[]} */ (renewed.map((f) => ({ part: f.component, name: f.name || f.component, price: "", arrives: "", possible: false }))) }));
  if (!all.job.layout_id || all.findings.length === 0) return null;
  const d = form.draft.value;
  const submit = async () => {
    const done = await form.send(async (t, key) => {
      const prices = t.prices.flatMap((p, i) => {
        const price = amountOf(p.price, all.shop.currency, `/prices/${i}/unit_price`);
        return price && p.part.trim() ? [{ part: p.part.trim(), unit_price: price, arrives_on: p.arrives || null, possible: p.possible, ceiling: p.possible ? price : null }] : [];
      });
      made.value = (await send("post", "/v1/jobs/{id}/ways", { path: { id: all.job.id } }, { labour_rate_id: t.rate, prices }, { key })).value;
    });
    if (done) again();
  };
  /** @param {number} at @param {Partial<Priced>} change */
  const change = (at, change) => form.set({ prices: d.prices.map((p, i) => (i === at ? { ...p, ...change } : p)) });
  return el.section(el.h2(w.counter.suggest), el.p({ class: "hint" }, w.counter.suggestHint),
    made.value ? el.div({ class: "notice", role: "status" }, el.p(w.counter.suggested(made.value.lines.length, made.value.scopes.length)),
      made.value.prices_missing.length > 0 ? el.p(`${w.counter.pricesMissing} ${made.value.prices_missing.join(", ")}`) : null,
      made.value.warnings.map((text, i) => el.p({ key: i, class: "caution" }, text)),
      el.details(el.summary(w.counter.working), el.ul({ class: "plain" }, made.value.working.map((line, i) => el.li({ key: i }, line))))) : null,
    el.details(el.summary(w.counter.suggestOpen),
      part(FormOf, { form, act: w.counter.suggestAct, quiet: true, submit, children: [
        part(ChoiceField, { key: "rate", form, name: "rate", label: w.counter.rate, words: Object.fromEntries(all.rates.map((r) => [r.id, r.name])), pointer: "/labour_rate_id" }),
        d.prices.map((p, i) => el.fieldset({ key: i, class: "one-of" }, el.legend(p.name || w.counter.anotherPart),
          row(p.name ? null : plain(`part-${i}`, w.counter.partName, p.part, (text) => change(i, { part: text })),
            plain(`price-${i}`, w.counter.each(all.shop.currency), p.price, (text) => change(i, { price: text }), "decimal"),
            plain(`arrives-${i}`, w.counter.arrives, p.arrives, (text) => change(i, { arrives: text }), "text", "date")),
          el.label({ class: "pick" }, el.input({ type: "checkbox", checked: p.possible, onChange: (event) => change(i, { possible: event.currentTarget.checked }) }), w.counter.onlyIfFound))),
        el.p({ key: "more" }, el.button({ type: "button", class: "second", onClick: () => form.set({ prices: [...d.prices, { part: "", name: "", price: "", arrives: "", possible: false }] }) }, w.counter.anotherPart))] })));
}

/** @param {string} id @param {string} label @param {string} value @param {(text: string) => void} put */
function plain(id, label, value, put, mode = "text", type = "text") {
  return el.div({ class: "field" }, el.label({ for: id }, label), el.input({ id, type, inputMode: /** @type {any} */ (mode), maxLength: 200, value, onInput: (/** @type {any} */ event) => put(event.currentTarget.value) }));
}

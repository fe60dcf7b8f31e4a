// Parts of one job: ordered, promised, arrived, and what they cost then and now.
import { el, part, several } from "../../kit/view.js";
import { amountOf, ChoiceField, formOf, FormOf, row, TextField, thousandthsOf } from "../../kit/form.js";
import { StrikeIt } from "../../kit/strike.js";
import { read, readAll, send } from "../../lib/api.js";
import { newId } from "../../lib/ids.js";
import { atCounter, gatherHead } from "./shell.js";
import { standing } from "../../lib/standing.js";
import { day, money, today, w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

/** @param {string} id */
async function gather(id) {
  const head = await gatherHead(id);
  const of = { path: { job_id: id } };
  const [orders, lines, shop] = await Promise.all([readAll("/v1/jobs/{job_id}/part-orders", of), readAll("/v1/jobs/{job_id}/lines", of), read("/v1/shop")]);
  return { ...head, orders: standing(orders), lines: standing(lines).filter((l) => l.kind === "part"), currency: shop.value.currency };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} All */

export const Parts = atCounter("parts", gather, (all, again) => {
  const bare = all.lines.filter((l) => !all.orders.some((o) => o.line_id === l.id));
  return several(
    el.section(el.h2(w.counter.pages.parts, el.span({ class: "count" }, String(all.orders.length))),
      all.orders.length === 0 ? el.p({ class: "hint" }, w.counter.noParts) : null,
      el.ul({ class: "sheet" }, all.orders.map((order) => part(OneOrder, { key: order.id, all, order, again }))),
      el.details(el.summary(w.counter.orderPart), part(OrderForm, { all, again }))),
    bare.length > 0 ? el.section(el.h2(w.counter.notOrdered), el.ul({ class: "plain" }, bare.map((l) => el.li({ key: l.id }, l.description, l.part_number ? ` · ${l.part_number}` : "")))) : null);
});

/** @param {Schemas["PartOrder"]} o */
function state(o) {
  if (o.arrived_on) return `${w.counter.arrived} ${day(o.arrived_on)}`;
  if (o.promised_on) return `${w.counter.promisedFor} ${day(o.promised_on)}${o.promised_on < today(new Date()) ? ` – ${w.floor.late}` : ""}`;
  return o.ordered_on ? `${w.counter.ordered} ${day(o.ordered_on)}` : w.counter.notYetOrdered;
}

/** @param {{ key: string, all: All, order: Schemas["PartOrder"], again: () => void }} props */
function OneOrder({ all, order, again }) {
  return el.li(el.details(
    el.summary(el.span({ class: "grow" }, order.description, el.span({ class: "hint" }, [order.part_number, order.supplier].filter(Boolean).map((t) => ` · ${t}`).join(""))), el.b({ class: "sum" }, state(order))),
    order.price_then && order.price_now && order.price_then.amount !== order.price_now.amount ? el.p(`${w.counter.priceThen} ${money(order.price_then)} · ${w.counter.priceNow} ${money(order.price_now)}`) : null,
    order.superseded_by ? el.p(`${w.counter.superseded} ${order.superseded_by}`) : null,
    part(OrderForm, { all, order, again }),
    part(StrikeIt, { path: "/v1/jobs/{job_id}/part-orders/{id}/strike", job: all.job.id, id: order.id, again })));
}

/** @param {{ all: All, order?: Schemas["PartOrder"], again: () => void }} props */
function OrderForm({ all, order: o, again }) {
  const form = formOf(o ? `part ${o.id} ${o.version}` : `part new ${all.job.id}`, () => ({ id: o?.id ?? newId(), line_id: o?.line_id ?? "", description: o?.description ?? "", part_number: o?.part_number ?? "", supplier: o?.supplier ?? "",
    quantity: o ? String(o.quantity_milli / 1000) : "1", ordered_on: o?.ordered_on ?? (o ? "" : today(new Date())), promised_on: o?.promised_on ?? "", arrived_on: o?.arrived_on ?? "", price_then: o?.price_then?.amount ?? "", price_now: o?.price_now?.amount ?? "", superseded_by: o?.superseded_by ?? "" }));
  const submit = async () => {
    const done = await form.send(async (t) => {
      const { id, quantity, ...rest } = t;
      const line = all.lines.find((l) => l.id === t.line_id);
      await send("put", "/v1/jobs/{job_id}/part-orders/{id}", { path: { job_id: all.job.id, id } }, { ...rest, description: t.description.trim() || line?.description || "", part_number: t.part_number || line?.part_number || "",
        line_id: t.line_id || null, quantity_milli: thousandthsOf(quantity, "/quantity_milli"), ordered_on: t.ordered_on || null, promised_on: t.promised_on || null, arrived_on: t.arrived_on || null,
        price_then: amountOf(t.price_then, all.currency, "/price_then"), price_now: amountOf(t.price_now, all.currency, "/price_now") }, o ? { match: `"${o.version}"` } : { create: true });
    });
    if (done) again();
  };
  return part(FormOf, { form, act: w.ok.save, quiet: Boolean(o), submit, children: [
    part(ChoiceField, { key: "l", form, name: "line_id", label: w.counter.forLine, none: w.finding.nothing, words: Object.fromEntries(all.lines.map((l) => [l.id, l.description])) }),
    row(part(TextField, { form, name: "description", label: w.counter.partName }), part(TextField, { form, name: "part_number", label: w.counter.partNumber }), part(TextField, { form, name: "supplier", label: w.counter.supplier })),
    row(part(TextField, { form, name: "quantity", label: w.counter.quantity, mode: "decimal", pointer: "/quantity_milli" }), part(TextField, { form, name: "ordered_on", label: w.counter.ordered, type: "date" }),
      part(TextField, { form, name: "promised_on", label: w.counter.promisedFor, type: "date" }), part(TextField, { form, name: "arrived_on", label: w.counter.arrived, type: "date" })),
    row(part(TextField, { form, name: "price_then", label: w.counter.priceThen, mode: "decimal" }), part(TextField, { form, name: "price_now", label: w.counter.priceNow, mode: "decimal" }), part(TextField, { form, name: "superseded_by", label: w.counter.superseded }))] });
}

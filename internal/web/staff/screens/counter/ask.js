// Ask the customer: make the question of ways forward, send a link, or take
// the answer by phone or in the shop with every field that the rule asks for.
import { el, part, several, useSignal } from "../../kit/view.js";
import { formOf, FormOf, TextField } from "../../kit/form.js";
import { Trouble } from "../../kit/parts.js";
import { read, readAll, send } from "../../lib/api.js";
import { at } from "../../lib/place.js";
import { atCounter, gatherHead } from "./shell.js";
import { standing } from "../../lib/standing.js";
import { dated, day, later, today, w, when } from "../../words/words.js";
import { TakeAnswer, UpTo } from "./answer.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

/** @param {string} id */
async function gather(id) {
  const head = await gatherHead(id);
  const path = { id };
  const [scopes, offers, consents, messaging, shop, rules] = await Promise.all([
    readAll("/v1/jobs/{job_id}/scopes", { path: { job_id: id } }), readAll("/v1/jobs/{id}/offers", { path }), readAll("/v1/jobs/{id}/consents", { path }),
    read("/v1/messaging"), read("/v1/shop"), read("/v1/consent-rules")]);
  return { ...head, scopes: standing(scopes), offers: offers.toReversed(), consents, messaging: messaging.value, shop: shop.value,
    rule: rules.value.items.find((r) => r.id === (shop.value.consent_rule || "STRICT")) };
}

/** @typedef {Awaited<ReturnType<typeof gather>>} All */
/** @typedef {{ all: All, again: () => void }} Props */

export const Ask = atCounter("ask", gather, (all, again) => part(Shown, { all, again }));

/** @param {Props} props */
function Shown({ all, again }) {
  const open = all.offers.filter((o) => o.state === "open");
  return several(
    open.map((offer) => part(OpenOffer, { key: offer.id, all, offer, again })),
    el.section(el.h2(w.counter.makeOffer), part(MakeOffer, { all, again })),
    el.section(el.h2(w.counter.upTo), el.p({ class: "hint" }, w.counter.upToHint),
      el.details(el.summary(w.counter.upToOpen), part(UpTo, { all, again }))),
    part(Rule, { rule: all.rule }),
    all.offers.length > open.length ? el.section(el.h2(w.counter.asked), el.ul({ class: "rows" }, all.offers.filter((o) => o.state !== "open").map((o) => el.li({ key: o.id },
      el.span(`${w.counter.offer(o.number)} · ${w.counter.scopeKinds[o.kind]}`), el.span({ class: "hint" }, `${w.counter.offerStates[o.state]} · ${when(o.asked_at)}`))))) : null);
}

/** Which rule asks for what, since when it says so. @param {{ rule: Schemas["ConsentRuleList"]["items"][number] | undefined }} props */
function Rule({ rule }) {
  if (!rule) return null;
  return el.section(el.details(el.summary(el.span({ class: "grow" }, w.counter.rule(rule.name))),
    el.p(`${w.counter.ruleSource} ${rule.citation}`), el.p(`${w.counter.ruleRead} ${dated(rule.retrieved)} · ${w.counter.ruleChecked} ${rule.checked_on ? dated(rule.checked_on) : w.counter.never}`),
    el.p({ class: "hint" }, rule.caution)));
}

/** @param {Props} props */
function MakeOffer({ all, again }) {
  const form = formOf(`offer ${all.job.id}`, () => ({ scopes: /** @type {string[] | null} */ (null), price_until: later(today(new Date()), 7) }));
  const chosen = form.draft.value.scopes ?? (all.scopes.length === 1 ? all.scopes.map((s) => s.id) : []);
  if (all.scopes.length === 0) return el.p(w.counter.noWays, " ", el.a({ class: "onward", href: at(`/jobs/${all.job.id}/counter/ways`) }, w.counter.toWays));
  const submit = async () => {
    const done = await form.send((t, key) => send("post", "/v1/jobs/{id}/offers", { path: { id: all.job.id } }, { scope_ids: chosen, price_until: t.price_until }, { key }));
    if (done) again();
  };
  const wrong = chosen.map((_, i) => form.wrong(`/scope_ids/${i}`)).find(Boolean) ?? form.wrong("/scope_ids");
  return part(FormOf, { form, act: w.counter.makeOfferAct, quiet: all.offers.some((o) => o.state === "open"), submit, children: [
    el.fieldset({ key: "s", class: "picks tall" }, el.legend(w.counter.offerWays), wrong ? el.p({ class: "wrong" }, wrong) : null, all.scopes.map((s) => el.label({ key: s.id, class: "pick" },
      el.input({ type: "checkbox", checked: chosen.includes(s.id), "aria-invalid": wrong ? "true" : undefined, onChange: (event) => form.set({ scopes: event.currentTarget.checked ? [...chosen, s.id] : chosen.filter((o) => o !== s.id) }) }),
      `${s.title} · ${w.counter.scopeKinds[s.kind]}`))),
    part(TextField, { key: "p", form, name: "price_until", label: w.counter.priceUntil, type: "date", needed: true })] });
}

/** @param {{ key: string, all: All, offer: Schemas["Offer"], again: () => void }} props */
function OpenOffer({ all, offer, again }) {
  const ways = all.scopes.filter((s) => offer.scope_ids.includes(s.id));
  return el.section({ class: "notice" }, el.h2(`${w.counter.offer(offer.number)} · ${w.counter.scopeKinds[offer.kind]}`),
    el.p({ class: "hint" }, `${w.counter.askedAt} ${when(offer.asked_at)}`, offer.price_until ? ` · ${w.counter.priceUntil} ${day(offer.price_until)}` : ""),
    offer.new_findings ? el.p({ class: "caution" }, w.counter.newFindings) : null,
    el.ul({ class: "plain" }, ways.map((s) => el.li({ key: s.id }, s.title))),
    part(Links, { all, offer }),
    el.details(el.summary(w.counter.takeAnswer), part(TakeAnswer, { all, offer, ways, again })),
    part(Withdraw, { offer, again }));
}

/** @param {{ all: All, offer: Schemas["Offer"] }} props */
function Links({ all, offer }) {
  const made = useSignal(/** @type {Schemas["OfferLinkMade"] | null} */ (null));
  const sent = useSignal("");
  const form = formOf(`link ${offer.id}`, () => ({ hours: "48" }));
  /** @param {"" | "email" | "text"} by */
  const make = async (by) => {
    made.value = null;
    sent.value = "";
    await form.send(async (t, key) => {
      made.value = (await send("post", "/v1/offers/{id}/links", { path: { id: offer.id } }, { decide_hours: Number(t.hours) || 48, send: by ? { by } : null }, { key: `${key}${by}` })).value;
      sent.value = by;
    });
  };
  const { messaging, customer } = all;
  return several(
    el.h3(w.counter.sendLink),
    el.p({ class: "hint" }, w.counter.sendLinkHint),
    form.trouble.value ? part(Trouble, { trouble: form.trouble.value }) : null,
    made.value ? part(Link, { made: made.value, sent: sent.value }) : null,
    el.div({ class: "short" }, part(TextField, { form, name: "hours", label: w.counter.linkHours, mode: "numeric", most: 2, pointer: "/decide_hours" })),
    el.div({ class: "acts" },
      messaging.mail && customer.email ? el.button({ type: "button", disabled: form.busy.value, onClick: () => make("email") }, w.counter.byMail(customer.email)) : null,
      messaging.texts && customer.phone ? el.button({ type: "button", disabled: form.busy.value, onClick: () => make("text") }, w.counter.byText(customer.phone)) : null,
      el.button({ type: "button", class: messaging.mail && customer.email ? "second" : "", disabled: form.busy.value, onClick: () => make("") }, w.counter.linkAlone)),
    messaging.mail ? null : el.p({ class: "hint" }, w.counter.noMail));
}

/** The link, shown once. @param {{ made: Schemas["OfferLinkMade"], sent: string }} props */
function Link({ made, sent }) {
  const copied = useSignal(false);
  const copy = () => navigator.clipboard?.writeText(made.url).then(() => { copied.value = true; }, () => {});
  return el.div({ class: "once", role: "status" },
    el.p(el.b(sent ? w.counter.linkSent : w.counter.linkMade), ` ${w.counter.linkUntil} ${when(made.link.decide_until)}`),
    el.div({ class: "field" }, el.label({ for: `link-${made.link.id}` }, w.counter.link), el.p({ id: `link-${made.link.id}-hint`, class: "hint" }, w.counter.linkOnce),
      el.div({ class: "with-button" }, el.input({ id: `link-${made.link.id}`, readOnly: true, value: made.url, "aria-describedby": `link-${made.link.id}-hint`, onFocus: (event) => event.currentTarget.select() }),
        navigator.clipboard ? el.button({ type: "button", class: "second", onClick: copy }, copied.value ? w.counter.copied : w.counter.copy) : null)));
}

/** @param {{ offer: Schemas["Offer"], again: () => void }} props */
function Withdraw({ offer, again }) {
  const form = formOf(`withdraw ${offer.id}`, () => ({ reason: "" }));
  const submit = async () => {
    const done = await form.send((t, key) => send("post", "/v1/offers/{id}/withdraw", { path: { id: offer.id } }, { reason: t.reason }, { key }));
    if (done) again();
  };
  return el.details(el.summary(w.counter.withdrawOffer), part(FormOf, { form, act: w.counter.withdrawOffer, quiet: true, submit, children: part(TextField, { form, name: "reason", label: w.ok.because, needed: true }) }));
}

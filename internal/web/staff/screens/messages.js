// Messages out: what went, what waits, what is stuck, and a person's decision
// about those of which nobody can tell whether they went.
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { formOf, FormOf, Refused, TextField } from "../kit/form.js";
import { Read } from "../kit/parts.js";
import { read, send } from "../lib/api.js";
import { loading } from "../lib/loading.js";
import { at } from "../lib/place.js";
import { w, when } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {{ messaging: Schemas["Messaging"], stuck: Schemas["Message"][], others: Schemas["Message"][] }} All */

/** States in which a person has to decide. @type {Schemas["Message"]["state"][]} */
const stuckStates = ["failed", "uncertain", "not_set_up"];

/** @returns {Promise<All>} */
async function gather() {
  const [messaging, recent, ...stuck] = await Promise.all([read("/v1/messaging"), read("/v1/outbox", { query: { limit: 50 } }),
    ...stuckStates.map((state) => read("/v1/outbox", { query: { state, limit: 100 } }))]);
  return { messaging: messaging.value, stuck: stuck.flatMap((s) => s.value.items), others: recent.value.items.filter((m) => !stuckStates.includes(m.state)) };
}

export function Messages() {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<All>>} */ (held.value);
  const again = () => load(gather, { keep: true });
  useEffect(() => { load(gather); }, []);
  return el.main({ class: "counter" }, el.h1(w.messages.title), part(Read, { loaded: shown.value, again, show: (/** @type {All} */ all) => several(
    el.p({ class: "hint" }, [all.messaging.mail ? w.messages.mail : w.messages.noMail, all.messaging.texts ? w.messages.texts : w.messages.noTexts].join(" ")),
    el.section(el.h2(w.messages.stuck, el.span({ class: "count" }, String(all.stuck.length))),
      all.stuck.length === 0 ? el.p({ class: "hint" }, w.messages.noneStuck) : el.ul({ class: "sheet stuck" }, all.stuck.map((m) => part(Stuck, { key: `${m.id} ${m.version}`, message: m, again })))),
    el.section(el.h2(w.messages.others), all.others.length === 0 ? el.p({ class: "hint" }, w.messages.none)
      : el.ul({ class: "rows" }, all.others.map((m) => el.li({ key: m.id }, el.span(part(About, { message: m })), el.span({ class: "hint" }, `${w.messages.states[m.state]} · ${when(m.state_since)}`)))))) }));
}

/** @param {{ message: Schemas["Message"] }} props */
function About({ message: m }) {
  const words = `${w.messages.kinds[m.kind]} · ${w.messages.ways[m.way]}`;
  return m.job_id ? el.a({ href: at(`/jobs/${m.job_id}/counter`) }, words) : el.span(words);
}

/** @param {{ key: string, message: Schemas["Message"], again: () => void }} props */
function Stuck({ message: m, again }) {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const form = formOf(`give up ${m.id}`, () => ({ reason: "" }));
  const retry = () => send("post", "/v1/outbox/{id}/retry", { path: { id: m.id } }, undefined).then(again, (caught) => { trouble.value = caught; });
  const giveUp = async () => {
    const done = await form.send((t, key) => send("post", "/v1/outbox/{id}/give-up", { path: { id: m.id } }, { reason: t.reason }, { key }));
    if (done) again();
  };
  return el.li(
    el.p({ class: "stuck-head" }, part(About, { message: m }), el.b(w.messages.states[m.state]), el.span({ class: "hint" }, when(m.state_since))),
    el.p(w.messages.meaning[/** @type {keyof typeof w.messages.meaning} */ (m.state)] ?? ""),
    m.last_error ? el.p({ class: "hint" }, m.last_error) : null,
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.div({ class: "acts" }, el.button({ type: "button", class: "second", onClick: retry }, w.messages.again)),
    el.details(el.summary(w.messages.giveUp), part(FormOf, { form, act: w.messages.giveUp, quiet: true, submit: giveUp, children: part(TextField, { form, name: "reason", label: w.ok.because, needed: true }) })));
}

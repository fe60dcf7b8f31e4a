// Intake: a machine comes in. Who brings it, which machine, what they say, in
// what state it stands: one page, one act. What is stored in several steps
// goes on where it stopped, so that a try again doubles nothing.
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { amountOf, AreaField, ChoiceField, countOf, formOf, FormOf, PickField, refuse, row, TextField, useKept } from "../kit/form.js";
import { Trouble } from "../kit/parts.js";
import { newId } from "../lib/ids.js";
import { Problem, read, readAll, send } from "../lib/api.js";
import { go } from "../lib/place.js";
import { FactFields } from "./counter/said.js";
import { w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {{ id: string, words: string, symptom: string, place: string, circumstances: string, since: string, how_often: string }} Said */
/** @typedef {{ body: string, value: any, etag: string }} Stored */

/** @returns {Said} */
const nothingSaid = () => ({ id: newId(), words: "", symptom: "", place: "", circumstances: "", since: "", how_often: "" });

const empty = () => ({
  known: /** @type {{ customer: Schemas["Customer"], machine: Schemas["Machine"] | null } | null} */ (null),
  name: "", phone: "", email: "", contact_by: "phone",
  make: "", model: "", year: "", plate: "", vin: "", layout_id: "",
  kind: "complaint", title: "", said: [nothingSaid()],
  odometer: "", odometer_not_readable: "", keys: "1", fuel: "", luggage: "", damage: "", leave_to_ride: "not_known", old_parts: "not_said", intent: "not_said", call_above: "",
  channel: "walk_in", bay_id: "", promised_on: "",
  stored: /** @type {Record<string, Stored>} */ ({}),
  tried: /** @type {Record<string, string>} */ ({}),
});

/** @typedef {ReturnType<typeof empty>} Draft */

export function Intake() {
  const form = formOf("intake", empty);
  useKept(() => Boolean(form.draft.value.name || form.draft.value.make || form.draft.value.known || form.draft.value.said.some((s) => s.words)));
  const lists = useSignal(/** @type {{ maps: Schemas["KeptMap"][], bays: Schemas["Bay"][], currency: string } | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  useEffect(() => {
    Promise.all([readAll("/v1/machine-maps"), readAll("/v1/bays"), read("/v1/shop")]).then(
      ([maps, bays, shop]) => { lists.value = { maps: newest(maps), bays: bays.filter((b) => !b.retired), currency: shop.value.currency }; },
      (caught) => { trouble.value = caught; });
  }, []);
  const d = form.draft.value;
  const currency = lists.value?.currency ?? "";
  async function submit() {
    let job = "";
    const done = await form.send(async () => { job = await store(form, currency); });
    if (done) go(`/jobs/${job}/counter`);
  }
  return el.main({ class: "counter" },
    el.h1(w.counter.intake),
    el.p({ class: "hint" }, w.counter.intakeHint),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    d.known ? null : part(Known, { form }),
    part(FormOf, { form, act: w.counter.open, submit, leave: () => form.clear(), leaveWord: w.counter.startOver, children: [
      el.section({ key: "who" }, el.h2(w.counter.who), part(Who, { form })),
      el.section({ key: "what" }, el.h2(w.counter.machine), part(Which, { form, maps: lists.value?.maps ?? [] })),
      el.section({ key: "said" }, el.h2(w.counter.said), part(Says, { form })),
      el.section({ key: "state" }, el.h2(w.counter.comesIn), part(ComesIn, { form, bays: lists.value?.bays ?? [], currency })),
    ] }));
}

/** The newest edition of each machine map. @param {Schemas["KeptMap"][]} maps */
function newest(maps) {
  return maps.filter((m) => !maps.some((o) => o.code === m.code && o.revision > m.revision));
}

/** Finds who was here before, by anything in hand.
 * @param {{ form: import("../kit/form.js").Form<Draft> }} props */
function Known({ form }) {
  const found = useSignal(/** @type {Schemas["SearchList"]["items"] | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {SubmitEvent} event */
  async function look(event) {
    event.preventDefault();
    const q = String(new FormData(/** @type {HTMLFormElement} */ (event.target)).get("q") ?? "").trim();
    [found.value, trouble.value] = [null, null];
    if (!q) return;
    try {
      found.value = (await read("/v1/search", { query: { q } })).value.items;
    } catch (caught) {
      trouble.value = caught;
    }
  }
  /** @param {string} id @param {boolean} machineToo */
  async function take(id, machineToo) {
    trouble.value = null;
    try {
      const order = (await read("/v1/work-orders/{id}", { path: { id } })).value;
      const [customer, machine] = await Promise.all([
        read("/v1/customers/{id}", { path: { id: order.customer_id } }), read("/v1/machines/{id}", { path: { id: order.machine_id } })]);
      form.set({ known: { customer: customer.value, machine: machineToo ? machine.value : null } });
    } catch (caught) {
      trouble.value = caught;
    }
  }
  return el.search({ class: "find" },
    el.form({ onSubmit: look },
      el.label({ for: "known" }, w.counter.hereBefore),
      el.div({ class: "with-button" },
        el.input({ id: "known", name: "q", type: "search", autocomplete: "off", maxLength: 100, placeholder: "" }),
        el.button({ type: "submit", class: "second" }, w.ok.search))),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    el.div({ "aria-live": "polite" }, found.value === null ? null : found.value.length === 0 ? el.p({ class: "hint" }, w.counter.notHere)
      : el.ul({ class: "rows" }, found.value.map((f) => el.li({ key: f.work_order_id },
        el.span(el.b(f.machine), ` · ${f.customer}`),
        el.span({ class: "acts" },
          el.button({ type: "button", class: "second", onClick: () => take(f.work_order_id, true) }, w.counter.thisMachine),
          el.button({ type: "button", class: "quiet", onClick: () => take(f.work_order_id, false) }, w.counter.otherMachine)))))));
}

/** @param {{ form: import("../kit/form.js").Form<Draft> }} props */
function Who({ form }) {
  const known = form.draft.value.known;
  if (known) return el.p({ class: "known" }, el.b(known.customer.name), ` ${known.customer.phone} ${known.customer.email} `,
    el.button({ type: "button", class: "quiet", onClick: () => form.set({ known: null }) }, w.counter.someoneElse));
  return several(
    row(part(TextField, { form, name: "name", label: w.counter.name, needed: true, pointer: "/name" }),
      part(TextField, { form, name: "phone", label: w.counter.phone, type: "tel", mode: "tel" })),
    row(part(TextField, { form, name: "email", label: w.counter.email, type: "email" }),
      part(PickField, { form, name: "contact_by", label: w.counter.contactBy, words: w.counter.contactWords })));
}

/** @param {{ form: import("../kit/form.js").Form<Draft>, maps: Schemas["KeptMap"][] }} props */
function Which({ form, maps }) {
  const machine = form.draft.value.known?.machine;
  if (machine) return el.p({ class: "known" }, el.b([machine.make, machine.model, machine.year].filter(Boolean).join(" ")), ` ${machine.plate || machine.vin || machine.frame_number}`);
  return several(
    row(part(TextField, { form, name: "make", label: w.counter.make, needed: true }), part(TextField, { form, name: "model", label: w.counter.model, needed: true }),
      part(TextField, { form, name: "year", label: w.counter.year, mode: "numeric", most: 4 })),
    row(part(TextField, { form, name: "plate", label: w.counter.plate }), part(TextField, { form, name: "vin", label: w.counter.vin, hint: w.counter.vinHint })),
    part(ChoiceField, { form, name: "layout_id", label: w.counter.map, hint: w.counter.mapHint, none: w.counter.noMap,
      words: Object.fromEntries(maps.map((m) => [m.id, m.title])) }));
}

/** @param {{ form: import("../kit/form.js").Form<Draft> }} props */
function Says({ form }) {
  const d = form.draft.value;
  /** @param {string} id @param {Partial<Said>} change */
  const change = (id, change) => form.set({ said: d.said.map((s) => (s.id === id ? { ...s, ...change } : s)) });
  return several(
    part(PickField, { form, name: "kind", label: w.counter.kind, words: w.counter.kindWords }),
    d.said.map((s, i) => part(OneSaid, { key: s.id, form, said: s, at: i, change: (c) => change(s.id, c),
      drop: d.said.length > 1 && !d.stored[`said ${s.id}`] ? () => form.set({ said: d.said.filter((o) => o.id !== s.id) }) : undefined })),
    el.p({ class: "more" }, el.button({ type: "button", class: "second", onClick: () => form.set({ said: [...d.said, nothingSaid()] }) }, w.counter.saidMore)),
    part(TextField, { form, name: "title", label: w.counter.title, hint: w.counter.titleHint, most: 80 }));
}

/** @param {{ key: string, form: import("../kit/form.js").Form<Draft>, said: Said, at: number, change: (change: Partial<Said>) => void, drop?: () => void }} props */
function OneSaid({ form, said, at, change, drop }) {
  // The fields of one complaint are those of a form of its own, inside the whole.
  const inner = { ...form, key: `said-${at}`, draft: { value: said }, set: change, wrong: (/** @type {string} */ pointer) => form.wrong(`/said/${said.id}${pointer}`) };
  const of = /** @type {any} */ (inner);
  return el.fieldset({ class: "one-of" },
    el.legend({ class: at === 0 && !drop ? "unseen" : "" }, w.counter.saidNumber(at + 1)),
    part(AreaField, { form: of, name: "words", label: w.counter.words, hint: w.counter.wordsHint, needed: true }),
    form.draft.value.kind === "complaint" ? several(
      part(PickField, { form: of, name: "symptom", label: w.counter.symptom, words: w.symptom }),
      row(part(TextField, { form: of, name: "circumstances", label: w.counter.when, hint: w.counter.whenHint }), part(TextField, { form: of, name: "place", label: w.counter.where })),
      row(part(TextField, { form: of, name: "since", label: w.counter.since }), part(TextField, { form: of, name: "how_often", label: w.counter.often }))) : null,
    drop ? el.button({ type: "button", class: "quiet", onClick: drop }, w.counter.saidDrop) : null);
}

/** @param {{ form: import("../kit/form.js").Form<Draft>, bays: Schemas["Bay"][], currency: string }} props */
function ComesIn({ form, bays, currency }) {
  return several(
    part(FactFields, { form, currency }),
    row(part(ChoiceField, { form, name: "channel", label: w.counter.channel, words: w.counter.channelWords }),
      part(ChoiceField, { form, name: "bay_id", label: w.counter.bay, none: w.floor.noBay, words: Object.fromEntries(bays.map((b) => [b.id, b.name])) }),
      part(TextField, { form, name: "promised_on", label: w.counter.promised, type: "date" })));
}

/** Stores one part of it, unless just that was stored already; what was
 * changed since is stored as a change. The same words carry the same key, so
 * that an answer that got lost doubles nothing.
 * @param {import("../kit/form.js").Form<Draft>} form @param {string} name @param {unknown} body
 * @param {(key: string) => Promise<{ value: any, etag: string }>} make @param {(was: Stored) => Promise<{ value: any, etag: string }>} change */
async function step(form, name, body, make, change) {
  const was = form.draft.value.stored[name];
  const text = JSON.stringify(body);
  if (was?.body === text) return was.value;
  const key = form.draft.value.tried[name + text] ?? crypto.randomUUID();
  form.draft.value = { ...form.draft.value, tried: { ...form.draft.value.tried, [name + text]: key } };
  const { value, etag } = await (was ? change(was) : make(key));
  form.draft.value = { ...form.draft.value, stored: { ...form.draft.value.stored, [name]: { body: text, value, etag } } };
  return value;
}

/** Stores all of it, in order, and gives the job's id.
 * @param {import("../kit/form.js").Form<Draft>} form @param {string} currency @returns {Promise<string>} */
async function store(form, currency) {
  const d = form.draft.value;
  const callAbove = amountOf(d.call_above, currency, "/call_above");
  const keys = countOf(d.keys, "/keys", 0);
  const year = d.year.trim() ? countOf(d.year, "/year", 0) : null;
  const missing = d.kind === "complaint" ? d.said.find((s) => !s.symptom) : undefined;
  if (missing) throw refuse(`/said/${missing.id}/symptom`, w.counter.symptomMissing);
  const customerId = d.known?.customer.id ?? await customerOf(form);
  const machineId = d.known?.machine?.id ?? await machineOf(form, customerId, year);
  const orderIn = { machine_id: machineId, customer_id: customerId, channel: /** @type {any} */ (d.channel), bay_id: d.bay_id || null, promised_on: d.promised_on || null, note: "" };
  const order = await step(form, "order", orderIn, (key) => send("post", "/v1/work-orders", {}, orderIn, { key }),
    (was) => send("put", "/v1/work-orders/{id}", { path: { id: was.value.id } }, orderIn, { match: was.etag }));
  const factsIn = { odometer: d.odometer.trim() ? { entered: d.odometer.trim() } : null, odometer_not_readable: d.odometer_not_readable, keys, luggage: d.luggage, fuel: d.fuel, damage: d.damage,
    leave_to_ride: /** @type {any} */ (d.leave_to_ride), call_above: callAbove, intent: /** @type {any} */ (d.intent), old_parts: /** @type {any} */ (d.old_parts) };
  const path = { id: order.id };
  await step(form, "facts", factsIn, () => send("put", "/v1/work-orders/{id}/intake-facts", { path }, factsIn, { create: true }),
    (was) => send("put", "/v1/work-orders/{id}/intake-facts", { path }, factsIn, { match: was.etag }));
  return await jobOf(form, path);
}

/** @param {import("../kit/form.js").Form<Draft>} form @returns {Promise<string>} */
async function customerOf(form) {
  const d = form.draft.value;
  const body = { name: d.name.trim(), kind: /** @type {const} */ ("person"), phone: d.phone.trim(), email: d.email.trim(), contact_by: /** @type {any} */ (d.contact_by) };
  return (await step(form, "customer", body, (key) => send("post", "/v1/customers", {}, body, { key }),
    (was) => send("put", "/v1/customers/{id}", { path: { id: was.value.id } }, body, { match: was.etag }))).id;
}

/** @param {import("../kit/form.js").Form<Draft>} form @param {string} customer @param {number | null} year @returns {Promise<string>} */
async function machineOf(form, customer, year) {
  const d = form.draft.value;
  const body = { customer_id: customer, make: d.make.trim(), model: d.model.trim(), year, plate: d.plate.trim(), vin: d.vin.trim(), layout_id: d.layout_id || null };
  return (await step(form, "machine", body, (key) => send("post", "/v1/machines", {}, body, { key }),
    (was) => send("put", "/v1/machines/{id}", { path: { id: was.value.id } }, body, { match: was.etag }))).id;
}

/** @param {import("../kit/form.js").Form<Draft>} form @param {{ id: string }} path @returns {Promise<string>} */
async function jobOf(form, path) {
  const d = form.draft.value;
  const kind = /** @type {"complaint" | "request"} */ (d.kind);
  const jobIn = { title: d.title.trim() || fewWords(d.said[0]?.words ?? ""), kind };
  const job = await step(form, "job", jobIn, (key) => send("post", "/v1/work-orders/{id}/jobs", { path }, jobIn, { key }),
    (was) => send("put", "/v1/jobs/{id}", { path: { id: was.value.id } }, jobIn, { match: was.etag }));
  for (const s of d.said) {
    const body = { kind, words: s.words, ...(kind === "complaint" ? { symptom: /** @type {any} */ (s.symptom), place: s.place, circumstances: s.circumstances, since: s.since, how_often: s.how_often }
      : { answer: /** @type {const} */ ("request") }) };
    const at = { path: { job_id: job.id, id: s.id } };
    await atSaid(s.id, () => step(form, `said ${s.id}`, body, () => send("put", "/v1/jobs/{job_id}/complaints/{id}", at, body, { create: true }),
      (was) => send("put", "/v1/jobs/{job_id}/complaints/{id}", at, body, { match: was.etag })));
  }
  return job.id;
}

/** Says of a refused complaint which one it is. @template T @param {string} id @param {() => Promise<T>} work */
async function atSaid(id, work) {
  try {
    return await work();
  } catch (caught) {
    if (caught instanceof Problem) caught.fields = caught.fields.map((f) => ({ ...f, pointer: `/said/${id}${f.pointer}` }));
    throw caught;
  }
}

/** The first words of what was said, for the list. @param {string} words */
function fewWords(words) {
  const first = words.trim().split(/[.!?\n]/)[0]?.trim() ?? "";
  return first.length <= 60 ? first : `${first.slice(0, 57).replace(/\s+\S*$/, "")} …`;
}

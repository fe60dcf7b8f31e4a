// Forms: what was typed is kept until it was stored, whatever goes wrong in
// between; what is wrong with a field stands at the field; one primary act.
import { effect, el, part, signal, useEffect, useRef } from "./view.js";
import { Problem, person } from "../lib/api.js";
import { sentence, w } from "../words/words.js";

/** @typedef {import("./view.js").Children} Children */

/** What a form holds between two drawings, and between two visits.
 * @template T
 * @typedef {{ key: string, draft: import("./view.js").Live<T>, busy: import("./view.js").Live<boolean>, trouble: import("./view.js").Live<unknown>,
 *   set: (change: Partial<T>) => void, mark: () => string, wrong: (pointer: string) => string | undefined,
 *   send: (work: (typed: T, mark: string) => Promise<unknown>) => Promise<boolean>, clear: () => void }} Form */

/** Every form with something in it, by its name. In memory alone: a reload or
 * signing out forgets it. @type {Map<string, Form<any>>} */
const kept = new Map();
let keptFor = "";
effect(() => {
  const who = person.value?.staff_id;
  if (who && who !== keptFor) { kept.clear(); keptFor = who; } // another person's words are not theirs to see
});

/** Forgets everything typed and not stored. */
export const forgetForms = () => kept.clear();

/** Gives the form of that name as it was left, or a fresh one.
 * @template T @param {string} key @param {() => T} empty @returns {Form<T>} */
export function formOf(key, empty) {
  const known = kept.get(key);
  if (known) return known;
  const draft = signal(empty());
  const busy = signal(false);
  const trouble = signal(/** @type {unknown} */ (null));
  let mark = "";
  /** @type {Form<T>} */
  const form = {
    key, draft, busy, trouble,
    set(change) { mark = ""; draft.value = { ...draft.value, ...change }; },
    mark() { return (mark ||= crypto.randomUUID()); },
    wrong(pointer) {
      return trouble.value instanceof Problem ? trouble.value.fields.find((f) => f.pointer === pointer)?.message : undefined;
    },
    async send(work) {
      if (busy.value) return false;
      [busy.value, trouble.value] = [true, null];
      try {
        await work(draft.value, form.mark());
        form.clear();
        return true;
      } catch (caught) {
        trouble.value = caught;
        return false;
      } finally {
        busy.value = false;
      }
    },
    clear() { kept.delete(key); mark = ""; draft.value = empty(); trouble.value = null; },
  };
  kept.set(key, form);
  return form;
}

/** Asks before a page with something typed in it is closed.
 * @param {() => boolean} typed */
export function useKept(typed) {
  useEffect(() => {
    /** @param {BeforeUnloadEvent} event */
    const ask = (event) => { if (typed()) event.preventDefault(); };
    addEventListener("beforeunload", ask);
    return () => removeEventListener("beforeunload", ask);
  }, []);
}

/** A form with its fields and its one act.
 * @param {{ form: Form<any>, act: string, submit: () => void, leave?: () => void, leaveWord?: string, quiet?: boolean, children?: Children }} props */
export function FormOf({ form, act, submit, leave, leaveWord, quiet, children }) {
  const place = useRef(/** @type {HTMLFormElement | null} */ (null));
  const trouble = form.trouble.value;
  useEffect(() => {
    const at = trouble ? place.current?.querySelector("[aria-invalid=true]") ?? place.current?.querySelector(".trouble") : null;
    if (at instanceof HTMLElement) at.focus();
  }, [trouble]);
  return el.form({ ref: place, class: "form", onSubmit: (/** @type {SubmitEvent} */ event) => { event.preventDefault(); submit(); } },
    trouble ? part(Refused, { trouble }) : null,
    children,
    el.div({ class: "acts" },
      el.button({ type: "submit", class: quiet ? "second" : "", disabled: form.busy.value }, act),
      leave ? el.button({ type: "button", class: "quiet", onClick: leave }, leaveWord ?? w.ok.leave) : null));
}

/** A refusal with everything it names.
 * @param {{ trouble: unknown }} props */
export function Refused({ trouble }) {
  const title = sentence(trouble);
  const problem = trouble instanceof Problem ? trouble : null;
  const more = [...new Set([...(problem?.fields ?? []).map((f) => f.message), ...(problem?.gates ?? []).map((g) => g.message)])].filter((m) => !title.includes(m));
  return el.div({ class: "trouble", role: "alert", tabIndex: -1 },
    el.div(el.p(el.b(w.trouble.title), " ", title), more.length > 0 ? el.ul({ class: "plain" }, more.map((m) => el.li({ key: m }, m))) : null));
}

/** @typedef {{ form: Form<any>, name: string, label: string, hint?: string, pointer?: string }} Of */

/** What every field has: a name of its own, what is wrong, what tells of it.
 * @param {Of} of */
function about({ form, name, hint, pointer }) {
  const id = `${form.key}-${name}`.replace(/[^\w-]/g, "-");
  const wrong = form.wrong(pointer ?? `/${name}`);
  return { id, wrong, props: { id, name, "aria-invalid": wrong ? /** @type {const} */ ("true") : undefined,
    "aria-describedby": [hint && `${id}-hint`, wrong && `${id}-wrong`].filter(Boolean).join(" ") || undefined } };
}

/** @param {{ id: string, wrong?: string, label: string, hint?: string, children?: Children, optional?: boolean }} props */
function Labelled({ id, wrong, label, hint, children }) {
  return el.div({ class: "field" }, el.label({ for: id }, label),
    hint ? el.p({ id: `${id}-hint`, class: "hint" }, hint) : null,
    wrong ? el.p({ id: `${id}-wrong`, class: "wrong" }, wrong) : null,
    children);
}

/** A line to type.
 * @param {Of & { type?: string, needed?: boolean, most?: number, mode?: string, complete?: string, focus?: boolean }} props */
export function TextField({ type = "text", needed, most = 2000, mode, complete = "off", focus, ...of }) {
  const { id, wrong, props } = about(of);
  return part(Labelled, { id, wrong, label: of.label, hint: of.hint, children: el.input({ ...props, type, step: type === "datetime-local" ? 1 : undefined, required: needed, maxLength: most, autoFocus: focus,
    inputMode: /** @type {any} */ (mode), autocomplete: /** @type {any} */ (complete), value: of.form.draft.value[of.name] ?? "",
    onInput: (/** @type {{ currentTarget: HTMLInputElement }} */ event) => of.form.set({ [of.name]: event.currentTarget.value }) }) });
}

/** Several lines to type.
 * @param {Of & { needed?: boolean, rows?: number, most?: number }} props */
export function AreaField({ needed, rows = 3, most = 10000, ...of }) {
  const { id, wrong, props } = about(of);
  return part(Labelled, { id, wrong, label: of.label, hint: of.hint, children: el.textarea({ ...props, rows, required: needed, maxLength: most,
    value: of.form.draft.value[of.name] ?? "", onInput: (event) => of.form.set({ [of.name]: event.currentTarget.value }) }) });
}

/** One of a list; `none` is the word of choosing nothing.
 * @param {Of & { words: Record<string, string>, none?: string, needed?: boolean }} props */
export function ChoiceField({ words, none, needed, ...of }) {
  const { id, wrong, props } = about(of);
  return part(Labelled, { id, wrong, label: of.label, hint: of.hint, children: el.select({ ...props, required: needed, value: of.form.draft.value[of.name] ?? "",
    onChange: (event) => of.form.set({ [of.name]: event.currentTarget.value }) },
    none === undefined ? null : el.option({ value: "" }, none),
    Object.entries(words).map(([key, word]) => el.option({ key, value: key }, word))) });
}

/** One of a few, all in sight.
 * @param {Of & { words: Record<string, string> }} props */
export function PickField({ words, ...of }) {
  const { id, wrong } = about(of);
  return el.fieldset({ class: "picks", "aria-describedby": wrong ? `${id}-wrong` : undefined },
    el.legend(of.label),
    of.hint ? el.p({ class: "hint" }, of.hint) : null,
    wrong ? el.p({ id: `${id}-wrong`, class: "wrong" }, wrong) : null,
    Object.entries(words).map(([key, word]) => el.label({ key, class: "pick" },
      el.input({ type: "radio", name: id, value: key, checked: of.form.draft.value[of.name] === key, "aria-invalid": wrong ? "true" : undefined, onChange: () => of.form.set({ [of.name]: key }) }), word)));
}

/** Yes or not.
 * @param {Of} of */
export function TickField(of) {
  const { id, wrong, props } = about(of);
  return el.div({ class: "field" },
    wrong ? el.p({ id: `${id}-wrong`, class: "wrong" }, wrong) : null,
    el.label({ class: "pick", for: id },
      el.input({ ...props, type: "checkbox", checked: Boolean(of.form.draft.value[of.name]), onChange: (event) => of.form.set({ [of.name]: event.currentTarget.checked }) }), of.label),
    of.hint ? el.p({ id: `${id}-hint`, class: "hint" }, of.hint) : null);
}

/** Fields side by side where there is room.
 * @param {Children[]} children */
export const row = (...children) => el.div({ class: "fields" }, children);

/** Refuses what was typed before it is sent, at its field.
 * @param {string} pointer @param {string} message */
export const refuse = (pointer, message) => new Problem(422, { title: message, fields: [{ pointer, message }] });

/** Reads an amount as people type it; null for nothing.
 * @param {string | undefined} typed @param {string} currency @param {string} pointer */
export function amountOf(typed, currency, pointer) {
  const text = (typed ?? "").replace(/[\s'’]/g, "").replace(",", ".");
  if (!text) return null;
  if (!/^\d{1,15}(\.\d{1,4})?$/.test(text)) throw refuse(pointer, w.ok.amountUnclear);
  return { amount: text, currency };
}

/** Reads a whole number as people type it.
 * @param {string | undefined} typed @param {string} pointer @param {number} otherwise */
export function countOf(typed, pointer, otherwise) {
  const text = (typed ?? "").trim();
  if (!text) return otherwise;
  if (!/^\d{1,9}$/.test(text)) throw refuse(pointer, w.ok.countUnclear);
  return Number(text);
}

/** Reads a quantity of at most three decimals into whole thousandths.
 * @param {string} typed @param {string} pointer */
export function thousandthsOf(typed, pointer) {
  const found = typed.trim().replace(",", ".").match(/^(\d{1,6})(?:\.(\d{1,3}))?$/);
  if (!found) throw refuse(pointer, w.ok.countUnclear);
  return Number(found[1]) * 1000 + Number((found[2] ?? "").padEnd(3, "0"));
}

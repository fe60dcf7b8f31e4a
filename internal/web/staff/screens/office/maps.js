// Machine maps and limit sheets: those the shop keeps, and a check of a document
// that points at each fault before it is added.
import { el, part, several, useSignal } from "../../kit/view.js";
import { AreaField, formOf, FormOf, PickField, refuse, Refused } from "../../kit/form.js";
import { read, readAll, send } from "../../lib/api.js";
import { keepBlob } from "../../lib/files.js";
import { atOffice } from "./shell.js";
import { w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

export const Maps = atOffice("maps", async () => {
  const [maps, sheets] = await Promise.all([readAll("/v1/machine-maps"), readAll("/v1/limit-sheets")]);
  return { maps, sheets };
}, ({ maps, sheets }, again) => several(
  el.section(el.h2(w.office.maps, el.span({ class: "count" }, String(maps.length))),
    el.ul({ class: "rows" }, maps.map((m) => part(Kept, { key: m.id, kept: m, path: "/v1/machine-maps/{id}" })))),
  el.section(el.h2(w.office.sheets, el.span({ class: "count" }, String(sheets.length))),
    el.ul({ class: "rows" }, sheets.map((s) => part(Kept, { key: s.id, kept: s, path: "/v1/limit-sheets/{id}", fits: [s.make, s.model, s.year_from && `${s.year_from}–${s.year_to ?? ""}`].filter(Boolean).join(" ") })))),
  part(Check, { again })));

/** @param {{ key: string, kept: { id: string, code: string, title: string, revision: number, example: boolean }, path: "/v1/machine-maps/{id}" | "/v1/limit-sheets/{id}", fits?: string }} props */
function Kept({ kept, path, fits }) {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const get = () => read(path, { path: { id: kept.id } }).then(({ value }) => keepBlob(new Blob([JSON.stringify(value.document, null, 2)], { type: "application/json" }), `${kept.code}.${path.includes("maps") ? "map" : "limits"}.json`),
    (caught) => { trouble.value = caught; });
  return el.li(el.span(el.b(kept.title), el.span({ class: "hint" }, ` · ${kept.code} · ${w.office.edition(kept.revision)}`, fits ? ` · ${fits}` : ""), kept.example ? el.em(` · ${w.office.example}`) : null),
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.button({ type: "button", class: "quiet", onClick: get }, w.office.getDocument));
}

/** @typedef {{ faults: Schemas["LayoutFault"][], counts: Record<string, number>, verdict: string }} Verdict */

/** @param {{ again: () => void }} props */
function Check({ again }) {
  const verdict = useSignal(/** @type {Verdict | null} */ (null));
  const checked = useSignal("");
  const form = formOf("map check", () => ({ kind: "map", document: "" }));
  const d = form.draft.value;
  /** @param {string} text @returns {any} */
  const parsed = (text) => {
    try {
      return JSON.parse(text);
    } catch (caught) {
      throw refuse("/document", `${w.office.notJSON} ${/** @type {Error} */ (caught).message}`);
    }
  };
  // A check keeps the document in its field: the form is sent only when it is added.
  const check = async () => {
    verdict.value = null;
    [form.busy.value, form.trouble.value] = [true, null];
    try {
      const document = parsed(d.document);
      const answer = (await send("post", "/v1/reckon/layout", {}, d.kind === "map" ? { map: document } : { sheet: document })).value;
      const value = /** @type {{ faults: Schemas["LayoutFault"][], counts: Record<string, number> }} */ (/** @type {unknown} */ (answer.value));
      verdict.value = { ...value, verdict: answer.verdict };
      checked.value = d.document;
    } catch (caught) {
      form.trouble.value = caught;
    }
    form.busy.value = false;
  };
  const add = async () => {
    const done = await form.send((t, key) => send("post", t.kind === "map" ? "/v1/machine-maps" : "/v1/limit-sheets", {}, { document: parsed(t.document) }, { key }));
    if (done) { verdict.value = null; again(); }
  };
  /** @param {{ currentTarget: HTMLInputElement }} event */
  const open = async (event) => {
    const file = event.currentTarget.files?.[0];
    if (file) form.set({ document: await file.text(), kind: file.name.includes(".limits.") ? "sheet" : d.kind });
  };
  const sound = verdict.value?.verdict === "sound" && checked.value === d.document;
  return el.section(el.h2(w.office.checkMap), el.p({ class: "hint" }, w.office.checkMapHint),
    el.div({ class: "field" }, el.label({ for: "map-file" }, w.office.openFile), el.input({ id: "map-file", type: "file", accept: ".json,application/json", onChange: /** @type {any} */ (open) })),
    part(FormOf, { form, act: w.office.check, quiet: sound, submit: check, children: [
      part(PickField, { key: "k", form, name: "kind", label: w.office.documentKind, words: w.office.documentKinds }),
      part(AreaField, { key: "d", form, name: "document", label: w.office.document, needed: true, rows: 10, most: 2000000 })] }),
    verdict.value ? part(Faults, { verdict: verdict.value, text: checked.value, at: form }) : null,
    sound ? el.div({ class: "acts" }, el.button({ type: "button", disabled: form.busy.value, onClick: add }, w.office.keepIt)) : null);
}

/** Where a JSON Pointer leads in a text: the line, from 1; 0 where it is not found.
 * @param {string} text @param {string} pointer */
function lineOf(text, pointer) {
  // The document was parsed, so its keys and braces stand in order: walk them.
  const names = pointer.split("/").slice(2).map((n) => n.replaceAll("~1", "/").replaceAll("~0", "~"));
  let at = 0;
  for (const name of names) {
    const next = /^\d+$/.test(name) ? skip(text, at, Number(name)) : keyIn(text, at, name);
    if (next < 0) break;
    at = next;
  }
  return text.slice(0, at).split("\n").length;
}

/** The next value of a list or object at a place, by its number. @param {string} text @param {number} from @param {number} nth */
function skip(text, from, nth) {
  let [depth, seen, quoted] = [0, 0, false];
  for (let i = text.indexOf("[", from); i >= 0 && i < text.length; i++) {
    const c = text[i];
    if (quoted) { if (c === "\\") i++; else if (c === '"') quoted = false; continue; }
    if (c === '"') quoted = true;
    if (c === "[" || c === "{") depth++;
    if (c === "]" || c === "}") depth--;
    if (depth === 0) return -1;
    if (c === "," && depth === 1) seen++;
    if (seen === nth && (c === "," || i === text.indexOf("[", from)) && depth === 1) return i + 1 + (text.slice(i + 1).match(/^\s*/)?.[0].length ?? 0);
  }
  return -1;
}

/** The value of a key of the object at a place. @param {string} text @param {number} from @param {string} name */
function keyIn(text, from, name) {
  let [depth, start] = [0, text.indexOf("{", from)];
  for (let i = start; i >= 0 && i < text.length; i++) {
    const c = text[i];
    if (c === '"') {
      const end = i + (/^"(?:[^"\\]|\\.)*"/.exec(text.slice(i))?.[0].length ?? 1);
      if (depth === 1 && text.slice(i + 1, end - 1) === name && /^\s*:/.test(text.slice(end))) return end + (text.slice(end).match(/^\s*:\s*/)?.[0].length ?? 0);
      i = end - 1;
    } else if (c === "{" || c === "[") depth++;
    else if (c === "}" || c === "]") { depth--; if (depth === 0) return -1; }
  }
  return -1;
}

/** @param {{ verdict: Verdict, text: string, at: import("../../kit/form.js").Form<any> }} props */
function Faults({ verdict, text, at }) {
  /** @param {number} line */
  function show(line) {
    const box = /** @type {HTMLTextAreaElement | null} */ (document.getElementById(`${at.key}-document`.replace(/[^\w-]/g, "-")));
    if (!box) return;
    const start = text.split("\n").slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    box.focus();
    box.setSelectionRange(start, start + (text.slice(start).indexOf("\n") + 1 || text.length - start));
    box.scrollTop = Math.max(0, (line - 4) * (box.scrollHeight / text.split("\n").length));
  }
  return el.div({ role: "status" },
    el.p(el.b(verdict.verdict === "sound" ? w.office.sound : w.office.faults(verdict.faults.length))),
    verdict.verdict === "sound" ? el.p({ class: "hint" }, Object.entries(verdict.counts).filter(([, n]) => n > 0).map(([what, n]) => `${n} ${what}`).join(", ")) : null,
    el.ul({ class: "rows" }, verdict.faults.map((f, i) => {
      const line = lineOf(text, f.pointer);
      return el.li({ key: i }, el.span(f.message, el.span({ class: "hint" }, ` · ${f.pointer}`)), el.button({ type: "button", class: "quiet", onClick: () => show(line) }, w.office.line(line)));
    })));
}

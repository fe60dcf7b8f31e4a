// Bags and tags: what came off, under which code it lies where. A label is
// scanned where the browser can, and typed everywhere; what is written down here
// waits on the tablet like a finding.
import { el, part, several, useSignal } from "../kit/view.js";
import { Trouble } from "../kit/parts.js";
import { person } from "../lib/api.js";
import { newId } from "../lib/ids.js";
import { keepAndSend } from "../lib/sending.js";
import { laidOver, Where } from "./findings.js";
import { w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {"parts" | "fasteners"} Kind */

/** @param {{ all: import("../lib/bench.js").Gathered }} props */
export function Tags({ all }) {
  const adding = useSignal(false);
  const tags = laidOver(all.tags, "tag", all.job.id);
  return el.section({ class: "with-act" },
    el.header(el.h2(w.job.tags, el.span({ class: "count" }, String(tags.length))),
      adding.value ? null : el.button({ type: "button", class: "big", onClick: () => { adding.value = true; } }, w.tag.add)),
    adding.value ? part(NewTag, { all, shut: () => { adding.value = false; } }) : null,
    tags.length === 0 ? el.p({ class: "hint" }, w.job.noTags) : null,
    el.ul({ class: "tags" }, tags.map(({ value: t, row }) => el.li({ key: t.id },
      el.b({ class: "code" }, row ? t.code || w.tag.late : `${t.number} · ${t.code}`), el.span(t.holds),
      el.span({ class: "hint" }, t.outcome ? w.job.outcome[t.outcome] : `${w.job.lies} ${t.lies_at || w.trouble.noData}`), row ? part(Where, { row }) : null))));
}

/** @param {{ all: import("../lib/bench.js").Gathered, shut: () => void }} props */
function NewTag({ all, shut }) {
  const kind = useSignal(/** @type {Kind} */ ("parts"));
  const [holds, code, from, lies] = [useSignal(""), useSignal(""), useSignal(""), useSignal("")];
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {SubmitEvent} event */
  async function save(event) {
    event.preventDefault();
    const me = /** @type {Schemas["Me"]} */ (person.value);
    if (!holds.value.trim()) { trouble.value = { message: w.tag.needs }; return; }
    const said = { kind: kind.value, holds: holds.value.trim(), from_where: from.value.trim(), lies_at: lies.value.trim(), captured_at: new Date().toISOString() };
    try {
      await keepAndSend({ made: [{ id: newId(), kind: "tag", job: all.job.id, shop: me.shop_id, by: me.staff_id, byName: me.name, about: said.holds, body: code.value.trim() ? { ...said, code: code.value.trim() } : said }] });
      shut();
    } catch {
      trouble.value = { message: w.outbox.notHere };
    }
  }
  return el.form({ class: "new-finding", onSubmit: save },
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    el.fieldset({ class: "tiles" }, el.legend(w.tag.kind), Object.entries(w.tag.kinds).map(([key, word]) => el.label({ key, class: "tile" },
      el.input({ type: "radio", name: "tag-kind", checked: kind.value === key, onChange: () => { kind.value = /** @type {Kind} */ (key); } }), el.span(word)))),
    part(Text, { id: "tag-holds", label: w.tag.holds, value: holds.value, set: (text) => { holds.value = text; } }),
    part(Text, { id: "tag-code", label: w.tag.code, hint: w.tag.codeHint, value: code.value, set: (text) => { code.value = text; } }),
    part(Scan, { found: (text) => { code.value = text; trouble.value = null; }, none: () => { trouble.value = { message: w.tag.noCode }; } }),
    part(Text, { id: "tag-from", label: w.tag.from, value: from.value, set: (text) => { from.value = text; } }),
    part(Text, { id: "tag-lies", label: w.tag.lies, value: lies.value, set: (text) => { lies.value = text; } }),
    el.div({ class: "acts save-bar" }, el.button({ type: "submit", class: "big" }, w.ok.save), el.button({ type: "button", class: "quiet big", onClick: shut }, w.finding.leave)));
}

/** @param {{ id: string, label: string, hint?: string, value: string, set: (text: string) => void }} props */
function Text({ id, label, hint, value, set }) {
  return el.div({ class: "field" }, el.label({ for: id }, label), hint ? el.p({ class: "hint", id: `${id}-hint` }, hint) : null,
    el.input({ id, maxLength: 200, autocomplete: "off", "aria-describedby": hint ? `${id}-hint` : undefined, value, onInput: (event) => set(event.currentTarget.value) }));
}

/** Reads the label off a photo, where this browser can (Shape Detection API).
 * @param {{ found: (text: string) => void, none: () => void }} props */
function Scan({ found, none }) {
  const Detector = /** @type {any} */ (globalThis).BarcodeDetector;
  if (!Detector) return several();
  /** @param {File | undefined} file */
  const read = async (file) => {
    if (!file) return;
    try {
      const [first] = await new Detector({ formats: ["qr_code"] }).detect(await createImageBitmap(file));
      if (first) found(first.rawValue);
      else none();
    } catch {
      none();
    }
  };
  return el.label({ class: "take", for: "tag-scan" }, w.tag.scan,
    el.input({ id: "tag-scan", type: "file", accept: "image/*", capture: "environment", onChange: (event) => { read(event.currentTarget.files?.[0]); event.currentTarget.value = ""; } }));
}
